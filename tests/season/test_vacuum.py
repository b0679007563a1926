"""What the gauges say of a line: how far it hangs, what that points at, whether mending held."""

from datetime import date, datetime
from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from scipy.stats import theilslopes

from fieldbook.book.entry import AnyEntry, Line, Setting, Strike, Valve
from fieldbook.season.items import What, open_items
from fieldbook.season.ledger import Ledger
from fieldbook.season.vacuum import Gauges, Held, LineVacuum, Sign, whole_block_low
from tests.conftest import DESK, NOW, PLAN, folded, stamp
from tests.season.gauges import TAPPED, at, leak_at, listened, mended, read
from tests.season.woods import entry_id, place, valve

PAIR = Line(
    block="Ledge",
    line="Cedar",
    order=2,
    layout="pair",
    taps_planned=60,
    length_ft=700,
    note="tee at the second post",
    **stamp(),
)


def told(*work: AnyEntry, line: str = "Cliff", as_of: date | None = None) -> LineVacuum:
    """A line of Ledge, as its gauges tell it."""
    return gauges(*work, as_of=as_of).line(line_of(line, *work))


def gauges(*work: AnyEntry, as_of: date | None = None) -> Gauges:
    return Gauges(folded(*TAPPED, *work, as_of=as_of))


def line_of(name: str, *work: AnyEntry) -> Line:
    line = folded(*work).plan.line("Ledge", name)
    assert line is not None
    return line


def signs(*work: AnyEntry, line: str = "Cliff") -> list[str]:
    return [str(sign) for sign in told(*work, line=line).signs]


def lost(state: LineVacuum) -> float | None:
    return None if state.lost_inhg is None else round(state.lost_inhg, 6)


# --- against which pump ------------------------------------------------------------------------


def test_a_line_is_told_by_the_pump_of_its_day_nearest_in_time() -> None:
    state = told(
        *read("""
            08 07:00  pump         25.5
            08 15:00  pump         24.0
            09 07:00  pump         26.0
            08 10:00  Ledge/Cliff  22.0
        """)
    )
    assert (state.last and state.last.pump.vacuum_inhg, lost(state)) == (25.5, 3.5)
    later = told(*read("08 07:00 pump 25.5\n08 15:00 pump 24\n08 11:30 Ledge/Cliff 22"))
    assert lost(later) == 2.0  # half past eleven is nearer to three than to seven


def test_a_block_s_own_pump_goes_before_the_sugarbush_s() -> None:
    notes = "08 07:00 pump 25.5\n08 07:05 Ledge/- pump 24\n08 09:00 Ledge/Cliff 22"
    assert lost(told(*read(notes))) == 2.0
    # Though the sugarbush's was read nearer to nine.
    assert (
        lost(
            told(
                *read("08 07:00 Ledge/- pump 24\n" + "08 08:55 pump 25.5\n08 09:00 Ledge/Cliff 22")
            )
        )
        == 2.0
    )
    creek = "08 07:00 pump 25.5\n08 07:05 Creek/- releaser 24\n08 09:00 Ledge/Cliff 22"
    assert lost(told(*read(creek))) == 3.5


def test_where_nobody_read_the_pump_the_book_says_what_it_holds() -> None:
    state = told(*read("07 07:00 pump 20\n08 09:00 Ledge/Cliff 22"))
    assert lost(state) == 3.0  # 25 by the book; yesterday's reading is yesterday's
    assert state.last is not None
    assert state.last.pump.reading is None
    # At 5,000 ft the air presses 24.9 inHg (US Standard Atmosphere 1976): no pump holds 25.
    high = Setting(setting="elevation_ft", value=5000, **stamp())
    assert told(high, *read("08 09:00 Ledge/Cliff 22")).lost_inhg == pytest.approx(2.90, abs=0.01)


