"""The next season from this one: what changes, what is carried, and what is left behind.

Quillby Hollow at season 2027: Cliff 42 taps with drops of 2024, Cedar 60 of 2026, Ford 120 of
which nobody knows, Spring 35 of 2025; Culvert rests. Every number is worked out beside it.
"""

import calendar
import errno
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest
from dateutil.rrule import rrulestr
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from fieldbook.book.book import Book
from fieldbook.book.entry import (
    About,
    AnyEntry,
    Checklist,
    Close,
    HandOff,
    Leak,
    Line,
    Note,
    Passed,
    Person,
    ReadBack,
    Repair,
    Run,
    Setting,
    Settle,
    Strike,
    Supply,
    Taken,
    TapClass,
    TapRule,
    Target,
    Trees,
    Valve,
    WriteOff,
    clean,
)
from fieldbook.errors import NotSaved
from fieldbook.season.checking import check_season
from fieldbook.season.items import What, open_items
from fieldbook.season.rollover import (
    Change,
    changes,
    coming,
    drafts_of,
    preview,
    write,
    year_after,
)
from fieldbook.season.season import CHECKLIST_COPY, Season
from fieldbook.season.settings import RULES
from fieldbook.trade.pace import same_weekday
from tests.conftest import (
    DESK,
    EAST,
    NOW,
    aside,
    count,
    finish,
    note,
    refused,
    reopen,
    stamp,
)
from tests.faults.disk import Disk
from tests.reports.helpers import rules, trees

FALL = datetime(2027, 10, 4, 9, 0, tzinfo=EAST)
"""Monday 4 October 2027: everybody is back from the summer."""


def found(season: Season, year: int = 2028, now: datetime = FALL) -> list[Change]:
    return changes(season, year, by="Perrin", now=now)


def of_line(season: Season, where: str) -> Change:
    """What becomes of a line, given as `Ledge/Cliff`."""
    changed = (change for change in found(season) if isinstance(change.entry, Line))
    (change,) = (c for c in changed if f"{c.entry['block']}/{c.entry['line']}" == where)
    return change


def line_then(season: Season, where: str) -> Line:
    entry = of_line(season, where).entry
    assert isinstance(entry, Line)
    return entry


def of_rule(season: Season, name: str, year: int = 2028, now: datetime = FALL) -> Change:
    changed = (c for c in found(season, year, now) if isinstance(c.entry, Setting))
    (change,) = (change for change in changed if change.entry["setting"] == name)
    return change


def rule_then(season: Season, name: str, year: int = 2028, now: datetime = FALL) -> Any:
    return of_rule(season, name, year, now).entry["value"]


def carried(season: Season) -> list[Change]:
    """What goes on that is open."""
    return [change for change in found(season) if getattr(change.entry, "carried", "")]


def begin(season: Season, year: int = 2028) -> Book:
    return Book.begin_season(season.book.path, year, desk=DESK)


def made(season: Season, year: int = 2028) -> Season:
    """The next season with all of it."""
    return write(season, begin(season, year), drafts_of(found(season, year)))


def texts(season: Season) -> list[str]:
    """What is open in a season, in the words of whoever opened it."""
    return [item.says for item in open_items(season.ledger, FALL)]


# --- days ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("day", "then"),
    [
        #  February 2027           February 2028
        # Mo Tu We Th Fr Sa Su    Mo Tu We Th Fr Sa Su
        #  1  2  3  4  5  6  7        1  2  3  4  5  6
        #  8  9 10 11 12 13 14     7  8  9 10 11 12 13
        # 15 16 17 18 19 20 21    14 15 16 17 18 19 20
        # 22 23 24 25 26 27 28    21 22 23 24 25 26 27
        #                         28 29
        ("2027-02-20", "2028-02-19"),  # the third Saturday
        ("2027-02-01", "2028-02-07"),  # the first Monday
        ("2027-02-28", "2028-02-27"),  # the fourth Sunday
        ("2027-02-22", "2028-02-28"),  # the fourth Monday
        ("2027-12-19", "2028-12-17"),  # the third Sunday
    ],
)
def test_a_year_on_by_the_calendar_on_the_wall(day: str, then: str) -> None:
    assert same_weekday(date.fromisoformat(day)).isoformat() == then


@pytest.mark.parametrize(
    ("day", "years", "then"),
    [
        ("2020-02-29", 1, "2021-02-27"),  # a fifth Saturday, of which February 2021 has four
        ("2020-02-29", 28, "2048-02-29"),  # 28 years on the calendar is the same
        ("2028-02-29", 1, "2029-02-27"),  # a fifth Tuesday
        ("2027-01-30", 1, "2028-01-29"),  # fifth to fifth Saturday
        ("2027-01-30", 2, "2029-01-27"),  # January 2029 has four
        ("2028-02-29", -1, "2027-02-23"),  # and back
        ("2027-02-20", 0, "2027-02-20"),
    ],
)
def test_leap_years_and_fifth_weekdays_by_hand(day: str, years: int, then: str) -> None:
    assert same_weekday(date.fromisoformat(day), years=years).isoformat() == then


DAYS = st.dates(date(2000, 1, 1), date(2060, 12, 31))


@given(DAYS)
def test_it_is_the_yearly_rule_of_rfc_5545(day: date) -> None:
    """RFC 5545, 3.3.10: FREQ=YEARLY;BYMONTH=2;BYDAY=3SA is the third Saturday of each February."""
    number = (day.day - 1) // 7 + 1
    named = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")[day.weekday()]
    byday = f"{number}{named}" if number < 5 else f"-1{named}"
    rule = f"FREQ=YEARLY;BYMONTH={day.month};BYDAY={byday}"
    first = datetime(day.year + 1, 1, 1)  # noqa: DTZ001
    coming_days = [rrulestr(rule, dtstart=first)[years].date() for years in range(20)]
    assert [same_weekday(day, years=years) for years in range(1, 21)] == coming_days


@given(DAYS)
def test_rolled_over_twenty_times_a_day_stays_where_it_is_in_its_month(day: date) -> None:
    then = day
    for year in range(day.year + 1, day.year + 21):
        then = same_weekday(then)
        weeks = [week[day.weekday()] for week in calendar.monthcalendar(year, day.month)]
        weekdays = [number for number in weeks if number]
        assert (then.year, then.month, then.weekday()) == (year, day.month, day.weekday())
        number = weekdays.index(then.day)
        assert number == (day.day - 1) // 7 or (day.day > 28 and number == 3)


def test_the_window_is_the_same_dates_a_year_on(season: Season) -> None:
    assert rule_then(season, "season_begins") == "2027-09-01"
    assert rule_then(season, "season_ends") == "2028-08-31"
    change = of_rule(season, "season_ends")
    assert (change.why, change.needed) == ("a year on", True)


