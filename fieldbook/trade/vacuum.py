"""Vacuum: how high it can go, what sap it brings, what a line that hangs low loses."""

from fieldbook.trade.ranges import Range

GAIN = Range("gain", 0, 20, "% an inHg")
TAPS = Range("taps", 0, 1_000_000)
GAIN_LOW_PCT, GAIN_HIGH_PCT = 4.0, 7.0
"""Range of the gain in percent an inHg. Source: Wilmot, UVM; Centre ACER 2015."""
AIR_NEED = Range("air need", 0.1, 10, "CFM for 100 taps")


def barometer_inhg(*, elevation_ft: float) -> float:
    """Pressure of the air at a height: the ceiling, which no pump's vacuum can pass.

    29.921 (1 - 6.8756e-6 h)^5.2559 inHg with h in ft. The weather moves it by about 1 inHg either
    way (from memory). Source: US Standard Atmosphere 1976.

    Args:
        elevation_ft: Height above the sea in feet, -1,000 to 20,000.

    Raises:
        ValueError: The elevation is out of range.
    """
    Range("elevation", -1000, 20_000, "ft").check(elevation_ft)
    return float(29.921 * (1 - 6.8756e-6 * elevation_ft) ** 5.2559)


def sap_ratio(*, from_inhg: float, to_inhg: float, pct_per_inhg: float = 5.0) -> float:
    """Sap at one vacuum over sap at another: (1 + g to) / (1 + g from).

    About 5 % more sap for each inHg, from 4 to 7 %. The gain is linear: each inch adds the same
    share of the sap that would run at no vacuum, not a share of what the inch before brought.
    Source: Wilmot, UVM; Centre ACER 2015.

    Args:
        from_inhg: Vacuum there is, in inches of mercury, 0 to 29.92.
        to_inhg: Vacuum there would be, in inches of mercury, 0 to 29.92.
        pct_per_inhg: Gain for each inch of mercury in percent, 0 to 20.

    Raises:
        ValueError: A value is out of range.
    """
    Range("vacuum", 0, 29.92, "inHg").check(from_inhg, to_inhg)
    GAIN.check(pct_per_inhg)
    gain = pct_per_inhg / 100
    return (1 + gain * to_inhg) / (1 + gain * from_inhg)


def sap_lost_gal(
    *,
    taps: int,
    gal_per_tap_day: float,
    lost_inhg: float,
    pct_per_inhg: float = 5.0,
    at_inhg: float = 0.0,
) -> float:
    """Sap that a line loses in a day, in gallons, because it hangs under the pump's vacuum.

    Taps x gallons a tap and day x gain x inHg lost. The gain is linear from no vacuum, so the
    gallons are those a tap gives at no vacuum; gallons it gives under some vacuum are brought
    back to that first, by 1 + gain x vacuum. Source: Wilmot, UVM; Centre ACER 2015.

    Args:
        taps: Taps of the line, 0 to 1,000,000.
        gal_per_tap_day: Sap of a tap in a day, in gallons, 0 to 50.
        lost_inhg: Vacuum at the pump less vacuum at the line, in inches of mercury, 0 to 29.92.
        pct_per_inhg: Gain for each inch of mercury in percent, 0 to 20.
        at_inhg: Vacuum under which a tap gives those gallons, in inches of mercury, 0 to 29.92.

    Raises:
        ValueError: A value is out of range.
    """
    TAPS.check(taps)
    Range("sap", 0, 50, "gal a tap and day").check(gal_per_tap_day)
    Range("vacuum lost", 0, 29.92, "inHg").check(lost_inhg)
    ratio = sap_ratio(from_inhg=0, to_inhg=at_inhg, pct_per_inhg=pct_per_inhg)
    return taps * gal_per_tap_day / ratio * pct_per_inhg / 100 * lost_inhg


def air_needed_cfm(*, taps: int, cfm_per_100_taps: float = 1.0) -> float:
    """Air that so many taps let in, in cubic feet a minute, and a pump must take out.

    1 CFM for 100 taps. Source: UVM, OSU, Cornell; 500 taps 5 to 7.5 CFM: UNH.

    Args:
        taps: Taps, 0 to 1,000,000.
        cfm_per_100_taps: Air that 100 taps let in, in cubic feet a minute, 0.1 to 10.

    Raises:
        ValueError: A value is out of range.
    """
    TAPS.check(taps)
    AIR_NEED.check(cfm_per_100_taps)
    return taps * cfm_per_100_taps / 100
