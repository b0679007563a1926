"""The gauges of the demo season: what was planted in them, and that the tool names it.

Numbers here can be added up by hand from the tables in `demo_gauges`.
"""

from datetime import date, datetime
from itertools import groupby

import pytest

from fieldbook.book.book import Book
from fieldbook.book.entry import Leak, Line, Note, Reading, Settle, Valve
from fieldbook.reports.leaks import Leaks, leaks
from fieldbook.reports.vacuum import signs_said
from fieldbook.resources import resource
from fieldbook.season.readings import AT_PUMP, ceiling_inhg, inhg_of
from fieldbook.season.season import Season
from fieldbook.season.vacuum import Gauges, Held, Sign
from tests.demo_woods import TODAY
from tests.test_demo_woods import stays

SIGNS: dict[str, tuple[Sign, ...]] = {
    "Ridge pair": (Sign.SINKS, Sign.LOW),
    "Boulder main": (Sign.SHUT,),
    "Windfall main": (Sign.UNPROVED, Sign.LOW),
    "Crest main": (Sign.GAUGE,),
    "Far notch main": (Sign.HEARD, Sign.LOW),
    "Mill main": (Sign.LOW,),
    "Shade main": (Sign.LOW,),
    "Fern pair": (Sign.SINKS, Sign.LOW),
    "Long pair": (Sign.FULL,),
    "Snow fence main": (Sign.NO_VACUUM,),
}
"""What was planted in the readings of a line; those of all others are good."""

SAID = {
    # 25.5 - 22.0 is 3.5 under; 0.5 on the fourth: 3 inHg in 5 days
    "Ridge pair": "sinks 0.6 inHg a day since Thu 4 Feb: a leak that grows",
    "Boulder main": "valve shut: birch down on it in the night wind, two laterals torn off "
    "(Tor, Sun 7 Feb): 176 taps are not under vacuum",
    "Windfall main": "mended and not read since (Ina, Tue 9 Feb): read it",
    "Crest main": "far end 26.7 inHg, 1.2 over the pump (25.5): one of the two gauges is off, "
    "hold both on one fitting",
    "Far notch main": "air heard at the valve test, no leak found yet (Zoë, Mon 8 Feb)",
    "Mill main": "hangs 1.8 under the pump (25.5)",
    "Shade main": "hangs 1.5 under the pump (25.5)",
    # 0.6, 0.9, 1.5, 2.6 inHg under the pump on the 4th, 5th, 6th and 8th: 2 inHg in 4 days
    "Fern pair": "sinks 0.5 inHg a day since Thu 4 Feb: a leak that grows",
    "Long pair": "wet 17.0, dry 24.7: the sap pipe is full and cuts off the air; look at its slope "
    "and where the two pipes join, not for a leak (wet and dry join at the loop above the third "
    "post)",
    "Snow fence main": "far end 0.8 inHg with 24.9 at its head: cut off in between; "
    "look for a shut valve, a main that is cut, or ice",
}
"""What is said of these lines, the gravest first."""


@pytest.fixture(scope="module")
def now() -> Season:
    """Season 2027, only read."""
    return Season(Book.open(resource("demo_season"), year=2027))


@pytest.fixture(scope="module")
def gauges(now: Season) -> Gauges:
    return Gauges(now.ledger)


@pytest.fixture(scope="module")
def report(now: Season) -> Leaks:
    return leaks(now, TODAY)


def line_of(season: Season, name: str) -> Line:
    (line,) = (line for line in season.plan.lines if line.line == name)
    return line


def of_lines(season: Season) -> list[Reading]:
    return [reading for reading in season.ledger.of(Reading) if reading.place not in AT_PUMP]


# --- who read what ---