def test_the_newest_reading_at_each_pump() -> None:
    found = gauges(
        *read("""
            08 07:00  pump       25.5
            08 15:00  pump       25.2
            08 07:10  Ledge/-    pump 24
            08 07:20  Ledge/-    releaser 23.5
            09 07:00  Creek/-    pump 26
        """)
    )

    def pumps(day: int) -> list[tuple[str, str, float | None]]:
        newest = found.pumps(date(2027, 2, day))
        return [(reading.block, reading.place, reading.vacuum_inhg) for reading in newest]

    monday = [("", "pump", 25.2), ("Ledge", "pump", 24), ("Ledge", "releaser", 23.5)]
    assert pumps(7) == []
    assert pumps(8) == monday
    assert sorted(pumps(9)) == sorted([*monday, ("Creek", "pump", 26)])


# --- which gauge -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "tells"),
    [
        ("head 25, far 23", 23),
        ("head 25", 25),
        ("wet 21, dry 24", 21),
        ("dry 24", 24),
        ("head wet 24.5, far dry 22", 24.5),  # the taps hang on the wet pipe
        ("far 83 kPa", 83 / 3.386389),
    ],
)
def test_a_line_is_told_by_the_gauge_nearest_to_its_taps(text: str, tells: float) -> None:
    state = told(PAIR, *read(f"08 09:00 Ledge/Cedar {text}"), line="Cedar")
    assert state.last is not None
    assert state.last.vacuum_inhg == pytest.approx(tells)


def test_its_readings_compare_as_they_are_of_one_gauge() -> None:
    """On Monday only the head was read: it does not stand among what the far end read."""
    state = told(
        *read("""
            06 09:00  Ledge/Cliff  far 24
            08 09:00  Ledge/Cliff  head 25
            09 09:00  Ledge/Cliff  head 24.8, far 23
        """)
    )
    assert [point.vacuum_inhg for point in state.points] == [24, 23]
    assert {point.reading.place: point.vacuum_inhg for point in state.latest} == {
        "head": 24.8,
        "far end": 23,
    }


def test_on_a_day_when_only_the_head_was_read_the_head_tells() -> None:
    state = told(*read("06 09:00 Ledge/Cliff far 22\n08 09:00 Ledge/Cliff head 24.5"))
    assert [point.vacuum_inhg for point in state.points] == [24.5]
    assert [point.vacuum_inhg for point in state.latest] == [24.5]  # what hung on Saturday is old


def test_the_pipe_that_nobody_named_is_the_wet_one() -> None:
    day = read("08 09:00 Ledge/Cedar far 20\n08 10:00 Ledge/Cedar wet 21, dry 24")
    state = told(PAIR, *day, line="Cedar")
    assert [point.vacuum_inhg for point in state.latest] == [21, 24]
    unnamed = told(PAIR, *read("08 09:00 Ledge/Cedar far 20, dry 24"), line="Cedar")
    found = (unnamed.gauge("far end"), unnamed.gauge("far end", "dry"), unnamed.gauge("head"))
    assert [gauge and gauge.vacuum_inhg for gauge in found] == [20, 24, None]


def test_inches_and_kilopascals_of_one_line_compare() -> None:
    """85 kPa / 3.386 is 25.1 inHg; 80 kPa is 23.6."""
    state = told(
        *read("08 07:00 pump 85 kPa\n08 08:00 Ledge/Cliff 24\n08 09:00 Ledge/Cliff 80 kPa")
    )
    assert lost(state) == pytest.approx(5 / 3.386389, abs=1e-6)
    assert [round(point.vacuum_inhg, 1) for point in state.points] == [24.0, 23.6]


def test_the_newest_reading_counts_in_whatever_order_they_were_keyed() -> None:
    day = read("08 09:00 Ledge/Cliff 21\n08 14:00 Ledge/Cliff 24\n09 08:00 Ledge/Cliff 23")
    for order in permutations(day):
        state = told(*order)
        assert [point.vacuum_inhg for point in state.points] == [21, 24, 23]
        assert lost(state) == 2.0


