"""Handing over at Quillby Hollow: nothing left out going off, and everything said back coming on.

Oda goes off at half past four on Tuesday 9 February; Perrin comes on; Wim is in the woods.

    Ledge  1 Cliff    42 taps planned, 39 drilled, finished: 3 drops hang without a tap
           2 Cedar    60 taps planned, none drilled
    Creek  1 Ford    120 taps planned, 62 drilled: 58 left; nobody knows the age of its drops
           2 Spring   35 taps planned, its valve is shut
"""

from datetime import timedelta
from functools import partial
from types import SimpleNamespace
from typing import Any, cast

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from fieldbook.book.entry import (
    About,
    AnyEntry,
    Back,
    Block,
    HandOff,
    Leak,
    Line,
    Note,
    Out,
    Passed,
    Person,
    Repair,
    Settle,
    Spouts,
    Valve,
)
from fieldbook.errors import NotOnCrew
from fieldbook.season.handoff import (
    done_today,
    find_handoff,
    items_of,
    prepare,
    still_to_do,
    take,
    taken_by,
    to_take,
)
from fieldbook.season.items import Item, Level, What, of_blocks, open_items
from fieldbook.season.ledger import Ledger
from fieldbook.season.readback import Differs, NotReadBack, ToTake, agrees, question, value_of
from fieldbook.season.season import Season
from fieldbook.season.woods import people_out, untaken
from tests.conftest import NOW, PLAN, aside, count, finish, folded, numbered, refused, reopen, stamp

LATER = NOW + timedelta(minutes=40)


def hazard(text: str, block: str = "", line: str = "") -> Note:
    return Note(text=text, hazard=True, block=block, line=line, who="Oda", **stamp())


def out(who: str = "Wim", *, due: str = "16:30", block: str = "Creek", line: str = "Ford") -> Out:
    """Somebody went into the woods at eight in the morning."""
    hour, minute = map(int, due.split(":"))
    went, back = NOW.replace(hour=8, minute=0), NOW.replace(hour=hour, minute=minute)
    return Out(who=who, block=block, line=line, due=back, at=went, noted=NOW, by="Oda")


def valve(state: Any, where: str = "Creek/Spring", reason: str = "split tee") -> Valve:
    block, line = where.split("/")
    return Valve(block=block, line=line, who="Oda", state=state, reason=reason, **stamp())


def leak(where: str = "Ledge/Cedar", text: str = "mainline union") -> Leak:
    block, line = where.split("/")
    return Leak(block=block, line=line, who="Oda", text=text, **stamp())


def issued(units: int, who: str = "Wim", day: str = "2027-02-08") -> Spouts:
    return Spouts(who=who, move="issued", count=units, **stamp(day))


DAY: tuple[AnyEntry, ...] = (
    count("Ledge/Cliff", "tapping", 39, who="Wim"),
    finish("Ledge/Cliff", "tapping"),
    count("Creek/Ford", "tapping", 40, who="Perrin", day="2027-02-08"),
    count("Creek/Ford", "tapping", 22, who="Perrin"),
    hazard("Hung-up beech by the third lateral", "Ledge", "Cliff"),
    valve("shut"),
    leak(),
    out(),
    issued(200),
)


def at_hand(ledger: Ledger) -> Season:
    """A season that never touches a disk: handing over looks at its plan and its ledger only."""
    return cast("Season", SimpleNamespace(ledger=ledger, plan=ledger.plan))


def handed(season: Season, *blocks: str, to: str = "Perrin", **words: Any) -> HandOff:
    """Oda hands off; the entry as it stands in the journal."""
    draft = prepare(season, who="Oda", to=to, blocks=blocks, now=NOW, by="Oda", **words)
    (entry,) = season.record(draft)
    assert isinstance(entry, HandOff)
    return entry


def answers(items: list[ToTake]) -> dict[About, str]:
    """Everything read back as it is."""
    return {item.about: item.value for item in items}


def the(ledger: Ledger, what: What) -> Item:
    """The one open item of a kind."""
    (found,) = (item for item in open_items(ledger, NOW) if item.what is what)
    return found


