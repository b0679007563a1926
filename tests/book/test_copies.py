"""Archives that read back as they were, a book restored whole or not at all, a copy every day."""

import contextlib
import re
import time
import zipfile
from datetime import date, timedelta
from hashlib import sha256
from pathlib import Path

import pytest

from fieldbook.book.book import Book, read_facts
from fieldbook.book.copies import Archived, archive, keep_daily_copy, restore
from fieldbook.book.merge import merge
from fieldbook.errors import BookError, Exit
from tests.book.shelf import another, each_refusal, files, put, refusing
from tests.conftest import count, journal_of, note, numbered, refused

OURS = numbered(note("gate is chained"), count("Ledge/Cliff", "tapping", 42))
WIMS = numbered(count("Creek/Ford", "tapping", 80, who="Wim"), desk="w4w4w")
DAMAGED = b'{"kind":"note","id":"k7f2q-9","text":"ash le'

RECORD = [
    "2026/desk-w4w4w.jsonl",
    "2027/checklist.toml",
    "2027/desk-k7f2q-2.jsonl",
    "2027/desk-k7f2q.jsonl",
    "2027/set-apart/desk-k7f2q.jsonl",
    "book.toml",
]
"""Quillby's record, in the order in which an archive has it."""

STRANGE = [
    ".reserve",
    ".reserve.new",
    "photos/owl.jpg",
    "2027/notes.txt",
    "2027/desk-k7f2q.new",
    "2027/deep/desk-k7f2q.jsonl",
    "2027/set-apart/notes.txt",
    "3027/desk-k7f2q.jsonl",
    "quillby-2027-02-08.zip",
]
"""What may lie there as well."""


@pytest.fixture
def quillby(book: Book) -> Path:
    """Two seasons, a second file of a desk, a line set apart, and things that are no record."""
    put(put(book.path, *OURS), *WIMS, year=2026)
    for name in STRANGE:
        (book.path / name).parent.mkdir(parents=True, exist_ok=True)
        (book.path / name).write_bytes(b"hoo")
    (book.path / "2027" / "checklist.toml").write_text('name = "ours"\n', encoding="utf-8")
    journal_of(book.path / "2027", "k7f2q-2").write_bytes(b"")
    journal_of(book.path / "2027" / "set-apart").write_bytes(DAMAGED + b"\n")
    return book.path


def record(book: Path) -> dict[str, bytes]:
    """The bytes of what makes the book."""
    return {name: data for name, data in files(book).items() if name in RECORD}


