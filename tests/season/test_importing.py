"""Tables into the book, all of a batch or nothing, through the command a crew lead types."""

import json
from itertools import permutations
from pathlib import Path

import pytest

from tests.scenarios import Answer, Shell, quillby

COUNTS = "date,block,line,task,count,by,hours,note\n"


@pytest.fixture
def shell(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> Shell:
    """Quillby Hollow: Cliff 42 taps, Cedar 60, Ford 120, Spring 35, Sugar Lot 20."""
    return quillby(Shell(tmp_path, monkeypatch, capsys))


def complaints(answer: Answer) -> list[tuple[str, str]]:
    """What is wrong, and the way out: from the lines that follow the list of files."""
    lines = answer.out.splitlines()
    return [
        (line, lines[number + 1].strip())
        for number, line in enumerate(lines)
        if ": " in line and not line.startswith(" ") and " in the book already" not in line
    ]


# --- known by their heads ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("table", "kind"),
    [
        ("block,taps_planned\nFar,12\n", "lines, 1 new"),
        ("Taps Planned;BLOCK;Line\n12;Far;Back\n", "lines, 1 new"),
        ("name\nIlse\n", "people, 1 new"),
        ("task,wanted\ntapping,2027-02-20\n", "targets, 1 new"),
        ("setting,value\ndrop_cycle_years,4\n", "settings, 0 new, 1 changed"),
        (COUNTS + "2027-02-09,Ledge,Cliff,tapping,42,Oda,,\n", "counts, 1 new"),
        ("count,task,block,date,line\n42,tapping,Ledge,2027-02-09,Cliff\n", "counts, 1 new"),
    ],
)
def test_a_table_is_known_by_its_heads(shell: Shell, table: str, kind: str) -> None:
    answer = shell.imports(notes=table)
    assert answer.code == 0
    assert answer.out.startswith(f"notes.csv: {kind}")


@pytest.mark.parametrize(
    ("head", "lacks"),
    [
        ("block,line,taps", "as a table of lines it lacks: taps_planned"),
        ("line,length_ft,order", "as a table of lines it lacks: block, taps_planned"),
        ("date,block,line,task,by,hours", "as a table of counts it lacks: count"),
        ("setting", "as a table of settings it lacks: value"),
    ],
)
def test_other_heads_are_told_what_they_lack(shell: Shell, head: str, lacks: str) -> None:
    answer = shell.imports(odd=f"{head}\nx\n")
    assert answer.code == 1
    place = "row 1 is not the header of a table that can be imported"
    assert complaints(answer) == [(f"odd.csv: {place}: {head.replace(',', ', ')}", lacks)]


def test_columns_nobody_asked_for_are_named_and_ignored(shell: Shell) -> None:
    answer = shell.imports(more="block,taps_planned,Colour of tape,,GPS\nFar,12,red,x,1\n")
    assert answer.out.splitlines() == [
        "more.csv: lines, 1 new, 0 changed, 0 in the book already",
        "  columns ignored: colour_of_tape, gps",
    ]
    assert answer.err == "2 entries saved.\n"  # the block and its line


# --- drops that hang ---------------------------------------------------------------------------


def test_how_many_drops_hang_comes_in_with_the_lines_and_goes_out_again(shell: Shell) -> None:
    table = "block,line,taps_planned,drops\nLedge,Cliff,42,45\nLedge,Cedar,60,\nCreek,Ford,120,0\n"
    assert shell.imports(lines=table).code == 0
    before = {row["line"]: row["drops"] for row in shell.exports("lines")}
    assert before == {"Cliff": "45", "Cedar": "", "Ford": "0", "Spring": "", "Sugar Lot": ""}
    assert "2 changed" in shell.imports(again=table.replace(",45", ",46").replace(",0", ",")).out
    shell.imports(fewer="block,line,taps_planned\nLedge,Cliff,42\n")  # keeps what it had
    after = {row["line"]: row["drops"] for row in shell.exports("lines")}
    assert after == {**before, "Cliff": "46", "Ford": ""}


