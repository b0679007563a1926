"""Mainlines: what holds them up, and what sap and air they carry."""

from collections.abc import Sequence
from math import acos, ceil, floor, fsum, isclose, log10, sin, sqrt

from fieldbook.trade.ranges import Range
from fieldbook.trade.units import M_PER_FT, MM_PER_IN, SQ_FT_PER_ACRE, gal_from_l, kpa_from_inhg
from fieldbook.trade.vacuum import AIR_NEED

SLOPE_AIM_PCT = (2.0, 4.0)
"""Slope to aim at (UVM, UNH)."""

SLOPE_LEAST_PCT = 0.5
"""Least slope, and that for short stretches only (UVM, UNH)."""

LENGTH_MOST_FT = 1000.0
"""Mainlines are to be under 1,000 ft long (UNH)."""

LENGTH = Range("length", 0, 20_000, "ft", above=True)
SLOPE = Range("slope", 0, 100, "%", above=True)
AIR = Range("air", 0, 10_000, "CFM")

# Air at 0 C, and smooth plastic: handbook values, from memory
AIR_K = 273.15
AIR_GAS_J_KG_K = 287.05
AIR_VISCOSITY_PA_S = 1.716e-5
PLASTIC_ROUGHNESS_M = 1.5e-6

_M_PER_IN = MM_PER_IN / 1000


def side_ties(*, length_ft: float, spacing_ft: float) -> int:
    """Side ties that hold a mainline straight and on grade: its length over their spacing.

    Source: a tie every 30-40 ft: common practice, no source.

    Args:
        length_ft: Length of the mainline in feet, at least 0.
        spacing_ft: Distance between ties in feet, more than 0.

    Raises:
        ValueError: A length is out of range.
    """
    Range("length", 0, unit="ft").check(length_ft)
    Range("spacing", 0, unit="ft", above=True).check(spacing_ft)
    return ceil(round(length_ft / spacing_ft, 9))


def lateral_area_acres(*, length_ft: float, spacing_ft: float) -> float:
    """Woods that a mainline serves, in acres: its length x the distance to the next one.

    Mainlines 100-150 ft apart and under 1,000 ft long. Source: UNH.

    Args:
        length_ft: Length of the mainline in feet, above 0 to 20,000.
        spacing_ft: Distance between mainlines in feet, above 0 to 1,000.

    Raises:
        ValueError: A length is out of range.
    """
    LENGTH.check(length_ft)
    Range("spacing", 0, 1000, "ft", above=True).check(spacing_ft)
    return length_ft * spacing_ft / SQ_FT_PER_ACRE


def _angle(fill: float) -> float:
    """Angle at the centre of a pipe, in radians, that the part filled to a depth takes."""
    return 2 * acos(1 - 2 * fill)


def pipe_area_in2(*, diameter_in: float, fill: float = 1.0) -> float:
    """Area of a pipe's bore, or of the part of it filled to a depth, in square inches.

    D^2 (a - sin a) / 8, where a is the angle at the centre that the filled part takes: pi D^2 / 4
    when full. Source: arithmetic on the numbers given; areas of the nominal sizes: OSU 2013.

    Args:
        diameter_in: Inner diameter in inches, 0.25 to 6.
        fill: Share of the pipe's depth that is filled, 0 to 1.

    Raises:
        ValueError: A value is out of range.
    """
    Range("diameter", 0.25, 6, "in").check(diameter_in)
    Range("fill", 0, 1).check(fill)
    angle = _angle(fill)
    return diameter_in**2 * (angle - sin(angle)) / 8


def liquid_capacity_gph(
    *, diameter_in: float, slope_pct: float, fill: float = 0.5, roughness_n: float = 0.010
) -> float:
    """Sap that runs down a pipe by its slope alone, in gallons an hour.

    Manning: V = R^(2/3) S^(1/2) / n in metres and seconds, with R the area of the sap over the
    wall it wets. Full, a pipe carries just twice what it carries half full.

    Beside Darcy-Weisbach for smooth wall, half full, it says 2 % more to 23 % less for pipes of
    3/4 to 2 in at 0.5 to 10 %. In thin tubing on gentle slopes, where sap creeps, it says too
    much: twice as much for 5/16 in at 0.5 %.

    Source: Manning's formula for open channels; n = 0.010 for smooth plastic, from memory.

    Args:
        diameter_in: Inner diameter in inches, 0.25 to 6.
        slope_pct: Fall over length in percent, above 0 to 100.
        fill: Share of the pipe's depth that the sap takes, above 0 to 1.
        roughness_n: Manning's n of the wall, above 0 to 0.1.

    Raises:
        ValueError: A value is out of range.
    """
    SLOPE.check(slope_pct)
    Range("fill", 0, 1, above=True).check(fill)
    Range("roughness n", 0, 0.1, above=True).check(roughness_n)
    area_in2 = pipe_area_in2(diameter_in=diameter_in, fill=fill)
    radius_m = area_in2 / (diameter_in * _angle(fill) / 2) * _M_PER_IN
    speed_m_s = radius_m ** (2 / 3) * sqrt(slope_pct / 100) / roughness_n
    return float(gal_from_l(1000 * speed_m_s * area_in2 * _M_PER_IN**2) * 3600)


def taps_carried(*, capacity_gph: float, peak_gph_per_tap: float) -> int:
    """Taps whose sap a line carries in the best hour: its capacity over their peak flow.

    Source: 0.2 gal an hour and tap measured once; 0.2-0.5 as design, from memory.

    Args:
        capacity_gph: What the line carries in gallons an hour, 0 to 1,000,000.
        peak_gph_per_tap: Sap of a tap in the best hour in gallons, 0.01 to 5.

    Raises:
        ValueError: A value is out of range.
    """
    Range("capacity", 0, 1_000_000, "gal/h").check(capacity_gph)
    Range("peak flow", 0.01, 5, "gal/h a tap").check(peak_gph_per_tap)
    return floor(round(capacity_gph / peak_gph_per_tap, 9))


