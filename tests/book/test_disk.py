"""Writing to a disk that may refuse, or that somebody else writes to: saved means on disk."""

import errno
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from fieldbook.book.book import Book
from fieldbook.book.documents import JournalDB
from fieldbook.errors import Exit, NotSaved
from tests.conftest import (
    count,
    journal_of,
    known,
    lines,
    load,
    note,
    notes_in,
    numbered,
    refused,
    sealed,
)

CLIFF, CEDAR, HAZARD = numbered(
    count("Ledge/Cliff", "tapping", 42),
    count("Ledge/Cedar", "drops", 60, who="Wim"),
    note("widow maker by the gate"),
)

OS = "fieldbook.book.journal.os"

real_write, real_open = os.write, os.open


def no_room(*_args: object) -> int:
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def broken(*_args: object) -> None:
    raise OSError(errno.EIO, os.strerror(errno.EIO))


def room_for_seven_bytes() -> Callable[[int, bytes], int]:
    room = iter([7])

    def write(fd: int, data: bytes) -> int:
        return real_write(fd, data[: next(room, 0)]) or no_room()

    return write


@pytest.mark.parametrize(
    ("call", "failure"),
    [("write", no_room), ("write", room_for_seven_bytes()), ("fsync", broken)],
    ids=["disk full", "full half way", "disk broken"],
)
def test_what_the_disk_refused_is_nowhere_and_may_be_tried_again(
    db: JournalDB,
    folder: Path,
    monkeypatch: pytest.MonkeyPatch,
    call: str,
    failure: Callable[..., Any],
) -> None:
    db.insert(CLIFF)
    with monkeypatch.context() as disk:
        disk.setattr(f"{OS}.{call}", failure)
        with pytest.raises(NotSaved, match=r"Not saved: .*desk-k7f2q\.jsonl") as error:
            db.insert_multiple([CEDAR, HAZARD])
    assert error.value.code is Exit.BOOK
    assert "try again" in error.value.hint
    assert known(db) == [CLIFF]
    assert journal_of(folder).read_bytes() == lines(CLIFF)

    opened: list[str] = []

    def open_it(path: Path, *flags: int) -> int:
        opened.append(path.name)
        return real_open(path, *flags)

    monkeypatch.setattr(f"{OS}.open", open_it)
    db.insert_multiple([CEDAR, HAZARD])
    # On a descriptor that has not failed; in another file, once one could not be forced to disk.
    written = "desk-k7f2q-2.jsonl" if call == "fsync" else "desk-k7f2q.jsonl"
    assert written in opened
    assert (folder / written).read_bytes().endswith(lines(CEDAR, HAZARD))
    assert load(folder) == ([CLIFF, CEDAR, HAZARD], [])


