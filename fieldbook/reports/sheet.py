"""A sheet as data: everything that stands on a page for the woods, as things are on its day."""

import re
import unicodedata
from collections.abc import Iterator
from datetime import date, datetime
from typing import TYPE_CHECKING, Any

from msgspec import Struct

from fieldbook.book.entry import Line, Repair, Sheet, Task, Valve
from fieldbook.i18n import N_, _
from fieldbook.reports.round import RoundLine, bag_words, flags_of, round_lines
from fieldbook.reports.trees import line_trees
from fieldbook.reports.words import (
    MARKS,
    count_words,
    one_line,
    place,
    signed,
    signed_note,
    size,
    standing_word,
)
from fieldbook.season.balance import drops_in_place
from fieldbook.season.dates import short_day
from fieldbook.season.season import Season
from fieldbook.season.woods import hazards, leaks, people_out, settled, valves_shut

if TYPE_CHECKING:
    from fieldbook.season.vacuum import Gauges

FIRST = N_("Local codes, product labels and trained practice come first.")
"""The caution on every sheet."""

REMINDER = N_(
    "This sheet is a reminder, not a rescue system: tell somebody where you are and when you will "
    "be back."
)

PAPER_OF = {"us": "letter", "metric": "a4"}
"""The paper that lies in the printer, as far as the units tell."""

SLUG_LENGTH = 40
"""Characters of a block's name that go into the name of a file."""


class SheetLine(Struct, frozen=True):
    """A line as it stands on a sheet.

    Attributes:
        order: Its number in the block, as the round has it; 0 if it has none.
        name: Its name.
        mark: Where it is in the task, as a mark.
        word: The same in a word.
        remark: Who was there last and when, or why it stands as it does.
        counts: Done of planned and left, in words.
        planned: Units planned; None if that is not known.
        done: Units done.
        left: Units still to do.
        last_season: Units done the season before; None if it is not known.
        drops: Drops in place; None if nobody knows how many, or the crew hangs none.
        size: Layout, width, length and slope.
        ticked: For each step of the task, whether it is ticked already.
        valve: That its valve is shut, by whom and why; empty while it is open.
        leaks: Leaks that nobody has mended, and repairs that were promised.
        hazards: What can hurt somebody there, the newest first.
        notes: The newest note about it, what the plan says of it, and what wants a look.
        vacuum: What its gauges read last, where the sheet is for reading them.
        gauges: The gauges it has, a box each, where the sheet is for reading them.
    """

    order: int
    name: str
    mark: str = "   "
    word: str = ""
    remark: str = ""
    counts: str = ""
    planned: int | None = None
    done: int = 0
    left: int = 0
    last_season: int | None = None
    drops: int | None = None
    size: str = ""
    ticked: tuple[bool, ...] = ()
    valve: str = ""
    leaks: tuple[str, ...] = ()
    hazards: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    vacuum: str = ""
    gauges: tuple[str, ...] = ()


class SheetPage(Struct, frozen=True):
    """A sheet.

    Attributes:
        book: Name of the sugarbush.
        invented: It is the demo's.
        season: The year.
        number: Its number, large in the corner.
        entry: Id of its entry.
        printed: When it was recorded.
        as_of: The day on which things stand as it says.
        block: Name of the block.
        key: Key of the task.
        task: Title of the task.
        unit: What is counted.
        who: Who takes it along; empty if that was not said.
        lines: Its lines, in walking order.
        steps: Steps to tick on each line.
        cautions: What to mind in the task, the general one last.
        hazards: What can hurt somebody in the block but on its lines, the newest first.
        out: Who is in the woods, where, and due when.
        notes: Words about the block as a whole.
        bag: The spouts of whoever takes it along, in words; empty if none were issued.
    """

    book: str
    invented: bool
    season: int
    number: int
    entry: str
    printed: datetime
    as_of: date
    block: str
    key: str
    task: str
    unit: str
    who: str
    lines: tuple[SheetLine, ...]
    steps: tuple[str, ...]
    cautions: tuple[str, ...]
    hazards: tuple[str, ...]
    out: tuple[str, ...]
    notes: tuple[str, ...]
    bag: str


