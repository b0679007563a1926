"""The Vacuum screen: which lines lose most, why, and the way that loses least."""

from pathlib import Path

import pytest
from msgspec.structs import replace

from fieldbook.book.entry import Checklist, Line, Reading, clean
from fieldbook.errors import BookError
from fieldbook.laptop import Laptop
from fieldbook.reports.leaks import CAUTIONS
from fieldbook.screens.board import Board
from fieldbook.screens.logbook import Logbook
from fieldbook.screens.round import Round
from fieldbook.screens.vacuum import Vacuum, read_way
from fieldbook.screens.widgets.vacuum import in_rows
from fieldbook.season.checklist import load_template
from fieldbook.season.season import Season
from tests.conftest import count, stamp
from tests.screens.conftest import LARGE, SMALL, Seat, sit_down
from tests.screens.test_user_text import EVERY_TEXT, shown
from tests.season.gauges import TAPPED, leak_at, listened, mended, read
from tests.season.woods import valve


@pytest.fixture
def oda(fresh_laptop: Laptop, season: Season) -> Laptop:
    """Oda's laptop, for the book of Quillby Hollow."""
    fresh_laptop.set_keying(season.book.id, "Oda")
    return fresh_laptop


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
        await seat.press("r", "enter")
        assert lines(seat) != first
        await seat.press("r", "backspace", "enter")  # the field is marked: nothing is left in it
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
        name = lines(seat)[seat.screen(Vacuum).list.cursor]
        await seat.press("g")
        seat.screen(Logbook)
        assert name in seat.text


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
        await seat.press(*["down"] * lines(seat).index("Ridge pair"))
        assert "Tue 9 Feb: wet 75, dry 75, pump 86, 12 under" in seat.text  # 3.5 x 3.386
        # a leak stays in the unit it was keyed in
        assert not [row for row in seat.rows if "inHg" in row and "! leak:" not in row]


async def test_a_crew_without_a_pump_is_told_so(season: Season, oda: Laptop) -> None:
    title, tasks = load_template("gravity")
    season.record(Checklist(checklist=title, tasks=tasks, **stamp()))
    async with sit_down(season, oda) as seat:
        await seat.press("v")
        seat.screen(Board)
        assert "there is no pump" in seat.text


# --- what is not known yet, and what has no place ----------------------------------------------


async def test_where_nobody_has_read_anything_it_says_how_to_begin(
    season: Season, oda: Laptop
) -> None:
    season.record(*TAPPED)
    async with sit_down(season, oda) as seat:
        await vacuum(seat)
        assert "! Nobody read the pump" in seat.text
        assert "Nobody has read a line yet: Enter, then type what its far end reads." in seat.text
        await seat.press("enter")
        await seat.keys("22", "enter", "escape")
        assert "Nobody has read a line yet" not in seat.text
        assert "Tue 9 Feb: far end 22.0, pump by the book 25.0, 3.0 under" in seat.text


async def test_where_no_tap_is_in_there_is_no_line(season: Season, oda: Laptop) -> None:
    async with sit_down(season, oda) as seat:
        await vacuum(seat)
        assert "No line has taps in yet: there is nothing to read." in seat.text
        await seat.press("enter")
        assert "The cursor is on no line: there is nowhere to go." in seat.text
        await seat.press("w")
        assert "The rules" in seat.box


async def test_a_pump_read_yesterday_is_not_read_today(season: Season, oda: Laptop) -> None:
    season.record(*TAPPED, *read("08 07:00 pump 25.5\n08 09:00 Ledge/Cliff 24"))
    async with sit_down(season, oda) as seat:
        await vacuum(seat)
        assert "Pump 25.5 inHg (Mon 8 Feb 07:00)" in seat.text
        assert "! Nobody has read the pump today." in seat.text
        await seat.press("m")
        await seat.keys("25", "enter")
        assert "Nobody has read the pump today." not in seat.text


