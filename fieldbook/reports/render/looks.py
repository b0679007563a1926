"""How series of a chart are told apart without a colour: dashes, marks, greys of bars."""

from collections import Counter
from collections.abc import Iterator
from math import cos, pi, sin

from msgspec import Struct

from fieldbook.reports.charts import Chart, Look, Series
from fieldbook.reports.render.clip import Spot

RADIUS = 1.1
"""Half the size of a mark, in millimetres."""

DOT = "dot"

MARKS = ("circle", "square", "cross", "triangle", "plus", "diamond")
"""Marks in the order in which series take them."""

FILLS = (0.75, 1.0, 0.0, 0.45)
"""Greys of bars, in the same order; 1 is white."""

THICK = {"step": 0.65, "line": 0.3, "dashed": 0.35, "bars": 0.15, "marks": 0.2}

DASHES: dict[str, tuple[tuple[float, float] | None, ...]] = {
    "step": (None, (2.6, 0.9), (0.8, 0.8)),
    "line": (None, (4.5, 1.0), (0.3, 0.7)),
    "dashed": ((1.6, 1.1), (0.5, 1.2), (3.4, 1.6)),
}
"""Dash and gap in millimetres; None is a line that is not broken."""


class Pen(Struct, frozen=True):
    """How one series is drawn.

    Attributes:
        thick: Of its line, in millimetres.
        dash: Dash and gap of its line.
        mark: At its points; empty for none.
        fill: Grey of its bars.
    """

    thick: float
    dash: tuple[float, float] | None = None
    mark: str = ""
    fill: float = 1.0


class Stroke(Struct, frozen=True):
    """A line through spots, or the edge of an area.

    Attributes:
        spots: In millimetres from the top left.
        thick: In millimetres.
        dash: Dash and gap; None for a line that is not broken.
        closed: Whether the last spot is joined to the first.
        fill: Grey of the area; None for none, 0 is black.
        ink: Grey of the line.
    """

    spots: tuple[Spot, ...]
    thick: float = 0.2
    dash: tuple[float, float] | None = None
    closed: bool = False
    fill: float | None = None
    ink: float = 0.0

    def moved(self, x: float, y: float) -> "Stroke":
        """The same at another place."""
        spots = tuple((at + x, down + y) for at, down in self.spots)
        return Stroke(spots, self.thick, self.dash, self.closed, self.fill, self.ink)


def pens(chart: Chart) -> Iterator[tuple[Series, Pen]]:
    """Each series with its pen: no two of one look have the same."""
    seen: Counter[Look] = Counter()
    for series in chart.series:
        yield series, _pen(series.look, seen[series.look])
        seen[series.look] += 1


def _pen(look: Look, nth: int) -> Pen:
    thick = THICK[look]
    if look == "bars":
        return Pen(thick, fill=FILLS[nth % len(FILLS)])
    if look == "marks":
        return Pen(thick, mark=MARKS[nth % len(MARKS)])
    dashes = DASHES[look]
    again, which = divmod(nth, len(dashes))  # when all dashes are taken, lines get marks
    return Pen(thick, dashes[which], MARKS[(again - 1) % len(MARKS)] if again else "")


def mark_at(middle: Spot, mark: str) -> Iterator[Stroke]:
    """A mark, drawn around its middle."""
    x, y = middle
    r = RADIUS

    def corners(*turns: float, size: float = r) -> tuple[Spot, ...]:
        """Spots on a circle, each so many parts of a full turn from the top."""
        return tuple((x + size * sin(2 * pi * t), y - size * cos(2 * pi * t)) for t in turns)

    if mark in ("circle", DOT):
        size, fill = (r, 1.0) if mark == "circle" else (r * 0.7, 0.0)
        yield Stroke(corners(*(n / 16 for n in range(16)), size=size), 0.3, closed=True, fill=fill)
    elif mark in ("cross", "plus"):
        turn = 0.125 if mark == "cross" else 0.0
        yield Stroke(corners(turn, turn + 0.5), 0.3)
        yield Stroke(corners(turn + 0.25, turn + 0.75), 0.3)
    else:
        turns, fill = {
            "square": ((0.125, 0.375, 0.625, 0.875), 0.0),
            "triangle": ((0, 1 / 3, 2 / 3), 1.0),
            "diamond": ((0, 0.25, 0.5, 0.75), 0.0),
        }[mark]
        yield Stroke(corners(*turns), 0.3, closed=True, fill=fill)


def sample(look: Look, pen: Pen, *, width: float = 9.0, height: float = 2.4) -> tuple[Stroke, ...]:
    """A series as a legend shows it, from the top left."""
    middle = height / 2
    if look == "bars":
        corners = ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height))
        return (Stroke(corners, thick=pen.thick, closed=True, fill=pen.fill),)
    if look == "marks":
        return tuple(s for x in (0.2, 0.5, 0.8) for s in mark_at((x * width, middle), pen.mark))
    spots: tuple[Spot, ...]
    if look == "step":
        spots = ((0.0, height), (width / 2, height), (width / 2, 0.0), (width, 0.0))
    else:
        spots = ((0.0, middle), (width, middle))
    line = Stroke(spots, thick=pen.thick, dash=pen.dash)
    return (line, *(mark_at((width / 2, middle), pen.mark) if pen.mark else ()))
