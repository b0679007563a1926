"""Editors and syncing services at the journal of an open book, at the worst moments."""

import contextlib
import functools
import itertools
import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from fieldbook.book import lock
from fieldbook.book.book import Book
from fieldbook.errors import NotSaved
from tests.conftest import DESK, journal_of, note, refused
from tests.faults.disk import Disk
from tests.faults.found import counted, found, saved, twins

pytestmark = pytest.mark.skipif(
    os.name == "nt", reason="Windows lets nobody replace or move an open file"
)

Deed = Callable[[Path], object]
"""What another program does to a journal, given its path."""

# --- what other programs do ---------------------------------------------------------------------


def put_in_its_place(path: Path, data: bytes) -> None:
    """As a syncing service, or an editor that saves safely: another file, a moment later."""
    fresh = path.with_suffix(".part")
    fresh.write_bytes(data)
    later(fresh, path)
    fresh.replace(path)


def write_over(path: Path, data: bytes) -> None:
    """As an editor that saves in place: the same file."""
    path.write_bytes(data)
    later(path, path)


def later(path: Path, than: Path) -> None:
    """A disk tells times apart by some thousandths of a second; no other program is as fast."""
    last = than.stat().st_mtime_ns
    os.utime(path, ns=(last, last + 1_000_000_000))


def first_line(path: Path) -> bytes:
    return path.read_bytes().partition(b"\n")[0] + b"\n"


def with_another_word(path: Path) -> bytes:
    return path.read_bytes().replace(b'"one"', b'"ONE"')


def move_to_a_copy(path: Path) -> Path:
    """As a syncing service that found two versions: ours under another name."""
    return path.rename(path.with_name("desk-k7f2q (conflicted copy).jsonl"))


def keep_theirs(path: Path) -> None:
    theirs = first_line(path)
    move_to_a_copy(path)
    path.write_bytes(theirs)


