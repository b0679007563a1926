"""Rows of the tables that can be imported into entries: a reader for each kind of table.

A reader takes the rows and what they are read against, gives the entries that each says, or that
several say together, and notes on a row what is wrong with it. What becomes of the entries is
decided in `fieldbook.season.importing`.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date
from functools import partial
from typing import Any, Literal

from msgspec import Struct, field
from msgspec.structs import replace

from fieldbook.book.entry import (
    LEAST_SPOUT_IN,
    MOST_SPOUT_IN,
    MOST_VOLUME,
    AnyEntry,
    Block,
    Count,
    Line,
    Person,
    Run,
    Setting,
    Supply,
    TapClass,
    TapRule,
    Target,
    TreeCount,
    Trees,
)
from fieldbook.errors import BookError, NotOnCrew
from fieldbook.i18n import _
from fieldbook.season.dates import moment
from fieldbook.season.ledger import Ledger
from fieldbook.season.plan import Plan
from fieldbook.season.season import check_setting, check_tap_rule, doubts
from fieldbook.season.settings import BY_NAME, ITEMS
from fieldbook.season.table import Row

LAYOUTS = {
    "": "single",
    "single": "single",
    "pair": "pair",
    "wet/dry": "pair",
    "wet/dry pair": "pair",
}

MEASURES = (
    *(("diameter_in", 6), ("diameter_mm", 150), ("dry_in", 6), ("dry_mm", 150)),
    *(("length_ft", 20_000), ("length_m", 6_000)),
)
"""Columns of a line that hold a size, with the largest that is believed."""

TREE_SIZES = (("dbh_in", 100), ("girth_in", 314), ("dbh_cm", 254))
"""Columns of a tally of which one says how thick the trees are, with the thickest believed."""

ALLOWED = "trees"
"""In the place of a number of taps: as many as the trees allow."""


class Against(Struct):
    """What the rows of one table are read against.

    Attributes:
        ledger: The season as it will be once the rows before are recorded.
        stamp: When and by whom the rows are imported.
        really: Counts that look like slips of the finger are taken.
        add_people: Names that are not on the crew are put on it.
        seen: Rows by what they are about, to find a second one.
    """

    ledger: Ledger
    stamp: dict[str, Any]
    really: bool
    add_people: bool
    seen: dict[tuple[str, ...], int] = field(default_factory=dict)

    @property
    def plan(self) -> Plan:
        return self.ledger.plan

    def once(self, row: Row, column: str, *key: str) -> None:
        """Object to a second row about the same thing."""
        first = self.seen.setdefault(tuple(part.casefold() for part in key), row.number)
        if first != row.number and any(key):
            name = " / ".join(part for part in key if part)
            row.wrong(
                column,
                _("{name} stands in row {row} already").format(name=name, row=first),
                _("keep one of the two rows"),
            )

    def in_season(self, row: Row, column: str, day: date | None) -> None:
        """Object to a day outside the season."""
        plan = self.plan
        if day is not None and not plan.begins <= day <= plan.ends:
            row.wrong(
                column,
                _("{day} is outside season {year}").format(day=day, year=plan.year),
                _("it runs from {begins} to {ends}").format(begins=plan.begins, ends=plan.ends),
            )


Read = Iterator[tuple[Row, list[AnyEntry]]]
"""What a reader gives: entries, each lot with the row that wrongs with them are noted on."""


def row_by_row(
    read: Callable[[Row, Against], list[AnyEntry]],
) -> Callable[[Sequence[Row], Against], Read]:
    """A reader of tables in which each row speaks for itself, and may build on those above it."""
    return lambda rows, against: ((row, read(row, against)) for row in rows)


def read_line(row: Row, against: Against) -> list[AnyEntry]:
    """A line, after its block if that is new."""
    plan = against.plan
    block = _as_known(row.text("block", needed=True), plan.blocks)
    there = plan.walk.get(block, [])
    name = _as_known(row.text("line") or block, [line.line for line in there])
    current = plan.line(block, name)
    fields = _line_fields(row, plan.year)
    if "order" not in fields and current is None:
        fields["order"] = max((line.order for line in there), default=0) + 1
    against.once(row, "line", block, name)
    if row.problems:
        return []
    if current is not None:
        return [replace(current, **fields, **against.stamp, id="", tick=0)]
    line = Line(block=block, line=name, **fields, **against.stamp)
    if block in plan.walk:
        return [line]
    return [Block(block=block, order=len(plan.walk) + 1, **against.stamp), line]


def _line_fields(row: Row, season: int) -> dict[str, Any]:
    """What a row says of a line; columns that are not there say nothing."""
    allowed = row.text("taps_planned").casefold() == ALLOWED
    taps = None if allowed else row.whole("taps_planned", needed=True)
    fields: dict[str, Any] = {"taps_planned": taps}
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
    twins = (("length_ft", "length_m"), ("diameter_in", "diameter_mm"), ("dry_in", "dry_mm"))
    for one, other in twins:
        given = [column for column in (one, other) if fields.get(column) is not None]
        if len(given) == 2:
            row.wrong(other, _("{one} is given too").format(one=one), _("give only one"))
        elif given:
            fields[other if given == [one] else one] = None
    if "slope_pct" in row:
        fields["slope_pct"] = row.measure("slope_pct", low=-100, high=100)
    if "drops_hung" in row:
        fields["drops_hung"] = _year_hung(row, season)
    if "drops" in row:
        fields["drops"] = row.whole("drops")
    if "spout_in" in row:
        fields["spout_in"] = row.measure("spout_in", low=LEAST_SPOUT_IN, high=MOST_SPOUT_IN)
    if "note" in row:
        fields["note"] = row.text("note", prose=True)
    return fields


def _year_hung(row: Row, season: int) -> int | None:
    """The year drops were hung; None for a blank, `?` or `unknown`."""
    value = row.text("drops_hung")
    if value.casefold() in ("", "?", "unknown"):
        return None
    if value.isdecimal() and 1950 <= int(value) <= season:
        return int(value)
    right = _("write the season they were hung for, such as {year}, or unknown")
    row.wrong(
        "drops_hung",
        _("{value} is not a year up to {season}").format(value=repr(value), season=season),
        right.format(year=season - 2),
    )
    return None


def read_person(row: Row, against: Against) -> list[AnyEntry]:
    """Somebody on the crew."""
    name = _as_known(row.text("name", needed=True), against.plan.people)
    fields: dict[str, Any] = {}
    if "role" in row:
        fields["role"] = row.text("role")
    if "note" in row:
        fields["note"] = row.text("note", prose=True)
    against.once(row, "name", name)
    if row.problems:
        return []
    current = against.plan.person(name)
    if current is None:
        return [Person(person=name, **fields, **against.stamp)]
    return [replace(current, **fields, **against.stamp, id="", tick=0)]


def read_target(row: Row, against: Against) -> list[AnyEntry]:
    """A date wanted, or a planned number of one line."""
    plan = against.plan
    task = _found(row, "task", lambda text: plan.find_task(text).key, needed=True)
    block = _found(row, "block", plan.find_block)
    line = _found(row, "line", partial(_line_name, plan, block)) if block else ""
    if row.text("line") and not row.text("block"):
        row.wrong("block", _("a line is named without its block"), _("name the block"))
    wanted, planned = row.day("wanted"), row.whole("planned")
    if planned is not None and not row.text("line"):
        row.wrong(
            "planned",
            _("a planned number belongs to a line"),
            _("name the line, or leave the cell empty and give only the date wanted"),
        )
    against.in_season(row, "wanted", wanted)
    against.once(row, "task", task, block, line)
    if row.problems:
        return []
    where: dict[str, Any] = {"task": task, "block": block, "line": line}
    return [Target(wanted=wanted, planned=planned, **where, **against.stamp)]


def read_setting_row(row: Row, against: Against) -> list[AnyEntry]:
    """One of the book's rules."""
    name = row.text("setting", needed=True)
    typed = row.text("value", needed=True, prose=True)  # days off may be many
    try:
        draft = Setting(setting=name, value=typed, **against.stamp)
        return [replace(draft, value=check_setting(draft, against.plan))]
    except BookError as error:
        row.wrong("value" if name in BY_NAME else "setting", error.message, error.hint)
        return []