def test_over_a_year_off_the_window_and_dates_go_two_years_on(season: Season) -> None:
    season.record(Target(task="tapping", wanted=date(2027, 2, 20), **stamp()))
    change = of_rule(season, "season_begins", 2029)
    assert (change.entry["value"], change.why) == ("2028-09-01", "2 years on")
    (target,) = (c.entry for c in found(season, 2029) if isinstance(c.entry, Target))
    assert target.wanted == date(2029, 2, 17)  # the third Saturday of February 2029


def test_a_season_that_ends_on_29_february_ends_on_the_28th(season: Season) -> None:
    season.record(*rules(season_ends="2028-02-29"))
    assert rule_then(season, "season_ends", 2028) == "2029-02-28"
    assert rule_then(season, "season_ends", 2031) == "2032-02-29"


def test_days_off_keep_their_weekday_and_feasts_their_date(season: Season) -> None:
    """Thanksgiving is the fourth Thursday of November, Washington's Birthday the third Monday of
    February; Christmas and New Year's Day have a date (5 U.S.C. 6103)."""
    season.record(*rules(days_off="2026-11-26,2026-12-25,2027-01-01,2027-02-15"))
    assert rule_then(season, "days_off") == "2027-11-25,2027-12-25,2028-01-01,2028-02-21"
    assert of_rule(season, "days_off").why == "the same weekdays; feasts keep their date"


def test_without_days_off_there_are_none(season: Season) -> None:
    change = of_rule(season, "days_off")
    assert (change.entry["value"], change.changed) == ("none", False)


def test_a_date_wanted_is_wanted_on_the_same_weekday(season: Season) -> None:
    season.record(
        Target(task="tapping", wanted=date(2027, 2, 20), **stamp()),
        Target(task="drops", block="Ledge", wanted=date(2026, 12, 19), **stamp()),
    )
    targets = {t.task: t for c in found(season) if isinstance(t := c.entry, Target)}
    assert targets["tapping"].wanted == date(2028, 2, 19)
    assert (targets["drops"].block, targets["drops"].wanted) == ("Ledge", date(2027, 12, 18))
    assert {c.why for c in found(season) if isinstance(c.entry, Target)} == {"the same weekday"}


def test_a_date_that_is_left_is_not_taken_over(season: Season) -> None:
    season.record(Target(task="tapping", wanted=date(2027, 2, 13), **stamp()))
    (change,) = (c for c in found(season) if isinstance(c.entry, Target))
    drafts = drafts_of(found(season), [change])
    assert not any(isinstance(draft, Target) for draft in drafts)
    # The checklist's own date stands then: tapping by 20 February.
    plan = preview(2028, drafts).plan
    task = plan.counting("taps")
    assert task is not None
    wanted = plan.wanted(task)
    assert wanted is not None
    assert (wanted.day, wanted.from_target) == (date(2028, 2, 20), False)


def test_a_date_for_a_line_that_is_gone_is_gone_too(season: Season) -> None:
    (target,) = season.record(
        Target(task="tapping", block="Ledge", line="Cliff", wanted=date(2027, 2, 9), **stamp())
    )
    assert any(change.was == target for change in found(season))
    (cliff,) = (e for e in season.book.entries if isinstance(e, Line) and e.line == "Cliff")
    season.strike(cliff.id, "sold", by="Oda", now=NOW)
    assert not any(isinstance(change.entry, Target) for change in found(season))


# --- what the season taught ----------------------------------------------------------------------


def test_a_rate_is_the_crews_own_once_eight_hours_are_on_record(season: Season) -> None:
    """42 taps in 2 h and 60 in 5.5: 7.5 h are too few; 20 more in 0.5 h are 122 in 8, 15.25."""
    season.record(
        count("Ledge/Cliff", "tapping", 42, hours=2),
        count("Ledge/Cedar", "tapping", 60, hours=5.5),
        count("Creek/Spring", "tapping", 15),  # nobody said how long: in neither sum
    )
    assert rule_then(season, "rate_taps") == 45  # the default
    season.record(count("Creek/Spring", "tapping", 20, hours=0.5), really=True)
    change = of_rule(season, "rate_taps")
    assert (change.entry["value"], change.why) == (15.2, "this crew's own in 2027, of 8 h")
    assert change.otherwise is not None
    assert change.otherwise["value"] == 45


def test_each_unit_has_its_own_rate(season: Season) -> None:
    """Ford: 120 drops in 10 h are 12; its 16 ties in 8 h are 2; 90 spouts in 9 h are 10."""
    season.record(
        count("Creek/Ford", "drops", 120, hours=10),
        count("Creek/Ford", "tensioning", 16, hours=8),
        count("Creek/Ford", "tapping", 120),
        count("Creek/Ford", "pulling", 90, hours=9),
    )
    rates = {name: rule_then(season, f"rate_{name}") for name in ("drops", "ties", "spouts")}
    assert rates == {"drops": 12, "ties": 2, "spouts": 10}
    assert [rule_then(season, f"rate_{name}") for name in ("taps", "other")] == [45, 10]


def test_a_leak_round_is_told_by_the_taps_it_was_walked_past(season: Season) -> None:
    """Past the 120 of Ford in 6 h and the 60 of Cedar in 2 h: 180 in 8 h are 22.5."""
    season.record(
        count("Creek/Ford", "leaks", 1, hours=6), count("Ledge/Cedar", "leaks", 1, hours=2)
    )
    assert rule_then(season, "rate_readings") == 22.5


def test_tasks_that_count_the_same_have_one_rate(season: Season) -> None:
    """80 taps in 4 h and, at a second round, 20 in 6 h: 100 in 10."""
    checklist = season.plan.checklist
    assert checklist is not None
    tapping = next(task for task in checklist.tasks if task.key == "tapping")
    second = replace(tapping, key="second", title="Second round", after="")
    season.record(replace(checklist, id="", tick=0, tasks=(*checklist.tasks, second)))
    season.record(
        count("Creek/Ford", "tapping", 80, hours=4), count("Creek/Ford", "second", 20, hours=6)
    )
    assert rule_then(season, "rate_taps") == 10


@pytest.mark.parametrize(
    ("taps", "hours", "rate"),
    [
        (80_000, 8, 10_000),  # the most the rule takes
        (81_000, 8, 45),  # more would be read as the default
        (1, 10, 0.1),
        (1, 11, 45),
        (125, 9, 13.9),  # 13.888
    ],
)
def test_a_rate_no_rule_takes_is_not_taken_over(
    season: Season, taps: int, hours: float, rate: float
) -> None:
    season.record(count("Creek/Ford", "tapping", taps, hours=hours), really=True)
    assert rule_then(season, "rate_taps") == rate


