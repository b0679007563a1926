"""The count that must balance, worked by hand on Quillby Hollow, and the sums that hold for any."""

from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given
from msgspec.structs import replace

from fieldbook.book.entry import AnyEntry, Line, Setting, Target, TreeCount, Trees
from fieldbook.season.balance import (
    Bag,
    Balance,
    bag_days,
    bags,
    balance,
    drops_in_place,
    explained,
    in_use,
    line_balance,
)
from fieldbook.season.ledger import Ledger
from fieldbook.season.season import Season
from tests.conftest import NOW, PLAN, aside, count, finish, folded, numbered, stamp, strike
from tests.season.woods import back, histories, spouts

MONDAY, TUESDAY = date(2027, 2, 8), date(2027, 2, 9)
CLIFF, CEDAR, FORD, SPRING = "Ledge/Cliff", "Ledge/Cedar", "Creek/Ford", "Creek/Spring"


def the_line(ledger: Ledger, where: str) -> Line:
    found = ledger.plan.line(*where.split("/"))
    assert found is not None
    return found


def changed(where: str, **fields: Any) -> Line:
    """A line of the plan with something else known of it."""
    lines = (entry for entry in PLAN if isinstance(entry, Line))
    return replace(next(e for e in lines if f"{e.block}/{e.line}" == where), **fields)


def wanted(where: str, task: str, units: int) -> Target:
    block, line = where.split("/")
    return Target(task=task, block=block, line=line, planned=units, **stamp())


# --- drops -------------------------------------------------------------------------------------

# Cliff: 42 taps, drops three years old, so all of them are due. Cedar: 60, one year old.
NOBODY_KNOWS = changed(CLIFF, taps_planned=None)
TREES = Trees(block="Ledge", line="Cliff", classes=(TreeCount(dbh_in=12, count=30),), **stamp())


@pytest.mark.parametrize(
    ("where", "work", "drops"),
    [
        (CLIFF, [], 42),
        (CLIFF, [changed(CLIFF, drops=45)], 45),
        (CLIFF, [changed(CLIFF, drops=0)], 0),
        (CLIFF, [wanted(CLIFF, "tapping", 40)], 40),
        (CLIFF, [wanted(CLIFF, "tapping", 40), changed(CLIFF, drops=45)], 45),
        (CLIFF, [NOBODY_KNOWS], None),
        (CLIFF, [NOBODY_KNOWS, TREES], 30),  # 30 trees of 12 in carry one tap each
        # Replaced: all of them, and more
        (CLIFF, [count(CLIFF, "drops", 42)], 42),
        (CLIFF, [count(CLIFF, "drops", 44)], 44),
        (CLIFF, [count(CLIFF, "drops", 44), changed(CLIFF, drops=45)], 45),
        (CLIFF, [count(CLIFF, "drops", 46), changed(CLIFF, drops=45)], 46),
        (CLIFF, [count(CLIFF, "drops", 40)], 42),  # two old ones are left
        (CLIFF, [count(CLIFF, "drops", 40), finish(CLIFF, "drops", "two are new")], 42),
        (CLIFF, [count(CLIFF, "drops", 44), aside(CLIFF, "drops", "ice")], 42),  # not done yet
        (CEDAR, [count(CEDAR, "drops", 65)], 60),  # not due: nobody replaces all of them
        (CEDAR, [Setting(setting="drop_cycle_years", value=1, **stamp())], 60),
        (
            CEDAR,
            [Setting(setting="drop_cycle_years", value=1, **stamp()), count(CEDAR, "drops", 65)],
            65,
        ),
        # Where nobody knew how many hang, it is known when all of them are new
        (CLIFF, [NOBODY_KNOWS, count(CLIFF, "drops", 38)], None),
        (CLIFF, [NOBODY_KNOWS, count(CLIFF, "drops", 38), finish(CLIFF, "drops")], 38),
    ],
)
def test_drops_in_place(where: str, work: list[AnyEntry], drops: int | None) -> None:
    ledger = folded(*work)
    assert drops_in_place(ledger, the_line(ledger, where)) == drops