def read_trees(rows: Sequence[Row], against: Against) -> Read:
    """The tally of each line, which its rows say together."""
    tallies: dict[tuple[str, str], tuple[Row, list[TreeCount]]] = {}
    for row in rows:
        block, line = _place(row, against.plan)
        trees = _tree_count(row)
        if trees is None or not line:
            continue
        first, classes = tallies.setdefault((block, line), (row, []))
        sizes = [replace(known, count=0) for known in classes]
        if replace(trees, count=0) in sizes:
            row.wrong("count", _("trees of this size stand above already"), _("add them up"))
        classes.append(trees)
    for (block, line), (first, classes) in tallies.items():
        tally = tuple(classes)
        yield first, [Trees(block=block, line=line, classes=tally, **against.stamp)]


def _tree_count(row: Row) -> TreeCount | None:
    """Size and number of the trees of a row."""
    sizes = {
        column: row.measure(column, low=0, high=most, above=True)
        for column, most in TREE_SIZES
        if row.text(column)
    }
    count = row.whole("count", needed=True)
    names = ", ".join(column for column, _most in TREE_SIZES)
    if len(sizes) != 1:
        what = _("the row says no diameter") if not sizes else _("the row says two diameters")
        row.wrong("", what, _("fill in one of {names}").format(names=names))
    return None if row.problems or count is None else TreeCount(**sizes, count=count)


