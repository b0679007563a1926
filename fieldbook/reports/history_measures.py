"""Seasons measured alike, so that they can stand side by side. What nobody recorded is None."""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from math import fsum
from typing import NamedTuple

from msgspec import Struct

from fieldbook.book.entry import Count, Leak, Line, Reading, Valve
from fieldbook.i18n import N_
from fieldbook.reports.sap import sap_of
from fieldbook.season.balance import drops_in_place
from fieldbook.season.ledger import Ledger, Standing
from fieldbook.trade.drops import drop_age_years

LEAP_YEAR, YEAR_DAYS = 2000, 366
"""Days are told by a calendar with a 29 February, so that 9 March is as late in every year."""

HOURS_SHARE = 0.9
"""Hours of fewer counts than that say too little of a season (common practice, no source)."""

Value = int | float | date | None


class Measures(Struct, frozen=True):
    """A season, or one of its blocks, in numbers; None where nobody recorded it.

    Attributes:
        season: Its year.
        block: The block; empty for the whole sugarbush.
        so_far: The season is under way: what is told of it still grows.
        lines: Lines there are.
        taps: Taps in.
        trees: Trees tallied.
        taps_per_tree: Taps in on the lines that were tallied, over their trees.
        hours: Person-hours of every task, of the counts that say.
        hours_share: Share of the counts that say.
        hours_per_tap: Those hours over the taps in.
        minutes_per_tap: The same in minutes.
        leaks: Leaks found; 0 where somebody looked and found none.
        leaks_per_1000_taps: The same over the taps in.
        sap_gal_per_tap: Sap of a tap, of the days that were measured.
        syrup_gal_per_tap: Syrup of a tap.
        brix_pct: Sweetness of the sap whose sweetness was taken, the tanks together.
        drop_age_years: Seasons that a drop has hung, the mean of the drops whose age is known.
        first_tap: Day of the first tap.
        first_run: First day on which sap came.
        last_run: Last day.
        last_spout_out: Last day on which spouts were pulled.
    """

    season: int
    block: str
    so_far: bool
    lines: int
    taps: int | None
    trees: int | None
    taps_per_tree: float | None
    hours: float | None
    hours_share: float | None
    hours_per_tap: float | None
    minutes_per_tap: float | None
    leaks: int | None
    leaks_per_1000_taps: float | None
    sap_gal_per_tap: float | None
    syrup_gal_per_tap: float | None
    brix_pct: float | None
    drop_age_years: float | None
    first_tap: date | None
    first_run: date | None
    last_run: date | None
    last_spout_out: date | None


class Measure(NamedTuple):
    """One of the numbers by which seasons are told apart.

    Attributes:
        name: The field of `Measures`.
        title: What people read, with its unit.
        shown_as: Name of what people read, where that is other.
        scale: How much of the field's unit what people read is.
    """

    name: str
    title: str
    shown_as: str
    scale: float = 1

    def of(self, measures: Measures | None) -> Value:
        """What a season has of it."""
        value: Value = None if measures is None else getattr(measures, self.name)
        return value

    def told(self, value: Value) -> Value:
        """A value in the unit that people read."""
        return value * self.scale if isinstance(value, float) else value


def _measure(name: str, title: str) -> Measure:
    return Measure(name, title, name)


NUMBERS = (
    _measure("taps", N_("Taps in")),
    _measure("taps_per_tree", N_("Taps a tree")),
    _measure("minutes_per_tap", N_("Minutes a tap")),
    _measure("leaks_per_1000_taps", N_("Leaks per 1,000 taps")),
    _measure("sap_gal_per_tap", N_("Sap, gal a tap")),
    # with two decimals, a gallon a tap says too little
    Measure(
        "syrup_gal_per_tap", N_("Syrup, gal/1,000 taps"), "syrup_gal_per_1000_taps", scale=1000
    ),
    _measure("brix_pct", N_("Sweetness, Brix")),
    _measure("drop_age_years", N_("Drops, seasons old")),
)
DAYS = (
    _measure("first_tap", N_("First tap")),
    _measure("first_run", N_("First run")),
    _measure("last_run", N_("Last run")),
    _measure("last_spout_out", N_("Last spout out")),
)
MEASURES = (*NUMBERS, *DAYS)


def measures(ledger: Ledger, block: str = "", *, so_far: bool = False) -> Measures | None:
    """A season, or a block of it, in numbers; None if the season does not have the block."""
    plan = ledger.plan
    if block and block not in plan.walk:
        return None
    lines = plan.lines_of(block)
    counts = list(ledger.counts(block or None))
    taps, first_tap, _last = _counted(ledger, counts, "taps")
    _pulled, _first, last_spout = _counted(ledger, counts, "spouts")
    known = [count.hours for count in counts if count.hours is not None]
    hours = fsum(known) if known else None
    trees, tapped = _tallied(ledger, lines)
    leaks = _leaks(ledger, block)
    sap = sap_of(ledger, block)
    return Measures(
        season=plan.year,
        block=block,
        so_far=so_far,
        lines=len(lines),
        taps=taps,
        trees=trees,
        taps_per_tree=_per(tapped or None, trees),
        hours=hours,
        hours_share=len(known) / len(counts) if counts else None,
        hours_per_tap=_per(hours, taps),
        minutes_per_tap=_per(hours, taps, times=60),
        leaks=leaks,
        leaks_per_1000_taps=_per(leaks, taps, times=1000),
        sap_gal_per_tap=sap.sap_gal_per_tap,
        syrup_gal_per_tap=sap.syrup_gal_per_tap,
        brix_pct=sap.brix,
        drop_age_years=_mean_age(ledger, lines),
        first_tap=first_tap,
        first_run=sap.first_run,
        last_run=sap.last_run,
        last_spout_out=last_spout,
    )


