"""Out and back from any screen, and who is not back in words at the top of all of them.

In the demo Rae went out to Brook Bend at 12:40, due at 16:30; it is 17:00.
"""

from datetime import timedelta

import pytest

from fieldbook.book.entry import AnyEntry, Back, Out, Person
from fieldbook.laptop import Laptop
from fieldbook.screens.board import Board
from fieldbook.screens.items import Items
from fieldbook.screens.round import Round
from fieldbook.season.items import Level, open_items
from fieldbook.season.season import Season
from tests.screens.conftest import EVENING, Seat, sit_down

LATE = "! Rae not back from Brook Bend, due 16:30, 30 min over"


def at_stake(seat: Seat, *, more: int = 0, safety: int = 0) -> str:
    """What the strip says of open items, as they were, with so many more."""
    items = open_items(seat.app.session.season.ledger, EVENING)
    grave = sum(item.level is Level.SAFETY for item in items)
    return f"! {len(items) + more} open, {grave + safety} safety"


def moves(seat: Seat) -> list[AnyEntry]:
    return [entry for entry in seat.written() if isinstance(entry, Out | Back)]


@pytest.mark.parametrize("keys", ["", "enter", "s", "g", "o"])
async def test_who_is_overdue_stands_in_words_on_every_screen(
    demo: Season, laptop: Laptop, keys: str
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press(*keys.split())
        assert seat.rows[1].strip() == LATE
        assert at_stake(seat) in seat.rows[0]
        assert seat.rows[0].endswith("keying: Ina")


async def test_b_offers_who_is_out_first_and_enter_writes_down_that_they_are_back(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        before = at_stake(seat, safety=-1)  # she herself; her bag is to be counted instead
        await seat.press("b")
        assert "> Rae OVERDUE since 16:30, out since 12:40, Brook Bend Ina Milo" in seat.box
        await seat.press("enter")
        assert "Rae is back? Enter: now." in seat.box
        assert "Other words are a note." in seat.box
        await seat.keys("wet through", "enter")
        (back,) = moves(seat)
        assert isinstance(back, Back)
        assert (back.who, back.note, back.at, back.by) == ("Rae", "wet through", EVENING, "Ina")
        assert f"{back.id} saved: Rae, back at 17:00: wet through" in seat.text
        assert LATE not in seat.text
        assert before == at_stake(seat)
        assert before in seat.rows[0]
        seat.screen(Board)


async def test_back_needs_no_words(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("b", "enter", "enter")
        assert len(moves(seat)) == 1
        assert seat.pressed == 3


async def test_b_asks_who_where_and_when_and_the_block_at_hand_comes_first(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        after = at_stake(seat, more=1, safety=1)
        await seat.walk("Sugar Hollow")
        await seat.keys("b")
        await seat.keys("tor", "enter")
        assert "Tor goes out: where? > Sugar Hollow Upper Ridge" in seat.box
        assert "no block" in seat.box
        await seat.press("enter")
        assert "Tor, Sugar Hollow: due back at?" in seat.box
        assert "a reminder, not a rescue system" in seat.box
        await seat.keys("18:30 with Wes, by the lower road", "enter")
        (out,) = moves(seat)
        assert isinstance(out, Out)
        assert (out.who, out.block, out.note) == (
            "Tor",
            "Sugar Hollow",
            "with Wes, by the lower road",
        )
        assert out.due == EVENING.replace(hour=18, minute=30)
        assert f"{out.id} saved: Tor, out at 17:00, due back 18:30: with Wes, by" in seat.text
        assert after in seat.rows[0]
        seat.screen(Round)


async def test_into_no_block(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.keys("b")
        await seat.keys("tor", "enter")
        await seat.keys("no block", "enter")
        assert "Tor, the woods: due back at?" in seat.box
        await seat.keys("1830", "enter")
        (out,) = moves(seat)
        assert isinstance(out, Out)
        assert out.block == ""


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("", "! '' is not a time of the day. Write it as 16:30."),
        ("half past four", "! 'half' is not a time of the day."),
        ("25:00", "! '25:00' is not a time of the day."),
    ],
)
async def test_what_is_no_time_stays_in_the_question_with_the_reason(
    demo: Season, laptop: Laptop, typed: str, why: str
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.keys("b")
        await seat.keys("tor", "enter", "enter")
        await seat.keys(typed, "enter")
        assert why in seat.box
        assert typed in seat.box
        assert moves(seat) == []
        await seat.press("escape")
        seat.screen(Board)


async def test_a_time_that_is_past_is_refused_until_it_says_when_they_went_out(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.keys("b")
        await seat.keys("tor", "enter", "enter")
        await seat.keys("4:30", "enter", "enter", "enter")  # however often it is answered
        assert "! 4:30 has gone by today. Write tomorrow 4:30, or when they went out" in seat.box
        assert moves(seat) == []
        for _letter in "4:30":
            await seat.press("backspace")
        await seat.keys("4:00-4:30", "enter")
        assert len(moves(seat)) == 1
        assert "Tor not back from Brook Bend, due 04:30, 12 h 30 min over" in seat.text


async def test_more_than_a_day_is_asked_about_and_taken_the_second_time(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.keys("b")
        await seat.keys("tor", "enter", "enter")
        await seat.keys("11 Feb 18:00", "enter")
        assert (
            "! Tor would be due back at 2027-02-11 18:00, more than a day after they went out at "
            "2027-02-09 17:00. Enter again if it is right."
        ) in seat.box
        assert moves(seat) == []
        await seat.press("enter")
        (out,) = moves(seat)
        assert isinstance(out, Out)
        assert out.due == EVENING.replace(day=11, hour=18)


async def test_a_doubt_is_of_one_answer_and_another_is_doubted_anew(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.keys("b")
        await seat.keys("tor", "enter", "enter")
        await seat.keys("11 Feb 18:00", "enter", "backspace")
        await seat.keys("1", "enter")
        assert "due back at 2027-02-11 18:01, more than a day after" in seat.box
        assert moves(seat) == []


async def test_somebody_new_is_put_on_the_crew(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.keys("b")
        await seat.keys("Abe", "enter")
        assert "! Abe is new here. Enter again: put Abe on the crew" in seat.box
        assert seat.written() == []
        await seat.press("enter", "enter")
        await seat.keys("18:00", "enter")
        person, out = seat.written()
        assert isinstance(person, Person)
        assert isinstance(out, Out)
        assert person.person == out.who == "Abe"


async def test_out_and_back_are_of_now_also_while_another_day_is_keyed_in(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        seat.app.session.day = EVENING.date() - timedelta(days=3)
        await seat.press("b", "enter", "enter")
        (back,) = moves(seat)
        assert back.at == EVENING


async def test_who_becomes_overdue_while_the_screen_is_open_is_said(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("b", "enter", "enter", "b")
        await seat.keys("tor", "enter", "enter")
        await seat.keys("17:20", "enter")
        assert "not back" not in seat.text
        later = EVENING + timedelta(minutes=21)
        seat.app.session.clock = lambda: later
        seat.app.catch_up()
        await seat.settle()
        assert "! Tor not back from Brook Bend, due 17:20, 1 min over" in seat.text


async def test_several_who_are_late_take_two_rows_and_it_says_how_many_more_there_are(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        for name in ("tor", "wes", "milo"):
            await seat.keys("b")
            await seat.keys(name, "enter", "enter")
            await seat.keys("12:40-16:00", "enter")
        top = seat.rows.index(seat.row(" Taps in "))
        assert top == 3  # strip and two rows
        assert "more: o" in seat.rows[2]


@pytest.mark.parametrize(
    ("width", "before", "after"),
    [
        (120, " Harrow Hill  2027  Tue 9 Feb  (invented)  ", "  keying: Ina  desk t3st2"),
        (80, " Harrow Hill  2027  Tue 9 Feb  (invented)  ", "  keying: Ina"),
        (72, " Harrow~  2027  Tue 9 Feb  (invented)  ", "  keying: Ina"),
    ],
)
async def test_the_desk_gives_way_first_then_the_books_name_and_never_what_is_open(
    demo: Season, laptop: Laptop, width: int, before: str, after: str
) -> None:
    async with sit_down(demo, laptop, (width, 24)) as seat:
        assert seat.rows[0].startswith(before + at_stake(seat))
        assert seat.rows[0].endswith(after)


@pytest.mark.parametrize("width", [60, 50, 40, 30])
async def test_however_narrow_the_count_of_open_items_stands_whole(
    demo: Season, laptop: Laptop, width: int
) -> None:
    async with sit_down(demo, laptop, (width, 24)) as seat:
        assert at_stake(seat) in seat.rows[0]


async def test_letters_type_in_the_find_field_of_the_logbook(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("g", "slash")
        await seat.keys("bob")
        assert "with: bob" in seat.text
        await seat.press("escape")
        seat.screen(Board)


async def test_o_opens_the_open_items_from_every_screen_and_not_twice(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        for keys in ((), ("enter",), ("s",), ("g",)):
            await seat.press(*keys, "o", "o")
            seat.screen(Items)
            await seat.press("escape", *("escape",) * len(keys))
            seat.screen(Board)
