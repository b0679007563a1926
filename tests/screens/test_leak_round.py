"""The leak round: a number is what the far end reads, and the card says what that means.

On Upper Ridge, in the demo: the pump holds 25.5 inHg, Gate main and Ridge pair were read today,
Saddle main on Monday.
"""

import json

import pytest

from fieldbook.book.entry import Count, Leak, Reading, Settle, Sheet, Valve
from fieldbook.laptop import Laptop
from fieldbook.screens.pen import words_apart
from fieldbook.screens.round import Round
from fieldbook.season.items import What
from fieldbook.season.season import Season
from tests.conftest import stamp
from tests.screens.conftest import LARGE, Seat, sit_down
from tests.screens.test_round import here

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
        assert "Upper Ridge / Saddle main [x] done" in seat.text
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


async def test_u_strikes_the_vacuum_with_its_count(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await round_at(seat, "Saddle main")
        await seat.keys("2.15", "enter")  # 21.5 was meant
        assert "! no vacuum" in seat.text
        await seat.press("u")
        assert "Strike t3st2-1 and its count t3st2-2: Ina, far end reads 2.15 inHg" in seat.box
        await seat.press("enter")
        assert "struck t3st2-1" in seat.text
        assert "struck t3st2-2" in seat.text
        ledger = seat.on_disk().ledger
        assert {"t3st2-1", "t3st2-2"} <= ledger.struck.keys()
        assert "Saddle main [ ] 0 of 1 24.9, 0.6 under" in seat.text


async def test_u_strikes_a_vacuum_without_a_count_alone(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await round_at(seat, "Gate main")
        await seat.keys("24", "enter")
        await seat.press("u")
        assert "Strike t3st2-1: Ina, far end reads 24 inHg, Upper Ridge / Gate main." in seat.box
        await seat.press("enter")
        assert "Gate main [x] 1 of 1 24.5, 1.0 under" in seat.text


async def test_a_day_keyed_in_late_says_how_far_the_line_hung_then(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await round_at(seat, "Ridge pair")  # read today: 22.0; the pump held 25.5 on Monday too
        await seat.press("d")
        await seat.keys("mon", "enter")
        await seat.keys("25.4", "enter")
        assert "far end, wet pipe reads 25.4 inHg" in seat.text
        assert "0.1 under the pump (25.5)" in seat.text
        assert "22.0, 3.5 under" in seat.row(" 2  Ridge pair")  # which is what it reads now


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


async def test_what_was_typed_in_the_other_unit_is_not_recorded(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await round_at(seat, "Saddle main")
        await seat.keys("24.5", "f3")
        assert "24.5 was not recorded: the unit changed" in seat.text
        await seat.press("enter")
        assert seat.written() == []


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


async def test_where_a_line_has_much_to_say_the_cautions_stay_in_sight(
    demo: Season, laptop: Laptop
) -> None:
    """In 80 x 24, with Rae overdue: readings, loss, sign, hazards, the leak and the cautions."""
    async with sit_down(demo, laptop) as seat:
        await round_at(seat, "High pair")
        await seat.press("m")
        await seat.keys("wet 17, dry 24.8: joined at the second post", "enter")
        for key, words in (
            ("h", "ice over the brook by the sixth lateral, it gives way without a word"),
            ("h", "a hemlock top hangs in the two birches over the second post, seen from below"),
            ("l", "hiss at the tee"),
            ("c", "heard"),
        ):
            await seat.press(key)
            await seat.keys(words, "enter")
        for words in (
            "Tue 9 Feb: wet 17.0, dry 24.8",
            "loses about",
            "! wet 17.0, dry 24.8: the sap pipe is full and cuts off the air",
            "! ice over the brook",
            "! a hemlock top hangs",
            "! leak: hiss at the tee",
            *seat.app.session.season.plan.find_task("leaks").cautions,
        ):
            assert words in seat.text
        assert "g, w: more" in seat.row("8 High pair ")
        await seat.resize(LARGE)
        assert "! air heard at the valve test, no leak found yet" in seat.text
        assert "seen from below" in seat.text


async def test_w_says_where_the_loss_comes_from(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop, LARGE) as seat:
        await round_at(seat, "Ridge pair")
        await seat.press("w")
        assert "Where it comes from: Ridge pair" in seat.box
        assert "214 taps x 0.5 gal x 5 % x 3.5 inHg = 18.7 gal" in seat.box  # 18.725
        assert "linear (Wilmot, UVM; Centre ACER 2015)" in seat.box


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
        assert "the sap pipe is full and cuts off the air" in seat.text
        # 226 taps x 0.5 gal x 5 % x 8 inHg
        assert "8.0 under the pump (25.0), loses about 45 gal a day (36-63) ! sap pipe full" in (
            seat.text
        )
        assert "t3st2-1, t3st2-2, t3st2-3 saved: Ina" in seat.text
        assert "0 of 1 readings, left 1" in seat.text  # the number typed in the field counts


async def test_the_pump_is_read_in_any_round_and_says_nothing_of_the_line(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Cedar main")
        await seat.press("m")
        await seat.keys("pump 24", "enter")
        assert "t3st2-1 saved: Ina, pump reads 24 inHg" in seat.text
        assert "under the pump" not in seat.text


@pytest.mark.parametrize(
    ("typed", "read", "note"),
    [
        ("wet 17, dry 24.8: tee at 2: low", "wet 17, dry 24.8", "tee at 2: low"),
        ("head: 25, far: 24.5 inHg : windy", "head: 25, far: 24.5 inHg", "windy"),
        ("83 kPa:", "83 kPa", ""),
        ("24.5", "24.5", ""),
        ("8:30 wet 17", "8:30 wet 17", ""),  # a time of day is no reading with words
        ("good: dry", "good: dry", ""),
    ],
)
def test_words_follow_a_colon_after_the_last_number(typed: str, read: str, note: str) -> None:
    assert words_apart(typed) == (read, note)


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
        assert "! v shuts its valve: the rest of the block keeps its vacuum" in seat.text
        assert "no leak found yet" not in seat.text
        await seat.press("v")
        await seat.keys("main cut", "enter")
        await seat.press("l")
        await seat.keys("tree down by the brook", "enter")
        assert "v shuts its valve" not in seat.text  # it is shut


async def test_a_cut_found_in_another_round_says_what_its_card_does_not(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Cedar main")
        await seat.press("l")
        await seat.keys("tree down on the main between the third and the fourth lateral", "enter")
        assert "t3st2-1 saved: Ina" in seat.text
        assert (
            "! v shuts its valve: the rest of the block keeps its vacuum "
            "! vacuum off before you cut, clear of tensioned wire"
        ) in seat.text


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


async def test_metric_readers_are_told_in_kilopascals_whether_it_came_back(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop, LARGE) as seat:
        await seat.press("f3", "o")
        items = seat.app.session.items()
        at = next(n for n, item in enumerate(items) if item.what is What.LEAK)
        await seat.press(*["down"] * at, "c")
        assert "new tee, 83 kPa" in seat.box
        await seat.keys("new tee, 84 kPa", "enter")
        assert "came back: before 75, after 84, pump 86" in seat.text  # 22.0 and 25.5 inHg


async def test_a_sheet_of_the_worst_first_is_keyed_in_down_the_paper(
    demo: Season, laptop: Laptop
) -> None:
    lines = ("Far notch main", "Ridge pair", "Saddle main")
    demo.record(Sheet(sheet=31, block=RIDGE, task="leaks", lines=lines, **stamp(by="Ina")))
    async with sit_down(demo, laptop) as seat:
        await seat.press("slash")
        await seat.keys("sheet 31", "enter")
        seat.screen(Round)
        assert here(seat) == "11  Far notch main"
        await seat.burst(*"23", "enter", *"22", "enter", *"24", "enter")
        assert [(name, vacuum) for name, _gauge, vacuum, _kpa in readings(seat)] == [
            ("Far notch main", 23),
            ("Ridge pair", 22),
            ("Saddle main", 24),
        ]
        counted = [e.line for e in seat.written() if isinstance(e, Count)]
        assert counted == ["Far notch main", "Saddle main"]  # Ridge pair was read this morning


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
