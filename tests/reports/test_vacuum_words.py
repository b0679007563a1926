"""Gauges in words: each sign's sentence, and what stands on a card, in either unit."""

import pytest

from fieldbook.book.entry import AnyEntry, Line
from fieldbook.reports.vacuum import (
    break_words,
    gauge_words,
    held_words,
    last_words,
    pump_words,
    signs_said,
    told_line,
    under_words,
    vacuum_words,
)
from fieldbook.reports.vacuum import tested_words as words_of_the_test
from fieldbook.season.vacuum import Gauges, LineVacuum, Mend, Point, Sign
from tests.conftest import folded, stamp
from tests.season.gauges import TAPPED, leak_at, listened, mended, read
from tests.season.woods import entry_id, valve

PAIR = Line(
    block="Ledge", line="Cedar", order=2, layout="pair", note="tee at the\nsecond post", **stamp()
)


def told(*work: AnyEntry, line: str = "Cliff") -> LineVacuum:
    """A line of Ledge, as its gauges tell it."""
    found = Gauges(folded(*TAPPED, *work)).lines("Ledge")
    return next(state for state in found if state.line.line == line)


def point(notes: str) -> Point:
    """The last reading of Cliff."""
    last = told(*read(notes)).last
    assert last is not None
    return last


def said(*work: AnyEntry, line: str = "Cliff", units: str = "us") -> list[str]:
    return signs_said(told(*work, line=line), units)


# --- a reading ---------------------------------------------------------------------------------


def test_a_vacuum_in_either_unit() -> None:
    assert vacuum_words(24.5) == "24.5 inHg"
    assert vacuum_words(24.5, "metric") == "83 kPa"  # 24.5 x 3.386 kPa an inHg is 82.96


@pytest.mark.parametrize(
    ("notes", "words"),
    [
        ("08 07:00 pump 25.5\n08 09:00 Ledge/Cliff 22", "3.5 under the pump (25.5)"),
        ("08 07:00 pump 25.5\n08 09:00 Ledge/Cliff 25.5", "0.0 under the pump (25.5)"),
        ("08 07:00 pump 25.5\n08 09:00 Ledge/Cliff 26.7", "1.2 over the pump (25.5)"),
        ("08 09:00 Ledge/Cliff 22", "3.0 under what the book says the pump holds (25.0)"),
        ("08 09:00 Ledge/Cliff 26.2", "1.2 over what the book says the pump holds (25.0)"),
    ],
)
def test_how_far_under_the_pump(notes: str, words: str) -> None:
    assert under_words(point(notes)) == words


def test_a_gauge_in_words() -> None:
    far = point("08 07:00 pump 25.5\n08 09:00 Ledge/Cliff 22")
    assert gauge_words(far) == "far end 22.0 inHg, 3.5 under the pump (25.5)"
    assert gauge_words(far, "metric") == "far end 75 kPa, 12 under the pump (86)"
    dry = told(PAIR, *read("08 07:00 pump 25\n08 09:00 Ledge/Cedar dry 24"), line="Cedar").last
    assert dry is not None
    assert gauge_words(dry) == "far end, dry pipe 24.0 inHg, 1.0 under the pump (25.0)"


def test_the_pump_in_words() -> None:
    assert pump_words(point("08 07:00 pump 25.5\n08 09:00 Ledge/Cliff 22").pump) == "pump 25.5 inHg"
    releaser = point("08 07:00 Ledge/- releaser 24\n08 09:00 Ledge/Cliff 22").pump
    assert pump_words(releaser, "metric") == "releaser 81 kPa"
    nobody = point("08 09:00 Ledge/Cliff 22").pump
    assert pump_words(nobody) == "pump not read: 25.0 inHg by the book"


