"""How long a line takes to walk: by the crew's record and its length, worked by hand."""

import pytest

from fieldbook.book.entry import AnyEntry, Line, Setting
from fieldbook.season.ledger import Ledger
from fieldbook.season.walking import UNKNOWN_HOURS, Walker, walker
from tests.conftest import count, folded, numbered, stamp, vacuum_checklist

CERTAIN = Setting(setting="rate_prior_hours", value=0, **stamp())
"""The book's rate weighs nothing once there is a record."""


def hours(of: Walker, name: str, ledger: Ledger) -> float:
    line = next(line for line in ledger.plan.lines if line.line == name)
    return of.hours_of(ledger.plan, line)


def test_before_any_record_by_the_book_s_rate() -> None:
    """Four lines are measured: 700 + 700 + 360 ft (and 100 ft that rest) for 137 taps.

    500 taps an hour (from memory) are 500 x 1760/137 ft.
    """
    ledger = folded()
    found = walker(ledger)
    assert found.feet_per_tap == pytest.approx((700 + 700 + 360) / (42 + 60 + 35))
    assert found.feet_per_hour == pytest.approx(500 * 1760 / 137)
    assert (found.hours, found.measured) == (0, True)
    assert hours(found, "Cliff", ledger) == pytest.approx(700 / (500 * 1760 / 137))


def test_a_line_in_metres_and_one_that_nobody_measured() -> None:
    ledger = folded()
    found = walker(ledger)
    assert hours(found, "Cedar", ledger) == pytest.approx(hours(found, "Cliff", ledger))  # 213.36 m
    assert hours(found, "Ford", ledger) == pytest.approx(120 / 500)  # by its taps


def test_the_crew_s_own_record_of_two_seasons() -> None:
    """700 ft in half an hour this season, 360 ft in half an hour the last: 1,060 ft an hour."""
    before = folded(count("Creek/Spring", "leaks", 1, hours=0.5, day="2027-02-01"))
    now = folded(CERTAIN, count("Ledge/Cliff", "leaks", 1, hours=0.5))
    assert walker(now, before).feet_per_hour == pytest.approx(1060)
    assert walker(now, before).hours == 1
    assert walker(now).feet_per_hour == pytest.approx(1400)
    assert hours(walker(now, before), "Spring", now) == pytest.approx(360 / 1060)


def test_a_line_of_an_earlier_season_is_as_long_as_its_plan_said_then() -> None:
    """Cliff was 500 ft long until it was lengthened."""
    short = Line(block="Ledge", line="Cliff", taps_planned=42, length_ft=500, **stamp())
    before = folded(short, count("Ledge/Cliff", "leaks", 1, hours=0.5))
    assert walker(folded(CERTAIN), before).feet_per_hour == pytest.approx(1000)


def test_the_book_s_rate_fades_as_the_record_grows() -> None:
    """20 h of the book's weigh as much as 20 h of walking."""
    work = [count("Ledge/Cliff", "leaks", 1, hours=1.0)] * 20
    found = walker(folded(*work))
    assert found.feet_per_hour == pytest.approx((20 * 700 + 20 * found.default_feet_per_hour) / 40)


@pytest.mark.parametrize(
    "work",
    [
        count("Ledge/Cliff", "leaks", 1),  # nobody said how long
        count("Ledge/Cliff", "leaks", 0, hours=2),
        count("Ledge/Cliff", "tapping", 40, hours=2),
        count("Creek/Culvert", "drops", 1, hours=2),
    ],
)
def test_what_tells_nothing_of_walking(work: AnyEntry) -> None:
    found = walker(folded(CERTAIN, work))
    assert (found.hours, found.feet_per_hour) == (0, found.default_feet_per_hour)


def bare(*entries: AnyEntry) -> Ledger:
    return Ledger(2027).fold(numbered(vacuum_checklist(), *entries))


def test_where_no_line_is_measured_they_are_walked_by_their_taps() -> None:
    ledger = bare(Line(block="Ledge", line="Cliff", taps_planned=250, **stamp()))
    found = walker(ledger)
    assert (found.measured, hours(found, "Cliff", ledger)) == (False, 0.5)
    assert (found.feet_per_tap, found.feet_per_hour) == (1, 500)  # a foot stands for a tap


def test_where_nothing_is_known_at_all() -> None:
    ledger = bare(Line(block="Ledge", line="Cliff", **stamp()))
    assert hours(walker(ledger), "Cliff", ledger) == UNKNOWN_HOURS == 0.5  # from memory


def test_hours_on_a_line_of_unknown_size_say_nothing_of_how_fast_it_went() -> None:
    """Nor do those on a line that the plan has lost."""
    walked = count("Ledge/Cliff", "leaks", 1, hours=2)
    for lines in ((Line(block="Ledge", line="Cliff", **stamp()),), ()):
        found = walker(bare(*lines, walked))
        assert (found.hours, found.feet_per_hour) == (0, found.default_feet_per_hour)
