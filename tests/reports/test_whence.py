"""Where a number comes from: every kind of plan names its entry, its rule and the rule's source.

Quillby Hollow (`tests.conftest`): Cliff has 42 taps, 700 ft and drops of 2024; Ford was never
measured and nobody knows how old its drops are.
"""

from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from fieldbook.book.book import Book
from fieldbook.book.entry import (
    Block,
    Checklist,
    Entry,
    Line,
    Run,
    Target,
    Task,
    TreeCount,
    Trees,
)
from fieldbook.reports.forecast import forecast
from fieldbook.reports.items_whence import items_whence
from fieldbook.reports.whence import line_whence, season_whence, task_whence
from fieldbook.season.checklist import load_template
from fieldbook.season.items import open_items
from fieldbook.season.season import Season
from fieldbook.season.tally import read_tally
from tests.conftest import DESK, NOW, PLAN, aside, count, finish, stamp
from tests.reports import TUESDAY
from tests.reports.helpers import rules, trees
from tests.reports.test_round import without
from tests.season.woods import leak, valve


def line_of(season: Season, where: str) -> Line:
    block, name = where.split("/")
    line = season.plan.line(block, name)
    assert line is not None
    return line


def told(season: Season, where: str, task: str = "tapping", units: str = "us") -> dict[str, Any]:
    """The page of a line: what each head says, by the head."""
    return dict(line_whence(season, line_of(season, where), season.plan.find_task(task), units))


def cell(season: Season, block: str, task: str = "tapping") -> dict[str, Any]:
    """The page of a cell of the board."""
    outlook = forecast(season, TUESDAY)
    return dict(task_whence(season, season.plan.find_task(task), block, outlook))


def by(entry: Entry, day: str = "Tue 9 Feb 2027") -> str:
    return f"{entry.id}, Oda, {day}"


def change(season: Season, where: str, **fields: Any) -> Line:
    """The plan says something else of a line."""
    season.record(replace(line_of(season, where), id="", tick=0, **fields))
    return line_of(season, where.split("/")[0] + "/" + fields.get("line", where.split("/")[1]))


# --- planned -----------------------------------------------------------------------------------


def test_the_lines_own_number(season: Season) -> None:
    cliff = line_of(season, "Ledge/Cliff")
    assert told(season, "Ledge/Cliff")["Planned 42 taps"] == (
        f"the line's own number in the plan ({by(cliff)})",
    )


@pytest.mark.parametrize("task", ["drops", "tapping", "tensioning", "leaks", "pulling"])
def test_a_number_wanted_goes_before_every_other(season: Season, task: str) -> None:
    wanted = Target(task=task, block="Ledge", line="Cliff", planned=7, **stamp("2027-01-05"))
    (target,) = season.record(wanted)
    counts = season.plan.find_task(task).counts
    assert told(season, "Ledge/Cliff", task)[f"Planned 7 {counts}"] == (
        f"a number wanted for this line ({by(target, 'Tue 5 Jan 2027')})",
    )


def test_a_date_wanted_is_no_number(season: Season) -> None:
    season.record(
        Target(task="tapping", block="Ledge", line="Cliff", wanted=date(2027, 2, 1), **stamp())
    )
    assert "own number" in told(season, "Ledge/Cliff")["Planned 42 taps"][0]


def test_taps_wanted_for_a_line_are_what_its_drops_are_planned_by(season: Season) -> None:
    wanted = Target(task="tapping", block="Ledge", line="Cliff", planned=7, **stamp("2027-01-05"))
    (target,) = season.record(wanted)
    assert told(season, "Ledge/Cliff", "drops")["Planned 7 drops"] == (
        "one for each tap if they are due, none if not",
        f"a number of taps wanted for this line ({by(target, 'Tue 5 Jan 2027')})",
    )
    assert "Planned 60 taps" in told(season, "Ledge/Cedar")


