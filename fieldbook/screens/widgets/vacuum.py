"""Lines by what they lose, a row each: the worst first, or as they are walked."""

from msgspec import Struct

from fieldbook.i18n import _
from fieldbook.reports.leak_lines import LineLeaks
from fieldbook.reports.leak_walk import Leg
from fieldbook.reports.vacuum import bare
from fieldbook.reports.words import one_line, place
from fieldbook.screens.widgets.rows import Piece, Rows, fit
from fieldbook.season.dates import brief_day
from fieldbook.season.vacuum import Sign

NUMBERS = (6, 6, 8, 8)
"""Cells of vacuum, vacuum lost, gallons a day, and when it was read."""

WHERE_MOST = 34


class VacuumRow(Struct, frozen=True):
    """A line, or words between lines.

    Attributes:
        line: The line; None for words.
        leg: Its place on somebody's way, where the way is shown.
        words: Words that stand between lines.
    """

    line: LineLeaks | None = None
    leg: Leg | None = None
    words: str = ""


class VacuumList(Rows[VacuumRow]):
    """Where a line is, its vacuum and what is lost, and what its readings point at in a word."""

    def __init__(self) -> None:
        super().__init__()
        self._units = "us"

    def fill(self, rows: list[VacuumRow], units: str) -> None:
        """Show rows; the cursor stays on its line."""
        self._units = units
        self.show(rows)

    def key(self, item: VacuumRow) -> str:
        return item.words if item.line is None else f"{item.line.block}\n{item.line.line}"

    def heads(self) -> str:
        """Heads of the columns."""
        unit = "kPa" if self._units == "metric" else "inHg"
        heads = (unit, _("lost"), _("gal/day"), _("read"))
        numbers = "".join(head.rjust(width) for head, width in zip(heads, NUMBERS, strict=True))
        return "   " + fit(_("Line"), self._where) + numbers + "  " + _("points at")

    @property
    def _where(self) -> int:
        return min(WHERE_MOST, max(12, self.room - 3 - sum(NUMBERS) - 18))

    def pieces(self, item: VacuumRow, *, here: bool) -> list[Piece]:
        style = "cursor" if here else "plain"
        way = (" > " if here else "   ", "way")
        if item.line is None:
            return [way, (fit(item.words, max(0, self.room - 3)), "head")]
        line, words = item.line, max(0, self.room - 5 - self._where - sum(NUMBERS))
        named = f"{line.order} {one_line(line.line)}" if line.order else one_line(line.line)
        where = place(one_line(line.block), named)
        if item.leg is not None and item.leg.stop:
            where = f"{item.leg.stop}. {where}"
        cells = (
            "-" if line.vacuum_inhg is None else bare(line.vacuum_inhg, self._units),
            "-" if line.lost_inhg is None else bare(line.lost_inhg, self._units),
            "-" if line.loss is None else f"{line.loss.sap_gal:,.0f}",
            "-" if line.read is None else brief_day(line.read.date()),
        )
        numbers = "".join(cell.rjust(width) for cell, width in zip(cells, NUMBERS, strict=True))
        said = ", ".join(_(sign) for sign in line.signs if sign != Sign.LOW)
        if item.leg is not None and item.leg.stop:
            after = _("{n:.1f} h").format(n=item.leg.done_after)
            said = f"{after}  {said}" if said else after
        return [
            way,
            (fit(where, self._where), style),
            (numbers, style),
            ("  " + fit(said, words), "look" if said else style),
        ]
