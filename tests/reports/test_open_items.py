"""Open items in words: what it is, where, whose, since when, what it costs, what closes it.

What is open is worked out in `season/test_items`; here is what a person reads of it, at half past
four on Tuesday 9 February 2027.
"""

import json
from collections.abc import Callable
from datetime import date, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldbook.book.entry import About, AnyEntry
from fieldbook.reports.open_items import (
    age,
    age_days,
    caution,
    counted,
    head,
    item_words,
    items_lines,
    items_listing,
    lines_of,
    over,
    overdue,
    remedy,
    state,
    told_items,
    where,
)
from fieldbook.reports.render.json import to_json
from fieldbook.reports.render.listings import listing_csv
from fieldbook.season.items import Item, Level, What, closing_items, open_items
from tests.conftest import NOW, aside, count, finish, folded
from tests.reports import TUESDAY
from tests.reports.helpers import cells, is_sound
from tests.season.woods import (
    entry_id,
    handoff,
    hazard,
    histories,
    leak,
    out,
    repair,
    sheet,
    spouts,
    valve,
)

PLAN = folded().plan


def item(what: What, level: Level = Level.WORK, **fields: Any) -> Item:
    """An item of Cliff's tapping, unless something else is said; opened at half past four."""
    place = {"block": "Ledge", "line": "Cliff", "task": "tapping"}
    known = {name: fields.pop(name, place.get(name, "")) for name in (*place, "who", "entry")}
    return Item(about=About(what=what, **known), level=level, **{"since": NOW, **fields})


def is_open(*work: AnyEntry, now: datetime = NOW) -> list[Item]:
    """What is open after some work, but for the age of Ford's drops."""
    return [found for found in open_items(folded(*work), now) if found.what is not What.AGE]


# --- what it is --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("found", "said"),
    [
        (item(What.OUT, who="Wim"), "Wim is out"),
        (item(What.OUT, who="Wim", late=timedelta(minutes=1)), "Wim is not back"),
        (item(What.HAZARD, says="ash hung up\nover the path"), "ash hung up over the path"),
        (item(What.VALVE), "valve shut"),
        (item(What.VALVE, says="splice"), "valve shut: splice"),
        (item(What.LEAK, says="hiss\tat the tee"), "leak: hiss at the tee"),
        (item(What.UNTAPPED, amount=1), "1 drop not tapped"),
        (item(What.UNTAPPED, amount=1820), "1,820 drops not tapped"),
        (item(What.SURPLUS, amount=1), "1 tap more than drops"),
        (item(What.SURPLUS, amount=3), "3 taps more than drops"),
        (
            item(What.SURPLUS, task="pulling", amount=1),
            "1 spout more pulled than tapped",
        ),
        (
            item(What.SURPLUS, task="pulling", amount=2),
            "2 spouts more pulled than tapped",
        ),
        (item(What.LEFT_IN, task="pulling", amount=1), "1 spout left in a tree"),
        (item(What.LEFT_IN, task="pulling", amount=2), "2 spouts left in trees"),
        (item(What.SPOUTS, who="Wim", amount=1), "Wim: 1 spout not accounted for"),
        (item(What.SPOUTS, who="Wim", amount=12), "Wim: 12 spouts not accounted for"),
        (item(What.SPOUTS, who="Wim", amount=-1), "Wim: 1 spout more than issued"),
        (item(What.SPOUTS, who="Wim", amount=-3), "Wim: 3 spouts more than issued"),
        (item(What.HANDOFF, who="Wim", owner="Oda"), "hand-off not taken: Wim to Oda"),
        (item(What.HANDOFF, who="Wim"), "hand-off not taken: Wim to whoever comes on"),
        (item(What.SHEET, sheet=7), "sheet 7 not keyed in"),
        (item(What.REPAIR, says="new gate"), "promised: new gate"),
        (item(What.UNFINISHED, amount=3, unit="taps"), "Tapping: 3 taps left"),
        (item(What.UNFINISHED, unit="ties", owner="Wim"), "Tapping: under way"),
        (item(What.UNFINISHED, unit="ties"), "Tapping: not begun"),  # in the way of closing
        (
            item(What.UNFINISHED, task="gone", amount=1200, unit="taps"),  # off the checklist now
            "gone: 1,200 taps left",
        ),
        (item(What.ASIDE, says="ice\non the ford"), "Tapping set aside: ice on the ford"),
        (item(What.AGE, task="drops", amount=120, unit="drops"), "drops of unknown age"),
    ],
)
def test_an_item_says_what_it_is_on_one_line(found: Item, said: str) -> None:
    assert head(found, PLAN) == said


