"""The summary and the log as data for other programs: CSV for spreadsheets, JSON for the rest."""

import csv
import io
import json
from datetime import UTC, date, datetime
from typing import Any

import pytest

from fieldbook.book.book import Book
from fieldbook.book.entry import Run, Supply, TapClass, TapRule, TreeCount, Trees
from fieldbook.reports.export import LOG_COLUMNS, TABLES, export_table
from fieldbook.reports.log import log_lines
from fieldbook.reports.render.csv import summary_csv, to_csv
from fieldbook.reports.render.json import to_json
from fieldbook.reports.summary import summarise
from fieldbook.season.season import Season
from fieldbook.season.settings import RULES
from tests.conftest import NOW, PLAN, count, stamp
from tests.reports import TUESDAY, on, work


@pytest.fixture
def tuesday(season: Season) -> Season:
    """Quillby Hollow on Tuesday evening, with the work of `tests.reports` done."""
    work(season)
    return on(season, TUESDAY)


def nth(number: int) -> str:
    """The id of an entry about work, of which the first is number 1."""
    return f"k7f2q-{len(RULES) + 1 + len(PLAN) + number}"


def read(text: str) -> list[list[str]]:
    return list(csv.reader(io.StringIO(text, newline=""), strict=True))


# --- CSV ---------------------------------------------------------------------------------------


def test_the_summary_a_block_and_task_a_row(tuesday: Season) -> None:
    head, *rows = read(summary_csv(summarise(tuesday, TUESDAY)))
    assert head == [
        *("season", "as_of", "block", "task"),
        *("planned", "done", "left", "short", "over", "percent", "standing"),
    ]
    assert [row[2:] for row in rows] == [
        ["Ledge", "drops", "42", "42", "0", "0", "0", "100", "done"],
        ["Ledge", "tapping", "102", "95", "10", "0", "3", "90", "under way"],
        ["Ledge", "tensioning", "40", "20", "20", "0", "0", "50", "under way"],
        ["Ledge", "leaks", "2", "0", "2", "0", "0", "0", "not begun"],
        ["Ledge", "pulling", "95", "2", "93", "0", "0", "2", "under way"],
        ["Creek", "drops", "120", "80", "0", "40", "0", "66", "done"],
        ["Creek", "tapping", "155", "0", "155", "0", "0", "0", "not begun"],
        ["Creek", "tensioning", "14", "5", "9", "0", "0", "35", "under way"],
        ["Creek", "leaks", "3", "0", "3", "0", "0", "0", "not begun"],
        ["Creek", "pulling", "0", "0", "0", "0", "0", "", "not begun"],
    ]
    assert {tuple(row[:2]) for row in rows} == {("2027", "2027-02-09")}


@pytest.mark.parametrize(
    ("value", "cell"),
    [
        ("=1+1", "'=1+1"),
        ("+3 next to the road", "'+3 next to the road"),
        ("-20 at dawn", "'-20 at dawn"),
        ("@home", "'@home"),
        ("tie = knot", "tie = knot"),
        ("", ""),
        ('1-1/4" pipe, wet', '1-1/4" pipe, wet'),
        ("two\nlines", "two\nlines"),
        (None, ""),
        (-3, "-3"),  # a number is no formula
        (1820, "1820"),  # nor has it separators, which a spreadsheet might take for decimals
        (0.1 + 0.2, "0.3"),
        (35.0, "35"),
        (780.25, "780.25"),
        (date(2027, 2, 9), "2027-02-09"),
        (datetime(2027, 2, 9, 16, 30, tzinfo=UTC), "2027-02-09T16:30:00+00:00"),
    ],
)
def test_cells_open_clean_in_a_spreadsheet(value: object, cell: str) -> None:
    text = to_csv(("a", "b"), [(value, "end")])
    assert read(text) == [["a", "b"], [cell, "end"]]
    assert "\r" not in text


