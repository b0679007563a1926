"""Tables of lines, people, counts, targets and settings into entries: all of a batch or nothing.

What a row says that the book has already is left alone, so that importing a file twice changes
nothing.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import partial
from pathlib import Path
from typing import Any

from msgspec.structs import asdict, replace

from fieldbook.book.entry import (
    AnyEntry,
    Block,
    Checklist,
    Count,
    Entry,
    Line,
    Person,
    PlanEntry,
    Setting,
    Target,
)
from fieldbook.book.journal import Problem
from fieldbook.errors import BookError, NotOnCrew
from fieldbook.i18n import _
from fieldbook.season.checklist import read_checklist
from fieldbook.season.dates import moment
from fieldbook.season.ledger import Ledger
from fieldbook.season.plan import Plan
from fieldbook.season.season import Season, check_window, doubts
from fieldbook.season.settings import BY_NAME, read_setting
from fieldbook.season.table import Row, Table, read_table, rows_of

LAYOUTS = {
    "": "single",
    "single": "single",
    "pair": "pair",
    "wet/dry": "pair",
    "wet/dry pair": "pair",
}


@dataclass(frozen=True, slots=True)
class Kind:
    """A table that can be imported, known by its header.

    Attributes:
        name: What it is called: `lines`.
        needed: Columns without which it is not this table.
        columns: All it may have, in the order they are exported.
    """

    name: str
    needed: frozenset[str]
    columns: tuple[str, ...]


LINES = Kind(
    "lines",
    frozenset({"block", "taps_planned"}),
    (
        "block",
        "line",
        "order",
        "layout",
        "diameter_in",
        "diameter_mm",
        "length_ft",
        "length_m",
        "slope_pct",
        "taps_planned",
        "drops_hung",
        "note",
    ),
)
PEOPLE = Kind("people", frozenset({"name"}), ("name", "role", "note"))
COUNTS = Kind(
    "counts",
    frozenset({"date", "block", "task", "count"}),
    ("date", "block", "line", "task", "count", "by", "hours", "note"),
)
TARGETS = Kind(
    "targets", frozenset({"task", "wanted"}), ("task", "block", "line", "wanted", "planned")
)
SETTINGS = Kind("settings", frozenset({"setting", "value"}), ("setting", "value"))
KINDS = (LINES, PEOPLE, TARGETS, SETTINGS, COUNTS)
"""Counts come last: they may speak of lines and people of the same batch."""


@dataclass(slots=True)
class FileResult:
    """What one file brings: how many things are new, changed, or in the book already."""

    file: str
    kind: str
    new: int = 0
    changed: int = 0
    same: int = 0
    notices: list[str] = field(default_factory=list)


@dataclass(slots=True)
class Import:
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
    readers: dict[str, Callable[..., Iterator[AnyEntry]]] = {
        "lines": _read_lines,
        "people": _read_people,
        "targets": _read_targets,
        "settings": _read_settings,
    }
    for kind, table in sorted(tables, key=lambda pair: KINDS.index(pair[0])):
        result = FileResult(table.name, kind.name, notices=_notices(kind, table))
        batch.files.append(result)
        if kind is COUNTS:
            reader = _CountReader(
                season,
                ledger,
                stamp,
                earlier=batch.drafts,
                really=really,
                add_people=add_people,
            )
            drafts = reader.read(table, result, batch.problems)
        else:
            drafts = readers[kind.name](table, ledger, stamp, result, batch.problems)
        for draft in drafts:
            ledger.apply(draft)
            batch.drafts.append(draft)
    return batch


def _recognise(table: Table) -> Kind:
    fits = [kind for kind in KINDS if kind.needed <= set(table.columns)]
    if fits:
        return max(fits, key=lambda kind: len(set(kind.columns) & set(table.columns)))
    near = max(KINDS, key=lambda kind: len(set(kind.columns) & set(table.columns)))
    lacking = sorted(near.needed - set(table.columns))
    raise BookError(
        _("row 1 is not the header of a table that can be imported: {header}").format(
            header=", ".join(c for c in table.columns if c)[:200]
        ),
        _("as a table of {kind} it lacks: {columns}").format(
            kind=near.name, columns=", ".join(lacking)
        ),
    )


def _notices(kind: Kind, table: Table) -> list[str]:
    extra = [c for c in table.columns if c and c not in kind.columns]
    notices = [table.notice] if table.notice else []
    if extra:
        notices.append(_("columns ignored: {names}").format(names=", ".join(extra)))
    return notices


def _take_checklist(path: Path, season: Season, batch: Import, stamp: dict[str, Any]) -> None:
    title, tasks = read_checklist(path)
    result = FileResult(path.name, "checklist")
    if season.checklist_differs(path):
        batch.drafts.append(Checklist(checklist=title, tasks=tasks, **stamp))
        result.changed = 1
    else:
        result.same = 1
    batch.files.append(result)


def same_content(one: Entry, other: Entry | None) -> bool:
    """Whether two entries say the same, whoever wrote them and whenever."""
    if other is None:
        return False
    told = set(Entry.__struct_fields__)
    said = ({k: v for k, v in asdict(e).items() if k not in told} for e in (one, other))
    return type(one) is type(other) and next(said) == next(said)


def _sort_in(
    draft: PlanEntry, current: PlanEntry | None, result: FileResult
) -> Iterator[PlanEntry]:
    """Count a plan draft as new, changed or known, and pass it on unless it is known."""
    if same_content(draft, current):
        result.same += 1
        return
    if current is None:
        result.new += 1
    else:
        result.changed += 1
    yield draft


def _once(row: Row, seen: dict[tuple[str, ...], int], key: tuple[str, ...], column: str) -> None:
    """Object to a second row about the same thing."""
    first = seen.setdefault(tuple(part.casefold() for part in key), row.number)
    if first != row.number and any(key):
        row.wrong(
            column,
            _("{name} stands in row {row} already").format(
                name=" / ".join(part for part in key if part), row=first
            ),
            _("keep one of the two rows"),
        )


def _read_lines(
    table: Table, ledger: Ledger, stamp: dict[str, Any], result: FileResult, problems: list[Problem]
) -> Iterator[AnyEntry]:
    plan = ledger.plan
    seen: dict[tuple[str, ...], int] = {}
    for row in rows_of(table):
        block = _as_known(row.text("block", needed=True), plan.blocks)
        there = plan.walk.get(block, [])
        name = _as_known(row.text("line") or block, [line.line for line in there])
        current = plan.line(block, name)
        fields = _line_fields(row, plan.year)
        if "order" not in fields and current is None:
            fields["order"] = max((line.order for line in there), default=0) + 1
        _once(row, seen, (block, name), "line")
        if row.problems:
            problems += row.problems
            continue
        if block not in plan.walk:
            yield Block(block=block, order=len(plan.walk) + 1, **stamp)
        if current is None:
            draft = Line(block=block, line=name, **fields, **stamp)
        else:
            draft = replace(current, **fields, **stamp, id="", tick=0)
        yield from _sort_in(draft, current, result)


def _as_known(name: str, known: Iterable[str]) -> str:
    """A name as the plan writes it, if it has it in any case."""
    return next((k for k in known if k.casefold() == name.casefold()), name)


MEASURES = (("diameter_in", 12), ("diameter_mm", 300), ("length_ft", 20_000), ("length_m", 6_000))
"""Columns of a line that hold a size, with the largest that is believed."""


def _line_fields(row: Row, season: int) -> dict[str, Any]:
    """What a row says of a line; columns that are not there say nothing."""
    fields: dict[str, Any] = {"taps_planned": row.whole("taps_planned", needed=True)}
    if row.text("order"):
        fields["order"] = row.whole("order")
    if "layout" in row:
        typed = row.text("layout")
        fields["layout"] = LAYOUTS.get(typed.casefold())
        if fields["layout"] is None:
            what = _("{value} is not a layout").format(value=repr(typed))
            row.wrong("layout", what, _("write single or pair"))
    for column, most in MEASURES:
        if column in row:
            fields[column] = row.measure(column, low=0, high=most, above=True)
    for one, other in (("length_ft", "length_m"), ("diameter_in", "diameter_mm")):
        given = [column for column in (one, other) if fields.get(column) is not None]
        if len(given) == 2:
            row.wrong(other, _("{one} is given too").format(one=one), _("give only one"))
        elif given:
            fields[other if given == [one] else one] = None
    if "slope_pct" in row:
        fields["slope_pct"] = row.measure("slope_pct", low=-100, high=100)
    if "drops_hung" in row:
        fields["drops_hung"] = _year(row, season)
    if "note" in row:
        fields["note"] = row.text("note", prose=True)
    return fields


def _year(row: Row, season: int) -> int | None:
    """The year drops were hung; None for a blank, `?` or `unknown`."""
    value = row.text("drops_hung")
    if value.casefold() in ("", "?", "unknown"):
        return None
    if value.isdecimal() and 1950 <= int(value) <= season:
        return int(value)
    row.wrong(
        "drops_hung",
        _("{value} is not a year up to {season}").format(value=repr(value), season=season),
        _("write the season they were hung for, such as {year}, or unknown").format(
            year=season - 2
        ),
    )
    return None


def _read_people(
    table: Table, ledger: Ledger, stamp: dict[str, Any], result: FileResult, problems: list[Problem]
) -> Iterator[AnyEntry]:
    seen: dict[tuple[str, ...], int] = {}
    for row in rows_of(table):
        name = _as_known(row.text("name", needed=True), ledger.plan.people)
        fields: dict[str, Any] = {}
        if "role" in row:
            fields["role"] = row.text("role")
        if "note" in row:
            fields["note"] = row.text("note", prose=True)
        _once(row, seen, (name,), "name")
        if row.problems:
            problems += row.problems
            continue
        current = ledger.plan.person(name)
        if current is None:
            draft = Person(person=name, **fields, **stamp)
        else:
            draft = replace(current, **fields, **stamp, id="", tick=0)
        yield from _sort_in(draft, current, result)


def _read_targets(
    table: Table, ledger: Ledger, stamp: dict[str, Any], result: FileResult, problems: list[Problem]
) -> Iterator[AnyEntry]:
    plan = ledger.plan
    seen: dict[tuple[str, ...], int] = {}
    for row in rows_of(table):
        draft = Target(
            task=_found(row, "task", lambda text: plan.find_task(text).key, needed=True),
            block=_found(row, "block", plan.find_block),
            wanted=row.day("wanted"),
            planned=row.whole("planned"),
            **stamp,
        )
        if row.text("line"):
            if not row.text("block"):
                row.wrong("block", _("a line is named without its block"), _("name the block"))
            elif draft.block:
                find = partial(_line_name, plan, draft.block)
                draft = replace(draft, line=_found(row, "line", find))
        if draft.planned is not None and not draft.line and not row.text("line"):
            row.wrong(
                "planned",
                _("a planned number belongs to a line"),
                _("name the line, or leave the cell empty and give only the date wanted"),
            )
        _in_season(row, "wanted", draft.wanted, plan)
        _once(row, seen, (draft.task, draft.block, draft.line), "task")
        if row.problems:
            problems += row.problems
            continue
        yield from _sort_in(draft, plan.target(draft.task, draft.block, draft.line), result)


def _read_settings(
    table: Table, ledger: Ledger, stamp: dict[str, Any], result: FileResult, problems: list[Problem]
) -> Iterator[AnyEntry]:
    window: Row | None = None
    for row in rows_of(table):
        name = row.text("setting", needed=True)
        typed = row.text("value", needed=True)
        try:
            value = read_setting(name, typed)
        except BookError as error:
            row.wrong("value" if name in BY_NAME else "setting", error.message, error.hint)
        if row.problems:
            problems += row.problems
            continue
        if name in ("season_begins", "season_ends"):
            window = row
        draft = Setting(setting=name, value=value, **stamp)
        yield from _sort_in(draft, ledger.plan.recorded(name), result)
    if window is not None:
        try:
            check_window(ledger.plan)  # by now both days are in it
        except BookError as error:
            window.wrong("value", error.message, error.hint)
            problems += window.problems


def _found(row: Row, column: str, find: Callable[[str], str], *, needed: bool = False) -> str:
    """The thing a cell names, by the plan; an empty text, and a problem noted, if there is none."""
    text = row.text(column, needed=needed)
    if not text:
        return ""
    try:
        return find(text)
    except BookError as error:
        row.wrong(column, error.message, error.hint)
        return ""


def _in_season(row: Row, column: str, day: date | None, plan: Plan) -> None:
    """Object to a day outside the season."""
    if day is not None and not plan.begins <= day <= plan.ends:
        row.wrong(
            column,
            _("{day} is outside season {year}").format(day=day, year=plan.year),
            _("it runs from {begins} to {ends}").format(begins=plan.begins, ends=plan.ends),
        )


def _line_name(plan: Plan, block: str, text: str) -> str:
    return plan.find_line(block, text).line


class _CountReader:
    """Reads counts against the plan as it will be once the batch is recorded."""

    def __init__(
        self,
        season: Season,
        ledger: Ledger,
        stamp: dict[str, Any],
        *,
        earlier: Iterable[AnyEntry],
        really: bool,
        add_people: bool,
    ) -> None:
        self.ledger = ledger
        self.stamp = stamp
        self.really = really
        self.add_people = add_people
        # Struck counts are known too: importing the same file again does not bring them back.
        entries = (*season.book.entries, *earlier)
        self.known = Counter(_count_key(e) for e in entries if isinstance(e, Count))

    def read(self, table: Table, result: FileResult, problems: list[Problem]) -> Iterator[AnyEntry]:
        for row in rows_of(table):
            newcomer = self._newcomer(row)
            if newcomer is not None:
                yield newcomer
            draft = self._draft(row)
            if draft is None or row.problems:
                problems += row.problems
                continue
            key = _count_key(draft)
            if self.known[key]:
                self.known[key] -= 1
                result.same += 1
                continue
            for doubt in () if self.really else doubts(draft, self.ledger):
                row.wrong("count", doubt.message, doubt.hint)
            if row.problems:
                problems += row.problems
                continue
            result.new += 1
            yield draft

    def _newcomer(self, row: Row) -> Person | None:
        name = row.text("by")
        if not (self.add_people and name):
            return None
        try:
            self.ledger.plan.find_person(name)
        except NotOnCrew:
            return Person(person=name, **self.stamp)
        except BookError:
            pass  # more than one could be meant: said when the cell is read
        return None

    def _draft(self, row: Row) -> Count | None:
        plan = self.ledger.plan
        day = row.day("date", needed=True)
        _in_season(row, "date", day, plan)
        block = _found(row, "block", plan.find_block, needed=True)
        line = ""
        if block and row.text("line"):
            line = _found(row, "line", partial(_line_name, plan, block))
        elif block:
            line = _found(row, "block", lambda _text: plan.sole_line(block).line)
        task = _found(row, "task", lambda text: plan.find_task(text).key, needed=True)
        count = row.whole("count", needed=True)
        hours = row.measure("hours", low=0, high=1000)
        who = self.stamp["by"]
        if "by" in row:
            who = _found(row, "by", self._person, needed=True)
        if row.problems or day is None or count is None:
            return None
        return Count(
            at=moment(day, self.stamp["noted"]),
            noted=self.stamp["noted"],
            by=self.stamp["by"],
            block=block,
            line=line,
            task=task,
            who=who,
            count=count,
            hours=hours,
            note=row.text("note", prose=True),
        )

    def _person(self, text: str) -> str:
        try:
            return self.ledger.plan.find_person(text)
        except NotOnCrew as error:
            error.hint += " " + _("Or add the name to people.csv, or import with --add-people.")
            raise


def _count_key(entry: Count) -> tuple[object, ...]:
    return (
        entry.day,
        entry.block,
        entry.line,
        entry.task,
        entry.who,
        entry.count,
        entry.hours,
        entry.note,
    )
