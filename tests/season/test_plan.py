"""The plan: the last word about a thing wins, and people find things by what they type."""

from collections.abc import Callable
from datetime import date

import pytest
from msgspec.structs import replace

from fieldbook.book.entry import (
    Block,
    Checklist,
    Line,
    Person,
    PlanEntry,
    Setting,
    Target,
)
from fieldbook.errors import NotOnCrew
from fieldbook.season.plan import Plan, Wanted
from tests.conftest import PLAN, folded, numbered, refused, stamp, strike, vacuum_checklist


@pytest.fixture
def plan() -> Plan:
    return folded().plan


def line(plan: Plan, where: str) -> Line:
    found = plan.line(*where.split("/"))
    assert found is not None
    return found


def role(plan: Plan, name: str) -> str | None:
    person = plan.person(name)
    return person.role if person else None


def title(plan: Plan) -> str | None:
    return plan.checklist.checklist if plan.checklist else None


# --- what there is -----------------------------------------------------------------------------


def test_blocks_and_lines_come_in_walking_order(plan: Plan) -> None:
    assert {block: [line.line for line in lines] for block, lines in plan.walk.items()} == {
        "Ledge": ["Cliff", "Cedar"],
        "Creek": ["Ford", "Spring", "Culvert"],
    }
    assert plan.blocks == ["Ledge", "Creek"]
    assert plan.people == ["Oda", "Perrin", "Wim"]
    assert [plan.taps(line) for line in plan.lines] == [42, 60, 120, 35, 0]


def test_without_an_order_the_names_decide_in_any_case() -> None:
    names = ["beech", "Ash", "cherry"]
    lines = [Line(block="Flat", line=name, taps_planned=1, **stamp()) for name in names]
    assert [line.line for line in folded(*lines).plan.walk["Flat"]] == ["Ash", "beech", "cherry"]
    assert folded(*lines).plan.blocks == ["Ledge", "Creek", "Flat"]  # nobody described Flat


MON_TO_SAT = "MO,TU,WE,TH,FR,SA"
CLIFF = next(entry for entry in PLAN if isinstance(entry, Line))

CHANGES: list[tuple[PlanEntry, Callable[[Plan], object], object, object]] = [
    (Block(block="Creek", order=0, **stamp()), lambda p: p.blocks[0], "Creek", "Ledge"),
    (replace(CLIFF, taps_planned=45), lambda p: line(p, "Ledge/Cliff").taps_planned, 45, 42),
    (Person(person="Oda", role="boiler", **stamp()), lambda p: role(p, "Oda"), "boiler", "lead"),
    (Person(person="Ilse", role="new", **stamp()), lambda p: role(p, "Ilse"), "new", None),
    (
        Target(task="tapping", planned=9, **stamp()),
        lambda p: bool(p.target("tapping")),
        True,
        False,
    ),
    (Setting(setting="workdays", value="SU", **stamp()), lambda p: p.workdays, "SU", MON_TO_SAT),
    (replace(vacuum_checklist(), checklist="ours"), title, "ours", "vacuum tubing"),
]


@pytest.mark.parametrize(
    ("change", "look", "after", "before"), CHANGES, ids=lambda c: getattr(c, "kind", "")
)
def test_the_last_word_wins_and_a_strike_brings_back_the_one_before(
    change: PlanEntry, look: Callable[[Plan], object], after: object, before: object
) -> None:
    (entry,) = numbered(change, start=500)
    ledger = folded()
    assert look(ledger.plan) == before
    ledger.apply(entry)
    assert look(ledger.plan) == after
    ledger.apply(strike(entry))
    assert look(ledger.plan) == before


def test_a_task_this_crew_does_not_do_is_not_found(plan: Plan) -> None:
    keys = [task.key for task in plan.tasks]
    assert keys == ["drops", "tapping", "tensioning", "leaks", "pulling"]
    assert plan.task("washing") is None
    counting = {unit: plan.counting(unit) for unit in ("taps", "lines washed")}
    assert [task.key if task else None for task in counting.values()] == ["tapping", None]


def test_a_plan_with_no_entries_goes_by_the_defaults() -> None:
    plan = Plan(2027)
    assert (plan.begins, plan.ends) == (date(2026, 9, 1), date(2027, 8, 31))
    assert (plan.blocks, list(plan.lines), plan.tasks, plan.checklist) == ([], [], [], None)
    assert plan.recorded("workdays") is None


