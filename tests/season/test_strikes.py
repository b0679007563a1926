"""What is crossed out was never done, and nothing gets lost between planned and done."""

from datetime import date

from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from fieldbook.book.entry import (
    KINDS,
    AnyEntry,
    Back,
    HandOff,
    Happening,
    Leak,
    Line,
    Out,
    Repair,
    Run,
    Setting,
    Sheet,
    Spouts,
    Supply,
    TapClass,
    TapRule,
    Target,
    TreeCount,
    Trees,
    Valve,
)
from fieldbook.season.balance import bag_days, balance
from fieldbook.season.items import closing_items, open_items
from fieldbook.season.ledger import Ledger, Tally
from tests.conftest import (
    NOW,
    PLAN,
    aside,
    count,
    finish,
    folded,
    note,
    numbered,
    reopen,
    stamp,
    strike,
    vacuum_checklist,
)

LINES = ["Ledge/Cliff", "Ledge/Cedar", "Creek/Ford", "Creek/Spring", "Creek/Culvert"]
HAPPENED = [kind for kind in KINDS.values() if issubclass(kind, Happening)]
KNOWN = [line for line in LINES if line != "Creek/Ford"]  # Ford's ties are not known
DAYS = st.sampled_from(["2027-02-08", "2027-02-09", "2027-02-10"])
BASE: list[AnyEntry] = [vacuum_checklist(), *PLAN]

places = st.tuples(
    st.sampled_from(LINES), st.sampled_from(["drops", "tapping", "leaks", "pulling"])
) | st.tuples(st.sampled_from(KNOWN), st.just("tensioning"))


@st.composite
def works(draw: st.DrawFn) -> AnyEntry:
    """Anything a crew may record about a line, its plan and what is open there."""
    (where, task), day = draw(places), draw(DAYS)
    block, line = where.split("/")
    units, quarter_hours = draw(st.integers(0, 150)), draw(st.integers(0, 40))
    who = draw(st.sampled_from(["Oda", "Perrin", "Wim"]))
    cliff = next(entry for entry in PLAN if isinstance(entry, Line))
    choices: list[AnyEntry] = [
        count(where, task, units, who=who, day=day, hours=quarter_hours / 4),
        finish(where, task, day=day),
        aside(where, task, "ice", day=day),
        reopen(where, task, day=day),
        note("look up", block=block, line=line, day=day),
        Target(task=task, block=block, line=line, planned=units, **stamp()),
        Setting(setting="drop_cycle_years", value=units % 5 + 1, **stamp()),
        replace(cliff, taps_planned=units),
        replace(cliff, taps_planned=None),
        Trees(block=block, line=line, classes=(TreeCount(dbh_in=18, count=units),), **stamp()),
        TapRule(rule="ours", unit="in", classes=(TapClass(from_dbh=9, taps=3),), **stamp()),
        Setting(setting="tap_rule", value="traditional", **stamp()),
        Supply(item="spout", on_hand=units, **stamp()),
        Run(sap_gal=units, **stamp(day)),
        Leak(block=block, line=line, who=who, text="hiss", lost_inhg=units / 5, **stamp(day)),
        Valve(block=block, line=line, who=who, state="shut", **stamp(day)),
        Valve(block=block, line=line, who=who, state="open", **stamp(day)),
        Repair(block=block, who=who, text="gate", **stamp(day)),
        Spouts(who=who, move="issued", count=units, **stamp(day)),
        Out(block=block, who=who, due=NOW, **stamp(day)),
        Back(who=who, **stamp(day)),
        Sheet(sheet=units + 1, block=block, task=task, lines=(line,), **stamp(day)),
        HandOff(who=who, blocks=(block,), severity="calm", **stamp(day)),
    ]
    return draw(st.sampled_from(choices))


def days(ledger: Ledger) -> dict[tuple[date, str, str], tuple[int, float]]:
    """Units and hours of all counts by day, person and task."""
    sums: dict[tuple[date, str, str], tuple[int, float]] = {}
    for entry in ledger.counts():
        units, hours = sums.get((entry.day, entry.who, entry.task), (0, 0.0))
        done = (units + entry.count, hours + (entry.hours or 0.0))
        sums[entry.day, entry.who, entry.task] = done
    return sums


