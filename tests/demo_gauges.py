"""The gauges of the demo season: six days of vacuum in three blocks, and what hides in them.

The pump has been on for good since the thaw of 3 February, for the lines that are tapped. In the
readings are hidden a leak that grows (Ridge pair), a valve that was shut (Boulder main), a line
that is cut off and no word why (Snow fence main), a gauge that reads too much (Crest main), a wet
pipe that is full of sap (Long pair), air that was heard and not found (Far notch main), and mending
that held (Wolf tree main), that did not last (Fern pair), that nobody has looked at since (Windfall
main).
"""

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

from fieldbook.book.entry import AnyEntry, Leak, Note, Reading, Valve
from fieldbook.season.found import read_leak
from fieldbook.season.readings import AT_PUMP, read_readings
from tests.demo_woods import Seen, told, when


def read(at: str, who: str, text: str, place: str = "") -> Iterator[Reading]:
    """Gauges as somebody read them, of a line written `block / line` or of the pump."""
    for fields in read_readings(text, line=bool(place)):
        where = "" if fields["place"] in AT_PUMP else place
        yield Reading(**told(at, who, where), **fields)


def leak(at: str, who: str, place: str, text: str) -> Leak:
    return Leak(**told(at, who, place), **read_leak(text))


def tested(at: str, who: str, place: str, *, heard: bool) -> Valve:
    return Valve(**told(at, who, place), state="open", heard=heard)


# --- February 2027 ---

PUMP = {3: 25.5, 4: 25.5, 5: 25.0, 6: 25.5, 8: 25.5, 9: 25.5}
"""Inches of mercury at the pump by day of the month; on the fifth the air pressed less. On Sunday
it ran and nobody read it."""

WALKS: dict[tuple[str, int], tuple[str, str]] = {
    ("Upper Ridge", 3): ("10:40", "Milo"),
    ("Upper Ridge", 4): ("10:00", "Wes"),
    ("Upper Ridge", 5): ("09:45", "Milo"),
    ("Upper Ridge", 6): ("12:10", "Tor"),
    ("Upper Ridge", 8): ("09:30", "Zoë"),
    ("North Slope", 3): ("12:15", "Milo"),
    ("North Slope", 4): ("12:50", "Wes"),
    ("North Slope", 5): ("09:45", "Wes"),
    ("North Slope", 6): ("10:20", "Tor"),
    ("North Slope", 8): ("12:40", "Wes"),
    ("Brook Bend", 8): ("11:40", "Rae"),
    ("Brook Bend", 9): ("14:00", "Zoë"),
}
"""When somebody began to read the far ends of a block, by day, and who."""

A_LINE = timedelta(minutes=12)
"""From one far end to the next."""

READ: dict[str, dict[str, dict[int, str]]] = {
    "Upper Ridge": {
        "Gate main": {4: "24.7", 6: "24.6", 8: "24.6"},
        # A leak that grows
        "Ridge pair": {4: "wet 25.0, dry 25.2", 5: "wet 24.0", 6: "wet 23.7", 8: "wet 22.6"},
        # Good until a birch came down on it and its valve was shut
        "Boulder main": {4: "24.8", 5: "24.4", 6: "24.9"},
        "Twin birch main": {4: "24.6", 6: "24.7", 8: "24.6"},
        "Saddle main": {4: "24.8", 5: "24.3", 8: "24.9"},
        "Stub main": {6: "24.8", 8: "24.7"},
        # Mended on the fourth at half past nine, and it held
        "Wolf tree main": {3: "22.4", 4: "24.9", 6: "25.0", 8: "24.9"},
        "High pair": {5: "wet 24.2, dry 24.5", 8: "wet 24.7, dry 25.0"},
        # Mended on the ninth, and nobody has read it since
        "Windfall main": {3: "24.8", 5: "24.3", 6: "24.8", 8: "23.6"},
        # More than the pump can give
        "Crest main": {3: "26.7", 4: "26.6", 5: "26.2", 6: "26.7", 8: "26.7"},
        "Far notch main": {4: "24.1", 6: "24.0", 8: "head 25.0, far 23.8"},
    },
    "North Slope": {
        "Shade main": {3: "24.2", 4: "24.2", 5: "23.6", 6: "23.9", 8: "24.0"},
        # Mended on the fourth before one, and it sinks again
        "Fern pair": {
            3: "wet 23.4, dry 23.7",
            4: "wet 24.9, dry 25.1",
            5: "wet 24.1, dry 24.4",
            6: "wet 24.0, dry 24.2",
            8: "wet 22.9, dry 23.2",
        },
        "Hemlock main": {4: "24.7", 5: "24.2", 8: "24.8"},
        "Ice house main": {4: "24.6", 6: "24.7"},
        # Sap stands in the wet pipe
        "Long pair": {5: "wet 16.8, dry 24.2", 6: "wet 17.2, dry 24.8", 8: "wet 17.0, dry 24.7"},
        "Dog-leg main": {4: "24.6", 5: "24.1", 8: "24.6"},
        "Switchback main": {5: "24.2", 8: "84.0 kPa"},
        "Raven main": {6: "24.6", 8: "24.7"},
        # Cut off, and nobody wrote that its valve is shut
        "Snow fence main": {6: "24.6", 8: "head 24.9, far 0.8"},
    },
    "Brook Bend": {
        "Bridge main": {8: "24.8", 9: "24.9"},
        "Alder main": {8: "24.6", 9: "24.5"},
        "Mill main": {9: "23.7"},
        "Bend pair": {9: "wet 24.6, dry 24.9"},
    },
}
"""What was read at the far ends, by block, line and day of the month, in walking order."""


