"""The season summary as data: what was planned, what is done, what is left, and what to look at."""

from collections.abc import Iterable, Iterator
from datetime import date, datetime, time, timedelta

from msgspec import Struct

from fieldbook.book.entry import Aside, Reading, Task, Work
from fieldbook.reports.balance import BalanceReport, balance_report
from fieldbook.reports.open_items import OpenItem, told_items
from fieldbook.reports.sap import Sap, sap_of
from fieldbook.reports.words import signed_entry
from fieldbook.season.balance import Balance
from fieldbook.season.items import open_items
from fieldbook.season.ledger import Cell, Ledger, Standing, together
from fieldbook.season.plan import Plan
from fieldbook.season.season import Season
from fieldbook.season.woods import hazards
from fieldbook.trade.pace import needed_a_day, working_days


class Totals(Struct, frozen=True):
    """The season in seven numbers; None where the checklist has no task for it."""

    taps_planned: int
    taps_in: int | None
    taps_left: int | None
    drops_due: int | None
    drops_replaced: int | None
    spouts_pulled: int | None
    spouts_in_trees: int | None


class TaskPart(Struct, frozen=True):
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


class BlockPart(Struct, frozen=True):
    """A block in every task, and the sap that was measured of it."""

    block: str
    lines: int
    taps_planned: int
    tasks: tuple[TaskPart, ...]
    sap: Sap


class PersonPart(Struct, frozen=True):
    """What one person did of one task."""

    who: str
    task: str
    counts: str
    count: int
    hours: float


class AsidePart(Struct, frozen=True):
    """Lines of a block set aside together in a task."""

    block: str
    lines: tuple[str, ...]
    task: str
    left: int
    who: str
    day: date
    reason: str


class LinePart(Struct, frozen=True):
    """A line whose count does not match its plan: finished short, or over."""

    block: str
    line: str
    task: str
    planned: int
    done: int
    reason: str


class HazardPart(Struct, frozen=True):
    """A note that somebody could get hurt."""

    block: str
    line: str
    who: str
    day: date
    text: str


class VacuumPart(Struct, frozen=True):
    """The vacuum as the gauges tell it.

    Attributes:
        pump_inhg: Vacuum at the pump as it was read last; None if it was not.
        ceiling_inhg: The most there can be at its height.
        lines_read: Lines of which it is known what they lose.
        lines_within: Of these, lines that lose no more than the aim.
        share_within: Their share.
        aim_inhg: The aim.
        taps: Taps in.
        taps_under_vacuum: Of these, those whose valve is open.
        loss_gal_day: Sap lost on a day when it runs.
        loss_low_gal_day: The same by the least gain published.
        loss_high_gal_day: The same by the greatest.
        loss_syrup_gal_day: Syrup of it.
        loss_money_day: What it is worth.
        sap_gal_day: Sap of such a day as things stand.
        leaks_found: Leaks found this season.
        leaks_open: Of these, not mended.
        worst: Lines that lose most, with what they lose and what their readings point at.
        says: The vacuum in words.
    """

    pump_inhg: float | None
    ceiling_inhg: float
    lines_read: int
    lines_within: int
    share_within: float | None
    aim_inhg: float
    taps: int
    taps_under_vacuum: int
    loss_gal_day: float
    loss_low_gal_day: float
    loss_high_gal_day: float
    loss_syrup_gal_day: float
    loss_money_day: float
    sap_gal_day: float
    leaks_found: int
    leaks_open: int
    worst: tuple[str, ...]
    says: tuple[str, ...]


class Summary(Struct, frozen=True):
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
        hazards: Hazards that stand.
        vacuum: What the gauges say; None where none was read.
        sap: Sap and syrup so far.
        open_items: What was begun and not closed, the gravest first.
        balance: Drops, taps and spouts.
        closed: Who closed the season and when; empty while it is open.
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
    vacuum: VacuumPart | None
    sap: Sap
    open_items: tuple[OpenItem, ...]
    balance: BalanceReport
    closed: str
    struck: int
    set_apart: int
    strays: int


def summarise(season: Season, as_of: date, now: datetime | None = None) -> Summary:
    """The summary of a season whose ledger was folded up to a day.

    Args:
        season: The season.
        as_of: The day, for what was done on it and the days that are left.
        now: The time, for what is overdue; the end of the day if none is given.
    """
    now = now or datetime.combine(as_of, time.max)
    closed = season.ledger.closed
    accounts = balance_report(season.ledger, brief=True)
    ledger, plan = season.ledger, season.plan
    monday = as_of - timedelta(days=as_of.weekday())
    in_lines = _line_cells(ledger)
    in_blocks = {at: together(cell for _line, cell in cells) for at, cells in in_lines.items()}
    in_all = {
        task.key: together(in_blocks[block, task.key] for block in plan.blocks)
        for task in plan.tasks
    }
    blocks = tuple(
        BlockPart(
            block=block,
            lines=len(lines),
            taps_planned=sum(plan.taps(line) or 0 for line in lines),
            tasks=tuple(
                _task_part(plan, task, block, as_of, in_blocks[block, task.key])
                for task in plan.tasks
            ),
            sap=sap_of(ledger, block),
        )
        for block, lines in plan.walk.items()
    )
    return Summary(
        book=season.book.name,
        invented=season.book.today is not None,
        season=season.year,
        as_of=as_of,
        totals=_totals(plan, in_all, accounts.season),
        tasks=tuple(_task_part(plan, task, None, as_of, in_all[task.key]) for task in plan.tasks),
        blocks=blocks,
        today=_people(ledger, as_of, as_of),
        week=_people(ledger, monday, as_of),
        aside=tuple(_aside(ledger, in_lines)),
        short=tuple(_off_plan(ledger, in_lines, "short")),
        over=tuple(_off_plan(ledger, in_lines, "over")),
        hazards=tuple(
            HazardPart(n.block, n.line, n.who or n.by, n.day, n.text) for n in hazards(ledger)
        ),
        vacuum=_vacuum(season, as_of),
        sap=sap_of(ledger),
        open_items=told_items(open_items(ledger, now), plan, now),
        balance=accounts,
        closed=signed_entry(closed) if closed else "",
        struck=len(ledger.struck),
        set_apart=season.book.set_apart,
        strays=len(ledger.strays),
    )


