"""What the gauges cost and which lines to walk, as a report: by hand, with the numbers beside.

Ledge has Cliff (40 taps in, 700 ft) and Cedar (60 taps in, 213.36 m, which is 700 ft). A week of it
on a book is played in `scenarios/test_leak_rounds`.
"""

import json
from datetime import date, timedelta
from typing import Any

import pytest

from fieldbook.book.entry import AnyEntry, Run, Setting
from fieldbook.reports.leak_lines import LineLeaks
from fieldbook.reports.leaks import CAUTIONS, Leaks, leaks
from fieldbook.reports.leaks_tables import leaks_listings, shown_listings
from fieldbook.reports.leaks_words import (
    brief_said,
    file_name,
    outset,
    stop_said,
    strip,
    uncertainty,
    worst_said,
)
from fieldbook.reports.render.curves import vacuum_curve
from fieldbook.reports.render.json import to_json
from fieldbook.reports.render.listings import listing_csv, listings_text
from fieldbook.season.season import Season
from tests.conftest import count, stamp
from tests.reports.helpers import is_sound
from tests.season.gauges import at, leak_at, listened, mended, read
from tests.season.woods import valve

DAY = date(2027, 2, 9)
TAPPED = (
    count("Ledge/Cliff", "tapping", 40, day="2027-02-01"),
    count("Ledge/Cedar", "tapping", 60, day="2027-02-01"),
)
MORNING = read("09 07:00 pump 25.5\n09 09:00 Ledge/Cliff 22\n09 10:00 Ledge/Cedar 24.5")
"""Cliff hangs 3.5 under the pump, Cedar 1.0."""


def told(season: Season, *work: AnyEntry, **options: Any) -> Leaks:
    season.record(*TAPPED, *work, really=True)
    return leaks(season, DAY, **options)


def line(report: Leaks, name: str) -> LineLeaks:
    (found,) = (line for line in report.lines if line.line == name)
    return found


def rule(name: str, value: float) -> Setting:
    return Setting(setting=name, value=value, **stamp())


# --- what it costs -----------------------------------------------------------------------------


def test_what_each_line_loses_and_all_together(season: Season) -> None:
    """Cliff 40 x 0.5 gal x 5 % x 3.5 = 3.5 gal (4 to 7 %: 2.8 to 4.9); Cedar 60 x 0.5 x 5 % = 1.5.

    The gain and its range: Wilmot, UVM; Centre ACER 2015. Sap for a gallon of syrup at 2 Brix:
    87.1 / 2 - 0.32 (Perkins & Isselhardt). Half a dollar a gallon, from memory.
    """
    report = told(season, *MORNING)
    cliff, cedar = line(report, "Cliff"), line(report, "Cedar")
    assert cliff.loss is not None
    assert cedar.loss is not None
    assert (cliff.lost_inhg, cedar.lost_inhg) == (3.5, 1.0)
    assert (cliff.loss.sap_gal, cliff.loss.low_gal, cliff.loss.high_gal) == pytest.approx(
        (3.5, 2.8, 4.9)
    )
    assert cliff.loss.syrup_gal == pytest.approx(3.5 / 43.23)
    assert cliff.loss.money == pytest.approx(1.75)
    assert report.total.loss.sap_gal == pytest.approx(5.0)
    assert [x.line for x in report.lines] == ["Cliff", "Cedar"]
    assert (report.total.read, report.total.within, report.total.share_within) == (2, 1, 0.5)


def test_the_sap_of_the_day_as_things_stand(season: Season) -> None:
    """A tap gives 0.5 gal without vacuum and 5 % more an inch: 100 x 0.5 x (1 + 25.5 x 5 %)."""
    report = told(season, *MORNING)
    assert report.sap_full_gal == pytest.approx(100 * 0.5 * 2.275)
    assert report.sap_now_gal == pytest.approx(report.sap_full_gal - 5.0)