@pytest.mark.parametrize("what", What)
def test_each_kind_has_words_and_a_way_out(what: What) -> None:
    found = item(what, who="Wim", amount=2, unit="taps", says="so it is")
    assert head(found, PLAN)
    assert remedy(found)
    assert remedy(found) in item_words(found, PLAN, NOW)[1]


@pytest.mark.parametrize(
    ("place", "said"),
    [
        ({"block": "Ledge", "line": "Cliff"}, "Ledge / 1 Cliff"),
        ({"block": "Creek", "line": "Spring"}, "Creek / 2 Spring"),
        ({"block": "Creek", "line": ""}, "Creek"),
        ({"block": "", "line": ""}, ""),
        ({"block": "Sugar Lot", "line": "Sugar Lot"}, "Sugar Lot"),  # it has no mapped lines
        ({"block": "Creek", "line": "Gone"}, "Creek / Gone"),  # it left the plan
        ({"block": "Creek", "line": "Ford", "lines": ("Ford",)}, "Creek / 1 Ford"),
        ({"block": "Creek", "line": "Ford", "lines": ("Ford", "Spring")}, "Creek, 2 lines"),
    ],
)
def test_where_an_item_is(place: dict[str, Any], said: str) -> None:
    assert where(item(What.HAZARD, **place), PLAN) == said


def test_the_lines_of_an_item() -> None:
    assert lines_of(item(What.SHEET, line="", lines=("Ford", "Spring"))) == ("Ford", "Spring")
    assert lines_of(item(What.HAZARD)) == ("Cliff",)
    assert lines_of(item(What.SPOUTS, block="", line="")) == ()


# --- how old, how late ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("now", "days", "said"),
    [
        ("2027-02-09 16:30", 0, "since 16:30"),
        ("2027-02-09 23:59", 0, "since 16:30"),
        ("2027-02-10 00:01", 1, "1 day"),  # by the calendar, not by hours
        ("2027-02-11 07:00", 2, "2 days"),
        ("2027-04-09 07:00", 59, "59 days"),  # 19 of February, 31 of March, 9 of April
        ("2027-02-08 07:00", 0, "since 16:30"),  # never below nought
    ],
)
def test_age_is_counted_in_evenings(now: str, days: int, said: str) -> None:
    at = datetime.fromisoformat(now).replace(tzinfo=NOW.tzinfo)
    assert (age_days(item(What.LEAK), at), age(item(What.LEAK), at)) == (days, said)


@pytest.mark.parametrize(
    ("late", "said"),
    [
        (timedelta(seconds=40), "1 min over"),
        (timedelta(minutes=1), "1 min over"),
        (timedelta(minutes=25, seconds=59), "25 min over"),
        (timedelta(minutes=59), "59 min over"),
        (timedelta(minutes=60), "1 h 0 min over"),
        (timedelta(minutes=130), "2 h 10 min over"),
        (timedelta(hours=23, minutes=59), "23 h 59 min over"),
        (timedelta(hours=24), "1 day over"),
        (timedelta(days=3, hours=23), "3 days over"),
    ],
)
def test_how_long_something_is_overdue(late: timedelta, said: str) -> None:
    assert over(late) == said


def due(clock: str, day: date = TUESDAY) -> datetime:
    return datetime.fromisoformat(f"{day} {clock}").replace(tzinfo=NOW.tzinfo)


