"""The journals of one season: one per desk, read together, appended to by the desk that writes.

Files are only ever appended to; what another window, a merge, an editor or a syncing service did
to them meanwhile is found by comparing them with what was read. What this desk was told is saved
and a file has lost since, is written again.
"""

import contextlib
import os
import re
import threading
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from fieldbook.book.append import FILES, Appender, Replaced, Unsure, not_saved, read_at
from fieldbook.book.codec import encode, label
from fieldbook.book.entry import AnyEntry, Strike
from fieldbook.book.lines import Lines, Problem
from fieldbook.errors import NotSaved
from fieldbook.i18n import _, ngettext

SET_APART = "set-apart"
"""Folder of a season's damaged lines that a repair moved aside."""

_CHUNK = 1 << 22
_TAIL = 64
_OPEN_TO_READ = os.O_RDONLY | getattr(os, "O_BINARY", 0)


class _Mark(Struct, frozen=True):
    """How far a file was read, and by what to tell that this much of it still stands there.

    Attributes:
        file: Device and inode.
        size: Bytes read.
        changed_ns: When it was last changed.
        whole: Where the last line begins if it has no end yet; else the size.
        tail: The last bytes read.
    """

    file: tuple[int, int]
    size: int
    changed_ns: int
    whole: int
    tail: bytes

    @classmethod
    def of(cls, fd: int, size: int, whole: int) -> "_Mark":
        """The mark of an open file that was read up to a size."""
        tail = read_at(fd, max(0, size - _TAIL), min(_TAIL, size))
        status = os.fstat(fd)
        return cls((status.st_dev, status.st_ino), size, status.st_mtime_ns, whole, tail)

    def stands(self, status: os.stat_result) -> bool:
        """Whether nothing happened to the file."""
        return (self.file, self.size, self.changed_ns) == (
            (status.st_dev, status.st_ino),
            status.st_size,
            status.st_mtime_ns,
        )

    def grew(self, status: os.stat_result, fd: int) -> bool:
        """Whether the file is what was read, with more at its end."""
        same = self.file == (status.st_dev, status.st_ino) and status.st_size >= self.size
        start = self.size - len(self.tail)
        return same and read_at(fd, start, len(self.tail)) == self.tail


