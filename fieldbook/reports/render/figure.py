"""A chart laid out as lines, areas and words in millimetres, for a drawing or for paper.

Nothing is told by colour: series differ by how thick and how dashed they are, by their marks, and
by the grey of their bars, and a legend shows each of them as it is drawn.
"""

from collections.abc import Callable, Iterator, Sequence
from datetime import date
from itertools import pairwise
from typing import Literal

from msgspec import Struct

from fieldbook.i18n import _
from fieldbook.reports.charts import Chart, Series, day_ticks, ticks
from fieldbook.reports.render.clip import Box, Spot, clip_area, clip_line
from fieldbook.reports.render.looks import DOT, Pen, Stroke, mark_at, pens, sample
from fieldbook.reports.render.pdf import LEADING
from fieldbook.season.dates import brief_day

TEXT = 8.5
"""Size of the words in points."""

ROW = LEADING * TEXT
"""Height of a line of words."""

PLOT = 46.0
"""Height of what is between the axes."""

PAD, TICK, GAP = 2.5, 1.0, 1.5
"""White beside the first and last day and over the highest value; a tick; white between words."""

SWATCH = 9.0
"""Width of a sample in the legend."""

WIDEST_BAR, BAR_SHARE = 8.0, 0.8
"""How wide a bar may be, and how much of its day it takes."""

GRID, BAND = 0.8, 0.87
"""Greys: lines across the chart, and the band under the series; 0 is black."""

Measure = Callable[[str], float]
"""How wide words are, in millimetres, at the size of `TEXT`."""


class Words(Struct, frozen=True):
    """Words on one line.

    Attributes:
        x: Where they begin, end, or have their middle.
        y: Top of the line.
        text: The words.
        at: Which part of them is at `x`.
    """

    x: float
    y: float
    text: str
    at: Literal["start", "middle", "end"] = "start"


class Figure(Struct, frozen=True):
    """A chart laid out.

    Attributes:
        width: In millimetres.
        height: In millimetres.
        plot: What is between the axes.
        frame: Axes with their ticks, and lines across, drawn first.
        data: What is drawn for the band and the series, from below to the top.
        legend: The samples of the legend.
        words: All words.
    """

    width: float
    height: float
    plot: Box
    frame: tuple[Stroke, ...]
    data: tuple[Stroke, ...]
    legend: tuple[Stroke, ...]
    words: tuple[Words, ...]

    @property
    def strokes(self) -> tuple[Stroke, ...]:
        """All lines and areas, in the order in which they are drawn."""
        return self.frame + self.data + self.legend


def figure(chart: Chart, *, width: float, measure: Measure, plot: float = PLOT) -> Figure:
    """A chart laid out.

    Args:
        chart: The chart.
        width: What there is room for, in millimetres.
        measure: How wide words are.
        plot: Height of what is between the axes.
    """
    values = ticks(chart.low, chart.high)
    labels = number_words(values)
    left = max((measure(label) for label in labels), default=0) + TICK + GAP
    top = ROW + GAP  # the unit stands over the axis
    across = Across(chart, Box(left, top, width - PAD, top + plot))
    words = [Words(0, 0, chart.unit)]
    words += [
        Words(left - TICK - GAP / 2, across.y(value) - ROW / 2, label, "end")
        for value, label in zip(values, labels, strict=True)
    ]
    words += _days(across, width, measure)
    drawn = [(series, pen) for series, pen in pens(chart) if series.points]
    data = list(across.data(drawn))
    if not drawn and chart.band is None:
        middle = (across.box.left + across.box.right) / 2
        words.append(Words(middle, top + plot / 2 - ROW / 2, nothing_said(), "middle"))
    under = across.box.bottom + TICK + ROW + 2 * GAP
    legend, names, bottom = _legend(chart, drawn, under, width, measure)
    return Figure(
        width=width,
        height=bottom,
        plot=across.box,
        frame=tuple(across.frame(values)),
        data=tuple(data),
        legend=tuple(legend),
        words=tuple(word for word in (*words, *names) if word.text),
    )


def nothing_said() -> str:
    """What stands in a chart or a table with nothing in it."""
    return _("nothing to show yet")


def number_words(values: Sequence[float]) -> list[str]:
    """Values of an axis in words, all with as many places as one of them needs."""
    places = next(
        (n for n in range(9) if all(abs(round(v, n) - v) < 1e-9 for v in values)),
        9,
    )
    return [f"{value:z,.{places}f}" for value in values]


