"""Whose turn it is: no order of blocks and tasks has a latest that is less late.

Days are counted as a crew would on its fingers: February 2027 begins on a Monday, and Quillby
Hollow works from Monday to Saturday.
"""

from collections.abc import Iterator
from datetime import date, timedelta
from itertools import permutations
from random import Random

import pytest
from msgspec.structs import replace

from fieldbook.book.entry import AnyEntry, Block, Line, Target
from fieldbook.reports.pace import Pace
from fieldbook.reports.turns import Order, Turn, best_order
from fieldbook.season.ledger import Ledger
from tests.conftest import aside, count, folded, numbered, reopen, stamp, vacuum_checklist

TUESDAY = date(2027, 2, 9)


def steady(a_day: float) -> Pace:
    """So many units a day, alone, and no day lost."""
    return Pace(
        rate_per_hour=1.0,
        rate_default=1.0,
        hours=0.0,
        crew=1.0,
        days=(a_day,),
        days_recorded=1,
        days_before=0,
        days_default=0,
        lost_share=0.0,
        lost=0,
        workdays=1,
    )


PACES = {"drops": steady(20), "tapping": steady(40), "leaks": steady(2)}
"""Drops 20 a day, taps 40, leaks 2 lines."""


def target(task: str, block: str, day: str) -> Target:
    return Target(task=task, block=block, wanted=date.fromisoformat(day), **stamp())


def turns(*work: AnyEntry, as_of: date = TUESDAY, paces: dict[str, Pace] = PACES) -> Order:
    return best_order(folded(*work), paces, as_of)


def places(order: Order) -> list[tuple[str, str]]:
    return [(turn.block, turn.task) for turn in order.turns]


def turn(order: Order, block: str, task: str) -> Turn:
    return next(x for x in order.turns if (x.block, x.task) == (block, task))


def test_a_block_s_tasks_come_one_after_the_other() -> None:
    # Drops were wanted 19 December, taps 20 February, leak checks 27 February: the checklist
    order = turns()
    assert places(order) == [
        ("Ledge", "drops"),
        ("Creek", "drops"),
        ("Ledge", "tapping"),
        ("Creek", "tapping"),
        ("Ledge", "leaks"),
        ("Creek", "leaks"),
    ]
    # 42 / 20, 120 / 20, 102 / 40, 155 / 40, 2 / 2, 3 / 2
    assert [x.days for x in order.turns] == pytest.approx([2.1, 6, 2.55, 3.875, 1, 1.5])
    # Done after 2.1, 8.1, 10.65, 14.525, 15.525, 17.025 days: on the 3rd, 9th, 11th, 15th, 16th
    # and 18th workday from Wednesday 10 February on
    assert [x.done_by for x in order.turns] == [
        date(2027, 2, 12),
        date(2027, 2, 19),
        date(2027, 2, 22),
        date(2027, 2, 26),
        date(2027, 2, 27),
        date(2027, 3, 2),
    ]
    # By 20 February there are 10 workdays, by 27 February 16
    assert [x.days_over for x in order.turns[2:]] == [1, 5, 0, 2]


def test_what_is_overdue_counts_from_the_day_it_was_wanted() -> None:
    order = turns(target("drops", "Ledge", "2027-02-06"), target("drops", "Creek", "2027-02-01"))
    # Creek was wanted 7 workdays ago, 2 to 9 February; Ledge 2: Monday and Tuesday
    assert places(order)[:2] == [("Creek", "drops"), ("Ledge", "drops")]
    assert turn(order, "Creek", "drops").days_over == 13  # 6 more
    assert turn(order, "Ledge", "drops").days_over == 11  # 8.1 more, the ninth not over: 2 + 9


def test_a_block_wanted_sooner_goes_first() -> None:
    order = turns(target("tapping", "Creek", "2027-02-12"), paces={"tapping": steady(40)})
    assert places(order) == [("Creek", "tapping"), ("Ledge", "tapping")]


def test_among_equals_what_is_under_way_goes_first() -> None:
    order = turns(count("Creek/Ford", "tapping", 3), paces={"tapping": steady(40)})
    assert places(order) == [("Creek", "tapping"), ("Ledge", "tapping")]
    fresh = turns(paces={"tapping": steady(40)})
    assert places(fresh) == [("Ledge", "tapping"), ("Creek", "tapping")]


