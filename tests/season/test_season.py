"""A season, open: names resolved, slips asked about, everything on disk or nothing."""

import errno
import os
from collections.abc import Iterator
from datetime import date

import pytest
from msgspec.structs import replace

from fieldbook.book.book import Book
from fieldbook.book.entry import (
    AnyEntry,
    Line,
    Note,
    Run,
    Setting,
    Step,
    TapClass,
    TapRule,
    TreeCount,
    Trees,
)
from fieldbook.errors import BookError, Doubtful, NotOnCrew, NotSaved
from fieldbook.season.checking import check_season
from fieldbook.season.ledger import Tally
from fieldbook.season.season import Season
from fieldbook.season.settings import RULES
from tests.conftest import DESK, NOW, PLAN, count, finish, note, refused, stamp


def done(season: Season, task: str = "tapping") -> int:
    return season.ledger.cell(season.plan.find_task(task)).tally.done


def ticked(text: str, *, task: str = "tapping") -> Step:
    return Step(block="Ledge", line="Cliff", task=task, who="Oda", step=text, **stamp())


# --- begun -------------------------------------------------------------------------------------


def test_a_new_season_records_its_rules_and_checklist(book: Book) -> None:
    season = Season.begin(book, "buckets", by="Oda", now=NOW)
    kinds = [entry.kind for entry in season.log()]
    assert kinds == ["setting"] * len(RULES) + ["checklist"]
    assert {e.setting: e.value for e in season.log() if isinstance(e, Setting)} == {
        rule.name: rule.default_for(2027) for rule in RULES
    }
    assert season.plan.recorded("workdays") is not None
    assert [task.key for task in season.plan.tasks] == ["tapping", "hanging", "drips", "pulling"]
    assert check_season(season, NOW) == []


# --- trees, rules for taps, runs ---------------------------------------------------------------

TALLY = (TreeCount(dbh_in=12, count=40),)


def test_a_tally_is_of_a_line_that_is_there(season: Season) -> None:
    (kept,) = season.record(Trees(block="led", line="1", classes=TALLY, **stamp()))
    assert (kept["block"], kept["line"]) == ("Ledge", "Cliff")
    assert season.last_keyed("Oda") == kept
    for block, line in (("Far", "Cliff"), ("Ledge", "Ford")):
        draft = Trees(block=block, line=line, classes=TALLY, **stamp())
        assert " is called " in refused(lambda draft=draft: season.record(draft))[0]  # type: ignore[misc]


def test_a_rule_for_taps_that_does_not_rise_is_refused(season: Season) -> None:
    def ours(*limits: tuple[float, int]) -> TapRule:
        classes = tuple(TapClass(from_dbh=from_dbh, taps=taps) for from_dbh, taps in limits)
        return TapRule(rule="ours", unit="in", classes=classes, **stamp())

    for wrong in (ours(), ours((12, 1), (10, 2)), ours((12, 1), (12, 2)), ours((12, 2), (18, 1))):
        message, _hint, _code = refused(lambda wrong=wrong: season.record(wrong))  # type: ignore[misc]
        assert message.startswith("'ours' is no rule for taps: ")
    setting = Setting(setting="tap_rule", value="ours", **stamp())
    assert refused(lambda: season.record(setting))[0] == "There is no rule 'ours' for taps."
    season.record(ours((12, 1), (18, 2)), setting)  # together, in this order
    assert season.plan.tap_rule.name == "ours"


@pytest.mark.parametrize("day", ["2026-08-31", "2027-09-01"])
def test_a_run_belongs_to_the_season(season: Season, day: str) -> None:
    message, _hint, _code = refused(lambda: season.record(Run(sap_gal=1, **stamp(day))))
    assert message.startswith(f"{day} is outside season 2027")
    (kept,) = season.record(Run(sap_gal=1, **stamp("2026-09-01")))
    assert list(season.standing_work) == [kept] == [season.last_keyed("Oda")]


# --- names -------------------------------------------------------------------------------------


