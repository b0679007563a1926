"""Dark for the evening, light for glare on snow: readable in both, and never by colour alone.

Contrast is that of WCAG 2.2, success criterion 1.4.3 (w3.org/TR/WCAG22/#contrast-minimum), worked
here from its definition of relative luminance.
"""

import re
from collections.abc import Iterator

import pytest
from textual.theme import Theme

from fieldbook.laptop import Laptop
from fieldbook.reports.words import MARKS, standing_word
from fieldbook.screens.dialogs import Dialog
from fieldbook.screens.themes import THEMES
from fieldbook.season.ledger import Standing
from fieldbook.season.season import Season
from tests.screens.conftest import CELL_WIDTH, ROW_HEIGHT, Seat, sit_down

LEAST = 4.5

FOREGROUNDS = ("foreground", "primary", "secondary", "accent", "success", "warning", "error")
OWN = ("aside", "quiet", "footer-key-foreground", "footer-description-foreground")


def linear(colour: str) -> tuple[float, ...]:
    """Red, green and blue of `#rrggbb` in proportion to light."""
    parts = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    return tuple(c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)


def luminance(colour: str) -> float:
    red, green, blue = linear(colour)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        ("#000000", "#ffffff", 21.0),
        ("#ffffff", "#ffffff", 1.0),
        ("#767676", "#ffffff", 4.54),  # the lightest grey that passes on white
        ("#777777", "#ffffff", 4.48),  # and the darkest that does not
    ],
)
def test_contrast_is_worked_as_the_standard_says(one: str, other: str, ratio: float) -> None:
    assert contrast(one, other) == pytest.approx(ratio, abs=0.005)
    assert contrast(other, one) == contrast(one, other)


def colours(theme: Theme, names: tuple[str, ...]) -> Iterator[tuple[str, str]]:
    for name in names:
        colour = theme.variables.get(name) or getattr(theme, name)
        assert isinstance(colour, str)
        yield name, colour


@pytest.mark.parametrize("theme", THEMES.values(), ids=THEMES.keys())
@pytest.mark.parametrize("background", ["background", "surface", "panel"])
def test_every_colour_of_a_theme_can_be_read_on_every_ground(theme: Theme, background: str) -> None:
    (_name, ground) = next(colours(theme, (background,)))
    faint = {
        name: round(contrast(colour, ground), 2)
        for name, colour in colours(theme, FOREGROUNDS + OWN)
        if contrast(colour, ground) < LEAST
    }
    assert faint == {}


@pytest.mark.parametrize("theme", THEMES.values(), ids=THEMES.keys())
def test_the_cursor_can_be_read(theme: Theme) -> None:
    fore, back = (
        theme.variables["block-cursor-foreground"],
        theme.variables["block-cursor-background"],
    )
    assert contrast(fore, back) >= LEAST


# --- what is really on the screen --------------------------------------------------------------

_FILL = re.compile(r"\.(terminal-\d+-r\d+) \{ fill: (#[0-9a-f]{6})")
_RECT = re.compile(
    r'<rect fill="(#[0-9a-f]{6})" x="([\d.]+)" y="([\d.]+)" width="([\d.]+)"[^>]*shape-rendering'
)
_RUN = re.compile(r'<text class="(\S+-r\d+)" x="([\d.]+)" y="([\d.]+)"[^>]*>(.*?)</text>')
_WORDS = re.compile(r"[^\W_]|[!?<>\[\]]")


