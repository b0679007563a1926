"""Copies of a book: a folder or a zip, as a stick, a mail or a shared folder brings them.

An archive holds the book's record and nothing else, with the SHA-256 sums of its files in the
form that `sha256sum -c` reads.
"""

import contextlib
import os
import re
import zipfile
import zlib
from collections.abc import Iterator
from datetime import date
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any

from msgspec import Struct

from fieldbook.book.book import read_facts
from fieldbook.book.disk import force, sync_folder, write_file
from fieldbook.book.entry import clean
from fieldbook.book.layout import JOURNAL, MARK, SEASON, SET_APART, book_seasons
from fieldbook.errors import BookError, Exit
from fieldbook.i18n import _

if TYPE_CHECKING:
    from importlib.resources.abc import Traversable

SUMS = "SHA256SUMS"

DAYS_KEPT = 14
"""Daily copies that are kept; of older ones the last of each month."""

# What a book is made of. Nothing else goes into an archive, and nothing else comes out of one:
# a name in somebody's zip is not a path to write to.
_RECORD = re.compile(
    rf"{re.escape(MARK)}|{SEASON}/(checklist\.toml|({SET_APART}/)?desk-[^/\\:]*\.jsonl)"
)
_DAMAGED = (OSError, EOFError, RuntimeError, ValueError, zipfile.BadZipFile, zlib.error)
"""What reading a damaged, encrypted or unknown kind of zip raises."""

_EPOCH = (1980, 1, 1, 0, 0, 0)  # the same book makes the same archive
_DEPTH = 3


