"""What somebody else records in the book shows, and does not disturb who is typing.

Milo keys at another laptop, on the same folder, while Ina has Brook Bend open on hers.
"""

import asyncio
from collections.abc import Iterator
from datetime import timedelta

import pytest

from fieldbook.book.book import Book
from fieldbook.book.entry import Back, Block, Count, Line, Person
from fieldbook.laptop import Laptop
from fieldbook.reports.forecast import forecast
from fieldbook.reports.forecast_tables import finish_words
from fieldbook.screens.logbook import Logbook
from fieldbook.screens.round import Round
from fieldbook.season.season import Season
from tests.conftest import Stamp
from tests.screens.conftest import BAR, EVENING, LARGE, SMALL, Seat, sit_down
from tests.screens.test_logbook import entries
from tests.screens.test_out_back import LATE
from tests.screens.test_round import counts, here, line_row

MILO: Stamp = {"at": EVENING, "noted": EVENING, "by": "Milo"}
EARLY: Stamp = {"at": EVENING - timedelta(days=60), "noted": EVENING, "by": "Milo"}


@pytest.fixture
def milo(demo: Season) -> Iterator[Season]:
    """The same book on Milo's laptop."""
    book = Book.open(demo.book.path, desk="w5x2c")
    yield Season(book)
    book.close()


async def look(seat: Seat) -> None:
    """Let the program look now whether somebody has recorded something."""
    seat.app.catch_up()
    await seat.settle()


def tapped(line: str, count: int) -> Count:
    return Count(block="Brook Bend", line=line, task="tapping", who="Milo", count=count, **MILO)


def brook_line(name: str, order: int) -> Line:
    return Line(block="Brook Bend", line=name, order=order, taps_planned=50, **MILO)


