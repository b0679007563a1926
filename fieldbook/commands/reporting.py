"""What a book says: reports, tables to take away, the keys of the screens."""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import date
from typing import TYPE_CHECKING, Any

from fieldbook.commands import common
from fieldbook.commands.common import Args
from fieldbook.errors import BookError, Exit
from fieldbook.i18n import _

if TYPE_CHECKING:
    from fieldbook.reports.listing import Listing
    from fieldbook.season.season import Season

CURVE = (78, 16)
"""Width and height of the curve of taps, in characters."""


def run_plan(args: Args) -> Exit:
    """Print what trees, drops and lines say of the plan: taps too many, drops due, full lines."""
    from fieldbook.reports.drops import drops_due, drops_listing
    from fieldbook.reports.lines import line_loads, lines_listing
    from fieldbook.reports.outset import outset, plan_parts
    from fieldbook.reports.trees import allowance, trees_listing
    from fieldbook.reports.wear import wear, wear_listing

    parts: dict[str, tuple[Callable[[Season], Any], Callable[[Any], Listing]]] = {
        "trees": (allowance, trees_listing),
        "wear": (wear, wear_listing),
        "drops": (drops_due, drops_listing),
        "lines": (line_loads, lines_listing),
    }
    season, _laptop, day = common.season(args)
    wanted = [args.part] if args.part else plan_parts(season.plan)
    with reckoning():
        data = {part: parts[part][0](season) for part in wanted}
    listings = [parts[part][1](data[part]) for part in wanted]
    if args.part:
        return print_listings(args, season, day, data[args.part], listings)
    return print_listings(args, season, day, data, listings, first=list(outset(*data.values())))


def run_supplies(args: Args) -> Exit:
    """Print what to buy for what is left to do, and what to lay out for each block."""
    from fieldbook.reports.supplies import supplies_listings, supplies_needed

    season, _laptop, day = common.season(args)
    with reckoning():
        data = supplies_needed(season)
    return print_listings(args, season, day, data, supplies_listings(data))


def run_forecast(args: Args) -> Exit:
    """Print when each task and block will be done, and which block is next."""
    from fieldbook.reports.forecast import forecast
    from fieldbook.reports.forecast_tables import forecast_listings
    from fieldbook.reports.render.curves import season_curve

    season, _laptop, day = common.season(args)
    with reckoning():
        data = forecast(season, day)
    curve = season_curve(data.curve, day, width=CURVE[0], height=CURVE[1]) if data.curve else []
    return print_listings(args, season, day, data, forecast_listings(data), first=curve)


def run_open_items(args: Args) -> Exit:
    """Print what was begun and not closed: people, hazards, valves, counts that do not match."""
    from fieldbook.reports.open_items import items_lines, items_listing, told_items
    from fieldbook.reports.render.text import WIDTH
    from fieldbook.season.items import What, of_blocks, open_items

    season, _laptop, day = common.season(args)
    plan, now = season.plan, common.as_it_stood(args, season, day)
    items = open_items(season.ledger, now)
    if args.block:
        block = plan.find_block(args.block)
        people = (What.OUT, What.HANDOFF)  # wherever they are, they may be about this block
        items = [x for x in of_blocks(items, [block]) if x.about.block or x.what in people]
    if args.person:
        person = plan.find_person(args.person)
        items = [item for item in items if person in (item.owner, item.about.who)]
    told = told_items(items, plan, now)
    if common.form(args) in ("json", "csv"):
        return print_listings(args, season, day, told, [items_listing(items, plan, now)])
    lines = items_lines(items, plan, now, width=WIDTH)
    return print_listings(args, season, day, told, [], first=lines)


def run_balance(args: Args) -> Exit:
    """Print the count that must balance: drops, taps and spouts, by line and by person."""
    from fieldbook.reports.balance import balance_listings, balance_report

    season, _laptop, day = common.season(args)
    report = balance_report(season.ledger)
    return print_listings(args, season, day, report, balance_listings(report))


