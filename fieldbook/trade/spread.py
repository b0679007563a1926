"""How far years and lines lie apart by themselves: what a change must be more than."""

from collections.abc import Sequence
from math import floor, fsum, sqrt
from typing import NamedTuple

from fieldbook.trade.ranges import Range

FEWEST = 3
"""Fewer values tell nothing of how far they lie apart (common practice, no source)."""

DEGREES = Range("degrees of freedom", 1)
VALUE = Range("value", -1e12, 1e12)
VALUES = Range("values", FEWEST)

NEAR = 1e-9
"""A number of degrees so little under a whole one is that one: the rest is rounding."""

_TABLE = (
    *(12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228),
    *(2.201, 2.179, 2.160, 2.145, 2.131, 2.120, 2.110, 2.101, 2.093, 2.086),
    *(2.080, 2.074, 2.069, 2.064, 2.060, 2.056, 2.052, 2.048, 2.045, 2.042),
)
_NORMAL_975 = 1.959963984540054


def student_t_975(df: float) -> float:
    """What Student's t stays under 975 times in 1,000: 5 % are further out on one side or other.

    For 1 to 30 degrees of freedom as it is printed, to three decimals; above that by the expansion
    of Cornish and Fisher. A fraction of a degree is dropped, which makes t larger: the cautious
    side. Source: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2; Abramowitz & Stegun
    1964, 26.7.5.

    Args:
        df: Degrees of freedom, 1 or more.

    Raises:
        ValueError: There are fewer.
    """
    DEGREES.check(df)
    whole = floor(df + NEAR)
    if whole <= len(_TABLE):
        return _TABLE[whole - 1]
    x = _NORMAL_975
    terms = (
        (x**3 + x) / 4,
        (5 * x**5 + 16 * x**3 + 3 * x) / 96,
        (3 * x**7 + 19 * x**5 + 17 * x**3 - 15 * x) / 384,
        (79 * x**9 + 776 * x**7 + 1482 * x**5 - 1920 * x**3 - 945 * x) / 92_160,
    )
    return x + fsum(term / whole**power for power, term in enumerate(terms, 1))


def expected_range(earlier: Sequence[float]) -> tuple[float, float]:
    """Between what one more year lies 95 times in 100, if it is a year like those before.

    mean +- t s sqrt(1 + 1/n), with n - 1 degrees of freedom: the prediction interval of one more
    value, for years that vary evenly about a mean. Source: Hahn & Meeker, Statistical Intervals
    (1991), 4.7.

    Args:
        earlier: A value a year, 3 or more.

    Raises:
        ValueError: There are fewer, or one is no number.
    """
    mean, variance, n = _spread(earlier)
    half = student_t_975(n - 1) * sqrt(variance * (1 + 1 / n))
    return mean - half, mean + half


class Difference(NamedTuple):
    """How far the means of two groups lie apart.

    Attributes:
        mean_one: Mean of the one group.
        mean_other: Mean of the other.
        difference: The one less the other.
        low: The least it may be, at 95 %.
        high: The most.
        n_one: Values in the one group.
        n_other: Values in the other.
    """

    mean_one: float
    mean_other: float
    difference: float
    low: float
    high: float
    n_one: int
    n_other: int

    @property
    def told(self) -> bool:
        """Whether the groups differ by more than their spread: 0 is not in the interval."""
        return not self.low <= 0 <= self.high


def difference(one: Sequence[float], other: Sequence[float]) -> Difference:
    """The means of two groups beside one another, and the interval of their difference at 95 %.

    Welch's interval, which does not take both groups to vary alike; its degrees of freedom are
    rounded down. Where no value of either group differs from the others, the interval has no width.
    Source: Welch 1947, Biometrika 34:28-35; NIST/SEMATECH e-Handbook, 1.3.5.3.

    Args:
        one: Values of the one group, 3 or more.
        other: Values of the other, 3 or more.

    Raises:
        ValueError: There are fewer, or one is no number.
    """
    (mean_one, variance_one, n_one), (mean_other, variance_other, n_other) = map(
        _spread, (one, other)
    )
    apart = mean_one - mean_other
    part_one, part_other = variance_one / n_one, variance_other / n_other
    both, half = part_one + part_other, 0.0
    if both:
        share_one, share_other = part_one / both, part_other / both
        df = 1 / (share_one**2 / (n_one - 1) + share_other**2 / (n_other - 1))
        half = student_t_975(df) * sqrt(both)
    return Difference(mean_one, mean_other, apart, apart - half, apart + half, n_one, n_other)


def _spread(values: Sequence[float]) -> tuple[float, float, int]:
    """Mean, variance of a sample, and number of some values."""
    n = len(values)
    VALUES.check(n)
    VALUE.check(*values)
    mean = fsum(values) / n
    return mean, fsum((value - mean) ** 2 for value in values) / (n - 1), n
