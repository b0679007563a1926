"""Sums of lines: the sap and air they carry, what holds them up, what vacuum brings and costs."""

from collections.abc import Sequence
from math import fsum, sqrt
from typing import Literal

from fieldbook.i18n import _, ngettext
from fieldbook.reports.lines import EMPTY, FULL, HALF
from fieldbook.reports.reckon.sums import Answer, reckoned
from fieldbook.trade import mainline, sources, wire
from fieldbook.trade import vacuum as pressure
from fieldbook.trade.ranges import Range
from fieldbook.trade.units import M_PER_FT, MM_PER_IN, kpa_from_inhg

Layout = Literal["single", "pair"]


@reckoned()
def flow(
    *,
    diameter_in: float,
    slope_pct: float,
    layout: Layout = "single",
    peak_gph_per_tap: float,
    roughness_n: float = 0.010,
) -> Answer:
    """Taps whose sap a mainline drains in the best hour, by slope alone.

    Left out:
        Bellies, kinks and fittings, and the push that vacuum gives. In thin tubing on gentle
        slopes the sum says too much: twice as much for 5/16 in at 0.5 %.

    Example:
        --diameter-in 1 --slope-pct 2

    Args:
        diameter_in: Inside diameter in inches, 0.25 to 6; of a pair, of the wet pipe.
        slope_pct: Fall over length in percent, above 0 to 100.
        layout: A single line, half full of sap and half of air, or a wet and dry pair, whose wet
            pipe runs full.
        roughness_n: Manning's n of the wall, above 0 to 0.1; smooth plastic 0.010, from memory.
    """
    fill = FULL if layout == "pair" else HALF
    capacity = mainline.liquid_capacity_gph(
        diameter_in=diameter_in, slope_pct=slope_pct, fill=fill, roughness_n=roughness_n
    )
    drained = mainline.taps_carried(capacity_gph=capacity, peak_gph_per_tap=peak_gph_per_tap)
    radius_m = diameter_in / 4 * MM_PER_IN / 1000  # of a pipe full or half full alike
    return Answer(
        result={"taps_drained": drained, "capacity_gph": capacity},
        said=(
            ngettext(
                "{taps_drained} tap: it drains {capacity_gph:,.0f} gal an hour.",
                "{taps_drained} taps: it drains {capacity_gph:,.0f} gal an hour.",
                drained,
            ),
        ),
        steps=(
            _(
                "Speed of the sap = R to the power of 2/3 x square root of the slope / n, in m and "
                "s; R is the sap's area over the wall it wets, a quarter of the diameter in a pipe "
                "full or half full"
            ),
            _(
                "R = {diameter_in} in / 4 = {radius_m:.5f} m; speed = {radius_m:.5f}^(2/3) x "
                "square root of {slope_pct} % / {roughness_n} = {speed} m/s"
            ),
            _("Flow = speed x area of the sap; a {layout} line runs with {area} in2 of sap"),
            _("{speed} m/s x {area} in2 = {capacity_gph} gal an hour"),
            _("Taps = flow / sap of a tap in the best hour, rounded down"),
            _("{capacity_gph} / {peak_gph_per_tap} gal an hour = {taps_drained} taps"),
        ),
        rule=_("Manning's formula, the pipe {how}").format(
            how=_("full") if layout == "pair" else _("half full")
        ),
        source=f"{sources.MANNING}; {sources.PEAK}",
        terms={
            "radius_m": radius_m,
            "speed": radius_m ** (2 / 3) * sqrt(slope_pct / 100) / roughness_n,
            "area": mainline.pipe_area_in2(diameter_in=diameter_in, fill=fill),
        },
    )


