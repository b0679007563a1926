"""A window that stays open for days: each has its copy, no number is forgotten, dates go on."""

from datetime import datetime, timedelta
from pathlib import Path

import pytest

from fieldbook.book.book import Book
from fieldbook.book.entry import Out
from fieldbook.laptop import Laptop
from fieldbook.reports.forecast import forecast
from fieldbook.screens.session import Session
from fieldbook.season.items import What, open_items
from fieldbook.season.season import Season
from tests.conftest import NOW, count, note, stamp


class Clock:
    """A clock that is moved by hand."""

    def __init__(self) -> None:
        self.now = NOW

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def session(season: Season, clock: Clock, tmp_path: Path) -> Session:
    """A book that was opened today, with today's copy kept on opening."""
    return Session(season, Laptop(tmp_path / "laptop"), clock)


def copies(season: Season) -> list[str]:
    folder = season.book.path.with_name(season.book.path.name + "-copies")
    return sorted(path.stem[-10:] for path in folder.glob("*.zip"))


def test_each_day_has_its_copy_while_the_window_stays_open(session: Session, clock: Clock) -> None:
    session.keep_copy()
    assert copies(session.season) == []
    for _day in range(2):
        clock.now += timedelta(days=1)
        session.season.record(note("another day"), really=True)
        session.keep_copy()
        session.keep_copy()
    assert copies(session.season) == ["2027-02-10", "2027-02-11"]


def test_a_copy_that_could_not_be_kept_is_tried_again(session: Session, clock: Clock) -> None:
    book = session.season.book
    mark, stick = book.path / "book.toml", book.path.with_name("stick")
    mark.write_text(mark.read_text("utf-8") + 'copies = "../stick/copies"\n', "utf-8")
    clock.now += timedelta(days=1)
    session.keep_copy()
    assert "No copy of the book could be kept today" in book.alarm
    stick.mkdir()
    session.keep_copy()
    assert book.alarm == ""
    assert len(list(stick.glob("copies/*.zip"))) == 1


def test_the_laptop_keeps_the_numbers_in_mind_while_they_are_given_out(session: Session) -> None:
    book = session.season.book
    assert book.desk is not None
    desk = session.laptop.desk(
        book.id, book.path, 2027, given=book.highest_number, fresh=lambda: book.desk or ""
    )
    session.season.record(note("gate is chained"))
    session.keep_in_mind()
    assert session.laptop.newest(book.id, book.path, 2027) == (desk, book.highest_number(desk))


# --- the forecast ------------------------------------------------------------------------------


def test_the_forecast_is_not_worked_out_again_while_nothing_changed(session: Session) -> None:
    first = session.forecast()
    assert first == forecast(session.season, NOW.date())
    session.season.catch_up()
    assert session.forecast() is first


def test_the_forecast_follows_a_count_and_a_strike(session: Session) -> None:
    before = session.forecast()
    (wrong,) = session.season.record(count("Ledge/Cliff", "tapping", 40))
    (tapping,) = [task for task in session.forecast().tasks if task.task == "tapping"]
    assert tapping.left == 217  # 257 less 40
    session.strike(wrong.id, "wrong line")
    assert session.forecast() == before


def test_the_forecast_follows_what_another_desk_records(session: Session) -> None:
    session.forecast()
    other = Season(Book.open(session.season.book.path, desk="w5x2c"))
    other.record(count("Ledge/Cliff", "tapping", 40))
    other.book.close()
    session.season.catch_up()
    (tapping,) = [task for task in session.forecast().tasks if task.task == "tapping"]
    assert tapping.left == 217


def test_the_forecast_follows_an_entry_that_comes_in_late(session: Session) -> None:
    # Written by a desk that had seen nothing: its tick puts it before what is folded already.
    other = Season(Book.open(session.season.book.path, desk="w5x2c"))
    session.season.record(note("gate is chained"))
    session.forecast()
    other.record(count("Ledge/Cliff", "tapping", 40))
    other.book.close()
    session.season.catch_up()
    assert session.forecast() == forecast(session.season, NOW.date())


def test_after_midnight_the_forecast_is_of_the_new_day(session: Session, clock: Clock) -> None:
    assert session.forecast().as_of == NOW.date()
    clock.now += timedelta(days=1)
    assert session.forecast().as_of == NOW.date() + timedelta(days=1)


# --- open items --------------------------------------------------------------------------------

LATER = NOW + timedelta(minutes=30)


def out(session: Session) -> list[tuple[str, bool]]:
    """Who is out, and whether they are overdue."""
    found = [item for item in session.items() if item.what is What.OUT]
    return [(item.about.who, item.late is not None) for item in found]


def test_open_items_are_not_worked_out_again_within_a_minute_in_which_nothing_changed(
    session: Session, clock: Clock
) -> None:
    session.season.record(Out(who="Wim", block="Creek", due=LATER, **stamp()))
    first = session.items()
    assert first == open_items(session.season.ledger, NOW)
    session.season.catch_up()
    clock.now = clock.now.replace(second=59)
    assert session.items() is first


def test_open_items_follow_an_entry_and_its_strike(session: Session) -> None:
    assert out(session) == []
    (wrong,) = session.season.record(Out(who="Wim", block="Creek", due=LATER, **stamp()))
    assert out(session) == [("Wim", False)]
    session.strike(wrong.id, "it was Perrin")
    assert out(session) == []


def test_open_items_follow_what_another_desk_records(session: Session) -> None:
    session.items()
    other = Season(Book.open(session.season.book.path, desk="w5x2c"))
    other.record(Out(who="Wim", block="Creek", due=LATER, **stamp()))
    other.book.close()
    session.season.catch_up()
    assert out(session) == [("Wim", False)]


def test_somebody_is_overdue_from_the_minute_on_though_nothing_is_recorded(
    session: Session, clock: Clock
) -> None:
    session.season.record(Out(who="Wim", block="Creek", due=LATER, **stamp()))
    told = []
    for minutes in (29, 30, 31):
        clock.now = NOW + timedelta(minutes=minutes)
        told.append(out(session))
    assert told == [[("Wim", False)], [("Wim", False)], [("Wim", True)]]
