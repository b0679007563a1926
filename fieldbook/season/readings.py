"""Gauges as people type them: `24.5`, `head 25, far 24.5`, `pump 86 kPa`; and what cannot be."""

import re
from typing import Any

from fieldbook.book.entry import Reading
from fieldbook.errors import BookError
from fieldbook.i18n import _
from fieldbook.season.plan import Plan
from fieldbook.trade.units import inhg_from_kpa, kpa_from_inhg
from fieldbook.trade.vacuum import barometer_inhg

FORM = "head 25, far 24.5"

PLACES = {
    "pump": "pump",
    "releaser": "releaser",
    "head": "head",
    "far": "far end",
    "end": "far end",
}
"""Where a gauge hangs, by the word people say it with."""

AT_PUMP = ("pump", "releaser")
"""Places that belong to no line."""

_NUMBER = re.compile(r"-?\d+(?:[.,]\d+)?")
_WORD = re.compile(rf"{_NUMBER.pattern}|[^\W\d_]+|\S")
_IGNORED = (",", ";", ":", "at", "the", "pipe", "line")
_UNITS = {"inhg": "inhg", "hg": "inhg", '"': "inhg", "kpa": "kpa"}


def read_readings(text: str, *, metric: bool = False, line: bool = True) -> list[dict[str, Any]]:
    """What was typed about gauges, as fields of entries: place, pipe and vacuum of each.

    A place holds until another is named, a pipe for one number. A number by itself is of the far
    end of the line, or of the pump where no line is meant.

    Args:
        text: `24.5`; `head 25, far 24.5`; `wet 17, dry 24.5`; `pump 86 kPa`.
        metric: A number without a unit is in kilopascals.
        line: Whether a line is meant.

    Raises:
        BookError: It is no reading, or says one twice.
    """
    place, pipe = ("far end" if line else "pump"), ""
    found: list[dict[str, Any]] = []
    fresh = False
    for word in _WORD.findall(" ".join(text.casefold().split())):
        if _NUMBER.fullmatch(word):
            where = {"place": place, "pipe": pipe}
            if any(where.items() <= reading.items() for reading in found):
                raise BookError(
                    _("{text} says a reading twice.").format(text=repr(text)),
                    _("Name the place of each: {form}.").format(form=FORM),
                )
            unit = "vacuum_kpa" if metric else "vacuum_inhg"
            found.append({**where, unit: float(word.replace(",", "."))})
            pipe, fresh = "", True
        elif word in _UNITS and fresh:
            reading = found[-1]
            value = reading.pop("vacuum_kpa", None)
            value = reading.pop("vacuum_inhg", value)
            reading[f"vacuum_{_UNITS[word]}"] = value
            fresh = False
        elif word in PLACES:
            place = PLACES[word]
        elif word in ("wet", "dry"):
            pipe = word
        elif word not in _IGNORED:
            raise _not_a_reading(text)
    if not found or pipe:
        raise _not_a_reading(text)
    return found


def _not_a_reading(text: str) -> BookError:
    return BookError(
        _("{text} is no reading of a gauge.").format(text=repr(text)),
        _("Write 24.5, or with its place: {form}; pump, releaser, head, far, wet, dry.").format(
            form=FORM
        ),
    )


def inhg_of(reading: Reading) -> float:
    """The vacuum of a reading in inches of mercury, whatever it was keyed in."""
    if reading.vacuum_kpa is not None:
        return inhg_from_kpa(reading.vacuum_kpa)
    return reading.vacuum_inhg or 0.0


def ceiling_inhg(plan: Plan) -> float:
    """The most vacuum there can be where the pump stands, in inches of mercury."""
    return barometer_inhg(elevation_ft=plan.number("elevation_ft"))


def check_reading(draft: Reading, plan: Plan) -> None:
    """Let a reading pass that can be.

    Raises:
        BookError: It is of no such place, of a pipe the line has not, or beyond the ceiling.
    """
    if (draft.vacuum_inhg is None) == (draft.vacuum_kpa is None):
        raise BookError(
            _("A reading is in inHg or in kPa, one of the two."), _("Give the vacuum once.")
        )
    if draft.place in AT_PUMP and draft.line:
        raise BookError(
            _("The gauge at the {place} belongs to no line.").format(place=_(draft.place)),
            _("Leave the line out; the block may stand, if it has a pump of its own."),
        )
    if draft.place not in AT_PUMP and not draft.line:
        raise BookError(
            _("A gauge at the {place} belongs to a line.").format(place=_(draft.place)),
            _("Give the block and the line."),
        )
    line = plan.line(draft.block, draft.line)
    if draft.pipe and (line is None or line.layout != "pair"):
        raise BookError(
            _("{line} is no wet/dry pair: it has one pipe.").format(line=draft.line or draft.place),
            _("Leave wet and dry out, or set its layout to pair in lines.csv."),
        )
    ceiling, vacuum = ceiling_inhg(plan), inhg_of(draft)
    if 0 <= vacuum <= ceiling:
        return
    said = (
        _("{n:g} kPa").format(n=draft.vacuum_kpa)
        if draft.vacuum_kpa is not None
        else _("{n:g} inHg").format(n=draft.vacuum_inhg)
    )
    raise BookError(
        _(
            "{said} cannot be: the ceiling at {ft:,.0f} ft is {inhg:.1f} inHg ({kpa:.0f} kPa)."
        ).format(
            said=said,
            ft=plan.number("elevation_ft"),
            inhg=ceiling,
            kpa=kpa_from_inhg(ceiling),
        ),
        _("Check the number and its unit: kPa is written as 83 kPa. Height: setting elevation_ft."),
    )
