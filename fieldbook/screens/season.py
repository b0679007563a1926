"""Season: the curve of taps against the plan, when the crew will be done, and the summary."""

from typing import ClassVar

from rich.console import Group, RenderableType
from rich.text import Text
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

from fieldbook.book.entry import AnyEntry
from fieldbook.errors import BookError
from fieldbook.i18n import _
from fieldbook.reports.forecast_tables import forecast_listings, is_late
from fieldbook.reports.render.curves import season_curve
from fieldbook.reports.render.terminal import listing_terminal, summary_terminal
from fieldbook.reports.summary import summarise
from fieldbook.reports.whence import season_whence
from fieldbook.reports.words import signed_entry
from fieldbook.screens.dialogs import Ask, WhencePage, twice
from fieldbook.screens.items import Items
from fieldbook.screens.logbook import Logbook
from fieldbook.screens.screen import BookScreen, bindings
from fieldbook.season.dates import short_day
from fieldbook.season.runs import FORM

CURVE_LEAST, CURVE_MOST = 8, 18
AROUND_CURVE = 9
"""Rows of the screen that the curve leaves to what stands around it."""


class SeasonScreen(BookScreen):
    """A page to read, and the one place where sap and syrup of a day are written down."""

    NAME = "season"
    CSS_PATH = "season.tcss"
    BINDINGS: ClassVar[list[BindingType]] = bindings("season")

    def body(self) -> ComposeResult:
        with VerticalScroll():
            yield Static(id="sums")
        yield Static(id="day")
        yield Static(id="said")

    def on_mount(self) -> None:
        self.query_one(VerticalScroll).focus()

    def on_resize(self) -> None:
        self.redraw()

    def redraw(self) -> None:
        super().redraw()
        self.query_one("#sums", Static).update(self._page())
        self._show_day()

    def _show_day(self) -> None:
        """Say which day is written down, while it is not today."""
        session, chosen = self.session, self.query_one("#day", Static)
        chosen.display = session.day != session.today
        said = _("Sap runs are of {day} (not today)").format(day=short_day(session.day))
        chosen.update(Text(said))

    def _page(self) -> RenderableType:
        session = self.session
        outlook = session.forecast()
        parts: list[RenderableType] = []
        if outlook.curve is not None:
            height = min(CURVE_MOST, max(CURVE_LEAST, self.size.height - AROUND_CURVE))
            lines = season_curve(
                outlook.curve, session.today, width=self.size.width - 4, height=height
            )
            parts += [Text(line, no_wrap=True) for line in lines]
        if outlook.tasks:
            tasks, _blocks, turns = forecast_listings(outlook)
            late = [x.title for x in outlook.tasks if x.under_way and is_late(x.finish, x.wanted)]
            if late:
                said = _("! Late: {tasks}").format(tasks=", ".join(late))
                parts += [Text(), Text(said, style="bold red")]
            parts += [Text(), listing_terminal(tasks)]
            if outlook.order.turns:
                parts += [Text(), Text(turns.notes[0], style="bold")]
        summary = summarise(session.season, session.today, session.now)
        return Group(*parts, Text(), summary_terminal(summary))

    # --- actions ---

    async def action_run(self) -> None:
        session = self.session
        metric = session.laptop.units == "metric"
        form = _("Sap (litres), Brix and syrup (litres) of {day}?")
        if not metric:
            form = _("Sap (gallons), Brix and syrup (gallons) of {day}?")

        question = Ask(
            form.format(day=short_day(session.day)),
            twice(lambda text, really: session.run(text, really=really)),
            hint=_(
                "{form}; - for what nobody measured. Of one block: brook: 900 2.2. Another day: d"
            ).format(form=FORM),
        )
        await self.app.push_screen(question, self.wrote)

    async def action_close(self) -> None:
        """Close the season; while anything is open, show what."""
        closed = self.session.season.ledger.closed
        if closed is not None:
            self.say(_("The season is closed ({entry}).").format(entry=signed_entry(closed)))
        elif self.session.closing():
            await self.app.push_screen(Items(self.session, closing=True))
        else:
            await self.as_somebody(self._ask_close)

    async def _ask_close(self) -> None:
        word = _("close")

        def take(text: str) -> AnyEntry:
            said, _blank, note = text.strip().partition(" ")
            if said.casefold() != word:
                raise BookError(_("Type {word}, or leave it with Esc.").format(word=word))
            return self.session.close(note.strip())

        title = _("Nothing is open. To close season {year} type: {word}").format(
            year=self.session.season.year, word=word
        )
        hint = _("Words may follow. After that nothing is recorded in it, unless that is struck.")
        await self.app.push_screen(Ask(title, take, hint=hint), self.wrote)

    async def action_day(self) -> None:
        await self.ask_day()

    async def action_whence(self) -> None:
        told = season_whence(self.session.season, self.session.forecast())
        await self.app.push_screen(WhencePage(_("Where it comes from: the season"), told))

    async def action_logbook(self) -> None:
        await self.app.push_screen(Logbook(self.session))