def test_what_is_struck_was_never_read_and_what_came_later_is_left_out() -> None:
    day = read("08 09:00 Ledge/Cliff 21\n09 09:00 Ledge/Cliff 24")
    struck = Strike(entry=entry_id(3), reason="wrong line", **stamp())
    assert lost(told(*day, struck)) == 4.0
    assert lost(told(*day, as_of=date(2027, 2, 8))) == 4.0


def test_a_line_nobody_read() -> None:
    state = told()
    assert (state.last, state.lost_inhg, state.slope_inhg_day, state.signs) == (None,) * 3 + ((),)
    assert state.taps == 40


# --- what it points at -------------------------------------------------------------------------


def pump_and(vacuum: float) -> list[AnyEntry]:
    return read(f"08 07:00 pump 25\n08 09:00 Ledge/Cliff {vacuum}")


@pytest.mark.parametrize(
    ("vacuum", "points_at"),
    # At most 1 inHg from pump to tap: Leduc 2019. The rest is common practice, no source.
    [
        (25, []),
        (24, []),
        (23.99, ["low"]),
        (5.01, ["low"]),
        (5, ["no vacuum"]),  # a fifth of the pump's
        (0, ["no vacuum"]),
        (25.49, []),
        (25.5, ["gauge off"]),
    ],
)
def test_how_low_is_low(vacuum: float, points_at: list[str]) -> None:
    assert signs(*pump_and(vacuum)) == points_at


@pytest.mark.parametrize("aim", [0.5, 0.7, 0.8, 1.2])
def test_a_line_that_hangs_by_the_aim_is_not_low(aim: float) -> None:
    """Dials are read in tenths, whatever a computer makes of 25.3 - 24.5."""
    own = Setting(setting="vacuum_loss_inhg", value=aim, **stamp())
    for tenths in range(170, 260, 3):
        pump = tenths / 10
        day = "08 07:00 pump {}\n08 09:00 Ledge/Cliff {:.1f}"
        assert signs(own, *read(day.format(pump, pump - aim))) == []
        assert signs(own, *read(day.format(pump, pump - aim - 0.1))) == ["low"]


def test_where_the_pump_stands_still_no_line_is_cut_off() -> None:
    assert signs(*read("08 07:00 pump 0\n08 09:00 Ledge/Cliff 0")) == []


def test_one_gauge_that_is_off_does_not_silence_the_other() -> None:
    day = read("08 07:00 pump 25\n08 09:00 Ledge/Cliff head 26, far 23")
    assert signs(*day) == ["gauge off", "low"]
    assert lost(told(*day)) == 2.0


def test_a_shut_valve_hides_no_gauge_that_is_off() -> None:
    shut = valve("Ledge/Cliff", "shut", day="2027-02-07")
    assert signs(shut, *pump_and(26)) == ["valve shut", "gauge off"]


def test_a_gauge_above_the_pump_tells_nothing_of_the_line() -> None:
    assert told(*pump_and(26.2)).lost_inhg is None
    assert told(*pump_and(25.4)).lost_inhg == 0  # as good as the pump: dials are no finer


def test_a_shut_valve_goes_before_all_that_the_gauge_says() -> None:
    shut = valve("Ledge/Cliff", "shut", "birch on it", day="2027-02-07")
    state = told(shut, *pump_and(2))
    assert [str(sign) for sign in state.signs] == ["valve shut"]
    assert [word.reason for word in state.shut] == ["birch on it"]


