"""A page in plain characters and on a terminal: charts too, each shown here as it is drawn."""

import io

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace
from rich.console import Console, RenderableType

from fieldbook.reports.charts import Band, Look
from fieldbook.reports.listing import Listing
from fieldbook.reports.page import Section
from fieldbook.reports.render.folded import fold
from fieldbook.reports.render.listings import listing_lines
from fieldbook.reports.render.page_terminal import page_terminal, section_terminal
from fieldbook.reports.render.page_text import chart_lines, page_text, section_lines
from fieldbook.reports.render.text import WIDTH
from tests.reports.pages import (
    CHARTS,
    FIRST,
    HOSTILE,
    LONG,
    blocks,
    built_elsewhere,
    chart,
    day,
    hostile,
    said_in,
    season,
    series,
    squeezed,
    taps_chart,
)


def shown(what: RenderableType, width: int = 80) -> str:
    """What stands on a terminal."""
    out = io.StringIO()
    Console(file=out, width=width, color_system=None, legacy_windows=False).print(what)
    return out.getvalue()


def curve(lines: list[str], mark: str) -> list[tuple[int, int]]:
    """Columns and rows of a mark between the axes."""
    height = next(n for n, line in enumerate(lines) if "+--" in line)
    edge = lines[height].index("+")
    return [
        (x - edge, y)
        for y, line in enumerate(lines[:height])
        for x, c in enumerate(line)
        if c == mark and x > edge
    ]


# --- charts ------------------------------------------------------------------------------------


def test_a_step_keeps_its_height_and_has_no_gap() -> None:
    step = chart(series("step", (day(0), 0.0), (day(4), 6.0), (day(8), 8.0), label="in"), days=10)
    assert chart_lines(step, width=24, height=5) == [
        "8 |                #",
        "  |        #########",
        "4 |        #",
        "  |        #",
        "0 |#########",
        "  +---------------------",
        "   18 Jan         28 Jan",
        "   # in",
    ]


def test_bars_stand_on_the_axis_one_column_a_day() -> None:
    days = [(day(n), float(2 * n)) for n in range(5)]
    bars = chart(series("bars", *days, label="sap"), days=4, title="Sap")
    assert chart_lines(bars, width=12, height=5) == [
        "8 |        |",
        "  |      | |",
        "4 |    | | |",
        "  |  | | | |",
        "0 |  | | | |",
        "  +---------",
        "   18 Jan 22 Jan",
        "   | sap",
    ]


def test_plan_band_readings_and_curve() -> None:
    drawn = chart(
        series("dashed", (day(0), 0.0), (day(20), 10.0), label="plan"),
        series("marks", (day(3), 9.0), (day(9), 7.0), label="read"),
        series("line", (day(0), 2.0), (day(10), 2.0), label="mean"),
        band=Band("8 in 10", ((4.0, day(12), day(14)), (10.0, day(15), day(20)))),
        days=20,
    )
    assert chart_lines(drawn, width=44, height=6) == [
        "10 |      o                     :::::::-----",
        "   |                           ---------:",
        " 5 |                  o --------::::::",
        "   |            --------   ::::::",
        "   |*********************",
        " 0 |-----",
        "   +----------------------------------------",
        "    18 Jan                             7 Feb",
        "    : 8 in 10   - plan   o read   * mean",
    ]


def test_90_bars_are_90_columns_where_there_is_room() -> None:
    lines = chart_lines(CHARTS["90 days"], width=96, height=8)
    base = max(y for _x, y in curve(lines, "|"))
    assert sum(y == base for _x, y in curve(lines, "|")) == 90


def test_two_series_of_a_look_have_two_marks() -> None:
    two = chart(*(series("line", (FIRST, n), (day(60), n), label=f"l{n:g}") for n in (1.0, 2.0)))
    lines = chart_lines(two, width=40, height=5)
    assert lines[-1].split() == ["*", "l1", "+", "l2"]
    legend = chart_lines(CHARTS["twenty series"], width=90, height=5)[7:]
    marks = [line[5] for line in legend if line[6:7] == " " and line[5] != " "]
    assert len(marks) == len(set(marks)) == 20


def test_a_chart_with_nothing_in_it_says_so() -> None:
    for name in ("no points", "no series"):
        assert chart_lines(CHARTS[name], width=60, height=8) == ["nothing to show yet"]


