"""The logbook as data: every entry in order, found by any words it holds."""

from typing import Any

import pytest

from fieldbook.book.entry import Note, Step
from fieldbook.reports.log import LogLine, log_lines, says
from fieldbook.season.season import Season
from fieldbook.season.settings import RULES
from tests.conftest import PLAN, count, stamp
from tests.reports import TUESDAY, on, work


@pytest.fixture
def worked(season: Season) -> Season:
    """Quillby Hollow with the work of `tests.reports` done."""
    work(season)
    return season


BEFORE = len(RULES) + 1 + len(PLAN)
"""Entries before any work: the rules, a checklist and the plan."""


def nth(number: int) -> str:
    """The id of an entry about work, of which the first is number 1."""
    return f"k7f2q-{BEFORE + number}"


def ids(season: Season, find: str) -> list[int]:
    """Running numbers of the entries found, the first about work being number 1."""
    return [int(line.id.partition("-")[2]) - BEFORE for line in log_lines(season, find=find)]


def test_every_entry_is_there_once_oldest_first(worked: Season) -> None:
    assert ids(worked, "") == list(range(1 - BEFORE, 19))


@pytest.mark.parametrize(
    ("find", "found"),
    [
        (nth(7), [7]),
        ("CEDAR perrin", [6, 15, 18]),
        ("perrin cedar", [6, 15, 18]),  # in any order
        ("2027-02-08 wim", [5]),  # by the day it was done
        ("struck cedar", [15]),
        ("[red]ice", [7]),
        ("aside leaks", [8, 9]),
        ("hazard", []),  # no word that is stored
        ("beech", [13]),
        ("count drops", [1, 2]),
        ("another crew", [15, 16]),
        ("nowhere", []),
    ],
)
def test_entries_are_found_by_their_words(worked: Season, find: str, found: list[int]) -> None:
    assert ids(worked, find) == found


def test_a_line_says_who_did_what_where_and_when(worked: Season) -> None:
    (line,) = log_lines(worked, find=nth(6))
    assert line == LogLine(
        id=nth(6),
        at=stamp("2027-02-08")["at"],
        noted=stamp()["noted"],
        by="Oda",
        who="Perrin",
        kind="count",
        place="Ledge / Cedar",
        task="tapping",
        says="30 taps, 1 h",
        struck="",
    )


def test_what_is_struck_says_by_whom_and_why_and_keeps_its_words(worked: Season) -> None:
    (line,) = log_lines(worked, find=f"{nth(15)} 60")
    assert line.says == "60 taps"
    assert line.struck == f"Oda, {nth(16)}: was Monday's sheet of\nanother crew"


@pytest.mark.parametrize(
    ("find", "said"),
    [
        (nth(6), "tapping: 30 taps, 1 h"),
        (nth(3), "finished drop replacement: out of tees"),
        (nth(13), "! hung-up beech [/] by the ford"),
        (nth(19), "tapping: [x] sharp, clean bit"),
        (nth(20), "a beech is down; see the map"),
    ],
)
def test_the_task_is_named_where_the_words_do_not(worked: Season, find: str, said: str) -> None:
    where: dict[str, Any] = {"block": "Ledge", "line": "Cliff", "task": "tapping"}
    worked.record(
        Step(step="sharp, clean bit", who="Oda", **where, **stamp()),
        Note(text="a beech is down;\nsee the map", **where, **stamp()),
    )
    (line,) = log_lines(worked, find=find)
    assert says(line) == said


def test_the_log_shows_what_a_day_leaves_out_of_its_sums(worked: Season) -> None:
    assert len(list(log_lines(on(worked, TUESDAY)))) == BEFORE + 18


def test_several_desks_are_told_in_fold_order(worked: Season) -> None:
    worked.book.write_as("b3x9m")
    worked.record(count("Creek/Ford", "tapping", 5))
    assert [line.id for line in log_lines(worked)][-2:] == [nth(18), "b3x9m-1"]
