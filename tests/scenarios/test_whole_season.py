"""A season of Two Kettle Woods from the first drop to the last spout, by the command line alone.

Everything is invented. Three people, two blocks, five lines; every number asked for is worked out
in the comment beside it.

    Upper  Long main     780 ft   60 taps   drops of 2024: three years old, due
           Birch main    350 ft   40 taps   drops of 2026
           Gate pair     525 ft  100 taps   drops of 2025
    Brook  Bridge main   420 ft   80 taps   drops nobody knows the age of: due
           Island main   245 ft   20 taps   drops of 2023: due

    taps   60 + 40 + 100 + 80 + 20 = 300
    drops due              60 + 80 + 20 = 160
    ties every 35 ft   23 + 10 + 15 + 12 + 7 = 67
"""

import json
from pathlib import Path
from typing import Any

import pytest

from tests.scenarios import Shell

LINES = """\
block,line,order,layout,diameter_in,length_ft,slope_pct,taps_planned,drops_hung,note
Upper,Long main,1,single,1,780,4,60,2024,
Upper,Birch main,2,single,3/4,350,5,40,2026,
Upper,Gate pair,3,pair,1-1/2,525,3,100,2025,
Brook,Bridge main,1,single,1,420,2.5,80,?,
Brook,Island main,2,single,3/4,245,2,20,2023,"14 trees, the smallest 9 in, none with four"
"""

ONE_TAP = (9.0, 9.5, 11.0, 12.5, 13.0, 14.0, 14.5, 15.0)
TWO_TAPS = (16.5, 18.0, 19.5, 21.0, 23.0, 26.0)
"""Trees on Island main by diameter, in inches: 8 + 2 x 6 = 20 taps."""


