"""When the crew will be done: what is certain is exact, what is not has its band.

February 2027 begins on a Monday; Quillby Hollow works from Monday to Saturday.
"""

from collections.abc import Sequence
from datetime import date, timedelta
from math import ceil
from pathlib import Path
from shutil import copytree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from fieldbook.book.book import Book
from fieldbook.book.entry import Line, Target
from fieldbook.book.merge import merge
from fieldbook.reports.forecast import (
    DRAWS,
    MOST_DAYS,
    Finish,
    Forecast,
    TaskForecast,
    forecast,
    task_forecast,
)
from fieldbook.reports.forecast_tables import (
    finish_words,
    forecast_listings,
    is_late,
    pace_words,
)
from fieldbook.reports.pace import Pace
from fieldbook.reports.render.json import to_json
from fieldbook.season.ledger import Ledger
from fieldbook.season.season import Season
from tests.conftest import aside, count, finish, folded, stamp
from tests.reports import TUESDAY, on, work
from tests.reports.helpers import cells, is_sound, rules

SATURDAY = date(2027, 2, 6)


def task(report: Forecast, key: str) -> TaskForecast:
    return next(x for x in report.tasks if x.task == key)


def days_alike(season: Season, a_day: int) -> None:
    """Oda taps so many on each of five days, Tuesday to Saturday; no day is ever lost."""
    season.record(
        *rules(lost_days_pct=0),
        *(count("Creek/Ford", "tapping", a_day, day=f"2027-02-0{day}") for day in range(2, 7)),
    )


def workday(number: int, after: date) -> date:
    """The date of a workday to come, each day of the calendar looked at by itself."""
    day = after
    while number:
        day += timedelta(days=1)
        number -= day.weekday() != 6
    return day


def steady(*days: float, crew: float = 1.0, lost_share: float = 0.0) -> Pace:
    return Pace(
        rate_per_hour=1.0,
        rate_default=1.0,
        hours=0.0,
        crew=crew,
        days=days,
        days_recorded=len(days),
        days_before=0,
        days_default=0,
        lost_share=lost_share,
        lost=0,
        workdays=len(days),
    )


def foretold(
    ledger: Ledger,
    key: str,
    pace: Pace,
    order: Sequence[str] = (),
    before: TaskForecast | None = None,
) -> TaskForecast:
    found = ledger.plan.task(key)
    assert found is not None
    return task_forecast(ledger, found, pace, TUESDAY, order=order, before=before)


def tapping(ledger: Ledger, pace: Pace, order: Sequence[str] = ()) -> TaskForecast:
    return foretold(ledger, "tapping", pace, order)


# --- what is certain ---------------------------------------------------------------------------


@pytest.mark.parametrize("a_day", [1, 3, 10, 24])
def test_days_all_alike_are_counted_exactly(season: Season, a_day: int) -> None:
    days_alike(season, a_day)
    taps = task(forecast(season, SATURDAY), "tapping")
    left = 257 - 5 * a_day
    assert taps.left == left
    days = ceil(left / a_day)
    assert (taps.days_likely, taps.days_late) == (days, days)
    done = workday(days, SATURDAY)
    assert taps.finish == Finish(done, done, done)
    assert taps.pace.days == (a_day,) * 5


def test_one_more_is_a_hand_more(season: Season) -> None:
    days_alike(season, 10)
    taps = task(forecast(season, SATURDAY), "tapping")
    assert taps.one_more == workday(ceil(207 / 20), SATURDAY)  # two do twice as much as one


def test_days_off_and_sundays_bring_nothing(season: Season) -> None:
    days_alike(season, 10)
    season.record(*rules(days_off="2027-02-08,2027-02-09", workdays="MO,TU,WE,TH"))
    taps = task(forecast(season, SATURDAY), "tapping")
    # 21 days: Wednesday 10 and Thursday 11, then 4 full weeks and 3 days: Wednesday 17 March
    assert taps.finish.likely == date(2027, 3, 17)


