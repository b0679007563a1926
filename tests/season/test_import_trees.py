"""Tables of trees, of rules for taps and of what lies in the shed, into the book."""

import json
from itertools import permutations
from pathlib import Path

import pytest

from fieldbook.book.book import Book
from fieldbook.book.entry import Trees
from fieldbook.season.season import Season
from tests.scenarios import Shell, quillby

TREES = "block,line,dbh_in,girth_in,dbh_cm,count\n"
RULES = "rule,from_in,from_cm,taps,source\n"


@pytest.fixture
def shell(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> Shell:
    """Quillby Hollow: Cliff 42 taps, Cedar 60, Ford 120, Spring 35, Sugar Lot 20."""
    return quillby(Shell(tmp_path, monkeypatch, capsys))


def season() -> Season:
    return Season(Book.open(Path("quillby")))


def tally(block: str = "Ledge", line: str = "Cliff") -> list[tuple[float, int]]:
    """The trees along a line, in inches."""
    plan = season().plan
    found = plan.line(block, line)
    assert found is not None
    return [(round(size, 2), trees) for size, trees in plan.tally(found)]


def planned(shell: Shell, block: str) -> int | None:
    (part,) = (part for part in shell.summary()["blocks"] if part["block"] == block)
    (tapping,) = (task for task in part["tasks"] if task["task"] == "tapping")
    units: int | None = tapping["planned"]
    return units


def refused(shell: Shell, table: str, *told: str) -> None:
    """The table is wrong in these ways and no other, and nothing of it is written."""
    before = shell.journal()
    answer = shell.imports(table=table)
    assert answer.code == 1
    assert [line for line in answer.out.splitlines() if line.startswith("table.csv, ")] == [
        f"table.csv, {what}" for what in told
    ]
    things = "1 thing is" if len(told) == 1 else f"{len(told)} things are"
    assert answer.err == f"{things} wrong. Nothing was written.\n"
    assert shell.journal() == before


# --- trees -------------------------------------------------------------------------------------


def test_rows_of_a_line_are_one_tally(shell: Shell) -> None:
    answer = shell.imports(
        trees=TREES
        + "ledge,1,12,,,40\n"
        + "Sugar Lot,,14,,,9\n"  # a block without mapped lines
        + "Ledge,Cliff,,38,,6\n"
        + "Ledge,cliff,,,30,12\n"
    )
    assert answer.out == "trees.csv: trees, 2 new, 0 changed, 0 in the book already\n"
    assert answer.err == "2 entries saved.\n"
    assert tally() == [(12.0, 40), (12.1, 6), (11.81, 12)]
    assert tally("Sugar Lot", "Sugar Lot") == [(14.0, 9)]


def test_trees_imported_again_change_nothing(shell: Shell) -> None:
    text = TREES + "Ledge,Cliff,12,,,40\nLedge,Cedar,12,,,7\nLedge,Cliff,18,,,6\n"
    shell.imports(trees=text)
    before = shell.journal()
    assert "0 new, 0 changed, 2 in the book already" in shell.imports(trees=text).out
    assert shell.journal() == before


def test_a_corrected_row_replaces_the_whole_tally(shell: Shell) -> None:
    text = TREES + "Ledge,Cliff,12,,,40\nLedge,Cliff,18,,,6\nLedge,Cedar,12,,,7\n"
    shell.imports(trees=text)
    answer = shell.imports(trees=text.replace("12,,,40", "12,,,41"))
    assert "0 new, 1 changed, 1 in the book already" in answer.out
    assert tally() == [(12.0, 41), (18.0, 6)]
    shell.imports(trees=TREES + "Ledge,Cliff,14,,,3\n")  # what it does not name is gone
    assert tally() == [(14.0, 3)]
    newest = next(e for e in reversed(season().log()) if isinstance(e, Trees))
    shell.does(f"strike {newest.id} --reason 'was Cedar'")
    assert tally() == [(12.0, 41), (18.0, 6)]


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("Ledge,Cliff,12,38,,4", "row 3: the row says two diameters"),
        ("Ledge,Cliff,12,38,30,4", "row 3: the row says two diameters"),
        ("Ledge,Cliff,,,,4", "row 3: the row says no diameter"),
        ("Ledge,Cliff,11,,,4", "row 3, column count: trees of this size stand above already"),
        ("ledge,#1,11.0,,,5", "row 3, column count: trees of this size stand above already"),
        ("Ledge,Clif f,12,,,4", "row 3, column line: No line of Ledge is called 'Clif f'."),
        ("Ledge,Ford,12,,,4", "row 3, column line: No line of Ledge is called 'Ford'."),
        ("Lodge,Cliff,12,,,4", "row 3, column block: No block is called 'Lodge'."),
        (",Cliff,12,,,4", "row 3, column block: the cell is empty"),
        ("Ledge,,12,,,4", "row 3, column block: Ledge has 2 lines."),
        ("Ledge,Cliff,0,,,4", "row 3, column dbh_in: '0' is not a number above 0 up to 100"),
        ("Ledge,Cliff,100.1,,,4", "row 3, column dbh_in: '100.1' is not a number above 0 up"),
        ("Ledge,Cliff,,314.1,,4", "row 3, column girth_in: '314.1' is not a number above 0 up"),
        ("Ledge,Cliff,,,254.1,4", "row 3, column dbh_cm: '254.1' is not a number above 0 up"),
        ("Ledge,Cliff,thick,,,4", "row 3, column dbh_in: 'thick' is not a number above 0 up"),
        ("Ledge,Cliff,12,,,", "row 3, column count: the cell is empty"),
        ("Ledge,Cliff,12,,,-4", "row 3, column count: '-4' is not a whole number from 0"),
        ("Ledge,Cliff,12,,,4.5", "row 3, column count: '4.5' is not a whole number from 0"),
        ("Ledge,Cliff,12,,,1000001", "row 3, column count: '1000001' is not a whole number"),
        ("Ledge,Cliff,12,,,4,x", "row 3: the row has more cells than there are columns"),
    ],
)
def test_trees_that_cannot_be(shell: Shell, row: str, told: str) -> None:
    before = shell.journal()
    answer = shell.imports(trees=f"{TREES}Ledge,Cliff,11,,,4\n{row}\n")
    assert answer.code == 1
    (wrong,) = (line for line in answer.out.splitlines() if line.startswith("trees.csv, "))
    assert wrong.startswith(f"trees.csv, {told}")
    assert answer.err == "1 thing is wrong. Nothing was written.\n"
    assert shell.journal() == before


