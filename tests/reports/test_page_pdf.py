"""A page on paper: every word, no row torn, no number cut, nothing over the edge."""

import re
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from fieldbook.reports.listing import Listing, Money, Shown, shown
from fieldbook.reports.page import Page, Section
from fieldbook.reports.render.flow import flow
from fieldbook.reports.render.page_pdf import PagePaper, page_pdf
from fieldbook.reports.render.pdf import MARGIN, PAPERS, Paper
from fieldbook.reports.render.table_pdf import BETWEEN, SIZES, Fit, fits
from tests.conftest import NOW
from tests.reports.pages import (
    CHARTS,
    LONG,
    blocks,
    built_elsewhere,
    hostile,
    said_in,
    season,
    squeezed,
    with_charts,
)
from tests.reports.test_sheet import MM, drawn, texts
from tests.reports.test_sheet import read as pages_of

ROUND = 0.02
"""What the file rounds, in millimetres."""


def squeezed_pages(page: Page, paper: str = "a4") -> list[str]:
    return [squeezed(text) for text in texts(page_pdf(page, paper))]


def with_tables(*listings: Listing) -> Page:
    return replace(season(), sections=(Section("tables", "Tables", listings=listings),))


def table(
    *rows: tuple[object, ...], heads: tuple[str, ...] = (), by_block: bool = False
) -> Listing:
    names = heads or tuple(f"Head {n}" for n in range(len(rows[0])))
    return Listing("table", "Table", names, names, rows, by_block=by_block)


# --- words -------------------------------------------------------------------------------------


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("many", [0, 3, 7, 40])
def test_every_word_of_a_page_is_there(many: int, paper: str) -> None:
    page = season(blocks(many))
    found = "".join(squeezed_pages(page, paper))
    for words in said_in(page):
        assert squeezed(words) in found, words


def test_long_names_are_folded_and_nothing_of_them_is_lost() -> None:
    page = season(blocks(40, LONG))
    found = "".join(squeezed_pages(page))
    assert found.count(squeezed(LONG)) >= 80
    for words in said_in(page):
        assert squeezed(words) in found, words


def test_hostile_words_are_words() -> None:
    found = "".join(squeezed_pages(hostile()))
    for words in said_in(hostile()):
        assert squeezed(words) in found


@pytest.mark.parametrize("name", CHARTS)
def test_the_words_of_every_chart_are_there(name: str) -> None:
    found = "".join(squeezed_pages(with_charts(CHARTS[name])))
    for words in said_in(with_charts(CHARTS[name])):
        assert squeezed(words) in found, words


def test_what_wants_a_look_is_bold(monkeypatch: pytest.MonkeyPatch) -> None:
    bold: list[str] = []
    write = Paper.text

    def watched(self: Paper, x: float, y: float, text: str, points: float, **how: bool) -> None:
        bold.extend([text] if how.get("bold") else [])
        write(self, x, y, text, points, **how)

    monkeypatch.setattr(Paper, "text", watched)
    page_pdf(season(), "a4")
    assert [text for text in bold if text.startswith("!")] == [
        "! 2 lines are planned by their trees, and those are not tallied",
        "! a tank ran over",
        "! Creek / 1 Cliff has no taps planned",
    ]
    assert "Spouts in trees 2,480, pulled 0" not in bold


# --- pages -------------------------------------------------------------------------------------


@pytest.mark.parametrize("paper", PAPERS)
def test_each_page_has_its_head_its_number_and_its_foot(paper: str) -> None:
    page = season(blocks(40))
    found = squeezed_pages(page, paper)
    assert len(found) > 3
    for number, text in enumerate(found, start=1):
        assert f"page{number}of{len(found)}" in text
        assert squeezed(page.title) in text
        assert squeezed(page.heading) in text
        assert squeezed("Local codes, product labels and trained practice come first.") in text


