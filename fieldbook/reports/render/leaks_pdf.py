"""The leak walk on paper: who walks which lines, in which order, with boxes for the gauges."""

from collections.abc import Iterator, Sequence
from datetime import UTC, datetime, time

from fieldbook.i18n import _
from fieldbook.reports.leak_lines import LineLeaks
from fieldbook.reports.leak_walk import Leg
from fieldbook.reports.leaks import CAUTIONS, Leaks
from fieldbook.reports.leaks_words import (
    leg_place,
    pump_said,
    standing_said,
    stop_said,
    unknown_said,
)
from fieldbook.reports.render.pdf import LEADING, MARGIN, PAPERS, Paper, tall
from fieldbook.reports.render.pieces import Piece, draw_pieces, paginate
from fieldbook.reports.render.sheet_pdf import BOX, GAP, NAME, PLAIN, SMALL
from fieldbook.reports.sheet import REMINDER
from fieldbook.reports.vacuum import vacuum_words
from fieldbook.reports.words import heading
from fieldbook.season.dates import brief_day

HEAD, FOOT, COLUMN_HEAD = 16.0, 6.0, 5.5
"""Height of what stands at the top and bottom of each page, and over the boxes."""

NUMBER, GAUGE, TIME, FOUND = 9.0, 17.0, 17.0, 46.0
"""Widths in millimetres: a stop's number, the box of a gauge, of a time, of what was found."""

TITLE = 15.0
"""Size of the title in points."""


def leaks_pdf(report: Leaks, paper: str, units: str) -> bytes:
    """The walk as a PDF file.

    Args:
        report: The leaks.
        paper: `a4` or `letter`.
        units: `us` or `metric`.

    Raises:
        BookError: The fonts are not installed.
    """
    title = heading(report.book, report.season, report.as_of, invented=report.invented)
    at = datetime.combine(report.as_of, time(), UTC)
    with Paper(PAPERS[paper], title=title, at=at) as blank:
        walk = WalkPaper(report, blank, title, units)
        pages = paginate(list(walk.pieces()), walk.room, column_head=COLUMN_HEAD)
        for number, pieces in enumerate(pages, start=1):
            walk.draw(pieces, number, len(pages))
        return blank.done()


