"""The next season from this one: what its plan would be, and what it takes over that is open.

Nothing here writes but `write`, which is called once somebody has looked at the changes.
"""

from collections.abc import Collection, Iterable, Iterator, Sequence
from contextlib import suppress
from datetime import date, datetime
from math import fsum
from typing import Any, TypeVar

from msgspec import Struct
from msgspec.structs import replace

from fieldbook.book.book import Book
from fieldbook.book.entry import (
    TEXT_LENGTH,
    AnyEntry,
    Count,
    Entry,
    Leak,
    Line,
    Repair,
    Run,
    Setting,
    Task,
    Work,
)
from fieldbook.i18n import _
from fieldbook.season.balance import drops_in_place, explained, line_balance
from fieldbook.season.ledger import Ledger, Standing
from fieldbook.season.refusals import as_recorded
from fieldbook.season.sap import brix_of
from fieldbook.season.season import CHECKLIST_COPY, WINDOW, Season
from fieldbook.season.settings import NONE, RULES, Value
from fieldbook.season.woods import hazards, leaks, settled, valves_shut
from fieldbook.trade.pace import same_weekday
from fieldbook.trade.sap import SYRUP_BRIX

E = TypeVar("E", bound=Entry)

FEASTS = ((1, 1), (12, 24), (12, 25), (12, 26), (12, 31))
"""Days off that keep their date and not their weekday (common practice, no source)."""

LEAST_HOURS = 8
"""Person-hours on record before a rate is called the crew's own (from memory)."""


class Change(Struct, frozen=True):
    """One thing the next season would take over.

    Attributes:
        entry: What would be recorded there.
        was: The entry of this season about the same thing, or that it comes from; None for a rule
            that nobody set.
        why: Why it is other than it was; empty where it is taken over as it is.
        otherwise: What would be recorded in its place, if it is left; None where nothing is.
        needed: A season cannot be without it.
    """

    entry: AnyEntry
    was: AnyEntry | None
    why: str = ""
    otherwise: AnyEntry | None = None
    needed: bool = False

    @property
    def changed(self) -> bool:
        """Whether it is not simply as it was."""
        return bool(self.why)


def coming(book: Book) -> tuple[int, int]:
    """The season to go on from and the one to make: the last with work, and the year after it.

    A season that was begun and has no work yet is still being made.
    """
    years = book.seasons
    for number, year in reversed(list(enumerate(years))):
        open_season = Season(Book.open(book.path, year=year))
        if number == 0 or any(isinstance(e, Work | Run) for e in open_season.standing_work):
            return year, years[number + 1] if number + 1 < len(years) else year + 1
    return years[-1], years[-1] + 1


def changes(season: Season, year: int, *, by: str, now: datetime) -> list[Change]:
    """Everything a season would take over from another, what it has already left out.

    Args:
        season: The season to go on from.
        year: The season to make.
        by: Who would write it.
        now: The time.
    """
    stamp: dict[str, Any] = {"at": now, "noted": now, "by": by}
    found = [
        *_settings(season, year, stamp),
        *_checklist(season, stamp),
        *_crew(season, stamp),
        *_woods(season, stamp),
        *_targets(season, year, stamp),
        *_left_open(season, stamp),
    ]
    if year not in season.book.seasons:
        return found
    there = Season(Book.open(season.book.path, year=year))
    carried = {getattr(entry, "carried", "") for entry in there.book.entries}
    return [change for change in found if not _is_there(change.entry, there, carried)]


def _is_there(draft: AnyEntry, there: Season, carried: set[str]) -> bool:
    """Whether the season to be made has a word about the same thing already: it is left alone."""
    if mark := getattr(draft, "carried", ""):
        return mark in carried
    return there.plan.current(draft) is not None


# --- the plan ---


def _settings(season: Season, year: int, stamp: dict[str, Any]) -> Iterator[Change]:
    """The book's rules: days moved, and what the season taught."""
    plan, learned = season.plan, dict(_learned(season))
    for rule in RULES:
        value = plan.setting(rule.name)
        then, why = value, ""
        if rule.name in WINDOW:
            then, why = _moved_on(value, season.year, year), _("a year on")
        elif rule.name == "days_off" and value != NONE:
            days = [date.fromisoformat(day) for day in str(value).split(",")]
            moved = sorted({_day_off(day, year - season.year) for day in days})
            then = ",".join(day.isoformat() for day in moved)
            why = _("the same weekdays; feasts keep their date")
        elif rule.name in learned:
            then, why = learned[rule.name]
            why = why if then != value else ""
        yield Change(
            Setting(setting=rule.name, value=then, **stamp),
            plan.recorded(rule.name),
            why,
            otherwise=Setting(setting=rule.name, value=value, **stamp),
            needed=rule.name in WINDOW,
        )