# --- what must be read back --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("work", "what", "value", "asked"),
    [
        ((out(due="16:30"),), What.OUT, "16:30", "due back at?"),
        ((out(due="16:30"), out(due="18:00")), What.OUT, "18:00", "due back at?"),
        ((valve("shut"),), What.VALVE, "shut", "the valve is?"),
        ((leak("Ledge/Cedar"),), What.LEAK, "2", "which line?"),
        ((hazard("dead top", "Ledge", "Cliff"),), What.HAZARD, "1", "which line, or a word of it?"),
        ((hazard("the ford is ice", "Creek"),), What.HAZARD, "ford", "a word of it?"),
        ((hazard("the dam"),), What.HAZARD, "dam", "a word of it?"),
        ((hazard("!!"),), What.HAZARD, "k7f2q-12", "which entry?"),
        ((hazard("ok"),), What.HAZARD, "k7f2q-12", "which entry?"),
        (DAY[:2], What.UNTAPPED, "3", "how many?"),
        ((count("Ledge/Cliff", "tapping", 47),), What.SURPLUS, "5", "how many?"),
        ((issued(200),), What.SPOUTS, "200", "how many?"),
        ((count("Creek/Ford", "tapping", 62),), What.UNFINISHED, "", ""),
        ((aside("Creek/Ford", "tapping", "ice"),), What.ASIDE, "", ""),
        ((Repair(who="Wim", text="post", block="Ledge", **stamp()),), What.REPAIR, "", ""),
    ],
)
def test_each_kind_of_item_asks_for_what_could_hurt_if_it_were_taken_wrong(
    work: tuple[AnyEntry, ...], what: What, value: str, asked: str
) -> None:
    ledger = folded(*work)
    item = the(ledger, what)
    assert value_of(item, ledger) == value
    passed = Passed(about=item.about, says=item.says, value=value_of(item, ledger))
    assert question(passed) == asked


def test_more_spouts_than_were_issued_are_read_back_as_their_number() -> None:
    ledger = folded(issued(10, day="2027-02-07"), count("Ledge/Cliff", "tapping", 42, who="Wim"))
    item = the(ledger, What.SPOUTS)
    assert (item.amount, value_of(item, ledger)) == (-32, "32")


def test_a_line_without_a_number_of_its_own_is_read_back_by_its_name() -> None:
    line = Line(block="Ledge", line="Twin", order=2, taps_planned=5, **stamp())
    ledger = folded(line, leak("Ledge/Cedar"))
    assert value_of(the(ledger, What.LEAK), ledger) == "Cedar"


