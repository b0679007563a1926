"""What reads a book: summary, log, check and export, in every form."""

import csv
import io
import json
from pathlib import Path
from typing import Any

import pytest

from fieldbook.reports.export import TABLES
from tests.conftest import NOW
from tests.scenarios import Shell, quillby

CLIFF = "record --block Ledge --line Cliff --task tapping"
FORMS = ("terminal", "text", "json", "csv")


@pytest.fixture
def book(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Shell:
    """Quillby Hollow: Cliff 42 taps, Cedar 60, Ford 120, Spring 35, Sugar Lot 20."""
    return quillby(Shell(tmp_path, monkeypatch, capsys))


def recorded(book: Shell, options: str) -> str:
    """Record on Cliff; the id of the entry."""
    return book.does(f"{CLIFF} {options}").split()[0]


# --- reports -----------------------------------------------------------------------------------


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("command", ["summary", "log"])
def test_every_form_goes_to_standard_output_or_a_file(book: Shell, command: str, form: str) -> None:
    recorded(book, "--count 40")
    line = f"{command} --format {form} --as-of 2027-02-09"
    answer = book.asks(line)
    assert (answer.code, answer.err) == (0, "")
    assert "Ledge" in answer.out
    assert "\x1b" not in answer.out
    assert book.asks(f"{line} --out report") == (0, "", "Written to report.\n")
    assert (book.folder / "report").read_bytes() == answer.out.encode()
    assert book.asks(f"{line} --out -") == answer


@pytest.mark.parametrize("command", ["summary", "log", "export", "blank lines", "keys"])
def test_a_file_that_cannot_be_written_is_named(book: Shell, command: str) -> None:
    answer = book.asks(f"{command} --out nowhere/report")
    assert (answer.code, answer.out) == (2, "")
    assert answer.err == (
        "Cannot write nowhere/report: No such file or directory.\n"
        "  Name a file in a folder you may write to.\n"
    )


def test_without_a_terminal_the_form_is_text(book: Shell, monkeypatch: pytest.MonkeyPatch) -> None:
    text = book.does("summary --format text")
    assert book.does("summary") == text
    monkeypatch.setattr("sys.stdout.isatty", lambda: True)
    assert book.does("summary") == book.does("summary --format terminal") != text
    book.does("summary --out report")
    assert (book.folder / "report").read_text(encoding="utf-8") == text


def test_the_same_book_and_day_give_the_same_bytes_whatever_the_clock(
    book: Shell, monkeypatch: pytest.MonkeyPatch
) -> None:
    recorded(book, "--count 40 --date 2027-02-08")
    recorded(book, "--count 2")
    before = {form: book.does(f"summary --format {form} --as-of 2027-02-08") for form in FORMS}
    monkeypatch.setattr("fieldbook.commands.common.now", lambda _book: NOW.replace(year=2031))
    monkeypatch.setenv("TZ", "Pacific/Auckland")
    after = {form: book.does(f"summary --format {form} --as-of 2027-02-08") for form in FORMS}
    assert after == before
    assert json.loads(after["json"])["totals"]["taps_in"] == 40


@pytest.mark.parametrize(
    ("clock", "as_of", "taps"),
    [
        ("2027-02-08", "2027-02-08", 0),  # tomorrow's work is not in today's report
        ("2027-02-09", "2027-02-09", 40),
        ("2027-08-31", "2027-08-31", 40),
        ("2029-03-01", "2027-02-09", 40),  # a season that is over: its last day of work
    ],
)
def test_a_report_is_of_today_or_of_the_last_day(
    book: Shell, monkeypatch: pytest.MonkeyPatch, clock: str, as_of: str, taps: int
) -> None:
    recorded(book, "--count 40")
    year, month, day = map(int, clock.split("-"))
    now = NOW.replace(year=year, month=month, day=day)
    monkeypatch.setattr("fieldbook.commands.common.now", lambda _book: now)
    summary = book.summary()
    assert (summary["as_of"], summary["totals"]["taps_in"]) == (as_of, taps)


@pytest.mark.parametrize("day", ["03/04", "soon", "2027-02-30"])
def test_a_day_that_can_be_read_two_ways_is_refused(book: Shell, day: str) -> None:
    answer = book.asks(f"summary --as-of {day}")
    assert (answer.code, answer.out) == (2, "")
    assert f"{day!r} is not a date that can be read one way only." in answer.err


def test_the_log_is_found_and_cut(book: Shell) -> None:
    first = recorded(book, "--count 40 --date 2027-02-08 --who Wim")
    second = recorded(book, "--count 2 --who Perrin")

    def ids(options: str) -> list[str]:
        rows = csv.DictReader(io.StringIO(book.does(f"log --format csv {options}")))
        return [row["id"] for row in rows]

    assert ids("tapping taps") == [first, second]
    assert ids("perrin") == [second] or ids("perrin count") == [second]
    assert ids("count --last 1") == [second]
    assert ids("count --last 0") == []
    assert ids("count --as-of 2027-02-08") == [first]
    assert [line["id"] for line in json.loads(book.does("log count --format json"))] == [
        first,
        second,
    ]


def test_a_sound_book_has_nothing_to_look_at(book: Shell) -> None:
    answer = book.asks("check")
    assert (answer.code, answer.out) == (0, "")
    assert answer.err.endswith(" entries in season 2027: 0 to look at.\n")


def test_a_damaged_line_is_named_and_the_rest_counts(book: Shell) -> None:
    recorded(book, "--count 40")
    (journal,) = (book.folder / "quillby/2027").glob("desk-*.jsonl")
    journal.write_bytes(journal.read_bytes().replace(b'"count":40', b'"count":41'))
    answer = book.asks("check")
    assert answer.code == 1
    assert f"! 2027/{journal.name}, byte " in answer.out
    assert answer.err.endswith("1 to look at.\n")
    assert "! 1 line of the journals is set apart" in book.does("summary")
    assert book.done() == {}


def test_a_checklist_that_was_edited_and_not_imported_is_mentioned(book: Shell) -> None:
    copy = book.folder / "quillby/2027/checklist.toml"
    text = copy.read_text(encoding="utf-8")
    copy.write_text(text.replace('"Tapping"', '"Boring"'), encoding="utf-8")
    answer = book.asks("check")
    assert answer.code == 0
    assert "- 2027/checklist.toml: the checklist file differs from the one in force" in answer.out
    copy.write_text("name = 3\n", encoding="utf-8")
    assert book.asks("check").code == 1


@pytest.mark.parametrize("table", TABLES)
def test_tables_are_exported_as_csv_and_json(book: Shell, table: str) -> None:
    recorded(book, "--count 40")
    rows = book.exports(table)
    data: list[dict[str, Any]] = json.loads(book.does(f"export {table} --format json"))
    assert len(data) == len(rows)
    if table == "log":
        assert [entry["id"] for entry in data] == [row["id"] for row in rows]
    elif rows:
        assert list(data[0]) == list(rows[0])
    assert book.asks("export sap").code == 2


def test_a_name_or_note_is_data_whatever_it_looks_like(book: Shell) -> None:
    book.imports(
        rules='rule,from_in,taps,source\n"=1+1 [red]\x1b[31mours",11,1,@home\n',
        plan="setting,value\ntap_rule,=1+1 [red][31mours\n",
        runs='date,sap_gal,note\n2027-02-09,12,"-4 at dawn [/] \x1b]0;t\x07"\n',
    )
    assert [row["rule"] for row in book.exports("tap-rules")] == ["'=1+1 [red][31mours"]
    assert [row["source"] for row in book.exports("tap-rules")] == ["'@home"]
    assert [row["note"] for row in book.exports("runs")] == ["'-4 at dawn [/] ]0;t"]
    settings = {row["setting"]: row["value"] for row in book.exports("settings")}
    assert settings["tap_rule"] == "'=1+1 [red][31mours"
    for form in FORMS:
        said = book.does(f"log --last 3 --format {form}")
        assert "\x1b" not in said
        assert "=1+1 [red][31mours" in " ".join(said.split())
        assert "-4 at dawn [/] ]0;t" in " ".join(said.split())
