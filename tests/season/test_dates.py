"""Dates as people type them on Tuesday 9 February 2027."""

from datetime import date, datetime, time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldbook.errors import BookError
from fieldbook.season.dates import MONTHS, WEEKDAYS, read_day, read_due, read_time, short_day
from tests.conftest import EAST

TODAY = date(2027, 2, 9)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("2027-02-09", "2027-02-09"),
        ("2027-2-9", "2027-02-09"),
        ("2027/02/09", "2027-02-09"),
        (" 2027 - 02 - 09 ", "2027-02-09"),
        ("8 Feb", "2027-02-08"),
        ("8. feb", "2027-02-08"),
        ("08 FEBRUARY", "2027-02-08"),
        ("8 Feb 2026", "2026-02-08"),
        ("Feb 8", "2027-02-08"),
        ("Feb. 8", "2027-02-08"),
        ("February 8, 2026", "2026-02-08"),
        ("feb 8 2026", "2026-02-08"),
        ("3 sept", "2026-09-03"),
        ("May 1", "2027-05-01"),
        ("", "2027-02-09"),
        ("Today", "2027-02-09"),
        ("now", "2027-02-09"),
        ("yesterday", "2027-02-08"),
        ("mon", "2027-02-08"),
        ("Sunday", "2027-02-07"),
        ("wed", "2027-02-03"),
        ("tue", "2027-02-02"),  # today is Tuesday: the one before
        ("29 Feb 2028", "2028-02-29"),
    ],
)
def test_a_date_that_can_be_read_one_way(typed: str, meant: str) -> None:
    assert read_day(typed, today=TODAY) == date.fromisoformat(meant)


@pytest.mark.parametrize(
    "typed",
    [
        "03/04",
        "3-4",
        "03/04/2027",
        "9.2.2027",
        "27-02-09",
        "9",
        "Feb",
        "2027",
        "Feb 2027",
        "2027-02-29",
        "29 Feb 2027",
        "30 feb",
        "0 feb",
        "32 Jan",
        "2027-13-01",
        "9 Fev",
        "tomorrow",
        "last week",
        "2027-02-09x",
        "🍁",
    ],
)
def test_what_is_no_date_or_could_be_two_is_refused(typed: str) -> None:
    with pytest.raises(BookError, match="one way only") as refused:
        read_day(typed, today=TODAY)
    assert repr(typed) in refused.value.message
    assert "2027-02-09" in refused.value.hint


@pytest.mark.parametrize("typed", ["month", "monkey", "sunny", "9 marble", "9 mayhem"])
def test_a_word_that_only_begins_like_a_day_or_month_is_refused(typed: str) -> None:
    with pytest.raises(BookError):
        read_day(typed, today=TODAY)


@pytest.mark.parametrize(
    ("typed", "today", "meant"),
    [
        ("31 Dec", "2027-01-02", "2026-12-31"),
        ("yesterday", "2027-01-01", "2026-12-31"),
        ("fri", "2027-01-02", "2027-01-01"),
        ("2 Jan", "2026-12-30", "2027-01-02"),
        ("9 Aug", "2027-02-09", "2027-08-09"),  # 181 days on, 184 back
        ("29 Feb", "2028-03-02", "2028-02-29"),
        ("29 Feb", "2027-12-01", "2028-02-29"),
        ("29 Feb", "2027-02-09", "2028-02-29"),
        ("Feb 29", "2029-01-15", "2028-02-29"),
        ("yesterday", "2028-03-01", "2028-02-29"),
    ],
)
def test_without_a_year_the_nearest_date_is_meant(typed: str, today: str, meant: str) -> None:
    assert read_day(typed, today=date.fromisoformat(today)) == date.fromisoformat(meant)


def test_a_29_february_years_away_is_not_guessed() -> None:
    with pytest.raises(BookError):
        read_day("29 Feb", today=date(2026, 2, 9))