@pytest.mark.parametrize(
    ("work", "what", "right", "wrong"),
    [
        (
            (out(due="16:30"),),
            What.OUT,
            ("16:30", "1630", "16.30", "16h30", "4:30", "430", "4:30 pm", "4:30 PM", " 16:30 "),
            (
                *("16:31", "6:30", "4:30 am", "half past four", "25:30", "13 pm", "16", "630"),
                *("1", "04:30", "0430"),  # of a clock with 24 hours: in the morning
            ),
        ),
        ((out(due="16:00"),), What.OUT, ("16", "4", "4 pm", "1600"), ("17", "4 am", "0")),
        ((out(due="12:15"),), What.OUT, ("12:15", "12:15 p.m."), ("12:15 am", "24:15")),
        ((valve("shut"),), What.VALVE, ("shut", "Shut.", "closed"), ("open", "it is fine", "sh")),
        (
            (leak("Ledge/Cedar"),),
            What.LEAK,
            ("2", "02", "line 2", "line 02", "#2", "no. 2", "Cedar", "cedar", "line Cedar"),
            ("1", "22", "Cliff", "two", "union", "line"),
        ),
        (
            (hazard("Hung-up beech by the third lateral", "Ledge", "Cliff"),),
            What.HAZARD,
            ("1", "cliff", "beech", "BEECH", "hung-up beech", "the beech on Cliff", "third"),
            ("2", "ash", "hung-up ash", "by", "the", "tree"),
        ),
        (
            (hazard("Eis auf der Brücke"),),
            What.HAZARD,
            ("eis", "brücke", "Bru\u0308cke"),
            ("brucke", "der fluss"),
        ),
        (
            (hazard("Limb over the line, wait for Tor", "Ledge", "Cedar"),),
            What.HAZARD,
            ("2", "limb", "over the line"),
            ("line", "for", "the line", "elm over the line"),
        ),
        ((hazard("落石"),), What.HAZARD, ("落石",), ("落", "x")),
        ((hazard("!!"),), What.HAZARD, ("k7f2q-12", "K7F2Q-12"), ("!!", "k7f2q-1")),
        (DAY[:2], What.UNTAPPED, ("3", "03", "3 drops", "-3"), ("4", "33", "three", "3.5", "3,")),
        ((issued(1200),), What.SPOUTS, ("1200", "1,200", "1,200 spouts"), ("12", "120", "1,20")),
    ],
)
def test_how_it_is_said_does_not_matter_but_what_is_said_does(
    work: tuple[AnyEntry, ...], what: What, right: tuple[str, ...], wrong: tuple[str, ...]
) -> None:
    ledger = folded(*work)
    item = the(ledger, what)
    passed = Passed(about=item.about, says=item.says, value=value_of(item, ledger))
    for told in (item, passed):
        assert [said for said in right if not agrees(told, said, ledger)] == []
        assert [said for said in wrong if agrees(told, said, ledger)] == []
        nothing = ("", "  ", "ok", "OK.", "yes", "y", "Yes!", "\x1b[2J")
        assert [said for said in nothing if agrees(told, said, ledger)] == []


def test_where_looking_is_enough_anything_agrees() -> None:
    ledger = folded(count("Creek/Ford", "tapping", 62))
    item = the(ledger, What.UNFINISHED)
    assert agrees(item, "", ledger)
    assert agrees(item, "yes", ledger)


def test_what_another_hand_wrote_as_told_is_compared_as_it_stands() -> None:
    ledger = folded()
    told = [
        Passed(about=About(what="out", who="Wim"), value="at dusk"),
        Passed(about=About(what="spouts", who="Wim"), value="a few"),
        Passed(about=About(what="hazard", entry="zzzzz-9"), value="beech"),
        Passed(about=About(what="of a later version"), value="blue"),
    ]
    for passed in told:
        assert agrees(passed, passed.value.upper(), ledger)
        assert not agrees(passed, "12", ledger)
        assert not agrees(passed, "9" * 6000, ledger)
        assert question(passed)


# --- going off ---------------------------------------------------------------------------------


def test_everything_open_in_the_blocks_is_handed_off_the_gravest_first(season: Season) -> None:
    season.record(*DAY)
    handoff = handed(season)
    assert [(p.about.what, p.about.block, p.value) for p in handoff.items] == [
        ("out", "Creek", "16:30"),
        ("hazard", "Ledge", "1"),
        ("not tapped", "Ledge", "3"),
        ("valve shut", "Creek", "shut"),
        ("leak", "Ledge", "2"),
        ("spouts", "", "161"),
        ("unfinished", "Creek", ""),
        ("drops' age", "Creek", ""),
    ]
    assert (handoff.severity, handoff.blocks) == ("danger", ("Ledge", "Creek"))
    assert handoff.items[1].says == "Hung-up beech by the third lateral"


def test_of_one_block_only_its_own_items_go_and_those_of_no_block(season: Season) -> None:
    season.record(*DAY)
    items = handed(season, "ledge").items
    assert [p.about.what for p in items] == ["hazard", "not tapped", "leak", "spouts"]


@pytest.mark.parametrize(
    ("work", "severity"),
    [
        ((), "calm"),
        ((count("Creek/Spring", "tapping", 5),), "calm"),
        ((valve("shut"),), "watch"),
        ((valve("shut"), hazard("dead top", "Creek", "Spring")), "danger"),
    ],
)
def test_it_is_as_grave_as_its_gravest_item_unless_somebody_says_so(
    work: tuple[AnyEntry, ...], severity: str
) -> None:
    season = at_hand(folded(*work))
    there: dict[str, Any] = {"who": "Oda", "now": NOW, "by": "Oda", "blocks": ["Creek"]}
    assert prepare(season, **there).severity == severity
    assert prepare(season, **there, severity="watch").severity == "watch"