def test_blocks_are_done_one_after_the_other(season: Season) -> None:
    days_alike(season, 10)
    taps = task(forecast(season, SATURDAY), "tapping")
    # Creek is under way: 155 - 50; then Ledge, 102
    assert [(x.block, x.left) for x in taps.blocks] == [("Creek", 105), ("Ledge", 102)]
    assert [x.finish.likely for x in taps.blocks] == [
        workday(ceil(105 / 10), SATURDAY),
        workday(ceil(207 / 10), SATURDAY),
    ]


@pytest.mark.parametrize("days", [1, 2, 7, 20, 47])
def test_the_last_day_to_begin_against_the_calendar(days: int) -> None:
    """Begun a day later there would be a workday too few to the day wanted, 20 February."""
    ledger = folded()
    taps = tapping(ledger, steady(257 / days))
    assert taps.days_late == days
    assert taps.begin_by is not None
    wanted = date(2027, 2, 20)
    assert taps.wanted == wanted

    def workdays_from(day: date) -> int:
        run = range((wanted - day).days + 1)
        return sum((day + timedelta(days=n)).weekday() != 6 for n in run)

    assert workdays_from(taps.begin_by) == days
    assert workdays_from(taps.begin_by + timedelta(days=1)) < days


def test_a_day_wanted_by_the_crew_goes_before_the_checklist_s() -> None:
    ledger = folded(
        Target(task="tapping", wanted=date(2027, 2, 27), **stamp()),
        Target(task="tapping", block="Creek", wanted=date(2027, 2, 25), **stamp()),
    )
    taps = tapping(ledger, steady(30))
    assert taps.wanted == date(2027, 2, 27)
    assert {x.block: x.wanted for x in taps.blocks} == {
        "Ledge": date(2027, 2, 27),
        "Creek": date(2027, 2, 25),
    }


def test_work_that_takes_years_has_no_date() -> None:
    taps = tapping(folded(), steady(257 / (MOST_DAYS + 1)))
    assert taps.days_likely == MOST_DAYS + 1
    assert (taps.finish, taps.begin_by) == (Finish(None, None, None), None)
    assert taps.one_more is not None  # two would be done in half the time
    assert finish_words(taps.finish) == "done: not within a year"
    just = tapping(folded(), steady(257 / MOST_DAYS))
    assert just.finish.late == workday(MOST_DAYS, TUESDAY)


# --- what is not -------------------------------------------------------------------------------


@settings(max_examples=40)
@given(
    days=st.lists(st.integers(5, 200), min_size=1, max_size=20),
    lost_share=st.sampled_from([0.0, 0.15, 0.5]),
    crew=st.sampled_from([1.0, 1.4, 2.0, 4.0]),
)
def test_the_band_and_the_blocks_are_in_order(
    days: list[int], lost_share: float, crew: float
) -> None:
    pace = steady(*map(float, days), crew=crew, lost_share=lost_share)
    taps = tapping(folded(), pace, ["Creek", "Ledge"])
    finishes = [x.finish for x in taps.blocks]
    assert [x.block for x in taps.blocks] == ["Creek", "Ledge"]
    for told in finishes:
        assert told.early is not None
        assert told.likely is not None
        assert told.late is not None
        assert TUESDAY < told.early <= told.likely <= told.late
    first, last = finishes
    assert (first.early, first.likely, first.late) <= (last.early, last.likely, last.late)
    assert last == taps.finish
    assert taps.one_more is not None
    assert taps.finish.likely is not None
    assert taps.one_more <= taps.finish.likely
    # Never sooner than if every day were the best
    assert finishes[-1].early is not None
    assert workday(ceil(257 / max(days)), TUESDAY) <= finishes[-1].early


def test_the_likely_day_of_a_coin() -> None:
    """Days of 100 and of 200 by turns of a coin, 257 taps: by arithmetic, not by drawing.

    Two days do unless both are of 100, and then three do: 3 in 4 are done on day 2. 9 in 10 are
    by day 3.
    """
    taps = tapping(folded(), steady(100, 200))
    assert (taps.days_likely, taps.days_late) == (2, 3)


