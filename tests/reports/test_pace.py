"""What the crew does on a day: the record as far as it goes, then the book's defaults.

February 2027 begins on a Monday; Quillby Hollow works from Monday to Saturday.
"""

from collections.abc import Sequence
from datetime import date
from pathlib import Path

import pytest

from fieldbook.book.book import Book
from fieldbook.book.entry import Count
from fieldbook.reports.pace import Pace, pace_of, people_a_day
from fieldbook.season.season import Season
from tests.conftest import DESK, NOW, PLAN, count
from tests.reports.helpers import rules

SATURDAY = date(2027, 2, 6)


def pace(season: Season, task: str = "tapping", as_of: date = SATURDAY) -> Pace:
    return pace_of(season, season.plan.find_task(task), as_of)


def feb(day: int, units: int, who: str = "Oda", *, hours: float | None = None) -> Count:
    return count("Creek/Ford", "tapping", units, who=who, day=f"2027-02-{day:02}", hours=hours)


# --- the rate ----------------------------------------------------------------------------------


def test_a_rate_begins_at_the_default_and_goes_over_to_the_record(season: Season) -> None:
    season.record(*rules(rate_taps=45, rate_prior_hours=20))
    assert pace(season).rate_per_hour == 45
    season.record(feb(1, 100, hours=2), feb(1, 20), feb(2, 0, hours=3))
    # (100 + 45 x 20) / (2 + 20); what has no hours, and hours of nothing, tell of no rate
    told = pace(season)
    assert told.rate_per_hour == pytest.approx(1000 / 22)
    assert (told.hours, told.rate_default) == (2, 45)


def test_with_no_weight_on_the_default_the_record_alone_counts(season: Season) -> None:
    season.record(*rules(rate_taps=45, rate_prior_hours=0))
    assert pace(season).rate_per_hour == 45  # of what else?
    season.record(feb(1, 100, hours=2))
    assert pace(season).rate_per_hour == 50


@pytest.mark.parametrize(
    ("task", "setting", "rate"),
    [
        ("drops", "rate_drops", 31.0),
        ("tapping", "rate_taps", 31.0),
        ("tensioning", "rate_ties", 31.0),
        ("pulling", "rate_spouts", 31.0),
        # Readings are of lines, walked past by the tap: 257 taps on 5 lines are 51.4 a line.
        ("leaks", "rate_readings", 31 / 51.4),
    ],
)
def test_defaults_by_what_is_counted(season: Season, task: str, setting: str, rate: float) -> None:
    season.record(*rules(**{setting: 31}))
    assert pace(season, task).rate_default == pytest.approx(rate)


# --- days and people ---------------------------------------------------------------------------


def test_before_anything_is_recorded_days_are_made_of_defaults(season: Season) -> None:
    season.record(*rules(rate_taps=45, hours_a_day=6, lost_days_pct=15))
    told = pace(season)
    assert told.crew == 2  # of three on the list: nobody knows how many will come
    assert told.days == (540.0,) * 5  # 45 x 6 x 2
    assert (told.days_recorded, told.days_before, told.days_default) == (0, 0, 5)
    assert (told.lost, told.workdays) == (0, 0)
    assert told.lost_share == pytest.approx(0.15)
    assert told.with_crew(3) == pytest.approx(810 * 0.85)


def test_recorded_days_first_then_days_at_the_rate(season: Season) -> None:
    season.record(*rules(rate_taps=45, hours_a_day=6, rate_prior_hours=20))
    work = (feb(1, 30), feb(1, 20, "Wim"), feb(2, 14), feb(4, 60), feb(4, 30, "Wim"))
    season.record(*work, really=True)
    told = pace(season)
    assert told.crew == pytest.approx(5 / 3)  # 2, 1 and 2 people
    each = (25, 14, 45, 270, 270)  # units a person, of five days
    assert told.days == pytest.approx([x * 5 / 3 for x in each])
    assert (told.days_recorded, told.days_before, told.days_default) == (3, 0, 2)


def test_the_crew_is_that_of_the_last_five_days(season: Season) -> None:
    crews = (["Oda"], ["Oda"], ["Oda", "Wim"], ["Wim"], ["Oda", "Wim", "Perrin"], ["Oda", "Wim"])
    season.record(
        *(feb(day, 10, who) for day, crew in enumerate(crews, 1) for who in crew),
    )
    told = pace(season)
    assert told.crew == pytest.approx((1 + 2 + 1 + 3 + 2) / 5)  # not Monday's
    assert told.days == pytest.approx([10 * 1.8] * 6)  # ten a person, whoever was there
    assert told.days_default == 0
    assert people_a_day(list(season.ledger.counts())) == pytest.approx(1.8)


def test_nobody_out_yet_is_nobody() -> None:
    assert people_a_day([]) == 0


def test_days_long_ago_drop_out(season: Season) -> None:
    season.record(*(feb(day, day) for day in range(1, 25)), really=True)
    told = pace(season, as_of=date(2027, 2, 24))
    assert told.days == tuple(range(5, 25))
    assert (told.days_recorded, told.days_before, told.days_default) == (20, 0, 0)


@pytest.fixture
def two_years(tmp_path: Path) -> tuple[Season, Season]:
    """Quillby Hollow in 2026 and in 2027."""
    path, name = tmp_path / "years", "Quillby Hollow"
    seasons = []
    for book in (
        Book.new(path, name=name, year=2026, desk=DESK),
        Book.begin_season(path, 2027, desk=DESK),
    ):
        season = Season.begin(book, "vacuum", by="Oda", now=NOW)
        season.record(*PLAN)
        seasons.append(season)
    return seasons[0], seasons[1]


