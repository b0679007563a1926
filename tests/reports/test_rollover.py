"""The next season in words: what is other, what is as it was, what stays behind.

Quillby Hollow as in the fixtures: 42 + 60 + 120 + 35 + 0 taps are 257. Of its drops, Cliff's 42
are of 2024, Cedar's of 2026, Spring's of 2025, and nobody knows about the 120 of Ford.
"""

import csv
import io
import json
from collections.abc import Sequence
from datetime import date, datetime

import pytest
from msgspec.structs import replace

from fieldbook.book.book import Book
from fieldbook.book.entry import (
    AnyEntry,
    Close,
    Line,
    Person,
    Repair,
    TapClass,
    TapRule,
    Target,
    Valve,
)
from fieldbook.i18n import _
from fieldbook.reports.render.json import to_json
from fieldbook.reports.render.listings import listing_csv
from fieldbook.reports.rollover import (
    KINDS,
    Proposal,
    changing,
    outset,
    proposal,
    proposal_lines,
    proposal_listings,
    row_words,
)
from fieldbook.season.rollover import changes, drafts_of, write
from fieldbook.season.season import Season
from fieldbook.season.settings import RULES
from tests.conftest import DESK, EAST, aside, count, finish, note, stamp
from tests.reports.helpers import cells, is_sound, rules, trees

FALL = datetime(2027, 10, 4, 9, 0, tzinfo=EAST)


def report(season: Season, *, left: Sequence[int] = (), year: int = 2028) -> Proposal:
    found = changes(season, year, by="Oda", now=FALL)
    return proposal(season, year, found, FALL, left=left)


def rows(season: Season, what: str) -> list[tuple[str, str, str, str]]:
    """Where, as it was, as it would be and why, of each change of a kind."""
    return [(r.where, r.was, r.then, r.why) for r in report(season).rows if r.what == what]


def make(season: Season, year: int = 2028) -> Season:
    found = changes(season, year, by="Oda", now=FALL)
    book = Book.begin_season(season.book.path, year, desk=DESK)
    return write(season, book, drafts_of(found))


def work(season: Season) -> None:
    """Cliff's drops are new; Cedar took 57 taps; an ash hangs over it; Spring's valve is shut."""
    season.record(
        count("Ledge/Cliff", "drops", 42),
        count("Ledge/Cedar", "tapping", 57),
        finish("Ledge/Cedar", "tapping", "three too small"),
        replace(note("hung-up ash", block="Ledge", line="Cedar"), hazard=True),
        Repair(who="Wim", text="hang the gate", block="Creek", **stamp()),
        Valve(block="Creek", line="Spring", who="Wim", state="shut", reason="splice", **stamp()),
        Target(task="tapping", wanted=date(2027, 2, 20), **stamp()),
    )


# --- the numbers ---------------------------------------------------------------------------------


def test_what_the_next_season_would_be(season: Season) -> None:
    """257 - 3 = 254 taps. Due are Ford's 120 and Spring's 35, three years old by then."""
    work(season)
    told = report(season)
    assert (told.book, told.season, told.next) == ("Quillby Hollow", 2027, 2028)
    assert (told.lines, told.taps_planned, told.drops_due) == (5, 254, 155)
    assert (told.begun, told.closed) == (False, "")


def test_what_is_left_counts_as_it_was(season: Season) -> None:
    """With Cliff's drops left as of 2024 its 42 are due too; with Cedar left, 60 are planned."""
    work(season)
    numbers = {row.where: row.number for row in report(season).rows}
    cliff = report(season, left=[numbers["Ledge / Cliff"]])
    assert (cliff.taps_planned, cliff.drops_due) == (254, 197)
    cedar = next(r.number for r in report(season).rows if r.was == "60 taps")
    assert report(season, left=[cedar]).taps_planned == 257
    assert report(season, left=[cedar]).rows == report(season).rows


def test_a_crew_that_replaces_no_drops_has_none_due(season: Season) -> None:
    checklist = season.plan.checklist
    assert checklist is not None
    tasks = tuple(replace(task, on=task.key != "drops") for task in checklist.tasks)
    season.record(replace(checklist, id="", tick=0, tasks=tasks))
    assert report(season).drops_due == 0


