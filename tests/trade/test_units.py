"""Units by their definitions (NIST SP 811)."""

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldbook.trade.units import (
    cm_from_in,
    ft_from_m,
    gal_from_l,
    in_from_cm,
    in_from_mm,
    inhg_from_kpa,
    kg_from_lb,
    kpa_from_inhg,
    l_from_gal,
    lb_from_kg,
    m_from_ft,
    mm_from_in,
)

PSI_KPA = 6.894757  # NIST SP 811


@pytest.mark.parametrize(
    ("got", "wanted"),
    [
        # NIST SP 811: the foot is 0.3048 m, the inch 25.4 mm, the pound 0.45359237 kg
        (m_from_ft(1), 0.3048),
        (mm_from_in(1), 25.4),
        (cm_from_in(1), 2.54),
        (kg_from_lb(1), 0.45359237),
        (m_from_ft(700), 213.36),
        (ft_from_m(0.3048), 1),
        (in_from_mm(25.4), 1),
        (mm_from_in(5 / 16), 7.9375),
        (mm_from_in(3 / 4), 19.05),
        (12 * mm_from_in(1), 1000 * m_from_ft(1)),
        (cm_from_in(9.1), mm_from_in(9.1) / 10),
        # A US gallon is 231 cubic inches, a litre a cubic decimetre
        (l_from_gal(1), 231 * 0.254**3),
        (l_from_gal(1), 3.785411784),
    ],
)
def test_a_quantity_in_the_other_unit(got: float, wanted: float) -> None:
    assert got == pytest.approx(wanted, rel=1e-12)


def test_an_inch_of_mercury() -> None:
    # NIST SP 811: 3.386389 kPa; mercury at 0 C weighs 13,595.1 kg/m3, g is 9.80665 m/s2
    assert kpa_from_inhg(1) == 3.386389
    assert kpa_from_inhg(1) == pytest.approx(0.0254 * 13_595.1 * 9.80665 / 1000, rel=1e-6)
    assert kpa_from_inhg(1) / PSI_KPA == pytest.approx(0.491154, abs=1e-6)
    assert kpa_from_inhg(29.921) == pytest.approx(101.325, abs=0.002)  # standard atmosphere


@pytest.mark.parametrize(
    ("there", "back"),
    [
        (m_from_ft, ft_from_m),
        (mm_from_in, in_from_mm),
        (cm_from_in, in_from_cm),
        (l_from_gal, gal_from_l),
        (kpa_from_inhg, inhg_from_kpa),
        (kg_from_lb, lb_from_kg),
    ],
)
@given(st.floats(0.001, 1e6))
def test_there_and_back_is_where_it_was(
    there: Callable[[float], float], back: Callable[[float], float], quantity: float
) -> None:
    assert back(there(quantity)) == pytest.approx(quantity, rel=1e-12)
