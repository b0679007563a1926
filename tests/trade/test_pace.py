"""Days left, what each must bring, and when work will be done, if days to come are like days past.

Monday is 1 February 2027 (a printed calendar).
"""

from collections import defaultdict
from collections.abc import Callable, Sequence
from datetime import date, datetime, time, timedelta
from fractions import Fraction
from itertools import islice, pairwise
from math import ceil

import numpy as np
import pytest
from dateutil.rrule import DAILY, rrule, weekday
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import beta, binom, gamma, nbinom, poisson

from fieldbook.trade.pace import (
    MOST_LOST,
    WEEK,
    day_number,
    latest_start,
    needed_a_day,
    person_hours,
    quantile,
    resample_days,
    shrunk_rate,
    shrunk_share,
    workdays_after,
    working_days,
)

MON_TO_FRI = "MO,TU,WE,TH,FR"
MON_TO_SAT = "MO,TU,WE,TH,FR,SA"


def feb(day: int) -> date:
    return date(2027, 2, day)


@pytest.mark.parametrize(
    ("first", "last", "workdays", "days"),
    [
        #    February 2027
        # Mo Tu We Th Fr Sa Su
        #  1  2  3  4  5  6  7
        #  8  9 10 11 12 13 14
        # 15 16 17 18 19 20 21
        # 22 23 24 25 26 27 28
        (feb(1), feb(28), "MO,TU,WE,TH,FR,SA,SU", 28),
        (feb(1), feb(28), MON_TO_SAT, 24),
        (feb(1), feb(28), "MO,TU,WE,TH,FR", 20),
        (feb(1), feb(28), "SU", 4),
        (feb(9), feb(20), MON_TO_SAT, 11),  # 9 10 11 12 13, 15 16 17 18 19 20
        (feb(9), feb(9), "TU", 1),  # first and last both count
        (feb(9), feb(9), "MO", 0),
        (feb(13), feb(15), "MO,TU,WE,TH,FR", 1),  # Saturday to Monday
        (feb(10), feb(9), MON_TO_SAT, 0),
        (date(2026, 12, 28), date(2027, 1, 3), MON_TO_SAT, 6),  # over the turn of the year
    ],
)
def test_days_counted_on_the_wall_calendar(
    first: date, last: date, workdays: str, days: int
) -> None:
    assert working_days(first, last, workdays) == days


@given(
    st.dates(date(2020, 1, 1), date(2040, 12, 31)),  # leap years among them
    st.integers(-5, 400),
    st.lists(st.sampled_from(WEEK), min_size=1, unique=True),
)
def test_days_by_a_daily_rule_and_one_by_one(first: date, length: int, week: list[str]) -> None:
    last = first + timedelta(days=length)
    days = [first + timedelta(days=n) for n in range(length + 1)]
    one_by_one = [day for day in days if WEEK[day.weekday()] in week]
    rule = rrule(
        DAILY,
        byweekday=[weekday(WEEK.index(name)) for name in week],
        dtstart=datetime.combine(first, time()),
        until=datetime.combine(last, time()),
    )
    assert [moment.date() for moment in rule] == one_by_one
    assert working_days(first, last, ",".join(week)) == len(one_by_one)


@pytest.mark.parametrize(
    ("left", "days", "needed"),
    [
        (257, 11, 24),  # 23.4 a day would leave some over
        (253, 11, 23),
        (1, 11, 1),
        (0, 11, 0),
        (257, 1, 257),
        (257, 0, None),
        (0, 0, None),
        (257, -3, None),
    ],
)
def test_what_each_day_must_bring(left: int, days: int, needed: int | None) -> None:
    assert needed_a_day(left, days) == needed


# --- days off, and days by number -----------------------------------------------------------------


def test_days_off_are_not_counted() -> None:
    # 9 10 11 12 13, 15 16 17 18 19 20; the crew is away on the 11th, on Sunday, and in March.
    away = [feb(11), feb(14), date(2027, 3, 1)]
    assert working_days(feb(9), feb(20), MON_TO_SAT, days_off=away) == 10


def test_the_working_days_after_a_friday() -> None:
    days = workdays_after(feb(12), workdays=MON_TO_FRI, days_off={feb(16)})
    assert list(islice(days, 4)) == [feb(15), feb(17), feb(18), feb(19)]


