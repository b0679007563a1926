"""Entries of the logbook, a row each."""

from fieldbook.i18n import _
from fieldbook.reports.log import LogLine, says
from fieldbook.screens.widgets.rows import Piece, Rows, fit
from fieldbook.season.dates import short_day


class EntryList(Rows[LogLine]):
    """Id, when, who, where, what; a struck entry keeps its words behind a tilde."""

    def key(self, item: LogLine) -> str:
        return item.id

    def pieces(self, item: LogLine, *, here: bool) -> list[Piece]:
        id_width = max(10, len(item.id))
        day = f"{short_day(item.at.date()):<10}"
        place_width = 18 if self.room < 100 else 30
        head = f"{fit(item.id, id_width)} {day} {fit(item.who or item.by, 7)} "
        place = fit(item.place, place_width) + " "
        words = (_("struck") + ": " if item.struck else "") + says(item)
        rest = self.room - 2 - len(head) - place_width - 1
        style = "cursor" if here else ("quiet" if item.struck else "plain")
        return [
            (" >" if here else "  ", "way"),
            (head + place, style),
            (fit(words, max(0, rest)), style),
        ]