@pytest.fixture
def shell(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Shell:
    """Two Kettle Woods with its lines and its crew, before anything is done."""
    shell = Shell(tmp_path, monkeypatch, capsys)
    shell.write("lines.csv", LINES)
    shell.write("people.csv", "name,role\nNell,lead\nJoss,tubing\nBirk,wire\n")
    shell.does("new two-kettle-woods --season 2027 --by Nell")
    shell.does("import lines.csv people.csv --by Nell")
    return shell


def day(shell: Shell, date: str, *rows: str) -> list[str]:
    """Key a day's work: `who: line, task, what else`; the ids of the entries."""
    ids = []
    for row in rows:
        who, _colon, rest = row.partition(": ")
        line, task, options = rest.split(", ", 2)
        block = "Brook" if line in ("Bridge", "Island") else "Upper"
        where = ("--block", block, "--line", line, "--task", task)
        out = shell.does(f"record --by Nell {options} --date {date} --who", who, *where)
        ids += [said.split()[0] for said in out.splitlines()]
    return ids


def task(summary: dict[str, Any], key: str) -> tuple[int, ...]:
    """Planned, done, left, short, over and percent of a task in the season."""
    part = next(p for p in summary["tasks"] if p["task"] == key)
    return tuple(part[name] for name in ("planned", "done", "left", "short", "over", "percent"))


def standings(summary: dict[str, Any], key: str) -> list[str]:
    return [p["standing"] for b in summary["blocks"] for p in b["tasks"] if p["task"] == key]


def drops(shell: Shell) -> None:
    """December: Island runs out of sound trees."""
    day(shell, "2026-12-10", "Joss: Long, drops, --count 60 --hours 2")
    day(shell, "2026-12-11", "Birk: Bridge, drops, --count 80 --hours 3")
    day(shell, "2026-12-14", "Joss: Island, drops, --count 15 --finish 'five trees are down'")


def wire_and_taps(shell: Shell) -> None:
    """The first days of February, until the ice and the keyboard get in the way."""
    day(shell, "2027-02-01", "Birk: Long, tensioning, --count 23")
    day(shell, "2027-02-02", "Birk: Birch, tensioning, --count 10")
    day(shell, "2027-02-03", "Birk: Gate, tensioning, --count 15")
    day(shell, "2027-02-04", "Birk: Bridge, tensioning, --count 12")
    day(shell, "2027-02-05", "Birk: Island, tensioning, --count 7")
    day(
        shell,
        "2027-02-08",
        "Nell: Long, tapping, --count 60 --hours 1.5",
        "Joss: Birch, tapping, --count 35 --hours 1 --finish 'five blew down'",
    )
    wrong, _right, _half, _ice = day(
        shell,
        "2027-02-09",
        "Birk: Gate, tapping, --count 80",
        "Birk: Bridge, tapping, --count 80",
        "Nell: Gate, tapping, --count 40",
        "Joss: Island, tapping, --aside 'no way over the ice'",
    )
    shell.does(f"strike {wrong} --by Nell --reason 'it was Bridge main'")


def the_rest(shell: Shell) -> None:
    """The ice holds, the leaks are found, and in spring the spouts come out."""
    day(shell, "2027-02-10", "Joss: Gate, tapping, --count 35", "Nell: Gate, tapping, --count 25")
    day(
        shell,
        "2027-02-15",
        "Birk: Island, tapping, --reopen 'the ice holds'",
        "Birk: Island, tapping, --count 22",  # two more trees are big enough
    )
    walk = [f"Joss: {line}, leaks, --count 1" for line in ("Long", "Birch", "Gate", "Bridge")]
    day(shell, "2027-02-20", *walk, "Joss: Island, leaks, --count 1")
    day(shell, "2027-04-26", "Joss: Long, pulling, --count 60", "Joss: Birch, pulling, --count 35")
    day(shell, "2027-04-27", "Birk: Gate, pulling, --count 98 --finish 'two in a felled tree'")
    day(shell, "2027-04-28", "Nell: Bridge, pulling, --count 80")
    day(shell, "2027-05-03", "Nell: Island, pulling, --count 22")


def test_a_whole_season(shell: Shell) -> None:
    drops(shell)
    wire_and_taps(shell)
    the_rest(shell)

    christmas = shell.summary("--as-of 2026-12-18")
    assert christmas["totals"] == {
        "taps_planned": 300,
        "taps_in": 0,
        "taps_left": 300,
        "drops_due": 160,
        "drops_replaced": 155,  # 60 + 80 + 15
        "spouts_pulled": 0,
        "spouts_in_trees": 0,
    }
    assert task(christmas, "drops") == (160, 155, 0, 5, 0, 96)  # 155 / 160 = 96.9 %
    assert standings(christmas, "drops") == ["done", "done"]
    assert christmas["short"][0]["reason"] == "five trees are down"

    tuesday = shell.summary("--as-of 2027-02-09")
    assert tuesday["totals"] == {
        "taps_planned": 300,
        "taps_in": 215,  # 60 + 35 + 40 + 80; the 80 on Gate pair are struck
        "taps_left": 80,  # Gate 60, Island 20; Birch is done though 5 short
        "drops_due": 160,
        "drops_replaced": 155,
        "spouts_pulled": 0,
        "spouts_in_trees": 215,
    }
    assert task(tuesday, "tapping") == (300, 215, 80, 5, 0, 71)  # 215 / 300 = 71.7 %
    assert task(tuesday, "tensioning") == (67, 67, 0, 0, 0, 100)
    assert standings(tuesday, "tapping") == ["under way", "set aside"]  # Bridge is done
    (ice,) = tuesday["aside"]
    assert (ice["lines"], ice["left"], ice["who"]) == (["Island main"], 20, "Joss")
    assert [(p["who"], p["count"], p["hours"]) for p in tuesday["today"]] == [
        ("Birk", 80, 0),
        ("Nell", 40, 0),
    ]
    assert [(p["who"], p["count"], p["hours"]) for p in tuesday["week"]] == [
        ("Birk", 80, 0),
        ("Joss", 35, 1),
        ("Nell", 100, 1.5),  # 60 + 40
    ]
    tapping = next(p for p in tuesday["tasks"] if p["task"] == "tapping")
    # Wanted on Saturday 20 February: 5 days of this week and 6 of the next; 80 / 11 = 7.3.
    assert (tapping["wanted"], tapping["days_left"], tapping["needed_a_day"]) == (
        "2027-02-20",
        11,
        8,
    )

    may = shell.summary("--as-of 2027-05-03")
    assert may["totals"] == {
        "taps_planned": 300,
        "taps_in": 297,  # 60 + 35 + 100 + 80 + 22
        "taps_left": 0,
        "drops_due": 160,
        "drops_replaced": 155,
        "spouts_pulled": 295,  # 60 + 35 + 98 + 80 + 22
        "spouts_in_trees": 2,  # in a felled tree
    }
    # Planned 300 = done 297 + left 0 + short 5 (Birch) - over 2 (Island); (297 - 2) / 300 = 98.3 %.
    assert task(may, "tapping") == (300, 297, 0, 5, 2, 98)
    assert task(may, "leaks") == (5, 5, 0, 0, 0, 100)
    assert task(may, "pulling") == (297, 295, 0, 2, 0, 99)  # 295 / 297 = 99.3 %
    assert [standings(may, key) for key in ("tapping", "leaks", "pulling")] == [["done"] * 2] * 3
    assert may["aside"] == []
    assert [(p["line"], p["task"], p["done"]) for p in may["over"]] == [
        ("Island main", "tapping", 22)
    ]
    assert may["struck"] == 1
    assert shell.asks("check --as-of 2027-06-01").code == 0

    # What was known at Christmas and on that Tuesday is still what it was.
    assert shell.summary("--as-of 2026-12-18") == christmas
    assert shell.summary("--as-of 2027-02-09") == tuesday


def test_the_log_tells_the_season_in_the_crews_words(shell: Shell) -> None:
    wire_and_taps(shell)
    log = shell.does("log Gate tapping")
    assert "~ tapping: 80 taps  [struck by Nell, " in log
    assert "it was Bridge main" in log
    assert shell.does("log Island ice").count("set aside tapping: no way over the ice") == 1
    assert shell.does("log five blew").count("finished tapping: five blew down") == 1


def test_two_that_do_not_key_their_own_work_are_told_apart(shell: Shell) -> None:
    day(shell, "2027-02-08", "Joss: Long, tapping, --count 60")
    (row,) = shell.exports("counts")
    assert (row["by"], row["line"], row["date"]) == ("Joss", "Long main", "2027-02-08")
    assert '"by":"Nell"' in shell.journal("two-kettle-woods").splitlines()[-1].decode()


def test_on_that_tuesday_the_gate_is_next_and_the_island_waits(shell: Shell) -> None:
    """60 taps are left on Gate pair; nobody gets over the ice to the 20 of Island main."""
    drops(shell)
    wire_and_taps(shell)
    told = json.loads(shell.does("forecast --format json --as-of 2027-02-09"))
    first = told["order"]["turns"][0]
    assert (first["block"], first["task"], first["left"]) == ("Upper", "tapping", 60)
    assert (first["wanted"], first["days_over"]) == ("2027-02-20", 0)
    assert ["Brook", "tapping"] in told["order"]["held_up"]
    tapping = next(task for task in told["tasks"] if task["task"] == "tapping")
    assert (tapping["left"], tapping["left_aside"], tapping["under_way"]) == (80, 20, True)
    finish = tapping["finish"]
    assert "2027-02-09" < finish["early"] <= finish["likely"] <= finish["late"]
    assert "First: Upper, tapping: " in shell.does("forecast --as-of 2027-02-09")


def test_the_trees_of_island_main_and_the_sap_they_gave(shell: Shell) -> None:
    """From 9 in one tap, from 16 two, and never more: the crew's own rule gives the 20 again.

    Of syrup, 400 gal of 2 Brix give 400 / 43.23 = 9.25 (revised rule, Perkins & Isselhardt).
    """
    for rule in ("own_first_in 9", "own_step_in 7", "own_most_taps 2", "tap_rule own"):
        shell.does(f"setting {rule} --by Nell")
    shell.imports(lines="block,line,order,taps_planned\nBrook,Island main,2,trees\n")
    tally = " ".join(f"{dbh_in}:1" for dbh_in in ONE_TAP + TWO_TAPS)
    shell.does("record --by Nell --block Brook --line Island --trees", tally)
    assert shell.summary("--as-of 2027-06-01")["totals"]["taps_planned"] == 300
    wire_and_taps(shell)
    the_rest(shell)
    shell.does("record --by Nell --sap-gal 400 --brix 2 --syrup-gal 9 --date 2027-03-06")
    shell.does("record --by Nell --sap-l 1514.1647136 --date 2027-03-07")  # 400 gal
    sap = shell.summary("--as-of 2027-06-01")["sap"]
    assert (sap["days_measured"], sap["days_blank"], sap["taps"]) == (2, 0, 297)
    assert sap["sap_gal_per_tap"] == pytest.approx(800 / 297)
    assert sap["syrup_expected_gal"] == pytest.approx(9.25, abs=0.005)
    assert shell.summary("--as-of 2027-03-05")["sap"]["sap_gal"] is None


# --- common practice, no source ----------------------------------------------------------------


def test_the_trees_on_island_main_carry_its_taps(shell: Shell) -> None:
    """No tree under about 9 in is tapped, none has more than three (common practice, no source)."""
    island = shell.exports("lines")[-1]
    assert int(island["taps_planned"]) == len(ONE_TAP) + 2 * len(TWO_TAPS)
    assert min(ONE_TAP + TWO_TAPS) == 9
    assert int(island["taps_planned"]) <= 3 * len(ONE_TAP + TWO_TAPS)
    assert island["note"] == "14 trees, the smallest 9 in, none with four"


@pytest.mark.parametrize(
    ("spacing_ft", "ties"),
    [(30, 26), (35, 23), (40, 20)],  # 780 / 30 = 26; 780 / 35 = 22.3; 780 / 40 = 19.5
)
def test_a_side_tie_every_30_to_40_feet(shell: Shell, spacing_ft: int, ties: int) -> None:
    """Common practice, no source: a line of 780 ft has 20 to 26, at the book's 35 ft 23."""
    shell.does(f"setting tie_spacing_ft {spacing_ft}")
    day(shell, "2027-02-01", f"Birk: Long, tensioning, --count {ties}")
    (said,) = [line for line in shell.does("log tensioning").splitlines() if "Long main" in line]
    assert said.endswith(f"tensioning: {ties} ties")
    out = shell.does("record --by Nell --block Upper --line Long --task tensioning --count 0")
    assert f"({ties} of {ties})" in out
