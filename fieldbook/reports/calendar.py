"""A season's days as a calendar that any calendar program reads (iCalendar, RFC 5545)."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, time
from typing import TYPE_CHECKING
from uuid import UUID, uuid5

import msgspec
from msgspec import Struct

from fieldbook.book.entry import Repair, Task
from fieldbook.i18n import _
from fieldbook.reports.forecast import TaskForecast, forecast
from fieldbook.reports.words import count_words, place
from fieldbook.season.dates import short_day
from fieldbook.season.items import What, open_items
from fieldbook.season.season import Season

if TYPE_CHECKING:
    from icalendar import vText

PRODUCT = "-//fieldbook//season calendar//EN"

_OURS = UUID("6d1f3f0e-5b1c-5c0b-9a53-8f3f6a0e2d47")
"""Where the names of events are taken from; it must never change, or every event is a new one."""


class DayEvent(Struct, frozen=True):
    """Something that falls on a day.

    Attributes:
        about: What it is about, the same in every calendar of the season: `("likely", "tapping")`.
        day: The day.
        summary: What it is, on one line.
        description: What there is to say about it.
    """

    about: tuple[str, ...]
    day: date
    summary: str
    description: str


def calendar_ics(season: Season, as_of: date) -> bytes:
    """The calendar as a file: all-day events, with the line ends of RFC 5545 (CR LF).

    The same entries and the same day give the same bytes. What people typed is escaped.

    Args:
        season: A season whose ledger was folded up to a day.
        as_of: The day.
    """
    from icalendar import Calendar, Event

    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    name = _("{book}, season {year}").format(book=season.book.name, year=season.year)
    calendar["x-wr-calname"] = _typed(name)  # what calendar programs show (common practice)
    for told in day_events(season, as_of):
        event = Event()
        event.add("uid", event_uid(season.book.id, season.year, told.about))
        event.add("dtstamp", datetime.combine(as_of, time(), UTC))
        event.add("dtstart", told.day)  # a date without an end is that whole day: RFC 5545, 3.6.1
        event["summary"] = _typed(told.summary)
        event["description"] = _typed(told.description)
        event.add("transp", "TRANSPARENT")  # nobody is busy all day because of it
        calendar.add_component(event)
    data: bytes = calendar.to_ical()
    return data


def event_uid(book: str, year: int, about: tuple[str, ...]) -> str:
    """What an event is known by: the same each time, so that a program brings it up to date.

    Args:
        book: Id of the book.
        year: The season.
        about: What the event is about.
    """
    return str(uuid5(_OURS, msgspec.json.encode((book, year, about)).decode()))


def _typed(text: str) -> "vText":
    r"""Text as the library escapes it, also where somebody typed `\N`.

    The library takes those two characters for a line break; in RFC 5545, 3.3.11, they are a
    backslash, which is escaped, and a letter.
    """
    from icalendar import vText

    class Typed(vText):
        def to_ical(self) -> bytes:
            return rb"\\N".join(vText(part).to_ical() for part in str(self).split(r"\N"))

    return Typed(text)


def day_events(season: Season, as_of: date) -> list[DayEvent]:
    """The days of a season by date: its ends, dates wanted and likely, repairs that are due."""
    found = (
        *_ends(season),
        *_wanted(season),
        *_foretold(season, as_of),
        *_repairs(season, as_of),
    )
    events = {event.about: event for event in found}  # one event has one name
    return sorted(events.values(), key=lambda event: (event.day, event.about))


def _ends(season: Season) -> Iterator[DayEvent]:
    plan, book = season.plan, season.book.name
    for about, day, words in (
        ("begins", plan.begins, _("Season {year} begins")),
        ("ends", plan.ends, _("Season {year} ends")),
    ):
        first_or_last = _("{book}: work from {begins} to {ends} belongs to the season.")
        told = first_or_last.format(book=book, begins=_day(plan.begins), ends=_day(plan.ends))
        yield DayEvent((about,), day, words.format(year=season.year), told)


def _wanted(season: Season) -> Iterator[DayEvent]:
    """Dates wanted: of each task, and of each block that has a target of its own."""
    plan = season.plan
    for task in plan.tasks:
        wanted = plan.wanted(task)
        if wanted is not None:
            yield DayEvent(
                ("wanted", task.key),
                wanted.day,
                _("{task}: wanted done").format(task=_(task.title)),
                _stands(season, task, None),
            )
        for block in plan.blocks:
            target = plan.target(task.key, block)
            if target is not None and target.wanted is not None:
                yield DayEvent(
                    ("wanted", task.key, block),
                    target.wanted,
                    _("{task}, {block}: wanted done").format(task=_(task.title), block=block),
                    _stands(season, task, block),
                )


def _stands(season: Season, task: Task, block: str | None) -> str:
    """How far a task has come, in all or in a block."""
    said = count_words(season.ledger.cell(task, block).tally, task)
    return _("{where}: {count}.").format(where=block or season.book.name, count=said)


def _foretold(season: Season, as_of: date) -> Iterator[DayEvent]:
    """What the forecast says: when a task is done, or when one not begun has to begin.

    A task nobody has begun has no date in the forecast either: it would be as if the crew left
    everything else and began tomorrow.
    """
    for task in forecast(season, as_of).tasks:
        title = _(task.title)
        if not task.under_way:
            if task.begin_by is not None and task.wanted is not None:
                yield DayEvent(
                    ("begin", task.task),
                    task.begin_by,
                    _("{task}: last day to begin").format(task=title),
                    _(
                        "Begun by then, it is done by {wanted}, the date wanted, nine times in ten."
                    ).format(wanted=_day(task.wanted)),
                )
        elif task.finish.likely is not None:
            yield DayEvent(
                ("likely", task.task),
                task.finish.likely,
                _("{task}: likely done").format(task=title),
                _likely(task, as_of),
            )


def _likely(task: TaskForecast, as_of: date) -> str:
    """The dates of a task under way, in words."""
    early, likely, late = (
        _("not within a year") if day is None else _day(day)
        for day in (task.finish.early, task.finish.likely, task.finish.late)
    )
    said = _(
        "Early {early} (one time in ten), likely {likely} (five in ten), late {late} (nine in "
        "ten), as of {day}. Left: {left:,} {unit}."
    ).format(
        early=early,
        likely=likely,
        late=late,
        day=_day(as_of),
        left=task.left,
        unit=_(task.counts),
    )
    if task.wanted is not None:
        said += " " + _("Wanted: {day}.").format(day=_day(task.wanted))
    return said


def _repairs(season: Season, as_of: date) -> Iterator[DayEvent]:
    """Repairs that somebody promised for a day, and that are still open."""
    evening = datetime.combine(as_of, time(23, 59, 59), UTC)  # only the wall clock counts
    for item in open_items(season.ledger, evening):
        promised = season.ledger.entry(item.about.entry)
        if item.what is What.REPAIR and isinstance(promised, Repair) and promised.due is not None:
            where = place(promised.block, promised.line)
            words = _("Repair by {who}, {where}") if where else _("Repair by {who}")
            yield DayEvent(
                ("repair", promised.id),
                promised.due,
                words.format(who=item.owner, where=where),
                _("{text}\nPromised by {who} on {day} ({id}).").format(
                    text=promised.text,
                    who=promised.who,
                    day=_day(promised.day),
                    id=promised.id,
                ),
            )


def _day(day: date) -> str:
    """`Tue 9 Feb 2027`."""
    return f"{short_day(day)} {day.year}"
