"""What the work took, against sums worked by hand from the season of `tests.reports`.

    drops       Wim: 42 in 1.5 h on 10 December, 80 in 2.5 h on the 11th
    tapping     Oda 45 and no hours, Perrin 30 in 1 h, Wim 20 in 0.5 h: 95, of which 50 in 1.5 h
    tensioning  Wim: 20 in 2 h, 5 in 0.25 h
    pulling     Oda: 2 and no hours

All of the taps are on Ledge. 7.75 h are on record, and 6 of 8 counts say theirs.
"""

from collections.abc import Callable
from datetime import date
from math import fsum
from typing import Any

import pytest
from hypothesis import given

from fieldbook.book.entry import AnyEntry
from fieldbook.reports.history_measures import measures
from fieldbook.reports.listing import Listing, shown
from fieldbook.reports.summary import summarise
from fieldbook.reports.work import (
    WorkPart,
    WorkReport,
    blocks_listing,
    people_listing,
    share_words,
    tasks_listing,
    work_report,
    work_words,
)
from fieldbook.season.season import Season
from tests.conftest import count, folded, strike
from tests.reports import LATER, TUESDAY, WORK, on, work
from tests.reports.helpers import cells, is_sound
from tests.season.woods import histories


def told(*entries: AnyEntry, as_of: date | None = None) -> WorkReport:
    return work_report(folded(*entries, as_of=as_of))


def one(parts: tuple[WorkPart, ...], task: str, *, block: str = "", who: str = "") -> WorkPart:
    (part,) = (p for p in parts if (p.task, p.block, p.who) == (task, block, who))
    return part


# --- tasks -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("task", "first", "last", "days", "done", "hours", "timed", "rate"),
    [
        ("drops", date(2026, 12, 10), date(2026, 12, 11), 2, 122, 4.0, 122, 30.5),
        ("tapping", date(2027, 2, 7), date(2027, 2, 9), 3, 95, 1.5, 50, 100 / 3),
        ("tensioning", date(2027, 2, 8), date(2027, 2, 9), 2, 25, 2.25, 25, 100 / 9),
        ("leaks", None, None, 0, 0, None, 0, None),  # set aside; nobody counted any
        ("pulling", date(2027, 2, 9), date(2027, 2, 9), 1, 2, None, 0, None),
    ],
)
def test_each_task_has_its_days_hours_and_rate(
    task: str,
    first: date | None,
    last: date | None,
    days: int,
    done: int,
    hours: float | None,
    timed: int,
    rate: float | None,
) -> None:
    p = one(told(*WORK).tasks, task)
    assert (p.first, p.last, p.days, p.done) == (first, last, days, done)
    assert (p.hours, p.timed) == (hours, timed)
    assert p.rate_per_hour == pytest.approx(rate)


def test_minutes_a_tap_by_task_add_up_to_those_of_the_season() -> None:
    """Over 95 taps: 4 h are 2.526 minutes, 1.5 h 0.947, 2.25 h 1.421; 7.75 h are 4.895."""
    report = told(*WORK)
    minutes = [p.minutes_per_tap for p in report.tasks]
    assert minutes == [
        pytest.approx(60 * 4 / 95),
        pytest.approx(60 * 1.5 / 95),
        pytest.approx(60 * 2.25 / 95),
        None,
        None,
    ]
    assert report.minutes_per_tap == pytest.approx(4.8947, abs=0.0001)
    assert fsum(m for m in minutes if m is not None) == pytest.approx(report.minutes_per_tap)
    assert (report.hours, report.taps, report.timed_share) == (7.75, 95, 0.75)


def test_ten_thousand_taps_are_790_hours() -> None:
    """Huyler 2000, USDA Forest Service NE-712: 4.74 minutes a tap and season.

    1,000 taps here: 30 h of tapping, 12 of tensioning, 18 of leaks, 19 of pulling are 79 h;
    79 x 60 / 1,000 is 4.74, and ten times the taps are 790 h.
    """
    report = told(
        count("Ledge/Cliff", "tapping", 600, hours=18),
        count("Creek/Ford", "tapping", 400, hours=12),
        count("Ledge/Cliff", "tensioning", 20, hours=12),
        count("Creek/Ford", "leaks", 1, hours=18),
        count("Ledge/Cliff", "pulling", 600, hours=19),
    )
    assert report.minutes_per_tap == pytest.approx(4.74)
    assert report.minutes_per_tap_all == pytest.approx(4.74)
    assert work_words(report) == [
        "79.0 person-hours on record, 4.74 minutes a tap, 790 hours for 10,000 taps"
    ]


# --- hours that nobody wrote down --------------------------------------------------------------


