"""Who sits at the screens, for whom and for which day; and what they write of the woods.

What belongs to a line is of the day that is keyed in. Who is out or back, and what closes an open
item, is as it is now.
"""

import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import date, datetime
from typing import Any, Literal

from fieldbook.book.entry import (
    NAME_LENGTH,
    AnyEntry,
    Back,
    Close,
    Count,
    Leak,
    Line,
    Out,
    Person,
    Reading,
    Reopen,
    Repair,
    Settle,
    Sheet,
    Spouts,
    Task,
    Valve,
    WriteOff,
)
from fieldbook.errors import BookError
from fieldbook.i18n import _
from fieldbook.laptop import Laptop, login_name
from fieldbook.season import sheets
from fieldbook.season.dates import moment, read_day, read_due_time, read_time
from fieldbook.season.items import Item
from fieldbook.season.readings import AT_PUMP, read_readings
from fieldbook.season.season import Season, closed
from fieldbook.season.stock import read_spouts
from fieldbook.season.woods import people_out

_NOTED = re.compile(r'(.*?\d ?(?:inhg|hg|"|kpa)?) ?:(?: (.*))?', re.IGNORECASE)
"""Readings, a colon after the last, and words; no colon stands in the readings after a number."""


class Pen:
    """Writes for whoever sits at the screens.

    Args:
        season: The season that is open.
        laptop: What this laptop remembers.
        clock: The time.

    Attributes:
        by: Who is at the keyboard; empty until somebody says so.
        who: Whose work is being keyed in; empty until it is chosen.
        in_the_way: The entry that a refusal named as what to strike; the logbook opens on it.
    """

    def __init__(self, season: Season, laptop: Laptop, clock: Callable[[], datetime]) -> None:
        self.season = season
        self.laptop = laptop
        self.clock = clock
        self.by = laptop.keying(season.book.id)
        self.who = self.by if self.by in season.plan.people else ""
        self._day: date | None = None
        self.in_the_way = ""

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

    def _write(self, draft: AnyEntry, *, really: bool = False) -> AnyEntry:
        (entry,) = self._record(draft, really=really)
        return entry

    def _record(self, *drafts: AnyEntry, really: bool = False) -> tuple[AnyEntry, ...]:
        with self._shown_the_way():
            return self.season.record(*drafts, really=really)

    @contextmanager
    def _shown_the_way(self) -> Iterator[None]:
        """Say to whoever writes in a closed season which keys open it again."""
        try:
            yield
        except BookError as error:
            close = self.season.ledger.closed
            if close is not None and error.message == closed(close).message:
                self.in_the_way = close.id
                error.hint = _("To go on: g, then x on the row {id}.").format(id=close.id)
            raise

    # --- what is found on a line, of the day that is keyed in ---

    def _found(self, line: Line) -> dict[str, Any]:
        return {"block": line.block, "line": line.line, "who": self.who, **self._stamp}

    def leak(self, line: Line, text: str) -> AnyEntry:
        """A leak, as somebody typed it: words, and at their end what it costs in inHg."""
        from fieldbook.season.found import read_leak

        return self._write(Leak(**read_leak(text), **self._found(line)))

    def read_far_end(
        self, line: Line, task: Task, vacuum: float, hours: float | None, *, really: bool = False
    ) -> tuple[AnyEntry, ...]:
        """What the far end of a line reads; with it the line counts as read, unless it did already.

        Hours are written down with a count, also of a line that is read again: so they are not
        lost, and whoever types them is asked as with any count too many.
        """
        pipe: Literal["", "wet"] = "wet" if line.layout == "pair" else ""
        unit = "vacuum_kpa" if self._metric else "vacuum_inhg"
        found = self._found(line)
        read: dict[str, Any] = {unit: vacuum}
        drafts: list[AnyEntry] = [Reading(place="far end", pipe=pipe, **read, **found)]
        left = self.season.ledger.line_cell(line, task).tally.left
        if left or hours is not None:
            drafts.append(Count(count=1, hours=hours, task=task.key, **found))
        return self._record(*drafts, really=really)

    @property
    def _metric(self) -> bool:
        return self.laptop.units == "metric"

    def gauges_read(self, line: Line, text: str) -> tuple[Reading, ...]:
        """Gauges of a line, or the pump's, as somebody typed them; words follow a colon."""
        said, note = words_apart(text)
        drafts = []
        for read in read_readings(said, metric=self._metric):
            found = self._found(line)
            if read["place"] in AT_PUMP:
                found |= {"block": "", "line": ""}
            drafts.append(Reading(**read, note=note, **found))
        return tuple(e for e in self._record(*drafts) if isinstance(e, Reading))

    def pump_reads(self, text: str) -> tuple[AnyEntry, ...]:
        """What the gauge at the pump reads now, as somebody typed it; words follow a colon."""
        said, note = words_apart(text)
        stamp = {"who": self.who or self.name, "note": note, **self._at_once}
        reads = read_readings(said, metric=self._metric, line=False)
        return self._record(*(Reading(**read, **stamp) for read in reads))

    def valve_test(self, line: Line, text: str) -> AnyEntry:
        """A valve test, as somebody typed it: `heard`, `not heard, left shut: ...`."""
        from fieldbook.season.found import read_test

        return self._write(Valve(**read_test(text), **self._found(line)))

    def valve(self, line: Line, state: Literal["open", "shut"], reason: str) -> AnyEntry:
        return self._write(Valve(state=state, reason=reason, **self._found(line)))

    def promise(self, line: Line, text: str) -> AnyEntry:
        """A repair that is promised, as somebody typed it: words, and `by` when."""
        from fieldbook.season.found import read_promise

        return self._write(Repair(**read_promise(text, today=self.today), **self._found(line)))

    def spouts(self, text: str) -> tuple[AnyEntry, ...]:
        """Spouts into or out of the bag of whose work it is, as somebody typed them.

        Raises:
            BookError: The text says no number of spouts.
        """
        moves, stamp = read_spouts(text), self._stamp
        return self._record(*(Spouts(**moved, who=self.who, **stamp) for moved in moves))

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
        return (self._write(Person(person=short_enough(name), **self._at_once)),)

    def out(self, who: str, block: str, text: str, *, really: bool = False) -> AnyEntry:
        """Somebody goes into the woods, due back when somebody typed, with words after it.

        Raises:
            Doubtful: A time at which nobody is due.
            BookError: The text begins with no time, or with one that has gone by.
        """
        from fieldbook.season.found import read_out

        start, due, note = read_out(text)
        stamp = self._at_once
        if start:
            stamp["at"] = self._gone_by(start, _("Once they go, write only when they are due."))
        else:
            self._refuse_gone_by(due, stamp["at"])
        when = read_due_time(due, stamp["at"])
        return self._write(Out(who=who, block=block, due=when, note=note, **stamp), really=really)

    def _refuse_gone_by(self, due: str, now: datetime) -> None:
        """A time alone that has gone by may be of tomorrow, or they may be out already."""
        alone = None
        with suppress(BookError):
            alone = read_time(due, now.date(), now.tzinfo)
        if alone is not None and alone <= now:
            raise BookError(
                _("{time} has gone by today.").format(time=due),
                _("Write tomorrow {time}, or when they went out too: 12:40-16:30.").format(
                    time=due
                ),
            )

    def _gone_by(self, text: str, hint: str) -> datetime:
        """A time of today, or of another day that was typed before it, that has gone by.

        Raises:
            BookError: It is no time, or still to come; the hint says what to write then.
        """
        now = self.now
        day, _blank, clock = text.replace(",", " ").rpartition(" ")
        at = read_time(clock, read_day(day, today=now.date()), now.tzinfo)
        if at > now:
            raise BookError(_("{time} is still to come.").format(time=text), hint)
        return at

    def back(self, who: str, text: str, *, really: bool = False) -> AnyEntry:
        """Somebody is back, or due later, as somebody typed it.

        Raises:
            Doubtful: A time at which nobody is due.
            BookError: They are not out, or the time cannot be.
        """
        from fieldbook.season.found import read_back

        later, time, note = read_back(text)
        stamp = self._at_once
        if later:
            words = people_out(self.season.ledger).get(who)
            if not words:
                return self._write(Back(who=who, **stamp))  # which is refused: they are not out
            due, last = read_due_time(time, stamp["at"]), words[-1]
            draft = Out(who=who, block=last.block, line=last.line, due=due, note=note, **stamp)
            return self._write(draft, really=really)
        if time:
            hint = _("Due then: later {time}. Of the day before: yesterday {time}.")
            stamp["at"] = self._gone_by(time, hint.format(time=time))
        return self._write(Back(who=who, note=note, **stamp), really=really)

    def settle(self, entry_id: str, text: str) -> AnyEntry:
        """What an entry opened is seen to."""
        return self._write(Settle(entry=entry_id, who=self.who, text=text, **self._at_once))

    def mended(self, item: Item, text: str) -> tuple[AnyEntry, ...]:
        """A leak is mended; a reading at the end of the words is what the far end reads now."""
        from fieldbook.season.found import read_mended

        words, vacuum = read_mended(text)
        about, stamp = item.about, self._at_once
        drafts: list[AnyEntry] = [Settle(entry=about.entry, who=self.who, text=words, **stamp)]
        if vacuum:
            place: dict[str, Any] = {"block": about.block, "line": about.line, "who": self.who}
            drafts.append(Reading(place="far end", **vacuum, **place, **stamp))
        return self._record(*drafts)

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
        place: dict[str, Any] = {"block": item.about.block, "line": item.about.line}
        valve = Valve(state="open", reason=reason, who=self.who, **place, **self._at_once)
        return self._write(valve)

    def reopen_all(self, item: Item, reason: str) -> tuple[AnyEntry, ...]:
        """Reopen every line of an item."""
        about = item.about
        place: dict[str, Any] = {"block": about.block, "task": about.task, "who": self.who}
        return self._record(
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
        draft = {**read_spouts(counted)[0], "move": "returned"}
        return self._write(Spouts(who=item.about.who, **draft, **self._at_once))

    def more_than_issued(self, item: Item, text: str) -> AnyEntry:
        """Why more came out of a bag than was issued; or how many were issued beside those.

        Raises:
            BookError: The text says neither.
        """
        word, _blank, count = text.strip().partition(" ")
        if word.casefold() == "issued" and count.strip().isdecimal():
            (moved,) = read_spouts(text)
            return self._write(Spouts(who=item.about.who, **moved, **self._at_once))
        return self.write_off(item, text)

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


def words_apart(text: str) -> tuple[str, str]:
    """Readings as somebody typed them, and the words that follow a colon: `wet 17: the tee`."""
    found = _NOTED.fullmatch(" ".join(text.split()))
    return (text, "") if found is None else (found[1], found[2] or "")


def short_enough(name: str) -> str:
    if len(name) > NAME_LENGTH:
        raise BookError(
            _("A name has at most {most} characters; this has {n}.").format(
                most=NAME_LENGTH, n=len(name)
            ),
            _("Write a shorter one."),
        )
    return name