DEEDS: dict[str, Deed] = {
    "put a copy in its place": lambda path: put_in_its_place(path, path.read_bytes()),
    "put an older one in its place": lambda path: put_in_its_place(path, first_line(path)),
    "put an empty one in its place": lambda path: put_in_its_place(path, b""),
    "put one with another word in its place": lambda p: put_in_its_place(p, with_another_word(p)),
    "write it over, shorter": lambda path: write_over(path, first_line(path)),
    "write it over, longer": lambda path: write_over(path, path.read_bytes() + b"\n# mine\n" * 99),
    "write another word": lambda path: write_over(path, with_another_word(path)),
    "write another word and a line": lambda p: write_over(p, with_another_word(p) + b"# mine\n"),
    "write it over as it was": lambda path: write_over(path, path.read_bytes()),
    "truncate it to nothing": lambda path: os.truncate(path, 0),
    "truncate half of it": lambda path: os.truncate(path, path.stat().st_size // 2),
    "take off the last newline": lambda path: write_over(path, path.read_bytes()[:-1]),
    "end its lines with CRLF": lambda p: write_over(p, p.read_bytes().replace(b"\n", b"\r\n")),
    "put a BOM before it": lambda path: write_over(path, b"\xef\xbb\xbf" + path.read_bytes()),
    "save it as UTF-16": lambda p: write_over(p, p.read_bytes().decode().encode("utf-16")),
    "delete it": lambda path: path.unlink(),
    "delete the season's folder": lambda path: shutil.rmtree(path.parent),
    "move it to a conflicted copy": move_to_a_copy,
    "move it to a conflicted copy, keep another": keep_theirs,
    "swap the order of its lines": lambda p: write_over(
        p, b"".join(sorted(p.read_bytes().splitlines(keepends=True), reverse=True))
    ),
}

deeds = pytest.mark.parametrize("deed", DEEDS.values(), ids=DEEDS)


def do(deed: Deed, path: Path) -> None:
    """If the file is there: the deed may be done more than once."""
    if path.exists():
        deed(path)


@pytest.fixture
def path(book: Book) -> Path:
    """The journal of a book with two entries."""
    assert saved(book, "one", "two")
    return journal_of(book.path / "2027")


# --- between two entries ------------------------------------------------------------------------


@deeds
def test_what_was_acknowledged_is_written_again_with_the_next_entry(
    book: Book, path: Path, deed: Deed
) -> None:
    deed(path)
    assert saved(book, "three")
    assert counted(book) == found(book.path) == ["one", "two", "three"]
    assert twins(book.path) == []


@deeds
def test_what_was_acknowledged_is_written_again_without_any_entry(
    book: Book, path: Path, deed: Deed
) -> None:
    deed(path)
    book.catch_up()
    assert counted(book) == found(book.path) == ["one", "two"]
    assert twins(book.path) == []
    size = path.stat().st_size
    book.catch_up()
    assert path.stat().st_size == size  # and once only


@deeds
def test_what_a_window_opened_since_did_not_know_is_written_again_by_one_that_does(
    book: Book, path: Path, deed: Deed
) -> None:
    deed(path)
    path.parent.mkdir(exist_ok=True)
    # A laptop that misses numbers it has given out takes another desk.
    desk = DESK if Book.open(book.path).highest_number(DESK) == 2 else "b3x9m"
    window = Book.open(book.path, desk=desk)
    assert saved(window, "three")
    window.close()
    book.catch_up()
    assert sorted(counted(book)) == sorted(found(book.path)) == ["one", "three", "two"]
    assert twins(book.path) == []
    assert saved(book, "last")
    assert sorted(found(book.path)) == ["last", "one", "three", "two"]
    assert found(book.path)[-1] == "last"


def test_if_a_number_was_given_out_twice_after_all_both_lines_are_kept_and_told(
    book: Book, path: Path
) -> None:
    os.truncate(path, 0)
    window = Book.open(book.path, desk=DESK)
    assert saved(window, "zwei")
    window.close()
    book.catch_up()
    assert len(twins(book.path)) == 1
    journal = path.read_text(encoding="utf-8")
    assert all(f'"{text}"' in journal for text in ("one", "two", "zwei"))


def test_an_alarm_says_that_another_program_was_here(book: Book, path: Path) -> None:
    assert book.alarm == ""
    path.unlink()
    book.catch_up()
    assert "2 entries were written again" in book.alarm


# --- at any moment while an entry is recorded ---------------------------------------------------


@deeds
def test_at_whatever_moment_another_program_comes_nothing_acknowledged_is_lost(
    tmp_path: Path, deed: Deed
) -> None:
    for nth in itertools.count(1):
        with Disk(tmp_path) as disk:
            book = Book.new(tmp_path / str(nth), name="Quillby Hollow", year=2027, desk=DESK)
            journal = journal_of(book.path / "2027")
            assert saved(book, "one", "two")
            disk.meanwhile(nth, functools.partial(do, deed, journal))
            texts = ["one", "two", *(["three"] if saved(book, "three") else [])]
            happened = disk.happened
            disk.mend()
            assert counted(book) == texts, nth
            book.catch_up()
            assert found(book.path) == texts, nth
            assert saved(book, "four"), nth
            assert counted(book) == found(book.path) == [*texts, "four"], nth
            assert twins(book.path) == [], nth
            book.close()
        if not happened:
            break
    assert nth > 5


ANOTHER_FILE = (
    "put a copy in its place",
    "put an older one in its place",
    "put an empty one in its place",
    "delete it",
    "move it to a conflicted copy, keep another",
)


@pytest.mark.parametrize("deed", [DEEDS[name] for name in ANOTHER_FILE], ids=ANOTHER_FILE)
def test_an_entry_is_in_the_file_that_stands_there_when_it_is_acknowledged(
    tmp_path: Path, deed: Deed
) -> None:
    late = []
    for nth in itertools.count(1):
        with Disk(tmp_path) as disk:
            book = Book.new(tmp_path / str(nth), name="Quillby Hollow", year=2027, desk=DESK)
            assert saved(book, "one")
            disk.meanwhile(nth, functools.partial(do, deed, journal_of(book.path / "2027")))
            assert saved(book, "two")
            happened = disk.happened
            disk.mend()
            if "two" not in found(book.path):
                late.append(nth)
            book.close()
        if not happened:
            break
    assert late in ([], [nth - 1])  # when it comes after the last look, "saved" is said already


@deeds
def test_what_it_did_before_the_last_look_is_put_right_before_anything_is_acknowledged(
    tmp_path: Path, deed: Deed
) -> None:
    """A command ends when its entry is saved: nobody looks for news afterwards."""
    for nth in itertools.count(1):
        with Disk(tmp_path) as disk:
            book = Book.new(tmp_path / str(nth), name="Quillby Hollow", year=2027, desk=DESK)
            assert saved(book, "one", "two")
            before = len(disk.calls)
            disk.meanwhile(nth, functools.partial(do, deed, journal_of(book.path / "2027")))
            said = saved(book, "three")
            happened = disk.happened
            disk.mend()
            asked = [call.name for call in disk.calls[before:]]
            if said and not {"one", "two", "three"} <= set(found(book.path)):
                write = asked.index("write")
                last_look = write - asked[:write][::-1].index("fstat")
                assert nth > last_look, asked
            book.close()
        if not happened:
            break


@deeds
def test_at_whatever_moment_it_comes_while_a_window_looks_for_news_nothing_is_lost(
    tmp_path: Path, deed: Deed
) -> None:
    for nth in itertools.count(1):
        with Disk(tmp_path) as disk:
            book = Book.new(tmp_path / str(nth), name="Quillby Hollow", year=2027, desk=DESK)
            journal = journal_of(book.path / "2027")
            assert saved(book, "one", "two")
            DEEDS["put an older one in its place"](journal)
            disk.meanwhile(nth, functools.partial(do, deed, journal))
            with contextlib.suppress(NotSaved):
                book.catch_up()
            happened = disk.happened
            disk.mend()
            book.catch_up()
            assert counted(book) == found(book.path) == ["one", "two"], nth
            assert twins(book.path) == [], nth
            book.close()
        if not happened:
            break
    assert nth > 5


@deeds
def test_a_second_window_that_records_on_the_other_file_gets_other_numbers(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, deed: Deed
) -> None:
    """The lock is on the file that was there before: it does not keep anybody off the new one."""
    monkeypatch.setattr(lock, "acquire", functools.partial(lock.acquire, patience_s=0))
    for nth in itertools.count(1):
        with Disk(tmp_path) as disk:
            book = Book.new(tmp_path / str(nth), name="Quillby Hollow", year=2027, desk=DESK)
            journal = journal_of(book.path / "2027")
            assert saved(book, "one", "two")
            window = Book.open(book.path, desk=DESK)
            theirs: list[str] = []

            def meanwhile(
                journal: Path = journal, window: Book = window, theirs: list[str] = theirs
            ) -> None:
                do(deed, journal)
                if saved(window, "theirs"):
                    theirs.append("theirs")

            disk.meanwhile(nth, meanwhile)
            ours = ["ours"] if saved(book, "ours") else []
            happened = disk.happened
            disk.mend()
            for one in (book, window, book):
                one.catch_up()
            texts = sorted({"one", "two", *ours, *theirs})
            if "fsync" in happened and twins(book.path):
                # Ours was saved by then, and after that taken away: the other window could not
                # know of it. Both lines are there, and whoever looks is told.
                texts.remove(*{"ours", "theirs"} - {*found(book.path)})
                assert all(f'"{text}"' in journal.read_text() for text in ("ours", "theirs"))
            else:
                assert twins(book.path) == [], nth
            assert sorted(found(book.path)) == texts, nth
            assert counted(book) == counted(window) == found(book.path), nth
            book.close()
            window.close()
        if not happened:
            break
    assert nth > 5


def test_a_program_that_comes_every_time_is_not_waited_for_without_end(tmp_path: Path) -> None:
    with Disk(tmp_path) as disk:
        book = Book.new(tmp_path / "quillby", name="Quillby Hollow", year=2027, desk=DESK)
        assert saved(book, "one")
        journal, times = journal_of(book.path / "2027"), itertools.count(1)

        def come_again() -> None:
            assert next(times) < 1000, "a window that never gives up is a window that hangs"
            DEEDS["put an older one in its place"](journal)

        disk.whenever("write", come_again)
        message, _hint, _code = refused(lambda: book.record(note("two")))
        assert "another program" in message
        disk.mend()
        assert saved(book, "two")
        assert counted(book) == found(book.path) == ["one", "two"]
        assert twins(book.path) == []
        book.close()


# --- the book is taken away ---------------------------------------------------------------------


def away(book: Path) -> Path:
    return book.with_name("elsewhere")


def move_away(book: Path) -> None:
    book.rename(away(book))


def leave_an_empty_folder(book: Path) -> None:
    """As a stick that was pulled out, where the folder it was seen at stays."""
    move_away(book)
    book.mkdir()


def bring_another_book(book: Path) -> None:
    """Two sticks are seen at one place, one after the other."""
    move_away(book)
    with contextlib.closing(Book.new(book, name="Otter Hill", year=2027, desk="w4w4w")) as otter:
        otter.record(note("of another book"))


def bring_back(book: Path) -> None:
    if away(book).exists():
        if book.exists():  # with whatever was put there meanwhile
            book.rename(book.with_name("left behind"))
        away(book).rename(book)


@pytest.mark.parametrize("take", [move_away, leave_an_empty_folder, bring_another_book])
def test_a_book_that_is_away_refuses_in_words_and_works_again_when_it_is_back(
    book: Book, path: Path, take: Callable[[Path], None]
) -> None:
    take(book.path)
    message, hint, _code = refused(lambda: book.record(note("three")))
    assert message.startswith("Not saved: ")
    assert "quillby" in message
    assert "is gone" in message
    assert "back in its place" in hint
    with pytest.raises(NotSaved):
        book.catch_up()
    assert "do not close this window" in book.alarm
    assert book.at_risk == 2
    assert counted(book) == ["one", "two"]
    assert not list(book.path.rglob("desk-k7f2q*"))

    bring_back(book.path)
    book.catch_up()
    assert book.alarm == ""
    assert book.at_risk == 0
    assert saved(book, "three")
    assert counted(book) == found(book.path) == ["one", "two", "three"]


@pytest.mark.parametrize("take", [move_away, leave_an_empty_folder])
def test_a_book_taken_away_at_any_moment_has_each_entry_once_when_it_is_back(
    tmp_path: Path, take: Callable[[Path], None]
) -> None:
    for nth in itertools.count(1):
        with Disk(tmp_path) as disk:
            home = tmp_path / str(nth)
            book = Book.new(home / "quillby", name="Quillby Hollow", year=2027, desk=DESK)
            assert saved(book, "one", "two")
            disk.meanwhile(nth, functools.partial(take, book.path))
            texts = ["one", "two", *(["three"] if saved(book, "three") else [])]
            happened = disk.happened
            disk.mend()
            bring_back(book.path)
            book.catch_up()
            if "three" not in texts:
                assert saved(book, "three"), nth  # typed again, for it was refused
                texts.append("three")
            assert saved(book, "four"), nth
            assert counted(book) == found(book.path) == [*texts, "four"], nth
            assert twins(book.path) == [], nth
            book.close()
        if not happened:
            break
    assert nth > 5
