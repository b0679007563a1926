"""`fieldbook reckon`: one sum of the trade by itself, with a book or without."""

import json
from pathlib import Path
from typing import Any

import pytest

from fieldbook.reports.reckon import SUMS
from tests.scenarios import Shell, quillby

TAPS = "reckon taps --girth-in 38"

TABLE = "rule,from_in,taps\nours,11,1\nours,13,2\n"
"""The crew's own table of taps."""


@pytest.fixture
def shell(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Shell:
    """A laptop with no book on it."""
    return Shell(tmp_path, monkeypatch, capsys)


@pytest.fixture
def book(shell: Shell) -> Shell:
    """Quillby Hollow, with a table of taps of its own."""
    quillby(shell)
    shell.imports(rules=TABLE)
    return shell


def data(shell: Shell, line: str) -> dict[str, Any]:
    told: dict[str, Any] = json.loads(shell.does(f"{line} --format json"))
    return told


# --- without a book ------------------------------------------------------------------------------


def test_without_a_name_the_sums_are_listed(shell: Shell) -> None:
    said = shell.does("reckon")
    assert [line.split()[0] for line in said.splitlines()[: len(SUMS)]] == list(SUMS)
    assert "rolls      Rolls of tubing for so many drops.\n" in said
    listed = json.loads(shell.does("reckon --format json"))
    assert [one["name"] for one in listed] == list(SUMS)
    assert set(listed[0]) == {"name", "about", "example"}


def test_an_answer_is_a_line_or_two_its_rule_and_its_source(shell: Shell) -> None:
    assert shell.asks(TAPS) == (
        0,
        "1 tap in a tree of 12.1 in (DBH), by the rule conservative.\n"
        "By the other rules: traditional 1, quebec-private 1, quebec-public 1,\n"
        "  ontario 1, own 1.\n"
        "\n"
        "Rule: conservative: 12-18 in 1, 18 in and over 2.\n"
        "Source: North American Maple Syrup Producers Manual, recommended table; van\n"
        "  den Berg et al. 2012 (NSRC report) for high vacuum.\n",
        "",
    )


def test_an_explanation_goes_step_by_step(shell: Shell) -> None:
    assert shell.does("reckon rolls --drops 1000 --length-in 36 --explain") == (
        "7 rolls: 166 whole drops a roll.\n"
        "By length alone it would be 6.\n"
        "\n"
        "Step by step\n"
        "  1. Drops a roll = length of a roll / length of a drop, rounded down\n"
        "  2. 500 ft x 12 / 36 in = 166 whole drops\n"
        "  3. Rolls = drops / drops a roll, rounded up\n"
        "  4. 1,000 / 166 = 6.0241, so 7\n"
        "\n"
        "Reckoned with\n"
        "  drops = 1000: Drops to make, 0 or more.\n"
        "  length_in = 36: Length of a drop in inches.\n"
        "  roll_ft = 500 (default: common practice, no source): Length of a roll in\n"
        "    feet, at least one drop.\n"
        "\n"
        "Left out: Spare for what is cut wrong. The end of a roll that is shorter\n"
        "  than a drop is waste.\n"
        "\n"
        "Rule: whole drops from whole rolls.\n"
        "Source: arithmetic on the numbers given; drops: Perkins 2014; UVM: 30-36 in.\n"
    )


def test_numbers_are_passed_on_unrounded(shell: Shell) -> None:
    told = data(shell, TAPS)
    assert list(told) == ["name", "inputs", "result", "rule", "source"]
    assert told["name"] == "taps"
    assert told["inputs"]["girth_in"] == 38
    assert told["result"]["dbh_in"] == 38 / 3.141592653589793
    steps = data(shell, "reckon taps --dbh-cm 30.5 --explain")["steps"]
    assert steps[0] == "--dbh-cm 30.5 is dbh_in = 12.0079."
    assert data(shell, "reckon sag --diameter-in 1 --span-ft 50 --slope-pct 2")["cautions"]


@pytest.mark.parametrize("form", ["terminal", "text", "json"])
def test_every_form_goes_to_standard_output_or_a_file(shell: Shell, form: str) -> None:
    said = shell.does(f"reckon zone --dbh-in 18 --taps 2 --format {form}")
    assert "\x1b" not in said
    answer = shell.asks(f"reckon zone --dbh-in 18 --taps 2 --format {form} --out zone.txt")
    assert answer == (0, "", "Written to zone.txt.\n")
    assert (shell.folder / "zone.txt").read_text(encoding="utf-8") == said


def test_a_terminal_shows_text(shell: Shell, monkeypatch: pytest.MonkeyPatch) -> None:
    text = shell.does(TAPS)
    monkeypatch.setattr("sys.stdout.isatty", lambda: True)
    assert shell.does(TAPS) == text


def test_the_options_of_a_sum_say_units_range_and_default(shell: Shell) -> None:
    said = " ".join(shell.does("reckon flow --help").split())
    assert "--slope-pct N Fall over length in percent, above 0 to 100. Needed." in said
    assert "--diameter-in N Inside diameter in inches, 0.25 to 6;" in said
    assert "Or --diameter-mm, --diameter-cm. Needed." in said
    assert "A number from 0.01 to 5. Default 0.5, the setting peak_gph_per_tap:" in said
    assert "Example: fieldbook reckon flow --diameter-in 1 --slope-pct 2" in said
    assert "NAME" in shell.does("reckon --help")


def test_options_may_stand_before_the_name_and_after(shell: Shell) -> None:
    told = shell.does(f"{TAPS} --explain --format json")
    assert shell.does("reckon --format json taps --girth-in 38 --explain") == told
    assert shell.does("reckon --explain taps --format json --girth-in 38") == told
    assert shell.does("reckon --format text taps --girth-in 38 --explain --format json") == told


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (
            "taps --girth-in 500",
            "--girth-in 500: girth 500.0 in: out of range, above 0 to 314.1593.\n"
            "  fieldbook reckon taps --help shows its options, with units and ranges.\n",
        ),
        (
            "ties",
            "fieldbook reckon ties: --length-ft is missing.\n"
            "  Length of the mainline in feet, 0 or more.\n",
        ),
        (
            "taps --girth-in 38 --dbh-cm 30",
            "fieldbook reckon taps: argument --dbh-cm: not allowed with argument --girth-in.\n"
            "  fieldbook reckon taps --help shows its options, with units and ranges.\n",
        ),
        (
            "zone --dbh-in 18 --taps 2 --stain-factor 0",
            "--stain-factor '0' will not do.\n"
            "  Write a number from 1 to 200. Stained wood for the volume of the hole that made "
            "it.\n",
        ),
        (
            "ties --length-ft 780 --colour red",
            "fieldbook reckon ties: unrecognized arguments: --colour red.\n"
            "  fieldbook reckon ties --help shows its options, with units and ranges.\n",
        ),
        (
            "taps --dbh-in 12 --season 2027",
            "--season is the year of a book.\n  Name the book with --book.\n",
        ),
    ],
)
def test_wrong_use_is_told_by_option_and_range(shell: Shell, line: str, said: str) -> None:
    assert shell.asks(f"reckon {line}") == (2, "", said)


