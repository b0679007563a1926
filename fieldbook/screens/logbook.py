"""Logbook: every entry, newest last; filter as you type, strike with a reason."""

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.content import Content
from textual.widgets import Input, Static

from fieldbook.errors import BookError
from fieldbook.i18n import _, ngettext
from fieldbook.reports.log import LogLine, log_lines
from fieldbook.reports.words import one_line, saved
from fieldbook.screens.dialogs import Ask, Page, some_text
from fieldbook.screens.screen import BookScreen, bindings
from fieldbook.screens.session import Session
from fieldbook.screens.widgets.entries import EntryList
from fieldbook.screens.widgets.rows import Rows
from fieldbook.season.dates import short_day


class Logbook(BookScreen):
    """The entries that hold every word of the search.

    Args:
        session: What all screens share.
        find: Words to search for at first.
    """

    NAME = "logbook"
    CSS_PATH = "logbook.tcss"
    BINDINGS: ClassVar[list[BindingType]] = bindings("logbook")

    def __init__(self, session: Session, *, find: str = "") -> None:
        super().__init__(session)
        self._find = find
        self._lines: list[LogLine] = []
        self._message = ""

    def body(self) -> ComposeResult:
        yield Static(classes="head", id="found")
        yield EntryList()
        yield Static(id="entry")
        yield Input(self._find, placeholder=_("/ to find words"), id="find")

    def on_mount(self) -> None:
        super().on_mount()
        self.entries.cursor = self.entries.count - 1
        self.entries.focus()

    @property
    def entries(self) -> EntryList:
        return self.query_one(EntryList)

    def redraw(self) -> None:
        super().redraw()
        self._lines = list(log_lines(self.session.season))
        self._filter()

    def _filter(self) -> None:
        found = [line for line in self._lines if line.matches(self._find)]
        self.entries.show(found)
        said = ngettext("{n:,} entry", "{n:,} entries", len(self._lines)).format(n=len(self._lines))
        if self._find:
            said = _("{found:,} of {entries} with: {words}").format(
                found=len(found), entries=said, words=self._find
            )
        self.query_one("#found", Static).update(Content(f" {_('Logbook')}   {said}"))
        self._show_entry()

    def _show_entry(self) -> None:
        line = self.entries.current
        words = Content("") if line is None else Content("\n").join(self._words(line)[:3])
        if self._message:
            words = Content.assemble(words, "\n", (f" {self._message}", "bold"))
        self.query_one("#entry", Static).update(words)

    def _words(self, line: LogLine) -> list[Content]:
        """An entry in full, piece by piece."""
        noted = f"{short_day(line.noted.date())} {line.noted:%H:%M}"
        head = _("{id}  {kind}, written by {by}, {noted}").format(
            id=line.id, kind=line.kind, by=line.by, noted=noted
        )
        happened = f"{short_day(line.at.date())} {line.at.year}"
        parts = [part for part in (happened, line.who, line.place, line.task) if part]
        words = [Content.styled(f" {head}", "bold"), Content(" " + "   ".join(parts))]
        if line.struck:
            words.append(
                Content.styled(" " + _("struck by {who}").format(who=line.struck), "$error")
            )
        return [*words, Content(" " + line.says)]

    def on_rows_moved(self, event: Rows.Moved) -> None:
        event.stop()
        self._message = ""
        self._show_entry()

    # --- finding ---

    def action_find(self) -> None:
        self.query_one("#find", Input).focus()

    def on_input_changed(self, event: Input.Changed) -> None:
        self._find = event.value
        self._filter()
        self.entries.cursor = self.entries.count - 1

    def on_input_submitted(self, event: Input.Submitted) -> None:
        event.stop()
        self.entries.focus()

    # --- actions ---

    def action_whole(self) -> None:
        line = self.entries.current
        if line is not None:
            self.app.push_screen(Page(_("Entry"), Content("\n").join(self._words(line))))

    def action_strike_this(self) -> None:
        line = self.entries.current
        if line is None:
            return

        def take(reason: str | None) -> None:
            if reason is None:
                return
            try:
                strike = self.session.strike(line.id, reason)
                message = saved(strike, self.session.season.ledger)
            except BookError as error:
                message = "! " + one_line(str(error))
            at = self.entries.cursor
            self.redraw()
            self.entries.cursor = at
            self._message = message
            self._show_entry()

        title = _("Strike {id}: {what}. Why is it wrong?").format(id=line.id, what=line.says)
        self.app.push_screen(Ask(title, some_text(_("The reason"))), take)