def test_as_many_as_the_trees_allow(season: Season) -> None:
    change(season, "Ledge/Cliff", taps_planned=None)
    assert told(season, "Ledge/Cliff")["Planned ? taps"] == (
        "the plan has no number, and nobody tallied the trees",
    )
    (tally,) = season.record(trees("Ledge/Cliff", "12:30 18:5", day="2024-09-20"))
    page = told(season, "Ledge/Cliff")
    taken = by(tally, "Fri 20 Sep 2024")
    assert page["Planned 40 taps"] == (
        f"the plan has no number: as many as the trees allow ({taken})",
    )
    rule, classes, every_rule = page["Trees allow 40 taps"][:3]
    assert rule == (
        "rule conservative: North American Maple Syrup Producers Manual, recommended table; "
        "van den Berg et al. 2012 (NSRC report) for high vacuum"
    )
    assert classes == f"35 trees by diameter: 12:30 18:5 ({taken})"
    assert every_rule.startswith("by every rule: traditional 40, conservative 40, ")


def test_drops_due_and_not_due(season: Season) -> None:
    cliff, cedar = line_of(season, "Ledge/Cliff"), line_of(season, "Ledge/Cedar")
    rule = (
        "replaced at 3 years: Perkins 2014; UVM: drops every 3 years or so, one third a year, "
        "new spouts every year"
    )
    page = told(season, "Ledge/Cliff", "drops")
    assert page["Planned 42 drops"] == (
        "one for each tap if they are due, none if not",
        f"the line's own number in the plan ({by(cliff)})",
    )
    assert page["Drops 3 years old"] == (f"hung for 2024: due this season ({by(cliff)})", rule)
    page = told(season, "Ledge/Cedar", "drops")
    assert "Planned 0 drops" in page
    assert page["Drops 1 year old"] == (f"hung for 2026: not due this season ({by(cedar)})", rule)
    page = told(season, "Creek/Ford", "drops")
    assert "Planned 120 drops" in page
    assert page["Drops of unknown age"] == (
        "counted as due: nobody can say they are not",
        rule,
    )


def test_side_ties(season: Season) -> None:
    cliff, ford = line_of(season, "Ledge/Cliff"), line_of(season, "Creek/Ford")
    assert told(season, "Ledge/Cliff", "tensioning")["Planned 20 ties"] == (  # 700 over 35
        f"the line's length ({by(cliff)}) over the spacing, 35 ft",
        "30-40 ft: common practice, no source",
    )
    assert told(season, "Creek/Ford", "tensioning")["Planned ? ties"] == (
        f"the plan does not say how long the line is ({by(ford)})",
    )


def test_one_a_line(season: Season) -> None:
    assert told(season, "Ledge/Cliff", "leaks")["Planned 1 readings"] == ("one for each line",)


def test_spouts_in_trees(season: Season) -> None:
    (first, second) = season.record(
        count("Ledge/Cliff", "tapping", 30, day="2027-02-08"), count("Ledge/Cliff", "tapping", 8)
    )
    assert told(season, "Ledge/Cliff", "pulling")["Planned 38 spouts"] == (
        "one for each tap drilled on the line",
        f"{first.id} 30 taps, Oda, Mon 8 Feb",
        f"{second.id} 8 taps, Oda, Tue 9 Feb",
    )


def test_a_rule_that_the_crew_changed_is_theirs_and_not_the_sources(season: Season) -> None:
    cycle, spacing, peak = season.record(
        *rules(drop_cycle_years=4, tie_spacing_ft=50, peak_gph_per_tap=0.3)
    )
    change(season, "Ledge/Cliff", diameter_in=1.0, slope_pct=2.0)
    page = told(season, "Ledge/Cliff", "tensioning")
    assert page["Drops 3 years old"][1].startswith(
        f"replaced at 4 years: the crew's own ({by(cycle)}); by default 3: Perkins 2014; UVM"
    )
    assert page["Planned 14 ties"][1] == (
        f"the crew's own ({by(spacing)}); by default 35: 30-40 ft: common practice, no source"
    )
    (drains,) = [says for head, says in page.items() if head.startswith("Drains")]
    assert f"0.3 gal an hour and tap: the crew's own ({by(peak)}); by default 0.5: " in drains[0]


def test_growth_that_the_crew_changed_is_theirs(season: Season) -> None:
    (growth,) = season.record(*rules(growth_dbh_in=0.2))
    season.record(trees("Ledge/Cliff", "11.7:1 12:60"))  # 12.1 in within two years
    assert told(season, "Ledge/Cliff")["Trees allow 60 taps"][-1].startswith(
        "1 tree is due to be measured again, at 0.2 in of growth a year: "
        f"the crew's own ({by(growth)}); by default 0.115: van den Berg"
    )


