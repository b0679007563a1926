"""Curves in plain characters: each shown here as it is drawn."""

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldbook.reports.forecast import Curve, Finish, Level
from fieldbook.reports.render.curves import season_curve, wear_curve
from fieldbook.reports.render.plot import Layer, Point, between, plot
from fieldbook.trade.zone import Drilled, simulate


def drawn(
    *layers: Layer,
    width: int = 16,
    height: int = 5,
    y_from: float | None = None,
    y_to: float | None = None,
) -> list[str]:
    return plot(
        layers,
        width=width,
        height=height,
        x_word=lambda x: f"{x:g}",
        y_word=lambda y: f"{y:g}",
        y_from=y_from,
        y_to=y_to,
    )


def layer(mark: str, *points: Point) -> Layer:
    return Layer(mark, {"*": "clean wood", "-": "to keep"}.get(mark, mark), points)


def test_a_rising_line() -> None:
    assert drawn(layer("*", *between((0, 0), (12, 8), 12))) == [
        "8 |           **",
        "  |        ***",
        "4 |     ***",
        "  |  ***",
        "0 |**",
        "  +-------------",
        "   0          12",
        "   * clean wood",
    ]


def test_a_later_layer_covers_an_earlier_one() -> None:
    flat = layer("-", *between((0, 1), (12, 1), 12))
    over = layer("*", (4, 1), (5, 1))
    assert drawn(flat, over, height=1)[0] == "1 |----**-------"
    assert drawn(over, flat, height=1)[0] == "1 |-------------"
    assert drawn(flat, over)[-1].split("   ")[1:] == ["- to keep", "* clean wood"]


def test_a_layer_with_no_points_is_not_in_the_legend() -> None:
    assert drawn(layer("*", (0, 0), (1, 1)), layer("-"))[-1].strip() == "* clean wood"


def test_nothing_to_draw_is_no_lines() -> None:
    assert drawn() == []
    assert drawn(layer("*")) == []


def test_a_single_point() -> None:
    lines = drawn(layer("*", (3, 7)))
    assert lines[0] == "7 |*"
    assert sum(line.count("*") for line in lines[:-1]) == 1


def test_what_is_above_or_under_the_axis_is_left_out() -> None:
    lines = drawn(layer("*", (0, -9), (1, 5), (2, 99)), y_from=0, y_to=10)
    assert sum(line.count("*") for line in lines[:-1]) == 1
    assert lines[2].startswith(" 5 |")


def test_three_labels_on_the_axis() -> None:
    lines = drawn(layer("*", (0, 0), (1, 1)), y_from=0, y_to=1200, height=9)
    assert [line[:4] for line in lines[:9]] == [
        "1200",
        "    ",
        "    ",
        "    ",
        " 600",
        "    ",
        "    ",
        "    ",
        "   0",
    ]


@settings(max_examples=80)
@given(
    points=st.lists(st.tuples(st.floats(-1e6, 1e6), st.floats(-1e6, 1e6)), min_size=1, max_size=30),
    width=st.integers(40, 100),
    height=st.integers(1, 30),
)
def test_sizes_are_kept(points: list[Point], width: int, height: int) -> None:
    lines = drawn(layer("*", *points), width=width, height=height)
    assert len(lines) == height + 3  # the axis, its labels, the legend
    assert max(map(len, lines)) <= width
    axis = lines[height]
    assert len(axis) == width
    for line in lines[:height]:
        assert line.index("|") == axis.index("+")
    # something is drawn: at most a cell a point
    cells = sum(line.partition("|")[2].count("*") for line in lines[:height])
    assert 1 <= cells <= len(points)


@given(steps=st.integers(0, 50))
def test_points_between_two(steps: int) -> None:
    points = between((1, 2), (5, -2), steps)
    assert len(points) == steps + 1
    assert points[0] == pytest.approx((1, 2))
    assert points[-1] == pytest.approx((5, -2) if steps else (1, 2))
    assert points == sorted(points)


# --- the curves of the reports -----------------------------------------------------------------

FEB = [date(2027, 2, day) for day in range(1, 29)]
"""Days of February: the first is number 0."""


def curve(*, planned: int = 100, done: int = 0, levels: bool = True, wanted: int = 20) -> Curve:
    """Ten taps a day so far, and a band that widens."""
    to_come = [
        Level(units, Finish(FEB[done + n], FEB[done + 2 * n], FEB[done + 3 * n]))
        for n, units in enumerate(range(10 * done + 20, planned + 1, 20), start=1)
    ]
    return Curve(
        counts="taps",
        planned=planned,
        done=tuple((FEB[day], 10 * day + 10) for day in range(done)),
        levels=tuple(to_come) if levels else (),
        wanted=FEB[wanted],
    )


def test_taps_in_the_plan_and_the_band() -> None:
    lines = season_curve(curve(done=4), FEB[3], width=60, height=8)
    assert len(lines) == 11
    assert max(map(len, lines)) <= 60
    assert lines[0].startswith("100 |")
    assert lines[-2].split() == ["1", "Feb", "21", "Feb"]
    assert lines[-1].strip() == ": 8 times in 10   - plan   + likely   # in"
    assert all(mark in "".join(lines[:8]) for mark in ":-+#")


def test_before_anything_is_in_the_band_begins_today() -> None:
    lines = season_curve(curve(), FEB[0], width=60, height=8)
    assert lines[7].startswith("  0 |#")
    assert lines[-2].split()[:2] == ["1", "Feb"]


def test_when_all_is_in_there_is_no_band() -> None:
    done = season_curve(curve(planned=40, done=4), FEB[6], width=60, height=8)
    assert done[-1].strip() == "- plan   # in"
    assert done[0] == "40 |       ##########                                  -----"


def test_a_band_that_ends_in_no_date_is_drawn_as_far_as_it_goes() -> None:
    known = curve(done=4)
    open_ended = Curve(
        counts=known.counts,
        planned=known.planned,
        done=known.done,
        levels=(*known.levels[:1], Level(100, Finish(FEB[20], None, None))),
        wanted=None,
    )
    lines = season_curve(open_ended, FEB[3], width=60, height=8)
    assert "- plan" not in lines[-1]
    assert not lines[0].partition("|")[2].strip()


def test_a_day_wanted_that_is_past_draws_no_plan() -> None:
    late = season_curve(curve(done=4, wanted=0), FEB[3], width=60, height=8)
    assert "- plan" not in late[-1]


def test_nothing_in_and_nothing_to_come_is_no_curve() -> None:
    assert season_curve(curve(levels=False), FEB[0], width=60, height=8) == []


@pytest.mark.parametrize("aim", [0.9, 0.5])
def test_clean_wood_through_the_years(aim: float) -> None:
    # 18 in, 2 taps, 0.115 in a year, a stain factor of 100: under 90 % from year 16
    how = Drilled(growth_dbh_in=0.115, reach_in=30, width_in=0.3125, depth_in=1.5, stain_factor=100)
    years = simulate(dbh_in=18, taps=2, how=how)
    lines = wear_curve(years, aim, width=70, height=12)
    assert len(lines) == 15
    assert max(map(len, lines)) <= 70
    assert lines[0].startswith("100 % |")
    assert lines[11].startswith(f" {100 * min(aim, 0.8859) - 1:.0f} % |")
    assert lines[-2].split() == ["year", "1", "year", "100"]
    keep = next(n for n, line in enumerate(lines) if "--" in line)
    lowest = max(n for n, line in enumerate(lines[:12]) if "*" in line)
    assert (lowest > keep) == (aim == 0.9)  # it falls under the line, or never comes near
