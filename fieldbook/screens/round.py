"""Round: one block and one task, line by line. Type digits, Enter: on disk, next line."""

from collections.abc import Callable
from datetime import date
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.content import Content
from textual.widgets import Static

from fieldbook.book.entry import AnyEntry, Count, Line, Task
from fieldbook.errors import BookError, Doubtful
from fieldbook.i18n import _
from fieldbook.reports.round import line_card, round_lines
from fieldbook.reports.words import MARKS, count_words, one_line, saved, standing_word, told
from fieldbook.screens.dialogs import Ask, Choose, some_text
from fieldbook.screens.logbook import Logbook
from fieldbook.screens.screen import BookScreen, bindings
from fieldbook.screens.session import Session
from fieldbook.screens.widgets.card import Card, Entries
from fieldbook.screens.widgets.count import CountField
from fieldbook.screens.widgets.lines import LineList
from fieldbook.screens.widgets.rows import Rows
from fieldbook.season.ledger import Standing

# Bindings rather than key events, so that digits typed fast never arrive after the Enter.
TYPING: list[BindingType] = [
    *(Binding(digit, f"type('{digit}')", show=False) for digit in "0123456789"),
    Binding("space", "type(' ')", show=False),
    Binding("full_stop,comma", "type('.')", show=False),
    Binding("backspace", "type('')", show=False),
]


