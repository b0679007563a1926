"""Every sum of the trade, asked for as on the command line.

Beside each number stands its source. What the sums themselves hold is tested in tests/trade; here
it is that each is asked, explained and refused as it should be.
"""

import json
import shlex
from itertools import permutations
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldbook.errors import BookError, Exit
from fieldbook.reports.reckon import SUMS, ask, find, parser, sums_text, told, told_text
from fieldbook.reports.reckon.asking import Reckoning, options
from fieldbook.reports.reckon.sums import plain
from fieldbook.reports.render.json import to_json
from fieldbook.season.settings import BY_NAME
from fieldbook.trade import sources, zone
from fieldbook.trade.wire import CAUTION

EXAMPLES = {
    "taps": ["--girth-in 38", "--dbh-in 12", "--dbh-cm 30.5", "--dbh-in 14 --rule own"],
    "allowance": ["--trees '12:40 14:31 30cm:12 38g:4' --rule ontario"],
    "plot": ["--taps 3 5 4", "--taps 3 5 4 --plot-acres 0.1 --acres 12"],
    "gauge": ["--points '12 14.5, 18, -' --rule conservative --baf 10"],
    "zone": ["--dbh-in 18 --taps 2", "--dbh-in 10 --taps 2 --bai-in2 1.4", "--dbh-in 9 --taps 0"],
    "drops": ["--hung 2024 --season-year 2027", "--season-year 2027 --drop-cycle-years 4"],
    "gain": ["--yield-old-gal 15 --yield-new-gal 16.875 --cost-per-tap 0.35"],
    "cycle": ["--drop-cost 1.5", "--drop-cost 9 --loss-pct-by-age 0,5"],
    "rolls": ["--drops 1000 --length-in 36", "--drops 1000 --length-in 30 --roll-ft 400"],
    "bits": ["--holes 11960"],
    "flow": ["--diameter-in 1 --slope-pct 2", "--diameter-in 1 --slope-pct 2 --layout pair"],
    "air": ["--diameter-in 1 --length-ft 1000", "--diameter-in 1 --length-ft 200 --layout pair"],
    "share": ["--pump-cfm 60 --diameters-in 1 1 1 1"],
    "ties": ["--length-ft 780"],
    "sag": [
        "--diameter-in 1 --span-ft 50 --slope-pct 2",
        "--diameter-in 1 --span-ft 9 --slope-pct 9",
    ],
    "ceiling": ["--elevation-ft 1000", ""],
    "vacuum": ["--from-inhg 15 --to-inhg 22"],
    "leak": ["--taps 148 --lost-inhg 3 --gal-per-tap-day 1"],
    "hours": ["--taps 10000"],
    "rate": ["--units 300 --hours 6 --default-rate 45"],
    "finish": [
        "--left 1000 --days 120 80 150 --lost-pct 10 --start 2027-02-09",
        "--left 1000 --days 0.5",
    ],
    "order": [
        "--jobs 'Old Orchard,3,5' 'Brook Bend,2,4' 'Creek,1,,after Brook Bend'",
        "--jobs a,1",
    ],
    "sap": ["--brix 2 --gal 100", "--brix 20 --gal 100"],
    "syrup": ["--syrup-gal 10 --brix 2"],
}
"""Each sum with what it needs, and not much more."""

ALL = [f"{name} {words}" for name, lines in EXAMPLES.items() for words in lines]
"""Every example as it is typed."""


def reckoned(line: str) -> Reckoning:
    name, *words = shlex.split(line)
    asked = find(name)
    return ask(asked, vars(parser(asked).parse_args(words)))


def result(line: str) -> dict[str, Any]:
    return reckoned(line).answer.result


def text(line: str, *, explain: bool = False) -> str:
    """What is printed, its lines run together."""
    return " ".join(told_text(reckoned(line), explain=explain).split())


# --- trees ---------------------------------------------------------------------------------------


def test_a_girth_of_38_in_is_one_tap() -> None:
    # US extension services teach 38 in as 12.10 in across, with 3.14 for pi
    got = result("taps --girth-in 38 --rule conservative")
    assert got["dbh_in"] == pytest.approx(12.10, abs=0.01)
    assert got["taps"] == 1
    assert "1 tap in a tree of 12.1 in (DBH), by the rule conservative." in text(
        "taps --girth-in 38"
    )


