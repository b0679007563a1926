"""Listings as plain text for people to read, and as CSV to pass on."""

from collections.abc import Sequence
from textwrap import wrap

from fieldbook.reports.listing import Listing, shown
from fieldbook.reports.render.csv import to_csv
from fieldbook.reports.render.text import WIDTH, columns
from fieldbook.season.table import guard


def listing_lines(listing: Listing, *, width: int = WIDTH) -> list[str]:
    """A listing as plain lines."""
    table = shown(listing)
    out = [listing.title, *columns(table.heads, table.rows, right=table.right)]
    for note in listing.notes:
        out += wrap(note, width, subsequent_indent="  ")
    return out


def listings_text(title: str, listings: Sequence[Listing], *, first: Sequence[str] = ()) -> str:
    """A title, lines to begin with, and listings one under the other, as plain text."""
    parts = [title, "\n".join(first)] if first else [title]
    parts += ("\n".join(listing_lines(listing)) for listing in listings)
    return "\n\n".join(parts) + "\n"


def listing_csv(listing: Listing) -> str:
    """A listing with all its columns, as CSV."""
    header = [guard(name) for name in listing.columns]  # a rule of the crew's may be a column
    return to_csv(header, listing.rows)
