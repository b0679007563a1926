"""The leaks as tables: lines, the walk, what held, and where leaks came again."""

from collections import Counter
from collections.abc import Iterator
from textwrap import wrap

from msgspec.structs import replace

from fieldbook.i18n import _, ngettext
from fieldbook.reports.leak_lines import LineLeaks
from fieldbook.reports.leak_walk import Leg, WalkPlan
from fieldbook.reports.leaks import CAUTIONS, BlockLeaks, Leaks, PumpRead
from fieldbook.reports.listing import Listing, Money
from fieldbook.reports.vacuum import bare, vacuum_words
from fieldbook.reports.words import place
from fieldbook.season.dates import brief_day, short_day
from fieldbook.season.sap import Loss
from fieldbook.season.vacuum import Sign
from fieldbook.trade import sources
from fieldbook.trade.units import kpa_from_inhg
from fieldbook.trade.vacuum import sap_ratio


def leaks_listings(report: Leaks, units: str = "us") -> tuple[Listing, ...]:
    """Lines by block, the walk, what held, where leaks came again, and vacuum by day."""
    listings = (_lines(report, units), _walk(report.walk), _mends(report, units))
    return (*listings, _offenders(report), _days(report))


def shown_listings(report: Leaks, units: str = "us") -> list[Listing]:
    """The tables that people read, where they say something; vacuum by day is for a file."""
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
    return [listing for listing in (shown, *others) if listing.rows]


def _is_known(line: LineLeaks) -> bool:
    return line.read is not None or Sign.SHUT in line.signs


def _unread_notes(report: Leaks) -> Iterator[str]:
    """Lines with taps in that nobody has read, by block."""
    unread = [line for line in report.lines if line.taps and not _is_known(line)]
    blocks = Counter(line.block for line in unread)
    if blocks:
        told = ", ".join(f"{block} {n}" for block, n in blocks.items())
        yield _("Lines that nobody has read: {blocks}.").format(blocks=told)


# --- in a few lines ---


def outset(report: Leaks, units: str = "us", *, width: int = 79) -> list[str]:
    """What stands above the tables: the pump, what hangs on it, what is lost."""
    out: list[str] = []
    for said in (*pump_said(report, units), *standing_said(report), *loss_said(report)):
        out += wrap(said, width, subsequent_indent="  ")
    return out


def pump_said(report: Leaks, units: str = "us") -> Iterator[str]:
    """The pump as it was read last, and the most it could hold."""
    ceiling = _("the ceiling at {ft:,.0f} ft is {vacuum}").format(
        ft=report.elevation_ft, vacuum=vacuum_words(report.ceiling_inhg, units)
    )
    if not report.pumps:
        said = _("Nobody read the pump: taken as {vacuum}, as the book says; {ceiling}.")
        yield said.format(vacuum=vacuum_words(report.pump_inhg, units), ceiling=ceiling)
    for pump in report.pumps:
        said = f"{_pump_place(pump)} {vacuum_words(pump.vacuum_inhg, units)}"
        yield f"{said} ({pump.who}, {short_day(pump.at.date())} {pump.at:%H:%M}); {ceiling}."
        if pump.under_book_inhg > report.aim_inhg:
            said = _("! {n} under what the book asks: look at the pump before the lines.")
            yield said.format(n=vacuum_words(pump.under_book_inhg, units))


def _pump_place(pump: PumpRead) -> str:
    said = _(pump.place).capitalize()
    return f"{said}, {pump.block}" if pump.block else said


def standing_said(report: Leaks) -> Iterator[str]:
    """How many lines are within the aim, and how many taps the pump reaches."""
    total = report.total
    if not any(line.read for line in report.lines):
        yield _(
            "No line has been read yet: fieldbook record --block ... --line ... --reading 24.5, or "
            "the leak round on screen."
        )
    if total.read:
        yield _(
            "{within} of {read} lines read are within {aim:g} inHg of the pump ({share:.0f} %); "
            "{lines} lines have taps in."
        ).format(
            within=total.within,
            read=total.read,
            aim=report.aim_inhg,
            share=100 * (total.share_within or 0),
            lines=total.lines,
        )
    off = total.taps - total.under_vacuum
    said = _("{n:,} of {taps:,} taps are under vacuum").format(
        n=total.under_vacuum, taps=total.taps
    )
    yield f"! {said}: " + _("{n:,} are shut off.").format(n=off) if off else f"{said}."
    for block in report.blocks:
        if block.alike:
            yield _(
                "! All of {block} hangs alike: look between the pump and the block first."
            ).format(block=block.block)


