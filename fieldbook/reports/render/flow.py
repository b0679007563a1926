"""Parts of a report one under the other, put on pages: none torn, no head left behind."""

from collections.abc import Callable, Sequence

from msgspec import Struct


class Head(Struct, frozen=True):
    """What stands over the first row of a table on each page.

    Attributes:
        height: In millimetres.
        draw: Draws it, given where its top is.
    """

    height: float
    draw: Callable[[float], None]


class Part(Struct, frozen=True):
    """Something that stays together on a page.

    Attributes:
        height: In millimetres.
        draw: Draws it, given where its top is.
        heads: It stands over the part after it, and on no page without it.
        table: Number of the table it is a row of; None if it is no row.
        over: What stands over it where it is the first row of its table on a page.
        space: White before it, left out at the top of a page.
    """

    height: float
    draw: Callable[[float], None]
    heads: bool = False
    table: int | None = None
    over: tuple[Head, ...] = ()
    space: float = 0.0


class Placed(Struct, frozen=True):
    """Something to draw, and how far under the top of its page it is."""

    top: float
    what: Head | Part


def flow(parts: Sequence[Part], room: float) -> list[list[Placed]]:
    """Parts put on pages in their order.

    Args:
        parts: The parts.
        room: Height of a page, in millimetres.
    """
    pages: list[list[Placed]] = [[]]
    top, table = 0.0, None
    for at, part in enumerate(parts):
        if pages[-1] and top + _needed(parts, at, table) > room:
            pages.append([])
            top, table = 0.0, None
        top += part.space if pages[-1] else 0.0
        if part.table is not None and part.table != table:
            for head in part.over:
                pages[-1].append(Placed(top, head))
                top += head.height
        pages[-1].append(Placed(top, part))
        top, table = top + part.height, part.table
    return pages


def _needed(parts: Sequence[Part], at: int, table: int | None) -> float:
    """Height of a part with all that may not be parted from it."""
    height = 0.0
    for part in parts[at:]:
        height += part.space + part.height
        if part.table is not None and part.table != table:
            height += sum(head.height for head in part.over)
        table = part.table
        if not part.heads:
            break
    return height
