"""Making a book and finding it, the demo, and how the whole behaves in a shell.

What writes in a book is in `test_cli_record`, what reads it in `test_cli_reports`.
"""

import json
import os
import subprocess
import sys
from datetime import date, datetime
from pathlib import Path
from typing import NoReturn

import pytest

from fieldbook import __version__
from fieldbook.book.book import Book
from fieldbook.errors import Exit
from fieldbook.laptop import Laptop
from fieldbook.resources import resource
from fieldbook.season.settings import RULES
from tests.conftest import NOW
from tests.scenarios import Shell, quillby


@pytest.fixture
def shell(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Shell:
    """An empty folder, and a laptop that knows no book."""
    return Shell(tmp_path, monkeypatch, capsys)


@pytest.fixture
def book(shell: Shell) -> Shell:
    """Quillby Hollow: Cliff 42 taps, Cedar 60, Ford 120, Spring 35, Sugar Lot 20."""
    return quillby(shell)


# --- new and blank -----------------------------------------------------------------------------


def test_a_new_book(shell: Shell) -> None:
    answer = shell.asks("new two-kettle_woods --season 2027 --checklist gravity --by Oda")
    assert answer.code == 0
    assert answer.out == "Two Kettle Woods, season 2027: a book at two-kettle_woods\n"
    assert "fieldbook blank lines > lines.csv" in answer.err
    assert shell.journal("two-kettle_woods").count(b'"by":"Oda"') == len(RULES) + 1
    assert (shell.folder / "two-kettle_woods/2027/checklist.toml").read_bytes() == (
        resource("templates") / "gravity.toml"
    ).read_bytes()


@pytest.mark.parametrize(("today", "year"), [("2026-11-25", 2027), ("2027-02-09", 2027)])
def test_a_book_begun_in_autumn_is_for_next_year(
    shell: Shell, monkeypatch: pytest.MonkeyPatch, today: str, year: int
) -> None:
    class Clock(datetime):
        @classmethod
        def now(cls, tz: object = None) -> datetime:  # type: ignore[override]  # noqa: ARG003
            return datetime.combine(date.fromisoformat(today), NOW.timetz())

    monkeypatch.setattr("fieldbook.commands.opening.datetime", Clock)
    assert f"season {year}:" in shell.does("new quillby")


def test_a_second_season_in_the_same_book(book: Shell) -> None:
    assert book.does("new quillby --season 2028").startswith("Quillby Hollow, season 2028:")
    assert book.does("summary --format json").startswith('{\n  "book": "Quillby Hollow"')
    assert book.summary()["season"] == 2028
    assert book.summary("--season 2027")["totals"]["taps_planned"] == 277
    answer = book.asks("new quillby --season 2028")
    assert (answer.code, answer.out) == (2, "")
    assert "has a season 2028 already" in answer.err


def test_a_folder_in_use_is_left_alone(shell: Shell) -> None:
    (shell.folder / "photos").mkdir()
    (shell.folder / "photos/owl.txt").write_text("hoo", encoding="utf-8")
    answer = shell.asks("new photos --season 2027")
    assert (answer.code, answer.out) == (2, "")
    assert answer.err.startswith("photos is in use: a new book needs an empty folder.")
    assert [path.name for path in (shell.folder / "photos").iterdir()] == ["owl.txt"]
    answer = shell.asks("new photos/owl.txt/deeper --season 2027")
    assert answer.code == 3
    assert answer.err.startswith("Cannot make a book at photos/owl.txt/deeper: ")


def test_an_unknown_checklist_makes_nothing(shell: Shell) -> None:
    answer = shell.asks("new quillby --season 2027 --checklist sieve")
    assert (answer.code, answer.out) == (2, "")
    assert answer.err == (
        "There is no checklist 'sieve'.\n  There are: buckets, gravity, vacuum.\n"
    )
    assert not (shell.folder / "quillby").exists()


@pytest.mark.parametrize(
    "options",
    [
        "--season 20270",
        "--season 2027 --by " + "x" * 81,
    ],
)
def test_a_book_that_cannot_be_made_leaves_nothing_behind(shell: Shell, options: str) -> None:
    assert shell.asks(f"new quillby {options}").code == 2
    assert not (shell.folder / "quillby").exists()


def test_a_season_of_nought_is_no_season(shell: Shell) -> None:
    assert shell.asks("new quillby --season 0").code == 2


@pytest.mark.parametrize(
    "name",
    [
        *("lines", "trees", "tap-rules", "people", "counts", "targets", "supplies", "runs"),
        *("vacuum", "buckets"),
    ],
)
def test_blank_tables_and_checklists_are_printed_as_they_are(shell: Shell, name: str) -> None:
    (template,) = resource("templates").glob(f"{name}.*")
    assert shell.does(f"blank {name}") == template.read_text(encoding="utf-8")
    assert shell.asks(f"blank {name} --out {name}.txt") == (0, "", f"Written to {name}.txt.\n")
    assert (shell.folder / f"{name}.txt").read_bytes() == template.read_bytes()


@pytest.mark.parametrize("name", ["tapes", "*", "../pyproject"])
def test_there_is_no_other_blank(shell: Shell, name: str) -> None:
    answer = shell.asks("blank", name)
    assert (answer.code, answer.out) == (2, "")
    names = "buckets, counts, gravity, lines, people, readings, runs, supplies, tap-rules, targets"
    assert f"There are: {names}, trees, vacuum." in answer.err


# --- which book --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "line",
    [
        "--book quillby summary --format text",
        "summary --book quillby --format text",
        "--season 2027 --book quillby summary --format text --as-of 2027-02-09",
        "summary --format text --as-of 2027-02-09 --season 2027 --book quillby",
        "--as-of '9 Feb' --book quillby summary --format text",
    ],
)
def test_options_stand_before_the_command_or_after_it(book: Shell, line: str) -> None:
    assert book.does(line).startswith("Quillby Hollow, season 2027, as of Tue 9 Feb 2027\n")


