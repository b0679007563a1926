"""Gauges, valve tests and leaks on the command line: what is recorded of them, and what it says."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from fieldbook.commands import common
from fieldbook.commands.common import Args
from fieldbook.errors import BookError
from fieldbook.i18n import _

if TYPE_CHECKING:
    from fieldbook.book.entry import AnyEntry
    from fieldbook.season.season import Season


def gauges_read(
    args: Args, season: "Season", who: str, stamp: dict[str, Any], *, units: str
) -> Iterator["AnyEntry"]:
    """What gauges read: those of a line on that line, the pump's by itself.

    With a block and no line the pump is the block's own; with a line it is the sugarbush's.
    """
    from fieldbook.book.entry import Reading
    from fieldbook.season.readings import AT_PUMP, read_readings

    if args.reading is None:
        return
    plan = season.plan
    block = plan.find_block(args.block) if args.block else ""
    note = args.note or "" if args.count is None else ""
    for read in read_readings(args.reading, metric=units == "metric", line=bool(block)):
        if read["place"] in AT_PUMP:
            where: dict[str, Any] = {"block": "" if args.line else block}
        elif not block:
            raise BookError(
                _("A gauge at the {place} belongs to a line.").format(place=_(read["place"])),
                _("Give --block and --line."),
            )
        else:
            where = {"block": block, "line": plan.line_meant(block, args.line).line}
        yield Reading(**read, **where, who=who, note=note, **stamp)


def valve_said(args: Args, about: dict[str, Any], stamp: dict[str, Any]) -> Iterator["AnyEntry"]:
    """A valve that was shut or opened, or the test at which it was both."""
    from fieldbook.book.entry import Valve

    if args.valve is None and args.heard is None:
        return
    option = "--valve" if args.heard is None else "--heard"
    _needs_line(option, args)
    place = {name: about[name] for name in ("block", "line", "who")}
    yield Valve(
        state=args.valve or "open",
        heard=args.heard,
        reason=args.note or "" if args.reading is None else "",
        **place,
        **stamp,
    )


def leak_found(args: Args, place: dict[str, Any], stamp: dict[str, Any]) -> Iterator["AnyEntry"]:
    """A leak; what its words do not say of lateral, cause and size, options do."""
    from fieldbook.book.entry import Leak
    from fieldbook.season.found import read_leak

    options = {"lateral": args.lateral, "cause": args.cause, "lost_inhg": args.lost_inhg}
    given = {name: value for name, value in options.items() if value is not None}
    if args.leak is None:
        for name in given:
            raise BookError(
                _("{option} belongs to a leak.").format(option=f"--{name.replace('_', '-')}"),
                _("Give --leak, and where it is."),
            )
        return
    _needs_line("--leak", args)
    read = read_leak(args.leak)
    if args.lost_inhg is not None and ("lost_inhg" in read or "lost_kpa" in read):
        raise BookError(
            _("The leak's size is given twice."), _("Leave --lost-inhg out, or the words' number.")
        )
    yield Leak(**{**read, **given}, **place, **stamp)


def _needs_line(option: str, args: Args) -> None:
    if not (args.block and args.line):
        raise BookError(
            _("{option} belongs to a line.").format(option=option), _("Give --block and --line.")
        )


def read_after(
    args: Args, season: "Season", who: str, stamp: dict[str, Any]
) -> Iterator["AnyEntry"]:
    """What the far end of a line reads after its leak was mended."""
    from fieldbook.book.entry import Leak, Reading
    from fieldbook.laptop import Laptop
    from fieldbook.season.readings import read_readings

    leak = season.ledger.entry(args.id)
    if not isinstance(leak, Leak):
        raise BookError(
            _("{id} is no leak: there is nothing to read after it.").format(id=args.id),
            _("Leave --reading out, or record it by itself: fieldbook record --reading ..."),
        )
    for read in read_readings(args.reading, metric=Laptop().units == "metric"):
        yield Reading(**read, block=leak.block, line=leak.line, who=who, **stamp)


def say_what_it_means(
    season: "Season", entries: "Sequence[AnyEntry]", *, units: str = "us"
) -> None:
    """Say what was just recorded means for the vacuum: how far a line hangs, what to do next."""
    from fieldbook.book.entry import Leak, Reading, Valve

    lines = {(e.block, e.line) for e in entries if isinstance(e, Reading) and e.line}
    lines |= {(e.block, e.line) for e in entries if isinstance(e, Valve) and e.heard}
    if lines:
        from fieldbook.reports.vacuum import told_line
        from fieldbook.season.vacuum import Gauges

        gauges = Gauges(season.ledger)
        for block, name in sorted(lines):
            line = season.plan.line(block, name)
            if line is not None:
                for said in told_line(gauges.line(line), units):
                    common.say(said)
    for entry in entries:
        if isinstance(entry, Leak):
            for said in _after_leak(season, entry):
                common.say(said)


def _after_leak(season: "Season", leak: "AnyEntry") -> Iterator[str]:
    """What to do at once about a break that drags the whole block down."""
    from shlex import quote

    from fieldbook.reports.vacuum import break_words
    from fieldbook.season.vacuum import BREAKS
    from fieldbook.season.woods import valves_shut

    where = (getattr(leak, "block", ""), getattr(leak, "line", ""))
    if getattr(leak, "cause", "") in BREAKS and where not in valves_shut(season.ledger):
        yield break_words()
        yield "  fieldbook record " + _("--block {block} --line {line} --valve shut").format(
            block=quote(where[0]), line=quote(where[1])
        )
