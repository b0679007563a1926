"""A book: a folder that holds everything one sugarbush records, over the years.

Running numbers and ticks count within a season, so a journal is whole in itself: an entry's id is
unique in its season, and a gap is seen without opening another year.
"""

import tomllib
from collections.abc import Sequence
from contextlib import suppress
from datetime import date, datetime, time
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

from fieldbook.book.disk import sync_folder, write_file
from fieldbook.book.entry import FORMAT, AnyEntry, Strike, clean
from fieldbook.book.journal import Journal
from fieldbook.book.layout import MARK, YEARS, book_seasons
from fieldbook.book.lines import Problem
from fieldbook.errors import BookError, Exit
from fieldbook.i18n import _

if TYPE_CHECKING:
    from importlib.resources.abc import Traversable

    from fieldbook.book.documents import JournalDB

# No 0/o, 1/l/i, u/v: a code is read aloud over a saw.
_LETTERS = "abcdefghjkmnpqrstwxyz"
_DESK_ALPHABET = _LETTERS + "23456789"


def new_desk_code() -> str:
    """Five characters, first a letter; 18 million codes for the few desks of a book."""
    import secrets

    rest = (secrets.choice(_DESK_ALPHABET) for _i in range(4))
    return secrets.choice(_LETTERS) + "".join(rest)