class Journal:
    """A season's journals.

    Args:
        folder: The season's folder.
        desk: Code of the desk that writes, or None for reading only.

    Attributes:
        lines: What was read and written so far.
        put_back: Entries that a file had lost and that were written again.
    """

    def __init__(self, folder: Path, desk: str | None) -> None:
        self.folder = folder
        self.lines = Lines()
        self.put_back = 0
        self._desk = desk
        self._appender = Appender(folder, desk) if desk else None
        self._marks: dict[Path, _Mark] = {}
        self._rewritten = False
        self._unsure: list[str] = []
        self._threads = threading.RLock()
        for _path, lines in self._moved_aside():
            self.lines.reserve(lines)
        self._read_files()
        self.lines.settle()

    @property
    def desk(self) -> str | None:
        return self._desk

    @desk.setter
    def desk(self, desk: str) -> None:
        self.close()
        self._desk = desk
        self._appender = Appender(self.folder, desk)

    def close(self) -> None:
        if self._appender is not None:
            self._appender.close()

    # --- reading ---

    def catch_up(self) -> bool:
        """Read what others have written since; write again what a file has lost.

        Returns:
            Whether anything about the season's lines changed.

        Raises:
            OSError: A file cannot be read.
            NotSaved: What was lost cannot be written again now; it is tried again each time.
        """
        with self._threads:
            before = (len(self.lines.order), self.lines.shuffles, self.lines.wanting)
            self._read_files()
            self.lines.settle()
            if self._rewritten and self._appender is not None:
                with self._writing() as appender:
                    self._save(appender, [])
            return before != (len(self.lines.order), self.lines.shuffles, self.lines.wanting)

    def _moved_aside(self) -> Iterator[tuple[Path, list[bytes]]]:
        """Lines that a repair has moved out of a journal."""
        for path in sorted(self.folder.glob(f"{SET_APART}/{FILES}")):
            yield path, [line for line in path.read_bytes().split(b"\n") if line]

    def moved_aside(self) -> Iterator[Problem]:
        """Where the lines are that a repair has moved, and which entries of theirs are missing."""
        for path, lines in self._moved_aside():
            ids = sorted({label(line)[0] for line in lines} - {""} - self.lines.entries.keys())
            what = ngettext("{n} line was moved here", "{n} lines were moved here", len(lines))
            advice = _("nothing to do: no entry is missing for it")
            if ids:
                advice = _("not in the book: {ids}; if the work was done, record it again").format(
                    ids=", ".join(ids)
                )
            where = f"{self.folder.name}/{SET_APART}/{path.name}"
            yield Problem(where, what.format(n=len(lines)), advice, grave=False)

    def _read_files(self) -> None:
        paths = sorted(self.folder.glob(FILES))
        for path in self._marks.keys() - set(paths):
            self._lost(path)
        for path in paths:
            mark = self._marks.get(path)
            try:
                if mark is not None and mark.stands(path.stat()):
                    continue
                fd = os.open(path, _OPEN_TO_READ)
            except FileNotFoundError:
                continue  # just being replaced
            try:
                self._read_news(path, fd)
            except OSError as error:
                error.filename = str(path)
                raise
            finally:
                os.close(fd)

    def _lost(self, path: Path) -> None:
        """A file is gone, or is not what it was."""
        del self._marks[path]
        self.lines.forget(self._name(path))
        self._rewritten = True

    def _read_news(self, path: Path, fd: int) -> None:
        """Take in what stands in a file and was not read yet."""
        status, mark, name = os.fstat(fd), self._marks.get(path), self._name(path)
        if mark is not None and not mark.grew(status, fd):
            self._lost(path)
            mark = None
        elif mark is not None and mark.size == status.st_size and not mark.stands(status):
            self._lost(path)  # changed somewhere in the middle
            mark = None
        start = offset = mark.whole if mark is not None else 0
        self.lines.forget_from(name, start)
        rest = b""
        while data := read_at(fd, offset, _CHUNK):
            offset += len(data)
            data = rest + data
            whole = data.rfind(b"\n") + 1
            self.lines.read(name, data[:whole], start)
            start, rest = start + whole, data[whole:]
        if rest:
            self.lines.read(name, rest, start)
        self._marks[path] = _Mark.of(fd, offset, start)

    def _name(self, path: Path) -> str:
        return f"{path.parent.name}/{path.name}"

    # --- writing ---

    def record(self, drafts: Sequence[AnyEntry]) -> tuple[AnyEntry, ...]:
        """Give drafts the desk's next numbers and ticks and put them on disk, all or none.

        Raises:
            ValueError: An entry is over a limit; nothing was written.
            NotSaved: The disk refused; nothing of it counts.
        """
        with self._writing() as appender:
            number, tick = self.lines.highest(appender.desk), self.lines.tick
            strikes = self._strikes(drafts[0]) if drafts else []
            entries = tuple(
                replace(draft, id=f"{appender.desk}-{number + i}", tick=tick + i)
                for i, draft in enumerate([*strikes, *drafts], start=1)
            )
            self._save(appender, entries)
            self._unsure.clear()
        return entries[len(strikes) :]

    def append(self, entries: Iterable[AnyEntry]) -> None:
        """Put entries that have their numbers on disk. Errors as `record`."""
        with self._writing() as appender:
            self._save(appender, list(entries))

    @contextlib.contextmanager
    def _writing(self) -> Iterator[Appender]:
        """Be the only writer of the desk, with all it has written so far in memory."""
        appender = self._appender
        if appender is None:
            raise NotSaved(_("This book was opened for reading only."))
        with self._threads, appender.held():
            try:
                self._read_own(appender)
            except OSError as error:
                raise not_saved(appender.path, error) from error
            yield appender

    def _read_own(self, appender: Appender) -> None:
        """Read what other windows of this desk have written, and see that ours still stands."""
        path = appender.path
        fd = appender.open(path)
        mark, status = self._marks.get(path), os.fstat(fd)
        others = (p for p in self._marks if p != path and desk_of(p) == appender.desk)
        if mark is None or not all(map(self._stands, others)):
            self._read_files()
        elif not (mark.stands(status) and mark.grew(status, fd)):
            self._read_news(path, fd)

    def _stands(self, path: Path) -> bool:
        try:
            return self._marks[path].stands(path.stat())
        except OSError:
            return False

    def _save(self, appender: Appender, entries: Sequence[AnyEntry]) -> None:
        """Put entries, and those that were lost, on disk; then into memory."""
        data = b"".join(encode(entry) + b"\n" for entry in entries)
        while True:
            lost = self._missing() if self._rewritten else []
            path = appender.path
            try:
                if lost or data:
                    fd = appender.append(b"".join(encode(e) + b"\n" for e in lost) + data)
            except Replaced:
                self._rewritten = True
                continue
            except OSError as error:
                if isinstance(error, Unsure):
                    self._unsure += [entry.id for entry in entries]
                    self.lines.reserve(data.split(b"\n"))
                raise not_saved(path, error) from error
            break
        self._rewritten = False
        self.put_back += len(lost)
        for entry in entries:
            self.lines.take_in(entry)
        if lost or data:
            size = os.fstat(fd).st_size
            self._marks[path] = _Mark.of(fd, size, size)

    def _missing(self) -> list[AnyEntry]:
        """Entries of this desk that are known to be saved and stand in no file any more."""
        there = Lines()
        for path in self.folder.glob(FILES):
            there.read(path.name, path.read_bytes(), 0)
        return [e for e in self.lines.order if e.desk == self.desk and not there.has(e)]

    def _strikes(self, draft: AnyEntry) -> list[AnyEntry]:
        """Strikes of entries that the disk refused and may show some day all the same."""
        reason = _("the disk did not save it; recorded again")
        return [
            Strike(entry=unsure, reason=reason, at=draft.noted, noted=draft.noted, by=draft.by)
            for unsure in self._unsure
        ]

    # --- the disk ---

    def keep_reserve(self) -> None:
        """Put room by for a full disk."""
        if self._appender is not None:
            self._appender.keep_reserve()

    @property
    def alarms(self) -> list[str]:
        """What must be known about the disk until it is put right."""
        alarms: list[str] = []
        if self._appender is None:
            return alarms
        if self._rewritten:
            alarms.append(_("The journal was changed or taken away: do not close this window."))
        if self._appender.failed:
            alarms.append(
                _(
                    "This disk failed to save. Copy the book to another disk now: "
                    "fieldbook export --archive"
                )
            )
        if self._appender.reserve_used:
            alarms.append(_("The disk is full and the reserve is in use: make room."))
        if self.put_back:
            alarms.append(
                ngettext(
                    "Another program changed the journal: {n} entry was written again.",
                    "Another program changed the journal: {n} entries were written again.",
                    self.put_back,
                ).format(n=self.put_back)
            )
        return alarms


def desk_of(path: Path) -> str:
    """The desk whose journal a file is, by its name; empty if the name tells of none."""
    match = re.match(r"desk-([a-z0-9]{5})\b", path.name)
    return match[1] if match else ""
