"""The leaks as tables: lines, the walk, what held, and where leaks came again."""

from collections import Counter
from collections.abc import Iterator

from msgspec.structs import replace

from fieldbook.i18n import _, ngettext
from fieldbook.reports.leak_lines import LineLeaks
from fieldbook.reports.leak_walk import Leg, WalkPlan
from fieldbook.reports.leaks import CAUTIONS, BlockLeaks, Leaks
from fieldbook.reports.leaks_words import (
    leg_place,
    range_words,
    stop_said,
    uncertainty,
    unknown_said,
)
from fieldbook.reports.listing import Listing, Money
from fieldbook.reports.words import place
from fieldbook.season.sap import Loss
from fieldbook.season.vacuum import Sign
from fieldbook.trade import sources
from fieldbook.trade.units import kpa_from_inhg


def leaks_listings(report: Leaks, units: str = "us") -> tuple[Listing, ...]:
    """Lines by block, the walk, what held, where leaks came again, and vacuum by day."""
    listings = (_lines(report, units), _walk(report.walk), _mends(report, units))
    return (*listings, _offenders(report), _days(report))


def shown_listings(report: Leaks, units: str = "us") -> list[Listing]:
    """The tables that people read, where they say something; vacuum by day is for a file.

    The walk is there without a line too: it says so, and what can hurt somebody.
    """
    lines, *others, _days = leaks_listings(report, units)
    read = {(line.block, line.line) for line in report.lines if _is_known(line)}
    blocks = {block for block, _line in read}
    rows = tuple(
        row
        for row in lines.rows
        if (row[0], row[1]) in read or (not row[1] and (row[0] in blocks or row is lines.rows[-1]))
    )
    notes = (*lines.notes[:-2], *_unread_notes(report), *lines.notes[-2:])
    shown = replace(lines, rows=rows if read else (), notes=notes)
    return [listing for listing in (shown, *others) if listing.rows or listing.name == "walk"]


def _is_known(line: LineLeaks) -> bool:
    return line.read is not None or Sign.SHUT in line.signs


def _unread_notes(report: Leaks) -> Iterator[str]:
    """Lines with taps in that nobody has read, by block."""
    unread = [line for line in report.lines if line.taps and not _is_known(line)]
    blocks = Counter(line.block for line in unread)
    if blocks:
        told = ", ".join(f"{block} {n}" for block, n in blocks.items())
        yield _("Lines that nobody has read: {blocks}.").format(blocks=told)


def _lines(report: Leaks, units: str) -> Listing:
    metric = units == "metric"
    rows: list[tuple[object, ...]] = []
    for block in report.blocks:
        rows.append(_block_row(block))
        rows += [_line_row(line) for line in report.lines if line.block == block.block]
    rows.append(_block_row(report.total))
    vacuum = (None, None, _("kPa"), _("Lost")) if metric else (_("inHg"), _("Lost"), None, None)
    return Listing(
        name="lines",
        title=_("What each line loses on a day when sap runs, the worst first"),
        columns=(
            *("block", "line", "order", "taps", "under_vacuum"),
            *("vacuum_inhg", "lost_inhg", "vacuum_kpa", "lost_kpa", "pump_inhg", "pump_read"),
            *("sap_gal", "low_gal", "high_gal", "syrup_gal", "money"),
            *("gal", "range", "worth", "read", "points_at", "says"),
            *("slope_inhg_day", "leaks", "walk_hours"),
        ),
        heads=(
            *(_("Block"), _("Line"), None, _("Taps"), None),
            *(*vacuum, None, None, *(None,) * 5),
            *(_("Gal"), _("Range"), _("Worth"), _("Read"), _("Points at"), None),
            *(None, None, None),
        ),
        rows=tuple(rows),
        notes=tuple(_line_notes(report)),
        by_block=True,
    )


def _loss_cells(loss: Loss | None) -> tuple[object, ...]:
    """Its numbers for a file, and then as brief as they are read."""
    if loss is None:
        return (None,) * 8
    gallons = (loss.sap_gal, loss.low_gal, loss.high_gal)
    brief = (round(loss.sap_gal), range_words(loss), round(loss.money))
    numbers = (*(round(n, 1) for n in gallons), round(loss.syrup_gal, 2))
    return (*numbers, Money(round(loss.money, 2)), *brief)


def _block_row(block: BlockLeaks) -> tuple[object, ...]:
    within = ""
    if block.read:
        within = _("{n} of {read} good").format(n=block.within, read=block.read)
    return (
        *(block.block or _("together"), "", None, block.taps, block.under_vacuum, *(None,) * 6),
        *(*_loss_cells(block.loss), None, within, "", None, "", None),
    )


def _line_row(line: LineLeaks) -> tuple[object, ...]:
    vacuum, lost = line.vacuum_inhg, line.lost_inhg
    return (
        *(line.block, line.line, line.order, line.taps, line.under_vacuum),
        *(_rounded(vacuum, 1), _rounded(lost, 1), _kpa(vacuum), _kpa(lost)),
        *(_rounded(line.pump_inhg, 1), int(line.pump_read)),
        *_loss_cells(line.loss),
        line.read.date() if line.read else None,
        ", ".join(_(sign) for sign in line.signs),
        "; ".join(line.says),
        _rounded(line.slope_inhg_day, 2),
        "; ".join(line.leaks),
        round(line.hours, 2),
    )


def _rounded(value: float | None, digits: int) -> float | None:
    return None if value is None else round(value, digits)


def _kpa(value_inhg: float | None) -> float | None:
    return None if value_inhg is None else round(kpa_from_inhg(value_inhg), 1)


