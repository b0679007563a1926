"""The count that must balance: drops, taps and spouts, on every line and in every bag.

Worked like a surgical count: counted when something is handed out, at every closing and at every
change of person; and a surplus is as wrong as a shortage. Source: AORN, guideline for the
prevention of retained surgical items.
"""

from collections.abc import Iterable, Iterator
from datetime import date, datetime

from msgspec import Struct

from fieldbook.book.entry import Back, Finish, Line, Spouts, Task
from fieldbook.book.lines import fold_key
from fieldbook.season.ledger import Ledger, Standing


class Balance(Struct, frozen=True):
    """Drops, taps and spouts of one line, or summed over many.

    drops = taps + untapped - over, and taps = pulled + in_trees - pulled_over: what is missing on
    one line does not make up for what is too many on another.

    Attributes:
        drops: Drops in place.
        taps: Taps drilled.
        untapped: Drops that hang without a tap.
        over: Taps drilled beyond the drops.
        pulled: Spouts pulled.
        in_trees: Spouts still in trees.
        pulled_over: Spouts pulled beyond the taps drilled.
        unknown: Lines of which nobody knows how many drops hang: as many as taps, for the sum.
    """

    drops: int = 0
    taps: int = 0
    untapped: int = 0
    over: int = 0
    pulled: int = 0
    in_trees: int = 0
    pulled_over: int = 0
    unknown: int = 0

    def __add__(self, other: "Balance") -> "Balance":
        return Balance(
            **{name: getattr(self, name) + getattr(other, name) for name in self.__struct_fields__}
        )


def drops_in_place(ledger: Ledger, line: Line) -> int | None:
    """Drops that hang on a line; None if nobody knows.

    As many as the plan says - its own number of drops, else the taps planned -, or as many as were
    hung this season where all of them were replaced and that is more.
    """
    plan, replacing = ledger.plan, ledger.plan.counting("drops")
    known = line.drops if line.drops is not None else plan.taps(line)
    if replacing is None or plan.drops_due(line) == 0:
        return known
    if ledger.line_cell(line, replacing).standing is not Standing.DONE:
        return known
    return max(known or 0, ledger.record(line.block, line.line, replacing.key).done)


def line_balance(ledger: Ledger, line: Line) -> Balance:
    """The balance of one line."""
    pulling = ledger.plan.counting("spouts")
    taps, drops = ledger.taps_in(line), drops_in_place(ledger, line)
    pulled = ledger.record(line.block, line.line, pulling.key).done if pulling else 0
    return Balance(
        drops=taps if drops is None else drops,
        taps=taps,
        untapped=max(0, (drops or 0) - taps),
        over=0 if drops is None else max(0, taps - drops),
        pulled=pulled,
        in_trees=max(0, taps - pulled),
        pulled_over=max(0, pulled - taps),
        unknown=int(drops is None),
    )


def off_by(ledger: Ledger, line: Line, task: Task) -> int | None:
    """Drops that hang without a tap, or spouts that are still in trees; below 0, so many too many.

    None for a task that counts neither, or where nobody knows how many drops hang.
    """
    found = line_balance(ledger, line)
    match task.counts:
        case "taps" if not found.unknown:
            return found.untapped - found.over
        case "spouts":
            return found.in_trees - found.pulled_over
    return None


def explained(ledger: Ledger, line: Line, task: Task) -> str:
    """What was said of a line that is done and does not balance; empty if nobody said.

    A reason is for a number: when the counts have changed since it was given, it says nothing.
    """
    mark = ledger.record(line.block, line.line, task.key).mark
    if not isinstance(mark, Finish):
        return ""
    off = off_by(ledger, line, task)
    return mark.reason if None in (mark.off, off) or mark.off == off else ""


def balance(ledger: Ledger, block: str | None = None) -> Balance:
    """The balance of a block, or of the whole season."""
    lines = ledger.plan.lines if block is None else ledger.plan.walk.get(block, [])
    return sum((line_balance(ledger, line) for line in lines), start=Balance())


class Bag(Struct, frozen=True):
    """Spouts of one person: issued = set + returned + scrapped + off.

    Attributes:
        who: Whose.
        day: On one day; None for the season so far.
        issued: Spouts issued.
        set: Spouts set in trees: the taps they drilled from the day of their first issue on.
        returned: Spouts returned.
        scrapped: Spouts scrapped.
    """

    who: str
    day: date | None = None
    issued: int = 0
    set: int = 0
    returned: int = 0
    scrapped: int = 0

    @property
    def off(self) -> int:
        """Spouts neither in trees, nor returned, nor scrapped; below 0, more than were issued."""
        return self.issued - self.set - self.returned - self.scrapped

    def __add__(self, other: "Bag") -> "Bag":
        return Bag(
            self.who,
            self.day if self.day == other.day else None,
            self.issued + other.issued,
            self.set + other.set,
            self.returned + other.returned,
            self.scrapped + other.scrapped,
        )


def bag_days(ledger: Ledger, who: str | None = None) -> list[Bag]:
    """What came into and out of each bag, day by day; of those who were ever issued spouts.

    Args:
        ledger: The season.
        who: Only this person's.
    """
    return sorted(_sum_up(_moves(ledger, who)), key=lambda bag: (bag.who.casefold(), bag.day))


def bags(ledger: Ledger, who: str | None = None) -> list[Bag]:
    """What each person was issued, and what became of it, over the season."""
    return list(
        _sum_up(
            Bag(d.who, None, d.issued, d.set, d.returned, d.scrapped) for d in bag_days(ledger, who)
        )
    )


def _moves(ledger: Ledger, who: str | None) -> Iterator[Bag]:
    first: dict[str, date] = {}
    for move in ledger.of(Spouts):
        if who in (None, move.who):
            first[move.who] = min(move.day, first.get(move.who, move.day))
            yield Bag(move.who, move.day, **{move.move: move.count})
    tapping = ledger.plan.counting("taps")
    if tapping is None or not first:
        return
    for count in ledger.counts():
        if count.task == tapping.key and first.get(count.who, date.max) <= count.day:
            yield Bag(count.who, count.day, set=count.count)


def _sum_up(parts: Iterable[Bag]) -> Iterable[Bag]:
    sums: dict[tuple[str, date | None], Bag] = {}
    for part in parts:
        key = (part.who, part.day)
        sums[key] = sums[key] + part if key in sums else part
    return sums.values()


def in_use(ledger: Ledger, bag: Bag, now: datetime) -> bool:
    """Whether somebody is still at work out of a bag: issued today, and not back since."""
    moves = [move for move in ledger.of(Spouts) if move.who == bag.who and move.move == "issued"]
    returns = [back for back in ledger.of(Back) if back.who == bag.who]
    if not moves:
        return False
    # By day, then as recorded: what is keyed in of yesterday says nothing of today.
    issued = max((move.day, fold_key(move)) for move in moves)
    came_back = max(((back.day, fold_key(back)) for back in returns), default=None)
    return issued[0] >= now.date() and (came_back is None or came_back < issued)
