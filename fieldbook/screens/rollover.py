"""Next season: what it takes over from this one, looked at line by line before it is written."""

from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.content import Content
from textual.widgets import Static

from fieldbook.errors import BookError
from fieldbook.i18n import _, ngettext
from fieldbook.reports.rollover import (
    Proposal,
    changing,
    outset,
    proposal,
    proposal_listings,
    row_words,
)
from fieldbook.screens.dialogs import Ask, WhencePage
from fieldbook.screens.screen import BookScreen, bindings
from fieldbook.screens.session import Session
from fieldbook.screens.widgets.changes import ChangeList, known_by
from fieldbook.screens.widgets.rows import Rows, cut, indented, within
from fieldbook.season.rollover import Change, changes, drafts_of, year_after

if TYPE_CHECKING:
    from fieldbook.reports.whence import Whence

WHY_ROWS = 3
"""Most rows for the whole of a change."""

AROUND = 3
"""Rows of the strips and the rule."""

SHARE = 5
"""Of so many rows one is for what the season would be, and one for the whole of a change."""


class Rollover(BookScreen):
    """The difference between two seasons; nothing is written before it is confirmed."""

    NAME = "rollover"
    CSS_PATH = "rollover.tcss"
    BINDINGS: ClassVar[list[BindingType]] = bindings("rollover")

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self.year = year_after(session.season.book, session.season.year)
        self._found: list[Change] = []
        self._report: tuple[object, Proposal] | None = None

    def body(self) -> ComposeResult:
        yield Static(id="head")
        yield ChangeList()
        yield Static(id="why")
        yield Static(id="said")

    def on_mount(self) -> None:
        self.redraw()
        self.list.focus()

    @property
    def list(self) -> ChangeList:
        return self.query_one(ChangeList)

    def _is_left(self, change: Change) -> bool:
        return known_by(change) in self.list.left

    @property
    def report(self) -> Proposal:
        """What is shown; worked out again when anything was recorded, or something is left.

        Raises:
            BookError: The next season is there, and cannot be read.
        """
        session = self.session
        begun = self.year in session.season.book.seasons
        at = (session.season.seen, session.minute, begun, frozenset(self.list.left))
        if self._report is None or self._report[0] != at:
            now = session.now
            self._found = changes(session.season, self.year, by=session.name, now=now)
            numbered = enumerate(changing(self._found), start=1)
            left = [number for number, change in numbered if self._is_left(change)]
            told = proposal(session.season, self.year, self._found, now, left=left)
            self._report = (at, told)
        return self._report[1]

    def redraw(self) -> None:
        super().redraw()
        try:
            report = self.report
        except BookError as error:
            self._found, self._report = [], None
            self.list.show([])
            said = within(f"! {error.message}", self._room, self._rows - 3, after=error.hint)
            self.query_one("#head", Static).update(Content.styled(said, "$error"))
            self.query_one("#why", Static).update("")
            return
        self.query_one("#head", Static).update(self._head(report))
        self.list.show(list(zip(changing(self._found), report.rows, strict=True)))
        self._show_change()

    def on_resize(self) -> None:
        self.redraw()

    @property
    def _room(self) -> int:
        """Cells of a row of words."""
        return max(20, self.size.width - 2)

    @property
    def _rows(self) -> int:
        """Rows there are for words and changes."""
        return max(SHARE, self.size.height - AROUND - self.alarm_rows)

    def _head(self, report: Proposal) -> Content:
        """What the season would be, as much of it as there is room for: warnings first."""
        first, *others = outset(report)
        rows = [
            (row, "$error" if line.startswith("!") else "")
            for line in (first, *sorted(others, key=lambda line: not line.startswith("!")))
            for row in indented(line, self._room).split("\n")
        ]
        most = self._rows // SHARE
        if len(rows) > most:
            more = "  " + _("more: w")
            words, style = rows[most - 1]
            rows[most - 1 :] = [(cut(words, self._room - len(more)) + more, style)]
        return Content("\n").join(Content.styled(words, style) for words, style in rows)

    def _show_change(self) -> None:
        """The whole of the change under the cursor."""
        if self.list.current is None:
            words = _("Season {year} lacks nothing of this one.").format(year=self.year)
        else:
            row = self.list.current[1]
            words = row_words(row).strip()
            if row.needed:
                words += ". " + _("A season cannot be without it.")
        rows = min(WHY_ROWS, self._rows // SHARE)
        self.query_one("#why", Static).update(Content(indented(words, self._room, rows=rows)))

    def on_rows_moved(self, event: Rows.Moved) -> None:
        event.stop()
        self._show_change()

    # --- actions ---

    def action_leave(self) -> None:
        if self.list.current is None:
            return
        change, row = self.list.current
        if row.needed:
            self.say(_("A season cannot be without {what}.").format(what=row.where), wrong=True)
            return
        self.forget()
        self.list.left ^= {known_by(change)}
        self.redraw()
        self.list.action_move(1)

    def action_all(self) -> None:
        self.forget()
        self.list.left.clear()
        self.redraw()

    async def action_write(self) -> None:
        self.forget()
        self._report = None  # somebody else may have made the season meanwhile
        self.redraw()
        if not self._found:
            return  # the screen says why
        word, left = _("write"), [change for change in self._found if self._is_left(change)]
        drafts = drafts_of(self._found, left)

        def take(text: str) -> int:
            if text.strip().casefold() != word:
                raise BookError(_("Type {word}, or leave it with Esc.").format(word=word))
            return self.session.begin_next(self.year, drafts)

        n = self.list.count - len(left)
        title = ngettext(
            "Season {year}: {n} change, {left} left. To write it type: {word}",
            "Season {year}: {n} changes, {left} left. To write it type: {word}",
            n,
        ).format(year=self.year, n=n, left=len(left), word=word)
        hint = _("Nothing of this season changes. What was left can be taken later.")
        await self.app.push_screen(Ask(title, take, hint=hint), self._told)

    def _told(self, written: int | None) -> None:
        if written is None:
            return
        self.list.left.clear()
        self._report = None
        self.redraw()
        entries = ngettext("{n} entry", "{n} entries", written).format(n=written)
        said = _("Season {year} is on disk, {entries}. Open it: fieldbook open --season {year}")
        if self.year == max(self.session.season.book.seasons):  # the newest opens by itself
            said = _(
                "Season {year} is on disk, {entries}. It is what fieldbook opens from now on; "
                "this one: fieldbook open --season {before}"
            )
        before = self.session.season.year
        self.say(said.format(year=self.year, entries=entries, before=before))

    async def action_whence(self) -> None:
        if self._report is None:
            return
        report = self.report
        head, *others = outset(report)
        notes = [note for listing in proposal_listings(report) for note in listing.notes]
        told: list[Whence] = [(head, (*others, *notes))]
        if report.rows:
            other = _("Other than in {year}:").format(year=report.season)
            told.append((other, tuple(row_words(row).strip() for row in report.rows)))
        await self.app.push_screen(WhencePage(_("Next season: what it takes over, and why"), told))
