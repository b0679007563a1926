"""Handing off and taking over by the command line, with a terminal and without one."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.scenarios import Shell, quillby


@pytest.fixture
def book(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Shell:
    """Quillby Hollow: Wim out since noon, a hazard on Cliff, a valve shut on Spring, 58 taps left.

    Oda goes off at half past four on Tuesday 9 February.
    """
    shell = quillby(Shell(tmp_path, monkeypatch, capsys))
    shell.does("record --block Creek --line Ford --task tapping --count 62 --who Perrin")
    shell.does("record --block Ledge --line Cliff --hazard 'hung-up beech'")
    shell.does("record --block Creek --line Spring --valve shut --note 'split tee'")
    shell.does("out --who Wim --at 12:00 --due 16:10 --block Creek --line Ford")
    return shell


ITEMS = ["Wim is not back", "hung-up beech", "valve shut: split tee", "Tapping: 58 taps left"]
READ = "--read 1=16:10 --read 2=beech --read 3=shut"


def newest(book: Shell) -> dict[str, Any]:
    """The entry written last."""
    entry: dict[str, Any] = json.loads(book.journal().splitlines()[-1])
    return entry


def answers(monkeypatch: pytest.MonkeyPatch, *typed: str) -> Iterator[str]:
    """Somebody sits at the terminal and types; what they did not get to type is left."""
    left = iter(typed)
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr("sys.stderr.isatty", lambda: True, raising=False)
    monkeypatch.setattr("builtins.input", lambda: next(left))
    return left


# --- going off ---------------------------------------------------------------------------------


def test_without_a_terminal_the_words_filled_in_stand_and_the_page_is_printed(book: Shell) -> None:
    answer = book.asks("handoff --to Perrin --what-if 'ice: stay out'")
    assert answer.code == 0
    lines = answer.out.splitlines()
    assert lines[0].endswith(": Oda to Perrin, Tue 9 Feb 16:30")
    assert "  Creek, tapping: Perrin 62 taps" in lines
    assert "  ice: stay out" in lines
    assert [line[8:] for line in lines if line[:4].strip().isdecimal()][:4] == ITEMS
    entry = newest(book)
    assert answer.err == (
        f"{entry['id']} saved; it waits to be taken: fieldbook take {entry['id']}\n"
    )
    assert (entry["who"], entry["to"], entry["severity"]) == ("Oda", "Perrin", "danger")
    assert entry["blocks"] == ["Ledge", "Creek", "Sugar Lot"]


def test_blocks_and_words_can_be_given(book: Shell) -> None:
    book.does(
        "handoff --block ledge --block sugar --who Wim --severity watch --done 'all of Cedar' "
        "--left '' --hazards 'ice on the steps' --by Oda"
    )
    entry = newest(book)
    assert entry["blocks"] == ["Ledge", "Sugar Lot"]
    assert (entry["who"], entry["by"], entry["severity"]) == ("Wim", "Oda", "watch")
    assert (entry["done"], entry["hazards"]) == ("all of Cedar", "ice on the steps")
    assert "left" not in entry
    assert [passed["about"]["what"] for passed in entry["items"]] == ["hazard"]


def test_at_a_terminal_what_was_not_given_is_asked_for(
    book: Shell, monkeypatch: pytest.MonkeyPatch
) -> None:
    left = answers(monkeypatch, "Pirren", "per", "grave", "", "", "-", "ice", "")
    answer = book.asks("handoff")
    assert answer.code == 0
    entry = newest(book)
    assert (entry["to"], entry["severity"]) == ("Perrin", "danger")
    assert (entry["done"], entry["hazards"]) == ("Creek, tapping: Perrin 62 taps", "ice")
    assert {"left", "what_if"}.isdisjoint(entry)
    assert list(left) == []
    assert "Pirren is not on the crew." in answer.err
    assert "No word for how grave it is is called 'grave'." in answer.err
    assert "What was done?\nCreek, tapping: Perrin 62 taps\n(Enter: as above" in answer.err


def test_it_is_printed_again_by_its_id_or_as_the_newest(book: Shell) -> None:
    message = book.asks("handoff --show")
    assert (message.code, message.err.splitlines()[0]) == (2, "There is no hand-off yet.")
    first = book.does("handoff --to Perrin")
    id_ = newest(book)["id"]
    assert book.does("handoff --show") == first
    second = book.does("handoff --block Ledge")
    before = book.journal()
    assert book.does("handoff --show") == second
    first_again = book.does(f"handoff --show {id_}")
    assert first_again.splitlines()[0] == first.splitlines()[0]
    assert "hand-off not taken: Oda to whoever comes on, 2 items (came in since)" in " ".join(
        first_again.split()
    )
    assert book.journal() == before


def test_as_data_on_a_terminal_and_in_a_file(book: Shell, monkeypatch: pytest.MonkeyPatch) -> None:
    data = json.loads(book.does("handoff --to Perrin --format json"))
    assert [item["head"] for item in data["items"]][:4] == ITEMS
    assert book.does("handoff --show --out page.txt") == ""
    page = (book.folder / "page.txt").read_text(encoding="utf-8")
    assert page == book.does("handoff --show --format text")
    bright = book.does("handoff --show --format terminal")
    assert [line.rstrip() for line in bright.splitlines()] == page.splitlines()


def test_a_page_of_a_day_shows_what_was_open_then(book: Shell) -> None:
    book.does("handoff --to Perrin")
    assert book.does("handoff --show --as-of 2027-02-09") != ""
    answer = book.asks("handoff --show --as-of 2027-02-08")
    assert (answer.code, answer.err.splitlines()[0]) == (2, "There is no hand-off yet.")


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("handoff --block Moor", "No block is called 'Moor'."),
        ("handoff --to Nobody", "Nobody is not on the crew."),
        ("handoff --who Nobody", "Nobody is not on the crew."),
        ("handoff --to oda", "Oda cannot take over from Oda"),
        ("handoff --as-of 2027-02-08", "--as-of belongs to reports."),
        ("handoff --severity grave", "invalid choice: 'grave'"),
        ("handoff --show q", "No hand-off is called 'q'."),
        ("take", "No hand-off waits to be taken."),
        ("take abcde-1 --who Wim", "No hand-off is called 'abcde-1'."),
    ],
)
def test_what_cannot_be_done_is_refused_and_nothing_is_written(
    book: Shell, line: str, words: str
) -> None:
    before = book.journal()
    answer = book.asks(line)
    assert answer.code == 2
    assert words in answer.err
    assert book.journal() == before


# --- coming on ---------------------------------------------------------------------------------


def test_read_back_by_the_numbers_of_the_page_it_is_taken(book: Shell) -> None:
    book.does("handoff --to Perrin")
    given = newest(book)["id"]
    answer = book.asks(f"take --who Perrin {READ}")
    assert (answer.code, answer.err) == (0, "")
    assert answer.out.splitlines()[-1] == "Perrin took 5 items from Oda, Tue 9 Feb 16:30"
    taken = newest(book)
    assert (taken["handoff"], taken["who"]) == (given, "Perrin")
    assert [read.get("said", "") for read in taken["items"]] == ["16:10", "beech", "shut", "", ""]
    owners = json.loads(book.does("open-items --format json"))
    assert {item["owner"] for item in owners} == {"Perrin"}
    assert f"Taken by Perrin, Tue 9 Feb 16:30 ({taken['id']})" in book.does("handoff --show")


def test_what_is_missing_is_named_and_nothing_is_written(book: Shell) -> None:
    book.does("handoff --to Perrin")
    before = book.journal()
    answer = book.asks("take --who Perrin --read 2=beech --really")
    assert answer.code == 2
    assert answer.err.splitlines() == [
        "2 items want reading back: 1 (due back at?), 3 (the valve is?).",
        "  Give each with --read NUMBER=WHAT. Nothing was recorded.",
    ]
    assert book.journal() == before


def test_a_wrong_read_back_shows_both_and_is_kept_only_if_confirmed(book: Shell) -> None:
    book.does("handoff --to Perrin")
    wrong = "take --who Perrin --read 1=4:10 --read 2=beech --read 3=open"
    answer = book.asks(wrong)
    assert answer.code == 2
    assert answer.err.splitlines()[0] == "item 3: told shut, read back open."
    assert "--really" in answer.err
    assert newest(book)["kind"] == "handoff"
    book.does(f"{wrong} --really")
    assert newest(book)["items"][2]["differs"] is True
    assert "! told shut, read back open" in book.does("open-items")


@pytest.mark.parametrize("text", ["9=shut", "0=x", "shut", "=shut", "3:shut", "one=shut", "-1=x"])
def test_a_number_that_is_not_on_the_page_is_refused(book: Shell, text: str) -> None:
    book.does("handoff --to Perrin")
    answer = book.asks(f"take --who Perrin --read={text}")
    assert answer.code == 2
    assert "names no item of the hand-off." in answer.err


def test_it_is_taken_once_by_a_second_person(book: Shell) -> None:
    book.does("handoff --to Perrin")
    answer = book.asks(f"take {READ}")  # Oda is at the keyboard
    assert (answer.code, answer.err.splitlines()[0]) == (
        2,
        "Oda cannot take over from Oda: it takes a second person to check.",
    )
    book.does(f"take Oda --who Perrin {READ}")
    taken = newest(book)
    answer = book.asks(f"take {taken['handoff']} --who Wim {READ}")
    assert answer.code == 2
    assert answer.err == (
        f"Perrin took hand-off {taken['handoff']} on Tue 9 Feb at 16:30 ({taken['id']}).\n"
    )


def test_of_several_one_must_be_named(book: Shell) -> None:
    book.does("handoff --block Ledge")
    ledge = newest(book)["id"]
    book.does("handoff --block Creek")
    answer = book.asks("take --who Perrin")
    assert answer.code == 2
    assert "More than one hand-off could be meant." in answer.err
    assert f"{ledge} from Oda, Ledge, Tue 9 Feb; " in answer.err
    book.does(f"take {ledge} --who Perrin --read 1=Cliff")
    assert newest(book)["handoff"] == ledge


# --- coming on, at a terminal ------------------------------------------------------------------


def test_item_by_item_each_is_shown_and_asked(book: Shell, monkeypatch: pytest.MonkeyPatch) -> None:
    book.does("handoff --to Perrin")
    left = answers(monkeypatch, "1610", "1", "shut", "", "")
    answer = book.asks("take --who Perrin")
    assert answer.code == 0
    assert answer.out.splitlines()[-1] == "Perrin took 5 items from Oda, Tue 9 Feb 16:30"
    assert list(left) == []
    shown = [answer.err.index(f"   {n} ") for n in range(1, 6)]
    assert shown == sorted(shown)
    assert all(item in answer.err for item in ITEMS)
    assert "the valve is?" in answer.err
    assert "____" not in answer.err


def test_a_slip_is_said_again_and_what_is_meant_is_kept_as_it_was_said(
    book: Shell, monkeypatch: pytest.MonkeyPatch
) -> None:
    book.does("handoff --to Perrin")
    left = answers(monkeypatch, "17:10", "n", "16:10", "beech", "open", "y", "", "")
    answer = book.asks("take --who Perrin")
    assert answer.code == 0
    assert list(left) == []
    assert "! told 16:10, read back 17:10" in answer.err
    assert "! told shut, read back open" in answer.err
    kept = [(read.get("said"), read.get("differs", False)) for read in newest(book)["items"]]
    assert kept[:3] == [("16:10", False), ("beech", False), ("open", True)]


def test_a_bare_yes_is_asked_again(book: Shell, monkeypatch: pytest.MonkeyPatch) -> None:
    book.does("handoff --to Perrin")
    left = answers(monkeypatch, "ok", "1610", "yes", "1", "shut", "", "")
    answer = book.asks("take --who Perrin")
    assert (answer.code, list(left)) == (0, [])
    assert not any(read.get("differs") for read in newest(book)["items"])


def test_what_was_given_by_option_is_not_asked_for(
    book: Shell, monkeypatch: pytest.MonkeyPatch
) -> None:
    book.does("handoff --to Perrin")
    left = answers(monkeypatch, "", "")
    book.does(f"take --who Perrin {READ}")
    assert list(left) == []


def test_who_says_nothing_is_asked_again_and_takes_nothing(
    book: Shell, monkeypatch: pytest.MonkeyPatch
) -> None:
    book.does("handoff --to Perrin")
    before = book.journal()
    answers(monkeypatch, *[""] * 40)
    answer = book.asks("take --who Perrin")
    assert answer.code == 2
    assert "3 items want reading back: 1 (due back at?)" in answer.err
    assert answer.err.count("due back at?") == 4
    assert book.journal() == before


def test_a_terminal_that_is_closed_takes_nothing(
    book: Shell, monkeypatch: pytest.MonkeyPatch
) -> None:
    book.does("handoff --to Perrin")
    before = book.journal()

    def closed() -> str:
        raise EOFError

    answers(monkeypatch)
    monkeypatch.setattr("builtins.input", closed)
    assert book.asks("take --who Perrin").code == 2
    assert book.journal() == before


def test_what_comes_in_while_somebody_reads_is_gone_through_too(
    book: Shell, monkeypatch: pytest.MonkeyPatch
) -> None:
    book.does("handoff --block Ledge")
    other = book.folder / "other"
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr("sys.stderr.isatty", lambda: True, raising=False)
    asked: list[str] = []

    def typed() -> str:
        if not asked:  # another laptop's entry arrives with the first answer
            (book.folder / "quillby" / "2027" / "desk-zzzzz.jsonl").write_bytes(other.read_bytes())
        asked.append("beech" if len(asked) == 0 else "ice")
        return asked[-1]

    from fieldbook.book.codec import encode
    from fieldbook.book.entry import Note
    from tests.conftest import stamp

    hazard = Note(text="ice", block="Ledge", hazard=True, id="zzzzz-1", tick=900, **stamp())
    other.write_bytes(encode(hazard) + b"\n")
    monkeypatch.setattr("builtins.input", typed)
    answer = book.asks("take --who Perrin")
    assert answer.code == 0
    assert answer.out.splitlines()[-1] == "Perrin took 2 items from Oda, Tue 9 Feb 16:30"
    assert "   2 !! ice (came in since)" in answer.err
    assert asked == ["beech", "ice"]
