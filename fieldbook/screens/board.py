"""Board: where does the season stand?"""

from collections.abc import Iterator, Sequence
from datetime import timedelta
from typing import TYPE_CHECKING, ClassVar

from rich.cells import cell_len
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from fieldbook.book.entry import Aside, Line, Reading, Sheet, Task
from fieldbook.i18n import _
from fieldbook.reports.forecast import BlockFinish, TaskForecast
from fieldbook.reports.forecast_tables import finish_words, is_late
from fieldbook.reports.handoff import last_taken
from fieldbook.reports.summary import TaskPart, summarise, task_part
from fieldbook.reports.summary_words import attention, number, percent, wanted_words
from fieldbook.reports.whence import task_whence
from fieldbook.reports.words import bar, place, signed, signed_note, standing_word
from fieldbook.screens.dialogs import Choose, WhencePage
from fieldbook.screens.logbook import Logbook
from fieldbook.screens.round import Round
from fieldbook.screens.screen import BookScreen, bindings
from fieldbook.screens.session import Session
from fieldbook.screens.widgets.grid import Grid, GridRow
from fieldbook.screens.widgets.rows import Rows, cut, indented
from fieldbook.season.dates import brief_day
from fieldbook.season.ledger import OPEN, Standing
from fieldbook.season.sheets import settle_of
from fieldbook.season.woods import hazards

if TYPE_CHECKING:
    from fieldbook.reports.page import Section

BAR, BAR_LEAST = 20, 6

FORETELL_SECONDS = 0.05
"""After which the forecast is worked out: by then the first frame is drawn."""


