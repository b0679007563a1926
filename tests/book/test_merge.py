"""Two copies of one book become one: every line comes over as it stands, in whatever order."""

import contextlib
import os
import shutil
import tempfile
import zipfile
from collections.abc import Iterator
from datetime import UTC, date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from fieldbook.book.book import Book
from fieldbook.book.codec import encode
from fieldbook.book.copies import archive
from fieldbook.book.entry import AnyEntry
from fieldbook.book.layout import book_seasons
from fieldbook.book.merge import Merged, merge
from fieldbook.errors import BookError, Exit, NotSaved
from fieldbook.season.refusals import refuse
from fieldbook.season.season import Season
from tests.book.shelf import (
    all_lines,
    another,
    each_refusal,
    files,
    fresh,
    journals,
    put,
    refusing,
    reports,
    shelf,
    view,
)
from tests.conftest import (
    NOW,
    PLAN,
    count,
    journal_of,
    lines,
    load,
    note,
    numbered,
    refused,
    sealed,
    strike,
    vacuum_checklist,
)
from tests.season.test_strikes import works

OURS = numbered(note("gate is chained"), count("Ledge/Cliff", "tapping", 42))
THEIRS = numbered(
    count("Ledge/Cedar", "tapping", 60, who="Wim"), note("ash leans", block="Ledge"), desk="b3x9m"
)
WIMS = numbered(count("Creek/Ford", "tapping", 80, who="Wim"), desk="w4w4w")
BOTH = [THEIRS[0], OURS[0], THEIRS[1], OURS[1]]
"""The lines of both desks in fold order: by tick, then by desk."""
NEWER = sealed({"v": 2, "kind": "weather", "id": "b3x9m-3", "tick": 9, "sky": "grey"})
TUESDAY = date(2027, 2, 9)


def told(merged: Merged) -> list[tuple[int, str, int, int]]:
    """Season, desk, how many came, how many were known."""
    return [(a.season, a.desk, a.came, a.known) for a in merged.arrivals]


@pytest.fixture
def stick(book: Book) -> Path:
    """The book on a stick, on which another desk has written two lines since."""
    put(book.path, *OURS)
    return put(another(book.path), *THEIRS)


# --- what comes in -----------------------------------------------------------------------------


def test_what_the_other_copy_has_comes_in_as_it_stands(book: Book, stick: Path) -> None:
    there = journals(stick)
    assert told(merge(book.path, stick)) == [(2027, "b3x9m", 2, 0), (2027, "k7f2q", 0, 2)]
    assert journals(book.path) == journals(stick) == there
    assert load(book.path / "2027") == (BOTH, [])


def test_merging_again_changes_no_byte(book: Book, stick: Path) -> None:
    merge(book.path, stick)
    before = journals(book.path)
    again = merge(book.path, stick)
    assert (again.came, again.left, journals(book.path)) == (0, [], before)


def zipped(folder: Path, out: Path, inside: str) -> Path:
    """A folder zipped by hand: its files below some folders."""
    with zipfile.ZipFile(out, "w") as file:
        for path in sorted(folder.rglob("*")):
            file.write(path, inside + path.relative_to(folder).as_posix())
    return out


@pytest.mark.parametrize("inside", ["", "stick/", "Wim's things/winter/stick/"])
def test_from_a_zip_made_by_hand_whatever_folder_it_holds(
    book: Book, stick: Path, tmp_path: Path, inside: str
) -> None:
    merged = merge(book.path, zipped(stick, tmp_path / "mail.zip", inside))
    assert (merged.came, journals(book.path)) == (2, journals(stick))


def test_from_an_archive_and_from_a_folder_that_holds_the_book(
    book: Book, stick: Path, tmp_path: Path
) -> None:
    archive(stick, tmp_path / "a.zip")
    (tmp_path / "media" / "usb").mkdir(parents=True)
    shutil.move(stick, tmp_path / "media" / "usb" / "quillby")
    assert merge(book.path, tmp_path / "a.zip").came == 2
    put(tmp_path / "media" / "usb" / "quillby", *WIMS)
    assert merge(book.path, tmp_path / "media").came == 1


def test_a_season_the_book_lacks_comes_in_whole(book: Book, stick: Path) -> None:
    put(stick, *OURS, *WIMS, year=2026)
    (stick / "2025").mkdir()  # without a line: there is nothing to bring
    merged = merge(book.path, stick)
    assert told(merged)[:2] == [(2026, "k7f2q", 2, 0), (2026, "w4w4w", 1, 0)]
    assert book_seasons(book.path) == [2026, 2027]
    assert journals(book.path) == journals(stick)


