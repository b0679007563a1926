"""Trees keyed in on the round: `e`, diameters and how many; the card judges the plan at once.

By the conservative rule a tree of 12-18 in carries one tap, from 18 in on two (North American
Maple Syrup Producers Manual, recommended table). Brook pair has 142 taps planned and 164 trees.
"""

import pytest
from textual.events import AppBlur, AppFocus

from fieldbook.book.entry import Block, Trees
from fieldbook.laptop import Laptop
from fieldbook.season.season import Season
from fieldbook.season.tally import read_tally, tally_words
from tests.conftest import stamp
from tests.screens.conftest import DESK, LARGE, Seat, sit_down
from tests.screens.test_round import here

BEFORE = "trees allow 138 (conservative)"
CLEAR = "ctrl+u"
"""Takes out of the field what stands there."""


def tallies(seat: Seat) -> list[tuple[str, str]]:
    """Line and tally of what this desk has on disk."""
    written = [entry for entry in seat.written() if isinstance(entry, Trees)]
    return [(entry.line, tally_words(entry.classes)) for entry in written]


def known(season: Season) -> str:
    """What somebody tallied along Brook pair in the autumn."""
    tally = season.plan.trees("Brook Bend", "Brook pair")
    assert tally is not None
    return tally_words(tally.classes)


async def test_e_asks_with_the_end_of_the_tally_there_is_in_sight(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop, LARGE) as seat:
        await seat.walk("Brook Bend")
        await seat.press("e")
        assert seat.box.startswith("Trees along Brook pair: diameter in inches and how many")
        assert known(demo)[-60:] in seat.box


async def test_typing_goes_on_at_its_end(demo: Season, laptop: Laptop) -> None:
    before = known(demo)
    async with sit_down(demo, laptop, LARGE) as seat:
        await seat.walk("Brook Bend")
        await seat.press("e")
        await seat.keys("24:2", "enter")
        assert tallies(seat) == [("Brook pair", f"{before} 24:2")]
        assert "trees allow 142 (conservative)" in seat.text  # two each


async def test_the_cursor_stays_where_it_is_while_another_window_is_looked_at(
    demo: Season, laptop: Laptop
) -> None:
    before = known(demo)
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.press("e", "home")
        for message in (AppBlur(), AppFocus()):
            seat.app.post_message(message)
            await seat.settle()
        await seat.keys("8:2 ", "enter")
        assert tallies(seat) == [("Brook pair", f"8:2 {before}")]


