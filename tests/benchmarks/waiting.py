"""How long a person waits: for a command, for the first frame, and for a key to show.

All of it is measured from outside: a process begins, and its output is read.
"""

import os
import re
import select
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from time import perf_counter, sleep

from fieldbook.book.book import Book
from fieldbook.laptop import Laptop
from tests.benchmarks.books import book_of
from tests.benchmarks.race import CHECKOUT, Row, race, timed

BARE = "-m", "tests.benchmarks.bare"
PATIENCE = 60
"""Seconds after which words that should have been drawn are given up."""
REST = 0.05
"""Seconds between two entries: nobody keys faster, and the screen has come to rest."""


def measure_summary(folder: Path, *, quick: bool) -> Iterator[Row]:
    def process(*arguments: str) -> Callable[[], float]:
        command, environment = [sys.executable, *arguments], _environment(folder)
        quiet = subprocess.DEVNULL
        return timed(
            lambda: subprocess.run(command, cwd=CHECKOUT, env=environment, check=True, stdout=quiet)
        )

    contenders = {"ours": process(*_fieldbook(folder), "summary"), "bare": process("-c", "pass")}
    race(1, contenders)  # compiles the modules
    took = race(25, contenders)
    yield Row("summary / python -c pass", "ms", 1e3 * took["ours"], 1e3 * took["bare"], "< 4")


def measure_frame(folder: Path, *, quick: bool) -> Iterator[Row]:
    def first_frame(*arguments: str, words: str) -> Callable[[], float]:
        def run() -> float:
            with terminal(folder, *arguments) as seat:
                return seat.wait_for(words)

        return run

    ours = first_frame(*_fieldbook(folder), words="Upper Ridge")
    contenders = {"ours": ours, "bare": first_frame(*BARE, words="ready")}
    race(1, contenders)
    took = race(25, contenders)
    name = "first frame / bare Textual app"
    yield Row(name, "ms", 1e3 * took["ours"], 1e3 * took["bare"], "<= 1.6")


def measure_key(folder: Path, *, quick: bool) -> Iterator[Row]:
    """A digit and Enter on the round, until the screen says that the entry is on disk."""
    arguments = _fieldbook(folder, book_of(folder, 20_000))
    with terminal(folder, *arguments) as ours, terminal(folder, *BARE) as bare:
        bare.wait_for("ready")
        ours.wait_for("Upper Ridge")
        ours.type("\r")
        ours.wait_for("line [0-9]+ of")

        def keyed(seat: Terminal, words: str) -> Callable[[], float]:
            def run() -> float:
                sleep(REST)
                seat.drain()
                seat.type("1\r")
                return seat.wait_for(words)

            return run

        contenders = {"ours": keyed(ours, "-[0-9]+ saved"), "bare": keyed(bare, "pressed [0-9]+")}
        took = race(60, contenders)
    name = "digit, Enter, shown as saved, at 20,000"
    yield Row(name, "ms", 1e3 * took["ours"], 1e3 * took["bare"])


def _environment(folder: Path) -> dict[str, str]:
    """That of a laptop of its own, which keeps compiled modules, as an installed program does."""
    environment = {name: v for name, v in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return environment | {
        "PYTHONPYCACHEPREFIX": str(folder / "compiled"),
        "FIELDBOOK_CONFIG": str(folder / "laptop"),
        "TERM": "xterm-256color",
    }


def _fieldbook(folder: Path, book: Path | None = None) -> tuple[str, ...]:
    """The command line for a book, the demo if none is named, at whose keyboard Ina sits."""
    path = book or folder / "harrow-hill"
    if not path.exists():
        shutil.copytree(CHECKOUT / "demo_season", path)
    Laptop(folder / "laptop").set_keying(Book.open(path).id, "Ina")
    return "-m", "fieldbook", "--book", str(path)


class Terminal:
    """A terminal that nobody sees, from outside.

    Args:
        fd: What is drawn is read here, and keys are written.
    """

    def __init__(self, fd: int) -> None:
        self._fd = fd
        self._drawn = b""
        self._since = perf_counter()

    def type(self, keys: str) -> None:
        self._drawn = b""
        self._since = perf_counter()
        os.write(self._fd, keys.encode())

    def drain(self) -> None:
        """Take what is still being drawn."""
        while select.select([self._fd], [], [], 0)[0]:
            os.read(self._fd, 1 << 16)

    def wait_for(self, words: str) -> float:
        """Seconds from the start, or from the last key, until words are drawn."""
        while not re.search(words.encode(), self._drawn):
            if not select.select([self._fd], [], [], PATIENCE)[0]:
                raise TimeoutError(f"{words!r} was not drawn")
            self._drawn += os.read(self._fd, 1 << 16)
        return perf_counter() - self._since


@contextmanager
def terminal(folder: Path, *arguments: str) -> Iterator[Terminal]:
    """Python running in a terminal of 80 x 24, on a laptop that remembers things in a folder."""
    import pty  # not on Windows
    import termios

    outside, inside = pty.openpty()
    termios.tcsetwinsize(inside, (24, 80))
    seat = Terminal(outside)
    process = subprocess.Popen(
        [sys.executable, *arguments],
        stdin=inside,
        stdout=inside,
        stderr=inside,
        cwd=CHECKOUT,
        env=_environment(folder),
        start_new_session=True,
    )
    os.close(inside)
    try:
        yield seat
    finally:
        process.kill()
        process.wait()
        os.close(outside)