def test_the_book_is_named_stood_in_or_remembered(
    book: Shell, monkeypatch: pytest.MonkeyPatch
) -> None:
    def name() -> str:
        return str(book.summary()["book"])

    book.does("new other --season 2027")
    book.does("new third --season 2027")
    assert name() == "Third"  # made or opened last
    monkeypatch.chdir(book.folder / "quillby")
    assert name() == "Quillby Hollow"  # stood in
    monkeypatch.setenv("FIELDBOOK_BOOK", str(book.folder / "other"))
    assert name() == "Other"  # named by the environment
    assert book.summary("--book ../third")["book"] == "Third"  # named


def test_without_any_book_the_way_out_is_told(shell: Shell) -> None:
    answer = shell.asks("summary")
    assert (answer.code, answer.out) == (2, "")
    assert answer.err == (
        "There is no book here.\n  Name one with --book, make one with fieldbook new FOLDER, "
        "or try fieldbook demo.\n"
    )


@pytest.mark.parametrize("command", ["summary", "log", "check", "export", "record", "strike x"])
def test_a_book_that_cannot_be_read(book: Shell, command: str) -> None:
    options = " --reason x" if command.startswith("strike") else ""
    (book.folder / "empty").mkdir()
    mark = book.folder / "quillby/book.toml"
    mark.write_text(mark.read_text(encoding="utf-8").replace("format = 1", "format = 2"), "utf-8")
    for folder, words, way_out in (
        ("nowhere", "There is no book at nowhere.", "fieldbook new FOLDER"),
        ("empty", "empty is not a book: it has no book.toml.", "the book's own folder"),
        ("quillby", "quillby is from a newer fieldbook (format 2).", "Update fieldbook"),
    ):
        answer = book.asks(f"{command}{options} --book {folder}")
        assert (answer.code, answer.out) == (3, "")
        assert answer.err.startswith(words)
        assert way_out in answer.err


def test_a_season_the_book_lacks_and_a_journal_that_cannot_be_read(book: Shell) -> None:
    answer = book.asks("summary --season 1999")
    assert (answer.code, answer.out) == (2, "")
    assert "has no season 1999.\n  It has: 2027.\n" in answer.err
    (book.folder / "quillby/2027/desk-zzzzz.jsonl").mkdir()
    answer = book.asks("summary")
    assert (answer.code, answer.out) == (3, "")
    assert "Cannot read" in answer.err
    assert "desk-zzzzz.jsonl" in answer.err


# --- the demo, keys, and the shell -------------------------------------------------------------


