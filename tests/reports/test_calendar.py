"""The season's days as a calendar, read back with the library that reads calendars.

Source of what a calendar must be: RFC 5545 (https://www.rfc-editor.org/rfc/rfc5545).
"""

import re
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
from icalendar import Calendar
from msgspec.structs import replace

from fieldbook.book.book import Book
from fieldbook.book.entry import About, Block, Line, Repair, Settle, Target, WriteOff
from fieldbook.reports.calendar import calendar_ics, day_events, event_uid
from fieldbook.season.season import Season
from tests.conftest import NOW, PLAN, count, stamp, vacuum_checklist
from tests.reports import TUESDAY, on, work
from tests.reports.test_forecast import SATURDAY, days_alike, workday
from tests.test_demo_season import YEARS, open_season

REPAIR = Repair(
    who="Wim", text="new post, by the ford", block="Creek", line="Ford",
    due=date(2027, 2, 12), **stamp(),
)  # fmt: skip


def events(data: bytes) -> list[dict[str, Any]]:
    """Each event as a reader has it."""
    found = Calendar.from_ical(data).walk("VEVENT")
    return [
        {
            "uid": str(event["uid"]),
            "day": event.decoded("dtstart"),
            "stamp": event.decoded("dtstamp"),
            "summary": str(event["summary"]),
            "says": str(event["description"]),
        }
        for event in found
    ]


def days(season: Season, as_of: date = TUESDAY) -> dict[str, date]:
    """Day by summary."""
    return {event["summary"]: event["day"] for event in events(calendar_ics(season, as_of))}


# --- the form ----------------------------------------------------------------------------------


@pytest.fixture(params=[*YEARS, "quillby"])
def whole(request: pytest.FixtureRequest, season: Season) -> bytes:
    """The calendars of the demo's seasons, and of Quillby Hollow with some work done."""
    if request.param != "quillby":
        demo = open_season(request.param)
        return calendar_ics(demo, demo.ledger.last_day or demo.plan.ends)
    work(season)
    season.record(REPAIR)
    return calendar_ics(on(season, TUESDAY), TUESDAY)


def test_a_calendar_has_what_it_must_have(whole: bytes) -> None:
    calendar = Calendar.from_ical(whole)
    assert str(calendar["version"]) == "2.0"  # RFC 5545, 3.7.4
    assert str(calendar["prodid"]).startswith("-//fieldbook//")  # 3.7.3
    assert not calendar.errors
    assert calendar.subcomponents
    for event in calendar.subcomponents:
        assert event.name == "VEVENT"
        assert not event.errors
        assert {"UID", "DTSTAMP", "DTSTART", "SUMMARY", "DESCRIPTION"} <= set(event)  # 3.6.1


def test_events_last_whole_days(whole: bytes) -> None:
    for event in Calendar.from_ical(whole).walk("VEVENT"):
        assert type(event.decoded("dtstart")) is date  # RFC 5545, 3.3.4, and not a DATE-TIME
        assert event["dtstart"].params["VALUE"] == "DATE"
        assert "DTEND" not in event  # then it is one day long: 3.6.1
        assert "DURATION" not in event
        assert str(event["transp"]) == "TRANSPARENT"  # 3.8.2.7: nobody is busy because of it


def test_lines_end_and_fold_as_they_must(whole: bytes) -> None:
    assert whole.endswith(b"END:VCALENDAR\r\n")
    assert whole.count(b"\n") == whole.count(b"\r") == whole.count(b"\r\n")  # RFC 5545, 3.1
    for line in whole.split(b"\r\n"):
        assert len(line) <= 75  # octets, without the line end: 3.1
        line.decode("utf-8")  # no letter is cut in two


def test_names_of_events_are_their_own(whole: bytes) -> None:
    uids = [event["uid"] for event in events(whole)]
    assert len(set(uids)) == len(uids)  # RFC 5545, 3.8.4.7


def test_events_come_by_day(whole: bytes) -> None:
    found = [event["day"] for event in events(whole)]
    assert found == sorted(found)


def test_the_stamp_is_the_day_asked_for(season: Season) -> None:
    for event in events(calendar_ics(season, TUESDAY)):
        assert event["stamp"] == datetime(2027, 2, 9, tzinfo=UTC)  # in UTC: RFC 5545, 3.8.7.2


def test_the_same_book_and_day_give_the_same_bytes(season: Season) -> None:
    work(season)
    season.record(REPAIR)
    one, other = (calendar_ics(on(season, TUESDAY), TUESDAY) for _time in range(2))
    assert one == other


