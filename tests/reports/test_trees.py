"""The plan against the trees: taps allowed, taps too many, trees to measure again."""

import pytest

from fieldbook.book.entry import Line, TapClass, TapRule, Target
from fieldbook.reports.trees import LineTrees, allowance, trees_flag, trees_listing
from fieldbook.season.season import Season
from fieldbook.trade import sources, tapping
from tests.conftest import stamp
from tests.reports.helpers import cells, is_sound, rules, trees


def line(season: Season, name: str) -> LineTrees:
    return next(x for x in allowance(season).lines if x.line == name)


def block(season: Season, name: str) -> LineTrees:
    return next(x for x in allowance(season).blocks if x.block == name)


def test_a_line_by_the_recommended_table(season: Season) -> None:
    # 12-18 in 1, 18 and over 2: North American Maple Syrup Producers Manual
    season.record(trees("Ledge/Cliff", "11:9 12:20 17:5 18:6"))
    cliff = line(season, "Cliff")
    assert (cliff.trees, cliff.planned) == (40, 42)
    assert cliff.allowed == 37  # 20 x 1 + 5 x 1 + 6 x 2
    assert cliff.over == 5
    assert trees_flag(cliff) == "5 taps over the 37 that its 40 trees allow"


def test_as_many_taps_as_the_trees_allow_are_not_over(season: Season) -> None:
    season.record(trees("Ledge/Cliff", "12:42"))
    cliff = line(season, "Cliff")
    assert (cliff.allowed, cliff.over, trees_flag(cliff)) == (42, 0, "")


def test_a_line_without_a_number_is_planned_by_its_trees(season: Season) -> None:
    season.record(Line(block="Ledge", line="Gully", **stamp()), trees("Ledge/Gully", "12:7 20:2"))
    gully = line(season, "Gully")
    assert (gully.planned, gully.allowed, gully.over) == (11, 11, 0)  # 7 + 2 x 2


def test_a_number_wanted_for_a_line_is_what_its_trees_have_to_carry(season: Season) -> None:
    season.record(
        trees("Ledge/Cliff", "12:40"),
        Target(task="tapping", block="Ledge", line="Cliff", planned=45, **stamp()),
    )
    cliff = line(season, "Cliff")
    assert (cliff.planned, cliff.over) == (45, 5)  # its own number, 42, is 2 over
    assert block(season, "Ledge").over == 5


def test_a_line_without_a_tally_says_nothing(season: Season) -> None:
    ford = line(season, "Ford")
    assert (ford.trees, ford.allowed, ford.over, ford.soon, ford.by_rule) == (None, None, 0, 0, {})
    assert ford.planned == 120


def test_a_block_of_which_a_part_was_tallied_counts_that_part(season: Season) -> None:
    season.record(
        trees("Creek/Spring", "12:30"),  # 35 planned: 5 over
        trees("Creek/Culvert", "18:4"),  # none planned: 8 to spare make up for nothing
    )
    creek = block(season, "Creek")
    assert (creek.trees, creek.planned, creek.allowed, creek.over) == (34, 35, 38, 5)
    assert creek.by_rule["conservative"] == 38
    ledge = block(season, "Ledge")
    assert (ledge.trees, ledge.planned, ledge.allowed, ledge.by_rule) == (None, None, None, {})
    notes = trees_listing(allowance(season)).notes
    assert any(
        note.startswith("3 lines have no tally of their trees, and are in no sum") for note in notes
    )


def test_a_line_planned_by_trees_that_nobody_tallied_wants_a_look(season: Season) -> None:
    season.record(Line(block="Ledge", line="Gully", **stamp()))
    said = "! Ledge / Gully: planned by its trees, and none are tallied: e in the round"
    assert said in trees_listing(allowance(season)).notes
    season.record(trees("Ledge/Gully", "12:7"))
    assert said not in trees_listing(allowance(season)).notes


def test_a_growth_of_the_crew_s_own_names_the_entry_and_not_the_study(season: Season) -> None:
    report = allowance(season)
    assert report.growth_source == sources.GROWTH
    assert (
        f"Growth of 0.115 in of diameter a year: {sources.GROWTH}." in trees_listing(report).notes
    )
    (entry,) = season.record(*rules(growth_dbh_in=0.08))
    told = allowance(season).growth_source
    assert told == f"the crew's own ({entry.id}, Oda, Tue 9 Feb 2027); by default 0.115: " + (
        sources.GROWTH
    )
    assert (
        f"Growth of 0.08 in of diameter a year: {told}." in trees_listing(allowance(season)).notes
    )


