"""Drops: how old they are, which are due, and the cycle that costs least."""

import json
from itertools import accumulate

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fieldbook.book.entry import Line, Target
from fieldbook.reports.drops import Drops, LineDrops, drop_cost, drops_due, drops_listing
from fieldbook.reports.listing import said
from fieldbook.reports.render.json import to_json
from fieldbook.season.season import Season
from tests.conftest import count, stamp
from tests.reports.helpers import cells, is_sound, rules

NO_WORK_NO_TUBING = {"price_roll": 0, "wage_per_hour": 0}
"""With these a drop costs what its tee does."""


def line(report: Drops, name: str) -> LineDrops:
    return next(x for x in report.lines if x.line == name)


def test_age_and_what_is_due(season: Season) -> None:
    report = drops_due(season)
    told = {x.line: (x.hung, x.age, x.due, x.planned) for x in report.lines}
    assert told == {
        "Cliff": (2024, 3, True, 42),
        "Cedar": (2026, 1, False, 0),
        "Ford": (None, None, True, 120),  # nobody can say that it is not
        "Spring": (2025, 2, False, 0),
        "Culvert": (2020, 7, True, 0),  # due, and rests
    }
    notes = drops_listing(report).notes
    assert "! 1 line has drops of unknown age: counted as due." in notes


@pytest.mark.parametrize(("cycle", "due"), [(1, 5), (2, 4), (3, 3), (7, 2), (8, 1)])
def test_a_cycle_of_the_book(season: Season, cycle: int, due: int) -> None:
    season.record(*rules(drop_cycle_years=cycle))
    report = drops_due(season)
    assert report.cycle_years == cycle
    assert sum(x.due for x in report.lines) == due


def test_drops_hung_for_this_season_or_a_later_one_are_new(season: Season) -> None:
    new = Line(block="Ledge", line="Cedar", taps_planned=60, drops_hung=2027, **stamp())
    season.record(new)
    cedar = line(drops_due(season), "Cedar")
    assert (cedar.age, cedar.due) == (0, False)
    # Sap of a new drop for a new drop gains nothing, and costs a third of one.
    assert cedar.gain_per_tap == pytest.approx(-drop_cost(season.plan) / 3)


def test_a_number_wanted_for_a_line_stands_in_place_of_its_taps(season: Season) -> None:
    season.record(Target(task="drops", block="Ledge", line="Cedar", planned=15, **stamp()))
    cedar = line(drops_due(season), "Cedar")
    assert (cedar.due, cedar.planned) == (False, 15)


def test_a_number_of_taps_wanted_for_a_line_has_a_drop_each(season: Season) -> None:
    season.record(Target(task="tapping", block="Ledge", line="Cliff", planned=30, **stamp()))
    assert line(drops_due(season), "Cliff").planned == 30
    season.record(Target(task="drops", block="Ledge", line="Cliff", planned=12, **stamp()))
    assert line(drops_due(season), "Cliff").planned == 12


def test_what_is_replaced_so_far(season: Season) -> None:
    season.record(count("Ledge/Cliff", "drops", 40), count("Ledge/Cliff", "drops", 2))
    report = drops_due(season)
    assert line(report, "Cliff").replaced == 42
    listing = drops_listing(report)
    is_sound(listing)
    assert cells(listing, "line") == ["", "Cliff", "Cedar", "", "Ford", "Spring", "Culvert"]
    assert cells(listing, "due") == ["", "replaced", "", "", "due: age unknown", "", "due"]
    assert cells(listing, "planned") == [42, 42, None, 120, 120, None, None]
    assert cells(listing, "replaced") == [42, 42, None, None, None, None, None]
    assert cells(listing, "left") == [None, None, None, 120, 120, None, None]
    # a year has no comma
    assert cells(listing, "hung") == [None, "2024", "2026", None, None, "2025", "2020"]


def test_drops_wanted_though_none_are_due_are_some(season: Season) -> None:
    season.record(
        Target(task="drops", block="Ledge", line="Cedar", planned=15, **stamp()),
        count("Creek/Ford", "drops", 120),
    )
    listing = drops_listing(drops_due(season))
    assert cells(listing, "due")[:3] == ["", "due", "some are wanted"]
    assert cells(listing, "left") == [57, 42, 15, None, None, None, None]
    # Ford's are new, whatever the plan knows of the old ones
    assert not any("unknown age" in note for note in listing.notes)


# --- money -------------------------------------------------------------------------------------


def test_a_drop_costs_its_tubing_its_tee_and_the_work_of_hanging_it(season: Season) -> None:
    season.record(
        *rules(price_roll=80, roll_ft=500, drop_length_in=30, price_tee=0.45),
        *rules(wage_per_hour=20, rate_drops=30),
    )
    # 200 drops of 30 in from a roll of 500 ft: 0.40; tee 0.45; two minutes at 20 an hour: 0.667
    assert drop_cost(season.plan) == pytest.approx(0.40 + 0.45 + 20 / 30)