def test_what_is_typed_short_is_recorded_in_full(season: Season) -> None:
    counted, step, hazard = season.record(
        count("led/1", "tap", 20, who="per"),
        ticked("CLEAR"),
        Note(text="look up", block="creek", line="fo", task="pulling taps", who="w", **stamp()),
    )
    assert [counted[name] for name in ("block", "line", "task", "who")] == [
        "Ledge",
        "Cliff",
        "tapping",
        "Perrin",
    ]
    assert step["step"] == "clear of old holes"
    assert [hazard[name] for name in ("block", "line", "task", "who")] == [
        "Creek",
        "Ford",
        "pulling",
        "Wim",
    ]
    assert list(Book.open(season.book.path).entries)[-3:] == [counted, step, hazard]
    assert done(season) == 20


@pytest.mark.parametrize(
    ("draft", "words", "hint"),
    [
        (count("Lodge/Cliff", "tapping", 1), "No block is called 'Lodge'", "Ledge"),
        (count("Ledge/Clif f", "tapping", 1), "No line of Ledge is called 'Clif f'", "Cliff"),
        (count("Ledge/Ford", "tapping", 1), "No line of Ledge is called 'Ford'", "Did you mean"),
        (count("Ledge/Cliff", "taping", 1), "No task is called 'taping'", "tapping"),
        (count("Ledge/Cliff", "washing", 1), "No task is called 'washing'", "Did you mean"),
        (count("Ledge/Cliff", "tapping", 1, who="Peron"), "Peron is not on the crew", "Perrin"),
        (ticked("blunt bit"), "'blunt bit' is not a step of tapping", "sharp, clean bit; clear"),
        (ticked("s"), "'s' is not a step of tapping", "sharp, clean bit; clear"),
        (note("x", block="Nowhere"), "No block is called 'Nowhere'", "Did you mean"),
        (note("x", block="Ledge", line="9"), "No line of Ledge is called '9'", "Cliff, Cedar"),
        pytest.param(
            note("x", line="Nowhere"),
            "Nowhere",
            "",
        ),
    ],
)
def test_what_the_plan_does_not_know_is_refused_and_names_the_nearest(
    season: Season, draft: AnyEntry, words: str, hint: str
) -> None:
    before = len(season.log())
    got = refused(lambda: season.record(note("fine"), draft))
    assert words in got[0]
    assert hint in got[1]
    assert len(season.log()) == before


def test_somebody_new_can_be_told_from_a_wrong_name(season: Season) -> None:
    with pytest.raises(NotOnCrew) as error:
        season.record(count("Ledge/Cliff", "tapping", 20, who="Ilse"))
    assert error.value.person == "Ilse"


@pytest.mark.parametrize("day", ["2026-08-31", "2027-09-01", "2017-02-09"])
def test_a_day_outside_the_season_is_refused(season: Season, day: str) -> None:
    message, hint, _code = refused(
        lambda: season.record(count("Ledge/Cliff", "tapping", 1, day=day))
    )
    assert message == (f"{day} is outside season 2027, which runs from 2026-09-01 to 2027-08-31.")
    assert "--season" in hint


@pytest.mark.parametrize("day", ["2026-09-01", "2027-08-31"])
def test_the_first_and_last_day_belong_to_the_season(season: Season, day: str) -> None:
    season.record(count("Ledge/Cliff", "tapping", 1, day=day))
    assert done(season) == 1


# --- slips of the finger: over twice the plan and ten more (common practice, no source) ---------


@pytest.mark.parametrize(
    ("where", "task", "most"),
    [
        ("Ledge/Cliff", "tapping", 94),  # 2 x 42 + 10
        ("Ledge/Cliff", "leaks", 12),  # 2 x 1 + 10
        ("Ledge/Cedar", "drops", 130),  # none due: twice its 60 taps, and 10
        ("Creek/Ford", "tensioning", 250),  # unknown: twice its 120 taps, and 10
        ("Creek/Culvert", "tapping", 1000),  # no plan, no taps
    ],
)
def test_a_count_far_over_the_plan_is_asked_about(
    season: Season, where: str, task: str, most: int
) -> None:
    with pytest.raises(Doubtful, match="would make") as doubt:
        season.record(count(where, task, most + 1))
    assert "--really" in doubt.value.hint
    assert done(season, task) == 0
    season.record(count(where, task, most))
    assert done(season, task) == most


