"""Spouts in and out of somebody's bag, as people type them."""

from typing import Any

from fieldbook.errors import BookError
from fieldbook.i18n import _

MOVES = ("issued", "returned", "scrapped")

MOST_DIGITS = 6


def read_spouts(text: str) -> dict[str, Any]:
    """What was typed about spouts, as fields of an entry: `issued 200`, `r 12`, `150`.

    A number alone was issued; a word may be its beginning.

    Raises:
        BookError: The text says no number of spouts, or not what became of them.
    """
    words = text.casefold().split()
    counts = [word for word in words if word.isdecimal() and len(word) <= MOST_DIGITS]
    named = [word for word in words if not word.isdecimal()]
    moves = [move for move in MOVES if named and move.startswith(named[0])]
    if len(words) > 2 or len(counts) != 1 or len(named) != len(words) - 1 or (named and not moves):
        raise BookError(
            _("{text} does not say how many spouts.").format(text=repr(text)),
            _("Write issued 200, returned 12 or scrapped 3."),
        )
    return {"move": moves[0] if moves else MOVES[0], "count": int(counts[0])}
