"""How long a board waits for the forecast: every task of the demo season, drawn 2,000 times.

The season is open, as it is on a screen; the season before it has been read.
"""

from collections.abc import Iterator
from pathlib import Path
from shutil import copytree

from fieldbook.book.book import Book
from fieldbook.reports.forecast import forecast
from fieldbook.season.season import Season
from tests.benchmarks.race import CHECKOUT, Row, race, timed


def measure_forecast(folder: Path, *, quick: bool) -> Iterator[Row]:
    book = Book.open(copytree(CHECKOUT / "demo_season", folder / "foretold"))
    assert book.today is not None  # it is invented: its day stands still
    day, season = book.today, Season(book, as_of=book.today)
    told = forecast(season, day)
    took = race(25, {"ours": timed(lambda: forecast(season, day))})
    lines = len(list(season.plan.lines))
    name = f"forecast of {lines} lines, {told.draws:,} draws"
    yield Row(name, "ms", 1e3 * took["ours"], target="<= 250")