def test_work_that_was_struck_taught_nothing(season: Season) -> None:
    (entry,) = season.record(count("Creek/Ford", "tapping", 120, hours=10))
    assert rule_then(season, "rate_taps") == 12
    season.strike(entry.id, "that was Wim's", by="Oda", now=NOW)
    assert rule_then(season, "rate_taps") == 45


def run(day: str, *, block: str = "", **measured: Any) -> Run:
    return Run(block=block, **measured, **stamp(day))


def test_the_sap_is_as_sweet_as_it_was_measured(season: Season) -> None:
    """100 gal of 2.0 and 300 gal of 3.0 Brix: (200 + 900) / 400 = 2.75."""
    season.record(run("2027-03-01", sap_gal=100, brix=2.0), run("2027-03-02", sap_gal=300, brix=3))
    change = of_rule(season, "sap_brix")
    assert (change.entry["value"], change.why) == (2.75, "as measured in 2027")


def test_the_blocks_of_a_day_are_parts_of_the_whole(season: Season) -> None:
    """Of 1 March 200 gal of 2.4 count, and not once more the Ledge's 100 of 3.0 among them."""
    season.record(
        run("2027-03-01", sap_gal=200, brix=2.4),
        run("2027-03-01", block="Ledge", sap_gal=100, brix=3.0),
    )
    assert rule_then(season, "sap_brix") == 2.4


def test_concentrate_is_not_taken_for_sap(season: Season) -> None:
    season.record(run("2027-03-01", sap_gal=100, brix=14), really=True)
    assert rule_then(season, "sap_brix") == 2.0


TAPPED = (count("Ledge/Cliff", "tapping", 40), count("Creek/Ford", "tapping", 110))
"""150 taps, 40 of them on the Ledge."""


@pytest.mark.parametrize(
    ("runs", "each"),
    [
        # 900 + 1,200 + 300 = 2,400 gal over 150 taps
        (
            [
                run("2027-03-01", sap_gal=900),
                run("2027-03-02", sap_gal=1200),
                run("2027-03-20", sap_gal=300),
            ],
            16.0,
        ),
        # Ledge 500 + 140, Creek 1,760: the same, each block on the day its tank was emptied
        (
            [
                run("2027-03-01", block="Ledge", sap_gal=500),
                run("2027-03-02", block="Creek", sap_gal=1760),
                run("2027-03-03", block="Ledge", sap_gal=140),
            ],
            16.0,
        ),
        # 9084.9884 l are 2,400 gal
        ([run("2027-03-01", sap_l=9084.9884)], 16.0),
        # The Creek was never measured: nobody knows what all taps gave
        ([run("2027-03-01", block="Ledge", sap_gal=500)], None),
        # The whole one day, and another day the Ledge alone
        (
            [
                run("2027-03-01", sap_gal=2000),
                run("2027-03-02", block="Ledge", sap_gal=400),
            ],
            None,
        ),
        # A day nobody measured is no zero
        ([run("2027-03-01", sap_gal=2400), run("2027-03-02")], None),
        # Of syrup alone nothing is known of the sap
        ([run("2027-03-01", syrup_gal=50)], None),
        ([], None),
    ],
)
def test_what_a_tap_gave_in_the_season_where_all_of_it_was_measured(
    season: Season, runs: list[AnyEntry], each: float | None
) -> None:
    season.record(*TAPPED, *runs, really=True)
    change = of_rule(season, "sap_gal_per_tap")
    assert change.entry["value"] == (each or 15.0)
    assert change.why == ("as measured in 2027" if each else "")


def test_while_sap_may_still_come_nobody_knows_what_a_tap_gave(season: Season) -> None:
    """In April it still may; it no longer does once every line is pulled, or the season is past."""
    season.record(*TAPPED, run("2027-03-01", sap_gal=2400), really=True)
    april = datetime(2027, 4, 1, 9, tzinfo=EAST)
    assert rule_then(season, "sap_gal_per_tap", now=april) == 15
    season.record(count("Ledge/Cliff", "pulling", 40, day="2027-03-30"))
    assert rule_then(season, "sap_gal_per_tap", now=april) == 15
    season.record(finish("Creek/Ford", "pulling", "under the snow", day="2027-03-31"))
    assert rule_then(season, "sap_gal_per_tap", now=april) == 16
    assert rule_then(season, "sap_gal_per_tap", now=datetime(2027, 8, 31, 9, tzinfo=EAST)) == 16


def test_the_last_day_of_the_season_belongs_to_it(season: Season) -> None:
    season.record(*TAPPED, run("2027-03-01", sap_gal=2400), really=True)
    last, first = (datetime(2027, *day, 9, tzinfo=EAST) for day in ((8, 31), (9, 1)))
    assert rule_then(season, "sap_gal_per_tap", now=last) == 15
    assert rule_then(season, "sap_gal_per_tap", now=first) == 16


def test_a_closed_season_brings_no_more_sap(season: Season) -> None:
    season.carry([*TAPPED, run("2027-03-01", sap_gal=2400), Close(who="Oda", **stamp())])
    assert rule_then(season, "sap_gal_per_tap", now=NOW) == 16


def test_rules_nobody_touched_stay_as_they_are(season: Season) -> None:
    season.record(*rules(workdays="MO,TU,WE", drop_cycle_years=4, price_bit=17.5, tap_rule="own"))
    changed = {c.entry["setting"] for c in found(season) if c.changed and c.otherwise}
    assert changed == {"season_begins", "season_ends"}
    for name, value in (("workdays", "MO,TU,WE"), ("drop_cycle_years", 4), ("price_bit", 17.5)):
        assert rule_then(season, name) == value
    assert rule_then(season, "tap_rule") == "own"


# --- lines, as they were hung and tapped ---------------------------------------------------------


def test_drops_that_were_replaced_are_of_this_season(season: Season) -> None:
    season.record(count("Ledge/Cliff", "drops", 42))
    change = of_line(season, "Ledge/Cliff")
    assert (change.entry["drops_hung"], change.why) == (2027, "replaced")
    assert change.otherwise is not None
    assert change.otherwise["drops_hung"] == 2024
    assert not of_line(season, "Creek/Spring").changed


def test_drops_of_which_nobody_knew_the_year_are_known_once_replaced(season: Season) -> None:
    assert line_then(season, "Creek/Ford").drops_hung is None
    season.record(count("Creek/Ford", "drops", 120))
    assert line_then(season, "Creek/Ford").drops_hung == 2027


def test_some_drops_replaced_do_not_make_a_line_young(season: Season) -> None:
    season.record(count("Ledge/Cliff", "drops", 30))
    change = of_line(season, "Ledge/Cliff")
    assert change.entry["drops_hung"] == 2024
    assert change.why == "only 30 drops replaced in 2027: the age stays that of the oldest"


