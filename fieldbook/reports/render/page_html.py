"""A page as one file for any browser: it asks nothing of a network and prints on any printer.

It is built as a tree and then written, so that what people typed is never taken for a mark.
"""

from collections.abc import Sequence
from xml.etree.ElementTree import Element, SubElement, indent, tostring

from fieldbook.i18n import _
from fieldbook.reports.charts import Chart
from fieldbook.reports.listing import Listing, shown
from fieldbook.reports.page import Page, Section
from fieldbook.reports.render.figure import nothing_said
from fieldbook.reports.render.figure_svg import chart_svg
from fieldbook.reports.sheet import FIRST

SIZES = {"a4": "A4", "letter": "letter"}
"""What a browser calls the papers."""

POLICY = "default-src 'none'; style-src 'unsafe-inline'"
"""What a browser may load for the page: nothing."""

SHORT = 12
"""So many lines and rows are kept on one page of paper."""

ONE_LINE = 60
"""A title of so many characters is not folded, however narrow its table is."""

WHOLE = 12
"""A column in which no cell has more characters is not folded, so that dates stay in one piece."""

CSS = """
@page { size: %s; margin: 12mm; }
:root { color-scheme: light; }
html { color: #000; background: #fff; }
body { font: 10pt/1.35 "Source Sans Pro", "Helvetica Neue", Arial, sans-serif;
  max-width: 186mm; margin: 8mm auto; padding: 0 4mm; overflow-wrap: break-word; }
header { border-bottom: 0.6mm solid #000; margin-bottom: 3mm; }
h1 { font-size: 16pt; margin: 0; }
h2 { font-size: 12.5pt; margin: 6mm 0 1.5mm; }
figcaption, caption { font-weight: bold; text-align: left; padding: 0 0 1mm; }
h1, h2, figcaption, caption { break-after: avoid; break-inside: avoid; }
p { margin: 0 0 1mm; padding-left: 4mm; text-indent: -4mm; white-space: pre-wrap;
  orphans: 3; widows: 3; }
figure { margin: 2mm 0 4mm; }
svg { display: block; width: 100%%; height: auto; }
table { border-collapse: collapse; margin: 2mm 0 1mm; max-width: 100%%; }
th, td { text-align: left; vertical-align: top; padding: 0.4mm 3mm 0.4mm 0; }
th { font-weight: inherit; }
thead th { font-weight: bold; vertical-align: bottom; border-bottom: 0.3mm solid #000; }
tbody tr { border-bottom: 0.1mm solid #bbb; }
thead { display: table-header-group; }
.whole { white-space: nowrap; }
.number { text-align: right; white-space: nowrap; font-variant-numeric: tabular-nums; }
.over { font-weight: bold; break-after: avoid; }
.under { padding-left: 4mm; }
figure, tr, .short { break-inside: avoid; }
footer { border-top: 0.2mm solid #000; margin-top: 6mm; padding-top: 1mm; font-size: 9pt; }
@media print { body { margin: 0; padding: 0; max-width: none; } }
"""


def page_html(page: Page, *, paper: str = "a4") -> str:
    """A page as an HTML document.

    Args:
        page: The page.
        paper: What it will be printed on, `a4` or `letter`.
    """
    html = Element("html", {"lang": "en"})
    head = SubElement(html, "head")
    SubElement(head, "meta", {"charset": "utf-8"})
    policy = {"http-equiv": "Content-Security-Policy", "content": POLICY}
    SubElement(head, "meta", policy)
    scale = {"name": "viewport", "content": "width=device-width, initial-scale=1"}
    SubElement(head, "meta", scale)
    SubElement(head, "title").text = f"{page.title}: {page.heading}"
    SubElement(head, "style").text = CSS % SIZES[paper]
    body = SubElement(html, "body")
    top = SubElement(body, "header")
    SubElement(top, "h1").text = page.title
    _line(top, page.heading)
    main = SubElement(body, "main")
    for line in page.lines:
        _line(main, line)
    for number, section in enumerate(page.sections, start=1):
        main.append(_section(section, f"part{number}"))
    _line(SubElement(body, "footer"), _(FIRST))
    indent(html, space="")  # a mark a line
    for bold in html.iterfind(".//p[strong]"):
        bold.text = bold[0].tail = None  # blanks in a line of words would be seen
    return "<!DOCTYPE html>\n" + tostring(html, encoding="unicode", method="html") + "\n"


def _line(into: Element, text: str) -> None:
    """A line of words; what wants a look is bold."""
    line = SubElement(into, "p")
    if text.lstrip().startswith("!"):
        line = SubElement(line, "strong")
    line.text = text


def _section(section: Section, key: str) -> Element:
    part = Element("section", {"aria-labelledby": key})
    if _short(section):
        part.set("class", "short")
    SubElement(part, "h2", {"id": key}).text = section.title
    for line in section.lines:
        _line(part, line)
    for number, chart in enumerate(section.charts, start=1):
        part.append(_figure(chart, f"{key}-chart{number}"))
    for listing in section.listings:
        part.append(_table(listing))
        for note in listing.notes:
            _line(part, note)
    return part


def _short(section: Section) -> bool:
    """Whether a section is so small that paper does not tear it."""
    rows = sum(3 + len(listing.rows) + len(listing.notes) for listing in section.listings)
    return len(section.charts) <= 1 and len(section.lines) + rows <= SHORT


def _figure(chart: Chart, key: str) -> Element:
    holder = Element("figure")
    SubElement(holder, "figcaption").text = chart.title
    holder.append(chart_svg(chart, key))
    return holder


def _table(listing: Listing) -> Element:
    table = Element("table")
    if len(listing.rows) <= SHORT:
        table.set("class", "short")
    one_line = {"class": "whole"} if len(listing.title) <= ONE_LINE else {}
    SubElement(table, "caption", one_line).text = listing.title
    text = shown(listing)
    heads = SubElement(SubElement(table, "thead"), "tr")
    for at, head in enumerate(text.heads):
        kind = {"class": "number"} if at in text.right else {}
        SubElement(heads, "th", {"scope": "col", **kind}).text = head
    body = SubElement(table, "tbody")
    looks = ["number" if at in text.right else "" for at in range(len(text.heads))]
    for at, cells in enumerate(zip(*text.rows, strict=True)):
        if not looks[at] and max(map(len, cells)) <= WHOLE:
            looks[at] = "whole"
    for row in text.rows:
        _row(body, row, looks, by_block=listing.by_block)
    if not text.rows:
        cell = SubElement(SubElement(body, "tr"), "td", {"colspan": str(max(1, len(text.heads)))})
        cell.text = nothing_said()
    return table


def _row(body: Element, cells: Sequence[str], looks: Sequence[str], *, by_block: bool) -> None:
    """A row; lines stand under their block, whose own row is bold."""
    under = by_block and cells[0].startswith("  ")
    row = SubElement(body, "tr", {"class": "over"} if by_block and not under else {})
    for at, (cell, look) in enumerate(zip(cells, looks, strict=True)):
        names = [name for name in (look, "under" if under and at == 0 else "") if name]
        kind = {"class": " ".join(names)} if names else {}
        if at == 0 and look != "number":
            SubElement(row, "th", {"scope": "row", **kind}).text = cell.strip()
        else:
            SubElement(row, "td", kind).text = cell.strip()
