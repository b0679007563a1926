"""The balance as data, words and tables: drops, taps and spouts, by line and by bag.

A count is wrong when something is over as well as when something is missing (AORN, guideline for
the prevention of retained surgical items).
"""

import csv
import io

import pytest
from hypothesis import given, settings

from fieldbook.book.entry import About, AnyEntry
from fieldbook.reports.balance import (
    BagCount,
    BalanceReport,
    balance_listings,
    balance_report,
    balance_words,
)
from fieldbook.reports.render.listings import listing_csv
from fieldbook.season.balance import Balance
from fieldbook.season.items import What
from tests.conftest import count, finish, folded, numbered, strike
from tests.reports.helpers import cells, is_sound
from tests.season.test_balance import changed
from tests.season.woods import histories, spouts, write_off

MONDAY, TUESDAY = "2027-02-08", "2027-02-09"

WORK = (
    count("Ledge/Cliff", "tapping", 43, who="Perrin", day=MONDAY),  # one more than its 42 drops
    count("Ledge/Cedar", "tapping", 57, who="Perrin"),  # of 60
    count("Creek/Spring", "tapping", 35, who="Wim"),
    count("Creek/Ford", "tapping", 119, who="Wim"),  # of 120
    finish("Creek/Ford", "tapping", "no tree at the end\nof the lateral"),
    count("Ledge/Cliff", "pulling", 41),
    finish("Ledge/Cliff", "pulling", "two in a felled tree"),
    count("Creek/Spring", "pulling", 36),  # one more than its 35 taps
    spouts("Wim", "issued", 200, day=MONDAY),
    spouts("Wim", "returned", 30),
    spouts("Wim", "scrapped", 4),
    spouts("Perrin", "issued", 100, day=MONDAY),
)
"""Two days of tapping, and the first spouts pulled again.

    drops   42 + 60 + 120 + 35 = 257; Culvert rests
    taps    43 + 57 + 119 + 35 = 254
    bags    Wim 200 - 35 - 119 - 30 - 4 = 12; Perrin 100 - 43 - 57 = 0
"""


@pytest.fixture
def report() -> BalanceReport:
    return balance_report(folded(*WORK))


def test_the_season_and_its_blocks(report: BalanceReport) -> None:
    """257 = 254 + (3 + 1) - 1, and 254 = 77 + (2 + 57 + 119) - 1."""
    assert report.season == Balance(
        drops=257, taps=254, untapped=4, over=1, pulled=77, in_trees=178, pulled_over=1
    )
    assert [(part.block, part.line) for part in report.blocks] == [("Ledge", ""), ("Creek", "")]
    ledge, creek = (part.count for part in report.blocks)
    assert ledge == Balance(drops=102, taps=100, untapped=3, over=1, pulled=41, in_trees=59)
    assert creek == Balance(drops=155, taps=154, untapped=1, pulled=36, in_trees=119, pulled_over=1)


def test_line_by_line_with_what_was_said_of_it(report: BalanceReport) -> None:
    found = [
        (p.line, p.count.untapped, p.count.over, p.count.in_trees, p.why) for p in report.lines
    ]
    assert found == [
        ("Cliff", 0, 1, 2, "two in a felled tree"),
        ("Cedar", 3, 0, 57, ""),
        ("Ford", 1, 0, 119, "no tree at the end of the lateral"),
        ("Spring", 0, 0, 0, ""),
        ("Culvert", 0, 0, 0, ""),
    ]


def test_bags_of_the_season_and_day_by_day(report: BalanceReport) -> None:
    assert [(b.who, b.issued, b.set, b.returned, b.scrapped, b.off) for b in report.bags] == [
        ("Perrin", 100, 100, 0, 0, 0),
        ("Wim", 200, 154, 30, 4, 12),
    ]
    assert [(b.who, str(b.day), b.issued, b.set, b.off) for b in report.days] == [
        ("Perrin", MONDAY, 100, 43, 57),
        ("Perrin", TUESDAY, 0, 57, -57),
        ("Wim", MONDAY, 200, 0, 200),
        ("Wim", TUESDAY, 0, 154, -188),
    ]


def test_what_was_written_off_stands_beside_what_was_said_at_the_finish() -> None:
    over = About(what=What.SURPLUS, block="Ledge", line="Cliff", task="tapping")
    ledger = folded(*WORK, write_off(over, 1))
    (cliff,) = (p for p in balance_report(ledger).lines if p.line == "Cliff")
    assert cliff.why == "two in a felled tree; as it is"
    assert cliff.count.over == 1  # a reason explains a number, and changes none