def test_a_long_heading_is_whole_and_does_not_stand_on_the_page() -> None:
    page = replace(season(), heading=f"{LONG}, {LONG}, season 2027", title=LONG + " " + LONG)
    (first, *_rest) = squeezed_pages(page)
    assert squeezed(page.heading) in first
    assert squeezed(page.title) in first
    is_on_the_paper(page, "letter")


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("many", [3, 40])
def test_the_heads_of_a_table_stand_on_each_page_that_has_rows(many: int, paper: str) -> None:
    found = squeezed_pages(season(blocks(many)), paper)
    on = [text for text in found if "2Longwayround" in text]
    assert len(on) >= (1 if many == 3 else 4)
    assert all("LineTapsHoursDoneCost" in text for text in on)


def test_a_block_is_named_again_over_its_lines_on_the_next_page() -> None:
    rows = tuple(("Creek", f"{n} Ford", n) for n in range(1, 100))
    found = squeezed_pages(
        with_tables(table(*rows, heads=("Block", "Line", "Taps"), by_block=True))
    )
    assert len(found) >= 2
    assert all(text.count("LineTapsCreek") == 1 for text in found)


@pytest.mark.parametrize("paper", PAPERS)
def test_no_head_is_left_at_the_foot_of_a_page(paper: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """However far down the page a section begins."""
    said: list[str] = []
    monkeypatch.setattr(
        Paper, "text", lambda _self, _x, _y, text, *_points, **_how: said.append(text)
    )
    sections = season(blocks(3)).sections
    heads = {section.title for section in sections}
    heads |= {listing.title for section in sections for listing in section.listings}
    heads |= {"North Bend", "Creek", "Ledge", "Block", "Line"}
    for lines in range(0, 60, 3):
        page = replace(season(blocks(3)), lines=tuple(f"line {n}" for n in range(lines)))
        with Paper(PAPERS[paper], title="page", at=NOW) as blank:
            report = PagePaper(page, blank)
            blank.page()
            for placed in flow(list(report.parts()), report.room):
                last = placed[-1]
                assert last.top + last.what.height <= report.room
                said.clear()
                last.what.draw(0)
                assert not heads & set(said[:1]), lines


@pytest.mark.parametrize("rows", [False, True])
def test_no_line_and_no_row_is_alone_on_a_page(rows: bool) -> None:
    """The first two and the last two stay together, wherever a page ends."""
    words = tuple(f"part{n}of40" for n in range(40))
    one_by_one = table(*((word,) for word in words))
    section = Section("s", "S", () if rows else words, (), (one_by_one,) if rows else ())
    for lines in range(10, 60):
        page = replace(season(), lines=("line",) * lines, sections=(section,))
        with Paper(PAPERS["a4"], title="page", at=NOW) as blank:
            report = PagePaper(page, blank)
            parts = list(report.parts())
            pages = flow(parts, report.room)
        first = lines + (2 if rows else 1)  # under the heads
        on = [{id(one.what) for one in placed} for placed in pages]
        for at in (first, first + 38):
            assert sum(id(parts[n]) in page for n in (at, at + 1) for page in on) == 2
            assert any({id(parts[at]), id(parts[at + 1])} <= page for page in on), lines


# --- nothing over the edge ---------------------------------------------------------------------


def is_on_the_paper(page: Page, paper: str) -> None:
    """All words and lines are between the margins, and no words on the foot."""
    width, height = PAPERS[paper]
    write, trace = Paper.text, Paper.path

    def text(self: Paper, x: float, y: float, said: str, points: float, **how: bool) -> None:
        write(self, x, y, said, points, **how)
        wide = self.measure(said, points, bold=how.get("bold", False)) if said else 0
        left = x - wide if how.get("right") else x
        assert left >= MARGIN - ROUND, said
        assert left + wide <= width - MARGIN + ROUND, said
        assert MARGIN - 1 - ROUND <= y <= height - MARGIN, said

    def path(self: Paper, spots: list[tuple[float, float]], **how: object) -> None:
        trace(self, spots, **how)  # type: ignore[arg-type]
        for x, y in spots:
            assert MARGIN - ROUND <= x <= width - MARGIN + ROUND
            assert MARGIN <= y <= height - MARGIN

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Paper, "text", text)
        patch.setattr(Paper, "path", path)
        page_pdf(page, paper)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", ["", LONG, "x" * 70])
@pytest.mark.parametrize("many", [0, 3, 40])
def test_pages_stay_on_the_paper(many: int, name: str, paper: str) -> None:
    is_on_the_paper(season(blocks(many, name)), paper)


