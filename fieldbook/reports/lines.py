"""What each line has to carry against what it can: sap, air, its own weight on the wire."""

from collections.abc import Iterator

from msgspec import Struct
from msgspec.structs import replace

from fieldbook.book.entry import Line
from fieldbook.i18n import _, ngettext
from fieldbook.reports.listing import Listing
from fieldbook.reports.words import place
from fieldbook.season.plan import Plan
from fieldbook.season.season import Season
from fieldbook.trade import mainline, sources, wire
from fieldbook.trade.vacuum import barometer_inhg

FULL, HALF, EMPTY = 1.0, 0.5, 0.0
"""How deep sap stands in a pipe: the wet one of a pair, a single line at peak flow, a dry one."""


PLACES = 6
"""Decimals of a report: the last digits of a sine are not the same on every machine."""

Sums = dict[str, float | int]
"""What was reckoned of a line, by the name it has in its load."""


class LineLoad(Struct, frozen=True):
    """A line of the plan against what it can carry; None where the plan does not say enough.

    Attributes:
        block: Its block.
        line: Its name.
        layout: single or pair.
        diameter_in: Inside diameter; of a pair, of the wet pipe.
        dry_in: Inside diameter of the pipe the air is in.
        length_ft: Its length.
        slope_pct: Its slope.
        taps: Taps planned on it.
        taps_liquid: Taps whose sap it drains in the best hour.
        taps_air: Taps whose air it lets through at the vacuum that may be lost.
        taps_pump: Taps that its share of the pump keeps up with.
        ties: Side ties that hold it.
        sag_in: Sag between two of them, full of sap, at the book's tension.
        sag_allowed_in: Sag at which a belly begins.
        flags: What wants a look, in words.
    """

    block: str
    line: str
    layout: str
    diameter_in: float | None
    dry_in: float | None
    length_ft: float | None
    slope_pct: float | None
    taps: int | None
    taps_liquid: int | None = None
    taps_air: int | None = None
    taps_pump: int | None = None
    ties: int | None = None
    sag_in: float | None = None
    sag_allowed_in: float | None = None
    flags: tuple[str, ...] = ()


class Loads(Struct, frozen=True):
    """Every line of the plan against what it can carry.

    Attributes:
        lines: Line by line.
        air_needed_cfm: Air that all planned taps let in; None where there is no pump.
        pump_cfm: What the pump moves; None if the book does not know.
        rules: The numbers of the book that it is reckoned with.
    """

    lines: tuple[LineLoad, ...]
    air_needed_cfm: float | None
    pump_cfm: float | None
    rules: dict[str, float]


def line_loads(season: Season) -> Loads:
    """Every line of the plan against what it can carry."""
    plan = season.plan
    pump = plan.number("pump_cfm") or None
    names = (
        *("peak_gph_per_tap", "pump_vacuum_inhg", "vacuum_loss_inhg", "cfm_per_100_taps"),
        *("elevation_ft", "wire_tension_lb", "tie_spacing_ft"),
    )
    taps = sum(plan.taps(line) or 0 for line in plan.lines)
    shares = _pump_shares(plan)
    return Loads(
        lines=tuple(
            line_load(plan, line, pump_cfm=shares.get((line.block, line.line)))
            for line in plan.lines
        ),
        air_needed_cfm=taps / 100 * plan.number("cfm_per_100_taps") if plan.under_vacuum else None,
        pump_cfm=pump,
        rules={name: plan.number(name) for name in names},
    )


def load_of(plan: Plan, line: Line) -> LineLoad:
    """A line against what it can carry, its share of the pump too."""
    return line_load(plan, line, pump_cfm=_pump_shares(plan).get((line.block, line.line)))


def _pump_shares(plan: Plan) -> dict[tuple[str, str], float]:
    """What each line gets of the pump's air, by pipe area; none if the book knows no pump."""
    pump_cfm = plan.number("pump_cfm")
    sized = {(line.block, line.line): dry for line in plan.lines if (dry := plan.dry_in(line))}
    if not plan.under_vacuum or not pump_cfm or not sized:
        return {}
    try:
        shares = mainline.air_shares_cfm(pump_cfm=pump_cfm, diameters_in=list(sized.values()))
    except ValueError:  # a pipe no sum holds for; its own line says so
        return {}
    return dict(zip(sized, shares, strict=True))