@pytest.mark.parametrize("drops", ["many", "-1", "4.5", "1000001"])
def test_drops_are_a_number_of_things(shell: Shell, drops: str) -> None:
    answer = shell.imports(lines=f"block,line,taps_planned,drops\nLedge,Cliff,42,{drops}\n")
    assert answer.code == 1
    assert answer.out.count("drops") >= 1
    assert shell.exports("lines")[0]["drops"] == ""


# --- all or nothing ----------------------------------------------------------------------------


def test_everything_wrong_in_every_file_is_told_and_nothing_is_written(shell: Shell) -> None:
    before = shell.journal()
    answer = shell.imports(
        lines2="block,line,taps_planned,drops_hung,layout,slope_pct,length_ft\n"
        "Far,Back,12,2024,single,4,780\n"
        "Far,Front,many,2099,triple,steep,-3\n"
        "Far,Back,13,,,,\n",
        counts=COUNTS + "2027-02-09,Far,Back,tapping,6,Oda,,\n"
        "2028-02-09,Lodge,Cliff,taping,6,Odo,99999,\n"
        "2027-02-09,Ledge,Clif f,tapping,,Wim,,\n",
        people2="name\n\nIlse\n",
        odd="tree,girth\n1,2\n",
    )
    told = complaints(answer)
    assert answer.code == 1
    assert answer.err == f"{len(told)} things are wrong. Nothing was written.\n"
    assert sorted(place for place, _colon, _what in (w.partition(": ") for w, _r in told)) == [
        "counts.csv, row 3, column block",
        "counts.csv, row 3, column by",
        "counts.csv, row 3, column date",
        "counts.csv, row 3, column hours",
        "counts.csv, row 3, column task",
        "counts.csv, row 4, column count",
        "counts.csv, row 4, column line",
        "lines2.csv, row 3, column drops_hung",
        "lines2.csv, row 3, column layout",
        "lines2.csv, row 3, column length_ft",
        "lines2.csv, row 3, column slope_pct",
        "lines2.csv, row 3, column taps_planned",
        "lines2.csv, row 4, column line",
        "odd.csv",
    ]
    assert shell.journal() == before


@pytest.mark.parametrize(
    ("row", "what", "right"),
    [
        ("2027-02-09,Lodge,Cliff,tapping,6,Oda,,", "block: No block is called 'Lodge'.", "Ledge"),
        (
            "2027-02-09,Ledge,Spring,tapping,6,Oda,,",
            "line: No line of Ledge is called 'Spring'.",
            "Did you mean: Cliff, Cedar?",
        ),
        ("2027-02-09,Ledge,Clif f,tapping,6,Oda,,", "line: No line of Ledge", "Cliff"),
        ("2027-02-09,Ledge,C,tapping,6,Oda,,", "line: 'C' could be more than one line", "Cedar"),
        ("2027-02-09,Ledge,Cliff,taping,6,Oda,,", "task: No task is called", "tapping"),
        ("2027-02-09,Ledge,Cliff,tapping,6,Odo,,", "by: Odo is not on the crew", "--add-people"),
        ("2027-02-09,Ledge,Cliff,tapping,6,,,", "by: the cell is empty", "fill it in"),
        ("2027-02-09,Ledge,,tapping,6,Oda,,", "block: Ledge has 2 lines.", "Cliff, Cedar"),
        (
            "2027-09-01,Ledge,Cliff,tapping,6,Oda,,",
            "date: 2027-09-01 is outside season 2027",
            "from 2026-09-01 to 2027-08-31",
        ),
        ("03/04/2027,Ledge,Cliff,tapping,6,Oda,,", "date: '03/04/2027' is not", "2027-02-09"),
        ("2027-02-09,Ledge,Cliff,tapping,-6,Oda,,", "count: '-6' is not a whole", "like 142"),
        (
            "2027-02-09,Ledge,Cliff,tapping,4200,Oda,,",
            "count: 4200 on Cliff would make 4200, planned 42.",
            "--really",
        ),
    ],
)
def test_a_count_that_cannot_be(shell: Shell, row: str, what: str, right: str) -> None:
    before = shell.journal()
    answer = shell.imports(counts=COUNTS + row + "\n")
    ((told, hint),) = complaints(answer)
    assert told.startswith(f"counts.csv, row 2, column {what}")
    assert right in hint
    assert (answer.code, answer.err) == (1, "1 thing is wrong. Nothing was written.\n")
    assert shell.journal() == before


