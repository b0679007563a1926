"""The next season from this one: what its plan would be, and what it takes over that is open.

Nothing here writes but `write`, which is called once somebody has looked at the changes; where the
disk refused, `take_back` removes what it was begun in.
"""

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from contextlib import suppress
from datetime import date, datetime
from math import fsum
from typing import Any, TypeVar

from msgspec import Struct
from msgspec.structs import replace

from fieldbook.book.book import Book
from fieldbook.book.entry import (
    TEXT_LENGTH,
    About,
    AnyEntry,
    Aside,
    Checklist,
    Entry,
    Leak,
    Line,
    Note,
    Repair,
    Run,
    Setting,
    Strike,
    Valve,
    Work,
    WorkEntry,
    WriteOff,
)
from fieldbook.book.layout import journals
from fieldbook.book.lines import fold_key
from fieldbook.i18n import _, ngettext
from fieldbook.season.balance import drops_in_place, explained, line_balance
from fieldbook.season.gathered import by_day
from fieldbook.season.items import What, open_items
from fieldbook.season.ledger import Ledger, Standing
from fieldbook.season.refusals import as_recorded
from fieldbook.season.sap import taps_for_sap
from fieldbook.season.season import CHECKLIST_COPY, WINDOW, Season, closed
from fieldbook.season.settings import NONE, RULES, Rule, Value
from fieldbook.season.woods import hazards, leaks, settled, valves_shut
from fieldbook.trade.pace import same_weekday
from fieldbook.trade.sap import mean_brix

E = TypeVar("E", bound=Entry)

Found = Note | Repair | Leak | Valve
"""What opens an item that stands until it is seen to."""

FEASTS = ((1, 1), (12, 24), (12, 25), (12, 26), (12, 31))
"""Days off that keep their date and not their weekday (common practice, no source)."""

LEAST_HOURS = 8
"""Person-hours on record before a rate is called the crew's own (from memory)."""

PACED = ("drops", "taps", "ties", "spouts", "readings")
"""What is counted and has a rate of its own among the rules."""


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
    """The season to go on from and the one to make: the last with work, and the one after it.

    A season that was begun and has no work yet is still being made.
    """
    first, *later = book.seasons
    for year in reversed(later):
        open_season = Season(Book.open(book.path, year=year))
        if any(isinstance(e, Work | Run) for e in open_season.standing_work):
            return year, year_after(book, year)
    return first, year_after(book, first)


def year_after(book: Book, year: int) -> int:
    """The season that follows another: the next that the book has, else that of the next year."""
    return min((later for later in book.seasons if later > year), default=year + 1)


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
        *_settings(season, year, now, stamp),
        *_checklist(season, stamp),
        *_crew(season, stamp),
        *_woods(season, stamp),
        *_targets(season, year, stamp),
        *_left_open(season, now, stamp),
    ]
    if year not in season.book.seasons:
        return found
    lacks = _lacking(Season(Book.open(season.book.path, year=year)))
    return [change for change in found if lacks(change.entry)]


def _lacking(there: Season) -> Callable[[AnyEntry], bool]:
    """What tells whether the season to be made has no word yet about the thing of a draft.

    What was struck there is a word too: it does not come back. Only what a season cannot be
    without does.
    """
    entries = there.book.entries
    ever = Ledger(there.year).fold(entry for entry in entries if not isinstance(entry, Strike)).plan
    carried = {getattr(entry, "carried", "") for entry in entries}

    def lacks(draft: AnyEntry) -> bool:
        if mark := getattr(draft, "carried", ""):
            return mark not in carried
        return (there.plan if _is_needed(draft) else ever).current(draft) is None

    return lacks


def _is_needed(draft: AnyEntry) -> bool:
    """Whether a season cannot be without it: what bounds it, and its checklist."""
    return isinstance(draft, Checklist) or (isinstance(draft, Setting) and draft.setting in WINDOW)


# --- the plan ---


def _settings(season: Season, year: int, now: datetime, stamp: dict[str, Any]) -> Iterator[Change]:
    """The book's rules: days moved, and what the season taught."""
    plan, learned, years = season.plan, dict(_learned(season, now)), year - season.year
    for rule in RULES:
        value = plan.setting(rule.name)
        then, why = value, ""
        if rule.name in WINDOW:
            then = _moved_on(value, years)
            why = ngettext("a year on", "{n} years on", years).format(n=years)
        elif rule.name == "days_off" and value != NONE:
            days = [date.fromisoformat(day) for day in str(value).split(",")]
            moved = sorted({_day_off(day, years) for day in days})
            then = ",".join(day.isoformat() for day in moved)
            why = _("the same weekdays; feasts keep their date")
        elif rule.name in learned and _will_do(rule, learned[rule.name][0]):
            then, why = learned[rule.name]
            why = why if then != value else ""
        draft = Setting(setting=rule.name, value=then, **stamp)
        yield Change(
            draft,
            plan.recorded(rule.name),
            why,
            otherwise=Setting(setting=rule.name, value=value, **stamp),
            needed=_is_needed(draft),
        )