def read_tap_rules(rows: Sequence[Row], against: Against) -> Read:
    """The crew's own rules for taps, each of which its rows say together."""
    rules: dict[str, list[Row]] = {}
    for row in rows:
        rules.setdefault(row.text("rule", needed=True).casefold(), []).append(row)
    for lot in rules.values():
        unit: Literal["in", "cm"] = "in" if lot[0].text("from_in") else "cm"
        classes = [_tap_class(row, unit) for row in lot]
        if any(row.problems for row in lot):
            continue
        sources = (" ".join(row.text("source", prose=True).split()) for row in lot)
        draft = TapRule(
            rule=_as_known(lot[0].text("rule"), (r.rule for r in against.plan.own_tap_rules)),
            unit=unit,
            classes=tuple(c for c in classes if c),
            source=next(filter(None, sources), ""),
            **against.stamp,
        )
        try:
            check_tap_rule(draft)
        except BookError as error:
            lot[-1].wrong("", error.message, error.hint)
        else:
            yield lot[0], [draft]


def _tap_class(row: Row, unit: str) -> TapClass | None:
    """From which diameter on a tree may carry how many taps, all of a rule in one unit."""
    column, other = ("from_in", "from_cm") if unit == "in" else ("from_cm", "from_in")
    from_dbh = row.measure(column, low=0, high=100 if unit == "in" else 254, above=True)
    taps = row.whole("taps", needed=True, most=10)
    if not row.text(column) or row.text(other):
        row.wrong(column, _("each row of a rule is in one unit"), _("fill in this column only"))
    return None if from_dbh is None or taps is None else TapClass(from_dbh=from_dbh, taps=taps)


def item_named(text: str) -> str:
    """What a thing in the shed is called in the book: `Side ties` is side_tie."""
    return "_".join(text.casefold().split()).removesuffix("s")


def read_supply(row: Row, against: Against) -> list[AnyEntry]:
    """What of one thing lies in the shed."""
    typed = row.text("item", needed=True)
    item = item_named(typed)
    on_hand = row.whole("on_hand", needed=True)
    if typed and item not in ITEMS:
        what = _("{item} is nothing that supplies are counted of").format(item=repr(typed))
        row.wrong("item", what, _("write one of {names}").format(names=", ".join(ITEMS)))
    against.once(row, "item", item)
    if row.problems or on_hand is None:
        return []
    return [Supply(item=item, on_hand=on_hand, **against.stamp)]


RUN_MEASURES = (
    *(("sap_gal", MOST_VOLUME), ("sap_l", MOST_VOLUME), ("brix_pct", 100)),
    *(("syrup_gal", MOST_VOLUME), ("syrup_l", MOST_VOLUME)),
)
"""Columns of a run, with the most that is believed."""

