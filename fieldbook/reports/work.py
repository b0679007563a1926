"""What the work took: when, by whom, how many hours, and what that comes to a tap."""

from collections.abc import Iterable, Sequence
from datetime import date
from math import floor, fsum

from msgspec import Struct

from fieldbook.book.entry import Count, Task
from fieldbook.i18n import _
from fieldbook.reports.listing import Listing
from fieldbook.reports.summary import TaskPart
from fieldbook.reports.words import MARKS, standing_word
from fieldbook.season.ledger import Ledger


class WorkPart(Struct, frozen=True):
    """Work of one kind: a task in a block or in all, or of one person.

    Attributes:
        block: The block; empty for all.
        who: The person; empty for all.
        task: Key of the task.
        title: What the crew calls it.
        counts: What is counted.
        first: First day on which any was done; None if none was.
        last: Last day.
        days: Days on which any was done.
        done: Units done.
        hours: Person-hours on record; None where nobody wrote any down.
        timed: Units done in those hours.
        rate_per_hour: Units a person does in an hour; None without hours.
        minutes_per_tap: Person-minutes on record for each tap that is in: of the block, or of all.
            None without hours or taps, and for one person.
    """

    block: str
    who: str
    task: str
    title: str
    counts: str
    first: date | None
    last: date | None
    days: int
    done: int
    hours: float | None
    timed: int
    rate_per_hour: float | None
    minutes_per_tap: float | None


class WorkReport(Struct, frozen=True):
    """The work of a season.

    Attributes:
        tasks: Task by task.
        blocks: Block by block, and in it task by task.
        people: Person by person, and of it task by task.
        hours: Person-hours on record, of all tasks; None where nobody wrote any down.
        timed_share: Share of the counts that say how long they took; None without counts.
        taps: Taps in.
        minutes_per_tap: Person-minutes of all tasks on record, for a tap. Where some counts do not
            say how long they took, it is too low.
        minutes_per_tap_all: The same if those took as long as the others of their task; None where
            no count of a task that was worked on says.
    """

    tasks: tuple[WorkPart, ...]
    blocks: tuple[WorkPart, ...]
    people: tuple[WorkPart, ...]
    hours: float | None
    timed_share: float | None
    taps: int
    minutes_per_tap: float | None
    minutes_per_tap_all: float | None


def work_report(ledger: Ledger) -> WorkReport:
    """What the work of a season took."""
    plan = ledger.plan
    counts = list(ledger.counts())
    of_all: dict[str, list[Count]] = {}
    of_blocks: dict[tuple[str, str], list[Count]] = {}
    of_people: dict[tuple[str, str], list[Count]] = {}
    for entry in counts:
        of_all.setdefault(entry.task, []).append(entry)
        of_blocks.setdefault((entry.block, entry.task), []).append(entry)
        of_people.setdefault((entry.who, entry.task), []).append(entry)
    people = sorted({who for who, _task in of_people}, key=lambda who: (who.casefold(), who))
    tapping = plan.counting("taps")
    taps = {
        block: ledger.cell(tapping, block).tally.done if tapping else 0 for block in plan.blocks
    }
    total = sum(taps.values())
    tasks = tuple(_part(task, of_all.get(task.key, ()), taps=total) for task in plan.tasks)
    known = [entry.hours for entry in counts if entry.hours is not None]
    hours = fsum(known) if known else None
    return WorkReport(
        tasks=tasks,
        blocks=tuple(
            _part(task, of_blocks.get((block, task.key), ()), block=block, taps=taps[block])
            for block in plan.blocks
            for task in plan.tasks
        ),
        people=tuple(
            _part(task, of_people[who, task.key], who=who)
            for who in people
            for task in plan.tasks
            if (who, task.key) in of_people
        ),
        hours=hours,
        timed_share=len(known) / len(counts) if counts else None,
        taps=total,
        minutes_per_tap=_minutes(hours, total),
        minutes_per_tap_all=_minutes(_hours_of_all(tasks), total),
    )


def _part(
    task: Task, entries: Iterable[Count], *, block: str = "", who: str = "", taps: int = 0
) -> WorkPart:
    """What some counts of a task add up to; a count of 0 is work where it took hours."""
    worked = [entry for entry in entries if entry.count or entry.hours]
    days = sorted({entry.day for entry in worked})
    timed = [entry for entry in worked if entry.hours is not None]
    hours = fsum(entry.hours or 0.0 for entry in timed) if timed else None
    units = sum(entry.count for entry in timed)
    return WorkPart(
        block=block,
        who=who,
        task=task.key,
        title=task.title,
        counts=task.counts,
        first=days[0] if days else None,
        last=days[-1] if days else None,
        days=len(days),
        done=sum(entry.count for entry in worked),
        hours=hours,
        timed=units,
        rate_per_hour=units / hours if hours else None,
        minutes_per_tap=_minutes(hours, taps),
    )