def test_a_season_of_no_year_of_ours_begins_and_ends_by_the_defaults() -> None:
    """Nobody can record such a day, but another desk's fieldbook may have."""
    plan = folded(
        Setting(setting="season_begins", value="0001-01-01", **stamp()),
        Setting(setting="season_ends", value="9999-12-31", **stamp()),
    ).plan
    assert (plan.begins, plan.ends) == (date(2026, 9, 1), date(2027, 8, 31))


# --- what ought to be done ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("where", "due", "ties"),
    [
        ("Ledge/Cliff", 42, 20),  # hung 2024: three years; 700 ft at 35 ft
        ("Ledge/Cedar", 0, 20),  # hung 2026: one year; 213.36 m is 700 ft (NIST SP 811)
        ("Creek/Ford", 120, None),  # of unknown age: due; never measured: ties unknown
        ("Creek/Spring", 0, 11),  # hung 2025: two years; 360 ft / 35 ft = 10.3
        ("Creek/Culvert", 0, 3),  # hung 2020, but no taps this year; 100 ft / 35 ft = 2.9
    ],
)
def test_drops_due_and_ties_of_a_line(plan: Plan, where: str, due: int, ties: int | None) -> None:
    assert plan.drops_due(line(plan, where)) == due
    assert plan.ties(line(plan, where)) == ties


@pytest.mark.parametrize(("cycle", "due"), [(1, 257), (2, 197), (3, 162), (4, 120)])
def test_drops_due_by_the_crews_own_cycle(cycle: int, due: int) -> None:
    # Cliff 42 hung 2024, Cedar 60 hung 2026, Ford 120 unknown, Spring 35 hung 2025.
    plan = folded(Setting(setting="drop_cycle_years", value=cycle, **stamp())).plan
    assert sum(plan.drops_due(line) or 0 for line in plan.lines) == due


@pytest.mark.parametrize(("spacing_ft", "ties"), [(30.0, 24), (35.0, 20), (40.0, 18)])
def test_ties_by_the_crews_own_spacing(spacing_ft: float, ties: int) -> None:
    plan = folded(Setting(setting="tie_spacing_ft", value=spacing_ft, **stamp())).plan
    assert plan.ties(line(plan, "Ledge/Cliff")) == plan.ties(line(plan, "Ledge/Cedar")) == ties


def test_a_date_is_wanted_by_the_closest_target_or_else_by_the_checklist() -> None:
    ledger = folded()
    tapping = ledger.plan.find_task("tapping")
    by_list, by_season, by_block = (date(2027, 2, day) for day in (20, 18, 12))
    assert ledger.plan.wanted(tapping, "Ledge") == Wanted(by_list, from_target=False)
    for entry in numbered(
        Target(task="tapping", wanted=by_season, **stamp()),
        Target(task="tapping", block="Ledge", wanted=by_block, **stamp()),
        Target(task="tapping", block="Creek", planned=100, **stamp()),
        start=500,
    ):
        ledger.apply(entry)
    assert ledger.plan.wanted(tapping, "Ledge") == Wanted(by_block, from_target=True)
    assert ledger.plan.wanted(tapping, "Creek") == Wanted(by_season, from_target=True)
    assert ledger.plan.wanted(tapping) == Wanted(by_season, from_target=True)


@pytest.mark.parametrize(
    ("wanted", "day"),
    [
        ("02-20", "2027-02-20"),
        ("09-01", "2026-09-01"),  # the season's first day, in the year before
        ("12-19", "2026-12-19"),
        ("08-31", "2027-08-31"),
        ("02-29", None),  # there is none in the winter of 2027
        ("", None),
    ],
)
def test_a_month_and_day_falls_into_the_season(wanted: str, day: str | None) -> None:
    force = vacuum_checklist()
    task = replace(force.tasks[1], wanted=wanted)
    found = folded(replace(force, tasks=(task,))).plan.wanted(task)
    assert (found and found.day.isoformat()) == day


# --- finding things by what people type --------------------------------------------------------


@pytest.mark.parametrize("typed", ["Ledge", "LEDGE", " ledge ", "l", "led"])
def test_a_block_is_found_by_its_name_or_a_beginning(plan: Plan, typed: str) -> None:
    assert plan.find_block(typed) == "Ledge"


