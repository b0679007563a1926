"""Quillby Hollow: an invented sugarbush of two blocks, small enough to add up in the head.

The clock stands at Tuesday 9 February 2027, half past four in the afternoon. Plans and sums are
tested on entries that never touch a disk (`numbered`, `folded`); `book` and `season` are the same
sugarbush in a folder of its own, made the way a crew would make it.
"""

import json
from collections.abc import Callable, Iterator
from datetime import date, datetime, timedelta, timezone
from pathlib import Path
from typing import Any, TypedDict, cast
from zlib import crc32

import pytest
from hypothesis import settings
from msgspec.structs import replace

from fieldbook.book.book import Book
from fieldbook.book.codec import encode
from fieldbook.book.documents import JournalDB
from fieldbook.book.entry import (
    AnyEntry,
    Aside,
    Block,
    Checklist,
    Count,
    Finish,
    Line,
    Note,
    Person,
    PlanEntry,
    Reopen,
    Strike,
)
from fieldbook.book.journal import Journal
from fieldbook.book.lines import Problem
from fieldbook.errors import BookError, Exit
from fieldbook.season.checklist import load_template
from fieldbook.season.ledger import Ledger
from fieldbook.season.season import Season

settings.register_profile("fieldbook", deadline=None, derandomize=True, database=None)
settings.load_profile("fieldbook")

EAST = timezone(timedelta(hours=-5))
NOW = datetime(2027, 2, 9, 16, 30, tzinfo=EAST)
DESK = "k7f2q"


class Stamp(TypedDict):
    """What every entry carries from the person at the keyboard."""

    at: datetime
    noted: datetime
    by: str


def stamp(day: str = "2027-02-09", *, by: str = "Oda") -> Stamp:
    """Done on a day at half past four, written down today."""
    at = datetime.combine(date.fromisoformat(day), NOW.timetz())
    return {"at": at, "noted": NOW, "by": by}


# On Cliff the drops have hung three years, on Cedar one, on Spring two; nobody knows about Ford.
# Ford was never measured. Culvert rests this year.
PLAN: tuple[PlanEntry, ...] = (
    Block(block="Ledge", order=1, **stamp()),
    Block(block="Creek", order=2, **stamp()),
    Line(
        block="Ledge",
        line="Cliff",
        order=1,
        taps_planned=42,
        length_ft=700,
        drops_hung=2024,
        **stamp(),
    ),
    Line(
        block="Ledge",
        line="Cedar",
        order=2,
        taps_planned=60,
        length_m=213.36,
        drops_hung=2026,
        **stamp(),
    ),
    Line(block="Creek", line="Ford", order=1, taps_planned=120, **stamp()),
    Line(
        block="Creek",
        line="Spring",
        order=2,
        taps_planned=35,
        length_ft=360,
        drops_hung=2025,
        **stamp(),
    ),
    Line(
        block="Creek",
        line="Culvert",
        order=3,
        taps_planned=0,
        length_ft=100,
        drops_hung=2020,
        **stamp(),
    ),
    Person(person="Oda", role="lead", **stamp()),
    Person(person="Perrin", **stamp()),
    Person(person="Wim", **stamp()),
)


def count(
    where: str,
    task: str,
    units: int,
    *,
    who: str = "Oda",
    day: str = "2027-02-09",
    hours: float | None = None,
) -> Count:
    """Units done on a line, given as `Ledge/Cliff`."""
    block, line = where.split("/")
    return Count(block=block, line=line, task=task, who=who, count=units, hours=hours, **stamp(day))


def finish(where: str, task: str, reason: str = "", *, day: str = "2027-02-09") -> Finish:
    block, line = where.split("/")
    return Finish(block=block, line=line, task=task, who="Oda", reason=reason, **stamp(day))


def aside(where: str, task: str, reason: str, *, day: str = "2027-02-09") -> Aside:
    block, line = where.split("/")
    return Aside(block=block, line=line, task=task, who="Oda", reason=reason, **stamp(day))


def reopen(where: str, task: str, reason: str = "", *, day: str = "2027-02-09") -> Reopen:
    block, line = where.split("/")
    return Reopen(block=block, line=line, task=task, who="Oda", reason=reason, **stamp(day))


def note(text: str, *, block: str = "", line: str = "", day: str = "2027-02-09") -> Note:
    return Note(text=text, block=block, line=line, **stamp(day))


def strike(entry: AnyEntry, reason: str = "miscounted") -> Strike:
    return Strike(entry=entry.id, reason=reason, **stamp())


def sealed(fields: dict[str, Any], *, ascii_only: bool = False) -> bytes:
    """A journal line as another program might write it: a sound checksum, any content."""
    head = json.dumps(fields, ensure_ascii=ascii_only, separators=(",", ":")).encode()[:-1]
    return head + b',"crc":"%08x"}' % crc32(head)


def numbered(*drafts: AnyEntry, desk: str = DESK, start: int = 1) -> list[AnyEntry]:
    """Drafts with ids and ticks in order, as one desk would give them."""
    return [
        replace(draft, id=f"{desk}-{number}", tick=number)
        for number, draft in enumerate(drafts, start)
    ]


def vacuum_checklist() -> Checklist:
    title, tasks = load_template("vacuum")
    return Checklist(checklist=title, tasks=tasks, **stamp())


def folded(*work: AnyEntry, as_of: date | None = None) -> Ledger:
    """The ledger of Quillby Hollow with some work done; drafts get their numbers here."""
    ledger = Ledger(2027, as_of=as_of).fold(numbered(vacuum_checklist(), *PLAN))
    for number, entry in enumerate(work, start=len(PLAN) + 2):
        ledger.apply(entry if entry.id else replace(entry, id=f"{DESK}-{number}", tick=number))
    return ledger


def refused(action: Callable[[], object]) -> tuple[str, str, Exit]:
    """Message, hint and exit code of a refusal."""
    with pytest.raises(BookError) as error:
        action()
    return error.value.message, error.value.hint, error.value.code


def lines(*entries: AnyEntry, end: bytes = b"\n") -> bytes:
    """Entries as they stand in a journal."""
    return b"".join(encode(entry) + end for entry in entries)


def journal_of(folder: Path, desk: str = DESK) -> Path:
    return folder / f"desk-{desk}.jsonl"


def known(db: JournalDB) -> list[AnyEntry]:
    """What is in memory."""
    return cast("list[AnyEntry]", list(db))


def load(folder: Path) -> tuple[list[AnyEntry], list[Problem]]:
    """What a fresh start reads from a season's folder: entries in fold order, and problems."""
    lines = Journal(folder, None).lines
    return list(lines.order), list(lines.problems())


def notes_in(book: Book) -> list[str]:
    """The notes that whoever opens the book next will find."""
    entries, _problems = load(book.path / str(book.year))
    return [entry.text for entry in entries if isinstance(entry, Note)]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A season's folder with nothing in it."""
    folder = tmp_path / "bare" / "2027"
    folder.mkdir(parents=True)
    return folder


@pytest.fixture
def db(folder: Path) -> Iterator[JournalDB]:
    """The journals of that folder, for one desk to write."""
    db = JournalDB(Journal(folder, DESK))
    yield db
    db.close()


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    """An empty book at season 2027, with a desk that may write."""
    book = Book.new(tmp_path / "quillby", name="Quillby Hollow", year=2027, desk=DESK)
    yield book
    book.close()


@pytest.fixture
def season(book: Book) -> Season:
    """The book with its settings, a checklist for vacuum tubing, and the plan."""
    season = Season.begin(book, "vacuum", by="Oda", now=NOW)
    season.record(*PLAN)
    return season
