"""What all screens share: what is worked out once for all, and what they write. No widgets."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from datetime import date, datetime
from typing import TYPE_CHECKING, Any

from fieldbook.book.entry import (
    About,
    AnyEntry,
    Aside,
    Count,
    Finish,
    HandOff,
    Line,
    Note,
    Reading,
    Reopen,
    Run,
    Step,
    Strike,
    Taken,
    Task,
    Trees,
)
from fieldbook.errors import BookError
from fieldbook.i18n import _
from fieldbook.laptop import Laptop
from fieldbook.reports.forecast import Forecast, forecast
from fieldbook.reports.words import signed_entry
from fieldbook.screens.pen import Pen, short_enough
from fieldbook.season.dates import read_day
from fieldbook.season.items import Item, closing_items, open_items
from fieldbook.season.runs import read_run
from fieldbook.season.season import Season
from fieldbook.season.tally import read_tally

if TYPE_CHECKING:
    from fieldbook.reports.full import Full
    from fieldbook.reports.history import History
    from fieldbook.season.handoff import Severity
    from fieldbook.season.vacuum import Gauges


class Session(Pen):
    """What all screens share; as `Pen`."""

    def __init__(self, season: Season, laptop: Laptop, clock: Callable[[], datetime]) -> None:
        super().__init__(season, laptop, clock)
        self._given = 0
        self._forecast: tuple[object, Forecast] | None = None
        self._items: tuple[object, list[Item]] | None = None
        self._gauges: tuple[object, Gauges] | None = None
        self._full: tuple[object, Full] | None = None
        self._history: tuple[object, History] | None = None
        self._copied = self.today

    @property
    def minute(self) -> datetime:
        """The minute: what is shown of the time is drawn again when another one begins."""
        return self.now.replace(second=0, microsecond=0)

    def forecast(self) -> Forecast:
        """When the crew will be done; worked out again when anything was recorded."""
        now = (self.season.seen, self.today)
        if self._forecast is None or self._forecast[0] != now:
            self._forecast = (now, forecast(self.season, self.today))
        return self._forecast[1]

    def items(self) -> list[Item]:
        """Everything open; worked out again when anything was recorded, and every minute."""
        at = (self.season.seen, self.minute)
        if self._items is None or self._items[0] != at:
            self._items = (at, open_items(self.season.ledger, self.now))
        return self._items[1]

    def gauges(self) -> "Gauges":
        """What the gauges say; worked out again when anything was recorded."""
        from fieldbook.season.vacuum import Gauges

        if self._gauges is None or self._gauges[0] != self.season.seen:
            self._gauges = (self.season.seen, Gauges(self.season.ledger))
        return self._gauges[1]

    def full(self) -> "Full":
        """The season in full; worked out again when anything was recorded.

        Raises:
            ValueError: A sum does not hold for a rule of the book.
        """
        from fieldbook.reports.full import full_summary

        at = (self.season.seen, self.minute, self.laptop.units)
        if self._full is None or self._full[0] != at:
            told = full_summary(
                *(self.season, self.today, self.now),
                units=self.laptop.units,
                outlook=self.forecast(),
            )
            self._full = (at, told)
        return self._full[1]

    def history(self) -> "History":
        """The seasons side by side; worked out again when anything was recorded."""
        from fieldbook.reports.history import history

        at = (self.season.seen, self.today)
        if self._history is None or self._history[0] != at:
            self._history = (at, history(self.season, self.today, today=self.today))
        return self._history[1]

    def closing(self) -> list[Item]:
        """What stands in the way of closing the season."""
        return closing_items(self.season.ledger, self.now)

    def set_keying(self, name: str) -> None:
        """Somebody sits down at the keyboard.

        Raises:
            BookError: No entry can hold the name.
        """
        self.by = short_enough(name)
        if not self.who and name in self.season.plan.people:
            self.who = name
        self.laptop.set_keying(self.season.book.id, name)

    def past_day(self, text: str) -> date:
        """The day somebody typed.

        Raises:
            BookError: It is no date, or still to come.
        """
        day = read_day(text, today=self.today)
        if day > self.today:
            raise BookError(
                _("{day} is still to come.").format(day=day),
                _("If it is not, the clock of this laptop is wrong: set it."),
            )
        return day

    def keep_in_mind(self) -> None:
        """See that no number is given out twice, should an older copy take the book's place."""
        book = self.season.book
        desk = book.desk or ""
        number = book.highest_number(desk)
        if number != self._given:
            self._given = number
            self.laptop.saw(desk, book.year, number)

    def keep_copy(self) -> None:
        """See that each day has its copy of the book; what failed is tried again."""
        book = self.season.book
        if book.today is None and (book.uncopied or self._copied != self.today):
            self._copied = self.today
            book.keep_safe(self.today)

    def _work(self, line: Line, task: Task) -> dict[str, Any]:
        place = {"block": line.block, "line": line.line, "task": task.key, "who": self.who}
        return {**place, **self._stamp}

    def count(
        self, line: Line, task: Task, count: int, hours: float | None, *, really: bool = False
    ) -> AnyEntry:
        draft = Count(count=count, hours=hours, **self._work(line, task))
        return self._write(draft, really=really)

    def finish(self, line: Line, task: Task, reason: str) -> AnyEntry:
        return self._write(Finish(reason=reason, **self._work(line, task)))

    def set_aside(self, line: Line, task: Task, reason: str) -> AnyEntry:
        return self._write(Aside(reason=reason, **self._work(line, task)))

    def reopen(self, line: Line, task: Task) -> AnyEntry:
        return self._write(Reopen(**self._work(line, task)))

    def tick(self, line: Line, task: Task, step: str) -> AnyEntry:
        return self._write(Step(step=step, **self._work(line, task)))

    def note(self, line: Line, task: Task, text: str) -> AnyEntry:
        return self._write(Note(text=text, **self._work(line, task)))

    def hazard(self, line: Line, task: Task, text: str) -> AnyEntry:
        return self._write(Note(text=text, hazard=True, **self._work(line, task)))

    def trees(self, line: Line, text: str) -> AnyEntry:
        """The trees along a line, as somebody typed them.

        Raises:
            BookError: The text is no tally.
        """
        classes = read_tally(text, unit="cm" if self.laptop.units == "metric" else "in")
        known = self.season.plan.trees(line.block, line.line)
        if known is not None and known.classes == classes:
            raise BookError(_("The tally is as it was."), _("Change it, or leave it with Esc."))
        return self._write(Trees(block=line.block, line=line.line, classes=classes, **self._stamp))

    def run(self, text: str, *, really: bool = False) -> AnyEntry:
        """Sap and syrup of the day, as somebody typed them; before a colon the block.

        Raises:
            Doubtful: So much, or so sweet, that it may be a slip of the finger.
            BookError: The text says no run, or there is no such block.
        """
        where, colon, said = text.rpartition(":")
        block = self.season.plan.find_block(where) if colon else ""
        measured: dict[str, Any] = dict(read_run(said, self.laptop.units))
        return self._write(Run(block=block, **measured, **self._stamp), really=really)

    def work_for(self, name: str) -> tuple[AnyEntry, ...]:
        """What is keyed from now on is somebody's work; a new name is put on the crew.

        Returns:
            What was written for that, if anything.

        Raises:
            BookError: No entry can hold the name, or it was not saved.
        """
        added = self.on_crew(name)
        self.who = name
        return added

    def strike(self, entry_id: str, reason: str) -> Strike:
        with self._shown_the_way():
            return self.season.strike(entry_id, reason, by=self.name, now=self.now)

    def begin_next(self, year: int, drafts: Sequence[AnyEntry]) -> int:
        """Write the next season, or what it lacks; how many entries that are.

        Args:
            year: The season.
            drafts: What it takes over.

        Raises:
            BookError: The season cannot be made: nothing is written then.
            NotSaved: The disk refused.
        """
        from fieldbook.book.book import Book, new_desk_code
        from fieldbook.season.rollover import take_back, write

        path, begun = self.season.book.path, year in self.season.book.seasons
        try:
            book = Book.open(path, year=year) if begun else Book.begin_season(path, year)
        except BookError:
            if not begun:
                with suppress(OSError):
                    (path / str(year)).rmdir()
            raise
        desk = self.laptop.desk(
            book.id, book.path, year, given=book.highest_number, fresh=new_desk_code
        )
        book.write_as(desk)
        try:
            before, closed = len(book.entries), Season(book).ledger.closed
            if closed is not None:  # its close is struck in its own logbook, not in this one
                raise BookError(
                    _("Season {year} is closed ({entry}).").format(
                        year=year, entry=signed_entry(closed)
                    ),
                    _("To go on, strike that: fieldbook open --season {year}").format(year=year),
                )
            return len(write(self.season, book, drafts).book.entries) - before
        except BookError:
            if not begun:
                take_back(book)
            raise
        finally:  # also after a refusal: what was refused may turn up, and keeps its numbers
            self.laptop.saw(desk, year, book.highest_number(desk))
            book.close()

    def far_end_last(self) -> tuple[Reading, Count] | None:
        """The vacuum typed last and the count that went with it, if nothing was keyed since."""
        ledger, count = self.season.ledger, self.season.last_keyed(self.name)
        if not isinstance(count, Count):
            return None
        read = ledger.entry(f"{count.desk}-{count.number - 1}")
        if not isinstance(read, Reading) or read.id in ledger.struck:
            return None
        together = (read.block, read.line, read.noted) == (count.block, count.line, count.noted)
        return (read, count) if together else None

    def strike_both(self, both: tuple[Reading, Count], reason: str) -> tuple[Strike, ...]:
        """Strike a vacuum that was typed, and the count that went with it."""
        return tuple(self.strike(entry.id, reason) for entry in both)

    # --- hand-off: as it is now ---

    def prepare_handoff(
        self,
        *,
        who: str,
        to: str = "",
        blocks: Iterable[str] = (),
        severity: "Severity | None" = None,
        done: str | None = None,
        left: str | None = None,
        hazards: str = "",
        what_if: str = "",
    ) -> HandOff:
        """A hand-off as it would be recorded now; what is None is filled in.

        Raises:
            BookError: There is no such block or person.
        """
        from fieldbook.season.handoff import prepare

        return prepare(
            self.season,
            who=who,
            to=to,
            blocks=blocks,
            now=self.now,
            severity=severity,
            done=done,
            left=left,
            hazards=hazards,
            what_if=what_if,
            by=self.name,
        )

    def hand_off(self, draft: HandOff) -> AnyEntry:
        return self._write(draft)

    def take_handoff(
        self, handoff_id: str, who: str, said: Mapping[About, str], *, really: bool = False
    ) -> Taken:
        """Somebody takes a hand-off with what they read back.

        Raises:
            BookError: Something is missing or differs, or it was taken already.
        """
        from fieldbook.season.handoff import take

        draft = take(
            self.season,
            handoff_id,
            who=who,
            said=said,
            by=self.name,
            now=self.now,
            really=really,
        )
        recorded = self._write(draft)
        assert isinstance(recorded, Taken)
        return recorded