@pytest.mark.parametrize(
    ("text", "points_at"),
    [
        ("wet 21.5, dry 24.5", ["sap pipe full"]),
        ("wet 21.6, dry 24.5", ["low"]),  # 2.9 apart: as good as a leak
        ("wet 17, dry 23.5", ["sap pipe full"]),  # 1.5 under: still good
        ("wet 17, dry 23.4", ["low"]),  # both low: it leaks
        ("head wet 20, head dry 24.8", ["sap pipe full"]),
        ("head wet 20, head dry 24.8, far wet 24.2, far dry 24.5", []),  # the far end tells
        ("far 21.5, dry 24.5", ["sap pipe full"]),  # unnamed is wet
        ("dry 20", ["low"]),
    ],
)
def test_wet_low_and_dry_good_is_a_full_pipe(text: str, points_at: list[str]) -> None:
    """Common practice, no source: sap that fills the pipe cuts off the air."""
    day = read(f"08 07:00 pump 25\n08 09:00 Ledge/Cedar {text}")
    assert signs(PAIR, *day, line="Cedar") == points_at


def test_a_full_pipe_under_an_old_pump() -> None:
    """3.0 apart, whatever a computer makes of 17.4 - 14.4."""
    day = read("08 07:00 pump 17.5\n08 09:00 Ledge/Cedar wet 14.4, dry 17.4")
    assert signs(PAIR, *day, line="Cedar") == ["sap pipe full"]


def test_a_pipe_that_gets_fuller_is_no_leak_that_grows() -> None:
    day = read("""
        05 07:00 pump 25
        06 07:00 pump 25
        08 07:00 pump 25
        05 09:00 Ledge/Cedar wet 21.4, dry 24.8
        06 09:00 Ledge/Cedar wet 19.0, dry 24.8
        08 09:00 Ledge/Cedar wet 17.0, dry 24.8
    """)
    assert signs(PAIR, *day, line="Cedar") == ["sap pipe full"]


def test_a_single_line_has_no_pipe_to_be_full() -> None:
    state = told(*read("08 07:00 pump 25\n08 09:00 Ledge/Cedar head 24.8, far 20"), line="Cedar")
    assert [str(sign) for sign in state.signs] == ["low"]


def test_a_pair_that_was_made_a_single_line_has_none_either() -> None:
    single = replace(PAIR, layout="single")
    day = read("08 07:00 pump 25\n08 09:00 Ledge/Cedar wet 17, dry 24.5")
    assert signs(single, *day, line="Cedar") == ["low"]


SINKING = """
    04 07:00 pump 25
    05 07:00 pump 25
    06 07:00 pump 25
    08 07:00 pump 25
    04 09:00 Ledge/Cliff {0}
    05 09:00 Ledge/Cliff {1}
    06 09:00 Ledge/Cliff {2}
    08 09:00 Ledge/Cliff {3}
"""


@pytest.mark.parametrize(
    ("readings", "sinks"),
    [
        ((24.8, 24.3, 23.8, 22.8), True),  # half an inch a day
        ((24.8, 24.6, 24.4, 24.0), False),  # 0.2 a day, but only 0.8 in all
        ((24.8, 24.55, 24.3, 23.8), True),  # 0.25 a day, 1.0 in all
        ((22.8, 23.8, 24.3, 24.8), False),  # it gets better
        ((24.8, 24.8, 24.8, 22.0), False),  # a step is no slope: nobody knows yet
        ((24.8, 24.3, 19.0, 22.8), True),  # one wild reading does not hide it
    ],
)
def test_a_line_that_sinks_day_by_day(readings: tuple[float, ...], *, sinks: bool) -> None:
    state = told(*read(SINKING.format(*readings)))
    assert (Sign.SINKS in state.signs) is sinks
    days = [0, 1, 2, 4]
    slope = theilslopes([25 - vacuum for vacuum in readings], days).slope
    assert state.slope_inhg_day == pytest.approx(slope)  # Theil 1950, Sen 1968; scipy
    assert state.since == date(2027, 2, 4)


def day_by_day(*vacuums: float, pump: float = 25) -> list[AnyEntry]:
    """Cliff from the second on, once a day."""
    rows = enumerate(vacuums, 2)
    return read(
        "".join(
            f"{day:02} 07:00 pump {pump}\n{day:02} 09:00 Ledge/Cliff {vacuum}\n"
            for day, vacuum in rows
        )
    )