def test_every_rule_stands_beside_the_one_asked_for() -> None:
    # Manual, older table: 20-25 in 3 taps; recommended table: 18 in and over 2.
    # 22 in is 55.9 cm. M-35.1, r. 8.1, s. 6: 39.1 cm and over 2., r. 8.1, s. 58: 39.1-59 2.
    # Leuty, OMAFRA, 2014: 30 cm 1, 60 cm 2. The crew's own: 12 in 1, 18 in 2.
    assert result("taps --dbh-in 22")["by_rule"] == {
        "traditional": 3,
        "conservative": 2,
        "quebec-private": 2,
        "quebec-public": 2,
        "ontario": 1,
        "own": 2,
    }
    own = "--rule own --own-first-in 10 --own-step-in 4 --own-most-taps 3"
    assert [result(f"taps --dbh-in {dbh} {own}")["taps"] for dbh in (9.9, 10, 14, 18, 30)] == [
        *(0, 1, 2, 3, 3)
    ]
    assert "own: 10 in and over 1, 14 in and over 2, 18 in and over 3" in text(
        f"taps --dbh-in 9 {own}"
    )


def test_a_tally_is_added_up_by_size() -> None:
    # Manual, recommended table: 12-18 in 1, so 40 + 31 + 4 (of 12.1 in); 30 cm is under 12 in
    got = result("allowance --trees '12:40 14:31 30cm:12 38g:4' --rule conservative")
    assert (got["taps"], got["trees_tallied"], got["trees_tapped"]) == (75, 87, 75)
    assert got["by_rule"]["ontario"] == 40 + 31 + 12 + 4  # 30 cm 1: Leuty, OMAFRA, 2014


def test_a_tap_on_a_twentieth_of_an_acre_is_20_an_acre() -> None:
    # Standard in forest mensuration: 1/20 acre has a radius of 26.33 ft
    got = result("plot --taps 3 5 4 --acres 12")
    assert got["taps_per_acre"] == pytest.approx(4 * 20)
    assert got["plot_radius_ft"] == pytest.approx(26.33, abs=0.005)
    assert got["woods_taps"] == pytest.approx(960)
    assert "woods_taps" not in result("plot --taps 3 5 4")


def test_a_gauge_counts_trees_by_their_size() -> None:
    # BAF 10, standard in forest mensuration: a tree of 12 in is 12.73 an acre, one of 18 in 5.66
    got = result("gauge --points '12, 18, -' --rule conservative")
    assert got["taps_per_acre"] == pytest.approx((12.73 + 2 * 5.66) / 3, abs=0.005)
    assert (got["points_taken"], got["trees_counted"]) == (3, 2)


def test_two_taps_of_an_18_in_tree_hold() -> None:
    # fieldbook's model; the volume of the zone is arithmetic: pi x 30 x (18 x 1.5 - 1.5 x 1.5)
    said = text("zone --dbh-in 18 --taps 2", explain=True)
    assert "2 taps a year in a tree of 18 in hold" in said
    assert "= 2,332.6325 in3" in said
    for words in (sources.ZONE, sources.STAIN, sources.ZONE_MILD, sources.STAIN_SURVEY):
        assert words in said


def test_what_holds_at_the_book_s_stain_alone_is_told_with_care() -> None:
    said = text("zone --dbh-in 20 --taps 3")
    assert "3 taps a year in a tree of 20 in hold; 3 at most would. But not with" in said
    assert "a stain factor of 75, which fits what was published better: be careful." in " ".join(
        said.split()
    )
    assert result("zone --dbh-in 20 --taps 3")["holds_at"]["75"] is False
    for sure in ("--taps 2", "--taps 3 --stain-factor 100"):  # holds at 75 too, or not at all
        assert "be careful" not in text(f"zone --dbh-in 20 {sure}")


