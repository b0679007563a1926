"""The seasons of a book side by side."""

from fieldbook.commands import common
from fieldbook.commands.common import Args
from fieldbook.errors import Exit


def run_history(args: Args) -> Exit:
    """Print the seasons side by side: taps, hours, leaks, sap, what changed."""
    from fieldbook.commands.reporting import print_listings, reckoning
    from fieldbook.reports.history import history
    from fieldbook.reports.history_tables import (
        history_listings,
        history_sections,
        history_words,
    )
    from fieldbook.reports.render.text import WIDTH

    season, _laptop, day = common.season(args)
    # A season that is past is told on its last day of work; whether it is past, today says.
    today = day if args.as_of is not None else common.now(season.book).date()
    with reckoning():
        report = history(season, day, args.block or "", today=today)
    if common.form(args) in ("json", "csv"):
        return print_listings(args, season, day, report, history_listings(report))
    listings = [listing for part in history_sections(report) for listing in part.listings]
    words = history_words(report, width=WIDTH)
    return print_listings(args, season, day, report, listings, first=words)