class Across:
    """Where days and values are in a box.

    Args:
        chart: The chart.
        box: What is between its axes.
    """

    def __init__(self, chart: Chart, box: Box) -> None:
        self.chart, self.box = chart, box
        days = (chart.last - chart.first).days + 1
        self.slot = (box.right - box.left) / max(1, days)
        bars = any(series.look == "bars" for series in chart.series)
        self._pad = max(PAD, self.slot / 2) if bars or days == 1 else PAD
        self._flat = chart.high <= chart.low and not bars  # on the axis it would not be seen

    def x(self, day: date) -> float:
        room = self.box.right - self.box.left - 2 * self._pad
        return self.box.left + self._pad + self.chart.across(day) * room

    def y(self, value: float) -> float:
        up = 0.5 + self.chart.up(value) if self._flat else self.chart.up(value)
        return self.box.bottom - up * (self.box.bottom - self.box.top - PAD)

    def frame(self, values: Sequence[float]) -> Iterator[Stroke]:
        """Lines across at the ticks, then the axes."""
        left, right, bottom = self.box.left, self.box.right, self.box.bottom
        for value in values:
            y = self.y(value)
            yield Stroke(((left, y), (right, y)), thick=0.1, ink=GRID)
            yield Stroke(((left - TICK, y), (left, y)))
        for day in self.days():
            yield Stroke(((self.x(day), bottom), (self.x(day), bottom + TICK)))
        yield Stroke(((left, self.box.top), (left, bottom), (right, bottom)), thick=0.3)

    def days(self) -> list[date]:
        return day_ticks(self.chart.first, self.chart.last)

    def data(self, drawn: Sequence[tuple[Series, Pen]]) -> Iterator[Stroke]:
        """The band, then each series over the ones before it."""
        yield from self._band()
        bars = [series for series, _pen in drawn if series.look == "bars"]
        for series, pen in drawn:
            if series.look == "bars":
                yield from self._bars(series, pen, bars.index(series), len(bars))
            elif series.look == "marks":
                yield from self._marks(series, pen)
            else:
                yield from self._line(series, pen)

    def _band(self) -> Iterator[Stroke]:
        if self.chart.band is None:
            return
        levels = self.chart.band.levels
        corners = [(self.x(early), self.y(value)) for value, early, _late in levels]
        corners += [(self.x(late), self.y(value)) for value, _early, late in reversed(levels)]
        inside = clip_area(corners, self.box)
        if inside:
            yield Stroke(inside, thick=0.1, ink=0.5, closed=True, fill=BAND)

    def _bars(self, series: Series, pen: Pen, at: int, of: int) -> Iterator[Stroke]:
        """Bars from nothing up, or down; those of one day stand beside one another."""
        low, high = self.chart.low, self.chart.high
        width = min(WIDEST_BAR, self.slot * BAR_SHARE) / of
        base = self.y(min(max(0.0, low), high))
        for day, value in series.points:
            x = self.x(day) - width * of / 2 + width * at
            tip = min(max(self.y(value), self.box.top), self.box.bottom)
            if tip != base and self.box.holds((self.x(day), base)):
                corners = ((x, base), (x, tip), (x + width, tip), (x + width, base))
                yield Stroke(corners, thick=0.15, closed=True, fill=pen.fill)

    def _marks(self, series: Series, pen: Pen) -> Iterator[Stroke]:
        for day, value in series.points:
            spot = (self.x(day), self.y(value))
            if self.box.holds(spot):
                yield from mark_at(spot, pen.mark)

    def _line(self, series: Series, pen: Pen) -> Iterator[Stroke]:
        spots = [(self.x(day), self.y(value)) for day, value in series.points]
        if series.look == "step":
            spots = held(spots)
        for run in clip_line(spots, self.box):
            yield Stroke(run, thick=pen.thick, dash=pen.dash)
        if len(series.points) == 1 and self.box.holds(spots[0]):
            yield from mark_at(spots[0], DOT)  # a line of one point would not be seen
        elif pen.mark:
            yield from self._marks(series, pen)


def held(spots: Sequence[Spot]) -> list[Spot]:
    """The corners of a line that keeps its height until the next spot."""
    out = list(spots[:1])
    for (_x, before), (x, y) in pairwise(spots):
        out += [(x, before), (x, y)]
    return out


def _days(across: Across, width: float, measure: Measure) -> Iterator[Words]:
    """The days under the axis, none over another or over the edge."""
    end = 0.0
    for day in across.days():
        said = brief_day(day)
        half = measure(said) / 2
        x = min(max(across.x(day), half), width - half)
        if x - half >= end:
            yield Words(x, across.box.bottom + TICK + GAP / 3, said, "middle")
            end = x + half + GAP


def _legend(
    chart: Chart,
    drawn: Sequence[tuple[Series, Pen]],
    top: float,
    width: float,
    measure: Measure,
) -> tuple[list[Stroke], list[Words], float]:
    """Samples and names beside one another, in as many rows as they need; where they end."""
    entries = [(sample(series.look, pen), series.label) for series, pen in drawn]
    if chart.band is not None:
        corners = ((0.0, 0.0), (SWATCH, 0.0), (SWATCH, 2.4), (0.0, 2.4))
        area = Stroke(corners, thick=0.1, ink=0.5, closed=True, fill=BAND)
        entries.append(((area,), chart.band.label))
    strokes: list[Stroke] = []
    words: list[Words] = []
    x, y = 0.0, top
    for shapes, label in entries:
        lines = _fold(label, width - SWATCH - 1.5, measure)
        wide = SWATCH + 1.5 + max(map(measure, lines)) + 5
        if x and x + wide - 5 > width:
            x, y = 0.0, y + ROW
        strokes += (shape.moved(x, y + 0.6) for shape in shapes)
        words += (Words(x + SWATCH + 1.5, y + n * ROW, line) for n, line in enumerate(lines))
        x, y = x + wide, y + (len(lines) - 1) * ROW
    return strokes, words, y + (ROW if entries else 0)


def _fold(text: str, width: float, measure: Measure) -> list[str]:
    """Words in lines no wider than they may be; one that is too long is broken."""
    lines = [""]
    for word in text.split():
        rest = word
        while rest:
            lead = f"{lines[-1]} " if lines[-1] else ""
            if measure(lead + rest) <= width:
                lines[-1] = lead + rest
                break
            if lines[-1]:
                lines.append("")
                continue
            fits = next((n for n in range(len(rest), 1, -1) if measure(rest[:n]) <= width), 1)
            lines[-1], rest = rest[:fits], rest[fits:]
            lines += [""] if rest else []
    return lines
