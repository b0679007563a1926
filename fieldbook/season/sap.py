"""Sap: what runs brought, what a tap gives, and what taps lose that hang low or are shut off."""

from collections.abc import Iterable

from msgspec import Struct

from fieldbook.book.entry import Leak, Run
from fieldbook.season.ledger import Ledger
from fieldbook.season.plan import Plan
from fieldbook.trade.sap import SYRUP_BRIX, mean_brix, syrup_gal
from fieldbook.trade.units import gal_from_l, inhg_from_kpa
from fieldbook.trade.vacuum import GAIN_HIGH_PCT, GAIN_LOW_PCT, TAPS, sap_lost_gal, sap_ratio

MOST_INHG = 29.92
"""The most vacuum that the sums of sap hold for."""


# --- what runs brought ---


def sap_gal_of(run: Run) -> float | None:
    """Sap of a run in gallons; None if it was not measured."""
    return gal_from_l(run.sap_l) if run.sap_l is not None else run.sap_gal


def syrup_gal_of(run: Run) -> float | None:
    """Syrup made of a run in gallons; None if nobody said."""
    return gal_from_l(run.syrup_l) if run.syrup_l is not None else run.syrup_gal


def taps_for_sap(ledger: Ledger, block: str = "") -> int:
    """Taps that sap is told over: those that are in; where none is recorded, those planned.

    Args:
        ledger: The season.
        block: Of this block; of all if it is empty.
    """
    plan, tapping = ledger.plan, ledger.plan.counting("taps")
    taps_in = ledger.cell(tapping, block or None).tally.done if tapping else 0
    return taps_in or sum(plan.taps(line) or 0 for line in plan.lines_of(block))


def sweet_runs(runs: Iterable[Run]) -> list[tuple[float, float]]:
    """Gallons and Brix of the runs of which both are known, and sap came."""
    return [
        (gallons, run.brix) for run in runs if (gallons := sap_gal_of(run)) and run.brix is not None
    ]


def brix_of(runs: Iterable[Run]) -> float | None:
    """Sweetness of the sap of known sweetness, the tanks together; None where there is none."""
    sweet = sweet_runs(runs)
    return mean_brix(gallons=[g for g, _b in sweet], brix=[b for _g, b in sweet]) if sweet else None


def season_brix(ledger: Ledger) -> float:
    """Sweetness of the season's sap in Brix: of its runs, else by the book's rule."""
    brix = brix_of(ledger.runs)
    return ledger.plan.number("sap_brix") if brix is None else min(brix, SYRUP_BRIX)


# --- what taps give, and lose ---


class Loss(Struct, frozen=True):
    """What is lost on a day when sap runs.

    Attributes:
        sap_gal: Sap, by the book's gain for an inch of mercury.
        low_gal: Sap, by the least gain that was published, or the book's where that is less.
        high_gal: Sap, by the greatest, or the book's where that is more.
        syrup_gal: Syrup that sap would have made.
        money: What the sap is worth at the book's price.
    """

    sap_gal: float = 0.0
    low_gal: float = 0.0
    high_gal: float = 0.0
    syrup_gal: float = 0.0
    money: float = 0.0

    def __add__(self, other: "Loss") -> "Loss":
        return Loss(*(getattr(self, n) + getattr(other, n) for n in self.__struct_fields__))


def loss_of(plan: Plan, taps: int, lost_inhg: float, *, brix: float) -> Loss:
    """What some taps lose in a day that hang so many inches of mercury under the pump.

    Args:
        plan: The book's rules.
        taps: Taps there are.
        lost_inhg: Vacuum lost, in inches of mercury.
        brix: Sweetness of the sap: see `season_brix`.
    """
    gain = plan.number("sap_pct_per_inhg")
    sap, low, high = (
        sap_lost(plan, taps, lost_inhg, pct_per_inhg=pct)
        for pct in (gain, min(gain, GAIN_LOW_PCT), max(gain, GAIN_HIGH_PCT))
    )
    return _worth(plan, sap, low, high, brix)


def sap_lost(
    plan: Plan, taps: int, lost_inhg: float, *, pct_per_inhg: float | None = None
) -> float:
    """Sap that some taps lose in a day, in gallons; by the book's gain if no other is given."""
    gain = plan.number("sap_pct_per_inhg") if pct_per_inhg is None else pct_per_inhg
    return sap_lost_gal(
        taps=min(taps, int(TAPS.high)),
        gal_per_tap_day=plan.number("sap_gal_per_tap_day"),
        lost_inhg=min(max(lost_inhg, 0.0), MOST_INHG),
        pct_per_inhg=gain,
        at_inhg=plan.number("sap_at_inhg"),
    )


def lost_of(leak: Leak) -> float | None:
    """Vacuum that a leak costs in inches of mercury, whatever it was keyed in."""
    return inhg_from_kpa(leak.lost_kpa) if leak.lost_kpa is not None else leak.lost_inhg


def shut_off(plan: Plan, taps: int, *, brix: float) -> Loss:
    """What some taps would give in a day that give nothing, as their valve is shut."""
    sap = taps * sap_of_tap(plan)
    return _worth(plan, sap, sap, sap, brix)


def sap_of_tap(plan: Plan, vacuum_inhg: float | None = None) -> float:
    """Sap that a tap gives on a day when it runs, in gallons.

    Args:
        plan: The book's rules.
        vacuum_inhg: The vacuum it is under; without one the pump's, by the book. Where there is
            no pump it gives what the book says.
    """
    gallons = plan.number("sap_gal_per_tap_day")
    if not plan.under_vacuum:
        return gallons
    vacuum = plan.number("pump_vacuum_inhg") if vacuum_inhg is None else vacuum_inhg
    return gallons * sap_ratio(
        from_inhg=plan.number("sap_at_inhg"),
        to_inhg=min(max(vacuum, 0.0), MOST_INHG),
        pct_per_inhg=plan.number("sap_pct_per_inhg"),
    )


def _worth(plan: Plan, sap: float, low: float, high: float, brix: float) -> Loss:
    """Sap with the syrup of it and its price."""
    syrup = syrup_gal(sap_gal=sap, brix=brix)
    return Loss(sap, low, high, syrup, sap * plan.number("sap_value_per_gal"))