@pytest.mark.parametrize("paper", PAPERS)
def test_charts_and_hostile_words_stay_on_the_paper(paper: str) -> None:
    is_on_the_paper(with_charts(*CHARTS.values()), paper)
    is_on_the_paper(hostile(), paper)


def test_a_line_longer_than_a_page_goes_on() -> None:
    page = replace(season(), lines=("word " * 1500,), sections=())
    assert "".join(squeezed_pages(page)).count("word") == 1500
    is_on_the_paper(page, "a4")


def test_the_file_itself_draws_nothing_outside() -> None:
    """Read back: what was asked for is what stands there."""
    width, height = PAPERS["a4"]
    for kind, at in drawn(page_pdf(with_charts(*CHARTS.values()), "a4")):
        if kind in ("m", "l"):
            x, y = at
            assert MARGIN - ROUND <= x / MM <= width - MARGIN + ROUND
            assert MARGIN - ROUND <= y / MM <= height - MARGIN + ROUND


# --- tables ------------------------------------------------------------------------------------


def fitted(*rows: tuple[object, ...], by_block: bool = False) -> tuple[Shown, list[Fit], Paper]:
    text = shown(table(*rows, by_block=by_block))
    with Paper(PAPERS["a4"], title="table", at=NOW) as paper:
        return text, fits(text, paper, by_block=by_block), paper


def test_a_narrow_table_is_as_wide_as_its_words() -> None:
    _text, (fit,), paper = fitted(("Creek", 12, "well"))
    assert fit.points == SIZES[0]
    assert sum(fit.widths) < paper.inner / 3


def test_a_wide_table_is_set_smaller_before_it_is_folded() -> None:
    _text, (fit,), paper = fitted(tuple(f"Head {n} of" for n in range(12)))
    assert SIZES[-1] <= fit.points < SIZES[0]
    for at, width in enumerate(fit.widths):
        assert width >= paper.measure(f"Head {at} of", fit.points)


def test_long_words_are_folded_where_smaller_type_would_not_help() -> None:
    _text, (fit,), paper = fitted(("Creek", 1234567, "the birch is down on the line " * 12))
    assert fit.points == SIZES[0]
    assert sum(fit.widths) + 2 * BETWEEN <= paper.inner
    assert fit.widths[1] >= paper.measure("1,234,567", fit.points)


def test_a_table_of_many_numbers_goes_on_under_itself() -> None:
    """60 columns are too many for any type one could read: the first is named again."""
    row = ("Creek", *(1234567 + n for n in range(60)))
    text, found, paper = fitted(row)
    assert len(found) > 1
    assert sorted({at for fit in found for at in fit.columns}) == list(range(61))
    for fit in found:
        assert fit.columns[0] == 0
        assert sum(fit.widths) + BETWEEN * (len(fit.widths) - 1) <= paper.inner + 1e-9
        assert fit.points == SIZES[-1]
    said = "".join(squeezed_pages(with_tables(table(row))))
    assert all(cell in said for cell in text.rows[0])


@settings(max_examples=15, deadline=None)
@given(
    rows=st.lists(
        st.tuples(
            st.text("ab ", min_size=1, max_size=80).filter(str.strip),
            st.integers(-(10**9), 10**9),
            st.floats(-1e6, 1e6).map(Money),
            st.text("ab ", max_size=200),
            st.none() | st.integers(0, 10**6),
        ),
        min_size=1,
        max_size=6,
    ),
    again=st.integers(1, 3),
)
def test_numbers_are_never_cut(rows: list[tuple[object, ...]], again: int) -> None:
    wide = table(*(row * again for row in rows))
    text = shown(wide)
    pages = "".join(squeezed_pages(with_tables(wide)))
    for row in text.rows:
        for at in text.right:
            assert row[at] in pages
    assert "~" not in pages


def test_bold_rows_of_blocks_have_room_too() -> None:
    rows = tuple(("Creek", line, Money(8888888.88)) for line in ("", "1 Ford"))
    found = squeezed_pages(with_tables(table(*rows, by_block=True)))[0]
    assert found.count("8,888,888.88") == 2


