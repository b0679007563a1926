"""The fold: what all entries of a season add up to.

`Ledger.apply` takes one entry at a time, in fold order, in O(1); a strike costs the entries of one
line and task. Nothing here knows a clock, a disk or a screen. Sums over lines are taken when they
are asked for: a season has some hundred lines, and a sum that is not stored cannot be wrong.
"""

from collections.abc import Iterable, Iterator
from datetime import date
from enum import StrEnum
from typing import TypeVar, cast

from msgspec import Struct, field

from fieldbook.book.entry import (
    AnyEntry,
    Aside,
    Close,
    Count,
    Entry,
    Finish,
    Happening,
    Line,
    Note,
    Reopen,
    Run,
    Step,
    Strike,
    Task,
    Work,
    WorkEntry,
)
from fieldbook.book.lines import fold_key
from fieldbook.season.plan import Plan


class Standing(StrEnum):
    """Where a line, or a block, is in a task."""

    NOT_BEGUN = "not begun"
    UNDER_WAY = "under way"
    DONE = "done"
    ASIDE = "set aside"
    NOTHING_DUE = "nothing due"


OPEN = (Standing.NOT_BEGUN, Standing.UNDER_WAY)
"""Where somebody still has to go."""


class Record(Struct):
    """Everything recorded about one line in one task, in fold order, without what is struck."""

    entries: list[WorkEntry] = field(default_factory=list)
    done: int = 0
    hours: float = 0.0
    mark: Finish | Aside | Reopen | None = None
    """The last word on the line: finished, set aside, reopened, or none."""
    reopened_at: int = 0
    """Units done when the line was reopened."""
    ticked: dict[str, bool] = field(default_factory=dict)

    def add(self, entry: WorkEntry) -> None:
        self.entries.append(entry)
        match entry:
            case Count():
                self.done += entry.count
                self.hours += entry.hours or 0.0
                if entry.count and isinstance(self.mark, Aside):
                    self.mark = None  # somebody went there after all
            case Finish() | Aside():
                self.mark = entry
            case Reopen():
                self.mark = entry
                self.reopened_at = self.done
            case Step():
                self.ticked[entry.step] = entry.ticked

    def without(self, entry: WorkEntry) -> "Record":
        """The record as it would be had an entry never been made."""
        record = Record()
        for kept in self.entries:
            if kept is not entry:
                record.add(kept)
        return record

    @property
    def last(self) -> WorkEntry | None:
        return self.entries[-1] if self.entries else None

    @property
    def last_count(self) -> Count | None:
        return next((e for e in reversed(self.entries) if isinstance(e, Count)), None)


class Tally(Struct, frozen=True):
    """Done against planned, for one line or summed over many.

    planned = done + left + short - over: what is planned is done, left to do, or finished short
    of the plan; what is done beyond the plan is over.

    Attributes:
        planned: Units planned; lines without a known number add nothing, what is done there is
            over.
        done: Units done.
        left: Units still to do on lines that are not done.
        short: Units that finished lines fell short of the plan.
        over: Units done beyond the plan.
        unknown: Lines whose planned number is not known.
    """

    planned: int = 0
    done: int = 0
    left: int = 0
    short: int = 0
    over: int = 0
    unknown: int = 0

    def __add__(self, other: "Tally") -> "Tally":
        return Tally(
            planned=self.planned + other.planned,
            done=self.done + other.done,
            left=self.left + other.left,
            short=self.short + other.short,
            over=self.over + other.over,
            unknown=self.unknown + other.unknown,
        )

    @property
    def percent(self) -> int | None:
        """Percent of the plan that is done; None with nothing planned.

        What is over on one line does not make up for another, and it is rounded down: 100 means
        all of it.
        """
        return None if not self.planned else 100 * (self.done - self.over) // self.planned


