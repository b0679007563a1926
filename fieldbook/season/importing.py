"""Tables of lines, trees, people, counts and more into entries: all of a batch or nothing.

What a row says that the book has already is left alone, so that importing a file twice changes
nothing.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

from msgspec import Struct, field

from fieldbook.book.entry import (
    AnyEntry,
    Block,
    Checklist,
    Count,
    Entry,
    Person,
    Reading,
    Run,
    Setting,
)
from fieldbook.book.lines import Problem
from fieldbook.errors import BookError
from fieldbook.i18n import _
from fieldbook.season.checklist import read_checklist
from fieldbook.season.rows import (
    BRIX,
    RUN_MEASURES,
    TREE_SIZES,
    Against,
    Read,
    object_to_doubts,
    read_count,
    read_line,
    read_person,
    read_run,
    read_setting_row,
    read_supply,
    read_tap_rules,
    read_target,
    read_trees,
    row_by_row,
)
from fieldbook.season.rows_readings import VACUUM, read_reading
from fieldbook.season.season import WINDOW, Season, check_window
from fieldbook.season.table import Row, Table, read_table, rows_of


class Kind(Struct, frozen=True):
    """A table that can be imported, known by its header.

    Attributes:
        name: What it is called: `lines`.
        read: Makes entries of the rows; the last of a lot is what its row is about.
        needed: Columns without which it is not this table.
        columns: All it may have, in the order they are exported.
        one_of: Columns of which it has at least one.
    """

    name: str
    read: Callable[[Sequence[Row], Against], Read]
    needed: frozenset[str]
    columns: tuple[str, ...]
    one_of: frozenset[str] = frozenset()

    def fits(self, columns: set[str]) -> bool:
        """Whether a header is that of this table."""
        return self.needed <= columns and (not self.one_of or bool(self.one_of & columns))


LINES = Kind(
    "lines",
    row_by_row(read_line),
    frozenset({"block", "taps_planned"}),
    (
        *("block", "line", "order", "layout", "diameter_in", "diameter_mm", "dry_in", "dry_mm"),
        *("length_ft", "length_m", "slope_pct", "taps_planned", "drops_hung", "drops"),
        *("spout_in", "note"),
    ),
)
TREES = Kind(
    "trees",
    read_trees,
    frozenset({"block", "count"}),
    ("block", "line", *(column for column, _most in TREE_SIZES), "count"),
    one_of=frozenset(column for column, _most in TREE_SIZES),
)
TAP_RULES = Kind(
    "tap-rules",
    read_tap_rules,
    frozenset({"rule", "taps"}),
    ("rule", "from_in", "from_cm", "taps", "source"),
    one_of=frozenset({"from_in", "from_cm"}),
)
SUPPLIES = Kind(
    "supplies", row_by_row(read_supply), frozenset({"item", "on_hand"}), ("item", "on_hand")
)
PEOPLE = Kind("people", row_by_row(read_person), frozenset({"name"}), ("name", "role", "note"))
TARGETS = Kind(
    "targets",
    row_by_row(read_target),
    frozenset({"task", "wanted"}),
    ("task", "block", "line", "wanted", "planned"),
)
SETTINGS = Kind(
    "settings", row_by_row(read_setting_row), frozenset({"setting", "value"}), ("setting", "value")
)
RUNS = Kind(
    "runs",
    row_by_row(read_run),
    frozenset({"date"}),
    ("date", "block", *(column for column, _most in RUN_MEASURES), "note"),
    one_of=frozenset({"sap_gal", "sap_l", "syrup_gal", "syrup_l"}),
)
COUNTS = Kind(
    "counts",
    row_by_row(read_count),
    frozenset({"date", "block", "task", "count"}),
    ("date", "block", "line", "task", "count", "by", "hours", "note"),
)
READINGS = Kind(
    "readings",
    row_by_row(read_reading),
    frozenset({"at", "place"}),
    ("at", "block", "line", "place", "pipe", *(column for column, _most in VACUUM), "by", "note"),
    one_of=frozenset(column for column, _most in VACUUM),
)
KINDS = (LINES, TREES, TAP_RULES, PEOPLE, TARGETS, SETTINGS, SUPPLIES, RUNS, COUNTS, READINGS)
"""In the order they are read: a table may speak of what those before it bring."""


Event = Count | Run | Reading
"""What happened; of the plan the last entry about a thing holds."""


class FileResult(Struct):
    """What one file brings: how many things are new, changed, or in the book already."""

    file: str
    kind: str
    new: int = 0
    changed: int = 0
    same: int = 0
    notices: list[str] = field(default_factory=list)


class Import(Struct):
    """A batch of files, read and judged; nothing is written until `drafts` are recorded.

    Attributes:
        drafts: Entries to record, in order. Record none while there are problems.
        problems: Everything wrong, file by file and row by row.
        files: What each file brings.
    """

    drafts: list[AnyEntry] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    files: list[FileResult] = field(default_factory=list)


def read_import(
    paths: Iterable[Path],
    season: Season,
    *,
    by: str,
    now: datetime,
    really: bool = False,
    add_people: bool = False,
) -> Import:
    """Read files for import into a season, together, whatever order they are named in.

    Args:
        paths: CSV tables and checklists (`.toml`).
        season: Where they are to go.
        by: Who imports them.
        now: The time.
        really: Take counts that look like slips of the finger.
        add_people: Put names that are not on the crew on it.
    """
    batch = Import()
    stamp = {"at": now, "noted": now, "by": by}
    tables: list[tuple[Kind, Table]] = []
    for path in paths:
        try:
            if path.suffix.casefold() == ".toml":
                _take_checklist(path, season, batch, stamp)
            else:
                table = read_table(path)
                tables.append((_recognise(table), table))
        except BookError as error:
            batch.problems.append(Problem(path.name or str(path), error.message, error.hint))
    ledger = season.preview(batch.drafts)
    for kind, table in sorted(tables, key=lambda pair: KINDS.index(pair[0])):
        against = Against(ledger, stamp, really=really, add_people=add_people)
        _take_table(kind, table, against, season, batch)
    return batch


def _recognise(table: Table) -> Kind:
    fits = [kind for kind in KINDS if kind.fits(set(table.columns))]
    if fits:
        return max(fits, key=lambda kind: len(set(kind.columns) & set(table.columns)))
    near = max(KINDS, key=lambda kind: len(set(kind.columns) & set(table.columns)))
    lacking = sorted(near.needed - set(table.columns))
    if near.one_of and not near.one_of & set(table.columns):
        lacking.append(_(" or ").join(sorted(near.one_of)))
    raise BookError(
        _("row 1 is not the header of a table that can be imported: {header}").format(
            header=", ".join(c for c in table.columns if c)[:200]
        ),
        _("as a table of {kind} it lacks: {columns}").format(
            kind=near.name, columns=", ".join(lacking)
        ),
    )


def _take_checklist(path: Path, season: Season, batch: Import, stamp: dict[str, Any]) -> None:
    title, tasks = read_checklist(path)
    result = FileResult(path.name, "checklist")
    if season.checklist_differs(path):
        batch.drafts.append(Checklist(checklist=title, tasks=tasks, **stamp))
        result.changed = 1
    else:
        result.same = 1
    batch.files.append(result)


def _take_table(kind: Kind, table: Table, against: Against, season: Season, batch: Import) -> None:
    """Read a table's rows one on top of the other; what is new goes into the batch."""
    result = FileResult(table.name, kind.name, notices=list(_notices(kind, table)))
    batch.files.append(result)
    # What was struck is known too: importing the same file again does not bring them back.
    entries = (*season.book.entries, *batch.drafts)
    known = Counter(_event_key(entry) for entry in entries if isinstance(entry, Event))
    window: Row | None = None
    rows = list(rows_of(table))
    for row, drafts in kind.read(rows, against):
        for draft in drafts:
            if _is_known(draft, against, known):
                result.same += _counts(draft, kind)
                continue
            object_to_doubts(row, draft, against)
            if row.problems:
                break
            current = against.plan.current(draft)
            result.new += _counts(draft, kind) and current is None
            result.changed += _counts(draft, kind) and current is not None
            against.ledger.apply(draft)
            batch.drafts.append(draft)
            if isinstance(draft, Setting) and draft.setting in WINDOW:
                window = row
    if window is not None:
        try:
            check_window(against.plan)  # only now are both days in it
        except BookError as error:
            window.wrong("value", error.message, error.hint)
    batch.problems += [problem for row in rows for problem in row.problems]


