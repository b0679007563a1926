"""Sap runs: the season of 2013 on fifty taps, from a table that a college shared.

Open data (CC0): `maple_sap` of the R package macleish, Smith College. Fifty taps were set on 22
February 2013 and pulled on 5 April. On eight days the cell is blank: nobody measured.
"""

from datetime import date, timedelta
from functools import partial
from math import fsum
from pathlib import Path

import pytest

from fieldbook.book.book import Book
from fieldbook.reports.sap import run_days, sap_of
from fieldbook.season.runs import read_run
from fieldbook.season.season import Season
from tests.conftest import NOW, refused
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
        "2013-02-22,,,,,,,",
        *(f"2013-02-{day},,{gal},,,,," for day, gal in ((24, 15), (25, 23), (26, 8))),
        *(f"2013-02-{day},,{gal},,,,," for day, gal in ((27, 37), (28, 17))),
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


# --- what they add up to -------------------------------------------------------------------------


def test_the_best_fifth_of_the_days_of_2013_by_hand(shell: Shell) -> None:
    """29 days were measured; a fifth is 5.8, so 6: 80 + 70 + 64 + 51 + 48 + 37 = 350 of 675."""
    shell.imports(sap=SAP_2013)
    sap = sap_of(season().ledger)
    assert (sap.sap_gal, sap.sap_gal_per_tap) == (675.0, 13.5)
    assert (sap.days_measured, sap.days_blank) == (29, 8)
    assert sap.best_fifth_days == 6
    assert sap.best_fifth_share == pytest.approx(350 / 675)
    assert (sap.first_run, sap.last_run) == (date(2013, 2, 24), date(2013, 4, 5))
    assert sap.length_days == 41  # 5 in February, 31 in March, 5 in April
    assert (sap.syrup_gal, sap.brix, sap.syrup_expected_gal) == (None, None, None)


NASS_2021 = (
    *(("ME", 1890, 495, 0.262), ("MI", 550, 150, 0.273), ("NH", 530, 127, 0.240)),
    *(("NY", 2900, 647, 0.223), ("PA", 715, 165, 0.231), ("VT", 5900, 1540, 0.261)),
    ("WI", 850, 300, 0.353),
)
"""Taps and syrup of seven states, in thousands, and gallons a tap as printed.

USDA NASS, Northeast Maple Syrup Production, 12 January 2022: the season of 2021.
"""


def test_seven_states_as_seven_blocks(shell: Shell) -> None:
    """The total is 3,424 over 13,335, .257 as printed: not the mean of the states, .263."""
    shell.does("new nass --season 2021 --checklist buckets --by Oda")
    lines = "".join(f"{state},{taps}\n" for state, taps, _gal, _each in NASS_2021)
    runs = "".join(f"2021-04-30,{state},{gal}\n" for state, _taps, gal, _each in NASS_2021)
    assert shell.imports(lines=f"block,taps_planned\n{lines}").code == 0
    assert shell.imports(runs=f"date,block,syrup_gal\n{runs}").code == 0
    told = shell.summary()
    assert round(told["sap"]["syrup_gal_per_tap"], 3) == 0.257
    assert told["sap"]["syrup_gal"] == 3424
    yields = {b["block"]: b["sap"]["syrup_gal_per_tap"] for b in told["blocks"]}
    assert {name: round(each, 3) for name, each in yields.items()} == {
        state: printed for state, _taps, _gal, printed in NASS_2021
    }
    assert round(fsum(yields.values()) / 7, 3) == 0.263
    assert told["sap"]["sap_gal"] is None  # of sap nobody said anything: not 0


BLOCKS = "block,taps_planned\nLedge,100\nCreek,300\n"


@pytest.fixture
def two(shell: Shell) -> Shell:
    """Two blocks of 100 and 300 taps."""
    shell.does("new woods --season 2027 --checklist buckets --by Oda")
    assert shell.imports(lines=BLOCKS).code == 0
    return shell


def woods() -> Season:
    return Season(Book.open(Path("woods")))


