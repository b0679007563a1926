"""An invented season as a page, for the renderers: charts of every look, tables of every form."""

import os
import subprocess
import sys
from datetime import date, timedelta
from pathlib import Path
from typing import get_args

from msgspec.structs import replace

from fieldbook.reports.charts import Band, Chart, Look, Point, Series
from fieldbook.reports.listing import Listing, Money, shown
from fieldbook.reports.page import Page, Section

BLOCKS = (
    *("North Bend", "Creek", "Ledge", "Old Orchard", "Far Side", "Beech Hollow", "Sugar House"),
)
TODAY = date(2027, 3, 12)
FIRST = date(2027, 1, 18)


def day(n: int) -> date:
    """A day of the season: the first is number 0."""
    return FIRST + timedelta(days=n)


def chart(
    *series: Series,
    band: Band | None = None,
    days: int = 60,
    title: str = "Taps in by day",
    unit: str = "taps",
    **axis: float,
) -> Chart:
    values = [value for one in series for _day, value in one.points]
    return Chart(
        name="taps",
        title=title,
        unit=unit,
        series=series,
        band=band,
        low=axis.get("low", 0.0),
        high=axis.get("high", max(values, default=0.0)),
        first=FIRST,
        last=day(days),
        says=f"{title}: the last is {values[-1]:,g} {unit}." if values else "",
    )


def series(look: Look, *points: Point, label: str = "") -> Series:
    return Series(label=label or f"a {look} of days", look=look, points=points)


def blocks(many: int, name: str = "") -> list[str]:
    """Names of so many blocks."""
    names = [BLOCKS[n] if n < len(BLOCKS) else f"Block {n + 1}" for n in range(many)]
    return [f"{n + 1} {name}" for n in range(many)] if name else names


def taps_chart() -> Chart:
    """Taps in, the plan, and how they go on."""
    done = [(day(3 * n), float(124 * n)) for n in range(21)]
    plan = [(FIRST, 0.0), (day(66), 3600.0)]
    levels = [(2480.0 + 280 * n, day(60 + 2 * n), day(60 + 4 * n)) for n in range(5)]
    return chart(
        series("dashed", *plan, label="plan"),
        series("step", *done, label="in"),
        band=Band("8 seasons in 10 end here", tuple(levels)),
        days=80,
        high=3600.0,
    )


def sap_chart() -> Chart:
    """Sap of 90 days, and the sugar in it."""
    gallons = [(day(n), float(900 + 37 * (n * n % 41))) for n in range(10, 90) if n % 7]
    weeks = [(day(n), float(1200 + 90 * (n % 11))) for n in range(10, 90, 9)]
    return chart(
        series("bars", *gallons, label="sap in, gal a day"),
        series("line", *weeks, label="average of a week"),
        series("marks", *((d, v + 240) for d, v in weeks[::2]), label="as read at the tank"),
        days=89,
        title="Sap by day",
        unit="gal",
        high=2600.0,
    )


def tables(names: list[str]) -> tuple[Listing, ...]:
    lines = [
        (block, line, 120 * n + 7, 2.5 * n, None if n % 3 else day(n), Money(1234.5 * n))
        for n, block in enumerate(names, start=1)
        for line in ("", "1 Cliff", "2 Long way round")
    ]
    return (
        Listing(
            name="lines",
            title="Lines",
            columns=("block", "line", "taps", "hours", "done", "cost"),
            heads=("Block", "Line", "Taps", "Hours", "Done", "Cost"),
            rows=tuple(lines),
            notes=("! Creek / 1 Cliff has no taps planned", "Cost at 21.50 an hour."),
            by_block=True,
        ),
        Listing(
            name="tasks",
            title="Blocks",
            columns=("block", "taps", "planned", "said"),
            heads=("Block", "Taps in", "Taps planned", "What was said"),
            rows=tuple(
                (name, 90 * n, 100 * n, "sagging by the gate") for n, name in enumerate(names)
            ),
        ),
        Listing(name="none", title="Hazards", columns=("block",), heads=("Block",), rows=()),
    )


