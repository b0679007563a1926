"""Where a number on a screen comes from: the entry, the rule and its source, the sum."""

from collections.abc import Iterator

from fieldbook.book.entry import Count, Line, Task
from fieldbook.i18n import _, ngettext
from fieldbook.reports.forecast import Forecast, TaskForecast
from fieldbook.reports.forecast_tables import finish_words, pace_words
from fieldbook.reports.lines import load_of
from fieldbook.reports.sap import sap_of, sap_words
from fieldbook.reports.trees import line_trees, trees_flag
from fieldbook.reports.words import describe, rule_source, signed_entry, size
from fieldbook.season.dates import brief_day, short_day
from fieldbook.season.plan import Plan
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


def _counted(season: Season, line: Line, task: Task) -> tuple[str, ...]:
    """The counts of a line in a task, one by one."""
    record = season.ledger.record(line.block, line.line, task.key)
    return tuple(
        f"{e.id} {describe(e, season.plan)}, {e.who}, {short_day(e.day)}"
        for e in record.entries
        if isinstance(e, Count)
    )


def _planned(season: Season, line: Line, task: Task) -> Iterator[Whence]:
    """The planned number, what is done of it, and the season before."""
    planned = season.ledger.planned(line, task)
    shown = "?" if planned is None else f"{planned:,}"
    head = _("Planned {n} {unit}").format(n=shown, unit=_(task.counts))
    yield head, _planned_why(season, line, task)
    record = season.ledger.record(line.block, line.line, task.key)
    done = _("Done {n:,} {unit}").format(n=record.done, unit=_(task.counts))
    yield done, _counted(season, line, task) or (_("nothing recorded here yet"),)
    last = season.last_count(line, task)
    if last is not None and season.last is not None:
        yield (
            _("Last season {n:,}").format(n=last),
            (_("counts of season {year} on the line of this name").format(year=season.last.year),),
        )


def _planned_why(season: Season, line: Line, task: Task) -> tuple[str, ...]:
    plan = season.plan
    target = plan.target(task.key, line.block, line.line)
    if target is not None and target.planned is not None:
        return (_("a number wanted for this line ({entry})").format(entry=signed_entry(target)),)
    match task.planned:
        case "taps planned":
            return (_taps_why(plan, line),)
        case "drops due":
            return (_("one for each tap if they are due, none if not"), _taps_why(plan, line))
        case "side ties":
            if plan.length_ft(line) is None:
                return (
                    _("the plan does not say how long the line is ({entry})").format(
                        entry=signed_entry(line)
                    ),
                )
            spacing = plan.number("tie_spacing_ft")
            return (
                _("the line's length ({entry}) over the spacing, {spacing:g} ft").format(
                    entry=signed_entry(line), spacing=spacing
                ),
                rule_source(plan, "tie_spacing_ft"),
            )
        case "one a line":
            return (_("one for each line"),)
        case "spouts in trees":
            tapping = plan.counting("taps")
            drilled = _counted(season, line, tapping) if tapping else ()
            return (_("one for each tap drilled on the line"), *drilled)


def _taps_why(plan: Plan, line: Line) -> str:
    tapping = plan.counting("taps")
    target = plan.target(tapping.key, line.block, line.line) if tapping else None
    if target is not None and target.planned is not None:
        return _("a number of taps wanted for this line ({entry})").format(
            entry=signed_entry(target)
        )
    if line.taps_planned is not None:
        return _("the line's own number in the plan ({entry})").format(entry=signed_entry(line))
    trees = plan.trees(line.block, line.line)
    if trees is None:
        return _("the plan has no number, and nobody tallied the trees")
    return _("the plan has no number: as many as the trees allow ({entry})").format(
        entry=signed_entry(trees)
    )


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
                n=judged.trees, tally=tally_words(taken.classes), entry=signed_entry(taken)
            ),
            _("by every rule: {rules}").format(rules=rules),
            *([f"! {flag}"] if flag else []),
            *([_soon(plan, judged.soon)] if judged.soon else []),
        ),
    )


def _soon(plan: Plan, trees: int) -> str:
    return ngettext(
        "{n:,} tree is due to be measured again, at {growth:g} in of growth a year: {source}",
        "{n:,} trees are due to be measured again, at {growth:g} in of growth a year: {source}",
        trees,
    ).format(
        n=trees, growth=plan.number("growth_dbh_in"), source=rule_source(plan, "growth_dbh_in")
    )


def _drops(season: Season, line: Line) -> Iterator[Whence]:
    """How old the drops are, and whether they are due."""
    if season.plan.counting("drops") is None:
        return
    cycle = int(season.plan.number("drop_cycle_years"))
    age = drop_age_years(hung=line.drops_hung, season=season.year)
    source = rule_source(season.plan, "drop_cycle_years")
    rule = ngettext("replaced at {n} year: {source}", "replaced at {n} years: {source}", cycle)
    rule = rule.format(n=cycle, source=source)
    if age is None:
        yield _("Drops of unknown age"), (_("counted as due: nobody can say they are not"), rule)
        return
    due = _("due this season") if age >= cycle else _("not due this season")
    yield (
        ngettext("Drops {n} year old", "Drops {n} years old", age).format(n=age),
        (
            _("hung for {year}: {due} ({entry})").format(
                year=line.drops_hung, due=due, entry=signed_entry(line)
            ),
            rule,
        ),
    )