def test_one_point_is_seen() -> None:
    looks: dict[str, Look] = {"#": "step", "*": "line", "o": "marks", "-": "dashed"}
    for mark, look in looks.items():
        lines = chart_lines(chart(series(look, (day(30), 7.0))), width=60, height=5)
        assert len(curve(lines, mark)) == 1
    bar = chart_lines(chart(series("bars", (day(30), 7.0))), width=60, height=5)
    assert len(curve(bar, "|")) == 5


def test_values_that_are_all_the_same_are_a_flat_line() -> None:
    flat = chart(series("line", (FIRST, 7.0), (day(60), 7.0)), low=7.0, high=7.0)
    lines = chart_lines(flat, width=40, height=5)
    assert [line[:3].strip() for line in lines[:5]] == ["8", "", "7.5", "", "7"]
    assert {y for _x, y in curve(lines, "*")} == {4}


def test_the_whole_axis_is_there_though_nothing_is_near_its_ends() -> None:
    lines = chart_lines(chart(series("marks", (day(30), 7.0)), days=60), width=60, height=5)
    assert lines[-2].split() == ["18", "Jan", "19", "Mar"]


def test_what_is_not_on_the_axes_is_left_out() -> None:
    out = series("marks", (day(-4), 1.0), (day(3), 99.0), (day(5), 2.0), (day(90), 1.0))
    assert len(curve(chart_lines(chart(out, high=10.0), width=60, height=5), "o")) == 1


@given(
    points=st.lists(st.tuples(st.integers(0, 60), st.floats(0, 100)), min_size=2, max_size=12),
    width=st.integers(30, 120),
    height=st.integers(3, 20),
)
def test_a_step_is_never_torn(points: list[tuple[int, float]], width: int, height: int) -> None:
    """Every cell of it touches the next: from each to all there is a way."""
    steps = sorted(dict(points).items())
    step = chart(series("step", *((day(n), value) for n, value in steps)), high=100.0)
    cells = set(curve(chart_lines(step, width=width, height=height), "#"))
    assert cells
    reached, todo = set(), [next(iter(cells))]
    while todo:
        x, y = todo.pop()
        reached.add((x, y))
        near = {(x + dx, y + dy) for dx in (-1, 0, 1) for dy in (-1, 0, 1)}
        todo += (near & cells) - reached
    assert reached == cells


@pytest.mark.parametrize("name", CHARTS)
@pytest.mark.parametrize(("width", "height"), [(40, 4), (76, 10), (120, 20)])
def test_charts_keep_their_size(name: str, width: int, height: int) -> None:
    lines = chart_lines(CHARTS[name], width=width, height=height)
    assert max(map(len, lines)) <= width
    if len(lines) > 1:
        assert [n for n, line in enumerate(lines) if "+--" in line] == [height]
    for one in CHARTS[name].series:
        if one.points:
            assert squeezed(one.label) in squeezed("".join(lines))


# --- tables that are too wide ------------------------------------------------------------------


def wide(*rows: tuple[object, ...], by_block: bool = False) -> Listing:
    heads = ("Block", "Taps", "What")
    return Listing("wide", "Wide", heads, heads, rows, ("! look",), by_block)


def test_a_table_that_fits_is_left_as_it_is() -> None:
    table = wide(("Creek", 1200, "short"))
    assert fold(table, WIDTH) is table


def test_words_are_folded_and_numbers_are_not() -> None:
    table = wide(("Creek", 1234567, "the birch is down on the line again"), ("Ledge", 9, "well"))
    assert listing_lines(fold(table, 34)) == [
        "Wide",
        "Block       Taps  What",
        "Creek  1,234,567  the birch is",
        "                  down on the line",
        "                  again",
        "Ledge          9  well",
        "! look",
    ]


def test_lines_stay_under_their_block_when_they_are_folded() -> None:
    table = Listing(
        *("t", "T"),
        ("block", "line", "what"),
        ("Block", "Line", "What"),
        (("Creek", "1 Cliff", LONG), ("Creek", "2 Ford", "well")),
        by_block=True,
    )
    lines = listing_lines(fold(table, 40))
    assert max(map(len, lines)) <= 40
    assert lines[2] == "Creek"
    assert lines[3].startswith("  1 Cliff  Long-way")
    assert [line for line in lines if line.startswith("  2 Ford")]
    assert squeezed(LONG) in squeezed("".join(lines[3:]).replace("1 Cliff", ""))


