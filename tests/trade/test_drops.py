"""Drops due, and the cycle that costs least.

About every three years: Perkins 2014 (UVM Proctor Maple Research Center).
"""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldbook.trade.drops import (
    Cycle,
    best_cycle,
    drop_age_years,
    drop_due,
    losses_by_age,
    net_gain_per_tap,
    yearly_cost,
)


@pytest.mark.parametrize(
    ("hung", "age", "due"),
    [
        (2028, 0, False),  # a slip of the finger in the year makes a drop new, not minus one
        (2027, 0, False),
        (2026, 1, False),
        (2025, 2, False),
        (2024, 3, True),
        (2023, 4, True),
        (1998, 29, True),
        (None, None, True),  # nobody can say that it is not
    ],
)
def test_a_three_year_cycle_in_the_season_of_2027(
    hung: int | None, age: int | None, due: bool
) -> None:
    assert drop_age_years(hung=hung, season=2027) == age
    assert drop_due(hung=hung, season=2027, cycle_years=3) is due


@pytest.mark.parametrize(("cycle_years", "due"), [(1, True), (2, True), (3, False)])
def test_the_crew_sets_its_own_cycle(cycle_years: int, due: bool) -> None:
    assert drop_due(hung=2025, season=2027, cycle_years=cycle_years) is due


def test_one_third_a_year_comes_round_in_three_years() -> None:
    # Perkins 2014: one third of the drops a year. Ninety drops hung in thirds, each replaced
    # when it is due: every season brings thirty.
    hung = [2024] * 30 + [2025] * 30 + [2026] * 30
    for season in range(2027, 2034):
        due = [drop_due(hung=year, season=season, cycle_years=3) for year in hung]
        assert sum(due) == 30
        hung = [season if is_due else year for year, is_due in zip(hung, due, strict=True)]


@pytest.mark.parametrize(
    ("sap_gain_pct", "cost_per_tap", "gain"),
    [
        (10.0, 0.35, 0.40),  # Perkins 2010: new spouts alone bring 10 to 15 % more sap
        (12.5, 0.35, 0.5875),  # arithmetic: 1.875 gal x $0.50 - $0.35
        (15.0, 0.35, 0.775),
        (0.0, 0.35, -0.35),  # what brings nothing costs what it costs
        (0.0, 0.0, 0.0),
    ],
)
def test_a_new_spout_on_a_tap_of_fifteen_gallons(
    sap_gain_pct: float, cost_per_tap: float, gain: float
) -> None:
    assert net_gain_per_tap(
        yield_old_gal=15.0,
        yield_new_gal=15.0 * (1 + sap_gain_pct / 100),
        value_per_gal=0.50,
        cost_per_tap=cost_per_tap,
    ) == pytest.approx(gain, abs=1e-12)


@pytest.mark.parametrize("amount", [-0.01, float("inf"), float("nan")])
@pytest.mark.parametrize(
    ("name", "what", "unit"),
    [
        ("yield_old_gal", "yield", "gal"),
        ("yield_new_gal", "yield", "gal"),
        ("value_per_gal", "value", "a gal"),
        ("cost_per_tap", "cost", "a tap"),
    ],
)
def test_a_gain_on_less_than_nothing_is_refused(
    name: str, what: str, unit: str, amount: float
) -> None:
    numbers = {"yield_old_gal": 0, "yield_new_gal": 0, "value_per_gal": 0, "cost_per_tap": 0}
    assert net_gain_per_tap(**numbers) == 0
    with pytest.raises(ValueError, match=f"^{what} {amount} {unit}: out of range, 0 or more"):
        net_gain_per_tap(**{**numbers, name: amount})


LOSS_PCT = (0, 3, 7, 11, 15)
"""Sap lost to a drop of age 0, 1, 2, ...: from memory, a made-up table that rises."""


def test_what_an_old_drop_loses() -> None:
    # 15 gal a tap at $0.50 is $7.50 a tap; the edges of the range are nothing and all of it.
    losses = losses_by_age(loss_pct_by_age=LOSS_PCT, sap_gal_per_tap=15, value_per_gal=0.5)
    assert losses == pytest.approx([0, 0.225, 0.525, 0.825, 1.125])
    assert losses_by_age(loss_pct_by_age=[0, 100], sap_gal_per_tap=15, value_per_gal=0.5) == [
        0,
        7.5,
    ]
    assert losses_by_age(loss_pct_by_age=[], sap_gal_per_tap=15, value_per_gal=0.5) == []


