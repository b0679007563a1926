"""A page as plain text: what a simple printer or a chat message can carry, charts too."""

from collections.abc import Iterator, Sequence
from datetime import date
from itertools import pairwise
from textwrap import wrap

from fieldbook.reports.charts import Band, Chart, Series
from fieldbook.reports.listing import said
from fieldbook.reports.page import Page, Section
from fieldbook.reports.render.figure import nothing_said
from fieldbook.reports.render.folded import fold
from fieldbook.reports.render.listings import listing_lines
from fieldbook.reports.render.plot import Layer, Point, between, plot
from fieldbook.reports.render.text import WIDTH
from fieldbook.season.dates import brief_day

HEIGHT = 10
"""Rows of a chart."""

MARKS = {"step": "#=%", "dashed": "-~_", "bars": "|[/", "marks": "ox@", "line": "*+&"}
"""Marks of each look, in the order in which series take them."""

MORE = "abcdefghijklmnpqrstuvwyz"
"""Marks when those are taken."""

BAND, BLANK = ":", " "


def chart_lines(chart: Chart, *, width: int, height: int) -> list[str]:
    """A chart in plain characters, with a mark for each series.

    Args:
        chart: The chart.
        width: Characters the whole chart takes.
        height: Rows the curve takes, without axis and labels.
    """
    if chart.band is None and not any(series.points for series in chart.series):
        return [nothing_said()]
    first, last = (float(day.toordinal()) for day in (chart.first, chart.last))
    layers = [Layer(BLANK, "", ((first, chart.low), (last, chart.low)))]  # all the days there are
    if chart.band is not None:
        layers.append(Layer(BAND, chart.band.label, tuple(_band(chart.band, width, height))))
    marks = _marks(chart.series)
    for series, mark in zip(chart.series, marks, strict=True):
        spots = tuple(
            (x, y) for x, y in _walked(series, chart, width, height) if first <= x <= last
        )
        layers.append(Layer(mark, series.label, spots))
    *lines, _legend = plot(
        layers,
        width=width,
        height=height,
        x_word=lambda day: brief_day(date.fromordinal(round(day))),
        y_word=lambda value: _value(value, chart),
        y_from=chart.low,
        y_to=chart.high if chart.high > chart.low else chart.low + 1,
    )
    names = [f"{mark} {s.label}" for s, mark in zip(chart.series, marks, strict=True) if s.points]
    if chart.band is not None:
        names.insert(0, f"{BAND} {chart.band.label}")
    return [*lines, *_beside(names, width, indent=lines[height].index("+") + 1)]


def _value(value: float, chart: Chart) -> str:
    """A value at the axis, with as many places as tell it from its neighbours."""
    range_ = chart.high - chart.low
    return said(round(value, 0 if range_ >= 20 else 1 if range_ >= 2 else 2))


def _marks(series: Sequence[Series]) -> list[str]:
    """A mark for each series, no two the same as long as there are any left."""
    taken: list[str] = []
    for one in series:
        free = (mark for mark in MARKS[one.look] + MORE if mark not in taken)
        taken.append(next(free, "?"))
    return taken


def _walked(series: Series, chart: Chart, width: int, height: int) -> Iterator[Point]:
    """Points close enough to one another that no gap is left between them."""
    points = [(float(day.toordinal()), value) for day, value in series.points]
    if series.look == "bars":
        base = min(max(0.0, chart.low), chart.high)
        for x, value in points:
            if value != base:
                yield from between((x, base), (x, value), 2 * height)
    elif series.look == "marks" or len(points) == 1:
        yield from points
    else:
        for (x, y), (to_x, to_y) in pairwise(points):
            if series.look == "step":  # it keeps its height until it changes
                yield from between((x, y), (to_x, y), 2 * width)
                yield from between((to_x, y), (to_x, to_y), 2 * height)
            else:
                yield from between((x, y), (to_x, to_y), 2 * max(width, height))


def _band(band: Band, width: int, height: int) -> Iterator[Point]:
    """Every place between the early and the late days, straight from level to level."""
    levels = [
        (value, float(early.toordinal()), float(late.toordinal()))
        for value, early, late in band.levels
    ]
    for before, here in pairwise(levels) if len(levels) > 1 else [(levels[0], levels[0])]:
        for step in range(2 * height + 1):
            share = step / (2 * height)
            value, early, late = (a + (b - a) * share for a, b in zip(before, here, strict=True))
            yield from between((early, value), (late, value), width)


def _beside(names: Sequence[str], width: int, *, indent: int) -> list[str]:
    """Names beside one another, in as many rows as they need."""
    rows = [""]
    for name in names:
        if rows[-1] and indent + len(rows[-1]) + 3 + len(name) > width:
            rows.append("")
        rows[-1] += ("   " if rows[-1] else "") + name
    blanks = " " * indent
    folded = [
        wrap(row, max(20, width), initial_indent=blanks, subsequent_indent=blanks + "  ")
        if indent + len(row) > width
        else [blanks + row]
        for row in rows
    ]
    return [line for lines in folded for line in lines]


def words_lines(lines: Sequence[str], *, width: int = WIDTH) -> list[str]:
    """Lines of words, folded; what goes on stands two blanks in."""
    out: list[str] = []
    for line in lines:
        indent = line[: len(line) - len(line.lstrip())]
        hanging = indent + "  "
        out += wrap(line.strip(), width, initial_indent=indent, subsequent_indent=hanging) or [""]
    return out


def section_lines(section: Section, *, width: int, chart_height: int) -> list[str]:
    """A section with its title as plain lines.

    Args:
        section: The section.
        width: Characters a line may take; the numbers of a table are never cut.
        chart_height: Rows that the curve of a chart takes.
    """
    title = wrap(section.title, width) or [""]
    out = [*title, "-" * max(map(len, title)), *words_lines(section.lines, width=width)]
    for chart in section.charts:
        out += ["", *wrap(chart.title, width)]
        out += chart_lines(chart, width=width, height=chart_height)
        out += words_lines([chart.says], width=width) if chart.says else []
    for listing in section.listings:
        out += ["", *listing_lines(fold(listing, width), width=width)]
    return out


def page_text(page: Page) -> str:
    """A page as plain text."""
    out = [page.title, *wrap(page.heading, WIDTH, subsequent_indent="  ")]
    if page.lines:
        out += ["", *words_lines(page.lines)]
    for section in page.sections:
        out += ["", "", *section_lines(section, width=WIDTH, chart_height=HEIGHT)]
    return "\n".join(out) + "\n"
