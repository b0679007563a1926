"""Lines by what they lose, a row each, the worst first or as they are walked; and one in words."""

from collections.abc import Iterator, Sequence

from msgspec import Struct
from textual.content import Content
from textual.widgets import Static

from fieldbook.i18n import _
from fieldbook.reports.leak_lines import LineLeaks
from fieldbook.reports.leak_walk import Leg
from fieldbook.reports.leaks import CAUTIONS, Leaks
from fieldbook.reports.leaks_words import loss_range, stop_said
from fieldbook.reports.render.curves import vacuum_curve
from fieldbook.reports.vacuum import bare, last_words, tested_words
from fieldbook.reports.words import one_line, place
from fieldbook.screens.widgets.rows import Piece, Rows, cut, fit, indented
from fieldbook.season.dates import brief_day, short_day
from fieldbook.season.vacuum import LineVacuum, Sign

NUMBERS = (6, 6, 8, 8)
"""Cells of vacuum, vacuum lost, gallons a day, and when it was read."""

WHERE_MOST, WHERE_LEAST = 34, 12
"""Cells of where a line is."""

BRIEF = 24
"""With fewer cells for that, the line stands before its block: what is cut is the block."""

SIGNS, SIGNS_BRIEF = 18, 15
"""Cells kept for what a line's readings point at."""

CURVE_MOST, CURVE_LEAST, CURVE_FRAME = 7, 5, 3
"""Rows of the curve of a line; and of its axis, days and words below."""

CURVE_WIDTH = 78

Said = tuple[str, str]
"""Words, and their style."""


class VacuumRow(Struct, frozen=True):
    """A line, or words between lines.

    Attributes:
        line: The line; None for words.
        leg: Its place on somebody's way, where the way is shown.
        words: Words that stand between lines.
    """

    line: LineLeaks | None = None
    leg: Leg | None = None
    words: str = ""


def vacuum_rows(report: Leaks, *, way: bool) -> Iterator[VacuumRow]:
    """Lines, the worst first.

    Args:
        report: The lines.
        way: As they are walked, person by person; then where to stop, and the rest.
    """
    if not way:
        yield from (VacuumRow(line=line) for line in report.lines)
        return
    lines = {(line.block, line.line): line for line in report.lines}
    walk = report.walk

    def row(leg: Leg) -> VacuumRow:
        return VacuumRow(line=lines[leg.block, leg.line], leg=leg)

    for person in range(1, walk.people + 1):
        legs = [leg for leg in walk.legs if leg.person == person]
        if legs:
            said = _("Way {n}: {hours:.1f} hours")
            yield VacuumRow(words=said.format(n=person, hours=legs[-1].done_after))
            yield from map(row, legs)
    if walk.unknown:
        yield VacuumRow(words=_("They leak, and nobody read how much: read them first"))
        yield from map(row, walk.unknown)
    if walk.later:
        yield VacuumRow(words=_("Worth it, but the hours are too short"))
        yield from map(row, walk.later)
    yield VacuumRow(words=stop_said(walk))
    yield from map(row, walk.rest)


def numbered(line: LineLeaks) -> str:
    """`3 Boulder main`; a block that is one line has no number."""
    name = one_line(line.line)
    return f"{line.order} {name}" if line.order and line.line != line.block else name


class VacuumList(Rows[VacuumRow]):
    """Where a line is, its vacuum and what is lost, and what its readings point at in a word."""

    def __init__(self) -> None:
        super().__init__()
        self._units = "us"

    def fill(self, rows: list[VacuumRow], units: str) -> None:
        """Show rows; the cursor stays on its line."""
        self._units = units
        self.show(rows)

    def key(self, item: VacuumRow) -> str:
        return item.words if item.line is None else f"{item.line.block}\n{item.line.line}"

    def heads(self) -> str:
        """Heads of the columns."""
        unit = "kPa" if self._units == "metric" else "inHg"
        heads = (unit, _("lost"), _("gal/day"), _("read"))
        numbers = "".join(head.rjust(width) for head, width in zip(heads, NUMBERS, strict=True))
        return "   " + fit(_("Line"), self._where) + numbers + "  " + _("points at")

    @property
    def _where(self) -> int:
        signs = SIGNS if self.room - 3 - sum(NUMBERS) - SIGNS >= BRIEF else SIGNS_BRIEF
        return min(WHERE_MOST, max(WHERE_LEAST, self.room - 3 - sum(NUMBERS) - signs))

    def _named(self, line: LineLeaks) -> str:
        """`Upper Ridge / 3 Boulder main`; with little room `3 Boulder main, Upper Ridge`."""
        block, named = one_line(line.block), numbered(line)
        if self._where >= BRIEF or line.block == line.line:
            return place(block, named)
        return f"{named}, {block}"

    def pieces(self, item: VacuumRow, *, here: bool) -> list[Piece]:
        style = "cursor" if here else "plain"
        way = (" > " if here else "   ", "way")
        if item.line is None:
            return [way, (fit(item.words, max(0, self.room - 3)), "head")]
        line, words = item.line, max(0, self.room - 5 - self._where - sum(NUMBERS))
        where = self._named(line)
        if item.leg is not None and item.leg.stop:
            where = f"{item.leg.stop}. {where}"
        cells = (
            "-" if line.vacuum_inhg is None else bare(line.vacuum_inhg, self._units),
            "-" if line.lost_inhg is None else bare(line.lost_inhg, self._units),
            "-" if line.loss is None else f"{line.loss.sap_gal:,.0f}",
            "-" if line.read is None else brief_day(line.read.date()),
        )
        numbers = "".join(cell.rjust(width) for cell, width in zip(cells, NUMBERS, strict=True))
        said = ", ".join(_(sign) for sign in line.signs if sign != Sign.LOW)
        if item.leg is not None and item.leg.stop:
            after = _("{n:.1f} h").format(n=item.leg.done_after)
            said = f"{after}  {said}" if said else after
        return [
            way,
            (fit(where, self._where), style),
            (numbers, style),
            ("  " + fit(said, words), "look" if said else style),
        ]


