"""Seasons side by side, every number worked by hand.

Quillby Hollow over the years: Ledge has Cliff and Cedar, 100 taps each; Creek came later. The
newest season is told on Tuesday 9 February 2027, when it is under way.
"""

import itertools
from collections.abc import Callable
from datetime import date
from math import sqrt
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldbook.book.book import Book
from fieldbook.book.entry import (
    AnyEntry,
    Block,
    Close,
    Leak,
    Line,
    Reading,
    Run,
    Valve,
)
from fieldbook.errors import BookError
from fieldbook.reports.history import History, history
from fieldbook.reports.history_changes import Change
from fieldbook.reports.history_effects import AGE, FEWEST_LEAKS, LEAKS, SAP, SIZE, VACUUM, Effect
from fieldbook.reports.history_measures import (
    MEASURES,
    Measures,
    day_number,
    day_numbered,
)
from fieldbook.reports.history_tables import (
    SHOWN,
    history_listings,
    history_sections,
    history_words,
)
from fieldbook.reports.render.listings import listing_lines
from fieldbook.season.season import Season
from fieldbook.trade.spread import difference
from tests.book.shelf import put, shelf
from tests.conftest import count, finish, numbered, stamp, vacuum_checklist
from tests.reports.helpers import is_sound, trees
from tests.test_demo_season import open_season

TUESDAY = date(2027, 2, 9)


# --- entries -----------------------------------------------------------------------------------


def line(where: str, taps: int = 100, **more: Any) -> Line:
    block, name = where.split("/")
    return Line(block=block, line=name, taps_planned=taps, **more, **stamp())


LEDGE = (line("Ledge/Cliff"), line("Ledge/Cedar"))


def leak(where: str, day: str) -> Leak:
    block, name = where.split("/")
    return Leak(block=block, line=name, who="Wim", text="hiss", **stamp(day))


def reads(where: str, day: str, inhg: float) -> Reading:
    """A gauge: `Ledge/Cliff` at its far end, or `pump`."""
    if where == "pump":
        return Reading(who="Wim", place="pump", vacuum_inhg=inhg, **stamp(day))
    block, name = where.split("/")
    place: dict[str, Any] = {"block": block, "line": name, "place": "far end"}
    return Reading(who="Wim", **place, vacuum_inhg=inhg, **stamp(day))


def valve(where: str, day: str, *, state: str = "open", heard: bool | None = None) -> Valve:
    block, name = where.split("/")
    told: dict[str, Any] = {"block": block, "line": name, "state": state, "heard": heard}
    return Valve(who="Wim", **told, **stamp(day))


def run(day: str, **more: Any) -> Run:
    return Run(**more, **stamp(day))


def closed(day: str) -> Close:
    return Close(who="Oda", **stamp(day))


Years = dict[int, tuple[AnyEntry, ...]]
Told = Callable[..., History]


def lines_of(entries: tuple[AnyEntry, ...]) -> tuple[AnyEntry, ...]:
    """Entries with the blocks and the checklist that they take."""
    blocks = dict.fromkeys(e.block for e in entries if isinstance(e, Line))
    there = (Block(block=name, order=n, **stamp()) for n, name in enumerate(blocks, 1))
    return (vacuum_checklist(), *there, *entries)


@pytest.fixture
def told(tmp_path: Path) -> Told:
    """The history of a book that is written down here: entries by season."""

    books = itertools.count()

    def told(
        years: Years, *, block: str = "", as_of: date = TUESDAY, today: date | None = None
    ) -> History:
        book = shelf(tmp_path / str(next(books)), "quillby")
        for year, entries in years.items():
            put(book, *numbered(*lines_of(entries)), year=year)
        season = Season(Book.open(book, year=max(years)), as_of=as_of)
        return history(season, as_of, block, today=today)

    return told


def whole(report: History, season: int, block: str = "") -> Measures:
    """The sugarbush, or a block, in a season."""
    side = next(side for side in report.sides if side.block == block)
    found = side.seasons[[part.season for part in report.seasons].index(season)]
    assert found is not None
    return found


def change(report: History, measure: str, block: str = "") -> Change:
    (found,) = (c for c in report.changes if (c.measure, c.block) == (measure, block))
    return found


def effect(report: History, factor: str, outcome: str) -> Effect:
    (found,) = (e for e in report.effects if (e.factor, e.outcome) == (factor, outcome))
    return found


# --- side by side ------------------------------------------------------------------------------


