"""`fieldbook rollover`: shown first, written when it is confirmed, and told apart on every way."""

import errno
import json
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from fieldbook.book.book import Book
from fieldbook.book.entry import Setting
from fieldbook.commands import common
from fieldbook.season.season import Season
from fieldbook.season.settings import RULES
from tests.conftest import NOW
from tests.faults.disk import Disk
from tests.scenarios import Shell, quillby

if TYPE_CHECKING:
    from collections.abc import Iterator


@pytest.fixture
def shell(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Shell:
    """Quillby Hollow with Cliff's drops new, Cedar three taps short, and a hazard over it.

    Changes 1 and 2 are the window, 3 is Cliff's drops, 4 Cedar's taps, 5 the ash.
    """
    shell = quillby(Shell(tmp_path, monkeypatch, capsys))
    ledge = "record --block Ledge"
    shell.does(f"{ledge} --line Cliff --task drops --count 42 --who Wim")
    shell.does(f"{ledge} --line Cedar --task tapping --count 57 --finish 'three too small'")
    shell.does(f"{ledge} --line Cedar --hazard 'hung-up ash' --who Perrin --date '1 Feb'")
    return shell


def there(shell: Shell, year: int = 2028) -> Season:
    return Season(Book.open(shell.folder / "quillby", year=year))


def years(shell: Shell) -> list[int]:
    return Book.open(shell.folder / "quillby", year=2027).seasons


def taps(shell: Shell) -> dict[str, int | None]:
    return {line.line: line.taps_planned for line in there(shell).plan.lines}


def hung(shell: Shell) -> dict[str, int | None]:
    return {line.line: line.drops_hung for line in there(shell).plan.lines}


def everything(shell: Shell) -> dict[str, bytes]:
    """Every file of the book, but for the locks and the room put by."""
    folder = shell.folder / "quillby"
    paths = (path for path in folder.rglob("*") if path.is_file() and path.name[0] != ".")
    return {str(path.relative_to(folder)): path.read_bytes() for path in paths}


# --- shown, and written --------------------------------------------------------------------------


def test_without_yes_it_is_only_shown(shell: Shell) -> None:
    before = everything(shell)
    answer = shell.asks("rollover")
    assert answer.code == 0
    assert answer.err == "Nothing is written. To write it: fieldbook rollover --yes\n"
    out = answer.out
    assert out.startswith("Quillby Hollow, season 2027, as of Tue 9 Feb 2027\n\n")
    # 42 + 57 + 120 + 35 + 20 = 274; due are Ford's 120, and Spring's 35 and the Lot's 20 of 2025.
    assert "Season 2028: 5 lines, 274 taps planned, 175 drops due\n" in out
    assert "\n  3  line Ledge / Cliff: drops 2024 -> drops 2027 (replaced)\n" in out
    assert "\n  4  line Ledge / Cedar: 60 taps -> 57 taps (three too small)\n" in out
    assert "\n  5  hazard Ledge / Cedar: hung-up ash (it still stands in the woods)\n" in out
    assert everything(shell) == before
    assert years(shell) == [2027]


def test_with_yes_it_is_written(shell: Shell) -> None:
    answer = shell.asks("rollover --yes --by Perrin")
    entries = len(there(shell).book.entries)
    assert answer.code == 0
    assert answer.out == f"Quillby Hollow, season 2028: {entries} entries\n"
    assert answer.err == (
        "Open it: fieldbook open --season 2028\n"
        "It is the newest now; season 2027 is still there: --season 2027\n"
    )
    assert {entry.by for entry in there(shell).book.entries} == {"Perrin"}
    assert taps(shell) == {"Cliff": 42, "Cedar": 57, "Ford": 120, "Spring": 35, "Sugar Lot": 20}
    assert hung(shell) == {
        "Cliff": 2027,
        "Cedar": 2026,
        "Ford": None,
        "Spring": 2025,
        "Sugar Lot": 2025,
    }
    assert shell.asks("check").code == 0


def test_the_old_season_has_the_same_bytes_after_it(shell: Shell) -> None:
    before = shell.journal()
    shell.does("rollover --yes")
    assert shell.journal() == before


def test_a_second_run_offers_only_what_is_lacking(shell: Shell) -> None:
    shell.does("rollover --yes")
    before = everything(shell)
    answer = shell.asks("rollover --yes")
    assert (answer.code, answer.out) == (0, "")
    assert answer.err == "Season 2028 has all of it already.\n"
    assert "There is nothing to take over: season 2028 has all of it." in shell.does("rollover")
    assert everything(shell) == before
    # A hazard of March, written down in the old season, is lacking in the new one.
    shell.does("record --season 2027 --block Creek --hazard 'ice dam' --date 2027-03-02")
    out = shell.does("rollover")
    assert "  1  hazard Creek: ice dam (it still stands in the woods)" in out
    assert "\n  2  " not in out
    assert shell.does("rollover --yes") == "Quillby Hollow, season 2028: 1 entry\n"
    assert [n.text for n in there(shell).ledger.notes] == ["hung-up ash", "ice dam"]


def test_the_carried_hazard_keeps_its_age_and_is_settled_there(shell: Shell) -> None:
    shell.does("rollover --yes")
    (ash,) = json.loads(shell.does("open-items --format json"))[:1]
    assert (ash["what"], ash["says"], ash["age_days"], ash["owner"]) == (
        *("hazard", "hung-up ash"),
        *(8, "Perrin"),
    )
    shell.does(f"settle {ash['entry']} felled --date 2027-09-03 --really")
    items = json.loads(shell.does("open-items --format json"))
    assert "hazard" not in [item["what"] for item in items]
    assert "hung-up ash" in shell.does("open-items --season 2027")  # there nobody said so


# --- left ----------------------------------------------------------------------------------------


def test_what_is_left_stays_as_it_was(shell: Shell) -> None:
    answer = shell.asks("rollover --yes --leave 3 5")
    assert answer.out.endswith(" entries, 2 left as they were\n")
    assert hung(shell)["Cliff"] == 2024
    assert taps(shell)["Cedar"] == 57
    assert there(shell).ledger.notes == []


def test_what_is_left_is_counted_before_it_is_written(shell: Shell) -> None:
    """With Cliff's drops of 2024 its 42 are due too: 175 + 42; with Cedar's 60 taps 277."""
    assert "274 taps planned, 217 drops due" in shell.does("rollover --leave 3")
    assert "277 taps planned, 217 drops due" in shell.does("rollover --leave 3 --leave 4 4")


@pytest.mark.parametrize(
    ("leave", "said"),
    [
        ("1", "A season cannot be without season_begins."),
        ("3 2", "A season cannot be without season_ends."),
        ("6", "There is no change 6."),
        ("0", "There is no change 0."),
        ("99999999999999999999", "There is no change 99999999999999999999."),
    ],
)
def test_what_cannot_be_left(shell: Shell, leave: str, said: str) -> None:
    answer = shell.asks(f"rollover --yes --leave {leave}")
    assert answer.code == 2
    assert answer.err.startswith(said)
    assert years(shell) == [2027]


@pytest.mark.parametrize("leave", ["-1", "x", "3.5", ""])
def test_a_change_is_left_by_its_number(shell: Shell, leave: str) -> None:
    assert shell.asks("rollover --yes --leave", leave).code == 2
    assert years(shell) == [2027]


# --- asked ---------------------------------------------------------------------------------------


class Terminal:
    """Somebody at the terminal, who gives these answers; then the terminal is gone.

    Attributes:
        asked: What they were asked.
    """

    def __init__(self, patch: pytest.MonkeyPatch) -> None:
        self.asked: list[str] = []
        self._answers: Iterator[str] = iter(())
        patch.setattr(common, "at_terminal", lambda: True)
        patch.setattr(common, "ask_for", self._ask)

    def answers(self, *answers: str) -> None:
        self.asked, self._answers = [], iter(answers)

    def _ask(self, question: str) -> str:
        self.asked.append(question)
        return next(self._answers, "")


@pytest.fixture
def terminal(monkeypatch: pytest.MonkeyPatch) -> Terminal:
    return Terminal(monkeypatch)


@pytest.mark.parametrize("answer", ["n", "", "no", "what?", "yess"])
def test_declined_nothing_is_written(shell: Shell, terminal: Terminal, answer: str) -> None:
    before = everything(shell)
    terminal.answers(answer)
    said = shell.asks("rollover")
    assert said.code == 0
    assert said.err == "Nothing is written. To write it: fieldbook rollover --yes\n"
    assert terminal.asked == ["Write season 2028 with all of it? y: yes, l: line by line, n: no"]
    assert everything(shell) == before


@pytest.mark.parametrize("answer", ["y", "Y", "yes"])
def test_confirmed_all_of_it_is_written(shell: Shell, terminal: Terminal, answer: str) -> None:
    terminal.answers(answer)
    shell.does("rollover")
    assert (taps(shell)["Cedar"], hung(shell)["Cliff"]) == (57, 2027)


def test_line_by_line_each_is_taken_or_left(shell: Shell, terminal: Terminal) -> None:
    """The window is not asked about: 3 is left, 4 taken, 5 left."""
    terminal.answers("l", "n", "y", "N")
    out = shell.does("rollover")
    assert out.endswith(" entries, 2 left as they were\n")
    assert [question.splitlines()[0].strip() for question in terminal.asked[1:]] == [
        "3  line Ledge / Cliff: drops 2024 -> drops 2027 (replaced)",
        "4  line Ledge / Cedar: 60 taps -> 57 taps (three too small)",
        "5  hazard Ledge / Cedar: hung-up ash (it still stands in the woods)",
    ]
    assert (taps(shell)["Cedar"], hung(shell)["Cliff"]) == (57, 2024)
    assert there(shell).ledger.notes == []


def test_all_the_rest_is_not_asked_about(shell: Shell, terminal: Terminal) -> None:
    terminal.answers("l", "n", "a")
    shell.does("rollover")
    assert len(terminal.asked) == 3
    assert (taps(shell)["Cedar"], hung(shell)["Cliff"]) == (57, 2024)
    assert [n.text for n in there(shell).ledger.notes] == ["hung-up ash"]


def test_what_was_left_on_the_command_line_is_not_asked_about(
    shell: Shell, terminal: Terminal
) -> None:
    terminal.answers("line", "y", "y")
    shell.does("rollover --leave 4")
    assert len(terminal.asked) == 3
    assert (taps(shell)["Cedar"], hung(shell)["Cliff"]) == (60, 2027)


@pytest.mark.parametrize("answers", [("l", "q"), ("l", "y", "q"), ("l",), ("l", "y", "?", "", "x")])
def test_given_up_in_the_middle_nothing_is_written(
    shell: Shell, terminal: Terminal, answers: tuple[str, ...]
) -> None:
    """By q, or because the terminal is gone: no answer is not a yes."""
    before = everything(shell)
    terminal.answers(*answers)
    assert shell.asks("rollover").code == 0
    assert everything(shell) == before


def test_a_slip_is_asked_again(shell: Shell, terminal: Terminal) -> None:
    terminal.answers("l", "", "m", "n", "y", "y")
    shell.does("rollover")
    assert (taps(shell)["Cedar"], hung(shell)["Cliff"]) == (57, 2024)


def test_with_nothing_to_write_nobody_is_asked(shell: Shell, terminal: Terminal) -> None:
    shell.does("rollover --yes")
    shell.does("rollover")
    assert terminal.asked == []


# --- as tables and files -------------------------------------------------------------------------


def test_as_json_it_is_data_and_nothing_else(shell: Shell) -> None:
    told = json.loads(shell.does("rollover --format json"))
    assert [told[key] for key in ("season", "next", "begun", "lines", "taps_planned")] == [
        *(2027, 2028, False, 5, 274)
    ]
    assert [row["number"] for row in told["rows"]] == [1, 2, 3, 4, 5]
    written = shell.asks("rollover --format json --yes")
    assert json.loads(written.out) == told
    assert written.err.startswith("Quillby Hollow, season 2028: ")
    again = json.loads(shell.does("rollover --format json"))
    assert (again["begun"], again["rows"], again["as_they_are"]) == (True, [], {})
    assert (again["lines"], again["taps_planned"]) == (5, 274)


def test_as_csv_it_is_one_table(shell: Shell) -> None:
    out = shell.does("rollover --format csv").splitlines()
    assert out == [
        "number,what,where,was,then,why,needed",
        "1,rule,season_begins,2026-09-01,2027-09-01,a year on,True",
        "2,rule,season_ends,2027-08-31,2028-08-31,a year on,True",
        "3,line,Ledge / Cliff,drops 2024,drops 2027,replaced,False",
        "4,line,Ledge / Cedar,60 taps,57 taps,three too small,False",
        "5,hazard,Ledge / Cedar,,hung-up ash,it still stands in the woods,False",
    ]
    answer = shell.asks("rollover --format csv --table measure")
    assert (answer.code, answer.out) == (2, "")
    assert "It has: changes." in answer.err
    shell.does("record --block Creek --line Ford --trees 11.7:9 --date 2027-02-01")
    measured = shell.does("rollover --format csv --table measure")
    assert measured == "block,line,trees,taken\nCreek,Ford,9,2027\n"


def test_hostile_words_are_no_formula_and_no_colour(shell: Shell) -> None:
    shell.does("record --block Creek --hazard", "=1+1\x1b[31m\n[red]ice[/]")
    rows = shell.does("rollover --format csv").splitlines()
    assert rows[-1].startswith("6,hazard,Creek,,'=1+1[31m [red]ice[/],")
    for form in ("text", "terminal", "json"):
        out = shell.does(f"rollover --format {form}")
        assert "=1+1[31m [red]ice[/]" in out, form
        assert "\x1b" not in out, form
    shell.does("rollover --yes")
    assert there(shell).ledger.notes[-1].text == "=1+1[31m\n[red]ice[/]"


@pytest.mark.parametrize("form", ["text", "terminal", "json", "csv"])
def test_twice_it_is_the_same_bytes(shell: Shell, form: str) -> None:
    first = shell.does(f"rollover --format {form}")
    assert shell.does(f"rollover --format {form}") == first


def test_it_goes_into_a_file(shell: Shell) -> None:
    said = shell.does("rollover --format text")
    answer = shell.asks("rollover --out next.txt --yes")
    assert answer.out.startswith("Quillby Hollow, season 2028: ")
    assert answer.err.startswith("Written to next.txt.\n")
    assert (shell.folder / "next.txt").read_text(encoding="utf-8") == said


# --- which season --------------------------------------------------------------------------------


def test_the_season_that_is_given_is_gone_on_from(shell: Shell) -> None:
    shell.does("rollover --yes")
    shell.does("record --block Ledge --line Cliff --task drops --count 1 --date 2027-09-20")
    assert "Season 2029: " in shell.does("rollover")
    assert "Season 2028 is begun" in shell.does("rollover --season 2027")
    assert "Season 2029: " in shell.does("rollover --season 2028")
    missing = shell.asks("rollover --season 2031")
    assert missing.code == 2
    assert "has no season 2031" in missing.err


def test_an_older_season_fills_the_next_one_that_is_there(shell: Shell) -> None:
    """2028 was a year off: 2029 was begun by hand, and is neither the year after nor the newest."""
    shell.does("new quillby --season 2029")
    shell.does("new quillby --season 2031")
    answer = shell.asks("rollover --season 2027 --yes")
    assert answer.out.startswith("Quillby Hollow, season 2029: ")
    assert "newest" not in answer.err
    assert len(list(there(shell, 2029).plan.lines)) == 5
    assert list(there(shell, 2031).plan.lines) == []


def test_a_closed_season_is_not_filled(shell: Shell, monkeypatch: pytest.MonkeyPatch) -> None:
    shell.does("new quillby --season 2028")
    fall = NOW.replace(month=9)
    monkeypatch.setattr(common, "now", lambda _book: fall)
    shell.does("close --season 2028 --add")
    before = shell.journal(year=2028)
    answer = shell.asks("rollover --season 2027 --yes")
    assert answer.code == 2
    assert answer.err.startswith("The season was closed by Oda on 2027-09-09")
    assert shell.journal(year=2028) == before


def test_as_of_belongs_to_reports(shell: Shell) -> None:
    answer = shell.asks("rollover --as-of 2027-02-01")
    assert answer.code == 2
    assert answer.err.startswith("--as-of belongs to reports.\n")


def test_without_a_name_nobody_signs(shell: Shell) -> None:
    assert shell.asks("rollover --yes --by", " ").code == 2
    assert years(shell) == [2027]


# --- a disk that refuses -------------------------------------------------------------------------


@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EROFS, errno.EIO], ids=errno.errorcode.get)
def test_on_a_disk_that_refuses_nothing_is_written_and_a_second_run_heals(
    shell: Shell, code: int
) -> None:
    """The old season stays the newest one that is opened."""
    with Disk(shell.folder / "quillby") as disk:
        disk.refuse_each("create", "write", "fsync", code=code)
        answer = shell.asks("rollover --yes")
        assert answer.code == 3
        assert answer.out == ""
        assert "Not saved: " in answer.err
        disk.mend()
    assert years(shell) == [2027]
    assert "season 2027" in shell.does("summary")
    shell.does("rollover --yes")
    assert taps(shell)["Cedar"] == 57
    assert [n.text for n in there(shell).ledger.notes] == ["hung-up ash"]
    assert shell.asks("check").code == 0