def line_load(plan: Plan, line: Line, *, pump_cfm: float | None = None) -> LineLoad:
    """A line against what it can carry, by the rules of the book.

    Args:
        plan: The plan.
        line: The line.
        pump_cfm: What it gets of the pump's air, in cubic feet a minute.
    """
    load = LineLoad(
        block=line.block,
        line=line.line,
        layout=line.layout,
        diameter_in=plan.diameter_in(line),
        dry_in=plan.dry_in(line),
        length_ft=plan.length_ft(line),
        slope_pct=line.slope_pct,
        taps=plan.taps(line),
        ties=plan.ties(line),
    )
    found: Sums = {} if pump_cfm is None else {"taps_pump": _aired(plan, pump_cfm)}
    refused: list[str] = []
    for sums in (_sap, _air):
        try:
            found |= sums(plan, load)
        except ValueError as error:  # a size or a rule that this sum does not hold for
            refused.append(str(error))
    load = replace(load, **found)
    return replace(load, flags=(*dict.fromkeys(refused), *_flags(load)))


def _sap(plan: Plan, load: LineLoad) -> Sums:
    """The sap a line drains, and how it sags full of it."""
    slope_pct = load.slope_pct or 0.0
    if load.diameter_in is None or slope_pct <= 0:
        return {}
    flow = mainline.liquid_capacity_gph(
        diameter_in=load.diameter_in,
        slope_pct=slope_pct,
        fill=FULL if load.layout == "pair" else HALF,
    )
    span_ft = plan.number("tie_spacing_ft")
    sag_in = wire.sag_in(
        weight_lb_ft=wire.weight_full_lb_ft(diameter_in=load.diameter_in),
        span_ft=span_ft,
        tension_lb=plan.number("wire_tension_lb"),
    )
    return {
        "taps_liquid": mainline.taps_carried(
            capacity_gph=flow, peak_gph_per_tap=plan.number("peak_gph_per_tap")
        ),
        "sag_in": round(sag_in, PLACES),
        "sag_allowed_in": round(wire.sag_allowed_in(slope_pct=slope_pct, span_ft=span_ft), PLACES),
    }


def _air(plan: Plan, load: LineLoad) -> Sums:
    """The air a line lets through, where there is a pump to draw it."""
    if not plan.under_vacuum or load.dry_in is None or load.length_ft is None:
        return {}
    air = mainline.air_capacity_cfm(
        diameter_in=load.dry_in,
        length_ft=load.length_ft,
        vacuum_inhg=plan.number("pump_vacuum_inhg"),
        loss_inhg=plan.number("vacuum_loss_inhg"),
        barometer_inhg=barometer_inhg(elevation_ft=plan.number("elevation_ft")),
        fill=EMPTY if load.layout == "pair" else HALF,
    )
    return {"taps_air": _aired(plan, air)}


def _aired(plan: Plan, air_cfm: float) -> int:
    need = plan.number("cfm_per_100_taps")
    return mainline.taps_aired(air_cfm=air_cfm, cfm_per_100_taps=need)


def _flags(load: LineLoad) -> Iterator[str]:
    """What of a line wants a look."""
    taps = load.taps or 0
    for limit, form in (
        (load.taps_liquid, _("{n:,} taps over the {limit:,} whose sap it drains")),
        (load.taps_air, _("{n:,} taps over the {limit:,} whose air it lets through")),
        (load.taps_pump, _("{n:,} taps over its share of the pump, {limit:,}")),
    ):
        if limit is not None and taps > limit:
            yield form.format(n=taps - limit, limit=limit)
    slope = load.slope_pct
    if slope is not None and slope < mainline.SLOPE_LEAST_PCT:
        yield _("slope {slope:g} %: sap stands under {least:g} %").format(
            slope=slope, least=mainline.SLOPE_LEAST_PCT
        )
    elif slope is not None and slope < mainline.SLOPE_AIM_PCT[0]:
        yield _("slope {slope:g} %: under {aim:g} % only for short stretches").format(
            slope=slope, aim=mainline.SLOPE_AIM_PCT[0]
        )
    if load.length_ft is not None and load.length_ft > mainline.LENGTH_MOST_FT:
        yield _("{length:,.0f} ft: {over:,.0f} over {most:,.0f} ft").format(
            length=load.length_ft,
            over=load.length_ft - mainline.LENGTH_MOST_FT,
            most=mainline.LENGTH_MOST_FT,
        )
    if (load.sag_in or 0) > (load.sag_allowed_in or 0):
        yield _("a belly: sags {sag:.1f} in, {allowed:.1f} at most").format(
            sag=load.sag_in, allowed=load.sag_allowed_in
        )


