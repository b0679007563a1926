"""People in the woods, what they leave open, and the count that must balance, by command.

Two weeks of it are played in `scenarios/test_nothing_forgotten`; what is open and why is worked
out in `season/test_items`.
"""

import csv
import io
import json
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from tests.conftest import EAST
from tests.scenarios import Shell, quillby

CLIFF = "record --block Ledge --line Cliff"
TAPPING = f"{CLIFF} --task tapping"
CAUTION = "The list of who is out is a reminder, not a rescue system: "


@pytest.fixture
def book(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Shell:
    """Quillby Hollow: Cliff 42 taps, Cedar 60, Ford 120, Spring 35, Sugar Lot 20.

    Nobody knows the age of Ford's drops: without anything recorded, that is the one open item.
    """
    return quillby(Shell(tmp_path, monkeypatch, capsys))


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Callable[[str], None]:
    """Set the clock on the wall, which stands at half past four on Tuesday 9 February."""

    def stands_at(wall: str) -> None:
        now = datetime.fromisoformat(wall).replace(tzinfo=EAST)
        monkeypatch.setattr("fieldbook.commands.common.now", lambda _book: now)

    return stands_at


def newest(book: Shell, *keys: str) -> list[Any]:
    """Fields of the entry written last."""
    entry = json.loads(book.journal().splitlines()[-1])
    return [entry.get(key) for key in keys]


def saved(book: Shell, line: str) -> tuple[str, str]:
    """The id of the entry a command writes, and what it says of it."""
    entry, _saved, said = book.does(line).splitlines()[0].partition(" saved: ")
    return entry, said


def is_open(book: Shell, options: str = "") -> list[tuple[str, str]]:
    """What is open and where, but for the age of Ford's drops."""
    told = json.loads(book.does(f"open-items --format json {options}"))
    return [(i["what"], i["where"]) for i in told if i["what"] != "drops' age"]


def refuses(book: Shell, line: str, code: int = 2) -> str:
    """What is said to a command that writes nothing."""
    before = book.journal()
    answer = book.asks(line)
    assert (answer.code, answer.out) == (code, ""), answer
    assert book.journal() == before
    return answer.err


# --- out and back ------------------------------------------------------------------------------


def test_who_goes_out_says_where_and_when_they_are_due(book: Shell) -> None:
    answer = book.asks(
        "out --who wim --block creek --line ford --due 17:45 --note 'with Perrin, radio on 3'"
    )
    assert answer.code == 0
    assert answer.out.partition(" saved: ")[2] == (
        "Wim, out at 16:30, due back 17:45: with Perrin, radio on 3, Creek / Ford\n"
    )
    assert answer.err.startswith(CAUTION)
    assert newest(book, "kind", "who", "block", "line", "at", "due", "by") == [
        *("out", "Wim", "Creek", "Ford"),
        *("2027-02-09T16:30:00-05:00", "2027-02-09T17:45:00-05:00", "Oda"),
    ]
    assert is_open(book) == [("out", "Creek / 1 Ford")]
    assert CAUTION in " ".join(book.does("open-items").split()) + " "
    assert saved(book, "back --who wim --note 'wet feet'")[1] == "Wim, back at 16:30: wet feet"
    assert is_open(book) == []
    assert CAUTION not in " ".join(book.does("open-items").split())


def test_whoever_writes_goes_out_and_where_need_not_be_said(book: Shell) -> None:
    book.does("out --due 1730 --by Perrin")
    assert newest(book, "who", "block", "line") == ["Perrin", None, None]
    told = json.loads(book.does("open-items --format json"))[0]
    assert (told["says"], told["where"], told["owner"]) == ("Perrin is out", "", "Perrin")


@pytest.mark.parametrize(
    ("options", "at", "due"),
    [
        ("--at 8:00 --due 16:30", "2027-02-09T08:00:00", "2027-02-09T16:30:00"),
        ("--date yesterday --at 8 --due 16h30", "2027-02-08T08:00:00", "2027-02-08T16:30:00"),
        ("--date 8-Feb --due 16.30", "2027-02-08T12:00:00", "2027-02-08T16:30:00"),
        ("--due 16:30", "2027-02-09T16:30:00", "2027-02-09T16:30:00"),
    ],
)
def test_the_hour_and_the_day_they_went(book: Shell, options: str, at: str, due: str) -> None:
    book.does(f"out --who Wim {options}")
    assert newest(book, "at", "due") == [f"{at}-05:00", f"{due}-05:00"]


@pytest.mark.parametrize(
    ("line", "words", "way_out"),
    [
        ("out --who Wim --due dusk", "'dusk' is not a time of the day.", "Write it as 16:30."),
        ("out --who Wim --due 17:30 --at 8am", "'8am' is not a time", "Write it as 16:30."),
        ("out --who Wim --due 17:30 --date 3/4/27", "'3/4/27' is not a date", "2027-02-09"),
        ("out --who Wim", "--due", ""),
        ("out --who Ilse --due 17:30", "Ilse is not on the crew.", "record it with --add"),
        ("out --who Wim --due 17:30 --block Lodge", "No block is called 'Lodge'.", "Ledge"),
        ("out --who Wim --due 17:30 --line Ford", "'Ford' is named without its block.", "block"),
        (
            "out --who Wim --due 15:30",
            "15:30 has gone by at 16:30, when they go out.",
            "Over midnight write tomorrow 15:30; or say when they went out.",
        ),
        ("out --who Wim --due 17:30 --as-of 2027-02-09", "--as-of belongs to reports.", "--date"),
        ("back --who Wim", "Wim is not out.", "Nobody is out."),
        ("back --who Ilse", "Ilse is not on the crew.", "record it with --add"),
        ("back --who Wim --at late", "'late' is not a time of the day.", "Write it as 16:30."),
    ],
)
def test_what_nobody_can_go_by_is_refused(book: Shell, line: str, words: str, way_out: str) -> None:
    said = refuses(book, line)
    assert words in said
    assert way_out in said


def test_who_is_late_when_they_are_keyed_in_is_overdue(book: Shell) -> None:
    said = saved(book, "out --who Wim --at 12:40 --due 15:30")[1]
    assert said == "Wim, out at 12:40, due back 15:30"
    assert json.loads(book.does("open-items --format json"))[0]["late_min"] == 60


@pytest.mark.parametrize("due", ["tomorrow 1:30", "10 Feb 1:30", "2027-02-10 01:30", "wed 0130"])
def test_over_midnight(book: Shell, due: str) -> None:
    said = saved(book, f"out --who Wim --due '{due}'")[1]
    assert said == "Wim, out at 16:30, due back Wed 10 Feb 01:30"


def test_back_names_who_is_out(book: Shell) -> None:
    book.does("out --who Wim --due 17:30")
    book.does("out --who Perrin --due 17:30")
    assert "Oda is not out.\n  Out are: Perrin, Wim.\n" in refuses(book, "back --who Oda")


def test_a_new_hand_goes_out_with_add(book: Shell) -> None:
    out = book.does("out --who Ilse --due 17:30 --add")
    assert [line.partition(" saved: ")[2] for line in out.splitlines()] == [
        "Ilse on the crew",
        "Ilse, out at 16:30, due back 17:30",
    ]


# --- what is found, promised, handed out ---------------------------------------------------------


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (f"{CLIFF} --leak 'squirrel'", "Oda, leak: squirrel, Ledge / Cliff"),
        (
            f"{CLIFF} --leak 'cut lateral' --lost-inhg 2.5 --who Wim",
            "Wim, leak: cut lateral, 2.5 inHg lost, Ledge / Cliff",
        ),
        (f"{CLIFF} --valve shut", "Oda, valve shut, Ledge / Cliff"),
        (f"{CLIFF} --valve shut --note splice", "Oda, valve shut: splice, Ledge / Cliff"),
        (f"{CLIFF} --promise 'new tee'", "Oda, promised: new tee, Ledge / Cliff"),
        (
            "record --promise 'hang the gate' --due '12 Feb' --who Perrin --block Creek",
            "Perrin, promised: hang the gate, by Fri 12 Feb, Creek",
        ),
        ("record --promise 'call the mill'", "Oda, promised: call the mill"),
        ("record --spouts 'issued 200' --who Wim", "Wim, 200 spouts issued"),
        ("record --spouts 'r 12' --who Wim", "Wim, 12 spouts returned"),
        ("record --spouts 'scrapped 3' --who Wim", "Wim, 3 spouts scrapped"),
        ("record --spouts 150", "Oda, 150 spouts issued"),
    ],
)
def test_other_things_to_record(book: Shell, line: str, said: str) -> None:
    assert saved(book, line)[1] == said


