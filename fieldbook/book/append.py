"""Bytes at the end of one desk's journal, on disk before anybody says "saved".

A desk writes `desk-k7f2q.jsonl`. When the disk once failed to save, that file is left as it is and
the desk goes on in `desk-k7f2q-2.jsonl`: after a failed fsync nobody can tell what of a file has
reached the disk, and asking again may answer yes for pages that were thrown away.
"""

import contextlib
import errno
import os
import re
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Self

from fieldbook.book import lock
from fieldbook.book.disk import force, is_at, read_at, sync_folder
from fieldbook.book.layout import MARK, RESERVE
from fieldbook.errors import NotSaved
from fieldbook.i18n import _

RESERVE_SIZE = 1 << 20
"""Bytes put by for a full disk: room for about 3,000 entries."""

ROOMY = 8 * RESERVE_SIZE
"""Free bytes that make a disk worth taking the reserve from."""

ROUNDS = 100
"""How often a line is written anew because the file was changed meanwhile, before giving up."""

_NO_ROOM = {errno.ENOSPC, getattr(errno, "EDQUOT", errno.ENOSPC)}
_FLAGS = os.O_RDWR | os.O_APPEND | os.O_CREAT | getattr(os, "O_BINARY", 0)


class Again(Exception):
    """The journal is not what was read of it, or room was made: read it and write once more.

    Attributes:
        written: What was to be saved may be found somewhere all the same.
    """

    def __init__(self, *, written: bool) -> None:
        super().__init__(written)
        self.written = written


class Unsure(OSError):
    """The disk did not say that it saved; what was written may be there or not."""