def test_a_day_in_two_lost_takes_longer() -> None:
    # 257 in one day, with a chance of one half on each: half of the draws are done on day 1, nine
    # in ten by day 4 (1 - 1/2^3 = 0.875, 1 - 1/2^4 = 0.9375)
    taps = tapping(folded(), steady(257, lost_share=0.5))
    assert taps.days_late == 4
    assert taps.days_likely in (1, 2)  # a hair to either side of one half


# --- what waits for another task ---------------------------------------------------------------


def test_no_block_is_tapped_before_its_drops_are_done() -> None:
    ledger = folded()
    # 42 drops in Ledge are 5 days of 10, with Creek's 120 they are 17; 162 in all
    drops = foretold(ledger, "drops", steady(10))
    assert [x.finish.likely for x in drops.blocks] == [workday(5, TUESDAY), workday(17, TUESDAY)]
    # Of 257 taps a day, Ledge's would be in tomorrow, and Creek's: each waits for its own drops.
    taps = foretold(ledger, "tapping", steady(257), before=drops)
    assert [x.finish for x in taps.blocks] == [x.finish for x in drops.blocks]
    assert taps.finish == drops.finish
    assert taps.one_more == drops.finish.likely  # one more to tap hangs no drops
    # What it takes by itself, and when it has to begin for that, wait for nothing.
    assert (taps.days_likely, taps.days_late, taps.begin_by) == (1, 1, date(2027, 2, 20))
    # Of one tap a day they are later than any drops.
    assert foretold(ledger, "tapping", steady(1), before=drops) == tapping(ledger, steady(1))


def test_a_block_whose_drops_are_done_waits_for_none() -> None:
    ledger = folded(count("Ledge/Cliff", "drops", 42))
    drops = foretold(ledger, "drops", steady(10))
    assert [x.block for x in drops.blocks] == ["Creek"]
    taps = foretold(ledger, "tapping", steady(257), before=drops)
    assert [x.finish.likely for x in taps.blocks] == [workday(1, TUESDAY), workday(12, TUESDAY)]


def test_what_was_tapped_without_new_drops_holds_up_no_other_block() -> None:
    """Creek is tapped on old drops: only there is anything left to wait for, and nothing waits."""
    ledger = folded(
        count("Ledge/Cliff", "drops", 42),
        count("Creek/Ford", "tapping", 120),
        count("Creek/Spring", "tapping", 35),
    )
    drops = foretold(ledger, "drops", steady(2))
    assert drops.finish.likely == workday(60, TUESDAY)
    taps = foretold(ledger, "tapping", steady(102), before=drops)
    tomorrow = workday(1, TUESDAY)
    assert taps.finish == Finish(tomorrow, tomorrow, tomorrow)
    assert taps.one_more == tomorrow


def test_what_waits_for_work_of_years_has_no_date() -> None:
    ledger = folded()
    drops = foretold(ledger, "drops", steady(120 / (MOST_DAYS + 1)), ["Ledge", "Creek"])
    taps = foretold(ledger, "tapping", steady(257), before=drops)
    assert taps.blocks[0].finish.likely == drops.blocks[0].finish.likely
    assert drops.blocks[0].finish.likely is not None  # 42 take 141 days
    assert taps.finish == taps.blocks[1].finish == Finish(None, None, None)
    assert taps.one_more is None


def sooner(one: date | None, other: date | None) -> bool:
    """Whether a day is before another; no day is after all of them."""
    return (one or date.max) < (other or date.max)