def test_a_note_with_a_valve_says_why_and_is_no_note(book: Shell) -> None:
    out = book.does(f"{CLIFF} --valve shut --note 'splice at the ford'")
    assert out.count(" saved: ") == 1
    assert newest(book, "kind", "state", "reason") == ["valve", "shut", "splice at the ford"]


def test_all_that_is_found_at_a_line_is_recorded_together(book: Shell) -> None:
    out = book.does(
        f"{TAPPING} --count 42 --leak squirrel --valve shut --promise 'new tee' --hazard 'hung-up "
        "ash'"
    )
    kinds = [line.partition(" saved: ")[2].split(",")[0] for line in out.splitlines()]
    assert kinds == ["! hung-up ash", "Oda", "Oda", "Oda", "Oda"]
    assert {what for what, _where in is_open(book)} == {"hazard", "valve shut", "leak", "repair"}


@pytest.mark.parametrize(
    ("line", "words", "way_out"),
    [
        ("record --block Ledge --leak x", "--leak belongs to a line.", "Give --block and --line."),
        ("record --valve shut", "--valve belongs to a line.", "Give --block and --line."),
        (f"{CLIFF} --lost-inhg 2", "--lost-inhg belongs to a leak.", "Give --leak"),
        (f"{CLIFF} --note x --due today", "--due belongs to a repair.", "Give --promise"),
        (f"{CLIFF} --promise x --due soon", "'soon' is not a date", "Write it as 2027-02-09"),
        (f"{CLIFF} --promise ''", "That cannot be recorded", "Change the field named"),
        (f"{CLIFF} --leak ' '", "That cannot be recorded", "Change the field named"),
        (f"{CLIFF} --leak x --lost-inhg 31", "'31' is not a vacuum from 0 to 30 inHg", ""),
        (f"{CLIFF} --leak x --lost-inhg nan", "'nan' is not a vacuum from 0 to 30 inHg", ""),
        (f"{CLIFF} --valve ajar", "'ajar'", ""),
        (f"{CLIFF} --valve open", "The valve of Cliff is open as it is.", "say why"),
        ("record --spouts lost", "'lost' does not say how many spouts.", "Write issued 200"),
        ("record --spouts 9 --who Ilse", "Ilse is not on the crew.", "record it with --add"),
    ],
)
def test_what_cannot_be_recorded(book: Shell, line: str, words: str, way_out: str) -> None:
    said = refuses(book, line)
    assert words in said
    assert way_out in said


