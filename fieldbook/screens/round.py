"""Round: one block and one task, line by line. Type digits, Enter: on disk, next line."""

from collections.abc import Callable
from typing import ClassVar

from rich.cells import cell_len
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.widgets import Static

from fieldbook.book.entry import AnyEntry, Count, Finish, Line, Reading, Sheet, Task
from fieldbook.errors import BookError, Doubtful
from fieldbook.i18n import _
from fieldbook.reports.round import RoundLine, line_card, round_lines
from fieldbook.reports.whence import line_whence
from fieldbook.reports.words import MARKS, count_words, one_line, saved, standing_word
from fieldbook.screens.closing import both_words
from fieldbook.screens.dialogs import Ask, WhencePage
from fieldbook.screens.findings import Findings, another_day, sheet_words
from fieldbook.screens.logbook import Logbook
from fieldbook.screens.screen import bindings
from fieldbook.screens.session import Session
from fieldbook.screens.widgets.card import Card, Entries
from fieldbook.screens.widgets.count import CountField
from fieldbook.screens.widgets.lines import LineList
from fieldbook.screens.widgets.rows import Rows, cut, within
from fieldbook.season.ledger import Standing
from fieldbook.season.sheets import settle_of
from fieldbook.season.tally import FORM, tally_words

MESSAGE_ROWS = 2

LIST_LEAST = 4
"""Rows that the card leaves to the list of lines."""

ROWS_AROUND = 8
"""Rows that neither list nor card has: strips, head, count, message, and the card's edges."""

# Bindings rather than key events, so that digits typed fast never arrive after the Enter.
TYPING: list[BindingType] = [
    Binding(keys, f"type('{character}')", show=False, priority=True)
    for keys, character in (
        *zip("0123456789", "0123456789", strict=True),
        ("space", " "),
        ("full_stop,comma", "."),
        ("backspace", ""),
    )
]


