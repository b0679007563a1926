"""The plain form of the summary and the log: what a simple printer or a chat message carries."""

from datetime import date

import pytest

from fieldbook.book.book import Book
from fieldbook.book.entry import Block, Close, Line, Note, Person, Run, Spouts
from fieldbook.reports.log import log_lines
from fieldbook.reports.render.text import columns, log_text, summary_text
from fieldbook.reports.summary import Summary, summarise
from fieldbook.reports.summary_words import headline, wanted_words
from fieldbook.resources import resource
from fieldbook.season.season import Season
from fieldbook.season.settings import RULES
from tests.conftest import NOW, PLAN, aside, count, stamp
from tests.reports import TUESDAY, on, work
from tests.reports.helpers import trees


@pytest.fixture
def tuesday(season: Season) -> Summary:
    """Quillby Hollow on Tuesday evening, with the work of `tests.reports` done."""
    work(season)
    return summarise(on(season, TUESDAY), TUESDAY)


def test_the_whole_summary_on_plain_lines(tuesday: Summary) -> None:
    head, *rest = summary_text(tuesday).split("\n\n")
    assert head == "Quillby Hollow, season 2027, as of Tue 9 Feb 2027"
    assert "\n\n".join(rest[1:]) == (
        "Task              Done  Planned   %  Left  Standing\n"
        "Drop replacement   122      162  75     0  [x] done       wanted Sat 19 Dec\n"
        "Tapping             95      257  35   165  [>] under way  "
        "wanted Sat 20 Feb: 15 a day\n"
        "Tensioning          25       54  46    29  [>] under way  "
        "wanted Sat 13 Feb: 6 a day\n"
        "Leak checks          0        5   0     5  [ ] not begun  "
        "wanted Sat 27 Feb: 1 a day\n"
        "Pulling taps         2       95   2    93  [>] under way  "
        "wanted Sat 1 May: 2 a day\n"
        "\n"
        "Block  Task        Done  Planned    %  Left  Standing\n"
        "Ledge  drops         42       42  100     0  [x] done\n"
        "       tapping       95      102   90    10  [>] under way\n"
        "       tensioning    20       40   50    20  [>] under way\n"
        "       leaks          0        2    0     2  [ ] not begun\n"
        "       pulling        2       95    2    93  [>] under way\n"
        "Creek  drops         80      120   66     0  [x] done\n"
        "       tapping        0      155    0   155  [ ] not begun\n"
        "       tensioning     5       14   35     9  [>] under way\n"
        "       leaks          0        3    0     3  [ ] not begun\n"
        "       pulling        0        0    -     0  [ ] not begun\n"
        "\n"
        "Today:\n"
        "  Oda: 2 spouts\n"
        "  Wim: 20 taps, 0.5 h\n"
        "  Wim: 5 ties, 0.25 h\n"
        "\n"
        "This week:\n"
        "  Oda: 2 spouts\n"
        "  Perrin: 30 taps, 1 h\n"
        "  Wim: 20 taps, 0.5 h\n"
        "  Wim: 25 ties, 2.25 h\n"
        "\n"
        "Open items (7):\n"
        "  !! hung-up beech [/] by the ford: Creek / 1 Ford; Oda, since 16:30\n"
        "  3 taps more than drops: Ledge / 1 Cliff; Oda, 2 days\n"
        "  Pulling taps: 43 spouts left: Ledge / 1 Cliff; Oda, since 16:30\n"
        "  Tapping: 10 taps left: Ledge / 2 Cedar; Wim, since 16:30\n"
        "  Tensioning: 6 ties left: Creek / 2 Spring; Wim, since 16:30\n"
        "  Tapping set aside, 120 taps left: [red]ice[/] on the ford: Creek / 1 Ford;\n"
        "      Oda, 1 day\n"
        "  Leak checks set aside, 2 readings left: pump is out: Creek, 2 lines; Oda,\n"
        "      1 day\n"
        "\n"
        "Finished short of the plan:\n"
        "  Creek / Ford, drops: 80 of 120 (out of tees)\n"
        "\n"
        "Over the plan:\n"
        "  Ledge / Cliff, tapping: 45 of 42\n"
        "\n"
        "The record:\n"
        "  1 entry struck\n"
    )


def test_the_head_and_the_table_give_one_percentage(tuesday: Summary) -> None:
    """What is over on Cliff makes up for nothing on Ford: (95 - 3) / 257 = 35.8 %."""
    assert headline(tuesday)[0] == "Taps in 95 of 257 (35 %), left 165"