async def test_it_shows_without_a_key(demo: Season, milo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        milo.record(tapped("Cedar main", 80))
        async with asyncio.timeout(60):
            while "1,083/1,650" not in seat.text:
                await seat.pilot.pause(0.05)


async def test_it_shows_on_every_screen_that_is_open(
    demo: Season, milo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.press("g")
        milo.record(tapped("Cedar main", 80))
        await look(seat)
        assert f"of {len(demo.book.entries)} entries with: Brook Bend" in seat.below[0]
        await seat.press("end")
        assert entries(seat)[-1].startswith(" >w5x2c-1")
        await seat.press("escape")
        assert "80 of 88" in line_row(seat, "Cedar main")
        await seat.press("escape")
        assert "1,083/1,650" in seat.text


async def test_the_board_says_anew_when_tapping_is_done(
    demo: Season, milo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        before = seat.below[1]
        assert before.startswith(" Tapping done by ")
        milo.record(*(tapped(line, n) for line, n in (("Gravel main", 112), ("Lower loop", 121))))
        await look(seat)
        (tapping,) = [x for x in forecast(milo, EVENING.date()).tasks if x.task == "tapping"]
        assert finish_words(tapping.finish) in seat.below[1]
        assert seat.below[1] != before


async def test_digits_cursor_and_message_stay(demo: Season, milo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.keys("80", "enter")
        await seat.keys("8")
        (before,) = [row for row in seat.rows if row.startswith(" > ")]
        milo.record(brook_line("Far gate", 2), brook_line("Near gate", 3))
        await look(seat)
        assert here(seat) == "8  Cedar main"
        (after,) = [row for row in seat.rows if row.startswith(" > ")]
        assert after.rstrip(BAR) == before.rstrip(BAR)
        assert "line 10 of 14" in seat.text
        assert "Tue 9 Feb: 8_" in seat.text
        assert "saved: Ina, 80 taps, Brook Bend / Brook pair" in seat.text
        await seat.keys("8", "enter")
        assert counts(seat)[-1] == ("Ina", "Cedar main", 88)
        assert here(seat) == "9  Lower loop"


async def test_the_rows_stay_where_they_are_on_the_screen(
    demo: Season, milo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Island pair")
        at = next(i for i, row in enumerate(seat.rows) if row.startswith(" > "))
        milo.record(*(brook_line(f"New {n}", 0) for n in range(30)))
        await look(seat)
        assert seat.rows[at].startswith(" >  12  Island pair")


async def test_digits_typed_for_a_line_that_is_gone_are_not_recorded_on_another(
    demo: Season, milo: Season, laptop: Laptop
) -> None:
    (extra,) = demo.record(Line(block="Far Corner", line="Spur", taps_planned=9, **MILO))
    milo.catch_up()
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Far Corner", line="Spur")
        await seat.keys("9")
        milo.strike(extra.id, "never hung", by="Milo", now=EVENING)
        await look(seat)
        assert "9 was not recorded: the line changed" in seat.text
        await seat.press("enter")
        assert counts(seat) == []


async def test_a_question_stays_open_with_its_words(
    demo: Season, milo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Cedar main")
        await seat.press("n")
        await seat.keys("two drops")
        milo.record(tapped("Cedar main", 80))
        await look(seat)
        assert seat.box == "Note on Cedar main two drops"
        await seat.keys(" short", "enter")
        assert " - two drops short (Ina, Tue 9 Feb)" in seat.rows
        assert "80 of 88" in line_row(seat, "Cedar main")


async def test_the_board_stays_on_its_block_and_task(
    demo: Season, milo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("down", "right")
        milo.record(
            Block(block="Aspen Flat", order=0, **EARLY),
            Line(block="Aspen Flat", line="Aspen main", order=1, taps_planned=40, **EARLY),
        )
        await look(seat)
        assert "Aspen Flat" in seat.text
        assert " Old Orchard, tensioning:" in seat.text


async def test_the_logbook_stays_on_its_entry_with_its_search_and_message(
    demo: Season, milo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("g", "slash")
        await seat.paste("cedar", "enter", "x")
        await seat.paste("wrong line", "enter")
        (row,) = [row for row in entries(seat) if row.startswith(" >")]
        milo.record(tapped("Cedar main", 80), Person(person="Wim", **MILO))
        await look(seat)
        seat.screen(Logbook)
        assert [row for row in entries(seat) if row.startswith(" >")] == [row]
        assert "w5x2c-1" in seat.text
        assert "w5x2c-2" not in seat.text  # has no cedar in it
        assert "saved: struck" in seat.text


# --- what must be known until it is put right --------------------------------------------------

ALARM = "This disk failed to save. Copy the book to another disk now: fieldbook export --archive"


async def alarmed(seat: Seat, monkeypatch: pytest.MonkeyPatch, words: str) -> None:
    monkeypatch.setattr(Book, "alarm", words)
    await look(seat)


@pytest.mark.parametrize("size", [SMALL, LARGE], ids=["80x24", "120x40"])
async def test_an_alarm_stands_under_the_strip_of_every_screen_until_it_is_put_right(
    demo: Season, laptop: Laptop, monkeypatch: pytest.MonkeyPatch, size: tuple[int, int]
) -> None:
    demo.record(Back(who="Rae", **MILO))  # nobody is overdue
    async with sit_down(demo, laptop, size) as seat:
        calm = seat.rows
        await alarmed(seat, monkeypatch, ALARM)
        for keys in ((), ("enter",), ("g",), ("o",), ("h",), ("escape", "escape", "s")):
            await seat.press(*keys)
            assert seat.rows[1].startswith(" ! This disk failed to save.")
            assert f"! {ALARM}" in " ".join(" ".join(seat.rows[1:3]).split())
            assert seat.rows[-1].endswith("? help")
        await seat.press("escape", "escape", "escape")
        await alarmed(seat, monkeypatch, "")
        assert seat.rows == calm


@pytest.mark.parametrize("size", [SMALL, LARGE], ids=["80x24", "120x40"])
async def test_who_is_overdue_goes_before_an_alarm_and_each_has_a_row(
    demo: Season, laptop: Laptop, monkeypatch: pytest.MonkeyPatch, size: tuple[int, int]
) -> None:
    async with sit_down(demo, laptop, size) as seat:
        await alarmed(seat, monkeypatch, ALARM)
        for keys in ((), ("enter",), ("g",), ("o",), ("h",), ("escape", "escape", "s")):
            await seat.press(*keys)
            assert seat.rows[1] == f" {LATE}"
            assert seat.rows[2].startswith(" ! This disk failed to save.")
            assert seat.rows[2].endswith("book export --archive")  # what to do about it
            assert seat.rows[-1].endswith("? help")
        await seat.press("escape", "escape", "escape", "b", "enter", "enter")  # she is back
        assert LATE not in seat.text
        assert f"! {ALARM}" in " ".join(" ".join(seat.rows[1:3]).split())


async def test_under_an_alarm_the_count_and_the_message_are_still_there(
    demo: Season, laptop: Laptop, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        for hazard in ("wire under load " * 8, "hung-up ash " * 12):
            await seat.press("h")
            await seat.paste(hazard, "enter")
        await alarmed(seat, monkeypatch, ALARM)
        await seat.keys("80")
        assert "Tue 9 Feb: 80_" in seat.text
        assert here(seat) == "7  Brook pair"
        await seat.press("enter")
        assert "saved: Ina, 80 taps, Brook Bend / Brook pair" in seat.text


async def test_an_alarm_takes_two_rows_at_the_most_and_keeps_its_end(
    demo: Season, laptop: Laptop, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        seat.screen(Round)
        words = f"Cannot read [/] {'/very/long' * 40}: look at the disk."
        await alarmed(seat, monkeypatch, words)
        assert seat.rows[1] == f" {LATE}"
        assert seat.rows[2].startswith(" ! Cannot read [/] /very")
        assert seat.rows[2].endswith("look at the disk.")
        assert seat.rows[3].startswith(" Brook Bend / Tapping")
        await seat.press("b", "enter", "enter")  # Rae is back: the alarm has both rows
        assert seat.rows[1].startswith(" ! Cannot read [/] /very")
        assert seat.rows[2].endswith("look at the disk.")
        assert seat.rows[3].startswith(" Brook Bend / Tapping")