class Round(Findings):
    """The lines in walking order, the card of the current line, and the count being typed.

    Args:
        session: What all screens share.
        block: The block walked.
        task: The task done.
        line: The line to begin at; else the first that is open.
        sheet: The sheet that is keyed in: only its lines, in the order of the paper.
    """

    NAME = "round"
    CSS_PATH = "round.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings("round"), *TYPING]

    def __init__(
        self,
        session: Session,
        block: str,
        task: Task,
        *,
        line: str = "",
        sheet: Sheet | None = None,
    ) -> None:
        super().__init__(session, task, sheet)
        self.block = block
        self._begin = line
        self._typed_on = ""
        """The line the digits in the field were typed on."""
        self._short: Line | None = None
        """The line just recorded, while it is short of the plan and `y` would finish it."""

    def body(self) -> ComposeResult:
        yield Static(classes="head", id="walk")
        with Vertical():
            with Horizontal():
                yield LineList()
                yield Entries(id="entries")
            yield Card(id="card")
        yield CountField()
        yield Static(id="message")

    def on_mount(self) -> None:
        session, sheet = self.session, self.sheet
        self._before = session.who
        if sheet is not None and session.season.plan.person(sheet.who) is not None:
            session.who = sheet.who  # what stands on the paper is theirs
        self.redraw()
        self.walk.stand_at(self._begin)
        self.walk.focus()
        if sheet is not None:
            self.say(another_day(sheet, session.today))

    def on_unmount(self) -> None:
        if self.sheet is not None and self.session.who == self.sheet.who:
            self.session.who = self._before

    @property
    def walk(self) -> LineList:
        return self.query_one(LineList)

    @property
    def field(self) -> CountField:
        return self.query_one(CountField)

    # --- what is shown ---

    def redraw(self) -> None:
        super().redraw()
        session = self.session
        self.job = session.season.plan.task(self.job.key) or self.job
        self.walk.show(self._lines())
        self._show_line()

    def _lines(self) -> list[RoundLine]:
        """The lines of the block, or those of the sheet in its order."""
        gauges = self.session.gauges() if self.reads_gauges else None
        units = self.session.laptop.units
        lines = round_lines(self.session.season, self.block, self.job, gauges=gauges, units=units)
        if self.sheet is None:
            return lines
        named = {shown.line.line: shown for shown in lines}
        return [named[name] for name in self.sheet.lines if name in named]

    @property
    def block_here(self) -> str:
        return self.block

    def on_resize(self) -> None:
        super().on_resize()
        self.call_after_refresh(self._show_line)

    def on_rows_moved(self, event: Rows.Moved) -> None:
        event.stop()
        self.doubted = False
        names = [shown.line.line for shown in self.walk.items]
        if self.just is not None and self.just.line not in names[: self.walk.cursor + 1][-2:]:
            self.just = None  # somebody went on to another line than the next
        self._show_line()

    @property
    def _here(self) -> str:
        """What the current line is called."""
        return "" if self.walk.current is None else self.walk.current.line.line

    def _drop_typed(self, why: str = "") -> None:
        """A count that was typed for another line, or in another unit, is not recorded."""
        if typed := self.field.typed:
            said = why or _("{count} was not recorded: the line changed")
            self.say(said.format(count=typed))
            self.field.clear_typed()

    def _show_line(self) -> None:
        # Digits typed ahead, after Enter and before the screen is here, are meant for this line.
        if self._typed_on != self._here:
            self._drop_typed()
        self.query_one("#walk", Static).update(self._head())
        current, card, entries = self.walk.current, self.query_one(Card), self.query_one(Entries)
        session = self.session
        gauge, unit = self._gauge(None if current is None else current.line)
        if self.field.unit not in ("", unit):
            self._drop_typed(_("{count} was not recorded: the unit changed"))
        self.field.show(session.who, session.day, session.today, gauge=gauge, unit=unit)
        if current is None:
            card.update(Content(f" {self._no_lines}"))
            entries.update("")
        else:
            facts = line_card(
                session.season,
                current.line,
                self.job,
                items=session.items(),
                who=session.who,
                gauges=session.gauges() if self.reads_gauges else None,
                units=session.laptop.units,
            )
            around = ROWS_AROUND + LIST_LEAST + self.alarm_rows
            card.show(facts, self.job, session.laptop.units, rows=self.size.height - around)
            entries.show(facts)

    def _gauge(self, line: Line | None) -> tuple[str, str]:
        """Which gauge is read where no count is typed, and in which unit."""
        if not self.reads_gauges:
            return "", ""
        pair = line is not None and line.layout == "pair"
        unit = "kPa" if self.session.laptop.units == "metric" else "inHg"
        return _("Far end, wet pipe") if pair else _("Far end"), unit

    @property
    def _no_lines(self) -> str:
        return _("{block} has no lines in the plan: import a table that lists them.").format(
            block=self.block
        )

    def _head(self) -> Content:
        lines = len(self.walk.items)
        at = _("line {n} of {all}").format(n=min(self.walk.cursor + 1, lines), all=lines)
        tally = self.session.season.ledger.cell(self.job, self.block).tally
        where = f" {self.block} / {self.job.title}"
        if self.sheet is not None:
            keyed = settle_of(self.session.season.ledger, self.sheet) is not None
            where += "   " + sheet_words(self.sheet, keyed=keyed)
        told = cut(f"   {at}   {count_words(tally, self.job)}", self.size.width - cell_len(where))
        return Content.assemble((where, "bold $foreground"), told)

    def say(self, text: str, *, wrong: bool = False) -> None:
        """One line on what is now on disk, or why it is not; it stays until the next."""
        said = Content.styled(f"! {text}", "$error") if wrong else Content(text)
        self.said_of = ""
        self.query_one("#message", Static).update(said)

    def forget(self) -> None:
        """Take back what was said, and with it what its keys would do."""
        self._short = self.just = None
        super().forget()

    def refuse(self, error: BookError, hint: str = "") -> None:
        """Say what is wrong, and what to do about it."""
        message = one_line(error.message)
        room = self.size.width - len(" ! ")
        said = within(message, room, MESSAGE_ROWS, after=one_line(hint or error.hint))
        self.say(said, wrong=True)

    @property
    def line_here(self) -> Line | None:
        """The current line; says so where the block has none."""
        if self.walk.current is None:
            self.say(self._no_lines, wrong=True)
            return None
        return self.walk.current.line

    def may_leave(self) -> bool:
        """Escape takes back digits before it leaves."""
        if not self.field.typed:
            return True
        self.field.clear_typed()
        return False

    # --- keying a count ---

    def action_type(self, character: str) -> None:
        if self.line_here is None:
            return
        if not self.field.typed:
            self._typed_on = self._here
        self.field.press(character)

    async def action_record(self) -> None:
        await self._record(really=False)

    async def action_really(self) -> None:
        if self.field.typed:
            await self._record(really=True)

    async def _record(self, *, really: bool) -> None:
        line = self.line_here
        if line is None:
            return
        if self.field.typed:
            await self.as_somebody(lambda: self._count(line, really=really))
        elif self.doubted:
            await self.action_keyed()
        else:
            self.walk.cursor += 1

    async def _count(self, line: Line, *, really: bool) -> None:
        """Record the count typed, and go to the next line; what is refused stays in the field."""
        field = self.field
        session = self.session
        try:
            if self.reads_gauges:
                entry, *_count = session.read_far_end(
                    line, self.job, field.vacuum, field.hours, really=really
                )
            else:
                entry = session.count(line, self.job, field.count, field.hours, really=really)
        except Doubtful as doubt:
            field.kept = True
            self.refuse(
                doubt, _("Press ! if it is right, Backspace to change it; u strikes the last.")
            )
        except BookError as error:
            field.kept = True
            self.refuse(error)
        else:
            field.clear_typed()
            self.tell(entry)
            self.walk.cursor += 1

    def tell(self, entry: AnyEntry) -> None:
        """Show the new state, and say on one line what is on disk, and whether it matches."""
        self.redraw()
        self._short = self.just = None
        self.doubted = False
        line = getattr(entry, "line", "")
        shown = next((s for s in self.walk.items if s.line.line == line), None)
        said, then = saved(entry, self.session.season.ledger), []
        if isinstance(entry, Reading) and (hangs := self.hangs([entry])):
            then.append(hangs)
        counted = isinstance(entry, Count) or (isinstance(entry, Reading) and self.reads_gauges)
        if counted and shown is not None:
            if shown.cell.standing is Standing.DONE:
                said += f" {MARKS[Standing.DONE]} {standing_word(Standing.DONE)}"
            elif shown.cell.tally.left and shown.cell.tally.done:
                self._short = shown.line
                then.append(_("y: finish it short"))
        if step := self.next_step(entry):
            then.append(step)
        if (off := self.off_after(entry)) and shown is not None:
            self.just = shown.line
            then.append(off)
        self.say_then(said, "   ".join(then))
        self.said_of = entry.id

    def say_then(self, said: str, then: str) -> None:
        self.say(within(said, self.size.width - 1, MESSAGE_ROWS, after=f"  {then}" if then else ""))

    async def _write(self, write: Callable[[], AnyEntry]) -> None:
        """Record something; say what is on disk, or what is wrong."""
        try:
            self.tell(write())
        except BookError as error:
            self.refuse(error)

    # --- one key each ---

    async def action_finish(self) -> None:
        if (line := self.line_here) is not None and not self._typed_first():
            await self._finish(line)

    def _typed_first(self) -> bool:
        """Say that a count stands in the field, if one does: it belongs to what comes after."""
        if typed := self.field.typed:
            self.say(_("{count} is not recorded yet: Enter first").format(count=typed), wrong=True)
        return bool(self.field.typed)

    async def action_finish_last(self) -> None:
        if self._short is not None:
            await self._finish(self._short)

    async def _finish(self, line: Line) -> None:
        """Finish a line; ask why if it falls short of the plan."""
        ledger, finish = self.session.season.ledger, self.session.finish
        if isinstance(ledger.record(line.block, line.line, self.job.key).mark, Finish):
            self.say(_("{line} is finished already.").format(line=line.line))
            return
        tally = ledger.line_cell(line, self.job).tally
        if tally.left:
            title = _("{line}: {left:,} of {planned:,} not done. Why is it finished?").format(
                line=line.line, left=tally.left, planned=tally.planned
            )
        elif self.off_if_finished(line):
            both = both_words(ledger, line, self.job.key)
            title = _("{line}: {both}. Why is it finished?").format(line=line.line, both=both)
        else:
            await self.as_somebody(lambda: self._write(lambda: finish(line, self.job, "")))
            return
        await self.as_somebody(
            lambda: self.ask_words(title, lambda why: finish(line, self.job, why))
        )

    async def action_reopen(self) -> None:
        current = self.walk.current
        if (line := self.line_here) is None or current is None or self._typed_first():
            return
        if current.open:
            self.say(_("{line} is open already.").format(line=line.line))
        else:
            await self.as_somebody(lambda: self._write(lambda: self.session.reopen(line, self.job)))

    async def action_aside(self) -> None:
        if self._typed_first():
            return
        await self._ask_about(_("{line}: set aside. Why?"), self.session.set_aside)

    async def action_note(self) -> None:
        await self._ask_about(_("Note on {line}"), self.session.note)

    async def action_hazard(self) -> None:
        await self._ask_about(_("Hazard on {line}: what could hurt somebody?"), self.session.hazard)

    async def _ask_about(self, title: str, write: Callable[[Line, Task, str], AnyEntry]) -> None:
        """Ask for words about the current line and record them."""
        if (line := self.line_here) is not None:
            asked = title.format(line=line.line)
            await self.as_somebody(
                lambda: self.ask_words(asked, lambda text: write(line, self.job, text))
            )

    async def action_step(self) -> None:
        if (line := self.line_here) is None:
            return
        card = line_card(self.session.season, line, self.job)
        step = next((step for step, ticked in card.steps if not ticked), None)
        if step is None:
            self.say(_("Every step is ticked on this line; u takes back the last."))
        else:
            await self.as_somebody(
                lambda: self._write(lambda: self.session.tick(line, self.job, step))
            )

    async def action_strike(self) -> None:
        await self.strike_last()

    async def action_person(self) -> None:
        await self.ask_person()

    async def action_day(self) -> None:
        await self.ask_day()

    async def action_whence(self) -> None:
        if (line := self.line_here) is not None:
            told = line_whence(self.session.season, line, self.job, self.session.laptop.units)
            if self.reads_gauges:
                told = [*self.gauges_whence(line), *told]
            title = _("Where it comes from: {line}").format(line=line.line)
            await self.app.push_screen(WhencePage(title, told))

    async def action_trees(self) -> None:
        if (line := self.line_here) is None:
            return
        known = self.session.season.plan.trees(line.block, line.line)
        unit, title = "in", _("Trees along {line}: diameter in inches and how many")
        if self.session.laptop.units == "metric":
            unit, title = "cm", _("Trees along {line}: diameter in centimetres and how many")
        question = Ask(
            title.format(line=line.line),
            lambda text: self.session.trees(line, text),
            value=tally_words(known.classes, unit=unit) + " " if known else "",  # more follow
            hint=_("{form}; with their unit: 12in:40, 30cm:12, 38g:4 by girth in inches").format(
                form=FORM
            ),
            marked=False,
        )
        await self.app.push_screen(question, self.wrote)

    async def action_logbook(self) -> None:
        await self.app.push_screen(Logbook(self.session, find=self.block))

    def action_next_open(self) -> None:
        here, rows = self.walk.cursor, self.walk.open_lines
        self.walk.cursor = next((row for row in rows if row > here), rows[0] if rows else here)

    def action_previous_block(self) -> None:
        self._change_block(-1)

    def action_next_block(self) -> None:
        self._change_block(1)

    def _change_block(self, step: int) -> None:
        if self.sheet is not None:
            said = _("Sheet {n} is of {block} alone; Esc leaves it.")
            self.say(said.format(n=self.sheet.sheet, block=self.block))
            return
        blocks = self.session.season.plan.blocks
        if not blocks:
            return
        # The block may have been struck from the plan meanwhile.
        here = blocks.index(self.block) if self.block in blocks else -1
        self.block = blocks[(here + step) % len(blocks)]
        self._drop_typed()
        self._short = self.just = None
        self.redraw()
        self.walk.stand_at("")
        self._show_line()
