"""Plan, supplies and forecast at the command line, and the trees and the sap keyed in for them."""

import csv
import io
import json
from pathlib import Path
from typing import Any

import pytest

from fieldbook.book.entry import MOST_VOLUME
from fieldbook.cli import MOST_AMOUNT
from fieldbook.season.checklist import load_template
from tests.scenarios import Shell, quillby

FORMS = ("terminal", "text", "json", "csv")
TABLES = {
    "plan": ("trees", "wear", "drops", "lines"),
    "plan trees": ("trees",),
    "plan wear": ("wear",),
    "plan drops": ("drops",),
    "plan lines": ("lines",),
    "supplies": ("buy", "blocks"),
    "forecast": ("tasks", "blocks", "turns"),
}
"""The tables of each report, the one that csv gives unasked first."""

CHECKLISTS = ("vacuum", "gravity", "buckets")

HEAD = "block,line,layout,diameter_in,length_ft,slope_pct,taps_planned,drops_hung\n"
CLIFF = "record --block Ledge --line Cliff"


@pytest.fixture
def shell(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Shell:
    """An empty folder, and a laptop that knows no book."""
    return Shell(tmp_path, monkeypatch, capsys)


@pytest.fixture
def book(shell: Shell) -> Shell:
    """Quillby Hollow: Cliff 42 taps, Cedar 60, Ford 120, Spring 35, Sugar Lot 20."""
    return quillby(shell)


def data(shell: Shell, report: str) -> Any:
    return json.loads(shell.does(f"{report} --format json"))


def rows(shell: Shell, report: str, table: str = "") -> list[dict[str, str]]:
    """A table of a report as a spreadsheet reads it."""
    asked = f"{report} --format csv" + (f" --table {table}" if table else "")
    return list(csv.DictReader(io.StringIO(shell.does(asked)), strict=True))


def all_of_it(shell: Shell) -> None:
    """Every report goes well in every form."""
    for report in (*TABLES, "summary"):
        for form in FORMS:
            assert shell.asks(f"{report} --format {form}").code == 0, (report, form)


# --- every form ----------------------------------------------------------------------------------


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("report", TABLES)
def test_every_form_goes_to_standard_output_or_a_file(book: Shell, report: str, form: str) -> None:
    line = f"{report} --format {form}"
    answer = book.asks(line)
    assert (answer.code, answer.err) == (0, "")
    assert answer.out.endswith("\n")
    assert "\x1b" not in answer.out
    assert max(map(len, answer.out.splitlines())) <= 80 or form in ("json", "csv")
    assert book.asks(f"{line} --out report") == (0, "", "Written to report.\n")
    assert (book.folder / "report").read_bytes() == answer.out.encode()
    assert book.asks(f"{line} --out -") == answer


@pytest.mark.parametrize("report", TABLES)
def test_without_a_terminal_the_form_is_text(
    book: Shell, monkeypatch: pytest.MonkeyPatch, report: str
) -> None:
    text = book.does(f"{report} --format text")
    assert book.does(report) == text
    assert text.startswith("Quillby Hollow, season 2027, as of Tue 9 Feb 2027\n\n")
    monkeypatch.setattr("sys.stdout.isatty", lambda: True)
    assert book.does(report) == book.does(f"{report} --format terminal") != text


@pytest.mark.parametrize(("report", "tables"), TABLES.items())
def test_each_table_is_asked_for_by_its_name(
    book: Shell, report: str, tables: tuple[str, ...]
) -> None:
    told = [book.does(f"{report} --format csv --table {table}") for table in tables]
    assert book.does(f"{report} --format csv") == told[0]
    assert len(set(told)) == len(tables)
    answer = book.asks(f"{report} --format csv --table log")
    assert (answer.code, answer.out) == (2, "")
    assert answer.err == (f"The report has no table 'log'.\n  It has: {', '.join(tables)}.\n")


@pytest.mark.parametrize("form", ["text", "terminal"])
def test_a_plan_begins_with_what_wants_a_look(book: Shell, form: str) -> None:
    """Drops are due on Cliff and, of unknown age, on Ford: 42 + 120."""
    head = (
        "Quillby Hollow, season 2027, as of Tue 9 Feb 2027\n"
        "\n"
        "  0 lines of 0 tallied have more taps planned than their trees allow, 0 in all\n"
        "  0 of 7 sizes of tree lose too much clean wood\n"
        "! 162 drops are left to replace\n"
        "  0 lines carry more than they can, or are too flat or too long\n"
        "\n"
        "Trees: "
    )
    assert book.does(f"plan --format {form}").startswith(head)
    assert "left to replace" not in book.does(f"plan drops --format {form}")


def test_a_crew_on_buckets_is_told_of_trees_alone(shell: Shell) -> None:
    shell.does("new hill --season 2027 --checklist buckets")
    shell.imports(lines="block,line,order,taps_planned\nHill,,1,120\n")
    assert list(data(shell, "plan")) == ["trees", "wear"]
    said = shell.does("plan")
    assert "  0 of 7 sizes of tree lose too much clean wood\n\nTrees: " in said
    assert "left to replace" not in said
    # Asked for by name it is told all the same.
    assert [line["line"] for line in data(shell, "plan drops")["lines"]] == ["Hill"]


def test_a_plan_as_data_has_four_parts_or_the_one_asked_for(book: Shell) -> None:
    plan = data(book, "plan")
    assert list(plan) == ["trees", "wear", "drops", "lines"]
    for part, told in plan.items():
        assert data(book, f"plan {part}") == told


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("plan leaves", "invalid choice: 'leaves'"),
        ("supplies --format pdf", "invalid choice: 'pdf'"),
        ("forecast trees", "unrecognized arguments: trees"),
        ("forecast --as-of 03/04", "'03/04' is not a date that can be read one way only."),
        ("forecast --as-of 9999-12-31", "'9999-12-31' is not a day of our times."),
        ("plan --out nowhere/report", "Cannot write nowhere/report: "),
    ],
)
def test_wrong_use_is_told(book: Shell, line: str, words: str) -> None:
    answer = book.asks(line)
    assert (answer.code, answer.out) == (2, "")
    assert words in answer.err