@settings(max_examples=40)
@given(
    a_day=st.tuples(*[st.lists(st.integers(1, 90), min_size=1, max_size=6)] * 2),
    lost_share=st.sampled_from([0.0, 0.15, 0.5]),
    order=st.permutations(["Ledge", "Creek"]),
    tapped=st.booleans(),
)
def test_waiting_makes_nothing_sooner_and_no_later_than_it_must(
    a_day: tuple[list[int], list[int]], lost_share: float, order: list[str], tapped: bool
) -> None:
    ledger = folded(*[count("Creek/Ford", "tapping", 120), count("Creek/Spring", "tapping", 35)])
    ledger = ledger if tapped else folded()
    drops, taps = (steady(*map(float, days), lost_share=lost_share) for days in a_day)
    before = foretold(ledger, "drops", drops, order)
    alone = foretold(ledger, "tapping", taps, order)
    waiting = foretold(ledger, "tapping", taps, order, before)
    hung = {x.block: x.finish for x in before.blocks}
    for name in Finish.__struct_fields__:
        for by_itself, waited in zip(alone.blocks, waiting.blocks, strict=True):
            days = [getattr(by_itself.finish, name), getattr(hung[waited.block], name)]
            assert getattr(waited.finish, name) == max(days)
        last = max(getattr(x.finish, name) for x in waiting.blocks)
        assert getattr(waiting.finish, name) == last
    assert not sooner(waiting.finish.likely, waiting.one_more)


def test_a_forecast_of_the_season_waits_too(season: Season) -> None:
    season.record(
        *rules(lost_days_pct=0),
        *(count("Creek/Ford", "drops", 2, day=f"2027-02-0{day}") for day in range(2, 7)),
    )
    report = forecast(season, SATURDAY)
    drops, taps, leaks = (task(report, key) for key in ("drops", "tapping", "leaks"))
    by_block = {x.block: x.finish for x in drops.blocks}
    # Ten of 162 drops are in, two a day: 76 days, and everything else is done long before.
    assert drops.finish.likely == workday(76, SATURDAY)
    for waiting in (taps, leaks):
        assert {x.block: x.finish for x in waiting.blocks} == by_block
        assert (waiting.finish, waiting.one_more) == (drops.finish, drops.finish.likely)
    assert task(report, "tensioning").finish.likely != drops.finish.likely  # it waits for nothing
    notes = forecast_listings(report)[0].notes
    assert "no block is done before the task it waits for" in notes[-1]


def test_spouts_still_to_come_into_the_trees_are_to_be_pulled_too(season: Season) -> None:
    assert task(forecast(season, TUESDAY), "pulling").left == 257
    season.record(count("Ledge/Cliff", "tapping", 30), count("Creek/Ford", "tapping", 125))
    pulling = task(forecast(season, TUESDAY), "pulling")
    assert {x.block: x.left for x in pulling.blocks} == {"Ledge": 102, "Creek": 160}  # 5 over
    # What is pulled is pulled; what will never be tapped is not.
    season.record(count("Ledge/Cliff", "pulling", 2), finish("Creek/Spring", "tapping", "cut down"))
    pulling = task(forecast(season, TUESDAY), "pulling")
    assert {x.block: x.left for x in pulling.blocks} == {"Ledge": 100, "Creek": 125}
    assert pulling.left == 225


def test_spouts_of_a_block_are_not_pulled_before_it_is_tapped(season: Season) -> None:
    days_alike(season, 10)
    report = forecast(season, SATURDAY)
    taps, pulling = task(report, "tapping"), task(report, "pulling")
    # 207 taps at 10 a day are in after 21 days; by itself pulling 257 would take one or two.
    assert pulling.days_late <= 2
    assert {x.block: x.finish for x in pulling.blocks} == {x.block: x.finish for x in taps.blocks}


# --- what is set aside, done, or not begun ------------------------------------------------------


def test_what_is_set_aside_comes_last_and_is_told(season: Season) -> None:
    days_alike(season, 5)
    season.record(
        aside("Creek/Ford", "tapping", "ice", day="2027-02-06"),
        aside("Creek/Spring", "tapping", "ice", day="2027-02-06"),
        aside("Creek/Culvert", "tapping", "ice", day="2027-02-06"),
    )
    report = forecast(season, SATURDAY)
    taps = task(report, "tapping")
    assert [x.block for x in taps.blocks] == ["Ledge", "Creek"]
    assert taps.left_aside == 95 + 35
    assert ("Creek", "tapping") in report.order.held_up
    tasks, _blocks, turns = forecast_listings(report)
    assert any("130 of what is left is set aside." in note for note in tasks.notes)
    assert "Set aside, or waiting for that: Creek, tapping; Creek, leak checks." in turns.notes