@pytest.mark.parametrize(
    ("found", "said"),
    [
        (item(What.LEAK, owner="Wim"), "Wim, since 16:30"),
        (item(What.LEAK), "since 16:30"),  # nobody's
        (item(What.LEAK, owner="Wim", since=NOW - timedelta(2)), "Wim, 2 days"),
        (item(What.OUT, who="Wim", owner="Wim", due=due("17:30")), "since 16:30, due back 17:30"),
        (
            item(
                What.OUT,
                who="Wim",
                owner="Wim",
                due=due("16:05"),
                since=NOW - timedelta(1),
                late=timedelta(minutes=25),
            ),
            "1 day, due back 16:05, 25 min over",
        ),
        (
            item(What.OUT, who="Wim", owner="Wim", due=due("07:00", date(2027, 2, 10))),
            "since 16:30, due back Wed 10 Feb 07:00",
        ),
        (
            item(What.REPAIR, owner="Perrin", due=date(2027, 2, 12)),
            "Perrin, since 16:30, due Fri 12 Feb",
        ),
        (
            item(What.REPAIR, owner="Perrin", due=date(2027, 2, 8), late=timedelta(1)),
            "Perrin, since 16:30, due Mon 8 Feb, 1 day over",
        ),
        (
            item(What.VALVE, owner="Tor", loses_gal=82.0, since=NOW - timedelta(2)),
            "Tor, 2 days, about 82 gal a day",
        ),
        (item(What.VALVE, loses_gal=1234.4), "since 16:30, about 1,234 gal a day"),
        (item(What.UNTAPPED, loses_gal=0.5), "since 16:30, about 1 gal a day"),  # never none
        (item(What.LEAK, owner="Wim", passed=1), "Wim, since 16:30"),
        (item(What.LEAK, owner="Wim", passed=2), "Wim, since 16:30, passed on 2 times"),
        (
            item(What.VALVE, owner="Wim", passed=1, told="shut", said="open\nnow"),
            "! told shut, read back open now, Wim, since 16:30",
        ),
    ],
)
def test_whose_since_when_and_what_it_costs(found: Item, said: str) -> None:
    assert state(found, NOW) == said


@pytest.mark.parametrize("what", [What.OUT, What.SPOUTS])
def test_who_took_over_somebody_elses_item_is_named(what: What) -> None:
    """The head names Wim; after a hand-off it is Perrin who looks for him, or for his spouts."""
    assert state(item(what, who="Wim", owner="Wim"), NOW) == "since 16:30"
    assert state(item(what, who="Wim", owner="Perrin"), NOW) == "Perrin, since 16:30"


def test_of_a_hand_off_the_head_names_both() -> None:
    waits = item(What.HANDOFF, who="Wim", owner="Oda")
    assert (head(waits, PLAN), state(waits, NOW)) == (
        "hand-off not taken: Wim to Oda",
        "since 16:30",
    )


def test_who_is_overdue_stands_at_the_top_of_every_screen() -> None:
    """Wim has been due for 25 minutes, Perrin for one more hour; Oda is not due yet."""
    work = (
        out("Wim", "Creek/Ford", due=due("16:05")),
        out("Perrin", due=due("15:05")),
        out("Oda", "Ledge", due=due("17:30")),
        repair(due="2027-02-01"),  # late, but nobody is lost
    )
    assert overdue(is_open(*work), NOW) == (
        "Perrin not back from the woods, due 15:05, 1 h 25 min over; "
        "Wim not back from Creek, due 16:05, 25 min over"
    )
    assert overdue(is_open(*work[2:]), NOW) == ""
    assert overdue([], NOW) == ""
    morning = datetime.fromisoformat("2027-02-11 07:05-05:00")
    assert overdue(is_open(work[0], now=morning), morning) == (
        "Wim not back from Creek, due Tue 9 Feb 16:05, 1 day over"
    )


