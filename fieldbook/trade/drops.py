"""Drop lines: how old they are, when they are due, and what a cycle of replacing them costs."""

from collections.abc import Sequence
from math import fsum, inf
from typing import NamedTuple


def drop_age_years(*, hung: int | None, season: int) -> int | None:
    """Seasons a drop has hung before this one, or None when its year is unknown.

    A drop hung for the season of 2024 is 3 years old when the season of 2027 comes.

    Args:
        hung: Season in which the drop was hung.
        season: Season asked about.
    """
    return None if hung is None else max(0, season - hung)


def drop_due(*, hung: int | None, season: int, cycle_years: int) -> bool:
    """Whether a drop is to be replaced this season.

    Replacing about every three years, one third a year, is what high-vacuum trials support
    (Perkins 2014, University of Vermont Proctor Maple Research Center). A drop of unknown age is
    treated as due: nobody can say that it is not.

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

    Below 0 where it costs more than it brings. New spouts alone bring 10 to 15 % more sap
    (Perkins 2010).

    Args:
        yield_old_gal: Sap a tap gives in a season with the old material, in gallons, 0 or more.
        yield_new_gal: The same with the new material.
        value_per_gal: Money a gallon of sap is worth, 0 or more.
        cost_per_tap: Money the new material costs for each tap in a year, 0 or more.

    Raises:
        ValueError: A yield or an amount of money is out of range.
    """
    _not_negative("yield in gal", yield_old_gal, yield_new_gal)
    _not_negative("value of a gal", value_per_gal)
    _not_negative("cost of a tap", cost_per_tap)
    return (yield_new_gal - yield_old_gal) * value_per_gal - cost_per_tap


def losses_by_age(
    *, loss_pct_by_age: Sequence[float], sap_gal_per_tap: float, value_per_gal: float
) -> list[float]:
    """Money a tap loses in a year, by the age of its drop: share of sap lost x sap x value.

    How much sap an old drop costs is a number from memory: put in what is true of your woods.

    Args:
        loss_pct_by_age: Sap lost to a drop 0, 1, 2, ... years old, in percent, 0 to 100.
        sap_gal_per_tap: Sap a tap with a new drop gives in a season, in gallons, 0 or more.
        value_per_gal: Money a gallon of sap is worth, 0 or more.

    Raises:
        ValueError: A share, the sap or its value is out of range.
    """
    for loss_pct in loss_pct_by_age:
        if not 0 <= loss_pct <= 100:
            raise ValueError(f"loss {loss_pct} %: out of range, 0 to 100")
    _not_negative("sap of a tap in gal", sap_gal_per_tap)
    _not_negative("value of a gal", value_per_gal)
    return [loss_pct / 100 * sap_gal_per_tap * value_per_gal for loss_pct in loss_pct_by_age]


def yearly_cost(*, cycle_years: int, drop_cost: float, losses: Sequence[float]) -> float:
    """Average cost a year of a tap whose drop is replaced every so many years.

    The classical replacement problem: (drop + losses at ages 0 to cycle - 1) / cycle. What laterals
    and spouts cost is the same for every cycle and stays out of it.

    Args:
        cycle_years: Age at which the drop is replaced, from 1 to the number of losses known.
        drop_cost: Money a new drop costs, hung, 0 or more.
        losses: Money a tap loses in the year its drop is 0, 1, 2, ... years old, each 0 or more.

    Raises:
        ValueError: The cycle or an amount of money is out of range.
    """
    if not 1 <= cycle_years <= len(losses):
        raise ValueError(
            f"cycle of {cycle_years} years: out of range, from 1 to the {len(losses)} losses known"
        )
    _not_negative("cost of a drop", drop_cost)
    _not_negative("loss of a year", *losses)
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
    a greater age may find a better.

    Args:
        drop_cost: Money a new drop costs, hung, 0 or more.
        losses: Money a tap loses in the year its drop is 0, 1, 2, ... years old, each 0 or more.

    Raises:
        ValueError: No loss is known, or an amount of money is out of range.
    """
    if not losses:
        raise ValueError("losses of 0 years: out of range, 1 or more")
    cycles = (
        Cycle(years, yearly_cost(cycle_years=years, drop_cost=drop_cost, losses=losses))
        for years in range(1, len(losses) + 1)
    )
    # Rounded, or the last digit of a float would decide between two that cost the same.
    return min(cycles, key=lambda cycle: round(cycle.cost_a_year, 9))


def _not_negative(what: str, *amounts: float) -> None:
    for amount in amounts:
        if not 0 <= amount < inf:
            raise ValueError(f"{what} {amount}: out of range, 0 or more")