def test_drops_and_taps_are_balanced_under_the_totals(tuesday: Summary, season: Season) -> None:
    """Drops 42 + 60 + 120 + 35; 3 over on Cliff do not make up for Cedar 10, Ford 120, Spring 35.

    Of bags there is a line once somebody was issued spouts: Wim's 30 of Tuesday are 20 in trees
    and 10 that nobody accounts for.
    """
    assert headline(tuesday)[3:] == ["Drops 257 = taps 95 + not tapped 165 - over 3"]
    season.record(Spouts(who="Wim", move="issued", count=30, **stamp()))
    told = summarise(on(season, TUESDAY), TUESDAY)
    assert headline(told)[4:] == [
        "Spouts issued 30 = in trees 20 + returned 0 + scrapped 0 + in the bags 10"
    ]


def test_a_closed_season_says_who_closed_it(season: Season) -> None:
    assert not any("closed" in line for line in headline(summarise(season, TUESDAY)))
    season.book.record(Close(who="Oda", **stamp()))
    season.catch_up()
    said = headline(summarise(season, TUESDAY))[-1]
    assert said == f"The season is closed ({season.log()[-1].id}, Oda, Tue 9 Feb 2027)"


def test_sap_and_syrup_stand_under_the_taps(season: Season) -> None:
    """900 gal over 257 taps planned; 900 / 43.23 is 20.8 (revised rule, Perkins & Isselhardt)."""
    season.record(Run(sap_gal=900, brix=2, syrup_gal=20, **stamp()), Run(**stamp("2027-02-08")))
    assert headline(summarise(season, TUESDAY))[4:] == [
        "Sap 900.0 gal on 1 day, 1 not measured, 3.5 gal a tap, 2.0 Brix",
        "Syrup 20.0 gal made (0.078 a tap), 20.8 gal expected of it",
    ]
    assert headline(summarise(season, TUESDAY))[5] in summary_text(summarise(season, TUESDAY))


def test_lines_planned_by_trees_that_nobody_tallied_stand_under_the_taps(season: Season) -> None:
    gully, ravine = (Line(block="Ledge", line=name, **stamp()) for name in ("Gully", "Ravine"))
    season.record(gully)
    assert headline(summarise(season, TUESDAY))[:2] == [
        "Taps in 0 of 257 (0 %), left 257",  # Gully is in no sum
        "! 1 line is planned by its trees, and they are not tallied",
    ]
    season.record(ravine)
    assert headline(summarise(season, TUESDAY))[1] == (
        "! 2 lines are planned by their trees, and those are not tallied"
    )
    season.record(trees("Ledge/Gully", "12:3"), trees("Ledge/Ravine", "11:9"))  # none big enough
    assert headline(summarise(season, TUESDAY))[:2] == [
        "Taps in 0 of 260 (0 %), left 260",
        "Drops replaced 0 of 165 due",  # of Gully's nobody knows the age
    ]


def test_an_empty_season_says_so(book: Book) -> None:
    text = summary_text(summarise(Season.begin(book, "vacuum", by="Oda", now=NOW), TUESDAY))
    assert "Taps in 0 of 0 (-), left 0\n" in text
    assert text.count("nothing recorded") == 2
    assert "Drops 0 = taps 0 + not tapped 0\n" in text
    assert "Open items" not in text


def test_buckets_have_no_drops_to_tell_of(book: Book) -> None:
    text = summary_text(summarise(Season.begin(book, "buckets", by="Oda", now=NOW), TUESDAY))
    assert "Drops replaced" not in text
    assert "Spouts in trees 0, pulled 0\n" in text


@pytest.mark.parametrize(
    ("task", "words", "brief"),
    [
        ("drops", "wanted Sat 19 Dec", "wanted Sat 19 Dec"),  # none left
        (
            "tapping",
            "wanted Sat 20 Feb: 11 workdays, 15 a day",
            "wanted Sat 20 Feb: 15 a day",
        ),
    ],
)
def test_the_day_wanted_in_words(tuesday: Summary, task: str, words: str, brief: str) -> None:
    part = next(p for p in tuesday.tasks if p.task == task)
    assert wanted_words(part) == words
    assert wanted_words(part, brief=True) == brief


@pytest.mark.parametrize(
    ("day", "words"),
    [
        (date(2027, 2, 19), "wanted Sat 20 Feb: 2 workdays, 59 a day"),  # 117 / 2 = 58.5
        (date(2027, 2, 20), "wanted Sat 20 Feb: 1 workday, 117 a day"),
        (date(2027, 2, 21), "wanted Sat 20 Feb, no workday left"),
    ],
)
def test_the_day_wanted_comes_and_goes(season: Season, day: date, words: str) -> None:
    season.record(
        count("Ledge/Cliff", "tapping", 40),  # 2 left
        count("Ledge/Cedar", "tapping", 60),
        count("Creek/Ford", "tapping", 5),  # 115 left
        count("Creek/Spring", "tapping", 40),  # 5 over, which nobody else is spared
    )
    part = next(p for p in summarise(season, day).tasks if p.task == "tapping")
    assert wanted_words(part) == words


