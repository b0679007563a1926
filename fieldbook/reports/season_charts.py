"""The charts of a season: taps against the plan, vacuum by day, sap by day."""

from collections.abc import Sequence
from datetime import date
from statistics import fmean

from fieldbook.i18n import _, ngettext
from fieldbook.reports.charts import Band, Chart, Point, Series
from fieldbook.reports.forecast import Curve
from fieldbook.reports.sap import RunDay
from fieldbook.season.dates import brief_day
from fieldbook.season.vacuum import Gauges
from fieldbook.trade.units import kpa_from_inhg


def taps_chart(curve: Curve, as_of: date) -> Chart | None:
    """Taps in by day, the plan, and the band in which they go on; None before there is any."""
    if not curve.done and not curve.levels:
        return None
    done = list(curve.done)
    now = done[-1][1] if done else 0
    series = []
    if done and curve.wanted is not None and curve.wanted > done[0][0]:
        plan = ((done[0][0], 0.0), (curve.wanted, float(curve.planned)))
        series.append(Series(_("plan"), "dashed", plan))
    levels = []
    for level in curve.levels:
        finish = level.finish
        if finish.early is None or finish.late is None or finish.likely is None:
            break
        levels.append((float(level.units), finish.early, finish.likely, finish.late))
    if levels:
        likely = ((as_of, float(now)), *((day, units) for units, _e, day, _l in levels))
        series.append(Series(_("likely"), "line", likely))
    end = max(done[-1][0], as_of) if levels and done else (done[-1][0] if done else as_of)
    begun = [(done[0][0], 0.0)] if done else []  # so that a season of one day is seen
    steps = [*begun, *((day, float(units)) for day, units in done), (end, float(now))]
    series.append(Series(_("in"), "step", tuple(steps)))
    band = None
    if levels:
        going_on = [
            (float(now), as_of, as_of),
            *((u, early, late) for u, early, _d, late in levels),
        ]
        band = Band(_("8 times in 10"), tuple(going_on))
    days = [day for one in series for day, _value in one.points]
    days += [late for _u, _e, late in band.levels] if band else []
    return Chart(
        name="taps",
        title=_("Taps in by day"),
        unit=_("taps"),
        series=tuple(series),
        band=band,
        low=0.0,
        high=max([float(max(curve.planned, now, 1)), *(units for units, *_days in levels)]),
        first=min(days),
        last=max(days),
        says=_("{n:,} of {planned:,} taps in on {day}").format(
            n=now, planned=curve.planned, day=brief_day(as_of)
        ),
    )


def vacuum_chart(gauges: Gauges, units: str) -> Chart | None:
    """The pump's vacuum by day, and the mean of the lines that were read; None without readings."""
    pump = gauges.pump_days
    lines: dict[date, list[float]] = {}
    for state in gauges.lines():
        newest = {point.reading.day: point.vacuum_inhg for point in state.points}
        for day, vacuum_inhg in newest.items():
            lines.setdefault(day, []).append(vacuum_inhg)
    means = [(day, fmean(lines[day])) for day in sorted(lines)]
    if not pump and not means:
        return None
    metric = units == "metric"
    unit = "kPa" if metric else "inHg"

    def shown(points: Sequence[Point]) -> tuple[Point, ...]:
        return tuple((d, kpa_from_inhg(v) if metric else v) for d, v in points)

    series = (
        Series(_("pump"), "line", shown(pump)),
        Series(_("lines read that day, mean"), "marks", shown(means)),
    )
    values = [value for one in series for _day, value in one.points]
    days = [day for one in series for day, _value in one.points]
    margin = 3.0 if metric else 1.0
    return Chart(
        name="vacuum",
        title=_("Vacuum by day"),
        unit=unit,
        series=tuple(one for one in series if one.points),
        band=None,
        low=max(0.0, min(values) - margin),
        high=max(values) + margin,
        first=min(days),
        last=max(days),
        says=ngettext(
            "{n} day with readings, from {low:.1f} to {high:.1f} {unit}",
            "{n} days with readings, from {low:.1f} to {high:.1f} {unit}",
            len(set(days)),
        ).format(n=len(set(days)), low=min(values), high=max(values), unit=unit),
    )


def sap_chart(rows: Sequence[RunDay]) -> Chart | None:
    """Sap by day; a day that was not measured is marked, and has no bar. None without any."""
    sap = tuple((row.day, row.sap_gal) for row in rows if row.sap_gal is not None)
    if not sap:
        return None
    blank = tuple((row.day, 0.0) for row in rows if row.sap_gal is None)
    series = [Series(_("sap"), "bars", sap)]
    if blank:
        series.append(Series(_("not measured"), "marks", blank))
    best = max(sap, key=lambda point: point[1])
    return Chart(
        name="sap",
        title=_("Sap by day"),
        unit=_("gal"),
        series=tuple(series),
        band=None,
        low=0.0,
        high=max(best[1], 1.0),
        first=rows[0].day,
        last=rows[-1].day,
        says=ngettext(
            "{n} day measured; the best, {day}, brought {gal:,.0f} gal",
            "{n} days measured; the best, {day}, brought {gal:,.0f} gal",
            len(sap),
        ).format(n=len(sap), day=brief_day(best[0]), gal=best[1]),
    )