def test_a_season_by_hand(told: Told) -> None:
    """Two blocks; 200 taps in on 20 + 80 trees; 10 h for them, and 5 h for the pulling."""
    work = (
        *LEDGE,
        line("Creek/Ford", 50),
        trees("Ledge/Cliff", "12:20 18:80"),
        count("Ledge/Cliff", "tapping", 60, day="2026-02-03", hours=4),
        count("Ledge/Cliff", "tapping", 60, day="2026-02-05", hours=2),
        count("Ledge/Cedar", "tapping", 80, day="2026-02-04", hours=4),
        count("Ledge/Cliff", "pulling", 120, day="2026-04-20", hours=5),
        count("Ledge/Cedar", "pulling", 0, day="2026-04-29", hours=0),  # found frozen in
        leak("Ledge/Cliff", "2026-03-01"),
        leak("Ledge/Cedar", "2026-03-02"),
        run("2026-03-02", sap_gal=0),  # a cold day is no run
        run("2026-03-04", sap_gal=300, brix=2),
        run("2026-03-20", sap_gal=100, brix=3, syrup_gal=10),
        run("2026-03-25"),  # came over the rim; nobody measured
        closed("2026-05-01"),
    )
    report = told({2026: work, 2027: LEDGE})
    assert whole(report, 2026) == Measures(
        season=2026,
        block="",
        so_far=False,
        lines=3,
        taps=200,
        trees=100,
        taps_per_tree=1.2,  # Cliff's 120 on its 100 trees; Cedar was not tallied
        hours=15,
        hours_share=1,
        hours_per_tap=0.075,
        minutes_per_tap=4.5,
        leaks=2,
        leaks_per_1000_taps=10,
        sap_gal_per_tap=2,  # 400 gal
        syrup_gal_per_tap=0.05,
        brix_pct=2.25,  # 300 at 2 and 100 at 3
        drop_age_years=None,
        first_tap=date(2026, 2, 3),
        first_run=date(2026, 3, 4),
        last_run=date(2026, 3, 20),
        last_spout_out=date(2026, 4, 20),
    )
    ledge, creek = whole(report, 2026, "Ledge"), whole(report, 2026, "Creek")
    assert (ledge.taps, ledge.leaks_per_1000_taps, ledge.sap_gal_per_tap) == (200, 10, None)
    assert (creek.lines, creek.taps, creek.leaks, creek.hours) == (1, None, None, None)


def test_what_nobody_recorded_is_none_and_never_nothing(told: Told) -> None:
    report = told({2026: LEDGE, 2027: LEDGE})
    for season in (2026, 2027):
        for block in ("", "Ledge"):
            found = whole(report, season, block)
            known = {n for n in found.__struct_fields__ if getattr(found, n) is not None}
            assert known == {"season", "block", "so_far", "lines"}
    assert not report.changes
    assert not report.effects


def test_a_block_that_a_season_does_not_have(told: Told) -> None:
    """Creek came in 2026; Far was given up after 2025."""
    report = told(
        {
            2025: (*LEDGE, line("Far/Back")),
            2026: (*LEDGE, line("Creek/Ford")),
            2027: (*LEDGE, line("Creek/Ford")),
        }
    )
    there = {side.block: [one is not None for one in side.seasons] for side in report.sides}
    assert there == {
        "": [True] * 3,
        "Ledge": [True] * 3,
        "Creek": [False, True, True],
        "Far": [True, False, False],
    }
    two = {2026: (*LEDGE, line("Far/Back")), 2027: LEDGE}
    assert [side.block for side in told(two, block="far").sides] == ["Far"]
    with pytest.raises(BookError, match="No block is called 'Volcano'"):
        told({2027: LEDGE}, block="Volcano")


@pytest.mark.parametrize(
    ("found", "leaks"),
    [
        ((), None),
        ((reads("pump", "2026-03-01", 25),), None),  # tells nothing of any line
        ((valve("Ledge/Cliff", "2026-03-01", state="shut"),), None),
        ((reads("Ledge/Cliff", "2026-03-01", 24),), 0),
        ((valve("Ledge/Cliff", "2026-03-01", heard=False),), 0),
        ((count("Ledge/Cliff", "leaks", 1, day="2026-03-01"),), 0),
        ((leak("Ledge/Cliff", "2026-03-01"),), 1),
        ((leak("Ledge/Cliff", "2026-03-01"), reads("Ledge/Cedar", "2026-03-01", 24)), 1),
    ],
)
def test_no_leak_is_known_only_where_somebody_looked(
    told: Told, found: tuple[AnyEntry, ...], leaks: int | None
) -> None:
    tapped = count("Ledge/Cliff", "tapping", 100, day="2026-02-03")
    there = whole(told({2026: (*LEDGE, tapped, *found)}), 2026)
    assert (there.leaks, there.leaks_per_1000_taps) == (
        leaks,
        None if leaks is None else 10 * leaks,
    )


