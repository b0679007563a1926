"""Pieces of a page that are not torn apart, and how they are put on pages."""

from collections.abc import Callable, Sequence

from msgspec import Struct


class Piece(Struct, frozen=True):
    """Something that stays together on a page.

    Attributes:
        height: In millimetres.
        draw: Draws it, given where its top is.
        line: The line it is the row of; empty for other pieces.
        heads: It stands over the piece after it, and on no page without it.
    """

    height: float
    draw: Callable[[float], None]
    line: str = ""
    heads: bool = False


def paginate(
    pieces: Sequence[Piece], room: float, *, column_head: float = 0.0
) -> list[list[Piece]]:
    """Pieces put on pages in their order; a page that has rows has room for heads over them.

    Args:
        pieces: The pieces.
        room: Height of a page, in millimetres.
        column_head: Height of heads over the first row on a page.
    """
    pages: list[list[Piece]] = [[]]
    left, headed_yet = room, False
    for at, piece in enumerate(pieces):
        together = pieces[at : at + 2] if piece.heads else (piece,)
        height = sum(one.height for one in together)
        if any(one.line for one in together) and not headed_yet:
            height += column_head
        if pages[-1] and height > left:
            pages.append([])
            left, headed_yet = room, False
        if piece.line and not headed_yet:
            left, headed_yet = left - column_head, True
        pages[-1].append(piece)
        left -= piece.height
    return pages


def draw_pieces(
    pieces: Sequence[Piece],
    top: float,
    *,
    column_heads: Callable[[float], None],
    column_head: float,
) -> None:
    """Draw the pieces of a page one under the other, with heads over the first row.

    Args:
        pieces: The pieces.
        top: Where the first begins, in millimetres.
        column_heads: Draws the heads, given where they begin.
        column_head: Height of the heads.
    """
    headed_yet = False
    for piece in pieces:
        if piece.line and not headed_yet:
            column_heads(top)
            top, headed_yet = top + column_head, True
        piece.draw(top)
        top += piece.height
