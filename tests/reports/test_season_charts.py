"""The charts of a season: every point of them is somewhere in the entries."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldbook.book.entry import Run
from fieldbook.reports.charts import Chart, Series
from fieldbook.reports.forecast import Curve, Finish, Level, forecast
from fieldbook.reports.sap import run_days
from fieldbook.reports.season_charts import sap_chart, taps_chart, vacuum_chart
from fieldbook.season.season import Season
from fieldbook.season.vacuum import Gauges
from tests.conftest import folded, stamp
from tests.reports import TUESDAY, on, work
from tests.season.gauges import TAPPED, read

SUNDAY, MONDAY = date(2027, 2, 7), date(2027, 2, 8)


def named(chart: Chart | None, label: str) -> Series:
    assert chart is not None
    (series,) = (one for one in chart.series if one.label == label)
    return series


def is_sound(chart: Chart) -> None:
    """Every point is between the ends of the axes, and days do not go back."""
    for series in chart.series:
        days = [day for day, _value in series.points]
        assert days == sorted(days)
        for day, value in series.points:
            assert chart.first <= day <= chart.last
            assert chart.low <= value <= chart.high
    for value, early, late in chart.band.levels if chart.band else ():
        assert chart.low <= value <= chart.high
        assert chart.first <= early <= late <= chart.last


# --- taps --------------------------------------------------------------------------------------


def curve(
    *done: tuple[date, int],
    planned: int = 257,
    levels: tuple[Level, ...] = (),
    wanted: date | None = None,
) -> Curve:
    return Curve(counts="taps", planned=planned, done=done, levels=levels, wanted=wanted)


def level(units: int, early: int | None, likely: int | None, late: int | None) -> Level:
    """So many taps, reached so many days after Tuesday."""
    days = [None if n is None else TUESDAY + timedelta(days=n) for n in (early, likely, late)]
    return Level(units, Finish(*days))


def test_taps_in_rise_by_what_each_day_brought(season: Season) -> None:
    """Oda 45 on Sunday, Perrin 30 on Monday, Wim 20 on Tuesday: 45, 75, 95 of 257; by 20 February
    all of them are wanted."""
    work(season)
    found = forecast(on(season, TUESDAY), TUESDAY).curve
    assert found is not None
    chart = taps_chart(found, TUESDAY)
    assert named(chart, "in").points[:4] == (
        *((SUNDAY, 0), (SUNDAY, 45), (MONDAY, 75), (TUESDAY, 95)),
    )
    assert named(chart, "plan").points == ((SUNDAY, 0), (date(2027, 2, 20), 257))
    assert named(chart, "likely").points[0] == (TUESDAY, 95)
    assert chart is not None
    assert (chart.low, chart.high, chart.first) == (0, 260, SUNDAY)  # Cliff is 3 over its plan
    assert chart.says == "95 of 257 taps in on 9 Feb"
    is_sound(chart)


def test_the_band_begins_where_the_taps_are_today() -> None:
    chart = taps_chart(
        curve((MONDAY, 75), levels=(level(166, 2, 3, 4), level(257, 4, 6, 9))), TUESDAY
    )
    assert chart is not None
    assert chart.band is not None
    assert list(chart.band.levels) == [
        (75, TUESDAY, TUESDAY),
        (166, TUESDAY + timedelta(2), TUESDAY + timedelta(4)),
        (257, TUESDAY + timedelta(4), TUESDAY + timedelta(9)),
    ]
    assert named(chart, "in").points[-1] == (TUESDAY, 75)  # nothing came in today so far
    assert chart.last == TUESDAY + timedelta(9)
    is_sound(chart)


def test_the_band_ends_before_what_is_further_off_than_anybody_can_say() -> None:
    """What is told again after that would be drawn across the gap."""
    levels = (level(166, 2, 3, 4), level(200, 4, 6, None), level(257, 5, 7, 9))
    chart = taps_chart(curve((MONDAY, 75), levels=levels), TUESDAY)
    assert chart is not None
    assert chart.band is not None
    assert [units for units, _early, _late in chart.band.levels] == [75, 166]
    assert taps_chart(curve((MONDAY, 75), levels=(level(166, 2, None, None),)), TUESDAY) == (
        taps_chart(curve((MONDAY, 75)), TUESDAY)
    )


def test_when_all_is_in_the_curve_ends_on_the_last_day_of_tapping() -> None:
    """Told in April of February: the line does not run on."""
    chart = taps_chart(curve((SUNDAY, 100), (MONDAY, 257), wanted=MONDAY), date(2027, 4, 30))
    assert chart is not None
    assert (chart.first, chart.last, chart.band) == (SUNDAY, MONDAY, None)
    assert chart.says == "257 of 257 taps in on 30 Apr"


def test_more_taps_than_planned_are_still_on_the_chart() -> None:
    chart = taps_chart(curve((MONDAY, 300)), TUESDAY)
    assert chart is not None
    assert chart.high == 300
    is_sound(chart)


def test_a_plan_that_was_wanted_before_anybody_began_is_not_drawn() -> None:
    chart = taps_chart(curve((TUESDAY, 20), wanted=MONDAY), TUESDAY)
    assert chart is not None
    assert [series.label for series in chart.series] == ["in"]


def test_before_anybody_taps_there_is_no_chart() -> None:
    assert taps_chart(curve(wanted=TUESDAY), TUESDAY) is None


# --- vacuum ------------------------------------------------------------------------------------

READ = """
08 07:00 pump 25.5
08 09:00 Ledge/Cliff 24
08 09:30 Ledge/Cliff 23
08 10:00 Ledge/Cedar 24.5
09 07:00 pump 25
"""
"""On Monday Cliff was last read at 23 and Cedar at 24.5: 23.75 in the mean. On Tuesday none was."""


def test_the_pump_by_day_and_the_mean_of_the_lines_read_last() -> None:
    chart = vacuum_chart(Gauges(folded(*TAPPED, *read(READ))), "us")
    assert named(chart, "pump").points == ((MONDAY, 25.5), (TUESDAY, 25))
    assert named(chart, "lines read that day, mean").points == ((MONDAY, 23.75),)
    assert chart is not None
    assert (chart.unit, chart.low, chart.high) == ("inHg", 22.75, 26.5)
    assert chart.says == "2 days with readings, from 23.8 to 25.5 inHg"
    is_sound(chart)


def test_a_metric_laptop_sees_kilopascals() -> None:
    """3.38639 kPa an inch (NIST SP 811: 1 inHg at 32 F): 25.5 inHg are 86.35 kPa, 23.75 80.43."""
    chart = vacuum_chart(Gauges(folded(*TAPPED, *read(READ))), "metric")
    assert [kpa for _day, kpa in named(chart, "pump").points] == pytest.approx(
        [86.353, 84.660], abs=0.001
    )
    assert chart is not None
    assert (chart.unit, chart.says) == ("kPa", "2 days with readings, from 80.4 to 86.4 kPa")
    is_sound(chart)


def test_gauges_that_read_nothing_at_all_are_at_the_foot_of_the_chart() -> None:
    chart = vacuum_chart(Gauges(folded(*TAPPED, *read("08 07:00 pump 0"))), "us")
    assert chart is not None
    assert (chart.low, chart.high) == (0, 1)
    assert chart.says == "1 day with readings, from 0.0 to 0.0 inHg"


def test_only_what_was_read_has_a_series() -> None:
    lines = vacuum_chart(Gauges(folded(*TAPPED, *read("08 09:00 Ledge/Cliff 24"))), "us")
    pump = vacuum_chart(Gauges(folded(*read("08 07:00 pump 25.5"))), "us")
    assert lines is not None
    assert pump is not None
    assert [one.label for one in lines.series] == ["lines read that day, mean"]
    assert [one.label for one in pump.series] == ["pump"]


def test_without_a_reading_there_is_no_chart() -> None:
    assert vacuum_chart(Gauges(folded(*TAPPED)), "us") is None


# --- sap ---------------------------------------------------------------------------------------


def ran(day: str, gal: float | None) -> Run:
    return Run(sap_gal=gal, **stamp(day))


def test_a_day_that_nobody_measured_has_a_mark_and_no_bar() -> None:
    runs = (ran("2027-03-04", 300), ran("2027-03-05", None), ran("2027-03-06", 0))
    chart = sap_chart(run_days(folded(*TAPPED, *runs)))
    assert named(chart, "sap").points == ((date(2027, 3, 4), 300), (date(2027, 3, 6), 0))
    assert named(chart, "not measured").points == ((date(2027, 3, 5), 0),)
    assert chart is not None
    assert (chart.first, chart.last, chart.high) == (date(2027, 3, 4), date(2027, 3, 6), 300)
    assert chart.says == "2 days measured; the best, 4 Mar, brought 300 gal"


def test_one_day_is_told_as_one() -> None:
    chart = sap_chart(run_days(folded(ran("2027-03-04", 1250))))
    assert chart is not None
    assert [one.label for one in chart.series] == ["sap"]
    assert chart.says == "1 day measured; the best, 4 Mar, brought 1,250 gal"


def test_where_no_sap_was_measured_there_is_no_chart() -> None:
    assert sap_chart(run_days(folded(ran("2027-03-04", None)))) is None
    assert sap_chart([]) is None


@given(st.lists(st.tuples(st.integers(1, 28), st.none() | st.floats(0, 5000)), max_size=12))
def test_any_runs_make_a_chart_whose_points_are_on_it(days: list[tuple[int, float | None]]) -> None:
    chart = sap_chart(run_days(folded(*(ran(f"2027-03-{day:02}", gal) for day, gal in days))))
    assert (chart is None) == all(gal is None for _day, gal in days)
    if chart is not None:
        is_sound(chart)


@given(st.lists(st.tuples(st.integers(1, 9), st.integers(0, 90)), min_size=1, max_size=12))
def test_any_counts_end_at_what_is_in(days: list[tuple[int, int]]) -> None:
    found: dict[date, int] = {}
    for day, taps in days:
        found[date(2027, 2, day)] = found.get(date(2027, 2, day), 0) + taps
    total, done = 0, []
    for on_day in sorted(found):
        total += found[on_day]
        done.append((on_day, total))
    chart = taps_chart(curve(*done), TUESDAY)
    assert chart is not None
    assert named(chart, "in").points[-1][1] == total
    is_sound(chart)
