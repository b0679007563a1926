"""A sheet as data, as text and on paper: the round's order, and boxes for cold hands."""

import io
import os
import re
import subprocess
import sys
import time
from collections.abc import Iterator
from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace
from pypdf import PdfReader

from fieldbook.book.entry import Leak, Note, Out, Repair, Settle, Sheet, Spouts, Valve
from fieldbook.reports.render import pdf, sheet_pdf
from fieldbook.reports.render.pdf import MARGIN, PAPERS, Paper
from fieldbook.reports.render.pieces import Piece, paginate
from fieldbook.reports.render.sheet_pdf import SheetPaper
from fieldbook.reports.render.sheets import sheet_terminal, sheet_text
from fieldbook.reports.round import round_lines
from fieldbook.reports.sheet import (
    SheetLine,
    SheetPage,
    file_name,
    letters,
    sheet_page,
)
from fieldbook.season.season import Season
from fieldbook.season.sheets import draft
from tests.conftest import NOW, count, finish, refused, stamp
from tests.reports import TUESDAY, work
from tests.season.gauges import read as gauges
from tests.season.woods import valve

LOCAL = "Local codes, product labels and trained practice come first."
LEAST_BOX_MM, LEAST_POINTS = 12.0, 9.0
MM = 72 / 25.4
"""Points of a PDF in a millimetre."""


def printed(season: Season, block: str = "Creek", *, units: str = "us", **asked: Any) -> SheetPage:
    """A sheet of tapping, recorded and laid out on the same day."""
    asked = {"task": "tapping", **asked}
    (sheet,) = season.record(draft(season, block=block, by="Oda", now=NOW, **asked))
    assert isinstance(sheet, Sheet)
    return sheet_page(season, sheet, TUESDAY, units=units)


def line(order: int, name: str = "", **fields: Any) -> SheetLine:
    return SheetLine(
        order=order,
        name=name or f"Line {order}",
        mark="[ ]",
        word="not begun",
        counts="0 of 42 taps, left 42",
        size="single, 1 in, 700 ft",
        **fields,
    )


def page(many: int = 3, **fields: Any) -> SheetPage:
    """Sheet 31 of Ledge, of so many lines."""
    plain: dict[str, Any] = {
        "book": "Quillby Hollow",
        "invented": False,
        "season": 2027,
        "number": 31,
        "entry": "k7f2q-412",
        "printed": NOW,
        "as_of": TUESDAY,
        "block": "Ledge",
        "key": "tapping",
        "task": "Tapping",
        "unit": "taps",
        "who": "Perrin",
        "lines": tuple(line(order) for order in range(1, many + 1)),
        "steps": ("sharp bit", "clear of old holes", "spout seated"),
        "cautions": ("Drill: eye protection.", LOCAL),
        "hazards": (),
        "out": (),
        "bag": "",
        "notes": (),
    }
    return SheetPage(**{**plain, **fields})


# --- as data -----------------------------------------------------------------------------------


@pytest.mark.parametrize("block", ["Ledge", "Creek"])
def test_lines_stand_as_the_round_shows_them(season: Season, block: str) -> None:
    work(season)
    tapping = season.plan.find_task("tapping")
    shown = round_lines(season, block, tapping)
    page = printed(season, block)
    assert [(x.order, x.name) for x in page.lines] == [(x.line.order, x.line.line) for x in shown]
    assert [(x.done, x.left, x.remark) for x in page.lines] == [
        (x.cell.tally.done, x.cell.tally.left, x.remark) for x in shown
    ]


def test_a_line_has_what_somebody_needs_out_there(season: Season) -> None:
    season.record(
        count("Ledge/Cliff", "tapping", 20),
        Valve(block="Ledge", line="Cliff", who="Wim", state="shut", reason="split\ntee", **stamp()),
        Note(text="hung-up ash", block="Ledge", line="Cliff", hazard=True, **stamp()),
        Note(text="ice on the ledge", block="Ledge", hazard=True, **stamp("2027-02-08")),
        Note(text="thin ice", block="Creek", hazard=True, **stamp()),
        Note(text="owl in the box", block="Ledge", line="Cliff", **stamp()),
    )
    page = printed(season, "Ledge")
    cliff, cedar = page.lines
    assert (cliff.mark, cliff.word) == ("[>]", "under way")
    assert cliff.counts == "20 of 42 taps, left 22"
    assert (cliff.planned, cliff.done, cliff.left, cliff.drops) == (42, 20, 22, 42)
    assert cliff.last_season is None  # the book has no season before
    assert cliff.valve == "valve shut: split tee (Wim, Tue 9 Feb)"
    assert cliff.hazards == ("hung-up ash (Oda, Tue 9 Feb)",)
    assert page.hazards == ("ice on the ledge (Oda, Mon 8 Feb)",)
    assert (cedar.mark, cedar.valve, cedar.hazards) == ("[ ]", "", ())
    assert page.cautions[-1] == LOCAL
    assert page.cautions[:-1] == season.plan.find_task("tapping").cautions
    assert page.steps == season.plan.find_task("tapping").steps


