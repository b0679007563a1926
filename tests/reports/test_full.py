"""The season in full as data, every figure worked by hand from the season of `tests.reports`."""

import json
from datetime import date
from typing import Any

import pytest
from msgspec.structs import replace

from fieldbook.book.book import Book
from fieldbook.book.entry import (
    AnyEntry,
    Line,
    Note,
    Repair,
    Run,
    Setting,
    Settle,
    Target,
    Valve,
)
from fieldbook.reports.full import DropsAge, Full, LeaksFound, Reported, full_summary
from fieldbook.reports.history_measures import measures
from fieldbook.reports.render.json import to_json
from fieldbook.season.items import What, open_items
from fieldbook.season.season import Season
from tests.conftest import NOW, PLAN, count, finish, stamp, strike
from tests.reports import TUESDAY, on, work
from tests.season.gauges import TAPPED, leak_at, listened, mended, read
from tests.season.woods import close, hazard, place, write_off


def of(season: Season, day: date = TUESDAY, **more: Any) -> Full:
    return full_summary(on(season, day), day, NOW, **more)


def after(season: Season, *entries: AnyEntry) -> Full:
    season.record(*entries, really=True)
    return of(season)


@pytest.fixture
def full(season: Season) -> Full:
    work(season)
    return of(season)


# --- days, and what is reported ----------------------------------------------------------------


def test_the_season_is_on_record_from_the_first_count_to_the_last_run(season: Season) -> None:
    work(season)
    assert (of(season).first_day, of(season).last_day) == (date(2026, 12, 10), TUESDAY)
    season.record(
        Run(sap_gal=90, **stamp("2027-03-04")), Run(sap_gal=20, **stamp("2026-11-30")), really=True
    )
    found = of(season, date(2027, 4, 30))
    assert (found.first_day, found.last_day) == (date(2026, 11, 30), date(2027, 3, 4))


def test_tapholes_drilled_and_syrup_made_are_reported(season: Season) -> None:
    """A gallon is 3.785411784 l (NIST SP 811): 9.5 gal are 35.961 l; 10 l more are 2.642 gal."""
    work(season)
    runs = Run(syrup_gal=9.5, **stamp()), Run(syrup_l=10, **stamp("2027-02-08"))
    told = after(season, *runs).reported
    assert told.tapholes == 95
    assert told.syrup_gal == pytest.approx(12.1417, abs=0.0001)
    assert told.syrup_l == pytest.approx(45.961, abs=0.001)


def test_what_nobody_counted_is_reported_as_nothing_known(season: Season) -> None:
    assert of(season).reported == Reported(None, None, None)
    assert after(season, Run(sap_gal=300, **stamp())).reported == Reported(None, None, None)


def test_no_syrup_of_a_day_that_somebody_wrote_down_is_a_0(season: Season) -> None:
    assert after(season, Run(syrup_gal=0, **stamp())).reported == Reported(None, 0, 0)


# --- drops -------------------------------------------------------------------------------------


def test_drops_that_were_replaced_are_new_and_the_others_have_their_age(full: Full) -> None:
    """Cliff's 42 and Ford's 120 are replaced; Cedar's 60 are of 2026, Spring's 35 of 2025, and on
    Culvert, of 2020, none hang. Of 2027 less the year they were hung."""
    assert full.drops_now == (
        DropsAge(0, 2, 42 + 120),
        DropsAge(1, 1, 60),
        DropsAge(2, 1, 35),
        DropsAge(7, 1, 0),
    )


def test_a_line_half_done_is_as_old_as_its_oldest_drops(season: Season) -> None:
    """20 of Cliff's 42 hang new; it is done when somebody says so."""
    half = count("Ledge/Cliff", "drops", 20)
    assert DropsAge(3, 1, 42) in after(season, half).drops_now
    done = after(season, finish("Ledge/Cliff", "drops", "the rest is sound")).drops_now
    assert done[0] == DropsAge(0, 1, 42)


def test_nobody_knows_how_old_and_how_many(season: Season) -> None:
    """Ford's drops are of nobody knows when; on Dell nobody knows how many hang."""
    dell = Line(block="Creek", line="Dell", order=4, drops_hung=2022, **stamp())
    found = after(season, dell).drops_now
    assert found[-1] == DropsAge(None, 1, 120)
    assert DropsAge(5, 1, None) in found


def test_some_drops_known_are_told_beside_lines_of_which_nobody_knows(season: Season) -> None:
    """Gully too is of 2026, like Cedar, and was never counted: 60 on two lines."""
    gully = Line(block="Creek", line="Gully", order=4, drops_hung=2026, **stamp())
    assert DropsAge(1, 2, 60) in after(season, gully).drops_now


def test_a_year_to_come_makes_no_drops_of_less_than_no_age(season: Season) -> None:
    ahead = Line(block="Creek", line="Dell", order=4, taps_planned=9, drops_hung=2028, **stamp())
    assert after(season, ahead).drops_now[0] == DropsAge(0, 1, 9)