def _minutes(hours: float | None, taps: int) -> float | None:
    return 60 * hours / taps if hours is not None and taps else None


def _hours_of_all(tasks: Sequence[WorkPart]) -> float | None:
    """The hours if every count had taken as long as those of its task that say; None if none do."""
    worked = [task for task in tasks if task.done]
    rates = [task.rate_per_hour for task in worked]
    if not worked or not all(rates):
        return None
    return fsum(task.done / rate for task, rate in zip(worked, rates, strict=True) if rate)


def share_words(share: float) -> str:
    """`88 %`, rounded down: 100 means all of it."""
    return f"{floor(round(100 * share, 6))} %"


def work_words(report: WorkReport) -> list[str]:
    """The hours, and what they come to a tap."""
    if report.hours is None:
        return [_("No hours were written down.")]
    said = [_("{hours} person-hours on record").format(hours=_hours(report.hours))]
    if report.minutes_per_tap is not None:
        said[0] += ", " + _minutes_words(report.minutes_per_tap)
    if report.timed_share is not None and report.timed_share < 1:
        share = share_words(report.timed_share)
        if report.minutes_per_tap_all is None:
            said.append(_("{share} of the counts say their hours").format(share=share))
        else:
            each = _minutes_words(report.minutes_per_tap_all)
            said.append(
                _("{share} of the counts say their hours; if the rest took as long: {each}").format(
                    share=share, each=each
                )
            )
    return said


def _minutes_words(minutes: float) -> str:
    return _("{minutes:.2f} minutes a tap, {hours:,.0f} hours for 10,000 taps").format(
        minutes=minutes, hours=minutes * 10_000 / 60
    )


def _hours(hours: float) -> str:
    """`592.25`, `2.0`: quarters of an hour are not rounded."""
    return f"{hours:,.2f}".removesuffix("0")


def tasks_listing(report: WorkReport) -> Listing:
    """Each task: when it was done, how much, and in how many hours."""
    return Listing(
        name="tasks",
        title=_("Tasks: when, how much, in how many hours"),
        columns=(
            *("task", "first", "last", "days", "done", "unit", "hours", "rate_per_hour"),
            "minutes_per_tap",
        ),
        heads=(
            *(_("Task"), _("First"), _("Last"), _("Days"), _("Done"), None),
            *(_("Hours"), _("An hour"), _("Min/tap")),
        ),
        rows=tuple(
            (
                *(p.title, p.first, p.last, p.days, p.done, _(p.counts)),
                *(p.hours, p.rate_per_hour, p.minutes_per_tap),
            )
            for p in report.tasks
        ),
        notes=(_("Min/tap: minutes on record for each tap that is in."),),
    )


def blocks_listing(report: WorkReport, parts: dict[tuple[str, str], TaskPart]) -> Listing:
    """Each block in each task: the plan, what was done when, and where it stands.

    Args:
        report: The work.
        parts: Each block in each task against the plan.
    """
    rows = []
    for work in report.blocks:
        part = parts[work.block, work.task]
        rows.append(
            (
                *(
                    work.block,
                    work.title,
                    part.planned,
                    work.done,
                    part.left,
                    part.short,
                    part.over,
                ),
                *(work.first, work.last, work.days, work.hours, work.rate_per_hour),
                work.minutes_per_tap,
                f"{MARKS[part.standing]} {standing_word(part.standing)}",
            )
        )
    return Listing(
        name="blocks",
        title=_("Blocks: each task against the plan, and when it was done"),
        columns=(
            *("block", "task", "planned", "done", "left", "short", "over", "first", "last"),
            *("days", "hours", "rate_per_hour", "minutes_per_tap", "standing"),
        ),
        heads=(
            *(_("Block"), _("Task"), _("Planned"), _("Done"), None, None, None),
            *(_("First"), _("Last"), None, _("Hours"), None, None, _("Standing")),
        ),
        rows=tuple(rows),
        by_block=True,
    )


def people_listing(people: Sequence[WorkPart]) -> Listing:
    """Each person in each task: how much, in how many hours."""
    return Listing(
        name="people",
        title=_("People: how much of each task, in how many hours"),
        columns=("who", "task", "first", "last", "days", "done", "unit", "hours", "rate_per_hour"),
        heads=(
            *(_("Who"), _("Task"), _("First"), _("Last"), _("Days"), _("Done"), _("Of what")),
            *(_("Hours"), _("An hour")),
        ),
        rows=tuple(
            (
                *(p.who, p.title, p.first, p.last, p.days, p.done, _(p.counts)),
                *(p.hours, p.rate_per_hour),
            )
            for p in people
        ),
        by_block=True,
    )