def test_hours_of_some_counts_say_of_how_many(told: Told) -> None:
    """Three of four counts; 6 h over all 100 taps are 3.6 minutes."""
    work = [
        count("Ledge/Cliff", "tapping", 25, day=f"2026-02-0{n}", hours=hours)
        for n, hours in enumerate((2, 2, None, 2), 1)
    ]
    there = whole(told({2026: (*LEDGE, *work)}), 2026)
    assert (there.hours, there.hours_share, there.minutes_per_tap) == (6, 0.75, 3.6)


@pytest.mark.parametrize(
    ("hours", "taps", "minutes"),
    [(790, 10_000, 4.74), (79.0, 1_000, 4.74), (160, 1_000, 9.60)],
)
def test_minutes_a_tap_as_huyler_has_them(
    told: Told, hours: float, taps: int, minutes: float
) -> None:
    """Huyler 2000, USDA Forest Service NE-712: 4.74 minutes a tap and season in 1998, 9.60 in 1975.

    10,000 taps at that are 790 h, 1,000 taps 79.0 h.
    """
    half = {"day": "2026-02-03", "hours": hours / 2}
    work = (
        line("Ledge/Cliff", taps),
        count("Ledge/Cliff", "tapping", taps, **half),  # type: ignore[arg-type]
        count("Ledge/Cliff", "pulling", taps, **half),  # type: ignore[arg-type]
    )
    there = whole(told({2026: work}), 2026)
    assert there.minutes_per_tap == pytest.approx(minutes, abs=0.005)
    assert there.hours_per_tap == pytest.approx(minutes / 60, abs=0.0001)


def test_drops_that_were_replaced_are_new_and_part_of_them_is_not_enough(told: Told) -> None:
    """Cliff all of 100: 0. Cedar 40 of 60, and left at that for the year: 0 too, as a roll-over
    has it. Spring 20 of 50, hung 2023: 3. Of Ford nobody knows."""
    work = (
        line("Ledge/Cliff", 100, drops_hung=2022),
        line("Ledge/Cedar", 60, drops_hung=2022),
        line("Creek/Spring", 50, drops_hung=2023),
        line("Creek/Ford", 30),
        count("Ledge/Cliff", "drops", 100, day="2025-12-01"),
        count("Ledge/Cedar", "drops", 40, day="2025-12-01"),
        finish("Ledge/Cedar", "drops", "out of tees", day="2025-12-01"),
        count("Creek/Spring", "drops", 20, day="2025-12-01"),
    )
    report = told({2026: work})
    assert whole(report, 2026, "Ledge").drop_age_years == 0
    assert whole(report, 2026, "Creek").drop_age_years == 3
    assert whole(report, 2026).drop_age_years == pytest.approx(150 / 210)  # each drop counts


def test_a_line_of_unknown_age_alone_has_no_mean(told: Told) -> None:
    assert whole(told({2026: LEDGE}), 2026).drop_age_years is None


# --- under way, or over ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("entries", "today", "so_far"),
    [
        ((), date(2027, 2, 9), True),
        ((), date(2027, 8, 31), True),  # its last day is not past
        ((), date(2027, 9, 1), False),
        ((closed("2027-02-08"),), date(2027, 2, 9), False),
        ((closed("2027-02-08"),), date(2027, 2, 7), True),  # not yet
    ],
)
def test_a_season_is_over_when_it_is_closed_or_past(
    told: Told, entries: tuple[AnyEntry, ...], today: date, so_far: bool
) -> None:
    report = told({2027: (*LEDGE, *entries)}, as_of=today)
    assert [part.so_far for part in report.seasons] == [so_far]
    assert whole(report, 2027).so_far is so_far
    (part,) = report.seasons
    assert (part.begins, part.ends) == (date(2026, 9, 1), date(2027, 8, 31))


