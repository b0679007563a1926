"""Looking a season over: what cannot be read, what hangs in the air, what is dated oddly."""

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from math import fsum
from typing import TYPE_CHECKING

from fieldbook.book.entry import HandOff, Settle, Sheet, Taken, Work
from fieldbook.book.lines import Problem
from fieldbook.errors import BookError
from fieldbook.i18n import _
from fieldbook.season.refusals import is_settled_by_word
from fieldbook.season.sap import sap_gal_of
from fieldbook.season.season import CHECKLIST_COPY, Season

if TYPE_CHECKING:
    from fieldbook.book.entry import Entry

CLOCK_SLACK = timedelta(hours=1)
"""How far the clock of a laptop may be off before it is said (common practice, no source)."""

MEASURED_ALIKE = 0.02
"""By how much of it the tanks of the blocks may differ from the one they run into (from memory)."""

FEW = 5
"""Entries dated in the future that are told one by one."""


def check_season(season: Season, now: datetime) -> list[Problem]:
    """Everything about a season that is not as it should be.

    Args:
        season: The season, with everything in it.
        now: The time.
    """
    return [
        *season.book.check(),
        *_strays(season),
        *_references(season),
        *_runs(season),
        *_closers(season),
        *_rules(season),
        *_dates(season, now),
        *_clocks(season, now),
        *_checklist(season),
    ]


def _strays(season: Season) -> Iterator[Problem]:
    """Work that is in no total."""
    for entry in season.ledger.strays:
        yield Problem(
            entry.id,
            _("{task} on {block} / {line}, which the plan does not have: in no total").format(
                task=entry.task, block=entry.block, line=entry.line
            ),
            _("import the line again, or strike the entry with a reason"),
        )


def _references(season: Season) -> Iterator[Problem]:
    """Targets, notes, what was found or is open, and people that the plan does not know."""
    plan = season.plan
    people = set(plan.people)
    tasks = {task.key for task in plan.checklist.tasks} if plan.checklist else set()

    def unknown(block: str, line: str, task: str) -> str:
        if task and task not in tasks:
            return _("task {name}").format(name=task)
        if line and plan.line(block, line) is None:
            return _("line {block} / {line}").format(block=block, line=line)
        if block and block not in plan.walk:
            return _("block {name}").format(name=block)
        return ""

    named: list[Entry] = [*plan.targets, *plan.tallies]
    named += [e for e in season.standing_work if not isinstance(e, Work)]  # those are strays
    for about in named:
        for missing in dict.fromkeys(filter(None, (unknown(*where) for where in _places(about)))):
            yield Problem(
                about.id,
                _("names {missing}, which the plan does not have").format(missing=missing),
                _("import it again, or strike the entry with a reason"),
                grave=False,
            )
    strangers: dict[str, Entry] = {}
    for entry in season.standing_work:
        who = getattr(entry, "who", "")
        if who and who not in people:
            strangers.setdefault(who, entry)
    for name, first in sorted(strangers.items()):
        yield Problem(
            first.id,
            _("is work of {name}, who is not on the crew").format(name=name),
            _("put the name on the crew, or strike the entry and record it for somebody else"),
            grave=False,
        )
    for handoff in season.ledger.of(HandOff):
        if handoff.to and handoff.to not in people:
            yield Problem(
                handoff.id,
                _("is for {name}, who is not on the crew").format(name=handoff.to),
                _("put the name on the crew; whoever takes it has it"),
                grave=False,
            )


def _runs(season: Season) -> Iterator[Problem]:
    """Days on which the blocks brought more sap than the whole sugarbush they are parts of."""
    days: dict[date, tuple[list[float], list[float]]] = {}
    for run in season.ledger.runs:
        gallons = sap_gal_of(run)
        if gallons is not None:
            days.setdefault(run.day, ([], []))[bool(run.block)].append(gallons)
    for day, (whole, parts) in sorted(days.items()):
        if whole and fsum(parts) > fsum(whole) * (1 + MEASURED_ALIKE):
            yield Problem(
                day.isoformat(),
                _("the blocks' sap is {parts:,.1f} gal, that of them all {whole:,.1f}").format(
                    parts=fsum(parts), whole=fsum(whole)
                ),
                _("strike the run that is wrong; {whole:,.1f} counts").format(whole=fsum(whole)),
            )


def _places(entry: "Entry") -> Iterator[tuple[str, str, str]]:
    """Block, line and task that an entry names: a sheet names several lines, a hand-off blocks."""
    block, task = getattr(entry, "block", ""), getattr(entry, "task", "")
    match entry:
        case Sheet():
            yield from ((block, line, task) for line in entry.lines)
        case HandOff():
            yield from ((name, "", "") for name in entry.blocks)
        case _:
            yield block, getattr(entry, "line", ""), task