def test_check_writes_nothing_even_where_all_is_right(shell: Shell) -> None:
    before = shell.journal()
    shell.write("counts.csv", COUNTS + "2027-02-09,Ledge,Cliff,tapping,42,Oda,,\n")
    answer = shell.asks("import counts.csv --check")
    assert answer == (
        0,
        "counts.csv: counts, 1 new, 0 changed, 0 in the book already\n",
        "Nothing is wrong. Nothing was written, as asked.\n",
    )
    assert shell.journal() == before
    assert shell.asks("import counts.csv missing.csv --check").code == 1


def test_an_absurd_count_is_taken_when_confirmed(shell: Shell) -> None:
    shell.write("counts.csv", COUNTS + "2027-02-09,Ledge,Cliff,tapping,4200,Oda,,\n")
    assert shell.asks("import counts.csv").code == 1
    assert shell.asks("import counts.csv --really").code == 0
    assert shell.done() == {"Ledge": 4200}


def test_a_new_hand_is_added_once_when_asked(shell: Shell) -> None:
    rows = "".join(f"2027-02-0{day},Ledge,Cliff,tapping,6,Ilse,,\n" for day in (8, 9))
    shell.write("counts.csv", COUNTS + rows)
    assert shell.asks("import counts.csv").code == 1
    assert shell.asks("import counts.csv --add-people").err == "3 entries saved.\n"
    assert [person["name"] for person in shell.exports("people")] == [
        "Ilse",
        "Oda",
        "Perrin",
        "Wim",
    ]


@pytest.mark.parametrize("files", list(permutations(("new_lines", "hands", "work"))))
def test_counts_may_speak_of_lines_and_people_of_the_same_batch(
    shell: Shell, files: tuple[str, ...]
) -> None:
    shell.write("new_lines.csv", "block,line,taps_planned\nFar,Back,12\n")
    shell.write("hands.csv", "name\nIlse\n")
    shell.write("work.csv", COUNTS + "2027-02-09,Far,Back,tapping,12,Ilse,,\n")
    assert shell.asks("import", *(f"{file}.csv" for file in files)).code == 0
    assert shell.done() == {"Far": 12}


def test_a_block_without_mapped_lines_has_one_line_of_its_name(shell: Shell) -> None:
    shell.imports(counts=COUNTS + "2027-02-09,sugar,,tapping,20,Oda,,\n")
    assert shell.exports("counts")[0]["line"] == "Sugar Lot"


# --- checklists, targets, settings -------------------------------------------------------------


def test_a_checklist_is_put_in_force_once(shell: Shell) -> None:
    text = shell.does("blank vacuum").replace('title = "Tapping"', 'title = "Boring"')
    shell.write("ours.toml", text)
    assert shell.does("import ours.toml").startswith("ours.toml: checklist, 0 new, 1 changed")
    before = shell.journal()
    assert "1 in the book already" in shell.does("import ours.toml")
    assert shell.journal() == before
    assert "Boring" in shell.does("summary --format text")


def test_a_bad_checklist_is_refused_with_its_line(shell: Shell) -> None:
    before = shell.journal()
    text = shell.does("blank vacuum").replace('"side ties"', '"guesswork"')
    line = 1 + text[: text.rindex("guesswork")].count("\n")
    shell.write("ours.toml", text)
    answer = shell.asks("import ours.toml people.csv")
    assert answer.code == 1
    assert f"ours.toml, line {line}: " in answer.out
    assert "guesswork" in answer.out
    assert shell.journal() == before


