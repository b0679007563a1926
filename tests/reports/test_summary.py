"""The summary as data, against sums worked by hand beside it."""

import json
from datetime import date, timedelta

import pytest

from fieldbook.book.book import Book
from fieldbook.book.entry import Line, Note, Out, Run, Settle, Spouts
from fieldbook.reports.render.json import to_json
from fieldbook.reports.render.text import summary_text
from fieldbook.reports.sap import Sap, sap_words
from fieldbook.reports.summary import Summary, TaskPart, summarise
from fieldbook.season.ledger import Standing
from fieldbook.season.season import Season
from tests.conftest import NOW, PLAN, aside, count, reopen, stamp
from tests.reports import TUESDAY, on, work
from tests.season.gauges import leak_at, read
from tests.season.woods import valve

ASIDE, DONE, NOT_BEGUN = Standing.ASIDE, Standing.DONE, Standing.NOT_BEGUN
NOTHING_DUE, UNDER_WAY = Standing.NOTHING_DUE, Standing.UNDER_WAY


@pytest.fixture
def worked(season: Season) -> Season:
    """Quillby Hollow with the work of `tests.reports` done."""
    work(season)
    return season


@pytest.fixture
def tuesday(worked: Season) -> Summary:
    return summarise(on(worked, TUESDAY), TUESDAY)


def part(summary: Summary, task: str, block: str = "") -> TaskPart:
    parts = next(b.tasks for b in summary.blocks if b.block == block) if block else summary.tasks
    return next(p for p in parts if p.task == task)


def test_the_season_in_seven_numbers(tuesday: Summary) -> None:
    totals = tuesday.totals
    assert totals.taps_planned == 257  # 42 + 60 + 120 + 35 + 0
    assert totals.taps_in == 95  # Cliff 45, Cedar 30 + 20; 60 were struck
    assert totals.taps_left == 165  # Cedar 10, Ford 120, Spring 35; Cliff is done
    assert totals.drops_due == 162  # Cliff 42, Ford 120
    assert totals.drops_replaced == 122  # 42 + 80
    assert totals.spouts_pulled == 2
    assert totals.spouts_in_trees == 93  # 95 - 2


@pytest.mark.parametrize(
    ("task", "numbers"),
    [
        # planned, done, left, short, over, percent: done within the plan, rounded down
        ("drops", (162, 122, 0, 40, 0, 75)),  # 122 / 162 = 75.3 %
        ("tapping", (257, 95, 165, 0, 3, 35)),  # 92 / 257 = 35.8 %: 3 are beyond the plan
        ("tensioning", (54, 25, 29, 0, 0, 46)),  # 25 / 54 = 46.3 %
        ("leaks", (5, 0, 5, 0, 0, 0)),
        ("pulling", (95, 2, 93, 0, 0, 2)),  # 2 / 95 = 2.1 %
    ],
)
def test_tasks_of_the_season(tuesday: Summary, task: str, numbers: tuple[int, ...]) -> None:
    p = part(tuesday, task)
    assert (p.planned, p.done, p.left, p.short, p.over, p.percent) == numbers
    assert p.planned == p.done + p.left + p.short - p.over


@pytest.mark.parametrize(
    ("block", "task", "planned", "done", "left", "percent", "standing", "lines_done"),
    [
        ("Ledge", "drops", 42, 42, 0, 100, DONE, 1),  # Cedar has nothing due
        ("Ledge", "tapping", 102, 95, 10, 90, UNDER_WAY, 1),  # 92 / 102 = 90.2 %
        ("Ledge", "tensioning", 40, 20, 20, 50, UNDER_WAY, 1),
        ("Ledge", "leaks", 2, 0, 2, 0, NOT_BEGUN, 0),
        ("Ledge", "pulling", 95, 2, 93, 2, UNDER_WAY, 0),
        ("Creek", "drops", 120, 80, 0, 66, DONE, 1),  # 80 / 120 = 66.7 %, finished short
        ("Creek", "tapping", 155, 0, 155, 0, NOT_BEGUN, 0),  # Spring is open, Ford set aside
        ("Creek", "tensioning", 14, 5, 9, 35, UNDER_WAY, 0),  # 5 / 14 = 35.7 %
        ("Creek", "leaks", 3, 0, 3, 0, NOT_BEGUN, 0),
        ("Creek", "pulling", 0, 0, 0, None, NOT_BEGUN, 0),
    ],
)
def test_tasks_of_a_block(
    tuesday: Summary,
    block: str,
    task: str,
    planned: int,
    done: int,
    left: int,
    percent: int | None,
    standing: Standing,
    lines_done: int,
) -> None:
    p = part(tuesday, task, block)
    assert (p.planned, p.done, p.left, p.percent) == (planned, done, left, percent)
    assert (p.standing, p.lines_done) == (standing, lines_done)
    assert p.lines == (2 if block == "Ledge" else 3)
    assert p.lines_unknown == (1 if (block, task) == ("Creek", "tensioning") else 0)


