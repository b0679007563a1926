"""The next season from this one, put into words: what changes, what is carried, what stays."""

from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from datetime import datetime
from textwrap import wrap

from msgspec import Struct

from fieldbook.book.book import Book
from fieldbook.book.entry import (
    AnyEntry,
    Block,
    Checklist,
    Line,
    Note,
    Person,
    Repair,
    Setting,
    TapRule,
    Target,
    Trees,
    Valve,
)
from fieldbook.i18n import N_, _, ngettext
from fieldbook.reports.listing import Listing
from fieldbook.reports.open_items import told_items
from fieldbook.reports.trees import line_trees
from fieldbook.reports.words import one_line, place, signed_entry
from fieldbook.season.dates import short_day
from fieldbook.season.items import Item, What, closing_items
from fieldbook.season.ledger import Ledger
from fieldbook.season.rollover import Change, drafts_of, left_in_trees, preview
from fieldbook.season.season import Season

KINDS = {
    Setting: N_("rule"),
    Checklist: N_("checklist"),
    Person: N_("person"),
    TapRule: N_("rule for taps"),
    Block: N_("block"),
    Line: N_("line"),
    Trees: N_("trees"),
    Target: N_("date wanted"),
    Note: N_("hazard"),
    Repair: N_("repair"),
    Valve: N_("valve"),
}
"""What a change is about, by the kind of its entry."""

STAYS_TOLD = 5
"""Open items that stay that are told one by one."""

GOES_ON = (What.HAZARD, What.REPAIR, What.LEAK, What.VALVE, What.AGE)
"""Open items that the next season has, or that its plan shows by itself."""


class Row(Struct, frozen=True):
    """A change, in words.

    Attributes:
        number: By which it is left.
        what: What it is about.
        where: Which one, or where.
        was: As it was.
        then: As it would be.
        why: Why.
        needed: It cannot be left.
    """

    number: int
    what: str
    where: str
    was: str
    then: str
    why: str
    needed: bool


class Again(Struct, frozen=True):
    """A line whose trees are to be measured again."""

    block: str
    line: str
    trees: int
    taken: int


class Proposal(Struct, frozen=True):
    """The next season from this one.

    Attributes:
        book: Name of the sugarbush.
        season: The season it comes from.
        next: The season to be made.
        begun: It is there already; what it has is left alone.
        rows: What changes or is carried.
        as_they_are: How many things of each kind are taken over as they are.
        lines: Lines it would have.
        taps_planned: Taps planned on them.
        drops_due: Drops that are due then.
        measure_again: Lines with trees to be measured again, as they may have grown to a limit.
        stays: What is open in this season and is closed there.
        closed: Who closed this season; empty while it is open.
    """

    book: str
    season: int
    next: int
    begun: bool
    rows: tuple[Row, ...]
    as_they_are: dict[str, int]
    lines: int
    taps_planned: int
    drops_due: int
    measure_again: tuple[Again, ...]
    stays: tuple[str, ...]
    closed: str


def proposal(
    season: Season, year: int, found: Sequence[Change], now: datetime, *, left: Collection[int] = ()
) -> Proposal:
    """A season's changes, with what would come of them.

    Args:
        season: The season they come from.
        year: The season to be made.
        found: The changes: see `season.rollover.changes`.
        now: The time.
        left: Numbers of changes that are left as they are.
    """
    numbered, begun = changing(found), year in season.book.seasons
    there = Book.open(season.book.path, year=year).entries if begun else ()
    plan = preview(year, drafts_of(found, [numbered[n - 1] for n in left]), there).plan
    again = [(line, line_trees(plan, line)) for line in plan.lines]
    ledger, closed = season.ledger, season.ledger.closed
    stays = [item for item in closing_items(ledger, now) if not _goes_on(item, ledger)]
    told = told_items(stays, season.plan, now)
    return Proposal(
        book=season.book.name,
        season=season.year,
        next=year,
        begun=begun,
        rows=tuple(_row(n, change) for n, change in enumerate(numbered, start=1)),
        as_they_are=dict(Counter(_kind(x.entry) for x in found if not x.changed)),
        lines=sum(1 for _line in plan.lines),
        taps_planned=sum(plan.taps(line) or 0 for line in plan.lines),
        drops_due=sum(plan.drops_due(line) or 0 for line in plan.lines)
        if plan.counting("drops")
        else 0,
        measure_again=tuple(
            Again(line.block, line.line, judged.soon, trees.day.year)
            for line, judged in again
            if judged.soon and (trees := plan.trees(line.block, line.line)) is not None
        ),
        stays=tuple(f"{item.says}: {item.where}".rstrip(": ") for item in told),
        closed=signed_entry(closed) if closed else "",
    )


def _goes_on(item: Item, ledger: Ledger) -> bool:
    """Whether the next season has an open item too; of spouts, where somebody was at pulling."""
    line = ledger.plan.line(item.about.block, item.about.line)
    if item.what is What.LEFT_IN and line is not None:
        return left_in_trees(ledger, line)[1] is not None
    return item.what in GOES_ON


def changing(found: Sequence[Change]) -> list[Change]:
    """The changes that somebody looks at, in the order of their numbers."""
    return [change for change in found if change.changed]


def _kind(entry: AnyEntry) -> str:
    return KINDS.get(type(entry), entry.kind)


def _row(number: int, change: Change) -> Row:
    entry, was = change.entry, change.was
    said = dict(_values(entry, was, change))
    return Row(
        number=number,
        what=_kind(entry) if not (isinstance(entry, Note) and not entry.hazard) else N_("note"),
        where=_which(entry),
        was="; ".join(before for before, _after in said.values()),
        then="; ".join(after for _before, after in said.values()),
        why=one_line(change.why),
        needed=change.needed,
    )