def test_a_rule_that_says_what_the_default_does_has_the_defaults_source(season: Season) -> None:
    season.record(*rules(drop_cycle_years=3))
    says = told(season, "Ledge/Cliff")["Drops 3 years old"]
    assert says[1].startswith("replaced at 3 years: Perkins 2014")


# --- done, and the season before ---------------------------------------------------------------


def test_done_is_the_counts_that_stand_and_nothing_else(season: Season) -> None:
    kept, wrong = season.record(
        count("Ledge/Cliff", "tapping", 30, who="Wim", hours=1.5),
        count("Ledge/Cliff", "tapping", 40),
    )
    season.strike(wrong.id, "wrong line", by="Oda", now=NOW)
    season.record(aside("Ledge/Cliff", "tapping", "ice"), finish("Ledge/Cliff", "tapping", "ice"))
    assert told(season, "Ledge/Cliff")["Done 30 taps"] == (
        f"{kept.id} 30 taps, 1.5 h, Wim, Tue 9 Feb",
    )
    assert told(season, "Ledge/Cedar")["Done 0 taps"] == ("nothing recorded here yet",)


def test_last_season_where_there_was_one(season: Season, tmp_path: Path) -> None:
    assert not [head for head in told(season, "Ledge/Cliff") if head.startswith("Last season")]
    before = Book.new(tmp_path / "older", name="Quillby Hollow", year=2026, desk=DESK)
    last = Season.begin(before, "vacuum", by="Oda", now=NOW)
    last.record(*PLAN)
    last.record(count("Ledge/Cliff", "tapping", 39, day="2026-02-10"))
    before.close()
    book = Book.begin_season(before.path, 2027, desk=DESK)
    now = Season.begin(book, "vacuum", by="Oda", now=NOW)
    now.record(*PLAN)
    assert told(now, "Ledge/Cliff")["Last season 39"] == (
        "counts of season 2026 on the line of this name",
    )
    book.close()


# --- what a crew does not have -----------------------------------------------------------------


def test_where_no_task_counts_drops_nothing_is_said_of_their_age(season: Season) -> None:
    heads = list(told(season, "Ledge/Cliff"))
    without(season, "drops")
    assert list(told(season, "Ledge/Cliff")) == [h for h in heads if h != "Drops 3 years old"]


def test_where_no_task_counts_readings_nothing_is_said_of_air(season: Season) -> None:
    change(season, "Ledge/Cliff", diameter_in=1.0, slope_pct=2.0)
    heads = list(told(season, "Ledge/Cliff"))
    (air,) = [head for head in heads if head.startswith("Lets the air of ")]
    without(season, "leaks")
    assert list(told(season, "Ledge/Cliff")) == [head for head in heads if head != air]


# --- what it carries ---------------------------------------------------------------------------


def test_a_line_that_was_measured_says_what_it_carries_and_by_which_sums(season: Season) -> None:
    change(season, "Ledge/Cliff", diameter_in=1.0, slope_pct=2.0)
    page = told(season, "Ledge/Cliff")
    drains, airs, sags = (
        next(says for head, says in page.items() if head.startswith(word))
        for word in ("Drains", "Lets", "Sags")
    )
    assert drains[0].startswith("single, 1 in, 700 ft, 2 %, at 0.5 gal an hour and tap: ")
    assert "Manning's formula" in drains[1]
    assert "(Leduc 2019)" in airs[0]
    assert "1 CFM for 100 taps (UVM, OSU, Cornell)" in airs[1]
    assert "Darcy-Weisbach" in airs[2]
    assert sags[0].startswith("full of sap, at 300 lb: from memory")
    assert sags[-1].startswith("! Tensioned wire and come-along: stand clear")


def test_the_size_is_told_as_the_reader_likes_it(season: Season) -> None:
    change(season, "Ledge/Cliff", diameter_in=1.0, slope_pct=2.0)
    page = told(season, "Ledge/Cliff", units="metric")
    (drains,) = [says for head, says in page.items() if head.startswith("Drains")]
    assert drains[0].startswith("single, 25 mm, 213 m, 2 %")  # 25.4; 700 x 0.3048 = 213.4


