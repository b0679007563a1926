"""What to buy for what is left to do, and what each block takes."""

import math
from datetime import date

import pytest

from fieldbook.book.book import Book
from fieldbook.book.entry import Block, Line, Supply
from fieldbook.reports.listing import shown
from fieldbook.reports.supplies import (
    BlockNeed,
    Item,
    Supplies,
    item_word,
    supplies_listings,
    supplies_needed,
)
from fieldbook.season.season import Season
from fieldbook.season.settings import ITEMS
from tests.conftest import NOW, aside, count, finish, stamp
from tests.reports.helpers import cells, is_sound, rules


def item(report: Supplies, name: str) -> Item:
    return next(x for x in report.items if x.item == name)


def need(report: Supplies, block: str) -> BlockNeed:
    return next(x for x in report.blocks if x.block == block)


def on_hand(**items: int) -> list[Supply]:
    return [Supply(item=name, on_hand=n, **stamp()) for name, n in items.items()]


def thousand_drops(season: Season) -> None:
    """Drops of 2020 on a line of 838 taps: with the 162 of Quillby Hollow a thousand are due."""
    season.record(
        Line(block="Ledge", line="Gully", taps_planned=838, drops_hung=2020, **stamp()),
        *rules(spare_pct=0, roll_ft=500),
    )


@pytest.mark.parametrize(
    ("length_in", "a_roll", "rolls"),
    [
        (36, 166, 7),  # 3,000 ft are 6 rolls by length, but no drop is pieced together
        (32, 187, 6),
        (30, 200, 5),
    ],
)
def test_whole_rolls_of_whole_drops(
    season: Season, length_in: float, a_roll: int, rolls: int
) -> None:
    thousand_drops(season)
    season.record(*rules(drop_length_in=length_in))
    report = supplies_needed(season)
    assert need(report, "").drops == 1000
    assert report.drops_per_roll == a_roll
    assert item(report, "roll").needed == rolls
    assert need(report, "").tubing_ft == pytest.approx(1000 * length_in / 12)


def test_spare_is_of_drops_before_rolls_are_counted(season: Season) -> None:
    thousand_drops(season)
    season.record(*rules(drop_length_in=30, spare_pct=5))
    report = supplies_needed(season)
    assert (item(report, "roll").needed, item(report, "roll").with_spare) == (5, 6)  # 1,050 / 200
    assert (item(report, "tee").needed, item(report, "tee").with_spare) == (1000, 1050)
    assert item(report, "spout").with_spare == 1095 + 55  # 54.75 rounded up


def test_what_is_on_hand_is_not_bought(season: Season) -> None:
    season.record(*rules(spare_pct=10), *on_hand(tee=100, spout=400, bit=1))
    report = supplies_needed(season)
    tee, spout = item(report, "tee"), item(report, "spout")
    assert (tee.needed, tee.with_spare, tee.on_hand, tee.buy) == (162, 179, 100, 79)  # 178.2
    assert (spout.needed, spout.with_spare, spout.on_hand, spout.buy) == (257, 283, 400, 0)
    assert item(report, "bit").buy == 1  # one is needed, and a spare one


def test_the_last_count_of_the_shed_is_the_one_that_counts(season: Season) -> None:
    season.record(*on_hand(tee=100), *on_hand(tee=10))
    assert item(supplies_needed(season), "tee").on_hand == 10


def test_what_it_costs(season: Season) -> None:
    season.record(*rules(spare_pct=0, price_tee=0.45, price_spout=0.35), *on_hand(tee=60))
    report = supplies_needed(season)
    assert item(report, "tee").cost == pytest.approx(45.90)  # (162 - 60) x 0.45
    assert item(report, "spout").cost == pytest.approx(89.95)  # 257 x 0.35
    assert report.cost == pytest.approx(math.fsum(x.buy * x.price for x in report.items))
    buy, _blocks = supplies_listings(report)
    rows = {str(row[0]): row for row in shown(buy).rows}
    assert rows["tees"][-2:] == ("102", "45.90")
    assert rows["spouts"][-2:] == ("257", "89.95")
    for row in rows.values():
        assert row[-1] == f"{float(row[-1].replace(',', '')):,.2f}"  # each has its cents


def test_what_was_done_since_somebody_counted_is_off_the_shelf(season: Season) -> None:
    counted = [Supply(item=x, on_hand=n, **stamp("2027-02-08")) for x, n in (("spout", 300),)]
    season.record(
        *rules(spare_pct=0),
        *counted,
        count("Ledge/Cliff", "tapping", 12, day="2027-02-08"),  # before the count, or after it?
        count("Ledge/Cliff", "tapping", 20),
        count("Creek/Ford", "tapping", 100),
        count("Creek/Ford", "drops", 7),
    )
    spout, tee = (item(supplies_needed(season), name) for name in ("spout", "tee"))
    assert (spout.counted, spout.counted_on) == (300, date(2027, 2, 8))
    assert (spout.needed, spout.used, spout.on_hand, spout.buy) == (125, 120, 180, 0)
    assert (tee.counted, tee.counted_on, tee.used, tee.on_hand) == (None, None, 0, 0)
    notes = supplies_listings(supplies_needed(season))[0].notes
    assert notes[0].startswith("! On hand is what was counted, less what the work recorded")


