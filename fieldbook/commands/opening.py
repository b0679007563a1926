"""Opening a book on screen, trying the demo, making a new one."""

import gc
import sys
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from fieldbook.commands import common
from fieldbook.commands.common import Args
from fieldbook.commands.summary import run_summary
from fieldbook.errors import BookError, Exit
from fieldbook.i18n import _

if TYPE_CHECKING:
    from fieldbook.book.book import Book
    from fieldbook.laptop import Laptop


def run_open(args: Args) -> Exit:
    """Open the book on screen."""
    _need_terminal()
    if args.as_of is not None:
        raise BookError(
            _("--as-of belongs to reports."), _("The screens show the book as it stands today.")
        )
    book, laptop = common.open_book(args, write=True)
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
        common.give_desk(args, book, laptop)
        _show(book, laptop)
    common.say(
        _(
            "The demo is invented; this copy of it is yours to try things on:\n"
            "  fieldbook open --book {path}\n"
            "  fieldbook summary --book {path}"
        ).format(path=folder)
    )
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
        common.signature(args.by)
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
    common.give_desk(args, book, laptop)
    season = Season(book)
    by = common.by(args, season, laptop)
    season = Season.begin(book, args.checklist, by=by, now=now)
    laptop.last_book = book.path
    print(_("{name}, season {year}: a book at {path}").format(name=book.name, year=year, path=path))
    common.say(
        _(
            "Its tasks: {tasks}.\n"
            "Next: list your lines in a table, and import it:\n"
            "  fieldbook blank lines > lines.csv\n"
            "  fieldbook import lines.csv people.csv\n"
            "Then open it: fieldbook"
        ).format(tasks=", ".join(task.title.lower() for task in season.plan.tasks))
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
    FieldbookApp(Season(book), laptop=laptop, clock=lambda: common.now(book)).run()
    return Exit.DONE
