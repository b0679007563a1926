"""What the trees carry: tallies, the rule for taps, and lines planned by them; the shed, the pipes.

Cliff is tallied: 5 trees of 11 in, 10 of 12, 4 of 18, and one of 25. By the published tables
(`fieldbook.trade.sources` names them) that is, class by class:

    conservative     0 + 10 + 8 + 2 = 20     12-18 in 1, 18 and over 2
    traditional      5 + 10 + 8 + 4 = 27     10-15 in 1, 15-20 2, 20-25 3, 25 and over 4
    quebec-private   5 + 10 + 8 + 2 = 25     27.9, 30.5, 45.7, 63.5 cm: 23.1-39 cm 1, 39.1 on 2
    quebec-public    5 + 10 + 8 + 3 = 26     19.1-39 cm 1, 39.1-59 2, 59.1-79 3
    ontario          0 + 10 + 4 + 2 = 16     30 cm 1, 60 cm 2
"""

from datetime import date

import pytest
from msgspec.structs import replace

from fieldbook.book.entry import (
    AnyEntry,
    Line,
    Setting,
    Supply,
    TapClass,
    TapRule,
    Target,
    TreeCount,
    Trees,
)
from fieldbook.season.ledger import Ledger
from fieldbook.season.plan import Plan
from fieldbook.trade import tapping
from tests.conftest import PLAN, count, folded, numbered, stamp, strike, vacuum_checklist

CLIFF = next(entry for entry in PLAN if isinstance(entry, Line))


def trees(*classes: TreeCount, line: str = "Cliff") -> Trees:
    return Trees(block="Ledge", line=line, classes=classes, **stamp())


def across(**inches: int) -> tuple[TreeCount, ...]:
    """Trees by diameter in inches: `in12=10`."""
    return tuple(
        TreeCount(dbh_in=int(size.removeprefix("in")), count=count)
        for size, count in inches.items()
    )


TALLY = trees(*across(in11=5, in12=10, in18=4, in25=1))
BY_TREES = replace(CLIFF, taps_planned=None)


def setting(name: str, value: str | float) -> Setting:
    return Setting(setting=name, value=value, **stamp())


def ours(*limits: tuple[float, int]) -> TapRule:
    classes = tuple(TapClass(from_dbh=from_dbh, taps=taps) for from_dbh, taps in limits)
    return TapRule(rule="ours", unit="in", classes=classes, **stamp())


def cliff(plan: Plan) -> Line:
    found = plan.line("Ledge", "Cliff")
    assert found is not None
    return found


def allowed(*entries: AnyEntry) -> int | None:
    plan = folded(*entries).plan
    return plan.taps_allowed(cliff(plan))


# --- taps allowed ------------------------------------------------------------------------------

BY_RULE = {
    "conservative": 20,
    "traditional": 27,
    "quebec-private": 25,
    "quebec-public": 26,
    "ontario": 16,
    "own": 20,
}


@pytest.mark.parametrize(("rule", "taps"), BY_RULE.items())
def test_taps_that_the_trees_of_a_line_may_carry(rule: str, taps: int) -> None:
    assert allowed(TALLY, setting("tap_rule", rule)) == taps
    plan = folded(TALLY).plan
    assert plan.taps_allowed(cliff(plan)) == BY_RULE["conservative"]  # the rule of a new book
    assert plan.taps_allowed(cliff(plan), plan.tap_rules[rule]) == taps


def test_every_rule_there_is_has_its_sum_above() -> None:
    assert set(folded().plan.tap_rules) == set(BY_RULE)


def test_the_crews_own_rule_is_made_of_its_settings() -> None:
    own = (
        setting("tap_rule", "own"),
        setting("own_first_in", 11.0),
        setting("own_step_in", 7.0),
        setting("own_most_taps", 3),
    )  # from 11 in 1, from 18 in 2, from 25 in 3: 5 + 10 + 8 + 3
    assert allowed(TALLY, *own) == 26