@reckoned()
def air(
    *,
    diameter_in: float,
    length_ft: float,
    layout: Layout = "single",
    pump_vacuum_inhg: float,
    vacuum_loss_inhg: float,
    elevation_ft: float,
    cfm_per_100_taps: float,
) -> Answer:
    """Taps whose air a mainline lets through to the pump.

    Left out:
        Fittings and leaks; and that air comes in all along the line, where the sum lets all of it
        in at the far end. It errs high for lines of a few feet.

    Example:
        --diameter-in 1 --length-ft 1000

    Args:
        diameter_in: Inside diameter in inches, 0.25 to 6; of a pair, of the dry pipe.
        length_ft: Length in feet, above 0 to 20,000.
        layout: A single line, half full of sap and half of air, or a wet and dry pair, whose dry
            pipe has all its room for air.
    """
    barometer = pressure.barometer_inhg(elevation_ft=elevation_ft)
    capacity = mainline.air_capacity_cfm(
        diameter_in=diameter_in,
        length_ft=length_ft,
        vacuum_inhg=pump_vacuum_inhg,
        loss_inhg=vacuum_loss_inhg,
        barometer_inhg=barometer,
        fill=EMPTY if layout == "pair" else HALF,
    )
    taps = mainline.taps_aired(air_cfm=capacity, cfm_per_100_taps=cfm_per_100_taps)
    return Answer(
        result={"taps_aired": taps, "air_cfm": capacity, "barometer_inhg": barometer},
        said=(
            ngettext(
                "{taps_aired} tap: it lets {air_cfm} CFM through, losing {vacuum_loss_inhg} inHg.",
                "{taps_aired} taps: it lets {air_cfm} CFM through, losing {vacuum_loss_inhg} inHg.",
                taps,
            ),
        ),
        steps=(
            _(
                "Pressure left in the line = barometer - vacuum: {barometer_inhg} inHg at "
                "{elevation_ft} ft above the sea - {pump_vacuum_inhg} = {pump_end} at the pump, "
                "{vacuum_loss_inhg} more, {far_end}, at the far end"
            ),
            _(
                "P1 x P1 - P2 x P2 = f x L / D x G x G x R x T, solved for G, the air a second: P1 "
                "and P2 the pressures at the far end and the pump, f the friction, L the length, D "
                "the width of the room that sap leaves free, R x T the gas constant of air at 0 C"
            ),
            _(
                "{diameter_in} in, {layout}, L = {length_ft} ft ({length_m} m), P1 = {far_pa:,.0f} "
                "Pa, P2 = {pump_pa:,.0f} Pa: {air_cfm} CFM, as thin as it is at the pump"
            ),
            _("Taps = 100 x air / air that 100 taps let in, rounded down"),
            _("100 x {air_cfm} / {cfm_per_100_taps} CFM = {taps_aired} taps"),
        ),
        rule=_("{loss:g} inHg lost at most from the pump at {vacuum:g}").format(
            loss=vacuum_loss_inhg, vacuum=pump_vacuum_inhg
        ),
        source=f"{sources.AIR}; {sources.AIR_NEED}; {sources.VACUUM_LOSS}",
        terms={
            "pump_end": barometer - pump_vacuum_inhg,
            "far_end": barometer - pump_vacuum_inhg + vacuum_loss_inhg,
            "pump_pa": 1000 * kpa_from_inhg(barometer - pump_vacuum_inhg),
            "far_pa": 1000 * kpa_from_inhg(barometer - pump_vacuum_inhg + vacuum_loss_inhg),
            "length_m": length_ft * M_PER_FT,
        },
    )


@reckoned()
def share(*, pump_cfm: float, diameters_in: Sequence[float], cfm_per_100_taps: float) -> Answer:
    """What each of the lines at a pump gets of its air.

    Left out:
        How long the lines are and how much they leak: a long one gets less.

    Example:
        --pump-cfm 60 --diameters-in 1 1 1 1

    Args:
        pump_cfm: What the pump moves in cubic feet a minute, above 0 to 10,000.
        diameters_in: Inside diameters of the lines in inches, 0.25 to 6 each; one line or more.
    """
    if pump_cfm == 0:
        raise ValueError("pump 0 CFM: not known; give --pump-cfm, above 0 to 10,000")
    shares = mainline.air_shares_cfm(pump_cfm=pump_cfm, diameters_in=diameters_in)
    areas = [mainline.pipe_area_in2(diameter_in=diameter) for diameter in diameters_in]
    taps = [mainline.taps_aired(air_cfm=cfm, cfm_per_100_taps=cfm_per_100_taps) for cfm in shares]
    return Answer(
        result={"shares_cfm": shares, "taps_aired": taps},
        said=(
            _("In the order of the lines: {shares_cfm} CFM."),
            _("That is the air of {by_line} taps."),
        ),
        steps=(
            _("Share of a line = pump x area of its bore / area of all bores"),
            _("{diameters_in} in across: areas of {areas} in2, {area} in all"),
            _("{pump_cfm} CFM x area / {area} = {shares_cfm} CFM"),
            _("Taps = 100 x share / air that 100 taps let in ({cfm_per_100_taps} CFM) = {by_line}"),
        ),
        rule=_("a pump's air is shared by pipe area"),
        source=f"{sources.PIPE_AREA}; {sources.AIR_NEED}",
        terms={"areas": areas, "area": fsum(areas), "by_line": taps},
    )