def test_blocks_come_in_order_with_their_taps(tuesday: Summary) -> None:
    assert [(b.block, b.lines, b.taps_planned) for b in tuesday.blocks] == [
        ("Ledge", 2, 102),
        ("Creek", 3, 155),
    ]


def test_a_block_all_of_whose_open_lines_are_set_aside(worked: Season) -> None:
    worked.record(aside("Creek/Spring", "tapping", "washed out"))
    tuesday = summarise(on(worked, TUESDAY), TUESDAY)
    assert part(tuesday, "tapping", "Creek").standing == ASIDE


# --- by whom -----------------------------------------------------------------------------------


def people(parts: Summary, span: str) -> list[tuple[str, str, int, float]]:
    return [(p.who, p.task, p.count, p.hours) for p in getattr(parts, span)]


def test_today_and_this_week_by_person(tuesday: Summary) -> None:
    assert people(tuesday, "today") == [
        ("Oda", "pulling", 2, 0),
        ("Wim", "tapping", 20, 0.5),
        ("Wim", "tensioning", 5, 0.25),
    ]
    assert people(tuesday, "week") == [  # from Monday; Sunday's 45 are of the week before
        ("Oda", "pulling", 2, 0),
        ("Perrin", "tapping", 30, 1),  # 60 more were struck
        ("Wim", "tapping", 20, 0.5),
        ("Wim", "tensioning", 25, 2.25),
    ]


@pytest.mark.parametrize(
    ("day", "today", "week"),
    [
        (date(2027, 2, 7), [("Oda", "tapping", 45, 0)], [("Oda", "tapping", 45, 0)]),  # Sunday
        (
            date(2027, 2, 8),  # Monday: the week is one day long
            [("Perrin", "tapping", 30, 1), ("Wim", "tensioning", 20, 2)],
            [("Perrin", "tapping", 30, 1), ("Wim", "tensioning", 20, 2)],
        ),
        (date(2027, 2, 1), [], []),
        (
            date(2026, 12, 13),  # the Sunday of a week in December
            [],
            [("Wim", "drops", 122, 4)],
        ),
    ],
)
def test_other_days(
    worked: Season,
    day: date,
    today: list[tuple[str, str, int, float]],
    week: list[tuple[str, str, int, float]],
) -> None:
    summary = summarise(on(worked, day), day)
    assert people(summary, "today") == today
    assert people(summary, "week") == week


# --- what wants looking at ---------------------------------------------------------------------


def test_lines_set_aside_for_one_reason_stand_together(tuesday: Summary) -> None:
    assert [(a.block, a.lines, a.task, a.left, a.who, a.reason) for a in tuesday.aside] == [
        ("Creek", ("Ford",), "tapping", 120, "Oda", "[red]ice[/] on the ford"),
        ("Creek", ("Ford", "Spring"), "leaks", 2, "Oda", "pump is out"),
    ]
    assert {a.day for a in tuesday.aside} == {date(2027, 2, 8)}


def test_another_day_or_reason_stands_apart(worked: Season) -> None:
    worked.record(
        aside("Ledge/Cliff", "leaks", "pump is out", day="2027-02-09"),
        reopen("Creek/Spring", "leaks"),
        aside("Creek/Culvert", "leaks", "under snow", day="2027-02-08"),
    )
    leaks = [a for a in summarise(worked, TUESDAY).aside if a.task == "leaks"]
    assert [(a.block, a.lines, a.reason) for a in leaks] == [
        ("Ledge", ("Cliff",), "pump is out"),
        ("Creek", ("Ford",), "pump is out"),
        ("Creek", ("Culvert",), "under snow"),
    ]


