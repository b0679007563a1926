"""The journals of one season: one per desk, read together, appended to by the desk that writes.

Files are only ever appended to; what another window, a merge, an editor or a syncing service did
to them meanwhile is found by comparing them with what was read. What this desk was told is saved
and a file has lost since, is written again.
"""

import contextlib
import os
import threading
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from zlib import crc32

from msgspec import Struct
from msgspec.structs import replace

from fieldbook.book.append import (
    ROUNDS,
    Again,
    Appender,
    Unsure,
    append_lines,
    not_saved,
    restless,
)
from fieldbook.book.codec import encode, label
from fieldbook.book.disk import read_at
from fieldbook.book.entry import AnyEntry, Strike, clean
from fieldbook.book.layout import SET_APART, desk_of, journals
from fieldbook.book.lines import Lines, Problem
from fieldbook.errors import NotSaved
from fieldbook.i18n import _, ngettext

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
        crc: CRC-32 of all bytes read.
        proved: Every byte was seen as it is; after an append of ours, it is not yet.
    """

    file: tuple[int, int] = (0, 0)
    size: int = 0
    changed_ns: int = 0
    whole: int = 0
    tail: bytes = b""
    crc: int = 0
    proved: bool = True

    def further(
        self, data: bytes, status: os.stat_result, *, rest: int = 0, proved: bool = True
    ) -> "_Mark":
        """The mark after more bytes, the last of which (`rest`) are no whole line yet."""
        file, size = (status.st_dev, status.st_ino), self.size + len(data)
        tail = (self.tail + data[-_TAIL:])[-_TAIL:]
        crc = crc32(data, self.crc)
        return _Mark(file, size, status.st_mtime_ns, size - rest, tail, crc, proved)

    def stands(self, status: os.stat_result) -> bool:
        """Whether nothing happened to the file."""
        as_read = (self.size, self.changed_ns) == (status.st_size, status.st_mtime_ns)
        return as_read and self.is_of(status)

    def is_of(self, status: os.stat_result) -> bool:
        """Whether it is the same file, whatever stands in it."""
        return self.file == (status.st_dev, status.st_ino)

    def ends(self, fd: int) -> bool:
        """Whether the last bytes read are there still."""
        return read_at(fd, self.size - len(self.tail), len(self.tail)) == self.tail

    def holds(self, fd: int, *, to_the_letter: bool) -> bool:
        """Whether all that was read is there still.

        Args:
            fd: Of the file.
            to_the_letter: Look at every byte, not at the last ones only.
        """
        return self.ends(fd) and (not to_the_letter or self.crc == _crc_of(fd, self.size))


def _crc_of(fd: int, size: int) -> int:
    crc = offset = 0
    while offset < size and (data := read_at(fd, offset, min(_CHUNK, size - offset))):
        crc = crc32(data, crc)
        offset += len(data)
    return crc


class Journal:
    """A season's journals.

    Args:
        folder: The season's folder.
        desk: Code of the desk that writes, or None for reading only.

    Attributes:
        lines: What was read and written so far.
        restored: Entries that a file had lost and that were written again.
    """

    def __init__(self, folder: Path, desk: str | None) -> None:
        self.folder = folder
        self.lines = Lines()
        self.restored = 0
        self._desk = desk
        self._appender = Appender(folder, desk) if desk else None
        self._marks: dict[str, _Mark] = {}  # by the name of the file
        self._rewritten: set[str] = set()
        self._unsure: list[AnyEntry] = []
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
            before = self._seen
            self._see_that_it_is_home()
            self._read_files()
            self.lines.settle()
            if self._rewritten and self._appender is not None:
                self._put_back()
            appender = self._appender
            if appender is not None and (appender.reserve_used or appender.crowded):
                appender.keep_reserve()  # there may be room again
            return before != self._seen

    @property
    def _seen(self) -> tuple[int, int, int]:
        """What changes when lines come in."""
        return len(self.lines.order), self.lines.shuffles, self.lines.all_apart

    def _see_that_it_is_home(self) -> None:
        """Where a file changed, the whole book may be another: neither read nor write that one."""
        appender = self._appender
        if appender is None or all(map(self._stands, self._marks)) or appender.is_home():
            return
        self._rewritten.update(map(desk_of, self._marks))
        raise appender.gone()

    @property
    def at_risk(self) -> int:
        """Entries that are in this window only: lost by a file, and not to be put back now."""
        with contextlib.suppress(OSError, NotSaved):
            self.catch_up()
        if not self._rewritten:
            return 0
        with contextlib.suppress(OSError):
            if self._appender is None or self._appender.is_home():
                return sum(len(self._missing(desk)) for desk in self._rewritten)
        return len(self.lines.order)

    def _moved_aside(self) -> Iterator[tuple[Path, list[bytes]]]:
        """Lines that a repair has moved out of a journal."""
        for path in journals(self.folder / SET_APART):
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
            where = f"{self.folder.name}/{SET_APART}/{clean(path.name, one_line=True)}"
            yield Problem(where, what.format(n=len(lines)), advice, grave=False)

    def _read_files(self) -> None:
        paths = {path.name: path for path in journals(self.folder)}
        for name in self._marks.keys() - paths.keys():
            self._lost(name)
        for name, path in paths.items():
            mark = self._marks.get(name)
            try:
                if mark is not None and mark.proved and mark.stands(path.stat()):
                    continue
                fd = os.open(path, _OPEN_TO_READ)
            except FileNotFoundError:
                continue  # just being replaced
            try:
                self._read_news(name, fd)
            except OSError as error:
                error.filename = str(path)
                raise
            finally:
                os.close(fd)

    def _lost(self, name: str) -> None:
        """A file is gone, or is not what it was."""
        del self._marks[name]
        self.lines.forget(self._told(name))
        self._rewritten.add(desk_of(name))

    def _read_news(self, name: str, fd: int) -> None:
        """Take in what stands in a file and was not read yet."""
        status, mark, file = os.fstat(fd), self._marks.get(name), self._told(name)
        if mark is not None:
            # What this desk was told is saved is proved byte by byte; of others the end will do.
            grew = mark.is_of(status) and status.st_size >= mark.size
            careful = desk_of(name) == self.desk or status.st_size == mark.size
            if not (grew and mark.holds(fd, to_the_letter=careful)):
                self._lost(name)
                mark = None
        mark = mark or _Mark()
        start = mark.whole
        rest = read_at(fd, start, mark.size - start)
        self.lines.forget_from(file, start)
        while data := read_at(fd, mark.size, _CHUNK):
            lines = rest + data
            whole = lines.rfind(b"\n") + 1
            self.lines.read(file, lines[:whole], start)
            start, rest = start + whole, lines[whole:]
            mark = mark.further(data, status, rest=len(rest))
        if rest:
            self.lines.read(file, rest, start)
        # With the time from before: what happened to the file meanwhile is seen the next time.
        self._marks[name] = mark.further(b"", status, rest=len(rest))

    def _told(self, name: str) -> str:
        """A file as people are told of it."""
        return f"{self.folder.name}/{clean(name, one_line=True)}"

    # --- writing ---

    def record(self, drafts: Sequence[AnyEntry]) -> tuple[AnyEntry, ...]:
        """Give drafts the desk's next numbers and ticks and put them on disk, all or none.

        Raises:
            ValueError: An entry is over a limit; nothing was written.
            NotSaved: The disk refused; nothing of it counts.
        """
        if not drafts:
            return ()
        entries = self._write(lambda desk: self._numbered(desk, drafts))
        self._unsure.clear()
        return entries[len(entries) - len(drafts) :]

    def append(self, entries: Iterable[AnyEntry]) -> None:
        """Put entries that have their numbers on disk. Errors as `record`."""
        batch = tuple(entries)
        self._write(lambda _desk: batch)

    def _numbered(self, desk: str, drafts: Sequence[AnyEntry]) -> tuple[AnyEntry, ...]:
        strikes = self._strikes(drafts[0])
        number, tick = self.lines.highest(desk), self.lines.tick
        return tuple(
            replace(draft, id=f"{desk}-{number + i}", tick=tick + i)
            for i, draft in enumerate([*strikes, *drafts], start=1)
        )

    def _write(self, make: Callable[[str], tuple[AnyEntry, ...]]) -> tuple[AnyEntry, ...]:
        """Put entries on disk, in the file that is the desk's journal when it is done.

        Args:
            make: Makes the entries, given the desk; again if their numbers are taken meanwhile.
        """
        appender = self._appender
        if appender is None:
            raise NotSaved(_("This book was opened for reading only."))
        entries: tuple[AnyEntry, ...] = ()
        written = False
        try:
            for _round in range(ROUNDS):
                with self._threads, appender:
                    self._read_own(appender)
                    if not all(map(self._is_free, entries)) or not entries:
                        entries, written = make(appender.desk), False
                    try:
                        self._save(appender, [e for e in entries if not self.lines.has(e)])
                    except Again as again:
                        written |= again.written
                        self._rewritten.add(appender.desk)
                    else:
                        return entries
            raise restless(self.folder)
        except NotSaved:
            if written:
                self._doubt(entries)
            raise

    def _is_free(self, entry: AnyEntry) -> bool:
        """Whether an entry's number is nobody else's."""
        return entry.id not in self.lines.entries or self.lines.has(entry)

    def _read_own(self, appender: Appender) -> None:
        """Read what other windows of this desk have written, and see that ours still stands."""
        try:
            fd, name = appender.descriptor, appender.name
            mark, status = self._marks.get(name), appender.status
            others = (n for n in self._marks if n != name and desk_of(n) == appender.desk)
            if mark is None or not mark.is_of(status) or not all(map(self._stands, others)):
                self._read_files()  # what was replaced may be there under another name
            elif not (mark.stands(status) and mark.ends(fd)):
                self._read_news(name, fd)
        except OSError as error:
            raise not_saved(appender.path, error) from error
        self.lines.settle()

    def _stands(self, name: str) -> bool:
        try:
            return self._marks[name].stands((self.folder / name).stat())
        except OSError:
            return False

    def _save(self, appender: Appender, entries: Sequence[AnyEntry]) -> None:
        """Put entries, and those that a file has lost, on disk; then into memory."""
        name = appender.name
        try:
            lost = self._missing(appender.desk) if appender.desk in self._rewritten else []
            data = b"".join(encode(entry) + b"\n" for entry in [*lost, *entries])
            if data:
                mark = self._marks.get(name, _Mark())
                torn = mark.whole < mark.size
                status, written = appender.append(data, stands=mark.stands, torn=torn)
                self._marks[name] = mark.further(written, status, proved=False)
        except OSError as error:
            if isinstance(error, Unsure):
                self._doubt(entries)
            raise not_saved(self.folder / name, error) from error
        self._rewritten.discard(appender.desk)
        self.restored += len(lost)
        for entry in entries:
            self.lines.take_in(entry)

    def _doubt(self, entries: Sequence[AnyEntry]) -> None:
        """They may be found some day: their numbers are taken, and the next entry strikes them."""
        self._unsure += [e for e in entries if not isinstance(e, Strike) and e not in self._unsure]
        self.lines.reserve(map(encode, entries))

    def _put_back(self) -> None:
        """Write again what files have lost, of every desk: this window may be the last to know."""
        for desk in sorted(self._rewritten - {self.desk, ""}):
            lost = self._missing(desk)
            append_lines(self.folder, desk, [encode(entry) for entry in lost])
            self.restored += len(lost)
            self._rewritten.discard(desk)
        self._write(lambda _desk: ())
        self._rewritten.clear()

    def _missing(self, desk: str) -> list[AnyEntry]:
        """Entries of a desk that are known to have been saved and stand in no file any more."""
        there = Lines()
        for path in journals(self.folder):
            with contextlib.suppress(FileNotFoundError):
                there.read(path.name, path.read_bytes(), 0)
        return [e for e in self.lines.all() if e.desk == desk and not there.has(e)]

    def _strikes(self, draft: AnyEntry) -> list[AnyEntry]:
        """Strikes of entries that the disk refused and may show some day all the same."""
        reason = _("the disk did not save it; recorded again")
        return [
            Strike(entry=unsure.id, reason=reason, at=draft.noted, noted=draft.noted, by=draft.by)
            for unsure in self._unsure
            if self._is_free(unsure)  # else the number is another's
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
        elif self._appender.crowded:
            alarms.append(_("The disk is nearly full: make room."))
        if self.restored:
            alarms.append(
                ngettext(
                    "Another program changed the journal: {n} entry was written again.",
                    "Another program changed the journal: {n} entries were written again.",
                    self.restored,
                ).format(n=self.restored)
            )
        return alarms
