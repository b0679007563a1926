"""Open items: everything unfinished, worst first, and one key that closes each."""

from collections.abc import Sequence
from typing import ClassVar

from rich.cells import cell_len
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.content import Content
from textual.widgets import Static

from fieldbook.book.entry import AnyEntry, Sheet, Task
from fieldbook.i18n import _
from fieldbook.reports.items_whence import items_whence
from fieldbook.reports.open_items import MARKS, caution, counted, head, state, where
from fieldbook.reports.words import one_line, saved
from fieldbook.screens.closing import close_item
from fieldbook.screens.dialogs import Choose, WhencePage
from fieldbook.screens.handoff import hand_off, take
from fieldbook.screens.logbook import Logbook
from fieldbook.screens.round import Round
from fieldbook.screens.screen import BookScreen, bindings
from fieldbook.screens.session import Session
from fieldbook.screens.widgets.items import ItemList, closing_words
from fieldbook.screens.widgets.rows import Rows, cut, within
from fieldbook.season.items import Item, What

WORDS_ROWS = 3
"""Rows that the words of an item may take; g reads the rest."""

LEAKS = "leaks"
"""Key of the task in which leaks and valves are looked at, where the checklist has it."""


class Items(BookScreen):
    """What must not be forgotten.

    Args:
        session: What all screens share.
        closing: Show what stands in the way of closing the season.
    """

    NAME = "items"
    CSS_PATH = "items.tcss"
    BINDINGS: ClassVar[list[BindingType]] = bindings("items")

    def __init__(self, session: Session, *, closing: bool = False) -> None:
        super().__init__(session)
        self._to_closing = closing
        self._block = ""
        self._person = ""

    def body(self) -> ComposeResult:
        yield Static(classes="head", id="counted")
        yield ItemList()
        yield Static(id="item")
        yield Static(id="said")

    def on_mount(self) -> None:
        # What is closed here is closed by who is at the keyboard, whoever's work was keyed in.
        session = self.session
        self._before = session.who
        if session.by in session.season.plan.people:
            session.who = session.by
        self.redraw()
        self.list.focus()

    def on_unmount(self) -> None:
        self.session.who = self._before

    @property
    def list(self) -> ItemList:
        return self.query_one(ItemList)

    @property
    def block_here(self) -> str:
        item = self.list.current
        return "" if item is None else item.about.block

    # --- what is shown ---

    def redraw(self) -> None:
        super().redraw()
        session = self.session
        every = session.closing() if self._to_closing else session.items()
        shown = [item for item in every if self._wanted(item)]
        self.list.fill(shown, session.season.plan, session.now)
        self.query_one("#counted", Static).update(self._head(shown))
        self._show_item()

    def on_resize(self) -> None:
        super().on_resize()
        self.call_after_refresh(self._show_item)

    def _wanted(self, item: Item) -> bool:
        about = item.about
        return self._block in ("", about.block) and self._person in ("", item.owner, about.who)

    def _head(self, shown: Sequence[Item]) -> Content:
        title = " " + _("Open items")
        told = [
            _("in the way of closing: {n}").format(n=len(shown))
            if self._to_closing
            else counted(shown),
            self._block or _("all blocks"),
            self._person or _("everybody"),
            _("for {who}").format(who=self.session.who or "?"),
        ]
        room = self.size.width - cell_len(title)
        return Content.assemble((title, "bold $foreground"), cut("   " + "   ".join(told), room))

    def _show_item(self) -> None:
        item, shown = self.list.current, self.query_one("#item", Static)
        if item is None:
            shown.update(Content(self._nothing))
            return
        plan, now, room = self.session.season.plan, self.session.now, max(20, self.size.width - 3)
        title = f"{MARKS[item.level]} {head(item, plan)}".strip()
        facts = [where(item, plan), state(item, now), item.about.entry]
        lines = [
            Content.styled(within(title, room, WORDS_ROWS), "bold"),
            Content(within("; ".join(part for part in facts if part), room, WORDS_ROWS)),
        ]
        says = one_line(item.says)
        if says and says not in title:
            lines.append(Content(within(f"- {says}", room, WORDS_ROWS - 1)))
        lines.append(Content.styled(self._to_close(item), "$primary"))
        if item.what is What.OUT:
            lines.append(Content.styled(f"! {caution()}", "$quiet"))
        shown.update(Content("\n").join(lines))

    @property
    def _nothing(self) -> str:
        if self._block or self._person:
            return _("Nothing is open here: f shows everything.")
        return _("Nothing is open.")

    def _to_close(self, item: Item) -> str:
        keys = [closing_words(item)]
        if item.what is not What.OUT:
            keys.append(_("x write off"))
        return _("To close it: {keys}").format(keys="   ".join(keys))

    def on_rows_moved(self, event: Rows.Moved) -> None:
        event.stop()
        self._show_item()

    def wrote(self, entry: AnyEntry | None) -> None:
        """What became of the current item; when it is closed the cursor is on the next."""
        if entry is not None:
            self.settled(saved(entry, self.session.season.ledger))
            self.said_of = entry.id

    def settled(self, said: str) -> None:
        """Say what is on disk; the cursor stays on an item that is still open."""
        self.redraw()
        self.say(said)

    # --- actions ---

    async def action_go(self) -> None:
        item = self.list.current
        if item is None:
            return
        about, ledger = item.about, self.session.season.ledger
        if item.what is What.HANDOFF:
            await take(self.app, self.session, about.entry)
            return
        task = self._round_task(item)
        if not about.block or task is None:
            self.say(_("It is in no block: there is nowhere to go."))
            return
        sheet = ledger.entry(about.entry) if item.what is What.SHEET else None
        await self.app.push_screen(
            Round(
                self.session,
                about.block,
                task,
                line=about.line,
                sheet=sheet if isinstance(sheet, Sheet) else None,
            )
        )

    def _round_task(self, item: Item) -> Task | None:
        """The task in whose round an item is seen to."""
        plan = self.session.season.plan
        wishes = [plan.task(item.about.task)]
        if item.what in (What.LEAK, What.VALVE):
            wishes.append(plan.task(LEAKS))
        wishes += [plan.counting("taps"), *plan.tasks[:1]]
        return next((task for task in wishes if task is not None), None)

    async def action_close_it(self) -> None:
        if (item := self.list.current) is None:
            return
        if item.what in (What.UNFINISHED, What.AGE):
            await self.action_go()
        elif item.what is What.HANDOFF:
            await take(self.app, self.session, item.about.entry)
        else:
            await close_item(self, item)

    async def action_write_off(self) -> None:
        if (item := self.list.current) is None:
            return
        plan = self.session.season.plan
        what = "; ".join(part for part in (head(item, plan), where(item, plan)) if part)
        title = _("Write off: {what}. Why is nothing more done about it?").format(what=what)
        session = self.session
        await self.as_somebody(
            lambda: self.ask_words(title, lambda why: session.write_off(item, why))
        )

    async def action_hand_off(self) -> None:
        await hand_off(self.app, self.session, self._block or self.block_here)

    async def action_take(self) -> None:
        await take(self.app, self.session)

    async def action_filter(self) -> None:
        plan = self.session.season.plan
        wishes = {_("everything"): ("", "")}
        wishes |= {_("in {block}").format(block=block): (block, "") for block in plan.blocks}
        wishes |= {_("of {who}").format(who=who): ("", who) for who in plan.people}

        def taken(wish: tuple[str, str] | None) -> None:
            if wish is not None:
                self._block, self._person = wish
                self.list.cursor = 0
                self.redraw()

        question = Choose(_("Which open items?"), list(wishes), wishes.__getitem__)
        await self.app.push_screen(question, taken)

    async def action_strike(self) -> None:
        await self.strike_last()

    async def action_person(self) -> None:
        await self.ask_person()

    async def action_whence(self) -> None:
        told = items_whence(self.session.season, self.list.items)
        await self.app.push_screen(WhencePage(_("Where it comes from: open items"), told))

    async def action_logbook(self) -> None:
        item = self.list.current
        about = None if item is None else item.about
        find = "" if about is None else about.entry or about.line or about.block or about.who
        await self.app.push_screen(Logbook(self.session, find=find))
