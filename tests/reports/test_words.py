"""Entries, standings and sizes in words."""

from typing import Any, Literal

import pytest

from fieldbook.book.entry import (
    KINDS,
    About,
    AnyEntry,
    Back,
    Block,
    Checklist,
    Close,
    Count,
    Finish,
    HandOff,
    Leak,
    Line,
    Note,
    Out,
    Passed,
    Person,
    Reading,
    Reopen,
    Repair,
    Run,
    Setting,
    Settle,
    Sheet,
    Spouts,
    Step,
    Strike,
    Supply,
    Taken,
    TapClass,
    TapRule,
    Target,
    TreeCount,
    Trees,
    Valve,
    WriteOff,
)
from fieldbook.reports.words import (
    MARKS,
    bar,
    count_words,
    describe,
    inches,
    place,
    rule_source,
    saved,
    signed,
    size,
    standing_word,
    told,
)
from fieldbook.season.ledger import Standing, Tally
from fieldbook.season.season import Season
from fieldbook.season.settings import BY_NAME
from tests.conftest import NOW, aside, count, finish, folded, reopen, stamp, vacuum_checklist
from tests.reports import TUESDAY

PLAN = folded().plan
LEDGE: dict[str, Any] = {"block": "Ledge", "line": "Cliff", "who": "Wim"}
CLIFF: dict[str, Any] = {**LEDGE, "task": "tapping"}


def line(
    *,
    layout: Literal["single", "pair"] = "single",
    diameter_in: float | None = None,
    diameter_mm: float | None = None,
    length_ft: float | None = None,
    length_m: float | None = None,
    slope_pct: float | None = None,
) -> Line:
    return Line(
        block="Ledge",
        line="Cliff",
        order=1,
        taps_planned=1820,
        layout=layout,
        diameter_in=diameter_in,
        diameter_mm=diameter_mm,
        length_ft=length_ft,
        length_m=length_m,
        slope_pct=slope_pct,
        **stamp(),
    )