def test_everybody_out_these_days_works_on_one_thing() -> None:
    """Three people tap in a day what one does in three."""
    people = [count("Creek/Ford", "tapping", 10, who=who) for who in ("Oda", "Wim", "Perrin")]
    order = turns(*people, paces={"tapping": steady(40)})
    assert turn(order, "Ledge", "tapping").days == pytest.approx(102 / 120)


# --- held up -----------------------------------------------------------------------------------


def test_what_is_set_aside_and_all_that_waits_for_it_has_no_turn() -> None:
    order = turns(
        aside("Ledge/Cliff", "drops", "hung-up beech"),  # the only line with drops due
    )
    assert order.held_up == (("Ledge", "drops"), ("Ledge", "tapping"), ("Ledge", "leaks"))
    assert {block for block, _task in places(order)} == {"Creek"}


def test_a_block_with_one_open_line_is_not_held_up() -> None:
    order = turns(aside("Creek/Ford", "tapping", "ice"), paces={"tapping": steady(40)})
    assert order.held_up == ()
    creek = turn(order, "Creek", "tapping")
    assert (creek.left, creek.days) == (35, 35 / 40)  # without the 120 of Ford


def test_a_block_with_nothing_to_do_but_what_is_set_aside_is_held_up() -> None:
    """Spring is looked at again, but all its taps are in: what is left is on the ice of Ford."""
    order = turns(
        aside("Creek/Ford", "tapping", "ice"),
        count("Creek/Spring", "tapping", 35),
        reopen("Creek/Spring", "tapping", "two more maples?"),
    )
    assert order.held_up == (("Creek", "tapping"), ("Creek", "leaks"))
    assert all(x.left and x.days for x in order.turns)


def test_lines_set_aside_make_no_block_late() -> None:
    late = turns(target("tapping", "Creek", "2027-02-10"), paces={"tapping": steady(40)})
    assert turn(late, "Creek", "tapping").days_over == 3  # 155 / 40 = 3.9 days for one
    order = turns(
        target("tapping", "Creek", "2027-02-10"),
        aside("Creek/Ford", "tapping", "ice"),
        paces={"tapping": steady(40)},
    )
    assert turn(order, "Creek", "tapping").days_over == 0


def test_what_waits_for_something_done_waits_no_more() -> None:
    order = turns(count("Ledge/Cliff", "drops", 42))
    assert ("Ledge", "drops") not in places(order)
    assert ("Ledge", "tapping") in places(order)


def test_pulling_has_no_turn_before_somebody_begins_it() -> None:
    paces = {"pulling": steady(50)}
    tapped = (count("Ledge/Cliff", "tapping", 42), count("Creek/Spring", "tapping", 35))
    assert places(turns(*tapped, paces=paces)) == []
    begun = turns(*tapped, count("Ledge/Cliff", "pulling", 2), paces=paces)
    assert places(begun) == [("Ledge", "pulling"), ("Creek", "pulling")]
    assert turn(begun, "Ledge", "pulling").left == 40


def test_a_day_past_the_end_of_the_season_is_not_told() -> None:
    order = turns(paces={"tapping": steady(1)})  # 257 days; to 31 August there are 175
    ledge, creek = order.turns
    assert ledge.done_by is not None
    assert creek.done_by is None
    assert creek.days_over == 257 - 10


def test_nothing_left_has_no_turn_and_no_reason() -> None:
    assert turns(paces={}) == Order((), "", (), crew=1)


def test_before_anybody_is_out_the_largest_crew_of_a_task_is_taken() -> None:
    order = turns(paces={"tapping": replace(steady(40), crew=2.0)})
    assert order.crew == 2
    assert turn(order, "Ledge", "tapping").days == pytest.approx(102 / 40)
    assert turns(count("Ledge/Cliff", "tapping", 2)).crew == 1  # Oda was out


# --- why ---------------------------------------------------------------------------------------


def test_why_it_is_wanted_first() -> None:
    order = turns(
        target("tapping", "Creek", "2027-02-15"), paces={"tapping": steady(40), "leaks": steady(2)}
    )
    assert order.why == (
        "it is wanted Mon 15 Feb, and nothing can be done that is wanted sooner; "
        "in this order nothing is late."
    )


def test_why_something_waits_for_it() -> None:
    order = turns(
        target("leaks", "Creek", "2027-02-12"), paces={"tapping": steady(40), "leaks": steady(2)}
    )
    assert places(order)[0] == ("Creek", "tapping")
    # 155 / 40 + 3 / 2 = 5.375 days, where Friday is the third
    assert order.why == (
        "leak checks there waits for it, and is wanted Fri 12 Feb; "
        "in this order Creek, leak checks is 3 workdays late, and no order does better."
    )


