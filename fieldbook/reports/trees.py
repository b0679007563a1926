"""What the trees can carry against what is planned."""

from collections.abc import Iterator

from msgspec import Struct

from fieldbook.book.entry import Line
from fieldbook.i18n import _, ngettext
from fieldbook.reports.listing import Listing
from fieldbook.reports.words import place, rule_source
from fieldbook.season.plan import Plan
from fieldbook.season.season import Season
from fieldbook.trade import tapping

SOON_YEARS = 2
"""Trees that reach the first limit within so many years are due to be measured again."""


class LineTrees(Struct, frozen=True):
    """A line, or a whole block, by its trees.

    Attributes:
        block: Its block.
        line: Its name; empty for the block.
        trees: Trees tallied; None if none were.
        planned: Taps planned; None if neither the plan nor the trees say.
        allowed: Taps the trees may carry by the book's rule.
        over: Taps planned beyond that.
        soon: Trees under the rule's first limit that may have grown to it by now, or will within
            two years: due to be measured again.
        by_rule: Taps by every rule there is.
    """

    block: str
    line: str
    trees: int | None
    planned: int | None
    allowed: int | None
    over: int
    soon: int
    by_rule: dict[str, int]


class Allowance(Struct, frozen=True):
    """The plan against the trees.

    Attributes:
        rule: The book's rule.
        source: Where it comes from.
        growth_dbh_in: Diameter the trees gain in a year.
        growth_source: Where that comes from.
        lines: Line by line.
        blocks: Block by block, of the lines that were tallied.
    """

    rule: str
    source: str
    growth_dbh_in: float
    growth_source: str
    lines: tuple[LineTrees, ...]
    blocks: tuple[LineTrees, ...]


def allowance(season: Season) -> Allowance:
    """The plan of every line against its trees."""
    plan = season.plan
    lines = tuple(line_trees(plan, line) for line in plan.lines)
    return Allowance(
        rule=plan.tap_rule.name,
        source=plan.tap_rule.source,
        growth_dbh_in=plan.number("growth_dbh_in"),
        growth_source=rule_source(plan, "growth_dbh_in"),
        lines=lines,
        blocks=tuple(
            _together(block, [line for line in lines if line.block == block])
            for block in plan.blocks
        ),
    )


def line_trees(plan: Plan, line: Line) -> LineTrees:
    """A line by its trees."""
    tally, rule, planned = plan.tally(line), plan.tap_rule, plan.taps(line)
    taken = plan.trees(line.block, line.line)
    allowed = plan.taps_allowed(line)
    years = SOON_YEARS + (max(0, plan.year - taken.day.year) if taken else 0)
    return LineTrees(
        block=line.block,
        line=line.line,
        trees=sum(group.trees for group in tally) if tally else None,
        planned=planned,
        allowed=allowed,
        over=0 if allowed is None else max(0, (planned or 0) - allowed),
        soon=tapping.near_limit(
            tally, rule=rule, growth_dbh_in=plan.number("growth_dbh_in"), years=years
        ),
        by_rule={
            name: tapping.taps_allowed(tally, rule=other)
            for name, other in plan.tap_rules.items()
            if tally
        },
    )


def _together(block: str, lines: list[LineTrees]) -> LineTrees:
    """The lines of a block that were tallied."""
    known = [line for line in lines if line.allowed is not None]
    names = known[0].by_rule if known else ()
    return LineTrees(
        block=block,
        line="",
        trees=sum(line.trees or 0 for line in known) if known else None,
        planned=sum(line.planned or 0 for line in known) if known else None,
        allowed=sum(line.allowed or 0 for line in known) if known else None,
        over=sum(line.over for line in known),
        soon=sum(line.soon for line in known),
        by_rule={name: sum(line.by_rule[name] for line in known) for name in names},
    )


def trees_flag(line: LineTrees) -> str:
    """What of a line's plan is more than its trees carry; empty if nothing is."""
    if not line.over:
        return ""
    return _("{over:,} taps over the {allowed:,} that its {trees:,} trees allow").format(
        over=line.over, allowed=line.allowed, trees=line.trees
    )


def trees_listing(report: Allowance) -> Listing:
    """The plan against the trees, by the book's rule beside the published ones, as a table."""
    rules = [*tapping.RULES, *({report.rule} - set(tapping.RULES))]
    return Listing(
        name="trees",
        title=_("Trees: what they can carry against what is planned"),
        columns=(
            *("block", "line", "trees", "planned", "over", "soon"),
            *(f"by {rule}" for rule in rules),
        ),
        heads=(
            *(_("Block"), _("Line"), _("Trees"), _("Plan"), _("Over"), _("Soon")),
            *(_short(name) + "*" * (name == report.rule) for name in rules),
        ),
        rows=tuple(
            (
                *(line.block, line.line, line.trees, line.planned),
                *(line.over or None, line.soon or None),
                *(line.by_rule.get(name) for name in rules),
            )
            for block in report.blocks
            for line in (block, *(x for x in report.lines if x.block == block.block))
        ),
        notes=tuple(_trees_notes(report)),
        by_block=True,
    )


def _trees_notes(report: Allowance) -> Iterator[str]:
    for line in report.lines:
        if flag := trees_flag(line):
            yield f"! {place(line.block, line.line)}: {flag}"
    for line in report.lines:
        if line.planned is None:
            yield _("! {place}: planned by its trees, and none are tallied: e in the round").format(
                place=place(line.block, line.line)
            )
    if soon := sum(line.soon for line in report.lines):
        yield ngettext(
            "{n} tree may have reached the first limit, or will within {years} years (Soon): "
            "measure it again.",
            "{n} trees may have reached the first limit, or will within {years} years (Soon): "
            "measure them again.",
            soon,
        ).format(n=soon, years=SOON_YEARS)
    if unknown := sum(line.trees is None for line in report.lines):
        yield ngettext(
            "{n} line has no tally of its trees, and is in no sum of a block above: fill in "
            "fieldbook blank trees.",
            "{n} lines have no tally of their trees, and are in no sum of a block above: fill in "
            "fieldbook blank trees.",
            unknown,
        ).format(n=unknown)
    yield _("* the book's rule, {rule}: {source}.").format(rule=report.rule, source=report.source)
    yield _("Growth of {growth:g} in of diameter a year: {source}.").format(
        growth=report.growth_dbh_in, source=report.growth_source
    )
    yield _(
        "Heads are the first letters of each rule. A tree on a limit is of the larger class only "
        "where the source says 'and over'; in a gap or overlap the lower count stands."
    )


def _short(rule: str) -> str:
    """The name of a rule over a narrow column: `cons`, `q-pr`."""
    first, _dash, rest = rule.partition("-")
    return f"{first[:1]}-{rest[:2]}" if rest else first[:4]
