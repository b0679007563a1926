"""One crew and its jobs: Lawler 1973 (1|prec|Lmax), Jackson 1955, held against every order.

Neither prints numbers for a sugarbush: what they prove, that no order is better, is tried out.
"""

from itertools import permutations
from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldbook.trade.schedule import Job, finish_days, greatest_lateness, jackson, lawler


def names(order: list[Job]) -> str:
    return " ".join(str(job.name) for job in order)


def test_february_on_two_blocks() -> None:
    # Ledge runs first, so it is wanted first; nothing is tapped on a line that still lies down.
    jobs = [
        Job("creek-wire", 2, 12),
        Job("creek-tap", 4, 14, after=("creek-wire",)),
        Job("ledge-wire", 3, None),
        Job("ledge-tap", 5, 8, after=("ledge-wire",)),
    ]
    order = lawler(jobs)
    assert names(order) == "ledge-wire ledge-tap creek-wire creek-tap"
    assert finish_days(order) == {
        "ledge-wire": 3,
        "ledge-tap": 8,
        "creek-wire": 10,
        "creek-tap": 14,
    }
    assert greatest_lateness(order) == 0
    # By date alone what has no date comes last, and Ledge would be tapped before it has wire.
    assert names(jackson(jobs)) == "ledge-tap creek-wire creek-tap ledge-wire"


def test_half_a_day_late() -> None:
    order = lawler([Job("pull", 2.5, 4), Job("wash", 2, 2)])
    assert names(order) == "wash pull"
    assert greatest_lateness(order) == 0.5


def test_tenths_of_days_add_up_in_any_order() -> None:
    # One after the other as floats add up, 0.1 + 0.2 + 0.3 is more than 0.3 + 0.2 + 0.1.
    jobs = [Job("wire", 0.1, 0.6), Job("drops", 0.2, 0.6), Job("tap", 0.3, 0.6)]
    assert {greatest_lateness(order) for order in permutations(jobs)} == {0}


def test_early_is_less_than_nothing_late() -> None:
    assert greatest_lateness([Job("pull", 1, 4), Job("wash", 2, 4)]) == -1


def test_work_that_was_due_before_today() -> None:
    assert greatest_lateness(lawler([Job("pull", 1, -3)])) == 4


def test_equals_stay_as_they_were_given() -> None:
    jobs = [Job("d", 1, 5), Job("n", 1, None), Job("a", 1, 5), Job("m", 1, None), Job("c", 1, 5)]
    assert names(lawler(jobs)) == names(jackson(jobs)) == "d a c n m"


def test_what_was_done_before_is_not_waited_for() -> None:
    assert names(lawler([Job("tap", 1, 2, after=("drops", "wire"))])) == "tap"


def test_without_dates_nothing_is_late() -> None:
    jobs = [Job("tap", 1, None, after=("wire",)), Job("wire", 1, None)]
    assert names(lawler(jobs)) == "wire tap"
    assert greatest_lateness(lawler(jobs)) == -inf


def test_nothing_to_do() -> None:
    assert lawler([]) == jackson([]) == []
    assert finish_days([]) == {}
    assert greatest_lateness([]) == -inf


def test_a_job_of_no_days() -> None:
    assert finish_days([Job("look", 0, 1), Job("tap", 2, 3)]) == {"look": 0, "tap": 2}


@pytest.mark.parametrize(
    ("waits", "circle"),
    [
        ({"wire": ["wire"]}, "wire after wire"),
        ({"wire": ["tap"], "tap": ["wire"]}, "wire after tap after wire"),
        # Drops come before the circle and pulling after it; neither is in it.
        (
            {"drops": [], "tap": ["leaks", "drops"], "wire": ["tap"], "leaks": ["wire"]}
            | {"pull": ["tap"]},
            "tap after leaks after wire after tap",
        ),
    ],
)
def test_a_circle_is_named(waits: dict[str, list[str]], circle: str) -> None:
    jobs = [Job(name, 1, 5, tuple(after)) for name, after in waits.items()]
    with pytest.raises(ValueError, match=f"in a circle: {circle}$"):
        lawler(jobs)


def test_what_cannot_be_is_refused_by_name() -> None:
    with pytest.raises(ValueError, match=r"job tap -0\.5 days: out of range, 0 or more"):
        finish_days([Job("tap", -0.5, 3)])
    with pytest.raises(ValueError, match="job tap: out of range, a name is given once"):
        greatest_lateness([Job("tap", 1, 3), Job("tap", 1, 4)])


# --- against every order --------------------------------------------------------------------------


@st.composite
def some_jobs(draw: st.DrawFn, *, waiting: bool) -> list[Job]:
    """Up to six jobs; each may wait for some of those with a lower number, in mixed order."""
    count = draw(st.integers(1, 6))
    jobs = []
    for number in range(count):
        earlier = st.sets(st.integers(0, number - 1)) if waiting and number else st.just(set())
        jobs.append(
            Job(
                number,
                days=draw(st.integers(0, 9)),
                due=draw(st.none() | st.integers(-5, 30)),
                after=tuple(sorted(draw(earlier))),
            )
        )
    return draw(st.permutations(jobs))


def kept(order: tuple[Job, ...] | list[Job]) -> bool:
    """Whether every job comes after all it waits for."""
    place = {job.name: number for number, job in enumerate(order)}
    return all(place[name] < place[job.name] for job in order for name in job.after)


@given(some_jobs(waiting=True))
def test_no_order_that_may_be_is_less_late(jobs: list[Job]) -> None:
    order = lawler(jobs)
    assert sorted(order) == sorted(jobs)
    assert kept(order)
    least = min(greatest_lateness(other) for other in permutations(jobs) if kept(other))
    assert greatest_lateness(order) == least


@given(some_jobs(waiting=False))
def test_where_no_job_waits_both_are_one_and_the_best(jobs: list[Job]) -> None:
    assert lawler(jobs) == jackson(jobs)
    least = min(greatest_lateness(other) for other in permutations(jobs))
    assert greatest_lateness(jackson(jobs)) == least


@given(some_jobs(waiting=True))
def test_a_day_more_for_every_date_is_a_day_less_late(jobs: list[Job]) -> None:
    eased = [job._replace(due=None if job.due is None else job.due + 1) for job in jobs]
    assert greatest_lateness(lawler(eased)) == greatest_lateness(lawler(jobs)) - 1
    assert [job.name for job in lawler(eased)] == [job.name for job in lawler(jobs)]
