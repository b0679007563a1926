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
of old scars; so it errs to the gloomy side. The stain factor is known least of all (50 for sugar
maple, from memory), so look at the outcome for more than one.
"""

from collections.abc import Callable
from math import inf, pi, sqrt
from typing import NamedTuple

from fieldbook.trade.tapping import check_range

MAX_GROWTH_IN = 2.0
YEARS = 100
"""Years a tree is looked after: for so long must a tapping hold."""

Taps = int | Callable[[float], int]
"""Taps a year: so many, or so many at a DBH in inches."""


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


def _check_tree(dbh_in: float) -> None:
    check_range("DBH", dbh_in, "in", 4, 60)


def _check_growth(growth_dbh_in: float) -> None:
    check_range("growth", growth_dbh_in, "in", 0, MAX_GROWTH_IN)


def _zone_in3(dbh_in: float, depth_in: float, reach_in: float) -> float:
    return pi * reach_in * (dbh_in * depth_in - depth_in**2)


def hole_volume_in3(*, width_in: float, depth_in: float) -> float:
    """Volume of a taphole in cubic inches: pi/4 x width2 x depth.

    Arithmetic on the numbers given.

    Args:
        width_in: Width of the bit in inches, above 0 to 1.
        depth_in: Depth of the hole in the wood in inches, above 0 to 4.

    Raises:
        ValueError: A number is out of range.
    """
    check_range("width", width_in, "in", 0, 1, above=True)
    check_range("depth", depth_in, "in", 0, 4, above=True)
    return pi / 4 * width_in**2 * depth_in


def zone_volume_in3(*, dbh_in: float, depth_in: float, reach_in: float) -> float:
    """Volume of the tapping zone in cubic inches: pi H (2 R d - d2), a hollow cylinder.

    H is the reach, R half the DBH, d the depth. The zone: van den Berg & Perkins, Maple Syrup
    Digest 26 (2014); the geometry is fieldbook's.

    Args:
        dbh_in: Diameter at breast height in inches, 4 to 60.
        depth_in: Depth of the hole in inches, above 0 to 4 and less than half the DBH.
        reach_in: Height of the band the drop reaches in inches, 1 to 120.

    Raises:
        ValueError: A number is out of range.
    """
    _check_tree(dbh_in)
    check_range("depth", depth_in, "in", 0, 4, above=True)
    check_range("reach", reach_in, "in", 1, 120)
    if depth_in >= dbh_in / 2:
        raise ValueError(
            f"depth {depth_in} in: out of range, less than half the DBH of {dbh_in} in"
        )
    return _zone_in3(dbh_in, depth_in, reach_in)


def bai_in2(*, dbh_in: float, growth_dbh_in: float) -> float:
    """Basal area increment, square inches a year: pi/4 x ((DBH + growth)2 - DBH2).

    Arithmetic on the numbers given.

    Args:
        dbh_in: Diameter at breast height in inches, 4 to 60.
        growth_dbh_in: Growth in inches of diameter a year, 0 to 2.

    Raises:
        ValueError: A number is out of range.
    """
    _check_tree(dbh_in)
    _check_growth(growth_dbh_in)
    return pi / 4 * growth_dbh_in * (2 * dbh_in + growth_dbh_in)


def growth_from_bai_in(*, dbh_in: float, bai_in2: float) -> float:
    """Growth in inches of diameter a year: sqrt(DBH2 + 4 BAI / pi) - DBH.

    Arithmetic on the numbers given. Half of it is the growth in radius.

    Args:
        dbh_in: Diameter at breast height in inches, 4 to 60.
        bai_in2: Basal area increment in square inches a year, 0 to 200.

    Raises:
        ValueError: A number is out of range.
    """
    _check_tree(dbh_in)
    check_range("basal area increment", bai_in2, "in2", 0, 200)
    return sqrt(dbh_in**2 + 4 * bai_in2 / pi) - dbh_in


def simulate(
    *,
    dbh_in: float,
    taps: Taps,
    growth_dbh_in: float,
    reach_in: float,
    width_in: float,
    depth_in: float,
    stain_factor: float,
    years: int = YEARS,
) -> list[ZoneYear]:
    """A tapped tree year by year, from clean wood on, by the model this module describes.

    Args:
        dbh_in: Diameter at breast height of the first year in inches, 4 to 60.
        taps: Taps a year, 0 to 10; or a function that gives them for a DBH in inches, which may
            come to be DBH + years x growth.
        growth_dbh_in: Growth in inches of diameter a year, 0 to 2.
        reach_in: Height of the band the drop reaches in inches, 1 to 120.
        width_in: Width of the bit in inches, above 0 to 1.
        depth_in: Depth of the hole in inches, above 0 to 4 and less than half the DBH.
        stain_factor: Volume of stained wood over volume of the hole, 1 to 200.
        years: How long, 1 to 200 years.

    Raises:
        ValueError: A number is out of range.
    """
    zone_volume_in3(dbh_in=dbh_in, depth_in=depth_in, reach_in=reach_in)  # refuses what cannot be
    _check_growth(growth_dbh_in)
    check_range("stain factor", stain_factor, "", 1, 200)
    check_range("time", years, "years", 1, 200)
    column_in3 = stain_factor * hole_volume_in3(width_in=width_in, depth_in=depth_in)
    buried_a_year = growth_dbh_in / 2 / depth_in
    drilled: list[int] = []
    told = []
    for year in range(1, years + 1):
        now_in = dbh_in + (year - 1) * growth_dbh_in
        holes = taps(now_in) if callable(taps) else taps
        check_range("taps", holes, "", 0, 10)
        old_columns = sum(
            made * max(0.0, 1 - age * buried_a_year)
            for age, made in enumerate(reversed(drilled), start=1)
        )
        column_share = column_in3 / _zone_in3(now_in, depth_in, reach_in)
        clean_share = max(0.0, 1 - (old_columns + holes) * column_share)
        hit_chance = min(1.0, old_columns * column_share)
        told.append(ZoneYear(year, now_in, holes, clean_share, hit_chance))
        drilled.append(holes)
    return told


def outlook(
    *,
    dbh_in: float,
    taps: Taps,
    growth_dbh_in: float,
    reach_in: float,
    width_in: float,
    depth_in: float,
    stain_factor: float,
    years: int = YEARS,
    aim: float = 0.90,
) -> Outlook:
    """Whether a tapping keeps as much clean wood as it aims at, by `simulate`.

    Args:
        dbh_in, taps, growth_dbh_in, reach_in, width_in, depth_in, stain_factor, years: As there.
        aim: Least clean share of the zone, 0 to 1; 0.90 is published (van den Berg & Perkins,
            Maple Syrup Digest 26, 2014).

    Raises:
        ValueError: A number is out of range.
    """
    check_range("aim", aim, "", 0, 1)
    told = simulate(
        dbh_in=dbh_in,
        taps=taps,
        growth_dbh_in=growth_dbh_in,
        reach_in=reach_in,
        width_in=width_in,
        depth_in=depth_in,
        stain_factor=stain_factor,
        years=years,
    )
    lowest = min(told, key=lambda year: year.clean_share)
    below_year = next((year.year for year in told if year.clean_share < aim), None)
    return Outlook(tuple(told), lowest.clean_share, lowest.year, below_year, below_year is None)


def growth_needed_in(
    *,
    dbh_in: float,
    taps: int,
    reach_in: float,
    width_in: float,
    depth_in: float,
    stain_factor: float,
    aim: float = 0.90,
) -> float:
    """Least growth with which a tapping holds for 100 years, by `outlook`.

    Found by halving, to 0.0001 in of diameter a year, rounded up; infinite if 2 in a year is not
    enough.

    Args:
        dbh_in, taps, reach_in, width_in, depth_in, stain_factor, aim: As in `outlook`.

    Raises:
        ValueError: A number is out of range.
    """

    def holds(growth_dbh_in: float) -> bool:
        return outlook(
            dbh_in=dbh_in,
            taps=taps,
            growth_dbh_in=growth_dbh_in,
            reach_in=reach_in,
            width_in=width_in,
            depth_in=depth_in,
            stain_factor=stain_factor,
            aim=aim,
        ).holds

    if holds(0.0):
        return 0.0
    if not holds(MAX_GROWTH_IN):
        return inf
    fails, enough = 0.0, MAX_GROWTH_IN
    while enough - fails > 1e-4:
        middle = (fails + enough) / 2
        fails, enough = (fails, middle) if holds(middle) else (middle, enough)
    return enough


def most_taps(
    *,
    dbh_in: float,
    growth_dbh_in: float,
    reach_in: float,
    width_in: float,
    depth_in: float,
    stain_factor: float,
    aim: float = 0.90,
    most: int = 4,
) -> int:
    """Most taps a year that hold for 100 years, by `outlook`; 0 if not even one does.

    Args:
        dbh_in, growth_dbh_in, reach_in, width_in, depth_in, stain_factor, aim: As in `outlook`.
        most: Most taps to think of, 1 to 10.

    Raises:
        ValueError: A number is out of range.
    """
    check_range("most", most, "taps", 1, 10)
    return max(
        taps
        for taps in range(most + 1)
        if outlook(
            dbh_in=dbh_in,
            taps=taps,
            growth_dbh_in=growth_dbh_in,
            reach_in=reach_in,
            width_in=width_in,
            depth_in=depth_in,
            stain_factor=stain_factor,
            aim=aim,
        ).holds
    )
