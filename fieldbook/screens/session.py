"""Who sits at the screens, for whom and for which day; and what they write. No widgets here."""

from collections.abc import Callable, Iterable, Mapping
from datetime import date, datetime
from typing import Any, Literal

from fieldbook.book.entry import (
    NAME_LENGTH,
    About,
    AnyEntry,
    Aside,
    Back,
    Close,
    Count,
    Finish,
    HandOff,
    Leak,
    Line,
    Note,
    Out,
    Person,
    Reopen,
    Repair,
    Run,
    Settle,
    Sheet,
    Spouts,
    Step,
    Strike,
    Taken,
    Task,
    Trees,
    Valve,
    WriteOff,
)
from fieldbook.errors import BookError
from fieldbook.i18n import _
from fieldbook.laptop import Laptop, login_name
from fieldbook.reports.forecast import Forecast, forecast
from fieldbook.season import sheets
from fieldbook.season.dates import moment, read_day, read_time
from fieldbook.season.found import read_leak, read_out, read_promise
from fieldbook.season.handoff import Severity, prepare, take
from fieldbook.season.items import Item, closing_items, open_items
from fieldbook.season.runs import read_run
from fieldbook.season.season import Season
from fieldbook.season.stock import read_spouts
from fieldbook.season.tally import read_tally


