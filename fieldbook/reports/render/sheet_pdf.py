"""A sheet on paper: boxes to write in with a cold hand, in the order and with the marks of the
round. It is laid out in pieces that are not torn apart, and the pieces are put on pages."""

from collections.abc import Iterator, Sequence

from fieldbook.i18n import _
from fieldbook.reports.render.pdf import LEADING, MARGIN, PAPERS, Paper, tall
from fieldbook.reports.render.pieces import Piece, draw_pieces, paginate
from fieldbook.reports.sheet import (
    REMINDER,
    SheetLine,
    SheetPage,
    dated,
    headed,
    letters,
    minded,
    ticks_of,
    told,
)

BOX = 12.5
"""Height of a box to write in, in millimetres: a hand in a glove needs 12."""

NUMBER, COUNT, HOURS, FINISHED, STEP, NOTE = 11.0, 24.0, 17.0, 15.0, 9.0, 35.0
"""Widths of the columns in millimetres; the line's name has what is left."""

GAUGE = 16.0
"""Width of the box of a gauge, where those are read."""

STEPS_ABREAST = 3
"""Boxes of steps beside one another; more go below."""

GAP = 1.2
"""Between boxes, in millimetres."""

HEAD, FOOT, COLUMN_HEAD = 26.0, 6.0, 5.5
"""Height of what stands at the top and bottom of each page, and over the boxes."""

SMALL, PLAIN, NAME, BLOCK, CORNER = 9.0, 9.5, 11.0, 17.0, 40.0
"""Sizes of text in points; nothing is smaller than the first."""

NAME_LINES, WORDS_LINES, STEPS_LINES = 3, 8, 36
"""Lines that a name, a hazard or a caution, and the list of steps may take."""

STEPS_BOXED = 36
"""Steps that have a box; with more than fit beside a line, the page would be too short."""


def sheet_pdf(page: SheetPage, paper: str) -> bytes:
    """A sheet as a PDF file.

    Args:
        page: The sheet.
        paper: `a4` or `letter`.

    Raises:
        BookError: The fonts are not installed.
    """
    title = _("Sheet {n}, {block}, {task}").format(n=page.number, block=page.block, task=page.task)
    with Paper(PAPERS[paper], title=title, at=page.printed) as blank:
        sheet = SheetPaper(page, blank)
        pages = paginate(list(sheet.pieces()), sheet.room, column_head=COLUMN_HEAD)
        for number, pieces in enumerate(pages, start=1):
            sheet.draw(pieces, number, len(pages))
        return blank.done()


