"""Sheets at the command line: printed with a number, printed again, keyed in."""

import io
import shutil
from pathlib import Path

import pytest
from pypdf import PdfReader

from fieldbook.resources import resource
from tests.scenarios import Shell, quillby

LEDGE = "sheet --block ledge --task tapping"


@pytest.fixture
def shell(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Shell:
    """Quillby Hollow: Cliff 42 taps and Cedar 60 in Ledge, Ford 120 and Spring 35 in Creek."""
    return quillby(Shell(tmp_path, monkeypatch, capsys))


def files(shell: Shell) -> set[str]:
    return {path.name for path in shell.folder.iterdir() if path.suffix == ".pdf"}


def newest(shell: Shell) -> str:
    """The id of the newest entry."""
    return shell.does("log --last 1 --format csv").splitlines()[1].partition(",")[0]


def text_of(shell: Shell, name: str) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(shell.folder / name).pages)


# --- printing ----------------------------------------------------------------------------------


def test_a_sheet_is_printed_and_on_record(shell: Shell) -> None:
    answer = shell.asks(f"{LEDGE} --who perrin")
    sheet = newest(shell)
    assert answer.code == 0
    assert answer.out.splitlines()[0].endswith("SHEET 1")
    assert "Ledge / Tapping, for Perrin" in answer.out
    assert answer.out.index("Cliff") < answer.out.index("Cedar")
    assert answer.err == f"{sheet} saved: Perrin, sheet 1 printed, tapping, Ledge\n"
    assert shell.asks(LEDGE).out.splitlines()[0].endswith("SHEET 2")
    assert "\x1b" not in answer.out


def test_only_these_lines_or_those_that_are_open(shell: Shell) -> None:
    assert "Cedar" not in shell.does(f"{LEDGE} --line 1")
    assert "Cliff" not in shell.does(f"{LEDGE} --line ced")
    both = "sheet --block creek --task tapping"
    assert shell.does(f"{both} --line 2 1").count("note [") == 2
    assert shell.does(f"{both} --line 2 --line ford").count("note [") == 2
    shell.does("record --block Ledge --line Cliff --task tapping --count 42")
    out = shell.does(f"{LEDGE} --open")
    assert "Cedar" in out
    assert "Cliff" not in out
    shell.does("record --block Ledge --line Cedar --task tapping --count 60")
    before = shell.journal()
    answer = shell.asks(f"{LEDGE} --open")
    assert answer.code == 2
    assert "None of these lines of Ledge is open in tapping." in answer.err
    assert shell.journal() == before


def test_a_pdf_gets_a_file_of_its_own(shell: Shell) -> None:
    answer = shell.asks(f"{LEDGE} --format pdf")
    assert (answer.code, answer.out) == (0, "")
    assert "Written to sheet-1-ledge-tapping.pdf." in answer.err
    assert f"{newest(shell)} saved: sheet 1 printed, tapping, Ledge" in answer.err
    first = (shell.folder / "sheet-1-ledge-tapping.pdf").read_bytes()
    assert first.startswith(b"%PDF-")
    assert "page 1 of 1" in text_of(shell, "sheet-1-ledge-tapping.pdf")
    shell.does("sheet --again 1 --format pdf")
    assert files(shell) == {"sheet-1-ledge-tapping.pdf", "sheet-1-ledge-tapping-2.pdf"}
    assert (shell.folder / "sheet-1-ledge-tapping.pdf").read_bytes() == first
    assert (shell.folder / "sheet-1-ledge-tapping-2.pdf").read_bytes() == first


def test_a_file_that_is_named_is_written_and_its_name_tells_the_form(shell: Shell) -> None:
    shell.write("mine.pdf", "something else")
    shell.does(f"{LEDGE} --out mine.pdf --paper a4")
    width = PdfReader(shell.folder / "mine.pdf").pages[0].mediabox.width
    assert round(float(width)) == 595  # 210 mm
    shell.does("sheet --again 1 --out letter.PDF")
    width = PdfReader(shell.folder / "letter.PDF").pages[0].mediabox.width
    assert round(float(width)) == 612  # 8.5 in: with US units letter paper is in the printer
    shell.does("sheet --again 1 --out sheet.txt")
    assert (shell.folder / "sheet.txt").read_text().startswith("Quillby Hollow, season 2027")
    assert files(shell) == {"mine.pdf"}  # and no other beside it


def test_a_pdf_goes_down_a_pipe_and_not_on_a_terminal(
    shell: Shell, monkeypatch: pytest.MonkeyPatch
) -> None:
    pipe = io.TextIOWrapper(io.BytesIO())
    monkeypatch.setattr("sys.stdout", pipe)
    shell.asks(f"{LEDGE} --format pdf --out -")
    data = pipe.buffer
    assert isinstance(data, io.BytesIO)
    assert data.getvalue().startswith(b"%PDF-")
    monkeypatch.setattr(pipe, "isatty", lambda: True)
    answer = shell.asks("sheet --again 1 --format pdf --out -")
    assert answer.code == 2
    assert "A PDF is not for a terminal to show." in answer.err
    monkeypatch.undo()