# --- a card ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("notes", "words"),
    [
        ("", ""),
        ("08 09:00 Ledge/Cliff 22", "Mon 8 Feb: far end 22.0, pump by the book 25.0, 3.0 under"),
        (
            """06 09:00 Ledge/Cliff 22.8
               08 07:00 pump 25.5
               08 09:00 Ledge/Cliff head 25, far 22""",
            "Mon 8 Feb: head 25.0, far end 22.0, pump 25.5, 3.5 under; Sat 6 Feb 22.8",
        ),
        (  # the reading before, not the first
            """04 09:00 Ledge/Cliff 24
               06 09:00 Ledge/Cliff 22.8
               08 07:00 pump 25.5
               08 09:00 Ledge/Cliff 25.5""",
            "Mon 8 Feb: far end 25.5, pump 25.5, 0.0 under; Sat 6 Feb 22.8",
        ),
        (  # a gauge that is off tells nothing of how far the line hangs
            "08 07:00 pump 25.5\n08 09:00 Ledge/Cliff 26.7",
            "Mon 8 Feb: far end 26.7, pump 25.5",
        ),
    ],
)
def test_the_last_day_a_line_was_read(notes: str, words: str) -> None:
    assert last_words(told(*read(notes))) == words


def test_both_pipes_of_a_pair_on_a_card() -> None:
    day = read("08 07:00 pump 25\n08 09:00 Ledge/Cedar wet 21, dry 24, head dry 24.5")
    state = told(PAIR, *day, line="Cedar")
    assert last_words(state) == "Mon 8 Feb: wet 21.0, dry 24.0, head dry 24.5, pump 25.0, 4.0 under"
    assert (
        last_words(state, "metric") == "Mon 8 Feb: wet 71, dry 81, head dry 83, pump 85, 14 under"
    )


def test_the_valve_test_on_a_card() -> None:
    heard = listened("08 10:00", "Ledge/Cliff", heard=True)
    quiet = listened("08 10:00", "Ledge/Cliff", heard=False)
    assert words_of_the_test(told()) == ""
    assert words_of_the_test(told(quiet)) == "valve test Mon 8 Feb: no air heard (Wim)"
    assert words_of_the_test(told(heard)) == ""  # its sign says so
    found = told(heard, leak_at("08 11:00", "Ledge/Cliff"))
    assert words_of_the_test(found) == "valve test Mon 8 Feb: air heard (Wim)"


# --- what readings point at --------------------------------------------------------------------


def test_a_line_that_points_at_nothing_says_nothing() -> None:
    assert said() == said(*read("08 07:00 pump 25\n08 09:00 Ledge/Cliff 24.5")) == []


def test_a_low_line() -> None:
    day = read("08 07:00 pump 25\n08 09:00 Ledge/Cliff 22.5")
    assert said(*day) == ["hangs 2.5 under the pump (25.0)"]
    assert said(*day, units="metric") == ["hangs 8 under the pump (85)"]


def test_a_shut_valve_with_why_who_and_when() -> None:
    why = valve("Ledge/Cliff", "shut", "birch\non it", day="2027-02-07")
    assert said(why) == ["valve shut: birch on it (Wim, Sun 7 Feb): 40 taps are not under vacuum"]
    plain = valve("Ledge/Cliff", "shut", who="Perrin", day="2027-02-08")
    assert said(plain) == ["valve shut (Perrin, Mon 8 Feb): 40 taps are not under vacuum"]
    plainer = valve("Ledge/Cliff", "shut", day="2027-02-07")
    assert said(plainer, plain) == said(plain)
    # Whoever gave the reason is named with it, though Perrin said last that it is shut.
    assert said(why, plain) == said(why)
    saw = valve("Ledge/Cliff", "shut", "sawn up", who="Perrin", day="2027-02-08")
    assert said(why, saw) == [
        "valve shut: sawn up (Perrin, Mon 8 Feb): 40 taps are not under vacuum"
    ]