class Copy:
    """A copy of a book to read from.

    Args:
        path: Its folder, a zip of it, or a folder or zip that holds it somewhere inside.

    Attributes:
        facts: What its `book.toml` says.

    Raises:
        BookError: There is no book there.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        if not path.exists():
            raise BookError(
                _("There is nothing at {path}.").format(path=path),
                _("See that the stick or the shared folder is there, and check the path."),
                Exit.BOOK,
            )
        books = list(_find_books(_traversable(path), _DEPTH))
        if not books:
            raise BookError(
                _("There is no book in {path}.").format(path=path),
                _("Name the book's folder, or a zip made with fieldbook export --archive."),
                Exit.BOOK,
            )
        if len(books) > 1:
            places = ", ".join(clean(str(book), one_line=True) for book in books)
            raise BookError(
                _("Several books lie in {path}.").format(path=path),
                _("Name one of them: {places}.").format(places=places),
            )
        (self._root,) = books
        try:
            self.facts: dict[str, Any] = read_facts(self._root)
        except _DAMAGED as error:
            raise unreadable(path, error) from error

    @property
    def seasons(self) -> list[int]:
        """The years it has a season for, oldest first."""
        return book_seasons(self._root)

    def journals(self, year: int) -> Iterator[tuple[str, bytes | BookError]]:
        """Name and bytes of each journal of a season; instead of bytes, why it cannot be read."""
        folder = self._root / str(year)
        for child in sorted(folder.iterdir(), key=lambda child: child.name):
            name = f"{year}/{child.name}"
            if re.fullmatch(JOURNAL, child.name):
                try:
                    yield name, child.read_bytes()
                except _DAMAGED as error:
                    yield name, unreadable(self.path / name, error)


def _traversable(path: Path) -> "Traversable":
    if path.is_file():
        try:
            return zipfile.Path(zipfile.ZipFile(path))
        except _DAMAGED as error:
            raise unreadable(path, error) from error
    return path


def _find_books(folder: "Traversable", depth: int) -> "Iterator[Traversable]":
    """The books at a place or below it: a zip of a folder holds the folder."""
    if not folder.is_dir():
        return
    if (folder / MARK).is_file():
        yield folder
    elif depth:
        for child in sorted(folder.iterdir(), key=lambda child: child.name):
            yield from _find_books(child, depth - 1)


def unreadable(path: Path, error: Exception) -> BookError:
    why = (isinstance(error, OSError) and error.strerror) or error
    return BookError(
        _("Cannot read {path}: {why}.").format(path=path, why=why),
        _("Take the copy again from where it came, or take another copy."),
        Exit.BOOK,
    )


# --- out and in -------------------------------------------------------------------------------


class Archived(Struct, frozen=True):
    """What an archive holds.

    Attributes:
        path: Where it is, or where it was restored to.
        files: How many files of the book's record.
        lines: How many lines their journals have.
        left_out: Files that belong to no book and stayed in the archive.
        summed: Whether the archive had a list of sums to check against.
    """

    path: Path
    files: int
    lines: int
    left_out: tuple[str, ...] = ()
    summed: bool = True


def archive(book: Path, out: Path) -> Archived:
    """Write a book's record into a zip and read it back.

    Args:
        book: The book's folder.
        out: The zip, which must not be there yet.

    Raises:
        BookError: It is there already, cannot be written, or does not read back as written.
    """
    if out.exists():
        raise BookError(
            _("{path} is there already.").format(path=out), _("Name another file with --out.")
        )
    try:
        return _archive(_record(book), out)
    except OSError as error:
        raise BookError(
            _("Cannot make {path}: {why}.").format(
                path=error.filename or out, why=error.strerror or error
            ),
            _("Name a file with --out in a folder that has room and that you may write to."),
            Exit.BOOK,
        ) from error


def _record(book: Path) -> dict[str, bytes]:
    """The files a book is made of, by name in order."""
    read_facts(book)
    paths = [book / MARK]
    for year in book_seasons(book):
        paths += (book / str(year)).rglob("*")
    named = {path.relative_to(book).as_posix(): path for path in paths if path.is_file()}
    return {name: named[name].read_bytes() for name in sorted(named) if _RECORD.fullmatch(name)}


def _sums(record: dict[str, bytes]) -> bytes:
    return "".join(f"{sha256(data).hexdigest()}  {n}\n" for n, data in record.items()).encode()


def _archive(record: dict[str, bytes], out: Path) -> Archived:
    fresh = out.with_name(f"{out.name}.{os.getpid()}.new")
    try:
        with fresh.open("xb") as file:
            with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as copy:
                for name, data in {**record, SUMS: _sums(record)}.items():
                    info = zipfile.ZipInfo(name, _EPOCH)
                    info.compress_type = zipfile.ZIP_DEFLATED
                    info.create_system = 3  # or the system it was made on would show
                    info.external_attr = 0o644 << 16
                    copy.writestr(info, data)
            file.flush()
            force(file.fileno())
        found, _left, _summed = _read_archive(fresh)
        if found != record:
            raise OSError(_("it does not read back as it was written"))
        fresh.replace(out)
        sync_folder(out.resolve().parent)
    finally:
        fresh.unlink(missing_ok=True)
    return Archived(out, len(record), _lines(record))


def _lines(record: dict[str, bytes]) -> int:
    return sum(data.count(b"\n") for name, data in record.items() if name.endswith(".jsonl"))


def _read_archive(path: Path) -> tuple[dict[str, bytes], tuple[str, ...], bool]:
    """The book's files in a zip, the names of others, and whether there were sums to check.

    Raises:
        BookError: It is no zip, holds no book, or something in it is not as it was.
    """
    try:
        with zipfile.ZipFile(path) as copy:
            names = [info.filename for info in copy.infolist() if not info.is_dir()]
            marks = sorted((n for n in names if n.split("/")[-1] == MARK), key=lambda n: len(n))
            root = marks[0].removesuffix(MARK) if marks else ""
            inside = {n.removeprefix(root): n for n in names if n.startswith(root)}
            record = {n: copy.read(inside[n]) for n in sorted(inside) if _RECORD.fullmatch(n)}
            sums = copy.read(inside[SUMS]) if SUMS in inside else None
    except _DAMAGED as error:
        raise unreadable(path, error) from error
    if MARK not in record:
        raise BookError(
            _("There is no book in {path}.").format(path=path),
            _("Name a zip made with fieldbook export --archive."),
            Exit.BOOK,
        )
    if sums is not None and sums != _sums(record):
        there = set(_sums(record).decode().splitlines())
        wrong = [line for line in sums.decode("utf-8", "replace").splitlines() if line not in there]
        damaged = [clean(line.partition("  ")[2], one_line=True) for line in wrong] or [SUMS]
        raise BookError(
            _("{path} is damaged: {names} is not as it was copied.").format(
                path=path, names=", ".join(damaged)
            ),
            _("Take another copy; what can be read of this one comes in with fieldbook merge."),
            Exit.BOOK,
        )
    taken = {inside[name] for name in (*record, SUMS) if name in inside}
    left = tuple(sorted(set(names) - taken))
    return record, left, sums is not None


def restore(copy: Path, folder: Path) -> Archived:
    """Make a book's folder out of an archive, and read it back.

    Args:
        copy: The zip.
        folder: A folder that does not exist yet or is empty.

    Raises:
        BookError: The archive is damaged, or the folder is in use or cannot be written.
    """
    record, left_out, summed = _read_archive(copy)
    whole = folder.resolve()
    fresh = whole.with_name(f"{whole.name}.{os.getpid()}.new")
    moved: list[Path] = []
    try:
        if whole.exists() and any(whole.iterdir()):
            raise BookError(
                _("{path} is in use: a book is restored to an empty folder.").format(path=folder),
                _("Name a folder that does not exist yet."),
            )
        for name, data in record.items():
            (fresh / name).parent.mkdir(parents=True, exist_ok=True)
            write_file(fresh / name, data)
        if _record(fresh) != record:
            raise OSError(_("it does not read back as it was written"))
        if whole.exists():  # perhaps we stand in it: it must stay the folder it is
            for child in sorted(fresh.iterdir(), key=lambda child: child.name == MARK):
                moved.append(child.rename(whole / child.name))
            sync_folder(whole)
        else:
            fresh.rename(whole)
        sync_folder(whole.parent)
    except OSError as error:
        raise BookError(
            _("Cannot restore to {path}: {why}.").format(
                path=error.filename or folder, why=error.strerror or error
            ),
            _("Name a folder on a disk that has room and that you may write to."),
            Exit.BOOK,
        ) from error
    finally:
        if whole / MARK not in moved:  # it moves last: what came before is no book yet
            for part in moved:
                _remove(part)
        _remove(fresh)
    return Archived(folder, len(record), _lines(record), left_out, summed)


def _remove(folder: Path) -> None:
    import shutil

    shutil.rmtree(folder, ignore_errors=True)


# --- every day --------------------------------------------------------------------------------


def keep_daily_copy(book: Path, desk: str, day: date) -> Path | None:
    """Keep a copy of a book as it is on a day, beside it or where its `book.toml` says.

    Args:
        book: The book's folder.
        desk: Code of the desk whose copy it is: others may keep theirs at the same place.
        day: Today.

    Returns:
        The new copy; None if the day has one, nothing changed since the last, or none is wanted.

    Raises:
        BookError: It cannot be written.
        OSError: The same, where the system says why.
    """
    place = read_facts(book).get("copies")
    if place == "":
        return None
    whole = book.resolve()
    folder = whole / Path(place).expanduser() if place else whole.with_name(f"{whole.name}-copies")
    stem = f"{whole.name}-{desk}"
    out = folder / f"{stem}-{day}.zip"
    if out.exists():
        return None
    folder.mkdir(exist_ok=True)  # in a place that is there: a stick that is out is no folder
    record = _record(book)
    kept = _kept(folder, stem)
    if kept and _sums_in(kept[-1]) == _sums(record):
        return None
    _archive(record, out)
    for old in _superfluous([*kept, out]):
        with contextlib.suppress(OSError):
            old.unlink()
    return out


def _kept(folder: Path, stem: str) -> list[Path]:
    """Daily copies of a desk, oldest first."""
    days = "[0-9]" * 4 + "-[01][0-9]-[0-3][0-9]"
    return sorted(
        p for p in folder.glob("*.zip") if re.fullmatch(f"{re.escape(stem)}-{days}", p.stem)
    )


def _superfluous(kept: list[Path]) -> list[Path]:
    """Copies older than the newest few that are not the last of their month."""
    last_of_month = {path.stem[:-3]: path for path in kept}
    return [path for path in kept[:-DAYS_KEPT] if last_of_month[path.stem[:-3]] != path]


def _sums_in(copy: Path) -> bytes:
    with (
        contextlib.suppress(KeyError, *_DAMAGED),
        zipfile.ZipFile(copy) as zipped,
    ):
        return zipped.read(SUMS)
    return b""
