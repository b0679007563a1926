"""Repair: what cannot be read is moved aside byte for byte, and nothing else is touched."""

import contextlib
from pathlib import Path

import pytest

from fieldbook.book.book import Book
from fieldbook.book.codec import encode
from fieldbook.book.repair import repair
from fieldbook.errors import BookError, Exit
from fieldbook.season.season import Season
from tests.book.shelf import each_refusal, files, fresh, put, refusing, view
from tests.conftest import (
    count,
    journal_of,
    lines,
    load,
    note,
    numbered,
    refused,
    sealed,
)

FIRST, DAMAGED, LAST = numbered(
    note("gate is chained"), count("Ledge/Cliff", "tapping", 42), note("ash leans")
)
NEWER = sealed({"v": 2, "kind": "weather", "id": "k7f2q-4", "tick": 9, "sky": "grey"})
BAD = [
    encode(DAMAGED).replace(b":42", b":43"),
    b"\x00" * 40 + b"\xff\xfe\x1b[2J",
    b'{"kind":"note","id":"k7f2q-9","tick":12,"text":"mud',
]
"""A changed number, rubbish, and a torn end whose number and tick can still be read."""


@pytest.fixture
def damaged(book: Book) -> Path:
    """A journal with sound lines of many kinds between damaged ones, and another desk's."""
    sound = [lines(FIRST, end=b"\r\n"), NEWER + b"\n", lines(LAST), lines(LAST), b"  \n"]
    torn = [line + b"\n" for line in BAD[:2]]
    data = sound[0] + torn[0] + sound[1] + b"\n" + sound[2] + torn[1] + sound[3] + sound[4] + BAD[2]
    journal_of(book.path / "2027").write_bytes(data)
    put(book.path, *numbered(note("theirs"), desk="b3x9m"))
    return book.path / "2027"


SOUND = lines(FIRST, end=b"\r\n") + NEWER + b"\n" + lines(LAST, LAST) + b"  \n"


def moved_to(folder: Path) -> list[bytes]:
    """Lines that were moved aside."""
    path = journal_of(folder / "set-apart")
    return path.read_bytes().split(b"\n")[:-1] if path.exists() else []


def test_damaged_lines_are_moved_aside_and_sound_ones_stay_byte_for_byte(damaged: Path) -> None:
    theirs = journal_of(damaged, "b3x9m").read_bytes()
    (moved,) = repair(damaged)
    assert (moved.file, moved.lines) == (journal_of(damaged), 3)
    assert moved.to == damaged / "set-apart" / "desk-k7f2q.jsonl"
    assert moved.to.read_bytes() == b"".join(line + b"\n" for line in BAD)
    assert journal_of(damaged).read_bytes() == SOUND
    assert journal_of(damaged, "b3x9m").read_bytes() == theirs


def test_what_counts_and_what_is_newer_is_the_same_afterwards(damaged: Path) -> None:
    entries, problems = load(damaged)
    assert [problem.grave for problem in problems].count(True) == 4
    repair(damaged)
    again, left = load(damaged)
    assert again == entries
    assert [problem.what for problem in left if problem.grave] == [
        "an entry from a newer fieldbook: kept, not counted"
    ]


def test_repairing_twice_is_the_same_as_once(damaged: Path) -> None:
    repair(damaged)
    before = files(damaged)
    assert repair(damaged) == []
    assert files(damaged) == before


def test_what_is_damaged_later_comes_after_what_was_moved_before(damaged: Path) -> None:
    repair(damaged)
    with journal_of(damaged).open("ab") as journal:
        journal.write(b"<html>\n")
    repair(damaged)
    assert moved_to(damaged) == [*BAD, b"<html>"]
    assert journal_of(damaged).read_bytes() == SOUND


def test_a_power_cut_among_the_lines_moved_aside_harms_none_that_follows(damaged: Path) -> None:
    (damaged / "set-apart").mkdir()
    journal_of(damaged / "set-apart").write_bytes(BAD[0][:20])
    repair(damaged)
    assert set(BAD) <= set(moved_to(damaged))


def test_a_season_without_damage_is_not_written_to(book: Book) -> None:
    put(book.path, FIRST, LAST)
    before = files(book.path)
    assert repair(book.path / "2027") == []
    assert files(book.path) == before


