"""The season summary in full, as data: what was done, what it took, what came of it."""

from collections import Counter
from collections.abc import Iterable, Iterator
from datetime import date, datetime, time

from msgspec import Struct

from fieldbook.book.entry import Happening, Leak, Note, Repair, Valve, WriteOff
from fieldbook.reports.charts import Chart
from fieldbook.reports.costs import Costs, costs
from fieldbook.reports.forecast import Forecast, forecast
from fieldbook.reports.history_measures import drop_age, looked_at
from fieldbook.reports.log import LogLine, log_line
from fieldbook.reports.sap import RunDay, run_days
from fieldbook.reports.season_charts import sap_chart, taps_chart, vacuum_chart
from fieldbook.reports.summary import Summary, summarise
from fieldbook.reports.work import WorkReport, work_report
from fieldbook.season.balance import drops_in_place
from fieldbook.season.season import Season
from fieldbook.season.vacuum import Gauges
from fieldbook.season.woods import settled, valves_shut
from fieldbook.trade.units import l_from_gal


class DropsAge(Struct, frozen=True):
    """Drops of one age, as they hang now.

    Attributes:
        age_years: Seasons since they were hung; 0 for those of this season, None for unknown.
        lines: Lines on which they hang.
        drops: How many, on lines of which it is known how many hang; None where it is of none.
    """

    age_years: int | None
    lines: int
    drops: int | None


class LeaksFound(Struct, frozen=True):
    """The leaks of a season; None where nobody looked for any.

    Attributes:
        found: Found.
        mended: Of these mended.
        open: Of these not mended.
        per_1000_taps: Found for 1,000 taps in; None without taps.
        by_cause: How many of each cause, where the cause is known.
    """

    found: int | None
    mended: int | None
    open: int | None
    per_1000_taps: float | None
    by_cause: dict[str, int]


class Reported(Struct, frozen=True):
    """What a holder of public land in Quebec reports by 1 June.

    Attributes:
        tapholes: Tapholes drilled; None where nobody counted any.
        syrup_gal: Syrup made in gallons; None where nobody said.
        syrup_l: The same in litres.
    """

    tapholes: int | None
    syrup_gal: float | None
    syrup_l: float | None


class Carried(Struct, frozen=True):
    """What was carried over from the season before.

    Attributes:
        line: The entry.
        entry: Its entry in the season before: `2026/k7f2q-31`.
        open: It stands still.
    """

    line: LogLine
    entry: str
    open: bool


class Full(Struct, frozen=True):
    """The season in full.

    Attributes:
        summary: Where it stands: totals, blocks, open items, balance, vacuum, sap.
        reported: Tapholes drilled and syrup made.
        first_day: First day on which work was done or sap came in; None without any.
        last_day: Last day.
        work: Hours and rates, by task, block and person.
        drops_now: How old the drops are that hang now.
        leaks: Leaks found.
        runs: Sap and syrup by day.
        costs: What it cost.
        carried: What came over from the season before.
        written_off: Open items that nothing more is done about, with who and why.
        struck: Entries crossed out, with who and why.
        notes: Notes that somebody made, without hazards that are cleared.
        charts: Taps, vacuum and sap by day, those there are.
    """

    summary: Summary
    reported: Reported
    first_day: date | None
    last_day: date | None
    work: WorkReport
    drops_now: tuple[DropsAge, ...]
    leaks: LeaksFound
    runs: tuple[RunDay, ...]
    costs: Costs
    carried: tuple[Carried, ...]
    written_off: tuple[LogLine, ...]
    struck: tuple[LogLine, ...]
    notes: tuple[LogLine, ...]
    charts: tuple[Chart, ...]


def full_summary(
    season: Season,
    as_of: date,
    now: datetime | None = None,
    *,
    units: str = "us",
    outlook: Forecast | None = None,
) -> Full:
    """The season in full, of a season whose ledger was folded up to a day.

    Args:
        season: The season.
        as_of: The day.
        now: The time, for what is overdue; the end of the day if none is given.
        units: `us` or `metric`, of the chart of the vacuum.
        outlook: The forecast of that day, if it is known; it takes longer than all the rest.

    Raises:
        ValueError: A sum does not hold for a rule of the book.
    """
    ledger = season.ledger
    summary = summarise(season, as_of, now or datetime.combine(as_of, time.max))
    work, runs = work_report(ledger), tuple(run_days(ledger))
    days = _days(work, runs)
    return Full(
        summary=summary,
        reported=_reported(season, summary, work),
        first_day=min(days, default=None),
        last_day=max(days, default=None),
        work=work,
        drops_now=drops_now(season),
        leaks=leaks_found(season, work.taps),
        runs=runs,
        costs=costs(season, work, summary.sap),
        carried=tuple(_carried(season)),
        written_off=tuple(log_line(entry, season) for entry in ledger.of(WriteOff)),
        struck=tuple(_struck(season, as_of)),
        notes=tuple(_notes(season)),
        charts=tuple(season_charts(season, outlook or forecast(season, as_of), as_of, runs, units)),
    )


