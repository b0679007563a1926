"""Gauges in words: what was read, how far that is under the pump, and what it points at."""

from collections.abc import Iterator

from fieldbook.book.entry import Reading
from fieldbook.i18n import _
from fieldbook.reports.words import one_line, place_words, signed
from fieldbook.season.dates import short_day
from fieldbook.season.vacuum import LineVacuum, Mend, Point, Pump, Sign
from fieldbook.trade.units import kpa_from_inhg


def vacuum_words(vacuum_inhg: float, units: str = "us") -> str:
    """`24.5 inHg`, or `83 kPa` for who reads metric units."""
    if units == "metric":
        return _("{n:.0f} kPa").format(n=kpa_from_inhg(vacuum_inhg))
    return _("{n:.1f} inHg").format(n=vacuum_inhg)


def gauge_words(point: Point, units: str = "us") -> str:
    """`far end 22.0 inHg, 3.5 under the pump`."""
    said = f"{place_words(point.reading)} {vacuum_words(point.vacuum_inhg, units)}"
    return f"{said}, {under_words(point, units)}"


def under_words(point: Point, units: str = "us") -> str:
    """`3.5 under the pump (25.5)`, or over it, or what the book says it holds."""
    read, under = point.pump.reading is not None, point.under_inhg
    if under >= 0:
        form = _("{n} under the pump ({pump})")
        by_book = _("{n} under what the book says the pump holds ({pump})")
    else:
        form = _("{n} over the pump ({pump})")
        by_book = _("{n} over what the book says the pump holds ({pump})")
    said = form if read else by_book
    return said.format(n=bare(abs(under), units), pump=bare(point.pump.vacuum_inhg, units))


def bare(vacuum_inhg: float, units: str = "us") -> str:
    """A vacuum without its unit, as fine as a dial is read."""
    return f"{kpa_from_inhg(vacuum_inhg):.0f}" if units == "metric" else f"{vacuum_inhg:.1f}"


def pump_words(pump: Pump, units: str = "us") -> str:
    """`pump 25.5 inHg`, or that nobody read it."""
    said = vacuum_words(pump.vacuum_inhg, units)
    if pump.reading is None:
        return _("pump not read: {vacuum} by the book").format(vacuum=said)
    return f"{_(pump.reading.place)} {said}"


def last_words(state: LineVacuum, units: str = "us") -> str:
    """`Mon 8 Feb: far end 22.0, head 25.0, pump 25.5, 3.5 under; Sat 6 Feb 22.8`: of the last day
    a line was read, and the reading before of the gauge that tells it."""
    last = state.last
    if last is None:
        return ""
    read = [
        f"{_brief_place(point.reading)} {bare(point.vacuum_inhg, units)}" for point in state.latest
    ]
    read.append(_brief_pump(last.pump, units))
    if state.lost_inhg is not None:
        read.append(_("{n} under").format(n=bare(state.lost_inhg, units)))
    said = f"{short_day(last.reading.day)}: {', '.join(read)}"
    if len(state.points) > 1:
        before = state.points[-2]
        said += f"; {short_day(before.reading.day)} {bare(before.vacuum_inhg, units)}"
    return said


def _brief_pump(pump: Pump, units: str) -> str:
    """`pump 25.5`, among readings."""
    form = _("pump {n}") if pump.reading is not None else _("pump by the book {n}")
    return form.format(n=bare(pump.vacuum_inhg, units))


def _brief_place(reading: Reading) -> str:
    """`far end`, `wet`, `head dry`: as briefly as a card wants it."""
    if reading.place == "far end" and reading.pipe:
        return _(reading.pipe)
    return f"{_(reading.place)} {_(reading.pipe)}".strip()


def tested_words(state: LineVacuum) -> str:
    """`valve test Mon 8 Feb: no air heard (Tor)`; of one at which air was heard the sign tells."""
    if state.test is None or state.heard is not None:
        return ""
    heard = _("air heard") if state.test.heard else _("no air heard")
    return _("valve test {day}: {heard} ({who})").format(
        day=short_day(state.test.day), heard=heard, who=state.test.who
    )


def signs_said(state: LineVacuum, units: str = "us") -> list[str]:
    """What the readings of a line point at, a sentence each, the gravest first."""
    return [said for sign in state.signs if (said := _sign(sign, state, units))]


