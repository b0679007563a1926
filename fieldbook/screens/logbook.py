"""Logbook: every entry, newest last; filter as you type, strike with a reason."""

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Input, Static

from fieldbook.book.entry import Strike
from fieldbook.i18n import _, ngettext
from fieldbook.reports.log import LogLine, log_lines
from fieldbook.reports.words import saved
from fieldbook.screens.dialogs import QUOTED, Ask, Page, some_text
from fieldbook.screens.screen import BookScreen, bindings
from fieldbook.screens.session import Session
from fieldbook.screens.widgets.entries import EntryList
from fieldbook.screens.widgets.field import Field
from fieldbook.screens.widgets.rows import Rows, cut, indented
from fieldbook.season.dates import short_day

AROUND_PAGE = 8
"""Cells that a page over the screen takes for its edge and its scrollbar."""


class Logbook(BookScreen):
    """The entries that hold every word of the search.

    Where an entry was named just now as what is in the way, the cursor is on it.

    Args:
        session: What all screens share.
        find: Words to search for at first.
    """

    NAME = "logbook"
    CSS_PATH = "logbook.tcss"
    BINDINGS: ClassVar[list[BindingType]] = bindings("logbook")

    def __init__(self, session: Session, *, find: str = "") -> None:
        super().__init__(session)
        self._sought, session.in_the_way = session.in_the_way, ""
        self._find = "" if self._sought else find
        self._lines: list[LogLine] = []
        self._message = ""

    def body(self) -> ComposeResult:
        yield Static(classes="head", id="found")
        yield EntryList()
        with Vertical(id="entry"):
            yield Static(id="words")
            yield Static(id="said")
        yield Field(self._find, placeholder=_("/ to find words"), id="find")

    def on_mount(self) -> None:
        self.redraw()
        rows = [row for row, line in enumerate(self.entries.items) if line.id == self._sought]
        self.entries.cursor = (rows or [self.entries.count - 1])[0]
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
        words = [] if line is None else self._words(line)[:3]
        self.query_one("#words", Static).update(Content("\n").join(words))
        said = self.query_one("#said", Static)
        said.display = bool(self._message)
        said.update(Content(f" {self._message}"))

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

    def say(self, text: str, *, wrong: bool = False) -> None:
        self.said_of = ""
        self._message = f"! {text}" if wrong else text
        self._show_entry()

    def on_rows_moved(self, event: Rows.Moved) -> None:
        event.stop()
        self._message = ""
        self._show_entry()

    # --- finding ---

    def action_find(self) -> None:
        self.set_focus(self.query_one(Field))

    def on_input_changed(self, event: Input.Changed) -> None:
        self._search(event.value)

    def _search(self, words: str) -> None:
        if words != self._find:
            self._find = words
            self._filter()
            self.entries.cursor = self.entries.count - 1

    # --- actions ---

    async def action_whole(self) -> None:
        field = self.query_one(Field)
        if field.has_focus:
            self._search(await field.take_in())
            self.set_focus(self.entries)
            return
        line = self.entries.current
        if line is not None:
            await self.app.push_screen(Page(_("Entry"), Content("\n").join(self._whole(line))))

    def _whole(self, line: LogLine) -> list[Content]:
        """An entry with all that it holds."""
        session = self.session
        entry = next((e for e in session.season.book.entries if e.id == line.id), None)
        head = self._words(line)
        if entry is None:
            return head
        room = max(20, self.size.width - AROUND_PAGE)
        from fieldbook.screens.whole import whole_lines

        whole = whole_lines(session.season, entry, session.now, width=room)
        return [*head, Content(""), *(Content(indented(f" {said}", room + 1)) for said in whole)]

    async def action_strike_this(self) -> None:
        line = self.entries.current
        if line is None:
            return

        def struck(strike: Strike | None) -> None:
            if strike is not None:
                self.redraw()
                self._message = saved(strike, self.session.season.ledger)
                self._show_entry()

        title = _("Strike {id}: {what}. Why is it wrong?").format(
            id=line.id, what=cut(line.says, QUOTED)
        )
        strike = some_text(_("The reason"), lambda why: self.session.strike(line.id, why))
        await self.app.push_screen(Ask(title, strike), struck)
