"""A hand-off being read back: what was said so far. No widgets here, and nothing on disk."""

from datetime import datetime
from enum import StrEnum

from fieldbook.book.entry import About, HandOff
from fieldbook.errors import BookError
from fieldbook.i18n import _, ngettext
from fieldbook.reports.handoff import HandOffPage, PageItem, handoff_page
from fieldbook.season.handoff import items_of
from fieldbook.season.readback import ToTake, agrees, answer, both_values, question
from fieldbook.season.season import Season


class Mark(StrEnum):
    """How far an item is."""

    TO_DO = "[ ]"
    READ_BACK = "[x]"
    DIFFERS = "[!]"
    CLOSED = " - "


class Reading:
    """What the one coming on has said of the items of a hand-off.

    Args:
        season: The season.
        handoff: The hand-off.
        who: Who comes on.
        now: The time.

    Attributes:
        said: What was said, item by item.
        heard: The words of the one going off were read.
        items: Every item to be looked at.
        page: The hand-off in words.
    """

    def __init__(self, season: Season, handoff: HandOff, who: str, now: datetime) -> None:
        self.season = season
        self.handoff = handoff
        self.who = who
        self.said: dict[About, str] = {}
        self.heard = False
        self.items: list[ToTake] = []
        self.page: HandOffPage
        self._kept: dict[About, tuple[str, str]] = {}
        """What was read back otherwise than told, and meant so; with what was so then."""
        self._doubted: tuple[About, str, str] | None = None
        self.look(now)

    def look(self, now: datetime) -> None:
        """See what came in since and what was closed."""
        self.items = items_of(self.season.ledger, self.handoff, now)
        self.page = handoff_page(self.season, self.handoff, now)

    def words(self, item: ToTake) -> PageItem:
        """An item as the page tells it."""
        return self.page.items[item.number - 1]

    def mark(self, item: ToTake) -> Mark:
        """How far an item is; what was said of it before it changed does not count."""
        if item.item is None:
            return Mark.CLOSED
        said = self.said.get(item.about)
        if said is None:
            return Mark.TO_DO
        if agrees(item, said, self.season.ledger):
            return Mark.READ_BACK
        kept = self._kept.get(item.about) == (item.value, said)
        return Mark.DIFFERS if kept else Mark.TO_DO

    def say(self, item: ToTake, text: str) -> None:
        """Somebody says back what an item is.

        Raises:
            BookError: It wants saying back and nothing was said; or it is not what was told, and
                is said so for the first time.
        """
        said = answer(text) if item.value else ""
        if item.value and not said:
            raise BookError(_("Looking is not enough here: {q}").format(q=question(item)))
        if not agrees(item, said, self.season.ledger):
            doubt = (item.about, item.value, said)
            if doubt != self._doubted:
                self._doubted = doubt
                raise BookError(
                    f"{both_values(item, said)}.",
                    _("Enter again keeps it as it was read back; or type another."),
                )
            self._kept[item.about] = (item.value, said)
        self.said[item.about] = said

    @property
    def to_do(self) -> list[ToTake]:
        """Items nobody has looked at yet."""
        return [item for item in self.items if self.mark(item) is Mark.TO_DO]

    @property
    def differs(self) -> int:
        """How many were read back otherwise than told."""
        return sum(self.mark(item) is Mark.DIFFERS for item in self.items)

    @property
    def done(self) -> bool:
        """Everything was heard and looked at."""
        return self.heard and not self.to_do

    @property
    def begun(self) -> bool:
        """Something was said that would be lost by leaving."""
        return self.heard or bool(self.said)

    @property
    def told(self) -> str:
        """`3 of 12 read back, 1 otherwise than told`; items closed since do not count."""
        there = [item for item in self.items if item.item is not None]
        said = _("{n} of {all} read back").format(n=len(there) - len(self.to_do), all=len(there))
        new, differs = sum(item.new for item in there), self.differs
        if differs:
            said += ", " + _("{n} otherwise than told").format(n=differs)
        if new:
            said += ", " + ngettext("{n} came in since", "{n} came in since", new).format(n=new)
        return said