def test_what_wants_a_look_stands_there_with_a_mark(season: Season) -> None:
    change(season, "Ledge/Cliff", length_ft=1200.0)
    assert told(season, "Ledge/Cliff")["Wants a look"] == ("! 1,200 ft: 200 over 1,000 ft",)  # UNH


def test_trees_to_measure_again_are_told_only_where_there_are_some(season: Season) -> None:
    # By 0.115 in a year a tree of 11.8 in has grown to the first limit of 12 in within two years.
    season.record(trees("Ledge/Cliff", "11.8:1 12:60"), trees("Ledge/Cedar", "12:70"))
    assert told(season, "Ledge/Cliff")["Trees allow 60 taps"][-1].startswith(
        "1 tree is due to be measured again, at 0.115 in of growth a year: van den Berg"
    )
    assert "measured again" not in " ".join(told(season, "Ledge/Cedar")["Trees allow 70 taps"])


SIZES = st.none() | st.floats(0.5, 4)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    diameter_in=SIZES,
    dry_in=SIZES,
    length_ft=st.none() | st.floats(1, 5000),
    slope_pct=st.none() | st.floats(0, 60),
    taps_planned=st.none() | st.integers(0, 2000),
    drops_hung=st.none() | st.integers(1990, 2028),
    layout=st.sampled_from(["single", "pair"]),
    tally=st.sampled_from(
        [
            (),
            (TreeCount(dbh_in=12, count=0),),  # of no tree: an older book may hold it
            read_tally("9:4"),
            read_tally("12:40 30cm:12 38g:4"),
        ]
    ),
)
def test_whatever_the_plan_says_of_a_line_every_task_has_a_page(
    season: Season, tally: tuple[TreeCount, ...], **says: Any
) -> None:
    odd = Line(block="Ledge", line="Odd", **says, **stamp())
    along = Trees(block="Ledge", line="Odd", classes=tally, **stamp())
    # As if recorded: the preview is made of what is on disk, each time anew.
    season.ledger = season.preview([odd, *([along] if tally else [])])
    season.plan = season.ledger.plan
    for task in season.plan.tasks:
        planned = season.ledger.planned(odd, task)
        shown = "?" if planned is None else f"{planned:,}"
        for units in ("us", "metric"):
            heads = [head for head, _lines in line_whence(season, odd, task, units)]
            assert heads[0] == f"Planned {shown} {task.counts}"
            assert len(set(heads)) == len(heads)


# --- a cell of the board -----------------------------------------------------------------------


def test_a_cell_tells_its_sum_and_what_the_lines_are_planned_by(season: Season) -> None:
    season.record(count("Ledge/Cliff", "tapping", 30))
    assert cell(season, "Ledge")["Tapping: planned 102, done 30, left 72 taps"] == (
        "the lines of Ledge together: taps planned; w in the round tells each",
        "planned = done + left + short - over; what a finished line lacks is short",
    )


def test_a_cell_says_of_how_many_lines_nobody_knows_the_number(season: Season) -> None:
    page = cell(season, "Creek", "tensioning")
    assert page["Tensioning: planned 14, done 0, left 14 ties"][2:] == (
        "of 1 line nobody knows how many are planned: what is done there is over",
    )
    change(season, "Creek/Spring", length_ft=None)
    page = cell(season, "Creek", "tensioning")
    assert page["Tensioning: planned 3, done 0, left 3 ties"][2:] == (
        "of 2 lines nobody knows how many are planned: what is done there is over",
    )


def test_a_date_wanted_names_the_checklist_or_the_closest_target(season: Season) -> None:
    force = season.plan.checklist
    assert force is not None
    assert cell(season, "Ledge")["Wanted Sat 20 Feb"] == (f"the checklist in force ({by(force)})",)
    (everywhere,) = season.record(Target(task="tapping", wanted=date(2027, 2, 15), **stamp()))
    assert cell(season, "Ledge")["Wanted Mon 15 Feb"] == (
        f"a target of the crew's ({by(everywhere)})",
    )
    here = Target(task="tapping", block="Ledge", wanted=date(2027, 2, 12), **stamp())
    (closest,) = season.record(here)
    assert cell(season, "Ledge")["Wanted Fri 12 Feb"] == (
        f"a target of the crew's ({by(closest)})",
    )
    assert "Wanted Mon 15 Feb" in cell(season, "Creek")


