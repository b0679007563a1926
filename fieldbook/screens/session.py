"""Who sits at the screens, for whom and for which day; and what they write. No widgets here."""

from collections.abc import Callable
from datetime import date, datetime
from typing import Any

from fieldbook.book.entry import (
    NAME_LENGTH,
    AnyEntry,
    Aside,
    Count,
    Finish,
    Line,
    Note,
    Person,
    Reopen,
    Run,
    Step,
    Strike,
    Task,
    Trees,
)
from fieldbook.errors import BookError
from fieldbook.i18n import _
from fieldbook.laptop import Laptop, login_name
from fieldbook.reports.forecast import Forecast, forecast
from fieldbook.season.dates import moment, read_day
from fieldbook.season.runs import read_run
from fieldbook.season.season import Season
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
        return self.clock().date()

    def forecast(self) -> Forecast:
        """When the crew will be done; worked out again when anything was recorded."""
        now = (self.season.seen, self.today)
        if self._forecast is None or self._forecast[0] != now:
            self._forecast = (now, forecast(self.season, self.today))
        return self._forecast[1]

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
        now = self.clock()
        return {"at": moment(self.day, now), "noted": now, "by": self.name}

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
        new = self.season.plan.person(name) is None
        added = (self._write(Person(person=_short_enough(name), **self._stamp)),) if new else ()
        self.who = name
        return added

    def strike(self, entry_id: str, reason: str) -> Strike:
        return self.season.strike(entry_id, reason, by=self.name, now=self.clock())


def _short_enough(name: str) -> str:
    if len(name) > NAME_LENGTH:
        raise BookError(
            _("A name has at most {most} characters; this has {n}.").format(
                most=NAME_LENGTH, n=len(name)
            ),
            _("Write a shorter one."),
        )
    return name