def sights(ledger: Ledger) -> dict[str, object]:
    """Everything that can be asked of a ledger."""
    tasks, blocks = ledger.plan.tasks, [None, *ledger.plan.blocks]
    return {
        "cells": {
            (task.key, block): ledger.cell(task, block) for task in tasks for block in blocks
        },
        "lines": {
            (task.key, line.line): ledger.line_cell(line, task)
            for task in tasks
            for line in ledger.plan.lines
        },
        "walk": ledger.plan.walk,
        "people": ledger.plan.people,
        "days": days(ledger),
        "last day": ledger.last_day,
        "notes": ledger.notes,
        "runs": ledger.runs,
        "trees": {(t.block, t.line): t.classes for t in ledger.plan.tallies},
        "tap rules": (ledger.plan.tap_rules, ledger.plan.tap_rule),
        "spouts": ledger.plan.supply("spout"),
        "strays": {entry.id for entry in ledger.strays},
        "happened": [ledger.of(kind) for kind in HAPPENED],
        "open": open_items(ledger, NOW),
        "closing": closing_items(ledger, NOW),
        "balance": balance(ledger),
        "bags": bag_days(ledger),
    }


@given(st.lists(works(), max_size=30))
def test_planned_is_done_and_left_and_short_less_what_is_over(work: list[AnyEntry]) -> None:
    ledger = folded(*work)
    for task in ledger.plan.tasks:
        cells = [ledger.line_cell(line, task) for line in ledger.plan.lines]
        cells += [ledger.cell(task, block) for block in (*ledger.plan.blocks, None)]
        for tally in (cell.tally for cell in cells):
            assert tally.planned == tally.done + tally.left + tally.short - tally.over
            assert min(tally.left, tally.short, tally.over) >= 0
        season = sum((ledger.cell(task, block).tally for block in ledger.plan.blocks), Tally())
        assert season == ledger.cell(task).tally


def test_planned_adds_up_with_a_line_of_unknown_plan() -> None:
    ledger = folded(count("Creek/Ford", "tensioning", 9), count("Creek/Spring", "tensioning", 5))
    tally = ledger.cell(ledger.plan.find_task("tensioning"), "Creek").tally
    assert tally.planned == tally.done + tally.left + tally.short - tally.over
    assert tally.percent == 35  # 5 of the 14 ties that are known of: Spring 11, Culvert 3


def test_a_hundred_percent_means_all_of_it() -> None:
    ledger = folded(count("Ledge/Cliff", "tapping", 52), count("Ledge/Cedar", "tapping", 50))
    tally = ledger.cell(ledger.plan.find_task("tapping"), "Ledge").tally
    assert (tally.planned, tally.left, tally.over) == (102, 10, 10)
    assert tally.percent == 90  # 92 of 102


@given(st.data())
def test_what_is_struck_was_never_recorded(data: st.DataObject) -> None:
    entries = numbered(*BASE, *data.draw(st.lists(works(), min_size=1, max_size=20)))
    work_or_plan = st.sampled_from(entries[len(BASE) :]) | st.sampled_from(entries)
    struck = data.draw(st.lists(work_or_plan, unique_by=lambda e: e.id, max_size=8))
    stream = list(entries)
    for entry in struck:  # a strike may come in before what it strikes
        stream.insert(data.draw(st.integers(0, len(stream))), strike(entry))
    kept = [entry for entry in entries if entry not in struck]
    assert sights(Ledger(2027).fold(stream)) == sights(Ledger(2027).fold(kept))


def test_struck_hours_leave_no_crumbs() -> None:
    work = numbered(
        *(count("Ledge/Cliff", "tapping", 5, hours=hours) for hours in (0.1, 0.2)), start=500
    )
    ledger = folded(*work, *map(strike, work))
    assert days(ledger) == {}


def test_a_strike_may_arrive_before_what_it_strikes() -> None:
    (wrong,) = numbered(count("Ledge/Cliff", "tapping", 42), start=500)
    ledger = folded(strike(wrong, "was Cedar"), wrong)
    assert ledger.record("Ledge", "Cliff", "tapping").done == 0
    assert ledger.last_day is None
    assert ledger.struck[wrong.id].reason == "was Cedar"


def test_of_two_strikes_the_first_in_order_is_the_one_told() -> None:
    (wrong,) = numbered(count("Ledge/Cliff", "tapping", 42), start=500)
    ledger = folded(wrong, strike(wrong, "was Cedar"), strike(wrong, "was Wim's"))
    assert ledger.struck[wrong.id].reason == "was Cedar"
    assert ledger.record("Ledge", "Cliff", "tapping").done == 0