def test_a_task_of_which_all_that_is_left_is_set_aside_was_begun(season: Season) -> None:
    """Everything is tapped but Ford, where nobody can go: that is not a task not begun."""
    season.record(
        count("Ledge/Cliff", "tapping", 42),
        count("Ledge/Cedar", "tapping", 60),
        count("Creek/Spring", "tapping", 35),
        count("Creek/Ford", "tapping", 1),
        aside("Creek/Ford", "tapping", "ice"),
    )
    taps = task(forecast(season, TUESDAY), "tapping")
    assert taps.under_way
    assert (taps.left, taps.left_aside) == (119, 119)


def test_what_is_done_is_not_foretold(season: Season) -> None:
    season.record(count("Ledge/Cliff", "drops", 42), finish("Creek/Ford", "drops", "out of tees"))
    report = forecast(season, TUESDAY)
    # Nothing is in the trees yet, but all that will be is to be pulled.
    assert [x.task for x in report.tasks] == ["tapping", "tensioning", "leaks", "pulling"]


def test_nothing_left_has_no_tasks(season: Season) -> None:
    lines = ("Ledge/Cliff", "Ledge/Cedar", "Creek/Ford", "Creek/Spring", "Creek/Culvert")
    season.record(
        *(finish(where, key) for where in lines for key in ("drops", "tapping")),
        *(finish(where, key) for where in lines for key in ("tensioning", "leaks", "pulling")),
    )
    report = forecast(season, TUESDAY)
    assert (report.tasks, report.order.turns, report.order.why) == ((), (), "")
    assert report.curve is not None
    assert (report.curve.done, report.curve.levels) == ((), ())
    for listing in forecast_listings(report):
        is_sound(listing)
        assert listing.rows == ()


def test_nothing_recorded_is_answered_all_the_same(season: Season) -> None:
    report = forecast(season, TUESDAY)
    taps = task(report, "tapping")
    assert not taps.under_way
    assert pace_words(taps.pace, taps.counts) == (
        "459 taps a workday with 2.0 people: 540 on a day worked, less 15 % of days lost "
        "(0 of 0 so far). Days drawn: 5 made up of the rate below. "
        "45.0 an hour and person, by default 45."
    )  # 45 x 6 h x 2, and x 0.85
    tasks, blocks, turns = forecast_listings(report)
    assert any(
        "Not begun; it takes 1 workday, 2 workdays nine times in ten." in x for x in tasks.notes
    )
    assert cells(tasks, "early") == [None] * 5
    at = tasks.columns.index("begin_by")
    assert [row[at] for row in tasks.rows] == [x.begin_by for x in report.tasks]
    assert blocks.rows == ()  # of what is under way
    assert len(turns.rows) == 2 * 4  # two blocks in drops, tapping, tensioning, leaks


def test_before_a_season_it_is_told_on_the_day_before_that_begins(season: Season) -> None:
    season.record(*rules(season_begins="2027-01-04"))
    eve = date(2027, 1, 3)
    report = forecast(season, date(2026, 6, 1))
    assert report.as_of == eve
    assert to_json(report) == to_json(forecast(season, eve))
    assert forecast(season, eve + timedelta(days=1)).as_of == date(2027, 1, 4)
    assert report.curve is not None
    assert report.curve.levels == ()  # nobody has begun: there is nothing to go on from