def test_a_line_finished_short_has_no_other_drops(season: Season) -> None:
    """Two trees are down: of the 42 drops of the plan 40 hang, and all are new."""
    season.record(
        count("Ledge/Cliff", "drops", 40), finish("Ledge/Cliff", "drops", "two trees are down")
    )
    assert (line_then(season, "Ledge/Cliff").drops_hung, of_line(season, "Ledge/Cliff").why) == (
        2027,
        "replaced",
    )


def test_finished_without_a_drop_nothing_is_new(season: Season) -> None:
    season.record(finish("Ledge/Cliff", "drops", "none to be had this year"))
    change = of_line(season, "Ledge/Cliff")
    assert (change.entry["drops_hung"], change.changed) == (2024, False)


@pytest.mark.parametrize(("replaced", "hung"), [(34, 2025), (35, 2027)])
def test_a_line_not_due_is_young_once_every_drop_on_it_is_new(
    season: Season, replaced: int, hung: int
) -> None:
    """Spring is not due before 2028: 35 drops hang there, and squirrels had them."""
    season.record(count("Creek/Spring", "drops", replaced), really=True)
    assert line_then(season, "Creek/Spring").drops_hung == hung


def test_a_number_of_drops_wanted_for_one_season_is_not_the_whole_line(season: Season) -> None:
    """20 of 42 were wanted, and 20 were replaced: done, and yet 22 are of 2024."""
    season.record(
        Target(task="drops", block="Ledge", line="Cliff", planned=20, **stamp()),
        count("Ledge/Cliff", "drops", 20),
    )
    change = of_line(season, "Ledge/Cliff")
    assert change.entry["drops_hung"] == 2024
    assert change.why == (
        "only 20 drops replaced in 2027: the age stays that of the oldest; "
        "20 drops wanted were for 2027 alone"
    )


def test_drops_that_the_plan_has_as_new_already_are_no_change(season: Season) -> None:
    """Oda put 2027 into the table after the 42 were replaced."""
    season.record(count("Ledge/Cliff", "drops", 42))
    season.record(replace(season.plan.lines_of("Ledge")[0], id="", tick=0, drops_hung=2027))
    change = of_line(season, "Ledge/Cliff")
    assert (change.entry["drops_hung"], change.changed) == (2027, False)


def test_more_drops_hung_than_the_plan_knew_hang_there_then(season: Season) -> None:
    cliff = replace(line_then(season, "Ledge/Cliff"), drops=42)
    season.record(cliff, count("Ledge/Cliff", "drops", 44))
    assert line_then(season, "Ledge/Cliff").drops == 44


def test_a_line_keeps_as_many_taps_as_it_took(season: Season) -> None:
    season.record(
        count("Ledge/Cedar", "tapping", 57), finish("Ledge/Cedar", "tapping", "three too small")
    )
    change = of_line(season, "Ledge/Cedar")
    assert (change.entry["taps_planned"], change.why) == (57, "three too small")
    assert change.otherwise is not None
    assert change.otherwise["taps_planned"] == 60


def test_a_line_that_is_not_done_keeps_its_plan(season: Season) -> None:
    season.record(
        count("Ledge/Cedar", "tapping", 57),
        count("Creek/Ford", "tapping", 100),
        aside("Creek/Ford", "tapping", "ice"),
    )
    assert not of_line(season, "Ledge/Cedar").changed
    assert not of_line(season, "Creek/Ford").changed


def test_why_it_was_reopened_is_not_why_it_took_more(season: Season) -> None:
    season.record(
        aside("Creek/Spring", "tapping", "no way over the ice"),
        reopen("Creek/Spring", "tapping", "the ice holds"),
        count("Creek/Spring", "tapping", 37),
    )
    change = of_line(season, "Creek/Spring")
    assert (change.entry["taps_planned"], change.why) == (37, "as many as were drilled")


def test_a_reason_for_another_number_says_nothing(season: Season) -> None:
    """Three too small, said at 57; then two of them were drilled after all."""
    season.record(
        count("Ledge/Cedar", "tapping", 57), finish("Ledge/Cedar", "tapping", "three too small")
    )
    season.record(count("Ledge/Cedar", "tapping", 2), really=True)
    change = of_line(season, "Ledge/Cedar")
    assert (change.entry["taps_planned"], change.why) == (59, "as many as were drilled")


def test_a_line_that_goes_by_its_trees_still_does(season: Season) -> None:
    """20 trees of 12 in carry a tap each by the conservative rule; 18 were drilled."""
    cedar = replace(line_then(season, "Ledge/Cedar"), taps_planned=None)
    season.record(cedar, trees("Ledge/Cedar", "12:20", day="2026-11-02"))
    season.record(count("Ledge/Cedar", "tapping", 18), finish("Ledge/Cedar", "tapping", "two down"))
    assert season.plan.taps(cedar) == 20
    assert line_then(season, "Ledge/Cedar").taps_planned is None
    assert preview(2028, drafts_of(found(season))).plan.taps(cedar) == 20


def test_a_number_of_taps_wanted_for_one_season_does_not_become_the_lines_own(
    season: Season,
) -> None:
    season.record(
        Target(task="tapping", block="Ledge", line="Cedar", planned=40, **stamp()),
        count("Ledge/Cedar", "tapping", 40),
    )
    change = of_line(season, "Ledge/Cedar")
    assert change.entry["taps_planned"] == 60
    assert change.why == "40 taps wanted were for 2027 alone"
    plan = preview(2028, drafts_of(found(season))).plan
    assert plan.taps(line_then(season, "Ledge/Cedar")) == 60
    assert list(plan.targets) == []


def test_of_a_date_and_a_number_wanted_the_date_goes_on(season: Season) -> None:
    season.record(
        Target(
            task="tapping",
            block="Ledge",
            line="Cedar",
            wanted=date(2027, 2, 20),
            planned=40,
            **stamp(),
        )
    )
    (target,) = (c.entry for c in found(season) if isinstance(c.entry, Target))
    assert (target.wanted, target.planned) == (date(2028, 2, 19), None)


def test_a_line_in_metres_and_millimetres_stays_in_them(season: Season) -> None:
    metric = Line(
        block="Creek",
        line="Érablière",
        order=4,
        layout="pair",
        diameter_mm=25.4,
        dry_mm=38.1,
        length_m=120.5,
        slope_pct=-2.5,
        taps_planned=30,
        drops=31,
        spout_in=0.3125,
        note="=left bank",
        **stamp(),
    )
    season.record(metric)
    then = line_then(season, "Creek/Érablière")
    same = {name: getattr(metric, name) for name in metric.__struct_fields__}
    for name in ("at", "noted", "id", "tick", "by"):
        same.pop(name)
    assert {name: then[name] for name in same} == same
    assert (then.at, then.noted, then.by) == (FALL, FALL, "Perrin")


