"""The demo season: what it must show, and that building it again changes nothing.

Numbers here can be added up by hand from the tables in `demo_builder`.
"""

import math
from collections import defaultdict
from collections.abc import Callable
from datetime import date, time, timedelta
from itertools import pairwise
from pathlib import Path

import pytest

from fieldbook.book.book import Book
from fieldbook.book.entry import Aside, Count, Finish, Reopen, Step, Strike, Work
from fieldbook.reports.sap import sap_of
from fieldbook.reports.trees import allowance
from fieldbook.resources import resource
from fieldbook.season.checking import check_season
from fieldbook.season.ledger import Cell, Standing, Tally
from fieldbook.season.season import Season
from tests.demo_builder import (
    BOOK_ID,
    FIRST_DESK,
    ON_HAND,
    SAP_SEASONS,
    SECOND_DESK,
    SETTINGS,
    SHED_DESK,
    STANDS_STILL,
    TALLIED,
    build,
)
from tests.demo_woods import TODAY

DEMO = resource("demo_season")
YEARS = (2025, 2026, 2027)
PLANNED_2027 = {
    "Upper Ridge": (11, 1820),
    "Brook Bend": (12, 1650),
    "Old Orchard": (7, 1210),
    "Sugar Hollow": (8, 1960),
    "North Slope": (9, 2320),
    "Stone Fence": (7, 1640),
    "Far Corner": (6, 1360),
}
"""Lines and taps of each block: 60 lines, 11,960 taps."""


def open_season(year: int) -> Season:
    return Season(Book.open(DEMO, year=year))


@pytest.fixture(scope="module")
def now() -> Season:
    """Season 2027, only read."""
    return open_season(2027)


@pytest.fixture(scope="module", params=YEARS)
def season(request: pytest.FixtureRequest) -> Season:
    """Each of the three seasons in turn, only read."""
    return open_season(request.param)


def cell(season: Season, task: str, block: str, line: str = "") -> Cell:
    found = season.plan.find_task(task)
    if not line:
        return season.ledger.cell(found, block)
    return season.ledger.line_cell(season.plan.find_line(block, line), found)


def works(season: Season) -> list[Work]:
    """The work that stands: what is struck is left out."""
    return [e for e in season.log() if isinstance(e, Work) and e.id not in season.ledger.struck]


def counts(season: Season) -> list[Count]:
    return [e for e in works(season) if isinstance(e, Count)]


# --- the build ---


def built_files(folder: Path) -> dict[str, bytes]:
    """What the builder writes, by path from the book's folder."""
    paths = [folder / "book.toml", folder / "INVENTED.txt"]
    paths += [path for year in YEARS for path in (folder / str(year)).rglob("*")]
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in paths}


def test_building_it_again_gives_the_same_bytes(tmp_path: Path) -> None:
    """If this fails after a change to the record or the checklist: python -m tests.demo_builder."""
    build(tmp_path)
    assert built_files(tmp_path) == built_files(DEMO)


def test_building_over_an_earlier_build_starts_afresh(tmp_path: Path) -> None:
    build(tmp_path)
    (tmp_path / "2027" / "desk-zzzzz.jsonl").write_bytes(b"left by somebody\n")
    build(tmp_path)
    assert built_files(tmp_path) == built_files(DEMO)


def test_another_book_is_never_built_over(tmp_path: Path) -> None:
    Book.new(tmp_path, name="Somebody's own", year=2027).close()
    before = sorted(tmp_path.rglob("*"))
    with pytest.raises(SystemExit, match="another book"):
        build(tmp_path)
    assert sorted(tmp_path.rglob("*")) == before


def test_it_says_that_it_is_invented() -> None:
    assert "invented" in (DEMO / "INVENTED.txt").read_text(encoding="utf-8")
    book = Book.open(DEMO)
    assert (book.name, book.id, book.year) == ("Harrow Hill", BOOK_ID, 2027)
    assert (book.today, book.time) == (TODAY, time(17, 5))


# --- all three seasons ---


def test_nothing_is_wrong_with_it(season: Season) -> None:
    assert [problem for problem in check_season(season, STANDS_STILL) if problem.grave] == []


