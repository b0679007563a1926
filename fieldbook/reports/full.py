"""The season summary in full, as data: what was done, what it took, what came of it."""

from collections import Counter
from datetime import date, datetime, time

from msgspec import Struct

from fieldbook.book.entry import Leak, Note
from fieldbook.reports.charts import Chart
from fieldbook.reports.costs import Costs, costs
from fieldbook.reports.forecast import forecast
from fieldbook.reports.log import LogLine, log_line
from fieldbook.reports.sap import RunDay, run_days
from fieldbook.reports.season_charts import sap_chart, taps_chart, vacuum_chart
from fieldbook.reports.summary import Summary, summarise
from fieldbook.reports.work import WorkReport, work_report
from fieldbook.season.balance import drops_in_place
from fieldbook.season.ledger import Standing
from fieldbook.season.season import Season
from fieldbook.season.vacuum import Gauges
from fieldbook.season.woods import settled
from fieldbook.trade.units import l_from_gal


class DropsAge(Struct, frozen=True):
    """Drops of one age, as they hang now.

    Attributes:
        age_years: Seasons since they were hung; 0 for those of this season, None for unknown.
        lines: Lines on which they hang.
        drops: How many; lines of which nobody knows how many hang are left out.
    """

    age_years: int | None
    lines: int
    drops: int


class LeaksFound(Struct, frozen=True):
    """The leaks of a season.

    Attributes:
        found: Found.
        mended: Of these mended.
        open: Of these not mended.
        per_1000_taps: Found for 1,000 taps in; None without taps.
        by_cause: How many of each cause, where the cause is known.
    """

    found: int
    mended: int
    open: int
    per_1000_taps: float | None
    by_cause: dict[str, int]


class Reported(Struct, frozen=True):
    """What a holder of public land in Quebec reports by 1 June.

    Attributes:
        tapholes: Tapholes drilled.
        syrup_gal: Syrup made in gallons; None where nobody said.
        syrup_l: The same in litres.
    """

    tapholes: int
    syrup_gal: float | None
    syrup_l: float | None


class Full(Struct, frozen=True):
    """The season in full.

    Attributes:
        summary: Where it stands: totals, blocks, open items, balance, vacuum, sap.
        reported: Tapholes drilled and syrup made.
        work: Hours and rates, by task, block and person.
        drops_now: How old the drops are that hang now.
        leaks: Leaks found.
        runs: Sap and syrup by day.
        costs: What it cost.
        struck: Entries crossed out, with who and why.
        notes: Notes that somebody made, without hazards that are cleared.
        charts: Taps, vacuum and sap by day, those there are.
    """

    summary: Summary
    reported: Reported
    work: WorkReport
    drops_now: tuple[DropsAge, ...]
    leaks: LeaksFound
    runs: tuple[RunDay, ...]
    costs: Costs
    struck: tuple[LogLine, ...]
    notes: tuple[LogLine, ...]
    charts: tuple[Chart, ...]


def full_summary(
    season: Season, as_of: date, now: datetime | None = None, *, units: str = "us"
) -> Full:
    """The season in full, of a season whose ledger was folded up to a day.

    Args:
        season: The season.
        as_of: The day.
        now: The time, for what is overdue; the end of the day if none is given.
        units: `us` or `metric`, of the chart of the vacuum.

    Raises:
        ValueError: A sum does not hold for a rule of the book.
    """
    ledger = season.ledger
    summary = summarise(season, as_of, now or datetime.combine(as_of, time.max))
    work, runs = work_report(ledger), tuple(run_days(ledger))
    syrup = summary.sap.syrup_gal
    return Full(
        summary=summary,
        reported=Reported(work.taps, syrup, None if syrup is None else l_from_gal(syrup)),
        work=work,
        drops_now=drops_now(season),
        leaks=leaks_found(season, work.taps),
        runs=runs,
        costs=costs(season, work, summary.sap),
        struck=tuple(_struck(season, as_of)),
        notes=tuple(_notes(season)),
        charts=tuple(season_charts(season, as_of, runs, units=units)),
    )


def season_charts(
    season: Season, as_of: date, runs: tuple[RunDay, ...], *, units: str
) -> list[Chart]:
    """The charts there is something for."""
    curve = forecast(season, as_of).curve
    found = (
        taps_chart(curve, as_of) if curve else None,
        vacuum_chart(Gauges(season.ledger), units) if season.plan.under_vacuum else None,
        sap_chart(runs),
    )
    return [chart for chart in found if chart is not None]


def drops_now(season: Season) -> tuple[DropsAge, ...]:
    """How old the drops are that hang now: those of lines that were replaced are new."""
    ledger, plan = season.ledger, season.plan
    replacing = plan.counting("drops")
    lines: Counter[int | None] = Counter()
    drops: Counter[int | None] = Counter()
    if replacing is None:
        return ()
    for line in plan.lines:
        age = None if line.drops_hung is None else max(0, season.year - line.drops_hung)
        record = ledger.record(line.block, line.line, replacing.key)
        if record.done and ledger.line_cell(line, replacing).standing is Standing.DONE:
            age = 0
        lines[age] += 1
        drops[age] += drops_in_place(ledger, line) or 0
    in_order = sorted(lines, key=lambda age: (age is None, age or 0))
    return tuple(DropsAge(age, lines[age], drops[age]) for age in in_order)


def leaks_found(season: Season, taps: int) -> LeaksFound:
    """The leaks of a season, and how many of them are mended."""
    found = season.ledger.of(Leak)
    seen_to = settled(season.ledger)
    mended = sum(leak.id in seen_to for leak in found)
    causes = Counter(str(leak.cause) for leak in found if leak.cause)
    return LeaksFound(
        found=len(found),
        mended=mended,
        open=len(found) - mended,
        per_1000_taps=1000 * len(found) / taps if taps else None,
        by_cause=dict(sorted(causes.items(), key=lambda pair: (-pair[1], pair[0]))),
    )


def _struck(season: Season, as_of: date) -> list[LogLine]:
    """Entries crossed out up to a day, in the order they were made."""
    struck = season.ledger.struck
    return [
        log_line(entry, season)
        for entry in season.log()
        if entry.id in struck and entry.day <= as_of
    ]


def _notes(season: Season) -> list[LogLine]:
    """Notes, oldest first; a hazard that is cleared has served its time."""
    seen_to = settled(season.ledger)
    notes = [n for n in season.ledger.of(Note) if not (n.hazard and n.id in seen_to)]
    return [log_line(note, season) for note in sorted(notes, key=lambda n: (n.day, n.id))]
