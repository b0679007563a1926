"""Sheets: pages printed for the woods, each with a number, and what of them is not keyed in yet."""

from collections.abc import Iterable, Sequence
from datetime import datetime

from fieldbook.book.entry import AnyEntry, Settle, Sheet, Task, clean
from fieldbook.book.lines import fold_key
from fieldbook.errors import BookError, Doubtful
from fieldbook.i18n import _
from fieldbook.season.dates import short_day
from fieldbook.season.ledger import OPEN, Ledger
from fieldbook.season.season import Season
from fieldbook.season.woods import settled

NAMED = 4
"""Sheets, or lines of a sheet, that a message names."""


def next_number(entries: Iterable[AnyEntry]) -> int:
    """The number of the next sheet: one more than the highest of the season.

    Args:
        entries: All of the season, struck ones too: a struck sheet may still be in a pocket.
    """
    return 1 + max((entry.sheet for entry in entries if isinstance(entry, Sheet)), default=0)


def draft(
    season: Season,
    *,
    block: str,
    task: str,
    lines: Sequence[str] = (),
    who: str = "",
    open_only: bool = False,
    order: Sequence[str] = (),
    by: str,
    now: datetime,
) -> Sheet:
    """A sheet to be recorded, with its number and its lines in walking order.

    Args:
        season: The season.
        block: The block, as people name it.
        task: The task, as people name it.
        lines: Names or numbers of lines; without any, all of the block.
        who: Who takes it along, as people name them; empty if that is not known.
        open_only: Leave out lines to which nobody has to go in the task.
        order: Names of lines that come first, in this order.
        by: Who prints it.
        now: The time.

    Raises:
        BookError: A name is not in the plan, or no line would be on the sheet.
    """
    plan = season.plan
    place, job = plan.find_block(block), plan.find_task(task)
    asked = {plan.find_line(place, text).line for text in lines}
    walked = plan.walk[place]
    chosen = [line for line in walked if not asked or line.line in asked]
    if open_only:
        chosen = [line for line in chosen if season.ledger.line_cell(line, job).standing in OPEN]
    if not chosen:
        raise _empty(place, job, lines=bool(walked))
    rank = {name: number for number, name in enumerate(order)}
    chosen.sort(key=lambda line: rank.get(line.line, len(rank)))
    return Sheet(
        sheet=next_number(season.book.entries),
        block=place,
        task=job.key,
        lines=tuple(line.line for line in chosen),
        who=who,
        at=now,
        noted=now,
        by=by,
    )


def _empty(block: str, task: Task, *, lines: bool) -> BookError:
    """What is said where a sheet would have no line."""
    if not lines:
        return BookError(
            _("{block} has no lines yet.").format(block=block),
            _("Import them first: fieldbook blank lines prints a table to fill in."),
        )
    return BookError(
        _("None of these lines of {block} is open in {task}.").format(block=block, task=task.key),
        _("Without --open they are printed all the same."),
    )


def find_sheet(ledger: Ledger, text: str) -> Sheet:
    """The sheet somebody means: by the number in its corner, or by the id of its entry.

    Raises:
        BookError: There is no such sheet, or more than one has this number.
    """
    wish = clean(text, one_line=True).casefold().removeprefix("sheet ").removeprefix("#")
    sheets = ledger.of(Sheet)
    found = [sheet for sheet in sheets if wish in (str(sheet.sheet), sheet.id)]
    if len(found) == 1:
        return found[0]
    if found:
        raise BookError(
            _("More than one sheet has the number {n}: {sheets}.").format(
                n=wish, sheets="; ".join(map(_told, found))
            ),
            _("Give the id that stands under the number: {id}.").format(id=found[0].id),
        )
    raise BookError(
        _("There is no sheet {n} in season {year}.").format(n=repr(wish), year=ledger.plan.year),
        _("The newest are: {sheets}.").format(
            sheets="; ".join(f"{sheet.sheet} = {_told(sheet)}" for sheet in sheets[-NAMED:])
        )
        if sheets
        else _("None was printed yet."),
    )


def _told(sheet: Sheet) -> str:
    """`k7f2q-12, Brook Bend, tapping, Tue 9 Feb, Rae`: what tells one sheet from another."""
    parts = (sheet.id, sheet.block, sheet.task, short_day(sheet.day), sheet.who)
    return ", ".join(part for part in parts if part)


def settle_of(ledger: Ledger, sheet: Sheet) -> Settle | None:
    """The entry that says a sheet was keyed in, if there is one."""
    return settled(ledger).get(sheet.id)


def keyed_since(ledger: Ledger, sheet: Sheet, line: str) -> bool:
    """Whether anything is recorded of a line in a sheet's task since it was printed."""
    printed = (sheet.day, fold_key(sheet))  # what was keyed in that morning is not off the paper
    entries = ledger.record(sheet.block, line, sheet.task).entries
    return any((entry.day, fold_key(entry)) > printed for entry in entries)


def unkeyed_lines(ledger: Ledger, sheet: Sheet) -> list[str]:
    """Lines of a sheet of which nothing is recorded in its task since it was printed.

    Lines that wanted nobody then are left out: done, set aside or with nothing due, they stand as
    they stood.
    """
    task = ledger.plan.task(sheet.task)
    missing = []
    for name in sheet.lines:
        if keyed_since(ledger, sheet, name):
            continue
        line = ledger.plan.line(sheet.block, name)
        if line is None or task is None or ledger.line_cell(line, task).standing in OPEN:
            missing.append(name)
    return missing


def keyed(
    ledger: Ledger, sheet: Sheet, *, who: str, by: str, now: datetime, really: bool = False
) -> Settle:
    """The entry that closes a sheet, to be recorded: all of it is in the book.

    Args:
        ledger: The season.
        sheet: The sheet.
        who: Who keyed it in.
        by: Who writes this.
        now: The time.
        really: Lines of which nothing is recorded have nothing to record.

    Raises:
        BookError: It was closed already.
        Doubtful: Of some of its lines nothing is recorded.
    """
    before = settle_of(ledger, sheet)
    if before is not None:
        raise BookError(
            _("Sheet {n} was keyed in already: {who}, {day} ({id}).").format(
                n=sheet.sheet, who=before.who, day=short_day(before.day), id=before.id
            ),
            _("If it was not, strike {id} with a reason.").format(id=before.id),
        )
    missing = [] if really else unkeyed_lines(ledger, sheet)
    if missing:
        names = ", ".join(missing[:NAMED]) + (", ..." if len(missing) > NAMED else "")
        raise Doubtful(
            _("Nothing is keyed on {lines} since sheet {n} was printed.").format(
                lines=names, n=sheet.sheet
            ),
            _("Key them in first. If nothing was done there, say so with --really."),
        )
    return Settle(entry=sheet.id, who=who, at=now, noted=now, by=by)
