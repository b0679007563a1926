"""Gauges of Quillby Hollow, as somebody would note them: `08 07:10 pump 25.5`."""

from datetime import datetime
from typing import Any

from fieldbook.book.entry import AnyEntry, Leak, Reading, Settle, Valve
from fieldbook.season.readings import AT_PUMP, read_readings
from tests.conftest import NOW, count
from tests.season.woods import place

TAPPED = (count("Ledge/Cliff", "tapping", 40), count("Ledge/Cedar", "tapping", 60))
"""40 taps on Cliff, 60 on Cedar; both drain 700 ft."""


def at(text: str) -> dict[str, Any]:
    """A time of February: `08 07:10`."""
    when = datetime.fromisoformat(f"2027-02-{text}").replace(tzinfo=NOW.tzinfo)
    return {"at": when, "noted": NOW, "by": "Oda"}


def read(notes: str) -> list[AnyEntry]:
    """Readings, a line each: day and time, `pump` or `Block/Line`, and what the gauges read."""
    found: list[AnyEntry] = []
    for row in filter(None, map(str.strip, notes.splitlines())):
        day, time, where, text = row.split(maxsplit=3)
        said, _semicolon, note = text.partition(";")
        for fields in read_readings(said, line="/" in where):
            here = {} if where == "pump" else place(where)
            if fields["place"] in AT_PUMP:
                here = {"block": here.get("block", "")}
            found.append(
                Reading(who="Wim", note=note.strip(), **fields, **here, **at(f"{day} {time}"))
            )
    return found


def leak_at(when: str, where: str, text: str = "hiss", **more: Any) -> Leak:
    return Leak(who="Wim", text=text, **more, **place(where), **at(when))


def mended(when: str, opener: str) -> Settle:
    return Settle(entry=opener, who="Perrin", **at(when))


def listened(when: str, where: str, *, heard: bool, state: str = "open") -> Valve:
    return Valve(who="Wim", heard=heard, state=state, **place(where), **at(when))  # type: ignore[arg-type]
