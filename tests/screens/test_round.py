"""Round: type the digits, press Enter; it is on disk, and the next line is up.

Brook Bend on 9 February: lines 1 to 6 are tapped, Brook pair (7) has 62 of its 142 taps, nobody
has been to Cedar main (8, 88 taps) and the four lines behind it.
"""

import pytest

from fieldbook.book.entry import Count
from fieldbook.laptop import Laptop
from fieldbook.screens.board import Board
from fieldbook.season.season import Season
from tests.screens.conftest import BAR, DESK, EVENING, LARGE, Seat, sit_down


def here(seat: Seat) -> str:
    """The current line: its number and name."""
    (row,) = [row for row in seat.rows if row.startswith(" > ")]
    return row[2:].partition("[")[0].strip()


def line_row(seat: Seat, name: str) -> str:
    """The row of a line in the list; on its card it stands after one blank."""
    return seat.row(f"  {name}  ").rstrip(BAR)


def counts(seat: Seat) -> list[tuple[str, str, int]]:
    """Who did how much on which line, as this desk has it on disk."""
    return [(e.who, e.line, e.count) for e in seat.written() if isinstance(e, Count)]


# --- digits and one key ------------------------------------------------------------------------


async def test_a_count_costs_its_digits_and_one_key_and_is_on_disk_then(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        assert here(seat) == "7  Brook pair"
        await seat.keys("80", "enter")
        assert seat.pressed == 3

        (entry,) = seat.written()
        assert isinstance(entry, Count)
        assert (entry.id, entry.by, entry.who) == (f"{DESK}-1", "Ina", "Ina")
        assert (entry.block, entry.line, entry.task) == ("Brook Bend", "Brook pair", "tapping")
        assert (entry.count, entry.hours) == (80, None)
        assert (entry.at, entry.noted) == (EVENING, EVENING)

        assert (
            f"{DESK}-1 saved: Ina, 80 taps, Brook Bend / Brook pair (142 of 142) [x] done"
            in seat.text
        )
        assert "[x]   142 of 142" in line_row(seat, "Brook pair")
        assert here(seat) == "8  Cedar main"
        assert "1,083 of 1,650 taps, left 564" in seat.below[0]


async def test_a_crew_of_fours_day_goes_in_with_few_keys(demo: Season, laptop: Laptop) -> None:
    # Brook Bend from line 7, then Old Orchard next door, then over Sugar Hollow and North Slope
    # to Stone Fence: 16 lines, in the order in which they stand on the sheets.
    day: list[tuple[str, str, list[tuple[str, int]]]] = [
        ("rae", "", [("Brook pair", 80), ("Cedar main", 88)]),
        ("rae", "", [("Lower loop", 121), ("Stump main", 96)]),
        ("milo", "", [("Gravel main", 112), ("Island pair", 147)]),
        ("milo", "right", [("Apple main", 188), ("Cider main", 160)]),
        ("zoë", "", [("Wall main", 206), ("Ladder main", 148)]),
        ("zoë", "", [("Cellar pair", 224), ("Pear main", 60)]),
        ("tor", "", [("Hedge main", 220)]),
        ("tor", "right right right", [("Fence main", 238), ("Corner main", 9), ("Stile main", 9)]),
    ]
    expected = [(who.title(), line, n) for who, _keys, work in day for line, n in work]
    digits = sum(len(str(n)) for _who, _line, n in expected)
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        for_whom, changes = "ina", []
        for who, keys, work in day:
            if who != for_whom:
                before = seat.pressed
                await seat.press("p", who[0], "enter")
                changes.append(seat.pressed - before)
                for_whom = who
            await seat.press(*keys.split())
            for _line, n in work:
                await seat.keys(str(n), "enter")

        assert counts(seat) == expected
        assert len(expected) == 16
        assert len(changes) == 4
        assert all(2 <= cost <= 4 for cost in changes)
        assert seat.pressed == digits + 16 + sum(changes) + 4  # and four blocks further right
        tapping = seat.on_disk().plan.find_task("tapping")
        tally = seat.on_disk().ledger.cell(tapping).tally
        assert tally.done == 5139 + sum(n for _who, _line, n in expected)


async def test_hours_follow_the_count_after_a_blank(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.keys("80 4.5")
        assert "Count for Ina, Tue 9 Feb: 80 4.5_ h" in seat.text
        await seat.press("enter")
        await seat.keys("88 ", "enter")
        await seat.keys("121 2,25", "enter")
        hours = [entry.hours for entry in seat.written() if isinstance(entry, Count)]
        assert hours == [4.5, None, 2.25]


async def test_backspace_takes_back_a_digit_and_never_more_than_there_are(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.keys("89", "backspace")
        assert "Tue 9 Feb: 8_" in seat.text
        await seat.press("backspace", "backspace")
        assert "Tue 9 Feb: _" in seat.text
        await seat.keys("80", "enter")
        assert counts(seat) == [("Ina", "Brook pair", 80)]


async def test_what_is_not_a_number_does_not_get_into_the_count(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.keys(" .,8q0.-,")
        assert "Tue 9 Feb: 80_" in seat.text
        await seat.press("enter")
        assert counts(seat) == [("Ina", "Brook pair", 80)]


# --- moving ------------------------------------------------------------------------------------


async def test_enter_with_nothing_typed_moves_on_and_records_nothing(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Gravel main")
        await seat.press("enter")
        assert here(seat) == "12  Island pair"
        await seat.press("enter")
        assert here(seat) == "12  Island pair"
        assert seat.written() == []


async def test_moving_with_digits_typed_says_that_they_were_not_recorded(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        for key in ("down", "up", "home", "end", "pageup", "pagedown", "t"):
            before = here(seat)
            await seat.keys("80", key)
            assert here(seat) != before
            assert "80 was not recorded: the line changed" in seat.text
            assert "Tue 9 Feb: _" in seat.text
            await seat.keys("1", "backspace")
        assert seat.written() == []


async def test_changing_the_block_with_digits_typed_says_so_too(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.keys("80", "right")
        assert "80 was not recorded" in seat.text


async def test_left_and_right_walk_the_blocks_and_each_opens_where_work_is_open(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.press("right")
        assert seat.below[0].startswith(" Old Orchard / Tapping   line 1 of 7")
        await seat.press("left", "left")
        assert seat.below[0].startswith(" Upper Ridge / Tapping   line 1 of 11")
        await seat.press("left")
        assert seat.below[0].startswith(" Far Corner / Tapping   line 1 of 6")
        assert here(seat) == "1  Border main"


async def test_t_goes_to_the_next_open_line_and_round_again(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Bridge main")
        await seat.press("t")
        assert here(seat) == "7  Brook pair"
        await seat.press("t")
        assert here(seat) == "8  Cedar main"
        await seat.press("end", "t")
        assert here(seat) == "7  Brook pair"
        await seat.press("escape")
        seat.screen(Board)


@pytest.mark.parametrize("block", ["Brook Bend", "Sugar Hollow"])
async def test_the_current_line_is_in_sight_all_the_way_down_the_block(
    demo: Season, laptop: Laptop, block: str
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk(block, line=demo.plan.walk[block][0].line)
        for line in demo.plan.walk[block]:
            assert here(seat) == f"{line.order}  {line.line}"
            await seat.press("down")


async def test_a_remark_that_is_cut_says_so_beside_the_scrollbar(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Spring main")
        assert "3 short: 3 too small this year" not in seat.text
        assert "~" in seat.row(" > ")


async def test_the_current_line_stays_in_sight_in_a_smaller_window(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop, LARGE) as seat:
        await seat.walk("Brook Bend", line="Island pair")
        await seat.resize((80, 24))
        assert here(seat) == "12  Island pair"


async def test_a_smaller_window_still_says_who_keys(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop, LARGE) as seat:
        await seat.walk("Brook Bend")
        assert seat.rows[0].endswith(f"keying: Ina  desk {DESK}")
        await seat.resize((80, 24))
        assert seat.rows[0].endswith("keying: Ina")


# --- numbers that look wrong -------------------------------------------------------------------


async def test_an_absurd_count_asks_and_backspace_corrects_it(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.keys("800", "enter")  # one zero too many: 62 are in, 142 are planned
        assert "! 800 on Brook pair would make 862, planned 142." in seat.text
        assert "Press ! if it is right, Backspace to change it; u strikes the last." in seat.text
        assert seat.written() == []
        assert here(seat) == "7  Brook pair"
        await seat.press("backspace", "enter")
        assert counts(seat) == [("Ina", "Brook pair", 80)]


async def test_an_absurd_count_that_is_right_is_recorded_with_one_more_key(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.keys("800", "enter", "exclamation_mark")
        assert counts(seat) == [("Ina", "Brook pair", 800)]
        assert "(862 of 142) ! 720 over the plan" in seat.text
        await seat.press("exclamation_mark")  # nothing typed: nothing to insist on
        assert len(seat.written()) == 1


async def test_a_count_over_the_plan_is_kept_and_flagged(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Cedar main")
        await seat.keys("95", "enter")
        assert counts(seat) == [("Ina", "Cedar main", 95)]
        assert "(95 of 88) ! 7 over the plan" in seat.text
        row = line_row(seat, "Cedar main")
        assert "[x]    95 of 88" in row
        assert row.endswith("! 7 over the plan")


async def test_a_count_has_six_digits_at_most(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.keys("12345678")
        assert "Tue 9 Feb: 123456_" in seat.text
        await seat.press("enter")
        assert "! 123456 on Brook pair would make 123518, planned 142." in seat.text
        assert seat.written() == []
