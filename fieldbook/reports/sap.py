"""Sap and syrup of the season. A day that was not measured is blank: it is not a zero."""

from collections.abc import Iterator
from math import fsum

from msgspec import Struct

from fieldbook.i18n import _, ngettext
from fieldbook.season.ledger import Ledger
from fieldbook.season.sap import brix_of, sap_gal_of, sweet_runs, syrup_gal_of
from fieldbook.trade.sap import SYRUP_BRIX, syrup_gal


class Sap(Struct, frozen=True):
    """What the runs add up to.

    Attributes:
        sap_gal: Sap gathered.
        measured: Runs whose sap was measured.
        blank: Runs whose sap was not.
        taps: Taps in; if none are recorded, taps planned.
        sap_per_tap: Gallons of sap a tap; None without taps, or where no sap was measured.
        brix: Sweetness of the sap whose sweetness was taken, the tanks together.
        syrup_gal: Syrup made; None where nobody said.
        syrup_expected_gal: Syrup that the sap of known sweetness gives, of 66.0 Brix.
    """

    sap_gal: float
    measured: int
    blank: int
    taps: int
    sap_per_tap: float | None
    brix: float | None
    syrup_gal: float | None
    syrup_expected_gal: float | None


def sap_of(ledger: Ledger) -> Sap | None:
    """What the runs of a season add up to; None if there are none."""
    runs = ledger.runs
    if not runs:
        return None
    plan, tapping = ledger.plan, ledger.plan.counting("taps")
    planned = sum(plan.taps(line) or 0 for line in plan.lines)
    taps = (ledger.cell(tapping).tally.done if tapping else 0) or planned
    gathered = [gallons for run in runs if (gallons := sap_gal_of(run)) is not None]
    made = [gallons for run in runs if (gallons := syrup_gal_of(run)) is not None]
    total = fsum(gathered)
    return Sap(
        sap_gal=total,
        measured=len(gathered),
        blank=len(runs) - len(gathered),
        taps=taps,
        sap_per_tap=total / taps if taps and gathered else None,
        brix=brix_of(runs),
        syrup_gal=fsum(made) if made else None,
        syrup_expected_gal=_expected(sweet_runs(runs)),
    )


def _expected(sweet: list[tuple[float, float]]) -> float | None:
    """Syrup of sap whose sweetness is known; what is sweeter than syrup is a slip of the finger."""
    known = [syrup_gal(sap_gal=g, brix=b) for g, b in sweet if b <= SYRUP_BRIX]
    return fsum(known) if known else None


def sap_words(sap: Sap) -> Iterator[str]:
    """The sap and the syrup of the season, in a line each."""
    said = ngettext(
        "Sap {gal:,.1f} gal in {n} run", "Sap {gal:,.1f} gal in {n} runs", sap.measured
    ).format(gal=sap.sap_gal, n=sap.measured)
    if sap.blank:
        said += ", " + _("{n} not measured").format(n=sap.blank)
    if sap.sap_per_tap is not None:
        said += ", " + _("{gal:,.1f} gal a tap").format(gal=sap.sap_per_tap)
    if sap.brix is not None:
        said += ", " + _("{brix:.1f} Brix").format(brix=sap.brix)
    yield said
    syrup = []
    if sap.syrup_gal is not None:
        syrup.append(_("{gal:,.1f} gal made").format(gal=sap.syrup_gal))
    if sap.syrup_expected_gal is not None:
        syrup.append(_("{gal:,.1f} gal expected of it").format(gal=sap.syrup_expected_gal))
    if syrup:
        yield _("Syrup {what}").format(what=", ".join(syrup))
