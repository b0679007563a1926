"""Gauges, valve tests, leaks by command; a week of them is played in `scenarios/test_leak_rounds`.

Cliff has 42 taps and 700 ft, Cedar 60; they hang on a pump of 25 inHg until somebody reads it.
"""

import json
import re
from pathlib import Path
from typing import Any

import pytest

from tests.scenarios import Shell, quillby

CLIFF = "record --block Ledge --line Cliff"


@pytest.fixture
def book(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Shell:
    """Quillby Hollow, with all of Cliff tapped."""
    shell = quillby(Shell(tmp_path, monkeypatch, capsys))
    shell.does(f"{CLIFF} --task tapping --count 42")
    return shell


def entries(book: Shell, n: int = 1) -> list[dict[str, Any]]:
    """The entries written last, without what every entry carries."""
    told = [json.loads(line) for line in book.journal().splitlines()[-n:]]
    common = ("id", "tick", "noted", "by", "crc", "block", "line")
    return [{k: v for k, v in entry.items() if k not in common} for entry in told]


def refuses(book: Shell, line: str) -> str:
    before = book.journal()
    answer = book.asks(line)
    assert (answer.code, answer.out) == (2, ""), answer
    assert book.journal() == before
    return answer.err


AT = "2027-02-09T16:30:00-05:00"


# --- readings ----------------------------------------------------------------------------------


def test_one_number_is_the_far_end_of_the_line(book: Shell) -> None:
    answer = book.asks(f"{CLIFF} --reading 22.5 --who Wim --note 'by the beech'")
    assert " saved: Wim, far end reads 22.5 inHg: by the beech, Ledge / Cliff" in answer.out
    assert "far end 22.5 inHg, 2.5 under what the book says the pump holds (25.0)" in answer.err
    (told,) = entries(book)
    assert told == {
        "kind": "reading",
        "at": AT,
        "who": "Wim",
        "place": "far end",
        "vacuum_inhg": 22.5,
        "note": "by the beech",
    }


def test_several_gauges_are_one_lot_and_the_pump_is_nobody_s_line(book: Shell) -> None:
    book.does(f"{CLIFF} --reading 'pump 25.5, head 25, far 24' --at 7:10 --date '8 Feb'")
    told = [json.loads(line) for line in book.journal().splitlines()[-3:]]
    assert [(e["place"], e.get("block"), e.get("line"), e["vacuum_inhg"]) for e in told] == [
        ("pump", None, None, 25.5),
        ("head", "Ledge", "Cliff", 25),
        ("far end", "Ledge", "Cliff", 24),
    ]
    assert {e["at"] for e in told} == {"2027-02-08T07:10:00-05:00"}


def test_a_block_may_have_a_pump_of_its_own(book: Shell) -> None:
    book.does("record --reading 'pump 24' --block Ledge")
    assert json.loads(book.journal().splitlines()[-1])["block"] == "Ledge"
    book.does("record --reading 25")
    (told,) = entries(book)
    assert (told["place"], told["vacuum_inhg"]) == ("pump", 25)


def test_kpa_is_kept_as_it_was_typed_and_is_usual_where_the_laptop_is_metric(
    book: Shell, tmp_path: Path
) -> None:
    book.does(f"{CLIFF} --reading '83 kPa'")
    assert entries(book)[0]["vacuum_kpa"] == 83
    (laptop,) = tmp_path.rglob("laptop.json")
    laptop.write_text(json.dumps(json.loads(laptop.read_text()) | {"units": "metric"}))
    answer = book.asks(f"{CLIFF} --reading 80")
    assert entries(book)[0]["vacuum_kpa"] == 80
    assert "far end 80 kPa, 5 under what the book says the pump holds (85)" in answer.err


def test_a_reading_goes_with_a_count_of_the_leak_round(book: Shell) -> None:
    book.does(f"{CLIFF} --task leaks --count 1 --hours 0.5 --reading 24.6 --note 'no wind'")
    reading, count = entries(book, 2)
    assert (reading["kind"], reading.get("note")) == ("reading", None)
    assert (count["kind"], count["hours"], count["note"]) == ("count", 0.5, "no wind")


def test_what_a_reading_points_at_is_said_at_once(book: Shell) -> None:
    book.does("record --reading 'pump 25'")
    answer = book.asks(f"{CLIFF} --reading 26.2")
    assert "1.2 over the pump (25.0)" in answer.err
    assert (
        "! far end 26.2 inHg, 1.2 over the pump (25.0): one of the two gauges is off" in answer.err
    )


@pytest.mark.parametrize(
    ("line", "why"),
    [
        (f"{CLIFF} --reading 30", "30 inHg cannot be: the ceiling at 0 ft is 29.9 inHg (101 kPa)."),
        (f"{CLIFF} --reading '102 kPa'", "102 kPa cannot be: the ceiling"),
        (f"{CLIFF} --reading=-1", "-1 inHg cannot be"),
        (f"{CLIFF} --reading low", "'low' is no reading of a gauge."),
        (f"{CLIFF} --reading '24 25'", "'24 25' says a reading twice."),
        (f"{CLIFF} --reading 'wet 24'", "Cliff is no wet/dry pair"),
        ("record --reading 'far 24'", "A gauge at the far end belongs to a line."),
        ("record --block Ledge --reading 'far 24'", "Ledge has 2 lines."),
        (f"{CLIFF} --reading 24 --at 25:00", "'25:00' is not a time of the day."),
        (f"{CLIFF} --reading 24 --date 03/04", "is not a date that can be read one way only"),
        (f"{CLIFF} --reading 'pump 25, far 31'", "31 inHg cannot be"),  # and nothing of it is kept
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_written(book: Shell, line: str, why: str) -> None:
    assert why in refuses(book, line)


# --- valve tests -------------------------------------------------------------------------------


def test_a_valve_test_is_heard_or_not(book: Shell) -> None:
    answer = book.asks(f"{CLIFF} --heard")
    assert "valve test: air heard, Ledge / Cliff" in answer.out
    assert "! air heard at the valve test, no leak found yet (Oda, Tue 9 Feb)" in answer.err
    assert entries(book) == [
        {"kind": "valve", "at": AT, "who": "Oda", "state": "open", "heard": True}
    ]
    book.does(f"{CLIFF} --not-heard --note 'after the new tee'")
    assert entries(book)[0] == {
        "kind": "valve",
        "at": AT,
        "who": "Oda",
        "state": "open",
        "heard": False,
        "reason": "after the new tee",
    }


def test_a_valve_left_shut_is_open_at_once(book: Shell) -> None:
    book.does(f"{CLIFF} --heard --valve shut --note 'main split'")
    told = json.loads(book.does("open-items --format json"))
    (item,) = [item for item in told if item["what"] == "valve shut"]
    assert (item["amount"], item["says"]) == (42, "valve shut: main split")
    vacuum = json.loads(book.does("leaks --format json"))["total"]
    assert (vacuum["taps"], vacuum["under_vacuum"]) == (42, 0)


def test_a_test_belongs_to_a_line(book: Shell) -> None:
    assert "--heard belongs to a line." in refuses(book, "record --heard --block Ledge")
    assert "not allowed with argument" in refuses(book, f"{CLIFF} --heard --not-heard")


# --- leaks -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("options", "told"),
    [
        ("--leak 'third lateral, chewed, 2 inHg'", {"lateral": "3", "cause": "chewed", "lost": 2}),
        ("--leak hiss --lateral upper --cause fitting", {"lateral": "upper", "cause": "fitting"}),
        ("--leak 'chewed tee' --cause fitting --lost-inhg 1.5", {"cause": "fitting", "lost": 1.5}),
        ("--leak 'hiss, 8 kPa'", {"lost_kpa": 8}),
    ],
)
def test_a_leak_says_where_what_and_how_much(
    book: Shell, options: str, told: dict[str, Any]
) -> None:
    book.does(f"{CLIFF} {options}")
    (leak,) = entries(book)
    told = {"lost_inhg" if name == "lost" else name: value for name, value in told.items()}
    assert {k: v for k, v in leak.items() if k not in ("kind", "at", "who", "text")} == told


@pytest.mark.parametrize("words", ["main cut by the ash", "tree down on the main"])
def test_a_break_that_drags_all_down_wants_its_valve_shut(book: Shell, words: str) -> None:
    answer = book.asks(f"{CLIFF} --leak '{words}'")
    assert "the rest of the block keeps its vacuum" in answer.err
    assert "Take the vacuum off before you cut" in " ".join(answer.err.split())
    command = answer.err.splitlines()[-1].strip()
    assert command == "fieldbook record --block Ledge --line Cliff --valve shut"
    book.does(command.removeprefix("fieldbook "))
    assert "Shut the valve" not in book.asks(f"{CLIFF} --leak '{words}'").err


@pytest.mark.parametrize(
    ("line", "why"),
    [
        (f"{CLIFF} --note x --lateral 3", "--lateral belongs to a leak."),
        (f"{CLIFF} --note x --cause fitting", "--cause belongs to a leak."),
        (f"{CLIFF} --note x --lost-inhg 2", "--lost-inhg belongs to a leak."),
        (f"{CLIFF} --leak 'hiss, 2 inHg' --lost-inhg 3", "The leak's size is given twice."),
        ("record --block Ledge --leak hiss", "--leak belongs to a line."),
    ],
)
def test_what_does_not_go_with_a_leak(book: Shell, line: str, why: str) -> None:
    assert why in refuses(book, line)


def test_the_causes_are_those_of_the_entry() -> None:
    from typing import get_args

    from fieldbook import cli
    from fieldbook.book.entry import Cause

    assert get_args(Cause)[1:] == cli.CAUSES


# --- mended ------------------------------------------------------------------------------------


def leak_id(book: Shell) -> str:
    return book.does(f"{CLIFF} --leak 'third lateral, chewed' --at 9:00").split()[0]


def test_mending_and_the_reading_after_it_are_one_lot(book: Shell) -> None:
    book.does("record --reading 'pump 25' --at 7:00")
    book.does(f"{CLIFF} --reading 21 --at 8:50")
    found = leak_id(book)
    answer = book.asks(f"settle {found} new tee --at 14:00 --reading 24.5 --who Perrin")
    settle, reading = entries(book, 2)
    assert (settle["kind"], settle["text"], settle["who"]) == ("settle", "new tee", "Perrin")
    assert (reading["vacuum_inhg"], reading["who"]) == (24.5, "Perrin")
    assert settle["at"] == reading["at"] == "2027-02-09T14:00:00-05:00"
    assert "far end 24.5 inHg, 0.5 under the pump (25.0)" in answer.err
    (mend,) = json.loads(book.does("leaks --format json"))["mends"]
    assert (mend["before_inhg"], mend["after_inhg"], mend["held"]) == (21, 24.5, "came back")


def test_only_a_leak_is_read_after(book: Shell) -> None:
    promise = book.does("record --promise 'new gate' --who Wim").split()[0]
    assert "is no leak" in refuses(book, f"settle {promise} done --reading 24")
    found = leak_id(book)
    assert "31 inHg cannot be" in refuses(book, f"settle {found} new tee --reading 31")


# --- tables ------------------------------------------------------------------------------------

HEADER = "at,block,line,place,pipe,vacuum_inhg,vacuum_kpa,by,note\n"


def test_a_table_of_readings_comes_in_and_goes_out(book: Shell) -> None:
    rows = (
        "2027-02-08 07:10,,,pump,,25.5,,Oda,\n"
        "2027-02-08T08:00,Ledge,1,far,,,83,Wim,=1+1\n"
        "2027-02-08,ledge,cedar,head,,24.5,,Wim,\n"
    )
    book.write("readings.csv", HEADER + rows)
    assert book.does("import readings.csv").startswith("readings.csv: readings, 3 new, 0 changed")
    out = book.does("export readings")
    assert out == (
        HEADER
        + "2027-02-08 07:10,,,pump,,25.5,,Oda,\n"
        + "2027-02-08 08:00,Ledge,Cliff,far end,,,83,Wim,'=1+1\n"
        + "2027-02-08 12:00,Ledge,Cedar,head,,24.5,,Wim,\n"
    )
    book.write("out.csv", out)
    assert "readings, 0 new, 0 changed, 3 in the book already" in book.does("import out.csv")
    assert book.does("blank readings") == HEADER
    assert book.does("export readings --as-of 2027-02-07") == HEADER


def test_two_readings_of_a_minute_apart_are_two(book: Shell) -> None:
    rows = (
        "2027-02-08 09:00,Ledge,Cliff,far,,24,,Oda,\n2027-02-08 09:01,Ledge,Cliff,far,,24,,Oda,\n"
    )
    book.write("readings.csv", HEADER + rows)
    assert "readings, 2 new" in book.does("import readings.csv")
    assert "2 in the book already" in book.does("import readings.csv")


@pytest.mark.parametrize(
    ("row", "where", "why"),
    [
        ("2027-02-08 25:00,Ledge,Cliff,far,,24,,Oda,", "at", "is no day with its time"),
        ("08/02 9:00,Ledge,Cliff,far,,24,,Oda,", "at", "is no day with its time"),
        (",Ledge,Cliff,far,,24,,Oda,", "at", "the cell is empty"),
        ("2028-02-08,Ledge,Cliff,far,,24,,Oda,", "at", "is outside season 2027"),
        ("2027-02-08,Ledge,Cliff,barn,,24,,Oda,", "place", "'barn' is no place of a gauge"),
        ("2027-02-08,Ledge,Cliff,far,up,24,,Oda,", "pipe", "'up' is no pipe"),
        ("2027-02-08,Ledge,Cliff,far,wet,24,,Oda,", "pipe", "is no wet/dry pair"),
        ("2027-02-08,Ledge,Cliff,far,,31,,Oda,", "vacuum_inhg", "31 inHg cannot be: the ceiling"),
        ("2027-02-08,Ledge,Cliff,far,,,102,Oda,", "vacuum_kpa", "102 kPa cannot be: the ceiling"),
        ("2027-02-08,Ledge,Cliff,far,,-1,,Oda,", "vacuum_inhg", "is not a number from 0"),
        ("2027-02-08,Ledge,Cliff,far,,24,81,Oda,", "", "the row says the vacuum twice"),
        ("2027-02-08,Ledge,Cliff,far,,,,Oda,", "", "the row says no vacuum"),
        ("2027-02-08,Ledge,,far,,24,,Oda,", "block", "Ledge has 2 lines."),
        ("2027-02-08,Ledge,Clef,far,,24,,Oda,", "line", "'Clef'"),
        ("2027-02-08,Ledge,Cliff,pump,,24,,Oda,", "line", "belongs to no line"),
        ("2027-02-08,Ledge,Cliff,far,,24,,Bea,", "by", "Bea is not on the crew."),
    ],
)
def test_a_wrong_row_is_named_with_its_column_and_nothing_comes_in(
    book: Shell, row: str, where: str, why: str
) -> None:
    good = "2027-02-08 08:00,Ledge,Cliff,far,,24,,Oda,\n"
    book.write("readings.csv", HEADER + good + row + "\n")
    before = book.journal()
    answer = book.asks("import readings.csv")
    assert (answer.code, book.journal()) == (1, before)
    place = f"readings.csv, row 3, column {where}: " if where else "readings.csv, row 3: "
    assert place in answer.out
    assert why in answer.out


def test_a_height_that_comes_in_the_same_batch_sets_the_ceiling(book: Shell) -> None:
    book.write("settings.csv", "setting,value\nelevation_ft,3000\n")
    book.write("readings.csv", HEADER + "2027-02-08,Ledge,Cliff,far,,27,,Oda,\n")
    # 26.82 inHg at 3,000 ft: US Standard Atmosphere 1976
    assert (
        "the ceiling at 3,000 ft is 26.8 inHg" in book.asks("import readings.csv settings.csv").out
    )


# --- the report --------------------------------------------------------------------------------


def test_a_crew_without_a_pump_has_no_leaks(book: Shell, tmp_path: Path) -> None:
    book.does("new grove --checklist gravity")
    answer = book.asks("leaks --book grove")
    assert answer.code == 2
    assert "there is no pump" in answer.err


def test_before_anybody_read_a_gauge_it_says_how_to_begin(book: Shell) -> None:
    text = " ".join(book.does("leaks --format text").split())
    assert "Nobody read the pump: taken as 25.0 inHg, as the book says" in text
    assert "No line has been read yet: fieldbook record --block ... --line ... --reading" in text


@pytest.mark.parametrize(
    "options",
    ["--hours 25", "--hours x", "--people 0", "--people 100", "--people x", "--below sea"],
)
def test_a_walk_of_no_sense_is_refused(book: Shell, options: str) -> None:
    assert options.split()[0] in refuses(book, f"leaks {options}")


def test_the_walk_on_paper_is_a_file_of_its_own(
    book: Shell, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    book.does(f"{CLIFF} --reading 21")
    for name in ("leaks-2027-02-09.pdf", "leaks-2027-02-09-2.pdf"):
        answer = book.asks("leaks --book quillby --format pdf")
        assert f"Written to {name}." in answer.err
        assert (tmp_path / name).read_bytes().startswith(b"%PDF")
    book.does("leaks --book quillby --out way.pdf --paper a4 --people 2 --hours 4")
    assert re.search(rb"/MediaBox ?\[0 0 595", (tmp_path / "way.pdf").read_bytes())
    assert "Cannot write" in book.asks("leaks --book quillby --out nowhere/way.pdf").err


def test_a_sheet_begins_with_what_loses_most(book: Shell) -> None:
    book.does("record --block Ledge --line Cedar --task tapping --count 60")
    book.does("record --block Ledge --line Cedar --reading 21")
    book.does(f"{CLIFF} --reading 24.8")
    text = book.does("sheet --block Ledge --task leaks --worst-first --format text")
    assert text.index("Cedar") < text.index("Cliff")
    assert text.index("head [") < text.index("far end [")
    assert "Tue 9 Feb: far end 21.0, pump by the book 25.0, 4.0 under" in text
    sheet = json.loads(book.journal().splitlines()[-1])
    assert sheet["lines"] == ["Cedar", "Cliff"]
    again = book.does("sheet --again 1 --format text")
    assert again.index("Cedar") < again.index("Cliff")
    err = refuses(book, "sheet --block Ledge --task tapping --worst-first")
    assert "--worst-first is for a task that counts readings, and tapping counts taps." in err
    err = refuses(book, "sheet --again 1 --worst-first")
    assert "--again and --worst-first do not go together." in err
