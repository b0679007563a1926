"""Lengths, by the definitions of the foot and the inch (NIST SP 811: 0.3048 m and 25.4 mm)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldbook.trade.units import ft_from_m, in_from_mm, m_from_ft, mm_from_in


@pytest.mark.parametrize(
    ("got", "wanted"),
    [
        (m_from_ft(1), 0.3048),
        (mm_from_in(1), 25.4),
        (m_from_ft(700), 213.36),
        (ft_from_m(0.3048), 1),
        (in_from_mm(25.4), 1),
        (mm_from_in(5 / 16), 7.9375),
        (mm_from_in(3 / 4), 19.05),
        (12 * mm_from_in(1), 1000 * m_from_ft(1)),
    ],
)
def test_a_length_in_the_other_unit(got: float, wanted: float) -> None:
    assert got == pytest.approx(wanted, rel=1e-12)


@given(st.floats(0.001, 1e6))
def test_there_and_back_is_where_it_was(length: float) -> None:
    assert ft_from_m(m_from_ft(length)) == pytest.approx(length, rel=1e-12)
    assert in_from_mm(mm_from_in(length)) == pytest.approx(length, rel=1e-12)
