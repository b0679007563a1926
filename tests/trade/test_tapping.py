"""Taps a tree may carry. The tables are published, each beside its limits; where two printed
classes meet or leave a gap, the reading is fieldbook's: the lower count, unless "and over"."""

from collections.abc import Callable
from math import inf, nan, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldbook.trade.tapping import (
    RULES,
    PrintedClass,
    TapRule,
    TreeClass,
    check_rule,
    dbh_from_girth_in,
    first_limit_in,
    girth_from_dbh_in,
    near_limit,
    own_rule,
    plot_radius_ft,
    taps_allowed,
    taps_for,
    taps_per_acre_from_gauge,
    taps_per_acre_from_plots,
    trees_per_acre,
    trees_to_tap,
    years_to_limit,
)

TRADITIONAL, CONSERVATIVE = RULES["traditional"], RULES["conservative"]
PER_IN = {"in": 1.0, "cm": 2.54}  # NIST SP 811
DBH = st.floats(0, 100, exclude_min=True)


def user_rule(*classes: tuple[float, float | None, int]) -> TapRule:
    return TapRule("ours", "in", tuple(PrintedClass(*printed) for printed in classes), "the crew")


@pytest.mark.parametrize(
    ("name", "diameters"),
    [
        # North American Maple Syrup Producers Manual, older table: 10-15, 15-20, 20-25, 25+ in
        (
            "traditional",
            {0.1: 0, 9.99: 0, 10: 1, 15: 1, 15.01: 2, 20: 2, 20.01: 3, 24.99: 3, 25: 4, 100: 4},
        ),
        # the same manual, recommended table; van den Berg et al. 2012: 12-18, 18+ in
        ("conservative", {0.1: 0, 11.99: 0, 12: 1, 17.99: 1, 18: 2, 18.01: 2, 100: 2}),
        # Quebec M-35.1, r. 8.1, s. 6: 0-23, 23.1-39, 39.1+ cm
        ("quebec-private", {0.1: 0, 23: 0, 23.05: 0, 23.1: 1, 39: 1, 39.05: 1, 39.1: 2, 254: 2}),
        # Quebec, r. 8.1, s. 58: 19.1-39, 39.1-59, 59.1-79, 79.1+ cm
        ("quebec-public", {0.1: 0, 19: 0, 19.05: 0, 19.1: 1, 39: 1, 39.05: 1, 39.1: 2}),
        ("quebec-public", {59: 2, 59.05: 2, 59.1: 3, 79: 3, 79.05: 3, 79.1: 4, 254: 4}),
        # Leuty, OMAFRA, 2014: 30 cm one, 60 cm two, and nothing said of what lies between
        ("ontario", {0.1: 0, 29.99: 0, 30: 1, 30.01: 1, 45: 1, 59.99: 1, 60: 2, 60.01: 2, 254: 2}),
    ],
)
def test_each_printed_table_at_each_of_its_edges(name: str, diameters: dict[float, int]) -> None:
    rule = RULES[name]
    got = {size: taps_for(dbh_in=size / PER_IN[rule.unit], rule=rule) for size in diameters}
    assert got == diameters


def test_a_limit_in_centimetres_holds_a_tree_keyed_in_centimetres() -> None:
    # 1.7 cm put in inches and back is 1.6999999999999997, 1.9 is 1.9000000000000001
    for size_cm in (tenths / 10 for tenths in range(1, 2541)):
        exactly, larger = PrintedClass(size_cm, size_cm, 1), PrintedClass(size_cm + 0.01, None, 2)
        rule = TapRule("ours", "cm", (exactly, larger), "the crew")
        assert taps_for(dbh_in=size_cm / 2.54, rule=rule) == 1


def test_a_tape_round_the_trunk() -> None:
    # 38 in of girth is 12.10 in, published with pi as 3.14; the others are arithmetic
    for girth_in, dbh_in in [(38, 12.10), (31.42, 10), (37.7, 12), (47.12, 15), (78.54, 25)]:
        assert dbh_from_girth_in(girth_in=girth_in) == pytest.approx(dbh_in, abs=0.005)
    # 31 in looks like 10 and is 9.87: under the limit
    assert taps_for(dbh_in=dbh_from_girth_in(girth_in=31), rule=TRADITIONAL) == 0
    assert dbh_from_girth_in(girth_in=100 * pi) == girth_from_dbh_in(dbh_in=100) / pi == 100


@given(DBH)
def test_girth_and_back(dbh_in: float) -> None:
    girth_in = girth_from_dbh_in(dbh_in=dbh_in)
    assert dbh_from_girth_in(girth_in=girth_in) == pytest.approx(dbh_in, rel=1e-12)


