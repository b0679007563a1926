"""Several windows on one book, of one desk or of several: one writes at a time, each sees all."""

import functools
import os
import signal
import threading
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from fieldbook.book import lock
from fieldbook.book.book import Book
from fieldbook.season.season import Season
from tests.conftest import DESK, count, journal_of, lines, note, numbered, refused, strike
from tests.faults.found import counted, found, saved, twins
from tests.faults.windows import Window, at_once, needs_fork

EACH = 500
"""Entries a window records."""

OTHER = "b3x9m"


@pytest.fixture
def crowd(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever waits tries again at once, and no disk gives anybody time to breathe."""
    monkeypatch.setattr(os, "fsync", lambda _fd: None)
    monkeypatch.setattr(time, "sleep", lambda _seconds: None)


def texts_of(name: str) -> list[str]:
    return [f"{name} {number}" for number in range(EACH)]


def a_window_that_records(path: Path, texts: list[str]) -> list[int]:
    """Open the book, record texts one by one, and say which numbers they got."""
    window = Book.open(path, desk=DESK)
    numbers = [window.record(note(text))[0].number for text in texts]
    window.close()
    return numbers


def assert_all_there(path: Path, windows: dict[str, list[int]]) -> None:
    """Every entry once, under a number of its own, in the order each window recorded in."""
    numbers = sorted(number for given in windows.values() for number in given)
    assert numbers == list(range(1, EACH * len(windows) + 1))
    book = Book.open(path)
    assert book.check() == []
    by_number = {
        entry.number: text for entry, text in zip(book.entries, counted(book), strict=True)
    }
    for name, given in windows.items():
        assert given == sorted(given)
        assert [by_number[number] for number in given] == texts_of(name)
    journal = journal_of(path / "2027").read_bytes()
    assert journal.count(b"\n") == len(numbers)
    assert journal.endswith(b"\n")


@needs_fork
@pytest.mark.parametrize("names", [("left", "right"), ("one", "two", "three", "four")], ids=len)
def test_windows_of_one_desk_record_at_once_and_lose_nothing(
    book: Book, crowd: None, names: tuple[str, ...]
) -> None:
    works = [functools.partial(a_window_that_records, book.path, texts_of(name)) for name in names]
    assert_all_there(book.path, dict(zip(names, at_once(*works), strict=True)))


def test_two_threads_at_one_window_record_at_once_and_lose_nothing(book: Book, crowd: None) -> None:
    windows: dict[str, list[int]] = {"left": [], "right": []}

    def record(name: str) -> None:
        for text in texts_of(name):
            windows[name].append(book.record(note(text))[0].number)

    threads = [threading.Thread(target=record, args=[name]) for name in windows]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert_all_there(book.path, windows)
    assert counted(book) == found(book.path)


@needs_fork
def test_a_window_kept_waiting_for_long_is_refused_with_the_name_of_who_keeps_it(
    book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert saved(book, "one")
    monkeypatch.setattr(lock, "acquire", functools.partial(lock.acquire, patience_s=0.05))
    held, hold = os.pipe()
    go, let_go = os.pipe()

    def hold_the_lock() -> str:
        os.close(let_go)
        fd = os.open(journal_of(book.path / "2027"), os.O_RDWR)
        lock.acquire(fd)
        os.write(hold, b".")
        os.read(go, 1)  # until it is told, or nobody is left who could
        return "let go"

    holder = Window(hold_the_lock)
    try:
        os.read(held, 1)
        message, hint, _code = refused(lambda: book.record(note("two")))
    finally:
        os.close(let_go)
    assert holder.wait() == "let go"
    who = f"process {holder.pid}" if Path("/proc/locks").exists() else "unknown"
    assert message == f"Not saved: another window is writing for desk k7f2q ({who})."
    assert "wait a moment" in hint
    assert counted(book) == found(book.path) == ["one"]
    assert saved(book, "two")
    assert found(book.path) == ["one", "two"]
    for fd in (held, hold, go):
        os.close(fd)


@needs_fork
def test_a_holder_that_is_killed_keeps_nobody_waiting(book: Book) -> None:
    assert saved(book, "one")

    def die_with_the_lock() -> None:
        lock.acquire(os.open(journal_of(book.path / "2027"), os.O_RDWR))
        os.kill(os.getpid(), signal.SIGKILL)

    Window(die_with_the_lock).buried()
    assert saved(book, "two")
    assert found(book.path) == ["one", "two"]


# --- what others record is seen -----------------------------------------------------------------


@needs_fork
def test_an_open_window_sees_in_order_what_another_process_records(book: Book) -> None:
    assert saved(book, "one")
    seen = []
    for texts in (["two"], ["three", "four"], ["five"]):

        def record(texts: list[str] = texts) -> None:
            assert saved(Book.open(book.path, desk=DESK), *texts)

        at_once(record)
        assert book.catch_up() is True
        assert book.catch_up() is False
        seen.append(counted(book))
    assert seen == [
        ["one", "two"],
        ["one", "two", "three", "four"],
        ["one", "two", "three", "four", "five"],
    ]
    assert seen[-1] == found(book.path)


def test_a_line_seen_while_it_is_half_written_is_read_when_it_is_whole(book: Book) -> None:
    assert saved(book, "one")
    path = journal_of(book.path / "2027", OTHER)
    whole = lines(*numbered(note("theirs"), desk=OTHER, start=2))
    path.write_bytes(whole[:50])
    book.catch_up()
    assert (counted(book), book.set_apart) == (["one"], 1)
    path.write_bytes(whole)
    book.catch_up()
    assert (counted(book), book.set_apart) == (["one", "theirs"], 0)


# --- what comes late is folded where it belongs -------------------------------------------------


THEIRS = numbered(
    count("Ledge/Cliff", "tapping", 12), count("Ledge/Cedar", "tapping", 30), desk=OTHER, start=13
)


def late_journal(season: Season) -> None:
    """Of another desk, with ticks that were given out here long ago."""
    journal_of(season.book.path / "2027", OTHER).write_bytes(lines(*THEIRS))


def late_strike(season: Season) -> None:
    """Of another desk, and of an entry of ours."""
    late = [*THEIRS, *numbered(strike(season.book.entries[-1]), desk=OTHER, start=15)]
    journal_of(season.book.path / "2027", OTHER).write_bytes(lines(*late))


def late_end_of_a_journal(season: Season) -> None:
    """Line by line, as a syncing service brings it."""
    path = journal_of(season.book.path / "2027", OTHER)
    for end in range(1, len(THEIRS) + 1):
        path.write_bytes(lines(*THEIRS[:end]))
        season.catch_up()


def late_twin(season: Season) -> None:
    """The same number with another count."""
    twin = [numbered(count("Ledge/Cliff", "tapping", n), desk=OTHER, start=13)[0] for n in (9, 12)]
    for nth, entry in enumerate(twin):
        journal_of(season.book.path / "2027", f"{OTHER} {nth}").write_bytes(lines(entry))
        season.catch_up()


def late_and_recorded_upon(season: Season) -> None:
    """An entry is recorded before anybody looked for news."""
    late_journal(season)
    season.record(count("Ledge/Cliff", "tapping", 1))


@pytest.mark.parametrize(
    "come",
    [late_journal, late_strike, late_end_of_a_journal, late_twin, late_and_recorded_upon],
)
def test_a_fold_after_catching_up_is_the_fold_of_a_fresh_start(
    season: Season, come: Callable[[Season], None]
) -> None:
    season.record(count("Ledge/Cliff", "tapping", 20))
    season.record(count("Ledge/Cliff", "tapping", 2))
    come(season)
    season.catch_up()
    fresh = Season(Book.open(season.book.path))
    assert list(season.book.entries) == list(fresh.book.entries)
    assert season.log() == fresh.log()
    assert season.ledger.struck == fresh.ledger.struck
    for line in ("Cliff", "Cedar"):
        ours, theirs = (s.ledger.record("Ledge", line, "tapping") for s in (season, fresh))
        assert ours == theirs
    assert season.book.check() == fresh.book.check()
    assert twins(season.book.path) == [] or come is late_twin