SAID: list[tuple[AnyEntry, str]] = [
    (count("Ledge/Cliff", "tapping", 1820), "1,820 taps"),
    (count("Ledge/Cliff", "tapping", 42, hours=2.5), "42 taps, 2.5 h"),
    (count("Ledge/Cliff", "tapping", 0, hours=0), "0 taps, 0 h"),
    (count("Ledge/Cliff", "burning", 3), "3 burning"),  # a task nobody knows any more
    (Count(count=3, note="ice,\nthen mud", **CLIFF, **stamp()), "3 taps: ice, then mud"),
    (finish("Ledge/Cliff", "tapping"), "finished tapping"),
    (Finish(reason="five\nfell", **CLIFF, **stamp()), "finished tapping: five fell"),
    (finish("Ledge/Cliff", "burning", "wet"), "finished burning: wet"),
    (aside("Ledge/Cliff", "leaks", "pump is out"), "set aside leak checks: pump is out"),
    (reopen("Ledge/Cliff", "drops"), "reopened drop replacement"),
    (Reopen(reason="ice gone", **CLIFF, **stamp()), "reopened tapping: ice gone"),
    (Step(step="clear of old holes", **CLIFF, **stamp()), "[x] clear of old holes"),
    (Step(step="sharp, clean bit", ticked=False, **CLIFF, **stamp()), "[ ] sharp, clean bit"),
    (Note(text="owl in\nthe box", **stamp()), "owl in the box"),
    (Note(text="hung-up beech", hazard=True, **stamp()), "! hung-up beech"),
    (Strike(entry="k7f2q-3", reason="was\nCedar", **stamp()), "struck k7f2q-3: was Cedar"),
    (Block(block="Ledge", order=3, **stamp()), "block 3"),
    (line(), "line 1, 1,820 taps planned, drops hung unknown"),
    (
        Line(block="Ledge", line="Cliff", drops_hung=2024, **stamp()),
        "line 0, taps as the trees allow, drops hung 2024",
    ),
    (
        Line(block="Ledge", line="Cliff", taps_planned=42, spout_in=0.3125, **stamp()),
        "line 0, 42 taps planned, drops hung unknown, 5/16 in spouts",
    ),
    (
        Trees(
            block="Ledge",
            line="Cliff",
            classes=(
                TreeCount(dbh_in=12, count=1820),
                TreeCount(girth_in=38.5, count=6),
                TreeCount(dbh_cm=30, count=9),
            ),
            **stamp(),
        ),
        "trees by diameter: 12:1820 38.5g:6 30cm:9",
    ),
    (
        TapRule(
            rule="[red]ours",
            unit="cm",
            classes=(TapClass(from_dbh=23.1, taps=1), TapClass(from_dbh=39, taps=2)),
            **stamp(),
        ),
        "rule [red]ours for taps: 23.1 cm 1, 39 cm 2",
    ),
    (Supply(item="spout", on_hand=1820, **stamp()), "spout: 1,820 on hand"),
    (Supply(item="side_tie", on_hand=40, **stamp()), "side tie: 40 on hand"),
    (Run(sap_gal=120, brix=2.1, **stamp()), "sap 120 gal, 2.1 Brix"),
    (Run(sap_l=454.25, syrup_l=10, **stamp()), "sap 454.25 l, syrup 10 l"),
    (Run(sap_gal=0, syrup_gal=2.5, **stamp()), "sap 0 gal, syrup 2.5 gal"),
    (Run(sap_gal=2400, syrup_gal=1058.25, **stamp()), "sap 2,400 gal, syrup 1,058.25 gal"),
    (Run(sap_l=4_000_000, syrup_l=1e5, **stamp()), "sap 4,000,000 l, syrup 100,000 l"),
    (Run(note="tank\nran over", **stamp()), "sap not measured: tank ran over"),
    (Run(**stamp()), "sap not measured"),
    (Reading(place="far end", vacuum_inhg=24.5, **LEDGE, **stamp()), "far end reads 24.5 inHg"),
    (
        Reading(place="head", pipe="dry", vacuum_kpa=83, note="loop\nat 3", **LEDGE, **stamp()),
        "head, dry pipe reads 83 kPa: loop at 3",
    ),
    (Reading(place="pump", who="Wim", vacuum_inhg=25, **stamp()), "pump reads 25 inHg"),
    (
        Leak(text="by the gate", lateral="3", cause="fitting", lost_kpa=8, **LEDGE, **stamp()),
        "leak: lateral 3, fitting, by the gate, 8 kPa lost",
    ),
    (
        Leak(text="third lateral, chewed", lateral="3", cause="chewed", **LEDGE, **stamp()),
        "leak: third lateral, chewed",
    ),
    (Valve(state="open", heard=True, **LEDGE, **stamp()), "valve test: air heard"),
    (
        Valve(state="shut", heard=False, reason="ice", **LEDGE, **stamp()),
        "valve test: no air heard, left shut: ice",
    ),
    (Leak(text="hiss\nby the gate", **LEDGE, **stamp()), "leak: hiss by the gate"),
    (Leak(text="split", lost_inhg=2.5, **LEDGE, **stamp()), "leak: split, 2.5 inHg lost"),
    (Leak(text="split", lost_inhg=0, **LEDGE, **stamp()), "leak: split, 0 inHg lost"),
    (Valve(state="shut", reason="ice\nin it", **LEDGE, **stamp()), "valve shut: ice in it"),
    (Valve(state="open", **LEDGE, **stamp()), "valve opened"),
    (Repair(who="Wim", text="new\nfitting", **stamp()), "promised: new fitting"),
    (
        Repair(who="Wim", text="new fitting", due=TUESDAY, **stamp()),
        "promised: new fitting, by Tue 9 Feb",
    ),
    (Settle(entry="k7f2q-9", who="Wim", **stamp()), "k7f2q-9 is seen to"),
    (
        Settle(entry="k7f2q-9", who="Wim", text="ash is\ndown", **stamp()),
        "k7f2q-9 is seen to: ash is down",
    ),
    (Spouts(who="Wim", move="issued", count=1820, **stamp()), "1,820 spouts issued"),
    (Spouts(who="Wim", move="returned", count=12, **stamp()), "12 spouts returned"),
    (
        Spouts(who="Wim", move="scrapped", count=3, note="cracked\nall", **stamp()),
        "3 spouts scrapped: cracked all",
    ),
    (Out(who="Wim", due=NOW, **stamp()), "out at 16:30, due back 16:30"),
    (Out(who="Wim", due=NOW, note="far\nend", **stamp()), "out at 16:30, due back 16:30: far end"),
    (Back(who="Wim", **stamp()), "back at 16:30"),
    (Back(who="Wim", note="wet\nthrough", **stamp()), "back at 16:30: wet through"),
    (
        Sheet(sheet=1820, block="Ledge", task="drops", lines=("Cliff",), **stamp()),
        "sheet 1820 printed, drop replacement",
    ),
    (
        Sheet(sheet=7, block="Ledge", task="burning", lines=("Cliff",), **stamp()),
        "sheet 7 printed, burning",
    ),
    (
        HandOff(who="Wim", to="Oda", blocks=("Ledge", "Creek"), severity="calm", **stamp()),
        "hands off Ledge, Creek to Oda, 0 items",
    ),
    (
        HandOff(
            who="Wim",
            blocks=("Ledge",),
            severity="danger",
            items=(Passed(about=About(what="leak")),),
            **stamp(),
        ),
        "hands off Ledge to whoever comes on, 1 item",
    ),
    (Taken(handoff="k7f2q-9", who="Oda", **stamp()), "took hand-off k7f2q-9"),
    (
        WriteOff(
            about=About(what="not tapped", block="Ledge", line="Cliff", task="tapping"),
            amount=3,
            who="Wim",
            reason="dead\nlimbs",
            **stamp(),
        ),
        "written off: not tapped, Ledge / Cliff: dead limbs",
    ),
    (
        WriteOff(about=About(what="spouts", who="Wim"), who="Oda", reason="in the mud", **stamp()),
        "written off: spouts, Wim: in the mud",
    ),
    (
        WriteOff(
            about=About(what="sheet", block="Ledge", entry="k7f2q-9"),
            who="Oda",
            reason="burnt",
            **stamp(),
        ),
        "written off: sheet, Ledge, k7f2q-9: burnt",
    ),
    (Close(who="Oda", **stamp()), "season closed"),
    (Close(who="Oda", note="good\nyear", **stamp()), "season closed: good year"),
    (Person(person="Ilse", **stamp()), "Ilse on the crew"),
    (Target(task="tapping", wanted=TUESDAY, **stamp()), "tapping, wanted 2027-02-09"),
    (
        Target(task="tapping", wanted=TUESDAY, planned=1820, **stamp()),
        "tapping, wanted 2027-02-09, 1,820 planned",
    ),
    (Setting(setting="workdays", value="MO,TU", **stamp()), "workdays = MO,TU"),
    (vacuum_checklist(), "checklist in force: vacuum tubing"),
    (Checklist(checklist="ours", tasks=(), **stamp()), "checklist in force: ours"),
]