def test_trees_are_one_tally_however_they_were_taken() -> None:
    mixed = trees(
        TreeCount(dbh_in=12, count=1),
        TreeCount(girth_in=38, count=10),  # 12.10 in: one tap
        TreeCount(girth_in=31, count=100),  # 9.87 in: none
        TreeCount(dbh_cm=45.72, count=100),  # 18 in to the millimetre: two
        TreeCount(count=5000),  # of no size, as a merged line may say
    )
    assert allowed(mixed) == 1 + 10 + 200
    tally = folded(mixed).plan.tally(CLIFF)
    assert [size for size, _trees in tally] == pytest.approx([12, 12.10, 9.87, 18], abs=0.005)


@pytest.mark.parametrize("tally", [[], [trees()], [trees(TreeCount(count=4))]])
def test_without_a_tally_nobody_knows(tally: list[Trees]) -> None:
    assert allowed(*tally) is None


def test_trees_too_small_are_known_to_carry_none() -> None:
    assert allowed(trees(*across(in8=40))) == 0


# --- the last tally, the last rule -------------------------------------------------------------


def test_a_tally_replaces_the_one_before_and_a_strike_brings_it_back() -> None:
    first, second = numbered(TALLY, trees(*across(in12=3)), start=500)
    ledger = folded(BY_TREES, first)
    taps = [ledger.plan.taps(cliff(ledger.plan))]
    for entry in (second, strike(second), strike(first)):
        ledger.apply(entry)
        taps.append(ledger.plan.taps(cliff(ledger.plan)))
    assert taps == [20, 3, 20, None]
    assert list(ledger.plan.tallies) == []


def test_a_rule_of_the_crews_table_is_there_until_it_is_struck() -> None:
    rule, more, choice = numbered(
        ours((11, 1)), ours((11, 1), (25, 4)), setting("tap_rule", "ours"), start=500
    )
    ledger = folded(TALLY, rule, more, choice)
    plan = ledger.plan
    seen = [(plan.tap_rule.name, plan.taps_allowed(CLIFF))]
    for entry in (strike(more), strike(rule)):
        ledger.apply(entry)
        seen.append((plan.tap_rule.name, plan.taps_allowed(CLIFF)))
    assert seen == [("ours", 23), ("ours", 20), ("conservative", 20)]


@pytest.mark.parametrize("wrong", [ours(), ours((12, 2), (18, 1)), ours((18, 1), (12, 2))])
def test_a_rule_that_no_tree_could_be_judged_by_gives_way_to_the_cautious_one(
    wrong: TapRule,
) -> None:
    plan = folded(wrong, setting("tap_rule", "ours")).plan
    assert plan.tap_rule == tapping.RULES["conservative"]
    assert "ours" not in plan.tap_rules
    assert [rule.rule for rule in plan.own_tap_rules] == ["ours"]  # to be seen and exported


# --- lines planned by their trees --------------------------------------------------------------


def taps(ledger: Ledger) -> int | None:
    return ledger.plan.taps(cliff(ledger.plan))


def planned(ledger: Ledger, task: str) -> int | None:
    return ledger.planned(cliff(ledger.plan), ledger.plan.find_task(task))


def test_a_target_comes_before_the_lines_number_and_that_before_the_trees() -> None:
    target = Target(task="tapping", block="Ledge", line="Cliff", planned=30, **stamp())
    wish, number = numbered(target, CLIFF, start=500)
    ledger = folded(BY_TREES, TALLY, number, wish)
    seen = [(planned(ledger, "tapping"), planned(ledger, "drops"), taps(ledger))]
    for entry in (strike(wish), strike(number)):
        ledger.apply(entry)
        seen.append((planned(ledger, "tapping"), planned(ledger, "drops"), taps(ledger)))
    assert seen == [(30, 30, 30), (42, 42, 42), (20, 20, 20)]  # a drop each: they are due


@pytest.mark.parametrize(
    "target",
    [
        Target(task="drops", block="Ledge", line="Cliff", planned=9, **stamp()),
        Target(task="tapping", block="Ledge", line="Cliff", wanted=date(2027, 2, 20), **stamp()),
        Target(task="tapping", block="Ledge", line="Cedar", planned=9, **stamp()),
    ],
    ids=["of drops", "a date", "of another line"],
)
def test_taps_follow_no_target_but_a_number_of_taps_for_the_line(target: Target) -> None:
    assert taps(folded(target)) == 42