def test_planned_is_done_and_left_and_short_less_over(season: Season) -> None:
    """For every line and task, and for every block and the season as sums of them."""
    for task in season.plan.tasks:
        total = Tally()
        for block, lines in season.plan.walk.items():
            of_block = Tally()
            for line in lines:
                t = season.ledger.line_cell(line, task).tally
                assert t.planned == t.done + t.left + t.short - t.over, (line.line, task.key)
                assert t.unknown == 0
                of_block += t
            assert season.ledger.cell(task, block).tally == of_block
            total += of_block
        assert season.ledger.cell(task).tally == total


def test_hours_are_of_a_working_day(season: Season) -> None:
    """Nobody counts on a Sunday, or more than a day holds; most say how long it took."""
    hours: dict[tuple[date, str], float] = defaultdict(float)
    for count in counts(season):
        assert count.day.weekday() != 6
        assert count.hours is None or 0 < count.hours <= 7
        hours[count.day, count.who] += count.hours or 0
    assert max(hours.values()) <= 7.5
    said = sum(count.hours is not None for count in counts(season))
    assert 0.75 < said / len(counts(season)) < 1


def test_it_is_keyed_in_on_the_evening_of_the_day(season: Season) -> None:
    """On the last day a little before five: there is a hand-off to prepare."""
    for entry in works(season):
        assert entry.noted.date() == entry.day
        assert entry.at.hour >= 7
        assert entry.at.hour < 16
        assert entry.noted.hour in ((16, 17) if entry.day == TODAY else (17,))
        assert entry.at.utcoffset() == entry.noted.utcoffset() == timedelta(hours=-5)
        assert entry.at.microsecond == entry.noted.microsecond == 0


def test_the_order_of_the_log_is_the_order_of_writing(season: Season) -> None:
    """Each desk saw the other's entries before it wrote: ticks go on without a twin."""
    assert [entry.tick for entry in season.log()] == list(range(1, len(season.log()) + 1))
    noted = [entry.noted for entry in season.log()]
    assert noted == sorted(noted)


def test_a_line_is_listened_to_and_pulled_after_it_is_tapped(season: Season) -> None:
    tapped = {(c.block, c.line): c.at for c in counts(season) if c.task == "tapping"}
    for count in counts(season):
        if count.task in ("leaks", "pulling"):
            assert count.at > tapped[count.block, count.line]


def test_the_crew_keeps_about_its_pace(season: Season) -> None:
    """Taps, drops and spouts a person-hour, from counts that say their hours."""
    for task, pace in {"drops": 30, "tapping": 45, "pulling": 90}.items():
        timed = [c for c in counts(season) if c.task == task and c.hours]
        if timed:
            mean = sum(c.count for c in timed) / sum(c.hours or 0 for c in timed)
            assert mean == pytest.approx(pace, rel=0.1), task


def test_lines_are_such_as_stand_in_the_woods(season: Season) -> None:
    """Slopes and lengths as mainlines have them; more taps want more pipe."""
    for line in season.plan.lines:
        assert line.diameter_in in (0.75, 1, 1.25, 1.5)
        assert 350 <= (line.length_ft or 0) <= 1150
        assert 2 <= (line.slope_pct or 0) <= 9
        taps = season.plan.taps(line) or 0
        assert 60 <= taps <= 380
        assert line.drops_hung is None or line.drops_hung < season.year
        assert line.diameter_in > 0.75 or taps <= 150
    for lines in season.plan.walk.values():
        assert [line.order for line in lines] == list(range(1, len(lines) + 1))


def test_side_ties_stand_about_every_35_feet(now: Season) -> None:
    """Brook pair: 780 ft over 35 ft is 22.3, so 23 ties."""
    assert cell(now, "tensioning", "Brook Bend", "Brook pair").tally.planned == 23
    ties = now.ledger.cell(now.plan.find_task("tensioning")).tally.planned
    assert ties == sum(math.ceil((line.length_ft or 0) / 35) for line in now.plan.lines)


# --- the past ---


