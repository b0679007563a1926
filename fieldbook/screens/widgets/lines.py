"""The lines of a round in walking order, as on the sheet."""

from dataclasses import dataclass

from rich.cells import cell_len

from fieldbook.book.entry import Line
from fieldbook.i18n import _
from fieldbook.reports.words import MARKS
from fieldbook.screens.widgets.grid import STYLES
from fieldbook.screens.widgets.rows import Piece, Rows, fit
from fieldbook.season.ledger import Cell, Standing


@dataclass(frozen=True, slots=True)
class LineRow:
    """A line as the round shows it.

    Attributes:
        line: The line.
        cell: Where it stands in the task.
        remark: Who was there last and when, or why it stands as it does.
        look: Something about it wants looking at: a hazard, a count over the plan.
    """

    line: Line
    cell: Cell
    remark: str
    look: bool


class LineList(Rows):
    """Number, name, mark, done of planned, and a remark."""

    def __init__(self) -> None:
        super().__init__()
        self.rows: list[LineRow] = []

    def show(self, rows: list[LineRow]) -> None:
        self.rows = rows
        self.redraw()

    @property
    def count(self) -> int:
        return len(self.rows)

    def pieces(self, row: int, width: int) -> list[Piece]:
        shown, here = self.rows[row], row == self.cursor
        tally = shown.cell.tally
        planned = "?" if tally.unknown else f"{tally.planned:,}"
        name_width = min(22, max(12, width - 58))
        number = f"{shown.line.order:>4}"
        text = f"{number}  {fit(shown.line.line, name_width)} {MARKS[shown.cell.standing]}"
        due = shown.cell.standing is not Standing.NOTHING_DUE
        counts = f"{tally.done:>6,} of {planned:<6}" if due else f"{_('nothing due'):>16}"
        style = "cursor" if here else STYLES[shown.cell.standing]
        pieces: list[Piece] = [
            (" >" if here else "  ", "way"),
            (text + counts, style),
            (" ! " if shown.look else "   ", "look"),
        ]
        rest = width - sum(cell_len(text) for text, _style in pieces)
        return [*pieces, (fit(shown.remark, max(0, rest)), "plain" if here else "quiet")]
