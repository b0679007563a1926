"""The summary of the season: brief, or in full, on screen, on paper or in a file."""

from typing import TYPE_CHECKING

from fieldbook.commands import common, paper
from fieldbook.commands.common import Args
from fieldbook.errors import BookError, Exit
from fieldbook.i18n import _

if TYPE_CHECKING:
    from datetime import date

    from fieldbook.laptop import Laptop
    from fieldbook.season.season import Season

PAGES = ("html", "pdf")
"""Forms that only the summary in full has."""


def run_summary(args: Args) -> Exit:
    """Print where the season stands against the plan; --full: what it took and what came of it."""
    season, laptop, day = common.season(args)
    form = paper.form(args)
    if args.full or form in PAGES:
        return _run_full(args, season, laptop, day, form)
    if args.table is not None:
        raise BookError(_("--table belongs to the summary in full."), _("Add --full."))
    from fieldbook.reports.summary import summarise

    summary = summarise(season, day, common.as_it_stood(args, season, day))
    match form:
        case "terminal":
            from fieldbook.reports.render.terminal import summary_terminal

            text = common.render_terminal(summary_terminal(summary))
        case "json":
            from fieldbook.reports.render.json import to_json

            text = to_json(summary)
        case "csv":
            from fieldbook.reports.render.csv import summary_csv

            text = summary_csv(summary)
        case _:
            from fieldbook.reports.render.text import summary_text

            text = summary_text(summary)
    common.put(text, args.out)
    return Exit.DONE


def _run_full(args: Args, season: "Season", laptop: "Laptop", day: "date", form: str) -> Exit:
    from functools import partial

    from fieldbook.commands.reporting import reckoning, table_named
    from fieldbook.reports.full import full_summary
    from fieldbook.reports.full_page import file_name, full_page, tables
    from fieldbook.reports.sheet import PAPER_OF

    now = common.as_it_stood(args, season, day)
    with reckoning():
        full = full_summary(season, day, now, units=laptop.units)
    page, size = full_page(full), args.paper or PAPER_OF[laptop.units]
    match form:
        case "pdf":
            from fieldbook.reports.render.page_pdf import page_pdf

            paper.put_pdf(page_pdf(page, size), args.out, partial(file_name, full.summary))
            return Exit.DONE
        case "html":
            from fieldbook.reports.render.page_html import page_html

            text = page_html(page, paper=size)
        case "json":
            from fieldbook.reports.render.json import to_json

            text = to_json(full)
        case "csv":
            from fieldbook.reports.render.listings import listing_csv

            text = listing_csv(table_named(tables(full), args.table))
        case "terminal":
            from fieldbook.reports.render.page_terminal import page_terminal

            text = common.render_terminal(page_terminal(page, width=common.width()))
        case _:
            from fieldbook.reports.render.page_text import page_text

            text = page_text(page)
    common.put(text, args.out)
    return Exit.DONE
