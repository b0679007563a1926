"""Small questions: whose work, which day, some words, a page to read."""

from datetime import datetime

from fieldbook.book.entry import Count, Person
from fieldbook.laptop import Laptop
from fieldbook.screens.board import Board
from fieldbook.screens.round import Round
from fieldbook.season.season import Season
from tests.conftest import EAST
from tests.screens.conftest import DESK, EVENING, Seat, sit_down
from tests.screens.test_round import counts, here

HINT = "Type the beginning; Enter takes the one marked >"


def names(seat: Seat) -> list[str]:
    """The names offered in the box."""
    inside = [row.split("│")[1].strip(" >") for row in seat.rows if row.count("│") == 2]
    first, last = inside.index("Whose work is it?"), inside.index(HINT.strip(" >"))
    return [row for row in inside[first + 1 : last] if row]


# --- whose work --------------------------------------------------------------------------------


async def test_p_and_a_letter_change_whose_work_it_is(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.press("p")
        assert names(seat) == ["Ina", "Milo", "Rae", "Tor", "Wes", "Zoë"]
        await seat.press("r", "enter")
        assert " Count for Rae, Tue 9 Feb: _" in seat.text
        await seat.keys("80", "enter")
        assert counts(seat) == [("Rae", "Brook pair", 80)]
        assert [entry.by for entry in seat.written()] == ["Ina"]


async def test_names_are_chosen_by_their_beginning_or_with_the_arrows(
    demo: Season, laptop: Laptop
) -> None:
    choices = [
        ("", "", "Ina"),  # each starts at whose work it was before
        ("", "down", "Milo"),
        ("", "down down up", "Rae"),
        ("", "up up up", "Ina"),
        ("", "down down down down down down down", "Zoë"),
        ("r", "", "Rae"),  # the beginning of a name goes before the end of Tor
        ("o", "down", "Tor"),
        ("MILO", "", "Milo"),
    ]
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        for typed, moves, who in choices:
            await seat.press("p")
            await seat.keys(typed, *moves.split(), "enter")
            assert f" Count for {who}, Tue 9 Feb" in seat.text
        assert seat.written() == []


async def test_a_name_typed_with_a_dead_key_is_the_one_on_the_crew(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.press("p")
        await seat.paste("zoe\u0308", "enter")
        assert " Count for Zoë, Tue 9 Feb" in seat.text
        assert seat.written() == []


async def test_a_new_name_is_put_on_the_crew_and_the_count_is_theirs(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.press("p")
        await seat.paste("  Wim   Ash ")
        assert names(seat)[-1] == "put Wim Ash on the crew"
        assert "> put Wim Ash on the crew" in seat.box
        await seat.press("enter")
        assert "! Wim Ash is new here. Enter again: put Wim Ash on the crew" in seat.box
        assert seat.written() == []
        await seat.press("enter")
        assert f"{DESK}-1 saved: Wim Ash on the crew" in seat.text
        await seat.keys("80", "enter")
        person, count = seat.written()
        assert isinstance(person, Person)
        assert isinstance(count, Count)
        assert (person.person, count.who) == ("Wim Ash", "Wim Ash")
        await seat.press("p")
        assert "Wim Ash" in names(seat)


async def test_whose_work_is_asked_before_the_first_count_and_then_it_is_recorded(
    demo: Season, laptop: Laptop
) -> None:
    laptop.set_keying(demo.book.id, "Olive")  # keys in the evening, is not on the crew
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        assert " Count for ?, Tue 9 Feb: _" in seat.text
        await seat.keys("80", "enter")
        assert "Whose work is it?" in seat.text
        assert seat.written() == []
        await seat.press("r", "enter")
        assert counts(seat) == [("Rae", "Brook pair", 80)]
        assert [entry.by for entry in seat.written()] == ["Olive"]
        assert here(seat) == "8  Cedar main"
        await seat.keys("88", "enter")
        assert counts(seat)[1:] == [("Rae", "Cedar main", 88)]


async def test_whose_work_left_open_records_nothing_and_keeps_the_digits(
    demo: Season, laptop: Laptop
) -> None:
    laptop.set_keying(demo.book.id, "Olive")
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.keys("80", "enter", "escape")
        assert " Count for ?, Tue 9 Feb: 80_" in seat.text
        assert seat.written() == []


# --- which day ---------------------------------------------------------------------------------


async def test_d_changes_the_day_and_the_count_is_of_that_day(demo: Season, laptop: Laptop) -> None:
    days = [
        ("yesterday", "Mon 8 Feb (not today)", datetime(2027, 2, 8, 12, tzinfo=EAST)),
        ("sat", "Sat 6 Feb (not today)", datetime(2027, 2, 6, 12, tzinfo=EAST)),
        ("6 Feb", "Sat 6 Feb (not today)", datetime(2027, 2, 6, 12, tzinfo=EAST)),
        ("2026-12-01", "Tue 1 Dec (not today)", datetime(2026, 12, 1, 12, tzinfo=EAST)),
        ("today", "Tue 9 Feb", EVENING),
    ]
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Far Corner")
        for typed, shown, at in days:
            await seat.press("d")
            await seat.paste(typed, "enter")
            assert f" Count for Ina, {shown}: _" in seat.text
            await seat.keys("80", "enter")
            entry = seat.written()[-1]
            assert (entry.at, entry.noted) == (at, EVENING)


async def test_a_day_that_cannot_be_read_is_refused_and_asked_for_again(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        for typed in ("03/04", "31 Feb", "soon", "2027-2"):
            await seat.press("d")
            assert seat.box.startswith("On which day was it? 2027-02-09 ")
            await seat.paste(typed, "enter")
            assert seat.box == (
                f"On which day was it? {typed}"
                f" ! '{typed}' is not a date that can be read one way only."
                " Write it as 2027-02-09, 9 Feb, today or yesterday."
            )
            await seat.press("escape")
            assert " Count for Ina, Tue 9 Feb: _" in seat.text


async def test_a_day_outside_the_season_is_refused_at_the_latest_with_the_count(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.press("d")
        await seat.paste("2020-01-01", "enter")
        await seat.keys("80", "enter")
        assert "outside season 2027, which runs from 2026-09-01 to 2027-08-31" in seat.text
        assert "80_" in seat.text
        assert seat.written() == []


async def test_work_of_a_day_to_come_is_refused(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.press("d")
        await seat.paste("10 Feb", "enter")
        assert "! 2027-02-10 is still to come." in seat.box
        await seat.press("escape")
        assert " Count for Ina, Tue 9 Feb: _" in seat.text


# --- some words --------------------------------------------------------------------------------


async def test_words_may_hold_what_are_keys_elsewhere(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.press("n")
        await seat.keys("q?k/! 80 up", "enter")
        seat.screen(Round)
        assert " - q?k/! 80 up (Ina, Tue 9 Feb)" in seat.rows


# --- a page to read ----------------------------------------------------------------------------


async def test_a_page_is_left_with_any_of_the_usual_keys(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        for key in ("escape", "enter", "q", "question_mark", "f1"):
            await seat.press("question_mark")
            assert "Arrows: scroll" in seat.text
            await seat.press(key)
            seat.screen(Board)


async def test_the_season_scrolls_to_the_end_of_its_summary(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("s")
        await seat.scroll("end")
        assert "1 entry struck" in seat.text
