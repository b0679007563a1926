"""What writes in a book: tables taken in, work recorded, entries struck, rules changed."""

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fieldbook.commands import common
from fieldbook.commands.common import Args
from fieldbook.errors import BookError, Exit
from fieldbook.i18n import _, ngettext

if TYPE_CHECKING:
    from fieldbook.book.entry import AnyEntry
    from fieldbook.season.season import Season


MOST_DIGITS = 9
"""Of a number that is typed; the entry says how large it may be."""


def run_blank(args: Args) -> Exit:
    """Print a blank table to fill in, or a checklist to change."""
    from fieldbook.resources import resource

    folder = resource("templates")
    names = sorted(path.stem for path in folder.iterdir())
    path = next(folder.glob(f"{args.table}.*"), None) if args.table in names else None
    if path is None:
        raise BookError(
            _("There is no blank table {name}.").format(name=repr(args.table)),
            _("There are: {names}.").format(names=", ".join(names)),
        )
    common.put(path.read_text(encoding="utf-8"), args.out)
    return Exit.DONE


def run_import(args: Args) -> Exit:
    """Read tables and checklists into the season: all, or nothing."""
    from fieldbook.season.importing import read_import

    season, laptop, _day = common.season(args, write=not args.check)
    batch = read_import(
        [Path(file) for file in args.files],
        season,
        by=common.by(args, season, laptop),
        now=common.now(season.book),
        really=args.really,
        add_people=args.add_people,
    )
    for file in batch.files:
        print(
            _("{file}: {kind}, {new} new, {changed} changed, {same} in the book already").format(
                file=file.file, kind=file.kind, new=file.new, changed=file.changed, same=file.same
            )
        )
        for notice in file.notices:
            print("  " + notice)
    if batch.problems:
        for problem in batch.problems:
            print(f"{problem.where}: {problem.what}\n  {problem.advice}")
        common.say(
            ngettext(
                "{n} thing is wrong. Nothing was written.",
                "{n} things are wrong. Nothing was written.",
                len(batch.problems),
            ).format(n=len(batch.problems))
        )
        return Exit.FOUND
    if args.check:
        common.say(_("Nothing is wrong. Nothing was written, as asked."))
        return Exit.DONE
    if batch.drafts:
        season.record(*batch.drafts, really=True)
    common.say(
        ngettext("{n} entry saved.", "{n} entries saved.", len(batch.drafts)).format(
            n=len(batch.drafts)
        )
    )
    return Exit.DONE


def run_record(args: Args) -> Exit:
    """Record work on a line: a count, a finish, a note, a step, or setting it aside."""
    from fieldbook.commands.vacuum import say_what_it_means
    from fieldbook.commands.woods import ask_why
    from fieldbook.reports.words import saved

    season, laptop, _day = common.season(args, write=True)
    by = common.by(args, season, laptop)
    now = common.now(season.book)
    drafts = _drafts(args, season, by=by, now=now, units=laptop.units)
    entries = common.record(season, args, drafts)
    for entry in entries:
        print(saved(entry, season.ledger))
    say_what_it_means(season, entries, units=laptop.units)
    ask_why(season, entries, by=by, now=now)
    day = max(entry.day for entry in entries)
    if day > now.date():
        common.say(
            _(
                "! {day} is still to come: today is {today}. If the date is wrong, strike it."
            ).format(day=day, today=now.date())
        )
    return Exit.DONE


def _drafts(
    args: Args, season: "Season", *, by: str, now: datetime, units: str
) -> "list[AnyEntry]":
    """The entries a `record` command asks for."""
    from fieldbook.book.entry import Aside, Count, Finish, Note, Reopen, Step
    from fieldbook.commands.vacuum import gauges_read, valve_said
    from fieldbook.season.ledger import OPEN

    stamp: dict[str, Any] = {"at": common.when(args, now), "noted": now, "by": by}
    who = args.who or by
    drafts: list[AnyEntry] = []
    if args.hours is not None and args.count is None:
        raise BookError(_("Hours belong to a count."), _("Give --count with --hours."))
    about: dict[str, Any] = {n: getattr(args, n) or "" for n in ("block", "line", "task", "who")}
    # A note goes with what it is said of: a count, a valve, a gauge; else it stands by itself.
    goes_along = (args.count, args.reading, args.valve, args.heard)
    loose = args.note if all(given is None for given in goes_along) else None
    for text, hazard in ((args.hazard, True), (loose, False)):
        if text is not None:
            drafts.append(Note(text=text, hazard=hazard, **about, **stamp))
    drafts += _measured(args, season, stamp)
    drafts += gauges_read(args, season, who, stamp, units=units)
    drafts += valve_said(args, {**about, "who": who}, stamp)
    drafts += _found(args, {**about, "who": who}, stamp)
    work = (args.count, args.finish, args.aside, args.reopen, args.step, args.untick)
    if all(given is None for given in work):
        if drafts:
            return drafts
        raise BookError(
            _("There is nothing to record."),
            _(
                "Give --count, --finish, --aside, --reopen, --step, --note, --hazard, --reading, "
                "--leak, --valve, --heard, --promise, --spouts, --trees, --sap-gal or --on-hand."
            ),
        )
    if not args.block or not args.task:
        raise BookError(
            _("Work belongs to a block and a task."), _("Give --block and --task, and the --line.")
        )
    block = season.plan.find_block(args.block)
    task = season.plan.find_task(args.task)
    if args.line is None and args.aside is not None:
        open_lines = [
            line.line
            for line in season.plan.walk[block]
            if season.ledger.line_cell(line, task).standing in OPEN
        ]
        if not open_lines:
            raise BookError(
                _("No line of {block} is open in {task}.").format(block=block, task=task.key)
            )
    else:
        open_lines = [season.plan.line_meant(block, args.line).line]
    for name in open_lines:
        place: dict[str, Any] = {"block": block, "line": name, "task": task.key, "who": who}
        if args.count is not None:
            note = args.note or ""
            drafts.append(Count(count=args.count, hours=args.hours, note=note, **place, **stamp))
        for step, ticked in ((args.step, True), (args.untick, False)):
            if step is not None:
                drafts.append(Step(step=step, ticked=ticked, **place, **stamp))
        for kind, reason in ((Aside, args.aside), (Reopen, args.reopen), (Finish, args.finish)):
            if reason is not None:
                drafts.append(kind(reason=reason, **place, **stamp))
    return drafts