@pytest.mark.parametrize(
    ("loss_pct", "sap_gal", "value", "message"),
    [
        (-0.1, 15, 0.5, "loss -0.1 %: out of range, 0 to 100"),
        (100.1, 15, 0.5, "loss 100.1 %: out of range, 0 to 100"),
        (float("nan"), 15, 0.5, "loss nan %: out of range, 0 to 100"),
        (3, -1, 0.5, "sap -1 gal a tap: out of range, 0 or more"),
        (3, 15, -0.5, "value -0.5 a gal: out of range, 0 or more"),
    ],
)
def test_a_loss_that_cannot_be_is_refused(
    loss_pct: float, sap_gal: float, value: float, message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        losses_by_age(loss_pct_by_age=[0, loss_pct], sap_gal_per_tap=sap_gal, value_per_gal=value)


def test_about_every_three_years() -> None:
    # Perkins 2014: about every 3 years. So it comes out for the table above and a drop of $1.20:
    # years  1: 1.20    2: 1.425/2    3: 1.95/3    4: 2.775/4    5: 3.90/5
    losses = losses_by_age(loss_pct_by_age=LOSS_PCT, sap_gal_per_tap=15, value_per_gal=0.5)
    costs = [yearly_cost(cycle_years=n, drop_cost=1.20, losses=losses) for n in range(1, 6)]
    assert costs == pytest.approx([1.20, 0.7125, 0.65, 0.69375, 0.78])
    assert best_cycle(drop_cost=1.20, losses=losses) == Cycle(3, costs[2])


@pytest.mark.parametrize(
    ("drop_cost", "losses", "years", "cost_a_year"),
    [
        (1.0, [0.2], 1, 1.2),  # one loss known: no other cycle to look at
        (0.0, [0.1, 0.2, 0.3], 1, 0.1),  # drops for nothing are hung every year
        (1.0, [0, 0, 0, 0], 4, 0.25),  # drops that lose nothing hang as long as is known
        (1.0, [0, 1, 1], 1, 1.0),  # 1, 2/2, 3/3: the shorter of those that cost the same
        (0.1, [0.2, 0.3], 1, 0.3),  # the same, though in floats 0.6/2 is less than 0.1 + 0.2
        (1.0, [0, 2, 0, 0], 4, 0.75),  # one bad year may be sat out: losses need not rise
        (0.0, [0.0], 1, 0.0),
    ],
)
def test_the_cycle_that_costs_least(
    drop_cost: float, losses: list[float], years: int, cost_a_year: float
) -> None:
    best = best_cycle(drop_cost=drop_cost, losses=losses)
    assert best.years == years
    assert best.cost_a_year == pytest.approx(cost_a_year)


cents = st.integers(0, 500)


@given(cents, st.lists(cents, min_size=1, max_size=8), st.data())
def test_a_cycle_played_for_840_seasons(
    drop_cost: int, losses: list[int], data: st.DataObject
) -> None:
    # 840 is a multiple of every cycle up to 8: season after season, a drop hung when it is due.
    cycle_years = data.draw(st.integers(1, len(losses)))
    spent, age = 0, cycle_years
    for _season in range(840):
        if age == cycle_years:
            spent, age = spent + drop_cost, 0
        spent, age = spent + losses[age], age + 1
    cost = yearly_cost(cycle_years=cycle_years, drop_cost=drop_cost, losses=losses)
    assert cost == pytest.approx(spent / 840)


@given(cents, st.lists(cents, min_size=1, max_size=8))
def test_no_mixture_of_cycles_beats_the_best(drop_cost: int, losses: list[int]) -> None:
    # Every way to cut 840 seasons into lives of drops, whatever their lengths (by recursion on
    # the seasons that are left): the cheapest of all is the best cycle, again and again.
    lives = [drop_cost + sum(losses[: age + 1]) for age in range(len(losses))]
    cheapest = [0]
    for seasons in range(1, 841):
        cheapest.append(
            min(cost + cheapest[seasons - 1 - age] for age, cost in enumerate(lives[:seasons]))
        )
    best = best_cycle(drop_cost=drop_cost, losses=losses)
    assert best.cost_a_year == pytest.approx(cheapest[840] / 840)


@given(st.integers(0, 2000), st.lists(cents, min_size=1, max_size=12).map(sorted))
def test_replace_as_soon_as_next_year_costs_more_than_the_average_so_far(
    drop_cost: int, rising: list[int]
) -> None:
    # The classical rule of the margin, for losses that rise; exact in fractions of a cent.
    years = 1
    while years < len(rising) and rising[years] < Fraction(drop_cost + sum(rising[:years]), years):
        years += 1
    assert best_cycle(drop_cost=drop_cost, losses=rising).years == years


@given(cents, cents, st.lists(cents, min_size=1, max_size=12))
def test_dearer_drops_never_hang_for_less_time(
    drop_cost: int, dearer_by: int, losses: list[int]
) -> None:
    cheap = best_cycle(drop_cost=drop_cost, losses=losses)
    dear = best_cycle(drop_cost=drop_cost + dearer_by, losses=losses)
    assert cheap.years <= dear.years
    assert cheap.cost_a_year <= dear.cost_a_year


@pytest.mark.parametrize(
    ("cycle_years", "drop_cost", "losses", "message"),
    [
        (0, 1.2, [0, 0.2], "cycle 0 years by the losses known: out of range, 1 to 2"),
        (3, 1.2, [0, 0.2], "cycle 3 years by the losses known: out of range, 1 to 2"),
        (1, 1.2, [], "losses known 0 years: out of range, 1 or more"),
        (2, -1.2, [0, 0.2], "cost -1.2 a drop: out of range, 0 or more"),
        (2, float("inf"), [0, 0.2], "cost inf a drop: out of range, 0 or more"),
        (2, 1.2, [0, -0.2], "loss -0.2 a year: out of range, 0 or more"),
        (1, 1.2, [0, float("nan")], "loss nan a year: out of range, 0 or more"),
    ],
)
def test_a_cycle_that_cannot_be_is_refused(
    cycle_years: int, drop_cost: float, losses: list[float], message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        yearly_cost(cycle_years=cycle_years, drop_cost=drop_cost, losses=losses)


def test_no_best_cycle_without_a_loss_known() -> None:
    with pytest.raises(ValueError, match="losses known 0 years: out of range, 1 or more"):
        best_cycle(drop_cost=1.2, losses=[])
    with pytest.raises(ValueError, match=r"cost -0\.01 a drop: out of range, 0 or more"):
        best_cycle(drop_cost=-0.01, losses=[0.0])
