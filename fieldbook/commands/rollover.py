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


def run_rollover(args: Args) -> Exit:
    """Make the next season's plan from this one: show what is other, and write it if confirmed."""
    from fieldbook.book.book import Book
    from fieldbook.commands.reporting import print_listings
    from fieldbook.laptop import Laptop
    from fieldbook.reports.render.text import WIDTH
    from fieldbook.reports.rollover import proposal, proposal_lines, proposal_listings
    from fieldbook.season.rollover import changes, coming
    from fieldbook.season.season import Season

    if args.as_of is not None:
        raise BookError(
            _("--as-of belongs to reports."), _("The next season begins with all of this one.")
        )
    laptop = Laptop()
    path = common.find_book(args, laptop)
    book = Book.open(path, year=args.season)
    year, to = coming(book) if args.season is None else (args.season, args.season + 1)
    season, now = Season(Book.open(path, year=year)), common.now(book)
    found = changes(season, to, by=common.by(args, season, laptop), now=now)
    report = proposal(season, to, found, now)
    left = _left(args, report)
    if left:
        report = proposal(season, to, found, now, left=left)
    confirmed = args.yes
    if not confirmed or common.form(args) in ("json", "csv"):
        # Row by row it is read and asked about; a table of it is for a file.
        in_file = common.form(args) in ("json", "csv")
        listings = proposal_listings(report) if in_file else []
        lines = proposal_lines(report, width=WIDTH)
        print_listings(args, season, now.date(), report, listings, first=lines)
    if not confirmed and found and common.at_terminal():
        confirmed, left = _asked(report, left)
    if not found:
        return Exit.DONE
    if not confirmed:
        common.say(_("Nothing is written. To write it: fieldbook rollover --yes"))
        return Exit.DONE
    _write(args, season, to, laptop, found, left)
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
        said = common.ask_for(
            row_words(row) + "\n" + _("  y: yes, n: leave it, a: all the rest, q: write nothing")
        ).casefold()
        if said == "a":
            break
        if said == "q":
            return False, left
        if said not in ("", "y", "yes"):
            left.append(row.number)
    return True, left


def _write(
    args: Args, season: "Season", to: int, laptop: "Laptop", found: "list[Change]", left: list[int]
) -> None:
    from fieldbook.book.book import Book
    from fieldbook.reports.rollover import changing
    from fieldbook.season.rollover import drafts_of, write

    book = season.book
    begun = to in book.seasons
    next_book = Book.open(book.path, year=to) if begun else Book.begin_season(book.path, to)
    common.give_desk(args, next_book, laptop)
    numbered = changing(found)
    drafts = drafts_of(found, [numbered[number - 1] for number in left])
    made = write(season, next_book, drafts)
    entries = len(made.book.entries)
    said = ngettext("{n} entry", "{n} entries", entries).format(n=entries)
    print(
        _("{name}, season {year}: {entries}").format(name=book.name, year=to, entries=said)
        + (", " + _("{n} left as they were").format(n=len(left)) if left else "")
    )
    common.say(
        _(
            "Open it: fieldbook open --season {year}\n"
            "It is the newest now; season {before} is still there: --season {before}"
        ).format(year=to, before=book.year)
    )
