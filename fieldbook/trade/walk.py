"""Which lines to walk, in which order, and by whom, so that the least sap is lost meanwhile."""

from collections.abc import Hashable, Sequence
from heapq import heapify, heapreplace
from math import fsum, inf
from typing import NamedTuple

from fieldbook.trade.ranges import Range

HOURS_A_DAY = 24

NEAR = 1e-9
"""Hours that are no matter: three times 0.1 h is 0.3 h."""


class Walk(NamedTuple):
    """A line to walk.

    Attributes:
        name: What it is known by; no two share a name.
        hours: Person-hours it takes, 0 or more.
        loses_gal_day: Sap that it loses in a day until it is walked, in gallons, 0 or more.
    """

    name: Hashable
    hours: float
    loses_gal_day: float


class Walks(NamedTuple):
    """Who walks what.

    Attributes:
        parts: What each person walks, in order.
        left: What does not fit in the hours, in the order in which it would be walked.
    """

    parts: tuple[tuple[Walk, ...], ...]
    left: tuple[Walk, ...]


def smith_order(walks: Sequence[Walk]) -> list[Walk]:
    """Lines in the order that loses the least sap, walked one after the other.

    By falling sap an hour of walking; among equals the order given is kept. Source: Smith 1956,
    weighted completion time.

    Args:
        walks: The lines.

    Raises:
        ValueError: A line takes less than 0 hours or loses less than nothing.
    """
    _check(walks)
    return sorted(walks, key=_ratio, reverse=True)


def sap_lost_gal(order: Sequence[Walk]) -> float:
    """Sap that lines lose until each is walked, one after the other, in gallons.

    Source: arithmetic on the numbers given.

    Args:
        order: The lines as they are walked.

    Raises:
        ValueError: A line takes less than 0 hours or loses less than nothing.
    """
    _check(order)
    after, lost = 0.0, []
    for walk in order:
        after += walk.hours
        lost.append(walk.loses_gal_day / HOURS_A_DAY * after)
    return fsum(lost)


def split_longest_first(walks: Sequence[Walk], *, people: int) -> list[list[Walk]]:
    """Lines parted so that everybody walks about as long.

    The longest line left goes to whoever has least so far. Nobody walks longer than 4/3 - 1/(3 m)
    times the least that can be, with m people. Source: Graham 1969.

    Args:
        walks: The lines.
        people: How many walk, 1 to 1,000.

    Returns:
        A part for each, in which the longest lines come first; with few lines some are empty.

    Raises:
        ValueError: There is nobody, or a line takes less than 0 hours or loses less than nothing.
    """
    longest = sorted(walks, key=lambda walk: walk.hours, reverse=True)
    return _one_by_one(longest, people)


def share_out(walks: Sequence[Walk], *, people: int, hours: float) -> Walks:
    """Lines shared out among people who have so many hours each.

    Lines are taken in Smith's order as long as they fit; what is too long is passed over for what
    is shorter. They are parted by the longest-first rule, which brings all back at about the same
    time, or given one after the other to whoever is free first: in Smith's order, the greatest
    loss first, the shortest first, or as they were given, whichever loses least; hours that
    somebody has to spare then go to what was passed over; and everybody walks theirs in Smith's
    order. For one person no order of the lines taken loses less. For several the least is out of
    reach (the problem is NP-hard), so these are tried. Source: Smith 1956; Graham 1969.

    Args:
        walks: The lines.
        people: How many walk, 1 to 1,000.
        hours: Hours that each of them has, 0 or more.

    Raises:
        ValueError: There is nobody, or a value is below 0.
    """
    Range("time", 0, unit="hours").check(hours)
    parts, left = _fitting(smith_order(walks), people, hours)
    parts, left = _filled(_least_lost(parts, walks, hours), left, hours)
    return Walks(tuple(tuple(smith_order(part)) for part in parts), tuple(left))