def _will_do(rule: Rule, value: Value) -> bool:
    """Whether a rule takes a value: one beyond its limits would be read as the default."""
    try:
        return rule.read(str(value)) == value
    except ValueError:
        return False


def _moved_on(value: Value, years: int) -> str:
    """The same date, so many years on: 29 February becomes the 28th where there is none."""
    day = date.fromisoformat(str(value))
    try:
        return day.replace(year=day.year + years).isoformat()
    except ValueError:
        return day.replace(year=day.year + years, day=28).isoformat()


def _day_off(day: date, years: int) -> date:
    if (day.month, day.day) in FEASTS:
        return day.replace(year=day.year + years)
    return same_weekday(day, years=years)


def _learned(season: Season, now: datetime) -> Iterator[tuple[str, tuple[Value, str]]]:
    """Rules for which the season has a number of its own: rates of work, and the sap."""
    ledger, year = season.ledger, season.year
    for unit in PACED:
        units, hours = _worked(ledger, unit)
        if units and hours >= LEAST_HOURS:
            said = _("this crew's own in {year}, of {hours:,.0f} h")
            rate = float(f"{units / hours:.3g}")
            yield f"rate_{unit}", (rate, said.format(year=year, hours=hours))
    measured = _("as measured in {year}").format(year=year)
    sweet = [tank for day in by_day(ledger.runs) for tank in day.sweet]
    if sweet:
        brix = mean_brix(gallons=[gal for gal, _b in sweet], brix=[b for _g, b in sweet])
        yield "sap_brix", (round(brix, 2), measured)
    each = _sap_of_season(ledger, now)
    if each is not None:
        yield "sap_gal_per_tap", (float(f"{each:.3g}"), measured)


def _worked(ledger: Ledger, unit: str) -> tuple[float, float]:
    """Units and hours of the counts of a unit that say how long they took.

    What is read at a line is told by the taps it was walked past, as its rate is.
    """
    plan = ledger.plan
    tasks = {task.key for task in plan.tasks if task.counts == unit}
    units, timed = 0, []
    for entry in ledger.counts():
        done = entry.count
        if unit == "readings" and done:
            line = plan.line(entry.block, entry.line)
            done = (plan.taps(line) or 0) if line is not None else 0
        if entry.task in tasks and done and entry.hours:
            units += done
            timed.append(entry.hours)
    return units, fsum(timed)


def _sap_of_season(ledger: Ledger, now: datetime) -> float | None:
    """Sap of a tap in the whole season, in gallons; None where not all of it was measured.

    A day that nobody measured, or a block, would make it too little.
    """
    days, taps = by_day(ledger.runs), taps_for_sap(ledger)
    gathered = [day.sap_gal for day in days if day.sap_gal is not None]
    if not taps or not gathered or len(gathered) < len(days) or not _runs_no_more(ledger, now):
        return None
    apart = {block for day in days for block in day.blocks}
    if apart and sum(taps_for_sap(ledger, block) for block in apart) != taps:
        return None
    return fsum(gathered) / taps


def _runs_no_more(ledger: Ledger, now: datetime) -> bool:
    """Whether no sap will come: the season is closed or gone by, or every line is pulled."""
    plan, pulling = ledger.plan, ledger.plan.counting("spouts")
    if ledger.closed is not None or now.date() > plan.ends:
        return True
    tapped = [line for line in plan.lines if ledger.taps_in(line)]
    return bool(tapped and pulling) and all(
        ledger.line_cell(line, pulling).standing is Standing.DONE for line in tapped if pulling
    )


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
    told, why = _drops_and_taps(season.ledger, line)
    as_it_was = _again(line, stamp)
    return Change(_again(line, stamp, **told), line, "; ".join(why), otherwise=as_it_was)


