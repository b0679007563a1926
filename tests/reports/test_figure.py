"""Charts laid out for paper and for a browser: where things are, and how they are told apart."""

import re
from collections.abc import Sequence
from datetime import timedelta
from itertools import pairwise
from math import log10
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldbook.reports.charts import Band, Chart, Look, Series, day_ticks, ticks
from fieldbook.reports.render.clip import Box, clip_area, clip_line
from fieldbook.reports.render.figure import Figure, Words, figure, held, number_words
from fieldbook.reports.render.figure_svg import estimate
from fieldbook.reports.render.looks import DOT, MARKS, RADIUS, Stroke, mark_at, pens, sample
from tests.reports.pages import CHARTS, FIRST, chart, day, sap_chart, series, taps_chart

WIDTH = 186.0
ROUND = 1e-6
LOOKS: tuple[Look, ...] = get_args(Look)


def laid(chart: Chart) -> Figure:
    return figure(chart, width=WIDTH, measure=estimate)


def edges(words: Words) -> tuple[float, float]:
    """Where words begin and end."""
    wide = estimate(words.text)
    left = words.x - {"start": 0.0, "middle": wide / 2, "end": wide}[words.at]
    return left, left + wide


def is_inside(drawn: Figure) -> None:
    """Nothing is outside the figure, and no data outside the axes but for the size of a mark."""
    for stroke in drawn.strokes:
        for x, y in stroke.spots:
            assert -ROUND <= x <= drawn.width + ROUND
            assert -ROUND <= y <= drawn.height + ROUND
    plot, out = drawn.plot, RADIUS + ROUND
    for stroke in drawn.data:
        for x, y in stroke.spots:
            assert plot.left - out <= x <= plot.right + out
            assert plot.top - out <= y <= plot.bottom + out
    for words in drawn.words:
        left, right = edges(words)
        assert left >= -ROUND, words
        assert right <= drawn.width + ROUND, words
        assert -ROUND <= words.y <= drawn.height, words


# --- axes --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("low", "high", "told"),
    [
        (0, 100, [0, 50, 100]),  # 25 apart would be five, but is none of 1, 2 and 5
        (0, 11960, [0, 5000, 10000]),
        (0, 40, [0, 10, 20, 30, 40]),
        (21.9, 26.5, [22, 24, 26]),
        (-3, 3, [-2, 0, 2]),
        (0, 0.4, [0, 0.1, 0.2, 0.3, 0.4]),
        (7, 7, [7]),
        (7, 3, [7]),
    ],
)
def test_values_at_the_axis_are_round(low: float, high: float, told: list[float]) -> None:
    """1, 2 or 5 times a power of ten apart: common practice, no source."""
    assert ticks(low, high) == told


@given(
    low=st.floats(-1e5, 1e5),
    wide=st.floats(1, 1e6),
    most=st.integers(2, 12),
)
def test_ticks_follow_the_rule_of_1_2_and_5(low: float, wide: float, most: int) -> None:
    high = low + wide
    found = ticks(low, high, most=most)
    assert len(found) <= most
    slack = 1e-8 * max(1, abs(low), abs(high)) + wide * 1e-6
    assert all(low - slack <= tick <= high + slack for tick in found)
    assert found == sorted(found)
    steps = [b - a for a, b in pairwise(found)]
    if not steps:
        return
    assert max(steps) == pytest.approx(min(steps), rel=1e-4, abs=1e-8)
    step = sum(steps) / len(steps)
    lead = step / 10 ** int(f"{step:e}".split("e")[1])
    assert any(lead == pytest.approx(n, rel=1e-3) for n in (1, 2, 5, 10))
    assert any(tick == 0 or abs(tick / step - round(tick / step)) < 1e-3 for tick in found)
    # one step less on each side would have been on the axis too
    assert found[0] - step < low + slack
    assert found[-1] + step > high - slack
    assert log10(step) == pytest.approx(log10(wide / (most - 1)), abs=1)


@given(days=st.integers(0, 890), most=st.integers(3, 12))
def test_days_under_the_axis_are_evenly_apart(days: int, most: int) -> None:
    last = FIRST + timedelta(days=days)
    found = day_ticks(FIRST, last, most=most)
    assert found[0] == FIRST
    assert found[-1] <= last
    assert len({b - a for a, b in pairwise(found)}) <= 1
    if days / 112 < most:
        assert len(found) <= most


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ([0, 5000, 10000], ["0", "5,000", "10,000"]),
        ([0.5, 1, 1.5], ["0.5", "1.0", "1.5"]),
        ([-0.0, 0.25], ["0.00", "0.25"]),
        ([-2, 0, 2], ["-2", "0", "2"]),
    ],
)
def test_numbers_at_the_axis_have_the_same_places(values: list[float], words: list[str]) -> None:
    assert number_words(values) == words


