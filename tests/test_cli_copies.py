"""Copies at the command line: merge, repair, archive, restore; and text that stays text."""

import csv
import errno
import io
import json
import os
import re
import shutil
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from fieldbook.book.book import Book
from tests.book.shelf import files, put
from tests.conftest import NOW, count, note, numbered, sealed
from tests.scenarios import Shell, quillby

CLIFF = "record --block Ledge --line Cliff --task tapping"
THEIRS = numbered(
    count("Ledge/Cedar", "tapping", 30, who="Wim"), note("owl in the box"), desk="b3x9m"
)


@pytest.fixture
def book(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Shell:
    """Quillby Hollow: Cliff 42 taps, Cedar 60, Ford 120, Spring 35, Sugar Lot 20."""
    return quillby(Shell(tmp_path, monkeypatch, capsys))


@pytest.fixture
def stick(book: Shell) -> Path:
    """The book on a stick, where another desk has keyed 30 taps on Cedar and a note."""
    return put(Path(shutil.copytree(book.folder / "quillby", book.folder / "stick")), *THEIRS)


def own(book: Shell) -> Path:
    """The journal of the desk that made the book."""
    (path,) = (book.folder / "quillby" / "2027").glob("desk-*.jsonl")
    return path


def ids(book: Shell) -> list[str]:
    return [row["id"] for row in book.exports("log")]


# --- merge -------------------------------------------------------------------------------------


def test_merge_says_what_came_in_of_each_desk(book: Shell, stick: Path) -> None:
    book.does(f"{CLIFF} --count 20")
    desk = own(book).stem.removeprefix("desk-")
    answer = book.asks("merge stick")
    assert answer == (
        0,
        "\n".join(
            sorted(
                ["2027  desk b3x9m: 2 entries came in", f"2027  desk {desk}: nothing new"],
                key=lambda row: row.split()[2],
            )
        )
        + "\n",
        "2 entries came in.\n",
    )
    assert book.done() == {"Ledge": 50}
    assert book.asks("merge stick").err == "0 entries came in.\n"
    assert book.does("merge quillby --book stick").count("1 entry came in") == 1


def test_both_copies_report_the_same_after_merging_both_ways(book: Shell, stick: Path) -> None:
    book.does(f"{CLIFF} --count 20 --who Perrin --hours 2")
    book.does(f"{CLIFF} --aside ice --book stick --by Wim")
    book.does("merge stick")
    book.does("merge quillby --book stick")
    for report in ("summary", "summary --format json", "log", "export counts", "check"):
        here, there = (book.asks(f"{report} --book {name}") for name in ("quillby", "stick"))
        assert here == there
        assert here.code == 0


def test_twins_newer_and_damaged_lines_are_told_and_something_was_found(
    book: Shell, stick: Path
) -> None:
    put(book.folder / "quillby", *numbered(note("fox in the box"), desk="b3x9m", start=2))
    newer = sealed({"v": 2, "kind": "weather", "id": "b3x9m-3", "tick": 9})
    with (stick / "2027" / "desk-b3x9m.jsonl").open("ab") as journal:
        journal.write(newer + b"\n\x1b[2Jtorn")
    answer = book.asks("merge stick")
    assert answer.code == 1
    assert (
        "desk b3x9m: 3 entries came in, 1 of them from a newer fieldbook, "
        "1 of them beside a different one\n"
    ) in answer.out
    assert "! 2027/desk-b3x9m.jsonl, byte " in answer.out
    assert "a line that cannot be read stays there: torn" in answer.out
    assert "\x1b" not in answer.out
    assert answer.err == "3 entries came in. See fieldbook check.\n"
    answer = book.asks("check")
    assert (answer.code, answer.err.rpartition(": ")[2]) == (1, "2 to look at.\n")


@pytest.mark.parametrize(
    ("other", "words", "code"),
    [
        ("nowhere", "There is nothing at nowhere.\n  See that the stick", 3),
        ("laptop", "There is no book in laptop.\n  Name the book's folder", 3),
        ("lines.csv", "Cannot read lines.csv: ", 3),
        ("quillby", "quillby is this very book.\n  Name another copy", 2),
        ("otter", "otter is another book: Otter.\n  Only copies of one book", 2),
    ],
)
def test_what_cannot_be_merged(book: Shell, other: str, words: str, code: int) -> None:
    book.does("new otter --season 2027")
    before = book.journal()
    answer = book.asks(f"merge {other} --book quillby")
    assert (answer.code, answer.out) == (code, "")
    assert answer.err.startswith(words)
    assert book.journal() == before
    assert book.asks("merge").code == 2


# --- repair ------------------------------------------------------------------------------------


def test_check_moves_damaged_lines_aside_when_asked(book: Shell) -> None:
    book.does(f"{CLIFF} --count 20")
    sound = own(book).read_bytes()
    own(book).write_bytes(sound + b'{"kind":"count","count":2\n')
    assert book.asks("check").code == 1
    answer = book.asks("check --repair --book quillby")
    aside = Path("quillby", "2027", "set-apart", own(book).name)
    assert answer.code == 0
    assert answer.out.splitlines()[0] == (
        f"1 line of {Path('quillby', '2027', own(book).name)} moved to {aside}"
    )
    assert answer.err.endswith(" entries in season 2027: 0 to look at.\n")
    assert own(book).read_bytes() == sound
    assert (book.folder / aside).read_bytes() == b'{"kind":"count","count":2\n'
    answer = book.asks("check --repair")
    assert (answer.code, answer.err.splitlines()[0]) == (0, "There was nothing to move aside.")


def test_a_journal_that_cannot_be_repaired_is_exit_code_3(book: Shell) -> None:
    own(book).write_bytes(own(book).read_bytes() + b"torn\n")
    (book.folder / "quillby/2027/set-apart").write_bytes(b"in the way")
    answer = book.asks("check --repair")
    assert (answer.code, answer.out) == (3, "")
    assert answer.err.startswith("Cannot repair ")


# --- archive and restore -----------------------------------------------------------------------


def test_a_book_is_archived_and_restored(book: Shell) -> None:
    book.does(f"{CLIFF} --count 20")
    lines = book.journal().count(b"\n")
    answer = book.asks("export --archive --out a.zip")
    said = f"a.zip: {lines} lines in 3 files, read back and found as written\n"
    assert answer == (0, said, "")
    answer = book.asks("restore a.zip back")
    assert answer.code == 0
    assert answer.out == f"back: {lines} lines in 3 files\n"
    assert answer.err == "Open it: fieldbook open --book back\n"
    assert files(book.folder / "back") == {
        name: data
        for name, data in files(book.folder / "quillby").items()
        if not name.startswith(".")
    }
    summary = book.does("summary --book back")
    assert summary == book.does("summary --book quillby")


def test_an_archive_is_called_after_the_book_and_the_day_and_overwrites_nothing(
    book: Shell,
) -> None:
    book.does("export --archive")
    (made,) = book.folder.glob("quillby-20*.zip")
    assert re.fullmatch(r"quillby-\d{4}-\d\d-\d\d\.zip", made.name)
    before = made.read_bytes()
    answer = book.asks("export --archive", "--out", made.name)
    assert (answer.code, answer.out) == (2, "")
    assert answer.err.startswith(f"{made.name} is there already.\n")
    assert made.read_bytes() == before
    answer = book.asks("export --archive --out no/a.zip")
    assert (answer.code, answer.out) == (3, "")
    assert answer.err.startswith("Cannot make no/a.zip")


def test_what_cannot_be_restored(book: Shell) -> None:
    book.does("export --archive --out a.zip")
    data = bytearray((book.folder / "a.zip").read_bytes())
    for at in range(200, 260):
        data[at] ^= 0x55
    (book.folder / "bad.zip").write_bytes(data)
    for line, code, words in (
        ("restore a.zip quillby", 2, "quillby is in use"),
        ("restore bad.zip back", 3, "Cannot read bad.zip: "),
        ("restore lines.csv back", 3, "Cannot read lines.csv: "),
        ("restore nowhere.zip back", 3, "Cannot read nowhere.zip: No such file"),
        ("restore a.zip", 2, "usage: "),
    ):
        answer = book.asks(line)
        assert (answer.code, answer.out) == (code, ""), line
        assert answer.err.startswith(words)
    assert not (book.folder / "back").exists()


def test_an_archive_is_restored_to_the_folder_we_stand_in(
    book: Shell, monkeypatch: pytest.MonkeyPatch
) -> None:
    book.does("export --archive --out a.zip")
    (book.folder / "here").mkdir()
    monkeypatch.chdir(book.folder / "here")
    book.does("restore ../a.zip .")
    assert book.summary()["book"] == "Quillby Hollow"


def test_what_is_no_part_of_a_book_is_told_and_left_in_the_zip(book: Shell) -> None:
    (book.folder / "quillby/owl.jpg").write_bytes(b"hoo")
    shutil.make_archive(str(book.folder / "mail"), "zip", book.folder, "quillby")
    answer = book.asks("restore mail.zip back")
    assert answer.code == 0
    assert "owl.jpg' is no part of a book: left in the archive\n" in answer.out
    assert answer.err.startswith("The archive has no list of sums; ")
    assert not (book.folder / "back/owl.jpg").exists()


# --- a book that was set back ------------------------------------------------------------------


def set_back(book: Shell) -> None:
    """Put the archive of the morning in the book's place."""
    shutil.rmtree(book.folder / "quillby")
    book.does("restore morning.zip quillby")


@pytest.mark.parametrize(
    "evening",
    [
        f"{CLIFF} --count 20",
        "setting tie_spacing_ft 30",
        "import more.csv",
        "strike {last} --reason miscounted",
    ],
)
def test_a_book_set_back_to_the_morning_gives_no_number_out_twice(
    book: Shell, evening: str
) -> None:
    book.write("more.csv", "date,block,line,task,count\n2027-02-09,Ledge,Cedar,tapping,9\n")
    book.does(f"{CLIFF} --count 1")
    book.does("export --archive --out morning.zip")
    morning = ids(book)
    book.does(evening.format(last=morning[-1]))
    lost = [entry for entry in ids(book) if entry not in morning]
    book.does("export --archive --out evening.zip")
    set_back(book)
    assert ids(book) == morning
    book.does(f"{CLIFF} --count 5")
    (again,) = (entry for entry in ids(book) if entry not in morning)
    assert again.partition("-")[0] != lost[0].partition("-")[0]
    answer = book.asks("merge evening.zip")
    assert (answer.code, answer.err) == (0, f"{len(lost)} entry came in.\n")
    assert sorted(ids(book)) == sorted([*morning, *lost, again])
    assert book.asks("check").code == 0


def test_a_window_that_was_killed_and_a_book_restored_give_no_number_out_twice(book: Shell) -> None:
    book.does(f"{CLIFF} --count 1")
    book.does("export --archive --out morning.zip")
    morning, laptop = ids(book), (book.folder / "laptop/laptop.json").read_bytes()
    book.does(f"{CLIFF} --count 20")
    (lost,) = (entry for entry in ids(book) if entry not in morning)
    (book.folder / "laptop/laptop.json").write_bytes(laptop)  # it had no time to remember
    set_back(book)
    book.does(f"{CLIFF} --count 5")
    assert lost not in ids(book)


def test_an_older_copy_in_place_of_the_book_is_told(book: Shell) -> None:
    older = shutil.copytree(book.folder / "quillby", book.folder / "older")
    book.does(f"{CLIFF} --count 20")
    newest = ids(book)[-1]
    shutil.rmtree(book.folder / "quillby")
    older.rename(book.folder / "quillby")
    words = f"This copy is older than the book this laptop wrote in, up to {newest}: merge the"
    checked = book.asks("check")
    assert checked.code == 1
    assert f"quillby: {words}" in checked.out
    assert f"! {words}" in book.asks(f"{CLIFF} --count 5").err
    assert book.asks(f"{CLIFF} --count 5").err == ""


def test_a_new_book_set_back_to_nothing_gives_no_number_out_twice(book: Shell) -> None:
    """Copied the moment it was made, before its lines were imported."""
    book.does("new otter --season 2027")
    shutil.copytree(book.folder / "otter", book.folder / "copy")
    book.write("more.csv", "block,line,order,taps_planned\nLedge,Cliff,1,42\n")
    book.does("import more.csv --book otter")
    first = book.journal("otter").splitlines()[-1]
    shutil.rmtree(book.folder / "otter")
    shutil.copytree(book.folder / "copy", book.folder / "otter")
    book.does("import more.csv --book otter")
    assert json.loads(book.journal("otter").splitlines()[-1])["id"] != json.loads(first)["id"]


def test_two_commands_at_once_are_one_desk(book: Shell, monkeypatch: pytest.MonkeyPatch) -> None:
    open_it = Book.open

    def open_while_another_records(*args: Any, **options: Any) -> Book:
        opened = open_it(*args, **options)
        monkeypatch.setattr(Book, "open", open_it)
        book.does(f"{CLIFF} --count 2")
        return opened

    monkeypatch.setattr(Book, "open", open_while_another_records)
    book.does(f"{CLIFF} --count 3")
    assert own(book).is_file()
    assert [row["count"] for row in book.exports("counts")] == ["2", "3"]


def test_the_reserve_is_not_given_up_in_silence(
    book: Shell, monkeypatch: pytest.MonkeyPatch
) -> None:
    write = os.write

    def full(fd: int, data: bytes) -> int:
        if (book.folder / "quillby/.reserve").exists():
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return write(fd, data)

    monkeypatch.setattr(os, "write", full)
    answer = book.asks(f"{CLIFF} --count 3")
    assert answer.code == 0
    assert answer.err == "! The disk is full and the reserve is in use: make room.\n"


def test_of_several_books_on_a_stick_one_is_to_be_named(book: Shell) -> None:
    for name in ("hollow", "otter"):
        shutil.copytree(book.folder / "quillby", book.folder / "all" / name)
    answer = book.asks("merge all")
    assert answer.code == 2
    assert answer.err == "Several books lie in all.\n  Name one of them: all/hollow, all/otter.\n"


@pytest.mark.parametrize("table", ["export counts", "export log", "export log --format json"])
def test_an_export_ends_with_the_day_asked_for_and_leaves_out_nothing_unasked(
    book: Shell, table: str
) -> None:
    for day in ("2027-02-08", "2027-03-01"):
        book.asks(f"{CLIFF} --count 5 --date {day}")
    whole = book.asks(table)
    assert (whole.out.count("2027-03-01") > 0, whole.err) == (True, "")
    until = book.does(f"{table} --as-of 2027-02-09")
    assert "2027-02-08" in until
    assert "2027-03-01" not in until


def test_work_after_today_is_not_left_out_in_silence(book: Shell) -> None:
    book.asks(f"{CLIFF} --count 5 --date 2027-03-01")
    assert "! Work dated after 2027-02-09 is left out." in book.asks("summary").err
    assert book.asks("summary --as-of 2027-02-09").err == ""


# --- every day, and days to come ---------------------------------------------------------------


def test_who_writes_keeps_a_copy_and_who_reads_does_not(
    book: Shell, monkeypatch: pytest.MonkeyPatch
) -> None:
    copies = book.folder / "quillby-copies"
    shutil.rmtree(copies, ignore_errors=True)
    for report in ("summary", "log", "check", "export lines", "export --archive --out a.zip"):
        book.does(report)
    assert not copies.exists()
    book.does(f"{CLIFF} --count 1")
    assert [path.name for path in copies.iterdir()] == [
        f"quillby-{own(book).stem.removeprefix('desk-')}-2027-02-09.zip"
    ]
    monkeypatch.setattr("fieldbook.commands.common.now", lambda _book: NOW + timedelta(days=1))
    book.does(f"{CLIFF} --count 1")
    assert len(list(copies.iterdir())) == 2


def test_a_copy_that_cannot_be_kept_is_an_alarm_beside_the_work(book: Shell) -> None:
    with (book.folder / "quillby/book.toml").open("a", encoding="utf-8") as mark:
        mark.write('copies = "book.toml/under"\n')
    answer = book.asks(f"{CLIFF} --count 1")
    assert answer.code == 0
    assert answer.out.endswith("Oda, 1 taps, Ledge / Cliff (1 of 42)\n")
    assert answer.err.startswith("! No copy of the book could be kept today (")
    assert book.asks("summary").err == ""


def test_an_invented_book_keeps_no_copies(book: Shell) -> None:
    shutil.rmtree(book.folder / "quillby-copies", ignore_errors=True)
    with (book.folder / "quillby/book.toml").open("a", encoding="utf-8") as mark:
        mark.write("today = 2027-02-09\n")
    book.does(f"{CLIFF} --count 1")
    assert not (book.folder / "quillby-copies").exists()


@pytest.mark.parametrize(
    ("day", "warning"),
    [
        ("2027-02-10", "! 2027-02-10 is still to come: today is 2027-02-09. If the date is wrong"),
        ("2027-02-09", ""),
        ("2027-02-08", ""),
    ],
)
def test_work_of_a_day_to_come_is_taken_with_a_warning(book: Shell, day: str, warning: str) -> None:
    answer = book.asks(f"{CLIFF} --count 1 --date {day}")
    assert (answer.code, answer.out.count(" saved: ")) == (0, 1)
    assert answer.err.startswith(warning)
    assert (answer.err == "") == (warning == "")
    assert book.asks("check").code == (1 if warning else 0)


# --- text stays text ---------------------------------------------------------------------------

FORMULAS = [
    "=1+1", "+3 by the road", "-20 at dawn", "@home", "\t=tab", "\r=return", "'=quoted", "''@twice"
]  # fmt: skip
TABLES = ("log", "lines", "people", "counts", "targets", "settings")


def hostile(texts: list[str]) -> Iterator[str]:
    """Lines of another desk with a text in every field that holds one."""
    stamps = {"at": NOW.isoformat(), "noted": NOW.isoformat()}
    for number, text in enumerate(texts):
        where = {"block": text, "line": text}
        work = {**where, "task": "tapping", "who": text}
        drafts: list[dict[str, object]] = [
            {"kind": "block", "block": text, "note": text},
            {"kind": "line", **where, "taps_planned": 5, "note": text},
            {"kind": "person", "person": text, "role": text, "note": text},
            {"kind": "target", "task": "tapping", **where, "planned": 7},
            {"kind": "count", **work, "count": 3, "note": text},
            {"kind": "aside", **work, "reason": text},
            {"kind": "finish", **work, "reason": text},
            {"kind": "step", **work, "step": text},
            {"kind": "note", **where, "text": text, "hazard": True},
            {"kind": "setting", "setting": "workdays", "value": text},
            {"kind": "note", "text": "struck"},
            {"kind": "strike", "reason": text, "entry": f"b3x9m-{12 * number + 11}"},
        ]
        for at, draft in enumerate(drafts, start=12 * number + 1):
            fields = {"id": f"b3x9m-{at}", "tick": 100 + at, **stamps, "by": text, **draft}
            yield sealed(fields).decode()


@pytest.fixture
def foreign(book: Shell) -> Shell:
    """Quillby Hollow with lines of a desk where nothing was typed but formulas and paths."""
    texts = [*FORMULAS, "../../evil", "..\\..\\evil", "/evil", "C:\\evil", "NUL", "~/evil"]
    path = book.folder / "quillby/2027/desk-b3x9m.jsonl"
    path.write_text("\n".join(hostile(texts)) + "\n", encoding="utf-8", newline="")
    assert "set apart" not in book.asks("check").out
    return book


@pytest.mark.parametrize(
    "command", ["summary --format csv", "log --format csv", *(f"export {name}" for name in TABLES)]
)
def test_no_cell_of_any_csv_begins_a_formula(foreign: Shell, command: str) -> None:
    book = foreign
    rows = list(csv.reader(io.StringIO(book.does(command), newline=""), strict=True))
    assert len({len(row) for row in rows}) == 1
    for cell in (cell for row in rows for cell in row):
        assert not re.match(r"[=+\-@\t\r\n]", cell), cell
    book.does(f"{command} --out table.csv")
    assert (book.folder / "table.csv").read_text("utf-8") == book.does(command)


@pytest.mark.parametrize("table", ["lines", "people", "counts", "targets"])
def test_the_tables_hold_every_formula_as_text(foreign: Shell, table: str) -> None:
    column = {"people": "name"}.get(table, "block")
    there = {row[column] for row in foreign.exports(table)}
    assert {"'=1+1", "'+3 by the road", "'-20 at dawn", "'@home", "'=tab", "'=return"} <= there


def test_no_name_becomes_a_path(foreign: Shell) -> None:
    book = foreign
    before = {path.relative_to(book.folder).as_posix() for path in book.folder.rglob("*")}
    book.does("export --archive --out a.zip")
    book.does("restore a.zip back")
    book.does("merge a.zip")
    book.does("summary --out summary.txt")
    book.does("check --repair --season 2027")
    for block in ("../../evil", "/evil"):
        book.does(
            f"record --block {block} --line {block} --task tapping --count 1 --who Wim --really "
            "--by ../x"
        )
    made = {path.relative_to(book.folder).as_posix() for path in book.folder.rglob("*")} - before
    desk = own_desk(book)
    assert {name for name in made if not name.startswith(("back", "quillby-copies/"))} == {
        "a.zip",
        "summary.txt",
    }
    assert {name for name in made if name.startswith("back/")} == {
        "back/2027",
        "back/2027/checklist.toml",
        "back/2027/desk-b3x9m.jsonl",
        f"back/2027/desk-{desk}.jsonl",
        "back/book.toml",
    }
    assert not list(book.folder.parent.glob("*evil*"))


def own_desk(book: Shell) -> str:
    """The desk that made the book."""
    return Book.open(book.folder / "quillby").entries[0].desk
