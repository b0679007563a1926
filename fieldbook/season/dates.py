"""Dates as people type them. Only forms that can be read one way: 03/04 is refused."""

import re
from contextlib import suppress
from datetime import date, datetime, time, timedelta, tzinfo

from fieldbook.book.layout import YEARS
from fieldbook.errors import BookError
from fieldbook.i18n import _

MONTHS = [
    *("january", "february", "march", "april", "may", "june"),
    *("july", "august", "september", "october", "november", "december"),
]
WEEKDAYS = ["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"]

_ISO = r"(\d{4})[-/](\d{1,2})[-/](\d{1,2})"
_DAY_MONTH = r"(\d{1,2})\.? ([a-z]{3,9})\.?(?: (\d{4}))?"
_MONTH_DAY = r"([a-z]{3,9})\.? (\d{1,2})(?:,? (\d{4}))?"


def read_day(text: str, *, today: date | None = None) -> date:
    """The day that somebody typed.

    Understood are 2027-02-09, 9 Feb, 9 Feb 2027, Feb 9, today, yesterday, and a day of the week,
    meaning the last one before today. Without a year, the date nearest to today is meant.

    Args:
        text: What was typed.
        today: The day it was typed on. Without it, as in a file, a date needs its year.

    Raises:
        BookError: The text is no date, could mean two, or is of no year of ours.
    """
    word = re.sub(r"\s*-\s*", "-", " ".join(text.casefold().split()))
    if re.search("[a-z]", word):
        word = word.replace("-", " ")  # 9-Feb-2027
    try:
        if today is not None and (near := _relative(word, today)):
            return near
        day = _explicit(word, today)
    except ValueError:
        day = None
    if day is None:
        raise BookError(
            _("{text} is not a date that can be read one way only.").format(text=repr(text)),
            _("Write it as 2027-02-09, 9 Feb, today or yesterday."),
        )
    if day.year not in YEARS:
        raise BookError(
            _("{text} is not a day of our times.").format(text=repr(text)),
            _("Give a year from {first} to {last}.").format(first=YEARS[0], last=YEARS[-1]),
        )
    return day


def read_due(text: str, *, today: date) -> date:
    """The day to come that somebody typed: as `read_day`, but a day of the week is the next one.

    Raises:
        BookError: The text is no date, or could mean two.
    """
    day = read_day(text, today=today)
    named = _which(" ".join(text.casefold().split()), WEEKDAYS) is not None
    return day + timedelta(days=7) if named else day


def _relative(word: str, today: date) -> date | None:
    if word in ("today", "now", ""):
        return today
    if word == "yesterday":
        return today - timedelta(days=1)
    weekday = _which(word, WEEKDAYS)
    if weekday is None:
        return None
    return today - timedelta(days=(today.weekday() - weekday - 1) % 7 + 1)


def _which(word: str, names: list[str]) -> int | None:
    """Place of a name, given whole or by its first three letters or more."""
    if len(word) < 3:
        return None
    return next((i for i, name in enumerate(names) if name.startswith(word)), None)


def _explicit(word: str, today: date | None) -> date | None:
    if match := re.fullmatch(_ISO, word):
        return date(*map(int, match.groups()))
    if match := re.fullmatch(_DAY_MONTH, word):
        day, name, year = match.groups()
    elif match := re.fullmatch(_MONTH_DAY, word):
        name, day, year = match.groups()
    else:
        return None
    month = _which(name, MONTHS)
    if month is None:
        return None
    if year:
        return date(int(year), month + 1, int(day))
    if today is None:
        return None
    near = []
    for step in (-1, 0, 1):
        with suppress(ValueError):  # 29 February in a year without one
            near.append(date(today.year + step, month + 1, int(day)))
    return min(near, key=lambda d: abs(d - today), default=None)


_CLOCK = re.compile(r"(\d{1,2})(?:[:.h]?([0-5]\d))?")


def read_time(text: str, day: date, zone: tzinfo | None) -> datetime:
    """The time that somebody typed for a day: 16:30, 16.30, 1630, 16h30 or 16.

    The clock has 24 hours: 4:30 in the afternoon is 16:30.

    Raises:
        BookError: The text is no time of a day.
    """
    match = _CLOCK.fullmatch("".join(text.casefold().split()))
    if match is None or int(match[1]) > 23:
        raise BookError(
            _("{text} is not a time of the day.").format(text=repr(text)),
            _("Write it as 16:30."),
        )
    return datetime.combine(day, time(int(match[1]), int(match[2] or 0)), zone)


def read_due_time(text: str, at: datetime) -> datetime:
    """The time, today or on another day, by which somebody is due back.

    Understood are 16:30, `tomorrow 1:30`, `26 Nov 1:30` and `2027-02-10 01:30`.

    Args:
        text: What was typed.
        at: When they go out; a time alone is of that day, and must lie ahead.

    Raises:
        BookError: The text is no time, or it has gone by.
    """
    words = " ".join(text.replace(",", " ").split())
    day_words, _blank, clock = words.rpartition(" ")
    day = at.date()
    if day_words.casefold() == "tomorrow":
        day += timedelta(days=1)
    elif day_words:
        day = read_due(day_words, today=day)
    due = read_time(clock, day, at.tzinfo)
    if due < at:
        raise BookError(
            _("{due} has gone by at {at}, when they go out.").format(
                due=f"{due:%H:%M}", at=f"{at:%H:%M}"
            ),
            _("Over midnight write tomorrow {due}; or say when they went out.").format(
                due=f"{due:%H:%M}"
            ),
        )
    return due


def moment(day: date, now: datetime) -> datetime:
    """When work of a day was done, as far as is known: now if it is today's, else at noon."""
    return now if day == now.date() else datetime.combine(day, time(12), tzinfo=now.tzinfo)


def short_day(day: date) -> str:
    """`Tue 9 Feb`: short, and never ambiguous."""
    weekday = WEEKDAYS[day.weekday()][:3]
    return f"{_(weekday.title())} {brief_day(day)}"


def clock(at: datetime, day: date) -> str:
    """A time of a day: `16:30`; with its date where that is another day."""
    return f"{at:%H:%M}" if at.date() == day else f"{short_day(at.date())} {at:%H:%M}"


def brief_day(day: date) -> str:
    """`9 Feb`: as short as it goes, for a column of dates."""
    month = MONTHS[day.month - 1][:3]
    return f"{day.day} {_(month.title())}"
