"""A list of rows with a cursor, drawn by hand: the base of the board, the round and the logbook."""

from typing import ClassVar

from rich.cells import cell_len, set_cell_size
from rich.segment import Segment
from rich.style import Style
from textual.binding import Binding, BindingType
from textual.geometry import Region, Size
from textual.message import Message
from textual.reactive import reactive
from textual.scroll_view import ScrollView
from textual.strip import Strip

Piece = tuple[str, str]
"""A piece of a row: its text, and the name of its style (a component class without the prefix)."""


def cut(text: str, width: int) -> str:
    """Text in at most so many cells; a tilde shows that something was cut off."""
    if cell_len(text) <= width:
        return text
    return set_cell_size(text, max(0, width - 1)) + "~"


def fit(text: str, width: int) -> str:
    """Text in exactly so many cells, cut or filled up."""
    return set_cell_size(cut(text, width), width)


class Rows(ScrollView, can_focus=True):
    """Rows drawn on demand. Subclasses say how many there are and of what pieces each is made."""

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
        Binding("up", "move(-1)", show=False),
        Binding("down", "move(1)", show=False),
        Binding("pageup", "page(-1)", show=False),
        Binding("pagedown", "page(1)", show=False),
        Binding("home", "move(-1000000)", show=False),
        Binding("end", "move(1000000)", show=False),
    ]

    cursor: reactive[int] = reactive(0)
    """The current row, from 0."""

    class Moved(Message):
        """The cursor stands somewhere else."""

    @property
    def count(self) -> int:
        """How many rows there are."""
        raise NotImplementedError

    def pieces(self, row: int, width: int) -> list[Piece]:
        """What a row is made of."""
        raise NotImplementedError

    def redraw(self) -> None:
        """The data behind the rows changed."""
        self.virtual_size = Size(self.size.width, self.count)
        self.cursor = self.validate_cursor(self.cursor)
        self.refresh()

    def validate_cursor(self, row: int) -> int:
        return max(0, min(row, self.count - 1))

    def watch_cursor(self) -> None:
        self.scroll_to_region(Region(0, self.cursor, 1, 1), animate=False, force=True, x_axis=False)
        self.refresh()
        self.post_message(self.Moved())

    def on_resize(self) -> None:
        self.redraw()

    def action_move(self, rows: int) -> None:
        self.cursor += rows

    def action_page(self, pages: int) -> None:
        self.cursor += pages * max(1, self.size.height - 1)

    def render_line(self, y: int) -> Strip:
        row = y + self.scroll_offset.y
        width = self.size.width
        if row >= self.count:
            return Strip.blank(width, self.rich_style)
        segments = [Segment(text, self.named_style(name)) for text, name in self.pieces(row, width)]
        return Strip(segments).extend_cell_length(width, self.rich_style).crop(0, width)

    def named_style(self, name: str) -> Style:
        return self.get_component_rich_style(f"rows--{name}")
