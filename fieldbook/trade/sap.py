"""Sap and syrup: how much of one makes how much of the other."""

from collections.abc import Sequence
from math import ceil, fsum
from typing import Literal

from fieldbook.trade.ranges import Range

SyrupRule = Literal["revised", "86"]

# By the Brix of the syrup: the revised rule is published for these two alone.
_REVISED = {66.0: 87.1, 66.9: 88.2}

SYRUP_BRIX = 66.0
"""Density of finished syrup: the least that is sold as such in most places (from memory)."""

SAP = Range("sap", 0, unit="gal")
SYRUP = Range("syrup", 0, unit="gal")


def sap_per_syrup_86(*, brix: float) -> float:
    """Gallons of sap for a gallon of syrup by the rule of 86: 86 / Brix.

    It knows no density of the syrup, and breaks for concentrate: at 66 Brix, which is syrup, it
    still asks for 1.30 gallons. Source: rule of 86 (Jones, UVM).

    Args:
        brix: Sweetness of the sap in Brix, 0.5 to 10.

    Raises:
        ValueError: The sweetness is out of range.
    """
    Range("sap", 0.5, 10, "Brix by the rule of 86").check(brix)
    return 86 / brix


def sap_per_syrup_revised(*, brix: float, syrup_brix: float = 66.0) -> float:
    """Gallons of sap for a gallon of syrup by the revised rule of 86.

    87.1 / Brix - 0.32 for syrup of 66.0 Brix, 88.2 / Brix - 0.32 for syrup of 66.9. It holds for
    concentrate too. Source: revised rule of 86 (Perkins & Isselhardt); its -0.32 from memory.

    Args:
        brix: Sweetness of the sap or concentrate in Brix, above 0 up to that of the syrup.
        syrup_brix: Density of the syrup in Brix: 66.0 or 66.9, no other is published.

    Raises:
        ValueError: The sweetness or the density is out of range.
    """
    sugar = _REVISED.get(syrup_brix)
    if sugar is None:
        raise ValueError(f"syrup {syrup_brix} Brix: out of range, 66.0 or 66.9")
    Range("sap", 0, syrup_brix, "Brix", above=True).check(brix)
    return sugar / brix - 0.32


def syrup_gal(
    *, sap_gal: float, brix: float, rule: SyrupRule = "revised", syrup_brix: float = 66.0
) -> float:
    """Gallons of syrup that sap makes: sap / (sap for a gallon of syrup). Source: the rule's.

    Args:
        sap_gal: Sap in gallons, 0 or more.
        brix: Sweetness of the sap in Brix, in the range of the rule.
        rule: The revised rule, or the plain rule of 86.
        syrup_brix: Density of the syrup in Brix, 66.0 or 66.9; the rule of 86 knows none.

    Raises:
        ValueError: The sap, its sweetness, the rule or the density is out of range.
    """
    SAP.check(sap_gal)
    return sap_gal / _sap_per_syrup(brix, rule, syrup_brix)


def sap_gal_for(
    *, syrup_gal: float, brix: float, rule: SyrupRule = "revised", syrup_brix: float = 66.0
) -> float:
    """Gallons of sap that syrup takes: syrup x (sap for a gallon of syrup). Source: the rule's.

    Args:
        syrup_gal: Syrup in gallons, 0 or more.
        brix: Sweetness of the sap in Brix, in the range of the rule.
        rule: The revised rule, or the plain rule of 86.
        syrup_brix: Density of the syrup in Brix, 66.0 or 66.9; the rule of 86 knows none.

    Raises:
        ValueError: The syrup, the sweetness, the rule or the density is out of range.
    """
    SYRUP.check(syrup_gal)
    return syrup_gal * _sap_per_syrup(brix, rule, syrup_brix)


def mean_brix(*, gallons: Sequence[float], brix: Sequence[float]) -> float:
    """Sweetness of tanks run together: sum(gallons x Brix) / sum(gallons).

    Brix is by weight and sweet sap is the heavier, so the mean by volume reads low: for two tanks
    of sap by nothing a refractometer shows, for sap of 2 and concentrate of 10 Brix by up to 0.07.
    Source: arithmetic on the numbers given.

    Args:
        gallons: Sap in each tank in gallons, each 0 or more, above 0 in all.
        brix: Sweetness of each tank in Brix, 0 to 100, as many as there are tanks.

    Raises:
        ValueError: A tank is out of range, all are empty, or the two are not of one length.
    """
    if len(gallons) != len(brix):
        raise ValueError(f"{len(brix)} readings of Brix: out of range, {len(gallons)} tanks")
    SAP.check(*gallons)
    Range("sap", 0, 100, "Brix").check(*brix)
    total_gal = fsum(gallons)
    Range("sap", 0, unit="gal in all", above=True).check(total_gal)
    return fsum(tank * sweet for tank, sweet in zip(gallons, brix, strict=True)) / total_gal


def best_share(*, gallons: Sequence[float], of_days: float = 0.2) -> tuple[int, float]:
    """How many days are the best so many, rounded up to whole days, and their share of the sap.

    A season lives on a few great days. Source: arithmetic on the numbers given.

    Args:
        gallons: Sap of each day that was measured in gallons, each 0 or more, above 0 in all.
        of_days: Share of the days, above 0 to 1.

    Raises:
        ValueError: A day, all of them or the share is out of range.
    """
    SAP.check(*gallons)
    Range("share", 0, 1, "of the days", above=True).check(of_days)
    total_gal = fsum(gallons)
    Range("sap", 0, unit="gal in all", above=True).check(total_gal)
    days = ceil(round(len(gallons) * of_days, 9))
    return days, fsum(sorted(gallons, reverse=True)[:days]) / total_gal


def sap_missed_gal(*, sap_gal: float, taps_in: int, taps_late: int) -> float:
    """Gallons a run would have brought from taps drilled after it: sap / taps in x taps late.

    It takes them to give as much as those that were in. Source: arithmetic on the numbers given.

    Args:
        sap_gal: Sap of the run in gallons, 0 or more.
        taps_in: Taps that were in, 1 or more.
        taps_late: Taps drilled later, 0 or more.

    Raises:
        ValueError: The sap or the taps are out of range.
    """
    SAP.check(sap_gal)
    Range("taps", 1).check(taps_in)
    Range("taps", 0).check(taps_late)
    return sap_gal / taps_in * taps_late


def yield_per_tap(*, syrup_gal: float, taps: int) -> float:
    """Gallons of syrup a tap: syrup / taps. Source: USDA NASS counts it so.

    Args:
        syrup_gal: Syrup of the season in gallons, 0 or more.
        taps: Taps set that season, 1 or more.

    Raises:
        ValueError: The syrup or the taps are out of range.
    """
    SYRUP.check(syrup_gal)
    Range("taps", 1).check(taps)
    return syrup_gal / taps


def _sap_per_syrup(brix: float, rule: SyrupRule, syrup_brix: float) -> float:
    if rule == "revised":
        return sap_per_syrup_revised(brix=brix, syrup_brix=syrup_brix)
    if rule == "86":
        return sap_per_syrup_86(brix=brix)
    raise ValueError(f"rule {rule!r}: out of range, 'revised' or '86'")