def test_three_taps_of_a_10_in_tree_do_not() -> None:
    line = "zone --dbh-in 10 --taps 3 --bai-in2 1.4"
    # 1.4 in2 a year at 10 in is 0.0444 in of radius: van den Berg et al. 2016, and arithmetic
    got = result(line)
    assert got["growth_dbh_in"] == pytest.approx(2 * 0.0444, abs=0.0002)
    looked = zone.outlook(
        dbh_in=10,
        taps=3,
        how=zone.Drilled(
            growth_dbh_in=got["growth_dbh_in"],
            reach_in=30,
            width_in=0.3125,
            depth_in=1.5,
            stain_factor=50,
        ),
    )
    assert (got["holds"], got["below_year"]) == (False, looked.below_year)
    assert got["growth_needed_in"] > got["growth_dbh_in"]
    assert f"lose clean wood from year {looked.below_year}; 1 tap holds." in text(line)
    assert list(got["holds_at"]) == ["25", "50", "75", "100"]
    lowest = {name: other["lowest_clean_pct"] for name, other in got["instead"].items()}
    assert lowest["hole 1/4 in"] > lowest["hole 5/16 in"] > lowest["hole 7/16 in"]
    assert lowest["hole 5/16 in"] == got["lowest_clean_pct"] < lowest["drop 36 in"]


def test_what_no_growth_would_keep_says_so() -> None:
    got = result("zone --dbh-in 8 --taps 10 --hole-width-in 0.4375 --stain-factor 200")
    assert (got["growth_needed_in"], got["most_taps"]) == (None, 0)
    said = text("zone --dbh-in 8 --taps 10 --hole-width-in 0.4375 --stain-factor 200")
    assert "none holds." in said
    assert "No growth up to 2 in of diameter a year would do." in said


def test_the_longest_drop_is_tried_no_longer() -> None:
    got = result("zone --dbh-in 18 --taps 2 --drop-length-in 120")
    assert got["instead"]["drop 120 in"]["lowest_clean_pct"] == got["lowest_clean_pct"]


def test_the_curve_of_clean_wood_is_as_wide_as_a_page() -> None:
    drawing = reckoned("zone --dbh-in 18 --taps 2").answer.drawing
    assert len(drawing) == 12 + 3  # and its axis, its labels and its marks
    assert max(map(len, drawing)) <= 70


# --- drops ---------------------------------------------------------------------------------------


def test_drops_are_due_at_three_years() -> None:
    # Perkins 2014; UVM: every 3 years or so
    assert result("drops --hung 2024 --season-year 2027") == {
        "age_years": 3,
        "due": True,
        "due_year": 2027,
    }
    assert "not due before 2027" in text("drops --hung 2024 --season-year 2026")
    assert "Nobody knows how old the drops are: due in 2027" in text("drops --season-year 2027")


def test_new_spouts_bring_59_cents_a_tap() -> None:
    # 12.5 % more (Perkins 2010: 10 to 15 %) on 15 gal at $0.50, for $0.35: arithmetic
    line = "gain --yield-old-gal 15 --yield-new-gal 16.875 --sap-value-per-gal 0.5 --cost-per-tap"
    assert result(f"{line} 0.35")["net_gain_per_tap"] == pytest.approx(0.5875)
    assert "= 0.5875 a tap and year" in text(f"{line} 0.35", explain=True)
    assert "It costs 0.06 a tap and year more than it brings." in text(f"{line} 1")


def test_the_best_cycle_is_found_among_all_of_them() -> None:
    # Losses from memory; the classical replacement problem, reckoned out by hand
    losses = [share / 100 * 15 * 0.5 for share in (0, 5, 10, 14, 17, 19, 20, 21)]
    by_hand = {str(n): (1.5 + sum(losses[:n])) / n for n in range(1, 9)}
    got = result("cycle --drop-cost 1.5")
    assert got["cost_by_cycle"] == pytest.approx(by_hand)
    assert str(got["best_cycle_years"]) == min(by_hand, key=lambda n: by_hand[n])
    assert "goes no further" not in text("cycle --drop-cost 1.5")
    assert "The table of losses goes no further" in text("cycle --drop-cost 90")


@pytest.mark.parametrize(
    ("length_in", "a_roll", "rolls"), [(36, 166, 7), (30, 200, 5), (32, 187, 6)]
)
def test_a_thousand_drops_from_rolls_of_500_ft(length_in: int, a_roll: int, rolls: int) -> None:
    # Arithmetic on whole drops
    got = result(f"rolls --drops 1000 --length-in {length_in}")
    assert (got["drops_per_roll"], got["rolls"]) == (a_roll, rolls)


def test_by_length_alone_it_would_be_six() -> None:
    said = text("rolls --drops 1000 --length-in 36")
    assert "7 rolls: 166 whole drops a roll. By length alone it would be 6." in said