def test_counts_without_hours_are_in_no_rate_and_make_minutes_a_tap_too_low() -> None:
    """Oda's 45 taps took as long as the 50 that say: 95 / 33.3 is 2.85 h; with 4 and 2.25 h for
    drops and ties that are 9.1 h, 5.75 minutes a tap. 6 of 7 counts say theirs, 85.7 %."""
    report = told(*(e for e in WORK if getattr(e, "task", "") != "pulling"))
    assert report.minutes_per_tap == pytest.approx(60 * 7.75 / 95)
    assert report.minutes_per_tap_all == pytest.approx(60 * 9.1 / 95)
    assert work_words(report) == [
        "7.75 person-hours on record, 4.89 minutes a tap, 816 hours for 10,000 taps",
        "85 % of the counts say their hours; if the rest took as long: "
        "5.75 minutes a tap, 958 hours for 10,000 taps",
    ]


def test_of_a_task_of_which_no_count_says_nothing_is_guessed() -> None:
    """Nobody knows how long the 2 spouts took."""
    report = told(*WORK)
    assert report.minutes_per_tap_all is None
    assert work_words(report)[1:] == ["75 % of the counts say their hours"]


def test_no_hours_at_all_are_none_and_never_0() -> None:
    report = told(count("Ledge/Cliff", "tapping", 40), count("Ledge/Cedar", "drops", 60))
    assert (report.hours, report.minutes_per_tap, report.minutes_per_tap_all) == (None, None, None)
    assert report.timed_share == 0
    parts = (*report.tasks, *report.blocks, *report.people)
    assert {(p.hours, p.rate_per_hour, p.minutes_per_tap) for p in parts} == {(None, None, None)}
    assert work_words(report) == ["No hours were written down."]


def test_without_a_count_nothing_is_known() -> None:
    report = told()
    assert (report.hours, report.timed_share, report.minutes_per_tap) == (None, None, None)
    assert report.people == ()
    assert {(p.first, p.last, p.days, p.done) for p in report.tasks} == {(None, None, 0, 0)}


def test_hours_before_any_tap_is_in_come_to_no_minutes_a_tap() -> None:
    report = told(count("Ledge/Cliff", "drops", 42, hours=1.5))
    assert (report.hours, report.taps, report.minutes_per_tap) == (1.5, 0, None)
    assert work_words(report) == ["1.5 person-hours on record"]


def test_two_hours_that_found_nothing_to_count_were_worked_all_the_same() -> None:
    """40 taps in 2 h, and 2 h more on a line where no tree was left to tap."""
    report = told(
        count("Ledge/Cliff", "tapping", 40, hours=2, day="2027-02-08"),
        count("Creek/Culvert", "tapping", 0, hours=2, who="Wim"),
        count("Creek/Spring", "tapping", 0, who="Perrin"),  # looked in, and wrote a 0
    )
    p = one(report.tasks, "tapping")
    assert (p.done, p.hours, p.days, p.rate_per_hour) == (40, 4, 2, 10)
    assert report.minutes_per_tap == pytest.approx(6)
    (wim,) = (p for p in report.people if p.who == "Wim")
    assert (wim.done, wim.hours, wim.rate_per_hour) == (0, 2, 0)


def test_hours_written_beside_the_first_of_two_counts_are_of_both() -> None:
    """2 h on Cliff's count and 0 on Cedar's: 60 taps in 2 h, 30 an hour."""
    report = told(
        count("Ledge/Cliff", "tapping", 42, hours=2), count("Ledge/Cedar", "tapping", 18, hours=0)
    )
    assert (one(report.tasks, "tapping").rate_per_hour, report.timed_share) == (30, 1)


@pytest.mark.parametrize(
    ("share", "words"),
    [(0, "0 %"), (0.29, "29 %"), (7 / 8, "87 %"), (0.999, "99 %"), (1, "100 %")],
)
def test_a_share_is_rounded_down_so_that_100_means_all_of_it(share: float, words: str) -> None:
    assert share_words(share) == words


# --- blocks and people -------------------------------------------------------------------------


def test_each_block_has_its_own_days_hours_and_minutes_a_tap() -> None:
    """Ledge has all 95 taps, so Creek's hours are over none."""
    report = told(*WORK)
    ledge, creek = (one(report.blocks, "tensioning", block=b) for b in ("Ledge", "Creek"))
    assert (ledge.done, ledge.hours, ledge.first) == (20, 2, date(2027, 2, 8))
    assert ledge.minutes_per_tap == pytest.approx(120 / 95)
    assert (creek.done, creek.hours, creek.first) == (5, 0.25, TUESDAY)
    assert (creek.rate_per_hour, creek.minutes_per_tap) == (20, None)
    nothing = one(report.blocks, "tapping", block="Creek")
    assert (nothing.first, nothing.last, nothing.days, nothing.hours) == (None, None, 0, None)


