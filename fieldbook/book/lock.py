"""One writer at a time: a lock on an open file that other processes respect.

`flock` does not part threads of one process; the journal has a lock of its own for those.
"""

import contextlib
import os
import sys
from collections.abc import Iterator

if sys.platform == "win32":
    import msvcrt

    _FAR = 1 << 40  # a byte no journal reaches, so that locking it keeps nobody from reading

    def _acquire(fd: int) -> None:
        os.lseek(fd, _FAR, os.SEEK_SET)
        msvcrt.locking(fd, msvcrt.LK_LOCK, 1)

    def _release(fd: int) -> None:
        os.lseek(fd, _FAR, os.SEEK_SET)
        msvcrt.locking(fd, msvcrt.LK_UNLCK, 1)

else:
    import fcntl

    def _acquire(fd: int) -> None:
        fcntl.flock(fd, fcntl.LOCK_EX)

    def _release(fd: int) -> None:
        fcntl.flock(fd, fcntl.LOCK_UN)


@contextlib.contextmanager
def locked(fd: int) -> Iterator[None]:
    """Hold the lock of a file; where a file system knows no locks, go on without."""
    held = False
    with contextlib.suppress(OSError):
        _acquire(fd)
        held = True
    try:
        yield
    finally:
        if held:
            with contextlib.suppress(OSError):
                _release(fd)