@pytest.mark.parametrize("pump", [24.8, 25, 25.3, 25.9])
@pytest.mark.parametrize(
    ("under", "sinks"),
    [
        ((0.1, 0.3, 0.5, 0.7, 0.9, 1.1), True),  # 0.2 a day, and 1.0 in all
        ((0.1, 0.29, 0.48, 0.67, 0.86, 1.05, 1.24), False),  # 0.19 a day
        ((0.1, 0.3, 0.5, 0.7, 0.9, 1.0), False),  # 0.9 in all
        ((1.3, 1.5, 1.7, 1.9, 2.1, 2.3), True),
        ((0.2, 0.3, 1.3), True),  # two falls of 0.1 or more
        ((0.2, 0.29, 1.3), False),  # 0.09 is no fall: that leaves a step
        ((0.2, 0.7, 1.2), True),
        ((0.2, 1.2), False),  # of two days
    ],
)
def test_how_fast_is_sinking(under: tuple[float, ...], pump: float, *, sinks: bool) -> None:
    """To the hundredth, under any pump: 24.9 - 24.8 is 0.1 (common practice, no source)."""
    state = told(*day_by_day(*(round(pump - inhg, 2) for inhg in under), pump=pump))
    assert (Sign.SINKS in state.signs) is sinks


def test_a_reading_of_a_gauge_that_was_off_is_no_part_of_the_trend() -> None:
    state = told(*day_by_day(26.0, 24.6, 24.4, 24.2))
    assert state.since == date(2027, 2, 3)
    assert state.slope_inhg_day == pytest.approx(0.2)


def test_a_pump_that_sinks_is_no_line_that_sinks() -> None:
    state = told(
        *read("""
            04 07:00 pump 25
            05 07:00 pump 24
            06 07:00 pump 23
            04 09:00 Ledge/Cliff 24.5
            05 09:00 Ledge/Cliff 23.5
            06 09:00 Ledge/Cliff 22.5
        """)
    )
    assert state.slope_inhg_day == pytest.approx(0)
    assert state.signs == ()


def test_two_days_are_no_trend_nor_is_a_fortnight_ago() -> None:
    two = told(*read("07 09:00 Ledge/Cliff 25\n08 09:00 Ledge/Cliff 22\n08 12:00 Ledge/Cliff 21"))
    assert two.slope_inhg_day is None
    old = read("01 09:00 Ledge/Cliff 25\n15 09:00 Ledge/Cliff 24\n16 09:00 Ledge/Cliff 22")
    assert told(*old).slope_inhg_day is None  # the first is 15 days back
    recent = read("02 09:00 Ledge/Cliff 25\n15 09:00 Ledge/Cliff 24\n16 09:00 Ledge/Cliff 22")
    assert told(*recent).slope_inhg_day is not None


def test_a_line_that_was_cut_off_for_a_day_does_not_sink() -> None:
    """It was shut on Friday; but for that it fell once, and a step is no slope."""
    state = told(*read(SINKING.format(24.8, 0.8, 24.8, 22.8)))
    assert [str(sign) for sign in state.signs] == ["low"]


def test_the_trend_begins_anew_when_a_leak_is_mended() -> None:
    found = leak_at("05 10:00", "Ledge/Cliff")
    fell = read(SINKING.format(24.8, 23.0, 24.9, 24.8))
    state = told(found, mended("05 12:00", entry_id(2)), *fell)
    assert (state.slope_inhg_day, state.since) == (None, date(2027, 2, 6))


def test_the_trend_begins_at_the_last_of_two_mends() -> None:
    """The tee was found first and mended last."""
    work = (
        leak_at("02 08:00", "Ledge/Cliff", "tee"),
        leak_at("02 09:00", "Ledge/Cliff", "drop off"),
        mended("05 12:00", entry_id(2)),
        mended("03 12:00", entry_id(3)),
    )
    fell = day_by_day(24.9, 24.5, 24.1, 23.7, 24.9, 24.8, 24.7)
    assert told(*work, *fell).since == date(2027, 2, 6)
    assert signs(*work, *day_by_day(24.9, 24.5, 24.6)) == ["mended"]  # read on Thursday last


