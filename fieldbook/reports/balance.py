"""The count that must balance, as data and as tables: line by line, and bag by bag."""

from collections.abc import Iterator, Sequence
from datetime import date

from msgspec import Struct

from fieldbook.book.entry import Line, WriteOff
from fieldbook.i18n import _, ngettext
from fieldbook.reports.listing import Listing
from fieldbook.reports.words import one_line
from fieldbook.season.balance import (
    Bag,
    Balance,
    bag_days,
    bags,
    balance,
    explained,
    line_balance,
)
from fieldbook.season.items import BALANCE
from fieldbook.season.ledger import Ledger


class LineCount(Struct, frozen=True):
    """A line's balance.

    Attributes:
        block: Where.
        line: Which line; empty for the whole block.
        count: Its drops, taps and spouts.
        why: What was said of counts that do not match.
    """

    block: str
    line: str
    count: Balance
    why: str


class BagCount(Struct, frozen=True):
    """Somebody's spouts: issued = set + returned + scrapped + off.

    Attributes:
        who: Whose.
        day: On one day; None for the season.
        issued: Spouts issued.
        set: Spouts set in trees.
        returned: Spouts returned.
        scrapped: Spouts scrapped.
        off: Spouts not accounted for; below 0, more than were issued.
    """

    who: str
    day: date | None
    issued: int
    set: int
    returned: int
    scrapped: int
    off: int


class BalanceReport(Struct, frozen=True):
    """The balance of a season.

    Attributes:
        season: All lines together.
        blocks: Block by block.
        bags: Person by person.
        days: Person by person and day by day.
        lines: Line by line; empty in a summary.
    """

    season: Balance
    blocks: tuple[LineCount, ...]
    bags: tuple[BagCount, ...]
    days: tuple[BagCount, ...] = ()
    lines: tuple[LineCount, ...] = ()


def balance_report(ledger: Ledger, *, brief: bool = False) -> BalanceReport:
    """The balance of a season.

    Args:
        ledger: The season.
        brief: Without lines and days, as a summary has it.
    """
    blocks = tuple(LineCount(b, "", balance(ledger, b), "") for b in ledger.plan.blocks)
    lines = () if brief else tuple(_line(ledger, line) for line in ledger.plan.lines)
    return BalanceReport(
        season=sum((part.count for part in blocks), start=Balance()),
        blocks=blocks,
        bags=tuple(_bag(bag) for bag in bags(ledger)),
        days=() if brief else tuple(_bag(bag) for bag in bag_days(ledger)),
        lines=lines,
    )


def _bag(bag: Bag) -> BagCount:
    return BagCount(bag.who, bag.day, bag.issued, bag.set, bag.returned, bag.scrapped, bag.off)


def _line(ledger: Ledger, line: Line) -> LineCount:
    return LineCount(line.block, line.line, line_balance(ledger, line), said_of(ledger, line))


def said_of(ledger: Ledger, line: Line) -> str:
    """What was said of counts of a line that do not match: at its finishing, or later."""
    counting = [ledger.plan.counting(unit) for unit in ("taps", "spouts")]
    said = [explained(ledger, line, task) for task in counting if task]
    said += [
        entry.reason
        for entry in ledger.of(WriteOff)
        if (entry.about.block, entry.about.line) == (line.block, line.line)
        and entry.about.what in BALANCE
    ]
    return "; ".join(one_line(words) for words in said if words)


def balance_words(report: BalanceReport) -> Iterator[str]:
    """The balance of the season, in a line for the lines and one for the bags."""
    count = report.season
    said = _("Drops {drops:,} = taps {taps:,} + not tapped {untapped:,}").format(
        drops=count.drops, taps=count.taps, untapped=count.untapped
    )
    said += " - " + _("over {n:,}").format(n=count.over) if count.over else ""
    yield said
    if report.bags:
        issued, in_trees, returned, scrapped = (
            sum(getattr(bag, name) for bag in report.bags)
            for name in ("issued", "set", "returned", "scrapped")
        )
        left = sum(bag.off for bag in report.bags if bag.off > 0)
        over = -sum(bag.off for bag in report.bags if bag.off < 0)
        said = _(
            "Spouts issued {issued:,} = in trees {set:,} + returned {returned:,} + scrapped "
            "{scrapped:,} + in the bags {left:,}"
        ).format(issued=issued, set=in_trees, returned=returned, scrapped=scrapped, left=left)
        yield said + (" - " + _("over {n:,}").format(n=over) if over else "")


def balance_listings(report: BalanceReport) -> list[Listing]:
    """The balance as tables: what does not match, all lines, and the bags."""
    return [_lines_listing(report), _bags_listing(report.bags), _days_listing(report.days)]


def _lines_listing(report: BalanceReport) -> Listing:
    rows = []
    for block in report.blocks:
        rows.append(_row(block))
        rows += [_row(line) for line in report.lines if line.block == block.block]
    rows.append((_("All"), "", *_counts(report.season), ""))
    return Listing(
        name="lines",
        title=_("Drops, taps and spouts"),
        columns=(
            *("block", "line", "drops", "taps", "untapped", "over"),
            *("pulled", "in_trees", "pulled_over", "why"),
        ),
        heads=(
            *(_("Block"), _("Line"), _("Drops"), _("Taps"), _("Not tapped"), _("Over")),
            *(_("Pulled"), _("In trees"), None, _("Why")),
        ),
        rows=tuple(rows),
        notes=tuple(_unknown(report.season)),
        by_block=True,
    )


def _unknown(count: Balance) -> Sequence[str]:
    if not count.unknown:
        return ()
    return (
        ngettext(
            "! of {n} line nobody knows how many drops hang",
            "! of {n} lines nobody knows how many drops hang",
            count.unknown,
        ).format(n=count.unknown),
    )


def _row(part: LineCount) -> tuple[object, ...]:
    return (part.block, part.line, *_counts(part.count), part.why)


def _counts(count: Balance) -> tuple[int | None, ...]:
    return (
        *(count.drops, count.taps, count.untapped, count.over),
        *(count.pulled, count.in_trees, count.pulled_over),
    )


def _bags_listing(bags: Sequence[BagCount]) -> Listing:
    notes = [_("issued = in trees + returned + scrapped + off; a surplus is as wrong")]
    if not bags:
        notes = [_("No spouts were issued to anybody: fieldbook record --spouts 'issued 200'")]
    return Listing(
        name="bags",
        title=_("Spouts of each person"),
        columns=("who", "issued", "set", "returned", "scrapped", "off"),
        heads=(_("Who"), _("Issued"), _("In trees"), _("Returned"), _("Scrapped"), _("Off")),
        rows=tuple((b.who, b.issued, b.set, b.returned, b.scrapped, b.off) for b in bags),
        notes=tuple(notes),
    )


def _days_listing(days: Sequence[BagCount]) -> Listing:
    return Listing(
        name="days",
        title=_("Spouts of each person, day by day"),
        columns=("who", "day", "issued", "set", "returned", "scrapped", "off"),
        heads=(
            *(_("Who"), _("Day"), _("Issued"), _("In trees"), _("Returned")),
            *(_("Scrapped"), _("Off")),
        ),
        rows=tuple((b.who, b.day, b.issued, b.set, b.returned, b.scrapped, b.off) for b in days),
    )