def test_against_the_ceiling_all_that_could_be_is_lost(season: Season) -> None:
    # The ceiling at sea level, 29.921 inHg: US Standard Atmosphere 1976
    report = told(season, *MORNING, below="ceiling")
    assert line(report, "Cliff").lost_inhg == pytest.approx(29.921 - 22)
    # A walk wins back what is lost to the pump, whatever the lines are told against.
    assert [leg.loses_gal_day for leg in report.walk.legs] == pytest.approx([3.5])
    assert report.sap_now_gal == pytest.approx(100 * 0.5 * 2.275 - 5.0)


def test_a_shut_valve_is_out_of_the_count_and_loses_all(season: Season) -> None:
    shut = valve("Ledge/Cedar", "shut", "splice", day="2027-02-08")
    report = told(season, *MORNING, shut)
    assert (report.total.taps, report.total.under_vacuum) == (100, 40)
    assert (report.total.read, report.total.within) == (1, 0)
    cedar = line(report, "Cedar")
    assert cedar.loss is not None
    assert cedar.loss.sap_gal == pytest.approx(60 * 0.5 * 2.25)  # at the pump's 25, by the book
    assert report.sap_now_gal == pytest.approx(40 * 0.5 * 2.275 - 3.5)


def test_a_gauge_that_is_off_is_not_known_and_not_nothing(season: Season) -> None:
    report = told(season, *read("09 07:00 pump 25.5\n09 09:00 Ledge/Cliff 26.5"))
    cliff = json.loads(to_json(line(report, "Cliff")))
    assert (cliff["vacuum_inhg"], cliff["lost_inhg"], cliff["loss"]) == (26.5, None, None)
    assert (report.total.read, report.total.share_within) == (0, None)
    assert "! far end" not in strip(report, report.blocks[0], 80)


def test_the_season_s_own_sweetness(season: Season) -> None:
    run = Run(sap_gal=100, brix=3.0, **stamp("2027-02-08"))
    report = told(season, *MORNING, run)
    assert report.brix == 3.0
    assert report.total.loss.syrup_gal == pytest.approx(5.0 / (87.1 / 3 - 0.32))


def test_uncertainty_in_words(season: Season) -> None:
    report = told(season, *MORNING)
    said = uncertainty(report)
    assert "Range: by 4 to 7 % an inHg, as published; reckoned with 5." in said
    assert "(0.5 gal) is taken as what it gives without vacuum" in said
    assert "all figures are 2.2 times less: fieldbook setting sap_at_inhg 25." in said  # 2.25
    season.record(rule("sap_at_inhg", 20))
    later = leaks(season, DAY)
    assert "(0.5 gal) is what it gives under 20 inHg" in uncertainty(later)
    assert later.total.loss.sap_gal == pytest.approx(2.5)


# --- what was found ----------------------------------------------------------------------------


def test_leaks_for_a_thousand_taps_and_for_an_hour(season: Season) -> None:
    """Three leaks on 100 taps, in an hour and a half of listening; one was mended."""
    hours = [
        count("Ledge/Cliff", "leaks", 1, hours=1.0),
        count("Ledge/Cedar", "leaks", 1, hours=0.5),
    ]
    found = [leak_at(f"09 1{n}:00", "Ledge/Cliff", "chewed") for n in range(3)]
    first, *_others = season.record(*found)
    report = told(season, *MORNING, *hours, mended("09 15:00", first.id))
    assert (report.found, report.open, report.per_1000_taps, report.per_hour) == (3, 2, 30, 2)


def test_when_the_spouts_are_pulled_nothing_hangs_on_the_pump(season: Season) -> None:
    """Of Cliff's 40 taps 30 are pulled: 10 are left; the leak was found on 100."""
    pulled = count("Ledge/Cliff", "pulling", 30)
    report = told(season, *MORNING, pulled, leak_at("08 09:00", "Ledge/Cliff"))
    cliff = line(report, "Cliff")
    assert cliff.loss is not None
    assert (cliff.taps, report.total.taps, report.per_1000_taps) == (10, 70, 10)
    assert cliff.loss.sap_gal == pytest.approx(10 * 0.5 * 0.05 * 3.5)


def test_without_taps_or_hours_nobody_knows(season: Season) -> None:
    season.record(leak_at("09 10:00", "Ledge/Cliff"))
    report = leaks(season, DAY)
    assert (report.found, report.per_1000_taps, report.per_hour) == (1, None, None)