def test_the_mean_of_the_ages_is_what_the_seasons_side_by_side_say(season: Season) -> None:
    """(162 x 0 + 60 x 1 + 35 x 2) / 257 = 130 / 257."""
    work(season)
    found = of(season).drops_now
    known = [(part.age_years, part.drops) for part in found if part.age_years is not None]
    mean = sum(age * (drops or 0) for age, drops in known) / sum(drops or 0 for _a, drops in known)
    measured = measures(on(season, TUESDAY).ledger)
    assert measured is not None
    assert mean == pytest.approx(130 / 257)
    assert measured.drop_age_years == pytest.approx(mean)


def test_without_a_task_for_drops_there_are_no_ages(book: Book) -> None:
    season = Season.begin(book, "buckets", by="Oda", now=NOW)
    season.record(*PLAN)
    assert of(season).drops_now == ()


# --- leaks -------------------------------------------------------------------------------------


def test_leaks_found_and_mended_by_cause(season: Season) -> None:
    """3 for 100 taps are 30 for 1,000; the gravest cause first, then by name."""
    season.record(*TAPPED, really=True)
    one, _two, _three = season.record(
        leak_at("08 09:00", "Ledge/Cliff", cause="fitting"),
        leak_at("08 10:00", "Ledge/Cliff", cause="chewed"),
        leak_at("09 09:00", "Ledge/Cedar"),
    )
    season.record(mended("09 11:00", one.id))
    assert of(season).leaks == LeaksFound(3, 1, 2, 30, {"chewed": 1, "fitting": 1})


def test_where_nobody_looked_no_leak_was_found_is_not_said(full: Full) -> None:
    """`leaks` was set aside in the season of `tests.reports`: the pump was out."""
    assert full.leaks == LeaksFound(None, None, None, None, {})


@pytest.mark.parametrize(
    "looked",
    [
        count("Ledge/Cliff", "leaks", 1),
        *read("09 09:00 Ledge/Cliff 24"),
        listened("09 09:00", "Ledge/Cliff", heard=False),
    ],
)
def test_who_looked_and_found_none_found_0(season: Season, looked: AnyEntry) -> None:
    assert after(season, *TAPPED, looked).leaks == LeaksFound(0, 0, 0, 0, {})


def test_before_any_tap_is_in_leaks_have_no_rate(season: Season) -> None:
    assert after(season, leak_at("09 09:00", "Ledge/Cliff")).leaks.per_1000_taps is None


# --- what was carried, written off, struck -----------------------------------------------------


def test_what_came_from_the_season_before_stands_until_it_is_seen_to(season: Season) -> None:
    before = stamp("2026-04-02")
    ash, gate, _shut = season.carry(
        [
            Note(text="ash hung up", hazard=True, carried="2026/k7f2q-31", block="Ledge", **before),
            Repair(text="new gate", who="Wim", carried="2026/k7f2q-40", **before),
            Valve(
                who="Wim", state="shut", carried="2026/k7f2q-52", **place("Creek/Ford"), **before
            ),
        ]
    )
    season.record(hazard("beech hung up"))  # of this season
    carried = [(one.entry, one.line.says, one.open) for one in of(season).carried]
    assert [(entry, stands) for entry, _says, stands in carried] == [
        ("2026/k7f2q-31", True),
        ("2026/k7f2q-40", True),
        ("2026/k7f2q-52", True),
    ]
    season.record(
        Settle(entry=ash.id, who="Wim", **stamp()),
        Settle(entry=gate.id, who="Wim", **stamp()),
        Valve(who="Wim", state="open", **place("Creek/Ford"), **stamp()),
    )
    assert [one.open for one in of(season).carried] == [False, False, False]


def test_what_nothing_more_is_done_about_is_told_with_who_and_why(season: Season) -> None:
    work(season)
    (item,) = (i for i in open_items(season.ledger, NOW) if i.what == What.SURPLUS)
    season.record(write_off(item.about, item.amount))
    (line,) = of(season).written_off
    assert (line.who, line.at.date()) == ("Oda", TUESDAY)
    assert line.says == "written off: too many, Ledge / Cliff: as it is"


def test_struck_entries_say_who_struck_them_and_why(full: Full) -> None:
    (line,) = full.struck
    assert (line.who, line.says) == ("Perrin", "60 taps")
    assert line.struck.startswith("Oda, k7f2q-")
    assert line.struck.endswith(": was Monday's sheet of\nanother crew")


def test_of_the_plan_a_strike_counts_whatever_the_day(season: Season) -> None:
    """As of January neither Wednesday's count nor its strike is told; the plan is as it is."""
    ford = next(e for e in season.log() if isinstance(e, Line) and e.line == "Ford")
    (slip,) = season.record(count("Ledge/Cliff", "tapping", 4))
    for entry in (ford, slip):
        season.strike(entry.id, "not ours", by="Oda", now=NOW)
    january = of(season, date(2027, 1, 15))
    assert [line.id for line in january.struck] == [ford.id]
    assert [line.id for line in of(season).struck] == [ford.id, slip.id]