def test_the_pump_is_read_on_six_mornings_since_the_thaw(now: Season) -> None:
    """It does not rest on Sunday the 7th, but nobody reads it."""
    pump = [(r.day.day, r.vacuum_inhg) for r in now.ledger.of(Reading) if r.place in AT_PUMP]
    assert pump == [(3, 25.5), (4, 25.5), (5, 25.0), (6, 25.5), (8, 25.5), (9, 25.5)]
    (on,) = (note for note in now.ledger.of(Note) if "pump on" in note.text)
    assert (on.day, on.at.hour) == (date(2027, 2, 3), 6)
    assert {reading.day.day for reading in of_lines(now)} == {3, 4, 5, 6, 8, 9}


def test_far_ends_are_read_in_three_blocks_and_a_few_heads(now: Season) -> None:
    read = of_lines(now)
    assert {r.block for r in read} == {"Upper Ridge", "North Slope", "Brook Bend"}
    assert {r.line for r in read if r.place == "head"} == {
        *("Far notch main", "Snow fence main", "Gate main"),
    }
    pairs = {line.line for line in now.plan.lines if line.layout == "pair"}
    assert {r.line for r in read if r.pipe} == pairs & {r.line for r in read}
    assert [r.line for r in read if r.vacuum_kpa is not None] == ["Switchback main"]


def test_nothing_reads_more_than_the_air_weighs(now: Season) -> None:
    """28.75 inHg at 1,100 ft: 29.921 x (1 - 6.8756e-6 x 1,100)^5.2559 (US Standard Atmosphere)."""
    assert ceiling_inhg(now.plan) == pytest.approx(28.75, abs=0.005)
    assert max(inhg_of(reading) for reading in now.ledger.of(Reading)) == 26.7


def test_a_line_is_read_once_it_is_tapped(now: Season) -> None:
    tapped: dict[str, datetime] = {}
    for count in now.ledger.counts():
        if count.task == "tapping":
            tapped[count.line] = max(count.at, tapped.get(count.line, count.at))
    for reading in of_lines(now):
        assert tapped[reading.line] < reading.at, reading.line


def test_whoever_read_found_or_mended_was_out_at_the_time(now: Season) -> None:
    there = list(stays(now))
    found: list[Reading | Leak | Valve | Settle] = [*of_lines(now), *mended(now)]
    found += [*now.ledger.of(Leak), *now.ledger.of(Valve)]
    assert len(found) > 90
    for entry in found:
        who = [who for who, out, back in there if out <= entry.at <= back]
        assert entry.who in who, (entry.who, entry.kind, entry.at)


def mended(season: Season) -> list[Settle]:
    found = {leak.id for leak in season.ledger.of(Leak)}
    return [settle for settle in season.ledger.of(Settle) if settle.entry in found]


def test_nobody_reads_two_lines_at_once(now: Season) -> None:
    order = sorted(of_lines(now), key=lambda reading: (reading.who, reading.at))
    for (who, at), together in groupby(order, key=lambda reading: (reading.who, reading.at)):
        assert len({(r.block, r.line) for r in together}) == 1, (who, at)


# --- what is planted ---


def test_each_planted_line_carries_its_sign_and_no_other_does(gauges: Gauges) -> None:
    told = {state.line.line: state.signs for state in gauges.lines() if state.signs}
    assert told == SIGNS


@pytest.mark.parametrize("name", SAID)
def test_each_is_named_in_words(now: Season, gauges: Gauges, name: str) -> None:
    assert signs_said(gauges.line(line_of(now, name)))[0] == SAID[name]


def test_the_gauge_of_crest_main_is_off_on_every_day(now: Season, gauges: Gauges) -> None:
    """1.2 inHg over the pump, or 1.1: more than a dial can be misread by."""
    points = gauges.line(line_of(now, "Crest main")).points
    over = [point.vacuum_inhg - point.pump.vacuum_inhg for point in points]
    assert over == pytest.approx([1.2, 1.1, 1.2, 1.2, 1.2])


def test_of_the_two_lines_cut_off_one_is_written_down(now: Season) -> None:
    """What a shut valve costs is known of Boulder main; of Snow fence main only the gauge tells."""
    shut = {valve.line for valve in now.ledger.of(Valve) if valve.state == "shut"}
    assert shut == {"Boulder main", "Fern pair"}, "and Fern pair was opened again"


