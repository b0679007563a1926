"""Round: one block and one task, line by line. Type digits, Enter: on disk, next line."""

import re
from collections.abc import Callable
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.events import Key
from textual.widgets import Static

from fieldbook.book.entry import AnyEntry, Count, Line, Task
from fieldbook.errors import BookError, Doubtful
from fieldbook.i18n import _, ngettext
from fieldbook.reports.words import (
    MARKS,
    count_words,
    describe,
    one_line,
    saved,
    signed,
    size,
    standing_word,
    told,
)
from fieldbook.screens.dialogs import Ask, Choose, some_text
from fieldbook.screens.logbook import Logbook
from fieldbook.screens.screen import BookScreen, bindings
from fieldbook.screens.session import Session
from fieldbook.screens.widgets.lines import LineList, LineRow
from fieldbook.screens.widgets.rows import Rows, cut
from fieldbook.season.dates import read_day, short_day
from fieldbook.season.ledger import Standing
from fieldbook.trade.drops import drop_age_years

TYPED = re.compile(r"\d{0,7}( (\d{0,3}(\.\d{0,2})?)?)?")
"""What may stand in the count field: a count, and after a blank the hours it took."""

HAZARDS_SHOWN = 2
"""Hazards that stand on a line's card; with more there the card says how many."""