def _moved_on(value: Value, this: int, year: int) -> str:
    """The same date, as many years on: 29 February becomes the 28th where there is none."""
    day = date.fromisoformat(str(value))
    try:
        return day.replace(year=day.year + year - this).isoformat()
    except ValueError:
        return day.replace(year=day.year + year - this, day=28).isoformat()


def _day_off(day: date, years: int) -> date:
    if (day.month, day.day) in FEASTS:
        return day.replace(year=day.year + years)
    return same_weekday(day, years=years)


def _learned(season: Season) -> Iterator[tuple[str, tuple[Value, str]]]:
    """Rules for which the season has a number of its own: rates of work, sweetness of sap."""
    ledger, plan = season.ledger, season.plan
    for task in plan.tasks:
        units, hours = _worked(ledger, task)
        name = f"rate_{task.counts}"
        if task.counts in ("drops", "taps", "ties", "spouts", "readings") and units:
            said = _("this crew's own in {year}, of {hours:,.0f} h")
            if hours >= LEAST_HOURS:
                rate = float(f"{units / hours:.3g}")
                yield name, (rate, said.format(year=season.year, hours=hours))
    brix = brix_of(ledger.runs)
    if brix is not None and brix <= SYRUP_BRIX:
        why = _("as measured in {year}").format(year=season.year)
        yield "sap_brix", (round(brix, 2), why)


def _worked(ledger: Ledger, task: Task) -> tuple[float, float]:
    """Units and hours of the counts of a task that say how long they took.

    What is read at a line is told by the taps it was walked past, as its rate is.
    """
    timed = [e for e in ledger.counts() if e.task == task.key and e.count and e.hours]
    units = 0
    for entry in timed:
        line = ledger.plan.line(entry.block, entry.line)
        walked = (ledger.plan.taps(line) or 0) if line is not None else 0
        units += walked if task.counts == "readings" else entry.count
    return units, fsum(entry.hours or 0.0 for entry in timed)


def _checklist(season: Season, stamp: dict[str, Any]) -> Iterator[Change]:
    now = season.plan.checklist
    if now is not None:
        yield Change(_again(now, stamp), now, needed=True)


def _crew(season: Season, stamp: dict[str, Any]) -> Iterator[Change]:
    for name in season.plan.people:
        person = season.plan.person(name)
        if person is not None:
            yield Change(_again(person, stamp), person)
    for rule in season.plan.own_tap_rules:
        yield Change(_again(rule, stamp), rule)


def _woods(season: Season, stamp: dict[str, Any]) -> Iterator[Change]:
    """Blocks, lines and trees, in walking order."""
    plan = season.plan
    for name, lines in plan.walk.items():
        block = plan.block(name)
        if block is not None:
            yield Change(_again(block, stamp), block)
        for line in lines:
            yield _line(season, line, stamp)
            trees = plan.trees(line.block, line.line)
            if trees is not None:  # taken when it was taken: the trees have grown since
                yield Change(_again(trees, stamp, at=trees.at), trees)


def _line(season: Season, line: Line, stamp: dict[str, Any]) -> Change:
    """A line as it is now: its drops as they were hung, and as many taps as it took."""
    ledger, plan = season.ledger, season.plan
    told: dict[str, Any] = {}
    why = []
    replacing, tapping = plan.counting("drops"), plan.counting("taps")
    if replacing is not None:
        record = ledger.record(line.block, line.line, replacing.key)
        done = ledger.line_cell(line, replacing).standing is Standing.DONE
        if record.done and done and line.drops_hung != season.year:
            told["drops_hung"] = season.year
            why.append(_("replaced"))
        elif record.done and not done:
            said = _("only {n:,} drops replaced in {year}: the age stays that of the oldest")
            why.append(said.format(n=record.done, year=season.year))
        hang = drops_in_place(ledger, line)
        if line.drops is not None and hang is not None and hang != line.drops:
            told["drops"] = hang
    if tapping is not None and line.taps_planned is not None:
        cell, record = (
            ledger.line_cell(line, tapping),
            ledger.record(line.block, line.line, tapping.key),
        )
        if cell.standing is Standing.DONE and record.done and record.done != line.taps_planned:
            told["taps_planned"] = record.done
            why.append(getattr(record.mark, "reason", "") or _("as many as were drilled"))
    as_it_was = _again(line, stamp)
    return Change(_again(line, stamp, **told), line, "; ".join(why), otherwise=as_it_was)


