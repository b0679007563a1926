"""A season's tables in the form they are imported in, so that what goes out can come in again."""

from collections.abc import Callable, Iterator, Sequence
from datetime import date

from fieldbook.book.entry import Count, Entry
from fieldbook.reports.log import log_lines
from fieldbook.season.importing import COUNTS, LINES, PEOPLE, SETTINGS, TARGETS
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
    """Header and rows of a table: lines, people, counts, targets, settings or log.

    Counts and the log end with a day, if one is given; the plan is what it is now.
    """
    tables: dict[str, tuple[Sequence[str], Callable[[Season], Rows]]] = {
        "lines": (LINES.columns, _lines),
        "people": (PEOPLE.columns, _people),
        "counts": (COUNTS.columns, lambda season: _counts(season, until)),
        "targets": (TARGETS.columns, _targets),
        "settings": (SETTINGS.columns, _settings),
        "log": (LOG_COLUMNS, lambda season: _log(season, until)),
    }
    header, rows = tables[name]
    return header, rows(season)


TABLES = ("log", "lines", "people", "counts", "targets", "settings")


def _fields(entry: Entry, columns: Sequence[str]) -> tuple[object, ...]:
    return tuple(getattr(entry, column) for column in columns)


def _lines(season: Season) -> Rows:
    return (_fields(line, LINES.columns) for line in season.plan.lines)


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


def _log(season: Season, until: date | None) -> Rows:
    for line in log_lines(season, until=until):
        yield tuple(getattr(line, column) for column in LOG_COLUMNS)
