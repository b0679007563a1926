"""Board: where does the season stand? Read on the evening of 9 February, Brook Bend half tapped."""

from datetime import date
from pathlib import Path

import pytest
from msgspec.structs import replace

from fieldbook.book.entry import Block, Line, Target
from fieldbook.laptop import Laptop
from fieldbook.reports.forecast import forecast
from fieldbook.reports.forecast_tables import finish_words, is_late
from fieldbook.screens.board import Board
from fieldbook.screens.round import Round
from fieldbook.screens.widgets.grid import cell_words
from fieldbook.season.dates import brief_day
from fieldbook.season.ledger import Cell, Standing, Tally
from fieldbook.season.season import Season
from tests.conftest import aside, count, stamp
from tests.screens.conftest import DESK, EVENING, LARGE, Seat, sit_down
from tests.screens.test_out_back import at_stake

NOT_BEGUN, UNDER_WAY, DONE, ASIDE, NOTHING_DUE = Standing


def grid(seat: Seat) -> list[str]:
    """The head and the blocks that are in sight."""
    rows = seat.rows
    head = next(i for i, row in enumerate(rows) if row.startswith(" Block"))
    rule = next(i for i, row in enumerate(rows) if row.startswith("───"))
    return [row for row in rows[head:rule] if row]


def place(seat: Seat) -> str:
    """Where the cursor stands, by the words under the grid; the mark must stand there too."""
    rows = seat.rows
    rule = next(i for i, row in enumerate(rows) if row.startswith("───"))
    named = rows[rule + 1].strip().partition(":")[0]
    (marked,) = [row for row in grid(seat) if ">[" in row or ">nothing" in row]
    assert marked.startswith(" " + named.partition(",")[0])
    return named


# --- the cursor --------------------------------------------------------------------------------


async def test_it_opens_where_the_crew_is_and_every_key_moves_as_it_should(
    demo: Season, laptop: Laptop
) -> None:
    walk = [
        ("up", "Upper Ridge, tapping"),
        ("up", "Upper Ridge, tapping"),
        ("left", "Upper Ridge, drop replacement"),
        ("left", "Upper Ridge, drop replacement"),
        ("down", "Brook Bend, drop replacement"),
        ("end", "Far Corner, drop replacement"),
        ("down", "Far Corner, drop replacement"),
        ("right", "Far Corner, tapping"),
        ("home", "Upper Ridge, tapping"),
        ("pagedown", "Far Corner, tapping"),
        ("pageup", "Upper Ridge, tapping"),
    ]
    async with sit_down(demo, laptop) as seat:
        assert place(seat) == "Brook Bend, tapping"
        for key, arrived in walk:
            await seat.press(key)
            assert place(seat) == arrived
        await seat.press(*["right"] * 4)
        assert place(seat) == "Upper Ridge, pulling taps"


