"""The demo season beside counting: what is open on its evening, and how it came to be so."""

from collections.abc import Iterator
from datetime import date, datetime, time, timedelta

import pytest

from fieldbook.book.book import Book
from fieldbook.book.entry import (
    Back,
    Count,
    HandOff,
    Happening,
    Leak,
    Note,
    Out,
    Reading,
    Sheet,
    Spouts,
    Taken,
    Valve,
)
from fieldbook.book.lines import fold_key
from fieldbook.errors import BookError
from fieldbook.resources import resource
from fieldbook.season.balance import Bag, Balance, bag_days, balance, explained, line_balance
from fieldbook.season.items import Item, Level, What, closing_items, of_blocks, open_items
from fieldbook.season.ledger import Ledger
from fieldbook.season.season import Season
from fieldbook.season.woods import people_out, settled
from tests.demo_builder import CREW, STANDS_STILL
from tests.demo_woods import ASTRAY, BAGS_FROM, TODAY

OPEN = [
    (Level.SAFETY, What.OUT, "Brook Bend", "", "Rae"),
    (Level.SAFETY, What.HAZARD, "Sugar Hollow", "", "Milo"),
    (Level.SAFETY, What.HAZARD, "Brook Bend", "Brook pair", "Milo"),
    (Level.SAP, What.VALVE, "Upper Ridge", "Boulder main", "Ina"),
    (Level.SAP, What.LEAK, "Upper Ridge", "Ridge pair", "Ina"),
    (Level.SAP, What.UNTAPPED, "Brook Bend", "Mill main", "Milo"),
    (Level.WORK, What.REPAIR, "Upper Ridge", "Saddle main", "Ina"),
    (Level.WORK, What.HANDOFF, "Old Orchard", "", "Ina"),
    (Level.WORK, What.SHEET, "Brook Bend", "", "Rae"),
    (Level.WORK, What.SPOUTS, "", "", "Ina"),
    (Level.WORK, What.SPOUTS, "", "", "Ina"),
    (Level.WORK, What.UNFINISHED, "Old Orchard", "Wall main", "Milo"),
    (Level.WORK, What.UNFINISHED, "Brook Bend", "Brook pair", "Milo"),
    (Level.WORK, What.UNFINISHED, "Brook Bend", "Spring main", "Tor"),
    (Level.WORK, What.ASIDE, "Sugar Hollow", "Hollow pair", "Milo"),
]
"""What is open at five past five on 9 February, worst first, with who has it now."""


@pytest.fixture(scope="module")
def now() -> Season:
    """Season 2027, only read."""
    return Season(Book.open(resource("demo_season"), year=2027))


def only(season: Season, what: What) -> Item:
    (item,) = (item for item in open_items(season.ledger, STANDS_STILL) if item.what is what)
    return item


def entry_of(season: Season, item: Item) -> Happening:
    entry = season.book.entry(item.about.entry)
    assert isinstance(entry, Happening)
    return entry


def as_it_stood(season: Season, before: HandOff) -> Ledger:
    """The ledger as it was when an entry was written."""
    return Ledger(season.year).fold(e for e in season.log() if fold_key(e) < fold_key(before))


# --- what is open ---


def test_fifteen_items_are_open(now: Season) -> None:
    found = [
        (item.level, item.what, item.about.block, item.about.line, item.owner)
        for item in open_items(now.ledger, STANDS_STILL)
    ]
    assert found == OPEN


def test_nothing_was_written_after_time_stood_still(now: Season) -> None:
    for entry in now.log():
        assert entry.at <= entry.noted <= STANDS_STILL


def test_rae_is_not_back(now: Season) -> None:
    """Out again after her noon, due at half past four, and the only one in the woods."""
    rae = only(now, What.OUT)
    assert list(people_out(now.ledger)) == ["Rae"]
    assert (rae.since.time(), rae.late) == (time(12, 40), timedelta(minutes=35))
    assert isinstance(rae.due, datetime)
    assert rae.due.time() == time(16, 30)


