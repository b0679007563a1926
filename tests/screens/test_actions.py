"""Every action is declared once, and keys, footer, help, palette and README say the same."""

import re
from pathlib import Path

import pytest

from fieldbook.laptop import Laptop
from fieldbook.screens.actions import (
    ACTIONS,
    SCREENS,
    Action,
    actions_of,
    key_table,
    keymap,
    keys_in_force,
)
from fieldbook.screens.app import FieldbookApp
from fieldbook.screens.board import Board
from fieldbook.screens.handoff import Handing
from fieldbook.screens.items import Items
from fieldbook.screens.logbook import Logbook
from fieldbook.screens.rollover import Rollover
from fieldbook.screens.round import Round
from fieldbook.screens.season import SeasonScreen
from fieldbook.screens.vacuum import Vacuum
from fieldbook.season.season import Season
from tests.screens.conftest import BAR, LARGE, Seat, sit_down

OWNERS: dict[str, type[object]] = {
    "board": Board,
    "season": SeasonScreen,
    "round": Round,
    "logbook": Logbook,
    "items": Items,
    "vacuum": Vacuum,
    "rollover": Rollover,
    "handoff": Handing,
    "everywhere": FieldbookApp,
}

SWALLOWED = {
    *("ctrl+h", "ctrl+i", "ctrl+m", "ctrl+left_square_bracket", "ctrl+j", "ctrl+slash"),
    *("ctrl+space", "ctrl+at", "ctrl+enter", "alt+enter", "ctrl+s", "ctrl+q", "ctrl+z"),
}
"""Keys that never arrive as themselves in most terminals, or that stop and suspend the program."""

README = Path(__file__).parents[2] / "README.md"


def keys_of(action: Action) -> list[str]:
    return action.key.split(",")


async def open_screen(seat: Seat, name: str) -> None:
    """From the board."""
    keys = {
        "season": "s",
        "round": "enter",
        "logbook": "g",
        "items": "o",
        "vacuum": "v",
        "rollover": "s n",
        "handoff": "h",
    }
    await seat.press(*keys.get(name, "").split())


async def back(seat: Seat) -> None:
    """To the board, from wherever one is."""
    while not isinstance(seat.app.screen, Board):
        await seat.press("escape")


async def page(seat: Seat) -> list[str]:
    """The rows of the page in the box, read to its end."""
    told: dict[str, None] = {}
    while True:
        read = {row.split("│")[1].strip(BAR): None for row in seat.rows if row.count("│") == 2}
        if read.keys() <= told.keys():
            return list(told)
        told |= read
        await seat.scroll("pagedown")


# --- the registry ------------------------------------------------------------------------------


@pytest.mark.parametrize("action", ACTIONS, ids=lambda action: action.id)
def test_every_action_is_a_method_of_its_screen(action: Action) -> None:
    method = getattr(OWNERS[action.where], f"action_{action.name}", None)
    assert callable(method)
    assert method.__module__.startswith("fieldbook.")
    assert action.label
    assert action.about.endswith(".")


@pytest.mark.parametrize("screen", SCREENS)
def test_no_key_does_two_things_on_a_screen(screen: str) -> None:
    keys = [key for action in actions_of(screen) for key in keys_of(action)]
    assert sorted(set(keys)) == sorted(keys)


def test_names_by_which_keys_are_changed_are_unique() -> None:
    ids = [action.id for action in ACTIONS]
    assert sorted(set(ids)) == sorted(ids)


def test_no_key_is_one_that_terminals_swallow_or_that_belongs_to_a_count() -> None:
    keys = {key for action in ACTIONS for key in keys_of(action)}
    assert not keys & SWALLOWED
    assert not keys & {*"0123456789", "space", "backspace", "full_stop", "comma"}


@pytest.mark.parametrize("screen", SCREENS)
def test_the_bottom_strip_holds_six_at_most(screen: str) -> None:
    strip = [action for action in actions_of(screen) if action.strip]
    assert 1 < len(strip) <= 6
    assert "help" in [action.name for action in strip]


