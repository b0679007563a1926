"""Sap and syrup of the season. A day that was not measured is blank: it is not a zero."""

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from itertools import accumulate
from math import fsum

from msgspec import Struct

from fieldbook.i18n import _, ngettext
from fieldbook.reports.listing import Listing
from fieldbook.season.dates import brief_day
from fieldbook.season.gathered import Day, by_day
from fieldbook.season.ledger import Ledger
from fieldbook.season.sap import taps_for_sap
from fieldbook.trade.sap import (
    SYRUP_BRIX,
    SyrupRule,
    best_share,
    mean_brix,
    sap_missed_gal,
    syrup_gal,
)

RULE_86_BRIX = (0.5, 10)
"""Sweetness that the plain rule of 86 holds for."""


class Sap(Struct, frozen=True):
    """What the runs of a season, or of one of its blocks, add up to; None where nobody said.

    Attributes:
        sap_gal: Sap that was measured.
        sap_gal_per_tap: The same a tap, over `sap_taps`.
        syrup_gal: Syrup made.
        syrup_gal_per_tap: The same a tap, over `syrup_taps`.
        days_measured: Days on which sap was measured.
        days_blank: Days that are written down, and sap was not measured.
        best_fifth_days: How many days the best fifth of those measured are, rounded up.
        best_fifth_share: The share of the sap they brought.
        brix: Sweetness of the sap whose sweetness was taken, the tanks together.
        syrup_expected_gal: Syrup that the sap of known sweetness gives, of 66.0 Brix, by the
            revised rule of 86.
        syrup_expected_86_gal: The same by the plain rule of 86.
        first_run: First day on which sap came.
        last_run: Last day.
        length_days: Days from the first to the last, both among them.
        taps: Taps in; where none is recorded, taps planned.
        sap_taps: Those of them that the sap came from: of some blocks, if only those measured.
        syrup_taps: Those that the syrup came from.
        taps_late: Taps that were not in yet when the first run came.
        sap_missed_gal: Sap that taps drilled after a run would have brought, had they been in and
            given as much as the others.
    """

    sap_gal: float | None
    sap_gal_per_tap: float | None
    syrup_gal: float | None
    syrup_gal_per_tap: float | None
    days_measured: int
    days_blank: int
    best_fifth_days: int | None
    best_fifth_share: float | None
    brix: float | None
    syrup_expected_gal: float | None
    syrup_expected_86_gal: float | None
    first_run: date | None
    last_run: date | None
    length_days: int | None
    taps: int
    sap_taps: int
    syrup_taps: int
    taps_late: int | None
    sap_missed_gal: float | None


class RunDay(Struct, frozen=True):
    """What a day brought, of the sugarbush or of a block.

    Attributes:
        day: The day.
        block: The block; empty for the whole sugarbush.
        sap_gal: Sap; None if nobody measured it.
        brix: Its sweetness.
        syrup_gal: Syrup made.
        syrup_expected_gal: Syrup that the sap of known sweetness gives, by the revised rule of 86.
        taps_in: Taps in by the end of the day.
        taps_late: Taps drilled after it.
        sap_gal_per_tap: Sap of a tap that was in.
        sap_missed_gal: What the taps drilled later would have brought.
        blocks: Blocks that were measured, where not the whole was.
    """

    day: date
    block: str
    sap_gal: float | None
    brix: float | None
    syrup_gal: float | None
    syrup_expected_gal: float | None
    taps_in: int
    taps_late: int
    sap_gal_per_tap: float | None
    sap_missed_gal: float | None
    blocks: tuple[str, ...]


