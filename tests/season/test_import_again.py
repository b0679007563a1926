"""What is in the book already: imported twice, struck, or exported and brought back."""

import json
from pathlib import Path

import pytest

from fieldbook.reports.export import TABLES
from tests.scenarios import Shell, quillby

COUNTS = "date,block,line,task,count,by,hours,note\n"


@pytest.fixture
def shell(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> Shell:
    """Quillby Hollow: Cliff 42 taps, Cedar 60, Ford 120, Spring 35, Sugar Lot 20."""
    return quillby(Shell(tmp_path, monkeypatch, capsys))


# --- twice -------------------------------------------------------------------------------------


def test_what_is_in_the_book_already_changes_nothing(shell: Shell) -> None:
    shell.write("counts.csv", COUNTS + "2027-02-09,ledge,1,Tapping,42,oda,3.5,cold\n")
    shell.write("targets.csv", "task,block,line,wanted,planned\ntap,Ledge,Cliff,,40\n")
    files = "lines.csv people.csv counts.csv targets.csv"
    shell.does(f"import {files}")
    before = shell.journal()
    answer = shell.asks(f"import {files}")
    assert [line.partition(": ")[2] for line in answer.out.splitlines()] == [
        "lines, 0 new, 0 changed, 5 in the book already",
        "people, 0 new, 0 changed, 3 in the book already",
        "targets, 0 new, 0 changed, 1 in the book already",
        "counts, 0 new, 0 changed, 1 in the book already",
    ]
    assert answer.err == "0 entries saved.\n"
    assert shell.journal() == before


def test_a_changed_line_is_one_new_entry(shell: Shell) -> None:
    before = shell.journal()
    text = (shell.folder / "lines.csv").read_text(encoding="utf-8")
    answer = shell.imports(lines=text.replace(",42,2024", ",44,2024"))
    assert answer.out.startswith("lines.csv: lines, 0 new, 1 changed, 4 in the book already")
    after = shell.journal()
    assert after.startswith(before)
    (new,) = after[len(before) :].splitlines()
    assert json.loads(new)["taps_planned"] == 44


def test_columns_a_file_lacks_keep_what_the_book_has(shell: Shell) -> None:
    shell.imports(fewer="block,line,taps_planned\nLedge,Cedar,61\n")
    cedar = shell.exports("lines")[1]
    assert (cedar["line"], cedar["taps_planned"]) == ("Cedar", "61")
    assert (cedar["order"], cedar["drops_hung"], cedar["note"]) == ("2", "2026", "mind the wasps")
    shell.imports(blank="block,line,taps_planned,drops_hung,note\nLedge,Cedar,61,?,\n")
    cedar = shell.exports("lines")[1]
    assert (cedar["drops_hung"], cedar["note"]) == ("", "")  # a cell that is there and empty tells


def test_rows_that_say_the_same_both_count(shell: Shell) -> None:
    row = "2027-02-09,Ledge,Cliff,tapping,10,Oda,,\n"
    shell.imports(counts=COUNTS + row + row)
    assert shell.done() == {"Ledge": 20}
    shell.imports(counts=COUNTS + row + row)
    assert shell.done() == {"Ledge": 20}
    shell.imports(counts=COUNTS + row + row + row)  # a third walk on the same day
    assert shell.done() == {"Ledge": 30}


def test_a_struck_count_does_not_come_back(shell: Shell) -> None:
    shell.imports(counts=COUNTS + "2027-02-09,Ledge,Cliff,tapping,42,Oda,,\n")
    entry = shell.does("log --last 1 --format csv").splitlines()[1].split(",")[0]
    shell.does(f"strike {entry} --reason 'was Cedar'")
    before = shell.journal()
    assert "1 in the book already" in shell.does("import counts.csv")
    assert shell.journal() == before
    assert shell.done() == {}


def test_a_file_named_twice_counts_once(shell: Shell) -> None:
    shell.write("counts.csv", COUNTS + "2027-02-09,Ledge,Cliff,tapping,10,Oda,,\n")
    shell.does("import counts.csv counts.csv")
    assert shell.done() == {"Ledge": 10}


# --- out and in again --------------------------------------------------------------------------

ODD = ("=1+1", "+3 next to the road", "-20 at dawn", "@home, later", 'two\nlines, "so"', "'twas")


def test_what_goes_out_comes_in_again_as_the_same_season(shell: Shell) -> None:
    for day, note in enumerate(ODD, start=2):
        words = ("--note", note, "--hours", "0.25", "--date", f"2027-02-0{day}")
        shell.does("record --block Ledge --line Cliff --task tapping --count 7", *words)
    shell.does("setting tie_spacing_ft 32.5")
    shell.write("targets.csv", "task,block,line,wanted,planned\ntapping,Ledge,,2027-02-12,\n")
    shell.imports(
        trees="block,line,dbh_in,girth_in,dbh_cm,count\nLedge,Cliff,13-1/3,,,30\n"
        "Ledge,Cedar,18,,,4\nLedge,Cliff,,38,,6\nLedge,Cliff,,,30.123456789012345,5\n",
        more="block,line,taps_planned,layout,dry_mm,spout_in\nLedge,Cliff,trees,pair,31.75,5/16\n",
        rules='rule,from_cm,from_in,taps,source\n=ours,23.1,,1,\n=ours,39,,2,"the crew\'s,\nall"\n'
        "@them,,9-2/3,1,-\n",
        shed="item,on_hand\nspouts,850\nbits,0\n",
        sap="date,sap_gal,brix,syrup_l,note\n2027-02-08,16-2/3,2.1,,+4 at noon\n2027-02-09,,,0,\n"
        "2027-02-09,7.0000000000001,,,\n",
        gauges="at,block,line,place,pipe,vacuum_inhg,vacuum_kpa,by,note\n"
        "2027-02-08 07:10,,,pump,,25.5,,Oda,=first\n2027-02-08,Ledge,Cliff,far,dry,,83-1/3,Wim,\n"
        "2027-02-08 9:40,Creek,Spring,head,,24.123456789012,,Oda,\n",
        choice="setting,value\ntap_rule,=ours\n"
        f'days_off,"{",".join(f"2026-12-{day}" for day in range(20, 32))}"\n',
    )
    shell.does("import targets.csv")
    assert (
        [count["note"] for count in shell.exports("counts")]
        == [
            *(f"'{note}" for note in ODD[:4]),  # what a spreadsheet would take for a formula
            *ODD[4:],
        ]
    )
    tables = [table for table in TABLES if table != "log"]
    for table in tables:
        shell.does(f"export {table} --out out-{table}.csv")
    out = " ".join(f"out-{table}.csv" for table in tables)
    before = shell.journal()
    assert " 0 new, 0 changed, 0 in" not in shell.does(f"import {out}")  # each has its rows
    assert shell.journal() == before
    shell.does("new copy --season 2027 --name 'Quillby Hollow'")
    shell.does(f"import --book copy {out}")
    assert shell.does("summary --book copy --format json") == shell.does(
        "summary --book quillby --format json"
    )
    for table in tables:
        assert shell.does(f"export {table} --book copy") == shell.does(
            f"export {table} --book quillby"
        )


def test_tables_go_out_in_one_order_however_they_came_in(shell: Shell) -> None:
    """Trees as the lines are walked, the rest by name."""
    shell.imports(
        trees="block,line,dbh_in,count\nCreek,Ford,14,1\nLedge,Cedar,13,2\nLedge,Cliff,12,3\n",
        rules="rule,from_in,taps\nsteep,14,1\nours,11,1\nours,16,2\n",
        shed="item,on_hand\ntees,4\nbits,1\nspouts,9\n",
    )
    shell.imports(trees="block,line,dbh_in,count\nLedge,Cliff,12,5\n")
    assert [row["line"] for row in shell.exports("trees")] == ["Cliff", "Cedar", "Ford"]
    rules = [(row["rule"], row["from_in"]) for row in shell.exports("tap-rules")]
    assert rules == [("ours", "11"), ("ours", "16"), ("steep", "14")]
    assert [row["item"] for row in shell.exports("supplies")] == ["bit", "spout", "tee"]


def test_an_apostrophe_before_a_formula_is_kept(shell: Shell) -> None:
    note = ("--note", "'-20 at dawn")
    shell.does("record --block Ledge --line Cliff --task tapping --count 7", *note)
    shell.does("export counts --out out.csv")
    shell.does("import out.csv")
    assert shell.done() == {"Ledge": 7}  # not 14