class Appender:
    """The end of one desk's journal in one season; `with` it, nobody else writes there.

    Args:
        folder: The season's folder.
        desk: Code of the desk.

    Attributes:
        path: The file that is written to now; `name` is its name.
        failed: The disk failed to save once; the desk goes on in another file.
        reserve_used: The disk was full, and the reserve was given up for what was saved.
        crowded: The disk is too full to take a reserve from.
    """

    def __init__(self, folder: Path, desk: str) -> None:
        self.folder = folder
        self.desk = desk
        self.failed = False
        self.reserve_used = False
        self.crowded = False
        self._descriptors: dict[int, int] = {}  # by segment
        self._first = self._file(1)
        self._go_on_in(1)
        self._book_id = _book_id(folder.parent)

    def _go_on_in(self, segment: int) -> None:
        self._segment = segment
        self.path = self._file(segment)
        self.name = self.path.name
        self._next = str(self._file(segment + 1))

    def _file(self, segment: int) -> Path:
        name = f"desk-{self.desk}" if segment == 1 else f"desk-{self.desk}-{segment}"
        return self.folder / f"{name}.jsonl"

    def __enter__(self) -> Self:
        """Be the only writer of the desk's journal. The lock is on its first file.

        Raises:
            NotSaved: The file cannot be opened, or another window does not let go of it.
        """
        self._locked, self._status = self._lock()
        while os.access(self._next, os.F_OK):  # another window met a failing disk
            self._go_on_in(self._segment + 1)
        return self

    def __exit__(self, *_error: object) -> None:
        lock.release(self._locked)

    def _lock(self) -> tuple[int, os.stat_result]:
        while True:
            try:
                fd = self._descriptors.get(1)
                if fd is None:
                    fd = self._open(1)
                lock.acquire(fd)
                status = os.fstat(fd)
            except OSError as error:
                if self._make_room(error):
                    continue
                if not self.is_home():
                    raise self.gone() from error
                raise not_saved(self._first, error) from error
            except lock.Busy as busy:
                raise self._busy(busy.pid) from busy
            if is_at(self._first, status):  # else it was replaced before the lock was ours
                return fd, status
            lock.release(fd)
            self._drop(1)

    @property
    def status(self) -> os.stat_result:
        """Of the file that is written to, since the lock was taken."""
        return self._status if self._segment == 1 else os.fstat(self.descriptor)

    def is_home(self) -> bool:
        """Whether the book is in its place: where a stick was, an empty folder may stay behind,
        and another stick may bring another book.
        """
        there = os.path.isdir(self.folder.parent)  # noqa: PTH112 - no, if it cannot be told
        return there and _book_id(self.folder.parent) == self._book_id

    def gone(self) -> NotSaved:
        """What to tell the person when the book is not in its place."""
        return NotSaved(
            _("Not saved: the book is gone from {path}.").format(path=self.folder.parent),
            _("Put the book's folder, or the stick it is on, back in its place; try again."),
        )

    def _busy(self, pid: int) -> NotSaved:
        holder = _("process {pid}").format(pid=pid) if pid else _("unknown")
        return NotSaved(
            _("Not saved: another window is writing for desk {desk} ({holder}).").format(
                desk=self.desk, holder=holder
            ),
            _("Close it, or wait a moment, then try again."),
        )

    def _open(self, segment: int) -> int:
        """Open the file of a segment; it is made, with its name on disk, if there is none."""
        path = self._file(segment)
        if not self.is_home():
            raise FileNotFoundError(errno.ENOENT, os.strerror(errno.ENOENT), str(path))
        if not path.parent.is_dir():
            path.parent.mkdir(exist_ok=True)
        fd = os.open(path, _FLAGS, 0o666)
        try:
            # Whoever made it, or put it in the place of another, may not have come to this.
            sync_folder(path.parent)
            sync_folder(path.parent.parent)
        except OSError:
            os.close(fd)
            raise
        self._descriptors[segment] = fd
        return fd

    @property
    def descriptor(self) -> int:
        """Of the file that is written to now; it is made if there is none."""
        fd = self._descriptors.get(self._segment)
        if fd is not None and self._segment > 1 and not is_at(self.path, os.fstat(fd)):
            self._drop(self._segment)  # the first file was proved when its lock was taken
            fd = None
        return self._open(self._segment) if fd is None else fd

    def append(
        self,
        data: bytes,
        *,
        stands: Callable[[os.stat_result], bool] = lambda _status: True,
        torn: bool | None = None,
    ) -> tuple[os.stat_result, bytes]:
        """Put bytes at the end of the journal, in one write and one fsync.

        A torn last line is sealed with a newline first: it stays as it is, ours starts afresh.

        Args:
            data: Whole lines.
            stands: Says whether the file is what was read of it; if not, nothing is written.
            torn: Whether the last line there lacks its newline; None to look.

        Returns:
            The status of the file they stand in, and what was written, with the seal.

        Raises:
            OSError: The disk refused. Nothing was saved, and what was written was taken back.
            Unsure: It may be found on the disk all the same, some day.
            Again: It is not the file that was read, or not the journal any more, or the disk was
                full and the reserve was given up.
        """
        try:
            return self._append(data, stands, torn)
        except OSError as error:
            if self._make_room(error):  # the lock went with the descriptor
                raise Again(written=isinstance(error, Unsure)) from error
            raise

    def _append(
        self, data: bytes, stands: Callable[[os.stat_result], bool], torn: bool | None
    ) -> tuple[os.stat_result, bytes]:
        fd = self.descriptor
        status = os.fstat(fd)
        if not stands(status):
            raise Again(written=False)
        end = status.st_size
        if torn is None:
            torn = end > 0 and read_at(fd, end - 1, 1) != b"\n"
        if torn:
            data = b"\n" + data
        view = memoryview(data)
        try:
            while view:
                view = view[os.write(fd, view) :]
            status = os.fstat(fd)  # what happens to it from now on will be found
        except OSError as error:
            if self._take_back(fd, end, len(data) - len(view)):
                raise
            raise Unsure(error.errno, error.strerror) from error
        try:
            force(fd)
        except OSError as error:
            taken_back = self._take_back(fd, end, len(data))
            self.failed = True
            if end or not taken_back:
                self._go_on_in(self._segment + 1)
            raise Unsure(error.errno, error.strerror) from error
        if status.st_size != end + len(data) or not is_at(self.path, status):
            self._take_back(fd, end, len(data))
            raise Again(written=True)  # somebody may have a copy of it
        return status, data

    def _take_back(self, fd: int, end: int, written: int) -> bool:
        """Not saved, so it should not be found later; the descriptor is not used again."""
        try:
            if written and os.fstat(fd).st_size != end + written:
                return False  # somebody else has been here
            if written:
                os.ftruncate(fd, end)
        except OSError:
            return False
        finally:
            self._drop(self._segment)
        return True

    def close(self) -> None:
        for segment in list(self._descriptors):
            self._drop(segment)

    def _drop(self, segment: int) -> None:
        with contextlib.suppress(OSError):  # gone it is all the same
            os.close(self._descriptors.pop(segment))

    # --- room put by ---

    @property
    def _reserve(self) -> Path:
        return self.folder.parent / RESERVE

    def keep_reserve(self) -> None:
        """Put room by for a full disk, if there is enough; it is only given up to save a line."""
        fresh = self._reserve.with_suffix(".new")
        try:
            if not self._reserve.exists():
                self.crowded = shutil.disk_usage(self.folder.parent).free < ROOMY
                if self.crowded:
                    return
                # Random, so that no file system can store it in less room than it stands for.
                fresh.write_bytes(os.urandom(RESERVE_SIZE))
                fresh.replace(self._reserve)
            self.reserve_used = False
        except OSError:
            with contextlib.suppress(OSError):
                fresh.unlink()

    def _make_room(self, error: OSError) -> bool:
        """Give up the reserve, if that helps against an error and there is one."""
        if error.errno not in _NO_ROOM:
            return False
        try:
            self._reserve.unlink()
        except OSError:
            return False
        self.reserve_used = True
        return True


def _book_id(book: Path) -> bytes:
    """The id in a book's `book.toml`; empty if there is none to be read."""
    with contextlib.suppress(OSError):
        match = re.search(rb'^id *= *"([^"]*)"', (book / MARK).read_bytes(), re.MULTILINE)
        return match[1] if match else b""
    return b""


def append_lines(folder: Path, desk: str, lines: list[bytes]) -> None:
    """Put lines at the end of a desk's journal, as they are.

    Args:
        folder: The season's folder.
        desk: Code of the desk.
        lines: Without their newlines; with none nothing is touched.

    Raises:
        NotSaved: The disk refused, or another window is writing; nothing was written.
    """
    if not lines:
        return
    appender = Appender(folder, desk)
    try:
        for _round in range(ROUNDS):
            with appender, contextlib.suppress(Again):
                appender.append(b"".join(line + b"\n" for line in lines))
                return
        raise restless(folder)
    except OSError as error:
        raise not_saved(appender.path, error) from error
    finally:
        appender.close()


def restless(folder: Path) -> NotSaved:
    """What to tell the person when another program never leaves a folder alone."""
    return NotSaved(
        _("Not saved: another program changes {path} all the time.").format(path=folder),
        _("Close it, or pause its syncing, then try again."),
    )


def not_saved(path: Path, error: OSError) -> NotSaved:
    """What to tell the person when the disk refuses."""
    return NotSaved(
        _("Not saved: {why} ({path}).").format(why=error.strerror or error, path=path),
        _("Make room, or give yourself access, then try again."),
    )
