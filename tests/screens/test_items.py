"""Open items: worst first, and one key that closes each.

The demo on 9 February at 17:00: Rae is overdue, two hazards stand, the valve of Boulder main is
shut, Ridge pair leaks, Mill main has 3 drops without a tap, a repair is promised, a hand-off and
sheet 3 wait, two bags do not add up, three lines are under way and Sugar Hollow is set aside.
"""

from typing import Any

import pytest

from fieldbook.book.entry import (
    AnyEntry,
    Back,
    Close,
    Leak,
    Note,
    Out,
    Reopen,
    Repair,
    Settle,
    Sheet,
    Spouts,
    Strike,
    Valve,
    WriteOff,
    clean,
)
from fieldbook.laptop import Laptop
from fieldbook.screens.board import Board
from fieldbook.screens.items import Items
from fieldbook.screens.logbook import Logbook
from fieldbook.screens.round import Round
from fieldbook.season.items import What, closing_items, open_items
from fieldbook.season.season import Season
from tests.conftest import stamp
from tests.screens.conftest import EVENING, LARGE, Seat, sit_down
from tests.screens.test_out_back import at_stake
from tests.screens.test_user_text import EVERY_TEXT, check
from tests.screens.test_user_text import woods as woods

NASTY = "[x] [/] [red] [b \x1b[31mred"


async def go_to(seat: Seat, what: What) -> None:
    """Open the items, and put the cursor on the first of a kind."""
    if not isinstance(seat.app.screen, Items):
        await seat.press("o")
    rows = seat.screen(Items).list
    rows.cursor = next(i for i, item in enumerate(rows.items) if item.what is what)
    await seat.settle()


def still(seat: Seat, what: What) -> int:
    """How many items of a kind whoever opens the book next will find."""
    return sum(item.what is what for item in open_items(seat.on_disk().ledger, EVENING))


def cursor_on(seat: Seat) -> str:
    (row,) = [row for row in seat.rows if row.startswith(" >")]
    return row[2:].strip()


# --- reading -----------------------------------------------------------------------------------