@reckoned()
def ties(*, length_ft: float, tie_spacing_ft: float) -> Answer:
    """Side ties that hold a mainline straight and on grade.

    Left out:
        Bends and humps, where more are wanted.

    Example:
        --length-ft 780

    Args:
        length_ft: Length of the mainline in feet, 0 or more.
    """
    needed = mainline.side_ties(length_ft=length_ft, spacing_ft=tie_spacing_ft)
    return Answer(
        result={"ties": needed},
        said=(
            ngettext(
                "{ties} side tie, {tie_spacing_ft} ft apart.",
                "{ties} side ties, {tie_spacing_ft} ft apart.",
                needed,
            ),
        ),
        steps=(
            _("Ties = length / distance between ties, rounded up"),
            _("{length_ft} ft / {tie_spacing_ft} ft = {exact}, so {ties}"),
        ),
        rule=_("a tie every {n:g} ft").format(n=tie_spacing_ft),
        source=f"30-40 ft: {sources.COMMON}",
        terms={"exact": length_ft / tie_spacing_ft},
    )


@reckoned()
def sag(*, diameter_in: float, span_ft: float, slope_pct: float, wire_tension_lb: float) -> Answer:
    """Whether a line full of sap has a belly between two supports.

    Left out:
        What the wire may bear, which is for its rating to say; wind, ice and snow; and the stretch
        of the wire.

    Example:
        --diameter-in 1 --span-ft 50 --slope-pct 2

    Args:
        diameter_in: Inside diameter in inches, 0.25 to 6.
        span_ft: Distance between supports in feet, above 0 to 1,000.
        slope_pct: Fall over length in percent, above 0 to 100.
    """
    weight = wire.weight_full_lb_ft(diameter_in=diameter_in)
    hangs = wire.sag_in(weight_lb_ft=weight, span_ft=span_ft, tension_lb=wire_tension_lb)
    allowed = wire.sag_allowed_in(slope_pct=slope_pct, span_ft=span_ft)
    return Answer(
        result={
            "belly": hangs > allowed,
            "sag_in": hangs,
            "sag_allowed_in": allowed,
            "weight_lb_ft": weight,
            "tension_needed_lb": wire.tension_needed_lb(
                weight_lb_ft=weight, span_ft=span_ft, slope_pct=slope_pct
            ),
            "longest_span_ft": wire.longest_span_ft(
                weight_lb_ft=weight, tension_lb=wire_tension_lb, slope_pct=slope_pct
            ),
        },
        said=(
            _("A belly: it sags {sag_in} in, and {sag_allowed_in} in is the most.")
            if hangs > allowed
            else _("No belly: it sags {sag_in} in, and {sag_allowed_in} in is the most."),
            _(
                "{tension_needed_lb:,.0f} lb of tension would do, or supports "
                "{longest_span_ft:,.0f} ft apart."
            ),
        ),
        steps=(
            _("Weight of a foot, w = sap in the bore + tubing + wire, from memory"),
            _("{diameter_in} in across and full: w = {weight_lb_ft} lb a foot"),
            _("Sag = w x L x L / (8 x T), with L the span and T the tension of the wire"),
            _(
                "{weight_lb_ft} x {span_ft} x {span_ft} / (8 x {wire_tension_lb} lb) = {sag_ft} ft "
                "= {sag_in} in"
            ),
            _("Most sag without a belly = slope x L / 4"),
            _("{slope_pct} % x {span_ft} ft / 4 = {sag_allowed_in} in"),
            _("Tension needed = w x L / (2 x slope) = {tension_needed_lb} lb"),
            _("Longest span = 2 x T x slope / w = {longest_span_ft} ft"),
        ),
        rule=_("no belly while the sag stays under slope x span / 4"),
        source=f"{sources.SAG}; weights {sources.MEMORY}",
        cautions=(wire.CAUTION,),
        terms={"sag_ft": hangs / 12},
    )


@reckoned(either=("elevation_ft", "barometer_inhg"))
def ceiling(*, elevation_ft: float | None, barometer_inhg: float | None = None) -> Answer:
    """The vacuum that no pump can pass: the pressure of the air outside.

    Left out:
        By height, the weather, which moves it by about 1 inHg either way (from memory). A
        barometer that was set to sea level reads too high up a hill.

    Example:
        --elevation-ft 1000

    Args:
        barometer_inhg: What a barometer beside the pump reads in inches of mercury, above 0 to 32.
    """
    if elevation_ft is None:
        most = barometer_inhg or 0.0
        Range("barometer", 0, 32, "inHg", above=True).check(most)
        found: tuple[str, ...] = (
            _("The pressure of the air outside is what the barometer reads: {ceiling_inhg} inHg"),
        )
        rule, source = _("the barometer"), _("what a barometer measures")
    else:
        most = pressure.barometer_inhg(elevation_ft=elevation_ft)
        found = (
            _("Pressure = 29.921 inHg x (1 - 6.8756e-6 x h)^5.2559, with h the height in feet"),
            _("29.921 x (1 - 6.8756e-6 x {elevation_ft})^5.2559 = {ceiling_inhg} inHg"),
        )
        rule, source = _("pressure of the standard atmosphere at that height"), sources.ATMOSPHERE
    return Answer(
        result={"ceiling_inhg": most, "ceiling_kpa": kpa_from_inhg(most)},
        said=(_("{ceiling_inhg} inHg ({ceiling_kpa} kPa) is the most, and no pump gets there."),),
        steps=(*found, _("1 inHg is 3.386389 kPa: {ceiling_kpa} kPa")),
        rule=rule,
        source=source,
    )


