"""A season for other programs: everything at once, its schema, its days as a calendar.

Sources: RFC 4180 for CSV, RFC 5545 for calendars; for zip files and what spreadsheets take for a
formula, common practice, no source.
"""

import csv
import io
import json
import os
import subprocess
import sys
import zipfile
from datetime import date
from pathlib import Path
from typing import Any

import msgspec
import openpyxl
import pytest

from fieldbook.book.entry import KINDS, PROSE, AnyEntry
from fieldbook.reports.everything import everything_zip
from fieldbook.reports.export import TABLES
from fieldbook.reports.schema import NAMES, shipped_schema
from fieldbook.resources import resource
from fieldbook.season.table import unguard
from tests.scenarios import Shell, quillby
from tests.test_cli_copies import FORMULAS, hostile
from tests.test_demo_season import YEARS, open_season

CLIFF = "record --block Ledge --line Cliff --task tapping"
ZIP = "quillby-2027-tables.zip"
FILES = [*(f"{name}.csv" for name in TABLES), *(f"entries/{kind}.csv" for kind in KINDS)]


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


def unpacked(data: bytes | Path) -> dict[str, str]:
    """The files of a zip, by name in order."""
    with zipfile.ZipFile(io.BytesIO(data) if isinstance(data, bytes) else data) as copy:
        assert copy.testzip() is None
        return {name: copy.read(name).decode("utf-8") for name in copy.namelist()}


def read(text: str) -> list[list[str]]:
    """A table as RFC 4180 has it, but for the line ends."""
    return list(csv.reader(io.StringIO(text, newline=""), strict=True))


def rows(text: str) -> list[dict[str, str]]:
    header, *found = read(text)
    return [dict(zip(header, row, strict=True)) for row in found]


# --- everything, as a zip ----------------------------------------------------------------------


def test_a_zip_has_its_own_name_and_replaces_no_file(book: Shell) -> None:
    assert book.asks("export everything") == (0, "", f"Written to {ZIP}.\n")
    before = (book.folder / ZIP).read_bytes()
    book.does(f"{CLIFF} --count 5")
    assert book.asks("export everything") == (
        2,
        "",
        f"{ZIP} is there already.\n  Name another file with --out.\n",
    )
    assert (book.folder / ZIP).read_bytes() == before
    assert book.asks(f"export everything --out {ZIP}").err == f"Written to {ZIP}.\n"
    assert (book.folder / ZIP).read_bytes() != before


def test_a_file_that_cannot_be_written_is_named(book: Shell) -> None:
    for table in ("everything", "everything --format json", "calendar"):
        assert book.asks(f"export {table} --out nowhere/file") == (
            2,
            "",
            "Cannot write nowhere/file: No such file or directory.\n"
            "  Name a file in a folder you may write to.\n",
        )


def test_the_tables_are_those_exported_one_by_one(book: Shell) -> None:
    book.does(f"{CLIFF} --count 5 --note '=1+1, \"so\"'")
    book.does("export everything --out all.zip")
    files = unpacked(book.folder / "all.zip")
    assert list(files) == FILES
    for name in TABLES:
        assert files[f"{name}.csv"] == book.does(f"export {name}")


@pytest.mark.parametrize("year", YEARS)
def test_every_entry_comes_back_out_of_its_table(year: int) -> None:
    season = open_season(year)
    files = unpacked(everything_zip(season))
    back = [entry_of(kind, row) for kind in KINDS for row in rows(files[f"entries/{kind}.csv"])]
    assert {entry.id: entry for entry in back} == {entry.id: entry for entry in season.log()}
    assert len(back) == len(season.log())
    struck = {
        row["id"]: row["struck"]
        for kind in KINDS
        for row in rows(files[f"entries/{kind}.csv"])
        if row["struck"]
    }
    assert struck == {entry: strike.id for entry, strike in season.ledger.struck.items()}
    for kind in KINDS:
        header, *_rows = read(files[f"entries/{kind}.csv"])
        assert header == [*KINDS[kind].__struct_fields__, "struck"]


def entry_of(kind: str, row: dict[str, str]) -> AnyEntry:
    """An entry out of its row: an empty cell is what was left out."""
    fields: dict[str, Any] = {"kind": kind}
    for name, cell in row.items():
        if cell and name != "struck":
            nested = name not in PROSE and cell[0] in "[{"
            fields[name] = json.loads(cell) if nested else unguard(cell)
    if kind == "setting":
        fields["value"] = number(fields["value"])
    made: AnyEntry = msgspec.convert(fields, AnyEntry, strict=False)
    return made


def number(text: str) -> int | float | str:
    """A setting as it was recorded."""
    for kind in (int, float):
        try:
            return kind(text)
        except ValueError:
            continue
    return text


