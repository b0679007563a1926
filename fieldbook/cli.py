"""The command line: the whole tool without a screen.

Only the parser and the way out are here; what each command does is in `fieldbook.commands`. Data
goes to standard output, talk to standard error, and the exit code says how it went.
"""

import argparse
import gc
import os
import sys
from collections.abc import Callable, Sequence
from contextlib import ExitStack
from typing import NoReturn

from fieldbook import __version__, commands
from fieldbook.commands import Args
from fieldbook.errors import BookError, Exit
from fieldbook.i18n import _

MOST_AMOUNT = 4_000_000
"""Most sap or syrup of a day; `book.entry` says so too, which the parser does not wait for."""


MOST_PEOPLE, MOST_DIGITS = 99, 9
"""Who can go and walk lines; digits of a number that are looked at."""

CAUSES = ("chewed", "drop off", "spout loose", "fitting", "main cut", "tree down")
"""What lets air into a line, as `book.entry` has it, which the parser does not wait for."""


def run() -> NoReturn:
    """Run a command as a process, and leave."""
    code = main()
    gc.freeze()  # the process ends here: looking for garbage in it would take longer than a summary
    sys.exit(code)


def main(argv: Sequence[str] | None = None) -> int:
    """Run a command; return its exit code."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")  # a letter the terminal lacks stops nobody
    args = _parser().parse_args(argv)
    try:
        with ExitStack() as args.leaving:  # what a command opened is seen to on the way out
            code: Exit = args.run(args)
        sys.stdout.flush()
    except BookError as error:
        commands.say(str(error))
        return error.code
    except BrokenPipeError:  # the reader, such as `head`, has seen enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return Exit.DONE
    except KeyboardInterrupt:
        return 130
    return code


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="fieldbook",
        description=_("Field checklist and season logbook for the crew lead of a sugarbush."),
        epilog=_(
            "Without a command the book is opened on screen. Exit codes: 0 done, 1 something was "
            "found, 2 wrong use, 3 the book cannot be read or written."
        ),
    )
    parser.add_argument("--version", action="version", version=f"fieldbook {__version__}")
    _common(parser)
    parser.set_defaults(run=commands.run_open)
    subparsers = parser.add_subparsers(metavar=_("COMMAND"))
    shared = argparse.ArgumentParser(argument_default=argparse.SUPPRESS)  # made once, with its -h
    _common(shared)

    def command(name: str, run: Callable[[Args], Exit]) -> argparse.ArgumentParser:
        about = _((run.__doc__ or "").strip())
        sub = subparsers.add_parser(
            name, help=about, description=about, parents=[shared], add_help=False
        )
        sub.set_defaults(run=run)
        return sub

    command("open", commands.run_open)
    demo = command("demo", commands.run_demo)
    demo.set_defaults(full=False, table=None)
    _report(demo, "terminal", "text", "json", "csv")

    new = command("new", commands.run_new)
    new.add_argument("folder", metavar=_("BOOK"), help=_("folder of the book"))
    new.add_argument("--name", help=_("of the sugarbush (default: the folder's name)"))
    new.add_argument(
        "--checklist",
        default="vacuum",
        help=_("vacuum, gravity or buckets (default: vacuum)"),
    )
    _writer(new)

    blank = command("blank", commands.run_blank)
    blank.add_argument("table", metavar=_("TABLE"), help=_("lines, people, counts, vacuum, ..."))
    blank.add_argument("--out", metavar=_("FILE"), help=_("write it there"))

    take = command("import", commands.run_import)
    take.add_argument("files", nargs="+", metavar=_("FILE"), help=_("CSV tables, checklists"))
    take.add_argument("--check", action="store_true", help=_("only list what is wrong"))
    take.add_argument("--really", action="store_true", help=_("take counts far over the plan"))
    take.add_argument("--add-people", action="store_true", help=_("put new names on the crew"))
    _writer(take)

    record = command("record", commands.run_record)
    for option, about in (
        ("block", _("name of the block, or the beginning of it")),
        ("line", _("name of the line, the beginning of it, or its number")),
        ("task", _("drops, tapping, tensioning, leaks, pulling, ...")),
        ("who", _("whose work it is (default: whoever writes)")),
        ("date", _("2027-02-09, 9 Feb, today, yesterday, mon (default: today)")),
        ("note", _("words to go with the count, or a note by itself")),
        ("hazard", _("a note that somebody could get hurt")),
        ("aside", _("set the line aside, for this reason; without --line all that are open")),
        ("step", _("tick a step of the checklist")),
        ("untick", _("take back a tick")),
        ("trees", _("tally of the line's trees by diameter in inches: '12:40 14:31 18:9'")),
        ("at", _("at what time (default: now, or noon of another day)")),
        ("reading", _("what gauges read: 24.5, 'head 25, far 24.5', 'pump 25.5', '83 kPa'")),
        ("leak", _("a leak that was found: where it is and what")),
        ("lateral", _("the lateral it is on (default: as the words say)")),
        ("promise", _("a repair somebody promised")),
        ("due", _("the day a repair is promised for")),
        ("spouts", _("spouts of somebody: 'issued 200', 'returned 12', 'scrapped 3'")),
    ):
        record.add_argument(f"--{option}", help=about)
    record.add_argument(
        "--valve", choices=("open", "shut"), help=_("the line's valve; --note says why")
    )
    heard = record.add_mutually_exclusive_group()
    for option, about in (
        ("heard", _("valve test: shut ten seconds and opened, air was heard to rush")),
        ("not-heard", _("valve test: no air was heard; --valve shut with either: left shut")),
    ):
        heard.add_argument(
            f"--{option}",
            dest="heard",
            action="store_const",
            const=option == "heard",
            help=about,
        )
    record.add_argument(
        "--cause", choices=CAUSES, help=_("what let the air in (default: as the words say)")
    )
    record.add_argument(
        "--lost-inhg", type=_inhg, metavar="N", help=_("vacuum that a leak costs, if it was read")
    )
    record.add_argument("--count", type=_whole, metavar="N", help=_("units done"))
    record.add_argument("--hours", type=_hours, metavar="H", help=_("person-hours it took"))
    record.add_argument(
        "--on-hand", metavar="'ITEM N'", help=_("counted in the shed: 'spout 4000'")
    )
    for option, about in (
        ("sap-gal", _("sap gathered that day")),
        ("sap-l", _("the same in litres")),
        ("brix", _("its sweetness")),
        ("syrup-gal", _("syrup made that day")),
        ("syrup-l", _("the same in litres")),
    ):
        read = _brix if option == "brix" else _amount
        record.add_argument(f"--{option}", type=read, metavar="N", help=about)
    for option, about in (
        ("finish", _("the line is done, whatever the count; with the reason if it falls short")),
        ("reopen", _("there is more to do on the line")),
    ):
        record.add_argument(f"--{option}", nargs="?", const="", metavar=_("REASON"), help=about)
    record.add_argument("--really", action="store_true", help=_("the count is right as it is"))
    record.add_argument("--add", action="store_true", help=_("put a new name on the crew"))
    _writer(record)

    _woods(command)
    _handing(command)
    _sheets(command)

    strike = command("strike", commands.run_strike)
    strike.add_argument("id", metavar=_("ID"), help=_("of the entry, as the log shows it"))
    strike.add_argument("--reason", required=True, help=_("why it is wrong"))
    _writer(strike)

    setting = command("setting", commands.run_setting)
    setting.add_argument("name", nargs="?", metavar=_("NAME"))
    setting.add_argument("value", nargs="?", metavar=_("VALUE"))
    _writer(setting)

    _summary(command("summary", commands.run_summary))
    plan = command("plan", commands.run_plan)
    plan.add_argument(
        "part",
        nargs="?",
        choices=("trees", "wear", "drops", "lines"),
        help=_("only this part of it"),
    )
    items = command("open-items", commands.run_open_items)
    items.add_argument("--block", help=_("only of this block"))
    items.add_argument("--person", help=_("only of this person"))
    history = command("history", commands.run_history)
    history.add_argument("--block", help=_("only this block"))
    for report in (
        plan,
        items,
        command("balance", commands.run_balance),
        command("supplies", commands.run_supplies),
        command("forecast", commands.run_forecast),
        history,
    ):
        report.add_argument("--table", metavar=_("NAME"), help=_("which table, in csv"))
        _report(report, "terminal", "text", "json", "csv")
    _leaks(command)
    roll = command("rollover", commands.run_rollover)
    roll.add_argument(
        "--yes", action="store_true", help=_("write it; without this it is only shown")
    )
    roll.add_argument(
        "--leave",
        type=_whole,
        nargs="+",
        action="extend",
        metavar="N",
        help=_("leave these changes: what they are about stays as it was"),
    )
    roll.add_argument("--table", metavar=_("NAME"), help=_("which table, in csv"))
    _report(roll, "terminal", "text", "json", "csv")
    _writer(roll)
    reckon = command("reckon", commands.run_reckon)
    reckon.add_argument("--explain", action="store_true", help=_("how, step by step"))
    _report(reckon, "terminal", "text", "json")
    reckon.add_argument("name", nargs="?", metavar=_("NAME"), help=_("of the sum; --help after it"))
    reckon.add_argument("rest", nargs=argparse.REMAINDER, metavar="...", help=_("its options"))
    log = command("log", commands.run_log)
    log.add_argument("find", nargs="*", metavar=_("WORD"), help=_("only entries with these words"))
    log.add_argument("--last", type=_whole, metavar="N", help=_("only the newest N"))
    _report(log, "terminal", "text", "json", "csv")
    check = command("check", commands.run_check)
    check.add_argument(
        "--repair", action="store_true", help=_("move lines that cannot be read aside")
    )
    merge = command("merge", commands.run_merge)
    merge.add_argument("other", metavar=_("OTHER"), help=_("the other copy: its folder, or a zip"))
    export = command("export", commands.run_export)
    export.add_argument(
        "table",
        nargs="?",
        default="log",
        choices=(
            *("log", "lines", "trees", "tap-rules", "people"),
            *("counts", "targets", "settings", "supplies", "runs", "readings"),
            *("everything", "calendar", "summary", "summary-full", "history", "rollover"),
        ),
        metavar=_("TABLE"),
        help=_("log (the default), lines, counts, ..., everything, calendar"),
    )
    export.add_argument(
        "--archive", action="store_true", help=_("a verified copy of the whole book, as a zip")
    )
    export.add_argument(
        "--schema", action="store_true", help=_("what the JSON form says, as JSON Schema")
    )
    _report(export, "csv", "json")
    restore = command("restore", commands.run_restore)
    restore.add_argument("archive", metavar=_("ARCHIVE"), help=_("a zip made with --archive"))
    restore.add_argument("folder", metavar=_("BOOK"), help=_("the folder to make"))
    keys = command("keys", commands.run_keys)
    keys.add_argument("--out", metavar=_("FILE"), help=_("write it there"))
    return parser


def _summary(summary: argparse.ArgumentParser) -> None:
    """Options of the summary, brief or in full."""
    summary.add_argument(
        "--full",
        action="store_true",
        help=_("also what it took and what came of it; html and pdf always tell that too"),
    )
    summary.add_argument("--table", metavar=_("NAME"), help=_("which table of it, in csv"))
    summary.add_argument(
        "--paper", choices=("a4", "letter"), help=_("of a PDF (default: as the units suggest)")
    )
    _report(summary, "terminal", "text", "json", "csv", "html", "pdf")


def _woods(command: Callable[[str, Callable[[Args], Exit]], argparse.ArgumentParser]) -> None:
    """Commands about people in the woods, and about what they leave open."""
    out = command("out", commands.run_out)
    out.add_argument("--due", required=True, help=_("when they are due back: 16:30, tomorrow 1:30"))
    out.add_argument("--block", help=_("where they go"))
    out.add_argument("--line", help=_("where exactly"))
    back = command("back", commands.run_back)
    for parser in (out, back):
        parser.add_argument("--note", help=_("with whom, by which way, how to call"))
        parser.add_argument("--at", help=_("at what time (default: now)"))
        parser.add_argument("--date", help=_("on which day (default: today)"))
    settle = command("settle", commands.run_settle)
    settle.add_argument("id", metavar=_("ID"), help=_("of the hazard, the leak or the repair"))
    settle.add_argument("words", nargs="*", metavar=_("WORD"), help=_("what was done about it"))
    settle.add_argument("--reading", help=_("of a leak: what the far end reads after mending"))
    settle.add_argument("--at", help=_("at what time (default: now)"))
    settle.add_argument("--date", help=_("on which day (default: today)"))
    off = command("write-off", commands.run_write_off)
    off.add_argument(
        "item", metavar=_("ITEM"), help=_("id of its entry, or its kind: 'not tapped', spouts, ...")
    )
    for option in ("block", "line", "task", "person"):
        off.add_argument(f"--{option}", help=_("only of this one"))
    off.add_argument("--all", action="store_true", help=_("all that are meant, not only one"))
    off.add_argument("--reason", required=True, help=_("why nothing more is done about it"))
    close = command("close", commands.run_close)
    close.add_argument("--note", help=_("words about the season"))
    for parser in (out, back, settle, off, close):
        parser.add_argument("--who", help=_("who it is (default: whoever writes)"))
        parser.add_argument("--really", action="store_true", help=_("it is right as it is"))
        parser.add_argument("--add", action="store_true", help=_("put a new name on the crew"))
        _writer(parser)


def _sheets(command: Callable[[str, Callable[[Args], Exit]], argparse.ArgumentParser]) -> None:
    """The command that prints sheets for the woods and closes them."""
    sheet = command("sheet", commands.run_sheet)
    for option, about in (
        ("block", _("name of the block, or the beginning of it")),
        ("task", _("drops, tapping, tensioning, leaks, pulling, ...")),
        ("who", _("who takes it along; with --keyed, who keyed it in")),
        ("again", _("print a recorded sheet again, by its number or id; nothing is recorded")),
        ("keyed", _("all of this sheet is in the book: by its number or id")),
    ):
        sheet.add_argument(f"--{option}", help=about)
    sheet.add_argument(
        "--line",
        nargs="+",
        action="extend",
        metavar=_("LINE"),
        help=_("only these lines, by name or number"),
    )
    sheet.add_argument(
        "--open", action="store_true", help=_("only lines that somebody still has to go to")
    )
    sheet.add_argument(
        "--worst-first", action="store_true", help=_("of leak checks: what loses most sap first")
    )
    sheet.add_argument(
        "--paper", choices=("a4", "letter"), help=_("of a PDF (default: as the units suggest)")
    )
    sheet.add_argument("--really", action="store_true", help=_("nothing is left to key in"))
    sheet.add_argument("--add", action="store_true", help=_("put a new name on the crew"))
    _report(sheet, "terminal", "text", "pdf")
    _writer(sheet)


def _leaks(command: Callable[[str, Callable[[Args], Exit]], argparse.ArgumentParser]) -> None:
    """The command that says which lines leak, what that costs, and which to walk."""
    leaks = command("leaks", commands.run_leaks)
    leaks.add_argument("--block", help=_("only the lines of this block"))
    leaks.add_argument(
        "--hours", type=_day_hours, metavar="H", help=_("hours there are (default: a working day)")
    )
    leaks.add_argument(
        "--people", type=_people, metavar="N", help=_("how many can go and walk (default: 1)")
    )
    leaks.add_argument(
        "--below",
        choices=("pump", "ceiling"),
        help=_("what lines are told against (default: pump)"),
    )
    leaks.add_argument("--table", metavar=_("NAME"), help=_("which table, in csv"))
    leaks.add_argument(
        "--paper", choices=("a4", "letter"), help=_("of a PDF (default: as the units suggest)")
    )
    _report(leaks, "terminal", "text", "json", "csv", "pdf")


def _handing(command: Callable[[str, Callable[[Args], Exit]], argparse.ArgumentParser]) -> None:
    """Commands by which what is open passes from person to person."""
    off = command("handoff", commands.run_handoff)
    off.add_argument(
        "--block", action="append", help=_("which block, again for more (default: all of them)")
    )
    off.add_argument("--to", help=_("who comes on"))
    off.add_argument(
        "--severity",
        choices=("calm", "watch", "danger"),
        help=_("how grave it is (default: as the gravest item)"),
    )
    for option, about in (
        ("done", _("what was done (default: what the book knows of today)")),
        ("left", _("what is left, and where exactly (default: what the book knows)")),
        ("hazards", _("words beside the hazards that are open items")),
        ("what-if", _("what to do if it comes otherwise")),
    ):
        off.add_argument(f"--{option}", metavar=_("TEXT"), help=about)
    off.add_argument(
        "--show", nargs="?", const="", metavar=_("ID"), help=_("print one again (default: newest)")
    )
    _report(off, "terminal", "text", "json")
    on = command("take", commands.run_take)
    on.add_argument(
        "id", nargs="?", metavar=_("ID"), help=_("of the hand-off, if several wait to be taken")
    )
    on.add_argument(
        "--read",
        action="append",
        metavar=_("NUMBER=WHAT"),
        help=_("what is read back of an item of the page, again for each: 3=shut"),
    )
    on.add_argument(
        "--really", action="store_true", help=_("keep what was read back though it differs")
    )
    for parser in (off, on):
        parser.add_argument("--who", help=_("who hands off, who takes (default: whoever writes)"))
        _writer(parser)


def _common(parser: argparse.ArgumentParser) -> None:
    """Options of every command; they may stand before or after it."""
    parser.add_argument("--book", metavar=_("FOLDER"), help=_("the book's folder"))
    parser.add_argument("--season", type=int, metavar=_("YEAR"), help=_("its year"))
    parser.add_argument("--as-of", metavar=_("DATE"), help=_("leave out work after this day"))


def _writer(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--by", help=_("who writes this"))


def _report(parser: argparse.ArgumentParser, *forms: str) -> None:
    parser.add_argument("--format", choices=forms, help=_("form of the report"))
    parser.add_argument("--out", metavar=_("FILE"), help=_("write it there"))


def _whole(text: str) -> int:
    if not text.isdecimal():
        raise argparse.ArgumentTypeError(
            _("{text} is not a whole number from 0; a count that was too high is struck").format(
                text=repr(text)
            )
        )
    return int(text)


def _brix(text: str) -> float:
    brix = _amount(text)
    if not 0 < brix <= 100:
        raise argparse.ArgumentTypeError(
            _("{text} is not a sweetness above 0 to 100 Brix").format(text=repr(text))
        )
    return brix


def _amount(text: str) -> float:
    wrong = _("{text} is not a number from 0 to {most:,}")
    return _measure(text, MOST_AMOUNT, wrong.format(text=repr(text), most=MOST_AMOUNT))


def _inhg(text: str) -> float:
    wrong = _("{text} is not a vacuum from 0 to 30 inHg")
    return _measure(text, 30, wrong.format(text=repr(text)))


def _hours(text: str) -> float:
    wrong = _("{text} is not a number of hours from 0 to 1000")
    return _measure(text, 1000, wrong.format(text=repr(text)))


def _day_hours(text: str) -> float:
    wrong = _("{text} is not a number of hours from 0 to 24")
    return _measure(text, 24, wrong.format(text=repr(text)))


def _people(text: str) -> int:
    if not text.isdecimal() or not 1 <= int(text[:MOST_DIGITS]) <= MOST_PEOPLE:
        wrong = _("{text} is not a number of people from 1 to {most}")
        raise argparse.ArgumentTypeError(wrong.format(text=repr(text), most=MOST_PEOPLE))
    return int(text)


def _measure(text: str, most: float, wrong: str) -> float:
    """A number from 0 to so many."""
    try:
        value = float(text)
    except ValueError:
        value = -1
    if not 0 <= value <= most:
        raise argparse.ArgumentTypeError(wrong)
    return float(f"{value:.12g}")  # as an export will say it: `season.table.settled`
