"""What people type is shown as they typed it, on every screen and in every question.

Each text is the name of a block, a line, a task, a step and a person, and what everybody has to
say: square brackets that Textual would take for markup, escape sequences, a formula, a word that
never ends, and letters that run from right to left or take two cells.
"""

from pathlib import Path
from typing import Any

import pytest
from rich.cells import cell_len

from fieldbook.book.book import Book
from fieldbook.book.entry import (
    Aside,
    Block,
    Checklist,
    Count,
    Finish,
    Line,
    Note,
    Person,
    Strike,
    Task,
    clean,
)
from fieldbook.laptop import Laptop
from fieldbook.screens.board import Board
from fieldbook.screens.round import Round
from fieldbook.season.checking import check_season
from fieldbook.season.season import Season
from tests.conftest import NOW, stamp
from tests.screens.conftest import DESK, LARGE, SMALL, Seat, sit_down
from tests.screens.test_out_back import at_stake

TEXTS = {
    "markup": "[x] [/] [red] [b",
    "escapes": "\x1b[31mred\x1b[0m \x1b]0;title\x07 \x9b2J",
    "formula": "=cmd|' /C calc'!A0 %s {0} {n} [@click=app.quit]go[/]",
    "long word": "Y" * 79,
    "right to left": "\u202eקו ראשון\u202c \u2067ערבה\u2069",
    "two cells": "雪の林 ライン E\u0301rable\u0300 a\u200db 👩\u200d🌾",
}

EVERY_TEXT = pytest.mark.parametrize("text", TEXTS.values(), ids=TEXTS.keys())


def shown(text: str) -> str:
    """So much of a text as every screen has room for: its first word, not too long."""
    return clean(text, one_line=True).split()[0][:8]


@pytest.fixture
def woods(text: str, tmp_path: Path) -> Season:
    """A sugarbush of two blocks in which everything is called the same, with work in it."""
    book = Book.new(tmp_path / "woods", name=text, year=2027, desk=DESK)
    season = Season(book)
    mine = stamp(by=text)
    task = Task(
        key="tapping",
        title=text,
        short=clean(text, one_line=True)[:12],
        counts="taps",
        planned="taps planned",
        steps=(text, "then the next"),
        cautions=(text,),
    )
    season.record(
        Checklist(checklist=text, tasks=(task,), **mine),
        Block(block=text, order=1, note=text, **mine),
        Block(block="Second", order=2, **mine),
        Line(block=text, line=text, order=1, taps_planned=40, note=text, **mine),
        Line(block="Second", line=text, order=1, taps_planned=50, **mine),
        Person(person=text, role=text, **mine),
    )
    season = Season(book)
    here: dict[str, Any] = {"block": text, "line": text}
    season.record(Count(**here, task="tapping", who=text, count=30, note=text, **mine))
    season.record(Note(**here, text=text, who=text, **mine))
    season.record(Note(**here, text=text, who=text, hazard=True, **mine))
    season.record(Finish(**here, task="tapping", who=text, reason=text, **mine))
    there: dict[str, Any] = {**here, "block": "Second", "task": "tapping", "who": text}
    season.record(Aside(**there, reason=text, **mine))
    (wrong,) = season.record(Count(**there, count=20, **mine))
    season.strike(wrong.id, text, by=text, now=mine["noted"])
    return season


def check(seat: Seat, text: str) -> None:
    """The text is there and does nothing; no row is wider than the screen."""
    rows = seat.rows
    assert any(shown(text) in row for row in rows)
    assert not any(set(row) & set("\x1b\x07\x9b\u202e\u2067") for row in rows)
    assert max(map(cell_len, rows)) <= seat.app.size.width


@EVERY_TEXT
async def test_stored_text_stands_on_every_screen_as_it_was_typed(
    woods: Season, fresh_laptop: Laptop, text: str
) -> None:
    fresh_laptop.set_keying(woods.book.id, clean(text, one_line=True))
    async with sit_down(woods, fresh_laptop) as seat:
        check(seat, text)
        for keys in (
            "slash",
            "escape s",
            "r",
            "escape escape w",
            "escape k",
            "escape enter",
            "w",
            "escape p",
        ):
            await seat.press(*keys.split())
            check(seat, text)
        await seat.press("escape", "right")
        await seat.resize(LARGE)
        check(seat, text)
        for keys in (
            "left",
            "w",
            "escape e",
            "escape",
            "g",
            "enter",
            "escape x",
            "escape escape escape",
        ):
            await seat.press(*keys.split())
            check(seat, text)
        seat.screen(Board)