# --- the names ---------------------------------------------------------------------------------


def test_an_event_keeps_its_name_when_its_day_moves(season: Season) -> None:
    days_alike(season, 10)
    season.record(REPAIR)
    before = {e["summary"]: e for e in events(calendar_ics(season, SATURDAY))}
    season.record(count("Creek/Ford", "tapping", 60, day="2027-02-08"))
    season.record(Target(task="tapping", wanted=date(2027, 2, 27), **stamp()))
    after = {e["summary"]: e for e in events(calendar_ics(season, TUESDAY))}
    assert before["Tapping: likely done"]["day"] != after["Tapping: likely done"]["day"]
    assert before["Tapping: wanted done"]["day"] != after["Tapping: wanted done"]["day"]
    shared = before.keys() & after.keys()
    assert len(shared) > 5
    assert {s: before[s]["uid"] for s in shared} == {s: after[s]["uid"] for s in shared}


def test_names_are_of_one_book_and_season() -> None:
    about = ("wanted", "tapping", "Ledge")
    names = {
        event_uid(book, year, told)
        for book in ("4a0011f1e1db2027", "4a0011f1e1db2028")
        for year in (2027, 2028)
        for told in (about, about[:2], ("likely", "tapping"), ("wanted", "tapping,Ledge"))
    }
    assert len(names) == 16
    # It must never change, or a calendar has every event twice.
    assert event_uid("4a0011f1e1db2027", 2027, about) == ("bea597ca-1698-50da-83a8-392acf06020a")


# --- the days ----------------------------------------------------------------------------------


def test_a_season_that_was_only_planned(season: Season) -> None:
    found = days(season)
    assert found["Season 2027 begins"] == date(2026, 9, 1)
    assert found["Season 2027 ends"] == date(2027, 8, 31)
    for task in season.plan.tasks:  # as the checklist wants them
        wanted = season.plan.wanted(task)
        assert wanted is not None
        assert found[f"{task.title}: wanted done"] == wanted.day
    assert not [summary for summary in found if "likely" in summary]  # nobody has begun
    assert not [summary for summary in found if "Repair" in summary]


def test_a_block_with_a_target_has_its_own_day(season: Season) -> None:
    season.record(
        Target(task="tapping", wanted=date(2027, 2, 18), **stamp()),
        Target(task="tapping", block="Ledge", wanted=date(2027, 2, 11), **stamp()),
        Target(task="leaks", block="Creek", wanted=date(2027, 3, 1), **stamp()),
    )
    found = days(season)
    assert found["Tapping: wanted done"] == date(2027, 2, 18)
    assert found["Tapping, Ledge: wanted done"] == date(2027, 2, 11)
    assert "Tapping, Creek: wanted done" not in found  # the task's day is its day
    assert found["Leak checks, Creek: wanted done"] == date(2027, 3, 1)


def test_a_target_that_is_struck_is_no_day(season: Season) -> None:
    target = Target(task="tapping", block="Ledge", wanted=date(2027, 2, 11), **stamp())
    (told,) = season.record(target)
    assert "Tapping, Ledge: wanted done" in days(season)
    season.strike(told.id, "was Creek", by="Oda", now=NOW)
    assert "Tapping, Ledge: wanted done" not in days(season)


def test_what_is_foretold_is_the_forecast(season: Season) -> None:
    days_alike(season, 10)  # 50 of 257 taps; ten a day are 21 workdays more
    (tapping,) = (
        e for e in events(calendar_ics(season, SATURDAY)) if e["summary"] == "Tapping: likely done"
    )
    assert tapping["day"] == workday(21, SATURDAY) == date(2027, 3, 3)
    assert tapping["says"].startswith(
        "Early Wed 3 Mar 2027 (one time in ten), likely Wed 3 Mar 2027 (five in ten), late Wed "
        "3 Mar 2027 (nine in ten), as of Sat 6 Feb 2027. Left: 207 taps. Wanted: "
    )


def test_what_nobody_has_begun_has_a_day_to_begin(season: Season) -> None:
    found = days(season)
    for task in season.plan.tasks:
        assert found[f"{task.title}: last day to begin"] < found[f"{task.title}: wanted done"]
    season.record(count("Ledge/Cliff", "tapping", 1))
    found = days(season)
    assert "Tapping: last day to begin" not in found
    assert found["Tapping: likely done"] > TUESDAY


