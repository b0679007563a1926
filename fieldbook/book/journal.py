"""One season's journals as a TinyDB store that only ever appends.

A season is a folder with one journal per desk. TinyDB asks a storage to read and write a whole
database; here `read` hands out the entries of every journal, and nothing rewrites a file: the
table appends the lines it is given and returns when they are on disk. TinyDB's hooks for this
are its `Storage` base class, `table_class` and `document_id_class`.
"""

import contextlib
import os
import re
import threading
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NoReturn, cast

from tinydb import TinyDB
from tinydb.storages import Storage
from tinydb.table import Table

from fieldbook.book.codec import NewerLine, UnreadableLine, decode, encode
from fieldbook.book.entry import AnyEntry
from fieldbook.book.lock import locked
from fieldbook.errors import NotSaved
from fieldbook.i18n import _

TABLE = "entries"

_APPEND = os.O_RDWR | os.O_APPEND | os.O_CREAT | getattr(os, "O_BINARY", 0)

# The id and tick of a line that is not read: its number is taken, whatever became of it.
_ID = re.compile(rb'"id":"([a-z0-9]{5})-([1-9][0-9]{0,8})"')
_TICK = re.compile(rb'"tick":([0-9]{1,15})')


@dataclass(frozen=True, slots=True)
class Problem:
    """Something in a book that is not as it should be, and what to do about it.

    Attributes:
        where: File and place in it, or the entry.
        what: What is wrong.
        advice: The next step.
        grave: False for information that asks for no action.
    """

    where: str
    what: str
    advice: str = ""
    grave: bool = True