def test_what_falls_short_and_what_is_over(tuesday: Summary) -> None:
    (short,) = tuesday.short
    assert (short.block, short.line, short.task) == ("Creek", "Ford", "drops")
    assert (short.done, short.planned, short.reason) == (80, 120, "out of tees")
    (over,) = tuesday.over
    assert (over.block, over.line, over.task) == ("Ledge", "Cliff", "tapping")
    assert (over.done, over.planned, over.reason) == (45, 42, "")


def test_hazards_are_told_and_other_notes_are_not(tuesday: Summary) -> None:
    (hazard,) = tuesday.hazards
    assert (hazard.block, hazard.line, hazard.who) == ("Creek", "Ford", "Oda")
    assert (hazard.day, hazard.text) == (TUESDAY, "hung-up beech [/] by the ford")


def test_a_hazard_that_was_cleared_is_not_told(worked: Season) -> None:
    hazard = next(e for e in worked.log() if isinstance(e, Note) and e.hazard)
    worked.record(Settle(entry=hazard.id, who="Wim", text="pulled down", **stamp()))
    summary = summarise(worked, TUESDAY)
    assert summary.hazards == ()
    assert "hazard" not in [item.what for item in summary.open_items]


def test_who_is_overdue_hangs_on_the_hour_and_a_day_is_told_as_of_its_end(worked: Season) -> None:
    """Wim is due at five. A report as of a day is of its last moment: 23:59 is 6 h 59 min later."""
    due = NOW.replace(hour=17, minute=0)
    worked.record(Out(who="Wim", block="Creek", due=due, **stamp()))
    told = [
        (item.says, item.late_min)
        for now in (NOW, due, due + timedelta(minutes=25), None)
        for item in summarise(worked, TUESDAY, now).open_items[:1]
    ]
    assert told == [
        ("Wim is out", None),
        ("Wim is out", None),  # on the stroke of five nobody is late
        ("Wim is not back", 25),
        ("Wim is not back", 419),
    ]


def test_lines_and_days_are_left_to_the_balance_itself(worked: Season) -> None:
    worked.record(Spouts(who="Wim", move="issued", count=30, **stamp()))
    balance = summarise(on(worked, TUESDAY), TUESDAY).balance
    (bag,) = balance.bags
    assert (bag.who, bag.issued, bag.set, bag.off) == ("Wim", 30, 20, 10)
    assert (balance.lines, balance.days) == ((), ())


def test_what_is_struck_or_astray_or_cannot_be_read_is_counted(worked: Season) -> None:
    assert summarise(worked, TUESDAY).struck == 1
    cedar = next(e for e in worked.log() if isinstance(e, Line) and e.line == "Cedar")
    worked.strike(cedar.id, "not ours", by="Oda", now=NOW)
    journal = worked.book.path / "2027" / "desk-k7f2q.jsonl"
    journal.write_bytes(journal.read_bytes() + b'{"kind":"count","half a li\n')
    summary = summarise(on(worked, TUESDAY), TUESDAY)
    assert (summary.struck, summary.strays, summary.set_apart) == (2, 2, 1)  # Cedar's 30 and 20
    assert summary.totals.taps_in == 45
    assert summary.totals.taps_planned == 197  # 257 - 60


# --- dates wanted ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("task", "wanted", "days", "a_day"),
    [
        ("drops", date(2026, 12, 19), 0, None),  # long past
        ("tapping", date(2027, 2, 20), 11, 15),  # 9-13 Feb are 5, 15-20 are 6; 165 / 11
        ("tensioning", date(2027, 2, 13), 5, 6),  # 29 / 5 = 5.8
        ("leaks", date(2027, 2, 27), 17, 1),  # 5 + 6 + 6
        ("pulling", date(2027, 5, 1), 71, 2),  # 5, then 11 weeks of 6 from 15 Feb; 93 / 71 = 1.3
    ],
)
def test_workdays_to_the_day_wanted_by_the_calendar(
    tuesday: Summary, task: str, wanted: date, days: int, a_day: int | None
) -> None:
    """Monday to Saturday, today included."""
    p = part(tuesday, task)
    assert (p.wanted, p.days_left, p.needed_a_day) == (wanted, days, a_day)


