"""A hand-off on a terminal, with Rich: the lines of the page, with what is grave made bright."""

from rich.console import Group, RenderableType
from rich.text import Text

from fieldbook.reports.handoff import (
    HandOffPage,
    foot,
    item_lines,
    items_head,
    page_title,
    parts,
)
from fieldbook.reports.open_items import MARKS
from fieldbook.season.items import Level

GRAVE = MARKS[Level.SAFETY]


def page_terminal(page: HandOffPage) -> RenderableType:
    """The page for a terminal: the same words as on paper."""
    rows: list[RenderableType] = [Text(page_title(page), style="bold"), Text(page.title)]
    for title, lines in parts(page):
        rows += [Text(), Text(title, style="bold")]
        rows += [Text(row, style="bold" if row.strip().startswith(GRAVE) else "") for row in lines]
    rows += [Text(), Text(items_head(page), style="bold")]
    for item in page.items:
        first, *more = item_lines(item)
        rows.append(Text(first, style="bold red" if item.mark == GRAVE else ""))
        rows += [Text(row) for row in more]
    return Group(*rows, *(Text(row) for row in foot(page)))
