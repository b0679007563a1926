"""What the work took: when, by whom, how many hours, and what that comes to a tap."""

from collections.abc import Iterable, Sequence
from datetime import date
from math import fsum

from msgspec import Struct

from fieldbook.book.entry import Count
from fieldbook.i18n import _
from fieldbook.reports.listing import Listing
from fieldbook.reports.words import MARKS, standing_word
from fieldbook.season.ledger import Ledger, Standing


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


class WorkReport(Struct, frozen=True):
    """The work of a season.

    Attributes:
        tasks: Task by task.
        blocks: Block by block, and in it task by task.
        people: Person by person, and of it task by task.
        hours: Person-hours on record, of all tasks; None where nobody wrote any down.
        timed_share: Share of the counts that say how long they took; None without counts.
        taps: Taps in.
        minutes_per_tap: Person-minutes of all tasks on record, for a tap.
    """

    tasks: tuple[WorkPart, ...]
    blocks: tuple[WorkPart, ...]
    people: tuple[WorkPart, ...]
    hours: float | None
    timed_share: float | None
    taps: int
    minutes_per_tap: float | None


def work_report(ledger: Ledger) -> WorkReport:
    """What the work of a season took."""
    plan = ledger.plan
    counts = [entry for entry in ledger.counts() if entry.count]
    people = sorted({entry.who for entry in counts}, key=lambda who: (who.casefold(), who))
    parts = {task.key: task for task in plan.tasks}

    def part(key: str, of: Iterable[Count], block: str = "", who: str = "") -> WorkPart:
        entries = [entry for entry in of if entry.task == key]
        days = sorted({entry.day for entry in entries})
        timed = [entry for entry in entries if entry.hours]
        hours = fsum(entry.hours or 0.0 for entry in timed) if timed else None
        units = sum(entry.count for entry in timed)
        return WorkPart(
            block=block,
            who=who,
            task=key,
            title=parts[key].title,
            counts=parts[key].counts,
            first=days[0] if days else None,
            last=days[-1] if days else None,
            days=len(days),
            done=sum(entry.count for entry in entries),
            hours=hours,
            timed=units,
            rate_per_hour=units / hours if hours else None,
        )

    by_person = {who: [entry for entry in counts if entry.who == who] for who in people}
    by_block = {block: [e for e in counts if e.block == block] for block in plan.blocks}
    hours = [entry.hours for entry in counts if entry.hours]
    tapping = plan.counting("taps")
    taps = ledger.cell(tapping).tally.done if tapping else 0
    of_people = [part(key, entries, who=who) for who, entries in by_person.items() for key in parts]
    return WorkReport(
        tasks=tuple(part(key, counts) for key in parts),
        blocks=tuple(part(key, by_block[block], block) for block in by_block for key in parts),
        people=tuple(one for one in of_people if one.done),
        hours=fsum(hours) if hours else None,
        timed_share=len(hours) / len(counts) if counts else None,
        taps=taps,
        minutes_per_tap=60 * fsum(hours) / taps if hours and taps else None,
    )


def work_words(report: WorkReport) -> list[str]:
    """The hours, and what they come to a tap."""
    if report.hours is None:
        return [_("No hours were written down.")]
    said = [_("{hours:,.1f} person-hours on record").format(hours=report.hours)]
    if report.minutes_per_tap is not None:
        each = _("{minutes:.2f} minutes a tap, {hours:,.0f} hours for 10,000 taps").format(
            minutes=report.minutes_per_tap, hours=report.minutes_per_tap * 10_000 / 60
        )
        said[0] += f", {each}"
    if report.timed_share is not None and report.timed_share < 1:
        said.append(
            _("{share:.0%} of the counts say how long they took; the rest is in no rate").format(
                share=report.timed_share
            )
        )
    return said


def tasks_listing(report: WorkReport) -> Listing:
    """Each task: when it was done, how much, and in how many hours."""
    return Listing(
        name="tasks",
        title=_("Tasks: when, how much, in how many hours"),
        columns=("task", "first", "last", "days", "done", "unit", "hours", "rate_per_hour"),
        heads=(
            *(_("Task"), _("First"), _("Last"), _("Days"), _("Done"), _("Of what")),
            *(_("Hours"), _("An hour")),
        ),
        rows=tuple(
            (p.title, p.first, p.last, p.days, p.done, _(p.counts), p.hours, p.rate_per_hour)
            for p in report.tasks
        ),
    )


def blocks_listing(report: WorkReport, standings: dict[tuple[str, str], Standing]) -> Listing:
    """Each block in each task: when, how much, and where it stands."""
    rows = []
    for part in report.blocks:
        standing = standings[part.block, part.task]
        rows.append(
            (
                *(part.block, part.title, part.first, part.last, part.done, part.hours),
                f"{MARKS[standing]} {standing_word(standing)}",
            )
        )
    return Listing(
        name="blocks",
        title=_("Blocks: when each task was done"),
        columns=("block", "task", "first", "last", "done", "hours", "standing"),
        heads=(
            *(_("Block"), _("Task"), _("First"), _("Last"), _("Done"), _("Hours")),
            _("Standing"),
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
