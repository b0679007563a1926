"""A page on paper: words, charts drawn as lines, and tables whose heads come again."""

from collections.abc import Iterator, Sequence
from datetime import UTC, datetime, time

from fieldbook.i18n import _
from fieldbook.reports.charts import Chart
from fieldbook.reports.listing import Listing
from fieldbook.reports.page import Page, Section
from fieldbook.reports.render.figure import TEXT, Figure, figure
from fieldbook.reports.render.flow import Part, Placed, flow
from fieldbook.reports.render.pdf import LEADING, MARGIN, PAPERS, Paper, tall
from fieldbook.reports.render.table_pdf import TablePaper
from fieldbook.reports.sheet import FIRST

TITLE, SECTION, NAME, PLAIN, SMALL = 15.0, 12.0, 10.0, 9.5, 8.5
"""Sizes of text in points: of the page, a section, a chart or a table, words, and the foot."""

FOOT = 7.0
"""Height of what stands at the bottom of each page, in millimetres."""

APART = 5.0
"""White between sections, and less between what is in one."""

HANGING = 4.0
"""How far in a line goes on that needs more than one, in millimetres."""

TOGETHER = 8
"""Lines of one paragraph that are not torn apart."""

TABLES = 1000
"""More than the pieces a table is parted into: so each has a number of its own."""


def page_pdf(page: Page, paper: str) -> bytes:
    """A page as a PDF file.

    Args:
        page: The page.
        paper: `a4` or `letter`.

    Raises:
        BookError: The fonts are not installed.
    """
    at = datetime.combine(page.as_of, time(), UTC)
    with Paper(PAPERS[paper], title=f"{page.title}: {page.heading}", at=at) as blank:
        report = PagePaper(page, blank)
        pages = flow(list(report.parts()), report.room)
        for number, placed in enumerate(pages, start=1):
            report.draw(placed, number, len(pages))
        return blank.done()


class PagePaper:
    """A report and the paper it is drawn on.

    Args:
        page: The report.
        paper: The paper, blank.

    Attributes:
        room: Height there is for parts on a page, in millimetres.
    """

    def __init__(self, page: Page, paper: Paper) -> None:
        self.page, self.paper = page, paper
        pages = paper.measure(_of(888, 888), PLAIN, bold=True)
        self._title = paper.wrap(page.title, paper.inner - pages - 4, TITLE, bold=True, most=4)
        self._heading = paper.wrap(page.heading, paper.inner, PLAIN, most=3)
        self._top = MARGIN + tall(self._title, TITLE) + tall(self._heading, PLAIN) + 4
        self.room = paper.height - self._top - MARGIN - FOOT

    # --- what there is to draw ---

    def parts(self) -> Iterator[Part]:
        """All of the report from top to bottom."""
        for line in self.page.lines:
            yield from self._words(line)
        for number, section in enumerate(self.page.sections):
            yield from self._section(section, number * TABLES * TABLES)

    def _section(self, section: Section, number: int) -> Iterator[Part]:
        yield self._head(section.title, SECTION, space=APART)
        for at, line in enumerate(section.lines):
            alone = at in (0, len(section.lines) - 2) and at < len(section.lines) - 1
            yield from self._words(line, heads=alone)
        for chart in section.charts:
            yield self._chart(chart)
        for at, listing in enumerate(section.listings):
            yield from self._table(listing, number + at * TABLES)

    def _head(self, text: str, points: float, *, space: float) -> Part:
        """What stands over something, and on no page without it."""
        paper = self.paper
        lines = paper.wrap(text, paper.inner, points, bold=True, most=4)

        def draw(y: float) -> None:
            paper.block(MARGIN, y, lines, points, bold=True)

        return Part(tall(lines, points) + 0.8, draw, heads=True, space=space)

    def _words(self, text: str, *, heads: bool = False) -> Iterator[Part]:
        """A line of words; what wants a look is bold, and blanks in front stay.

        Args:
            text: The words.
            heads: Whether it would be alone on a page without what follows.
        """
        paper, bold = self.paper, text.lstrip().startswith("!")
        inset = min(40.0, 1.5 * (len(text) - len(text.lstrip())))
        width = paper.inner - inset - HANGING
        lines = paper.wrap(text, width, PLAIN, bold=bold, most=max(1, len(text)))
        for at in range(0, len(lines), TOGETHER):
            some = lines[at : at + TOGETHER]

            def draw(y: float, some: Sequence[str] = some, goes_on: bool = at > 0) -> None:
                for n, words in enumerate(some):
                    x = MARGIN + inset + (HANGING if n or goes_on else 0)
                    paper.text(x, y + tall(some[:n], PLAIN), words, PLAIN, bold=bold)

            yield Part(tall(some, PLAIN) + 0.4, draw, heads=heads)

    def _chart(self, chart: Chart) -> Part:
        """A chart under its title, with its words for who cannot see it."""
        paper = self.paper
        title = paper.wrap(chart.title, paper.inner, NAME, bold=True, most=4)
        says = paper.wrap(chart.says, paper.inner, SMALL, most=8)
        drawn = figure(chart, width=paper.inner, measure=lambda text: paper.measure(text, TEXT))

        def draw(y: float) -> None:
            y = paper.block(MARGIN, y, title, NAME, bold=True) + 1
            draw_figure(drawn, paper, MARGIN, y)
            paper.block(MARGIN, y + drawn.height + 1, says, SMALL)

        height = tall(title, NAME) + 1 + drawn.height + 1 + tall(says, SMALL)
        return Part(height, draw, space=APART / 2)

    def _table(self, listing: Listing, number: int) -> Iterator[Part]:
        yield self._head(listing.title, NAME, space=APART / 2)
        yield from TablePaper(listing, self.paper, number).parts()
        yield Part(1.0, lambda _y: None)
        for note in listing.notes:
            yield from self._words(note)

    # --- pages ---

    def draw(self, placed: Sequence[Placed], number: int, of: int) -> None:
        """One page."""
        paper = self.paper
        paper.page()
        right = MARGIN + paper.inner
        paper.text(right, MARGIN, _of(number, of), PLAIN, bold=True, right=True)
        y = paper.block(MARGIN, MARGIN - 1, self._title, TITLE, bold=True)
        y = paper.block(MARGIN, y, self._heading, PLAIN)
        paper.rule(MARGIN, y + 1.5, paper.inner, thick=0.6)
        for one in placed:
            one.what.draw(self._top + one.top)
        bottom = paper.height - MARGIN - LEADING * SMALL
        paper.block(MARGIN, bottom, paper.wrap(_(FIRST), paper.inner, SMALL), SMALL)


def draw_figure(drawn: Figure, paper: Paper, left: float, top: float) -> None:
    """Draw a chart, its top left at a place."""
    for stroke in drawn.strokes:
        moved = stroke.moved(left, top)
        paper.path(
            moved.spots,
            thick=moved.thick,
            dash=moved.dash,
            closed=moved.closed,
            fill=moved.fill,
            ink=moved.ink,
        )
    for words in drawn.words:
        wide = paper.measure(words.text, TEXT)
        x = left + words.x - {"start": 0.0, "middle": wide / 2, "end": wide}[words.at]
        paper.text(x, top + words.y, words.text, TEXT)


def _of(number: int, of: int) -> str:
    return _("page {n} of {of}").format(n=number, of=of)
