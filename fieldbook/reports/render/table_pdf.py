"""A table on paper: columns as wide as they need, as far as the page goes, and rows to place."""

import re
from collections.abc import Iterator, Sequence

from msgspec import Struct

from fieldbook.reports.listing import Listing, Shown, shown
from fieldbook.reports.render.figure import nothing_said
from fieldbook.reports.render.flow import Head, Part
from fieldbook.reports.render.pdf import MARGIN, Paper, tall

SIZES = (9.0, 8.5, 8.0, 7.5, 7.0)
"""Sizes of text in points, the first with which nothing is folded; text that none of them saves
from that is folded at the first that leaves it columns of some width, or else at the last."""

BETWEEN, INDENT, PAD = 3.5, 3.5, 0.5
"""Between columns, before a line under its block, and over and under a row, in millimetres."""

LEAST, DECENT = 14.0, 45.0
"""Width in millimetres under which no column of text is folded, and one that reads well."""

HEAD_LINES, CELL_LINES = 4, 14
"""Lines that the head of a column and a cell may take."""

HAIR = 0.8
"""Grey of the lines between rows."""

_WHOLE = re.compile(r"[\d.,:%/+-]*\d[\d.,:%/+-]*")  # what is as good as a number: never broken


class Fit(Struct, frozen=True):
    """Columns that fit beside one another.

    Attributes:
        points: Size of the text.
        columns: Their numbers.
        widths: Their widths in millimetres.
    """

    points: float
    columns: tuple[int, ...]
    widths: tuple[float, ...]


def fits(table: Shown, paper: Paper, *, by_block: bool) -> list[Fit]:
    """How a table is put on paper: in one piece, or its columns in several, under one another.

    Args:
        table: The table.
        paper: The paper.
        by_block: Whether lines stand under their block, whose own row is bold.
    """
    every = tuple(range(len(table.heads)))
    for points in SIZES:
        columns = [_Column(table, at, paper, points, by_block=by_block) for at in every]
        for wanted in ([c.wanted for c in columns], [c.folded for c in columns]):
            if _total(wanted) <= paper.inner:
                return [Fit(points, every, tuple(wanted))]
    for points in SIZES:
        columns = [_Column(table, at, paper, points, by_block=by_block) for at in every]
        if _total([max(c.least, min(c.folded, DECENT)) for c in columns]) <= paper.inner:
            break
    return _folded(columns, paper.inner, points)


class _Column:
    """What a column asks for: at its best, with its head folded, and with its cells folded too."""

    def __init__(
        self, table: Shown, at: int, paper: Paper, points: float, *, by_block: bool
    ) -> None:
        def measure(text: str, *, bold: bool = by_block) -> float:
            inset = INDENT if by_block and text.startswith("  ") else 0
            return paper.measure(text, points, bold=bold) + inset + 0.1  # for what is rounded

        cells = [row[at] for row in table.rows]
        head = table.heads[at]
        wide = max(map(measure, cells), default=0)
        words = [measure(word, bold=True) for word in head.split()]
        self.wanted = max(wide, measure(head, bold=True))
        self.folded = max(wide, *words, 0)
        whole = (w for cell in cells for w in cell.split() if _WHOLE.fullmatch(w))
        self.least = min(self.folded, max(LEAST, *words, *map(measure, whole)))


def _total(widths: Sequence[float]) -> float:
    return sum(widths) + BETWEEN * max(0, len(widths) - 1)


def _folded(columns: Sequence[_Column], room: float, points: float) -> list[Fit]:
    """Columns whose text is folded; where even that is too wide, the first is repeated."""
    out: list[Fit] = []
    rest = list(range(1, len(columns)))
    while rest or not out:
        taken = [0]
        while rest and _total([columns[n].least for n in (*taken, rest[0])]) <= room:
            taken.append(rest.pop(0))
        if rest and len(taken) == 1:
            taken.append(rest.pop(0))  # two that are too wide together are squeezed, not left out
        out.append(Fit(points, tuple(taken), _shares([columns[n] for n in taken], room)))
    return out


def _shares(columns: Sequence[_Column], room: float) -> tuple[float, ...]:
    """The room dealt out: none gets more than it asks for, and the widest give way first."""
    left = room - BETWEEN * (len(columns) - 1)

    def dealt(most: float) -> list[float]:
        return [max(c.least, min(c.folded, most)) for c in columns]

    low, high = 0.0, max(room, *(c.folded for c in columns))
    for _turn in range(40):
        middle = (low + high) / 2
        low, high = (middle, high) if sum(dealt(middle)) <= left else (low, middle)
    widths = dealt(low)
    scale = min(1.0, left / sum(widths)) if sum(widths) else 1.0
    return tuple(width * scale for width in widths)


