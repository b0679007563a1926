"""A round as data: lines in walking order, and on the card what somebody should know there."""

from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace

from fieldbook.book.book import Book
from fieldbook.book.entry import Checklist, Line, Note, Reading
from fieldbook.reports.round import (
    LineCard,
    brief_vacuum,
    line_card,
    readings_saved,
    round_lines,
)
from fieldbook.season.ledger import Standing
from fieldbook.season.season import Season
from fieldbook.season.vacuum import Gauges
from tests.conftest import DESK, NOW, PLAN, aside, count, finish, stamp
from tests.reports import work
from tests.reports.helpers import rules, trees
from tests.season.gauges import TAPPED, leak_at, listened, mended, read
from tests.season.woods import valve


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


# --- a round in which gauges are read ----------------------------------------------------------

MORNING = """06 09:00 Ledge/Cliff 22.8
             08 07:00 pump 25.5
             08 09:00 Ledge/Cliff head 25, far 22
             08 09:30 Ledge/Cedar 25"""
"""40 taps on Cliff, 60 on Cedar. Cliff lost 3.5 inHg: 40 x 0.5 gal x 5 % x 3.5 = 3.5 gal a day,
at 4 % 2.8 and at 7 % 4.9 (Wilmot, UVM; Centre ACER 2015)."""


def cliff_of(season: Season) -> Line:
    line = season.plan.line("Ledge", "Cliff")
    assert line is not None
    return line


def gauged(season: Season, units: str = "us") -> LineCard:
    """The card of Cliff in the leak checks."""
    task = season.plan.find_task("leaks")
    return line_card(season, cliff_of(season), task, gauges=Gauges(season.ledger), units=units)


def remarks(season: Season, units: str = "us") -> dict[str, str]:
    task, gauges = season.plan.find_task("leaks"), Gauges(season.ledger)
    lines = round_lines(season, "Ledge", task, gauges=gauges, units=units)
    return {shown.line.line: shown.remark for shown in lines}


def taken(season: Season, notes: str) -> list[Reading]:
    """Readings as they stand in the book."""
    return [entry for entry in season.record(*read(notes)) if isinstance(entry, Reading)]


def brief(season: Season, readings: list[Reading], units: str = "us") -> str:
    return brief_vacuum(Gauges(season.ledger), cliff_of(season), readings, units)


def test_the_remark_says_what_a_line_reads_how_far_under_and_who_was_there(season: Season) -> None:
    season.record(*TAPPED, *read(MORNING), count("Ledge/Cliff", "leaks", 1, day="2027-02-08"))
    assert remarks(season) == {
        "Cliff": "22.0, 3.5 under; Oda, Mon 8 Feb",
        "Cedar": "25.0, 0.5 under",
    }
    assert remarks(season, "metric") == {
        "Cliff": "75, 12 under; Oda, Mon 8 Feb",
        "Cedar": "85, 2 under",
    }


def test_a_remark_names_a_valve_that_is_shut_and_what_the_readings_point_at(season: Season) -> None:
    season.record(
        *TAPPED, *read("08 07:00 pump 25\n08 09:00 Ledge/Cliff 26\n08 09:00 Ledge/Cedar 2")
    )
    assert remarks(season) == {"Cliff": "26.0; gauge off", "Cedar": "2.0, 23.0 under; no vacuum"}
    season.record(valve("Ledge/Cedar", "shut"))
    assert remarks(season)["Cedar"] == "valve shut; 2.0, 23.0 under"


def test_the_card_says_what_a_line_reads_and_loses(season: Season) -> None:
    season.record(*TAPPED, *read(MORNING), listened("08 10:00", "Ledge/Cliff", heard=False))
    shown = gauged(season)
    assert shown.vacuum == (
        "Mon 8 Feb: head 25.0, far end 22.0, pump 25.5, 3.5 under; Sat 6 Feb 22.8",
        "loses about 4 gal a day (3-5)   valve test Mon 8 Feb: no air heard (Wim)",
    )
    assert shown.signs == ()  # that it hangs low is said already