def test_a_summary_has_no_lines_and_no_days(report: BalanceReport) -> None:
    brief = balance_report(folded(*WORK), brief=True)
    assert (brief.lines, brief.days) == ((), ())
    assert (brief.season, brief.blocks, brief.bags) == (report.season, report.blocks, report.bags)


def test_what_was_struck_is_in_no_balance() -> None:
    entries = numbered(*WORK, start=100)
    struck = strike(entries[0])
    found = balance_report(folded(*entries, *numbered(struck, start=200)))
    assert found.season.taps == 254 - 43
    assert [bag.off for bag in found.bags] == [43, 12]


# --- in words ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("work", "said"),
    [
        ([], ["Drops 257 = taps 0 + not tapped 257"]),
        (WORK[:1], ["Drops 257 = taps 43 + not tapped 215 - over 1"]),
        (
            WORK,
            [
                "Drops 257 = taps 254 + not tapped 4 - over 1",
                "Spouts issued 300 = in trees 254 + returned 30 + scrapped 4 + in the bags 12",
            ],
        ),
        (
            [spouts("Wim", "issued", 1000), spouts("Wim", "returned", 1001)],
            [
                "Drops 257 = taps 0 + not tapped 257",
                "Spouts issued 1,000 = in trees 0 + returned 1,001 + scrapped 0 + in the bags 0 "
                "- over 1",
            ],
        ),
    ],
)
def test_the_balance_in_a_line_or_two(work: list[AnyEntry], said: list[str]) -> None:
    assert list(balance_words(balance_report(folded(*work), brief=True))) == said


# --- as tables ---------------------------------------------------------------------------------


def test_lines_stand_under_their_block_and_all_of_them_at_the_end(report: BalanceReport) -> None:
    lines, _bags, _days = balance_listings(report)
    assert cells(lines, "block") == [*["Ledge"] * 3, *["Creek"] * 4, "All"]
    assert cells(lines, "line") == ["", "Cliff", "Cedar", "", "Ford", "Spring", "Culvert", ""]
    assert cells(lines, "drops") == [102, 42, 60, 155, 120, 35, 0, 257]
    assert cells(lines, "taps") == [100, 43, 57, 154, 119, 35, 0, 254]
    assert cells(lines, "pulled_over") == [0, 0, 0, 1, 0, 1, 0, 1]
    assert lines.notes == ()


def test_the_tables_open_clean_in_a_spreadsheet(report: BalanceReport) -> None:
    for listing in balance_listings(report):
        is_sound(listing)
    days = list(csv.reader(io.StringIO(listing_csv(balance_listings(report)[2]))))
    assert days[-1] == ["Wim", TUESDAY, "0", "154", "30", "4", "-188"]


def test_a_line_nobody_knows_the_drops_of_is_said() -> None:
    """Planned by its trees, and those are not tallied: as many drops as taps, for the sum."""
    by_trees = [changed(where, taps_planned=None) for where in ("Ledge/Cliff", "Ledge/Cedar")]
    one = balance_report(folded(*WORK, *by_trees[:1]))
    assert balance_listings(one)[0].notes == ("! of 1 line nobody knows how many drops hang",)
    assert one.season.drops == 257 - 42 + 43
    two = balance_report(folded(*WORK, *by_trees))
    assert balance_listings(two)[0].notes == ("! of 2 lines nobody knows how many drops hang",)


def test_bags_say_how_they_add_up_or_how_they_begin(report: BalanceReport) -> None:
    assert balance_listings(report)[1].notes == (
        "issued = in trees + returned + scrapped + off; a surplus is as wrong",
    )
    assert balance_listings(balance_report(folded()))[1].notes == (
        "No spouts were issued to anybody: fieldbook record --spouts 'issued 200'",
    )


@settings(max_examples=40)
@given(histories())
def test_blocks_add_up_to_the_season_and_lines_to_blocks(history: list[AnyEntry]) -> None:
    found = balance_report(folded(*history))
    assert sum((part.count for part in found.blocks), start=Balance()) == found.season
    for block in found.blocks:
        lines = (part.count for part in found.lines if part.block == block.block)
        assert sum(lines, start=Balance()) == block.count
    for bag in found.bags:
        days = [day for day in found.days if day.who == bag.who]
        assert sum(day.off for day in days) == bag.off
        assert adds_up(bag)
        assert all(map(adds_up, days))


def adds_up(bag: BagCount) -> bool:
    return bag.issued == bag.set + bag.returned + bag.scrapped + bag.off