# --- a line ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("work", "found"),
    [
        ([], Balance(drops=42, untapped=42)),
        ([count(CLIFF, "tapping", 39)], Balance(drops=42, taps=39, untapped=3, in_trees=39)),
        ([count(CLIFF, "tapping", 42)], Balance(drops=42, taps=42, in_trees=42)),
        ([count(CLIFF, "tapping", 45)], Balance(drops=42, taps=45, over=3, in_trees=45)),
        (
            [count(CLIFF, "tapping", 40), count(CLIFF, "pulling", 38)],
            Balance(drops=42, taps=40, untapped=2, pulled=38, in_trees=2),
        ),
        (
            [count(CLIFF, "tapping", 40), count(CLIFF, "pulling", 41)],
            Balance(drops=42, taps=40, untapped=2, pulled=41, pulled_over=1),
        ),
        ([count(CLIFF, "pulling", 5)], Balance(drops=42, untapped=42, pulled=5, pulled_over=5)),
        (
            [count(CLIFF, "tapping", 44), changed(CLIFF, drops=45)],
            Balance(drops=45, taps=44, untapped=1, in_trees=44),
        ),
        ([NOBODY_KNOWS], Balance(unknown=1)),
        (  # as many as taps, for the sum: neither missing nor too many
            [NOBODY_KNOWS, count(CLIFF, "tapping", 39)],
            Balance(drops=39, taps=39, in_trees=39, unknown=1),
        ),
    ],
)
def test_the_balance_of_a_line_of_42(work: list[AnyEntry], found: Balance) -> None:
    ledger = folded(*work)
    assert line_balance(ledger, the_line(ledger, CLIFF)) == found


def test_a_struck_count_is_in_no_balance() -> None:
    (wrong,) = numbered(count(CLIFF, "tapping", 42), start=500)
    ledger = folded(wrong, count(CLIFF, "tapping", 2), strike(wrong))
    found = line_balance(ledger, the_line(ledger, CLIFF))
    assert found == Balance(drops=42, taps=2, untapped=40, in_trees=2)


def test_what_is_missing_on_one_line_is_not_made_up_by_another() -> None:
    ledger = folded(
        count(CLIFF, "tapping", 39),  # 42 drops: 3 untapped
        count(CEDAR, "tapping", 62),  # 60 drops: 2 over
        count(FORD, "tapping", 120),  # 120
        count(SPRING, "tapping", 30),  # 35 drops: 5 untapped
        count(CLIFF, "pulling", 39),
        count(CEDAR, "pulling", 60),  # 2 left
        count(SPRING, "pulling", 31),  # 1 over
    )
    ledge = Balance(drops=102, taps=101, untapped=3, over=2, pulled=99, in_trees=2)
    creek = Balance(
        drops=155, taps=150, untapped=5, pulled=31, in_trees=120, pulled_over=1
    )  # Culvert rests
    assert balance(ledger, "Ledge") == ledge
    assert balance(ledger, "Creek") == creek
    assert balance(ledger) == Balance(
        drops=257,
        taps=251,
        untapped=8,
        over=2,
        pulled=130,
        in_trees=122,
        pulled_over=1,
    )
    assert balance(ledger, "Nowhere") == Balance()


def assert_balanced(found: Balance) -> None:
    assert found.drops == found.taps + found.untapped - found.over
    assert found.taps == found.pulled + found.in_trees - found.pulled_over
    assert min(getattr(found, name) for name in found.__struct_fields__) >= 0


@given(histories())
def test_drops_taps_and_spouts_add_up_whatever_happened(history: list[AnyEntry]) -> None:
    ledger = folded(*history)
    lines = [line_balance(ledger, line) for line in ledger.plan.lines]
    blocks = [balance(ledger, block) for block in ledger.plan.blocks]
    for found in (*lines, *blocks, balance(ledger)):
        assert_balanced(found)
    for found in lines:  # on one line it is the one or the other
        assert not (found.untapped and found.over)
        assert not (found.in_trees and found.pulled_over)
    assert balance(ledger) == sum(blocks, Balance()) == sum(lines, Balance())


# --- bags --------------------------------------------------------------------------------------

# Perrin taps out of a bag on Monday and Tuesday; Oda was never issued any.
BEFORE = count(CEDAR, "tapping", 7, who="Perrin", day="2027-02-07")
MONDAYS: list[AnyEntry] = [
    spouts("Perrin", "issued", 100, day="2027-02-08"),
    count(CLIFF, "tapping", 42, who="Perrin", day="2027-02-08"),
    count(CEDAR, "tapping", 50, who="Perrin", day="2027-02-08"),
    spouts("Perrin", "returned", 5, day="2027-02-08"),
    spouts("Perrin", "scrapped", 2, day="2027-02-08"),
]
TUESDAYS: list[AnyEntry] = [
    spouts("Perrin", "issued", 20),
    count(SPRING, "tapping", 18, who="Perrin"),
    count(CLIFF, "pulling", 30, who="Perrin"),  # these do not go into the bag
    count(FORD, "tapping", 9, who="Oda"),
]


def test_a_bag_day_by_day_and_over_the_season() -> None:
    ledger = folded(BEFORE, *MONDAYS, *TUESDAYS)
    monday = Bag("Perrin", MONDAY, issued=100, set=92, returned=5, scrapped=2)
    tuesday = Bag("Perrin", TUESDAY, issued=20, set=18)
    season = Bag("Perrin", None, issued=120, set=110, returned=5, scrapped=2)
    assert (monday.off, tuesday.off, season.off) == (1, 2, 3)
    assert (bag_days(ledger), bags(ledger)) == ([monday, tuesday], [season])
    assert (bag_days(ledger, "Oda"), bags(ledger, "Oda")) == ([], [])