def test_where_leaks_came_again(season: Season) -> None:
    report = told(
        season,
        leak_at("08 10:00", "Ledge/Cliff", "chewed", lateral="3", cause="chewed"),
        leak_at("09 10:00", "Ledge/Cliff", "tee", lateral="3", cause="fitting"),
        leak_at("09 11:00", "Ledge/Cedar", "tee", lateral="1", cause="fitting"),
    )
    assert [(x.by, x.line, x.what, x.leaks, x.this_season) for x in report.offenders] == [
        ("line", "Cliff", "", 2, 2),
        ("lateral", "Cliff", "3", 2, 2),
        ("cause", "", "fitting", 2, 2),
        ("cause", "", "chewed", 1, 1),
    ]


def test_one_block_alone(season: Season) -> None:
    season.record(count("Creek/Spring", "tapping", 35, day="2027-02-01"))
    report = told(season, *MORNING, leak_at("09 10:00", "Creek/Spring"), block="Creek")
    assert [x.line for x in report.lines] == ["Spring"]
    assert (report.total.taps, report.found) == (35, 1)
    assert [x.block for x in report.blocks] == ["Creek"]


# --- the walk ----------------------------------------------------------------------------------


def test_the_walk_stops_where_it_costs_more_than_it_brings(season: Season) -> None:
    """Each is 700 ft; by the book's rate that is 700 / (500 x 1760/137) = 0.109 h, or 2.18 at 20.00
    an hour. In two days Cliff's 3.5 gal are worth 3.50, Cedar's 1.65 gal 1.65."""
    notes = "09 07:00 pump 25.5\n09 09:00 Ledge/Cliff 22\n09 10:00 Ledge/Cedar 24.4"
    week = told(season, *read(notes), hours=4).walk
    assert [leg.line for leg in week.legs] == ["Cliff", "Cedar"]  # 7 days by default
    assert week.legs[1].done_after == pytest.approx(2 * 700 / (500 * 1760 / 137))
    season.record(rule("leak_days", 2))
    walk = leaks(season, DAY, hours=4).walk
    assert [leg.line for leg in walk.legs] == ["Cliff"]
    assert [leg.line for leg in walk.rest] == ["Cedar"]
    assert walk.rest_loss_gal_day == pytest.approx(1.65)
    assert stop_said(walk) == (
        "Stop here: the 1 line left loses 1.65 of sap (in 2 days at 0.50 a gallon; an hour costs "
        "20.00); walking it takes 0.1 h and costs 2.18."
    )


def test_hours_too_short_for_both(season: Season) -> None:
    notes = "09 07:00 pump 25.5\n09 09:00 Ledge/Cliff 20\n09 10:00 Ledge/Cedar 20"
    season.record(rule("leak_days", 30))
    report = told(season, *read(notes), hours=0.2)
    assert [leg.line for leg in report.walk.legs] == ["Cedar"]  # 60 taps on as many feet
    assert [leg.line for leg in report.walk.later] == ["Cliff"]
    two = leaks(season, DAY, hours=0.2, people=2).walk
    assert [(leg.person, leg.stop, leg.line) for leg in two.legs] == [
        (1, 1, "Cedar"),
        (2, 1, "Cliff"),
    ]


def test_a_line_that_is_good_is_not_walked(season: Season) -> None:
    walk = told(season, *read("09 07:00 pump 25\n09 09:00 Ledge/Cliff 24")).walk
    assert (walk.legs, walk.later, walk.rest) == ((), (), ())


def test_a_cut_main_that_nobody_read_is_walked_by_what_it_was_said_to_cost(season: Season) -> None:
    """40 x 0.5 gal x 5 % x 20 inHg = 20 gal; what the gauge reads goes before that."""
    cut = leak_at("09 08:00", "Ledge/Cliff", "main cut", cause="main cut", lost_inhg=20)
    report = told(season, cut, *read("09 07:00 pump 25"))
    (leg,) = report.walk.legs
    assert leg.line == "Cliff"
    assert leg.loses_gal_day == pytest.approx(20.0)
    assert "leak: main cut, 20 inHg lost" in leg.says
    assert line(report, "Cliff").loss is None  # no gauge says so
    season.record(*read("09 09:00 Ledge/Cliff 23"))
    (leg,) = leaks(season, DAY).walk.legs
    assert leg.loses_gal_day == pytest.approx(2.0)


