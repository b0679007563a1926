"""A disk that is full: what is not saved is not shown as saved, and what was typed is not lost."""

import errno
from pathlib import Path
from shutil import copytree

import pytest

from fieldbook.book.book import Book
from fieldbook.book.entry import (
    AnyEntry,
    Aside,
    Back,
    Finish,
    HandOff,
    Leak,
    Note,
    Out,
    Person,
    Repair,
    Settle,
    Strike,
    Taken,
    Valve,
)
from fieldbook.laptop import Laptop
from fieldbook.screens.board import Board
from fieldbook.screens.handoff import Handing
from fieldbook.screens.items import Items
from fieldbook.screens.round import Round
from fieldbook.screens.taking import Taking
from fieldbook.season.season import Season
from tests.screens.conftest import DEMO, DESK, LARGE, SMALL, sit_down
from tests.screens.test_round import counts, here

OS = "fieldbook.book.journal.os"


def no_room(*_args: object) -> int:
    raise OSError(errno.ENOSPC, "No space left on device")


@pytest.mark.parametrize("call", ["write", "fsync"])
async def test_a_count_that_is_refused_stays_in_the_field_and_goes_in_once_there_is_room(
    demo: Season, laptop: Laptop, monkeypatch: pytest.MonkeyPatch, call: str
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        with monkeypatch.context() as full:
            full.setattr(f"{OS}.{call}", no_room)
            await seat.keys("80 4.5", "enter")
            assert "! Not saved:" in seat.text
            assert "Tue 9 Feb: 80 4.5_ h" in seat.text
            assert here(seat) == "7  Brook pair"
            assert "62 of 142 taps, left 80" in seat.text
            assert seat.written() == []
        await seat.press("enter")
        assert counts(seat) == [("Ina", "Brook pair", 80)]
        assert seat.written()[0].id == f"{DESK}-1"
        assert "Not saved" not in seat.text
        assert here(seat) == "8  Cedar main"


async def test_what_is_typed_after_a_refusal_is_no_part_of_the_count_refused(
    demo: Season, laptop: Laptop, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        with monkeypatch.context() as full:
            full.setattr(f"{OS}.write", no_room)
            await seat.burst("5", "enter", "6")  # typed ahead, before the screen could say so
            assert "Tue 9 Feb: 5_" in seat.text
        await seat.press("enter")
        assert counts(seat) == [("Ina", "Brook pair", 5)]
        await seat.keys("6", "enter")
        assert counts(seat)[1:] == [("Ina", "Cedar main", 6)]


async def test_leaving_asks_while_entries_are_in_this_window_only(
    demo: Season, laptop: Laptop
) -> None:
    place = demo.book.path
    async with sit_down(demo, laptop) as seat:
        place.rename(place.with_name("taken away"))
        seat.app.catch_up()
        await seat.press("q")
        assert "Rae is not back." in seat.box
        await seat.press("enter")
        assert f"{len(demo.book.entries)} entries are in this window only" in seat.text
        await seat.press("escape", "q", "enter", "enter")
        assert seat.app.is_running
        place.with_name("taken away").rename(place)
        await seat.press("escape", "q", "enter")
        assert seat.app.return_value is None
        assert seat.app._exit


async def test_it_says_why_and_what_to_do(
    demo: Season, laptop: Laptop, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        monkeypatch.setattr(f"{OS}.write", no_room)
        await seat.keys("80", "enter")
        assert "No space left on device" in seat.text
        assert "Make room, or give yourself access, then try again." in seat.text


@pytest.mark.parametrize("size", [SMALL, LARGE], ids=["80x24", "120x40"])
async def test_a_long_path_leaves_room_for_what_to_do(
    tmp_path: Path, fresh_laptop: Laptop, monkeypatch: pytest.MonkeyPatch, size: tuple[int, int]
) -> None:
    deep = tmp_path.joinpath(*["everything that was on the old laptop"] * 4, "harrow-hill")
    book = Book.open(copytree(DEMO, deep), desk=DESK)
    fresh_laptop.set_keying(book.id, "Ina")
    async with sit_down(Season(book), fresh_laptop, size) as seat:
        await seat.walk("Brook Bend")
        monkeypatch.setattr(f"{OS}.write", no_room)
        await seat.keys("80", "enter")
        assert " ! Not saved: No space left on device (" in seat.text
        assert f"desk-{DESK}.jsonl). Make room," in seat.text
        assert "give yourself access, then try again." in seat.text
        await seat.press("backspace", "backspace", "n")
        await seat.paste("ice", "enter")
        assert "ice ! Not saved: No space left on device (" in seat.box
        assert "give yourself access, then try again." in seat.box
    book.close()


@pytest.mark.parametrize(
    ("key", "kind", "written"),
    [
        ("n", Note, "Note on Cedar main"),
        ("h", Note, "Hazard on Cedar main"),
        ("s", Aside, "Cedar main: set aside. Why?"),
        ("f", Finish, "Why is it finished?"),
        ("l", Leak, "Leak on Cedar main"),
        ("v", Valve, "Shut the valve of Cedar main"),
        ("j", Repair, "Cedar main"),
    ],
)
async def test_words_that_are_refused_stay_in_the_field_and_go_in_once_there_is_room(
    demo: Season,
    laptop: Laptop,
    monkeypatch: pytest.MonkeyPatch,
    key: str,
    kind: type[AnyEntry],
    written: str,
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Cedar main")
        await seat.press(key)
        with monkeypatch.context() as full:
            full.setattr(f"{OS}.write", no_room)
            await seat.paste("two drops short by the big rock", "enter")
            assert written in seat.box
            assert "two drops short by the big rock" in seat.box
            assert "! Not saved: No space left on device" in seat.box
            assert "give yourself access, then try again." in seat.box
            assert seat.written() == []
        await seat.press("enter")
        seat.screen(Round)
        (entry,) = seat.written()
        assert isinstance(entry, kind)
        assert "two drops short by the big rock" in (
            getattr(entry, "text", ""),
            getattr(entry, "reason", ""),
        )
        assert f"{DESK}-1 saved" in seat.text


async def test_a_new_person_who_is_refused_is_not_taken_for_one_of_the_crew(
    demo: Season, laptop: Laptop, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.press("p")
        with monkeypatch.context() as full:
            full.setattr(f"{OS}.write", no_room)
            await seat.paste("Wim", "enter", "enter")  # new, and confirmed
            assert "Whose work is it? Wim > put Wim on the crew ! Not saved:" in seat.box
            assert " Count for Ina, Tue 9 Feb: _" in seat.text
            await seat.press("escape", "p")
            assert "Wim" not in seat.box
            await seat.paste("Wim", "enter", "enter")
            assert "! Not saved:" in seat.box
        await seat.press("enter")
        assert " Count for Wim, Tue 9 Feb: _" in seat.text
        assert [e.person for e in seat.written() if isinstance(e, Person)] == ["Wim"]


async def test_a_strike_that_is_refused_leaves_the_entry_standing(
    demo: Season, laptop: Laptop, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.keys("80", "enter")
        with monkeypatch.context() as full:
            full.setattr(f"{OS}.write", no_room)
            await seat.press("u", "enter")
            assert "slip of the finger ! Not saved:" in seat.box
            await seat.press("escape", "g", "x")
            await seat.paste("wrong line", "enter")
            assert "wrong line ! Not saved:" in seat.box
            assert len(seat.written()) == 1
            await seat.press("escape", "escape")
        assert "1,083 of 1,650 taps" in seat.text
        await seat.press("u", "enter")
        assert "1,003 of 1,650 taps" in seat.text


async def test_a_reason_that_is_refused_in_the_logbook_goes_in_once_there_is_room(
    demo: Season, laptop: Laptop, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("g", "x")
        with monkeypatch.context() as full:
            full.setattr(f"{OS}.write", no_room)
            await seat.paste("wrong line", "enter")
        await seat.press("enter")
        strike = seat.written()[-1]
        assert isinstance(strike, Strike)
        assert strike.reason == "wrong line"


async def test_whose_work_is_asked_before_the_words(demo: Season, laptop: Laptop) -> None:
    laptop.set_keying(demo.book.id, "Olive")  # keys in the evening, is not on the crew
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Cedar main")
        await seat.press("n", "r", "enter")
        assert seat.box.startswith("Note on Cedar main")
        await seat.paste("ice", "enter")
        (note,) = seat.written()
        assert isinstance(note, Note)
        assert (note.who, note.text) == ("Rae", "ice")


# --- what must not be forgotten ----------------------------------------------------------------


@pytest.mark.parametrize(
    ("keys", "words", "kind"),
    [
        ("b enter", "wet through", Back),
        ("b t enter enter", "18:30 with Wes", Out),
        ("o down c", "planks on it", Settle),
    ],
)
async def test_back_out_and_what_was_done_stay_in_the_question_and_go_in_once_there_is_room(
    demo: Season,
    laptop: Laptop,
    monkeypatch: pytest.MonkeyPatch,
    keys: str,
    words: str,
    kind: type[AnyEntry],
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press(*keys.split())
        before = seat.rows[0]
        with monkeypatch.context() as full:
            full.setattr(f"{OS}.write", no_room)
            await seat.paste(words, "enter")
            assert words in seat.box
            assert "! Not saved: No space left on device" in seat.box
            assert seat.rows[0] == before
            assert seat.written() == []
        await seat.press("enter")
        (entry,) = seat.written()
        assert isinstance(entry, kind)
        assert isinstance(seat.app.screen, Board | Items)


async def test_a_hand_off_that_is_refused_stays_on_its_page_and_goes_in_once_there_is_room(
    demo: Season, laptop: Laptop, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("h", *["enter"] * 7)
        await seat.paste("thaw: shut the valves first", "enter")
        with monkeypatch.context() as full:
            full.setattr(f"{OS}.write", no_room)
            await seat.press("enter")
            assert "! Not saved: No space left on device" in seat.text
            seat.screen(Handing)
            assert seat.written() == []
        await seat.press("enter")
        (told,) = seat.written()
        assert isinstance(told, HandOff)
        assert (told.who, told.what_if) == ("Ina", "thaw: shut the valves first")
        seat.screen(Board)


async def test_what_was_read_back_stays_and_is_taken_once_there_is_room(
    demo: Season, laptop: Laptop, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("t", "enter", "enter")
        for said in ("12", "4", ""):  # spouts of Milo and of Zoë; what is left is looked at
            await seat.keys(said, "enter")
        assert "Everything is read back. Enter: Ina takes 3 items from Milo" in seat.text
        with monkeypatch.context() as full:
            full.setattr(f"{OS}.write", no_room)
            await seat.press("enter")
            assert "! Not saved: No space left on device" in seat.text
            seat.screen(Taking)
            assert seat.written() == []
        await seat.press("enter")
        (taken,) = seat.written()
        assert isinstance(taken, Taken)
        assert [item.said for item in taken.items] == ["12", "4", ""]
        seat.screen(Board)
