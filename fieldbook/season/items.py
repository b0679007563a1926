"""Open items: what was begun and not closed. They are worked out from the entries each time.

No item is ever stored, so none can be lost: it is there as long as its entries say so, and it goes
when an entry closes it. `About` knows an item again whatever becomes of its numbers.
"""

from collections.abc import Collection, Iterable, Iterator
from datetime import date, datetime, timedelta
from enum import IntEnum, StrEnum

from msgspec import Struct
from msgspec.structs import replace

from fieldbook.book.entry import (
    About,
    Aside,
    Entry,
    Leak,
    Line,
    Note,
    ReadBack,
    Repair,
    Sheet,
    Spouts,
    Taken,
    Task,
    WriteOff,
)
from fieldbook.book.lines import fold_key
from fieldbook.i18n import N_
from fieldbook.season.balance import bag_days, bags, explained, in_use, line_balance
from fieldbook.season.ledger import Ledger, Record, Standing
from fieldbook.season.sap import lost_of, sap_lost, sap_of_tap
from fieldbook.season.woods import (
    IS_OUT,
    first_taken,
    hazards,
    leaks,
    people_out,
    settled,
    untaken,
    valves_shut,
)


class What(StrEnum):
    """The kinds of open item, in the order in which equals are told."""

    OUT = IS_OUT
    HAZARD = N_("hazard")
    VALVE = N_("valve shut")
    LEAK = N_("leak")
    UNTAPPED = N_("not tapped")
    HANDOFF = N_("hand-off")
    SHEET = N_("sheet")
    SURPLUS = N_("too many")
    LEFT_IN = N_("left in trees")
    SPOUTS = N_("spouts")
    REPAIR = N_("repair")
    UNFINISHED = N_("unfinished")
    ASIDE = N_("set aside")
    AGE = N_("drops' age")


class Level(IntEnum):
    """What is told first: people, then sap, then work."""

    SAFETY = 0
    SAP = 1
    WORK = 2


SEVERITY = {"danger": Level.SAFETY, "watch": Level.SAP, "calm": Level.WORK}
"""How grave a hand-off is, and what it weighs while nobody has taken it."""

BALANCE = (What.UNTAPPED, What.SURPLUS, What.LEFT_IN, What.SPOUTS)
"""Counts that do not match: written off they are for the very number that was missing."""


WORK = (
    *(What.UNFINISHED, What.ASIDE, What.AGE),
    *(What.UNTAPPED, What.SURPLUS, What.LEFT_IN),
)
"""What belongs to whoever works on the line; the rest to who has taken it."""


class Item(Struct, frozen=True, kw_only=True):
    """Something begun and not closed.

    Attributes:
        about: What it is about.
        level: Safety, sap or work.
        since: When it was opened.
        amount: Units it is short, over or left; 0 where nothing is counted.
        unit: What they are; empty where nothing is counted.
        loses_gal: Sap it costs on a day when sap runs, in gallons.
        owner: Whose it is now; empty if nobody's.
        says: What the one who opened it wrote.
        lines: Lines it is about, where there may be several.
        due: When it ought to be closed, if there is such a time.
        late: Time past that.
        passed: How often it was taken over in a hand-off.
        told: What was told of it last, where something else was read back.
        said: What was read back then.
        sheet: Number of the sheet, of a sheet.
        off: Who wrote it off and why, where it stands all the same.
    """

    about: About
    level: Level
    since: datetime
    amount: int = 0
    unit: str = ""
    loses_gal: float = 0.0
    owner: str = ""
    says: str = ""
    lines: tuple[str, ...] = ()
    due: datetime | date | None = None
    late: timedelta | None = None
    passed: int = 0
    told: str = ""
    said: str = ""
    sheet: int = 0
    off: str = ""

    @property
    def what(self) -> What:
        return What(self.about.what)


def open_items(ledger: Ledger, now: datetime) -> list[Item]:
    """Everything open, the gravest first: safety, then sap lost in a day, then work left.

    A hazard that was written off still stands in the woods: it stays here until it is cleared.

    Args:
        ledger: The season.
        now: The time; only its wall clock counts.
    """
    return _in_order(_standing_out(ledger, _found(ledger, now), but=(What.HAZARD,)))


def closing_items(ledger: Ledger, now: datetime) -> list[Item]:
    """What stands in the way of closing the season.

    Beside everything that is open these are lines nobody began, every spout still in a tree, and
    bags out of which somebody is still at work. Hazards that were written off are not in the way.
    """
    tomorrow = now + timedelta(days=1)  # by then every bag ought to add up
    found = [*_found(ledger, now), *_bags(ledger, tomorrow)]
    found += [*_not_begun(ledger), *_all_in_trees(ledger)]
    return _in_order(_standing_out(ledger, found))