def test_a_desks_own_lines_that_were_lost_here_come_back(book: Book, stick: Path) -> None:
    journal_of(book.path / "2027").unlink()
    assert told(merge(book.path, stick)) == [(2027, "b3x9m", 2, 0), (2027, "k7f2q", 2, 0)]
    again = Book.open(book.path, desk="k7f2q")
    assert again.record(note("next"))[0].id == "k7f2q-3"
    again.close()


def test_lines_of_a_newer_fieldbook_come_in_byte_for_byte_and_once(book: Book, stick: Path) -> None:
    with journal_of(stick / "2027", "b3x9m").open("ab") as file:
        file.write(NEWER + b"\n")
    journal_of(stick / "2027", "b3x9m.synced").write_bytes(NEWER + b"\n")
    merged = merge(book.path, stick)
    assert [(a.desk, a.came, a.newer) for a in merged.arrivals] == [
        ("b3x9m", 3, 1),
        ("k7f2q", 0, 0),
    ]
    assert journals(book.path)["2027/desk-b3x9m.jsonl"] == lines(*THEIRS) + NEWER + b"\n"
    assert merge(book.path, stick).came == 0
    assert merge(stick, book.path).came == 0


def test_a_line_in_another_spelling_stays_as_its_writer_wrote_it(book: Book, stick: Path) -> None:
    """Another program may part keys by blanks' absence, escapes or order: the bytes are its own."""
    stamp = {
        "at": "2027-02-09T16:30:00-05:00",
        "noted": "2027-02-09T16:30:00-05:00",
        "by": "Zo\xeb",
    }
    spelt = sealed({"id": "w4w4w-1", **stamp, "text": "caf\xe9", "kind": "note"}, ascii_only=True)
    assert b"\\u00eb" in spelt
    journal_of(stick / "2027", "w4w4w").write_bytes(spelt + b"\n")
    merge(book.path, stick)
    assert journals(book.path)["2027/desk-w4w4w.jsonl"] == spelt + b"\n"


@pytest.mark.parametrize("end", [b"\n", b"\r\n"])
def test_line_ends_of_a_mailed_copy_do_not_matter(book: Book, stick: Path, end: bytes) -> None:
    put(stick, *WIMS, end=end)
    with journal_of(stick / "2027", "w4w4w").open("ab") as file:
        file.write(end + b"  " + end)
    merge(book.path, stick)
    assert journals(book.path)["2027/desk-w4w4w.jsonl"] == lines(*WIMS)
    assert merge(book.path, stick).came == 0


def test_a_last_line_that_lacks_only_its_newline_comes_in(book: Book, stick: Path) -> None:
    put(stick, *WIMS, end=b"")
    merged = merge(book.path, stick)
    assert (merged.came, merged.left) == (3, [])
    assert journals(book.path)["2027/desk-w4w4w.jsonl"] == lines(*WIMS)


def test_a_torn_last_line_here_is_sealed_and_stays(book: Book, stick: Path) -> None:
    torn = encode(THEIRS[1])[:-30]
    journal_of(book.path / "2027", "b3x9m").write_bytes(torn)
    merge(book.path, stick)
    assert journals(book.path)["2027/desk-b3x9m.jsonl"] == torn + b"\n" + lines(*THEIRS)


# --- what stays there --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("raw", "why"),
    [
        (encode(WIMS[0])[:-30], "torn"),
        (encode(WIMS[0]).replace(b":80", b":81"), "checksum"),
        (b"\x00" * 64, "torn"),
        (sealed({"v": 2, "kind": "weather", "id": "../../x-1"}), "no id"),
    ],
    ids=["torn", "changed", "nulls", "newer, with a path for an id"],
)
def test_a_line_that_cannot_be_read_stays_there_and_is_told(
    book: Book, stick: Path, raw: bytes, why: str
) -> None:
    path = journal_of(stick / "2027", "w4w4w")
    path.write_bytes(b"\n\r\n" + raw)
    (left,) = merge(book.path, stick).left
    assert left.where == "2027/desk-w4w4w.jsonl, byte 3"
    assert why in left.what
    assert left.grave
    assert raw not in all_lines(book.path)
    assert path.read_bytes() == b"\n\r\n" + raw


