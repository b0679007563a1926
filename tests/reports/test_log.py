"""The logbook as data: every entry in order, found by any words it holds."""

from typing import Any

import pytest

from fieldbook.book.entry import Note, Step
from fieldbook.reports.log import LogLine, log_lines, says
from fieldbook.season.season import Season
from tests.conftest import count, stamp
from tests.reports import TUESDAY, on, work


@pytest.fixture
def worked(season: Season) -> Season:
    """Quillby Hollow with the work of `tests.reports` done."""
    work(season)
    return season


def ids(season: Season, find: str) -> list[int]:
    """Running numbers of the entries found."""
    return [int(line.id.partition("-")[2]) for line in log_lines(season, find=find)]


def test_every_entry_is_there_once_oldest_first(worked: Season) -> None:
    assert ids(worked, "") == list(range(1, 35))


@pytest.mark.parametrize(
    ("find", "found"),
    [
        ("k7f2q-23", [23]),
        ("CEDAR perrin", [22, 31, 34]),
        ("perrin cedar", [22, 31, 34]),  # in any order
        ("2027-02-08 wim", [21]),  # by the day it was done
        ("struck cedar", [31]),
        ("[red]ice", [23]),
        ("aside leaks", [24, 25]),
        ("hazard", []),  # no word that is stored
        ("beech", [29]),
        ("count drops", [17, 18]),
        ("another crew", [31, 32]),
        ("nowhere", []),
    ],
)
def test_entries_are_found_by_their_words(worked: Season, find: str, found: list[int]) -> None:
    assert ids(worked, find) == found


def test_a_line_says_who_did_what_where_and_when(worked: Season) -> None:
    (line,) = log_lines(worked, find="k7f2q-22")
    assert line == LogLine(
        id="k7f2q-22",
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
    (line,) = log_lines(worked, find="k7f2q-31 60")
    assert line.says == "60 taps"
    assert line.struck == "Oda, k7f2q-32: was Monday's sheet of\nanother crew"


@pytest.mark.parametrize(
    ("find", "said"),
    [
        ("k7f2q-22", "tapping: 30 taps, 1 h"),
        ("k7f2q-19", "finished drop replacement: out of tees"),
        ("k7f2q-29", "! hung-up beech [/] by the ford"),
        ("k7f2q-35", "tapping: [x] sharp, clean bit"),
        ("k7f2q-36", "a beech is down; see the map"),
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
    assert len(list(log_lines(on(worked, TUESDAY)))) == 34


def test_several_desks_are_told_in_fold_order(worked: Season) -> None:
    worked.book.write_as("b3x9m")
    worked.record(count("Creek/Ford", "tapping", 5))
    assert [line.id for line in log_lines(worked)][-2:] == ["k7f2q-34", "b3x9m-1"]
