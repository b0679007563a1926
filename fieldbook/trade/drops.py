"""Drop lines: how old they are, when they are due, and what a cycle of replacing them costs."""

from collections.abc import Sequence
from math import fsum
from typing import NamedTuple

from fieldbook.trade.ranges import Range

VALUE = Range("value", 0, unit="a gal")
LOSSES = Range("losses known", 1, unit="years")


def drop_age_years(*, hung: int | None, season: int) -> int | None:
    """Seasons a drop has hung before this one, or None when its year is unknown.

    A drop hung for the season of 2024 is 3 years old when the season of 2027 comes. Source:
    arithmetic on the numbers given.

    Args:
        hung: Season in which the drop was hung.
        season: Season asked about.
    """
    return None if hung is None else max(0, season - hung)


def drop_due(*, hung: int | None, season: int, cycle_years: int) -> bool:
    """Whether a drop is to be replaced this season.

    Replacing about every three years, one third a year, is what high-vacuum trials support. A drop
    of unknown age is treated as due: nobody can say that it is not. Source: Perkins 2014; UVM.

    Args:
        hung: Season in which the drop was hung, or None if unknown.
        season: Season asked about.
        cycle_years: Age at which this book replaces drops.
    """
    age = drop_age_years(hung=hung, season=season)
    return age is None or age >= cycle_years


def net_gain_per_tap(
    *, yield_old_gal: float, yield_new_gal: float, value_per_gal: float, cost_per_tap: float
) -> float:
    """What new material brings for each tap in a year: (new - old yield) x value - cost.

    Below 0 where it costs more than it brings. Source: arithmetic on the numbers given; new spouts
    alone bring 10 to 15 % more sap: Perkins 2010.

    Args:
        yield_old_gal: Sap a tap gives in a season with the old material, in gallons, 0 or more.
        yield_new_gal: The same with the new material.
        value_per_gal: Money a gallon of sap is worth, 0 or more.
        cost_per_tap: Money the new material costs for each tap in a year, 0 or more.

    Raises:
        ValueError: A yield or an amount of money is out of range.
    """
    Range("yield", 0, unit="gal").check(yield_old_gal, yield_new_gal)
    VALUE.check(value_per_gal)
    Range("cost", 0, unit="a tap").check(cost_per_tap)
    return (yield_new_gal - yield_old_gal) * value_per_gal - cost_per_tap


def losses_by_age(
    *, loss_pct_by_age: Sequence[float], sap_gal_per_tap: float, value_per_gal: float
) -> list[float]:
    """Money a tap loses in a year, by the age of its drop: share of sap lost x sap x value.

    Source: arithmetic on the numbers given; how much sap an old drop costs, from memory: put in
    what is true of your woods.

    Args:
        loss_pct_by_age: Sap lost to a drop 0, 1, 2, ... years old, in percent, 0 to 100.
        sap_gal_per_tap: Sap a tap with a new drop gives in a season, in gallons, 0 or more.
        value_per_gal: Money a gallon of sap is worth, 0 or more.

    Raises:
        ValueError: A share, the sap or its value is out of range.
    """
    Range("loss", 0, 100, "%").check(*loss_pct_by_age)
    Range("sap", 0, unit="gal a tap").check(sap_gal_per_tap)
    VALUE.check(value_per_gal)
    return [loss_pct / 100 * sap_gal_per_tap * value_per_gal for loss_pct in loss_pct_by_age]


def yearly_cost(*, cycle_years: int, drop_cost: float, losses: Sequence[float]) -> float:
    """Average cost a year of a tap whose drop is replaced every so many years.

    (drop + losses at ages 0 to cycle - 1) / cycle. What laterals and spouts cost is the same for
    every cycle and stays out of it. Source: the classical replacement problem.

    Args:
        cycle_years: Age at which the drop is replaced, from 1 to the number of losses known.
        drop_cost: Money a new drop costs, hung, 0 or more.
        losses: Money a tap loses in the year its drop is 0, 1, 2, ... years old, each 0 or more.

    Raises:
        ValueError: The cycle or an amount of money is out of range.
    """
    LOSSES.check(len(losses))
    Range("cycle", 1, len(losses), "years by the losses known").check(cycle_years)
    Range("cost", 0, unit="a drop").check(drop_cost)
    Range("loss", 0, unit="a year").check(*losses)
    return (drop_cost + fsum(losses[:cycle_years])) / cycle_years


class Cycle(NamedTuple):
    """A cycle of replacing drops.

    Attributes:
        years: Age at which a drop is replaced.
        cost_a_year: What the drop and its losses cost a tap in the average year.
    """

    years: int
    cost_a_year: float


def best_cycle(*, drop_cost: float, losses: Sequence[float]) -> Cycle:
    """The cycle with the least average cost a year, the shorter of two that cost the same.

    No cycle longer than the losses known is looked at: where the best is the last one, losses at
    a greater age may find a better. Source: the classical replacement problem.

    Args:
        drop_cost: Money a new drop costs, hung, 0 or more.
        losses: Money a tap loses in the year its drop is 0, 1, 2, ... years old, each 0 or more.

    Raises:
        ValueError: No loss is known, or an amount of money is out of range.
    """
    LOSSES.check(len(losses))
    cycles = (
        Cycle(years, yearly_cost(cycle_years=years, drop_cost=drop_cost, losses=losses))
        for years in range(1, len(losses) + 1)
    )
    # Rounded, or the last digit of a float would decide between two that cost the same.
    return min(cycles, key=lambda cycle: round(cycle.cost_a_year, 9))