def sheet_page(season: Season, sheet: Sheet, as_of: date, *, units: str) -> SheetPage:
    """A recorded sheet as it would be printed now.

    Args:
        season: The season.
        sheet: The sheet.
        as_of: The day of the season's state.
        units: `us` or `metric`: sizes as the reader likes them.

    Raises:
        BookError: The crew's checklist no longer has its task.
    """
    task = season.plan.find_task(sheet.task)
    return SheetPage(
        book=season.book.name,
        invented=season.book.today is not None,
        season=season.year,
        number=sheet.sheet,
        entry=sheet.id,
        printed=sheet.at,
        as_of=as_of,
        block=sheet.block,
        key=task.key,
        task=_(task.title),
        unit=_(task.counts),
        who=sheet.who,
        lines=tuple(_lines(season, sheet, task, units)),
        steps=tuple(_(step) for step in task.steps),
        cautions=(*(one_line(_(caution)) for caution in task.cautions), _(FIRST)),
        hazards=tuple(_block_hazards(season, sheet)),
        out=tuple(_out(season)),
        notes=tuple(_block_notes(season, sheet.block)),
        bag=bag_words(season.ledger, sheet.who),
    )


def _block_hazards(season: Season, sheet: Sheet) -> Iterator[str]:
    """Hazards of the block, and those on lines that are not on the sheet: the way leads past."""
    for note in reversed(hazards(season.ledger)):
        if note.block in ("", sheet.block) and note.line not in sheet.lines:
            yield (f"{note.line}: " if note.line else "") + signed_note(note)


def _lines(season: Season, sheet: Sheet, task: Task, units: str) -> Iterator[SheetLine]:
    """Its lines in its order as the round has them now, last those that the plan has no more."""
    shut, gauges = valves_shut(season.ledger), None
    if task.counts == "readings":
        from fieldbook.season.vacuum import Gauges

        gauges = Gauges(season.ledger)
    known = {shown.line.line: shown for shown in round_lines(season, sheet.block, task)}
    for name in sheet.lines:
        if name in known:
            words = shut.get((sheet.block, name), [])
            yield _sheet_line(season, known[name], task, units, words, gauges)
    for name in sheet.lines:
        if name not in known:
            yield SheetLine(order=0, name=name, remark=_("the plan has this line no more"))


def _gauges(gauges: "Gauges", line: Line, units: str) -> dict[str, Any]:
    """What the gauges of a line read last and point at, and a box for each of them."""
    from fieldbook.reports.vacuum import last_words, signs_said
    from fieldbook.season.vacuum import Sign

    state = gauges.line(line)
    told = zip(state.signs, signs_said(state, units), strict=True)
    signs = [said for sign, said in told if sign not in (Sign.SHUT, Sign.LOW)]
    read = last_words(state, units)
    boxes = (_("wet"), _("dry")) if line.layout == "pair" else (_("head"), _("far end"))
    return {"vacuum": "; ".join([read, *signs] if read else signs), "gauges": boxes}


def _sheet_line(
    season: Season,
    shown: RoundLine,
    task: Task,
    units: str,
    shut: list[Valve],
    gauges: "Gauges | None",
) -> SheetLine:
    line, cell, ledger = shown.line, shown.cell, season.ledger
    ticked = ledger.record(line.block, line.line, task.key).ticked
    hung = season.plan.counting("drops") is not None
    return SheetLine(
        order=line.order,
        name=line.line,
        mark=MARKS[cell.standing],
        word=standing_word(cell.standing),
        remark=shown.remark,
        counts=count_words(cell.tally, task),
        planned=None if cell.tally.unknown else cell.tally.planned,
        done=cell.tally.done,
        left=cell.tally.left,
        last_season=season.last_count(line, task),
        drops=drops_in_place(ledger, line) if hung else None,
        size=size(line, units),
        ticked=tuple(bool(ticked.get(step)) for step in task.steps),
        valve=_valve(shut),
        leaks=tuple(_leaks(season, line)),
        hazards=tuple(_line_hazards(season, line)),
        notes=tuple(_notes(season, line)),
        **({} if gauges is None else _gauges(gauges, line, units)),
    )


def _line_hazards(season: Season, line: Line) -> Iterator[str]:
    for note in reversed(hazards(season.ledger)):
        if (note.block, note.line) == (line.block, line.line):
            yield signed_note(note)


def _leaks(season: Season, line: Line) -> Iterator[str]:
    for leak in leaks(season.ledger):
        if (leak.block, leak.line) == (line.block, line.line):
            yield signed(_("leak: {text}").format(text=leak.text), leak.who, leak.day)
    seen_to = settled(season.ledger)
    for repair in season.ledger.of(Repair):
        if (repair.block, repair.line) == (line.block, line.line) and repair.id not in seen_to:
            yield signed(_("promised: {text}").format(text=repair.text), repair.who, repair.day)


