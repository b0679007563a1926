"""What is found in the woods or promised, as people type it on one line."""

import re
from contextlib import suppress
from datetime import date
from typing import Any

from fieldbook.errors import BookError
from fieldbook.season.dates import MONTHS, WEEKDAYS, read_due

_LOST = re.compile(r"(.+?)[\s,;:]+(\d{1,2}(?:[.,]\d{1,2})?)\s*inhg\.?", re.IGNORECASE | re.DOTALL)
_BY = re.compile(r"(.+)[\s,;:]+by\s+(\S.*)", re.IGNORECASE | re.DOTALL)


def _any_of(names: list[str]) -> str:
    """A pattern of names, whole or by their first three letters or more."""
    parts = {name[:length] for name in names for length in range(3, len(name) + 1)}
    return "(?:" + "|".join(sorted(parts, key=len, reverse=True)) + ")"


_MONTH = _any_of(MONTHS)
_DAY = (
    rf"(?:today|tomorrow|yesterday|{_any_of(WEEKDAYS)}|\d{{4}}[-/]\d{{1,2}}[-/]\d{{1,2}}"
    rf"|\d{{1,2}}\.? ?-?{_MONTH}\.?(?: \d{{4}})?|{_MONTH}\.? \d{{1,2}}(?:,? \d{{4}})?)"
)
_CLOCK = r"\d{1,2}(?:[:.h]?[0-5]\d)?"
_EXACT = r"(?:\d{1,2}[:.h][0-5]\d|\d{4})"
_REST = r"(?=[\s,;]|\Z)[\s,;]*(.*)"

_OUT = re.compile(
    rf"(?:({_CLOCK})\s*-\s*)?((?:{_DAY},?\s+)?{_CLOCK}){_REST}", re.IGNORECASE | re.DOTALL
)
_LATER = re.compile(r"later\b[\s,:]*(.*)", re.IGNORECASE | re.DOTALL)
# Words may begin with a number, `2 taps left`; so when somebody came back is written in full.
_BACK = re.compile(rf"((?:{_DAY},?\s+)?{_EXACT}){_REST}", re.IGNORECASE | re.DOTALL)


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


def read_out(text: str) -> tuple[str, str, str]:
    """When somebody went out, when they are due back, and what is said to it.

    `16:30 with Tor`; `tomorrow 1:30`; `12:40-16:30 with Tor`, which says both. Without a time at
    its beginning the first word is what ought to be one.
    """
    words = text.strip()
    found = _OUT.fullmatch(words)
    if found is not None:
        return found[1] or "", found[2], found[3]
    first, _blank, rest = words.partition(" ")
    return "", first.rstrip(",;"), rest.strip()


def read_back(text: str) -> tuple[bool, str, str]:
    """Whether somebody is due later or is back, at what time, and what is said to it.

    Nothing, or words: back now. `17:10 wet through`: came back then. `later 18:30`: due then; what
    follows `later` and is no time is for whoever reads it to refuse.
    """
    words = text.strip()
    later = _LATER.fullmatch(words)
    if later is not None:
        _start, due, note = read_out(later[1])
        return True, due, note
    found = _BACK.fullmatch(words)
    return (False, "", words) if found is None else (False, found[1], found[2])
