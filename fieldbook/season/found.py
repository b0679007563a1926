"""What is found in the woods or promised, as people type it on one line."""

import re
from contextlib import suppress
from datetime import date
from typing import Any

from fieldbook.book.entry import Cause
from fieldbook.errors import BookError
from fieldbook.i18n import _
from fieldbook.season.dates import MONTHS, WEEKDAYS, read_due

_LOST = re.compile(
    r"(.+?)[\s,;:]+(\d{1,3}(?:[.,]\d{1,2})?)\s*(inhg|kpa)\.?", re.IGNORECASE | re.DOTALL
)
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


_ORDINALS = (
    *("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth"),
    *("tenth", "eleventh", "twelfth"),
)
_LATERAL = re.compile(
    rf"({'|'.join(_ORDINALS)}|\d{{1,3}}(?:st|nd|rd|th)?)\s+lateral\b|\blateral\s+#?(\d{{1,3}})\b",
    re.IGNORECASE,
)

_CAUSES: tuple[tuple[Cause, str], ...] = (
    ("tree down", r"\btree\b.*\b(down|fell|fallen|on the (line|main))\b|\bfallen tree\b"),
    ("main cut", r"\bmain(line)?\b.*\b(cut|broken|split|torn)\b|\b(cut|broken|split) main"),
    ("chewed", r"\b(chew|gnaw|squirrel|mice\b|mouse\b)"),
    ("spout loose", r"\bspouts?\b.*\b(loose|out|pulled)\b|\bloose spouts?\b"),
    ("drop off", r"\bdrops?\b.*\b(off|out|down)\b"),
    ("fitting", r"\b(fitting|tee|connector|union|clamp|saddle|manifold|gasket)s?\b"),
)
"""What lets air in, by the words people say it with; the graver goes first."""


def read_leak(text: str) -> dict[str, Any]:
    """What was typed about a leak, as fields of an entry: `chewed at the fifth lateral, 2.5 inHg`.

    A reading at its end is the vacuum it costs; without one nobody read it. The lateral and the
    cause are taken from the words where they say them; the words stay as they were typed.
    """
    found = _LOST.fullmatch(text.strip())
    words = text if found is None else found[1]
    fields: dict[str, Any] = {"text": words}
    if found is not None:
        fields[f"lost_{found[3].casefold()}"] = float(found[2].replace(",", "."))
    if lateral := _LATERAL.search(words):
        named = (lateral[1] or lateral[2]).casefold()
        fields["lateral"] = (
            str(_ORDINALS.index(named) + 1) if named in _ORDINALS else named.rstrip("stndrh")
        )
    cause = next((c for c, said in _CAUSES if re.search(said, words, re.IGNORECASE)), None)
    if cause is not None:
        fields["cause"] = cause
    return fields


_HEARD = re.compile(
    r"(?:(not|nothing|no)\s+)?heard\b|\b(nothing|silent|quiet|tight)\b", re.IGNORECASE
)


def read_test(text: str) -> dict[str, Any]:
    """What was typed about a valve test, as fields of an entry: `heard, left shut: main is cut`.

    `heard`, or `h`; `not heard`, or `n`; what follows is the reason. Unless it says that the valve
    is left shut it is open again.

    Raises:
        BookError: It does not say whether air was heard.
    """
    words = " ".join(text.split())
    short = re.fullmatch(r"([hny])\b[\s,;:]*(.*)", words, re.IGNORECASE)
    found = _HEARD.match(words)
    if short is None and found is None:
        raise BookError(
            _("{text} does not say whether air was heard.").format(text=repr(text)),
            _("Write heard or not heard; and left shut, if the valve stays shut."),
        )
    if short is not None:
        heard, rest = short[1].casefold() != "n", short[2]
    else:
        assert found is not None
        heard, rest = not (found[1] or found[2]), words[found.end() :].lstrip(" ,;:")
    shut = re.match(r"(?:left\s+)?shut\b[\s,;:]*", rest, re.IGNORECASE)
    opened = re.match(r"(?:left\s+)?open(?:ed)?(?:\s+again)?\b[\s,;:]*", rest, re.IGNORECASE)
    cut = shut or opened
    return {
        "heard": heard,
        "state": "shut" if shut else "open",
        "reason": rest[cut.end() :] if cut else rest,
    }


def read_mended(text: str) -> tuple[str, dict[str, Any]]:
    """What was typed about the mending of a leak: the words, and what the line reads after it.

    `new tee, 24.5 inHg`; without a reading at the end nobody took one.
    """
    found = _LOST.fullmatch(text.strip())
    if found is None:
        return text, {}
    return found[1], {f"vacuum_{found[3].casefold()}": float(found[2].replace(",", "."))}


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