def _notices(kind: Kind, table: Table) -> Iterator[str]:
    if table.notice:
        yield table.notice
    known = (*kind.columns, BRIX) if kind is RUNS else kind.columns
    extra = [c for c in table.columns if c and c not in known]
    if extra:
        yield _("columns ignored: {names}").format(names=", ".join(extra))


def _is_known(draft: AnyEntry, against: Against, known: Counter[tuple[object, ...]]) -> bool:
    """Whether the book says so already."""
    if not isinstance(draft, Event):
        return same_content(draft, against.plan.current(draft))
    key = _event_key(draft)
    known[key] -= 1
    return known[key] >= 0


def _counts(draft: AnyEntry, kind: Kind) -> bool:
    """Whether a draft is what its row is about, not something it brought along."""
    brought = (kind is LINES and isinstance(draft, Block)) or (
        kind in (COUNTS, READINGS) and isinstance(draft, Person)
    )
    return not brought


def same_content(one: Entry, other: Entry | None) -> bool:
    """Whether two entries say the same, whoever wrote them and whenever."""
    return type(one) is type(other) and other is not None and _content(one) == _content(other)


def _content(entry: Entry) -> tuple[object, ...]:
    """What an entry says, without who wrote it and when."""
    told = Entry.__struct_fields__
    return tuple(getattr(entry, name) for name in entry.__struct_fields__ if name not in told)


def _event_key(entry: Event) -> tuple[object, ...]:
    """What happened on a day, or what a gauge read at a minute: told twice it is the same."""
    when = f"{entry.at:%Y-%m-%d %H:%M}" if isinstance(entry, Reading) else entry.day
    return (type(entry), when, *_content(entry))