def test_what_was_done_and_what_is_left_are_filled_in_and_can_be_said_otherwise(
    season: Season,
) -> None:
    season.record(*DAY)
    handoff = handed(season)
    assert handoff.done == (
        "Ledge, tapping: Wim 39 taps; finished Cliff\nCreek, tapping: Perrin 22 taps"
    )
    assert handoff.left == (
        "Ledge, tapping: 2 Cedar 60 taps\n"
        "Creek, tapping: 1 Ford 58 taps (under way), 2 Spring 35 taps"
    )
    own = handed(season, done="all of it", left="", hazards="ice", what_if="come out")
    assert (own.done, own.left, own.hazards, own.what_if) == ("all of it", "", "ice", "come out")


def test_several_people_and_tasks_are_told_apart_and_yesterday_is_not_today() -> None:
    ledger = folded(
        count("Ledge/Cliff", "tapping", 10, who="Wim"),
        count("Ledge/Cedar", "tapping", 1200, who="Wim"),
        count("Ledge/Cedar", "tapping", 5, who="Oda"),
        count("Ledge/Cedar", "tensioning", 4),
        count("Ledge/Cedar", "tapping", 7, day="2027-02-08"),
        count("Creek/Spring", "tapping", 0),
    )
    assert done_today(ledger, ["Ledge", "Creek"], NOW.date()) == (
        "Ledge, tapping: Oda 5 taps, Wim 1,210 taps\nLedge, tensioning: Oda 4 ties"
    )


def test_of_a_line_nobody_measured_how_much_is_left_is_not_made_up() -> None:
    ledger = folded(count("Creek/Ford", "tensioning", 4))
    assert "1 Ford ? ties (under way)" in still_to_do(ledger, ["Creek"])


def test_where_a_line_counts_once_it_is_only_named() -> None:
    ledger = folded(count("Creek/Spring", "leaks", 1))
    assert still_to_do(ledger, ["Ledge", "Creek"]) == "Creek, leak checks: 1 Ford, 3 Culvert"


def test_a_hand_off_not_taken_is_carried_forward_with_how_much_it_holds(season: Season) -> None:
    season.record(*DAY)
    first = handed(season, "Creek")
    second = handed(season, to="Wim")
    carried = next(p for p in second.items if p.about.what == "hand-off")
    assert (carried.about.entry, carried.value) == (first.id, str(len(first.items)))
    assert question(carried) == "how many?"
    assert carried.about.entry not in [x.about.entry for x in to_take(season, first.id, NOW)]


def test_who_hands_off_what_must_be_known(season: Season) -> None:
    there: dict[str, Any] = {"now": NOW, "by": "Oda"}
    with pytest.raises(NotOnCrew):
        prepare(season, who="Nobody", **there)
    with pytest.raises(NotOnCrew):
        prepare(season, who="Oda", to="Nobody", **there)
    message, _hint, _code = refused(lambda: prepare(season, who="Oda", blocks=["Moor"], **there))
    assert message == "No block is called 'Moor'."
    message, hint, _code = refused(lambda: prepare(season, who="Oda", to="oda", **there))
    assert message == "Oda cannot take over from Oda: it takes a second person to check."
    assert hint == "Name who comes on."


def test_what_is_filled_in_is_no_longer_than_an_entry_holds(season: Season) -> None:
    """Nine hundred lines of long names: the page stops telling, and says so; no item is cut."""
    names = [f"{n} {'a long way up the hollow ' * 3}".strip() for n in range(900)]
    many = [Line(block="Ledge", line=name, taps_planned=9, **stamp()) for name in names]
    season.record(*many, really=True)
    season.record(*(count(f"Ledge/{name}", "tapping", 1) for name in names[:2]))
    entry = handed(season, "Ledge")
    assert entry.left.endswith(" taps\nand more: fieldbook summary has all of it")
    assert len(entry.left) < 65_536  # of a text, by entry.Text
    unknown = [told for told in entry.items if told.about.what == What.AGE]
    assert len(unknown) == 900