def _line_notes(report: Leaks) -> Iterator[str]:
    for line in report.lines:
        for sign, said in zip(line.signs, line.says, strict=True):
            if sign != Sign.LOW:  # the table says so
                yield f"! {place(line.block, line.line)}: {said}"
    yield uncertainty(report)
    yield _("Rules: {gain}; {aim}; ceiling: {ceiling}; trend: {trend}.").format(
        gain=sources.VACUUM_GAIN,
        aim=sources.VACUUM_LOSS,
        ceiling=sources.ATMOSPHERE,
        trend=sources.TREND,
    )


def _walk(walk: WalkPlan) -> Listing:
    several = walk.people > 1
    rows = [_leg_row(leg, None) for leg in walk.legs]
    rows += [_leg_row(leg, _("no time")) for leg in walk.later]
    rows += [_leg_row(leg, _("read it")) for leg in walk.unknown]
    rows += [_leg_row(leg, _("not worth it")) for leg in walk.rest]
    return Listing(
        name="walk",
        title=ngettext(
            "Which to walk: {n} person, {hours:g} h, the least sap lost meanwhile",
            "Which to walk: {n} people, {hours:g} h each, the least sap lost meanwhile",
            walk.people,
        ).format(n=walk.people, hours=walk.hours),
        columns=(
            *("person", "stop", "where", "block", "line", "loses_gal_day", "hours"),
            *("done_after_hours", "left", "look_for"),
        ),
        heads=(
            *(_("Who") if several else None, _("Stop"), _("Where"), None, None, _("Gal/day")),
            *(_("Hours"), _("After"), "", None),
        ),
        rows=tuple(rows),
        notes=tuple(walk_notes(walk)),
    )


def _leg_row(leg: Leg, left: str | None) -> tuple[object, ...]:
    return (
        *(leg.person or None, leg.stop or None, leg_place(leg), leg.block, leg.line),
        *(round(leg.loses_gal_day, 1), round(leg.hours, 2)),
        *(round(leg.done_after, 2) if leg.stop else None, left or "", leg.says),
    )


def walk_notes(walk: WalkPlan) -> Iterator[str]:
    """Where to stop and why, and how the walk was reckoned."""
    yield from unknown_said(walk)
    yield stop_said(walk)
    if walk.later:
        yield ngettext(
            "! {n} line more is worth the walk, and the hours are too short for it.",
            "! {n} lines more are worth the walk, and the hours are too short for them.",
            len(walk.later),
        ).format(n=len(walk.later))
    if walk.legs or walk.later or walk.unknown or walk.rest:
        yield _("Order: {pace}{source}.").format(pace=_pace(walk), source=sources.WALK)
    yield from (_(caution) for caution in CAUTIONS)


def _pace(walk: WalkPlan) -> str:
    """`1,749 ft an hour, ...; `: how fast the crew walks, and who says so."""
    if walk.feet_per_hour is None:
        return ""
    said = _("{ft:,.0f} ft an hour, by the book's rate; ")
    if walk.record_hours:
        said = _(
            "{ft:,.0f} ft an hour, from {hours:g} h of this crew's record and the book's rate; "
        )
    return said.format(ft=walk.feet_per_hour, hours=round(walk.record_hours, 1))


def _mends(report: Leaks, units: str) -> Listing:
    metric = units == "metric"
    said = (
        (None, None, None, _("Was"), _("After"), _("Now"))
        if metric
        else (_("Was"), _("After"), _("Now"), None, None, None)
    )
    return Listing(
        name="mends",
        title=_("Did it hold"),
        columns=(
            *("where", "block", "line", "leak", "found", "mended", "who"),
            *("before_inhg", "after_inhg", "now_inhg", "before_kpa", "after_kpa", "now_kpa"),
            *("held", "says"),
        ),
        heads=(
            *(_("Where"), None, None, None, None, _("Mended"), _("Who"), *said),
            *(_("What became of it"), None),
        ),
        rows=tuple(
            (
                *(place(mend.block, mend.line), mend.block, mend.line, mend.leak, mend.found),
                *(mend.mended, mend.who),
                *(_rounded(v, 1) for v in (mend.before_inhg, mend.after_inhg, mend.now_inhg)),
                *map(_kpa, (mend.before_inhg, mend.after_inhg, mend.now_inhg)),
                *(_(mend.held), mend.says),
            )
            for mend in report.mends
        ),
    )


def _offenders(report: Leaks) -> Listing:
    words = {"line": _("line"), "lateral": _("lateral"), "cause": _("cause")}
    return Listing(
        name="offenders",
        title=_("Where leaks came again, over the seasons of the book"),
        columns=("by", "what", "block", "line", "leaks", "this_season", "seasons"),
        heads=(
            *(_("By"), _("What"), None, None, _("Leaks"), _("Now")),
            _("Seasons"),
        ),
        rows=tuple(
            (
                words[x.by],
                _(x.what)
                if x.by == "cause"
                else place(x.block, x.line)
                + (_(", lateral {n}").format(n=x.what) if x.by == "lateral" else ""),
                *(x.block, x.line, x.leaks, x.this_season),
                ", ".join(map(str, x.seasons)),
            )
            for x in report.offenders
        ),
    )


def _days(report: Leaks) -> Listing:
    return Listing(
        name="days",
        title=_("Vacuum by day"),
        columns=("block", "line", "day", "vacuum_inhg", "pump_inhg"),
        heads=(_("Block"), _("Line"), _("Day"), _("inHg"), _("Pump")),
        rows=tuple(
            (
                *(line.block, line.line, day.day),
                *(round(day.vacuum_inhg, 2), round(day.pump_inhg, 2)),
            )
            for line in report.lines
            for day in line.days
        ),
    )
