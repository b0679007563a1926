"""A page for a browser: one file that asks nothing of a network, with typed words as words."""

import re
from collections import Counter
from html.parser import HTMLParser
from xml.etree import ElementTree

import pytest
from msgspec.structs import replace

from fieldbook.reports.listing import Listing
from fieldbook.reports.page import Page, Section
from fieldbook.reports.render.page_html import page_html
from tests.reports.pages import (
    CHARTS,
    HOSTILE,
    LONG,
    blocks,
    built_elsewhere,
    hostile,
    said_in,
    season,
    squeezed,
    with_charts,
)

EMPTY = {"meta"}
"""Marks that are never closed."""


class Reader(HTMLParser):
    """What a browser makes of a document: marks that are closed in turn, and the words."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: Counter[str] = Counter()
        self.attributes: list[tuple[str, str | None]] = []
        self.words: list[str] = []
        self.bold: list[str] = []
        self.declared: list[str] = []
        self._open: list[str] = []
        self.feed(text)
        self.close()
        assert self._open == []

    def handle_decl(self, decl: str) -> None:
        self.declared.append(decl)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags[tag] += 1
        self.attributes += attrs
        if tag not in EMPTY:
            self._open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self._open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self._open and self._open[-1] != "style":
            self.words.append(data)
            if "strong" in self._open:
                self.bold.append(data)

    @property
    def text(self) -> str:
        return squeezed("".join(self.words))


def drawings(text: str) -> list[ElementTree.Element]:
    """The charts, read as strictly as XML is."""
    return [ElementTree.fromstring(svg) for svg in re.findall(r"<svg.*?</svg>", text, re.DOTALL)]


# --- words -------------------------------------------------------------------------------------


@pytest.mark.parametrize("many", [0, 3, 7, 40])
def test_every_word_of_a_page_is_there(many: int) -> None:
    page = season(blocks(many))
    found = Reader(page_html(page)).text
    for words in said_in(page):
        assert squeezed(words) in found, words


def test_long_names_are_whole() -> None:
    page = season(blocks(7, LONG))
    assert Reader(page_html(page)).text.count(squeezed(LONG)) >= 14


def test_hostile_words_are_words() -> None:
    text = page_html(hostile())
    read, harmless = Reader(text), Reader(page_html(season()))
    assert "script" not in read.tags
    assert "b" not in read.tags
    assert set(read.tags) <= {*harmless.tags, "strong"}
    found = read.text
    for words in said_in(hostile()):
        assert squeezed(words) in found
    assert "<script" not in text
    for drawing in drawings(text):
        assert drawing.findtext("title") == HOSTILE
        assert drawing.findtext("desc") == HOSTILE


def test_hostile_words_are_in_no_attribute() -> None:
    """There they could end it, or begin another."""
    for name, value in Reader(page_html(hostile())).attributes:
        assert "alert" not in f"{name}{value}"


def test_a_line_of_words_has_the_blanks_it_came_with_and_no_others() -> None:
    """They are shown: a line may be indented."""
    page = replace(season(), lines=("  two in", "! bold", "   ! three in"), sections=())
    text = page_html(page)
    assert "<p>  two in</p>" in text
    assert "<p><strong>! bold</strong></p>" in text
    assert "<p><strong>   ! three in</strong></p>" in text


def test_what_wants_a_look_is_bold() -> None:
    bold = Reader(page_html(season())).bold
    assert bold == [
        "! 2 lines are planned by their trees, and those are not tallied",
        "! a tank ran over",
        "! Creek / 1 Cliff has no taps planned",
    ]


# --- one file ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "page", [season(), with_charts(*CHARTS.values())], ids=["season", "charts"]
)
def test_it_asks_for_nothing_else(page: Page) -> None:
    text = page_html(page)
    assert text.count("http") == text.count("http-equiv") == 1
    for asking in ("src=", "url(", "href", "@import", "<script", "<link", "//", "xmlns", "data:"):
        assert asking not in text, asking
    attributes = Reader(text).attributes
    policy = "default-src 'none'; style-src 'unsafe-inline'"
    assert ("http-equiv", "Content-Security-Policy") in attributes
    assert ("content", policy) in attributes
    assert not [name for name, _value in attributes if name.startswith("on") or name == "style"]


def test_it_is_html_5_in_english_in_utf_8() -> None:
    read = Reader(page_html(season()))
    assert read.declared == ["DOCTYPE html"]
    assert ("lang", "en") in read.attributes
    assert ("charset", "utf-8") in read.attributes
    assert page_html(season()).index("charset") < 1024  # where a browser looks for it


def test_the_same_page_is_the_same_text_wherever_it_is_made() -> None:
    first = page_html(season())
    assert page_html(season()) == first
    assert built_elsewhere("page_html(page)") == {first.encode()}


def test_it_knows_its_paper() -> None:
    assert "size: A4;" in page_html(season())
    assert "size: letter;" in page_html(season(), paper="letter")


# --- parts -------------------------------------------------------------------------------------


def test_heads_tables_and_charts_are_what_they_are() -> None:
    page = season()
    tags = Reader(page_html(page)).tags
    assert tags["h1"] == 1
    assert tags["h2"] == tags["section"] == 3
    assert tags["table"] == tags["caption"] == tags["thead"] == tags["tbody"] == 3
    assert tags["svg"] == tags["figure"] == tags["figcaption"] == tags["desc"] == 2
    assert tags["tr"] == 3 + (7 + 2 * 7) + 7 + 1  # heads; blocks and lines; blocks; nothing


def test_ids_are_given_once_and_what_is_named_is_there() -> None:
    page = season()
    twice = replace(page, sections=(*page.sections, *page.sections))
    attributes = Reader(page_html(twice)).attributes
    ids = [value for name, value in attributes if name == "id"]
    assert len(set(ids)) == len(ids)
    named = [value or "" for name, value in attributes if name == "aria-labelledby"]
    assert {key for value in named for key in value.split()} == set(ids)


def test_numbers_are_flush_right_and_lines_under_their_block() -> None:
    text = page_html(season())
    assert '<td class="number">1,234.50</td>' in text
    assert '<th scope="col" class="number">Cost</th>' in text
    assert '<tr class="over">\n<th scope="row">Creek</th>' in text
    assert '<th scope="row" class="under">1 Cliff</th>' in text
    assert '<td class="whole">21 Jan</td>' in text
    assert "<td>sagging by the gate</td>" in text


def test_a_table_with_no_rows_says_so() -> None:
    empty = Listing("none", "Hazards", ("a", "b"), ("Block", "What"), ())
    page = replace(season(), sections=(Section("none", "None", listings=(empty,)),))
    text = page_html(page)
    assert '<td colspan="2">nothing to show yet</td>' in text
    assert Reader(text).tags["tr"] == 2


def test_small_parts_are_not_torn_on_paper() -> None:
    text = page_html(season(blocks(40)))
    assert text.count('<section aria-labelledby="part1" class="short">') == 1
    assert '<section aria-labelledby="part3">' in text  # it has more rows than a page
    assert text.count('<table class="short">') == 1  # that of no hazards
    css = text[text.index("<style>") : text.index("</style>")]
    assert "figure, tr, .short { break-inside: avoid; }" in css
    assert "thead { display: table-header-group; }" in css
    assert re.search(r"h1, h2, figcaption, caption \{ break-after: avoid;", css)


# --- charts ------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", CHARTS)
def test_every_chart_is_a_sound_drawing_in_words_too(name: str) -> None:
    chart = CHARTS[name]
    (drawing,) = drawings(page_html(with_charts(chart)))
    assert drawing.get("role") == "img"
    assert drawing.findtext("title") == chart.title
    assert (drawing.findtext("desc") or "") == chart.says
    left, top, width, height = map(float, (drawing.get("viewBox") or "").split())
    assert (left, top) == (0, 0)
    shapes = [shape for shape in drawing if shape.tag in ("polyline", "polygon")]
    assert shapes
    for shape in shapes:
        for spot in (shape.get("points") or "").split():
            x, y = map(float, spot.split(","))
            assert 0 <= x <= width
            assert 0 <= y <= height


def test_charts_are_black_white_and_grey() -> None:
    text = page_html(with_charts(*CHARTS.values()))
    colours = set(re.findall(r"#[0-9a-f]+", text))
    assert {"#000", "#fff", "#000000", "#ffffff"} <= colours
    for colour in colours:
        parts = re.findall("..", colour[1:]) if len(colour) == 7 else list(colour[1:])
        assert len(set(parts)) == 1, colour


def test_dashes_tell_the_plan_from_the_work() -> None:
    (drawing,) = drawings(page_html(with_charts(CHARTS["taps"])))
    dashed = [shape for shape in drawing if shape.get("stroke-dasharray")]
    assert len(dashed) == 2  # the plan, and its sample in the legend
