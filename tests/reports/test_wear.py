"""Will the wood last? Sizes from the tallies, and a verdict for each."""

import math

import pytest

from fieldbook.book.entry import TreeCount, Trees
from fieldbook.reports.wear import SizeWear, holds, verdict, wear, wear_listing
from fieldbook.season.season import Season
from fieldbook.trade import sources
from tests.conftest import stamp
from tests.reports.helpers import cells, is_sound, rules, trees


def size(season: Season, dbh_in: float) -> SizeWear:
    return next(x for x in wear(season).sizes if x.dbh_in == dbh_in)


def test_sizes_of_all_tallies_in_whole_inches(season: Season) -> None:
    season.record(
        trees("Ledge/Cliff", "11.9:6 12:10 12.9:3 18:2"),
        trees("Creek/Spring", "12:7 20:0"),
    )
    # 11.9 in carries no tap by the manual; nobody met a tree of 20 in
    assert [(x.dbh_in, x.trees, x.taps) for x in wear(season).sizes] == [
        (12, 20, 1),
        (18, 2, 2),
        (20, 0, 2),
    ]


def test_typical_sizes_before_any_tree_was_tallied(season: Season) -> None:
    assert [(x.dbh_in, x.trees, x.taps) for x in wear(season).sizes] == [
        (12, None, 1),
        (14, None, 1),
        (16, None, 1),
        (18, None, 2),
        (20, None, 2),
        (22, None, 2),
        (24, None, 2),
    ]


def test_trees_too_small_for_any_tap_leave_nothing_to_tell(season: Season) -> None:
    season.record(trees("Ledge/Cliff", "8:40"))
    report = wear(season)
    assert report.sizes == ()
    is_sound(wear_listing(report))


def test_a_tree_is_tapped_by_its_own_size_not_by_the_inch_below(season: Season) -> None:
    """30 cm is 11.8 in: Ontario taps it (Leuty 2014), 11 in it would not."""
    season.record(*rules(tap_rule="ontario"), trees("Ledge/Cliff", "28cm:9 30cm:12"))
    assert [(x.dbh_in, x.trees, x.taps) for x in wear(season).sizes] == [(11, 12, 1)]


@pytest.mark.parametrize(
    ("dbh_in", "told"), [(3.9, False), (4, True), (60, True), (60.9, True), (61, False)]
)
def test_sizes_that_can_be_reckoned(season: Season, dbh_in: float, told: bool) -> None:
    merged = (TreeCount(dbh_in=dbh_in, count=1),)  # no tally that is typed has trees above 60 in
    season.record(
        *rules(tap_rule="own", own_first_in=1),
        Trees(block="Ledge", line="Cliff", classes=merged, **stamp()),
    )
    assert bool(wear(season).sizes) == told


def clean_share(dbh_in: float, taps: int, stain: float, year: int) -> float:
    """The model as a closed sum: 0.115 in a year, holes of 5/16 in, 1.5 in deep, reach 30 in."""
    now_in = dbh_in + 0.115 * (year - 1)
    zone_in3 = math.pi * 30 * (now_in * 1.5 - 1.5**2)
    column_in3 = stain * math.pi / 4 * 0.3125**2 * 1.5
    columns = sum(max(0.0, 1 - age * 0.0575 / 1.5) for age in range(year))
    return 1 - taps * columns * column_in3 / zone_in3


def test_the_numbers_are_those_of_the_model(season: Season) -> None:
    season.record(*rules(growth_dbh_in=0.115, stain_factor=100), trees("Ledge/Cliff", "18:4"))
    shares = [clean_share(18, 2, 100, year) for year in range(1, 101)]
    seen = size(season, 18)
    assert seen.clean_pct_20 == pytest.approx(100 * shares[19])
    assert seen.lowest_pct == pytest.approx(100 * min(shares))
    assert seen.lowest_year == 1 + shares.index(min(shares))
    assert seen.below_year == next(n for n, share in enumerate(shares, 1) if share < 0.9) == 16
    # Zone at d 1.5 in, H 30 in, DBH 18 in: 2,333 in3; hole of 5/16 in 0.1150 in3 (arithmetic)
    assert clean_share(18, 2, 100, 1) == pytest.approx(1 - 2 * 100 * 0.1150 / 2333, abs=1e-4)


