"""Hand-off on screen: led from question to question going off, item by item coming on.

At Quillby Hollow on Tuesday 9 February Oda goes off at five in the afternoon; Wim comes on. Twelve
things are open:

    !! 1  Perrin is out on Creek, due 17:30
    !! 2  a widow-maker over Ford, line 1 of Creek
     ! 3  Cedar on Ledge: 60 drops, 57 tapped and finished: 3 hang without a tap
     ! 4  the valve of Cliff on Ledge is shut
       5  sheet 1 is not keyed in, 6 to 9 four repairs are promised, 10 and 11 Ford and Spring are
          not finished, 12 nobody knows the age of the drops on Ford
"""

from collections.abc import Iterator
from datetime import datetime
from typing import TypeVar

import pytest

from fieldbook.book.book import Book
from fieldbook.book.entry import (
    AnyEntry,
    HandOff,
    Note,
    Out,
    Person,
    Repair,
    Settle,
    Sheet,
    Taken,
    Valve,
)
from fieldbook.laptop import Laptop
from fieldbook.screens.board import Board
from fieldbook.screens.handoff import Handing, take
from fieldbook.screens.taking import Taking
from fieldbook.season.handoff import take as read_back
from fieldbook.season.items import of_blocks, open_items
from fieldbook.season.season import Season
from tests.conftest import count, finish, stamp
from tests.screens.conftest import BAR, EVENING, LARGE, SMALL, Seat, sit_down

ODD = "[x] [/] [red] [b"
ESCAPES = "\x1b[31mred\x1b[0m"

DUE = datetime(2027, 2, 9, 17, 30, tzinfo=EVENING.tzinfo)

PROMISED = ("new tie", "splice", "hook", "post")

E = TypeVar("E", bound=AnyEntry)

QUESTIONS = 8
"""Blocks, who, to whom, how grave, done, left, hazards, what if."""


@pytest.fixture
def woods(season: Season) -> Season:
    """Quillby Hollow with the twelve things open."""
    season.record(
        Out(who="Perrin", block="Creek", due=DUE, **stamp()),
        Note(
            block="Creek",
            line="Ford",
            text="widow-maker over the crossing",
            hazard=True,
            who="Wim",
            **stamp(),
        ),
        Valve(
            block="Ledge", line="Cliff", state="shut", reason="tee cracked", who="Wim", **stamp()
        ),
        count("Ledge/Cedar", "tapping", 57),
        finish("Ledge/Cedar", "tapping"),
        *(
            Repair(text=text, who="Wim", block="Creek", line="Spring", **stamp())
            for text in PROMISED
        ),
        Sheet(sheet=1, block="Ledge", task="tapping", lines=("Cliff",), who="Wim", **stamp()),
        count("Creek/Spring", "tapping", 10),
        count("Creek/Ford", "tapping", 10),
    )
    assert len(open_items(season.ledger, EVENING)) == 12
    return season


@pytest.fixture
def oda(fresh_laptop: Laptop, book: Book) -> Laptop:
    """Oda's laptop."""
    fresh_laptop.set_keying(book.id, "Oda")
    return fresh_laptop


@pytest.fixture
def wim(woods: Season) -> Iterator[Season]:
    """The same book on Wim's laptop."""
    book = Book.open(woods.book.path, desk="w5x2c")
    yield Season(book)
    book.close()


def last(seat: Seat, kind: type[E]) -> E:
    """The newest entry of a kind that is on disk."""
    return [entry for entry in seat.on_disk().book.entries if isinstance(entry, kind)][-1]


def recorded(seat: Seat, kind: type[E]) -> int:
    """How many entries of a kind are on disk."""
    return sum(isinstance(entry, kind) for entry in seat.on_disk().book.entries)


async def hand_all_off(seat: Seat) -> HandOff:
    """Oda hands off everything to whoever comes on, with the answers as they are filled in."""
    await seat.press("h", "down", *["enter"] * (QUESTIONS + 1))
    return last(seat, HandOff)


