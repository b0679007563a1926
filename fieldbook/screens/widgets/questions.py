"""Questions of a guided sequence: each keeps what stands in its field when one goes back to it."""

from collections.abc import Callable, Sequence

from msgspec import Struct
from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.widgets import Input, Static

from fieldbook.book.entry import clean
from fieldbook.errors import BookError
from fieldbook.i18n import _
from fieldbook.reports.words import one_line
from fieldbook.screens.widgets.field import Field
from fieldbook.screens.widgets.rows import Piece, Rows, fit


class AnswerField(Field):
    """A field that leaves `?` to its screen: in an empty one it asks for help."""

    def check_consume_key(self, key: str, character: str | None) -> bool:
        return key != "question_mark" and super().check_consume_key(key, character)


class Choice(Struct, frozen=True):
    """One of several answers.

    Attributes:
        value: What is taken.
        words: What is shown.
    """

    value: str
    words: str


class Choices(Rows[Choice], can_focus=False):
    """Answers to choose from, marked by the keys of the screen while its field has the focus."""

    def key(self, item: Choice) -> str:
        return item.value

    def pieces(self, item: Choice, *, here: bool) -> list[Piece]:
        mark = " > " if here else "   "
        return [(fit(mark + item.words, self.room), "way" if here else "plain")]


class GuidedQuestion(Vertical):
    """A question with a field.

    Args:
        name: What is asked for.
        title: The question.
        hint: How it is answered.
    """

    def __init__(self, name: str, title: str, hint: str) -> None:
        super().__init__(name=name, classes="question")
        self.title = title
        self._hint = hint

    def compose(self) -> ComposeResult:
        yield Static(Content(self.title), classes="asked")
        yield AnswerField(max_length=65_536, select_on_focus=False)
        yield from self.below()
        yield Static(Content(self._hint), classes="how")

    def below(self) -> ComposeResult:
        """What stands under the field."""
        raise NotImplementedError

    @property
    def field(self) -> Field:
        return self.query_one(Field)

    @property
    def asked(self) -> str:
        """What is asked for."""
        return self.name or ""

    async def answer(self) -> str | None:
        """The answer as it stands; None where nothing is marked."""
        raise NotImplementedError

    async def move(self, rows: int) -> None:
        """Go up or down in what stands under the field."""
        raise NotImplementedError


class TextQuestion(GuidedQuestion):
    """A question for words, filled in with what the book knows; it may be left empty."""

    def __init__(self, name: str, title: str, hint: str) -> None:
        super().__init__(name, title, hint)
        self._filled = self._text = ""

    def below(self) -> ComposeResult:
        with VerticalScroll(can_focus=False):
            yield Static(classes="filled")

    def fill(self, text: str) -> None:
        """Put in the field, on one row, what the book knows, unless something was typed there."""
        row, field = "; ".join(text.splitlines()), self.field
        if field.value == self._filled:
            field.value = row
        self._filled, self._text = row, text
        self._show(field.value)

    def on_input_changed(self, event: Input.Changed) -> None:
        event.stop()
        self._show(event.value)

    def _show(self, typed: str) -> None:
        """Show all of the words, as the field has room for their end only."""
        words = self._text if typed == self._filled else typed
        self.query_one(".filled", Static).update(Content(words))

    async def answer(self) -> str | None:
        return await self.field.take_in()

    @property
    def changed(self) -> bool:
        """Something else stands in the field than what was filled in."""
        return self.field.value != self._filled

    async def move(self, rows: int) -> None:
        self.query_one(VerticalScroll).scroll_relative(y=rows, animate=False)


class ChoiceQuestion(GuidedQuestion):
    """A question with several answers: type the beginning, Enter takes the one marked.

    Args:
        name: What is asked for.
        title: The question.
        several: Makes one answer of several that were typed with commas between them; without it
            there can be only one.

    Attributes:
        why: Why what was typed with commas is no answer.
    """

    def __init__(
        self, name: str, title: str, *, several: Callable[[str], Choice] | None = None
    ) -> None:
        hint = _("Type the beginning, or go down; Enter takes the one >")
        if several is not None:
            hint = _("Type the beginning, several with commas, or go down; Enter takes the one >")
        super().__init__(name, title, hint)
        self._several = several
        self.why = ""
        self._all: Sequence[Choice] = ()
        self._words = ""

    def below(self) -> ComposeResult:
        yield Choices()

    @property
    def choices(self) -> Choices:
        return self.query_one(Choices)

    def offer(self, choices: Sequence[Choice]) -> None:
        """Say what can be answered; marked is what was, unless something else comes first now."""
        if choices != self._all:
            first = self._all[:1] != choices[:1]
            self._all = choices
            self._find(self._words, first=first)

    def on_input_changed(self, event: Input.Changed) -> None:
        event.stop()
        if event.value != self._words:
            self._find(event.value, first=True)

    def _find(self, words: str, *, first: bool = False) -> None:
        self._words = words
        wish = clean(words, one_line=True).casefold()
        found = [c for c in self._all if all(w in c.words.casefold() for w in wish.split())]
        found.sort(key=lambda choice: not choice.words.casefold().startswith(wish))
        self.choices.show(found or self._together(words))
        if first:
            self.choices.cursor = 0

    def _together(self, words: str) -> list[Choice]:
        """What was typed with commas, as one answer."""
        self.why = ""
        if self._several is None or "," not in words:
            return []
        try:
            return [self._several(words)]
        except BookError as error:
            self.why = f"{one_line(error.message)} {one_line(error.hint)}"
            return []

    async def _settle(self) -> None:
        """Let what was typed up to now count."""
        words = await self.field.take_in()
        if words != self._words:
            self._find(words, first=True)

    async def answer(self) -> str | None:
        await self._settle()
        current = self.choices.current
        return None if current is None else current.value

    async def move(self, rows: int) -> None:
        await self._settle()
        self.choices.cursor += rows
