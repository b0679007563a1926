"""What is on record: for whoever opens the book next, and in the memory of a window."""

from pathlib import Path

from fieldbook.book.book import Book
from fieldbook.book.entry import Note, Strike
from fieldbook.errors import NotSaved
from tests.conftest import note


def counted(book: Book) -> list[str]:
    """The notes in a window's memory that count, in fold order."""
    struck = {entry.entry for entry in book.entries if isinstance(entry, Strike)}
    return [e.text for e in book.entries if isinstance(e, Note) and e.id not in struck]


def found(path: Path) -> list[str]:
    """The notes that count for whoever opens the book next, in fold order."""
    return counted(Book.open(path))


def twins(path: Path) -> list[str]:
    """Numbers that were given out twice."""
    return [problem.what for problem in Book.open(path).check() if "twice" in problem.what]


def saved(book: Book, *texts: str) -> bool:
    """Record notes together; whether the book said that they are saved."""
    try:
        book.record(*map(note, texts))
    except NotSaved as error:
        if not (error.message.startswith("Not saved: ") and error.hint):
            raise AssertionError("refused without a word of what to do") from error
        return False
    return True
