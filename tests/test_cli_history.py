"""`fieldbook history`, in every form; what it says is worked out in `reports/test_history`.

Quillby Hollow in 2025 and 2026, closed, and in 2027 on 9 February, under way. Cliff and Cedar are
all that is tapped: 42 + 60 taps.
"""

import csv
import io
import json
from typing import Any

import pytest

from tests.scenarios import QUILLBY, Shell, quillby

COUNTS = """\
date,block,line,task,count,by,hours
{year}-02-0{day},Ledge,Cliff,tapping,42,Wim,2.5
{year}-02-0{day},Ledge,Cedar,tapping,60,Perrin,2.6
{year}-04-20,Ledge,Cliff,pulling,42,Wim,0
{year}-04-21,Ledge,Cedar,pulling,60,Wim,0
"""
RUNS = "date,sap_gal,brix_pct,syrup_gal\n{year}-03-04,{sap},2,\n{year}-03-20,102,2,20.4\n"


@pytest.fixture
def book(
    tmp_path: Any, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Shell:
    shell = Shell(tmp_path, monkeypatch, capsys)
    quillby(shell)
    for year, day, sap in ((2025, 3, 408), (2026, 5, 918)):
        shell.write("lines.csv", QUILLBY.replace("2026", "2025"))
        shell.does(f"new quillby --season {year}")
        shell.write("counts.csv", COUNTS.format(year=year, day=day))
        shell.write("runs.csv", RUNS.format(year=year, sap=sap))
        shell.does(f"import lines.csv people.csv counts.csv runs.csv --season {year}")
    leak = "record --block Ledge --line Cliff --leak 'tee cracked' --who Wim --season 2026"
    shell.does(f"{leak} --date 2026-03-01")
    shell.does("record --block Ledge --line Cliff --task tapping --count 42 --date '8 Feb'")
    return shell


def told(book: Shell, options: str = "") -> dict[str, Any]:
    data: dict[str, Any] = json.loads(book.does(f"history --format json {options}"))
    return data


def rows(book: Shell, options: str = "") -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(book.does(f"history --format csv {options}"))))


def test_a_row_a_season_and_block_with_units_in_the_names(book: Shell) -> None:
    there = rows(book)
    assert [(row["season"], row["block"]) for row in there] == [
        (str(season), block)
        for block in ("", "Ledge", "Creek", "Sugar Lot")
        for season in (2025, 2026, 2027)
    ]
    ledger = {(row["season"], row["block"]): row for row in there}
    assert {k: v for k, v in ledger["2026", ""].items() if k not in ("season", "block")} == {
        "so_far": "False",
        "lines": "5",
        "taps": "102",
        "trees": "",
        "taps_per_tree": "",
        "hours": "5.1",
        "hours_share": "1",
        "hours_per_tap": "0.05",
        "minutes_per_tap": "3",
        "leaks": "1",
        "leaks_per_1000_taps": "9.80392156863",
        "sap_gal_per_tap": "10",
        "syrup_gal_per_tap": "0.2",
        "brix_pct": "2",
        "drop_age_years": ledger["2026", ""]["drop_age_years"],
        "first_tap": "2026-02-05",
        "first_run": "2026-03-04",
        "last_run": "2026-03-20",
        "last_spout_out": "2026-04-21",
    }
    assert (ledger["2025", ""]["leaks"], ledger["2025", ""]["leaks_per_1000_taps"]) == ("", "")


def test_what_nobody_recorded_is_null(book: Shell) -> None:
    creek = next(side for side in told(book)["sides"] if side["block"] == "Creek")["seasons"][-1]
    nothing = {name for name, value in creek.items() if value is None}
    assert nothing == set(creek) - {"season", "block", "so_far", "lines", "drop_age_years"}


def test_the_season_under_way_is_so_far_and_nothing_is_claimed_of_it(book: Shell) -> None:
    data = told(book)
    assert [(s["season"], s["so_far"]) for s in data["seasons"]] == [
        (2025, False),
        (2026, False),
        (2027, True),
    ]
    taps = next(c for c in data["changes"] if (c["measure"], c["block"]) == ("taps", ""))
    assert (taps["value_before"], taps["value"], taps["so_far"]) == (102, 102, 42)
    text = book.does("history --format text")
    assert "2027 is under way: its numbers are so far, and no change is told of it." in text
    assert "What changed from 2025 to 2026:" in text
    assert "1 season before 2026 is too few to tell a change" in " ".join(text.split())
    early = told(book, "--season 2026 --as-of 2026-02-10")
    assert [s["so_far"] for s in early["seasons"]] == [False, True]
    assert early["changes"] == []
    past = told(book, "--season 2026")
    assert [s["so_far"] for s in past["seasons"]] == [False, False]


def test_text_fits_80_columns_and_the_terminal_says_the_same(book: Shell) -> None:
    text = book.does("history --format text")
    assert max(map(len, text.splitlines())) <= 80
    assert "\x1b" not in text
    words = " ".join(book.does("history").split())
    for row in text.splitlines():
        if row.startswith(("Taps in", "First tap", "Sap, gal")):
            assert " ".join(row.split()) in words
    told_rows = [" ".join(row.split()) for row in text.splitlines()]
    assert "Sap, gal a tap 5 10 -" in told_rows
    assert "First tap 3 Feb 5 Feb 8 Feb" in told_rows


