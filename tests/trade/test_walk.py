"""Which lines to walk: Smith 1956 and Graham 1969, held against every order and every split."""

from collections.abc import Callable, Sequence
from itertools import permutations, product
from math import fsum

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldbook.trade.walk import (
    Walk,
    sap_lost_gal,
    share_out,
    smith_order,
    split_longest_first,
    worth_walking,
)

HOURS = st.integers(1, 16).map(lambda quarters: quarters / 4)
LOSSES = st.integers(0, 400).map(float)


@st.composite
def rounds(draw: st.DrawFn, most: int) -> list[Walk]:
    """Lines to walk, in the order of the round."""
    values = draw(st.lists(st.tuples(HOURS, LOSSES), min_size=1, max_size=most))
    return [Walk(number, hours, loss) for number, (hours, loss) in enumerate(values)]


NAIVE: dict[str, Callable[[Sequence[Walk]], list[Walk]]] = {
    "as the round has it": list,
    "greatest loss first": lambda walks: sorted(walks, key=lambda walk: -walk.loses_gal_day),
    "shortest first": lambda walks: sorted(walks, key=lambda walk: walk.hours),
}
"""Orders that a crew without the rule would walk in."""


def lost(parts: Sequence[Sequence[Walk]]) -> float:
    return fsum(map(sap_lost_gal, parts))


def one_by_one(walks: Sequence[Walk], people: int) -> list[list[Walk]]:
    """Each line to whoever is free first."""
    parts: list[list[Walk]] = [[] for _person in range(people)]
    for walk in walks:
        min(parts, key=lambda part: fsum(walk.hours for walk in part)).append(walk)
    return parts


def names(walks: Sequence[Walk]) -> str:
    return " ".join(str(walk.name) for walk in walks)


# --- one person --------------------------------------------------------------------------------


def test_a_morning_by_hand() -> None:
    # Gallons an hour of walking: ridge 60/1.5 = 40, gate 24/0.5 = 48, brook 30/1 = 30
    ridge, gate, brook = Walk("ridge", 1.5, 60), Walk("gate", 0.5, 24), Walk("brook", 1, 30)
    order = smith_order([ridge, brook, gate])
    assert names(order) == "gate ridge brook"
    # A day has 24 h: gate 24 x 0.5, ridge 60 x 2, brook 30 x 3 hours of it
    assert sap_lost_gal(order) == pytest.approx((24 * 0.5 + 60 * 2 + 30 * 3) / 24)
    # The greatest loss first: ridge 60 x 1.5, brook 30 x 2.5, gate 24 x 3
    assert sap_lost_gal([ridge, brook, gate]) == pytest.approx((90 + 75 + 72) / 24)


def test_equals_are_walked_as_they_were_given() -> None:
    assert names(smith_order([Walk("b", 1, 5), Walk("a", 2, 10), Walk("c", 1, 5)])) == "b a c"


def test_what_takes_no_time_goes_first_and_what_loses_nothing_last() -> None:
    walks = [Walk("tight", 1, 0), Walk("leak", 1, 9), Walk("at the door", 0, 1)]
    assert names(smith_order(walks)) == "at the door leak tight"
    assert sap_lost_gal([]) == 0


@given(rounds(7))
@settings(max_examples=30)
def test_no_order_loses_less_than_smith_s(walks: list[Walk]) -> None:
    best = min(sap_lost_gal(order) for order in permutations(walks))
    assert sap_lost_gal(smith_order(walks)) == pytest.approx(best)


@pytest.mark.parametrize("naive", NAIVE)
@given(walks=rounds(40))
def test_nor_does_any_order_a_crew_would_walk_in(naive: str, walks: list[Walk]) -> None:
    assert sap_lost_gal(smith_order(walks)) <= sap_lost_gal(NAIVE[naive](walks)) + 1e-9


# --- several -----------------------------------------------------------------------------------


def test_graham_s_worst_case_for_two() -> None:
    # Graham 1969: 3 3 2 2 2 for two people: longest first 7, the least possible 6
    walks = [Walk(n, hours, 1) for n, hours in enumerate((3, 3, 2, 2, 2))]
    parts = split_longest_first(walks, people=2)
    assert [fsum(walk.hours for walk in part) for part in parts] == [7, 5]
    # In six hours each, 3 3 and 2 2 2 would do it; the quick rule leaves a line of 3 h, and says so
    shared = share_out(walks, people=2, hours=6)
    assert [walk.hours for walk in shared.left] == [3]
    assert [fsum(walk.hours for walk in part) for part in shared.parts] == [5, 4]


