"""Where the numbers of the season in full come from: each is worked out again from what is said."""

from datetime import date

import pytest

from fieldbook.book.entry import Run
from fieldbook.reports.full import full_summary
from fieldbook.reports.full_whence import part_whence
from fieldbook.season.season import Season
from tests.conftest import count, stamp

TUESDAY = date(2027, 2, 9)


def told(season: Season, part: str) -> dict[str, tuple[str, ...]]:
    return dict(part_whence(season, full_summary(season, TUESDAY), part))


def test_minutes_a_tap_are_the_hours_over_the_taps(season: Season) -> None:
    """2 h x 60 / 40 taps are 3 minutes; 40 taps in 2 h are 20 an hour. Huyler 2000: 4.74."""
    season.record(count("Ledge/Cliff", "tapping", 40, hours=2.0))
    page = told(season, "work")
    assert page["3.00 minutes a tap"][0] == "2 h x 60 / 40 taps in"
    assert "4.74 minutes a tap" in page["3.00 minutes a tap"][2]
    assert page["Tapping: 20.0 taps an hour"][0].startswith("40 in 2 h")


def test_without_hours_nothing_is_said_of_them(season: Season) -> None:
    season.record(count("Ledge/Cliff", "tapping", 40))
    assert told(season, "work") == {}


def test_each_cost_names_its_rule(season: Season) -> None:
    """40 spouts at 0.35 are 14.00."""
    season.record(count("Ledge/Cliff", "tapping", 40))
    page = told(season, "costs")
    assert page["40 spouts x 0.35 = 14.00"] == (
        "worked out from the taps done this season",
        "price_spout: from memory: put in what is true of your woods",
    )


def test_the_sap_names_the_rule_of_86_and_the_revised_one(season: Season) -> None:
    """86 gal of 2 Brix: 2 gal by the plain rule; 86 / (87.1 / 2 - 0.32) = 1.99 by the revised."""
    season.record(Run(sap_gal=86, brix=2, **stamp()))
    page = told(season, "sap")
    assert page["2.0 gal of syrup expected"][1:] == (
        "revised rule of 86 (Perkins & Isselhardt); its -0.32 from memory",
        "2.0 gal by the plain one: rule of 86 (Jones, UVM)",
    )
    assert page["100 % of the sap in the best fifth of the days"] == (
        "1 of 1 days measured: a fifth, rounded up to whole days",
    )


def test_how_old_drops_are_names_the_cycle(season: Season) -> None:
    page = told(season, "spouts")
    assert page["How old the drops are now"][-1].startswith("due at 3 years: ")


@pytest.mark.parametrize("part", ["vacuum", "history", "totals"])
def test_parts_that_have_a_page_of_their_own_say_nothing_here(season: Season, part: str) -> None:
    assert told(season, part) == {}