@pytest.mark.parametrize(
    "work",
    [
        (leak_at("09 08:00", "Ledge/Cliff", "tree down on the main", cause="tree down"),),
        (listened("09 08:00", "Ledge/Cliff", heard=True),),
        (leak_at("09 08:00", "Ledge/Cliff"), *read("09 07:00 pump 24\n09 09:00 Ledge/Cliff 25")),
    ],
)
def test_a_line_that_leaks_and_nobody_knows_how_much_is_named_before_all(
    season: Season, work: tuple[AnyEntry, ...]
) -> None:
    report = told(season, *work)
    assert [leg.line for leg in report.walk.unknown] == ["Cliff"]
    assert (report.walk.legs, report.walk.later, report.walk.rest) == ((), (), ())
    said = "! Ledge / 1 Cliff leaks, and nobody read how much:"
    assert said in " ".join(listings_text("", shown_listings(report)).split())


def test_a_line_that_leaks_is_walked_though_it_is_within_the_aim(season: Season) -> None:
    report = told(
        season,
        leak_at("09 08:00", "Ledge/Cliff", "third lateral, chewed"),
        *read("09 07:00 pump 25\n09 09:00 Ledge/Cliff 24.5"),
    )
    assert [leg.line for leg in (*report.walk.legs, *report.walk.rest)] == ["Cliff"]


# --- in words, tables and files ----------------------------------------------------------------


def test_the_head_says_the_pump_the_aim_and_the_loss(season: Season) -> None:
    said = " ".join(" ".join(outset(told(season, *MORNING))).split())
    assert "Pump 25.5 inHg (Wim, Tue 9 Feb 07:00); the ceiling at 0 ft is 29.9 inHg." in said
    assert "1 of 2 lines read are within 1.0 inHg of the pump (50 %)" in said
    assert "100 of 100 taps are under vacuum." in said
    assert "Lost in a day when sap runs: about 5 (4-7) gal of sap, 0.1 gal of syrup, 2.50." in said
    assert "as things stand: about 109 gal, of 114" in said


def test_a_pump_that_is_low_is_looked_at_first(season: Season) -> None:
    report = told(season, *read("09 07:00 pump 20\n09 09:00 Ledge/Cliff 19.5"))
    assert report.pumps[0].under_book_inhg == 5
    assert report.pumps[0].under_ceiling_inhg == pytest.approx(29.921 - 20)
    assert any("look at the pump before the lines" in said for said in outset(report, width=200))
    assert any(
        said.startswith("! 5.0 inHg under what the book asks") for said in brief_said(report, "us")
    )


def test_the_pump_of_all_goes_before_a_block_s_and_of_its_gauges_the_newest(season: Season) -> None:
    notes = "09 06:30 pump 25.0\n09 07:00 pump releaser 25.4\n09 08:00 Creek pump 24"
    report = told(season, *read(notes))
    assert [(pump.block, pump.place) for pump in report.pumps] == [
        ("", "pump"),
        ("", "releaser"),
        ("Creek", "pump"),
    ]
    assert report.pump is not None
    assert (report.pump.place, report.pump.vacuum_inhg) == ("releaser", 25.4)
    assert next(brief_said(report, "us")).startswith("Releaser 25.4 inHg (Tue 9 Feb 07:00)")
    report = leaks(season, DAY - timedelta(days=1))
    assert (report.pumps, report.pump) == ((), None)


def test_lines_read_while_nobody_read_the_pump_are_told_by_the_book_and_that_is_said(
    season: Season,
) -> None:
    """Monday's 25.5 is no reading of Tuesday: Cliff hangs 3.0 under the book's 25."""
    report = told(season, *read("08 07:00 pump 25.5\n09 09:00 Ledge/Cliff 22"))
    assert (line(report, "Cliff").lost_inhg, line(report, "Cliff").pump_read) == (3.0, False)
    said = "! Nobody read the pump on the day of 1 line: told against 25.0 inHg, as the book says."
    assert said in outset(report, width=200)
    season.record(*read("09 07:30 pump 25.5"))
    assert said not in outset(leaks(season, DAY), width=200)


