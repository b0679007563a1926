"""One crew, one job after another: the order in which the greatest lateness is least."""

from collections.abc import Hashable, Sequence
from math import fsum, inf
from typing import NamedTuple

from fieldbook.trade.ranges import Range


class Job(NamedTuple):
    """Work that is done without a break.

    Attributes:
        name: What the job is known by; no two jobs share a name.
        days: Working days it takes, 0 or more.
        due: Working days from now on which it has to be done; with None it is never late.
        after: Names of the jobs that come before; a name that is no job is done already.
    """

    name: Hashable
    days: float
    due: float | None
    after: tuple[Hashable, ...] = ()


def lawler(jobs: Sequence[Job]) -> list[Job]:
    """The order with the least greatest lateness, where jobs wait for others.

    From the back: of the jobs that none of those left waits for, the one due latest goes last.
    Among equals the order given is kept. Source: Lawler 1973 (1|prec|Lmax).

    Args:
        jobs: What the crew has to do.

    Raises:
        ValueError: Jobs wait for one another in a circle.
    """
    left = list(jobs)
    backwards = []
    while left:
        awaited = {name for job in left for name in job.after}
        free = [job for job in reversed(left) if job.name not in awaited]
        if not free:
            circle = " after ".join(map(str, _circle(left)))
            raise ValueError(f"jobs in a circle: {circle}")
        last = max(free, key=_due)
        left.remove(last)
        backwards.append(last)
    return backwards[::-1]


def jackson(jobs: Sequence[Job]) -> list[Job]:
    """The order with the least greatest lateness, where no job waits for another: by due date.

    Among equals the order given is kept; `after` is not looked at. Source: Jackson 1955.

    Args:
        jobs: What the crew has to do.
    """
    return sorted(jobs, key=_due)


def finish_days(order: Sequence[Job]) -> dict[Hashable, float]:
    """Working days from now on which each job is done, one after the other.

    Source: arithmetic on the numbers given.

    Args:
        order: The jobs as they are done.

    Raises:
        ValueError: Two jobs share a name, or one takes less than 0 days.
    """
    finish: dict[Hashable, float] = {}
    taken: list[float] = []
    for job in order:
        if job.name in finish:
            raise ValueError(f"job {job.name}: out of range, a name is given once")
        Range(f"job {job.name}", 0, unit="days").check(job.days)
        taken.append(job.days)
        finish[job.name] = fsum(taken)
    return finish


def greatest_lateness(order: Sequence[Job]) -> float:
    """Days by which the latest job is late, below 0 if all are early; -inf if none has a date.

    Source: arithmetic on the numbers given.

    Args:
        order: The jobs as they are done.

    Raises:
        ValueError: Two jobs share a name, or one takes less than 0 days.
    """
    finish = finish_days(order)
    return max((finish[job.name] - job.due for job in order if job.due is not None), default=-inf)


def _due(job: Job) -> float:
    return inf if job.due is None else job.due


def _circle(jobs: Sequence[Job]) -> list[Hashable]:
    """The names of a circle, from a job back to itself, among jobs that are each waited for."""
    walk = [jobs[0].name]
    while True:
        waiting = next(job.name for job in jobs if walk[-1] in job.after)
        if waiting in walk:
            return [waiting, *reversed(walk[walk.index(waiting) :])]
        walk.append(waiting)
