"""Sums of trees: taps by a rule, taps of a woods by sampling, and whether the wood will last."""

from collections.abc import Mapping, Sequence
from functools import partial
from math import isfinite
from typing import Any

from fieldbook.errors import BookError
from fieldbook.i18n import _, ngettext
from fieldbook.reports.reckon.sums import Answer, CrewRules, plain, reckoned
from fieldbook.reports.render.curves import wear_curve
from fieldbook.reports.wear import STAIN_FACTORS, Drilled
from fieldbook.season.tally import dbh_in as tallied_in
from fieldbook.season.tally import read_tally
from fieldbook.trade import sources, tapping, zone
from fieldbook.trade.ranges import Range
from fieldbook.trade.units import in_from_cm

PLOT_SIZE = (70, 12)
"""Width and height of the curve of clean wood, in characters."""

HOLES_IN = {"1/4": 0.25, "5/16": 0.3125, "7/16": 0.4375}
"""Usual holes, in inches."""

ACRES = Range("woods", 0, 1_000_000, "acres", above=True)


def _rules(
    crew: CrewRules, own_first_in: float, own_step_in: float, own_most_taps: int
) -> dict[str, tapping.TapRule]:
    """Every rule there is: published, of the crew's table, and the crew's own by its limits."""
    own = tapping.own_rule(first_in=own_first_in, step_in=own_step_in, most=own_most_taps)
    return {**tapping.RULES, **crew, own.name: own}


def _chosen(rules: Mapping[str, tapping.TapRule], name: str) -> tapping.TapRule:
    if name not in rules:
        raise ValueError(f"rule {name}: out of range, one of {', '.join(rules)}")
    return rules[name]


def _rule_words(rule: tapping.TapRule) -> str:
    """A rule in a line: `conservative: 12-18 in 1, 18 in and over 2`."""
    classes = ", ".join(
        f"{low:g}{_(' {unit} and over').format(unit=rule.unit) if high is None else ''}"
        f"{'' if high in (None, low) else f'-{high:g}'}"
        f"{'' if high is None else f' {rule.unit}'} {taps}"
        for low, high, taps in rule.classes
    )
    return f"{rule.name}: {classes}"


@reckoned(either=("girth_in", "dbh_in"))
def taps(
    *,
    girth_in: float | None = None,
    dbh_in: float | None = None,
    rule: str,
    own_first_in: float,
    own_step_in: float,
    own_most_taps: int,
    crew_rules: CrewRules = {},  # noqa: B006  # nobody writes in it
) -> Answer:
    """Taps that a tree may carry, by its size.

    Left out:
        How healthy the tree is, how fast it grows, and how much of its trunk is scarred; the sum
        zone looks at the wood. Between two classes of a table the lower count stands.

    Example:
        --girth-in 38 --rule conservative

    Args:
        girth_in: Girth at breast height (4.5 ft, 1.30 m) in inches, above 0 to 314.16.
        dbh_in: Diameter at breast height in inches, above 0 to 100.
        rule: Rule by which trees are tapped: traditional, conservative, quebec-private,
            quebec-public, ontario, own (by the three limits below), or one of the book's table.
        own_first_in: Rule own: diameter from which a tree is tapped, in inches.
        own_step_in: Rule own: inches of diameter for each further tap.
        own_most_taps: Rule own: most taps of one tree.
    """
    rules = _rules(crew_rules, own_first_in, own_step_in, own_most_taps)
    table = _chosen(rules, rule)
    steps = []
    if girth_in is not None:
        dbh_in = tapping.dbh_from_girth_in(girth_in=girth_in)
        steps = [
            _("DBH, the diameter at breast height = girth / pi, as of a round trunk"),
            _("DBH = {girth_in} in / 3.1416 = {dbh_in} in"),
        ]
    assert dbh_in is not None  # one of the two is given
    by_rule = {name: tapping.taps_for(dbh_in=dbh_in, rule=each) for name, each in rules.items()}
    count = by_rule[rule]
    size = dbh_in if table.unit == "in" else dbh_in / in_from_cm(1)
    return Answer(
        result={"taps": count, "dbh_in": dbh_in, "by_rule": by_rule},
        said=(
            ngettext(
                "{taps} tap in a tree of {dbh_in} in DBH, by the rule {rule}.",
                "{taps} taps in a tree of {dbh_in} in DBH, by the rule {rule}.",
                count,
            ),
            _("By the others: {others}."),
        ),
        steps=(
            *steps,
            _("Taps = what the table says of the class the DBH is in ({table})"),
            ngettext("{size} {unit} -> {taps} tap", "{size} {unit} -> {taps} taps", count),
        ),
        rule=_rule_words(table),
        source=table.source,
        terms={
            "table": _rule_words(table),
            "size": size,
            "unit": table.unit,
            "others": ", ".join(f"{name} {n}" for name, n in by_rule.items() if name != rule),
        },
    )


