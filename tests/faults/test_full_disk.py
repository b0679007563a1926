"""A disk that is full, broken or closed to us: never "saved" of what is not, never lost what is."""

import contextlib
import errno
import itertools
import os
import shutil
import signal
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from fieldbook.book.append import RESERVE_SIZE
from fieldbook.book.book import Book
from fieldbook.book.entry import Strike
from fieldbook.book.layout import RESERVE
from fieldbook.errors import BookError, NotSaved
from tests.conftest import DESK, journal_of, notes_in
from tests.faults.disk import FITS, Disk
from tests.faults.found import counted, found, saved, twins
from tests.faults.windows import at_once, needs_fork

pytestmark = pytest.mark.skipif(os.name == "nt", reason="Windows lets nobody replace an open file")

linux = pytest.mark.skipif(sys.platform != "linux", reason="Linux keeps this device or limit")


# --- every call the disk is asked, refused in turn ----------------------------------------------


def nothing_recorded(_book: Book, _disk: Disk) -> list[str]:
    return []


def an_entry(book: Book, _disk: Disk) -> list[str]:
    assert saved(book, "one")
    return ["one"]


def a_torn_line(book: Book, _disk: Disk) -> list[str]:
    assert saved(book, "one")
    with journal_of(book.path / "2027").open("ab") as journal:
        journal.write(b'{"kind":"note","id":"k7f2q-2","tick":2,"at":"2027-02-0')
    return ["one"]


def an_older_file_in_its_place(book: Book, _disk: Disk) -> list[str]:
    assert saved(book, "one")
    path = journal_of(book.path / "2027")
    older = path.with_suffix(".synced")
    older.write_bytes(path.read_bytes())
    assert saved(book, "two")
    older.replace(path)
    return ["one", "two"]


def a_line_that_may_be_there(book: Book, disk: Disk) -> list[str]:
    assert saved(book, "one")
    disk.refuse_each("fsync", "ftruncate", code=errno.EIO)
    assert not saved(book, "refused")
    disk.mend()
    return ["one"]


@pytest.mark.parametrize(
    "before",
    [
        nothing_recorded,
        an_entry,
        a_torn_line,
        an_older_file_in_its_place,
        a_line_that_may_be_there,
    ],
)
@pytest.mark.parametrize("stays", [False, True], ids=["once", "from then on"])
@pytest.mark.parametrize("code", FITS, ids=errno.errorcode.get)
def test_whatever_the_disk_refuses_saved_is_saved_and_refused_is_nowhere(
    tmp_path: Path, before: Callable[[Book, Disk], list[str]], code: int, stays: bool
) -> None:
    for nth in itertools.count(1):
        path = tmp_path / str(nth)
        with Disk(tmp_path) as disk:
            book = Book.new(path, name="Quillby Hollow", year=2027, desk=DESK)
            texts = before(book, disk)
            disk.refuse(nth, code, stays=stays)
            acknowledged = saved(book, "three", "four")
            refused = list(disk.refused)
            disk.mend()
            if acknowledged:
                texts += ["three", "four"]
            assert [text for text in counted(book) if text != "refused"] == texts, refused
            if not stays:
                assert set(found(path)) <= {*texts, "refused"}, refused
            if not acknowledged:
                assert saved(book, "three", "four"), refused
                texts += ["three", "four"]
            assert saved(book, "five"), refused
            book.close()
            assert found(path) == [*texts, "five"], refused
            assert twins(path) == [], refused
        if not refused:
            break


@pytest.mark.parametrize("stays", [False, True], ids=["once", "from then on"])
@pytest.mark.parametrize("code", FITS, ids=errno.errorcode.get)
def test_a_window_that_looks_for_news_while_the_disk_refuses_heals_later(
    tmp_path: Path, code: int, stays: bool
) -> None:
    for nth in itertools.count(1):
        path = tmp_path / str(nth)
        with Disk(tmp_path) as disk:
            book = Book.new(path, name="Quillby Hollow", year=2027, desk=DESK)
            texts = an_older_file_in_its_place(book, disk)
            disk.refuse(nth, code, stays=stays)
            with contextlib.suppress(OSError, NotSaved):
                book.catch_up()
            refused = list(disk.refused)
            disk.mend()
            book.catch_up()
            assert counted(book) == found(path) == texts, refused
            book.close()
        if not refused:
            break