def test_after_a_season_nothing_is_foretold(season: Season) -> None:
    work(season)
    season.record(*rules(season_ends="2027-02-20"))
    last = date(2027, 2, 20)
    assert forecast(season, last - timedelta(days=1)).tasks
    for day in (last, last + timedelta(days=1)):
        report = forecast(season, day)
        assert (report.as_of, report.tasks, report.order.turns) == (day, (), ())
        assert report.curve is not None
        assert (len(report.curve.done), report.curve.levels) == (4, ())
        tasks, _blocks, turns = forecast_listings(report)
        assert tasks.notes == ("Nothing is left to do, or the season is over.",)
        assert turns.notes == ()


def test_a_book_with_no_plan_has_no_forecast(book: Book) -> None:
    report = forecast(Season(book), TUESDAY)
    assert (report.tasks, report.curve) == ((), None)


# --- the same book, the same answer --------------------------------------------------------------


def test_the_same_book_gives_the_same_bytes(season: Season) -> None:
    work(season)
    first = to_json(forecast(on(season, TUESDAY), TUESDAY))
    assert to_json(forecast(on(season, TUESDAY), TUESDAY)) == first
    assert f'"draws": {DRAWS}' in first


def test_two_desks_that_merge_either_way_foretell_alike(season: Season, tmp_path: Path) -> None:
    home, woods = season.book.path, tmp_path / "woods"
    copytree(home, woods)
    there = Season(Book.open(woods, year=2027))
    there.book.write_as("m4w8d")
    there.record(
        *(
            count("Ledge/Cedar", "tapping", 7, who="Wim", day=f"2027-02-0{d}", hours=0.3)
            for d in (3, 8)
        ),
        count("Creek/Spring", "tapping", 9, who="Perrin", day="2027-02-04", hours=0.7),
    )
    season.record(
        *(count("Ledge/Cliff", "tapping", 11, day=f"2027-02-0{d}", hours=1.1) for d in (3, 4, 9)),
    )
    there.book.close()
    mine, theirs = tmp_path / "mine", tmp_path / "theirs"
    copytree(home, mine)
    copytree(woods, theirs)
    merge(mine, woods)
    merge(theirs, home)
    told = [
        to_json(forecast(Season(Book.open(path, year=2027)), TUESDAY)) for path in (mine, theirs)
    ]
    assert told[0] == told[1]
    assert task(forecast(Season(Book.open(mine, year=2027)), TUESDAY), "tapping").left == 257 - 56


def test_an_evening_knows_nothing_of_the_next_day(season: Season) -> None:
    work(season)  # Wednesday's 45 taps with it
    told = forecast(on(season, TUESDAY), TUESDAY)
    taps = task(told, "tapping")
    assert (told.as_of, taps.left) == (TUESDAY, 165)  # see tests.reports
    assert taps.pace.days_recorded == 3  # Sunday, Monday, Tuesday
    assert told.curve is not None
    assert told.curve.done == (
        (date(2027, 2, 7), 45),
        (date(2027, 2, 8), 75),
        (TUESDAY, 95),
    )
    wednesday = TUESDAY + timedelta(days=1)
    assert task(forecast(on(season, wednesday), wednesday), "tapping").left == 120


# --- curve and tables --------------------------------------------------------------------------


def test_the_curve_goes_on_where_the_record_ends(season: Season) -> None:
    days_alike(season, 9)
    season.record(
        *(count("Ledge/Cedar", "tapping", 1, day=f"2027-02-0{day}") for day in range(2, 7))
    )
    report = forecast(season, SATURDAY)
    curve = report.curve
    assert curve is not None
    assert (curve.planned, curve.counts, curve.wanted) == (257, "taps", date(2027, 2, 20))
    assert [units for _day, units in curve.done] == [10, 20, 30, 40, 50]
    units = [level.units for level in curve.levels]
    assert units == sorted(units)
    assert units[-1] == 257
    assert curve.levels[-1].finish == task(report, "tapping").finish
    for level in curve.levels:
        assert level.finish.likely == workday(ceil((level.units - 50 - 0.5) / 10), SATURDAY)


