"""What every screen of the book has: the top strip, the keys at the bottom, and the session."""

from datetime import date
from typing import ClassVar

from rich.cells import cell_len
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.screen import Screen
from textual.widgets import Footer, Static

from fieldbook.i18n import _, ngettext
from fieldbook.screens.actions import actions_of, spoken
from fieldbook.screens.dialogs import Ask
from fieldbook.screens.session import Session
from fieldbook.screens.widgets.rows import cut, within
from fieldbook.season.dates import short_day

ALARM_ROWS = 2


def bindings(screen: str) -> list[BindingType]:
    """Key bindings of a screen's actions, and of those that work everywhere.

    With priority, as all keys of the book: they take effect one after the other, as they were
    pressed, however far the screen is behind. What opens a screen waits until that stands.
    """
    return [
        Binding(
            action.key,
            action.name if action.where == screen else f"app.{action.name}",
            _(action.label),
            show=action.strip,
            priority=True,
            id=action.id,
            tooltip=_(action.about),
            key_display=spoken(action.key.split(",")[0]),
        )
        for action in actions_of(screen)
    ]


class BookScreen(Screen[None]):
    """A screen of the book.

    Args:
        session: What all screens share.
    """

    NAME: ClassVar[str]
    """What the actions call the screen."""

    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (110, "-wide")]
    VERTICAL_BREAKPOINTS = [(0, "-short"), (32, "-tall")]

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session

    def compose(self) -> ComposeResult:
        yield Static(id="strip")
        yield Static(id="alarm")
        yield from self.body()
        yield Footer(show_command_palette=False)

    def body(self) -> ComposeResult:
        """The widgets between the two strips."""
        raise NotImplementedError

    def redraw(self) -> None:
        """Show the session and the ledger as they are now."""
        self._show_top()

    def may_leave(self) -> bool:
        """Whether Escape leaves the screen now."""
        return True

    def on_resize(self) -> None:
        self._show_top()

    def on_screen_resume(self) -> None:
        self.redraw()

    async def ask_day(self) -> None:
        """Ask for which day is written down from now on."""
        session = self.session

        def take(day: date | None) -> None:
            if day is not None:
                session.day = day
                self.redraw()

        await self.app.push_screen(
            Ask(
                _("On which day was it?"),
                session.past_day,
                value=session.day.isoformat(),
                hint=_("2027-02-09, 9 Feb, today, yesterday, mon"),
            ),
            take,
        )

    def _show_top(self) -> None:
        self.query_one("#strip", Static).update(self._strip())
        alarm = self.query_one("#alarm", Static)
        words = self.session.season.book.alarm
        alarm.display = bool(words)
        alarm.update(Content("! " + within(words, self.size.width - 3, ALARM_ROWS)))

    def _strip(self) -> Content:
        """Book, season and day on the left; who is keying, and what wants a look, on the right.

        Long names give way to each other and to the rest.
        """
        session = self.session
        book = session.season.book
        left = f" {book.name}  {session.season.year}  {short_day(session.today)}"
        if book.today is not None:
            left += "  " + _("(invented)")
        width, apart = self.size.width, book.set_apart
        name = cut(session.by or "?", max(12, width // 4))
        right = "  " + _("keying: {name}  desk {desk}").format(name=name, desk=book.desk) + " "
        look = ngettext("  ! {n} line set apart", "  ! {n} lines set apart", apart)
        look = look.format(n=apart) if apart else ""
        room = max(0, width - cell_len(look + right))
        left = cut(left, room)
        gap = " " * (room - cell_len(left))
        return Content.assemble(left, (look, "bold $error"), gap, right)
