"""A slope that one bad reading does not move."""

from collections.abc import Sequence
from itertools import combinations


def theil_sen(points: Sequence[tuple[float, float]]) -> float:
    """The slope of points: the median of the slopes between every two of them.

    Points that share an x have no slope between them. Every two are tried, so it is for some
    hundred points. Source: Theil 1950; Sen 1968.

    Args:
        points: x and y of each.

    Raises:
        ValueError: There are not two points with an x of their own.
    """
    from statistics import median

    slopes = [(y2 - y1) / (x2 - x1) for (x1, y1), (x2, y2) in combinations(points, 2) if x1 != x2]
    if not slopes:
        raise ValueError(f"points {len(points)}: out of range, two at different x or more")
    return median(slopes)
