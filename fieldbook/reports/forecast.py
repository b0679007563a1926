"""When the crew will be done, if days to come are like days recorded."""

from collections.abc import Sequence
from datetime import date, timedelta
from functools import reduce
from itertools import accumulate

from msgspec import Struct

from fieldbook.book.entry import Task
from fieldbook.reports.pace import Pace, pace_of
from fieldbook.reports.turns import Order, best_order
from fieldbook.season.ledger import Ledger, Standing
from fieldbook.season.plan import Plan
from fieldbook.season.season import Season
from fieldbook.trade.pace import (
    day_number,
    latest_start,
    quantile,
    resample_days,
)

DRAWS = 2000
MOST_DAYS = 400
"""Working days after which a date is not worth telling."""

EARLY, LIKELY, LATE = 0.1, 0.5, 0.9
STEPS = 12
"""Levels at which the band of the curve is told."""


class Finish(Struct, frozen=True):
    """Days on which work may be done: one time in ten by the first, nine in ten by the last.

    None where it is not within a year or so.
    """

    early: date | None
    likely: date | None
    late: date | None

    def not_before(self, other: "Finish | None") -> "Finish":
        """These days, or another's where those are later."""
        if other is None:
            return self
        return Finish(
            early=_later(self.early, other.early),
            likely=_later(self.likely, other.likely),
            late=_later(self.late, other.late),
        )


def _later(day: date | None, other: date | None) -> date | None:
    return None if day is None or other is None else max(day, other)


class BlockFinish(Struct, frozen=True):
    """A block in a task, in the order in which blocks are best done."""

    block: str
    left: int
    finish: Finish
    wanted: date | None


class TaskForecast(Struct, frozen=True):
    """When a task will be done.

    Attributes:
        task: Its key.
        title: What the crew calls it.
        counts: What is counted.
        left: Units left.
        left_aside: How many of them are on lines set aside.
        under_way: Somebody has begun.
        pace: What the crew does on a day.
        days_likely: Workdays it takes, one time in two no more.
        days_late: Workdays it takes, nine times in ten no more.
        finish: When it is done, going on from tomorrow.
        one_more: When it is likely done with one more person.
        wanted: Date wanted.
        begin_by: Last day to begin for the wanted date to be met nine times in ten.
        blocks: Block by block.
    """

    task: str
    title: str
    counts: str
    left: int
    left_aside: int
    under_way: bool
    pace: Pace
    days_likely: int
    days_late: int
    finish: Finish
    one_more: date | None
    wanted: date | None
    begin_by: date | None
    blocks: tuple[BlockFinish, ...]


class Level(Struct, frozen=True):
    """So many units, and when they are reached."""

    units: int
    finish: Finish


class Curve(Struct, frozen=True):
    """Taps in by day, and the band in which they go on.

    Attributes:
        counts: What is counted.
        planned: Units planned.
        done: Units in at the end of each day on which any came in.
        levels: What is to come.
        wanted: Date wanted.
    """

    counts: str
    planned: int
    done: tuple[tuple[date, int], ...]
    levels: tuple[Level, ...]
    wanted: date | None


class Forecast(Struct, frozen=True):
    """When the crew will be done.

    Attributes:
        book: Name of the sugarbush.
        season: Its year.
        as_of: The day it is told on; days to come begin the day after. Before a season it is the
            day before that begins; after it nothing is foretold.
        tasks: Tasks with something left.
        order: Which block is next, and why.
        curve: Taps in, and the band in which they go on.
        draws: How often the days to come were drawn.
    """

    book: str
    season: int
    as_of: date
    tasks: tuple[TaskForecast, ...]
    order: Order
    curve: Curve | None
    draws: int


def forecast(season: Season, as_of: date) -> Forecast:
    """When the crew will be done, and which block is next.

    Args:
        season: A season whose ledger was folded up to a day.
        as_of: The day; work goes on the day after, in the season.
    """
    ledger, plan = season.ledger, season.plan
    as_of = max(as_of, plan.begins - timedelta(days=1))
    paces = {
        task.key: pace_of(season, task, as_of)
        for task in plan.tasks
        if as_of < plan.ends and _left(ledger, task)
    }
    order = best_order(ledger, paces, as_of)
    tasks: dict[str, TaskForecast] = {}
    for task in plan.tasks:
        if task.key in paces:
            blocks = [turn.block for turn in order.turns if turn.task == task.key]
            before = tasks.get(task.after)
            tasks[task.key] = task_forecast(
                ledger, task, paces[task.key], as_of, order=blocks, before=before
            )
    return Forecast(
        book=season.book.name,
        season=season.year,
        as_of=as_of,
        tasks=tuple(tasks.values()),
        order=order,
        curve=_curve(season, paces, as_of),
        draws=DRAWS,
    )