class Round(BookScreen):
    """The lines in walking order, the card of the current line, and the count being typed.

    Args:
        session: What all screens share.
        block: The block walked.
        task: The task done.
        line: The line to begin at; else the first that is open.
    """

    NAME = "round"
    CSS_PATH = "round.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings("round"), *TYPING]

    def __init__(self, session: Session, block: str, task: Task, *, line: str = "") -> None:
        super().__init__(session)
        self.block = block
        self.job = task  # a Textual screen has a `task` of its own
        self._begin = line
        self._typed_at = 0
        """The row the digits in the field were typed on."""
        self._short: Line | None = None
        """The line just recorded, while it is short of the plan and `y` would finish it."""

    def body(self) -> ComposeResult:
        yield Static(classes="head", id="walk")
        with Horizontal():
            yield LineList()
            yield Entries(id="entries")
        yield Card(id="card")
        yield CountField()
        yield Static(id="message")

    def on_mount(self) -> None:
        super().on_mount()
        self.walk.stand_at(self._begin)
        self.walk.focus()

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
        self.walk.show(round_lines(session.season, self.block, self.job))
        self.field.show(session.who, session.day, session.today)
        self._show_line()

    def on_rows_moved(self, event: Rows.Moved) -> None:
        event.stop()
        # Digits typed ahead, after Enter and before this message, are meant for the new line.
        if self._typed_at != self.walk.cursor:
            self._drop_typed()
        self._show_line()

    def _drop_typed(self) -> None:
        """A count that was typed for another line is not recorded on this one."""
        if typed := self.field.typed:
            self._say(_("{count} was not recorded: the line changed").format(count=typed))
            self.field.clear_typed()

    def _show_line(self) -> None:
        self.query_one("#walk", Static).update(self._head())
        current = self.walk.current
        if current is not None:
            card = line_card(self.session.season, current.line, self.job)
            self.query_one(Card).show(card, self.job, self.session.laptop.units)
            self.query_one(Entries).show(card)

    def _head(self) -> Content:
        lines = len(self.walk.items)
        at = _("line {n} of {all}").format(n=min(self.walk.cursor + 1, lines), all=lines)
        tally = self.session.season.ledger.cell(self.job, self.block).tally
        where = f" {self.block} / {self.job.title}"
        return Content.assemble(
            (where, "bold $foreground"), f"   {at}   {count_words(tally, self.job)}"
        )

    def _say(self, text: str, *, wrong: bool = False) -> None:
        """One line on what is now on disk, or why it is not; nothing that must be dismissed."""
        said = Content.styled(f" ! {text}", "$error") if wrong else Content(f" {text}")
        self.query_one("#message", Static).update(said)

    def may_leave(self) -> bool:
        """Escape takes back digits before it leaves."""
        if not self.field.typed:
            return True
        self.field.clear_typed()
        return False

    # --- keying a count ---

    def action_type(self, character: str) -> None:
        if not self.field.typed:
            self._typed_at = self.walk.cursor
        self.field.press(character)

    def action_record(self) -> None:
        self._record(really=False)

    def action_really(self) -> None:
        if self.field.typed:
            self._record(really=True)

    def _record(self, *, really: bool) -> None:
        current, field = self.walk.current, self.field
        if current is None:
            return
        if not field.typed:
            self.walk.cursor += 1
            return
        if not self.session.who:
            self._ask_person(then=lambda: self._record(really=really))
            return
        count = (field.count, field.hours)
        try:
            entry = self.session.count(current.line, self.job, *count, really=really)
        except Doubtful as doubt:
            words = _("{what} Press ! if it is right, Backspace to change it.")
            self._say(words.format(what=doubt.message), wrong=True)
        except BookError as error:
            self._say(one_line(str(error)), wrong=True)
        else:
            field.clear_typed()
            self._tell(entry)
            self.walk.cursor += 1

    def _tell(self, entry: AnyEntry) -> None:
        """Show the new state, and say on one line what is on disk."""
        self.redraw()
        said = saved(entry, self.session.season.ledger)
        self._short = None
        if isinstance(entry, Count):
            shown = next(s for s in self.walk.items if s.line.line == entry.line)
            if shown.cell.standing is Standing.DONE:
                said += f" {MARKS[Standing.DONE]} {standing_word(Standing.DONE)}"
            elif shown.cell.tally.left and shown.cell.tally.done:
                self._short = shown.line
                said += "  " + _("y: finish it short")
        self._say(said)

    def _write(self, write: Callable[[], AnyEntry]) -> None:
        """Record something; say what is on disk, or what is wrong."""
        try:
            self._tell(write())
        except BookError as error:
            self._say(one_line(str(error)), wrong=True)

    def _work(self, write: Callable[[], AnyEntry]) -> None:
        """Record something that is somebody's work; ask whose if nobody has said."""
        if self.session.who:
            self._write(write)
        else:
            self._ask_person(then=lambda: self._write(write))

    def _ask(self, title: str, then: Callable[[str], None], *, value: str = "") -> None:
        """Ask for some words and go on with them; Escape leaves it at that."""

        def take(text: str | None) -> None:
            if text is not None:
                then(text)

        self.app.push_screen(Ask(title, some_text(_("The text")), value=value), take)

    # --- one key each ---

    def action_finish(self) -> None:
        if self.walk.current is not None:
            self._finish(self.walk.current.line)

    def action_finish_last(self) -> None:
        if self._short is not None:
            self._finish(self._short)

    def _finish(self, line: Line) -> None:
        """Finish a line; ask why if it falls short of the plan."""
        tally = self.session.season.ledger.line_cell(line, self.job).tally
        if not tally.left:
            self._work(lambda: self.session.finish(line, self.job, ""))
            return
        title = _("{line}: {left:,} of {planned:,} not done. Why is it finished?").format(
            line=line.line, left=tally.left, planned=tally.planned
        )
        self._ask(title, lambda why: self._work(lambda: self.session.finish(line, self.job, why)))

    def action_reopen(self) -> None:
        current = self.walk.current
        if current is not None:
            self._work(lambda: self.session.reopen(current.line, self.job))

    def action_aside(self) -> None:
        self._ask_about(_("{line}: set aside. Why?"), self.session.set_aside)

    def action_note(self) -> None:
        self._ask_about(_("Note on {line}"), self.session.note)

    def action_hazard(self) -> None:
        self._ask_about(_("Hazard on {line}: what could hurt somebody?"), self.session.hazard)

    def _ask_about(self, title: str, write: Callable[[Line, Task, str], AnyEntry]) -> None:
        """Ask for words about the current line and record them."""
        current = self.walk.current
        if current is not None:
            line = current.line
            self._ask(
                title.format(line=line.line),
                lambda text: self._work(lambda: write(line, self.job, text)),
            )

    def action_step(self) -> None:
        current = self.walk.current
        if current is None:
            return
        card = line_card(self.session.season, current.line, self.job)
        step = next((step for step, ticked in card.steps if not ticked), None)
        if step is None:
            self._say(_("Every step is ticked on this line; u takes back the last."))
        else:
            self._work(lambda: self.session.tick(current.line, self.job, step))

    def action_strike(self) -> None:
        season = self.session.season
        last = season.last_keyed(self.session.name)
        if last is None:
            nothing = _("{name} has keyed nothing here that stands.")
            self._say(nothing.format(name=self.session.name))
            return
        title = _("Strike {id}: {what}. Why is it wrong?").format(
            id=last.id, what=told(last, season.plan)
        )
        reason = _("slip of the finger")
        self._ask(
            title,
            lambda why: self._write(lambda: self.session.strike(last.id, why)),
            value=reason,
        )

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

        def take(day: date | None) -> None:
            if day is not None:
                session.day = day
                self.redraw()

        self.app.push_screen(
            Ask(
                _("On which day was the work done?"),
                session.past_day,
                value=session.day.isoformat(),
                hint=_("2027-02-09, 9 Feb, today, yesterday, mon"),
            ),
            take,
        )

    def action_logbook(self) -> None:
        self.app.push_screen(Logbook(self.session, find=self.block))

    def action_next_open(self) -> None:
        here, rows = self.walk.cursor, self.walk.open_lines
        self.walk.cursor = next((row for row in rows if row > here), rows[0] if rows else here)

    def action_previous_block(self) -> None:
        self._change_block(-1)

    def action_next_block(self) -> None:
        self._change_block(1)

    def _change_block(self, step: int) -> None:
        blocks = self.session.season.plan.blocks
        if not blocks:
            return
        # The block may have been struck from the plan meanwhile.
        here = blocks.index(self.block) if self.block in blocks else -1
        self.block = blocks[(here + step) % len(blocks)]
        self._drop_typed()
        self._short = None
        self.redraw()
        self.walk.stand_at("")
        self._show_line()
