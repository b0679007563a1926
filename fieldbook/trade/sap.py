"""Sap and syrup: how much of one makes how much of the other."""

from collections.abc import Sequence
from math import fsum, inf
from typing import Literal

SyrupRule = Literal["revised", "86"]

# By the Brix of the syrup: the revised rule is published for these two alone.
_REVISED = {66.0: 87.1, 66.9: 88.2}


def sap_per_syrup_86(*, brix: float) -> float:
    """Gallons of sap for a gallon of syrup by the rule of 86 (Jones, UVM): 86 / Brix.

    It knows no density of the syrup, and breaks for concentrate: at 66 Brix, which is syrup, it
    still asks for 1.30 gallons.

    Args:
        brix: Sweetness of the sap in Brix, 0.5 to 10.

    Raises:
        ValueError: The sweetness is out of range.
    """
    if not 0.5 <= brix <= 10:
        raise ValueError(f"sap of {brix} Brix: out of range, 0.5 to 10 by the rule of 86")
    return 86 / brix


def sap_per_syrup_revised(*, brix: float, syrup_brix: float = 66.0) -> float:
    """Gallons of sap for a gallon of syrup by the revised rule of 86 (Perkins & Isselhardt).

    87.1 / Brix - 0.32 for syrup of 66.0 Brix, 88.2 / Brix - 0.32 for syrup of 66.9; the -0.32 from
    memory. It holds for concentrate too.

    Args:
        brix: Sweetness of the sap or concentrate in Brix, above 0 up to that of the syrup.
        syrup_brix: Density of the syrup in Brix: 66.0 or 66.9, no other is published.

    Raises:
        ValueError: The sweetness or the density is out of range.
    """
    sugar = _REVISED.get(syrup_brix)
    if sugar is None:
        raise ValueError(f"syrup of {syrup_brix} Brix: out of range, 66.0 or 66.9")
    if not 0 < brix <= syrup_brix:
        raise ValueError(f"sap of {brix} Brix: out of range, above 0 to {syrup_brix}")
    return sugar / brix - 0.32


def syrup_gal(
    *, sap_gal: float, brix: float, rule: SyrupRule = "revised", syrup_brix: float = 66.0
) -> float:
    """Gallons of syrup that sap makes: sap / (sap for a gallon of syrup).

    Args:
        sap_gal: Sap in gallons, 0 or more.
        brix: Sweetness of the sap in Brix, in the range of the rule.
        rule: The revised rule, or the plain rule of 86.
        syrup_brix: Density of the syrup in Brix, 66.0 or 66.9; the rule of 86 knows none.

    Raises:
        ValueError: The sap, its sweetness, the rule or the density is out of range.
    """
    _not_negative("sap", sap_gal)
    return sap_gal / _sap_per_syrup(brix, rule, syrup_brix)


def sap_gal_for(
    *, syrup_gal: float, brix: float, rule: SyrupRule = "revised", syrup_brix: float = 66.0
) -> float:
    """Gallons of sap that syrup takes: syrup x (sap for a gallon of syrup).

    Args:
        syrup_gal: Syrup in gallons, 0 or more.
        brix: Sweetness of the sap in Brix, in the range of the rule.
        rule: The revised rule, or the plain rule of 86.
        syrup_brix: Density of the syrup in Brix, 66.0 or 66.9; the rule of 86 knows none.

    Raises:
        ValueError: The syrup, the sweetness, the rule or the density is out of range.
    """
    _not_negative("syrup", syrup_gal)
    return syrup_gal * _sap_per_syrup(brix, rule, syrup_brix)


def mean_brix(*, gallons: Sequence[float], brix: Sequence[float]) -> float:
    """Sweetness of tanks run together: sum(gallons x Brix) / sum(gallons).

    Arithmetic on the numbers given. Brix is by weight and sweet sap is the heavier, so the mean by
    volume reads low: for two tanks of sap by nothing a refractometer shows, for sap of 2 and
    concentrate of 10 Brix by up to 0.07.

    Args:
        gallons: Sap in each tank in gallons, each 0 or more, above 0 in all.
        brix: Sweetness of each tank in Brix, 0 to 100, as many as there are tanks.

    Raises:
        ValueError: A tank is out of range, all are empty, or the two are not of one length.
    """
    if len(gallons) != len(brix):
        raise ValueError(f"{len(brix)} readings of Brix: out of range, {len(gallons)} tanks")
    _not_negative("sap", *gallons)
    for sweetness in brix:
        if not 0 <= sweetness <= 100:
            raise ValueError(f"sap of {sweetness} Brix: out of range, 0 to 100")
    total_gal = fsum(gallons)
    if total_gal == 0:
        raise ValueError("sap 0 gal in all: out of range, above 0")
    return fsum(tank * sweet for tank, sweet in zip(gallons, brix, strict=True)) / total_gal


def yield_per_tap(*, syrup_gal: float, taps: int) -> float:
    """Gallons of syrup a tap: syrup / taps, as USDA NASS counts it.

    Args:
        syrup_gal: Syrup of the season in gallons, 0 or more.
        taps: Taps set that season, 1 or more.

    Raises:
        ValueError: The syrup or the taps are out of range.
    """
    _not_negative("syrup", syrup_gal)
    if taps < 1:
        raise ValueError(f"taps {taps}: out of range, 1 or more")
    return syrup_gal / taps


def _sap_per_syrup(brix: float, rule: SyrupRule, syrup_brix: float) -> float:
    if rule == "revised":
        return sap_per_syrup_revised(brix=brix, syrup_brix=syrup_brix)
    if rule == "86":
        return sap_per_syrup_86(brix=brix)
    raise ValueError(f"rule {rule!r}: out of range, 'revised' or '86'")


def _not_negative(what: str, *gallons: float) -> None:
    for volume in gallons:
        if not 0 <= volume < inf:
            raise ValueError(f"{what} {volume} gal: out of range, 0 or more")
