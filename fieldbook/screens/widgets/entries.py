"""Entries of the logbook, a row each."""

from fieldbook.i18n import _
from fieldbook.reports.log import LogLine, says
from fieldbook.screens.widgets.rows import Piece, Rows, fit
from fieldbook.season.dates import short_day


class EntryList(Rows):
    """Id, when, who, where, what; a struck entry keeps its words behind a tilde."""

    def __init__(self) -> None:
        super().__init__()
        self.lines: list[LogLine] = []

    def show(self, lines: list[LogLine]) -> None:
        self.lines = lines
        self.redraw()

    @property
    def count(self) -> int:
        return len(self.lines)

    @property
    def current(self) -> LogLine | None:
        return self.lines[self.cursor] if self.lines else None

    def pieces(self, row: int, width: int) -> list[Piece]:
        line, here = self.lines[row], row == self.cursor
        id_width = max(10, len(line.id))
        day = f"{short_day(line.at.date()):<10}"
        place_width = 18 if width < 100 else 30
        head = f"{fit(line.id, id_width)} {day} {fit(line.who or line.by, 7)} "
        place = fit(line.place, place_width) + " "
        words = (_("struck") + ": " if line.struck else "") + says(line)
        rest = width - 2 - len(head) - place_width - 1
        style = "cursor" if here else ("quiet" if line.struck else "plain")
        return [
            (" >" if here else "  ", "way"),
            (head + place, style),
            (fit(words, max(0, rest)), style),
        ]