@pytest.mark.parametrize("year", [2025, 2026])
def test_a_past_season_is_done_to_the_last_spout(year: int) -> None:
    season = open_season(year)
    for task in season.plan.tasks:
        assert season.ledger.cell(task).standing is Standing.DONE
        assert season.ledger.cell(task).tally.left == 0
    taps = season.ledger.cell(season.plan.find_task("tapping")).tally
    assert taps.short > 0, "several lines fell short"
    assert taps.over > 0, "one was over"
    assert 0.99 < taps.done / taps.planned < 1
    assert len({c.line for c in counts(season) if c.task == "pulling"}) == len([*season.plan.lines])


@pytest.mark.parametrize("year", [2025, 2026])
def test_every_line_that_fell_short_says_why(year: int) -> None:
    season = open_season(year)
    for task in season.plan.tasks:
        for line in season.plan.lines:
            if season.ledger.line_cell(line, task).tally.short:
                mark = season.ledger.record(line.block, line.line, task.key).mark
                assert isinstance(mark, Finish)
                assert mark.reason


def test_one_line_came_in_2026() -> None:
    names = [{line.line for line in open_season(year).plan.lines} for year in YEARS]
    assert [len(lines) for lines in names] == [59, 60, 60]
    assert names[1] - names[0] == {"Érablière pair"}
    assert names[1] == names[2]


def test_drops_replaced_in_a_season_are_hung_for_it(now: Season) -> None:
    """A line whose drops were hung for 2026 had them replaced in season 2026, and so on."""
    for year in (2025, 2026):
        past = open_season(year)
        replaced = {count.line for count in counts(past) if count.task == "drops"}
        assert replaced == {line.line for line in now.plan.lines if line.drops_hung == year}
    assert {line.drops_hung for line in now.plan.lines} == {2023, 2024, 2025, 2026, None}
    assert sum(line.drops_hung is None for line in now.plan.lines) == 2


def test_brook_pair_had_139_taps_last_season(now: Season) -> None:
    line = now.plan.find_line("Brook Bend", "Brook pair")
    assert now.last_count(line, now.plan.find_task("tapping")) == 139


@pytest.mark.parametrize("year", [2025, 2026])
def test_the_sap_of_a_past_season_is_such_as_runs(year: int) -> None:
    """From memory: 10 to 25 gallons a tap with a pump, of 1.5 to 2.5 Brix, over some weeks."""
    season = open_season(year)
    sap = sap_of(season.ledger)
    assert 10 < (sap.sap_gal_per_tap or 0) < 25
    assert 1.5 < (sap.brix or 0) < 2.5
    assert sap.syrup_gal == pytest.approx(sap.syrup_expected_gal, rel=0.03)
    days = [run.day for run in season.ledger.runs if not run.block]
    first, length = SAP_SEASONS[year]
    assert days == sorted(set(days)), "a run a day"
    assert first <= days[0] < days[-1] < first + timedelta(days=length)


def test_a_run_that_nobody_measured_says_why() -> None:
    runs = [r for year in (2025, 2026) for r in open_season(year).ledger.runs if not r.block]
    blank = [run.note for run in runs if run.sap_gal is None]
    assert blank == ["ran over before anybody looked"] * 3
    assert all(run.brix and run.syrup_gal for run in runs if run.sap_gal is not None)


# --- 9 February 2027 ---


def test_seven_blocks_sixty_lines_and_11960_taps(now: Season) -> None:
    there = {
        block: (len(lines), sum(now.plan.taps(line) or 0 for line in lines))
        for block, lines in now.plan.walk.items()
    }
    assert there == PLANNED_2027
    assert sum(lines for lines, _taps in there.values()) == 60
    assert sum(taps for _lines, taps in there.values()) == 11_960


def test_deer_stand_main_is_planned_by_its_trees(now: Season) -> None:
    """By the conservative rule, from 12 in one tap and from 18 two."""
    line = now.plan.find_line("Far Corner", "Deer stand main")
    carried = sum(
        trees * ((dbh_in >= 12) + (dbh_in >= 18)) for dbh_in, trees in now.plan.tally(line)
    )
    assert (line.taps_planned, now.plan.taps(line)) == (None, 178)
    assert carried == now.plan.taps_allowed(line) == 178
    assert all(other.taps_planned for other in now.plan.lines if other != line)