@given(rounds(7), st.integers(2, 3))
def test_nobody_walks_much_longer_than_must_be(walks: list[Walk], people: int) -> None:
    """At most 4/3 - 1/(3 m) times the least of every split: Graham 1969."""
    longest = max(
        fsum(walk.hours for walk in part) for part in split_longest_first(walks, people=people)
    )
    least = min(
        max(
            fsum(walk.hours for walk, whose in zip(walks, split, strict=True) if whose == person)
            for person in range(people)
        )
        for split in product(range(people), repeat=len(walks))
    )
    assert least - 1e-9 <= longest <= (4 / 3 - 1 / (3 * people)) * least + 1e-9


def test_more_people_than_lines() -> None:
    parts = split_longest_first([Walk("a", 1, 1)], people=3)
    assert [names(part) for part in parts] == ["a", "", ""]


def test_the_worst_two_lines_are_walked_at_once_by_two() -> None:
    # Longest first gives c to one and a, b to the other: a 10 x 1 + b 10 x 2 + c 1 x 2 = 32.
    # One by one it is a and b at once, then c: 10 + 10 + 1 x 3 = 23.
    walks = [Walk("a", 1, 10), Walk("b", 1, 10), Walk("c", 2, 1)]
    shared = share_out(walks, people=2, hours=8)
    assert [names(part) for part in shared.parts] == ["a c", "b"]
    assert lost(shared.parts) == pytest.approx(23 / 24)
    assert lost([smith_order(p) for p in split_longest_first(walks, people=2)]) == 32 / 24


@pytest.mark.parametrize(
    ("values", "ways", "gallon_hours"),
    # Hours and gallons a day of a, b, c, d; two people. Each way alone loses least once.
    [
        # Longest first d | b c, then a: a 1 x 1 + d 2 x 5, b 2 x 2 + c 1 x 4; all others 20
        ([(1, 1), (2, 2), (2, 1), (4, 2)], "a d | b c", 19),
        # Smith's order b c a: b 1 x 1 + a 1 x 3, c 2 x 2; all others 9
        ([(2, 1), (1, 1), (2, 2)], "b a | c", 8),
        # Greatest loss first c | d b a: c 6 x 3, d 3 x 1 + b 2 x 2 + a 1 x 4; all others 32
        ([(2, 1), (1, 2), (3, 6), (1, 3)], "c | d b a", 29),
        # Shortest first c b | d a: c 2 x 1 + b 2 x 3, d 1 x 1 + a 2 x 5; all others 20
        ([(4, 2), (2, 2), (1, 2), (1, 1)], "c b | d a", 19),
        # As given a c | b d, walked c first: c 4 x 2 + a 1 x 3, d 2 x 1 + b 2 x 3; others 20, 21
        ([(1, 1), (2, 2), (2, 4), (1, 2)], "c a | d b", 19),
    ],
)
def test_each_way_of_parting_lines_may_be_the_best(
    values: list[tuple[float, float]], ways: str, gallon_hours: float
) -> None:
    walks = [Walk(name, hours, loss) for name, (hours, loss) in zip("abcd", values, strict=False)]
    shared = share_out(walks, people=2, hours=8)
    assert " | ".join(map(names, shared.parts)) == ways
    assert lost(shared.parts) == pytest.approx(gallon_hours / 24)


def test_spare_hours_go_to_what_was_passed_over() -> None:
    # Smith's order is e a d b c. Longest first, all five take e a c (7 h) and b d: c is passed
    # over. One by one the other four lose less, e b (6 h) and a d (4 h): there is time for c, and
    # none for f after that.
    walks = [Walk("a", 2, 3), Walk("b", 3, 2), Walk("c", 2, 1), Walk("d", 2, 3), Walk("e", 3, 6)]
    drip = Walk("f", 2, 0.5)
    everything = split_longest_first(smith_order(walks), people=2)
    assert [names(part) for part in everything] == ["e a c", "b d"]
    shared = share_out([*walks, drip], people=2, hours=6)
    assert [names(part) for part in shared.parts] == ["e b", "a d c"]
    assert shared.left == (drip,)


def test_one_by_one_may_be_too_long_for_the_day() -> None:
    # One by one a, b then c: three hours. Who has two gets the split that fits.
    walks = [Walk("a", 1, 10), Walk("b", 1, 10), Walk("c", 2, 1)]
    shared = share_out(walks, people=2, hours=2)
    assert sorted(names(part) for part in shared.parts) == ["a b", "c"]
    assert shared.left == ()


@pytest.mark.parametrize("naive", NAIVE)
@given(walks=rounds(25), people=st.integers(1, 4))
def test_never_more_is_lost_than_by_a_naive_order(
    naive: str, walks: list[Walk], people: int
) -> None:
    """Whether the lines are split first, or each goes to whoever is free."""
    shared = share_out(walks, people=people, hours=1000)
    halves = split_longest_first(smith_order(walks), people=people)
    assert lost(shared.parts) <= lost([NAIVE[naive](part) for part in halves]) + 1e-9
    assert lost(shared.parts) <= lost(one_by_one(NAIVE[naive](walks), people)) + 1e-9


