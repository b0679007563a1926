"""A disk that is full: what is not saved is not shown as saved, and what was typed is not lost."""

import errno

import pytest

from fieldbook.laptop import Laptop
from fieldbook.season.season import Season
from tests.screens.conftest import DESK, sit_down
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


@pytest.mark.xfail(reason="found in use, still open")
async def test_it_says_why_and_what_to_do(
    demo: Season, laptop: Laptop, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        monkeypatch.setattr(f"{OS}.write", no_room)
        await seat.keys("80", "enter")
        assert "No space left on device" in seat.text
        assert "What you typed is still here" in seat.text


@pytest.mark.xfail(reason="found in use, still open")
async def test_words_that_are_refused_are_still_there(
    demo: Season, laptop: Laptop, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Cedar main")
        await seat.press("n")
        with monkeypatch.context() as full:
            full.setattr(f"{OS}.write", no_room)
            await seat.paste("two drops short by the big rock", "enter")
            assert "Not saved" in seat.text
        assert "two drops short by the big rock" in seat.text


async def test_a_new_person_who_is_refused_is_not_taken_for_one_of_the_crew(
    demo: Season, laptop: Laptop, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.press("p")
        with monkeypatch.context() as full:
            full.setattr(f"{OS}.write", no_room)
            await seat.paste("Wim", "enter")
            assert "! Not saved:" in seat.text
            assert " Count for Ina, Tue 9 Feb: _" in seat.text
        await seat.press("p")
        assert "Wim" not in seat.box


async def test_a_strike_that_is_refused_leaves_the_entry_standing(
    demo: Season, laptop: Laptop, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.keys("80", "enter")
        with monkeypatch.context() as full:
            full.setattr(f"{OS}.write", no_room)
            await seat.press("u", "enter")
            assert "! Not saved:" in seat.text
            await seat.press("g", "x")
            await seat.paste("wrong line", "enter")
            assert "! Not saved:" in seat.text
            await seat.press("escape")
        assert len(seat.written()) == 1
        assert "1,083 of 1,650 taps" in seat.text
        await seat.press("u", "enter")
        assert "1,003 of 1,650 taps" in seat.text
