"""The book: made, opened, written in, crossed out, checked, and every refusal on the way."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from fieldbook.book.book import Book, is_book, new_desk_code, read_facts
from fieldbook.book.layout import book_seasons
from fieldbook.errors import BookError, Exit, NotSaved
from tests.conftest import NOW, count, journal_of, lines, note, notes_in, numbered, refused, strike

# --- made and opened ---------------------------------------------------------------------------


def test_a_new_book_is_found_again_with_its_name_and_season(tmp_path: Path) -> None:
    path = tmp_path / "woods" / "quillby"
    made = Book.new(path, name='Quillby "Hollow" \\ north\n', year=2027)
    opened = Book.open(path)
    assert is_book(path)
    assert not is_book(path.parent)
    assert (opened.name, opened.year, opened.id) == ('Quillby "Hollow" \\ north', 2027, made.id)
    assert re.fullmatch("[0-9a-f]{16}", made.id)
    assert (opened.desk, opened.today, opened.keys, list(opened.entries)) == (None, None, {}, [])


def test_the_latest_season_opens_unless_a_year_is_given(book: Book) -> None:
    with pytest.raises(BookError):
        Book.begin_season(book.path, 2027)
    Book.begin_season(book.path, 2026)
    (book.path / "notes-2028").mkdir()
    (book.path / "2029").write_text("not a folder")
    assert book.seasons == book_seasons(book.path) == [2026, 2027]
    assert Book.open(book.path).year == 2027
    assert Book.open(book.path, year=2026).year == 2026


def test_a_season_numbers_its_entries_by_itself(book: Book) -> None:
    book.record(note("first"), note("second"))
    following = Book.begin_season(book.path, 2028, desk="k7f2q")
    (entry,) = following.record(note("third"))
    following.close()
    assert (entry.id, entry.tick) == ("k7f2q-1", 1)


def test_the_book_says_when_time_stands_still_and_which_keys_the_crew_chose(book: Book) -> None:
    with (book.path / "book.toml").open("a") as mark:
        mark.write('today = 2027-02-16\n[keys]\nfinish = "f"\n')
    opened = Book.open(book.path)
    assert str(opened.today) == "2027-02-16"
    assert opened.keys == {"finish": "f"}


def test_a_desk_code_can_be_said_over_a_saw() -> None:
    codes = [new_desk_code() for _draw in range(200)]
    assert all(re.fullmatch("[a-hjkmnp-tw-z][a-hjkmnp-tw-z2-9]{4}", code) for code in codes)
    assert len(set(codes)) > 190


GOOD = 'format = 1\nid = "00ff"\nname = "Quillby"\n'


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("format = ", "Cannot read"),
        ('format = 1\nname = "Quillby"\n', "id is missing or not of the right kind"),
        (GOOD.replace('"Quillby"', "7"), "name is missing or not of the right kind"),
        (GOOD.replace("1", '"one"'), "format is missing or not of the right kind"),
        (GOOD + 'today = "Tuesday"\n', "today is missing or not of the right kind"),
        (GOOD + "keys = { finish = 1 }\n", "keys is missing or not of the right kind"),
    ],
)
def test_a_book_toml_that_cannot_be_used_is_named(tmp_path: Path, text: str, words: str) -> None:
    (tmp_path / "book.toml").write_text(text)
    message, hint, code = refused(lambda: read_facts(tmp_path))
    assert str(tmp_path / "book.toml") in message
    assert words in message
    assert "Put back the file" in hint
    assert code is Exit.BOOK


def test_a_book_toml_saved_with_a_byte_order_mark_is_read(tmp_path: Path) -> None:
    (tmp_path / "book.toml").write_text(GOOD, encoding="utf-8-sig")
    assert read_facts(tmp_path)["name"] == "Quillby"


@pytest.mark.parametrize(
    ("open_it", "words", "hint", "code"),
    [
        (lambda p: Book.open(p / "nowhere"), "There is no book", "Check the path", Exit.BOOK),
        (lambda p: Book.open(p), "is not a book: it has no book.toml", "own folder", Exit.BOOK),
        (lambda p: Book.open(p / "new"), "newer fieldbook (format 2)", "Update", Exit.BOOK),
        (lambda p: Book.open(p / "bare"), "has no season yet", "--season YEAR", Exit.MISUSE),
        (lambda p: Book.open(p / "q", year=2031), "no season 2031", "has: 2027", Exit.MISUSE),
        (lambda p: Book.new(p, name="Q", year=2027), "is in use", "not exist yet", Exit.MISUSE),
        (lambda p: Book.new(p / "n", name=" \x00", year=2027), "a name", "--name", Exit.MISUSE),
        (lambda p: Book.new(p / "file", name="Q", year=2027), "Cannot make", "may", Exit.BOOK),
        (lambda p: Book.begin_season(p / "q", 2027), "a season 2027 already", "open", Exit.MISUSE),
        (lambda p: Book.begin_season(p / "nowhere", 2027), "no book", "Check", Exit.BOOK),
    ],
)
def test_what_cannot_be_opened_or_made_says_why_and_the_way_out(
    tmp_path: Path, open_it: Callable[[Path], object], words: str, hint: str, code: Exit
) -> None:
    Book.new(tmp_path / "q", name="Quillby", year=2027)
    for name, text in [("bare", GOOD), ("new", GOOD.replace("1", "2"))]:
        (tmp_path / name).mkdir()
        (tmp_path / name / "book.toml").write_text(text)
    (tmp_path / "file").write_text("in the way")
    got = refused(lambda: open_it(tmp_path))
    assert words in got[0]
    assert hint in got[1]
    assert got[2] is code


# --- written in --------------------------------------------------------------------------------


def test_what_is_recorded_stands_there_for_the_next_one(book: Book) -> None:
    first, second = book.record(note("gate is \x1bchained"), count("Ledge/Cliff", "tapping", 42))
    (third,) = book.record(note("two spans down"))
    assert [(e.id, e.tick) for e in (first, second, third)] == [
        ("k7f2q-1", 1),
        ("k7f2q-2", 2),
        ("k7f2q-3", 3),
    ]
    assert first["text"] == "gate is chained"
    reopened = Book.open(book.path)
    assert list(reopened.entries) == list(book.entries) == [first, second, third]
    assert reopened.entry("k7f2q-2") == second
    assert reopened.entry("k7f2q-9") is None


def test_a_desk_goes_on_with_its_numbers_after_all_that_it_has_seen(book: Book) -> None:
    book.record(note("one"), note("two"))
    other = Book.open(book.path, desk="b3x9m")
    (theirs,) = other.record(note("three"))
    other.close()
    again = Book.open(book.path, desk="k7f2q")
    (ours,) = again.record(note("four"))
    again.close()
    assert [(theirs.id, theirs.tick), (ours.id, ours.tick)] == [("b3x9m-1", 3), ("k7f2q-3", 4)]
    assert notes_in(book) == ["one", "two", "three", "four"]


def test_a_field_over_its_limit_is_named_and_nothing_is_recorded(book: Book) -> None:
    many = count("Ledge/Cliff", "tapping", 1_000_001)
    message, hint, code = refused(lambda: book.record(note("fine"), many))
    assert message == "That cannot be recorded: count must be <= 1000000."
    assert "field named" in hint
    assert code is Exit.MISUSE
    assert list(book.entries) == []
    assert book.record(note("again"))[0].id == "k7f2q-1"


def test_a_book_opened_for_reading_takes_no_entry(book: Book) -> None:
    with pytest.raises(NotSaved, match="for reading only") as error:
        Book.open(book.path).record(note("x"))
    assert error.value.code is Exit.BOOK


# --- crossed out -------------------------------------------------------------------------------


def test_a_strike_crosses_out_and_the_original_stays_readable(book: Book) -> None:
    wrong, right = book.record(note("gate open"), note("gate chained"))
    crossed = book.strike(wrong.id, "was the\x07 other gate", by="Wim", now=NOW)
    assert (crossed.entry, crossed.reason, crossed.by) == (wrong.id, "was the other gate", "Wim")
    assert book.struck_by(wrong.id) == Book.open(book.path).struck_by(wrong.id) == crossed
    assert book.struck_by(right.id) is None
    assert notes_in(book) == ["gate open", "gate chained"]


@pytest.mark.parametrize(
    ("entry_id", "reason", "words", "hint"),
    [
        ("k7f2q-9", "wrong", "no entry k7f2q-9 in season 2027", "fieldbook log"),
        ("", "wrong", "There is no entry", "fieldbook log"),
        ("k7f2q-3", "wrong", "k7f2q-3 is itself a strike", "again"),
        ("k7f2q-2", "wrong", "k7f2q-2 was struck already by Wim: was Cedar", ""),
        ("k7f2q-1", "", "needs a reason", "few words"),
        ("k7f2q-1", " \x1b ", "needs a reason", "few words"),
    ],
    ids=["of nothing", "of no id", "of a strike", "twice", "no reason", "blank reason"],
)
def test_a_strike_that_cannot_be(
    book: Book, entry_id: str, reason: str, words: str, hint: str
) -> None:
    _kept, wrong = book.record(note("kept"), note("wrong"))
    book.strike(wrong.id, "was Cedar", by="Wim", now=NOW)
    before = journal_of(book.path / "2027").read_bytes()
    got = refused(lambda: book.strike(entry_id, reason, by="Oda", now=NOW))
    assert words in got[0]
    assert hint in got[1]
    assert got[2] is Exit.MISUSE
    assert journal_of(book.path / "2027").read_bytes() == before


# --- checked -----------------------------------------------------------------------------------


def test_a_sound_book_has_nothing_to_report(book: Book) -> None:
    (wrong,) = book.record(note("wrong"))
    book.strike(wrong.id, "twice", by="Oda", now=NOW)
    assert book.check() == Book.open(book.path).check() == []


def test_a_check_tells_of_lines_set_apart_gaps_and_strikes_of_nothing(book: Book) -> None:
    (theirs,) = numbered(strike(numbered(note("x"), desk="b3x9m")[0]), desk="w4w4w", start=2)
    journal_of(book.path / "2027", "w4w4w").write_bytes(lines(theirs) + b'{"kind":"no')
    problems = Book.open(book.path).check()
    assert [(p.where, p.grave) for p in problems] == [
        (f"2027/desk-w4w4w.jsonl, byte {len(lines(theirs))}", True),
        ("desk w4w4w", False),
        ("w4w4w-2", False),
    ]
    assert [p.what for p in problems][1:] == [
        "entry 1 of desk w4w4w is missing",
        "strikes b3x9m-1, which is not in this season",
    ]


def test_a_season_that_cannot_be_begun_leaves_no_empty_one(
    book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It would be the newest, and be opened in place of the one people work in."""

    def refuse(_folder: Path) -> None:
        raise OSError(5, "Input/output error")

    monkeypatch.setattr("fieldbook.book.book.sync_folder", refuse)
    message, _hint, code = refused(lambda: Book.begin_season(book.path, 2028))
    assert (message.endswith("Input/output error."), code) == (True, Exit.BOOK)
    assert 2028 not in book.seasons