@st.composite
def printed_rules(draw: st.DrawFn) -> TapRule:
    """Any table that passes: classes that meet, overlap or leave gaps; the last ones "and over"."""
    lows = sorted(draw(st.sets(st.integers(0, 60), min_size=1, max_size=6)))
    taps = sorted(draw(st.lists(st.integers(0, 4), min_size=len(lows), max_size=len(lows))))
    closed = draw(st.integers(0, len(lows)))
    highs = [low + draw(st.integers(0, 20)) if n < closed else None for n, low in enumerate(lows)]
    return user_rule(*zip(lows, highs, taps, strict=True))


@given(printed_rules(), DBH, DBH)
def test_a_thicker_tree_never_carries_fewer_taps(rule: TapRule, one: float, two: float) -> None:
    check_rule(rule)
    thin, thick = sorted((one, two))
    assert taps_for(dbh_in=thin, rule=rule) <= taps_for(dbh_in=thick, rule=rule)


@given(printed_rules())
def test_the_first_limit_is_where_taps_begin(rule: TapRule) -> None:
    # these tables change at whole inches: tried on each and between
    tried = [n / 2 for n in range(1, 201)]
    tapped = [dbh_in for dbh_in in tried if taps_for(dbh_in=dbh_in, rule=rule) > 0]
    limit_in = first_limit_in(rule)
    assert min(tapped, default=inf) in (limit_in, limit_in + 0.5)


@pytest.mark.parametrize(
    ("rule", "limit_in"),
    [
        (TRADITIONAL, 10),
        (CONSERVATIVE, 12),
        (RULES["quebec-private"], 23.1 / 2.54),
        (RULES["quebec-public"], 19.1 / 2.54),
        (RULES["ontario"], 30 / 2.54),
        (user_rule((0, 10, 0), (10, 15, 1)), 10),  # from above 10
        (user_rule((0, 23, 0), (20, 30, 1)), 23),  # 20-23 in both: the lower count, none
        (user_rule((0, 23, 0), (20, None, 1)), 20),  # 20 and over is 20 and over
        (user_rule((10, 15, 0)), inf),
    ],
)
def test_first_limits(rule: TapRule, limit_in: float) -> None:
    assert first_limit_in(rule) == pytest.approx(limit_in, rel=1e-12)


@pytest.mark.parametrize(
    ("classes", "wrong"),
    [
        ((), "rule ours: no classes"),
        (((-1, 15, 1),), "class 1: low end -1"),
        (((nan, 15, 1),), "class 1: low end nan"),
        (((15, 10, 1),), "class 1: high end 10 is below its low end 15"),
        (((10, 15, -1),), "class 1: -1 taps"),
        (((10, 15, 1), (10, 20, 2)), "class 2: low end 10 does not rise above 10"),
        (((10, 15, 1), (8, 9, 2)), "class 2: low end 8 does not rise above 10"),
        (((10, 15, 2), (15, 20, 1)), "class 2: 1 taps after 2: taps fall"),
        (((10, None, 1), (12, 15, 2)), "class 2: 12-15 lies within 10 and over"),
    ],
)
def test_a_table_that_contradicts_itself_is_refused(
    classes: tuple[tuple[float, float | None, int], ...], wrong: str
) -> None:
    with pytest.raises(ValueError, match=wrong):
        check_rule(user_rule(*classes))


@pytest.mark.parametrize("rule", RULES.values(), ids=RULES)
def test_the_published_tables_pass(rule: TapRule) -> None:
    check_rule(rule)
    assert rule.source


def test_a_crew_that_starts_at_nine_and_never_sets_more_than_three() -> None:
    ours = own_rule(first_in=9, step_in=6.1, most=3)
    check_rule(ours)
    limits = {8.99: 0, 9: 1, 15.09: 1, 15.1: 2, 21.19: 2, 21.2: 3, 27.3: 3, 100: 3}
    assert {dbh_in: taps_for(dbh_in=dbh_in, rule=ours) for dbh_in in limits} == limits


@given(st.integers(10, 600), st.integers(1, 600), st.integers(1, 10))
def test_own_limits_counted_in_whole_tenths(first: int, step: int, most: int) -> None:
    rule = own_rule(first_in=first / 10, step_in=step / 10, most=most)
    check_rule(rule)
    limits = [first + step * more for more in range(most)]
    for dbh in (near for limit in limits for near in (limit - 1, limit, limit + 1) if near <= 1000):
        counted = sum(limit <= dbh for limit in limits)
        assert taps_for(dbh_in=dbh / 10, rule=rule) == counted


#        DBH  trees   traditional  conservative
TALLY = [
    TreeClass(8.5, 40),  # 0        0
    TreeClass(9.4, 12),  # 0        0
    TreeClass(10.0, 30),  # 1        0
    TreeClass(11.9, 25),  # 1        0
    TreeClass(16.0, 20),  # 2        1
    TreeClass(25.0, 3),  # 4        2
    TreeClass(30.0, 0),
]


