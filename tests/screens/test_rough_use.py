"""Rough use: keys faster than the screen, windows too small, a plan with holes, a night between.

Keys come faster than the screen whenever the disk makes the screen wait: a stick, a shared folder.
`burst` sends them as a terminal does then, all at once.
"""

from datetime import date, timedelta
from pathlib import Path

import pytest

from fieldbook.book.book import Book
from fieldbook.book.entry import Block, Checklist, Finish, Line, Note
from fieldbook.laptop import Laptop
from fieldbook.screens.board import Board
from fieldbook.screens.round import Round
from fieldbook.season.season import Season
from tests.conftest import NOW, PLAN, stamp
from tests.screens.conftest import DESK, EVENING, sit_down
from tests.screens.test_round import counts, here


@pytest.fixture
def oda(fresh_laptop: Laptop, book: Book) -> Laptop:
    """Oda's laptop, with Quillby Hollow."""
    fresh_laptop.set_keying(book.id, "Oda")
    return fresh_laptop


# --- keys faster than the screen ---------------------------------------------------------------


async def test_digits_typed_ahead_do_not_overtake_enter(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.burst("8", "0", "enter", "8", "enter", "9", "enter")
        assert counts(seat) == [
            ("Ina", "Brook pair", 80),
            ("Ina", "Cedar main", 8),
            ("Ina", "Lower loop", 9),
        ]


async def test_enter_that_bounces_answers_once_and_stays_in_the_round(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.press("n")
        await seat.paste("ice")
        await seat.burst("enter", "enter")
        assert [e.text for e in seat.written() if isinstance(e, Note)] == ["ice"]
        seat.screen(Round)


async def test_a_name_typed_ahead_is_not_taken_for_another(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.burst("p", "r", "enter", "8", "0", "enter")
        assert counts(seat) == [("Rae", "Brook pair", 80)]


@pytest.mark.parametrize(
    ("keys", "expected"),
    [
        ("down 8 0 enter", [("Ina", "Cedar main", 80)]),
        ("5 escape 8 0 enter", [("Ina", "Brook pair", 80)]),
        (
            "p m enter 8 0 enter p down down enter 9 enter",  # from Milo on: Rae, Tor
            [
                ("Milo", "Brook pair", 80),
                ("Tor", "Cedar main", 9),
            ],
        ),
        ("n i c e enter 8 0 enter", [("Ina", "Brook pair", 80)]),
        ("escape enter 8 0 enter", [("Ina", "Brook pair", 80)]),
        ("k r enter 8 0 enter", [("Ina", "Brook pair", 80)]),
        ("g slash z escape 8 0 enter", [("Ina", "Brook pair", 80)]),
        ("question_mark escape 8 0 enter", [("Ina", "Brook pair", 80)]),
        ("d y e s t e r d a y enter 8 0 enter", [("Ina", "Brook pair", 80)]),
        ("down f i c e enter 8 0 enter", [("Ina", "Cedar main", 80)]),
    ],
)
async def test_keys_take_effect_in_the_order_in_which_they_are_pressed(
    demo: Season, laptop: Laptop, keys: str, expected: list[tuple[str, str, int]]
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("enter")
        await seat.burst(*keys.split())
        assert counts(seat) == expected


# --- digits that are not recorded --------------------------------------------------------------


async def test_escape_takes_back_the_digits_before_it_leaves_the_round(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.keys("80", "escape")
        seat.screen(Round)
        assert "Tue 9 Feb: _" in seat.text
        await seat.press("escape")
        seat.screen(Board)


# --- a night between ---------------------------------------------------------------------------


async def test_a_book_left_open_overnight_counts_for_the_new_day(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        seat.app.session.clock = lambda: EVENING + timedelta(days=1)
        await seat.keys("80", "enter")
        assert [entry.day for entry in seat.written()] == [date(2027, 2, 10)]


# --- a plan that is empty ----------------------------------------------------------------------


@pytest.mark.parametrize("begun", [True, False], ids=["checklist in force", "nothing at all"])
async def test_an_empty_plan_says_how_to_begin_and_no_key_breaks_it(
    tmp_path: Path, fresh_laptop: Laptop, begun: bool
) -> None:
    book = Book.new(tmp_path / "new", name="New Woods", year=2027, desk=DESK)
    season = Season.begin(book, "vacuum", by="Ina", now=EVENING) if begun else Season(book)
    async with sit_down(season, fresh_laptop) as seat:
        assert "The plan has no lines yet" in seat.text
        assert "fieldbook blank lines > lines.csv fieldbook import lines.csv" in seat.text
        keys = ["down", "right", "end", "enter", "slash", "enter", "escape", "s", "escape"]
        await seat.press(*keys, "g", "escape", "question_mark", "escape")
        await seat.press("o", *"cxhtufwg", "enter", *["escape"] * 4)
        await seat.press("b", "enter", "escape", "p", "escape", "t", "escape")
        await seat.press("h", *["enter"] * 9, *["escape"] * 10)
        await seat.press("s", "c", "escape", "escape")
        seat.screen(Board)
    book.close()


async def test_a_board_without_blocks_has_no_crumbs(tmp_path: Path, fresh_laptop: Laptop) -> None:
    book = Book.new(tmp_path / "new", name="New Woods", year=2027, desk=DESK)
    async with sit_down(Season(book), fresh_laptop) as seat:
        assert "~" not in seat.text
    book.close()


# --- a plan with holes -------------------------------------------------------------------------


async def test_a_plan_without_tasks_opens(book: Book, oda: Laptop) -> None:
    season = Season(book)
    season.record(*PLAN)
    async with sit_down(season, oda) as seat:
        await seat.press("down", "enter", "slash", "escape", "s", "escape")
        await seat.press("o", "enter", "c", "escape", "escape", "p", "escape")
        seat.screen(Board)


async def test_a_checklist_struck_under_a_round_refuses_the_count_in_words(
    season: Season, oda: Laptop
) -> None:
    async with sit_down(season, oda) as seat:
        await seat.walk("Creek")
        (force,) = [e.id for e in season.book.entries if isinstance(e, Checklist)]
        season.strike(force, "wrong template", by="Oda", now=NOW)
        await seat.keys("5", "enter")
        assert "! No task is called 'tapping'." in seat.text
        await seat.press("escape", "escape")  # the first takes back the digits
        seat.screen(Board)


async def test_a_block_struck_under_a_round_can_be_left_with_an_arrow(
    season: Season, oda: Laptop
) -> None:
    async with sit_down(season, oda) as seat:
        await seat.walk("Creek")
        gone = [e.id for e in season.book.entries if isinstance(e, Block | Line)]
        for entry in gone:
            where = season.book.entry(entry)
            if isinstance(where, Block | Line) and where.block == "Creek":
                season.strike(entry, "sold", by="Oda", now=NOW)
        await seat.press("right")
        assert seat.rows[1].startswith(" Ledge / Tapping")


async def test_a_block_without_lines_has_no_card_of_another_block(
    season: Season, oda: Laptop
) -> None:
    season.record(Block(block="Moor", order=3, **stamp()))
    async with sit_down(season, oda) as seat:
        await seat.walk("Creek")
        await seat.press("right")
        assert seat.rows[1].startswith(" Moor / Tapping   line 0 of 0")
        assert "Ford" not in seat.text


async def test_a_block_without_lines_says_so_and_takes_no_digits(
    season: Season, oda: Laptop
) -> None:
    season.record(Block(block="Moor", order=3, **stamp()))
    async with sit_down(season, oda) as seat:
        await seat.walk("Moor")
        says = "Moor has no lines in the plan: import a table that lists them."
        assert f"\n {says}\n" in "\n".join(seat.rows)
        for key in ("5", "enter", *"fnrshxlvaj"):
            await seat.press(key)
            assert f"! {says}" in seat.text
            assert "Tue 9 Feb: _" in seat.text
            await seat.press("right", "left")
        assert seat.written() == []


async def test_no_key_breaks_on_a_block_without_lines(season: Season, oda: Laptop) -> None:
    season.record(Block(block="Moor", order=3, **stamp()))
    async with sit_down(season, oda) as seat:
        await seat.walk("Moor")
        keys = ["enter", "f", "n", "s", "h", "x", "r", "t", "y", "u", "exclamation_mark"]
        await seat.press("5", *keys, "down", "end", "f3", "left", "right")
        seat.screen(Round)
        assert seat.on_disk().last_keyed("Oda") is None


async def test_a_line_whose_plan_is_unknown_takes_a_count_and_says_so(
    season: Season, oda: Laptop
) -> None:
    async with sit_down(season, oda) as seat:
        await seat.walk("Creek", "tensioning")
        assert "0 of ?" in seat.row("  Ford  ")
        await seat.keys("20", "enter", "up", "f")  # nothing known to be left: no question
        assert "[x]    20 of ?" in seat.row("  Ford  ")
        assert isinstance(list(seat.on_disk().book.entries)[-1], Finish)


async def test_a_line_that_nobody_knows_to_be_short_is_not_called_so(
    season: Season, oda: Laptop
) -> None:
    async with sit_down(season, oda) as seat:
        await seat.walk("Creek", "tensioning")
        await seat.keys("20", "enter")
        assert "short" not in seat.text


# --- windows that are too small ----------------------------------------------------------------


async def test_a_very_small_window_breaks_nothing(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        for size in ((60, 18), (30, 8), (4, 2)):
            await seat.resize(size)
            for keys in (
                "o c escape x escape w escape escape",
                "b t enter enter escape",
                "h enter enter down escape escape escape escape escape",
                "t enter enter up escape escape",
            ):
                await seat.press(*keys.split())
            seat.screen(Board)
            for keys in ("enter p escape", "n escape 8 0 enter", "g x escape", "escape escape s"):
                await seat.press(*keys.split())
            await seat.press("escape", "question_mark", "escape", "slash", "escape")
            seat.screen(Board)
        await seat.resize((80, 24))
        await seat.press("enter")
        assert here(seat) == "9  Lower loop"
        assert len(counts(seat)) == 3