async def test_nothing_is_opened_from_words_between_lines(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await vacuum(seat)
        await seat.press("r", "enter", "enter")
        seat.screen(Vacuum)
        assert "The cursor is on no line: there is nowhere to go." in seat.text


async def test_a_crew_that_reads_gauges_no_more_has_no_round_for_it(
    season: Season, oda: Laptop
) -> None:
    season.record(*TAPPED, *read("09 07:00 pump 25.5\n09 09:00 Ledge/Cliff 24"))
    async with sit_down(season, oda) as seat:
        await vacuum(seat)
        title, tasks = load_template("gravity")  # on another laptop, meanwhile
        season.record(Checklist(checklist=title, tasks=tasks, **stamp()))
        await seat.press("enter")
        seat.screen(Vacuum)
        assert "No task of this crew counts readings of a gauge: there is no round." in seat.text


# --- the card, in the rows there are ------------------------------------------------------------


async def test_the_card_tells_the_gauges_the_test_and_what_mending_did(
    season: Season, oda: Laptop
) -> None:
    found = season.record(
        *TAPPED,
        *read("07 07:00 pump 25.5\n07 09:00 Ledge/Cliff head 25, far 21"),
        leak_at("07 09:30", "Ledge/Cliff", "third lateral"),
    )[-1]
    season.record(
        mended("07 15:00", found.id),
        *read("08 07:00 pump 25.5\n08 09:00 Ledge/Cliff head 25.3, far 24.8"),
        listened("08 10:00", "Ledge/Cliff", heard=False),
    )
    async with sit_down(season, oda, LARGE) as seat:
        await vacuum(seat)
        for words in (
            "Ledge / 1 Cliff 40 taps;",
            "Mon 8 Feb: head 25.3, far end 24.8, pump 25.5, 0.7 under; Sun 7 Feb 21.0",
            "valve test Mon 8 Feb: no air heard (Wim)",
            "mended Sun 7 Feb: came back: before 21.0, after 24.8, pump 25.5",
        ):
            assert words in seat.text


@pytest.mark.parametrize("size", [SMALL, (60, 20), (40, 16)])
async def test_the_card_keeps_a_caution_and_never_scrolls_the_screen(
    season: Season, oda: Laptop, size: tuple[int, int]
) -> None:
    season.record(
        *TAPPED,
        *read("08 07:00 pump 20\n08 09:00 Ledge/Cliff 2"),
        *(leak_at("08 09:30", "Ledge/Cliff", f"lateral {n}: {'chewed ' * 20}") for n in range(9)),
    )
    async with sit_down(season, oda, size) as seat:
        await vacuum(seat)
        assert seat.screen(Vacuum).max_scroll_y == 0
        assert seat.rows[-1].startswith(" Enter go there")
        assert any(row.startswith(" ! Alone at night") for row in seat.rows)
        assert "more: g" in seat.text
        assert any(row.startswith(" > ") for row in seat.rows)
        await seat.press("r", "enter")
        assert any(row.startswith(" > Way 1: ") for row in seat.rows)
        assert seat.screen(Vacuum).max_scroll_y == 0


async def test_with_little_room_the_line_is_named_before_its_block(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop, (60, 20)) as seat:
        await vacuum(seat)
        assert all(len(row) <= 60 for row in seat.rows)
        assert seat.row(" > ").startswith(" > 3 Boulder ma")
        await seat.press("r", *["backspace"] * 3)
        await seat.keys("2 4", "enter")
        assert "! 2 more: p prints them" in seat.text  # of the cautions


async def test_a_head_of_a_way_has_room_for_every_caution(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await vacuum(seat)
        await seat.press("r", "enter")
        for caution in CAUTIONS:
            assert caution in seat.text


def test_words_get_more_rows_from_the_top_while_there_are_any() -> None:
    parts = [("one two three", ""), ("four five six", ""), ("seven", "")]

    def said(rows: int) -> list[str]:
        return [part.plain for part in in_rows(parts, 8, rows, "{n} more")]

    assert said(9) == ["one\n   two\n   three", "four\n   five\n   six", "seven"]
    assert said(4) == ["one\n   two ~", "four~", "seven"]
    assert said(3) == ["one ~", "four~", "seven"]
    assert said(2) == ["2 more", "seven"]


@EVERY_TEXT
async def test_names_and_notes_are_shown_as_they_were_typed(
    season: Season, oda: Laptop, text: str
) -> None:
    name = clean(text, one_line=True)
    season.record(Line(block="Ledge", line=name, order=9, taps_planned=9, note=text, **stamp()))
    taps, pump, gauge = (
        count("Ledge/Cliff", "tapping", 9),
        *read("09 07:00 pump 25.5\n09 09:00 Ledge/Cliff 2"),
    )
    season.record(
        replace(taps, line=name),
        pump,
        replace(gauge, line=name),
        replace(leak_at("09 10:00", "Ledge/Cliff", text), line=name),
        replace(valve("Ledge/Cliff", "shut", text), line=name),
    )
    async with sit_down(season, oda, LARGE) as seat:
        await vacuum(seat)
        assert shown(text) in seat.row(" > ")
        assert f"! leak: {shown(text)}" in seat.text
        await seat.press("w")
        assert f"Ledge / {shown(text)}" in seat.box
        await seat.press("escape", "r", "enter")
        assert shown(text) in seat.row("   1. ")
        await seat.press("m")
        await seat.paste(f"24: {text}", "enter")
        assert season.ledger.of(Reading)[-1].note == clean(text).strip()
        assert f"pump reads 24 inHg: {shown(text)}" in seat.text


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


async def test_a_line_that_leaks_and_nobody_read_is_named_on_the_way(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop, LARGE) as seat:
        await seat.walk("Brook Bend", task="leaks", line="Spring main")
        await seat.press("l")
        await seat.keys("tree down on the main", "enter", "escape")
        await vacuum(seat)
        await seat.press("r", "enter")
        assert "They leak, and nobody read how much: read them first" in seat.text
        at = seat.screen(Vacuum).list.items
        heads = [n for n, item in enumerate(at) if item.words.startswith("They leak")]
        told = at[heads[0] + 1].line
        assert told is not None
        assert told.line == "Spring main"