def test_a_short_write_is_written_on(
    db: JournalDB, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(f"{OS}.write", lambda fd, data: real_write(fd, data[:7]))
    db.insert_multiple([CLIFF, CEDAR])
    assert journal_of(folder).read_bytes() == lines(CLIFF, CEDAR)


def test_written_then_forced_to_disk_then_known(
    db: JournalDB, monkeypatch: pytest.MonkeyPatch
) -> None:
    calls: list[tuple[str, int]] = []

    def spy(name: str) -> None:
        real = getattr(os, name)

        def call(*args: Any) -> Any:
            calls.append((name, len(db)))
            return real(*args)

        monkeypatch.setattr(f"{OS}.{name}", call)

    db.insert(CLIFF)
    spy("write")
    spy("fsync")
    db.insert_multiple([CEDAR, HAZARD])
    assert calls == [("write", 1), ("fsync", 1)]  # one of each for both; neither known before
    assert len(db) == 3


def test_a_new_journal_is_made_durable_with_its_folders(
    db: JournalDB, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    synced: list[Path] = []
    monkeypatch.setattr("fieldbook.book.append.sync_folder", synced.append)
    db.insert(CLIFF)
    db.insert(CEDAR)
    assert synced == [folder, folder.parent]


def test_an_entry_over_a_limit_keeps_the_whole_batch_off_the_disk(
    db: JournalDB, folder: Path
) -> None:
    (huge,) = numbered(count("Ledge/Cliff", "tapping", 1_000_001), start=2)
    with pytest.raises(ValueError, match="count"):
        db.insert_multiple([CLIFF, huge])
    assert known(db) == []
    assert journal_of(folder).read_bytes() == b""


# The suite may run as root, whom no folder refuses: the refusal is played.
def forbid(path: object, *_args: object) -> int:
    raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(path))


def test_a_folder_one_may_not_write_to_refuses_and_the_next_try_counts(
    book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as folder:
        folder.setattr(f"{OS}.open", forbid)
        with pytest.raises(NotSaved, match="Permission denied"):
            book.record(note("gate is chained"))
    assert list(book.entries) == []
    assert book.record(note("gate is chained"))[0].id == "k7f2q-1"
    assert notes_in(book) == ["gate is chained"]


@pytest.mark.parametrize(
    "make",
    [
        lambda path: Book.new(path / "hollow", name="Hollow", year=2027),
        pytest.param(
            lambda path: Book.begin_season(path / "q", 2028),
        ),
    ],
    ids=["new book", "new season"],
)
def test_a_folder_one_may_not_write_to_takes_no_book_and_no_season(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, make: Callable[[Path], object]
) -> None:
    Book.new(tmp_path / "q", name="Quillby", year=2027)
    monkeypatch.setattr(f"{OS}.open", forbid)
    message, _hint, code = refused(lambda: make(tmp_path))
    assert "Permission denied" in message
    assert code is Exit.BOOK


def test_a_journal_one_may_not_read_is_named(book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    book.record(note("gate is chained"))
    monkeypatch.setattr(f"{OS}.open", forbid)
    message, hint, code = refused(lambda: Book.open(book.path))
    assert "desk-k7f2q.jsonl: Permission denied" in message
    assert "access" in hint
    assert code is Exit.BOOK


# --- somebody else at the same journal ---------------------------------------------------------


def test_two_windows_of_one_desk_lose_nothing(book: Book) -> None:
    book.record(note("one"))
    window = Book.open(book.path, desk=book.desk)
    window.record(note("two, in the other window"))
    window.close()
    book.record(note("three"))
    assert notes_in(book) == ["one", "two, in the other window", "three"]


def test_a_journal_that_was_replaced_under_us_is_written_on(book: Book) -> None:
    book.record(note("one"))
    path = journal_of(book.path / "2027")
    copy = path.with_suffix(".synced")
    copy.write_bytes(path.read_bytes())
    copy.replace(path)
    book.record(note("two"))
    assert notes_in(book) == ["one", "two"]


@pytest.mark.parametrize("set_apart", ["damaged", "newer"])
def test_the_number_of_a_line_set_apart_is_not_given_out_again(book: Book, set_apart: str) -> None:
    book.record(note("one"), note("two"))
    path = journal_of(book.path / "2027")
    if set_apart == "damaged":
        path.write_bytes(path.read_bytes().replace(b'"two"', b'"twO"'))
    else:
        newer = {"v": 2, "kind": "weather", "id": "k7f2q-3", "tick": 3, "sky": "grey"}
        path.write_bytes(path.read_bytes() + sealed(newer) + b"\n")
    again = Book.open(book.path, desk=book.desk)
    (entry,) = again.record(note("next"))
    again.close()
    assert entry.number == {"damaged": 3, "newer": 4}[set_apart]


def test_a_failed_line_that_could_not_be_taken_back_replaces_no_saved_one(
    book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    book.record(note("one"))
    with monkeypatch.context() as disk:
        disk.setattr(f"{OS}.fsync", broken)
        disk.setattr(f"{OS}.ftruncate", broken)
        with pytest.raises(NotSaved):
            book.record(note("zzz: typed by mistake, and refused"))
    book.record(note("and this was saved"))
    assert "and this was saved" in notes_in(book)


def test_one_far_number_is_one_gap_and_not_a_hundred_thousand(book: Book) -> None:
    far = numbered(note("far"), start=100_001)
    journal_of(book.path / "2027").write_bytes(lines(*far))
    assert len(Book.open(book.path).check()) == 1