class Cell(Struct, frozen=True):
    """One line, or one block, in one task.

    Attributes:
        tally: Done against planned.
        standing: Where it is.
        lines: Lines in each standing that has any.
    """

    tally: Tally
    standing: Standing
    lines: dict[Standing, int]

    @property
    def over_plan(self) -> bool:
        """More was done than a known plan asks for."""
        return bool(self.tally.over) and not self.tally.unknown


_EMPTY = Record()

H = TypeVar("H", bound=Happening)


class Ledger:
    """The state of one season.

    Args:
        year: The season.
        as_of: Work after this day is left out; the plan and strikes always count.
    """

    def __init__(self, year: int, *, as_of: date | None = None) -> None:
        self.plan = Plan(year)
        self.as_of = as_of
        self._happened: dict[type[Entry], list[Happening]] = {}
        self.struck: dict[str, Strike] = {}
        self._records: dict[tuple[str, str, str], Record] = {}
        self._folded: dict[str, AnyEntry] = {}

    def fold(self, entries: Iterable[AnyEntry]) -> "Ledger":
        for entry in entries:
            self.apply(entry)
        return self

    def apply(self, entry: AnyEntry) -> None:
        """Take in one entry. A strike may come before what it strikes."""
        if isinstance(entry, Strike):
            self._strike(entry)
            return
        if entry.id in self.struck:
            return
        if self.as_of is not None and isinstance(entry, Happening) and entry.day > self.as_of:
            return
        self._folded[entry.id] = entry
        match entry:
            case Count() | Finish() | Aside() | Reopen() | Step():
                self._records.setdefault((entry.block, entry.line, entry.task), Record()).add(entry)
            case Happening():
                self._happened.setdefault(type(entry), []).append(entry)
            case _:
                self.plan.apply(entry)

    def _strike(self, strike: Strike) -> None:
        self.struck.setdefault(strike.entry, strike)
        entry = self._folded.pop(strike.entry, None)
        match entry:
            case None | Strike():
                return
            case Count() | Finish() | Aside() | Reopen() | Step():
                key = (entry.block, entry.line, entry.task)
                self._records[key] = self._records[key].without(entry)
            case Happening():
                self._happened[type(entry)].remove(entry)
            case _:
                self.plan.remove(entry)

    def of(self, kind: type[H]) -> list[H]:
        """What happened of one kind and is not struck, in fold order; not work on a line."""
        return cast("list[H]", self._happened.get(kind, []))

    def entry(self, entry_id: str) -> AnyEntry | None:
        """An entry that counts, by its id; None if there is none, or it is struck."""
        return self._folded.get(entry_id)

    @property
    def notes(self) -> list[Note]:
        return self.of(Note)

    @property
    def runs(self) -> list[Run]:
        return self.of(Run)

    @property
    def closed(self) -> Close | None:
        """The entry that closed the season, if it is closed."""
        return next(iter(self.of(Close)), None)

    @property
    def last_day(self) -> date | None:
        """The latest day on which work or sap was recorded."""
        dated = (e.day for e in self._folded.values() if isinstance(e, Work | Run))
        return max(dated, default=None)

    # --- a line in a task ---

    def record(self, block: str, line: str, task: str) -> Record:
        """What was recorded about a line in a task; an empty record if nothing was."""
        return self._records.get((block, line, task), _EMPTY)

    def planned(self, line: Line, task: Task) -> int | None:
        """Units planned for a line in a task; None when that cannot be known."""
        target = self.plan.target(task.key, line.block, line.line)
        if target is not None and target.planned is not None:
            return target.planned
        match task.planned:
            case "taps planned":
                return self.plan.taps(line)
            case "drops due":
                return self.plan.drops_due(line)
            case "side ties":
                return self.plan.ties(line)
            case "one a line":
                return 1
            case "spouts in trees":
                return self.taps_in(line)

    def taps_in(self, line: Line) -> int:
        """Taps drilled on a line this season."""
        tapping = self.plan.counting("taps")
        return self.record(line.block, line.line, tapping.key).done if tapping else 0

    def line_cell(self, line: Line, task: Task) -> Cell:
        record = self.record(line.block, line.line, task.key)
        planned = self.planned(line, task)
        standing = _standing(record, planned, task)
        tally = _tally(record.done, planned, finished=standing is Standing.DONE)
        return Cell(tally, standing, {standing: 1})

    # --- sums ---

    def cell(self, task: Task, block: str | None = None) -> Cell:
        """A block, or the whole season, in a task."""
        lines = self.plan.lines if block is None else self.plan.walk.get(block, [])
        return together(self.line_cell(line, task) for line in lines)

    def after(self, day: date) -> bool:
        """Whether work is recorded for a later day."""
        return self.last_day is not None and self.last_day > day

    def counts(self, block: str | None = None) -> Iterator[Count]:
        """The counts that are in the totals: of lines and tasks the plan has."""
        lines = self.plan.lines if block is None else self.plan.walk.get(block, [])
        tasks = self.plan.tasks
        for line in lines:
            for task in tasks:
                for entry in self.record(line.block, line.line, task.key).entries:
                    if isinstance(entry, Count):
                        yield entry

    def done_on(self, day: date, task: str, block: str | None = None) -> int:
        """Units of a task done on a day, in one block or in all."""
        counts = self.counts(block)
        return sum(entry.count for entry in counts if entry.day == day and entry.task == task)

    def notes_on(self, block: str, line: str = "") -> list[Note]:
        """Notes about a line and those about its block as a whole, oldest first."""
        return [n for n in self.notes if n.block == block and n.line in ("", line)]

    @property
    def strays(self) -> list[WorkEntry]:
        """Work recorded on lines or tasks the plan does not know: in no total, never lost.

        A merged copy, a struck plan entry or a task switched off can leave such work behind.
        """
        tasks = {task.key for task in self.plan.tasks}
        strays = [
            entry
            for (block, line, task), record in self._records.items()
            if task not in tasks or self.plan.line(block, line) is None
            for entry in record.entries
        ]
        return sorted(strays, key=fold_key)


