"""Hazel Run over three seasons, 2025 to 2027, by the command line alone; and the plan of 2028.

Everything is invented: three people, three blocks, six lines; every number is worked out here.

    North  Ridge pair    60 taps   drops of 2022: three years old in 2025, due
           Gully main    40 taps   drops of 2024
    South  Barn pair    100 taps   drops nobody knows the age of: due
           Pond main     50 taps   drops of 2023
    Hill   Top main      30 taps   drops nobody knows the age of: due
           Wall main     20 taps   drops of 2022: due

    taps   60 + 40 + 100 + 50 + 30 + 20 = 300; drops due in 2025  60 + 100 + 30 + 20 = 210

Drops are replaced every three years (Perkins 2014; UVM). The crew does no tensioning: that task is
switched off in its checklist.
"""

import json
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from tests.conftest import EAST
from tests.scenarios import Shell

LINES = """\
block,line,order,layout,diameter_in,diameter_mm,dry_in,length_ft,length_m,taps_planned,drops_hung
North,Ridge pair,1,pair,1,,1-1/4,900,,60,2022
North,Gully main,2,single,3/4,,,410,,40,2024
South,Barn pair,1,pair,1,,1-1/2,1300,,100,?
South,Pond main,2,single,1,,,640,,50,2023
Hill,Top main,1,single,3/4,,,380,,30,
Hill,Wall main,2,single,,20,,,80,20,2022
"""

BLOCKS = {"Ridge": "North", "Gully": "North", "Barn": "South", "Pond": "South"}
"""Where the lines are; the others are on the Hill."""