def test_told_to_its_last_day_of_work_a_past_season_is_over_all_the_same(told: Told) -> None:
    work = {2026: (*LEDGE, count("Ledge/Cliff", "tapping", 9, day="2026-02-03"))}
    assert told(work, as_of=date(2026, 2, 3)).seasons[0].so_far
    assert not told(work, as_of=date(2026, 2, 3), today=TUESDAY).seasons[0].so_far


# --- days of the season ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("day", "season", "number"),
    [
        (date(2027, 1, 1), 2027, 1),
        (date(2026, 12, 31), 2027, 0),
        (date(2027, 2, 9), 2027, 40),
        (date(2024, 2, 29), 2024, 60),
        (date(2024, 3, 1), 2024, 61),
        (date(2027, 3, 1), 2027, 61),  # as late as in a leap year
        (date(2026, 9, 1), 2027, 245 - 366),
        (date(2024, 9, 1), 2025, 245 - 366),
    ],
)
def test_a_day_is_as_late_in_every_year(day: date, season: int, number: int) -> None:
    assert day_number(day, season) == number
    assert day_numbered(number, season) == day


def test_the_day_that_is_missing_is_the_next() -> None:
    assert (day_numbered(60, 2027), day_numbered(60, 2028)) == (date(2027, 3, 1), date(2028, 2, 29))


@given(st.dates(date(2000, 1, 1), date(2100, 1, 1)), st.integers(2000, 2100))
def test_days_and_their_numbers_go_back_and_forth(day: date, season: int) -> None:
    assert day_numbered(day_number(day, season), season) == day


# --- what changed ------------------------------------------------------------------------------


def season_of(year: int, *, leaks: int, first: int, hours: float | None = 8) -> list[AnyEntry]:
    """200 taps on Ledge, with leaks found, from a day of February on."""
    here: dict[str, Any] = {"day": f"{year}-02-{first:02}", "hours": hours}
    return [
        *LEDGE,
        *(count(f"Ledge/{name}", "tapping", 100, **here) for name in ("Cliff", "Cedar")),
        reads("Ledge/Cliff", f"{year}-03-01", 24),
        *(leak("Ledge/Cliff", f"{year}-03-01") for _n in range(leaks)),
    ]


FIVE: Years = {
    2023: tuple(season_of(2023, leaks=1, first=1)),
    2024: tuple(season_of(2024, leaks=2, first=3)),
    2025: tuple(season_of(2025, leaks=3, first=5)),
    2026: tuple(season_of(2026, leaks=8, first=14)),
    2027: tuple(season_of(2027, leaks=9, first=6)),
}
"""Leaks per 1,000 taps 5, 10, 15, then 40, and 45 so far."""


def test_more_leaks_than_years_differ_by_hand(told: Told) -> None:
    """5, 10, 15: mean 10, s 5, t(2) 4.303: 10 +- 24.84; no season has less than none."""
    found = change(told(FIVE), "leaks_per_1000_taps")
    assert (found.season_before, found.season) == (2025, 2026)
    assert (found.value_before, found.value, found.difference) == (15, 40, 25)
    assert (found.so_far, found.earlier_seasons) == (None, 3)  # nobody looked before March
    assert found.low == 0
    assert found.high == pytest.approx(10 + 4.303 * 5 * sqrt(4 / 3))
    assert found.outside is True
    assert found.says == (
        "Leaks per 1,000 taps: 40 in 2026, 15 in 2025, 25 more. That is outside 0 to 34.84, what "
        "is expected after the 3 seasons before: more than years differ anyway."
    )


def test_days_are_told_by_how_late_they_are(told: Told) -> None:
    """1, 3, 5 February are days 32, 34, 36: mean 34, s 2: 34 +- 9.94, so 24 January to 13."""
    found = change(told(FIVE), "first_tap")
    assert (found.value_before, found.value) == (date(2025, 2, 5), date(2026, 2, 14))
    assert (found.difference, found.outside) == (9, True)
    assert (found.low, found.high) == (date(2026, 1, 24), date(2026, 2, 13))
    assert "14 Feb in 2026, 5 Feb in 2025, 9 days later. That is outside 24 Jan" in found.says


def test_no_more_than_years_differ(told: Told) -> None:
    years = {**FIVE, 2026: tuple(season_of(2026, leaks=6, first=13))}  # 30 is not over 34.84
    leaks, first = (change(told(years), name) for name in ("leaks_per_1000_taps", "first_tap"))
    assert (leaks.outside, first.outside) == (False, False)
    assert "within 0 to 34.84" in leaks.says
    assert leaks.says.endswith("no more than years differ anyway.")