def test_words_of_the_woods_are_no_markup_and_no_form() -> None:
    shut = valve("Ledge/Cliff", "shut", "[red]{said}", day="2027-02-07")
    assert said(shut)[0].startswith("valve shut: [red]{said} (Wim, Sun 7 Feb): ")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        # At its head the vacuum is good: it is lost on the line.
        (
            "head 24.9, far 0.8",
            "far end 0.8 inHg with 24.9 at its head: cut off in between; "
            "look for a shut valve, a main that is cut, or ice",
        ),
        # 12.2 under at its head is half of 24.4: as good as that it still is.
        (
            "head 12.8, far 0.6",
            "far end 0.6 inHg with 12.8 at its head: cut off in between; "
            "look for a shut valve, a main that is cut, or ice",
        ),
        (
            "head 12.7, far 0.6",
            "far end 0.6 inHg: cut off; look at its valve first, then for a main that is cut, "
            "or ice",
        ),
        (
            "head 0",
            "head 0.0 inHg: cut off; look at its valve first, then for a main that is cut, or ice",
        ),
    ],
)
def test_a_line_that_is_cut_off(text: str, words: str) -> None:
    """Common practice, no source."""
    assert said(*read(f"08 07:00 pump 25\n08 09:00 Ledge/Cliff {text}")) == [words]


def test_a_full_pipe_says_where_the_two_pipes_join() -> None:
    day = "08 07:00 pump 25\n08 09:00 Ledge/Cedar wet 17, dry 24.7"
    words = (
        "wet 17.0, dry 24.7: the sap pipe is full and cuts off the air; "
        "look at its slope and where the two pipes join, not for a leak"
    )
    assert said(PAIR, *read(day), line="Cedar") == [f"{words} (tee at the second post)"]
    noted = read(day + "; booster full of slush")
    assert said(PAIR, *noted, line="Cedar") == [f"{words} (booster full of slush)"]
    apart = (
        "08 07:00 pump 25\n08 09:00 Ledge/Cedar wet 17; slush\n08 09:00 Ledge/Cedar dry 24.7; dry"
    )
    assert said(PAIR, *read(apart), line="Cedar") == [
        f"{words} (slush)"
    ]  # the wet one's goes first
    plain = Line(block="Ledge", line="Cedar", order=2, layout="pair", **stamp())
    assert said(plain, *read(day), line="Cedar") == [words]
    metric = said(plain, *read(day), line="Cedar", units="metric")
    assert metric == [words.replace("17.0", "58").replace("24.7", "84")]


def test_a_full_pipe_that_was_read_at_its_head() -> None:
    day = read("08 07:00 pump 25\n08 09:00 Ledge/Cedar head wet 20, head dry 24.8")
    assert said(PAIR, *day, line="Cedar")[0].startswith("wet 20.0, dry 24.8: the sap pipe is full")


def test_a_gauge_that_is_off() -> None:
    day = read("08 07:00 pump 25.5\n08 09:00 Ledge/Cliff head 26.7, far 25")
    off = "one of the two gauges is off, hold both on one fitting"
    assert said(*day) == [f"head 26.7 inHg, 1.2 over the pump (25.5): {off}"]


def test_over_what_the_book_says_no_gauge_is_known_to_be_off() -> None:
    """There is one gauge only: a pump that nobody read may well hold more than the book says."""
    over = "far end 26.2 inHg, 1.2 over what the book says the pump holds (25.0)"
    day = read("08 09:00 Ledge/Cliff 26.2")
    assert said(*day) == [f"{over}: read the pump, it holds more or this gauge is off"]


def test_a_line_that_sinks() -> None:
    pump = "04 07:00 pump 25\n05 07:00 pump 25\n06 07:00 pump 25\n"
    line = "04 09:00 Ledge/Cliff 24.9\n05 09:00 Ledge/Cliff 24.4\n06 09:00 Ledge/Cliff 23.9"
    sinks = "sinks {} a day since Thu 4 Feb: a leak that grows"
    low = ["hangs 1.1 under the pump (25.0)"], ["hangs 4 under the pump (85)"]
    assert said(*read(pump + line)) == [sinks.format("0.5 inHg"), *low[0]]
    metric = said(*read(pump + line), units="metric")
    assert metric == [sinks.format("1.7 kPa"), *low[1]]  # 0.5 x 3.386


