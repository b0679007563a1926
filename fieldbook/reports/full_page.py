"""The season summary in full as a page: the same sections on screen, on paper and in a file."""

from collections.abc import Iterator, Sequence

from fieldbook.i18n import _, ngettext
from fieldbook.reports.balance import balance_words
from fieldbook.reports.charts import Chart
from fieldbook.reports.costs import costs_listing, costs_words
from fieldbook.reports.full import Full
from fieldbook.reports.listing import Listing
from fieldbook.reports.log import LogLine, says
from fieldbook.reports.page import Page, Section
from fieldbook.reports.sap import run_words, runs_listing, sap_words
from fieldbook.reports.summary import Summary
from fieldbook.reports.summary_words import attention, headline, record_words
from fieldbook.reports.words import MARKS, heading, one_line, standing_word
from fieldbook.reports.work import blocks_listing, people_listing, tasks_listing, work_words
from fieldbook.season.dates import brief_day


def full_page(full: Full) -> Page:
    """The season in full as a page."""
    s = full.summary
    return Page(
        title=_("Season summary"),
        heading=heading(s.book, s.season, s.as_of, invented=s.invented),
        as_of=s.as_of,
        lines=(*headline(s), reported_words(full)),
        sections=tuple(sections(full)),
    )


def reported_words(full: Full) -> str:
    """Tapholes drilled and syrup made, on one line: what a report on public land asks for."""
    told = full.reported
    made = _("syrup made: not written down")
    if told.syrup_gal is not None:
        made = _("syrup made: {gal:,.1f} gal ({litres:,.1f} l)").format(
            gal=told.syrup_gal, litres=told.syrup_l
        )
    return _("For the report on public land: tapholes drilled {n:,}, {made}").format(
        n=told.tapholes, made=made
    )


def sections(full: Full) -> Iterator[Section]:
    """The parts of the page, in order; those there is nothing for are left out."""
    charts = {chart.name: chart for chart in full.charts}
    s = full.summary
    yield plan_section(full, charts.get("taps"))
    yield work_section(full)
    yield drops_section(full)
    if s.vacuum is not None or full.leaks.found:
        yield vacuum_section(full, charts.get("vacuum"))
    if full.runs:
        yield sap_section(full, charts.get("sap"))
    yield Section(
        "costs",
        _("Costs"),
        lines=tuple(costs_words(full.costs)),
        listings=(costs_listing(full.costs),),
    )
    # What is open, short or over, in the words of the summary; the rest has parts of its own.
    yield from (part for part in attention(s) if part.name not in ("vacuum", "record"))
    yield record_section(full)


def _charts(chart: Chart | None) -> tuple[Chart, ...]:
    return () if chart is None else (chart,)


def plan_section(full: Full, chart: Chart | None) -> Section:
    """The plan and what was done."""
    return Section(
        "plan",
        _("The plan, and what was done"),
        charts=_charts(chart),
        listings=(plan_listing(full.summary), _blocks(full)),
    )


def plan_listing(summary: Summary) -> Listing:
    """Each task against its plan."""
    return Listing(
        name="plan",
        title=_("Tasks against the plan"),
        columns=(
            *("task", "planned", "done", "percent", "left", "short", "over", "standing"),
            "wanted",
        ),
        heads=(
            *(_("Task"), _("Planned"), _("Done"), "%", _("Left"), _("Short"), _("Over")),
            *(_("Standing"), _("Wanted")),
        ),
        rows=tuple(
            (
                *(part.title, part.planned, part.done, part.percent, part.left, part.short),
                *(part.over, f"{MARKS[part.standing]} {standing_word(part.standing)}"),
                part.wanted,
            )
            for part in summary.tasks
        ),
        notes=(_("planned = done + left + short - over"),),
    )


def _blocks(full: Full) -> Listing:
    standings = {
        (block.block, part.task): part.standing
        for block in full.summary.blocks
        for part in block.tasks
    }
    return blocks_listing(full.work, standings)