def worth_walking(walk: Walk, *, value_per_gal: float, wage_per_hour: float, days: float) -> bool:
    """Whether the sap that a line loses is worth what walking it costs.

    Gallons lost a day x days x value of a gallon, at least hours x wage. Source: arithmetic on
    the numbers given.

    Args:
        walk: The line.
        value_per_gal: What a gallon of sap is worth, 0 or more.
        wage_per_hour: What an hour of walking costs, 0 or more.
        days: Days for which the line goes on losing if nobody walks it, 0 or more.

    Raises:
        ValueError: A value is below 0.
    """
    _check([walk])
    Range("value of a gallon", 0).check(value_per_gal)
    Range("wage", 0, unit="an hour").check(wage_per_hour)
    Range("time", 0, unit="days").check(days)
    return walk.loses_gal_day * days * value_per_gal >= walk.hours * wage_per_hour


def _one_by_one(walks: Sequence[Walk], people: int) -> list[list[Walk]]:
    """Lines given one after the other to whoever is free first."""
    Range("people", 1, 1000).check(people)
    _check(walks)
    parts: list[list[Walk]] = [[] for _person in range(people)]
    free = [(0.0, person) for person in range(people)]
    heapify(free)
    for walk in walks:
        after, person = free[0]
        parts[person].append(walk)
        heapreplace(free, (after + walk.hours, person))
    return parts


def _fitting(
    order: Sequence[Walk], people: int, hours: float
) -> tuple[list[list[Walk]], list[Walk]]:
    """Lines parted longest first, each taken if all are then back in time; and those left."""
    taken: list[Walk] = []
    left: list[Walk] = []
    parts = split_longest_first([], people=people)
    room = people * hours + NEAR
    for walk in order:
        # To part them all again takes long: not for what cannot fit however they are parted.
        if walk.hours <= min(room, hours + NEAR):
            longer = split_longest_first([*taken, walk], people=people)
            if _all_in_time(longer, hours):
                taken.append(walk)
                parts, room = longer, room - walk.hours
                continue
        left.append(walk)
    return parts, left


def _least_lost(parts: list[list[Walk]], walks: Sequence[Walk], hours: float) -> list[list[Walk]]:
    """The same lines, parted in whichever of the ways that are in time loses least."""
    taken = {walk for part in parts for walk in part}
    given = [walk for walk in walks if walk in taken]
    lists = (
        smith_order(given),
        sorted(given, key=lambda walk: -walk.loses_gal_day),
        sorted(given, key=lambda walk: walk.hours),
        given,
    )
    others = [_one_by_one(order, len(parts)) for order in lists]
    splits = [parts, *(split for split in others if _all_in_time(split, hours))]
    return min(splits, key=lambda split: fsum(sap_lost_gal(smith_order(part)) for part in split))


def _filled(
    parts: list[list[Walk]], order: Sequence[Walk], hours: float
) -> tuple[list[list[Walk]], list[Walk]]:
    """Parts to which lines are added while whoever is back first has time; and those left."""
    left: list[Walk] = []
    free = [(_hours(part), person) for person, part in enumerate(parts)]
    heapify(free)
    for walk in order:
        after, person = free[0]
        if after + walk.hours > hours + NEAR:
            left.append(walk)
            continue
        parts[person].append(walk)
        heapreplace(free, (_hours(parts[person]), person))
    return parts, left


def _hours(part: Sequence[Walk]) -> float:
    return fsum(walk.hours for walk in part)


def _all_in_time(parts: Sequence[Sequence[Walk]], hours: float) -> bool:
    return all(_hours(part) <= hours + NEAR for part in parts)


def _ratio(walk: Walk) -> float:
    return inf if not walk.hours else walk.loses_gal_day / walk.hours


def _check(walks: Sequence[Walk]) -> None:
    for walk in walks:
        Range("walk", 0, unit="hours").check(walk.hours)
        Range("loss", 0, unit="gal a day").check(walk.loses_gal_day)
