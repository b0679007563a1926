"""Reports on Quillby Hollow on the evening of Tuesday 9 February 2027, every sum worked by hand.

The plan (`tests.conftest`): Ledge has Cliff (42 taps, 700 ft, drops of 2024) and Cedar (60 taps,
213.36 m which is 700 ft, drops of 2026); Creek has Ford (120 taps, never measured, drops of nobody
knows when), Spring (35 taps, 360 ft, drops of 2025) and Culvert (no taps, 100 ft, drops of 2020).

    drops       due when three years old or of unknown age: Cliff 42 + Ford 120 = 162
    tapping     42 + 60 + 120 + 35 + 0 = 257
    tensioning  a tie every 35 ft: 20 + 20 + 11 + 3 = 54; nobody knows about Ford
    leaks       one a line: 5
    pulling     what is in the trees
"""

from datetime import date

from fieldbook.book.book import Book
from fieldbook.book.entry import Note
from fieldbook.season.season import Season
from tests.conftest import aside, count, finish, stamp, strike

TUESDAY = date(2027, 2, 9)

WORK = (
    count("Ledge/Cliff", "drops", 42, who="Wim", day="2026-12-10", hours=1.5),
    count("Creek/Ford", "drops", 80, who="Wim", day="2026-12-11", hours=2.5),
    finish("Creek/Ford", "drops", "out of tees", day="2026-12-11"),  # 40 short
    count("Ledge/Cliff", "tapping", 45, day="2027-02-07"),  # 3 over, on the Sunday before
    count("Ledge/Cliff", "tensioning", 20, who="Wim", day="2027-02-08", hours=2),
    count("Ledge/Cedar", "tapping", 30, who="Perrin", day="2027-02-08", hours=1),
    aside("Creek/Ford", "tapping", "[red]ice[/] on the ford", day="2027-02-08"),
    aside("Creek/Ford", "leaks", "pump is out", day="2027-02-08"),
    aside("Creek/Spring", "leaks", "pump is out", day="2027-02-08"),
    count("Ledge/Cedar", "tapping", 20, who="Wim", hours=0.5),
    count("Creek/Spring", "tensioning", 5, who="Wim", hours=0.25),
    count("Ledge/Cliff", "pulling", 2),  # from a tree that must come down
    Note(text="hung-up beech [/] by the ford", block="Creek", line="Ford", hazard=True, **stamp()),
    Note(text="owl in the box", block="Ledge", **stamp()),
)

LATER = (
    count("Creek/Spring", "tapping", 35, who="Perrin", day="2027-02-10"),
    count("Ledge/Cedar", "tapping", 10, who="Perrin", day="2027-02-10"),
)
"""Wednesday's work: in no report on Tuesday."""


def work(season: Season) -> None:
    """Do the work; somebody keys 60 on Cedar by mistake, and crosses it out."""
    season.record(*WORK)
    (wrong,) = season.record(count("Ledge/Cedar", "tapping", 60, who="Perrin", day="2027-02-08"))
    struck = strike(wrong, "was Monday's sheet of\nanother crew")
    season.strike(wrong.id, struck.reason, by="Oda", now=struck.noted)
    season.record(*LATER)


def on(season: Season, day: date) -> Season:
    """The season as it was on an evening, read from disk."""
    return Season(Book.open(season.book.path, year=season.year), as_of=day)
