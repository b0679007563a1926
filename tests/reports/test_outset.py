"""What of the plan wants a look, in the lines the plan begins with."""

import pytest

from fieldbook.book.book import Book
from fieldbook.book.entry import Block, Line, PlanEntry
from fieldbook.reports.drops import drops_due
from fieldbook.reports.lines import line_loads
from fieldbook.reports.outset import outset, plan_parts
from fieldbook.reports.trees import allowance
from fieldbook.reports.wear import wear
from fieldbook.season.season import Season
from tests.conftest import NOW, count, finish, stamp
from tests.reports.helpers import rules, trees


def told(season: Season) -> list[str]:
    return list(outset(allowance(season), wear(season), drops_due(season), line_loads(season)))


def test_a_plan_that_is_in_order_has_no_marks(season: Season) -> None:
    season.record(
        trees("Ledge/Cliff", "12:42"),
        count("Ledge/Cliff", "drops", 42),
        finish("Creek/Ford", "drops", "out of tees"),  # what falls short is not left
    )
    assert told(season) == [
        "  0 lines of 1 tallied have more taps planned than their trees allow, 0 in all",
        "  0 of 1 sizes of tree lose too much clean wood",
        "  0 drops are left to replace",
        "  0 lines carry more than they can, or are too flat or too long",
    ]


def test_what_wants_a_look_is_marked_and_counted(season: Season) -> None:
    season.record(
        *rules(growth_dbh_in=0.115, stain_factor=100),
        trees("Ledge/Cliff", "12:20 18:4"),  # 28 by the manual, 42 planned
        trees("Creek/Spring", "12:30"),  # 30, and 35 planned
        # 1,000 ft is the most for a mainline (UNH), 2 % the aim for its slope (UVM, UNH)
        Line(block="Ledge", line="Cedar", order=2, taps_planned=60, length_ft=1200, **stamp()),
        Line(block="Creek", line="Ford", order=1, taps_planned=120, slope_pct=0.3, **stamp()),
    )
    assert told(season) == [
        "! 2 lines of 2 tallied have more taps planned than their trees allow, 19 in all",
        "! 1 of 2 sizes of tree lose too much clean wood",
        "! 222 drops are left to replace",  # of no known age on Cedar too now: 42 + 60 + 120
        "! 2 lines carry more than they can, or are too flat or too long",
    ]


def test_one_is_one(season: Season) -> None:
    season.record(
        trees("Ledge/Cliff", "12:41"),
        count("Ledge/Cliff", "drops", 41),
        count("Creek/Ford", "drops", 120),
        Line(block="Ledge", line="Cedar", order=2, taps_planned=0, length_ft=1200, **stamp()),
    )
    over, _wood, drops, long = told(season)
    assert over == "! 1 line of 1 tallied has more taps planned than its trees allow, 1 in all"
    assert drops == "! 1 drop is left to replace"
    assert long == "! 1 line carries more than it can, or is too flat or too long"


# --- the parts a crew has ------------------------------------------------------------------------


def test_a_crew_on_vacuum_has_every_part(season: Season) -> None:
    assert plan_parts(season.plan) == ["trees", "wear", "drops", "lines"]


HILL = Block(block="Hill", order=1, **stamp())


@pytest.mark.parametrize(
    ("checklist", "line", "parts"),
    [
        ("buckets", Line(block="Hill", line="Top", **stamp()), ["trees", "wear"]),
        ("vacuum", Line(block="Hill", line="Top", **stamp()), ["trees", "wear", "drops"]),
        (
            "buckets",
            Line(block="Hill", line="Top", length_m=90, **stamp()),
            ["trees", "wear", "lines"],
        ),
        (
            "buckets",
            Line(block="Hill", line="Top", diameter_mm=25, **stamp()),
            ["trees", "wear", "lines"],
        ),
    ],
)
def test_no_drops_without_the_task_and_no_lines_without_tubing(
    book: Book, checklist: str, line: PlanEntry, parts: list[str]
) -> None:
    season = Season.begin(book, checklist, by="Oda", now=NOW)
    season.record(HILL, line)
    assert plan_parts(season.plan) == parts