def loss_said(report: Leaks) -> Iterator[str]:
    """What is lost in a day, what that is worth, and what is left."""
    loss = report.total.loss
    if loss.sap_gal:
        yield _(
            "Lost in a day when sap runs: {loss}, {syrup:,.1f} gal of syrup, {money:,.2f}."
        ).format(loss=loss_words(loss), syrup=loss.syrup_gal, money=loss.money)
    if report.sap_full_gal:
        yield _(
            "Sap of such a day as things stand: about {now:,.0f} gal, of {full:,.0f} if every tap "
            "hung on the pump's vacuum."
        ).format(now=report.sap_now_gal, full=report.sap_full_gal)
    if report.found:
        said = ngettext("{n} leak found", "{n} leaks found", report.found).format(n=report.found)
        parts = [said, _("{n} not mended").format(n=report.open)]
        if report.per_1000_taps is not None:
            parts.append(_("{n:.1f} for 1,000 taps").format(n=report.per_1000_taps))
        if report.per_hour is not None:
            parts.append(_("{n:.1f} an hour of listening").format(n=report.per_hour))
        yield ", ".join(parts) + "."


def loss_words(loss: Loss) -> str:
    """`about 121 gal of sap (97-169)`."""
    return _("about {gal} gal of sap").format(gal=loss_range(loss))


def loss_range(loss: Loss) -> str:
    """`121 (97-169)`, in gallons."""
    between = _range(loss)
    return f"{loss.sap_gal:,.0f}" + (f" ({between})" if between else "")


def _range(loss: Loss) -> str:
    """What it may be by the gains that were published: `97-169`; empty if that is one number."""
    low, high = round(loss.low_gal), round(loss.high_gal)
    return "" if low == high else f"{low:,}-{high:,}"


def uncertainty(report: Leaks) -> str:
    """How far the loss may be off, in words."""
    if report.sap_at_inhg:
        base = _(
            "The sap of a tap and day ({gal:g} gal) is what it gives under {inhg:g} inHg; it is "
            "what all figures hang on."
        ).format(gal=report.sap_gal_per_tap_day, inhg=report.sap_at_inhg)
    else:
        times = sap_ratio(from_inhg=0, to_inhg=report.pump_inhg, pct_per_inhg=report.gain_pct)
        base = _(
            "The sap of a tap and day ({gal:g} gal) is taken as what it gives without vacuum; if "
            "it gives that under {inhg:g} inHg, all figures are {times:.1f} times less: fieldbook "
            "setting sap_at_inhg {inhg:g}."
        ).format(gal=report.sap_gal_per_tap_day, inhg=report.pump_inhg, times=times)
    return (
        _("Range: by {low:g} to {high:g} % an inHg, as published; reckoned with {gain:g}.").format(
            low=report.gain_low_pct, high=report.gain_high_pct, gain=report.gain_pct
        )
        + f" {base}"
    )


def brief_said(report: Leaks, units: str) -> Iterator[str]:
    """The pump, what hangs on it and what is lost, as briefly as the head of a screen wants it."""
    parts = []
    if report.pumps:
        pump = report.pumps[-1]
        said = f"{_pump_place(pump)} {vacuum_words(pump.vacuum_inhg, units)}"
        parts.append(f"{said} ({short_day(pump.at.date())} {pump.at:%H:%M})")
    else:
        parts.append(_("! Nobody read the pump"))
    parts.append(_("ceiling {vacuum}").format(vacuum=bare(report.ceiling_inhg, units)))
    total = report.total
    if total.read:
        parts.append(
            _("{n} of {read} lines within {aim}").format(
                n=total.within, read=total.read, aim=bare(report.aim_inhg, units)
            )
        )
    yield "   ".join(parts)
    if total.loss.sap_gal:
        yield _("Loses {gal} gal of sap a day, worth {money:,.0f}").format(
            gal=loss_range(total.loss), money=total.loss.money
        )
    for said in (*pump_said(report, units), *standing_said(report)):
        if said.startswith("!"):
            yield said


def worst_said(report: Leaks, most: int = 5) -> Iterator[str]:
    """The lines that lose most, a line each: what they lose, and what their readings point at."""
    for line in report.lines[:most]:
        if line.loss is None or not line.loss.sap_gal:
            return
        said = _("{where}: {gal} gal a day").format(
            where=place(line.block, line.line), gal=loss_range(line.loss)
        )
        signs = [_(sign) for sign in line.signs if sign != Sign.LOW]
        yield ", ".join([said, *signs])


def strip(report: Leaks, block: BlockLeaks, width: int) -> str:
    """A block on one line: `Upper Ridge  9 of 11 within 1 inHg  -34 gal  Ridge pair 3.5`."""
    worst = []
    for line in report.lines:
        if line.block == block.block and line.line in block.worst:
            lost = _("shut") if Sign.SHUT in line.signs else bare(line.lost_inhg or 0.0)
            worst.append(f"{line.line} {lost}")
    within = _("{n} of {read} within {aim:g}").format(
        n=block.within, read=block.read, aim=report.aim_inhg
    )
    parts = [within if block.read else _("not read")]
    if block.loss.sap_gal:
        parts.append(_("loses {gal:,.0f} gal").format(gal=block.loss.sap_gal))
    said = f"{block.block}  " + ", ".join(parts) + ("   " + ", ".join(worst) if worst else "")
    return said if len(said) <= width else said[: max(0, width - 1)] + "~"


