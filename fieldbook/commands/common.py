"""What commands share: the book and the season meant, who writes, where a report goes."""

import argparse
import os
import sys
from contextlib import suppress
from datetime import date, datetime, time
from pathlib import Path
from typing import TYPE_CHECKING

from fieldbook.errors import BookError
from fieldbook.i18n import _

if TYPE_CHECKING:
    from collections.abc import Sequence

    from fieldbook.book.book import Book
    from fieldbook.book.entry import AnyEntry
    from fieldbook.laptop import Laptop
    from fieldbook.season.season import Season

Args = argparse.Namespace


def say(text: str) -> None:
    """Talk to the person, apart from the data."""
    print(text, file=sys.stderr)


def book_at_hand(args: Args) -> Path | None:
    """The book that is named, or the folder we stand in if it is one."""
    from fieldbook.book.book import is_book

    named = args.book or os.environ.get("FIELDBOOK_BOOK")
    if named:
        return Path(named)
    return Path.cwd() if is_book(Path.cwd()) else None


def find_book(args: Args, laptop: "Laptop") -> Path:
    """The book meant: the one at hand, or the one opened last."""
    from fieldbook.book.book import is_book

    at_hand = book_at_hand(args)
    if at_hand is not None:
        return at_hand
    if laptop.last_book is not None and is_book(laptop.last_book):
        return laptop.last_book
    raise BookError(
        _("There is no book here."),
        _("Name one with --book, make one with fieldbook new FOLDER, or try fieldbook demo."),
    )


def open_book(args: Args, *, write: bool = False) -> "tuple[Book, Laptop]":
    from fieldbook.book.book import Book
    from fieldbook.laptop import Laptop

    laptop = Laptop()
    book = Book.open(find_book(args, laptop), year=args.season)
    if write:
        give_desk(args, book, laptop)
    return book, laptop


def give_desk(args: Args, book: "Book", laptop: "Laptop") -> None:
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
        book.warning = older_copy(before, number)
    laptop.saw(desk, book.year, book.highest_number(desk))
    if not laptop.remembers:
        say(_("! laptop.json cannot be written: each time, this laptop is another desk."))
    if book.today is None:  # an invented book is there to be thrown away
        book.keep_safe(now(book).date())
    told = book.alarm
    if told:
        say("! " + told)

    def leave() -> None:
        laptop.saw(desk, book.year, book.highest_number(desk))
        if book.alarm not in ("", told):
            say("! " + book.alarm)

    args.leaving.callback(leave)


def older_copy(desk: str, number: int) -> str:
    """What is said where an older copy stands in the place of the book."""
    return _(
        "This copy is older than the book this laptop wrote in, up to {desk}-{number}: merge the "
        "newer one, or a daily copy."
    ).format(desk=desk, number=number)


def now(book: "Book") -> datetime:
    """The time by the clock on the wall; in an invented book, as it stands still."""
    now = datetime.now().astimezone().replace(microsecond=0)
    if book.today is None:
        return now
    return datetime.combine(book.today, book.time or now.time(), now.tzinfo)


def season(args: Args, *, write: bool = False) -> "tuple[Season, Laptop, date]":
    """The season meant, the laptop, and the day to report on.

    A report leaves out work after its day. Who writes sees all there is.
    """
    from fieldbook.season.season import Season

    if write and args.as_of is not None:
        raise BookError(
            _("--as-of belongs to reports."), _("The day of work is given with --date.")
        )
    book, laptop = open_book(args, write=write)
    today = now(book).date()
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


def as_it_stood(args: Args, season: "Season", day: date) -> datetime:
    """The time of a report: the end of its day, or now where it is of today and not asked for."""
    present = now(season.book)
    if args.as_of is None and day == present.date():
        return present
    return datetime.combine(day, time(23, 59, 59), present.tzinfo)


def when(args: Args, now: datetime) -> datetime:
    """When it happened that is recorded: on the day of --date, at the time of --at.

    Raises:
        BookError: They are no day, or no time of a day.
    """
    from fieldbook.season.dates import moment, read_day, read_time

    day = read_day(args.date or "", today=now.date())
    return read_time(args.at, day, now.tzinfo) if args.at else moment(day, now)


