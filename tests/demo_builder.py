"""Builds the demo season: Harrow Hill, an invented sugarbush, in the middle of season 2027.

    python -m tests.demo_builder [FOLDER]

Nobody and nothing in it is real. Two past seasons are whole; in the third, time stands still on
the evening of 9 February. Most of the work comes from a crew that is walked line by line through
the days with one seeded random source; what must be there to be looked at stands in tables. Every
entry goes through `Season.record`, so the book keeps the rules that any other book does, and the
same build gives the same bytes.
"""

import sys
from collections import deque
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from pathlib import Path
from random import Random
from shutil import rmtree
from typing import Any, Literal, NamedTuple

from msgspec.structs import replace

from fieldbook.book.book import Book, is_book, read_facts
from fieldbook.book.entry import (
    AnyEntry,
    Aside,
    Block,
    Count,
    Finish,
    Leak,
    Line,
    Note,
    Person,
    Reading,
    Reopen,
    Run,
    Setting,
    Settle,
    Step,
    Supply,
    Target,
    Task,
    TreeCount,
    Trees,
    Work,
)
from fieldbook.book.layout import MARK
from fieldbook.season.season import Season
from tests.demo_gauges import GAUGES, MENDED, PAST_LEAKS, far_end, pump_of
from tests.demo_woods import (
    BAGS_FROM,
    DESK_DAYS,
    FOUND,
    MOVES,
    SEED,
    TODAY,
    ZONE,
    at_the_desk,
    close,
    goings,
    seen_to,
    stamp,
    when,
)

STANDS_STILL = datetime.combine(TODAY, time(17, 5), ZONE)
BOOK_ID = "4a0011f1e1db2027"
BOOK = f"""\
# An invented sugarbush: see INVENTED.txt. Time stands still as below.
format = 1
id = "{BOOK_ID}"
name = "Harrow Hill"
today = {STANDS_STILL:%Y-%m-%dT%H:%M:%S}
"""
INVENTED = """\
Everything in this folder is invented: the woods, the lines, the people, the weather and every
number and word they wrote. Nobody and no place is meant by it.
It is a book to try fieldbook on, written by tests/demo_builder.py.
"""

# --- the woods ---


class Row(NamedTuple):
    """A line as it stands in the plan of 2027; `hung` is the season its drops were hung for."""

    line: str
    layout: Literal["single", "pair"]
    diameter_in: float
    length_ft: int
    slope_pct: float
    taps: int
    hung: int | None
    note: str = ""


WHERE_THEY_JOIN = "wet and dry join at the loop above the third post"