def test_a_struck_word_gives_back_the_one_before_it() -> None:
    done, icy, more = numbered(
        count("Ledge/Cliff", "tapping", 20, day="2027-02-08"),
        aside("Ledge/Cliff", "tapping", "ice", day="2027-02-08"),
        count("Ledge/Cliff", "tapping", 22),
        start=500,
    )
    ledger = folded(done, icy, more)
    tapping = ledger.plan.find_task("tapping")
    assert ledger.cell(tapping, "Ledge").lines == {"done": 1, "not begun": 1}
    ledger.apply(strike(more))
    assert ledger.cell(tapping, "Ledge").lines == {"set aside": 1, "not begun": 1}
    assert ledger.last_day == date(2027, 2, 8)
    ledger.apply(strike(icy))
    assert ledger.cell(tapping, "Ledge").lines == {"under way": 1, "not begun": 1}


# --- as of a day -------------------------------------------------------------------------------


def test_as_of_a_day_later_work_is_left_out_but_plan_and_strikes_count() -> None:
    monday, tuesday, hazard, wrong, person = numbered(
        count("Ledge/Cliff", "tapping", 20, day="2027-02-08", hours=1),
        count("Ledge/Cliff", "tapping", 22, day="2027-02-09"),
        note("widow maker by the gate", block="Ledge", day="2027-02-09"),
        count("Ledge/Cedar", "tapping", 60, day="2027-02-08"),
        Target(task="tapping", block="Ledge", line="Cliff", planned=45, **stamp("2027-02-09")),
        start=500,
    )
    ledger = folded(monday, tuesday, hazard, wrong, person, strike(wrong), as_of=date(2027, 2, 8))
    tally = ledger.cell(ledger.plan.find_task("tapping"), "Ledge").tally
    assert tally == Tally(planned=45 + 60, done=20, left=25 + 60)
    assert (ledger.last_day, ledger.notes) == (date(2027, 2, 8), [])
    assert days(ledger) == {(date(2027, 2, 8), "Oda", "tapping"): (20, 1.0)}


@given(st.lists(works(), max_size=20), st.sampled_from(["2027-02-08", "2027-02-09"]))
def test_as_of_a_day_is_the_ledger_of_that_evening(work: list[AnyEntry], day: str) -> None:
    as_of = date.fromisoformat(day)
    strip = numbered(*BASE, *work)
    kept = [e for e in strip if not isinstance(e, Happening) or e.day <= as_of]
    assert sights(Ledger(2027, as_of=as_of).fold(strip)) == sights(Ledger(2027).fold(kept))


# --- notes and strays --------------------------------------------------------------------------


def test_notes_on_a_line_come_with_those_on_its_block() -> None:
    on_line = note("dead ash leans", block="Ledge", line="Cliff")
    on_block = note("gate chained", block="Ledge")
    other = note("dam leaks", block="Ledge", line="Cedar")
    ledger = folded(on_line, on_block, other, note("lunch at noon"), note("mud", block="Creek"))
    texts = [n.text for n in ledger.notes_on("Ledge", "Cliff")]
    assert texts == ["dead ash leans", "gate chained"]
    assert [n.text for n in ledger.notes_on("Ledge")] == ["gate chained"]


STRAY_LINE = count("Ledge/Old Row", "tapping", 12)
STRAY_TASK = count("Ledge/Cliff", "boiling", 7)


def test_work_on_what_the_plan_does_not_know_is_in_no_total_and_not_lost() -> None:
    (cliff,) = (e for e in numbered(*BASE) if isinstance(e, Line) and e.line == "Cliff")
    ledger = folded(STRAY_LINE, STRAY_TASK, count("Ledge/Cliff", "tapping", 42))
    tapping = ledger.plan.find_task("tapping")
    assert [(e.line, e.task) for e in ledger.strays] == [
        ("Old Row", "tapping"),
        ("Cliff", "boiling"),
    ]
    assert ledger.cell(tapping).tally.done == 42
    ledger.apply(strike(cliff, "not ours"))
    assert [(e.line, e.task) for e in ledger.strays][2:] == [("Cliff", "tapping")]
    assert ledger.cell(tapping).tally.done == 0


def test_a_stray_is_not_in_the_days_total_either() -> None:
    assert folded(STRAY_LINE).done_on(date(2027, 2, 9), "tapping") == 0


def test_work_on_a_task_that_was_turned_off_is_not_lost_from_sight() -> None:
    assert folded(count("Ledge/Cliff", "washing", 1)).strays