BRIX = "brix"
"""What the column `brix_pct` was called once: a table that says so is still taken."""


def read_run(row: Row, against: Against) -> list[AnyEntry]:
    """Sap and syrup of a day; what is blank was not measured."""
    day = row.day("date", needed=True)
    against.in_season(row, "date", day)
    block = _found(row, "block", against.plan.find_block)
    measured: dict[str, Any] = {
        column: row.measure(column, low=0, high=most, above=column == "brix_pct")
        for column, most in RUN_MEASURES
    }
    sweet = measured.pop("brix_pct")
    if sweet is None:
        sweet = row.measure(BRIX, low=0, high=100, above=True)
    for one, other in (("sap_gal", "sap_l"), ("syrup_gal", "syrup_l")):
        if measured[one] is not None and measured[other] is not None:
            row.wrong(other, _("{one} is given too").format(one=one), _("give only one"))
    note = row.text("note", prose=True)
    if row.problems or day is None:
        return []
    at = moment(day, against.stamp["noted"])
    return [Run(block=block, **measured, brix=sweet, note=note, **(against.stamp | {"at": at}))]


def read_count(row: Row, against: Against) -> list[AnyEntry]:
    """Work done, after its person if that is a new hand who may be added."""
    plan, stamp = against.plan, against.stamp
    day = row.day("date", needed=True)
    against.in_season(row, "date", day)
    block, line = _place(row, plan)
    task = _found(row, "task", lambda text: plan.find_task(text).key, needed=True)
    count = row.whole("count", needed=True)
    hours = row.measure("hours", low=0, high=1000)
    who, newcomers = who_of(row, against) if "by" in row else (stamp["by"], [])
    note = row.text("note", prose=True)
    if row.problems or day is None or count is None:
        return []
    work: dict[str, Any] = {"block": block, "line": line, "task": task, "who": who, "note": note}
    draft = Count(count=count, hours=hours, **work, **(stamp | {"at": moment(day, stamp["noted"])}))
    return [*newcomers, draft]


def _place(row: Row, plan: Plan) -> tuple[str, str]:
    """Block and line of a row; a block without a line has only one."""
    block = _found(row, "block", plan.find_block, needed=True)
    line = ""
    if block and row.text("line"):
        line = _found(row, "line", partial(_line_name, plan, block))
    elif block:
        line = _found(row, "block", lambda _text: plan.sole_line(block).line)
    return block, line


def place_of(row: Row, plan: Plan, *, pump: bool) -> dict[str, str]:
    """Block and line of a gauge; of one at a pump the block, where the row names one."""
    if not pump:
        block, line = _place(row, plan)
        return {"block": block, "line": line}
    if row.text("line"):
        what = _("the gauge at a pump belongs to no line")
        row.wrong("line", what, _("leave the cell empty"))
    return {"block": _found(row, "block", plan.find_block)}


def object_to_doubts(row: Row, draft: AnyEntry, against: Against) -> None:
    """Note on a row what about its numbers may be a slip of the finger."""
    column = "" if isinstance(draft, Run) else "count"
    for doubt in () if against.really else doubts(draft, against.ledger):
        row.wrong(column, doubt.message, doubt.hint)


def who_of(row: Row, against: Against) -> tuple[str, list[AnyEntry]]:
    """Whose work a row tells of, and the entry that puts a new hand on the crew."""
    name = row.text("by", needed=True)
    try:
        return against.plan.find_person(name), []
    except NotOnCrew as error:
        if against.add_people and name:
            return name, [Person(person=name, **against.stamp)]
        if name:
            add = _("Or add the name to people.csv, or import with --add-people.")
            row.wrong("by", error.message, f"{error.hint} {add}")
    except BookError as error:
        row.wrong("by", error.message, error.hint)
    return "", []


def _as_known(name: str, known: Iterable[str]) -> str:
    """A name as the plan writes it, if it has it in any case."""
    return next((k for k in known if k.casefold() == name.casefold()), name)


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


def _line_name(plan: Plan, block: str, text: str) -> str:
    return plan.find_line(block, text).line