def test_taps_of_days_before_the_first_issue_came_out_of_no_bag() -> None:
    (found,) = bags(folded(BEFORE, *MONDAYS))
    assert found.set == 92
    # Keyed later but dated earlier, an issue takes in the taps from its day on.
    sunday = spouts("Perrin", "issued", 7, day="2027-02-07")
    (found,) = bags(folded(BEFORE, *MONDAYS, sunday))
    assert (found.issued, found.set, found.off) == (107, 99, 1)


def test_taps_on_the_day_of_the_first_issue_came_out_of_the_bag_whenever_they_were_keyed() -> None:
    ledger = folded(
        count(CLIFF, "tapping", 42, who="Wim"),
        spouts("Wim", "issued", 50),
    )
    assert bags(ledger) == [Bag("Wim", issued=50, set=42)]


def test_bags_are_told_by_name_and_day() -> None:
    ledger = folded(
        spouts("Wim", "issued", 5),
        spouts("Oda", "issued", 4),
        spouts("Wim", "issued", 3, day="2027-02-08"),
    )
    assert [(bag.who, bag.day, bag.issued) for bag in bag_days(ledger)] == [
        ("Oda", TUESDAY, 4),
        ("Wim", MONDAY, 3),
        ("Wim", TUESDAY, 5),
    ]
    assert [(bag.who, bag.issued) for bag in bags(ledger)] == [("Oda", 4), ("Wim", 8)]
    assert bags(ledger, "Wim") == [Bag("Wim", issued=8)]


def test_more_set_than_were_issued_is_below_nought() -> None:
    (found,) = bags(
        folded(spouts("Wim", "issued", 40), count(CLIFF, "tapping", 42, who="Wim")),
    )
    assert found.off == -2


@pytest.mark.parametrize(
    ("work", "busy"),
    [
        ([spouts("Wim", "issued", 50)], True),
        ([spouts("Wim", "issued", 50), spouts("Wim", "returned", 5)], True),
        ([spouts("Wim", "issued", 50, day="2027-02-08")], False),  # that was yesterday
        ([spouts("Wim", "issued", 50), back("Wim")], False),
        ([spouts("Wim", "issued", 50), back("Perrin")], True),
        ([back("Wim"), spouts("Wim", "issued", 50)], True),
        ([spouts("Wim", "issued", 50), back("Wim"), spouts("Wim", "issued", 9)], True),
        # Keyed in late, of the day before.
        ([spouts("Wim", "issued", 50), back("Wim", day="2027-02-08")], True),
        ([spouts("Wim", "issued", 50), spouts("Wim", "issued", 9, day="2027-02-08")], True),
        ([spouts("Wim", "returned", 50)], False),
        ([spouts("Perrin", "issued", 50)], False),
    ],
)
def test_somebody_is_at_work_out_of_a_bag_until_they_are_back_or_the_day_is_over(
    work: list[AnyEntry], busy: bool
) -> None:
    assert in_use(folded(*work), Bag("Wim"), NOW) is busy
    assert not in_use(folded(*work), Bag("Wim"), NOW + timedelta(days=1))


def test_a_reason_given_while_nobody_knew_the_drops_is_for_none_that_come_to_light(
    season: Season,
) -> None:
    """Four trees were too small; then the trees are tallied, and 55 drops hang without a tap."""
    bare = Line(block="Ledge", line="Bare", order=9, drops_hung=2026, **stamp())
    season.record(bare, count("Ledge/Bare", "tapping", 5))
    season.record(finish("Ledge/Bare", "tapping", "four too small"))
    tapping = season.plan.find_task("tapping")

    def why() -> str:
        return explained(season.ledger, season.plan.find_line("Ledge", "Bare"), tapping)

    assert why() == "four too small"
    season.record(replace(bare, taps_planned=60))
    assert why() == ""
    season.record(finish("Ledge/Bare", "tapping", "the upper half is for next year"))
    assert why() == "the upper half is for next year"


@given(histories())
def test_spouts_issued_are_accounted_for_in_every_bag(history: list[AnyEntry]) -> None:
    ledger = folded(*history)
    days, season = bag_days(ledger), bags(ledger)
    for bag in (*days, *season):
        assert bag.issued == bag.set + bag.returned + bag.scrapped + bag.off
    for bag in season:
        theirs = [part for part in days if part.who == bag.who]
        assert bag.off == sum(part.off for part in theirs)
        assert bag.issued == sum(part.issued for part in theirs)
    assert len({(bag.who, bag.day) for bag in days}) == len(days)
    # What all of them set is no more than was tapped.
    assert sum(bag.set for bag in season) <= balance(ledger).taps
