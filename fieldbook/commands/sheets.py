"""Sheets for the woods: printed with a number, printed again, keyed in."""

from functools import partial
from typing import TYPE_CHECKING

from fieldbook.commands import common, paper
from fieldbook.commands.common import Args
from fieldbook.errors import BookError, Doubtful, Exit
from fieldbook.i18n import _

if TYPE_CHECKING:
    from datetime import date

    from fieldbook.book.entry import Settle, Sheet
    from fieldbook.season.season import Season


MOST_HOURS = 1_000_000.0
"""Nobody is asked how long they have: the order is of all lines."""


def run_sheet(args: Args) -> Exit:
    """Print a numbered sheet for the woods; print one again; say that one is keyed in."""
    _check(args)
    if args.keyed is not None:
        return _keyed(args)
    if args.again is not None:
        return _again(args)
    from fieldbook.book.entry import Sheet
    from fieldbook.reports.words import saved
    from fieldbook.season.sheets import draft

    season, laptop, day = common.season(args, write=True)
    by = common.by(args, season, laptop)
    asked = draft(
        season,
        block=args.block,
        task=args.task,
        lines=args.line or (),
        who=args.who or "",
        open_only=args.open,
        order=_worst_first(args, season, day) if args.worst_first else (),
        by=by,
        now=common.now(season.book),
    )
    # On record first: paper the book does not know of is worse than an entry without paper.
    sheet = common.record(season, args, [asked])[-1]
    assert isinstance(sheet, Sheet)
    try:
        _print(args, season, sheet, day, units=laptop.units)
    except BookError as error:
        again = _("The book has the sheet: fieldbook sheet --again {id} prints it.")
        error.hint = f"{error.hint} {again.format(id=sheet.id)}".strip()
        raise
    finally:
        common.say(saved(sheet, season.ledger))
    return Exit.DONE


def _worst_first(args: Args, season: "Season", day: "date") -> list[str]:
    """The lines of a block in the order in which walking them loses the least sap.

    Raises:
        BookError: The sheet is of a task in which no gauge is read.
    """
    plan = season.plan
    block, task = plan.find_block(args.block), plan.find_task(args.task)
    if task.counts != "readings":
        raise BookError(
            _("--worst-first is for a task that counts readings, and {task} counts {unit}.").format(
                task=task.key, unit=_(task.counts)
            ),
            _("Leave it out: the lines stand in walking order."),
        )
    from fieldbook.reports.leaks import leaks

    report = leaks(season, day, block=block, hours=MOST_HOURS)
    walk = report.walk
    legs = (*walk.legs, *walk.later, *walk.unknown, *walk.rest)
    return [leg.line for leg in legs]


def _check(args: Args) -> None:
    """Refuse options that do not go together."""
    new = {
        "--block": args.block,
        "--task": args.task,
        "--line": args.line,
        "--open": args.open or None,
        "--worst-first": args.worst_first or None,
    }
    for option, asked in (("--again", args.again), ("--keyed", args.keyed)):
        if asked is None:
            continue
        others = [name for name, given in new.items() if given is not None]
        if args.again is not None and args.keyed is not None:
            others = ["--keyed" if option == "--again" else "--again"]
        elif option == "--again" and args.who is not None:
            others.append("--who")
        if others:
            raise BookError(
                _("{option} and {other} do not go together.").format(
                    option=option, other=others[0]
                ),
                _("A recorded sheet keeps its block, task, lines and person."),
            )
        return
    if args.block is None or args.task is None:
        raise BookError(
            _("A sheet belongs to a block and a task."),
            _("Give --block and --task, or the number of a sheet with --again or --keyed."),
        )


def _again(args: Args) -> Exit:
    """Print a recorded sheet as things stand now; nothing is recorded."""
    from fieldbook.season.sheets import find_sheet

    season, laptop, day = common.season(args)
    sheet = find_sheet(season.ledger, args.again)
    _print(args, season, sheet, day, units=laptop.units)
    return Exit.DONE


def _keyed(args: Args) -> Exit:
    """Record that all of a sheet is in the book."""
    from fieldbook.reports.words import saved
    from fieldbook.season.sheets import find_sheet, keyed

    season, laptop, _day = common.season(args, write=True)
    by = common.by(args, season, laptop)
    sheet = find_sheet(season.ledger, args.keyed)
    now = common.now(season.book)

    def settle(*, really: bool) -> "Settle":
        who = args.who or by
        return keyed(season.ledger, sheet, who=who, by=by, now=now, really=really)

    try:
        closing = settle(really=args.really)
    except Doubtful as doubt:
        if not common.ask(_("{what} Close the sheet all the same?").format(what=doubt.message)):
            raise
        closing = settle(really=True)
    for entry in common.record(season, args, [closing]):
        print(saved(entry, season.ledger))
    return Exit.DONE


# --- on paper ---


def _print(args: Args, season: "Season", sheet: "Sheet", day: "date", *, units: str) -> None:
    """Print a sheet in the form asked for."""
    from fieldbook.reports.sheet import PAPER_OF, file_name, sheet_page

    page = sheet_page(season, sheet, day, units=units)
    form = paper.form(args)
    if form == "pdf":
        from fieldbook.reports.render.sheet_pdf import sheet_pdf

        data = sheet_pdf(page, args.paper or PAPER_OF[units])
        paper.put_pdf(data, args.out, partial(file_name, page))
    elif form == "terminal":
        from fieldbook.reports.render.sheets import sheet_terminal

        common.put(common.render_terminal(sheet_terminal(page)), args.out)
    else:
        from fieldbook.reports.render.sheets import sheet_text

        common.put(sheet_text(page), args.out)
