"""A laptop whose battery falls out while somebody records: the writer is killed, over and over."""

from pathlib import Path

import pytest

from fieldbook.book.book import Book
from tests.conftest import DESK
from tests.faults.found import found, saved, twins
from tests.faults.killing import Killing
from tests.faults.windows import needs_fork

KILLS = 250


@needs_fork
@pytest.mark.filterwarnings("ignore:.*fork:DeprecationWarning")  # of threads: a writer has none
def test_no_kill_loses_an_entry_that_was_acknowledged(tmp_path: Path) -> None:
    killing = Killing(tmp_path / "tally", seed=412)
    killing.kill(KILLS)
    assert killing.kills == KILLS
    assert killing.lost == set(), str(killing)
    assert len(killing.said) > KILLS  # there was something to lose
    assert killing.set_apart <= 2 * KILLS  # a torn line a kill, and one that was cut by hand
    assert twins(killing.path) == []

    book = Book.open(killing.path, desk=DESK)
    before = len(book.entries)
    assert saved(book, "still here")
    assert len(book.entries) == before + 1
    assert found(killing.path)[-1] == "still here"
    assert killing.said <= {entry.id for entry in book.entries}
    book.close()