class Book:
    """One season of a book, open.

    Attributes:
        path: The book's folder.
        id: Random, given once; copies of a book share it.
        name: Of the sugarbush.
        year: The season that is open.
        today: In an invented book, the day on which time stands still; else None.
        time: The time of that day, if it stands still too.
        keys: Keys the crew gave to actions, `{action: key}`.
        uncopied: Why no copy could be kept today; empty if one is.
        warning: What else the person must know about this copy of the book.
    """

    def __init__(self, path: Path, facts: dict[str, Any], year: int, desk: str | None) -> None:
        self.path = path
        self.id: str = facts["id"]
        self.name: str = clean(facts["name"], one_line=True)
        self.today, self.time = _stands_still(facts.get("today"))
        self.keys: dict[str, str] = facts.get("keys", {})
        self.year = year
        self._journal = Journal(path / str(year), desk)
        self.uncopied = ""
        self.warning = ""

    @classmethod
    def new(cls, path: Path, *, name: str, year: int, desk: str | None = None) -> "Book":
        """Make a book with an empty season.

        Args:
            path: A folder that does not exist yet or is empty.
            name: Of the sugarbush.
            year: The season to open first.
            desk: Code of the desk that will write.

        Raises:
            BookError: The folder is in use or cannot be made.
        """
        import secrets

        _check_year(year)
        name = clean(name, one_line=True)
        if not name:
            raise BookError(_("The book needs a name."), _("Give one with --name."))
        try:
            if path.exists() and any(path.iterdir()):
                raise BookError(
                    _("{path} is in use: a new book needs an empty folder.").format(path=path),
                    _("Name a folder that does not exist yet."),
                )
            (path / str(year)).mkdir(parents=True, exist_ok=True)
            write_file(path / MARK, _facts(secrets.token_hex(8), name).encode())
            sync_folder(path.parent)
        except OSError as error:
            with suppress(OSError):  # half a book would be in the way of the next try
                (path / MARK).unlink(missing_ok=True)
                (path / str(year)).rmdir()
                path.rmdir()
            raise BookError(
                _("Cannot make a book at {path}: {why}.").format(path=path, why=error.strerror),
                _("Make room, or name a folder you may write to, then try again."),
                Exit.BOOK,
            ) from error
        return cls.open(path, year=year, desk=desk)

    @classmethod
    def open(cls, path: Path, *, year: int | None = None, desk: str | None = None) -> "Book":
        """Open a book at one season, the latest unless a year is given.

        Raises:
            BookError: There is no book, it is from a newer fieldbook, or it has no such season.
        """
        facts = read_facts(path)
        try:
            seasons = book_seasons(path)
            if not seasons and year is None:
                raise BookError(
                    _("{path} has no season yet.").format(path=path),
                    _("Begin one: fieldbook new {path} --season YEAR").format(path=path),
                )
            if year is not None and year not in seasons:
                raise BookError(
                    _("{path} has no season {year}.").format(path=path, year=year),
                    _("It has: {years}.").format(years=", ".join(map(str, seasons)) or "-"),
                )
            return cls(path, facts, seasons[-1] if year is None else year, desk)
        except OSError as error:
            raise BookError(
                _("Cannot read {path}: {why}.").format(
                    path=error.filename or path, why=error.strerror
                ),
                _("Give yourself access to the folder, then try again."),
                Exit.BOOK,
            ) from error

    @classmethod
    def begin_season(cls, path: Path, year: int, *, desk: str | None = None) -> "Book":
        """Add an empty season to a book.

        Raises:
            BookError: There is no book, it has that season already, or it cannot be written.
        """
        read_facts(path)
        _check_year(year)
        try:
            (path / str(year)).mkdir()
            sync_folder(path)
        except FileExistsError:
            raise BookError(
                _("{path} has a season {year} already.").format(path=path, year=year),
                _("Open it: fieldbook open --season {year}.").format(year=year),
            ) from None
        except OSError as error:
            with suppress(OSError):  # an empty season would be the newest
                (path / str(year)).rmdir()
            raise BookError(
                _("Cannot add a season to {path}: {why}.").format(path=path, why=error.strerror),
                _("Give yourself access to the folder, then try again."),
                Exit.BOOK,
            ) from error
        return cls.open(path, year=year, desk=desk)

    @property
    def desk(self) -> str | None:
        """Code of the desk that writes; None while the book is open for reading."""
        return self._journal.desk

    def write_as(self, desk: str) -> None:
        """Give the book a desk to write with; before, it can only be read."""
        self._journal.desk = desk

    @property
    def seasons(self) -> list[int]:
        """The years the book has a season for, oldest first."""
        return book_seasons(self.path)

    @property
    def db(self) -> "JournalDB":
        """The season's entries as a TinyDB, for queries."""
        from fieldbook.book.documents import JournalDB

        return JournalDB(self._journal)

    @property
    def entries(self) -> Sequence[AnyEntry]:
        """The season's entries in fold order, those recorded since last."""
        return self._journal.lines.order

    @property
    def shuffles(self) -> int:
        """How often entries came in that belong before others: then a fold must begin anew."""
        return self._journal.lines.shuffles

    def entry(self, entry_id: str) -> AnyEntry | None:
        return self._journal.lines.entries.get(entry_id)

    def catch_up(self) -> bool:
        """Read what other windows, laptops and merges have put into the season since.

        What this desk recorded and another program has taken out of its journal is written again.

        Returns:
            Whether anything changed.

        Raises:
            OSError: A journal cannot be read.
            NotSaved: What was taken out cannot be written now.
        """
        return self._journal.catch_up()

    @property
    def at_risk(self) -> int:
        """Entries that are in this window only, and would be lost with it."""
        return self._journal.at_risk

    def highest_number(self, desk: str) -> int:
        """The highest number the season has of a desk; 0 if it has none."""
        return self._journal.lines.highest(desk)

    def keep_safe(self, day: date) -> None:
        """Put room by for a full disk, and keep the day's copy; what fails is in `alarm`."""
        from fieldbook.book.copies import keep_daily_copy

        self._journal.keep_reserve()
        self.uncopied = ""
        try:
            keep_daily_copy(self.path, self.desk or "", day)
        except (BookError, OSError, RuntimeError, ValueError) as error:  # or the place is no path
            why = getattr(error, "strerror", None) or str(error).partition("\n")[0]
            self.uncopied = _(
                "No copy of the book could be kept today ({why}): put the stick in, or change "
                "copies in book.toml."
            ).format(why=why)

    @property
    def alarm(self) -> str:
        """What the person must know about the disk until it is put right; else empty."""
        return " ".join([*self._journal.alarms, *filter(None, [self.uncopied, self.warning])])

    def record(self, *drafts: AnyEntry) -> tuple[AnyEntry, ...]:
        """Give drafts their ids and ticks and put them on disk, all together or none.

        Returns:
            The entries as they stand in the journal. They are on disk by then.

        Raises:
            BookError: A field is over its limits.
            NotSaved: The disk refused.
        """
        try:
            return self._journal.record([draft.cleaned() for draft in drafts])
        except ValueError as error:
            raise BookError(
                _("That cannot be recorded: {why}.").format(why=error),
                _("Change the field named and try again."),
            ) from error

    def strike(self, entry_id: str, reason: str, *, by: str, now: datetime) -> Strike:
        """Cross out an entry of the season. It stays readable and stops counting.

        Raises:
            BookError: There is no such entry, it is struck already, or no reason is given.
        """
        target = self.entry(entry_id)
        if target is None:
            raise BookError(
                _("There is no entry {id} in season {year}.").format(id=entry_id, year=self.year),
                _("fieldbook log shows the entries with their ids."),
            )
        if isinstance(target, Strike):
            raise BookError(
                _("{id} is itself a strike and cannot be struck.").format(id=entry_id),
                _("Record the entry it crossed out again."),
            )
        before = self.struck_by(entry_id)
        if before is not None:
            raise BookError(
                _("{id} was struck already by {by}: {reason}").format(
                    id=entry_id, by=before.by, reason=before.reason
                )
            )
        if not clean(reason):
            raise BookError(
                _("A strike needs a reason."), _("Say in a few words why the entry is wrong.")
            )
        draft = Strike(at=now, noted=now, by=by, entry=entry_id, reason=reason)
        (strike,) = self.record(draft)
        assert isinstance(strike, Strike)
        return strike

    def struck_by(self, entry_id: str) -> Strike | None:
        """The first strike that names an entry."""
        from tinydb import where

        strike = self.db.get((where("kind") == "strike") & (where("entry") == entry_id))
        return cast("Strike | None", strike)

    @property
    def all_apart(self) -> int:
        """How many lines of the journals do not count, whether or not they want a look."""
        return self._journal.lines.all_apart

    @property
    def set_apart(self) -> int:
        """How many lines of the journals are set apart, in no total, and want a look."""
        return self._journal.lines.wanting

    def check(self) -> list[Problem]:
        """What is wrong with the season's journals: lines set apart, gaps, strikes of nothing."""
        dangling = [
            Problem(
                e.id,
                _("strikes {id}, which is not in this season").format(id=e.entry),
                _("the entry may still come in with another copy of the book"),
                grave=False,
            )
            for e in self.entries
            if isinstance(e, Strike) and self.entry(e.entry) is None
        ]
        return [*self._journal.lines.problems(), *self._journal.moved_aside(), *dangling]

    def close(self) -> None:
        self._journal.close()