def last_year(*units: int, who: Sequence[str] = ("Oda",)) -> list[Count]:
    return [
        count("Creek/Ford", "tapping", n, who=name, day=f"2026-02-{day:02}")
        for day, n in enumerate(units, 1)
        for name in who
    ]


def test_with_few_days_those_of_the_season_before_come_in(
    two_years: tuple[Season, Season],
) -> None:
    before, now = two_years
    before.record(*last_year(31, 32, 33, who=("Oda", "Wim")), really=True)
    now.record(feb(1, 20), feb(2, 24))
    told = pace(now)
    assert told.crew == 1  # this season's
    assert told.days == pytest.approx([31, 32, 33, 20, 24])  # last year's two did 62, 64, 66
    assert (told.days_recorded, told.days_before, told.days_default) == (2, 3, 0)


def test_with_no_day_yet_the_crew_is_that_of_the_season_before(
    two_years: tuple[Season, Season],
) -> None:
    before, now = two_years
    before.record(*last_year(31, 32, 33, who=("Oda", "Wim", "Perrin")), really=True)
    told = pace(now)
    assert told.crew == 3
    assert told.days[:3] == (93, 96, 99)
    assert (told.days_recorded, told.days_before, told.days_default) == (0, 3, 2)
    assert told.hours == 0  # a rate is this season's own


def test_with_five_days_of_its_own_a_season_needs_no_other(
    two_years: tuple[Season, Season],
) -> None:
    before, now = two_years
    before.record(*last_year(31, 32, 33), really=True)
    now.record(*(feb(day, 20) for day in range(1, 6)))
    told = pace(now)
    assert told.days == (20.0,) * 5
    assert told.days_before == 0


def test_of_two_seasons_too_the_last_twenty_days_count(
    two_years: tuple[Season, Season],
) -> None:
    before, now = two_years
    before.record(*last_year(*range(1, 25)), really=True)
    now.record(feb(1, 50))
    told = pace(now)
    assert told.days == (*range(6, 25), 50)
    assert (told.days_recorded, told.days_before, told.days_default) == (1, 19, 0)


# --- lost days ---------------------------------------------------------------------------------


def test_workdays_on_which_nobody_got_out(season: Season) -> None:
    season.record(*rules(lost_days_pct=15))
    season.record(feb(1, 10), feb(2, 10), feb(4, 10))
    told = pace(season)
    assert (told.lost, told.workdays) == (2, 5)  # Wednesday and Friday; Saturday is today
    assert told.lost_share == pytest.approx((2 + 0.15 * 10) / (5 + 10))


def test_today_is_not_lost_while_nothing_of_it_is_keyed_in(season: Season) -> None:
    season.record(feb(1, 10), feb(2, 10))
    wednesday, thursday = date(2027, 2, 3), date(2027, 2, 4)

    def lost(as_of: date) -> tuple[int, int]:
        told = pace(season, as_of=as_of)
        return told.lost, told.workdays

    assert lost(wednesday) == (0, 2)  # the crew may be out there now
    assert lost(thursday) == (1, 3)  # nobody keyed in anything of Wednesday
    season.record(count("Ledge/Cliff", "tensioning", 0, day="2027-02-04"))
    assert lost(thursday) == (1, 4)  # out today, if not to tap
    season.record(feb(3, 10))
    assert lost(thursday) == (0, 4)


def test_on_its_first_day_a_task_has_lost_none(season: Season) -> None:
    season.record(feb(6, 10))
    assert (pace(season).lost, pace(season).workdays) == (0, 1)


def test_a_day_on_another_task_is_not_lost(season: Season) -> None:
    season.record(feb(1, 10), feb(2, 10), feb(4, 10))
    season.record(
        count("Ledge/Cliff", "tensioning", 3, day="2027-02-03"),
        count("Ledge/Cliff", "drops", 0, day="2027-02-05"),  # out, and nothing done
    )
    assert (pace(season).lost, pace(season).workdays) == (0, 5)


def test_sundays_and_days_off_are_not_lost(season: Season) -> None:
    season.record(feb(1, 10), feb(8, 10))
    monday = date(2027, 2, 8)
    assert (pace(season, as_of=monday).lost, pace(season, as_of=monday).workdays) == (5, 7)
    season.record(*rules(days_off="2027-02-03,2027-02-04"))
    assert (pace(season, as_of=monday).lost, pace(season, as_of=monday).workdays) == (3, 5)
    season.record(*rules(workdays="MO,TU"))
    assert (pace(season, as_of=monday).lost, pace(season, as_of=monday).workdays) == (1, 3)


@pytest.mark.parametrize(
    ("back", "lost", "workdays"),
    [
        (8, 5, 7),  # Tuesday to Saturday: the weather
        (9, 0, 2),  # and Monday: six workdays are a pause
        (12, 0, 2),
    ],
)
def test_a_pause_of_six_workdays_is_not_the_weather_s(
    season: Season, back: int, lost: int, workdays: int
) -> None:
    season.record(feb(1, 10), feb(back, 10))
    told = pace(season, as_of=date(2027, 2, back))
    assert (told.lost, told.workdays) == (lost, workdays)


def test_a_pause_up_to_now_is_a_pause_too(season: Season) -> None:
    season.record(feb(1, 10))
    lost = [pace(season, as_of=date(2027, 2, day)).lost for day in range(1, 10)]
    # Sunday 7 adds Saturday, Monday 8 nothing; on Tuesday 9 Monday makes it six
    assert lost == [0, 0, 1, 2, 3, 4, 5, 5, 0]