@reckoned()
def allowance(
    *,
    trees: str,
    rule: str,
    own_first_in: float,
    own_step_in: float,
    own_most_taps: int,
    crew_rules: CrewRules = {},  # noqa: B006  # nobody writes in it
) -> Answer:
    """Taps that tallied trees may carry together.

    Left out:
        Trees that nobody tallied, and those that are sick or stand where no line goes.

    Example:
        --trees "12:40 14:31 30cm:12 38g:4" --rule conservative

    Args:
        trees: Trees by size: diameter in inches and how many, 12:40 14:31; 30cm:12 in centimetres,
            38g:4 by girth in inches. Above 0 to 100 in, up to 999,999 trees of each size.
        rule: Rule by which trees are tapped: traditional, conservative, quebec-private,
            quebec-public, ontario, own (by the three limits below), or one of the book's table.
        own_first_in: Rule own: diameter from which a tree is tapped, in inches.
        own_step_in: Rule own: inches of diameter for each further tap.
        own_most_taps: Rule own: most taps of one tree.
    """
    rules = _rules(crew_rules, own_first_in, own_step_in, own_most_taps)
    table = _chosen(rules, rule)
    tally = [tapping.TreeClass(tallied_in(group), group.count) for group in read_tally(trees)]
    count = tapping.taps_allowed(tally, rule=table)
    classes = [
        (group.trees, group.dbh_in, tapping.taps_for(dbh_in=group.dbh_in, rule=table))
        for group in tally
    ]
    return Answer(
        result={
            "taps": count,
            "trees": sum(group.trees for group in tally),
            "trees_tapped": tapping.trees_to_tap(tally, rule=table),
            "by_rule": {
                name: tapping.taps_allowed(tally, rule=each) for name, each in rules.items()
            },
        },
        said=(
            ngettext(
                "{taps} tap in {trees_tapped} of {trees} trees, by the rule {rule}.",
                "{taps} taps in {trees_tapped} of {trees} trees, by the rule {rule}.",
                count,
            ),
        ),
        steps=(
            _("Taps = sum over the sizes of trees x taps of each, by the table ({table})"),
            *(
                _("{trees} trees of {dbh} in x {taps} = {product}").format(
                    trees=plain(n), dbh=plain(dbh), taps=each, product=plain(n * each)
                )
                for n, dbh, each in classes
            ),
            _("together {taps}"),
        ),
        rule=_rule_words(table),
        source=table.source,
        terms={"table": _rule_words(table)},
    )


@reckoned()
def plot(*, taps: Sequence[int], plot_acres: float = 0.05, acres: float | None = None) -> Answer:
    """Taps an acre, and in a woods, from round sample plots.

    Left out:
        How far chance may lead so few plots astray; more of them, laid out blindly, are surer.

    Example:
        --taps 3 5 4 --acres 12

    Args:
        taps: Taps tallied on each plot, 0 to 1,000,000, at least one plot.
        plot_acres: Size of a plot in acres, above 0 to 10; 1/20 is usual.
        acres: Size of the woods in acres, above 0 to 1,000,000.
    """
    an_acre = tapping.taps_per_acre_from_plots(taps=taps, plot_acres=plot_acres)
    result: dict[str, Any] = {
        "taps_per_acre": an_acre,
        "plot_radius_ft": tapping.plot_radius_ft(plot_acres=plot_acres),
    }
    said = [_("{taps_per_acre} taps an acre, from plots of {plot_radius_ft} ft radius.")]
    steps = [
        _("Taps an acre = mean of the plots / size of a plot"),
        _("mean of {taps} = {mean}; {mean} / {plot_acres} acres = {taps_per_acre} taps an acre"),
        _("Radius of a plot = square root of (43,560 sq ft x acres / pi) = {plot_radius_ft} ft"),
    ]
    if acres is not None:
        ACRES.check(acres)
        result["woods_taps"] = an_acre * acres
        said.append(_("{woods_taps:,.0f} taps in {acres} acres."))
        steps.append(_("{taps_per_acre} taps an acre x {acres} acres = {woods_taps} taps"))
    return Answer(
        result=result,
        said=tuple(said),
        steps=tuple(steps),
        rule=_("mean of the plots / size of a plot"),
        source=sources.MENSURATION,
        terms={"mean": sum(taps) / len(taps)},
    )


