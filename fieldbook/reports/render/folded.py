"""Tables that are too wide for plain text: cells with words are folded, numbers never."""

from collections.abc import Sequence
from textwrap import wrap

from msgspec.structs import replace

from fieldbook.reports.listing import Listing, shown

BETWEEN = 2
"""Blanks between columns."""

LEAST = 12
"""Characters under which no column is folded."""


def fold(listing: Listing, width: int) -> Listing:
    """A table no wider than it may be, as far as that goes; one that fits is left as it is.

    Args:
        listing: The table.
        width: Characters a row may take.
    """
    table = shown(listing)
    cells = [table.heads, *table.rows]
    wide = [max(len(row[at]) for row in cells) for at in range(len(table.heads))]
    room = width - BETWEEN * (len(wide) - 1)
    if sum(wide) <= room:
        return listing
    least = [
        most if at in table.right else min(most, max(LEAST, len(head)))
        for at, (head, most) in enumerate(zip(table.heads, wide, strict=True))
    ]
    widths = _dealt(wide, least, room)
    rows = [line for row in table.rows for line in _lines(row, widths, table.right)]
    heads = [
        head.rjust(most) if at in table.right else head
        for at, (head, most) in enumerate(zip(table.heads, widths, strict=True))
    ]
    return replace(
        listing,
        columns=tuple(heads),
        heads=tuple(heads),
        rows=tuple(rows),
        by_block=False,  # its lines stand under their block already
    )


def _dealt(wide: Sequence[int], least: Sequence[int], room: int) -> list[int]:
    """Widths of the columns: the widest give way first, as far as they can."""
    widths = list(wide)
    while sum(widths) > room:
        give = [at for at in range(len(widths)) if widths[at] > least[at]]
        if not give:
            break
        widths[max(give, key=lambda at: widths[at])] -= 1
    return widths


def _lines(
    row: Sequence[str], widths: Sequence[int], right: frozenset[int]
) -> list[tuple[str, ...]]:
    """A row as the lines it takes, the cells of each as text."""
    folded = []
    for at, (cell, width) in enumerate(zip(row, widths, strict=True)):
        indent = cell[: len(cell) - len(cell.lstrip())]
        lines = wrap(cell.strip(), width, initial_indent=indent, subsequent_indent=indent) or [""]
        folded.append([line.rjust(width) if at in right else line for line in lines])
    high = max(map(len, folded))
    return list(zip(*(lines + [""] * (high - len(lines)) for lines in folded), strict=True))