def test_the_calendar_ends_on_a_friday_in_9999() -> None:
    days = workdays_after(date(9999, 12, 28), workdays="WE,FR,SA")
    assert list(days) == [date(9999, 12, 29), date(9999, 12, 31)]
    assert list(workdays_after(date.max, workdays=MON_TO_SAT)) == []


@pytest.mark.parametrize(("number", "day"), [(0, 13), (1, 15), (2, 16), (3, 18), (5, 20), (6, 22)])
def test_days_by_number_after_a_saturday_with_the_17th_off(number: int, day: int) -> None:
    assert day_number(feb(13), number, workdays=MON_TO_SAT, days_off=[feb(17)]) == feb(day)


@pytest.mark.parametrize(
    ("wanted", "days_needed", "start"),
    [
        (20, 0, 20),
        (20, 1, 20),  # a Saturday's work begins and ends on it
        (21, 1, 20),  # nobody works on Sunday
        (21, 0, 21),
        (20, 3, 18),
        (20, 4, 16),  # the 17th is off
        (17, 1, 16),
        (20, 6, 13),
    ],
)
def test_the_last_day_to_begin(wanted: int, days_needed: int, start: int) -> None:
    begin = latest_start(
        feb(wanted), days_needed=days_needed, workdays=MON_TO_SAT, days_off=[feb(17)]
    )
    assert begin == feb(start)


weeks = st.lists(st.sampled_from(WEEK), min_size=1, unique=True).map(",".join)
in_2027 = st.dates(date(2027, 1, 1), date(2027, 12, 31))


@given(in_2027, st.integers(1, 60), weeks, st.sets(in_2027, max_size=40))
def test_days_by_number_are_the_days_counted(
    day: date, number: int, workdays: str, away: set[date]
) -> None:
    tomorrow = day + timedelta(days=1)
    there = day_number(day, number, workdays=workdays, days_off=away)
    assert working_days(tomorrow, there, workdays, days_off=away) == number
    assert working_days(there, there, workdays, days_off=away) == 1
    assert there == list(islice(workdays_after(day, workdays=workdays, days_off=away), number))[-1]


@given(in_2027, st.integers(1, 60), weeks, st.sets(in_2027, max_size=40))
def test_begun_on_the_last_day_work_is_done_in_time_and_a_day_later_it_is_not(
    wanted: date, days_needed: int, workdays: str, away: set[date]
) -> None:
    start = latest_start(wanted, days_needed=days_needed, workdays=workdays, days_off=away)
    later = start + timedelta(days=1)
    assert working_days(start, wanted, workdays, days_off=away) == days_needed
    assert working_days(later, wanted, workdays, days_off=away) == days_needed - 1


# --- rates ----------------------------------------------------------------------------------------


def test_hours_of_a_season() -> None:
    # Huyler 2000, USDA NE-712: 4.74 min a tap in 1998, 9.60 in 1975; the last by arithmetic.
    assert person_hours(taps=10_000) == pytest.approx(790)
    assert person_hours(taps=1_000) == pytest.approx(79.0)
    assert person_hours(taps=10_000, minutes_per_tap=9.60) == pytest.approx(1_600)


@pytest.mark.parametrize(
    ("units", "hours", "rate"),
    [
        (0, 0, 45),  # 45 taps an hour before anything is recorded: from memory
        (300, 8, 41.25),  # (300 + 360) / 16
        (3_000, 80, 38.1818),  # the crew's own 37.5 an hour comes through
        (0, 8, 22.5),  # a day of nothing halves it
    ],
)
def test_the_default_fades_as_the_record_grows(units: float, hours: float, rate: float) -> None:
    got = shrunk_rate(units=units, hours=hours, default_rate=45, prior_hours=8)
    assert got == pytest.approx(rate, abs=1e-4)


def mean_by(weight: Callable[[float], float], top: float) -> float:
    """The mean of what weighs so much at each value, by numerical integration."""
    total = quad(weight, 0, top, epsabs=0)[0]
    return float(quad(lambda value: value * weight(value), 0, top, epsabs=0)[0] / total)


@pytest.mark.parametrize(("units", "hours"), [(0, 2.0), (35, 1.0), (260, 6.5)])
def test_a_rate_is_the_mean_of_prior_times_likelihood(units: int, hours: float) -> None:
    # Bayes: a gamma prior of 45 an hour worth 2 hours, Poisson counts.
    def weight(rate: float) -> float:
        return float(gamma.pdf(rate, 90, scale=1 / 2) * poisson.pmf(units, rate * hours))

    got = shrunk_rate(units=units, hours=hours, default_rate=45, prior_hours=2)
    assert got == pytest.approx(mean_by(weight, 120), rel=1e-6)


