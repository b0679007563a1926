"""The curves of the reports: taps against the plan, and clean wood through the years."""

from collections.abc import Sequence
from datetime import date
from itertools import pairwise

from fieldbook.i18n import _
from fieldbook.reports.forecast import Curve, Level
from fieldbook.reports.leak_lines import LineLeaks
from fieldbook.reports.render.plot import Layer, Point, between, plot
from fieldbook.reports.vacuum import bare
from fieldbook.season.dates import brief_day
from fieldbook.trade.zone import ZoneYear


def season_curve(curve: Curve, as_of: date, *, width: int, height: int) -> list[str]:
    """Taps in by day, the plan, and the band in which they go on, as lines of text."""
    if not curve.done and not curve.levels:
        return []
    done = [(float(day.toordinal()), float(units)) for day, units in curve.done]
    now = done[-1][1] if done else 0.0
    band, likely = _band(curve.levels, as_of, now, width)
    end = float(as_of.toordinal())
    if done and not curve.levels:  # what is over ends where it ended, or was wanted
        wanted = curve.wanted.toordinal() if curve.wanted else 0
        end = min(end, max(done[-1][0], float(wanted)))
    done.append((end, now))
    walked = [point for start, end in pairwise(done) for point in between(start, end, width)]
    layers = [
        Layer(":", _("8 times in 10"), tuple(band)),
        Layer("-", _("plan"), tuple(_plan(curve, done[0][0], width))),
        Layer("+", _("likely"), tuple(likely)),
        Layer("#", _("in"), tuple(walked or done)),
    ]
    return plot(
        layers,
        width=width,
        height=height,
        x_word=lambda day: brief_day(date.fromordinal(round(day))),
        y_word=lambda units: f"{units:,.0f}",
        y_from=0,
        y_to=max(curve.planned, now),
    )


def _plan(curve: Curve, start: float, steps: int) -> list[Point]:
    """Straight from the first day to the day wanted."""
    if curve.wanted is None or curve.wanted.toordinal() <= start:
        return []
    return between((start, 0.0), (curve.wanted.toordinal(), float(curve.planned)), steps)


def _band(
    levels: Sequence[Level], as_of: date, now: float, width: int
) -> tuple[list[Point], list[Point]]:
    """The band, filled, and the likely line in it."""
    band: list[Point] = []
    likely: list[Point] = []
    before: Sequence[float] = (now, *3 * (float(as_of.toordinal()),))
    for level in levels:
        finish = level.finish
        days = [day.toordinal() for day in (finish.early, finish.likely, finish.late) if day]
        if len(days) < 3:
            break
        here = (level.units, *days)
        for step in range(7):
            units, early, middle, late = (
                a + (b - a) * step / 6 for a, b in zip(before, here, strict=True)
            )
            band += between((early, units), (late, units), width)
            likely.append((middle, units))
        before = here
    return band, likely


def wear_curve(years: Sequence[ZoneYear], aim: float, *, width: int, height: int) -> list[str]:
    """Clean wood by year, and the share to keep, as lines of text."""
    share = tuple((float(year.year), 100 * year.clean_share) for year in years)
    keep = between((share[0][0], 100 * aim), (share[-1][0], 100 * aim), width)
    return plot(
        [
            Layer("-", _("to keep"), tuple(keep)),
            Layer("*", _("clean wood"), share),
        ],
        width=width,
        height=height,
        x_word=lambda year: _("year {n:.0f}").format(n=year),
        y_word=lambda percent: f"{percent:.0f} %",
        y_from=min(100 * aim, *(y for _x, y in share)) - 1,
        y_to=100,
    )


def vacuum_curve(line: LineLeaks, *, width: int, height: int, units: str) -> list[str]:
    """Vacuum of a line by day, and of the pump beside it, as lines of text; none without any."""
    if not line.days:
        return []
    days = [float(day.day.toordinal()) for day in line.days]
    low = min(min(day.vacuum_inhg, day.pump_inhg) for day in line.days)
    high = max(max(day.vacuum_inhg, day.pump_inhg) for day in line.days)
    pump = list(zip(days, (day.pump_inhg for day in line.days), strict=True))
    walked = [point for start, end in pairwise(pump) for point in between(start, end, width)]
    return plot(
        [
            Layer("-", _("pump"), tuple(walked or pump)),
            Layer(
                "o", _("line"), tuple(zip(days, (d.vacuum_inhg for d in line.days), strict=True))
            ),
        ],
        width=width,
        height=height,
        x_word=lambda day: brief_day(date.fromordinal(round(day))),
        y_word=lambda vacuum: bare(vacuum, units),
        y_from=low if high - low >= 1 else low - 1,
        y_to=high,
    )