def test_where_nobody_ever_read_the_pump_that_is_said_once(season: Season) -> None:
    said = outset(told(season, *read("09 09:00 Ledge/Cliff 22")), width=200)
    assert [row for row in said if "Nobody read the pump" in row] == [
        "Nobody read the pump: taken as 25.0 inHg, as the book says; the ceiling at 0 ft is "
        "29.9 inHg."
    ]


def test_what_lines_are_told_against_is_said(season: Season) -> None:
    season.record(*TAPPED, *MORNING)
    said = outset(leaks(season, DAY, below="ceiling"), width=200)
    # 29.921 - 22 and 29.921 - 24.5 inHg: 7.9 x 40 x 0.025 + 5.4 x 60 x 0.025 = 16.1 gal
    assert (
        "0 of 2 lines read are within 1.0 inHg of the ceiling (0 %); 2 lines have taps in." in said
    )
    (lost,) = (row for row in said if row.startswith("Lost"))
    assert lost.startswith("Lost in a day when sap runs, against the ceiling: about 16 (13-22) gal")


def test_a_block_that_hangs_alike_is_named(season: Season) -> None:
    taps = [count(f"Creek/{name}", "tapping", 9) for name in ("Ford", "Spring")]
    notes = "09 07:00 pump 25\n" + "".join(
        f"09 08:00 Creek/{name} 22\n" for name in ("Ford", "Spring", "Culvert")
    )
    report = told(season, *taps, *read(notes))
    said = outset(report, width=200)
    assert "! All of Creek hangs alike: look between the pump and the block first." in said


def test_the_table_of_lines_for_people_and_for_a_file(season: Season) -> None:
    report = told(season, *MORNING)
    text = listings_text("", shown_listings(report))
    row = next(row for row in text.splitlines() if row.startswith("  Cliff"))
    assert row.split() == ["Cliff", "40", "22", "3.5", "4", "3-5", "2", "9", "Feb", "low"]
    assert max(map(len, text.splitlines())) <= 80
    (table,) = [x for x in leaks_listings(report) if x.name == "lines"]
    rows = listing_csv(table).splitlines()
    assert "Ledge,Cliff,1,40,40,22,3.5,74.5,11.9,25.5,1,3.5,2.8,4.9,0.08,1.75" in rows[2]


def test_metric_readers_see_kilopascals(season: Season) -> None:
    report = told(season, *MORNING, units="metric")
    text = listings_text("", shown_listings(report, "metric"), first=outset(report, "metric"))
    assert "Pump 86 kPa" in text
    row = next(row for row in text.splitlines() if row.startswith("  Cliff"))
    assert row.split()[:4] == ["Cliff", "40", "74.5", "11.9"]
    assert line(report, "Cliff").says == ("hangs 12 under the pump (86)",)


def test_lines_nobody_read_are_counted_and_not_listed(season: Season) -> None:
    report = told(season, *read("09 07:00 pump 25\n09 09:00 Ledge/Cliff 24"))
    text = " ".join(listings_text("", shown_listings(report)).split())
    assert "Lines that nobody has read: Ledge 1." in text
    assert "Cedar" not in text


def test_the_cautions_are_always_there(season: Season) -> None:
    text = " ".join(listings_text("", shown_listings(told(season, *MORNING))).split())
    for caution in CAUTIONS:
        assert caution in text
    assert "Local codes, product labels and trained practice come first." in text


@pytest.mark.parametrize("notes", ["", "09 07:00 pump 25\n09 09:00 Ledge/Cliff 24"])
def test_the_cautions_are_there_where_there_is_nothing_to_walk_for(
    season: Season, notes: str
) -> None:
    text = " ".join(listings_text("", shown_listings(told(season, *read(notes)))).split())
    assert "No line that was read calls for a walk." in text
    assert "Order:" not in text
    for caution in CAUTIONS:
        assert caution in text