def test_what_was_seen_to_is_on_no_sheet(season: Season) -> None:
    (hazard, _shut) = season.record(
        Note(text="hung-up ash", block="Ledge", line="Cliff", hazard=True, **stamp()),
        Valve(block="Ledge", line="Cliff", who="Wim", state="shut", **stamp()),
    )
    assert printed(season, "Ledge").lines[0].valve == "valve shut (Wim, Tue 9 Feb)"
    season.record(
        Settle(entry=hazard.id, who="Wim", **stamp()),
        Valve(block="Ledge", line="Cliff", who="Wim", state="open", **stamp()),
    )
    cliff = printed(season, "Ledge").lines[0]
    assert (cliff.hazards, cliff.valve) == ((), "")


def test_sizes_are_as_the_reader_likes_them(season: Season) -> None:
    us, metric = (printed(season, "Ledge", units=units) for units in ("us", "metric"))
    assert [x.size for x in us.lines] == ["single, 700 ft", "single, 700 ft"]
    assert [x.size for x in metric.lines] == ["single, 213 m", "single, 213 m"]


def test_it_says_who_is_out_and_what_is_in_the_bag(season: Season) -> None:
    five, six = NOW + timedelta(minutes=30), NOW + timedelta(hours=1, minutes=30)
    season.record(
        Spouts(who="Perrin", move="issued", count=150, **stamp()),
        count("Ledge/Cliff", "tapping", 42, who="Perrin"),
        Spouts(who="Perrin", move="returned", count=8, **stamp()),
        Spouts(who="Perrin", move="scrapped", count=2, **stamp()),
        Out(who="Wim", block="Creek", line="Ford", due=six, **stamp()),
        Out(who="Oda", due=five, **stamp()),
    )
    page = printed(season, who="Perrin")
    assert page.out == (
        "Oda, due back Tue 9 Feb 17:00",
        "Wim, Creek / Ford, due back Tue 9 Feb 18:00",
    )
    assert page.bag == (
        "Spouts with Perrin: in the bag 98; issued 150, in trees 42, returned 8, scrapped 2"
    )
    assert printed(season, who="Wim").bag == ""
    assert printed(season).bag == ""


def test_a_sheet_printed_again_tells_how_things_stand_now(season: Season) -> None:
    (sheet,) = season.record(draft(season, block="Ledge", task="tapping", by="Oda", now=NOW))
    assert isinstance(sheet, Sheet)
    season.record(count("Ledge/Cliff", "tapping", 42, day="2027-02-10"))
    later = sheet_page(season, sheet, date(2027, 2, 10), units="us")
    assert [x.mark for x in later.lines] == ["[x]", "[ ]"]
    assert "printed Tue 9 Feb 2027, as of Wed 10 Feb 2027" in sheet_text(later)


def test_lines_stand_in_the_order_of_the_sheet(season: Season) -> None:
    """The worst first: so they are walked, and so they are keyed in."""
    found = printed(season, task="leaks", order=("Culvert", "Ford")).lines
    assert [(line.order, line.name) for line in found] == [
        (3, "Culvert"),
        (1, "Ford"),
        (2, "Spring"),
    ]
    rows = sheet_text(printed(season, task="leaks", order=("Culvert", "Ford"))).splitlines()
    assert [row.split()[1] for row in rows if row[:4].strip().isdigit()] == [
        "Culvert",
        "Ford",
        "Spring",
    ]


