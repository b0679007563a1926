"""Ina opens Harrow Hill on her laptop on Tuesday 9 February 2027, at five in the afternoon.

`demo` is a copy of the demo season that the test may write in; `sit_down` opens it on screen, in a
terminal that is not there, and gives the screen as its rows of text.
"""

import re
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager
from datetime import datetime
from html import unescape
from pathlib import Path
from shutil import copytree, ignore_patterns
from typing import Any, TypeVar

import pytest
from rich.cells import cell_len
from textual.events import Key, Paste
from textual.pilot import Pilot
from textual.screen import Screen

from fieldbook.book.book import Book
from fieldbook.book.entry import AnyEntry
from fieldbook.laptop import Laptop
from fieldbook.screens.app import FieldbookApp
from fieldbook.screens.board import Board
from fieldbook.screens.round import Round
from fieldbook.screens.screen import BookScreen
from fieldbook.season.season import Season
from tests.conftest import EAST

DEMO = Path(__file__).parents[2] / "demo_season"
DESK = "t3st2"
EVENING = datetime(2027, 2, 9, 17, 0, tzinfo=EAST)

SMALL, LARGE = (80, 24), (120, 40)

CELL_WIDTH, ROW_HEIGHT = 12.2, 24.4
"""Of the picture that Textual draws of a screen."""

BAR = " ▁▂▃▄▅▆▇█"
"""What the end of a row may hold beside its text: the scrollbar."""

ROUNDS = 10

_LETTERS = {
    "space": " ",
    "full_stop": ".",
    "comma": ",",
    "minus": "-",
    "slash": "/",
    "question_mark": "?",
    "exclamation_mark": "!",
}
"""Letters of the keys that are not called by them."""

_NAMES = {letter: name for name, letter in _LETTERS.items()}

_RUN = re.compile(r'<text class="[^"]*-r\d+" x="([\d.]+)" y="([\d.]+)"[^>]*>(.*?)</text>')

S = TypeVar("S", bound=Screen[Any])


def text_rows(picture: str, height: int) -> list[str]:
    """The rows of text in a picture of a screen, without the blanks at their ends."""
    rows = [""] * height
    for x, y, run in _RUN.findall(picture):
        at, column = int(float(y) // ROW_HEIGHT), round(float(x) / CELL_WIDTH)
        rows[at] += " " * (column - cell_len(rows[at])) + unescape(run).replace("\xa0", " ")
    return [row.rstrip() for row in rows]


class Seat:
    """A seat at the keyboard: presses keys, reads the screen, and looks what is on disk.

    Attributes:
        pressed: Keys pressed so far.
    """

    def __init__(self, app: FieldbookApp, pilot: Pilot[None]) -> None:
        self.app = app
        self.pilot = pilot
        self.pressed = 0

    def _key(self, key: str) -> None:
        self.pressed += 1
        self.app.post_message(Key(key, _LETTERS.get(key, key if len(key) == 1 else None)))

    async def settle(self) -> None:
        """Let everything that was set off come to rest: no clock is asked, so load does not count.

        Each pause lets every widget work off its messages once; a message on its way from a field
        over its dialog to the screen behind and back to its rows takes some of them.
        """
        for _round in range(ROUNDS):
            await self.pilot.pause(0)

    async def press(self, *keys: str) -> None:
        """Press keys one after the other, as Textual names them."""
        for key in keys:
            self._key(key)
            await self.settle()

    async def burst(self, *keys: str) -> None:
        """Press keys all at once, before the screen has seen the first."""
        for key in keys:
            self._key(key)
        await self.settle()

    async def keys(self, text: str, *then: str) -> None:
        """Type a text as fast as a keyboard gives it, then press keys: `keys("80", "enter")`."""
        if text:
            await self.burst(*(_NAMES.get(letter, letter) for letter in text))
        await self.press(*then)

    async def scroll(self, key: str) -> None:
        """Press a key that scrolls a page: that takes as long as it takes."""
        await self.press(key)
        await self.pilot.wait_for_scheduled_animations()

    async def paste(self, text: str, *then: str) -> None:
        """Paste a text into the field, as a terminal does it, then press keys."""
        self.app.post_message(Paste(text))
        await self.settle()
        await self.press(*then)

    async def walk(self, block: str, task: str = "tapping", line: str = "") -> None:
        """Open a round without pressing keys."""
        session = self.app.session
        job = session.season.plan.find_task(task)
        await self.app.push_screen(Round(session, block, job, line=line))
        await self.settle()

    async def resize(self, size: tuple[int, int]) -> None:
        await self.pilot.resize_terminal(*size)
        await self.settle()

    def screen(self, kind: type[S]) -> S:
        """The screen on top, which must be of a kind."""
        assert isinstance(self.app.screen, kind)
        return self.app.screen

    @property
    def picture(self) -> str:
        return self.app.export_screenshot(simplify=True)

    @property
    def rows(self) -> list[str]:
        return text_rows(self.picture, self.app.size.height)

    @property
    def below(self) -> list[str]:
        """The rows of the screen itself: under the strip, and under what cannot wait.

        In the demo Rae is not back, which stands on every screen.
        """
        alarm = next(
            screen.query_one("#alarm")
            for screen in reversed(self.app.screen_stack)
            if isinstance(screen, BookScreen)
        )
        return self.rows[1 + alarm.size.height * alarm.display :]

    @property
    def text(self) -> str:
        """The screen as one running text: where a row was broken does not matter."""
        return " ".join(" ".join(self.rows).split())

    @property
    def box(self) -> str:
        """What stands in the box over the screen, as one running text."""
        inside = (row.split("│")[1] for row in self.rows if row.count("│") == 2)
        return " ".join(" ".join(inside).split())

    def row(self, words: str) -> str:
        """The one row with some words."""
        (row,) = [row for row in self.rows if words in row]
        return row

    def on_disk(self) -> Season:
        """What whoever opens the book next will find."""
        return Season(Book.open(self.app.session.season.book.path))

    def written(self) -> list[AnyEntry]:
        """What this desk has on disk, oldest first."""
        return [entry for entry in self.on_disk().book.entries if entry.desk == DESK]


@asynccontextmanager
async def sit_down(
    season: Season, laptop: Laptop, size: tuple[int, int] = SMALL
) -> AsyncIterator[Seat]:
    app = FieldbookApp(season, laptop=laptop, clock=lambda: EVENING)
    app.animation_level = "none"
    async with app.run_test(size=size) as pilot:
        seat = Seat(app, pilot)
        while not any(
            isinstance(screen, Board) and screen.foretells for screen in app.screen_stack
        ):
            await pilot.pause(0.01)  # the first frame does not wait for the forecast; a test does
        await seat.settle()
        yield seat


@pytest.fixture
def demo(tmp_path: Path) -> Iterator[Season]:
    """A copy of the demo season, with a desk that may write."""
    folder = copytree(DEMO, tmp_path / "harrow-hill", ignore=ignore_patterns("pictures"))
    book = Book.open(folder, desk=DESK)
    yield Season(book)
    book.close()


@pytest.fixture
def fresh_laptop(tmp_path: Path) -> Laptop:
    """A laptop on which nobody has said who they are."""
    return Laptop(tmp_path)


@pytest.fixture
def laptop(fresh_laptop: Laptop, demo: Season) -> Laptop:
    """Ina's laptop."""
    fresh_laptop.set_keying(demo.book.id, "Ina")
    return fresh_laptop