def test_lines_of_one_name_in_two_blocks_are_two(season: Season) -> None:
    season.record(Line(block="Creek", line="Cliff", taps_planned=10, order=9, **stamp()))
    season.record(count("Creek/Cliff", "tapping", 12))
    assert line_then(season, "Creek/Cliff").taps_planned == 12
    assert line_then(season, "Ledge/Cliff").taps_planned == 42


def test_blocks_and_lines_keep_the_order_they_are_walked_in(season: Season) -> None:
    before = [(line.block, line.line, line.order) for line in season.plan.lines]
    after = [(line.block, line.line, line.order) for line in made(season).plan.lines]
    assert after == before
    assert len(after) == 5


def checklist_without(season: Season, *keys: str) -> Checklist:
    checklist = season.plan.checklist
    assert checklist is not None
    tasks = tuple(replace(task, on=False) if task.key in keys else task for task in checklist.tasks)
    return replace(checklist, id="", tick=0, tasks=tasks)


def test_a_task_switched_off_stays_switched_off(season: Season) -> None:
    season.record(checklist_without(season, "tensioning"))
    plan = made(season).plan
    assert plan.task("tensioning") is None
    assert plan.checklist is not None
    assert plan.checklist.tasks == season.plan.checklist.tasks  # type: ignore[union-attr]


def test_a_crew_that_counts_no_drops_has_none_that_are_new(season: Season) -> None:
    season.record(count("Ledge/Cliff", "drops", 42))
    season.record(checklist_without(season, "drops", "pulling"))
    change = of_line(season, "Ledge/Cliff")
    assert (change.entry["drops_hung"], change.changed) == (2024, False)
    assert carried(season) == []


def test_the_crew_and_its_rules_for_taps_come_along(season: Season) -> None:
    season.record(
        TapRule(
            rule="ours",
            unit="cm",
            classes=(TapClass(from_dbh=25, taps=1), TapClass(from_dbh=45, taps=2)),
            source="the old book",
            **stamp(),
        ),
        *rules(tap_rule="ours"),
    )
    season.record(Person(person="Wim", role="wire", note="left hand", **stamp()))
    plan = made(season).plan
    assert plan.people == ["Oda", "Perrin", "Wim"]
    wim = plan.person("Wim")
    assert wim is not None
    assert (wim.role, wim.note) == ("wire", "left hand")
    assert (plan.tap_rule.name, plan.tap_rule.source) == ("ours", "the old book")


def test_trees_are_as_old_as_they_were_measured(season: Season) -> None:
    season.record(trees("Ledge/Cliff", "9.5:12 14:30", day="2026-11-02"))
    (tally,) = (e for e in made(season).book.entries if isinstance(e, Trees))
    assert tally.day == date(2026, 11, 2)
    assert [(c.dbh_in, c.count) for c in tally.classes] == [(9.5, 12), (14, 30)]


def test_what_lies_in_the_shed_is_counted_anew(season: Season) -> None:
    season.record(Supply(item="spout", on_hand=400, **stamp()))
    assert list(made(season).plan.supplies) == []


def test_what_was_struck_is_not_taken_over(season: Season) -> None:
    entries = season.record(
        Person(person="Stranger", **stamp()),
        note("an owl"),
        replace(note("hung-up ash", block="Ledge"), hazard=True),
        Repair(who="Wim", text="hang the gate", **stamp()),
    )
    for entry in entries:
        season.strike(entry.id, "was not so", by="Oda", now=NOW)
    assert carried(season) == []
    assert not any(
        e.entry["person"] == "Stranger" for e in found(season) if e.entry.kind == "person"
    )


# --- what is open --------------------------------------------------------------------------------


def hazard(text: str, *, day: str = "2027-02-01", who: str = "") -> Note:
    return replace(note(text, block="Ledge", line="Cedar", day=day), hazard=True, who=who)


def test_a_hazard_goes_on_with_its_old_day(season: Season) -> None:
    (ash,) = season.record(hazard("hung-up ash", who="Wim"))
    (change,) = carried(season)
    entry = change.entry
    assert isinstance(entry, Note)
    assert (entry.text, entry.hazard, entry.block, entry.line) == (
        *("hung-up ash", True),
        *("Ledge", "Cedar"),
    )
    assert (entry.day, entry.who, entry.by) == (date(2027, 2, 1), "Wim", "Perrin")
    assert entry.carried == f"2027/{ash.id}"
    assert (change.was, change.why) == (ash, "it still stands in the woods")
    assert change.otherwise is None


def test_in_the_next_season_it_is_as_old_as_it_is(season: Season) -> None:
    season.record(hazard("hung-up ash"))
    after = made(season)
    (item,) = (i for i in open_items(after.ledger, FALL) if i.what is What.HAZARD)
    assert item.since.date() == date(2027, 2, 1)
    assert item.owner == "Oda"  # whoever wrote it down
    assert [problem.what for problem in check_season(after, FALL)] == []


def test_settled_there_it_is_closed_there_and_goes_no_further(season: Season) -> None:
    season.record(hazard("hung-up ash"))
    after = made(season)
    (ash,) = after.ledger.notes
    after.record(Settle(entry=ash.id, who="Wim", at=FALL, noted=FALL, by="Oda"))
    assert "hung-up ash" not in texts(after)
    assert carried(season) == []  # a second look at this season does not bring it back
    assert [c for c in changes(after, 2029, by="Oda", now=FALL) if isinstance(c.entry, Note)] == []


def test_a_note_is_no_hazard_and_a_cleared_hazard_is_none(season: Season) -> None:
    ash, _owl = season.record(hazard("hung-up ash"), note("an owl"))
    season.record(Settle(entry=ash.id, who="Wim", **stamp()))
    assert carried(season) == []


def test_a_repair_that_was_not_made_goes_on_with_the_day_it_was_due(season: Season) -> None:
    gate, post = season.record(
        Repair(who="Wim", text="hang the gate", due=date(2027, 2, 12), block="Creek", **stamp()),
        Repair(who="Oda", text="set a post", **stamp()),
    )
    season.record(Settle(entry=post.id, who="Oda", **stamp()))
    (change,) = carried(season)
    assert (change.was, change.why) == (gate, "not made yet")
    entry = change.entry
    assert isinstance(entry, Repair)
    assert (entry.text, entry.who, entry.due, entry.block, entry.line) == (
        *("hang the gate", "Wim", date(2027, 2, 12)),
        *("Creek", ""),
    )
    assert (entry.carried, entry.day) == (f"2027/{gate.id}", date(2027, 2, 9))


