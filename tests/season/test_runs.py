"""Sap runs: the season of 2013 on fifty taps, from a table that a college shared.

Open data (CC0): `maple_sap` of the R package macleish, Smith College. Fifty taps were set on 22
February 2013 and pulled on 5 April. On eight days the cell is blank: nobody measured.
"""

from datetime import date
from functools import partial
from math import fsum
from pathlib import Path

import pytest

from fieldbook.book.book import Book
from fieldbook.season.runs import read_run
from fieldbook.season.season import Season
from tests.conftest import refused
from tests.scenarios import Shell

SAP_2013 = """\
date,sap_gal
2013-02-22,
2013-02-24,15
2013-02-25,23
2013-02-26,8
2013-02-27,37
2013-02-28,17
2013-03-01,7
2013-03-02,20
2013-03-03,11
2013-03-04,9
2013-03-05,13
2013-03-06,70
2013-03-07,21
2013-03-08,35
2013-03-09,
2013-03-10,51
2013-03-11,24
2013-03-12,5
2013-03-13,12
2013-03-14,
2013-03-15,2
2013-03-16,10
2013-03-17,
2013-03-18,12
2013-03-19,
2013-03-20,4
2013-03-21,
2013-03-22,9
2013-03-23,8
2013-03-24,4
2013-03-25,80
2013-03-26,48
2013-03-27,36
2013-03-29,20
2013-03-30,
2013-03-31,
2013-04-05,64
"""