def test_a_bit_drills_2500_holes() -> None:
    # UVM: about 2,500 holes
    assert [result(f"bits --holes {n}")["bits"] for n in (0, 2500, 2501, 11960)] == [0, 1, 2, 5]


# --- lines ---------------------------------------------------------------------------------------


def test_what_a_mainline_drains() -> None:
    # Manning's formula by hand, half full: R is a quarter of the diameter
    speed_m_s = (0.0254 / 4) ** (2 / 3) * 0.02**0.5 / 0.010
    area_m2 = 3.14159265 * 0.0254**2 / 8
    gph = speed_m_s * area_m2 * 3600 * 1000 / 3.785411784
    single, pair = (
        result(f"flow --diameter-in 1 --slope-pct 2 --layout {layout}")
        for layout in ("single", "pair")
    )
    assert single["capacity_gph"] == pytest.approx(gph)
    assert single["taps_drained"] == int(gph / 0.5)
    assert pair["capacity_gph"] == pytest.approx(2 * gph)
    said = text("flow --diameter-in 1 --slope-pct 2", explain=True)
    assert f"= {speed_m_s:.3f} m/s" in said


def test_a_dry_inch_line_of_1000_ft_carries_8_cfm() -> None:
    # OSU 2013: 8 CFM at 1,000 ft
    got = result("air --diameter-in 1 --length-ft 1000 --layout pair")
    assert got["air_cfm"] == pytest.approx(8, rel=0.06)
    assert got["taps_aired"] == int(100 * got["air_cfm"])
    assert result("air --diameter-in 1 --length-ft 1000")["air_cfm"] < got["air_cfm"] / 2


def test_four_equal_lines_share_a_pump_of_60_cfm() -> None:
    # OSU 2013: 15 CFM and 1,500 taps each
    got = result("share --pump-cfm 60 --diameters-in 1 1 1 1")
    assert got["shares_cfm"] == pytest.approx([15.0] * 4)
    assert got["taps_aired"] == [1500] * 4


def test_side_ties_every_35_ft() -> None:
    # 30-40 ft: common practice, no source
    assert result("ties --length-ft 780")["ties"] == 23  # 22.3, rounded up


def test_a_belly_begins_at_3_in() -> None:
    # 2 % over 50 ft: 3.0 in, arithmetic
    got = result("sag --diameter-in 1 --span-ft 50 --slope-pct 2")
    assert got["sag_allowed_in"] == pytest.approx(3.0)
    tension = f"--wire-tension-lb {got['tension_needed_lb']}"
    tight = result(f"sag --diameter-in 1 --span-ft 50 --slope-pct 2 {tension}")
    assert tight["sag_in"] == pytest.approx(3.0)
    assert got["sag_in"] > 3
    assert "A belly: it sags 5.9 in" in text("sag --diameter-in 1 --span-ft 50 --slope-pct 2")
    assert "No belly" in text("sag --diameter-in 1 --span-ft 25 --slope-pct 2")


def test_tensioned_wire_comes_with_its_caution() -> None:
    made = reckoned("sag --diameter-in 1 --span-ft 50 --slope-pct 2")
    assert told(made).cautions == (CAUTION,)
    assert f"! {CAUTION}" in " ".join(told_text(made).split())


@pytest.mark.parametrize(
    ("elevation_ft", "inhg"), [(500, 29.38), (1000, 28.86), (2000, 27.82), (3000, 26.82)]
)
def test_the_ceiling_of_vacuum(elevation_ft: int, inhg: float) -> None:
    # US Standard Atmosphere 1976; 1 inHg = 3.386 kPa
    got = result(f"ceiling --elevation-ft {elevation_ft}")
    assert got["ceiling_inhg"] == pytest.approx(inhg, abs=0.005)
    assert got["ceiling_kpa"] == pytest.approx(inhg * 3.386, abs=0.03)


def test_the_ceiling_is_what_a_barometer_reads() -> None:
    # 1 inHg = 3.386 kPa (trade tables; NIST SP 811)
    assert result("ceiling --barometer-inhg 28.5")["ceiling_inhg"] == 28.5
    assert result("ceiling --barometer-kpa 96.5")["ceiling_inhg"] == pytest.approx(28.5, abs=0.005)


