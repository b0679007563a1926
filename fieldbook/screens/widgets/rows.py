"""A list of rows with a cursor, drawn by hand: the base of the board, the round and the logbook."""

from typing import ClassVar, Generic, TypeVar

from rich.cells import cell_len, set_cell_size
from rich.segment import Segment
from rich.style import Style
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.geometry import Region, Size
from textual.message import Message
from textual.reactive import reactive
from textual.scroll_view import ScrollView
from textual.strip import Strip

T = TypeVar("T")

Piece = tuple[str, str]
"""A piece of a row: its text, and the name of its style (a component class without the prefix)."""


def cut(text: str, width: int) -> str:
    """Text in at most so many cells; a tilde shows that something was cut off."""
    if cell_len(text) <= width:
        return text
    return set_cell_size(text, max(0, width - 1)) + "~"


def within(text: str, width: int, rows: int, *, after: str = "") -> str:
    """Text, and what comes after it, in so many rows of a width.

    Where there is too much, the text gives way two thirds in, where a path stands in a message;
    what comes after it, which says what to do, stays whole.
    """
    width = max(1, width)
    said = f"{text} {after}".strip()
    room = min(len(text), rows * width)
    while room > 1 and len(Content(said).wrap(width)) > rows:
        room -= 1
        head = 2 * room // 3
        said = f"{text[:head]}~{text[len(text) - room + head + 1 :]} {after}".strip()
    return said


def indented(text: str, width: int, indent: int = 3, *, rows: int = 0) -> str:
    """Text in rows of a width, of which all but the first are indented.

    Args:
        text: The text.
        width: Cells of a row.
        indent: Cells by which what is wrapped is indented.
        rows: Rows that it may take; a tilde shows that something was cut off. 0: as many as needed.
    """
    if cell_len(text) <= width:
        return text
    found = [row.plain.rstrip() for row in Content(text).wrap(max(1, width - indent))]
    if rows and len(found) > rows:
        found[rows - 1 :] = [cut(f"{found[rows - 1]} ~", max(1, width - indent))]
    return ("\n" + " " * indent).join(found)


def fit(text: str, width: int) -> str:
    """Text in exactly so many cells, cut or filled up."""
    return set_cell_size(cut(text, width), width)


class Rows(ScrollView, Generic[T], can_focus=True):
    """Rows drawn on demand, one for each item; subclasses say what each is made of."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "rows--plain",
        "rows--head",
        "rows--done",
        "rows--way",
        "rows--aside",
        "rows--quiet",
        "rows--look",
        "rows--cursor",
    }
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "move(-1)", show=False, priority=True),
        Binding("down", "move(1)", show=False, priority=True),
        Binding("pageup", "page(-1)", show=False, priority=True),
        Binding("pagedown", "page(1)", show=False, priority=True),
        Binding("home", "move(-1000000)", show=False, priority=True),
        Binding("end", "move(1000000)", show=False, priority=True),
    ]

    cursor: reactive[int] = reactive(0)
    """The current row, from 0."""

    class Moved(Message):
        """The cursor stands somewhere else."""

    def __init__(self) -> None:
        super().__init__()
        self.items: list[T] = []

    def key(self, item: T) -> str:
        """What an item is known by when its row is drawn again."""
        raise NotImplementedError

    def show(self, items: list[T]) -> None:
        """Draw other items, or the same after a change.

        The cursor stays on its item and the item in its place on the screen, whatever came in
        above it: it has not moved, the rows around it have.
        """
        at = self.cursor
        if self.current is not None:
            here = self.key(self.current)
            at = next((row for row, item in enumerate(items) if self.key(item) == here), at)
        shift = at - self.cursor
        self.items = items
        self.set_reactive(Rows.cursor, at)
        self.redraw()
        if shift:
            self.scroll_to(y=self.scroll_y + shift, animate=False, force=True, immediate=True)

    @property
    def count(self) -> int:
        """How many rows there are."""
        return len(self.items)

    @property
    def current(self) -> T | None:
        """The item under the cursor."""
        return self.items[self.cursor] if self.items else None

    def pieces(self, item: T, *, here: bool) -> list[Piece]:
        """What a row is made of.

        Args:
            item: The row's item.
            here: The cursor stands on it.
        """
        raise NotImplementedError

    @property
    def room(self) -> int:
        """Cells a row has, beside the scrollbar."""
        return self.scrollable_content_region.width

    def redraw(self) -> None:
        """The data behind the rows changed, or the room for them."""
        self.virtual_size = Size(self.room, self.count)
        self.cursor = self.validate_cursor(self.cursor)
        self.refresh()

    def validate_cursor(self, row: int) -> int:
        return max(0, min(row, self.count - 1))

    def watch_cursor(self) -> None:
        self._follow()
        self.refresh()
        self.post_message(self.Moved())

    def _follow(self) -> None:
        """Keep the current row in sight."""
        self.scroll_to_region(Region(0, self.cursor, 1, 1), animate=False, force=True, x_axis=False)

    def on_resize(self) -> None:
        self.redraw()
        self._follow()

    def action_move(self, rows: int) -> None:
        self.cursor += rows

    def action_page(self, pages: int) -> None:
        self.cursor += pages * max(1, self.size.height - 1)

    def render_line(self, y: int) -> Strip:
        row = y + self.scroll_offset.y
        width = self.room
        if row >= self.count:
            return Strip.blank(width, self.rich_style)
        pieces = self.pieces(self.items[row], here=row == self.cursor)
        segments = [Segment(text, self.named_style(name)) for text, name in pieces]
        return Strip(segments).extend_cell_length(width, self.rich_style).crop(0, width)

    def named_style(self, name: str) -> Style:
        return self.get_component_rich_style(f"rows--{name}")