@pytest.mark.parametrize(
    ("work", "said"),
    [
        ([], "0 open"),
        ([leak("Ledge/Cliff")], "1 open"),
        ([leak("Ledge/Cliff"), hazard(), out("Wim", due=due("17:30"))], "3 open, 2 safety"),
        ([handoff("Ledge", severity="danger")], "1 open, 1 safety"),
    ],
)
def test_how_many_are_open_and_how_many_are_about_people(work: list[AnyEntry], said: str) -> None:
    assert counted(is_open(*work)) == said


# --- for reading -------------------------------------------------------------------------------


WORK = (
    hazard("ash hung up over the path", where="Ledge/Cedar", who="Perrin"),
    valve("Creek/Spring", "shut", "splice", who="Oda", day="2027-02-02"),
    count("Creek/Spring", "tapping", 35, who="Wim"),
    leak("Ledge/Cliff", lost_inhg=4, who="Wim"),
    count("Ledge/Cliff", "tapping", 40, who="Wim"),
    finish("Ledge/Cliff", "tapping"),
    aside("Creek/Ford", "leaks", "pump is out"),
    aside("Creek/Spring", "leaks", "pump is out"),
    sheet("Ledge", "Cliff", "Cedar", who="Perrin"),
    spouts("Wim", "issued", 80, day="2027-02-08"),
)
"""A tap gives 0.5 gal without vacuum (from memory), and 5 % more for each of the pump's 25 inHg
(Wilmot, UVM; Centre ACER 2015): 1.125 gal. So Spring's 35 taps behind a shut valve cost 39.375 gal
a day, and Cliff's 2 drops without a tap 2.25 gal.

Cliff's 40 lose 5 % for each of 4 inHg: 40 x 0.5 x 0.2 = 4 gal. Of Wim's 80 spouts 35 + 40 are in
trees.
"""


def test_a_list_to_read_the_gravest_first() -> None:
    assert items_lines(is_open(*WORK), PLAN, NOW, width=76) == [
        "7 open, 1 safety",
        "!! ash hung up over the path",
        f"     Ledge / 2 Cedar; Perrin, since 16:30; to close: cleared ({entry_id(0)})",
        "!  valve shut: splice",
        "     Creek / 2 Spring; Oda, 7 days, about 39 gal a day; to close: opened",
        f"     ({entry_id(1)})",
        "!  leak: hiss",
        "     Ledge / 1 Cliff; Wim, since 16:30, about 4 gal a day; to close: mended",
        f"     ({entry_id(3)})",
        "!  2 drops not tapped",
        "     Ledge / 1 Cliff; Oda, since 16:30, about 2 gal a day; to close: why, or",
        "     recount",
        "   sheet 7 not keyed in",
        f"     Ledge, 2 lines; Perrin, since 16:30; to close: keyed in ({entry_id(8)})",
        "   Wim: 5 spouts not accounted for",
        "     1 day; to close: count the bag",
        "   Leak checks set aside, 2 readings left: pump is out",
        f"     Creek, 2 lines; Oda, since 16:30; to close: reopen ({entry_id(6)})",
    ]


def test_an_empty_list_says_so() -> None:
    assert items_lines([], PLAN, NOW, width=76) == ["Nothing is open."]


def test_where_somebody_is_out_it_says_that_this_is_no_rescue_system() -> None:
    """Buddy system and a way to call (Ontario production report 2015)."""
    told = items_lines(is_open(out("Wim", due=due("17:30"))), PLAN, NOW, width=76)
    assert " ".join(told[3:]).strip() == caution()
    assert "go in pairs or call in at a set time" in caution()
    assert caution() not in " ".join(items_lines(is_open(hazard()), PLAN, NOW, width=76))


@settings(max_examples=40)
@given(histories(), st.integers(40, 120))
def test_every_item_is_on_the_list_and_no_line_is_wider_than_asked(
    history: list[AnyEntry], width: int
) -> None:
    ledger = folded(*history)
    for ask in (open_items, closing_items):
        found = ask(ledger, NOW)
        lines = items_lines(found, ledger.plan, NOW, width=width)
        assert max(map(len, lines)) <= width
        text = " ".join(" ".join(lines).split())
        for one in found:
            said, _blank, text = text.partition(f"to close: {remedy(one)}")
            assert head(one, ledger.plan) in said
            assert where(one, ledger.plan) in said