class Years(Shell):
    """Hazel Run, with a clock on the wall that goes from year to year."""

    def __init__(
        self, folder: Path, patch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        super().__init__(folder, patch, capsys)
        self._patch = patch
        self._day = ""

    def clock(self, day: str) -> None:
        """It is noon of a day."""
        self._day = day
        now = datetime.fromisoformat(f"{day} 12:00").replace(tzinfo=EAST)
        self._patch.setattr("fieldbook.commands.common.now", lambda _book: now)

    def works(self, day: str, task: str, *rows: str) -> None:
        """A day's work: `Ridge 60 Otto 2h 'why'`, the hours and the reason if there are any."""
        self.clock(day)
        for row in rows:
            line, count, who, *rest = row.split(maxsplit=3)
            options = rest[0] if rest else ""
            self.does(
                f"record --block {place(line)} --line {line} --task {task} --count {count} "
                f"--who {who} {options}"
            )

    def gathers(self, day: str, brix: str = "", **sap: int) -> None:
        """Sap of a day by block."""
        self.clock(day)
        for block, gallons in sap.items():
            self.does(f"record --block {block} --sap-gal {gallons} {brix and '--brix ' + brix}")

    def items(self, options: str = "") -> list[dict[str, Any]]:
        told: list[dict[str, Any]] = json.loads(self.does(f"open-items --format json {options}"))
        return told

    def carried(self) -> list[tuple[str, str, int]]:
        """Open items of the newest season that are older than it: words, owner, age in days."""
        kinds = ("hazard", "repair", "valve shut", "leak")
        found = [item for item in self.items() if item["what"] in kinds]
        return [(item["says"], item["owner"], item["age_days"]) for item in found]

    def close_it(self, says: str) -> None:
        """See to what is open, by its words."""
        (item,) = (item for item in self.items() if item["says"] == says)
        self.does(f"settle {item['entry']} seen to")

    def rolls(self, options: str = "") -> dict[str, Any]:
        """The next season as it is proposed."""
        told: dict[str, Any] = json.loads(self.does(f"rollover --format json {options}"))
        return told

    def rule(self, name: str) -> str:
        return self.does(f"setting {name}").split(" = ")[1].strip()

    def lines(self, column: str) -> dict[str, str]:
        return {row["line"].split()[0]: row[column] for row in self.exports("lines")}


def place(line: str) -> str:
    return BLOCKS.get(line, "Hill")


def changed(told: dict[str, Any]) -> list[str]:
    """The changes after the window, in brief."""
    return [
        f"{row['where']}: {row['was']} -> {row['then']} ({row['why']})"
        for row in told["rows"]
        if not row["needed"]
    ]


@pytest.fixture
def years(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Years:
    """Hazel Run in October 2024, with its lines, its crew, its checklist and its days."""
    years = Years(tmp_path, monkeypatch, capsys)
    years.clock("2024-10-07")
    years.does("new hazel-run --season 2025 --by Nan")
    copy = tmp_path / "hazel-run" / "2025" / "checklist.toml"
    text = copy.read_text(encoding="utf-8")
    before = 'planned = "side ties"\n'
    assert text.count(before) == 1
    copy.write_text(text.replace(before, before + "on = false\n"), encoding="utf-8")
    years.write("lines.csv", LINES)
    years.write("people.csv", "name,role\nNan,lead\nOtto,tubing\nBea,tubing\n")
    # 22 February 2025 is the fourth Saturday.
    years.write("targets.csv", "task,block,line,wanted,planned\ntapping,,,2025-02-22,\n")
    years.does(f"import lines.csv people.csv targets.csv {copy} --by Nan")
    # Thanksgiving 2024 was 28 November, the fourth Thursday (5 U.S.C. 6103).
    years.does("setting days_off 2024-11-28,2024-12-25,2025-01-01")
    return years


# --- 2025 ----------------------------------------------------------------------------------------


def first(years: Years) -> None:
    """Winter and spring of 2025."""
    years.works(
        "2024-12-10",
        "drops",
        "Ridge 60 Otto --hours 2",
        "Barn 100 Bea --hours 4",
        "Top 20 Otto --hours 1",
        "Wall 18 Bea --hours 1 --finish 'two trees down'",
    )
    years.does("record --block Hill --line Top --task drops --aside 'out of drops'")
    years.works(
        "2025-02-17",
        "tapping",
        "Ridge 60 Otto --hours 1.5",
        "Gully 37 Otto --hours 1 --finish 'three too small'",
        "Barn 100 Bea --hours 2.5",
        "Pond 50 Bea --hours 1.25",
        "Top 30 Nan --hours 1",
        "Wall 18 Nan --hours 0.75 --finish 'two trees down'",
    )
    years.does("record --reading 'pump 25' --block North")
    years.does("record --block North --line Ridge --reading 'far end 23' --who Otto")
    years.works("2025-03-01", "leaks", *(f"{x} 1 Bea --hours 0.5" for x in every_line()))
    years.does(
        "record --block South --line Pond --leak 'hiss at the fifth lateral' --lost-inhg 2 "
        "--who Bea"
    )
    years.does("record --block North --line Ridge --hazard 'hung-up ash' --who Otto")
    years.does("record --block Hill --promise 'hang the gate' --due 2025-03-15 --who Nan")
    years.gathers("2025-03-08", "2.2", North=180)
    years.gathers("2025-03-08", "2.0", South=320)
    years.gathers("2025-03-08", "1.8", Hill=70)
    for day, north, south, hill in (
        ("2025-03-10", 300, 450, 150),
        ("2025-03-12", 400, 450, 130),
        ("2025-03-20", 200, 150, 50),
        ("2025-03-25", 50, 30, 20),
    ):
        years.gathers(day, "2.2", North=north)
        years.gathers(day, "2.0", South=south)
        years.gathers(day, "1.8", Hill=hill)
    years.does("record --syrup-gal 68")
    years.works(
        "2025-04-20",
        "pulling",
        *("Ridge 60 Otto", "Gully 37 Otto", "Barn 98 Bea", "Pond 50 Bea"),
        *("Top 30 Nan", "Wall 18 Nan"),
    )
    years.works("2025-04-22", "pulling", "Barn 2 Bea")
    years.clock("2025-05-02")
    years.does("record --block North --line Gully --valve shut --note splice --who Otto")


def every_line() -> tuple[str, ...]:
    return ("Ridge", "Gully", "Barn", "Pond", "Top", "Wall")


def close_first(years: Years) -> None:
    """In June 2025 Nan closes the season: what is left is written off, with the reason."""
    years.clock("2025-06-02")
    for what, reason in (
        ("hazard", "marked with tape"),
        ("leak", "vacuum is off"),
        ("repair", "in the fall"),
        ("'valve shut'", "over the summer"),
        ("'set aside'", "next year"),
        ('"drops\' age"', "next year"),
    ):
        years.does(f"write-off {what} --reason '{reason}'")
    years.does("close --note 'a good one'")


def test_the_season_of_2025(years: Years) -> None:
    assert years.summary()["totals"]["taps_planned"] == 300
    assert years.summary()["totals"]["drops_due"] == 210
    first(years)
    told = years.summary("--as-of 2025-05-02")
    assert told["totals"] == {
        "taps_planned": 300,
        "taps_in": 295,  # 60 + 37 + 100 + 50 + 30 + 18
        "taps_left": 0,
        "drops_due": 210,
        "drops_replaced": 198,  # 60 + 100 + 20 + 18
        "spouts_pulled": 295,
        "spouts_in_trees": 0,
    }
    sap = told["sap"]
    # North 180 + 300 + 400 + 200 + 50 = 1,130; South 320 + 450 + 450 + 150 + 30 = 1,400;
    # Hill 70 + 150 + 130 + 50 + 20 = 420: 2,950 of 295 taps.
    assert (sap["sap_gal"], sap["sap_gal_per_tap"]) == (2950, 10)
    assert (sap["sap_taps"], sap["taps"]) == (295, 295)
    blocks = {block["block"]: block["sap"]["sap_gal_per_tap"] for block in told["blocks"]}
    assert blocks == {
        "North": pytest.approx(1130 / 97),  # 11.65
        "South": pytest.approx(1400 / 150),  # 9.33
        "Hill": pytest.approx(420 / 48),  # 8.75
    }
    assert sum(blocks.values()) / 3 == pytest.approx(9.911, abs=0.001)  # and that is not 10
    # Days of 570, 900, 980, 400 and 100: the best of five is 980 of 2,950.
    assert (sap["best_fifth_days"], sap["days_measured"], sap["days_blank"]) == (1, 5, 0)
    assert sap["best_fifth_share"] == pytest.approx(980 / 2950)
    # (1130 x 2.2 + 1400 x 2.0 + 420 x 1.8) / 2950 = 6042 / 2950
    assert sap["brix"] == pytest.approx(2.0481, abs=0.0001)
    assert sap["syrup_gal_per_tap"] == pytest.approx(68 / 295)  # 0.231
    assert sap["length_days"] == 18  # 8 to 25 March


def test_closed_and_rolled_over_to_2026(years: Years) -> None:
    first(years)
    close_first(years)
    years.clock("2025-10-06")
    told = years.rolls()
    assert (told["season"], told["next"], told["stays"]) == (2025, 2026, [])
    assert "Nan, Mon 2 Jun 2025" in told["closed"]
    assert (told["lines"], told["taps_planned"]) == (6, 295)
    # Drops of 2023 on Pond, three years old: 50. On Top 20 of 30 are new, and which: due, 30.
    assert told["drops_due"] == 80
    ash = "marked with tape"
    assert changed(told) == [
        "days_off: 2024-11-28,2024-12-25,2025-01-01 -> 2025-11-27,2025-12-25,2026-01-01 "
        "(the same weekdays; feasts keep their date)",
        # A tap gave 2,950 / 295 gal; all of it was measured, and the season is closed.
        "sap_gal_per_tap: 15.0 -> 10.0 (as measured in 2025)",
        "sap_brix: 2.0 -> 2.05 (as measured in 2025)",
        # 198 drops in 8 h; 295 taps in 8 h; the 3 h of the leak round are too few to tell.
        "rate_drops: 30.0 -> 24.8 (this crew's own in 2025, of 8 h)",
        "rate_taps: 45.0 -> 36.9 (this crew's own in 2025, of 8 h)",
        "North / Ridge pair: drops 2022 -> drops 2025 (replaced)",
        "North / Gully main: 40 taps -> 37 taps (three too small)",
        "South / Barn pair: drops unknown -> drops 2025 (replaced)",
        "Hill / Top main:  ->  (only 20 drops replaced in 2025: the age stays that of the oldest)",
        "Hill / Wall main: 20 taps; drops 2022 -> 18 taps; drops 2025 (replaced; two trees down)",
        # February 2026 has its fourth Saturday on the 28th.
        "tapping: Sat 22 Feb 2025 -> Sat 28 Feb 2026 (the same weekday)",
        f"North / Ridge pair:  -> hung-up ash (it still stands in the woods; written off: {ash})",
        "Hill:  -> hang the gate (not made yet; written off: in the fall)",
        "South / Pond main:  -> mend the leak: hiss at the fifth lateral "
        "(a leak not mended; written off: vacuum is off)",
        "North / Gully main:  -> shut: splice "
        "(shut, and nobody opened it; written off: over the summer)",
    ]
    years.does("rollover --yes")
    assert years.lines("taps_planned") == {
        "Ridge": "60",
        "Gully": "37",
        "Barn": "100",
        "Pond": "50",
        "Top": "30",
        "Wall": "18",
    }
    assert years.lines("drops_hung") == {
        "Ridge": "2025",
        "Gully": "2024",
        "Barn": "2025",
        "Pond": "2023",
        "Top": "",
        "Wall": "2025",
    }
    assert (years.lines("length_m")["Wall"], years.lines("diameter_mm")["Wall"]) == ("80", "20")
    assert years.lines("layout")["Barn"] == "pair"
    # From 1 March 2025 to 6 October: 30 days of March, 30 + 31 + 30 + 31 + 31 + 30, and 6: 219.
    # The gate was due on 15 March, and goes before what is not late; the valve is of 2 May: 157.
    assert years.carried() == [
        ("hung-up ash", "Otto", 219),
        ("valve shut: splice", "Otto", 157),
        ("promised: hang the gate", "Nan", 219),
        ("promised: mend the leak: hiss at the fifth lateral", "Bea", 219),
    ]
    summary = years.summary()
    assert summary["totals"]["drops_due"] == 80
    assert "tensioning" not in [task["task"] for task in summary["tasks"]]
    tapping = next(task for task in summary["tasks"] if task["task"] == "tapping")
    assert tapping["wanted"] == "2026-02-28"
    assert years.asks("check").code == 0


# --- 2026 ----------------------------------------------------------------------------------------


def second(years: Years) -> None:
    """2026: Wall rests but for ten taps, the Hill is not measured, three spouts stay on Pond."""
    years.clock("2025-10-06")
    years.does("rollover --yes")
    years.write("rest.csv", "task,block,line,wanted,planned\ntapping,Hill,Wall main,,10\n")
    years.does("import rest.csv")
    years.clock("2025-10-20")
    years.does("record --block North --line Gully --valve open --who Otto")
    years.clock("2025-11-03")
    years.close_it("promised: mend the leak: hiss at the fifth lateral")
    years.works("2025-12-09", "drops", "Pond 50 Otto --hours 2", "Top 30 Bea --hours 2")
    years.works(
        "2026-02-16",
        "tapping",
        "Ridge 60 Otto --hours 2",
        "Gully 37 Otto --hours 1.25",
        "Barn 96 Bea --hours 3.25 --finish 'four blew down'",
        "Pond 50 Bea --hours 1.75",
        "Top 30 Nan --hours 1",
        "Wall 10 Nan --hours 0.75",
    )
    years.works("2026-02-27", "leaks", *(f"{x} 1 Bea --hours 1.5" for x in every_line()))
    years.gathers("2026-03-05", North=200, South=300)
    years.gathers("2026-03-09", North=194, South=278)
    years.works(
        "2026-04-20",
        "pulling",
        *("Ridge 60 Otto", "Gully 37 Otto", "Barn 96 Bea", "Pond 47 Bea --finish"),
        *("Top 30 Nan", "Wall 10 Nan"),
    )


def test_the_season_of_2026(years: Years) -> None:
    first(years)
    close_first(years)
    second(years)
    told = years.summary("--as-of 2026-04-20")
    assert told["totals"] == {
        "taps_planned": 287,  # 60 + 37 + 100 + 50 + 30 + 10: ten are wanted on Wall
        "taps_in": 283,  # 60 + 37 + 96 + 50 + 30 + 10
        "taps_left": 0,
        "drops_due": 80,
        "drops_replaced": 80,
        "spouts_pulled": 280,
        "spouts_in_trees": 3,
    }
    sap = told["sap"]
    # North 394 of 97 taps, South 578 of 146: 972 of 243, and nothing is known of the Hill's 40.
    assert (sap["sap_gal"], sap["sap_taps"], sap["sap_gal_per_tap"]) == (972, 243, 4)
    assert (sap["best_fifth_days"], sap["best_fifth_share"]) == (1, pytest.approx(500 / 972))
    # The ash stands since 1 March 2025: to 20 April 2026 that is 365 + 31 + 19 days.
    assert years.carried() == [
        ("hung-up ash", "Otto", 415),
        ("promised: hang the gate", "Nan", 415),
    ]


def test_rolled_over_to_2027_with_a_line_left_as_it_was(years: Years) -> None:
    """Nan means to plant four taps on Barn again; the season of 2026 is not closed."""
    first(years)
    close_first(years)
    second(years)
    years.clock("2026-10-05")
    told = years.rolls()
    assert (told["closed"], told["next"], told["taps_planned"]) == ("", 2027, 291)
    assert changed(told) == [
        "days_off: 2025-11-27,2025-12-25,2026-01-01 -> 2026-11-26,2026-12-25,2027-01-01 "
        "(the same weekdays; feasts keep their date)",
        # 283 taps in 10 h; 4 h of drops are too few. The Hill was not measured, so a tap's sap of
        # the season stays as it was measured in 2025; and nobody took the Brix.
        "rate_taps: 36.9 -> 28.3 (this crew's own in 2026, of 10 h)",
        # The leak round went past the 287 taps of the plan in 6 x 1.5 h.
        "rate_readings: 500.0 -> 31.9 (this crew's own in 2026, of 9 h)",
        "South / Barn pair: 100 taps -> 96 taps (four blew down)",
        "South / Pond main: drops 2023 -> drops 2026 (replaced)",
        "Hill / Top main: drops unknown -> drops 2026 (replaced)",
        "Hill / Wall main:  ->  (10 taps wanted were for 2026 alone)",
        # February 2027 has its fourth Saturday on the 27th.
        "tapping: Sat 28 Feb 2026 -> Sat 27 Feb 2027 (the same weekday)",
        "North / Ridge pair:  -> hung-up ash (it still stands in the woods)",
        "Hill:  -> hang the gate (not made yet)",
        "South / Pond main:  -> pull the spouts left in trees in 2026: 3 (pulled, but for these)",
    ]
    (barn,) = (row["number"] for row in told["rows"] if row["where"] == "South / Barn pair")
    assert years.rolls(f"--leave {barn}")["taps_planned"] == 295
    out = years.does(f"rollover --yes --leave {barn}")
    assert out.endswith(", 1 left as they were\n")
    totals = years.summary()["totals"]
    # Of the 295 taps Gully's 37 have drops of 2024, three years old.
    assert (totals["taps_planned"], totals["drops_due"]) == (295, 37)
    assert years.lines("taps_planned")["Barn"] == "100"
    assert years.lines("taps_planned")["Wall"] == "18"
    # 1 March 2025 to 5 October 2026: 365 + 218. The spouts are left since 20 April: 168.
    assert years.carried() == [
        ("hung-up ash", "Otto", 583),
        ("promised: hang the gate", "Nan", 583),
        ("promised: pull the spouts left in trees in 2026: 3", "Bea", 168),
    ]
    assert years.rule("sap_gal_per_tap") == "10.0"
    assert years.rule("rate_drops") == "24.8"


# --- 2027, and the plan of 2028 ------------------------------------------------------------------


def third(years: Years) -> None:
    """2027: all is drilled and pulled, the old things are seen to, and the bridge is washed out."""
    years.clock("2026-10-05")
    (barn,) = (row["number"] for row in years.rolls()["rows"] if "Barn" in row["where"])
    years.does(f"rollover --yes --leave {barn}")
    years.clock("2026-11-02")
    years.close_it("promised: hang the gate")
    years.close_it("promised: pull the spouts left in trees in 2026: 3")
    years.works("2026-12-08", "drops", "Gully 37 Otto")
    years.works(
        "2027-02-15",
        "tapping",
        *("Ridge 60 Otto", "Gully 37 Otto", "Barn 100 Bea", "Pond 50 Bea"),
        *("Top 30 Nan", "Wall 18 Nan"),
    )
    years.works("2027-02-26", "leaks", *(f"{x} 1 Bea" for x in every_line()))
    years.clock("2027-03-11")
    years.close_it("hung-up ash")
    years.does("record --sap-gal 2655 --brix 2.4 --syrup-gal 73.75 --really")
    years.works(
        "2027-04-19",
        "pulling",
        *("Ridge 60 Otto", "Gully 37 Otto", "Barn 100 Bea", "Pond 50 Bea"),
        *("Top 30 Nan", "Wall 18 Nan"),
    )
    years.does("record --block South --hazard 'bridge washed out' --who Bea")


def whole(years: Years) -> None:
    first(years)
    close_first(years)
    second(years)
    third(years)


def test_the_season_of_2027_and_the_plan_of_2028(years: Years) -> None:
    whole(years)
    summary = years.summary("--as-of 2027-04-19")
    assert summary["sap"]["sap_gal_per_tap"] == 9  # 2,655 / 295
    assert summary["sap"]["syrup_gal_per_tap"] == 0.25  # 73.75 / 295
    assert summary["sap"]["best_fifth_share"] == 1
    assert years.carried() == [("bridge washed out", "Bea", 0)]
    years.clock("2027-10-04")
    told = years.rolls()
    assert changed(told) == [
        "days_off: 2026-11-26,2026-12-25,2027-01-01 -> 2027-11-25,2027-12-25,2028-01-01 "
        "(the same weekdays; feasts keep their date)",
        # The season of 2027 has gone by, and its sap was measured in one tank.
        "sap_gal_per_tap: 10.0 -> 9.0 (as measured in 2027)",
        "sap_brix: 2.05 -> 2.4 (as measured in 2027)",
        "North / Gully main: drops 2024 -> drops 2027 (replaced)",
        # February 2028 has its fourth Saturday on the 26th.
        "tapping: Sat 27 Feb 2027 -> Sat 26 Feb 2028 (the same weekday)",
        "South:  -> bridge washed out (it still stands in the woods)",
    ]
    # Ridge 60, Barn 100 and Wall 18 have drops of 2025; Pond and Top of 2026, Gully of 2027.
    assert (told["taps_planned"], told["drops_due"], told["stays"]) == (295, 178, [])
    years.does("rollover --yes")
    assert years.lines("drops_hung") == {
        "Ridge": "2025",
        "Gully": "2027",
        "Barn": "2025",
        "Pond": "2026",
        "Top": "2026",
        "Wall": "2025",
    }
    assert years.summary()["totals"]["drops_due"] == 178
    ages = {
        row["line"].split()[0]: row["age"]
        for row in json.loads(years.does("plan drops --format json"))["lines"]
    }
    assert ages == {"Ridge": 3, "Gully": 1, "Barn": 3, "Pond": 2, "Top": 2, "Wall": 3}
    # 19 April to 4 October 2027: 11 + 31 + 30 + 31 + 31 + 30 + 4 days.
    assert years.carried() == [("bridge washed out", "Bea", 168)]
    assert [years.rule(name) for name in ("season_begins", "season_ends", "rate_taps")] == [
        *("2027-09-01", "2028-08-31", "28.3")
    ]
    assert years.asks("check").code == 0
    assert years.does("rollover --season 2027").count("There is nothing to take over") == 1


def test_three_years_on_the_first_season_has_the_bytes_it_was_closed_with(years: Years) -> None:
    first(years)
    close_first(years)
    closed = years.journal("hazel-run", 2025)
    second(years)
    third(years)
    years.clock("2027-10-04")
    years.does("rollover --yes")
    assert years.journal("hazel-run", 2025) == closed


def test_the_crews_checklist_is_the_same_file_in_every_season(years: Years) -> None:
    whole(years)
    years.clock("2027-10-04")
    years.does("rollover --yes")
    folder = years.folder / "hazel-run"
    copies = {
        year: (folder / str(year) / "checklist.toml").read_bytes() for year in range(2025, 2029)
    }
    assert len(set(copies.values())) == 1
    assert b"on = false" in copies[2028]
