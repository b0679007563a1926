"""A round as data: lines in walking order, and on the card what somebody should know there."""

from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace

from fieldbook.book.book import Book
from fieldbook.book.entry import Checklist, Note
from fieldbook.reports.round import LineCard, line_card, round_lines
from fieldbook.season.ledger import Standing
from fieldbook.season.season import Season
from tests.conftest import DESK, NOW, PLAN, aside, count, finish, stamp
from tests.reports import work
from tests.reports.helpers import rules, trees


def card(season: Season, where: str, task: str = "tapping") -> LineCard:
    block, name = where.split("/")
    line = season.plan.line(block, name)
    assert line is not None
    return line_card(season, line, season.plan.find_task(task))


def change(season: Season, where: str, **fields: Any) -> None:
    """The plan says something else of a line."""
    block, name = where.split("/")
    line = season.plan.line(block, name)
    assert line is not None
    season.record(replace(line, id="", tick=0, **fields))


def without(season: Season, key: str) -> None:
    """The crew's checklist lacks a task."""
    force = season.plan.checklist
    assert force is not None
    tasks = tuple(task for task in force.tasks if task.key != key)
    season.record(Checklist(checklist="ours", tasks=tasks, **stamp()))


# --- the lines ---------------------------------------------------------------------------------


def test_lines_stand_in_walking_order_with_a_remark(season: Season) -> None:
    work(season)
    tapping = season.plan.find_task("tapping")
    shown = [(x.line.line, x.remark, x.look) for x in round_lines(season, "Creek", tapping)]
    assert shown == [
        ("Ford", "hazard; set aside: [red]ice[/] on the ford (Oda, Mon 8 Feb)", True),
        ("Spring", "Perrin, Wed 10 Feb", False),
        ("Culvert", "", False),
    ]
    ledge = [(x.line.line, x.remark, x.look) for x in round_lines(season, "Ledge", tapping)]
    assert ledge[0] == ("Cliff", "3 over the plan", True)
    assert round_lines(season, "Volcano", tapping) == []


def test_a_line_finished_short_keeps_its_reason(season: Season) -> None:
    season.record(count("Ledge/Cliff", "tapping", 40), finish("Ledge/Cliff", "tapping", "dead top"))
    season.record(count("Ledge/Cedar", "tapping", 58), finish("Ledge/Cedar", "tapping"))
    remarks = [x.remark for x in round_lines(season, "Ledge", season.plan.find_task("tapping"))]
    assert remarks == ["2 short: dead top", "2 short: -"]


@pytest.mark.parametrize(
    ("work", "standing", "still_open"),
    [
        ((), Standing.NOT_BEGUN, True),
        ((count("Ledge/Cliff", "tapping", 1),), Standing.UNDER_WAY, True),
        ((count("Ledge/Cliff", "tapping", 42),), Standing.DONE, False),
        ((aside("Ledge/Cliff", "tapping", "ice"),), Standing.ASIDE, False),
    ],
)
def test_a_line_is_open_while_somebody_has_to_go_there(
    season: Season, work: tuple[Any, ...], standing: Standing, still_open: bool
) -> None:
    season.record(*work)
    cliff = round_lines(season, "Ledge", season.plan.find_task("tapping"))[0]
    assert (cliff.cell.standing, cliff.open) == (standing, still_open)


# --- the card: drops ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("hung", "cycle", "words"),
    [
        (None, 3, "drops hung in an unknown year, due"),  # nobody can say they are not
        (2023, 3, "drops hung 2023 (4 y), due"),
        (2024, 3, "drops hung 2024 (3 y), due"),  # about every 3 years: Perkins 2014; UVM
        (2025, 3, "drops hung 2025 (2 y)"),
        (2024, 4, "drops hung 2024 (3 y)"),
        (2027, 3, "drops hung 2027 (0 y)"),
        (2027, 1, "drops hung 2027 (0 y)"),
        (2026, 1, "drops hung 2026 (1 y), due"),
    ],
)
def test_how_old_the_drops_are_and_whether_they_are_due(
    season: Season, hung: int | None, cycle: int, words: str
) -> None:
    season.record(*rules(drop_cycle_years=cycle))
    change(season, "Ledge/Cliff", drops_hung=hung)
    assert card(season, "Ledge/Cliff").drops == words


def test_where_no_task_counts_drops_the_card_says_nothing_of_them(season: Season) -> None:
    without(season, "drops")
    assert card(season, "Ledge/Cliff").drops == ""
    assert card(season, "Creek/Ford").drops == ""  # nobody knows, and nobody has to


