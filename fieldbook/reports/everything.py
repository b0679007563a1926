"""A season as a whole: every table, and every entry with all its fields."""

import io
import zipfile
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime

import msgspec
from msgspec import Struct

from fieldbook.book.entry import KINDS, AnyEntry, Entry
from fieldbook.reports.export import TABLES, export_table
from fieldbook.reports.render.csv import to_csv
from fieldbook.season.season import Season

_EPOCH = (1980, 1, 1, 0, 0, 0)  # the earliest a zip knows: the same book makes the same zip


class Everything(Struct, frozen=True):
    """All that a season holds.

    Attributes:
        book: Name of the sugarbush.
        season: Its year.
        as_of: The day up to which it goes, if one was asked for.
        tables: The rows of each table, by column.
        entries: Every entry in fold order, struck ones too.
    """

    book: str
    season: int
    as_of: date | None
    tables: dict[str, list[dict[str, object]]]
    entries: list[AnyEntry]


def everything(season: Season, *, until: date | None = None) -> Everything:
    """All that a season holds, up to a day if one is given: as `export_table` understands it."""
    tables = {}
    for name in TABLES:
        header, rows = export_table(season, name, until=until)
        tables[name] = [dict(zip(header, row, strict=True)) for row in rows]
    return Everything(
        book=season.book.name,
        season=season.year,
        as_of=until,
        tables=tables,
        entries=entries_until(season, until),
    )


def entries_until(season: Season, until: date | None) -> list[AnyEntry]:
    """Every entry in fold order, struck ones too, up to a day if one is given."""
    return [entry for entry in season.log() if until is None or entry.day <= until]


def everything_zip(season: Season, *, until: date | None = None) -> bytes:
    """A zip of CSV files: one of each table, and in `entries/` one of each kind of entry.

    The same entries give the same bytes, whatever the clock, the zone or the system. The files
    are stored as they are: what a compressor makes of them is not the same everywhere.
    """
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as copy:
        for name, text in _files(season, until):
            info = zipfile.ZipInfo(name, _EPOCH)
            info.create_system = 3  # or the system it was made on would show
            info.external_attr = 0o644 << 16
            copy.writestr(info, text.encode())
    return out.getvalue()


def _files(season: Season, until: date | None) -> Iterator[tuple[str, str]]:
    """Name and text of each file, in order."""
    for name in TABLES:
        yield f"{name}.csv", to_csv(*export_table(season, name, until=until))
    by_kind: dict[str, list[AnyEntry]] = {kind: [] for kind in KINDS}
    for entry in entries_until(season, until):
        by_kind[entry.kind].append(entry)
    for kind, entries in by_kind.items():
        columns = entry_columns(KINDS[kind])
        yield f"entries/{kind}.csv", to_csv(columns, _entry_rows(season, columns, entries))


def entry_columns(kind: type[Entry]) -> Sequence[str]:
    """The columns of a kind of entry: its fields, and which entry strikes it."""
    return (*kind.__struct_fields__, "struck")


def _entry_rows(
    season: Season, columns: Sequence[str], entries: Iterable[AnyEntry]
) -> Iterator[tuple[object, ...]]:
    for entry in entries:
        strike = season.ledger.struck.get(entry.id)
        fields = (_cell(getattr(entry, column)) for column in columns[:-1])
        yield (*fields, strike.id if strike else None)


def _cell(value: object) -> object:
    """A field as a cell: what has parts, and a yes or no, as JSON says it."""
    if value is None or isinstance(value, str | date | datetime):
        return value
    if isinstance(value, int | float) and not isinstance(value, bool):
        return value
    return msgspec.json.encode(value).decode()
