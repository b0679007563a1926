"""Days and pace: how many days there are to work, what each brings, and when work will be done."""

from collections.abc import Collection, Iterable, Iterator, Sequence
from datetime import date, datetime, time
from itertools import chain, islice
from math import ceil

from fieldbook.trade.ranges import Range

WEEK = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
"""Days of the week as RFC 5545 writes them."""

MOST_LOST = 0.95
"""The greatest share of days that may be taken for lost: work that never ends has no date."""

DAYS = Range("days", 0)


def working_days(first: date, last: date, workdays: str, *, days_off: Collection[date] = ()) -> int:
    """Days of work from `first` to `last`, both counted; 0 if `last` comes before `first`.

    Source: the calendar.

    Args:
        first: First day that may be worked.
        last: Last day that may be worked.
        workdays: Days of the week worked, as the BYDAY of an RFC 5545 rule: `MO,TU,WE,TH,FR`.
        days_off: Days of no work, not counted.

    Raises:
        ValueError: A day of the week is none.
    """
    from dateutil.rrule import WEEKLY, rrule

    rule = rrule(
        WEEKLY,
        byweekday=_weekdays(workdays),
        dtstart=datetime.combine(first, time()),
        until=datetime.combine(last, time()),
    )
    return sum(moment.date() not in days_off for moment in rule)


def workdays_after(day: date, *, workdays: str, days_off: Collection[date] = ()) -> Iterator[date]:
    """The working days after a day, one after another to the end of the calendar.

    Source: the calendar.

    Args:
        day: The day before the first that may be worked.
        workdays: Days of the week worked, as in `working_days`.
        days_off: Days of no work, left out.

    Raises:
        ValueError: A day of the week is none.
    """
    coming = range(day.toordinal() + 1, date.max.toordinal() + 1)
    return _worked(coming, workdays, days_off)


def same_weekday(day: date, *, years: int = 1) -> date:
    """The same weekday of the same month in another year: the third Saturday stays the third.

    A fifth one becomes the last where that month has only four. So dates do not drift through the
    year as they would by 52 weeks. Source: RFC 5545, BYMONTH and BYDAY of a yearly rule.

    Args:
        day: The day.
        years: Years on, or back if below 0.

    Raises:
        ValueError: There is no such year.
    """
    from dateutil.rrule import YEARLY, rrule, weekday

    number = (day.day - 1) // 7 + 1
    start = datetime.combine(date(day.year + years, day.month, 1), time())
    rule = rrule(
        YEARLY,
        count=1,
        dtstart=start,
        bymonth=day.month,
        byweekday=weekday(day.weekday())(number if number < 5 else -1),
    )
    return rule[0].date()


def day_number(
    first_after: date, number: int, *, workdays: str, days_off: Collection[date] = ()
) -> date:
    """The date of a working day that is known by its number. Source: the calendar.

    Args:
        first_after: The day after which working days are counted.
        number: Which of them: 1 is the first, 0 the day itself.
        workdays: Days of the week worked, as in `working_days`.
        days_off: Days of no work, not counted.

    Raises:
        ValueError: The number is below 0, the day lies past the end of the calendar, or a day of
            the week is none.
    """
    days = workdays_after(first_after, workdays=workdays, days_off=days_off)
    return _nth(first_after, days, number)


def latest_start(
    wanted: date, *, days_needed: int, workdays: str, days_off: Collection[date] = ()
) -> date:
    """The last day on which work may begin that has to be done on a wanted day.

    Work of one day begins on the last working day that is not after the wanted one; work of no
    days has the wanted day itself. Source: the calendar.

    Args:
        wanted: Day on which the work has to be done.
        days_needed: Working days it takes, 0 or more.
        workdays: Days of the week worked, as in `working_days`.
        days_off: Days of no work, not counted.

    Raises:
        ValueError: The days needed are below 0 or reach back past the beginning of the calendar,
            or a day of the week is none.
    """
    back = _worked(range(wanted.toordinal(), 0, -1), workdays, days_off)
    return _nth(wanted, back, days_needed)


def needed_a_day(left: int, days: int) -> int | None:
    """Units each working day must bring, rounded up; None when no day is left.

    Source: arithmetic on the numbers given.

    Args:
        left: Units still to do.
        days: Working days there are.
    """
    return None if days <= 0 else ceil(left / days)


def person_hours(*, taps: float, minutes_per_tap: float = 4.74) -> float:
    """Hours of one person that a season takes: taps x minutes a tap / 60.

    4.74 min a tap and season is what sugarbushes with tubing took in 1998. Source: Huyler 2000,
    USDA NE-712.

    Args:
        taps: Taps of the sugarbush, 0 or more.
        minutes_per_tap: Minutes a tap takes in a season, above 0.

    Raises:
        ValueError: A value is out of range.
    """
    Range("taps", 0).check(taps)
    Range("time", 0, unit="min a tap", above=True).check(minutes_per_tap)
    return taps * minutes_per_tap / 60


def shrunk_rate(*, units: float, hours: float, default_rate: float, prior_hours: float) -> float:
    """Units an hour, as the record tells it and, while it is short, a default.

    (units + default_rate x prior_hours) / (hours + prior_hours): the default counts as so many
    hours of work, and fades as the record grows. Source: gamma-Poisson, mean of the posterior.

    Args:
        units: Units recorded, 0 or more.
        hours: Person-hours they took, 0 or more.
        default_rate: Units an hour before anything is recorded, above 0.
        prior_hours: Hours of work the default is worth, 0 or more.

    Raises:
        ValueError: A value is out of range, or there is neither record nor default.
    """
    Range("units", 0).check(units)
    Range("hours", 0).check(hours)
    Range("default rate", 0, unit="an hour", above=True).check(default_rate)
    Range("prior", 0, unit="hours").check(prior_hours)
    Range("record and prior", 0, unit="hours", above=True).check(hours + prior_hours)
    return (units + default_rate * prior_hours) / (hours + prior_hours)


