"""Where a number on a screen comes from: the entry, the rule and its source, the sum."""

from collections.abc import Iterator

from fieldbook.book.entry import Entry, Line, Task
from fieldbook.i18n import _
from fieldbook.reports.forecast import Forecast, TaskForecast
from fieldbook.reports.forecast_tables import finish_words, pace_words
from fieldbook.reports.lines import line_load
from fieldbook.reports.trees import line_trees, trees_flag
from fieldbook.reports.words import describe, size
from fieldbook.season.dates import brief_day, short_day
from fieldbook.season.season import Season
from fieldbook.season.tally import tally_words
from fieldbook.trade import sources
from fieldbook.trade.drops import drop_age_years
from fieldbook.trade.wire import CAUTION

Whence = tuple[str, tuple[str, ...]]
"""A number with what it is, and under it lines that say where it comes from."""


def line_whence(season: Season, line: Line, task: Task, units: str) -> list[Whence]:
    """Where the numbers of a line's card come from.

    Args:
        season: The season.
        line: The line.
        task: The task of the card.
        units: `us` or `metric`.
    """
    return [
        *_planned(season, line, task),
        *_trees(season, line),
        *_drops(season, line),
        *_carries(season, line, units),
    ]


def _by(entry: Entry) -> str:
    return f"{entry.id}, {entry.by}, {short_day(entry.day)} {entry.day.year}"


def _planned(season: Season, line: Line, task: Task) -> Iterator[Whence]:
    """The planned number, what is done of it, and the season before."""
    ledger, plan = season.ledger, season.plan
    planned = ledger.planned(line, task)
    target = plan.target(task.key, line.block, line.line)
    if target is not None and target.planned is not None:
        why = _("a number wanted for this line ({entry})").format(entry=_by(target))
    else:
        why = {
            "taps planned": _taps_why(line),
            "drops due": _("all drops of a line that is due, none of one that is not"),
            "side ties": _("length over spacing, {spacing:g} ft: {source}").format(
                spacing=plan.number("tie_spacing_ft"), source=sources.COMMON
            ),
            "one a line": _("one for each line"),
            "spouts in trees": _("taps drilled on the line"),
        }[task.planned]
    record = ledger.record(line.block, line.line, task.key)
    counts = [f"{e.id} {describe(e, plan)}, {e.who}, {short_day(e.day)}" for e in record.entries]
    shown = "?" if planned is None else f"{planned:,}"
    head = _("Planned {n} {unit}").format(n=shown, unit=_(task.counts))
    yield head, (why,)
    done = _("Done {n:,} {unit}").format(n=record.done, unit=_(task.counts))
    yield done, tuple(counts) or (_("nothing recorded here yet"),)
    last = season.last_count(line, task)
    if last is not None and season.last is not None:
        yield (
            _("Last season {n:,}").format(n=last),
            (_("counts of season {year} on the line of this name").format(year=season.last.year),),
        )


def _taps_why(line: Line) -> str:
    if line.taps_planned is None:
        return _("the plan has no number: as many as the trees allow")
    return _("the line's own number in the plan ({entry})").format(entry=_by(line))


def _trees(season: Season, line: Line) -> Iterator[Whence]:
    """What the trees allow, by which rule."""
    plan, judged = season.plan, line_trees(season.plan, line)
    taken = plan.trees(line.block, line.line)
    if taken is None or judged.allowed is None:
        yield (
            _("Trees allow ?"),
            (_("nobody tallied them: e keys them in, fieldbook blank trees makes a table"),),
        )
        return
    rules = ", ".join(f"{name} {taps:,}" for name, taps in judged.by_rule.items())
    flag = trees_flag(judged)
    yield (
        _("Trees allow {n:,} taps").format(n=judged.allowed),
        (
            _("rule {rule}: {source}").format(rule=plan.tap_rule.name, source=plan.tap_rule.source),
            _("{n:,} trees by diameter: {tally} ({entry})").format(
                n=judged.trees, tally=tally_words(taken.classes), entry=_by(taken)
            ),
            _("by every rule: {rules}").format(rules=rules),
            *([f"! {flag}"] if flag else []),
            _("{n:,} trees are due to be measured again: {growth:g} in of growth a year").format(
                n=judged.soon, growth=plan.number("growth_dbh_in")
            ),
        ),
    )


