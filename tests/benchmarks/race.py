"""Contenders measured in turn, and the rows that say how they came in."""

import operator
from collections import defaultdict, deque
from collections.abc import Callable
from pathlib import Path
from statistics import median
from time import perf_counter
from typing import NamedTuple

CHECKOUT = Path(__file__).parents[2]

_RULES: dict[str, Callable[[float, float], bool]] = {"<": operator.lt, "<=": operator.le}


class Row(NamedTuple):
    """One thing measured.

    Attributes:
        unit: Of `ours` and `theirs`, which are None where nothing was measured.
        target: What is to hold, `<= 1.6`: of the ratio or, with nobody beside us, of `ours`.
    """

    name: str
    unit: str = ""
    ours: float | None = None
    theirs: float | None = None
    target: str = ""
    note: str = ""

    @property
    def ratio(self) -> float | None:
        return self.ours / self.theirs if self.ours is not None and self.theirs else None

    @property
    def missed(self) -> bool:
        figure = self.ours if self.theirs is None else self.ratio
        if figure is None or not self.target:
            return False
        rule, limit = self.target.split()
        return not _RULES[rule](figure, float(limit))

    def __str__(self) -> str:
        figures = ((self.ours, self.unit), (self.theirs, self.unit), (self.ratio, "x"))
        cells = ["-" if figure is None else f"{figure:,.2f} {unit}" for figure, unit in figures]
        target = f"{self.target} {'x' if self.theirs else self.unit}" if self.target else "-"
        verdict = "MISSED" if self.missed else "ok" if self.target else ""
        return COLUMNS.format(self.name, *cells, target, verdict, self.note).rstrip()


COLUMNS = "{:<44}{:>14}{:>14}{:>10}  {:<11}{:<8}{}"
HEADS = COLUMNS.format("", "ours", "theirs", "ratio", "target", "", "").rstrip()


def timed(action: Callable[[], object]) -> Callable[[], float]:
    """A contender that takes as many seconds as an action does."""

    def run() -> float:
        begin = perf_counter()
        action()
        return perf_counter() - begin

    return run


def race(rounds: int, contenders: dict[str, Callable[[], float]]) -> dict[str, float]:
    """Median seconds of each contender.

    They run in turn, so that a noisy neighbour hits all alike, and each round begins with another
    one, so that none always runs in the wake of the same.
    """
    seconds = defaultdict[str, list[float]](list)
    turn = deque(contenders)
    for _round in range(rounds):
        for name in turn:
            seconds[name].append(contenders[name]())
        turn.rotate()
    return {name: median(times) for name, times in seconds.items()}