@given(st.floats(0, 1e4), st.floats(0.1, 1e3), st.floats(0.1, 500), st.floats(0, 100))
def test_a_rate_lies_between_record_and_default(
    units: float, hours: float, default: float, prior: float
) -> None:
    rate = shrunk_rate(units=units, hours=hours, default_rate=default, prior_hours=prior)
    low, high = sorted([units / hours, default])
    assert low * (1 - 1e-9) <= rate <= high * (1 + 1e-9)


@pytest.mark.parametrize(
    ("lost", "days", "share"),
    [
        (0, 0, 0.2),
        (3, 10, 0.25),  # (3 + 2) / 20
        (0, 30, 0.05),
        (30, 30, 0.80),
        (990, 990, MOST_LOST),  # 0.992: but some day will be worked
    ],
)
def test_days_lost(lost: int, days: int, share: float) -> None:
    got = shrunk_share(lost=lost, days=days, default_share=0.2, prior_days=10)
    assert got == pytest.approx(share)


def test_without_a_prior_the_record_alone_counts() -> None:
    assert shrunk_rate(units=120, hours=4, default_rate=45, prior_hours=0) == 30
    assert shrunk_share(lost=1, days=4, default_share=1, prior_days=0) == 0.25


@pytest.mark.parametrize(("lost", "days"), [(0, 4), (3, 10), (9, 10)])
def test_a_share_is_the_mean_of_prior_times_likelihood(lost: int, days: int) -> None:
    # Bayes: a beta prior of 0.2 worth 10 days, binomial counts.
    def weight(share: float) -> float:
        return float(beta.pdf(share, 2, 8) * binom.pmf(lost, days, share))

    got = shrunk_share(lost=lost, days=days, default_share=0.2, prior_days=10)
    assert got == pytest.approx(mean_by(weight, 1), rel=1e-6)


# --- days to come ---------------------------------------------------------------------------------


def test_three_walks_by_hand() -> None:
    # Random(1) says .134 .847 .764 .255, then .495 .449, then .652 .789. A fifth of the days is
    # lost: below .4 a day is like the first recorded, below .8 like the second, from there lost.
    #   first walk   30  0 50 30   50 on day 3, 100 on day 4
    #   second walk  50 50         50 on day 1, 100 on day 2
    #   third walk   50 50         the same
    reached = resample_days(goals=[50, 100], days=[30, 50], lost_share=0.2, draws=3, seed=1)
    assert reached == [(1, 1, 3), (2, 2, 4)]


def test_the_seed_alone_decides() -> None:
    def reached(seed: int) -> list[tuple[int, ...]]:
        return resample_days(goals=[900], days=[12, 40, 75], seed=seed)

    assert reached(7) == reached(7)
    assert reached(7) != reached(8)


@given(st.integers(1, 5_000), st.integers(5, 900), st.integers(1, 4))
def test_equal_days_give_the_days_left_exactly(left: int, daily: int, recorded: int) -> None:
    # In tenths: 0.1 ten times is not 1 as floats add up.
    [days] = resample_days(goals=[left / 10], days=[daily / 10] * recorded, draws=3)
    assert days == (ceil(Fraction(left, daily)),) * 3


@pytest.mark.parametrize(("goal", "days"), [(0.3, 3), (1.0, 10), (1.01, 11), (99.9, 999)])
def test_days_of_a_tenth(goal: float, days: int) -> None:
    assert resample_days(goals=[goal], days=[0.1], draws=1) == [(days,)]


def test_what_is_done_already_was_reached_on_day_0() -> None:
    goals = [-20, 0, 1, 1, 41]
    reached = resample_days(goals=goals, days=[40], draws=2)
    assert reached == [(0, 0), (0, 0), (1, 1), (1, 1), (2, 2)]
    assert resample_days(goals=[], days=[40]) == []


@pytest.mark.parametrize(("most_days", "day"), [(11, 10), (10, 10), (9, 10), (5, 6), (1, 2)])
def test_a_walk_is_given_up_after_the_most_days(most_days: int, day: int) -> None:
    goals = [1, 400, 1e9]
    reached = resample_days(goals=goals, days=[40], draws=1, most_days=most_days)
    assert reached == [(1,), (day,), (most_days + 1,)]