# --- the valve test ----------------------------------------------------------------------------


def test_air_that_was_heard_stays_until_a_leak_is_found_or_the_next_test_is_quiet() -> None:
    heard = listened("08 10:00", "Ledge/Cliff", heard=True)
    assert signs(heard) == ["heard"]
    assert signs(heard, leak_at("08 11:00", "Ledge/Cliff")) == []
    assert signs(leak_at("08 09:00", "Ledge/Cliff"), heard) == ["heard"]  # found before
    assert signs(heard, leak_at("08 11:00", "Ledge/Cedar")) == ["heard"]  # on another line
    assert signs(heard, listened("09 10:00", "Ledge/Cliff", heard=False)) == []
    assert signs(listened("09 10:00", "Ledge/Cliff", heard=False), heard) == []  # keyed in late
    late = (leak_at("08 11:00", "Ledge/Cliff"), leak_at("07 11:00", "Ledge/Cliff"))
    assert signs(heard, *late) == []  # Sunday's leak was keyed in last


def test_a_leak_that_was_keyed_in_with_the_test_is_what_was_heard() -> None:
    heard = listened("08 10:00", "Ledge/Cliff", heard=True)
    assert signs(heard, leak_at("08 10:00", "Ledge/Cliff")) == []
    assert signs(leak_at("08 10:00", "Ledge/Cliff"), heard) == ["heard"]


def test_a_valve_that_a_test_leaves_shut_is_open_at_once_and_its_taps_are_out() -> None:
    left = listened("09 10:00", "Ledge/Cliff", heard=True, state="shut")
    ledger = folded(*TAPPED, left)
    (item,) = [x for x in open_items(ledger, NOW) if x.what is What.VALVE]
    assert (item.about.line, item.amount, item.owner) == ("Cliff", 40, "Wim")
    assert signs(left) == ["valve shut", "heard"]
    again = listened("09 11:00", "Ledge/Cliff", heard=False)
    assert signs(left, again) == []
    opened = Valve(who="Wim", state="open", **place("Ledge/Cliff"), **at("09 11:00"))
    assert signs(left, opened) == ["heard"]


# --- did it hold -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("before", "after", "now", "held"),
    [
        (22.0, None, None, Held.NOT_READ),
        (22.0, 24.8, 24.7, Held.BACK),
        (22.0, 24.0, None, Held.BACK),  # within the aim
        (22.0, 23.0, None, Held.PART),  # better, and not good
        (22.0, 22.4, None, Held.NOT_BACK),
        (22.0, 22.5, None, Held.PART),
        (None, 23.0, None, Held.NOT_BACK),  # nobody knows what it was
        (None, 24.5, None, Held.BACK),
        (22.0, 24.8, 23.8, Held.AGAIN),
        (22.0, 24.8, 24.0, Held.BACK),  # 0.8 less is no fall
        (22.0, 25.0, 24.0, Held.BACK),  # 1.0 less, and still good
        (20.0, 23.7, 22.7, Held.AGAIN),  # 1.0 less, whatever a computer makes of 2.3 - 1.3
        (22.0, 23.0, 22.0, Held.AGAIN),
    ],
)
def test_what_became_of_the_vacuum(
    before: float | None, after: float | None, now: float | None, held: Held
) -> None:
    """Pump 25 every day; the leak was mended on Friday at noon."""
    days = {"05 09:00": before, "05 14:00": after, "08 09:00": now}
    notes = "05 07:00 pump 25\n08 07:00 pump 25\n" + "".join(
        f"{day} Ledge/Cliff {vacuum}\n" for day, vacuum in days.items() if vacuum is not None
    )
    work = (leak_at("05 08:00", "Ledge/Cliff"), mended("05 12:00", entry_id(2)), *read(notes))
    (mend,) = gauges(*work).mends()
    assert mend.held is held
    found = (mend.before, mend.after)
    assert tuple(p and p.vacuum_inhg for p in found) == (before, after)