WOODS: dict[str, tuple[Row, ...]] = {
    "Upper Ridge": (
        Row("Gate main", "single", 0.75, 540, 5, 148, 2026),
        Row("Ridge pair", "pair", 1.25, 760, 6, 214, 2025),
        Row("Boulder main", "single", 1, 620, 7, 176, 2024),
        Row("Twin birch main", "single", 0.75, 480, 8, 132, 2026),
        Row("Saddle main", "single", 1, 590, 4, 164, 2024),
        Row("Stub main", "single", 0.75, 360, 9, 96, 2025),
        Row("Wolf tree main", "single", 1, 680, 6, 188, 2026),
        Row("High pair", "pair", 1.25, 820, 5, 226, 2025),
        Row("Windfall main", "single", 0.75, 510, 6.5, 142, 2026),
        Row("Crest main", "single", 0.75, 430, 3, 118, 2023),
        Row("Far notch main", "single", 1, 790, 5.5, 216, 2024),
    ),
    "Brook Bend": (
        Row("Bridge main", "single", 1, 640, 3, 172, 2025),
        Row("Alder main", "single", 1, 560, 2.5, 146, 2024),
        Row("Mill main", "single", 1, 610, 3, 168, 2026),
        Row("Bend pair", "pair", 1.25, 700, 2, 176, 2025),
        Row("Ledge main", "single", 0.75, 520, 6, 148, 2026),
        Row("Spring main", "single", 0.75, 490, 4.5, 134, 2026),
        Row("Brook pair", "pair", 1.5, 780, 4, 142, 2025, "its dry line is the old main"),
        Row("Cedar main", "single", 0.75, 390, 3.5, 88, 2024),
        Row("Lower loop", "single", 0.75, 450, 2, 121, 2025),
        Row("Stump main", "single", 0.75, 380, 5, 96, 2026),
        Row("Gravel main", "single", 0.75, 420, 3, 112, 2025),
        Row("Island pair", "pair", 1.25, 660, 2.5, 147, 2026),
    ),
    "Old Orchard": (
        Row("Apple main", "single", 1, 670, 4, 188, 2025),
        Row("Cider main", "single", 1, 600, 5, 164, 2024),
        Row("Wall main", "single", 1, 740, 4.5, 206, 2024),
        Row("Ladder main", "single", 0.75, 530, 7, 148, 2026),
        Row("Cellar pair", "pair", 1.25, 810, 3.5, 224, 2025),
        Row("Pear main", "single", 0.75, 350, 6, 60, 2026),
        Row("Hedge main", "single", 1, 780, 4, 220, 2025),
    ),
    "Sugar Hollow": (
        Row("Hollow pair", "pair", 1.5, 1080, 3, 342, 2026),
        Row("Kettle main", "single", 1, 830, 4, 236, 2025),
        Row("Old arch main", "single", 1, 760, 5, 214, 2026),
        Row("Fox main", "single", 1, 710, 6, 198, 2024),
        Row("Sled road main", "single", 1.25, 920, 3.5, 262, 2025),
        Row("Érablière pair", "pair", 1.25, 980, 4, 288, None, "taken over with its tubing"),
        Row("Basin main", "single", 1, 800, 2.5, 226, 2026),
        Row("Outlet main", "single", 1, 690, 2, 194, 2023),
    ),
    "North Slope": (
        Row("Shade main", "single", 1.25, 900, 7, 258, 2025),
        Row("Fern pair", "pair", 1.5, 1040, 6, 312, 2024),
        Row("Hemlock main", "single", 1, 790, 8, 224, 2026),
        Row("Ice house main", "single", 1, 650, 5, 186, 2024),
        Row("Long pair", "pair", 1.5, 1150, 4.5, 380, 2026, WHERE_THEY_JOIN),
        Row("Dog-leg main", "single", 1, 850, 6, 242, 2025),
        Row("Switchback main", "single", 1.25, 940, 9, 268, 2026),
        Row("Raven main", "single", 1, 720, 7.5, 206, 2024),
        Row("Snow fence main", "single", 1, 860, 5, 244, 2025),
    ),
    "Stone Fence": (
        Row("Fence main", "single", 1, 840, 3, 238, 2026),
        Row("Corner main", "single", 1, 770, 4, 216, 2024),
        Row("Stile main", "single", 1, 640, 5, 184, None),
        Row("Pasture pair", "pair", 1.5, 1060, 2.5, 322, 2025),
        Row("Well main", "single", 1.25, 870, 3.5, 246, 2023),
        Row("Cairn main", "single", 1, 730, 6, 208, 2025),
        Row("Lane main", "single", 1, 800, 4, 226, 2026),
    ),
    "Far Corner": (
        Row("Border main", "single", 1, 820, 5, 232, 2026),
        Row("Beech main", "single", 1, 720, 6, 204, 2024),
        Row("Swale pair", "pair", 1.5, 1020, 2, 316, 2025),
        Row("Deer stand main", "single", 1, 630, 7, 178, 2026),
        Row("Knoll main", "single", 1, 780, 8, 220, 2024),
        Row("Back gate main", "single", 1, 750, 4, 210, 2025),
    ),
}

BLOCK_NOTES = {"Sugar Hollow": "over the brook: one bridge", "Far Corner": "park at the back gate"}

ROWS = {row.line: row for rows in WOODS.values() for row in rows}
"""Rows by the name of the line, which no two share."""

ADDED = {"Érablière pair": 2026}
"""Lines that were not there before a season."""

TAPS_THEN: dict[tuple[int, str], int] = {
    (2025, "Brook pair"): 138,
    (2025, "Long pair"): 371,
    (2025, "Fence main"): 229,
    (2025, "Pear main"): 72,
    (2025, "Crest main"): 121,
    (2026, "Brook pair"): 139,
    (2026, "Long pair"): 376,
    (2026, "Pear main"): 66,
    (2026, "Knoll main"): 224,
}
"""Taps planned in a past season, where they were not those of 2027."""

DRY_IN = {"Brook pair": 1.0}
"""Dry pipes of pairs that are not as wide as the wet one."""

DROPS = {(2027, "Mill main"): 171}
"""Drops that hang on a line, where they are not as many as the taps planned."""

AS_TREES_ALLOW = "Deer stand main"
"""A line of 2027 that is planned by its trees alone."""

# --- its trees ---

TALLIED = datetime(2024, 9, 20, 12, tzinfo=ZONE)
"""When the crew walked the lines with a diameter tape, two autumns before 2027."""

NOT_TALLIED = ("Érablière pair", "Outlet main")

SIZES: dict[float, float] = {
    9: 0.07,
    10: 0.09,
    11: 0.08,
    11.8: 0.03,
    12: 0.2,
    13: 0.11,
    14: 0.12,
    15: 0.07,
    16: 0.06,
    17: 0.04,
    18: 0.05,
    19: 0.03,
    20: 0.03,
    22: 0.02,
}
"""How many of the trees are of each diameter at breast height, in inches."""
ONE_TAP, TWO_TAPS = 12, 18
"""Limits of the conservative rule."""