def is_book(path: Path) -> bool:
    return (path / MARK).is_file()


def read_facts(path: "Traversable") -> dict[str, Any]:
    """What `book.toml` says.

    Args:
        path: The book's folder, or a copy of it in an archive.

    Raises:
        BookError: There is no book here, or its `book.toml` cannot be used.
    """
    mark = path / MARK
    try:
        if not mark.is_file():
            raise _no_book(path, there=path.is_dir())
        facts = tomllib.loads(mark.read_bytes().decode("utf-8-sig"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise BookError(
            _("Cannot read {path}: {why}.").format(path=mark, why=error),
            _("Put back the file from a copy of the book; the journals are untouched."),
            Exit.BOOK,
        ) from error
    version = facts.get("format")
    if isinstance(version, int) and version > FORMAT:
        raise BookError(
            _("{path} is from a newer fieldbook (format {version}).").format(
                path=path, version=version
            ),
            _("Update fieldbook on this laptop; nothing was changed."),
            Exit.BOOK,
        )
    _check_facts(str(mark), facts)
    return facts


def _no_book(path: "Traversable", *, there: bool) -> BookError:
    if there:
        return BookError(
            _("{path} is not a book: it has no {mark}.").format(path=path, mark=MARK),
            _("Name the book's own folder, or make a book: fieldbook new FOLDER."),
            Exit.BOOK,
        )
    return BookError(
        _("There is no book at {path}.").format(path=path),
        _("Check the path, or make a book: fieldbook new FOLDER."),
        Exit.BOOK,
    )


def _check_year(year: int) -> None:
    if year not in YEARS:
        raise BookError(
            _("{year} cannot name a season.").format(year=year),
            _("Give a year from {first} to {last}.").format(first=YEARS[0], last=YEARS[-1]),
        )


def _stands_still(today: date | None) -> tuple[date | None, time | None]:
    """The day and the time of an invented book: `2027-02-09`, or `2027-02-09T17:05:00`."""
    if isinstance(today, datetime):
        return today.date(), today.time()
    return today, None


def _check_facts(mark: str, facts: dict[str, Any]) -> None:
    kinds = {"format": int, "id": str, "name": str}
    wrong = [key for key, kind in kinds.items() if not isinstance(facts.get(key), kind)]
    if "today" in facts and not isinstance(facts["today"], date):
        wrong.append("today")
    if not isinstance(facts.get("copies", ""), str):
        wrong.append("copies")
    keys = facts.get("keys", {})
    if not isinstance(keys, dict) or not all(isinstance(key, str) for key in keys.values()):
        wrong.append("keys")
    if wrong:
        raise BookError(
            _("{path}: {fields} is missing or not of the right kind.").format(
                path=mark, fields=", ".join(wrong)
            ),
            _("Put back the file from a copy of the book; the journals are untouched."),
            Exit.BOOK,
        )


def _facts(book_id: str, name: str) -> str:
    quoted = '"' + name.replace("\\", "\\\\").replace('"', '\\"') + '"'
    return (
        "# A fieldbook: the folders beside this file hold its seasons.\n"
        f'format = {FORMAT}\nid = "{book_id}"\nname = {quoted}\n'
        "\n# Where a copy is kept every day the book is opened: best on another disk.\n"
        '# copies = "/media/stick/copies"\n'
        "\n# Keys of the crew's own, if the usual ones are in the way: see `fieldbook keys`.\n"
        '# [keys]\n# finish = "f"\n'
    )