def _days(work: WorkReport, runs: Iterable[RunDay]) -> list[date]:
    """The first and the last day of each task, and the days of runs."""
    days = [day for part in work.tasks for day in (part.first, part.last)]
    return [*(day for day in days if day is not None), *(run.day for run in runs)]


def _reported(season: Season, summary: Summary, work: WorkReport) -> Reported:
    tapping, syrup = season.plan.counting("taps"), summary.sap.syrup_gal
    counted = any(part.first for part in work.tasks if tapping and part.task == tapping.key)
    litres = None if syrup is None else l_from_gal(syrup)
    return Reported(work.taps if counted else None, syrup, litres)


def season_charts(
    season: Season, outlook: Forecast, as_of: date, runs: tuple[RunDay, ...], units: str
) -> list[Chart]:
    """The charts there is something for."""
    curve = outlook.curve
    found = (
        taps_chart(curve, as_of) if curve else None,
        vacuum_chart(Gauges(season.ledger), units) if season.plan.under_vacuum else None,
        sap_chart(runs),
    )
    return [chart for chart in found if chart is not None]


def drops_now(season: Season) -> tuple[DropsAge, ...]:
    """How old the drops are that hang now: those of lines that were replaced are new."""
    ledger, plan = season.ledger, season.plan
    if plan.counting("drops") is None:
        return ()
    found: dict[int | None, list[int | None]] = {}
    for line in plan.lines:
        found.setdefault(drop_age(ledger, line), []).append(drops_in_place(ledger, line))
    return tuple(
        DropsAge(age, len(found[age]), _sum(found[age]))
        for age in sorted(found, key=lambda age: (age is None, age or 0))
    )


def _sum(numbers: Iterable[int | None]) -> int | None:
    known = [number for number in numbers if number is not None]
    return sum(known) if known else None


def leaks_found(season: Season, taps: int) -> LeaksFound:
    """The leaks of a season, and how many of them are mended."""
    leaks = season.ledger.of(Leak)
    if not leaks and not looked_at(season.ledger):
        return LeaksFound(None, None, None, None, {})
    seen_to = settled(season.ledger)
    mended = sum(leak.id in seen_to for leak in leaks)
    causes = Counter(str(leak.cause) for leak in leaks if leak.cause)
    return LeaksFound(
        found=len(leaks),
        mended=mended,
        open=len(leaks) - mended,
        per_1000_taps=1000 * len(leaks) / taps if taps else None,
        by_cause=dict(sorted(causes.items(), key=lambda pair: (-pair[1], pair[0]))),
    )


def _carried(season: Season) -> Iterator[Carried]:
    """Hazards and notes, repairs and shut valves of the season before, oldest first."""
    ledger = season.ledger
    seen_to, shut = settled(ledger), valves_shut(ledger)
    found: list[Note | Repair | Valve] = [*ledger.notes, *ledger.of(Repair), *ledger.of(Valve)]
    carried = [entry for entry in found if entry.carried]
    for entry in sorted(carried, key=lambda e: (e.day, e.id)):
        stands = entry.id not in seen_to
        if isinstance(entry, Valve):
            stands = entry in shut.get((entry.block, entry.line), ())
        yield Carried(log_line(entry, season), entry.carried, stands)


def _struck(season: Season, as_of: date) -> list[LogLine]:
    """Entries crossed out, in the order they were made; of what happened only up to a day."""
    struck = season.ledger.struck
    return [
        log_line(entry, season)
        for entry in season.log()
        if entry.id in struck and not (isinstance(entry, Happening) and entry.day > as_of)
    ]


def _notes(season: Season) -> list[LogLine]:
    """Notes, oldest first; a hazard that is cleared has served its time."""
    seen_to = settled(season.ledger)
    notes = [n for n in season.ledger.of(Note) if not (n.hazard and n.id in seen_to)]
    return [log_line(note, season) for note in sorted(notes, key=lambda n: (n.day, n.id))]