def test_two_earlier_seasons_are_too_few(told: Told) -> None:
    found = change(told({year: FIVE[year] for year in (2024, 2025, 2026)}), "leaks_per_1000_taps")
    assert (found.difference, found.earlier_seasons) == (25, 2)
    assert (found.low, found.high, found.outside) == (None, None, None)
    assert found.says == (
        "Leaks per 1,000 taps: 40 in 2026, 15 in 2025, 25 more. 2 earlier seasons are too few to "
        "tell whether that is more than years differ anyway."
    )


def test_of_the_season_under_way_nothing_is_claimed(told: Told) -> None:
    report = told(FIVE)
    assert {(c.season_before, c.season) for c in report.changes} == {(2025, 2026)}
    assert change(report, "taps").so_far == 200
    assert change(report, "first_tap").so_far == date(2027, 2, 6)
    later = told({**FIVE, 2028: LEDGE}, as_of=date(2028, 2, 9))  # a year on, 2027 is over
    assert {(c.season_before, c.season) for c in later.changes} == {(2026, 2027)}
    assert change(later, "leaks_per_1000_taps").value == 45
    assert change(later, "leaks_per_1000_taps").so_far is None


def test_one_season_that_is_over_changed_nothing(told: Told) -> None:
    report = told({year: FIVE[year] for year in (2026, 2027)})
    assert report.changes == ()
    assert "No two seasons of the book are over yet" in " ".join(history_words(report, width=999))


def test_what_one_of_the_two_does_not_have_is_no_change(told: Told) -> None:
    report = told({**FIVE, 2025: (*FIVE[2025], run("2025-03-01", sap_gal=400))})
    found = change(report, "sap_gal_per_tap")
    assert (found.value_before, found.value, found.difference) == (2, None, None)
    assert found.says.endswith("No change can be told: in 2026 nobody recorded it.")
    assert "brix_pct" not in {c.measure for c in report.changes}  # none of the two has it


def test_hours_of_too_few_counts_are_no_change(told: Told) -> None:
    """Of three counts in 2026 two say theirs; then none of two in 2024."""
    more = count("Ledge/Cedar", "pulling", 100, day="2026-04-01")
    report = told({**FIVE, 2026: (*FIVE[2026], more)})
    found = change(report, "minutes_per_tap")
    assert (found.value, found.difference, found.outside) == (16 * 60 / 200, None, None)
    assert "in 2026 only 67 % of the counts say their hours" in found.says
    assert found.earlier_seasons == 3
    silent = {**FIVE, 2024: tuple(season_of(2024, leaks=2, first=3, hours=None))}
    assert change(told(silent), "minutes_per_tap").earlier_seasons == 2


def test_of_a_block_as_of_the_whole(told: Told) -> None:
    report = told(FIVE)
    assert change(report, "leaks_per_1000_taps", "Ledge").outside is True
    alone = told(FIVE, block="ledge")
    assert (alone.block, [side.block for side in alone.sides]) == ("Ledge", ["Ledge"])
    assert {c.block for c in alone.changes} == {"Ledge"}
    assert change(alone, "taps", "Ledge").says.startswith("Ledge, Taps in: 200 in 2026")
    assert "the same" in change(alone, "taps", "Ledge").says


# --- what goes with drops and spouts -----------------------------------------------------------

NEW = tuple(f"New/N{n}" for n in range(1, 5))
OLD = tuple(f"Old/O{n}" for n in range(1, 5))
LOST = dict(zip((*NEW, *OLD), (0.5, 1.0, 0.5, 1.0, 3.0, 3.5, 3.0, 3.5), strict=True))
FOUND = dict(zip((*NEW, *OLD), (0, 1, 0, 1, 3, 4, 3, 4), strict=True))


def woods(
    new: tuple[str, ...] = NEW,
    old: tuple[str, ...] = OLD,
    *,
    sizes: dict[str, float] | None = None,
    ages: tuple[int, int] = (2025, 2024),
    more: tuple[AnyEntry, ...] = (),
) -> Years:
    """Lines of 100 taps in 2026: those with new drops hang well and leak little, others not."""
    work: list[AnyEntry] = [reads("pump", "2026-03-01", 25)]
    plan: list[AnyEntry] = []
    for names, hung in ((new, ages[0]), (old, ages[1])):
        for name in names:
            size = None if sizes is None else sizes.get(name.partition("/")[0])
            plan.append(line(name, drops_hung=hung, spout_in=size))
            work.append(count(name, "tapping", 100, day="2026-02-03"))
            work.append(reads(name, "2026-03-01", 25 - LOST[name]))
            work += [leak(name, "2026-03-01") for _n in range(FOUND[name])]
    return {2026: (*plan, *work, *more), 2027: tuple(plan)}