def test_a_form_that_no_sum_has_is_refused(shell: Shell) -> None:
    answer = shell.asks("reckon bits --holes 9 --format csv")
    assert (answer.code, answer.out) == (2, "")
    assert answer.err.startswith("fieldbook reckon bits: argument --format: invalid choice: 'csv'")


def test_an_unknown_sum_is_told_the_known_ones(shell: Shell) -> None:
    answer = shell.asks("reckon tapz --dbh-in 12")
    assert (answer.code, answer.out) == (2, "")
    assert answer.err.startswith("No sum is called 'tapz'.\n  Did you mean: taps, sap?")


def test_a_sum_is_known_by_its_beginning(shell: Shell) -> None:
    assert shell.does("reckon tap --dbh-in 12") == shell.does("reckon taps --dbh-in 12")
    answer = shell.asks("reckon s")
    assert (answer.code, answer.out) == (2, "")
    assert answer.err.startswith("'s' could be more than one sum.\n  Did you mean: share, sag,")


def test_no_book_is_opened_that_was_not_named(book: Shell) -> None:
    book.does("setting tap_rule traditional --book quillby")
    assert "by the rule conservative" in book.does(TAPS)


# --- with a book ---------------------------------------------------------------------------------


def test_a_book_gives_its_settings(book: Shell) -> None:
    book.does("setting roll_ft 400 --book quillby")
    book.does("setting drop_length_in 32 --book quillby")
    told = data(book, "reckon rolls --drops 1000 --book quillby")
    assert told["inputs"] == {"drops": 1000, "length_in": 32, "roll_ft": 400}
    assert told["result"]["rolls"] == 7  # 150 whole drops a roll
    assert told["rule"].endswith("; settings of the book Quillby Hollow, 2027")
    said = book.does("--book quillby reckon rolls --drops 1000 --explain")
    assert "roll_ft = 400 (of the book)" in said
    assert said == book.does("reckon --book quillby --season 2027 rolls --drops 1000 --explain")


def test_the_book_at_hand_is_named_by_the_environment_or_stood_in(
    book: Shell, monkeypatch: pytest.MonkeyPatch
) -> None:
    book.does("setting roll_ft 400 --book quillby")
    book.does("new other --season 2027")
    line = "reckon rolls --drops 1000"
    assert data(book, line)["inputs"]["roll_ft"] == 500  # the book opened last is not at hand
    monkeypatch.chdir(book.folder / "quillby")
    assert data(book, line)["inputs"]["roll_ft"] == 400
    assert data(book, f"{line} --season 2027")["inputs"]["roll_ft"] == 400
    monkeypatch.setenv("FIELDBOOK_BOOK", "../other")
    assert data(book, line)["inputs"]["roll_ft"] == 500
    assert data(book, f"{line} --book ../quillby")["inputs"]["roll_ft"] == 400


def test_what_is_typed_goes_before_what_the_book_says(book: Shell) -> None:
    book.does("setting roll_ft 400 --book quillby")
    line = "reckon rolls --drops 1000 --length-in 36 --roll-ft 500 --book quillby"
    assert data(book, line)["result"]["rolls"] == 7
    assert "settings of the book" not in book.does(line)  # none was left to it


def test_a_book_gives_its_own_tables_of_taps(book: Shell) -> None:
    # The crew's own table: 13 in and over 2
    told = data(book, "reckon taps --dbh-in 13 --rule ours --book quillby")
    assert told["result"]["taps"] == 2
    assert told["result"]["by_rule"]["conservative"] == 1
    assert told["rule"].startswith("ours: 11 in and over 1, 13 in and over 2; settings of the book")
    book.does("setting tap_rule ours --book quillby")
    assert data(book, "reckon allowance --trees 13:10 --book quillby")["result"]["taps"] == 20
    assert (
        "--rule ours: rule ours: out of range"
        in book.asks("reckon taps --dbh-in 13 --rule ours").err
    )


def test_a_book_that_is_not_there_is_named(shell: Shell) -> None:
    answer = shell.asks(f"{TAPS} --book nowhere")
    assert answer.code != 0
    assert "nowhere" in answer.err