def test_trees_up_to_their_limits_are_taken(shell: Shell) -> None:
    rows = "Ledge,Cliff,100,,,0\nLedge,Cliff,,314,,1000000\nLedge,Cliff,,,254,1\n"
    assert shell.imports(trees=TREES + rows).code == 0
    assert tally() == [(100.0, 0), (99.95, 1_000_000), (100.0, 1)]


def test_every_fault_of_a_tally_is_told_once(shell: Shell) -> None:
    refused(
        shell,
        TREES + "Ledge,Nope,12,30,,x\nLedge,Nope,12,,,4\n",
        "row 2, column line: No line of Ledge is called 'Nope'.",
        "row 2, column count: 'x' is not a whole number from 0 to 1,000,000",
        "row 2: the row says two diameters",
        "row 3, column line: No line of Ledge is called 'Nope'.",
    )


@pytest.mark.parametrize("files", list(permutations(("woods.csv", "new.csv", "rule.csv"))))
def test_lines_their_trees_and_the_rule_may_come_together(
    shell: Shell, files: tuple[str, ...]
) -> None:
    shell.write("new.csv", "block,line,taps_planned\nFar,Back,Trees\nFar,Front,12\n")
    shell.write("woods.csv", TREES + "Far,Back,12,,,10\nFar,Back,18,,,4\nFar,Front,18,,,50\n")
    shell.write("rule.csv", "setting,value\ntap_rule,traditional\n")
    shell.does("import", *files)
    # Back by its trees, 10 + 2 x 4 on the older table of the manual; Front by its own number.
    assert planned(shell, "Far") == 18 + 12