def _per(amount: float | None, units: int | None, *, times: int = 1) -> float | None:
    """So much a unit, or for so many of them; None where one of the two is not known."""
    return amount * times / units if amount is not None and units else None


def _counted(
    ledger: Ledger, counts: Sequence[Count], unit: str
) -> tuple[int | None, date | None, date | None]:
    """Units counted, and on which days the first and the last; None where nobody counted any."""
    task = ledger.plan.counting(unit)
    there = [count for count in counts if task is not None and count.task == task.key]
    days = [count.day for count in there if count.count]
    total = sum(count.count for count in there) if there else None
    return total, min(days, default=None), max(days, default=None)


def _tallied(ledger: Ledger, lines: Sequence[Line]) -> tuple[int | None, int]:
    """Trees of the lines that were tallied, and the taps in on them."""
    tallies = [(line, tally) for line in lines if (tally := ledger.plan.tally(line))]
    trees = sum(group.trees for _line, tally in tallies for group in tally)
    return trees if tallies else None, sum(ledger.taps_in(line) for line, _tally in tallies)


def looked_at(ledger: Ledger) -> set[tuple[str, str]]:
    """Lines that somebody looked at for leaks, whether there was one or not.

    Their gauge was read, their valve tested, or their leak check counted.
    """
    checking = ledger.plan.counting("readings")
    found = {(reading.block, reading.line) for reading in ledger.of(Reading) if reading.line}
    found |= {(v.block, v.line) for v in ledger.of(Valve) if v.heard is not None}
    if checking is not None:
        found |= {(c.block, c.line) for c in ledger.counts() if c.task == checking.key and c.count}
    return found


def _leaks(ledger: Ledger, block: str) -> int | None:
    """Leaks found in a season or a block of it; None where nobody looked."""
    found = sum(block in ("", leak.block) for leak in ledger.of(Leak))
    looked = any(block in ("", at) for at, _line in looked_at(ledger))
    return found if found or looked else None


def drop_age(ledger: Ledger, line: Line) -> int | None:
    """Seasons the drops of a line have hung, none if they were replaced; None if nobody knows.

    Where only some were replaced, the oldest tell.
    """
    replacing = ledger.plan.counting("drops")
    if replacing is not None:
        done = ledger.line_cell(line, replacing).standing is Standing.DONE
        if done and ledger.record(line.block, line.line, replacing.key).done:
            return 0
    return drop_age_years(hung=line.drops_hung, season=ledger.plan.year)


def _mean_age(ledger: Ledger, lines: Sequence[Line]) -> float | None:
    """Mean age of the drops of some lines, each drop counted, of those whose age is known."""
    ages = [(drops_in_place(ledger, line) or 0, drop_age(ledger, line)) for line in lines]
    known = [(drops, age) for drops, age in ages if age is not None]
    total = sum(drops for drops, _age in known)
    return sum(drops * age for drops, age in known) / total if total else None


# --- days, as numbers that compare from season to season ---------------------------------------


def day_number(day: date, season: int) -> int:
    """How late a day is in its season: 1 January of the season's year is 1, the day before 0."""
    in_year = (day.replace(year=LEAP_YEAR) - date(LEAP_YEAR, 1, 1)).days
    return (day.year - season) * YEAR_DAYS + in_year + 1


def day_numbered(number: int, season: int) -> date:
    """The day of a season that has a number; 1 March for a 29 February that is not there."""
    years, in_year = divmod(number - 1, YEAR_DAYS)
    day = date(LEAP_YEAR, 1, 1) + timedelta(days=in_year)
    try:
        return day.replace(year=season + years)
    except ValueError:
        return date(season + years, 3, 1)


def as_number(value: Value, season: int) -> float | None:
    """A value as a number, a day by how late it is in its season."""
    return day_number(value, season) if isinstance(value, date) else value


def comparable(measure: Measure, one: Measures | None) -> float | None:
    """What a season has of a measure, if that can be held against another season's."""
    if one is None or (measure.name == "minutes_per_tap" and (one.hours_share or 0) < HOURS_SHARE):
        return None
    return as_number(measure.of(one), one.season)


def blocks_of(ledgers: Sequence[Ledger]) -> Iterator[str]:
    """Blocks of some seasons by name, those of the last season first."""
    return iter(dict.fromkeys(b for ledger in reversed(ledgers) for b in ledger.plan.blocks))