def test_a_plan_without_blocks_has_nothing_to_hand_off() -> None:
    ledger = Ledger(2027).fold(numbered(Person(person="Oda", **stamp())))
    message, _hint, _code = refused(lambda: prepare(at_hand(ledger), who="Oda", now=NOW, by="Oda"))
    assert message == "The plan has no blocks to hand off."


# --- coming on ---------------------------------------------------------------------------------


def test_read_back_and_taken_it_is_the_takers(season: Season) -> None:
    season.record(*DAY)
    handoff = handed(season)
    said = {
        item.about: word
        for item, word in zip(
            to_take(season, handoff.id, LATER),
            ("4:30 pm", "beech", "3 drops", "shut", "Cedar", "161", "", ""),
            strict=True,
        )
    }
    draft = take(season, handoff.id, who="perrin", said=said, by="Perrin", now=LATER)
    (taken,) = season.record(draft)
    assert [read.differs for read in draft.items] == [False] * 8
    assert [read.said for read in draft.items][:4] == ["4:30 pm", "beech", "3 drops", "shut"]
    assert taken_by(season.ledger, handoff.id) == taken
    found = open_items(season.ledger, LATER)
    assert {item.owner for item in found} == {"Perrin"}
    assert {item.passed for item in found} == {1}
    assert What.HANDOFF not in {item.what for item in found}
    assert Season(season.book).ledger.of(HandOff) == [handoff]  # as a fresh fold has it too


def test_what_nobody_said_a_word_of_is_named_and_nothing_is_taken(season: Season) -> None:
    season.record(*DAY)
    handoff = handed(season)
    items = to_take(season, handoff.id, LATER)
    said = {items[0].about: "16:30", items[2].about: " "}
    with pytest.raises(NotReadBack) as error:
        take(season, handoff.id, who="Perrin", said=said, by="Perrin", now=LATER, really=True)
    assert error.value.message == (
        "5 items want reading back: 2 (which line, or a word of it?), 3 (how many?), "
        "4 (the valve is?), 5 (which line?), 6 (how many?)."
    )
    assert [item.about.what for item in error.value.missing][:2] == ["hazard", "not tapped"]
    assert untaken(season.ledger) == [handoff]


def test_a_wrong_read_back_shows_both_values_and_is_kept_as_it_was_said_if_confirmed(
    season: Season,
) -> None:
    season.record(valve("shut"), hazard("dead top", "Creek", "Ford"))
    handoff = handed(season, "Creek")
    beech, shut, _age = to_take(season, handoff.id, LATER)
    said = {beech.about: "7", shut.about: "open"}
    there: dict[str, Any] = {"who": "Perrin", "said": said, "by": "Perrin", "now": LATER}
    with pytest.raises(Differs) as error:
        take(season, handoff.id, **there)
    assert error.value.message == (
        "item 1: told 1, read back 7; item 2: told shut, read back open."
    )
    assert error.value.found == ((beech, "7"), (shut, "open"))
    season.record(take(season, handoff.id, **there, really=True))
    assert the(season.ledger, What.VALVE).said == "open"
    assert the(season.ledger, What.HAZARD).said == "7"
    assert the(season.ledger, What.VALVE).owner == "Perrin"


def test_what_came_in_since_is_numbered_on_and_wants_reading_back_too(season: Season) -> None:
    season.record(valve("shut"))
    handoff = handed(season, "Creek")
    season.record(hazard("ice on the ford", "Creek", "Ford"), hazard("dead top", "Ledge", "Cliff"))
    items = to_take(season, handoff.id, LATER)
    assert [(x.number, x.about.what, x.new) for x in items] == [
        (1, "valve shut", False),
        (2, "drops' age", False),
        (3, "hazard", True),
    ]
    said = {items[0].about: "shut"}
    with pytest.raises(NotReadBack, match=r"3 \(which line, or a word of it\?\)"):
        take(season, handoff.id, who="Perrin", said=said, by="Perrin", now=LATER)