def season(names: list[str] | None = None) -> Page:
    names = blocks(7) if names is None else names
    return Page(
        title="Season report",
        heading="Quillby Hollow, season 2027, as of Fri 12 Mar 2027  (invented)",
        as_of=TODAY,
        lines=(
            "Taps in 2,480 of 3,600 (68 %), left 1,120",
            "! 2 lines are planned by their trees, and those are not tallied",
            "Spouts in trees 2,480, pulled 0",
        ),
        sections=(
            Section("pace", "Pace", ("124 taps in three days",), (taps_chart(),)),
            Section("sap", "Sap", ("62,400 gal so far", "! a tank ran over"), (sap_chart(),)),
            Section("lines", "Lines and blocks", (), (), tables(names)),
        ),
    )


# --- pages that ask much of a renderer ---------------------------------------------------------

LONG = "Long-way-round-" + "by the beeches and over the brook at the old quarry " + "end"
"""A name of 70 characters."""

HOSTILE = "<script>alert('1')</script> & \"quoted\" ]]> <b> [bold] [/] &amp; -->"
"""What a browser, an XML parser or a terminal could take for a mark."""


def hostile() -> Page:
    """A page of which every word is hostile."""
    words = HOSTILE
    marked = replace(
        taps_chart(),
        name=words,
        title=words,
        unit=words,
        says=words,
        series=(series("step", (FIRST, 1.0), (TODAY, 5.0), label=words),),
        band=Band(words, ((1.0, FIRST, TODAY), (2.0, FIRST, TODAY))),
    )
    table = Listing(words, words, (words,), (words,), ((words,), ("! " + words,)), (words,))
    section = Section(words, words, (words, "! " + words), (marked,), (table,))
    return Page(words, words, TODAY, (words,), (section,))


def said_in(page: Page) -> list[str]:
    """Every word of a page that whoever reads it must find: titles, lines, legends, cells."""
    out = [page.title, page.heading, *page.lines]
    for section in page.sections:
        out += [section.title, *section.lines]
        for chart in section.charts:
            out += [chart.title, chart.unit, chart.says]
            out += [one.label for one in chart.series if one.points]
            out += [chart.band.label] if chart.band else []
        for listing in section.listings:
            table = shown(listing)
            out += [listing.title, *table.heads, *listing.notes]
            out += [cell for row in table.rows for cell in row]
    return [words for words in out if words.strip()]


def squeezed(text: str) -> str:
    """A text without its blanks: where it is folded is the renderer's business."""
    return "".join(text.split())


CHARTS = {
    "no points": chart(series("step"), series("bars"), high=10.0),
    "no series": chart(high=10.0),
    "one point": chart(*(series(look, (day(30), 7.0)) for look in get_args(Look))),
    "one day": chart(*(series(look, (FIRST, 7.0)) for look in get_args(Look)), days=0),
    "all equal": chart(
        *(series(look, *((day(n), 7.0) for n in range(60))) for look in get_args(Look)),
        low=7.0,
        high=7.0,
    ),
    "all nothing": chart(series("bars", *((day(n), 0.0) for n in range(60)))),
    "90 days": chart(series("bars", *((day(n), 5.0 + n % 9) for n in range(90))), days=89),
    "under zero": chart(series("bars", (day(2), -4.0), (day(9), 6.0)), low=-5.0, high=6.0),
    "twenty series": chart(
        *(
            series(look, (FIRST, float(n)), (day(50), 9.0), label=f"{LONG} {look} {n}")
            for look in get_args(Look)
            for n in range(4)
        )
    ),
    "taps": taps_chart(),
    "sap": sap_chart(),
}
"""Charts that ask much of a renderer."""


def with_charts(*charts: Chart) -> Page:
    return replace(season(), sections=(Section("charts", "Charts", charts=charts),))


def built_elsewhere(call: str) -> set[bytes]:
    """What a renderer makes of the season in other zones, locales and orders of hashes.

    Args:
        call: The renderer as Python calls it, `page` being the season: `page_text(page)`.
    """
    name = call.partition("(")[0]
    code = (
        "import sys; from tests.reports.pages import season; "
        f"from fieldbook.reports.render.{name} import {name}; page = season(); made = {call}; "
        "sys.stdout.buffer.write(made if isinstance(made, bytes) else made.encode())"
    )
    places = (
        {"TZ": "Pacific/Auckland", "LC_ALL": "C", "PYTHONHASHSEED": "31"},
        {"TZ": "America/St_Johns", "LC_ALL": "de_DE.UTF-8", "PYTHONHASHSEED": "7"},
    )
    return {
        subprocess.run(
            [sys.executable, "-c", code],
            capture_output=True,
            check=True,
            cwd=Path(__file__).parents[2],
            env={**os.environ, **place},
        ).stdout
        for place in places
    }