TOO_MANY = {"Brook pair": 4, "Cider main": 9, "Knoll main": 12, "Twin birch main": 3}
"""Taps planned beyond what the trees of a line allow."""

# --- its sap ---

SAP_SEASONS = {2025: (date(2025, 2, 27), 34), 2026: (date(2026, 3, 3), 31)}
"""First day of sap, and days to the last."""
NO_FLOW, NOT_MEASURED, GAL_A_DAY = 0.3, 0.12, (0.1, 1.1)
"""How often no sap runs, how often nobody measures it, and gallons of a tap on a day it runs."""

TANKS = {"Sugar Hollow": 1.08, "North Slope": 0.93}
"""Blocks with a tank of their own, and what a tap gives there beside one of the others."""

# --- the crew and its seasons ---

CREW = {
    "Ina": ("crew lead", 2025),
    "Rae": ("tapping, second laptop", 2025),
    "Milo": ("saw and tapping", 2025),
    "Tor": ("tubing and wire", 2025),
    "Wes": ("wire and pump house", 2025),
    "Zoë": ("tapping", 2026),
}
"""Role, and first season with the crew."""

FIRST_DESK, SECOND_DESK, SHED_DESK = "k7f2q", "m4w8d", "h3s9p"
KEYING = {FIRST_DESK: "Ina", SECOND_DESK: "Rae", SHED_DESK: "Ina"}
"""Who keys in of an evening. By the door of the shed stands a third laptop for all of them: who is
out, what is in whose bag, what was found and what is handed off."""

PACE = {"drops": 30, "tapping": 45, "tensioning": 12, "pulling": 90}
"""Units a person does in an hour."""
TAPS_LISTENED = 500
"""Taps a person walks past in an hour while listening for leaks."""

LOST_INHG = (0.5, 0.5, 1.0, 1.0, 1.5, 3.0)
"""Vacuum lost at the far ends of lines on the leak rounds of past seasons."""

SUNDAY = 6
STAYS_HOME, STORM, NO_HOURS, SHORT, FINISHED = 0.2, 0.12, 0.12, 0.1, 0.5
"""How often somebody is away, weather keeps all out, hours are not said, a line falls short of the
plan, and a line that is done is called finished too."""
TICKS = {2025: 0.2, 2026: 0.3, 2027: 0.8}
"""How often the steps of a line are ticked: the crew is getting used to it."""


class Campaign(NamedTuple):
    """A task, from its first day on, by some of the crew, in blocks in the order they are done.

    `reach` says how many of the lines due in a block are done, where it is not all of them.
    """

    task: str
    first: date
    crew: tuple[str, ...]
    blocks: tuple[str, ...] = tuple(WOODS)
    reach: Mapping[str, int] = {}


AUTUMN_2026 = ("Upper Ridge", "Brook Bend", "North Slope", "Sugar Hollow", "Stone Fence")

SEASONS: dict[int, tuple[Campaign, ...]] = {
    2025: (
        Campaign("drops", date(2024, 11, 11), ("Rae", "Milo", "Tor")),
        Campaign("tensioning", date(2025, 1, 20), ("Tor", "Wes")),
        Campaign("tapping", date(2025, 1, 27), ("Ina", "Rae", "Milo")),
        Campaign("leaks", date(2025, 2, 24), ("Ina", "Tor")),
        Campaign("pulling", date(2025, 4, 14), ("Rae", "Milo", "Tor", "Wes")),
    ),
    2026: (
        Campaign("drops", date(2025, 11, 10), ("Rae", "Tor", "Zoë")),
        Campaign("tensioning", date(2026, 1, 21), ("Tor", "Wes")),
        Campaign("tapping", date(2026, 1, 28), ("Ina", "Rae", "Milo", "Zoë")),
        Campaign("leaks", date(2026, 2, 23), ("Ina", "Wes")),
        Campaign("pulling", date(2026, 4, 16), ("Rae", "Milo", "Zoë", "Wes")),
    ),
    2027: (
        Campaign(
            "drops",
            date(2026, 11, 16),
            ("Rae", "Zoë"),
            (*AUTUMN_2026, "Far Corner", "Old Orchard"),
            {"Old Orchard": 1},
        ),
        Campaign(
            "tapping",
            date(2027, 1, 27),
            ("Rae", "Milo", "Zoë"),
            ("Upper Ridge", "North Slope", "Brook Bend"),
            {"Brook Bend": 1},
        ),
        Campaign(
            "tensioning",
            date(2027, 2, 1),
            ("Tor", "Wes"),
            ("Upper Ridge", "Brook Bend", "North Slope"),
            {"Brook Bend": 4, "North Slope": 3},
        ),
    ),
}