# --- what they say -------------------------------------------------------------------------------


def test_what_to_buy_is_what_is_left_to_do(book: Shell) -> None:
    """Drops of Cliff (42) and Ford (120) are due; a roll of 500 ft gives 200 drops of 30 in."""
    book.imports(supplies="item,on_hand\ntees,100\n")
    book.does(f"{CLIFF} --task drops --count 40 --finish 'two on dead trees'")
    book.does(f"{CLIFF} --task tapping --count 12")
    needed = {row["item"]: row for row in rows(book, "supplies")}
    drops, taps = needed["tees"], needed["spouts"]
    # 120 drops and 5 % are 126, 100 tees lie in the shed; 277 - 12 taps and 5 % are 278.25
    assert (drops["needed"], drops["with_spare"], drops["buy"]) == ("120", "126", "26")
    assert (taps["needed"], taps["with_spare"], taps["buy"]) == ("265", "279", "279")
    assert float(taps["cost"]) == pytest.approx(279 * 0.35)
    assert needed["rolls of tubing"]["buy"] == "1"
    laid_out = rows(book, "supplies", "blocks")
    assert [(row["block"], row["drops"], row["spout"]) for row in laid_out] == [
        ("Ledge", "0", "90"),
        ("Creek", "120", "155"),
        ("Sugar Lot", "0", "20"),
        ("together", "120", "265"),
    ]


@pytest.mark.parametrize(
    ("typed", "item", "on_hand"),
    [("spout 4000", "spout", 4000), ("Side  ties 0", "side_tie", 0), (" TEES  12 ", "tee", 12)],
)
def test_what_was_counted_in_the_shed_is_keyed_in(
    book: Shell, typed: str, item: str, on_hand: int
) -> None:
    assert " saved: " in book.does("record --on-hand", typed)
    entry = json.loads(book.journal().splitlines()[-1])
    assert (entry["kind"], entry["item"], entry["on_hand"]) == ("supply", item, on_hand)
    (told,) = (x for x in data(book, "supplies")["items"] if x["item"] == item)
    assert (told["counted"], told["counted_on"], told["used"]) == (on_hand, "2027-02-09", 0)


