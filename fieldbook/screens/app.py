"""The app: the screens, the themes, and the actions that work everywhere."""

from collections.abc import Callable, Iterable
from datetime import datetime

from textual.app import App, SystemCommand
from textual.screen import Screen

from fieldbook.i18n import _, ngettext
from fieldbook.laptop import THEMES as THEME_NAMES
from fieldbook.laptop import UNITS, Laptop
from fieldbook.screens.actions import actions_of, keymap
from fieldbook.screens.board import Board
from fieldbook.screens.dialogs import Ask, Choose, Dialog, keys_page
from fieldbook.screens.going import is_overdue, out_or_back
from fieldbook.screens.screen import BookScreen
from fieldbook.screens.session import Session
from fieldbook.screens.themes import THEMES, ansi
from fieldbook.season.season import Season

COPY_SECONDS = 60
"""How often it is looked whether the day has its copy: one that fails reads the whole book."""

CATCH_UP_SECONDS = 0.5
"""How often it is looked whether somebody else has recorded something."""


class FieldbookApp(App[None]):
    """The book on screen.

    Args:
        season: The season to open, in a book that has a desk.
        laptop: What this laptop remembers.
        clock: The time.
    """

    CSS_PATH = "app.tcss"
    TITLE = "fieldbook"

    def __init__(self, season: Season, *, laptop: Laptop, clock: Callable[[], datetime]) -> None:
        super().__init__()
        self.session = Session(season, laptop, clock)
        self._alarm = season.book.alarm
        self._minute = self.session.minute
        self.keys = keymap(season.book.keys | laptop.keys)
        for theme in THEMES.values():
            self.register_theme(theme)
        self.theme = THEMES[laptop.theme].name
        self.ansi_theme_dark, self.ansi_theme_light = ansi(THEMES["dark"]), ansi(THEMES["light"])

    async def on_mount(self) -> None:
        self.set_keymap(self.keys)
        await self.push_screen(Board(self.session))
        if not self.session.by and self.session.season.plan.people:
            await self.action_keying()
        self.set_interval(CATCH_UP_SECONDS, self.catch_up)
        self.set_interval(COPY_SECONDS, self.session.keep_copy)

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """The palette holds what the keys do, and nothing else."""
        if isinstance(screen, BookScreen):
            for action in actions_of(screen.NAME):
                node = screen if action.where == screen.NAME else self
                run = getattr(node, f"action_{action.name}")
                yield SystemCommand(_(action.label).capitalize(), _(action.about), run)

    def _redraw(self) -> None:
        for screen in self.screen_stack:
            if isinstance(screen, BookScreen) and screen.is_mounted:
                screen.redraw()

    def catch_up(self) -> None:
        """Show what others have recorded, what wants looking after, and who is overdue by now."""
        season = self.session.season
        news, alarm, minute = season.catch_up(), season.book.alarm, self.session.minute
        if news or (alarm, minute) != (self._alarm, self._minute):
            self._alarm, self._minute = alarm, minute
            self._redraw()
        self.session.keep_in_mind()

    async def action_quit(self) -> None:
        """Leave; asks, if somebody is overdue or entries would be lost with this window."""
        late = [item for item in self.session.items() if is_overdue(item)]
        if not late:
            await self._quit()
            return
        names = ", ".join(item.about.who for item in late)
        title = ngettext("{names} is not back.", "{names} are not back.", len(late))
        question = Ask(
            title.format(names=names),
            lambda _text: True,
            hint=_("Enter leaves all the same. Esc: stay."),
        )

        async def leave(sure: bool | None) -> None:
            if sure:
                await self._quit()

        if not isinstance(self.screen, Dialog):
            await self.push_screen(question, leave)

    async def _quit(self) -> None:
        """Leave, unless there are entries that would be lost with this window."""
        at_risk = self.session.season.book.at_risk
        if not at_risk:
            self.exit()
            return
        title = ngettext(
            "{n} entry is in this window only: its journal was taken away.",
            "{n} entries are in this window only: their journals were taken away.",
            at_risk,
        ).format(n=at_risk)
        hint = _("Put the book back in its place, then Esc. To leave and lose them: type lose")
        question = Ask(title, lambda text: text.strip().casefold() == _("lose"), hint=hint)
        await self.push_screen(question, lambda lose: self.exit() if lose else None)

    # --- actions that work everywhere ---

    async def action_back(self) -> None:
        if isinstance(self.screen, BookScreen) and not self.screen.may_leave():
            return
        if len(self.screen_stack) > 2:  # the board stays: leaving it is quitting
            self.pop_screen()

    async def action_help(self) -> None:
        if isinstance(self.screen, BookScreen):
            await self.push_screen(keys_page(self.screen.NAME, self.keys))

    async def action_items(self) -> None:
        from fieldbook.screens.items import Items  # the first frame does not wait for it

        if isinstance(self.screen, BookScreen) and not isinstance(self.screen, Items):
            await self.push_screen(Items(self.session))

    async def action_out(self) -> None:
        if isinstance(self.screen, BookScreen):
            await out_or_back(self.screen)

    def action_theme(self) -> None:
        laptop = self.session.laptop
        laptop.theme = THEME_NAMES[(THEME_NAMES.index(laptop.theme) + 1) % len(THEME_NAMES)]
        self.theme = THEMES[laptop.theme].name

    def action_units(self) -> None:
        laptop = self.session.laptop
        laptop.units = UNITS[(UNITS.index(laptop.units) + 1) % len(UNITS)]
        self._redraw()

    async def action_keying(self) -> None:
        session = self.session
        question = Choose(
            _("Who is at the keyboard?"),
            session.season.plan.people,
            session.set_keying,
            new=_("{name}, not on the crew"),
            at=session.by,
        )
        await self.push_screen(question, lambda _taken: self._redraw())
