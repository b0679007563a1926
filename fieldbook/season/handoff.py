"""Handing over: everything that is open in some blocks, told by one person, read back by another.

Going off, somebody prepares it, and nothing that is open can be left out. Coming on, somebody
looks at every item of it, and at what came in since, and says back what could hurt somebody or
lose sap if it were taken wrong; then it is theirs. Source: HSE, human factors: shift handover;
the parts are those of I-PASS.
"""

from collections.abc import Iterable, Iterator, Mapping
from datetime import date, datetime
from typing import Literal

from fieldbook.book.entry import (
    NAME_LENGTH,
    About,
    Count,
    Finish,
    HandOff,
    Passed,
    ReadBack,
    Taken,
    Task,
    clean,
)
from fieldbook.errors import BookError
from fieldbook.i18n import _
from fieldbook.season.dates import short_day
from fieldbook.season.finding import hits
from fieldbook.season.items import Item, Level, What, of_blocks, open_items
from fieldbook.season.ledger import Ledger, Standing
from fieldbook.season.readback import Differs, NotReadBack, ToTake, agrees, answer, value_of
from fieldbook.season.season import Season
from fieldbook.season.woods import first_taken, people_out, untaken

Severity = Literal["calm", "watch", "danger"]

MOST_FILLED = 60_000
"""Characters that are filled in at most: an entry holds little more, and nobody reads that."""

GRAVE: dict[Level, Severity] = {Level.SAFETY: "danger", Level.SAP: "watch", Level.WORK: "calm"}
"""How grave a hand-off is that has an item of a level."""


# --- going off ---


def prepare(
    season: Season,
    *,
    who: str,
    to: str = "",
    blocks: Iterable[str] = (),
    now: datetime,
    severity: Severity | None = None,
    done: str | None = None,
    left: str | None = None,
    hazards: str = "",
    what_if: str = "",
    by: str,
) -> HandOff:
    """A hand-off of everything that is open in some blocks, to be recorded.

    Args:
        season: The season.
        who: Who goes off.
        to: Who comes on; empty leaves that open.
        blocks: Blocks by name; none means all of them.
        now: The time.
        severity: How grave it is; None: as the gravest item.
        done: What was done; None: what the book knows of today.
        left: What is left and where exactly; None: what the book knows.
        hazards: Words beside the hazards that are items.
        what_if: What to do if.
        by: Who writes it.

    Raises:
        BookError: There is no such block or person, or somebody hands off to themselves.
    """
    plan, ledger = season.plan, season.ledger
    named = {plan.find_block(block) for block in blocks} or set(plan.blocks)
    walked = [block for block in plan.blocks if block in named]
    if not walked:
        raise BookError(
            _("The plan has no blocks to hand off."), _("Import a table of lines first.")
        )
    giver = plan.find_person(who)
    taker = plan.find_person(to) if to else ""
    if giver == taker:
        raise _needs_two(giver)
    found = _theirs(ledger, open_items(ledger, now), walked)
    return HandOff(
        who=giver,
        to=taker,
        blocks=tuple(walked),
        severity=severity or gravest(found),
        done=_filled_in(done_today(ledger, walked, now.date())) if done is None else done,
        left=_filled_in(still_to_do(ledger, walked)) if left is None else left,
        hazards=hazards,
        what_if=what_if,
        items=tuple(
            Passed(about=item.about, says=item.says, value=value_of(item, ledger)) for item in found
        ),
        at=now,
        noted=now,
        by=by,
    )


def _theirs(ledger: Ledger, items: Iterable[Item], blocks: Iterable[str]) -> list[Item]:
    """The items that go with some blocks; so do those of a block that the plan has no more."""
    items = list(items)
    gone = {item.about.block for item in items} - set(ledger.plan.blocks)
    return of_blocks(items, {*blocks, *gone})


def _needs_two(who: str) -> BookError:
    return BookError(
        _("{who} cannot take over from {who}: it takes a second person to check.").format(who=who),
        _("Name who comes on."),
    )


def gravest(items: Iterable[Item]) -> Severity:
    """How grave the gravest of some items is."""
    return GRAVE[min((item.level for item in items), default=Level.WORK)]


def _filled_in(text: str) -> str:
    """Words of the book's as far as an entry holds them; the open items are all there anyway."""
    if len(text) <= MOST_FILLED:
        return text
    whole = text[: text.rindex(", ", 0, MOST_FILLED)]
    return whole + "\n" + _("and more: fieldbook summary has all of it")