def test_where_gauges_are_read_each_has_a_box_and_what_it_read_last(season: Season) -> None:
    """Cliff sinks half an inch a day, from 24.5 to 22.5; Cedar is a pair, and nobody read it."""
    season.record(replace(season.plan.find_line("Ledge", "Cedar"), layout="pair"))
    season.record(count("Ledge/Cliff", "tapping", 42))
    season.record(*gauges("".join(f"0{n} 09:00 Ledge/Cliff {27 - n / 2}\n" for n in range(5, 10))))
    season.record(*gauges("09 07:00 pump 25.5"), valve("Ledge/Cedar", "shut", "ice"))
    sheet = printed(season, "Ledge", task="leaks")
    cliff, cedar = sheet.lines
    assert (cliff.gauges, cedar.gauges) == (("head", "far end"), ("wet", "dry"))
    assert cliff.vacuum == (
        "Tue 9 Feb: far end 22.5, pump 25.5, 3.0 under; Mon 8 Feb 23.0; "
        "sinks 0.5 inHg a day since Fri 5 Feb: a leak that grows"
    )
    assert (cedar.vacuum, cedar.valve) == ("", "valve shut: ice (Wim, Tue 9 Feb)")
    text = sheet_text(sheet)
    for box in ("head [______]", "far end [______]   hours [______]", "wet [______]"):
        assert text.count(box) == 1, box
    assert "dry [______]   hours [______]   finished [ ]" in text
    assert "readings [" not in text
    assert max(map(len, text.splitlines())) <= 80
    metric = printed(season, "Ledge", task="leaks", units="metric").lines[0].vacuum
    assert "far end 76, pump 86, 10 under" in metric  # 76.2, 86.4 and 10.2 kPa


def test_a_sheet_of_another_task_has_one_box_for_its_count(season: Season) -> None:
    season.record(*gauges("09 07:00 pump 25.5\n09 09:00 Ledge/Cliff 22.5"))
    cliff = printed(season, "Ledge").lines[0]
    assert (cliff.gauges, cliff.vacuum) == ((), "")


def test_a_line_the_plan_has_no_more_is_still_named(season: Season) -> None:
    sheet = Sheet(
        id="k7f2q-1", sheet=3, block="Ledge", task="tapping", lines=("Old", "Cedar"), **stamp()
    )
    page = sheet_page(season, sheet, TUESDAY, units="us")
    assert [(x.order, x.name, x.remark) for x in page.lines] == [
        (2, "Cedar", ""),
        (0, "Old", "the plan has this line no more"),
    ]
    assert "-  Old" in sheet_text(page)
    gone = replace(sheet, task="dancing")
    assert "'dancing'" in refused(lambda: sheet_page(season, gone, TUESDAY, units="us"))[0]


@pytest.mark.parametrize(
    ("block", "name"),
    [
        ("Brook Bend", "sheet-31-brook-bend-tapping.pdf"),
        ("Érablière", "sheet-31-erabliere-tapping.pdf"),
        ("../../etc/passwd", "sheet-31-etc-passwd-tapping.pdf"),
        ("C:\\x.exe", "sheet-31-c-x-exe-tapping.pdf"),
        ("漢字", "sheet-31-tapping.pdf"),
        ("x" * 80, f"sheet-31-{'x' * 40}-tapping.pdf"),
    ],
)
def test_the_name_of_its_file_is_never_a_path(block: str, name: str) -> None:
    assert file_name(page(block=block)) == name
    assert file_name(page(block=block), again=2) == name.replace(".pdf", "-2.pdf")


def test_steps_go_by_letters() -> None:
    assert [letters(n) for n in (0, 1, 25, 26, 27, 701, 702)] == [
        *("a", "b", "z", "aa", "ab", "zz", "aaa")
    ]


# --- in plain characters -----------------------------------------------------------------------


def test_the_text_is_the_whole_sheet(season: Season) -> None:
    season.record(finish("Creek/Ford", "tapping", "ice"))
    text = sheet_text(printed(season, lines=("Ford",), who="Wim"))
    assert (
        text
        == f"""\
Quillby Hollow, season 2027                                          SHEET 1
Creek / Tapping, for Wim
printed Tue 9 Feb 2027                          {season.log()[-1].id:>28}

! Drill: eye protection, firm footing, no loose scarf; no ladder on snow.
! Hung-up or dead tree: two tree lengths off until it is down or marked.
! In the cold, work in pairs or call in at a set time.
! Local codes, product labels and trained practice come first.

Steps: a = sharp, clean bit; b = clear of old holes; c = spout seated by
  sound

   1  Ford
      [x] done (120 short: ice)
      0 of 120 taps, left 0, 120 short
      drops in place 120
      single
      taps [______]   hours [______]   finished [ ]
      a [ ]   b [ ]   c [ ]
      note [____________________________________________________________]

----------------------------------------------------------------------------
out at [______]   due back [______]   back at [______]

spouts  issued [______]   returned [______]   scrapped [______]

This sheet is a reminder, not a rescue system: tell somebody where you are
  and when you will be back.
"""
    )