async def come_on(seat: Seat) -> None:
    """Wim sits down to take it, and has read what Oda says."""
    await seat.press("t", "w", "enter", "enter")


def item_row(seat: Seat, number: int) -> str:
    """The row of an item in the list, up to its words."""
    (row,) = [
        row
        for row in seat.rows
        if row[2:].startswith(tuple("[ ")) and f" {number:>3} " in row[4:12]
    ]
    return row


# --- how many keys it takes --------------------------------------------------------------------


async def test_twelve_items_are_handed_off_and_taken_with_few_keys(
    woods: Season, oda: Laptop
) -> None:
    async with sit_down(woods, oda) as seat:
        await hand_all_off(seat)
        prepared = seat.pressed
        await come_on(seat)
        for answer in ("1730", "1", "3", "shut"):
            await seat.keys(answer, "enter")
        await seat.press(*["enter"] * 8)
        assert "Everything is read back. Enter: Wim takes 12 items from Oda" in seat.text
        await seat.press("enter")
        assert (prepared, seat.pressed - prepared) == (11, 27)

        told, taken = last(seat, HandOff), last(seat, Taken)
        assert (told.who, told.to, told.blocks) == ("Oda", "", ("Ledge", "Creek"))
        assert [item.value for item in told.items] == ["17:30", "1", "3", "shut", *[""] * 8]
        assert told.by == "Oda"
        assert (taken.handoff, taken.who, taken.by) == (told.id, "Wim", "Oda")
        assert [item.about for item in taken.items] == [item.about for item in told.items]
        assert [item.said for item in taken.items] == ["1730", "1", "3", "shut", *[""] * 8]
        assert not any(item.differs for item in taken.items)
        seat.screen(Board)
        assert "Wim took 12 items from Oda, Tue 9 Feb 17:00" in seat.text


# --- going off ---------------------------------------------------------------------------------


async def test_the_block_under_the_cursor_is_offered_first_and_all_of_it_goes_along(
    woods: Season, oda: Laptop
) -> None:
    async with sit_down(woods, oda) as seat:
        await seat.press("home", "h")
        assert " > Ledge: 3 open" in seat.text
        await seat.press(*["enter"] * (QUESTIONS + 1))
        told = last(seat, HandOff)
        assert told.blocks == ("Ledge",)
        wanted = of_blocks(open_items(woods.ledger, EVENING), ["Ledge"])
        assert [item.about for item in told.items if item.about.what != "hand-off"] == [
            item.about for item in wanted if item.about.what != "hand-off"
        ]
        assert told.severity == "watch"
        assert f"{told.id} saved: Oda, hands off Ledge to whoever comes on, 3 items" in seat.text


async def test_what_is_filled_in_stands_as_the_book_has_it_and_what_is_typed_as_typed(
    woods: Season, oda: Laptop
) -> None:
    async with sit_down(woods, oda) as seat:
        await seat.press("h", "down", "enter", "enter")
        await seat.keys("wi", "enter")
        await seat.keys("calm", "enter")
        assert "Creek, tapping: Oda 20 taps" in seat.text
        await seat.press("enter")
        await seat.keys("; bok? key", "enter")
        await seat.keys("ice below Ford", "enter")
        await seat.keys("thaw: Cliff first", "enter", "enter")
        told = last(seat, HandOff)
        assert (told.to, told.severity) == ("Wim", "calm")
        assert (
            told.done == "Ledge, tapping: Oda 57 taps; finished Cedar\nCreek, tapping: Oda 20 taps"
        )
        assert told.left.endswith("; bok? key")
        assert "2 Spring 25 taps (under way)" in told.left
        assert (told.hazards, told.what_if) == ("ice below Ford", "thaw: Cliff first")


