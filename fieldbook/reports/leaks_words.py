"""The leaks in words: the pump, what hangs on it, what is lost, and where to stop walking."""

from collections.abc import Iterator
from textwrap import wrap

from fieldbook.i18n import _, ngettext
from fieldbook.reports.leak_walk import Leg, WalkPlan
from fieldbook.reports.leaks import BlockLeaks, Leaks, PumpRead
from fieldbook.reports.vacuum import bare, vacuum_words
from fieldbook.reports.words import place
from fieldbook.season.dates import short_day
from fieldbook.season.sap import Loss
from fieldbook.season.vacuum import Sign
from fieldbook.trade.vacuum import sap_ratio


def outset(report: Leaks, units: str = "us", *, width: int = 79) -> list[str]:
    """What stands above the tables: the pump, what hangs on it, what is lost."""
    out: list[str] = []
    for said in (*pump_said(report, units), *standing_said(report, units), *loss_said(report)):
        out += wrap(said, width, subsequent_indent="  ")
    return out


def pump_said(report: Leaks, units: str = "us") -> Iterator[str]:
    """The pump as it was read last, and the most it could hold."""
    ceiling = _("the ceiling at {ft:,.0f} ft is {vacuum}").format(
        ft=report.elevation_ft, vacuum=vacuum_words(report.ceiling_inhg, units)
    )
    if not report.pumps:
        said = _("Nobody read the pump: taken as {vacuum}, as the book says; {ceiling}.")
        yield said.format(vacuum=_book_pump(report, units), ceiling=ceiling)
    for pump in report.pumps:
        said = f"{_pump_place(pump)} {vacuum_words(pump.vacuum_inhg, units)}"
        yield f"{said} ({pump.who}, {short_day(pump.at.date())} {pump.at:%H:%M}); {ceiling}."
        if pump.under_book_inhg > report.aim_inhg:
            said = _("! {n} under what the book asks: look at the pump before the lines.")
            yield said.format(n=vacuum_words(pump.under_book_inhg, units))
    unread = sum(line.read is not None and not line.pump_read for line in report.lines)
    if report.pumps and unread:
        yield ngettext(
            "! Nobody read the pump on the day of {n} line: told against {vacuum}, as the book "
            "says.",
            "! Nobody read the pump on the day of {n} lines: told against {vacuum}, as the book "
            "says.",
            unread,
        ).format(n=unread, vacuum=_book_pump(report, units))


def _book_pump(report: Leaks, units: str) -> str:
    """What the pump is taken to hold where nobody read it; never more than there can be."""
    return vacuum_words(min(report.pump_inhg, report.ceiling_inhg), units)


def _pump_place(pump: PumpRead) -> str:
    said = _(pump.place).capitalize()
    return f"{said}, {pump.block}" if pump.block else said


def standing_said(report: Leaks, units: str = "us") -> Iterator[str]:
    """How many lines are within the aim, and how many taps the pump reaches."""
    total = report.total
    if not any(line.read for line in report.lines):
        yield _(
            "No line has been read yet: fieldbook record --block ... --line ... --reading 24.5, or "
            "the leak round on screen."
        )
    if total.read:
        yield _(
            "{within} of {read} lines read are within {aim} of {what} ({share:.0f} %); "
            "{lines} lines have taps in."
        ).format(
            what=_("the ceiling") if report.below == "ceiling" else _("the pump"),
            within=total.within,
            read=total.read,
            aim=vacuum_words(report.aim_inhg, units),
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
        said = _("Lost in a day when sap runs")
        if report.below == "ceiling":
            said = _("Lost in a day when sap runs, against the ceiling")
        yield _("{said}: {loss}, {syrup:,.1f} gal of syrup, {money:,.2f}.").format(
            said=said, loss=loss_words(loss), syrup=loss.syrup_gal, money=loss.money
        )
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
    between = range_words(loss)
    return f"{loss.sap_gal:,.0f}" + (f" ({between})" if between else "")


def range_words(loss: Loss) -> str:
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
    if (pump := report.pump) is not None:
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
    for said in (*pump_said(report, units), *standing_said(report, units)):
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


def strip(report: Leaks, block: BlockLeaks, width: int, units: str = "us") -> str:
    """A block on one line: `Upper Ridge  9 of 11 within 1 inHg  -34 gal  Ridge pair 3.5`."""
    worst = []
    for line in report.lines:
        if line.block == block.block and line.line in block.worst:
            lost = _("shut") if Sign.SHUT in line.signs else bare(line.lost_inhg or 0.0, units)
            worst.append(f"{line.line} {lost}")
    within = _("{n} of {read} within {aim}").format(
        n=block.within, read=block.read, aim=bare(report.aim_inhg, units)
    )
    parts = [within if block.read else _("not read")]
    if block.loss.sap_gal:
        parts.append(_("loses {gal:,.0f} gal").format(gal=block.loss.sap_gal))
    said = f"{block.block}  " + ", ".join(parts) + ("   " + ", ".join(worst) if worst else "")
    return said if len(said) <= width else said[: max(0, width - 1)] + "~"


def leg_place(leg: Leg) -> str:
    """`Upper Ridge / 2 Ridge pair`."""
    return place(leg.block, f"{leg.order} {leg.line}" if leg.line != leg.block else leg.line)


def unknown_said(walk: WalkPlan) -> Iterator[str]:
    """Lines that leak, and nobody knows how much: no sum says when to walk them."""
    for leg in walk.unknown:
        yield _("! {where} leaks, and nobody read how much: {says}").format(
            where=leg_place(leg), says=leg.says
        )


def stop_said(walk: WalkPlan) -> str:
    """`Stop here: ...`: what is left loses less than walking it costs."""
    rule = _("in {days:g} days at {value:.2f} a gallon; an hour costs {wage:.2f}").format(
        days=walk.days, value=walk.value_per_gal, wage=walk.wage_per_hour
    )
    if not (walk.rest or walk.legs or walk.later or walk.unknown):
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


def file_name(report: Leaks, again: int = 1) -> str:
    """The name of the walk's file: `leaks-2027-02-09.pdf`.

    Args:
        report: The leaks.
        again: Which try it is: another file may have the name.
    """
    return f"leaks-{report.as_of}" + (f"-{again}" if again > 1 else "") + ".pdf"
