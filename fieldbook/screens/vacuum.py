"""Vacuum: which lines lose most, why, and the way that loses least."""

from collections.abc import Iterator
from pathlib import Path
from typing import ClassVar

from rich.cells import cell_len
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.content import Content
from textual.widgets import Static

from fieldbook.book.entry import AnyEntry
from fieldbook.errors import BookError
from fieldbook.i18n import _
from fieldbook.reports.leak_lines import LineLeaks
from fieldbook.reports.leak_walk import Leg
from fieldbook.reports.leaks import CAUTIONS, Leaks, leaks
from fieldbook.reports.leaks_words import brief_said, file_name, loss_range, stop_said, strip
from fieldbook.reports.render.curves import vacuum_curve
from fieldbook.reports.vacuum_whence import vacuum_whence
from fieldbook.reports.words import place, saved
from fieldbook.screens.dialogs import Ask, WhencePage, some_text
from fieldbook.screens.logbook import Logbook
from fieldbook.screens.paper import checked, write_new
from fieldbook.screens.round import Round
from fieldbook.screens.screen import BookScreen, bindings
from fieldbook.screens.widgets.rows import Rows, cut, indented
from fieldbook.screens.widgets.vacuum import VacuumList, VacuumRow

STRIPS = 3
"""Blocks that stand in the strip."""

MOST_PEOPLE, MOST_HOURS = 99, 24
"""Who may go, and for how long, on one day."""

CURVE_ROWS, CURVE_LEAST = 7, 34
"""Rows of the curve of a line, and rows of the screen from which there is room for it."""


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
        yield Static(id="line")
        yield Static(id="said")

    def on_mount(self) -> None:
        self._way: tuple[int, float] | None = None
        self._report: tuple[object, Leaks] | None = None
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
        self.list.fill(list(self._rows()), self.session.laptop.units)
        self._show_head()
        self._show_line()

    def on_resize(self) -> None:
        super().on_resize()
        self.call_after_refresh(self._fit)

    def _fit(self) -> None:
        self._show_head()
        self._show_line()

    def _rows(self) -> Iterator[VacuumRow]:
        """Lines, the worst first; or as they are walked, with where to stop."""
        report = self.report
        if self._way is None:
            yield from (VacuumRow(line=line) for line in report.lines)
            return
        lines = {(line.block, line.line): line for line in report.lines}
        walk = report.walk

        def row(leg: Leg) -> VacuumRow:
            return VacuumRow(line=lines[leg.block, leg.line], leg=leg)

        for person in range(1, walk.people + 1):
            legs = [leg for leg in walk.legs if leg.person == person]
            if legs:
                said = _("Way {n}: {hours:.1f} hours")
                yield VacuumRow(words=said.format(n=person, hours=legs[-1].done_after))
                yield from map(row, legs)
        if walk.later:
            yield VacuumRow(words=_("Worth it, but the hours are too short"))
            yield from map(row, walk.later)
        yield VacuumRow(words=stop_said(walk))
        yield from map(row, walk.rest)

    def _show_head(self) -> None:
        report, units, room = self.report, self.session.laptop.units, max(20, self.size.width - 2)
        rows = [
            Content.styled(cut(said, room), "bold $error" if said.startswith("!") else "bold")
            for said in brief_said(report, units)
        ]
        self.query_one("#pump", Static).update(Content("\n").join(rows))
        blocks = [strip(report, block, room, units) for block in report.blocks[:STRIPS]]
        self.query_one("#strip-blocks", Static).update(Content("\n".join(blocks)))
        title = self.list.heads()
        self.query_one("#heads", Static).update(Content(cut(title, self.size.width)))

    def _show_line(self) -> None:
        current, shown = self.list.current, self.query_one("#line", Static)
        room = max(20, self.size.width - 4)
        if current is None:
            shown.update(Content(_("No line has taps in yet: there is nothing to read.")))
            return
        if current.line is None:
            cautions = [f"! {_(caution)}" for caution in CAUTIONS]
            rows = [current.words, *cautions]
            shown.update(Content("\n".join(indented(row, room) for row in rows)))
            return
        shown.update(Content("\n").join(self._words(current.line, current.leg, room)))

    def _words(self, line: LineLeaks, leg: Leg | None, room: int) -> Iterator[Content]:
        """A line in words: what its readings say, its leaks, what became of mending."""
        report = self.report
        facts = [_("{n:,} taps").format(n=line.taps), _("{h:.1f} h to walk").format(h=line.hours)]
        if line.loss is not None and line.loss.sap_gal:
            said = _("loses {gal} gal a day, worth {money:,.2f}")
            facts.append(said.format(gal=loss_range(line.loss), money=line.loss.money))
        if line.read is None:
            facts.append(_("not read yet"))
        if not any(known.read for known in report.lines):
            said = _("Nobody has read a line yet: Enter, then type what its far end reads.")
            yield Content.styled(said, "bold")
        if leg is not None and leg.stop:
            facts.append(_("done after {h:.1f} h").format(h=leg.done_after))
        title = place(line.block, f"{line.order} {line.line}")
        named = cut(title, room // 2)
        told = cut("; ".join(facts), room - cell_len(named) - 3)
        yield Content.assemble((named, "bold $primary"), f"   {told}")
        for said in line.says:
            yield Content.styled(indented(f"! {said}", room, rows=2), "bold $error")
        for leak in line.leaks:
            yield Content.styled(indented(f"! {leak}", room, rows=2), "$error")
        for mend in report.mends:
            if (mend.block, mend.line) == (line.block, line.line):
                yield Content(cut(_("mended: {what}").format(what=mend.says), room))
        if self.size.height >= CURVE_LEAST:
            units = self.session.laptop.units
            drawn = vacuum_curve(line, width=min(room, 78), height=CURVE_ROWS, units=units)
            yield from map(Content, drawn)
        yield Content.styled(cut(f"! {_(CAUTIONS[0])}", room), "$quiet")

    def on_rows_moved(self, event: Rows.Moved) -> None:
        event.stop()
        self._show_line()

    def may_leave(self) -> bool:
        """Escape goes back from the way before it leaves."""
        if self._way is None:
            return True
        self._way = None
        self.redraw()
        self.list.cursor = 0
        return False

    # --- actions ---

    async def action_go(self) -> None:
        line, task = self._line, self.session.season.plan.counting("readings")
        if line is not None and task is not None:
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
        def shown(way: tuple[int, float] | None) -> None:
            if way is not None:
                self._way = way
                self.redraw()
                self.list.cursor = 0

        hours = self.session.season.plan.number("hours_a_day")
        question = Ask(
            _("How many go, and for how many hours?"),
            read_way,
            value=f"1 {hours:g}" if self._way is None else "{} {:g}".format(*self._way),
            hint=_("2 4: two people, four hours each. Esc on the list: worst first again"),
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