def done_today(ledger: Ledger, blocks: Iterable[str], day: date) -> str:
    """What was done on a day in some blocks: a row for each block and task.

    `Creek, tapping: Oda 62 taps, Wim 40 taps; finished Ford`
    """
    return "\n".join(
        row
        for block in blocks
        for task in ledger.plan.tasks
        if (row := _done_row(ledger, block, task, day))
    )


def _done_row(ledger: Ledger, block: str, task: Task, day: date) -> str:
    people: dict[str, int] = {}
    finished = []
    for line in ledger.plan.walk[block]:
        for entry in ledger.record(block, line.line, task.key).entries:
            if isinstance(entry, Count) and entry.count and entry.day == day:
                people[entry.who] = people.get(entry.who, 0) + entry.count
            elif isinstance(entry, Finish) and entry.day == day:
                finished.append(line.line)
        last = ledger.record(block, line.line, task.key).last_count
        done = ledger.line_cell(line, task).standing is Standing.DONE
        if done and last is not None and last.day == day:
            finished.append(line.line)
    unit = _(task.counts)
    counts = ", ".join(f"{who} {people[who]:,} {unit}" for who in sorted(people, key=str.casefold))
    names = ", ".join(dict.fromkeys(finished))
    closed = _("finished {lines}").format(lines=names) if names else ""
    said = "; ".join(part for part in (counts, closed) if part)
    return f"{block}, {_(task.title).lower()}: {said}" if said else ""


def still_to_do(ledger: Ledger, blocks: Iterable[str]) -> str:
    """What is left of the tasks that were begun in some blocks: where exactly, and how much.

    `Creek, tapping: 2 Spring 35 taps, 1 Ford 58 taps under way`
    """
    return "\n".join(
        row
        for block in blocks
        for task in ledger.plan.tasks
        if (row := ", ".join(_left_on(ledger, block, task)))
    )


def _left_on(ledger: Ledger, block: str, task: Task) -> Iterator[str]:
    """What is left line by line; of a task that nobody began in the block, nothing."""
    if ledger.cell(task, block).standing is not Standing.UNDER_WAY:
        return
    head = f"{block}, {_(task.title).lower()}: "
    for line in ledger.plan.walk[block]:
        cell = ledger.line_cell(line, task)
        if cell.standing not in (Standing.UNDER_WAY, Standing.NOT_BEGUN):
            continue
        number = f"{line.order} " if line.order > 0 else ""
        said = f"{number}{line.line}"
        if task.planned != "one a line":
            left = "?" if cell.tally.unknown else f"{cell.tally.left:,}"
            said += f" {left} {_(task.counts)}"
        if cell.standing is Standing.UNDER_WAY:
            said = _("{line} (under way)").format(line=said)
        yield head + said
        head = ""


# --- coming on ---


def taken_by(ledger: Ledger, handoff_id: str) -> Taken | None:
    """Who took a hand-off, if anybody did."""
    return first_taken(ledger).get(handoff_id)


def find_handoff(ledger: Ledger, text: str = "") -> HandOff:
    """The hand-off somebody means: by its id, or by who gave it; without a word the untaken one.

    Raises:
        BookError: None or several could be meant; names those that nobody has taken.
    """
    wish = clean(text, one_line=True)
    every, waiting = ledger.of(HandOff), untaken(ledger)
    for entry in every:
        if entry.id == wish.casefold():
            return entry
    if not wish:
        found = waiting
    else:
        givers = set(hits(wish, {entry.who for entry in every}))
        theirs = [entry for entry in every if entry.who in givers]
        found = [entry for entry in waiting if entry.who in givers]
        if not found and len(givers) == 1:
            found = theirs[-1:]  # who took that one is told when it is taken again
    if len(found) == 1:
        return found[0]
    names = "; ".join(_name(entry) for entry in (found or waiting))
    if found:
        message = _("More than one hand-off could be meant.")
    elif wish:
        message = _("No hand-off is called {name}.").format(name=repr(wish))
    else:
        message = _("No hand-off waits to be taken.")
    hint = _("Name one of these by its id: {names}.").format(names=names)
    raise BookError(message, hint if names else _("Make one with fieldbook handoff."))


def _name(entry: HandOff) -> str:
    return _("{id} from {who}, {blocks}, {day}").format(
        id=entry.id, who=entry.who, blocks=", ".join(entry.blocks), day=short_day(entry.day)
    )


