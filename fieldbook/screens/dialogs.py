"""Small questions: a line of text, a choice of names, the keys, a page to read."""

from collections.abc import Callable, Sequence
from typing import ClassVar, Generic, TypeVar

from rich.console import RenderableType
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from fieldbook.book.entry import clean
from fieldbook.errors import BookError, Doubtful
from fieldbook.i18n import _
from fieldbook.reports.whence import Whence
from fieldbook.reports.words import one_line
from fieldbook.screens.actions import actions_of, keys_in_force, spoken
from fieldbook.screens.widgets.field import Field
from fieldbook.screens.widgets.rows import within

T = TypeVar("T")

REFUSAL_ROWS = 4
"""Rows of a question that say why an answer was not taken."""

QUOTED = 200
"""Cells of an entry that stand in a question about it: the field must have room too."""


class Dialog(ModalScreen[T], Generic[T]):
    """A question over the screen; Escape leaves it unanswered."""

    CSS_PATH = "dialogs.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss", show=False, priority=True)
    ]


class Question(Dialog[T]):
    """A question with a field; what was typed stays in it until the answer was taken.

    Args:
        title: The question.
        take: Makes something of the answer, or writes it down; what it raises is shown, and the
            question stays.
    """

    BINDINGS: ClassVar[list[BindingType]] = [Binding("enter", "answer", show=False, priority=True)]

    def __init__(self, title: str, take: Callable[[str], T]) -> None:
        super().__init__()
        self._title = title
        self._take = take

    def on_mount(self) -> None:
        self.set_focus(self.field)  # at once: the next key is for it

    @property
    def field(self) -> Field:
        return self.query_one(Field)

    async def action_answer(self) -> None:
        self.answer(await self.field.take_in())

    def answer(self, text: str) -> None:
        try:
            taken = self._take(text)
        except BookError as error:
            hint = self.query_one("#hint", Static)
            why = within(
                one_line(error.message), hint.size.width - 2, REFUSAL_ROWS, after=error.hint
            )
            hint.update(Content.styled(f"! {why}", "$error"))
        else:
            self.dismiss(taken)


class Ask(Question[T]):
    """Asks for one line of text.

    Args:
        title: The question.
        take: As in `Question`.
        value: What stands in the field at first.
        hint: A line under the field.
        marked: What stands in the field gives way to the first key.
    """

    def __init__(
        self,
        title: str,
        take: Callable[[str], T],
        *,
        value: str = "",
        hint: str = "",
        marked: bool = True,
    ) -> None:
        super().__init__(title, take)
        self._value = value
        self._marked = marked
        self._hint = hint

    def compose(self) -> ComposeResult:
        with Vertical(id="dialog"):
            yield Static(Content(self._title), id="title")
            yield Field(self._value, select_on_focus=self._marked, max_length=65_536)
            yield Static(Content(self._hint), id="hint")


def some_text(what: str, take: Callable[[str], T]) -> Callable[[str], T]:
    """For `Ask`: any text but none."""

    def read(text: str) -> T:
        if not text.strip():
            raise BookError(_("{what} cannot be empty.").format(what=what))
        return take(text)

    return read


def twice(take: Callable[[str, bool], T]) -> Callable[[str], T]:
    """For `Ask`: what looks like a slip is taken when the same is answered a second time.

    Args:
        take: Makes something of the answer; and whether it was answered before.
    """
    doubted: list[str] = []

    def read(text: str) -> T:
        try:
            return take(text, text in doubted)
        except Doubtful as doubt:
            doubted[:] = [text]
            raise BookError(doubt.message, _("Enter again if it is right.")) from None

    return read


