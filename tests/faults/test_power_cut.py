"""The power is cut at every moment of an evening, and the disk kept whatever it likes.

An evening with a torn line, a full disk, a failing one and several entries at once is played on a
disk that keeps count. For every moment of it the states a cut may leave are built and read: in
none is an entry missing that was acknowledged by then, or counted twice.
"""

import errno
import os
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

import pytest

from fieldbook.book.book import Book
from fieldbook.book.entry import AnyEntry, Note, Strike
from fieldbook.book.lines import Lines
from tests.conftest import DESK, journal_of
from tests.faults.disk import Call, Disk
from tests.faults.found import counted, found, saved
from tests.faults.power import Power, State

pytestmark = pytest.mark.skipif(os.name == "nt", reason="Windows forces no folder to disk")

RECORDED_ON = 400
"""States, chosen by lot, on which the book is opened and an entry recorded."""


@dataclass
class Evening:
    """What was asked of the disk, and what was acknowledged when.

    Attributes:
        calls: In order.
        acknowledged: Texts, each with the number of calls after which it was.
        tried: Every text ever typed.
    """

    calls: list[Call] = field(default_factory=list)
    acknowledged: list[tuple[int, str]] = field(default_factory=list)
    tried: set[str] = field(default_factory=set)

    def by(self, moment: int) -> set[str]:
        """What was acknowledged by the time so many calls were made."""
        return {text for calls, text in self.acknowledged if calls <= moment}


def an_evening(root: Path) -> Evening:
    evening = Evening()
    with Disk(root) as disk:

        def record(book: Book, *texts: str) -> bool:
            evening.tried |= set(texts)
            done = saved(book, *texts)
            if done:
                evening.acknowledged += [(len(disk.calls), text) for text in texts]
            return done

        book = Book.new(root / "quillby", name="Quillby Hollow", year=2027, desk=DESK)
        assert record(book, "one")
        assert record(book, "two")
        assert record(book, "three", "four", "five")
        book.close()

        # A writer is killed in the middle of a line; the next one starts afresh.
        with journal_of(book.path / "2027").open("ab") as journal:
            journal.write(b'{"kind":"note","id":"k7f2q-6","tick":6,"at":"2027-02-0')
        book = Book.open(book.path, desk=DESK)
        assert record(book, "after a torn line")

        disk.capacity = disk.used + 99
        assert not record(book, "on a full disk")
        disk.mend()
        assert record(book, "on a full disk")

        disk.refuse_each("fsync", code=errno.EIO)
        assert not record(book, "on a failing disk", "and this")
        disk.mend()
        assert record(book, "on a failing disk", "and this")

        disk.refuse_each("fsync", "ftruncate", code=errno.EIO)
        assert not record(book, "on a dying disk")
        assert not record(book, "on a dying disk")
        disk.mend()
        assert record(book, "on a dying disk")
        assert record(book, "last")
        book.close()
        evening.calls = disk.calls
    return evening


@pytest.fixture(scope="module")
def evening(tmp_path_factory: pytest.TempPathFactory) -> Evening:
    return an_evening(tmp_path_factory.mktemp("evening"))


def moments(evening: Evening, root: Path) -> Iterator[tuple[int, State]]:
    """Every state that a cut may leave, with the number of calls made by then; each but once."""
    power = Power(root, seed=412)
    seen: set[tuple[frozenset[str], frozenset[tuple[Path, bytes]]]] = set()
    for moment, call in enumerate(evening.calls, 1):
        changed = power.take(call)
        acknowledged = frozenset(evening.by(moment))
        if not changed and evening.by(moment - 1) == acknowledged:
            continue
        for state in power.states():
            key = (acknowledged, frozenset(state.items()))
            if key not in seen:
                seen.add(key)
                yield moment, state


def read(state: State) -> list[AnyEntry]:
    lines = Lines()
    for path, data in state.items():
        if path.suffix == ".jsonl":
            lines.read(path.name, data, 0)
    lines.settle()
    return lines.order


def counts(entries: list[AnyEntry]) -> list[str]:
    struck = {entry.entry for entry in entries if isinstance(entry, Strike)}
    return [e.text for e in entries if isinstance(e, Note) and e.id not in struck]


def root_of(evening: Evening) -> Path:
    return evening.calls[0].path.parent


def test_no_cut_at_any_moment_loses_what_was_acknowledged_or_counts_it_twice(
    evening: Evening,
) -> None:
    states = 0
    for moment, state in moments(evening, root_of(evening)):
        states += 1
        texts, acknowledged = counts(read(state)), evening.by(moment)
        assert acknowledged <= set(texts) <= evening.tried, moment
        assert all(texts.count(text) == 1 for text in acknowledged), moment
    assert states > 5000


def test_a_book_opens_after_a_cut_and_takes_entries_as_before(
    evening: Evening, tmp_path: Path
) -> None:
    root = root_of(evening)
    by_lot = Random(412)
    states = list(moments(evening, root))
    for nth, (moment, state) in enumerate(by_lot.sample(states, RECORDED_ON)):
        place = tmp_path / str(nth)
        for path, data in state.items():
            there = place / path.relative_to(root)
            there.parent.mkdir(parents=True, exist_ok=True)
            there.write_bytes(data)
        acknowledged = evening.by(moment)
        if not acknowledged and not (place / "quillby" / "2027").is_dir():
            continue  # the book was just being made
        with Disk(place):
            book = Book.open(place / "quillby", desk=DESK)
            before = counted(book)
            assert acknowledged <= set(before), moment
            assert saved(book, "after the cut")
            book.close()
            assert found(book.path) == [*before, "after the cut"], moment