def test_things_that_are_as_they_were_are_only_counted(season: Season) -> None:
    """Every rule is as it was, but for the two of the window; of five lines one is other."""
    season.record(count("Ledge/Cliff", "drops", 42), trees("Creek/Ford", "12:120"))
    season.record(
        TapRule(rule="ours", unit="in", classes=(TapClass(from_dbh=9, taps=1),), **stamp())
    )
    same = dict(report(season).as_they_are)
    assert same.pop("rule") == len(RULES) - 2
    assert same == {
        "checklist": 1,
        "person": 3,
        "rule for taps": 1,
        "block": 2,
        "line": 4,
        "trees": 1,
    }
    (line,) = (line for line in outset(report(season)) if line.startswith("Taken over as it is: "))
    assert line.endswith(
        "1 x checklist, 3 x person, 1 x rule for taps, 2 x block, 4 x line, 1 x trees"
    )


def test_trees_that_may_have_grown_are_measured_again(season: Season) -> None:
    """By the conservative rule a tree is tapped from 12 in; at 0.115 in a year one of 11.7 in,
    taken for 2027, is 11.7 + 3 x 0.115 = 12.05 within two years of 2028; one of 11.6 is not."""
    season.record(trees("Creek/Ford", "11.7:9 11.6:20", day="2027-02-01"))
    (again,) = report(season).measure_again
    assert (again.block, again.line, again.trees, again.taken) == ("Creek", "Ford", 9, 2027)
    assert (
        "9 trees on 1 lines may have grown to a limit: measure them again (fieldbook plan trees)"
        in outset(report(season))
    )
    _changes, listing = proposal_listings(report(season))
    is_sound(listing)
    assert listing.name == "measure"
    assert listing.rows == (("Creek", "Ford", 9, "2027"),)


# --- row by row ----------------------------------------------------------------------------------


def test_rules_that_change(season: Season) -> None:
    season.record(*rules(days_off="2026-11-26"), count("Creek/Ford", "tapping", 120, hours=10))
    assert rows(season, "rule") == [
        ("season_begins", "2026-09-01", "2027-09-01", "a year on"),
        ("season_ends", "2027-08-31", "2028-08-31", "a year on"),
        ("days_off", "2026-11-26", "2027-11-25", "the same weekdays; feasts keep their date"),
        ("rate_taps", "45.0", "12.0", "this crew's own in 2027, of 10 h"),
    ]
    needed = [row.where for row in report(season).rows if row.needed]
    assert needed == ["season_begins", "season_ends"]


def test_lines_that_change(season: Season) -> None:
    work(season)
    season.record(count("Creek/Ford", "drops", 120))
    season.record(
        count("Creek/Ford", "tapping", 118), finish("Creek/Ford", "tapping", "two\nbroken   off")
    )
    assert rows(season, "line") == [
        ("Ledge / Cliff", "drops 2024", "drops 2027", "replaced"),
        ("Ledge / Cedar", "60 taps", "57 taps", "three too small"),
        (
            "Creek / Ford",
            "120 taps; drops unknown",
            "118 taps; drops 2027",
            "replaced; two broken off",
        ),
    ]


def test_a_line_may_be_named_only_for_what_was_not_taken_over(season: Season) -> None:
    season.record(count("Ledge/Cliff", "drops", 10))
    assert rows(season, "line") == [
        (
            "Ledge / Cliff",
            "",
            "",
            "only 10 drops replaced in 2027: the age stays that of the oldest",
        )
    ]


def test_more_drops_that_hang(season: Season) -> None:
    season.record(
        Line(block="Ledge", line="New", taps_planned=20, drops=20, drops_hung=2024, **stamp()),
        count("Ledge/New", "drops", 22),
    )
    assert rows(season, "line") == [
        (
            "Ledge / New",
            "drops 2024; 20 drops hang",
            "drops 2027; 22 drops hang",
            "replaced",
        )
    ]


def test_dates_and_what_is_carried(season: Season) -> None:
    work(season)
    assert rows(season, "date wanted") == [
        ("tapping", "Sat 20 Feb 2027", "Sat 19 Feb 2028", "the same weekday")
    ]
    assert rows(season, "hazard") == [
        ("Ledge / Cedar", "", "hung-up ash", "it still stands in the woods")
    ]
    assert rows(season, "repair") == [("Creek", "", "hang the gate", "not made yet")]
    assert rows(season, "valve") == [
        ("Creek / Spring", "", "shut: splice", "shut, and nobody opened it")
    ]