class Board(BookScreen):
    """Blocks down, tasks across, and under them the cell of the cursor in words."""

    NAME = "board"
    CSS_PATH = "board.tcss"
    BINDINGS: ClassVar[list[BindingType]] = bindings("board")

    def body(self) -> ComposeResult:
        yield Static(id="totals")
        yield Static(classes="head", id="heads")
        yield Grid()
        yield Static(id="cell")
        with VerticalScroll(id="look", can_focus=False):
            yield Static()
        yield Static(id="said")

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._attention: list[Section] | None = None
        """What wants looking at in words; worked out when it is first shown."""
        self.foretells = False
        """The first frame does not wait for the forecast."""

    def on_mount(self) -> None:
        self.redraw()
        self.grid.stand_at_work()
        self.grid.focus()
        self.set_timer(FORETELL_SECONDS, self._foretell)

    def _foretell(self) -> None:
        """Add what the forecast says to what is shown."""
        self.foretells = True
        self.query_one("#totals", Static).update(self._totals())
        self._describe()

    @property
    def grid(self) -> Grid:
        return self.query_one(Grid)

    def redraw(self) -> None:
        super().redraw()
        ledger = self.session.season.ledger
        tasks = ledger.plan.tasks
        rows = [
            GridRow(block, tuple(ledger.cell(task, block) for task in tasks))
            for block in ledger.plan.blocks
        ]
        self.grid.fill(tasks, rows)
        self.query_one("#totals", Static).update(self._totals())
        self._attention = None
        self._describe()

    def _show_look(self) -> None:
        """What wants looking at, as far as there is room; only where the screen is tall."""
        panel = self.query_one("#look", VerticalScroll)
        room = panel.scrollable_content_region.size
        if not panel.display or not room.height:
            return
        session = self.session
        if self._attention is None:
            summary = summarise(session.season, session.today, session.now)
            self._attention = list(attention(summary))
        rows: list[Content] = []
        used = 0
        for part in self._attention:
            if room.height - used < 2:
                break
            key = "o" if session.items() and not rows else "s"  # where all of them stand
            shown = _as_many(part.lines, room.width, room.height - used - 1, key)
            rows += [Content.styled(part.title, "bold"), *map(Content, shown)]
            used += 1 + sum(words.count("\n") + 1 for words in shown)
        self.query_one("#look Static", Static).update(Content("\n").join(rows))

    @property
    def block_here(self) -> str:
        return "" if self.grid.current is None else self.grid.current.block

    def on_rows_moved(self, event: Rows.Moved) -> None:
        event.stop()
        self.say("")
        self._describe()

    def on_resize(self) -> None:
        super().on_resize()
        self.call_after_refresh(self._describe)

    @property
    def _here(self) -> tuple[str, Task] | None:
        """The block and task under the cursor."""
        grid = self.grid
        if grid.current is None or not grid.tasks:
            return None
        return grid.current.block, grid.tasks[grid.column]

    def _totals(self) -> Content:
        ledger, today = self.session.season.ledger, self.session.today
        tapping = ledger.plan.counting("taps")
        if tapping is None:
            return Content("")
        part = task_part(ledger, tapping, None, today)
        ahead = self._ahead(tapping)
        return Content.assemble(
            (" " + _("Taps in {done}").format(done=number(part.done)), "bold"),
            " " + _("of {planned}").format(planned=number(part.planned)),
            f"  {percent(part.percent)}   ",
            (_("left {left}").format(left=number(part.left)), "bold"),
            f"   {wanted_words(part, brief=True)}",
            *(self._begin(tapping) if ahead is None else ["\n " + self._ahead_words(ahead)]),
            self._late(ahead),
            self._taken(),
        )

    def _taken(self) -> str:
        """Who took over since yesterday: the morning asks."""
        yesterday = self.session.today - timedelta(days=1)
        said = last_taken(self.session.season.ledger, since=yesterday)
        return f"\n {said}" if said else ""

    def _begin(self, task: Task) -> Iterator[str | tuple[str, str]]:
        """By when a task that is not begun must be, for its date."""
        ahead = self._forecast(task)
        if ahead is not None and ahead.begin_by is not None:
            day = brief_day(ahead.begin_by)
            yield "\n " + _("{task}: begin by {day}").format(task=task.title, day=day)
            yield ("  !" if ahead.begin_by <= self.session.today else "", "bold $error")

    def _ahead(self, task: Task) -> TaskForecast | None:
        """When a task under way will be done."""
        ahead = self._forecast(task)
        return ahead if ahead is not None and ahead.under_way else None

    def _forecast(self, task: Task) -> TaskForecast | None:
        """The forecast of a task, if it has something left."""
        tasks = self.session.forecast().tasks if self.foretells else ()
        return next((x for x in tasks if x.task == task.key), None)

    def _late(self, ahead: TaskForecast | BlockFinish | None) -> tuple[str, str]:
        late = ahead is not None and is_late(ahead.finish, ahead.wanted)
        return ("  ! " + _("late") if late else "", "bold $error")

    def _ahead_words(self, ahead: TaskForecast) -> str:
        """`Tapping done by 27 Feb (25 Feb-3 Mar), with one more person by 22 Feb`."""
        said = f"{ahead.title} {finish_words(ahead.finish)}"
        if ahead.one_more is not None:
            said += ", " + _("with one more person by {day}").format(day=brief_day(ahead.one_more))
        return said

    def _describe(self) -> None:
        """The cell of the cursor, in words."""
        self.query_one("#heads", Static).update(Content(self.grid.head()))
        here = self._here
        self.query_one("#cell", Static).update(self._empty() if here is None else self._cell(*here))
        self.call_after_refresh(self._show_look)  # the cell takes the rows that it needs

    def _empty(self) -> Content:
        return Content(
            _(
                " The plan has no lines yet. List them in a table and import it:\n"
                "   fieldbook blank lines > lines.csv\n"
                "   fieldbook import lines.csv"
            )
        )

    def _cell(self, block: str, task: Task) -> Content:
        ledger = self.session.season.ledger
        part = task_part(ledger, task, block, self.session.today)
        cell = ledger.cell(task, block)
        title = f" {block}, {task.title.lower()}: {standing_word(part.standing)}"
        ahead = self._ahead(task)
        held_up = part.standing is Standing.ASIDE
        dates = ahead.blocks if ahead and not held_up else ()
        here = next((x for x in dates if x.block == block), None)
        room = max(20, self.size.width)
        rest = cut(f"   {wanted_words(part)}", max(0, room - cell_len(title)))
        lines = [Content.assemble((title, "bold"), rest)]
        if here is not None:
            lines.append(Content.assemble(f" {finish_words(here.finish)}", self._late(here)))
        today = ledger.done_on(self.session.today, task.key, block)
        if part.planned:
            said = _("{done} of {planned} {unit}, left {left}, today {today}").format(
                done=number(part.done),
                planned=number(part.planned),
                unit=_(task.counts),
                left=number(part.left),
                today=number(today),
            )
            said = f" {percent(part.percent)}   {said}{self._off(part)}"
            # The bar gives way to the words.
            width = min(BAR, max(BAR_LEAST, room - 1 - cell_len(said)))
            lines.append(Content(cut(f" {bar(part.done, part.planned, width)}{said}", room)))
        counts = [
            f"{number(cell.lines[standing])} {standing_word(standing)}"
            for standing in Standing
            if standing in cell.lines
        ]
        lines.append(Content(cut(" " + _("Lines:") + " " + ", ".join(counts), room)))
        lines.append(self._next(block, task))
        if task.counts == "readings":
            lines += self._vacuum(block)
        lines += [
            Content.styled(indented(f" ! {hazard}", room, rows=2), "$error")
            for hazard in self._hazards(block)[:2]
        ]
        return Content("\n").join(lines)

    def _vacuum(self, block: str) -> Iterator[Content]:
        """What the gauges of a block say, once any was read: loaded where it is asked for."""
        session = self.session
        if not session.season.ledger.of(Reading):
            return
        from fieldbook.reports.leaks import leaks
        from fieldbook.reports.leaks_words import strip

        units = session.laptop.units
        told = leaks(session.season, session.today, block=block, units=units, alone=True)
        for part in told.blocks:
            said = strip(told, part, self.size.width - 4, units).removeprefix(block).strip()
            yield Content(f" v: {said}")

    def _off(self, part: TaskPart) -> str:
        off = [
            f"{number(units)} {word}"
            for units, word in ((part.short, _("short")), (part.over, _("over")))
            if units
        ]
        return f"   ! {', '.join(off)}" if off else ""

    def _next(self, block: str, task: Task) -> Content:
        """The line to go to, or why nobody goes."""
        ledger = self.session.season.ledger
        reasons: dict[str, Aside] = {}
        for line in ledger.plan.walk[block]:
            standing = ledger.line_cell(line, task).standing
            mark = ledger.record(block, line.line, task.key).mark
            if standing in OPEN:
                left = ledger.line_cell(line, task).tally.left
                said = _("Next: line {n} {name}, {left} left")
                said = said.format(n=line.order, name=line.line, left=number(left))
                return Content(indented(f" {said}", self.size.width))
            if standing is Standing.ASIDE and isinstance(mark, Aside):
                reasons[mark.reason] = mark
        if not reasons:
            return Content("")
        told = "; ".join(signed(mark.reason, mark.who, mark.day) for mark in reasons.values())
        said = " " + _("Set aside: {reasons}").format(reasons=told)
        return Content(indented(said, self.size.width))

    def _hazards(self, block: str) -> list[str]:
        notes = [n for n in hazards(self.session.season.ledger) if n.block == block]
        return [f"{place(n.block, n.line)}: {signed_note(n)}" for n in reversed(notes)]

    # --- actions: what the first frame does not show is loaded when it is asked for ---

    async def action_open(self) -> None:
        here = self._here
        if here is not None:
            await self.app.push_screen(Round(self.session, *here))

    async def action_logbook(self) -> None:
        await self.app.push_screen(Logbook(self.session))

    async def action_season(self) -> None:
        from fieldbook.screens.season import SeasonScreen

        await self.app.push_screen(SeasonScreen(self.session))

    async def action_vacuum(self) -> None:
        if not self.session.season.plan.under_vacuum:
            self.say(_("No task of this crew counts readings of a gauge: there is no pump."))
            return
        from fieldbook.screens.vacuum import Vacuum

        await self.app.push_screen(Vacuum(self.session))

    async def action_whence(self) -> None:
        here = self._here
        if here is not None:
            block, task = here
            told = task_whence(self.session.season, task, block, self.session.forecast())
            title = _("Where it comes from: {block}, {task}").format(
                block=block, task=task.title.lower()
            )
            await self.app.push_screen(WhencePage(title, told))

    async def action_find(self) -> None:
        plan, ledger = self.session.season.plan, self.session.season.ledger
        found: dict[str, Line | Sheet] = {}
        for sheet in ledger.of(Sheet):  # first: who types a number holds a paper
            if settle_of(ledger, sheet) is None:
                said = _("sheet {n}: {block}, {task}")
                found[said.format(n=sheet.sheet, block=sheet.block, task=sheet.task)] = sheet
        found |= {f"{line.block} / {line.order} {line.line}": line for line in plan.lines}

        async def go(thing: Line | Sheet | None) -> None:
            here = self._here
            if thing is None or here is None:
                return
            if thing.block in plan.blocks:
                self.grid.cursor = plan.blocks.index(thing.block)
            if isinstance(thing, Line):
                shown = Round(self.session, thing.block, here[1], line=thing.line)
            elif (task := plan.task(thing.task)) is not None:
                shown = Round(self.session, thing.block, task, sheet=thing)
            else:
                return
            await self.app.push_screen(shown)

        await self.app.push_screen(
            Choose(_("Which line, or which sheet?"), list(found), found.__getitem__), go
        )

    async def action_print(self) -> None:
        here = self._here
        if here is not None:
            from fieldbook.screens.paper import print_sheet

            await print_sheet(self, *here)

    async def action_hand_off(self) -> None:
        here = self._here
        from fieldbook.screens.handoff import hand_off

        await hand_off(self.app, self.session, here[0] if here else "")

    async def action_take(self) -> None:
        from fieldbook.screens.handoff import take

        await take(self.app, self.session)

    async def action_quit(self) -> None:
        await self.app.action_quit()


def _as_many(lines: Sequence[str], width: int, height: int, key: str) -> list[str]:
    """As many lines as so many rows hold, wrapped ones indented, and how many more there are."""
    shown: list[str] = []
    used = 0
    for left, line in zip(range(len(lines), 0, -1), lines, strict=True):
        words = indented(f"  {line}", width, 5)
        rows = words.count("\n") + 1
        if used + rows + (left > 1) > height:
            return [*shown, "  " + _("{n} more: {key}").format(n=left, key=key)]
        shown.append(words)
        used += rows
    return shown