def leak(text: str, **more: Any) -> Leak:
    return Leak(block="Creek", line="Spring", who="Wim", text=text, **more, **stamp())


@pytest.mark.parametrize(
    ("found_there", "left_to_do"),
    [
        (leak("hiss by the brook"), "mend the leak: hiss by the brook"),
        (
            leak("fifth lateral, chewed", lateral="5", cause="chewed"),
            "mend the leak: fifth lateral, chewed",
        ),
        (
            leak("hiss", lateral="7", cause="spout loose", lost_inhg=3),
            "mend the leak: lateral 7, spout loose, hiss",
        ),
    ],
)
def test_a_leak_that_was_not_mended_is_a_repair(
    season: Season, found_there: Leak, left_to_do: str
) -> None:
    (entry,) = season.record(found_there)
    (change,) = carried(season)
    mend = change.entry
    assert isinstance(mend, Repair)
    assert (mend.text, mend.block, mend.line, mend.who) == (left_to_do, "Creek", "Spring", "Wim")
    assert (mend.carried, mend.day, mend.due) == (f"2027/{entry.id}", date(2027, 2, 9), None)
    assert (change.was, change.why) == (entry, "a leak not mended")


def test_a_long_leak_is_cut_to_what_a_repair_takes(season: Season) -> None:
    season.record(leak("a" * 65_530))
    (change,) = carried(season)
    assert change.entry["text"] == "mend the leak: " + "a" * (65_536 - 15)
    assert carried(made(season)) != []


def valve(state: str, reason: str = "", *, day: str = "2027-02-08", **more: Any) -> Valve:
    return Valve(
        block="Creek",
        line="Spring",
        who="Wim",
        state=state,  # type: ignore[arg-type]
        reason=reason,
        **more,
        **stamp(day),
    )


def test_a_shut_valve_is_shut_since_the_first_word_of_it(season: Season) -> None:
    """Shut on the 2nd for a splice, said again on the 8th with no reason."""
    first, last = season.carry(
        [valve("shut", "splice", day="2027-02-02"), valve("shut", heard=True)]
    )
    (change,) = carried(season)
    entry = change.entry
    assert isinstance(entry, Valve)
    assert (entry.state, entry.reason, entry.heard) == ("shut", "splice", None)
    assert (entry.day, entry.carried) == (date(2027, 2, 2), f"2027/{first.id}")
    assert (change.was, change.why) == (last, "shut, and nobody opened it")
    made(season)
    # More words about it in the old season do not make it another valve.
    season.carry([valve("shut", "ice", day="2027-02-20")])
    assert carried(season) == []


def test_a_valve_that_was_opened_again_is_open(season: Season) -> None:
    season.record(valve("shut", day="2027-02-02"), valve("open", day="2027-02-03"))
    assert carried(season) == []


def test_a_carried_valve_is_opened_there(season: Season) -> None:
    season.record(valve("shut", "splice"))
    after = made(season)
    assert [i.what for i in open_items(after.ledger, FALL)][:1] == [What.VALVE]
    opened = replace(valve("open"), at=FALL, noted=FALL)
    after.record(opened)
    assert What.VALVE not in [i.what for i in open_items(after.ledger, FALL)]


def test_spouts_left_in_trees_are_a_repair(season: Season) -> None:
    """Cedar: 60 drilled, 57 pulled."""
    season.record(count("Ledge/Cedar", "tapping", 60))
    assert carried(season) == []  # nobody was at pulling yet: they are all still wanted
    first, last = season.record(
        count("Ledge/Cedar", "pulling", 30, day="2027-04-20", who="Wim"),
        count("Ledge/Cedar", "pulling", 27, day="2027-04-21", who="Perrin"),
    )
    (change,) = carried(season)
    entry = change.entry
    assert isinstance(entry, Repair)
    assert (entry.text, entry.who) == ("pull the spouts left in trees in 2027: 3", "Perrin")
    assert (entry.block, entry.line, entry.day) == ("Ledge", "Cedar", date(2027, 4, 21))
    assert (change.was, change.why) == (last, "pulled, but for these")
    assert entry.carried == f"2027/{first.id}"


def test_more_pulled_later_does_not_carry_the_line_twice(season: Season) -> None:
    season.record(count("Ledge/Cedar", "tapping", 60), count("Ledge/Cedar", "pulling", 50))
    made(season)
    season.record(count("Ledge/Cedar", "pulling", 5), really=True)
    assert carried(season) == []


def test_of_spouts_somebody_accounted_for_nothing_is_left(season: Season) -> None:
    season.record(
        count("Ledge/Cedar", "tapping", 60),
        count("Ledge/Cedar", "pulling", 58),
        finish("Ledge/Cedar", "pulling", "two in a felled tree"),
    )
    assert carried(season) == []


def test_a_line_set_aside_at_pulling_is_not_forgotten(season: Season) -> None:
    season.record(
        count("Ledge/Cedar", "tapping", 60), aside("Ledge/Cedar", "pulling", "bridge out")
    )
    (change,) = carried(season)
    assert change.entry["text"] == "pull the spouts left in trees in 2027: 60"
    assert change.why == "bridge out"


def test_a_line_finished_without_a_count_is_not_forgotten(season: Season) -> None:
    season.record(count("Ledge/Cedar", "tapping", 60), finish("Ledge/Cedar", "pulling"))
    (change,) = carried(season)
    assert change.entry["text"] == "pull the spouts left in trees in 2027: 60"
    assert change.why == "not pulled"


def off(what: str, entry: AnyEntry, reason: str) -> WriteOff:
    about = About(what=what, entry=entry.id)
    return WriteOff(about=about, who="Oda", reason=reason, **stamp())


def test_what_was_written_off_goes_on_and_says_so(season: Season) -> None:
    """A season is closed only when everything open is written off, and in the woods it stands."""
    ash, gate, hiss, shut = season.record(
        hazard("hung-up ash"),
        Repair(who="Wim", text="hang the gate", **stamp()),
        leak("hiss"),
        valve("shut", "splice"),
    )
    season.record(
        off("hazard", ash, "marked"),
        off("repair", gate, "in the fall"),
        off("leak", hiss, "vacuum is off"),
        off("valve shut", shut, "over the summer"),
    )
    assert [change.why for change in carried(season)] == [
        "it still stands in the woods; written off: marked",
        "not made yet; written off: in the fall",
        "a leak not mended; written off: vacuum is off",
        "shut, and nobody opened it; written off: over the summer",
    ]


