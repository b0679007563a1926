"""Taps: how many a tree may carry, and how many that makes of a tally, of plots, of a gauge."""

from collections.abc import Iterable, Sequence
from math import fsum, inf, nextafter, pi, sqrt
from typing import Literal, NamedTuple

from fieldbook.trade.ranges import Range
from fieldbook.trade.sources import (
    CREW,
    MANUAL,
    MANUAL_OLDER,
    ONTARIO,
    QUEBEC_PRIVATE,
    QUEBEC_PUBLIC,
)
from fieldbook.trade.units import CM_PER_IN, SQ_FT_PER_ACRE

DBH = Range("DBH", 0, 100, "in", above=True)
GROWTH = Range("growth", 0, 2, "in")
MOST = Range("most", 1, 10, "taps")
TREES = Range("tally", 0, 1_000_000, "trees")
PLOT = Range("plot", 0, 10, "acres", above=True)
BAF = Range("BAF", 0, 100, above=True)

BASAL_AREA_SQ_FT = 0.005454
"""Square feet of basal area of a tree of 1 in: pi / (4 x 144), as foresters round it."""

_PER_IN = {"in": 1.0, "cm": CM_PER_IN}


class PrintedClass(NamedTuple):
    """A line of a table of taps, as printed.

    Attributes:
        low: Its least diameter.
        high: Its greatest diameter, or None if it is printed "and over" or "+".
        taps: Taps a tree of this class may carry.
    """

    low: float
    high: float | None
    taps: int


class TapRule(NamedTuple):
    """A table of taps by diameter at breast height, and where it comes from."""

    name: str
    unit: Literal["in", "cm"]
    classes: tuple[PrintedClass, ...]
    source: str


class TreeClass(NamedTuple):
    """Trees tallied at one diameter at breast height."""

    dbh_in: float
    trees: int


OWN = "own"
"""What the rule of the crew's own limits is called."""


def _rule(
    name: str, unit: Literal["in", "cm"], source: str, *classes: tuple[float, float | None, int]
) -> TapRule:
    return TapRule(name, unit, tuple(PrintedClass(*printed) for printed in classes), source)


RULES = {
    rule.name: rule
    for rule in (
        _rule(
            "traditional", "in", MANUAL_OLDER, (10, 15, 1), (15, 20, 2), (20, 25, 3), (25, None, 4)
        ),
        _rule("conservative", "in", MANUAL, (12, 18, 1), (18, None, 2)),
        _rule("quebec-private", "cm", QUEBEC_PRIVATE, (0, 23, 0), (23.1, 39, 1), (39.1, None, 2)),
        _rule(
            "quebec-public",
            "cm",
            QUEBEC_PUBLIC,
            (19.1, 39, 1),
            (39.1, 59, 2),
            (59.1, 79, 3),
            (79.1, None, 4),
        ),
        # Ontario prints single diameters, not classes.
        _rule("ontario", "cm", ONTARIO, (30, 30, 1), (60, 60, 2)),
    )
}
"""The published tables, as printed."""


def _taps(size: float, rule: TapRule) -> int:
    """Taps at a diameter in the rule's own unit."""
    reached = [printed for printed in rule.classes if printed.low <= size]
    if not reached:
        return 0
    largest = reached[-1]
    if largest.high is None:
        return largest.taps
    holding = [taps for _low, high, taps in reached if high is not None and size <= high]
    return min(holding, default=largest.taps)


def taps_for(*, dbh_in: float, rule: TapRule) -> int:
    """Taps a tree may carry.

    The diameter is put in the rule's unit and rounded to six decimals, so that 23.1 cm stays
    23.1 cm. Then:

    - A class holds its low end, its high end and what lies between. One printed "and over" or "+"
      holds everything from its low end; it stands, and of several the largest.
    - Where other classes overlap, the lower count stands: 15 in on "10-15, 15-20" is of the first.
    - In a printed gap, between classes or above the last, the class below stands.
    - Below the first class a tree carries none.

    Source: the rule's; how to read the edges is fieldbook's choice.

    Args:
        dbh_in: Diameter at breast height (4.5 ft, 1.30 m) in inches, above 0 to 100.
        rule: A rule that passes `check_rule`.

    Raises:
        ValueError: The diameter is out of range.
    """
    DBH.check(dbh_in)
    return _taps(round(dbh_in * _PER_IN[rule.unit], 6), rule)


