"""What a season cost, against sums worked by hand from the work of `tests.reports`.

The book's own prices (from memory): an hour 20, a roll 80, a spout 0.35, a tee 0.45, a side tie
0.60, a wire tie 0.05, a bit 15. A roll of 500 ft gives 200 drops of 30 in, a bit drills 2,500
holes, and of the ties a tenth is renewed, with a wire tie for each foot of the 35 between two.

    hours        7.75              155.00
    rolls        122 drops: 1       80.00
    spouts       95                 33.25
    tees         122                54.90
    side ties    2.5: 3              1.80
    wire ties    87.5: 88            4.40
    bits         1                  15.00
                                   344.35
"""

import pytest

from fieldbook.book.book import Book
from fieldbook.book.entry import AnyEntry, Run
from fieldbook.reports.costs import Costs, costs, costs_listing, costs_words
from fieldbook.reports.sap import sap_of
from fieldbook.reports.work import work_report
from fieldbook.season.plan import Plan
from fieldbook.season.season import Season
from tests.conftest import NOW, PLAN, count, stamp
from tests.reports import TUESDAY, on, work
from tests.reports.helpers import cells, is_sound, rules


def of(season: Season) -> Costs:
    return costs(season, work_report(season.ledger), sap_of(season.ledger))


def after(season: Season, *entries: AnyEntry) -> Costs:
    season.record(*entries, really=True)
    return of(season)


@pytest.fixture
def worked(season: Season) -> Season:
    work(season)
    return on(season, TUESDAY)


def test_each_thing_by_its_price_and_all_together(worked: Season) -> None:
    report = of(worked)
    assert [(p.what, p.used, p.price, p.cost) for p in report.parts] == [
        ("hours", 7.75, 20, 155.00),
        ("roll", 1, 80, 80.00),
        ("spout", 95, 0.35, 33.25),
        ("tee", 122, 0.45, 54.90),
        ("side_tie", 3, 0.60, 1.80),
        ("wire_tie", 88, 0.05, 4.40),
        ("bit", 1, 15, 15.00),
    ]
    assert report.cost == 344.35
    assert report.cost_per_tap == pytest.approx(344.35 / 95)
    assert report.timed_share == 0.75


def test_prices_are_rules_of_the_book(season: Season) -> None:
    """40 taps in 2 h: 2 x 31.50 + 40 x 0.50 + 1 bit at 20 are 103.00."""
    report = after(
        season,
        *rules(wage_per_hour=31.5, price_spout=0.5, price_bit=20),
        count("Ledge/Cliff", "tapping", 40, hours=2),
    )
    assert [p.cost for p in report.parts] == [63, 20, 20]
    assert costs_words(report) == ["Cost 103.00, 2.58 a tap"]  # 2.575


def test_cents_are_whole_however_the_floats_fall(season: Season) -> None:
    """5,139 x 0.35 is 1798.6499999999999 in floats."""
    report = after(season, count("Ledge/Cliff", "tapping", 5139))
    assert report.parts[0].cost == 1798.65


def test_syrup_and_sap_have_their_price(season: Season) -> None:
    """344.35 over 10 gal are 34.435 a gallon; 500 gal of sap at 0.50 are worth 250."""
    work(season)
    season.record(Run(sap_gal=500, syrup_gal=10, **stamp()))
    report = of(on(season, TUESDAY))
    assert report.cost_per_syrup_gal == pytest.approx(34.435)
    assert report.sap_worth == 250
    assert costs_words(report) == [
        "Cost 344.35, 3.62 a tap, 34.44 a gallon of syrup",
        "Sap worth 250.00 at the book's price",
    ]


# --- what nobody wrote down --------------------------------------------------------------------


def test_hours_that_nobody_wrote_down_cost_nothing_known_and_not_0(season: Season) -> None:
    report = after(season, count("Ledge/Cliff", "tapping", 40))
    assert [p.what for p in report.parts] == ["spout", "bit"]
    assert report.cost == 29  # 40 x 0.35 + 15
    assert costs_listing(report).notes[0] == (
        "! no hours were written down: what they cost is missing"
    )


def test_some_hours_missing_are_told_beside_the_sum(worked: Season) -> None:
    assert costs_listing(of(worked)).notes[0] == (
        "! only 75 % of the counts say how long they took: other hours are missing"
    )


def test_where_every_count_says_its_hours_nothing_is_missing(season: Season) -> None:
    report = after(season, count("Ledge/Cliff", "tapping", 40, hours=2))
    assert not [note for note in costs_listing(report).notes if note.startswith("!")]


def test_before_any_work_there_is_no_cost(season: Season) -> None:
    report = of(season)
    assert report == Costs((), None, None, None, None, None)
    assert costs_words(report) == ["Nothing that costs money was counted."]
    assert costs_listing(report).rows == ()


def test_without_taps_or_syrup_there_is_no_cost_of_one(season: Season) -> None:
    """42 drops: a roll and 42 tees at 0.45 are 98.90."""
    report = after(
        season, count("Ledge/Cliff", "drops", 42), Run(sap_gal=100, syrup_gal=0, **stamp())
    )
    assert (report.cost, report.cost_per_tap, report.cost_per_syrup_gal) == (98.90, None, None)
    assert costs_words(report)[0] == "Cost 98.90"


def test_a_checklist_without_drops_uses_no_tubing(book: Book) -> None:
    """Buckets: 40 spouts and a bit."""
    season = Season.begin(book, "buckets", by="Oda", now=NOW)
    season.record(*PLAN)
    report = after(season, count("Ledge/Cliff", "tapping", 40))
    assert [p.what for p in report.parts] == ["spout", "bit"]


def test_a_roll_shorter_than_a_drop_is_refused_with_the_range(
    season: Season, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No rule can be written so today; were its limits others, the sum would not be guessed."""
    season.record(*rules(roll_ft=10, drop_length_in=120), count("Ledge/Cliff", "drops", 42))
    assert of(season).parts[0].used == 42  # a roll for each drop
    number = Plan.number
    monkeypatch.setattr(
        Plan, "number", lambda plan, name: 9.9 if name == "roll_ft" else number(plan, name)
    )
    with pytest.raises(
        ValueError, match=r"roll 9.9 ft: out of range, a drop of 120.* in or longer"
    ):
        of(season)


# --- as a table --------------------------------------------------------------------------------


def test_the_last_row_is_the_sum_of_those_above(worked: Season) -> None:
    listing = costs_listing(of(worked))
    is_sound(listing)
    *parts, total = cells(listing, "cost")
    assert sum(float(str(part)) for part in parts) == pytest.approx(float(str(total)))
    assert cells(listing, "what") == [
        *("hours", "rolls of tubing", "spouts", "tees", "side ties", "wire ties", "bits"),
        "together",
    ]
