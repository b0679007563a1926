"""`w`: where the numbers on a screen come from. What the pages say is told in tests/reports."""

import pytest
from textual.widgets import Static

from fieldbook.book.book import Book
from fieldbook.book.entry import Checklist, Line, Run, Task
from fieldbook.laptop import Laptop
from fieldbook.reports.forecast import forecast
from fieldbook.reports.whence import Whence, line_whence, season_whence, task_whence
from fieldbook.screens.board import Board
from fieldbook.screens.dialogs import WhencePage
from fieldbook.screens.round import Round
from fieldbook.screens.season import SeasonScreen
from fieldbook.season.season import Season
from tests.conftest import stamp
from tests.screens.conftest import EVENING, LARGE, Seat, sit_down

TODAY = EVENING.date()


def page(seat: Seat) -> list[str]:
    """Every line of the page on top, also those that are scrolled out of sight."""
    title, *lines, _hint = seat.screen(WhencePage).query(Static)
    return [str(line.content) for line in (title, *lines)]


def flat(told: list[Whence]) -> list[str]:
    return [words for head, lines in told for words in (head, *lines)]


async def test_on_the_board_it_is_the_cell_of_the_cursor(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        for moves, block, key in (
            ((), "Brook Bend", "tapping"),
            (("down", "left"), "Old Orchard", "drops"),
            (("right", "right", "right", "right"), "Old Orchard", "pulling"),
        ):
            await seat.press(*moves, "w")
            task = demo.plan.find_task(key)
            told = flat(task_whence(demo, task, block, forecast(demo, TODAY)))
            assert page(seat) == [f"Where it comes from: {block}, {task.title.lower()}", *told]
            await seat.press("escape")
            seat.screen(Board)


async def test_on_the_round_it_is_the_line_of_the_cursor(demo: Season, laptop: Laptop) -> None:
    task = demo.plan.find_task("tapping")
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        for line in demo.plan.walk["Brook Bend"][6:9]:
            await seat.press("w")
            assert page(seat) == [
                f"Where it comes from: {line.line}",
                *flat(line_whence(demo, line, task, "us")),
            ]
            await seat.press("escape", "down")
            seat.screen(Round)


async def test_on_the_season_it_is_every_task_what_is_first_and_the_sap(
    demo: Season, laptop: Laptop
) -> None:
    demo.record(Run(sap_gal=2400, brix=2.1, **stamp()))
    async with sit_down(demo, laptop) as seat:
        await seat.press("s", "w")
        told = flat(season_whence(demo, forecast(demo, TODAY)))
        assert page(seat) == ["Where it comes from: the season", *told]
        await seat.scroll("end")
        assert "its -0.32 from memory" in seat.box
        for key in ("escape", "enter", "q"):
            await seat.press(key)
            seat.screen(SeasonScreen)
            await seat.press("w")


async def test_in_an_empty_book_the_season_says_where_nothing_comes_from(
    book: Book, fresh_laptop: Laptop
) -> None:
    fresh_laptop.set_keying(book.id, "Oda")
    async with sit_down(Season(book), fresh_laptop) as seat:
        await seat.press("w")
        seat.screen(Board)  # there is no cell
        await seat.press("s", "w")
        assert page(seat) == ["Where it comes from: the season"]


async def test_it_scrolls_to_its_end(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.press("w")
        assert seat.box.startswith("Where it comes from: Brook pair Planned 142 taps")
        await seat.scroll("end")
        assert "Local codes, labels and trained practice come first." in seat.box


async def test_a_long_line_goes_on_under_its_beginning(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.press("w")
        inside = [row.split("│")[1] for row in seat.rows if row.count("│") == 2]
        heads = {"Where", "Planned", "Done", "Last", "Trees", "Drops", "Arrows:"}
        assert {row.split()[0] for row in inside if not row.startswith("   ")} <= heads


async def test_the_keys_of_a_page_leave_it(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        for key in ("escape", "enter", "q"):
            await seat.press("w")
            seat.screen(WhencePage)
            await seat.press(key)
            seat.screen(Board)


async def test_digits_typed_before_stay(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.keys("80", "w", "escape")
        assert "Tue 9 Feb: 80_" in seat.text
        assert seat.written() == []


@pytest.mark.parametrize("size", [(80, 24), LARGE])
async def test_every_cell_and_every_line_has_a_page(
    season: Season, fresh_laptop: Laptop, size: tuple[int, int]
) -> None:
    """Lines of unknown length, slope and size, no season before, and a task of the crew's own."""
    force = season.plan.checklist
    assert force is not None
    own = Task(key="signs", title="Signs", short="Signs", counts="signs", planned="side ties")
    season.record(
        Checklist(checklist="ours", tasks=(*force.tasks, own), **stamp()),
        Line(block="Creek", line="Bog", order=4, layout="pair", **stamp()),
    )
    fresh_laptop.set_keying(season.book.id, "Oda")
    async with sit_down(season, fresh_laptop, size) as seat:
        for _block in season.plan.blocks:
            await seat.press("home", *["left"] * 6)
            for task in season.plan.tasks:
                await seat.press("w")
                assert page(seat)[1].startswith(f"{task.title}: planned ")
                await seat.press("escape", "right")
        for block in season.plan.blocks:
            for task in season.plan.tasks:
                for line in season.plan.walk[block]:
                    await seat.walk(block, task.key, line.line)
                    await seat.press("w")
                    gauges = task.counts == "readings"  # of which it says where first
                    begins = f"{block} / {line.line}" if gauges else "Planned "
                    assert page(seat)[1].startswith(begins)
                    await seat.press("escape", "escape")
