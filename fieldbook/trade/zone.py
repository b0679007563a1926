"""The tapping zone: whether a tree grows clean wood as fast as its taps stain it.

The idea, and 90 % clean wood to aim at, are published: van den Berg & Perkins, A Model of the
Tapping Zone, Maple Syrup Digest 26 (2014). The geometry is fieldbook's own:

- The zone is the wood in reach of the drop, to the depth of the hole: a hollow cylinder.
- The tree grows by the same diameter every year, so by r, half of that, in radius.
- Each year the taps leave so many columns of stained wood. A column's volume is the hole's times
  the stain factor; it lies evenly spread from the cambium of its year to the depth d of the hole.
- As the tree grows the zone moves outward, and leaves the inner part of the old stain behind: of a
  column made a years ago, 1 - a r / d is still in the zone, and nothing once that is below 0.
- Clean share of the zone = 1 - stained volume / zone volume, not below 0. The next hole hits
  stained wood with the chance 1 - clean share, taken before this year's holes.

It counts stain that overlaps twice, and takes holes to be drilled blindly where tappers keep clear
of old scars: both err to the gloomy side. The stain factor is known least of all (50 for sugar
maple, from memory), so look at the outcome for more than one.

All the same, with the factor of 50 the model is milder than the least growth published to last (van
den Berg, Perkins, Isselhardt & Wilmot 2016): for one hole a year of 5/16 in, 1.5 in deep, in reach
of 30 in, it needs 0.055 in of DBH a year at 10 in, where they found 0.089 (their 1.4 in2 of basal
area). A factor of 75 to 80 would match that. `sources.ZONE_MILD` says so to people.
"""

from collections.abc import Callable
from math import fsum, inf, pi, sqrt
from typing import NamedTuple

from fieldbook.trade.ranges import Range
from fieldbook.trade.tapping import GROWTH, MOST

DBH = Range("DBH", 4, 60, "in")
DEPTH = Range("depth", 0, 4, "in", above=True)
TAPS = Range("taps", 0, 10)

YEARS = 100
"""Years a tree is looked after: for so long must a tapping hold."""

Taps = int | Callable[[float], int]
"""Taps a year: so many, or so many at a DBH in inches."""


class Drilled(NamedTuple):
    """How a tree is drilled, year after year, and how it grows meanwhile.

    Attributes:
        growth_dbh_in: Growth in inches of diameter a year, 0 to 2.
        reach_in: Height of the band the drop reaches in inches, 1 to 120.
        width_in: Width of the bit in inches, above 0 to 1.
        depth_in: Depth of the hole in inches, above 0 to 4 and less than half the DBH.
        stain_factor: Volume of stained wood over volume of the hole, 1 to 200.
    """

    growth_dbh_in: float
    reach_in: float
    width_in: float
    depth_in: float
    stain_factor: float

    def check(self, *, dbh_in: float) -> None:
        """Let what can be done to a tree of this DBH in inches, 4 to 60, pass.

        Raises:
            ValueError: A value is out of range.
        """
        # The volumes refuse what neither zone nor hole can be.
        zone_volume_in3(dbh_in=dbh_in, depth_in=self.depth_in, reach_in=self.reach_in)
        GROWTH.check(self.growth_dbh_in)
        Range("stain factor", 1, 200).check(self.stain_factor)
        hole_volume_in3(width_in=self.width_in, depth_in=self.depth_in)


class ZoneYear(NamedTuple):
    """A year of a tapped tree.

    Attributes:
        year: From 1.
        dbh_in: Diameter in inches when it is tapped.
        taps: Holes drilled this year.
        clean_share: Share of the zone that is clean once they are drilled.
        hit_chance: Chance that one of them hits stained wood of the years before.
    """

    year: int
    dbh_in: float
    taps: int
    clean_share: float
    hit_chance: float


class Outlook(NamedTuple):
    """What becomes of a tapped tree.

    Attributes:
        years: Year by year.
        lowest_share: Least clean share.
        lowest_year: The first year that has it.
        below_year: First year with less clean wood than the aim, if there is one.
        holds: Whether there is none.
    """

    years: tuple[ZoneYear, ...]
    lowest_share: float
    lowest_year: int
    below_year: int | None
    holds: bool


def _zone_in3(dbh_in: float, depth_in: float, reach_in: float) -> float:
    return pi * reach_in * (dbh_in * depth_in - depth_in**2)


def hole_volume_in3(*, width_in: float, depth_in: float) -> float:
    """Volume of a taphole in cubic inches: pi/4 x width^2 x depth.

    Source: arithmetic on the numbers given.

    Args:
        width_in: Width of the bit in inches, above 0 to 1.
        depth_in: Depth of the hole in the wood in inches, above 0 to 4.

    Raises:
        ValueError: A value is out of range.
    """
    Range("width", 0, 1, "in", above=True).check(width_in)
    DEPTH.check(depth_in)
    return pi / 4 * width_in**2 * depth_in


def zone_volume_in3(*, dbh_in: float, depth_in: float, reach_in: float) -> float:
    """Volume of the tapping zone in cubic inches: pi H (2 R d - d^2), a hollow cylinder.

    H is the reach, R half the DBH, d the depth. Source: the zone, van den Berg & Perkins, Maple
    Syrup Digest 26 (2014); the geometry is fieldbook's.

    Args:
        dbh_in: Diameter at breast height in inches, 4 to 60.
        depth_in: Depth of the hole in inches, above 0 to 4 and less than half the DBH.
        reach_in: Height of the band the drop reaches in inches, 1 to 120.

    Raises:
        ValueError: A value is out of range.
    """
    DBH.check(dbh_in)
    DEPTH.check(depth_in)
    Range("reach", 1, 120, "in").check(reach_in)
    Range("depth", 0, dbh_in / 2, f"in at a DBH of {dbh_in} in", below=True).check(depth_in)
    return _zone_in3(dbh_in, depth_in, reach_in)


