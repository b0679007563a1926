"""A sheet: printed from the board, keyed in again in the order of the paper, and closed.

Sheet 3 of the demo is Brook Bend, tapping, for Rae: lines 5 to 12 but one, not keyed in yet.
"""

from pathlib import Path

import pytest

from fieldbook.book.entry import Settle, Sheet
from fieldbook.laptop import Laptop
from fieldbook.screens.board import Board
from fieldbook.screens.round import Round
from fieldbook.season.season import Season
from fieldbook.season.sheets import find_sheet
from tests.conftest import stamp
from tests.screens.conftest import Seat, sit_down
from tests.screens.test_round import here

BACKWARDS = ("Lower loop", "Cedar main", "Brook pair")


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder in which fieldbook was started."""
    here = tmp_path / "papers"
    here.mkdir()
    monkeypatch.chdir(here)
    return here


def sheets(seat: Seat) -> list[Sheet]:
    return [entry for entry in seat.written() if isinstance(entry, Sheet)]


def record_sheet(season: Season, lines: tuple[str, ...] = BACKWARDS, number: int = 31) -> Sheet:
    """A sheet whose lines stand in an order of its own."""
    draft = Sheet(sheet=number, block="Brook Bend", task="tapping", lines=lines, **stamp(by="Ina"))
    (sheet,) = season.record(draft)
    assert isinstance(sheet, Sheet)
    return sheet


async def open_sheet(seat: Seat, number: int = 31) -> None:
    await seat.press("slash")
    await seat.keys(f"sheet {number}", "enter")


# --- keying in ---------------------------------------------------------------------------------


async def test_a_sheet_is_found_by_its_number_and_has_its_own_lines_in_its_own_order(
    demo: Season, laptop: Laptop
) -> None:
    record_sheet(demo)
    async with sit_down(demo, laptop) as seat:
        await seat.press("slash")
        await seat.keys("sheet 31")
        assert "> sheet 31: Brook Bend, tapping" in seat.box
        await seat.press("enter")
        seat.screen(Round)
        assert seat.rows[2].startswith(" Brook Bend / Tapping   sheet 31   line 1 of 3")
        assert here(seat) == "9  Lower loop"
        for key, line in (("down", "8  Cedar main"), ("down", "7  Brook pair")):
            await seat.press(key)
            assert here(seat) == line
        await seat.press("down")
        assert here(seat) == "7  Brook pair"


async def test_its_lines_are_keyed_in_one_after_the_other_and_z_closes_it(
    demo: Season, laptop: Laptop
) -> None:
    sheet = record_sheet(demo)
    async with sit_down(demo, laptop) as seat:
        await open_sheet(seat)
        for count in ("121", "88", "80"):
            await seat.keys(count, "enter")
        await seat.press("z")
        settle = seat.written()[-1]
        assert isinstance(settle, Settle)
        assert (settle.entry, settle.who) == (sheet.id, "Ina")
        assert f"{settle.id} saved: Ina, sheet 31 is keyed in, Brook Bend" in seat.text
        assert "sheet 31, keyed in" in seat.rows[2]
        await seat.press("z")
        assert "! Sheet 31 was keyed in already: Ina, Tue 9 Feb" in seat.text
        await seat.press("escape", "slash")
        await seat.keys("sheet 31")
        assert "Brook Bend" not in seat.box


@pytest.mark.parametrize("again", ["z", "enter"])
async def test_lines_of_which_nothing_is_keyed_are_said_and_taken_the_second_time(
    demo: Season, laptop: Laptop, again: str
) -> None:
    record_sheet(demo)
    async with sit_down(demo, laptop) as seat:
        await open_sheet(seat)
        await seat.keys("121", "enter", "z")
        assert (
            "! Nothing is keyed on Cedar main, Brook pair since sheet 31 was printed" in seat.text
        )
        assert "If nothing was done there: z or Enter again." in seat.text
        assert len(seat.written()) == 2  # the sheet and the count
        await seat.press(again)
        assert isinstance(seat.written()[-1], Settle)


async def test_a_doubt_is_forgotten_once_somebody_goes_on(demo: Season, laptop: Laptop) -> None:
    record_sheet(demo)
    async with sit_down(demo, laptop) as seat:
        await open_sheet(seat)
        await seat.press("z", "down", "enter", "z")
        assert not any(isinstance(entry, Settle) for entry in seat.written())
        await seat.keys("80", "enter", "enter")
        assert not any(isinstance(entry, Settle) for entry in seat.written())


async def test_a_sheet_stays_in_its_block(demo: Season, laptop: Laptop) -> None:
    record_sheet(demo)
    async with sit_down(demo, laptop) as seat:
        await open_sheet(seat)
        await seat.press("right")
        assert "Sheet 31 is of Brook Bend alone; Esc leaves it." in seat.text
        assert "sheet 31" in seat.rows[2]


async def test_a_line_that_the_plan_has_no_more_is_not_in_the_way(
    demo: Season, laptop: Laptop
) -> None:
    record_sheet(demo, ("Lower loop", "Gone main"))
    async with sit_down(demo, laptop) as seat:
        await open_sheet(seat)
        assert "line 1 of 1" in seat.rows[2]


async def test_z_on_a_round_by_no_sheet_says_so(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.press("z")
        assert "This round is by no sheet" in seat.text
        assert seat.written() == []


# --- printing ----------------------------------------------------------------------------------


async def test_p_prints_the_cell_under_the_cursor_for_somebody_and_says_number_and_file(
    demo: Season, laptop: Laptop, folder: Path
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("p")
        assert "A sheet of Brook Bend, tapping, for whom? > nobody named Ina" in seat.box
        await seat.keys("tor", "enter")
        assert "Sheet 4: into which file?" in seat.box
        assert "sheet-4-brook-bend-tapping.pdf A PDF on Letter paper" in seat.box
        assert sheets(seat) == []
        await seat.press("enter")
        (sheet,) = sheets(seat)
        assert (sheet.sheet, sheet.block, sheet.task, sheet.who) == (
            4,
            "Brook Bend",
            "tapping",
            "Tor",
        )
        path = folder / "sheet-4-brook-bend-tapping.pdf"
        assert path.read_bytes().startswith(b"%PDF-")
        assert "saved: Tor, sheet 4 printed, tapping, Brook Bend" in seat.text
        assert f"written to {path.name}" in seat.text
        assert find_sheet(seat.on_disk().ledger, "4").id == sheet.id
        seat.screen(Board)


@pytest.mark.parametrize(("units", "paper"), [("us", "612.00 792.00"), ("metric", "595.28 841.89")])
async def test_the_paper_is_that_of_the_units(
    demo: Season, laptop: Laptop, folder: Path, units: str, paper: str
) -> None:
    # Letter is 8.5 x 11 in; A4 is 210 x 297 mm (ISO 216); 72 points an inch.
    laptop.units = units
    async with sit_down(demo, laptop) as seat:
        await seat.press("p", "enter", "enter")
        (sheet,) = sheets(seat)
        assert sheet.who == ""
        (path,) = folder.iterdir()
        assert f"/MediaBox [0 0 {paper}]".encode() in path.read_bytes()


async def test_a_file_that_is_there_already_stays(
    demo: Season, laptop: Laptop, folder: Path
) -> None:
    mine = folder / "mine.pdf"
    mine.write_bytes(b"mine")
    async with sit_down(demo, laptop) as seat:
        await seat.press("p", "enter")
        await seat.keys("mine.pdf", "enter")
        assert "! mine.pdf is there already. Name another file." in seat.box
        assert sheets(seat) == []
        assert mine.read_bytes() == b"mine"


async def test_what_cannot_be_written_is_said_and_the_sheet_is_recorded_once(
    demo: Season, laptop: Laptop, folder: Path
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("p", "enter")
        await seat.keys("nowhere/a.pdf", "enter")
        assert "! Cannot write nowhere/a.pdf: No such file or directory." in seat.box
        await seat.press("enter")
        assert len(sheets(seat)) == 1
        await seat.press("escape")
        assert "! not written: p prints sheet 4 again" in seat.text