def test_a_sheet_that_could_not_be_written_is_in_the_book_all_the_same(shell: Shell) -> None:
    answer = shell.asks(f"{LEDGE} --out nowhere/sheet.pdf")
    sheet = newest(shell)
    assert answer.code == 2
    assert f"{sheet} saved: sheet 1 printed" in answer.err
    assert "Cannot write nowhere/sheet.pdf" in answer.err
    assert f"The book has the sheet: fieldbook sheet --again {sheet} prints it." in answer.err
    before = shell.journal()
    assert "SHEET 1" in shell.does(f"sheet --again {sheet}")
    assert shell.journal() == before


def test_a_new_hand_is_added_when_asked_for(shell: Shell) -> None:
    answer = shell.asks(f"{LEDGE} --who Zelda")
    assert answer.code == 2
    assert "Zelda is not on the crew." in answer.err
    assert "--add" in answer.err
    assert "for Zelda" in shell.does(f"{LEDGE} --who Zelda --add")


def test_again_tells_how_things_stand_now_or_stood_then(shell: Shell) -> None:
    shell.does(LEDGE)
    before = shell.does("sheet --again 1")
    shell.does("record --block Ledge --line Cliff --task tapping --count 42")
    now = shell.does("sheet --again '#1'")
    assert "0 of 42 taps" in before
    assert "42 of 42 taps" in now
    assert shell.does("sheet --again 1") == now
    answer = shell.asks("sheet --again 1 --as-of '8 Feb'")
    assert "There is no sheet '1' in season 2027." in answer.err


@pytest.mark.parametrize(
    ("options", "what"),
    [
        ("", "A sheet belongs to a block and a task."),
        ("--block Ledge", "A sheet belongs to a block and a task."),
        ("--again 1 --block Ledge", "--again and --block do not go together."),
        ("--again 1 --open", "--again and --open do not go together."),
        ("--again 1 --who Wim", "--again and --who do not go together."),
        ("--again 1 --keyed 1", "--again and --keyed do not go together."),
        ("--keyed 1 --line Cliff", "--keyed and --line do not go together."),
        ("--block Ledge --task tapping --as-of '8 Feb'", "--as-of belongs to reports."),
        ("--again 9", "There is no sheet '9' in season 2027."),
    ],
)
def test_what_does_not_go_together_is_refused(shell: Shell, options: str, what: str) -> None:
    before = shell.journal()
    answer = shell.asks(f"sheet {options}")
    assert (answer.code, answer.out) == (2, "")
    assert answer.err.startswith(what)
    assert shell.journal() == before


# --- keyed in ----------------------------------------------------------------------------------


def test_a_sheet_is_open_until_all_of_it_is_keyed(shell: Shell) -> None:
    shell.does(LEDGE)
    shell.does("record --block Ledge --line Cliff --task tapping --count 42")
    assert "sheet 1 not keyed in" in shell.does("open-items")
    answer = shell.asks("sheet --keyed 1 --who wim")
    assert answer.code == 2
    assert "Nothing is keyed on Cedar since sheet 1 was printed." in answer.err
    assert "--really" in answer.err
    shell.does("record --block Ledge --line Cedar --task tapping --count 7")
    out = shell.does("sheet --keyed 1 --who wim")
    assert out.startswith(f"{newest(shell)} saved: Wim, ")
    assert "sheet 1 not keyed in" not in shell.does("open-items")
    answer = shell.asks("sheet --keyed 1")
    assert answer.code == 2
    assert answer.err.startswith("Sheet 1 was keyed in already: Wim, Tue 9 Feb (")


def test_a_sheet_on_which_nothing_was_done_is_closed_when_asked_for(
    shell: Shell, monkeypatch: pytest.MonkeyPatch
) -> None:
    shell.does(LEDGE)
    shell.does(LEDGE)
    shell.does("sheet --keyed 1 --really")
    asked: list[str] = []

    def yes(question: str) -> bool:
        asked.append(question)
        return True

    monkeypatch.setattr("fieldbook.commands.common.ask", yes)
    shell.does("sheet --keyed 2")
    (question,) = asked
    assert question.startswith("Nothing is keyed on Cliff, Cedar since sheet 2 was printed.")


def test_two_laptops_that_gave_one_number(shell: Shell) -> None:
    shell.does("export --archive --out away.zip")
    shell.does("restore away.zip away")
    shell.does(LEDGE)
    shell.does("--book away sheet --block Creek --task tapping --who Wim")
    shell.does("--book quillby merge away")
    answer = shell.asks("--book quillby sheet --again 1")
    assert answer.code == 2
    assert answer.err.startswith("More than one sheet has the number 1: ")
    ids = [word.strip(",:;") for word in answer.err.split() if word.count("-") == 1]
    found = {shell.does(f"--book quillby sheet --again {i}").splitlines()[1] for i in ids[:2]}
    assert found == {"Ledge / Tapping", "Creek / Tapping, for Wim"}
    assert (
        shell.does("--book quillby sheet --block Ledge --task drops")
        .split("\n")[0]
        .endswith("SHEET 2")
    )


def test_the_demos_sheet_has_its_accents_and_says_it_is_invented(shell: Shell) -> None:
    shutil.copytree(resource("demo_season"), shell.folder / "demo")
    shell.does("--book demo sheet --block 'Sugar Hollow' --task tapping --out sheet.pdf")
    said = text_of(shell, "sheet.pdf")
    assert "Érablière pair" in said
    assert "Harrow Hill, season 2027  (invented)" in said