def walked() -> Iterator[Reading]:
    """The far ends as they were read, one after the other."""
    for (block, day), (hour, who) in WALKS.items():
        at = when(f"2027-02-{day:02} {hour}")
        for line, by_day in READ[block].items():
            if day in by_day:
                yield from read(f"{at:%Y-%m-%d %H:%M}", who, by_day[day], f"{block} / {line}")
                at += A_LINE


SPOUT_OUT = leak(
    "2027-02-08 11:00",
    "Zoë",
    "Upper Ridge / Windfall main",
    "spout out at the second lateral, under a branch that came down, 1 inHg",
)

GAUGES: tuple[AnyEntry, ...] = (
    Note(
        **told("2027-02-03 06:50", "Wes"),
        text="Thaw: pump on for good, for what is tapped. Guard on the belt, oil looked at.",
    ),
    *(
        reading
        for day, vacuum in PUMP.items()
        for reading in read(
            f"2027-02-{day:02} 07:10", "Ina" if day == 9 else "Wes", f"pump {vacuum}"
        )
    ),
    *walked(),
    tested("2027-02-08 10:10", "Zoë", "Upper Ridge / Saddle main", heard=False),
    SPOUT_OUT,
    tested("2027-02-08 11:30", "Zoë", "Upper Ridge / Far notch main", heard=True),
    tested("2027-02-08 12:45", "Wes", "North Slope / Shade main", heard=False),
    # Ina listens along two lines
    *read("2027-02-09 10:55", "Ina", "head 25.2, far 24.5", "Upper Ridge / Gate main"),
    tested("2027-02-09 11:40", "Ina", "Upper Ridge / Ridge pair", heard=True),
    *read("2027-02-09 11:45", "Ina", "wet 22.0, dry 22.2", "Upper Ridge / Ridge pair"),
)
"""What was read and found in 2027."""

# --- past seasons ---

SQUIRREL_25 = leak(
    "2025-02-25 11:00", "Tor", "Upper Ridge / Ridge pair", "chewed at the fifth lateral, 2 inHg"
)
DROP_25 = leak("2025-03-03 13:00", "Ina", "North Slope / Fern pair", "drop off, second lateral")
SQUIRREL_26 = leak(
    "2026-02-24 10:30", "Wes", "Upper Ridge / Ridge pair", "fifth lateral chewed again, 2.5 inHg"
)
CHEWED_26 = leak(
    "2026-03-02 14:00", "Ina", "Upper Ridge / Wolf tree main", "third lateral, squirrel"
)
TREE_26 = leak("2026-03-10 09:30", "Ina", "Old Orchard / Hedge main", "tree down on the main")

PAST_LEAKS: tuple[AnyEntry, ...] = (SQUIRREL_25, DROP_25, SQUIRREL_26, CHEWED_26, TREE_26)

MENDED = (
    Seen(SQUIRREL_25, "2025-02-26 10:00", "Tor", "a new length let in"),
    Seen(DROP_25, "2025-03-04 10:00", "Ina", "hung again"),
    Seen(SQUIRREL_26, "2026-02-25 09:40", "Wes", "new tee, tin round the lateral"),
    Seen(CHEWED_26, "2026-03-03 11:00", "Ina", "spliced"),
    Seen(TREE_26, "2026-03-11 15:00", "Wes", "tree off with two of us, main spliced"),
    Seen(SPOUT_OUT, "2027-02-09 10:30", "Ina", "branch off, spout driven home"),
)
"""Leaks that were mended, beside those of `demo_woods`."""

PAST_PUMP = 25.5
"""Inches of mercury at the pump on every day of the leak rounds of past seasons."""


def pump_of(day: date) -> Reading:
    """The pump on a day of a past season's leak round."""
    (reading,) = read(f"{day} 07:10", "Wes", f"pump {PAST_PUMP}")
    return reading


def far_end(fields: dict[str, Any], lost_inhg: float) -> Reading:
    """What the far end of a line read on a leak round of a past season."""
    place = {name: fields[name] for name in ("at", "noted", "by", "who", "block", "line")}
    return Reading(**place, place="far end", vacuum_inhg=PAST_PUMP - lost_inhg)
