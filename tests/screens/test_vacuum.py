"""The Vacuum screen: which lines lose most, why, and the way that loses least."""

from pathlib import Path

import pytest

from fieldbook.book.entry import Reading
from fieldbook.errors import BookError
from fieldbook.laptop import Laptop
from fieldbook.screens.board import Board
from fieldbook.screens.logbook import Logbook
from fieldbook.screens.round import Round
from fieldbook.screens.vacuum import Vacuum, read_way
from fieldbook.season.season import Season
from tests.screens.conftest import LARGE, Seat, sit_down


async def vacuum(seat: Seat) -> Vacuum:
    await seat.press("v")
    return seat.screen(Vacuum)


def lines(seat: Seat) -> list[str]:
    """The lines in the list, from the top."""
    return [item.line.line for item in seat.screen(Vacuum).list.items if item.line is not None]


async def test_the_worst_line_stands_first_and_says_why(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await vacuum(seat)
        assert "Pump 25.5 inHg (Tue 9 Feb 07:10) ceiling 28.8" in seat.text
        assert "! 4,963 of 5,139 taps are under vacuum: 176 are shut off." in seat.text
        assert lines(seat)[:3] == ["Boulder main", "Snow fence main", "Long pair"]
        assert "valve shut: birch down on it in the night wind" in seat.text
        await seat.press("down")
        assert "cut off in between; look for a shut valve" in " ".join(seat.text.split())
        await seat.press("down")
        said = " ".join(seat.text.split())
        assert "the sap pipe is full and cuts off the air" in said
        assert "! Alone at night nobody walks" in said


async def test_the_strip_names_each_block_with_its_worst_lines(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop, LARGE) as seat:
        await vacuum(seat)
        assert seat.row("North Slope  ").strip().startswith("North Slope  5 of 9 within 1.0, loses")
        assert "Snow fence main 24.7" in seat.row("North Slope  ")
        assert "Boulder main shut" in seat.row("Upper Ridge  ")


async def test_a_tall_screen_draws_the_vacuum_by_day(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop, LARGE) as seat:
        await vacuum(seat)
        at = lines(seat).index("Ridge pair")
        await seat.press(*["down"] * at)
        assert "25.5 |--" in seat.text
        assert "22.0 |" in seat.text
        assert "- pump o line" in seat.text


async def test_the_way_for_two_people_and_where_to_stop(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop, LARGE) as seat:
        await vacuum(seat)
        first = lines(seat)
        await seat.press("r")
        assert "How many go, and for how many hours?" in seat.box
        await seat.press(*["backspace"] * 3)
        await seat.keys("2 4", "enter")
        text = seat.text
        assert text.index("Way 1:") < text.index("Way 2:") < text.index("Stop here:")
        assert seat.screen(Vacuum).list.cursor == 0
        for caution in ("Alone at night nobody walks", "Local codes, product labels"):
            assert caution in text  # the cursor stands on the head of a way
        await seat.press("escape")
        assert lines(seat) == first
        await seat.press("escape")
        seat.screen(Board)


async def test_an_hour_for_one_leaves_lines_for_later(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop, LARGE) as seat:
        await vacuum(seat)
        await seat.press("r", *["backspace"] * 3)
        await seat.keys("1 1", "enter")
        assert "Worth it, but the hours are too short" in seat.text
        assert lines(seat)[:2] == ["Boulder main", "Snow fence main"]


@pytest.mark.parametrize(
    ("text", "way"), [("2 4", (2, 4.0)), ("1 0,5", (1, 0.5)), ("3 24", (3, 24))]
)
def test_people_and_hours(text: str, way: tuple[int, float]) -> None:
    assert read_way(text) == way


@pytest.mark.parametrize(
    "text", ["", "2", "two 4", "0 4", "100 4", "2 25", "2 -1", "1 2 3", "2 nan"]
)
def test_what_is_no_way(text: str) -> None:
    with pytest.raises(BookError, match="how many go, and for how long"):
        read_way(text)


async def test_the_pump_is_read_here(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await vacuum(seat)
        await seat.press("m")
        assert "What does the gauge at the pump read, in inHg?" in seat.box
        await seat.keys("23.5: belt slips", "enter")
        (pump,) = seat.written()
        assert isinstance(pump, Reading)
        assert (pump.place, pump.vacuum_inhg, pump.note) == ("pump", 23.5, "belt slips")
        assert "Pump 23.5 inHg" in seat.text
        assert "look at the pump before the lines" in seat.text


async def test_enter_opens_the_leak_round_at_the_line_and_g_its_entries(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await vacuum(seat)
        await seat.press("down", "enter")
        shown = seat.screen(Round)
        assert (shown.block, shown.job.counts) == ("North Slope", "readings")
        assert seat.row(" 9  Snow fence main").startswith(" > ")
        await seat.keys("24.9", "enter", "escape")
        assert "Snow fence main" not in lines(seat)[:3]  # it is told anew
        await seat.press("g")
        seat.screen(Logbook)


async def test_where_the_numbers_come_from(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop, LARGE) as seat:
        await vacuum(seat)
        await seat.press(*["down"] * lines(seat).index("Ridge pair"), "w")
        said = " ".join(seat.box.split())
        assert "214 taps x 0.5 gal x 5 % x 3.5 inHg" in said
        assert "Wilmot, UVM; Centre ACER 2015" in said
        assert "h3s9p-" in said  # the readings by their ids


async def test_the_way_goes_on_paper(demo: Season, laptop: Laptop, tmp_path: Path) -> None:
    async with sit_down(demo, laptop, LARGE) as seat:
        await vacuum(seat)
        for name, begins in (("way.pdf", b"%PDF"), ("way.txt", b"Harrow Hill")):
            path = tmp_path / name
            await seat.press("p")
            assert "into which file?" in seat.box
            await seat.press(*["backspace"] * 40)
            await seat.paste(str(path), "enter")
            assert f"the way is written to {path}"[:40] in " ".join(seat.text.split())
            assert path.read_bytes().startswith(begins)
        assert seat.written() == []  # nothing is recorded


async def test_metric_units_are_metric_everywhere(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop, LARGE) as seat:
        await vacuum(seat)
        await seat.press("f3")
        assert "Pump 86 kPa" in seat.text
        assert "kPa" in seat.row("Line ")
        assert (
            "inHg" not in seat.text.split("o open items")[0].split("Pump 86", 1)[1].split("kPa")[1]
        )


async def test_a_crew_without_a_pump_is_told_so(demo: Season, laptop: Laptop) -> None:
    force = demo.plan.checklist
    assert force is not None
    async with sit_down(demo, laptop) as seat:
        tasks = [task for task in demo.plan.tasks if task.counts != "readings"]
        demo.plan._tasks = tasks
        await seat.press("v")
        seat.screen(Board)
        assert "there is no pump" in seat.text


async def test_it_is_at_home_in_a_small_window(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop, (60, 20)) as seat:
        await vacuum(seat)
        assert all(len(row) <= 60 for row in seat.rows)
        assert "Boulder" in seat.text


async def test_the_strip_and_the_round_are_metric_too(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop, LARGE) as seat:
        await vacuum(seat)
        await seat.press("f3")
        assert "North Slope  5 of 9 within 3, loses" in seat.row("North Slope  ")
        assert "Long pair 29" in seat.row("North Slope  ")  # 8.5 x 3.386
        await seat.press("down", "down", "enter")
        assert "58, 29 under; sap pipe full" in seat.row(" 5  Long pair")


async def test_the_board_says_of_leak_checks_what_the_gauges_say(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("right", "right")
        assert "Brook Bend, leak checks: not begun" in seat.text
        assert "v: 3 of 4 within 1.0, loses 18 gal Mill main 1.8, Bend pair 0.9" in seat.text
        await seat.press("left")
        assert "v: " not in seat.text