class WalkPaper:
    """A walk and the paper it is drawn on.

    Args:
        report: The leaks.
        paper: The paper, blank.
        title: What stands above it.
        units: `us` or `metric`.

    Attributes:
        room: Height there is for pieces on a page, in millimetres.
    """

    def __init__(self, report: Leaks, paper: Paper, title: str, units: str) -> None:
        self.report, self.paper, self.title, self.units = report, paper, title, units
        self.room = paper.height - 2 * MARGIN - HEAD - FOOT
        self._lines = {(line.block, line.line): line for line in report.lines}
        self._boxes = (
            (_("head"), GAUGE),
            (_("far, wet"), GAUGE),
            (_("dry pipe"), GAUGE),
            (_("found, mended, where"), FOUND),
            (_("time"), TIME),
        )
        self._words_width = paper.inner - NUMBER - sum(width for _head, width in self._boxes)

    def pieces(self) -> Iterator[Piece]:
        """All of the walk from top to bottom."""
        walk = self.report.walk
        for caution in CAUTIONS:
            yield self._words(f"! {_(caution)}", bold=True)
        yield Piece(GAP, lambda _y: None)
        for said in (*pump_said(self.report, self.units), *standing_said(self.report, self.units)):
            yield self._words(said)
        for person in range(1, walk.people + 1):
            legs = [leg for leg in walk.legs if leg.person == person]
            if legs:
                yield self._whose(person, legs)
                yield from (self._row(leg) for leg in legs)
        yield Piece(GAP, lambda _y: None)
        for said in unknown_said(walk):
            yield self._words(said, bold=True)
        yield self._words(stop_said(walk), bold=True)
        for leg in walk.later:
            yield self._words(_("No time for: {where}").format(where=leg_place(leg)))

    def _words(self, text: str, *, bold: bool = False) -> Piece:
        paper = self.paper
        lines = paper.wrap(text, paper.inner, PLAIN, bold=bold, most=6)

        def draw(y: float) -> None:
            paper.block(MARGIN, y, lines, PLAIN, bold=bold)

        return Piece(tall(lines, PLAIN) + 0.4, draw)

    def _whose(self, person: int, legs: Sequence[Leg]) -> Piece:
        """Whose way it is, with room for a name, and how long it takes."""
        paper = self.paper
        said = _("Way {n}: {lines} lines, {hours:.1f} h.   Who: ____________   Back by: ______")
        words = said.format(n=person, lines=len(legs), hours=legs[-1].done_after)

        def draw(y: float) -> None:
            paper.text(MARGIN, y + 2.5, words, NAME, bold=True)

        return Piece(LEADING * NAME + 4, draw, heads=True)

    def _row(self, leg: Leg) -> Piece:
        """A line with what to look for, and boxes for what its gauges read."""
        paper, line = self.paper, self._lines[leg.block, leg.line]
        width = self._words_width - 2
        name = paper.wrap(leg_place(leg), width, NAME, bold=True, most=3)
        facts = paper.wrap(self._facts(leg, line), width, SMALL, most=4)
        beside = max(BOX, tall(name, NAME) + tall(facts, SMALL)) + GAP / 2
        look = [words for said in (leg.says, *line.leaks[1:]) for words in self._look(said)]
        height = GAP + beside + tall(look, PLAIN) + GAP

        def draw(y: float) -> None:
            paper.rule(MARGIN, y, paper.inner)
            y += GAP
            paper.text(MARGIN + NUMBER - 3, y, str(leg.stop), NAME, bold=True, right=True)
            x = MARGIN + NUMBER
            paper.block(x, paper.block(x, y, name, NAME, bold=True), facts, SMALL)
            x += self._words_width
            for head, box in self._boxes:
                if head != _("dry pipe") or line.layout == "pair":
                    paper.box(x, y, box - GAP, BOX)
                x += box
            paper.block(MARGIN + NUMBER, y + beside, look, PLAIN)

        return Piece(height, draw, leg.line)

    def _look(self, said: str) -> list[str]:
        if not said:
            return []
        return self.paper.wrap(f"! {said}", self.paper.inner - NUMBER, PLAIN, most=4)

    def _facts(self, leg: Leg, line: LineLeaks) -> str:
        """`214 taps; 22.0 inHg on 9 Feb; loses 19 gal a day; 0.4 h, done after 0.8 h`."""
        parts = [_("{n:,} taps").format(n=line.taps)]
        if line.vacuum_inhg is not None and line.read is not None:
            vacuum = vacuum_words(line.vacuum_inhg, self.units)
            day = brief_day(line.read.date())
            parts.append(_("{vacuum} on {day}").format(vacuum=vacuum, day=day))
        parts.append(_("loses {gal:,.0f} gal a day").format(gal=leg.loses_gal_day))
        time = _("{hours:.1f} h, done after {after:.1f} h")
        parts.append(time.format(hours=leg.hours, after=leg.done_after))
        return "; ".join(parts)

    def draw(self, pieces: Sequence[Piece], number: int, of: int) -> None:
        """One page."""
        paper = self.paper
        paper.page()
        right = MARGIN + paper.inner
        pages = _("page {n} of {of}").format(n=number, of=of)
        paper.text(right, MARGIN, pages, PLAIN, bold=True, right=True)
        room = paper.inner - paper.measure(pages, PLAIN, bold=True) - 4
        paper.text(MARGIN, MARGIN - 1, _("Leak walk"), TITLE, bold=True)
        for words in paper.wrap(self.title, room, PLAIN):
            paper.text(MARGIN, MARGIN + 6, words, PLAIN)
        paper.rule(MARGIN, MARGIN + HEAD - 4, paper.inner, thick=0.6)
        draw_pieces(pieces, MARGIN + HEAD, column_heads=self._column_heads, column_head=COLUMN_HEAD)
        bottom = paper.height - MARGIN - LEADING * SMALL
        paper.block(MARGIN, bottom, paper.wrap(_(REMINDER), paper.inner, SMALL), SMALL)

    def _column_heads(self, y: float) -> None:
        x = MARGIN + NUMBER + self._words_width
        for head, width in self._boxes:
            said = self.paper.wrap(head, width - GAP, SMALL, bold=True)
            self.paper.block(x, y, said, SMALL, bold=True)
            x += width