@pytest.mark.parametrize(
    "typed", ["", "spout", "4000", "spout many", "spout -1", "spout 4,000", "spout 1.5", "axe 3"]
)
def test_words_that_say_nothing_of_the_shed(book: Shell, typed: str) -> None:
    before = book.journal()
    answer = book.asks("record --on-hand", typed)
    assert (answer.code, answer.out) == (2, "")
    assert answer.err.startswith(f"{typed!r} does not say what was counted.")
    assert "roll, spout, tee, side_tie, wire_tie, bit" in answer.err
    assert book.journal() == before


def test_more_than_any_shed_holds_is_refused(book: Shell) -> None:
    assert book.asks("record --on-hand", "spout 1000000").code == 0
    before = book.journal()
    answer = book.asks("record --on-hand", "spout 1000001")
    assert (answer.code, answer.out) == (2, "")
    assert "on_hand must be <= 1000000" in answer.err
    assert book.journal() == before


def test_a_report_as_of_a_day_leaves_out_later_work(book: Shell) -> None:
    book.does(f"{CLIFF} --task tapping --count 12 --date 2027-02-08")
    book.does(f"{CLIFF} --task tapping --count 30")

    def left(options: str) -> dict[str, str]:
        return {row["task"]: row["left"] for row in rows(book, f"forecast {options}")}

    assert left("")["Tapping"] == "235"  # 277 - 42
    assert left("--as-of 2027-02-08")["Tapping"] == "265"
    assert left("--as-of 2027-02-07")["Tapping"] == "277"
    as_of = book.does("forecast --as-of 2027-02-08 --format json")
    book.does(f"{CLIFF} --task tapping --finish")
    assert book.does("forecast --as-of 2027-02-08 --format json") == as_of


def test_a_line_may_be_planned_by_its_trees(book: Shell) -> None:
    """Conservative, from 12 in one tap and from 18 two: 40 + 2 x 9 = 58."""
    book.imports(lines="block,line,order,taps_planned\nLedge,Cliff,1,trees\n")
    (cliff,) = (line for line in data(book, "plan trees")["lines"] if line["line"] == "Cliff")
    assert (cliff["planned"], cliff["allowed"]) == (None, None)
    book.does(f"{CLIFF} --trees '11:7 12:40 18:9'")
    (cliff,) = (line for line in data(book, "plan trees")["lines"] if line["line"] == "Cliff")
    assert (cliff["planned"], cliff["allowed"], cliff["over"]) == (58, 58, 0)
    assert "58 taps" in book.does(f"{CLIFF} --task tapping --count 58")
    assert book.summary()["totals"]["taps_planned"] == 58 + 60 + 120 + 35 + 20


def test_trees_say_by_how_much_a_plan_is_over(book: Shell) -> None:
    book.does(f"{CLIFF} --trees 12:40")
    assert "! Ledge / Cliff: 2 taps over the 40 that its 40 trees allow" in book.does("plan trees")


# --- rules that no sum holds for -----------------------------------------------------------------


def test_a_rule_that_no_sum_holds_for_is_named_and_the_other_parts_are_told(book: Shell) -> None:
    """A hole of 4 in would go through the heart of a tree of 6."""
    book.does(f"{CLIFF} --trees '6:10 14:20'")
    for setting in ("tap_rule own", "own_first_in 6", "hole_depth_in 4"):
        book.does(f"setting {setting}")
    for report in ("plan", "plan wear"):
        answer = book.asks(report)
        assert (answer.code, answer.out) == (2, "")
        assert answer.err.startswith("It cannot be reckoned with the rules of the book: depth 4")
        assert "fieldbook setting" in answer.err
    for report in ("plan trees", "plan drops", "plan lines", "supplies", "forecast"):
        assert book.asks(report).code == 0


def test_the_shortest_roll_gives_one_of_the_longest_drops(book: Shell) -> None:
    """10 ft are 120 in: settings cannot be such that a roll is shorter than a drop."""
    book.does("setting roll_ft 10")
    book.does("setting drop_length_in 120")
    assert data(book, "supplies")["drops_per_roll"] == 1
    assert rows(book, "supplies")[0]["needed"] == "162"
    assert book.asks("setting roll_ft 9").code == book.asks("setting drop_length_in 121").code == 2