def test_new_drops_beside_older_ones_by_hand(told: Told) -> None:
    """0, 10, 0, 10 leaks per 1,000 taps against 30, 40, 30, 40: means 5 and 35.

    Each variance 100/3, over 4 each: sqrt(50/3) 4.0825; alike, so 6 degrees, t 2.447: +- 9.99.
    """
    found = effect(told(woods()), AGE, LEAKS)
    assert (found.n_one, found.n_other, found.mean_one, found.mean_other) == (4, 4, 5, 35)
    half = 2.447 * sqrt(50 / 3)
    assert (found.difference, found.differs) == (-30, True)
    assert (found.low, found.high) == pytest.approx((-30 - half, -30 + half))
    assert found.says == (
        "Leaks per 1,000 taps: lines with drops up to 1 season old had 5, lines with older drops "
        "35: 30 less, at 95 % from -39.99 to -20.01 (4 lines and 4)."
    )
    vacuum = effect(told(woods()), AGE, VACUUM)
    assert (vacuum.mean_one, vacuum.mean_other) == pytest.approx((0.75, 3.25))
    wanted = difference([LOST[name] for name in NEW], [LOST[name] for name in OLD])
    assert (vacuum.low, vacuum.high) == pytest.approx((wanted.low, wanted.high))


@pytest.mark.parametrize(
    ("ages", "new", "old"),
    [((2026, 2025), 8, 0), ((2025, 2024), 4, 4), ((2024, 2023), 0, 8), ((2026, 2010), 4, 4)],
)
def test_new_is_of_this_season_or_the_one_before(
    told: Told, ages: tuple[int, int], new: int, old: int
) -> None:
    found = effect(told(woods(ages=ages)), AGE, VACUUM)
    assert (found.n_one, found.n_other) == (new, old)


def test_two_lines_are_too_few(told: Told) -> None:
    found = effect(told(woods(new=NEW[:2])), AGE, LEAKS)
    assert (found.n_one, found.n_other, found.differs) == (2, 4, None)
    assert (found.mean_one, found.difference, found.low) == (None, None, None)
    assert found.says == (
        "Leaks per 1,000 taps: too few lines to tell (2 with drops up to 1 season old, 4 with "
        "older drops)."
    )


def test_groups_that_overlap_show_no_difference(told: Told) -> None:
    mixed = told(woods((NEW[0], NEW[1], OLD[0], OLD[1]), (NEW[2], NEW[3], OLD[2], OLD[3])))
    for outcome in (LEAKS, VACUUM):
        found = effect(mixed, AGE, outcome)
        assert found.difference == pytest.approx(0)
        assert found.differs is False
        assert ": the book shows no difference: lines with" in found.says


@pytest.mark.parametrize(("leaks", "differs"), [(FEWEST_LEAKS, True), (FEWEST_LEAKS - 1, None)])
def test_a_few_leaks_tell_nothing(told: Told, leaks: int, differs: bool | None) -> None:
    """New lines with none and three older ones that share 10, or 9: leaks are rare."""
    names = [f"New/N{n}" for n in range(3)] + [f"Old/O{n}" for n in range(3)]
    plan = [line(name, drops_hung=2026 if name.startswith("New") else 2020) for name in names]
    taps = [count(name, "tapping", 100, day="2026-02-03") for name in names]
    heard = [valve(name, "2026-03-01", heard=False) for name in names]
    found = [leak(f"Old/O{n % 3}", "2026-03-01") for n in range(leaks)]
    there = effect(told({2026: (*plan, *taps, *heard, *found), 2027: LEDGE}), AGE, LEAKS)
    assert (there.n_one, there.n_other, there.differs) == (3, 3, differs)
    if differs is None:
        assert there.says.endswith("too few leaks to tell (9 on 6 lines; it takes 10).")


def test_the_running_season_is_no_evidence(told: Told) -> None:
    early = told(woods(), as_of=date(2026, 3, 5))
    assert early.effects == ()
    words = " ".join(history_words(early, width=999))
    assert "No season with taps in is over yet: no lines can be compared." in words


