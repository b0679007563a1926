"""A season looked over: each thing that is not as it should be is told, and how grave it is."""

import json
import unicodedata
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
from msgspec.structs import replace

from fieldbook.book.book import Book
from fieldbook.book.codec import encode
from fieldbook.book.entry import (
    About,
    AnyEntry,
    Note,
    Person,
    Run,
    Setting,
    TapClass,
    TapRule,
    Target,
    TreeCount,
    Trees,
)
from fieldbook.book.lines import Problem
from fieldbook.season.checking import check_season
from fieldbook.season.season import CHECKLIST_COPY, Season
from fieldbook.season.settings import RULES
from tests.book.shelf import fresh, put, reports, shelf
from tests.conftest import (
    NOW,
    PLAN,
    aside,
    count,
    finish,
    journal_of,
    lines,
    note,
    numbered,
    sealed,
    stamp,
    strike,
    vacuum_checklist,
)
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
    spouts,
    taken,
    valve,
    write_off,
)

BASE = numbered(vacuum_checklist(), *PLAN)
TUESDAY = date(2027, 2, 9)


def told(book: Path, now: datetime = NOW) -> list[Problem]:
    return check_season(Season(Book.open(book)), now)


@pytest.fixture
def quillby(tmp_path: Path) -> Path:
    """The plan of Quillby Hollow, and nothing done."""
    return shelf(tmp_path, "quillby", *BASE)


def check(book: Path, *drafts: AnyEntry, now: datetime = NOW) -> list[tuple[str, str, bool]]:
    """What is told of some work: the entry's number, what is wrong, and whether it is grave."""
    put(book, *numbered(*drafts, desk="w4w4w", start=1))
    return [(p.where.removeprefix("w4w4w-"), p.what, p.grave) for p in told(book, now)]


def test_a_season_as_it_should_be_has_nothing_to_tell(quillby: Path) -> None:
    work = count("Ledge/Cliff", "tapping", 42), note("mud", block="Creek", line="Ford")
    assert check(quillby, *work, finish("Ledge/Cliff", "tapping")) == []


# --- what hangs in the air ---------------------------------------------------------------------


def test_work_that_is_in_no_total_is_grave(quillby: Path) -> None:
    assert check(
        quillby,
        count("Ledge/Old Row", "tapping", 12),
        finish("Ledge/Cliff", "boiling"),
        count("Ledge/Cliff", "washing", 1),  # a task this crew has turned off
    ) == [
        (str(number), f"{what}, which the plan does not have: in no total", True)
        for number, what in enumerate(
            [
                "tapping on Ledge / Old Row",
                "boiling on Ledge / Cliff",
                "washing on Ledge / Cliff",
            ],
            start=1,
        )
    ]


def about(block: str = "", line: str = "", task: str = "") -> tuple[Target, Note]:
    """A target and a note about the same."""
    return (
        Target(block=block, line=line, task=task or "tapping", planned=9, **stamp()),
        Note(block=block, line=line, task=task, text="look", **stamp()),
    )


@pytest.mark.parametrize(
    ("where", "missing"),
    [
        ({"block": "Far Lot"}, "block Far Lot"),
        ({"block": "Ledge", "line": "Old Row"}, "line Ledge / Old Row"),
        ({"block": "Far Lot", "line": "Old Row"}, "line Far Lot / Old Row"),
        ({"block": "Ledge", "line": "Ford"}, "line Ledge / Ford"),  # Ford is in Creek
        ({"task": "boiling"}, "task boiling"),
        ({"task": "boiling", "block": "Ledge"}, "task boiling"),
    ],
)
def test_targets_and_notes_that_name_what_is_not_there_are_mentioned(
    quillby: Path, where: dict[str, str], missing: str
) -> None:
    what = f"names {missing}, which the plan does not have"
    assert check(quillby, *about(**where)) == [("1", what, False), ("2", what, False)]


@pytest.mark.parametrize(
    "where", [{}, {"block": "Ledge", "line": "Cliff", "task": "tapping"}, {"task": "washing"}]
)
def test_targets_and_notes_about_the_season_a_line_or_a_resting_task_are_well(
    quillby: Path, where: dict[str, str]
) -> None:
    assert check(quillby, *about(**where)) == []


@pytest.mark.parametrize(("line", "told"), [("Cliff", False), ("Old Row", True)])
def test_a_tally_of_a_line_that_is_not_there_is_mentioned(
    quillby: Path, line: str, told: bool
) -> None:
    tally = Trees(block="Ledge", line=line, classes=(TreeCount(dbh_in=12, count=4),), **stamp())
    what = "names line Ledge / Old Row, which the plan does not have"
    assert check(quillby, tally) == ([("1", what, False)] if told else [])


