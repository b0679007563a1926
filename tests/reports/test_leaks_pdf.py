"""The leak walk on paper: who walks which lines, and boxes for cold hands."""

import re
from datetime import UTC, date, datetime, time

import pytest
from msgspec.structs import replace

from fieldbook.book.entry import Line
from fieldbook.reports.leaks import CAUTIONS, Leaks, leaks
from fieldbook.reports.leaks_tables import leaks_listings, shown_listings
from fieldbook.reports.leaks_words import outset
from fieldbook.reports.render.leaks_pdf import COLUMN_HEAD, WalkPaper, leaks_pdf
from fieldbook.reports.render.listings import listing_csv, listings_text
from fieldbook.reports.render.pdf import MARGIN, PAPERS, Paper
from fieldbook.reports.render.pieces import Piece, paginate
from fieldbook.season.season import Season
from tests.conftest import count, stamp
from tests.reports.test_leaks import DAY, MORNING, rule, told
from tests.reports.test_sheet import LEAST_BOX_MM, LEAST_POINTS, MM, drawn, texts
from tests.reports.test_sheet import read as pages_of
from tests.season.gauges import leak_at, read

NASTY = "[x] [/] =1+1 \x1b[31m Cliff"
LONG = "the long line behind the old quarry and down to the brook by the beeches"
ON_EACH = 4
"""Boxes of a line: head, far end, what was found, and the time; a pair has one more."""


def words(data: bytes) -> str:
    return " ".join(" ".join(texts(data)).split())