def _targets(season: Season, year: int, stamp: dict[str, Any]) -> Iterator[Change]:
    """Dates wanted, on the same weekday; numbers wanted were for one season."""
    for target in season.plan.targets:
        if target.wanted is not None:
            day = same_weekday(target.wanted, years=year - season.year)
            draft = _again(target, stamp, wanted=day, planned=None)
            yield Change(draft, target, _("the same weekday"))


def _again(entry: E, stamp: dict[str, Any], **told: Any) -> E:
    """An entry as it would be recorded again, with what is other by now."""
    return replace(entry, id="", tick=0, **{**stamp, **told})


# --- what is open ---


def _left_open(season: Season, stamp: dict[str, Any]) -> Iterator[Change]:
    """Hazards, repairs, leaks and shut valves that stand, and spouts left in trees.

    A leak is a repair by then: there is no vacuum that it could cost.
    """
    ledger, year = season.ledger, season.year
    seen_to = settled(ledger)

    def carried(entry: E, **told: Any) -> E:
        return _again(entry, stamp, at=entry.at, carried=f"{year}/{entry.id}", **told)

    for note in hazards(ledger):
        draft = carried(note, who=note.who or note.by)
        yield Change(draft, note, _("it still stands in the woods"))
    for repair in ledger.of(Repair):
        if repair.id not in seen_to:
            yield Change(carried(repair), repair, _("not made yet"))
    for leak in leaks(ledger):
        text = _("mend the leak: {what}").format(what=leak.text)
        mend = _repair(leak, leak.block, leak.line, text, year, stamp)
        yield Change(mend, leak, _("a leak not mended"))
    for words in valves_shut(ledger).values():
        shut = carried(words[-1], heard=None)
        yield Change(shut, words[-1], _("shut, and nobody opened it"))
    yield from _left_in_trees(season, stamp)


def _repair(
    entry: Leak | Count, block: str, line: str, text: str, year: int, stamp: dict[str, Any]
) -> Repair:
    """What is left to be done about something, as a repair of whoever found it."""
    told = {**stamp, "at": entry.at, "carried": f"{year}/{entry.id}"}
    return Repair(who=entry.who, text=text[:TEXT_LENGTH], block=block, line=line, **told)


def _left_in_trees(season: Season, stamp: dict[str, Any]) -> Iterator[Change]:
    """Spouts that stayed in trees of lines that were pulled, and nobody said why."""
    ledger, pulling = season.ledger, season.plan.counting("spouts")
    if pulling is None:
        return
    for line in season.plan.lines:
        record = ledger.record(line.block, line.line, pulling.key)
        left, last = line_balance(ledger, line).in_trees, record.last_count
        if last is None or not left or explained(ledger, line, pulling):
            continue
        text = _("pull the spouts left in trees in {year}: {n:,}")
        text = text.format(year=season.year, n=left)
        pull = _repair(last, line.block, line.line, text, season.year, stamp)
        yield Change(pull, last, _("pulled, but for these"))


# --- the season made of it ---


def drafts_of(found: Iterable[Change], left: Collection[Change] = ()) -> list[AnyEntry]:
    """What would be recorded; of changes that are left, what there is in their place."""
    left = [change for change in left if not change.needed]
    chosen = (change.otherwise if change in left else change.entry for change in found)
    return [entry for entry in chosen if entry is not None]


def preview(year: int, drafts: Iterable[AnyEntry]) -> Ledger:
    """The season as it would be with some entries."""
    return Ledger(year).fold(as_recorded(draft, n) for n, draft in enumerate(drafts, start=1))


def write(season: Season, book: Book, drafts: Sequence[AnyEntry]) -> Season:
    """Record what the season to be made takes over, all together or none.

    Rules of which it says nothing are recorded at their default, so that no report ever changes
    because a default did.

    Args:
        season: The season it comes from.
        book: The book, open at the season to be made, with a desk to write with.
        drafts: What is recorded: see `drafts_of`.

    Raises:
        NotSaved: The disk refused: nothing is recorded then.
    """
    made = Season(book)
    told = {draft.setting for draft in drafts if isinstance(draft, Setting)}
    defaults = [
        Setting(
            setting=rule.name,
            value=rule.default_for(book.year),
            **{name: getattr(drafts[0], name) for name in ("at", "noted", "by")},
        )
        for rule in RULES
        if drafts and rule.name not in told and made.plan.recorded(rule.name) is None
    ]
    made.carry([*defaults, *drafts])
    copy = season.checklist_copy
    there = book.path / str(book.year) / CHECKLIST_COPY
    with suppress(OSError):  # for the crew to edit; the checklist in force is on record
        if copy is not None and not there.exists():
            there.write_bytes(copy.read_bytes())
    return made
