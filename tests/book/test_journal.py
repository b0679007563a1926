"""The journals of a season on disk: appended to, never rewritten, and honest about the disk."""

from collections.abc import Callable
from pathlib import Path
from typing import Any, cast

import pytest
from tinydb import where
from tinydb.queries import QueryLike

from fieldbook.book.codec import encode
from fieldbook.book.documents import JournalDB
from fieldbook.book.entry import AnyEntry
from tests.conftest import count, finish, journal_of, known, lines, load, note, numbered, sealed

CLIFF, CEDAR, HAZARD, DONE = numbered(
    count("Ledge/Cliff", "tapping", 42),
    count("Ledge/Cedar", "drops", 60, who="Wim"),
    note("widow maker by the gate"),
    finish("Ledge/Cliff", "tapping"),
)


# --- a TinyDB for those who ask, a journal for those who write ---------------------------------


def found(db: JournalDB, query: QueryLike) -> list[AnyEntry]:
    return cast("list[AnyEntry]", db.search(query))


def test_tinydbs_queries_read_the_entries(db: JournalDB) -> None:
    ids = db.insert_multiple([CLIFF, CEDAR, HAZARD, DONE])
    assert ids == ["k7f2q-1", "k7f2q-2", "k7f2q-3", "k7f2q-4"]
    assert found(db, where("task") == "tapping") == [CLIFF, DONE]
    assert found(db, (where("kind") == "count") & (where("count") > 50)) == [CEDAR]
    assert found(db, where("who").matches("W")) == [CEDAR]
    assert db.get(where("count").exists())["line"] == "Cliff"
    assert db.count(where("by") == "Oda") == len(db) == 4


def test_a_query_asked_before_sees_what_was_inserted_since(db: JournalDB) -> None:
    tapping = where("task") == "tapping"
    assert found(db, tapping) == []
    db.insert(CLIFF)
    assert found(db, tapping) == [CLIFF]


def test_an_insert_appends_one_line_and_leaves_the_rest_alone(db: JournalDB, folder: Path) -> None:
    db.insert_multiple([CLIFF, CEDAR])
    before = journal_of(folder).read_bytes()
    assert before == lines(CLIFF, CEDAR)
    db.insert(HAZARD)
    assert journal_of(folder).read_bytes() == before + lines(HAZARD)


@pytest.mark.parametrize(
    "change",
    [
        lambda db: db.update({"count": 43}),
        lambda db: db.update({"count": 43}, where("task") == "tapping"),
        lambda db: db.remove(where("task") == "tapping"),
        lambda db: db.truncate(),
        lambda db: db.drop_table("entries"),
        lambda db: db.drop_tables(),
        lambda db: db.storage.write({}),
        pytest.param(
            lambda db: db.upsert({"count": 43}, where("task") == "tapping"),
        ),
    ],
    ids=["update", "update some", "remove", "truncate", "drop", "drop all", "write", "upsert"],
)
def test_what_is_recorded_is_not_changed_or_removed(
    db: JournalDB, folder: Path, change: Callable[[JournalDB], Any]
) -> None:
    db.insert_multiple([CLIFF, CEDAR])
    with pytest.raises(NotImplementedError, match=r"never|only ever"):
        change(db)
    assert known(db) == [CLIFF, CEDAR]
    assert journal_of(folder).read_bytes() == lines(CLIFF, CEDAR)


# --- reading -----------------------------------------------------------------------------------


def test_two_desks_are_read_in_one_order(folder: Path) -> None:
    theirs = numbered(*(count("Creek/Ford", "tapping", n) for n in (10, 20)), desk="b3x9m", start=2)
    journal_of(folder).write_bytes(lines(CLIFF, CEDAR, DONE))
    journal_of(folder, "b3x9m").write_bytes(lines(*reversed(theirs)))
    entries, _problems = load(folder)
    assert [(e.tick, e.id) for e in entries] == [
        (1, "k7f2q-1"),
        (2, "b3x9m-2"),
        (2, "k7f2q-2"),
        (3, "b3x9m-3"),
        (4, "k7f2q-4"),
    ]


