"""An entry, whole: every field that says something, or the page it stands for. No widgets here."""

from collections.abc import Iterator
from datetime import date, datetime

from msgspec import Struct

from fieldbook.book.entry import AnyEntry, HandOff, Taken
from fieldbook.i18n import _
from fieldbook.reports.handoff import WIDTH, handoff_page, page_lines
from fieldbook.season.season import Season

ON_TOP = ("v", "id", "tick", "at", "noted", "by")
"""Fields of every entry: they are said above the others, in words."""


def whole_lines(season: Season, entry: AnyEntry, now: datetime, *, width: int) -> list[str]:
    """What an entry holds, in lines: of a hand-off, and of its taking, the page as it is printed.

    Args:
        season: The season.
        entry: The entry; it may be struck.
        now: The time.
        width: Of a page in characters, which is no wider than on paper.
    """
    handoff = _handoff_of(season, entry)
    if handoff is not None:
        return page_lines(handoff_page(season, handoff, now), width=min(WIDTH, width))
    return list(_fields(entry, ON_TOP))


def _handoff_of(season: Season, entry: AnyEntry) -> HandOff | None:
    """The hand-off that an entry is or takes, also where it was struck since."""
    if isinstance(entry, HandOff):
        return entry
    if not isinstance(entry, Taken):
        return None
    found = next((e for e in season.book.entries if e.id == entry.handoff), None)
    return found if isinstance(found, HandOff) else None


def _fields(struct: Struct, without: tuple[str, ...] = ()) -> Iterator[str]:
    """Each field that is not empty by its name in the journal, and what stands in it."""
    for name in struct.__struct_fields__:
        value = getattr(struct, name)
        if name in without or value is None or value in ("", ()):
            continue
        front = f"{name.replace('_', ' ')}: "
        if isinstance(value, Struct):
            yield front + "; ".join(_fields(value))
        elif isinstance(value, tuple) and isinstance(value[0], Struct):
            yield front
            yield from ("  " + "; ".join(_fields(part)) for part in value)
        else:
            first, *more = _said(value).splitlines() or [""]
            yield front + first
            yield from ("  " + line for line in more)


def _said(value: object) -> str:
    """A field's value in words."""
    match value:
        case bool():
            return _("yes") if value else _("no")
        case datetime():
            return f"{value:%Y-%m-%d %H:%M}"
        case date():
            return value.isoformat()
        case float():
            return f"{value:g}"
        case tuple():
            return ", ".join(map(str, value))
    return str(value)
