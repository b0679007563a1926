"""Looking a season over: what cannot be read, what hangs in the air, what is dated oddly."""

from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from fieldbook.book.lines import Problem
from fieldbook.errors import BookError
from fieldbook.i18n import _
from fieldbook.season.season import CHECKLIST_COPY, Season

if TYPE_CHECKING:
    from fieldbook.book.entry import Entry, Note, Target, Trees

CLOCK_SLACK = timedelta(hours=1)
"""How far the clock of a laptop may be off before it is said (common practice, no source)."""

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
    """Targets, notes and people that the plan does not know."""
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

    named: list[Target | Trees | Note] = [*plan.targets, *plan.tallies, *season.ledger.notes]
    for about in named:
        missing = unknown(about.block, about.line, getattr(about, "task", ""))
        if missing:
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
        elif not plan.begins <= entry.day <= plan.ends:
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