def test_every_rule_stands_side_by_side(season: Season) -> None:
    ours = TapRule(
        rule="ours",
        unit="in",
        classes=(TapClass(from_dbh=9, taps=1), TapClass(from_dbh=16, taps=3)),
        **stamp(),
    )
    season.record(ours, trees("Ledge/Cliff", "10:1 15:1 16:1 25:1"))
    # 10 in is 25.4 cm, 15 is 38.1, 16 is 40.64, 25 is 63.5
    assert line(season, "Cliff").by_rule == {
        "traditional": 1 + 1 + 2 + 4,  # the manual's older table; 15 in is of "10-15"
        "conservative": 0 + 1 + 1 + 2,  # the manual's recommended table
        "quebec-private": 1 + 1 + 2 + 2,  # M-35.1, r. 8.1, s. 6: 23.1 cm 1; 39.1 and over 2
        "quebec-public": 1 + 1 + 2 + 3,  # A-18.1, r. 8.1, s. 58: 19.1 cm 1; 39.1 2; 59.1 3
        "ontario": 0 + 1 + 1 + 2,  # Leuty 2014: 30 cm 1, 60 cm 2
        "own": 0 + 1 + 1 + 2,  # from 12 in on, one more each 6 in, two at most
        "ours": 1 + 1 + 3 + 3,
    }
    assert set(line(season, "Cliff").by_rule) == {*tapping.RULES, "own", "ours"}


@pytest.mark.parametrize(
    ("taken", "soon"),
    [
        # Growth 0.115 in a year: 11.7 in reaches the limit of 12 after 2.6 years, 11.8 after 1.7.
        ("2027-02-09", 5),
        ("2026-11-20", 9),  # a year older than the season: 3 years to look ahead
        ("2023-04-01", 20),  # 11.4 in needs 5.2 years; 4 have gone by, 2 are to come
        ("2028-02-09", 5),  # a slip of the calendar takes nothing off
    ],
)
def test_trees_near_the_first_limit_grow_since_they_were_tallied(
    season: Season, taken: str, soon: int
) -> None:
    season.record(*rules(growth_dbh_in=0.115))
    season.record(trees("Ledge/Cliff", "11.8:5 11.7:4 11.4:11 11.2:50 12:8", day=taken))
    assert line(season, "Cliff").soon == soon
    notes = trees_listing(allowance(season)).notes
    assert any(note.startswith(f"{soon} trees may have reached the first limit") for note in notes)


def test_one_tree_is_one_tree(season: Season) -> None:
    season.record(trees("Ledge/Cliff", "11.9:1 12:42"))
    notes = trees_listing(allowance(season)).notes
    assert any(note.startswith("1 tree may") and "measure it again" in note for note in notes)
    assert not any(note.startswith("!") for note in notes)  # a tree that grows is no mistake


def test_the_table_marks_the_rule_of_the_book(season: Season) -> None:
    season.record(trees("Ledge/Cliff", "12:20"))
    listing = trees_listing(allowance(season))
    is_sound(listing)
    assert listing.heads[-5:] == ("trad", "cons*", "q-pr", "q-pu", "onta")
    assert [(row[0], row[1], row[4]) for row in listing.rows] == [
        ("Ledge", "", 22),
        ("Ledge", "Cliff", 22),
        ("Ledge", "Cedar", None),
        ("Creek", "", None),
        ("Creek", "Ford", None),
        ("Creek", "Spring", None),
        ("Creek", "Culvert", None),
    ]
    assert listing.columns[-5:] == (
        *("by traditional", "by conservative", "by quebec-private", "by quebec-public"),
        "by ontario",
    )
    assert cells(listing, "by conservative") == [20, 20, None, None, None, None, None]


@pytest.mark.parametrize(
    ("name", "head"),
    [
        ("own", "own*"),
        ("ours", "ours*"),
        ("-odd", "-od*"),
        ("Érable", "Érab*"),
        ("trees", "tree*"),  # a column of its own beside that of the trees
    ],
)
def test_a_rule_of_the_crew_s_has_a_column_while_it_is_the_book_s(
    season: Season, name: str, head: str
) -> None:
    if name != "own":
        season.record(
            TapRule(rule=name, unit="in", classes=(TapClass(from_dbh=9, taps=1),), **stamp())
        )
    assert f"by {name}" not in trees_listing(allowance(season)).columns
    season.record(*rules(tap_rule=name), trees("Ledge/Cliff", "12:20"))
    listing = trees_listing(allowance(season))
    is_sound(listing)
    assert (listing.columns[-1], listing.heads[-1]) == (f"by {name}", head)
    assert cells(listing, f"by {name}")[1] == 20