def test_what_was_closed_meanwhile_is_shown_and_asked_no_more(season: Season) -> None:
    season.record(valve("shut"), out())
    handoff = handed(season, "Creek")
    season.record(valve("open"), Back(who="Wim", **stamp()))
    items = to_take(season, handoff.id, LATER)
    assert [(x.about.what, x.item is None, question(x)) for x in items[:2]] == [
        ("out", True, ""),
        ("valve shut", True, ""),
    ]
    draft = take(season, handoff.id, who="Perrin", said={}, by="Perrin", now=LATER)
    assert [read.about.what for read in draft.items] == ["drops' age"]


def test_what_changed_since_is_read_back_as_it_is_now(season: Season) -> None:
    season.record(out(due="16:30"))
    handoff = handed(season, "Creek")
    season.record(out(due="18:00", line="Spring"))
    first = to_take(season, handoff.id, LATER)[0]
    assert (first.told, first.value, first.changed, first.new) == ("16:30", "18:00", True, False)
    assert (first.number, first.about.line) == (1, "Spring")
    said = {first.about: "16:30"}
    with pytest.raises(Differs, match=r"told 16:30, since then 18:00, read back 16:30"):
        take(season, handoff.id, who="Perrin", said=said, by="Perrin", now=LATER)


def test_a_hand_off_is_taken_once(season: Season) -> None:
    season.record(valve("shut"))
    handoff = handed(season, "Creek")
    waiting = handed(season, "Ledge")
    said = answers(to_take(season, handoff.id, LATER))
    there: dict[str, Any] = {"said": said, "by": "Perrin", "now": LATER}
    (taken,) = season.record(take(season, handoff.id, who="Perrin", **there))
    message, hint, code = refused(lambda: take(season, handoff.id, who="Wim", **there))
    assert message == f"Perrin took hand-off {handoff.id} on Tue 9 Feb at 17:10 ({taken.id})."
    assert hint == f"Not taken yet: {waiting.id} from Oda, Ledge, Tue 9 Feb."
    assert code == 2
    season.strike(taken.id, "it was Wim", by="Perrin", now=LATER)
    assert untaken(season.ledger) == [handoff, waiting]


def test_nobody_takes_over_from_themselves_and_only_the_crew_takes(season: Season) -> None:
    handoff = handed(season)
    there: dict[str, Any] = {"said": {}, "by": "Oda", "now": LATER, "really": True}
    message, _hint, _code = refused(lambda: take(season, handoff.id, who="oda", **there))
    assert message == "Oda cannot take over from Oda: it takes a second person to check."
    with pytest.raises(NotOnCrew):
        take(season, handoff.id, who="Nobody", **there)


def test_somebody_else_than_was_meant_may_take_it(season: Season) -> None:
    handoff = handed(season, "Ledge", to="Perrin")
    assert take(season, handoff.id, who="Wim", said={}, by="Wim", now=LATER).who == "Wim"


def test_words_as_long_as_anybody_says_them_are_cut_to_what_is_kept(season: Season) -> None:
    season.record(hazard("beech " * 30, "Ledge", "Cliff"))
    handoff = handed(season, "Ledge")
    (item,) = to_take(season, handoff.id, LATER)
    said = {item.about: "beech " * 30 + "\x1b[2J"}
    (read,) = take(season, handoff.id, who="Wim", said=said, by="Wim", now=LATER).items
    assert (len(read.said), read.differs) == (80, False)


# --- which hand-off ----------------------------------------------------------------------------