def sap_of(ledger: Ledger, block: str = "") -> Sap:
    """What the runs of a season, or of a block, add up to."""
    days = by_day(ledger.runs, block)
    rows = run_days(ledger, block)
    came = [day.day for day in days if day.ran]
    gathered = [day.sap_gal for day in days if day.sap_gal is not None]
    made = [day.syrup_gal for day in days if day.syrup_gal is not None]
    sap_gal, syrup = _sum(gathered), _sum(made)
    best_days, best = best_share(gallons=gathered) if sap_gal else (None, None)
    sweet = [tank for day in days for tank in day.sweet]
    sap_taps = _taps(ledger, block, [day.blocks for day in days if day.sap_gal is not None])
    syrup_taps = _taps(
        ledger, block, [day.syrup_blocks for day in days if day.syrup_gal is not None]
    )
    return Sap(
        sap_gal=sap_gal,
        sap_gal_per_tap=_a_tap(sap_gal, sap_taps),
        syrup_gal=syrup,
        syrup_gal_per_tap=_a_tap(syrup, syrup_taps),
        days_measured=len(gathered),
        days_blank=len(days) - len(gathered),
        best_fifth_days=best_days,
        best_fifth_share=best,
        brix=_brix(sweet),
        syrup_expected_gal=_expected(sweet),
        syrup_expected_86_gal=_expected(sweet, rule="86"),
        first_run=came[0] if came else None,
        last_run=came[-1] if came else None,
        length_days=(came[-1] - came[0]).days + 1 if came else None,
        taps=taps_for_sap(ledger, block),
        sap_taps=sap_taps,
        syrup_taps=syrup_taps,
        taps_late=next((row.taps_late for row in rows if row.day in came), None),
        sap_missed_gal=_sum([gal for row in rows if (gal := row.sap_missed_gal) is not None]),
    )


def run_days(ledger: Ledger, block: str = "") -> list[RunDay]:
    """What each day brought, the first first; of the sugarbush, or of a block."""
    days = by_day(ledger.runs, block)
    taps_in = _TapsIn(ledger, block) if days else None
    return [_run_day(day, block, taps_in) for day in days if taps_in]


def _run_day(day: Day, block: str, taps_in: "_TapsIn") -> RunDay:
    blocks = (block,) if block else day.blocks
    there, late = taps_in.by(day.day, blocks)
    known = day.sap_gal is not None and there > 0
    return RunDay(
        day=day.day,
        block=block,
        sap_gal=day.sap_gal,
        brix=day.brix,
        syrup_gal=day.syrup_gal,
        syrup_expected_gal=_expected(day.sweet),
        taps_in=there,
        taps_late=late,
        sap_gal_per_tap=_a_tap(day.sap_gal, there),
        sap_missed_gal=sap_missed_gal(sap_gal=day.sap_gal or 0, taps_in=there, taps_late=late)
        if known
        else None,
        blocks=() if block else day.blocks,
    )


class _TapsIn:
    """Taps in by the end of each day, block by block; of one block alone if it is named."""

    def __init__(self, ledger: Ledger, only: str = "") -> None:
        tapping = ledger.plan.counting("taps")
        found: dict[str, dict[date, int]] = {block: {} for block in ledger.plan.blocks}
        for entry in ledger.counts(only or None):
            if tapping is not None and entry.task == tapping.key:
                drilled = found[entry.block]
                drilled[entry.day] = drilled.get(entry.day, 0) + entry.count
        self._blocks = {
            block: (sorted(drilled), list(accumulate(drilled[day] for day in sorted(drilled))))
            for block, drilled in found.items()
        }

    def by(self, day: date, blocks: Iterable[str]) -> tuple[int, int]:
        """Taps in by the end of a day in some blocks, or in all if none are named; those after."""
        there = total = 0
        for block in tuple(blocks) or self._blocks:
            days, taps = self._blocks.get(block, ((), ()))
            at = bisect_right(days, day)
            there += taps[at - 1] if at else 0
            total += taps[-1] if taps else 0
        return there, total - there


def _taps(ledger: Ledger, block: str, told: Sequence[tuple[str, ...]]) -> int:
    """Taps that a measure is told over: of a block; of the blocks that alone were measured; all."""
    if block or not told or not all(told):
        return taps_for_sap(ledger, block)
    return sum(taps_for_sap(ledger, name) for name in dict.fromkeys(n for t in told for n in t))


def _a_tap(gallons: float | None, taps: int) -> float | None:
    return gallons / taps if gallons is not None and taps else None


def _sum(amounts: Sequence[float]) -> float | None:
    return fsum(amounts) if amounts else None


def _brix(sweet: Sequence[tuple[float, float]]) -> float | None:
    return mean_brix(gallons=[g for g, _b in sweet], brix=[b for _g, b in sweet]) if sweet else None


def _expected(sweet: Iterable[tuple[float, float]], rule: SyrupRule = "revised") -> float | None:
    """Syrup of sap whose sweetness is known; what no rule holds for is a slip of the finger."""
    low, high = RULE_86_BRIX if rule == "86" else (0, SYRUP_BRIX)
    known = [syrup_gal(sap_gal=g, brix=b, rule=rule) for g, b in sweet if low <= b <= high]
    return fsum(known) if known else None


# --- in words, and as a table ---


