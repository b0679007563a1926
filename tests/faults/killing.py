"""A writer that is killed again and again in the middle of its work, on one book.

The writer says each entry once `Book.record` has returned it. Whatever it said must be in the book
whenever the book is opened again, as it was said, and its number must never be given out twice.

Writers are forked off a process that has loaded everything, so that hundreds of them take
seconds. That needs `os.fork`, which Windows does not have.
"""

import os
import signal
from collections.abc import Iterator
from datetime import datetime, timedelta, timezone
from pathlib import Path
from random import Random
from time import sleep

from msgspec.structs import replace

from fieldbook.book.book import Book
from fieldbook.book.codec import decode, encode
from fieldbook.book.entry import AnyEntry, Count, Note

DESK, YEAR = "k7f2q", 2027
AT = datetime(YEAR, 2, 9, 16, 30, tzinfo=timezone(timedelta(hours=-5)))
NOTE = Note(at=AT, noted=AT, by="Ina", text="water under the snow past the bend ")
COUNT = Count(
    at=AT,
    noted=AT,
    by="Ina",
    block="Brook Bend",
    line="Cedar main",
    task="tapping",
    who="Zoë",
    count=80,
)

MOST_SAID = 6
"""Entries a writer lives to say; with none it is killed while it opens the book."""
OPENING, ENTRY = 0.02, 0.0006
"""Seconds within which the kill falls: about what it takes to open the book, or for one entry."""
TORN = 0.2
"""How often half a line is put at the end: a kill seldom hits inside a write, a power cut may."""


class Killing:
    """A book whose writers are killed.

    Args:
        path: Where to make the book, which is kept over all kills.
        seed: Of everything that is left to chance, but for the scheduler.

    Attributes:
        kills: Writers killed so far.
        said: Ids of the entries that writers said are on disk.
        lost: Ids among them that are not in the book as they were said, or were said twice.
        set_apart: Torn lines in the book.
    """

    def __init__(self, path: Path, *, seed: int) -> None:
        self.path = path
        self.kills = 0
        self.said: set[str] = set()
        self.lost: set[str] = set()
        self.set_apart = 0
        self._random = Random(seed)
        Book.new(path, name="Tally Woods", year=YEAR).close()

    def __str__(self) -> str:
        return (
            f"{self.kills:,} kills: {len(self.said):,} entries said to be on disk, "
            f"{len(self.lost):,} of them lost; {self.set_apart:,} torn lines set apart"
        )

    def kill(self, times: int) -> None:
        """Kill writers one after the other, and look into the book after each."""
        for _time in range(times):
            self._look(self._kill_one())
            self.kills += 1

    def _kill_one(self) -> list[AnyEntry]:
        """Start a writer and kill it; what it said by then."""
        listen, say = os.pipe()
        seed = self._random.random()
        writer = os.fork()
        if not writer:
            try:
                os.close(listen)
                _write(self.path, say, Random(seed))
            finally:
                os._exit(1)  # nothing else of the forked process may run here, come what may
        os.close(say)
        with os.fdopen(listen, "rb") as sayings:
            lives_to_say = self._random.randrange(MOST_SAID + 1)
            lines = [sayings.readline() for _entry in range(lives_to_say)]
            sleep(self._random.uniform(0, ENTRY if lives_to_say else OPENING))
            os.kill(writer, signal.SIGKILL)
            lines += sayings.readlines()
        _pid, status = os.waitpid(writer, 0)
        if os.waitstatus_to_exitcode(status) != -signal.SIGKILL:
            raise RuntimeError("the writer gave up before it was killed")
        return [decode(line[:-1]) for line in lines if line.endswith(b"\n")]

    def _look(self, news: list[AnyEntry]) -> None:
        """Open the book and compare it with what was said; now and then leave its end torn."""
        book = Book.open(self.path, year=YEAR)
        self.lost.update(entry.id for entry in news if entry.id in self.said)
        self.said.update(entry.id for entry in news)
        self.lost.update(entry.id for entry in news if book.entry(entry.id) != entry)
        self.lost.update(entry_id for entry_id in self.said if book.entry(entry_id) is None)
        self.set_apart = book.set_apart
        if self._random.random() < TORN:
            number = max((entry.number for entry in book.entries), default=0) + 1
            line = encode(replace(COUNT, id=f"{DESK}-{number}", tick=number))
            with (self.path / str(YEAR) / f"desk-{DESK}.jsonl").open("ab") as journal:
                journal.write(line[: self._random.randrange(1, len(line))])
        book.close()


def _write(path: Path, say: int, random: Random) -> None:
    """Record without end, and say what is on disk."""
    book = Book.open(path, year=YEAR, desk=DESK)
    for drafts in _drafts(random):
        for entry in book.record(*drafts):
            os.write(say, encode(entry) + b"\n")


def _drafts(random: Random) -> Iterator[list[AnyEntry]]:
    """A count, several at once now and then, or a note that runs over many pages of memory."""
    while True:
        yield [COUNT] * random.choice((1, 1, 1, 1, 5))
        if random.random() < 0.1:
            yield [replace(NOTE, text=NOTE.text * random.randrange(1, 500))]
