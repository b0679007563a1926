"""Days left and what each must bring. Monday is 1 February 2027 (a printed calendar)."""

from datetime import date, datetime, time, timedelta

import pytest
from dateutil.rrule import DAILY, rrule, weekday
from hypothesis import given
from hypothesis import strategies as st

from fieldbook.trade.pace import WEEK, needed_a_day, working_days

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