def test_unit_ticks_and_days_stand_at_the_axes() -> None:
    drawn = laid(taps_chart())
    said = [words.text for words in drawn.words]
    assert said[:5] == ["taps", "0", "1,000", "2,000", "3,000"]
    assert said[5:11] == ["18 Jan", "1 Feb", "15 Feb", "1 Mar", "15 Mar", "29 Mar"]
    assert said[11:] == ["plan", "in", "8 seasons in 10 end here"]
    heights = [words.y for words in drawn.words[1:5]]
    assert heights == sorted(heights, reverse=True)  # more is higher up


# --- what is drawn -----------------------------------------------------------------------------


@pytest.mark.parametrize("name", CHARTS)
def test_every_chart_stays_inside(name: str) -> None:
    is_inside(laid(CHARTS[name]))


days = st.integers(-40, 140).map(day)
values = st.floats(-2e4, 2e4)
some = st.builds(
    Series,
    label=st.text("ab mW", max_size=70),
    look=st.sampled_from(LOOKS),
    points=st.lists(st.tuples(days, values), max_size=8).map(lambda p: tuple(sorted(p))),
)
bands = st.builds(
    Band,
    label=st.just("band"),
    levels=st.lists(st.tuples(values, days, days), min_size=1, max_size=5).map(
        lambda levels: tuple(sorted((v, min(a, b), max(a, b)) for v, a, b in levels))
    ),
)


@given(
    lines=st.lists(some, max_size=6),
    band=st.none() | bands,
    low=st.floats(-1e4, 1e4),
    wide=st.just(0.0) | st.floats(0.1, 1e4),
    days=st.integers(0, 120),
)
def test_nothing_is_drawn_outside(
    lines: list[Series], band: Band | None, low: float, wide: float, days: int
) -> None:
    """Whatever days and values there are: those that are not on the axes are cut off."""
    is_inside(laid(chart(*lines, band=band, low=low, high=low + wide, days=days)))


def test_a_step_keeps_its_height_until_it_changes() -> None:
    assert held([(0, 9), (4, 7), (6, 7)]) == [(0, 9), (4, 9), (4, 7), (6, 7), (6, 7)]
    (stroke,) = laid(chart(series("step", (day(0), 0.0), (day(30), 8.0), (day(60), 8.0)))).data
    (x, y), corner, (to_x, to_y) = stroke.spots[:3]
    assert corner == (to_x, y)
    assert (x, y) != (to_x, to_y)


def test_bars_stand_on_the_axis_and_those_of_a_day_beside_one_another() -> None:
    week = [(day(n), 5.0) for n in range(7)]
    drawn = laid(chart(series("bars", *week), series("bars", *week, label="more"), days=6))
    assert len(drawn.data) == 14
    spans = sorted((bar.spots[0][0], bar.spots[-1][0]) for bar in drawn.data)
    assert all(right <= left + ROUND for (_l, right), (left, _r) in pairwise(spans))
    assert {bar.spots[0][1] for bar in drawn.data} == {drawn.plot.bottom}
    assert len({bar.fill for bar in drawn.data}) == 2


def test_what_is_lost_hangs_under_the_line_of_nothing() -> None:
    down, up = laid(CHARTS["under zero"]).data
    assert down.spots[0][1] == up.spots[0][1]  # both begin at nothing
    assert down.spots[1][1] > down.spots[0][1] > up.spots[1][1]


def test_90_bars_are_90_bars() -> None:
    drawn = laid(CHARTS["90 days"])
    assert len(drawn.data) == 90
    assert min(bar.spots[-1][0] - bar.spots[0][0] for bar in drawn.data) > 1  # mm: to be seen


def test_one_point_is_seen() -> None:
    for look in LOOKS:
        (stroke,) = laid(chart(series(look, (day(30), 7.0)))).data
        (left, right) = (f(x for x, _y in stroke.spots) for f in (min, max))
        assert right - left > 1


def test_values_that_are_all_the_same_do_not_lie_on_the_axis() -> None:
    flat = laid(chart(series("line", (FIRST, 7.0), (day(60), 7.0)), low=7.0, high=7.0))
    (stroke,) = flat.data
    middle = (flat.plot.top + flat.plot.bottom) / 2
    assert {round(y) for _x, y in stroke.spots} == {round(middle + 1.25)}  # less the white above
    assert [words.text for words in flat.words][1] == "7"


def test_a_chart_with_nothing_in_it_says_so() -> None:
    for name in ("no points", "no series"):
        drawn = laid(CHARTS[name])
        assert drawn.data == ()
        assert "nothing to show yet" in [words.text for words in drawn.words]
        assert drawn.legend == ()
    assert "nothing to show yet" not in [w.text for w in laid(taps_chart()).words]


def test_the_band_is_under_everything() -> None:
    first, *rest = laid(taps_chart()).data
    assert first.fill == pytest.approx(0.87)
    assert rest
    assert all(stroke.fill is None for stroke in rest)


def test_series_are_drawn_in_order_the_last_on_top() -> None:
    bars, line, mark = ([look] for look in ("bars", "line", "marks"))
    order = []
    for stroke in laid(sap_chart()).data:
        order.append("line" if not stroke.closed else "bars" if len(stroke.spots) == 4 else "marks")
    assert order == bars * order.count("bars") + line * order.count("line") + mark * order.count(
        "marks"
    )