@contextmanager
def reckoning() -> Iterator[None]:
    """What no sum holds for comes from the rules of the book: says which range it is out of."""
    try:
        yield
    except ValueError as error:
        raise BookError(
            _("It cannot be reckoned with the rules of the book: {why}.").format(why=error),
            _("Change the rule: fieldbook setting shows them all."),
        ) from None


def print_listings(
    args: Args,
    season: "Season",
    day: date,
    data: object,
    listings: "Sequence[Listing]",
    *,
    first: Sequence[str] = (),
) -> Exit:
    """Print a report that is made of listings, in the form asked for."""
    from fieldbook.reports.render import listings as render
    from fieldbook.reports.words import heading

    form = common.form(args)
    if form == "json":
        from fieldbook.reports.render.json import to_json

        common.put(to_json(data), args.out)
        return Exit.DONE
    if form == "csv":
        common.put(render.listing_csv(table_named(listings, args.table)), args.out)
        return Exit.DONE
    invented = season.book.today is not None
    title = heading(season.book.name, season.year, day, invented=invented)
    if form == "terminal":
        from fieldbook.reports.render.terminal import listings_terminal

        text = common.render_terminal(listings_terminal(title, listings, first=first))
    else:
        text = render.listings_text(title, listings, first=first)
    common.put(text, args.out)
    return Exit.DONE


def table_named(listings: "Sequence[Listing]", name: str | None) -> "Listing":
    """The table of a report that is asked for; the first, if none is."""
    for listing in listings:
        if name in (None, listing.name):
            return listing
    raise BookError(
        _("The report has no table {name}.").format(name=repr(name)),
        _("It has: {names}.").format(names=", ".join(listing.name for listing in listings)),
    )


def run_log(args: Args) -> Exit:
    """Print the logbook: every entry, struck ones too."""
    from fieldbook.reports.log import log_lines

    season, until = common.whole_season(args)
    lines = list(log_lines(season, find=" ".join(args.find), until=until))
    if args.last is not None:
        lines = lines[-args.last :] if args.last else []
    match common.form(args):
        case "json":
            from fieldbook.reports.render.json import to_json

            text = to_json(lines)
        case "csv":
            from fieldbook.reports.export import LOG_COLUMNS
            from fieldbook.reports.render.csv import to_csv

            rows = (tuple(getattr(line, column) for column in LOG_COLUMNS) for line in lines)
            text = to_csv(LOG_COLUMNS, rows)
        case "terminal":
            from fieldbook.reports.render.terminal import log_terminal

            text = common.render_terminal(log_terminal(lines))
        case _:
            from fieldbook.reports.render.text import log_text

            text = log_text(lines)
    common.put(text, args.out)
    return Exit.DONE


def run_keys(args: Args) -> Exit:
    """Print the keys of the screens."""
    from fieldbook.screens.actions import key_table

    common.put(key_table(), args.out)
    return Exit.DONE


def run_reckon(args: Args) -> Exit:
    """Work out one sum of the trade by itself; without a name, list them."""
    from fieldbook.reports import reckon
    from fieldbook.reports.render.json import to_json

    if args.name is None:
        listed = to_json(reckon.sums_told()) if args.format == "json" else reckon.sums_text()
        common.put(listed, args.out)
        return Exit.DONE
    asked = reckon.find(args.name)
    reckon.parser(asked).parse_args(args.rest, args)
    at_hand = common.book_at_hand(args)
    if args.season is not None and at_hand is None:
        raise BookError(_("--season is the year of a book."), _("Name the book with --book."))
    season = common.whole_season(args)[0] if at_hand else None
    made = reckon.ask(asked, vars(args), season)
    if args.format == "json":
        text = to_json(reckon.told(made, explain=args.explain))
    else:
        text = reckon.told_text(made, explain=args.explain)
    common.put(text, args.out)
    return Exit.DONE
