"""Lines and areas cut off where a box ends, so that nothing is drawn beside a chart."""

from collections.abc import Sequence
from itertools import pairwise

from msgspec import Struct

Spot = tuple[float, float]


class Box(Struct, frozen=True):
    """A box, in millimetres from the top left of what it is part of."""

    left: float
    top: float
    right: float
    bottom: float

    def holds(self, spot: Spot) -> bool:
        x, y = spot
        return self.left <= x <= self.right and self.top <= y <= self.bottom


def clip_line(spots: Sequence[Spot], box: Box) -> list[tuple[Spot, ...]]:
    """The pieces of a line that are inside a box."""
    runs: list[list[Spot]] = []
    for start, end in pairwise(spots):
        inside = _clip_straight(start, end, box)
        if inside is None:
            continue
        if runs and runs[-1][-1] == inside[0]:  # one run: its dashes go on
            runs[-1].append(inside[1])
        else:
            runs.append(list(inside))
    return [tuple(run) for run in runs]


def _clip_straight(start: Spot, end: Spot, box: Box) -> tuple[Spot, Spot] | None:
    """What is inside of a straight line, after Liang and Barsky (1984); None if nothing is."""
    (x, y), (to_x, to_y) = start, end
    first, last = 0.0, 1.0
    for step, room in (
        (x - to_x, x - box.left),
        (to_x - x, box.right - x),
        (y - to_y, y - box.top),
        (to_y - y, box.bottom - y),
    ):
        if step == 0:
            if room < 0:
                return None
        elif step < 0:
            first = max(first, room / step)
        else:
            last = min(last, room / step)
    if first > last:
        return None

    def at(share: float) -> Spot:
        return x + share * (to_x - x), y + share * (to_y - y)

    return at(first) if first else start, at(last) if last < 1 else end


def clip_area(corners: Sequence[Spot], box: Box) -> tuple[Spot, ...]:
    """What is inside of an area, edge by edge, after Sutherland and Hodgman (1974)."""
    spots = list(corners)
    for edge in (
        _Edge(0, box.left, 1),
        _Edge(0, box.right, -1),
        _Edge(1, box.top, 1),
        _Edge(1, box.bottom, -1),
    ):
        spots = edge.clip(spots)
    return tuple(spots)


class _Edge(Struct, frozen=True):
    """An edge of a box: which axis it cuts, where, and on which side (1: beyond) the box is."""

    axis: int
    at: float
    side: int

    def within(self, spot: Spot) -> float:
        """How far a spot is on the side of the box; negative on the other."""
        return self.side * (spot[self.axis] - self.at)

    def clip(self, corners: list[Spot]) -> list[Spot]:
        kept: list[Spot] = []
        for before, here in zip([*corners[-1:], *corners[:-1]], corners, strict=True):
            a, b = self.within(before), self.within(here)
            if (a < 0) != (b < 0):
                share = a / (a - b)
                (x, y), (to_x, to_y) = before, here
                kept.append((x + share * (to_x - x), y + share * (to_y - y)))
            if b >= 0:
                kept.append(here)
        return kept