def _sign(sign: Sign, state: LineVacuum, units: str) -> str:
    last = state.last
    match sign:
        case Sign.SHUT:
            return _shut(state)
        case Sign.HEARD if state.heard is not None:
            return _("air heard at the valve test, no leak found yet ({who}, {day})").format(
                who=state.heard.who, day=short_day(state.heard.day)
            )
        case Sign.UNPROVED if state.mended is not None:
            return _("mended and not read since ({who}, {day}): read it").format(
                who=state.mended.who, day=short_day(state.mended.day)
            )
        case Sign.GAUGE:
            return _gauge_off(state, units)
        case Sign.FULL:
            return _full(state, units)
        case Sign.SINKS if state.slope_inhg_day is not None and state.since is not None:
            slope = state.slope_inhg_day
            metric = units == "metric"
            lost = (
                _("{n:.1f} kPa").format(n=kpa_from_inhg(slope)) if metric else f"{slope:.1f} inHg"
            )
            return _("sinks {n} a day since {day}: a leak that grows").format(
                n=lost, day=short_day(state.since)
            )
        case Sign.NO_VACUUM if last is not None:
            return _no_vacuum(state, last, units)
        case Sign.LOW if last is not None:
            return _("hangs {under}").format(under=under_words(last, units))
    return ""


def _shut(state: LineVacuum) -> str:
    """`valve shut: main cut (Tor, Sun 7 Feb): 176 taps are not under vacuum`; of several words
    the last that says why."""
    word = next((valve for valve in reversed(state.shut) if valve.reason), state.shut[-1])
    said = _("valve shut")
    if word.reason:
        said = _("valve shut: {why}").format(why=one_line(word.reason))
    said = signed(said, word.who, word.day)
    return _("{said}: {taps:,} taps are not under vacuum").format(said=said, taps=state.taps)


def _gauge_off(state: LineVacuum, units: str) -> str:
    over = next(point for point in state.latest if point.over)
    if over.pump.reading is None:
        return _("{gauge}: read the pump, it holds more or this gauge is off").format(
            gauge=gauge_words(over, units)
        )
    return _("{gauge}: one of the two gauges is off, hold both on one fitting").format(
        gauge=gauge_words(over, units)
    )


def _full(state: LineVacuum, units: str) -> str:
    """Wet low, dry good: the sap pipe is full and cuts off the air."""
    for place in ("far end", "head"):
        wet, dry = state.gauge(place), state.gauge(place, "dry")
        if wet is not None and dry is not None:
            said = _(
                "wet {wet}, dry {dry}: the sap pipe is full and cuts off the air; "
                "look at its slope and where the two pipes join, not for a leak"
            ).format(wet=bare(wet.vacuum_inhg, units), dry=bare(dry.vacuum_inhg, units))
            joined = next((p.reading.note for p in (wet, dry) if p.reading.note), state.line.note)
            return f"{said} ({one_line(joined)})" if joined else said
    return ""


def _no_vacuum(state: LineVacuum, last: Point, units: str) -> str:
    """Nearly nothing: the line is cut off, before its head or behind it."""
    said = f"{place_words(last.reading)} {vacuum_words(last.vacuum_inhg, units)}"
    head = state.gauge("head")
    if head is not None and head.lost_inhg <= last.lost_inhg / 2:
        return _(
            "{said} with {head} at its head: cut off in between; "
            "look for a shut valve, a main that is cut, or ice"
        ).format(said=said, head=bare(head.vacuum_inhg, units))
    return _(
        "{said}: cut off; look at its valve first, then for a main that is cut, or ice"
    ).format(said=said)


def held_words(mend: Mend, units: str = "us") -> str:
    """`came back: before 22.0, after 24.8, now 24.6, pump 25.5`."""
    parts = []
    if mend.before is not None:
        parts.append(_("before {n}").format(n=bare(mend.before.vacuum_inhg, units)))
    if mend.after is not None:
        parts.append(_("after {n}").format(n=bare(mend.after.vacuum_inhg, units)))
    if mend.now is not None and mend.after is not None and mend.now.at != mend.after.at:
        parts.append(_("now {n}").format(n=bare(mend.now.vacuum_inhg, units)))
    newest = mend.now if mend.after is not None else mend.before
    if newest is not None:
        parts.append(_brief_pump(newest.pump, units))
    said = _(mend.held)
    return f"{said}: {', '.join(parts)}" if parts else said


def told_line(state: LineVacuum, units: str = "us") -> Iterator[str]:
    """What the newest readings of a line say, in short lines: `! sinks 0.5 inHg a day ...`."""
    for point in state.latest:
        yield f"  {gauge_words(point, units)}"
    for sign, said in zip(state.signs, signs_said(state, units), strict=True):
        if sign is not Sign.LOW:  # the gauge says so above
            yield f"! {said}"


def break_words() -> str:
    """What to do at once about a main that is cut or a tree on it."""
    return _(
        "! Shut the valve of the line: the rest of the block keeps its vacuum. Take the vacuum "
        "off before you cut; a tree on a line holds wire and tubing under tension, stand clear."
    )
