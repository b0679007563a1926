"""`fieldbook summary --full`, in every form; the numbers are worked out in `reports/test_full`.

Quillby Hollow with Cliff and Cedar tapped on two days, a pump that was read, two runs and a leak;
the two spouts too many, the slip and the run without a measure are there to be told.
"""

import csv
import io
import json
import os
import shutil
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from fieldbook.resources import resource
from fieldbook.season.plan import Plan
from tests.reports.pages import squeezed
from tests.scenarios import Shell, quillby

COUNTS = """\
date,block,line,task,count,by,hours
2027-02-06,Ledge,Cliff,tapping,42,Wim,2
2027-02-08,Ledge,Cedar,tapping,60,Perrin,3.1
2027-02-08,Ledge,Cliff,drops,42,Wim,
2027-02-09,Ledge,Cliff,leaks,1,Wim,0.5
"""
RUNS = "date,sap_gal,brix_pct,syrup_gal\n2027-02-07,420,2,\n2027-02-08,,,9.5\n"
READINGS = """\
at,block,line,place,pipe,vacuum_inhg,by
2027-02-09 07:00,,,pump,,25.5,Oda
2027-02-09 09:00,Ledge,Cliff,far,,22.0,Wim
"""
FORMS = ("terminal", "text", "json", "csv", "html", "pdf")
TABLES = (
    *("plan", "blocks", "tasks", "people", "spouts", "ages", "bags", "sap", "runs", "costs"),
    *("carried", "notes", "written-off", "struck"),
)


