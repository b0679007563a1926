"""Reports for a terminal, with Rich. Words people typed are `Text`: they are never markup."""

from collections.abc import Sequence

from rich import box
from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from fieldbook.i18n import _
from fieldbook.reports import open_items
from fieldbook.reports.handoff import (
    HandOffPage,
    foot,
    item_lines,
    items_head,
    page_title,
    parts,
)
from fieldbook.reports.listing import Listing, shown
from fieldbook.reports.log import LogLine
from fieldbook.reports.render.text import columns, struck_words
from fieldbook.reports.summary import BlockPart, PersonPart, Summary, TaskPart
from fieldbook.reports.summary_words import (
    attention,
    headline,
    number,
    people_words,
    percent,
    title,
    wanted_words,
)
from fieldbook.reports.words import MARKS, bar, standing_word
from fieldbook.season.dates import short_day
from fieldbook.season.items import Level
from fieldbook.season.ledger import Standing

STYLES = {
    Standing.NOT_BEGUN: "",
    Standing.UNDER_WAY: "bold",
    Standing.DONE: "green",
    Standing.ASIDE: "magenta",
    Standing.NOTHING_DUE: "",
}


def summary_terminal(summary: Summary) -> RenderableType:
    """The summary as Rich renderables, at home in 80 columns and wider."""
    parts: list[RenderableType] = [Text(title(summary), style="bold")]
    parts += [Text(line) for line in headline(summary)]
    parts += [Text(), _task_table(summary.tasks), Text(), _block_table(summary.blocks)]
    parts += [Text(), _people(summary)]
    parts += [Text(), attention_terminal(summary)]
    return Group(*parts)


def attention_terminal(summary: Summary) -> RenderableType:
    """What wants looking at; nothing where all is well."""
    parts: list[RenderableType] = []
    for part in attention(summary):
        parts.append(Text(part.title, style="bold"))
        parts += [Padding(Text(line), (0, 0, 0, 2)) for line in part.lines]
    return Group(*parts)


def _table(*heads: str) -> Table:
    table = Table(box=box.SIMPLE_HEAD, show_edge=False, pad_edge=False, padding=(0, 1, 0, 0))
    for head in heads:
        if head.startswith(">"):
            table.add_column(Text(head[1:]), justify="right", no_wrap=True)
        else:
            table.add_column(Text(head))
    return table


def _task_table(tasks: Sequence[TaskPart]) -> Table:
    table = _table(_("Task"), "> ", ">" + _("Done"), ">" + _("Planned"), ">" + _("Left"), " ")
    for part in tasks:
        table.add_row(
            Text(part.title),
            Text(f"{bar(part.done, part.planned, 8)} {percent(part.percent):>5}"),
            Text(number(part.done)),
            Text(number(part.planned)),
            Text(number(part.left)),
            Text(wanted_words(part, brief=True)),
        )
    return table


def _block_table(blocks: Sequence[BlockPart]) -> Table:
    titles = [part.task for part in blocks[0].tasks] if blocks else []
    table = _table(_("Block"), *titles)
    for block in blocks:
        table.add_row(Text(block.block), *(_cell(part) for part in block.tasks))
    return table


def _cell(part: TaskPart) -> Text:
    """Mark, count and word of a block in a task; what is under way shows how far it has come."""
    if part.standing is Standing.NOTHING_DUE:
        return Text(standing_word(part.standing), style=STYLES[part.standing])
    if part.standing is Standing.ASIDE:
        said = standing_word(part.standing)
    elif part.standing is Standing.NOT_BEGUN:
        said = number(part.planned) if part.planned else ""
    else:
        said = number(part.done)
        if part.standing is Standing.UNDER_WAY and part.planned:
            said += f"/{number(part.planned)}"
    return Text(f"{MARKS[part.standing]} {said}".rstrip(), style=STYLES[part.standing])


def _people(summary: Summary) -> Table:
    table = _table(_("Today"), _("This week"))

    def cell(people: Sequence[PersonPart]) -> Text:
        return Text("\n".join(people_words(people)) or _("nothing recorded"))

    table.add_row(cell(summary.today), cell(summary.week))
    return table


def log_terminal(lines: Sequence[LogLine]) -> RenderableType:
    """The logbook in columns; what is struck is crossed out and says so."""
    table = _table(_("Id"), _("When"), _("Who"), _("Where"), _("What"))
    for line in lines:
        style = "strike" if line.struck else ""
        table.add_row(
            Text(line.id),
            Text(f"{short_day(line.at.date())} {line.at:%H:%M}"),
            Text(line.who or line.by),
            Text(line.place, style=style),
            Text(struck_words(line), style=style),
        )
    return table


def listings_terminal(
    title: str, listings: Sequence[Listing], *, first: Sequence[str] = ()
) -> RenderableType:
    """A title, lines to begin with such as a curve, and listings one under the other."""
    parts: list[RenderableType] = [Text(title, style="bold")]
    parts += [Text(), *(Text(line, no_wrap=True) for line in first)] if first else []
    for listing in listings:
        parts += [Text(), listing_terminal(listing)]
    return Group(*parts)


def listing_terminal(listing: Listing) -> RenderableType:
    """A listing as Rich draws it: no wider than its cells, notes as wide as the terminal."""
    table = shown(listing)
    lines = columns(table.heads, table.rows, right=table.right)
    head, *rows = [Text(line, no_wrap=True, overflow="ellipsis") for line in lines]
    head.stylize("bold")
    notes = [Text(note, style="bold red" if note.startswith("!") else "") for note in listing.notes]
    return Group(Text(listing.title, style="bold underline"), head, *rows, *notes)


def page_terminal(page: HandOffPage) -> RenderableType:
    """The page of a hand-off: the same words as on paper, with what is grave made bright."""
    grave = open_items.MARKS[Level.SAFETY]
    rows: list[RenderableType] = [Text(page_title(page), style="bold"), Text(page.title)]
    for part, lines in parts(page):
        rows += [Text(), Text(part, style="bold")]
        rows += [Text(row, style="bold" if row.strip().startswith(grave) else "") for row in lines]
    rows += [Text(), Text(items_head(page), style="bold")]
    for item in page.items:
        first, *more = item_lines(item)
        rows += [Text(first, style="bold red" if item.mark == grave else ""), *map(Text, more)]
    return Group(*rows, *map(Text, foot(page)))
