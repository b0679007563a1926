"""Merging: every line that another copy of the book has and this one lacks.

Lines come in verbatim, whoever wrote them and whatever version they are of. Nothing is taken away
or changed, so it does not matter which copy is merged into which, in what order, or how often.
"""

from pathlib import Path

from msgspec import Struct, field

from fieldbook.book.append import append_lines
from fieldbook.book.book import read_facts
from fieldbook.book.codec import NewerLine, UnreadableLine, decode, label
from fieldbook.book.copies import Copy, unreadable
from fieldbook.book.entry import clean
from fieldbook.book.journal import Journal
from fieldbook.book.lines import Lines, Problem, shown
from fieldbook.errors import BookError
from fieldbook.i18n import _


class Arrival(Struct):
    """What came in of one desk's lines in one season.

    Attributes:
        season: The year.
        desk: Who wrote them.
        came: Lines that came in.
        known: Lines that were here already.
        twins: Of those that came in, lines with the id of a different one that was here.
        newer: Of those that came in, lines from a newer fieldbook.
    """

    season: int
    desk: str
    came: int = 0
    known: int = 0
    twins: int = 0
    newer: int = 0
    lines: list[bytes] = field(default_factory=list)


class Merged(Struct, frozen=True):
    """What a merge did.

    Attributes:
        arrivals: By season and desk, those with nothing new too.
        left: Lines that stayed where they are, and why.
    """

    arrivals: list[Arrival]
    left: list[Problem]

    @property
    def came(self) -> int:
        return sum(arrival.came for arrival in self.arrivals)

    @property
    def twins(self) -> int:
        return sum(arrival.twins for arrival in self.arrivals)


def merge(book: Path, other: Path) -> Merged:
    """Take every line that another copy of a book has and this one lacks.

    Args:
        book: The book's folder.
        other: The other copy: its folder, or a zip.

    Raises:
        BookError: One is no book, or they are two different books.
        NotSaved: The disk refused; what came in by then stays, and merging again does the rest.
    """
    facts, copy = read_facts(book), Copy(other)
    if other.exists() and other.resolve() == book.resolve():
        raise BookError(
            _("{path} is this very book.").format(path=other), _("Name another copy of it.")
        )
    if copy.facts["id"] != facts["id"]:
        raise BookError(
            _("{path} is another book: {name}.").format(
                path=other, name=clean(copy.facts["name"], one_line=True)
            ),
            _("Only copies of one book can be merged; books begun separately stay apart."),
        )
    arrivals: list[Arrival] = []
    left: list[Problem] = []
    for year in copy.seasons:
        folder = book / str(year)
        try:
            season = _Season(Journal(folder, None).lines, year)
        except OSError as error:
            raise unreadable(Path(error.filename or folder), error) from error
        for name, data in copy.journals(year):
            season.compare(clean(name, one_line=True), data)
        for arrival in season.arrivals:
            append_lines(folder, arrival.desk, arrival.lines)
        arrivals += season.arrivals
        left += season.left
    return Merged(arrivals, left)


class _Season:
    """One season's lines, here and there."""

    def __init__(self, here: Lines, year: int) -> None:
        self._here = here
        self._year = year
        self._newer = {apart.raw for apart in here.apart if apart.fault == "newer"}
        self._by_desk: dict[str, Arrival] = {}
        self._unread: list[tuple[str, Problem]] = []

    @property
    def arrivals(self) -> list[Arrival]:
        return [arrival for _desk, arrival in sorted(self._by_desk.items())]

    @property
    def left(self) -> list[Problem]:
        """Lines that cannot be taken, but for those of which a sound one is here by now."""
        return [problem for of, problem in self._unread if of not in self._here.entries]

    def _arrival(self, desk: str) -> Arrival:
        return self._by_desk.setdefault(desk, Arrival(self._year, desk))

    def compare(self, name: str, data: bytes | BookError) -> None:
        """Put aside what is not here, and lines that cannot be taken."""
        if isinstance(data, BookError):
            what = clean(data.message, one_line=True)
            self._unread.append(("", Problem(name, what, data.hint)))
            return
        offset = 0
        for raw in data.split(b"\n"):
            line = raw.removesuffix(b"\r")
            if line.strip():
                try:
                    self._take(line)
                except UnreadableLine as error:
                    where = _("{file}, byte {offset}").format(file=name, offset=offset)
                    why = clean(str(error), one_line=True)  # it may quote the line
                    what = _("a line that cannot be read stays there: {why}").format(why=why)
                    self._unread.append((label(line)[0], Problem(where, what, text=shown(line))))
            offset += len(raw) + 1

    def _take(self, line: bytes) -> None:
        try:
            entry = decode(line)
        except NewerLine:
            self._take_newer(line)
            return
        arrival = self._arrival(entry.desk)
        if self._here.has(entry):
            arrival.known += 1
            return
        arrival.twins += entry.id in self._here.entries
        arrival.came += 1
        arrival.lines.append(line)
        self._here.read("", line, 0)

    def _take_newer(self, line: bytes) -> None:
        entry_id, _tick = label(line)
        if not entry_id:
            raise UnreadableLine("field", "the entry has no id")
        arrival = self._arrival(entry_id.partition("-")[0])
        if line in self._newer:
            arrival.known += 1
            return
        self._newer.add(line)
        arrival.came += 1
        arrival.newer += 1
        arrival.lines.append(line)
