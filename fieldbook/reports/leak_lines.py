"""A line as its gauges tell it, as data: what was read, what that costs, what it points at."""

from datetime import date, datetime
from typing import Literal

from msgspec import Struct

from fieldbook.reports.vacuum import signs_said
from fieldbook.reports.words import leak_words
from fieldbook.season.readings import ceiling_inhg
from fieldbook.season.sap import Loss, loss_of, lost_of, sap_of_tap, season_brix, shut_off
from fieldbook.season.vacuum import Gauges, LineVacuum
from fieldbook.season.walking import Walker
from fieldbook.season.woods import leaks

Below = Literal["pump", "ceiling"]
"""What a line is told against: the pump's vacuum, or the most there can be at that height."""


class GaugeRead(Struct, frozen=True):
    """The newest reading of a gauge of a line."""

    place: str
    pipe: str
    vacuum_inhg: float
    at: datetime
    who: str
    entry: str
    note: str


class DayRead(Struct, frozen=True):
    """A line, or a pump, on a day: its last reading then, and the pump's beside it."""

    day: date
    vacuum_inhg: float
    pump_inhg: float


class LineLeaks(Struct, frozen=True):
    """A line as its gauges tell it.

    Attributes:
        block: Its block.
        line: Its name.
        order: Its number in the block.
        layout: single or pair.
        taps: Taps in.
        under_vacuum: Taps that the pump reaches: none while the valve is shut.
        gauges: The newest reading of each gauge, of the last day it was read.
        vacuum_inhg: Vacuum of the gauge that tells the line; None if it was never read.
        read: When that was.
        pump_inhg: The pump's vacuum beside it.
        pump_read: Whether the pump was read that day; else it is the book's number.
        lost_inhg: Vacuum lost; None if it was not read, or its gauge is off.
        loss: What that costs in a day; None where it is not known.
        slope_inhg_day: Vacuum lost from day to day; None with too few readings.
        signs: What its readings point at, in a word each.
        says: The same in sentences.
        leaks: Leaks found there and not mended, in words.
        hours: Person-hours it takes to walk.
        days: Its vacuum by day.
    """

    block: str
    line: str
    order: int
    layout: str
    taps: int
    under_vacuum: int
    gauges: tuple[GaugeRead, ...]
    vacuum_inhg: float | None
    read: datetime | None
    pump_inhg: float | None
    pump_read: bool
    lost_inhg: float | None
    loss: Loss | None
    slope_inhg_day: float | None
    signs: tuple[str, ...]
    says: tuple[str, ...]
    leaks: tuple[str, ...]
    hours: float
    days: tuple[DayRead, ...]


class Teller:
    """Tells lines one by one, with what they share.

    Args:
        gauges: The readings of the season.
        pace: How fast the crew walks.
        below: Against what the lines are told.
        units: `us` or `metric`: for what is said in words.
    """

    def __init__(self, gauges: Gauges, pace: Walker, below: Below, units: str) -> None:
        self.gauges, self.pace, self.below, self.units = gauges, pace, below, units
        self.plan = gauges.ledger.plan
        self.brix = season_brix(gauges.ledger)
        self._open: dict[tuple[str, str], list[str]] = {}
        self._costs: dict[tuple[str, str], float] = {}
        for leak in leaks(gauges.ledger):
            where, costs = (leak.block, leak.line), lost_of(leak)
            self._open.setdefault(where, []).append(leak_words(leak))
            if costs is not None:
                self._costs[where] = max(costs, self._costs.get(where, 0.0))

    def line(self, state: LineVacuum) -> LineLeaks:
        """A line as its gauges tell it."""
        line, last, lost = state.line, state.last, self._lost(state)
        by_day = {point.reading.day: point for point in state.points}
        return LineLeaks(
            block=line.block,
            line=line.line,
            order=line.order,
            layout=line.layout,
            taps=state.taps,
            under_vacuum=0 if state.shut else state.taps,
            gauges=tuple(
                GaugeRead(
                    point.reading.place,
                    point.reading.pipe,
                    point.vacuum_inhg,
                    point.reading.at,
                    point.reading.who,
                    point.reading.id,
                    point.reading.note,
                )
                for point in state.latest
            ),
            vacuum_inhg=None if last is None else last.vacuum_inhg,
            read=None if last is None else last.reading.at,
            pump_inhg=None if last is None else last.pump.vacuum_inhg,
            pump_read=last is not None and last.pump.reading is not None,
            lost_inhg=lost,
            loss=self.loss(state, lost),
            slope_inhg_day=state.slope_inhg_day,
            signs=tuple(str(sign) for sign in state.signs),
            says=tuple(signs_said(state, self.units)),
            leaks=self.open_leaks(state),
            hours=self.hours(state),
            days=tuple(
                DayRead(day, point.vacuum_inhg, point.pump.vacuum_inhg)
                for day, point in by_day.items()
            ),
        )

    def open_leaks(self, state: LineVacuum) -> tuple[str, ...]:
        """Leaks on a line that nobody has mended, in words."""
        return tuple(self._open.get((state.line.block, state.line.line), ()))

    def lost_inhg(self, state: LineVacuum) -> float | None:
        """Vacuum that a line loses to the pump: as it was read, else as its worst leak was."""
        if state.lost_inhg is not None:
            return state.lost_inhg
        return self._costs.get((state.line.block, state.line.line))

    def hours(self, state: LineVacuum) -> float:
        """Person-hours that walking a line takes."""
        return self.pace.hours_of(self.plan, state.line)

    def loss(self, state: LineVacuum, lost_inhg: float | None) -> Loss | None:
        """What a line costs that lacks so much vacuum, or is shut; None if that is not known."""
        if state.shut:
            return shut_off(self.plan, state.taps, brix=self.brix)
        if lost_inhg is None:
            return None
        return loss_of(self.plan, state.taps, lost_inhg, brix=self.brix)

    def sap_gal(self, state: LineVacuum, *, whole: bool = False) -> float:
        """Sap of a line on a day when it runs, as things stand; or if it hung on the pump's."""
        if state.last is not None:
            pump_inhg = state.last.pump.vacuum_inhg
        else:
            pump_inhg = self.gauges.book_pump_inhg
        if whole:
            return state.taps * sap_of_tap(self.plan, pump_inhg)
        if state.shut:
            return 0.0
        return state.taps * sap_of_tap(self.plan, pump_inhg - (state.lost_inhg or 0.0))

    def _lost(self, state: LineVacuum) -> float | None:
        """Vacuum that a line lacks, against what the lines are told."""
        if self.below == "pump" or state.lost_inhg is None or state.last is None:
            return state.lost_inhg
        return ceiling_inhg(self.plan) - state.last.vacuum_inhg