@given(rounds(6), st.integers(2, 3))
def test_of_a_few_lines_it_is_near_the_least_of_every_split(walks: list[Walk], people: int) -> None:
    """Within 21 % of it: Smith's order one by one never loses more (Kawaguchi & Kyo 1986,
    from memory)."""
    least = min(
        lost(
            [
                smith_order([w for w, whose in zip(walks, split, strict=True) if whose == person])
                for person in range(people)
            ]
        )
        for split in product(range(people), repeat=len(walks))
    )
    shared = share_out(walks, people=people, hours=1000)
    assert least - 1e-9 <= lost(shared.parts) <= (1 + 2**0.5) / 2 * least + 1e-9


@given(rounds(25), st.integers(1, 4), st.integers(0, 40).map(lambda quarters: quarters / 4))
def test_every_line_once_and_nobody_too_long(walks: list[Walk], people: int, hours: float) -> None:
    shared = share_out(walks, people=people, hours=hours)
    assert len(shared.parts) == people
    walked = [walk for part in shared.parts for walk in part]
    assert sorted([*walked, *shared.left]) == sorted(walks)
    assert all(fsum(walk.hours for walk in part) <= hours + 1e-6 for part in shared.parts)
    assert list(shared.left) == smith_order(shared.left)
    assert all(list(part) == smith_order(part) for part in shared.parts)
    # What was passed over did not fit when its turn came, nor does it now.
    first_back = min(fsum(walk.hours for walk in part) for part in shared.parts)
    assert all(first_back + walk.hours > hours + 1e-6 for walk in shared.left)
    for walk in shared.left:
        longer = split_longest_first([*walked, walk], people=people)
        assert max(fsum(walk.hours for walk in part) for part in longer) > hours + 1e-6


def test_a_long_line_is_passed_over_for_shorter_ones() -> None:
    walks = [Walk("near", 1, 90), Walk("far", 3, 200), Walk("by the door", 0.5, 10)]
    shared = share_out(walks, people=1, hours=2)
    assert names(shared.parts[0]) == "near by the door"
    assert names(shared.left) == "far"


def test_hours_that_are_just_enough() -> None:
    walks = [Walk(n, 0.1, 10 - n) for n in range(3)]  # 0.1 + 0.1 + 0.1 is a hair over 0.3
    assert share_out(walks, people=1, hours=0.3).left == ()
    assert len(share_out(walks, people=1, hours=0.29).left) == 1
    assert share_out(walks, people=2, hours=0).parts == ((), ())


# --- where to stop -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("hours", "worth"),
    # 10 gal a day for 7 days at 0.50 are 35.00: an hour and three quarters at 20.00
    [(1.75, True), (1.76, False), (0.1, True)],
)
def test_a_walk_must_bring_what_it_costs(hours: float, worth: bool) -> None:
    walk = Walk("ridge", hours, 10)
    assert worth_walking(walk, value_per_gal=0.5, wage_per_hour=20, days=7) is worth


@given(rounds(12))
def test_what_is_worth_it_comes_before_what_is_not(walks: list[Walk]) -> None:
    told = [
        worth_walking(walk, value_per_gal=0.5, wage_per_hour=20, days=7)
        for walk in smith_order(walks)
    ]
    assert told == sorted(told, reverse=True)


# --- what cannot be ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: smith_order([Walk("a", -1, 1)]),
        lambda: sap_lost_gal([Walk("a", 1, -1)]),
        lambda: sap_lost_gal([Walk("a", float("inf"), 1)]),
        lambda: split_longest_first([], people=0),
        lambda: split_longest_first([Walk("a", float("nan"), 1)], people=1),
        lambda: share_out([], people=1, hours=-1),
        lambda: share_out([], people=1001, hours=1),
        lambda: worth_walking(Walk("a", -1, 1), value_per_gal=1, wage_per_hour=1, days=1),
        lambda: worth_walking(Walk("a", 1, 1), value_per_gal=-1, wage_per_hour=1, days=1),
        lambda: worth_walking(Walk("a", 1, 1), value_per_gal=1, wage_per_hour=-1, days=1),
        lambda: worth_walking(Walk("a", 1, 1), value_per_gal=1, wage_per_hour=1, days=-1),
    ],
)
def test_values_out_of_range_are_refused(wrong: Callable[[], object]) -> None:
    with pytest.raises(ValueError, match="out of range"):
        wrong()
