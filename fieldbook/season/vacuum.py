"""What the gauges say: how far each line hangs under the pump, why, and whether mending held.

Readings are taken in the order of their time; what was keyed in later of a day without a time
comes as it was recorded. A line is told by one gauge, so that its readings compare: the one at its
far end, of a pair on the wet pipe, as the taps there feel it.
"""

from collections.abc import Iterable, Sequence
from datetime import date, datetime
from enum import StrEnum
from functools import cached_property
from itertools import pairwise

from msgspec import Struct
from msgspec.structs import replace

from fieldbook.book.entry import AnyEntry, Leak, Line, Reading, Settle, Valve
from fieldbook.book.lines import fold_key
from fieldbook.i18n import N_
from fieldbook.season.balance import line_balance
from fieldbook.season.ledger import Ledger
from fieldbook.season.readings import AT_PUMP, ceiling_inhg, inhg_of
from fieldbook.season.woods import settled, valves_shut
from fieldbook.trade.trend import theil_sen

DRIFT_INHG = 0.5
"""A gauge so far above the pump is off: as fine as a dial is read (common practice, no source)."""

NO_VACUUM_SHARE = 0.2
"""Under this share of the pump's vacuum a line is cut off (common practice, no source)."""

FULL_INHG = 3.0
"""A wet pipe so far under its dry one is full of sap (common practice, no source)."""

SINKS_INHG_DAY, SINKS_INHG, SINKS_READINGS = 0.2, 1.0, 3
"""A line sinks that loses so much a day, and so much in all, over so many readings or more."""

FALL_INHG, NEAR = 0.1, 1e-9
"""Less is no fall from one reading to the next; and less is no matter at all."""

SINKS_DAYS = 14
"""Days back for which a trend is looked for."""

CAME_BACK_INHG = 0.5
"""Less than that is no gain: as fine as a dial is read (common practice, no source)."""


BREAKS = ("main cut", "tree down")
"""Causes of a leak that drags a whole block down, until the valve of its line is shut."""


class Sign(StrEnum):
    """What the readings of a line point at, the gravest first."""

    SHUT = N_("valve shut")
    NO_VACUUM = N_("no vacuum")
    FULL = N_("sap pipe full")
    GAUGE = N_("gauge off")
    SINKS = N_("sinks")
    HEARD = N_("heard")
    UNPROVED = N_("mended")
    LOW = N_("low")


class Held(StrEnum):
    """What became of the vacuum of a line after it was mended."""

    NOT_READ = N_("not read since")
    NOT_BACK = N_("did not come back")
    PART = N_("came back in part")
    AGAIN = N_("low again")
    BACK = N_("came back")


class Pump(Struct, frozen=True):
    """Vacuum at the pump, against which a line is told.

    Attributes:
        vacuum_inhg: In inches of mercury.
        reading: Where it was read; None for what the book says the pump holds.
    """

    vacuum_inhg: float
    reading: Reading | None = None


class Point(Struct, frozen=True):
    """A reading of a line beside the pump's of that day.

    Attributes:
        reading: The reading.
        vacuum_inhg: Its vacuum.
        pump: The pump's.
    """

    reading: Reading
    vacuum_inhg: float
    pump: Pump

    @property
    def at(self) -> datetime:
        """By the clock on the wall."""
        return self.reading.at.replace(tzinfo=None)

    @property
    def under_inhg(self) -> float:
        """How far the gauge is under the pump; below 0 it is over it."""
        return round(self.pump.vacuum_inhg - self.vacuum_inhg, 9)  # 25.3 - 24.5 is 0.8

    @property
    def over(self) -> bool:
        """More than the pump's, by more than a dial can be read: one of the two gauges is off."""
        return self.under_inhg <= -DRIFT_INHG

    @property
    def cut_off(self) -> bool:
        """Next to nothing of the pump's: a valve, a cut or ice, and no leak that grows.

        Of a pump that stands still nothing is cut off.
        """
        return self.lost_inhg > 0 and self.vacuum_inhg <= NO_VACUUM_SHARE * self.pump.vacuum_inhg

    @property
    def lost_inhg(self) -> float:
        """Vacuum lost between pump and gauge."""
        return max(0.0, self.under_inhg)