def test_one_block_alone(book: Shell) -> None:
    data = told(book, "--block led")
    assert (data["block"], [side["block"] for side in data["sides"]]) == ("Ledge", ["Ledge"])
    assert {row["block"] for row in rows(book, "--block Ledge")} == {"Ledge"}
    assert "Numbers of the seasons: Ledge" in book.does("history --block Ledge --format text")
    answer = book.asks("history --block Volcano")
    assert (answer.code, answer.out) == (2, "")
    assert "No block is called 'Volcano'" in answer.err


def test_a_table_goes_out_as_it_is_asked_for(book: Shell) -> None:
    heads = {
        table: book.does(f"history --format csv --table {table}").splitlines()[0].split(",")[:3]
        for table in ("seasons", "changes", "effects")
    }
    assert heads == {
        "seasons": ["season", "block", "so_far"],
        "changes": ["block", "measure", "season"],
        "effects": ["factor", "outcome", "unit"],
    }
    answer = book.asks("history --format csv --table sap")
    assert answer.code == 2
    assert "It has: seasons, changes, effects." in answer.err


def test_a_book_with_one_season_has_nothing_beside_it(book: Shell) -> None:
    book.does("new alone --season 2027")
    data = told(book, "--book alone")
    assert (data["changes"], data["effects"], len(data["seasons"])) == ([], [], 1)
    text = book.does("history --format text --book alone")
    assert "No two seasons of the book are over yet: no change can be told." in text
    assert "The same by block" not in text


def test_minutes_a_tap_as_huyler_has_them(book: Shell) -> None:
    """Huyler 2000, USDA Forest Service NE-712: 4.74 minutes a tap and season in 1998.

    10,000 taps at that are 790 h: here 490 of drilling and 300 of leaks. 1,000 taps are 79.0 h.
    """
    book.does("new big --season 2027")
    book.write("lines.csv", "block,line,taps_planned\nRidge,One,5000\nRidge,Two,5000\n")
    work = "date,block,line,task,count,by,hours\n" + "".join(
        f"2027-0{month}-0{day},Ridge,{line},{task},{count},Oda,{hours}\n"
        for line in ("One", "Two")
        for month, day, task, count, hours in (
            (1, 5, "tapping", 5000, 245),
            (2, 5, "leaks", 1, 150),
        )
    )
    book.write("counts.csv", work)
    book.does("import lines.csv counts.csv --book big --add-people")
    (sugarbush, _block) = rows(book, "--book big")
    assert sugarbush["hours"] == "790"
    assert float(sugarbush["minutes_per_tap"]) == pytest.approx(4.74, abs=0.001)
    assert float(sugarbush["hours_per_tap"]) * 1000 == pytest.approx(79.0)


# --- the size of spouts ------------------------------------------------------------------------

SPOUTS = "block,line,taps_planned,spout_in\n"


@pytest.mark.parametrize(
    ("typed", "kept"),
    [("1/4", "0.25"), ("5/16", "0.3125"), ("7/16", "0.4375"), ("0.25", "0.25"), ("", "")],
)
def test_spouts_are_typed_as_they_are_sold(book: Shell, typed: str, kept: str) -> None:
    assert book.imports(sizes=f"{SPOUTS}Far,Back,12,{typed}\n").code == 0
    assert book.exports("lines")[-1]["spout_in"] == kept
    again = book.imports(sizes=f"{SPOUTS}Far,Back,12,{typed}\n")
    assert again.out == "sizes.csv: lines, 0 new, 0 changed, 1 in the book already\n"


@pytest.mark.parametrize("typed", ["0.149", "0.61", "5/8", "0", "8", "7/16 in"])
def test_a_spout_that_is_not_sold(book: Shell, typed: str) -> None:
    before = book.journal()
    answer = book.imports(sizes=f"{SPOUTS}Far,Back,12,{typed}\n")
    assert answer.code == 1
    wrong = f"row 2, column spout_in: '{typed}' is not a number from 0.15 up to 0.6"
    assert wrong in answer.out + answer.err
    assert book.journal() == before


def test_the_log_says_the_size_and_a_table_without_the_column_leaves_it(book: Shell) -> None:
    book.imports(sizes=f"{SPOUTS}Far,Back,12,5/16\n")
    assert "12 taps planned, drops hung unknown, 5/16 in spouts" in book.does("log Back")
    book.imports(sizes="block,line,taps_planned\nFar,Back,14\n")
    assert book.exports("lines")[-1]["spout_in"] == "0.3125"
    assert "spout_in" in book.does("blank lines").split(",")


def test_a_day_long_past_leaves_out_what_came_after_it_in_every_season(book: Shell) -> None:
    """On 4 February 2026 the taps of 2025 were in; those of 2026 came on the 5th."""
    early = told(book, "--as-of 2026-02-04")
    taps = [side["taps"] if side else None for side in early["sides"][0]["seasons"]]
    assert taps[:2] == [102, None]
