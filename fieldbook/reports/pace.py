"""What the crew does of a task on a day: the record as far as it goes, then the book's defaults."""

from collections.abc import Sequence
from datetime import date, timedelta
from itertools import groupby, takewhile
from math import fsum

from msgspec import Struct, field

from fieldbook.book.entry import Count, Task
from fieldbook.season.ledger import Ledger
from fieldbook.season.plan import Plan
from fieldbook.season.season import Season
from fieldbook.trade.pace import shrunk_rate, shrunk_share, workdays_after

RECENT_DAYS, CREW_DAYS = 20, 5
"""Recorded days that days to come are like, and of these those that tell how many people come."""

ENOUGH_DAYS = 5
"""With fewer recorded days, those of the season before come in, and then days at default rates."""

PAUSE_DAYS = 6
"""Workdays without any work that are no longer put down to the weather (common practice)."""

LOST_PRIOR_DAYS = 10
"""Recorded days that the default share of lost days weighs as much as."""


class Pace(Struct, frozen=True):
    """What the crew does of a task on a day, and how that is known.

    Attributes:
        rate_per_hour: Units a person does in an hour: the record, shrunk toward the default.
        rate_default: The book's default rate.
        hours: Person-hours on record in this task.
        crew: People on a day.
        days: Units on each day that days to come may be like.
        days_recorded: How many of them are of this season.
        days_before: How many are of the season before.
        days_default: How many are made of the rate, the hours of a day and the crew.
        lost_share: Share of workdays on which nobody gets out.
        lost: Such workdays since the task began; longer pauses are none of the weather's.
        workdays: Workdays since the task began, without such pauses.
    """

    rate_per_hour: float
    rate_default: float
    hours: float
    crew: float
    days: tuple[float, ...]
    days_recorded: int
    days_before: int
    days_default: int
    lost_share: float
    lost: int
    workdays: int

    def with_crew(self, crew: float) -> float:
        """Units a workday brings so many people on the average, lost days counted."""
        each = fsum(self.days) / len(self.days) / self.crew
        return each * crew * (1 - self.lost_share)


class _Day(Struct):
    units: int = 0
    people: set[str] = field(default_factory=set)


def pace_of(season: Season, task: Task, as_of: date) -> Pace:
    """What the crew does of a task on a day, from the record as far as it goes."""
    plan = season.plan
    counts = [e for e in season.ledger.counts() if e.task == task.key and e.count]
    default = _default_rate(plan, task)
    timed = [e for e in counts if e.hours]
    hours = fsum(e.hours or 0 for e in timed)
    rate = shrunk_rate(
        units=sum(e.count for e in timed),
        hours=hours,
        default_rate=default,
        prior_hours=max(plan.number("rate_prior_hours"), 0.0 if hours else 1.0),
    )
    own, before = _days(counts), []
    if len(own) < ENOUGH_DAYS and season.last is not None:
        earlier = (e for e in season.last.ledger.counts() if e.task == task.key and e.count)
        before = _days(list(earlier))
    known = own or before
    crew = _people(known) or max(1, min(2, len(plan.people)))
    days = [day.units / len(day.people) * crew for day in (*before, *own)][-RECENT_DAYS:]
    made = max(0, ENOUGH_DAYS - len(days))
    lost, workdays = _lost_days(season.ledger, counts, as_of)
    return Pace(
        rate_per_hour=rate,
        rate_default=default,
        hours=hours,
        crew=crew,
        days=(*days, *[rate * plan.number("hours_a_day") * crew] * made),
        days_recorded=min(len(own), RECENT_DAYS),
        days_before=len(days) - min(len(own), RECENT_DAYS),
        days_default=made,
        lost_share=shrunk_share(
            lost=lost,
            days=workdays,
            default_share=plan.number("lost_days_pct") / 100,
            prior_days=LOST_PRIOR_DAYS,
        ),
        lost=lost,
        workdays=workdays,
    )


def people_a_day(counts: Sequence[Count]) -> float:
    """People who are out on a day, on the average of the last few; 0 before anybody was."""
    return _people(_days(counts))


def _people(days: Sequence[_Day]) -> float:
    recent = days[-CREW_DAYS:]
    return sum(len(day.people) for day in recent) / max(1, len(recent))


def _days(counts: Sequence[Count]) -> list[_Day]:
    """The days on which something was done, oldest first."""
    days: dict[date, _Day] = {}
    for entry in counts:
        day = days.setdefault(entry.day, _Day())
        day.units += entry.count
        day.people.add(entry.who)
    return [days[day] for day in sorted(days)]


def _default_rate(plan: Plan, task: Task) -> float:
    """Units a person does in an hour, by the book's default."""
    if task.counts == "readings":  # a reading is told of a line; the rate is of taps walked past
        taps = [plan.taps(line) or 0 for line in plan.lines]
        mean = sum(taps) / len(taps) if sum(taps) else 100.0
        return plan.number("rate_readings") / mean
    known = task.counts if task.counts in ("drops", "taps", "ties", "spouts") else "other"
    return plan.number(f"rate_{known}")


def _lost_days(ledger: Ledger, counts: Sequence[Count], as_of: date) -> tuple[int, int]:
    """Workdays since a task began on which nobody did anything at all, and all workdays.

    A pause of more days than the weather lasts is in neither, nor is today while nothing of it
    is keyed in.
    """
    if not counts:
        return 0, 0
    plan, first = ledger.plan, min(entry.day for entry in counts)
    worked = {entry.day for entry in ledger.counts()}
    before = first - timedelta(days=1)
    coming = workdays_after(before, workdays=plan.workdays, days_off=plan.days_off)
    last = as_of if as_of in worked else as_of - timedelta(days=1)
    days = takewhile(lambda day: day <= last, coming)
    lost = workdays = 0
    for idle, stretch in groupby(days, key=lambda day: day not in worked):
        length = sum(1 for _day in stretch)
        if not idle or length < PAUSE_DAYS:
            lost += length * idle
            workdays += length
    return lost, workdays