class TablePaper:
    """A table and the paper it is drawn on.

    Args:
        listing: The table.
        paper: The paper.
        number: Number of the first of its pieces among the tables of the page.
    """

    def __init__(self, listing: Listing, paper: Paper, number: int) -> None:
        self.paper, self.number, self.by_block = paper, number, listing.by_block
        self.table = shown(listing)

    def parts(self) -> Iterator[Part]:
        """Its rows, each with the heads that stand over it on a new page."""
        for at, fit in enumerate(fits(self.table, self.paper, by_block=self.by_block)):
            yield from self._piece(fit, self.number + at, space=3.0 if at else 0.0)

    def _piece(self, fit: Fit, number: int, *, space: float) -> Iterator[Part]:
        heads = self._heads(fit)
        block: Head | None = None
        rows = self.table.rows
        if not rows:
            yield self._nothing(fit, number, heads)
        ends_together = {0, len(rows) - 2} if len(rows) > 1 else set()  # no row is left alone
        for at, row in enumerate(rows):
            line = row[0].startswith("  ") and self.by_block
            over = (heads, block) if line and block else (heads,)
            height, lines = self._lines(fit, row, line=line)
            follows = at + 1 < len(rows) and rows[at + 1][0].startswith("  ")

            def draw(
                y: float,
                lines: list[list[str]] = lines,
                height: float = height,
                bold: bool = self.by_block and not line,
                inset: float = INDENT if line else 0.0,
            ) -> None:
                self._draw(fit, lines, y + PAD, bold=bold, inset=inset)
                ends = MARGIN + _total(fit.widths)
                self.paper.path(((MARGIN, y + height), (ends, y + height)), thick=0.1, ink=HAIR)

            yield Part(
                height,
                draw,
                heads=(self.by_block and not line and follows) or at in ends_together,
                table=number,
                over=over,
                space=0.0 if at else space,
            )
            if self.by_block and not line:
                block = self._again(fit, row)

    def _nothing(self, fit: Fit, number: int, heads: Head) -> Part:
        def draw(y: float) -> None:
            self.paper.text(MARGIN, y + PAD, nothing_said(), fit.points)

        return Part(tall("x", fit.points) + 2 * PAD, draw, table=number, over=(heads,))

    def _lines(
        self, fit: Fit, row: Sequence[str], *, line: bool = False, bold: bool = False
    ) -> tuple[float, list[list[str]]]:
        """The cells of a row in lines, and how high they are."""
        bold = bold or (self.by_block and not line)
        cells = []
        for place, (column, width) in enumerate(zip(fit.columns, fit.widths, strict=True)):
            room = width - (INDENT if line and place == 0 else 0)
            most = 1 if column in self.table.right else CELL_LINES
            cells.append(self.paper.wrap(row[column], room, fit.points, bold=bold, most=most))
        return max(tall(lines, fit.points) for lines in cells) + 2 * PAD, cells

    def _draw(
        self, fit: Fit, cells: Sequence[Sequence[str]], y: float, *, bold: bool, inset: float = 0.0
    ) -> None:
        x = MARGIN
        for place, (column, width) in enumerate(zip(fit.columns, fit.widths, strict=True)):
            right = column in self.table.right
            left = x + width if right else x + (inset if place == 0 else 0)
            for at, words in enumerate(cells[place]):
                top = y + tall(cells[place][:at], fit.points)
                self.paper.text(left, top, words, fit.points, bold=bold, right=right)
            x += width + BETWEEN

    def _heads(self, fit: Fit) -> Head:
        """The heads of the columns, each standing on the line under them."""
        points = fit.points
        cells = [
            self.paper.wrap(self.table.heads[column], width, points, bold=True, most=HEAD_LINES)
            for column, width in zip(fit.columns, fit.widths, strict=True)
        ]
        height = max(tall(lines, points) for lines in cells)
        cells = [[""] * (round(height / tall("x", points)) - len(c)) + c for c in cells]

        def draw(y: float) -> None:
            self._draw(fit, cells, y, bold=True)
            self.paper.rule(MARGIN, y + height + PAD, _total(fit.widths), thick=0.3)

        return Head(height + 2 * PAD, draw)

    def _again(self, fit: Fit, row: Sequence[str]) -> Head:
        """The name of a block over those of its lines that are on the next page."""
        lines = self.paper.wrap(row[0], _total(fit.widths), fit.points, bold=True, most=3)

        def draw(y: float) -> None:
            self.paper.block(MARGIN, y + PAD, lines, fit.points, bold=True)

        return Head(tall(lines, fit.points) + 2 * PAD, draw)
