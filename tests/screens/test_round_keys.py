"""Round: one key each for what is not a count. Each says in one line what is on disk now."""

import pytest

from fieldbook.book.entry import Aside, Count, Finish, Note, Reopen, Step, Strike
from fieldbook.laptop import Laptop
from fieldbook.screens.round import Round
from fieldbook.season.season import Season
from tests.screens.conftest import DESK, sit_down
from tests.screens.test_round import here, line_row

# --- finish, set aside, reopen -----------------------------------------------------------------


async def test_y_finishes_the_line_just_recorded_and_asks_why_it_is_short(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Cedar main")
        await seat.keys("50", "enter")
        assert "(50 of 88) y: finish it short" in seat.text
        await seat.press("y")
        assert "Cedar main: 38 of 88 not done. Why is it finished?" in seat.text
        await seat.paste("38 too small this year", "enter")
        finish = seat.written()[-1]
        assert isinstance(finish, Finish)
        assert (finish.line, finish.who, finish.reason) == (
            "Cedar main",
            "Ina",
            "38 too small this year",
        )
        assert "[x]    50 of 88       38 short: 38 too small" in line_row(seat, "Cedar main")
        assert here(seat) == "9  Lower loop"


async def test_y_does_nothing_once_the_line_is_done(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Cedar main")
        await seat.keys("88", "enter")
        await seat.press("y", "y")
        assert len(seat.written()) == 1
        assert here(seat) == "9  Lower loop"


async def test_f_finishes_the_current_line_and_asks_nothing_when_nothing_is_left(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Brook pair")
        await seat.keys("80", "enter", "up", "f")
        finish = seat.written()[-1]
        assert isinstance(finish, Finish)
        assert (finish.line, finish.reason) == ("Brook pair", "")
        assert f"{DESK}-2 saved: Ina, finished tapping, Brook Bend / Brook pair" in seat.text


async def test_f_on_a_finished_line_says_so_and_writes_nothing(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Brook pair")
        await seat.keys("80", "enter", "up", "f", "f")
        assert "Brook pair is finished already." in seat.text
        assert [type(entry) for entry in seat.written()] == [Count, Finish]
        await seat.press("r", "f")  # reopened it may be finished again
        assert [type(entry) for entry in seat.written()] == [Count, Finish, Reopen, Finish]


async def test_f_asks_why_when_something_is_left(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.press("f")
        assert "Brook pair: 80 of 142 not done. Why is it finished?" in seat.text
        await seat.press("enter")
        assert "! The text cannot be empty." in seat.text
        assert seat.written() == []
        await seat.paste("ash in the way", "enter")
        assert "[x]    62 of 142" in line_row(seat, "Brook pair")


async def test_s_sets_the_line_aside_and_does_not_take_silence_for_a_reason(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Lower loop")
        await seat.press("s", "enter")
        assert "Lower loop: set aside. Why?" in seat.text
        assert "! The text cannot be empty." in seat.text
        await seat.paste("   ", "enter")
        assert "! The text cannot be empty." in seat.text
        assert seat.written() == []
        await seat.paste("ice", "enter")
        (aside,) = seat.written()
        assert isinstance(aside, Aside)
        assert (aside.line, aside.reason) == ("Lower loop", "ice")
        row = line_row(seat, "Lower loop")
        assert "[-]     0 of 121      set aside: ice (Ina" in row
        assert "set aside" in seat.row("0 of 121 taps")


async def test_a_count_on_a_line_set_aside_brings_it_back(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Sugar Hollow", line="Fox main")
        await seat.keys("20", "enter")
        assert "[>]    20 of 198" in line_row(seat, "Fox main")


async def test_r_reopens_a_line(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Ledge main")
        await seat.press("r")
        (reopen,) = seat.written()
        assert isinstance(reopen, Reopen)
        assert "[>]   148 of 148" in line_row(seat, "Ledge main")
        assert f"{DESK}-1 saved: Ina, reopened tapping" in seat.text


async def test_r_on_an_open_line_says_so_and_writes_nothing(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Cedar main")
        await seat.press("r")
        assert "Cedar main is open already." in seat.text
        assert seat.written() == []
        await seat.press("up", "up", "r", "r")
        assert "Spring main is open already." in seat.text
        assert [type(entry) for entry in seat.written()] == [Reopen]


# --- notes, hazards, steps ---------------------------------------------------------------------


async def test_n_writes_a_note_that_stands_on_the_card(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Cedar main")
        await seat.press("n")
        assert "Note on Cedar main" in seat.text
        await seat.paste("two drops short", "enter")
        (note,) = seat.written()
        assert isinstance(note, Note)
        assert (note.block, note.line, note.task) == ("Brook Bend", "Cedar main", "tapping")
        assert (note.text, note.who, note.hazard) == ("two drops short", "Ina", False)
        assert " - two drops short (Ina, Tue 9 Feb)" in seat.rows
        assert "hazard" not in line_row(seat, "Cedar main")


async def test_h_writes_a_hazard_that_stands_on_the_card_the_list_and_the_board(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("enter", "down")
        await seat.press("h")
        assert "Hazard on Cedar main: what could hurt somebody?" in seat.text
        await seat.paste("wire under load", "enter")
        (note,) = seat.written()
        assert isinstance(note, Note)
        assert note.hazard
        assert " ! wire under load (Ina, Tue 9 Feb)" in seat.rows
        assert line_row(seat, "Cedar main").endswith("! hazard")
        await seat.press("escape")
        assert "! Brook Bend / Cedar main: wire under load" in seat.text


async def test_x_ticks_the_steps_one_by_one_and_then_says_that_all_are_ticked(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Cedar main")
        assert "[ ] sharp, clean bit [ ] clear of old holes [ ] spout seated" in seat.text
        await seat.press("x")
        assert "[x] sharp, clean bit [ ] clear of old holes [ ] spout seated" in seat.text
        await seat.press("x", "x")
        assert "[x] sharp, clean bit [x] clear of old holes [x] spout seated" in seat.text
        await seat.press("x")
        assert "Every step is ticked on this line" in seat.text
        steps = [entry.step for entry in seat.written() if isinstance(entry, Step)]
        assert steps == ["sharp, clean bit", "clear of old holes", "spout seated by sound"]


# --- striking the last -------------------------------------------------------------------------


async def test_u_strikes_what_was_keyed_last_and_then_what_was_keyed_before(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.keys("80", "enter")
        await seat.keys("90", "enter")
        await seat.press("u")
        assert seat.box == (
            f"Strike {DESK}-2: Ina, 90 taps, Brook Bend / Cedar main. Why is it wrong?"
            " slip of the finger"
        )
        await seat.press("enter")
        assert "[ ]     0 of 88" in line_row(seat, "Cedar main")
        assert f"{DESK}-3 saved: struck {DESK}-2: slip of the finger" in seat.text
        await seat.press("u")
        await seat.paste("wrong sheet", "enter")
        assert "[>]    62 of 142" in line_row(seat, "Brook pair")
        strikes = [(e.entry, e.reason) for e in seat.written() if isinstance(e, Strike)]
        assert strikes == [(f"{DESK}-2", "slip of the finger"), (f"{DESK}-1", "wrong sheet")]
        await seat.press("u")
        assert "Ina has keyed nothing here that stands." in seat.text
        assert len(seat.written()) == 4


async def test_u_leaves_alone_what_somebody_else_keyed_since(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.keys("80", "enter")
        await seat.press("k", "m", "enter")
        await seat.keys("88", "enter")
        await seat.press("k", "i", "enter", "u", "enter")
        strike = seat.written()[-1]
        assert isinstance(strike, Strike)
        assert (strike.entry, strike.by) == (f"{DESK}-1", "Ina")
        by = [(e.by, e.line) for e in seat.written() if isinstance(e, Count)]
        assert by == [("Ina", "Brook pair"), ("Milo", "Cedar main")]


async def test_u_asks_only_why(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.keys("80", "enter")
        seat.app.session.who = ""  # as after a start by somebody who is not on the crew
        await seat.press("u", "enter")
        assert "Whose work is it?" not in seat.text
        assert isinstance(seat.written()[-1], Strike)


# --- a question is never in the way ------------------------------------------------------------


async def test_a_question_left_with_escape_records_nothing_and_keeps_the_digits(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Spring main")
        await seat.keys("3", "enter")
        await seat.keys("80")
        for key in ("n", "h", "u", "p", "d", "question_mark", "f1", "k", "g", *"lvijbo"):
            await seat.press(key)
            assert not isinstance(seat.app.screen, Round)
            await seat.press("escape")
            seat.screen(Round)
        assert "Tue 9 Feb: 80_" in seat.text
        assert here(seat) == "7  Brook pair"
        assert len(seat.written()) == 1


@pytest.mark.parametrize("key", ["f", "s", "r"])
async def test_what_ends_a_line_or_opens_it_again_waits_until_the_digits_are_recorded(
    demo: Season, laptop: Laptop, key: str
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.keys("80")
        await seat.press(key)
        seat.screen(Round)
        assert "! 80 is not recorded yet: Enter first" in seat.text
        assert "Tue 9 Feb: 80_" in seat.text
        assert seat.written() == []


async def test_what_is_saved_stays_to_be_read_while_the_next_count_is_typed(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.keys("80", "enter")
        await seat.keys("88")
        assert f"{DESK}-1 saved: Ina, 80 taps" in seat.text
        assert "Tue 9 Feb: 88_" in seat.text