@pytest.mark.parametrize("names", [("write",), ("fsync",)], ids=" ".join)
def test_refused_at_the_last_moment_no_empty_season_is_left(
    shell: Shell, names: tuple[str, ...]
) -> None:
    with Disk(shell.folder / "quillby") as disk:
        disk.refuse_each(*names, code=errno.EIO)
        assert shell.asks("rollover --yes").code == 3
        disk.mend()
    assert years(shell) == [2027]
    assert "season 2027" in shell.does("summary")
    shell.does("rollover --yes")
    assert taps(shell) == {"Cliff": 42, "Cedar": 57, "Ford": 120, "Spring": 35, "Sugar Lot": 20}
    assert [n.text for n in there(shell).ledger.notes] == ["hung-up ash"]
    settings = [e.setting for e in there(shell).book.entries if isinstance(e, Setting)]
    assert len(settings) == len(set(settings)) == len(RULES)
    assert shell.asks("check").code == 0


def test_a_folder_that_takes_no_season_says_so(shell: Shell) -> None:
    (shell.folder / "quillby" / "2028").write_text("in the way", encoding="utf-8")
    answer = shell.asks("rollover --yes")
    assert (answer.code, answer.out) == (2, "")
    assert "quillby has a season 2028 already.\n" in answer.err