def test_a_hazard_that_is_cleared_has_served_its_time_and_notes_stay(season: Season) -> None:
    work(season)
    assert [note.says for note in of(season).notes] == [
        "! hung-up beech [/] by the ford",
        "owl in the box",
    ]
    beech = next(e for e in season.log() if isinstance(e, Note) and e.hazard)
    season.record(Settle(entry=beech.id, who="Wim", **stamp()))
    assert [note.says for note in of(season).notes] == ["owl in the box"]


# --- the season as a whole ---------------------------------------------------------------------


def test_work_of_a_later_day_is_in_nothing(season: Season, full: Full) -> None:
    later: list[AnyEntry] = [
        count("Creek/Spring", "tapping", 35, day="2027-02-11", hours=9),
        Note(text="wolves", **stamp("2027-02-11")),
        Run(sap_gal=800, **stamp("2027-02-11")),
        replace(leak_at("09 09:00", "Ledge/Cliff"), **stamp("2027-02-11")),
    ]
    season.record(*later, really=True)
    assert of(season) == full


def test_who_closed_the_season_is_told_and_it_stays_as_it_was(season: Season) -> None:
    work(season)
    before = of(season)
    season.book.record(close())
    closed = of(season)
    assert closed.summary.closed.endswith(", Oda, Tue 9 Feb 2027")
    assert (closed.work, closed.costs, closed.reported) == (
        *(before.work, before.costs, before.reported),
    )


def test_charts_are_there_for_what_was_recorded(season: Season) -> None:
    assert [chart.name for chart in of(season).charts] == []
    season.record(*TAPPED, really=True)
    assert [chart.name for chart in of(season).charts] == ["taps"]
    season.record(*read("09 07:00 pump 25.5"), Run(sap_gal=300, **stamp()))
    assert [chart.name for chart in of(season).charts] == ["taps", "vacuum", "sap"]


def test_a_metric_laptop_gets_kilopascals_in_the_chart(season: Season) -> None:
    season.record(*read("09 07:00 pump 25.5"))
    assert [c.unit for c in of(season, units="metric").charts] == ["kPa"]
    assert [c.unit for c in of(season).charts] == ["inHg"]


def test_a_checklist_without_vacuum_has_no_chart_of_it(book: Book) -> None:
    season = Season.begin(book, "buckets", by="Oda", now=NOW)
    season.record(*PLAN, *read("09 07:00 pump 25.5"))
    full = of(season)
    assert full.summary.vacuum is None
    assert [chart.name for chart in full.charts] == []


def test_a_book_with_nothing_in_it_says_so(book: Book) -> None:
    """Only what must be a number is one: nobody said anything."""
    full = full_summary(Season(book), TUESDAY)
    assert full.reported == Reported(None, None, None)
    assert (full.first_day, full.last_day) == (None, None)
    assert (full.work.hours, full.work.timed_share, full.work.minutes_per_tap) == (None, None, None)
    assert (full.costs.cost, full.costs.sap_worth) == (None, None)
    parts = (full.work.tasks, full.drops_now, full.runs, full.carried, full.notes, full.charts)
    assert set(parts) == {()}


def test_json_says_null_for_what_nobody_recorded(season: Season) -> None:
    told = json.loads(to_json(of(season)))
    assert told["reported"] == {"tapholes": None, "syrup_gal": None, "syrup_l": None}
    assert told["work"]["hours"] is None
    assert {part["hours"] for part in told["work"]["blocks"]} == {None}
    assert told["costs"]["cost"] is None
    assert (told["first_day"], told["leaks"]["found"]) == (None, None)


def test_json_tells_the_season_in_its_units(season: Season) -> None:
    work(season)
    told = json.loads(to_json(of(season)))
    assert list(told) == [*Full.__struct_fields__]
    assert told["first_day"] == "2026-12-10"
    assert told["work"]["hours"] == 7.75
    assert told["work"]["taps"] == told["reported"]["tapholes"] == 95
    assert told["costs"]["cost"] == 344.35
    assert told["summary"]["totals"]["drops_replaced"] == 122
    assert told["struck"][0]["struck"].endswith("another crew")


def test_the_same_book_and_day_give_the_same_bytes(season: Season) -> None:
    work(season)
    assert to_json(of(season)) == to_json(of(season))


def test_a_strike_of_what_was_never_recorded_breaks_nothing(season: Season) -> None:
    """Two laptops that were not merged: the strike is here, what it strikes is not."""
    season.book.record(replace(strike(PLAN[0]), entry="m4w8d-7"))
    full = of(season)
    assert (full.summary.struck, full.struck) == (1, ())


def test_numbers_wanted_on_a_line_stand_in_the_plan(season: Season) -> None:
    season.record(
        Target(task="tapping", block="Ledge", line="Cliff", planned=50, **stamp()),
        Setting(setting="wage_per_hour", value=25, **stamp()),
    )
    full = after(season, count("Ledge/Cliff", "tapping", 40, hours=2))
    (ledge,) = (b for b in full.summary.blocks if b.block == "Ledge")
    (tapping,) = (p for p in ledge.tasks if p.task == "tapping")
    assert (tapping.planned, tapping.left) == (110, 70)  # 50 + 60
    assert full.costs.parts[0].cost == 50
