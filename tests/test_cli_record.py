"""Keying work into a book, crossing it out, the rules, and what bad input gets.

Tables are in `season/test_importing`.
"""

import errno
import json
import os
from pathlib import Path
from typing import Any

import pytest

from fieldbook.season.settings import RULES
from tests.conftest import NOW
from tests.scenarios import Shell, quillby

CLIFF = "record --block Ledge --line Cliff --task tapping"


@pytest.fixture
def book(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Shell:
    """Quillby Hollow: Cliff 42 taps, Cedar 60, Ford 120, Spring 35, Sugar Lot 20."""
    return quillby(Shell(tmp_path, monkeypatch, capsys))


def newest(book: Shell, *keys: str) -> list[Any]:
    """Fields of the entry written last."""
    entry = json.loads(book.journal().splitlines()[-1])
    return [entry.get(key) for key in keys]


def recorded(book: Shell, options: str) -> str:
    """Record on Cliff; the id of the entry."""
    return book.does(f"{CLIFF} {options}").split()[0]


# --- record ------------------------------------------------------------------------------------


def test_a_count_is_saved_and_says_how_far_the_line_has_come(book: Shell) -> None:
    answer = book.asks(f"{CLIFF} --count 40 --who Wim --hours 1.5 --note 'ice, then mud'")
    assert answer.code == 0
    assert answer.err == ""
    said = answer.out.partition(" saved: ")[2]
    assert said == "Wim, 40 taps, 1.5 h: ice, then mud, Ledge / Cliff (40 of 42)\n"
    kept = newest(book, "kind", "count", "who", "by", "hours", "at", "noted")
    assert kept == ["count", 40, "Wim", "Oda", 1.5, NOW.isoformat(), NOW.isoformat()]


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ("--finish", "Oda, finished tapping, Ledge / Cliff"),
        ("--finish 'five fell'", "Oda, finished tapping: five fell, Ledge / Cliff"),
        ("--count 40 --finish 'two fell'", "Oda, finished tapping: two fell, Ledge / Cliff"),
        ("--aside ice", "Oda, set aside tapping: ice, Ledge / Cliff"),
        ("--reopen 'ice gone'", "Oda, reopened tapping: ice gone, Ledge / Cliff"),
        ("--step sharp", "Oda, [x] sharp, clean bit, Ledge / Cliff"),
        ("--untick sharp", "Oda, [ ] sharp, clean bit, Ledge / Cliff"),
        ("--note 'owl in the box'", "owl in the box, Ledge / Cliff"),
        ("--hazard 'hung-up beech'", "! hung-up beech, Ledge / Cliff"),
    ],
)
def test_other_things_to_record(book: Shell, options: str, said: str) -> None:
    assert book.does(f"{CLIFF} {options}").splitlines()[-1].partition(" saved: ")[2] == said


@pytest.mark.parametrize(
    ("given", "day"),
    [
        ("", "2027-02-09T16:30:00-05:00"),
        ("--date yesterday", "2027-02-08T12:00:00-05:00"),
        ("--date mon", "2027-02-08T12:00:00-05:00"),
        ("--date '20 Dec'", "2026-12-20T12:00:00-05:00"),
        ("--date 2026-09-01", "2026-09-01T12:00:00-05:00"),
    ],
)
def test_the_day_of_the_work(book: Shell, given: str, day: str) -> None:
    book.does(f"{CLIFF} --count 1 {given}")
    assert newest(book, "at") == [day]


def test_names_may_be_short_and_a_block_without_lines_needs_none(book: Shell) -> None:
    assert "Perrin, 5 taps, Creek / Ford" in book.does(
        "record --block cre --line fo --task tap --who per --count 5"
    )
    assert "Oda, 9 taps, Sugar Lot (9 of 20)" in book.does(
        "record --block sugar --task tapping --count 9"
    )