def test_gain_a_tap_as_worked_in_the_trade(season: Season) -> None:
    """15.0 gal and 12.5 % more, 0.50 a gal, 0.35 a tap: 0.5875 (arithmetic on these numbers).

    Put the other way round: a new drop gives 16.875 gal, one a year old 1/9 less.
    """
    season.record(
        *rules(**NO_WORK_NO_TUBING, price_tee=0.35, drop_cycle_years=1),
        *rules(sap_gal_per_tap=16.875, sap_value_per_gal=0.5, loss_pct_by_age="0,11.1111"),
    )
    assert line(drops_due(season), "Cedar").gain_per_tap == pytest.approx(0.5875, abs=1e-5)


def test_gain_by_age_less_the_drop_spread_over_its_cycle(season: Season) -> None:
    season.record(
        *rules(**NO_WORK_NO_TUBING, price_tee=1.5, drop_cycle_years=3),
        *rules(sap_gal_per_tap=10, sap_value_per_gal=0.5, loss_pct_by_age="0,4,10,20"),
    )
    report = drops_due(season)
    gains = {x.line: x.gain_per_tap for x in report.lines}
    assert gains["Cedar"] == pytest.approx(10 * 0.04 * 0.5 - 0.5)  # costs more than it gains
    assert gains["Spring"] == pytest.approx(10 * 0.10 * 0.5 - 0.5)  # just pays
    assert gains["Cliff"] == pytest.approx(10 * 0.20 * 0.5 - 0.5)
    assert gains["Culvert"] == gains["Cliff"]  # past the end of the table they lose no more
    assert gains["Ford"] is None
    # The table tells it of lines with drops left to replace; of Ford's nobody knows the age, and
    # Culvert rests.
    gain = cells(drops_listing(report), "gain_per_tap")
    assert gain == [None, pytest.approx(0.5), None, None, None, None, None]
    assert [said(x) for x in gain] == ["-", "0.50", "-", "-", "-", "-", "-"]
    assert [x["gain_per_tap"] for x in json.loads(to_json(report))["lines"]] == [*gains.values()]


def test_a_new_drop_may_lose_some_sap_too(season: Season) -> None:
    season.record(
        *rules(**NO_WORK_NO_TUBING, price_tee=0),
        *rules(sap_gal_per_tap=10, sap_value_per_gal=0.5, loss_pct_by_age="4,10"),
    )
    assert line(drops_due(season), "Cedar").gain_per_tap == pytest.approx(10 * 0.06 * 0.5)


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    losses=st.lists(st.integers(0, 100), min_size=1, max_size=8),
    tee=st.integers(0, 400),
)
def test_the_best_cycle_is_the_best_of_all_tried(
    season: Season, losses: list[int], tee: int
) -> None:
    season.record(
        *rules(**NO_WORK_NO_TUBING, price_tee=tee / 100, sap_gal_per_tap=10, sap_value_per_gal=1),
        *rules(loss_pct_by_age=",".join(map(str, losses))),
    )
    report = drops_due(season)
    # Whole cents: a tap of 10 gal at 1.00 loses ten cents a percent.
    spent = [(tee + 10 * lost) / 100 for lost in accumulate(losses)]
    a_year = [total / years for years, total in enumerate(spent, 1)]
    assert report.cycle_costs == pytest.approx(a_year)
    assert a_year[report.best_cycle - 1] == pytest.approx(min(a_year))
    assert all(cost > min(a_year) + 1e-9 for cost in a_year[: report.best_cycle - 1])


def test_a_cycle_of_the_book_that_is_not_the_best_wants_a_look(season: Season) -> None:
    season.record(
        *rules(**NO_WORK_NO_TUBING, price_tee=1, sap_gal_per_tap=10, sap_value_per_gal=0.5),
        *rules(loss_pct_by_age="0,10,30,60"),
    )
    # 1 year 1.00; 2 years 1.50 / 2; 3 years 3.00 / 3; 4 years 6.00 / 4
    report = drops_due(season)
    assert report.cycle_costs == pytest.approx([1, 0.75, 1, 1.5])
    notes = drops_listing(report).notes
    assert "! A cycle of 2 years costs least at the book's prices; the book has 3." in notes
    assert "Cost of a tap and year by cycle, in years: 1: 1.00, 2: 0.75, 3: 1.00, 4: 1.50." in notes


def test_a_best_cycle_at_the_end_of_the_table_may_not_be_the_best(season: Season) -> None:
    season.record(*rules(**NO_WORK_NO_TUBING, price_tee=5, loss_pct_by_age="0,0,0"))
    notes = drops_listing(drops_due(season)).notes
    assert any("as far as the table of losses goes" in note for note in notes)


def test_the_shortest_roll_gives_one_of_the_longest_drops(season: Season) -> None:
    # 10 ft are 120 in: no book can have a roll that is shorter than a drop
    season.record(*rules(roll_ft=10, drop_length_in=120, price_roll=7))
    season.record(*rules(price_tee=0, wage_per_hour=0))
    assert drop_cost(season.plan) == pytest.approx(7)