def _carries(season: Season, line: Line, units: str) -> Iterator[Whence]:
    """What the line can carry."""
    plan, load = season.plan, load_of(season.plan, line)
    what = size(line, units)
    if load.taps_liquid is not None:
        yield (
            _("Drains the sap of {n:,} taps").format(n=load.taps_liquid),
            (
                _("{what}, at {peak:g} gal an hour and tap: {source}").format(
                    what=what,
                    peak=plan.number("peak_gph_per_tap"),
                    source=rule_source(plan, "peak_gph_per_tap"),
                ),
                sources.MANNING,
            ),
        )
    if load.taps_air is not None:
        yield (
            _("Lets the air of {n:,} taps through").format(n=load.taps_air),
            (
                _("losing {loss:g} inHg at most from the pump: {source}").format(
                    loss=plan.number("vacuum_loss_inhg"),
                    source=rule_source(plan, "vacuum_loss_inhg"),
                ),
                _("{need:g} CFM of air for 100 taps: {source}").format(
                    need=plan.number("cfm_per_100_taps"),
                    source=rule_source(plan, "cfm_per_100_taps"),
                ),
                sources.AIR,
            ),
        )
    if load.sag_in is not None:
        yield (
            _("Sags {sag:.1f} in between ties, {most:.1f} at most").format(
                sag=load.sag_in, most=load.sag_allowed_in
            ),
            (
                _("full of sap, at {tension:g} lb: {source}").format(
                    tension=plan.number("wire_tension_lb"),
                    source=rule_source(plan, "wire_tension_lb"),
                ),
                sources.SAG,
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
    return [*_task_parts(season, task, block, outlook), *_next(outlook)]


def season_whence(season: Season, outlook: Forecast) -> list[Whence]:
    """Where the numbers of the season's page come from, task by task, and its sap.

    Args:
        season: The season.
        outlook: The forecast of the season.
    """
    return [
        part for task in season.plan.tasks for part in _task_parts(season, task, "", outlook)
    ] + [*_next(outlook), *_sap(season)]


def _task_parts(season: Season, task: Task, block: str, outlook: Forecast) -> list[Whence]:
    """A task in a block, or with no block named in the whole season."""
    plan = season.plan
    tally = season.ledger.cell(task, block or None).tally
    where = block or _("all blocks")
    parts: list[Whence] = [
        (
            _("{task}: planned {planned:,}, done {done:,}, left {left:,} {unit}").format(
                task=task.title,
                planned=tally.planned,
                done=tally.done,
                left=tally.left,
                unit=_(task.counts),
            ),
            (
                _("the lines of {where} together: {from_}; w in the round tells each").format(
                    where=where, from_=_(task.planned)
                ),
                _("planned = done + left + short - over; what a finished line lacks is short"),
                *([_unknown(tally.unknown)] if tally.unknown else []),
            ),
        ),
        *_wanted(plan, task, block),
    ]
    ahead = next((x for x in outlook.tasks if x.task == task.key), None)
    if ahead is not None:
        parts += _ahead(ahead, block)
    return parts


def _next(outlook: Forecast) -> Iterator[Whence]:
    """Why the next block is next."""
    for first in outlook.order.turns[:1]:
        where = _("First: {block}, {task}").format(block=first.block, task=first.title.lower())
        yield where, (outlook.order.why, sources.ONE_CREW)


def _sap(season: Season) -> Iterator[Whence]:
    """Sap and syrup."""
    sap = sap_of(season.ledger)
    if not season.ledger.runs:
        return
    head, *more = sap_words(sap)
    runs = ngettext(
        "{n} run in the logbook; what was not measured is blank, not zero",
        "{n} runs in the logbook; what was not measured is blank, not zero",
        len(season.ledger.runs),
    ).format(n=len(season.ledger.runs))
    taps = _("a tap: over {n:,} taps in, or planned where none is in").format(n=sap.sap_taps)
    yield head, (runs, taps, *more, _("expected: {source}").format(source=sources.REVISED_86))


def _unknown(lines: int) -> str:
    return ngettext(
        "of {n} line nobody knows how many are planned: what is done there is over",
        "of {n} lines nobody knows how many are planned: what is done there is over",
        lines,
    ).format(n=lines)


def _wanted(plan: Plan, task: Task, block: str) -> Iterator[Whence]:
    """The date wanted, and who said so."""
    wanted = plan.wanted(task, block)
    if wanted is None:
        return
    targets = filter(None, (plan.target(task.key, where) for where in (block, "")))
    entry = next((target for target in targets if target.wanted), None) or plan.checklist
    says = _("a target of the crew's") if wanted.from_target else _("the checklist in force")
    where = f" ({signed_entry(entry)})" if entry else ""
    yield _("Wanted {day}").format(day=short_day(wanted.day)), (says + where,)


def _ahead(ahead: TaskForecast, block: str) -> Iterator[Whence]:
    """The dates of a task and of a block in it."""
    pace = pace_words(ahead.pace, ahead.counts)
    if not ahead.under_way:
        yield (
            ngettext(
                "Takes {likely} workday, nine times in ten no more than {late}",
                "Takes {likely} workdays, nine times in ten no more than {late}",
                ahead.days_likely,
            ).format(likely=ahead.days_likely, late=ahead.days_late),
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