def test_a_task_without_a_date_is_not_wanted(season: Season) -> None:
    own = Task(key="signs", title="Signs", short="Signs", counts="signs", planned="one a line")
    season.record(Checklist(checklist="ours", tasks=(own,), **stamp()))
    page = cell(season, "Ledge", "signs")
    assert "Signs: planned 2, done 0, left 2 signs" in page
    assert not [head for head in page if head.startswith("Wanted")]


def test_before_a_task_is_begun_it_takes_days_and_then_it_has_dates(season: Season) -> None:
    (takes,) = [head for head in cell(season, "Ledge") if head.startswith("Takes")]
    ahead = next(x for x in forecast(season, TUESDAY).tasks if x.task == "tapping")
    assert takes.startswith(f"Takes {ahead.days_likely} workday")
    assert takes.endswith(f"nine times in ten no more than {ahead.days_late}")
    season.record(count("Ledge/Cliff", "tapping", 40, hours=1))
    page = cell(season, "Ledge")
    assert not [head for head in page if head.startswith("Takes")]
    (task,) = [says for head, says in page.items() if head.startswith("Tapping done by")]
    assert "resampling of recorded days (bootstrap: Efron 1979)" in task[3]
    assert [head for head in page if head.startswith("Ledge done by")]


def test_what_is_first_and_why(season: Season) -> None:
    order = forecast(season, TUESDAY).order
    head = f"First: {order.turns[0].block}, {order.turns[0].title.lower()}"
    assert cell(season, "Ledge")[head] == (
        order.why,
        "Lawler 1973 (1|prec|Lmax); Jackson 1955 where no task waits for another",
    )


def test_when_all_is_done_there_is_no_date_and_nothing_first(season: Season) -> None:
    for task in season.plan.tasks:
        for line in season.plan.lines:
            season.record(finish(f"{line.block}/{line.line}", task.key))
    assert list(cell(season, "Ledge")) == [
        "Tapping: planned 102, done 0, left 0 taps",
        "Wanted Sat 20 Feb",
    ]


def test_a_block_without_lines(season: Season) -> None:
    season.record(Block(block="Bare", order=3, **stamp()))
    for task in season.plan.tasks:
        outlook = forecast(season, TUESDAY)
        head, _lines = task_whence(season, task, "Bare", outlook)[0]
        assert head == f"{task.title}: planned 0, done 0, left 0 {task.counts}"


# --- the season ----------------------------------------------------------------------------------


def test_the_season_tells_every_task_what_is_first_and_its_sap(season: Season) -> None:
    season.record(count("Ledge/Cliff", "tapping", 30), Run(sap_gal=60, brix=2, **stamp()))
    page = dict(season_whence(season, forecast(season, TUESDAY)))
    for task in season.plan.tasks:
        tally = season.ledger.cell(task).tally
        head = (
            f"{task.title}: planned {tally.planned:,}, done {tally.done:,}, left {tally.left:,} "
            f"{task.counts}"
        )
        assert page[head][0].startswith("the lines of all blocks together: ")
    assert [head for head in page if head.startswith("First: ")]
    sap = page["Sap 60.0 gal on 1 day, 2.0 gal a tap, 2.0 Brix"]
    assert sap[0] == "1 run in the logbook; what was not measured is blank, not zero"
    # 60 / (87.1 / 2 - 0.32): revised rule of 86 (Perkins & Isselhardt; its -0.32 from memory)
    assert sap[2:] == (
        "Syrup 1.4 gal expected of it",
        "expected: revised rule of 86 (Perkins & Isselhardt); its -0.32 from memory",
    )


