"""Hand-off: going off, somebody is led from question to question, then shown the whole page.

Every answer is filled in with what the book knows, so Enter is enough where it is right. What is
open is in it without being asked for, and nothing can be left out. Taking is in `taking`.
"""

from collections.abc import Collection, Iterable
from typing import TypeVar

from textual.app import App, ComposeResult
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.widgets import Static

from fieldbook.book.entry import HandOff
from fieldbook.errors import BookError
from fieldbook.i18n import _
from fieldbook.reports.handoff import WIDTH, handoff_page, page_lines, severity_words
from fieldbook.reports.open_items import MARKS, counted, head
from fieldbook.reports.words import one_line, saved
from fieldbook.screens.dialogs import Choose
from fieldbook.screens.screen import BookScreen
from fieldbook.screens.session import Session
from fieldbook.screens.taking import Guided, Taking
from fieldbook.screens.widgets.questions import (
    Choice,
    ChoiceQuestion,
    GuidedQuestion,
    TextQuestion,
)
from fieldbook.screens.widgets.rows import cut, indented, within
from fieldbook.season.handoff import Severity, find_handoff, refuse_taking
from fieldbook.season.woods import people_out, untaken

Q = TypeVar("Q", bound=GuidedQuestion)

MESSAGE_ROWS = 2

SEVERITIES: tuple[Severity, ...] = ("danger", "watch", "calm")

BETWEEN = "\n"
"""What parts the blocks of an answer: no name holds it."""


async def hand_off(app: App[None], session: Session, block: str = "") -> None:
    """Prepare a hand-off.

    Args:
        app: The app.
        session: What all screens share.
        block: The block that is offered first.
    """
    await app.push_screen(Handing(session, block))


async def take(app: App[None], session: Session, handoff_id: str = "") -> None:
    """Take a hand-off; asks which one if several wait, and who takes it.

    Args:
        app: The app.
        session: What all screens share.
        handoff_id: The hand-off, if it is known.
    """
    ledger = session.season.ledger
    waiting = untaken(ledger)
    if handoff_id or len(waiting) == 1:
        try:
            await _ask_taker(app, session, find_handoff(ledger, handoff_id))
        except BookError as error:
            _say(app, f"! {one_line(error.message)} {one_line(error.hint)}")
        return
    if not waiting:
        _say(app, _("No hand-off waits to be taken; h prepares one."))
        return
    named = {
        _("{who} to {to}: {blocks} ({id})").format(
            who=entry.who,
            to=entry.to or _("whoever comes on"),
            blocks=", ".join(entry.blocks),
            id=entry.id,
        ): entry
        for entry in reversed(waiting)
    }

    async def go_on(handoff: HandOff | None) -> None:
        if handoff is not None:
            await _ask_taker(app, session, handoff)

    await app.push_screen(
        Choose(_("Which hand-off is taken?"), list(named), named.__getitem__), go_on
    )


async def _ask_taker(app: App[None], session: Session, handoff: HandOff) -> None:
    """Ask who takes a hand-off: the one it is meant for first, never the one who gave it.

    Who is out in the woods cannot read it back here, and stands last.
    """
    crew, out = session.season.plan.people, people_out(session.season.ledger)
    might = [name for name in (handoff.to, session.by, *crew) if name in crew]
    names = sorted(
        dict.fromkeys(name for name in might if name != handoff.who), key=lambda name: name in out
    )

    def may_take(name: str) -> str:
        refuse_taking(session.season, handoff, name)
        return name

    async def go_on(who: str | None) -> None:
        if who is not None:
            await app.push_screen(Taking(session, handoff, who))

    if names:
        try:
            may_take(names[0])
        except BookError as error:
            _say(app, f"! {one_line(error.message)} {one_line(error.hint)}")
            return
        title = _("{giver} hands off. Who takes over?").format(giver=handoff.who)
        await app.push_screen(Choose(title, names, may_take), go_on)
    else:
        _say(app, _("! It takes a second person on the crew to take over."))


def _say(app: App[None], text: str) -> None:
    if isinstance(app.screen, BookScreen):
        app.screen.say(text)