def test_the_readme_has_the_table_of_keys() -> None:
    assert key_table() in README.read_text(encoding="utf-8")


def test_the_table_names_every_action_once() -> None:
    named = re.findall(r"\| `([a-z_.]+)` \|$", key_table(), flags=re.MULTILINE)
    assert named == [action.id for action in ACTIONS]


# --- on screen ---------------------------------------------------------------------------------


async def test_the_bottom_strip_is_shown_whole_in_80_columns(demo: Season, laptop: Laptop) -> None:
    strips = {
        "board": " Enter open  h hand off  p paper  / find  o open items  ? help",
        "season": " Right next part  r sap run  p paper  n next season  o open items  ? help",
        "round": " Enter record  f finish  n note  s set aside  u strike last  ? help",
        "logbook": " Enter read  / find  x strike  b out/back  o open items  ? help",
        "items": " Enter go there  c close it  x write off  h hand off  f filter  ? help",
        "vacuum": " Enter go there  m pump  r the way  p paper  o open items  ? help",
        "rollover": " x take or leave  a all  Enter write  w all of it  o open items  ? help",
        "handoff": " Enter go on  ? help",
    }
    assert strips.keys() == SCREENS.keys()
    async with sit_down(demo, laptop) as seat:
        for screen, strip in strips.items():
            await open_screen(seat, screen)
            assert seat.rows[-1] == strip
            await back(seat)


@pytest.mark.parametrize("key", ["question_mark", "f1"])
async def test_help_tells_every_key_of_the_screen(demo: Season, laptop: Laptop, key: str) -> None:
    async with sit_down(demo, laptop, LARGE) as seat:
        for screen in SCREENS:
            await open_screen(seat, screen)
            await seat.press(key)
            told = " ".join(await page(seat))
            for action in actions_of(screen):
                assert action.about in told
            await back(seat)