TARGETS: dict[int, tuple[dict[str, Any], ...]] = {
    2025: (),
    2026: ({"task": "pulling", "wanted": date(2026, 4, 28)},),
    2027: (
        {"task": "tapping", "block": "Upper Ridge", "wanted": date(2027, 2, 3)},
        {"task": "tapping", "block": "Sugar Hollow", "wanted": date(2027, 2, 27)},
        {"task": "drops", "block": "Stone Fence", "line": "Lane main", "planned": 40},
    ),
}
"""Dates and numbers wanted beside the checklist's: squirrels were at 40 drops of Lane main."""

SETTINGS: dict[str, float] = {
    "elevation_ft": 1100.0,
    "growth_dbh_in": 0.1,
    "leak_days": 2.0,
    "pump_cfm": 200.0,
    "wire_tension_lb": 450.0,
}
ON_HAND = {"spout": 11000, "tee": 3700, "side_tie": 130, "wire_tie": 4000, "bit": 5}
"""Rules and supplies of 2027 that are not those of any other crew."""

FATES: dict[tuple[int, str, str], tuple[int, str]] = {
    (2025, "tapping", "Knoll main"): (-9, "9 blown down in the October wind"),
    (2025, "tapping", "Kettle main"): (+5, ""),
    (2026, "tapping", "Brook pair"): (0, ""),
    (2026, "tapping", "Spring main"): (-3, "3 too small this year"),
    (2026, "tapping", "Border main"): (+7, ""),
    (2026, "pulling", "Swale pair"): (-4, "4 under the ice shelf, gone with the flood"),
    (2027, "tapping", "Stub main"): (-12, "12 drops frozen in, leave them for a thaw"),
    (2027, "tapping", "Raven main"): (+4, ""),
    (2027, "tapping", "Shade main"): (-3, "3 too small this year"),
}
"""Units over or short of the plan on a line, and the reason for a shortfall."""

SHORTFALLS = {
    "drops": ("{n} tees cracked, parts on order", "{n} on dead trees, not replaced"),
    "tapping": ("{n} too small this year", "{n} with dead tops, left alone", "{n} trees down"),
    "tensioning": ("{n} ties wait for a new anchor tree",),
    "leaks": (),
    "pulling": ("{n} broke off in the wood", "{n} out of reach over the washout"),
}

# --- what is written by hand ---


def work(at: str, who: str, place: str) -> dict[str, Any]:
    """The fields of work on a place, written `block / line / task`."""
    block, line, task = place.split(" / ")
    return {**stamp(when(at), who), "who": who, "block": block, "line": line, "task": task}


def count(at: str, who: str, place: str, n: int, hours: float | None, note: str = "") -> Count:
    return Count(**work(at, who, place), count=n, hours=hours, note=note)


def finish(at: str, who: str, place: str, reason: str = "") -> Finish:
    return Finish(**work(at, who, place), reason=reason)


def note(at: str, who: str, place: str, text: str, *, hazard: bool = False) -> Note:
    """A note on a place: `block / line / task`, the beginning of it, or nothing."""
    where: dict[str, Any] = dict(zip(("block", "line", "task"), place.split(" / "), strict=False))
    return Note(**stamp(when(at), who), who=who, text=text, hazard=hazard, **where)


LONG_NOTE = """\
Brook Bend, for whoever goes in after me. Start at the bridge and walk it the way the sheet has it:
the snow is packed as far as Bend pair and nobody has broken trail past the island. The first three
laterals of Mill main were re-hung a year ago, so the drops are long and the old holes sit lower
than you would look for them. Bend pair has the dry line on the uphill side, not the downhill side
as everywhere else; do not let it fool you at the manifold.

Leave Lower loop for last: it is wet under the snow there. Spare fittings are in the yellow tin
under the bridge, spouts in the sled. Write the count down before you cross the brook, not after."""

STUB = "Upper Ridge / Stub main / tapping"
BROOK = "Brook Bend / {} / tapping"

