"""A season's tables in the form they are imported in, so that what goes out can come in again."""

from collections.abc import Callable, Iterator, Sequence
from datetime import date

from fieldbook.book.entry import Count, Entry, Reading
from fieldbook.reports.log import log_lines
from fieldbook.season.importing import (
    COUNTS,
    LINES,
    PEOPLE,
    READINGS,
    RUNS,
    SETTINGS,
    SUPPLIES,
    TAP_RULES,
    TARGETS,
    TREES,
)
from fieldbook.season.rows import ALLOWED
from fieldbook.season.season import Season
from fieldbook.season.settings import RULES

Rows = Iterator[tuple[object, ...]]

LOG_COLUMNS = (
    "id",
    "at",
    "noted",
    "by",
    "who",
    "kind",
    "place",
    "task",
    "says",
    "struck",
)


def export_table(
    season: Season, name: str, *, until: date | None = None
) -> tuple[Sequence[str], Rows]:
    """Header and rows of one of the `TABLES`.

    Counts, runs and the log end with a day, if one is given; the plan is what it is now.
    """
    tables: dict[str, tuple[Sequence[str], Callable[[Season], Rows]]] = {
        "lines": (LINES.columns, _lines),
        "trees": (TREES.columns, _trees),
        "tap-rules": (TAP_RULES.columns, _tap_rules),
        "people": (PEOPLE.columns, _people),
        "counts": (COUNTS.columns, lambda season: _counts(season, until)),
        "targets": (TARGETS.columns, _targets),
        "settings": (SETTINGS.columns, _settings),
        "supplies": (SUPPLIES.columns, _supplies),
        "runs": (RUNS.columns, lambda season: _runs(season, until)),
        "readings": (READINGS.columns, lambda season: _readings(season, until)),
        "log": (LOG_COLUMNS, lambda season: _log(season, until)),
    }
    header, rows = tables[name]
    return header, rows(season)


TABLES = (
    *("log", "lines", "trees", "tap-rules", "people"),
    *("counts", "targets", "settings", "supplies", "runs", "readings"),
)


def _fields(entry: Entry, columns: Sequence[str]) -> tuple[object, ...]:
    return tuple(getattr(entry, column) for column in columns)


def _lines(season: Season) -> Rows:
    for line in season.plan.lines:
        row = dict(zip(LINES.columns, _fields(line, LINES.columns), strict=True))
        if line.taps_planned is None:
            row["taps_planned"] = ALLOWED
        yield tuple(row.values())


def _trees(season: Season) -> Rows:
    for tally in season.plan.tallies:
        for trees in tally.classes:
            sizes = (trees.dbh_in, trees.girth_in, trees.dbh_cm)
            yield (tally.block, tally.line, *sizes, trees.count)


def _tap_rules(season: Season) -> Rows:
    for rule in season.plan.own_tap_rules:
        for limit in rule.classes:
            limits = (limit.from_dbh, None) if rule.unit == "in" else (None, limit.from_dbh)
            yield (rule.rule, *limits, limit.taps, rule.source)


def _people(season: Season) -> Rows:
    for name in season.plan.people:
        person = season.plan.person(name)
        if person is not None:
            yield person.person, person.role, person.note


def _counts(season: Season, until: date | None) -> Rows:
    for entry in season.log():
        if until is not None and entry.day > until:
            continue
        if isinstance(entry, Count) and entry.id not in season.ledger.struck:
            yield (
                entry.day,
                entry.block,
                entry.line,
                entry.task,
                entry.count,
                entry.who,
                entry.hours,
                entry.note,
            )


def _targets(season: Season) -> Rows:
    return (_fields(target, TARGETS.columns) for target in season.plan.targets)


def _settings(season: Season) -> Rows:
    return ((rule.name, season.plan.setting(rule.name)) for rule in RULES)


def _supplies(season: Season) -> Rows:
    return (_fields(supply, SUPPLIES.columns) for supply in season.plan.supplies)


def _runs(season: Season, until: date | None) -> Rows:
    for run in season.ledger.runs:
        if until is None or run.day <= until:
            sap, syrup = ("sap_gal", "sap_l"), ("syrup_gal", "syrup_l")
            yield (run.day, *_fields(run, ("block", *sap, "brix", *syrup, "note")))


def _readings(season: Season, until: date | None) -> Rows:
    for reading in season.ledger.of(Reading):
        if until is None or reading.day <= until:
            at, where = f"{reading.at:%Y-%m-%d %H:%M}", READINGS.columns[1:-2]
            yield (at, *_fields(reading, where), reading.who, reading.note)


def _log(season: Season, until: date | None) -> Rows:
    for line in log_lines(season, until=until):
        yield tuple(getattr(line, column) for column in LOG_COLUMNS)