def test_drops_are_due_on_the_card_where_the_plan_has_them_replaced(season: Season) -> None:
    for line in season.plan.lines:
        due = line_card(season, line, season.plan.find_task("drops")).drops.endswith(", due")
        assert due == bool(season.plan.drops_due(line) or line.line == "Culvert")  # no taps, old


# --- the card: trees and flags -----------------------------------------------------------------


def test_where_nobody_tallied_trees_the_card_says_nothing_of_them(season: Season) -> None:
    cliff = card(season, "Ledge/Cliff")
    assert (cliff.trees, cliff.flags) == ("", ())


def test_trees_by_the_rule_of_the_book_and_taps_over_them(season: Season) -> None:
    # 12-18 in 1, 18 and over 2: North American Maple Syrup Producers Manual, recommended table
    season.record(trees("Ledge/Cliff", "10:8 12:30 18:5"))
    cliff = card(season, "Ledge/Cliff")
    assert cliff.trees == "trees allow 40 (conservative)"
    assert cliff.flags == ("2 taps over the 40 that its 43 trees allow",)
    # 10-15 in 1, 15-20 in 2: the older table
    season.record(*rules(tap_rule="traditional"))
    cliff = card(season, "Ledge/Cliff")
    assert (cliff.trees, cliff.flags) == ("trees allow 48 (traditional)", ())


def test_a_new_tally_counts_and_struck_the_one_before_is_back(season: Season) -> None:
    season.record(trees("Ledge/Cliff", "12:40"))
    (wrong,) = season.record(trees("Ledge/Cliff", "12:4"))
    assert card(season, "Ledge/Cliff").trees == "trees allow 4 (conservative)"
    season.strike(wrong.id, "a zero too few", by="Oda", now=NOW)
    assert card(season, "Ledge/Cliff").trees == "trees allow 40 (conservative)"


def test_what_the_tubing_cannot_carry_is_flagged(season: Season) -> None:
    change(season, "Ledge/Cliff", length_ft=1200.0, slope_pct=1.0)
    assert card(season, "Ledge/Cliff").flags == (
        "slope 1 %: under 2 % only for short stretches",  # UVM, UNH: 2-4 %
        "1,200 ft: 200 over 1,000 ft",  # UNH
    )


def test_what_the_pump_cannot_keep_up_with_is_flagged_where_there_is_one(season: Season) -> None:
    change(season, "Ledge/Cliff", diameter_in=1.0)
    change(season, "Ledge/Cedar", diameter_in=1.0)
    season.record(*rules(pump_cfm=1.0))
    # Two lines of one width have half of it each: 50 taps at 1 CFM a hundred (UVM, OSU, Cornell).
    assert card(season, "Ledge/Cliff").flags == ()  # 42 taps
    assert card(season, "Ledge/Cedar").flags == ("10 taps over its share of the pump, 50",)
    without(season, "leaks")  # without a pump nobody takes readings
    assert card(season, "Ledge/Cedar").flags == ()


# --- the card: the rest ------------------------------------------------------------------------


def test_hazards_the_newest_first_then_the_newest_note_and_what_the_plan_says(
    season: Season,
) -> None:
    change(season, "Ledge/Cliff", note="gate code\nin the shed")
    for text, hazard in (("ash", True), ("owl", False), ("fox", False), ("beech", True)):
        season.record(Note(text=text, block="Ledge", line="Cliff", hazard=hazard, **stamp()))
    cliff = card(season, "Ledge/Cliff")
    assert cliff.hazards == ("beech (Oda, Tue 9 Feb)", "ash (Oda, Tue 9 Feb)")
    assert cliff.notes == ("fox (Oda, Tue 9 Feb)", "gate code in the shed")


def test_without_a_season_before_nobody_knows_what_was_done_then(season: Season) -> None:
    assert card(season, "Ledge/Cliff").last_season is None


def test_with_one_it_is_what_was_counted_on_the_line_of_that_name(tmp_path: Path) -> None:
    before = Book.new(tmp_path / "quillby", name="Quillby Hollow", year=2026, desk=DESK)
    last = Season.begin(before, "vacuum", by="Oda", now=NOW)
    last.record(*PLAN)
    last.record(count("Ledge/Cliff", "tapping", 39, day="2026-02-10"))
    before.close()
    book = Book.begin_season(before.path, 2027, desk=DESK)
    season = Season.begin(book, "vacuum", by="Oda", now=NOW)
    season.record(*PLAN)
    change(season, "Creek/Ford", line="Ford two")
    for where, units in (("Ledge/Cliff", 39), ("Ledge/Cedar", 0), ("Creek/Ford two", None)):
        assert card(season, where).last_season == units
    book.close()