def test_none_wanted_on_a_line_is_none_planned() -> None:
    none = Target(task="tapping", block="Ledge", line="Cliff", planned=0, **stamp())
    assert taps(folded(none)) == 0


def test_the_target_that_counts_is_of_the_task_that_counts_taps() -> None:
    """Where no task counts taps, a target called tapping is of nothing the plan knows."""
    target = Target(task="tapping", block="Ledge", line="Cliff", planned=30, **stamp())
    given = vacuum_checklist()
    renamed = tuple(
        replace(task, key="drilling") if task.key == "tapping" else task for task in given.tasks
    )
    other = replace(target, task="drilling", planned=31)
    assert taps(folded(target, replace(given, tasks=renamed))) == 42
    assert taps(folded(target, other, replace(given, tasks=renamed))) == 31
    assert taps(folded(target, replace(given, tasks=()))) == 42


def test_drops_and_spouts_of_a_line_planned_by_its_trees() -> None:
    ledger = folded(BY_TREES, TALLY, count("Ledge/Cliff", "tapping", 18))
    # Hung 2024: three years, so all 20 are due. What is in the trees is pulled, 18.
    assert [planned(ledger, task) for task in ("drops", "tapping", "pulling")] == [20, 20, 18]
    tally = ledger.cell(ledger.plan.find_task("tapping"), "Ledge").tally
    assert (tally.planned, tally.left, tally.unknown) == (20 + 60, 2 + 60, 0)


def test_a_line_planned_by_trees_nobody_tallied_is_unknown() -> None:
    ledger = folded(BY_TREES, count("Ledge/Cliff", "tapping", 18))
    assert [planned(ledger, task) for task in ("drops", "tapping")] == [None, None]
    tally = ledger.cell(ledger.plan.find_task("tapping"), "Ledge").tally
    assert (tally.planned, tally.done, tally.over, tally.unknown) == (60, 18, 18, 1)


def test_planned_by_trees_that_carry_none_nothing_is_due() -> None:
    ledger = folded(BY_TREES, trees(*across(in8=40)))
    assert planned(ledger, "tapping") == 0
    found = ledger.line_cell(cliff(ledger.plan), ledger.plan.find_task("tapping"))
    assert found.standing == "nothing due"


# --- days off, pipes, the shed -----------------------------------------------------------------


def test_days_off_are_those_of_the_setting_or_none() -> None:
    assert folded().plan.days_off == frozenset()
    plan = folded(setting("days_off", "2026-12-25,2027-02-10")).plan
    assert plan.days_off == {date(2026, 12, 25), date(2027, 2, 10)}
    assert folded(setting("days_off", "Christmas")).plan.days_off == frozenset()


@pytest.mark.parametrize(
    ("line", "wet", "dry"),
    [
        (CLIFF, None, None),
        (replace(CLIFF, diameter_in=0.75), 0.75, 0.75),
        (replace(CLIFF, diameter_in=0.75, dry_in=1.25), 0.75, 0.75),  # a single line has one pipe
        (replace(CLIFF, layout="pair", diameter_in=0.75), 0.75, 0.75),
        (replace(CLIFF, layout="pair", diameter_in=0.75, dry_in=1.25), 0.75, 1.25),
        (replace(CLIFF, layout="pair", diameter_mm=25.4, dry_mm=38.1), 1.0, 1.5),  # NIST SP 811
        (replace(CLIFF, layout="pair", dry_mm=38.1), None, 1.5),
    ],
)
def test_the_pipe_that_carries_the_air(line: Line, wet: float | None, dry: float | None) -> None:
    plan = folded(line).plan
    assert (plan.diameter_in(cliff(plan)), plan.dry_in(cliff(plan))) == (
        wet and pytest.approx(wet),
        dry and pytest.approx(dry),
    )


def test_what_lies_in_the_shed_is_what_was_counted_last() -> None:
    first, second = numbered(
        Supply(item="spout", on_hand=850, **stamp()),
        Supply(item="spout", on_hand=0, **stamp()),
        start=500,
    )
    ledger = folded(first)
    seen = [ledger.plan.supply("spout")]
    for entry in (second, strike(second), strike(first)):
        ledger.apply(entry)
        seen.append(ledger.plan.supply("spout"))
    assert seen == [first, second, first, None]  # none counted is not the same as none there
