"""Two weeks in which everything is forgotten that can be, and nothing gets lost.

Quillby Hollow, from Monday 8 to Monday 22 February 2027: Oda leads and keys, Perrin works on the
Ledge, Wim on the Creek. Everything is invented, and the mistakes are planted:

    a person        Wim is due back at half past four, and is not
    a hazard        an ash hung up over Cedar
    a sheet         Perrin taps the Ledge off sheet 1, and it stays in the pocket for two days
    one short       Ford: 119 taps on 120 drops, and nobody says why
    one over        Cliff: 43 taps on 42 drops
    spouts          200 issued to Wim; 154 in trees + 30 returned + 4 scrapped are 188: 12 are gone
    a valve         Spring's is shut for a splice on Tuesday, and still shut a week later
    a leak          on Cedar, 4 inHg of vacuum lost
    a promise       a gate to be hung by Friday, and it is not
    a hand-off      Wim's to Perrin, which Perrin does not take until Monday
    drops' age      Ford's drops, of which nobody knows the year

A tap gives 0.5 gal on a day when sap runs (from memory), and 5 % less for each inch of mercury
lost (Wilmot, UVM; Centre ACER 2015): so the book's own rules have it. Each evening's list was
worked out by hand.
"""

import json
import shutil
import time
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from tests.conftest import EAST
from tests.scenarios import Shell, quillby