@pytest.fixture
def shell(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Shell:
    """The book of that season, with its one line."""
    shell = Shell(tmp_path, monkeypatch, capsys)
    shell.does("new station --season 2013 --checklist buckets --by Oda")
    assert shell.imports(lines="block,taps_planned\nSugarhouse,50\n").code == 0
    return shell


def season(as_of: date | None = None) -> Season:
    return Season(Book.open(Path("station")), as_of=as_of)


def test_fifty_taps_gave_675_gallons_in_2013(shell: Shell) -> None:
    answer = shell.imports(sap=SAP_2013)
    assert answer.out == "sap.csv: runs, 37 new, 0 changed, 0 in the book already\n"
    open_season = season()
    sap = [run.sap_gal for run in open_season.ledger.runs]
    gallons = fsum(gal for gal in sap if gal is not None)
    taps = sum(open_season.plan.taps(line) or 0 for line in open_season.plan.lines)
    assert (gallons, gallons / taps) == (675.0, 13.5)  # the sums published with the data
    assert sap.count(None) == 8  # a blank is not a zero
    assert 0 not in sap


def test_imported_again_nothing_changes(shell: Shell) -> None:
    shell.imports(sap=SAP_2013)
    before = shell.journal("station", 2013)
    answer = shell.imports(sap=SAP_2013)
    assert answer.out == "sap.csv: runs, 0 new, 0 changed, 37 in the book already\n"
    assert shell.journal("station", 2013) == before


def test_as_of_a_day_later_runs_are_left_out(shell: Shell) -> None:
    shell.imports(sap=SAP_2013)
    # To 28 February: a blank, then 15 + 23 + 8 + 37 + 17.
    until = season(date(2013, 2, 28)).ledger.runs
    assert (len(until), sum(run.sap_gal or 0 for run in until)) == (6, 100)
    table = shell.does("export runs --as-of 2013-02-28").splitlines()
    assert table[1:] == [
        "2013-02-22,,,,,,",
        *(f"2013-02-{day},{gal},,,,," for day, gal in ((24, 15), (25, 23), (26, 8))),
        *(f"2013-02-{day},{gal},,,,," for day, gal in ((27, 37), (28, 17))),
    ]


def test_a_run_that_is_struck_is_in_no_sum_and_does_not_come_back(shell: Shell) -> None:
    shell.imports(sap=SAP_2013)
    (eighty,) = (run for run in season().ledger.runs if run.sap_gal == 80)
    shell.does(f"strike {eighty.id} --reason 'the tank was not empty'")
    assert sum(run.sap_gal or 0 for run in season().ledger.runs) == 595
    shell.imports(sap=SAP_2013)
    assert sum(run.sap_gal or 0 for run in season().ledger.runs) == 595


def test_two_gatherings_on_a_day_both_count(shell: Shell) -> None:
    twice = "date,sap_gal\n2013-03-06,35\n2013-03-06,35\n"
    for _time in range(2):
        shell.imports(sap=twice)
    assert sum(run.sap_gal or 0 for run in season().ledger.runs) == 70


def test_what_was_measured_of_a_day(shell: Shell) -> None:
    shell.imports(
        sap="date;sap_l;brix;syrup_gal;note\n6 March 2013;1.100,5;2,1;0;'-4 at dawn\n",
    )
    (run,) = season().ledger.runs
    assert (run.day, run.sap_l, run.brix, run.syrup_gal) == (date(2013, 3, 6), 1100.5, 2.1, 0)
    assert (run.sap_gal, run.syrup_l, run.note) == (None, None, "-4 at dawn")


HEAD = "date,sap_gal,sap_l,brix,syrup_gal,syrup_l,note"


@pytest.mark.parametrize(
    ("row", "column"),
    [
        ("2012-08-31,1,,,,,", "date: 2012-08-31 is outside season 2013"),
        ("2013-09-01,1,,,,,", "date: 2013-09-01 is outside season 2013"),
        ("03/04/2013,1,,,,,", "date: '03/04/2013' is not a date"),
        (",1,,,,,", "date: the cell is empty"),
        ("2013-03-06,-1,,,,,", "sap_gal: '-1' is not a number from 0 up to 4,000,000"),
        ("2013-03-06,4000001,,,,,", "sap_gal: '4000001' is not a number from 0 up to 4,000,000"),
        ("2013-03-06,,4000001,,,,", "sap_l: '4000001' is not a number"),
        ("2013-03-06,,,0,,,", "brix: '0' is not a number above 0 up to 100"),
        ("2013-03-06,,,100.1,,,", "brix: '100.1' is not a number"),
        ("2013-03-06,,,,4000001,,", "syrup_gal: '4000001' is not a number"),
        ("2013-03-06,,,,,4000000.1,", "syrup_l: '4000000.1' is not a number"),
        ("2013-03-06,1,4,,,,", "sap_l: sap_gal is given too"),
        ("2013-03-06,,,,1,4,", "syrup_l: syrup_gal is given too"),
        ("2013-03-06,much,,,,,", "sap_gal: 'much' is not a number"),
    ],
)
def test_a_run_that_cannot_be(shell: Shell, row: str, column: str) -> None:
    before = shell.journal("station", 2013)
    answer = shell.imports(sap=f"{HEAD}\n2013-03-05,13,,,,,\n{row}\n")
    assert answer.code == 1
    assert f"sap.csv, row 3, column {column}" in answer.out
    assert answer.err == "1 thing is wrong. Nothing was written.\n"
    assert shell.journal("station", 2013) == before


@pytest.mark.parametrize(
    "row",
    [
        *("2012-09-01,0,,100,0,,", "2013-08-31,4000000,,0.1,4000000,,"),
        *("2013-03-06,,4000000,,,0,", "2013-03-06,,0,,,4000000,"),
    ],
)
def test_up_to_its_limits_a_run_is_taken_if_it_really_was(shell: Shell, row: str) -> None:
    shell.write("sap.csv", f"{HEAD}\n{row}\n")
    assert shell.asks("import sap.csv --really").code == 0
    assert len(season().ledger.runs) == 1


@pytest.mark.parametrize(
    ("row", "asked"),
    [
        ("2013-03-06,301,,2,,,", "301 gal are 6.0 a tap in one run."),  # fifty taps
        ("2013-03-06,,11360,2,,,", "3,001 gal are 60.0 a tap in one run."),
        ("2013-03-06,70,,20,,,", "20 Brix is sweet for sap."),
    ],
)
def test_a_run_that_trees_do_not_give_is_asked_about(shell: Shell, row: str, asked: str) -> None:
    answer = shell.imports(sap=f"{HEAD}\n{row}\n")
    assert answer.code == 1
    assert f"sap.csv, row 2: {asked}" in answer.out
    assert "If it is right, say so with --really." in answer.out
    assert season().ledger.runs == []


@pytest.mark.parametrize("units", ["us", "metric"])
def test_as_people_type_it_a_run_has_the_same_limits(units: str) -> None:
    assert [*read_run("4,000,000 100 4000000", units).values()] == [4e6, 100, 4e6]
    assert [*read_run("0 - 0", units).values()] == [0, None, 0]
    for word in ("4000001", "4,000,000.1", "-1"):
        for typed in (f"{word} 2", f"5 2 {word}"):
            message, _hint, _code = refused(partial(read_run, typed, units))
            assert message == f"{word!r} does not say what a run brought."