def _drops(season: Season, line: Line) -> Iterator[Whence]:
    """How old the drops are, and whether they are due."""
    cycle = int(season.plan.number("drop_cycle_years"))
    age = drop_age_years(hung=line.drops_hung, season=season.year)
    rule = _("replaced at {n} years: {source}").format(n=cycle, source=sources.DROPS)
    if age is None:
        yield _("Drops of unknown age"), (_("counted as due: nobody can say they are not"), rule)
        return
    due = _("due this season") if age >= cycle else _("not due this season")
    yield (
        _("Drops {n} years old").format(n=age),
        (
            _("hung for {year}: {due} ({entry})").format(
                year=line.drops_hung, due=due, entry=_by(line)
            ),
            rule,
        ),
    )


def _carries(season: Season, line: Line, units: str) -> Iterator[Whence]:
    """What the line can carry."""
    plan, load = season.plan, line_load(season.plan, line)
    what = size(line, units)
    if load.taps_liquid is not None:
        yield (
            _("Drains the sap of {n:,} taps").format(n=load.taps_liquid),
            (
                _("{what}, at {peak:g} gal an hour and tap: {source}").format(
                    what=what, peak=plan.number("peak_gph_per_tap"), source=sources.PEAK
                ),
                sources.MANNING,
            ),
        )
    if load.taps_air is not None:
        yield (
            _("Lets the air of {n:,} taps through").format(n=load.taps_air),
            (
                _("losing {loss:g} inHg at most from the pump: {source}").format(
                    loss=plan.number("vacuum_loss_inhg"), source=sources.VACUUM_LOSS
                ),
                f"{sources.AIR_NEED}; {sources.AIR}",
            ),
        )
    if load.sag_in is not None:
        yield (
            _("Sags {sag:.1f} in between ties, {most:.1f} at most").format(
                sag=load.sag_in, most=load.sag_allowed_in
            ),
            (
                _("full of sap, at {tension:g} lb: {source}").format(
                    tension=plan.number("wire_tension_lb"), source=sources.SAG
                ),
                f"! {CAUTION}",
            ),
        )
    if load.flags:
        yield _("Wants a look"), tuple(f"! {flag}" for flag in load.flags)


# --- a block, or the season, in a task --------------------------------------------------------


def task_whence(season: Season, task: Task, block: str, outlook: Forecast) -> list[Whence]:
    """Where the numbers of a cell of the board come from.

    Args:
        season: The season.
        task: The task.
        block: The block.
        outlook: The forecast of the season.
    """
    plan = season.plan
    tally = season.ledger.cell(task, block).tally
    parts: list[Whence] = [
        (
            _("Planned {planned:,}, done {done:,}, left {left:,} {unit}").format(
                planned=tally.planned, done=tally.done, left=tally.left, unit=_(task.counts)
            ),
            (
                _("the lines of {block} taken together: {from_}").format(
                    block=block, from_=_(task.planned)
                ),
                _("planned = done + left + short - over; what a finished line lacks is short"),
            ),
        )
    ]
    wanted = plan.wanted(task, block)
    if wanted is not None:
        says = _("a target of the crew's") if wanted.from_target else _("the checklist in force")
        parts.append((_("Wanted {day}").format(day=short_day(wanted.day)), (says,)))
    ahead = next((x for x in outlook.tasks if x.task == task.key), None)
    if ahead is not None:
        parts += _ahead(ahead, block)
    first = next(iter(outlook.order.turns), None)
    if first is not None:
        where = _("Next: {block}, {task}").format(block=first.block, task=first.title.lower())
        parts.append((where, (outlook.order.why, sources.ONE_CREW)))
    return parts


def _ahead(ahead: TaskForecast, block: str) -> Iterator[Whence]:
    """The dates of a task and of a block in it."""
    pace = pace_words(ahead.pace, ahead.counts)
    if not ahead.under_way:
        yield (
            _("Takes {likely} workdays, {late} nine times in ten").format(
                likely=ahead.days_likely, late=ahead.days_late
            ),
            (pace,),
        )
        return
    more = _("not within a year") if ahead.one_more is None else brief_day(ahead.one_more)
    yield (
        _("{task} {finish}").format(task=ahead.title, finish=finish_words(ahead.finish)),
        (
            pace,
            _("going on from tomorrow; 8 times in 10 between the dates in brackets"),
            _("with one more person: {day}").format(day=more),
            f"{sources.RESAMPLING}; {sources.SHRUNK}",
        ),
    )
    here = next((x for x in ahead.blocks if x.block == block), None)
    if here is not None:
        yield (
            _("{block} {finish}").format(block=block, finish=finish_words(here.finish)),
            (_("in the order of fieldbook forecast, what is set aside last"),),
        )