@pytest.mark.parametrize(
    "rule",
    [
        *("growth_dbh_in 0", "growth_dbh_in 2", "hole_width_in 1", "hole_depth_in 4"),
        *("stain_factor 1", "stain_factor 200", "clean_wood_pct 1", "clean_wood_pct 99.9"),
        *("drop_length_in 6", "own_first_in 1", "own_step_in 0.1", "drop_cycle_years 50"),
        *("loss_pct_by_age 100", "loss_pct_by_age 0", "sap_value_per_gal 0", "spare_pct 100"),
        *("ties_renewed_pct 0", "wire_tie_spacing_ft 0.1", "holes_per_bit 1", "tie_spacing_ft 1"),
        *("tie_spacing_ft 1000", "wire_tension_lb 10", "peak_gph_per_tap 0.01", "pump_cfm 10000"),
        *(
            "pump_vacuum_inhg 1",
            "pump_vacuum_inhg 29.8",
            "vacuum_loss_inhg 10",
            "elevation_ft -1000",
        ),
        *("cfm_per_100_taps 0.1", "cfm_per_100_taps 10", "rate_taps 0.1", "rate_prior_hours 0"),
        *("hours_a_day 0.5", "lost_days_pct 90", "lost_days_pct 0", "workdays SU"),
        *("days_off 2027-02-10", "wage_per_hour 0", "price_roll 0", "season_ends 2026-09-02"),
    ],
)
def test_rules_at_their_edges_are_reckoned_with(book: Shell, rule: str) -> None:
    book.does(f"{CLIFF} --trees '9:3 10:4 12:40 18:9 24:1 60:2'")
    book.does(f"{CLIFF} --task tapping --count 12 --hours 2")
    book.does(f"setting {rule}")
    for report in ("plan", "supplies", "forecast"):
        assert data(book, report)
        assert book.asks(report).code == 0


# --- lines such as no woods have -----------------------------------------------------------------


def flags(shell: Shell) -> dict[str, str]:
    """What wants a look, by line."""
    return {line["line"]: "; ".join(line["flags"]) for line in data(shell, "plan lines")["lines"]}


def test_a_line_beyond_all_measure_is_flagged(book: Shell) -> None:
    """A fall of 100 % is a wall; 6 in is the thickest and 20,000 ft the longest believed."""
    book.imports(
        lines=HEAD
        + "Odd,long,single,1,20000,3,90,2025\n"
        + "Odd,flat,single,1,700,0,90,2025\n"
        + "Odd,uphill,pair,1,700,-3,90,2025\n"
        + "Odd,wall,single,1,700,100,90,2025\n"
        + "Odd,fat,pair,6,700,3,90,2025\n"
        + "Odd,hair,single,0.1,700,3,90,2025\n"
        + "Odd,crowd,single,0.75,700,3,1000000,2025\n"
        + "Odd,unknown,single,,,,90,\n"
    )
    book.does("setting pump_cfm 60")
    all_of_it(book)
    found = flags(book)
    assert "20,000 ft: 19,000 over 1,000 ft" in found["long"]
    assert "slope 0 %: sap stands" in found["flat"]
    assert "slope -3 %: sap stands" in found["uphill"]
    assert "diameter 0.1 in: out of range, 0.25 to 6" in found["hair"]
    assert "whose sap it drains" in found["crowd"]
    assert found["wall"] == found["unknown"] == ""
    assert "a belly" in found["fat"]  # 6 in full of sap weigh more than 300 lb of pull bear


def test_no_pump_draws_more_than_the_air_weighs(book: Shell) -> None:
    """At 14,000 ft the barometer stands at 17.6 inHg (US Standard Atmosphere 1976)."""
    book.imports(lines=HEAD + "Peak,high,single,1,700,3,90,2025\n")
    book.does("setting elevation_ft 14000")
    all_of_it(book)
    assert "vacuum 25.0 inHg: out of range, above 0 to below 17.5" in flags(book)["high"]
    (high,) = (line for line in data(book, "plan lines")["lines"] if line["line"] == "high")
    assert high["taps_air"] is None


