"""What each command does, a function each.

What a command needs is imported inside it, so that no command waits for what it does not use.
"""

import argparse
import gc
import os
import sys
from contextlib import suppress
from datetime import date, datetime, time
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fieldbook.errors import BookError, Doubtful, Exit, NotOnCrew
from fieldbook.i18n import _, ngettext

if TYPE_CHECKING:
    from fieldbook.book.book import Book
    from fieldbook.book.copies import Archived
    from fieldbook.book.entry import AnyEntry
    from fieldbook.book.lines import Problem
    from fieldbook.laptop import Laptop
    from fieldbook.season.season import Season

Args = argparse.Namespace


def say(text: str) -> None:
    """Talk to the person, apart from the data."""
    print(text, file=sys.stderr)


# --- What commands share ----------------------------------------------------------------------


def _find_book(args: Args, laptop: "Laptop") -> Path:
    """The book meant: named, the folder we stand in, or the one opened last."""
    from fieldbook.book.book import is_book

    named = args.book or os.environ.get("FIELDBOOK_BOOK")
    if named:
        return Path(named)
    if is_book(Path.cwd()):
        return Path.cwd()
    if laptop.last_book is not None and is_book(laptop.last_book):
        return laptop.last_book
    raise BookError(
        _("There is no book here."),
        _("Name one with --book, make one with fieldbook new FOLDER, or try fieldbook demo."),
    )


def _open_book(args: Args, *, write: bool = False) -> "tuple[Book, Laptop]":
    from fieldbook.book.book import Book
    from fieldbook.laptop import Laptop

    laptop = Laptop()
    book = Book.open(_find_book(args, laptop), year=args.season)
    if write:
        _give_desk(args, book, laptop)
    return book, laptop


def _give_desk(args: Args, book: "Book", laptop: "Laptop") -> None:
    """Let a book be written in, and see to its safety first: room put by, and a daily copy."""
    from fieldbook.book.book import new_desk_code

    def given(code: str) -> int:
        with suppress(OSError):
            book.catch_up()  # another window may have recorded since the book was read
        return book.highest_number(code)

    before, number = laptop.newest(book.id, book.path, book.year)
    desk = laptop.desk(book.id, book.path, book.year, given=given, fresh=new_desk_code)
    book.write_as(desk)
    if before and desk != before:
        book.warning = _older_copy(before, number)
    laptop.saw(desk, book.year, book.highest_number(desk))
    if not laptop.remembers:
        say(_("! laptop.json cannot be written: each time, this laptop is another desk."))
    if book.today is None:  # an invented book is there to be thrown away
        book.keep_safe(_now(book).date())
    told = book.alarm
    if told:
        say("! " + told)

    def leave() -> None:
        laptop.saw(desk, book.year, book.highest_number(desk))
        if book.alarm not in ("", told):
            say("! " + book.alarm)

    args.leaving.callback(leave)


def _older_copy(desk: str, number: int) -> str:
    """What is said where an older copy stands in the place of the book."""
    return _(
        "This copy is older than the book this laptop wrote in, up to {desk}-{number}: merge the "
        "newer one, or a daily copy."
    ).format(desk=desk, number=number)


def _now(book: "Book") -> datetime:
    """The time by the clock on the wall; in an invented book, on the day it stands still."""
    now = datetime.now().astimezone().replace(microsecond=0)
    return now if book.today is None else datetime.combine(book.today, now.timetz())


def _season(args: Args, *, write: bool = False) -> "tuple[Season, Laptop, date]":
    """The season meant, the laptop, and the day to report on.

    A report leaves out work after its day. Who writes sees all there is.
    """
    from fieldbook.season.season import Season

    if write and args.as_of is not None:
        raise BookError(
            _("--as-of belongs to reports."), _("The day of work is given with --date.")
        )
    book, laptop = _open_book(args, write=write)
    today = _now(book).date()
    if args.as_of is not None:
        from fieldbook.season.dates import read_day

        day = read_day(args.as_of, today=today)
        return Season(book, as_of=day), laptop, day
    season = Season(book)
    if write:
        return season, laptop, today
    if today > season.plan.ends:
        today = season.ledger.last_day or season.plan.ends
    if not season.ledger.after(today):
        return season, laptop, today
    say(
        _("! Work dated after {today} is left out. If today is another day, set the clock.").format(
            today=today
        )
    )
    return Season(book, as_of=today), laptop, today


