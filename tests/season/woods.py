"""What happens in the woods beside counting: drafts in few words, and histories of any of it."""

from datetime import datetime, timedelta
from typing import Any, Literal

from hypothesis import strategies as st

from fieldbook.book.entry import (
    About,
    AnyEntry,
    Back,
    Close,
    HandOff,
    Leak,
    Note,
    Out,
    Passed,
    ReadBack,
    Repair,
    Settle,
    Sheet,
    Spouts,
    Step,
    Strike,
    Taken,
    Valve,
    WriteOff,
)
from fieldbook.season.items import open_items
from fieldbook.season.ledger import Ledger
from tests.conftest import DESK, NOW, PLAN, count, finish, folded, numbered, stamp, strike
from tests.season.test_strikes import DAYS, LINES, works

TUESDAY = "2027-02-09"
FIRST = len(PLAN) + 2
"""The number that `folded` gives to the first entry of the work it is given."""


def entry_id(number: int) -> str:
    """The id that `folded` gives to the entry at a place of the work it is given, from 0."""
    return f"{DESK}-{FIRST + number}"


def place(where: str) -> dict[str, Any]:
    """Block and line, given as `Ledge/Cliff` or `Ledge`."""
    block, _slash, line = where.partition("/")
    return {"block": block, "line": line}


def hazard(text: str = "ash hung up", where: str = "Ledge/Cliff", *, who: str = "") -> Note:
    return Note(text=text, hazard=True, who=who, **place(where), **stamp())


def leak(
    where: str, *, lost_inhg: float | None = None, who: str = "Wim", day: str = TUESDAY
) -> Leak:
    return Leak(who=who, text="hiss", lost_inhg=lost_inhg, **place(where), **stamp(day))


def valve(
    where: str,
    state: Literal["open", "shut"],
    reason: str = "",
    *,
    who: str = "Wim",
    day: str = TUESDAY,
) -> Valve:
    return Valve(who=who, state=state, reason=reason, **place(where), **stamp(day))


def repair(where: str = "Ledge", *, due: str = "", who: str = "Perrin") -> Repair:
    until = datetime.fromisoformat(due).date() if due else None
    return Repair(who=who, text="new gate", due=until, **place(where), **stamp())


def settle(opener: str, *, who: str = "Wim", day: str = TUESDAY) -> Settle:
    return Settle(entry=opener, who=who, **stamp(day))


def spouts(
    who: str, move: Literal["issued", "returned", "scrapped"], count: int, *, day: str = TUESDAY
) -> Spouts:
    return Spouts(who=who, move=move, count=count, **stamp(day))


def out(who: str, where: str = "", *, due: datetime = NOW, day: str = TUESDAY) -> Out:
    return Out(who=who, due=due, **place(where), **stamp(day))


def back(who: str, *, day: str = TUESDAY) -> Back:
    return Back(who=who, **stamp(day))


def sheet(block: str = "Ledge", *names: str, task: str = "tapping", who: str = "") -> Sheet:
    return Sheet(sheet=7, block=block, task=task, lines=names, who=who, **stamp())


def handoff(
    *blocks: str,
    severity: Literal["calm", "watch", "danger"] = "calm",
    items: tuple[Passed, ...] = (),
    to: str = "",
) -> HandOff:
    return HandOff(who="Oda", to=to, blocks=blocks, severity=severity, items=items, **stamp())


def taken(of: str, *read: ReadBack, who: str = "Wim", day: str = TUESDAY) -> Taken:
    return Taken(handoff=of, who=who, items=read, **stamp(day))


def write_off(about: About, amount: int = 0) -> WriteOff:
    return WriteOff(about=about, amount=amount, who="Oda", reason="as it is", **stamp())


def close(*, day: str = TUESDAY) -> Close:
    return Close(who="Oda", **stamp(day))


# --- any of it ---------------------------------------------------------------------------------

FEW = LINES[:3]
"""Lines on which much happens: what belongs together meets more often."""


