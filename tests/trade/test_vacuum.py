"""Vacuum and sap: the ceiling, the gain for each inHg, the air of many taps."""

import re
from collections.abc import Callable

import pytest
from fluids.atmosphere import ATMOSPHERE_1976
from hypothesis import given
from hypothesis import strategies as st

from fieldbook.trade.units import inhg_from_kpa, m_from_ft
from fieldbook.trade.vacuum import (
    GAIN_HIGH_PCT,
    GAIN_LOW_PCT,
    air_needed_cfm,
    barometer_inhg,
    sap_lost_gal,
    sap_ratio,
)

VACUUMS = st.floats(0, 29.92)


@pytest.mark.parametrize(
    ("elevation_ft", "printed_inhg"),
    # US Standard Atmosphere 1976
    [(0, 29.92), (500, 29.38), (1000, 28.86), (2000, 27.82), (3000, 26.82)],
)
def test_the_ceiling_falls_with_height(elevation_ft: float, printed_inhg: float) -> None:
    assert barometer_inhg(elevation_ft=elevation_ft) == pytest.approx(printed_inhg, abs=0.006)


@given(st.floats(-1000, 20_000))
def test_the_ceiling_by_the_layers_of_the_standard_atmosphere(elevation_ft: float) -> None:
    # fluids lets gravity fall with height, which makes 0.08 % at 20,000 ft
    exact_inhg = inhg_from_kpa(ATMOSPHERE_1976(m_from_ft(elevation_ft)).P / 1000)
    assert barometer_inhg(elevation_ft=elevation_ft) == pytest.approx(exact_inhg, rel=0.001)


@pytest.mark.parametrize(
    ("from_inhg", "to_inhg", "ratio"),
    # Linear, about 5 % for each inHg: Wilmot, UVM; Centre ACER 2015
    [
        (0, 15, 1.75),
        (15, 22, 1.20),  # 1.05^7 would be 1.41
        (22, 15, 1 / 1.20),
        (25, 25, 1),
        (0, 29.92, 2.496),
    ],
)
def test_more_vacuum_more_sap(from_inhg: float, to_inhg: float, ratio: float) -> None:
    assert sap_ratio(from_inhg=from_inhg, to_inhg=to_inhg) == pytest.approx(ratio, abs=1e-12)


@pytest.mark.parametrize(("pct_per_inhg", "ratio"), [(0, 1), (4, 1.60), (7, 2.05), (20, 4)])
def test_the_crew_s_own_gain(pct_per_inhg: float, ratio: float) -> None:
    got = sap_ratio(from_inhg=0, to_inhg=15, pct_per_inhg=pct_per_inhg)
    assert got == pytest.approx(ratio, abs=1e-12)


@given(VACUUMS, VACUUMS, VACUUMS, st.floats(0, 20))
def test_a_gain_in_two_steps_is_the_gain_in_one(
    low: float, middle: float, high: float, gain: float
) -> None:
    first = sap_ratio(from_inhg=low, to_inhg=middle, pct_per_inhg=gain)
    second = sap_ratio(from_inhg=middle, to_inhg=high, pct_per_inhg=gain)
    whole = sap_ratio(from_inhg=low, to_inhg=high, pct_per_inhg=gain)
    assert first * second == pytest.approx(whole, rel=1e-9)
    assert (whole - 1) * (high - low) >= -1e-9  # never less sap for more vacuum


def test_what_a_line_loses_in_a_day() -> None:
    # Arithmetic: 400 taps that give 0.5 gal a day at no vacuum, 3 inHg under the pump:
    # 5 % of 200 gal for each inch
    assert sap_lost_gal(taps=400, gal_per_tap_day=0.5, lost_inhg=3) == pytest.approx(30)


