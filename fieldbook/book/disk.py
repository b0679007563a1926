"""Files as the disk has them: what is on it, and what only seems to be."""

import errno
import os
import sys
from pathlib import Path


def is_at(path: str | Path, status: os.stat_result) -> bool:
    """Whether the file of a status is the one that stands at a path."""
    try:
        return os.path.samestat(status, os.stat(path))  # noqa: PTH116 - twice as fast here
    except OSError:
        return False


if sys.platform == "win32":

    def _pread(fd: int, length: int, offset: int) -> bytes:
        os.lseek(fd, offset, os.SEEK_SET)
        return os.read(fd, length)

else:
    _pread = os.pread


def read_at(fd: int, offset: int, length: int) -> bytes:
    """Bytes of an open file from an offset on, fewer at its end."""
    data = b""
    while len(data) < length and (more := _pread(fd, length - len(data), offset + len(data))):
        data += more
    return data


if sys.platform == "darwin":
    import fcntl

    def force(fd: int) -> None:
        """Put what was written to a file on the disk itself."""
        try:
            fcntl.fcntl(fd, fcntl.F_FULLFSYNC)  # there, fsync stops at the cache of the drive
        except OSError as error:
            if error.errno not in (errno.ENOTSUP, errno.EINVAL, errno.ENOTTY):
                raise
            os.fsync(fd)  # a file system that knows no better

else:

    def force(fd: int) -> None:
        """Put what was written to a file on the disk itself."""
        os.fsync(fd)


def sync_folder(folder: Path) -> None:
    """Make a new name in a folder durable; on Windows folders cannot be opened for that."""
    if os.name == "nt":
        return
    fd = os.open(folder, os.O_RDONLY)
    try:
        force(fd)
    finally:
        os.close(fd)


def write_file(path: Path, data: bytes, *, mode: str = "xb") -> None:
    """Put bytes in a file and the file's name in its folder, both on disk.

    Args:
        path: The file.
        data: What to write.
        mode: How to open it: `xb` for one that is not there yet, `wb` to write anew, `ab` to add.
    """
    with path.open(mode) as file:
        file.write(data)
        file.flush()
        force(file.fileno())
    sync_folder(path.parent)