# --- tables ---


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
    brief = (round(loss.sap_gal), _range(loss), round(loss.money))
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
    rows += [_leg_row(leg, _("not worth it")) for leg in walk.rest]
    return Listing(
        name="walk",
        title=ngettext(
            "Which to walk: {n} person, {hours:g} hours, the least sap lost meanwhile",
            "Which to walk: {n} people, {hours:g} hours each, the least sap lost meanwhile",
            walk.people,
        ).format(n=walk.people, hours=walk.hours),
        columns=(
            *("person", "stop", "where", "block", "line", "loses_gal_day", "hours"),
            *("done_after_hours", "left", "look_for"),
        ),
        heads=(
            *(_("Who") if several else None, _("Stop"), _("Where"), None, None, _("Gal a day")),
            *(_("Hours"), _("Done after"), "", None),
        ),
        rows=tuple(rows),
        notes=tuple(walk_notes(walk)),
    )


def leg_place(leg: Leg) -> str:
    """`Upper Ridge / 2 Ridge pair`."""
    return place(leg.block, f"{leg.order} {leg.line}" if leg.line != leg.block else leg.line)


def _leg_row(leg: Leg, left: str | None) -> tuple[object, ...]:
    return (
        *(leg.person or None, leg.stop or None, leg_place(leg), leg.block, leg.line),
        *(round(leg.loses_gal_day, 1), round(leg.hours, 2)),
        *(round(leg.done_after, 2) if leg.stop else None, left or "", leg.says),
    )


def walk_notes(walk: WalkPlan) -> Iterator[str]:
    """Where to stop and why, and how the walk was reckoned."""
    yield stop_said(walk)
    if walk.later:
        yield ngettext(
            "! {n} line more is worth the walk, and the hours are too short for it.",
            "! {n} lines more are worth the walk, and the hours are too short for them.",
            len(walk.later),
        ).format(n=len(walk.later))
    pace = ""
    if walk.feet_per_hour is not None:
        pace = _("{ft:,.0f} ft an hour, from {hours:g} hours of this crew's record; ").format(
            ft=walk.feet_per_hour, hours=round(walk.record_hours, 1)
        )
    yield _("Order: {pace}{source}.").format(pace=pace, source=sources.WALK)
    yield from (_(caution) for caution in CAUTIONS)


def stop_said(walk: WalkPlan) -> str:
    """`Stop here: ...`: what is left loses less than walking it costs."""
    rule = _("in {days:g} days at {value:.2f} a gallon; an hour costs {wage:.2f}").format(
        days=walk.days, value=walk.value_per_gal, wage=walk.wage_per_hour
    )
    if not walk.rest and not walk.legs and not walk.later:
        return _("No line that was read calls for a walk.")
    if not walk.rest:
        return _("Every line that hangs low is worth the walk ({rule}).").format(rule=rule)
    lost = walk.rest_loss_gal_day * walk.days * walk.value_per_gal
    return ngettext(
        "Stop here: the {n} line left loses {lost:,.2f} of sap ({rule}); walking it takes "
        "{hours:.1f} h and costs {cost:,.2f}.",
        "Stop here: the {n} lines left lose {lost:,.2f} of sap ({rule}); walking them takes "
        "{hours:.1f} h and costs {cost:,.2f}.",
        len(walk.rest),
    ).format(
        n=len(walk.rest),
        lost=lost,
        rule=rule,
        hours=walk.rest_hours,
        cost=walk.rest_hours * walk.wage_per_hour,
    )


def _mends(report: Leaks, units: str) -> Listing:
    metric = units == "metric"
    said = (
        (None, None, None, _("Before"), _("After"), _("Now"))
        if metric
        else (_("Before"), _("After"), _("Now"), None, None, None)
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
            *(_("By"), _("What"), None, None, _("Leaks"), _("This season")),
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


def read_words(line: LineLeaks) -> str:
    """When a line was read last: `9 Feb`, or `not read`."""
    return brief_day(line.read.date()) if line.read else _("not read")


def file_name(report: Leaks, again: int = 1) -> str:
    """The name of the walk's file: `leaks-2027-02-09.pdf`.

    Args:
        report: The leaks.
        again: Which try it is: another file may have the name.
    """
    return f"leaks-{report.as_of}" + (f"-{again}" if again > 1 else "") + ".pdf"
