"""The terminal form: nothing typed acts as markup or as an escape sequence."""

import io
import re
from datetime import date

import pytest
from rich.console import Console, RenderableType

from fieldbook.book.book import Book
from fieldbook.book.entry import Block, Line, Note, Person, Run
from fieldbook.reports.log import log_lines
from fieldbook.reports.render.terminal import log_terminal, summary_terminal
from fieldbook.reports.summary import summarise
from fieldbook.resources import resource
from fieldbook.season.season import Season
from fieldbook.season.settings import RULES
from tests.conftest import NOW, PLAN, aside, count, finish, stamp
from tests.reports import TUESDAY, on, work

NASTY = "[red]x[/] [/] [link=file:///etc]y :snowman: \x1b[31mred\x1b]0;title\x07 \u202elaid"


def shown(renderable: RenderableType, *, width: int = 80, colour: bool = False) -> str:
    """What appears on a terminal of a width."""
    console = Console(
        width=width,
        file=io.StringIO(),
        force_terminal=colour,
        color_system="truecolor" if colour else None,
        no_color=False,
        emoji=False,
        markup=False,
        highlight=False,
    )
    with console.capture() as capture:
        console.print(renderable)
    return capture.get()


@pytest.fixture
def tuesday(season: Season) -> Season:
    """Quillby Hollow on Tuesday evening, with the work of `tests.reports` done."""
    work(season)
    return on(season, TUESDAY)


@pytest.fixture
def nasty(season: Season) -> Season:
    """Every word that can be typed is markup, an escape sequence or worse."""
    name = NASTY[:60]
    season.record(
        Block(block=name, order=0, **stamp()),
        Line(block=name, line=name, order=1, taps_planned=9, note=NASTY, **stamp()),
        Person(person=name, **stamp()),
    )
    (person,) = (p for p in season.plan.people if p.startswith("["))
    season.record(
        aside("Ledge/Cliff", "tapping", NASTY),
        finish("Ledge/Cedar", "tapping", NASTY),
        Note(text=NASTY, hazard=True, **stamp()),
        count("Creek/Ford", "tapping", 130, who=person),
        count("Creek/Ford", "leaks", 1, who=person),
    )
    last = season.log()[-1]
    season.strike(last.id, NASTY, by=person, now=NOW)
    return season


def test_numbers_stand_beside_their_bars(tuesday: Season) -> None:
    lines = shown(summary_terminal(summarise(tuesday, TUESDAY)), width=100).splitlines()
    assert lines[0].rstrip() == "Quillby Hollow, season 2027, as of Tue 9 Feb 2027"
    rows = {line.split("  ")[0]: line.rstrip() for line in lines}
    assert rows["Drop replacement"] == (
        "Drop replacement  ======..  75 %   122      162     0  wanted Sat 19 Dec"
    )
    assert rows["Tapping"] == (
        "Tapping           ==......  35 %    95      257   165  wanted Sat 20 Feb: 15 a day"
    )
    assert rows["Ledge"] == "Ledge  [x] 42  [>] 95/102  [>] 20/40   [ ] 2  [>] 2/95"
    assert rows["Creek"] == "Creek  [x] 80  [ ] 155     [>] 5/14    [ ] 3  [ ]"


def test_sap_stands_above_the_tasks(season: Season) -> None:
    season.record(Run(sap_l=3785.411784, note=NASTY, **stamp()))  # 1,000 gal, of 257 taps
    lines = [
        line.rstrip() for line in shown(summary_terminal(summarise(season, TUESDAY))).split("\n")
    ]
    assert lines[4] == "Drops 257 = taps 0 + not tapped 257"
    assert lines[5] == "Sap 1,000.0 gal on 1 day, 3.9 gal a tap"
    assert lines[6] == ""  # of syrup nobody said anything


def test_today_stands_beside_the_week(tuesday: Season) -> None:
    lines = shown(summary_terminal(summarise(tuesday, TUESDAY))).splitlines()
    at = next(number for number, line in enumerate(lines) if line.startswith("Today"))
    assert [" ".join(line.split()) for line in lines[at + 2 : at + 6]] == [
        "Oda: 2 spouts Oda: 2 spouts",
        "Wim: 20 taps, 0.5 h Perrin: 30 taps, 1 h",
        "Wim: 5 ties, 0.25 h Wim: 20 taps, 0.5 h",
        "Wim: 25 ties, 2.25 h",
    ]


@pytest.mark.parametrize("width", [80, 120])
@pytest.mark.parametrize("year", [2025, 2026, 2027])
def test_the_demo_fits_the_terminal(year: int, width: int) -> None:
    season = Season(Book.open(resource("demo_season"), year=year))
    summary = shown(summary_terminal(summarise(season, date(year, 2, 9))), width=width)
    log = shown(log_terminal(list(log_lines(season))), width=width)
    assert max(len(line) for line in (summary + log).splitlines()) <= width
    assert "…" not in summary  # no number is cut


def test_what_is_typed_is_shown_and_never_obeyed(nasty: Season) -> None:
    text = shown(summary_terminal(summarise(nasty, TUESDAY)), width=300)
    text += shown(log_terminal(list(log_lines(nasty))), width=300)
    assert "\x1b" not in text
    assert "\x07" not in text
    assert "\u202e" not in text
    said = "[red]x[/] [/] [link=file:///etc]y :snowman: [31mred]0;title laid"
    assert text.count(said) >= 6  # aside, finish, hazard, each twice
    assert text.count("[red]x[/] [/] [link=file:///etc]y :snowman: [31mred") >= 9


def test_colour_comes_from_the_report_alone(nasty: Season) -> None:
    text = shown(summary_terminal(summarise(nasty, TUESDAY)), width=300, colour=True)
    sequences = set(re.findall(r"\x1b[^m]*m", text))
    assert "\x1b[35m" in sequences  # set aside is magenta
    assert sequences <= {"\x1b[0m", "\x1b[1m", "\x1b[2m", "\x1b[32m", "\x1b[35m"}
    assert "\x1b[31m" not in text
    assert "\x1b]" not in text


def test_a_standing_is_a_word_or_a_mark_before_it_is_a_colour(tuesday: Season) -> None:
    summary = summarise(tuesday, TUESDAY)
    plain = shown(summary_terminal(summary), width=120)
    bare = re.sub(r"\x1b[^m]*m", "", shown(summary_terminal(summary), width=120, colour=True))
    assert bare == plain


def test_the_log_tells_what_is_struck_by_whom_and_why(tuesday: Season) -> None:
    lines = shown(log_terminal(list(log_lines(tuesday))), width=160).splitlines()
    number = len(RULES) + 1 + len(PLAN) + 15  # after the rules, a checklist and the plan
    struck = next(line for line in lines if line.startswith(f"k7f2q-{number} "))
    assert " ".join(struck.split()) == (
        f"k7f2q-{number} Mon 8 Feb 16:30 Perrin Ledge / Cedar ~ tapping: 60 taps "
        f"[struck by Oda, k7f2q-{number + 1}: was Monday's sheet of another crew]"
    )


def test_an_empty_season_is_shown(book: Book) -> None:
    text = shown(summary_terminal(summarise(Season(book), TUESDAY)))
    assert "Taps in - of 0" in text
    assert text.count("nothing recorded") == 2