# --- settle ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("options", "what"),
    [("--hazard 'hung-up ash'", "hazard"), ("--leak hiss", "leak"), ("--promise tee", "repair")],
)
def test_what_one_entry_opened_is_seen_to(book: Shell, options: str, what: str) -> None:
    entry, _said = saved(book, f"{CLIFF} {options}")
    assert is_open(book) == [(what, "Ledge / 1 Cliff")]
    settle, said = saved(book, f"settle {entry} all done, no trace --who Wim")
    done = {"hazard": "hazard cleared", "leak": "leak mended", "repair": "repair made"}[what]
    assert said == f"Wim, {done}, Ledge / Cliff, all done, no trace"
    assert is_open(book) == []
    assert refuses(book, f"settle {entry}").startswith(
        f"{entry} was seen to by Wim on 2027-02-09 already ({settle}).\n"
    )
    book.does(f"strike {settle} --reason 'still hangs'")
    assert is_open(book) == [(what, "Ledge / 1 Cliff")]


def test_what_cannot_be_seen_to(book: Shell) -> None:
    taps, _said = saved(book, f"{TAPPING} --count 42")
    valve, _said = saved(book, f"{CLIFF} --valve shut")
    leak, _said = saved(book, f"{CLIFF} --leak hiss")
    book.does(f"strike {leak} --reason 'was the wind'")
    for entry, words in (
        (taps, f"{taps} is no hazard, leak, repair or sheet: it cannot be seen to."),
        (valve, f"{valve} is no hazard, leak, repair or sheet: it cannot be seen to."),
        (leak, f"{leak} was struck by Oda: was the wind"),
        ("zzzzz-1", "There is no entry zzzzz-1 in season 2027."),
    ):
        assert refuses(book, f"settle {entry}").startswith(words)


