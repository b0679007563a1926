"""What may not be said of what is open, and how whoever says it is told."""

from datetime import timedelta
from typing import Literal

import pytest
from msgspec.structs import replace

from fieldbook.book.book import Book
from fieldbook.book.entry import AnyEntry, Close, Person
from fieldbook.errors import BookError, Doubtful, Exit
from fieldbook.season.items import What, open_items
from fieldbook.season.season import Season
from fieldbook.season.woods import people_out
from tests.conftest import NOW, count, note, refused, stamp
from tests.season.woods import (
    back,
    close,
    handoff,
    hazard,
    leak,
    out,
    repair,
    settle,
    sheet,
    taken,
    valve,
    write_off,
)


def says(season: Season, draft: AnyEntry) -> tuple[str, str]:
    """How a draft is refused: what is wrong, and the way out. Nothing of it is recorded."""
    before = season.log()
    message, hint, code = refused(lambda: season.record(draft))
    assert (season.log(), code) == (before, Exit.MISUSE)
    return message, hint


def one(season: Season, draft: AnyEntry) -> str:
    """Record an entry; its id."""
    (entry,) = season.record(draft)
    return entry.id


# --- seen to -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "opener",
    [hazard(), leak("Ledge/Cliff"), repair(), sheet("Ledge", "Cliff")],
    ids=lambda opener: str(opener.kind),
)
def test_what_is_open_is_seen_to_once(season: Season, opener: AnyEntry) -> None:
    opened = one(season, opener)
    closer = one(season, settle(opened, who="wim"))
    message, hint = says(season, settle(opened, who="Perrin"))
    assert message == f"{opened} was seen to by Wim on 2027-02-09 already ({closer})."
    assert hint == f"If that is not so, strike {closer} with a reason first."
    season.strike(closer, "still there", by="Oda", now=NOW)
    one(season, settle(opened))


def test_nothing_is_seen_to_before_it_was_found(season: Season) -> None:
    found = one(season, leak("Ledge/Cliff", day="2027-02-08"))
    message, hint = says(season, settle(found, day="2027-02-07"))
    assert message == f"{found} is of 2027-02-08: it cannot be seen to before."
    assert "--date" in hint
    one(season, settle(found, day="2027-02-08"))


def test_what_is_closed_on_a_day_to_come_is_asked_about(season: Season) -> None:
    """Typed 10 for 9: today everybody would be back, and the reports of today would say so."""
    season.record(out("Wim"), valve("Ledge/Cliff", "shut"))
    found = one(season, leak("Ledge/Cliff"))
    tomorrow = "2027-02-10"
    closers = (
        back("Wim", day=tomorrow),
        settle(found, day=tomorrow),
        valve("Ledge/Cliff", "open", day=tomorrow),
    )
    for draft in closers:
        with pytest.raises(Doubtful) as doubt:
            season.record(draft)
        assert doubt.value.message == (
            "2027-02-10 is still to come, today is 2027-02-09: what is open would be closed now."
        )
        assert "--really" in doubt.value.hint
        season.record(draft, really=True)


@pytest.mark.parametrize(
    "opener",
    [
        note("owl in the box"),
        count("Ledge/Cliff", "tapping", 42),
        valve("Ledge/Cliff", "shut"),
        out("Wim"),
        handoff("Ledge"),
    ],
    ids=lambda opener: str(opener.kind),
)
def test_what_is_closed_otherwise_cannot_be_seen_to(season: Season, opener: AnyEntry) -> None:
    opened = one(season, opener)
    message, hint = says(season, settle(opened))
    assert message == f"{opened} is no hazard, leak, repair or sheet: it cannot be seen to."
    assert "fieldbook open-items" in hint


@pytest.mark.parametrize("closer", [settle("b3x9m-1"), taken("b3x9m-1")])
def test_what_is_not_there_cannot_be_closed(season: Season, closer: AnyEntry) -> None:
    message, hint = says(season, closer)
    assert message == "There is no entry b3x9m-1 in season 2027."
    assert hint == "fieldbook log shows the entries with their ids."


def test_what_was_struck_cannot_be_closed(season: Season) -> None:
    ash, handed = season.record(hazard(), handoff("Ledge"))
    for entry, closer in ((ash, settle(ash.id)), (handed, taken(handed.id))):
        season.strike(entry.id, "was\nCedar", by="Perrin", now=NOW)
        message, hint = says(season, closer)
        assert message == f"{entry.id} was struck by Perrin: was Cedar"
        assert hint == "What is struck is not open any more."


