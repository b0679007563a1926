"""Taking a hand-off: item by item, what was told is read back; then it is the taker's."""

from typing import ClassVar

from msgspec import Struct
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container, Vertical, VerticalScroll
from textual.content import Content
from textual.widgets import Static

from fieldbook.book.entry import NAME_LENGTH, HandOff
from fieldbook.errors import BookError
from fieldbook.i18n import _, ngettext
from fieldbook.reports.handoff import page_title, parts, took_words
from fieldbook.reports.words import one_line
from fieldbook.screens.reading import Mark, Reading
from fieldbook.screens.screen import BookScreen, bindings
from fieldbook.screens.session import Session
from fieldbook.screens.widgets.field import Field
from fieldbook.screens.widgets.questions import AnswerField
from fieldbook.screens.widgets.rows import Piece, Rows, cut, fit, within
from fieldbook.season.readback import ToTake, both_values, question

MESSAGE_ROWS = 2

SAID_ROWS = 3
"""Rows that a message takes on the screens from which somebody comes here."""

NAMED = 30
"""Cells of an item that is named in a message."""

MARK_STYLES = {
    Mark.TO_DO: "plain",
    Mark.READ_BACK: "done",
    Mark.DIFFERS: "look",
    Mark.CLOSED: "quiet",
}


class Guided(BookScreen):
    """A screen that leads through a hand-off; its field has the focus all the time."""

    NAME = "handoff"
    CSS_PATH = "handoff.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("question_mark", "question_mark", show=False, priority=True),  # before help's own
        *bindings("handoff"),
        Binding("up", "move(-1)", show=False, priority=True),
        Binding("down", "move(1)", show=False, priority=True),
        Binding("pageup", "page(-1)", show=False, priority=True),
        Binding("pagedown", "page(1)", show=False, priority=True),
    ]

    async def action_question_mark(self) -> None:
        """Show the keys; in a field with words it is one more letter."""
        field = self.focused
        if isinstance(field, Field) and await field.take_in():
            field.insert_text_at_cursor("?")
        else:
            await self.run_action("app.help")

    def leave(self, text: str) -> None:
        """Go back to the screen before, and say there what is now on disk."""
        self.app.pop_screen()
        if isinstance(self.app.screen, BookScreen):
            self.app.screen.say(cut(text, SAID_ROWS * (self.app.size.width - 4)))


class Told(Struct, frozen=True):
    """A row of what is told.

    Attributes:
        mark: How far it is.
        front: Its number and weight.
        head: What it is.
        rest: Where and whose.
        item: The item; None for the words of the one going off.
    """

    mark: Mark
    front: str
    head: str
    rest: str = ""
    item: ToTake | None = None


