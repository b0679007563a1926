"""Opening a season, folding it, and merging two desks, beside `json.loads` of the same lines.

Each run is a process of its own: what one has left in memory weighs on nobody else, and the most
memory a process has held is its own.

    python -m tests.benchmarks.reading opened FOLDER
"""

import json
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from statistics import median
from time import perf_counter

from fieldbook.book.book import Book
from fieldbook.book.merge import merge
from fieldbook.season.season import Season
from tests.benchmarks.books import DESK, SECOND_DESK, YEAR, add_work, book_of, new_book
from tests.benchmarks.race import CHECKOUT, Row, race

Figures = dict[str, float]


def opened(path: Path) -> Figures:
    begin = perf_counter()
    book = Book.open(path)
    read = perf_counter()
    Season(book)
    folded = perf_counter()
    return {"all": folded - begin, "fold": folded - read, "entries": len(book.entries)}


def parsed(*paths: Path) -> Figures:
    """Reading the same lines one by one with the standard library, and keeping none."""
    begin = perf_counter()
    for line in _lines(*paths):
        json.loads(line)
    return {"all": perf_counter() - begin}


def kept(*paths: Path) -> Figures:
    """The same, keeping all, as a program does that means to use them."""
    begin = perf_counter()
    _all = [json.loads(line) for line in _lines(*paths)]
    return {"all": perf_counter() - begin}


def merged(path: Path, other: Path) -> Figures:
    begin = perf_counter()
    merge(path, other)
    return {"all": perf_counter() - begin}


def _lines(*paths: Path) -> Iterator[bytes]:
    for path in paths:
        for journal in path.glob(f"{YEAR}/desk-*.jsonl"):
            yield from journal.read_bytes().splitlines()


def _peak_mb() -> float:
    """The most memory this process has held; in `ru_maxrss` that of its parent would count too."""
    status = Path("/proc/self/status")
    if not status.exists():
        return float("nan")
    return int(status.read_text().partition("VmHWM:")[2].split()[0]) * 1024 / 1e6


def _apart(probe: Callable[..., Figures], *paths: Path) -> Figures:
    """What a probe says when a fresh process runs it."""
    command = [sys.executable, "-m", "tests.benchmarks.reading", probe.__name__, *map(str, paths)]
    said = subprocess.run(command, cwd=CHECKOUT, check=True, capture_output=True).stdout
    figures: Figures = json.loads(said)
    return figures


def measure_open(folder: Path, *, quick: bool) -> Iterator[Row]:
    yield from _measure_open(book_of(folder, 20_000), "<= 1.5", rounds=11)
    if not quick:
        yield from _measure_open(book_of(folder, 1_000_000), "<= 2", rounds=3)


def _measure_open(path: Path, target: str, rounds: int) -> Iterator[Row]:
    runs: list[Figures] = []

    def ours() -> float:
        runs.append(_apart(opened, path))
        return runs[-1]["all"]

    def theirs(probe: Callable[..., Figures]) -> Callable[[], float]:
        return lambda: _apart(probe, path)["all"]

    took = race(rounds, {"ours": ours, "json": theirs(parsed), "kept": theirs(kept)})
    size = int(runs[0]["entries"])
    ms, theirs_ms = 1e3 * took["ours"], 1e3 * took["json"]
    note = f"{took['ours'] / took['kept']:.2f} x with what was read kept"
    yield Row(f"open and fold {size:,} / json.loads", "ms", ms, theirs_ms, target, note)
    yield Row(f"fold {size:,}, an entry", "us", 1e6 * median(r["fold"] for r in runs) / size)
    peak = max(run["peak_mb"] for run in runs)
    yield Row(f"memory with {size:,} open and folded", "MB", peak, target="< 1000")


def measure_merge(folder: Path, *, quick: bool) -> Iterator[Row]:
    entries = 10_000 if quick else 100_000
    name = f"merge 2 x {entries:,} / json.loads"
    first, second, copy = (folder / name for name in ("first", "second", "copy"))
    new_book(first)
    shutil.copytree(first, second)
    add_work(first, DESK, entries)
    add_work(second, SECOND_DESK, entries)

    def ours() -> float:
        shutil.rmtree(copy, ignore_errors=True)
        shutil.copytree(first, copy)
        return _apart(merged, copy, second)["all"]

    took = race(5, {"ours": ours, "json": lambda: _apart(parsed, first, second)["all"]})
    yield Row(name, "ms", 1e3 * took["ours"], 1e3 * took["json"])


if __name__ == "__main__":
    probes = {probe.__name__: probe for probe in (opened, parsed, kept, merged)}
    figures = probes[sys.argv[1]](*map(Path, sys.argv[2:]))
    print(json.dumps(figures | {"peak_mb": _peak_mb()}))