def test_a_line_that_came_in_by_its_leak_alone_is_left_out(told: Told) -> None:
    """Nobody read Bad, nor listened: where gauges are read, only what was looked at counts."""
    bad: tuple[AnyEntry, ...] = (
        line("Old/Bad", drops_hung=2020),
        count("Old/Bad", "tapping", 100, day="2026-02-03"),
        *(leak("Old/Bad", "2026-03-01") for _n in range(50)),
    )
    assert effect(told(woods(more=bad)), AGE, LEAKS).mean_other == 35


def test_where_no_gauge_is_read_every_line_that_was_tapped_counts(told: Told) -> None:
    plan = [line(f"Ledge/L{n}", drops_hung=2026 if n < 4 else 2020) for n in range(1, 7)]
    taps = [count(f"Ledge/L{n}", "tapping", 100, day="2026-02-03") for n in range(1, 7)]
    leaks = [leak("Ledge/L5", "2026-03-01") for _n in range(FEWEST_LEAKS)]
    found = effect(told({2026: (*plan, *taps, *leaks), 2027: ()}), AGE, LEAKS)
    assert (found.n_one, found.n_other, found.mean_one) == (3, 3, 0)
    assert found.mean_other == pytest.approx(100 / 3)


@pytest.mark.parametrize(
    "spoilt",
    [
        valve("Old/O4", "2026-03-02", state="shut"),  # a shut valve tells nothing of a line
        reads("Old/O4", "2026-03-02", 27),  # by day its own pump reads less: the gauge is off
    ],
)
def test_what_a_gauge_cannot_tell_is_left_out(told: Told, spoilt: AnyEntry) -> None:
    later = reads("pump", "2026-03-02", 25)
    found = effect(told(woods(more=(later, spoilt))), AGE, VACUUM)
    assert (found.n_one, found.n_other) == (4, 3)


def test_spouts_size_by_size(told: Told) -> None:
    """1/4 in on New, 5/16 on Old: the same lines, told apart by their spouts."""
    report = told(woods(sizes={"New": 0.25, "Old": 0.3125}))
    for outcome, mean_one, mean_other in ((LEAKS, 5, 35), (VACUUM, 0.75, 3.25)):
        found = effect(report, SIZE, outcome)
        assert (found.one, found.other) == ("1/4 in spouts", "5/16 in spouts")
        assert (found.mean_one, found.mean_other) == pytest.approx((mean_one, mean_other))
    assert effect(report, SIZE, SAP).says == (
        "Sap, gal a tap: too few blocks to tell (0 with 1/4 in spouts, 0 with 5/16 in spouts)."
    )


def test_0_31_and_5_16_are_one_size(told: Told) -> None:
    report = told(woods(sizes={"New": 0.31, "Old": 0.3125}))
    assert not [e for e in report.effects if e.factor == SIZE]
    words = " ".join(history_words(report, width=999))
    assert "the column spout_in of a table of lines" in words
    apart = told(woods(sizes={"New": 0.4375, "Old": 0.31}))
    assert effect(apart, SIZE, LEAKS).one == "5/16 in spouts"  # the smaller first


def test_sap_of_blocks_with_one_size_of_spouts(told: Told) -> None:
    """Three seasons of two blocks: 10, 11, 12 gal a tap with 1/4 in, 20, 21, 22 with 5/16.

    Mixed was measured too, and has both. Each variance 1: -10 +- 2.776 sqrt(2/3).
    """

    def year(season: int, extra: int) -> tuple[AnyEntry, ...]:
        day = f"{season}-03-10"
        plan = (
            line("Small/S", spout_in=0.25),
            line("Large/L", spout_in=0.3125),
            line("Large/Rests", 0, spout_in=0.4375),  # no taps, no say
            line("Mixed/One", spout_in=0.25),
            line("Mixed/Two", spout_in=0.4375),
        )
        taps = (
            count(f"{x.block}/{x.line}", "tapping", 100, day=f"{season}-02-03")
            for x in plan
            if x.taps_planned
        )
        sap = {"Small": 1000 + 100 * extra, "Large": 2000 + 100 * extra, "Mixed": 9000}
        return (*plan, *taps, *(run(day, block=b, sap_gal=gal) for b, gal in sap.items()))

    report = told({season: year(season, season - 2024) for season in (2024, 2025, 2026)})
    sap = {(e.one[:4], e.other[:4]): e for e in report.effects if e.outcome == SAP}
    sizes = [(e.n_one, e.n_other) for e in sap.values()]
    assert (list(sap), sizes) == (
        [("1/4 ", "5/16"), ("1/4 ", "7/16"), ("5/16", "7/16")],
        [(3, 3), (3, 0), (3, 0)],
    )
    pair = sap["1/4 ", "5/16"]
    assert (pair.mean_one, pair.mean_other, pair.unit) == (11, 21, "block")
    half = 2.776 * sqrt(2 / 3)
    assert (pair.low, pair.high) == pytest.approx((-10 - half, -10 + half))
    assert pair.says.startswith("Sap, gal a tap: blocks with 1/4 in spouts had 11, blocks with")


