"""A chart as a drawing inside a web page, with its words for who cannot see it."""

from unicodedata import east_asian_width
from xml.etree.ElementTree import Element, SubElement

from fieldbook.reports.charts import Chart
from fieldbook.reports.render.figure import TEXT, Figure, figure
from fieldbook.reports.render.looks import Stroke
from fieldbook.reports.render.pdf import ASCENT

WIDTH = 186.0
"""Width of a drawing, in its own units: millimetres on paper, where a page has room for so many."""

SIZE = TEXT * 25.4 / 72
"""Size of the words in the same units."""

NARROW, BROAD = frozenset("iljtfrI.,:;'!|()[] "), frozenset("mwMWOQ@%&#-_+=")


def chart_svg(chart: Chart, key: str) -> Element:
    """A chart as an SVG element.

    Args:
        chart: The chart.
        key: A word that no other chart of the document has.
    """
    drawn = figure(chart, width=WIDTH, measure=estimate)
    names = {"title": f"{key}-title", "desc": f"{key}-says"}
    svg = Element(
        "svg",
        {
            "viewBox": f"0 0 {_mm(drawn.width)} {_mm(drawn.height)}",
            "role": "img",
            "aria-labelledby": " ".join(names.values()),
            "font-size": _mm(SIZE),
        },
    )
    for (tag, name), text in zip(names.items(), (chart.title, chart.says), strict=True):
        SubElement(svg, tag, {"id": name}).text = text
    for stroke in drawn.strokes:
        SubElement(svg, "polygon" if stroke.closed else "polyline", _stroke(stroke))
    _words(svg, drawn)
    return svg


def _stroke(stroke: Stroke) -> dict[str, str]:
    look = {
        "points": " ".join(f"{_mm(x)},{_mm(y)}" for x, y in stroke.spots),
        "fill": "none" if stroke.fill is None else _grey(stroke.fill),
        "stroke": _grey(stroke.ink),
        "stroke-width": _mm(stroke.thick),
    }
    if stroke.dash is not None:
        look["stroke-dasharray"] = " ".join(map(_mm, stroke.dash))
    return look


def _words(svg: Element, drawn: Figure) -> None:
    for words in drawn.words:
        place = {"x": _mm(words.x), "y": _mm(words.y + ASCENT * TEXT)}
        if words.at != "start":
            place["text-anchor"] = words.at
        SubElement(svg, "text", place).text = words.text


def estimate(text: str) -> float:
    """About how wide words are: which font a reader has is not known, so rather too wide."""
    return sum(map(_wide, text)) * SIZE


def _wide(letter: str) -> float:
    """The width of a letter in parts of its size."""
    if east_asian_width(letter) in "WF":
        return 1.0
    if letter in BROAD:
        return 0.9
    if letter in NARROW:
        return 0.36
    return 0.72 if letter.isupper() else 0.58


def _mm(value: float) -> str:
    """A measure with as many places as can be seen."""
    return f"{value:z.2f}".rstrip("0").rstrip(".")


def _grey(share: float) -> str:
    return "#" + f"{round(255 * share):02x}" * 3
