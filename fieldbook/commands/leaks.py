"""The leaks: what each line loses, which to walk and in which order, and what held."""

from typing import TYPE_CHECKING

from fieldbook.commands import common, paper
from fieldbook.commands.common import Args
from fieldbook.errors import BookError, Exit
from fieldbook.i18n import _

if TYPE_CHECKING:
    from fieldbook.reports.leaks import Leaks
    from fieldbook.season.season import Season


def run_leaks(args: Args) -> Exit:
    """Print what each line loses, which to walk, and whether mending held."""
    from fieldbook.commands.reporting import print_listings, reckoning
    from fieldbook.reports.leaks import leaks
    from fieldbook.reports.leaks_tables import leaks_listings, shown_listings
    from fieldbook.reports.leaks_words import outset

    season, laptop, day = common.season(args)
    check_pump(season)
    block = season.plan.find_block(args.block) if args.block else None
    with reckoning():
        report = leaks(
            season,
            day,
            people=args.people or 1,
            hours=args.hours,
            below=args.below or "pump",
            block=block,
            units=laptop.units,
        )
    form = paper.form(args)
    if form == "pdf":
        _print_pdf(args, report, laptop.units)
        return Exit.DONE
    in_file = form in ("json", "csv")
    listings = (leaks_listings if in_file else shown_listings)(report, laptop.units)
    return print_listings(args, season, day, report, listings, first=outset(report, laptop.units))


def check_pump(season: "Season") -> None:
    """Let a book pass whose crew reads gauges.

    Raises:
        BookError: It does not.
    """
    if not season.plan.under_vacuum:
        raise BookError(
            _("This crew's checklist has no task that counts readings: there is no pump."),
            _("If there is one, put such a task into the checklist and import it."),
        )


def _print_pdf(args: Args, report: "Leaks", units: str) -> None:
    """The walk as a page for the pocket."""
    from functools import partial

    from fieldbook.reports.leaks_words import file_name
    from fieldbook.reports.render.leaks_pdf import leaks_pdf
    from fieldbook.reports.sheet import PAPER_OF

    data = leaks_pdf(report, args.paper or PAPER_OF[units], units)
    paper.put_pdf(data, args.out, partial(file_name, report))
