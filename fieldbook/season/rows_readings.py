"""Rows of a table of gauge readings into entries."""

import re
from datetime import datetime
from typing import Any

from fieldbook.book.entry import MOST_INHG, MOST_KPA, AnyEntry, Reading
from fieldbook.errors import BookError
from fieldbook.i18n import _
from fieldbook.season.dates import moment, read_day, read_time
from fieldbook.season.readings import AT_PUMP, PLACES, check_reading
from fieldbook.season.rows import Against, place_of, who_of
from fieldbook.season.table import Row

_AT = re.compile(r"(\S+)[T ]+(\S+)")

VACUUM = (("vacuum_inhg", MOST_INHG), ("vacuum_kpa", MOST_KPA))
"""Columns of which one says what the gauge read, with the most it may."""


def read_reading(row: Row, against: Against) -> list[AnyEntry]:
    """A gauge that was read, after its person if that is a new hand who may be added."""
    at = _time(row, against)
    typed = row.text("place", needed=True).casefold()
    place = PLACES.get(typed.split()[0] if typed else "")
    if typed and place is None:
        row.wrong(
            "place",
            _("{place} is no place of a gauge").format(place=repr(typed)),
            _("write pump, releaser, head or far end"),
        )
    pipe = row.text("pipe").casefold()
    if pipe not in ("", "wet", "dry"):
        row.wrong("pipe", _("{pipe} is no pipe").format(pipe=repr(pipe)), _("write wet or dry"))
    vacuum = _vacuum(row)
    where: dict[str, Any] = place_of(row, against.plan, pump=place in AT_PUMP)
    who, newcomers = who_of(row, against) if "by" in row else (against.stamp["by"], [])
    if row.problems or at is None:
        return []
    fields: dict[str, Any] = {"place": place, "pipe": pipe, **vacuum, "who": who}
    note = row.text("note", prose=True)
    draft = Reading(**fields, **where, note=note, **(against.stamp | {"at": at}))
    try:
        check_reading(draft, against.plan)
    except BookError as error:
        row.wrong("pipe" if pipe else next(iter(vacuum)), error.message, error.hint)
        return []
    return [*newcomers, draft]


def _time(row: Row, against: Against) -> datetime | None:
    """When a gauge was read: a day and a time, or a day alone."""
    value = row.text("at", needed=True)
    if not value:
        return None
    now = against.stamp["noted"]
    parts = _AT.fullmatch(value)
    try:
        day = read_day(parts[1] if parts else value)
        at = read_time(parts[2], day, now.tzinfo) if parts else moment(day, now)
    except BookError:
        row.wrong(
            "at",
            _("{value} is no day with its time").format(value=repr(value)),
            _("write the year first: 2027-02-09 07:30"),
        )
        return None
    against.in_season(row, "at", day)
    return at


def _vacuum(row: Row) -> dict[str, float | None]:
    """What the gauge read, in one of the two units."""
    read = {
        column: row.measure(column, low=0, high=most) for column, most in VACUUM if row.text(column)
    }
    if len(read) != 1:
        what = _("the row says no vacuum") if not read else _("the row says the vacuum twice")
        names = ", ".join(column for column, _most in VACUUM)
        row.wrong("", what, _("fill in one of {names}").format(names=names))
    return read
