"""Will it last? The clean wood of each size of tree under the taps the rule gives it."""

from collections.abc import Iterator

from msgspec import Struct

from fieldbook.i18n import _, ngettext
from fieldbook.reports.listing import Listing
from fieldbook.season.plan import Plan
from fieldbook.season.season import Season
from fieldbook.trade import sources, tapping, zone

TYPICAL_IN = range(10, 25, 2)
"""Sizes shown where no trees were tallied, in inches."""

LEAST_IN, MOST_IN = 4, 60
"""Sizes that can be reckoned, in inches."""

CAUTIOUS = 75.0
"""The stain factor that fits the least growth the same authors published: see `ZONE_MILD`."""

STAIN_FACTORS = (25.0, 50.0, CAUTIOUS, 100.0)
"""Stain factors the verdict is tried with: nobody knows it well."""


class SizeWear(Struct, frozen=True):
    """Trees of one size under the rule's taps for a hundred years.

    Attributes:
        dbh_in: Diameter at breast height, in whole inches, rounded down.
        trees: Trees tallied of that size; None where none were tallied at all.
        taps: Taps the book's rule gives each by its own diameter, and goes on giving.
        clean_pct_20: Clean wood after twenty years, in percent.
        lowest_pct: The least clean wood of a hundred years.
        lowest_year: In which year.
        below_year: The first year under the book's share; None if there is none.
        most_taps: The most taps that hold.
        holds_at: By stain factor: whether the verdict is that it holds.
    """

    dbh_in: float
    trees: int | None
    taps: int
    clean_pct_20: float
    lowest_pct: float
    lowest_year: int
    below_year: int | None
    most_taps: int
    holds_at: dict[str, bool]


class Wear(Struct, frozen=True):
    """Every size of tree, and what it was reckoned with.

    Attributes:
        rule: The book's rule.
        aim_pct: Share of clean wood to keep.
        drilled: Growth, reach, hole and stain factor.
        sizes: Size by size, those the rule taps.
    """

    rule: str
    aim_pct: float
    drilled: dict[str, float]
    sizes: tuple[SizeWear, ...]


def drilled(plan: Plan) -> zone.Drilled:
    """How the book says that trees are drilled."""
    return zone.Drilled(
        growth_dbh_in=plan.number("growth_dbh_in"),
        reach_in=plan.number("drop_length_in"),
        width_in=plan.number("hole_width_in"),
        depth_in=plan.number("hole_depth_in"),
        stain_factor=plan.number("stain_factor"),
    )


def wear(season: Season) -> Wear:
    """What a hundred years of the book's rule do to trees of each size."""
    plan = season.plan
    rule, aim, how = plan.tap_rule, plan.number("clean_wood_pct") / 100, drilled(season.plan)
    groups = [group for line in plan.lines for group in plan.tally(line)]
    sizes: dict[tuple[float, int], int | None] = {}
    for group in groups:  # 30 cm is not yet 12 in, and yet tapped by some rules
        size = float(int(group.dbh_in)), tapping.taps_for(dbh_in=group.dbh_in, rule=rule)
        sizes[size] = (sizes.get(size) or 0) + group.trees
    if not groups:
        sizes = {(float(x), tapping.taps_for(dbh_in=x, rule=rule)): None for x in TYPICAL_IN}
    return Wear(
        rule=rule.name,
        aim_pct=100 * aim,
        drilled=how._asdict(),
        sizes=tuple(
            _size(dbh_in, taps, trees, how, aim)
            for (dbh_in, taps), trees in sorted(sizes.items())
            if taps and LEAST_IN <= dbh_in <= MOST_IN
        ),
    )


def _size(dbh_in: float, taps: int, trees: int | None, how: zone.Drilled, aim: float) -> SizeWear:
    outlook = zone.outlook(dbh_in=dbh_in, taps=taps, how=how, aim=aim)
    return SizeWear(
        dbh_in=dbh_in,
        trees=trees,
        taps=taps,
        clean_pct_20=100 * outlook.years[19].clean_share,
        lowest_pct=100 * outlook.lowest_share,
        lowest_year=outlook.lowest_year,
        below_year=outlook.below_year,
        most_taps=zone.most_taps(dbh_in=dbh_in, how=how, aim=aim),
        holds_at=holds_by_stain(dbh_in=dbh_in, taps=taps, how=how, aim=aim),
    )


def holds_by_stain(*, dbh_in: float, taps: int, how: zone.Drilled, aim: float) -> dict[str, bool]:
    """By each stain factor tried, whatever the one in `how`: whether the tapping holds."""
    return {
        f"{factor:g}": zone.outlook(
            dbh_in=dbh_in, taps=taps, how=how._replace(stain_factor=factor), aim=aim
        ).holds
        for factor in STAIN_FACTORS
    }


def verdict(size: SizeWear) -> str:
    """What a crew lead makes of it: `2 lose clean wood from year 9; 1 holds`."""
    if size.below_year is None:
        said = _hold(size.taps)
        return said if size.holds_at[f"{CAUTIOUS:g}"] else f"{said}; {not_cautious()}"
    lose = ngettext(
        "{taps} loses clean wood from year {year}",
        "{taps} lose clean wood from year {year}",
        size.taps,
    ).format(taps=size.taps, year=size.below_year)
    return f"{lose}; " + (_hold(size.most_taps) if size.most_taps else _("none holds"))


def not_cautious() -> str:
    return _("not with a stain factor of {factor:g}").format(factor=CAUTIOUS)


def _hold(taps: int) -> str:
    return ngettext("{taps} holds", "{taps} hold", taps).format(taps=taps)


def wear_listing(report: Wear) -> Listing:
    """Will it last? Size by size, as a table."""
    return Listing(
        name="wear",
        title=_("Wear: will the wood last? {rule} rule, {aim:g} % clean wood to keep").format(
            rule=report.rule, aim=report.aim_pct
        ),
        columns=(
            *("dbh_in", "trees", "taps", "clean_pct_20", "lowest_pct", "lowest_year"),
            *("below_year", "most_taps", "verdict"),
        ),
        heads=(
            *(_("DBH in"), _("Trees"), _("Taps"), _("% clean, 20 years"), _("% at least"), None),
            *(None, None, _("Verdict")),
        ),
        rows=tuple(
            (
                *(size.dbh_in, size.trees, size.taps),
                *(round(size.clean_pct_20, 1), round(size.lowest_pct, 1), size.lowest_year),
                *(size.below_year, size.most_taps, "! " * (not holds(size)) + verdict(size)),
            )
            for size in report.sizes
        ),
        notes=tuple(_notes(report)),
    )


def holds(size: SizeWear) -> bool:
    return size.below_year is None


def _notes(report: Wear) -> Iterator[str]:
    how = report.drilled
    yield _(
        "Reckoned with {growth_dbh_in:g} in of growth a year, drops that reach {reach_in:g} in, "
        "holes {width_in:g} in wide and {depth_in:g} in deep, stain {stain_factor:g} times the "
        "hole; as if the same trees were tapped a hundred years."
    ).format(**how)
    for factor in STAIN_FACTORS:
        held = sum(size.holds_at[f"{factor:g}"] for size in report.sizes)
        yield _("With a stain factor of {factor:g}: {held} of {all} sizes hold.").format(
            factor=factor, held=held, all=len(report.sizes)
        )
    yield f"{sources.ZONE}. {sources.STAIN}; {sources.ZONE_MILD}."
    yield _("One size by itself, with a curve: fieldbook reckon zone --dbh-in 18 --taps 2")
