"""The gauges of the demo season: six days of vacuum in three blocks, and what hides in them.

The pump has been on since the thaw of 3 February, for what is tapped. In the readings are hidden a
leak that grows (Ridge pair), a valve that was shut (Boulder main), a line that is cut off and no
word why (Snow fence main), a gauge that reads too much (Crest main), a wet pipe that is full of sap
(Long pair), mending that held (Wolf tree main), that did not last (Fern pair), and that nobody has
looked at since (Windfall main).
"""

from collections.abc import Iterator
from datetime import date
from typing import Any

from fieldbook.book.entry import AnyEntry, Leak, Note, Reading, Valve
from fieldbook.season.found import read_leak
from fieldbook.season.readings import AT_PUMP, read_readings
from tests.demo_woods import Seen, told


def read(at: str, who: str, text: str, place: str = "", note: str = "") -> tuple[Reading, ...]:
    """Gauges as somebody read them, of a line written `block / line` or of the pump."""
    found = []
    for fields in read_readings(text, line=bool(place)):
        where = "" if fields["place"] in AT_PUMP else place
        found.append(Reading(**told(at, who, where), **fields, note=note))
    return tuple(found)


def leak(at: str, who: str, place: str, text: str) -> Leak:
    return Leak(**told(at, who, place), **read_leak(text))


def tested(at: str, who: str, place: str, *, heard: bool) -> Valve:
    return Valve(**told(at, who, place), state="open", heard=heard)


def by_day(place: str, hour: str, readings: dict[str, tuple[str, str]]) -> Iterator[Reading]:
    """Readings of one line through the days of February: who, and what."""
    for day, (who, text) in readings.items():
        yield from read(f"2027-02-{day} {hour}", who, text, place)


SPOUT_OUT = leak(
    "2027-02-08 14:50",
    "Tor",
    "Upper Ridge / Windfall main",
    "spout out at the second lateral, a branch came down on it, 1.5 inHg",
)

PUMP = {"03": 25.5, "04": 25.5, "05": 25.0, "06": 25.5, "08": 25.5, "09": 25.5}
"""Inches of mercury at the pump; on the fifth the weather pressed less."""