class LineVacuum(Struct, frozen=True):
    """A line as its gauges tell it.

    Attributes:
        line: The line.
        taps: Taps in, those whose spout was pulled left out.
        points: Readings of the gauge that tells it, oldest first.
        latest: The newest reading of each of its gauges on the last day it was read.
        lost_inhg: Vacuum lost between pump and line when it was read last; None if it was not
            read, or its gauge is off.
        shut: Words that its valve is shut, oldest first; empty while it is open.
        test: The newest valve test.
        heard: The valve test at which air was heard, where no leak was found since.
        mended: The word that its leak is mended, where nobody has read the line since.
        slope_inhg_day: Vacuum it loses from day to day; None with too few readings.
        since: The first reading that the slope is taken from.
        signs: What the readings point at.
    """

    line: Line
    taps: int
    points: tuple[Point, ...] = ()
    latest: tuple[Point, ...] = ()
    lost_inhg: float | None = None
    shut: tuple[Valve, ...] = ()
    test: Valve | None = None
    heard: Valve | None = None
    mended: Settle | None = None
    slope_inhg_day: float | None = None
    since: date | None = None
    signs: tuple[Sign, ...] = ()

    @property
    def last(self) -> Point | None:
        """The newest reading."""
        return self.points[-1] if self.points else None

    def gauge(self, place: str, pipe: str = "") -> Point | None:
        """The newest reading at an end of the line; of a pair that of the wet pipe, or the dry."""
        wanted = (pipe,) if pipe == "dry" else ("", "wet")
        return next(
            (
                point
                for point in self.latest
                if point.reading.place == place and point.reading.pipe in wanted
            ),
            None,
        )


class Mend(Struct, frozen=True):
    """A leak that was mended, and whether the line came back.

    Attributes:
        leak: The leak.
        settle: The word that it is mended.
        before: The last reading before that.
        after: The first reading after it.
        now: The newest.
        held: What became of the vacuum.
    """

    leak: Leak
    settle: Settle
    before: Point | None
    after: Point | None
    now: Point | None
    held: Held