# --- taken -------------------------------------------------------------------------------------


def test_a_hand_off_is_taken_once(season: Season) -> None:
    handed = one(season, handoff("Ledge"))
    took = one(season, taken(handed, who="Wim"))
    message, hint = says(season, taken(handed, who="Perrin"))
    assert message == f"{handed} was taken by Wim on 2027-02-09 already ({took})."
    assert f"strike {took}" in hint
    assert says(season, taken(took))[0] == f"{took} is no hand-off: it cannot be taken."


# --- back --------------------------------------------------------------------------------------


def test_only_who_is_out_comes_back(season: Season) -> None:
    assert says(season, back("Wim")) == ("Wim is not out.", "Nobody is out.")
    season.record(out("Wim"), out("Perrin"), out("Wim", "Creek"))
    assert says(season, back("Oda")) == ("Oda is not out.", "Out are: Perrin, Wim.")
    season.record(back("wim"))  # the name as it is typed
    assert says(season, back("Wim")) == ("Wim is not out.", "Out are: Perrin.")


def test_several_entries_at_once_meet_what_those_before_them_made(season: Season) -> None:
    season.record(out("Wim"), back("Wim"), valve("Ledge/Cliff", "shut"))
    with pytest.raises(BookError, match="Perrin is not out"):
        season.record(out("Perrin"), back("Perrin"), back("Perrin"))
    with pytest.raises(BookError, match="shut already"):
        season.record(valve("Ledge/Cedar", "shut"), valve("Ledge/Cedar", "shut"))
    assert [item.what for item in open_items(season.ledger, NOW)][:1] == [What.VALVE]
    assert open_items(Season(Book.open(season.book.path)).ledger, NOW) == open_items(
        season.ledger, NOW
    )


# --- valves ------------------------------------------------------------------------------------

State = Literal["open", "shut"]


@pytest.mark.parametrize(
    ("before", "state", "reason", "new"),
    [
        ([], "shut", "", True),
        ([], "open", "", False),
        ([], "open", "was never shut", True),
        ([("shut", "")], "open", "", True),
        ([("shut", "")], "shut", "", False),
        ([("shut", "")], "shut", "ice", True),
        ([("shut", "ice")], "shut", "", False),
        ([("shut", "ice")], "shut", "ice", False),
        ([("shut", "ice")], "shut", " ice\n", False),
        ([("shut", "ice")], "shut", "a split tee", True),
        ([("shut", "ice"), ("open", "")], "open", "", False),
        ([("shut", "ice"), ("open", "")], "shut", "ice", True),
        ([("shut", "ice"), ("open", ""), ("shut", "")], "shut", "ice", True),
    ],
)
def test_of_a_valve_only_what_is_new_is_taken(
    season: Season, before: list[tuple[State, str]], state: State, reason: str, new: bool
) -> None:
    for was, why in before:
        season.record(valve("Ledge/Cliff", was, why))
    draft = valve("Ledge/Cliff", state, reason)
    if new:
        assert one(season, draft)
    else:
        assert says(season, draft)[1] == "To add to that, say why."


def test_whoever_finds_a_valve_as_it_was_is_told_who_left_it_so(season: Season) -> None:
    message, _hint = says(season, valve("Ledge/Cliff", "open"))
    assert message == "The valve of Cliff is open as it is."
    shut = one(season, valve("Ledge/Cliff", "shut", who="Perrin", day="2027-02-08"))
    message, _hint = says(season, valve("ledge/1", "shut"))
    assert message == (
        f"The valve of Cliff is shut already. Perrin said so on 2027-02-08 ({shut})."
    )
    one(season, valve("Ledge/Cedar", "shut"))  # another line, another valve


def test_names_with_braces_are_named_as_they_are(season: Season) -> None:
    cliff = next(line for line in season.plan.lines if line.line == "Cliff")
    season.record(replace(cliff, id="", tick=0, line="{who}"), Person(person="{0}", **stamp()))
    shut = one(season, valve("Ledge/{who}", "shut", who="{0}"))
    message, _hint = says(season, valve("Ledge/{who}", "shut"))
    assert message == (
        f"The valve of {{who}} is shut already. {{0}} said so on 2027-02-09 ({shut})."
    )
    assert says(season, back("{0}"))[0] == "{0} is not out."