@given(st.integers(0, 5000), st.floats(0, 5), VACUUMS, st.floats(0, 1), st.floats(0, 20))
def test_the_loss_is_the_sap_at_the_pump_s_vacuum_less_the_line_s(
    taps: int, gallons: float, pump_inhg: float, share: float, gain: float
) -> None:
    at_none = taps * gallons
    line_inhg = pump_inhg * share
    at_pump = at_none * sap_ratio(from_inhg=0, to_inhg=pump_inhg, pct_per_inhg=gain)
    at_line = at_none * sap_ratio(from_inhg=0, to_inhg=line_inhg, pct_per_inhg=gain)
    lost = sap_lost_gal(
        taps=taps,
        gal_per_tap_day=gallons,
        lost_inhg=pump_inhg - line_inhg,
        pct_per_inhg=gain,
    )
    assert lost == pytest.approx(at_pump - at_line, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize(
    ("taps", "cfm_per_100_taps", "cfm"),
    [
        (800, 1.0, 8),  # OSU 2013
        (500, 1.0, 5),  # UNH: 5 to 7.5 CFM for 500 taps
        (500, 1.5, 7.5),
        (0, 1.0, 0),
    ],
)
def test_the_air_of_many_taps(taps: int, cfm_per_100_taps: float, cfm: float) -> None:
    assert air_needed_cfm(taps=taps, cfm_per_100_taps=cfm_per_100_taps) == pytest.approx(cfm)


SAP = {"taps": 400, "gal_per_tap_day": 0.5, "lost_inhg": 3.0, "pct_per_inhg": 5.0}
RATIO = {"from_inhg": 15.0, "to_inhg": 22.0, "pct_per_inhg": 5.0}
EDGES: list[tuple[Callable[..., float], dict[str, float], str, list[float], list[float]]] = [
    # sum, what is right, the name, values on the edge, values beyond
    (barometer_inhg, {}, "elevation_ft", [-1000, 20_000], [-1001, 20_001]),
    (sap_ratio, RATIO, "from_inhg", [0, 29.92], [-0.01, 29.93]),
    (sap_ratio, RATIO, "to_inhg", [0, 29.92], [-0.01, 29.93]),
    (sap_ratio, RATIO, "pct_per_inhg", [0, 20], [-0.01, 20.01]),
    (sap_lost_gal, SAP, "taps", [0, 1_000_000], [-1, 1_000_001]),
    (sap_lost_gal, SAP, "gal_per_tap_day", [0, 50], [-0.01, 50.01]),
    (sap_lost_gal, SAP, "lost_inhg", [0, 29.92], [-0.01, 29.93]),
    (sap_lost_gal, SAP, "pct_per_inhg", [0, 20], [-0.01, 20.01]),
    (sap_lost_gal, SAP, "at_inhg", [0, 29.92], [-0.01, 29.93]),
    (air_needed_cfm, {"taps": 500}, "taps", [0, 1_000_000], [-1, 1_000_001]),
    (air_needed_cfm, {"taps": 500}, "cfm_per_100_taps", [0.1, 10], [0.09, 10.01]),
]


@pytest.mark.parametrize(("sum_", "right", "name", "on_edge", "beyond"), EDGES)
def test_the_edges_of_every_range(
    sum_: Callable[..., float],
    right: dict[str, float],
    name: str,
    on_edge: list[float],
    beyond: list[float],
) -> None:
    for value in on_edge:
        assert sum_(**{**right, name: value}) >= 0
    for value in beyond:
        with pytest.raises(ValueError, match=re.escape(f" {value}") + r".*: out of range, "):
            sum_(**{**right, name: value})


# --- what a leak costs -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("pct_per_inhg", "at_inhg", "lost_gal"),
    # 200 taps x 0.5 gal x 5 % x 3.5 inHg; the published range 4 to 7 %: Wilmot, UVM; ACER 2015
    [
        (5, 0, 17.5),
        (GAIN_LOW_PCT, 0, 14.0),
        (GAIN_HIGH_PCT, 0, 24.5),
        (5, 20, 8.75),  # 0.5 gal given under 20 inHg are 0.25 without vacuum
        (5, 25, 17.5 / 2.25),
    ],
)
def test_a_leak_of_three_and_a_half_inches(
    pct_per_inhg: float, at_inhg: float, lost_gal: float
) -> None:
    lost = sap_lost_gal(
        taps=200, gal_per_tap_day=0.5, lost_inhg=3.5, pct_per_inhg=pct_per_inhg, at_inhg=at_inhg
    )
    assert lost == pytest.approx(lost_gal)


@given(st.integers(0, 5000), st.floats(0, 5), VACUUMS, st.floats(0, 1), st.floats(0, 20))
def test_the_loss_of_sap_that_was_measured_under_vacuum(
    taps: int, gallons: float, pump_inhg: float, share: float, gain: float
) -> None:
    """What a tap gives at the pump's vacuum, less what it gives at the line's."""
    line_inhg = pump_inhg * share
    at_line = gallons * sap_ratio(from_inhg=pump_inhg, to_inhg=line_inhg, pct_per_inhg=gain)
    lost = sap_lost_gal(
        taps=taps,
        gal_per_tap_day=gallons,
        lost_inhg=pump_inhg - line_inhg,
        pct_per_inhg=gain,
        at_inhg=pump_inhg,
    )
    assert lost == pytest.approx(taps * (gallons - at_line), abs=1e-6)