def _measured(args: Args, season: "Season", stamp: dict[str, Any]) -> Iterator["AnyEntry"]:
    """The trees of a line, and the sap and syrup of a day."""
    from fieldbook.book.entry import Run, Trees
    from fieldbook.season.tally import read_tally

    if args.trees is not None:
        if not args.block:
            raise BookError(_("Trees belong to a line."), _("Give --block and the --line."))
        block = season.plan.find_block(args.block)
        line = season.plan.line_meant(block, args.line)
        yield Trees(block=block, line=line.line, classes=read_tally(args.trees), **stamp)
    if args.on_hand is not None:
        yield _on_hand(args.on_hand, stamp)
    run = {
        name: getattr(args, name) for name in ("sap_gal", "sap_l", "brix", "syrup_gal", "syrup_l")
    }
    for gallons, litres in (("sap_gal", "sap_l"), ("syrup_gal", "syrup_l")):
        if run[gallons] is not None and run[litres] is not None:
            raise BookError(
                _("The same is given in gallons and in litres."), _("Give only one of the two.")
            )
    if any(amount is not None for amount in run.values()):
        yield Run(block=args.block or "", **run, **stamp)


def _found(args: Args, about: dict[str, Any], stamp: dict[str, Any]) -> Iterator["AnyEntry"]:
    """What was found in the woods, what was promised, and spouts that changed hands."""
    from fieldbook.book.entry import Repair, Spouts
    from fieldbook.commands.vacuum import leak_found
    from fieldbook.season.dates import read_due
    from fieldbook.season.stock import read_spouts

    place = {name: about[name] for name in ("block", "line", "who")}
    if args.due is not None and args.promise is None:
        raise BookError(_("--due belongs to a repair."), _("Give --promise, and what."))
    yield from leak_found(args, place, stamp)
    if args.promise is not None:
        due = None if args.due is None else read_due(args.due, today=stamp["noted"].date())
        yield Repair(text=args.promise, due=due, **place, **stamp)
    if args.spouts is not None:
        for moved in read_spouts(args.spouts):
            yield Spouts(who=about["who"], **moved, **stamp)


def _on_hand(text: str, stamp: dict[str, Any]) -> "AnyEntry":
    """What was counted in the shed: a thing, and how many."""
    from fieldbook.book.entry import Supply
    from fieldbook.season.rows import item_named
    from fieldbook.season.settings import ITEMS

    thing, _blank, count = text.strip().rpartition(" ")
    item = item_named(thing)
    if item not in ITEMS or not count.isdecimal() or len(count) > MOST_DIGITS:
        raise BookError(
            _("{text} does not say what was counted.").format(text=repr(text)),
            _("Write one of {names}, and how many: 'spout 4000'.").format(names=", ".join(ITEMS)),
        )
    return Supply(item=item, on_hand=int(count), **stamp)


def run_strike(args: Args) -> Exit:
    """Cross out an entry: it stays readable and stops counting."""
    season, laptop, _day = common.season(args, write=True)
    now = common.now(season.book)
    strike = season.strike(args.id, args.reason, by=common.by(args, season, laptop), now=now)
    print(_("{id} saved: {entry} is struck").format(id=strike.id, entry=args.id))
    return Exit.DONE


def run_setting(args: Args) -> Exit:
    """Show the rules of the book, or change one."""
    from fieldbook.book.entry import Setting
    from fieldbook.reports.words import rule_source
    from fieldbook.season.settings import BY_NAME, RULES, read_setting

    changing = args.value is not None
    season, laptop, _day = common.season(args, write=changing)
    if args.name is not None and args.name not in BY_NAME:
        read_setting(args.name, "")  # says which there are
    if changing:
        value = read_setting(args.name, args.value)
        now = common.now(season.book)
        by = common.by(args, season, laptop)
        season.record(Setting(setting=args.name, value=value, at=now, noted=now, by=by))
    for rule in RULES:
        if args.name in (None, rule.name):
            print(f"{rule.name} = {season.plan.setting(rule.name)}")
            common.say(f"  {_(rule.about)} ({rule_source(season.plan, rule.name)})")
    return Exit.DONE
