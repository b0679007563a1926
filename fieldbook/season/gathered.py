"""Sap and syrup day by day. A day that nobody measured is blank: it is not a zero."""

from collections.abc import Callable, Iterable
from datetime import date
from math import fsum

from msgspec import Struct

from fieldbook.book.entry import Run
from fieldbook.season.sap import brix_of, sap_gal_of, sweet_runs, syrup_gal_of

Measure = Callable[[Run], float | None]


class Day(Struct, frozen=True):
    """What a day brought.

    Attributes:
        day: The day.
        sap_gal: Sap; None if nobody measured it.
        brix: Its sweetness; None if nobody took it.
        sweet: Gallons and Brix of each tank of which both are known.
        syrup_gal: Syrup made; None if nobody said.
        blocks: Blocks whose own measures the sap is the sum of; none where that of the whole
            sugarbush was measured, or nobody measured any.
        syrup_blocks: The same of the syrup.
    """

    day: date
    sap_gal: float | None
    brix: float | None
    sweet: tuple[tuple[float, float], ...]
    syrup_gal: float | None
    blocks: tuple[str, ...] = ()
    syrup_blocks: tuple[str, ...] = ()

    @property
    def ran(self) -> bool:
        """Whether sap came: it was measured, or it was not and syrup was made."""
        return bool(self.sap_gal) or (self.sap_gal is None and bool(self.syrup_gal))


def by_day(runs: Iterable[Run], block: str = "") -> list[Day]:
    """The days on which anything was written down, the first first.

    Of a day on which the whole sugarbush was measured that measure counts, and those of its blocks
    are parts of it; else the blocks' are added up. Sap and syrup are told apart: sap is measured
    at the blocks' tanks and syrup at the sugarhouse.

    Args:
        runs: Runs of the season.
        block: Only what is told of this block; all of the sugarbush if it is empty.
    """
    days: dict[date, list[Run]] = {}
    for run in runs:
        if block in ("", run.block):
            days.setdefault(run.day, []).append(run)
    return [_day(day, days[day]) for day in sorted(days)]


def _day(day: date, runs: list[Run]) -> Day:
    sap, told = _told(runs, sap_gal_of)
    syrup, made = _told(runs, syrup_gal_of)
    sweet = sweet_runs(told) or sweet_runs(runs)
    alone = {run.brix for run in runs if run.brix is not None}
    return Day(
        day=day,
        sap_gal=sap,
        brix=brix_of(told) or brix_of(runs) or (alone.pop() if len(alone) == 1 else None),
        sweet=tuple(sweet),
        syrup_gal=syrup,
        blocks=_blocks(told),
        syrup_blocks=_blocks(made),
    )


def _told(runs: list[Run], measure: Measure) -> tuple[float | None, list[Run]]:
    """What a measure comes to on a day, and the runs that it is the sum of."""
    told = [run for run in runs if measure(run) is not None]
    told = [run for run in told if not run.block] or told
    return (fsum(measure(run) or 0.0 for run in told) if told else None), told


def _blocks(runs: list[Run]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(run.block for run in runs if run.block))