async def test_a_number_at_its_end_does_not_run_into_the_last(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.press("e")
        await seat.keys("40", "enter")  # not 340 trees of 22 in
        assert "! '40' does not say a size and how many trees." in seat.box
        assert seat.written() == []


async def test_what_is_typed_in_its_place_is_judged_at_once(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop, LARGE) as seat:
        await seat.walk("Brook Bend")
        assert BEFORE in seat.text
        await seat.press("e", CLEAR)
        await seat.keys("12:10 18:5", "enter")  # ten with one tap, five with two
        assert tallies(seat) == [("Brook pair", "12:10 18:5")]
        assert (
            f"{DESK}-1 saved: trees by diameter: 12:10 18:5, Brook Bend / Brook pair" in seat.text
        )
        assert "trees allow 20 (conservative)" in seat.text
        assert "! 122 taps over the 20 that its 15 trees allow" in seat.text
        assert here(seat) == "7  Brook pair"


async def test_the_same_tally_again_is_refused(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.press("e", "enter")
        assert "! The tally is as it was. Change it, or leave it with Esc." in seat.box
        await seat.press("escape")
        assert seat.written() == []
        assert BEFORE in seat.text


async def test_u_strikes_the_tally_and_the_one_before_is_back(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop, LARGE) as seat:
        await seat.walk("Brook Bend")
        await seat.press("e", CLEAR)
        await seat.keys("12:10", "enter", "u")
        assert seat.box.startswith(f"Strike {DESK}-1: trees by diameter: 12:10")
        await seat.press("enter")
        assert BEFORE in seat.text
        assert "taps over the 10" not in seat.text
        plan = seat.on_disk().plan
        (line,) = [x for x in plan.walk["Brook Bend"] if x.line == "Brook pair"]
        assert plan.taps_allowed(line) == 138


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("40", "'40' does not say a size and how many trees."),
        ("12:40 elm", "'elm' does not say a size and how many trees."),
        ("12:4 12:5", "'12:5' does not say a size and how many trees."),
        ("12:0", "'' does not say a size and how many trees."),  # no tree at all
        ("61:1", "No maple is 61 in thick. Diameters are written 12:40 or 30cm:12, girths in"),
    ],
)
async def test_words_that_are_no_tally_stay_in_the_field_with_the_reason(
    demo: Season, laptop: Laptop, typed: str, why: str
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.press("e", CLEAR)
        await seat.paste(typed, "enter")
        assert f"how many {typed} ! {why}" in seat.box
        await seat.press("escape")
        assert seat.written() == []
        assert BEFORE in seat.text


async def test_nothing_typed_is_no_tally(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.press("e", CLEAR, "enter")
        assert "does not say a size and how many trees" in seat.box
        assert seat.written() == []


async def test_a_tally_by_girth_or_in_centimetres(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop, LARGE) as seat:
        await seat.walk("Brook Bend")
        await seat.press("e", CLEAR)
        await seat.keys("38g:4 30cm:12", "enter")
        # 38 in around is 12.10 in across (trade.md: published); 30 cm are 11.8 in.
        assert tallies(seat) == [("Brook pair", "38g:4 30cm:12")]
        assert "trees allow 4 (conservative)" in seat.text


async def test_in_metric_units_a_size_without_a_unit_is_in_centimetres(
    demo: Season, laptop: Laptop
) -> None:
    inches = " ".join(part.replace(":", "in:") for part in known(demo).split())
    async with sit_down(demo, laptop, LARGE) as seat:
        await seat.walk("Brook Bend")
        await seat.press("f3", "e")
        assert seat.box.startswith("Trees along Brook pair: diameter in centimetres and how many")
        assert inches[-60:] in seat.box  # as they were taken, with their unit
        await seat.press(CLEAR)
        await seat.keys("30:12 46:4 12in:3", "enter")
        assert tallies(seat) == [("Brook pair", "30cm:12 46cm:4 12:3")]
        assert "trees allow 11 (conservative)" in seat.text  # 46 cm are 18.1 in: two taps each
        await seat.press("e")
        assert "how many 30:12 46:4 12in:3" in seat.box
        await seat.keys("153:1", "enter")
        assert "! No maple is 153 cm thick." in seat.box


async def test_the_same_trees_by_another_measure_are_another_tally(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.press("e", CLEAR)
        await seat.keys("12:10", "enter", "e", CLEAR)
        await seat.keys("30.48cm:10", "enter")  # 12 in
        assert tallies(seat) == [("Brook pair", "12:10"), ("Brook pair", "30.48cm:10")]


async def test_a_tally_is_nobodys_work_and_nobody_is_asked_whose(
    demo: Season, laptop: Laptop
) -> None:
    laptop.set_keying(demo.book.id, "Olive")  # keys in the evening, is not on the crew
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.press("e", CLEAR)
        await seat.keys("12:10", "enter")
        assert "Whose work" not in seat.text
        assert tallies(seat) == [("Brook pair", "12:10")]
        assert [entry.by for entry in seat.written()] == ["Olive"]


async def test_a_line_without_its_own_number_is_planned_by_its_trees_at_once(
    season: Season, fresh_laptop: Laptop
) -> None:
    cliff = season.plan.line("Ledge", "Cliff")
    assert cliff is not None
    fields = {"block": "Ledge", "line": "Cliff", "order": 1, "drops_hung": 2024}
    season.record(type(cliff)(**fields, **stamp()))  # type: ignore[arg-type]
    fresh_laptop.set_keying(season.book.id, "Oda")
    async with sit_down(season, fresh_laptop) as seat:
        await seat.walk("Ledge", line="Cliff")
        assert "how many are planned is unknown" in seat.text
        await seat.press("e")
        await seat.keys("12:30 20:6", "enter")
        assert "0 of 42 taps, left 42" in seat.text


async def test_digits_typed_before_stay_and_are_not_recorded(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.keys("80", "e", CLEAR)
        await seat.keys("12:10", "enter")
        assert "Tue 9 Feb: 80_" in seat.text
        assert tallies(seat) == [("Brook pair", "12:10")]
        assert len(seat.written()) == 1


async def test_a_block_without_lines_has_no_trees(season: Season, fresh_laptop: Laptop) -> None:
    season.record(Block(block="Bare", order=3, **stamp()))
    fresh_laptop.set_keying(season.book.id, "Oda")
    async with sit_down(season, fresh_laptop) as seat:
        await seat.walk("Bare")
        for key in ("e", "w"):
            await seat.press(key)
            assert "! Bare has no lines in the plan" in seat.text


def test_the_form_shown_is_one_that_is_read() -> None:
    assert len(read_tally("12:40 14:31 18:9")) == len(read_tally("30cm:12 38g:4")) + 1