# --- as data -----------------------------------------------------------------------------------


def test_an_item_as_data() -> None:
    (valve_shut,) = (one for one in is_open(*WORK) if one.what is What.VALVE)
    (told,) = json.loads(to_json(told_items([valve_shut], PLAN, NOW)))
    assert told == {
        "what": "valve shut",
        "level": "sap",
        "block": "Creek",
        "lines": ["Spring"],
        "task": "",
        "says": "valve shut: splice",
        "where": "Creek / 2 Spring",
        "state": "Oda, 7 days, about 39 gal a day",
        "mark": "!",
        "owner": "Oda",
        "since": "2027-02-02T16:30:00-05:00",
        "age_days": 7,
        "amount": 35,
        "unit": "taps",
        "loses_gal_a_day": 39.4,
        "due": None,
        "late_min": None,
        "passed": 0,
        "read_back": "",
        "remedy": "opened",
        "entry": entry_id(1),
    }


@pytest.mark.parametrize(
    ("field", "value", "found"),
    [
        ("mark", "!!", item(What.HAZARD, Level.SAFETY)),
        ("mark", "!", item(What.LEAK, Level.SAP)),
        ("mark", "", item(What.SHEET, Level.WORK)),
        ("level", "safety", item(What.HAZARD, Level.SAFETY)),
        ("amount", None, item(What.HAZARD)),  # nothing is counted
        ("amount", 0, item(What.UNFINISHED, amount=0, unit="ties")),
        ("amount", -3, item(What.SPOUTS, amount=-3, unit="spouts")),
        ("due", "2027-02-12", item(What.REPAIR, due=date(2027, 2, 12))),
        ("late_min", 1440, item(What.REPAIR, late=timedelta(1))),
        ("late_min", 25, item(What.OUT, late=timedelta(minutes=25, seconds=59))),
        ("loses_gal_a_day", 2.9, item(What.LEAK, loses_gal=2.86)),
        ("read_back", "open", item(What.VALVE, said="open")),
        ("passed", 3, item(What.VALVE, passed=3)),
    ],
)
def test_fields_for_those_who_read_data(field: str, value: object, found: Item) -> None:
    (told,) = told_items([found], PLAN, NOW)
    assert getattr(told, field) == value


def test_the_table_has_a_row_for_each_item() -> None:
    listing = items_listing(is_open(*WORK), PLAN, NOW)
    is_sound(listing)
    assert cells(listing, "what") == [
        *("hazard", "valve shut", "leak", "not tapped"),
        *("sheet", "spouts", "set aside"),
    ]
    assert cells(listing, "lines") == [
        *("Cedar", "Spring", "Cliff", "Cliff"),
        *("Cliff, Cedar", "", "Ford, Spring"),
    ]
    assert cells(listing, "loses_gal_a_day")[:4] == [0, 39.4, 4, 2.2]


def test_an_empty_table_has_its_heads() -> None:
    listing = items_listing([], PLAN, NOW)
    is_sound(listing)
    assert listing_csv(listing).count("\n") == 1


@pytest.mark.parametrize("opener", [hazard, lambda text: valve("Ledge/Cliff", "shut", text)])
def test_typed_words_are_data(opener: Callable[[str], AnyEntry]) -> None:
    """No markup, no escape, no formula; and what was typed on two lines is read on one."""
    (found,) = is_open(opener("=[red]x[/]\n{n} %s \\N\tend"))
    assert head(found, PLAN).endswith("=[red]x[/] {n} %s \\N end")
    assert found.says == "=[red]x[/]\n{n} %s \\N\tend"
    assert all("\n" not in line for line in items_lines([found], PLAN, NOW, width=76))
