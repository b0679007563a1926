"""A table of a report, ready for any renderer: heads, rows of values, and notes under it."""

from collections.abc import Iterator
from datetime import date

from msgspec import Struct

from fieldbook.season.dates import brief_day


class Money(float):
    """An amount of money: its cents are always shown."""


class Listing(Struct, frozen=True):
    """Rows under heads.

    Attributes:
        name: Short name of the table, by which it is asked for.
        title: What stands above it.
        columns: Names of the columns in files that are passed on.
        heads: Heads of the columns for people to read; None where only a file has the column.
        rows: Values: text, numbers, dates, or None for what is not known.
        notes: Lines under the table, the gravest first; `!` in front wants a look.
        by_block: The first column is the block, the second the line: a block is named once, above
            its lines, and a row without a line sums the block up.
    """

    name: str
    title: str
    columns: tuple[str, ...]
    heads: tuple[str | None, ...]
    rows: tuple[tuple[object, ...], ...]
    notes: tuple[str, ...] = ()
    by_block: bool = False


class Shown(Struct, frozen=True):
    """A listing as people read it: text in columns.

    Attributes:
        heads: Heads of the columns.
        rows: Cells as text.
        right: Numbers of the columns to set flush right: those that hold numbers only.
    """

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: frozenset[int]


def shown(listing: Listing) -> Shown:
    """A listing put into text: blocks above their lines, columns for files only left out."""
    kept = [i for i, head in enumerate(listing.heads) if head is not None]
    heads = [listing.heads[i] or "" for i in kept]
    rows = [[said(row[i]) for i in kept] for row in listing.rows]
    right = {
        at
        for at, i in enumerate(kept)
        if listing.rows and all(isinstance(row[i], int | float | None) for row in listing.rows)
    }
    if listing.by_block:
        heads, right = heads[1:], {at - 1 for at in right}
        rows = list(_under_blocks(rows, len(heads)))
    return Shown(tuple(heads), tuple(tuple(row) for row in rows), frozenset(right))


def _under_blocks(rows: list[list[str]], width: int) -> Iterator[list[str]]:
    """Rows of lines, indented under their block; a row without a line is the block's own."""
    summed_up = {block for block, line, *_cells in rows if not line}
    before = None
    for block, line, *cells in rows:
        if block not in (before, *summed_up):
            yield [block, *[""] * (width - 1)]
        yield ["  " + line if line else block, *cells]
        before = block


def said(value: object) -> str:
    """A value as it is read: `1,820`, `2.5`, `9 Feb`; a dash for what is not known."""
    match value:
        case None:
            return "-"
        case int():
            return f"{value:,}"
        case Money():
            return f"{value:z,.2f}"
        case float():
            return f"{value:z,.2f}".rstrip("0").rstrip(".")  # z: never -0
        case date():
            return brief_day(value)
        case _:
            return str(value)