def test_half_an_inch_is_a_gain_whatever_a_computer_makes_of_it() -> None:
    """2.3 under before, 1.8 after."""
    work = (leak_at("05 08:00", "Ledge/Cliff"), mended("05 12:00", entry_id(2)))
    day = "05 07:00 pump 23\n05 09:00 Ledge/Cliff 20.7\n05 14:00 Ledge/Cliff 21.2"
    (mend,) = gauges(*work, *read(day)).mends()
    assert mend.held is Held.PART


def test_the_reading_keyed_in_with_the_mending_comes_after_it() -> None:
    """`new tee, 24.8 inHg`: both have the same minute, and the word comes first."""
    found = leak_at("05 08:00", "Ledge/Cliff")
    before, after = read("05 12:00 Ledge/Cliff 22\n05 12:00 Ledge/Cliff 24.8")
    state = gauges(found, before, mended("05 12:00", entry_id(2)), after)
    (mend,) = state.mends()
    assert [point and point.vacuum_inhg for point in (mend.before, mend.after)] == [22, 24.8]
    assert state.line(line_of("Cliff")).signs == ()


def test_a_reading_of_the_morning_that_is_keyed_in_at_night_comes_before() -> None:
    work = (leak_at("05 08:00", "Ledge/Cliff"), mended("05 12:00", entry_id(2)))
    (mend,) = gauges(*work, *read("05 14:00 Ledge/Cliff 24.8\n05 09:00 Ledge/Cliff 22")).mends()
    assert [point and point.vacuum_inhg for point in (mend.before, mend.after)] == [22, 24.8]


def test_what_another_gauge_read_is_no_part_of_it() -> None:
    """Neither the head, which is always better, nor a gauge that was off when it was mended."""
    work = (leak_at("05 08:00", "Ledge/Cliff"), mended("05 12:00", entry_id(2)))
    both = read("""
        05 09:00 Ledge/Cliff head 24.8, far 22
        05 14:00 Ledge/Cliff head 24.9, far 23
    """)
    (mend,) = gauges(*work, *both).mends()
    assert [point and point.vacuum_inhg for point in (mend.before, mend.after)] == [22, 23]
    off = read("05 09:00 Ledge/Cliff 22\n05 14:00 Ledge/Cliff 26\n06 09:00 Ledge/Cliff 24.5")
    (mend,) = gauges(*work, *off).mends()
    assert mend.after is not None
    assert mend.after.vacuum_inhg == 24.5


def test_two_mends_of_a_line_the_newest_first() -> None:
    work = (
        leak_at("04 08:00", "Ledge/Cliff", "tee"),
        leak_at("06 08:00", "Ledge/Cliff", "drop off"),
        mended("04 12:00", entry_id(2)),
        mended("06 12:00", entry_id(3)),
        *read("""
            04 09:00 Ledge/Cliff 22
            04 13:00 Ledge/Cliff 24.5
            06 09:00 Ledge/Cliff 23
            06 13:00 Ledge/Cliff 24.6
        """),
    )
    found = gauges(*work)
    second, first = found.mends()
    assert found.mends_of(line_of("Cliff")) == [second, first]
    assert [m.leak.text for m in (first, second)] == ["tee", "drop off"]
    assert first.before is not None
    assert second.before is not None
    assert (first.before.vacuum_inhg, second.before.vacuum_inhg) == (22, 23)
    assert (first.held, second.held) == (Held.BACK, Held.BACK)  # what it reads now


def test_a_line_that_was_mended_and_not_read_says_so() -> None:
    day = read("05 09:00 Ledge/Cliff 22")
    work = (leak_at("05 08:00", "Ledge/Cliff"), mended("05 12:00", entry_id(2)))
    assert signs(*work, *day) == ["mended", "low"]
    assert signs(*work) == ["mended"]
    assert signs(*work, *day, *read("05 13:00 Ledge/Cliff 24.5")) == []


