"""Which block is next: the order of blocks and tasks in which the latest is least late."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, timedelta
from itertools import takewhile
from math import ceil, inf
from typing import cast

from msgspec import Struct

from fieldbook.book.entry import Task
from fieldbook.i18n import _, ngettext
from fieldbook.reports.pace import Pace, people_a_day
from fieldbook.season.dates import short_day
from fieldbook.season.ledger import Ledger, Standing
from fieldbook.season.plan import Plan
from fieldbook.trade.pace import workdays_after, working_days
from fieldbook.trade.schedule import Job, finish_days, lawler

Place = tuple[str, str]
"""A block and the key of a task."""


class Turn(Struct, frozen=True):
    """One block in one task, in its turn: as if one crew did one thing after another.

    Attributes:
        block: The block.
        task: The key of the task.
        title: What the crew calls it.
        counts: What is counted.
        left: Units left on lines that are not set aside.
        days: Workdays it takes.
        done_by: Day on which it is done; None past the end of the season.
        wanted: Date wanted.
        days_over: Workdays that it is done after that.
    """

    block: str
    task: str
    title: str
    counts: str
    left: int
    days: float
    done_by: date | None
    wanted: date | None
    days_over: int


class Order(Struct, frozen=True):
    """Blocks and tasks in the order in which the latest is least late.

    Attributes:
        turns: In their turn.
        why: Why the first is first, in words.
        held_up: What is set aside, or waits for that, and has no turn.
        crew: People a day who are taken to work on it.
    """

    turns: tuple[Turn, ...]
    why: str
    held_up: tuple[Place, ...]
    crew: float


def best_order(ledger: Ledger, paces: Mapping[str, Pace], as_of: date) -> Order:
    """The order in which the latest is least late, as if one crew did one thing after another.

    Lawler 1973: a block's tasks come one after the other; among equals what is under way goes
    first, and then the order of the plan is kept. Everybody who is out these days works on one
    thing. What is set aside has no turn, and pulling has none before somebody begins it: nobody
    knows when the sap ends.

    Args:
        ledger: The season.
        paces: What the crew does on a day of each task that has something left.
        as_of: The day; work goes on the day after.
    """
    plan = ledger.plan
    cells = {
        (block, key): cell
        for key in paces
        for task in [plan.task(key)]
        for block in plan.blocks
        if task is not None and _may_begin(ledger, task)
        if (cell := ledger.cell(task, block)).tally.left
    }
    crew = people_a_day(list(ledger.counts())) or max((p.crew for p in paces.values()), default=1.0)
    tasks = {task.key: task for task in plan.tasks}
    left = {(block, key): _open_left(ledger, tasks[key], block) for block, key in cells}
    held_up: list[Place] = []
    for block, key in cells:  # tasks in their order: what waits for something held up is too
        if not left[block, key] or (block, tasks[key].after) in held_up:
            held_up.append((block, key))
    ready = [at for at in cells if at not in held_up]
    ready.sort(key=lambda at: cells[at].standing is not Standing.UNDER_WAY)
    jobs = [
        Job(
            name=(block, key),
            days=left[block, key] / paces[key].with_crew(crew),
            due=_due(plan, tasks[key], block, as_of),
            after=((block, tasks[key].after),),
        )
        for block, key in ready
    ]
    order = lawler(jobs)
    done = finish_days(order)
    coming = [as_of, *_workdays_to_come(plan, as_of)]
    turns = []
    for job in order:
        block, key = cast("Place", job.name)
        task, wanted = tasks[key], plan.wanted(tasks[key], block)
        days = round(done[job.name], 6)
        number = ceil(days)
        turns.append(
            Turn(
                block=block,
                task=key,
                title=task.title,
                counts=task.counts,
                left=left[block, key],
                days=job.days,
                done_by=coming[number] if number < len(coming) else None,
                wanted=wanted.day if wanted else None,
                days_over=0 if job.due is None else max(0, ceil(days - job.due)),
            )
        )
    return Order(tuple(turns), _why(turns, order, as_of), tuple(held_up), crew)


def _workdays_to_come(plan: Plan, as_of: date) -> Iterator[date]:
    """The workdays after a day, up to the end of the season."""
    coming = workdays_after(as_of, workdays=plan.workdays, days_off=plan.days_off)
    return takewhile(lambda day: day <= plan.ends, coming)


def _open_left(ledger: Ledger, task: Task, block: str) -> int:
    """Units left in a block on lines that somebody can go to."""
    cells = (ledger.line_cell(line, task) for line in ledger.plan.walk[block])
    return sum(cell.tally.left for cell in cells if cell.standing is not Standing.ASIDE)


def _may_begin(ledger: Ledger, task: Task) -> bool:
    pulling = task.planned == "spouts in trees"
    return not pulling or ledger.cell(task).standing is not Standing.NOT_BEGUN


def _due(plan: Plan, task: Task, block: str, as_of: date) -> float | None:
    """Workdays from tomorrow to the date wanted; below 0 those that have gone by since."""
    wanted = plan.wanted(task, block)
    if wanted is None:
        return None

    earlier, later = sorted((as_of, wanted.day))
    day_after = earlier + timedelta(days=1)
    between = working_days(day_after, later, plan.workdays, days_off=plan.days_off)
    return between if wanted.day >= as_of else -between


def _why(turns: Sequence[Turn], order: Sequence[Job], as_of: date) -> str:
    """Why the first is first, in words a crew lead can check."""
    if not turns:
        return ""
    first = turns[0]
    behind = {order[0].name}
    for job in order[1:]:
        if behind & set(job.after):
            behind.add(job.name)
    driver = min(
        (job for job in order if job.name in behind),
        key=lambda job: inf if job.due is None else job.due,
    )
    drives = next(turn for turn in turns if (turn.block, turn.task) == driver.name)
    if drives.wanted is None:
        said = _("nothing has a date: what is under way, and then the order of the plan")
    elif drives.wanted < as_of:
        said = _("{task} there was wanted {day}").format(
            task=drives.title.lower(), day=short_day(drives.wanted)
        )
    elif drives is not first:
        said = _("{task} there waits for it, and is wanted {day}").format(
            task=drives.title.lower(), day=short_day(drives.wanted)
        )
    else:
        said = _("it is wanted {day}, and nothing can be done that is wanted sooner").format(
            day=short_day(drives.wanted)
        )
    worst = max(turns, key=lambda turn: turn.days_over)
    if not worst.days_over:
        return said + "; " + _("in this order nothing is late.")
    return (
        said
        + "; "
        + ngettext(
            "in this order {block}, {task} is {n} workday late, and no order does better.",
            "in this order {block}, {task} is {n} workdays late, and no order does better.",
            worst.days_over,
        ).format(block=worst.block, task=worst.title.lower(), n=worst.days_over)
    )