def test_air_that_was_heard_and_a_leak_that_nobody_proved_mended() -> None:
    heard = listened("08 10:00", "Ledge/Cliff", heard=True)
    assert said(heard) == ["air heard at the valve test, no leak found yet (Wim, Mon 8 Feb)"]
    unread = (leak_at("05 08:00", "Ledge/Cliff"), mended("06 12:00", entry_id(2)))
    assert said(*unread) == ["mended and not read since (Perrin, Sat 6 Feb): read it"]


def test_every_sign_of_a_line_has_a_sentence() -> None:
    """Shut, its head gauge off, heard, and mended without a reading since: the gravest first."""
    state = told(
        leak_at("05 08:00", "Ledge/Cliff"),
        mended("08 12:00", entry_id(2)),
        *read("08 07:00 pump 25\n08 09:00 Ledge/Cliff head 26, far 2"),
        valve("Ledge/Cliff", "shut", day="2027-02-08"),
        listened("08 10:00", "Ledge/Cliff", heard=True, state="shut"),
    )
    assert state.signs == (Sign.SHUT, Sign.GAUGE, Sign.HEARD, Sign.UNPROVED)
    assert len(signs_said(state)) == 4


def test_what_is_said_when_a_reading_is_recorded() -> None:
    """What the gauge says already, that the line hangs low, is not said twice."""
    state = told(
        *read("08 07:00 pump 25\n08 09:00 Ledge/Cliff head 24.5, far 22"),
        listened("08 10:00", "Ledge/Cliff", heard=True),
    )
    assert list(told_line(state)) == [
        "  head 24.5 inHg, 0.5 under the pump (25.0)",
        "  far end 22.0 inHg, 3.0 under the pump (25.0)",
        "! air heard at the valve test, no leak found yet (Wim, Mon 8 Feb)",
    ]
    assert next(told_line(state, "metric")) == "  head 83 kPa, 2 under the pump (85)"


def test_a_break_is_shut_off_first() -> None:
    words = break_words()
    assert words.startswith("! Shut the valve of the line")
    assert "stand clear" in words


# --- did it hold -------------------------------------------------------------------------------


def mend(notes: str) -> Mend:
    """A leak of Cliff that was mended on Friday at noon, among readings."""
    work = (leak_at("05 08:00", "Ledge/Cliff"), mended("05 12:00", entry_id(2)), *read(notes))
    (found,) = Gauges(folded(*TAPPED, *work)).mends()
    return found


@pytest.mark.parametrize(
    ("notes", "words"),
    [
        ("", "not read since"),
        (
            "05 07:00 pump 25.5\n05 09:00 Ledge/Cliff 22",
            "not read since: before 22.0, pump 25.5",
        ),
        (
            "05 07:00 pump 25.5\n05 09:00 Ledge/Cliff 22\n05 14:00 Ledge/Cliff 24.8",
            "came back: before 22.0, after 24.8, pump 25.5",
        ),
        (  # the pump of the day that is told last
            """05 07:00 pump 25.5
               05 09:00 Ledge/Cliff 22
               05 14:00 Ledge/Cliff 24.8
               08 07:00 pump 25.2
               08 09:00 Ledge/Cliff 23.2""",
            "low again: before 22.0, after 24.8, now 23.2, pump 25.2",
        ),
        ("05 14:00 Ledge/Cliff 24.8", "came back: after 24.8, pump by the book 25.0"),
    ],
)
def test_whether_mending_held(notes: str, words: str) -> None:
    assert held_words(mend(notes)) == words


def test_whether_mending_held_in_kilopascals() -> None:
    day = "05 07:00 pump 25.5\n05 09:00 Ledge/Cliff 22\n05 14:00 Ledge/Cliff 24.8"
    assert held_words(mend(day), "metric") == "came back: before 75, after 84, pump 86"
