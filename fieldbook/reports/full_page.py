"""The season summary in full as a page: the same sections on screen, on paper and in a file."""

from collections.abc import Callable, Iterator

from fieldbook.i18n import _, ngettext
from fieldbook.reports import full_tables
from fieldbook.reports.balance import balance_words
from fieldbook.reports.charts import Chart
from fieldbook.reports.costs import costs_listing, costs_words
from fieldbook.reports.full import Full
from fieldbook.reports.listing import Listing
from fieldbook.reports.page import Page, Section
from fieldbook.reports.sap import run_words, runs_listing, sap_words
from fieldbook.reports.summary import Summary
from fieldbook.reports.summary_words import attention, headline, record_words
from fieldbook.reports.words import heading
from fieldbook.reports.work import people_listing, tasks_listing, work_words
from fieldbook.season.dates import brief_day


def full_page(full: Full) -> Page:
    """The season in full as a page."""
    s = full.summary
    return Page(
        title=_("Season summary"),
        heading=heading(s.book, s.season, s.as_of, invented=s.invented),
        as_of=s.as_of,
        lines=(*headline(s), *days_words(full), reported_words(full)),
        sections=tuple(sections(full)),
    )


def file_name(summary: Summary, again: int = 1) -> str:
    """The usual name of its file: `summary-2027-2027-02-09.pdf`."""
    more = f"-{again}" if again > 1 else ""
    return f"summary-{summary.season}-{summary.as_of}{more}.pdf"


def days_words(full: Full) -> Iterator[str]:
    """The first and the last day of work or sap: `On record from 10 Nov 2025 to 25 Apr 2026`."""
    if full.first_day is not None and full.last_day is not None:
        first, last = (f"{brief_day(day)} {day.year}" for day in (full.first_day, full.last_day))
        one = _("On record: {day} alone").format(day=first)
        yield (
            one
            if first == last
            else _("On record from {first} to {last}").format(first=first, last=last)
        )


def reported_words(full: Full) -> str:
    """Tapholes drilled and syrup made, on one line: what a report on public land asks for."""
    told = full.reported
    drilled, made = _("tapholes not counted"), _("syrup made not written down")
    if told.tapholes is not None:
        drilled = ngettext("{n:,} taphole drilled", "{n:,} tapholes drilled", told.tapholes).format(
            n=told.tapholes
        )
    if told.syrup_gal is not None:
        made = _("{gal:,.1f} gal ({litres:,.1f} l) of syrup made").format(
            gal=told.syrup_gal, litres=told.syrup_l
        )
    return _("For the report on public land: {drilled}, {made}").format(drilled=drilled, made=made)


def sections(full: Full) -> Iterator[Section]:
    """The parts of the page, in order; those there is nothing for are left out."""
    s = full.summary
    yield plan_section(full)
    yield work_section(full)
    yield drops_section(full)
    if s.vacuum is not None or full.leaks.found is not None:
        yield vacuum_section(full)
    if full.runs:
        yield sap_section(full)
    yield costs_section(full)
    # What is open, short or over, in the words of the summary; the rest has parts of its own.
    yield from (part for part in attention(s) if part.name not in ("vacuum", "record"))
    yield record_section(full)


def part_of(full: Full, name: str) -> Section:
    """One part of the season by its name: work, spouts, vacuum, sap or costs."""
    parts: dict[str, Callable[[Full], Section]] = {
        "work": work_section,
        "spouts": drops_section,
        "vacuum": vacuum_section,
        "sap": sap_section,
        "costs": costs_section,
    }
    return parts[name](full)


def _charts(full: Full, name: str) -> tuple[Chart, ...]:
    """The chart of a name, where there is something to draw."""
    return tuple(chart for chart in full.charts if chart.name == name)


def tables(full: Full) -> list[Listing]:
    """Every table of the season, those with nothing in them too: each can be asked for."""
    return [
        full_tables.plan_listing(full.summary),
        full_tables.blocks(full),
        tasks_listing(full.work),
        people_listing(full.work.people),
        full_tables.spouts(full),
        full_tables.ages(full),
        full_tables.bags(full),
        full_tables.sap_by_block(full),
        runs_listing(full.runs),
        costs_listing(full.costs),
        *_record_listings(full),
    ]