def test_a_line_planned_by_its_trees_goes_by_what_is_there(shell: Shell) -> None:
    shell.imports(more="block,line,taps_planned\nLedge,Cliff,trees\n")
    assert planned(shell, "Ledge") == 60  # Cliff is unknown: nobody tallied it
    shell.imports(trees=TREES + "Ledge,Cliff,12,,,30\n")
    assert planned(shell, "Ledge") == 90
    shell.does("setting tap_rule ontario")
    assert planned(shell, "Ledge") == 90  # 30.48 cm
    shell.does("setting own_first_in 13")
    shell.does("setting tap_rule own")
    assert planned(shell, "Ledge") == 60
    shell.imports(more="block,line,taps_planned\nLedge,Cliff,42\n")
    assert planned(shell, "Ledge") == 102
    assert shell.exports("lines")[0]["taps_planned"] == "42"


def test_a_target_comes_before_the_trees(shell: Shell) -> None:
    shell.imports(
        more="block,line,taps_planned\nLedge,Cliff,trees\n",
        trees=TREES + "Ledge,Cliff,12,,,30\n",
        goals="task,block,line,wanted,planned\ntapping,Ledge,Cliff,,25\n",
    )
    assert planned(shell, "Ledge") == 25 + 60


def test_a_count_far_over_what_the_trees_allow_is_asked_about(shell: Shell) -> None:
    shell.imports(
        more="block,line,taps_planned\nLedge,Cliff,trees\n", trees=TREES + "Ledge,Cliff,12,,,30\n"
    )
    answer = shell.asks("record --block Ledge --line Cliff --task tapping --count 71")
    assert answer.code == 2
    assert "71 on Cliff would make 71, planned 30." in answer.err
    shell.does("record --block Ledge --line Cliff --task tapping --count 70")  # 2 x 30 + 10


# --- pipes of a pair ---------------------------------------------------------------------------

PAIR = "block,line,taps_planned,layout,diameter_in,dry_in,dry_mm\n"


def test_the_dry_pipe_of_a_pair_is_in_inches_or_in_millimetres(shell: Shell) -> None:
    shell.imports(pipes=PAIR + "Far,Back,12,pair,3/4,1-1/4,\n")
    assert shell.exports("lines")[-1]["dry_in"] == "1.25"
    shell.imports(pipes="block,line,taps_planned,dry_mm\nFar,Back,12,38\n")
    row = shell.exports("lines")[-1]
    assert (row["diameter_in"], row["dry_in"], row["dry_mm"]) == ("0.75", "", "38")


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("Far,Back,12,pair,1,1.25,32", "row 2, column dry_mm: dry_in is given too"),
        ("Far,Back,12,pair,1,0,", "row 2, column dry_in: '0' is not a number above 0 up to 6"),
        ("Far,Back,12,pair,1,6.1,", "row 2, column dry_in: '6.1' is not a number above 0 up to 6"),
        (
            "Far,Back,12,pair,1,,151",
            "row 2, column dry_mm: '151' is not a number above 0 up to 150",
        ),
        ("Far,Back,,pair,1,,", "row 2, column taps_planned: the cell is empty"),
        (
            "Far,Back,tree,pair,1,,",
            "row 2, column taps_planned: 'tree' is not a whole number from 0 to 1,000,000",
        ),
    ],
)
def test_a_pair_that_cannot_be(shell: Shell, row: str, told: str) -> None:
    refused(shell, f"{PAIR}{row}\n", told)


# --- rules for taps ----------------------------------------------------------------------------


def test_rules_of_the_crews_own_table(shell: Shell) -> None:
    source = "agreed at the kitchen table, 3 October 2026, after a look at the stumps of " * 2
    answer = shell.imports(
        rules=RULES
        + f'ours,11,,1,\nforest plan,,23.1,1,\nOURS,17.5,,2,"{source}"\nforest plan,,39.1,2,\n'
    )
    assert answer.out == "rules.csv: tap-rules, 2 new, 0 changed, 0 in the book already\n"
    rules = season().plan.tap_rules
    assert [tuple(c) for c in rules["ours"].classes] == [(11.0, None, 1), (17.5, None, 2)]
    assert (rules["ours"].unit, rules["ours"].source) == ("in", source.strip())
    assert [tuple(c) for c in rules["forest plan"].classes] == [(23.1, None, 1), (39.1, None, 2)]
    assert (rules["forest plan"].unit, rules["forest plan"].source) == ("cm", "the crew's own")