def _which(entry: AnyEntry) -> str:
    match entry:
        case Setting():
            return entry.setting
        case Target():
            return ", ".join(part for part in (entry.task, place(entry.block, entry.line)) if part)
        case Person():
            return entry.person
    return place(getattr(entry, "block", ""), getattr(entry, "line", ""))


def _values(
    entry: AnyEntry, was: AnyEntry | None, change: Change
) -> Iterator[tuple[str, tuple[str, str]]]:
    """What differs, as it was and as it would be."""
    match entry:
        case Setting():
            before = getattr(change.otherwise, "value", "")
            yield "value", (str(before), str(entry.value))
        case Line() if isinstance(was, Line):
            if was.taps_planned != entry.taps_planned:
                form = _("{n} taps")
                taps = (was.taps_planned, entry.taps_planned)
                yield "taps", (form.format(n=taps[0]), form.format(n=taps[1]))
            if was.drops_hung != entry.drops_hung:
                hung = (was.drops_hung or _("unknown"), entry.drops_hung or _("unknown"))
                form = _("drops {year}")
                yield "hung", (form.format(year=hung[0]), form.format(year=hung[1]))
            if was.drops != entry.drops:
                form = _("{n} drops hang")
                yield "drops", (form.format(n=was.drops), form.format(n=entry.drops))
        case Target() if isinstance(was, Target):
            yield "wanted", (_day(was), _day(entry))
        case Note() | Repair():
            yield "text", ("", one_line(entry.text))
        case Valve():
            yield "state", ("", _("shut") + (f": {one_line(entry.reason)}" if entry.reason else ""))


def _day(target: Target) -> str:
    return f"{short_day(target.wanted)} {target.wanted.year}" if target.wanted else ""


# --- as words and tables ---


def outset(report: Proposal) -> list[str]:
    """What the next season would be, in a few lines, and what to see to first."""
    said = [
        ngettext(
            "Season {year}: {n} line, {taps:,} taps planned, {drops:,} drops due",
            "Season {year}: {n} lines, {taps:,} taps planned, {drops:,} drops due",
            report.lines,
        ).format(year=report.next, n=report.lines, taps=report.taps_planned, drops=report.drops_due)
    ]
    if report.measure_again:
        said.append(
            _(
                "{n:,} trees on {lines} lines may have grown to a limit: measure them again "
                "(fieldbook plan trees)"
            ).format(
                n=sum(line.trees for line in report.measure_again), lines=len(report.measure_again)
            )
        )
    if not report.closed:
        said.append(
            _(
                "! Season {year} is not closed: what is done in it from now on is not taken over"
            ).format(year=report.season)
        )
    if report.begun:
        said.append(
            _("Season {year} is begun: what it has already is left alone").format(year=report.next)
        )
    same = ", ".join(f"{n:,} x {_(kind)}" for kind, n in report.as_they_are.items())
    if same:
        said.append(_("Taken over as it is: {what}").format(what=same))
    said.append(_("Not taken over: what lies in the shed, to be counted anew (fieldbook record)"))
    return said


def proposal_listings(report: Proposal) -> list[Listing]:
    """The difference, row by row; and the lines whose trees are to be measured again."""
    changes = Listing(
        name="changes",
        title=_("What is other in {year}").format(year=report.next),
        columns=("number", "what", "where", "was", "then", "why", "needed"),
        heads=("#", _("What"), _("Where"), str(report.season), str(report.next), _("Why"), None),
        rows=tuple(
            (row.number, _(row.what), row.where, row.was, row.then, row.why, row.needed)
            for row in report.rows
        ),
        notes=tuple(_notes(report)),
    )
    again = Listing(
        name="measure",
        title=_("Trees to measure again"),
        columns=("block", "line", "trees", "taken"),
        heads=(_("Block"), _("Line"), _("Trees"), _("Taken in")),
        rows=tuple((a.block, a.line, a.trees, str(a.taken)) for a in report.measure_again),
        by_block=True,
    )
    return [changes, again] if report.measure_again else [changes]


def _notes(report: Proposal) -> Iterator[str]:
    if not report.rows and report.as_they_are:
        yield _("Nothing is other.")
    elif not report.rows:
        yield _("There is nothing to take over: season {year} has all of it.").format(
            year=report.next
        )
    if report.stays:
        yield ngettext(
            "! {n} open item stays in season {year}, and is closed there: {what}",
            "! {n} open items stay in season {year}, and are closed there: {what}",
            len(report.stays),
        ).format(
            n=len(report.stays),
            year=report.season,
            what="; ".join(report.stays[:STAYS_TOLD]) + (" ~" if report.stays[STAYS_TOLD:] else ""),
        )


def row_words(row: Row) -> str:
    """A change on one line, to be asked about."""
    what = " ".join(part for part in (_(row.what), row.where) if part)
    values = " -> ".join(part for part in (row.was, row.then) if part)
    said = ": ".join(part for part in (what, values) if part)
    return f"{row.number:>3}  {said} ({row.why})"


def proposal_lines(report: Proposal, *, width: int) -> list[str]:
    """The whole of it as plain lines: the difference row by row, and what stays."""
    lines = [
        piece for said in outset(report) for piece in wrap(said, width, subsequent_indent="  ")
    ]
    lines += ["", _("Other than in {year}:").format(year=report.season)] if report.rows else []
    for row in report.rows:
        lines += wrap(row_words(row), width, subsequent_indent=" " * 9)
    for note in _notes(report):
        lines += ["", *wrap(note, width, subsequent_indent="  ")]
    return lines