def grown(report: Leaks, many: int, *, people: int = 1, name: str = "Cliff") -> Leaks:
    """A walk of so many lines, in as many ways as there are people: all are Cliff again."""
    (cliff,) = (line for line in report.lines if line.line == "Cliff")
    leg = report.walk.legs[0]
    lines, legs = [], []
    for at in range(many):
        person, stop = divmod(at, -(-many // people))
        where = {"line": f"{name} {at}", "order": at + 1}
        lines.append(replace(cliff, **where))
        legs.append(replace(leg, person=person + 1, stop=stop + 1, **where))
    walk = replace(report.walk, people=people, legs=tuple(legs))
    return replace(report, lines=tuple(lines), walk=walk)


@pytest.mark.parametrize("paper", PAPERS)
def test_the_walk_on_paper(season: Season, paper: str) -> None:
    work = (*MORNING, leak_at("09 11:00", "Ledge/Cliff", "third lateral, chewed"))
    report = told(season, *work, people=2, hours=4)
    data = leaks_pdf(report, paper, "us")
    assert data == leaks_pdf(report, paper, "us")  # the same bytes
    text = words(data)
    for said in (
        "Leak walk",
        "Way 1: 1 lines, 0.1 h. Who:",
        "Ledge / 1 Cliff 40 taps; 22.0 inHg on 9 Feb; loses 4 gal a day;",
        "0.1 h, done after 0.1 h",
        "leak: third lateral, chewed",
        "Pump 25.5 inHg (Wim, Tue 9 Feb 07:00)",
        "Every line that hangs low is worth the walk",
        "page 1 of 1",
        *CAUTIONS,
    ):
        assert said in text, said


def test_each_stop_says_when_it_is_done(season: Season) -> None:
    """Each is 700 ft, 0.109 h by the book's rate: the second is done after 0.218 h."""
    text = words(leaks_pdf(told(season, *MORNING, hours=4), "a4", "us"))
    assert re.findall(r"([\d.]+) h, done after ([\d.]+) h", text) == [("0.1", "0.1")]
    low = read("09 11:00 Ledge/Cedar 22")
    season.record(*low)
    text = words(leaks_pdf(leaks(season, DAY, hours=4), "a4", "us"))
    assert re.findall(r"([\d.]+) h, done after ([\d.]+) h", text) == [
        ("0.1", "0.1"),
        ("0.1", "0.2"),
    ]


def test_metric_readers_write_down_kilopascals(season: Season) -> None:
    """22 inHg are 74.501 kPa (3.386389 kPa an inHg, conventional, NIST SP 811)."""
    text = words(leaks_pdf(told(season, *MORNING, hours=4, units="metric"), "a4", "metric"))
    assert "40 taps; 75 kPa on 9 Feb" in text
    assert "inHg" not in text


def test_where_to_stop_and_what_there_is_no_time_for(season: Season) -> None:
    """0.109 h a line: in 0.15 h Cedar, with 60 taps, and not Cliff. See `test_leaks`."""
    season.record(rule("leak_days", 30))
    notes = "09 07:00 pump 25.5\n09 09:00 Ledge/Cliff 20\n09 10:00 Ledge/Cedar 20"
    text = words(leaks_pdf(told(season, *read(notes), hours=0.15), "a4", "us"))
    assert "No time for: Ledge / 1 Cliff" in text
    season.record(rule("leak_days", 0.5))  # 8.25 gal a day of Cedar are 2.06 then, its walk 2.18
    text = words(leaks_pdf(leaks(season, DAY, hours=4), "a4", "us"))
    assert "Stop here: the 2 lines left lose" in text
    assert "Way 1" not in text


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("many", [3, 40])
def test_every_box_is_12_mm_high_and_a_pair_has_one_for_each_pipe(
    season: Season, many: int, paper: str
) -> None:
    report = grown(told(season, *MORNING), many)
    pair = replace(report.lines[0], layout="pair")
    report = replace(report, lines=(pair, *report.lines[1:]))
    marks = list(drawn(leaks_pdf(report, paper, "us")))
    boxes = [at for kind, at in marks if kind == "re"]
    assert len(boxes) == ON_EACH * many + 1
    assert min(abs(height) for _x, _y, _w, height in boxes) / MM >= LEAST_BOX_MM
    assert min(size for kind, (size, *_rest) in marks if kind == "Tf") >= LEAST_POINTS


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", ["Cliff", LONG, "x" * 70])
def test_nothing_leaves_the_paper(
    season: Season, paper: str, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    width, height = PAPERS[paper]
    ends: list[tuple[float, float]] = []
    write = Paper.text

    def watched(self: Paper, x: float, y: float, text: str, points: float, **how: bool) -> None:
        write(self, x, y, text, points, **how)
        wide = self.measure(text, points, bold=how.get("bold", False)) if text else 0
        left = x - wide if how.get("right") else x
        ends.append((left, left + wide))
        assert 0 < y < height - MARGIN, text

    monkeypatch.setattr(Paper, "text", watched)
    leaks_pdf(grown(told(season, *MORNING), 30, people=2, name=name), paper, "us")
    assert min(left for left, _right in ends) >= MARGIN - 0.01
    assert max(right for _left, right in ends) <= width - MARGIN + 0.01


@pytest.mark.parametrize("paper", PAPERS)
def test_a_long_walk_goes_over_several_pages_each_with_its_heads(
    season: Season, paper: str
) -> None:
    pages = texts(leaks_pdf(grown(told(season, *MORNING), 40), paper, "us"))
    assert len(pages) in (4, 5)
    for number, text in enumerate(pages, 1):
        assert f"page {number} of {len(pages)}" in text
        assert "Leak walk" in text
        assert ("far, wet" in text) == ("Ledge / " in text)  # heads over the boxes
    assert sum(CAUTIONS[0] in text for text in pages) == 1
    order = re.findall(r"Ledge / \d+ Cliff (\d+)", " ".join(" ".join(pages).split()))
    assert order == [str(n) for n in range(40)]


def ways(report: Leaks) -> list[list[Piece]]:
    """The pieces on each page."""
    at = datetime.combine(date(2027, 2, 9), time(), UTC)
    with Paper(PAPERS["letter"], title="walk", at=at) as blank:
        walk = WalkPaper(report, blank, "walk", "us")
        return paginate(list(walk.pieces()), walk.room, column_head=COLUMN_HEAD)


def test_the_head_of_a_way_stands_over_its_first_line_on_every_page(season: Season) -> None:
    """Two ways, of 2 to 20 lines each: wherever the second begins, its head is not left behind."""
    report = told(season, *MORNING)
    seen = set()
    for many in range(4, 41):
        for page in ways(grown(report, many, people=2)):
            seen |= {piece.heads for piece in page}
            assert not page[-1].heads, many
    assert seen == {True, False}


def test_names_are_data_on_paper_and_in_files(season: Season) -> None:
    season.record(Line(block="Ledge", line=NASTY, order=9, taps_planned=9, **stamp()))
    name = next(x.line for x in season.plan.lines if x.line.startswith("[x]"))
    taps = replace(count("Ledge/Cliff", "tapping", 9), line=name)
    gauge = [replace(r, line=name) for r in read("09 09:00 Ledge/Cliff 2")]
    report = told(season, taps, *gauge)
    assert "[x] [/] =1+1 [31m Cliff" in words(leaks_pdf(report, "a4", "us"))
    text = listings_text("", shown_listings(report), first=outset(report))
    assert "\x1b" not in text
    (walk,) = [x for x in leaks_listings(report) if x.name == "walk"]
    assert "\x1b" not in listing_csv(walk)


def test_black_on_white(season: Season) -> None:
    """A grey printer, or a wet page, loses nothing."""
    for page in pages_of(leaks_pdf(grown(told(season, *MORNING), 3), "a4", "us")).pages:
        contents = page.get_contents()
        assert contents is not None
        for operands, operator in contents.operations:
            if operator in (b"g", b"G", b"rg", b"RG", b"k", b"K"):
                assert not any(map(float, operands)), operator


def test_a_leak_that_nobody_read_is_on_the_paper(season: Season) -> None:
    report = told(season, leak_at("09 08:00", "Ledge/Cliff", "tree down", cause="tree down"))
    assert "! Ledge / 1 Cliff leaks, and nobody read how much: leak: tree down" in words(
        leaks_pdf(report, "letter", "us")
    )
