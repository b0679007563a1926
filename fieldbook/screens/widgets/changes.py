"""What the next season takes over, a row each."""

from fieldbook.i18n import _
from fieldbook.reports.rollover import Row
from fieldbook.screens.widgets.rows import Piece, Rows, fit
from fieldbook.season.rollover import Change

TAKEN, LEFT, NEEDED = "[x]", "[ ]", "[=]"

_NAMES = ("setting", "task", "block", "line")
"""What says which one is meant, of the kinds of entry that can be other."""


def known_by(change: Change) -> str:
    """What a change is known by, also when what is found beside it gives it another number."""
    entry = change.entry
    names = (getattr(entry, name, "") for name in _NAMES)
    return getattr(entry, "carried", "") or "\n".join((entry.kind, *names))


class ChangeList(Rows[tuple[Change, Row]]):
    """Mark, number, what it is about, and what it would be; what is left is as it was."""

    def __init__(self) -> None:
        super().__init__()
        self.left: set[str] = set()
        """The changes that are left, as they are known."""

    def key(self, item: tuple[Change, Row]) -> str:
        return known_by(item[0])

    def pieces(self, item: tuple[Change, Row], *, here: bool) -> list[Piece]:
        row, left = item[1], self.key(item) in self.left
        mark = NEEDED if row.needed else LEFT if left else TAKEN
        what_width = 30 if self.room < 100 else 44
        what = " ".join(part for part in (_(row.what), row.where) if part)
        values = " -> ".join(part for part in (row.was, row.then) if part) or row.why
        if left and item[0].otherwise is None:
            values = _("left: not taken over")
        elif left:
            values = _("left: {was}").format(was=row.was or _("as it was"))
        head = f"{mark} {row.number:>3}  {fit(what, what_width)} "
        style = "cursor" if here else "quiet" if left else "plain"
        return [
            (" >" if here else "  ", "way"),
            (head, style),
            (fit(values, max(0, self.room - 2 - len(head))), style),
        ]
