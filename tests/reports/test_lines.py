"""Lines against what they can carry: numbers worked by hand, flags that say how far over."""

from typing import Any

import pytest
from msgspec.structs import replace

from fieldbook.book.book import Book
from fieldbook.book.entry import AnyEntry, Block, Line, Target
from fieldbook.reports.lines import Loads, line_load, line_loads, lines_listing
from fieldbook.season.ledger import Ledger
from fieldbook.season.plan import Plan
from fieldbook.season.season import Season
from fieldbook.trade import mainline, wire
from fieldbook.trade.vacuum import barometer_inhg
from tests.conftest import NOW, numbered, stamp, vacuum_checklist
from tests.reports.helpers import cells, is_sound, rules

RULES: dict[str, float] = {"peak_gph_per_tap": 0.5, "wire_tension_lb": 600}


def main(line: str = "Gate", **fields: Any) -> Line:
    """A single line of 1 in, 800 ft long, that falls 2 %, unless it says otherwise."""
    usual = {"diameter_in": 1, "length_ft": 800, "slope_pct": 2, "taps_planned": 100}
    return Line(block="Ledge", line=line, **(usual | fields), **stamp())


def plan(*entries: AnyEntry, **values: float) -> Plan:
    kept: list[AnyEntry] = [vacuum_checklist(), *rules(**(RULES | values))]
    return Ledger(2027).fold(numbered(*kept, *entries)).plan


def flags(line: Line, **values: float) -> tuple[str, ...]:
    return line_load(plan(**values), line).flags


def loads(season: Season, *lines: Line | Target, **values: float) -> Loads:
    """What a book of these lines, and those of Quillby Hollow, says."""
    season.record(*rules(**(RULES | values)), *lines)
    return line_loads(season)


@pytest.mark.parametrize(("checklist", "pump"), [("vacuum", True), ("gravity", False)])
def test_only_a_crew_with_a_pump_reads_of_air(book: Book, checklist: str, pump: bool) -> None:
    season = Season.begin(book, checklist, by="Oda", now=NOW)
    season.record(Block(block="Ledge", **stamp()), main(), *rules(pump_cfm=60))
    told = line_loads(season)
    assert (told.lines[0].taps_air is not None, told.air_needed_cfm is not None) == (pump, pump)
    listing = lines_listing(told)
    assert {"Air", "Pump"} & set(listing.heads) == ({"Air", "Pump"} if pump else set())
    assert any("pump" in note for note in listing.notes) is pump
    # Common practice, no source: the wire is there with and without a pump.
    assert f"! {wire.CAUTION}" in listing.notes


# --- what a line can carry -----------------------------------------------------------------------


def test_sap_of_a_single_line_half_full_by_hand() -> None:
    # Manning, n = 0.010: R = 1/4 in = 0.00635 m, V = 0.00635^(2/3) x 0.02^(1/2) / 0.010 = 0.485 m/s
    # on half of 0.785 in2 (OSU 2013), 0.000253 m2: 0.1229 l/s = 116.9 gal/h; / 0.5 = 233 taps
    assert line_load(plan(), main()).taps_liquid == 233
    # at the 0.2 gal measured once (650 taps, 130.9 gal/h: published): 584
    assert line_load(plan(peak_gph_per_tap=0.2), main()).taps_liquid == 584


def test_the_wet_pipe_of_a_pair_runs_full_and_the_air_is_in_the_dry_one() -> None:
    pair = main(layout="pair", dry_in=1.5, length_ft=1000)
    load = line_load(plan(), pair)
    assert load.taps_liquid == 467  # a full pipe carries twice what it carries half full: 233.7 x 2
    assert (load.diameter_in, load.dry_in) == (1, 1.5)
    air = mainline.air_capacity_cfm(diameter_in=1.5, length_ft=1000, fill=0)
    assert load.taps_air == int(100 * air)  # 1 CFM for 100 taps (UVM, OSU, Cornell)


def test_air_of_an_empty_inch_pipe_is_what_was_measured() -> None:
    # OSU 2013: 8 CFM at the end of 1,000 ft of 1 in line, so 800 taps at 1 CFM per 100
    air = line_load(plan(), main(layout="pair", length_ft=1000)).taps_air
    assert air is not None
    assert air == pytest.approx(800, rel=0.06)
    # Half full its bore is half as large and 0.61 as wide (pi / (pi + 2)): air that swirls in it
    # is less by 0.5 x 0.61^(1/2), air that runs smoothly by 0.5 x 0.61^2.
    half = line_load(plan(), main(length_ft=1000)).taps_air
    assert half is not None
    assert 0.5 * 0.61**2 < half / air < 0.5 * 0.61**0.5


def test_a_pair_whose_dry_pipe_has_no_size_takes_the_wet_one_s() -> None:
    assert line_load(plan(), main(layout="pair")).dry_in == 1
    metric = main(layout="pair", diameter_in=None, diameter_mm=25.4, dry_mm=38.1)
    assert line_load(plan(), metric).dry_in == pytest.approx(1.5)


