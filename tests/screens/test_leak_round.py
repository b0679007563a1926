"""The leak round: a number is what the far end reads, and the card says what that means.

On Upper Ridge, in the demo: the pump holds 25.5 inHg, Gate main and Ridge pair were read today,
Saddle main on Monday.
"""

import json

from fieldbook.book.entry import Count, Leak, Reading, Settle, Valve
from fieldbook.laptop import Laptop
from fieldbook.season.items import What
from fieldbook.season.season import Season
from tests.screens.conftest import LARGE, Seat, sit_down

RIDGE = "Upper Ridge"


async def round_at(seat: Seat, line: str) -> None:
    await seat.walk(RIDGE, task="leaks", line=line)


def readings(seat: Seat) -> list[tuple[str, str, float | None, float | None]]:
    """What was read: where, by which gauge, in inches or in kilopascals."""
    return [
        (e.line or e.place, f"{e.place} {e.pipe}".strip(), e.vacuum_inhg, e.vacuum_kpa)
        for e in seat.written()
        if isinstance(e, Reading)
    ]


async def test_a_number_and_enter_is_the_far_end_read_and_the_line_done(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await round_at(seat, "Saddle main")
        assert "Far end, Ina, Tue 9 Feb: _ inHg" in seat.text
        await seat.keys("21.5", "enter")
        assert readings(seat) == [("Saddle main", "far end", 21.5, None)]
        (count,) = [e for e in seat.written() if isinstance(e, Count)]
        assert (count.line, count.count, count.hours) == ("Saddle main", 1, None)
        assert "far end reads 21.5 inHg" in seat.text
        # 164 taps x 0.5 gal x 5 % x 4 inHg
        assert "4.0 under the pump (25.5), loses about 16 gal a day (13-23)" in seat.text
        assert "Far end, Ina" in seat.text
        assert seat.row(" 5  Saddle main").startswith("     5")  # the cursor has gone on
        assert seat.row(" 6  Stub main").startswith(" >   6")


async def test_hours_come_after_a_blank_and_a_comma_is_a_point(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await round_at(seat, "Saddle main")
        await seat.keys("24,5 .75", "enter")
        assert readings(seat) == [("Saddle main", "far end", 24.5, None)]
        (count,) = [e for e in seat.written() if isinstance(e, Count)]
        assert count.hours == 0.75


async def test_a_line_that_is_done_is_only_read_again(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await round_at(seat, "Gate main")
        await seat.keys("24", "enter")
        assert readings(seat) == [("Gate main", "far end", 24, None)]
        assert len(seat.written()) == 1


async def test_hours_of_a_line_that_was_read_already_are_asked_about_as_any_count(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await round_at(seat, "Gate main")
        await seat.keys("24 1", "enter")
        assert "Gate main is done with 1: 1 would be added, 2 in all." in seat.text
        assert seat.written() == []
        await seat.press("exclamation_mark")
        assert len(seat.written()) == 2


async def test_of_a_pair_it_is_the_wet_pipe(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await round_at(seat, "High pair")
        assert "Far end, wet pipe, Ina, Tue 9 Feb: _ inHg" in seat.text
        await seat.keys("24", "enter")
        assert readings(seat) == [("High pair", "far end wet", 24, None)]


async def test_metric_laptops_type_kilopascals(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await round_at(seat, "Saddle main")
        await seat.press("f3")
        assert "Far end, Ina, Tue 9 Feb: _ kPa" in seat.text
        await seat.keys("80", "enter")
        assert readings(seat) == [("Saddle main", "far end", None, 80)]
        assert "6 under the pump (86)" in seat.text


async def test_what_cannot_be_stays_in_the_field_and_says_the_ceiling(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await round_at(seat, "Saddle main")
        await seat.keys("83", "enter")
        # 28.75 inHg at 1,100 ft: US Standard Atmosphere 1976
        assert "! 83 inHg cannot be: the ceiling at 1,100 ft is 28.8 inHg (97 kPa)." in seat.text
        assert ": 83_ inHg" in seat.text
        await seat.press("backspace", "backspace")
        await seat.keys("24.5", "enter")
        assert readings(seat) == [("Saddle main", "far end", 24.5, None)]


async def test_the_card_says_how_far_a_line_hangs_and_why(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await round_at(seat, "Ridge pair")
        assert "22.0, 3.5 under; sinks" in seat.row(" 2  Ridge pair")
        assert "wet 22.0" in seat.text
        assert "pump 25.5, 3.5 under" in seat.text
        assert "loses about 19 gal a day (15-26)" in seat.text  # 214 x 0.5 x 5 % x 3.5
        assert "! sinks 0.6 inHg a day since" in seat.text
        assert "! leak: hiss at the fifth lateral" in seat.text
        for caution in ("Pump: guards on the belt", "Tree on a line", "vacuum off before you cut"):
            assert caution in seat.text


async def test_gauges_of_all_places_come_in_together_with_a_word(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await round_at(seat, "High pair")
        await seat.press("m")
        assert "What do the gauges of High pair read?" in seat.box
        await seat.keys("wet 17, dry 24.8, pump 25: the tee at post 2", "enter")
        assert readings(seat) == [
            ("High pair", "far end wet", 17, None),
            ("High pair", "far end dry", 24.8, None),
            ("pump", "pump", 25, None),
        ]
        assert {e.note for e in seat.written() if isinstance(e, Reading)} == {"the tee at post 2"}
        assert "the sap pipe is full and cuts off the air" in " ".join(seat.text.split())


async def test_gauges_that_say_nothing_are_asked_again(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await round_at(seat, "Saddle main")
        await seat.press("m")
        await seat.keys("good", "enter")
        assert "'good' is no reading of a gauge." in seat.box
        await seat.press("escape")
        assert seat.written() == []


async def test_a_valve_test_that_was_heard_leads_to_the_leak(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await round_at(seat, "Saddle main")
        await seat.press("c")
        assert "Saddle main: valve shut ten seconds, opened. Was air heard?" in seat.box
        await seat.keys("heard", "enter")
        (valve,) = [e for e in seat.written() if isinstance(e, Valve)]
        assert (valve.heard, valve.state) == (True, "open")
        assert "l writes down the leak" in " ".join(seat.text.split())
        assert "air heard at the valve test, no leak found yet" in seat.text
        await seat.press("l")
        await seat.keys("main cut at the third lateral", "enter")
        (leak,) = [e for e in seat.written() if isinstance(e, Leak)]
        assert (leak.cause, leak.lateral) == ("main cut", "3")
        assert "v shuts its valve: the rest of the block keeps its vacuum" in seat.text
        assert "no leak found yet" not in seat.text


async def test_a_valve_that_stays_shut_is_open_at_once(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await round_at(seat, "Saddle main")
        await seat.press("c")
        await seat.keys("not heard, left shut: for the night", "enter")
        assert "! valve shut" in seat.text
        shut = [x for x in seat.app.session.items() if x.what is What.VALVE]
        assert {item.about.line for item in shut} == {"Boulder main", "Saddle main"}


async def test_a_mended_leak_may_be_read_at_once(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop, LARGE) as seat:
        await seat.press("o")
        items = seat.app.session.items()
        at = next(n for n, item in enumerate(items) if item.what is What.LEAK)
        await seat.press(*["down"] * at, "c")
        assert "new tee, 24.5 inHg" in seat.box
        await seat.keys("new tee, 24.8 inHg", "enter")
        settle, reading = seat.written()
        assert isinstance(settle, Settle)
        assert isinstance(reading, Reading)
        assert (settle.text, reading.vacuum_inhg) == ("new tee", 24.8)
        assert "came back: before 22.0, after 24.8, pump 25.5" in " ".join(seat.text.split())


async def test_other_rounds_count_as_they_did(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Cedar main")
        assert "Count for Ina" in seat.text
        await seat.keys("8.0 .5", "enter")  # a point does not belong into a count
        (count,) = [e for e in seat.written() if isinstance(e, Count)]
        assert (count.count, count.hours) == (80, 0.5)


async def test_words_of_a_gauge_are_words(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await round_at(seat, "Saddle main")
        await seat.press("m")
        await seat.paste("24: [x] [/] [red]\x1b[31m =1+1", "enter")
        (reading,) = [e for e in seat.written() if isinstance(e, Reading)]
        assert reading.note == "[x] [/] [red][31m =1+1"
        assert "[x] [/] [red][31m =1+1" in seat.text
        assert json.dumps(reading.note)