def test_from_15_to_22_inhg_brings_a_fifth_more_sap() -> None:
    # 5 % an inHg, 4 to 7, linear: Wilmot, UVM; Centre ACER 2015; 1.20 is arithmetic on it
    got = result("vacuum --from-inhg 15 --to-inhg 22")
    assert got["sap_ratio"] == pytest.approx(1.20)
    assert got["sap_ratio_at_4_pct"] == pytest.approx(1.88 / 1.6)
    assert got["sap_ratio_at_7_pct"] == pytest.approx(2.54 / 2.05)
    assert "The gain is linear" in text("vacuum --from-inhg 15 --to-inhg 22")


def test_a_line_that_hangs_3_inhg_low() -> None:
    # Arithmetic on 5 % an inHg: 148 x 1 x 15 %
    line = "leak --taps 148 --lost-inhg 3 --gal-per-tap-day 1"
    got = result(line)
    assert got["sap_lost_gal_a_day"] == pytest.approx(22.2)
    assert got["sap_lost_gal_a_day_at_4_pct"] == pytest.approx(148 * 0.12)  # the published range
    assert got["sap_lost_gal_a_day_at_7_pct"] == pytest.approx(148 * 0.21)
    # What a tap gives under 20 inHg is twice what it gives under none: half is lost.
    assert result(f"{line} --sap-at-inhg 20")["sap_lost_gal_a_day"] == pytest.approx(11.1)


# --- the crew ------------------------------------------------------------------------------------


@pytest.mark.parametrize(("taps", "person_hours"), [(10_000, 790), (1000, 79)])
def test_a_season_takes_its_hours(taps: int, person_hours: float) -> None:
    # Huyler 2000, USDA NE-712: 4.74 minutes a tap and season
    assert result(f"hours --taps {taps}")["person_hours"] == pytest.approx(person_hours)


def test_a_short_record_is_blended_with_a_default() -> None:
    # Arithmetic: 20 hours of the default (from memory), 6 of record
    got = result("rate --units 300 --hours 6 --default-rate 45")
    assert got["rate_per_hour"] == pytest.approx((300 + 45 * 20) / 26)


def test_days_all_alike_end_exactly() -> None:
    # Arithmetic: 1,000 at 120 a day is 9 days, rounded up; the calendar: a Sunday lies between
    got = result("finish --left 1000 --days 120 --lost-pct 0 --start 2027-02-09")
    assert [got[f"workdays_{pct}_pct"] for pct in (10, 50, 90)] == [9, 9, 9]
    assert got["date_50_pct"].isoformat() == "2027-02-18"
    off = "--days-off 2027-02-10 --workdays MO,TU,WE,TH,FR"
    late = result(f"finish --left 1000 --days 120 --lost-pct 0 --start 2027-02-09 {off}")
    assert late["date_50_pct"].isoformat() == "2027-02-22"


def test_lost_days_put_it_off() -> None:
    some, none = (
        result(f"finish --left 1000 --days 120 80 150 --lost-pct {pct}") for pct in (30, 0)
    )
    assert some["workdays_50_pct"] > none["workdays_50_pct"]
    assert "date_50_pct" not in some
    assert "2 (1 in 10)" in text("finish --left 2 --days 1 --lost-pct 0")


def test_work_without_an_end_says_so() -> None:
    got = result("finish --left 1001 --days 1 --lost-pct 0 --start 2027-02-09")
    assert (got["workdays_90_pct"], got["date_90_pct"]) == (None, None)
    assert "not within 1,000 workdays (9 in 10)" in text("finish --left 1001 --days 1 --lost-pct 0")
    assert result("finish --left 1000 --days 1 --lost-pct 0")["workdays_90_pct"] == 1000


def test_jobs_in_the_order_in_which_the_latest_is_least_late() -> None:
    # Lawler 1973, reckoned out by hand
    line = "order --jobs 'Old Orchard,3,4' 'Brook Bend,2,4' 'Creek,1,,after Brook Bend'"
    assert result(line) == {
        "order": ["Old Orchard", "Brook Bend", "Creek"],
        "finish_day": {"Old Orchard": 3, "Brook Bend": 5, "Creek": 6},
        "days_late": {"Old Orchard": -1, "Brook Bend": 1},
        "greatest_lateness_days": 1,
    }
    said = text(line, explain=True)
    assert "The latest is 1 day late; no order does better." in said
    assert "the first 2 jobs take 5 days in any order, one of them comes last" in said
    assert "Brook Bend is due latest, on day 4" in said
    assert "All in time, with 2 days to spare" in text("order --jobs a,1,3")
    assert "Nothing has a day on which it is due." in text("order --jobs a,1 b,2")