class JournalStorage(Storage):
    """The journals of one season's folder; appends go to the journal of one desk.

    Args:
        folder: The season's folder.
        desk: Code of the desk that writes, or None for reading only.

    Attributes:
        entries: Every entry that counts, by id.
        order: The same: those read at first in fold order, later ones as they came.
        tick: The largest tick seen.
    """

    def __init__(self, folder: Path, desk: str | None) -> None:
        self.folder = folder
        self.desk = desk
        self.entries: dict[str, AnyEntry] = {}
        self.order: list[AnyEntry] = []
        self.tick = 0
        self._numbers: dict[str, set[int]] = {}
        self._highest: dict[str, int] = {}
        self._problems: list[Problem] = []
        self._torn: dict[Path, Problem] = {}
        self._ends: dict[Path, int] = {}
        self._refused: bytes = b""
        self._fd: int | None = None
        self._threads = threading.RLock()
        for path in sorted(folder.glob("desk-*.jsonl")):
            self._read_on(path, path.read_bytes())
        self.order = sorted(self.entries.values(), key=fold_key)
        self.entries = {entry.id: entry for entry in self.order}

    def read(self) -> dict[str, dict[str, Any]]:
        """TinyDB's view: one table of entries by id."""
        return {TABLE: cast("dict[str, Any]", self.entries)}

    def write(self, data: Mapping[str, Any]) -> NoReturn:
        """Never: a journal is not rewritten."""
        raise NotImplementedError("a journal is only ever appended to")

    @property
    def set_apart(self) -> list[Problem]:
        """Lines that do not count, and twins of those that do."""
        return [*self._problems, *self._torn.values()]

    @property
    def problems(self) -> list[Problem]:
        """Lines set apart, and gaps in the numbers."""
        return [*self.set_apart, *self._gaps()]

    @property
    def number(self) -> int:
        """The highest number the desk has given out, to lines that cannot be read too."""
        return self._highest.get(self.desk or "", 0)

    @contextlib.contextmanager
    def writing(self) -> Iterator[None]:
        """Be the only writer of the desk's journal, with all that stands in it in memory.

        Raises:
            NotSaved: The journal cannot be opened, or there is no desk to write with.
        """
        if self.desk is None:
            raise NotSaved(_("This book was opened for reading only."))
        path = self._path(self.desk)
        with self._threads:
            try:
                fd = self._open(path)
            except OSError as error:
                raise _not_saved(path, error) from error
            with locked(fd):
                try:
                    self._catch_up(path, fd)
                except OSError as error:
                    raise _not_saved(path, error) from error
                yield

    def append(self, entries: Iterable[AnyEntry]) -> None:
        """Put entries on disk in one write and one fsync, then into memory.

        Raises:
            ValueError: An entry is over a limit; nothing was written.
            NotSaved: The disk refused; nothing was written.
        """
        batch = list(entries)
        lines = b"".join(encode(entry) + b"\n" for entry in batch)
        with self.writing():
            path = self._path(self.desk or "")
            try:
                self._write(path, lines)
            except OSError as error:
                raise _not_saved(path, error) from error
            for entry in batch:
                self._take_in(entry)

    def close(self) -> None:
        if self._fd is not None:
            os.close(self._fd)
            self._fd = None

    # --- the file ---

    def _path(self, desk: str) -> Path:
        return self.folder / f"desk-{desk}.jsonl"

    def _open(self, path: Path) -> int:
        """The descriptor of the file that stands at the path now; an old one may be unlinked."""
        if self._fd is not None and _same_file(self._fd, path):
            return self._fd
        self.close()
        new = not path.exists()
        if new:
            self._ends.pop(path, None)
            path.parent.mkdir(parents=True, exist_ok=True)
        fd = os.open(path, _APPEND, 0o666)
        if new:
            sync_folder(path.parent)
            sync_folder(path.parent.parent)
        self._fd = fd
        return fd

    def _catch_up(self, path: Path, fd: int) -> None:
        """Read what another window of this desk has appended since."""
        size = os.fstat(fd).st_size
        if self._refused:
            # An earlier write failed and could not be taken back then.
            if _tail(fd, size, len(self._refused)) == self._refused:
                size -= len(self._refused)
                os.ftruncate(fd, size)
            self._refused = b""
        known = self._ends.get(path, 0)
        if size < known:
            known = 0  # somebody rewrote the file: entries read before stay in memory
        if size > known:
            os.lseek(fd, known, os.SEEK_SET)
            self._read_on(path, _read_all(fd, size - known), start=known)

    def _write(self, path: Path, data: bytes) -> None:
        fd = self._open(path)
        end = os.fstat(fd).st_size
        if end and _tail(fd, end, 1) != b"\n":
            data = b"\n" + data  # seal a torn last line: it stays as it is, ours starts afresh
        try:
            view = memoryview(data)
            while view:
                view = view[os.write(fd, view) :]
            os.fsync(fd)
        except OSError:
            # Not saved, so it must not be found later either. The descriptor is given up: after
            # a failed fsync another one on it could claim success for lost pages.
            try:
                os.ftruncate(fd, end)
            except OSError:
                self._refused = data
            self.close()
            raise
        if path in self._torn:
            self._problems.append(self._torn.pop(path))
        self._ends[path] = end + len(data)

    # --- the lines ---

    def _read_on(self, path: Path, data: bytes, *, start: int = 0) -> None:
        """Take in lines that stand in a file from a byte on."""
        whole = data.rfind(b"\n") + 1
        self._ends[path] = start + whole
        self._torn.pop(path, None)
        offset = start
        for raw in data.split(b"\n"):
            line = raw.removesuffix(b"\r")
            problem = self._read_line(path, offset, line) if line.strip() else None
            if problem is not None and offset >= self._ends[path]:
                self._torn[path] = problem  # somebody may be writing it just now
            elif problem is not None:
                self._problems.append(problem)
            offset += len(raw) + 1

    def _read_line(self, path: Path, offset: int, line: bytes) -> Problem | None:
        """Take in one line; say what is wrong with it, if anything."""
        file = f"{path.parent.name}/{path.name}"
        where = _("{file}, byte {offset}").format(file=file, offset=offset)
        try:
            entry = decode(line)
        except NewerLine:
            self._reserve(line)
            what = _("an entry from a newer fieldbook: kept, not counted")
            return Problem(where, what, _("update fieldbook on this laptop"))
        except UnreadableLine as error:
            self._reserve(line)
            what = _("a line that cannot be read is set apart, in no total: {why}")
            advice = _("look at the line; if the work was done, record it again")
            return Problem(where, what.format(why=error), advice)
        twin = self.entries.get(entry.id)
        if twin == entry:
            return None
        if twin is None:
            self._take_in(entry)
            return None
        if encode(entry) > encode(twin):
            self._take_in(entry)
        return Problem(
            where,
            _("entry {id} stands here twice with different content").format(id=entry.id),
            _("both lines are kept, one counts; strike it if it is the wrong one"),
        )

    def _take_in(self, entry: AnyEntry) -> None:
        twin = self.entries.get(entry.id)
        if twin is None:
            self.order.append(entry)
        else:
            self.order = [entry if e is twin else e for e in self.order]
        self.entries[entry.id] = entry
        self.tick = max(self.tick, entry.tick)
        self._count_number(entry.desk, entry.number)

    def _reserve(self, line: bytes) -> None:
        """Never give out again the number and tick of a line that is not counted."""
        if match := _ID.search(line):
            self._count_number(match[1].decode(), int(match[2]))
        if match := _TICK.search(line):
            self.tick = max(self.tick, int(match[1]))

    def _count_number(self, desk: str, number: int) -> None:
        self._numbers.setdefault(desk, set()).add(number)
        self._highest[desk] = max(number, self._highest.get(desk, 0))

    def _gaps(self) -> Iterator[Problem]:
        """Numbers a desk gave out whose lines are not here: information, not an error."""
        for desk, numbers in sorted(self._numbers.items()):
            before = 0
            for number in sorted(numbers):
                first, last = before + 1, number - 1
                before = number
                if first > last:
                    continue
                what = (
                    _("entry {number} of desk {desk} is missing").format(number=last, desk=desk)
                    if first == last
                    else _("entries {first} to {last} of desk {desk} are missing").format(
                        first=first, last=last, desk=desk
                    )
                )
                yield Problem(f"{self.folder.name}/desk-{desk}.jsonl", what, grave=False)


