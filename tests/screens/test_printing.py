"""The season in a file, from its screen: each form can be read back; nothing is written over."""

import errno
from io import BytesIO
from pathlib import Path
from zipfile import ZipFile

import pytest

from fieldbook.book.book import Book
from fieldbook.book.entry import Block, Note, clean
from fieldbook.laptop import Laptop
from fieldbook.reports.calendar import calendar_ics
from fieldbook.reports.everything import everything_zip
from fieldbook.reports.full import full_summary
from fieldbook.reports.full_page import full_page
from fieldbook.reports.render.page_html import page_html
from fieldbook.reports.render.page_pdf import page_pdf
from fieldbook.reports.render.page_text import page_text
from fieldbook.screens.printing import FORMS
from fieldbook.screens.season import SeasonScreen
from fieldbook.season.season import Season
from tests.conftest import stamp
from tests.screens.conftest import DESK, EVENING, Seat, sit_down
from tests.screens.test_user_text import EVERY_TEXT

NAMES = [form.name.format(year=2027, day="2027-02-09") for form in FORMS]
"""The usual names of the files, in the order in which they can be chosen."""


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder in which the program was started."""
    folder = tmp_path / "desk"
    folder.mkdir()
    monkeypatch.chdir(folder)
    return folder


async def ask(seat: Seat, form: int = 0) -> None:
    """From the board to the question for the file, of the form at a place in the choice."""
    await seat.press("s", "p", *["down"] * form, "enter")
    assert "into which file?" in seat.box


async def name(seat: Seat, text: str) -> None:
    """Name another file than the usual one, which the first key writes over."""
    await seat.press("backspace")
    await seat.paste(text, "enter")


def files(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


async def test_p_asks_for_the_form_and_then_for_the_file(
    demo: Season, laptop: Laptop, here: Path
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("s", "p")
        assert "Print what of the season? > Season summary, as a PDF to print" in seat.box
        for form in FORMS:
            assert form.what in seat.box
        await seat.press("enter")
        assert "Season summary, as a PDF to print: into which file?" in seat.box
        assert "summary-2027-2027-02-09.pdf a new file; nothing is ever written over" in seat.box
        await seat.press("escape")
        seat.screen(SeasonScreen)
        assert files(here) == []


@pytest.mark.parametrize("form", range(len(FORMS)), ids=NAMES)
async def test_each_form_goes_into_a_new_file_of_its_usual_name(
    demo: Season, laptop: Laptop, here: Path, form: int
) -> None:
    full = full_summary(demo, EVENING.date(), EVENING, units="us")
    page = full_page(full)
    made = (
        page_pdf(page, "letter"),
        page_html(page, paper="letter").encode(),
        page_text(page).encode(),
        calendar_ics(demo, EVENING.date()),
        everything_zip(demo),
    )[form]
    begins = (b"%PDF-", b"<!DOCTYPE html>", b"Season summary", b"BEGIN:VCALENDAR", b"PK")[form]
    async with sit_down(demo, laptop) as seat:
        await ask(seat, form)
        await seat.press("enter")
        assert seat.rows[-2] == f" written to {NAMES[form]}"
        assert files(here) == [NAMES[form]]
        data = (here / NAMES[form]).read_bytes()
        assert data.startswith(begins)
        assert data == made
        assert seat.written() == []  # nothing is recorded for it


async def test_the_tables_in_the_zip_can_be_read_back(
    demo: Season, laptop: Laptop, here: Path
) -> None:
    async with sit_down(demo, laptop) as seat:
        await ask(seat, len(FORMS) - 1)
        await seat.press("enter")
    with ZipFile(BytesIO((here / NAMES[-1]).read_bytes())) as tables:
        assert tables.testzip() is None
        (lines,) = [n for n in tables.namelist() if n.endswith("lines.csv")]
        assert b"Boulder main" in tables.read(lines)


async def test_the_form_is_found_by_its_words(demo: Season, laptop: Laptop, here: Path) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("s", "p")
        await seat.keys("calendar", "enter", "enter")
        assert files(here) == ["season-2027.ics"]


async def test_in_metric_units_it_is_metric_and_on_a4(
    demo: Season, laptop: Laptop, here: Path
) -> None:
    page = full_page(full_summary(demo, EVENING.date(), EVENING, units="metric"))
    async with sit_down(demo, laptop) as seat:
        await seat.press("f3")
        await ask(seat)
        await seat.press("enter")
        assert (here / NAMES[0]).read_bytes() == page_pdf(page, "a4")


async def test_the_same_again_gets_the_next_free_name(
    demo: Season, laptop: Laptop, here: Path
) -> None:
    async with sit_down(demo, laptop) as seat:
        for _time in range(3):
            await ask(seat, 2)
            await seat.press("enter", "escape")
    assert files(here) == [
        "summary-2027-2027-02-09-2.txt",
        "summary-2027-2027-02-09-3.txt",
        "summary-2027-2027-02-09.txt",
    ]


async def test_a_file_that_is_there_is_never_written_over(
    demo: Season, laptop: Laptop, here: Path
) -> None:
    kept = here / "mine.pdf"
    kept.write_bytes(b"a letter to the bank")
    async with sit_down(demo, laptop) as seat:
        await ask(seat)
        await name(seat, "mine.pdf")
        assert "mine.pdf ! mine.pdf is there already. Name another file." in seat.box
        assert kept.read_bytes() == b"a letter to the bank"
        await seat.press("home", "2", "enter")  # what was typed is still there to be changed
        assert files(here) == ["2mine.pdf", "mine.pdf"]


async def test_a_file_that_turns_up_meanwhile_is_not_written_over_either(
    demo: Season, laptop: Laptop, here: Path
) -> None:
    async with sit_down(demo, laptop) as seat:
        await ask(seat, 2)
        (here / NAMES[2]).write_text("Milo's")
        await seat.press("enter")
        assert f"! {NAMES[2]} is there already." in seat.box
        assert (here / NAMES[2]).read_text() == "Milo's"


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("summary.doc", "! summary.doc says another form than is printed. End its name in .pdf."),
        ("summary", "! summary says another form than is printed. End its name in .pdf."),
        ("gone/summary.pdf", "! Cannot write gone/summary.pdf: No such file or directory."),
        ("   ", "! The name of the file cannot be empty."),
        ("~nobody-of-that-name/s.pdf", "! Cannot write ~nobody-of-that-name/s.pdf: "),
        (f"{'s' * 300}.pdf", "File name too long. Name another file."),
    ],
)
async def test_a_name_that_will_not_do_stays_in_the_field_with_the_reason(
    demo: Season, laptop: Laptop, here: Path, typed: str, why: str
) -> None:
    async with sit_down(demo, laptop) as seat:
        await ask(seat)
        await name(seat, typed)
        assert why in seat.box
        assert typed.strip()[-20:] in seat.box
        await seat.press("escape")
        seat.screen(SeasonScreen)
        assert files(here) == []


async def test_an_ending_in_capitals_is_an_ending(demo: Season, laptop: Laptop, here: Path) -> None:
    async with sit_down(demo, laptop) as seat:
        await ask(seat)
        await name(seat, "REPORT.PDF")
        assert files(here) == ["REPORT.PDF"]


async def test_a_full_disk_leaves_no_half_file_and_the_same_name_does_once_there_is_room(
    demo: Season, laptop: Laptop, here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = Path.open

    class Full:
        """A file on a disk with room for four bytes."""

        def __init__(self, path: Path) -> None:
            self.file = whole(path, "xb")

        def __enter__(self) -> "Full":
            return self

        def __exit__(self, *_error: object) -> None:
            self.file.close()

        def write(self, data: bytes) -> int:
            self.file.write(data[:4])
            raise OSError(errno.ENOSPC, "No space left on device")

    async with sit_down(demo, laptop) as seat:
        await ask(seat)
        with monkeypatch.context() as disk:
            disk.setattr(Path, "open", lambda path, _mode: Full(path))
            await seat.press("enter")
            assert f"! Cannot write {NAMES[0]}: No space left on device." in seat.box
        assert files(here) == []
        await seat.press("enter")
        assert files(here) == [NAMES[0]]


async def test_a_rule_that_no_sum_holds_for_is_named_and_the_question_stays(
    demo: Season, laptop: Laptop, here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_args: object, **_more: object) -> None:
        raise ValueError("roll 1 ft: out of range, a drop of 30 in or longer")

    async with sit_down(demo, laptop) as seat:
        await ask(seat)
        monkeypatch.setattr("fieldbook.reports.full.costs", refuse)
        await seat.press("enter")
        assert "! It cannot be reckoned with the rules of the book: roll 1 ft" in seat.box
        assert "Change the rule: fieldbook setting shows them all." in seat.box
        assert files(here) == []


async def test_a_book_with_nothing_in_it_is_printed_in_every_form(
    tmp_path: Path, fresh_laptop: Laptop, here: Path
) -> None:
    book = Book.new(tmp_path / "bare", name="Bare Hill", year=2027, desk=DESK)
    async with sit_down(Season(book), fresh_laptop) as seat:
        for form in range(len(FORMS)):
            await ask(seat, form)
            await seat.press("enter", "escape")
    assert files(here) == sorted(NAMES)
    book.close()


@EVERY_TEXT
async def test_words_go_into_every_form(
    season: Season, fresh_laptop: Laptop, here: Path, text: str
) -> None:
    fresh_laptop.set_keying(season.book.id, "Oda")
    block = clean(text, one_line=True)
    season.record(Block(block=block, order=9, **stamp()))
    season.record(Note(text=text, block=block, who="Oda", **stamp()))
    async with sit_down(season, fresh_laptop) as seat:
        for form in range(len(FORMS)):
            await ask(seat, form)
            await seat.press("enter", "escape")
    assert files(here) == sorted(NAMES)
    assert block.split()[0][:8] in (here / NAMES[2]).read_text("utf-8")