def test_the_log_keeps_its_words_whatever_they_are(season: Season) -> None:
    work(season)
    header, rows = export_table(season, "log")
    assert header == LOG_COLUMNS
    table = [dict(zip(header, row, strict=True)) for row in read(to_csv(header, rows))[1:]]
    assert [row["id"] for row in table] == [entry.id for entry in season.log()]
    aside = next(row for row in table if row["kind"] == "aside")
    assert aside == {
        "id": nth(7),
        "at": "2027-02-08T16:30:00-05:00",
        "noted": "2027-02-09T16:30:00-05:00",
        "by": "Oda",
        "who": "Oda",
        "kind": "aside",
        "place": "Creek / Ford",
        "task": "tapping",
        "says": "set aside tapping: [red]ice[/] on the ford",
        "struck": "",
    }


def test_what_is_struck_is_in_the_log_and_not_among_the_counts(season: Season) -> None:
    work(season)
    log = read(to_csv(*export_table(season, "log")))
    assert ["60 taps", f"Oda, {nth(16)}: was Monday's sheet of\nanother crew"] in [
        row[-2:] for row in log
    ]
    counts = read(to_csv(*export_table(season, "counts")))
    cedar = [row for row in counts if row[1:4] == ["Ledge", "Cedar", "tapping"]]
    assert [row[4] for row in cedar] == ["30", "20", "10"]


MORE = (
    Trees(
        block="Ledge",
        line="Cliff",
        classes=(TreeCount(dbh_in=12.5, count=40), TreeCount(girth_in=38, count=6)),
        **stamp(),
    ),
    TapRule(
        rule="=ours",
        unit="cm",
        classes=(TapClass(from_dbh=23.1, taps=1), TapClass(from_dbh=39, taps=2)),
        source="the crew",
        **stamp(),
    ),
    Supply(item="spout", on_hand=850, **stamp()),
    Run(sap_gal=120.5, brix=2, note="-4 at dawn", **stamp()),
    Run(note="nobody looked", **stamp()),
)


@pytest.mark.parametrize("name", TABLES)
def test_every_table_has_its_rows(season: Season, name: str) -> None:
    work(season)
    season.record(*MORE)
    header, rows = export_table(season, name)
    table = read(to_csv(header, rows))
    assert table[0] == list(header)
    assert (
        len(table) - 1
        == {
            "log": len(season.log()),
            "lines": 5,
            "trees": 2,
            "tap-rules": 2,
            "people": 3,
            "counts": 10,  # eleven, of which one is struck
            "targets": 0,
            "settings": len(RULES),
            "supplies": 1,
            "runs": 2,
            "readings": 0,
        }[name]
    )


def test_lines_as_a_table(season: Season) -> None:
    table = read(to_csv(*export_table(season, "lines")))
    assert table[1:3] == [
        ["Ledge", "Cliff", "1", "single", *4 * [""], "700", "", "", "42", "2024", *3 * [""]],
        ["Ledge", "Cedar", "2", "single", *4 * [""], "", "213.36", "", "60", "2026", *3 * [""]],
    ]


@pytest.mark.parametrize(
    ("name", "rows"),
    [
        (
            "trees",
            [["Ledge", "Cliff", "12.5", "", "", "40"], ["Ledge", "Cliff", "", "38", "", "6"]],
        ),
        (
            "tap-rules",
            [["'=ours", "", "23.1", "1", "the crew"], ["'=ours", "", "39", "2", "the crew"]],
        ),
        ("supplies", [["spout", "850"]]),
        (
            "runs",
            [
                ["2027-02-09", "", "120.5", "", "2", "", "", "'-4 at dawn"],
                ["2027-02-09", "", "", "", "", "", "", "nobody looked"],  # a blank is not a zero
            ],
        ),
    ],
)
def test_trees_rules_supplies_and_runs_as_tables(
    season: Season, name: str, rows: list[list[str]]
) -> None:
    season.record(*MORE)
    assert read(to_csv(*export_table(season, name)))[1:] == rows


# --- JSON --------------------------------------------------------------------------------------


@pytest.fixture
def data(tuesday: Season) -> dict[str, Any]:
    loaded: dict[str, Any] = json.loads(to_json(summarise(tuesday, TUESDAY)))
    return loaded