# --- as of a day -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("day", "taps", "drops"),
    [
        (date(2026, 9, 1), 0, 0),
        (date(2026, 12, 10), 0, 42),
        (date(2026, 12, 11), 0, 122),
        (date(2027, 2, 7), 45, 122),
        (date(2027, 2, 8), 75, 122),
        (date(2027, 2, 9), 95, 122),
        (date(2027, 2, 10), 140, 122),  # 95 + 35 + 10
        (date(2027, 8, 31), 140, 122),
    ],
)
def test_as_of_a_day_later_work_is_left_out(
    worked: Season, day: date, taps: int, drops: int
) -> None:
    totals = summarise(on(worked, day), day).totals
    assert (totals.taps_in, totals.drops_replaced) == (taps, drops)
    assert totals.taps_planned == 257


def test_what_came_before_the_day_and_was_written_after_counts(worked: Season) -> None:
    worked.record(count("Creek/Culvert", "leaks", 1, day="2027-02-08"))
    assert part(summarise(on(worked, TUESDAY), TUESDAY), "leaks").done == 1


def test_the_same_book_and_day_give_the_same_bytes(worked: Season) -> None:
    first, second = (to_json(summarise(on(worked, TUESDAY), TUESDAY)) for _again in range(2))
    assert first == second


# --- vacuum --------------------------------------------------------------------------------------


def test_what_the_gauges_say_in_numbers_and_words(season: Season) -> None:
    """Cliff 40 taps x 0.5 gal x 5 % x 3.5 inHg = 3.5 gal (4 to 7 %: 2.8 to 4.9), Cedar 60 x 0.5 x
    5 % x 1 = 1.5 (Wilmot, UVM; Centre ACER 2015). Syrup of 5 gal: 5 / (87.1 / 2 - 0.32) (Perkins &
    Isselhardt); half a dollar a gallon, from memory. Spring's 35 taps are shut off: at the book's
    25 inHg they would give 35 x 0.5 x 2.25 = 39.375."""
    taps = [("Ledge/Cliff", 40), ("Ledge/Cedar", 60), ("Creek/Spring", 35)]
    season.record(*(count(where, "tapping", n) for where, n in taps), really=True)
    season.record(*read("09 07:00 pump 25.5\n09 09:00 Ledge/Cliff 22\n09 10:00 Ledge/Cedar 24.5"))
    season.record(valve("Creek/Spring", "shut", "ice"))
    season.record(leak_at("09 11:00", "Ledge/Cliff", cause="chewed"))
    found = summarise(on(season, TUESDAY), TUESDAY).vacuum
    assert found is not None
    assert (found.pump_inhg, found.aim_inhg) == (25.5, 1)
    assert found.ceiling_inhg == pytest.approx(29.921, abs=0.001)  # US Standard Atmosphere 1976
    assert (found.lines_read, found.lines_within, found.share_within) == (2, 1, 0.5)
    assert (found.taps, found.taps_under_vacuum) == (135, 100)
    assert (found.loss_gal_day, found.loss_low_gal_day, found.loss_high_gal_day) == pytest.approx(
        (5 + 39.375, 4 + 39.375, 7 + 39.375)
    )
    assert found.loss_syrup_gal_day == pytest.approx(44.375 / 43.23)
    assert found.loss_money_day == pytest.approx(22.1875)
    assert found.sap_gal_day == pytest.approx(100 * 0.5 * 2.275 - 5)
    assert (found.leaks_found, found.leaks_open) == (1, 1)
    assert found.worst == (
        "Creek / Spring: 39 gal a day, valve shut",
        "Ledge / Cliff: 4 (3-5) gal a day",
        "Ledge / Cedar: 2 (1-2) gal a day",
    )
    text = summary_text(summarise(on(season, TUESDAY), TUESDAY))
    section = text[text.index("\nVacuum:\n") :]
    assert "! 100 of 135 taps are under vacuum: 35 are shut off." in section
    assert "Creek / Spring: 39 gal a day, valve shut" in section
    assert max(map(len, section.splitlines())) <= 80