OURS = TapRule(rule="ours", unit="in", classes=(TapClass(from_dbh=11, taps=1),), **stamp())


@pytest.mark.parametrize(
    "rules",
    [
        pytest.param([], id="nobody imported it"),
        pytest.param([OURS, strike(numbered(OURS, desk="w4w4w", start=1)[0])], id="struck"),
        # Nobody can record this one, but another copy may bring it.
        pytest.param(
            [replace(OURS, classes=(TapClass(from_dbh=11, taps=2), TapClass(from_dbh=20, taps=1)))],
            id="taps fall",
        ),
    ],
)
def test_a_rule_for_taps_that_is_set_and_not_there_is_grave(
    quillby: Path, rules: list[AnyEntry]
) -> None:
    got = check(quillby, *rules, Setting(setting="tap_rule", value="ours", **stamp()))
    what = "sets the rule 'ours' for taps, which is not there: conservative is used"
    assert got == [(str(len(rules) + 1), what, True)]


def test_a_rule_for_taps_that_is_there_is_well(quillby: Path) -> None:
    assert check(quillby, OURS, Setting(setting="tap_rule", value="ours", **stamp())) == []


def test_a_run_on_a_day_to_come_is_grave(quillby: Path) -> None:
    got = check(quillby, Run(sap_gal=12, **stamp("2027-03-09")))
    assert got == [("1", "is dated 2027-03-09, which is still to come", True)]


def test_work_of_strangers_is_mentioned_once_for_each(quillby: Path) -> None:
    ilse = count("Ledge/Cliff", "tapping", 20, who="Ilse")
    assert check(
        quillby, ilse, ilse, count("Ledge/Cedar", "tapping", 5, who="Bo"), note("Bo was here")
    ) == [
        ("3", "is work of Bo, who is not on the crew", False),
        ("1", "is work of Ilse, who is not on the crew", False),
    ]


def test_a_hand_who_was_crossed_out_is_a_stranger_and_one_added_later_is_none(
    quillby: Path,
) -> None:
    wim = next(e for e in BASE if isinstance(e, Person) and e.person == "Wim")
    work = [count("Ledge/Cliff", "tapping", 5, who=who) for who in ("Wim", "Ilse")]
    got = check(quillby, *work, strike(wim), Person(person="Ilse", **stamp()))
    assert got == [("1", "is work of Wim, who is not on the crew", False)]


# --- what was found, what is open, and what closes it ------------------------------------------


def test_all_that_happens_in_the_woods_is_well(quillby: Path) -> None:
    first = "w4w4w-1"
    assert (
        check(
            quillby,
            hazard(),
            settle(first),
            leak("Creek/Ford"),
            valve("Creek/Ford", "shut"),
            repair(),
            spouts("Wim", "issued", 50),
            out("Wim", "Creek"),
            back("Wim"),
            sheet("Ledge", "Cliff", "Cedar", task="washing"),  # a task this crew has turned off
            handoff("Ledge", "Creek", to="Perrin"),
            taken("w4w4w-10", who="Perrin"),
            write_off(About(what="leak", block="Creek", line="Ford", entry="w4w4w-3")),
            close(),
        )
        == []
    )


@pytest.mark.parametrize(
    ("draft", "missing"),
    [
        (leak("Ledge/Old Row"), ["line Ledge / Old Row"]),
        (valve("Far Lot/Old Row", "shut"), ["line Far Lot / Old Row"]),
        (repair("Far Lot"), ["block Far Lot"]),
        (out("Wim", "Ledge/Ford"), ["line Ledge / Ford"]),
        (sheet("Ledge", "Cliff", "Old Row", "Ford"), ["line Ledge / Old Row", "line Ledge / Ford"]),
        (sheet("Ledge", "Cliff", "Cedar", task="boiling"), ["task boiling"]),
        (handoff("Ledge", "Far Lot"), ["block Far Lot"]),
    ],
)
def test_what_was_found_or_is_open_where_the_plan_has_nothing_is_mentioned(
    quillby: Path, draft: AnyEntry, missing: list[str]
) -> None:
    words = [f"names {name}, which the plan does not have" for name in missing]
    assert check(quillby, draft) == [("1", what, False) for what in words]


