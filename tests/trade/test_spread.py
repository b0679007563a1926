"""How far years and lines lie apart by themselves, held against scipy and against what is printed.

Sources: NIST/SEMATECH e-Handbook of Statistical Methods (https://www.itl.nist.gov/div898/handbook);
Welch 1947, Biometrika 34:28-35.
"""

from math import inf, nan, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from fieldbook.trade.spread import FEWEST, Difference, difference, expected_range, student_t_975

# scipy says so of values that are all alike, which are tested too
pytestmark = pytest.mark.filterwarnings("ignore:Precision loss:RuntimeWarning")

VALUES = st.lists(st.integers(-500, 500).map(lambda n: n / 10), min_size=3, max_size=40)


def spread_out(mean: float, deviation: float, n: int) -> list[float]:
    """Values with a mean and a standard deviation that were published."""
    steps = [k - (n - 1) / 2 for k in range(n)]
    scale = deviation / sqrt(sum(step**2 for step in steps) / (n - 1))
    return [mean + scale * step for step in steps]


# --- Student's t -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("df", "t"),
    # NIST/SEMATECH 1.3.6.7.2, column 0.975; above 30 its table goes on to 100
    [
        *((1, 12.706), (2, 4.303), (3, 3.182), (4, 2.776), (9, 2.262), (30, 2.042)),
        *((31, 2.040), (40, 2.021), (60, 2.000), (100, 1.984)),
    ],
)
def test_as_it_is_printed(df: int, t: float) -> None:
    assert student_t_975(df) == pytest.approx(t, abs=0.0005)


@given(st.integers(1, 30))
def test_the_table_is_that_of_scipy_to_three_decimals(df: int) -> None:
    assert student_t_975(df) == pytest.approx(stats.t.ppf(0.975, df), abs=0.0005)


@given(st.integers(31, 1_000_000))
def test_the_expansion_is_that_of_scipy(df: int) -> None:
    assert student_t_975(df) == pytest.approx(stats.t.ppf(0.975, df), abs=1e-6)


@given(st.floats(1, 200))
def test_a_fraction_of_a_degree_is_on_the_cautious_side(df: float) -> None:
    assert student_t_975(df) >= stats.t.ppf(0.975, df) - 0.0005
    assert student_t_975(df) == student_t_975(int(df + 1e-9))


def test_what_rounding_took_off_a_whole_degree_is_put_back() -> None:
    assert student_t_975(8 - 1e-12) == student_t_975(8) < student_t_975(7.9)


@pytest.mark.parametrize("df", [0, 0.99, -1, nan, inf])
def test_fewer_than_one_degree_is_refused(df: float) -> None:
    with pytest.raises(ValueError, match=f"^degrees of freedom {df}: out of range, 1 or more"):
        student_t_975(df)


# --- one more year -----------------------------------------------------------------------------


def test_three_years_by_hand() -> None:
    # 4, 5, 6: mean 5, s 1, t(2) 4.303, sqrt(4/3) 1.1547: 5 +- 4.9687
    low, high = expected_range([4, 5, 6])
    assert (low, high) == pytest.approx((0.03133, 9.96867), abs=1e-4)


def test_five_years_by_hand() -> None:
    # 10, 12, 14, 16, 18: mean 14, squares 16+4+0+4+16 = 40 over 4, s sqrt(10); t(4) 2.776
    half = 2.776 * sqrt(10) * sqrt(6 / 5)
    assert expected_range([18, 10, 14, 12, 16]) == pytest.approx((14 - half, 14 + half))


def test_years_that_were_all_alike_leave_no_room() -> None:
    assert expected_range([7, 7, 7]) == (7, 7)