def shrunk_share(*, lost: int, days: int, default_share: float, prior_days: float) -> float:
    """Share of working days on which nothing gets done, from the record and a default.

    (lost + default_share x prior_days) / (days + prior_days), at most `MOST_LOST`: the default
    counts as so many days, and fades as the record grows. Source: beta-binomial, mean of the
    posterior.

    Args:
        lost: Days recorded on which nothing was done, 0 to `days`.
        days: Days recorded, 0 or more.
        default_share: Share before anything is recorded, 0 to 1.
        prior_days: Days the default is worth, 0 or more.

    Raises:
        ValueError: A value is out of range, or there is neither record nor default.
    """
    DAYS.check(days)
    Range("lost", 0, days, "days").check(lost)
    Range("default share", 0, 1).check(default_share)
    Range("prior", 0, unit="days").check(prior_days)
    Range("record and prior", 0, unit="days", above=True).check(days + prior_days)
    return min(MOST_LOST, (lost + default_share * prior_days) / (days + prior_days))


def resample_days(
    *,
    goals: Sequence[float],
    days: Sequence[float],
    lost_share: float = 0.0,
    draws: int = 2000,
    seed: int = 1,
    most_days: int = 1000,
) -> list[tuple[int, ...]]:
    """Working days in which each goal is reached, if days to come are like days recorded.

    Each draw walks from day to day: with the chance of `lost_share` nothing is done, else what was
    done on a recorded day drawn evenly, until the last goal is reached. The same seed gives the
    same numbers on every machine. Days that are all alike, and none lost, give ceil(goal / day).
    Source: resampling of recorded days (bootstrap: Efron 1979).

    Args:
        goals: Units done in all when each goal is reached, rising; 0 or less is reached on day 0.
        days: Units the crew did on each recorded day, each above 0.
        lost_share: Share of working days on which nothing gets done, 0 to `MOST_LOST`.
        draws: How often the days to come are walked, 1 or more.
        seed: Seed of the random numbers.
        most_days: Days after which a walk is given up, 1 or more.

    Returns:
        For each goal the numbers of the working days, 1 the first, on which the draws reach it,
        in rising order. A goal not reached in `most_days` counts as `most_days` + 1.

    Raises:
        ValueError: A value is out of range, no day is recorded, or the goals do not rise.
    """
    from random import Random

    Range("recorded days", 1).check(len(days))
    Range("recorded day", 0, unit="units", above=True).check(*days)
    Range("lost share", 0, MOST_LOST).check(lost_share)
    Range("draws", 1).check(draws)
    Range("most days", 1).check(most_days)
    if list(goals) != sorted(goals):
        raise ValueError(f"goals {list(goals)}: out of range, each at least the one before")

    # One number a day tells both whether it is lost and which day it is like: what it points at
    # beyond the recorded days is a lost one.
    chance = Random(seed).random
    width = len(days) / (1 - lost_share)
    outcomes = [*days, *[0.0] * (ceil(width) - len(days))]
    # Ten days of 0.1 add up to a hair under 1: as near as that is there.
    near = [goal * (1 - 1e-9) for goal in goals]
    reached: list[list[int]] = [[] for _ in goals]
    for _ in range(draws):
        number, done = 0, 0.0
        for goal, numbers in zip(near, reached, strict=True):
            while done < goal and number <= most_days:
                done += outcomes[int(chance() * width)]
                number += 1
            numbers.append(number)
    return [tuple(sorted(numbers)) for numbers in reached]


def quantile(ranked: Sequence[int], share: float) -> int:
    """The least of the numbers that so large a share of them do not exceed.

    ranked[ceil(share x n) - 1], with no value between two of them. Source: nearest rank.

    Args:
        ranked: Numbers in rising order, at least one.
        share: Share of them, above 0 to 1.

    Raises:
        ValueError: The share is out of range, or there are no numbers.
    """
    Range("ranked numbers", 1).check(len(ranked))
    Range("share", 0, 1, above=True).check(share)
    return ranked[ceil(share * len(ranked)) - 1]


def _weekdays(workdays: str) -> set[int]:
    """Days of the week by number, Monday 0."""
    names = workdays.split(",")
    if not set(WEEK).issuperset(names):
        raise ValueError(f"workdays {workdays!r}: out of range, some of {','.join(WEEK)}")
    return {WEEK.index(name) for name in names}


def _worked(ordinals: Iterable[int], workdays: str, days_off: Collection[date]) -> Iterator[date]:
    """Those of the days, by number in the calendar, that are worked."""
    weekdays = _weekdays(workdays)
    days = map(date.fromordinal, ordinals)
    return (day for day in days if day.weekday() in weekdays and day not in days_off)


def _nth(start: date, days: Iterator[date], number: int) -> date:
    """The day of that number, 0 being the start."""
    DAYS.check(number)
    found = next(islice(chain([start], days), number, None), None)
    if found is None:
        raise ValueError(f"days {number}: out of range, more than the calendar has from {start}")
    return found