@pytest.mark.parametrize(("amount", "left"), [(3, 0), (2, 1)])
def test_spouts_written_off_are_written_off_for_their_number(
    season: Season, amount: int, left: int
) -> None:
    season.record(count("Ledge/Cedar", "tapping", 60), count("Ledge/Cedar", "pulling", 57))
    about = About(what="left in trees", block="Ledge", line="Cedar", task="pulling")
    season.record(WriteOff(about=about, amount=amount, who="Oda", reason="felled", **stamp()))
    assert len(carried(season)) == left


def test_who_took_it_over_has_it_next_season_too(season: Season) -> None:
    (ash,) = season.record(hazard("hung-up ash", who="Wim"))
    about = About(what="hazard", block="Ledge", line="Cedar", entry=ash.id)
    (handoff,) = season.record(
        HandOff(
            who="Wim",
            to="Perrin",
            blocks=("Ledge",),
            severity="danger",
            items=(Passed(about=about),),
            **stamp(),
        )
    )
    season.record(
        Taken(handoff=handoff.id, who="Perrin", items=(ReadBack(about=about),), **stamp())
    )
    (change,) = carried(season)
    assert change.entry["who"] == "Perrin"


HOSTILE = [
    "=cmd|' /C calc'!A0",
    "[bold red]not red[/] [link=file:///etc]x[/link]",
    "\x1b]0;owned\x07\x1b[2Jcleared\x9b31m",
    "line one\nline two\r\n\tthree",
    "\u202egnp.exe \u200bzero\ufeff",
    "%s {year} {0} \\N{BELL}",
    '"; DROP TABLE journals; --',
    "Ĝardeno 🍁 e\u0301rable",
]


@pytest.mark.parametrize("text", HOSTILE)
def test_whatever_somebody_typed_comes_through_as_it_stands(season: Season, text: str) -> None:
    """As the old season has it: cleaned when it was typed, and not touched since."""
    name = clean(text, one_line=True)[:40].strip()
    season.record(
        Line(block="Ledge", line=name, note=text, taps_planned=5, order=7, **stamp()),
        Person(person=name, role=name, note=text, **stamp()),
    )
    season.record(
        replace(hazard(text), line=name),
        Repair(who=name, text=text, block="Ledge", line=name, **stamp()),
        replace(count("Ledge/Cliff", "tapping", 4), line=name),
        replace(finish("Ledge/Cliff", "tapping", text), line=name),
    )
    after = made(season)
    line = after.plan.line("Ledge", name)
    assert line is not None
    assert (line.note, line.taps_planned) == (clean(text), 4)
    person = after.plan.person(name)
    assert person is not None
    assert (person.role, person.note) == (name, clean(text))
    assert [n.text for n in after.ledger.notes] == [clean(text)]
    assert [r.text for r in after.ledger.of(Repair)] == [clean(text)]
    assert Season(Book.open(season.book.path, year=2028)).log() == after.log()


# --- the season made of it -----------------------------------------------------------------------


def test_the_season_made_has_every_rule_the_checklist_and_the_plan(season: Season) -> None:
    after = made(season)
    assert {e.setting for e in after.book.entries if isinstance(e, Setting)} == {
        rule.name for rule in RULES
    }
    assert (after.plan.begins, after.plan.ends) == (date(2027, 9, 1), date(2028, 8, 31))
    assert [task.key for task in after.plan.tasks] == [task.key for task in season.plan.tasks]
    assert after.plan.blocks == ["Ledge", "Creek"]
    assert check_season(after, FALL) == []


def test_the_old_season_is_not_touched(season: Season) -> None:
    season.record(hazard("hung-up ash"), count("Ledge/Cliff", "drops", 42))
    before = season.log()
    made(season)
    season.catch_up()
    assert season.log() == before


def test_the_crews_copy_of_the_checklist_comes_along(season: Season) -> None:
    path = season.book.path
    (path / "2027" / CHECKLIST_COPY).write_text("# ours\n", encoding="utf-8")
    made(season)
    assert (path / "2028" / CHECKLIST_COPY).read_text(encoding="utf-8") == "# ours\n"


def test_without_a_copy_of_the_checklist_the_one_in_force_is_on_record(season: Season) -> None:
    (season.book.path / "2027" / CHECKLIST_COPY).unlink()
    after = made(season)
    assert after.checklist_copy is None
    assert after.plan.task("tapping") is not None


def test_a_line_left_stays_as_it_was_and_an_open_item_left_is_not_carried(season: Season) -> None:
    season.record(
        count("Ledge/Cliff", "drops", 42), hazard("hung-up ash"), *rules(days_off="2027-02-15")
    )
    season.record(count("Creek/Ford", "tapping", 120, hours=10))
    everything = found(season)
    left = [
        of_line(season, "Ledge/Cliff"),
        of_rule(season, "rate_taps"),
        of_rule(season, "days_off"),
        *carried(season),
    ]
    ledger = preview(2028, drafts_of(everything, left))
    cliff = ledger.plan.line("Ledge", "Cliff")
    assert cliff is not None
    assert cliff.drops_hung == 2024
    assert ledger.plan.setting("rate_taps") == 45
    assert ledger.plan.setting("days_off") == "2027-02-15"
    assert ledger.notes == []
    taken = preview(2028, drafts_of(everything))
    assert [n.text for n in taken.notes] == ["hung-up ash"]
    assert taken.plan.setting("rate_taps") == 12


def test_what_a_season_cannot_be_without_is_not_left(season: Season) -> None:
    everything = found(season)
    needed = [change for change in everything if change.needed]
    kinds = [getattr(change.entry, "setting", change.entry.kind) for change in needed]
    assert kinds == ["season_begins", "season_ends", "checklist"]
    assert drafts_of(everything, needed) == drafts_of(everything)


def test_rules_of_which_nothing_is_said_are_recorded_at_their_default(season: Season) -> None:
    drafts = [draft for draft in drafts_of(found(season)) if not isinstance(draft, Setting)]
    after = write(season, begin(season), drafts)
    assert after.plan.recorded("sap_brix") is not None
    assert {e.setting for e in after.book.entries if isinstance(e, Setting)} == {
        rule.name for rule in RULES
    }
    assert after.plan.begins == date(2027, 9, 1)  # the default of 2028


def test_what_the_next_season_has_is_left_alone(season: Season) -> None:
    after = made(season)
    assert found(season) == []
    after.record(*rules(rate_taps=30), Person(person="Nell", **stamp()))
    season.record(Person(person="Joss", **stamp()), *rules(rate_taps=60))
    (change,) = found(season)
    assert change.entry["person"] == "Joss"