# --- people ------------------------------------------------------------------------------------


def test_who_went_out_again_is_not_back_from_before(season: Season) -> None:
    one_o_clock = NOW.replace(hour=13, minute=0)
    went = one(season, replace(out("Wim", due=NOW), at=one_o_clock))
    noon = replace(back("Wim"), at=NOW.replace(hour=12, minute=0))
    message, hint = says(season, noon)
    assert message == f"Wim went out at 13:00 ({went}), after the time of this."
    assert "--at" in hint
    one(season, back("Wim"))
    assert people_out(season.ledger) == {}


def test_a_valve_is_not_opened_by_a_clock_that_is_slow(season: Season) -> None:
    shut = one(season, valve("Ledge/Cliff", "shut"))
    early = NOW.replace(hour=16, minute=0)
    message, hint = says(season, replace(valve("Ledge/Cliff", "open"), at=early))
    assert message == (f"Wim shut the valve of Cliff at 16:30 ({shut}), after the time of this.")
    assert "clock" in hint
    one(season, valve("Ledge/Cliff", "open"))


def test_who_was_written_off_and_goes_out_again_is_out_again(season: Season) -> None:
    """He went home by the north road, and told nobody: a reason and a name, and he is off."""
    season.record(out("Wim"))
    (wim,) = (item for item in open_items(season.ledger, NOW) if item.what is What.OUT)
    season.record(write_off(wim.about))
    assert people_out(season.ledger) == {}
    assert says(season, back("Wim"))[0] == "Wim is not out."
    season.record(out("Wim"))
    assert list(people_out(season.ledger)) == ["Wim"]
    assert What.OUT in [item.what for item in open_items(season.ledger, NOW)]


@pytest.mark.parametrize(
    ("due", "asked"),
    [
        (timedelta(0), ""),
        (timedelta(hours=3), ""),
        (timedelta(hours=24), ""),
        (
            timedelta(hours=24, minutes=1),
            "Wim would be due back at 2027-02-10 16:31, more than a day after they went out at "
            "2027-02-09 16:30.",
        ),
        (
            timedelta(minutes=-1),
            "Wim would be due back at 2027-02-09 16:29, before they went out at 2027-02-09 16:30.",
        ),
    ],
)
def test_an_odd_time_to_be_due_back_is_asked_about(
    season: Season, due: timedelta, asked: str
) -> None:
    draft = out("Wim", due=NOW + due)
    if asked:
        with pytest.raises(Doubtful) as doubt:
            season.record(draft)
        assert (doubt.value.message, "--really" in doubt.value.hint) == (asked, True)
    season.record(draft, really=True)
    assert open_items(season.ledger, NOW)[0].due == NOW + due


# --- closed ------------------------------------------------------------------------------------


def shut_up(season: Season) -> Close:
    """Closes a season over whatever is open, as a merged copy may have it."""
    (closing,) = season.book.record(close())
    season.catch_up()
    assert isinstance(closing, Close)
    return closing


def test_in_a_closed_season_nothing_is_recorded_until_the_closing_is_struck(season: Season) -> None:
    closing = shut_up(season)
    message, hint = says(season, count("Ledge/Cliff", "tapping", 1))
    assert message == f"The season was closed by Oda on 2027-02-09 ({closing.id})."
    assert f"fieldbook strike {closing.id}" in hint
    assert says(season, close())[0] == message
    season.record(out("Wim"), back("Wim"))  # whoever is in the woods is, in any season
    owl, *_rest = season.log()
    with pytest.raises(BookError, match="was closed by Oda"):
        season.strike(owl.id, "one more run", by="Oda", now=NOW)
    season.strike(closing.id, "one more run", by="Oda", now=NOW)
    assert season.ledger.closed is None
    season.record(note("one more run"))


def test_no_season_is_closed_while_anything_is_open(season: Season) -> None:
    message, hint = says(season, close())
    assert message == "The season cannot be closed: open items: 17."
    assert "write it off with a reason" in hint


def test_no_season_is_closed_with_work_that_is_in_no_total(season: Season) -> None:
    """Five taps on a line that is struck from the plan: their spouts are in trees all the same."""
    season.record(count("Creek/Culvert", "tapping", 5), really=True)
    culvert = season.plan.find_line("Creek", "Culvert")
    season.strike(culvert.id, "sold", by="Oda", now=NOW)
    assert says(season, close())[0].startswith("1 entries are about work the plan does not have")
