"""Season: what the season was, part by part; and where sap and syrup of a day are written down."""

from collections.abc import Sequence
from contextlib import suppress
from typing import ClassVar

from rich.cells import cell_len
from rich.console import Group, RenderableType
from rich.text import Text
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from fieldbook.book.entry import AnyEntry
from fieldbook.errors import BookError
from fieldbook.i18n import N_, _
from fieldbook.reports.forecast_tables import forecast_listings, is_late
from fieldbook.reports.page import Section
from fieldbook.reports.render.curves import season_curve
from fieldbook.reports.render.terminal import listing_terminal, summary_terminal
from fieldbook.reports.summary import summarise
from fieldbook.reports.whence import season_whence
from fieldbook.reports.words import signed_entry
from fieldbook.screens.dialogs import Ask, WhencePage, twice
from fieldbook.screens.items import Items
from fieldbook.screens.logbook import Logbook
from fieldbook.screens.screen import BookScreen, bindings
from fieldbook.screens.session import Session
from fieldbook.season.dates import short_day
from fieldbook.season.runs import FORM

PARTS = {
    "totals": N_("Totals"),
    "work": N_("Work"),
    "spouts": N_("Spouts"),
    "vacuum": N_("Vacuum"),
    "sap": N_("Sap"),
    "costs": N_("Costs"),
    "history": N_("History"),
}
"""The parts of the season, in the order in which Left and Right go through them."""

CURVE_LEAST, CURVE_MOST = 8, 18
AROUND_CURVE = 10
"""Rows of the screen that the curve leaves to what stands around it."""

CHART_LEAST, CHART_MOST = 6, 14
AROUND_CHART = 14
"""Rows that other charts leave: they have words above them and tables below."""


class SeasonScreen(BookScreen):
    """A page to read in parts, and the one place where sap and syrup of a day are written down."""

    NAME = "season"
    CSS_PATH = "season.tcss"
    BINDINGS: ClassVar[list[BindingType]] = bindings("season")

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self.part = next(iter(PARTS))
        """Which part is shown."""

    def body(self) -> ComposeResult:
        yield Static(id="parts")
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
        self.query_one("#parts", Static).update(self._heads())
        self.query_one("#sums", Static).update(self._page())
        self._show_day()

    def _heads(self) -> Content:
        """The names of the parts; the one that is shown stands in brackets, and in sight."""
        names, heads = list(PARTS), {name: f" {_(title)} " for name, title in PARTS.items()}
        heads[self.part] = f"[{_(PARTS[self.part])}]"
        end, first = names.index(self.part) + 1, 0
        room = self.size.width - 2
        while first < end - 1 and cell_len("".join(heads[n] for n in names[first:end])) > room:
            first += 1
        return Content.assemble(
            *((heads[n], "bold reverse" if n == self.part else "") for n in names[first:])
        )

    def _show_day(self) -> None:
        """Say which day is written down, while it is not today."""
        session, chosen = self.session, self.query_one("#day", Static)
        chosen.display = session.day != session.today
        said = _("Sap runs are of {day} (not today)").format(day=short_day(session.day))
        chosen.update(Text(said))

    # --- the parts ---

    def _page(self) -> RenderableType:
        if self.part == "totals":
            return self._totals()
        from fieldbook.reports.render.page_terminal import section_terminal

        width = self.size.width - 4
        height = min(CHART_MOST, max(CHART_LEAST, self.size.height - AROUND_CHART))
        try:
            parts = [
                section_terminal(section, width=width, chart_height=height)
                for section in self._sections()
            ]
        except ValueError as error:  # a rule of the book's that no sum holds for
            said = _("It cannot be reckoned with the rules of the book: {why}.").format(why=error)
            return Text(f"! {said}", style="bold red")
        except BookError as error:  # a season before this one cannot be read
            return Text(f"! {error.message}\n  {error.hint}", style="bold red")
        return Group(*(piece for part in parts for piece in (part, Text())))

    def _sections(self) -> Sequence[Section]:
        """What is shown of a part that is told in words, charts and tables."""
        session = self.session
        if self.part == "history":
            from fieldbook.reports.history_tables import history_sections

            return history_sections(session.history())
        from fieldbook.reports.full_page import part_of

        return [part_of(session.full(), self.part)]

    def _totals(self) -> RenderableType:
        """The curve of taps against the plan, when the crew will be done, and the summary."""
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

    def _step(self, by: int) -> None:
        names = list(PARTS)
        self.part = names[(names.index(self.part) + by) % len(names)]
        self.redraw()
        self.query_one(VerticalScroll).scroll_home(animate=False)

    # --- actions ---

    def action_previous_part(self) -> None:
        self._step(-1)

    def action_next_part(self) -> None:
        self._step(1)

    async def action_print(self) -> None:
        from fieldbook.screens.printing import print_season

        await print_season(self)

    async def action_next_season(self) -> None:
        from fieldbook.screens.rollover import Rollover

        await self.app.push_screen(Rollover(self.session))

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
        session = self.session
        told = season_whence(session.season, session.forecast())
        if self.part != "totals":
            from fieldbook.reports.full_whence import part_whence

            with suppress(ValueError):  # a rule that no sum holds for: the page says so
                told = [*part_whence(session.season, session.full(), self.part), *told]
        await self.app.push_screen(WhencePage(_("Where it comes from: the season"), told))

    async def action_logbook(self) -> None:
        await self.app.push_screen(Logbook(self.session))
