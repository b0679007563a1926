"""Books of any size, invented and always the same, made in bulk.

The plan is recorded as a crew would record it. The work on it is encoded and written straight to
the journal, for a million entries one by one would take all evening.
"""

from collections.abc import Iterator
from datetime import datetime, timedelta, timezone
from itertools import product
from pathlib import Path
from random import Random
from typing import Any

from fieldbook.book.book import Book
from fieldbook.book.codec import encode
from fieldbook.book.entry import AnyEntry, Block, Count, Finish, Line, Note, Person, Step, Strike
from fieldbook.book.layout import MARK
from fieldbook.season.season import Season

YEAR = 2027
DESK, SECOND_DESK = "k7f2q", "m4w8d"
CREW = "Ina", "Rae", "Milo", "Tor", "Wes", "Zoë"
BLOCKS = "Upper Ridge", "Brook Bend", "Old Orchard", "Sugar Hollow", "North Slope", "Far Corner"
MAINS = "Gate", "Boulder", "Twin birch", "Saddle", "Stub", "Wolf tree", "Windfall", "Crest", "Fox"
LINES = [f"{main} {layout}" for main, layout in product(MAINS, ("main", "pair"))]
BEGUN = datetime(2026, 11, 16, 8, tzinfo=timezone(timedelta(hours=-5)))
STAMP: dict[str, Any] = {"at": BEGUN, "noted": BEGUN, "by": "Ina"}
SEASON_MINUTES = 85 * 24 * 60
KINDS = {Count: 620, Step: 300, Finish: 63, Note: 16, Strike: 1}
"""Entries of each kind in a thousand, about as in the demo season."""


def book_of(folder: Path, entries: int) -> Path:
    """The folder's book with so many entries, all from one desk; made when first asked for."""
    path = folder / f"{entries}-entries"
    if not path.exists():
        new_book(path)
        add_work(path, DESK, entries)
    return path


def new_book(path: Path) -> None:
    """A book of 6 blocks with 18 lines each and a crew of six, with no work yet."""
    book = Book.new(path, name="Tally Woods", year=YEAR, desk=DESK)
    taps = Random(YEAR)
    Season.begin(book, "vacuum", by="Ina", now=BEGUN).record(
        *(Person(person=name, **STAMP) for name in CREW),
        *(Block(block=block, order=order, **STAMP) for order, block in enumerate(BLOCKS)),
        *(
            Line(block=block, line=line, taps_planned=taps.randrange(90, 340), **STAMP)
            for block, line in product(BLOCKS, LINES)
        ),
    )
    book.close()
    mark = path / MARK  # the day stands still: a book must take work on whatever day it is measured
    mark.write_text(f"today = {YEAR}-02-09\n" + mark.read_text(encoding="utf-8"), encoding="utf-8")


def add_work(path: Path, desk: str, entries: int) -> None:
    """Write work into a book that has none from a desk yet, up to so many entries of the desk."""
    book = Book.open(path, year=YEAR)
    begun = len(book.entries) if desk == DESK else 0
    with (path / str(YEAR) / f"desk-{desk}.jsonl").open("ab") as journal:
        for entry in _work(Season(book), desk, range(begun + 1, entries + 1)):
            journal.write(encode(entry) + b"\n")


def _work(season: Season, desk: str, numbers: range) -> Iterator[AnyEntry]:
    random = Random(desk)
    kinds = random.choices([*KINDS], [*KINDS.values()], k=len(numbers))
    places: list[tuple[dict[str, Any], tuple[str, ...]]] = [
        ({"block": block, "line": line, "task": task.key}, task.steps)
        for block, line, task in product(BLOCKS, LINES, season.plan.tasks)
    ]
    count_id = f"{desk}-{numbers[0]}"
    for number, kind in zip(numbers, kinds, strict=True):
        at = BEGUN + timedelta(minutes=number % SEASON_MINUTES)
        entry_id = f"{desk}-{number}"
        stamp: dict[str, Any] = {"id": entry_id, "tick": number, "at": at, "noted": at, "by": "Ina"}
        place, steps = random.choice(places)
        work = {**stamp, **place, "who": random.choice(CREW)}
        if kind is Count:
            count_id = entry_id
            units, hours = random.randrange(1, 7), random.choice((None, 0.25, 0.5, 1.5))
            yield Count(**work, count=units, hours=hours)
        elif kind is Step:
            yield Step(**work, step=random.choice(steps))
        elif kind is Finish:
            yield Finish(**work, reason="3 too small this year")
        elif kind is Note:
            yield Note(**work, text="water under the snow past the bend")
        else:
            yield Strike(**stamp, entry=count_id, reason="wrong line")