# --- told apart without a colour ---------------------------------------------------------------


def look_of(strokes: Sequence[Stroke]) -> object:
    """What the eye has to tell a sample of the legend by, wherever it stands."""
    left = min(x for stroke in strokes for x, _y in stroke.spots)
    top = min(y for stroke in strokes for _x, y in stroke.spots)
    return tuple(
        (
            *(stroke.thick, stroke.dash, stroke.fill),
            tuple((round(x - left, 3), round(y - top, 3)) for x, y in stroke.spots),
        )
        for stroke in strokes
    )


@pytest.mark.parametrize("look", LOOKS)
def test_four_series_of_one_look_differ(look: Look) -> None:
    lines = [series(look, (FIRST, 1.0), (day(9), 2.0), label=str(n)) for n in range(4)]
    found = [pen for _series, pen in pens(chart(*lines))]
    assert len(set(map(repr, found))) == 4


def test_each_look_has_its_own_sample() -> None:
    lines = chart(*(series(look, (FIRST, 1.0)) for look in LOOKS for _n in range(2)))
    samples = {look_of(sample(one.look, pen)) for one, pen in pens(lines)}
    assert len(samples) == 2 * len(LOOKS)


def test_marks_have_different_shapes() -> None:
    assert len({look_of(tuple(mark_at((9, 9), mark))) for mark in (*MARKS, DOT)}) == len(MARKS) + 1


def test_every_series_with_points_is_in_the_legend() -> None:
    drawn = laid(CHARTS["twenty series"])
    said = " ".join(words.text for words in drawn.words)
    for one in CHARTS["twenty series"].series:
        assert one.label in said
    lines = chart(series("step", label="empty"), series("line", (FIRST, 1.0), label="full"))
    said = " ".join(words.text for words in laid(lines).words)
    assert "full" in said
    assert "empty" not in said


@pytest.mark.parametrize("name", CHARTS)
def test_no_words_stand_on_others(name: str) -> None:
    words = laid(CHARTS[name]).words
    for at, one in enumerate(words):
        for other in words[at + 1 :]:
            (left, right), (start, end) = edges(one), edges(other)
            apart = right <= start + ROUND or end <= left + ROUND
            assert apart or abs(one.y - other.y) > 2.5, (one, other)  # mm: about a line


@pytest.mark.parametrize("width", [40.0, 50.0, 80.0])
def test_days_do_not_stand_on_one_another_where_there_is_little_room(width: float) -> None:
    drawn = figure(taps_chart(), width=width, measure=estimate)
    days = sorted(edges(words) for words in drawn.words if words.at == "middle")
    assert len(days) >= 2
    assert all(right < left for (_l, right), (left, _r) in pairwise(days))


# --- cutting off -------------------------------------------------------------------------------

BOX = Box(0, 0, 10, 10)
spots = st.tuples(st.floats(-30, 30), st.floats(-30, 30))


@pytest.mark.parametrize(
    ("line", "inside"),
    [
        ([(1, 1), (9, 9)], [((1, 1), (9, 9))]),
        ([(-5, 5), (15, 5)], [((0, 5), (10, 5))]),
        ([(5, -5), (5, 5), (15, 5)], [((5, 0), (5, 5), (10, 5))]),
        (
            [(-5, 5), (5, 5), (5, 15), (8, 15), (8, 5)],
            [((0, 5), (5, 5), (5, 10)), ((8, 10), (8, 5))],
        ),
        ([(-5, -1), (15, -1)], []),
        ([(-5, 4), (4, -5)], []),
    ],
)
def test_lines_are_cut_off_at_the_box(
    line: list[tuple[float, float]], inside: list[tuple[tuple[float, float], ...]]
) -> None:
    assert clip_line(line, BOX) == inside


def test_areas_are_cut_off_at_the_box() -> None:
    found = clip_area([(-5, -5), (5, -5), (5, 5), (-5, 5)], BOX)
    assert set(found) == {(0, 0), (5, 0), (5, 5), (0, 5)}
    assert clip_area([(20, 20), (30, 20), (30, 30)], BOX) == ()
    around = clip_area([(-50, -50), (50, -50), (50, 50), (-50, 50)], BOX)
    assert set(around) == {(0, 0), (10, 0), (10, 10), (0, 10)}


@given(line=st.lists(spots, max_size=12))
def test_what_is_cut_off_is_outside_and_the_rest_stays(line: list[tuple[float, float]]) -> None:
    runs = clip_line(line, BOX)
    kept = {spot for run in runs for spot in run}
    for x, y in kept:
        assert -ROUND <= x <= 10 + ROUND
        assert -ROUND <= y <= 10 + ROUND
    if len(line) > 1:
        assert {spot for spot in line if BOX.holds(spot)} <= kept


def test_a_year_of_days_has_room_for_its_names() -> None:
    year = chart(series("line", (FIRST, 1.0), (day(365), 2.0)), days=365)
    said = [w.text for w in laid(year).words if re.fullmatch(r"\d+ [A-Z][a-z]{2}", w.text)]
    assert 4 <= len(said) <= 8
    assert said[0] == "18 Jan"