def test_what_is_open_of_a_block_is_set_aside_together(book: Shell) -> None:
    book.does("record --block Creek --line Spring --task tapping --count 35")
    out = book.does("record --block Creek --task tapping --aside 'ice on the ford'")
    assert [line.partition(" saved: ")[2] for line in out.splitlines()] == [
        "Oda, set aside tapping: ice on the ford, Creek / Ford"
    ]
    answer = book.asks("record --block Creek --task tapping --aside 'again'")
    assert (answer.code, answer.err) == (2, "No line of Creek is open in tapping.\n")


@pytest.mark.parametrize(
    ("line", "words", "way_out"),
    [
        (f"{CLIFF}", "There is nothing to record.", "Give --count, --finish"),
        ("record --task tapping --count 1", "Work belongs to a block", "Give --block and --task"),
        ("record --block Ledge --count 1", "Work belongs to a block", "Give --block and --task"),
        (
            "record --block Lodge --line Cliff --task tapping --count 1",
            "No block is called 'Lodge'.",
            "Did you mean: Ledge?",
        ),
        (
            "record --block Ledge --line Clif_f --task tapping --count 1",
            "No line of Ledge is called 'Clif_f'.",
            "Did you mean: Cliff?",
        ),
        (
            "record --block Ledge --line Cliff --task taping --count 1",
            "No task is called 'taping'.",
            "Did you mean: tapping",
        ),
        (
            f"{CLIFF} --count 4200",
            "4200 on Cliff would make 4200, planned 42.",
            "If it is right, say so with --really.",
        ),
        (
            f"{CLIFF} --count 1 --date 2027-09-01",
            "2027-09-01 is outside season 2027, which runs from 2026-09-01 to 2027-08-31.",
            "Check the date, or open the season it belongs to with --season.",
        ),
        (
            f"{CLIFF} --count 1 --date 03/04/2027",
            "'03/04/2027' is not a date that can be read one way only.",
            "Write it as 2027-02-09, 9 Feb, today or yesterday.",
        ),
        (
            f"{CLIFF} --count 1 --who Ilse",
            "Ilse is not on the crew.",
            "A new hand on the crew: record it with --add.",
        ),
        (f"{CLIFF} --step blunt", "'blunt' is not a step of tapping.", "sharp, clean bit"),
        (f"{CLIFF} --aside ''", "That cannot be recorded", "Change the field named"),
        (f"{CLIFF} --count 1000001 --really", "That cannot be recorded", "Change the field"),
    ],
)
def test_what_cannot_be_recorded(book: Shell, line: str, words: str, way_out: str) -> None:
    before = book.journal()
    answer = book.asks(line)
    assert (answer.code, answer.out) == (2, "")
    assert answer.err.startswith(words)
    assert way_out in answer.err
    assert book.journal() == before


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ("--count -5", "'-5' is not a whole number from 0; a count that was too high is struck"),
        ("--count 4.5", "'4.5' is not a whole number from 0"),
        ("--count many", "'many' is not a whole number from 0"),
        ("--count 1 --hours -1", "'-1' is not a number of hours from 0 to 1000"),
        ("--count 1 --hours nan", "'nan' is not a number of hours"),
        ("--tally 5", "unrecognized arguments"),
    ],
)
def test_what_is_no_number_is_wrong_use(book: Shell, options: str, words: str) -> None:
    before = book.journal()
    answer = book.asks(f"{CLIFF} {options}")
    assert (answer.code, answer.out) == (2, "")
    assert words in answer.err
    assert book.journal() == before


def test_an_absurd_count_and_a_new_hand_are_taken_when_confirmed(book: Shell) -> None:
    assert "4200 taps" in book.does(f"{CLIFF} --count 4200 --really").replace(",", "")
    out = book.does(f"{CLIFF} --count 1 --really --who Ilse --add")
    assert "Ilse, 1 taps" in out
    assert "Ilse" in [person["name"] for person in book.exports("people")]