def test_what_was_seen_to_on_a_day_was_open_the_day_before(book: Shell) -> None:
    entry, _said = saved(book, f"{CLIFF} --leak hiss")
    book.does(f"settle {entry} taped --date 9-Feb")
    late, _said = saved(book, "record --block Creek --line Ford --leak hiss --date 2027-02-07")
    book.does(f"settle {late} --date 2027-02-08")
    assert is_open(book, "--as-of 2027-02-07") == [("leak", "Creek / 1 Ford")]
    assert is_open(book, "--as-of 2027-02-09") == []


# --- counts that do not match --------------------------------------------------------------------


SHORT = f"{TAPPING} --count 40 --finish"


def test_a_line_finished_short_is_asked_about_and_stays_open(book: Shell) -> None:
    answer = book.asks(SHORT)
    assert answer.code == 0
    assert answer.err == (
        "! Ledge / 1 Cliff: 2 drops not tapped. Count again, or say why: fieldbook write-off "
        "'not tapped' --block Ledge --line Cliff --reason ...\n"
    )
    assert is_open(book) == [("not tapped", "Ledge / 1 Cliff")]
    assert book.asks(f"{TAPPING} --count 2").err == ""
    assert is_open(book) == []


def test_the_way_out_that_is_told_is_one(book: Shell) -> None:
    """What is printed is a command: it is run as it stands."""
    said = book.asks(SHORT).err.strip()
    line = said.partition("fieldbook ")[2].replace("...", "'no tree there'")
    assert saved(book, line)[1] == "Oda, written off: not tapped, Ledge / Cliff: no tree there"
    assert is_open(book) == []


def test_it_is_one_whatever_the_line_is_called(book: Shell) -> None:
    name = """Wim's "$(long)" \\ bend"""
    assert book.imports(
        more=f'block,line,taps_planned\nFar,"{name.replace(chr(34), chr(34) * 2)}",9\n'
    )
    said = book.asks("record --block Far --task tapping --count 7 --finish --line", name).err
    line = said.strip().partition("fieldbook ")[2].replace("...", "'no tree there'")
    book.does(line)
    assert is_open(book) == []


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (SHORT, "Ledge / 1 Cliff: 2 drops not tapped."),
        (f"{TAPPING} --count 43", "Ledge / 1 Cliff: 1 tap more than drops."),
        (f"{TAPPING} --count 45", "Ledge / 1 Cliff: 3 taps more than drops."),
    ],
)
def test_at_a_terminal_it_asks_why(
    book: Shell, monkeypatch: pytest.MonkeyPatch, line: str, said: str
) -> None:
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr("sys.stderr.isatty", lambda: True, raising=False)
    monkeypatch.setattr("builtins.input", lambda: " two trees fell ")
    answer = book.asks(line)
    assert f"! {said} Why? (Enter: it will be counted again) " in answer.err
    assert newest(book, "kind", "reason", "who") == ["writeoff", "two trees fell", "Oda"]
    assert answer.out.splitlines()[-1].endswith(": two trees fell")
    assert is_open(book) == []