def test_nothing_of_another_copy_can_act_on_the_terminal(book: Book, stick: Path) -> None:
    odd = sealed({"kind": "note", "id": "w4w4w-1", "\x1b[2J": 1}, ascii_only=True)
    journal_of(stick / "2027", "w4w4w").write_bytes(odd)
    (stick / "2027" / "desk-\x1b[2J.jsonl").write_bytes(b"\x1b[2Jtorn")
    left = merge(book.path, stick).left
    assert len(left) == 2
    for problem in left:
        assert "\x1b" not in f"{problem.where}{problem.what}{problem.advice}{problem.text}"


@pytest.mark.parametrize("sound", ["here", "before it", "after it", "in another file"])
def test_a_damaged_line_of_which_a_sound_one_is_here_is_not_told(
    book: Book, stick: Path, sound: str
) -> None:
    (wims,) = WIMS
    torn, whole = encode(wims)[:-30] + b"\n", lines(wims)
    first, second = {
        "here": (torn, b""),
        "before it": (whole + torn, b""),
        "after it": (torn + whole, b""),
        "in another file": (torn, whole),
    }[sound]
    if sound == "here":
        put(book.path, wims)
    journal_of(stick / "2027", "w4w4w-2").write_bytes(first)
    journal_of(stick / "2027", "w4w4w").write_bytes(second)
    assert merge(book.path, stick).left == []
    assert wims in load(book.path / "2027")[0]


def test_a_damaged_line_here_is_made_good_by_a_sound_one(book: Book, stick: Path) -> None:
    path = journal_of(book.path / "2027", "b3x9m")
    path.write_bytes(lines(*THEIRS).replace(b":60", b":66"))
    assert merge(book.path, stick).came == 1
    entries, problems = load(book.path / "2027")
    assert entries == BOTH
    assert [problem.grave for problem in problems] == [False]


def test_a_journal_that_cannot_be_read_stays_there_and_is_told(book: Book, stick: Path) -> None:
    (stick / "2027" / "desk-aaaaa.jsonl").mkdir()
    merged = merge(book.path, stick)
    (left,) = merged.left
    assert (merged.came, left.where, left.grave) == (2, "2027/desk-aaaaa.jsonl", True)
    assert "Is a directory" in left.what


def test_what_can_be_read_of_a_damaged_archive_comes_in(
    book: Book, stick: Path, tmp_path: Path
) -> None:
    """As the words say with which it is not restored."""
    put(stick, *WIMS)
    archive(stick, tmp_path / "a.zip")
    data = bytearray((tmp_path / "a.zip").read_bytes())
    with zipfile.ZipFile(tmp_path / "a.zip") as sound:
        there = sound.getinfo("2027/desk-b3x9m.jsonl").header_offset
    data[there + 80] ^= 0xFF
    (tmp_path / "a.zip").write_bytes(data)
    merged = merge(book.path, tmp_path / "a.zip")
    assert told(merged) == [(2027, "k7f2q", 0, 2), (2027, "w4w4w", 1, 0)]
    assert [(problem.where, problem.grave) for problem in merged.left] == [
        ("2027/desk-b3x9m.jsonl", True)
    ]


# --- two lines with one id ---------------------------------------------------------------------

(TWIN,) = numbered(count("Ledge/Cliff", "tapping", 24), start=2)  # ours says 42


def test_two_different_lines_with_one_id_are_both_kept_and_the_larger_counts(
    book: Book, stick: Path
) -> None:
    journal_of(stick / "2027").write_bytes(lines(OURS[0], TWIN))
    merged = merge(book.path, stick)
    merge(stick, book.path)
    assert (merged.twins, merged.came) == (1, 3)
    assert all_lines(book.path) == all_lines(stick) == set(map(encode, [*OURS, TWIN, *THEIRS]))
    for path in (book.path, stick):
        entries, (problem,) = load(path / "2027")
        assert max(OURS[1], TWIN, key=encode) in entries
        assert min(OURS[1], TWIN, key=encode) not in entries
        assert (problem.grave, "k7f2q-2 stands here twice" in problem.what) == (True, True)
    before = journals(book.path), journals(stick)
    assert merge(book.path, stick).came == merge(stick, book.path).came == 0
    assert (journals(book.path), journals(stick)) == before


