"""Where the numbers of the vacuum come from: readings, rules, and the sum with the numbers in."""

from collections.abc import Iterator

from fieldbook.i18n import _
from fieldbook.reports.leaks import Leaks
from fieldbook.reports.leaks_words import uncertainty
from fieldbook.reports.vacuum import gauge_words, pump_words
from fieldbook.reports.whence import Whence
from fieldbook.reports.words import place, rule_source, signed_entry
from fieldbook.season.plan import Plan
from fieldbook.season.season import Season
from fieldbook.season.vacuum import Gauges, LineVacuum
from fieldbook.trade import sources

RULES = (
    *("sap_gal_per_tap_day", "sap_at_inhg", "sap_pct_per_inhg", "sap_value_per_gal"),
    *("vacuum_loss_inhg", "pump_vacuum_inhg", "elevation_ft", "wage_per_hour", "leak_days"),
)
"""The rules that the vacuum is told by."""


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
    rows = [f"{point.reading.id} {gauge_words(point, units)}" for point in state.latest]
    for point in state.latest[-1:]:
        read = point.pump.reading
        said = pump_words(point.pump, units)
        rows.append(f"{read.id} {said}" if read is not None else said)
    rows += [
        f"{signed_entry(point.reading)}: {gauge_words(point, units)}"
        for point in reversed(state.points[:-1])
    ][:5]
    yield where, tuple(rows) or (_("nobody has read it yet"),)
    if state.lost_inhg is not None and not state.shut:
        each, pct = plan.number("sap_gal_per_tap_day"), plan.number("sap_pct_per_inhg")
        at_inhg = plan.number("sap_at_inhg")
        less = _(" / (1 + {pct:g} % x {at:g})").format(pct=pct, at=at_inhg) if at_inhg else ""
        yield (
            _("What it loses in a day when sap runs"),
            (
                _("{taps:,} taps x {each:g} gal{less} x {pct:g} % x {lost:.1f} inHg").format(
                    taps=state.taps, each=each, less=less, pct=pct, lost=state.lost_inhg
                ),
                _("source: {source}").format(source=sources.VACUUM_GAIN),
            ),
        )


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
        pace = _("{ft:,.0f} ft an hour, from {hours:g} hours of record and the book's rate").format(
            ft=walk.feet_per_hour, hours=round(walk.record_hours, 1)
        )
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