@given(
    st.lists(st.integers(0, 2_000), min_size=1, max_size=5).map(sorted),
    st.lists(st.integers(20, 400), min_size=1, max_size=8),
    st.integers(0, 99),
)
def test_no_walk_is_faster_than_the_best_day_or_slower_than_the_worst(
    goals: list[int], days: list[int], seed: int
) -> None:
    reached = resample_days(goals=goals, days=days, draws=20, seed=seed)
    for goal, numbers in zip(goals, reached, strict=True):
        assert len(numbers) == 20
        assert ceil(goal / max(days)) <= numbers[0]
        assert list(numbers) == sorted(numbers)
        assert numbers[-1] <= ceil(goal / min(days))
    for earlier, later in pairwise(reached):
        assert all(a <= b for a, b in zip(earlier, later, strict=True))


def farthest(numbers: Sequence[int], by_day: Callable[[int], float]) -> float:
    """How far the share of walks done by a day is from its chance, at worst."""
    return max(
        abs(sum(number <= day for number in numbers) / len(numbers) - by_day(day))
        for day in range(max(numbers) + 1)
    )


ONE_IN_A_THOUSAND = (np.log(2 / 0.001) / 2 / 2_000) ** 0.5
"""Dvoretzky-Kiefer-Wolfowitz: 2,000 draws stray farther than this, 0.044, once in 1,000 times."""


@pytest.mark.parametrize("lost_share", [0.05, 0.2, 0.5, MOST_LOST])
def test_days_lost_before_ten_equal_days_are_done(lost_share: float) -> None:
    # Days lost before the tenth that is not: negative binomial (scipy).
    [numbers] = resample_days(goals=[400], days=[40], lost_share=lost_share)
    lost = nbinom(10, 1 - lost_share)
    assert farthest(numbers, lambda day: float(lost.cdf(day - 10))) < ONE_IN_A_THOUSAND


@pytest.mark.parametrize("lost_share", [0.0, 0.15, 0.3])
def test_walks_spread_as_all_days_put_together_say(lost_share: float) -> None:
    # Every way the days can follow one another, with its chance: a convolution in fractions.
    days, goal = [120, 310, 250, 90, 250], 1_700
    lost = Fraction(str(lost_share))
    under = {0: Fraction(1)}
    done_by = [0.0]
    while done_by[-1] < 1 - 1e-12:
        after: defaultdict[int, Fraction] = defaultdict(Fraction)
        for done, chance in under.items():
            after[done] += chance * lost
            for day in days:
                after[done + day] += chance * (1 - lost) / len(days)
        under = {done: chance for done, chance in after.items() if done < goal}
        done_by.append(1 - float(sum(under.values())))
    [numbers] = resample_days(goals=[goal], days=days, lost_share=lost_share)
    assert farthest(numbers, done_by.__getitem__) < ONE_IN_A_THOUSAND


# --- early, middling, late ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("share", "day"),
    [(0.001, 12), (0.1, 12), (0.11, 13), (0.2, 13), (0.5, 14), (0.51, 15), (0.9, 19), (1, 30)],
)
def test_ten_walks_ranked(share: float, day: int) -> None:
    assert quantile([12, 13, 13, 14, 14, 15, 16, 17, 19, 30], share) == day


@given(
    st.lists(st.integers(0, 60), min_size=1, max_size=200).map(sorted),
    st.sampled_from([0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95, 1.0]),
)
def test_ranks_agree_with_the_inverse_of_the_distribution(ranked: list[int], share: float) -> None:
    assert quantile(ranked, share) == np.quantile(ranked, share, method="inverted_cdf")


# --- what cannot be -------------------------------------------------------------------------------


def one_rate(**changed: float) -> float:
    return shrunk_rate(**{"units": 1, "hours": 1, "default_rate": 45, "prior_hours": 8} | changed)


def one_share(
    lost: int = 0, days: int = 5, default_share: float = 0.2, prior_days: float = 9
) -> float:
    return shrunk_share(lost=lost, days=days, default_share=default_share, prior_days=prior_days)


def one_walk(
    goals: Sequence[float] = (40,),
    days: Sequence[float] = (40,),
    lost_share: float = 0,
    draws: int = 1,
    most_days: int = 1,
) -> object:
    return resample_days(
        goals=goals, days=days, lost_share=lost_share, draws=draws, most_days=most_days
    )