class ToldList(Rows[Told], can_focus=False):
    """The words of the one going off, then item after item."""

    def key(self, item: Told) -> str:
        return "" if item.item is None else repr(item.item.about)

    def pieces(self, item: Told, *, here: bool) -> list[Piece]:
        style = MARK_STYLES[item.mark]
        front = f"{item.mark} {item.front} "
        room = max(0, self.room - 2 - len(front))
        words = room if not item.rest else max(room * 3 // 5, 24)
        return [
            (" >" if here else "  ", "way"),
            (front + fit(item.head, words), "cursor" if here else style),
            ("  " + fit(item.rest, max(0, room - words - 2)), "plain" if here else "quiet"),
        ]


class Taking(Guided):
    """What is told on one side, what must be said back on the other.

    Args:
        session: What all screens share.
        handoff: The hand-off.
        who: Who takes it.
    """

    def __init__(self, session: Session, handoff: HandOff, who: str) -> None:
        super().__init__(session)
        self.reading = Reading(session.season, handoff, who, session.now)
        self._typed: dict[str, str] = {}
        """What was typed on rows that were left before Enter."""
        self._warned = False

    def body(self) -> ComposeResult:
        yield Static(classes="head", id="taking")
        with Container(id="panes"):
            with Vertical(id="told-pane"):
                yield ToldList()
                with VerticalScroll(id="told-words", can_focus=False):
                    yield Static()
            with Vertical(id="back-pane"):
                yield Static(id="so-far")
                with Vertical(id="ask-pane"):
                    yield Static(id="asked-back")
                    yield AnswerField(max_length=NAME_LENGTH, select_on_focus=False)
                    yield Static(id="said")

    def on_mount(self) -> None:
        self.redraw()
        self.set_focus(self.field)

    @property
    def walk(self) -> ToldList:
        return self.query_one(ToldList)

    @property
    def field(self) -> Field:
        return self.query_one(Field)

    @property
    def _item(self) -> ToTake | None:
        """The current item; None on the words of the one going off."""
        return None if self.walk.current is None else self.walk.current.item

    # --- what is shown ---

    def redraw(self) -> None:
        super().redraw()
        self.reading.look(self.session.now)
        self.walk.show([self._first(), *map(self._row, self.reading.items)])
        self._show_item()
        if taker := self.reading.page.taken_by:
            self.say(_("{who} has taken it meanwhile: Esc leaves.").format(who=taker), wrong=True)

    def on_resize(self) -> None:
        super().on_resize()
        self.call_after_refresh(self._show_item)

    def _first(self) -> Told:
        mark = Mark.READ_BACK if self.reading.heard else Mark.TO_DO
        giver = self.reading.handoff.who
        said = _("{giver} says: how grave, done, left, hazards, what if").format(giver=giver)
        return Told(mark, " " * 6, said)

    def _row(self, item: ToTake) -> Told:
        words, mark = self.reading.words(item), self.reading.mark(item)
        front = f"{item.number:>3} {words.mark:<2}"
        new = _("new") + ": " if item.new else ""
        closed = _("closed since") + ": " if mark is Mark.CLOSED else ""
        return Told(mark, front, new + closed + words.head, words.where, item)

    def on_rows_moved(self, event: Rows.Moved) -> None:
        event.stop()
        self._show_item()

    def _show_item(self) -> None:
        reading, item = self.reading, self._item
        title = f" {page_title(reading.page)}"
        room = self.size.width - len(reading.told) - 4
        self.query_one("#taking", Static).update(
            Content.assemble((cut(title, room), "bold $foreground"), f"   {reading.told}")
        )
        self.set_class(item is None, "-words")
        words = self._words() if item is None else self._item_words(item)
        self.query_one("#told-words Static", Static).update(Content("\n").join(words))
        self.query_one("#told-words", VerticalScroll).scroll_home(animate=False)
        self.query_one("#asked-back", Static).update(self._asked(item))
        self.query_one("#so-far", Static).update(Content("\n").join(self._so_far()))

    def _words(self) -> list[Content]:
        """The words of the one going off, as on the page."""
        rows = []
        for title, lines in parts(self.reading.page, width=max(40, self.walk.room - 2)):
            rows += [Content.styled(f" {title}", "bold"), *(Content(line) for line in lines)]
        return rows

    def _item_words(self, item: ToTake) -> list[Content]:
        """An item in full."""
        words = self.reading.words(item)
        weight = f"{words.mark} " if words.mark else ""
        rest = [part for part in (words.where, words.state, words.news) if part]
        rows = [Content.styled(f" {weight}{words.head}", "bold"), Content(f" {'; '.join(rest)}")]
        says = one_line(item.passed.says) if item.passed else ""
        if says and says not in words.head:
            rows.append(Content(f" {says}"))
        if said := self.reading.said.get(item.about):
            rows.append(Content(" " + _("read back: {said}").format(said=said)))
        return rows

    def _asked(self, item: ToTake | None) -> Content:
        """What is asked of the one coming on, or that everything is read back."""
        reading, giver = self.reading, self.reading.handoff.who
        if reading.done:
            n = sum(found.item is not None for found in reading.items)
            form = ngettext(
                "Everything is read back. Enter: {who} takes {n} item from {giver}",
                "Everything is read back. Enter: {who} takes {n} items from {giver}",
                n,
            )
            words = form.format(who=reading.who, n=n, giver=giver)
            return Content.styled(f" {words}", "bold $primary")
        if item is None:
            words = _("{who}: Enter when you have read it; Page down reads on")
            return Content(" " + words.format(who=reading.who))
        if reading.mark(item) is Mark.CLOSED:
            return Content(" " + _("Nothing is asked: it was closed since. Enter goes on"))
        if not item.value:
            return Content(" " + _("Looking at it is enough. Enter goes on"))
        asked = _("Say back: {question}").format(question=question(item))
        return Content.styled(f" {asked}", "bold $primary")

    def _so_far(self) -> list[Content]:
        """What was said so far; only where there is room for it."""
        reading = self.reading
        rows = [Content.styled(" " + _("{who} says back").format(who=reading.who), "bold")]
        for item in reading.items:
            if item.about in reading.said and item.item is not None:
                said = reading.said[item.about] or _("looked at")
                mark = reading.mark(item)
                style = "$error" if mark is Mark.DIFFERS else ""
                rows.append(Content.styled(f" {mark} {item.number:>3}  {cut(said, 30)}", style))
        return rows

    def _refuse(self, error: BookError) -> None:
        wide = self.has_class("-wide")
        room = self.query_one("#back-pane").size.width - len(" ! ")
        message, rows = one_line(error.message), 3 * MESSAGE_ROWS if wide else MESSAGE_ROWS
        self.say(within(message, room, rows, after=one_line(error.hint)), wrong=True)

    # --- actions ---

    def may_leave(self) -> bool:
        """Escape takes back what is typed, then says that nothing is on disk, then leaves."""
        if self.field.value:
            self.field.value = ""
            return False
        if self.reading.begun and not self._warned:
            self._warned = True
            self.say(
                _("Nothing is taken and nothing is on disk yet. Esc leaves it so; Enter goes on."),
                wrong=True,
            )
            return False
        return True

    async def action_move(self, rows: int) -> None:
        await self._stand_at(self.walk.cursor + rows)

    async def _stand_at(self, row: int) -> None:
        """Go to another row; what is typed stays with the one it was typed on."""
        self._warned = False
        self.say("")
        told = self.walk
        typed = await self.field.take_in()
        if told.current is not None:
            self._typed[told.key(told.current)] = typed
        told.cursor = row
        if told.current is not None:
            self.field.value = self._typed.get(told.key(told.current), "")
            self.field.action_end()

    def action_page(self, pages: int) -> None:
        words = self.query_one("#told-words", VerticalScroll)
        words.scroll_relative(y=pages * max(1, words.size.height - 1), animate=False)

    async def action_answer(self) -> None:
        self._warned = False
        text = await self.field.take_in()
        if self.reading.done and not text.strip():
            self._take()
            return
        item = self._item
        try:
            if item is None:
                self.reading.heard = True
            elif item.item is not None:
                self.reading.say(item, text)
        except BookError as error:
            self._refuse(error)
            self.field.action_select_all()  # another word takes its place
            return
        self.field.value = ""
        self.redraw()
        await self._stand_at(self._next())

    def _next(self) -> int:
        """The next row where something is to do; the current one if there is none."""
        here, rows = self.walk.cursor, self.walk.items
        open_rows = [row for row, told in enumerate(rows) if told.mark is Mark.TO_DO]
        return next((row for row in open_rows if row > here), open_rows[0] if open_rows else here)

    def _take(self) -> None:
        """Record it, unless something came in while it was read."""
        self.redraw()
        reading = self.reading
        if not reading.done:
            self.say(_("Something came in or has changed since: look at it too."), wrong=True)
            self.walk.cursor = self._next()
            return
        differing = self._differing()  # as told and as said now, before it is taken
        try:
            taken = self.session.take_handoff(
                reading.handoff.id, reading.who, reading.said, really=bool(reading.differs)
            )
        except BookError as error:
            self._refuse(error)
            return
        took = took_words(taken, reading.handoff)
        self.leave(f"{took}; {differing}" if differing else took)

    def _differing(self) -> str:
        """What was read back otherwise than told: `1 read back differently: valve shut (...)`."""
        reading = self.reading
        named = [
            f"{cut(reading.words(item).head, NAMED)} ({both_values(item, said)})"
            for item in reading.items
            if reading.mark(item) is Mark.DIFFERS and (said := reading.said[item.about])
        ]
        if not named:
            return ""
        said = ngettext(
            "{n} read back differently: {items}", "{n} read back differently: {items}", len(named)
        )
        return said.format(n=len(named), items="; ".join(named))
