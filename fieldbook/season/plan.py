"""What ought to happen: blocks, lines and their trees, people, targets, rules, the checklist.

The last entry about a thing wins; striking it brings back the one before.
"""

from collections.abc import Callable, Hashable, Iterator
from contextlib import suppress
from datetime import date
from typing import Generic, TypeVar

from msgspec import Struct

from fieldbook.book.entry import (
    NAME_LENGTH,
    AnyEntry,
    Block,
    Checklist,
    Entry,
    Line,
    Person,
    PlanEntry,
    Setting,
    Supply,
    TapRule,
    Target,
    Task,
    Trees,
    clean,
)
from fieldbook.errors import BookError, NotOnCrew
from fieldbook.i18n import _
from fieldbook.season.finding import ambiguous, find, hits, match, near
from fieldbook.season.settings import BY_NAME, NONE, Value
from fieldbook.season.tally import dbh_in
from fieldbook.trade import sources, tapping
from fieldbook.trade.drops import drop_due
from fieldbook.trade.mainline import side_ties
from fieldbook.trade.units import ft_from_m, in_from_mm

E = TypeVar("E", bound=Entry)
T = TypeVar("T")


class Latest(Generic[E]):
    """Entries about things, of which the last in fold order counts."""

    def __init__(self, key: Callable[[E], Hashable]) -> None:
        self.key = key
        self._entries: dict[Hashable, list[E]] = {}

    def add(self, entry: E) -> None:
        self._entries.setdefault(self.key(entry), []).append(entry)

    def remove(self, entry: E) -> None:
        key = self.key(entry)
        self._entries[key].remove(entry)
        if not self._entries[key]:
            del self._entries[key]

    def get(self, key: Hashable) -> E | None:
        entries = self._entries.get(key)
        return entries[-1] if entries else None

    def __iter__(self) -> Iterator[E]:
        return (self._entries[key][-1] for key in sorted(self._entries, key=repr))


class Wanted(Struct, frozen=True):
    """A date wanted, and what said so: a target of the crew's or the checklist."""

    day: date
    from_target: bool