def check_rule(rule: TapRule) -> None:
    """Refuse a table that contradicts itself.

    Args:
        rule: The table.

    Raises:
        ValueError: It has no classes, a low end below 0, a high end below its low end or taps below
            0; or low ends do not rise, taps fall, or a class comes after one printed "and over"
            that holds all it could. The message names the rule, the class and what is wrong.
    """

    def refuse(number: int, wrong: str) -> ValueError:
        return ValueError(f"rule {rule.name}, class {number}: {wrong}")

    if not rule.classes:
        raise ValueError(f"rule {rule.name}: no classes")
    for number, (low, high, taps) in enumerate(rule.classes, start=1):
        if not 0 <= low < inf:
            raise refuse(number, f"low end {low} is not a diameter of 0 or more")
        if high is not None and not low <= high:
            raise refuse(number, f"high end {high} is below its low end {low}")
        if taps < 0:
            raise refuse(number, f"{taps} taps is below 0")
    for number, (before, after) in enumerate(
        zip(rule.classes, rule.classes[1:], strict=False), start=2
    ):
        if after.low <= before.low:
            raise refuse(number, f"low end {after.low} does not rise above {before.low}")
        if after.taps < before.taps:
            raise refuse(number, f"{after.taps} taps after {before.taps}: taps fall")
        if before.high is None and after.high is not None:
            raise refuse(number, f"{after.low}-{after.high} lies within {before.low} and over")


def own_rule(*, first_in: float, step_in: float, most: int) -> TapRule:
    """A crew's own rule: one tap from a first diameter, one more with each step, up to so many.

    Its limits are meant "and over": a tree exactly on one belongs to the larger class. Source: the
    crew's own.

    Args:
        first_in: Diameter of the first tap in inches, 1 to 60.
        step_in: Inches of diameter to each further tap, above 0 to 60.
        most: Most taps in a tree, 1 to 10.

    Raises:
        ValueError: A value is out of range.
    """
    Range("first limit", 1, 60, "in").check(first_in)
    Range("step", 0, 60, "in", above=True).check(step_in)
    MOST.check(most)
    classes = ((round(first_in + step_in * more, 6), None, 1 + more) for more in range(most))
    return _rule(OWN, "in", CREW, *classes)


def first_limit_in(rule: TapRule) -> float:
    """Least DBH in inches that gives a tap, by `taps_for`; infinite if the rule gives none.

    If a class of no taps holds that very diameter, the tree must be above it. Source: the rule's.

    Args:
        rule: A rule that passes `check_rule`.
    """
    edges = {edge for printed in rule.classes for edge in printed[:2] if edge is not None}
    # Taps change only at an edge or just beyond it, and never fall.
    tapped = (edge for edge in sorted(edges) if _taps(nextafter(edge, inf), rule) > 0)
    return next(tapped, inf) / _PER_IN[rule.unit]


def dbh_from_girth_in(*, girth_in: float) -> float:
    """Diameter of a round trunk in inches: girth / pi. Source: arithmetic on the numbers given.

    Args:
        girth_in: Girth at breast height in inches, above 0 to 314.16 (a DBH of 100).

    Raises:
        ValueError: The girth is out of range.
    """
    Range("girth", 0, DBH.high * pi, "in", above=True).check(girth_in)
    return girth_in / pi


def girth_from_dbh_in(*, dbh_in: float) -> float:
    """Girth of a round trunk in inches: pi x DBH. Source: arithmetic on the numbers given.

    Args:
        dbh_in: Diameter at breast height in inches, above 0 to 100.

    Raises:
        ValueError: The diameter is out of range.
    """
    DBH.check(dbh_in)
    return dbh_in * pi


def _counted(tally: Iterable[TreeClass]) -> Iterable[TreeClass]:
    for group in tally:
        TREES.check(group.trees)
        yield group


def taps_allowed(tally: Iterable[TreeClass], rule: TapRule) -> int:
    """Taps the trees of a tally may carry together, by `taps_for`. Source: the rule's.

    Args:
        tally: Trees by DBH, above 0 to 100 in; 0 to 1,000,000 of each.
        rule: The rule they are tapped by.

    Raises:
        ValueError: A diameter or a number of trees is out of range.
    """
    return sum(group.trees * taps_for(dbh_in=group.dbh_in, rule=rule) for group in _counted(tally))


def trees_to_tap(tally: Iterable[TreeClass], rule: TapRule) -> int:
    """Trees of a tally that may carry at least one tap, by `taps_for`. Source: the rule's.

    Args:
        tally: Trees by DBH, above 0 to 100 in; 0 to 1,000,000 of each.
        rule: The rule they are tapped by.

    Raises:
        ValueError: A diameter or a number of trees is out of range.
    """
    return sum(
        group.trees for group in _counted(tally) if taps_for(dbh_in=group.dbh_in, rule=rule) > 0
    )