ROUGH = (
    "[red]bold[/] **b** __u__ {0} %s \\n",
    "W" * 80,
    "Maple Hollow " * 6,
    "Érablière Ωμέγα Дорога ěščř",
    "漢字 שלום 🍁",
    "=1+2 <b>x</b> & (parens) \\",
)


def rough(**fields: Any) -> SheetPage:
    """A sheet of names that people and computers stumble over."""
    lines = tuple(
        line(at, name, ticked=(True, False) * 4, hazards=("hung " * 300, "y" * 900), notes=(name,))
        for at, name in enumerate(ROUGH, 1)
    )
    return page(
        block=ROUGH[1],
        task="T" * 80,
        who=ROUGH[0],
        book=ROUGH[2],
        unit="lines cleared of brush" * 3,
        lines=lines,
        steps=tuple(f"step {n}" for n in range(8)),
        hazards=(ROUGH[0], "z" * 3000),
        **fields,
    )


def test_typed_text_is_data_and_80_columns_are_enough() -> None:
    text = sheet_text(rough())
    assert max(map(len, text.splitlines())) <= 80
    assert "   1  [red]bold[/] **b** __u__ {0} %s \\n" in text
    assert "finished [ ]" in text
    assert "g [x]\n      h [ ]" in text
    assert "\x1b" not in text


def test_the_terminal_shows_the_same_lines() -> None:
    from rich.console import Console

    console = Console(width=80, file=io.StringIO(), record=True, color_system=None)
    console.print(sheet_terminal(page(out=("Wim, Creek",))))
    shown = [row.rstrip() for row in console.export_text().splitlines()]
    assert shown == sheet_text(page(out=("Wim, Creek",))).splitlines()


# --- on paper ----------------------------------------------------------------------------------


def read(data: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(data))


def texts(data: bytes) -> list[str]:
    """The words of each page."""
    return [page.extract_text() for page in read(data).pages]


def drawn(data: bytes) -> Iterator[tuple[str, list[float]]]:
    """Every rectangle, line and size of text that is drawn, as the file has it."""
    for sheet in read(data).pages:
        contents = sheet.get_contents()
        assert contents is not None
        for operands, operator in contents.operations:
            if operator in (b"re", b"l", b"m"):
                yield operator.decode(), [float(x) for x in operands]
            elif operator == b"Tf":
                yield "Tf", [float(operands[1])]


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("lines", [1, 3, 60])
def test_every_box_is_12_mm_high_and_no_text_is_tiny(lines: int, paper: str) -> None:
    data = sheet_pdf.sheet_pdf(page(lines), paper)
    boxes = [at for kind, at in drawn(data) if kind == "re"]
    # count, hours, finished, three steps and a note on each line; six at the end
    assert len(boxes) == 7 * lines + 6
    assert min(abs(height) for _x, _y, _w, height in boxes) / MM >= LEAST_BOX_MM
    assert min(size for kind, (size, *_rest) in drawn(data) if kind == "Tf") >= LEAST_POINTS
    assert sheet_pdf.BOX >= LEAST_BOX_MM
    assert sheet_pdf.SMALL >= LEAST_POINTS


@pytest.mark.parametrize("paper", PAPERS)
def test_gauges_have_a_box_each(paper: str) -> None:
    lines = (
        line(1, gauges=("head", "far end")),
        line(2, gauges=("wet", "dry"), vacuum="Tue 9 Feb: wet 17.0, dry 24.7"),
        line(3),  # the plan has it no more
    )
    data = sheet_pdf.sheet_pdf(page(lines=lines), paper)
    boxes = [at for kind, at in drawn(data) if kind == "re"]
    assert len(boxes) == 7 * 3 + 2 + 6  # one more on each line with gauges
    assert min(abs(height) for _x, _y, _w, height in boxes) / MM >= LEAST_BOX_MM
    (text,) = texts(data)
    for word in ("head", "far end", "wet", "dry", "Tue 9 Feb: wet 17.0, dry 24.7"):
        assert word in text


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("sheet", [page(60), rough()], ids=["many", "rough"])
def test_nothing_leaves_the_paper(sheet: SheetPage, paper: str, monkeypatch: Any) -> None:
    width, height = PAPERS[paper]
    ends: list[tuple[float, float]] = []
    write = Paper.text

    def watched(self: Paper, x: float, y: float, text: str, points: float, **how: bool) -> None:
        write(self, x, y, text, points, **how)
        bold = how.get("bold", False)
        wide = self.measure(text, points, bold=bold) if text else 0
        left = x - wide if how.get("right") else x
        ends.append((left, left + wide))
        assert 0 < y < height - MARGIN, text

    monkeypatch.setattr(Paper, "text", watched)
    data = sheet_pdf.sheet_pdf(sheet, paper)
    assert min(left for left, _right in ends) >= MARGIN - 0.01
    assert max(right for _left, right in ends) <= width - MARGIN + 0.01
    for kind, at in drawn(data):
        if kind == "re":
            x, y, wide, tall = (value / MM for value in at)
            assert x >= MARGIN - 0.01
            assert x + wide <= width - MARGIN + 0.01
            assert min(y, y + tall) >= MARGIN
    box = read(data).pages[0].mediabox
    assert (float(box.width) / MM, float(box.height) / MM) == pytest.approx(
        (width, height), abs=0.1
    )