def work_section(full: Full) -> Section:
    """The hours and the rates."""
    return Section(
        "work",
        _("The work"),
        lines=tuple(work_words(full.work)),
        listings=(tasks_listing(full.work), people_listing(full.work.people)),
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
    blocks = Listing(
        name="spouts",
        title=_("Drops, taps and spouts by block"),
        columns=("block", "drops", "taps", "untapped", "over", "pulled", "in_trees"),
        heads=(
            *(_("Block"), _("Drops"), _("Taps"), _("Not tapped"), _("Over")),
            *(_("Pulled"), _("In trees")),
        ),
        rows=tuple(
            (
                *(b.block, b.count.drops, b.count.taps, b.count.untapped, b.count.over),
                *(b.count.pulled, b.count.in_trees),
            )
            for b in full.summary.balance.blocks
        ),
    )
    ages = Listing(
        name="ages",
        title=_("How old the drops are now"),
        columns=("age_years", "lines", "drops"),
        heads=(_("Age"), _("Lines"), _("Drops")),
        rows=tuple((_age(a.age_years), a.lines, a.drops) for a in full.drops_now),
    )
    listings = (blocks, ages) if full.drops_now else (blocks,)
    return Section("spouts", _("Drops, taps and spouts"), lines=tuple(lines), listings=listings)


def _age(years: int | None) -> str:
    if years is None:
        return _("unknown")
    if not years:
        return _("new")
    return ngettext("{n} season", "{n} seasons", years).format(n=years)


def vacuum_section(full: Full, chart: Chart | None) -> Section:
    """Leaks and vacuum."""
    leaks, vacuum = full.leaks, full.summary.vacuum
    said = _("Leaks found {found}, mended {mended}, open {open}").format(
        found=leaks.found, mended=leaks.mended, open=leaks.open
    )
    if leaks.per_1000_taps is not None:
        said += ", " + _("{n:.2f} for 1,000 taps").format(n=leaks.per_1000_taps)
    lines = [said]
    if leaks.by_cause:
        causes = ", ".join(f"{_(cause)} {n}" for cause, n in leaks.by_cause.items())
        lines.append(_("By cause: {causes}").format(causes=causes))
    lines += [*vacuum.says, *vacuum.worst] if vacuum is not None else []
    return Section("vacuum", _("Leaks and vacuum"), lines=tuple(lines), charts=_charts(chart))


def sap_section(full: Full, chart: Chart | None) -> Section:
    """Sap and syrup."""
    s = full.summary
    measured = [b for b in s.blocks if b.sap.days_measured or b.sap.syrup_gal is not None]
    blocks = Listing(
        name="sap",
        title=_("Sap and syrup by block"),
        columns=(
            *("block", "taps", "sap_gal", "sap_gal_per_tap", "syrup_gal", "syrup_gal_per_tap"),
            *("brix_pct", "days_measured", "days_blank", "best_fifth_share"),
        ),
        heads=(
            *(_("Block"), _("Taps"), _("Sap gal"), _("gal/tap"), _("Syrup gal"), None),
            *(_("Brix"), _("Days"), _("Blank"), None),
        ),
        rows=tuple(
            (
                *(b.block, b.sap.taps, b.sap.sap_gal, b.sap.sap_gal_per_tap, b.sap.syrup_gal),
                *(b.sap.syrup_gal_per_tap, b.sap.brix, b.sap.days_measured, b.sap.days_blank),
                b.sap.best_fifth_share,
            )
            for b in measured
        ),
    )
    lines = (*sap_words(s.sap), *run_words(s.sap))
    listings = (blocks, runs_listing(full.runs)) if measured else (runs_listing(full.runs),)
    return Section("sap", _("Sap and syrup"), lines=lines, charts=_charts(chart), listings=listings)


def record_section(full: Full) -> Section:
    """Notes, and what was struck."""
    listings = (_log("notes", _("Notes"), full.notes), _struck(full.struck))
    return Section(
        "record",
        _("The record"),
        lines=tuple(record_words(full.summary)) or (_("Nothing was struck."),),
        listings=tuple(listing for listing in listings if listing.rows),
    )


def _log(name: str, title: str, lines: Sequence[LogLine]) -> Listing:
    return Listing(
        name=name,
        title=title,
        columns=("id", "day", "who", "place", "says"),
        heads=(_("Id"), _("Day"), _("Who"), _("Where"), _("What")),
        rows=tuple(
            (line.id, brief_day(line.at.date()), line.who or line.by, line.place, _said(line))
            for line in lines
        ),
    )


def _struck(lines: Sequence[LogLine]) -> Listing:
    return Listing(
        name="struck",
        title=_("Struck, with who and why"),
        columns=("id", "day", "who", "place", "says", "struck"),
        heads=(_("Id"), _("Day"), _("Who"), _("Where"), _("What"), _("Struck by")),
        rows=tuple(
            (
                *(line.id, brief_day(line.at.date()), line.who or line.by, line.place),
                *(_said(line), one_line(line.struck)),
            )
            for line in lines
        ),
    )


def _said(line: LogLine) -> str:
    return one_line(says(line))
