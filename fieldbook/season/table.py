"""A table as spreadsheets write it: rows of named cells, and what is wrong with them, cell by cell.

Nothing here knows what the columns mean; `fieldbook.season.importing` does.
"""

import csv
import io
import re
from collections.abc import Iterator
from datetime import date
from fractions import Fraction
from pathlib import Path

from msgspec import Struct, field

from fieldbook.book.entry import clean
from fieldbook.book.lines import Problem
from fieldbook.errors import BookError
from fieldbook.i18n import _
from fieldbook.season.dates import read_day

FORMULA = re.compile(r"'*[=+\-@]")
"""The beginning of what a spreadsheet takes for a formula, or of such a text already guarded."""

_THOUSANDS = re.compile(r"[1-9]\d{0,2}([,. '’])\d{3}(\1\d{3})*")
_BLANK_IN_NUMBER = re.compile(r"(?<=\d)[ '’](?=\d{3}(?!\d))")
_FRACTION = re.compile(r"(?:(\d+)[- ])?(\d+)/(\d+)")
_NUMBER = re.compile(r"[-+]?(\d+\.?\d*|\.\d+)")


def guard(text: str) -> str:
    """Text with an apostrophe before what a spreadsheet would take for a formula."""
    return "'" + text if FORMULA.match(text) else text


def unguard(text: str) -> str:
    """Text as it was before it was guarded."""
    return text[1:] if text.startswith("'") and FORMULA.match(text) else text


def settled(value: float) -> float:
    """A number at the digits an export writes, so that it comes in again as the same."""
    return float(f"{value:.12g}")


class Table(Struct, frozen=True):
    """The rows of a file under their header.

    Attributes:
        name: The file's name, for messages.
        columns: Column names as matched: lower case, blanks as underscores.
        rows: Cells, numbered as the spreadsheet numbers the rows, the header being row 1.
        decimal_comma: Fields are parted by semicolons, so a comma may be a decimal point.
        notice: Something the reader should know about how the file was read.
    """

    name: str
    columns: tuple[str, ...]
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    decimal_comma: bool
    notice: str = ""


def read_table(path: Path) -> Table:
    """The table in a CSV file: with or without BOM, parted by commas, semicolons or tabs.

    Raises:
        BookError: The file cannot be read as a table; names the file and the row.
    """
    try:
        text, notice = _decode(path.read_bytes())
    except OSError as error:
        raise BookError(
            _("Cannot read {path}: {why}.").format(path=path, why=error.strerror),
            _("Check the name; the file must be one you may read."),
        ) from error
    except UnicodeDecodeError:
        raise BookError(
            _("{file} is not a text table.").format(file=path.name),
            _("Save it from the spreadsheet as CSV (UTF-8)."),
        ) from None
    delimiter = _delimiter(text)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    records: list[tuple[int, list[str]]] = []
    try:
        for number, cells in enumerate(reader, start=1):
            if any(cell.strip() for cell in cells):
                records.append((number, cells))
    except csv.Error as error:
        raise BookError(
            _("{file}, line {line}: {why}.").format(
                file=path.name, line=reader.line_num, why=error
            ),
            _("Look for a quotation mark that is opened and not closed."),
        ) from None
    if not records:
        raise BookError(
            _("{file} is empty.").format(file=path.name),
            _("The first row names the columns; blank tables are in the templates folder."),
        )
    columns = tuple("_".join(clean(c, one_line=True).casefold().split()) for c in records[0][1])
    double = sorted({c for c in columns if c and columns.count(c) > 1})
    if double:
        raise BookError(
            _("{file}, row 1: two columns are called {name}.").format(
                file=path.name, name=double[0]
            ),
            _("Rename or remove one of them."),
        )
    rows = tuple((number, tuple(cells)) for number, cells in records[1:])
    return Table(path.name, columns, rows, decimal_comma=delimiter == ";", notice=notice)


