"""Paper to draw on: text that never leaves its place, boxes to write in, black on white.

The same drawing gives the same bytes: no clock is asked, and the fonts are packed in.
"""

from collections.abc import Sequence
from datetime import datetime
from importlib.util import find_spec
from pathlib import Path
from typing import Self

from fpdf import FPDF
from fpdf.fonts import TTFFont

from fieldbook.errors import BookError
from fieldbook.i18n import _

PAPERS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Width and height of the papers there are, in millimetres."""

MARGIN = 10.0
"""White all around, in millimetres: printers do not reach the edge."""

LEADING = 0.43
"""Height of a line of text in millimetres, for each point of its size."""

ASCENT = 0.33
"""How far under the top of its line a text stands, in millimetres a point."""

MISSING, INSTEAD = "\u2610", "?"
"""What stands for a character that the fonts lack: an empty box; and if they lack that too."""

FONT_PACKAGE = "font_source_sans_pro"
FONTS = {"": "SourceSansPro-Regular.ttf", "B": "SourceSansPro-Bold.ttf"}


class Paper:
    """A document that is drawn page by page; all measures are millimetres from the top left.

    Args:
        size: Width and height.
        title: What a viewer calls it.
        at: The time that stands in the file; that of the entry it shows.

    Attributes:
        width: Of the paper.
        height: Of the paper.
        pages: Pages begun.
    """

    def __init__(self, size: tuple[float, float], *, title: str, at: datetime) -> None:
        self.width, self.height = size
        self.pages = 0
        self._pdf = FPDF(unit="mm", format=size)
        self._pdf.set_auto_page_break(False)
        self._pdf.set_margin(0)
        folder = _font_folder()
        for style, name in FONTS.items():
            self._pdf.add_font("sans", style, folder / name)
        self._fonts = [font for font in self._pdf.fonts.values() if isinstance(font, TTFFont)]
        self._letters = set.intersection(*(set(font.cmap) for font in self._fonts))
        self._missing = MISSING if ord(MISSING) in self._letters else INSTEAD
        self._pdf.set_title(self.shown(title))
        self._pdf.set_producer("fieldbook")
        self._pdf.set_creation_date(at)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *error: object) -> None:
        """Close the files of the fonts, which are read bit by bit."""
        for font in self._fonts:
            font.ttfont.close()

    @property
    def inner(self) -> float:
        """The width between the margins."""
        return self.width - 2 * MARGIN

    def shown(self, text: str) -> str:
        """A text on one line, with a visible box for each character that the fonts lack."""
        line = "".join(" " if c.isspace() else c for c in text.strip())
        return "".join(c if ord(c) in self._letters else self._missing for c in line)

    def measure(self, text: str, points: float, *, bold: bool = False) -> float:
        """How wide a text is."""
        self._pdf.set_font("sans", "B" if bold else "", points)
        return float(self._pdf.get_string_width(self.shown(text)))

    def wrap(
        self, text: str, width: float, points: float, *, bold: bool = False, most: int = 1
    ) -> list[str]:
        """A text in lines no wider than they may be; `~` ends it where it is cut.

        Args:
            text: Any text.
            width: What there is room for.
            points: Size of the text.
            bold: Whether it is bold.
            most: Lines there is room for.
        """
        lines: list[str] = []
        rest = self.shown(text)
        while rest and len(lines) < most:
            taken = self._taken(rest, width, points, bold=bold)
            lines.append(rest[:taken].rstrip())
            rest = rest[taken:].lstrip()
        if rest:
            last = lines[-1]
            while last and self.measure(last + "~", points, bold=bold) > width:
                last = last[:-1]
            lines[-1] = last + "~"
        return lines

    def _taken(self, text: str, width: float, points: float, *, bold: bool) -> int:
        """How many characters of a text fit: whole words, or as much of a long one as goes."""
        fits, over = 0, len(text)  # so many fit for sure, and more than so many do not
        while fits < over:
            middle = (fits + over + 1) // 2
            if self.measure(text[:middle], points, bold=bold) <= width:
                fits = middle
            else:
                over = middle - 1
        if fits == len(text):
            return fits
        blank = text.rfind(" ", 0, fits + 1)
        return blank if blank > 0 else max(1, fits)

    # --- drawing ---

    def page(self) -> None:
        """Begin a new page."""
        self._pdf.add_page()
        self._pdf.set_line_width(0.2)
        self.pages += 1

    def text(
        self,
        x: float,
        y: float,
        text: str,
        points: float,
        *,
        bold: bool = False,
        right: bool = False,
    ) -> None:
        """A line of text.

        Args:
            x: Where it begins, or ends if it is to end at a place.
            y: Where the top of its line is.
            text: Already cut to the room there is.
            points: Its size.
            bold: Whether it is bold.
            right: Whether `x` is where it ends.
        """
        said = self.shown(text)
        if said:
            x -= self.measure(said, points, bold=bold) if right else 0
            self._pdf.set_font("sans", "B" if bold else "", points)
            self._pdf.text(x, y + ASCENT * points, said)

    def block(
        self, x: float, y: float, lines: Sequence[str], points: float, *, bold: bool = False
    ) -> float:
        """Lines of text one under the other; where the next would begin."""
        for line in lines:
            self.text(x, y, line, points, bold=bold)
            y += LEADING * points
        return y

    def box(self, x: float, y: float, width: float, height: float, *, ticked: bool = False) -> None:
        """A box to write in, or one that is crossed already."""
        self._pdf.set_line_width(0.35)
        self._pdf.rect(x, y, width, height)
        if ticked:
            inset = min(width, height) / 4
            left, right, top, bottom = x + inset, x + width - inset, y + inset, y + height - inset
            self._pdf.line(left, top, right, bottom)
            self._pdf.line(left, bottom, right, top)

    def rule(self, x: float, y: float, width: float, *, thick: float = 0.2) -> None:
        """A line across."""
        self._pdf.set_line_width(thick)
        self._pdf.line(x, y, x + width, y)

    def bar(self, x: float, y: float, height: float, *, thick: float = 1.0) -> None:
        """A bar down, beside what must not be overlooked."""
        self._pdf.set_line_width(thick)
        self._pdf.line(x, y, x, y + height)

    def path(
        self,
        spots: Sequence[tuple[float, float]],
        *,
        thick: float = 0.2,
        dash: tuple[float, float] | None = None,
        closed: bool = False,
        fill: float | None = None,
        ink: float = 0.0,
    ) -> None:
        """A line through spots, or an area.

        Args:
            spots: Where it goes.
            thick: How thick the line is.
            dash: Length of a dash and of the gap after it; without, the line is not broken.
            closed: Whether its end is joined to its beginning.
            fill: Grey of the area, 0 black to 1 white; None leaves what is under it.
            ink: Grey of the line.
        """
        if len(spots) < 2:
            return
        pdf = self._pdf
        pdf.set_line_width(thick)
        pdf.set_draw_color(round(255 * ink))
        pdf.set_fill_color(round(255 * (fill or 0.0)))
        if dash is not None:
            pdf.set_dash_pattern(*dash)
        pdf.polyline(list(spots), polygon=closed, style="D" if fill is None else "DF")
        if dash is not None:
            pdf.set_dash_pattern()
        pdf.set_draw_color(0)  # what is drawn next is black, as ever
        pdf.set_fill_color(0)

    def done(self) -> bytes:
        """The file."""
        return bytes(self._pdf.output())


def tall(lines: Sequence[object], points: float) -> float:
    """Height of lines of text one under the other."""
    return len(lines) * LEADING * points


def _font_folder() -> Path:
    """Where the fonts lie.

    Raises:
        BookError: They are not installed.
    """
    found = find_spec(FONT_PACKAGE)
    folders = [
        Path(folder) / "files" for folder in (found and found.submodule_search_locations) or ()
    ]
    for folder in folders:
        if all((folder / name).is_file() for name in FONTS.values()):
            return folder
    raise BookError(
        _("The fonts for paper are not installed."),
        _("Install font-source-sans-pro, or print the sheet with --format text."),
    )
