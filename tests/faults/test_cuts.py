"""A journal cut off, with a bit turned over, or with rubbish at its end: nothing else is lost."""

import os
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from fieldbook.book.book import Book
from tests.conftest import DESK, journal_of, lines, note, numbered
from tests.faults.found import counted, found, saved, twins

TEXTS = ["one", "two", "three", "four"]
ONE, TWO, THREE, FOUR = NOTES = numbered(*map(note, TEXTS))
JOURNAL = lines(*NOTES)


@pytest.fixture(autouse=True)
def no_real_plug(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing need be forced to disk here, and it is done some thousand times."""
    monkeypatch.setattr(os, "fsync", lambda _fd: None)


def put(book: Book, journal: bytes) -> None:
    journal_of(book.path / "2027").write_bytes(journal)


def told(book: Book) -> list[int]:
    """Where in the journal something is told to be wrong, by bytes from its beginning."""
    where = [problem.where for problem in book.check() if "byte" in problem.where]
    return [int(place.partition("byte ")[2]) for place in where]


def starts(*, of: bytes = JOURNAL) -> Iterator[int]:
    """Where lines begin."""
    offset = 0
    for line in of.splitlines(keepends=True):
        yield offset
        offset += len(line)


def recorded_after(book: Book, text: str = "after it") -> list[str]:
    """What the next start reads, after one more entry was recorded on what there is."""
    window = Book.open(book.path, desk=DESK)
    assert saved(window, text)
    in_memory = counted(window)
    window.close()
    assert in_memory == found(book.path)
    assert twins(book.path) == []
    return in_memory


def test_a_journal_cut_at_any_byte_keeps_every_line_before_and_takes_the_next(book: Book) -> None:
    begins = list(starts())
    for cut in range(begins[1], len(JOURNAL)):
        put(book, JOURNAL[:cut])
        # A line that lacks only its newline counts.
        whole = [t for t, start in zip(TEXTS, begins, strict=True) if cut >= end_of(start)]
        torn = [start for start in begins if start < cut < end_of(start)]
        window = Book.open(book.path)
        assert (counted(window), told(window)) == (whole, torn), cut
        assert recorded_after(book) == [*whole, "after it"], cut
        assert told(Book.open(book.path)) == torn, cut


def end_of(start: int) -> int:
    """Where the line that begins at a byte has all but its newline."""
    return JOURNAL.index(b"\n", start)


def test_every_bit_of_a_line_turned_over_is_found_and_costs_that_line_alone(book: Book) -> None:
    start, end = list(starts())[1], end_of(list(starts())[1])
    for bit in range(8 * start, 8 * end):
        put(book, turned(JOURNAL, bit))
        window = Book.open(book.path)
        assert counted(window) == ["one", "three", "four"], bit
        # A bit may make a newline of a letter: then there are two lines that cannot be read.
        there, *more = told(window)
        assert there == start, bit
        assert [place - 1 for place in more] in ([], [bit // 8]), bit
        assert window.set_apart == 1 + len(more), bit


def turned(journal: bytes, bit: int) -> bytes:
    changed = bytearray(journal)
    changed[bit // 8] ^= 1 << bit % 8
    return bytes(changed)


@pytest.mark.parametrize("bit", range(8))
def test_a_newline_with_a_bit_turned_over_takes_the_line_behind_it_along(
    book: Book, bit: int
) -> None:
    start = list(starts())[1]
    put(book, turned(JOURNAL, 8 * end_of(start) + bit))
    assert told(Book.open(book.path)) == [start]
    assert recorded_after(book) == ["one", "four", "after it"]


def test_two_bits_turned_over_in_two_lines_are_told_of_each(book: Book) -> None:
    _one, two, _three, four = starts()
    put(book, turned(turned(JOURNAL, 8 * (two + 20)), 8 * (four + 99)))
    window = Book.open(book.path)
    assert told(window) == [two, four]
    assert window.set_apart == 2
    assert recorded_after(book) == ["one", "three", "after it"]


LENGTHS = (1, 2, 63, 64, 65, 511, 512, 513, 4095, 4096, 4097, 70_000)


@pytest.mark.parametrize(
    "rubbish",
    [
        lambda length: b"\x00" * length,
        lambda length: b"\xff" * length,
        lambda length: b"}" * length,
        lambda length: (b"\xc3" + lines(FOUR)[:-20] * (length // 100 + 1))[:length],
        lambda length: (b'{"kind":"note","id":"k7f2q-9","tick":9' + b" " * length)[:length],
    ],
    ids=["NULs", "0xff", "braces", "lines out of the middle", "half a line"],
)
@pytest.mark.parametrize("sealed", [b"", b"\n", b"\r\n"], ids=["no newline", "LF", "CRLF"])
def test_rubbish_at_the_end_is_told_once_and_the_next_entry_starts_afresh(
    book: Book, rubbish: Callable[[int], bytes], sealed: bytes
) -> None:
    for length in LENGTHS:
        put(book, JOURNAL + rubbish(length) + sealed)
        window = Book.open(book.path)
        assert counted(window) == TEXTS, length
        assert told(window) == [len(JOURNAL)], length
        assert recorded_after(book) == [*TEXTS, "after it"], length
        assert told(Book.open(book.path)) == [len(JOURNAL)], length


@pytest.mark.parametrize("end", [b"\r\n", b"\n\n", b"\n \t\n"], ids=["CRLF", "blank", "white"])
@pytest.mark.parametrize("last", [True, False], ids=["ended", "without the last newline"])
def test_other_line_ends_and_blank_lines_cost_nothing(book: Book, end: bytes, last: bool) -> None:
    journal = JOURNAL.replace(b"\n", end)
    put(book, journal if last else journal.removesuffix(end))
    window = Book.open(book.path, desk=DESK)
    assert window.check() == []
    assert recorded_after(book) == [*TEXTS, "after it"]
    window.catch_up()
    assert counted(window) == [*TEXTS, "after it"]
    assert window.check() == []


def test_a_mark_that_an_editor_puts_before_the_first_line_costs_nothing(book: Book) -> None:
    put(book, b"\xef\xbb\xbf" + JOURNAL)
    assert Book.open(book.path).check() == []
    assert recorded_after(book) == [*TEXTS, "after it"]


def test_a_piece_cut_out_of_the_middle_costs_the_lines_it_was_cut_from(book: Book) -> None:
    _one, two, three, _four = starts()
    put(book, JOURNAL[: two + 30] + JOURNAL[three + 30 :])
    window = Book.open(book.path)
    assert told(window) == [two]
    assert recorded_after(book) == ["one", "four", "after it"]


def test_lines_that_fell_out_are_told_as_a_gap(book: Book) -> None:
    put(book, lines(ONE, FOUR))
    (problem,) = Book.open(book.path).check()
    assert problem.what == "entries 2 to 3 of desk k7f2q are missing"
    assert recorded_after(book) == ["one", "four", "after it"]


def test_a_window_open_while_its_journal_is_damaged_writes_again_what_it_knows(
    book: Book,
) -> None:
    assert saved(book, *TEXTS)
    journal = journal_of(book.path / "2027").read_bytes()
    for bit in range(8 * len(journal) - 8 * 200, 8 * len(journal), 13):
        book.catch_up()
        journal = journal_of(book.path / "2027").read_bytes()
        put(book, turned(journal, bit))
        touch_later(journal_of(book.path / "2027"))
        book.catch_up()
        assert found(book.path) == counted(book) == TEXTS, bit


def touch_later(path: Path) -> None:
    """A disk tells times apart by some thousandths of a second; nobody edits as fast as that."""
    status = path.stat()
    os.utime(path, ns=(status.st_atime_ns, status.st_mtime_ns + 1_000_000_000))