class EntryTable(Table):
    """TinyDB's table over the journals: queries as usual, inserts append, nothing else writes."""

    document_id_class = cast("type[int]", str)  # ids are words here: k7f2q-412
    document_class = cast("Any", staticmethod(lambda entry, _id: entry))  # documents already

    def __init__(self, storage: Storage, name: str, **_kwargs: Any) -> None:
        super().__init__(storage, name, cache_size=0)  # a cached answer would go stale

    @property
    def _journal(self) -> JournalStorage:
        return cast("JournalStorage", self._storage)

    def insert(self, document: Any) -> Any:
        """Append one entry; return its id when it is on disk."""
        return self.insert_multiple([document])[0]

    def insert_multiple(self, documents: Iterable[Any]) -> Any:
        """Append entries together; return their ids when all are on disk."""
        batch: list[AnyEntry] = list(documents)
        self._journal.append(batch)
        return [entry.id for entry in batch]

    def upsert(self, document: Any, cond: Any = None) -> NoReturn:
        raise NotImplementedError("entries are never changed: strike them")

    def _read_table(self) -> dict[str, Mapping[str, Any]]:
        return cast("dict[str, Mapping[str, Any]]", self._journal.entries)

    def _update_table(self, updater: Callable[[dict[int, Mapping[str, Any]]], None]) -> NoReturn:
        raise NotImplementedError("entries are never changed or removed: strike them")


class JournalDB(TinyDB):
    """A TinyDB whose one table is a season's entries."""

    table_class = cast("Any", EntryTable)
    default_table_name = TABLE
    default_storage_class = cast("Any", JournalStorage)

    def drop_tables(self) -> NoReturn:
        raise NotImplementedError("a journal is never dropped")

    def drop_table(self, name: str) -> NoReturn:
        raise NotImplementedError("a journal is never dropped")


def fold_key(entry: AnyEntry) -> tuple[int, str, int]:
    """Order of entries: the same on every machine, in whatever order lines arrived."""
    return entry.tick, entry.desk, entry.number


def sync_folder(folder: Path) -> None:
    """Make a new name in a folder durable; on Windows folders cannot be opened for that."""
    if os.name == "nt":
        return
    fd = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(fd)
    finally:
        os.close(fd)


def _not_saved(path: Path, error: OSError) -> NotSaved:
    return NotSaved(
        _("Not saved: {why} ({path}).").format(why=error.strerror or error, path=path),
        _("What you typed is still here: make room or give access, then try again."),
    )


def _same_file(fd: int, path: Path) -> bool:
    try:
        return os.path.samestat(os.fstat(fd), path.stat())
    except OSError:
        return False


def _tail(fd: int, size: int, length: int) -> bytes:
    """The last bytes of a file of a size."""
    os.lseek(fd, max(0, size - length), os.SEEK_SET)
    return _read_all(fd, length)


def _read_all(fd: int, length: int) -> bytes:
    data = b""
    while len(data) < length and (more := os.read(fd, length - len(data))):
        data += more
    return data