class Gauges:
    """The readings of a season, as they belong together.

    Args:
        ledger: The season. What comes into it later is not in here.
    """

    def __init__(self, ledger: Ledger) -> None:
        self.ledger = ledger
        self.aim_inhg = ledger.plan.number("vacuum_loss_inhg")
        self._pumps: dict[date, list[Reading]] = {}
        self._lines: dict[tuple[str, str], list[Reading]] = {}
        for reading in sorted(ledger.of(Reading), key=in_time):
            if reading.place in AT_PUMP:
                self._pumps.setdefault(reading.day, []).append(reading)
            else:
                self._lines.setdefault((reading.block, reading.line), []).append(reading)

    @cached_property
    def _shut(self) -> dict[tuple[str, str], list[Valve]]:
        return valves_shut(self.ledger)

    @cached_property
    def _mended(self) -> dict[tuple[str, str], list[tuple[Leak, Settle]]]:
        """Leaks that were mended, by line, in the order of the mending."""
        seen_to = settled(self.ledger)
        found: dict[tuple[str, str], list[tuple[Leak, Settle]]] = {}
        pairs = [(leak, seen_to[leak.id]) for leak in self.ledger.of(Leak) if leak.id in seen_to]
        for leak, settle in sorted(pairs, key=lambda pair: in_time(pair[1])):
            found.setdefault((leak.block, leak.line), []).append((leak, settle))
        return found

    @cached_property
    def _tests(self) -> dict[tuple[str, str], Valve]:
        """The newest valve test of each line."""
        tests = (valve for valve in self.ledger.of(Valve) if valve.heard is not None)
        return {(test.block, test.line): test for test in sorted(tests, key=in_time)}

    @cached_property
    def _found(self) -> dict[tuple[str, str], Leak]:
        """The leak of each line that was found last."""
        leaks = sorted(self.ledger.of(Leak), key=in_time)
        return {(leak.block, leak.line): leak for leak in leaks}

    @cached_property
    def book_pump_inhg(self) -> float:
        """The vacuum that the book asks of the pump, no more than there can be."""
        plan = self.ledger.plan
        return min(plan.number("pump_vacuum_inhg"), ceiling_inhg(plan))

    def pump(self, block: str, at: datetime) -> Pump:
        """The pump's vacuum for a block: as read that day nearest to a time, else by the book.

        A releaser's gauge is as good as the pump's: the lines hang on both.
        """
        day = [r for r in self._pumps.get(at.date(), ()) if r.block in ("", block)]
        if own := [reading for reading in day if reading.block]:
            day = own
        if not day:
            return Pump(self.book_pump_inhg)
        clock = at.replace(tzinfo=None)
        nearest = min(day, key=lambda reading: abs(reading.at.replace(tzinfo=None) - clock))
        return Pump(inhg_of(nearest), nearest)

    def pumps(self, until: date) -> list[Reading]:
        """The newest reading at each pump and releaser up to a day."""
        newest: dict[tuple[str, str], Reading] = {}
        for day in sorted(self._pumps):
            if day <= until:
                newest |= {(r.block, r.place): r for r in self._pumps[day]}
        return [newest[key] for key in sorted(newest)]

    @property
    def pump_days(self) -> list[tuple[date, float]]:
        """The vacuum at the pump by day: the newest reading, of several pumps the least."""
        days: list[tuple[date, float]] = []
        for day in sorted(self._pumps):
            newest = {(r.block, r.place): inhg_of(r) for r in self._pumps[day]}
            days.append((day, min(newest.values())))
        return days

    def points(self, line: Line) -> list[Point]:
        """Every reading of a line, oldest first."""
        readings = self._lines.get((line.block, line.line), [])
        return [Point(r, inhg_of(r), self.pump(line.block, r.at)) for r in readings]

    def line(self, line: Line) -> LineVacuum:
        """A line as its gauges tell it."""
        where = (line.block, line.line)
        taps, shut = line_balance(self.ledger, line).in_trees, tuple(self._shut.get(where, ()))
        heard = self._heard(line)
        every = self.points(line)
        points = _told_by(every)
        latest = _latest(every)
        last = points[-1] if points else None
        trend = self._trend(line, points)
        state = LineVacuum(
            line=line,
            taps=taps,
            points=tuple(points),
            latest=latest,
            lost_inhg=None if last is None or last.over else last.lost_inhg,
            shut=shut,
            test=self._tests.get(where),
            heard=heard,
            mended=self._unproved(line, points),
            slope_inhg_day=_slope(trend),
            since=trend[0].reading.day if trend else None,
        )
        signs = [sign for sign in Sign if self._points_at(sign, state, trend)]
        if Sign.NO_VACUUM in signs or Sign.FULL in signs:  # which says why it hangs low, or sinks
            signs = [sign for sign in signs if sign not in (Sign.SINKS, Sign.LOW)]
        return replace(state, signs=tuple(signs))

    def lines(self, block: str | None = None) -> list[LineVacuum]:
        """The lines of a block, or of all, in walking order."""
        plan = self.ledger.plan
        lines = plan.lines if block is None else plan.walk.get(block, [])
        return [self.line(line) for line in lines]

    def _heard(self, line: Line) -> Valve | None:
        """The newest valve test, if air was heard and no leak was written down since."""
        where = (line.block, line.line)
        test, leak = self._tests.get(where), self._found.get(where)
        if test is None or not test.heard:
            return None
        found = leak is not None and in_time(leak) >= in_time(test)
        return None if found else test

    def _last_mend(self, line: Line) -> Settle | None:
        """The word that a leak of a line is mended, the last of them."""
        mended = self._mended.get((line.block, line.line))
        return mended[-1][1] if mended else None

    def _unproved(self, line: Line, points: Sequence[Point]) -> Settle | None:
        """The last mending of a line, if nobody has read the line since."""
        mend = self._last_mend(line)
        if mend is None or (points and in_time(points[-1].reading) > in_time(mend)):
            return None
        return mend

    def _trend(self, line: Line, points: Sequence[Point]) -> list[Point]:
        """Readings that a trend is taken from: the last days', since the line was mended last."""
        if not points:
            return []
        mend, last = self._last_mend(line), points[-1].reading.day
        return [
            point
            for point in points
            if not point.over
            and not point.cut_off
            and (last - point.reading.day).days <= SINKS_DAYS
            and (mend is None or in_time(point.reading) > in_time(mend))
        ]

    def _points_at(self, sign: Sign, state: LineVacuum, trend: Sequence[Point]) -> bool:
        """Whether the readings of a line point at something."""
        last, lost = state.last, state.lost_inhg
        match sign:
            case Sign.SHUT:
                return bool(state.shut)
            case Sign.GAUGE:
                return any(point.over for point in state.latest)
            case Sign.HEARD:
                return state.heard is not None
            case Sign.UNPROVED:
                return state.mended is not None
        if state.shut or last is None or lost is None:  # a shut valve tells nothing of the line
            return False
        match sign:
            case Sign.NO_VACUUM:
                return last.cut_off
            case Sign.FULL:
                return self._is_full(state)
            case Sign.SINKS:
                slope = state.slope_inhg_day or 0.0
                return slope >= SINKS_INHG_DAY - NEAR and _sunk(trend)
            case _:
                return lost > self.aim_inhg

    def _is_full(self, state: LineVacuum) -> bool:
        """Whether sap fills the wet pipe of a pair: it hangs low beside a dry one that does not."""
        for place in ("far end", "head"):
            wet, dry = state.gauge(place), state.gauge(place, "dry")
            if state.line.layout == "pair" and wet is not None and dry is not None:
                good = dry.lost_inhg <= self.aim_inhg + DRIFT_INHG
                return good and dry.vacuum_inhg - wet.vacuum_inhg >= FULL_INHG - NEAR
        return False

    def mends(self) -> list[Mend]:
        """Leaks that were mended, the newest first, each with the readings around it."""
        lines = (self.ledger.plan.line(block, name) for block, name in self._mended)
        found = [mend for line in lines if line is not None for mend in self.mends_of(line)]
        return sorted(found, key=lambda mend: in_time(mend.settle), reverse=True)

    def mends_of(self, line: Line) -> list[Mend]:
        """Leaks of a line that were mended, the newest first."""
        pairs = self._mended.get((line.block, line.line), [])
        points = [point for point in _told_by(self.points(line)) if not point.over]
        return [self._mend(leak, settle, points) for leak, settle in reversed(pairs)]

    def _mend(self, leak: Leak, settle: Settle, points: Sequence[Point]) -> Mend:
        """A leak that was mended, among the readings of its line."""
        done = in_time(settle)
        before = [point for point in points if in_time(point.reading) <= done]
        after = points[len(before) :]
        was = before[-1] if before else None
        came = after[0] if after else None
        now = points[-1] if points else None
        return Mend(leak, settle, was, came, now, self._held(was, came, now))

    def _held(self, before: Point | None, after: Point | None, now: Point | None) -> Held:
        if after is None or now is None:
            return Held.NOT_READ
        gained = None if before is None else before.lost_inhg - after.lost_inhg
        if after.lost_inhg > self.aim_inhg and (gained is None or gained < CAME_BACK_INHG - NEAR):
            return Held.NOT_BACK
        if now.lost_inhg - after.lost_inhg >= SINKS_INHG - NEAR and now.lost_inhg > self.aim_inhg:
            return Held.AGAIN
        return Held.PART if after.lost_inhg > self.aim_inhg else Held.BACK