def test_no_answer_leaves_it_open(book: Shell, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr("sys.stderr.isatty", lambda: True, raising=False)
    monkeypatch.setattr("builtins.input", lambda: "")
    answer = book.asks(SHORT)
    assert "Count again, or say why: fieldbook write-off" in answer.err
    assert is_open(book) == [("not tapped", "Ledge / 1 Cliff")]


def test_a_reason_given_at_once_asks_nothing(book: Shell) -> None:
    assert book.asks(f"{TAPPING} --count 40 --finish 'two fell'").err == ""
    assert book.asks("record --block Ledge --line Cedar --task tapping --count 30").err == ""
    assert is_open(book) == [("unfinished", "Ledge / 2 Cedar")]


def test_only_the_line_that_was_recorded_is_asked_about(book: Shell) -> None:
    book.does(SHORT)
    answer = book.asks("record --block Ledge --line Cedar --task tapping --count 61")
    assert "Cedar" in answer.err
    assert "Cliff" not in answer.err


# --- write off ---------------------------------------------------------------------------------


@pytest.fixture
def work(book: Shell) -> Shell:
    """Cliff 2 short and Cedar 1 over; Ford and Spring under way; leaks on both; Wim 12 spouts."""
    book.does(SHORT)
    book.does("record --block Ledge --line Cedar --task tapping --count 61 --who Perrin")
    book.does("record --block Creek --line Ford --task tapping --count 60 --who Wim")
    book.does("record --block Creek --line Spring --task tapping --count 30 --who Wim")
    book.does("record --block Creek --line Ford --leak hiss")
    book.does("record --block Creek --line Spring --leak 'hiss too'")
    book.does("record --spouts 12 --who Wim --date 2027-02-08")
    book.does("record --spouts 'returned 90' --who Wim --date 2027-02-08")
    return book


def test_everything_there_is_to_write_off(work: Shell) -> None:
    assert is_open(work) == [
        ("not tapped", "Ledge / 1 Cliff"),  # what costs sap comes first
        ("leak", "Creek / 1 Ford"),
        ("leak", "Creek / 2 Spring"),
        ("too many", "Ledge / 2 Cedar"),
        ("spouts", ""),
        ("unfinished", "Creek / 1 Ford"),
        ("unfinished", "Creek / 2 Spring"),
    ]


@pytest.mark.parametrize(
    ("options", "gone"),
    [
        ("'not tapped'", [("not tapped", "Ledge / 1 Cliff")]),
        ("not", [("not tapped", "Ledge / 1 Cliff")]),  # the beginning of a word will do
        ("NOT", [("not tapped", "Ledge / 1 Cliff")]),
        ("too --block ledge --line 2", [("too many", "Ledge / 2 Cedar")]),
        ("leak --line ford --block creek", [("leak", "Creek / 1 Ford")]),
        ("leak --all", [("leak", "Creek / 1 Ford"), ("leak", "Creek / 2 Spring")]),
        ("spouts --person wim", [("spouts", "")]),
        ("unf --block cre --line spr --task tap", [("unfinished", "Creek / 2 Spring")]),
        (
            "unfinished --person Wim --all",
            [("unfinished", "Creek / 1 Ford"), ("unfinished", "Creek / 2 Spring")],
        ),
    ],
)
def test_an_item_is_named_by_kind_and_place(
    work: Shell, options: str, gone: list[tuple[str, str]]
) -> None:
    before = is_open(work)
    out = work.does(f"write-off {options} --reason 'left as it is'")
    assert out.count(" saved: ") == len(gone)
    assert sorted(is_open(work)) == sorted(set(before) - set(gone))
    for line in out.splitlines():
        work.does(f"strike {line.split()[0]} --reason 'not so'")
    assert is_open(work) == before


def test_an_item_is_named_by_the_entry_that_opened_it(work: Shell) -> None:
    entry, _said = saved(work, f"{CLIFF} --promise 'new tee'")
    said = saved(work, f"write-off {entry} --reason 'line comes down' --who Perrin")[1]
    assert said == f"Perrin, written off: repair, Ledge / Cliff, {entry}: line comes down"
    assert ("repair", "Ledge / 1 Cliff") not in is_open(work)


@pytest.mark.parametrize(
    ("options", "words", "way_out"),
    [
        ("nonsense", "No open item is 'nonsense'.", "name the entry, or one of out, hazard,"),
        ("'' --all", "No open item is ''.", "name the entry"),  # not: everything
        ("' ' --all", "No open item is ' '.", "name the entry"),
        ("hazard", "No open item is 'hazard'.", "fieldbook open-items lists them"),
        ("leak --block Ledge", "No open item is 'leak'.", "fieldbook open-items"),
        ("leak", "2 open items are 'leak': Creek / 1 Ford: leak: hiss; ", "--all"),
        (
            "unf --block Creek",
            "7 open items are 'unf': ",
            "Name --block, --line,",
        ),  # Ford 4, Spring 3
        ("leak --block Lodge", "No block is called 'Lodge'.", "Ledge"),
        ("leak --task taping", "No task is called 'taping'.", "tapping"),
        ("leak --person Ilse", "Ilse is not on the crew.", ""),
    ],
)
def test_what_is_not_open_is_not_written_off(
    work: Shell, options: str, words: str, way_out: str
) -> None:
    said = refuses(work, f"write-off {options} --reason 'so be it'")
    assert words in said
    assert way_out in said


def test_what_is_proposed_can_be_typed_whatever_the_line_is_called(book: Shell) -> None:
    Path("lines.csv").write_text("block,line,taps_planned\nLedge,-dash's,10\n", "utf-8")
    book.does("import lines.csv")
    asked = book.asks("record --block Ledge --line=-dash --task tapping --count 8 --finish")
    _words, _colon, command = asked.err.partition("fieldbook ")
    assert command.startswith("write-off 'not tapped' --block Ledge --line='-dash'")
    assert "written off" in book.does(command.replace("...", "dead"))


def test_nothing_is_written_off_without_a_reason(work: Shell) -> None:
    assert "--reason" in refuses(work, "write-off spouts")
    for empty in ("' '", "171", "'- 3 -'"):
        assert "is no reason" in refuses(work, f"write-off spouts --reason={empty}")


def test_who_is_written_off_is_out_no_more_until_they_go_out_again(book: Shell) -> None:
    book.does("out --who Wim --due 15:00 --at 8:00")
    book.does("write-off out --reason 'home by the north road, rang at four'")
    assert is_open(book) == []
    book.does("out --who Wim --due 18:00")
    assert is_open(book) == [("out", "")]


def test_a_count_that_changes_after_it_was_written_off_is_asked_about_again(work: Shell) -> None:
    work.does("write-off spouts --reason 'lost in the snow'")
    work.does("record --spouts 'returned 1' --who Wim")
    assert ("spouts", "") in is_open(work)


# --- open-items --------------------------------------------------------------------------------


def test_with_nothing_open_it_says_so(book: Shell) -> None:
    book.does("record --block Creek --line Ford --task drops --count 120")
    assert book.does("open-items") == (
        "Quillby Hollow, season 2027, as of Tue 9 Feb 2027\n\nNothing is open.\n"
    )
    assert book.does("open-items --format json") == "[]\n"
    assert len(book.does("open-items --format csv").splitlines()) == 1


def test_items_of_a_block_and_of_a_person(work: Shell) -> None:
    assert is_open(work, "--block ledge") == [
        ("not tapped", "Ledge / 1 Cliff"),
        ("too many", "Ledge / 2 Cedar"),
    ]
    assert is_open(work, "--person perrin") == [("too many", "Ledge / 2 Cedar")]
    assert ("spouts", "") in is_open(work, "--person Wim")
    assert is_open(work, "--block 'Sugar Lot'") == []
    assert "No block is called 'Lodge'" in refuses(work, "open-items --block Lodge")
    assert "Ilse" in refuses(work, "open-items --person Ilse")


@pytest.mark.parametrize("form", ["terminal", "text", "json", "csv"])
@pytest.mark.parametrize("command", ["open-items", "balance"])
def test_every_form_goes_to_standard_output_or_a_file(work: Shell, command: str, form: str) -> None:
    line = f"{command} --format {form}"
    answer = work.asks(line)
    assert (answer.code, answer.err) == (0, "")
    assert "Ledge" in answer.out
    assert "\x1b" not in answer.out
    assert work.asks(f"{line} --out report") == (0, "", "Written to report.\n")
    assert (work.folder / "report").read_bytes() == answer.out.encode()


@pytest.mark.parametrize("form", ["terminal", "text"])
def test_what_is_open_fits_eighty_columns_whatever_was_typed(book: Shell, form: str) -> None:
    words = "[red]x[/] \x1b[31m :snowman: " + 20 * "the ash by the long bend " + 90 * "y"
    book.does(CLIFF, "--hazard", words)
    book.does(CLIFF, "--valve", "shut", "--note", "=1+1\nand so on")
    told = book.does(f"open-items --format {form}")
    assert max(map(len, told.splitlines())) <= 80
    assert told.isascii()
    assert "\x1b" not in told
    assert "!! [red]x[/] [31m :snowman: the ash by the long bend" in told
    assert "!  valve shut: =1+1 and so on\n" in told


def test_a_spreadsheet_gets_the_same_items(work: Shell) -> None:
    text = work.does("open-items --format csv")
    rows = list(csv.DictReader(io.StringIO(text)))
    told = json.loads(work.does("open-items --format json"))
    assert [(row["what"], row["where"], row["owner"]) for row in rows] == [
        (item["what"], item["where"], item["owner"]) for item in told
    ]
    short = rows[0]
    assert (short["says"], short["amount"], short["unit"]) == ("2 drops not tapped", "2", "taps")
    assert short["loses_gal_a_day"] == "2.2"  # 2 x 0.5 gal (from memory) x 2.25 at 25 inHg


def test_words_that_a_spreadsheet_would_reckon_are_guarded(book: Shell) -> None:
    book.does(f"{CLIFF} --hazard '=HYPERLINK(1)' --who Wim")
    (row, _age) = csv.DictReader(io.StringIO(book.does("open-items --format csv")))
    assert row["says"] == "'=HYPERLINK(1)"


def test_a_report_of_today_knows_the_hour_and_one_as_of_a_day_its_end(
    book: Shell, clock: Callable[[str], None]
) -> None:
    """Due at 17:00: at 16:30 not late, at 18:10 70 min; as of the day, 23:59 is 6 h 59 min later.

    The next day at 17:30 it is a day and half an hour: 1470 min.
    """
    book.does("out --who Wim --due 17:00")

    def late(options: str = "") -> int | None:
        found: int | None = json.loads(book.does(f"open-items --format json {options}"))[0][
            "late_min"
        ]
        return found

    assert late() is None
    clock("2027-02-09 18:10")
    assert late() == 70
    assert late("--as-of 2027-02-09") == 6 * 60 + 59
    clock("2027-02-10 17:30")
    assert late() == 24 * 60 + 30
    assert late("--as-of 2027-02-09") == 6 * 60 + 59
    assert "due back Tue 9 Feb 17:00, 1 day over" in " ".join(book.does("open-items").split())


# --- balance -----------------------------------------------------------------------------------


def test_the_balance_line_by_line_and_bag_by_bag(work: Shell) -> None:
    """Wim was issued 12, set 60 + 30 from the next day on, and brought 90 back: 168 too many."""
    told = json.loads(work.does("balance --format json"))
    counts = ("drops", "taps", "untapped", "over", "in_trees")
    assert [[line["line"], *(line["count"][n] for n in counts)] for line in told["lines"]] == [
        ["Cliff", 42, 40, 2, 0, 40],
        ["Cedar", 60, 61, 0, 1, 61],
        ["Ford", 120, 60, 60, 0, 60],
        ["Spring", 35, 30, 5, 0, 30],
        ["Sugar Lot", 20, 0, 20, 0, 0],
    ]
    assert [told["season"][name] for name in counts] == [277, 191, 87, 1, 191]
    bag = ("who", "issued", "set", "returned", "scrapped", "off")
    assert [[b[name] for name in bag] for b in told["bags"]] == [["Wim", 12, 90, 90, 0, -168]]
    assert [[b["day"], *(b[name] for name in bag[1:])] for b in told["days"]] == [
        ["2027-02-08", 12, 0, 90, 0, -78],
        ["2027-02-09", 0, 90, 0, 0, -90],
    ]


def test_the_balance_in_words_names_what_was_said(work: Shell) -> None:
    work.does("write-off 'not tapped' --reason 'two trees fell'")
    text = work.does("balance")
    assert "Drops, taps and spouts" in text
    (cliff,) = (line for line in text.splitlines() if " Cliff " in line)
    assert cliff.split() == ["Cliff", "42", "40", "2", "0", "0", "40", "two", "trees", "fell"]
    assert "issued = in trees + returned + scrapped + off; a surplus is as wrong" in text


def test_before_spouts_are_issued_it_is_said_how(book: Shell) -> None:
    text = book.does("balance")
    assert "No spouts were issued to anybody: fieldbook record --spouts 'issued 200'" in text
    assert saved(book, "record --spouts 'issued 200'")[1] == "Oda, 200 spouts issued"


@pytest.mark.parametrize(
    ("table", "first"),
    [
        ("lines", "block,line,drops,taps,untapped,over,pulled,in_trees,pulled_over,why"),
        ("bags", "who,issued,set,returned,scrapped,off"),
        ("days", "who,day,issued,set,returned,scrapped,off"),
    ],
)
def test_the_tables_of_the_balance(work: Shell, table: str, first: str) -> None:
    assert work.does(f"balance --format csv --table {table}").splitlines()[0] == first


def test_a_table_that_is_not_there_is_named(work: Shell) -> None:
    said = refuses(work, "balance --format csv --table drops")
    assert said == "The report has no table 'drops'.\n  It has: lines, bags, days.\n"


def test_the_balance_as_of_a_day_leaves_out_what_came_later(work: Shell) -> None:
    told = json.loads(work.does("balance --format json --as-of 2027-02-08"))
    assert told["season"]["taps"] == 0
    assert [(bag["who"], bag["off"]) for bag in told["bags"]] == [("Wim", -78)]


# --- close -------------------------------------------------------------------------------------


@pytest.fixture
def small(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Shell:
    """One line of three buckets, tapped and pulled: nothing stands in the way of closing."""
    shell = Shell(tmp_path, monkeypatch, capsys)
    shell.does("new quillby --season 2027 --name 'Quillby Hollow' --checklist buckets")
    shell.imports(lines="block,line,taps_planned\nDooryard,,3\n", people="name\nOda\n")
    return shell


def finished(book: Shell) -> list[str]:
    """Do all that is planned in the dooryard; what is left in the way of closing."""
    plan = json.loads(book.does("summary --format json"))
    for task in plan["tasks"]:
        book.asks(f"record --block Dooryard --task {task['task']} --count 3 --finish done")
    return book.asks("close").out.splitlines()


def test_while_anything_is_open_the_season_is_not_closed(small: Shell) -> None:
    before = small.journal()
    answer = small.asks("close")
    assert answer.code == 1
    assert "3 taps left\n     Dooryard;" in answer.out
    assert "The season cannot be closed: " in answer.err
    assert "Close each, or write it off with a reason: fieldbook write-off" in answer.err
    assert small.journal() == before
    small.does("write-off unfinished --all --reason 'too late in the year'")
    assert small.does("close --note 'nothing ran'").endswith("season closed: nothing ran\n")


def test_a_closed_season_is_closed_once_and_read_as_ever(small: Shell) -> None:
    finished(small)
    text = small.does("summary")
    assert "The season is closed (" in text
    assert small.asks("check").code == 0
    assert "Nothing is open." in small.does("open-items")
    said = refuses(small, "close")
    assert said.startswith("The season was closed by Oda on 2027-02-09 (")
    assert small.does("log season closed").count("season closed") == 1


def test_a_struck_close_opens_the_season_again(small: Shell) -> None:
    (line,) = finished(small)
    entry = line.split()[0]
    small.write("more.csv", "block,line,taps_planned\nRoadside,,5\n")
    for command in (
        "record --note 'owl in the box'",
        "settle zzzzz-1",
        "import more.csv",
        "setting tie_spacing_ft 30",
    ):
        before = small.journal()
        answer = small.asks(command)
        assert small.journal() == before, command
        assert answer.code == 2, command
        assert entry in answer.err, command
    small.does("out --due 17:30")  # who fetches the sled is in the woods like anybody
    small.does("back --at 17:00")
    small.does(f"strike {entry} --reason 'a run in April'")
    assert saved(small, "record --note 'owl in the box'")[1] == "owl in the box"
    assert "closed" not in small.does("summary")
    assert saved(small, "close")[1] == "Oda, season closed"