class Row(Struct):
    """One row being read: hands out cells by kind, and notes what is wrong with each.

    Attributes:
        table: Where the row stands.
        number: Its number in the spreadsheet.
        cells: Text by column.
        problems: What was wrong so far.
    """

    table: Table
    number: int
    cells: dict[str, str]
    problems: list[Problem] = field(default_factory=list)

    def wrong(self, column: str, what: str, right: str) -> None:
        place = _("{file}, row {row}").format(file=self.table.name, row=self.number)
        if column:
            place += _(", column {column}").format(column=column)
        problem = Problem(place, what, right)
        if problem not in self.problems:  # a cell may be read more than once
            self.problems.append(problem)

    def __contains__(self, column: str) -> bool:
        return column in self.table.columns

    def text(self, column: str, *, needed: bool = False, prose: bool = False) -> str:
        value = unguard(clean(self.cells.get(column, ""), one_line=not prose))
        if needed and not value:
            self.wrong(column, _("the cell is empty"), _("fill it in"))
        if not prose and len(value) > 80:
            self.wrong(
                column,
                _("{n} characters are too many").format(n=len(value)),
                _("80 at most; the rest can go into the note"),
            )
            value = value[:80]  # it is refused: no reader need mind numbers beyond all reason
        return value

    def day(self, column: str, *, needed: bool = False) -> date | None:
        """A date in a form that can be read one way only."""
        value = self.text(column, needed=needed)
        if not value:
            return None
        try:
            return read_day(value)
        except BookError:
            self.wrong(
                column,
                _("{value} is not a date that can be read one way only").format(value=repr(value)),
                _("write the year first: 2027-02-09"),
            )
            return None

    def whole(self, column: str, *, needed: bool = False, most: int = 1_000_000) -> int | None:
        """A whole number from 0, with or without thousands separators."""
        value = self.text(column, needed=needed)
        if not value:
            return None
        grouped = _THOUSANDS.fullmatch(value)
        plain = value.replace(grouped[1], "") if grouped else re.sub(r"[.,]0+\Z", "", value)
        if re.fullmatch(r"\d+", plain) and int(plain) <= most:
            return int(plain)
        self.wrong(
            column,
            _("{value} is not a whole number from 0 to {most}").format(
                value=repr(value), most=f"{most:,}"
            ),
            _("write it like 142 or 1,820"),
        )
        return None

    def measure(self, column: str, *, low: float, high: float, above: bool = False) -> float | None:
        """A number with decimals, or a fraction of an inch such as 1-1/4.

        Args:
            column: The column.
            low: Least value.
            high: Greatest value.
            above: Refuse `low` itself.
        """
        value = self.text(column).rstrip("%").rstrip()
        if not value:
            return None
        try:
            number = settled(self._number(value))
        except (ValueError, ZeroDivisionError):
            number = float("nan")
        if low <= number <= high and not (above and number == low):
            return number
        self.wrong(
            column,
            _("{value} is not a number {above} {low:g} up to {high:,.12g}").format(
                value=repr(value), above=_("above") if above else _("from"), low=low, high=high
            ),
            _("write it like 780 or 1.25, without a unit"),
        )
        return None

    def _number(self, value: str) -> float:
        """The number a cell says; ValueError when it is none, or could be two."""
        if match := _FRACTION.fullmatch(value):
            whole, over, under = match.groups()
            return float(int(whole or 0) + Fraction(int(over), int(under)))
        value = _BLANK_IN_NUMBER.sub("", value)
        if self.table.decimal_comma:
            if _THOUSANDS.fullmatch(value):
                raise ValueError(value)  # 1.500 or 1,500: one and a half, or fifteen hundred?
            if re.fullmatch(r"-?(\d{1,3}(\.\d{3})+|\d+),\d+", value):
                value = value.replace(".", "").replace(",", ".")
        elif re.fullmatch(r"-?[1-9]\d{0,2}(,\d{3})+(\.\d+)?", value):
            value = value.replace(",", "")
        elif re.fullmatch(r"-?\d+,\d+", value):
            value = value.replace(",", ".")
        if not _NUMBER.fullmatch(value):
            raise ValueError(value)
        return float(value)


def rows_of(table: Table) -> Iterator[Row]:
    """The rows to read; one with more cells than the header has heads has a problem already."""
    for number, cells in table.rows:
        row = Row(table, number, dict(zip(table.columns, cells, strict=False)))
        if any(cell.strip() for cell in cells[len(table.columns) :]):
            row.wrong(
                "",
                _("the row has more cells than there are columns"),
                _("put text or numbers with a comma in quotation marks"),
            )
        yield row


def _decode(data: bytes) -> tuple[str, str]:
    """Text of a file a spreadsheet wrote, and a notice when its encoding was a guess."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16"), ""
    try:
        return data.decode("utf-8-sig"), ""
    except UnicodeDecodeError:
        if b"\0" in data:
            raise
        return data.decode("cp1252"), _("not UTF-8: read as Windows-1252, check the accents")


def _delimiter(text: str) -> str:
    """What parts the fields: of comma, semicolon and tab, the one the header has most of."""
    head = next((line for line in text.splitlines() if line.strip()), "")
    bare = re.sub(r'"[^"]*"', "", head)
    return max((",", ";", "\t"), key=bare.count)