SCRIPT: tuple[AnyEntry, ...] = (
    note("2025-03-11 15:00", "Tor", "North Slope", "wind took two spruces, both clear of the wire"),
    note("2025-04-30 16:00", "Ina", "", "Last spouts in the bag. A short season, but a sweet one."),
    note("2025-10-20 16:00", "Ina", "Sugar Hollow / Érablière pair", "ours from this season on"),
    note("2026-03-18 15:30", "Wes", "", "Pump lost an inch overnight: oil low, topped up, holds."),
    # Season 2027
    note(
        "2026-11-24 15:00",
        "Zoë",
        "Sugar Hollow / Érablière pair",
        "l'érablière d'en haut gèle jusqu'à midi : commencer par le bas",
    ),
    count(
        "2026-12-16 14:30",
        "Milo",
        "Old Orchard / Wall main / drops",
        88,
        3.5,
        "=half the drops were frozen",
    ),
    note("2026-12-16 15:00", "Milo", "Old Orchard", "snow to the knee, the rest waits for a thaw"),
    note("2027-01-27 14:00", "Zoë", "Upper Ridge / High pair", "[x] done? Wes says [/] half of it"),
    note(
        "2027-01-30 15:00", "Rae", "North Slope / Fern pair", 'Milo: "it sings by the second tree"'
    ),
    note(
        "2027-02-03 09:30",
        "Milo",
        "Sugar Hollow",
        "bridge out: nobody on the ice below it, on foot or on the sled",
        hazard=True,
    ),
    *(
        Aside(
            **work("2027-02-03 09:45", "Milo", f"Sugar Hollow / {row.line} / tapping"),
            reason="bridge out, snowmobile cannot cross",
        )
        for row in WOODS["Sugar Hollow"]
    ),
    Reopen(**work("2027-02-05 15:00", "Ina", STUB), reason="thawed: the twelve drops are free"),
    count("2027-02-05 15:30", "Ina", STUB, 12, 0.5),
    finish("2027-02-05 15:30", "Ina", STUB),
    note("2027-02-06 16:00", "Ina", "Brook Bend", LONG_NOTE),
    # Monday
    count("2027-02-08 11:30", "Rae", BROOK.format("Alder main"), 146, 3.25),
    count("2027-02-08 12:00", "Milo", BROOK.format("Mill main"), 168, 3.75),
    count("2027-02-08 14:00", "Rae", BROOK.format("Bend pair"), 78, 1.75),
    count("2027-02-08 14:00", "Milo", BROOK.format("Brook pair"), 62, 1.5),
    Step(**work("2027-02-08 14:00", "Milo", BROOK.format("Brook pair")), step="sharp, clean bit"),
    note(
        "2027-02-08 14:15",
        "Milo",
        "Brook Bend / Brook pair",
        "hung-up ash by the third lateral: keep two tree lengths off",
        hazard=True,
    ),
    # Tuesday, the day on which time stands still
    count("2027-02-09 10:30", "Rae", BROOK.format("Bend pair"), 98, 2.25),
    finish("2027-02-09 10:30", "Rae", BROOK.format("Bend pair")),
    count("2027-02-09 11:00", "Tor", "Brook Bend / Ledge main / tensioning", 15, 1.5),
    count(
        "2027-02-09 11:00",
        "Ina",
        "Upper Ridge / Gate main / leaks",
        1,
        0.5,
    ),
    count("2027-02-09 12:00", "Zoë", BROOK.format("Spring main"), 131, 3),
    finish("2027-02-09 12:00", "Zoë", BROOK.format("Spring main"), "3 too small this year"),
    count(
        "2027-02-09 12:00",
        "Ina",
        "Upper Ridge / Ridge pair / leaks",
        1,
        0.75,
    ),
    count("2027-02-09 13:00", "Tor", "Brook Bend / Spring main / tensioning", 9, None),
    count("2027-02-09 13:45", "Zoë", "Brook Bend / Cedar main / tensioning", 12, 1.25),
    count("2027-02-09 14:30", "Rae", BROOK.format("Ledge main"), 148, 3.25),
    finish("2027-02-09 14:30", "Rae", BROOK.format("Ledge main")),
    note(
        "2027-02-09 15:00", "Zoë", "Brook Bend / Lower loop", "water under the snow past the bend"
    ),
)

SLIPS: dict[date, tuple[Count, str]] = {
    date(2026, 2, 4): (
        count("2026-02-04 14:00", "Ina", "Upper Ridge / Crest main / tapping", 93, 2.25),
        "that was Friday's sheet, it is in already",
    ),
    date(2027, 2, 8): (
        count("2027-02-08 14:00", "Milo", BROOK.format("Cedar main"), 62, 1.5),
        "keyed on the wrong line: it was Brook pair",
    ),
}
"""Counts keyed in wrongly on an evening, and struck on the spot."""

# --- a crew walks through the days ---


@dataclass
class Job:
    """A line to be worked in a task: units to reach, the pace, and a reason if it falls short."""

    line: Line
    task: Task
    left: int
    pace: float
    reason: str