def of_blocks(items: Iterable[Item], blocks: Iterable[str]) -> list[Item]:
    """The items of some blocks, and those that belong to no block: those go with every hand-off."""
    wanted = {"", *blocks}
    return [item for item in items if item.about.block in wanted]


def _covers(off: WriteOff, item: Item) -> bool:
    """Whether a write-off of an item holds for its number as it is now."""
    return item.amount == off.amount if item.what in BALANCE else item.amount <= off.amount


def _standing_out(
    ledger: Ledger, found: Iterable[Item], *, but: Collection[What] = ()
) -> Iterator[Item]:
    """Items that nobody wrote off, each once, with what hand-offs made of them.

    Args:
        ledger: The season.
        found: The items.
        but: Kinds that stand though they were written off.
    """
    passes: dict[About, list[tuple[Taken, ReadBack]]] = {}
    for taken in first_taken(ledger).values():
        for read in taken.items:
            passes.setdefault(read.about, []).append((taken, read))
    offs: dict[About, list[WriteOff]] = {}
    for entry in ledger.of(WriteOff):
        offs.setdefault(entry.about, []).append(entry)
    seen: set[About] = set()
    for item in found:
        off = next((e for e in offs.get(item.about, ()) if _covers(e, item)), None)
        if item.about in seen or (off is not None and item.what not in but):
            continue
        seen.add(item.about)
        if off is not None:
            item = replace(item, off=f"{off.who}: {off.reason}")
        yield _passed(ledger, item, passes.get(item.about, []))


def _passed(ledger: Ledger, item: Item, passes: list[tuple[Taken, ReadBack]]) -> Item:
    """An item with who took it last, unless somebody has worked on it since."""
    if not passes:
        return item
    taken, read = passes[-1]
    work = ledger.record(item.about.block, item.about.line, item.about.task).last
    worked = item.what in WORK and work is not None and fold_key(work) > fold_key(taken)
    return replace(
        item,
        owner=item.owner if worked else taken.who,
        passed=len(passes),
        told=read.told if read.differs else "",
        said=read.said if read.differs else "",
    )


def _in_order(items: Iterable[Item]) -> list[Item]:
    order = {what: number for number, what in enumerate(What)}
    return sorted(
        items,
        key=lambda item: (
            item.level,
            item.late is None,
            -round(item.loses_gal, 6),
            order[item.what],
            -abs(item.amount),
            item.since.replace(tzinfo=None),
            item.about.block.casefold(),
            item.about.line.casefold(),
            item.about.task,
            item.about.who.casefold(),
            item.about.entry,
        ),
    )


def _found(ledger: Ledger, now: datetime) -> Iterator[Item]:
    """Every item, whether or not it was written off."""
    yield from _people_out(ledger, now)
    yield from _hazards(ledger)
    yield from _valves(ledger)
    yield from _leaks(ledger)
    yield from _handoffs(ledger)
    yield from _sheets(ledger)
    for line in ledger.plan.lines:
        yield from _unbalanced(ledger, line)
        yield from _unknown_age(ledger, line)
    yield from _bags(ledger, now)
    yield from _repairs(ledger, now)
    yield from _unfinished(ledger)
    yield from _set_aside(ledger)


# --- people ---


def _people_out(ledger: Ledger, now: datetime) -> Iterator[Item]:
    for who, outs in people_out(ledger).items():
        first, last = outs[0], outs[-1]
        over = now.replace(tzinfo=None) - last.due.replace(tzinfo=None)
        yield Item(
            about=About(
                what=What.OUT,
                block=last.block,
                line=last.line,
                who=who,
                entry=min(outs, key=fold_key).id,  # also when an earlier one is keyed in late
            ),
            level=Level.SAFETY,
            since=first.at,
            owner=who,
            says=last.note,
            due=last.due,
            late=over if over > timedelta(0) else None,
        )


def _handoffs(ledger: Ledger) -> Iterator[Item]:
    for entry in untaken(ledger):
        block = entry.blocks[0] if len(entry.blocks) == 1 else ""
        yield Item(
            about=About(what=What.HANDOFF, block=block, who=entry.who, entry=entry.id),
            level=SEVERITY[entry.severity],
            since=entry.at,
            amount=len(entry.items),
            unit=N_("items"),
            owner=entry.to,
            says=entry.left,
        )


# --- what one entry opened, and another settles ---