def test_every_page_says_which_it_is_and_of_how_many() -> None:
    said = texts(sheet_pdf.sheet_pdf(page(60, invented=True), "a4"))
    assert len(said) == 6
    for number, text in enumerate(said, 1):
        for words in (
            f"page {number} of 6",
            "Quillby Hollow, season 2027  (invented)",
            "Ledge / Tapping",
            "for Perrin",
            "k7f2q-412",
            "31",
            "This sheet is a reminder, not a rescue system",
        ):
            assert words in text, (number, words)
        assert ("Drill: eye protection." in text) is (number == 1)
        assert ("back at" in text) is (number == 6)


def test_lines_are_in_order_and_each_is_there_once() -> None:
    said = "\n".join(texts(sheet_pdf.sheet_pdf(page(60), "letter")))
    found = re.findall(r"\bLine (\d+)\b", said)
    assert list(map(int, found)) == list(range(1, 61))


def test_names_of_other_alphabets_and_a_box_for_what_the_font_lacks(
    capfd: pytest.CaptureFixture[str],
) -> None:
    said = "\n".join(texts(sheet_pdf.sheet_pdf(rough(), "a4")))
    assert "Érablière Ωμέγα Дорога ěščř" in said
    assert "☐☐ ☐☐☐☐ ☐" in said
    assert "[red]bold[/] **b** __u__ {0} %s \\n" in said
    assert "=1+2 <b>x</b> & (parens) \\" in said
    assert capfd.readouterr() == ("", "")


def test_a_step_that_is_ticked_already_is_crossed() -> None:
    def crosses(*ticked: bool) -> int:
        data = sheet_pdf.sheet_pdf(page(lines=(line(1, ticked=ticked),)), "a4")
        strokes = [at for kind, at in drawn(data) if kind in ("m", "l")]
        return sum(a[0] != b[0] and a[1] != b[1] for a, b in pairwise(strokes)) // 2

    assert crosses(True, False, True) - crosses(False, False, False) >= 2


ELSEWHERE = """
import sys
from fieldbook.reports.render.sheet_pdf import sheet_pdf
from tests.reports.test_sheet import rough
sys.stdout.buffer.write(sheet_pdf(rough(), "a4"))
"""


def test_the_same_sheet_is_the_same_bytes() -> None:
    first = sheet_pdf.sheet_pdf(rough(), "a4")
    assert b"D:20270209163000" in first
    time.sleep(1.1)  # what is stamped with the clock is stamped with another second
    assert sheet_pdf.sheet_pdf(rough(), "a4") == first
    elsewhere = subprocess.run(
        [sys.executable, "-c", ELSEWHERE],
        capture_output=True,
        check=True,
        cwd=Path(__file__).parents[2],
        env={**os.environ, "PYTHONHASHSEED": "31", "TZ": "Pacific/Auckland"},
    )
    assert elsewhere.stdout == first


def test_black_on_white() -> None:
    for sheet in read(sheet_pdf.sheet_pdf(rough(), "a4")).pages:
        contents = sheet.get_contents()
        assert contents is not None
        for operands, operator in contents.operations:
            if operator in (b"g", b"G", b"rg", b"RG", b"k", b"K"):
                assert not any(map(float, operands)), operator


def test_without_the_fonts_it_says_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pdf, "find_spec", lambda _name: None)
    message, hint, _code = refused(lambda: sheet_pdf.sheet_pdf(page(), "a4"))
    assert message == "The fonts for paper are not installed."
    assert hint.endswith("--format text.")