def _whole_season(args: Args) -> "tuple[Season, date | None]":
    """The season with all that is in it, and the day that entries are asked for up to, if any."""
    from fieldbook.season.dates import read_day
    from fieldbook.season.season import Season

    book, _laptop = _open_book(args)
    until = None if args.as_of is None else read_day(args.as_of, today=_now(book).date())
    return Season(book), until


def _by(args: Args, season: "Season", laptop: "Laptop") -> str:
    """Who writes: named (and remembered), at the keyboard last, or whoever is logged in."""
    from fieldbook.laptop import login_name

    if args.by is None:
        return laptop.keying(season.book.id) or login_name()
    name = _name(args.by)
    laptop.set_keying(season.book.id, name)
    return name


def _name(text: str) -> str:
    from fieldbook.book.entry import NAME_LENGTH, clean

    name = clean(text, one_line=True)
    if not 0 < len(name) <= NAME_LENGTH:
        raise BookError(
            _("{name} is no name to sign with.").format(name=repr(text[:NAME_LENGTH])),
            _("Give 1 to {most} characters with --by.").format(most=NAME_LENGTH),
        )
    return name


def _put(text: str, out: str | None) -> None:
    """Print a report, or put it in a file."""
    if out is None or out == "-":
        sys.stdout.write(text)
        return
    try:
        Path(out).write_text(text, encoding="utf-8", newline="\n")
    except OSError as error:
        raise BookError(
            _("Cannot write {path}: {why}.").format(path=out, why=error.strerror),
            _("Name a file in a folder you may write to."),
        ) from error
    say(_("Written to {path}.").format(path=out))


def _form(args: Args) -> str:
    """The form of a report: as asked; else for a terminal if there is one."""
    if args.format:
        return str(args.format)
    return "terminal" if sys.stdout.isatty() and not args.out else "text"


def _render_terminal(renderable: object) -> str:
    """A Rich renderable as this terminal shows it, or in plain characters for a file."""
    from rich.console import Console

    console = Console(emoji=False, markup=False, highlight=False)
    with console.capture() as capture:
        console.print(renderable)
    return capture.get()


def _ask(question: str) -> bool:
    """A yes from the person at the terminal; without a terminal, no."""
    if not (sys.stdin.isatty() and sys.stderr.isatty()):
        return False
    print(question, end=" [y/N] ", file=sys.stderr, flush=True)
    try:
        return input().strip().casefold() in ("y", "yes")
    except EOFError:
        return False


# --- Commands ---------------------------------------------------------------------------------


def run_open(args: Args) -> Exit:
    """Open the book on screen."""
    _need_terminal()
    book, laptop = _open_book(args, write=True)
    laptop.last_book = book.path
    return _show(book, laptop)


def run_demo(args: Args) -> Exit:
    """Open a throw-away copy of the invented demo season."""
    import shutil
    import tempfile

    from fieldbook.book.book import Book
    from fieldbook.laptop import Laptop
    from fieldbook.resources import resource

    folder = Path(tempfile.mkdtemp(prefix="fieldbook-demo-")) / "harrow-hill"
    shutil.copytree(resource("demo_season"), folder, ignore=shutil.ignore_patterns("pictures"))
    args.book = str(folder)
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        run_summary(args)
    else:
        book = Book.open(folder, year=args.season)
        laptop = Laptop()
        _give_desk(args, book, laptop)
        _show(book, laptop)
    say(
        _(
            "The demo is invented; this copy of it is yours to try things on:\n"
            "  fieldbook open --book {path}\n"
            "  fieldbook summary --book {path}"
        ).format(path=folder)
    )
    return Exit.DONE


def _need_terminal() -> None:
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise BookError(
            _("The screens need a terminal."),
            _("Without one, use the commands: fieldbook summary, fieldbook record, ..."),
        )


def _show(book: "Book", laptop: "Laptop") -> Exit:
    from fieldbook.screens.app import FieldbookApp
    from fieldbook.season.season import Season

    gc.freeze()  # what is loaded stays: the collector need not walk over it before the first frame
    FieldbookApp(Season(book), laptop=laptop, clock=lambda: _now(book)).run()
    return Exit.DONE