def test_a_strike_of_the_id_settles_it(book: Book, stick: Path) -> None:
    journal_of(stick / "2027").write_bytes(lines(OURS[0], TWIN))
    merge(book.path, stick)
    opened = Book.open(book.path, desk="k7f2q")
    assert opened.set_apart == 1
    opened.strike("k7f2q-2", "counted twice", by="Oda", now=NOW)
    opened.close()
    merge(stick, book.path)
    for path in (book.path, stick):
        opened = Book.open(path)
        assert opened.set_apart == 0
        assert [problem.grave for problem in opened.check()] == [False]


def test_the_same_moment_by_another_clock_is_another_line(book: Book, stick: Path) -> None:
    """Half past eleven in the evening here is tomorrow elsewhere."""
    here = replace(WIMS[0], at=NOW.replace(hour=23))
    there = replace(here, at=here.at.astimezone(UTC))
    assert (here, here.day) != (there, there.day)
    put(book.path, here)
    put(stick, there)
    assert merge(book.path, stick).twins == merge(stick, book.path).twins == 1
    days = [load(path / "2027")[0][-1].day for path in (book.path, stick)]
    assert days[0] == days[1]


def test_what_is_recorded_after_a_late_twin_comes_after_it(book: Book, stick: Path) -> None:
    """The twin was written at tick 500, by whatever mishap; who has seen it writes after it."""
    late = replace(TWIN, tick=500)
    journal_of(stick / "2027").write_bytes(lines(OURS[0], late))
    merge(book.path, stick)
    opened = Book.open(book.path, desk="w4w4w")
    (after,) = opened.record(note("seen"))
    opened.close()
    assert after.tick > 500


# --- refused -----------------------------------------------------------------------------------


def no_copies(root: Path, book: Path) -> dict[str, Path]:
    """What somebody might name and what is no other copy of a book."""
    (root / "photos").mkdir()
    (root / "photos" / "owl.txt").write_text("hoo", encoding="utf-8")
    (root / "junk.zip").write_bytes(b"PK and so on")
    (root / "empty.zip").write_bytes(b"")
    return {
        "nothing": root / "nowhere",
        "photos": root / "photos",
        "zipped photos": zipped(root / "photos", root / "photos.zip", ""),
        "no zip": root / "junk.zip",
        "an empty file": root / "empty.zip",
        "too deep in a zip": zipped(book, root / "deep.zip", "a/b/c/d/"),
        "another book": _other(root / "other"),
        "itself": book,
        "itself, roundabout": book / ".." / book.name,
        "a file of it": book / "book.toml",
    }


@pytest.mark.parametrize(
    ("name", "words", "way_out", "code"),
    [
        ("nothing", "There is nothing at", "See that the stick", Exit.BOOK),
        ("photos", "There is no book in", "Name the book's folder", Exit.BOOK),
        ("zipped photos", "There is no book in", "Name the book's folder", Exit.BOOK),
        ("no zip", "Cannot read", "Take the copy again", Exit.BOOK),
        ("an empty file", "Cannot read", "Take the copy again", Exit.BOOK),
        ("too deep in a zip", "There is no book in", "Name the book's folder", Exit.BOOK),
        ("another book", "is another book: Otter Hill.", "Only copies of one", Exit.MISUSE),
        ("itself", "is this very book", "Name another copy", Exit.MISUSE),
        ("itself, roundabout", "is this very book", "Name another copy", Exit.MISUSE),
        ("a file of it", "Cannot read", "Take the copy again", Exit.BOOK),
    ],
)
def test_what_cannot_be_merged_says_why_and_changes_nothing(
    book: Book, tmp_path: Path, name: str, words: str, way_out: str, code: Exit
) -> None:
    put(book.path, *OURS)
    other, before = no_copies(tmp_path, book.path)[name], files(tmp_path)
    got = refused(lambda: merge(book.path, other))
    assert words in got[0]
    assert way_out in got[1]
    assert got[2] is code
    assert files(tmp_path) == before


def _other(path: Path) -> Path:
    Book.new(path, name="Otter Hill", year=2027)
    return put(path, *THEIRS)


def test_a_book_that_is_none_takes_nothing(book: Book, tmp_path: Path) -> None:
    message, _hint, code = refused(lambda: merge(tmp_path / "nowhere", book.path))
    assert (message.startswith("There is no book at"), code) == (True, Exit.BOOK)


def test_the_name_of_another_book_cannot_act_on_the_terminal(book: Book, tmp_path: Path) -> None:
    other = _other(tmp_path / "other") / "book.toml"
    other.write_text(other.read_text("utf-8").replace("Otter", "\\u001b[2JOtter"), "utf-8")
    assert "\x1b" not in refused(lambda: merge(book.path, other.parent))[0]