def test_what_rae_called_in_is_keyed_by_somebody_who_is_back(now: Season) -> None:
    hers = [e for e in now.log() if isinstance(e, Count) and (e.who, e.day) == ("Rae", TODAY)]
    assert [count.count for count in hers] == [98, 148]
    assert {count.by for count in hers} == {"Zoë"}


def test_a_valve_is_shut_for_the_second_day_and_another_was_opened_again(now: Season) -> None:
    """Tor shut it, Wes took it over from him, and Ina from Wes."""
    shut = only(now, What.VALVE)
    found = entry_of(now, shut)
    assert isinstance(found, Valve)
    assert (found.who, found.day, shut.amount, shut.passed) == ("Tor", date(2027, 2, 7), 176, 2)
    words = [(v.line, v.state) for v in now.ledger.of(Valve) if v.heard is None]
    assert words == [("Fern pair", "shut"), ("Fern pair", "open"), ("Boulder main", "shut")]


def test_four_leaks_were_found_and_three_mended(now: Season) -> None:
    """The last one costs 3.5 inHg: 25.5 at the pump, 22.0 at the far end."""
    found = now.ledger.of(Leak)
    assert [leak.line for leak in found] == [
        *("Wolf tree main", "Fern pair", "Windfall main", "Ridge pair"),
    ]
    assert [leak.id in settled(now.ledger) for leak in found] == [True, True, True, False]
    (_before, wet, _dry) = [r for r in now.ledger.of(Reading) if r.line == "Ridge pair"][-3:]
    assert (wet.vacuum_inhg, found[-1].lost_inhg) == (22.0, 3.5)
    assert all(line_balance(now.ledger, now.plan.find_line(le.block, le.line)).taps for le in found)


def test_one_hazard_was_cleared_and_two_stand(now: Season) -> None:
    hazards = [note for note in now.ledger.of(Note) if note.hazard]
    cleared = [note.line for note in hazards if note.id in settled(now.ledger)]
    assert (len(hazards), cleared) == (3, ["Far notch main"])


def test_drops_taps_and_what_is_between(now: Season) -> None:
    """Mill main has 171 drops and 168 taps, and nobody has said why. 5,139 taps are in."""
    mill = line_balance(now.ledger, now.plan.find_line("Brook Bend", "Mill main"))
    assert mill == Balance(drops=171, taps=168, untapped=3, in_trees=168)
    assert balance(now.ledger).taps == 5139


def test_a_line_over_its_plan_says_why(now: Season) -> None:
    raven, tapping = now.plan.find_line("North Slope", "Raven main"), now.plan.find_task("tapping")
    assert (
        explained(now.ledger, raven, tapping)
        == "4 drops more there than in the plan, all in good trees"
    )


# --- bags ---


def test_bags_balance_to_the_day_but_two_and_the_one_in_the_woods(now: Season) -> None:
    """Of Milo's 200 spouts 188 were found on 1 February; Zoë had 4 too many on the 3rd."""
    days = bag_days(now.ledger)
    off = {(bag.day, bag.who): bag.off for bag in days if bag.off}
    assert off == {**ASTRAY, (TODAY, "Rae"): 54}
    (milo,) = (bag for bag in days if (bag.day, bag.who) == (date(2027, 2, 1), "Milo"))
    assert milo == Bag("Milo", milo.day, issued=200, set=186, returned=2)
    assert len(days) > 20


def test_every_tap_came_out_of_a_bag(now: Season) -> None:
    issued = {(spouts.day, spouts.who) for spouts in now.ledger.of(Spouts)}
    assert min(day for day, _who in issued) == BAGS_FROM
    assert {(c.day, c.who) for c in now.ledger.counts() if c.task == "tapping"} == issued


# --- comings and goings ---


def stays(season: Season) -> Iterator[tuple[str, datetime, datetime]]:
    """Who was in the woods, from when to when, in the order of going out."""
    out: dict[str, datetime] = {}
    moves: list[Out | Back] = [*season.ledger.of(Out), *season.ledger.of(Back)]
    for move in sorted(moves, key=fold_key):
        if isinstance(move, Out):
            assert move.who not in out, "nobody goes out twice"
            out[move.who] = move.at
        else:
            yield move.who, out.pop(move.who), move.at
    for who, since in out.items():
        yield who, since, STANDS_STILL