async def test_nobody_hands_off_to_themselves(woods: Season, oda: Laptop) -> None:
    async with sit_down(woods, oda) as seat:
        await seat.press("h", "enter")
        assert " > Oda" in seat.text
        await seat.press("down", "enter")
        rows = [row.strip() for row in seat.rows]
        assert [name for name in rows if name in ("Oda", "Perrin", "Wim")] == ["Oda", "Wim"]


async def test_escape_goes_back_one_question_and_loses_nothing(woods: Season, oda: Laptop) -> None:
    async with sit_down(woods, oda) as seat:
        await seat.press("h", *["enter"] * 6)
        await seat.burst(*"ice", "escape", "escape", "escape")
        assert "question 4 of 8" in seat.text
        await seat.press("enter", "enter", "enter")
        assert "question 7 of 8" in seat.text
        await seat.keys(" at Ford", "enter", "enter", "enter")
        assert last(seat, HandOff).hazards == "ice at Ford"


async def test_another_block_is_filled_in_anew_but_not_what_was_typed(
    woods: Season, oda: Laptop
) -> None:
    async with sit_down(woods, oda) as seat:
        await seat.press("home", "h", *["enter"] * 4)
        await seat.keys(" and coffee", *["enter"] * 3)
        await seat.press(*["escape"] * 7)
        assert "question 1 of 8" in seat.text
        await seat.keys("cr", *["enter"] * (QUESTIONS + 1))
        told = last(seat, HandOff)
        assert told.blocks == ("Creek",)
        assert told.severity == "danger"
        assert told.done == "Ledge, tapping: Oda 57 taps; finished Cedar and coffee"
        assert told.left.startswith("Creek, tapping: 1 Ford 110 taps")


async def test_leaving_from_the_first_question_says_that_nothing_is_recorded(
    woods: Season, oda: Laptop
) -> None:
    async with sit_down(woods, oda) as seat:
        await seat.press("h", *["enter"] * 6)
        await seat.keys("ice")
        await seat.press(*["escape"] * 7)
        seat.screen(Handing)
        assert "! Nothing is recorded yet. Esc leaves it so; Enter goes on." in seat.text
        await seat.press("escape")
        seat.screen(Board)
        assert recorded(seat, HandOff) == 0


async def test_a_name_that_nobody_has_is_not_taken(woods: Season, oda: Laptop) -> None:
    async with sit_down(woods, oda) as seat:
        await seat.press("h", "enter")
        await seat.keys("zebra", "enter")
        assert "question 2 of 8" in seat.text
        assert "! Nothing is called that: take back what was typed." in seat.text


async def test_the_whole_page_is_read_before_it_is_recorded(woods: Season, oda: Laptop) -> None:
    async with sit_down(woods, oda) as seat:
        await seat.press("h", "down", *["enter"] * QUESTIONS)
        assert "Hand-off (draft): Oda to whoever comes on, Tue 9 Feb 17:00" in seat.text
        read = ""
        for _page in range(6):
            read += seat.text
            await seat.press("pagedown")
        for number in range(1, 13):
            assert f" {number} " in read
        assert "> read back: the valve is?" in read
        assert recorded(seat, HandOff) == 0


async def test_what_came_in_while_the_page_was_read_is_shown_first(
    woods: Season, wim: Season, oda: Laptop
) -> None:
    async with sit_down(woods, oda) as seat:
        await seat.press("h", "down", *["enter"] * QUESTIONS)
        wim.record(Repair(block="Creek", line="Ford", text="anchor", who="Wim", **stamp()))
        seat.app.catch_up()
        await seat.settle()
        await seat.press("enter")
        assert "! What is open has changed: look again, then Enter." in seat.text
        assert recorded(seat, HandOff) == 0
        await seat.press("enter")
        assert len(last(seat, HandOff).items) == 13


# --- coming on ---------------------------------------------------------------------------------