class Plan:
    """The plan of one season, kept up to date entry by entry.

    Args:
        year: The season.
    """

    def __init__(self, year: int) -> None:
        self.year = year
        self._blocks: Latest[Block] = Latest(lambda e: e.block)
        self._lines: Latest[Line] = Latest(lambda e: (e.block, e.line))
        self._trees: Latest[Trees] = Latest(lambda e: (e.block, e.line))
        self._tap_rules: Latest[TapRule] = Latest(lambda e: e.rule)
        self._supplies: Latest[Supply] = Latest(lambda e: e.item)
        self._people: Latest[Person] = Latest(lambda e: e.person)
        self._targets: Latest[Target] = Latest(lambda e: (e.task, e.block, e.line))
        self._settings: Latest[Setting] = Latest(lambda e: e.setting)
        self._checklists: Latest[Checklist] = Latest(lambda _e: None)
        self._walk: dict[str, list[Line]] | None = None
        self._tasks: list[Task] | None = None
        self._values: dict[str, Value] = {}
        self._tap_rules_now: dict[str, tapping.TapRule] | None = None

    def apply(self, entry: PlanEntry) -> None:
        self._shelf(entry).add(entry)
        self._changed()

    def remove(self, entry: PlanEntry) -> None:
        """Take back an entry that was struck."""
        self._shelf(entry).remove(entry)
        self._changed()

    def _changed(self) -> None:
        """What was worked out from the entries is worked out again when it is asked for."""
        self._walk = None
        self._tasks = None
        self._values.clear()
        self._tap_rules_now = None

    def _shelf(self, entry: PlanEntry) -> "Latest[PlanEntry]":
        shelves: dict[type[Entry], object] = {
            Block: self._blocks,
            Line: self._lines,
            Trees: self._trees,
            TapRule: self._tap_rules,
            Supply: self._supplies,
            Person: self._people,
            Target: self._targets,
            Setting: self._settings,
            Checklist: self._checklists,
        }
        return shelves[type(entry)]  # type: ignore[return-value]  # each shelf takes its own kind

    def current(self, entry: AnyEntry) -> PlanEntry | None:
        """The entry in force about the thing that a plan entry is about; None for other kinds."""
        if not isinstance(entry, PlanEntry):
            return None
        shelf = self._shelf(entry)
        return shelf.get(shelf.key(entry))

    # --- what there is ---

    @property
    def walk(self) -> dict[str, list[Line]]:
        """Blocks in order, each with its lines in walking order."""
        if self._walk is None:
            blocks = sorted(self._blocks, key=lambda e: (e.order, e.block.casefold()))
            walk: dict[str, list[Line]] = {e.block: [] for e in blocks}
            for line in sorted(self._lines, key=lambda e: (e.order, e.line.casefold())):
                walk.setdefault(line.block, []).append(line)
            self._walk = walk
        return self._walk

    @property
    def blocks(self) -> list[str]:
        return list(self.walk)

    @property
    def lines(self) -> Iterator[Line]:
        return (line for lines in self.walk.values() for line in lines)

    def lines_of(self, block: str) -> list[Line]:
        """The lines of a block in walking order; of all blocks if it is empty."""
        return self.walk.get(block, []) if block else list(self.lines)

    def line(self, block: str, line: str) -> Line | None:
        return self._lines.get((block, line))

    def block(self, block: str) -> Block | None:
        return self._blocks.get(block)

    @property
    def people(self) -> list[str]:
        return sorted((p.person for p in self._people), key=str.casefold)

    def person(self, person: str) -> Person | None:
        return self._people.get(person)

    def target(self, task: str, block: str = "", line: str = "") -> Target | None:
        return self._targets.get((task, block, line))

    @property
    def targets(self) -> Iterator[Target]:
        return iter(self._targets)

    @property
    def checklist(self) -> Checklist | None:
        return self._checklists.get(None)

    @property
    def tasks(self) -> list[Task]:
        """The tasks this crew does, in order."""
        if self._tasks is None:
            checklist = self.checklist
            self._tasks = [task for task in checklist.tasks if task.on] if checklist else []
        return self._tasks

    def task(self, key: str) -> Task | None:
        return next((task for task in self.tasks if task.key == key), None)

    def counting(self, unit: str) -> Task | None:
        """The task that counts a unit: taps, drops, spouts, ..."""
        return next((task for task in self.tasks if task.counts == unit), None)

    # --- the rules in force ---

    def setting(self, name: str) -> Value:
        """A setting's value: what was recorded last; the default if that is none or no use."""
        if name not in self._values:
            entry = self._settings.get(name)
            rule = BY_NAME[name]
            value = rule.default_for(self.year)
            if entry is not None:
                with suppress(ValueError):  # another desk's fieldbook may know other values
                    value = rule.read(str(entry.value))
            self._values[name] = value
        return self._values[name]

    def recorded(self, name: str) -> Setting | None:
        """The entry that set a setting, if one did."""
        return self._settings.get(name)

    @property
    def begins(self) -> date:
        return date.fromisoformat(str(self.setting("season_begins")))

    @property
    def ends(self) -> date:
        return date.fromisoformat(str(self.setting("season_ends")))

    @property
    def workdays(self) -> str:
        return str(self.setting("workdays"))

    @property
    def days_off(self) -> frozenset[date]:
        days = str(self.setting("days_off"))
        return frozenset(map(date.fromisoformat, days.split(",")) if days != NONE else ())

    def number(self, name: str) -> float:
        """A setting that is a number."""
        return float(self.setting(name))

    # --- what the trees carry ---

    def trees(self, block: str, line: str) -> Trees | None:
        """The tally of the trees along a line, if it was taken."""
        return self._trees.get((block, line))

    @property
    def tallies(self) -> Iterator[Trees]:
        """Tallies in walking order, and after them those of lines that the plan does not have."""
        walked = {(line.block, line.line) for line in self.lines}
        yield from filter(None, (self.trees(line.block, line.line) for line in self.lines))
        yield from (trees for trees in self._trees if (trees.block, trees.line) not in walked)

    @property
    def own_tap_rules(self) -> Iterator[TapRule]:
        """The rules of the crew's own table."""
        return iter(self._tap_rules)

    @property
    def tap_rules(self) -> dict[str, tapping.TapRule]:
        """Rules for the taps a tree may carry, by name: the published ones and the crew's own."""
        if self._tap_rules_now is None:
            self._tap_rules_now = self._all_tap_rules()
        return self._tap_rules_now

    def _all_tap_rules(self) -> dict[str, tapping.TapRule]:
        own = tapping.own_rule(
            first_in=self.number("own_first_in"),
            step_in=self.number("own_step_in"),
            most=int(self.number("own_most_taps")),
        )
        rules = {**tapping.RULES, own.name: own}
        for entry in self._tap_rules:
            with suppress(ValueError):  # nobody can record such a one, but a line can be merged
                rules[entry.rule] = as_tap_rule(entry)
        return rules

    @property
    def tap_rule(self) -> tapping.TapRule:
        """The rule of the book; the cautious one where it names a rule that is not there."""
        rules = self.tap_rules
        return rules.get(str(self.setting("tap_rule")), rules["conservative"])

    def tally(self, line: Line) -> list[tapping.TreeClass]:
        """The trees along a line by diameter; empty if they were not tallied."""
        trees = self.trees(line.block, line.line)
        classes = trees.classes if trees else ()
        return [tapping.TreeClass(dbh_in(c), c.count) for c in classes if dbh_in(c)]

    def taps_allowed(self, line: Line, rule: tapping.TapRule | None = None) -> int | None:
        """Taps the trees along a line may carry, by the book's rule or another; None if unknown."""
        tally = self.tally(line)
        return tapping.taps_allowed(tally, rule=rule or self.tap_rule) if tally else None

    def taps(self, line: Line) -> int | None:
        """Taps planned on a line; None if unknown.

        A number wanted for it goes first, then its own, then what its trees allow.
        """
        tapping = self.counting("taps")
        target = self.target(tapping.key, line.block, line.line) if tapping else None
        if target is not None and target.planned is not None:
            return target.planned
        return self.taps_allowed(line) if line.taps_planned is None else line.taps_planned

    @property
    def supplies(self) -> Iterator[Supply]:
        return iter(self._supplies)

    def supply(self, item: str) -> Supply | None:
        """What lay in the shed of a thing when it was counted last."""
        return self._supplies.get(item)

    @property
    def under_vacuum(self) -> bool:
        """Whether there is a pump: the crew reads gauges. Sap that runs by its weight has none."""
        return self.counting("readings") is not None

    # --- what ought to be done ---

    def length_ft(self, line: Line) -> float | None:
        return ft_from_m(line.length_m) if line.length_m is not None else line.length_ft

    def diameter_in(self, line: Line) -> float | None:
        """Inside diameter of a mainline; of a pair, of its wet pipe."""
        return in_from_mm(line.diameter_mm) if line.diameter_mm is not None else line.diameter_in

    def dry_in(self, line: Line) -> float | None:
        """Inside diameter of the pipe that carries the air: of a pair the dry one."""
        dry = in_from_mm(line.dry_mm) if line.dry_mm is not None else line.dry_in
        return self.diameter_in(line) if dry is None or line.layout == "single" else dry

    def drops_due(self, line: Line) -> int | None:
        """Drops to replace on a line this season: all of them when they are due, else none.

        None when they are due and nobody knows how many there are.
        """
        cycle = int(self.setting("drop_cycle_years"))
        due = drop_due(hung=line.drops_hung, season=self.year, cycle_years=cycle)
        return self.taps(line) if due else 0

    def ties(self, line: Line) -> int | None:
        """Side ties a line ought to have; None when its length is unknown."""
        length_ft = self.length_ft(line)
        if length_ft is None:
            return None
        return side_ties(length_ft=length_ft, spacing_ft=float(self.setting("tie_spacing_ft")))

    def wanted(self, task: Task, block: str = "") -> Wanted | None:
        """The date a task is wanted in a block: the closest target, else the checklist's date."""
        for where in (block, ""):
            target = self.target(task.key, where)
            if target is not None and target.wanted is not None:
                return Wanted(target.wanted, from_target=True)
        if not task.wanted:
            return None
        for year in (self.year - 1, self.year):
            try:
                day = date.fromisoformat(f"{year}-{task.wanted}")
            except ValueError:  # 29 February in a year without one
                continue
            if self.begins <= day <= self.ends:
                return Wanted(day, from_target=False)
        return None

    # --- finding things by what people type ---

    def find_block(self, text: str) -> str:
        """The block somebody means: its name, in any case, or the beginning of it.

        Raises:
            BookError: No block or several are called that; names the nearest.
        """
        return find(text, {b: b for b in self.blocks}, what=_("block"))

    def find_line(self, block: str, text: str) -> Line:
        """The line of a block somebody means: its name, the beginning of it, or its number.

        Raises:
            BookError: No line or several are called that; names the nearest.
        """
        lines = self.walk.get(block, [])
        named = {line.line: line for line in lines}
        wish = clean(text, one_line=True).removeprefix("#")
        if wish not in named and wish.isdecimal() and len(wish) <= NAME_LENGTH:
            numbered = [line for line in lines if line.order == int(wish)]
            if len(numbered) == 1:
                return numbered[0]
            if numbered:
                what = _("line of {block}").format(block=block)
                raise ambiguous(wish, [line.line for line in numbered], what=what)
        return find(text, named, what=_("line of {block}").format(block=block))

    def line_meant(self, block: str, text: str | None) -> Line:
        """The line of a block somebody means; where none is named, its only one.

        Raises:
            BookError: As `find_line` and `sole_line`.
        """
        return self.find_line(block, text) if text else self.sole_line(block)

    def sole_line(self, block: str) -> Line:
        """The line meant when only a block is named: the one named like it, or its only one.

        Raises:
            BookError: The block has several lines.
        """
        lines = self.walk.get(block, [])
        named = [line for line in lines if line.line == block]
        if len(named or lines) == 1:
            return (named or lines)[0]
        raise BookError(
            _("{block} has {n} lines.").format(block=block, n=len(lines)),
            _("Name the line: {names}.").format(names=", ".join(x.line for x in lines[:8])),
        )

    def find_task(self, text: str) -> Task:
        """The task somebody means: its key or title, in any case, or the beginning of one.

        Raises:
            BookError: The checklist in force has no such task.
        """
        named = {task.key: task for task in self.tasks}
        titled = {task.title: task for task in self.tasks}
        return match(text, titled) or find(text, named, what=_("task"))

    def find_person(self, text: str) -> str:
        """The person on the crew somebody means: the name in any case, or its beginning.

        Raises:
            NotOnCrew: Nobody is called that.
            BookError: More than one could be meant.
        """
        people = {person: person for person in self.people}
        name = clean(text, one_line=True)
        if not hits(name, people):
            raise NotOnCrew(
                name, _("{name} is not on the crew.").format(name=name or "-"), near(name, people)
            )
        return find(text, people, what=_("person"))


def as_tap_rule(entry: TapRule) -> tapping.TapRule:
    """A rule of the crew's table as the sums take it.

    Raises:
        ValueError: Its classes do not rise.
    """
    classes = tuple(tapping.PrintedClass(c.from_dbh, None, c.taps) for c in entry.classes)
    rule = tapping.TapRule(entry.rule, entry.unit, classes, entry.source or sources.CREW)
    tapping.check_rule(rule)
    return rule