def test_four_lines_are_over_their_trees_and_two_were_not_tallied(now: Season) -> None:
    report = allowance(now)
    assert report.rule == "conservative"
    assert {line.line: line.over for line in report.lines if line.over} == {
        "Twin birch main": 3,
        "Brook pair": 4,
        "Cider main": 9,
        "Knoll main": 12,
    }
    unknown = [line.line for line in report.lines if line.trees is None]
    assert unknown == ["Érablière pair", "Outlet main"]
    assert {trees.at for trees in now.plan.tallies} == {TALLIED}


def test_rules_and_supplies_are_those_of_the_crew(now: Season) -> None:
    assert {name: now.plan.setting(name) for name in SETTINGS} == SETTINGS
    assert {supply.item: supply.on_hand for supply in now.plan.supplies} == ON_HAND
    assert now.plan.supply("roll") is None, "nobody counted the rolls"
    assert now.ledger.runs == [], "no sap yet"


def test_the_dry_pipe_of_brook_pair_is_the_old_main(now: Season) -> None:
    line = now.plan.find_line("Brook Bend", "Brook pair")
    assert (now.plan.diameter_in(line), now.plan.dry_in(line)) == (1.5, 1.0)
    pairs = [pair for pair in now.plan.lines if pair.layout == "pair" and pair != line]
    assert all(now.plan.dry_in(pair) == now.plan.diameter_in(pair) for pair in pairs)


@pytest.mark.parametrize(
    ("block", "standing", "done"),
    [
        ("Upper Ridge", Standing.DONE, 1820),
        ("North Slope", Standing.DONE, 2316),  # 8 short, 4 over
        ("Brook Bend", Standing.UNDER_WAY, 1003),  # 172 + 146 + 168 + 176 + 148 + 131 + 62
        ("Sugar Hollow", Standing.ASIDE, 0),
        ("Old Orchard", Standing.NOT_BEGUN, 0),
        ("Stone Fence", Standing.NOT_BEGUN, 0),
        ("Far Corner", Standing.NOT_BEGUN, 0),
    ],
)
def test_taps_in(now: Season, block: str, standing: Standing, done: int) -> None:
    """5,139 in all."""
    found = cell(now, "tapping", block)
    assert (found.standing, found.tally.done) == (standing, done)


def test_brook_bend_is_half_tapped(now: Season) -> None:
    """Six lines done, one of them three short; Brook pair under way; five not begun."""
    found = cell(now, "tapping", "Brook Bend")
    assert found.lines == {Standing.DONE: 6, Standing.UNDER_WAY: 1, Standing.NOT_BEGUN: 5}
    spring = cell(now, "tapping", "Brook Bend", "Spring main").tally
    assert (spring.planned, spring.done, spring.short) == (134, 131, 3)
    brook = cell(now, "tapping", "Brook Bend", "Brook pair").tally
    assert (brook.planned, brook.done, brook.left) == (142, 62, 80)


def test_a_hazard_stands_on_brook_pair(now: Season) -> None:
    (ash,) = [n for n in now.ledger.notes_on("Brook Bend", "Brook pair") if n.hazard]
    assert ash.text == "hung-up ash by the third lateral: keep two tree lengths off"
    assert (ash.who, ash.day) == ("Milo", date(2027, 2, 8))
    later = [w for w in works(now) if w.line == "Brook pair" and w.at > ash.at]
    assert later == [], "nobody worked there since"


def test_sugar_hollow_waits_for_its_bridge(now: Season) -> None:
    asides = [e for e in works(now) if isinstance(e, Aside)]
    assert len(asides) == 8
    assert {(e.block, e.reason) for e in asides} == {
        ("Sugar Hollow", "bridge out, snowmobile cannot cross")
    }