# --- pieces on pages ---------------------------------------------------------------------------


def piece(height: float, line: str = "") -> Piece:
    return Piece(height, lambda _y: None, line)


def test_pieces_are_not_torn_and_rows_have_room_for_their_heads() -> None:
    rows = [piece(30, f"{n}") for n in range(5)]
    head = sheet_pdf.COLUMN_HEAD
    pages = paginate([piece(20), *rows, piece(25)], room=100, column_head=head)
    assert [[x.height for x in page] for page in pages] == [[20, 30, 30], [30, 30, 30], [25]]
    two = [piece(50, "a"), piece(50, "b")]
    assert len(paginate(two, room=100 + head, column_head=head)) == 1
    assert len(paginate(two, room=100, column_head=head)) == 2
    assert len(paginate(two, room=100)) == 1
    words = [piece(50), piece(50, "a")]  # the first row, at the foot of a page
    assert len(paginate(words, room=100 + head, column_head=head)) == 1
    assert len(paginate(words, room=100, column_head=head)) == 2
    assert paginate([], room=100) == [[]]


def test_what_heads_a_row_stays_with_it() -> None:
    """5 mm of words over a row of 40, 50 mm down the page: with heads of 5 they need 50 mm."""
    pieces = [piece(50), replace(piece(5), heads=True), piece(40, "a")]
    assert [len(page) for page in paginate(pieces, room=100, column_head=5)] == [3]
    assert [len(page) for page in paginate(pieces, room=99, column_head=5)] == [1, 2]
    after = [piece(50, "a"), replace(piece(5), heads=True), piece(40, "b")]  # the heads are there
    assert [len(page) for page in paginate(after, room=100, column_head=5)] == [3]
    assert [len(page) for page in paginate(after, room=99, column_head=5)] == [1, 2]
    last = [piece(50), replace(piece(5), heads=True)]
    assert [len(page) for page in paginate(last, room=100, column_head=5)] == [2]


@pytest.mark.parametrize("paper", PAPERS)
def test_no_piece_is_taller_than_a_page(paper: str) -> None:
    steps = tuple(f"{n} " + "step " * 15 for n in range(60))
    crowded = replace(rough(), steps=steps, lines=(line(1, "W" * 80, hazards=("z " * 4000,)),))
    with Paper(PAPERS[paper], title="", at=NOW) as blank:
        sheet = SheetPaper(crowded, blank)
        assert max(x.height for x in sheet.pieces()) <= sheet.room - sheet_pdf.COLUMN_HEAD


def test_text_is_wrapped_by_words_and_cut_with_a_mark() -> None:
    words = "one two three four five six seven eight nine ten"
    with Paper(PAPERS["a4"], title="", at=NOW) as paper:
        lines = paper.wrap(words, 20, 9, most=9)
        short = paper.wrap(words, 20, 9, most=2)
        assert all(paper.measure(row, 9) <= 20 for row in (*lines, *short))
        assert "".join(paper.wrap("x" * 200, 20, 9, most=99)) == "x" * 200
        assert paper.wrap("", 20, 9) == []
    assert " ".join(lines) == words
    assert len(short) == 2
    assert short[0] == lines[0]
    assert short[-1].endswith("~")


def test_the_paper_says_what_stands_open_on_a_line_and_what_was_noted(season: Season) -> None:
    """Whoever walks there brings the tee that was promised."""
    cliff: dict[str, Any] = {"block": "Ledge", "line": "Cliff", **stamp()}
    season.record(
        Leak(text="hiss at the third lateral", who="Wim", **cliff),
        Repair(text="new tee", who="Perrin", **cliff),
        Repair(text="gate strap", who="Perrin", block="Ledge", **stamp()),
        Note(text="start from the top", **cliff),
        Note(text="water under the snow", **cliff),
        Note(text="park at the gate", block="Ledge", **stamp()),
    )
    page = printed(season, "Ledge")
    first, second = page.lines
    assert first.leaks == (
        "leak: hiss at the third lateral (Wim, Tue 9 Feb)",
        "promised: new tee (Perrin, Tue 9 Feb)",
    )
    assert first.notes == ("water under the snow (Oda, Tue 9 Feb)",)  # the newest
    assert (second.leaks, second.notes) == ((), ())
    assert page.notes == ("park at the gate (Oda, Tue 9 Feb)",)
    text = sheet_text(page)
    for words in (*first.leaks, *first.notes, *page.notes):
        assert words in " ".join(text.split())
