"""What a book holds does not depend on what was typed, or on where and when lines arrived."""

import os
import re
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from fieldbook.book.book import Book
from fieldbook.book.codec import encode
from fieldbook.book.entry import AnyEntry, Strike, clean
from fieldbook.errors import Exit
from fieldbook.season.ledger import Ledger
from fieldbook.season.season import Season
from tests.book.shelf import fresh, reports, shelf, view
from tests.conftest import PLAN, note, notes_in, numbered, refused, strike, vacuum_checklist
from tests.reports import TUESDAY
from tests.season.test_strikes import sights, works

BASE = numbered(vacuum_checklist(), *PLAN)


@pytest.fixture(scope="module")
def unforced() -> Iterator[None]:
    """Nothing is forced to the disk: no plug is pulled here."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "fsync", lambda _fd: None)
        yield


# --- what was typed ----------------------------------------------------------------------------


@pytest.mark.parametrize("letter", ["x", "é", "🍁", '"', "\\", "[/]", "ש", "\n\u00a0y", "'"])
def test_a_note_may_be_64_kb_of_anything_and_not_a_letter_longer(book: Book, letter: str) -> None:
    text = clean(letter * (65_536 // len(letter)))
    book.record(note(text))
    assert notes_in(book) == [text]
    message, hint, code = refused(lambda: book.record(note(text + 65_536 * "z")))
    assert message == "That cannot be recorded: text is longer than 65536 characters."
    assert (hint != "", code) == (True, Exit.MISUSE)
    assert notes_in(book) == [text]


TYPED = st.text(st.characters(), max_size=200) | st.lists(
    st.sampled_from(
        ["\x1b[31m", "\x1b]0;t\x07", "[/]", "[red]", "\x00", "🪣", "ש\u202e", "\r\n", "'"]
    )
).map("".join)


@given(text=TYPED.filter(clean), name=TYPED.filter(lambda t: 0 < len(clean(t)) <= 80))
def test_what_was_told_to_be_saved_is_what_the_next_one_reads(
    unforced: None, text: str, name: str
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        book = Book.open(shelf(Path(folder), "quillby"), desk="k7f2q")
        saved = book.record(replace(note(text, block=name), by=name), note("and the next"))
        book.close()
        again = Book.open(book.path)
        assert (tuple(again.entries), again.check()) == (saved, [])
        assert saved[0]["text"] == clean(text)
        assert not any(map(str.isspace, set(saved[0]["by"]) - {" "}))


# --- where and when lines arrived --------------------------------------------------------------

FILES = ("desk-k7f2q.jsonl", "desk-k7f2q-2.jsonl", "desk-b3x9m.jsonl", "desk-k7f2q (copy).jsonl")


@st.composite
def seasons(draw: st.DrawFn) -> list[AnyEntry]:
    """The plan and some work, of which some is struck, in fold order."""
    entries = numbered(*BASE, *draw(st.lists(works(), max_size=12)))
    struck = draw(st.lists(st.sampled_from(entries), unique_by=lambda e: e.id, max_size=4))
    return numbered(*entries, *map(strike, struck))


@st.composite
def arrivals(draw: st.DrawFn) -> tuple[list[AnyEntry], list[list[tuple[str, AnyEntry]]]]:
    """A season, and its lines as they come in: some at a time, each into some file."""
    entries = draw(seasons())
    order = draw(st.permutations(entries))
    into = draw(st.lists(st.sampled_from(FILES), min_size=len(order), max_size=len(order)))
    lines = list(zip(into, order, strict=True))
    cuts = sorted(draw(st.lists(st.integers(0, len(lines)), max_size=3)))
    parts = [lines[a:b] for a, b in zip([0, *cuts], [*cuts, len(lines)], strict=True)]
    return entries, parts


@settings(max_examples=60)
@given(arrival=arrivals())
def test_in_whatever_order_and_file_lines_arrive_they_add_up_to_the_same(
    unforced: None, arrival: tuple[list[AnyEntry], list[list[tuple[str, AnyEntry]]]]
) -> None:
    entries, parts = arrival
    in_order = sights(Ledger(2027).fold(entries))
    with tempfile.TemporaryDirectory() as folder:
        book = shelf(Path(folder), "quillby")
        window = Season(Book.open(book, desk="w4w4w"))
        for part in parts:
            for name, entry in part:
                with (book / "2027" / name).open("ab") as file:
                    file.write(encode(entry) + b"\n")
            window.catch_up()
        assert list(window.book.entries) == entries
        assert sights(window.ledger) == in_order
        assert fresh(book) == view(window)
        window.book.close()


# --- what was struck ---------------------------------------------------------------------------


@settings(max_examples=40)
@given(entries=seasons())
def test_what_is_struck_is_in_no_report_but_the_log(
    unforced: None, entries: list[AnyEntry]
) -> None:
    struck = {entry.entry for entry in entries if isinstance(entry, Strike)}
    kept = [e for e in entries if e.id not in struck and not isinstance(e, Strike)]
    with tempfile.TemporaryDirectory() as folder:
        crossed_out = reports(shelf(Path(folder), "crossed out", *entries), TUESDAY)
        never = reports(shelf(Path(folder), "never", *kept), TUESDAY)
    ids = [row.split(",")[0] for row in crossed_out["log export json"].splitlines()]
    assert len([row for row in ids if '"id"' in row]) == len(entries)
    crossed_out, never = (_apart_from_strikes(text) for text in (crossed_out, never))
    assert crossed_out == never


def _apart_from_strikes(reports: dict[str, str]) -> dict[str, str]:
    """The reports without the log, and without the line that says how many entries are struck."""
    others = {name: text for name, text in reports.items() if not name.startswith("log")}
    without = re.compile(r"\n.*\b(entry|entries) struck\b.*|\n +\"struck\": \d+,?|\n\nThe record:")
    return {name: without.sub("", text) for name, text in others.items()}
