"""Logbook: every entry, newest last; found as one types, struck with a reason, never erased."""

from pathlib import Path

import pytest

from fieldbook.book.book import Book
from fieldbook.book.entry import Strike
from fieldbook.laptop import Laptop
from fieldbook.screens.board import Board
from fieldbook.screens.logbook import Logbook
from fieldbook.season.season import Season
from tests.screens.conftest import DESK, LARGE, Seat, sit_down


def entries(seat: Seat) -> list[str]:
    """The rows of the list that are in sight."""
    rows = seat.below
    rule = next(i for i, row in enumerate(rows) if row.startswith("───"))
    return [row for row in rows[1:rule] if row]


def entry(seat: Seat) -> list[str]:
    """What stands under the list about the current entry."""
    rows = seat.rows
    rule = next(i for i, row in enumerate(rows) if row.startswith("───"))
    return rows[rule + 1 :]


# --- reading -----------------------------------------------------------------------------------


async def test_the_newest_entry_stands_last_under_the_cursor(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("enter")
        await seat.keys("80 2", "enter")
        await seat.press("escape", "g")
        assert seat.below[0] == f" Logbook   {len(demo.book.entries)} entries"
        assert entries(seat)[-1].startswith(f" >{DESK}-1")
        assert entry(seat)[0] == f" {DESK}-1  count, written by Ina, Tue 9 Feb 17:00"
        assert entry(seat)[1].split("   ") == [
            " Tue 9 Feb 2027",
            "Ina",
            "Brook Bend / Brook pair",
            "tapping",
        ]
        assert entry(seat)[2] == " 80 taps, 2 h"
        await seat.press("home")
        assert entries(seat)[0].startswith(" >k7f2q-1 ")
        assert "season_begins = 2026-09-01" in entry(seat)[2]
        await seat.press("pagedown", "end", "pageup", "up", "down")
        seat.screen(Logbook)


async def test_from_the_round_it_opens_on_the_block(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Sugar Hollow")
        await seat.press("g")
        assert seat.below[0].endswith(f"of {len(demo.book.entries)} entries with: Sugar Hollow")
        assert all("Sugar Hollow" in row for row in entries(seat))
        await seat.press("escape")
        assert seat.below[0].startswith(" Sugar Hollow / Tapping")


async def test_enter_reads_a_long_entry_to_its_end(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("g", "slash")
        await seat.paste("whoever goes in after me", "enter", "enter")
        assert seat.box.startswith("Entry")
        await seat.scroll("end")
        assert "Write the count down before you cross the brook, not after." in seat.box
        await seat.press("escape")
        seat.screen(Logbook)


# --- finding -----------------------------------------------------------------------------------


async def test_entries_are_found_as_one_types(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("g", "slash")
        await seat.keys("led")
        assert seat.below[0].endswith(f"of {len(demo.book.entries)} entries with: led")
        await seat.keys("ge rae finish")
        assert seat.below[0].startswith(" Logbook   1 of ")
        assert seat.below[0].endswith(" with: ledge rae finish")
        assert entries(seat) == [
            " >m4w8d-125  Tue 9 Feb  Rae     Brook Bend / Ledg~ finished tapping"
        ]
        await seat.press("enter", "q")  # back in the list: a letter is no longer typed
        assert seat.below[0].endswith("with: ledge rae finish")


async def test_words_that_nobody_wrote_find_nothing_and_no_key_breaks_on_it(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("g", "slash")
        await seat.paste("volcano", "enter", "enter", "x", "down", "home")
        assert seat.below[0].startswith(" Logbook   0 of ")
        assert seat.below[0].endswith(" with: volcano")
        assert entries(seat) == []
        await seat.press("slash")
        await seat.paste("érablière", "enter")
        assert entries(seat)
        await seat.press("escape")
        seat.screen(Board)


async def test_escape_leaves_from_the_words_as_well(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("g", "slash")
        await seat.keys("rae", "escape")
        seat.screen(Board)


async def test_f1_helps_where_a_question_mark_is_a_letter(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("g", "slash")
        await seat.keys("half of it?")
        assert seat.below[0].endswith("with: half of it?")
        await seat.press("f1")
        assert "Strike this entry, and say why." in seat.box


async def test_an_empty_logbook_is_no_trap(tmp_path: Path, fresh_laptop: Laptop) -> None:
    book = Book.new(tmp_path / "new", name="New Woods", year=2027, desk=DESK)
    async with sit_down(Season(book), fresh_laptop) as seat:
        await seat.press("g", "enter", "x", "down", "end", "slash")
        await seat.keys("a", "enter", "enter", "escape")
        seat.screen(Board)
    book.close()


async def test_the_current_entry_stays_in_sight_in_a_smaller_window(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop, LARGE) as seat:
        await seat.press("g")
        await seat.resize((80, 24))
        assert entries(seat)[-1].startswith(" >")


# --- striking ----------------------------------------------------------------------------------


async def test_x_strikes_with_a_reason_and_what_was_written_stays_readable(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("g", "slash")
        await seat.paste("m4w8d-124", "enter", "x")
        assert seat.box == "Strike m4w8d-124: 148 taps, 3.25 h. Why is it wrong?"
        await seat.press("enter")
        assert "! The reason cannot be empty." in seat.box
        assert seat.written() == []
        await seat.paste("counted twice", "enter")

        (strike,) = seat.written()
        assert isinstance(strike, Strike)
        assert (strike.entry, strike.by, strike.reason) == ("m4w8d-124", "Ina", "counted twice")
        assert f"{DESK}-1 saved: struck m4w8d-124: counted twice" in seat.text
        first, last = entries(seat)
        assert first.startswith(" >m4w8d-124")
        assert first.endswith("struck: tapping: 148 taps, 3~")
        assert last.startswith(f"  {DESK}-1")
        assert last.endswith("struck m4w8d-124: counted tw~")
        assert entry(seat)[2] == f" struck by Ina, {DESK}-1: counted twice"
        await seat.press("escape")
        assert "Taps in 4,991 of 11,960" in seat.below[0]  # 5,139 less 148


@pytest.mark.parametrize(
    ("found", "words"),
    [
        ("milo k7f2q-358", "! k7f2q-358 was struck already by Ina: keyed on the wrong line"),
        ("ina k7f2q-358 strike", "! k7f2q-359 is itself a strike and cannot be struck."),
    ],
)
async def test_striking_what_cannot_be_struck_is_refused_in_words(
    demo: Season, laptop: Laptop, found: str, words: str
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("g", "slash")
        await seat.paste(found, "enter", "home", "x")
        await seat.paste("once more", "enter")
        assert words in seat.text
        assert seat.written() == []


async def test_a_struck_entry_says_so_who_struck_it_and_why(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("g", "slash")
        await seat.paste("struck k7f2q-358", "enter", "home")
        assert entries(seat)[0].startswith(" >k7f2q-358")
        assert "struck: tapping: 62 taps" in entries(seat)[0]
        assert entry(seat)[2] == (
            " struck by Ina, k7f2q-359: keyed on the wrong line: it was Brook pair"
        )


async def test_a_long_entry_leaves_room_for_what_became_of_it(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("g", "slash")
        await seat.paste("whoever goes in after me", "enter", "x")
        await seat.paste("not so any more", "enter")
        assert f"{DESK}-1 saved: struck" in " ".join(entry(seat))


async def test_a_long_entry_leaves_room_for_the_reason(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.press("n")
        await seat.paste("deep snow all the way " * 60, "enter", "u")
        await seat.paste("not so any more")
        assert "not so any more" in seat.box


async def test_a_long_reason_leaves_room_for_what_became_of_it(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("g", "x")
        await seat.paste("keyed on the wrong line, and in the wrong block " * 20, "enter")
        rows = entry(seat)
        assert f"{DESK}-1 saved: struck" in " ".join(rows)
        assert rows[0].startswith(" m4w8d-125  finish, written by Zoë")