def test_a_hand_off_is_meant_by_its_id_by_who_gave_it_or_as_the_only_one(season: Season) -> None:
    message, hint, _code = refused(lambda: find_handoff(season.ledger))
    assert (message, hint) == (
        "No hand-off waits to be taken.",
        "Make one with fieldbook handoff.",
    )
    first = handed(season, "Creek")
    for text in ("", first.id, first.id.upper(), "Oda", "od"):
        assert find_handoff(season.ledger, text) == first
    second = handed(season, "Ledge")
    assert find_handoff(season.ledger, second.id) == second
    for text in ("", "oda"):
        message, hint, _code = refused(partial(find_handoff, season.ledger, text))
        assert message == "More than one hand-off could be meant."
        assert hint == (
            f"Name one of these by its id: {first.id} from Oda, Creek, Tue 9 Feb; "
            f"{second.id} from Oda, Ledge, Tue 9 Feb."
        )
    message, hint, _code = refused(lambda: find_handoff(season.ledger, "Wim"))
    assert message == "No hand-off is called 'Wim'."
    assert first.id in hint


def test_one_that_was_taken_is_still_found_by_who_gave_it(season: Season) -> None:
    handoff = handed(season, "Ledge")
    season.record(take(season, "", who="Wim", said={}, by="Wim", now=LATER))
    assert find_handoff(season.ledger, "Oda") == handoff
    season.strike(handoff.id, "wrong blocks", by="Oda", now=LATER)
    assert refused(lambda: find_handoff(season.ledger, handoff.id))[0].startswith("No hand-off is")


# --- whatever happens --------------------------------------------------------------------------

FIRST = len(PLAN) + 2
"""Number of the first entry after the plan and its checklist."""

LINES = ("Ledge/Cliff", "Ledge/Cedar", "Creek/Ford", "Creek/Spring")
CREW = ("Oda", "Perrin", "Wim")

happenings: st.SearchStrategy[AnyEntry] = st.one_of(
    st.builds(
        count,
        st.sampled_from(LINES),
        st.sampled_from(["drops", "tapping", "pulling"]),
        st.integers(0, 130),
        who=st.sampled_from(CREW),
    ),
    st.builds(finish, st.sampled_from(LINES), st.just("tapping"), st.sampled_from(["", "ice"])),
    st.builds(aside, st.sampled_from(LINES), st.just("tapping"), st.just("ice")),
    st.builds(reopen, st.sampled_from(LINES), st.just("tapping")),
    st.builds(hazard, st.sampled_from(["dead top", "ice", "!"]), st.just("Creek"), st.just("Ford")),
    st.builds(hazard, st.sampled_from(["the dam", "y", "ok"])),
    st.builds(valve, st.sampled_from(["open", "shut"]), st.sampled_from(LINES)),
    st.builds(leak, st.sampled_from(LINES)),
    st.builds(
        out, st.sampled_from(CREW), block=st.sampled_from(["Ledge", "Creek"]), line=st.just("")
    ),
    st.builds(lambda who: Back(who=who, **stamp()), st.sampled_from(CREW)),
    st.builds(issued, st.integers(0, 90), st.sampled_from(CREW)),
    st.builds(
        lambda n: Settle(entry=f"k7f2q-{n}", who="Oda", **stamp()), st.integers(FIRST, FIRST + 35)
    ),
)
days = st.lists(happenings, max_size=12)
some_blocks = st.sampled_from([("Ledge",), ("Creek",), ("Ledge", "Creek")])


def happen(ledger: Ledger, *drafts: AnyEntry, start: int = FIRST) -> list[AnyEntry]:
    """Go on with a season that never touches a disk; drafts get their numbers here."""
    entries = numbered(*drafts, start=start)
    ledger.fold(entries)
    return entries


def in_blocks(ledger: Ledger, blocks: tuple[str, ...], but: str = "") -> list[Item]:
    """What is open there, without one hand-off."""
    items = of_blocks(open_items(ledger, LATER), blocks)
    return [item for item in items if not but or item.about.entry != but]