def _drops_and_taps(ledger: Ledger, line: Line) -> tuple[dict[str, int], list[str]]:
    """What is other on a line than its plan said, and why.

    A number wanted on it was for its season: neither is it taken over, nor does the line take as
    its own what was done because of it.
    """
    plan, year = ledger.plan, ledger.plan.year
    told: dict[str, int] = {}
    why: list[str] = []
    targets = ((task, plan.target(task.key, line.block, line.line)) for task in plan.tasks)
    wanted = {task.key: t.planned for task, t in targets if t and t.planned is not None}
    replacing, tapping = plan.counting("drops"), plan.counting("taps")
    if replacing is not None:
        done = ledger.record(line.block, line.line, replacing.key).done
        hang, finished = drops_in_place(ledger, line), _done(ledger, line, replacing.key)
        whole = (finished and replacing.key not in wanted) or bool(hang and done >= hang)
        if done and whole and line.drops_hung != year:
            told["drops_hung"] = year
            why.append(_("replaced"))
        elif done and not whole:
            said = _("only {n:,} drops replaced in {year}: the age stays that of the oldest")
            why.append(said.format(n=done, year=year))
        if line.drops is not None and hang is not None and hang != line.drops:
            told["drops"] = hang
    if tapping is not None and line.taps_planned is not None and tapping.key not in wanted:
        taps = ledger.taps_in(line)
        if taps not in (0, line.taps_planned) and _done(ledger, line, tapping.key):
            told["taps_planned"] = taps
            why.append(explained(ledger, line, tapping) or _("as many as were drilled"))
    for task in plan.tasks:
        if task.key in wanted:
            said = _("{n:,} {unit} wanted were for {year} alone")
            why.append(said.format(n=wanted[task.key], unit=_(task.counts), year=year))
    return told, why


def _done(ledger: Ledger, line: Line, key: str) -> bool:
    task = ledger.plan.task(key)
    return task is not None and ledger.line_cell(line, task).standing is Standing.DONE


def _targets(season: Season, year: int, stamp: dict[str, Any]) -> Iterator[Change]:
    """Dates wanted, on the same weekday; numbers wanted were for one season.

    A date for a block or a line that is gone goes with it.
    """
    plan = season.plan
    for target in plan.targets:
        gone = target.block and target.block not in plan.walk
        gone = gone or (target.line and plan.line(target.block, target.line) is None)
        if target.wanted is not None and not gone:
            day = same_weekday(target.wanted, years=year - season.year)
            draft = _again(target, stamp, wanted=day, planned=None)
            yield Change(draft, target, _("the same weekday"))


def _again(entry: E, stamp: dict[str, Any], **told: Any) -> E:
    """An entry as it would be recorded again, with what is other by now."""
    return replace(entry, id="", tick=0, **{**stamp, **told})


# --- what is open ---


def _left_open(season: Season, now: datetime, stamp: dict[str, Any]) -> Iterator[Change]:
    """Hazards, repairs, leaks and shut valves that stand, and spouts left in trees.

    A leak is a repair by then: there is no vacuum that it could cost. What was written off is told
    with the reason: a season is not closed without that, and in the woods it stands all the same.
    """
    ledger, year = season.ledger, season.year
    seen_to = settled(ledger)
    owners = {item.about: item.owner for item in open_items(ledger, now)}  # whoever took it last

    def change(draft: Note | Repair | Valve, was: Found, what: What, why: str) -> Change:
        entry_id = draft.id or was.id
        about = About(what=what, entry=entry_id)
        off = next((e for e in ledger.of(WriteOff) if e.about == about), None)
        if off is not None:
            why = _("{why}; written off: {reason}").format(why=why, reason=off.reason)
        who = owners.get(about) or draft.who or was.by
        told: dict[str, Any] = {"at": draft.at, "who": who, "carried": f"{year}/{entry_id}"}
        return Change(_again(draft, stamp, **told), was, why)

    for note in hazards(ledger):
        yield change(note, note, What.HAZARD, _("it still stands in the woods"))
    for repair in ledger.of(Repair):
        if repair.id not in seen_to:
            yield change(repair, repair, What.REPAIR, _("not made yet"))
    for leak in leaks(ledger):
        text = _("mend the leak: {what}").format(what=_leak_words(leak))
        mend = _repair(leak, text, leak.who, stamp)
        yield change(mend, leak, What.LEAK, _("a leak not mended"))
    for words in valves_shut(ledger).values():
        last, first = words[-1], min(words, key=fold_key)
        reason = next((word.reason for word in reversed(words) if word.reason), "")
        shut = replace(last, id=first.id, at=words[0].at, reason=reason, heard=None)
        yield change(shut, last, What.VALVE, _("shut, and nobody opened it"))
    yield from _left_in_trees(season, stamp)