JOBS = st.lists(st.tuples(st.integers(0, 9), st.integers(0, 20)), min_size=1, max_size=5)


@given(JOBS, st.data())
def test_no_other_order_is_less_late(jobs: list[tuple[int, int]], data: st.DataObject) -> None:
    after = [data.draw(st.sets(st.integers(0, i - 1))) if i else set() for i in range(len(jobs))]
    words = [
        ",".join([str(i), str(days), str(due), *(f"after {j}" for j in after[i])])
        for i, (days, due) in enumerate(jobs)
    ]

    def lateness(order: tuple[int, ...]) -> int:
        return max(
            sum(jobs[j][0] for j in order[: at + 1]) - jobs[i][1] for at, i in enumerate(order)
        )

    allowed = [
        order
        for order in permutations(range(len(jobs)))
        if all(order.index(j) < order.index(i) for i in order for j in after[i])
    ]
    got = SUMS["order"](jobs=words)
    assert got.result["greatest_lateness_days"] == min(map(lateness, allowed))


# --- sap -----------------------------------------------------------------------------------------


def test_sap_of_2_brix() -> None:
    # Jones, UVM: 43.0 to 1; revised (Perkins & Isselhardt, the -0.32 from memory): 43.23 and 43.78
    got = result("sap --brix 2 --gal 15.6")
    assert got["sap_gal_per_gal_by_86"] == pytest.approx(43.0)
    assert got["sap_gal_per_gal_light"] == pytest.approx(43.23)
    assert got["sap_gal_per_gal_heavy"] == pytest.approx(43.78)
    # Cornell: 15.6 gal of 2 % sap make 0.3628 gal by the rule of 86
    assert got["syrup_gal_by_86"] == pytest.approx(0.3628, abs=0.00005)


@pytest.mark.parametrize(("brix", "holds"), [(0.4, False), (0.5, True), (10, True), (10.1, False)])
def test_the_rule_of_86_keeps_silent_about_concentrate(brix: float, holds: bool) -> None:
    said = text(f"sap --brix {brix} --gal 100", explain=True)
    assert ("The rule of 86 does not hold" in said) is not holds
    assert ("By the rule of 86: 86 /" in said) is holds


@given(st.floats(0.5, 10), st.floats(0, 1e6))
def test_syrup_takes_the_sap_that_makes_it(brix: float, gal: float) -> None:
    made = SUMS["sap"](brix=brix, gal=gal).result
    for which in ("", "_heavy", "_by_86"):
        back = SUMS["syrup"](brix=brix, syrup_gal=made[f"syrup_gal{which}"]).result
        assert back[f"sap_gal{which}"] == pytest.approx(gal)


# --- all of them ---------------------------------------------------------------------------------


def test_there_is_an_example_of_every_sum() -> None:
    assert list(EXAMPLES) == list(SUMS)


@pytest.mark.parametrize("name", SUMS)
def test_a_sum_says_what_it_is(name: str) -> None:
    made = SUMS[name]
    assert made.about.endswith(".")
    assert made.left_out
    assert reckoned(f"{made.name} {made.example}").answer.result
    for param in made.params:
        assert param.about, param.name
        assert (
            param.required
            or param.setting
            or param.default is not None
            or (param.name in {*made.either, "acres", "hung", "start"})
        )
    shown = " ".join(parser(made).format_help().split())
    for param in made.params:
        assert options(param)[0].flag in shown
        assert param.about in shown
        if param.setting:
            assert f"the setting {param.setting.name}: {param.setting.source}" in shown


def test_the_list_has_a_line_a_sum_no_wider_than_a_screen() -> None:
    lines = sums_text().splitlines()
    assert [line.split()[0] for line in lines[: len(SUMS)]] == list(SUMS)
    assert max(map(len, lines)) <= 80


@pytest.mark.parametrize("line", ALL)
def test_what_is_passed_on_has_these_keys_and_no_others(line: str) -> None:
    made = reckoned(line)
    always = ["name", "inputs", "result", "rule", "source"]
    warned = ["cautions"] * bool(made.answer.cautions)
    plain_data = json.loads(to_json(told(made)))
    assert list(plain_data) == always + warned
    assert list(json.loads(to_json(told(made, explain=True)))) == [*always, "steps", *warned]
    assert all(plain_data[key] for key in always)