def jobs_of(rng: Random, season: Season, campaign: Campaign, tapped: dict[str, int]) -> list[Job]:
    """The lines that a campaign walks, in order, those with nothing due left out."""
    task = season.plan.find_task(campaign.task)
    jobs: list[Job] = []
    for block in campaign.blocks:
        due: list[Job] = []
        for line in season.plan.walk[block]:
            planned = season.ledger.planned(line, task) or tapped.get(line.line, 0)
            if planned:
                units, reason = reached(rng, season.year, line, task.key, planned)
                assert line.taps_planned  # the one planned by its trees has nothing due here
                listening = TAPS_LISTENED / line.taps_planned
                due.append(Job(line, task, units, PACE.get(task.key, listening), reason))
        jobs += due[: campaign.reach.get(block)]
    return jobs


def reached(rng: Random, year: int, line: Line, task: str, planned: int) -> tuple[int, str]:
    """How far a line gets in a task, and why not further."""
    fate = FATES.get((year, task, line.line))
    if fate is not None:
        return planned + fate[0], fate[1]
    if task == "drops" and year < TODAY.year and line.drops_hung == ROWS[line.line].hung:
        known = line.drops_hung is not None
        return 0, "ground froze first: next year" if known else "age not known, look sound: left"
    short = rng.randint(2, 5)
    if SHORTFALLS[task] and rng.random() < SHORT and short < planned:
        return planned - short, rng.choice(SHORTFALLS[task]).format(n=short)
    return planned, ""


def walk(
    rng: Random, year: int, jobs: list[Job], campaign: Campaign, storms: set[date]
) -> Iterator[AnyEntry]:
    """A campaign day by day until its lines are done: who counted what, finished and ticked."""
    waiting = deque(jobs)
    in_hand: dict[str, Job] = {}
    day = campaign.first - timedelta(days=1)
    while waiting or in_hand:
        day += timedelta(days=1)
        if day.weekday() == SUNDAY or day in storms:
            continue
        for who in campaign.crew:
            if rng.random() < STAYS_HOME:
                continue
            clock, hours = 7.5 + rng.randint(0, 4) / 4, rng.randint(8, 14) / 2
            while hours >= 0.5 and (who in in_hand or waiting):
                job = in_hand.pop(who) if who in in_hand else waiting.popleft()
                pace = job.pace * rng.uniform(0.85, 1.15)
                units = min(job.left, max(1, int(pace * hours)))
                spent = max(1, round(4 * units / pace)) / 4 if units else 0.0
                clock, hours, job.left = clock + spent, hours - spent, job.left - units
                if job.left:
                    in_hand[who] = job
                yield from said(rng, year, job, at_hour(day, clock), who, units, spent)


def said(
    rng: Random, year: int, job: Job, at: datetime, who: str, units: int, spent: float
) -> Iterator[AnyEntry]:
    """What somebody has to say about a line when they leave it."""
    place: dict[str, Any] = {"block": job.line.block, "line": job.line.line, "task": job.task.key}
    fields = {**stamp(at, who), "who": who, **place}
    if units:
        hours = None if rng.random() < NO_HOURS else spent
        yield Count(**fields, count=units, hours=hours)
        if job.task.key == "leaks":
            yield far_end(fields, rng.choice(LOST_INHG))
    if not job.left:
        if units and rng.random() < TICKS[year]:
            yield from (Step(**fields, step=step) for step in job.task.steps)
        if job.reason or rng.random() < FINISHED:
            yield Finish(**fields, reason=job.reason)


def at_hour(day: date, hour: float) -> datetime:
    return datetime.combine(day, time(), ZONE) + timedelta(hours=hour)


def storms_of(rng: Random, year: int) -> set[date]:
    """Days of a season on which the weather keeps everybody out of the woods."""
    first = date(year - 1, 11, 1)
    return {first + timedelta(days=n) for n in range(200) if rng.random() < STORM}


# --- what is keyed in ---


def plan_of(year: int, at: datetime) -> list[AnyEntry]:
    """The plan of a season as the lead records it in October."""
    by = stamp(at, "Ina")
    drafts: list[AnyEntry] = [
        Person(**by, person=person, role=role)
        for person, (role, since) in CREW.items()
        if since <= year
    ]
    for order, (block, rows) in enumerate(WOODS.items(), 1):
        drafts.append(Block(**by, block=block, order=order, note=BLOCK_NOTES.get(block, "")))
        there = [row for row in rows if ADDED.get(row.line, year) <= year]
        drafts += [line_of(year, block, number, row, by) for number, row in enumerate(there, 1)]
    drafts += (Target(**by, **target) for target in TARGETS[year])
    if year == TODAY.year:
        drafts += (Setting(**by, setting=name, value=value) for name, value in SETTINGS.items())
        drafts += (Supply(**by, item=item, on_hand=n) for item, n in ON_HAND.items())
        drafts += tallies(by)
    return drafts


