"""Vacuum: which lines lose most, why, and the way that loses least."""

from pathlib import Path
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.content import Content
from textual.widgets import Static

from fieldbook.book.entry import AnyEntry
from fieldbook.errors import BookError
from fieldbook.i18n import _
from fieldbook.reports.leak_lines import LineLeaks
from fieldbook.reports.leaks import Leaks, leaks
from fieldbook.reports.leaks_words import brief_said, file_name, strip
from fieldbook.reports.vacuum_whence import vacuum_whence
from fieldbook.reports.words import saved
from fieldbook.screens.dialogs import Ask, WhencePage, some_text
from fieldbook.screens.logbook import Logbook
from fieldbook.screens.paper import checked, write_new
from fieldbook.screens.round import Round
from fieldbook.screens.screen import BookScreen, bindings
from fieldbook.screens.widgets.rows import Rows, cut
from fieldbook.screens.widgets.vacuum import VacuumCard, VacuumList, vacuum_rows

PARTS = 6
"""The pump takes a sixth of the screen at most, and so does the strip of blocks."""

FIXED, CARD_LEAST = 4, 4
"""Rows of the strips at top and bottom, the heads and the rule; and the fewest of the card."""

BESIDE_LINE, BESIDE_CAUTIONS = 7, 4
"""Rows that the list keeps beside a line in words, and beside what can hurt somebody."""

MOST_PEOPLE, MOST_HOURS = 99, 24
"""Who may go, and for how long, on one day."""