def test_each_person_has_what_they_did_by_name_and_order_of_tasks() -> None:
    people = [(p.who, p.task, p.done, p.hours, p.rate_per_hour) for p in told(*WORK).people]
    assert people == [
        ("Oda", "tapping", 45, None, None),
        ("Oda", "pulling", 2, None, None),
        ("Perrin", "tapping", 30, 1, 30),
        ("Wim", "drops", 122, 4, 30.5),
        ("Wim", "tapping", 20, 0.5, 40),
        ("Wim", "tensioning", 25, 2.25, pytest.approx(100 / 9)),
    ]


def test_a_struck_count_is_in_nothing() -> None:
    slip = count("Ledge/Cedar", "tapping", 600, who="Wim", hours=40)
    ledger = folded(*WORK, slip)
    ledger.apply(strike(ledger.record("Ledge", "Cedar", "tapping").entries[-1]))
    assert work_report(ledger) == told(*WORK)


def test_work_after_the_day_is_left_out() -> None:
    assert told(*WORK, *LATER, as_of=TUESDAY) == told(*WORK)
    assert one(told(*WORK, *LATER).tasks, "tapping").last == date(2027, 2, 10)


@given(histories())
def test_blocks_and_people_add_up_to_the_tasks_and_other_reports_agree(
    history: list[AnyEntry],
) -> None:
    ledger = folded(*history)
    report = work_report(ledger)
    measured = measures(ledger)
    assert measured is not None
    for task in report.tasks:
        for parts in (report.blocks, report.people):
            of_task = [p for p in parts if p.task == task.task]
            assert sum(p.done for p in of_task) == task.done
            assert min((p.first for p in of_task if p.first), default=None) == task.first
            assert max((p.last for p in of_task if p.last), default=None) == task.last
    for task, planned in zip(report.tasks, ledger.plan.tasks, strict=True):
        assert task.done == ledger.cell(planned).tally.done
    assert report.timed_share == measured.hours_share
    assert report.hours == measured.hours


# --- as tables ---------------------------------------------------------------------------------


@pytest.fixture
def worked(season: Season) -> Season:
    work(season)
    return on(season, TUESDAY)


def blocks_of(season: Season) -> Listing:
    summary = summarise(season, TUESDAY)
    parts = {(b.block, p.task): p for b in summary.blocks for p in b.tasks}
    return blocks_listing(work_report(season.ledger), parts)


def test_blocks_stand_against_the_plan_with_what_is_left_short_and_over(worked: Season) -> None:
    """Cliff is 3 over its 42, Cedar 10 under its 60; Ford's 120 drops were finished 40 short."""
    listing = blocks_of(worked)
    rows: list[dict[str, Any]]
    rows = [dict(zip(listing.columns, row, strict=True)) for row in listing.rows]
    (tapping,) = (r for r in rows if (r["block"], r["task"]) == ("Ledge", "Tapping"))
    (drops,) = (r for r in rows if (r["block"], r["task"]) == ("Creek", "Drop replacement"))
    numbers = ("planned", "done", "left", "short", "over")
    assert [tapping[n] for n in numbers] == [102, 95, 10, 0, 3]
    assert [drops[n] for n in numbers] == [120, 80, 0, 40, 0]
    assert (tapping["standing"], drops["standing"]) == ("[>] under way", "[x] done")
    for row in rows:
        planned, done, left, short, over = (row[n] for n in numbers)
        assert planned == done + left + short - over


@pytest.mark.parametrize(
    "table",
    [
        blocks_of,
        lambda season: tasks_listing(work_report(season.ledger)),
        lambda season: people_listing(work_report(season.ledger).people),
    ],
    ids=["blocks", "tasks", "people"],
)
def test_tables_are_sound_and_what_nobody_wrote_is_a_dash(
    worked: Season, table: Callable[[Season], Listing]
) -> None:
    listing = table(worked)
    is_sound(listing)
    assert 0.0 not in [hours for hours in cells(listing, "hours") if isinstance(hours, float)]
    assert any("-" in row for row in shown(listing).rows)


def test_people_stand_once_above_their_tasks(worked: Season) -> None:
    table = shown(people_listing(work_report(worked.ledger).people))
    assert [row[0] for row in table.rows] == [
        *("Oda", "  Tapping", "  Pulling taps"),
        *("Perrin", "  Tapping"),
        *("Wim", "  Drop replacement", "  Tapping", "  Tensioning"),
    ]
