"""What every screen of the book has: the top strip, the keys at the bottom, and the session."""

from collections.abc import Awaitable, Callable
from datetime import date
from typing import ClassVar

from rich.cells import cell_len
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.screen import Screen
from textual.widgets import Footer, Static

from fieldbook.book.entry import AnyEntry
from fieldbook.i18n import _, ngettext
from fieldbook.reports.open_items import counted, overdue
from fieldbook.reports.words import saved, told
from fieldbook.screens.actions import actions_of, spoken
from fieldbook.screens.dialogs import QUOTED, Ask, Choose, some_text
from fieldbook.screens.session import Session
from fieldbook.screens.widgets.rows import cut, within
from fieldbook.season.dates import short_day
from fieldbook.season.items import Item, Level

ALARM_ROWS = 2

NAME_LEAST = 6
"""Cells of the book's name that stand in the strip however narrow it is."""


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
        self.alarm_rows = 0
        """Rows of what cannot wait."""
        self.said_of = ""
        """The entry of which it is said that it is on disk; once it is struck, that is untrue."""

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

    def on_screen_suspend(self) -> None:
        """What was said is not news any more when one comes back from another screen."""
        stack = self.app.screen_stack
        if self in stack and self is not stack[-1] and isinstance(stack[-1], BookScreen):
            self.forget()

    def forget(self) -> None:
        """Take back what was said."""
        self.said_of = ""
        self.say("")

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

    # --- what is said, and who says it ---

    def say(self, text: str, *, wrong: bool = False) -> None:
        """One line on what is now on disk, or why it is not; nothing that must be dismissed."""
        self.said_of = ""
        said = self.query_one("#said", Static)
        said.display = bool(text)
        said.update(Content.styled(f"! {text}", "$error") if wrong else Content(text))

    def tell(self, entry: AnyEntry) -> None:
        """Show the new state, and say on one line what is on disk."""
        self.redraw()
        self.say(saved(entry, self.session.season.ledger))
        self.said_of = entry.id

    def wrote(self, entry: AnyEntry | None) -> None:
        """What a question wrote, unless it was left unanswered."""
        if entry is not None:
            self.tell(entry)

    @property
    def block_here(self) -> str:
        """The block that the screen is about, or the cursor stands on; empty if none."""
        return ""

    async def ask_words(
        self, title: str, write: Callable[[str], AnyEntry], *, value: str = "", hint: str = ""
    ) -> None:
        """Ask for some words and record them; Escape leaves it at that."""
        question = Ask(title, some_text(_("The text"), write), value=value, hint=hint)
        await self.app.push_screen(question, self.wrote)

    async def ask_maybe(self, title: str, write: Callable[[str], AnyEntry]) -> None:
        """Ask for words that may be none, and record them."""
        hint = _("Enter: yes, with words or without. Esc: no.")
        await self.app.push_screen(Ask(title, write, hint=hint), self.wrote)

    async def as_somebody(self, work: Callable[[], Awaitable[None]]) -> None:
        """Do what is somebody's work; ask whose if nobody has said."""
        if self.session.who:
            await work()
        else:
            await self.ask_person(then=work)

    async def ask_person(self, then: Callable[[], Awaitable[None]] | None = None) -> None:
        """Ask whose work is keyed in, put a new name on the crew, and go on."""
        session = self.session

        async def taken(added: tuple[AnyEntry, ...] | None) -> None:
            if added is None:
                return
            self.redraw()
            for person in added:
                self.say(saved(person, session.season.ledger))
            if then is not None:
                await then()

        question = Choose(
            _("Whose work is it?"),
            session.season.plan.people,
            session.work_for,
            new=_("put {name} on the crew"),
            at=session.who,
        )
        await self.app.push_screen(question, taken)

    async def strike_last(self) -> None:
        """Strike what was keyed last by whoever is at the keyboard."""
        season = self.session.season
        last = season.last_keyed(self.session.name)
        if last is None:
            nothing = _("{name} has keyed nothing here that stands.")
            self.say(nothing.format(name=self.session.name))
            return
        title = _("Strike {id}: {what}. Why is it wrong?").format(
            id=last.id, what=cut(told(last, season.plan), QUOTED)
        )
        reason = _("slip of the finger")
        await self.ask_words(title, lambda why: self.session.strike(last.id, why), value=reason)

    # --- the top ---

    def _show_top(self) -> None:
        if self.said_of in self.session.season.ledger.struck:
            self.forget()
        items = self.session.items()
        self.query_one("#strip", Static).update(self._strip(items))
        alarm = self.query_one("#alarm", Static)
        rows = self._alarms(items)
        alarm.display = bool(rows)
        content = Content("\n").join(Content(row) for row in rows)
        self.alarm_rows = len(content.wrap(max(1, self.size.width - 1))) if rows else 0
        alarm.update(content)

    def _alarms(self, items: list[Item]) -> list[str]:
        """What cannot wait: who is overdue, then what is wrong with the book; two rows at most."""
        late = [item for item in items if overdue([item], self.session.now)]
        wrong = self.session.season.book.alarm
        room, rows = self.size.width - 3, ALARM_ROWS - bool(late and wrong)
        alarms = [self._overdue(late, rows * room)] if late else []
        alarms += [wrong] if wrong else []
        return ["! " + within(words, room, rows) for words in alarms]

    def _overdue(self, late: list[Item], room: int) -> str:
        """Who is overdue, as many as there is room for, and how many more there are."""
        for shown in range(len(late), 0, -1):
            said = overdue(late[:shown], self.session.now)
            if shown < len(late):
                said += "; " + _("{n} more: o").format(n=len(late) - shown)
            if cell_len(said) <= room:
                break
        return said

    def _strip(self, items: list[Item]) -> Content:
        """Book, season and day on the left, with what is open; who is keying on the right.

        Where there is little room the desk gives way first, then the names; never what is open.
        """
        session, width = self.session, self.size.width
        book = session.season.book
        grave = any(item.level is Level.SAFETY for item in items)
        closed = "  " + _("CLOSED") if session.season.ledger.closed is not None else ""
        at_stake = closed + ("  ! " if grave else "  ") + counted(items)
        apart = book.set_apart
        look = ngettext("  ! {n} line set apart", "  ! {n} lines set apart", apart)
        look = look.format(n=apart) if apart else ""
        name = cut(session.by or "?", max(12, width // 4))
        keying = "  " + _("keying: {name}").format(name=name) + " "
        with_desk = keying + " " + _("desk {desk}").format(desk=book.desk) + " "
        day = f"  {session.season.year}  {short_day(session.today)}"
        day += "  " + _("(invented)") if book.today is not None else ""
        left = f" {book.name}{day}"
        room = max(0, width - cell_len(at_stake + look))
        right = with_desk if cell_len(left + with_desk) <= room else keying
        right = cut(right, max(0, room - NAME_LEAST))
        room -= cell_len(right)
        if cell_len(left) > room:
            left = " " + cut(book.name, max(NAME_LEAST, room - cell_len(day) - 1)) + day
        left = cut(left, room)
        return Content.assemble(
            left,
            (at_stake, "bold $error" if grave else "bold"),
            (look, "bold $error"),
            " " * (room - cell_len(left)),
            right,
        )
