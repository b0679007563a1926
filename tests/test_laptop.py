"""What this laptop alone remembers: taste, and its desk in each copy of each book."""

import json
from pathlib import Path

import pytest

from fieldbook import laptop as laptop_module
from fieldbook.laptop import FILE, Laptop, config_folder, login_name, machine

QUILLBY = "4a0011f1e1db2027"


@pytest.fixture
def laptop(tmp_path: Path) -> Laptop:
    return Laptop(tmp_path / "config")


def again(tmp_path: Path) -> Laptop:
    """The same laptop on another day."""
    return Laptop(tmp_path / "config")


def desk(laptop: Laptop, path: Path, fresh: str, *, book: str = QUILLBY) -> str:
    path.mkdir(parents=True, exist_ok=True)
    return laptop.desk(book, path, 2027, given=lambda _code: 0, fresh=lambda: fresh)


# --- taste -------------------------------------------------------------------------------------


def test_taste_begins_with_the_first_choice(laptop: Laptop) -> None:
    assert (laptop.theme, laptop.units, laptop.last_book, laptop.keys) == ("dark", "us", None, {})
    assert laptop.keying(QUILLBY) == ""


def test_taste_is_kept(laptop: Laptop, tmp_path: Path) -> None:
    laptop.theme = "light"
    laptop.units = "metric"
    laptop.last_book = tmp_path / "x" / ".." / "quillby"
    laptop.set_keying(QUILLBY, "Zoë")
    laptop.set_keying("another", "Wim")
    later = again(tmp_path)
    assert (later.theme, later.units) == ("light", "metric")
    assert later.last_book == (tmp_path / "quillby").resolve()
    assert (later.keying(QUILLBY), later.keying("another")) == ("Zoë", "Wim")
    assert "Zoë" in (tmp_path / "config" / FILE).read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[1, 2]",
        "null",
        '{"theme": "plaid", "units": 3, "last_book": 7, "keys": [], "keying": "Oda", "desks": 1}',
        '{"theme": ["dark"], "units": null, "keying": {"4a0011f1e1db2027": 4}}',
    ],
)
def test_a_broken_file_is_begun_anew(tmp_path: Path, text: str) -> None:
    (tmp_path / FILE).write_text(text, encoding="utf-8")
    laptop = Laptop(tmp_path)
    assert (laptop.theme, laptop.units, laptop.last_book, laptop.keys) == ("dark", "us", None, {})
    assert laptop.keying(QUILLBY) == ""
    assert desk(laptop, tmp_path / "quillby", "k7f2q") == "k7f2q"
    laptop.theme = "light"
    assert Laptop(tmp_path).theme == "light"


def test_bytes_that_are_no_text_are_begun_anew(tmp_path: Path) -> None:
    (tmp_path / FILE).write_bytes(b"\xff\xfe\x00{")
    assert Laptop(tmp_path).theme == "dark"


def test_own_keys_are_read(tmp_path: Path) -> None:
    (tmp_path / FILE).write_text(json.dumps({"keys": {"finish": "f", "note": 7}}), "utf-8")
    assert Laptop(tmp_path).keys == {"finish": "f", "note": "7"}


def test_nothing_is_written_where_nothing_changes(laptop: Laptop, tmp_path: Path) -> None:
    assert laptop.theme == "dark"
    assert not (tmp_path / "config").exists()
    laptop.theme = "light"
    file = tmp_path / "config" / FILE
    written = file.stat().st_mtime_ns  # when it was read last is another matter
    laptop.theme = "light"
    assert file.stat().st_mtime_ns == written


@pytest.mark.parametrize("in_the_way", ["folder is a file", "file is a folder"])
def test_a_folder_that_cannot_be_written_is_harmless(tmp_path: Path, in_the_way: str) -> None:
    if in_the_way == "folder is a file":
        (tmp_path / "config").write_text("", encoding="utf-8")
    else:
        (tmp_path / "config" / FILE).mkdir(parents=True)
    laptop = again(tmp_path)
    laptop.theme = "light"
    assert laptop.theme == "light"  # for this run
    assert desk(laptop, tmp_path / "quillby", "k7f2q") == "k7f2q"
    assert desk(laptop, tmp_path / "quillby", "b3x9m") == "k7f2q"
    assert again(tmp_path).theme == "dark"