async def test_looking_is_not_enough_for_what_could_hurt_or_is_shut(
    woods: Season, oda: Laptop
) -> None:
    async with sit_down(woods, oda) as seat:
        await hand_all_off(seat)
        await come_on(seat)
        for answer, asked in (
            ("1730", "due back at?"),
            ("crossing", "which line, or a word of it?"),
            ("3", "how many?"),
            ("shut", "the valve is?"),
        ):
            await seat.press("enter")
            assert f"! Looking is not enough here: {asked}" in seat.text
            await seat.keys("yes", "enter", "enter")  # nor is a yes, however often
            assert f"! Looking is not enough here: {asked}" in seat.text
            for _letter in "yes":
                await seat.press("backspace")
            await seat.keys(answer, "enter")
        assert "4 of 12 read back" in seat.text
        assert item_row(seat, 4).startswith("  [x]   4 ! ")
        assert item_row(seat, 5).startswith(" >[ ]   5 ")


async def test_a_wrong_word_shows_both_and_is_kept_only_by_a_second_enter(
    woods: Season, oda: Laptop
) -> None:
    async with sit_down(woods, oda) as seat:
        await hand_all_off(seat)
        await come_on(seat)
        await seat.keys("1530", "enter")
        assert "! told 17:30, read back 1530. Enter again keeps it as it was read back" in seat.text
        await seat.press("enter")
        assert item_row(seat, 1).startswith("  [!]   1 !!")
        assert "1 of 12 read back, 1 otherwise than told" in seat.text
        await seat.keys("ford", "enter")
        await seat.keys("4", "enter")
        await seat.keys("5", "enter")
        assert "! told 3, read back 5." in seat.text
        await seat.keys("3", "enter")
        assert item_row(seat, 3).startswith("  [x]   3 !")
        await seat.keys("open", "enter")
        assert "! told shut, read back open." in seat.text
        await seat.press(*["enter"] * 10)
        taken = last(seat, Taken)
        assert [(item.said, item.differs) for item in taken.items[:4]] == [
            ("1530", True),
            ("ford", False),
            ("3", False),
            ("open", True),
        ]


async def test_an_answer_can_be_given_again(woods: Season, oda: Laptop) -> None:
    async with sit_down(woods, oda) as seat:
        await hand_all_off(seat)
        await come_on(seat)
        await seat.keys("1530", "enter", "enter", "up")
        assert "read back: 1530" in seat.text
        await seat.keys("17:30", "enter")
        assert item_row(seat, 1).startswith("  [x]   1 !!")


async def test_what_is_typed_stays_with_its_item(woods: Season, oda: Laptop) -> None:
    async with sit_down(woods, oda) as seat:
        await hand_all_off(seat)
        await come_on(seat)
        await seat.burst(*"17", "down", *"fo", "up", *"30", "enter", *"rd", "enter")
        assert item_row(seat, 1).startswith("  [x]   1 !!")
        assert item_row(seat, 2).startswith("  [x]   2 !!")


async def test_leaving_half_way_records_nothing_and_says_so_first(
    woods: Season, oda: Laptop
) -> None:
    async with sit_down(woods, oda) as seat:
        await hand_all_off(seat)
        await come_on(seat)
        await seat.keys("1730", "enter")
        await seat.keys("for")
        await seat.press("escape")
        assert "Esc leaves it so" not in seat.text
        await seat.press("escape")
        assert "! Nothing is taken and nothing is on disk yet. Esc leaves it so" in seat.text
        seat.screen(Taking)
        await seat.press("escape")
        seat.screen(Board)
        assert recorded(seat, Taken) == 0


