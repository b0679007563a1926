"""Where the numbers of the Vacuum screen come from: readings by their ids, rules, and the sum.

Gain for an inch of mercury: Wilmot, UVM; Centre ACER 2015. Half a gallon a tap, from memory.
"""

from datetime import date

from fieldbook.reports.leaks import leaks
from fieldbook.reports.vacuum_whence import RULES, vacuum_whence
from fieldbook.season.season import Season
from fieldbook.season.vacuum import Gauges
from tests.conftest import count
from tests.reports.helpers import rules
from tests.season.gauges import TAPPED, read
from tests.season.woods import valve

DAY = date(2027, 2, 9)
LOSES = "What it loses in a day when sap runs"
SOURCE = "source: about 5 % more sap for each inHg, 4-7 %, linear (Wilmot, UVM; Centre ACER 2015)"


def told(season: Season, line: str = "Cliff", units: str = "us") -> dict[str, tuple[str, ...]]:
    """The page, with the cursor on a line of Ledge; on none if it has no name."""
    report, block = leaks(season, DAY, units=units), "Ledge" if line else ""
    return dict(vacuum_whence(season, report, Gauges(season.ledger), block, line, units))


def test_the_readings_of_a_line_and_the_pump_s_by_their_ids(season: Season) -> None:
    pump, head, far, _cedar = season.record(
        *TAPPED,
        *read(
            """
            08 07:00 pump 25.5
            08 09:00 Ledge/Cliff head 25, far 22
            08 09:30 Ledge/Cedar 24.5
            """
        ),
    )[2:]
    assert told(season)["Ledge / Cliff"] == (
        f"{head.id}, Oda, Mon 8 Feb 2027: head 25.0 inHg, 0.5 under the pump (25.5)",
        f"{far.id}, Oda, Mon 8 Feb 2027: far end 22.0 inHg, 3.5 under the pump (25.5)",
        f"{pump.id}, Oda, Mon 8 Feb 2027: pump 25.5 inHg",
    )


def test_of_the_readings_before_the_five_newest_of_the_gauge_that_tells(season: Season) -> None:
    """Eight days at the far end, and one at the head that tells nothing of the far end."""
    season.record(*TAPPED, *read("05 12:00 Ledge/Cliff head 3"))
    season.record(*read("\n".join(f"0{day} 09:00 Ledge/Cliff {day + 15}" for day in range(1, 9))))
    newest, pump, *before = told(season)["Ledge / Cliff"]
    assert newest.endswith("far end 23.0 inHg, 2.0 under what the book says the pump holds (25.0)")
    assert pump == "pump not read: 25.0 inHg by the book"
    assert [row.split("far end ")[1].split(" under")[0] for row in before] == [
        "22.0 inHg, 3.0",
        "21.0 inHg, 4.0",
        "20.0 inHg, 5.0",
        "19.0 inHg, 6.0",
        "18.0 inHg, 7.0",
    ]


def test_the_sum_with_the_numbers_of_the_line_in(season: Season) -> None:
    """40 x 0.5 x 0.05 x 3.5 = 3.5 gal; 3.5 inHg x 3.386 = 11.9 kPa."""
    season.record(*TAPPED, *read("08 07:00 pump 25.5\n08 09:00 Ledge/Cliff 22"))
    assert told(season)[LOSES] == ("40 taps x 0.5 gal x 5 % x 3.5 inHg = 3.5 gal", SOURCE)
    assert told(season, units="metric")[LOSES] == (
        "40 taps x 0.5 gal x 5 % x 3.5 inHg (12 kPa) = 3.5 gal",
        SOURCE,
    )


def test_a_crew_that_measured_its_sap_under_vacuum(season: Season) -> None:
    """What a tap gives under 20 inHg is twice what it gives under none: 3.5 / 2 = 1.75 gal."""
    season.record(*rules(sap_at_inhg=20.0), *TAPPED)
    season.record(*read("08 07:00 pump 25.5\n08 09:00 Ledge/Cliff 22"))
    (said, _source) = told(season)[LOSES]
    assert said == "40 taps x 0.5 gal / (1 + 5 % x 20) x 5 % x 3.5 inHg = 1.8 gal"


def test_a_shut_valve_loses_all_of_it(season: Season) -> None:
    """40 x 0.5 x (1 + 0.05 x 25) = 45 gal."""
    season.record(*TAPPED, *read("08 07:00 pump 25.5\n08 09:00 Ledge/Cliff 22"))
    (shut,) = season.record(valve("Ledge/Cliff", "shut", "main cut"))
    assert told(season)[LOSES] == (
        "The valve is shut: it loses all its sap at the pump's vacuum, by the book.",
        "40 taps x 0.5 gal x (1 + 5 % x 25) = 45.0 gal",
        f"shut by {shut.id}, Oda, Tue 9 Feb 2027",
        SOURCE,
    )


def test_what_is_not_known_is_said(season: Season) -> None:
    season.record(*TAPPED)
    page = told(season)
    assert page["Ledge / Cliff"] == ("nobody has read it yet",)
    assert page[LOSES][0] == "Nobody has read it: what it loses is not known."
    season.record(*read("08 07:00 pump 25\n08 09:00 Ledge/Cliff 26"))  # 1.0 over the pump
    assert told(season)[LOSES][0].startswith("Its gauge reads more than the pump's")


def test_every_rule_stands_there_with_its_source_or_who_changed_it(season: Season) -> None:
    (changed,) = season.record(*rules(leak_days=2.0))
    said = told(season)["The rules"]
    assert [row.split(" = ")[0] for row in said[::2]] == list(RULES)
    assert said[-2:] == (
        "leak_days = 2.0",
        f"  the crew's own ({changed.id}, Oda, Tue 9 Feb 2027); by default 7: "
        "from memory: put in what is true of your woods",
    )


def test_the_pace_says_how_many_hours_of_record_it_is_from(season: Season) -> None:
    """Cliff's 700 ft in an hour, beside the book's rate: see `test_leaks` for the sum."""
    season.record(*rules(rate_prior_hours=2), *TAPPED)
    assert told(season)["The way"][0] == "6,423 ft an hour, by the book's rate"
    season.record(count("Ledge/Cliff", "leaks", 1, hours=1))
    pace, _rate, source = told(season)["The way"]
    assert pace == "4,516 ft an hour, from 1 h of record and the book's rate"
    assert "Smith 1956" in source


def test_without_a_line_the_page_begins_with_what_holds_for_all(season: Season) -> None:
    season.record(*TAPPED)
    assert list(told(season, "")) == [
        "The rules",
        "The way",
        "What readings point at",
        "How sure that is",
    ]
