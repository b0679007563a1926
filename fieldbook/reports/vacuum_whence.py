"""Where the numbers of the vacuum come from: readings, rules, and the sum with the numbers in."""

from collections.abc import Iterator

from fieldbook.i18n import _
from fieldbook.reports.leaks import Leaks
from fieldbook.reports.leaks_words import uncertainty
from fieldbook.reports.vacuum import gauge_words, pump_words, vacuum_words
from fieldbook.reports.whence import Whence
from fieldbook.reports.words import place, rule_source, signed_entry
from fieldbook.season.plan import Plan
from fieldbook.season.sap import sap_lost, sap_of_tap
from fieldbook.season.season import Season
from fieldbook.season.vacuum import Gauges, LineVacuum
from fieldbook.trade import sources

RULES = (
    *("sap_gal_per_tap_day", "sap_at_inhg", "sap_pct_per_inhg", "sap_value_per_gal"),
    *("vacuum_loss_inhg", "pump_vacuum_inhg", "elevation_ft", "wage_per_hour", "leak_days"),
)
"""The rules that the vacuum is told by."""

BEFORE = 5
"""Readings before the last day's that are named."""


def vacuum_whence(
    season: Season, report: Leaks, gauges: Gauges, block: str, line: str, units: str
) -> list[Whence]:
    """Where the numbers of the vacuum come from, those of one line before all.

    Args:
        season: The season.
        report: What is shown.
        gauges: The readings.
        block: Block of the line the cursor stands on; empty if it stands on none.
        line: The line.
        units: `us` or `metric`.
    """
    plan = season.plan
    told: list[Whence] = []
    at = plan.line(block, line)
    if at is not None:
        told += _line(plan, gauges.line(at), units)
    return [*told, *_common(plan, report)]


def _line(plan: Plan, state: LineVacuum, units: str) -> Iterator[Whence]:
    """The readings of a line, and what it loses, by the sum."""
    where = place(state.line.block, state.line.line)
    yield where, tuple(_read(state, units)) or (_("nobody has read it yet"),)
    yield _("What it loses in a day when sap runs"), tuple(_loses(plan, state, units))


def _read(state: LineVacuum, units: str) -> Iterator[str]:
    """The last day's readings, the pump's beside them, and those before of the gauge that tells."""
    for point in state.latest:
        yield f"{signed_entry(point.reading)}: {gauge_words(point, units)}"
    if state.last is not None:
        pump = state.last.pump
        said = pump_words(pump, units)
        yield said if pump.reading is None else f"{signed_entry(pump.reading)}: {said}"
    for point in state.points[-2 : -2 - BEFORE : -1]:
        yield f"{signed_entry(point.reading)}: {gauge_words(point, units)}"


def _loses(plan: Plan, state: LineVacuum, units: str) -> Iterator[str]:
    """The sum with the numbers of a line in; or why there is none."""
    each, pct = plan.number("sap_gal_per_tap_day"), plan.number("sap_pct_per_inhg")
    at_inhg, pump_inhg = plan.number("sap_at_inhg"), plan.number("pump_vacuum_inhg")
    less = _(" / (1 + {pct:g} % x {at:g})").format(pct=pct, at=at_inhg) if at_inhg else ""
    if state.shut:
        yield _("The valve is shut: it loses all its sap at the pump's vacuum, by the book.")
        yield _(
            "{taps:,} taps x {each:g} gal x (1 + {pct:g} % x {pump:g}){less} = {gal:,.1f} gal"
        ).format(
            taps=state.taps,
            each=each,
            pct=pct,
            pump=pump_inhg,
            less=less,
            gal=state.taps * sap_of_tap(plan),
        )
        yield _("shut by {entry}").format(entry=signed_entry(state.shut[-1]))
    elif state.lost_inhg is not None:
        lost = _("{n:.1f} inHg").format(n=state.lost_inhg)
        if units == "metric":
            lost += f" ({vacuum_words(state.lost_inhg, units)})"
        yield _("{taps:,} taps x {each:g} gal{less} x {pct:g} % x {lost} = {gal:,.1f} gal").format(
            taps=state.taps,
            each=each,
            less=less,
            pct=pct,
            lost=lost,
            gal=sap_lost(plan, state.taps, state.lost_inhg),
        )
    elif state.last is not None:
        yield _("Its gauge reads more than the pump's: what it loses is not known.")
    else:
        yield _("Nobody has read it: what it loses is not known.")
    yield _("source: {source}").format(source=sources.VACUUM_GAIN)


def _common(plan: Plan, report: Leaks) -> Iterator[Whence]:
    walk = report.walk
    yield (
        _("The rules"),
        tuple(
            said
            for name in RULES
            for said in (f"{name} = {plan.setting(name)}", "  " + rule_source(plan, name))
        ),
    )
    pace = _("No length is known: lines are walked by their taps (rate_readings).")
    if walk.feet_per_hour is not None:
        said = _("{ft:,.0f} ft an hour, by the book's rate")
        if walk.record_hours:
            said = _("{ft:,.0f} ft an hour, from {hours:g} h of record and the book's rate")
        pace = said.format(ft=walk.feet_per_hour, hours=round(walk.record_hours, 1))
    yield (
        _("The way"),
        (pace, "  " + rule_source(plan, "rate_readings"), _("source: {s}").format(s=sources.WALK)),
    )
    yield (
        _("What readings point at"),
        (
            _("The ceiling: {source}").format(source=sources.ATMOSPHERE),
            _("The aim: {source}").format(source=sources.VACUUM_LOSS),
            _("A line that sinks: {source}").format(source=sources.TREND),
            _("A valve test: {source}").format(source=sources.VALVE_TEST),
            _("A gauge that is off, a full pipe, a line cut off: common practice, no source"),
        ),
    )
    yield _("How sure that is"), (uncertainty(report),)