def faint_words(seat: Seat) -> dict[str, float]:
    """Runs of text that stand too little off what is behind them.

    Under a question the screen is dimmed: it is not to be read then, and is passed over.
    """
    picture, top = seat.picture, seat.app.screen
    box = top.query_one("#dialog, #page").region if isinstance(top, Dialog) else top.region
    fills = dict(_FILL.findall(picture))
    grounds = [
        (int(float(y) // ROW_HEIGHT), float(x), float(x) + float(width), colour)
        for colour, x, y, width in _RECT.findall(picture)
    ]
    found: dict[str, float] = {}
    for style, x, y, run in _RUN.findall(picture):
        row, column = int(float(y) // ROW_HEIGHT), float(x) + CELL_WIDTH / 2
        if not box.contains(int(column // CELL_WIDTH), row):
            continue
        behind = [c for r, left, right, c in grounds if r == row and left <= column < right]
        words = run.replace("&#160;", " ").strip()
        if _WORDS.search(words):
            assert behind, f"nothing is known to be behind {words!r}"
            ratio = contrast(fills[style], behind[-1])
            if ratio < LEAST:
                found[words] = round(ratio, 2)
    return found


@pytest.mark.parametrize("theme", THEMES)
async def test_every_word_on_every_screen_can_be_read(
    demo: Season, laptop: Laptop, theme: str
) -> None:
    laptop.theme = theme
    states = {
        "board": ("home",),
        "board, set aside": ("down", "down", "down"),
        "line": ("slash",),
        "round": ("escape", "up", "up", "enter", "8"),
        "absurd": ("0", "0", "enter"),
        "person": ("p",),
        "refused": ("escape", "n", "enter"),
        "strike": ("escape", "backspace", "enter", "u"),
        "logbook": ("escape", "g", "up"),
        "keys": ("question_mark",),
        "open items": ("escape", "o"),
        "open items, work": ("end",),
        "where from": ("w",),
        "written off": ("escape", "home", "down", "x"),
        "out": ("escape", "b"),
        "due": ("t", "enter", "enter"),
        "hand-off": ("escape", "h"),
        "page": ("enter",) * 8,
        "taken from": ("enter", "t", "enter", "enter"),
        "told": (),
        "read back": ("enter", "1", "enter"),
    }
    async with sit_down(demo, laptop, (120, 60)) as seat:
        faint: dict[str, dict[str, float]] = {}
        for state, keys in states.items():
            await seat.press(*keys)
            if words := faint_words(seat):
                faint[state] = words
        assert faint == {}


@pytest.mark.parametrize("theme", THEMES)
async def test_every_word_of_the_summary_can_be_read(
    demo: Season, laptop: Laptop, theme: str
) -> None:
    laptop.theme = theme
    async with sit_down(demo, laptop, (120, 60)) as seat:
        await seat.press("s")
        assert faint_words(seat) == {}


@pytest.mark.parametrize("theme", THEMES)
async def test_the_empty_field_of_the_logbook_can_be_read(
    demo: Season, laptop: Laptop, theme: str
) -> None:
    laptop.theme = theme
    async with sit_down(demo, laptop) as seat:
        await seat.press("g")
        assert "/ to find words" in seat.text
        assert faint_words(seat) == {}


# --- never by colour alone ---------------------------------------------------------------------


def test_every_standing_has_a_mark_and_a_word_of_its_own() -> None:
    assert len({MARKS[standing] for standing in Standing}) == len(Standing)
    assert len({standing_word(standing) for standing in Standing}) == len(Standing)
    assert all(mark.isascii() for mark in MARKS.values())


async def test_without_colour_the_cursor_a_hazard_and_what_is_struck_still_show(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        assert ">[>] 1,003/1,650" in seat.text
        await seat.press("enter")
        assert seat.row(" 7  Brook pair").startswith(" > ")
        assert "! hazard" in seat.row(" 7  Brook pair")
        await seat.press("g", "slash")
        await seat.paste("milo k7f2q-358", "enter", "home")
        assert seat.row(" >k7f2q-358").count("struck: ") == 1


async def test_without_colour_the_name_that_enter_takes_still_shows(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.press("p")
        first = seat.box
        await seat.press("down")
        assert seat.box != first


# --- colour-blind eyes -------------------------------------------------------------------------

DEUTERANOPE = (
    (0.367322, 0.860646, -0.227968),
    (0.280085, 0.672501, 0.047413),
    (-0.011820, 0.042940, 0.968881),
)
"""Linear light as a deuteranope sees it (Machado, Oliveira, Fernandes 2009; from memory)."""


def lab(light: tuple[float, ...]) -> tuple[float, float, float]:
    """CIE L*a*b* under D65, of linear sRGB."""
    red, green, blue = light
    x = (0.4124 * red + 0.3576 * green + 0.1805 * blue) / 0.9505
    y = 0.2126 * red + 0.7152 * green + 0.0722 * blue
    z = (0.0193 * red + 0.1192 * green + 0.9505 * blue) / 1.089

    def f(t: float) -> float:
        return t ** (1 / 3) if t > 216 / 24389 else (24389 / 27 * t + 16) / 116

    return 116 * f(y) - 16, 500 * (f(x) - f(y)), 200 * (f(y) - f(z))


def seen_apart(one: str, other: str) -> float:
    """How far apart two colours look to a deuteranope: CIE76, of which 2.3 is just noticed."""
    seen = [
        lab(tuple(max(0.0, sum(w * c for w, c in zip(row, linear(colour), strict=True)))
                  for row in DEUTERANOPE))
        for colour in (one, other)
    ]  # fmt: skip
    return float(sum((a - b) ** 2 for a, b in zip(*seen, strict=True)) ** 0.5)


@pytest.mark.parametrize("theme", THEMES.values(), ids=THEMES.keys())
@pytest.mark.parametrize("pair", ["success warning", "primary secondary", "success error"])
def test_done_under_way_and_wrong_part_for_eyes_without_green(theme: Theme, pair: str) -> None:
    (_one, one), (_other, other) = colours(theme, tuple(pair.split()))
    assert seen_apart(one, other) > 20