def test_the_card_says_whether_the_last_mending_held(season: Season) -> None:
    season.record(*TAPPED, *read(MORNING))
    (leak,) = season.record(leak_at("08 11:00", "Ledge/Cliff", "chewed"))
    season.record(mended("08 12:00", leak.id))
    assert gauged(season).vacuum[-1] == "mended Mon 8 Feb: not read since: before 22.0, pump 25.5"
    assert gauged(season).signs == ("mended and not read since (Perrin, Mon 8 Feb): read it",)
    season.record(*read("08 14:00 Ledge/Cliff 24.8"))
    shown = gauged(season)
    assert shown.vacuum[-1] == "mended Mon 8 Feb: came back: before 22.0, after 24.8, pump 25.5"
    assert shown.signs == ()


def test_the_card_says_what_the_readings_point_at(season: Season) -> None:
    heard = listened("08 10:00", "Ledge/Cliff", heard=True)
    season.record(*TAPPED, *read("08 07:00 pump 25\n08 09:00 Ledge/Cliff 2"), heard)
    no_vacuum, air = gauged(season).signs
    assert no_vacuum.startswith("far end 2.0 inHg: cut off; look at its valve first")
    assert air == "air heard at the valve test, no leak found yet (Wim, Mon 8 Feb)"


def test_a_line_nobody_read_says_how_many_taps_would_lose(season: Season) -> None:
    season.record(*TAPPED)
    assert gauged(season).vacuum == ("vacuum not read yet; 40 taps in",)
    assert remarks(season) == {"Cliff": "", "Cedar": ""}


def test_in_other_rounds_the_card_says_nothing_of_gauges(season: Season) -> None:
    season.record(*TAPPED, *read(MORNING))
    shown = card(season, "Ledge/Cliff", "tapping")
    assert (shown.vacuum, shown.signs) == ((), ())


# --- a reading just taken ----------------------------------------------------------------------


def test_a_reading_just_taken_says_what_it_costs_and_why_in_a_word(season: Season) -> None:
    season.record(*TAPPED)
    pump, *far = taken(season, "08 07:00 pump 25.5\n08 09:00 Ledge/Cliff 22")
    assert brief(season, far) == "3.5 under the pump (25.5), loses about 4 gal a day (3-5)"
    assert brief(season, far, "metric") == "12 under the pump (86), loses about 4 gal a day (3-5)"
    assert brief(season, [pump]) == ""  # that is of no line
    low = taken(season, "08 10:00 Ledge/Cliff 4.5")
    assert brief(season, low) == (
        "21.0 under the pump (25.5), loses about 21 gal a day (17-29)   ! no vacuum"
    )  # 40 x 0.5 x 5 % x 21 = 21; 16.8 and 29.4
    season.record(valve("Ledge/Cliff", "shut", day="2027-02-08"))
    assert brief(season, low) == "21.0 under the pump (25.5)   ! valve shut"


def test_a_reading_of_a_day_keyed_in_late_does_not_speak_for_the_newest(season: Season) -> None:
    season.record(*TAPPED, *read("09 07:00 pump 25\n09 09:00 Ledge/Cliff 3"))
    late = taken(season, "08 07:00 pump 25.5\n08 09:00 Ledge/Cliff 24.5")[1:]
    assert brief(season, late) == "1.0 under the pump (25.5)"


def test_readings_taken_together_are_said_together(season: Season) -> None:
    head, far, pump = taken(
        season, "08 09:00 Ledge/Cliff head 25, far 22; by the ford\n08 09:00 pump 25.5; by the ford"
    )
    assert readings_saved([head, far, pump]) == (
        f"{head.id}, {far.id}, {pump.id} saved: Wim, head reads 25 inHg; far end reads 22 inHg; "
        "pump reads 25.5 inHg, Ledge / Cliff"
    )
    assert readings_saved([pump]) == f"{pump.id} saved: Wim, pump reads 25.5 inHg: by the ford"