def test_a_tally_added_up() -> None:
    assert taps_allowed(TALLY, TRADITIONAL) == 30 + 25 + 2 * 20 + 4 * 3
    assert trees_to_tap(TALLY, TRADITIONAL) == 30 + 25 + 20 + 3
    assert taps_allowed(iter(TALLY), CONSERVATIVE) == 20 + 2 * 3
    assert trees_to_tap(iter(TALLY), CONSERVATIVE) == 20 + 3
    assert taps_allowed([], TRADITIONAL) == trees_to_tap([], TRADITIONAL) == 0


@pytest.mark.parametrize(
    ("rule", "years", "trees"),
    [
        (TRADITIONAL, 0, 0),
        (TRADITIONAL, 2.9, 0),
        (TRADITIONAL, 3, 12),  # 9.4 and three years of 0.2 are 10.0
        (TRADITIONAL, 7.4, 12),
        (TRADITIONAL, 7.5, 52),
        (CONSERVATIVE, 0.5, 25),  # 11.9 in; one of 12 would be there already
        (CONSERVATIVE, 10, 55),
        (user_rule((10, 15, 0)), 200, 0),
    ],
)
def test_trees_about_to_reach_the_first_limit(rule: TapRule, years: float, trees: int) -> None:
    assert near_limit(TALLY, rule=rule, growth_dbh_in=0.2, years=years) == trees
    assert near_limit(TALLY, rule=rule, growth_dbh_in=0, years=years) == 0


def test_years_to_the_limit() -> None:
    assert years_to_limit(dbh_in=9.4, rule=TRADITIONAL, growth_dbh_in=0.2) == 3
    assert years_to_limit(dbh_in=10, rule=TRADITIONAL, growth_dbh_in=0) == 0
    assert years_to_limit(dbh_in=60, rule=TRADITIONAL, growth_dbh_in=0.2) == 0
    assert years_to_limit(dbh_in=9.4, rule=TRADITIONAL, growth_dbh_in=0) == inf


@given(st.floats(1, 11.99), st.floats(0.01, 2))
def test_a_tree_grown_so_many_years_is_there(dbh_in: float, growth: float) -> None:
    years = years_to_limit(dbh_in=dbh_in, rule=CONSERVATIVE, growth_dbh_in=growth)
    assert dbh_in + years * growth == pytest.approx(12, abs=3e-6)


def test_plots_of_a_twentieth_of_an_acre() -> None:
    # standard in forest mensuration: a radius of 26.33 ft, each tap 20 an acre
    assert plot_radius_ft(plot_acres=1 / 20) == pytest.approx(26.33, abs=0.005)
    assert taps_per_acre_from_plots(taps=[1], plot_acres=1 / 20) == pytest.approx(20)
    assert taps_per_acre_from_plots(taps=[4, 0, 5], plot_acres=1 / 20) == pytest.approx(60)
    assert plot_radius_ft(plot_acres=10) == pytest.approx(10 * plot_radius_ft(plot_acres=1 / 10))


@pytest.mark.parametrize(("dbh_in", "trees"), [(12, 12.73), (18, 5.66), (24, 3.18)])
def test_a_tree_in_the_gauge(dbh_in: float, trees: float) -> None:
    # arithmetic with the constant of forest mensuration
    assert trees_per_acre(dbh_in=dbh_in) == pytest.approx(trees, abs=0.005)
    # By hand: a factor of 10 takes in trees within 2.75 ft for each inch, a plot of that radius
    # (standard in forest mensuration).
    assert trees_per_acre(dbh_in=dbh_in) == pytest.approx(
        43_560 / (pi * (2.75 * dbh_in) ** 2), rel=1e-3
    )


@given(st.floats(0.1, 100), st.floats(0.1, 100))
def test_a_tree_stands_for_the_gauges_factor_of_basal_area(dbh_in: float, baf: float) -> None:
    basal_area_sq_ft = pi / 4 * (dbh_in / 12) ** 2
    assert trees_per_acre(dbh_in=dbh_in, baf=baf) * basal_area_sq_ft == pytest.approx(baf, rel=1e-4)


def test_points_of_a_gauge() -> None:
    points = [[12.0, 18.0, 8.0], [], [24.0, 12.0]]
    # 12 in 12.73 trees of one tap, 18 in 5.66 of two, 8 in none, 24 in 3.18 of two: three points
    one_by_one = (12.73 + 2 * 5.66 + 2 * 3.18 + 12.73) / 3
    per_acre = taps_per_acre_from_gauge(points=points, rule=CONSERVATIVE)
    assert per_acre == pytest.approx(one_by_one, abs=0.02)
    half = taps_per_acre_from_gauge(points=points, rule=CONSERVATIVE, baf=5)
    assert half == pytest.approx(per_acre / 2)
    assert taps_per_acre_from_gauge(points=[[]], rule=CONSERVATIVE) == 0