def test_no_shelf_holds_less_than_nothing(season: Season) -> None:
    season.record(
        Supply(item="spout", on_hand=10, **stamp("2027-02-08")),
        count("Ledge/Cliff", "tapping", 42),
    )
    spout = item(supplies_needed(season), "spout")
    assert (spout.used, spout.on_hand) == (42, 0)


def test_counted_by_nobody_is_said(season: Season) -> None:
    said = "Nobody counted what is on hand: fieldbook record --on-hand 'spout 4000'."
    assert said in supplies_listings(supplies_needed(season))[0].notes
    season.record(*on_hand(tee=0))  # an empty shed is a count too
    assert said not in supplies_listings(supplies_needed(season))[0].notes


def test_work_uses_up_whole_things(season: Season) -> None:
    counted = ("roll", "tee", "side_tie", "wire_tie", "bit")
    season.record(
        *rules(drop_length_in=36, ties_renewed_pct=10, tie_spacing_ft=35, wire_tie_spacing_ft=1.5),
        *(Supply(item=name, on_hand=500, **stamp("2027-02-08")) for name in counted),
        count("Creek/Ford", "drops", 120),  # 166 drops of 36 in from a roll of 500 ft
        count("Ledge/Cliff", "tensioning", 15),  # 1.5 ties; 15 x 35 / 1.5 = 350 wire ties, 35
        count("Creek/Ford", "tapping", 120),  # of the 2,500 holes of a bit
    )
    report = supplies_needed(season)
    assert {name: item(report, name).used for name in counted} == {
        "roll": 1,
        "tee": 120,
        "side_tie": 2,
        "wire_tie": 35,
        "bit": 1,
    }
    assert item(report, "tee").on_hand == 380


def test_a_crew_on_buckets_buys_no_tubing(book: Book) -> None:
    season = Season.begin(book, "buckets", by="Oda", now=NOW)
    season.record(
        Block(block="Hill", order=1, **stamp()),
        Line(block="Hill", line="Hill", taps_planned=120, **stamp()),
    )
    report = supplies_needed(season)
    assert [x.item for x in report.items] == ["spout", "bit"]
    assert report.cost == pytest.approx(math.fsum(x.cost for x in report.items))


@pytest.mark.parametrize(("holes_a_bit", "bits"), [(2500, 1), (257, 1), (256, 2), (1, 257)])
def test_bits(season: Season, holes_a_bit: int, bits: int) -> None:
    season.record(*rules(holes_per_bit=holes_a_bit))
    assert item(supplies_needed(season), "bit").needed == bits


def test_ties_renewed_in_each_block(season: Season) -> None:
    season.record(*rules(ties_renewed_pct=10, tie_spacing_ft=35, wire_tie_spacing_ft=1.5))
    report = supplies_needed(season)
    # Ledge 40 ties: 4; 40 x 35 ft / 1.5 = 933.3 wire ties, a tenth of them 93.3
    assert (need(report, "Ledge").side_tie, need(report, "Ledge").wire_tie) == (4, 94)
    # Creek 14 ties: 1.4; 326.7 wire ties, 32.7
    assert (need(report, "Creek").side_tie, need(report, "Creek").wire_tie) == (2, 33)


def test_blocks_add_up_to_the_whole(season: Season) -> None:
    season.record(count("Ledge/Cliff", "drops", 12), count("Creek/Ford", "tapping", 33))
    *blocks, whole = supplies_needed(season).blocks
    assert [x.block for x in blocks] == ["Ledge", "Creek"]
    assert whole.block == ""
    for name in BlockNeed.__struct_fields__[1:]:
        assert getattr(whole, name) == pytest.approx(sum(getattr(x, name) for x in blocks))
    assert (whole.drops, whole.tee, whole.spout) == (150, 150, 224)


def test_what_is_set_aside_is_still_to_be_done_and_what_fell_short_is_not(season: Season) -> None:
    season.record(
        count("Creek/Ford", "drops", 80),
        finish("Creek/Ford", "drops", "out of tees"),
        aside("Ledge/Cliff", "drops", "hung-up beech"),
    )
    assert need(supplies_needed(season), "").drops == 42


def test_nothing_left_is_nothing_to_buy(season: Season) -> None:
    season.record(
        *(
            finish(where, task, "enough")
            for where in ("Ledge/Cliff", "Ledge/Cedar", "Creek/Ford", "Creek/Spring")
            for task in ("drops", "tapping", "tensioning")
        ),
        finish("Creek/Culvert", "tensioning", "enough"),
    )
    report = supplies_needed(season)
    assert {(x.needed, x.with_spare, x.buy, x.cost) for x in report.items} == {(0, 0, 0, 0)}
    assert report.cost == 0


def test_two_tables(season: Season) -> None:
    buy, blocks = supplies_listings(supplies_needed(season))
    is_sound(buy)
    is_sound(blocks)
    assert (buy.name, blocks.name) == ("buy", "blocks")
    assert cells(buy, "item") == [*map(item_word, ITEMS), "together"]
    assert cells(buy, "cost")[-1] == pytest.approx(
        sum(map(float, map(str, cells(buy, "cost")[:-1])))
    )
    assert cells(blocks, "block") == ["Ledge", "Creek", "together"]
    assert any("follow the label and local rules" in note for note in buy.notes)