def _leak_words(leak: Leak) -> str:
    """A leak with the lateral and the cause that its words do not say."""
    from fieldbook.season.found import read_leak  # its patterns take a while to load

    said = read_leak(leak.text)
    named = (
        _("lateral {n}").format(n=leak.lateral) if leak.lateral != said.get("lateral", "") else "",
        _(leak.cause) if leak.cause and leak.cause != said.get("cause") else "",
    )
    return ", ".join([*filter(None, named), leak.text])


def _repair(found: Leak | WorkEntry, text: str, who: str, stamp: dict[str, Any]) -> Repair:
    """What is left to be done about something that was found on a line, as old as that."""
    stamp = {**stamp, "at": found.at}
    return Repair(text=text[:TEXT_LENGTH], who=who, block=found.block, line=found.line, **stamp)


def left_in_trees(ledger: Ledger, line: Line) -> tuple[int, WorkEntry | None]:
    """Spouts left in trees of a line, about which nobody said why; and the last word on pulling it.

    Of a line that nobody was at yet there is no word: its spouts are still to be pulled.
    """
    pulling = ledger.plan.counting("spouts")
    left = line_balance(ledger, line).in_trees
    if pulling is None or not left or explained(ledger, line, pulling):
        return 0, None
    about = About(what=What.LEFT_IN, block=line.block, line=line.line, task=pulling.key)
    if any(e.about == about and e.amount == left for e in ledger.of(WriteOff)):
        return 0, None
    return left, ledger.record(line.block, line.line, pulling.key).last


def _left_in_trees(season: Season, stamp: dict[str, Any]) -> Iterator[Change]:
    """Spouts that stayed in trees of lines where somebody was at pulling, and nobody said why."""
    ledger, pulling = season.ledger, season.plan.counting("spouts")
    for line in season.plan.lines:
        left, last = left_in_trees(ledger, line)
        if pulling is None or last is None:
            continue
        record = ledger.record(line.block, line.line, pulling.key)
        text = _("pull the spouts left in trees in {year}: {n:,}")
        pull = _repair(last, text.format(year=season.year, n=left), last.who, stamp)
        # By the first word on it: more that is pulled later does not make it another thing.
        pull = replace(pull, carried=f"{season.year}/{record.entries[0].id}")
        why = _("pulled, but for these") if record.done else _("not pulled")
        yield Change(pull, last, record.mark.reason if isinstance(record.mark, Aside) else why)


# --- the season made of it ---


def drafts_of(found: Iterable[Change], left: Collection[Change] = ()) -> list[AnyEntry]:
    """What would be recorded; of changes that are left, what there is in their place."""
    left = [change for change in left if not change.needed]
    chosen = (change.otherwise if change in left else change.entry for change in found)
    return [entry for entry in chosen if entry is not None]


def preview(year: int, drafts: Iterable[AnyEntry], before: Iterable[AnyEntry] = ()) -> Ledger:
    """The season as it would be with some entries, after those it has before."""
    behind = (as_recorded(draft, n) for n, draft in enumerate(drafts, start=1))
    return Ledger(year).fold([*before, *behind])


def write(season: Season, book: Book, drafts: Sequence[AnyEntry]) -> Season:
    """Record what the season to be made takes over, all together or none.

    What it has by now is left alone. Rules of which nothing is said are recorded at their default,
    so that no report ever changes because a default did.

    Args:
        season: The season it comes from.
        book: The book, open at the season to be made, with a desk to write with.
        drafts: What is recorded: see `drafts_of`.

    Raises:
        BookError: The season to be made is closed.
        NotSaved: The disk refused: nothing is recorded then.
    """
    made = Season(book)
    close = made.ledger.closed
    if close is not None:
        raise closed(close)
    lacks = _lacking(made)  # somebody else may have made it since the changes were looked at
    drafts = [draft for draft in drafts if lacks(draft)]
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
    with suppress(OSError):  # for the crew to edit; the checklist in force is on record
        copy, there = season.checklist_copy, book.path / str(book.year) / CHECKLIST_COPY
        if copy is not None and not there.exists():
            there.write_bytes(copy.read_bytes())
    return made


def take_back(book: Book) -> None:
    """Remove a season in which nothing could be written, and nothing is.

    It would be the newest, and be opened in place of the one it was to come from.
    """
    folder = book.path / str(book.year)
    book.close()
    with suppress(OSError):
        empty = [path for path in journals(folder) if not path.stat().st_size]
        if set(empty) == set(folder.iterdir()):
            for path in empty:
                path.unlink()
            folder.rmdir()