def test_no_word_of_a_cause(told: Told) -> None:
    words = " ".join(history_words(told(woods(sizes={"New": 0.25, "Old": 0.3125})), width=999))
    assert "no difference here is a cause" in words
    assert not {"because", "due to", "thanks to", "caused"} & set(words.casefold().split())


# --- tables ------------------------------------------------------------------------------------


def test_the_newest_is_on_the_right_and_a_page_holds_five(told: Told) -> None:
    six = {2022: tuple(season_of(2022, leaks=0, first=9)), **FIVE}
    report = told(six)
    (section, changed, _effects) = history_sections(report)
    assert [s.name for s in history_sections(report)] == ["seasons", "changes", "effects"]
    numbers, days, blocks = section.listings
    assert numbers.columns[2:] == ("2023", "2024", "2025", "2026", "2027")
    assert numbers.heads[-1] == "2027 so far"
    leaks = next(row for row in numbers.rows if row[0] == "leaks_per_1000_taps")
    assert leaks[2:] == (5, 10, 15, 40, None)
    assert days.rows[0][2:4] == (date(2023, 2, 1), date(2024, 2, 3))
    assert len(blocks.rows) == SHOWN
    every, *_others = history_listings(report)
    assert len(every.rows) == 2 * 6  # the sugarbush and Ledge
    for listing in (*section.listings, *changed.listings, *history_listings(report)):
        is_sound(listing)
    for listing in (*section.listings, *changed.listings):
        assert max(map(len, listing_lines(listing))) <= 76, listing.name


def test_a_change_that_is_much_is_marked(told: Told) -> None:
    _seasons, changed, _effects = history_sections(told(FIVE))
    rows = {row[0]: row[2:] for listing in changed.listings for row in listing.rows}
    assert rows["leaks_per_1000_taps"] == (15, 40, 25, "! 0 to 34.84", None)
    assert rows["first_tap"][2:] == (9, "! 24 Jan to 13 Feb", date(2027, 2, 6))
    assert rows["taps"] == (200, 200, 0, "200 to 200", 200)
    assert changed.lines[0].startswith("! Leaks per 1,000 taps: 40 in 2026")
    # taps, minutes, leaks and the first tap, of the sugarbush and of Ledge
    held = "8 numbers, 4 of them outside. Of 20 one is outside by chance alone."
    assert held in " ".join(changed.lines)


def test_syrup_is_read_by_the_thousand_taps(told: Told) -> None:
    made = (*FIVE[2026], run("2026-03-01", syrup_gal=51.4))
    section, *_others = history_sections(told({2026: made, 2027: LEDGE}))
    (row,) = (r for r in section.listings[0].rows if str(r[0]).startswith("syrup"))
    assert row == ("syrup_gal_per_1000_taps", "Syrup, gal/1,000 taps", 257, None)


def test_every_measure_is_a_field_with_its_unit() -> None:
    assert {measure.name for measure in MEASURES} <= set(Measures.__struct_fields__)


# --- the invented book -------------------------------------------------------------------------


def test_harrow_hill_has_two_seasons_over_and_one_under_way() -> None:
    season = open_season(2027)
    report = history(season, TUESDAY)
    assert [(part.season, part.so_far) for part in report.seasons] == [
        (2025, False),
        (2026, False),
        (2027, True),
    ]
    for part in report.seasons:
        ledger = open_season(part.season).ledger
        tapping = ledger.plan.counting("taps")
        assert tapping is not None
        assert whole(report, part.season).taps == ledger.cell(tapping).tally.done
        blocks = [whole(report, part.season, side.block) for side in report.sides[1:]]
        assert sum(block.taps or 0 for block in blocks) == whole(report, part.season).taps
        assert sum(block.leaks or 0 for block in blocks) == whole(report, part.season).leaks
    assert {change.outside for change in report.changes} == {None}
    assert effect(report, AGE, LEAKS).differs is None  # five leaks on 116 lines