@pytest.mark.parametrize(("entry", "words"), SAID)
def test_what_an_entry_says(entry: AnyEntry, words: str) -> None:
    assert describe(entry, PLAN) == words


def test_every_kind_of_entry_says_something() -> None:
    assert {entry.kind for entry, _words in SAID} == set(KINDS)


def test_a_target_that_says_only_how_many() -> None:
    entry = Target(task="tapping", block="Ledge", line="Cliff", planned=40, **stamp())
    assert "40" in describe(entry, PLAN)
    assert told(entry, PLAN).endswith("Ledge / Cliff")


@pytest.mark.parametrize(
    ("entry", "words"),
    [
        (count("Ledge/Cliff", "tapping", 80, who="Wim"), "Wim, 80 taps, Ledge / Cliff"),
        (Note(text="owl in the box", block="Ledge", **stamp()), "owl in the box, Ledge"),
        (Note(text="thaw", **stamp()), "thaw"),
        (Valve(state="shut", **LEDGE, **stamp()), "Wim, valve shut, Ledge / Cliff"),
        (
            Out(who="Wim", block="Creek", due=NOW, **stamp()),
            "Wim, out at 16:30, due back 16:30, Creek",
        ),
        (Back(who="Wim", **stamp()), "Wim, back at 16:30"),
    ],
)
def test_an_entry_with_whose_it_is_and_where(entry: AnyEntry, words: str) -> None:
    assert told(entry, PLAN) == words


def test_what_is_saved_says_how_far_the_line_has_come(season: Season) -> None:
    def said(entry: AnyEntry) -> str:
        (kept,) = season.record(entry)
        return saved(kept, season.ledger).partition(" saved: ")[2]

    assert said(count("Ledge/Cliff", "tapping", 40)) == "Oda, 40 taps, Ledge / Cliff (40 of 42)"
    assert said(count("Ledge/Cliff", "tapping", 5)) == (
        "Oda, 5 taps, Ledge / Cliff (45 of 42) ! 3 over the plan"
    )
    assert said(count("Creek/Ford", "tensioning", 9)) == "Oda, 9 ties, Creek / Ford"  # no plan
    assert said(finish("Ledge/Cliff", "tapping")) == "Oda, finished tapping, Ledge / Cliff"