def test_a_rule_is_known_in_any_case_and_changed_as_a_whole(shell: Shell) -> None:
    text = RULES + "Ours,11,,1,\nOurs,18,,2,\n"
    shell.imports(rules=text)
    before = shell.journal()
    assert "1 in the book already" in shell.imports(rules=text).out
    assert "1 in the book already" in shell.imports(rules=text.replace("Ours", "ours")).out
    assert shell.journal() == before
    assert "0 new, 1 changed" in shell.imports(rules=RULES + "OURS,12,,1,\n").out
    assert [row["from_in"] for row in shell.exports("tap-rules")] == ["12"]


@pytest.mark.parametrize("files", [("choice.csv", "rules.csv"), ("rules.csv", "choice.csv")])
def test_a_rule_may_be_chosen_in_the_batch_that_brings_it(
    shell: Shell, files: tuple[str, str]
) -> None:
    shell.write("choice.csv", "setting,value\ntap_rule,ours\n")
    answer = shell.asks("import choice.csv")
    assert answer.code == 1
    assert "choice.csv, row 2, column value: There is no rule 'ours' for taps." in answer.out
    shell.write("rules.csv", RULES + "ours,11,,1,\n")
    shell.does("import", *files)
    assert season().plan.tap_rule.name == "ours"
    assert shell.asks("check").code == 0


UNIT = "each row of a rule is in one unit"


@pytest.mark.parametrize(
    ("rows", "told"),
    [
        ("ours,11,,1,\nours,,40,2,\n", f"row 3, column from_in: {UNIT}"),
        ("ours,,30,1,\nours,16,,2,\n", f"row 3, column from_cm: {UNIT}"),
        ("ours,11,28,1,\n", f"row 2, column from_in: {UNIT}"),
        ("ours,11,,1,\nours,,,2,\n", f"row 3, column from_in: {UNIT}"),
        (
            "ours,11,,2,\nours,18,,1,\n",
            "row 3: 'ours' is no rule for taps: rule ours, class 2: 1 taps after 2: taps fall.",
        ),
        (
            "ours,18,,1,\nours,11,,2,\n",
            "row 3: 'ours' is no rule for taps: rule ours, class 2: low end 11.0 does not rise "
            "above 18.0.",
        ),
        (
            "ours,11,,1,\nours,11,,1,\n",
            "row 3: 'ours' is no rule for taps: rule ours, class 2: low end 11.0 does not rise "
            "above 11.0.",
        ),
        (",11,,1,\n", "row 2, column rule: the cell is empty"),
        ("ours,11,,,\n", "row 2, column taps: the cell is empty"),
        ("ours,11,,11,\n", "row 2, column taps: '11' is not a whole number from 0 to 10"),
        ("ours,0,,1,\n", "row 2, column from_in: '0' is not a number above 0 up to 100"),
        ("ours,100.1,,1,\n", "row 2, column from_in: '100.1' is not a number above 0 up to 100"),
        ("ours,,254.1,1,\n", "row 2, column from_cm: '254.1' is not a number above 0 up to 254"),
        (f"{'x' * 81},11,,1,\n", "row 2, column rule: 81 characters are too many"),
    ],
)
def test_a_rule_that_cannot_be(shell: Shell, rows: str, told: str) -> None:
    refused(shell, RULES + rows, told)


def test_rules_up_to_their_limits_are_taken(shell: Shell) -> None:
    rows = f"{'x' * 80},100,,10,\nours,,0.1,0,\nours,,254,10,\n"
    assert shell.imports(rules=RULES + rows).code == 0


# --- supplies ----------------------------------------------------------------------------------