def test_without_a_reading_there_is_no_word_of_vacuum(tuesday: Summary) -> None:
    assert tuesday.vacuum is None
    assert '"vacuum": null' in to_json(tuesday)
    assert "Vacuum" not in summary_text(tuesday)


def test_a_reading_of_tomorrow_is_not_known_today(season: Season) -> None:
    season.record(*read("09 07:00 pump 25.5\n09 09:00 Ledge/Cliff 22"))
    assert summarise(on(season, date(2027, 2, 8)), date(2027, 2, 8)).vacuum is None


def test_without_a_pump_there_is_no_vacuum(book: Book) -> None:
    """The readings of a crew that took its pump down."""
    season = Season.begin(book, "gravity", by="Oda", now=NOW)
    season.record(*PLAN)
    season.record(*read("09 09:00 Ledge/Cliff 22"))
    assert summarise(season, TUESDAY).vacuum is None


# --- sap -----------------------------------------------------------------------------------------


RUNS = (
    Run(sap_gal=300, brix=2, syrup_gal=7, **stamp("2027-02-07")),
    Run(sap_l=500, brix=3, **stamp("2027-02-08")),
    Run(note="the tank ran over", **stamp("2027-02-06")),
    Run(sap_gal=100, syrup_l=10, **stamp()),
    Run(sap_gal=999, brix=9, **stamp("2027-02-10")),  # Wednesday's
)
"""A gallon is 3.785411784 l exactly (NIST SP 811): 500 l are 132.086 gal, 10 l are 2.642."""


def sap(season: Season, *runs: Run, day: date = TUESDAY) -> Sap:
    season.record(*runs, really=True)
    return summarise(on(season, day), day).sap


def test_without_a_run_nothing_of_sap_is_known_and_nothing_is_zero(tuesday: Summary) -> None:
    assert list(sap_words(tuesday.sap)) == []
    for told in json.loads(to_json(tuesday)), *json.loads(to_json(tuesday))["blocks"]:
        sap = told["sap"]
        assert (sap.pop("days_measured"), sap.pop("days_blank")) == (0, 0)
        for taps in ("taps", "sap_taps", "syrup_taps"):
            assert sap.pop(taps) > 0
        assert set(sap.values()) == {None}


def test_sap_in_gallons_and_litres_adds_up_and_a_blank_is_no_zero(worked: Season) -> None:
    found = sap(worked, *RUNS)
    assert found.sap_gal == pytest.approx(300 + 132.086 + 100, abs=0.001)
    assert (found.days_measured, found.days_blank, found.taps) == (3, 1, 95)
    assert found.sap_gal_per_tap == pytest.approx(532.086 / 95, abs=0.001)
    assert found.syrup_gal == pytest.approx(7 + 2.642, abs=0.001)


def test_sweetness_is_that_of_the_tanks_together(worked: Season) -> None:
    """(300 x 2 + 132.086 x 3) / 432.086; what nobody tasted is left out. Not (2 + 3) / 2."""
    assert sap(worked, *RUNS).brix == pytest.approx(2.3057, abs=0.0001)


def test_syrup_expected_by_the_revised_rule(worked: Season) -> None:
    """Sap for a gallon of syrup: 87.1 / Brix - 0.32 (Perkins & Isselhardt; -0.32 from memory).

    87.1 / 2 - 0.32 is 43.23, 87.1 / 3 - 0.32 is 28.713; 300 / 43.23 is 6.940, 132.086 / 28.713
    is 4.600.
    """
    assert sap(worked, *RUNS).syrup_expected_gal == pytest.approx(6.940 + 4.600, abs=0.001)


def test_concentrate_may_be_as_sweet_as_syrup_and_no_sweeter(worked: Season) -> None:
    """At 66 Brix a gallon of it is a gallon of syrup: 87.1 / 66 - 0.32 = 1.00."""
    found = sap(worked, Run(sap_gal=10, brix=66, **stamp()), Run(sap_gal=10, brix=80, **stamp()))
    assert found.syrup_expected_gal == pytest.approx(10, abs=0.01)
    assert found.brix == 73


