"""The lines of a round in walking order, as on the sheet."""

from rich.cells import cell_len

from fieldbook.i18n import _
from fieldbook.reports.round import RoundLine
from fieldbook.reports.words import MARKS
from fieldbook.screens.widgets.grid import STYLES
from fieldbook.screens.widgets.rows import Piece, Rows, fit
from fieldbook.season.ledger import Standing


class LineList(Rows[RoundLine]):
    """Number, name, mark, done of planned, and a remark."""

    def key(self, item: RoundLine) -> str:
        return item.line.line

    def stand_at(self, name: str) -> None:
        """Put the cursor on the line of a name; without one, on the first that is open."""
        named = [i for i, shown in enumerate(self.items) if shown.line.line == name]
        self.cursor = (named or self.open_lines or [0])[0]

    @property
    def open_lines(self) -> list[int]:
        """Rows of the lines that somebody still has to go to."""
        return [i for i, shown in enumerate(self.items) if shown.open]

    def pieces(self, item: RoundLine, *, here: bool) -> list[Piece]:
        tally = item.cell.tally
        planned = "?" if tally.unknown else f"{tally.planned:,}"
        name_width = min(22, max(12, self.room - 58))
        name = fit(item.line.line, name_width)
        text = f"{item.line.order:>4}  {name} {MARKS[item.cell.standing]}"
        due = item.cell.standing is not Standing.NOTHING_DUE
        counts = f"{tally.done:>6,} of {planned:<6}" if due else f"{_('nothing due'):>16}"
        pieces: list[Piece] = [
            (" >" if here else "  ", "way"),
            (text + counts, "cursor" if here else STYLES[item.cell.standing]),
            (" ! " if item.look else "   ", "look"),
        ]
        rest = self.room - sum(cell_len(text) for text, _style in pieces)
        return [*pieces, (fit(item.remark, max(0, rest)), "plain" if here else "quiet")]