def to_take(season: Season, handoff_id: str, now: datetime) -> list[ToTake]:
    """Every item that the one coming on has to look at, numbered as on the page.

    Those that were handed off come first, in the order of the page, also when they were closed
    meanwhile; then what came in since in the same blocks.
    """
    return items_of(season.ledger, find_handoff(season.ledger, handoff_id), now)


def items_of(ledger: Ledger, handoff: HandOff, now: datetime) -> list[ToTake]:
    """As `to_take`, of a hand-off at hand, which may be a draft.

    Of one that was taken these are the items that were taken; what is new is of another's time.
    """
    taken = taken_by(ledger, handoff.id)
    now_open = {item.about: item for item in open_items(ledger, now)}
    if taken is None:
        wanted = [
            item.about
            for item in _theirs(ledger, now_open.values(), handoff.blocks)
            if item.what is not What.HANDOFF or item.about.entry != handoff.id
        ]
    else:
        wanted = [read.about for read in taken.items]
    passed = {told.about: told for told in handoff.items}
    return [
        _to_take(ledger, number, about, passed.get(about), now_open.get(about))
        for number, about in enumerate(dict.fromkeys([*passed, *wanted]), 1)
    ]


def _to_take(
    ledger: Ledger, number: int, about: About, passed: Passed | None, item: Item | None
) -> ToTake:
    if item is None:
        return ToTake(number=number, about=about, passed=passed)
    value = value_of(item, ledger)
    return ToTake(number=number, about=item.about, passed=passed, item=item, value=value)


def take(
    season: Season,
    handoff_id: str,
    *,
    who: str,
    said: Mapping[About, str],
    by: str,
    now: datetime,
    really: bool = False,
) -> Taken:
    """A hand-off read back and taken, to be recorded: everything open in it is the taker's then.

    Args:
        season: The season.
        handoff_id: The hand-off.
        who: Who comes on.
        said: What they read back, item by item.
        by: Who writes it.
        now: The time.
        really: Keep a read-back that differs from what was told as it was said.

    Raises:
        NotReadBack: Nothing was said of items that want it.
        Differs: Something else was read back than what was told.
        BookError: It was taken already, there is no such hand-off or person, or the one who gave
            it would take it.
    """
    handoff = find_handoff(season.ledger, handoff_id)
    refuse_taking(season, handoff, who)
    there = [item for item in to_take(season, handoff.id, now) if item.item is not None]
    # What is said of an item that only wants a look is no read-back; a bare yes is none of any.
    answers = {item.about: answer(said.get(item.about, "")) if item.value else "" for item in there}
    missing = [item for item in there if item.value and not answers[item.about]]
    if missing:
        raise NotReadBack(missing)
    wrong = [item for item in there if not agrees(item, answers[item.about], season.ledger)]
    if wrong and not really:
        raise Differs((item, answers[item.about]) for item in wrong)
    differing = {item.about for item in wrong}
    return Taken(
        handoff=handoff.id,
        who=season.plan.find_person(who),
        items=tuple(
            ReadBack(
                about=item.about,
                said=answers[item.about][:NAME_LENGTH].strip(),
                differs=item.about in differing,
                told=item.value if item.about in differing else "",
            )
            for item in there
        ),
        at=now,
        noted=now,
        by=by,
    )


def refuse_taking(season: Season, handoff: HandOff, who: str) -> None:
    """Refuse a hand-off that was taken, or that its giver or somebody out would take.

    Raises:
        BookError: So it is; or there is no such person.
    """
    taken = taken_by(season.ledger, handoff.id)
    if taken is not None:
        waiting = "; ".join(_name(entry) for entry in untaken(season.ledger))
        raise BookError(
            _("{who} took hand-off {id} on {day} at {time} ({taken}).").format(
                who=taken.who,
                id=handoff.id,
                day=short_day(taken.day),
                time=f"{taken.at:%H:%M}",
                taken=taken.id,
            ),
            _("Not taken yet: {names}.").format(names=waiting) if waiting else "",
        )
    taker = season.plan.find_person(who)
    if taker == handoff.who:
        raise _needs_two(handoff.who)
    if taker in people_out(season.ledger):
        raise BookError(
            _("{who} is out in the woods: who takes over reads it back here.").format(who=taker),
            _("Write down first that {who} is back.").format(who=taker),
        )
