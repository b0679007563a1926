"""Three trades studied what is lost between people; for each thing they ask for, the place here.

A row is what the source asks for and a function that shows that the tool does it: it plays the
case at Quillby Hollow and looks at what comes of it. Oda goes off, Perrin comes on.
"""

from collections.abc import Callable
from datetime import timedelta
from typing import Any, NamedTuple

import pytest

from fieldbook.book.book import Book
from fieldbook.book.entry import HandOff, Note, Spouts, Taken, Valve
from fieldbook.errors import BookError
from fieldbook.reports.handoff import handoff_page, page_lines
from fieldbook.season.balance import bags, line_balance
from fieldbook.season.handoff import prepare, take, to_take
from fieldbook.season.items import Item, Level, What, closing_items, of_blocks, open_items
from fieldbook.season.readback import Differs, NotReadBack, value_of
from fieldbook.season.season import Season
from fieldbook.season.woods import untaken
from tests.conftest import NOW, count, finish, stamp

LATER = NOW + timedelta(minutes=40)


class Row(NamedTuple):
    """What a source asks for, and what shows that it is done."""

    asked: str
    shown: Callable[[Season], None]


# --- what the rows are played with -------------------------------------------------------------


def valve(state: Any) -> Valve:
    return Valve(
        block="Creek", line="Spring", who="Oda", state=state, reason="split tee", **stamp()
    )


def hazard(text: str = "hung-up beech") -> Note:
    return Note(text=text, hazard=True, block="Creek", line="Ford", who="Oda", **stamp())


def spouts(move: Any, units: int, day: str = "2027-02-08") -> Spouts:
    return Spouts(who="Wim", move=move, count=units, **stamp(day))


def day(season: Season) -> None:
    """A day in Creek: 62 of 120 taps at the ford, the spring's valve shut, a tree hung up."""
    season.record(count("Creek/Ford", "tapping", 62, who="Perrin"), valve("shut"), hazard())


def handed(season: Season, **words: Any) -> HandOff:
    draft = prepare(season, who="Oda", to="Perrin", blocks=["Creek"], now=NOW, by="Oda", **words)
    (entry,) = season.record(draft)
    assert isinstance(entry, HandOff)
    return entry


def said(season: Season, handoff: HandOff, **otherwise: str) -> dict[Any, str]:
    """Every item read back as it is, unless said otherwise."""
    items = to_take(season, handoff.id, LATER)
    return {x.about: otherwise.get(x.about.what.split()[0], x.value) for x in items}


def taken(season: Season, handoff: HandOff, *, who: str = "Perrin", **more: Any) -> Taken:
    draft = take(season, handoff.id, who=who, by=who, now=LATER, **more)
    (entry,) = season.record(draft)
    assert isinstance(entry, Taken)
    return entry


def page(season: Season, handoff: HandOff) -> list[str]:
    return page_lines(handoff_page(season, handoff, LATER))


def the(season: Season, what: What) -> Item | None:
    """The open item of a kind, if there is one."""
    found = [item for item in open_items(season.ledger, LATER) if item.what is what]
    assert len(found) < 2
    return found[0] if found else None


# --- HSE: what makes a good handover ------------------------------------------------------------


def prepared_by_the_one_going_off(season: Season) -> None:
    day(season)
    draft = prepare(season, who="Oda", blocks=["Creek"], now=NOW, by="Oda")
    there = of_blocks(open_items(season.ledger, NOW), ["Creek"])
    assert [passed.about for passed in draft.items] == [item.about for item in there]
    assert len(there) == 4
    assert "Perrin 62 taps" in draft.done


def what_the_task_needs_is_exchanged(season: Season) -> None:
    day(season)
    lines = page(season, handed(season))
    assert "  Creek, tapping: 1 Ford 58 taps (under way), 2 Spring 35 taps" in lines
    assert "  !! Creek / 1 Ford: hung-up beech" in lines


def an_isolation_is_carried_forward_from_shift_to_shift(season: Season) -> None:
    season.record(valve("shut"))
    first = handed(season)
    taken(season, first, said=said(season, first))
    carried = the(season, What.VALVE)
    assert carried is not None
    assert (carried.owner, carried.passed) == ("Perrin", 1)
    second = prepare(season, who="Perrin", to="Wim", blocks=["Creek"], now=LATER, by="Perrin")
    assert "shut" in [passed.value for passed in second.items]
    season.record(valve("open"))
    assert the(season, What.VALVE) is None