def on_hand() -> dict[str, int]:
    return {supply.item: supply.on_hand for supply in season().plan.supplies}


def test_what_lies_in_the_shed_by_the_names_people_use(shell: Shell) -> None:
    shell.imports(shed='item,on_hand\nSpouts,850\n Side  ties ,0\nTEE,12\nwire_tie,"1,200"\n')
    assert on_hand() == {"spout": 850, "side_tie": 0, "tee": 12, "wire_tie": 1200}
    before = shell.journal()
    assert (
        "0 new, 0 changed, 1 in the book already"
        in shell.imports(shed="item,on_hand\nspout,850\n").out
    )
    assert shell.journal() == before
    assert "0 new, 1 changed" in shell.imports(shed="item,on_hand\nspout,400\n").out
    assert on_hand()["spout"] == 400


@pytest.mark.parametrize(
    ("rows", "told"),
    [
        ("spout,\n", ["row 2, column on_hand: the cell is empty"]),
        (",4\n", ["row 2, column item: the cell is empty"]),
        ("spout,-4\n", ["row 2, column on_hand: '-4' is not a whole number from 0 to 1,000,000"]),
        (
            "spout,some\n",
            ["row 2, column on_hand: 'some' is not a whole number from 0 to 1,000,000"],
        ),
        (
            "spout,1000001\n",
            ["row 2, column on_hand: '1000001' is not a whole number from 0 to 1,000,000"],
        ),
        ("taps,4\n", ["row 2, column item: 'taps' is nothing that supplies are counted of"]),
        ("spout,4\nSpouts,5\n", ["row 3, column item: spout stands in row 2 already"]),
    ],
)
def test_supplies_that_cannot_be(shell: Shell, rows: str, told: list[str]) -> None:
    refused(shell, "item,on_hand\n" + rows, *told)


def test_an_unknown_item_names_those_there_are(shell: Shell) -> None:
    answer = shell.imports(shed="item,on_hand\nhammer,1\n")
    assert "write one of roll, spout, tee, side_tie, wire_tie, bit" in answer.out


# --- known by their heads ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("table", "kind"),
    [
        ("block,line,girth in,COUNT\nLedge,Cliff,38,4\n", "trees, 1 new"),
        ("taps;rule;from_cm\n1;ours;23,1\n", "tap-rules, 1 new"),
        ("on hand,item\n4,bits\n", "supplies, 1 new"),
        ("syrup_l,date\n4,2027-02-09\n", "runs, 1 new"),
        # With a date and a task it is work done, whatever else it says.
        (
            "date,block,line,task,count,by,sap_gal\n2027-02-09,Ledge,Cliff,tapping,4,Oda,\n",
            "counts, 1 new",
        ),
    ],
)
def test_a_table_is_known_by_its_heads(shell: Shell, table: str, kind: str) -> None:
    assert shell.imports(notes=table).out.startswith(f"notes.csv: {kind}")


@pytest.mark.parametrize(
    ("head", "lacks"),
    [
        ("block,line,count", "as a table of trees it lacks: dbh_cm or dbh_in or girth_in"),
        ("rule,taps,source", "as a table of tap-rules it lacks: from_cm or from_in"),
        ("item", "as a table of supplies it lacks: on_hand"),
        (
            "date,brix",
            "as a table of runs it lacks: sap_gal or sap_l or syrup_gal or syrup_l",
        ),
    ],
)
def test_other_heads_are_told_what_they_lack(shell: Shell, head: str, lacks: str) -> None:
    answer = shell.imports(odd=f"{head}\nx\n")
    assert (answer.code, answer.out.splitlines()[-1].strip()) == (1, lacks)


@pytest.mark.parametrize("name", ["trees", "tap-rules", "supplies", "runs", "lines"])
def test_a_blank_table_is_known_as_what_it_is(shell: Shell, name: str) -> None:
    shell.does(f"blank {name} --out blank.csv")
    answer = shell.asks("import blank.csv")
    assert answer.out == f"blank.csv: {name}, 0 new, 0 changed, 0 in the book already\n"
    assert json.loads(shell.does(f"export {name} --format json")) is not None