# --- books with little or nothing in them --------------------------------------------------------


@pytest.mark.parametrize("checklist", CHECKLISTS)
@pytest.mark.parametrize(
    "lines",
    [
        "",
        "block,taps_planned\nLedge,42\n",
        HEAD + "Ledge,Cliff,,,,,trees,\n",  # planned by trees that nobody tallied
        HEAD + "Ledge,Cliff,single,1,700,3,0,2024\n",  # rests this year
        HEAD + "Ledge,Cliff,pair,1,700,3,42,2024\nCreek,Ford,single,3/4,,,120,\n",
    ],
    ids=["empty", "a block", "by its trees", "nothing to tap", "two lines"],
)
def test_a_book_in_which_nothing_is_done_has_every_report(
    shell: Shell, checklist: str, lines: str
) -> None:
    shell.does(f"new quillby --season 2027 --checklist {checklist}")
    assert not lines or shell.imports(lines=lines).code == 0
    all_of_it(shell)


@pytest.mark.parametrize("checklist", CHECKLISTS)
@pytest.mark.parametrize("option", ["--finish", "--aside ice"])
def test_everything_done_or_set_aside(shell: Shell, checklist: str, option: str) -> None:
    shell.does(f"new quillby --season 2027 --checklist {checklist}")
    shell.imports(lines=HEAD + "Ledge,Cliff,pair,1,700,3,42,2024\nCreek,Ford,,,700,,120,\n")
    _title, tasks = load_template(checklist)
    for task in (task.key for task in tasks if task.on):
        for block in ("Ledge", "Creek"):
            assert shell.asks(f"record --block {block} --task {task} {option} --add").code == 0
    all_of_it(shell)
    assert rows(shell, "forecast", "turns") == []
    report = data(shell, "forecast")
    due = {task["task"]: (task["left"], task["left_aside"]) for task in report["tasks"]}
    if option == "--finish":
        assert due == {}
    else:
        assert due["tapping"] == (162, 162)
        assert ["Ledge", "tapping"] in report["order"]["held_up"]


def test_the_day_may_be_any_that_a_season_can_have(book: Shell) -> None:
    book.does(f"{CLIFF} --task tapping --count 12")
    for day in ("1900-01-01", "2026-08-31", "2027-08-31", "2027-09-01", "2999-12-31"):
        for report in ("plan", "supplies", "forecast", "summary"):
            assert book.asks(f"{report} --as-of {day}").code == 0, (report, day)


def test_a_name_is_data_whatever_it_looks_like(book: Shell) -> None:
    name = "=1+1 [red]x[/] \x1b[31m"
    book.imports(
        lines=HEAD + f'"{name}",{name},single,0.1,700,0,90,2025\n',
        rules=f'rule,from_in,taps\n"{name}",11,1\n-,11,1\n-north,11,1\n',
    )
    stored = "=1+1 [red]x[/] [31m"
    for rule in ("-", "-north", stored):
        book.imports(rule=f"setting,value\ntap_rule,{rule}\n")
        all_of_it(book)
    for report in TABLES:
        assert "\x1b" not in book.does(f"{report} --format terminal")
    for report, table in (("plan", "trees"), ("plan", "lines"), ("supplies", "blocks")):
        told = rows(book, report, table)
        assert f"'{stored}" in [row["block"] for row in told]
        assert "  " + stored in book.does(f"{report}") or report == "supplies"


# --- trees, keyed in -----------------------------------------------------------------------------


def test_trees_are_tallied_in_inches_centimetres_or_by_girth(book: Shell) -> None:
    out = book.does(f"{CLIFF} --trees '12:40 30cm:12 38g:4' --date 2026-10-03")
    assert out.endswith(" saved: trees by diameter: 12:40 30cm:12 38g:4, Ledge / Cliff\n")
    assert [
        (row["dbh_in"], row["dbh_cm"], row["girth_in"], row["count"])
        for row in book.exports("trees")
    ] == [
        ("12", "", "", "40"),
        ("", "30", "", "12"),
        ("", "", "38", "4"),
    ]
    assert json.loads(book.journal().splitlines()[-1])["at"] == "2026-10-03T12:00:00-05:00"