def spoken_and_written(season: Season) -> None:
    day(season)
    handoff = handed(season)
    asked = [line.strip() for line in page(season, handoff) if "> read back" in line]
    assert asked == [
        "> read back: which line, or a word of it? ____________",
        "> read back: the valve is? ____________",
    ]
    again = Season(Book.open(season.book.path, year=season.year))
    assert again.ledger.of(HandOff) == [handoff]
    assert page(again, handoff) == page(season, handoff)


def two_way(season: Season) -> None:
    day(season)
    handoff = handed(season)
    wrong = said(season, handoff, valve="open")
    with pytest.raises(Differs, match="told shut, read back open"):
        take(season, handoff.id, who="Perrin", said=wrong, by="Perrin", now=LATER)
    taken(season, handoff, said=wrong, really=True)
    kept = the(season, What.VALVE)
    assert kept is not None
    assert kept.said == "open"


def cross_checked_by_the_one_coming_on_who_takes_responsibility(season: Season) -> None:
    day(season)
    handoff = handed(season)
    with pytest.raises(BookError, match="it takes a second person"):
        taken(season, handoff, who="Oda", said=said(season, handoff))
    assert untaken(season.ledger) == [handoff]
    waits = the(season, What.HANDOFF)
    assert waits is not None
    assert waits.level is Level.SAFETY
    taken(season, handoff, said=said(season, handoff))
    assert {x.owner for x in of_blocks(open_items(season.ledger, LATER), ["Creek"])} == {"Perrin"}


HSE = (
    Row("preparation by the one going off", prepared_by_the_one_going_off),
    Row("exchange of what the task needs", what_the_task_needs_is_exchanged),
    Row("an isolation carried forward", an_isolation_is_carried_forward_from_shift_to_shift),
    Row("spoken and written", spoken_and_written),
    Row("two-way, joint responsibility", two_way),
    Row(
        "cross-check by the one coming on, as they take responsibility",
        cross_checked_by_the_one_coming_on_who_takes_responsibility,
    ),
)
"""Source: UK HSE, shift handover (after Piper Alpha and Windscale 1991)."""


# --- I-PASS: the five parts of a hand-off -------------------------------------------------------


def how_grave_it_is(season: Season) -> None:
    assert prepare(season, who="Oda", blocks=["Creek"], now=NOW, by="Oda").severity == "calm"
    season.record(valve("shut"))
    assert prepare(season, who="Oda", blocks=["Creek"], now=NOW, by="Oda").severity == "watch"
    season.record(hazard())
    handoff = handed(season)
    assert handoff.severity == "danger"
    assert "  Danger: somebody could get hurt." in page(season, handoff)


def the_summary(season: Season) -> None:
    day(season)
    lines = page(season, handed(season))
    done, left = lines.index("What was done"), lines.index("What is left, and where")
    assert lines[done + 1] == "  Creek, tapping: Perrin 62 taps"
    assert "1 Ford 58 taps (under way)" in lines[left + 1]


def the_list_of_what_is_to_do(season: Season) -> None:
    day(season)
    items = handoff_page(season, handed(season), LATER).items
    assert [(item.number, item.mark, item.what) for item in items] == [
        (1, "!!", "hazard"),
        (2, "!", "valve shut"),
        (3, "", "unfinished"),
        (4, "", "drops' age"),
    ]
    assert [item.state.partition(",")[0] for item in items] == [
        "Oda",
        "Oda",
        "Perrin",
        "since 16:30",
    ]


def what_is_going_on_and_what_if(season: Season) -> None:
    handoff = handed(season, what_if="if the ice comes down, stay out of Creek")
    season.record(hazard("ice over the ford"))
    lines = page(season, handoff)
    assert "  if the ice comes down, stay out of Creek" in lines
    assert "   2 !! ice over the ford (came in since)" in lines
    with pytest.raises(NotReadBack):
        take(season, handoff.id, who="Perrin", said={}, by="Perrin", now=LATER)


def the_receiver_says_it_back(season: Season) -> None:
    day(season)
    handoff = handed(season)
    with pytest.raises(NotReadBack) as error:
        take(season, handoff.id, who="Perrin", said={}, by="Perrin", now=LATER)
    assert [item.about.what for item in error.value.missing] == ["hazard", "valve shut"]
    yes = said(season, handoff, hazard="yes", valve="ok")
    with pytest.raises(NotReadBack):  # a bare yes says nothing
        take(season, handoff.id, who="Perrin", said=yes, by="Perrin", now=LATER)
    wrong = said(season, handoff, hazard="the beech", valve="open")
    with pytest.raises(Differs):
        take(season, handoff.id, who="Perrin", said=wrong, by="Perrin", now=LATER)
    own_words = said(season, handoff, hazard="the beech", valve="closed")
    assert not any(read.differs for read in taken(season, handoff, said=own_words).items)