def _record_listings(full: Full) -> tuple[Listing, ...]:
    return (
        full_tables.carried(full),
        full_tables.notes(full),
        full_tables.written_off(full),
        full_tables.struck(full),
    )


def _filled(*listings: Listing) -> tuple[Listing, ...]:
    """The tables that have something in them."""
    return tuple(listing for listing in listings if listing.rows)


def plan_section(full: Full) -> Section:
    """The plan and what was done."""
    listings = _filled(full_tables.plan_listing(full.summary), full_tables.blocks(full))
    return Section(
        "plan",
        _("The plan, and what was done"),
        lines=() if listings else (_("Nothing is planned yet."),),
        charts=_charts(full, "taps"),
        listings=listings,
    )


def work_section(full: Full) -> Section:
    """The hours and the rates."""
    return Section(
        "work",
        _("The work"),
        lines=tuple(work_words(full.work)),
        listings=_filled(tasks_listing(full.work), people_listing(full.work.people)),
    )


def drops_section(full: Full) -> Section:
    """Drops, taps and spouts."""
    t = full.summary.totals
    lines = list(balance_words(full.summary.balance))
    if t.drops_replaced is not None:
        lines.insert(
            0,
            _("Drops replaced {done:,} of {due:,} due").format(
                done=t.drops_replaced, due=t.drops_due or 0
            ),
        )
    return Section(
        "spouts",
        _("Drops, taps and spouts"),
        lines=tuple(lines),
        listings=_filled(full_tables.spouts(full), full_tables.bags(full), full_tables.ages(full)),
    )


def vacuum_section(full: Full) -> Section:
    """Leaks and vacuum."""
    leaks, vacuum = full.leaks, full.summary.vacuum
    lines = []
    if vacuum is not None and not _taps_out(full):
        lines += [*vacuum.says, *vacuum.worst]  # the leaks are told in it
    elif leaks.found is None:
        lines.append(_("Nobody looked for leaks."))
    else:
        said = _("Leaks found {found}, mended {mended}, open {open}").format(
            found=leaks.found, mended=leaks.mended, open=leaks.open
        )
        if leaks.per_1000_taps is not None:
            said += ", " + _("{n:.2f} for 1,000 taps").format(n=leaks.per_1000_taps)
        lines.append(said)
    if leaks.by_cause:
        causes = ", ".join(f"{_(cause)} {n}" for cause, n in leaks.by_cause.items())
        lines.append(_("Leaks by cause: {causes}").format(causes=causes))
    return Section(
        "vacuum", _("Leaks and vacuum"), lines=tuple(lines), charts=_charts(full, "vacuum")
    )


def _taps_out(full: Full) -> bool:
    """Whether most spouts are pulled, or the season is closed: then there is nothing to lose."""
    t = full.summary.totals
    return bool(full.summary.closed) or (t.spouts_pulled or 0) > (t.spouts_in_trees or 0)


def sap_section(full: Full) -> Section:
    """Sap and syrup."""
    s = full.summary
    if not full.runs:
        return Section("sap", _("Sap and syrup"), (_("No run was written down yet."),))
    return Section(
        "sap",
        _("Sap and syrup"),
        lines=(*sap_words(s.sap), *run_words(s.sap)),
        charts=_charts(full, "sap"),
        listings=_filled(full_tables.sap_by_block(full), runs_listing(full.runs)),
    )


def costs_section(full: Full) -> Section:
    """What it cost."""
    return Section(
        "costs",
        _("Costs"),
        tuple(costs_words(full.costs)),
        listings=_filled(costs_listing(full.costs)),
    )


def record_section(full: Full) -> Section:
    """What was carried over, notes, and what was written off or struck."""
    return Section(
        "record",
        _("The record"),
        lines=tuple(record_words(full.summary)) or (_("Nothing was struck."),),
        listings=_filled(*_record_listings(full)),
    )
