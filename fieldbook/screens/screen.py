"""What every screen of the book has: the top strip, the keys at the bottom, and the session."""

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.screen import Screen
from textual.widgets import Footer, Static

from fieldbook.i18n import _, ngettext
from fieldbook.screens.actions import actions_of, spoken
from fieldbook.screens.session import Session
from fieldbook.season.dates import short_day


def bindings(where: str) -> list[BindingType]:
    """Key bindings of the actions declared for a screen, or for everywhere."""
    return [
        Binding(
            action.key,
            action.name,
            _(action.label),
            show=action.strip,
            id=action.id,
            tooltip=_(action.about),
            key_display=spoken(action.key.split(",")[0]),
        )
        for action in actions_of(where)
        if action.where == where
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
        yield from self.body()
        yield Footer(show_command_palette=False)

    def body(self) -> ComposeResult:
        """The widgets between the two strips."""
        raise NotImplementedError

    def redraw(self) -> None:
        """Show the session and the ledger as they are now."""
        self.query_one("#strip", Static).update(self._strip())

    def may_leave(self) -> bool:
        """Whether Escape leaves the screen now."""
        return True

    def on_mount(self) -> None:
        self.redraw()

    def on_resize(self) -> None:
        self.query_one("#strip", Static).update(self._strip())

    def on_screen_resume(self) -> None:
        self.redraw()

    def _strip(self) -> Content:
        """Book, season and day on the left; who is keying, and what wants a look, on the right."""
        session = self.session
        book = session.season.book
        left = f" {book.name}  {session.season.year}  {short_day(session.today)}"
        if book.today is not None:
            left += "  " + _("(invented)")
        right = (
            _("keying: {name}  desk {desk}").format(name=session.by or "?", desk=book.desk) + " "
        )
        parts: list[Content | str | tuple[str, str]] = [left]
        apart = book.set_apart
        if apart:
            look = ngettext("{n} line set apart", "{n} lines set apart", apart).format(n=apart)
            parts.append((f"  ! {look}", "bold $error"))
        said = Content.assemble(*parts)
        gap = max(2, self.size.width - said.cell_length - Content(right).cell_length)
        return Content.assemble(said, " " * gap, right)