IPASS = (
    Row("illness severity", how_grave_it_is),
    Row("patient summary", the_summary),
    Row("action list", the_list_of_what_is_to_do),
    Row("situation awareness and contingency planning", what_is_going_on_and_what_if),
    Row("synthesis by receiver", the_receiver_says_it_back),
)
"""Source: I-PASS (Starmer 2023)."""


# --- AORN: when surgical items are counted ------------------------------------------------------


def counted_before_the_start(season: Season) -> None:
    cliff = season.plan.find_line("Ledge", "Cliff")
    before = line_balance(season.ledger, cliff)
    assert (before.drops, before.taps, before.untapped) == (42, 0, 42)
    season.record(spouts("issued", 100))
    assert [(bag.who, bag.issued, bag.off) for bag in bags(season.ledger)] == [("Wim", 100, 100)]


def counted_when_items_are_added(season: Season) -> None:
    season.record(spouts("issued", 100), spouts("issued", 60))
    season.record(count("Ledge/Cedar", "tapping", 60, who="Wim", day="2027-02-08"))
    (bag,) = bags(season.ledger)
    assert (bag.issued, bag.set, bag.off) == (160, 60, 100)
    found = the(season, What.SPOUTS)
    assert found is not None
    assert found.amount == 100
    season.record(spouts("returned", 97), spouts("scrapped", 3))
    assert the(season, What.SPOUTS) is None


def counted_at_each_closing(season: Season) -> None:
    season.record(count("Ledge/Cliff", "tapping", 39), finish("Ledge/Cliff", "tapping"))
    line = the(season, What.UNTAPPED)
    assert line is not None
    assert line.amount == 3
    assert the(season, What.LEFT_IN) is None  # sap still runs
    at_the_end = closing_items(season.ledger, LATER)
    assert [(x.about.line, x.amount) for x in at_the_end if x.what is What.LEFT_IN] == [
        ("Cliff", 39)
    ]


def counted_at_change_of_person(season: Season) -> None:
    season.record(count("Creek/Spring", "tapping", 33), finish("Creek/Spring", "tapping"))
    season.record(spouts("issued", 50))
    handoff = handed(season)
    asked = {x.about.what: x.value for x in to_take(season, handoff.id, LATER) if x.value}
    assert asked == {"not tapped": "2", "spouts": "50"}
    wrong = said(season, handoff, **{"not": "3", "spouts": "49"})
    with pytest.raises(Differs, match=r"told 2, read back 3; .*told 50, read back 49"):
        take(season, handoff.id, who="Perrin", said=wrong, by="Perrin", now=LATER)


def a_surplus_is_as_wrong_as_a_shortage(season: Season) -> None:
    season.record(count("Ledge/Cliff", "tapping", 45, day="2027-02-08", who="Wim"))
    over = the(season, What.SURPLUS)
    assert over is not None
    assert (over.amount, value_of(over, season.ledger)) == (3, "3")
    season.record(spouts("issued", 40, day="2027-02-07"))
    bag = the(season, What.SPOUTS)
    assert bag is not None
    assert bag.amount == -5  # 45 set of 40 issued


AORN = (
    Row("before the start", counted_before_the_start),
    Row("when items are added", counted_when_items_are_added),
    Row("at each closing", counted_at_each_closing),
    Row("at change of person", counted_at_change_of_person),
    Row("extra items make a count incorrect", a_surplus_is_as_wrong_as_a_shortage),
)
"""Source: AORN, surgical counts."""


@pytest.mark.parametrize("row", [pytest.param(row, id=f"HSE: {row.asked}") for row in HSE])
def test_handover_as_the_safety_authority_asks_for_it(season: Season, row: Row) -> None:
    row.shown(season)


@pytest.mark.parametrize("row", [pytest.param(row, id=f"I-PASS: {row.asked}") for row in IPASS])
def test_hand_off_as_hospitals_do_it(season: Season, row: Row) -> None:
    row.shown(season)


@pytest.mark.parametrize("row", [pytest.param(row, id=f"AORN: {row.asked}") for row in AORN])
def test_counts_as_in_an_operating_room(season: Season, row: Row) -> None:
    row.shown(season)
