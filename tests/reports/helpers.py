"""What tests of reports that are tables share: rules of the book, and what every table keeps."""

import csv
import io

from fieldbook.book.entry import Setting, Trees
from fieldbook.reports.listing import Listing
from fieldbook.reports.render.listings import listing_csv
from fieldbook.season.table import guard
from fieldbook.season.tally import read_tally
from tests.conftest import stamp


def rules(**values: float | str) -> list[Setting]:
    """Settings of the book, by name."""
    return [Setting(setting=name, value=value, **stamp()) for name, value in values.items()]


def trees(where: str, tally: str, *, day: str = "2027-02-09") -> Trees:
    """A tally of a line given as `Ledge/Cliff`, as people type it: `12:40 14:31 30cm:12`."""
    block, line = where.split("/")
    return Trees(block=block, line=line, classes=read_tally(tally), **stamp(day))


def cells(listing: Listing, column: str) -> list[object]:
    """A column of a table by its name in files."""
    at = listing.columns.index(column)
    return [row[at] for row in listing.rows]


def is_sound(listing: Listing) -> None:
    """Rows are as wide as columns and heads, also when a spreadsheet reads them."""
    assert len(set(listing.columns)) == len(listing.columns) == len(listing.heads)
    assert {len(row) for row in listing.rows} <= {len(listing.columns)}
    read = list(csv.reader(io.StringIO(listing_csv(listing), newline=""), strict=True))
    assert read[0] == [guard(name) for name in listing.columns]
    assert [len(row) for row in read] == [len(listing.columns)] * (1 + len(listing.rows))