def test_ties_and_sag_by_hand() -> None:
    load = line_load(plan(tie_spacing_ft=50, wire_tension_lb=300), main())
    assert load.ties == 16  # 800 / 50
    # full of sap 0.343, tubing 0.104, wire 0.025 lb/ft; sag = 0.472 x 50^2 / (8 x 300) ft = 5.90 in
    assert load.sag_in == pytest.approx(5.90, abs=0.01)
    assert load.sag_allowed_in == pytest.approx(3.0)  # 2 % x 50 ft / 4


@pytest.mark.parametrize(
    "gap",
    [
        {"diameter_in": None},
        {"slope_pct": None},
        {"length_ft": None},
        {"taps_planned": None},
        {"diameter_in": None, "slope_pct": None, "length_ft": None, "taps_planned": None},
    ],
)
def test_what_nobody_knows_is_left_open(gap: dict[str, Any]) -> None:
    load = line_load(plan(), main(**gap))
    sap_known = not {"diameter_in", "slope_pct"} & set(gap)
    air_known = not {"diameter_in", "length_ft"} & set(gap)
    assert (load.taps_liquid is not None) == (load.sag_in is not None) == sap_known
    assert (load.taps_air is not None) == air_known
    assert (load.ties is None) == ("length_ft" in gap)
    assert load.taps_pump is None
    assert load.flags == ()


def test_taps_wanted_on_a_line_are_what_it_has_to_carry(season: Season) -> None:
    wanted = Target(task="tapping", block="Ledge", line="Gate", planned=240, **stamp())
    report = loads(season, main(taps_planned=100), wanted)
    gate = next(load for load in report.lines if load.line == "Gate")
    assert gate.taps == 240
    assert "7 taps over the 233 whose sap it drains" in gate.flags
    assert report.air_needed_cfm == pytest.approx((257 + 240) / 100)  # 1 CFM for 100 taps


# --- flags ---------------------------------------------------------------------------------------


def test_flags_say_how_far_over() -> None:
    assert flags(main(taps_planned=233)) == ()
    assert flags(main(taps_planned=234)) == ("1 taps over the 233 whose sap it drains",)
    air = line_load(plan(), main(slope_pct=8)).taps_air
    assert air is not None
    assert flags(main(slope_pct=8, taps_planned=air)) == ()
    assert flags(main(slope_pct=8, taps_planned=air + 20)) == (
        f"20 taps over the {air} whose air it lets through",
    )
    load = line_load(plan(), main(taps_planned=200), pump_cfm=1.5)
    assert load.flags == ("50 taps over its share of the pump, 150",)


@pytest.mark.parametrize(
    ("slope_pct", "said"),
    [
        (-100, "slope -100 %: sap stands under 0.5 %"),
        (-3, "slope -3 %: sap stands under 0.5 %"),
        (0, "slope 0 %: sap stands under 0.5 %"),
        (0.4, "slope 0.4 %: sap stands under 0.5 %"),
        (0.5, "slope 0.5 %: under 2 % only for short stretches"),  # UVM, UNH
        (1.9, "slope 1.9 %: under 2 % only for short stretches"),
        (2, ""),
        (100, ""),
    ],
)
def test_slopes(slope_pct: float, said: str) -> None:
    values = {"wire_tension_lb": 2000.0, "tie_spacing_ft": 10.0}  # no belly
    load = line_load(plan(**values), main(slope_pct=slope_pct, taps_planned=1))
    assert load.flags == ((said,) if said else ())
    assert (load.taps_liquid is None) == (slope_pct <= 0)
    assert load.taps_air is not None


@pytest.mark.parametrize(
    ("length_ft", "said"),
    [
        (1000, ()),  # mainlines under 1,000 ft (UNH)
        (1001, ("1,001 ft: 1 over 1,000 ft",)),
        (20_000, ("20,000 ft: 19,000 over 1,000 ft",)),
        (
            20_001,
            (
                "length 20001.0 ft: out of range, above 0 to 20,000",
                "20,001 ft: 19,001 over 1,000 ft",
            ),
        ),
    ],
)
def test_lengths(length_ft: float, said: tuple[str, ...]) -> None:
    assert flags(main(length_ft=float(length_ft), taps_planned=1)) == said


@pytest.mark.parametrize(("diameter_in", "known"), [(0.2, 0), (0.25, 1), (6, 1), (6.1, 0)])
def test_a_pipe_that_no_sum_holds_for_says_so_once(diameter_in: float, known: bool) -> None:
    load = line_load(plan(wire_tension_lb=2000, tie_spacing_ft=5), main(diameter_in=diameter_in))
    refusal = f"diameter {diameter_in} in: out of range, 0.25 to 6"
    assert load.flags.count(refusal) == (not known)
    assert (load.taps_liquid is not None) == (load.taps_air is not None) == known