GAUGES: tuple[AnyEntry, ...] = (
    Note(
        **told("2027-02-03 07:20", "Wes"),
        text="Thaw: pump on, for what is tapped. Guard on the belt, oil looked at.",
    ),
    *(
        reading
        for day, vacuum in PUMP.items()
        for reading in read(
            f"2027-02-{day} 07:10", "Ina" if day == "09" else "Wes", f"pump {vacuum}"
        )
    ),
    # A leak that grows: three inches in five days
    *by_day(
        "Upper Ridge / Ridge pair",
        "10:10",
        {
            "04": ("Tor", "wet 25.0, dry 25.2"),
            "05": ("Wes", "24.0"),
            "06": ("Tor", "23.7"),
            "08": ("Tor", "22.6"),
        },
    ),
    tested("2027-02-09 11:40", "Ina", "Upper Ridge / Ridge pair", heard=True),
    *read("2027-02-09 11:45", "Ina", "wet 22.0, dry 22.2", "Upper Ridge / Ridge pair"),
    # Good until the birch came down and its valve was shut
    *by_day(
        "Upper Ridge / Boulder main",
        "10:30",
        {"04": ("Tor", "24.8"), "05": ("Wes", "24.4"), "06": ("Tor", "24.9")},
    ),
    # A gauge that reads more than the pump can give
    *by_day(
        "Upper Ridge / Crest main",
        "11:20",
        {
            "04": ("Tor", "26.6"),
            "05": ("Wes", "26.2"),
            "06": ("Tor", "26.7"),
            "08": ("Tor", "26.7"),
        },
    ),
    # Mended on the fourth at half past nine, and it held
    *read("2027-02-03 11:00", "Milo", "22.4", "Upper Ridge / Wolf tree main"),
    *by_day(
        "Upper Ridge / Wolf tree main",
        "10:50",
        {"04": ("Tor", "24.9"), "06": ("Tor", "25.0"), "08": ("Tor", "24.9")},
    ),
    # Mended on the ninth, and nobody has read it since
    *by_day(
        "Upper Ridge / Windfall main",
        "14:40",
        {"05": ("Wes", "24.3"), "06": ("Tor", "24.8"), "08": ("Tor", "23.6")},
    ),
    SPOUT_OUT,
    *by_day(
        "Upper Ridge / High pair",
        "11:40",
        {"05": ("Wes", "wet 24.2, dry 24.5"), "08": ("Tor", "wet 24.7, dry 25.0")},
    ),
    *read("2027-02-08 12:10", "Tor", "head 24.2, far 23.8", "Upper Ridge / Far notch main"),
    tested("2027-02-08 12:20", "Tor", "Upper Ridge / Far notch main", heard=True),
    tested("2027-02-08 12:40", "Tor", "Upper Ridge / Saddle main", heard=False),
    *read("2027-02-08 12:45", "Tor", "24.9", "Upper Ridge / Saddle main"),
    *read("2027-02-08 13:10", "Tor", "24.6", "Upper Ridge / Twin birch main"),
    *read("2027-02-08 13:30", "Tor", "24.7", "Upper Ridge / Stub main"),
    *read("2027-02-09 10:55", "Ina", "head 25.2, far 24.5", "Upper Ridge / Gate main"),
    # Mended on the fourth before one, and it sinks again
    *read("2027-02-03 12:30", "Milo", "22.8", "North Slope / Fern pair"),
    *by_day(
        "North Slope / Fern pair",
        "13:20",
        {
            "04": ("Tor", "wet 24.9, dry 25.1"),
            "05": ("Wes", "wet 24.1, dry 24.4"),
            "06": ("Tor", "wet 24.0, dry 24.2"),
            "08": ("Wes", "wet 22.9, dry 23.2"),
        },
    ),
    # A wet pipe that is full, beside a dry one that is good
    *read(
        "2027-02-06 13:50",
        "Tor",
        "wet 18.5, dry 24.8",
        "North Slope / Long pair",
        note="wet and dry join at the loop above the third post",
    ),
    *read(
        "2027-02-08 14:00",
        "Wes",
        "wet 17.0, dry 24.7",
        "North Slope / Long pair",
        note="wet and dry join at the loop above the third post",
    ),
    # Cut off, and nobody wrote down that its valve is shut
    *read("2027-02-06 14:10", "Tor", "24.6", "North Slope / Snow fence main"),
    *read("2027-02-08 14:30", "Wes", "head 24.9, far 0.8", "North Slope / Snow fence main"),
    *by_day(
        "North Slope / Hemlock main",
        "13:00",
        {"05": ("Wes", "24.2"), "08": ("Wes", "24.8")},
    ),
    *by_day(
        "North Slope / Shade main",
        "12:40",
        {"04": ("Tor", "24.2"), "06": ("Tor", "23.9"), "08": ("Wes", "24.0")},
    ),
    *read("2027-02-08 15:00", "Wes", "24.6", "North Slope / Dog-leg main"),
    *read("2027-02-08 15:20", "Wes", "84.0 kPa", "North Slope / Switchback main"),
    # The first of Brook Bend
    *read("2027-02-08 11:40", "Rae", "24.8", "Brook Bend / Bridge main"),
    *read("2027-02-09 08:20", "Rae", "24.9", "Brook Bend / Bridge main"),
    *read("2027-02-09 08:40", "Rae", "24.5", "Brook Bend / Alder main"),
    *read("2027-02-09 11:30", "Zoë", "23.7", "Brook Bend / Mill main"),
)
"""What was read and found in 2027."""

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

PAST_PUMP = 25.5
"""Inches of mercury at the pump on every day of the leak rounds of past seasons."""

MENDED = (
    Seen(SQUIRREL_25, "2025-02-26 10:00", "Tor", "a new length let in"),
    Seen(DROP_25, "2025-03-04 10:00", "Ina", "hung again"),
    Seen(SQUIRREL_26, "2026-02-25 09:40", "Wes", "new tee, tin round the lateral"),
    Seen(CHEWED_26, "2026-03-03 11:00", "Ina", "spliced"),
    Seen(TREE_26, "2026-03-11 15:00", "Wes", "tree off with two of us, main spliced"),
    Seen(SPOUT_OUT, "2027-02-09 10:15", "Ina", "spout driven home"),
)


def pump_of(day: date) -> Reading:
    """The pump on a day of a past season's leak round."""
    (reading,) = read(f"{day} 07:10", "Wes", f"pump {PAST_PUMP}")
    return reading


def far_end(fields: dict[str, Any], lost_inhg: float) -> Reading:
    """What the far end of a line read on a leak round of a past season."""
    place = {name: fields[name] for name in ("at", "noted", "by", "who", "block", "line")}
    return Reading(**place, place="far end", vacuum_inhg=PAST_PUMP - lost_inhg)