@pytest.mark.parametrize("code", [errno.EIO, errno.EACCES], ids=errno.errorcode.get)
def test_a_book_that_cannot_be_read_is_never_taken_for_an_empty_one(
    tmp_path: Path, code: int
) -> None:
    path = tmp_path / "quillby"
    book = Book.new(path, name="Quillby Hollow", year=2027, desk=DESK)
    assert saved(book, "one")
    book.close()
    for nth in itertools.count(1):
        with Disk(tmp_path) as disk:
            disk.refuse(nth, code)
            with contextlib.suppress(BookError):
                assert found(path) == ["one"], disk.refused
        if not disk.refused:
            break


# --- real refusals ------------------------------------------------------------------------------


@linux
@needs_fork
def test_a_file_that_may_not_grow_any_more_refuses_in_words_and_grows_when_it_may(
    book: Book,
) -> None:
    def record_under_a_limit() -> list[bool]:
        import resource

        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        size = journal_of(book.path / "2027").stat().st_size
        window = Book.open(book.path, desk=DESK)
        _soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
        said = []
        for more in (0, 1, 100, 100_000):
            resource.setrlimit(resource.RLIMIT_FSIZE, (size + more, hard))
            said.append(saved(window, f"room for {more}"))
        return said

    assert saved(book, "one")
    assert at_once(record_under_a_limit) == [[False, False, False, True]]
    assert found(book.path) == ["one", "room for 100000"]
    assert notes_in(book) == found(book.path)  # nothing was struck: the disk took it back
    assert saved(book, "three")
    assert [entry.number for entry in book.entries] == [1, 2, 3]