async def test_in_80_by_24_help_scrolls_to_its_end(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("enter", "question_mark")
        await seat.scroll("end")
        assert actions_of("round")[-1].about in seat.box


def commands(seat: Seat) -> dict[str, str]:
    """What the palette offers: titles and what they do."""
    offered = seat.app.get_system_commands(seat.app.screen)
    return {command.title: command.help for command in offered}


async def test_the_palette_offers_what_the_keys_do_and_nothing_else(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        for screen in SCREENS:
            await open_screen(seat, screen)
            expected = {a.label.capitalize(): a.about for a in actions_of(screen)}
            assert commands(seat) == expected
            await back(seat)


async def test_a_command_of_the_palette_does_what_its_key_does(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("enter")
        offered = {c.title: c.callback for c in seat.app.get_system_commands(seat.app.screen)}
        await offered["Note"]()
        await seat.settle()
        assert seat.box.startswith("Note on Brook pair")


# --- keys of the crew's own --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("remapped", "keys"),
    [
        ({}, {}),
        ({"finish": "e"}, {"round.finish": "e"}),
        ({"round.finish": "e"}, {"round.finish": "e"}),
        (
            {"logbook": "l"},
            {f"{at}.logbook": "l" for at in ("board", "season", "round", "items", "vacuum")},
        ),
        ({"board.logbook": "l"}, {"board.logbook": "l"}),
        ({"help": "f9"}, {"help": "f9"}),
        ({"fly": "v", "board.fly": "w", "finish": "e"}, {"round.finish": "e"}),
    ],
)
def test_an_action_is_named_by_its_name_or_with_its_screen(
    remapped: dict[str, str], keys: dict[str, str]
) -> None:
    assert keymap(remapped) == keys


async def test_keys_of_the_book_and_of_the_laptop_work_and_footer_and_help_say_so(
    demo: Season, laptop: Laptop, tmp_path: Path
) -> None:
    toml = demo.book.path / "book.toml"
    keys = '\n[keys]\nfinish = "e"\n"round.note" = "q"\nlogbook = "l"\nprint = "y"\nhelp = "f9"\n'
    toml.write_text(toml.read_text("utf-8") + keys, "utf-8")
    book = type(demo.book).open(demo.book.path, desk=demo.book.desk)
    own = tmp_path / "laptop.json"
    own.write_text(own.read_text("utf-8").replace("{", '{"keys": {"round.note": "w"},', 1), "utf-8")

    async with sit_down(Season(book), Laptop(tmp_path), LARGE) as seat:
        assert "y paper" in seat.rows[-1]
        assert "F9 help" in seat.rows[-1].replace("f9", "F9")
        await seat.press("enter", "f9")
        told = await page(seat)
        assert "e            The line is done, whatever the count." in told
        assert "w            Write a note about the line." in told  # the laptop's goes first
        assert "l            Read the entries of this block." in told
        await seat.press("escape", "f", "n", "q")
        seat.screen(Round)  # the usual keys do nothing now, nor does the book's under the laptop's
        assert "w note" in seat.rows[-1]
        await seat.press("w")
        assert seat.box.startswith("Note on Brook pair")
        await seat.press("escape", "e")
        assert "Why is it finished?" in seat.box
    book.close()


async def test_help_does_not_promise_a_key_that_another_action_has_taken(
    demo: Season, laptop: Laptop
) -> None:
    demo.book.keys = {"finish": "s"}  # the usual key of setting aside
    async with sit_down(demo, laptop, LARGE) as seat:
        await seat.press("enter", "question_mark")
        assert seat.box.count(" s ") == 1


@pytest.mark.parametrize(
    ("remapped", "keys"),
    [
        ({}, {"round.finish": "f", "round.aside": "s", "help": "question_mark,f1"}),
        ({"round.finish": "s"}, {"round.finish": "s", "round.aside": ""}),
        ({"round.finish": "s", "round.aside": "f"}, {"round.finish": "s", "round.aside": "f"}),
        ({"round.finish": "k"}, {"round.finish": "k", "keying": ""}),
        ({"help": "f"}, {"help": "f", "round.finish": ""}),
        ({"round.finish": "f1"}, {"round.finish": "f1", "help": "question_mark"}),
    ],
)
async def test_a_key_given_to_one_action_is_taken_from_the_other_and_help_knows(
    demo: Season, laptop: Laptop, remapped: dict[str, str], keys: dict[str, str]
) -> None:
    in_force = keys_in_force("round", remapped)
    assert {action: in_force[action] for action in keys} == keys
    demo.book.keys = remapped
    async with sit_down(demo, laptop) as seat:
        await seat.press("enter")
        bound = seat.app.screen.active_bindings.items()
        for action, key in keys.items():
            assert ",".join(k for k, b in bound if b.binding.id == action) == key


async def test_the_key_that_opens_help_closes_it(demo: Season, laptop: Laptop) -> None:
    demo.book.keys = {"help": "f9"}
    async with sit_down(demo, laptop) as seat:
        await seat.press("f9", "f9")
        seat.screen(Board)


# --- what works everywhere ---------------------------------------------------------------------


async def test_light_and_dark_change_with_f2_and_the_laptop_remembers(
    demo: Season, laptop: Laptop, tmp_path: Path
) -> None:
    async with sit_down(demo, laptop) as seat:
        assert seat.app.theme == "fieldbook-dark"
        await seat.press("f2")
        assert seat.app.theme == "fieldbook-light"
        assert Laptop(tmp_path).theme == "light"
        await seat.press("enter", "f2", "f2")
        assert seat.app.theme == "fieldbook-light"


async def test_units_change_with_f3_and_the_laptop_remembers(
    demo: Season, laptop: Laptop, tmp_path: Path
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("enter")
        assert "wet/dry pair, 1-1/2 + 1 in, 780 ft, 4 %" in seat.text
        await seat.press("f3")
        assert "wet/dry pair, 38 + 25 mm, 238 m, 4 %" in seat.text  # 1.5 x 25.4; 780 x 0.3048
        assert Laptop(tmp_path).units == "metric"
        await seat.press("f3")
        assert "780 ft" in seat.text
