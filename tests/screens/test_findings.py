"""Round: what is found beside the count, and counts that do not match.

Brook Bend in the demo: 171 drops hang on Mill main (3), and 168 taps were planned and drilled; the
valve of Boulder main, Upper Ridge, is shut; Ina was issued 20 spouts on 9 February.
"""

from datetime import date
from typing import Any

import pytest

from fieldbook.book.entry import (
    Count,
    Finish,
    Leak,
    Line,
    Note,
    Repair,
    Spouts,
    Valve,
    WriteOff,
)
from fieldbook.laptop import Laptop
from fieldbook.screens.round import Round
from fieldbook.season.items import What, open_items
from fieldbook.season.season import Season
from tests.conftest import stamp
from tests.screens.conftest import EVENING, LARGE, Seat, sit_down
from tests.screens.test_out_back import at_stake
from tests.screens.test_round import here

NASTY = "[x] [/] [red] [b \x1b[31mred"
CLEAN = "[x] [/] [red] [b [31mred"


def off(seat: Seat, line: str) -> list[tuple[What, int]]:
    """What does not match on a line, for whoever opens the book next."""
    items = open_items(seat.on_disk().ledger, EVENING)
    return [(i.what, i.amount) for i in items if i.about.line == line and i.about.task]


def hang(season: Season, line: str, drops: int) -> None:
    """Have so many drops hang on a line of Brook Bend."""
    known = season.plan.line("Brook Bend", line)
    assert known is not None
    fields: dict[str, Any] = {
        name: getattr(known, name)
        for name in known.keys()  # noqa: SIM118
        if name not in ("v", "id", "tick", "at", "noted", "by", "drops")
    }
    season.record(Line(**fields, drops=drops, **stamp(by="Ina")))


