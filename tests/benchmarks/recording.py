"""Recording one entry, durable, beside other ways to have the same bytes on disk."""

import itertools
import json
import os
import shutil
import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import closing
from pathlib import Path

from msgspec.structs import replace
from tinydb import TinyDB

from fieldbook.book.book import Book
from fieldbook.book.codec import encode, label
from fieldbook.book.entry import Count
from tests.benchmarks.books import DESK, STAMP, YEAR, book_of
from tests.benchmarks.race import Row, race, timed

ROUNDS = 400
REWRITES = {1_000: 15, 10_000: 9, 100_000: 3}
"""Inserts into a file that is rewritten whole each time, by entries in it."""

INSERT = "INSERT INTO entries VALUES (?, ?)"

DRAFT = Count(
    block="Brook Bend",
    line="Twin birch main",
    task="tapping",
    who="Zoë",
    count=80,
    hours=4.5,
    note="snow to the knee",
    **STAMP,
)


def measure_record(folder: Path, *, quick: bool) -> Iterator[Row]:
    for entries in (1_000, 10_000) if quick else (1_000, 10_000, 100_000, 1_000_000):
        yield from _measure(folder, entries)


def _measure(folder: Path, entries: int) -> Iterator[Row]:
    """Every contender has all the lines of the book before the race begins."""
    path, rivals = book_of(folder, entries), folder / "rivals"
    rivals.mkdir()
    journal = path / str(YEAR) / f"desk-{DESK}.jsonl"
    bare = os.open(shutil.copyfile(journal, rivals / "bare"), os.O_WRONLY | os.O_APPEND)
    with journal.open("rb") as lines:
        ready = [(label(line)[0], line) for line in lines]
    keyed = _table(rivals / "keyed.sqlite", "id TEXT PRIMARY KEY", ready)
    rows = enumerate(line for _id, line in ready)
    numbered = _table(rivals / "numbered.sqlite", "id INTEGER PRIMARY KEY", rows)
    del ready
    book = Book.open(path, desk=DESK)
    (entry,) = book.record(DRAFT)
    line = encode(entry) + b"\n"

    def append() -> None:
        os.write(bare, line)
        os.fsync(bare)

    numbers = itertools.count(entries + 1)

    def insert() -> None:
        """The same job: the entry is encoded, and can be found by its id."""
        fresh = replace(entry, id=f"{DESK}-{next(numbers)}")
        keyed.execute(INSERT, (fresh.id, encode(fresh)))

    ours = timed(lambda: book.record(DRAFT))
    contenders = {
        "ours": ours,
        "bare": timed(append),
        "keyed": timed(insert),
        "numbered": timed(lambda: numbered.execute(INSERT, (None, line))),
    }
    ms = {name: 1e3 * seconds for name, seconds in race(ROUNDS, contenders).items()}
    os.close(bare)
    keyed.close()
    numbered.close()
    yield Row(f"record at {entries:,} / append + fsync", "ms", ms["ours"], ms["bare"], "<= 1.6")
    name = f"record at {entries:,} / SQLite WAL FULL"
    note = f"{ms['ours'] / ms['numbered']:.2f} x with the bytes ready and a number for a key"
    yield Row(name, "ms", ms["ours"], ms["keyed"], "< 1", note)

    name = f"record at {entries:,} / TinyDB JSONStorage"
    if rounds := REWRITES.get(entries):
        with TinyDB(rivals / "rewritten.json") as db, journal.open("rb") as lines:
            db.insert_multiple(json.loads(line) for line in lines)
            document = json.loads(line)
            seconds = race(rounds, {"ours": ours, "db": timed(lambda: db.insert(document))})
        yield Row(name, "ms", 1e3 * seconds["ours"], 1e3 * seconds["db"], "< 1")
    else:
        yield Row(name, note="left out: an insert rewrites the file, which takes some 16 s")
    book.close()
    shutil.rmtree(rivals)


def _table(path: Path, key: str, rows: Iterable[tuple[object, bytes]]) -> sqlite3.Connection:
    """A table each of whose commits is on disk when it returns, as an entry is."""
    with closing(_database(path)) as table:
        table.execute(f"CREATE TABLE entries ({key}, line BLOB)")
        table.execute("BEGIN")
        table.executemany(INSERT, rows)
        table.execute("COMMIT")
    return _database(path)  # opened as for an evening, with its log empty


def _database(path: Path) -> sqlite3.Connection:
    database = sqlite3.connect(path, isolation_level=None)
    database.execute("PRAGMA journal_mode = WAL")
    database.execute("PRAGMA synchronous = FULL")
    return database
