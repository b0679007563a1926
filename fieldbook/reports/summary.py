"""The season summary as data: what was planned, what is done, what is left, and what to look at."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from fieldbook.book.entry import Aside, Task, Work
from fieldbook.season.ledger import Cell, Ledger, Standing
from fieldbook.season.season import Season
from fieldbook.trade.pace import needed_a_day, working_days


@dataclass(frozen=True, slots=True)
class Totals:
    """The season in seven numbers; None where the checklist has no task for it."""

    taps_planned: int
    taps_in: int | None
    taps_left: int | None
    drops_due: int | None
    drops_replaced: int | None
    spouts_pulled: int | None
    spouts_in_trees: int | None


@dataclass(frozen=True, slots=True)
class TaskPart:
    """A task in one block or in the season: planned = done + left + short - over.

    Attributes:
        task: Its key.
        title: What the crew calls it.
        counts: What is counted.
        planned: Units planned.
        done: Units done.
        left: Units left on lines that are not done.
        short: Units that finished lines fell short.
        over: Units beyond the plan.
        percent: Done of planned, rounded down; None with nothing planned.
        standing: not begun, under way, done, set aside, nothing due.
        lines: Lines there are.
        lines_done: Lines done.
        lines_unknown: Lines whose planned number is not known.
        wanted: Date wanted, if there is one.
        days_left: Working days to that date, today included; None without a date.
        needed_a_day: Units each of them must bring; None when no day is left.
    """

    task: str
    title: str
    counts: str
    planned: int
    done: int
    left: int
    short: int
    over: int
    percent: int | None
    standing: Standing
    lines: int
    lines_done: int
    lines_unknown: int
    wanted: date | None
    days_left: int | None
    needed_a_day: int | None


@dataclass(frozen=True, slots=True)
class BlockPart:
    """A block in every task."""

    block: str
    lines: int
    taps_planned: int
    tasks: tuple[TaskPart, ...]


@dataclass(frozen=True, slots=True)
class PersonPart:
    """What one person did of one task."""

    who: str
    task: str
    counts: str
    count: int
    hours: float


@dataclass(frozen=True, slots=True)
class AsidePart:
    """Lines of a block set aside together in a task."""

    block: str
    lines: tuple[str, ...]
    task: str
    left: int
    who: str
    day: date
    reason: str


@dataclass(frozen=True, slots=True)
class LinePart:
    """A line whose count does not match its plan: finished short, or over."""

    block: str
    line: str
    task: str
    planned: int
    done: int
    reason: str


@dataclass(frozen=True, slots=True)
class HazardPart:
    """A note that somebody could get hurt."""

    block: str
    line: str
    who: str
    day: date
    text: str


@dataclass(frozen=True, slots=True)
class Summary:
    """Where a season stands on a day.

    Attributes:
        book: Name of the sugarbush.
        invented: The book is a demonstration; nothing in it is real.
        season: Its year.
        as_of: The day; later work is left out.
        totals: The season in seven numbers.
        tasks: The season as a whole, task by task.
        blocks: Block by block.
        today: Who did what on the day.
        week: Who did what from Monday of that week to the day.
        aside: What is set aside, and why.
        short: Lines finished short of the plan.
        over: Lines over the plan.
        hazards: Notes marked as hazards.
        struck: Entries crossed out.
        set_apart: Lines of the journals that cannot be read; in no total.
        strays: Entries about work the plan does not know; in no total.
    """

    book: str
    invented: bool
    season: int
    as_of: date
    totals: Totals
    tasks: tuple[TaskPart, ...]
    blocks: tuple[BlockPart, ...]
    today: tuple[PersonPart, ...]
    week: tuple[PersonPart, ...]
    aside: tuple[AsidePart, ...]
    short: tuple[LinePart, ...]
    over: tuple[LinePart, ...]
    hazards: tuple[HazardPart, ...]
    struck: int
    set_apart: int
    strays: int


def summarise(season: Season, as_of: date) -> Summary:
    """The summary of a season whose ledger was folded up to a day.

    Args:
        season: The season.
        as_of: The day, for what was done on it and the days that are left.
    """
    ledger, plan = season.ledger, season.plan
    monday = as_of - timedelta(days=as_of.weekday())
    blocks = tuple(
        BlockPart(
            block=block,
            lines=len(lines),
            taps_planned=sum(line.taps_planned for line in lines),
            tasks=tuple(task_part(ledger, task, block, as_of) for task in plan.tasks),
        )
        for block, lines in plan.walk.items()
    )
    return Summary(
        book=season.book.name,
        invented=season.book.today is not None,
        season=season.year,
        as_of=as_of,
        totals=totals(ledger),
        tasks=tuple(task_part(ledger, task, None, as_of) for task in plan.tasks),
        blocks=blocks,
        today=_people(ledger, as_of, as_of),
        week=_people(ledger, monday, as_of),
        aside=tuple(_aside(ledger)),
        short=tuple(_off_plan(ledger, "short")),
        over=tuple(_off_plan(ledger, "over")),
        hazards=tuple(
            HazardPart(n.block, n.line, n.who or n.by, n.day, n.text)
            for n in ledger.notes
            if n.hazard
        ),
        struck=len(ledger.struck),
        set_apart=season.book.set_apart,
        strays=len(ledger.strays),
    )


def totals(ledger: Ledger) -> Totals:
    """The season in seven numbers."""

    def cell(unit: str) -> Cell | None:
        task = ledger.plan.counting(unit)
        return ledger.cell(task) if task else None

    taps, drops, spouts = cell("taps"), cell("drops"), cell("spouts")
    planned = sum(line.taps_planned for line in ledger.plan.lines)
    pulled = spouts.tally.done if spouts else None
    return Totals(
        taps_planned=taps.tally.planned if taps else planned,
        taps_in=taps.tally.done if taps else None,
        taps_left=taps.tally.left if taps else None,
        drops_due=drops.tally.planned if drops else None,
        drops_replaced=drops.tally.done if drops else None,
        spouts_pulled=pulled,
        spouts_in_trees=taps.tally.done - (pulled or 0) if taps else None,
    )


def task_part(ledger: Ledger, task: Task, block: str | None, as_of: date) -> TaskPart:
    plan = ledger.plan
    cell = ledger.cell(task, block)
    wanted = plan.wanted(task, block or "")
    days = working_days(as_of, wanted.day, plan.workdays) if wanted else None
    return TaskPart(
        task=task.key,
        title=task.title,
        counts=task.counts,
        planned=cell.tally.planned,
        done=cell.tally.done,
        left=cell.tally.left,
        short=cell.tally.short,
        over=cell.tally.over,
        percent=cell.tally.percent,
        standing=cell.standing,
        lines=sum(cell.lines.values()),
        lines_done=cell.lines.get(Standing.DONE, 0),
        lines_unknown=cell.tally.unknown,
        wanted=wanted.day if wanted else None,
        days_left=days,
        needed_a_day=needed_a_day(cell.tally.left, days) if days is not None else None,
    )


def _people(ledger: Ledger, first: date, last: date) -> tuple[PersonPart, ...]:
    """What each person did of each task from one day to another, by name and order of tasks."""
    sums: dict[tuple[str, str], tuple[int, float]] = {}
    for entry in ledger.counts():
        if first <= entry.day <= last:
            count, hours = sums.get((entry.who, entry.task), (0, 0.0))
            done = (count + entry.count, hours + (entry.hours or 0.0))
            sums[entry.who, entry.task] = done
    order = {task.key: number for number, task in enumerate(ledger.plan.tasks)}
    units = {task.key: task.counts for task in ledger.plan.tasks}
    return tuple(
        PersonPart(who, task, units.get(task, task), *sums[who, task])
        for who, task in sorted(
            sums, key=lambda key: (key[0].casefold(), order.get(key[1], len(order)), key[1])
        )
    )


def _cells(ledger: Ledger) -> Iterable[tuple[str, str, Task, Cell]]:
    """Every line in every task: block, line, task and cell, block by block."""
    for block, lines in ledger.plan.walk.items():
        for task in ledger.plan.tasks:
            for line in lines:
                yield block, line.line, task, ledger.line_cell(line, task)


def _aside(ledger: Ledger) -> Iterable[AsidePart]:
    """Lines set aside; those of a block and task that share who, when and why stand together."""
    together: dict[tuple[str, str, str, date, str], list[tuple[str, int]]] = {}
    for block, line, task, cell in _cells(ledger):
        mark = ledger.record(block, line, task.key).mark
        if cell.standing is Standing.ASIDE and isinstance(mark, Aside):
            key = (block, task.key, mark.who, mark.day, mark.reason)
            together.setdefault(key, []).append((line, cell.tally.left))
    for (block, task_key, who, day, reason), lines in together.items():
        yield AsidePart(
            block=block,
            lines=tuple(line for line, _left in lines),
            task=task_key,
            left=sum(left for _line, left in lines),
            who=who,
            day=day,
            reason=reason,
        )


def _off_plan(ledger: Ledger, side: str) -> Iterable[LinePart]:
    for block, line, task, cell in _cells(ledger):
        if getattr(cell.tally, side) and not cell.tally.unknown:
            mark: Work | None = ledger.record(block, line, task.key).mark
            yield LinePart(
                block=block,
                line=line,
                task=task.key,
                planned=cell.tally.planned,
                done=cell.tally.done,
                reason=getattr(mark, "reason", ""),
            )
