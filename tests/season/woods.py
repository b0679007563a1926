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
from fieldbook.season.items import Item, open_items
from fieldbook.season.ledger import Ledger
from tests.conftest import DESK, NOW, PLAN, finish, folded, numbered, stamp, strike
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
    return Sheet(number=7, block=block, task=task, lines=names, who=who, **stamp())


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


@st.composite
def events(draw: st.DrawFn, ledger: Ledger) -> AnyEntry:
    """Anything that may be recorded next, be it sensible or not.

    Args:
        draw: Given by hypothesis.
        ledger: What happened so far.
    """
    where, day = draw(st.sampled_from(LINES)), draw(DAYS)
    who, units = draw(st.sampled_from(["Oda", "Perrin", "Wim"])), draw(st.integers(0, 150))
    step = Step(task="tapping", who=who, step="x", ticked=units % 2 == 0, **place(where), **stamp())
    choices: list[AnyEntry] = [
        step,
        finish(where, draw(st.sampled_from(["drops", "tapping", "pulling"])), "as it is", day=day),
        hazard(where=where),
        leak(where, lost_inhg=units / 5, day=day),
        valve(where, "shut", "ice", who=who, day=day),
        valve(where, "open", who=who, day=day),
        repair(where, due=day, who=who),
        spouts(who, "issued", units, day=day),
        spouts(who, "returned", units % 9, day=day),
        spouts(who, "scrapped", units % 3, day=day),
        out(who, where, due=NOW + timedelta(minutes=units - 75), day=day),
        back(who, day=day),
        sheet(place(where)["block"], place(where)["line"]),
        handoff(place(where)["block"], severity="danger"),
    ]
    openers = [*ledger.notes, *ledger.of(Leak), *ledger.of(Repair), *ledger.of(Sheet)]
    if openers:
        choices += [settle(draw(st.sampled_from(openers)).id, day=day)] * 2
    items = [item for item in open_items(ledger, NOW) if item.about.what != "out"]
    if items:
        item: Item = draw(st.sampled_from(items))
        choices.append(write_off(item.about, item.amount))
    if ledger.of(HandOff):
        read = tuple(ReadBack(about=item.about) for item in items)
        choices.append(taken(draw(st.sampled_from(ledger.of(HandOff))).id, *read, who=who))
    return draw(st.sampled_from(choices))


@st.composite
def histories(draw: st.DrawFn, *, most: int = 25) -> list[AnyEntry]:
    """Plan, work and happenings of a season in any order, some of it struck, as numbered entries.

    Args:
        draw: Given by hypothesis.
        most: Entries at most, beside the plan that `folded` begins with.
    """
    ledger, history = folded(), list[AnyEntry]()
    for _turn in range(draw(st.integers(0, most))):
        standing = [e for e in history if e.id not in ledger.struck and not isinstance(e, Strike)]
        if standing and draw(st.integers(0, 7)) == 0:
            draft: AnyEntry = strike(draw(st.sampled_from(standing)))
        else:
            draft = draw(works() | events(ledger))
        (entry,) = numbered(draft, start=FIRST + len(history))
        ledger.apply(entry)
        history.append(entry)
    return history
