"""The logbook as data: every entry in order, in words, with what became of it."""

from collections.abc import Iterator
from datetime import date, datetime

from msgspec import Struct

from fieldbook.book.entry import AnyEntry
from fieldbook.reports.words import describe, entry_place, seen_to
from fieldbook.season.season import Season


class LogLine(Struct, frozen=True):
    """One entry as the logbook shows it.

    Attributes:
        id: Short enough to say aloud.
        at: When it happened.
        noted: When it was written.
        by: Who wrote it.
        who: Whose work it is; empty for what is nobody's.
        kind: Kind of entry.
        place: Block and line.
        task: Key of the task, if it is about one.
        says: What it says.
        struck: Why and by whom it was crossed out; empty while it stands.
    """

    id: str
    at: datetime
    noted: datetime
    by: str
    who: str
    kind: str
    place: str
    task: str
    says: str
    struck: str

    @property
    def haystack(self) -> str:
        """What a search looks in."""
        parts = (
            self.id,
            f"{self.at:%Y-%m-%d}",
            self.by,
            self.who,
            self.kind,
            self.place,
            self.task,
            self.says,
            self.struck and f"struck {self.struck}",
        )
        return " ".join(parts).casefold()

    def matches(self, words: str) -> bool:
        """Whether every word of a search is found in the line, in any order and any case."""
        return all(word in self.haystack for word in words.casefold().split())


def log_line(entry: AnyEntry, season: Season) -> LogLine:
    strike = season.ledger.struck.get(entry.id)
    return LogLine(
        id=entry.id,
        at=entry.at,
        noted=entry.noted,
        by=entry.by,
        who=getattr(entry, "who", ""),
        kind=entry.kind,
        place=entry_place(entry),
        task=getattr(entry, "task", ""),
        says=_says(entry, season),
        struck=f"{strike.by}, {strike.id}: {strike.reason}" if strike else "",
    )


def _says(entry: AnyEntry, season: Season) -> str:
    said, done = describe(entry, season.plan), seen_to(entry, season.ledger)
    return f"{done} ({said})" if done else said


def log_lines(season: Season, *, find: str = "", until: date | None = None) -> Iterator[LogLine]:
    """Entries in fold order, oldest first: those that `find` matches, up to a day."""
    entries = (entry for entry in season.log() if until is None or entry.day <= until)
    lines = (log_line(entry, season) for entry in entries)
    return (line for line in lines if line.matches(find)) if find else lines


def says(line: LogLine) -> str:
    """What an entry says, with its task where the words do not name it."""
    return f"{line.task}: {line.says}" if line.kind in ("count", "step") else line.says