@pytest.mark.parametrize(
    "draft",
    [
        leak("Ledge/Cliff", who="Ilse"),
        valve("Ledge/Cliff", "shut", who="Ilse"),
        repair(who="Ilse"),
        spouts("Ilse", "issued", 50),
        out("Ilse"),
        back("Ilse"),
        sheet("Ledge", "Cliff", who="Ilse"),
    ],
    ids=lambda draft: str(draft.kind),
)
def test_a_stranger_is_mentioned_whatever_they_did(quillby: Path, draft: AnyEntry) -> None:
    assert check(quillby, draft) == [("1", "is work of Ilse, who is not on the crew", False)]


def test_a_hand_off_to_a_stranger_is_mentioned(quillby: Path) -> None:
    got = check(quillby, handoff("Ledge", to="Ilse"), handoff("Creek", to="Wim"))
    assert got == [("1", "is for Ilse, who is not on the crew", False)]


def test_what_closes_an_entry_of_another_copy_is_mentioned(quillby: Path) -> None:
    what = "closes b3x9m-4, which is not in this season"
    got = check(quillby, settle("b3x9m-4"), taken("b3x9m-4"))
    assert got == [("1", what, False), ("2", what, False)]


def test_what_closes_an_entry_that_is_not_closed_so_is_grave(quillby: Path) -> None:
    assert check(
        quillby,
        note("owl in the box"),  # no hazard
        valve("Ledge/Cliff", "shut"),  # opened, not seen to
        settle("w4w4w-1"),
        settle("w4w4w-2"),
        taken("w4w4w-2"),
    ) == [
        *(
            (number, f"says that {of} is seen to, which is no hazard, leak, repair or sheet", True)
            for number, of in (("3", "w4w4w-1"), ("4", "w4w4w-2"))
        ),
        ("5", "takes w4w4w-2, which is no hand-off", True),
    ]


def test_a_hand_off_that_two_took_on_two_laptops_is_grave(quillby: Path) -> None:
    put(quillby, *numbered(handoff("Ledge"), desk="b3x9m"))
    twice = [taken("b3x9m-1", who="Wim"), taken("b3x9m-1", who="Perrin")]
    assert check(quillby, *twice) == [
        ("2", "takes b3x9m-1 for Perrin, which Wim took too (w4w4w-1)", True)
    ]
    (second,) = (problem for problem in told(quillby))
    assert "agree who has it" in second.advice


def test_closing_twice_what_was_seen_to_on_two_laptops_harms_nothing(quillby: Path) -> None:
    assert check(quillby, hazard(), settle("w4w4w-1"), settle("w4w4w-1")) == []


def test_a_word_that_was_struck_closes_nothing_and_is_not_told(quillby: Path) -> None:
    (wrong,) = numbered(settle("b3x9m-4"), desk="w4w4w")
    assert check(quillby, wrong, strike(wrong)) == []


# --- days --------------------------------------------------------------------------------------

DAYS = [("2026-08-31", True), ("2026-09-01", False), ("2027-02-09", False), ("2027-02-10", True)]


@pytest.mark.parametrize(("day", "odd"), DAYS)
def test_work_before_the_season_and_on_days_to_come_is_grave(
    quillby: Path, day: str, odd: bool
) -> None:
    got = check(
        quillby,
        count("Ledge/Cliff", "tapping", 5, day=day),
        aside("Ledge/Cedar", "leaks", "ice", day=day),
        note("mud", day=day),
    )
    assert [(number, grave) for number, _what, grave in got] == (
        [("1", True), ("2", True), ("3", True)] if odd else []
    )
    words = "still to come" if day > "2027" else "outside season 2027 (2026-09-01 to 2027-08-31)"
    assert all(f"is dated {day}" in what and words in what for _number, what, _grave in got)


def test_work_after_the_season_is_grave_when_that_day_has_come(quillby: Path) -> None:
    later = NOW.replace(year=2028)
    got = check(quillby, count("Ledge/Cliff", "tapping", 5, day="2027-09-01"), now=later)
    assert [(number, grave) for number, _what, grave in got] == [("1", True)]


def test_the_season_is_as_long_as_the_book_says(quillby: Path) -> None:
    begins = Setting(setting="season_begins", value="2027-01-01", **stamp())
    got = check(quillby, begins, count("Ledge/Cliff", "tapping", 5, day="2026-12-31"))
    assert [what for _number, what, _grave in got] == [
        "is dated 2026-12-31, outside season 2027 (2027-01-01 to 2027-08-31)"
    ]