@pytest.mark.parametrize(("answer", "code"), [("y\n", 0), ("Yes\n", 0), ("n\n", 2), ("\n", 2)])
@pytest.mark.parametrize(
    ("options", "question"),
    [
        ("--count 4200", "planned 42. Record it all the same? [y/N] "),
        ("--count 1 --who Ilse", "Ilse is not on the crew. Add Ilse? [y/N] "),
    ],
)
def test_at_a_terminal_it_asks(
    book: Shell,
    monkeypatch: pytest.MonkeyPatch,
    options: str,
    question: str,
    answer: str,
    code: int,
) -> None:
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr("sys.stderr.isatty", lambda: True, raising=False)
    monkeypatch.setattr("builtins.input", lambda: answer.strip())
    before = book.journal()
    got = book.asks(f"{CLIFF} {options}")
    assert got.code == code
    assert question in got.err
    assert (book.journal() == before) == (code == 2)


# --- strike ------------------------------------------------------------------------------------


def test_a_mistake_is_crossed_out_and_stays_readable(book: Shell) -> None:
    entry = recorded(book, "--count 42")
    before = book.journal()
    answer = book.asks(f"strike {entry} --reason 'was Cedar' --by Wim")
    assert answer.code == 0
    assert answer.out.endswith(f" saved: {entry} is struck\n")
    assert book.journal().startswith(before)
    assert book.done() == {}
    assert "~ tapping: 42 taps  [struck by Wim, " in book.does("log Cliff struck")


def test_what_cannot_be_struck(book: Shell) -> None:
    entry = recorded(book, "--count 42")
    strike = book.does(f"strike {entry} --reason 'was Cedar'").split()[0]
    before = book.journal()
    for line, words in (
        (f"strike {entry} --reason again", f"{entry} was struck already by Oda: was Cedar"),
        (f"strike {strike} --reason x", f"{strike} is itself a strike"),
        ("strike zzzzz-1 --reason x", "There is no entry zzzzz-1 in season 2027."),
        ("strike nonsense --reason x", "There is no entry nonsense in season 2027."),
        (f"strike {entry}", "--reason"),
        ("strike", "ID"),
    ):
        answer = book.asks(line)
        assert (answer.code, answer.out) == (2, "")
        assert words in answer.err
    entry = recorded(book, "--count 1")
    assert "A strike needs a reason." in book.asks(f"strike {entry} --reason '  '").err
    assert book.journal().startswith(before)
    assert book.does("log Cliff count").count("\n") == 3  # head and two counts


# --- settings ----------------------------------------------------------------------------------


def test_the_rules_are_shown_and_changed(book: Shell) -> None:
    answer = book.asks("setting")
    assert answer.out.splitlines() == [f"{r.name} = {r.default_for(2027)}" for r in RULES]
    assert answer.err.splitlines() == [f"  {rule.about} ({rule.source})" for rule in RULES]
    before = book.journal()
    assert book.does("setting workdays") == "workdays = MO,TU,WE,TH,FR,SA\n"
    assert book.journal() == before
    assert book.does("setting workdays sa,mo") == "workdays = MO,SA\n"
    answer = book.asks("setting tie_spacing_ft 30")
    assert (answer.code, answer.out) == (0, "tie_spacing_ft = 30.0\n")
    assert answer.err.startswith("  Distance between side ties, in feet. (the crew's own (")
    assert answer.err.endswith("; by default 35: 30-40 ft: common practice, no source)\n")
    assert "; by default MO,TU,WE,TH,FR,SA: " in book.asks("setting workdays sa,mo").err


def test_the_rule_for_taps_is_one_of_those_there_are(book: Shell) -> None:
    answer = book.asks("setting tap_rule ours")
    assert (answer.code, answer.out) == (2, "")
    assert answer.err.startswith("There is no rule 'ours' for taps.\n  The rules are: traditional")
    assert book.does("setting tap_rule traditional") == "tap_rule = traditional\n"
    book.imports(rules="rule,from_in,taps\nours,11,1\n")
    for typed in ("ours", "OURS", " Ours "):
        assert book.does("setting tap_rule", typed) == "tap_rule = ours\n"
    assert book.does("setting tap_rule Quebec-Private") == "tap_rule = quebec-private\n"


@pytest.mark.parametrize("name", ["own", "OWN", "conservative", "Traditional", "quebec-public"])
def test_a_rule_of_the_crews_is_not_called_like_another(book: Shell, name: str) -> None:
    before = book.journal()
    answer = book.imports(rules=f"rule,from_in,taps\n{name},11,1\n")
    assert answer.code == 1
    assert f"There is a rule '{name}' for taps already" in answer.out
    assert book.journal() == before