def test_a_torn_last_line_is_reported_and_not_counted(folder: Path) -> None:
    whole, torn = lines(CLIFF), encode(CEDAR)[:-30]
    journal_of(folder).write_bytes(whole + torn)
    entries, (problem,) = load(folder)
    assert entries == [CLIFF]
    assert problem.where == f"2027/desk-k7f2q.jsonl, byte {len(whole)}"
    assert "torn" in problem.what
    assert problem.advice
    assert problem.grave


def test_the_next_append_seals_a_torn_last_line(folder: Path, db: JournalDB) -> None:
    torn = encode(CEDAR)[:-30]
    journal_of(folder).write_bytes(lines(CLIFF) + torn)
    db.insert(DONE)
    assert journal_of(folder).read_bytes() == lines(CLIFF) + torn + b"\n" + lines(DONE)
    assert load(folder)[0] == [CLIFF, DONE]


def test_a_last_line_that_lacks_only_its_newline_counts(folder: Path, db: JournalDB) -> None:
    journal_of(folder).write_bytes(lines(CLIFF, CEDAR)[:-1])
    assert load(folder) == ([CLIFF, CEDAR], [])
    db.insert(HAZARD)
    assert journal_of(folder).read_bytes() == lines(CLIFF, CEDAR, HAZARD)


@pytest.mark.parametrize("garbage", [b"\x00" * 512, b"\xff" * 100, b"<html>", b"{}", b'"\xc3'])
def test_garbage_between_sound_lines_costs_no_entry(folder: Path, garbage: bytes) -> None:
    journal_of(folder).write_bytes(lines(CLIFF) + garbage + b"\n" + lines(CEDAR))
    entries, problems = load(folder)
    assert entries == [CLIFF, CEDAR]
    assert len(problems) == 1


def test_windows_line_ends_and_blank_lines_do_no_harm(folder: Path) -> None:
    journal_of(folder).write_bytes(
        b"\r\n" + lines(CLIFF, end=b"\r\n") + b"\n  \n" + lines(CEDAR, end=b"\r\n")
    )
    assert load(folder) == ([CLIFF, CEDAR], [])


def test_the_same_line_twice_is_one_entry(folder: Path) -> None:
    journal_of(folder).write_bytes(lines(CLIFF, CEDAR, CLIFF))
    assert load(folder) == ([CLIFF, CEDAR], [])


@pytest.mark.parametrize("larger_first", [True, False])
def test_the_same_id_with_other_content_is_reported_and_one_counts(
    folder: Path, larger_first: bool
) -> None:
    (twin,) = numbered(count("Ledge/Cliff", "tapping", 43))
    pair = sorted([CLIFF, twin], key=encode, reverse=larger_first)
    journal_of(folder).write_bytes(lines(*pair))
    entries, (problem,) = load(folder)
    assert entries == [max(CLIFF, twin, key=encode)]  # on every laptop the same one
    assert "k7f2q-1 stands here twice" in problem.what
    assert problem.grave


def test_a_gap_in_the_numbers_is_told_and_asks_for_nothing(folder: Path) -> None:
    journal_of(folder).write_bytes(lines(CLIFF, HAZARD))
    entries, (problem,) = load(folder)
    assert entries == [CLIFF, HAZARD]
    assert problem.what == "entry 2 of desk k7f2q is missing"
    assert not problem.grave


def test_a_line_from_a_newer_fieldbook_is_kept_and_told(folder: Path, db: JournalDB) -> None:
    newer = sealed({"v": 2, "kind": "weather", "id": "k7f2q-2", "sky": "grey"}) + b"\n"
    journal_of(folder).write_bytes(lines(CLIFF) + newer)
    entries, problems = load(folder)
    assert entries == [CLIFF]
    assert "newer fieldbook" in problems[0].what
    db.insert(DONE)
    assert journal_of(folder).read_bytes() == lines(CLIFF) + newer + lines(DONE)