def test_days_of_what_was_struck_and_of_the_plan_are_not_told(quillby: Path) -> None:
    (wrong,) = numbered(count("Ledge/Cliff", "tapping", 5, day="2027-03-09"), desk="w4w4w")
    late_plan = Target(task="tapping", wanted=date(2027, 3, 1), **stamp("2027-03-09"))
    assert check(quillby, wrong, strike(wrong), late_plan) == []


# --- clocks ------------------------------------------------------------------------------------


def by_clock(*hours: float, desk: str = "w4w4w") -> list[AnyEntry]:
    """A desk's counts, each written so many hours from now by its clock."""
    work = numbered(*(count("Ledge/Cliff", "tapping", 5) for _hour in hours), desk=desk)
    return [
        replace(entry, noted=NOW + timedelta(hours=hour))
        for entry, hour in zip(work, hours, strict=True)
    ]


@pytest.mark.parametrize(
    ("hours", "words"),
    [
        ((-9, -5, 0, 0.9), None),
        ((-5, -5.9, -5), None),  # the hour that is set back in autumn
        ((-5, -6.5), "the clock of desk w4w4w went back from w4w4w-1 to w4w4w-2: "),
        ((-5, 1.5), "the clock of desk w4w4w was ahead of this one at w4w4w-2: "),
        ((30_000, 2, -5, -9, 40), "the clock of desk w4w4w was ahead of this one at w4w4w-1: "),
    ],
)
def test_a_wrong_clock_is_mentioned_once_for_a_desk(
    quillby: Path, hours: tuple[float, ...], words: str | None
) -> None:
    put(quillby, *by_clock(*hours))
    got = told(quillby)
    assert [(problem.where, problem.grave) for problem in got] == (
        [] if words is None else [("desk w4w4w", False)]
    )
    assert all(problem.what.startswith(words or "") for problem in got)


def test_clocks_of_several_desks_are_told_apart(quillby: Path) -> None:
    put(quillby, *by_clock(0, -3), *by_clock(-5, 0, desk="b3x9m"), *by_clock(9, desk="c4c4c"))
    assert [problem.where for problem in told(quillby)] == ["desk c4c4c", "desk w4w4w"]


def test_a_clock_is_right_whatever_its_zone(quillby: Path) -> None:
    entries = by_clock(-1, 0)
    put(quillby, replace(entries[0], noted=entries[0].noted.astimezone()), entries[1])
    assert told(quillby) == []


def test_a_wrong_clock_reorders_nothing(tmp_path: Path) -> None:
    """Wim's laptop thought it was 2001 for an evening, and 2043 for another."""
    wims = numbered(
        count("Ledge/Cliff", "tapping", 20, who="Wim"),
        replace(PLAN[2], taps_planned=50),
        aside("Ledge/Cedar", "tapping", "ice"),
        count("Ledge/Cedar", "tapping", 10, who="Wim"),
        desk="w4w4w",
        start=5,
    )
    ours = numbered(replace(PLAN[2], taps_planned=45), finish("Ledge/Cedar", "tapping"), start=13)
    wrong = [
        replace(entry, noted=entry.noted.replace(year=year))
        for entry, year in zip(wims, (2027, 2001, 2043, 2001), strict=True)
    ]
    right = shelf(tmp_path, "right", *BASE, *ours, *wims)
    off = shelf(tmp_path, "off", *BASE, *ours, *wrong)
    assert fresh(off) == fresh(right)
    as_off, as_right = reports(off, TUESDAY), reports(right, TUESDAY)
    assert any(not problem.grave and "clock" in problem.what for problem in told(off))
    logs = {name for name in as_right if name.startswith("log")}
    for name, text in as_right.items():
        if name not in logs:
            assert as_off[name] == text, name
    for name in ("log json", "log export json"):
        rows = [[{**e, "noted": ""} for e in json.loads(r[name])] for r in (as_off, as_right)]
        assert rows[0] == rows[1]


# --- lines that do not count -------------------------------------------------------------------


def test_gaps_are_mentioned(quillby: Path) -> None:
    put(quillby, *numbered(note("far"), desk="w4w4w", start=4))
    assert [(p.where, p.what, p.grave) for p in told(quillby)] == [
        ("desk w4w4w", "entries 1 to 3 of desk w4w4w are missing", False)
    ]


def test_a_strike_of_what_is_not_here_is_mentioned(quillby: Path) -> None:
    (theirs,) = numbered(note("theirs"), desk="b3x9m")
    assert check(quillby, strike(theirs)) == [
        ("1", "strikes b3x9m-1, which is not in this season", False)
    ]