@given(
    rows=st.lists(
        st.tuples(st.text("ab ", max_size=90), st.integers(0, 10**13), st.text("ab ", max_size=90)),
        max_size=5,
    ),
    width=st.integers(45, 90),
)
def test_folded_tables_lose_nothing(rows: list[tuple[str, int, str]], width: int) -> None:
    table = wide(*rows)
    lines = listing_lines(fold(table, width))
    assert max(map(len, lines[1:-1])) <= width
    before, after = (sorted(squeezed("".join(x))) for x in (listing_lines(table), lines))
    assert before == after
    assert all(f"{number:,}" in "\n".join(lines) for _block, number, _what in rows)


# --- pages -------------------------------------------------------------------------------------


@pytest.mark.parametrize("many", [0, 3, 7, 40])
@pytest.mark.parametrize("name", ["", LONG])
def test_every_word_of_a_page_is_there(many: int, name: str) -> None:
    page = season(blocks(many, name))
    found = {"text": page_text(page), "terminal": shown(page_terminal(page, width=100), 100)}
    for where, text in found.items():
        for words in said_in(replace(page, sections=page.sections[:2])):
            if words not in ("taps", "gal"):  # the unit is in the title
                assert squeezed(words) in squeezed(text), (where, words)
        for line in ("1 Cliff", "2 Long way round", "sagging by the gate"):
            assert text.count(line) >= many, (where, line)
        if not name:
            for words in said_in(page):
                assert squeezed(words) in squeezed(text), (where, words)


def test_the_text_of_a_page() -> None:
    page = replace(season(), sections=season().sections[2:])
    lines = page_text(page).splitlines()
    assert lines[:17] == [
        "Season report",
        "Quillby Hollow, season 2027, as of Fri 12 Mar 2027  (invented)",
        "",
        "Taps in 2,480 of 3,600 (68 %), left 1,120",
        "! 2 lines are planned by their trees, and those are not tallied",
        "Spouts in trees 2,480, pulled 0",
        "",
        "",
        "Lines and blocks",
        "----------------",
        "",
        "Lines",
        "Line                Taps  Hours  Done        Cost",
        "North Bend           127    2.5  -       1,234.50",
        "  1 Cliff            127    2.5  -       1,234.50",
        "  2 Long way round   127    2.5  -       1,234.50",
        "Creek                247      5  -       2,469.00",
    ]
    assert lines[-2:] == ["Hazards", "Block"]


@pytest.mark.parametrize("name", ["", LONG])
def test_no_line_is_wider_than_a_simple_printer(name: str) -> None:
    page = season(blocks(7, name))
    page = replace(page, lines=(*page.lines, "word " * 60, "  indented " + "word " * 30))
    lines = page_text(page).splitlines()
    assert max(map(len, lines)) <= WIDTH
    at = next(n for n, line in enumerate(lines) if line.startswith("  indented"))
    assert lines[at + 1].startswith("    word")


def test_a_section_has_its_title_words_charts_and_tables_in_order() -> None:
    section = Section("pace", "Pace", ("a line",), (taps_chart(),), season().sections[2].listings)
    for text in (
        "\n".join(section_lines(section, width=70, chart_height=6)),
        shown(section_terminal(section, width=70, chart_height=6)),
    ):
        order = [text.index(words) for words in ("Pace", "a line", "Taps in by day", "Lines\n")]
        assert order == sorted(order)
        assert text.count("|") == 6  # rows of the chart
        assert "Taps in by day: the last is 2,480 taps." in text


def test_typed_words_are_no_markup_on_a_terminal() -> None:
    text = shown(page_terminal(hostile(), width=100), 100)
    every = len(said_in(hostile())) - 1  # the unit of the chart is in its title
    assert squeezed(text).count(squeezed(HOSTILE)) == every
    assert squeezed(page_text(hostile())).count(squeezed(HOSTILE)) == every


def test_what_wants_a_look_is_bright() -> None:
    out = io.StringIO()
    console = Console(file=out, width=100, force_terminal=True, color_system="standard")
    console.print(page_terminal(season(), width=100))
    bright = [line for line in out.getvalue().splitlines() if line.startswith("\x1b[1;31m")]
    assert [line[7:].partition("\x1b")[0][:3] for line in bright] == ["! 2", "! a", "! C"]


def test_the_same_page_is_the_same_text_wherever_it_is_made() -> None:
    assert built_elsewhere("page_text(page)") == {page_text(season()).encode()}