def test_targets_say_how_many_and_when(shell: Shell) -> None:
    shell.imports(
        targets="task,block,line,wanted,planned\n"
        "Tapping,,,2027-02-24,\n"
        "tapping,Ledge,,2027-02-12,\n"
        "tapping,ledge,cliff,,40\n",
    )
    summary = json.loads(shell.does("summary --format json"))
    tapping = [{t["task"]: t for t in b["tasks"]}["tapping"] for b in summary["blocks"]]
    assert [(t["wanted"], t["planned"]) for t in tapping] == [
        ("2027-02-12", 100),  # 40 + 60
        ("2027-02-24", 155),
        ("2027-02-24", 20),
    ]


@pytest.mark.parametrize(
    ("table", "what"),
    [
        ("task,wanted,planned\ntapping,,40\n", "column planned: a planned number belongs to a li"),
        ("task,line,wanted\ntapping,Cliff,2027-02-12\n", "column block: a line is named without"),
        ("setting,value\ntie_spacing_ft,none\n", "column value: 'none' will not do"),
        ("setting,value\ntie_space,30\n", "column setting: There is no setting 'tie_space'"),
    ],
)
def test_targets_and_settings_that_cannot_be(shell: Shell, table: str, what: str) -> None:
    ((told, _hint),) = complaints(shell.imports(plan=table))
    assert told.startswith(f"plan.csv, row 2, {what}")


# --- what is easily mistaken ---------------------------------------------------------------------


def test_a_line_is_known_in_any_case(shell: Shell) -> None:
    assert "1 changed" in shell.imports(caps="block,line,taps_planned\nLEDGE,CLIFF,44\n").out


def test_a_length_in_feet_takes_the_place_of_one_in_metres(shell: Shell) -> None:
    head = "block,line,taps_planned"
    shell.imports(metres=f"{head},length_m\nFar,Back,12,100\n")
    shell.imports(feet=f"{head},length_ft\nFar,Back,12,780\n")
    assert shell.exports("lines")[-1]["length_m"] == ""


def test_a_line_added_later_comes_last_on_the_walk(shell: Shell) -> None:
    shell.imports(more="block,line,taps_planned\nLedge,Aspen,12\n")
    ledge = [row["line"] for row in shell.exports("lines") if row["block"] == "Ledge"]
    assert ledge == ["Cliff", "Cedar", "Aspen"]


def test_a_count_without_its_line_is_not_put_on_one_that_sounds_alike(shell: Shell) -> None:
    shell.imports(more="block,line,taps_planned\nFar,Far gate,12\nFar,Back,30\n")
    assert shell.imports(counts=COUNTS + "2027-02-09,Far,,tapping,9,Oda,,\n").code == 1


def test_two_empty_cells_are_two_faults(shell: Shell) -> None:
    answer = shell.imports(people2="name,role\n,lead\n,saw\n")
    assert [told for told, _hint in complaints(answer)] == [
        "people2.csv, row 2, column name: the cell is empty",
        "people2.csv, row 3, column name: the cell is empty",
    ]


def test_a_name_that_could_be_two_is_told_with_its_row(shell: Shell) -> None:
    shell.imports(people2="name\nWes\n")
    shell.write("counts.csv", COUNTS + "2027-02-09,Ledge,Cliff,tapping,6,W,,\n")
    answer = shell.asks("import counts.csv --add-people")
    assert answer.code == 1
    assert "counts.csv, row 2, column by: 'W' could be more than one person." in answer.out


def test_a_season_that_ends_before_it_begins_is_told_with_its_row(shell: Shell) -> None:
    shell.write("plan.csv", "setting,value\nseason_begins,2029-01-01\n")
    answer = shell.asks("import plan.csv --check")
    assert answer.code == 1
    assert "plan.csv, row 2, column value: " in answer.out


def test_both_ends_of_a_season_move_together(shell: Shell) -> None:
    days = "season_begins,2027-10-01\nseason_ends,2028-09-30\n"
    assert shell.imports(plan=f"setting,value\n{days}").code == 0


def test_a_day_wanted_outside_the_season_is_refused(shell: Shell) -> None:
    answer = shell.imports(plan="task,wanted\ntapping,2037-02-20\n")
    assert answer.code == 1
    assert "plan.csv, row 2, column wanted: 2037-02-20 is outside season 2027" in answer.out
