"""Open items, a row each, the gravest first."""

from datetime import datetime

from fieldbook.i18n import _
from fieldbook.reports.open_items import MARKS, age, head, over, remedy, state, where
from fieldbook.reports.words import one_line
from fieldbook.screens.widgets.rows import Piece, Rows, fit
from fieldbook.season.items import Item, Level, What
from fieldbook.season.plan import Plan

WIDE = 110
"""Cells from which a row has room for everything."""

REMEDY_WIDTH = 18


class ItemList(Rows[Item]):
    """What it weighs, what and where it is, whose and how long; with room, what closes it."""

    def __init__(self) -> None:
        super().__init__()
        self._plan: Plan | None = None
        self._now: datetime | None = None

    def fill(self, items: list[Item], plan: Plan, now: datetime) -> None:
        """Show items as they are at a time; the cursor stays on its item."""
        self._plan, self._now = plan, now
        self.show(items)

    def key(self, item: Item) -> str:
        about = item.about
        known_by = about.entry or "\n".join((about.block, about.line, about.task, about.who))
        return f"{about.what}\n{known_by}"

    def pieces(self, item: Item, *, here: bool) -> list[Piece]:
        assert self._plan is not None
        assert self._now is not None
        wide = self.room >= WIDE
        mark = f"{MARKS[item.level]:>2} "
        closes = f"  {fit(closing_words(item), REMEDY_WIDTH)}" if wide else ""
        rest = self.room - 2 - len(mark) - 4 - len(closes)
        shares = (34, 28) if wide else (42, 33)
        head_width, where_width = (rest * share // 100 for share in shares)
        told = state(item, self._now) if wide else in_brief(item, self._now)
        words = (
            f"{fit(head(item, self._plan), head_width)}  "
            f"{fit(one_line(where(item, self._plan)), where_width)}  "
        )
        grave = item.level is not Level.WORK
        style = "cursor" if here else "plain"
        return [
            (" >" if here else "  ", "way"),
            (mark, "look" if grave else "plain"),
            (words, style),
            (fit(told, max(0, rest - head_width - where_width)), style),
            (closes, "way" if here else "quiet"),
        ]


def in_brief(item: Item, now: datetime) -> str:
    """Whose and how long, as short as it goes: `Tor, 2 days`, `35 min over`."""
    if item.late is not None:
        return over(item.late)
    owner = "" if item.what in (What.OUT, What.SPOUTS, What.HANDOFF) else item.owner
    return ", ".join(part for part in (owner, age(item, now)) if part)


def closing_words(item: Item) -> str:
    """What closes an item, with its key: `c opened`."""
    key = _("Enter") if item.what in (What.UNFINISHED, What.AGE) else "c"
    return f"{key} {remedy(item)}"