def test_4200_on_a_line_of_42_taps_is_taken_when_confirmed(season: Season) -> None:
    slip = count("Ledge/Cliff", "tapping", 4200)
    with pytest.raises(Doubtful) as doubt:
        season.record(slip)
    assert doubt.value.message == "4200 on Cliff would make 4200, planned 42."
    season.record(slip, really=True)
    season.record(count("Ledge/Cliff", "tapping", 0))  # nobody doubts a nought
    assert done(season) == 4200


@pytest.mark.parametrize(
    ("usual", "odd", "asked"),
    [
        # 257 taps of 6 gal are 1,542, or 5,837.1 l (3.785412 l a gallon: NIST SP 811); from memory
        (Run(sap_gal=1542, **stamp()), Run(sap_gal=1545, **stamp()), "1,545 gal are 6.0 a tap"),
        (Run(sap_l=5837, **stamp()), Run(sap_l=58_370, **stamp()), "15,420 gal are 60.0 a tap"),
        (Run(brix=12, **stamp()), Run(brix=12.1, **stamp()), "12.1 Brix is sweet for sap."),
    ],
)
def test_a_run_that_trees_do_not_give_is_asked_about(
    season: Season, usual: Run, odd: Run, asked: str
) -> None:
    season.record(usual)
    with pytest.raises(Doubtful) as doubt:
        season.record(odd)
    assert doubt.value.message.startswith(asked)
    assert "--really" in doubt.value.hint
    assert len(season.ledger.runs) == 1
    season.record(odd, really=True)
    assert len(season.ledger.runs) == 2


def test_of_woods_without_taps_nobody_knows_how_much_sap_is_much(book: Book) -> None:
    season = Season.begin(book, "buckets", by="Oda", now=NOW)
    season.record(Run(sap_gal=4_000_000, **stamp()))
    assert len(season.ledger.runs) == 1


def test_what_is_there_already_and_what_comes_along_is_added_up(season: Season) -> None:
    season.record(count("Ledge/Cliff", "tapping", 50))
    with pytest.raises(Doubtful, match="would make 100"):
        season.record(count("Ledge/Cliff", "tapping", 50))
    with pytest.raises(Doubtful, match="100 on Cedar would make 150"):
        season.record(*(count("Ledge/Cedar", "tapping", units) for units in (50, 100)))
    assert done(season) == 50


def test_a_recount_of_a_line_that_is_done_is_asked_about(season: Season) -> None:
    """33 taps where 42 were keyed: counted again, or 33 more?"""
    monday = count("Ledge/Cliff", "tapping", 3, day="2027-02-08")
    season.record(count("Ledge/Cliff", "tapping", 42), monday)  # another day's is another count
    with pytest.raises(Doubtful) as doubt:
        season.record(count("Ledge/Cliff", "tapping", 33))
    assert doubt.value.message == "Cliff is done with 45: 33 would be added, 78 in all."
    assert doubt.value.hint.startswith("If it was counted again, strike the count before")
    season.record(count("Ledge/Cliff", "tapping", 33), really=True)


# --- together or not at all --------------------------------------------------------------------