def _opened(entry: Note | Leak | Repair | Sheet, what: What, **more: object) -> Item:
    """An item that one entry opened."""
    about = About(
        what=what,
        block=entry.block,
        line=getattr(entry, "line", ""),
        task=getattr(entry, "task", ""),
        entry=entry.id,
    )
    fields = {"owner": entry.who, "says": getattr(entry, "text", ""), "level": Level.WORK, **more}
    return Item(about=about, since=entry.at, **fields)  # type: ignore[arg-type]  # typed by Item


def _hazards(ledger: Ledger) -> Iterator[Item]:
    for note in hazards(ledger):
        yield _opened(note, What.HAZARD, level=Level.SAFETY, owner=note.who or note.by)


def _leaks(ledger: Ledger) -> Iterator[Item]:
    plan = ledger.plan
    for leak in leaks(ledger):
        line, lost_inhg = plan.line(leak.block, leak.line), lost_of(leak)
        loses_gal = 0.0
        if line is not None and lost_inhg:
            loses_gal = sap_lost(plan, ledger.taps_in(line), lost_inhg)
        yield _opened(leak, What.LEAK, level=Level.SAP, loses_gal=loses_gal)


def _repairs(ledger: Ledger, now: datetime) -> Iterator[Item]:
    seen_to = settled(ledger)
    for repair in ledger.of(Repair):
        if repair.id not in seen_to:
            over = now.date() - repair.due if repair.due else timedelta(0)
            late = over if over > timedelta(0) else None
            yield _opened(repair, What.REPAIR, due=repair.due, late=late)


def _sheets(ledger: Ledger) -> Iterator[Item]:
    seen_to = settled(ledger)
    for sheet in ledger.of(Sheet):
        if sheet.id not in seen_to:
            yield _opened(sheet, What.SHEET, lines=sheet.lines, sheet=sheet.sheet)


def _valves(ledger: Ledger) -> Iterator[Item]:
    for (block, name), words in valves_shut(ledger).items():
        line = ledger.plan.line(block, name)
        taps = ledger.taps_in(line) if line else 0
        yield Item(
            about=About(what=What.VALVE, block=block, line=name, entry=min(words, key=fold_key).id),
            level=Level.SAP,
            since=words[0].at,
            amount=taps,
            unit=N_("taps"),
            loses_gal=taps * sap_of_tap(ledger.plan),
            owner=words[-1].who,
            says=next((valve.reason for valve in reversed(words) if valve.reason), ""),
        )


# --- counts that do not match ---


def _unbalanced(ledger: Ledger, line: Line) -> Iterator[Item]:
    """Drops without a tap on a line that is done, taps without a drop, spouts left behind."""
    tapping, pulling = ledger.plan.counting("taps"), ledger.plan.counting("spouts")
    found = line_balance(ledger, line)
    if tapping is not None and (found.untapped or found.over):
        record = ledger.record(line.block, line.line, tapping.key)
        why = explained(ledger, line, tapping)
        if found.untapped and not why and _done(ledger, line, tapping):
            gal = sap_of_tap(ledger.plan)
            yield _off(line, tapping, record, What.UNTAPPED, found.untapped, gal * found.untapped)
        elif found.over and not why:
            yield _off(line, tapping, record, What.SURPLUS, found.over)
    if pulling is not None and (found.in_trees or found.pulled_over):
        record = ledger.record(line.block, line.line, pulling.key)
        why = explained(ledger, line, pulling)
        if found.in_trees and not why and _done(ledger, line, pulling):
            yield _off(line, pulling, record, What.LEFT_IN, found.in_trees)
        elif found.pulled_over and not why:
            yield _off(line, pulling, record, What.SURPLUS, found.pulled_over)


def _done(ledger: Ledger, line: Line, task: Task) -> bool:
    return ledger.line_cell(line, task).standing is Standing.DONE


def _off(
    line: Line, task: Task, record: Record, what: What, amount: int, loses_gal: float = 0.0
) -> Item:
    last: Entry = record.last or line
    return Item(
        about=About(what=what, block=line.block, line=line.line, task=task.key),
        level=Level.SAP if loses_gal else Level.WORK,
        since=last.at,
        amount=amount,
        unit=task.counts,
        loses_gal=loses_gal,
        owner=getattr(last, "who", ""),
    )


def _bags(ledger: Ledger, now: datetime) -> Iterator[Item]:
    for bag in bags(ledger):
        if bag.off < 0 or (bag.off and not in_use(ledger, bag, now)):
            yield Item(
                about=About(what=What.SPOUTS, who=bag.who),
                level=Level.WORK,
                since=_off_since(ledger, bag.who),
                amount=bag.off,
                unit=N_("spouts"),
                owner=bag.who,
            )