@given(st.lists(st.lists(st.floats(0.1, 100), max_size=4), min_size=1, max_size=6))
def test_the_order_of_the_points_changes_no_digit(points: list[list[float]]) -> None:
    there = taps_per_acre_from_gauge(points=points, rule=TRADITIONAL)
    assert taps_per_acre_from_gauge(points=points[::-1], rule=TRADITIONAL) == there


@pytest.mark.parametrize("dbh_in", [0, -1, 100.01, nan, inf])
@pytest.mark.parametrize(
    "ask",
    [
        lambda dbh_in: taps_for(dbh_in=dbh_in, rule=TRADITIONAL),
        lambda dbh_in: girth_from_dbh_in(dbh_in=dbh_in),
        lambda dbh_in: taps_allowed([TreeClass(dbh_in, 1)], TRADITIONAL),
        lambda dbh_in: trees_to_tap([TreeClass(dbh_in, 1)], TRADITIONAL),
        lambda dbh_in: years_to_limit(dbh_in=dbh_in, rule=TRADITIONAL, growth_dbh_in=0.2),
        lambda dbh_in: near_limit(
            [TreeClass(dbh_in, 1)], rule=TRADITIONAL, growth_dbh_in=0.2, years=5
        ),
        lambda dbh_in: trees_per_acre(dbh_in=dbh_in),
        lambda dbh_in: taps_per_acre_from_gauge(points=[[dbh_in]], rule=TRADITIONAL),
    ],
)
def test_a_diameter_no_maple_has(ask: Callable[[float], float], dbh_in: float) -> None:
    with pytest.raises(ValueError, match=rf"DBH {dbh_in} in: out of range, above 0 to 100"):
        ask(dbh_in)


def near(growth_dbh_in: float = 0.2, years: float = 5, trees: int = 1) -> int:
    tally = [TreeClass(9, trees)]
    return near_limit(tally, rule=TRADITIONAL, growth_dbh_in=growth_dbh_in, years=years)


@pytest.mark.parametrize(
    ("ask", "inside", "outside", "message"),
    [
        (lambda n: dbh_from_girth_in(girth_in=n), [0.1, 314], [0, 314.2], "above 0 to 314.1593"),
        (lambda n: own_rule(first_in=n, step_in=5, most=3), [1, 60], [0.99, 60.1], "1 to 60"),
        (lambda n: own_rule(first_in=9, step_in=n, most=3), [0.01, 60], [0, 60.1], "above 0 to 60"),
        (lambda n: own_rule(first_in=9, step_in=5, most=n), [1, 10], [0, 11], "1 to 10"),
        (lambda n: near(growth_dbh_in=n), [0, 2], [-0.1, 2.1], "0 to 2"),
        (lambda n: near(years=n), [0, 200], [-1, 201], "0 to 200"),
        (lambda n: near(trees=n), [0, 1_000_000], [-1, 1_000_001], "0 to 1,000,000"),
        (
            lambda n: years_to_limit(dbh_in=9, rule=TRADITIONAL, growth_dbh_in=n),
            [0, 2],
            [-0.1, 2.1],
            "0 to 2",
        ),
        (lambda n: plot_radius_ft(plot_acres=n), [0.001, 10], [0, 10.1], "above 0 to 10"),
        (
            lambda n: taps_per_acre_from_plots(taps=[1], plot_acres=n),
            [0.001, 10],
            [0, 10.1],
            "above 0 to 10",
        ),
        (
            lambda n: taps_per_acre_from_plots(taps=[1, n], plot_acres=1),
            [0, 1_000_000],
            [-1, 1_000_001],
            "0 to 1,000,000",
        ),
        (
            lambda n: taps_per_acre_from_plots(taps=[1] * n, plot_acres=1),
            [1],
            [0],
            "0 plots: out of range",
        ),
        (lambda n: trees_per_acre(dbh_in=12, baf=n), [0.1, 100], [0, 100.1], "above 0 to 100"),
        (
            lambda n: taps_per_acre_from_gauge(points=[[]], rule=TRADITIONAL, baf=n),
            [0.1, 100],
            [0, 100.1],
            "BAF .*: out of range, above 0 to 100",
        ),
        (
            lambda n: taps_per_acre_from_gauge(points=[[12.0]] * n, rule=TRADITIONAL),
            [1],
            [0],
            "0 points: out of range",
        ),
    ],
)
def test_the_ends_of_each_range(
    ask: Callable[[float], object], inside: list[float], outside: list[float], message: str
) -> None:
    for value in inside:
        ask(value)
    for value in outside:
        with pytest.raises(ValueError, match=message):
            ask(value)
