"""The fold: where a line stands, what the totals are, and what a strike does to both."""

from datetime import date

import pytest

from fieldbook.book.entry import AnyEntry, Count, Step, Target
from fieldbook.season.ledger import Cell, Ledger, Standing, Tally
from tests.conftest import (
    aside,
    count,
    finish,
    folded,
    reopen,
    stamp,
)

NOT_BEGUN, UNDER_WAY, DONE, ASIDE, NOTHING_DUE = Standing


def cell(ledger: Ledger, where: str, task: str) -> Cell:
    block, line = where.split("/")
    found = ledger.plan.line(block, line)
    assert found is not None
    return ledger.line_cell(found, ledger.plan.find_task(task))


def step(where: str, task: str, text: str, *, ticked: bool = True) -> Step:
    block, line = where.split("/")
    return Step(block=block, line=line, task=task, who="Oda", step=text, ticked=ticked, **stamp())


def planned(where: str, task: str, units: int) -> Target:
    block, line = where.split("/")
    return Target(task=task, block=block, line=line, planned=units, **stamp())


# --- one line in one task ----------------------------------------------------------------------

CLIFF, CEDAR, FORD, SPRING, CULVERT = (
    "Ledge/Cliff",
    "Ledge/Cedar",
    "Creek/Ford",
    "Creek/Spring",
    "Creek/Culvert",
)


# Cliff is planned with 42 taps. Left, short and over are against that.
def tapped(units: int) -> Count:
    return count(CLIFF, "tapping", units)


FINISHED, REOPENED = finish(CLIFF, "tapping", "3 too small"), reopen(CLIFF, "tapping")
ICY, BEGUN = aside(CLIFF, "tapping", "ice"), step(CLIFF, "tapping", "sharp, clean bit")


@pytest.mark.parametrize(
    ("work", "standing", "done", "left", "short", "over"),
    [
        ([], NOT_BEGUN, 0, 42, 0, 0),
        ([tapped(0)], NOT_BEGUN, 0, 42, 0, 0),
        ([BEGUN], UNDER_WAY, 0, 42, 0, 0),
        ([tapped(20)], UNDER_WAY, 20, 22, 0, 0),
        ([tapped(20), tapped(22)], DONE, 42, 0, 0, 0),
        ([tapped(45)], DONE, 45, 0, 0, 3),
        ([tapped(39), FINISHED], DONE, 39, 0, 3, 0),
        ([FINISHED], DONE, 0, 0, 42, 0),
        ([FINISHED, tapped(5)], DONE, 5, 0, 37, 0),
        ([ICY], ASIDE, 0, 42, 0, 0),
        ([tapped(20), ICY], ASIDE, 20, 22, 0, 0),
        ([tapped(42), ICY], ASIDE, 42, 0, 0, 0),
        ([ICY, tapped(0)], ASIDE, 0, 42, 0, 0),
        ([ICY, BEGUN], ASIDE, 0, 42, 0, 0),
        ([ICY, tapped(20)], UNDER_WAY, 20, 22, 0, 0),
        ([ICY, tapped(42)], DONE, 42, 0, 0, 0),
        ([ICY, FINISHED], DONE, 0, 0, 42, 0),
        ([ICY, REOPENED], UNDER_WAY, 0, 42, 0, 0),
        ([FINISHED, REOPENED], UNDER_WAY, 0, 42, 0, 0),
        ([tapped(42), REOPENED], UNDER_WAY, 42, 0, 0, 0),
        ([tapped(42), REOPENED, tapped(3)], UNDER_WAY, 45, 0, 0, 3),
        ([tapped(39), FINISHED, REOPENED, tapped(3)], DONE, 42, 0, 0, 0),
        ([tapped(42), REOPENED, FINISHED], DONE, 42, 0, 0, 0),
        ([planned(CLIFF, "tapping", 30), tapped(30)], DONE, 30, 0, 0, 0),
    ],
)
def test_where_a_line_of_42_taps_stands(
    work: list[AnyEntry], standing: Standing, done: int, left: int, short: int, over: int
) -> None:
    found = cell(folded(*work), CLIFF, "tapping")
    assert found.standing is standing
    assert (found.tally.done, found.tally.left) == (done, left)
    assert (found.tally.short, found.tally.over) == (short, over)
    assert found.lines == {standing: 1}


def test_a_step_ticked_by_mistake_and_unticked_begins_nothing() -> None:
    unticked = step(CLIFF, "tapping", BEGUN.step, ticked=False)
    assert cell(folded(BEGUN, unticked), CLIFF, "tapping").standing is NOT_BEGUN


@pytest.mark.parametrize(
    ("where", "task", "work", "standing"),
    [
        (CULVERT, "tapping", [], NOTHING_DUE),  # no taps this year
        (CEDAR, "drops", [], NOTHING_DUE),  # hung a year ago
        (CEDAR, "drops", [count(CEDAR, "drops", 4)], UNDER_WAY),  # but somebody hung four
        (CEDAR, "drops", [planned(CEDAR, "drops", 4), count(CEDAR, "drops", 4)], DONE),
        (CLIFF, "drops", [planned(CLIFF, "drops", 0)], NOTHING_DUE),
        (CULVERT, "leaks", [], NOT_BEGUN),  # one reading a line, taps or not
        (CLIFF, "pulling", [], NOT_BEGUN),  # nothing is in the trees yet, but it will be
        (CLIFF, "pulling", [count(CLIFF, "tapping", 40), count(CLIFF, "pulling", 40)], DONE),
        (CLIFF, "pulling", [count(CLIFF, "tapping", 40), count(CLIFF, "pulling", 39)], UNDER_WAY),
        (FORD, "tensioning", [], NOT_BEGUN),  # length unknown, so are its ties
        (FORD, "tensioning", [count(FORD, "tensioning", 99)], UNDER_WAY),
        (FORD, "tensioning", [count(FORD, "tensioning", 9), finish(FORD, "tensioning")], DONE),
    ],
)
def test_where_a_line_stands_by_what_is_due_there(
    where: str, task: str, work: list[AnyEntry], standing: Standing
) -> None:
    assert cell(folded(*work), where, task).standing is standing


