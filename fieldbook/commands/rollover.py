"""The next season from this one: shown as a difference, and written once it is confirmed."""

from typing import TYPE_CHECKING

from fieldbook.commands import common
from fieldbook.commands.common import Args
from fieldbook.errors import BookError, Exit
from fieldbook.i18n import _, ngettext

if TYPE_CHECKING:
    from fieldbook.laptop import Laptop
    from fieldbook.reports.rollover import Proposal
    from fieldbook.season.rollover import Change
    from fieldbook.season.season import Season

TRIES = 3
"""How often somebody is asked who gives none of the answers; or whose terminal is gone."""


def run_rollover(args: Args) -> Exit:
    """Make the next season's plan from this one: show what is other, and write it if confirmed."""
    from fieldbook.book.book import Book
    from fieldbook.commands.reporting import print_listings
    from fieldbook.laptop import Laptop
    from fieldbook.reports.render.text import WIDTH
    from fieldbook.reports.rollover import proposal, proposal_lines, proposal_listings
    from fieldbook.season.rollover import changes, coming, year_after
    from fieldbook.season.season import Season

    if args.as_of is not None:
        raise BookError(
            _("--as-of belongs to reports."), _("The next season begins with all of this one.")
        )
    laptop = Laptop()
    path = common.find_book(args, laptop)
    book = Book.open(path, year=args.season)
    year, to = coming(book) if args.season is None else (book.year, year_after(book, book.year))
    season, now = Season(Book.open(path, year=year)), common.now(book)
    found = changes(season, to, by=common.by(args, season, laptop), now=now)
    report = proposal(season, to, found, now)
    left = _left(args, report)
    if left:
        report = proposal(season, to, found, now, left=left)
    in_file, confirmed = common.form(args) in ("json", "csv"), args.yes
    if not confirmed or in_file or args.out:
        # Row by row it is read and asked about; a table of it is for a file.
        listings = proposal_listings(report) if in_file else []
        lines = proposal_lines(report, width=WIDTH)
        print_listings(args, season, now.date(), report, listings, first=lines)
    elif not found:
        common.say(_("Season {year} has all of it already.").format(year=to))
    if not confirmed and found and common.at_terminal():
        confirmed, left = _asked(report, left)
    if not found:
        return Exit.DONE
    if not confirmed:
        common.say(_("Nothing is written. To write it: fieldbook rollover --yes"))
        return Exit.DONE
    said = _write(args, season, to, laptop, found, left)
    if in_file:
        common.say(said)  # what is printed is a table
    else:
        print(said)
    if to == max(book.seasons):
        common.say(
            _(
                "Open it: fieldbook open --season {year}\n"
                "It is the newest now; season {before} is still there: --season {before}"
            ).format(year=to, before=year)
        )
    return Exit.DONE


def _left(args: Args, report: "Proposal") -> list[int]:
    """Numbers of changes that are left.

    Raises:
        BookError: There is no such change, or the season cannot be without it.
    """
    rows = {row.number: row for row in report.rows}
    for number in args.leave or ():
        if number not in rows:
            raise BookError(
                _("There is no change {n}.").format(n=number),
                _("fieldbook rollover shows them, from 1 to {n}.").format(n=len(rows)),
            )
        if rows[number].needed:
            raise BookError(
                _("A season cannot be without {what}.").format(what=rows[number].where),
                _("Take it over, and change it afterwards: fieldbook setting {name} ...").format(
                    name=rows[number].where
                ),
            )
    return sorted(set(args.leave or ()))


def _asked(report: "Proposal", left: list[int]) -> tuple[bool, list[int]]:
    """Whether the person wants it written, and what they leave."""
    from fieldbook.reports.rollover import row_words

    answer = common.ask_for(
        _("Write season {year} with all of it? y: yes, l: line by line, n: no").format(
            year=report.next
        )
    )
    if answer.casefold() in ("y", "yes"):
        return True, left
    if answer.casefold() not in ("l", "line"):
        return False, left
    for row in report.rows:
        if row.needed or row.number in left:
            continue
        said = _answer(
            row_words(row) + "\n" + _("  y: yes, n: leave it, a: all the rest, q: write nothing")
        )
        if said == "a":
            break
        if said == "q":
            return False, left
        if said == "n":
            left.append(row.number)
    return True, left


def _answer(question: str) -> str:
    """One of the four answers about a change; without one, and no end of it, nothing is written."""
    for _time in range(TRIES):
        said = common.ask_for(question).casefold()[:1]
        if said and said in "ynaq":
            return said
    return "q"


def _write(
    args: Args, season: "Season", to: int, laptop: "Laptop", found: "list[Change]", left: list[int]
) -> str:
    """Write the season to be made; what is said of it.

    Raises:
        BookError: It is closed, or the disk refused: nothing is written then.
    """
    from fieldbook.book.book import Book
    from fieldbook.reports.rollover import changing
    from fieldbook.season.rollover import drafts_of, take_back, write

    book = season.book
    begun = to in book.seasons
    next_book = Book.open(book.path, year=to) if begun else Book.begin_season(book.path, to)
    try:
        common.give_desk(args, next_book, laptop)
        numbered = changing(found)
        before = len(next_book.entries)
        made = write(season, next_book, drafts_of(found, [numbered[n - 1] for n in left]))
    except BookError:
        if not begun:
            take_back(next_book)
        raise
    new = len(made.book.entries) - before
    said = ngettext("{n} entry", "{n} entries", new).format(n=new)
    return _("{name}, season {year}: {entries}").format(name=book.name, year=to, entries=said) + (
        ", " + _("{n} left as they were").format(n=len(left)) if left else ""
    )
