"""Charts as data, for any renderer: what was measured by day, and what was planned beside it."""

from datetime import date, timedelta
from math import ceil, floor, log10
from typing import Literal

from msgspec import Struct

Point = tuple[date, float]

Look = Literal["step", "dashed", "bars", "marks", "line"]
"""How values are drawn: what holds until it changes, a plan, amounts of days, readings, a curve."""


class Series(Struct, frozen=True):
    """Values by day, drawn in one look that needs no colour to be told from the others.

    Attributes:
        label: What it stands for.
        look: How it is drawn.
        points: Days and values, the first first.
    """

    label: str
    look: Look
    points: tuple[Point, ...]


class Band(Struct, frozen=True):
    """Where a curve goes on: for each value the early and the late day on which it is reached.

    Attributes:
        label: What it stands for.
        levels: Value, early day, late day; values rise.
    """

    label: str
    levels: tuple[tuple[float, date, date], ...]


class Chart(Struct, frozen=True):
    """A chart: days across, values up.

    Attributes:
        name: Short name, by which it is asked for.
        title: What stands above it, with the unit.
        unit: Unit of the values.
        series: What is drawn, the last on top.
        band: Drawn under everything; None without one.
        low: Least value of the axis.
        high: Greatest value.
        first: First day of the axis.
        last: Last day.
        says: The chart in words, for who cannot see it.
    """

    name: str
    title: str
    unit: str
    series: tuple[Series, ...]
    band: Band | None
    low: float
    high: float
    first: date
    last: date
    says: str

    def across(self, day: date) -> float:
        """Where a day is between the first (0) and the last (1)."""
        return (day - self.first).days / max(1, (self.last - self.first).days)

    def up(self, value: float) -> float:
        """Where a value is between the least (0) and the greatest (1)."""
        return (value - self.low) / ((self.high - self.low) or 1)


def ticks(low: float, high: float, *, most: int = 5) -> list[float]:
    """Round numbers from one value to another, 1, 2 or 5 times a power of ten apart."""
    rough = (high - low) / max(1, most - 1)
    if rough <= 0:
        return [low]
    power = 10.0 ** floor(log10(rough))
    step = next(n * power for n in (1, 2, 5, 10) if n * power >= rough * (1 - 1e-9))
    first, last = ceil(low / step - 1e-9), floor(high / step + 1e-9)
    return [round(n * step, 9) for n in range(first, last + 1)]


def day_ticks(first: date, last: date, *, most: int = 8) -> list[date]:
    """Days to write under the axis, evenly apart: every day, some days, weeks or months."""
    days = (last - first).days
    apart = next((n for n in (1, 2, 7, 14, 28, 56) if days / n < most), 112)
    return [first + timedelta(days=n) for n in range(0, days + 1, apart)]