def test_the_number_and_tick_of_a_line_moved_aside_are_not_given_out_again(damaged: Path) -> None:
    repair(damaged)
    book = Book.open(damaged.parent, desk="k7f2q")
    (entry,) = book.record(note("next"))
    book.close()
    assert (entry.id, entry.tick) == ("k7f2q-10", 13)
    gaps = [problem.what for problem in book.check() if "missing" in problem.what]
    assert gaps == ["entries 5 to 8 of desk k7f2q are missing"]


def test_a_torn_end_before_new_lines_is_moved_and_they_stay(damaged: Path) -> None:
    book = Book.open(damaged.parent, desk="k7f2q")
    (entry,) = book.record(note("sealed"))
    book.close()
    repair(damaged)
    assert journal_of(damaged).read_bytes() == SOUND + lines(entry)


@pytest.mark.parametrize(
    "name", ["desk-k7f2q-2.jsonl", "desk-k7f2q (copy).jsonl", "desk-.jsonl", "desk-x.jsonl"]
)
def test_further_files_of_a_desk_and_what_a_syncing_service_makes_are_repaired_too(
    book: Book, name: str
) -> None:
    season = book.path / "2027"
    (season / name).write_bytes(BAD[0] + b"\n" + lines(FIRST))
    (moved,) = repair(season)
    assert moved.to == season / "set-apart" / name
    assert (season / name).read_bytes() == lines(FIRST)
    assert moved.to.read_bytes() == BAD[0] + b"\n"
    there = {path.name for path in season.glob("desk-*")}
    assert there <= {name, "desk-k7f2q.jsonl"}


# --- faults ------------------------------------------------------------------------------------


def test_a_fault_at_any_step_loses_no_line_and_the_next_repair_completes(damaged: Path) -> None:
    before, entries = files(damaged), load(damaged)[0]
    for nth in each_refusal():
        for path in damaged.rglob("*.jsonl"):
            path.unlink()
        for name, data in before.items():
            (damaged / name).write_bytes(data)
        with refusing(nth) as asked, contextlib.suppress(BookError):
            repair(damaged)
        assert load(damaged)[0] == entries
        there = journal_of(damaged).read_bytes().split(b"\n")
        assert set(BAD) <= {*there, *moved_to(damaged)}, asked
        assert journal_of(damaged).read_bytes() in (before["desk-k7f2q.jsonl"], SOUND)
        repair(damaged)
        assert journal_of(damaged).read_bytes() == SOUND
        assert set(moved_to(damaged)) == set(BAD)
        if len(asked) < nth:
            break
    assert {"open", "fsync", "replace"} <= set(asked)


def test_a_journal_that_cannot_be_repaired_is_named(damaged: Path) -> None:
    (damaged / "set-apart").write_bytes(b"in the way")
    before = files(damaged)
    message, hint, code = refused(lambda: repair(damaged))
    assert f"Cannot repair {journal_of(damaged)}: " in message
    assert (hint != "", code) == (True, Exit.BOOK)
    assert files(damaged) == before


# --- windows -----------------------------------------------------------------------------------


@pytest.mark.parametrize("read_only", [True, False])
def test_an_open_window_goes_on_after_a_repair(season: Season, read_only: bool) -> None:
    book = season.book
    season.record(count("Ledge/Cliff", "tapping", 20), count("Ledge/Cedar", "tapping", 30))
    path = journal_of(book.path / "2027")
    path.write_bytes(path.read_bytes().replace(b'"count":20', b'"count":21') + b"torn")
    window = Season(Book.open(book.path, desk=None if read_only else book.desk))
    assert window.book.set_apart == 2
    repair(book.path / "2027")
    assert window.catch_up()
    assert (window.book.set_apart, window.book.alarm) == (0, "")
    assert view(window) == fresh(book.path)
    if not read_only:
        (entry,) = window.record(count("Ledge/Cliff", "tapping", 22))
        assert entry.number == max(e.number for e in season.book.entries) + 1
        assert view(window) == fresh(book.path)
    window.book.close()


def test_what_a_window_saw_saved_and_a_repair_moved_aside_is_written_again(season: Season) -> None:
    """The window that wrote the line knows it: the damage is healed."""
    (entry,) = season.record(count("Ledge/Cliff", "tapping", 20))
    path = journal_of(season.book.path / "2027")
    path.write_bytes(path.read_bytes().replace(b'"count":20', b'"count":21'))
    repair(season.book.path / "2027")
    season.catch_up()
    assert encode(entry) in path.read_bytes().split(b"\n")
    assert view(season) == fresh(season.book.path)