def test_what_is_struck_is_marked_among_the_entries_and_in_no_other_table(book: Shell) -> None:
    wrong = book.does(f"{CLIFF} --count 5").split()[0]
    book.does(f"{CLIFF} --count 6")
    strike = book.does(f"strike {wrong} --reason miscounted").split()[0]
    book.does("export everything --out all.zip")
    files = unpacked(book.folder / "all.zip")
    counts = rows(files["entries/count.csv"])
    assert [(row["count"], row["struck"]) for row in counts] == [("5", strike), ("6", "")]
    assert [row["count"] for row in rows(files["counts.csv"])] == ["6"]
    assert [row["entry"] for row in rows(files["entries/strike.csv"])] == [wrong]
    told = json.loads(book.does("export everything --format json"))
    assert [entry["id"] for entry in told["entries"]] == [e["id"] for e in book.exports("log")]
    assert [row["count"] for row in told["tables"]["counts"]] == [6]


def test_a_day_is_the_last_of_everything(book: Shell) -> None:
    book.does(f"{CLIFF} --count 5 --date 2027-02-01")
    book.does(f"{CLIFF} --count 6 --date 2027-02-02")
    for day, done in (("2027-02-01", ["5"]), ("2027-02-02", ["5", "6"])):
        book.does(f"export everything --as-of {day} --out all.zip")
        files = unpacked(book.folder / "all.zip")
        assert [row["count"] for row in rows(files["counts.csv"])] == done
        assert [row["count"] for row in rows(files["entries/count.csv"])] == done
        assert files["log.csv"] == book.does(f"export log --as-of {day}")
        told = json.loads(book.does(f"export everything --format json --as-of {day}"))
        assert told["as_of"] == day
        entries = json.loads(book.does(f"export log --format json --as-of {day}"))
        assert told["entries"] == entries
    assert json.loads(book.does("export everything --format json"))["as_of"] is None


def test_the_whole_as_json_is_its_parts(book: Shell) -> None:
    book.does(f"{CLIFF} --count 5")
    told = json.loads(book.does("export everything --format json"))
    assert list(told) == ["book", "season", "as_of", "tables", "entries"]
    assert (told["book"], told["season"]) == ("Quillby Hollow", 2027)
    assert list(told["tables"]) == list(TABLES)
    assert told["entries"] == json.loads(book.does("export log --format json"))
    for name in set(TABLES) - {"log"}:
        assert told["tables"][name] == json.loads(book.does(f"export {name} --format json"))
    words = [row["says"] for row in rows(book.does("export log"))]
    assert [unguard(row) for row in words] == [row["says"] for row in told["tables"]["log"]]


# --- text stays text ---------------------------------------------------------------------------


def cells_of(files: dict[str, str]) -> openpyxl.Workbook:
    """Every cell of every table, as a spreadsheet keeps it (common practice, no source)."""
    sheets = openpyxl.Workbook()
    for name, text in files.items():
        sheet = sheets.create_sheet(name.replace("/", " "))
        for row in read(text):
            sheet.append(row)
    kept = io.BytesIO()
    sheets.save(kept)
    kept.seek(0)
    return openpyxl.load_workbook(kept)


def test_a_spreadsheet_makes_no_formula_of_any_cell(book: Shell) -> None:
    texts = [*FORMULAS, "+1", "-1", "@SUM(A1)", "=cmd|' /C calc'!A0", '=HYPERLINK("x")', "[=1]"]
    path = book.folder / "quillby/2027/desk-b3x9m.jsonl"
    path.write_text("\n".join(hostile(texts)) + "\n", encoding="utf-8", newline="")
    book.does("export everything --out all.zip")
    files = unpacked(book.folder / "all.zip")
    assert "'=1+1" in files["entries/note.csv"]
    sheets = cells_of(files)
    for name, text in files.items():
        found = list(sheets[name.replace("/", " ")].iter_rows())
        for row, told in zip(found, read(text), strict=True):
            assert [cell.data_type for cell in row if cell.data_type == "f"] == []
            assert [cell.value or "" for cell in row] == told
            assert not [cell for cell in told if cell[:1] in tuple("=+-@\t\r\n")]


def test_openpyxl_knows_a_formula_when_it_sees_one() -> None:
    assert cells_of({"a.csv": "=1+1\n"})["a.csv"]["A1"].data_type == "f"


# --- the same bytes ----------------------------------------------------------------------------


def run(folder: Path, line: str, **env: str) -> bytes:
    """What a command of its own process writes to standard output."""
    answer = subprocess.run(
        [sys.executable, "-m", "fieldbook", *line.split()],
        capture_output=True,
        check=True,
        cwd=folder,
        stdin=subprocess.DEVNULL,
        env={**os.environ, "FIELDBOOK_CONFIG": str(folder), "FIELDBOOK_BOOK": "", **env},
    )
    assert answer.stderr == b""
    return answer.stdout