def test_a_run_that_was_not_measured_is_a_run_in_the_logbook(season: Season) -> None:
    season.record(Run(sap_gal=60, **stamp()), Run(brix=2, **stamp("2027-02-08")))
    page = dict(season_whence(season, forecast(season, TUESDAY)))
    # No tap is in, so it is over the 257 planned.
    assert page["Sap 60.0 gal on 1 day, 1 not measured, 0.2 gal a tap"][:2] == (
        "2 runs in the logbook; what was not measured is blank, not zero",
        "a tap: over 257 taps in, or planned where none is in",
    )


def test_a_date_wanted_in_one_block_is_not_the_seasons(season: Season) -> None:
    here = Target(task="tapping", block="Ledge", wanted=date(2027, 2, 12), **stamp())
    season.record(here)
    heads = [head for head, _lines in season_whence(season, forecast(season, TUESDAY))]
    assert "Wanted Sat 20 Feb" in heads
    assert "Wanted Fri 12 Feb" not in heads


def test_the_season_has_the_dates_of_a_task_and_of_no_block(season: Season) -> None:
    season.record(count("Ledge/Cliff", "tapping", 40, hours=1))
    heads = [head for head, _lines in season_whence(season, forecast(season, TUESDAY))]
    assert len([head for head in heads if head.startswith("Tapping done by")]) == 1
    assert not [head for head in heads if head.startswith(("Ledge done by", "Creek done by"))]


def test_without_a_run_there_is_nothing_to_say_of_sap(season: Season) -> None:
    told = season_whence(season, forecast(season, TUESDAY))
    assert not [head for head, _lines in told if head.startswith("Sap")]


# --- what open items cost ------------------------------------------------------------------------


def sap_of(season: Season) -> list[str]:
    """What the page of the open items says of the sap that is lost in a day."""
    return list(
        dict(items_whence(season, open_items(season.ledger, NOW)))["Sap that is lost in a day"]
    )


def test_what_open_items_cost_with_the_numbers_in(season: Season) -> None:
    """0.5 gal at no vacuum is 1.125 at 25 inHg: 45 of 40 taps. A leak of 3.5 inHg takes 3.5."""
    season.record(
        count("Ledge/Cliff", "tapping", 40),
        valve("Ledge/Cliff", "shut", "ice"),
        leak("Ledge/Cliff", lost_inhg=3.5),
    )
    said = sap_of(season)
    assert said[1:3] == [
        "Sap of a tap, at the pump's vacuum: 0.5 gal x (1 + 5 % x 25) / (1 + 5 % x 0) = 1.125 gal",
        "A leak: taps x 0.5 gal / (1 + 5 % x 0) x 5 % x inHg lost, where that was read.",
    ]
    assert "45.0 gal = 40 x 1.125: Ledge / 1 Cliff: valve shut: ice" in said
    assert "3.5 gal: Ledge / 1 Cliff: leak: hiss" in said  # 40 x 0.5 x 5 % x 3.5


def test_a_crew_that_measured_its_sap_under_vacuum(season: Season) -> None:
    season.record(*rules(sap_at_inhg=20.0), count("Ledge/Cliff", "tapping", 40))
    season.record(valve("Ledge/Cliff", "shut"), leak("Ledge/Cliff", lost_inhg=3.5))
    said = sap_of(season)
    assert said[1].endswith("0.5 gal x (1 + 5 % x 25) / (1 + 5 % x 20) = 0.5625 gal")
    assert "22.5 gal = 40 x 0.5625: Ledge / 1 Cliff: valve shut" in said
    assert any(line.startswith("1.8 gal: ") for line in said)  # half of 3.5: 1.75
    entry = season.plan.recorded("sap_at_inhg")
    assert entry is not None
    row = said.index("20 inHg is what a tap gives that under (sap_at_inhg)")
    assert said[row + 1].startswith(f"  the crew's own ({by(entry)}); by default 0: ")


def test_without_a_pump_sap_is_what_the_book_says(season: Season) -> None:
    title, tasks = load_template("gravity")
    season.record(Checklist(checklist=title, tasks=tasks, **stamp()))
    assert sap_of(season) == [
        "A shut valve: taps of the line x sap of a tap; a drop not tapped: sap of a tap.",
        "0.5 gal a tap on a day when sap runs (sap_gal_per_tap_day)",
        "  from memory: put in what is true of your woods",
        "source: arithmetic on the numbers given",
    ]