def _friction(reynolds: float, roughness: float) -> float:
    """Darcy's friction factor in a pipe of a relative roughness: the greater of 64/Re and S. & J.

    Between Re 900 and 4,000, where mainlines work, air may run smoothly or swirl; the greater
    friction is the cautious one, and leaves no jump. Below Re 100 the formula of Swamee & Jain,
    meant for swirling air, would rise past 64/Re.
    """
    swirling = 0.25 / log10(roughness / 3.7 + 5.74 / max(reynolds, 100) ** 0.9) ** 2
    return max(64 / reynolds, swirling)


def air_capacity_cfm(
    *,
    diameter_in: float,
    length_ft: float,
    vacuum_inhg: float = 25.0,
    loss_inhg: float = 1.0,
    barometer_inhg: float = 29.92,
    fill: float = 0.0,
) -> float:
    """Air that a line carries while its far end is so little under the pump, in actual CFM.

    Cubic feet a minute at the pressure of the pump's end. Isothermal Darcy-Weisbach with mean
    density, P1^2 - P2^2 = f (L / D) G^2 R T, for air at 0 C, all of it let in at the far end; D is
    the hydraulic diameter of the part that sap leaves free. What it takes to speed the air up is
    left out, so the sum errs high for lines of a few feet or a loss near all of the vacuum.

    Source: Darcy-Weisbach for isothermal flow, friction after Swamee & Jain. For 1 in line it gives
    8.4 CFM at 1,000 ft and 22 at 200 ft, where OSU 2013 has 8 and half of 60.

    Args:
        diameter_in: Inner diameter in inches, 0.25 to 6.
        length_ft: Length in feet, above 0 to 20,000.
        vacuum_inhg: Vacuum at the pump in inches of mercury, between 0 and the barometer.
        loss_inhg: Most vacuum that may be lost on the way, in inches of mercury, between 0 and the
            vacuum.
        barometer_inhg: Pressure of the air outside in inches of mercury, above 0 to 32.
        fill: Share of the pipe's depth that sap takes, 0 to below 1: 0 in a dry line, 0.5 in a
            single line at peak flow.

    Raises:
        ValueError: A value is out of range.
    """
    LENGTH.check(length_ft)
    Range("barometer", 0, 32, "inHg", above=True).check(barometer_inhg)
    Range("vacuum", 0, barometer_inhg, "inHg", above=True, below=True).check(vacuum_inhg)
    Range("loss", 0, vacuum_inhg, "inHg", above=True, below=True).check(loss_inhg)
    Range("fill", 0, 1, below=True).check(fill)

    free_in2 = pipe_area_in2(diameter_in=diameter_in, fill=1 - fill)
    angle = _angle(1 - fill)
    wall_in = diameter_in * (angle / 2 + sin(angle / 2))  # the arc, and the sap's surface
    width_m = 4 * free_in2 / wall_in * _M_PER_IN

    pump_pa = 1000 * kpa_from_inhg(barometer_inhg - vacuum_inhg)
    lost_pa = 1000 * kpa_from_inhg(loss_inhg)
    energy_j_kg = AIR_GAS_J_KG_K * AIR_K
    pull = lost_pa * (2 * pump_pa + lost_pa) * width_m / (length_ft * M_PER_FT) / energy_j_kg

    # Friction falls at most as fast as the flow rises, so each round halves the error at least
    friction, before = 0.04, 0.0
    while not isclose(friction, before, rel_tol=1e-9):
        flux_kg_m2_s = sqrt(pull / friction)
        reynolds = flux_kg_m2_s * width_m / AIR_VISCOSITY_PA_S
        friction, before = _friction(reynolds, PLASTIC_ROUGHNESS_M / width_m), friction
    flow_m3_s = sqrt(pull / friction) * energy_j_kg / pump_pa * free_in2 * _M_PER_IN**2
    return 60 * flow_m3_s / M_PER_FT**3


def taps_aired(*, air_cfm: float, cfm_per_100_taps: float = 1.0) -> int:
    """Taps whose air a line or a pump takes out. Source: 1 CFM for 100 taps (UVM, OSU, Cornell).

    Args:
        air_cfm: What it takes out in cubic feet a minute, 0 to 10,000.
        cfm_per_100_taps: Air that 100 taps let in, in cubic feet a minute, 0.1 to 10.

    Raises:
        ValueError: A value is out of range.
    """
    AIR.check(air_cfm)
    AIR_NEED.check(cfm_per_100_taps)
    return floor(round(100 * air_cfm / cfm_per_100_taps, 9))


def air_shares_cfm(*, pump_cfm: float, diameters_in: Sequence[float]) -> list[float]:
    """What each of the lines at a pump gets of its air, in cubic feet a minute: by pipe area.

    Source: OSU 2013; 60 CFM over four equal lines is 15 each.

    Args:
        pump_cfm: What the pump takes out in cubic feet a minute, 0 to 10,000.
        diameters_in: Inner diameters of the lines in inches, each 0.25 to 6; at least one.

    Raises:
        ValueError: A value is out of range, or there is no line.
    """
    AIR.check(pump_cfm)
    Range("lines", 1, 100_000).check(len(diameters_in))
    areas_in2 = [pipe_area_in2(diameter_in=diameter) for diameter in diameters_in]
    total_in2 = fsum(areas_in2)
    return [pump_cfm * area_in2 / total_in2 for area_in2 in areas_in2]