class SheetPaper:
    """A sheet and the paper it is drawn on.

    Args:
        page: The sheet.
        paper: The paper, blank.

    Attributes:
        room: Height there is for pieces on a page, in millimetres.
    """

    def __init__(self, page: SheetPage, paper: Paper) -> None:
        self.page, self.paper = page, paper
        self.room = paper.height - 2 * MARGIN - HEAD - FOOT
        abreast = min(STEPS_ABREAST, len(page.steps))
        self._steps_width = abreast * STEP
        self._note_width = NOTE + (STEPS_ABREAST - abreast) * STEP / 2
        gauges = max((len(line.gauges) for line in page.lines), default=0)
        self._count_width = max(COUNT, gauges * GAUGE)
        taken = NUMBER + self._count_width + HOURS + FINISHED
        taken += self._steps_width + self._note_width
        self._name_width = paper.inner - taken

    # --- what there is to draw ---

    def pieces(self) -> Iterator[Piece]:
        """All of a sheet from top to bottom."""
        page = self.page
        yield from self._words(_("Cautions"), page.cautions)
        yield from self._words(_("Hazards in the block"), page.hazards)
        yield from self._words(_("In the woods"), page.out)
        yield from self._words(_("Notes"), page.notes, grave=False)
        steps = "    ".join(f"{letters(i)} = {step}" for i, step in enumerate(page.steps))
        for head, said in ((_("Steps"), steps), (_("Spouts"), page.bag)):
            if said:
                yield from self._words(head, (said,), grave=False, most=STEPS_LINES)
        yield Piece(2.0, lambda _y: None)
        for line in page.lines:
            mind = minded(line)
            yield self._row(line, mind[:1], more=len(mind) > 1)
            for at, words in enumerate(mind[1:], start=2):
                yield self._mind(words, more=at < len(mind))
        yield self._ending()

    def _words(
        self, head: str, said: Sequence[str], *, grave: bool = True, most: int = WORDS_LINES
    ) -> Iterator[Piece]:
        """Words with a head before the first; what is grave has a mark and a bar beside it."""
        paper, left = self.paper, 24.0
        for at, words in enumerate(said):
            text = f"! {words}" if grave else words
            width = paper.inner - left
            lines = paper.wrap(text, width, PLAIN, bold=grave, most=most)
            height = tall(lines, PLAIN)
            heads = paper.wrap(head, left - 4, SMALL, bold=True, most=2) if at == 0 else []
            height = max(height, tall(heads, SMALL)) + (0.8 if at == len(said) - 1 else 0)

            def draw(
                y: float, lines: list[str] = lines, heads: list[str] = heads, height: float = height
            ) -> None:
                paper.block(MARGIN, y, heads, SMALL, bold=True)
                paper.block(MARGIN + left, y, lines, PLAIN, bold=grave)
                if grave:
                    paper.bar(MARGIN + left - 2, y, height)

            yield Piece(height, draw)

    def _row(self, line: SheetLine, minded: Sequence[str], *, more: bool) -> Piece:
        """A line with its boxes, and the first of what to mind there; more may stand below."""
        paper = self.paper
        width = self._name_width - 2
        name = paper.wrap(line.name, width, NAME, bold=True, most=NAME_LINES)
        standing = paper.wrap(f"{line.mark.strip()} {line.word}", width, SMALL)
        counts, *facts = told(line) or [""]
        standing += paper.wrap(counts, width, SMALL, most=2)
        below = "   ".join(part for part in (*facts, line.remark) if part)
        wide = paper.inner - NUMBER
        under = paper.wrap(below, wide, SMALL, most=2)
        mind = [self._mind(words, more=True) for words in minded]
        tiers = -(-min(STEPS_BOXED, len(self.page.steps)) // STEPS_ABREAST)
        beside = max(
            tall(name, NAME) + tall(standing, SMALL), BOX + max(0, tiers - 1) * (BOX + GAP)
        )
        beside += GAP / 2
        height = GAP + beside + tall(under, SMALL) + sum(x.height for x in mind)
        height += 0 if more else GAP

        def draw(y: float) -> None:
            paper.rule(MARGIN, y, paper.inner)
            y += GAP
            order = str(line.order) if line.order else "-"
            paper.text(MARGIN + NUMBER - 3, y, order, NAME, bold=True, right=True)
            x = MARGIN + NUMBER
            paper.block(x, paper.block(x, y, name, NAME, bold=True), standing, SMALL)
            self._boxes(y, line)
            y = paper.block(x, y + beside, under, SMALL)
            for piece in mind:
                piece.draw(y)
                y += piece.height

        return Piece(height, draw, line.name)

    def _mind(self, words: str, *, more: bool) -> Piece:
        """What to mind on a line; what can hurt somebody is bold."""
        paper, grave = self.paper, words.startswith("!")
        width = paper.inner - NUMBER
        lines = paper.wrap(words, width, PLAIN, bold=grave, most=WORDS_LINES)

        def draw(y: float) -> None:
            paper.block(MARGIN + NUMBER, y, lines, PLAIN, bold=grave)

        return Piece(tall(lines, PLAIN) + (0 if more else GAP), draw)

    def _boxes(self, y: float, line: SheetLine) -> None:
        """The boxes of a row."""
        x = MARGIN + NUMBER + self._name_width
        for label in line.gauges or ("",):  # a box for the count, or one for each gauge
            width = self._count_width / max(1, len(line.gauges))
            self.paper.box(x, y, width - GAP, BOX)
            self.paper.text(x + 0.7, y + 0.2, label, SMALL)
            x += width
        self.paper.box(x, y, HOURS - GAP, BOX)
        x += HOURS
        self.paper.box(x, y, FINISHED - GAP, BOX)
        x += FINISHED
        for at, ticked in enumerate(ticks_of(line, self.page)[:STEPS_BOXED]):
            tier, beside = divmod(at, STEPS_ABREAST)
            left, top = x + beside * STEP, y + tier * (BOX + GAP)
            self.paper.box(left, top, STEP - GAP, BOX, ticked=ticked)
            self.paper.text(left + 0.7, top + 0.2, letters(at), SMALL)
        x += self._steps_width
        self.paper.box(x, y, self._note_width, BOX)

    def _ending(self) -> Piece:
        """Boxes for who went, and for the spouts they took along."""
        paper = self.paper
        groups = (
            (_("In the woods"), (_("out at"), _("due back"), _("back at"))),
            (_("Spouts"), (_("issued"), _("returned"), _("scrapped"))),
        )
        width = (paper.inner - 4 + GAP) / 6

        def draw(y: float) -> None:
            paper.rule(MARGIN, y, paper.inner, thick=0.6)
            x, y = MARGIN, y + 2
            for head, labels in groups:
                paper.text(x, y, head, SMALL, bold=True)
                for label in labels:
                    paper.text(x, y + LEADING * SMALL, label, SMALL)
                    paper.box(x, y + 2 * LEADING * SMALL + 0.5, width - GAP, BOX)
                    x += width
                x += 4

        return Piece(2 + 2 * LEADING * SMALL + 0.5 + BOX + 1, draw)

    # --- pages ---

    def draw(self, pieces: Sequence[Piece], number: int, of: int) -> None:
        """One page."""
        self.paper.page()
        self._head(number, of)
        draw_pieces(pieces, MARGIN + HEAD, column_heads=self._column_heads, column_head=COLUMN_HEAD)
        bottom = self.paper.height - MARGIN - LEADING * SMALL
        reminder = self.paper.wrap(_(REMINDER), self.paper.inner, SMALL)
        self.paper.block(MARGIN, bottom, reminder, SMALL)

    def _head(self, number: int, of: int) -> None:
        """What stands on every page: whose it is, where, what, and the number in the corner."""
        paper, page = self.paper, self.page
        right = MARGIN + paper.inner
        corner = str(page.number)
        pages = _("page {n} of {of}").format(n=number, of=of)
        paper.text(right, MARGIN - 3, corner, CORNER, bold=True, right=True)
        paper.text(right, MARGIN + 14.5, f"{page.entry}   {pages}", PLAIN, bold=True, right=True)
        taken = max(
            paper.measure(corner, CORNER, bold=True) + paper.measure(_("sheet"), NAME) + 3,
            paper.measure(f"{page.entry}   {pages}", PLAIN, bold=True),
        )
        corner_left = right - paper.measure(corner, CORNER, bold=True) - 3
        paper.text(corner_left, MARGIN + 7, _("sheet"), NAME, right=True)
        room = paper.inner - taken - 5
        self._beside(MARGIN, (headed(page), ""), room, PLAIN)
        self._beside(MARGIN + 5, (page.block, page.task), room, BLOCK, between=" / ", bold=True)
        whose = _("for {who}").format(who=page.who) if page.who else ""
        self._beside(MARGIN + 14.5, (whose, dated(page)), room, NAME, between="    ")
        paper.rule(MARGIN, MARGIN + HEAD - 4, paper.inner, thick=0.6)

    def _beside(
        self,
        y: float,
        texts: tuple[str, str],
        room: float,
        points: float,
        *,
        between: str = "",
        bold: bool = False,
    ) -> None:
        """Two texts in one line: where they are too long, each is cut and none is lost."""
        paper = self.paper
        then = "".join(paper.wrap(texts[1], room * 0.6, points, bold=bold))
        rest = between + then if texts[0] and then else then
        width = room - paper.measure("x" + rest, points, bold=bold)  # blanks in front count too
        first = "".join(paper.wrap(texts[0], width, points, bold=bold))
        paper.text(MARGIN, y, first + rest, points, bold=bold)

    def _column_heads(self, y: float) -> None:
        paper = self.paper
        x = MARGIN + NUMBER + self._name_width
        heads = (
            (self.page.unit, self._count_width),
            (_("hours"), HOURS),
            (_("finished"), FINISHED),
            (_("steps") if self.page.steps else "", self._steps_width),
            (_("note"), self._note_width),
        )
        for head, width in heads:
            said = paper.wrap(head, width - GAP, SMALL, bold=True) if head else []
            paper.block(x, y, said, SMALL, bold=True)
            x += width