@linux
def test_a_device_that_is_always_full_takes_nothing(
    book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    write = os.write
    with open("/dev/full", "wb") as full, monkeypatch.context() as device:  # noqa: PTH123
        device.setattr(os, "write", lambda _fd, data: write(full.fileno(), data))
        assert not saved(book, "one")
    assert counted(book) == []
    assert saved(book, "one")
    assert found(book.path) == ["one"]
    assert [entry.number for entry in book.entries] == [1]


def test_a_write_that_returns_short_is_written_on(tmp_path: Path) -> None:
    with Disk(tmp_path) as disk:
        book = Book.new(tmp_path / "quillby", name="Quillby Hollow", year=2027, desk=DESK)
        disk.a_time = 7
        assert saved(book, "one", "two")
        assert found(book.path) == ["one", "two"]
        written = [call.data for call in disk.calls if call.path == journal_of(book.path / "2027")]
    assert max(map(len, written)) == 7
    book.close()


# --- room put by --------------------------------------------------------------------------------

THOUSANDS = 3000


def test_the_reserve_is_given_up_for_what_is_typed_on_a_full_disk(tmp_path: Path) -> None:
    with Disk(tmp_path) as disk:
        book = Book.new(tmp_path / "quillby", name="Quillby Hollow", year=2027, desk=DESK)
        assert saved(book, "one")
        keep_reserve(book)
        assert (book.path / RESERVE).stat().st_size == RESERVE_SIZE
        assert book.alarm == ""

        disk.capacity = disk.used + 7
        assert saved(book, "two, on a full disk")
        assert not (book.path / RESERVE).exists()
        assert "The disk is full" in book.alarm
        assert saved(book, *["on the reserve"] * THOUSANDS)
        assert "The disk is full" in book.alarm

        disk.capacity = disk.used + 7
        assert not saved(book, "no reserve is left")
        keep_reserve(book)  # there is no room to put by any
        assert list(book.path.glob(".reserve*")) == []
        assert "The disk is full" in book.alarm

        disk.mend()
        assert saved(book, "last")
        keep_reserve(book)
        assert book.alarm == ""
        texts = ["one", "two, on a full disk", *["on the reserve"] * THOUSANDS, "last"]
        assert counted(book) == found(book.path) == texts
        assert notes_in(book) == texts
        book.close()


def test_when_there_is_room_again_the_reserve_is_put_by_and_the_alarm_ends(
    book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    keep_reserve(book)
    reserve = book.path / RESERVE
    write, free = os.write, shutil.disk_usage(book.path)._replace(free=0)

    def full(fd: int, data: bytes) -> int:
        if reserve.exists():
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return write(fd, data)

    with monkeypatch.context() as disk:
        disk.setattr(os, "write", full)
        assert saved(book, "on a full disk")
        disk.setattr(shutil, "disk_usage", lambda _path: free)
        book.catch_up()
        assert "the reserve is in use" in book.alarm
        assert not reserve.exists()
    book.catch_up()
    assert book.alarm == ""
    assert reserve.stat().st_size == RESERVE_SIZE


@pytest.mark.parametrize("before", [nothing_recorded, an_entry, a_torn_line])
def test_whatever_a_full_disk_refuses_the_reserve_saves_the_entry(
    tmp_path: Path, before: Callable[[Book, Disk], list[str]]
) -> None:
    for nth in itertools.count(1):
        path = tmp_path / str(nth)
        with Disk(tmp_path) as disk:
            book = Book.new(path, name="Quillby Hollow", year=2027, desk=DESK)
            texts = before(book, disk)
            keep_reserve(book)
            disk.refuse(nth, errno.ENOSPC)
            assert saved(book, "three"), disk.refused
            assert found(path) == [*texts, "three"], disk.refused
            assert ("The disk is full" in book.alarm) == bool(disk.refused)
            book.close()
        if not disk.refused:
            break


# --- a disk that fails to save ------------------------------------------------------------------


def test_after_a_failed_fsync_the_desk_goes_on_in_another_file(tmp_path: Path) -> None:
    with Disk(tmp_path) as disk:
        book = Book.new(tmp_path / "quillby", name="Quillby Hollow", year=2027, desk=DESK)
        window = Book.open(book.path, desk=DESK)
        assert saved(book, "one")
        assert saved(window, "two, in the second window")
        disk.refuse_each("fsync", code=errno.EIO)
        assert not saved(book, "three")
        (refused,) = disk.refused
        disk.mend()
        assert "failed to save" in book.alarm

        asked = len(disk.calls)
        assert saved(book, "three", "four")
        assert saved(window, "five, in the second window")
        assert saved(book, "six")
        later = disk.calls[asked:]
        assert refused.path.name == "desk-k7f2q.jsonl"
        assert not [c for c in later if c.name in {"fsync", "write"} and c.path == refused.path]
        for one in (book, window):
            one.catch_up()
            one.close()
        second = book.path / "2027" / "desk-k7f2q-2.jsonl"
        assert second.read_bytes().count(b"\n") == 5  # with the strike of what may be there
        assert [entry.number for entry in Book.open(book.path).entries] == [1, 2, 4, 5, 6, 7, 8]
        texts = ["one", "two, in the second window", "three", "four"]
        texts += ["five, in the second window", "six"]
        assert counted(book) == counted(window) == found(book.path) == texts


def test_a_line_that_shows_up_after_all_is_struck_by_the_one_recorded_in_its_stead(
    tmp_path: Path,
) -> None:
    with Disk(tmp_path) as disk:
        book = Book.new(tmp_path / "quillby", name="Quillby Hollow", year=2027, desk=DESK)
        assert saved(book, "one")
        disk.refuse_each("fsync", "ftruncate", code=errno.EIO)
        assert not saved(book, "two")
        disk.mend()
        assert saved(book, "two")
        book.close()
    assert notes_in(book) == ["one", "two", "two"]
    assert found(book.path) == ["one", "two"]
    (strike,) = (entry for entry in Book.open(book.path).entries if isinstance(entry, Strike))
    assert strike.entry == "k7f2q-2"
    assert "the disk did not save it" in strike.reason


def test_recording_nothing_strikes_nothing_and_forgets_nothing(tmp_path: Path) -> None:
    with Disk(tmp_path) as disk:
        book = Book.new(tmp_path / "quillby", name="Quillby Hollow", year=2027, desk=DESK)
        disk.refuse_each("fsync", "ftruncate", code=errno.EIO)
        assert not saved(book, "one")
        disk.mend()
        assert book.record() == ()
        assert saved(book, "one")
        assert found(book.path) == ["one"]
        book.close()


def test_ten_tries_on_a_dying_disk_leave_ten_strikes_and_not_a_thousand(tmp_path: Path) -> None:
    with Disk(tmp_path) as disk:
        book = Book.new(tmp_path / "quillby", name="Quillby Hollow", year=2027, desk=DESK)
        assert saved(book, "one")
        disk.refuse_each("fsync", code=errno.EIO)
        for _try in range(10):
            assert not saved(book, "two")
        disk.mend()
        assert saved(book, "two")
        book.close()
    strikes = [entry for entry in Book.open(book.path).entries if isinstance(entry, Strike)]
    assert len(strikes) == 10
    assert found(book.path) == ["one", "two"]


def keep_reserve(book: Book) -> None:
    book._journal.keep_reserve()
