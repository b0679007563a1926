"""The board's grid: blocks down, tasks across, and in each cell a mark and a count."""

from typing import ClassVar

from msgspec import Struct
from rich.cells import cell_len
from textual.binding import Binding, BindingType
from textual.reactive import reactive

from fieldbook.book.entry import Task
from fieldbook.i18n import _
from fieldbook.reports.words import MARKS, bar, standing_word
from fieldbook.screens.widgets.rows import Piece, Rows, fit
from fieldbook.season.ledger import Cell, Standing

STYLES = {
    Standing.NOT_BEGUN: "plain",
    Standing.UNDER_WAY: "way",
    Standing.DONE: "done",
    Standing.ASIDE: "aside",
    Standing.NOTHING_DUE: "quiet",
}
NAME_MOST = 16
BAR_LEAST, BAR_MOST = 6, 14


class GridRow(Struct, frozen=True):
    """A block in every task."""

    block: str
    cells: tuple[Cell, ...]


def cell_words(cell: Cell, *, brief: bool = False) -> str:
    """A mark and how far it has come; `brief` for a narrow screen."""
    tally, mark = cell.tally, MARKS[cell.standing]
    match cell.standing:
        case Standing.NOTHING_DUE:
            return "-" if brief else standing_word(cell.standing)
        case Standing.NOT_BEGUN:
            return mark if brief or not tally.planned else f"{mark} 0/{tally.planned:,}"
        case Standing.UNDER_WAY | Standing.ASIDE if tally.planned and not brief:
            return f"{mark} {tally.done:,}/{tally.planned:,}"
        case Standing.UNDER_WAY if tally.percent is not None:
            return f"{mark} {tally.percent} %"
        case Standing.ASIDE:
            return mark
        case _:
            return f"{mark} {tally.done:,}"


class Grid(Rows[GridRow]):
    """The season at a glance; the cursor stands on one block in one task."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "across(-1)", show=False, priority=True),
        Binding("right", "across(1)", show=False, priority=True),
    ]

    column: reactive[int] = reactive(0)
    """The current task, from 0."""

    def __init__(self) -> None:
        super().__init__()
        self.tasks: list[Task] = []
        self._widths: list[int] = []
        self._name_width = 0
        self._brief = False
        self._bar = 0

    def fill(self, tasks: list[Task], rows: list[GridRow]) -> None:
        """Show blocks in tasks; the cursor stays on its block and task."""
        here = self.tasks[self.column].key if self.tasks else ""
        self.tasks = tasks
        self.show(rows)
        self.column = next((i for i, task in enumerate(tasks) if task.key == here), self.column)

    def key(self, item: GridRow) -> str:
        return item.block

    def stand_at_work(self) -> None:
        """Put the cursor where the crew is: on a block under way in the task they are likely at."""
        tapping = next((i for i, task in enumerate(self.tasks) if task.counts == "taps"), 0)
        columns = [tapping, *range(len(self.tasks))]
        for column in columns:
            for row, shown in enumerate(self.items if self.tasks else ()):
                if shown.cells[column].standing is Standing.UNDER_WAY:
                    self.column, self.cursor = column, row
                    return
        self.column = tapping

    def redraw(self) -> None:
        self._measure()
        super().redraw()

    def validate_column(self, column: int) -> int:
        return max(0, min(column, len(self.tasks) - 1))

    def watch_column(self) -> None:
        self.refresh()
        self.post_message(self.Moved())

    def action_across(self, columns: int) -> None:
        self.column += columns

    def _measure(self) -> None:
        """Choose what fits: full counts with bars, full counts, or brief ones."""
        self._name_width = min(NAME_MOST, max((cell_len(r.block) for r in self.items), default=0))
        room = self.room - 1 - self._name_width
        for brief in (False, True):
            self._brief = brief
            self._widths = [
                max(
                    cell_len(task.short),
                    *(cell_len(cell_words(row.cells[i], brief=brief)) for row in self.items),
                )
                for i, task in enumerate(self.tasks)
                if self.items
            ]
            spare = room - sum(self._widths) - 2 * len(self._widths)
            if spare >= 0:
                break
        self._bar = 0
        if self._widths and not self._brief:
            each = spare // len(self._widths) - 1
            self._bar = min(BAR_MOST, each) if each >= BAR_LEAST else 0

    def _shown(self) -> range:
        """The tasks there is room for: whole columns, the current one among them."""
        room = self.room - 1 - self._name_width
        first, last = 0, len(self._widths)
        while first < self.column and self._span(first, self.column + 1) > room:
            first += 1
        while last > self.column + 1 and self._span(first, last) > room:
            last -= 1
        return range(first, last)

    def _span(self, first: int, last: int) -> int:
        bar_width = self._bar + 1 if self._bar else 0
        return sum(width + bar_width + 2 for width in self._widths[first:last])

    def head(self) -> str:
        """The heads of the columns, for the line above the grid; `<` and `>` where more are."""
        if not self.items:
            return ""
        shown = self._shown()
        bar_width = self._bar + 1 if self._bar else 0
        names = [fit(self.tasks[i].short, self._widths[i] + bar_width) for i in shown]
        before = " <" if shown.start else "  "
        after = " >" if shown.stop < len(self._widths) else ""
        return fit(" " + _("Block"), self._name_width + 1) + before + "  ".join(names) + after

    def pieces(self, item: GridRow, *, here: bool) -> list[Piece]:
        name = " " + fit(item.block, self._name_width)
        pieces: list[Piece] = [(name, "way" if here else "plain")]
        for i in self._shown():
            cell = item.cells[i]
            words = fit(cell_words(cell, brief=self._brief), self._widths[i])
            at = here and i == self.column
            pieces.append((" >" if at else "  ", "way"))
            pieces.append((words, "cursor" if at else STYLES[cell.standing]))
            if self._bar:
                drawn = " " * self._bar
                if cell.tally.planned and cell.standing is Standing.UNDER_WAY:
                    drawn = bar(cell.tally.done, cell.tally.planned, self._bar)
                pieces.append((" " + drawn, "quiet"))
        return pieces
