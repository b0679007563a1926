"""Sums of trees: taps by a rule, taps of a woods by sampling, and whether the wood will last."""

from collections.abc import Sequence
from functools import partial
from math import inf

from fieldbook.errors import BookError
from fieldbook.i18n import _, ngettext
from fieldbook.reports.reckon.sums import Answer, TapRules, plain, reckoned
from fieldbook.reports.render.curves import wear_curve
from fieldbook.reports.wear import CAUTIOUS, holds_by_stain, not_cautious
from fieldbook.season import tally
from fieldbook.trade import sources, tapping
from fieldbook.trade import zone as wood
from fieldbook.trade.ranges import Range
from fieldbook.trade.units import cm_from_in

CURVE = (70, 12)
"""Width and height of the curve of clean wood, in characters."""

HOLES_IN = {"1/4": 1 / 4, "5/16": 5 / 16, "7/16": 7 / 16}
"""Usual holes, in inches."""

LONGER_IN, LONGEST_IN = 6, 120
"""How much longer a drop is tried, up to the longest a zone is reckoned for."""

WOODS = Range("woods", 0, 1_000_000, "acres", above=True)


def _with_own(rules: TapRules, first_in: float, step_in: float, most: int) -> TapRules:
    """The tables of taps, and the crew's own rule by the limits given."""
    own = tapping.own_rule(first_in=first_in, step_in=step_in, most=most)
    return {**rules, own.name: own}


def _chosen(rules: TapRules, name: str) -> tapping.TapRule:
    if name not in rules:
        raise ValueError(f"rule {name}: out of range, one of {', '.join(rules)}")
    return rules[name]


def _in_words(rule: tapping.TapRule) -> str:
    """A table in a line: `conservative: 12-18 in 1, 18 in and over 2`."""
    return f"{rule.name}: " + ", ".join(
        f"{_size_words(low, high, rule.unit)} {taps}" for low, high, taps in rule.classes
    )


def _size_words(low: float, high: float | None, unit: str) -> str:
    if high is None:
        return _("{low:g} {unit} and over").format(low=low, unit=unit)
    return f"{low:g} {unit}" if low == high else f"{low:g}-{high:g} {unit}"