def test_valve_tests_heard_air_twice(now: Season) -> None:
    """Of Ridge pair the leak was found twenty minutes later; of Far notch main nobody knows yet."""
    tests = [valve for valve in now.ledger.of(Valve) if valve.heard is not None]
    assert [(test.line, test.heard) for test in tests] == [
        ("Saddle main", False),
        ("Far notch main", True),
        ("Shade main", False),
        ("Ridge pair", True),
    ]
    (found,) = (leak for leak in now.ledger.of(Leak) if leak.line == "Ridge pair")
    assert (found.at - tests[-1].at).total_seconds() == 20 * 60


def test_of_three_leaks_mended_one_held(gauges: Gauges) -> None:
    """Wolf tree main 22.4, then 24.9; Fern pair 23.4, then 24.9, now 22.9; Windfall main 23.6."""
    assert [(mend.leak.line, mend.held) for mend in gauges.mends()] == [
        ("Windfall main", Held.NOT_READ),
        ("Fern pair", Held.AGAIN),
        ("Wolf tree main", Held.BACK),
    ]


# --- what it costs, and where leaks came again ---


def test_what_the_lines_lose_together(report: Leaks) -> None:
    """A tap gives 0.5 gal without vacuum (from memory), and 5 % more for each inHg (Wilmot, UVM;
    Centre ACER 2015): Snow fence main 244 x 0.5 x 0.05 x 24.7, Boulder main 176 x 0.5 x 2.25."""
    lost = {line.line: line.loss for line in report.lines}
    snow_fence, boulder, crest = (
        lost[name] for name in ("Snow fence main", "Boulder main", "Crest main")
    )
    assert snow_fence is not None
    assert boulder is not None
    assert snow_fence.sap_gal == pytest.approx(150.67)
    assert boulder.sap_gal == 198
    assert crest is None, "its gauge is off: nobody knows"
    assert (report.total.read, report.total.within) == (22, 14)
    assert (report.total.taps, report.total.under_vacuum) == (5139, 5139 - 176)
    assert [part.block for part in report.blocks] == ["North Slope", "Upper Ridge", "Brook Bend"]


def test_the_walk_begins_with_what_is_cut_off_and_stops_before_shade_main(report: Leaks) -> None:
    """Shade main: 255 taps x 0.5 x 0.05 x 1.5 is 9.6 gal a day; in 2 days at 0.50 that is 9.56,
    and half an hour at 20 is more."""
    walk = report.walk
    assert [leg.line for leg in walk.legs][:3] == ["Boulder main", "Snow fence main", "Long pair"]
    assert [leg.line for leg in walk.rest] == ["Shade main"]
    assert walk.rest_loss_gal_day == pytest.approx(9.5625)
    assert "Crest main" not in {leg.line for leg in (*walk.legs, *walk.later, *walk.rest)}


def test_a_squirrel_comes_back_to_the_fifth_lateral_of_ridge_pair(report: Leaks) -> None:
    by = {
        kind: next(offender for offender in report.offenders if offender.by == kind)
        for kind in ("line", "lateral", "cause")
    }
    seasons = (2025, 2026, 2027)
    assert (by["line"].line, by["line"].leaks, by["line"].seasons) == ("Ridge pair", 3, seasons)
    assert (by["lateral"].what, by["lateral"].leaks) == ("5", 3)
    assert (by["cause"].what, by["cause"].leaks) == ("chewed", 5)


@pytest.mark.parametrize("year", [2025, 2026])
def test_in_past_seasons_every_line_was_read_and_every_leak_mended(year: int) -> None:
    season = Season(Book.open(resource("demo_season"), year=year))
    assert {reading.line for reading in of_lines(season)} == {x.line for x in season.plan.lines}
    pump = {r.day for r in season.ledger.of(Reading) if r.place in AT_PUMP}
    assert pump == {reading.day for reading in of_lines(season)}
    assert len(mended(season)) == len(season.ledger.of(Leak)) > 1