def tallies(by: dict[str, Any]) -> Iterator[Trees]:
    """The trees of each line, so many that the conservative rule allows about what is planned."""
    rng = Random(SEED)
    for block, rows in WOODS.items():
        for row in rows:
            spare = 0 if row.line == AS_TREES_ALLOW else rng.randint(0, row.taps // 16)
            taps = row.taps - TOO_MANY.get(row.line, -spare)
            if row.line not in NOT_TALLIED:
                where = {**by, "at": TALLIED, "block": block, "line": row.line}
                yield Trees(**where, classes=stand(rng, taps))


def stand(rng: Random, taps: int) -> tuple[TreeCount, ...]:
    """Trees that carry so many taps."""
    a_tree = sum(share * taps_of(size) for size, share in SIZES.items())
    trees = {
        size: round(taps / a_tree * share * rng.uniform(0.8, 1.2)) for size, share in SIZES.items()
    }
    trees[ONE_TAP] += taps - sum(n * taps_of(size) for size, n in trees.items())
    return tuple(TreeCount(dbh_in=size, count=n) for size, n in trees.items() if n > 0)


def taps_of(size: float) -> int:
    return (size >= ONE_TAP) + (size >= TWO_TAPS)


def runs(year: int) -> Iterator[Run]:
    """What the tanks and the evaporator saw of a past season."""
    rng, rng_of_tanks = Random(year), Random(-year)
    first, days = SAP_SEASONS[year]
    taps = sum(row.taps for rows in WOODS.values() for row in rows)
    for n in range(days):
        if rng.random() < NO_FLOW:
            continue
        by = stamp(at_hour(first + timedelta(days=n), 18), "Wes")
        if rng.random() < NOT_MEASURED:
            yield Run(**by, note="ran over before anybody looked")
            continue
        brix = round(rng.uniform(1.7, 2.5) - 0.4 * n / days, 1)
        sap_gal = round(taps * rng.uniform(*GAL_A_DAY), -1)
        made = round(sap_gal / (86 / brix) * rng.uniform(0.95, 1.02), 1)
        yield Run(**by, sap_gal=sap_gal, brix=brix, syrup_gal=made)
        for block, better in TANKS.items():
            share = better * rng_of_tanks.uniform(0.95, 1.05) / taps
            here = sum(row.taps for row in WOODS[block])
            yield Run(**by, block=block, sap_gal=round(sap_gal * here * share, -1))


def line_of(year: int, block: str, order: int, row: Row, by: dict[str, Any]) -> Line:
    """A line as a season's plan had it: drops replaced since then were three years older."""
    return Line(
        **by,
        block=block,
        line=row.line,
        order=order,
        layout=row.layout,
        diameter_in=row.diameter_in,
        dry_in=DRY_IN.get(row.line),
        length_ft=row.length_ft,
        slope_pct=row.slope_pct,
        taps_planned=None
        if (year, row.line) == (TODAY.year, AS_TREES_ALLOW)
        else TAPS_THEN.get((year, row.line), row.taps),
        drops_hung=row.hung - 3 if row.hung and row.hung >= year else row.hung,
        drops=DROPS.get((year, row.line)),
        note=row.note,
    )


def key_in(
    rng: Random, folder: Path, year: int, desk: str, noted: datetime, drafts: list[AnyEntry]
) -> datetime:
    """What one desk has of a day's entries, keyed in of an evening in the order they happened.

    Returns:
        When the last of them was written.
    """
    day = noted.date()
    mine = [draft for draft in drafts if desk_for(year, day, draft) == desk]
    if not mine:
        return noted
    season = Season(Book.open(folder, year=year, desk=desk))
    if day in SLIPS and desk == FIRST_DESK:
        slip, reason = SLIPS[day]
        noted += timedelta(seconds=rng.randint(10, 40))
        (wrong,) = season.record(replace(slip, noted=noted, by=keying(desk, day)))
        noted += timedelta(seconds=rng.randint(10, 40))
        season.strike(wrong.id, reason, by=keying(desk, day), now=noted)
    keyed: list[AnyEntry] = []
    for draft in sorted(mine, key=lambda draft: draft.at):
        # What came into the demo later takes no random number: all else stays as it was.
        later = desk == SHED_DESK or isinstance(draft, Run | Reading | Leak | Settle)
        noted += timedelta(seconds=12 if later else rng.randint(3, 25))
        keyed.append(replace(draft, noted=noted, by=keying(desk, day)))
    season.record(*keyed)
    season.book.close()
    return noted


def keying(desk: str, day: date) -> str:
    """Who is at a desk of an evening: Zoë for Rae on the last day, who called in from the woods."""
    return "Zoë" if (desk, day) == (SECOND_DESK, TODAY) else KEYING[desk]


def desk_for(year: int, day: date, draft: AnyEntry) -> str:
    """Rae's laptop comes along in 2027: on Wednesdays and Saturdays, and for her own last day."""
    if year < TODAY.year:
        return FIRST_DESK
    if draft in FOUND or draft in GAUGES or isinstance(draft, Settle):
        return SHED_DESK
    if day == TODAY:
        return SECOND_DESK if isinstance(draft, Work) and draft.who == "Rae" else FIRST_DESK
    return SECOND_DESK if day.weekday() in (2, 5) else FIRST_DESK


def at_the_shed(folder: Path, begin: datetime, end: datetime, moves: list[AnyEntry]) -> None:
    """What is written at the shed door as it happens: by whoever goes out, comes in, hands off."""
    if moves or begin.date() in DESK_DAYS:
        season = Season(Book.open(folder, year=begin.year, desk=SHED_DESK))
        at_the_desk(season, begin, end)
        season.record(*sorted(moves, key=lambda move: move.at))
        season.book.close()


def pass_a_day(rng: Random, bags: Random, folder: Path, day: date, drafts: list[AnyEntry]) -> None:
    """A day of 2027 from the first boots out of the door to the last word in the evening."""
    noted = at_hour(day, 17.5 if day < TODAY else 16.75)
    said = [*drafts, *seen_to(Season(Book.open(folder, year=TODAY.year)), day, MENDED)]
    moves = [move for move in MOVES if move.day == day]
    if day >= BAGS_FROM:
        moves += goings(bags, said)
    at_the_shed(folder, at_hour(day, 0), at_hour(day, 12), moves)
    for desk in (FIRST_DESK, SHED_DESK):
        noted = key_in(rng, folder, TODAY.year, desk, noted, said)
    at_the_shed(folder, at_hour(day, 12), at_hour(day, 24), [])
    key_in(rng, folder, TODAY.year, SECOND_DESK, max(noted, at_hour(day, 17)), said)


def build_season(rng: Random, folder: Path, year: int) -> None:
    begun = datetime(year - 1, 10, 6, 18, tzinfo=ZONE)
    season = Season.begin(
        Book.begin_season(folder, year, desk=FIRST_DESK), "vacuum", by="Ina", now=begun
    )
    season.record(*plan_of(year, begun + timedelta(minutes=20)))
    season.book.close()

    diary: dict[date, list[AnyEntry]] = {}
    storms = storms_of(rng, year)
    tapped: dict[str, int] = {}
    for campaign in SEASONS[year]:
        jobs = jobs_of(rng, season, campaign, tapped if campaign.task == "pulling" else {})
        if campaign.task == "tapping":
            tapped = {job.line.line: job.left for job in jobs}
        for entry in walk(rng, year, jobs, campaign, storms):
            diary.setdefault(entry.day, []).append(entry)
    if year in SAP_SEASONS:
        for run in runs(year):
            diary.setdefault(run.day, []).append(run)
    rounds = {day for day, drafts in diary.items() if any(isinstance(d, Reading) for d in drafts)}
    for day in rounds:
        diary[day].append(pump_of(day))
    for entry in (*SCRIPT, *FOUND, *GAUGES, *PAST_LEAKS):
        if season.plan.begins <= entry.day <= season.plan.ends:
            diary.setdefault(entry.day, []).append(entry)
    for day in (when(seen.at).date() for seen in MENDED):
        if season.plan.begins <= day <= season.plan.ends:
            diary.setdefault(day, [])
    if year == TODAY.year:
        bags = Random(SEED)
        for day in sorted({*diary, *DESK_DAYS}):
            pass_a_day(rng, bags, folder, day, diary.get(day, []))
    else:
        for day, drafts in sorted(diary.items()):
            mended = seen_to(Season(Book.open(folder, year=year)), day, MENDED)
            key_in(rng, folder, year, FIRST_DESK, at_hour(day, 17.5), [*drafts, *mended])
        season = Season(Book.open(folder, year=year, desk=FIRST_DESK))
        close(season)
        season.book.close()


def build(folder: Path) -> None:
    """Build the book in a folder that is new, empty or holds an earlier build.

    Raises:
        SystemExit: The folder holds another book, which is left alone.
    """
    if is_book(folder) and read_facts(folder)["id"] != BOOK_ID:
        raise SystemExit(f"{folder} holds another book: nothing was built")
    folder.mkdir(parents=True, exist_ok=True)
    (folder / MARK).write_bytes(BOOK.encode())
    (folder / "INVENTED.txt").write_bytes(INVENTED.encode())
    rng = Random(SEED)
    for year in SEASONS:
        rmtree(folder / str(year), ignore_errors=True)
        build_season(rng, folder, year)


if __name__ == "__main__":
    build(Path(sys.argv[1] if len(sys.argv) > 1 else "demo_season"))