def test_a_date_of_a_block_names_task_and_block(season: Season) -> None:
    season.record(Target(task="drops", block="Ledge", wanted=date(2026, 12, 19), **stamp()))
    ((where, was, then, _why),) = rows(season, "date wanted")
    assert (where, was, then) == ("drops, Ledge", "Sat 19 Dec 2026", "Sat 18 Dec 2027")


def test_numbers_run_from_one_in_the_order_they_are_written(season: Season) -> None:
    work(season)
    told = report(season)
    assert [row.number for row in told.rows] == list(range(1, len(told.rows) + 1))
    found = changes(season, 2028, by="Oda", now=FALL)
    assert [row.what for row in told.rows] == [KINDS[type(c.entry)] for c in changing(found)]


# --- words ---------------------------------------------------------------------------------------


def test_the_whole_of_it_on_a_narrow_page(season: Season) -> None:
    """Staying are Cedar's 57 spouts and Ford's 120 drops, 3 lines to tap, 5 to tension, 5 to walk:
    15. Five are told."""
    work(season)
    assert proposal_lines(report(season), width=72) == [
        "Season 2028: 5 lines, 254 taps planned, 155 drops due",
        "! Season 2027 is not closed: what is done in it from now on is not taken",
        "  over",
        f"Taken over as it is: {len(RULES) - 2} x rule, 1 x checklist, 3 x person, 2 x block, 3",
        "  x line",
        "Not taken over: what lies in the shed, to be counted anew (fieldbook",
        "  record)",
        "",
        "Other than in 2027:",
        "  1  rule season_begins: 2026-09-01 -> 2027-09-01 (a year on)",
        "  2  rule season_ends: 2027-08-31 -> 2028-08-31 (a year on)",
        "  3  line Ledge / Cliff: drops 2024 -> drops 2027 (replaced)",
        "  4  line Ledge / Cedar: 60 taps -> 57 taps (three too small)",
        "  5  date wanted tapping: Sat 20 Feb 2027 -> Sat 19 Feb 2028 (the same",
        "         weekday)",
        "  6  hazard Ledge / Cedar: hung-up ash (it still stands in the woods)",
        "  7  repair Creek: hang the gate (not made yet)",
        "  8  valve Creek / Spring: shut: splice (shut, and nobody opened it)",
        "",
        "! 15 open items stay in season 2027, and are closed there: 57 spouts",
        "  left in trees: Ledge / 2 Cedar; Drop replacement: 120 drops left:",
        "  Creek / 1 Ford; Tapping: 120 taps left: Creek / 1 Ford; Tapping: 42",
        "  taps left: Ledge / 1 Cliff; Tapping: 35 taps left: Creek / 2 Spring ~",
    ]


def test_a_closed_season_says_who_closed_it(season: Season) -> None:
    (close,) = season.carry([Close(who="Oda", **stamp())])
    told = report(season)
    assert told.closed == f"{close.id}, Oda, Tue 9 Feb 2027"
    assert not any("is not closed" in line for line in outset(told))


def test_a_season_begun_says_so_and_is_counted_with_what_it_has(season: Season) -> None:
    """A second look: 2028 has all but Joss, and its numbers are those of the whole plan."""
    after = make(season)
    season.record(Person(person="Joss", **stamp()))
    told = report(season)
    assert (told.begun, told.rows, told.as_they_are) == (True, (), {"person": 1})
    assert (told.lines, told.taps_planned) == (5, 257)
    assert "Season 2028 is begun: what it has already is left alone" in outset(told)
    assert "Nothing is other." in proposal_lines(told, width=72)
    cliff = after.plan.line("Ledge", "Cliff")
    assert cliff is not None
    after.record(replace(cliff, id="", tick=0, taps_planned=50))
    assert report(season).taps_planned == 265


def test_with_nothing_lacking_there_is_nothing_to_take_over(season: Season) -> None:
    make(season)
    told = proposal_lines(report(season), width=72)
    assert "There is nothing to take over: season 2028 has all of it." in told
    assert "Nothing is other." not in told
    assert not any(line.startswith("Taken over as it is") for line in told)


def test_what_goes_on_is_not_told_as_staying(season: Season) -> None:
    """Of Cedar's 60 spouts 57 are pulled: the 3 go on. Spring's 35 nobody pulled yet stay."""
    work(season)
    season.record(
        count("Ledge/Cedar", "pulling", 54),
        count("Creek/Spring", "tapping", 35),
        finish("Ledge/Cedar", "pulling"),
    )
    stays = report(season).stays
    assert "35 spouts left in trees: Creek / 2 Spring" in stays
    assert not any("Cedar" in item and "spouts" in item for item in stays)
    assert not any("hung-up ash" in item or "hang the gate" in item for item in stays)
    assert [r[2] for r in rows(season, "repair")] == [
        "hang the gate",
        "pull the spouts left in trees in 2027: 3",
    ]


