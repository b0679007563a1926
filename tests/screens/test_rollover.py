"""Next season: what it takes over is looked at row by row, and nothing is written before."""

import os
from collections.abc import Callable, Iterator
from pathlib import Path
from stat import S_ISDIR
from typing import Any

import pytest

from fieldbook.book.book import Book
from fieldbook.book.entry import Close, Line, Note, Person, Repair, Setting, clean
from fieldbook.laptop import Laptop
from fieldbook.reports.rollover import Row, outset, proposal
from fieldbook.screens.rollover import Rollover
from fieldbook.screens.season import SeasonScreen
from fieldbook.season.rollover import changes
from fieldbook.season.season import Season
from tests.conftest import stamp
from tests.screens.conftest import BAR, DESK, EVENING, LARGE, SMALL, Seat, sit_down
from tests.screens.test_items import write_everything_off
from tests.screens.test_saving import OS, no_room
from tests.screens.test_together import look
from tests.screens.test_user_text import EVERY_TEXT, shown

BRIDGE = "bridge out: nobody on the ice below it, on foot or on the sled"


@pytest.fixture
def milo(demo: Season) -> Iterator[Season]:
    """The same book on Milo's laptop."""
    book = Book.open(demo.book.path, desk="w5x2c")
    yield Season(book)
    book.close()


@pytest.fixture
def oda(fresh_laptop: Laptop, season: Season) -> Laptop:
    """Oda's laptop, for the book of Quillby Hollow."""
    fresh_laptop.set_keying(season.book.id, "Oda")
    return fresh_laptop


async def next_season(seat: Seat) -> Rollover:
    """Open it from the board."""
    await seat.press("s", "n")
    return seat.screen(Rollover)


def rows(seat: Seat) -> list[Row]:
    return [row for _change, row in seat.screen(Rollover).list.items]


async def go_to(seat: Seat, words: str) -> None:
    """Put the cursor on the row that is about something."""
    (at,) = [n for n, row in enumerate(rows(seat)) if words in f"{row.where} {row.then}"]
    await seat.press("home", *["down"] * at)


def here(seat: Seat) -> str:
    """The row under the cursor, as it stands on the screen."""
    (row,) = [row for row in seat.below if row.startswith(" >")]
    return " ".join(row[2:].rstrip(BAR).split())


def seasons(season: Season) -> list[int]:
    return season.book.seasons


def made(season: Season, year: int = 2028) -> Season:
    """The next season, as whoever opens the book will find it."""
    return Season(Book.open(season.book.path, year=year))


# --- looking -----------------------------------------------------------------------------------


@pytest.mark.parametrize("size", [SMALL, LARGE])
async def test_the_rows_are_those_of_the_report(
    demo: Season, laptop: Laptop, size: tuple[int, int]
) -> None:
    found = changes(demo, 2028, by="Ina", now=EVENING)
    report = proposal(demo, 2028, found, EVENING)
    async with sit_down(demo, laptop, size) as seat:
        await next_season(seat)
        assert rows(seat) == list(report.rows)
        assert outset(report)[0] in seat.text
        assert "! Season 2027 is not closed: what is done in it from now on" in seat.text
        for row in report.rows:
            words = here(seat)
            mark = "[=]" if row.needed else "[x]"
            assert words.startswith(f"{mark} {row.number} {row.what} {row.where}"[:28].strip())
            assert " ".join(row.why.split())[:40] in seat.text  # at the bottom, in full
            await seat.press("down")