# --- what a simple printer can carry -----------------------------------------------------------


def test_all_of_it_is_ascii_but_for_the_words_people_typed(tuesday: Summary) -> None:
    assert summary_text(tuesday).isascii()


def test_typed_words_are_kept_as_they_are(season: Season) -> None:
    season.record(
        Block(block="Érablière", order=3, **stamp()),
        Line(block="Érablière", line="Érablière", order=1, taps_planned=9, **stamp()),
        Person(person="Zoë", **stamp()),
        count("Érablière/Érablière", "tapping", 9, who="Zoë"),
    )
    lines = summary_text(summarise(season, TUESDAY)).splitlines()
    assert [line for line in lines if not line.isascii()] == [
        "Érablière  drops          0        9    0     9  [ ] not begun",
        "  Zoë: 9 taps",
        "  Zoë: 9 taps",
        "  drops of unknown age: Érablière; since 16:30",
    ]


@pytest.mark.parametrize("year", [2025, 2026, 2027])
def test_no_line_of_the_demo_is_wider_than_a_hundred(year: int) -> None:
    season = Season(Book.open(resource("demo_season"), year=year))
    for day in (date(year, 2, 9), date(year, 8, 31)):
        lines = summary_text(summarise(season, day)).splitlines()
        assert max(map(len, lines)) <= 100


def test_long_words_are_folded(season: Season) -> None:
    ramble = "the bridge is under water and will stay so until the ice has gone out of it " * 9
    season.record(
        aside("Creek/Ford", "tapping", ramble + "\n\nsee the map"),
        Note(text=ramble + "x" * 300, block="Ledge", hazard=True, **stamp()),
    )
    text = summary_text(summarise(season, TUESDAY))
    assert max(map(len, text.splitlines())) <= 100
    folded = " ".join(text.split())
    assert f"  Tapping set aside, 120 taps left: {ramble}" not in text
    said = f"Tapping set aside, 120 taps left: {ramble}see the map: Creek / 1 Ford; Oda,"
    assert said in folded
    assert folded.replace(" ", "").count("x" * 300 + ":Ledge;Oda") == 1


def test_columns_are_as_wide_as_they_need() -> None:
    rows = [("drops", "1,820"), ("tapping", "7")]
    assert columns(("Task", "Done"), rows, right=frozenset({1})) == [
        "Task      Done",
        "drops    1,820",
        "tapping      7",
    ]


# --- the log -----------------------------------------------------------------------------------


def test_the_log_an_entry_a_line(season: Season) -> None:
    work(season)
    head, *lines = log_text(list(log_lines(season))).splitlines()
    assert head.split() == ["Id", "When", "Who", "Where", "What"]
    before = len(RULES) + 1 + len(PLAN)  # the rules, a checklist and the plan
    assert [line.partition("  ")[2] for line in lines[before + 1 : before + 7]] == [
        "2026-12-11 16:30  Wim     Creek / Ford     drops: 80 drops, 2.5 h",
        "2026-12-11 16:30  Oda     Creek / Ford     finished drop replacement: out of tees",
        "2027-02-07 16:30  Oda     Ledge / Cliff    tapping: 45 taps",
        "2027-02-08 16:30  Wim     Ledge / Cliff    tensioning: 20 ties, 2 h",
        "2027-02-08 16:30  Perrin  Ledge / Cedar    tapping: 30 taps, 1 h",
        "2027-02-08 16:30  Oda     Creek / Ford     set aside tapping: [red]ice[/] on the ford",
    ]
    wrong, struck = f"k7f2q-{before + 15}", f"k7f2q-{before + 16}"
    assert lines[before + 12 : before + 16] == [
        f"k7f2q-{before + 13}  2027-02-09 16:30  Oda     Creek / Ford     "
        "! hung-up beech [/] by the ford",
        f"k7f2q-{before + 14}  2027-02-09 16:30  Oda     Ledge            owl in the box",
        f"{wrong}  2027-02-08 16:30  Perrin  Ledge / Cedar    "
        f"~ tapping: 60 taps  [struck by Oda, {struck}: was Monday's sheet of another crew]",
        f"{struck}  2027-02-09 16:30  Oda                      "
        f"struck {wrong}: was Monday's sheet of another crew",
    ]


def test_a_log_without_entries_has_its_heads() -> None:
    assert log_text([]) == "Id  When  Who  Where  What\n"
