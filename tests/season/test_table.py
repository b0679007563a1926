"""What spreadsheets write, read cell by cell; what could be read two ways is refused."""

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from fieldbook.season.table import Row, Table, read_table, rows_of
from tests.conftest import refused

Read = Callable[[str | bytes], Table]


@pytest.fixture
def read(tmp_path: Path) -> Read:
    """The table in a file `lines.csv` with the content given."""

    def of(content: str | bytes) -> Table:
        path = tmp_path / "lines.csv"
        path.write_bytes(content.encode() if isinstance(content, str) else content)
        return read_table(path)

    return of


def cell(value: str, *, semicolons: bool = False) -> Row:
    """Row 7 of a table, with one cell filled in."""
    return Row(Table("lines.csv", ("taps",), (), semicolons), 7, {"taps": value})


def complaint(row: Row) -> tuple[str, str, str]:
    """Place, fault and way out of the one thing wrong with a row."""
    (problem,) = row.problems
    assert problem.grave
    return problem.where, problem.what, problem.advice


# --- the same table in every dress -------------------------------------------------------------

PLAIN = "block,taps_planned\nÉrablière,142\nLedge,60\n"
TABS = PLAIN.replace(",", "\t")


@pytest.mark.parametrize(
    "content",
    [
        pytest.param(PLAIN.encode(), id="as is"),
        pytest.param(b"\xef\xbb\xbf" + PLAIN.encode(), id="byte order mark"),
        pytest.param(b"\xff\xfe" + TABS.encode("utf-16-le"), id="UTF-16, tabs"),
        pytest.param(b"\xfe\xff" + TABS.encode("utf-16-be"), id="UTF-16 the other way, tabs"),
        pytest.param(PLAIN.replace(",", ";").encode(), id="semicolons"),
        pytest.param(PLAIN.replace("\n", "\r\n").encode(), id="CRLF"),
        pytest.param(PLAIN.replace("\n", "\r").encode(), id="CR"),
        pytest.param(PLAIN.rstrip().encode(), id="no newline at the end"),
        pytest.param(b'"block","taps_planned"\n"\xc3\x89rabli\xc3\xa8re","142"\n"Ledge","60"\n'),
        pytest.param(PLAIN.replace("block,taps_planned", " Block , TAPS  Planned ").encode()),
        pytest.param(PLAIN.encode("cp1252"), id="Windows-1252"),
        pytest.param(PLAIN.encode() + b",\n,,\r\n\n  , \n", id="blank rows at the end"),
        pytest.param(b"taps_planned,block\n142,\xc3\x89rabli\xc3\xa8re\n60,Ledge\n"),
        pytest.param("block,taps_planned\nE\u0301rablie\u0300re,142\nLedge,60\n".encode()),
    ],
)
def test_the_same_table_in_every_dress(read: Read, content: bytes) -> None:
    table = read(content)
    assert [(row.number, row.text("block"), row.whole("taps_planned")) for row in rows_of(table)][
        :2
    ] == [(2, "Érablière", 142), (3, "Ledge", 60)]
    assert len(table.rows) == 2
    assert table.name == "lines.csv"


def test_a_guess_at_the_letters_is_told(read: Read) -> None:
    assert read(PLAIN.encode()).notice == ""
    assert read(PLAIN.encode("cp1252")).notice == (
        "not UTF-8: read as Windows-1252, check the accents"
    )


@pytest.mark.parametrize(
    ("head", "columns"),
    [
        ("Block,Taps Planned", ("block", "taps_planned")),
        ("  BLOCK ,taps   planned", ("block", "taps_planned")),
        ('block,"taps, planned"', ("block", "taps,_planned")),
        ('"a;b;c",block', ("a;b;c", "block")),  # what is quoted parts no fields
        ("block,,taps_planned,", ("block", "", "taps_planned", "")),
        ("name", ("name",)),
    ],
)
def test_heads_of_columns(read: Read, head: str, columns: tuple[str, ...]) -> None:
    assert read(head + "\n").columns == columns


def test_rows_are_numbered_as_the_spreadsheet_numbers_them(read: Read) -> None:
    table = read(
        "block,note\n"
        "Ledge,first\n"  # row 2
        ",\n"
        "\n"
        'Creek,"two\nlines, one cell"\n'  # row 5, on two lines of the file
        "Brook,last\n"  # row 6
    )
    assert [(row.number, row.text("block")) for row in rows_of(table)] == [
        (2, "Ledge"),
        (5, "Creek"),
        (6, "Brook"),
    ]
    assert [row.text("note", prose=True) for row in rows_of(table)][1] == "two\nlines, one cell"