def test_a_tally_replaces_the_one_before_and_a_strike_brings_it_back(book: Shell) -> None:
    def tally() -> list[tuple[str, str]]:
        return [(row["dbh_in"], row["count"]) for row in book.exports("trees")]

    book.does(f"{CLIFF} --trees '12:40 14:31'")
    entry = book.does(f"{CLIFF} --trees 13:9").split()[0]
    assert tally() == [("13", "9")]
    book.does(f"strike {entry} --reason 'was Cedar'")
    assert tally() == [("12", "40"), ("14", "31")]


def test_trees_may_be_of_years_ago_or_of_a_block_with_one_line(book: Shell) -> None:
    assert "Sugar Lot" in book.does("record --block sugar --trees 12:20 --date '20 Sep 2019'")
    answer = book.asks(f"{CLIFF} --trees 12:40 --date 2027-02-12")
    assert answer.code == 0
    assert answer.err.startswith("! 2027-02-12 is still to come: today is 2027-02-09.")


@pytest.mark.parametrize(
    ("line", "words", "way_out"),
    [
        ("record --trees 12:40", "Trees belong to a line.", "Give --block and the --line."),
        ("record --block Ledge --trees 12:40", "Ledge has 2 lines.", "Cliff, Cedar"),
        ("record --block Lodge --trees 12:40", "No block is called 'Lodge'.", "Ledge"),
        (f"{CLIFF} --trees ''", "'' does not say a size", "12:40 14:31 18:9"),
        (f"{CLIFF} --trees forty", "'forty' does not say a size", "38g:4 by girth in inches"),
        (f"{CLIFF} --trees '12:40 12:3'", "'12:3' does not say a size", "each size once"),
        (f"{CLIFF} --trees 61:1", "No maple is 61 in thick.", "girths in inches 38g:4."),
        (f"{CLIFF} --trees 12:0", "'' does not say a size", "30cm:12 in centimetres"),
        (f"{CLIFF} --trees 12:4 --date 0012-01-01", "'0012-01-01' is not a day", "Give a year"),
    ],
)
def test_trees_that_cannot_be_recorded(book: Shell, line: str, words: str, way_out: str) -> None:
    before = book.journal()
    answer = book.asks(line)
    assert (answer.code, answer.out) == (2, "")
    assert answer.err.startswith(words)
    assert way_out in answer.err
    assert book.journal() == before