class Woods(Shell):
    """Quillby Hollow with a clock on the wall, and the ids of entries written down.

    Attributes:
        ids: Ids of entries by what the tests call them.
    """

    def __init__(
        self, folder: Path, patch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        super().__init__(folder, patch, capsys)
        self.ids: dict[str, str] = {}
        self._patch = patch

    def clock(self, wall: str) -> None:
        """Set the clock: `2027-02-08 07:30`."""
        now = datetime.fromisoformat(wall).replace(tzinfo=EAST)
        self._patch.setattr("fieldbook.commands.common.now", lambda _book: now)

    def keys(self, line: str, name: str = "") -> str:
        """Write an entry that is taken; its id, kept under a name if it has one."""
        entry = self.does(line).split()[0]
        self.ids[name or "the last"] = entry
        return entry

    def strikes(self, entry: str) -> str:
        return self.keys(f"strike {entry} --reason 'was not so'")


@pytest.fixture
def woods(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Woods:
    """Quillby Hollow on Monday morning: Cliff 42 taps, Cedar 60, Ford 120, Spring 35, Lot 20."""
    woods = Woods(tmp_path, monkeypatch, capsys)
    woods.clock("2027-02-08 07:00")
    quillby(woods)
    return woods


# --- the days ----------------------------------------------------------------------------------


def monday(woods: Woods) -> None:
    """Spouts are handed out and a sheet is printed. Wim goes to the Creek, and stays there."""
    woods.clock("2027-02-08 07:30")
    woods.keys("record --spouts 'issued 200' --who Wim")
    woods.keys("record --spouts 'issued 100' --who Perrin")
    assert "Perrin" in woods.does("sheet --block Ledge --task tapping --who Perrin")
    woods.keys("out --who Wim --block Creek --due 16:30 --note 'up the ford road'", "out")
    woods.clock("2027-02-08 16:30")
    woods.keys("record --block Creek --line Spring --task tapping --count 35 --who Wim")
    woods.keys("record --block Creek --line Ford --task tapping --count 60 --who Wim")
    woods.keys("record --block Ledge --line Cedar --hazard 'hung-up ash' --who Perrin", "hazard")


def tuesday(woods: Woods) -> None:
    """Wim was back at twenty to six and finishes Ford, one short; the valve on Spring is shut."""
    woods.clock("2027-02-09 07:30")
    woods.keys("back --who Wim --date yesterday --at 17:40", "back")
    woods.keys("record --block Creek --line Spring --valve shut --note splice", "valve")
    woods.clock("2027-02-09 16:30")
    woods.keys("record --block Creek --line Ford --task tapping --count 59 --finish --who Wim")
    woods.keys("record --spouts 'returned 30' --who Wim")
    woods.keys("record --spouts 'scrapped 4' --who Wim")


def wednesday(woods: Woods) -> None:
    """The sheet is found and keyed in; a leak, a promise; Wim hands the Creek off to Perrin."""
    woods.clock("2027-02-10 16:30")
    for line, taps in (("Cliff", 43), ("Cedar", 57)):
        where = f"--block Ledge --line {line} --task tapping"
        woods.keys(f"record {where} --count {taps} --who Perrin --date mon")
    woods.keys("sheet --keyed 1", "sheet")
    woods.keys(
        "record --block Ledge --line Cedar --leak 'squirrel' --lost-inhg 4 --who Wim", "leak"
    )
    woods.keys(
        "record --block Creek --promise 'hang the gate' --due '12 Feb' --who Perrin", "promise"
    )
    woods.does("handoff --who Wim --to Perrin --block Creek --out page")
    woods.ids["handoff"] = one(woods, "hand-off", "2027-02-10")["entry"]


def first_week(woods: Woods) -> Woods:
    monday(woods)
    tuesday(woods)
    wednesday(woods)
    return woods


# --- asking ------------------------------------------------------------------------------------


def items(woods: Woods, options: str = "") -> list[dict[str, Any]]:
    """The open items as data."""
    told: list[dict[str, Any]] = json.loads(woods.does(f"open-items --format json {options}"))
    return told


def one(woods: Woods, what: str, day: str) -> dict[str, Any]:
    (item,) = (item for item in items(woods, f"--as-of {day}") if item["what"] == what)
    return item


def in_brief(item: dict[str, Any]) -> str:
    """What it is, where, whose, how many, how old, and the sap it costs."""
    count = None if item["amount"] is None else f"{item['amount']} {item['unit']}"
    gal = item["loses_gal_a_day"]
    parts = (item["what"], item["where"], item["owner"], count, f"day {item['age_days']}")
    return ", ".join(part for part in (*parts, gal and f"{gal:g} gal") if part)


def evening(woods: Woods, day: str) -> list[str]:
    """What is open on an evening, in brief; the same stands in the text, in the same order."""
    told = items(woods, f"--as-of {day}")
    text = " ".join(woods.does(f"open-items --as-of {day}").split())
    assert f" {len(told)} open" in text
    for item in told:
        before, found, text = text.partition(f"{item['says']} ")
        assert found, item
        assert item["owner"] in item["state"] or item["owner"] in item["says"]
        assert text.startswith("; ".join(part for part in (item["where"], item["state"]) if part))
        assert before.endswith(f"{item['mark']} ".lstrip())
    assert woods.summary(f"--as-of {day}")["open_items"] == told
    return [in_brief(item) for item in told]


# --- evening by evening ------------------------------------------------------------------------


def test_on_each_evening_everything_is_found_and_named(woods: Woods) -> None:
    monday(woods)
    assert evening(woods, "2027-02-08") == [
        "out, Creek, Wim, day 0",
        "hazard, Ledge / 2 Cedar, Perrin, day 0",
        "sheet, Ledge, 2 lines, Perrin, day 0",
        "unfinished, Creek / 1 Ford, Wim, 60 taps, day 0",  # 120 - 60
        "drops' age, Creek / 1 Ford, 120 drops, day 0",
    ]  # what is in the bags of Perrin and Wim is being worked with

    tuesday(woods)
    assert evening(woods, "2027-02-09") == [
        "hazard, Ledge / 2 Cedar, Perrin, day 1",
        "valve shut, Creek / 2 Spring, Oda, 35 taps, day 0, 39.4 gal",  # 35 x 1.125
        "not tapped, Creek / 1 Ford, Wim, 1 taps, day 0, 1.1 gal",  # 120 - 60 - 59
        "sheet, Ledge, 2 lines, Perrin, day 1",
        "spouts, Perrin, 100 spouts, day 1",  # all issued on Monday: the sheet is not keyed in
        "spouts, Wim, 12 spouts, day 1",  # 200 - 154 - 30 - 4: of those issued on Monday
        "drops' age, Creek / 1 Ford, 120 drops, day 1",
    ]

    wednesday(woods)
    in_the_open = [
        "hazard, Ledge / 2 Cedar, Perrin, day {2}",
        "valve shut, Creek / 2 Spring, Oda, 35 taps, day {1}, 39.4 gal",
        "leak, Ledge / 2 Cedar, Wim, day {0}, 5.7 gal",  # 57 x 0.5 x 4 x 5 %
        "not tapped, Creek / 1 Ford, Wim, 1 taps, day {1}, 1.1 gal",
        "hand-off, Creek, Perrin, 5 items, day {0}",  # valve, Ford, spouts, gate, drops' age
        "too many, Ledge / 1 Cliff, Perrin, 1 taps, day {2}",
        "spouts, Wim, 12 spouts, day {2}",  # Perrin's are 43 + 57
        "repair, Creek, Perrin, day {0}",
        "unfinished, Ledge / 2 Cedar, Perrin, 3 taps, day {2}",  # 60 - 57
        "drops' age, Creek / 1 Ford, 120 drops, day {2}",
    ]

    def after(days: int) -> list[str]:
        return [row.format(*range(days, days + 3)) for row in in_the_open]

    assert evening(woods, "2027-02-10") == after(0)
    # It snows. Nobody goes out, nobody writes, and nothing is forgotten.
    assert evening(woods, "2027-02-11") == after(1)
    assert evening(woods, "2027-02-12") == after(2)
    # On Saturday the promise is a day late, and comes before other work.
    later = after(3)
    later.insert(5, later.pop(7))
    assert evening(woods, "2027-02-13") == later
    assert one(woods, "repair", "2027-02-13")["late_min"] == 24 * 60
    # What was known on an evening is still what it was, except what was keyed in late.
    assert evening(woods, "2027-02-10") == after(0)


def test_on_monday_at_dusk_they_look_for_wim(woods: Woods) -> None:
    monday(woods)
    woods.clock("2027-02-08 16:30")
    assert items(woods)[0]["says"] == "Wim is out"
    woods.clock("2027-02-08 17:05")
    out = items(woods)[0]
    assert (out["says"], out["late_min"], out["level"]) == ("Wim is not back", 35, "safety")
    told = " ".join(woods.does("open-items").split())
    assert (
        " 5 open, 2 safety !! Wim is not back Creek; since 07:30, due back 16:30, 35 min over; "
        f"to close: back ({woods.ids['out']}) !! hung-up ash "
    ) in told
    assert "a reminder, not a rescue system" in told
    assert "  !! Wim is not back: Creek; since 07:30, due back 16:30, 35 min over\n" in woods.does(
        "summary"
    )
    woods.clock("2027-02-08 17:45")
    woods.keys("back --who Wim --at 17:40")
    assert "out" not in [item["what"] for item in items(woods)]


def test_the_sheet_in_the_pocket_explains_the_bag(woods: Woods) -> None:
    """Keyed in, the 100 spouts of Perrin are 43 + 57 in trees."""
    monday(woods)
    tuesday(woods)
    refused = woods.asks("sheet --keyed 1")
    assert refused.code == 2
    assert "Nothing is keyed on Cliff, Cedar since sheet 1 was printed." in refused.err
    wednesday(woods)
    bags = json.loads(woods.does("balance --format json --as-of 2027-02-10"))["bags"]
    counts = ("issued", "set", "returned", "scrapped", "off")
    assert [[bag["who"], *(bag[name] for name in counts)] for bag in bags] == [
        ["Perrin", 100, 100, 0, 0, 0],
        ["Wim", 200, 154, 30, 4, 12],  # 35 + 60 + 59
    ]


# --- what closes, and what brings back -----------------------------------------------------------


CLOSERS = {
    "hazard": "settle {hazard} pulled down with the winch",
    "valve shut": "record --block Creek --line Spring --valve open --who Wim",
    "leak": "settle {leak} new tee",
    "not tapped": "record --block Creek --line Ford --task tapping --count 1",
    "hand-off": "take --who Perrin {read}",
    "too many": "write-off 'too many' --line Cliff --block Ledge --reason 'a second hole'",
    "spouts": "record --spouts 'returned 12' --who Wim",  # under the seat of the truck
    "repair": "settle {promise} hung",
    "unfinished": "record --block Ledge --line Cedar --task tapping --count 3",
    "drops' age": "record --block Creek --line Ford --task drops --count 120",
}
"""What closes each item of Wednesday evening."""


def closer(woods: Woods, what: str) -> str:
    """The command that closes an item; of the hand-off with everything that is read back."""
    told = {"valve shut": "shut", "not tapped": "1", "spouts": "12"}
    if what != "hand-off":
        return CLOSERS[what].format(**woods.ids)
    page = json.loads(woods.does("handoff --show --format json"))
    asked = {item["number"]: item["what"] for item in page["items"] if item["question"]}
    read = " ".join(f"--read '{n}={told[what]}'" for n, what in asked.items())
    return CLOSERS[what].format(read=read)


@pytest.mark.parametrize("what", CLOSERS)
def test_only_its_own_entry_closes_an_item_and_a_strike_brings_it_back(
    woods: Woods, what: str
) -> None:
    first_week(woods)
    woods.clock("2027-02-10 17:00")
    before = items(woods)
    entry = woods.keys(closer(woods, what))
    left = [item["what"] for item in before if item["what"] != what]
    assert [item["what"] for item in items(woods)] == left
    woods.strikes(entry)
    assert items(woods) == before
    woods.keys(closer(woods, what))
    assert [item["what"] for item in items(woods)] == left


def test_the_one_who_was_out_is_out_again_when_back_is_struck(woods: Woods) -> None:
    monday(woods)
    tuesday(woods)
    assert "out" not in [item["what"] for item in items(woods)]
    woods.strikes(woods.ids["back"])
    out = items(woods)[0]
    assert (out["says"], out["age_days"], out["entry"]) == ("Wim is not back", 1, woods.ids["out"])
    assert out["late_min"] == 24 * 60  # due on Monday at half past four, and so late is it now


def test_the_sheet_is_out_again_when_its_keying_is_struck(woods: Woods) -> None:
    first_week(woods)
    assert "sheet" not in [item["what"] for item in items(woods)]
    woods.strikes(woods.ids["sheet"])
    sheet = one(woods, "sheet", "2027-02-10")
    assert (sheet["says"], sheet["lines"]) == ("sheet 1 not keyed in", ["Cliff", "Cedar"])
    assert (sheet["owner"], sheet["age_days"]) == ("Perrin", 2)


# --- what is keyed in late -----------------------------------------------------------------------


def test_mondays_way_back_brings_nobody_back_who_went_out_on_tuesday(woods: Woods) -> None:
    """Wim is on the Ledge when Oda finds that nobody wrote down when he came home on Monday."""
    monday(woods)
    woods.clock("2027-02-09 07:30")
    woods.keys("out --who Wim --block Ledge --due 15:00", "out again")
    woods.clock("2027-02-09 08:00")
    woods.keys("back --who Wim --date yesterday --at 17:40")
    out = one(woods, "out", "2027-02-09")
    assert (out["block"], out["entry"], out["age_days"]) == ("Ledge", woods.ids["out again"], 0)
    twice = woods.asks("back --who Wim --date yesterday --at 17:45")
    assert twice.code == 2
    assert twice.err.startswith(
        f"Wim went out on 2027-02-09 ({woods.ids['out again']}), after the day of this.\n"
    )
    woods.keys("back --who Wim")
    assert "out" not in [item["what"] for item in items(woods)]


def test_what_a_valve_was_on_tuesday_does_not_open_it_on_wednesday(woods: Woods) -> None:
    """Shut on Monday, opened on Tuesday, shut again on Wednesday; Tuesday is keyed in last."""
    woods.clock("2027-02-08 09:00")
    spring = "record --block Creek --line Spring"
    woods.keys(f"{spring} --valve shut --note splice")
    woods.clock("2027-02-10 09:00")
    again = woods.keys(f"{spring} --valve shut --note ice")
    woods.keys(f"{spring} --valve open --date yesterday")
    valve = one(woods, "valve shut", "2027-02-10")
    assert (valve["says"], valve["entry"], valve["age_days"]) == ("valve shut: ice", again, 0)
    assert "valve shut" not in [item["what"] for item in items(woods, "--as-of 2027-02-09")]
    woods.keys(f"{spring} --valve open")
    assert "valve shut" not in [item["what"] for item in items(woods)]


def test_an_item_keyed_in_late_is_as_old_as_the_day_it_is_of(woods: Woods) -> None:
    woods.clock("2027-02-15 09:00")
    woods.keys("record --block Creek --line Spring --valve shut --date 2027-02-11 --who Wim")
    woods.keys("record --block Ledge --line Cliff --leak hiss --date 2027-02-12 --who Wim")
    told = [(item["what"], item["age_days"]) for item in items(woods)]
    assert told == [("valve shut", 4), ("leak", 3), ("drops' age", 7)]


# --- the second week, and the end ----------------------------------------------------------------


def second_week(woods: Woods) -> None:
    """Perrin takes the Creek on Monday; one thing after the other is seen to."""
    woods.clock("2027-02-15 07:30")
    woods.does(closer(woods, "hand-off"))
    for number, what in enumerate(CLOSERS):
        if what != "hand-off":
            woods.clock(f"2027-02-{16 + number // 2} 12:00")
            woods.keys(closer(woods, what), f"closer of {what}")


def test_perrin_takes_the_creek_on_monday_and_it_is_hers(woods: Woods) -> None:
    """What Wim passed on is Perrin's; the rest stays whose it was."""
    first_week(woods)
    woods.clock("2027-02-15 07:30")
    unread = woods.asks("take --who Perrin")
    assert unread.code == 2
    assert "3 items want reading back" in unread.err
    assert one(woods, "hand-off", "2027-02-15")["age_days"] == 5
    woods.does(closer(woods, "hand-off"))
    assert evening(woods, "2027-02-15") == [
        "hazard, Ledge / 2 Cedar, Perrin, day 7",
        "valve shut, Creek / 2 Spring, Perrin, 35 taps, day 6, 39.4 gal",
        "leak, Ledge / 2 Cedar, Wim, day 5, 5.7 gal",
        "not tapped, Creek / 1 Ford, Perrin, 1 taps, day 6, 1.1 gal",
        "repair, Creek, Perrin, day 5",  # three days late
        "too many, Ledge / 1 Cliff, Perrin, 1 taps, day 7",
        "spouts, Perrin, 12 spouts, day 7",  # Wim's bag, and Perrin looks for them
        "unfinished, Ledge / 2 Cedar, Perrin, 3 taps, day 7",
        "drops' age, Creek / 1 Ford, Perrin, 120 drops, day 7",
    ]
    again = woods.asks("take", woods.ids["handoff"], "--who", "Oda")
    assert again.code == 2
    assert "Perrin" in again.err


def test_the_shut_valve_has_cost_its_sap_for_a_week(woods: Woods) -> None:
    first_week(woods)
    valve = one(woods, "valve shut", "2027-02-16")
    assert (valve["age_days"], valve["loses_gal_a_day"]) == (7, 39.4)
    assert "about 39 gal a day" in valve["state"]
    assert valve["says"] == "valve shut: splice"


def test_after_two_weeks_nothing_is_open(woods: Woods) -> None:
    second_week(first_week(woods))
    for day, left in ((16, 7), (17, 5), (18, 4), (19, 2), (20, 0)):
        assert len(items(woods, f"--as-of 2027-02-{day}")) == left, day
    woods.clock("2027-02-22 16:30")
    assert items(woods) == []
    assert "Nothing is open.\n" in woods.does("open-items")
    assert "Open items" not in woods.does("summary")


REST = {
    "tapping": ("Lot 20 Perrin",),
    "drops": ("Cliff 42 Wim",),
    "tensioning": ("Cliff 20 Wim", "Spring 11 Wim", "Lot 7 Wim"),  # 700, 360, 245 ft by 35
    "leaks": ("Cliff 1 Oda", "Cedar 1 Oda", "Ford 1 Oda", "Spring 1 Oda", "Lot 1 Oda"),
    "pulling": ("Cliff 43 Wim", "Cedar 60 Wim", "Spring 35 Perrin", "Lot 20 Perrin"),
}
"""What is left to do after the two weeks: line, count, who. Ford's spouts come out last."""

PLACES = {
    "Cliff": "--block Ledge --line Cliff",
    "Cedar": "--block Ledge --line Cedar",
    "Ford": "--block Creek --line Ford",
    "Spring": "--block Creek --line Spring",
    "Lot": "--block 'Sugar Lot'",
}


def spring(woods: Woods) -> None:
    """The rest of the season, but for Ford's spouts."""
    woods.clock("2027-04-26 16:30")
    woods.keys("record --spouts 'issued 20' --who Perrin --date '22 Feb'")
    for task, rows in REST.items():
        date = "'22 Feb'" if task in ("tapping", "drops", "tensioning") else "today"
        for row in rows:
            line, count, who = row.split()
            options = f"--task {task} --count {count} --who {who} --date {date}"
            woods.keys(f"record {PLACES[line]} {options}")
    for line, ties in (("Cedar", 20), ("Ford", 9)):  # nobody measured them: so many were tied
        woods.keys(f"record {PLACES[line]} --task tensioning --count {ties} --finish")


def test_the_season_closes_when_everything_is_closed_and_not_before(woods: Woods) -> None:
    second_week(first_week(woods))
    woods.clock("2027-02-22 16:30")
    early = woods.asks("close")
    assert early.code == 1
    for line in ("Ledge / 1 Cliff", "Ledge / 2 Cedar", "Creek / 1 Ford", "Creek / 2 Spring"):
        assert line in early.out
    assert "Drop replacement: 42 drops left\n     Ledge / 1 Cliff" in early.out
    assert "120 spouts left in trees\n     Creek / 1 Ford" in early.out
    assert "Tapping: 20 taps left\n     Sugar Lot" in early.out

    spring(woods)
    woods.keys(f"record {PLACES['Ford']} --task pulling --count 118 --finish --who Wim")
    assert evening(woods, "2027-04-26") == [
        "left in trees, Creek / 1 Ford, Wim, 2 spouts, day 0",  # 120 - 118
    ]
    woods.clock("2027-04-27 16:30")
    refused = woods.asks("close --note 'all out'")
    assert refused.code == 1
    assert refused.out.splitlines() == [
        "1 open",
        "   2 spouts left in trees",
        "     Creek / 1 Ford; Wim, 1 day; to close: why, or recount",
    ]
    assert refused.err.startswith("The season cannot be closed: 1 item is open.\n")
    assert woods.summary()["closed"] == ""
    two = woods.keys(f"record {PLACES['Ford']} --task pulling --count 2 --who Wim")
    close = woods.keys("close --note 'all out'")
    assert woods.summary()["closed"].startswith(close)
    assert f"The season is closed ({close}, Oda, Tue 27 Apr 2027)" in woods.does("summary")

    journal = woods.journal()
    for line in (
        f"record {PLACES['Ford']} --task pulling --count 1",
        "record --note 'owl in the box'",
        "close",
        "setting tie_spacing_ft 30",
    ):
        answer = woods.asks(line)
        assert answer.code == 2, line
        assert answer.err.startswith(f"The season was closed by Oda on 2027-04-27 ({close}).")
        assert f"fieldbook strike {close}" in answer.err
    assert woods.journal() == journal
    woods.strikes(close)
    assert woods.summary()["closed"] == ""
    woods.strikes(two)
    assert woods.asks("close").code == 1
    woods.keys(f"record {PLACES['Ford']} --task pulling --count 2 --who Wim")
    woods.keys("close")


def test_at_the_end_every_spout_is_accounted_for(woods: Woods) -> None:
    """Drops 277 = taps 278 - 1 over on Cliff; the 278 are pulled, and no bag holds any.

    Drops 42 + 60 + 120 + 35 + 20 = 277; taps 43 + 60 + 120 + 35 + 20 = 278. Wim set 154, Perrin
    100 + 20; the 1 on Ford and the 3 on Cedar are Oda's, who takes them from the shelf.
    """
    second_week(first_week(woods))
    spring(woods)
    woods.keys(f"record {PLACES['Ford']} --task pulling --count 120 --who Wim")
    told = json.loads(woods.does("balance --format json --as-of 2027-04-26"))
    assert told["season"] == {
        "drops": 277,
        "taps": 278,
        "untapped": 0,
        "over": 1,
        "pulled": 278,
        "in_trees": 0,
        "pulled_over": 0,
        "unknown": 0,
    }
    counts = ("issued", "set", "returned", "scrapped", "off")
    assert [[bag["who"], *(bag[name] for name in counts)] for bag in told["bags"]] == [
        ["Perrin", 120, 120, 0, 0, 0],
        ["Wim", 200, 154, 42, 4, 0],
    ]
    assert [line["why"] for line in told["lines"]] == ["a second hole", "", "", "", ""]
    assert woods.does("summary").splitlines()[4:7] == [
        "Spouts in trees 0, pulled 278",
        "Drops 277 = taps 278 + not tapped 0 - over 1",
        "Spouts issued 320 = in trees 274 + returned 42 + scrapped 4 + in the bags 0",
    ]


# --- the same book, the same bytes ---------------------------------------------------------------


REPORTS = ("open-items", "balance", "summary")


def printed(woods: Woods, day: str, book: str = "quillby") -> dict[str, str]:
    """Every report of a book as of a day, in every form."""
    return {
        f"{report} {form}": woods.does(f"{report} --format {form} --as-of {day} --book {book}")
        for report in REPORTS
        for form in ("text", "json", "csv")
    }


@pytest.fixture
def anywhere(monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[str], None]]:
    """Set the zone of the machine."""

    def zone(name: str) -> None:
        monkeypatch.setenv("TZ", name)
        time.tzset()

    yield zone
    monkeypatch.undo()
    time.tzset()


@pytest.mark.skipif(not hasattr(time, "tzset"), reason="the zone cannot be set on this system")
def test_the_hour_and_the_zone_change_no_byte_of_a_day(
    woods: Woods, anywhere: Callable[[str], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    first_week(woods)
    before = printed(woods, "2027-02-10")
    for zone, wall in (
        ("Pacific/Auckland", "2027-02-10 00:00"),
        ("America/Vancouver", "2027-02-10 23:59"),
        ("UTC", "2031-07-01 12:00"),
    ):
        anywhere(zone)
        there = datetime.fromisoformat(wall).astimezone()
        monkeypatch.setattr("fieldbook.commands.common.now", lambda _book, there=there: there)
        assert printed(woods, "2027-02-10") == before, zone


def test_two_desks_come_to_the_same_list_in_whatever_order_they_are_merged(woods: Woods) -> None:
    """Oda keys at the sugarhouse, Wim on a stick in the woods; neither sees the other's work."""
    first_week(woods)
    woods.clock("2027-02-11 16:30")
    base = woods.folder / "quillby"
    for name in ("stick", "third", "fourth"):
        shutil.copytree(base, woods.folder / name)
    woods.keys(closer(woods, "valve shut"))
    woods.keys("record --block Ledge --line Cliff --hazard 'widowmaker' --who Oda")
    woods.keys(closer(woods, "unfinished"))
    for line in (
        closer(woods, "leak"),
        closer(woods, "spouts"),
        "record --block Creek --line Ford --valve shut --note 'lateral down' --who Wim",
        f"strike {woods.ids['sheet']} --reason 'a line is missing'",
        "out --who Wim --due 17:30",
    ):
        woods.does(f"{line} --book stick --by Wim")
    woods.does("merge stick --book third")
    woods.does("merge quillby --book third")
    woods.does("merge quillby --book fourth")
    woods.does("merge stick --book fourth")
    woods.does("merge stick --book quillby")
    woods.does("merge quillby --book stick")
    told = printed(woods, "2027-02-11")
    for book in ("stick", "third", "fourth"):
        assert printed(woods, "2027-02-11", book) == told, book
    assert [item["what"] for item in items(woods, "--as-of 2027-02-11")] == [
        "out",
        *("hazard", "hazard"),
        "valve shut",  # Ford's: 119 x 0.5
        *("not tapped", "hand-off", "sheet", "too many", "repair", "drops' age"),
    ]


def test_a_busy_desk_does_not_talk_down_a_quiet_one(woods: Woods) -> None:
    """Oda writes much: her words of Monday have higher numbers than Wim's of Tuesday.

    On Monday she writes that he is back and that the valve is open. On Tuesday, on a stick that
    knows nothing of that, he goes out and shuts it: when they meet he is out, and it is shut.
    """
    woods.clock("2027-02-08 08:00")
    woods.keys("out --who Wim --due 16:30")
    woods.keys("record --block Creek --line Spring --valve shut --who Wim")
    shutil.copytree(woods.folder / "quillby", woods.folder / "stick")
    for number in range(20):
        woods.keys(f"record --note 'snowing, {number} in'")
    woods.clock("2027-02-08 17:00")
    woods.keys("back --who Wim")
    woods.keys("record --block Creek --line Spring --valve open")
    woods.clock("2027-02-09 08:00")
    woods.does("back --who Wim --date yesterday --book stick --by Wim")
    woods.does("out --who Wim --due 16:30 --book stick --by Wim")
    woods.does("record --block Creek --line Spring --valve shut --note ice --book stick --by Wim")
    woods.does("merge stick --book quillby")
    woods.does("merge quillby --book stick")
    for book in ("quillby", "stick"):
        assert [item["what"] for item in items(woods, f"--book {book}")][:2] == [
            "out",
            "valve shut",
        ], book