def test_what_is_cut_says_so() -> None:
    words = ("word " * 2000).strip()
    found = "".join(squeezed_pages(with_tables(table(("Creek", words)))))
    assert "~" in found
    is_on_the_paper(with_tables(table(("Creek", words))), "letter")


def test_no_row_is_torn() -> None:
    """A row of many lines is on one page from its first to its last."""
    rows = tuple((f"n{n}", f"first{n} {'word ' * 120}last{n}") for n in range(30))
    found = squeezed_pages(with_tables(table(*rows)))
    assert len(found) > 1
    for n in range(30):
        (on,) = [text for text in found if f"first{n}word" in text]
        assert f"last{n}" in on


def test_a_table_with_no_rows_says_so() -> None:
    empty = Listing("none", "Hazards", ("a", "b"), ("Block", "What"), ())
    assert "HazardsBlockWhatnothingtoshowyet" in squeezed_pages(with_tables(empty))[0]


# --- the file ----------------------------------------------------------------------------------


@pytest.mark.parametrize("paper", PAPERS)
def test_the_same_page_is_the_same_file_wherever_it_is_made(paper: str) -> None:
    first = page_pdf(season(), paper)
    assert page_pdf(season(), paper) == first
    assert built_elsewhere(f"page_pdf(page, '{paper}')") == {first}


@pytest.mark.parametrize("paper", PAPERS)
def test_it_has_the_size_and_the_name_it_should(paper: str) -> None:
    read = pages_of(page_pdf(season(), paper))
    for sheet in read.pages:
        size = (float(sheet.mediabox.width) / MM, float(sheet.mediabox.height) / MM)
        assert size == pytest.approx(PAPERS[paper], abs=0.01)
    assert read.metadata is not None
    assert read.metadata.title == "Season report: Quillby Hollow, season 2027, " + (
        "as of Fri 12 Mar 2027  (invented)"
    )


def test_charts_are_drawn_as_lines_black_white_and_grey() -> None:
    lines = dashes = 0
    for sheet in pages_of(page_pdf(season(), "a4")).pages:
        assert list(sheet.images) == []
        contents = sheet.get_contents()
        assert contents is not None
        for operands, operator in contents.operations:
            assert operator not in (b"rg", b"RG", b"k", b"K", b"sc", b"SC", b"scn", b"SCN")
            lines += operator == b"l"
            dashes += operator == b"d" and bool(operands[0])
    assert lines > 200
    assert dashes == 2  # the plan, and its sample in the legend


def test_what_is_drawn_after_a_grey_line_is_black_and_whole() -> None:
    with Paper(PAPERS["a4"], title="path", at=NOW) as paper:
        paper.page()
        paper.path(((20, 20), (30, 30)), ink=0.5, fill=0.5, dash=(1, 1), closed=True)
        paper.path(((20, 20),), ink=0.5)  # one spot is no line
        paper.rule(20, 40, 10)
        data = paper.done()
    contents = pages_of(data).pages[0].get_contents()
    assert contents is not None
    state: dict[bytes, object] = {}
    for operands, operator in contents.operations:
        if operator in (b"G", b"g", b"d"):
            state[operator] = operands
    assert [float(x) for x in state[b"G"]] == [0]  # type: ignore[attr-defined]
    assert [float(x) for x in state[b"g"]] == [0]  # type: ignore[attr-defined]
    assert not state[b"d"][0]  # type: ignore[index]


def test_no_type_is_too_small_to_read() -> None:
    data = page_pdf(season(blocks(40, LONG)), "letter")
    assert min(size for kind, (size, *_rest) in drawn(data) if kind == "Tf") >= SIZES[-1] >= 7


def test_parts_of_a_page_do_not_stand_on_one_another() -> None:
    with Paper(PAPERS["a4"], title="page", at=NOW) as blank:
        report = PagePaper(season(blocks(40)), blank)
        for placed in flow(list(report.parts()), report.room):
            for before, after in pairwise(placed):
                assert before.top + before.what.height <= after.top + 1e-9


def test_pages_are_numbered_in_order() -> None:
    found = "".join(squeezed_pages(season(blocks(40))))
    numbers = re.findall(r"page(\d+)of", found)
    assert numbers == [str(n + 1) for n in range(len(numbers))]