def bai_in2(*, dbh_in: float, growth_dbh_in: float) -> float:
    """Basal area increment, square inches a year: pi/4 x ((DBH + growth)^2 - DBH^2).

    Source: arithmetic on the numbers given.

    Args:
        dbh_in: Diameter at breast height in inches, 4 to 60.
        growth_dbh_in: Growth in inches of diameter a year, 0 to 2.

    Raises:
        ValueError: A value is out of range.
    """
    DBH.check(dbh_in)
    GROWTH.check(growth_dbh_in)
    return pi / 4 * growth_dbh_in * (2 * dbh_in + growth_dbh_in)


def growth_from_bai_in(*, dbh_in: float, bai_in2: float) -> float:
    """Growth in inches of diameter a year: sqrt(DBH^2 + 4 BAI / pi) - DBH.

    Half of it is the growth in radius. Source: arithmetic on the numbers given.

    Args:
        dbh_in: Diameter at breast height in inches, 4 to 60.
        bai_in2: Basal area increment in square inches a year, 0 to 200.

    Raises:
        ValueError: A value is out of range.
    """
    DBH.check(dbh_in)
    Range("basal area increment", 0, 200, "in2").check(bai_in2)
    return sqrt(dbh_in**2 + 4 * bai_in2 / pi) - dbh_in


def simulate(*, dbh_in: float, taps: Taps, how: Drilled, years: int = YEARS) -> list[ZoneYear]:
    """A tapped tree year by year, from clean wood on, by the model this module describes.

    Source: the zone, van den Berg & Perkins, Maple Syrup Digest 26 (2014); the rest is fieldbook's.

    Args:
        dbh_in: Diameter at breast height of the first year in inches, 4 to 60.
        taps: Taps a year, 0 to 10; or a function that gives them for a DBH in inches, which may
            come to be DBH + years x growth.
        how: How it is drilled and grows, in the ranges that `Drilled` names.
        years: How long, 1 to 200 years.

    Raises:
        ValueError: A value is out of range.
    """
    how.check(dbh_in=dbh_in)
    Range("time", 1, 200, "years").check(years)
    column_in3 = how.stain_factor * hole_volume_in3(width_in=how.width_in, depth_in=how.depth_in)
    buried_a_year = how.growth_dbh_in / 2 / how.depth_in
    drilled: list[int] = []
    told = []
    for year in range(1, years + 1):
        now_in = dbh_in + (year - 1) * how.growth_dbh_in
        holes = taps(now_in) if callable(taps) else taps
        TAPS.check(holes)
        old_columns = fsum(
            made * max(0.0, 1 - age * buried_a_year)
            for age, made in enumerate(reversed(drilled), start=1)
        )
        column_share = column_in3 / _zone_in3(now_in, how.depth_in, how.reach_in)
        clean_share = max(0.0, 1 - (old_columns + holes) * column_share)
        hit_chance = min(1.0, old_columns * column_share)
        told.append(ZoneYear(year, now_in, holes, clean_share, hit_chance))
        drilled.append(holes)
    return told


def outlook(
    *, dbh_in: float, taps: Taps, how: Drilled, years: int = YEARS, aim: float = 0.90
) -> Outlook:
    """Whether a tapping keeps as much clean wood as it aims at, by `simulate`.

    Source: 90 % to aim at, van den Berg & Perkins, Maple Syrup Digest 26 (2014).

    Args:
        dbh_in, taps, how, years: As there.
        aim: Least clean share of the zone, 0 to 1.

    Raises:
        ValueError: A value is out of range.
    """
    Range("aim", 0, 1).check(aim)
    told = simulate(dbh_in=dbh_in, taps=taps, how=how, years=years)
    lowest = min(told, key=lambda year: year.clean_share)
    below_year = next((year.year for year in told if year.clean_share < aim), None)
    return Outlook(tuple(told), lowest.clean_share, lowest.year, below_year, below_year is None)


def growth_needed_in(*, dbh_in: float, taps: int, how: Drilled, aim: float = 0.90) -> float:
    """Least growth with which a tapping holds for 100 years, by `outlook`.

    Found by halving, to 0.0001 in of diameter a year, rounded up; infinite if 2 in a year is not
    enough. Source: the same.

    Args:
        dbh_in, taps, aim: As in `outlook`.
        how: As there; the growth it names is not looked at.

    Raises:
        ValueError: A value is out of range.
    """

    def holds(growth_dbh_in: float) -> bool:
        grown = how._replace(growth_dbh_in=growth_dbh_in)
        return outlook(dbh_in=dbh_in, taps=taps, how=grown, aim=aim).holds

    if holds(0.0):
        return 0.0
    if not holds(GROWTH.high):
        return inf
    fails, enough = 0.0, GROWTH.high
    while enough - fails > 1e-4:
        middle = (fails + enough) / 2
        fails, enough = (fails, middle) if holds(middle) else (middle, enough)
    return enough


def most_taps(*, dbh_in: float, how: Drilled, aim: float = 0.90, most: int = 4) -> int:
    """Most taps a year that hold for 100 years, by `outlook`; 0 if not even one does.

    Source: the same.

    Args:
        dbh_in, how, aim: As in `outlook`.
        most: Most taps to think of, 1 to 10.

    Raises:
        ValueError: A value is out of range.
    """
    MOST.check(most)
    return max(
        taps
        for taps in range(most + 1)
        if outlook(dbh_in=dbh_in, taps=taps, how=how, aim=aim).holds
    )