def test_why_it_is_overdue() -> None:
    order = turns(target("tapping", "Creek", "2027-02-08"), paces={"tapping": steady(155)})
    assert order.why == (
        "tapping there was wanted Mon 8 Feb; "
        "in this order Creek, tapping is 2 workdays late, and no order does better."
    )


def test_one_day_late_is_one_workday() -> None:
    order = turns(target("tapping", "Creek", "2027-02-09"), paces={"tapping": steady(155)})
    assert order.why.startswith("it is wanted Tue 9 Feb")  # tonight, done tomorrow
    assert "Creek, tapping is 1 workday late" in order.why


def test_why_with_no_dates_at_all() -> None:
    bare = Ledger(2027).fold(
        numbered(
            undated(),
            Block(block="Ledge", **stamp()),
            Line(block="Ledge", line="Cliff", taps_planned=42, **stamp()),
        )
    )
    said = best_order(bare, {"tapping": steady(40)}, TUESDAY)
    assert said.turns[0].wanted is None
    assert said.why == (
        "nothing has a date: what is under way, and then the order of the plan; "
        "in this order nothing is late."
    )


def undated() -> AnyEntry:
    """The checklist without its dates."""
    given = vacuum_checklist()
    return replace(given, tasks=tuple(replace(task, wanted="") for task in given.tasks))


# --- against every order there is ----------------------------------------------------------------


def random_season(seed: int) -> tuple[Ledger, dict[str, Pace], date]:
    """Three blocks of a line each, with dates and paces that come as they come."""
    random = Random(seed).random
    blocks = ["Ledge", "Creek", "Sugar Lot"]
    entries: list[AnyEntry] = [vacuum_checklist()]
    for block in blocks:
        entries += [
            Block(block=block, **stamp()),
            Line(block=block, line=block, taps_planned=1 + int(random() * 90), **stamp()),
        ]
    for task in ("drops", "tapping"):
        for block in blocks:
            day = TUESDAY + timedelta(days=int(random() * 30) - 10)
            if random() < 0.7:
                entries.append(Target(task=task, block=block, wanted=day, **stamp()))
    paces = {key: steady(5 + random() * 60) for key in ("drops", "tapping")}
    return Ledger(2027).fold(numbered(*entries)), paces, TUESDAY


def late_days(
    ledger: Ledger, order: tuple[tuple[str, str], ...], days: dict[tuple[str, str], float]
) -> float:
    """Workdays by which the latest is late, each day of the calendar counted by itself."""
    finish, worst = 0.0, float("-inf")
    for block, key in order:
        finish += days[block, key]
        task = ledger.plan.task(key)
        assert task is not None
        wanted = ledger.plan.wanted(task, block)
        assert wanted is not None
        worst = max(worst, finish - workdays_until(wanted.day))
    return worst


def workdays_until(day: date) -> int:
    """Workdays after Tuesday to a day; of a day gone by, those since it, below 0."""
    early, late = sorted((TUESDAY, day))
    between = [early + timedelta(days=n) for n in range(1, (late - early).days + 1)]
    worked = sum(each.weekday() != 6 for each in between)
    return worked if day >= TUESDAY else -worked


def allowed(jobs: list[tuple[str, str]]) -> Iterator[tuple[tuple[str, str], ...]]:
    for order in permutations(jobs):
        if all(
            order.index((block, "drops")) < order.index((block, "tapping")) for block, _ in order
        ):
            yield order


@pytest.mark.parametrize("seed", range(40))
def test_no_order_of_them_all_does_better(seed: int) -> None:
    ledger, paces, as_of = random_season(seed)
    found = best_order(ledger, paces, as_of)
    jobs = places(found)
    assert sorted(jobs) == sorted(
        (block, task) for block in ledger.plan.blocks for task in ("drops", "tapping")
    )
    days = {(x.block, x.task): x.left / paces[x.task].days[0] for x in found.turns}
    best = min(late_days(ledger, order, days) for order in allowed(jobs))
    assert late_days(ledger, tuple(jobs), days) == pytest.approx(best)
    assert tuple(jobs) in set(allowed(jobs))
    # and what each turn says of itself adds up
    assert max(x.days_over for x in found.turns) == max(0, -int(-best // 1))
