"""What is found in the woods or promised, as people type it on one line."""

import re
from contextlib import suppress
from datetime import date
from typing import Any

from fieldbook.errors import BookError
from fieldbook.season.dates import read_due

_LOST = re.compile(r"(.+?)[\s,;:]+(\d{1,2}(?:[.,]\d{1,2})?)\s*inhg\.?", re.IGNORECASE | re.DOTALL)
_BY = re.compile(r"(.+)[\s,;:]+by\s+(\S.*)", re.IGNORECASE | re.DOTALL)


def read_leak(text: str) -> dict[str, Any]:
    """What was typed about a leak, as fields of an entry: `hiss at the fifth lateral, 2.5 inHg`.

    A reading at its end is the vacuum it costs; without one nobody read it.
    """
    found = _LOST.fullmatch(text.strip())
    if found is None:
        return {"text": text}
    return {"text": found[1], "lost_inhg": float(found[2].replace(",", "."))}


def read_promise(text: str, *, today: date) -> dict[str, Any]:
    """What was typed about a repair, as fields of an entry: `new tee by 12 Feb`.

    A day after the last `by` is when it is due; whatever is no day belongs to the words.

    Args:
        text: What was typed.
        today: The day it was typed on.
    """
    words = text.strip()
    found = _BY.fullmatch(words)
    if found is not None:
        with suppress(BookError):
            return {"text": found[1].rstrip(" ,;:"), "due": read_due(found[2], today=today)}
    return {"text": words}


def read_out(text: str) -> tuple[str, str]:
    """When somebody is due back, and what is said to it: `16:30 with Tor, by the lower road`."""
    first, _blank, rest = text.strip().partition(" ")
    return first.rstrip(",;"), rest.strip()