def test_lines_that_are_set_apart_are_grave(quillby: Path) -> None:
    (cliff,) = numbered(count("Ledge/Cliff", "tapping", 42), desk="w4w4w")
    newer = sealed({"v": 2, "kind": "weather", "id": "w4w4w-2", "tick": 9})
    damaged = encode(cliff).replace(b":42", b":43")
    journal_of(quillby / "2027", "w4w4w").write_bytes(damaged + b"\n" + newer + b"\n{")
    got = told(quillby)
    assert [p.where for p in got] == [
        f"2027/desk-w4w4w.jsonl, byte {at}"
        for at in (0, len(damaged) + 1, len(damaged) + len(newer) + 2)
    ]
    assert all(p.grave and p.advice for p in got)
    assert [p.text for p in got][1:] == [newer.decode()[:160], "{"]
    assert got[0].text == damaged.decode()[:160] + "…"


def test_a_damaged_copy_of_a_line_that_is_here_is_only_mentioned(quillby: Path) -> None:
    (cliff,) = numbered(count("Ledge/Cliff", "tapping", 42), desk="w4w4w")
    torn = encode(cliff)[:-20] + b"\n"
    journal_of(quillby / "2027", "w4w4w").write_bytes(torn + lines(cliff))
    (problem,) = told(quillby)
    assert (problem.where, problem.grave) == ("2027/desk-w4w4w.jsonl, byte 0", False)
    assert "a damaged copy of w4w4w-1, which is here and counts" in problem.what
    assert Season(Book.open(quillby)).book.set_apart == 0


ESC = "\x1b]0;owned\x07\x1b[2J\x9b31m\u202e\r\x00"


@pytest.mark.parametrize(
    "line",
    [
        ESC.encode(),
        b"\x1b[2J\xff\xfe\x80\x00",
        sealed({"kind": "note", "id": "w4w4w-1", ESC: 1}),
        sealed({"kind": "note", "id": "w4w4w-1", ESC: 1}, ascii_only=True),
        sealed({"kind": ESC, "id": "w4w4w-1"}, ascii_only=True),
        sealed({"kind": "line", "id": "w4w4w-1", "layout": ESC}, ascii_only=True),
        sealed({"v": 2, "kind": ESC, "id": "w4w4w-1"}),
    ],
    ids=["text", "bytes", "field", "field, escaped", "kind", "choice", "newer"],
)
def test_no_line_set_apart_can_act_on_the_terminal(quillby: Path, line: bytes) -> None:
    journal_of(quillby / "2027", "w4w4w").write_bytes(line)
    assert [p.grave for p in told(quillby)][:1] == [True]
    assert_harmless(told(quillby))


def test_no_name_of_a_file_can_act_on_the_terminal(quillby: Path) -> None:
    """A shared folder brings files of any name; they are read like the others."""
    name = f"desk-w4w4w{ESC.translate({0: None})}.jsonl"
    (quillby / "2027" / name).write_bytes(b"torn")
    (quillby / "2027" / "set-apart").mkdir()
    (quillby / "2027" / "set-apart" / name).write_bytes(b"torn\n")
    assert told(quillby) != []
    assert_harmless(told(quillby))


def assert_harmless(problems: list[Problem]) -> None:
    for problem in problems:
        for text in (problem.where, problem.what, problem.advice, problem.text):
            assert not {c for c in text if unicodedata.category(c) in ("Cc", "Cf")}, text


# --- the checklist -----------------------------------------------------------------------------


def test_a_checklist_file_that_says_something_else_is_mentioned_and_a_broken_one_grave(
    season: Season,
) -> None:
    copy = season.book.path / "2027" / CHECKLIST_COPY
    where = "2027/checklist.toml"
    assert told(season.book.path) == []
    copy.write_text(copy.read_text("utf-8").replace('"Tapping"', '"Boring"'), "utf-8")
    assert [(p.where, p.grave) for p in told(season.book.path)] == [(where, False)]
    copy.write_text("name = ", "utf-8")
    assert [(p.where, p.grave) for p in told(season.book.path)] == [(where, True)]
    copy.unlink()
    assert told(season.book.path) == []


def test_many_days_to_come_are_told_once_and_the_clock_is_doubted(season: Season) -> None:
    season.record(*(count("Ledge/Cliff", "tapping", 1, day="2027-03-01") for _n in range(6)))
    (problem,) = check_season(season, NOW)
    assert problem.what == "6 entries are dated after today, 2027-02-09"
    first = len(RULES) + 1 + len(PLAN) + 1  # after the rules, the checklist and the plan
    assert problem.where == f"k7f2q-{first} and others"
    assert "clock" in problem.advice
    assert problem.grave
