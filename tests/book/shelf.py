"""Copies of a book side by side, what they hold and report, and a disk that refuses."""

import errno
import io
import itertools
import os
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from fieldbook.book.book import Book
from fieldbook.book.codec import encode
from fieldbook.book.entry import AnyEntry
from fieldbook.reports.export import LOG_COLUMNS, TABLES, export_table
from fieldbook.reports.log import log_lines
from fieldbook.reports.render.csv import summary_csv, to_csv
from fieldbook.reports.render.json import to_json
from fieldbook.reports.render.text import log_text, summary_text
from fieldbook.reports.summary import summarise
from fieldbook.season.season import Season
from tests.conftest import journal_of
from tests.season.test_strikes import sights

TOML = 'format = 1\nid = "00ff00ff00ff00ff"\nname = "Quillby Hollow"\n'


def put(book: Path, *entries: AnyEntry, year: int = 2027, end: bytes = b"\n") -> Path:
    """Lines at the end of their desks' journals, as those desks wrote them."""
    folder = book / str(year)
    folder.mkdir(exist_ok=True)
    for entry in entries:
        with journal_of(folder, entry.desk).open("ab") as file:
            file.write(encode(entry) + end)
    return book


def shelf(root: Path, name: str, *entries: AnyEntry) -> Path:
    """A copy of one book that holds some entries."""
    (root / name / "2027").mkdir(parents=True)
    (root / name / "book.toml").write_text(TOML, encoding="utf-8")
    return put(root / name, *entries)


def another(book: Path, name: str = "stick") -> Path:
    """The book as it is now, somewhere else."""
    return Path(shutil.copytree(book, book.parent / name))


def files(book: Path) -> dict[str, bytes]:
    """Every file below a folder, by name."""
    paths = sorted(path for path in book.rglob("*") if path.is_file())
    return {path.relative_to(book).as_posix(): path.read_bytes() for path in paths}


def journals(book: Path) -> dict[str, bytes]:
    """Every journal of a book, by name."""
    return {name: data for name, data in files(book).items() if name.endswith(".jsonl")}


def all_lines(book: Path) -> set[bytes]:
    return {line for data in journals(book).values() for line in data.split(b"\n")} - {b""}


# --- what a book shows -------------------------------------------------------------------------


def reports(book: Path, day: date) -> dict[str, str]:
    """Every report on a book as it stood on a day, byte for byte."""
    season = Season(Book.open(book), as_of=day)
    summary, log = summarise(season, day), list(log_lines(season))
    rows = (tuple(getattr(line, column) for column in LOG_COLUMNS) for line in log)
    return {
        "summary text": summary_text(summary),
        "summary json": to_json(summary),
        "summary csv": summary_csv(summary),
        "log text": log_text(log),
        "log json": to_json(log),
        "log csv": to_csv(LOG_COLUMNS, rows),
        "log export json": to_json(season.log()),
        **{table: to_csv(*export_table(season, table)) for table in TABLES},
    }


def view(season: Season) -> dict[str, Any]:
    """What a season adds up to, and the order of its entries."""
    order = [(entry.tick, entry.id, entry.kind) for entry in season.book.entries]
    return {**sights(season.ledger), "order": order}


def fresh(book: Path) -> dict[str, Any]:
    """The same of a book that is opened now."""
    return view(Season(Book.open(book)))


# --- a disk ------------------------------------------------------------------------------------


@contextmanager
def refusing(nth: int) -> Iterator[list[str]]:
    """A disk that refuses the nth thing that changes it; yields what it was asked."""
    asked: list[str] = []

    def once(name: str, real: Callable[..., Any]) -> Callable[..., Any]:
        def call(*args: Any, **more: Any) -> Any:
            writes = name != "open" or set("wxa+") & set(str((*args, "r")[1]))
            if writes:
                asked.append(name)
                if len(asked) == nth:
                    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            return real(*args, **more)

        return call

    with pytest.MonkeyPatch.context() as disk:
        disk.setattr(io, "open", once("open", io.open))
        for name in ("fsync", "mkdir", "rename", "replace", "rmdir", "write", "unlink"):
            disk.setattr(os, name, once(name, getattr(os, name)))
        yield asked


def each_refusal(most: int = 60) -> Iterator[int]:
    """1, 2, 3, ...: to be left when a disk was not asked that often."""
    yield from itertools.islice(itertools.count(1), most)
    pytest.fail(f"asked more than {most} times")