class Round(BookScreen):
    """The lines in walking order, the card of the current line, and the count being typed.

    Args:
        session: What all screens share.
        block: The block walked.
        task: The task done.
        line: The line to begin at; else the first that is not done.
    """

    NAME = "round"
    CSS_PATH = "round.tcss"
    BINDINGS: ClassVar[list[BindingType]] = bindings("round")

    def __init__(self, session: Session, block: str, task: Task, *, line: str = "") -> None:
        super().__init__(session)
        self.block = block
        self.job = task  # a Textual screen has a `task` of its own
        self._begin = line
        self._typed = ""
        self._message = Content("")
        self._unfinished: Line | None = None
        """The line just recorded, while it is short of the plan and `y` would finish it."""

    def body(self) -> ComposeResult:
        yield Static(classes="head", id="walk")
        with Horizontal():
            yield LineList()
            yield Static(id="entries")
        with Vertical(id="card"):
            yield Static(id="facts")
            yield Static(id="cautions")
        yield Static(id="count")
        yield Static(id="message")

    def on_mount(self) -> None:
        super().on_mount()
        self._stand_at(self._begin)
        self.walk.focus()

    @property
    def walk(self) -> LineList:
        return self.query_one(LineList)

    @property
    def line(self) -> Line | None:
        """The current line."""
        rows = self.walk.rows
        return rows[self.walk.cursor].line if rows else None

    def _stand_at(self, name: str) -> None:
        """Put the cursor on a line, or on the first that is not done."""
        rows = self.walk.rows
        named = [i for i, row in enumerate(rows) if row.line.line == name]
        open_rows = [i for i, row in enumerate(rows) if _open(row)]
        self.walk.cursor = (named or open_rows or [0])[0]

    # --- what is shown ---

    def redraw(self) -> None:
        super().redraw()
        season = self.session.season
        lines = season.plan.walk.get(self.block, [])
        self.walk.show([self._row(line) for line in lines])
        self._show_line()

    def on_rows_moved(self, event: Rows.Moved) -> None:
        event.stop()
        if self._typed:
            self._say(_("{count} was not recorded: the line changed").format(count=self._typed))
            self._typed = ""
        self._show_line()

    def _row(self, line: Line) -> LineRow:
        ledger = self.session.season.ledger
        cell = ledger.line_cell(line, self.job)
        record = ledger.record(line.block, line.line, self.job.key)
        reason = one_line(getattr(record.mark, "reason", ""))
        last = record.last_count
        remark = ""
        if cell.standing is Standing.ASIDE and record.mark is not None:
            remark = _("set aside: {reason}").format(
                reason=signed(reason, record.mark.who, record.mark.day)
            )
        elif cell.tally.short:
            remark = _("{n:,} short: {reason}").format(n=cell.tally.short, reason=reason or "-")
        elif cell.tally.over:
            remark = _("{n:,} over the plan").format(n=cell.tally.over)
        elif last is not None:
            remark = f"{last.who}, {short_day(last.day)}"
        hazard = any(n.hazard and n.line for n in ledger.notes_on(line.block, line.line))
        if hazard:
            remark = _("hazard") + (f"; {remark}" if remark else "")
        return LineRow(line, cell, remark, look=hazard or bool(cell.tally.over))

    def _show_line(self) -> None:
        line = self.line
        self.query_one("#walk", Static).update(self._head())
        self.query_one("#cautions", Static).update(
            Content("\n".join(f" ! {caution}" for caution in self.job.cautions))
        )
        if line is not None:
            self.query_one("#facts", Static).update(self._facts(line))
            self.query_one("#entries", Static).update(self._entries(line))
        self._show_count()

    def _head(self) -> Content:
        rows = self.walk.rows
        where = _("line {n} of {all}").format(n=self.walk.cursor + 1 if rows else 0, all=len(rows))
        cell = self.session.season.ledger.cell(self.job, self.block)
        return Content.assemble(
            (f" {self.block} / {self.job.title}", "bold $foreground"),
            f"   {where}   ",
            count_words(cell.tally, self.job),
        )

    def _facts(self, line: Line) -> Content:
        """Planned, last season, done, left, steps and notes of a line."""
        season = self.session.season
        cell = season.ledger.line_cell(line, self.job)
        last = season.last_count(line, self.job)
        facts = [
            count_words(cell.tally, self.job),
            standing_word(cell.standing),
            _("last season {n}").format(n="-" if last is None else f"{last:,}"),
        ]
        age = drop_age_years(hung=line.drops_hung, season=season.year)
        hung = _("drops hung {year}").format(year=line.drops_hung or _("in an unknown year"))
        if age:
            hung += " " + _("({age} y)").format(age=age)
        lines = [
            Content.assemble(
                (f" {line.order} {line.line}", "bold $primary"),
                f"   {size(line, self.session.laptop.units)}   {hung}",
            ),
            Content(" " + "   ".join(facts)),
        ]
        ticked = season.ledger.record(line.block, line.line, self.job.key).ticked
        if self.job.steps:
            steps = [f"{'[x]' if ticked.get(s) else '[ ]'} {s}" for s in self.job.steps]
            lines.append(Content(" " + "   ".join(steps)))
        lines += self._notes(line)
        return Content("\n").join(lines)

    def _notes(self, line: Line) -> list[Content]:
        """What the card has room for: the newest hazards in full, the newest note on one row."""
        room = max(20, self.size.width - 4)
        notes = self.session.season.ledger.notes_on(line.block, line.line)
        hazards = [note for note in notes if note.hazard]
        newest = reversed(hazards[-HAZARDS_SHOWN:])
        words = [cut(signed(n.text, n.who or n.by, n.day), 2 * room) for n in newest]
        more = len(hazards) - HAZARDS_SHOWN
        if more > 0:
            said = ngettext("{n} more hazard: g reads it", "{n} more hazards: g reads them", more)
            words.append(said.format(n=more))
        shown = [Content.styled(f" ! {hazard}", "bold $error") for hazard in words]
        others = [signed(n.text, n.who or n.by, n.day) for n in notes if not n.hazard][-1:]
        others += [one_line(line.note)] if line.note else []
        return shown + [Content(f" - {cut(said, room)}") for said in others]

    def _entries(self, line: Line) -> Content:
        """What was recorded on the line in this task, newest last, where there is room for it."""
        season = self.session.season
        record = season.ledger.record(line.block, line.line, self.job.key)
        said = [
            f"{e.id}  {short_day(e.day)}  {e.who}: {describe(e, season.plan)}"
            for e in record.entries[-12:]
        ]
        return Content("\n".join(said or [_("Nothing recorded here yet.")]))

    def _show_count(self) -> None:
        session = self.session
        day = short_day(session.day)
        if session.day != session.today:
            day += " " + _("(not today)")
        count, _blank, hours = self._typed.partition(" ")
        self.query_one("#count", Static).update(
            Content.assemble(
                " " + _("Count for") + " ",
                (session.who or "?", "bold $primary"),
                f", {day}: ",
                (f"{count}_" if " " not in self._typed else count, "bold reverse"),
                (f"  {hours}_ h" if " " in self._typed else "", "bold"),
                "   " + _("Enter: record   p person   d day"),
            )
        )
        self.query_one("#message", Static).update(self._message)

    def _say(self, text: str, *, wrong: bool = False) -> None:
        """One line on what is now on disk, or why it is not; nothing that must be dismissed."""
        self._message = Content.styled(f" {'! ' if wrong else ''}{text}", "$error" if wrong else "")
        self._show_count()

    # --- typing a count ---

    def on_key(self, event: Key) -> None:
        typed = self._typed
        if event.key == "backspace":
            typed = typed[:-1]
        elif event.character and event.character in "0123456789 .,":
            typed += event.character.replace(",", ".")
        else:
            return
        event.stop()
        if TYPED.fullmatch(typed) and not typed.startswith(" "):
            self._typed = typed
            self._show_count()

    def action_record(self) -> None:
        self._record(really=False)

    def action_really(self) -> None:
        if self._typed:
            self._record(really=True)

    def _record(self, *, really: bool) -> None:
        line = self.line
        if line is None:
            return
        if not self._typed:
            self.walk.cursor += 1
            return
        if not self.session.who:
            self._ask_person(then=lambda: self._record(really=really))
            return
        count, _blank, hours = self._typed.partition(" ")
        took = float(hours) if hours.strip(".") else None
        try:
            entry = self.session.count(line, self.job, int(count), took, really=really)
        except Doubtful as doubt:
            words = _("{what} Press ! if it is right, Backspace to change it.")
            self._say(words.format(what=doubt.message), wrong=True)
            return
        except BookError as error:
            self._say(one_line(str(error)), wrong=True)
            return
        self._typed = ""
        self._tell(entry)
        self.walk.cursor += 1

    def _tell(self, entry: AnyEntry) -> None:
        """Show the new state, and say on one line what is on disk."""
        self.redraw()
        said = saved(entry, self.session.season.ledger)
        self._unfinished = None
        if isinstance(entry, Count):
            row = next(r for r in self.walk.rows if r.line.line == entry.line)
            if row.cell.standing is Standing.DONE:
                said += f" {MARKS[Standing.DONE]} {standing_word(Standing.DONE)}"
            elif row.cell.tally.done:
                self._unfinished = row.line
                said += "  " + _("y: finish it short")
        self._say(said)

    def _write(self, write: Callable[[], AnyEntry]) -> None:
        """Record something other than a count; say what is on disk, or what is wrong."""
        if not self.session.who:
            self._ask_person(then=lambda: self._write(write))
            return
        try:
            self._tell(write())
        except BookError as error:
            self._say(one_line(str(error)), wrong=True)

    # --- one key each ---

    def action_finish(self) -> None:
        if self.line is not None:
            self._finish(self.line)

    def action_finish_last(self) -> None:
        if self._unfinished is not None:
            self._finish(self._unfinished)

    def _finish(self, line: Line) -> None:
        """Finish a line; ask why if it falls short of the plan."""
        cell = self.session.season.ledger.line_cell(line, self.job)
        if not cell.tally.left:
            self._write(lambda: self.session.finish(line, self.job, ""))
            return
        title = _("{line}: {left:,} of {planned:,} not done. Why is it finished?").format(
            line=line.line, left=cell.tally.left, planned=cell.tally.planned
        )
        self._ask(title, lambda why: self.session.finish(line, self.job, why))

    def action_aside(self) -> None:
        line = self.line
        if line is not None:
            title = _("{line}: set aside. Why?").format(line=line.line)
            self._ask(title, lambda why: self.session.set_aside(line, self.job, why))

    def action_reopen(self) -> None:
        line = self.line
        if line is not None:
            self._write(lambda: self.session.reopen(line, self.job))

    def action_note(self) -> None:
        line = self.line
        if line is not None:
            title = _("Note on {line}").format(line=line.line)
            self._ask(title, lambda text: self.session.note(line, self.job, text))

    def action_hazard(self) -> None:
        line = self.line
        if line is not None:
            title = _("Hazard on {line}: what could hurt somebody?").format(line=line.line)
            self._ask(title, lambda text: self.session.note(line, self.job, text, hazard=True))

    def _ask(self, title: str, write: Callable[[str], AnyEntry]) -> None:
        """Ask for some words and record what they are for; Escape records nothing."""

        def take(text: str | None) -> None:
            if text is not None:
                self._write(lambda: write(text))

        self.app.push_screen(Ask(title, some_text(_("The text"))), take)

    def action_step(self) -> None:
        line = self.line
        if line is None:
            return
        record = self.session.season.ledger.record(line.block, line.line, self.job.key)
        left = [step for step in self.job.steps if not record.ticked.get(step)]
        if left:
            self._write(lambda: self.session.tick(line, self.job, left[0]))
        else:
            self._say(_("Every step is ticked on this line; u takes back the last."))

    def action_strike(self) -> None:
        season = self.session.season
        last = season.last_keyed(self.session.name)
        if last is None:
            self._say(
                _("{name} has keyed nothing here that stands.").format(name=self.session.name)
            )
            return
        title = _("Strike {id}: {what}. Why is it wrong?").format(
            id=last.id, what=told(last, season.plan)
        )

        def take(reason: str | None) -> None:
            if reason is not None:
                self._write(lambda: self.session.strike(last.id, reason))

        ask = Ask(title, some_text(_("The reason")), value=_("slip of the finger"))
        self.app.push_screen(ask, take)

    def action_person(self) -> None:
        self._ask_person(then=lambda: None)

    def _ask_person(self, then: Callable[[], None]) -> None:
        """Ask whose work is keyed in, put a new name on the crew, and go on."""
        session = self.session

        def take(name: str | None) -> None:
            if name is None:
                return
            try:
                if session.season.plan.person(name) is None:
                    self._say(saved(session.add_person(name), session.season.ledger))
            except BookError as error:
                self._say(one_line(str(error)), wrong=True)
                return
            session.who = name
            self.redraw()
            then()

        people = session.season.plan.people
        self.app.push_screen(
            Choose(_("Whose work is it?"), people, new=_("put {name} on the crew")), take
        )

    def action_day(self) -> None:
        session = self.session

        def take(text: str | None) -> None:
            if text is not None:
                session.day = read_day(text, today=session.today)
                self.redraw()

        def check(text: str) -> str:
            read_day(text, today=session.today)
            return text

        self.app.push_screen(
            Ask(
                _("On which day was the work done?"),
                check,
                value=session.day.isoformat(),
                hint=_("2027-02-09, 9 Feb, today, yesterday, mon"),
            ),
            take,
        )

    def action_logbook(self) -> None:
        self.app.push_screen(Logbook(self.session, find=self.block))

    def action_next_open(self) -> None:
        rows = self.walk.rows
        here = self.walk.cursor
        ahead = [*range(here + 1, len(rows)), *range(here)]
        self.walk.cursor = next((i for i in ahead if _open(rows[i])), here)

    def action_previous_block(self) -> None:
        self._change_block(-1)

    def action_next_block(self) -> None:
        self._change_block(1)

    def _change_block(self, step: int) -> None:
        blocks = self.session.season.plan.blocks
        self.block = blocks[(blocks.index(self.block) + step) % len(blocks)]
        self._typed = ""
        self._unfinished = None
        self.redraw()
        self._stand_at("")
        self._show_line()


def _open(row: LineRow) -> bool:
    return row.cell.standing in (Standing.NOT_BEGUN, Standing.UNDER_WAY)
