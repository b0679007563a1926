"""The tables of the season in full that are of no other report."""

from collections.abc import Iterable

from fieldbook.i18n import _, ngettext
from fieldbook.reports.balance import balance_listings
from fieldbook.reports.full import Full
from fieldbook.reports.listing import Listing
from fieldbook.reports.log import LogLine, says
from fieldbook.reports.summary import Summary
from fieldbook.reports.words import MARKS, one_line, standing_word
from fieldbook.reports.work import blocks_listing


def plan_listing(summary: Summary) -> Listing:
    """Each task against its plan."""
    return Listing(
        name="plan",
        title=_("Tasks against the plan"),
        columns=(
            *("task", "planned", "done", "percent", "left", "short", "over", "standing"),
            "wanted",
        ),
        heads=(
            *(_("Task"), _("Planned"), _("Done"), "%", _("Left"), _("Short"), _("Over")),
            *(_("Standing"), _("Wanted")),
        ),
        rows=tuple(
            (
                *(part.title, part.planned, part.done, part.percent, part.left, part.short),
                *(part.over, f"{MARKS[part.standing]} {standing_word(part.standing)}"),
                part.wanted,
            )
            for part in summary.tasks
        ),
        notes=(_("planned = done + left + short - over"),),
    )


def blocks(full: Full) -> Listing:
    """Each block in each task."""
    parts = {
        (block.block, part.task): part for block in full.summary.blocks for part in block.tasks
    }
    return blocks_listing(full.work, parts)


def spouts(full: Full) -> Listing:
    """What must balance, block by block."""
    balance = full.summary.balance
    lines, _bags, _days = balance_listings(balance)
    return Listing(
        name="spouts",
        title=_("Drops, taps and spouts by block"),
        columns=("block", "drops", "taps", "untapped", "over", "pulled", "in_trees"),
        heads=(
            *(_("Block"), _("Drops"), _("Taps"), _("Not tapped"), _("Over")),
            *(_("Pulled"), _("In trees")),
        ),
        rows=tuple(
            (
                *(b.block, b.count.drops, b.count.taps, b.count.untapped, b.count.over),
                *(b.count.pulled, b.count.in_trees),
            )
            for b in balance.blocks
        ),
        notes=lines.notes,
    )


def bags(full: Full) -> Listing:
    """The spouts of each person."""
    _lines, listing, _days = balance_listings(full.summary.balance)
    return listing


def ages(full: Full) -> Listing:
    """How old the drops are now."""
    unknown = any(part.drops is None for part in full.drops_now)
    return Listing(
        name="ages",
        title=_("How old the drops are now"),
        columns=("age_years", "lines", "drops"),
        heads=(_("Age"), _("Lines"), _("Drops")),
        rows=tuple((_age(part.age_years), part.lines, part.drops) for part in full.drops_now),
        notes=(_("A dash: nobody knows how many drops hang."),) if unknown else (),
    )


def _age(years: int | None) -> str:
    if years is None:
        return _("unknown")
    if not years:
        return _("new")
    return ngettext("{n} season", "{n} seasons", years).format(n=years)


def sap_by_block(full: Full) -> Listing:
    """Sap and syrup of the blocks that have a measure of their own."""
    measured = [
        block
        for block in full.summary.blocks
        if block.sap.days_measured or block.sap.syrup_gal is not None
    ]
    return Listing(
        name="sap",
        title=_("Sap and syrup by block"),
        columns=(
            *("block", "taps", "sap_gal", "sap_gal_per_tap", "syrup_gal", "syrup_gal_per_tap"),
            *("brix_pct", "days_measured", "days_blank", "best_fifth_share"),
        ),
        heads=(
            *(_("Block"), _("Taps"), _("Sap gal"), _("gal/tap"), _("Syrup gal"), None),
            *(_("Brix"), _("Days"), _("Blank"), None),
        ),
        rows=tuple(
            (
                *(b.block, b.sap.taps, b.sap.sap_gal, b.sap.sap_gal_per_tap, b.sap.syrup_gal),
                *(b.sap.syrup_gal_per_tap, b.sap.brix, b.sap.days_measured, b.sap.days_blank),
                b.sap.best_fifth_share,
            )
            for b in measured
        ),
        notes=(_("Days: sap was measured. Blank: the day is written down, sap was not measured."),),
    )


def notes(full: Full) -> Listing:
    """Notes that somebody made."""
    return Listing(
        name="notes",
        title=_("Notes"),
        columns=("id", "day", "who", "place", "says"),
        heads=(_("Id"), _("Day"), _("Who"), _("Where"), _("What")),
        rows=tuple(map(_entry, full.notes)),
    )


def written_off(full: Full) -> Listing:
    """Open items that nothing more is done about; the words say where."""
    return Listing(
        name="written-off",
        title=_("Written off, with who and why"),
        columns=("id", "day", "who", "says"),
        heads=(_("Id"), _("Day"), _("Who"), _("What")),
        rows=tuple(
            (line.id, line.at.date(), line.who or line.by, line.says) for line in full.written_off
        ),
    )


def carried(full: Full) -> Listing:
    """What came over from the season before, and what became of it."""
    return Listing(
        name="carried",
        title=_("Carried over from the season before"),
        columns=("id", "day", "who", "place", "says", "from", "state"),
        heads=(_("Id"), _("Day"), _("Who"), _("Where"), _("What"), _("From"), _("Now")),
        rows=tuple(
            (*_entry(one.line), one.entry, _("open") if one.open else _("closed"))
            for one in full.carried
        ),
    )


def struck(full: Full) -> Listing:
    """Entries crossed out."""
    return Listing(
        name="struck",
        title=_("Struck, with who and why"),
        columns=("id", "day", "who", "place", "says", "struck"),
        heads=(_("Id"), _("Day"), _("Who"), _("Where"), _("What"), _("Struck by")),
        rows=tuple((*_entry(line), one_line(line.struck)) for line in full.struck),
        notes=tuple(_not_here(full)),
    )


def _not_here(full: Full) -> Iterable[str]:
    """What of the strikes is not in the table."""
    others = full.summary.struck - len(full.struck)
    if others > 0:
        yield ngettext(
            "{n} more is of a later day, or has not come in yet",
            "{n} more are of a later day, or have not come in yet",
            others,
        ).format(n=others)


def _entry(line: LogLine) -> tuple[object, ...]:
    return line.id, line.at.date(), line.who or line.by, line.place, one_line(says(line))