@given(VALUES)
def test_the_range_is_that_of_scipy(values: list[float]) -> None:
    n = len(values)
    scale = stats.tstd(values) * sqrt(1 + 1 / n)
    low, high = expected_range(values)
    if scale < 1e-9:
        assert (low, high) == pytest.approx((values[0], values[0]))
        return
    wanted = stats.t.interval(0.95, n - 1, loc=stats.tmean(values), scale=scale)
    # to the half of the last decimal that is printed of t
    assert (low, high) == pytest.approx(wanted, abs=0.0006 * scale + 1e-9)


@pytest.mark.parametrize("values", [[], [1], [1, 2]])
def test_two_years_tell_nothing(values: list[float]) -> None:
    assert len(values) < FEWEST
    with pytest.raises(ValueError, match=f"^values {len(values)}: out of range, 3 or more"):
        expected_range(values)
    for pair in ((values, [1, 2, 3]), ([1, 2, 3], values)):
        with pytest.raises(ValueError, match="3 or more"):
            difference(*pair)


@pytest.mark.parametrize("value", [nan, inf, -inf])
def test_what_is_no_number_is_refused(value: float) -> None:
    with pytest.raises(ValueError, match=f"^value {value}: out of range"):
        expected_range([1, 2, 3, value])
    with pytest.raises(ValueError, match=f"^value {value}: out of range"):
        difference([1, 2, 3], [1, 2, value])


# --- two groups --------------------------------------------------------------------------------


def test_two_groups_by_hand() -> None:
    # 1 2 3 and 5 6 7: each variance 1, over 3 each: sqrt(2/3); alike, so 4 degrees: t 2.776
    half = 2.776 * sqrt(2 / 3)
    found = difference([1, 2, 3], [5, 6, 7])
    assert found == Difference(2, 6, -4, found.low, found.high, n_one=3, n_other=3)
    assert (found.low, found.high) == pytest.approx((-4 - half, -4 + half))
    assert found.told


def test_cars_of_two_countries_as_nist_has_them() -> None:
    """NIST/SEMATECH 1.3.5.3, AUTO83B.DAT: 20.14458 (6.41470) of 249, 30.48101 (6.10771) of 79.

    Variances not taken as alike: T = -12.94627 with 136.8750 degrees of freedom.
    """
    found = difference(spread_out(20.14458, 6.41470, 249), spread_out(30.48101, 6.10771, 79))
    error = (found.high - found.low) / 2 / stats.t.ppf(0.975, 136)
    assert found.difference / error == pytest.approx(-12.94627, abs=2e-4)
    assert (found.n_one, found.n_other) == (249, 79)


@given(VALUES, VALUES)
def test_the_interval_holds_that_of_scipy(one: list[float], other: list[float]) -> None:
    found = difference(one, other)
    assert found.difference == pytest.approx(stats.tmean(one) - stats.tmean(other), abs=1e-9)
    if len({*one}) == 1 and len({*other}) == 1:
        assert found.high - found.low == pytest.approx(0, abs=1e-9)
        return
    told = stats.ttest_ind(one, other, equal_var=False)
    low, high = told.confidence_interval(0.95)
    half = (high - low) / 2
    # rounded down, a degree less at most: never narrower but for the last decimal of t
    fewer = half * stats.t.ppf(0.975, int(told.df + 1e-9)) / stats.t.ppf(0.975, told.df)
    assert found.high - found.difference == pytest.approx(fewer, rel=0.0005)
    assert found.high >= high - 0.0005 * half
    assert found.low <= low + 0.0005 * half


@given(VALUES, VALUES)
def test_the_other_way_round_it_is_the_same(one: list[float], other: list[float]) -> None:
    there, back = difference(one, other), difference(other, one)
    assert (there.low, there.high) == pytest.approx((-back.high, -back.low), abs=1e-9)


def test_nothing_in_groups_that_overlap() -> None:
    assert not difference([1, 5, 9], [2, 6, 10]).told


def test_a_spread_so_small_that_its_square_is_nothing() -> None:
    found = difference([0, 0, 1e-170], [0, 0, 0])
    assert found.high - found.low == pytest.approx(0, abs=1e-9)
