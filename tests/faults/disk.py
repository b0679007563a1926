"""A disk that keeps count of what it is asked, and refuses what a test says.

It stands between fieldbook and the operating system. What is asked about files below one folder
goes through it, everything else passes by. Nothing is forced to the real disk: no test pulls a
real plug.
"""

import contextlib
import errno
import importlib
import io
import itertools
import os
from collections.abc import Callable, Iterator, Set
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Self

import pytest

_ABOUT_A_FILE = {"write", "fsync", "ftruncate", "fstat", "lseek", "read", "pread", "close"}
_ABOUT_A_NAME = {"open", "stat", "mkdir", "unlink", "replace", "scandir", "listdir"}
_CALLS = _ABOUT_A_FILE | _ABOUT_A_NAME
_ROOM = {"create", "mkdir", "write", "fsync"}

FITS: dict[int, Set[str]] = {
    errno.ENOSPC: _ROOM,
    errno.EDQUOT: _ROOM,
    errno.EIO: _CALLS | {"create"},
    errno.EROFS: _ROOM | {"ftruncate", "unlink"},
    errno.EACCES: _ABOUT_A_NAME | {"create"},
}
"""What a disk may answer, and to which calls."""


@dataclass
class Call:
    """One thing the disk was asked.

    Attributes:
        name: As in `os`; `create` for an `open` of a file that was not there.
        path: The file or folder it is about.
        fd: The descriptor, if it was named by one.
        done: It was not refused.
        offset: Of `write`: where in the file.
        data: Of `write`: what was written, which may be less than what was given.
        size: Of `ftruncate`.
    """

    name: str
    path: Path
    fd: int = -1
    done: bool = False
    offset: int = 0
    data: bytes = b""
    size: int = 0


class Disk:
    """A disk below one folder, for the length of a `with`.

    Attributes:
        calls: What it was asked, in order.
        refused: What of it was refused.
        happened: The names of calls from when something was to happen at the nth, until it did;
            empty as long as it did not.
        capacity: Bytes there is room for, or None for as many as anybody likes.
        a_time: Bytes a write takes at most.
    """

    def __init__(self, root: Path) -> None:
        self.root = root
        self.calls: list[Call] = []
        self.refused: list[Call] = []
        self.happened: list[str] = []
        self.capacity: int | None = None
        self.a_time: int | None = None
        self._before: Callable[[Call], int] = lambda _call: 0
        self._paths: dict[int, Path] = {}
        self._patch = pytest.MonkeyPatch()
        self._passing_by = False
        self._cuts = False
        self._real = {name: getattr(os, name) for name in _CALLS if hasattr(os, name)}

    def __enter__(self) -> Self:
        for name in self._real:
            self._patch.setattr(os, name, self._asked(name))
        # The same in Python: it goes through `os` for all it does.
        self._patch.setattr(io, "open", importlib.import_module("_pyio").open)
        return self

    def __exit__(self, *_error: object) -> None:
        self._patch.undo()

    # --- what a test may say ---

    def refuse(self, nth: int, code: int, *, stays: bool = False) -> None:
        """Refuse the nth call from now on to which an error code fits.

        Args:
            nth: 1 for the next.
            code: What the disk answers.
            stays: Every later call too, until it is mended; a write is cut short before.
        """
        number = itertools.count(1)
        failing = False

        def before(call: Call) -> int:
            nonlocal failing
            if call.name not in FITS[code] or (failing and not stays):
                return 0
            if not failing and next(number) < nth:
                return 0
            failing = True
            return code

        self.refused.clear()
        self._cuts = stays
        self._before = before

    def refuse_each(self, *names: str, code: int) -> None:
        """Refuse every call of these names about a journal until the disk is mended."""
        self.refused.clear()
        self._before = lambda c: code if c.name in names and c.path.suffix == ".jsonl" else 0

    def mend(self) -> None:
        self._before = lambda _call: 0
        self.capacity = self.a_time = None

    def meanwhile(self, nth: int, deed: Callable[[], object]) -> None:
        """Let something else happen just before the nth call from now on."""
        asked: list[str] = []
        self.happened = []

        def before(call: Call) -> int:
            asked.append(call.name)
            if len(asked) == nth:
                self.happened = list(asked)
                deed()
            return 0

        self._before = before

    def whenever(self, name: str, deed: Callable[[], object]) -> None:
        """Let something else happen just before each call of a name."""

        def before(call: Call) -> int:
            if call.name == name:
                deed()
            return 0

        self._before = before

    @property
    def used(self) -> int:
        """Bytes in files."""
        return sum(path.stat().st_size for path in self.root.rglob("*") if path.is_file())

    # --- what it does ---

    def _asked(self, name: str) -> Callable[..., Any]:
        real = self._real[name]

        def ask(target: Any, *args: Any, **kwargs: Any) -> Any:
            call = self._call(name, target)
            if call is None:
                return self._pass_by(name, target, *args, **kwargs)
            self.calls.append(call)
            with self._aside():
                if name == "open" and args and args[0] & os.O_CREAT and not call.path.exists():
                    call.name = "create"
                code = self._before(call)
            if name == "write" and not code:
                args = (self._as_much_as_fits(args[0]),)
                code = 0 if args[0] else errno.ENOSPC
            elif code and name == "write" and self._cuts:
                self._cuts = False
                args, code = (args[0][: len(args[0]) // 2],), 0
            if code:
                self.refused.append(call)
                if name == "close":  # a descriptor is gone, whatever the disk says
                    self._pass_by(name, target)
                raise OSError(code, os.strerror(code), str(call.path))
            with self._aside():
                self._look(call, args)
            answer = None if name == "fsync" else real(target, *args, **kwargs)
            call.done = True
            if name == "write":
                call.data = bytes(args[0][:answer])
            self._keep_book(name, target, answer)
            return answer

        return ask

    def _call(self, name: str, target: Any) -> Call | None:
        """What is asked, unless it is none of our business."""
        if self._passing_by:
            return None
        if isinstance(target, int):
            path = self._paths.get(target)
            return Call(name, path, target) if path is not None else None
        path = Path(target)
        return Call(name, path) if path.is_relative_to(self.root) else None

    def _pass_by(self, name: str, target: Any, *args: Any, **kwargs: Any) -> Any:
        if name == "fsync":
            return None
        answer = self._real[name](target, *args, **kwargs)
        self._keep_book(name, target, answer)
        return answer

    def _keep_book(self, name: str, target: Any, answer: Any) -> None:
        if name == "open":
            path = Path(target)
            if path.is_relative_to(self.root):
                self._paths[answer] = path
            else:
                self._paths.pop(answer, None)
        elif name == "close":
            self._paths.pop(target, None)

    @contextlib.contextmanager
    def _aside(self) -> Iterator[None]:
        """What the disk itself, or somebody else, does meanwhile is not counted."""
        was, self._passing_by = self._passing_by, True
        try:
            yield
        finally:
            self._passing_by = was

    def _look(self, call: Call, args: tuple[Any, ...]) -> None:
        """What the call will meet."""
        if call.name == "write":
            call.offset = os.fstat(call.fd).st_size
        elif call.name == "ftruncate":
            (call.size,) = args

    def _as_much_as_fits(self, data: bytes) -> bytes:
        data = data[: self.a_time]
        if self.capacity is not None:
            with self._aside():
                data = data[: max(0, self.capacity - self.used)]
        return data
