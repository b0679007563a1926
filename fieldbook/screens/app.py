"""The app: the screens, the themes, and the actions that work everywhere."""

from collections.abc import Callable, Iterable
from datetime import datetime
from typing import ClassVar

from textual.app import App, SystemCommand
from textual.binding import BindingType
from textual.screen import Screen

from fieldbook.i18n import _
from fieldbook.laptop import THEMES as THEME_NAMES
from fieldbook.laptop import UNITS, Laptop
from fieldbook.screens.actions import actions_of, keymap
from fieldbook.screens.board import Board
from fieldbook.screens.dialogs import Choose, keys_page
from fieldbook.screens.screen import BookScreen, bindings
from fieldbook.screens.session import Session
from fieldbook.screens.themes import THEMES
from fieldbook.season.season import Season


class FieldbookApp(App[None]):
    """The book on screen.

    Args:
        season: The season to open, in a book that has a desk.
        laptop: What this laptop remembers.
        clock: The time.
    """

    CSS_PATH = "app.tcss"
    TITLE = "fieldbook"
    BINDINGS: ClassVar[list[BindingType]] = bindings("everywhere")

    def __init__(self, season: Season, *, laptop: Laptop, clock: Callable[[], datetime]) -> None:
        super().__init__()
        self.session = Session(season, laptop, clock)
        self.keys = keymap(season.book.keys | laptop.keys)
        for theme in THEMES.values():
            self.register_theme(theme)
        self.theme = THEMES[laptop.theme].name

    def on_mount(self) -> None:
        self.set_keymap(self.keys)
        self.push_screen(Board(self.session))
        if not self.session.by and self.session.season.plan.people:
            self.action_keying()

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """The palette holds what the keys do, and nothing else."""
        if isinstance(screen, BookScreen):
            for action in actions_of(screen.NAME):
                node = screen if action.where == screen.NAME else self
                run = getattr(node, f"action_{action.name}")
                yield SystemCommand(_(action.label).capitalize(), _(action.about), run)

    def _redraw(self) -> None:
        for screen in self.screen_stack:
            if isinstance(screen, BookScreen):
                screen.redraw()

    # --- actions that work everywhere ---

    async def action_back(self) -> None:
        if isinstance(self.screen, BookScreen) and not self.screen.may_leave():
            return
        if len(self.screen_stack) > 2:  # the board stays: leaving it is quitting
            self.pop_screen()

    def action_help(self) -> None:
        if isinstance(self.screen, BookScreen):
            self.push_screen(keys_page(self.screen.NAME, self.keys))

    def action_theme(self) -> None:
        laptop = self.session.laptop
        laptop.theme = THEME_NAMES[(THEME_NAMES.index(laptop.theme) + 1) % len(THEME_NAMES)]
        self.theme = THEMES[laptop.theme].name

    def action_units(self) -> None:
        laptop = self.session.laptop
        laptop.units = UNITS[(UNITS.index(laptop.units) + 1) % len(UNITS)]
        self._redraw()

    def action_keying(self) -> None:
        def take(name: str | None) -> None:
            if name:
                self.session.set_keying(name)
                self._redraw()

        people = self.session.season.plan.people
        self.push_screen(
            Choose(_("Who is at the keyboard?"), people, new=_("{name}, not on the crew")), take
        )