def years_to_limit(*, dbh_in: float, rule: TapRule, growth_dbh_in: float) -> float:
    """Years until a tree reaches the rule's first limit: (limit - DBH) / growth.

    0 when it is there already; infinite when it never gets there. Rounded to six decimals, so that
    three years of 0.2 in are 0.6 in. Source: arithmetic on the numbers given.

    Args:
        dbh_in: Diameter at breast height in inches, above 0 to 100.
        rule: The rule with the limit.
        growth_dbh_in: Growth in inches of diameter a year, 0 to 2.

    Raises:
        ValueError: A value is out of range.
    """
    DBH.check(dbh_in)
    GROWTH.check(growth_dbh_in)
    missing_in = round(first_limit_in(rule) - dbh_in, 6)
    if missing_in <= 0:
        return 0.0
    return round(missing_in / growth_dbh_in, 6) if growth_dbh_in else inf


def near_limit(
    tally: Iterable[TreeClass], *, rule: TapRule, growth_dbh_in: float, years: float
) -> int:
    """Trees of a tally still below the rule's first limit that reach it within so many years.

    By `years_to_limit`. Source: arithmetic on the numbers given.

    Args:
        tally: Trees by DBH, above 0 to 100 in; 0 to 1,000,000 of each.
        rule: The rule with the limit.
        growth_dbh_in: Growth in inches of diameter a year, 0 to 2.
        years: Years from now, 0 to 200.

    Raises:
        ValueError: A value is out of range.
    """
    GROWTH.check(growth_dbh_in)
    Range("time", 0, 200, "years").check(years)
    return sum(
        group.trees
        for group in _counted(tally)
        if 0 < years_to_limit(dbh_in=group.dbh_in, rule=rule, growth_dbh_in=growth_dbh_in) <= years
    )


def plot_radius_ft(*, plot_acres: float) -> float:
    """Radius in feet of a round plot: sqrt(43,560 x acres / pi).

    Source: standard in forest mensuration.

    Args:
        plot_acres: Size of the plot in acres, above 0 to 10; 1/20 is usual.

    Raises:
        ValueError: The size is out of range.
    """
    PLOT.check(plot_acres)
    return sqrt(SQ_FT_PER_ACRE * plot_acres / pi)


def taps_per_acre_from_plots(*, taps: Sequence[int], plot_acres: float) -> float:
    """Taps an acre: mean of the plots / size of a plot. Source: standard in forest mensuration.

    Args:
        taps: Taps tallied on each plot, at least one plot; 0 to 1,000,000 on each.
        plot_acres: Size of a plot in acres, above 0 to 10; on 1/20 each tap is 20 an acre.

    Raises:
        ValueError: There is no plot, or a value is out of range.
    """
    PLOT.check(plot_acres)
    Range("sample", 1, 1_000_000, "plots").check(len(taps))
    Range("tally", 0, 1_000_000, "taps").check(*taps)
    return sum(taps) / len(taps) / plot_acres


def trees_per_acre(*, dbh_in: float, baf: float = 10.0) -> float:
    """Trees an acre that one tree counted with an angle gauge stands for: BAF / (0.005454 DBH^2).

    Source: standard in forest mensuration.

    Args:
        dbh_in: Diameter at breast height in inches, above 0 to 100.
        baf: Basal area factor of the gauge in square feet an acre, above 0 to 100.

    Raises:
        ValueError: A value is out of range.
    """
    DBH.check(dbh_in)
    BAF.check(baf)
    return baf / BASAL_AREA_SQ_FT / dbh_in / dbh_in  # no square that a tiny diameter makes 0


def taps_per_acre_from_gauge(
    *, points: Sequence[Sequence[float]], rule: TapRule, baf: float = 10.0
) -> float:
    """Taps an acre from points of an angle gauge: mean over the points of trees an acre x taps.

    The taps by `taps_for`. Source: standard in forest mensuration.

    Args:
        points: DBH in inches, above 0 to 100, of the trees counted "in" at each point; at least one
            point, which may have none.
        rule: The rule they are tapped by.
        baf: Basal area factor of the gauge in square feet an acre, above 0 to 100.

    Raises:
        ValueError: There is no point, or a value is out of range.
    """
    Range("sample", 1, 1_000_000, "points").check(len(points))
    BAF.check(baf)
    total = fsum(
        trees_per_acre(dbh_in=dbh_in, baf=baf) * taps_for(dbh_in=dbh_in, rule=rule)
        for point in points
        for dbh_in in point
    )
    return total / len(points)