@reckoned()
def vacuum(*, from_inhg: float, to_inhg: float, sap_pct_per_inhg: float) -> Answer:
    """How much more sap a higher vacuum brings.

    Left out:
        Leaks and air locks on the way to the tap: it is the vacuum at the taphole that counts.

    Example:
        --from-inhg 15 --to-inhg 22

    Args:
        from_inhg: Vacuum there is in inches of mercury, 0 to 29.92.
        to_inhg: Vacuum there would be in inches of mercury, 0 to 29.92.
    """
    ratio, low, high = (
        pressure.sap_ratio(from_inhg=from_inhg, to_inhg=to_inhg, pct_per_inhg=pct)
        for pct in (sap_pct_per_inhg, pressure.GAIN_LOW_PCT, pressure.GAIN_HIGH_PCT)
    )
    return Answer(
        result={"sap_ratio": ratio, "sap_ratio_at_4_pct": low, "sap_ratio_at_7_pct": high},
        said=(
            _("{sap_ratio} times the sap; {low} to {high} at the published 4 to 7 % an inHg."),
            _("The gain is linear: each inch adds the same share of what runs at no vacuum."),
        ),
        steps=(
            _("Times the sap = (1 + g x new vacuum) / (1 + g x old vacuum), g the gain an inHg"),
            _(
                "(1 + {sap_pct_per_inhg} % x {to_inhg}) / (1 + {sap_pct_per_inhg} % x {from_inhg}) "
                "= {sap_ratio}"
            ),
        ),
        rule=_("{pct:g} % more sap for each inHg, linear").format(pct=sap_pct_per_inhg),
        source=sources.VACUUM_GAIN,
        terms={"low": low, "high": high},
    )


@reckoned()
def leak(
    *,
    taps: int,
    lost_inhg: float,
    gal_per_tap_day: float,
    sap_pct_per_inhg: float,
    sap_at_inhg: float,
) -> Answer:
    """Sap that a line loses in a day, hanging under the pump's vacuum.

    Left out:
        The taps beyond the leak on other lines.

    Example:
        --taps 148 --lost-inhg 3 --gal-per-tap-day 1

    Args:
        taps: Taps of the line, 0 to 1,000,000.
        lost_inhg: Vacuum at the pump less vacuum at the line, in inches of mercury, 0 to 29.92.
        gal_per_tap_day: Sap of a tap in a day, in gallons, 0 to 50.
    """
    lost, low, high = (
        pressure.sap_lost_gal(
            taps=taps,
            gal_per_tap_day=gal_per_tap_day,
            lost_inhg=lost_inhg,
            pct_per_inhg=pct,
            at_inhg=sap_at_inhg,
        )
        for pct in (sap_pct_per_inhg, pressure.GAIN_LOW_PCT, pressure.GAIN_HIGH_PCT)
    )
    return Answer(
        result={
            "sap_lost_gal_a_day": lost,
            "sap_lost_gal_a_day_at_4_pct": low,
            "sap_lost_gal_a_day_at_7_pct": high,
        },
        said=(
            _(
                "{sap_lost_gal_a_day} gal of sap lost a day; {low} to {high} at the published 4 to "
                "7 % an inHg."
            ),
            _("The gallons of a tap are those it gives under {sap_at_inhg} inHg."),
        ),
        steps=(
            _(
                "Lost = taps x gallons of a tap in a day x gain an inHg x inHg lost / "
                "(1 + gain x vacuum at which it gives them)"
            ),
            _(
                "{taps} x {gal_per_tap_day} x {sap_pct_per_inhg} % x {lost_inhg} / "
                "(1 + {sap_pct_per_inhg} % x {sap_at_inhg}) = {sap_lost_gal_a_day} gal a day"
            ),
        ),
        terms={"low": low, "high": high},
        rule=_("{pct:g} % of the sap for each inHg, linear").format(pct=sap_pct_per_inhg),
        source=sources.VACUUM_GAIN,
    )
