"""People in the woods, and what they leave open: out and back, seen to, written off, closed."""

from typing import TYPE_CHECKING, Any

from fieldbook.commands import common
from fieldbook.commands.common import Args
from fieldbook.errors import BookError, Exit
from fieldbook.i18n import _, ngettext

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from fieldbook.book.entry import AnyEntry
    from fieldbook.season.items import Item
    from fieldbook.season.season import Season


def run_out(args: Args) -> Exit:
    """Write down who goes into the woods, where, and when they are due back."""
    from fieldbook.book.entry import Out
    from fieldbook.reports.open_items import caution
    from fieldbook.season.dates import read_due_time

    season, stamp, who = _writing(args)
    due = read_due_time(args.due, stamp["at"])
    block, line, note = args.block or "", args.line or "", args.note or ""
    code = _record(season, args, Out(who=who, block=block, line=line, due=due, note=note, **stamp))
    common.say(caution())
    return code


def run_back(args: Args) -> Exit:
    """Write down that somebody is back from the woods."""
    from fieldbook.book.entry import Back

    season, stamp, who = _writing(args)
    return _record(season, args, Back(who=who, note=args.note or "", **stamp))


def run_settle(args: Args) -> Exit:
    """Close what one entry opened: a hazard cleared, a leak mended, a repair made."""
    from fieldbook.book.entry import Settle
    from fieldbook.commands.vacuum import read_after

    season, stamp, who = _writing(args)
    settle = Settle(entry=args.id, who=who, text=" ".join(args.words), **stamp)
    after = read_after(args, season, who, stamp) if args.reading is not None else ()
    return _record(season, args, settle, *after)


def run_write_off(args: Args) -> Exit:
    """Write an open item off: nothing more is done about it, for this reason."""
    from fieldbook.book.entry import WriteOff
    from fieldbook.season.items import closing_items, open_items

    season, stamp, who = _writing(args)
    now = common.now(season.book)
    items = open_items(season.ledger, now)
    known = {item.about for item in items}
    items += [item for item in closing_items(season.ledger, now) if item.about not in known]
    chosen = _meant(args, season, items)
    drafts = [
        WriteOff(about=item.about, amount=item.amount, who=who, reason=args.reason, **stamp)
        for item in chosen
    ]
    return _record(season, args, *drafts)


def _meant(args: Args, season: "Season", items: "Sequence[Item]") -> "list[Item]":
    """The open items that were named: by the id of an entry, or by kind and place."""
    from fieldbook.book.entry import clean
    from fieldbook.reports.open_items import head, where
    from fieldbook.season.items import What

    plan = season.plan
    wish = clean(args.item, one_line=True).casefold()
    block = plan.find_block(args.block) if args.block else ""
    line = plan.line_meant(block, args.line).line if args.line else ""
    task = plan.find_task(args.task).key if args.task else ""
    person = plan.find_person(args.person) if args.person else ""
    # An empty word is the beginning of every kind: it would be everything that is open.
    kinds = [w for w in What if wish and (w.startswith(wish) or _(w).startswith(wish))]
    found = [
        item
        for item in items
        if ((wish and item.about.entry == wish) or item.what in kinds)
        and (not block or item.about.block == block)
        and (not line or line in (item.lines or (item.about.line,)))
        and (not task or item.about.task == task)
        and (not person or person in (item.owner, item.about.who))
    ]
    if not found:
        raise BookError(
            _("No open item is {item}.").format(item=repr(args.item)),
            _("fieldbook open-items lists them: name the entry, or one of {kinds}.").format(
                kinds=", ".join(_(what) for what in What)
            ),
        )
    if len(found) > 1 and not args.all:
        raise BookError(
            _("{n} open items are {item}: {first}, ...").format(
                n=len(found),
                item=repr(args.item),
                first="; ".join(f"{where(x, plan)}: {head(x, plan)}" for x in found[:3]),
            ),
            _("Name --block, --line, --task or --person; or write off all of them with --all."),
        )
    return found


def run_close(args: Args) -> Exit:
    """Close the season; while anything is open, say what."""
    from fieldbook.book.entry import Close
    from fieldbook.reports.open_items import items_lines
    from fieldbook.reports.render.text import WIDTH
    from fieldbook.season.items import closing_items

    season, stamp, who = _writing(args)
    now = common.now(season.book)
    items = closing_items(season.ledger, now)
    if items and season.ledger.closed is None:
        print("\n".join(items_lines(items, season.plan, now, width=WIDTH)))
        common.say(
            ngettext(
                "The season cannot be closed: {n} item is open.",
                "The season cannot be closed: {n} items are open.",
                len(items),
            ).format(n=len(items))
            + "\n  "
            + _("Close each, or write it off with a reason: fieldbook write-off ITEM --reason ...")
        )
        return Exit.FOUND
    return _record(season, args, Close(who=who, note=args.note or "", **stamp))


def _writing(args: Args) -> "tuple[Season, dict[str, Any], str]":
    """The season to write in, what every entry carries, and whose it is."""
    season, laptop, _day = common.season(args, write=True)
    now = common.now(season.book)
    by = common.by(args, season, laptop)
    at = common.when(args, now) if "date" in args else now
    return season, {"at": at, "noted": now, "by": by}, args.who or by


def _record(season: "Season", args: Args, *drafts: "AnyEntry") -> Exit:
    """Put entries on disk, and say so."""
    from fieldbook.commands.vacuum import say_what_it_means
    from fieldbook.reports.words import saved

    entries = common.record(season, args, drafts)
    for entry in entries:
        print(saved(entry, season.ledger))
    say_what_it_means(season, entries)
    return Exit.DONE


def ask_why(season: "Season", entries: "Sequence[AnyEntry]", *, by: str, now: "datetime") -> None:
    """Ask then and there about counts that do not match on lines that were just recorded.

    Without a terminal, or without an answer, the item stays open, and it is said how to close it.
    """
    from shlex import quote

    from fieldbook.book.entry import Count, Finish, WriteOff
    from fieldbook.reports.open_items import head, where
    from fieldbook.reports.words import saved
    from fieldbook.season.items import BALANCE, open_items

    lines = {(e.block, e.line) for e in entries if isinstance(e, Count | Finish)}
    for item in open_items(season.ledger, now):
        about = item.about
        if item.what not in BALANCE or (about.block, about.line) not in lines:
            continue
        said = f"! {where(item, season.plan)}: {head(item, season.plan)}."
        why = common.ask_for(said + " " + _("Why? (Enter: it will be counted again)"))
        if why:
            at = max(entry.at for entry in entries)
            off = WriteOff(
                about=about, amount=item.amount, who=by, reason=why, at=at, noted=now, by=by
            )
            (entry,) = season.record(off)
            print(saved(entry, season.ledger))
        else:
            common.say(
                said
                + " "
                + _(
                    "Count again, or say why: fieldbook write-off {what} {place} --reason ..."
                ).format(
                    what=quote(about.what),
                    place=f"{_option('--block', about.block)} {_option('--line', about.line)}",
                )
            )


def _option(name: str, value: str) -> str:
    """An option as a shell takes it; a value that begins like an option is tied to it."""
    from shlex import quote

    return f"{name}{'=' if value.startswith('-') else ' '}{quote(value)}"