def sap_words(sap: Sap) -> Iterator[str]:
    """The sap and the syrup, in a line each; nothing where nobody wrote any down."""
    if not sap.days_measured + sap.days_blank and sap.syrup_gal is None:
        return
    if sap.sap_gal is None:
        said = ngettext(
            "Sap not measured on {n} day", "Sap not measured on {n} days", sap.days_blank
        ).format(n=sap.days_blank)
    else:
        said = ngettext(
            "Sap {gal:,.1f} gal on {n} day", "Sap {gal:,.1f} gal on {n} days", sap.days_measured
        ).format(gal=sap.sap_gal, n=sap.days_measured)
    if sap.days_blank and sap.sap_gal is not None:
        said += ", " + _("{n} not measured").format(n=sap.days_blank)
    if sap.sap_gal_per_tap is not None:
        said += ", " + _("{gal:,.1f} gal a tap").format(gal=sap.sap_gal_per_tap)
    if sap.brix is not None:
        said += ", " + _("{brix:.1f} Brix").format(brix=sap.brix)
    yield said
    syrup = []
    if sap.syrup_gal is not None:
        made = _("{gal:,.1f} gal made").format(gal=sap.syrup_gal)
        if sap.syrup_gal_per_tap is not None:
            made += " " + _("({gal:.3f} a tap)").format(gal=sap.syrup_gal_per_tap)
        syrup.append(made)
    if sap.syrup_expected_gal is not None:
        syrup.append(_("{gal:,.1f} gal expected of it").format(gal=sap.syrup_expected_gal))
    if syrup:
        yield _("Syrup {what}").format(what=", ".join(syrup))


def run_words(sap: Sap) -> Iterator[str]:
    """What the runs were like: how long, how few days brought most, and which taps came late."""
    if sap.first_run is not None and sap.last_run is not None:
        yield _("Sap ran from {first} to {last}, {n} days").format(
            first=brief_day(sap.first_run), last=brief_day(sap.last_run), n=sap.length_days
        )
    if sap.best_fifth_share is not None:
        yield ngettext(
            "The best fifth of the days, {n} of {of}, brought {share:.0f} % of the sap",
            "The best fifth of the days, {n} of {of}, brought {share:.0f} % of the sap",
            sap.best_fifth_days or 0,
        ).format(n=sap.best_fifth_days, of=sap.days_measured, share=100 * sap.best_fifth_share)
    if sap.syrup_expected_gal is not None and sap.syrup_expected_86_gal is not None:
        yield _(
            "Expected: {gal:,.1f} gal by the revised rule of 86, {plain:,.1f} by the plain one"
        ).format(gal=sap.syrup_expected_gal, plain=sap.syrup_expected_86_gal)
    if sap.taps_late:
        missed = ""
        if sap.sap_missed_gal:
            missed = _(": they missed about {gal:,.0f} gal").format(gal=sap.sap_missed_gal)
        yield ngettext(
            "{n:,} tap was drilled after the first run{missed}",
            "{n:,} taps were drilled after the first run{missed}",
            sap.taps_late,
        ).format(n=sap.taps_late, missed=missed)


def runs_listing(rows: Sequence[RunDay], *, name: str = "runs") -> Listing:
    """What each day brought, as a table; a dash where nobody measured."""
    parts = sorted({block for row in rows for block in row.blocks})
    late = any(row.taps_late for row in rows)
    notes = [_("A dash was not measured: it is not a zero.")] if rows else []
    if parts:
        notes.append(
            _("On days without a measure of the whole, only these were measured: {blocks}.").format(
                blocks=", ".join(parts)
            )
        )
    return Listing(
        name=name,
        title=_("Sap and syrup by day"),
        columns=(
            *("date", "block", "sap_gal", "brix_pct", "syrup_gal", "syrup_expected_gal"),
            *("taps_in", "taps_late", "sap_gal_per_tap", "sap_missed_gal"),
        ),
        heads=(
            *(_("Day"), None, _("Sap gal"), _("Brix"), _("Syrup gal"), _("Expected")),
            *(_("Taps in"), _("Later") if late else None, _("gal/tap")),
            _("Missed") if late else None,
        ),
        rows=tuple(
            (
                *(row.day, row.block, row.sap_gal, row.brix, row.syrup_gal),
                *(row.syrup_expected_gal, row.taps_in, row.taps_late),
                *(row.sap_gal_per_tap, row.sap_missed_gal),
            )
            for row in rows
        ),
        notes=tuple(notes),
    )