@pytest.mark.parametrize("typed", ["Cliff", "cliff", "cl", "1", "#1", " 1 "])
def test_a_line_is_found_by_its_name_a_beginning_or_its_number(plan: Plan, typed: str) -> None:
    assert plan.find_line("Ledge", typed).line == "Cliff"


@pytest.mark.parametrize("typed", ["tapping", "Tapping", "tap", "TAPPING"])
def test_a_task_is_found_by_its_key_or_title(plan: Plan, typed: str) -> None:
    assert plan.find_task(typed).key == "tapping"
    assert plan.find_task("pulling  TAPS").key == "pulling"


def test_a_task_is_found_by_the_beginning_of_its_title(plan: Plan) -> None:
    assert plan.find_task("Leak ch").key == "leaks"


@pytest.mark.parametrize("typed", ["Perrin", "perrin", " per", "P"])
def test_a_person_is_found_by_the_name_or_a_beginning(plan: Plan, typed: str) -> None:
    assert plan.find_person(typed) == "Perrin"


def numbered_by_name(*rows: tuple[str, int]) -> Plan:
    lines = [
        Line(block="Flat", line=name, order=order, taps_planned=1, **stamp())
        for name, order in rows
    ]
    return folded(*lines).plan


def test_a_name_comes_before_a_beginning_and_before_a_number() -> None:
    plan = numbered_by_name(("7", 3), ("West", 7), ("West 2", 8), ("WEST 2", 9))
    assert plan.find_line("Flat", "7").order == 3
    assert plan.find_line("Flat", "#8").line == "West 2"
    assert plan.find_line("Flat", "west").order == 7
    assert plan.find_line("Flat", "West 2").order == 8


def test_a_blank_before_a_number_that_is_a_name_changes_nothing() -> None:
    plan = numbered_by_name(("7", 3), ("West", 7))
    assert plan.find_line("Flat", " 7").order == 3


@pytest.mark.parametrize(
    ("typed", "words", "hint"),
    [
        ("c", "'c' could be more than one line", "Did you mean: Cliff, Cedar?"),
        ("Cilff", "No line of Ledge is called 'Cilff'", "Did you mean: Cliff?"),
        ("9", "No line of Ledge is called '9'", "Did you mean: Cliff, Cedar?"),
        ("", "No line of Ledge is called ''", "Did you mean: Cliff, Cedar?"),
    ],
)
def test_a_line_that_cannot_be_found_names_the_nearest(
    plan: Plan, typed: str, words: str, hint: str
) -> None:
    message, said, _code = refused(lambda: plan.find_line("Ledge", typed))
    assert words in message
    assert said == hint


def test_two_lines_with_the_same_number_are_not_told_apart_by_it() -> None:
    plan = numbered_by_name(("East", 4), ("West", 4))
    message, _hint, _code = refused(lambda: plan.find_line("Flat", "4"))
    assert "'4' could be more than one line of Flat" in message


def test_somebody_not_on_the_crew_may_be_added_under_the_name_typed(plan: Plan) -> None:
    with pytest.raises(NotOnCrew) as error:
        plan.find_person(" Perin \n Loam")
    assert error.value.person == "Perin Loam"
    assert error.value.message == "Perin Loam is not on the crew."
    assert error.value.hint == "Did you mean: Perrin?"


def test_a_plan_with_nothing_in_it_says_what_to_import() -> None:
    for find in (Plan(2027).find_block, Plan(2027).find_task, Plan(2027).find_person):
        assert "import lines.csv" in refused(lambda find=find: find("Ledge"))[1]  # type: ignore[misc]


def test_a_long_list_of_names_is_cut() -> None:
    many = numbered_by_name(*((f"Row {n}", n) for n in range(1, 12)))
    hint = refused(lambda: many.find_line("Flat", "row"))[1]
    assert hint == "Did you mean: Row 1, Row 2, Row 3, Row 4, Row 5, Row 6, Row 7, Row 8, ...?"


def test_names_with_accents_are_found_however_they_are_composed() -> None:
    plan = numbered_by_name(("\u00c9rabli\u00e8re", 1))
    assert plan.find_line("Flat", "e\u0301rablie\u0300re").order == 1


def test_a_checklist_in_force_replaces_all_of_the_one_before() -> None:
    force = vacuum_checklist()
    ours = Checklist(checklist="ours", tasks=force.tasks[2:3], **stamp())
    assert [task.key for task in folded(ours).plan.tasks] == ["tapping"]