# --- a whole block -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("vacuums", "alike"),
    # Aim 1 inHg: three lines or more, all 2 under or more, no more than 1 apart.
    [
        ((23.0, 22.5, 22.0), True),
        ((23.1, 22.5, 22.1), False),  # one is only 1.9 under
        ((23.0, 22.5, 21.9), False),  # 1.1 apart
        ((23.0, 22.5), False),
        ((21.6, 21.0, 20.6), True),  # 1.0 apart, whatever a computer makes of 4.4 - 3.4
    ],
)
def test_a_block_that_hangs_alike_leaks_before_its_lines(
    vacuums: tuple[float, ...], *, alike: bool
) -> None:
    """Common practice, no source."""
    rows = zip(("Ford", "Spring", "Culvert"), vacuums, strict=False)
    notes = "".join(f"08 09:00 Creek/{line} {vacuum}\n" for line, vacuum in rows)
    found = gauges(*read("08 07:00 pump 25\n" + notes))
    assert whole_block_low(found.lines("Creek"), found.aim_inhg) is alike


def test_a_shut_line_is_none_of_them() -> None:
    notes = "08 07:00 pump 25\n08 09:00 Creek/Ford 22\n08 09:00 Creek/Spring 22\n"
    shut = valve("Creek/Culvert", "shut", day="2027-02-07")
    found = gauges(shut, *read(notes + "08 09:00 Creek/Culvert 22"))
    assert not whole_block_low(found.lines("Creek"), 1.0)


# --- the same on every laptop ------------------------------------------------------------------

WEEK = (
    *read(SINKING.format(24.8, 24.3, 23.8, 22.8)),
    listened("08 10:00", "Ledge/Cliff", heard=True),
    *read("08 12:00 Ledge/Cedar 24\n07 12:00 Ledge/Cedar 22"),
)


@settings(max_examples=60)
@given(st.permutations(range(len(WEEK))))
def test_whatever_order_the_entries_of_two_laptops_fold_in(order: list[int]) -> None:
    """What was read is told by its time, not by who keyed it in first."""
    entries = [
        replace(WEEK[at_], id=f"{DESK}-{100 + at_}", tick=200 + number)
        for number, at_ in enumerate(order)
    ]
    states = Gauges(folded(*TAPPED, *entries)).lines("Ledge")
    expected = gauges(*WEEK).lines("Ledge")
    for state, other in zip(states, expected, strict=True):
        assert (lost(state), state.signs, state.since) == (lost(other), other.signs, other.since)
        assert state.slope_inhg_day == pytest.approx(other.slope_inhg_day)


def test_lines_in_walking_order_and_the_newest_reading_of_the_pump() -> None:
    found = gauges(*read("08 07:00 pump 25\n09 09:00 Ledge/Cliff 24\n09 10:00 Ledge/Cliff 23"))
    walked = [(entry.block, entry.line) for entry in PLAN if isinstance(entry, Line)]
    assert [(state.line.block, state.line.line) for state in found.lines()] == walked
    assert [state.line.line for state in found.lines("Creek")] == ["Ford", "Spring", "Culvert"]
    (pump,) = found.pumps(date(2027, 2, 9))
    assert pump.at == datetime(2027, 2, 8, 7, tzinfo=NOW.tzinfo)
    assert found.pumps(date(2027, 2, 7)) == []


def test_readings_of_a_line_the_plan_lost_stop_nothing() -> None:
    gone = (
        *read("08 09:00 Ledge/Cliff 24"),
        leak_at("08 10:00", "Ledge/Cliff"),
        mended("08 11:00", f"{DESK}-2"),
    )
    ledger = Ledger(2027).fold([replace(e, id=f"{DESK}-{n}") for n, e in enumerate(gone, 1)])
    assert Gauges(ledger).lines() == []
    assert Gauges(ledger).mends() == []