def test_blocks_are_parts_of_the_whole_on_a_day_and_else_they_are_it(two: Shell) -> None:
    two.imports(
        runs="date,block,sap_gal,brix_pct,syrup_gal\n"
        "2027-03-01,,400,2,9\n2027-03-01,ledge,90,,\n"  # 90 of the 400
        "2027-03-02,ledge,50,2,\n2027-03-02,creek,150,3,\n2027-03-02,,,,5\n"
    )
    sap = sap_of(woods().ledger)
    assert (sap.sap_gal, sap.syrup_gal) == (600, 14)
    assert sap.brix == pytest.approx((400 * 2 + 50 * 2 + 150 * 3) / 600)
    assert (sap.sap_taps, sap.sap_gal_per_tap) == (400, 1.5)
    assert sap_of(woods().ledger, "Ledge").sap_gal_per_tap == 1.4
    creek = sap_of(woods().ledger, "Creek")
    assert (creek.sap_gal_per_tap, creek.days_measured, creek.syrup_gal) == (0.5, 1, None)
    assert sap_of(woods().ledger, "Ledge").days_blank == 0


def test_where_only_one_block_is_ever_measured_its_taps_alone_count(two: Shell) -> None:
    two.imports(runs="date,block,sap_gal\n2027-03-01,ledge,90\n2027-03-02,ledge,30\n")
    sap = sap_of(woods().ledger)
    assert (sap.sap_taps, sap.taps, sap.sap_gal_per_tap) == (100, 400, 1.2)


def test_taps_drilled_too_late_for_a_run(two: Shell) -> None:
    """On 1 March 100 of 400 taps gave 80 gal: the other 300 would have brought 240."""
    two.does("record --block ledge --task tapping --count 100 --date 2027-02-27 --add")
    two.does("record --block creek --task tapping --count 300 --date 2027-03-02")
    two.does("record --sap-gal 80 --date 2027-03-01")
    two.does("record --sap-gal 400 --date 2027-03-02")
    first, second = run_days(woods().ledger)
    assert (first.taps_in, first.taps_late, first.sap_gal_per_tap) == (100, 300, 0.8)
    assert first.sap_missed_gal == 240
    assert (second.taps_in, second.taps_late, second.sap_missed_gal) == (400, 0, 0)
    sap = sap_of(woods().ledger)
    assert (sap.taps_late, sap.sap_missed_gal) == (300, 240)


def test_the_same_day_keyed_in_again_is_asked_about(
    two: Shell, monkeypatch: pytest.MonkeyPatch
) -> None:
    two.does("record --block ledge --sap-gal 90 --date 2027-03-01")
    later = NOW + timedelta(minutes=1)
    monkeypatch.setattr("fieldbook.commands.common.now", lambda _book: later)
    again = two.asks("record --block ledge --sap-gal 96 --date 2027-03-01")
    assert again.code == 2
    assert "A run of 2027-03-01 is in the book already" in again.err
    assert "If it corrects that, strike" in again.err
    two.does("record --block creek --sap-gal 96 --date 2027-03-01")  # of another block
    two.does("record --sap-gal 96 --block ledge --date 2027-03-01 --really")
    assert sap_of(woods().ledger).sap_gal == 90 + 96 + 96


def test_more_sap_of_blocks_than_of_them_all_is_found(two: Shell) -> None:
    """The whole counts; tanks that differ by some hundredths are left alone."""
    two.imports(
        runs="date,block,sap_gal\n2027-03-01,,100\n2027-03-01,ledge,40\n2027-03-01,creek,61\n"
        "2027-03-02,,100\n2027-03-02,ledge,40\n2027-03-02,creek,81\n"
    )
    found = two.asks("check")
    assert "2027-03-02: the blocks' sap is 121.0 gal, that of them all 100.0" in found.out
    assert "2027-03-01" not in found.out
    assert sap_of(woods().ledger).sap_gal == 200


def test_a_block_that_is_not_there_is_refused(two: Shell) -> None:
    answer = two.imports(runs="date,block,sap_gal\n2027-03-01,lodge,90\n")
    assert answer.code == 1
    assert "runs.csv, row 2, column block" in answer.out
    assert "Ledge" in answer.out


def test_a_table_of_runs_that_says_brix_is_taken_and_goes_out_as_brix_pct(two: Shell) -> None:
    assert two.imports(runs="date,sap_gal,brix\n2027-03-01,90,2.5\n").out.endswith(
        "runs, 1 new, 0 changed, 0 in the book already\n"
    )
    assert two.does("export runs").splitlines() == [
        "date,block,sap_gal,sap_l,brix_pct,syrup_gal,syrup_l,note",
        "2027-03-01,,90,,2.5,,,",
    ]