class Handing(Guided):
    """Question after question, and at last the page as it will be recorded.

    Args:
        session: What all screens share.
        block: The block that is offered first.
    """

    def __init__(self, session: Session, block: str = "") -> None:
        super().__init__(session)
        self._block = block
        self._chosen: dict[str, str] = {}
        self._at = 0
        self._warned = False
        self._draft: HandOff | None = None
        """As it is shown."""

    def body(self) -> ComposeResult:
        yield Static(classes="head", id="asking")
        with Horizontal():
            with Vertical(id="questions"):
                yield Static(id="answers")
                which = _("Which blocks are handed off?")
                yield ChoiceQuestion("blocks", which, several=self._several_blocks)
                yield ChoiceQuestion("who", _("Who goes off?"))
                yield ChoiceQuestion("to", _("Who comes on?"))
                yield ChoiceQuestion("severity", _("How grave is it?"))
                edit = _("It is filled in: change it, or Enter if it is right.")
                yield TextQuestion("done", _("What was done?"), edit)
                yield TextQuestion("left", _("What is left, and where exactly?"), edit)
                known = _("What is a hazard in the book is in it already. Enter: nothing more.")
                yield TextQuestion("hazards", _("Other hazards?"), known)
                plan_b = _("What to do when it comes otherwise: thaw, wind, a breakdown.")
                yield TextQuestion("what_if", _("What if?"), plan_b)
            with VerticalScroll(id="page-so-far", can_focus=False):
                yield Static()
        yield Static(id="said")

    def on_mount(self) -> None:
        self._offer("blocks", self._block_choices())
        self._offer("who", self._people(self.session.by))
        self._go_to(0)

    @property
    def block_here(self) -> str:
        return self._blocks[0] if self._blocks else self._block

    @property
    def questions(self) -> list[GuidedQuestion]:
        return list(self.query(GuidedQuestion))

    @property
    def _reading(self) -> bool:
        """All is answered, and the page is shown."""
        return self._at >= len(self.questions)

    # --- what is asked ---

    def _block_choices(self) -> list[Choice]:
        """All blocks, or one of them; where the cursor was comes first."""
        session = self.session
        items, blocks = (
            session.items(),
            session.season.plan.blocks,
        )
        every = _("all {n} blocks: {told}").format(n=len(blocks), told=counted(items))
        choices = [Choice("", every)] + [
            Choice(block, f"{block}: {self._counted([block])}") for block in blocks
        ]
        return sorted(choices, key=lambda choice: choice.value != self._block)

    def _counted(self, blocks: Collection[str]) -> str:
        """How much is open in some blocks; what belongs to none goes with each hand-off."""
        return counted([i for i in self.session.items() if i.about.block in blocks])

    def _several_blocks(self, text: str) -> Choice:
        """Blocks that were typed with commas between them.

        Raises:
            BookError: No block or several are called like one of them.
        """
        plan = self.session.season.plan
        named = {plan.find_block(part) for part in text.split(",") if part.strip()}
        blocks = [block for block in plan.blocks if block in named]
        return Choice(BETWEEN.join(blocks), f"{', '.join(blocks)}: {self._counted(blocks)}")

    def _people(self, first: str, *, but: str = "") -> list[Choice]:
        """The crew, one of them first, another left out."""
        crew = [name for name in self.session.season.plan.people if name != but]
        return [Choice(name, name) for name in sorted(crew, key=lambda name: name != first)]

    def _offer(self, asked: str, choices: list[Choice]) -> None:
        self._question(asked, ChoiceQuestion).offer(choices)

    def _question(self, asked: str, kind: type[Q]) -> Q:
        return next(question for question in self.query(kind) if question.asked == asked)

    def _fill_in(self) -> None:
        """Have the questions to come filled in with what the book knows, as far as it is asked."""
        if "who" not in self._chosen:
            return
        giver = self._chosen["who"]
        nobody = Choice("", _("whoever comes on"))
        self._offer("to", [nobody, *self._people("", but=giver)])
        filled = self.session.prepare_handoff(who=giver, blocks=self._blocks)
        own = filled.severity
        self._offer(
            "severity",
            [
                Choice(grave, severity_words(grave))
                for grave in sorted(SEVERITIES, key=lambda grave: grave != own)
            ],
        )
        self._question("done", TextQuestion).fill(filled.done)
        self._question("left", TextQuestion).fill(filled.left)

    @property
    def _blocks(self) -> tuple[str, ...]:
        chosen = self._chosen.get("blocks", "")
        return tuple(chosen.split(BETWEEN)) if chosen else ()

    def _now(self) -> HandOff:
        """The hand-off as answered so far.

        Raises:
            BookError: There is no such block or person any more.
        """
        words: dict[str, str | None] = {}
        for question in self.query(TextQuestion):
            edited = question.changed or question.asked in ("hazards", "what_if")
            words[question.asked] = question.field.value if edited else None
        return self.session.prepare_handoff(
            who=self._chosen.get("who", ""),
            to=self._chosen.get("to", ""),
            blocks=self._blocks,
            severity=next((g for g in SEVERITIES if g == self._chosen.get("severity")), None),
            done=words["done"],
            left=words["left"],
            hazards=words["hazards"] or "",
            what_if=words["what_if"] or "",
        )

    # --- what is shown ---

    def redraw(self) -> None:
        """Show the questions as they are; the page that is read stays until Enter."""
        super().redraw()
        self._show_head()

    def on_resize(self) -> None:
        super().on_resize()
        self.call_after_refresh(self._show_page)

    def _go_to(self, at: int) -> None:
        """Ask another question, or show the page after the last."""
        self._at, self._warned = at, False
        questions = self.questions
        for number, question in enumerate(questions):
            question.display = number == at
        self.query_one("#questions").display = not self._reading
        self.set_class(self._reading, "-reading")
        if self._reading:
            self.set_focus(None)
        else:
            self.set_focus(questions[at].field)
        self.say("")
        self.redraw()
        self._draw_page()

    def _show_head(self) -> None:
        said = _("question {n} of {all}").format(n=self._at + 1, all=len(self.questions))
        said += "   " + (_("Esc: the one before") if self._at else _("Esc: leave"))
        if self._reading:
            said = _("Enter records it   arrows: scroll   Esc: the question before")
        where = " " + _("Hand off")
        self.query_one("#asking", Static).update(
            Content.assemble((where, "bold $foreground"), f"   {said}")
        )
        room = self.query_one("#questions").size.width - 1
        rows = [
            cut(f" {question.title:<34} {self._words(question)}", room)
            for question in self.questions[: self._at]
        ]
        answers = self.query_one("#answers", Static)
        answers.display = bool(rows)
        answers.update(Content("\n".join(rows)))

    def _words(self, question: GuidedQuestion) -> str:
        """What was answered, on one row."""
        if isinstance(question, ChoiceQuestion):
            chosen = self._chosen.get(question.asked, "")
            if question.asked == "severity" and chosen in SEVERITIES:
                return severity_words(chosen)
            said = ", ".join(chosen.split(BETWEEN))
            return said or {"blocks": _("all blocks"), "to": _("whoever comes on")}.get(
                question.asked, ""
            )
        return one_line(question.field.value) or "-"

    def _draw_page(self) -> None:
        """Draw the page as answered so far."""
        if "who" in self._chosen:
            try:
                self._draft = self._now()
            except BookError as error:
                self._refuse(error)
        self.call_after_refresh(self._show_page)

    def _show_page(self) -> None:
        shown = self.query_one("#page-so-far Static", Static)
        if self._draft is None:
            rows = (indented(row, max(20, shown.size.width)) for row in self._items_so_far())
            shown.update(Content("\n".join(rows)))
            return
        page = handoff_page(self.session.season, self._draft, self.session.now)
        lines = page_lines(page, width=max(40, min(WIDTH, shown.size.width)))
        shown.update(Content("\n".join(lines)))

    def _items_so_far(self) -> Iterable[str]:
        """What is open at all, before anybody has said who hands it off."""
        plan = self.session.season.plan
        for item in self.session.items():
            yield f"{MARKS[item.level]:<3}{head(item, plan)}"

    def _refuse(self, error: BookError) -> None:
        room = self.size.width - len(" ! ")
        message = one_line(error.message)
        self.say(within(message, room, MESSAGE_ROWS, after=one_line(error.hint)), wrong=True)

    # --- actions ---

    def may_leave(self) -> bool:
        """Escape goes back one question, and leaves from the first."""
        if self._at:
            self._go_to(self._at - 1)
            return False
        if self._warned or not any(question.changed for question in self.query(TextQuestion)):
            return True
        self._warned = True
        self.say(_("Nothing is recorded yet. Esc leaves it so; Enter goes on."), wrong=True)
        return False

    async def action_move(self, rows: int) -> None:
        if self._reading:
            page = self.query_one("#page-so-far", VerticalScroll)
            page.scroll_relative(y=rows, animate=False)
        else:
            await self.questions[self._at].move(rows)

    async def action_page(self, pages: int) -> None:
        page = self.query_one("#page-so-far", VerticalScroll)
        await self.action_move(
            pages * max(1, page.size.height - 1) if self._reading else pages * 10
        )

    async def action_answer(self) -> None:
        if self._reading:
            self._record()
            return
        question = self.questions[self._at]
        answer = await question.answer()
        if answer is None:
            self.say(self._nothing(question), wrong=True)
            return
        if isinstance(question, ChoiceQuestion):
            self._chosen[question.asked] = answer
        try:
            self._fill_in()
        except BookError as error:
            self._refuse(error)
        else:
            self._go_to(self._at + 1)

    def _nothing(self, question: GuidedQuestion) -> str:
        """Why a question has no answer."""
        if isinstance(question, ChoiceQuestion) and question.why:
            return question.why
        if question.field.value:
            return _("Nothing is called that: take back what was typed.")
        return _("Nobody is on the crew: put people in the plan first.")

    def _record(self) -> None:
        """Record what was read; what came in meanwhile is shown first."""
        try:
            now = self._now()
            if self._draft is None or now.items != self._draft.items:
                self._draft = now
                self._show_page()
                self.say(_("What is open has changed: look again, then Enter."), wrong=True)
                return
            entry = self.session.hand_off(now)
        except BookError as error:
            self._refuse(error)
            return
        self.leave(saved(entry, self.session.season.ledger))