class Choose(Question[T]):
    """Asks for one of several names: type the beginning, Enter takes the one marked.

    Args:
        title: The question.
        names: What can be chosen; shown as they are, never read as markup.
        take: As in `Question`, of the name.
        new: Also take a name that is not among them, when Enter is pressed a second time: a slip
            of the finger is no new name. This says what is done with it.
        at: The name that is marked at first.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("down", "move(1)", show=False, priority=True),
        Binding("up", "move(-1)", show=False, priority=True),
    ]

    def __init__(
        self,
        title: str,
        names: Sequence[str],
        take: Callable[[str], T],
        *,
        new: str = "",
        at: str = "",
    ) -> None:
        super().__init__(title, take)
        self._names = names
        self._new = new
        self._at = at
        self._doubted = ""
        """The new name that is taken when it is answered once more."""
        self._words = ""
        self._shown: list[str] = []
        self._prompts: list[str] = []

    def compose(self) -> ComposeResult:
        with Vertical(id="dialog"):
            yield Static(Content(self._title), id="title")
            yield Field()
            yield OptionList(markup=False, compact=True)
            yield Static(Content(self._how), id="hint")

    @property
    def _how(self) -> str:
        return _("Type the beginning; Enter takes the one marked >")

    def on_mount(self) -> None:
        self._show("")

    def on_input_changed(self, event: Input.Changed) -> None:
        self._find(event.value)

    def _find(self, words: str) -> None:
        if words != self._words:
            self._doubted = ""
            self.query_one("#hint", Static).update(Content(self._how))
            self._show(words)

    def _show(self, words: str) -> None:
        self._words = words
        wish = clean(words).casefold().split()
        self._shown = [n for n in self._names if all(w in n.casefold() for w in wish)]
        self._shown.sort(key=lambda n: not n.casefold().startswith(words.strip().casefold()))
        self._prompts = list(self._shown)
        typed = clean(words, one_line=True)
        if self._new and typed and typed not in self._shown:
            self._shown.append(typed)
            self._prompts.append(self._new.format(name=typed))
        options = self.query_one(OptionList)
        options.clear_options()
        options.add_options(Option(Content(f"  {prompt}")) for prompt in self._prompts)
        marked = self._shown.index(self._at) if not wish and self._at in self._shown else 0
        options.highlighted = marked if self._shown else None

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        """Mark the current name by more than its colour."""
        event.stop()
        options = self.query_one(OptionList)
        for i, prompt in enumerate(self._prompts):
            mark = ">" if i == options.highlighted else " "
            options.replace_option_prompt_at_index(i, Content(f"{mark} {prompt}"))

    async def action_move(self, rows: int) -> None:
        self._find(await self.field.take_in())
        options = self.query_one(OptionList)
        if options.highlighted is not None:
            options.highlighted = max(0, min(options.highlighted + rows, len(self._shown) - 1))

    async def action_answer(self) -> None:
        self._find(await self.field.take_in())
        at = self.query_one(OptionList).highlighted
        if at is not None:
            self.answer(self._shown[at])

    def answer(self, text: str) -> None:
        """Take a name; one that is new only when it is answered twice."""
        if text in self._names or text == self._doubted:
            super().answer(text)
            return
        self._doubted = text
        said = _("{name} is new here. Enter again: {what}").format(
            name=text, what=self._new.format(name=text)
        )
        room = max(20, self.query_one("#hint").size.width - len("! "))
        self.query_one("#hint", Static).update(
            Content.styled("! " + within(said, room, REFUSAL_ROWS), "$error")
        )

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.answer(self._shown[event.option_index])


class Page(Dialog[None]):
    """A page to read: scroll with the arrows, leave with Escape, Enter or the key of help.

    Args:
        title: The head of the page.
        content: What is on it.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter,q", "dismiss", show=False, priority=True),
        Binding("question_mark,f1", "dismiss", show=False, priority=True, id="help"),
    ]

    def __init__(self, title: str, content: RenderableType | Content) -> None:
        super().__init__()
        self._title = title
        self._content = content

    def compose(self) -> ComposeResult:
        with Vertical(id="page"):
            yield Static(Content(self._title), id="title")
            with VerticalScroll():
                yield from self.body()
            yield Static(Content(_("Arrows: scroll   Esc: back")), id="hint")

    def body(self) -> ComposeResult:
        """What is scrolled."""
        yield Static(self._content)


class WhencePage(Page):
    """Numbers, and under each where it comes from.

    Args:
        title: The head of the page.
        told: The numbers.
    """

    def __init__(self, title: str, told: Sequence[Whence]) -> None:
        super().__init__(title, "")
        self._told = told

    def body(self) -> ComposeResult:
        for head, lines in self._told:
            yield Static(Content.styled(head, "bold"))
            for line in lines:
                style = "$error" if line.startswith("!") else ""
                yield Static(Content.styled(line, style), classes="source")


def keys_page(screen: str, remapped: dict[str, str]) -> Page:
    """The keys of a screen and those that work everywhere, with the crew's own keys if any."""
    keys = keys_in_force(screen, remapped)
    lines = [
        f"  {spoken(keys[action.id]) or '-':<12} {_(action.about)}" for action in actions_of(screen)
    ]
    moves = [
        f"  {_('arrows'):<12} {_('Move; Page up, Page down, Home and End go further.')}",
        f"  {'Ctrl+P':<12} {_('Find any of these by its name.')}",
    ]
    if screen == "round":
        moves = [
            f"  {_('digits'):<12} {_('The count for the marked line.')}",
            f"  {_('80 4.5'):<12} {_('A count, a blank, and the hours it took.')}",
            f"  {_('24.5 0.5'):<12} {_('In a leak round: what the far end reads, and the hours.')}",
            *moves,
        ]
    if screen == "handoff":
        letters = _("Go into the field; what they do elsewhere is found with Ctrl+P.")
        moves = [f"  {_('letters'):<12} {letters}", *moves]
    return Page(_("Keys"), Content("\n".join(moves + lines)))