def test_whoever_counted_was_out_at_the_time(now: Season) -> None:
    there = list(stays(now))
    for count in now.ledger.counts():
        if count.day >= BAGS_FROM:
            begun = count.at - timedelta(hours=min(count.hours or 0, 3))
            who = [who for who, out, back in there if out <= count.at <= back]
            assert count.who in who, (count.who, count.at)
            assert any(out <= begun for who, out, _back in there if who == count.who)


def test_everybody_else_was_back_before_they_were_due(now: Season) -> None:
    for who, out, back in stays(now):
        assert timedelta(minutes=30) < back - out < timedelta(hours=9)
        assert who in CREW
    late = [(who, back) for who, _out, back in stays(now) if back.time() > time(16, 30)]
    assert late == [("Rae", STANDS_STILL)]


# --- sheets ---


def test_two_sheets_are_keyed_in_and_one_is_in_the_woods(now: Season) -> None:
    sheets = now.ledger.of(Sheet)
    keyed = settled(now.ledger)
    assert [(sheet.sheet, sheet.id in keyed) for sheet in sheets] == [
        (1, True),
        (2, True),
        (3, False),
    ]
    for sheet in sheets:
        walked = [line.line for line in now.plan.walk[sheet.block] if line.line in sheet.lines]
        assert list(sheet.lines) == walked, "in walking order"
        done = [
            line for line in sheet.lines if now.ledger.record(sheet.block, line, sheet.task).done
        ]
        if sheet.id in keyed:
            assert done == walked


# --- hand-offs ---


def test_a_hand_off_holds_everything_that_was_open(now: Season) -> None:
    for handed in now.ledger.of(HandOff):
        ledger = as_it_stood(now, handed)
        found = of_blocks(open_items(ledger, handed.at), handed.blocks)
        assert [told.about for told in handed.items] == [item.about for item in found]


def test_two_were_taken_with_read_backs_and_one_waits(now: Season) -> None:
    """From Tor to Wes to Ina on Upper Ridge; Milo's waits for Ina."""
    handed = now.ledger.of(HandOff)
    assert [(entry.who, entry.to) for entry in handed] == [
        ("Tor", "Wes"),
        ("Wes", "Ina"),
        ("Milo", "Ina"),
    ]
    taken = now.ledger.of(Taken)
    assert [entry.handoff for entry in taken] == [entry.id for entry in handed[:2]]
    assert [read.said for read in taken[0].items] == ["shut", "12", "4", ""]
    # On Monday a leak came to it, on line 9.
    assert [read.said for read in taken[1].items] == ["shut", "9", "12", "4", ""]
    assert only(now, What.HANDOFF).about.entry == handed[2].id


def test_who_handed_off_was_away_the_day_after(now: Season) -> None:
    counted = {(count.who, count.day) for count in now.ledger.counts()}
    for handed in now.ledger.of(HandOff):
        assert (handed.who, handed.day + timedelta(days=1)) not in counted


# --- the past ---


@pytest.mark.parametrize(("year", "day"), [(2025, date(2025, 5, 5)), (2026, date(2026, 5, 4))])
def test_a_past_season_is_closed_with_nothing_open(year: int, day: date) -> None:
    season = Season(Book.open(resource("demo_season"), year=year))
    closed = season.ledger.closed
    assert closed is not None
    assert closed.day == day
    assert closing_items(season.ledger, STANDS_STILL) == []
    for line in season.plan.lines:
        why = explained(season.ledger, line, season.plan.find_task("pulling"))
        assert why or not line_balance(season.ledger, line).in_trees
    note = Note(text="one more", at=closed.at, noted=closed.noted, by="Ina")
    with pytest.raises(BookError, match="closed by Ina"):
        season.record(note)