def test_the_edges_of_the_ranges_are_in_them() -> None:
    assert person_hours(taps=0) == 0
    assert one_rate(units=0, hours=0) == 45
    assert one_rate(prior_hours=0) == 1
    assert one_share(default_share=0) == 0
    assert one_share(lost=5, default_share=1) == MOST_LOST
    assert one_share(days=0) == 0.2
    assert one_walk(lost_share=MOST_LOST) == [(2,)]  # lost: given up after the first day
    assert one_walk() == [(1,)]
    assert quantile([3], 1) == 3
    assert day_number(date.max, 0, workdays="MO") == date.max
    assert latest_start(date.min, days_needed=1, workdays="MO") == date.min  # it is a Monday


@pytest.mark.parametrize(
    ("sum_", "named"),
    [
        (lambda: person_hours(taps=-1), "taps -1: out of range, 0 or more"),
        (
            lambda: person_hours(taps=9, minutes_per_tap=0),
            "time 0 min a tap: out of range, above 0",
        ),
        (lambda: one_rate(units=-1), "units -1: out of range, 0 or more"),
        (lambda: one_rate(hours=-0.5), "hours -0.5: out of range, 0 or more"),
        (lambda: one_rate(prior_hours=-1), "prior -1 hours: out of range, 0 or more"),
        (lambda: one_rate(default_rate=0), "default rate 0 an hour: out of range, above 0"),
        (lambda: one_rate(hours=0, prior_hours=0), "record and prior 0 hours: .*, above 0"),
        (lambda: one_rate(units=float("nan")), "units nan: out of range"),
        (lambda: one_rate(hours=float("inf")), "hours inf: out of range, 0 or more"),
        (lambda: one_share(lost=-1), "lost -1 days: out of range, 0 to 5"),
        (lambda: one_share(lost=6), "lost 6 days: out of range, 0 to 5"),
        (lambda: one_share(days=-1), "days -1: out of range, 0 or more"),
        (lambda: one_share(default_share=-0.1), "default share -0.1: out of range, 0 to 1"),
        (lambda: one_share(default_share=1.1), "default share 1.1: out of range, 0 to 1"),
        (lambda: one_share(prior_days=-1), "prior -1 days: out of range, 0 or more"),
        (lambda: one_share(days=0, prior_days=0), "record and prior 0 days: .*, above 0"),
        (lambda: one_walk(days=[]), "recorded days 0: out of range, 1 or more"),
        (lambda: one_walk(days=[40, 0]), "recorded day 0 units: out of range, above 0"),
        (lambda: one_walk(days=[-3, 40]), "recorded day -3 units: out of range, above 0"),
        (lambda: one_walk(lost_share=-0.01), "lost share -0.01: out of range, 0 to 0.95"),
        (lambda: one_walk(lost_share=0.96), "lost share 0.96: out of range, 0 to 0.95"),
        (lambda: one_walk(draws=0), "draws 0: out of range, 1 or more"),
        (lambda: one_walk(most_days=0), "most days 0: out of range, 1 or more"),
        (lambda: one_walk(goals=[40, 39]), r"goals \[40, 39\]: out of range"),
        (lambda: quantile([3], 0), "share 0: out of range, above 0 to 1"),
        (lambda: quantile([3], 1.01), "share 1.01: out of range, above 0 to 1"),
        (lambda: quantile([], 0.5), "ranked numbers 0: out of range, 1 or more"),
        (lambda: working_days(feb(1), feb(2), ""), "workdays '': out of range"),
        (lambda: workdays_after(feb(1), workdays="MO, TU"), "workdays 'MO, TU': out of range"),
        (lambda: day_number(feb(1), -1, workdays="MO"), "days -1: out of range, 0 or more"),
        (lambda: day_number(date.max, 1, workdays="MO"), "days 1: .*, more than .* 9999-12-31"),
        (lambda: latest_start(feb(1), days_needed=-1, workdays="MO"), "days -1: out of range"),
        (lambda: latest_start(date.min, days_needed=2, workdays="MO"), "days 2: .* 0001-01-01"),
    ],
)
def test_what_cannot_be_is_refused_by_name(sum_: Callable[[], object], named: str) -> None:
    with pytest.raises(ValueError, match=named):
        sum_()
