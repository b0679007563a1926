"""What a tap gives, and what is lost: by hand, with the numbers beside."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from fieldbook.book.entry import AnyEntry, Checklist, Run, Setting
from fieldbook.season.checklist import load_template
from fieldbook.season.sap import (
    Loss,
    brix_of,
    loss_of,
    lost_of,
    sap_gal_of,
    sap_of_tap,
    season_brix,
    shut_off,
    syrup_gal_of,
)
from tests.conftest import folded, stamp
from tests.season.woods import leak


def rule(**values: float) -> list[AnyEntry]:
    return [Setting(setting=name, value=value, **stamp()) for name, value in values.items()]


def test_two_hundred_taps_that_hang_three_and_a_half_inches_low() -> None:
    """200 x 0.5 gal x 5 % x 3.5 (4 to 7 %: Wilmot, UVM; Centre ACER 2015)."""
    loss = loss_of(folded().plan, 200, 3.5, brix=2)
    assert (loss.sap_gal, loss.low_gal, loss.high_gal) == pytest.approx((17.5, 14.0, 24.5))
    # 87.1 / 2 - 0.32 gal of sap for one of syrup: Perkins & Isselhardt
    assert loss.syrup_gal == pytest.approx(17.5 / 43.23)
    assert loss.money == pytest.approx(17.5 * 0.5)  # at the book's price


def test_a_crew_s_own_gain_widens_the_range_where_it_is_outside() -> None:
    low = loss_of(folded(*rule(sap_pct_per_inhg=3)).plan, 100, 1, brix=2)
    assert (low.low_gal, low.sap_gal, low.high_gal) == pytest.approx((1.5, 1.5, 3.5))
    high = loss_of(folded(*rule(sap_pct_per_inhg=8)).plan, 100, 1, brix=2)
    assert (high.low_gal, high.sap_gal, high.high_gal) == pytest.approx((2, 4, 4))


def test_sap_that_was_measured_under_vacuum_is_brought_back_first() -> None:
    plan = folded(*rule(sap_at_inhg=20)).plan
    assert loss_of(plan, 200, 3.5, brix=2).sap_gal == pytest.approx(17.5 / 2)
    assert sap_of_tap(plan, 20) == 0.5
    assert sap_of_tap(plan, 0) == 0.25


def test_a_shut_valve_loses_all_that_its_taps_give() -> None:
    plan = folded().plan
    assert sap_of_tap(plan) == pytest.approx(0.5 * 2.25)  # at the pump's 25 inHg
    loss = shut_off(plan, 100, brix=2)
    assert (loss.low_gal, loss.sap_gal, loss.high_gal) == pytest.approx((112.5,) * 3)


def test_the_pump_holds_what_the_book_says_it_holds() -> None:
    plan = folded(*rule(pump_vacuum_inhg=20)).plan
    assert sap_of_tap(plan) == pytest.approx(0.5 * 2)  # 1 + 5 % x 20
    assert sap_of_tap(folded(*rule(sap_pct_per_inhg=4)).plan, 25) == pytest.approx(0.5 * 2)


def test_sap_twice_as_sweet_makes_twice_the_syrup() -> None:
    """87.1 / 4 - 0.32 gal of sap for one of syrup: Perkins & Isselhardt."""
    plan = folded().plan
    assert loss_of(plan, 200, 3.5, brix=4).syrup_gal == pytest.approx(17.5 / 21.455)
    assert shut_off(plan, 100, brix=4).syrup_gal == pytest.approx(112.5 / 21.455)


def test_what_no_air_presses_and_no_wood_holds_is_held_for_the_most_there_can_be() -> None:
    """A number that was mistyped stops no report: the sums hold for 29.92 inHg, a million taps."""
    plan = folded().plan
    assert loss_of(plan, 100, 31, brix=2) == loss_of(plan, 100, 29.92, brix=2)
    assert loss_of(plan, 100, -1, brix=2) == Loss()
    assert loss_of(plan, 2_000_000, 1, brix=2) == loss_of(plan, 1_000_000, 1, brix=2)
    assert sap_of_tap(plan, 31) == sap_of_tap(plan, 29.92)
    assert sap_of_tap(plan, -1) == sap_of_tap(plan, 0) == 0.5


def test_without_a_pump_a_tap_gives_what_the_book_says() -> None:
    title, tasks = load_template("gravity")
    plan = folded(Checklist(checklist=title, tasks=tasks, **stamp())).plan
    assert sap_of_tap(plan) == sap_of_tap(plan, 25) == 0.5


@given(
    st.floats(0, 29.9), st.floats(0, 1), st.floats(0, 20), st.floats(0, 29.8), st.integers(0, 999)
)
def test_the_loss_is_what_the_taps_would_give_less_what_they_give(
    pump_inhg: float, share: float, pct: float, at_inhg: float, taps: int
) -> None:
    plan = folded(*rule(sap_pct_per_inhg=pct, sap_at_inhg=at_inhg)).plan
    lost_inhg = pump_inhg * share
    whole, now = (sap_of_tap(plan, vacuum) for vacuum in (pump_inhg, pump_inhg - lost_inhg))
    loss = loss_of(plan, taps, lost_inhg, brix=2)
    assert loss.sap_gal == pytest.approx(taps * (whole - now), abs=1e-6)
    assert loss.low_gal <= loss.sap_gal + 1e-9
    assert loss.sap_gal <= loss.high_gal + 1e-9


def test_losses_add_up() -> None:
    assert Loss(1, 2, 3, 4, 5) + Loss(10, 20, 30, 40, 50) == Loss(11, 22, 33, 44, 55)
    assert sum([Loss(1.0)], start=Loss()).sap_gal == 1


@pytest.mark.parametrize(
    ("runs", "brix"),
    [
        ([], 2.0),  # the book's, from memory
        ([{"sap_gal": 100, "brix": 3.0}, {"sap_gal": 300, "brix": 2.0}], 2.25),
        ([{"sap_l": 378.5411784, "brix": 3.0}, {"sap_gal": 100, "brix": 2.0}], 2.5),
        ([{"sap_gal": 0, "brix": 3.0}, {"brix": 4.0}, {"sap_gal": 50}], 2.0),
        ([{"sap_gal": 5, "brix": 80}], 66.0),  # sweeter than syrup: a slip of the finger
    ],
)
def test_the_sap_is_as_sweet_as_the_runs_were(runs: list[dict[str, Any]], brix: float) -> None:
    work = [Run(**run, **stamp()) for run in runs]
    assert season_brix(folded(*work)) == pytest.approx(brix)
    assert (brix_of(work) is None) == (brix == 2.0)


def test_the_book_s_sweetness_until_a_run_s_was_taken() -> None:
    assert season_brix(folded(*rule(sap_brix=1.6))) == 1.6
    assert season_brix(folded(*rule(sap_brix=1.6), Run(sap_gal=9, brix=2.4, **stamp()))) == 2.4


def test_what_a_run_brought_in_either_unit() -> None:
    """3.785411784 l a US gallon (NIST Handbook 44, appendix C)."""
    litres = Run(sap_l=378.5411784, syrup_l=7.570823568, **stamp())
    assert (sap_gal_of(litres), syrup_gal_of(litres)) == pytest.approx((100, 2))
    gallons = Run(sap_gal=100, syrup_gal=2, **stamp())
    assert (sap_gal_of(gallons), syrup_gal_of(gallons)) == (100, 2)
    assert (sap_gal_of(Run(**stamp())), syrup_gal_of(Run(**stamp()))) == (None, None)


def test_a_leak_s_size_in_either_unit() -> None:
    metric = replace(leak("Ledge/Cliff"), lost_kpa=6.772778)
    assert lost_of(metric) == pytest.approx(2)  # 3.386389 kPa an inHg
    assert lost_of(leak("Ledge/Cliff", lost_inhg=2)) == 2
    assert lost_of(leak("Ledge/Cliff")) is None
