"""Spouts in and out of somebody's bag, as people type them."""

import re
from typing import Any

from fieldbook.errors import BookError
from fieldbook.i18n import _

MOVES = ("issued", "returned", "scrapped")

MOST_DIGITS = 6

_BETWEEN = re.compile(r"[,;](?!\d)")
"""What parts one move from the next; 1,200 is no two of them."""


def read_spouts(text: str) -> list[dict[str, Any]]:
    """What was typed about spouts, as fields of entries: `issued 200`, `r 12, s 3`, `150`.

    A number alone was issued, but in a list each needs its word; a word may be its beginning.

    Raises:
        BookError: The text says no number of spouts, or not what became of them.
    """
    parts = [part for part in _BETWEEN.split(text) if part.strip()]
    if len(parts) < 2:
        return [_read_move(text, text.rstrip(" ,;"))]
    return [_read_move(part.strip(), part, named=True) for part in parts]


def _read_move(shown: str, text: str, *, named: bool = False) -> dict[str, Any]:
    """One move: a number, and what became of so many.

    Args:
        shown: What is shown where it is refused.
        text: What was typed.
        named: A number alone is not enough.
    """
    words = text.casefold().split()
    counts = [word for word in words if word.isdecimal() and len(word) <= MOST_DIGITS]
    named_by = [word for word in words if not word.isdecimal()]
    moves = [move for move in MOVES if named_by and move.startswith(named_by[0])]
    whole = len(words) <= 2 and len(counts) == 1 and len(named_by) == len(words) - 1
    if not whole or not (moves or not (named_by or named)):
        raise BookError(
            _("{text} does not say how many spouts.").format(text=repr(shown)),
            _("Write issued 200, returned 12 or scrapped 3; or several: returned 12, scrapped 3."),
        )
    return {"move": moves[0] if moves else MOVES[0], "count": int(counts[0])}
