"""Season: a page to read, and the one place where sap and syrup of a day are written down."""

from pathlib import Path

import pytest

from fieldbook.book.book import Book
from fieldbook.book.entry import Block, Line, Person, Run
from fieldbook.laptop import Laptop
from fieldbook.reports.forecast import forecast
from fieldbook.reports.render.curves import season_curve
from fieldbook.screens.board import Board
from fieldbook.screens.season import SeasonScreen
from fieldbook.season.dates import brief_day
from fieldbook.season.season import Season
from tests.conftest import NOW, aside, count, finish, stamp
from tests.screens.conftest import BAR, DESK, EVENING, LARGE, SMALL, Seat, sit_down
from tests.screens.test_together import look

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
    drawn = season_curve(curve, TODAY, width=size[0] - 4, height={24: 15, 40: 18}[size[1]])
    async with sit_down(demo, laptop, size) as seat:
        await seat.press("s")
        shown = [row.rstrip(BAR) for row in seat.below[: len(drawn)]]
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
        assert seat.rows[-3].strip() == "Sap runs are of Mon 8 Feb (not today)"
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