@EVERY_TEXT
async def test_every_question_takes_the_text_and_what_is_kept_is_clean(
    woods: Season, fresh_laptop: Laptop, text: str
) -> None:
    name = clean(text, one_line=True)
    fresh_laptop.set_keying(woods.book.id, name)
    before = len(woods.book.entries)
    async with sit_down(woods, fresh_laptop) as seat:
        await seat.walk(woods.plan.blocks[0])
        for key in ("n", "h", "s"):
            await seat.press(key)
            await seat.paste(text, "enter")
            seat.screen(Round)
        await seat.press("x")
        await seat.keys("3", "enter")
        await seat.press("f")
        await seat.paste(text, "enter", "u")
        await seat.paste(text, "enter")
        await seat.press("d")
        await seat.paste(text, "enter")
        assert "On which day" in seat.box  # refused, and asked again
        await seat.press("escape", "p")
        await seat.paste(name, "enter", "g", "slash")
        await seat.paste(text, "enter")
        kept = list(seat.on_disk().book.entries)[before:]
        words = [e.text for e in kept if isinstance(e, Note)]
        words += [e.reason for e in kept if isinstance(e, Aside | Strike)]
        assert words == [clean(text)] * 4
        assert {e.by for e in kept} == {name}
        assert check_season(seat.on_disk(), NOW) == []


def test_every_text_is_one_that_a_name_can_hold() -> None:
    assert all(0 < len(clean(text, one_line=True)) <= 80 for text in TEXTS.values())


# --- names that are typed ----------------------------------------------------------------------

NASTY = "\x1b[31mNu\u202ee [/]"


@pytest.mark.parametrize("key", ["p", "k"])
async def test_a_name_that_is_typed_is_as_clean_as_one_that_is_stored(
    demo: Season, laptop: Laptop, key: str
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.press(key)
        await seat.paste(NASTY, "enter")
        assert f"! {clean(NASTY)} is new here." in seat.box
        assert "\x1b" not in seat.text
        await seat.press("enter")
        session = seat.app.session
        assert clean(NASTY) in (session.who, session.by)
        assert "\x1b" not in seat.text


async def test_a_field_does_not_show_control_characters(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.press("n")
        await seat.paste(NASTY)
        assert "Nu" in seat.box
        assert "\x1b" not in seat.text


async def test_a_name_too_long_for_an_entry_is_refused_when_it_is_typed(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("k")
        await seat.paste("X" * 90, "enter", "enter", "escape")
        await seat.walk("Brook Bend")
        await seat.keys("80", "enter")
        assert len(seat.written()) == 1


@pytest.mark.parametrize("key", ["k", "p"])
async def test_a_name_that_is_refused_stays_in_the_field_with_the_reason(
    demo: Season, laptop: Laptop, key: str
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.press(key)
        await seat.paste("X" * 81, "enter", "enter")  # new here, and meant
        assert "! A name has at most 80 characters; this has 81. Write a shorter one." in seat.box
        await seat.press("backspace", "enter", "enter")
        session = seat.app.session
        assert "X" * 80 in (session.who, session.by)


async def test_a_long_name_leaves_what_is_open_and_the_desk_on_the_strip(
    demo: Season, laptop: Laptop
) -> None:
    laptop.set_keying(demo.book.id, "Y" * 60)
    async with sit_down(demo, laptop, LARGE) as seat:
        assert at_stake(seat) in seat.rows[0]
        assert DESK in seat.rows[0]
        await seat.resize(SMALL)  # the desk gives way, and so do the names
        assert at_stake(seat) in seat.rows[0]
        assert seat.rows[0].startswith(" Harro")
        assert "keying: YYY" in seat.rows[0]