class VacuumCard(Static):
    """The line of the cursor in words: what its gauges read, its leaks, what became of mending."""

    def nothing(self) -> None:
        """There is no line."""
        self.update(Content(_("No line has taps in yet: there is nothing to read.")))

    def show_words(self, words: str, rows: int) -> None:
        """Words between lines, and all that can hurt somebody.

        Args:
            words: The words.
            rows: Rows there are.
        """
        said = [(words, "bold"), *((f"! {_(caution)}", "") for caution in CAUTIONS)]
        more = _("! {n} more: p prints them")
        self.update(Content("\n").join(in_rows(said, self._room, rows, more)))

    def show_line(
        self, report: Leaks, row: VacuumRow, state: LineVacuum | None, units: str, rows: int
    ) -> None:
        """A line in words, and where there is room for it its vacuum by day.

        Args:
            report: What is shown.
            row: The line.
            state: What its gauges say.
            units: `us` or `metric`.
            rows: Rows there are.
        """
        line, room = row.line, self._room
        if line is None:
            return
        said = [*_line_said(report, line, state, units), (f"! {_(CAUTIONS[0])}", "$quiet")]
        *told, caution = in_rows(said, room, rows - 1, _("{n} more: g"))
        left = rows - 1 - sum(part.plain.count("\n") + 1 for part in (*told, caution))
        high = min(CURVE_MOST, left - CURVE_FRAME)
        curve: list[str] = []
        if high >= CURVE_LEAST and len(line.days) > 1:
            curve = vacuum_curve(line, width=min(room, CURVE_WIDTH), height=high, units=units)
        self.update(Content("\n").join([_title(row, room), *told, *map(Content, curve), caution]))

    @property
    def _room(self) -> int:
        """Cells of a row."""
        return max(20, self.app.size.width - 2)


def in_rows(parts: Sequence[Said], room: int, rows: int, more: str) -> list[Content]:
    """Words in so many rows: one for each, and more for those that need it while there are any.

    Args:
        parts: The words.
        room: Cells of a row.
        rows: Rows there are.
        more: Where there are too many words, those before the last give way; this says how many,
            and where they are read.
    """
    gone = len(parts) - max(2, rows) + 1
    if gone > 1:
        parts = [*parts[: len(parts) - 1 - gone], (more.format(n=gone), "$quiet"), parts[-1]]
    spare, shown = rows - len(parts), []
    for text, style in parts:
        more_rows = max(0, min(spare, indented(text, room).count("\n")))
        spare -= more_rows
        shown.append(Content.styled(indented(text, room, rows=1 + more_rows), style))
    return shown


def _title(row: VacuumRow, room: int) -> Content:
    """Where a line is, its taps, what walking it takes, and what it loses."""
    line, leg = row.line, row.leg
    if line is None:
        return Content(row.words)
    facts = [_("{n:,} taps").format(n=line.taps), _("{h:.1f} h to walk").format(h=line.hours)]
    if line.loss is not None and line.loss.sap_gal:
        said = _("loses {gal} gal a day, worth {money:,.2f}")
        facts.append(said.format(gal=loss_range(line.loss), money=line.loss.money))
    if line.read is None:
        facts.append(_("not read yet"))
    if leg is not None and leg.stop:
        facts.append(_("done after {h:.1f} h").format(h=leg.done_after))
    named = cut(place(one_line(line.block), numbered(line)), room // 2)
    told = cut("   " + "; ".join(facts), room - Content(named).cell_length)
    return Content.assemble((named, "bold $primary"), told)


def _line_said(
    report: Leaks, line: LineLeaks, state: LineVacuum | None, units: str
) -> Iterator[Said]:
    """What a line's gauges read and point at, its leaks, what became of mending."""
    if not any(known.read for known in report.lines):
        yield _("Nobody has read a line yet: Enter, then type what its far end reads."), "bold"
    if state is not None and state.latest:
        yield last_words(state, units), ""
    for sign, said in zip(line.signs, line.says, strict=True):
        if sign != Sign.LOW:  # the readings say so
            yield f"! {said}", "bold $error"
    for leak in line.leaks:
        yield f"! {leak}", "$error"
    if state is not None and (tested := tested_words(state)):
        yield tested, ""
    for mend in report.mends:
        if (mend.block, mend.line) == (line.block, line.line):
            said = _("mended {day}: {what}")
            yield said.format(day=short_day(mend.mended), what=mend.says), ""