def _closers(season: Season) -> Iterator[Problem]:
    """Words that close what is not here, or is not closed so; hand-offs that two people took."""
    known = {entry.id: entry for entry in season.book.entries}
    for settle in season.ledger.of(Settle):
        opener = known.get(settle.entry)
        if opener is None:
            yield _closes_nothing(settle.id, settle.entry)
        elif not is_settled_by_word(opener):
            yield Problem(
                settle.id,
                _("says that {id} is seen to, which is no hazard, leak, repair or sheet").format(
                    id=settle.entry
                ),
                _("strike it with a reason, and close what was meant: fieldbook open-items"),
            )
    first: dict[str, Taken] = {}
    for taken in season.ledger.of(Taken):
        opener, before = known.get(taken.handoff), first.setdefault(taken.handoff, taken)
        if opener is None:
            yield _closes_nothing(taken.id, taken.handoff)
        elif not isinstance(opener, HandOff):
            yield Problem(
                taken.id,
                _("takes {id}, which is no hand-off").format(id=taken.handoff),
                _("strike it with a reason, and take what was meant: fieldbook take"),
            )
        elif before is not taken:
            yield Problem(
                taken.id,
                _("takes {id} for {who}, which {other} took too ({before})").format(
                    id=taken.handoff, who=taken.who, other=before.who, before=before.id
                ),
                _("agree who has it, and strike the other word with a reason"),
            )


def _closes_nothing(entry_id: str, missing: str) -> Problem:
    return Problem(
        entry_id,
        _("closes {id}, which is not in this season").format(id=missing),
        _("the entry may still come in with another copy of the book"),
        grave=False,
    )


def _rules(season: Season) -> Iterator[Problem]:
    """A rule for taps that is set, but is not there."""
    plan = season.plan
    wish, entry = str(plan.setting("tap_rule")), plan.recorded("tap_rule")
    if wish not in plan.tap_rules and entry is not None:
        yield Problem(
            entry.id,
            _("sets the rule {name} for taps, which is not there: {used} is used").format(
                name=repr(wish), used=plan.tap_rule.name
            ),
            _("import the table of tap rules, or choose: fieldbook setting tap_rule conservative"),
        )


def _dates(season: Season, now: datetime) -> Iterator[Problem]:
    """Work dated in the future or outside the season."""
    plan, today = season.plan, now.date()
    to_come = [entry for entry in season.standing_work if entry.day > today]
    if len(to_come) > FEW:  # then it is rather today that is wrong
        what = _("{n} entries are dated after today, {today}").format(n=len(to_come), today=today)
        advice = _("if this laptop's clock is wrong, set it; else strike and record them again")
        yield Problem(_("{first} and others").format(first=to_come[0].id), what, advice)
        to_come = []
    for entry in season.standing_work:
        if entry in to_come:
            what = _("is dated {day}, which is still to come").format(day=entry.day)
        elif not plan.begins <= entry.day <= plan.ends and not getattr(entry, "carried", ""):
            what = _("is dated {day}, outside season {year} ({begins} to {ends})").format(
                day=entry.day, year=season.year, begins=plan.begins, ends=plan.ends
            )
        else:
            continue
        yield Problem(entry.id, what, _("strike it, and record it again with the day it was done"))


def _clocks(season: Season, now: datetime) -> Iterator[Problem]:
    """Desks whose clock was wrong, once each. No clock decides anything: numbers tell the order."""
    latest: dict[str, Entry] = {}
    told: set[str] = set()
    for entry in season.log():
        before = latest.get(entry.desk)
        if entry.desk in told:
            continue
        if entry.noted > now + CLOCK_SLACK:
            what = _("the clock of desk {desk} was ahead of this one at {id}: {noted}").format(
                desk=entry.desk, id=entry.id, noted=entry.noted.isoformat(" ", "minutes")
            )
        elif before is not None and entry.noted < before.noted - CLOCK_SLACK:
            what = _("the clock of desk {desk} went back from {before} to {id}: {from_} to {to}")
            what = what.format(
                desk=entry.desk,
                before=before.id,
                id=entry.id,
                from_=before.noted.isoformat(" ", "minutes"),
                to=entry.noted.isoformat(" ", "minutes"),
            )
        else:
            latest[entry.desk] = entry
            continue
        told.add(entry.desk)
        advice = _("see which laptop's clock is wrong; the order of entries is not touched by it")
        yield Problem(_("desk {desk}").format(desk=entry.desk), what, advice, grave=False)


def _checklist(season: Season) -> Iterator[Problem]:
    """The crew's copy of the checklist, if it says something else than the one in force."""
    copy = season.checklist_copy
    where = f"{season.year}/{CHECKLIST_COPY}"
    try:
        if copy is not None and season.checklist_differs(copy):
            yield Problem(
                where,
                _("the checklist file differs from the one in force"),
                _("put it in force with: fieldbook import {path}").format(path=copy),
                grave=False,
            )
    except BookError as error:
        yield Problem(where, error.message, error.hint)