@pytest.mark.parametrize(
    "line",
    [
        "export everything --out -",
        "export everything --out - --as-of 2027-02-01",
        "export everything --format json --as-of 2027-02-01",
        "export calendar",
        "export calendar --as-of 2027-02-01",
        "export lines --schema",
    ],
)
def test_neither_zone_nor_language_nor_the_time_of_day_shows(tmp_path: Path, line: str) -> None:
    line = f"--book {resource('demo_season')} {line}"
    seen = {
        run(tmp_path, line, TZ=zone, LC_ALL=language, LANGUAGE=language, PYTHONHASHSEED=seed)
        for zone, language, seed in (
            ("UTC", "C.UTF-8", "1"),
            ("UTC", "C.UTF-8", "2"),
            ("America/New_York", "de_DE.UTF-8", "1"),
            ("Pacific/Kiritimati", "C", "1"),
        )
    }
    assert len(seen) == 1


def test_no_zip_tells_when_and_where_it_was_made() -> None:
    data = everything_zip(open_season(2027), until=date(2027, 2, 1))
    assert data == everything_zip(open_season(2027), until=date(2027, 2, 1))
    with zipfile.ZipFile(io.BytesIO(data)) as copy:
        for info in copy.infolist():
            assert info.date_time == (1980, 1, 1, 0, 0, 0)
            assert (info.create_system, info.external_attr >> 16) == (3, 0o644)
            assert info.compress_type == zipfile.ZIP_STORED


# --- the calendar ------------------------------------------------------------------------------


def test_a_calendar_has_its_line_ends_wherever_it_goes(book: Shell) -> None:
    line = "export calendar --as-of 2027-02-09"
    out = run(book.folder, f"--book quillby {line}")
    assert book.asks(f"{line} --out season.ics") == (0, "", "Written to season.ics.\n")
    assert (book.folder / "season.ics").read_bytes() == out
    assert book.does(line).encode() == out == book.does(f"{line} --out -").encode()
    assert out.startswith(b"BEGIN:VCALENDAR\r\n")  # RFC 5545, 3.1: CR LF
    assert out.endswith(b"\r\nEND:VCALENDAR\r\n")
    assert out.count(b"\n") == out.count(b"\r\n")


def test_a_calendar_is_of_a_day(book: Shell) -> None:
    one = book.does("export calendar --as-of 2027-02-01")
    assert "DTSTAMP:20270201T000000Z" in one
    assert "DTSTAMP:20270209T000000Z" in book.does("export calendar")


# --- schemas, and what does not go together ----------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
def test_a_schema_needs_no_book(shell: Shell, name: str) -> None:
    out = shell.does(f"export {name} --schema")
    assert out == shipped_schema(name) == shell.does(f"export {name} --schema --format json")
    assert json.loads(out)["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert shell.asks(f"export {name} --schema --out x.json").err == "Written to x.json.\n"
    assert (shell.folder / "x.json").read_text(encoding="utf-8") == out


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("--archive --schema", "--archive and --schema do not go together."),
        ("everything --archive", "--archive and everything do not go together."),
        ("calendar --archive", "--archive and calendar do not go together."),
        ("calendar --format csv", "calendar and --format csv do not go together."),
        ("calendar --format json", "calendar and --format json do not go together."),
        ("calendar --schema", "calendar and --schema do not go together."),
        ("lines --schema --format csv", "--schema and --format csv do not go together."),
    ],
)
def test_what_does_not_go_together(book: Shell, line: str, words: str) -> None:
    before = sorted(book.folder.iterdir())
    answer = book.asks(f"export {line}")
    assert (answer.code, answer.out) == (2, "")
    message, hint = answer.err.splitlines()
    assert message == words
    assert hint.startswith("  ")
    assert sorted(book.folder.iterdir()) == before


# --- who waits for what ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("line", "loads"),
    [
        ("summary", False),
        ("export lines", False),
        ("export everything --format json", False),
        ("export calendar", True),
    ],
)
def test_only_the_calendar_waits_for_its_library(tmp_path: Path, line: str, loads: bool) -> None:
    script = (
        "import sys\nfrom fieldbook.cli import main\n"
        f"assert main({['--book', str(resource('demo_season')), *line.split()]!r}) == 0\n"
        "sys.stdout.write(' '.join(sys.modules))"
    )
    answer = subprocess.run(
        [sys.executable, "-c", script],
        capture_output=True,
        check=True,
        cwd=tmp_path,
        stdin=subprocess.DEVNULL,
        env={**os.environ, "FIELDBOOK_CONFIG": str(tmp_path), "FIELDBOOK_BOOK": ""},
    )
    held = {name.partition(".")[0] for name in answer.stdout.decode().split()}
    assert ("icalendar" in held) is loads
    assert not held & {"textual", "jsonschema", "openpyxl"}