@pytest.mark.parametrize("line", ALL)
def test_an_explanation_names_every_input_and_step(line: str) -> None:
    made = reckoned(line)
    said = text(line, explain=True)
    for one in made.inputs:
        shown = str(one.value) if isinstance(one.value, int) else plain(one.value)
        assert f"{one.param.name} = {shown}" in said
        assert one.param.about in said
    assert all(step in said for step in told(made, explain=True).steps)
    assert len(made.answer.steps) >= 2
    assert made.sum.left_out in said
    assert f"Rule: {made.answer.rule}. Source: {made.answer.source}." in said
    assert "{" not in said


@pytest.mark.parametrize("line", ALL)
def test_no_line_is_wider_than_a_page(line: str) -> None:
    assert max(map(len, told_text(reckoned(line), explain=True).splitlines())) <= 76


TWINS = [
    (name, words, param.name, option.flag)
    for name, lines in EXAMPLES.items()
    for words in lines
    for param in SUMS[name].params
    for option in options(param)
    if option.metric and f"{options(param)[0].flag} " in words
]


@pytest.mark.parametrize(("name", "words", "param", "flag"), TWINS)
def test_metric_options_agree_with_the_others(name: str, words: str, param: str, flag: str) -> None:
    made = reckoned(f"{name} {words}")
    asked = next(p for p in made.sum.params if p.name == param)
    option = next(option for option in options(asked) if option.flag == flag)
    ours = next(given.value for given in made.inputs if given.param.name == param)
    typed = made.sum.name + " " + words
    for value in ours if asked.many else [ours]:
        # 0.3048 m to the foot, and so on: a metric unit is so many of ours
        typed = typed.replace(f" {value:g}", f" {value / option.convert(1.0)}", 1)
    metric = reckoned(typed.replace(options(asked)[0].flag, flag))
    assert next(given.value for given in metric.inputs if given.param.name == param) == (
        pytest.approx(ours)
    )
    for key, value in made.answer.result.items():
        if isinstance(value, float):
            assert metric.answer.result[key] == pytest.approx(value)
    assert told(metric, explain=True).steps[0].startswith(flag)


def test_there_are_metric_options_of_every_unit() -> None:
    ends = {flag.rpartition("-")[2] for _name, _words, _param, flag in TWINS}
    assert ends == {"mm", "cm", "m", "l", "kpa"}  # and kg, of a wire's tension:
    assert "wire_tension_lb = 220.4623" in text(
        "sag --diameter-in 1 --span-ft 50 --slope-pct 2 --wire-tension-kg 100", explain=True
    )


def test_what_is_left_out_is_a_setting_of_a_new_book() -> None:
    made = reckoned("zone --dbh-in 18 --taps 2")
    left = {given.param.name: given.value for given in made.inputs if not given.typed}
    assert left == {name: BY_NAME[name].default for name in left}
    assert {"growth_dbh_in", "stain_factor", "clean_wood_pct"} <= set(left)


