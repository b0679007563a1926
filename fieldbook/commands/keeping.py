"""Looking after a book: checked, repaired, merged, archived, got back."""

from datetime import datetime, time
from pathlib import Path
from typing import TYPE_CHECKING

from fieldbook.commands import common
from fieldbook.commands.common import Args
from fieldbook.errors import Exit
from fieldbook.i18n import _, ngettext

if TYPE_CHECKING:
    from fieldbook.book.copies import Archived
    from fieldbook.book.lines import Problem


def run_check(args: Args) -> Exit:
    """Look the season over: what cannot be read, what hangs in the air, what is dated oddly."""
    from fieldbook.book.lines import Problem
    from fieldbook.laptop import Laptop
    from fieldbook.season.checking import check_season

    if args.repair:
        _repair(args)
    season, until = common.whole_season(args)
    book, now = season.book, common.now(season.book)
    if until is not None or book.today is not None:  # a day, and not a moment
        now = datetime.combine(until or now.date(), time.max, now.tzinfo)
    problems = check_season(season, now)
    desk, number = Laptop().newest(book.id, book.path, book.year)
    if number > book.highest_number(desk):
        problems.insert(0, Problem(str(book.path), common.older_copy(desk, number)))
    for problem in problems:
        _tell(problem)
    grave = sum(problem.grave for problem in problems)
    count = len(book.entries)
    entries = ngettext("{n} entry", "{n} entries", count).format(n=count)
    common.say(
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

    book, _laptop = common.open_book(args)
    moved = repair(book.path / str(book.year))
    for there in moved:
        lines = ngettext("{n} line", "{n} lines", there.lines).format(n=there.lines)
        print(
            _("{lines} of {file} moved to {to}").format(lines=lines, file=there.file, to=there.to)
        )
    if not moved:
        common.say(_("There was nothing to move aside."))


def run_merge(args: Args) -> Exit:
    """Take in every line that another copy of the book has and this one lacks."""
    from fieldbook.book.merge import merge
    from fieldbook.laptop import Laptop

    book = common.find_book(args, Laptop())
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
    common.say(
        ngettext("{n} entry came in.", "{n} entries came in.", merged.came).format(n=merged.came)
        + (" " + _("See fieldbook check.") if merged.twins else "")
    )
    return Exit.FOUND if merged.left or merged.twins else Exit.DONE


def archive_book(args: Args) -> Exit:
    """Copy the whole book into a zip and read it back."""
    from fieldbook.book.book import read_facts
    from fieldbook.book.copies import archive
    from fieldbook.laptop import Laptop

    book = common.find_book(args, Laptop())
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
        common.say(_("The archive has no list of sums; fieldbook check looks at each line."))
    common.say(_("Open it: fieldbook open --book {path}").format(path=restored.path))
    return Exit.DONE