def test_a_pace_in_words_says_how_it_is_known() -> None:
    pace = replace(
        steady(12, crew=1.5),
        rate_per_hour=2.4997,
        days_before=3,
        days_default=1,
        lost=2,
        workdays=9,
    )
    assert pace_words(pace, "readings") == (
        "12 readings a workday with 1.5 people: 12 on a day worked, less 0 % of days lost "
        "(2 of 9 so far). Days drawn: 1 recorded this season, 3 of the season before, "
        "1 made up of the rate below. 2.5 an hour and person, by default 1."
    )


def test_days_past_counting_are_not_told_as_a_number(season: Season) -> None:
    season.record(*rules(rate_taps=0.1, hours_a_day=0.5))
    tasks, *_others = forecast_listings(forecast(season, TUESDAY))
    takes = "it takes more than 400 workdays, more than 400 workdays nine times in ten"
    assert any(takes in note for note in tasks.notes)


@pytest.mark.parametrize(
    ("finish_", "said"),
    [
        (Finish(None, None, None), "done: not within a year"),
        (
            Finish(date(2027, 2, 25), date(2027, 2, 27), date(2027, 3, 3)),
            "done by 27 Feb (25 Feb-3 Mar)",
        ),
        (Finish(date(2027, 2, 25), date(2027, 2, 27), None), "done by 27 Feb (25 Feb-later)"),
    ],
)
def test_a_finish_in_words(finish_: Finish, said: str) -> None:
    assert finish_words(finish_) == said


@pytest.mark.parametrize(
    ("likely", "wanted", "late"),
    [
        (date(2027, 2, 20), date(2027, 2, 20), False),
        (date(2027, 2, 22), date(2027, 2, 20), True),
        (None, date(2027, 2, 20), True),
        (None, None, False),
        (date(2027, 2, 22), None, False),
    ],
)
def test_late_is_likely_after_the_day_wanted(
    likely: date | None, wanted: date | None, late: bool
) -> None:
    assert is_late(Finish(likely, likely, likely), wanted) == late


def test_three_tables(season: Season) -> None:
    work(season)
    report = forecast(on(season, TUESDAY), TUESDAY)
    listings = forecast_listings(report)
    assert [x.name for x in listings] == ["tasks", "blocks", "turns"]
    for listing in listings:
        is_sound(listing)
    tasks, blocks, _turns = listings
    # Drops are done, leak checks are all to do: set aside in Creek, not begun in Ledge
    assert cells(tasks, "task") == ["Tapping", "Tensioning", "Leak checks", "Pulling taps"]
    assert {*cells(blocks, "task")} == {"Tapping", "Tensioning", "Pulling taps"}
    under_way = [x.under_way for x in report.tasks]
    assert [x is not None for x in cells(tasks, "likely")] == under_way == [True, True, False, True]


def test_turns_tell_which_is_first_and_for_how_many_they_are(season: Season) -> None:
    work(season)
    report = forecast(on(season, TUESDAY), TUESDAY)
    _tasks, _blocks, turns = forecast_listings(report)
    first, *_rest = report.order.turns
    assert turns.notes[0] == f"First: {first.block}, {first.title.lower()}: {report.order.why}"
    # On five days one, one, one, two and two people were out: 7 / 5.
    assert "The order is for 1.4 people who do one thing after another" in turns.notes[-1]
    done_by = turns.columns.index("done_by")
    assert turns.heads[done_by] is None  # for files alone
    assert cells(turns, "done_by") == [turn.done_by for turn in report.order.turns]


def test_a_day_to_begin_by_that_is_past_wants_a_look(season: Season) -> None:
    # some weeks of work, wanted in ten workdays
    season.record(Line(block="Ledge", line="Gully", taps_planned=9000, **stamp()))
    tasks, *_others = forecast_listings(forecast(season, TUESDAY))
    look = dict(zip(cells(tasks, "task"), cells(tasks, "look"), strict=True))
    assert look["Tapping"] == "!"
    assert look["Leak checks"] == ""
    notes = " ".join(tasks.notes)
    assert "Tapping: 459 taps a workday" in notes
    assert "it takes 21 workdays" in notes  # 9,257 / 459 = 20.2