@given(before=days, since=days, blocks=some_blocks)
def test_nothing_open_is_left_out_whatever_comes_between_giving_and_taking(
    before: list[AnyEntry], since: list[AnyEntry], blocks: tuple[str, ...]
) -> None:
    ledger = folded()
    happen(ledger, *before)
    season = at_hand(ledger)
    draft = prepare(season, who="Oda", to="Perrin", blocks=blocks, now=NOW, by="Oda")
    told = in_blocks(ledger, blocks)
    assert [passed.about for passed in draft.items] == [item.about for item in told]
    assert all(
        passed.value
        for passed, item in zip(draft.items, told, strict=True)
        if item.level is Level.SAFETY
    )
    (handoff,) = happen(ledger, draft, start=FIRST + 20)
    happen(ledger, *since, start=FIRST + 21)
    assume("Perrin" not in people_out(ledger))  # who is in the woods takes nothing

    items = to_take(season, handoff.id, LATER)
    opened = in_blocks(ledger, blocks, but=handoff.id)
    assert [x.number for x in items] == list(range(1, len(items) + 1))
    assert {x.about for x in items} >= {item.about for item in opened}
    assert [x.about for x in items][: len(draft.items)] == [p.about for p in draft.items]

    said = answers(items)
    for item in items:
        if item.value:
            short = {about: word for about, word in said.items() if about != item.about}
            with pytest.raises(NotReadBack) as error:
                take(season, handoff.id, who="Perrin", said=short, by="Perrin", now=LATER)
            assert error.value.missing == (item,)
    taking = take(season, handoff.id, who="Perrin", said=said, by="Perrin", now=LATER)
    assert not any(read.differs for read in taking.items)
    assert {opened_item.about for opened_item in opened} <= {read.about for read in taking.items}
    happen(ledger, taking, start=FIRST + 40)

    left = in_blocks(ledger, blocks)
    assert handoff.id not in {item.about.entry for item in left}
    unfinished = [item for item in left if item.what is What.UNFINISHED]
    assert {item.owner for item in unfinished} <= {"Perrin"}
    assert all(item.passed == 1 for item in left)
    assert isinstance(handoff, HandOff)
    assert all(x.item is None or x.about in said for x in items_of(ledger, handoff, LATER))


@given(before=days, word=st.text(max_size=90))
def test_whatever_is_said_is_judged_and_a_bare_yes_never_agrees(
    before: list[AnyEntry], word: str
) -> None:
    ledger = folded()
    happen(ledger, *before)
    for item in open_items(ledger, NOW):
        agrees(item, word, ledger)
        value = value_of(item, ledger)
        if value:
            assert not agrees(item, "yes", ledger)
            assert len(value) <= 80


def test_what_stands_in_a_block_the_plan_has_no_more_goes_along(season: Season) -> None:
    """The block was struck from the plan; the tree still hangs over the path."""
    block, line = season.record(
        Block(block="Gore", order=9, **stamp()), Line(block="Gore", line="Pine", **stamp())
    )
    season.record(Note(text="pine hung up", block="Gore", line="Pine", hazard=True, **stamp()))
    for entry in (line, block):
        season.strike(entry.id, "sold", by="Oda", now=NOW)
    assert "Gore" not in season.plan.blocks
    draft = prepare(season, who="Oda", blocks=["Ledge"], now=NOW, by="Oda")
    assert "pine hung up" in [passed.says for passed in draft.items]


def test_who_is_in_the_woods_takes_nothing_over(season: Season) -> None:
    season.record(Out(who="Perrin", due=LATER, **stamp()))
    (handoff,) = season.record(prepare(season, who="Oda", now=NOW, by="Oda"))
    taking = partial(take, season, handoff.id, who="Perrin", said={}, by="Oda", now=LATER)
    message, hint, _code = refused(taking)
    assert message == "Perrin is out in the woods: who takes over reads it back here."
    assert hint == "Write down first that Perrin is back."


def test_what_was_done_names_every_line_that_became_done(season: Season) -> None:
    """Cliff by its count, Cedar by somebody's word; Ford was done yesterday."""
    season.record(
        count("Ledge/Cliff", "tapping", 42),
        count("Ledge/Cedar", "tapping", 58),
        finish("Ledge/Cedar", "tapping", "two dead"),
        count("Creek/Spring", "tapping", 35, day="2027-02-08"),
    )
    draft = prepare(season, who="Oda", now=NOW, by="Oda")
    assert draft.done == "Ledge, tapping: Oda 100 taps; finished Cliff, Cedar"