def _standing(record: Record, planned: int | None, task: Task) -> Standing:
    if isinstance(record.mark, Finish):
        return Standing.DONE
    if isinstance(record.mark, Aside):
        return Standing.ASIDE
    # Reopened at or over the plan there is more than planned; below it the plan still tells.
    more = isinstance(record.mark, Reopen) and planned is not None and record.reopened_at >= planned
    if planned and record.done >= planned and not more:
        return Standing.DONE
    if record.done or record.mark is not None or any(record.ticked.values()):
        return Standing.UNDER_WAY
    if planned == 0 and task.planned != "spouts in trees":
        return Standing.NOTHING_DUE
    return Standing.NOT_BEGUN


def _tally(done: int, planned: int | None, *, finished: bool) -> Tally:
    if planned is None:
        return Tally(done=done, over=done, unknown=1)
    open_units = max(0, planned - done)
    return Tally(
        planned=planned,
        done=done,
        left=0 if finished else open_units,
        short=open_units if finished else 0,
        over=max(0, done - planned),
    )


def together(cells: Iterable[Cell]) -> Cell:
    """Lines, or blocks, in one task, taken together."""
    tally = Tally()
    standings: dict[Standing, int] = {}
    for cell in cells:
        tally += cell.tally
        for standing, lines in cell.lines.items():
            standings[standing] = standings.get(standing, 0) + lines
    return Cell(tally, _common(standings), standings)


def _common(standings: dict[Standing, int]) -> Standing:
    """The standing of lines taken together; lines with nothing due do not weigh."""
    there = set(standings) - {Standing.NOTHING_DUE}
    if not there:
        return Standing.NOTHING_DUE
    unfinished = there - {Standing.DONE}
    if not unfinished:
        return Standing.DONE
    if unfinished == {Standing.ASIDE}:
        return Standing.ASIDE
    begun = there - {Standing.NOT_BEGUN, Standing.ASIDE}
    return Standing.UNDER_WAY if begun else Standing.NOT_BEGUN