def test_json_has_the_keys_other_programs_were_promised(data: dict[str, Any]) -> None:
    assert {"season", "as_of", "totals", "blocks"} <= set(data)
    assert (data["season"], data["as_of"]) == (2027, "2027-02-09")
    assert data["totals"] == {
        "taps_planned": 257,
        "taps_in": 95,
        "taps_left": 165,
        "drops_due": 162,
        "drops_replaced": 122,
        "spouts_pulled": 2,
        "spouts_in_trees": 93,
    }
    ledge = next(block for block in data["blocks"] if block["block"] == "Ledge")
    tapping = next(task for task in ledge["tasks"] if task["task"] == "tapping")
    promised = {"task", "planned", "done", "left", "standing"}
    assert {key: tapping[key] for key in promised} == {
        "task": "tapping",
        "planned": 102,
        "done": 95,
        "left": 10,
        "standing": "under way",
    }
    assert all(promised <= set(task) for block in data["blocks"] for task in block["tasks"])


def test_json_has_what_is_open_the_gravest_first(data: dict[str, Any]) -> None:
    told = [
        (i["what"], i["level"], i["block"], i["lines"], i["amount"]) for i in data["open_items"]
    ]
    assert told == [
        ("hazard", "safety", "Creek", ["Ford"], None),
        ("too many", "work", "Ledge", ["Cliff"], 3),  # 45 taps on 42 drops
        ("unfinished", "work", "Ledge", ["Cliff"], 43),  # pulling: 2 of 45
        ("unfinished", "work", "Ledge", ["Cedar"], 10),  # tapping: 30 + 20 of 60
        ("unfinished", "work", "Creek", ["Spring"], 6),  # tensioning: 5 of 11
        ("set aside", "work", "Creek", ["Ford"], 120),
        ("set aside", "work", "Creek", ["Ford", "Spring"], 2),
    ]
    hazard = data["open_items"][0]
    assert (hazard["owner"], hazard["since"]) == ("Oda", "2027-02-09T16:30:00-05:00")
    assert (hazard["entry"], hazard["remedy"], hazard["mark"]) == (nth(13), "cleared", "!!")
    assert data["closed"] == ""


def test_json_has_the_balance_of_the_season_and_its_blocks(data: dict[str, Any]) -> None:
    counts = ("drops", "taps", "untapped", "over", "pulled", "in_trees", "pulled_over", "unknown")
    balance = data["balance"]
    assert [balance["season"][name] for name in counts] == [257, 95, 165, 3, 2, 93, 0, 0]
    assert [[b["block"], *(b["count"][name] for name in counts)] for b in balance["blocks"]] == [
        ["Ledge", 102, 95, 10, 3, 2, 93, 0, 0],
        ["Creek", 155, 0, 155, 0, 0, 0, 0, 0],
    ]
    assert (balance["bags"], balance["lines"]) == ([], [])


def test_json_has_dates_as_iso_8601_and_null_for_what_is_not_known(data: dict[str, Any]) -> None:
    drops = data["tasks"][0]
    assert (drops["wanted"], drops["days_left"], drops["needed_a_day"]) == ("2026-12-19", 0, None)
    assert data["blocks"][1]["tasks"][4]["percent"] is None  # nothing planned
    assert data["aside"][1]["day"] == "2027-02-08"
    assert data["aside"][1]["lines"] == ["Ford", "Spring"]


def test_json_has_null_where_the_checklist_has_no_such_task(book: Book) -> None:
    season = Season.begin(book, "buckets", by="Oda", now=NOW)
    season.record(*PLAN)
    season.record(count("Ledge/Cliff", "tapping", 42))
    assert json.loads(to_json(summarise(season, TUESDAY)))["totals"] == {
        "taps_planned": 257,
        "taps_in": 42,
        "taps_left": 215,
        "drops_due": None,
        "drops_replaced": None,
        "spouts_pulled": 0,
        "spouts_in_trees": 42,
    }


def test_json_is_indented_and_keeps_every_letter(book: Book) -> None:
    season = Season.begin(book, "vacuum", by="Zoë", now=NOW)
    text = to_json(season.log())
    assert text.startswith('[\n  {\n    "kind": "setting"')
    assert text.endswith("]\n")
    assert '"by": "Zoë"' in text


def test_the_log_as_json_is_its_lines(tuesday: Season) -> None:
    lines = json.loads(to_json(list(log_lines(tuesday, find="cedar perrin monday"))))
    assert [line["id"] for line in lines] == [nth(15)]
    assert lines[0]["says"] == "60 taps"
    assert set(lines[0]) == set(LOG_COLUMNS)