def test_several_are_recorded_together_or_not_at_all(
    season: Season, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_room(*_args: object) -> int:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    drafts: list[AnyEntry] = [
        count("Ledge/Cliff", "tapping", 20),
        finish("Ledge/Cedar", "tapping", "ice"),
    ]
    before = season.log()
    with pytest.raises(BookError, match="Clif f"):
        season.record(*drafts, count("Ledge/Clif f", "tapping", 1))
    with monkeypatch.context() as disk:
        disk.setattr("fieldbook.book.journal.os.write", no_room)
        with pytest.raises(NotSaved):
            season.record(*drafts)
    assert season.log() == before
    assert done(season) == 0
    season.record(*drafts)
    assert [e.number for e in season.log()[-2:]] == [len(before) + 1, len(before) + 2]


def test_a_preview_changes_nothing(season: Season) -> None:
    before = season.log()
    preview = season.preview([count("Ledge/Cliff", "tapping", 42)])
    assert preview.cell(season.plan.find_task("tapping")).tally == Tally(
        planned=257, done=42, left=215
    )
    assert (season.log(), done(season)) == (before, 0)


def test_a_strike_is_in_the_ledger_and_on_disk(season: Season) -> None:
    wrong, right = season.record(
        count("Ledge/Cliff", "tapping", 42), count("Ledge/Cedar", "tapping", 60)
    )
    season.strike(wrong.id, "was Cedar", by="Oda", now=NOW)
    assert done(season) == done(Season(Book.open(season.book.path))) == 60
    assert [e.id for e in season.log()][-3:-1] == [wrong.id, right.id]
    with pytest.raises(BookError, match="struck already"):
        season.strike(wrong.id, "again", by="Oda", now=NOW)


def test_as_of_a_day_the_season_is_seen_as_it_was(season: Season) -> None:
    season.record(count("Ledge/Cliff", "tapping", 20, day="2027-02-08"))
    season.record(count("Ledge/Cliff", "tapping", 22, day="2027-02-09"))
    assert done(Season(season.book, as_of=date(2027, 2, 8))) == 20


# --- looking back ------------------------------------------------------------------------------


def test_the_last_entry_somebody_keyed_here_that_still_stands(season: Season) -> None:
    def keyed(units: int, by: str) -> AnyEntry:
        return replace(count("Ledge/Cliff", "tapping", units), by=by)

    first, second, _other = season.record(keyed(20, "Wim"), keyed(21, "Wim"), keyed(1, "Oda"))
    assert season.last_keyed("Wim") == second
    season.strike(second.id, "counted twice", by="Wim", now=NOW)
    assert season.last_keyed("Wim") == first  # a strike is no work
    assert season.last_keyed("Perrin") is None
    elsewhere = Season(Book.open(season.book.path, desk="b3x9m"))
    assert elsewhere.last_keyed("Wim") is None


@pytest.fixture
def two_winters(book: Book) -> Iterator[Season]:
    """Season 2028 with the same plan, and all but Ford worked in 2027."""
    before = Season.begin(book, "vacuum", by="Oda", now=NOW)
    before.record(*(entry for entry in PLAN if entry["kind"] != "line" or entry["line"] != "Ford"))
    before.record(count("Ledge/Cliff", "tapping", 41))
    following = Book.begin_season(book.path, 2028, desk=DESK)
    season = Season.begin(following, "vacuum", by="Oda", now=NOW)
    season.record(*PLAN)
    yield season
    following.close()


def test_last_years_count_on_a_line(two_winters: Season) -> None:
    tapping = two_winters.plan.find_task("tapping")
    last_year = {
        line.line: two_winters.last_count(line, tapping) for line in two_winters.plan.lines
    }
    assert last_year == {"Cliff": 41, "Cedar": 0, "Ford": None, "Spring": 0, "Culvert": 0}
    assert two_winters.last is not None
    assert (two_winters.last.year, two_winters.last.last) == (2027, None)
    with pytest.raises(NotSaved, match="reading only"):
        two_winters.last.record(note("too late"))


def test_the_first_season_has_none_before_it(season: Season) -> None:
    assert season.last is None
    assert season.last_count(next(season.plan.lines), season.plan.find_task("tapping")) is None


def test_work_on_a_line_struck_from_the_plan_is_reported(season: Season) -> None:
    (work,) = season.record(count("Ledge/Cliff", "tapping", 42))
    (cliff,) = (e for e in season.log() if isinstance(e, Line) and e.line == "Cliff")
    season.strike(cliff.id, "not ours", by="Oda", now=NOW)
    (problem,) = check_season(season, NOW)
    assert problem.where == work.id
    assert problem.what.startswith("tapping on Ledge / Cliff, which the plan does not have")
    assert problem.grave