def _notes(season: Season, line: Line) -> Iterator[str]:
    yield from flags_of(season.plan, line, line_trees(season.plan, line))
    about = [n for n in season.ledger.notes if (n.block, n.line) == (line.block, line.line)]
    yield from [signed_note(note) for note in reversed(about) if not note.hazard][:1]
    if line.note:
        yield one_line(line.note)


def _block_notes(season: Season, block: str) -> Iterator[str]:
    """The newest note about the block as a whole, and what the plan says of it."""
    about = [n for n in season.ledger.notes if n.block == block and not n.line and not n.hazard]
    yield from (signed_note(note) for note in about[-1:])
    known = season.plan.block(block)
    if known is not None and known.note:
        yield one_line(known.note)


def _valve(words: list[Valve]) -> str:
    """`valve shut: freeze (Tor, Mon 8 Feb)`, with the last reason that was given."""
    if not words:
        return ""
    why = next((valve.reason for valve in reversed(words) if valve.reason), "")
    said = _("valve shut: {why}").format(why=why) if why else _("valve shut")
    return signed(said, words[-1].who, words[0].day)


def _out(season: Season) -> Iterator[str]:
    """`Rae, Brook Bend, due back Tue 9 Feb 16:30`, the first due first."""
    last = [words[-1] for words in people_out(season.ledger).values()]
    for out in sorted(last, key=lambda out: (out.due.replace(tzinfo=None), out.who.casefold())):
        due = f"{short_day(out.due.date())} {out.due:%H:%M}"
        parts = (out.who, place(out.block, out.line), _("due back {time}").format(time=due))
        yield ", ".join(part for part in parts if part)


# --- words that every form of a sheet has ---


def headed(page: SheetPage) -> str:
    """`Harrow Hill, season 2027  (invented)`."""
    said = _("{book}, season {year}").format(book=page.book, year=page.season)
    return said + ("  " + _("(invented)") if page.invented else "")


def dated(page: SheetPage) -> str:
    """When it was printed, and of which day it tells where that is another."""
    day = page.printed.date()
    said = _("printed {day} {year}").format(day=short_day(day), year=day.year)
    if page.as_of == day:
        return said
    again = _("as of {day} {year}").format(day=short_day(page.as_of), year=page.as_of.year)
    return f"{said}, {again}"


def told(line: SheetLine) -> list[str]:
    """What the sheet says of a line, in short lines of text."""
    facts = []
    if line.last_season is not None:
        facts.append(_("last season {n:,}").format(n=line.last_season))
    if line.drops is not None:
        facts.append(_("drops in place {n:,}").format(n=line.drops))
    return [part for part in (line.counts, ", ".join(facts), line.size) if part]


def minded(line: SheetLine) -> list[str]:
    """What to mind on a line: hazards, a shut valve, leaks, and what the plan says of it."""
    grave = (*line.hazards, line.valve, *line.leaks)
    said = [f"! {words}" for words in grave if words]
    said += [line.vacuum] if line.vacuum else []
    return [*said, *(f"- {note}" for note in line.notes)]


def ticks_of(line: SheetLine, page: SheetPage) -> tuple[bool, ...]:
    """For each step of the sheet, whether it is ticked already; none is where nobody knows."""
    return line.ticked or (False,) * len(page.steps)


def letters(number: int) -> str:
    """The letters a step goes by: a, b, ... z, aa, ab, ..."""
    said = ""
    number += 1
    while number:
        number, at = divmod(number - 1, 26)
        said = chr(ord("a") + at) + said
    return said


def file_name(page: SheetPage, again: int = 1) -> str:
    """The name of a sheet's file: `sheet-31-brook-bend-tapping.pdf`.

    Of what people typed only ASCII letters and digits are left, so it cannot be a path.

    Args:
        page: The sheet.
        again: Which try it is: another file may have the name.
    """
    parts = ["sheet", str(page.number), _slug(page.block), _slug(page.key)]
    parts += [str(again)] if again > 1 else []
    return "-".join(part for part in parts if part) + ".pdf"


def _slug(text: str) -> str:
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    return re.sub("[^a-z0-9]+", "-", plain)[:SLUG_LENGTH].strip("-")