async def test_the_gravest_stand_first_with_what_where_and_how_long_in_80_columns(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("o")
        told = at_stake(seat).removeprefix("! ")
        assert seat.rows[2] == f" Open items   {told}   all blocks   everybody   for Ina"
        first = [row[2:] for row in seat.rows[3:9]]
        assert [row[:3] for row in first] == ["!! ", "!! ", "!! ", " ! ", " ! ", " ! "]
        assert first[0].split() == [
            "!!",
            "Rae",
            "is",
            "not",
            "back",
            "Brook",
            "Bend",
            "30",
            "min",
            "over",
        ]
        valve = seat.row("valve shut: birch")
        assert "~  Upper Ridge / 3  " in valve
        assert valve.rstrip("▃ ").endswith("Ina, 2 days")


async def test_below_stands_the_item_in_full_and_who_is_out_never_without_the_caution(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("o")
        assert (
            "!! Rae is not back Brook Bend; since 12:40, due back 16:30, 30 min over" in seat.text
        )
        assert "- rest of Ledge main, then Cedar main" in seat.text
        assert "To close it: c back ! The list of who is out is a reminder" in seat.text
        assert "trained practice come first." in seat.text
        await go_to(seat, What.VALVE)
        assert (
            "! valve shut: birch down on it in the night wind, two laterals torn off "
            "Upper Ridge / 3 Boulder main; Ina, 2 days, about 198 gal a day, passed on 2 times"
        ) in seat.text
        assert "To close it: c opened x write off" in seat.text


async def test_a_wide_screen_says_on_each_row_what_it_costs_and_what_closes_it(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop, LARGE) as seat:
        await seat.press("o")
        row = seat.row("Ina, 2 days, about 198 gal")
        assert row.rstrip().endswith("c opened")
        overdue = " ".join(seat.row(" >!! Rae is not back").split())
        assert overdue.endswith("Rae is not back Brook Bend 30 min over c back")
        assert "  Ina, since 12:00, about 19 gal ~  c mended" in seat.row(" ! leak: ")
        assert seat.row("  Old Orchard / 3  ").rstrip().endswith("Enter go there")


async def test_the_filter_shows_a_block_or_a_person_and_everything_again(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("o", "f")
        await seat.keys("upper", "enter")
        assert "3 open   Upper Ridge   everybody" in seat.rows[2]
        await seat.press("f")
        await seat.keys("of Tor", "enter")
        assert "1 open   all blocks   Tor" in seat.rows[2]
        await seat.press("f")
        await seat.keys("of Wes", "enter")
        assert "Nothing is open here: f shows everything." in seat.text
        await seat.press("enter", "c", "x")  # nothing to close, and nothing breaks
        await seat.press("f", "enter")
        assert at_stake(seat).removeprefix("! ") + "   all blocks" in seat.rows[2]


async def test_nothing_open_says_so(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        seat.app.session.items = list  # type: ignore[method-assign]
        await seat.press("o")
        assert "Nothing is open." in seat.text
        assert "0 open" in seat.rows[0]
        assert "!" not in seat.rows[0]


async def test_w_says_where_the_order_and_the_sap_come_from(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop, LARGE) as seat:
        await seat.press("o", "w")
        assert "People first (!!), then what loses sap (!), then work." in seat.box
        assert "0.5 gal a tap on a day when sap runs (sap_gal_per_tap_day)" in seat.box
        assert "198.0 gal = 176 x 1.125: Upper Ridge / 3 Boulder main: valve shut" in seat.box
        assert "AORN, guideline for the prevention of retained surgical items" in seat.box


async def test_g_reads_the_entry_that_opened_the_item(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await go_to(seat, What.VALVE)
        await seat.press("g")
        seat.screen(Logbook)
        assert "valve shut: birch down" in seat.text


# --- going there -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("what", "head", "line"),
    [
        (What.UNFINISHED, " Old Orchard / Drop replacement", "3  Wall main"),
        (What.UNTAPPED, " Brook Bend / Tapping", "3  Mill main"),
        (What.VALVE, " Upper Ridge / Leak checks", "3  Boulder main"),
        (What.LEAK, " Upper Ridge / Leak checks", "2  Ridge pair"),
        (What.REPAIR, " Upper Ridge / Tapping", "5  Saddle main"),
        (What.ASIDE, " Sugar Hollow / Tapping", "1  "),
        (What.SHEET, " Brook Bend / Tapping   sheet 3", ""),
    ],
)
async def test_enter_goes_there(
    demo: Season, laptop: Laptop, what: What, head: str, line: str
) -> None:
    async with sit_down(demo, laptop) as seat:
        await go_to(seat, what)
        await seat.press("enter")
        seat.screen(Round)
        assert seat.rows[2].startswith(head)
        assert cursor_on(seat).startswith(line)


async def test_what_is_in_no_block_says_that_there_is_nowhere_to_go(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await go_to(seat, What.SPOUTS)
        await seat.press("enter")
        assert "It is in no block: there is nowhere to go." in seat.text


# --- closing -----------------------------------------------------------------------------------


async def test_c_closes_by_what_the_item_is_says_what_is_on_disk_and_goes_on_to_the_next(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("o", "c", "enter")
        back = seat.written()[-1]
        assert isinstance(back, Back)
        assert f"{back.id} saved: Rae, back" in seat.text
        assert cursor_on(seat).startswith("!! bridge out")

        await seat.press("c")
        assert "Cleared: bridge out" in seat.box
        await seat.press("enter")
        assert "! The text cannot be empty." in seat.box
        await seat.keys("planks on it", "enter")
        settle = seat.written()[-1]
        assert isinstance(settle, Settle)
        assert (settle.who, settle.text) == ("Ina", "planks on it")
        assert cursor_on(seat).startswith("!! hung-up ash")


@pytest.mark.parametrize(
    ("what", "asked"),
    [
        (What.HAZARD, "Cleared: bridge out"),
        (What.LEAK, "Mended: leak: hiss at the fifth lateral"),
        (What.REPAIR, "Made: promised: new anchor tree"),
    ],
)
async def test_what_an_entry_opened_is_settled_in_words(
    demo: Season, laptop: Laptop, what: What, asked: str
) -> None:
    async with sit_down(demo, laptop) as seat:
        await go_to(seat, what)
        before = still(seat, what)
        await seat.press("c")
        assert seat.box.startswith(asked)
        await seat.paste(NASTY, "enter")
        (settle,) = seat.written()
        assert isinstance(settle, Settle)
        assert settle.text == "[x] [/] [red] [b [31mred"
        assert "[x] [/] [red] [b" in seat.text
        assert still(seat, what) == before - 1


async def test_a_valve_is_opened_with_words_or_without(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await go_to(seat, What.VALVE)
        await seat.press("c")
        assert "The valve of Upper Ridge / 3 Boulder main is open again?" in seat.box
        await seat.press("enter")
        (valve,) = seat.written()
        assert isinstance(valve, Valve)
        assert (valve.line, valve.state, valve.who) == ("Boulder main", "open", "Ina")
        assert still(seat, What.VALVE) == 0


async def test_a_count_that_does_not_match_is_asked_about_with_both_numbers(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await go_to(seat, What.UNTAPPED)
        await seat.press("c")
        assert "Mill main: 168 taps on 171 drops: 3 drops not tapped. Why?" in seat.box
        await seat.keys("dead trees", "enter")
        (off,) = seat.written()
        assert isinstance(off, WriteOff)
        assert (off.about.what, off.about.line, off.amount, off.reason) == (
            What.UNTAPPED,
            "Mill main",
            3,
            "dead trees",
        )
        assert still(seat, What.UNTAPPED) == 0


async def test_a_bag_is_counted_and_what_is_still_missing_is_said(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await go_to(seat, What.SPOUTS)
        await seat.press("c")
        assert "Milo: 12 spouts not accounted for. How many are in the bag?" in seat.box
        await seat.keys("some", "enter")
        assert "! 'some' is not a number of spouts." in seat.box
        for _letter in "some":
            await seat.press("backspace")
        await seat.keys("9", "enter")
        (spouts,) = seat.written()
        assert isinstance(spouts, Spouts)
        assert (spouts.who, spouts.move, spouts.count) == ("Milo", "returned", 9)
        assert "! 3 still not accounted for: x writes it off" in seat.text
        assert cursor_on(seat).startswith("Milo: 3 spouts not accounted for")  # it is still off

        await seat.press("c")
        assert "Milo: 3 spouts not accounted for" in seat.box
        await seat.keys("3", "enter")
        assert "all accounted for" in seat.text


async def test_more_spouts_than_were_issued_are_not_found_in_the_bag_but_explained(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await go_to(seat, What.SPOUTS)
        await seat.press("down", "c")
        assert "Zoë: 4 spouts more than issued. Why?" in seat.box
        await seat.keys("took Tor's", "enter")
        (off,) = seat.written()
        assert isinstance(off, WriteOff)
        assert off.amount == -4


async def test_all_lines_that_were_set_aside_together_are_reopened_together(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await go_to(seat, What.ASIDE)
        await seat.press("c")
        assert "Sugar Hollow, 8 lines: reopen all 8 lines?" in seat.box
        await seat.keys("bridge is back", "enter")
        written = seat.written()
        assert len(written) == 8
        assert all(isinstance(e, Reopen) and e.reason == "bridge is back" for e in written)
        assert "and 7 lines more" in seat.text


async def test_a_sheet_with_lines_not_keyed_in_is_doubted_once(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await go_to(seat, What.SHEET)
        await seat.press("c")
        assert "Is all of sheet 3 in the book?" in seat.box
        await seat.press("enter")
        assert "! Nothing is keyed on" in seat.box
        assert "Enter again if it is right." in seat.box
        assert seat.written() == []
        await seat.press("enter")
        (settle,) = seat.written()
        assert isinstance(settle, Settle)
        assert still(seat, What.SHEET) == 0


async def test_c_goes_there_where_only_work_closes_it(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await go_to(seat, What.UNFINISHED)
        await seat.press("c")
        seat.screen(Round)


async def test_whoever_is_not_on_the_crew_is_asked_whose_work_it_is(
    demo: Season, laptop: Laptop
) -> None:
    laptop.set_keying(demo.book.id, "Nobody Else")
    async with sit_down(demo, laptop) as seat:
        await go_to(seat, What.VALVE)
        assert "for ?" in seat.rows[2]
        await seat.press("c")
        assert "Whose work is it?" in seat.box
        await seat.keys("tor", "enter", "enter")
        (valve,) = seat.written()
        assert isinstance(valve, Valve)
        assert (valve.who, valve.by) == ("Tor", "Nobody Else")


# --- writing off -------------------------------------------------------------------------------


async def test_x_writes_off_with_a_reason_and_for_the_very_number(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await go_to(seat, What.UNFINISHED)
        await seat.press("x")
        assert "Write off: Drop replacement: 118 drops left" in seat.box
        await seat.press("enter")
        assert "! The text cannot be empty." in seat.box
        await seat.keys("rests a year", "enter")
        (off,) = seat.written()
        assert isinstance(off, WriteOff)
        assert (off.about.line, off.amount, off.reason) == ("Wall main", 118, "rests a year")


async def test_who_is_written_off_is_out_no_more(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("o", "x")
        assert "Rae is not back" in seat.box
        await seat.press(*"gone", "space", *"home", "enter")
        seat.screen(Items)
        (off,) = seat.written()
        assert isinstance(off, WriteOff)
        assert still(seat, What.OUT) == 0


async def test_u_strikes_what_was_closed_and_the_item_is_back(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await go_to(seat, What.VALVE)
        await seat.press("c", "enter", "u")
        assert "valve opened, Upper Ridge / Boulder main. Why is it wrong?" in seat.box
        await seat.press("enter")
        assert isinstance(seat.written()[-1], Strike)
        assert still(seat, What.VALVE) == 1


# --- closing the season ------------------------------------------------------------------------


async def test_c_on_the_season_shows_what_stands_in_the_way(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        in_the_way = len(closing_items(demo.ledger, EVENING))
        await seat.press("s", "c")
        seat.screen(Items)
        assert seat.rows[2].startswith(f" Open items   in the way of closing: {in_the_way}   all")
        assert "not begun" not in seat.rows[0]
        await seat.press("escape", "escape")
        seat.screen(Board)
        assert seat.written() == []


def write_everything_off(season: Season) -> None:
    """Close all that is open, however it is done."""
    mine = stamp(by="Ina")
    for item in closing_items(season.ledger, EVENING):
        entry: AnyEntry
        if item.what is What.OUT:
            entry = Back(who=item.about.who, **mine)
        else:
            entry = WriteOff(about=item.about, amount=item.amount, who="Ina", reason="over", **mine)
        season.record(entry)
    for item in closing_items(season.ledger, EVENING):  # bags of those who were out
        season.record(
            WriteOff(about=item.about, amount=item.amount, who="Ina", reason="over", **mine)
        )


async def test_with_nothing_open_it_asks_for_the_word_and_closes_for_good(
    demo: Season, laptop: Laptop
) -> None:
    write_everything_off(demo)
    assert closing_items(demo.ledger, EVENING) == []
    async with sit_down(demo, laptop) as seat:
        await seat.press("s", "c")
        assert "Nothing is open. To close season 2027 type: close" in seat.box
        await seat.keys("yes", "enter")
        assert "! Type close, or leave it with Esc." in seat.box
        for _letter in "yes":
            await seat.press("backspace")
        await seat.keys("close a good one", "enter")
        close = seat.written()[-1]
        assert isinstance(close, Close)
        assert (close.note, close.who) == ("a good one", "Ina")
        assert "season closed: a good one" in seat.text
        await seat.press("c")
        assert "The season is closed" in seat.text
        await seat.walk("Brook Bend", line="Lower loop")
        await seat.keys("3", "enter")
        assert "! The season was closed by Ina on 2027-02-09" in seat.text
        assert seat.written()[-1] == close


async def test_who_goes_into_the_woods_is_taken_down_after_the_season_is_closed_too(
    demo: Season, laptop: Laptop
) -> None:
    write_everything_off(demo)
    demo.record(Close(who="Ina", **stamp(by="Ina")))
    async with sit_down(demo, laptop) as seat:
        await seat.press("b")
        await seat.keys("tor", "enter", "enter")
        await seat.keys("18:00", "enter")
        assert isinstance(seat.written()[-1], Out)
        assert "  CLOSED  ! 3 open, 3 safety  " in seat.rows[0]
        await seat.press("b", "enter", "enter")
        assert isinstance(seat.written()[-1], Back)
        assert "  CLOSED  ! 2 open, 2 safety  " in seat.rows[0]


async def test_a_hazard_that_is_written_off_is_out_of_the_way_of_closing_but_stays_in_sight(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await go_to(seat, What.HAZARD)
        hazards = still(seat, What.HAZARD)
        await seat.press("x")
        await seat.keys("stays until the ice is off", "enter")
        assert isinstance(seat.written()[-1], WriteOff)
        assert "bridge out" in "\n".join(seat.rows[3:])
        assert still(seat, What.HAZARD) == hazards
        in_the_way = closing_items(seat.on_disk().ledger, EVENING)
        assert sum(item.what is What.HAZARD for item in in_the_way) == hazards - 1


# --- typed text --------------------------------------------------------------------------------


def leave_open(season: Season, text: str) -> None:
    """Have every kind of item that somebody's words open stand open, all called the same."""
    mine = stamp(by=text)
    block = season.plan.blocks[0]
    here: dict[str, Any] = {"block": block, "line": text}
    season.record(
        Note(**here, text=text, who=text, hazard=True, **mine),
        Leak(**here, text=text, who=text, **mine),
        Valve(**here, state="shut", reason=text, who=text, **mine),
        Repair(**here, text=text, who=text, **mine),
        Spouts(who=text, move="issued", count=3, note=text, **stamp("2027-02-01", by=text)),
        Sheet(sheet=1, block=block, task="tapping", lines=(text,), who=text, **mine),
        Out(who=text, block=block, due=EVENING.replace(hour=16), note=text, **mine),
        really=True,
    )


@EVERY_TEXT
async def test_whatever_was_typed_is_shown_as_it_was_and_does_nothing(
    woods: Season, fresh_laptop: Laptop, text: str
) -> None:
    name = clean(text, one_line=True)
    leave_open(woods, text)
    fresh_laptop.set_keying(woods.book.id, name)
    async with sit_down(woods, fresh_laptop) as seat:
        check(seat, text)
        await seat.press("o")
        for _item in seat.screen(Items).list.items:
            check(seat, text)
            for key in ("c", "x"):
                await seat.press(key)
                check(seat, text)
                if not isinstance(seat.app.screen, Items):
                    await seat.press("escape")
            seat.screen(Items).list.cursor += 1
            await seat.settle()
        for key in ("f", "b", "w"):
            await seat.press(key)
            check(seat, text)
            await seat.press("escape")
        await seat.resize(LARGE)
        check(seat, text)


@EVERY_TEXT
async def test_every_question_of_the_woods_takes_the_text_and_keeps_it_clean(
    woods: Season, fresh_laptop: Laptop, text: str
) -> None:
    fresh_laptop.set_keying(woods.book.id, clean(text, one_line=True))
    before = len(woods.book.entries)
    async with sit_down(woods, fresh_laptop) as seat:
        await seat.walk(woods.plan.blocks[0])
        for key in ("l", "v", "j"):
            await seat.press(key)
            await seat.paste(text, "enter")
            seat.screen(Round)
        await seat.press("b", "enter", "enter")
        await seat.paste(f"18:00 {text}", "enter", "b", "enter")
        await seat.paste(text, "enter")
        check(seat, text)
        leak, valve, repair, out, back = seat.on_disk().book.entries[before:]
        kept = (leak["text"], valve["reason"], repair["text"], out["note"], back["note"])
        assert kept == (clean(text),) * 5