# --- refused -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("taps", "--girth-in or --dbh-in is missing."),
        ("taps --girth-in 38 --dbh-in 12", "--dbh-in: not allowed with argument --girth-in"),
        ("taps --dbh-in 12 --dbh-cm 30", "--dbh-cm: not allowed with argument --dbh-in"),
        ("taps --girth-in 0", "--girth-in 0: girth 0.0 in: out of range, above 0 to 314.1593."),
        ("taps --dbh-cm 255", "in: out of range, above 0 to 100."),
        ("taps --dbh-in twelve", "--dbh-in 'twelve' will not do."),
        ("taps --dbh-in nan", "--dbh-in 'nan' will not do."),
        (
            "taps --dbh-in 12 --rule ours",
            "--rule ours: rule ours: out of range, one of traditional,",
        ),
        ("taps --dbh-in 12 --own-most-taps 11", "--own-most-taps '11' will not do."),
        ("allowance --trees many", "--trees many: 'many' does not say a size and how many trees."),
        (
            "plot --taps 3 --acres 0",
            "--acres 0: woods 0.0 acres: out of range, above 0 to 1,000,000.",
        ),
        ("plot --taps 3 --acres 1000001", "out of range, above 0 to 1,000,000."),
        ("plot --taps 3.5", "--taps '3.5' will not do."),
        ("gauge --points 12,,14", "--points 12,,14: it does not say which trees were counted"),
        ("gauge --points oak", "--points oak: it does not say which trees were counted"),
        ("zone --dbh-in 18", "--taps is missing."),
        ("zone --dbh-in 3 --taps 1", "--dbh-in 3: DBH 3.0 in: out of range, 4 to 60."),
        ("zone --dbh-in 18 --taps 1 --bai-in2 1 --growth-dbh-cm 1", "not allowed with argument"),
        ("zone --dbh-in 18 --taps 1 --drop-length-cm 15", "--drop-length-cm '15' will not do."),
        ("drops --season-year 2201", "season 2201: out of range, 1900 to 2200."),
        (
            "drops --season-year 2027 --hung 2028",
            "--hung 2028: hung 2028: out of range, 1900 to 2027.",
        ),
        (
            "drops --season-year 2027 --hung 1899",
            "--hung 1899: hung 1899: out of range, 1900 to 2027.",
        ),
        ("flow --diameter-in 1 --slope-pct 0", "--slope-pct 0: slope 0.0 %: out of range, above 0"),
        ("flow --diameter-in 1 --slope-pct 2 --layout both", "--layout 'both' will not do."),
        ("share --diameters-in 1 1", "pump 0 CFM: not known; give --pump-cfm, above 0 to 10,000."),
        ("finish --left -1 --days 3", "--left -1: left -1.0 units: out of range, 0 or more."),
        ("finish --left 9 --days 3 --start soon", "--start 'soon' will not do."),
        ("finish --left 9 --days 3 --start 9999-12-31", "out of range, more than the calendar has"),
        ("finish --left 9 --days 3 --start 0001-01-01", "--start 0001-01-01: "),
        ("finish --left 9 --days 3 --days-off soon", "--days-off 'soon' will not do."),
        ("order --jobs", "argument --jobs: expected at least one argument"),
        ("order --jobs Creek", "--jobs Creek: 'Creek' is not a job."),
        ("order --jobs ,1,2", "',1,2' is not a job."),
        ("order --jobs Creek,nan,2", "'Creek,nan,2' is not a job."),
        ("order --jobs Creek,1,2,Ford", "'Creek,1,2,Ford' is not a job."),
        ("order --jobs Creek,-1,2", "job Creek -1.0 days: out of range, 0 or more."),
        (
            "order --jobs 'Creek,1,2,after Ford'",
            "Creek after Ford: out of range, after one of the jobs",
        ),
        ("order --jobs a,1,2 a,1,2", "job a: out of range, a name is given once."),
        ("order --jobs 'a,1,,after b' 'b,1,,after a'", "jobs in a circle: a after b after a."),
        ("sap --brix 66.1 --gal 1", "--brix 66.1: sap 66.1 Brix: out of range, above 0 to 66."),
        ("ties --length-ft", "argument --length-ft: expected one argument"),
        ("ties --leng 3", "unrecognized arguments: --leng 3"),
        ("nosuch", "No sum is called 'nosuch'."),
    ],
)
def test_what_cannot_be_reckoned_is_refused_by_name(line: str, said: str) -> None:
    with pytest.raises(BookError) as caught:
        reckoned(line)
    assert said in caught.value.message
    assert caught.value.code is Exit.MISUSE
    assert caught.value.hint


@pytest.mark.parametrize("year", [1900, 2200])
def test_the_years_at_the_edge_are_still_years(year: int) -> None:
    assert result(f"drops --season-year {year} --hung {year}")["age_years"] == 0


def test_a_range_is_told_in_the_unit_of_the_setting() -> None:
    with pytest.raises(BookError) as caught:
        reckoned("rolls --drops 10 --length-cm 15")
    assert "Write a number from 6 to 120 (--length-in)." in caught.value.hint
    assert reckoned("rolls --drops 10 --length-cm 15.24").inputs[1].value == 6


@pytest.mark.parametrize(
    ("value", "said"),
    [
        *((1820, "1,820"), (2.5, "2.5"), (2.0, "2"), (-0.00001, "0"), (1234.56789, "1,234.5679")),
        *(([1, 2.5], "1, 2.5"), ("12:40", "12:40"), (True, "True"), (100.0, "100")),
    ],
)
def test_numbers_in_words(value: object, said: str) -> None:
    assert plain(value) == said