def task_forecast(
    ledger: Ledger,
    task: Task,
    pace: Pace,
    as_of: date,
    *,
    order: Sequence[str],
    before: TaskForecast | None,
) -> TaskForecast:
    """When a task that has something left will be done.

    Args:
        ledger: The season.
        task: The task.
        pace: What the crew does of it on a day.
        as_of: The day; work goes on the day after.
        order: Blocks in the order they are done; those not named come last.
        before: The task it waits for: no block is done before it is done with that.
    """
    plan, cell = ledger.plan, ledger.cell(task)
    blocks = [*order, *(block for block in plan.blocks if block not in order)]
    lefts = {block: left for block in blocks if (left := _left(ledger, task, block))}
    goals = list(accumulate(lefts.values()))
    reached = _resampled(goals, pace, pace.crew)
    more = _resampled(goals[-1:], pace, pace.crew + 1)[0]
    waits = {
        block.block: block.finish
        for block in (before.blocks if before else ())
        if block.block in lefts
    }
    finishes = [
        _finish(ranked, plan, as_of).not_before(waits.get(block))
        for block, ranked in zip(lefts, reached, strict=True)
    ]
    one_more = reduce(
        _later, (wait.likely for wait in waits.values()), _day(quantile(more, LIKELY), plan, as_of)
    )
    late = quantile(reached[-1], LATE)
    wanted = plan.wanted(task)
    return TaskForecast(
        task=task.key,
        title=task.title,
        counts=task.counts,
        left=goals[-1],
        left_aside=_left_aside(ledger, task),
        under_way=cell.standing is Standing.UNDER_WAY or cell.tally.done > 0,
        pace=pace,
        days_likely=quantile(reached[-1], LIKELY),
        days_late=late,
        finish=reduce(Finish.not_before, finishes),
        one_more=one_more,
        wanted=wanted.day if wanted else None,
        begin_by=_begin_by(wanted.day, late, plan) if wanted else None,
        blocks=tuple(
            BlockFinish(block, left, finish, of_block.day if of_block else None)
            for (block, left), finish in zip(lefts.items(), finishes, strict=True)
            for of_block in [plan.wanted(task, block)]
        ),
    )


def _left(ledger: Ledger, task: Task, block: str | None = None) -> int:
    """Units left; of spouts to pull those too that are still to come into the trees."""
    plan, tapping = ledger.plan, ledger.plan.counting("taps")
    left = ledger.cell(task, block).tally.left
    if task.planned != "spouts in trees" or tapping is None:
        return left
    for line in plan.lines if block is None else plan.walk[block]:
        target = plan.target(task.key, line.block, line.line)
        pulled = ledger.line_cell(line, task).standing is Standing.DONE
        if not pulled and (target is None or target.planned is None):
            left += ledger.line_cell(line, tapping).tally.left
    return left


def _resampled(goals: Sequence[float], pace: Pace, crew: float) -> list[tuple[int, ...]]:
    return resample_days(
        goals=goals,
        days=[day * crew / pace.crew for day in pace.days],
        lost_share=pace.lost_share,
        draws=DRAWS,
        most_days=MOST_DAYS,
    )


def _day(number: int, plan: Plan, as_of: date) -> date | None:
    """The date of a workday to come; None if it is not worth telling."""
    if number > MOST_DAYS:
        return None
    return day_number(as_of, number, workdays=plan.workdays, days_off=plan.days_off)


def _finish(ranked: Sequence[int], plan: Plan, as_of: date) -> Finish:
    return Finish(*(_day(quantile(ranked, share), plan, as_of) for share in (EARLY, LIKELY, LATE)))


def _begin_by(wanted: date, days: int, plan: Plan) -> date | None:
    if days > MOST_DAYS:
        return None
    return latest_start(wanted, days_needed=days, workdays=plan.workdays, days_off=plan.days_off)


def _left_aside(ledger: Ledger, task: Task) -> int:
    cells = (ledger.line_cell(line, task) for line in ledger.plan.lines)
    return sum(cell.tally.left for cell in cells if cell.standing is Standing.ASIDE)


def _curve(season: Season, paces: dict[str, Pace], as_of: date) -> Curve | None:
    """Taps in by day, and the band in which they go on."""
    ledger, task = season.ledger, season.plan.counting("taps")
    if task is None:
        return None
    tally = ledger.cell(task).tally
    by_day: dict[date, int] = {}
    for entry in ledger.counts():
        if entry.task == task.key:
            by_day[entry.day] = by_day.get(entry.day, 0) + entry.count
    days = sorted(by_day)
    levels: list[Level] = []
    if task.key in paces and days:  # before anybody begins there is nothing to go on from
        goals = [tally.left * step / STEPS for step in range(1, STEPS + 1)]
        reached = _resampled(goals, paces[task.key], paces[task.key].crew)
        levels = [
            Level(tally.done + round(goal), _finish(ranked, season.plan, as_of))
            for goal, ranked in zip(goals, reached, strict=True)
        ]
    wanted = season.plan.wanted(task)
    return Curve(
        counts=task.counts,
        planned=tally.planned,
        done=tuple(zip(days, accumulate(by_day[day] for day in days), strict=True)),
        levels=tuple(levels),
        wanted=wanted.day if wanted else None,
    )