def demo_files() -> dict[Path, bytes]:
    folder = resource("demo_season")
    return {p: p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def test_the_demo_without_a_terminal_prints_its_summary(shell: Shell) -> None:
    shipped = demo_files()
    answer = shell.asks("demo")
    assert answer.code == 0
    assert answer.out.startswith("Harrow Hill, season 2027, as of Tue 9 Feb 2027  (invented)\n")
    assert "The demo is invented; this copy of it is yours to try things on:" in answer.err
    copy = answer.err.rsplit("--book ", 1)[1].strip()
    assert Path(copy).is_relative_to(shell.folder)
    shell.does(f"record --book {copy} --by Ina --block north --line 1 --task tap --count 1")
    assert shell.does(f"log --book {copy} --last 1 --format csv").count("1 taps") == 1
    assert demo_files() == shipped
    assert json.loads(shell.does("demo --format json"))["book"] == "Harrow Hill"


def test_the_demo_at_a_terminal_opens_its_copy(
    shell: Shell, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened = []

    def show(book: Book, _laptop: Laptop) -> Exit:
        opened.append(book)
        return Exit.DONE

    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr("sys.stdout.isatty", lambda: True, raising=False)
    monkeypatch.setattr("fieldbook.commands.opening._show", show)
    answer = shell.asks("demo")
    assert (answer.code, answer.out) == (0, "")
    (copy,) = opened
    assert copy.path.is_relative_to(shell.folder)
    assert (copy.name, copy.year) == ("Harrow Hill", 2027)
    assert copy.desk is not None


@pytest.mark.parametrize("line", ["open", "", "--season 2027", "open --book quillby"])
def test_the_screens_need_a_terminal(book: Shell, line: str) -> None:
    answer = book.asks(line)
    assert (answer.code, answer.out) == (2, "")
    assert answer.err.startswith("The screens need a terminal.\n")


@pytest.mark.parametrize(
    "line", ["open --as-of 2027-02-08", "--as-of 2027-02-08", "open --book quillby --as-of 8.2."]
)
def test_the_screens_show_today_and_no_other_day(
    book: Shell, monkeypatch: pytest.MonkeyPatch, line: str
) -> None:
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr("sys.stdout.isatty", lambda: True, raising=False)
    assert book.asks(line) == (
        2,
        "",
        "--as-of belongs to reports.\n  The screens show the book as it stands today.\n",
    )


def test_the_keys_are_a_table(shell: Shell) -> None:
    lines = shell.does("keys").splitlines()
    assert lines[0].startswith("| Where | Key | ")
    assert all(line.startswith(("| ", "|--")) for line in lines)
    assert any("`round.finish`" in line for line in lines)


@pytest.mark.parametrize(
    ("line", "words"),
    [("fly", "invalid choice: 'fly'"), ("plan --format pdf", "invalid choice: 'pdf'")],
)
def test_wrong_use_is_exit_code_2(shell: Shell, line: str, words: str) -> None:
    answer = shell.asks(line)
    assert (answer.code, answer.out) == (2, "")
    assert words in answer.err


def test_ctrl_c_is_no_error_to_explain(shell: Shell, monkeypatch: pytest.MonkeyPatch) -> None:
    def waiting(_args: object) -> NoReturn:
        raise KeyboardInterrupt

    monkeypatch.setattr("fieldbook.commands.run_keys", waiting)
    assert shell.asks("keys") == (130, "", "")


def test_the_version() -> None:
    answer = subprocess.run(
        [sys.executable, "-m", "fieldbook", "--version"], capture_output=True, text=True, check=True
    )
    assert (answer.stdout, answer.stderr) == (f"fieldbook {__version__}\n", "")


def test_the_demo_from_a_shell(tmp_path: Path) -> None:
    """Also where the terminal has no letters beyond ASCII."""
    answer = subprocess.run(
        [sys.executable, "-m", "fieldbook", "demo"],
        capture_output=True,
        check=True,
        cwd=tmp_path,
        stdin=subprocess.DEVNULL,
        env={
            **os.environ,
            "FIELDBOOK_CONFIG": str(tmp_path),
            "TMPDIR": str(tmp_path),
            "PYTHONIOENCODING": "ascii",
        },
    )
    assert answer.stdout.startswith(b"Harrow Hill, season 2027, as of Tue 9 Feb 2027")
    assert b"this copy of it is yours" in answer.stderr


def test_a_reader_that_has_seen_enough_is_no_error(book: Shell) -> None:
    read_end, write_end = os.pipe()
    os.close(read_end)  # as `head` does
    answer = subprocess.run(
        [sys.executable, "-m", "fieldbook", "log", "--book", "quillby"],
        stdout=write_end,
        stderr=subprocess.PIPE,
        check=False,
        env=dict(os.environ),
    )
    os.close(write_end)
    assert (answer.returncode, answer.stderr) == (0, b"")
