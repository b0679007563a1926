"""The number being typed: a count, or what a gauge reads; and after a blank the hours it took."""

import re
from datetime import date

from textual.content import Content
from textual.widgets import Static

from fieldbook.i18n import _
from fieldbook.season.dates import short_day

_HOURS = r"( (\d{0,3}(\.\d{0,2})?)?)?"
_COUNT = re.compile(rf"(\d{{1,6}}{_HOURS})?")
_GAUGE = re.compile(rf"(\d{{1,3}}(\.\d{{0,2}})?{_HOURS})?")


class CountField(Static):
    """Takes digits from the screen's keys, so that letters stay free for what they do."""

    def __init__(self) -> None:
        super().__init__(id="count")
        self.typed = ""
        self.kept = False
        """The count was refused: no further digit belongs to it, until one is taken back."""
        self._who = ""
        self._day = ""
        self._gauge = ""
        self.unit = ""
        """In which unit the gauge is read; empty where a count is typed."""

    def show(self, who: str, day: date, today: date, *, gauge: str = "", unit: str = "") -> None:
        """Say whose count is typed, and of which day.

        Args:
            who: Whose work it is.
            day: The day it was done.
            today: The day it is.
            gauge: Where the gauge hangs that is read, where no count is typed but what it reads.
            unit: In which unit.
        """
        self._who, self._gauge, self.unit = who, gauge, unit
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
        if (_GAUGE if self._gauge else _COUNT).fullmatch(typed):
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
    def vacuum(self) -> float:
        """What the gauge reads."""
        return float(self.typed.partition(" ")[0])

    @property
    def hours(self) -> float | None:
        hours = self.typed.partition(" ")[2].rstrip(".")
        return float(hours) if hours else None

    def _draw(self) -> None:
        count, blank, hours = self.typed.partition(" ")
        self.update(
            Content.assemble(
                f" {self._gauge}, " if self._gauge else " " + _("Count for") + " ",
                (self._who or "?", "bold $primary"),
                f", {self._day}: ",
                (count if blank else f"{count}_", "bold reverse"),
                f" {self.unit}" if self._gauge else "",
                (f"  {hours}_ h" if blank else "", "bold"),
                "   " + _("Enter: record   p person   d day"),
            )
        )