def _off_since(ledger: Ledger, who: str) -> datetime:
    """When a bag that does not add up did so last: the first move of the day it went off."""
    off, first = 0, date.min
    for day in bag_days(ledger, who):
        if not off and day.off and day.day is not None:
            first = day.day
        off += day.off
    tapping = ledger.plan.counting("taps")
    taps = (e for e in ledger.counts() if e.who == who and tapping and e.task == tapping.key)
    moves = [*(move for move in ledger.of(Spouts) if move.who == who), *taps]
    return min(move.at for move in moves if move.day >= first)


def _unknown_age(ledger: Ledger, line: Line) -> Iterator[Item]:
    """Drops of which nobody knows the year, until they are replaced."""
    replacing = ledger.plan.counting("drops")
    if replacing is None or line.drops_hung is not None or _done(ledger, line, replacing):
        return
    if ledger.plan.drops_due(line) == 0:  # a line that rests has none
        return
    yield Item(
        about=About(what=What.AGE, block=line.block, line=line.line, task=replacing.key),
        level=Level.WORK,
        since=line.at,
        amount=ledger.plan.drops_due(line) or 0,
        unit=replacing.counts,
    )


# --- work ---


def _of_line(ledger: Ledger, line: Line, task: Task, left: int) -> Item:
    last: Entry = ledger.record(line.block, line.line, task.key).last or line
    return Item(
        about=About(what=What.UNFINISHED, block=line.block, line=line.line, task=task.key),
        level=Level.WORK,
        since=last.at,
        amount=left,
        unit=task.counts,
        owner=getattr(last, "who", ""),
    )


def _unfinished(ledger: Ledger) -> Iterator[Item]:
    for line in ledger.plan.lines:
        for task in ledger.plan.tasks:
            cell = ledger.line_cell(line, task)
            if cell.standing is Standing.UNDER_WAY:
                yield _of_line(ledger, line, task, cell.tally.left)


def _not_begun(ledger: Ledger) -> Iterator[Item]:
    """Lines on which nothing was done of what is planned; of pulling, the spouts tell it."""
    pulling = ledger.plan.counting("spouts")
    for line in ledger.plan.lines:
        for task in ledger.plan.tasks:
            if task is pulling:
                continue
            cell = ledger.line_cell(line, task)
            if cell.standing is Standing.NOT_BEGUN and (cell.tally.left or cell.tally.unknown):
                yield _of_line(ledger, line, task, cell.tally.left)


def _all_in_trees(ledger: Ledger) -> Iterator[Item]:
    """Spouts in trees of lines on which nobody is at pulling: those are told as unfinished."""
    tapping, pulling = ledger.plan.counting("taps"), ledger.plan.counting("spouts")
    if pulling is None:
        return
    for line in ledger.plan.lines:
        found = line_balance(ledger, line)
        record = ledger.record(line.block, line.line, pulling.key)
        if tapping is not None and not record.entries:
            record = ledger.record(line.block, line.line, tapping.key)  # since they are in there
        begun = ledger.line_cell(line, pulling).standing is Standing.UNDER_WAY
        if found.in_trees and not begun and not explained(ledger, line, pulling):
            yield _off(line, pulling, record, What.LEFT_IN, found.in_trees)


def _set_aside(ledger: Ledger) -> Iterator[Item]:
    """Lines set aside; those of a block and task that share who, when and why are one item."""
    alike: dict[tuple[object, ...], list[tuple[Aside, Line, int]]] = {}
    for line in ledger.plan.lines:
        for task in ledger.plan.tasks:
            mark = ledger.record(line.block, line.line, task.key).mark
            cell = ledger.line_cell(line, task)
            if isinstance(mark, Aside) and cell.standing is Standing.ASIDE:
                key = (line.block, task.key, mark.who, mark.day, mark.reason)
                alike.setdefault(key, []).append((mark, line, cell.tally.left))
    for found in alike.values():
        mark = min((mark for mark, _line, _left in found), key=fold_key)
        names = tuple(line.line for _mark, line, _left in found)
        task_set = ledger.plan.task(mark.task)
        yield Item(
            about=About(
                what=What.ASIDE,
                block=mark.block,
                line=mark.line,
                task=mark.task,
                entry=mark.id,
            ),
            level=Level.WORK,
            since=mark.at,
            amount=sum(left for _mark, _line, left in found),
            unit=task_set.counts if task_set else "",
            owner=mark.who,
            says=mark.reason,
            lines=names,
        )