def _totals(plan: Plan, in_all: dict[str, Cell], balance: Balance) -> Totals:
    """The season in seven numbers."""

    def cell(unit: str) -> Cell | None:
        task = plan.counting(unit)
        return in_all[task.key] if task else None

    taps, drops, spouts = cell("taps"), cell("drops"), cell("spouts")
    planned = sum(plan.taps(line) or 0 for line in plan.lines)
    pulled = spouts.tally.done if spouts else None
    return Totals(
        taps_planned=taps.tally.planned if taps else planned,
        taps_in=taps.tally.done if taps else None,
        taps_left=taps.tally.left if taps else None,
        drops_due=drops.tally.planned if drops else None,
        drops_replaced=drops.tally.done if drops else None,
        spouts_pulled=pulled,
        spouts_in_trees=balance.in_trees if taps else None,
    )


def task_part(ledger: Ledger, task: Task, block: str | None, as_of: date) -> TaskPart:
    """A task in one block, or in the season, on a day."""
    return _task_part(ledger.plan, task, block, as_of, ledger.cell(task, block))


def _task_part(plan: Plan, task: Task, block: str | None, as_of: date, cell: Cell) -> TaskPart:
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


_LineCells = dict[tuple[str, str], list[tuple[str, Cell]]]
"""The lines of each block in each task, by name of the block and key of the task."""


def _line_cells(ledger: Ledger) -> _LineCells:
    return {
        (block, task.key): [(line.line, ledger.line_cell(line, task)) for line in lines]
        for block, lines in ledger.plan.walk.items()
        for task in ledger.plan.tasks
    }


def _each(in_lines: _LineCells) -> Iterator[tuple[str, str, str, Cell]]:
    """Block, task, line and cell of every line in every task."""
    for (block, task), cells in in_lines.items():
        for line, cell in cells:
            yield block, task, line, cell


def _aside(ledger: Ledger, in_lines: _LineCells) -> Iterable[AsidePart]:
    """Lines set aside; those of a block and task that share who, when and why stand together."""
    alike: dict[tuple[str, str, str, date, str], list[tuple[str, int]]] = {}
    for block, task, line, cell in _each(in_lines):
        mark = ledger.record(block, line, task).mark
        if cell.standing is Standing.ASIDE and isinstance(mark, Aside):
            key = (block, task, mark.who, mark.day, mark.reason)
            alike.setdefault(key, []).append((line, cell.tally.left))
    for (block, task, who, day, reason), lines in alike.items():
        yield AsidePart(
            block=block,
            lines=tuple(line for line, _left in lines),
            task=task,
            left=sum(left for _line, left in lines),
            who=who,
            day=day,
            reason=reason,
        )


def _vacuum(season: Season, as_of: date) -> VacuumPart | None:
    """What the gauges say; what that takes is loaded only where one was read."""
    if not season.plan.under_vacuum or not season.ledger.of(Reading):
        return None
    from fieldbook.reports.leaks import leaks
    from fieldbook.reports.leaks_words import loss_said, pump_said, standing_said, worst_said

    report = leaks(season, as_of, alone=True)
    total = report.total
    return VacuumPart(
        pump_inhg=None if report.pump is None else report.pump.vacuum_inhg,
        ceiling_inhg=report.ceiling_inhg,
        lines_read=total.read,
        lines_within=total.within,
        share_within=total.share_within,
        aim_inhg=report.aim_inhg,
        taps=total.taps,
        taps_under_vacuum=total.under_vacuum,
        loss_gal_day=total.loss.sap_gal,
        loss_low_gal_day=total.loss.low_gal,
        loss_high_gal_day=total.loss.high_gal,
        loss_syrup_gal_day=total.loss.syrup_gal,
        loss_money_day=total.loss.money,
        sap_gal_day=report.sap_now_gal,
        leaks_found=report.found,
        leaks_open=report.open,
        worst=tuple(worst_said(report)),
        says=(*pump_said(report), *standing_said(report), *loss_said(report)),
    )


def _off_plan(ledger: Ledger, in_lines: _LineCells, side: str) -> Iterable[LinePart]:
    for block, task, line, cell in _each(in_lines):
        if getattr(cell.tally, side) and not cell.tally.unknown:
            mark: Work | None = ledger.record(block, line, task).mark
            yield LinePart(
                block=block,
                line=line,
                task=task,
                planned=cell.tally.planned,
                done=cell.tally.done,
                reason=getattr(mark, "reason", ""),
            )