def run_new(args: Args) -> Exit:
    """Make a book, or begin another season in one."""
    from fieldbook.book.book import Book, is_book
    from fieldbook.laptop import Laptop
    from fieldbook.season.checklist import load_template
    from fieldbook.season.season import Season

    # What is wrong is refused before anything is made.
    load_template(args.checklist)
    if args.by is not None:
        _name(args.by)
    path = Path(args.folder)
    now = datetime.now().astimezone().replace(microsecond=0)
    coming = now.year + 1 if now.month >= 9 else now.year
    year = coming if args.season is None else args.season
    if is_book(path):
        book = Book.begin_season(path, year)
    else:
        name = args.name or path.resolve().name.replace("-", " ").replace("_", " ").title()
        book = Book.new(path, name=name, year=year)
    laptop = Laptop()
    _give_desk(args, book, laptop)
    season = Season(book)
    by = _by(args, season, laptop)
    season = Season.begin(book, args.checklist, by=by, now=now)
    laptop.last_book = book.path
    print(_("{name}, season {year}: a book at {path}").format(name=book.name, year=year, path=path))
    say(
        _(
            "Its tasks: {tasks}.\n"
            "Next: list your lines in a table, and import it:\n"
            "  fieldbook blank lines > lines.csv\n"
            "  fieldbook import lines.csv people.csv\n"
            "Then open it: fieldbook"
        ).format(tasks=", ".join(task.title.lower() for task in season.plan.tasks))
    )
    return Exit.DONE


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
    _put(path.read_text(encoding="utf-8"), args.out)
    return Exit.DONE