def test_a_season_begun_by_itself_keeps_its_rules_and_takes_what_it_lacks(season: Season) -> None:
    season.record(*rules(workdays="MO"), hazard("hung-up ash"))
    begun = Season.begin(begin(season), "vacuum", by="Oda", now=FALL)
    assert {change.entry.kind for change in found(season)} == {"block", "line", "person", "note"}
    write(season, begun.book, drafts_of(found(season)))
    begun = Season(Book.open(season.book.path, year=2028))
    assert begun.plan.workdays == "MO,TU,WE,TH,FR,SA"
    assert len(list(begun.plan.lines)) == 5
    assert found(season) == []


def test_what_was_struck_there_does_not_come_back(season: Season) -> None:
    """The Culvert was sold, the ash is not there, Wim has left: the lead struck them in 2028."""
    season.record(hazard("hung-up ash"))
    after = made(season)
    for entry in list(after.book.entries):
        named = (entry.kind, getattr(entry, "line", ""), getattr(entry, "person", ""))
        if named in (("line", "Culvert", ""), ("person", "", "Wim")) or isinstance(entry, Note):
            after.strike(entry.id, "gone", by="Oda", now=FALL)
    assert len([e for e in after.book.entries if isinstance(e, Strike)]) == 3
    assert found(season) == []


def test_without_window_or_checklist_a_season_gets_them_again(season: Season) -> None:
    after = made(season)
    for entry in list(after.book.entries):
        if isinstance(entry, Checklist) or getattr(entry, "setting", "") == "season_ends":
            after.strike(entry.id, "a slip", by="Oda", now=FALL)
    kinds = [getattr(change.entry, "setting", change.entry.kind) for change in found(season)]
    assert kinds == ["season_ends", "checklist"]


def test_made_meanwhile_by_somebody_else_nothing_is_written_twice(season: Season) -> None:
    """Two people looked at the same changes; both say yes."""
    season.record(hazard("hung-up ash"))
    drafts = drafts_of(found(season))
    write(season, begin(season), drafts)
    before = Season(Book.open(season.book.path, year=2028)).log()
    other = Book.open(season.book.path, year=2028, desk="other")
    after = write(season, other, drafts)
    assert after.log() == before
    assert len(after.ledger.notes) == 1


def test_a_closed_season_takes_nothing(season: Season) -> None:
    after = made(season)
    (close,) = after.carry([Close(who="Oda", at=FALL, noted=FALL, by="Oda")])
    season.record(Person(person="Joss", **stamp()))
    drafts = drafts_of(found(season))
    book = Book.open(season.book.path, year=2028, desk=DESK)
    message, _hint, _code = refused(lambda: write(season, book, drafts))
    assert message == f"The season was closed by Oda on 2027-10-04 ({close.id})."
    assert "Joss" not in Season(book).plan.people


@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EIO], ids=errno.errorcode.get)
def test_a_disk_that_refuses_has_all_of_it_or_nothing(
    tmp_path: Path, season: Season, code: int
) -> None:
    """Every call of the write refused in turn; the second try writes all of it."""
    season.record(hazard("hung-up ash"))
    drafts = drafts_of(found(season))
    for nth in range(1, 100):
        year = 2027 + nth
        there = Book.begin_season(season.book.path, year, desk=DESK)
        with Disk(tmp_path) as disk:
            disk.refuse(nth, code)
            try:
                write(season, there, drafts)
                saved = True
            except NotSaved:
                saved = False
            refused_calls = list(disk.refused)
            disk.mend()
            count_there = Season(Book.open(season.book.path, year=year))
            assert (len(count_there.ledger.notes) == 1) is saved, refused_calls
            assert (count_there.plan.checklist is not None) is saved, refused_calls
            if not saved:
                after = write(season, there, drafts)
                assert len(after.ledger.notes) == 1
        there.close()
        if not refused_calls:
            break
    else:
        pytest.fail("there was no end of calls")
    assert nth > 3


# --- which season --------------------------------------------------------------------------------


def test_the_season_to_go_on_from_is_the_last_with_work(season: Season) -> None:
    season.record(count("Ledge/Cliff", "tapping", 42))
    assert coming(season.book) == (2027, 2028)
    after = made(season)
    assert coming(season.book) == (2027, 2028)  # 2028 has a plan and no work: still being made
    work = replace(count("Ledge/Cliff", "drops", 1), at=FALL, noted=FALL)
    after.record(work)
    assert coming(season.book) == (2028, 2029)


@pytest.mark.parametrize("word", ["run", "finish"])
def test_sap_and_a_finish_are_work_and_what_is_carried_is_none(season: Season, word: str) -> None:
    season.record(hazard("hung-up ash"), valve("shut"))
    after = made(season)
    assert coming(season.book) == (2027, 2028)
    entry = run("2028-03-01", sap_gal=1) if word == "run" else finish("Ledge/Cliff", "drops", "x")
    after.record(replace(entry, at=FALL))
    assert coming(season.book) == (2028, 2029)


def test_the_only_season_is_gone_on_from_even_without_work(season: Season) -> None:
    assert coming(season.book) == (2027, 2028)


def test_struck_work_is_none(season: Season) -> None:
    after = made(season)
    (entry,) = after.record(replace(count("Ledge/Cliff", "drops", 1), at=FALL))
    after.strike(entry.id, "was 2027", by="Oda", now=FALL)
    assert coming(season.book) == (2027, 2028)


def test_over_a_gap_the_next_season_is_the_next_the_book_has(season: Season) -> None:
    """The crew took 2028 off: 2029 was begun, and has a plan only."""
    season.record(count("Ledge/Cliff", "tapping", 42))
    begin(season, 2029).close()
    assert coming(season.book) == (2027, 2029)
    assert [year_after(season.book, year) for year in (2026, 2027, 2028, 2029)] == [
        *(2027, 2029, 2029, 2030)
    ]


def test_drops_age_over_a_gap(season: Season) -> None:
    """Cedar's drops of 2026 are two years old in 2028, and three, so due, in 2029."""
    assert [
        preview(year, drafts_of(found(season, year))).plan.drops_due(
            line_then(season, "Ledge/Cedar")
        )
        for year in (2028, 2029)
    ] == [0, 60]


def test_the_same_book_gives_the_same_changes(season: Season) -> None:
    season.record(hazard("hung-up ash"), count("Ledge/Cliff", "drops", 42), valve("shut"))
    again = Season(Book.open(season.book.path, year=2027))
    assert found(again) == found(season)


def test_a_preview_is_what_would_be_there_with_what_is_there(season: Season) -> None:
    after = made(season)
    season.record(Person(person="Joss", **stamp()))
    plan = preview(2028, drafts_of(found(season)), after.book.entries).plan
    assert plan.people == ["Joss", "Oda", "Perrin", "Wim"]
    assert preview(2028, drafts_of(found(season))).plan.people == ["Joss"]