def members(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as file:
        return {name: file.read(name) for name in file.namelist()}


def by_hand(path: Path, *more: dict[str, bytes]) -> Path:
    """A zip of these files, as any program makes one."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as file:
        for part in more:
            for name, data in part.items():
                file.writestr(name, data)
    return path


# --- out ---------------------------------------------------------------------------------------


def test_an_archive_holds_the_record_and_nothing_else(quillby: Path, tmp_path: Path) -> None:
    archived = archive(quillby, tmp_path / "a.zip")
    inside = members(tmp_path / "a.zip")
    assert list(inside) == [*RECORD, "SHA256SUMS"]
    assert {n: d for n, d in inside.items() if n != "SHA256SUMS"} == record(quillby)
    assert archived == Archived(tmp_path / "a.zip", files=6, lines=4)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["a.zip", "quillby"]


def test_its_sums_are_those_that_sha256sum_checks(quillby: Path, tmp_path: Path) -> None:
    archive(quillby, tmp_path / "a.zip")
    inside = members(tmp_path / "a.zip")
    rows = inside.pop("SHA256SUMS").decode("ascii").split("\n")
    assert rows.pop() == ""
    assert all(re.fullmatch("[0-9a-f]{64}  [^ ]+", row) for row in rows)
    assert rows == [f"{sha256(data).hexdigest()}  {name}" for name, data in inside.items()]


def test_the_same_book_makes_the_same_bytes_anywhere_and_at_any_time(
    quillby: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    archive(quillby, tmp_path / "a.zip")
    later = another(quillby, "quillby of next year")  # its files are of now
    later.chmod(0o700)
    journal_of(later / "2027").chmod(0o600)
    with monkeypatch.context() as clock:
        clock.setattr(time, "time", lambda: 1_900_000_000.0)
        clock.setattr("sys.platform", "win32")
        archive(later, tmp_path / "b.zip")
    put(later, *numbered(note("more"), start=3))
    archive(later, tmp_path / "c.zip")
    a, b, c = ((tmp_path / f"{name}.zip").read_bytes() for name in "abc")
    assert a == b != c


@pytest.mark.parametrize("there", ["a.zip", "a folder"])
def test_an_archive_overwrites_nothing(quillby: Path, tmp_path: Path, there: str) -> None:
    (tmp_path / "a folder").mkdir()
    (tmp_path / "a.zip").write_bytes(b"last year's")
    before = files(tmp_path)
    message, hint, code = refused(lambda: archive(quillby, tmp_path / there))
    assert (f"{there} is there already" in message, "--out" in hint) == (True, True)
    assert code is Exit.MISUSE
    assert files(tmp_path) == before


def test_an_archive_is_read_back_and_a_bad_one_is_not_left(
    quillby: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A stick that forgets what it was given, as cheap ones do."""

    def forget(_fd: int) -> None:
        (fresh,) = tmp_path.glob("a.zip.*")
        data = fresh.read_bytes()
        fresh.write_bytes(data.replace(data[50:90], bytes(40)))

    with monkeypatch.context() as stick:
        stick.setattr("os.fsync", forget)
        message, _hint, code = refused(lambda: archive(quillby, tmp_path / "a.zip"))
    assert "a.zip" in message
    assert code is Exit.BOOK
    assert [path.name for path in tmp_path.iterdir()] == ["quillby"]


def test_where_no_archive_can_be_made_nothing_is_left(quillby: Path, tmp_path: Path) -> None:
    message, hint, code = refused(lambda: archive(quillby, tmp_path / "no" / "a.zip"))
    assert message.startswith("Cannot make ")
    assert message.endswith("No such file or directory.")
    assert ("--out" in hint, code) == (True, Exit.BOOK)
    before = files(quillby)
    for nth in each_refusal():
        out = tmp_path / f"{nth}.zip"
        with refusing(nth) as asked, contextlib.suppress(BookError):
            archive(quillby, out)
        if out.exists():  # then all of it
            assert {**members(out), "SHA256SUMS": b""} == {**record(quillby), "SHA256SUMS": b""}
        assert not list(tmp_path.glob("*.new"))
        if len(asked) < nth:
            break
    assert {"open", "fsync", "replace"} <= set(asked)
    assert files(quillby) == before


# --- in ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("folder", ["new", "new/", "empty", "deep/er/new"])
def test_a_restored_book_is_the_same_byte_for_byte(
    quillby: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, folder: str
) -> None:
    archive(quillby, tmp_path / "a.zip")
    (tmp_path / "empty").mkdir()
    monkeypatch.chdir(tmp_path)
    assert restore(Path("a.zip"), Path(folder)) == Archived(Path(folder), files=6, lines=4)
    assert files(Path(folder)) == record(quillby)
    assert Book.open(Path(folder), year=2026).entries == WIMS
    there = {path.name for path in tmp_path.iterdir()}
    assert there == {"a.zip", "empty", "quillby", Path(folder).parts[0]}


def test_a_book_is_restored_where_one_stands(
    quillby: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    archive(quillby, tmp_path / "a.zip")
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")
    restore(Path("../a.zip"), Path())
    assert files(tmp_path / "here") == record(quillby)
    assert Path("book.toml").is_file()  # it is still the folder one stands in


@pytest.mark.parametrize("what", ["book", "photo", "file", "inside"])
def test_a_folder_in_use_is_left_alone(quillby: Path, tmp_path: Path, what: str) -> None:
    archive(quillby, tmp_path / "a.zip")
    (tmp_path / "photo").mkdir()
    (tmp_path / "photo" / "owl.jpg").write_bytes(b"hoo")
    (tmp_path / "file").write_bytes(b"in the way")
    before = files(tmp_path)
    folder = {"book": quillby, "inside": tmp_path / "file" / "new"}.get(what, tmp_path / what)
    message, hint, code = refused(lambda: restore(tmp_path / "a.zip", folder))
    assert (what if what != "book" else "quillby is in use") in message or what == "inside"
    assert hint
    assert code is (Exit.MISUSE if what in ("book", "photo") else Exit.BOOK)
    assert files(tmp_path) == before


def test_any_changed_byte_of_an_archive_is_found_or_does_not_matter(
    quillby: Path, book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Restored as it was or refused in words; and merging it changes nothing either."""
    monkeypatch.setattr("os.fsync", lambda _fd: None)
    archive(quillby, tmp_path / "a.zip")
    sound, whole, refusals = (tmp_path / "a.zip").read_bytes(), record(quillby), 0
    for at in range(0, len(sound), 3):
        changed = bytearray(sound)
        changed[at] ^= (0x01, 0x04, 0x08, 0x80)[at % 4]
        (tmp_path / "b.zip").write_bytes(changed)
        try:
            restore(tmp_path / "b.zip", tmp_path / str(at))
        except BookError as error:
            refusals += error.code is Exit.BOOK
            assert not (tmp_path / str(at)).exists()
        else:
            assert files(tmp_path / str(at)) == whole, at
        with contextlib.suppress(BookError):
            assert merge(quillby, tmp_path / "b.zip").came == 0
    assert refusals > len(sound) // 3 / 2
    assert record(quillby) == whole


@pytest.mark.parametrize("keep", [0, 1, 22, 100, -1, -100])
def test_an_archive_cut_short_is_refused(quillby: Path, tmp_path: Path, keep: int) -> None:
    archive(quillby, tmp_path / "a.zip")
    (tmp_path / "b.zip").write_bytes((tmp_path / "a.zip").read_bytes()[:keep])
    message, hint, code = refused(lambda: restore(tmp_path / "b.zip", tmp_path / "new"))
    assert (message.startswith("Cannot read "), "Take the copy again" in hint) == (True, True)
    assert code is Exit.BOOK
    assert not (tmp_path / "new").exists()


@pytest.mark.parametrize(
    ("harm", "named"),
    [
        ("changed", "2027/desk-k7f2q.jsonl"),
        ("missing", "2027/desk-k7f2q.jsonl"),
        ("more", "SHA256SUMS"),
        ("no sums", "SHA256SUMS"),
    ],
)
def test_what_is_not_as_it_was_copied_is_named(
    quillby: Path, tmp_path: Path, harm: str, named: str
) -> None:
    archive(quillby, tmp_path / "a.zip")
    inside = members(tmp_path / "a.zip")
    if harm == "changed":
        inside["2027/desk-k7f2q.jsonl"] = inside["2027/desk-k7f2q.jsonl"].replace(b":42", b":43")
    elif harm == "missing":
        del inside["2027/desk-k7f2q.jsonl"]
    elif harm == "more":
        inside["2027/desk-zzzzz.jsonl"] = b""
    else:
        inside["SHA256SUMS"] = b""
    by_hand(tmp_path / "b.zip", inside)
    message, hint, code = refused(lambda: restore(tmp_path / "b.zip", tmp_path / "new"))
    assert message == f"{tmp_path / 'b.zip'} is damaged: {named} is not as it was copied."
    assert ("fieldbook merge" in hint, code) == (True, Exit.BOOK)
    assert not (tmp_path / "new").exists()


def test_names_in_a_list_of_sums_cannot_act_on_the_terminal(quillby: Path, tmp_path: Path) -> None:
    sums = {"SHA256SUMS": b"00  \x1b[2Jowl\n"}
    by_hand(tmp_path / "b.zip", record(quillby), sums)
    message, _hint, _code = refused(lambda: restore(tmp_path / "b.zip", tmp_path / "new"))
    assert "\x1b" not in message


@pytest.mark.parametrize("inside", ["", "quillby/", "Wim's things/quillby/"])
def test_a_zip_made_by_hand_is_restored_and_has_no_sums(
    quillby: Path, tmp_path: Path, inside: str
) -> None:
    by_hand(tmp_path / "b.zip", {inside + name: data for name, data in files(quillby).items()})
    restored = restore(tmp_path / "b.zip", tmp_path / "new")
    assert (restored.summed, restored.files) == (False, 6)
    assert set(restored.left_out) == {inside + name for name in STRANGE}
    assert files(tmp_path / "new") == record(quillby)


EVIL = [
    *("../../evil", "../book.toml/../evil", "/evil", "//evil", "C:\\evil", "C:evil", "\\\\owl\\x"),
    *("2027/desk-../x.jsonl", "2027/../../desk-evil.jsonl", "2027/desk-..\\..\\evil.jsonl"),
    *("2027/desk-C:evil.jsonl", "2027/set-apart/../../../desk-x.jsonl", "./2027/desk-x.jsonl"),
    *("2027/desk-x.jsonl/x", "1027/desk-x.jsonl", "2027/desk-x.jsonl\n", "2027/desk-x.exe"),
]


@pytest.mark.parametrize("inside", ["", "quillby/"])
@pytest.mark.parametrize("name", EVIL)
def test_a_name_in_a_zip_is_not_a_path_to_write_to(
    quillby: Path, tmp_path: Path, name: str, inside: str
) -> None:
    mine = {inside + name: data for name, data in record(quillby).items()}
    by_hand(tmp_path / "b.zip", mine, {name: b"boo"})
    before = files(tmp_path)
    restored = restore(tmp_path / "b.zip", tmp_path / "new")
    assert files(tmp_path / "new") == record(quillby)
    assert {n: d for n, d in files(tmp_path).items() if not n.startswith("new/")} == before
    assert restored.left_out == (name,)


def test_a_zip_without_a_book_is_no_archive(tmp_path: Path) -> None:
    by_hand(tmp_path / "b.zip", {"2027/desk-k7f2q.jsonl": b""})
    message, hint, code = refused(lambda: restore(tmp_path / "b.zip", tmp_path / "new"))
    assert (message.startswith("There is no book in "), "--archive" in hint) == (True, True)
    assert code is Exit.BOOK


@pytest.mark.parametrize("what", ["nowhere.zip", "quillby", "quillby/book.toml"])
def test_what_is_no_zip_is_named(quillby: Path, tmp_path: Path, what: str) -> None:
    message, _hint, code = refused(lambda: restore(tmp_path / what, tmp_path / "new"))
    assert message.startswith(f"Cannot read {tmp_path / what}: ")
    assert code is Exit.BOOK


def test_an_archive_of_a_newer_fieldbook_or_with_a_broken_book_toml_makes_nothing(
    quillby: Path, tmp_path: Path
) -> None:
    for text in (b'format = 2\nid = "00"\nname = "Q"\n', b"format = "):
        by_hand(tmp_path / "b.zip", record(quillby) | {"book.toml": text})
        assert refused(lambda: restore(tmp_path / "b.zip", tmp_path / "new"))[2] is Exit.BOOK
        assert sorted(p.name for p in tmp_path.iterdir()) == ["b.zip", "quillby"]


@pytest.mark.parametrize("there", [True, False])
def test_a_disk_that_refuses_leaves_nothing_half_made(
    quillby: Path, tmp_path: Path, there: bool
) -> None:
    archive(quillby, tmp_path / "a.zip")
    for nth in each_refusal():
        new = tmp_path / f"new {nth}"
        if there:
            new.mkdir()
        with refusing(nth) as asked, contextlib.suppress(BookError):
            restore(tmp_path / "a.zip", new)
        if len(asked) < nth:
            break
        # Refused near the end it may be there, but never a part of it.
        assert not new.exists() or files(new) in ({}, record(quillby))
        assert not list(tmp_path.glob("*.new")) or asked[-1] in ("rmdir", "unlink")
    assert files(new) == record(quillby)


# --- every day ---------------------------------------------------------------------------------

TUESDAY = date(2027, 2, 9)


def kept(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.glob("*"))


def wants(book: Path, place: str) -> Path:
    """A book that says where its copies go."""
    with (book / "book.toml").open("a", encoding="utf-8") as mark:
        mark.write(f"copies = '{place}'\n")
    return book


def test_a_copy_is_kept_beside_the_book_once_a_day(book: Book, tmp_path: Path) -> None:
    put(book.path, *OURS)
    copies = tmp_path / "quillby-copies"
    first = keep_daily_copy(book.path, "k7f2q", TUESDAY)
    assert first == copies / "quillby-k7f2q-2027-02-09.zip"
    put(book.path, *WIMS)
    assert keep_daily_copy(book.path, "k7f2q", TUESDAY) is None
    assert keep_daily_copy(book.path, "k7f2q", TUESDAY + timedelta(1)) is not None
    assert kept(copies) == ["quillby-k7f2q-2027-02-09.zip", "quillby-k7f2q-2027-02-10.zip"]
    restore(copies / "quillby-k7f2q-2027-02-10.zip", tmp_path / "new")
    assert files(tmp_path / "new") == files(book.path)


def test_no_copy_is_kept_when_nothing_changed_since_the_last(book: Book, tmp_path: Path) -> None:
    assert keep_daily_copy(book.path, "k7f2q", TUESDAY)
    for days in (1, 2, 30):
        assert keep_daily_copy(book.path, "k7f2q", TUESDAY + timedelta(days)) is None
    put(book.path, *OURS)
    assert keep_daily_copy(book.path, "k7f2q", TUESDAY + timedelta(31))
    assert len(kept(tmp_path / "quillby-copies")) == 2


@pytest.mark.parametrize("harm", ["cut short", "another byte in its sums", "emptied"])
def test_a_copy_that_was_damaged_is_no_reason_to_keep_none(book: Book, harm: str) -> None:
    first = keep_daily_copy(book.path, "k7f2q", TUESDAY)
    assert first is not None
    data = bytearray(first.read_bytes())
    with zipfile.ZipFile(first) as copy:
        at = copy.getinfo("SHA256SUMS").header_offset + 45
    data[at] ^= 0x80
    damaged = {"cut short": data[:-30], "emptied": bytearray()}.get(harm, data)
    first.write_bytes(damaged)
    assert keep_daily_copy(book.path, "k7f2q", TUESDAY + timedelta(1))


@pytest.mark.parametrize(
    ("place", "folder"),
    [
        ("safe/copies", "quillby/safe/copies"),
        ("../stick", "stick"),
        ("~/copies", "home/copies"),
        ("~", "home"),
    ],
)
def test_copies_are_kept_where_the_book_says(
    book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, place: str, folder: str
) -> None:
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    monkeypatch.setenv("USERPROFILE", str(tmp_path / "home"))
    (tmp_path / folder).parent.mkdir(exist_ok=True)
    keep_daily_copy(wants(book.path, place), "k7f2q", TUESDAY)
    assert kept(tmp_path / folder) == ["quillby-k7f2q-2027-02-09.zip"]
    archive(book.path, tmp_path / "a.zip")
    assert list(members(tmp_path / "a.zip")) == ["book.toml", "SHA256SUMS"]


def test_an_absolute_place_is_where_it_says(book: Book, tmp_path: Path) -> None:
    keep_daily_copy(wants(book.path, str(tmp_path / "stick")), "k7f2q", TUESDAY)
    assert kept(tmp_path / "stick") == ["quillby-k7f2q-2027-02-09.zip"]


def test_a_stick_that_is_out_is_no_folder_to_be_made(book: Book, tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        keep_daily_copy(wants(book.path, str(tmp_path / "stick/copies")), "k7f2q", TUESDAY)
    assert kept(tmp_path) == ["quillby"]


def test_who_wants_no_copies_gets_none(book: Book, tmp_path: Path) -> None:
    assert keep_daily_copy(wants(book.path, ""), "k7f2q", TUESDAY) is None
    assert kept(tmp_path) == ["quillby"]


def test_a_place_must_be_words(book: Book) -> None:
    mark = book.path / "book.toml"
    mark.write_text(mark.read_text("utf-8") + "copies = 3\n", "utf-8")
    message, _hint, code = refused(lambda: read_facts(book.path))
    assert "copies is missing or not of the right kind" in message
    assert code is Exit.BOOK


@pytest.mark.parametrize("place", ["/dev/null/copies", "~nobody-of-that-name/copies", "a\\u0000b"])
def test_where_no_copy_can_be_kept_the_work_goes_on_with_an_alarm(book: Book, place: str) -> None:
    mark = book.path / "book.toml"
    mark.write_text(mark.read_text("utf-8") + f'copies = "{place}"\n', "utf-8")
    opened = Book.open(book.path, desk="k7f2q")
    assert opened.alarm == ""
    opened.keep_safe(TUESDAY)
    assert opened.alarm.startswith("No copy of the book could be kept today (")
    assert opened.record(note("all the same"))[0].id == "k7f2q-1"
    mark.write_text(mark.read_text("utf-8").replace("copies =", "# copies ="), "utf-8")
    opened.keep_safe(TUESDAY)
    assert opened.alarm == ""
    opened.close()


def test_the_newest_fourteen_and_the_last_of_each_month_are_kept(
    book: Book, tmp_path: Path
) -> None:
    copies = tmp_path / "quillby-copies"
    copies.mkdir()
    days = [date(2026, 12, 30), date(2026, 12, 31), date(2027, 1, 2), date(2027, 1, 20)]
    days += [date(2027, 1, 26) + timedelta(n) for n in range(14)]  # to Monday 8 February
    others = [
        *("owl.jpg", "quillby-k7f2q-2020-01-01.txt", "quillby-k7f2q-2020-01-01.zip.part"),
        *("quillby-w4w4w-2020-01-01.zip", "quillby-w4w4w-2020-01-02.zip"),  # another desk
        *("otter-k7f2q-2020-01-01.zip", "old-quillby-k7f2q-2020-01-01.zip"),  # another book
        *("quillby-k7f2q-2020-01-01-before-the-flood.zip", "quillby-k7f2q-last.zip"),  # a person's
    ]
    for name in [*others, *(f"quillby-k7f2q-{day}.zip" for day in days)]:
        (copies / name).write_bytes(b"")
    keep_daily_copy(book.path, "k7f2q", TUESDAY)
    left = [name for name in kept(copies) if name not in others]
    assert left == [
        "quillby-k7f2q-2026-12-31.zip",
        *(f"quillby-k7f2q-2027-01-{day}.zip" for day in range(27, 32)),
        *(f"quillby-k7f2q-2027-02-0{day}.zip" for day in range(1, 10)),
    ]
    assert len(left) == 1 + 14
    assert set(others) <= set(kept(copies))


def test_of_a_month_that_left_the_fourteen_the_last_copy_stays(book: Book, tmp_path: Path) -> None:
    copies = tmp_path / "quillby-copies"
    for days in range(40):  # 9 February to 20 March
        put(book.path, *numbered(note("a day"), start=days + 1))
        keep_daily_copy(book.path, "k7f2q", TUESDAY + timedelta(days))
    assert kept(copies) == [
        "quillby-k7f2q-2027-02-28.zip",
        *(f"quillby-k7f2q-2027-03-{day:02}.zip" for day in range(7, 21)),
    ]


def test_a_clock_that_ran_ahead_once_costs_no_copies_of_the_days_after(
    book: Book, tmp_path: Path
) -> None:
    copies = tmp_path / "quillby-copies"
    for number, day in enumerate([date(2036, 1, 1), *(TUESDAY + timedelta(n) for n in range(3))]):
        put(book.path, *numbered(note("a day"), start=number + 1))
        assert keep_daily_copy(book.path, "k7f2q", day) is not None
    assert len(kept(copies)) == 4