@pytest.mark.parametrize(
    ("quoted", "note"),
    [
        ('"ice, then mud"', "ice, then mud"),
        ('"he said ""not yet"""', 'he said "not yet"'),
        ('"first\r\nsecond"', "first\nsecond"),
        ('"1-1/4"" wet"', '1-1/4" wet'),
        ('3/4" dry', '3/4" dry'),
    ],
)
def test_what_is_quoted_is_one_cell(read: Read, quoted: str, note: str) -> None:
    (row,) = rows_of(read(f"block,note\nLedge,{quoted}\n"))
    assert row.text("note", prose=True) == note


@pytest.mark.parametrize("breaker", ["\u2028", "\u0085", "\x0b", "\x0c", "\x1e"])
def test_only_a_newline_ends_a_row(read: Read, breaker: str) -> None:
    """A line separator comes along with text pasted into a cell, and needs no quotes there."""
    table = read(f"name,note\nOda,early{breaker}riser\nWim,\n")
    assert [row.number for row in rows_of(table)] == [2, 3]


def test_a_row_with_more_cells_than_heads_is_told(read: Read) -> None:
    """1,820 without quotes is two cells: it must not pass for 1."""
    (row,) = rows_of(read("block,taps_planned\nLedge,1,820\n"))
    assert complaint(row) == (
        "lines.csv, row 2",
        "the row has more cells than there are columns",
        "put text or numbers with a comma in quotation marks",
    )
    (row,) = rows_of(read("block,taps_planned\nLedge,142,, \n"))  # as spreadsheets pad a row
    assert row.problems == []


# --- what is no table --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("content", "message", "hint"),
    [
        (b"", "lines.csv is empty.", "first row names the columns"),
        (b"\n\n ,  \n", "lines.csv is empty.", "first row names the columns"),
        (b"\xef\xbb\xbf", "lines.csv is empty.", "first row names the columns"),
        (
            b'block,note\nLedge,"open\nCreek,x\n',
            "lines.csv, line 3: ",
            "a quotation mark that is opened and not closed",
        ),
        (
            b"block,Taps planned,taps_planned\n",
            "lines.csv, row 1: two columns are called taps_planned.",
            "Rename or remove one",
        ),
        (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "lines.csv is not a text table.", "as CSV (UTF-8)"),
        (b"PK\x03\x04\x14\0\x06\0\x81", "lines.csv is not a text table.", "as CSV (UTF-8)"),
        (b"\xff\xfeb\0l", "lines.csv is not a text table.", "as CSV (UTF-8)"),
    ],
)
def test_what_is_no_table_is_refused(read: Read, content: bytes, message: str, hint: str) -> None:
    got = refused(lambda: read(content))
    assert got[0].startswith(message)
    assert hint in got[1]


def test_a_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    message, hint, _code = refused(lambda: read_table(tmp_path / "liens.csv"))
    assert "liens.csv: No such file or directory" in message
    assert "Check the name" in hint
    assert "Cannot read" in refused(lambda: read_table(tmp_path))[0]


# --- numbers -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "number"),
    [
        ("142", 142),
        ("0", 0),
        (" 007 ", 7),
        ("1,820", 1820),
        ("1.820", 1820),
        ("1 820", 1820),
        ("1\u00a0820", 1820),  # no-break space, as spreadsheets group in French
        ("1\u202f820", 1820),  # and the narrow one
        ("1'820", 1820),
        ("1’820", 1820),
        ("12,345", 12345),
        ("1,000,000", 1_000_000),
        ("142.0", 142),
        ("142,00", 142),
        ("", None),
        ("  ", None),
    ],
)
@pytest.mark.parametrize("semicolons", [False, True])
def test_whole_numbers(typed: str, number: int | None, semicolons: bool) -> None:
    row = cell(typed, semicolons=semicolons)
    assert row.whole("taps") == number
    assert row.problems == []


@pytest.mark.parametrize(
    "typed",
    [
        "-5",
        "1.5",
        "1,82",
        "18,20",
        "1e3",
        "12a",
        "#REF!",
        "1000001",
        "½",
        "1,,820",
        "0.500",
        "0,500",
        "1,000.000",
        "1,820 700",
    ],
)
def test_what_is_no_whole_number_is_refused(typed: str) -> None:
    row = cell(typed)
    assert row.whole("taps") is None
    assert complaint(row) == (
        "lines.csv, row 7, column taps",
        f"{typed!r} is not a whole number from 0 to 1,000,000",
        "write it like 142 or 1,820",
    )