def test_an_unknown_plan_is_said_and_not_taken_for_nought() -> None:
    tally = cell(folded(count(FORD, "tensioning", 9)), FORD, "tensioning").tally
    assert (tally.planned, tally.done, tally.unknown, tally.percent) == (0, 9, 1, None)


def test_a_record_remembers_its_entries_hours_and_last_count() -> None:
    work: list[AnyEntry] = [
        count(CLIFF, "tapping", 20, hours=1.5),
        count(CLIFF, "tapping", 10, hours=0.75, who="Wim"),
        BEGUN,
    ]
    record = folded(*work).record("Ledge", "Cliff", "tapping")
    assert (record.done, record.hours) == (30, 2.25)
    assert record.last == record.entries[2]
    assert record.last_count is record.entries[1]
    assert folded().record("Ledge", "Cliff", "tapping").last is None


# --- a block, and the season -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("work", "standing"),
    [
        ([], NOT_BEGUN),
        ([count(CLIFF, "tapping", 1)], UNDER_WAY),
        ([count(CLIFF, "tapping", 42)], UNDER_WAY),
        ([count(CLIFF, "tapping", 42), count(CEDAR, "tapping", 60)], DONE),
        ([aside(CLIFF, "tapping", "ice")], NOT_BEGUN),
        ([aside(CLIFF, "tapping", "ice"), aside(CEDAR, "tapping", "ice")], ASIDE),
        ([count(CLIFF, "tapping", 42), aside(CEDAR, "tapping", "ice")], ASIDE),
        ([count(CLIFF, "tapping", 1), aside(CEDAR, "tapping", "ice")], UNDER_WAY),
    ],
)
def test_where_a_block_of_two_lines_stands(work: list[AnyEntry], standing: Standing) -> None:
    ledger = folded(*work)
    assert ledger.cell(ledger.plan.find_task("tapping"), "Ledge").standing is standing


def test_a_line_with_nothing_due_does_not_keep_a_block_open() -> None:
    done = [count(FORD, "tapping", 120), count(SPRING, "tapping", 35)]
    ledger = folded(*done)
    tapping, drops = ledger.plan.find_task("tapping"), ledger.plan.find_task("drops")
    creek = ledger.cell(tapping, "Creek")
    assert (creek.standing, creek.lines) == (DONE, {DONE: 2, NOTHING_DUE: 1})
    resting = [planned(where, "drops", 0) for where in (CLIFF, CEDAR)]
    assert folded(*resting).cell(drops, "Ledge").standing is NOTHING_DUE
    assert ledger.cell(tapping, "Nowhere") == Cell(Tally(), NOTHING_DUE, {})


def test_totals_added_up_by_hand() -> None:
    ledger = folded(
        count(CLIFF, "tapping", 42, day="2027-02-08", hours=1.0),  # all 42
        count(CEDAR, "tapping", 50, who="Perrin", day="2027-02-08", hours=1.25),  # 10 to go
        count(FORD, "tapping", 110, who="Wim", hours=3.0),
        finish(FORD, "tapping", "10 too small"),  # 10 short
        count(SPRING, "tapping", 30),
        count(SPRING, "tapping", 8),  # 3 over 35
        count(CLIFF, "drops", 12),  # of 42, and Ford's 120
        count(CLIFF, "tensioning", 20),  # of 20; Cedar 20, Spring 11, Culvert 3, Ford unknown
        count(CLIFF, "pulling", 40),  # of the 42 in its trees
    )
    totals = {task.key: ledger.cell(task).tally for task in ledger.plan.tasks}
    assert totals == {
        "drops": Tally(planned=162, done=12, left=150),
        "tapping": Tally(planned=257, done=240, left=10, short=10, over=3),
        "tensioning": Tally(planned=54, done=20, left=34, unknown=1),
        "leaks": Tally(planned=5, left=5),
        "pulling": Tally(planned=42 + 50 + 110 + 38, done=40, left=200),
    }
    assert {key: tally.percent for key, tally in totals.items()} == {
        "drops": 7,  # 7.4
        "tapping": 92,  # 92.2: the 3 over on Spring do not make up for the 10 left on Cedar
        "tensioning": 37,  # 37.04
        "leaks": 0,
        "pulling": 16,  # 16.7
    }
    monday, tuesday = date(2027, 2, 8), date(2027, 2, 9)
    assert [(e.who, e.count) for e in ledger.counts("Creek") if e.task == "tapping"] == [
        ("Wim", 110),
        ("Oda", 30),
        ("Oda", 8),
    ]
    assert [ledger.done_on(day, "tapping") for day in (monday, tuesday)] == [92, 148]
    assert ledger.done_on(monday, "tapping", "Ledge") == 92
    assert ledger.done_on(tuesday, "tapping", "Creek") == 148
    assert ledger.done_on(tuesday, "leaks") == 0
    assert ledger.last_day == tuesday