# --- leaks, valves, repairs --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "text", "lost"),
    [
        ("hiss at the third tee", "hiss at the third tee", None),
        ("hiss at the third tee, 2.5 inHg", "hiss at the third tee", 2.5),
        (NASTY, CLEAN, None),
    ],
)
async def test_l_writes_down_a_leak_and_what_it_costs_where_that_was_read(
    demo: Season, laptop: Laptop, typed: str, text: str, lost: float | None
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Cedar main")
        after = at_stake(seat, more=1)
        await seat.press("l")
        assert "Leak on Cedar main: where and what?" in seat.box
        await seat.paste(typed, "enter")
        (leak,) = seat.written()
        assert isinstance(leak, Leak)
        assert (leak.block, leak.line, leak.who) == ("Brook Bend", "Cedar main", "Ina")
        assert (leak.text, leak.lost_inhg) == (text, lost)
        assert seat.row(f" ! leak: {text}")  # on the card
        assert after in seat.rows[0]


async def test_v_shuts_a_valve_with_a_reason_and_opens_it_again(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Ledge main")
        await seat.press("v", "enter")
        assert "Shut the valve of Ledge main: why?" in seat.box
        assert "! The text cannot be empty." in seat.box
        await seat.keys("split tee", "enter")
        assert "valve shut" in seat.row("  Ledge main  ")
        assert " ! valve shut: split tee (Ina has it, since Tue 9 Feb)" in seat.rows
        await seat.press("v")
        assert "The valve of Ledge main is open again? Words to go with it" in seat.box
        await seat.press("enter")
        valves = [(e.state, e.reason) for e in seat.written() if isinstance(e, Valve)]
        assert valves == [("shut", "split tee"), ("open", "")]
        assert "valve shut" not in seat.row("  Ledge main  ")


async def test_j_writes_down_what_is_promised_and_by_when(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Cedar main")
        await seat.press("j")
        await seat.keys("new tee by 12 Feb", "enter")
        (repair,) = seat.written()
        assert isinstance(repair, Repair)
        assert (repair.text, repair.due) == ("new tee", date(2027, 2, 12))
        assert "promised: new tee, by Fri 12 Feb" in seat.text


async def test_each_of_them_is_of_the_day_that_is_keyed_in(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        seat.app.session.day = date(2027, 2, 8)
        await seat.walk("Brook Bend", line="Cedar main")
        for key in ("l", "v", "j"):
            await seat.press(key)
            await seat.keys("words", "enter")
        await seat.press("i")
        await seat.keys("3", "enter")
        assert [entry.day for entry in seat.written()] == [date(2027, 2, 8)] * 4


# --- spouts ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "move", "count"),
    [("150", "issued", 150), ("returned 12", "returned", 12), ("s 3", "scrapped", 3)],
)
async def test_i_moves_spouts_of_whose_work_it_is(
    demo: Season, laptop: Laptop, typed: str, move: str, count: int
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.keys("p")
        await seat.keys("rae", "enter", "i")
        assert seat.box == (
            "Spouts with Rae: in the bag 54; issued 1,860, in trees 1,697, returned 104, scrapped 5"
            " issued 150; or several: returned 60, scrapped 3. A number alone: issued"
        )
        await seat.keys(typed, "enter")
        (spouts,) = seat.written()
        assert isinstance(spouts, Spouts)
        assert (spouts.who, spouts.move, spouts.count) == ("Rae", move, count)
        left = {"issued": 54 + count}.get(move, 54 - count)
        assert f"Spouts with Rae: in the bag {left}; issued" in seat.text  # on the card


async def test_what_says_no_number_of_spouts_stays_in_the_question(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.press("i")
        await seat.keys("a few", "enter")
        assert "! 'a few' does not say how many spouts. Write issued 200" in seat.box
        assert seat.written() == []


# --- counts that do not match ------------------------------------------------------------------


async def test_a_count_that_leaves_drops_without_a_tap_says_so_at_once_and_a_says_why(
    demo: Season, laptop: Laptop
) -> None:
    hang(demo, "Cedar main", 91)
    before = len(demo.book.entries)
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Cedar main")
        await seat.keys("88", "enter")
        assert "(88 of 88) [x] done ! 3 drops not tapped: a says why, or count again" in seat.text
        assert here(seat) == "9  Lower loop"  # and nothing popped up
        await seat.press("a")
        assert "Cedar main: 88 taps on 91 drops: 3 drops not tapped. Why?" in seat.box
        await seat.keys("too small", "enter")
        off_written = seat.on_disk().book.entries[-1]
        assert isinstance(off_written, WriteOff)
        assert (off_written.amount, off_written.reason) == (3, "too small")
        assert off(seat, "Cedar main") == []
        assert len(seat.on_disk().book.entries) == before + 2

        await seat.press("a")  # now it is about the line under the cursor
        assert "Lower loop: 0 taps on 121 drops: nothing to account for" in seat.text


async def test_once_somebody_went_elsewhere_a_is_about_the_line_there(
    demo: Season, laptop: Laptop
) -> None:
    hang(demo, "Cedar main", 91)
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Cedar main")
        await seat.keys("88", "enter", "end", "a")
        assert "Island pair: 0 taps on 147 drops: nothing to account for" in seat.text
        await seat.press("home", "down", "down", "a")
        assert "Mill main: 168 taps on 171 drops: 3 drops not tapped. Why?" in seat.box


async def test_counting_again_is_as_good(demo: Season, laptop: Laptop) -> None:
    hang(demo, "Cedar main", 91)
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Cedar main")
        await seat.keys("88", "enter", "up")
        assert " ! 3 drops not tapped (Ina has it, since Tue 9 Feb)" in seat.rows
        await seat.keys("3", "enter")
        assert (
            "! Cedar main is done with 88: 3 would be added, 91 in all. "
            "Press ! if it is right, Backspace to change it; u strikes the last."
        ) in seat.text
        await seat.press("exclamation_mark")
        assert "3 over the plan" in seat.text
        assert "not tapped" not in seat.text
        assert off(seat, "Cedar main") == []


async def test_a_line_that_is_not_done_yet_has_nothing_to_account_for(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Brook pair")
        await seat.press("a")
        assert "Brook pair: 62 taps on 142 drops: nothing to account for" in seat.text
        assert seat.written() == []


async def test_a_asks_about_the_current_line_when_nothing_was_just_recorded(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Mill main")
        await seat.press("a")
        assert "Mill main: 168 taps on 171 drops: 3 drops not tapped. Why?" in seat.box


async def test_f_asks_why_also_when_nothing_of_the_plan_is_left(
    demo: Season, laptop: Laptop
) -> None:
    hang(demo, "Cedar main", 91)
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Cedar main")
        await seat.keys("88", "enter", "up", "f")
        assert "Cedar main: 88 taps on 91 drops. Why is it finished?" in seat.box
        await seat.press("enter")
        assert "! The text cannot be empty." in seat.box
        await seat.keys("rotten", "enter")
        finish = seat.written()[-1]
        assert isinstance(finish, Finish)
        assert finish.reason == "rotten"
        assert off(seat, "Cedar main") == []


async def test_more_taps_than_drops_are_as_wrong(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Cedar main")
        await seat.keys("91", "enter")
        assert "! 3 taps more than drops: a says why, or count again" in seat.text
        await seat.press("a")
        assert "Cedar main: 91 taps on 88 drops: 3 taps more than drops. Why?" in seat.box


# --- the card ----------------------------------------------------------------------------------


async def test_the_card_shows_two_open_items_a_row_each_and_how_many_more_there_are(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Cedar main")
        for n in range(4):
            await seat.press("l")
            await seat.paste(f"leak {n} " + "very long " * 12, "enter")
        leaks = [row for row in seat.rows if row.startswith(" ! leak: ")]
        assert len(leaks) == 2
        assert all(row.endswith("~") for row in leaks)
        assert " ! 2 more: o" in seat.rows


async def test_what_is_open_does_not_push_the_cautions_off_in_80_by_24(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Brook pair")
        for key in ("l", "v", "h"):
            await seat.press(key)
            await seat.paste("words " * 30, "enter")
        cautions = seat.app.session.season.plan.find_task("tapping").cautions
        assert len(cautions) == 3
        for caution in cautions:
            assert caution.split(":")[0] in seat.text
        assert "g, w: more" in seat.text  # facts gave way, and it says where they are
        assert here(seat) == "7  Brook pair"
        await seat.resize(LARGE)
        assert "trees allow 138" in seat.text
        assert "its dry line is the old main" in seat.text


async def test_the_card_says_what_is_in_the_bag_of_whose_work_it_is(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop, LARGE) as seat:
        await seat.walk("Brook Bend", line="Cedar main")
        assert (
            "Spouts with Ina: in the bag 0; issued 20, in trees 12, returned 6, scrapped 2"
        ) in seat.text
        await seat.walk("Brook Bend", task="tensioning")
        assert "Spouts with" not in seat.text


async def test_a_full_bag_stands_on_one_row_and_what_is_left_in_it_comes_first(
    demo: Season, laptop: Laptop
) -> None:
    for move, n in (("issued", 1800), ("returned", 1150), ("scrapped", 104)):
        demo.record(Spouts(who="Ina", move=move, count=n, **stamp()))  # type: ignore[arg-type]
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Cedar main")
        row = seat.row(" Spouts with Ina: in the bag 546; ")  # 1,820 less 12, 1,156 and 106
        assert row.endswith("~")
        await seat.resize(LARGE)
        assert seat.row("in trees 12, returned 1,156, scrapped 106").endswith("scrapped 106")


async def test_keys_of_findings_do_nothing_to_a_count_that_is_being_typed(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.keys("80")
        for key in ("l", "v", "i", "j", "b", "o"):
            await seat.press(key, "escape")
        seat.screen(Round)
        assert "Tue 9 Feb: 80_" in seat.text
        await seat.press("enter")
        (count,) = seat.written()
        assert isinstance(count, Count)
        assert count.count == 80
        assert not any(isinstance(entry, Note) for entry in seat.written())