def whole_season(args: Args) -> "tuple[Season, date | None]":
    """The season with all that is in it, and the day that entries are asked for up to, if any."""
    from fieldbook.season.dates import read_day
    from fieldbook.season.season import Season

    book, _laptop = open_book(args)
    until = None if args.as_of is None else read_day(args.as_of, today=now(book).date())
    return Season(book), until


def by(args: Args, season: "Season", laptop: "Laptop") -> str:
    """Who writes: named (and remembered), at the keyboard last, or whoever is logged in."""
    from fieldbook.laptop import login_name

    if args.by is None:
        return laptop.keying(season.book.id) or login_name()
    name = signature(args.by)
    laptop.set_keying(season.book.id, name)
    return name


def signature(text: str) -> str:
    from fieldbook.book.entry import NAME_LENGTH, clean

    name = clean(text, one_line=True)
    if not 0 < len(name) <= NAME_LENGTH:
        raise BookError(
            _("{name} is no name to sign with.").format(name=repr(text[:NAME_LENGTH])),
            _("Give 1 to {most} characters with --by.").format(most=NAME_LENGTH),
        )
    return name


def record(season: "Season", args: Args, drafts: "Sequence[AnyEntry]") -> "tuple[AnyEntry, ...]":
    """Put entries on disk; ask about slips of the finger, and about names that are new.

    Raises:
        BookError: As `Season.record`, with what to add to the command.
    """
    from fieldbook.book.entry import Person
    from fieldbook.errors import Doubtful, NotOnCrew

    drafts, really = list(drafts), args.really
    while True:
        try:
            return season.record(*drafts, really=really)
        except Doubtful as doubt:
            if not ask(_("{what} Record it all the same?").format(what=doubt.message)):
                raise
            really = True
        except NotOnCrew as stranger:
            question = _("{what} Add {name}?").format(what=stranger.message, name=stranger.person)
            if not (args.add or ask(question)):
                stranger.hint += " " + _("A new hand on the crew: record it with --add.")
                raise
            noted, by = drafts[0].noted, drafts[0].by
            drafts.insert(0, Person(person=stranger.person, at=noted, noted=noted, by=by))


def put(text: str, out: str | None) -> None:
    """Print a report, or put it in a file."""
    if out is None or out == "-":
        sys.stdout.write(text)
    else:
        put_bytes(text.encode(), out)


def put_bytes(data: bytes, out: str, *, new: bool = False) -> None:
    """Put a file where it was asked for, as it is, or on standard output.

    Args:
        data: The file.
        out: Its path, `-` for standard output.
        new: Nobody named it: a file that is there stays.

    Raises:
        BookError: It cannot be written.
    """
    if out == "-":
        sys.stdout.flush()
        sys.stdout.buffer.write(data)
        return
    try:
        with Path(out).open("xb" if new else "wb") as file:
            file.write(data)
    except FileExistsError:
        raise BookError(
            _("{path} is there already.").format(path=out), _("Name another file with --out.")
        ) from None
    except OSError as error:
        raise BookError(
            _("Cannot write {path}: {why}.").format(path=out, why=error.strerror),
            _("Name a file in a folder you may write to."),
        ) from error
    say(_("Written to {path}.").format(path=out))


def form(args: Args) -> str:
    """The form of a report: as asked; else for a terminal if there is one."""
    if args.format:
        return str(args.format)
    return "terminal" if sys.stdout.isatty() and not args.out else "text"


def render_terminal(renderable: object) -> str:
    """A Rich renderable as this terminal shows it, or in plain characters for a file."""
    from rich.console import Console

    console = Console(emoji=False, markup=False, highlight=False)
    with console.capture() as capture:
        console.print(renderable)
    return capture.get()


def width() -> int:
    """How wide the terminal is, or a file that is read as one."""
    from rich.console import Console

    return Console().width


def at_terminal() -> bool:
    """Whether somebody is there to be asked."""
    return sys.stdin.isatty() and sys.stderr.isatty()


def ask_for(question: str) -> str:
    """Some words from the person at the terminal; without a terminal, none."""
    if not at_terminal():
        return ""
    print(question, end=" ", file=sys.stderr, flush=True)
    try:
        return input().strip()
    except EOFError:
        return ""


def ask(question: str) -> bool:
    """A yes from the person at the terminal; without a terminal, no."""
    if not at_terminal():
        return False
    print(question, end=" [y/N] ", file=sys.stderr, flush=True)
    try:
        return input().strip().casefold() in ("y", "yes")
    except EOFError:
        return False