def test_the_pace_is_the_book_s_until_hours_are_written_down(season: Season) -> None:
    """137 taps hang on 1,760 ft, the book's 500 taps an hour are 6,423 ft; Cliff's 700 ft in an
    hour count beside as many hours of the book's rate as it says: here 2."""
    season.record(rule("rate_prior_hours", 2))
    report = told(season, *MORNING)
    assert "Order: 6,423 ft an hour, by the book's rate; most sap" in walk_text(report)
    season.record(count("Ledge/Cliff", "leaks", 1, hours=1))
    said = walk_text(leaks(season, DAY))
    assert (
        "Order: 4,516 ft an hour, from 1 h of this crew's record and the book's rate" in said
    )  # 13,547 / 3
    assert said.startswith("Which to walk: 1 person, 6 h, the least sap lost meanwhile")


def walk_text(report: Leaks) -> str:
    (walk,) = (x for x in shown_listings(report) if x.name == "walk")
    return " ".join(listings_text("", [walk]).split())


def test_every_table_is_sound(season: Season) -> None:
    report = told(season, *MORNING, leak_at("09 10:00", "Ledge/Cliff", cause="chewed"))
    for table in leaks_listings(report):
        is_sound(table)


def test_the_worst_in_a_line_each(season: Season) -> None:
    report = told(season, *MORNING)
    assert list(worst_said(report)) == [
        "Ledge / Cliff: 4 (3-5) gal a day",
        "Ledge / Cedar: 2 (1-2) gal a day",
    ]
    assert list(worst_said(report, 1)) == ["Ledge / Cliff: 4 (3-5) gal a day"]
    said = strip(report, report.blocks[0], 80)
    assert said == "Ledge  1 of 2 within 1.0, loses 5 gal   Cliff 3.5, Cedar 1.0"
    assert strip(report, report.blocks[0], 20) == "Ledge  1 of 2 withi~"


def test_vacuum_by_day_as_a_curve(season: Season) -> None:
    days = "".join(
        f"0{n} 07:00 pump 25\n0{n} 09:00 Ledge/Cliff {25 - n / 2}\n" for n in range(4, 10)
    )
    drawn = vacuum_curve(line(told(season, *read(days)), "Cliff"), width=40, height=5, units="us")
    assert drawn[0].startswith("25.0 |---")
    assert drawn[4].startswith("20.5 |")
    assert drawn[4].endswith("o")
    assert "- pump   o line" in drawn[-1]
    assert vacuum_curve(line(leaks(season, DAY), "Cedar"), width=40, height=5, units="us") == []


def test_the_file_s_name_is_its_day(season: Season) -> None:
    report = leaks(season, DAY)
    assert (file_name(report), file_name(report, 2)) == (
        "leaks-2027-02-09.pdf",
        "leaks-2027-02-09-2.pdf",
    )


# --- did it hold -------------------------------------------------------------------------------


def test_what_became_of_mending_is_said(season: Season) -> None:
    (found,) = season.record(leak_at("08 08:00", "Ledge/Cliff", "tee"))
    work = read("""
        08 07:00 pump 25.5
        08 08:30 Ledge/Cliff 22
        08 14:00 Ledge/Cliff 24.8
        09 07:00 pump 25.5
        09 09:00 Ledge/Cliff 24.6
    """)
    report = told(season, mended("08 12:00", found.id), *work)
    (mend,) = report.mends
    assert mend.says == "came back: before 22.0, after 24.8, now 24.6, pump 25.5"
    assert (mend.before_inhg, mend.after_inhg, mend.now_inhg) == (22, 24.8, 24.6)
    assert (mend.found, mend.mended, mend.who) == (date(2027, 2, 8), date(2027, 2, 8), "Perrin")


def test_air_that_was_heard_is_walked_for(season: Season) -> None:
    heard = listened("09 10:00", "Ledge/Cliff", heard=True)
    report = told(season, heard, *read("09 07:00 pump 25\n09 09:00 Ledge/Cliff 24.5"))
    assert [leg.line for leg in (*report.walk.legs, *report.walk.rest)] == ["Cliff"]
    assert at("09 10:00")["at"] == heard.at