async def test_enter_opens_the_round_of_the_cell_and_escape_comes_back_to_it(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("down", "left", "enter")
        assert seat.below[0].startswith(" Old Orchard / Drop replacement")
        await seat.press("escape")
        assert place(seat) == "Old Orchard, drop replacement"


async def test_escape_does_not_leave_the_board_and_q_does(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("escape")
        seat.screen(Board)
        await seat.press("q", "enter")  # Rae is not back, and it asks
        assert not seat.app.is_running


# --- the cells ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("standing", "tally", "full", "brief"),
    [
        (NOT_BEGUN, Tally(planned=1210, left=1210), "[ ] 0/1,210", "[ ]"),
        (NOT_BEGUN, Tally(), "[ ]", "[ ]"),
        (NOT_BEGUN, Tally(unknown=1), "[ ]", "[ ]"),
        (UNDER_WAY, Tally(planned=1650, done=1003, left=647), "[>] 1,003/1,650", "[>] 60 %"),
        (UNDER_WAY, Tally(done=7, unknown=1), "[>] 7", "[>] 7"),
        (DONE, Tally(planned=1820, done=1820), "[x] 1,820", "[x] 1,820"),
        (DONE, Tally(planned=42, done=39, short=3), "[x] 39", "[x] 39"),
        (ASIDE, Tally(planned=1960, left=1960), "[-] 0/1,960", "[-]"),
        (NOTHING_DUE, Tally(), "nothing due", "-"),
    ],
)
def test_a_cell_tells_its_standing_by_mark_and_count(
    standing: Standing, tally: Tally, full: str, brief: str
) -> None:
    cell = Cell(tally, standing, {standing: 1})
    assert cell_words(cell) == full
    assert cell_words(cell, brief=True) == brief


async def test_the_cell_of_the_cursor_is_put_into_words(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        for words in (
            "Brook Bend, tapping: under way",
            "wanted Sat 20 Feb: 11 workdays, 59 a day",  # 644 left over 11 days, rounded up
            "60 %",
            "1,003 of 1,650 taps, left 644, today 377",
            "3 short",
            "5 not begun, 1 under way, 6 done",
            "Next: line 7 Brook pair, 80 left",
            "! Brook Bend / Brook pair: hung-up ash by the third lateral",
        ):
            assert words in seat.text
        await seat.press("down", "down")
        assert "Sugar Hollow, tapping: set aside" in seat.text
        assert "bridge out, snowmobile cannot cross (Milo, Wed 3 Feb)" in seat.text


async def test_a_hazard_of_the_block_can_be_read_to_its_end(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        assert "keep two tree lengths off (Milo, Mon 8 Feb)" in seat.text


async def test_the_top_says_which_book_which_day_who_keys_and_how_many_taps(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        top = seat.rows[0]
        assert top.startswith(f" Harrow Hill  2027  Tue 9 Feb  (invented)  {at_stake(seat)} ")
        assert top.endswith("keying: Ina")
        assert seat.below[0].startswith(" Taps in 5,139 of 11,960  42 %   left 6,814")


async def test_a_count_keyed_in_the_round_is_on_the_board_when_one_comes_back(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("enter")
        await seat.keys("80", "enter", "escape")
        assert "1,083 of 1,650 taps, left 564, today 457" in seat.text
        assert "Taps in 5,219 of 11,960" in seat.below[0]


# --- when the crew will be done ----------------------------------------------------------------

TODAY = EVENING.date()


async def test_the_top_says_when_tapping_is_done_and_that_it_is_late(
    demo: Season, laptop: Laptop
) -> None:
    (tapping,) = [task for task in forecast(demo, TODAY).tasks if task.task == "tapping"]
    assert tapping.wanted == date(2027, 2, 20)
    assert tapping.finish.likely is not None
    assert tapping.finish.likely > tapping.wanted
    assert tapping.one_more is not None
    async with sit_down(demo, laptop) as seat:
        assert seat.below[1] == (
            f" Tapping {finish_words(tapping.finish)}, with one more person by "
            f"{brief_day(tapping.one_more)}  ! late"
        )


async def test_a_cell_under_way_says_when_it_is_done_and_whether_that_is_late(
    demo: Season, laptop: Laptop
) -> None:
    tasks = {task.task: task for task in forecast(demo, TODAY).tasks}
    late = set()
    async with sit_down(demo, laptop) as seat:
        await seat.press("home", "left", "left")
        for column, key in enumerate(("drops", "tapping", "tensioning", "leaks", "pulling")):
            ends = {x.block: x for x in tasks[key].blocks} if tasks[key].under_way else {}
            for block in demo.plan.blocks:
                at = f"{block}, {demo.plan.find_task(key).title.lower()}"
                assert place(seat) == at
                says = next((row for row in seat.rows if row.startswith(" done")), "")
                cell = demo.ledger.cell(demo.plan.find_task(key), block)
                if block not in ends or cell.standing is Standing.ASIDE:
                    assert says == ""
                else:
                    over = is_late(ends[block].finish, ends[block].wanted)
                    assert says == f" {finish_words(ends[block].finish)}" + "  ! late" * over
                    late.add(over)
                await seat.press("down")
            await seat.press("home", *["right"] * (column < 4))
    assert late == {True, False}


async def test_counts_keyed_in_the_round_bring_the_day_closer(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        before = seat.below[1]
        await seat.press("enter")
        for left in (80, 88, 121, 96, 112, 147):
            await seat.keys(str(left), "enter")
        await seat.press("escape")
        assert place(seat) == "Brook Bend, tapping"
        assert " done by " not in " ".join(seat.below[2:])
        (tapping,) = [x for x in forecast(seat.on_disk(), TODAY).tasks if x.task == "tapping"]
        assert finish_words(tapping.finish) in seat.below[1]
        assert seat.below[1] != before


@pytest.mark.parametrize(
    ("wanted", "said"),
    [
        (20, "19 Feb"),
        (11, "10 Feb"),
        (10, "9 Feb  !"),  # today
        (9, "8 Feb  !"),
    ],
)
async def test_before_tapping_has_begun_the_top_says_by_when_it_must_and_whether_that_is_due(
    season: Season, fresh_laptop: Laptop, wanted: int, said: str
) -> None:
    """257 taps, by default rates: two workdays, nine times in ten."""
    season.record(Target(task="tapping", wanted=date(2027, 2, wanted), **stamp()))
    (tapping,) = [task for task in forecast(season, TODAY).tasks if task.task == "tapping"]
    assert tapping.days_late == 2
    fresh_laptop.set_keying(season.book.id, "Oda")
    async with sit_down(season, fresh_laptop) as seat:
        assert "Taps in 0 of 257" in seat.below[0]
        assert seat.below[1] == f" Tapping: begin by {said}"
        assert "late" not in seat.text
        assert "done by" not in seat.text


async def test_where_tapping_has_no_date_there_is_no_day_to_begin_by(
    season: Season, fresh_laptop: Laptop
) -> None:
    force = season.plan.checklist
    assert force is not None
    tasks = tuple(replace(task, wanted="") for task in force.tasks)
    season.record(replace(force, id="", tick=0, tasks=tasks))
    fresh_laptop.set_keying(season.book.id, "Oda")
    async with sit_down(season, fresh_laptop) as seat:
        assert "Taps in 0 of 257" in seat.below[0]
        assert seat.below[1] == ""


async def test_a_block_that_is_set_aside_has_a_reason_and_no_date(
    season: Season, fresh_laptop: Laptop
) -> None:
    season.record(count("Creek/Ford", "tapping", 40))
    season.record(*(aside(f"Ledge/{line}", "tapping", "ice") for line in ("Cliff", "Cedar")))
    fresh_laptop.set_keying(season.book.id, "Oda")
    async with sit_down(season, fresh_laptop) as seat:
        await seat.press("home")
        assert place(seat) == "Ledge, tapping"
        assert "Set aside: ice (Oda, Tue 9 Feb)" in seat.text
        assert " done by " not in " ".join(seat.below[2:])
        await seat.press("down")
        assert place(seat) == "Creek, tapping"
        assert " done by " in " ".join(seat.below[2:])


async def test_when_all_taps_are_in_no_date_is_told(season: Season, fresh_laptop: Laptop) -> None:
    for where, taps in (("Ledge/Cliff", 42), ("Ledge/Cedar", 60), ("Creek/Ford", 120)):
        season.record(count(where, "tapping", taps))
    season.record(count("Creek/Spring", "tapping", 35))
    fresh_laptop.set_keying(season.book.id, "Oda")
    async with sit_down(season, fresh_laptop) as seat:
        assert "Taps in 257 of 257  100 %" in seat.below[0]
        assert seat.below[1] == ""


# --- room --------------------------------------------------------------------------------------


def switch_on_every_task(season: Season) -> None:
    force = season.plan.checklist
    assert force is not None
    tasks = tuple(replace(task, on=True) for task in force.tasks)
    season.record(replace(force, id="", tick=0, tasks=tasks))


async def test_with_more_tasks_the_counts_get_brief(demo: Season, laptop: Laptop) -> None:
    switch_on_every_task(demo)
    async with sit_down(demo, laptop) as seat:
        (bend,) = [row for row in grid(seat) if row.startswith(" Brook Bend")]
        assert " ".join(bend.split()) == "Brook Bend [ ] [x] 234 >[>] 60 % [>] 56 % [ ] [ ]"


async def test_a_column_stands_there_whole_or_not_at_all(demo: Season, laptop: Laptop) -> None:
    switch_on_every_task(demo)
    async with sit_down(demo, laptop) as seat:
        assert grid(seat)[0].split() == [
            *("Block", "Clearing", "Drops", "Tapping", "Tension", "Leaks", "Pulling"),
            ">",  # there are more on the right
        ]
        await seat.press(*["right"] * 5)
        head = grid(seat)[0].split()
        assert head[1] == "<Drops"
        assert head[-2:] == ["Pulling", "Washing"]


async def test_columns_that_do_not_fit_slide_so_that_the_cursor_is_in_sight(
    demo: Season, laptop: Laptop
) -> None:
    switch_on_every_task(demo)
    async with sit_down(demo, laptop, (50, 24)) as seat:
        for _column in range(5):
            await seat.press("right")
            place(seat)
        assert grid(seat)[0].split()[-1] == "Washing"
        for _column in range(6):
            await seat.press("left")
            place(seat)
        assert grid(seat)[0].split()[1] == "Clearing"


async def test_a_wide_board_has_a_bar_where_work_is_under_way(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop, LARGE) as seat:
        (bend,) = [row for row in grid(seat) if row.startswith(" Brook Bend")]
        assert "1,003/1,650 ====..." in bend
        (ridge,) = [row for row in grid(seat) if row.startswith(" Upper Ridge")]
        assert "[x] 1,820 =" not in ridge
        assert seat.rows[0].endswith(f"desk {DESK}")
        await seat.resize((80, 24))
        (bend,) = [row for row in grid(seat) if row.startswith(" Brook Bend")]
        assert "=" not in bend
        assert DESK not in seat.rows[0]  # the first to give way


async def test_more_blocks_than_rows_scroll(season: Season, fresh_laptop: Laptop) -> None:
    names = [f"Lot {n}" for n in range(1, 31)]
    for order, name in enumerate(names, start=3):
        lot = Line(block=name, line=name, taps_planned=10 * order, order=1, **stamp())
        season.record(Block(block=name, order=order, **stamp()), lot)
    fresh_laptop.set_keying(season.book.id, "Oda")
    async with sit_down(season, fresh_laptop) as seat:
        assert grid(seat)[1].startswith(" Ledge")
        await seat.press("end")
        assert place(seat) == "Lot 30, tapping"
        await seat.press("pageup", "pageup", "pageup", "up")
        assert place(seat) == "Ledge, tapping"


# --- finding a line, and who is at the keyboard ------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "head", "line"),
    [
        ("ledge", " Brook Bend / Tapping   line 5 of 12", "5  Ledge main"),
        ("hollow basin", " Sugar Hollow / Tapping   line 7 of 8", "7  Basin main"),
    ],
)
async def test_a_line_found_by_its_name_opens_its_round(
    demo: Season, laptop: Laptop, typed: str, head: str, line: str
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("slash")
        await seat.paste(typed, "enter")
        assert seat.below[0].startswith(head)
        assert seat.row(" > ").split(" > ")[1].strip().startswith(line)


async def test_looking_for_a_line_that_is_not_there_goes_nowhere(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("slash")
        await seat.paste("volcano", "enter")
        assert "Which line, or which sheet?" in seat.text
        await seat.press("escape")
        seat.screen(Board)


async def test_who_is_at_the_keyboard_is_asked_once_and_remembered(
    demo: Season, fresh_laptop: Laptop, tmp_path: Path
) -> None:
    async with sit_down(demo, fresh_laptop) as seat:
        assert "Who is at the keyboard?" in seat.text
        await seat.press("m", "enter")
        assert seat.rows[0].endswith("keying: Milo")
    assert Laptop(tmp_path).keying(demo.book.id) == "Milo"
    async with sit_down(demo, Laptop(tmp_path)) as seat:
        assert "Who is at the keyboard?" not in seat.text
        assert "keying: Milo" in seat.rows[0]


async def test_who_keys_need_not_be_on_the_crew(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("k")
        await seat.paste("Nobody Else", "enter")
        assert "! Nobody Else is new here. Enter again: Nobody Else, not on the crew" in seat.box
        await seat.press("enter")
        assert seat.rows[0].endswith("keying: Nobody Else")
        assert seat.on_disk().plan.person("Nobody Else") is None
        await seat.walk("Brook Bend")
        assert " Count for Ina" in seat.text
        seat.screen(Round)