async def test_what_came_in_is_added_at_the_end_and_what_was_closed_is_not_asked(
    woods: Season, wim: Season, oda: Laptop
) -> None:
    async with sit_down(woods, oda) as seat:
        await hand_all_off(seat)
        wim.catch_up()
        await come_on(seat)
        for answer in ("1730", "1", "3", "shut"):
            await seat.keys(answer, "enter")
        hazard = next(entry for entry in wim.book.entries if isinstance(entry, Note))
        wim.record(
            Settle(entry=hazard.id, who="Wim", **stamp()),
            Note(block="Ledge", text="ice on the bridge", hazard=True, who="Wim", **stamp()),
        )
        seat.app.catch_up()
        await seat.settle()
        assert "closed since: hazard: widow-maker" in item_row(seat, 2)
        assert item_row(seat, 2).startswith("   -    2")
        await seat.press(*["enter"] * 8)
        assert "new: ice on the bridge" in item_row(seat, 13)
        assert "Say back: a word of it?" in seat.text
        await seat.keys("bridge", "enter", "enter")
        taken = last(seat, Taken)
        assert len(taken.items) == 12
        assert taken.items[-1].said == "bridge"
        assert hazard.id not in [item.about.entry for item in taken.items]


async def test_an_answer_to_what_has_changed_since_is_asked_for_again(
    woods: Season, wim: Season, oda: Laptop
) -> None:
    async with sit_down(woods, oda) as seat:
        await hand_all_off(seat)
        await come_on(seat)
        await seat.keys("1730", "enter")
        wim.catch_up()
        wim.record(Out(who="Perrin", block="Creek", due=DUE.replace(hour=19), **stamp()))
        seat.app.catch_up()
        await seat.settle()
        assert item_row(seat, 1).startswith("  [ ]   1 !!")
        await seat.press("up")
        assert "changed since: it was 17:30" in seat.text
        await seat.keys("1730", "enter")
        assert "! told 17:30, since then 19:30, read back 1730." in seat.text


async def test_the_one_it_is_meant_for_is_asked_first_and_the_giver_never(
    woods: Season, oda: Laptop
) -> None:
    async with sit_down(woods, oda) as seat:
        await seat.press("h", "enter", "enter")
        await seat.keys("wi", *["enter"] * 7)
        await seat.press("t")
        assert "Oda hands off. Who takes over?" in seat.box
        assert "> Wim Perrin" in seat.box
        assert "> Oda" not in seat.box


async def test_which_one_is_taken_is_asked_where_several_wait(woods: Season, oda: Laptop) -> None:
    async with sit_down(woods, oda, LARGE) as seat:
        await seat.press("t")
        assert "No hand-off waits to be taken; h prepares one." in seat.text
        first = await hand_all_off(seat)
        second = await hand_all_off(seat)
        await seat.press("t")
        assert "Which hand-off is taken?" in seat.box
        await seat.keys(first.id, "enter")
        await seat.press("enter", "enter")
        assert seat.screen(Taking).reading.handoff.id == first.id
        assert "hand-off not taken: Oda to whoever comes on" in item_row(seat, 13)
        assert len(second.items) == 13


async def test_one_that_was_taken_says_who_took_it(woods: Season, oda: Laptop) -> None:
    async with sit_down(woods, oda) as seat:
        told = await hand_all_off(seat)
        await come_on(seat)
        for answer in ("1730", "1", "3", "shut", *[""] * 9):
            await seat.keys(answer, "enter")
        await take(seat.app, seat.app.session, told.id)
        await seat.settle()
        assert f"! Wim took hand-off {told.id} on Tue 9 Feb at 17:00" in seat.text
        assert recorded(seat, Taken) == 1


async def test_one_that_somebody_else_takes_meanwhile_says_so(
    woods: Season, wim: Season, oda: Laptop
) -> None:
    async with sit_down(woods, oda) as seat:
        told = await hand_all_off(seat)
        await come_on(seat)
        wim.catch_up()
        said = {item.about: item.value for item in told.items}
        wim.record(read_back(wim, told.id, who="Wim", said=said, by="Wim", now=EVENING))
        seat.app.catch_up()
        await seat.settle()
        assert "! Wim has taken it meanwhile: Esc leaves." in seat.text
        assert recorded(seat, Taken) == 1


