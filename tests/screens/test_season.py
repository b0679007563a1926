"""Season: a page to read in parts, and where sap and syrup of a day are written down."""

from io import StringIO
from pathlib import Path

import pytest
from msgspec.structs import replace
from rich.console import Console, Group
from rich.text import Text
from textual.containers import VerticalScroll

from fieldbook.book.book import Book
from fieldbook.book.entry import Block, Line, Person, Run, clean
from fieldbook.laptop import Laptop
from fieldbook.reports.forecast import forecast
from fieldbook.reports.full import full_summary
from fieldbook.reports.full_page import part_of
from fieldbook.reports.history import history
from fieldbook.reports.history_tables import history_sections
from fieldbook.reports.page import Section
from fieldbook.reports.render.curves import season_curve
from fieldbook.reports.render.page_terminal import section_terminal
from fieldbook.screens.board import Board
from fieldbook.screens.season import PARTS, SeasonScreen
from fieldbook.season.dates import brief_day
from fieldbook.season.season import Season
from tests.conftest import NOW, aside, count, finish, stamp
from tests.screens.conftest import BAR, DESK, EVENING, LARGE, SMALL, Seat, sit_down
from tests.screens.test_together import look
from tests.screens.test_user_text import EVERY_TEXT, shown

TODAY = EVENING.date()
ASKED = "Sap (gallons), Brix and syrup (gallons) of Tue 9 Feb?"


def runs(seat: Seat) -> list[tuple[str, float | None, float | None, float | None]]:
    """The runs this desk has on disk: their day, sap and syrup in gallons, and Brix."""
    entries = [entry for entry in seat.written() if isinstance(entry, Run)]
    return [(f"{e.day}", e.sap_gal, e.brix, e.syrup_gal) for e in entries]


def read_runs(seat: Seat) -> int:
    """How many runs whoever opens the book next will find."""
    return len(seat.on_disk().ledger.runs)


TALL = (80, 120)
"""A window in which the whole page stands."""


# --- reading -----------------------------------------------------------------------------------