class Session:
    """What all screens share.

    Args:
        season: The season that is open.
        laptop: What this laptop remembers.
        clock: The time.

    Attributes:
        by: Who is at the keyboard; empty until somebody says so.
        who: Whose work is being keyed in; empty until it is chosen.
    """

    def __init__(self, season: Season, laptop: Laptop, clock: Callable[[], datetime]) -> None:
        self.season = season
        self.laptop = laptop
        self.clock = clock
        self.by = laptop.keying(season.book.id)
        self.who = self.by if self.by in season.plan.people else ""
        self._day: date | None = None
        self._given = 0
        self._forecast: tuple[object, Forecast] | None = None
        self._items: tuple[object, list[Item]] | None = None
        self._copied = self.today

    @property
    def day(self) -> date:
        """The chosen day; until one is chosen today, also after midnight."""
        return self._day or self.today

    @day.setter
    def day(self, day: date) -> None:
        self._day = None if day == self.today else day

    @property
    def today(self) -> date:
        return self.now.date()

    @property
    def now(self) -> datetime:
        """The time, asked for anew."""
        return self.clock()

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

    def closing(self) -> list[Item]:
        """What stands in the way of closing the season."""
        return closing_items(self.season.ledger, self.now)

    def set_keying(self, name: str) -> None:
        """Somebody sits down at the keyboard.

        Raises:
            BookError: No entry can hold the name.
        """
        self.by = _short_enough(name)
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

    @property
    def name(self) -> str:
        """Who signs what is written."""
        return self.by or login_name()

    @property
    def _stamp(self) -> dict[str, Any]:
        now = self.now
        return {"at": moment(self.day, now), "noted": now, "by": self.name}

    @property
    def _at_once(self) -> dict[str, Any]:
        """As `_stamp`, of what is so now, whatever day is keyed in."""
        now = self.now
        return {"at": now, "noted": now, "by": self.name}

    def _work(self, line: Line, task: Task) -> dict[str, Any]:
        place = {"block": line.block, "line": line.line, "task": task.key, "who": self.who}
        return {**place, **self._stamp}

    def _write(self, draft: AnyEntry, *, really: bool = False) -> AnyEntry:
        (entry,) = self.season.record(draft, really=really)
        return entry

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
        """Sap and syrup of the day, as somebody typed them.

        Raises:
            Doubtful: So much, or so sweet, that it may be a slip of the finger.
            BookError: The text says no run.
        """
        measured: dict[str, Any] = dict(read_run(text, self.laptop.units))
        return self._write(Run(**measured, **self._stamp), really=really)

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
        return self.season.strike(entry_id, reason, by=self.name, now=self.now)

    # --- what is found on a line, of the day that is keyed in ---

    def _found(self, line: Line) -> dict[str, Any]:
        return {"block": line.block, "line": line.line, "who": self.who, **self._stamp}

    def leak(self, line: Line, text: str) -> AnyEntry:
        """A leak, as somebody typed it: words, and at their end what it costs in inHg."""
        return self._write(Leak(**read_leak(text), **self._found(line)))

    def valve(self, line: Line, state: Literal["open", "shut"], reason: str) -> AnyEntry:
        return self._write(Valve(state=state, reason=reason, **self._found(line)))

    def promise(self, line: Line, text: str) -> AnyEntry:
        """A repair that is promised, as somebody typed it: words, and `by` when."""
        return self._write(Repair(**read_promise(text, today=self.today), **self._found(line)))

    def spouts(self, text: str) -> AnyEntry:
        """Spouts into or out of the bag of whose work it is, as somebody typed them.

        Raises:
            BookError: The text says no number of spouts.
        """
        return self._write(Spouts(**read_spouts(text), who=self.who, **self._stamp))

    # --- people in the woods, and what is open: as it is now ---

    def on_crew(self, name: str) -> tuple[AnyEntry, ...]:
        """Put a name on the crew, unless it is there.

        Returns:
            What was written for that, if anything.

        Raises:
            BookError: No entry can hold the name, or it was not saved.
        """
        if self.season.plan.person(name) is not None:
            return ()
        return (self._write(Person(person=_short_enough(name), **self._at_once)),)

    def out(self, who: str, block: str, text: str, *, really: bool = False) -> AnyEntry:
        """Somebody goes into the woods, due back when somebody typed, with words after it.

        Raises:
            Doubtful: A time at which nobody is due.
            BookError: The text begins with no time.
        """
        time, note = read_out(text)
        stamp = self._at_once
        due = read_time(time, stamp["at"].date(), stamp["at"].tzinfo)
        return self._write(Out(who=who, block=block, due=due, note=note, **stamp), really=really)

    def back(self, who: str, note: str) -> AnyEntry:
        return self._write(Back(who=who, note=note, **self._at_once))

    def settle(self, entry_id: str, text: str) -> AnyEntry:
        """What an entry opened is seen to."""
        return self._write(Settle(entry=entry_id, who=self.who, text=text, **self._at_once))

    def keyed(self, sheet: Sheet, *, really: bool = False) -> AnyEntry:
        """All of a sheet is in the book.

        Raises:
            Doubtful: Of some of its lines nothing is recorded.
            BookError: It was keyed in before.
        """
        stamp = self._at_once
        draft = sheets.keyed(
            self.season.ledger, sheet, who=self.who, by=self.name, now=stamp["at"], really=really
        )
        return self._write(draft)

    def opened(self, item: Item, reason: str) -> AnyEntry:
        """The valve of an item is open again."""
        place = {"block": item.about.block, "line": item.about.line}
        valve = Valve(state="open", reason=reason, who=self.who, **place, **self._at_once)
        return self._write(valve)

    def reopen_all(self, item: Item, reason: str) -> tuple[AnyEntry, ...]:
        """Reopen every line of an item."""
        about = item.about
        place = {"block": about.block, "task": about.task, "who": self.who}
        return self.season.record(
            *(
                Reopen(line=line, reason=reason, **place, **self._at_once)
                for line in item.lines or (about.line,)
            )
        )

    def in_bag(self, item: Item, text: str) -> AnyEntry:
        """What is in somebody's bag comes back, counted.

        Raises:
            BookError: The text is no number of spouts.
        """
        counted = text.strip()
        if not counted.isdecimal():
            raise BookError(
                _("{text} is not a number of spouts.").format(text=repr(text)),
                _("Count what is in the bag, and write the number."),
            )
        draft = {**read_spouts(counted), "move": "returned"}
        return self._write(Spouts(who=item.about.who, **draft, **self._at_once))

    def write_off(self, item: Item, reason: str) -> AnyEntry:
        """Nothing more is done about an item, as it stands now."""
        draft = WriteOff(
            about=item.about, amount=item.amount, who=self.who, reason=reason, **self._at_once
        )
        return self._write(draft)

    def close(self, note: str = "") -> AnyEntry:
        """The season is over."""
        return self._write(Close(who=self.who, note=note, **self._at_once))

    # --- paper ---

    def sheet(self, block: str, task: Task, who: str) -> Sheet:
        """The next sheet of a block and task, not recorded yet."""
        return sheets.draft(
            self.season, block=block, task=task.key, who=who, by=self.name, now=self.now
        )

    def record_sheet(self, draft: Sheet) -> Sheet:
        recorded = self._write(draft)
        assert isinstance(recorded, Sheet)
        return recorded

    # --- hand-off: as it is now ---

    def prepare_handoff(
        self,
        *,
        who: str,
        to: str = "",
        blocks: Iterable[str] = (),
        severity: Severity | None = None,
        done: str | None = None,
        left: str | None = None,
        hazards: str = "",
        what_if: str = "",
    ) -> HandOff:
        """A hand-off as it would be recorded now; what is None is filled in.

        Raises:
            BookError: There is no such block or person.
        """
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


def _short_enough(name: str) -> str:
    if len(name) > NAME_LENGTH:
        raise BookError(
            _("A name has at most {most} characters; this has {n}.").format(
                most=NAME_LENGTH, n=len(name)
            ),
            _("Write a shorter one."),
        )
    return name