def _notes(loads: Loads) -> Iterator[str]:
    """What wants a look, then what the columns say and by which sums."""
    for load in loads.lines:
        if load.flags:
            yield f"! {place(load.block, load.line)}: {'; '.join(load.flags)}"
    rules = loads.rules
    yield _("Bore and Dry: inches inside. %: slope. Sag: inches between two ties.")
    yield _(
        "Sap: taps whose {peak:g} gal an hour run off, a single line half full, the wet pipe of a "
        "pair full ({source})."
    ).format(peak=rules["peak_gph_per_tap"], source=sources.MANNING)
    if loads.air_needed_cfm is not None:
        yield from _air_notes(loads, loads.air_needed_cfm)
    yield _(
        "Sag between ties {span:g} ft apart, full of sap, at {tension:g} lb ({source})."
    ).format(span=rules["tie_spacing_ft"], tension=rules["wire_tension_lb"], source=sources.SAG)
    yield f"! {wire.CAUTION}"


def _air_notes(loads: Loads, needed_cfm: float) -> Iterator[str]:
    """The pump, and the sums of the air."""
    pump = _("the book does not say what the pump moves: fieldbook setting pump_cfm")
    if loads.pump_cfm is not None:
        pump = _("the pump moves {cfm:g} ({source})").format(
            cfm=loads.pump_cfm, source=sources.PIPE_AREA
        )
        if (short := needed_cfm - loads.pump_cfm) > 0:
            yield _("! the pump is too small by {short:,.1f} CFM").format(short=short)
        if without := sum(load.taps_pump is None for load in loads.lines):
            yield ngettext(
                "! {n} line is left out of the shares of the pump, as a pipe has no size that can "
                "be reckoned with: the other shares are too large.",
                "! {n} lines are left out of the shares of the pump, as a pipe has no size that "
                "can be reckoned with: the other shares are too large.",
                without,
            ).format(n=without)
    yield _("All taps let in {need:,.0f} CFM; {pump}.").format(need=needed_cfm, pump=pump)
    yield _(
        "Air: taps at {need:g} CFM a hundred that lose {loss:g} inHg at most from the pump at "
        "{vacuum:g} inHg ({source})."
    ).format(
        need=loads.rules["cfm_per_100_taps"],
        loss=loads.rules["vacuum_loss_inhg"],
        vacuum=loads.rules["pump_vacuum_inhg"],
        source=sources.AIR,
    )
    elevation_ft = loads.rules["elevation_ft"]
    yield _("No pump at {elevation:,g} ft passes {ceiling:.1f} inHg ({source}).").format(
        elevation=elevation_ft,
        ceiling=barometer_inhg(elevation_ft=elevation_ft),
        source=sources.ATMOSPHERE,
    )


def lines_listing(loads: Loads) -> Listing:
    """Every line against what it can carry, as a table."""
    air = _("Air") if loads.air_needed_cfm is not None else None
    return Listing(
        name="lines",
        title=_("Lines: what they carry against what they can"),
        columns=(
            *("block", "line", "layout", "diameter_in", "dry_in", "length_ft", "slope_pct"),
            *("taps", "taps_liquid", "taps_air", "taps_pump", "ties", "sag_in", "sag_allowed_in"),
            "flags",
        ),
        heads=(
            *(_("Block"), _("Line"), None, _("Bore"), _("Dry"), _("Ft"), "%"),
            *(_("Taps"), _("Sap"), air, _("Pump") if air and loads.pump_cfm else None),
            *(None, _("Sag"), None, ""),  # with ties it is wider than a terminal
        ),
        by_block=True,
        rows=tuple(
            (
                *(load.block, load.line, load.layout, load.diameter_in),
                load.dry_in if load.layout == "pair" else None,
                None if load.length_ft is None else round(load.length_ft),
                *(load.slope_pct, load.taps, load.taps_liquid, load.taps_air),
                *(load.taps_pump, load.ties, load.sag_in, load.sag_allowed_in),
                "!" * bool(load.flags),
            )
            for load in loads.lines
        ),
        notes=tuple(_notes(loads)),
    )
