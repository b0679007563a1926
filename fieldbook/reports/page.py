"""A report as a page of sections, which every renderer can put on screen, on paper or in a file."""

from datetime import date

from msgspec import Struct

from fieldbook.reports.charts import Chart
from fieldbook.reports.listing import Listing


class Section(Struct, frozen=True):
    """A part of a page.

    Attributes:
        name: Short name, by which it is asked for.
        title: What stands above it.
        lines: The words of it; `!` in front wants a look.
        charts: Its charts.
        listings: Its tables.
    """

    name: str
    title: str
    lines: tuple[str, ...] = ()
    charts: tuple[Chart, ...] = ()
    listings: tuple[Listing, ...] = ()


class Page(Struct, frozen=True):
    """A report.

    Attributes:
        title: What it is: `Season summary`.
        heading: Book, season and day; in an invented book with a word that it is.
        as_of: The day it is told on.
        lines: The few lines that say where the season stands.
        sections: Its parts, in order.
    """

    title: str
    heading: str
    as_of: date
    lines: tuple[str, ...]
    sections: tuple[Section, ...]