def test_a_journal_here_that_cannot_be_read_is_named_and_nothing_is_taken(
    book: Book, stick: Path
) -> None:
    (book.path / "2027" / "desk-zzzzz.jsonl").mkdir()
    before = journals(book.path)
    message, _hint, code = refused(lambda: merge(book.path, stick))
    assert "desk-zzzzz.jsonl: Is a directory" in message
    assert code is Exit.BOOK
    assert journals(book.path) == before


@pytest.mark.parametrize("name", ["02027", "\u0662\u0660\u0662\u0668", "2027-old"])
def test_a_folder_that_only_looks_like_a_season_is_passed_by(
    book: Book, stick: Path, name: str
) -> None:
    put(stick, *WIMS, year=2027)
    (stick / name).mkdir()
    assert told(merge(book.path, stick))[-1] == (2027, "w4w4w", 1, 0)
    assert len(merge(book.path, stick).arrivals) == 3


def test_a_refusing_disk_is_told_and_merging_again_completes(book: Book, stick: Path) -> None:
    put(put(stick, *WIMS), *WIMS, year=2026)
    for nth in each_refusal():
        copy = another(book.path, f"try {nth}")
        with refusing(nth) as asked, contextlib.suppress(NotSaved):
            merge(copy, stick)
        assert all_lines(copy) <= all_lines(stick)
        merge(copy, stick)
        assert all_lines(copy) == all_lines(stick)
        assert load(copy / "2027") == load(stick / "2027")
        if len(asked) < nth:
            break
    assert asked.count("write") == 3


# --- a window that is open meanwhile -----------------------------------------------------------


def test_an_open_window_sees_what_was_merged_though_its_ticks_are_lower(season: Season) -> None:
    book = season.book
    ours = count("Ledge/Cliff", "tapping", 20)
    done = replace(PLAN[2], taps_planned=50)
    season.record(ours, done)
    stick = another(book.path)
    plan = [replace(e, tick=3) for e in numbered(replace(PLAN[2], taps_planned=77), desk="b3x9m")]
    work = [replace(e, tick=4) for e in numbered(WIMS[0], desk="b3x9m", start=2)]
    merge(book.path, put(stick, *plan, *work))
    assert season.catch_up()
    assert view(season) == fresh(book.path)
    (cliff, *_rest) = season.plan.lines
    assert cliff.taps_planned == 50  # the later word, though the earlier one came in after it
    assert not season.catch_up()


@pytest.mark.parametrize("tick", [5, 500])
def test_an_open_window_sees_the_twin_that_counts_where_it_belongs(
    season: Season, tick: int
) -> None:
    book = season.book
    (ours,) = season.record(count("Ledge/Cliff", "tapping", 20))
    stick = another(book.path)
    twin = replace(ours, count=30, who="Wim", tick=tick)
    between = [replace(e, tick=100) for e in numbered(note("ash leans"), desk="b3x9m")]
    journal_of(stick / "2027").write_bytes(lines(twin))
    merge(book.path, stick)
    season.catch_up()
    assert view(season) == fresh(book.path)
    put(book.path, *between)
    season.catch_up()
    assert view(season) == fresh(book.path)
    season.record(note("seen"))
    assert view(season) == fresh(book.path)


def test_a_window_that_records_before_it_caught_up_shows_no_other_order(season: Season) -> None:
    """Lines of its own desk that had been lost, merged while it is open."""
    book = season.book
    (lost, _later) = season.record(
        replace(PLAN[2], taps_planned=77), replace(PLAN[2], taps_planned=50)
    )
    stick = another(book.path)
    path = journal_of(book.path / "2027")
    path.write_bytes(path.read_bytes().replace(lines(lost), b""))
    window = Season(Book.open(book.path, desk=book.desk))
    merge(book.path, stick)
    window.record(count("Ledge/Cliff", "tapping", 20))
    window.book.close()
    assert view(window) == fresh(book.path)


# --- laws --------------------------------------------------------------------------------------

BASE = numbered(vacuum_checklist(), *PLAN)
DESKS = ("k7f2q", "b3x9m", "w4w4w")