async def test_s_opens_the_season_and_escape_goes_back(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("s")
        seat.screen(SeasonScreen)
        await seat.press("escape")
        seat.screen(Board)


@pytest.mark.parametrize("size", [SMALL, LARGE])
async def test_the_curve_is_that_of_the_reports_and_as_wide_as_there_is_room(
    demo: Season, laptop: Laptop, size: tuple[int, int]
) -> None:
    curve = forecast(demo, TODAY).curve
    assert curve is not None
    drawn = season_curve(curve, TODAY, width=size[0] - 4, height={24: 14, 40: 18}[size[1]])
    async with sit_down(demo, laptop, size) as seat:
        await seat.press("s")
        shown = [row.rstrip(BAR) for row in seat.below[1 : len(drawn) + 1]]
        assert shown == [f" {line}".rstrip() for line in drawn]


async def test_the_dates_are_those_of_the_reports(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop, LARGE) as seat:
        await seat.press("s")
        for task in forecast(demo, TODAY).tasks:
            row = seat.row(f" {task.title}  ")
            finish = task.finish
            for day in (finish.early, finish.likely, finish.late) if task.under_way else ():
                assert day is not None
                assert brief_day(day) in row
            assert f" {task.left:,} " in row


async def test_what_will_be_late_is_named(demo: Season, laptop: Laptop) -> None:
    # Wanted 19 Dec, 20 Feb, 13 Feb; leaks are wanted on 27 Feb, and pulling is not begun.
    async with sit_down(demo, laptop) as seat:
        await seat.press("s")
        assert " ! Late: Drop replacement, Tapping, Tensioning" in seat.rows


async def test_what_is_first_is_told_with_the_reason(demo: Season, laptop: Laptop) -> None:
    order = forecast(demo, TODAY).order
    async with sit_down(demo, laptop, TALL) as seat:
        await seat.press("s")
        first = f"First: {order.turns[0].block}, {order.turns[0].title.lower()}: {order.why}"
        assert first in seat.text


async def test_it_looks_the_same_after_a_page_was_read_on_it(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("s")
        before = seat.rows
        await seat.press("question_mark", "escape")
        assert seat.rows == before
        await seat.press("escape", "enter", "w", "escape", "escape", "s")
        assert seat.rows == before


async def test_the_curve_follows_the_window(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop, LARGE) as seat:
        await seat.press("s")
        await seat.resize(SMALL)
        small = seat.rows
        await seat.press("escape", "s")
        assert seat.rows == small


async def test_what_another_laptop_records_shows_on_it(demo: Season, laptop: Laptop) -> None:
    milo = Season(Book.open(demo.book.path, desk="w5x2c"))
    async with sit_down(demo, laptop, TALL) as seat:
        await seat.press("s")
        milo.record(Run(sap_gal=910, at=EVENING, noted=EVENING, by="Milo"))
        await look(seat)
        assert "Sap 910.0 gal on 1 day" in seat.text
    milo.book.close()


# --- the parts ---------------------------------------------------------------------------------


def section(season: Season, part: str, units: str = "us") -> list[Section]:
    """What the reports say of a part."""
    if part == "history":
        return list(history_sections(history(season, TODAY)))
    return [part_of(full_summary(season, TODAY, EVENING, units=units), part)]


def drawn(sections: list[Section], size: tuple[int, int]) -> list[str]:
    """Sections as rows of text, as wide as the screen has room for."""
    height = {24: 10, 40: 14}[size[1]]
    parts = [
        piece
        for one in sections
        for piece in (section_terminal(one, width=size[0] - 4, chart_height=height), Text())
    ]
    page = StringIO()
    Console(file=page, width=size[0] - 3, color_system=None).print(Group(*parts))
    return [row.rstrip() for row in page.getvalue().splitlines()]


def page_rows(seat: Seat) -> list[str]:
    """The rows of the page that are in sight, without the scrollbar."""
    area = seat.screen(SeasonScreen).query_one(VerticalScroll).region
    return [row.rstrip(BAR)[1:] for row in seat.rows[area.y : area.bottom]]


def heads(seat: Seat) -> str:
    """The row with the names of the parts."""
    return seat.rows[seat.screen(SeasonScreen).query_one("#parts").region.y]


async def part(seat: Seat, name: str) -> None:
    """From the board to a part of the season."""
    await seat.press("s", *["right"] * list(PARTS).index(name))
    assert f"[{PARTS[name]}]" in heads(seat)


@pytest.mark.parametrize("size", [SMALL, LARGE], ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("name", [name for name in PARTS if name != "totals"])
async def test_each_part_shows_what_the_reports_say(
    demo: Season, laptop: Laptop, name: str, size: tuple[int, int]
) -> None:
    said = drawn(section(demo, name), size)
    async with sit_down(demo, laptop, size) as seat:
        await part(seat, name)
        top = page_rows(seat)
        kept = [row for row in said if row]
        assert [row for row in top if row] == kept[: len([row for row in top if row])]
        await seat.scroll("end")
        bottom = [row for row in page_rows(seat) if row]
        assert bottom == kept[-len(bottom) :]


async def test_right_and_left_step_through_the_parts_and_wrap_around(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("s")
        there = []
        for _step in PARTS:
            there.append(heads(seat))
            await seat.press("right")
        assert there[0] == " [Totals] Work  Spouts  Vacuum  Sap  Costs  History"
        assert there[-1] == "  Totals  Work  Spouts  Vacuum  Sap  Costs [History]"
        assert len(set(there)) == len(PARTS)
        assert heads(seat) == there[0]
        for row in reversed(there):
            await seat.press("left")
            assert heads(seat) == row


async def test_the_part_that_is_shown_is_named_in_sight_however_narrow_it_is(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop, (40, 12)) as seat:
        await seat.press("s")
        for title in PARTS.values():
            assert f"[{title}]" in heads(seat)
            assert seat.screen(SeasonScreen).max_scroll_y == 0
            await seat.press("right")


async def test_a_part_is_begun_at_its_top(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await part(seat, "work")
        top = page_rows(seat)
        await seat.scroll("end")
        assert page_rows(seat) != top
        await seat.press("right", "left")
        assert page_rows(seat) == top


async def test_one_comes_back_to_the_part_and_the_place_one_left(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await part(seat, "work")
        await seat.scroll("end")
        before = page_rows(seat)
        for keys in (["w"], ["n"], ["o"], ["p"], ["g"]):
            await seat.press(*keys, "escape")
            assert page_rows(seat) == before
        await seat.scroll("home")  # and the arrows are for the page still
        assert page_rows(seat) != before


async def test_what_another_laptop_records_shows_in_the_part_that_is_open(
    demo: Season, laptop: Laptop
) -> None:
    milo = Season(Book.open(demo.book.path, desk="w5x2c"))
    async with sit_down(demo, laptop) as seat:
        await part(seat, "sap")
        assert "No run was written down yet." in seat.text
        milo.record(Run(sap_gal=910, brix=2.1, at=EVENING, noted=EVENING, by="Milo"))
        await look(seat)
        assert "Sap 910.0 gal on 1 day" in seat.text
        await seat.press("right", "right")
        assert "Sap, gal a tap" in seat.text
        milo.record(count("Brook Bend/Cedar main", "tapping", 80, who="Milo"))
        await look(seat)
        assert "5,219" in seat.row("Taps in  ")  # 5,139 and 80
    milo.book.close()


async def test_a_run_keyed_here_shows_in_the_part_that_is_open(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop, LARGE) as seat:
        await part(seat, "sap")
        await seat.press("r")
        await seat.keys("2400 2.1 58", "enter")
        assert "Sap 2,400.0 gal on 1 day, 0.5 gal a tap, 2.1 Brix" in seat.text
        (row,) = [row for row in page_rows(seat) if row.startswith("9 Feb ")]
        assert row.split()[2:5] == ["2,400", "2.1", "58"]


async def test_in_metric_units_the_vacuum_is_drawn_in_kpa(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop, LARGE) as seat:
        await part(seat, "vacuum")
        assert "6 days with readings, from 22.9 to 25.5 inHg" in seat.text
        await seat.press("f3")
        assert [row for row in page_rows(seat) if row] == [
            row for row in drawn(section(demo, "vacuum", "metric"), LARGE) if row
        ]
        assert "6 days with readings, from 77.6 to 86.4 kPa" in seat.text  # x 3.386
        await seat.press("f3")
        assert "from 22.9 to 25.5" in seat.text


async def test_w_says_where_the_numbers_of_the_part_come_from(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop, TALL) as seat:
        await seat.press("s")
        for name in PARTS:
            await seat.press("w")
            assert "Where it comes from: the season" in seat.box, name
            if name == "costs":
                assert "wage_per_hour" in seat.box
            await seat.press("escape", "right")


async def test_left_and_right_are_for_the_words_while_a_question_stands(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await part(seat, "costs")
        await seat.press("r")
        await seat.keys("24", "left", "9", "right", "0")
        assert "2940" in seat.box
        assert "[Costs]" in seat.text
        await seat.press("escape", "p", "right", "escape")
        assert "[Costs]" in seat.text


async def test_a_rule_that_no_sum_holds_for_is_named(
    demo: Season, laptop: Laptop, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_args: object, **_more: object) -> None:
        raise ValueError("roll 1 ft: out of range, a drop of 30 in or longer")

    monkeypatch.setattr("fieldbook.reports.full.costs", refuse)
    async with sit_down(demo, laptop) as seat:
        await seat.press("s")
        for name in PARTS:
            if name not in ("totals", "history"):
                assert "! It cannot be reckoned with the rules of the book: roll 1 ft" in seat.text
            await seat.press("w", "escape", "right")
        assert "! Late: Drop replacement" in seat.text  # the totals take no prices


async def test_a_season_before_that_cannot_be_read_is_told_in_the_history_alone(
    demo: Season, laptop: Laptop
) -> None:
    (demo.book.path / "2025" / "desk-w5x2c.jsonl").mkdir()
    async with sit_down(demo, laptop) as seat:
        await part(seat, "history")
        assert "! Cannot read" in seat.text
        assert "Give yourself access to the folder, then try again." in seat.text
        await seat.press("left")
        assert "Cost 9,475.30" in seat.text
        (demo.book.path / "2025" / "desk-w5x2c.jsonl").rmdir()
        await seat.press("right")
        assert "Seasons side by side" in seat.text


@pytest.mark.parametrize("name", [name for name in PARTS if name != "totals"])
async def test_a_book_with_nothing_in_it_has_every_part(
    tmp_path: Path, fresh_laptop: Laptop, name: str
) -> None:
    book = Book.new(tmp_path / "bare", name="Bare Hill", year=2027, desk=DESK)
    season = Season(book)
    said = [row for row in drawn(section(season, name), SMALL) if row]
    async with sit_down(season, fresh_laptop) as seat:
        await part(seat, name)
        rows = [row for row in page_rows(seat) if row]
        assert rows
        assert rows == said[: len(rows)]
        assert "None" not in seat.text
        await seat.press("w", "escape")
        assert [row for row in page_rows(seat) if row] == rows
    book.close()


@pytest.mark.parametrize("checklist", ["gravity", "buckets"])
async def test_a_crew_without_drops_or_vacuum_has_every_part(
    book: Book, fresh_laptop: Laptop, checklist: str
) -> None:
    fresh_laptop.set_keying(book.id, "Oda")
    season = Season.begin(book, checklist, by="Oda", now=NOW)
    season.record(Block(block="Ledge", order=1, **stamp()), Person(person="Oda", **stamp()))
    season.record(Line(block="Ledge", line="Cliff", order=1, taps_planned=40, **stamp()))
    season.record(count("Ledge/Cliff", "tapping", 40, hours=2))
    async with sit_down(season, fresh_laptop, TALL) as seat:
        await seat.press("s")
        for name in PARTS:
            if name == "work":
                assert "2.0 person-hours on record, 3.00 minutes a tap" in seat.text
            if name == "spouts" and checklist == "buckets":
                assert "Drops replaced" not in seat.text
            if name == "vacuum":
                assert "inHg" not in seat.text
            await seat.press("w", "escape", "right")
        assert "Taps in 40 of 40" in seat.text


@EVERY_TEXT
async def test_names_stand_in_every_part_as_they_were_typed(
    season: Season, fresh_laptop: Laptop, text: str
) -> None:
    fresh_laptop.set_keying(season.book.id, "Oda")
    name = clean(text, one_line=True)
    season.record(Block(block=name, order=9, **stamp()), Person(person=name, **stamp()))
    season.record(Line(block=name, line=name, order=1, taps_planned=9, drops=9, **stamp()))
    done = replace(count("Ledge/Cliff", "tapping", 9, hours=1), block=name, line=name, who=name)
    season.record(done, Run(block=name, sap_gal=9, brix=2, **stamp()))
    async with sit_down(season, fresh_laptop, (120, 120)) as seat:
        await seat.press("s", "right")
        for _part in ("work", "spouts"):
            assert shown(text) in seat.text
            await seat.press("right")
        await seat.press("right")
        assert shown(text) in seat.text  # the sap of its block
        await seat.press("r")
        await seat.paste(f"{name}: 9", "enter")
        assert "is in the book already" in seat.box
        await seat.press("enter")
        assert season.ledger.runs[-1].block == name
        assert shown(text) in seat.rows[-2]


# --- a run of sap ------------------------------------------------------------------------------


async def test_r_writes_down_a_run_and_the_page_shows_it(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop, TALL) as seat:
        await seat.press("s", "r")
        assert seat.box.startswith(ASKED)
        await seat.keys("2400 2.1 58", "enter")
        assert runs(seat) == [("2027-02-09", 2400, 2.1, 58)]
        assert [entry.by for entry in seat.written()] == ["Ina"]
        assert f"{DESK}-1 saved: sap 2,400 gal, 2.1 Brix, syrup 58 gal" in seat.text
        assert "Sap 2,400.0 gal on 1 day, 0.5 gal a tap, 2.1 Brix" in seat.text  # 5,139 taps


@pytest.mark.parametrize(
    ("typed", "kept", "said"),
    [
        ("- 2.1", (None, 2.1, None), "2.1 Brix"),
        ("2400 - 58", (2400, None, 58), "sap 2,400 gal, syrup 58 gal"),
        ("2400", (2400, None, None), "sap 2,400 gal"),
        ("-", (None, None, None), "sap not measured"),
        ("0", (0, None, None), "sap 0 gal"),  # a zero was measured, a blank was not
    ],
)
async def test_what_nobody_measured_is_blank_and_not_zero(
    demo: Season, laptop: Laptop, typed: str, kept: tuple[float | None, ...], said: str
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("s", "r")
        await seat.keys(typed, "enter")
        assert runs(seat) == [("2027-02-09", *kept)]
        assert f"{DESK}-1 saved: {said}" in seat.rows[-2]


async def test_in_metric_units_it_is_litres(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("s", "f3", "r")
        assert seat.box.startswith("Sap (litres), Brix and syrup (litres) of Tue 9 Feb?")
        await seat.keys("9000 2 220", "enter")
        (run,) = seat.written()
        assert isinstance(run, Run)
        assert (run.sap_l, run.brix, run.syrup_l) == (9000, 2, 220)
        assert (run.sap_gal, run.syrup_gal) == (None, None)
        assert "saved: sap 9,000 l, 2 Brix, syrup 220 l" in seat.text


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("24 x", "! 'x' does not say what a run brought."),
        ("", "! '' does not say what a run brought."),
        ("2400 2.1 58 7", "! '2400 2.1 58 7' does not say what a run brought."),
        ("-5", "! '-5' does not say what a run brought."),
        ("nan", "! 'nan' does not say what a run brought."),
        ("2400 101", "! 101 Brix is no sweetness of sap."),  # sweeter than sugar
        ("2400 0", "! 0 Brix is no sweetness of sap."),
    ],
)
async def test_words_that_say_no_run_stay_in_the_field_with_the_reason(
    demo: Season, laptop: Laptop, typed: str, why: str
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("s", "r")
        await seat.keys(typed, "enter")
        assert seat.box.startswith(f"{ASKED} {typed}".strip())
        assert why in seat.box
        await seat.press("escape")
        seat.screen(SeasonScreen)
        assert seat.written() == []


async def test_a_run_that_was_refused_is_put_right_and_taken(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("s", "r")
        await seat.keys("24x", "enter", "backspace", "enter")
        assert runs(seat) == [("2027-02-09", 24, None, None)]


@pytest.mark.parametrize(
    ("keys", "typed", "why"),
    [
        ((), "100 12.1", "12.1 Brix is sweet for sap."),
        # Quillby Hollow has 257 taps: at 6 gallons each 1,542, or 5,837 litres.
        ((), "1543 2", "1,543 gal are 6.0 a tap in one run."),
        (("f3",), "5838 2", "1,542 gal are 6.0 a tap in one run."),
        ((), "9000 20 300", "20 Brix is sweet for sap."),  # one is enough to ask about
    ],
)
async def test_an_odd_run_is_asked_about_and_taken_when_enter_is_pressed_again(
    season: Season, fresh_laptop: Laptop, keys: tuple[str, ...], typed: str, why: str
) -> None:
    fresh_laptop.set_keying(season.book.id, "Oda")
    async with sit_down(season, fresh_laptop) as seat:
        await seat.press("s", *keys, "r")
        await seat.keys(typed, "enter")
        assert f"{typed} ! {why} Enter again if it is right." in seat.box
        assert read_runs(seat) == 0
        await seat.press("enter")
        seat.screen(SeasonScreen)
        assert read_runs(seat) == 1


@pytest.mark.parametrize(("keys", "typed"), [((), "1542 12"), (("f3",), "5837 12")])
async def test_a_run_that_is_still_believed_is_not_asked_about(
    season: Season, fresh_laptop: Laptop, keys: tuple[str, ...], typed: str
) -> None:
    fresh_laptop.set_keying(season.book.id, "Oda")
    async with sit_down(season, fresh_laptop) as seat:
        await seat.press("s", *keys, "r")
        await seat.keys(typed, "enter")
        assert read_runs(seat) == 1


async def test_what_was_put_right_after_a_question_is_asked_about_anew(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("s", "r")
        await seat.keys("2400 21", "enter", "backspace")
        await seat.keys("2", "enter")
        assert "! 22 Brix is sweet for sap." in seat.box
        await seat.press("left")
        await seat.keys(".", "enter")
        assert runs(seat) == [("2027-02-09", 2400, 2.2, None)]


async def test_escape_leaves_an_odd_run_unwritten_and_it_is_asked_about_again(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        for _time in range(2):
            await seat.press("s", "r")
            await seat.keys("2400 21", "enter")
            assert "! 21 Brix is sweet for sap." in seat.box
            await seat.press("escape", "escape")
        assert seat.written() == []


async def test_d_chooses_another_day_and_the_page_says_so(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("s")
        assert "Sap runs are of" not in seat.text
        await seat.press("d")
        await seat.paste("8 Feb", "enter")
        assert seat.rows[-2].strip() == "Sap runs are of Mon 8 Feb (not today)"
        await seat.press("r")
        assert "of Mon 8 Feb?" in seat.box
        await seat.keys("900", "enter")
        assert runs(seat) == [("2027-02-08", 900, None, None)]
        await seat.press("d")
        await seat.paste("today", "enter")
        assert "Sap runs are of" not in seat.text


async def test_a_day_outside_the_season_is_refused_with_the_run(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("s", "d")
        await seat.paste("2020-03-01", "enter", "r")
        await seat.keys("900", "enter")
        assert "outside season 2027, which runs from 2026-09-01 to 2027-08-31" in seat.box
        assert seat.written() == []


# --- a run of a block --------------------------------------------------------------------------


async def test_a_run_of_one_block_is_named_before_a_colon(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop, LARGE) as seat:
        await part(seat, "sap")
        await seat.press("r")
        assert "Of one block: brook: 900 2.2." in seat.box
        await seat.keys("brook: 900 2.2", "enter")
        (run,) = seat.written()
        assert isinstance(run, Run)
        assert (run.block, run.sap_gal, run.brix) == ("Brook Bend", 900, 2.2)
        assert seat.row(" Brook Bend ").split()[2:4] == ["1,003", "900"]


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("bruck: 900 2.2", "! No block is called 'bruck'. Did you mean: Brook Bend?"),
        ("s: 900", "! 's' could be more than one block. Did you mean: Sugar Hollow, Stone Fence?"),
        (": 900", "! No block is called ''. Did you mean: Upper Ridge, Brook Bend"),
        ("brook: much", "! 'much' does not say what a run brought."),
        ("brook:", "! '' does not say what a run brought."),
    ],
)
async def test_a_block_that_nobody_knows_is_refused_and_the_words_stay(
    demo: Season, laptop: Laptop, typed: str, why: str
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("s", "r")
        await seat.paste(typed, "enter")
        assert why in seat.box
        assert typed in seat.box
        assert seat.written() == []


# --- seasons with little in them ---------------------------------------------------------------


async def read(season: Season, laptop: Laptop) -> str:
    """The whole page of a season that Oda reads; she looks at the board, and opens it there."""
    laptop.set_keying(season.book.id, "Oda")
    async with sit_down(season, laptop, TALL) as seat:
        await seat.press("w", "escape", "s")
        seat.screen(SeasonScreen)
        return seat.text


async def test_a_book_with_nothing_in_it(tmp_path: Path, fresh_laptop: Laptop) -> None:
    book = Book.new(tmp_path / "bare", name="Bare Hill", year=2027, desk=DESK)
    said = await read(Season(book), fresh_laptop)
    assert "Bare Hill, season 2027, as of Tue 9 Feb 2027" in said
    assert "When each task is done" not in said
    book.close()


async def test_a_season_with_a_checklist_and_no_lines(book: Book, fresh_laptop: Laptop) -> None:
    said = await read(Season.begin(book, "vacuum", by="Oda", now=NOW), fresh_laptop)
    assert "Taps in 0 of 0" in said
    assert "When each task is done" not in said


async def test_before_anybody_has_begun_days_are_told_and_nothing_is_late(
    season: Season, fresh_laptop: Laptop
) -> None:
    said = await read(season, fresh_laptop)
    assert "Tapping 257 - - -" in said
    assert "Late:" not in said


async def test_a_count_of_nothing_breaks_no_curve(season: Season, fresh_laptop: Laptop) -> None:
    season.record(count("Creek/Culvert", "tapping", 0))
    assert "Taps in 0 of 257" in await read(season, fresh_laptop)


async def test_nothing_planned_and_nothing_done_is_a_curve_of_nothing(
    book: Book, fresh_laptop: Laptop
) -> None:
    season = Season.begin(book, "vacuum", by="Oda", now=NOW)
    rests = Line(block="Ledge", line="Cliff", order=1, taps_planned=0, **stamp())
    season.record(Block(block="Ledge", order=1, **stamp()), rests, Person(person="Oda", **stamp()))
    season.record(count("Ledge/Cliff", "tapping", 0))
    assert "Taps in 0 of 0" in await read(season, fresh_laptop)


async def test_with_everything_done_there_is_nothing_to_forecast(
    season: Season, fresh_laptop: Laptop
) -> None:
    for task in season.plan.tasks:
        for line in season.plan.lines:
            if left := season.ledger.line_cell(line, task).tally.left:
                season.record(count(f"{line.block}/{line.line}", task.key, left))
    said = await read(season, fresh_laptop)
    assert "Taps in 257 of 257 (100 %), left 0" in said
    assert "When each task is done" not in said
    assert "First:" not in said


async def test_with_everything_set_aside_nothing_is_next(
    season: Season, fresh_laptop: Laptop
) -> None:
    for task in season.plan.tasks:
        for line in season.plan.lines:
            season.record(aside(f"{line.block}/{line.line}", task.key, "ice"))
    said = await read(season, fresh_laptop)
    assert "When each task is done" in said
    assert "First:" not in said
    assert "The order is for" not in said


async def test_while_only_pulling_is_left_and_not_begun_nothing_is_next(
    season: Season, fresh_laptop: Laptop
) -> None:
    for line in season.plan.lines:
        where = f"{line.block}/{line.line}"
        season.record(count(where, "tapping", line.taps_planned or 0))
        season.record(
            *(finish(where, task) for task in ("drops", "tapping", "tensioning", "leaks"))
        )
    said = await read(season, fresh_laptop)
    assert "Pulling taps 257" in said
    assert "First:" not in said
    assert "The order is for" not in said