THEMES: tuple[frozenset[str], ...] = tuple(
    map(
        frozenset,
        (
            ("out", "back"),
            ("note", "leak", "settle"),
            ("repair", "sheet", "settle"),
            ("valve",),
            ("spouts", "count"),
            ("handoff", "taken"),
            ("finish", "step", "count"),
        ),
    )
)
"""Kinds of entry that have to do with one another. A history is about a few of these."""


@st.composite
def events(draw: st.DrawFn, ledger: Ledger, kinds: frozenset[str]) -> AnyEntry:
    """Anything of some kinds that may be recorded next, be it sensible or not.

    Args:
        draw: Given by hypothesis.
        ledger: What happened so far.
        kinds: Kinds of entry; an item may be written off whatever they are.
    """
    found = [e for e in draw(openings()) + draw(closings(ledger)) if e.kind in kinds]
    items = [item for item in open_items(ledger, NOW) if item.about.what != "out"]
    if items and draw(st.integers(0, 5)) == 5:
        item = draw(st.sampled_from(items))
        return write_off(item.about, item.amount)
    return draw(st.sampled_from(found) if found else works())


@st.composite
def openings(draw: st.DrawFn) -> list[AnyEntry]:
    """One of everything that opens something."""
    where, day, units = draw(st.sampled_from(FEW)), draw(DAYS), draw(st.integers(0, 150))
    who, block = draw(st.sampled_from(["Oda", "Perrin"])), where.split("/")[0]
    return [
        count(where, draw(st.sampled_from(["tapping", "pulling"])), units // 3, who=who, day=day),
        finish(where, draw(st.sampled_from(["drops", "tapping", "pulling"])), "as it is", day=day),
        Step(task="tapping", who=who, step="x", ticked=units > 75, **place(where), **stamp(day)),
        hazard(where=where),
        leak(where, lost_inhg=units / 5, day=day),
        valve(where, "shut", "ice", who=who, day=day),
        repair(where, due=day, who=who),
        spouts(who, "issued", units, day=day),
        out(who, where, due=NOW + timedelta(minutes=units - 75), day=day),
        sheet(block, where.split("/")[1]),
        handoff(block, severity="danger"),
    ]


@st.composite
def closings(draw: st.DrawFn, ledger: Ledger) -> list[AnyEntry]:
    """Some of everything that closes something, and may find nothing to close."""
    where, day, units = draw(st.sampled_from(FEW)), draw(DAYS), draw(st.integers(0, 9))
    who = draw(st.sampled_from(["Oda", "Perrin"]))
    found: list[AnyEntry] = [
        valve(where, "open", who=who, day=day),
        spouts(who, "returned", units, day=day),
        spouts(who, "scrapped", units, day=day),
        back(who, day=day),
    ]
    openers = [*ledger.notes, *ledger.of(Leak), *ledger.of(Repair), *ledger.of(Sheet)]
    if openers:
        found.append(settle(draw(st.sampled_from(openers)).id, day=day))
    if ledger.of(HandOff):
        read = tuple(ReadBack(about=item.about) for item in open_items(ledger, NOW))
        found.append(taken(draw(st.sampled_from(ledger.of(HandOff))).id, *read, who=who))
    return found


@st.composite
def histories(draw: st.DrawFn, *, most: int = 24) -> list[AnyEntry]:
    """Plan, work and happenings of a season in any order, some of it struck, as numbered entries.

    Args:
        draw: Given by hypothesis.
        most: Entries at most, beside the plan that `folded` begins with.
    """
    kinds = frozenset[str]().union(*draw(st.lists(st.sampled_from(THEMES), max_size=3)))
    ledger, history = folded(), list[AnyEntry]()
    for _turn in range(draw(st.sampled_from([most, most // 2, most // 4]))):
        standing = [e for e in history if e.id not in ledger.struck and not isinstance(e, Strike)]
        turn = draw(st.integers(0, 9))
        if standing and turn == 9:
            draft: AnyEntry = strike(draw(st.sampled_from(standing)))
        else:
            draft = draw(works() if turn == 8 else events(ledger, kinds))
        (entry,) = numbered(draft, start=FIRST + len(history))
        ledger.apply(entry)
        history.append(entry)
    return history