@st.composite
def copies(draw: st.DrawFn) -> list[list[AnyEntry]]:
    """What three copies of one book may hold: the plan, and of the work of three desks any part.

    Now and then two different lines have one id: a laptop was set back, and wrote on.
    """
    entries: list[AnyEntry] = []
    for desk, start in zip(DESKS, (len(BASE) + 1, 1, 1), strict=True):
        work = draw(st.lists(works(), max_size=6))
        ticks = sorted(draw(st.lists(st.integers(5, 40), min_size=6, max_size=6)))
        done = numbered(*work, desk=desk, start=start)
        entries += [replace(e, tick=tick) for e, tick in zip(done, ticks, strict=False)]
    some = st.lists(st.sampled_from([*BASE, *entries]), max_size=4)
    for number, entry in enumerate(draw(some), start=7):
        crossed = replace(strike(entry), id=f"w4w4w-{number}", tick=draw(st.integers(5, 50)))
        entries.append(crossed)
    for twin in draw(st.lists(st.sampled_from(entries), max_size=2)) if entries else []:
        entries.append(replace(twin, by="Zoë", tick=twin.tick + draw(st.integers(0, 9))))
    some_copies = [draw(st.sets(st.integers(0, 2), min_size=1)) for _entry in entries]
    return [
        [*BASE, *(e for e, there in zip(entries, some_copies, strict=True) if copy in there)]
        for copy in range(3)
    ]


@pytest.fixture(scope="module")
def unforced() -> Iterator[None]:
    """Nothing is forced to the disk: the laws are about what is read, not about power cuts."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "fsync", lambda _fd: None)
        yield


def everything(book: Path) -> dict[str, Any]:
    """What a book holds and shows."""
    lines = all_lines(book)
    return {"lines": lines, "reports": reports(book, TUESDAY), **fresh(book)}


@settings(max_examples=60)
@given(held=copies())
def test_copies_may_be_merged_in_any_order_and_as_often_as_one_likes(
    unforced: None, held: list[list[AnyEntry]]
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder)
        a, b, c = (shelf(root, name, *lines) for name, lines in zip("abc", held, strict=True))
        shutil.copytree(a, root / "left")
        shutil.copytree(b, root / "right")
        merge(root / "left", b)
        merge(root / "right", a)
        assert everything(root / "left") == everything(root / "right")  # a + b = b + a
        merge(root / "left", c)
        merge(b, c)
        merge(a, b)
        assert everything(root / "left") == everything(a)  # (a + b) + c = a + (b + c)
        assert all_lines(a) == {encode(entry) for lines in held for entry in lines}
        before = journals(a)
        for other in (b, c, root / "left"):
            assert merge(a, other).came == 0  # a + a = a
        assert journals(a) == before


@st.composite
def evenings(draw: st.DrawFn) -> list[tuple[int, AnyEntry | int | None]]:
    """What two laptops do one after the other: record, strike the nth entry, or merge (None)."""
    deed: st.SearchStrategy[AnyEntry | int | None] = works() | st.integers(0, 3) | st.none()
    return draw(st.lists(st.tuples(st.integers(0, 1), deed), max_size=8))


def fits(deed: AnyEntry, laptop: Season) -> bool:
    """Whether a deed fits what is open: nobody comes back who is not out."""
    try:
        refuse(deed, laptop.ledger)
    except BookError:
        return False
    return True


@settings(max_examples=40)
@given(evening=evenings())
def test_two_laptops_that_record_and_merge_end_with_the_same_book(
    unforced: None, evening: list[tuple[int, AnyEntry | int | None]]
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        paths = [shelf(Path(folder), name, *BASE) for name in ("sugarhouse", "truck")]
        laptops = [
            Season(Book.open(path, desk=desk)) for path, desk in zip(paths, DESKS, strict=False)
        ]
        for who, deed in evening:
            laptop = laptops[who]
            if deed is None:
                merge(paths[who], paths[1 - who])
                laptop.catch_up()
            elif isinstance(deed, int):
                done = [e for e in laptop.log()[len(BASE) :] if e.kind != "strike"]
                standing = [e.id for e in done if e.id not in laptop.ledger.struck]
                for target in standing[deed : deed + 1]:
                    laptop.strike(target, "miscounted", by="Oda", now=NOW)
            elif fits(deed, laptop):
                laptop.record(deed, really=True)
        merge(paths[0], paths[1])
        merge(paths[1], paths[0])
        assert everything(paths[0]) == everything(paths[1])
        for laptop in laptops:
            laptop.catch_up()
            assert view(laptop) == view(Season(Book.open(paths[0])))
            laptop.book.close()