def test_a_count_on_the_wrong_line_is_struck_and_recorded_right(now: Season) -> None:
    (strike,) = [e for e in now.log() if isinstance(e, Strike)]
    wrong = now.book.entry(strike.entry)
    assert isinstance(wrong, Count)
    assert (wrong.line, wrong.count) == ("Cedar main", 62)
    assert strike.reason == "keyed on the wrong line: it was Brook pair"
    assert cell(now, "tapping", "Brook Bend", "Cedar main").tally.done == 0


def test_a_line_is_over_its_plan(now: Season) -> None:
    raven = cell(now, "tapping", "North Slope", "Raven main").tally
    assert (raven.planned, raven.done, raven.over) == (206, 210, 4)


def test_a_line_was_reopened_and_finished_again(now: Season) -> None:
    """Stub main: finished twelve short, reopened after a thaw, finished in full."""
    stub = now.ledger.record("Upper Ridge", "Stub main", "tapping").entries
    (again,) = [number for number, entry in enumerate(stub) if isinstance(entry, Reopen)]
    before, after = stub[:again], stub[again:]
    assert sum(e.count for e in before if isinstance(e, Count)) == 84
    assert any(isinstance(e, Finish) and e.reason for e in before)
    assert sum(e.count for e in after if isinstance(e, Count)) == 12
    assert cell(now, "tapping", "Upper Ridge", "Stub main").tally.short == 0


@pytest.mark.parametrize(
    ("task", "standings"),
    [
        ("drops", {"Old Orchard": Standing.UNDER_WAY, "Far Corner": Standing.DONE}),
        ("tensioning", {"Upper Ridge": Standing.DONE, "Brook Bend": Standing.UNDER_WAY}),
        ("leaks", {"Upper Ridge": Standing.UNDER_WAY, "North Slope": Standing.NOT_BEGUN}),
        ("pulling", {"Upper Ridge": Standing.NOT_BEGUN, "Brook Bend": Standing.NOT_BEGUN}),
    ],
)
def test_the_other_tasks_are_where_february_has_them(
    now: Season, task: str, standings: dict[str, Standing]
) -> None:
    assert {block: cell(now, task, block).standing for block in standings} == standings


def test_drops_were_hung_before_the_snow(now: Season) -> None:
    days = {count.day for count in counts(now) if count.task == "drops"}
    assert min(days) >= date(2026, 11, 1)
    assert max(days) <= date(2026, 12, 31)
    lane = now.plan.find_line("Stone Fence", "Lane main")
    assert cell(now, "drops", "Stone Fence", lane.line).tally.done == 40, "a target of the crew's"


def test_tuesday_is_a_day_of_work_for_four(now: Season) -> None:
    today = [count for count in counts(now) if count.day == TODAY]
    assert {count.who for count in today} == {"Ina", "Rae", "Tor", "Zoë"}
    assert now.ledger.done_on(TODAY, "tapping") == 98 + 148 + 131
    assert now.ledger.last_day == TODAY
    assert max(entry.noted.date() for entry in now.log()) == TODAY


def test_three_desks_took_turns(now: Season) -> None:
    desks = [entry.desk for entry in now.log()]
    assert set(desks) == {FIRST_DESK, SECOND_DESK, SHED_DESK}
    turns = sum(one != other for one, other in pairwise(desks))
    assert turns > 10


@pytest.mark.parametrize(
    "odd",
    [
        lambda text: "[x] done?" in text and "[/]" in text,
        lambda text: text.startswith("="),
        lambda text: "é" in text,
        lambda text: '"' in text,
        lambda text: len(text) > 600 and "\n" in text,
    ],
    ids=["looks like markup", "looks like a formula", "accent", "quote", "long"],
)
def test_people_write_odd_things(now: Season, odd: Callable[[str], bool]) -> None:
    texts = [e.text for e in now.ledger.notes] + [e.note for e in counts(now)]
    assert any(odd(text) for text in texts)


def test_steps_are_ticked(now: Season) -> None:
    assert any(isinstance(entry, Step) and entry.ticked for entry in works(now))
    brook = now.ledger.record("Brook Bend", "Brook pair", "tapping")
    assert brook.ticked == {"sharp, clean bit": True}