class Vacuum(BookScreen):
    """The pump, blocks and lines by what they lose, and the line of the cursor in words."""

    NAME = "vacuum"
    CSS_PATH = "vacuum.tcss"
    BINDINGS: ClassVar[list[BindingType]] = bindings("vacuum")

    def body(self) -> ComposeResult:
        yield Static(id="pump")
        yield Static(id="strip-blocks")
        yield Static(classes="head", id="heads")
        yield VacuumList()
        yield VacuumCard(id="line")
        yield Static(id="said")

    def on_mount(self) -> None:
        self._way: tuple[int, float] | None = None
        self._report: tuple[object, Leaks] | None = None
        self._above = 0
        self.redraw()
        self.list.focus()

    @property
    def list(self) -> VacuumList:
        return self.query_one(VacuumList)

    @property
    def block_here(self) -> str:
        line = self._line
        return "" if line is None else line.block

    @property
    def _line(self) -> LineLeaks | None:
        """The line under the cursor."""
        current = self.list.current
        return None if current is None else current.line

    @property
    def report(self) -> Leaks:
        """What is shown; worked out again when anything was recorded."""
        session = self.session
        people, hours = self._way or (1, None)
        at = (session.season.seen, session.today, people, hours, session.laptop.units)
        if self._report is None or self._report[0] != at:
            told = leaks(
                session.season,
                session.today,
                people=people,
                hours=hours,
                units=session.laptop.units,
            )
            self._report = (at, told)
        return self._report[1]

    # --- what is shown ---

    def redraw(self) -> None:
        super().redraw()
        rows = list(vacuum_rows(self.report, way=self._way is not None))
        self.list.fill(rows, self.session.laptop.units)
        self._show_head()
        self._show_line()

    def on_resize(self) -> None:
        super().on_resize()
        self.call_after_refresh(self._fit)

    def _fit(self) -> None:
        self._show_head()
        self._show_line()

    def _show_head(self) -> None:
        report, units, room = self.report, self.session.laptop.units, max(20, self.size.width - 2)
        said = list(brief_said(report, units))
        if report.pump is not None and report.pump.at.date() != report.as_of:
            said.insert(1, _("! Nobody has read the pump today."))
        rows = [
            Content.styled(cut(row, room), "bold $error" if row.startswith("!") else "bold")
            for row in said[: self._part]
        ]
        self.query_one("#pump", Static).update(Content("\n").join(rows))
        blocks = [strip(report, block, room, units) for block in report.blocks[: self._part]]
        self.query_one("#strip-blocks", Static).update(Content("\n".join(blocks)))
        self.query_one("#heads", Static).update(Content(cut(self.list.heads(), self.size.width)))
        self._above = len(rows) + len(blocks)

    @property
    def _part(self) -> int:
        """Rows that the pump may take, and the strip."""
        return self.size.height // PARTS

    def _show_line(self) -> None:
        current, card = self.list.current, self.query_one(VacuumCard)
        if current is None:
            card.nothing()
        elif current.line is None:
            card.show_words(current.words, self._rows_left(BESIDE_CAUTIONS))
        else:
            plan, line = self.session.season.plan, current.line
            at = plan.line(line.block, line.line)
            state = None if at is None else self.session.gauges().line(at)
            card.show_line(
                self.report, current, state, self.session.laptop.units, self._rows_left(BESIDE_LINE)
            )

    def _rows_left(self, least: int) -> int:
        """Rows for the card, where the list keeps so many."""
        said = self.query_one("#said", Static)
        others = FIXED + self.alarm_rows + self._above + said.display * said.size.height
        return max(CARD_LEAST, self.size.height - others - least)

    def say(self, text: str, *, wrong: bool = False) -> None:
        super().say(text, wrong=wrong)
        self.call_after_refresh(self._show_line)

    def on_rows_moved(self, event: Rows.Moved) -> None:
        event.stop()
        self._show_line()

    def may_leave(self) -> bool:
        """Escape goes back from the way before it leaves."""
        if self._way is None:
            return True
        self._show_way(None)
        return False

    def _show_way(self, way: tuple[int, float] | None) -> None:
        """Show the way of so many people and hours from its top; without them the worst first."""
        self._way = way
        self.redraw()
        self.list.cursor = 0

    # --- actions ---

    async def action_go(self) -> None:
        line, task = self._line, self.session.season.plan.counting("readings")
        if line is None:
            self.say(_("The cursor is on no line: there is nowhere to go."))
        elif task is None:
            self.say(_("No task of this crew counts readings of a gauge: there is no round."))
        else:
            await self.app.push_screen(Round(self.session, line.block, task, line=line.line))

    async def action_pump(self) -> None:
        session = self.session

        def written(entries: tuple[AnyEntry, ...] | None) -> None:
            if entries:
                self.redraw()
                self.say("; ".join(saved(entry, session.season.ledger) for entry in entries))
                self.said_of = entries[-1].id

        unit = "kPa" if session.laptop.units == "metric" else "inHg"
        question = Ask(
            _("What does the gauge at the pump read, in {unit}?").format(unit=unit),
            some_text(_("The text"), session.pump_reads),
            hint=_("a number; releaser 25, if it is that gauge. Words follow a colon"),
        )
        await self.as_somebody(lambda: self.app.push_screen(question, written))

    async def action_walk(self) -> None:
        def shown(way: tuple[int, float] | tuple[()] | None) -> None:
            if way is not None:
                self._show_way(way or None)

        def read(text: str) -> tuple[int, float] | tuple[()]:
            return read_way(text) if text.strip() else ()

        hours = self.session.season.plan.number("hours_a_day")
        question = Ask(
            _("How many go, and for how many hours?"),
            read,
            value=f"1 {hours:g}" if self._way is None else "{} {:g}".format(*self._way),
            hint=_("2 4: two people, four hours each. Empty: worst first again"),
        )
        await self.app.push_screen(question, shown)

    async def action_print(self) -> None:
        report, session = self.report, self.session
        again = 1
        while Path(file_name(report, again)).exists():
            again += 1

        def put(text: str) -> str:
            path = checked(text)
            write(report, path, session.laptop.units)
            return str(path)

        def told(path: str | None) -> None:
            if path is not None:
                self.say(_("the way is written to {path}").format(path=path))

        question: Ask[str] = Ask(
            _("The way of {people} for {hours:g} hours: into which file?").format(
                people=report.walk.people, hours=report.walk.hours
            ),
            put,
            value=file_name(report, again),
            hint=_("a PDF; in .txt as text. For others than these: r first"),
        )
        await self.app.push_screen(question, told)

    async def action_whence(self) -> None:
        session, line = self.session, self._line
        at = ("", "") if line is None else (line.block, line.line)
        told = vacuum_whence(
            session.season, self.report, session.gauges(), *at, session.laptop.units
        )
        await self.app.push_screen(WhencePage(_("Where it comes from: the vacuum"), told))

    async def action_logbook(self) -> None:
        line = self._line
        await self.app.push_screen(Logbook(self.session, find="" if line is None else line.line))


def read_way(text: str) -> tuple[int, float]:
    """How many people go, and for how many hours, as somebody typed it: `2 4`.

    Raises:
        BookError: It says neither.
    """
    words = text.replace(",", ".").split()
    try:
        people, hours = int(words[0]), float(words[1])
        if len(words) == 2 and 1 <= people <= MOST_PEOPLE and 0 <= hours <= MOST_HOURS:
            return people, hours
    except (ValueError, IndexError):
        pass
    raise BookError(
        _("{text} does not say how many go, and for how long.").format(text=repr(text)),
        _("Write people and hours: 2 4."),
    )


def write(report: Leaks, path: Path, units: str) -> None:
    """Write the way into a new file.

    Raises:
        BookError: There is no such folder, or it may not be written to.
    """
    if path.suffix.casefold() == ".txt":
        from fieldbook.reports.leaks_tables import shown_listings
        from fieldbook.reports.leaks_words import outset
        from fieldbook.reports.render.listings import listings_text
        from fieldbook.reports.words import heading

        title = heading(report.book, report.season, report.as_of, invented=report.invented)
        tables = shown_listings(report, units)
        data = listings_text(title, tables, first=outset(report, units)).encode()
    else:
        from fieldbook.reports.render.leaks_pdf import leaks_pdf
        from fieldbook.reports.sheet import PAPER_OF

        data = leaks_pdf(report, PAPER_OF[units], units)
    write_new(path, data)