# --- sap and syrup, keyed in ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("options", "kept"),
    [
        ("--sap-gal 1200.5 --brix 2.1", {"sap_gal": 1200.5, "brix": 2.1}),
        ("--sap-l 4544 --syrup-l 110", {"sap_l": 4544.0, "syrup_l": 110.0}),
        ("--sap-gal 0 --syrup-gal 0", {"sap_gal": 0.0, "syrup_gal": 0.0}),  # none ran
        ("--brix 100 --sap-l 4000000 --really", {"brix": 100.0, "sap_l": 4_000_000.0}),
        ("--sap-gal 4000000 --syrup-gal 4e6 --really", {"sap_gal": 4e6, "syrup_gal": 4e6}),
        ("--sap-gal 0.1 --syrup-l 0.1", {"sap_gal": 0.1, "syrup_l": 0.1}),
    ],
)
def test_a_run_keeps_what_was_measured_in_its_own_unit(
    book: Shell, options: str, kept: dict[str, float]
) -> None:
    assert " saved: " in book.does(f"record {options} --date yesterday")
    entry = json.loads(book.journal().splitlines()[-1])
    assert (entry["kind"], entry["at"]) == ("run", "2027-02-08T12:00:00-05:00")
    run = ("sap_gal", "sap_l", "brix", "syrup_gal", "syrup_l")
    assert {name: entry[name] for name in run if name in entry} == kept


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ("--sap-gal -1", "--sap-gal: '-1' is not a number from 0 to 4,000,000\n"),
        ("--sap-l nan", "--sap-l: 'nan' is not a number"),
        ("--syrup-gal inf", "--syrup-gal: 'inf' is not a number"),
        ("--syrup-l much", "--syrup-l: 'much' is not a number"),
        ("--sap-gal 4000001", "--sap-gal: '4000001' is not a number from 0 to 4,000,000\n"),
        ("--sap-l 4000000.1", "--sap-l: '4000000.1' is not a number from 0 to 4,000,000\n"),
        ("--syrup-gal 4000001", "--syrup-gal: '4000001' is not a number from 0 to 4,000,000\n"),
        ("--syrup-l 4000001", "--syrup-l: '4000001' is not a number from 0 to 4,000,000\n"),
        ("--sap-gal 5 --brix 0", "--brix: '0' is not a sweetness above 0 to 100 Brix\n"),
        ("--sap-gal 5 --brix 100.1", "--brix: '100.1' is not a sweetness above 0 to 100 Brix\n"),
        ("--sap-gal 5 --sap-l 19", "The same is given in gallons and in litres."),
        ("--syrup-gal 5 --syrup-l 19", "The same is given in gallons and in litres."),
        ("--sap-gal 5 --date 2027-09-01", "2027-09-01 is outside season 2027"),
        ("--sap-gal 5 --hours 2", "Hours belong to a count."),
        ("--dry-in 1", "unrecognized arguments: --dry-in 1"),  # the pipe is of the plan
        ("--dry-mm 25", "unrecognized arguments: --dry-mm 25"),
    ],
)
def test_a_run_that_cannot_be_recorded(book: Shell, options: str, words: str) -> None:
    before = book.journal()
    answer = book.asks(f"record {options}")
    assert (answer.code, answer.out) == (2, "")
    assert words in answer.err
    assert book.journal() == before


def test_the_parser_and_the_book_agree_on_the_most_of_a_day() -> None:
    assert MOST_AMOUNT == MOST_VOLUME


def test_what_is_saved_of_a_run_is_told_in_thousands(book: Shell) -> None:
    said = book.does("record --sap-gal 1400 --brix 2.1 --syrup-gal 1058.25")
    assert said.endswith(" saved: sap 1,400 gal, 2.1 Brix, syrup 1,058.25 gal\n")


def test_more_sap_than_the_taps_give_is_asked_about(book: Shell) -> None:
    """277 taps of 6 gal are 1,662 (from memory): what is more may be a nought too many."""
    before = book.journal()
    answer = book.asks("record --sap-gal 2400")
    assert (answer.code, answer.out) == (2, "")
    assert answer.err.startswith("2,400 gal are 8.7 a tap in one run.\n  Check the number.")
    assert book.journal() == before
    assert " saved: sap 2,400 gal" in book.does("record --sap-gal 2400 --really")


def test_a_run_of_a_day_to_come_is_told_and_left_out(book: Shell) -> None:
    answer = book.asks("record --sap-gal 500 --date 2027-02-12")
    assert answer.code == 0
    assert answer.err.startswith("! 2027-02-12 is still to come: today is 2027-02-09.")
    answer = book.asks("summary --format json")
    assert "Work dated after 2027-02-09 is left out." in answer.err
    assert json.loads(answer.out)["sap"]["sap_gal"] is None


def test_sap_trees_a_count_and_words_may_come_together(book: Shell) -> None:
    options = "--sap-gal 500 --trees 12:50 --task tapping --count 9 --hazard 'hung-up beech'"
    assert len(book.does(f"{CLIFF} {options}").splitlines()) == 4
    assert book.summary()["sap"]["sap_gal"] == 500
    assert book.summary()["totals"]["taps_in"] == 9


def test_the_summary_tells_of_the_sap(book: Shell) -> None:
    """1,600 gal of 2 Brix and 400 of 3: (2 x 1,600 + 3 x 400) / 2,000 = 2.2 Brix."""
    book.does(f"{CLIFF} --task tapping --count 42")
    book.does("record --sap-gal 1600 --brix 2 --syrup-gal 46 --date 2027-02-08")
    book.does("record --sap-gal 400 --brix 3")
    assert "Sap 2,000.0 gal on 2 days, 47.6 gal a tap, 2.2 Brix\n" in book.does("summary")
