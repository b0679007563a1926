"""The slope that one bad reading does not move: Theil 1950, Sen 1968, held against scipy."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.stats import theilslopes

from fieldbook.trade.trend import theil_sen

# scipy divides by the empty distance of equal days before it leaves those out
pytestmark = pytest.mark.filterwarnings("ignore::RuntimeWarning")

POINTS = st.lists(st.tuples(st.integers(0, 20), st.integers(-300, 300)), min_size=2, max_size=25)


def test_half_an_inch_a_day_by_hand() -> None:
    # Slopes between every two: 0.5, 0.5, 0.5, whatever day is left out
    assert theil_sen([(0, 0.5), (1, 1.0), (3, 2.0)]) == 0.5


def test_between_two_middle_slopes_it_is_half_way() -> None:
    # (0,0) (1,1) (2,4) (3,4): slopes 1, 2, 4/3, 3, 3/2, 0 -> in order 0 1 4/3 3/2 2 3
    assert theil_sen([(0, 0), (1, 1), (2, 4), (3, 4)]) == pytest.approx((4 / 3 + 3 / 2) / 2)


def test_one_wild_reading_does_not_move_it() -> None:
    # Of 21 slopes the six with day 3 are wild; the 15 others are 0.5, and so is the middle one
    days = [(day, 0.5 * day) for day in range(7)]
    assert theil_sen([*days[:3], (3, 24.0), *days[4:]]) == 0.5


def test_points_of_one_day_have_no_slope_between_them() -> None:
    assert theil_sen([(0, 1), (0, 9), (2, 5)]) == pytest.approx((2 + -2) / 2)


@pytest.mark.parametrize("points", [[], [(1, 2)], [(1, 2), (1, 5)]])
def test_it_takes_two_days(points: list[tuple[float, float]]) -> None:
    with pytest.raises(ValueError, match="two at different x"):
        theil_sen(points)


@given(POINTS)
def test_as_scipy_has_it(points: list[tuple[float, float]]) -> None:
    assume(len({x for x, _y in points}) > 1)
    xs, ys = zip(*points, strict=True)
    assert theil_sen(points) == pytest.approx(theilslopes(ys, xs).slope, abs=1e-9)


@given(POINTS)
def test_the_order_of_the_points_does_not_matter(points: list[tuple[float, float]]) -> None:
    assume(len({x for x, _y in points}) > 1)
    assert theil_sen(points[::-1]) == pytest.approx(theil_sen(points), abs=1e-12)