def _points(text: str) -> list[list[float]]:
    """Trees at each point, from `12 14.5, 18, -`."""
    try:
        return [
            [] if point.strip() == "-" else [float(tree) for tree in point.split()] or [float("")]
            for point in text.split(",")
        ]
    except ValueError:
        raise BookError(
            _("{text} does not say which trees were counted at each point.").format(
                text=repr(text)
            ),
            _("Write diameters in inches, points parted by commas, - for none: 12 14.5, 18, -"),
        ) from None


@reckoned()
def gauge(
    *,
    points: str,
    rule: str,
    own_first_in: float,
    own_step_in: float,
    own_most_taps: int,
    baf: float = 10.0,
    crew_rules: CrewRules = {},  # noqa: B006  # nobody writes in it
) -> Answer:
    """Taps an acre from points of an angle gauge.

    Left out:
        How far chance may lead so few points astray, and slope, for which a gauge is corrected.

    Example:
        --points "12 14.5, 18, -" --rule conservative

    Args:
        points: Diameters in inches, above 0 to 100, of the trees counted in at each point; points
            parted by commas, - for a point with none.
        rule: Rule by which trees are tapped: traditional, conservative, quebec-private,
            quebec-public, ontario, own (by the three limits below), or one of the book's table.
        own_first_in: Rule own: diameter from which a tree is tapped, in inches.
        own_step_in: Rule own: inches of diameter for each further tap.
        own_most_taps: Rule own: most taps of one tree.
        baf: Basal area factor of the gauge in square feet an acre, above 0 to 100.
    """
    table = _chosen(_rules(crew_rules, own_first_in, own_step_in, own_most_taps), rule)
    read = _points(points)
    an_acre = tapping.taps_per_acre_from_gauge(points=read, rule=table, baf=baf)
    return Answer(
        result={"taps_per_acre": an_acre, "points": len(read), "trees": sum(map(len, read))},
        said=(_("{taps_per_acre} taps an acre, from {trees} trees counted at {points} points."),),
        steps=(
            _("Each tree counted in stands for BAF / (0.005454 x DBH x DBH) trees an acre"),
            *(
                _("{dbh} in: {baf} / (0.005454 x {dbh} x {dbh}) = {trees} trees x {taps}").format(
                    dbh=plain(dbh),
                    baf=plain(baf),
                    trees=plain(tapping.trees_per_acre(dbh_in=dbh, baf=baf)),
                    taps=ngettext("{n} tap", "{n} taps", n).format(n=n),
                )
                for point in read
                for dbh in point
                for n in [tapping.taps_for(dbh_in=dbh, rule=table)]
            ),
            _("Taps an acre = their sum / {points} points = {taps_per_acre}"),
        ),
        rule=_("trees an acre x taps, mean over the points; ") + _rule_words(table),
        source=f"{sources.MENSURATION}; {table.source}",
    )


@reckoned(either=("growth_dbh_in", "bai_in2"))
def zone_(
    *,
    dbh_in: float,
    taps: int,
    growth_dbh_in: float | None,
    bai_in2: float | None = None,
    drop_length_in: float,
    hole_width_in: float,
    hole_depth_in: float,
    stain_factor: float,
    clean_wood_pct: float,
) -> Answer:
    """Whether a tree grows clean wood as fast as its taps stain it."""