def in_time(entry: AnyEntry) -> tuple[datetime, tuple[int, str, int]]:
    """Order of what happened by the clock on the wall, then as it was recorded."""
    return entry.at.replace(tzinfo=None), fold_key(entry)


def whole_block_low(lines: Iterable[LineVacuum], aim_inhg: float) -> bool:
    """Whether all lines of a block that were read hang alike under the pump: it is no line's leak.

    Then what is lost is lost between the pump and the block (common practice, no source).
    """
    lost = [state.lost_inhg for state in lines if not state.shut and state.lost_inhg is not None]
    return (
        len(lost) >= SINKS_READINGS
        and min(lost) >= aim_inhg + SINKS_INHG
        and max(lost) - min(lost) <= SINKS_INHG + NEAR
    )


def _told_by(points: Sequence[Point]) -> list[Point]:
    """The readings of the one gauge that tells a line: the best of those read on the last day."""
    if not points:
        return []
    last = points[-1].reading.day
    best = min(_rank(point.reading) for point in points if point.reading.day == last)
    return [point for point in points if _rank(point.reading) == best]


def _rank(reading: Reading) -> tuple[bool, bool]:
    """How near a gauge is to what the taps feel: not on the dry pipe, at the far end."""
    return reading.pipe == "dry", reading.place != "far end"


def _latest(points: Sequence[Point]) -> tuple[Point, ...]:
    """The newest reading of each gauge on the last day a line was read."""
    newest = {
        (point.reading.place, point.reading.pipe or "wet"): point
        for point in points
        if point.reading.day == points[-1].reading.day
    }
    return tuple(newest.values())


def _sunk(points: Sequence[Point]) -> bool:
    """Whether a line lost enough over some readings, and bit by bit: one step is no slope."""
    lost = [point.lost_inhg for point in points]
    falls = sum(later - before >= FALL_INHG - NEAR for before, later in pairwise(lost))
    return lost[-1] - lost[0] >= SINKS_INHG - NEAR and falls >= SINKS_READINGS - 1


def _slope(points: Sequence[Point]) -> float | None:
    """Vacuum lost from day to day; None with readings of too few days."""
    if len({point.reading.day for point in points}) < SINKS_READINGS:
        return None
    start = points[0].at
    day = 24 * 60 * 60
    return theil_sen([((p.at - start).total_seconds() / day, p.lost_inhg) for p in points])
