"""The wire under a mainline: what hangs on it, how far it sags, when sap would stand in a belly."""

import re
from collections.abc import Callable
from math import cosh, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from fieldbook.trade.wire import (
    CAUTION,
    longest_span_ft,
    sag_allowed_in,
    sag_in,
    tension_needed_lb,
    weight_full_lb_ft,
)

WEIGHTS = st.floats(0.05, 5)
SPANS = st.floats(1, 500)
SLOPES = st.floats(0.1, 20)


def test_the_belly_rule_at_two_percent_and_fifty_feet() -> None:
    # Arithmetic: 2 % of 50 ft is a foot, a quarter of it 3 in
    assert sag_allowed_in(slope_pct=2, span_ft=50) == pytest.approx(3.0)


def test_what_a_foot_of_one_inch_line_weighs() -> None:
    # From memory: sap 62.4 x 1.008 lb/ft3, polyethylene 59 lb/ft3, a wall of 0.075 in, and wire of
    # 12.5 gauge, 0.099 in of steel at 490 lb/ft3. Volumes of a foot, in cubic feet:
    bore, around, wire = (pi / 4 * (across / 12) ** 2 for across in (1.0, 1.15, 0.099))
    by_hand = bore * 62.4 * 1.008 + (around - bore) * 59 + wire * 490
    assert weight_full_lb_ft(diameter_in=1) == pytest.approx(by_hand, rel=0.005)
    assert weight_full_lb_ft(diameter_in=1) == pytest.approx(0.472, abs=0.001)


def test_the_weights_of_a_line_add_up() -> None:
    bare = weight_full_lb_ft(diameter_in=1, fill=0, tubing_lb_ft=0, wire_lb_ft=0)
    sap = weight_full_lb_ft(diameter_in=1, tubing_lb_ft=0, wire_lb_ft=0)
    half = weight_full_lb_ft(diameter_in=1, fill=0.5, tubing_lb_ft=0, wire_lb_ft=0)
    hung = weight_full_lb_ft(diameter_in=1, tubing_lb_ft=0.12, wire_lb_ft=0.06)
    assert bare == 0
    assert half == pytest.approx(sap / 2)
    assert hung == pytest.approx(sap + 0.18)


def test_a_full_one_inch_line_at_two_percent() -> None:
    # Arithmetic: 0.472 lb/ft x 35 ft / 0.04 is 413 lb; 300 lb holds it over 0.04 x 300 / 0.472 ft
    assert tension_needed_lb(weight_lb_ft=0.472, span_ft=35, slope_pct=2) == pytest.approx(413)
    span_ft = longest_span_ft(weight_lb_ft=0.472, tension_lb=300, slope_pct=2)
    assert span_ft == pytest.approx(25.42, abs=0.005)


@given(WEIGHTS, SPANS, SLOPES)
def test_tension_sag_and_span_agree(weight: float, span: float, slope: float) -> None:
    tension = tension_needed_lb(weight_lb_ft=weight, span_ft=span, slope_pct=slope)
    if tension <= 10_000:
        sag = sag_in(weight_lb_ft=weight, span_ft=span, tension_lb=tension)
        longest = longest_span_ft(weight_lb_ft=weight, tension_lb=tension, slope_pct=slope)
        assert sag == pytest.approx(sag_allowed_in(slope_pct=slope, span_ft=span))
        assert longest == pytest.approx(span)


@given(WEIGHTS, SPANS, st.floats(0.001, 0.03))
def test_the_parabola_beside_the_catenary(weight: float, span: float, sag_share: float) -> None:
    # A catenary y = a cosh(x / a) that sags so much over the span pulls level with w x a
    def too_low(a: float) -> float:
        return float(a * (cosh(span / 2 / a) - 1) - sag_share * span)

    tension = weight * brentq(too_low, span, 1000 * span)
    if tension <= 10_000:
        sag = sag_in(weight_lb_ft=weight, span_ft=span, tension_lb=tension)
        assert sag / 12 == pytest.approx(sag_share * span, rel=0.002)
        assert sag / 12 < sag_share * span * (1 + 1e-6)


@given(SLOPES, SPANS, st.one_of(st.floats(0.05, 0.99), st.floats(1.01, 4)))
def test_a_belly_is_where_a_point_hangs_below_the_lower_end(
    slope: float, span: float, share_of_allowed: float
) -> None:
    sag_ft = share_of_allowed * sag_allowed_in(slope_pct=slope, span_ft=span) / 12
    steps = 1000
    heights_ft = [
        slope / 100 * span * x - 4 * sag_ft * x * (1 - x)
        for x in (step / steps for step in range(1, steps + 1))
    ]
    assert (min(heights_ft) < 0) is (share_of_allowed > 1)


def test_the_caution_says_what_hurts_people() -> None:
    for words in ("line of pull", "eye protection", "gloves", "rating", "anchor tree", "codes"):
        assert words in CAUTION


LINE = {"diameter_in": 1.0}
HUNG = {"weight_lb_ft": 0.5, "span_ft": 35.0, "tension_lb": 300.0}
GRADED = {"weight_lb_ft": 0.5, "span_ft": 35.0, "slope_pct": 2.0}
HELD = {"weight_lb_ft": 0.5, "tension_lb": 300.0, "slope_pct": 2.0}
ALLOWED = {"span_ft": 35.0, "slope_pct": 2.0}
RANGES: dict[str, tuple[list[float], list[float]]] = {
    # values on the edge, values beyond
    "diameter_in": ([0.25, 6], [0.24, 6.01]),
    "fill": ([0, 1], [-0.01, 1.01]),
    "tubing_lb_ft": ([0, 20], [-0.01, 20.01]),
    "wire_lb_ft": ([0, 5], [-0.01, 5.01]),
    "weight_lb_ft": ([1e-6, 50], [0, -1, 50.01]),
    "span_ft": ([1e-6, 1000], [0, -1, 1000.1]),
    "tension_lb": ([1e-6, 10_000], [0, -1, 10_001]),
    "slope_pct": ([1e-6, 100], [0, -1, 100.1]),
}


@pytest.mark.parametrize(
    ("sum_", "right", "names"),
    [
        (weight_full_lb_ft, LINE, [*LINE, "fill", "tubing_lb_ft", "wire_lb_ft"]),
        (sag_in, HUNG, [*HUNG]),
        (sag_allowed_in, ALLOWED, [*ALLOWED]),
        (tension_needed_lb, GRADED, [*GRADED]),
        (longest_span_ft, HELD, [*HELD]),
    ],
)
def test_the_edges_of_every_range(
    sum_: Callable[..., float], right: dict[str, float], names: list[str]
) -> None:
    for name in names:
        on_edge, beyond = RANGES[name]
        for value in on_edge:
            assert sum_(**{**right, name: value}) > 0
        for value in beyond:
            with pytest.raises(ValueError, match=re.escape(f" {value}") + r".*: out of range, "):
                sum_(**{**right, name: value})
