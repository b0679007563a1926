"""The count being typed: digits, and after a blank the hours it took."""

import re
from datetime import date

from textual.content import Content
from textual.widgets import Static

from fieldbook.i18n import _
from fieldbook.season.dates import short_day

_TYPED = re.compile(r"(\d{1,6}( (\d{0,3}(\.\d{0,2})?)?)?)?")


class CountField(Static):
    """Takes digits from the screen's keys, so that letters stay free for what they do."""

    def __init__(self) -> None:
        super().__init__(id="count")
        self.typed = ""
        self.kept = False
        """The count was refused: no further digit belongs to it, until one is taken back."""
        self._who = ""
        self._day = ""

    def show(self, who: str, day: date, today: date) -> None:
        """Say whose count is typed, and of which day."""
        self._who = who
        self._day = short_day(day)
        if day != today:
            self._day += " " + _("(not today)")
        self._draw()

    def press(self, character: str) -> None:
        """Take a character that belongs into a count; an empty one takes back the last."""
        if self.kept and character:
            return
        self.kept = False
        typed = self.typed + character if character else self.typed[:-1]
        if _TYPED.fullmatch(typed):
            self.typed = typed
            self._draw()

    def clear_typed(self) -> None:
        self.typed = ""
        self.kept = False
        self._draw()

    @property
    def count(self) -> int:
        return int(self.typed.partition(" ")[0])

    @property
    def hours(self) -> float | None:
        hours = self.typed.partition(" ")[2].strip(".")
        return float(hours) if hours else None

    def _draw(self) -> None:
        count, blank, hours = self.typed.partition(" ")
        self.update(
            Content.assemble(
                " " + _("Count for") + " ",
                (self._who or "?", "bold $primary"),
                f", {self._day}: ",
                (count if blank else f"{count}_", "bold reverse"),
                (f"  {hours}_ h" if blank else "", "bold"),
                "   " + _("Enter: record   p person   d day"),
            )
        )