@pytest.mark.parametrize(
    ("stain_factor", "dbh", "rule", "said"),
    [
        (50, 12, "conservative", "1 holds"),
        (50, 18, "conservative", "2 hold"),
        (50, 20, "traditional", "2 hold"),
        (50, 21, "traditional", "3 hold; not with a stain factor of 75"),
        (100, 12, "conservative", "1 holds"),  # a book more cautious than that has said it
        (100, 18, "conservative", "2 lose clean wood from year 16; 1 holds"),
        (100, 25, "traditional", "4 lose clean wood from year 9; 2 hold"),
        (150, 12, "conservative", "1 loses clean wood from year 13; none holds"),
        (200, 18, "conservative", "2 lose clean wood from year 6; none holds"),
    ],
)
def test_the_verdict_in_words(
    season: Season, stain_factor: float, dbh: int, rule: str, said: str
) -> None:
    season.record(*rules(growth_dbh_in=0.115, stain_factor=stain_factor, tap_rule=rule))
    season.record(trees("Ledge/Cliff", f"{dbh}:4"))
    (seen,) = wear(season).sizes
    assert verdict(seen) == said
    assert holds(seen) == ("lose" not in said)
    told = cells(wear_listing(wear(season)), "verdict")
    assert told == [said if holds(seen) else "! " + said]


def test_nobody_knows_the_stain_factor_so_four_are_tried(season: Season) -> None:
    season.record(*rules(growth_dbh_in=0.115), trees("Ledge/Cliff", "12:9 18:4"))
    report = wear(season)
    assert [x.holds_at for x in report.sizes] == [
        {"25": True, "50": True, "75": True, "100": True},
        {"25": True, "50": True, "75": True, "100": False},
    ]
    notes = wear_listing(report).notes
    assert "With a stain factor of 75: 2 of 2 sizes hold." in notes
    assert "With a stain factor of 100: 1 of 2 sizes hold." in notes
    assert any(sources.STAIN in note and sources.ZONE_MILD in note for note in notes)


def test_what_stains_more_never_holds_where_less_does_not(season: Season) -> None:
    season.record(*rules(growth_dbh_in=0.06, tap_rule="traditional"))
    for seen in wear(season).sizes:
        tried = list(seen.holds_at.values())
        assert tried == sorted(tried, reverse=True)
        assert seen.most_taps >= seen.taps if holds(seen) else seen.most_taps < seen.taps


def test_a_share_to_keep_is_the_book_s(season: Season) -> None:
    season.record(*rules(clean_wood_pct=97, growth_dbh_in=0.115), trees("Ledge/Cliff", "12:9"))
    report = wear(season)
    assert report.aim_pct == pytest.approx(97)
    below = next(year for year in range(1, 101) if clean_share(12, 1, 50, year) < 0.97)
    assert verdict(report.sizes[0]) == f"1 loses clean wood from year {below}; none holds"
    title = wear_listing(report).title
    assert title == "Wear: will the wood last? conservative rule, 97 % clean wood to keep"


def test_a_row_a_size(season: Season) -> None:
    listing = wear_listing(wear(season))
    is_sound(listing)
    assert cells(listing, "dbh_in") == [12, 14, 16, 18, 20, 22, 24]
    assert set(cells(listing, "trees")) == {None}
    heads = dict(zip(listing.columns, listing.heads, strict=True))
    assert heads["clean_pct_20"] == "% clean, 20 years"
    assert heads["lowest_pct"] == "% at least"


def test_a_hole_deeper_than_half_the_tree_is_refused(season: Season) -> None:
    season.record(*rules(tap_rule="own", own_first_in=4, hole_depth_in=4))
    season.record(trees("Ledge/Cliff", "8:1"))
    with pytest.raises(ValueError, match=r"depth 4.* in at a DBH of 8"):
        wear(season)
