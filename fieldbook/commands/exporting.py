"""What leaves a book for other programs: tables, all of them together, a calendar, an archive."""

import sys
from typing import TYPE_CHECKING

from fieldbook.commands import common, keeping, reporting
from fieldbook.commands.common import Args
from fieldbook.errors import BookError, Exit
from fieldbook.i18n import _

if TYPE_CHECKING:
    from fieldbook.season.season import Season


REPORTS = {
    "summary": "summary",
    "summary-full": "summary --full",
    "history": "history",
    "rollover": "rollover",
}
"""Reports whose schema is shipped too, and the commands that print them."""


def run_export(args: Args) -> Exit:
    """Print a table of the season, all of them, or its days as a calendar; or archive the book."""
    _check(args)
    if args.archive:
        return keeping.archive_book(args)
    if args.schema:
        from fieldbook.reports.schema import shipped_schema

        common.put(shipped_schema(args.table), args.out)
        return Exit.DONE
    match args.table:
        case "everything":
            return _everything(args)
        case "calendar":
            return _calendar(args)
        case _:
            return _table(args)


def _check(args: Args) -> None:
    """Refuse what does not go together."""
    if args.table in REPORTS and not args.schema:
        raise BookError(
            _("{name} is a report and no table.").format(name=args.table),
            _(
                "Print it: fieldbook {command} --format json; --schema says what stands in it."
            ).format(command=REPORTS[args.table]),
        )
    neither = _("{one} and {other} do not go together.")
    if args.archive and args.schema:
        raise BookError(
            neither.format(one="--archive", other="--schema"),
            _("An archive holds the journals as they are; a schema is of a table as JSON."),
        )
    if args.archive and args.table in ("everything", "calendar"):
        raise BookError(
            neither.format(one="--archive", other=args.table),
            _("The archive holds the whole book: leave {table} out.").format(table=args.table),
        )
    if args.table == "calendar" and args.format is not None:
        raise BookError(
            neither.format(one="calendar", other=f"--format {args.format}"),
            _("A calendar has one form, iCalendar: leave --format out."),
        )
    if args.schema and args.table == "calendar":
        raise BookError(
            neither.format(one="calendar", other="--schema"),
            _("A calendar is no JSON; what it may hold stands in RFC 5545."),
        )
    if args.schema and args.format == "csv":
        raise BookError(
            neither.format(one="--schema", other="--format csv"),
            _("A schema says what stands in the JSON: leave --format out."),
        )


def _table(args: Args) -> Exit:
    """One table, in the form it can be imported in; as JSON the log is its entries."""
    from fieldbook.reports.export import export_table
    from fieldbook.reports.render.csv import to_csv
    from fieldbook.reports.render.json import to_json

    season, until = common.whole_season(args)
    if args.format == "json" and args.table == "log":
        from fieldbook.reports.everything import entries_until

        common.put(to_json(entries_until(season, until)), args.out)
        return Exit.DONE
    header, rows = export_table(season, args.table, until=until)
    if args.format == "json":
        common.put(to_json([dict(zip(header, row, strict=True)) for row in rows]), args.out)
    else:
        common.put(to_csv(header, rows), args.out)
    return Exit.DONE


def _everything(args: Args) -> Exit:
    """Every table and every entry: one JSON document, or a zip of CSV files."""
    from fieldbook.reports.everything import everything, everything_zip

    season, until = common.whole_season(args)
    if args.format == "json":
        from fieldbook.reports.render.json import to_json

        common.put(to_json(everything(season, until=until)), args.out)
        return Exit.DONE
    if args.out == "-" and sys.stdout.isatty():
        raise BookError(
            _("A zip is not for a terminal to show."), _("Name a file with --out, or pipe it.")
        )
    data = everything_zip(season, until=until)
    common.put_bytes(data, args.out or _zip_name(season), new=not args.out)
    return Exit.DONE


def _zip_name(season: "Season") -> str:
    return f"{season.book.path.resolve().name}-{season.year}-tables.zip"


def _calendar(args: Args) -> Exit:
    """The season's days for a calendar program."""
    from fieldbook.reports.calendar import calendar_ics

    season, _laptop, day = common.season(args)
    with reporting.reckoning():
        data = calendar_ics(season, day)
    common.put_bytes(data, args.out or "-")
    return Exit.DONE
