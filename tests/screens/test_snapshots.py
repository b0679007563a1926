"""What the screens look like, as text: a change shows in the diff.

    FIELDBOOK_SNAPSHOTS=write pytest tests/screens/test_snapshots.py

writes `snapshots/*.txt` anew; read the diff before it is committed.
"""

import os
from collections.abc import Mapping
from pathlib import Path

import pytest

from fieldbook.book.book import Book
from fieldbook.book.entry import Close
from fieldbook.laptop import THEMES, Laptop
from fieldbook.season.season import Season
from tests.conftest import stamp
from tests.screens.conftest import DESK, LARGE, SMALL, sit_down
from tests.screens.test_items import write_everything_off

SNAPSHOTS = Path(__file__).parent / "snapshots"
WRITE = os.environ.get("FIELDBOOK_SNAPSHOTS") == "write"

STATES = {
    SMALL: {
        "board": (),
        "help": ("question_mark",),
        "season": ("escape", "s"),
        "work": ("right",),
        "history": ("left", "left"),
        "next": ("n",),
        "left": ("down", "down", "x", "x"),
        "writing": ("enter",),
        "next-whence": ("escape", "w"),
        "printing": ("escape", "escape", "right", "p"),
        "run": ("escape", "r"),
        "whence": ("escape", "escape", "w"),
        "round": ("escape", "enter"),
        "line": ("w",),
        "trees": ("escape", "e"),
        "person": ("escape", "p"),
        "recorded": ("escape", "8", "0", "enter"),
        "logbook": ("escape", "g"),
        "items": ("escape", "o"),
        "close": ("down", "down", "down", "c"),
        "out": ("escape", "b"),
        "due": ("t", "enter", "enter"),
        "closing": ("escape", "escape", "s", "c"),
        "sheet": ("escape", "escape", "slash", *"sheet", "enter"),
        "taking": ("escape", "t", "enter"),
        "reading": ("enter", "1", "1", "enter"),
        "vacuum": ("escape", "escape", "escape", "v", "down", "down"),
        "way": ("r", "enter"),
        "leak-round": ("escape", "enter"),
        "handing": ("escape", "escape", "h", "enter", "enter"),
        "page": ("enter",) * 6,
    },
    LARGE: {
        "board": (),
        "season": ("s",),
        "work": ("right",),
        "history": ("left", "left"),
        "next": ("n",),
        "whence": ("escape", "escape", "w"),
        "round": ("escape", "enter", "8", "0"),
        "line": ("w",),
        "trees": ("escape", "e"),
        "items": ("escape", "escape", "escape", "o"),
        "due": ("b", "t", "enter", "enter"),
        "closing": ("escape", "escape", "s", "c"),
        "taking": ("escape", "escape", "t", "enter"),
        "reading": ("enter", "1", "1", "enter"),
        "vacuum": ("escape", "escape", "escape", "v", "down", "down", "down", "down"),
        "vacuum-whence": ("w",),
        "leak-round": ("escape", "enter"),
        "handing": ("escape", "escape", "h", *["enter"] * 4),
        "page": ("enter",) * 4,
    },
}
"""Screens by size, and the keys that lead to each from the one before."""

LAST_YEAR: dict[tuple[int, int], dict[str, tuple[str, ...]]] = {
    SMALL: {
        "last-season": ("s",),
        "last-vacuum": ("right", "right", "right"),
        "last-sap": ("right",),
        "last-next": ("n",),
    },
    LARGE: {
        "last-sap": ("s", "right", "right", "right", "right"),
    },
}
"""The same of the season before, which is over and closed, and has sap."""

CLOSED = {
    SMALL: {
        "closed-board": (),
        "closed-round": ("enter", "3", "enter"),
        "closed-items": ("escape", "escape", "o"),
        "closed-season": ("escape", "s", "c"),
    },
    LARGE: {
        "closed-board": (),
        "closed-items": ("o",),
    },
}
"""The same of a season that is closed: the strip says so, and nothing but people is taken."""


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("size", STATES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_the_screens_show_what_they_showed(
    demo: Season, laptop: Laptop, size: tuple[int, int], theme: str
) -> None:
    laptop.theme = theme
    await compare(demo, laptop, size, STATES[size])


@pytest.mark.parametrize("size", CLOSED, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_the_screens_of_a_closed_season_show_what_they_showed(
    demo: Season, laptop: Laptop, size: tuple[int, int]
) -> None:
    write_everything_off(demo)
    demo.record(Close(who="Ina", **stamp(by="Ina")))
    for text in await compare(demo, laptop, size, CLOSED[size]):
        assert "  CLOSED  ! " in text.splitlines()[0]


@pytest.mark.parametrize("size", LAST_YEAR, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_the_screens_of_the_season_before_show_what_they_showed(
    demo: Season, laptop: Laptop, size: tuple[int, int]
) -> None:
    book = Book.open(demo.book.path, year=2026, desk=DESK)
    await compare(Season(book), laptop, size, LAST_YEAR[size])
    book.close()


async def compare(
    season: Season,
    laptop: Laptop,
    size: tuple[int, int],
    states: Mapping[str, tuple[str, ...]],
) -> list[str]:
    """Go from screen to screen, and hold each against what it showed; returns their texts."""
    shown: dict[str, str] = {}
    async with sit_down(season, laptop, size) as seat:
        for state, keys in states.items():
            await seat.press(*keys)
            shown[f"{state}-{size[0]}x{size[1]}.txt"] = "\n".join(seat.rows) + "\n"
    if WRITE:
        SNAPSHOTS.mkdir(exist_ok=True)
        for name, text in shown.items():
            (SNAPSHOTS / name).write_text(text, encoding="utf-8", newline="\n")
    kept = {name: (SNAPSHOTS / name).read_text(encoding="utf-8") for name in shown}
    assert shown == kept
    return list(shown.values())


def test_every_snapshot_is_of_a_screen_and_fits_it() -> None:
    names = {
        f"{state}-{w}x{h}.txt": (w, h)
        for screens in (STATES, LAST_YEAR, CLOSED)
        for (w, h), states in screens.items()
        for state in states
    }
    assert {path.name for path in SNAPSHOTS.iterdir()} == set(names)
    for name, (width, height) in names.items():
        rows = (SNAPSHOTS / name).read_text(encoding="utf-8").splitlines()
        assert len(rows) == height
        assert max(map(len, rows)) <= width