# --- desks -------------------------------------------------------------------------------------


def test_a_desk_is_kept_for_a_book_in_its_place(laptop: Laptop, tmp_path: Path) -> None:
    assert desk(laptop, tmp_path / "quillby", "k7f2q") == "k7f2q"
    assert desk(laptop, tmp_path / "quillby", "b3x9m") == "k7f2q"
    assert desk(again(tmp_path), tmp_path / "quillby", "b3x9m") == "k7f2q"
    assert desk(again(tmp_path), tmp_path / "x" / ".." / "quillby", "b3x9m") == "k7f2q"


def test_another_copy_book_or_machine_has_a_desk_of_its_own(
    laptop: Laptop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert desk(laptop, tmp_path / "quillby", "aaaaa") == "aaaaa"
    assert desk(laptop, tmp_path / "stick with blanks" / "quillby", "bbbbb") == "bbbbb"
    assert desk(laptop, tmp_path / "quillby", "ccccc", book="another") == "ccccc"
    monkeypatch.setattr(laptop_module, "_machine_id", lambda: "the laptop of the pump house")
    assert desk(again(tmp_path), tmp_path / "quillby", "ddddd") == "ddddd"
    monkeypatch.undo()
    later = again(tmp_path)
    assert desk(later, tmp_path / "quillby", "eeeee") == "aaaaa"
    assert desk(later, tmp_path / "stick with blanks" / "quillby", "eeeee") == "bbbbb"
    assert desk(later, tmp_path / "quillby", "eeeee", book="another") == "ccccc"


def test_desks_of_books_that_are_gone_are_dropped(laptop: Laptop, tmp_path: Path) -> None:
    desk(laptop, tmp_path / "old demo", "aaaaa")
    desk(laptop, tmp_path / "quillby", "bbbbb")
    (tmp_path / "old demo").rmdir()
    desk(laptop, tmp_path / "new demo", "ccccc")
    text = (tmp_path / "config" / FILE).read_text(encoding="utf-8")
    assert sorted(json.loads(text)["desks"].values()) == ["bbbbb", "ccccc"]
    assert desk(again(tmp_path), tmp_path / "old demo", "ddddd") == "ddddd"


# What a season has of each desk, as `Book.highest_number` would tell.
EVENING, MORNING = {"aaaaa": 412}, {"aaaaa": 380}


def desk_of_season(laptop: Laptop, path: Path, numbers: dict[str, int], year: int = 2027) -> str:
    """The desk for a season that has these numbers; a new one is called after the year."""
    path.mkdir(exist_ok=True)

    def given(code: str) -> int:
        return numbers.get(code, 0)

    return laptop.desk(QUILLBY, path, year, given=given, fresh=lambda: f"n{year}")


@pytest.fixture
def evening(laptop: Laptop, tmp_path: Path) -> Laptop:
    """A laptop that has written up to number 412 in the season of 2027."""
    desk(laptop, tmp_path / "quillby", "aaaaa")
    laptop.saw("aaaaa", 2027, 412)
    return laptop


def test_a_book_set_back_to_an_older_copy_gets_a_new_desk(evening: Laptop, tmp_path: Path) -> None:
    assert desk_of_season(again(tmp_path), tmp_path / "quillby", EVENING) == "aaaaa"
    assert desk_of_season(again(tmp_path), tmp_path / "quillby", {"aaaaa": 413}) == "aaaaa"
    assert desk_of_season(again(tmp_path), tmp_path / "quillby", MORNING) == "n2027"
    # And keeps it, though the lost numbers come back with a merge.
    assert desk_of_season(again(tmp_path), tmp_path / "quillby", EVENING) == "n2027"


def test_a_window_that_looked_earlier_does_not_lower_what_was_seen(
    evening: Laptop, tmp_path: Path
) -> None:
    evening.saw("aaaaa", 2027, 380)
    assert desk_of_season(again(tmp_path), tmp_path / "quillby", MORNING) == "n2027"


def test_each_season_has_numbers_of_its_own(evening: Laptop, tmp_path: Path) -> None:
    evening.saw("aaaaa", 2028, 3)
    assert desk_of_season(again(tmp_path), tmp_path / "quillby", {"aaaaa": 3}, 2028) == "aaaaa"
    assert desk_of_season(again(tmp_path), tmp_path / "quillby", {}, 2029) == "aaaaa"
    assert desk_of_season(again(tmp_path), tmp_path / "quillby", EVENING) == "aaaaa"
    assert desk_of_season(again(tmp_path), tmp_path / "quillby", {"aaaaa": 2}, 2028) == "n2028"


@pytest.mark.parametrize("how", ["moved", "copied"])
def test_a_book_that_was_moved_or_copied_gets_a_new_desk(
    evening: Laptop, tmp_path: Path, how: str
) -> None:
    if how == "moved":
        (tmp_path / "quillby").rename(tmp_path / "stick")
    assert desk_of_season(again(tmp_path), tmp_path / "stick", EVENING) == "n2027"
    if how == "copied":
        assert desk_of_season(again(tmp_path), tmp_path / "quillby", EVENING) == "aaaaa"


def test_the_numbers_of_desks_that_are_gone_are_forgotten(evening: Laptop, tmp_path: Path) -> None:
    assert desk_of_season(evening, tmp_path / "quillby", MORNING) == "n2027"
    evening.saw("n2027", 2027, 1)
    file = json.loads((tmp_path / "config" / FILE).read_text(encoding="utf-8"))
    assert (file["given"], list(file["desks"].values())) == ({"n2027 2027": 1}, ["n2027"])


@pytest.mark.parametrize("given", ['{"aaaaa 2027": "many"}', "[412]", "null"])
def test_numbers_that_make_no_sense_are_not_held_against_a_book(
    evening: Laptop, tmp_path: Path, given: str
) -> None:
    file = tmp_path / "config" / FILE
    facts = json.loads(file.read_text(encoding="utf-8")) | {"given": json.loads(given)}
    file.write_text(json.dumps(facts), encoding="utf-8")
    assert desk_of_season(again(tmp_path), tmp_path / "quillby", MORNING) == "aaaaa"


def test_two_windows_do_not_forget_each_others_desks(laptop: Laptop, tmp_path: Path) -> None:
    first, second = again(tmp_path), again(tmp_path)
    assert (first.theme, second.theme) == ("dark", "dark")  # both have read the file by now
    desk(first, tmp_path / "quillby", "aaaaa")
    desk(second, tmp_path / "otter", "bbbbb")
    first.saw("aaaaa", 2027, 5)
    second.saw("bbbbb", 2027, 7)
    assert desk_of_season(again(tmp_path), tmp_path / "quillby", {"aaaaa": 4}) == "n2027"
    assert desk_of_season(again(tmp_path), tmp_path / "otter", {"bbbbb": 7}) == "bbbbb"


def test_the_machine_is_told_apart_and_not_told_of(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(laptop_module, "_machine_id", lambda: "serial 4711")
    first = machine()
    assert (machine(), len(first)) == (first, 12)
    assert "4711" not in first
    monkeypatch.setattr(laptop_module, "_machine_id", lambda: "serial 4712")
    assert machine() != first


# --- where it is kept --------------------------------------------------------------------------


def test_the_folder_may_be_named(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("FIELDBOOK_CONFIG", str(tmp_path / "there"))
    assert config_folder() == tmp_path / "there"
    Laptop().theme = "light"
    assert (tmp_path / "there" / FILE).is_file()
    monkeypatch.delenv("FIELDBOOK_CONFIG")
    monkeypatch.setattr("platformdirs.user_config_path", lambda name, **_more: tmp_path / name)
    assert config_folder() == tmp_path / "fieldbook"


def test_who_is_logged_in(monkeypatch: pytest.MonkeyPatch) -> None:
    def nobody() -> str:
        raise OSError("no username set in the environment")

    monkeypatch.setattr("getpass.getuser", lambda: "oda")
    assert login_name() == "oda"
    monkeypatch.setattr("getpass.getuser", nobody)
    assert login_name() == "unknown"