@pytest.mark.parametrize(
    ("run", "told"),
    [
        (Run(sap_gal=0, brix=2, **stamp()), (0, 1, 0, 0, None, None, None)),  # none ran
        (Run(sap_gal=95, **stamp()), (95, 1, 0, 1, None, None, None)),
        (Run(syrup_gal=0, **stamp()), (None, 0, 1, None, None, 0, None)),
        (Run(brix=2, **stamp()), (None, 0, 1, None, None, None, None)),
        (Run(**stamp()), (None, 0, 1, None, None, None, None)),
    ],
)
def test_what_nobody_measured_is_not_known(
    worked: Season, run: Run, told: tuple[float | None, ...]
) -> None:
    s = sap(worked, run)
    parts = (s.sap_gal, s.days_measured, s.days_blank, s.sap_gal_per_tap, s.brix)
    assert (*parts, s.syrup_gal, s.syrup_expected_gal) == told


def test_before_any_tap_is_in_the_plan_tells_how_many_there_are(season: Season) -> None:
    found = sap(season, Run(sap_gal=514, **stamp()))
    assert (found.taps, found.sap_gal_per_tap) == (257, 2)


def test_without_taps_there_is_no_sap_a_tap(book: Book) -> None:
    season = Season.begin(book, "vacuum", by="Oda", now=NOW)
    found = sap(season, Run(sap_gal=514, **stamp()))
    assert (found.taps, found.sap_gal_per_tap) == (0, None)


def test_a_run_that_was_struck_is_in_no_sum(worked: Season) -> None:
    (slip,) = worked.record(Run(sap_gal=9_999, **stamp()), really=True)
    worked.strike(slip.id, "a nine too many", by="Oda", now=NOW)
    assert sap(worked, *RUNS).sap_gal == pytest.approx(532.086, abs=0.001)


@pytest.mark.parametrize(
    ("runs", "words"),
    [
        (
            RUNS,
            [
                "Sap 532.1 gal on 3 days, 1 not measured, 5.6 gal a tap, 2.3 Brix",
                "Syrup 9.6 gal made (0.101 a tap), 11.5 gal expected of it",
            ],
        ),
        (RUNS[:1], ["Sap 300.0 gal on 1 day, 3.2 gal a tap, 2.0 Brix"]),
        (RUNS[2:3], ["Sap not measured on 1 day"]),
    ],
)
def test_sap_in_words(worked: Season, runs: tuple[Run, ...], words: list[str]) -> None:
    said = list(sap_words(sap(worked, *runs)))
    assert said[: len(words)] == words


# --- other checklists --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("checklist", "drops", "spouts"),
    [("vacuum", 162, 0), ("gravity", 162, 0), ("buckets", None, 0)],
)
def test_a_checklist_without_a_task_has_no_number_for_it(
    book: Book, checklist: str, drops: int | None, spouts: int
) -> None:
    season = Season.begin(book, checklist, by="Oda", now=NOW)
    season.record(*PLAN)
    totals = summarise(season, TUESDAY).totals
    assert totals.taps_planned == 257
    assert totals.drops_due == drops
    assert totals.drops_replaced == (None if drops is None else 0)
    assert totals.spouts_in_trees == spouts


def test_an_empty_season_has_a_summary(book: Book) -> None:
    summary = summarise(Season(book), TUESDAY)
    assert (summary.blocks, summary.tasks, summary.today) == ((), (), ())
    assert summary.totals.taps_planned == 0
    assert summary.totals.taps_in is None


def test_a_line_with_nothing_to_tap_has_nothing_due(worked: Season) -> None:
    worked.record(
        Line(block="Gravel Pit", line="Gravel Pit", order=1, taps_planned=0, **stamp()),
    )
    summary = summarise(worked, TUESDAY)
    assert part(summary, "tapping", "Gravel Pit").standing == NOTHING_DUE
    assert part(summary, "tapping", "Gravel Pit").percent is None
