"""Open items, a row each, the gravest first."""

from datetime import datetime

from rich.cells import cell_len

from fieldbook.i18n import _
from fieldbook.reports.open_items import MARKS, age, head, over, remedy, state, where
from fieldbook.reports.words import one_line, place
from fieldbook.screens.widgets.rows import Piece, Rows, fit
from fieldbook.season.items import Item, Level, What
from fieldbook.season.plan import Plan

WIDE = 110
"""Cells from which a row has room for everything."""

REMEDY_WIDTH = 18

GAP = 2
"""Cells between the columns."""

WHERE_MOST = 22
STATE_MOST, STATE_MOST_WIDE = 20, 32


class ItemList(Rows[Item]):
    """What it weighs, what and where it is, whose and how long; with room, what closes it.

    The place is brief, and the words get all that the other columns leave.
    """

    def __init__(self) -> None:
        super().__init__()
        self._plan: Plan | None = None
        self._now: datetime | None = None
        self._where_width = self._state_width = 0

    def fill(self, items: list[Item], plan: Plan, now: datetime) -> None:
        """Show items as they are at a time; the cursor stays on its item."""
        self._plan, self._now = plan, now
        self.show(items)

    def key(self, item: Item) -> str:
        about = item.about
        known_by = about.entry or "\n".join((about.block, about.line, about.task, about.who))
        return f"{about.what}\n{known_by}"

    @property
    def _wide(self) -> bool:
        return self.room >= WIDE

    def redraw(self) -> None:
        self._measure()
        super().redraw()

    def _measure(self) -> None:
        """Give place and state the room they take, as far as the words can spare it."""
        if self._plan is None or self._now is None:
            return
        plan = self._plan
        places = (cell_len(brief_place(item, plan)) for item in self.items)
        states = (cell_len(self._state(item)) for item in self.items)
        self._where_width = min(WHERE_MOST, max(places, default=0))
        most = STATE_MOST_WIDE if self._wide else STATE_MOST
        self._state_width = min(most, max(states, default=0))

    def _state(self, item: Item) -> str:
        assert self._now is not None
        return row_state(item, self._now) if self._wide else in_brief(item, self._now)

    def pieces(self, item: Item, *, here: bool) -> list[Piece]:
        assert self._plan is not None
        mark, gap = f"{MARKS[item.level]:>2} ", " " * GAP
        closes = f"{gap}{fit(closing_words(item), REMEDY_WIDTH)}" if self._wide else ""
        columns = self._where_width + self._state_width + 2 * GAP
        words = max(0, self.room - 2 - len(mark) - columns - cell_len(closes))
        style = "cursor" if here else "plain"
        return [
            (" >" if here else "  ", "way"),
            (mark, "look" if item.level is not Level.WORK else "plain"),
            (fit(head(item, self._plan), words) + gap, style),
            (fit(brief_place(item, self._plan), self._where_width) + gap, style),
            (fit(self._state(item), self._state_width), style),
            (closes, "way" if here else "quiet"),
        ]


def brief_place(item: Item, plan: Plan) -> str:
    """`Upper Ridge / 3`: the block, and the line by its number."""
    about = item.about
    line = plan.line(about.block, about.line)
    if len(item.lines) > 1 or line is None or line.order < 1 or about.line == about.block:
        return one_line(where(item, plan))
    return place(one_line(about.block), str(line.order))


def row_state(item: Item, now: datetime) -> str:
    """As `state`, and of a bag whose it is now; of somebody overdue only how long.

    Since when they are out, and when they were due, stands in full under the list.
    """
    if item.what is What.OUT and item.late is not None:
        return over(item.late)
    said = state(item, now)
    if item.what is not What.SPOUTS or item.owner != item.about.who:
        return said
    return f"{said}, {item.owner}" if item.said else f"{item.owner}, {said}"


def in_brief(item: Item, now: datetime) -> str:
    """Whose and how long, as short as it goes: `Tor, 2 days`, `35 min over`."""
    if item.said:
        return _("told {told}, read back {said}").format(
            told=one_line(item.told), said=one_line(item.said)
        )
    if item.late is not None:
        return over(item.late)
    owner = "" if item.what in (What.OUT, What.HANDOFF) else item.owner
    return ", ".join(part for part in (owner, age(item, now)) if part)


def closing_words(item: Item) -> str:
    """What closes an item, with its key: `c opened`."""
    if item.what is What.SPOUTS and item.amount < 0:
        return "c " + _("why, or issued")
    key = _("Enter") if item.what in (What.UNFINISHED, What.AGE) else "c"
    return f"{key} {remedy(item)}"