def run_import(args: Args) -> Exit:
    """Read tables and checklists into the season: all, or nothing."""
    from fieldbook.season.importing import read_import

    season, laptop, _day = _season(args, write=not args.check)
    batch = read_import(
        [Path(file) for file in args.files],
        season,
        by=_by(args, season, laptop),
        now=_now(season.book),
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
        say(
            ngettext(
                "{n} thing is wrong. Nothing was written.",
                "{n} things are wrong. Nothing was written.",
                len(batch.problems),
            ).format(n=len(batch.problems))
        )
        return Exit.FOUND
    if args.check:
        say(_("Nothing is wrong. Nothing was written, as asked."))
        return Exit.DONE
    if batch.drafts:
        season.record(*batch.drafts, really=True)
    say(
        ngettext("{n} entry saved.", "{n} entries saved.", len(batch.drafts)).format(
            n=len(batch.drafts)
        )
    )
    return Exit.DONE


def run_record(args: Args) -> Exit:
    """Record work on a line: a count, a finish, a note, a step, or setting it aside."""
    from fieldbook.book.entry import Person
    from fieldbook.reports.words import saved

    season, laptop, _day = _season(args, write=True)
    by = _by(args, season, laptop)
    now = _now(season.book)
    drafts = _drafts(args, season, by=by, now=now)
    really = args.really
    while True:
        try:
            entries = season.record(*drafts, really=really)
            break
        except Doubtful as doubt:
            if not _ask(_("{what} Record it all the same?").format(what=doubt.message)):
                raise
            really = True
        except NotOnCrew as stranger:
            question = _("{what} Add {name}?").format(what=stranger.message, name=stranger.person)
            if not (args.add or _ask(question)):
                stranger.hint += " " + _("A new hand on the crew: record it with --add.")
                raise
            drafts.insert(0, Person(person=stranger.person, at=now, noted=now, by=by))
    for entry in entries:
        print(saved(entry, season.ledger))
    day = max(entry.day for entry in entries)
    if day > now.date():
        say(
            _(
                "! {day} is still to come: today is {today}. If the date is wrong, strike it."
            ).format(day=day, today=now.date())
        )
    return Exit.DONE


def _drafts(args: Args, season: "Season", *, by: str, now: datetime) -> "list[AnyEntry]":
    """The entries a `record` command asks for."""
    from fieldbook.book.entry import Aside, Count, Finish, Note, Reopen, Step
    from fieldbook.season.dates import moment, read_day
    from fieldbook.season.ledger import Standing

    day = read_day(args.date or "", today=now.date())
    stamp: dict[str, Any] = {"at": moment(day, now), "noted": now, "by": by}
    who = args.who or by
    drafts: list[AnyEntry] = []
    if args.hours is not None and args.count is None:
        raise BookError(_("Hours belong to a count."), _("Give --count with --hours."))
    about: dict[str, Any] = {n: getattr(args, n) or "" for n in ("block", "line", "task", "who")}
    loose = args.note if args.count is None else None
    for text, hazard in ((args.hazard, True), (loose, False)):
        if text is not None:
            drafts.append(Note(text=text, hazard=hazard, **about, **stamp))
    work = (args.count, args.finish, args.aside, args.reopen, args.step, args.untick)
    if all(given is None for given in work):
        if drafts:
            return drafts
        raise BookError(
            _("There is nothing to record."),
            _("Give --count, --finish, --aside, --reopen, --step, --note or --hazard."),
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
            if season.ledger.line_cell(line, task).standing
            in (Standing.NOT_BEGUN, Standing.UNDER_WAY)
        ]
        if not open_lines:
            raise BookError(
                _("No line of {block} is open in {task}.").format(block=block, task=task.key)
            )
    else:
        plan = season.plan
        line = plan.find_line(block, args.line) if args.line else plan.sole_line(block)
        open_lines = [line.line]
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


def run_strike(args: Args) -> Exit:
    """Cross out an entry: it stays readable and stops counting."""
    season, laptop, _day = _season(args, write=True)
    now = _now(season.book)
    strike = season.strike(args.id, args.reason, by=_by(args, season, laptop), now=now)
    print(_("{id} saved: {entry} is struck").format(id=strike.id, entry=args.id))
    return Exit.DONE


def run_setting(args: Args) -> Exit:
    """Show the rules of the book, or change one."""
    from fieldbook.book.entry import Setting
    from fieldbook.season.settings import BY_NAME, RULES, read_setting

    changing = args.value is not None
    season, laptop, _day = _season(args, write=changing)
    if args.name is not None and args.name not in BY_NAME:
        read_setting(args.name, "")  # says which there are
    if changing:
        value = read_setting(args.name, args.value)
        now = _now(season.book)
        by = _by(args, season, laptop)
        season.record(Setting(setting=args.name, value=value, at=now, noted=now, by=by))
    for rule in RULES:
        if args.name in (None, rule.name):
            print(f"{rule.name} = {season.plan.setting(rule.name)}")
            say("  " + _(rule.about))
    return Exit.DONE


def run_summary(args: Args) -> Exit:
    """Print where the season stands against the plan."""
    from fieldbook.reports.summary import summarise

    season, _laptop, day = _season(args)
    summary = summarise(season, day)
    match _form(args):
        case "terminal":
            from fieldbook.reports.render.terminal import summary_terminal

            text = _render_terminal(summary_terminal(summary))
        case "json":
            from fieldbook.reports.render.json import to_json

            text = to_json(summary)
        case "csv":
            from fieldbook.reports.render.csv import summary_csv

            text = summary_csv(summary)
        case _:
            from fieldbook.reports.render.text import summary_text

            text = summary_text(summary)
    _put(text, args.out)
    return Exit.DONE


def run_log(args: Args) -> Exit:
    """Print the logbook: every entry, struck ones too."""
    from fieldbook.reports.log import log_lines

    season, until = _whole_season(args)
    lines = list(log_lines(season, find=" ".join(args.find), until=until))
    if args.last is not None:
        lines = lines[-args.last :] if args.last else []
    match _form(args):
        case "json":
            from fieldbook.reports.render.json import to_json

            text = to_json(lines)
        case "csv":
            from fieldbook.reports.export import LOG_COLUMNS
            from fieldbook.reports.render.csv import to_csv

            rows = (tuple(getattr(line, column) for column in LOG_COLUMNS) for line in lines)
            text = to_csv(LOG_COLUMNS, rows)
        case "terminal":
            from fieldbook.reports.render.terminal import log_terminal

            text = _render_terminal(log_terminal(lines))
        case _:
            from fieldbook.reports.render.text import log_text

            text = log_text(lines)
    _put(text, args.out)
    return Exit.DONE


def run_check(args: Args) -> Exit:
    """Look the season over: what cannot be read, what hangs in the air, what is dated oddly."""
    from fieldbook.book.lines import Problem
    from fieldbook.laptop import Laptop
    from fieldbook.season.checking import check_season

    if args.repair:
        _repair(args)
    season, until = _whole_season(args)
    book, now = season.book, _now(season.book)
    if until is not None or book.today is not None:  # a day, and not a moment
        now = datetime.combine(until or now.date(), time.max, now.tzinfo)
    problems = check_season(season, now)
    desk, number = Laptop().newest(book.id, book.path, book.year)
    if number > book.highest_number(desk):
        problems.insert(0, Problem(str(book.path), _older_copy(desk, number)))
    for problem in problems:
        _tell(problem)
    grave = sum(problem.grave for problem in problems)
    count = len(book.entries)
    entries = ngettext("{n} entry", "{n} entries", count).format(n=count)
    say(
        _("{entries} in season {year}: {n} to look at.").format(
            entries=entries, year=season.year, n=grave
        )
    )
    return Exit.FOUND if grave else Exit.DONE


def _tell(problem: "Problem") -> None:
    mark = "!" if problem.grave else "-"
    print(f"{mark} {problem.where}: {problem.what}")
    if problem.text:
        print(f"    {problem.text}")
    if problem.advice:
        print(f"    {problem.advice}")


def _repair(args: Args) -> None:
    """Move aside what cannot be read, and say where it is."""
    from fieldbook.book.repair import repair

    book, _laptop = _open_book(args)
    moved = repair(book.path / str(book.year))
    for there in moved:
        lines = ngettext("{n} line", "{n} lines", there.lines).format(n=there.lines)
        print(
            _("{lines} of {file} moved to {to}").format(lines=lines, file=there.file, to=there.to)
        )
    if not moved:
        say(_("There was nothing to move aside."))


def run_merge(args: Args) -> Exit:
    """Take in every line that another copy of the book has and this one lacks."""
    from fieldbook.book.merge import merge
    from fieldbook.laptop import Laptop

    book = _find_book(args, Laptop())
    merged = merge(book, Path(args.other))
    for arrival in merged.arrivals:
        came = ngettext("{n} entry came in", "{n} entries came in", arrival.came)
        words = [came.format(n=arrival.came) if arrival.came else _("nothing new")]
        if arrival.newer:
            words.append(_("{n} of them from a newer fieldbook").format(n=arrival.newer))
        if arrival.twins:
            words.append(_("{n} of them beside a different one").format(n=arrival.twins))
        desk = _("desk {desk}").format(desk=arrival.desk)
        print(f"{arrival.season}  {desk}: {', '.join(words)}")
    for problem in merged.left:
        _tell(problem)
    say(
        ngettext("{n} entry came in.", "{n} entries came in.", merged.came).format(n=merged.came)
        + (" " + _("See fieldbook check.") if merged.twins else "")
    )
    return Exit.FOUND if merged.left or merged.twins else Exit.DONE


def run_export(args: Args) -> Exit:
    """Print a table of the season, in the form it can be imported in; or archive the book."""
    if args.archive:
        return _archive(args)
    from fieldbook.reports.export import export_table
    from fieldbook.reports.render.csv import to_csv
    from fieldbook.reports.render.json import to_json

    season, until = _whole_season(args)
    if args.format == "json" and args.table == "log":
        _put(to_json([e for e in season.log() if until is None or e.day <= until]), args.out)
        return Exit.DONE
    header, rows = export_table(season, args.table, until=until)
    if args.format == "json":
        _put(to_json([dict(zip(header, row, strict=True)) for row in rows]), args.out)
    else:
        _put(to_csv(header, rows), args.out)
    return Exit.DONE


def _archive(args: Args) -> Exit:
    """Copy the whole book into a zip and read it back."""
    from fieldbook.book.book import read_facts
    from fieldbook.book.copies import archive
    from fieldbook.laptop import Laptop

    book = _find_book(args, Laptop())
    day = read_facts(book).get("today") or datetime.now().astimezone().date()
    out = Path(args.out or f"{book.resolve().name}-{day}.zip")
    archived = archive(book, out)
    print(
        _("{path}: {what}, read back and found as written").format(path=out, what=_size(archived))
    )
    return Exit.DONE


def _size(archived: "Archived") -> str:
    lines = ngettext("{n} line", "{n} lines", archived.lines).format(n=archived.lines)
    files = ngettext("{n} file", "{n} files", archived.files).format(n=archived.files)
    return _("{lines} in {files}").format(lines=lines, files=files)


def run_restore(args: Args) -> Exit:
    """Make a book's folder out of an archive."""
    from fieldbook.book.copies import restore
    from fieldbook.laptop import Laptop

    restored = restore(Path(args.archive), Path(args.folder))
    Laptop().forget(restored.path)
    print(_("{path}: {what}").format(path=restored.path, what=_size(restored)))
    for name in restored.left_out:
        print(_("- {name} is no part of a book: left in the archive").format(name=repr(name)))
    if not restored.summed:
        say(_("The archive has no list of sums; fieldbook check looks at each line."))
    say(_("Open it: fieldbook open --book {path}").format(path=restored.path))
    return Exit.DONE


def run_keys(args: Args) -> Exit:
    """Print the keys of the screens."""
    from fieldbook.screens.actions import key_table

    _put(key_table(), args.out)
    return Exit.DONE