@pytest.mark.parametrize(
    ("typed", "there"),
    [
        *(("1900-01-01", True), ("31 Dec 2999", True)),
        *(("1899-12-31", False), ("3000-01-01", False), ("9 Feb 0027", False)),
    ],
)
def test_a_day_is_of_a_year_that_a_season_may_have(typed: str, there: bool) -> None:
    if there:
        assert read_day(typed, today=TODAY).year in (1900, 2999)
        return
    with pytest.raises(BookError, match=f"^'{typed}' is not a day of our times."):
        read_day(typed, today=TODAY)


@given(st.dates(date(2000, 1, 1), date(2099, 12, 31)))
def test_every_day_can_be_written_in_each_form(day: date) -> None:
    month = MONTHS[day.month - 1]
    forms = [day.isoformat(), f"{day.day} {month} {day.year}", f"{month} {day.day}, {day.year}"]
    assert {read_day(form, today=TODAY) for form in forms} == {day}
    assert read_day(f"{day.day} {month}", today=day) == day


@given(st.dates(date(2000, 1, 1), date(2099, 12, 31)), st.sampled_from(WEEKDAYS))
def test_a_day_of_the_week_is_the_last_one_before_today(today: date, name: str) -> None:
    meant = read_day(name, today=today)
    assert 1 <= (today - meant).days <= 7
    assert WEEKDAYS[meant.weekday()] == name


# --- times of the day --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("16:30", (16, 30)),
        ("16.30", (16, 30)),
        ("1630", (16, 30)),
        ("16h30", (16, 30)),
        ("16H30", (16, 30)),
        (" 16 : 30 ", (16, 30)),
        ("16", (16, 0)),
        ("8:05", (8, 5)),
        ("805", (8, 5)),
        ("8", (8, 0)),
        ("0", (0, 0)),
        ("00:00", (0, 0)),
        ("23:59", (23, 59)),
    ],
)
def test_times_that_can_be_read(typed: str, meant: tuple[int, int]) -> None:
    due = read_time(typed, TODAY, EAST)
    assert (due.date(), due.tzinfo) == (TODAY, EAST)
    assert (due.hour, due.minute, due.second) == (*meant, 0)


@pytest.mark.parametrize(
    "typed",
    [
        *("", " ", "dusk", "noon", "soon"),
        *("24", "24:00", "25:10", "16:60", "1660", "99"),  # no such hour, no such minute
        *("16:3", "16:300", "16:30:00", "16:", ":30", "h30", "163000"),
        *("4:30 pm", "4 pm", "16:30pm"),  # the clock has 24 hours
        *("-1", "+4", "16-30", "1e1"),
    ],
)
def test_times_that_cannot_be_read_one_way_only(typed: str) -> None:
    with pytest.raises(BookError) as refusal:
        read_time(typed, TODAY, EAST)
    assert refusal.value.message == f"{typed!r} is not a time of the day."
    assert refusal.value.hint == "Write it as 16:30."


@given(st.times())
def test_every_minute_can_be_written_in_each_form(minute: time) -> None:
    forms = [f"{minute:%H:%M}", f"{minute:%H.%M}", f"{minute:%H%M}", f"{minute:%Hh%M}"]
    forms += [f"{minute.hour}:{minute:%M}"]
    meant = datetime.combine(TODAY, time(minute.hour, minute.minute), EAST)
    assert {read_time(form, TODAY, EAST) for form in forms} == {meant}


def test_a_short_day_names_the_month() -> None:
    assert short_day(date(2027, 2, 9)) == "Tue 9 Feb"
    assert short_day(date(2026, 12, 31)) == "Thu 31 Dec"


# Tuesday 9 February 2027: a repair promised for Friday is due on the 12th, not last week.
@pytest.mark.parametrize(
    ("typed", "due"),
    [
        ("fri", date(2027, 2, 12)),
        ("Monday", date(2027, 2, 15)),
        ("tue", date(2027, 2, 9)),
        ("12 Feb", date(2027, 2, 12)),
        ("today", date(2027, 2, 9)),
    ],
)
def test_a_day_a_repair_is_due_lies_ahead(typed: str, due: date) -> None:
    assert read_due(typed, today=date(2027, 2, 9)) == due
