"""One writer at a time: a lock on an open file that other processes respect.

`flock` does not part threads of one process; the journal has a lock of its own for those.
"""

import contextlib
import errno
import os
import sys
import time
from pathlib import Path

PATIENCE_S = 5.0
"""How long a writer waits for another one: a record takes a thousandth of that."""

_BUSY = {errno.EWOULDBLOCK, errno.EAGAIN, errno.EACCES, errno.EDEADLK}

if sys.platform == "win32":
    import msvcrt

    _FAR = 1 << 40  # a byte no journal reaches, so that locking it keeps nobody from reading

    def _try_lock(fd: int) -> None:
        os.lseek(fd, _FAR, os.SEEK_SET)
        msvcrt.locking(fd, msvcrt.LK_NBLCK, 1)

    def _unlock(fd: int) -> None:
        os.lseek(fd, _FAR, os.SEEK_SET)
        msvcrt.locking(fd, msvcrt.LK_UNLCK, 1)

else:
    import fcntl

    def _try_lock(fd: int) -> None:
        fcntl.flock(fd, fcntl.LOCK_EX | fcntl.LOCK_NB)

    def _unlock(fd: int) -> None:
        fcntl.flock(fd, fcntl.LOCK_UN)


class Busy(Exception):
    """Somebody else has held the lock all the while.

    Attributes:
        pid: Process that holds it; 0 where the system does not tell.
    """

    def __init__(self, pid: int) -> None:
        super().__init__(pid)
        self.pid = pid


def acquire(fd: int, *, patience_s: float = PATIENCE_S) -> None:
    """Take the lock of an open file; where a file system knows no locks, go on without.

    Raises:
        Busy: It was held for longer than one can be expected to wait.
    """
    give_up = 0.0
    while True:
        try:
            _try_lock(fd)
        except OSError as error:
            if error.errno not in _BUSY:
                return
        else:
            return
        give_up = give_up or time.monotonic() + patience_s
        if time.monotonic() >= give_up:
            raise Busy(_holder(fd))
        time.sleep(0.005)


def release(fd: int) -> None:
    with contextlib.suppress(OSError):  # closed: the lock went with the descriptor
        _unlock(fd)


def _holder(fd: int) -> int:
    """The process that holds a file's lock, as Linux tells it."""
    with contextlib.suppress(OSError, ValueError, IndexError):
        inode = str(os.fstat(fd).st_ino)
        for line in Path("/proc/locks").read_text(encoding="ascii").splitlines():
            fields = line.split()
            if fields[1] == "FLOCK" and fields[5].rpartition(":")[2] == inode:
                return int(fields[4])
    return 0