@reckoned(either=("girth_in", "dbh_in"))
def taps(
    *,
    girth_in: float | None = None,
    dbh_in: float | None = None,
    rule: str,
    own_first_in: float,
    own_step_in: float,
    own_most_taps: int,
    rules: TapRules,
) -> Answer:
    """Taps that a tree may carry, by its size.

    Left out:
        How healthy the tree is, how fast it grows and how scarred its trunk is; the sum zone looks
        at the wood. Where two classes of a table meet or leave a gap, the lower count stands.

    Example:
        --girth-in 38 --rule conservative

    Args:
        girth_in: Girth at breast height (4.5 ft, 1.30 m) in inches, above 0 to 314.16.
        dbh_in: Diameter at breast height in inches, above 0 to 100.
        rule: traditional, conservative, quebec-private, quebec-public, ontario, own, or one of the
            book's table.
    """
    steps = []
    if dbh_in is None:
        if girth_in is None:
            raise ValueError("neither girth nor DBH is given")
        dbh_in = tapping.dbh_from_girth_in(girth_in=girth_in)
        steps = [
            _("DBH, the diameter at breast height, = girth / pi, as of a round trunk"),
            _("DBH = {girth_in} in / 3.1416 = {dbh_in} in"),
        ]
    rules = _with_own(rules, own_first_in, own_step_in, own_most_taps)
    table = _chosen(rules, rule)
    by_rule = {name: tapping.taps_for(dbh_in=dbh_in, rule=each) for name, each in rules.items()}
    count = by_rule[rule]
    return Answer(
        result={"taps": count, "dbh_in": dbh_in, "by_rule": by_rule},
        said=(
            ngettext(
                "{taps} tap in a tree of {dbh_in} in (DBH), by the rule {rule}.",
                "{taps} taps in a tree of {dbh_in} in (DBH), by the rule {rule}.",
                count,
            ),
            _("By the other rules: {others}."),
        ),
        steps=(
            *steps,
            _("Taps = the count of the class that the DBH is in; the table is {table}"),
            ngettext(
                "{size} {unit} is of a class with {taps} tap",
                "{size} {unit} is of a class with {taps} taps",
                count,
            ),
        ),
        rule=_in_words(table),
        source=table.source,
        terms={
            "table": _in_words(table),
            "size": dbh_in if table.unit == "in" else cm_from_in(dbh_in),
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
    rules: TapRules,
) -> Answer:
    """Taps that tallied trees may carry together.

    Left out:
        Trees that nobody tallied, and those that are sick or stand where no line goes.

    Example:
        --trees "12:40 14:31 30cm:12 38g:4"

    Args:
        trees: Trees by size. 12:40 is 40 trees of 12 in, 30cm:12 is 12 of 30 cm, 38g:4 is 4 of
            38 in girth; above 0 to 100 in across, up to 999,999 of each size.
        rule: traditional, conservative, quebec-private, quebec-public, ontario, own, or one of the
            book's table.
    """
    rules = _with_own(rules, own_first_in, own_step_in, own_most_taps)
    table = _chosen(rules, rule)
    groups = [tapping.TreeClass(tally.dbh_in(g), g.count) for g in tally.read_tally(trees)]
    count = tapping.taps_allowed(groups, rule=table)
    return Answer(
        result={
            "taps": count,
            "trees_tallied": sum(group.trees for group in groups),
            "trees_tapped": tapping.trees_to_tap(groups, rule=table),
            "by_rule": {
                name: tapping.taps_allowed(groups, rule=each) for name, each in rules.items()
            },
        },
        said=(
            ngettext(
                "{taps} tap in {trees_tapped} of {trees_tallied} trees, by the rule {rule}.",
                "{taps} taps in {trees_tapped} of {trees_tallied} trees, by the rule {rule}.",
                count,
            ),
        ),
        steps=(
            _("Taps = trees x taps of a tree, size by size; the table is {table}"),
            *(
                _("{dbh} in: {trees} x {each} = {taps}").format(
                    dbh=plain(dbh), trees=plain(n), each=each, taps=plain(n * each)
                )
                for dbh, n in groups
                for each in [tapping.taps_for(dbh_in=dbh, rule=table)]
            ),
            _("All together {taps}"),
        ),
        rule=_in_words(table),
        source=table.source,
        terms={"table": _in_words(table)},
    )


@reckoned()
def plot(*, taps: Sequence[int], plot_acres: float = 0.05, acres: float | None = None) -> Answer:
    """Taps an acre, and in a whole woods, from round sample plots.

    Left out:
        How far chance may lead so few plots astray: more of them, laid out blindly, are surer.

    Example:
        --taps 3 5 4 --acres 12

    Args:
        taps: Taps tallied on each plot, 0 to 1,000,000; one plot or more.
        plot_acres: Size of a plot in acres, above 0 to 10; 1/20 is usual.
        acres: Size of the woods in acres, above 0 to 1,000,000.
    """
    an_acre = tapping.taps_per_acre_from_plots(taps=taps, plot_acres=plot_acres)
    result = {
        "taps_per_acre": an_acre,
        "plot_radius_ft": tapping.plot_radius_ft(plot_acres=plot_acres),
    }
    said = [_("{taps_per_acre} taps an acre, from plots {plot_radius_ft} ft in radius.")]
    steps = [
        _("Radius of a plot = square root of (43,560 sq ft x acres / pi)"),
        _("Square root of (43,560 x {plot_acres} / 3.1416) = {plot_radius_ft} ft"),
        _("Taps an acre = mean of the plots / size of a plot"),
        _("({taps}: mean {mean}) / {plot_acres} acres = {taps_per_acre} taps an acre"),
    ]
    if acres is not None:
        WOODS.check(acres)
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


def _trees(point: str) -> list[float]:
    """Diameters of the trees at a point; `-` is none."""
    words = point.split()
    if not words:
        raise ValueError
    return [] if words == ["-"] else [float(word) for word in words]


@reckoned()
def gauge(
    *,
    points: str,
    rule: str,
    baf: float = 10.0,
    own_first_in: float,
    own_step_in: float,
    own_most_taps: int,
    rules: TapRules,
) -> Answer:
    """Taps an acre from points of an angle gauge.

    Left out:
        How far chance may lead so few points astray; and the slope, for which a gauge is corrected.

    Example:
        --points "12 14.5, 18, -" --baf 10

    Args:
        points: Diameters in inches, above 0 to 100, of the trees counted in at each point; points
            parted by commas, - for one without trees.
        rule: traditional, conservative, quebec-private, quebec-public, ontario, own, or one of the
            book's table.
        baf: Basal area factor of the gauge in square feet an acre, above 0 to 100.
    """
    table = _chosen(_with_own(rules, own_first_in, own_step_in, own_most_taps), rule)
    try:
        read = [_trees(point) for point in points.split(",")]
    except ValueError:
        raise BookError(
            _("it does not say which trees were counted at each point."),
            _("Write diameters in inches, points parted by commas, - for none: 12 14.5, 18, -"),
        ) from None
    counted = [
        (dbh, tapping.trees_per_acre(dbh_in=dbh, baf=baf), tapping.taps_for(dbh_in=dbh, rule=table))
        for point in read
        for dbh in point
    ]
    return Answer(
        result={
            "taps_per_acre": tapping.taps_per_acre_from_gauge(points=read, rule=table, baf=baf),
            "trees_counted": len(counted),
            "points_taken": len(read),
        },
        said=(
            _(
                "{taps_per_acre} taps an acre, from {trees_counted} trees counted at "
                "{points_taken} points."
            ),
        ),
        steps=(
            _("Points, trees at each: {points}"),
            _(
                "A tree counted in stands for BAF / (0.005454 x DBH x DBH) trees an acre, with BAF "
                "the factor of the gauge and DBH the diameter in inches"
            ),
            *(
                _("{dbh} in: {baf} / (0.005454 x {dbh} x {dbh}) = {trees} trees x {taps}").format(
                    dbh=plain(dbh),
                    baf=plain(baf),
                    trees=plain(trees),
                    taps=ngettext("{n} tap", "{n} taps", each).format(n=each),
                )
                for dbh, trees, each in counted
            ),
            _("Taps an acre = all of them / {points_taken} points = {taps_per_acre}"),
        ),
        rule=_("trees an acre x taps, mean of the points; {table}").format(table=_in_words(table)),
        source=f"{sources.MENSURATION}; {table.source}",
    )


@reckoned(either=("growth_dbh_in", "bai_in2"))
def zone(
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
    """Whether a tree grows clean wood as fast as its taps stain it.

    Left out:
        Stain that overlaps is counted twice, and holes are taken for drilled blindly, where tappers
        keep clear of old scars: both err to the gloomy side. Decay, wounds and dry years are not
        seen at all.

    Example:
        --dbh-in 18 --taps 2

    Args:
        dbh_in: Diameter at breast height in the first year in inches, 4 to 60.
        taps: Taps a year, 0 to 10.
        bai_in2: Growth as basal area in square inches a year, 0 to 200.
    """
    if growth_dbh_in is None:
        growth_dbh_in = wood.growth_from_bai_in(dbh_in=dbh_in, bai_in2=bai_in2 or 0.0)
    how = wood.Drilled(growth_dbh_in, drop_length_in, hole_width_in, hole_depth_in, stain_factor)
    aim = clean_wood_pct / 100
    look = partial(wood.outlook, dbh_in=dbh_in, taps=taps, aim=aim)
    seen = look(how=how)
    instead = {name: look(how=other) for name, other in _drilled_otherwise(how).items()}
    holds_at = holds_by_stain(dbh_in=dbh_in, taps=taps, how=how, aim=aim)
    most = wood.most_taps(dbh_in=dbh_in, how=how, aim=aim)
    needed = wood.growth_needed_in(dbh_in=dbh_in, taps=taps, how=how, aim=aim)
    return Answer(
        result={
            "holds": seen.holds,
            "lowest_clean_pct": 100 * seen.lowest_share,
            "lowest_year": seen.lowest_year,
            "below_year": seen.below_year,
            "highest_hit_pct": 100 * max(year.hit_chance for year in seen.years),
            "growth_dbh_in": growth_dbh_in,
            "bai_in2": wood.bai_in2(dbh_in=dbh_in, growth_dbh_in=growth_dbh_in),
            "growth_needed_in": None if needed == inf else needed,
            "most_taps": most,
            "holds_at": holds_at,
            "instead": {name: _in_short(other) for name, other in instead.items()},
        },
        said=_zone_said(taps, seen, most, needed, cautious=holds_at[f"{CAUTIOUS:g}"]),
        steps=_zone_steps(),
        rule=_("{aim:g} % clean wood to keep, for {years} years").format(
            aim=clean_wood_pct, years=wood.YEARS
        ),
        source=f"{sources.ZONE}; {sources.STAIN}",
        cautions=(sources.ZONE_MILD,),
        drawing=tuple(wear_curve(seen.years, aim, width=CURVE[0], height=CURVE[1])),
        terms={
            "survey": sources.STAIN_SURVEY,
            "growth_published": sources.GROWTH,
            "by_stain": ", ".join(f"{k} {_yes(holds)}" for k, holds in holds_at.items()),
            "by_drilling": ", ".join(
                f"{_(name)} {_yes(other.holds)} ({100 * other.lowest_share:.1f} %)"
                for name, other in instead.items()
            ),
            **_volumes(dbh_in, taps, how),
        },
    )


def _drilled_otherwise(how: wood.Drilled) -> dict[str, wood.Drilled]:
    """What else a crew could do: each usual hole, and a longer drop."""
    longer_in = min(how.reach_in + LONGER_IN, LONGEST_IN)
    return {
        **{f"hole {size} in": how._replace(width_in=width) for size, width in HOLES_IN.items()},
        f"drop {longer_in:g} in": how._replace(reach_in=longer_in),
    }


def _in_short(seen: wood.Outlook) -> dict[str, bool | float | None]:
    return {
        "holds": seen.holds,
        "lowest_clean_pct": 100 * seen.lowest_share,
        "below_year": seen.below_year,
    }


def _volumes(dbh_in: float, taps: int, how: wood.Drilled) -> dict[str, float]:
    """The wood that the steps speak of, in cubic inches and in percent."""
    zone_in3 = wood.zone_volume_in3(dbh_in=dbh_in, depth_in=how.depth_in, reach_in=how.reach_in)
    hole_in3 = wood.hole_volume_in3(width_in=how.width_in, depth_in=how.depth_in)
    return {
        "zone_in3": zone_in3,
        "stain_in3": how.stain_factor * hole_in3,
        "stain_pct": 100 * taps * how.stain_factor * hole_in3 / zone_in3,
        "buried_pct": 100 * min(1.0, how.growth_dbh_in / 2 / how.depth_in),
    }


def _zone_said(
    taps: int, seen: wood.Outlook, most: int, needed_in: float, *, cautious: bool
) -> tuple[str, ...]:
    careful = ""
    if seen.holds and not cautious:
        careful = " " + _("But {word}, which fits what was published better: be careful.").format(
            word=not_cautious()
        )
    return (
        _verdict(taps, seen, most) + careful,
        _(
            "Clean wood is least in year {lowest_year}: {lowest_clean_pct:.1f} %, "
            "{clean_wood_pct} % to keep."
        ),
        _("The chance to hit stained wood rises to {highest_hit_pct:.1f} % ({survey})."),
        _("No growth up to 2 in of diameter a year would do.")
        if needed_in == inf
        else _(
            "Growth needed: {growth_needed_in:.3f} in of diameter a year; the tree is taken to "
            "gain {growth_dbh_in:.3f}, {bai_in2} in2 of basal area in the first."
        ),
        _("Published ({growth_published})."),
        _("By stain factor: {by_stain}."),
        _("With other holes, or longer drops: {by_drilling}."),
    )


def _zone_steps() -> tuple[str, ...]:
    return (
        _(
            "Zone = wood in reach of the drop, as deep as the hole: pi x H x (DBH x d - d x d) "
            "with H the length of the drop and d the depth of the hole"
        ),
        _(
            "Zone = 3.1416 x {drop_length_in} in x ({dbh_in} x {hole_depth_in} - "
            "{hole_depth_in} x {hole_depth_in}) in2 = {zone_in3} in3"
        ),
        _("Stain of a hole = stain factor x pi / 4 x width x width x depth"),
        _(
            "Stain of a hole = {stain_factor} x 0.7854 x {hole_width_in} x {hole_width_in} x "
            "{hole_depth_in} in = {stain_in3} in3; of {taps} a year {stain_pct} % of the zone"
        ),
        _(
            "Of old stain the tree buries each year growth / 2 / depth of the hole: "
            "{growth_dbh_in} / 2 / {hole_depth_in} in = {buried_pct} % of it leaves the zone"
        ),
        _(
            "Clean share = 1 - stain in the zone / zone, year by year: least in year "
            "{lowest_year}, {lowest_clean_pct} %, against {clean_wood_pct} % to keep"
        ),
    )


def _yes(holds: bool) -> str:
    return _("holds") if holds else _("does not hold")


def _verdict(taps: int, seen: wood.Outlook, most: int) -> str:
    """What a crew lead makes of it."""
    if seen.holds:
        return ngettext(
            "{taps} tap a year in a tree of {dbh_in} in holds; {most_taps} at most would.",
            "{taps} taps a year in a tree of {dbh_in} in hold; {most_taps} at most would.",
            taps,
        )
    lost = ngettext(
        "{taps} tap a year in a tree of {dbh_in} in loses clean wood from year {below_year}; ",
        "{taps} taps a year in a tree of {dbh_in} in lose clean wood from year {below_year}; ",
        taps,
    )
    if not most:
        return lost + _("none holds.")
    return lost + ngettext("{most_taps} tap holds.", "{most_taps} taps hold.", most)