async def test_nothing_is_handed_off_where_nobody_is_on_the_crew(
    book: Book, fresh_laptop: Laptop
) -> None:
    fresh_laptop.set_keying(book.id, "Oda")
    async with sit_down(Season.begin(book, "vacuum", by="Oda", now=EVENING), fresh_laptop) as seat:
        await seat.press("h", "enter", "enter")
        assert "! Nobody is on the crew: put people in the plan first." in seat.text
        await seat.press("escape", "escape", "t")
        assert "No hand-off waits to be taken" in seat.text


# --- on every screen ---------------------------------------------------------------------------


async def test_letters_are_typed_and_a_question_mark_asks_for_help_only_in_an_empty_field(
    woods: Season, oda: Laptop
) -> None:
    async with sit_down(woods, oda) as seat:
        await seat.press("h", *["enter"] * 6, "question_mark")
        assert "Take the answer as it stands; go to the next question or item." in seat.box
        await seat.press("escape")
        await seat.keys("book?", *["enter"] * 3)
        assert last(seat, HandOff).hazards == "book?"


@pytest.mark.parametrize("size", [SMALL, LARGE], ids=["80x24", "120x40"])
async def test_the_words_of_the_one_going_off_are_broken_where_their_pane_ends(
    demo: Season, laptop: Laptop, size: tuple[int, int]
) -> None:
    said = "Broke trail as far as Wall main. The drops there are still frozen in: none hung."
    async with sit_down(demo, laptop, size) as seat:
        await seat.press("t", "enter")
        rows = [row.partition("│")[0].rstrip(BAR) for row in seat.rows]
        at = next(i for i, row in enumerate(rows) if row.startswith("  Broke trail"))
        assert rows[at + 1].startswith("    ")
        assert " ".join(f"{rows[at]} {rows[at + 1]}".split()) == said


async def test_what_is_said_back_stands_beside_what_is_told_where_there_is_room(
    woods: Season, oda: Laptop
) -> None:
    async with sit_down(woods, oda, LARGE) as seat:
        await hand_all_off(seat)
        await come_on(seat)
        assert "│ Say back: due back at?" in seat.row("Say back")
        assert "!! Perrin is out" in seat.row("Say back")
        await seat.keys("1730", "enter")
        assert seat.row("1730").endswith("│ [x]   1  1730")
        await seat.resize((80, 24))
        assert "[x]   1  1730" not in seat.text
        assert "Say back: which line, or a word of it?" in seat.text


@pytest.mark.parametrize("typed", [ODD, ESCAPES], ids=["markup", "escapes"])
@pytest.mark.parametrize("size", [(80, 24), LARGE], ids=["small", "large"])
async def test_what_people_type_is_shown_as_they_typed_it(
    woods: Season, oda: Laptop, typed: str, size: tuple[int, int]
) -> None:
    shown = typed.replace("\x1b", "")
    woods.record(
        Person(person=typed, **stamp()),
        Note(block="Creek", text=typed, hazard=True, who="Wim", **stamp()),
    )
    async with sit_down(woods, oda, size) as seat:
        await seat.press("h", "down", "enter", "enter")
        assert shown in seat.text
        await seat.paste(typed, "enter", "enter")
        for _question in ("done", "left"):
            await seat.paste(typed)
            assert shown in seat.text
            await seat.press("enter")
        for _question in ("hazards", "what if"):
            await seat.paste(typed, "enter")
        await seat.press("enter")
        told = last(seat, HandOff)
        assert (told.to, told.hazards, told.what_if) == (shown, shown, shown)
        assert told.left.endswith(shown)
        await seat.press("t", "enter")
        assert f"Oda to {shown}" in seat.text
        await seat.press("enter")
        await seat.keys("1730", "enter")
        await seat.paste(typed, "enter")
        assert shown in seat.text
        await seat.press("enter")
        while "Everything is read back" not in seat.text:
            await seat.paste(typed, "enter", "enter")
        if recorded(seat, Taken) == 0:
            await seat.press("enter")
        assert last(seat, Taken).who == shown
        assert f"{shown} took 13 items from Oda" in seat.text