def test_a_line_whose_number_is_beyond_all_reason_is_not_found(book: Shell) -> None:
    answer = book.asks(f"record --block Ledge --line {'9' * 5000} --task tapping --count 1")
    assert (answer.code, answer.out) == (2, "")
    assert answer.err.startswith("No line of Ledge is called '999")


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("setting tie_space", "There is no setting 'tie_space'."),
        ("setting tie_space 30", "There is no setting 'tie_space'."),
        ("setting tie_spacing_ft none", "'none' will not do for tie_spacing_ft."),
        ("setting drop_cycle_years 0", "Write a whole number from 1 to 50."),
        ("setting workdays MO,FUN", "Write days of the week such as MO,TU,WE,TH,FR,SA."),
        ("setting season_ends 31/8/2027", "Write a date such as 2027-02-09."),
        ("setting days_off 2027-02-30", "Write a date such as 2027-02-09."),
        ("setting own_most_taps 11", "Write a whole number from 1 to 10."),
    ],
)
def test_other_settings_are_refused(book: Shell, line: str, words: str) -> None:
    before = book.journal()
    answer = book.asks(line)
    assert (answer.code, answer.out) == (2, "")
    assert words in answer.err
    assert book.journal() == before


def test_a_season_does_not_end_before_it_begins(book: Shell) -> None:
    assert book.asks("setting season_begins 2029-01-01").code == 2


def test_a_folder_that_may_not_be_written_keeps_nothing(
    book: Shell, monkeypatch: pytest.MonkeyPatch
) -> None:
    entry = recorded(book, "--count 1")
    book.write("counts.csv", "date,block,line,task,count\n2027-02-09,Ledge,Cliff,tapping,2\n")
    before = book.journal()
    really_open = os.open

    def read_only(path: str, flags: int, *more: int) -> int:
        if flags & (os.O_WRONLY | os.O_RDWR):
            raise OSError(errno.EROFS, os.strerror(errno.EROFS), path)
        return really_open(path, flags, *more)

    for line in (
        f"{CLIFF} --count 1",
        f"strike {entry} --reason x",
        "setting tie_spacing_ft 30",
        "import counts.csv",
    ):
        with monkeypatch.context() as disk:
            disk.setattr("os.open", read_only)
            answer = book.asks(line)
        assert answer.code == 3, line
        assert "Not saved: " in answer.err
        assert "Read-only file system" in answer.err
        assert " saved: " not in answer.out
    assert book.journal() == before
    with monkeypatch.context() as disk:
        disk.setattr("os.open", read_only)
        assert book.asks("summary").code == 0  # to read it, it need not be written


# --- what is easily lost -------------------------------------------------------------------------


def test_a_note_and_a_hazard_are_both_kept(book: Shell) -> None:
    book.does(f"{CLIFF} --hazard 'hung-up beech' --note 'owl in the box'")
    assert "owl in the box" in book.does("log")


def test_hours_without_a_count_are_not_dropped_without_a_word(book: Shell) -> None:
    answer = book.asks(f"{CLIFF} --finish --hours 2")
    assert answer.code == 2 or newest(book, "hours") == [2]


def test_a_refused_count_leaves_no_new_hand_behind(book: Shell) -> None:
    before = book.journal()
    assert book.asks(f"{CLIFF} --count 4200 --who Ilse --add").code == 2
    assert book.journal() == before


def test_a_count_without_its_line_is_not_put_on_one_that_sounds_alike(book: Shell) -> None:
    book.imports(more="block,line,taps_planned\nFar,Far gate,12\nFar,Back,30\n")
    assert book.asks("record --block Far --task tapping --count 9").code == 2


def test_no_answer_at_all_is_a_no(book: Shell, monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl-D at the question."""

    def hung_up() -> str:
        raise EOFError

    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr("sys.stderr.isatty", lambda: True, raising=False)
    monkeypatch.setattr("builtins.input", hung_up)
    assert book.asks(f"{CLIFF} --count 4200").code == 2