async def test_what_was_and_what_would_be_stand_side_by_side(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await next_season(seat)
        assert here(seat) == "[=] 1 rule season_begins 2026-09-01 -> 2027-09-01"
        await go_to(seat, "Boulder main drops")
        assert "drops 2024 -> drops 2027" in here(seat)
        await go_to(seat, BRIDGE)
        assert f"{BRIDGE} (it still stands in the woods)" in seat.text


async def test_w_reads_all_of_it_and_what_stays_behind(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop, (80, 80)) as seat:
        await next_season(seat)
        await seat.press("w")
        assert "Taken over as it is: 47 x rule, 1 x checklist" in seat.box
        assert "Not taken over: what lies in the shed" in seat.box
        assert "open items stay in season 2027, and are closed there: Rae is not back" in seat.box
        assert "3 rule rate_drops: 30.0 -> 30.9 (this crew's own in 2027, of 95 h)" in seat.box
        await seat.press("escape")
        seat.screen(Rollover)


async def test_looking_leaving_and_going_back_write_nothing(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await next_season(seat)
        await seat.press("end", "x", "a", "w", "escape", "enter", "escape", "escape")
        seat.screen(SeasonScreen)
        assert seat.written() == []
        assert seasons(demo) == [2025, 2026, 2027]


async def test_it_can_be_looked_at_by_whoever_is_not_on_the_crew(
    demo: Season, fresh_laptop: Laptop
) -> None:
    fresh_laptop.set_keying(demo.book.id, "Ruth from the office")
    async with sit_down(demo, fresh_laptop) as seat:
        await next_season(seat)
        assert seat.box == ""  # nobody is put on the crew for it
        await seat.press("enter")
        await seat.keys("write", "enter")
        assert {entry.by for entry in made(demo).book.entries} == {"Ruth from the office"}


@pytest.mark.parametrize("size", [(60, 16), (40, 12)])
async def test_on_a_small_screen_the_row_and_the_keys_stay_in_sight(
    demo: Season, laptop: Laptop, size: tuple[int, int]
) -> None:
    async with sit_down(demo, laptop, size) as seat:
        screen = await next_season(seat)
        for keys in (["x"], ["end", "x"], ["home"]):  # the first says that it cannot be left
            await seat.press(*keys)
            assert screen.max_scroll_y == 0
            assert here(seat).startswith("[")
            assert seat.rows[-1].startswith(" x take or leave")


async def test_what_has_no_room_at_the_top_is_said_to_be_under_w(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop, LARGE) as seat:
        await next_season(seat)
        assert "more: w" not in seat.text
        assert "Not taken over: what lies in the shed" in seat.text
        await seat.resize(SMALL)
        assert "more: w" in seat.text
        assert "Not taken over" not in seat.text


# --- taking and leaving ------------------------------------------------------------------------


async def test_x_leaves_a_change_and_takes_it_after_all(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await next_season(seat)
        await go_to(seat, "rate_drops")
        await seat.press("x")
        assert here(seat).startswith("[x] 4 rule rate_taps")  # and it goes on to the next
        await seat.press("up")
        assert here(seat) == "[ ] 3 rule rate_drops left: 30.0"
        await seat.press("x", "up")
        assert here(seat) == "[x] 3 rule rate_drops 30.0 -> 30.9"


@pytest.mark.parametrize(
    ("about", "said"),
    [
        ("rate_drops", "left: 30.0"),  # it is taken over as it was
        ("Boulder main drops", "left: drops 2024"),
        ("Wall main", "left: as it was"),  # nothing of it would be other
        ("tapping, Upper Ridge", "left: not taken over"),  # no day is wanted then
        (BRIDGE, "left: not taken over"),
    ],
)
async def test_of_what_is_left_it_says_what_comes_in_its_place(
    demo: Season, laptop: Laptop, about: str, said: str
) -> None:
    async with sit_down(demo, laptop) as seat:
        await next_season(seat)
        await go_to(seat, about)
        await seat.press("x", "up" if about != "valve" else "end")
        assert here(seat).startswith("[ ] ")
        assert here(seat).endswith(said)


async def test_what_a_season_cannot_be_without_cannot_be_left(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await next_season(seat)
        await seat.press("x")
        assert "! A season cannot be without season_begins." in seat.text
        assert here(seat).startswith("[=] 1 ")
        await seat.press("down", "down", "x")
        assert "! A season cannot be without" not in seat.text


async def test_a_takes_everything_again(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        screen = await next_season(seat)
        await seat.press("end", "x", "home", "down", "down", "x", "x")
        assert len(screen.list.left) == 3
        assert "[ ]" in seat.text
        await seat.press("a")
        assert screen.list.left == set()
        assert "[ ]" not in seat.text


async def test_what_was_left_stays_left_when_others_put_something_before_it(
    demo: Season, milo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await next_season(seat)
        await go_to(seat, "rate_drops")
        await seat.press("x", "up")
        off = Setting(setting="days_off", value="2027-02-15", **stamp(by="Milo"))
        milo.record(off)
        await look(seat)
        assert [row.where for row in rows(seat)[2:4]] == ["days_off", "rate_drops"]
        assert here(seat) == "[ ] 4 rule rate_drops left: 30.0"  # another number, the same rule
        await seat.press("enter")
        await seat.keys("write", "enter")
        assert made(demo).plan.setting("rate_drops") == 30.0
        assert made(demo).plan.setting("days_off") == "2028-02-21"  # the third Monday


async def test_what_somebody_closes_meanwhile_goes_from_the_list(
    demo: Season, milo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await next_season(seat)
        await go_to(seat, BRIDGE)
        await seat.press("x")
        before = len(rows(seat))
        (hazard,) = [e for e in milo.ledger.of(Note) if e.text.startswith("bridge out")]
        milo.strike(hazard.id, "it was mended in January", by="Milo", now=EVENING)
        await look(seat)
        assert len(rows(seat)) == before - 1
        await seat.press("enter")
        assert f"Season 2028: {before - 1} changes, 0 left." in seat.box


# --- writing -----------------------------------------------------------------------------------


async def test_any_other_word_writes_nothing_and_stays_in_the_field(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await next_season(seat)
        await seat.press("enter")
        assert "Season 2028: 34 changes, 0 left. To write it type: write" in seat.box
        for typed in ("", "yes"):
            await seat.keys(typed, "enter")
            assert "! Type write, or leave it with Esc." in seat.box
        assert "yes" in seat.box
        await seat.press("left", "right", "x")  # keys of the screen behind are letters here
        assert "yesx" in seat.box
        await seat.press("escape")
        seat.screen(Rollover)
        assert seasons(demo) == [2025, 2026, 2027]


async def test_the_season_is_written_with_what_was_taken_and_as_it_was_where_it_was_left(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await next_season(seat)
        for left in ("rate_drops", "Boulder main drops", "tapping, Upper Ridge", BRIDGE):
            await go_to(seat, left)
            await seat.press("x")
        await seat.press("enter")
        assert "Season 2028: 30 changes, 4 left. To write it type: write" in seat.box
        await seat.keys("write", "enter")
        written = made(demo)
        n = len(written.book.entries)
        assert f"Season 2028 is on disk, {n} entries. It is what fieldbook opens from now" in (
            seat.text
        )
        assert "this one: fieldbook open --season 2027" in seat.text
        assert seat.written() == []  # nothing of this season changes
    plan = written.plan
    assert (plan.setting("season_begins"), plan.setting("rate_taps")) == ("2027-09-01", 45.5)
    assert plan.setting("rate_drops") == 30.0
    hung = {f"{line.block} / {line.line}": line.drops_hung for line in plan.lines}
    assert hung["Upper Ridge / Boulder main"] == 2024
    assert hung["Upper Ridge / Crest main"] == 2027
    wanted = {(t.block, t.task) for t in plan.targets}
    assert ("Sugar Hollow", "tapping") in wanted
    assert ("Upper Ridge", "tapping") not in wanted
    hazards = [note.text for note in written.ledger.of(Note) if note.hazard]
    assert not [text for text in hazards if text.startswith("bridge out")]
    assert len(hazards) == 1
    assert len(written.ledger.of(Repair)) == 2
    assert written.book.check() == []


async def test_the_second_time_only_what_was_left_with_nothing_in_its_place_is_lacking(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop, LARGE) as seat:
        await next_season(seat)
        for left in ("rate_drops", BRIDGE):
            await go_to(seat, left)
            await seat.press("x")
        await seat.press("enter")
        await seat.keys("write", "enter")
        assert [row.then for row in rows(seat)] == [BRIDGE]
        assert "Season 2028 is begun: what it has already is left alone" in seat.text
        await seat.press("escape", "n")
        assert [row.then for row in rows(seat)] == [BRIDGE]
        await seat.press("enter")
        assert "Season 2028: 1 change, 0 left." in seat.box
        await seat.keys("write", "enter")
        assert "Season 2028 is on disk, 1 entry." in seat.text
        assert rows(seat) == []
        assert "Season 2028 lacks nothing of this one." in seat.text
        await seat.press("x", "a", "enter")
        seat.screen(Rollover)  # there is nothing to ask about
        await seat.press("escape", "n")
        assert rows(seat) == []


async def test_what_is_found_later_is_taken_over_later(
    demo: Season, milo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await next_season(seat)
        await seat.press("enter")
        await seat.keys("write", "enter")
        milo.record(Note(text="bees in the ash", hazard=True, who="Milo", **stamp(by="Milo")))
        await look(seat)
        assert [row.then for row in rows(seat)] == ["bees in the ash"]


async def test_it_is_written_with_this_laptops_desk_and_the_next_number_is_remembered(
    demo: Season, laptop: Laptop
) -> None:
    book = demo.book
    laptop.desk(book.id, book.path, 2027, given=book.highest_number, fresh=lambda: DESK)
    async with sit_down(demo, laptop) as seat:
        await next_season(seat)
        await seat.press("enter")
        await seat.keys("write", "enter")
    written = made(demo).book
    assert {entry.desk for entry in written.entries} == {DESK}
    assert {entry.by for entry in written.entries} == {"Ina"}
    assert laptop.newest(book.id, book.path, 2028) == (DESK, len(written.entries))


async def test_who_works_on_goes_on_in_this_season(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await next_season(seat)
        await seat.press("enter")
        await seat.keys("write", "enter")
        await seat.press("escape", "r")
        await seat.keys("900", "enter")
        (run,) = Season(Book.open(demo.book.path, year=2027)).ledger.runs
        assert (run.id, run.sap_gal) == (f"{DESK}-1", 900)


# --- what others do meanwhile ------------------------------------------------------------------


async def test_a_season_that_another_laptop_made_before_the_question_is_left_alone(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await next_season(seat)
        other = Book.begin_season(demo.book.path, 2028, desk="w5x2c")
        other.record(Setting(setting="rate_drops", value=28.0, **stamp(by="Milo")))
        other.close()
        await seat.press("enter")
        assert "Season 2028: 33 changes, 0 left." in seat.box
        await seat.keys("write", "enter")
        assert made(demo).plan.setting("rate_drops") == 28.0
        assert made(demo).plan.setting("rate_taps") == 45.5


async def test_so_is_one_that_was_made_while_the_question_stood(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await next_season(seat)
        await seat.press("enter")
        other = Book.begin_season(demo.book.path, 2028, desk="w5x2c")
        other.record(Setting(setting="rate_drops", value=28.0, **stamp(by="Milo")))
        other.close()
        await seat.keys("write", "enter")
        assert made(demo).plan.setting("rate_drops") == 28.0
        drops = [
            entry
            for entry in made(demo).book.entries
            if isinstance(entry, Setting) and entry.setting == "rate_drops"
        ]
        assert len(drops) == 1
        assert rows(seat) == []


async def test_what_is_recorded_while_the_question_stands_is_not_written_unseen(
    demo: Season, milo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await next_season(seat)
        await seat.press("enter")
        milo.record(Note(text="bees in the ash", hazard=True, who="Milo", **stamp(by="Milo")))
        await look(seat)
        await seat.keys("write", "enter")
        assert "bees in the ash" not in [note.text for note in made(demo).ledger.of(Note)]
        assert [row.then for row in rows(seat)] == ["bees in the ash"]


async def test_a_next_season_that_is_closed_takes_nothing(demo: Season, laptop: Laptop) -> None:
    other = Book.begin_season(demo.book.path, 2028, desk="w5x2c")
    season = Season.begin(other, "vacuum", by="Milo", now=EVENING)
    season.record(Person(person="Milo", **stamp("2027-10-01", by="Milo")))
    season.record(Close(who="Milo", **stamp("2027-10-01", by="Milo")))
    async with sit_down(demo, laptop) as seat:
        await next_season(seat)
        before = len(other.entries)
        await seat.press("enter")
        await seat.keys("write", "enter")
        assert "write" in seat.box
        assert "! Season 2028 is closed (" in seat.box
        assert "To go on, strike that: fieldbook open --season 2028" in seat.box
        assert len(made(demo).book.entries) == before
        await seat.press("escape")
        seat.screen(Rollover)
    other.close()


# --- what goes wrong ---------------------------------------------------------------------------


def no_room_in_journals(file: int) -> None:
    """As `os.fsync` of a disk that has no room, but takes a new folder."""
    if not S_ISDIR(os.fstat(file).st_mode):
        no_room()


@pytest.mark.parametrize(
    ("call", "refuse"),
    [("write", no_room), ("fsync", no_room), ("fsync", no_room_in_journals)],
    ids=["write", "folder", "journal"],
)
async def test_a_disk_that_refuses_leaves_no_half_season_and_it_is_tried_again(
    demo: Season,
    laptop: Laptop,
    monkeypatch: pytest.MonkeyPatch,
    call: str,
    refuse: Callable[..., None],
) -> None:
    async with sit_down(demo, laptop) as seat:
        await next_season(seat)
        await go_to(seat, "rate_drops")
        await seat.press("x", "enter")
        with monkeypatch.context() as full:
            full.setattr(f"{OS}.{call}", refuse)
            await seat.keys("write", "enter")
            assert "write" in seat.box
            assert "No space left on device" in seat.box
            assert seasons(demo) == [2025, 2026, 2027]  # 2028 would be opened in place of 2027
        await seat.press("enter")
        assert "Season 2028 is on disk" in seat.text
        assert made(demo).plan.setting("rate_drops") == 30.0
        assert made(demo).plan.setting("rate_taps") == 45.5
        assert made(demo).book.check() == []


async def test_where_the_folder_may_not_be_written_the_season_is_not_begun(
    demo: Season, laptop: Laptop, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(path: Path, *_args: object, **_more: object) -> None:
        raise PermissionError(13, "Permission denied", str(path))

    async with sit_down(demo, laptop) as seat:
        await next_season(seat)
        await seat.press("enter")
        with monkeypatch.context() as locked:
            locked.setattr(Path, "mkdir", refuse)
            await seat.keys("write", "enter")
            assert "Permission denied" in seat.box
            assert "then try again." in seat.box
        assert seasons(demo) == [2025, 2026, 2027]
        await seat.press("enter")
        assert seasons(demo) == [2025, 2026, 2027, 2028]


async def test_a_next_season_that_cannot_be_read_is_told_and_nothing_is_asked(
    demo: Season, laptop: Laptop
) -> None:
    (demo.book.path / "2028" / "desk-w5x2c.jsonl").mkdir(parents=True)
    async with sit_down(demo, laptop) as seat:
        await next_season(seat)
        assert "! Cannot read" in seat.text
        assert "then try again." in seat.text
        await seat.press("x", "a", "w", "enter")
        seat.screen(Rollover)
        (demo.book.path / "2028" / "desk-w5x2c.jsonl").rmdir()
        await seat.press("enter")
        assert "Season 2028: 34 changes, 0 left." in seat.box


# --- other seasons, and books with little in them ----------------------------------------------


async def test_a_closed_season_is_gone_on_from_without_a_warning(
    demo: Season, laptop: Laptop
) -> None:
    write_everything_off(demo)
    demo.record(Close(who="Ina", **stamp(by="Ina")))
    async with sit_down(demo, laptop) as seat:
        await next_season(seat)
        assert "is not closed" not in seat.text
        await go_to(seat, BRIDGE)
        assert "it still stands in the woods; written off: over" in seat.text
        await seat.press("enter")
        await seat.keys("write", "enter")
        assert "Season 2028 is on disk" in seat.text


async def test_of_a_season_that_is_not_the_newest_it_says_how_to_open_it(
    demo: Season, laptop: Laptop
) -> None:
    Book.begin_season(demo.book.path, 2030, desk="w5x2c").close()
    book = Book.open(demo.book.path, year=2026, desk=DESK)
    async with sit_down(Season(book), laptop) as seat:
        await next_season(seat)
        await seat.press("enter")
        await seat.keys("write", "enter")
        assert "Season 2027 is on disk, 1 entry. Open it: fieldbook open --season 2027" in seat.text
    book.close()


async def test_from_a_season_before_it_the_season_after_is_the_next_that_the_book_has(
    demo: Season, laptop: Laptop
) -> None:
    Book.begin_season(demo.book.path, 2030, desk="w5x2c").close()
    async with sit_down(demo, laptop) as seat:
        await next_season(seat)
        assert "Season 2030: 60 lines" in seat.text
        assert here(seat) == "[=] 1 rule season_begins 2026-09-01 -> 2029-09-01"


async def test_a_book_without_people(
    book: Book, fresh_laptop: Laptop, monkeypatch: pytest.MonkeyPatch
) -> None:
    season = Season.begin(book, "gravity", by="owner", now=EVENING)
    season.record(Line(block="Ledge", line="Cliff", order=1, taps_planned=9, **stamp()))
    monkeypatch.setattr("fieldbook.screens.pen.login_name", lambda: "owner")
    async with sit_down(season, fresh_laptop) as seat:
        await next_season(seat)
        assert [row.where for row in rows(seat)] == ["season_begins", "season_ends"]
        await seat.press("enter")
        await seat.keys("write", "enter")
        assert [line.line for line in made(season).plan.lines] == ["Cliff"]
        assert {entry.by for entry in made(season).book.entries} == {"owner"}


async def test_a_book_with_nothing_in_it(tmp_path: Path, fresh_laptop: Laptop) -> None:
    book = Book.new(tmp_path / "bare", name="Bare Hill", year=2027, desk=DESK)
    async with sit_down(Season(book), fresh_laptop) as seat:
        await next_season(seat)
        assert "Season 2028: 0 lines, 0 taps planned, 0 drops due" in seat.text
        await seat.press("x", "down", "x", "enter", "escape")
        assert book.seasons == [2027]
    book.close()


async def test_a_season_in_which_nobody_has_worked_is_taken_over_as_it_is(
    season: Season, oda: Laptop
) -> None:
    async with sit_down(season, oda) as seat:
        await next_season(seat)
        assert [row.needed for row in rows(seat)] == [True, True]
        await seat.press("enter")
        await seat.keys("write", "enter")
        assert list(made(season).plan.people) == ["Oda", "Perrin", "Wim"]


@EVERY_TEXT
async def test_words_are_shown_as_they_were_typed(season: Season, oda: Laptop, text: str) -> None:
    place: dict[str, Any] = {"who": "Oda", "block": "Ledge", **stamp()}
    season.record(Note(text=text, hazard=True, **place), Repair(text=text, **place))
    async with sit_down(season, oda, LARGE) as seat:
        await next_season(seat)
        await seat.press("end")
        assert shown(text) in here(seat)
        assert shown(text) in seat.rows[-2]
        await seat.press("w", "end")
        assert shown(text) in seat.box
        await seat.press("escape", "enter")
        await seat.keys("write", "enter")
        carried = made(season).ledger
        assert [note.text for note in carried.of(Note)] == [clean(text)]
        assert [repair.text for repair in carried.of(Repair)] == [clean(text)]