@pytest.mark.parametrize(
    ("tally", "words"),
    [
        (Tally(planned=142, done=62, left=80), "62 of 142 taps, left 80"),
        (Tally(planned=1820, done=1000, left=820), "1,000 of 1,820 taps, left 820"),
        (Tally(planned=42, done=40, short=2), "40 of 42 taps, left 0, 2 short"),
        (Tally(planned=42, done=45, over=3), "45 of 42 taps, left 0, 3 over"),
        (Tally(planned=10, done=4, left=6, unknown=1), "4 of 10 taps, left 6"),
    ],
)
def test_a_tally_in_words(tally: Tally, words: str) -> None:
    assert count_words(tally, PLAN.find_task("tapping")) == words


def test_a_tally_without_a_plan_says_that_it_is_unknown() -> None:
    words = count_words(Tally(done=4, over=4, unknown=1), PLAN.find_task("tensioning"))
    assert words.startswith("4 ties, ")
    assert "unknown" in words


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (0.25, "1/4"),
        (0.3125, "5/16"),
        (0.4375, "7/16"),
        (0.5, "1/2"),
        (0.75, "3/4"),
        (1, "1"),
        (1.25, "1-1/4"),
        (1.5, "1-1/2"),
        (2.3, "2.3"),
        (25.4 / 25.4, "1"),
        (31.75 / 25.4, "1-1/4"),
    ],
)
def test_an_inch_size_as_it_is_printed_on_the_part(value: float, words: str) -> None:
    assert inches(value) == words


@pytest.mark.parametrize(
    ("of", "us", "metric"),
    [
        (line(), "single", "single"),
        (
            line(layout="pair", diameter_in=1.5, length_ft=780, slope_pct=4),
            "wet/dry pair, 1-1/2 in, 780 ft, 4 %",
            "wet/dry pair, 38 mm, 238 m, 4 %",  # 38.1 mm, 237.7 m: 25.4 mm/in, 0.3048 m/ft
        ),
        (
            line(diameter_mm=25.4, length_m=1000, slope_pct=2.5),
            "single, 1 in, 3,281 ft, 2.5 %",  # 3,280.8 ft
            "single, 25 mm, 1,000 m, 2.5 %",
        ),
        (line(slope_pct=0), "single, 0 %", "single, 0 %"),
    ],
)
def test_the_size_of_a_line_as_the_reader_likes(of: Line, us: str, metric: str) -> None:
    """The factors are exact by definition (NIST SP 811)."""
    assert size(of, "us") == us
    assert size(of, "metric") == metric


@pytest.mark.parametrize(
    ("done", "planned", "drawn"),
    [
        (0, 100, "........"),
        (1, 1000, "=......."),  # empty only when nothing is done
        (50, 100, "====...."),
        (99, 100, "=======."),  # full only when all is
        (100, 100, "========"),
        (130, 100, "========"),
        (0, 0, "........"),
        (5, 0, "........"),
    ],
)
def test_a_bar(done: int, planned: int, drawn: str) -> None:
    assert bar(done, planned, 8) == drawn


def test_a_standing_is_a_mark_and_a_word() -> None:
    assert {standing: (MARKS[standing], standing_word(standing)) for standing in Standing} == {
        Standing.NOT_BEGUN: ("[ ]", "not begun"),
        Standing.UNDER_WAY: ("[>]", "under way"),
        Standing.DONE: ("[x]", "done"),
        Standing.ASIDE: ("[-]", "set aside"),
        Standing.NOTHING_DUE: ("   ", "nothing due"),
    }


@pytest.mark.parametrize(
    ("setting", "own", "default"),
    [
        ("tie_spacing_ft", 30.0, "35"),
        ("growth_dbh_in", 0.08, "0.115"),
        ("own_most_taps", 3, "2"),
        ("tap_rule", "ontario", "conservative"),
        ("season_ends", "2027-06-30", "2027-08-31"),
    ],
)
def test_a_value_comes_from_its_source_or_from_who_changed_it(
    season: Season, setting: str, own: float | str, default: str
) -> None:
    source = BY_NAME[setting].source
    assert rule_source(season.plan, setting) == source
    (entry,) = season.record(Setting(setting=setting, value=own, **stamp()))
    assert rule_source(season.plan, setting) == (
        f"the crew's own ({entry.id}, Oda, Tue 9 Feb 2027); by default {default}: {source}"
    )
    season.strike(entry.id, "as it was", by="Oda", now=NOW)
    assert rule_source(season.plan, setting) == source


def test_places_and_signatures() -> None:
    assert place("Ledge", "Cliff") == "Ledge / Cliff"
    assert place("Sugar Lot", "Sugar Lot") == "Sugar Lot"  # a block without mapped lines
    assert place("Ledge", "") == "Ledge"
    assert place("", "") == ""
    assert signed("ice,\n then  mud", "Wim", NOW.date()) == "ice, then mud (Wim, Tue 9 Feb)"