def test_a_line_set_aside_stays_to_be_closed(season: Season) -> None:
    season.record(aside("Creek/Ford", "tapping", "ice"))
    stays = report(season).stays
    assert "Tapping set aside, 120 taps left: ice: Creek / 1 Ford" in stays


def test_one_item_that_stays_is_one(season: Season) -> None:
    told = replace(report(season), stays=("sheet 1 not keyed in: Ledge",))
    assert proposal_lines(told, width=200)[-1] == (
        "! 1 open item stays in season 2027, and is closed there: sheet 1 not keyed in: Ledge"
    )
    six = replace(told, stays=tuple("abcdef"))
    assert proposal_lines(six, width=200)[-1].endswith("closed there: a; b; c; d; e ~")
    none = replace(told, stays=())
    assert not any("stay" in line for line in proposal_lines(none, width=200))


# --- tables --------------------------------------------------------------------------------------


def test_the_table_of_changes(season: Season) -> None:
    work(season)
    (listing,) = proposal_listings(report(season))
    is_sound(listing)
    assert listing.heads[:6] == ("#", "What", "Where", "2027", "2028", "Why")
    assert cells(listing, "number") == [1, 2, 3, 4, 5, 6, 7, 8]
    assert cells(listing, "needed") == [True, True, *[False] * 6]
    assert list(csv.reader(io.StringIO(listing_csv(listing))))[4] == [
        *("4", "line", "Ledge / Cedar", "60 taps", "57 taps", "three too small", "False")
    ]


def test_as_json_it_has_every_field_and_reads_back(season: Season) -> None:
    work(season)
    data = json.loads(to_json(report(season)))
    assert set(data) == set(Proposal.__struct_fields__)
    assert (data["next"], data["drops_due"], data["begun"]) == (2028, 155, False)
    assert data["rows"][3] == {
        "number": 4,
        "what": "line",
        "where": "Ledge / Cedar",
        "was": "60 taps",
        "then": "57 taps",
        "why": "three too small",
        "needed": False,
    }


HOSTILE = [
    '=HYPERLINK("http://x")',
    "[red]ash[/red] [@click=app.quit]x[/]",
    "\x1b[31mash\x1b[0m\x07",
    "one\ntwo\tthree",
    "{year} %s {0.__class__}",
]


@pytest.mark.parametrize("text", HOSTILE)
def test_typed_text_is_shown_as_text(season: Season, text: str) -> None:
    """On one line, without a control character, never as a formula or as markup."""
    hazard: AnyEntry = replace(note(text, block="Ledge"), hazard=True)
    season.record(
        hazard,
        count("Ledge/Cedar", "tapping", 57),
        finish("Ledge/Cedar", "tapping", text),
        Valve(block="Creek", line="Spring", who="Wim", state="shut", reason=text, **stamp()),
    )
    told = report(season)
    plain = " ".join("".join(c for c in text if c.isprintable() or c in "\n\t").split())
    by_kind = {row.what: row for row in told.rows}
    assert by_kind["hazard"].then == plain
    assert by_kind["line"].why == plain
    assert by_kind["valve"].then == f"shut: {plain}"
    assert row_words(by_kind["hazard"]).endswith(f"{plain} (it still stands in the woods)")
    for line in proposal_lines(told, width=300):
        assert line.isprintable()
    (listing,) = proposal_listings(told)
    is_sound(listing)
    cell = list(csv.DictReader(io.StringIO(listing_csv(listing))))[3]["then"]
    assert cell == ("'" + plain if plain[0] == "=" else plain)


def test_every_kind_that_is_taken_over_has_a_word(season: Season) -> None:
    work(season)
    season.record(
        trees("Creek/Ford", "12:120"),
        TapRule(rule="ours", unit="in", classes=(TapClass(from_dbh=9, taps=1),), **stamp()),
    )
    kinds = {type(change.entry) for change in changes(season, 2028, by="Oda", now=FALL)}
    assert kinds == set(KINDS)
    assert len({_(word) for word in KINDS.values()}) == len(KINDS)