@pytest.fixture
def book(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Shell:
    shell = quillby(Shell(tmp_path, monkeypatch, capsys))
    assert shell.imports(counts=COUNTS, runs=RUNS, readings=READINGS).code == 0
    shell.does("record --block Ledge --line Cliff --leak 'tee cracked' --who Wim")
    shell.does("record --block Ledge --line Cliff --note '=cmd()' --who Wim")
    said = shell.does("record --block Creek --line Ford --task tapping --count 9 --who Wim")
    shell.does(f"strike {said.split()[0]} --reason 'wrong line'")
    return shell


def rows(book: Shell, table: str, options: str = "") -> list[dict[str, str]]:
    line = f"summary --full --format csv --table {table} {options}"
    return list(csv.DictReader(io.StringIO(book.does(line))))


def told(book: Shell, options: str = "") -> dict[str, Any]:
    data: dict[str, Any] = json.loads(book.does(f"summary --full --format json {options}"))
    return data


def pages(path: Path) -> str:
    return "".join(page.extract_text() for page in PdfReader(path).pages)


# --- forms -------------------------------------------------------------------------------------


@pytest.mark.parametrize("form", ["terminal", "text", "json", "csv", "html"])
def test_every_form_goes_to_standard_output_or_a_file(book: Shell, form: str) -> None:
    line = f"summary --full --format {form}"
    answer = book.asks(line)
    assert (answer.code, answer.err) == (0, "")
    assert "Tapping" in answer.out
    assert "\x1b" not in answer.out
    assert book.asks(f"{line} --out report") == (0, "", "Written to report.\n")
    assert (book.folder / "report").read_bytes() == answer.out.encode()


@pytest.mark.parametrize("name", ["may.pdf", "may.PDF", "may.html", "may.Html"])
@pytest.mark.parametrize("full", ["--full", ""])
def test_the_ending_of_the_file_says_its_form(book: Shell, name: str, full: str) -> None:
    """A PDF or a web page is always of the summary in full."""
    assert book.asks(f"summary {full} --out {name}") == (0, "", f"Written to {name}.\n")
    begins = {"pdf": b"%PDF-", "html": b"<!DOCTYPE html>"}[name[4:].casefold()]
    assert (book.folder / name).read_bytes().startswith(begins)


def test_a_pdf_without_a_name_gets_one_that_no_file_has(book: Shell) -> None:
    for again in ("", "-2", "-3"):
        name = f"summary-2027-2027-02-09{again}.pdf"
        assert book.asks("summary --full --format pdf").err == f"Written to {name}.\n"
        assert "Season summary" in pages(book.folder / name)


@pytest.mark.parametrize(
    ("options", "width"), [("", 612), ("--paper letter", 612), ("--paper a4", 595.28)]
)
def test_paper_is_letter_here_and_a4_if_asked_for(book: Shell, options: str, width: float) -> None:
    """8.5 in are 612 points; A4 is 210 mm wide (ISO 216), 595.28 points."""
    book.does(f"summary --full --out may.pdf {options}")
    page = PdfReader(book.folder / "may.pdf").pages[0]
    assert float(page.mediabox.width) == pytest.approx(width, abs=0.01)


def test_a_metric_laptop_prints_a4_with_kilopascals(book: Shell) -> None:
    laptop = book.folder / "laptop" / "laptop.json"
    laptop.write_text(json.dumps(json.loads(laptop.read_text()) | {"units": "metric"}))
    book.does("summary --full --out may.pdf")
    assert float(PdfReader(book.folder / "may.pdf").pages[0].mediabox.width) < 600
    assert "kPa" in pages(book.folder / "may.pdf")
    (vacuum,) = (chart for chart in told(book)["charts"] if chart["name"] == "vacuum")
    assert vacuum["unit"] == "kPa"


def test_text_is_no_wider_than_a_terminal(book: Shell) -> None:
    assert max(map(len, book.does("summary --full").splitlines())) <= 80


class Marks(HTMLParser):
    """The marks of a page, and its words."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.marks: set[str] = set()
        self.words = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.marks.add(tag)
        self.marks.update(name for name, _value in attrs if name in ("src", "href", "onload"))

    def handle_data(self, data: str) -> None:
        self.words += data


def test_a_page_for_a_browser_needs_nothing_from_anywhere(book: Shell) -> None:
    page = Marks(book.does("summary --full --format html"))
    assert page.marks.isdisjoint({"script", "link", "img", "iframe", "src", "href", "onload"})
    assert {"svg", "table", "h2"} <= page.marks
    assert "For the report on public land: 102 tapholes drilled, 9.5 gal" in page.words


# --- csv and json ------------------------------------------------------------------------------


@pytest.mark.parametrize("table", TABLES)
def test_each_table_by_its_name(book: Shell, table: str) -> None:
    """Also where it has no row, as nothing was carried over here."""
    text = book.does(f"summary --full --format csv --table {table}")
    (heads, *_rows) = csv.reader(io.StringIO(text), strict=True)
    assert len(heads) == len(set(heads)) >= 3


def test_the_first_table_is_the_plan(book: Shell) -> None:
    assert book.does("summary --full --format csv") == (
        book.does("summary --full --format csv --table plan")
    )


def test_a_table_there_is_none_of_is_refused_with_those_there_are(book: Shell) -> None:
    answer = book.asks("summary --full --format csv --table weather")
    assert (answer.code, answer.out) == (2, "")
    assert answer.err == (
        "The report has no table 'weather'.\n  It has: " + ", ".join(TABLES) + ".\n"
    )


def test_a_table_belongs_to_the_summary_in_full(book: Shell) -> None:
    answer = book.asks("summary --format csv --table plan")
    assert (answer.code, answer.err) == (
        2,
        "--table belongs to the summary in full.\n  Add --full.\n",
    )


def test_what_people_typed_is_no_formula_in_a_spreadsheet(book: Shell) -> None:
    (note,) = rows(book, "notes")
    assert note["says"] == "'=cmd()"
    assert (note["day"], note["who"], note["place"]) == ("2027-02-09", "Wim", "Ledge / Cliff")


def test_tables_hold_the_numbers_of_the_season(book: Shell) -> None:
    """Cliff's 42 drops took 42 tees; nobody said how long. 102 taps in 5.1 h are 20 an hour, and
    3.00 minutes a tap; with half an hour for a leak check 3.29."""
    tapping = next(r for r in rows(book, "tasks") if r["task"] == "Tapping")
    assert (tapping["first"], tapping["last"], tapping["days"]) == ("2027-02-06", "2027-02-08", "2")
    assert (tapping["done"], tapping["hours"], tapping["rate_per_hour"]) == ("102", "5.1", "20")
    assert tapping["minutes_per_tap"] == "3"
    drops = next(r for r in rows(book, "tasks") if r["task"] == "Drop replacement")
    assert (drops["done"], drops["hours"], drops["minutes_per_tap"]) == ("42", "", "")
    costs = {r["what"]: r["cost"] for r in rows(book, "costs")}
    assert (costs["hours"], costs["tees"], costs["spouts"]) == ("112", "18.9", "35.7")
    ages = {r["age_years"]: (r["lines"], r["drops"]) for r in rows(book, "ages")}
    assert ages["new"] == ("1", "42")
    (struck,) = rows(book, "struck")
    assert struck["struck"].endswith(": wrong line")


def test_a_day_that_nobody_measured_is_an_empty_cell(book: Shell) -> None:
    first, second = rows(book, "runs")
    assert (first["sap_gal"], first["syrup_gal"]) == ("420", "")
    assert (second["sap_gal"], second["syrup_gal"], second["sap_gal_per_tap"]) == ("", "9.5", "")


def test_json_has_units_in_its_names_and_null_for_what_nobody_recorded(book: Shell) -> None:
    full = told(book)
    assert full["reported"] == {
        "tapholes": 102,
        "syrup_gal": 9.5,
        "syrup_l": pytest.approx(35.961, abs=0.001),  # 3.785411784 l a gallon (NIST SP 811)
    }
    assert (full["first_day"], full["last_day"]) == ("2027-02-06", "2027-02-09")
    assert full["work"]["minutes_per_tap"] == pytest.approx(60 * 5.6 / 102)
    assert full["work"]["minutes_per_tap_all"] is None  # nobody said how long the drops took
    assert full["work"]["timed_share"] == 0.75
    drops = next(p for p in full["work"]["tasks"] if p["task"] == "drops")
    assert (drops["hours"], drops["rate_per_hour"]) == (None, None)
    assert full["leaks"] == {
        "found": 1,
        "mended": 0,
        "open": 1,
        "per_1000_taps": pytest.approx(1000 / 102),
        "by_cause": {"fitting": 1},  # by the words it was told in
    }
    assert [chart["name"] for chart in full["charts"]] == ["taps", "vacuum", "sap"]
    assert full["summary"] == book.summary()


# --- days, closed seasons, other checklists ----------------------------------------------------


def test_as_of_a_day_later_work_is_left_out(book: Shell) -> None:
    full = told(book, "--as-of 2027-02-06")
    assert (full["summary"]["as_of"], full["work"]["taps"], full["runs"]) == ("2027-02-06", 42, [])
    assert full["reported"]["syrup_gal"] is None
    book.does("summary --full --as-of 2027-02-06 --format pdf")
    assert "42 tapholes drilled" in pages(book.folder / "summary-2027-2027-02-06.pdf")


def test_before_the_season_nothing_is_known(book: Shell) -> None:
    full = told(book, "--as-of 2026-09-01")
    assert full["reported"] == {"tapholes": None, "syrup_gal": None, "syrup_l": None}
    assert (full["work"]["hours"], full["costs"]["cost"]) == (None, None)
    assert "tapholes not counted" in book.does("summary --full --as-of 2026-09-01")


@pytest.mark.parametrize("form", FORMS)
def test_a_season_that_is_closed_says_who_closed_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], form: str
) -> None:
    shell = Shell(tmp_path, monkeypatch, capsys)
    shutil.copytree(resource("demo_season"), tmp_path / "demo")
    line = f"summary --full --book demo --season 2026 --format {form}"
    if form == "pdf":
        shell.does(f"{line} --out may.pdf")
        told = pages(tmp_path / "may.pdf")
    else:
        told = shell.does(line)
    if form == "csv":
        assert told.startswith("task,planned,done")
    else:
        assert ",Ina,Mon4May2026" in squeezed(told)


@pytest.mark.parametrize("form", FORMS)
def test_a_book_with_nothing_in_it_has_a_summary_in_full(book: Shell, form: str) -> None:
    book.does("new bare --season 2027 --name Bare")
    answer = book.asks(f"summary --full --book bare --format {form} --out report")
    assert (answer.code, answer.err) == (0, "Written to report.\n")
    assert (book.folder / "report").stat().st_size > 0


def test_buckets_have_no_drops_to_replace_and_no_vacuum(book: Shell) -> None:
    book.does("new pails --season 2027 --name Pails --checklist buckets")
    book.does("import lines.csv people.csv --book pails")
    book.does("record --book pails --block Ledge --line Cliff --task tapping --count 40 --hours 2")
    full = told(book, "--book pails")
    assert full["summary"]["totals"]["drops_due"] is None
    assert (full["summary"]["vacuum"], full["drops_now"]) == (None, [])
    assert [part["what"] for part in full["costs"]["parts"]] == ["hours", "spout", "bit"]
    assert "Vacuum" not in book.does("summary --full --book pails")


# --- what goes wrong ---------------------------------------------------------------------------


@pytest.mark.parametrize("form", FORMS)
def test_a_rule_that_no_sum_holds_for_is_named(
    book: Shell, monkeypatch: pytest.MonkeyPatch, form: str
) -> None:
    number = Plan.number
    monkeypatch.setattr(
        Plan, "number", lambda plan, name: 1.0 if name == "roll_ft" else number(plan, name)
    )
    answer = book.asks(f"summary --full --format {form} --out report")
    assert (answer.code, answer.out) == (2, "")
    assert answer.err == (
        "It cannot be reckoned with the rules of the book: roll 1.0 ft: out of range, a drop of "
        "30.0 in or longer.\n  Change the rule: fieldbook setting shows them all.\n"
    )
    assert not (book.folder / "report").exists()


@pytest.mark.parametrize("form", FORMS)
def test_a_file_that_cannot_be_written_is_named(book: Shell, form: str) -> None:
    answer = book.asks(f"summary --full --format {form} --out nowhere/report")
    assert (answer.code, answer.out) == (2, "")
    assert answer.err.startswith("Cannot write nowhere/report: No such file or directory.\n")


# --- the same everywhere -----------------------------------------------------------------------

PLACES = (
    {"TZ": "UTC", "LC_ALL": "C", "PYTHONHASHSEED": "1"},
    {"TZ": "UTC", "LC_ALL": "C", "PYTHONHASHSEED": "1"},  # again
    {"TZ": "Pacific/Auckland", "LC_ALL": "C.UTF-8", "PYTHONHASHSEED": "7"},
    {"TZ": "America/St_Johns", "LC_ALL": "fr_CA.UTF-8", "LANGUAGE": "fr", "PYTHONHASHSEED": "31"},
)
"""Zones, locales and orders of hashes; where a laptop lacks the locale it falls back to C."""


@pytest.mark.parametrize("form", ["text", "json", "csv --table people", "html", "pdf"])
@pytest.mark.parametrize("season", [2026, 2027])
def test_the_same_book_and_day_give_the_same_bytes_everywhere(
    tmp_path: Path, form: str, season: int
) -> None:
    """The demo's clock stands still, wherever the laptop is."""
    shutil.copytree(resource("demo_season"), tmp_path / "demo")
    line = f"-m fieldbook summary --full --book demo --season {season} --out - --format {form}"
    base = {name: value for name, value in os.environ.items() if not name.startswith("FIELDBOOK")}
    made = {
        subprocess.run(
            [sys.executable, *line.split()],
            capture_output=True,
            check=True,
            cwd=tmp_path,
            env={
                **base,
                "PYTHONPATH": str(Path(__file__).parents[1]),
                "FIELDBOOK_CONFIG": str(tmp_path / "laptop"),
                **place,
            },
        ).stdout
        for place in PLACES
    }
    assert len(made) == 1
    assert len(made.pop()) > 500
