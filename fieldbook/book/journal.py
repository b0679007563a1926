"""One season's journals as a TinyDB store that only ever appends.

A season is a folder with one journal per desk. TinyDB asks a storage to read and write a whole
database; here `read` hands out the entries of every journal, and nothing rewrites a file: the
table appends the lines it is given and returns when they are on disk. TinyDB's hooks for this
are its `Storage` base class, `table_class` and `document_id_class`.
"""

import contextlib
import os
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NoReturn, cast

from tinydb import TinyDB
from tinydb.storages import Storage
from tinydb.table import Table

from fieldbook.book.codec import NewerLine, UnreadableLine, decode, encode
from fieldbook.book.entry import AnyEntry
from fieldbook.errors import NotSaved
from fieldbook.i18n import _

TABLE = "entries"

_APPEND = os.O_RDWR | os.O_APPEND | os.O_CREAT | getattr(os, "O_BINARY", 0)


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
        folder: The season's folder; made by the first append.
        desk: Code of the desk that writes, or None for reading only.
    """

    def __init__(self, folder: Path, desk: str | None) -> None:
        self.folder = folder
        self.desk = desk
        self.problems: list[Problem] = []
        self._entries: dict[str, AnyEntry] | None = None
        self._fd: int | None = None

    def read(self) -> dict[str, dict[str, Any]]:
        """Every entry that counts, by id, in fold order: by (tick, desk, number)."""
        return {TABLE: cast("dict[str, Any]", self.entries)}

    @property
    def entries(self) -> dict[str, AnyEntry]:
        """The live entries by id; reads the folder once."""
        if self._entries is None:
            self._entries = self._load()
        return self._entries

    def write(self, data: Mapping[str, Any]) -> NoReturn:
        """Never: a journal is not rewritten."""
        raise NotImplementedError("a journal is only ever appended to")

    def append(self, entries: Iterable[AnyEntry]) -> None:
        """Put entries on disk in one write and one fsync, then into memory.

        Raises:
            ValueError: An entry is over a limit; nothing was written.
            NotSaved: The disk refused; nothing was written.
        """
        batch = list(entries)
        lines = b"".join(encode(entry) + b"\n" for entry in batch)
        known = self.entries
        path = self.folder / f"desk-{self.desk}.jsonl"
        try:
            self._write(path, lines)
        except OSError as error:
            raise NotSaved(
                _("Not saved: {path}: {why}.").format(path=path, why=error.strerror or error),
                _("What you typed is still here: make room or give access, then try again."),
            ) from error
        known.update((entry.id, entry) for entry in batch)

    def close(self) -> None:
        if self._fd is not None:
            os.close(self._fd)
            self._fd = None

    def _write(self, path: Path, data: bytes) -> None:
        if self._fd is None:
            self._fd = _open_journal(path)
        end = os.lseek(self._fd, 0, os.SEEK_END)
        if end and _last_byte(self._fd) != b"\n":
            data = b"\n" + data  # seal a torn last line: it stays as it is, ours starts afresh
        try:
            view = memoryview(data)
            while view:
                view = view[os.write(self._fd, view) :]
            os.fsync(self._fd)
        except OSError:
            # Not saved, so it must not be found later either. The descriptor is given up: after
            # a failed fsync another one on it could claim success for lost pages.
            with contextlib.suppress(OSError):
                os.ftruncate(self._fd, end)
            self.close()
            raise

    def _load(self) -> dict[str, AnyEntry]:
        found: dict[str, AnyEntry] = {}
        lines: dict[str, bytes] = {}
        for path in sorted(self.folder.glob("desk-*.jsonl")):
            where = f"{path.parent.name}/{path.name}"
            for offset, line in _lines(path.read_bytes()):
                place = _("{file}, byte {offset}").format(file=where, offset=offset)
                try:
                    entry = decode(line)
                except NewerLine:
                    self.problems.append(
                        Problem(
                            place,
                            _("an entry from a newer fieldbook: kept, not counted"),
                            _("update fieldbook on this laptop"),
                        )
                    )
                    continue
                except UnreadableLine as error:
                    self.problems.append(
                        Problem(
                            place,
                            _("a line that cannot be read is set apart, in no total: {why}").format(
                                why=error
                            ),
                            _("look at the line; if the work was done, record it again"),
                        )
                    )
                    continue
                twin = lines.get(entry.id)
                if twin is not None and twin != line:
                    self.problems.append(
                        Problem(
                            place,
                            _("entry {id} stands here twice with different content").format(
                                id=entry.id
                            ),
                            _("both lines are kept, one counts; strike it if it is the wrong one"),
                        )
                    )
                    if line < twin:
                        continue
                lines[entry.id] = line
                found[entry.id] = entry
        self._note_gaps(found.values())
        return {entry.id: entry for entry in sorted(found.values(), key=fold_key)}

    def _note_gaps(self, entries: Iterable[AnyEntry]) -> None:
        numbers: dict[str, set[int]] = {}
        for entry in entries:
            numbers.setdefault(entry.desk, set()).add(entry.number)
        for desk, seen in sorted(numbers.items()):
            for missing in sorted(set(range(1, max(seen))) - seen):
                self.problems.append(
                    Problem(
                        f"{self.folder.name}/desk-{desk}.jsonl",
                        _("entry {number} of desk {desk} is missing").format(
                            number=missing, desk=desk
                        ),
                        grave=False,
                    )
                )


class EntryTable(Table):
    """TinyDB's table over the journals: queries as usual, inserts append, nothing else writes."""

    document_id_class = cast("type[int]", str)  # ids are words here: k7f2q-412
    document_class = cast("Any", staticmethod(lambda entry, _id: entry))  # documents already
    default_query_cache_capacity = 0  # a cached answer would go stale as journals grow

    def insert(self, document: Any) -> Any:
        """Append one entry; return its id when it is on disk."""
        return self.insert_multiple([document])[0]

    def insert_multiple(self, documents: Iterable[Any]) -> Any:
        """Append entries together; return their ids when all are on disk."""
        batch: list[AnyEntry] = list(documents)
        cast("JournalStorage", self._storage).append(batch)
        return [entry.id for entry in batch]

    def _read_table(self) -> dict[str, Mapping[str, Any]]:
        return cast("dict[str, Mapping[str, Any]]", cast("JournalStorage", self._storage).entries)

    def _update_table(self, updater: Callable[[dict[int, Mapping[str, Any]]], None]) -> NoReturn:
        raise NotImplementedError("entries are never changed or removed: strike them")


class JournalDB(TinyDB):
    """A TinyDB whose one table is a season's entries."""

    table_class = EntryTable
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


def _open_journal(path: Path) -> int:
    new = not path.exists()
    path.parent.mkdir(parents=True, exist_ok=True)
    fd = os.open(path, _APPEND, 0o666)
    if new:
        sync_folder(path.parent)
        sync_folder(path.parent.parent)
    return fd


def _last_byte(fd: int) -> bytes:
    os.lseek(fd, -1, os.SEEK_END)
    return os.read(fd, 1)


def _lines(data: bytes) -> Iterator[tuple[int, bytes]]:
    """Lines with their byte offsets; blank lines and a CR before the LF are passed over."""
    offset = 0
    for raw in data.split(b"\n"):
        line = raw.removesuffix(b"\r")
        if line.strip():
            yield offset, line
        offset += len(raw) + 1