def test_a_belly_begins_where_the_sag_passes_what_the_slope_allows() -> None:
    # 0.472 lb/ft on a span of 50 ft at 2 %: w L / (2 slope) = 589.8 lb are needed
    weight = wire.weight_full_lb_ft(diameter_in=1)
    need = wire.tension_needed_lb(weight_lb_ft=weight, span_ft=50, slope_pct=2)
    assert need == pytest.approx(589.8, abs=0.1)
    assert flags(main(), tie_spacing_ft=50, wire_tension_lb=590) == ()
    assert flags(main(), tie_spacing_ft=50, wire_tension_lb=500) == (
        "a belly: sags 3.5 in, 3.0 at most",
    )


def test_no_pump_pulls_more_than_the_air_above_it_weighs() -> None:
    """At 5,000 ft the barometer stands at 24.9 inHg: 25 cannot be; sap runs down all the same."""
    assert barometer_inhg(elevation_ft=5000) < 25 < barometer_inhg(elevation_ft=4800)
    assert line_load(plan(elevation_ft=4800), main()).taps_air is not None
    load = line_load(plan(elevation_ft=5000), main(taps_planned=234, length_ft=1200))
    assert load.taps_air is None
    assert load.taps_liquid == 233
    refusal, *others = load.flags
    assert refusal.startswith("vacuum 25.0 inHg: out of range, above 0 to below 24.89")
    assert others == [
        "1 taps over the 233 whose sap it drains",
        "1,200 ft: 200 over 1,000 ft",
    ]


def test_a_crew_that_looks_for_no_leaks_has_no_air_to_reckon(season: Season) -> None:
    """Sap that runs by its weight alone asks for no pump: gravity tubing and buckets."""
    given = vacuum_checklist()
    gravity = replace(
        given, tasks=tuple(replace(x, on=x.on and x.key != "leaks") for x in given.tasks)
    )
    load = line_load(plan(gravity), main())
    assert (load.taps_liquid, load.taps_air) == (233, None)
    season.record(gravity)
    assert {x.taps_pump for x in loads(season, *four(), pump_cfm=60).lines} == {None}


# --- all lines, and the pump ---------------------------------------------------------------------


def four(**fields: Any) -> list[Line]:
    return [main(f"Main {n}", **fields) for n in range(1, 5)]


def test_a_pump_is_shared_by_pipe_area(season: Season) -> None:
    # OSU 2013: 60 CFM over four equal lines are 15 CFM each, 1,500 taps each
    report = loads(season, *four(), pump_cfm=60)
    assert [load.taps_pump for load in report.lines if load.diameter_in] == [1500] * 4
    assert {load.taps_pump for load in report.lines if not load.diameter_in} == {None}
    assert any(
        note.startswith("! 5 lines are left out of the shares of the pump")
        for note in lines_listing(report).notes
    )


def test_of_a_pair_the_dry_pipe_draws(season: Season) -> None:
    pair = main("Pair", layout="pair", diameter_in=1, dry_in=2)
    report = loads(season, main("Main"), pair, pump_cfm=50)
    shares = {load.line: load.taps_pump for load in report.lines if load.taps_pump}
    assert shares == {"Main": 1000, "Pair": 4000}  # 50 CFM as 1 to 4


def test_a_pipe_of_no_sound_size_takes_the_shares_of_all(season: Season) -> None:
    report = loads(season, *four(), main("Culvert pipe", diameter_in=8), pump_cfm=60)
    assert {load.taps_pump for load in report.lines} == {None}
    notes = " ".join(lines_listing(report).notes)
    assert "! Ledge / Culvert pipe: diameter 8 in: out of range, 0.25 to 6" in notes
    assert "! 10 lines are left out of the shares of the pump" in notes


def test_the_air_of_all_taps_against_the_pump(season: Season) -> None:
    report = loads(season, *four(), pump_cfm=6)
    # 257 taps of the plan and 400: 6.57 CFM at 1 for 100
    assert report.air_needed_cfm == pytest.approx(6.57)
    assert "! the pump is too small by 0.6 CFM" in lines_listing(report).notes
    enough = loads(season, pump_cfm=6.6)
    assert not any("too small" in note for note in lines_listing(enough).notes)


def test_a_book_that_knows_no_pump_says_so(season: Season) -> None:
    listing = lines_listing(loads(season))
    assert any("fieldbook setting pump_cfm" in note for note in listing.notes)
    assert listing.heads[listing.columns.index("taps_pump")] is None
    assert listing.heads[listing.columns.index("diameter_in")] == "Bore"  # and not of the sap in
    assert listing.notes[-1] == f"! {wire.CAUTION}"


def test_a_row_a_line(season: Season) -> None:
    listing = lines_listing(loads(season, main("Gate", taps_planned=240)))
    is_sound(listing)
    assert cells(listing, "line") == ["Gate", "Cliff", "Cedar", "Ford", "Spring", "Culvert"]
    assert cells(listing, "flags").count("!") == 1
    assert cells(listing, "dry_in") == [None] * 6  # none is a pair


def test_a_block_without_lines_has_none(season: Season) -> None:
    season.record(Block(block="Far Lot", **stamp()))
    assert "Far Lot" not in {load.block for load in line_loads(season).lines}