@pytest.mark.parametrize(
    ("typed", "semicolons", "number"),
    [
        ("780", False, 780),
        ("1.25", False, 1.25),
        (".75", False, 0.75),
        ("1-1/4", False, 1.25),
        ("1 1/4", False, 1.25),
        ("5/16", False, 0.3125),
        ("1,080", False, 1080),
        ("1 080", False, 1080),
        ("1,080.5", False, 1080.5),
        ("12,5", False, 12.5),
        ("4 %", False, 4),
        ("4.5%", False, 4.5),
        ("12,5", True, 12.5),
        ("12.5", True, 12.5),
        ("1.080,5", True, 1080.5),
        ("1-1/4", True, 1.25),
        ("", True, None),
        ("1'080", False, 1080),
        ("1 080", True, 1080),
        ("1 080,5", True, 1080.5),
    ],
)
def test_measures(typed: str, semicolons: bool, number: float | None) -> None:
    row = cell(typed, semicolons=semicolons)
    assert row.measure("taps", low=0, high=20_000) == number
    assert row.problems == []


@pytest.mark.parametrize(
    ("typed", "semicolons"),
    [
        ("780 ft", False),
        ('1-1/4"', False),
        ("1/0", False),
        ("nan", False),
        ("inf", False),
        ("-1", False),
        ("0", False),
        ("20001", False),
        ("1.2.3", False),
        ("1,500", True),  # one and a half, or fifteen hundred?
        ("1.500", True),
        ("1,234.5", True),
    ],
)
def test_what_is_no_measure_is_refused(typed: str, semicolons: bool) -> None:
    row = cell(typed, semicolons=semicolons)
    assert row.measure("taps", low=0, high=20_000, above=True) is None
    assert complaint(row) == (
        "lines.csv, row 7, column taps",
        f"{typed!r} is not a number above 0 up to 20,000",
        "write it like 780 or 1.25, without a unit",
    )


# --- dates -------------------------------------------------------------------------------------


@pytest.mark.parametrize("typed", ["2027-02-09", "2027/2/9", "9 Feb 2027", "February 9, 2027"])
def test_dates_that_can_be_read_one_way(typed: str) -> None:
    assert cell(typed).day("taps") == date(2027, 2, 9)


@pytest.mark.parametrize(
    "typed",
    ["03/04/2027", "9.2.2027", "2/9/27", "9 Feb", "today", "mon", "2027-02-30", "46427", "soon"],
)
def test_other_dates_are_refused(typed: str) -> None:
    """A file has no today, and which of 03/04 is the month nobody can tell."""
    row = cell(typed)
    assert row.day("taps") is None
    assert complaint(row) == (
        "lines.csv, row 7, column taps",
        f"{typed!r} is not a date that can be read one way only",
        "write the year first: 2027-02-09",
    )


# --- words -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("  Brook \t pair ", "Brook pair"),
        ("Brook\x1b[31m pair\x07", "Brook[31m pair"),  # no escape sequence gets in
        ("two\nlines", "two lines"),
        ("'=SUM(A1)", "=SUM(A1)"),  # as exported, so that a spreadsheet takes it for text
        ("'-20 at dawn", "-20 at dawn"),
        ("'twas cold", "'twas cold"),
    ],
)
def test_words_are_tidied(typed: str, said: str) -> None:
    assert cell(typed).text("taps") == said


def test_prose_keeps_its_lines_and_its_length() -> None:
    long = "snow " * 100 + "\nand more"
    row = cell(long)
    assert row.text("taps", prose=True) == long
    assert row.problems == []


def test_a_name_is_short_and_there() -> None:
    row = cell("x" * 81)
    row.text("taps")
    assert complaint(row)[1:] == (
        "81 characters are too many",
        "80 at most; the rest can go into the note",
    )
    row = cell("")
    for _again in range(2):  # a cell may be read more than once; its fault is told once
        assert row.text("taps", needed=True) == ""
    assert complaint(row) == ("lines.csv, row 7, column taps", "the cell is empty", "fill it in")


# --- beyond all reason -------------------------------------------------------------------------


@pytest.mark.parametrize("digits", ["9" * 81, "9" * 5000, "9" * 400 + "/1"])
def test_a_number_as_long_as_a_page_is_refused_like_any_other(digits: str) -> None:
    row = cell(digits)
    assert row.whole("taps") is None
    assert row.measure("taps", low=0, high=100) is None
    assert row.problems[0].what == f"{len(digits)} characters are too many"


@pytest.mark.parametrize(
    ("typed", "number"),
    [("13-1/3", 13.3333333333), ("12.0000000000001", 12.0), ("0.1234567890125", 0.123456789012)],
)
def test_a_number_is_kept_as_exactly_as_an_export_says_it(typed: str, number: float) -> None:
    """Twelve digits: what goes out comes in again as the same, and is not told twice."""
    assert cell(typed).measure("taps", low=0, high=100) == number