def test_after_the_season_nothing_is_foretold(season: Season) -> None:
    work(season)
    found = days(season, date(2027, 9, 1))
    assert not [s for s in found if s.endswith((": likely done", ": last day to begin"))]


# --- repairs -----------------------------------------------------------------------------------


def repairs(season: Season) -> list[tuple[str, date, str]]:
    found = events(calendar_ics(season, TUESDAY))
    return [
        (event["summary"], event["day"], event["says"])
        for event in found
        if event["summary"].startswith("Repair")
    ]


def test_a_repair_that_is_promised_for_a_day(season: Season) -> None:
    (told,) = season.record(REPAIR)
    season.record(replace(REPAIR, due=None, text="some day"))
    assert repairs(season) == [
        (
            "Repair by Wim, Creek / Ford",
            date(2027, 2, 12),
            f"new post, by the ford\nPromised by Wim on Tue 9 Feb 2027 ({told.id}).",
        )
    ]


@pytest.mark.parametrize("how", ["made", "struck", "written off"])
def test_a_repair_that_is_seen_to_is_no_day(season: Season, how: str) -> None:
    (told,) = season.record(replace(REPAIR, block="", line=""))
    assert [summary for summary, _day, _says in repairs(season)] == ["Repair by Wim"]
    match how:
        case "made":
            season.record(Settle(entry=told.id, who="Wim", **stamp()))
        case "struck":
            season.strike(told.id, "was Perrin", by="Oda", now=NOW)
        case "written off":
            about = About(what="repair", entry=told.id)
            season.record(WriteOff(about=about, who="Oda", reason="sold", **stamp()))
    assert repairs(season) == []


# --- text stays text ---------------------------------------------------------------------------

HOSTILE = [
    "a,b;c:d",
    'say "when"',
    "back\\slash",
    "C:\\North\\new\\;x\\,",  # \N and \n are no line breaks here
    "\\N",
    "\\\\N",
    "\\",
    "BEGIN:VEVENT",
    "END:VCALENDAR;X=1",
    "X-WR-CALNAME:mine",
    "%0D%0A ^n &amp; <b>",
    "=1+1",
    "Ahornhügel 🍁🍁🍁🍁🍁🍁🍁🍁🍁🍁🍁🍁🍁🍁🍁🍁🍁🍁🍁🍁🍁🍁🍁🍁",
    "é" * 79,
    "tab\there",
]


@pytest.mark.parametrize("text", HOSTILE)
def test_names_come_back_as_they_were(season: Season, text: str) -> None:
    # RFC 5545, 3.3.11: what is escaped, and what comes back.
    name = " ".join(text.split())  # a name is one line, with single spaces
    checklist = vacuum_checklist()
    tasks = tuple(replace(task, title=name) for task in checklist.tasks[:3])
    season.record(
        replace(checklist, tasks=tasks),
        Block(block=name, order=9, **stamp()),
        Line(block=name, line=name, taps_planned=10, **stamp()),
        Target(task="tapping", block=name, wanted=date(2027, 2, 11), **stamp()),
        replace(REPAIR, block=name, line=name, text=f"{text}\n{text}"),
    )
    data = calendar_ics(season, TUESDAY)
    found = events(data)
    assert len(found) == len(day_events(season, TUESDAY))
    said = {event["summary"]: event["says"] for event in found}
    assert said[f"{name}, {name}: wanted done"] == f"{name}: 0 of 10 taps, left 10."
    (repair,) = (says for says in said.values() if "Promised" in says)
    assert repair.startswith(f"{text}\n{text}\nPromised by Wim")
    assert data.count(b"\r\nBEGIN:VEVENT\r\n") == len(found)
    assert all(len(line) <= 75 for line in data.split(b"\r\n"))


@pytest.mark.parametrize("text", HOSTILE)
def test_the_name_of_the_book_comes_back(tmp_path: Path, text: str) -> None:
    name = " ".join(text.split())
    book = Book.new(tmp_path / "b", name=name, year=2027, desk="k7f2q")
    season = Season.begin(book, "vacuum", by="Oda", now=NOW)
    season.record(*PLAN)
    calendar = Calendar.from_ical(calendar_ics(season, TUESDAY))
    told = str(calendar["x-wr-calname"])  # a reader leaves X- properties as they are written
    assert re.sub(r"\\(.)", r"\1", told) == f"{name}, season 2027"
    book.close()
