"""Sap to syrup and back.

The rule of 86: Jones, UVM. The revised rule: Perkins & Isselhardt, its -0.32 from memory. What
both leave of the sugar is weighed with the density of sugar solutions.
"""

import re
from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldbook.trade.sap import (
    SyrupRule,
    mean_brix,
    sap_gal_for,
    sap_per_syrup_86,
    sap_per_syrup_revised,
    syrup_gal,
    yield_per_tap,
)


def specific_gravity(brix: float) -> float:
    """Weight of a sugar solution over that of water at 20 C: a cubic fit, from memory.

    Good to a third of a percent up to syrup.
    """
    return 1.000019 + 0.003865613 * brix + 1.296425e-5 * brix**2 + 5.701128e-8 * brix**3


def sugar_of_a_gallon(brix: float) -> float:
    return brix * specific_gravity(brix)


def sap_that_holds_the_sugar(brix: float, syrup_brix: float) -> float:
    """Gallons of sap with as much sugar in them as a gallon of syrup."""
    return sugar_of_a_gallon(syrup_brix) / sugar_of_a_gallon(brix)


@pytest.mark.parametrize(
    ("brix", "by_86", "by_revised", "for_66_9"),
    [
        (2.0, 43.0, 43.23, 43.78),  # published: Jones; Perkins & Isselhardt
        (2.5, 34.4, 34.52, 34.96),  # by 86 published, the others arithmetic
        (3.0, 28.7, 28.71, 29.08),  # by 86 published, the others arithmetic
    ],
)
def test_sap_for_a_gallon_of_syrup(
    brix: float, by_86: float, by_revised: float, for_66_9: float
) -> None:
    assert round(sap_per_syrup_86(brix=brix), 1) == by_86
    assert round(sap_per_syrup_revised(brix=brix), 2) == by_revised
    assert round(sap_per_syrup_revised(brix=brix, syrup_brix=66.9), 2) == for_66_9


def test_syrup_makes_as_much_syrup() -> None:
    # Published for 66.0; arithmetic for 66.9. The plain rule would boil 1.30 gal of syrup down
    # to one: it breaks for concentrate, and is not asked.
    assert round(sap_per_syrup_revised(brix=66.0), 2) == 1.00
    assert round(sap_per_syrup_revised(brix=66.9, syrup_brix=66.9), 2) == 1.00
    assert round(86 / 66.0, 2) == 1.30


def test_a_tap_worth_eighteen_dollars() -> None:
    # Cornell: 15.6 gal of 2 % sap make 0.3628 gal, $18.14 at $50 a gallon of syrup.
    syrup = syrup_gal(sap_gal=15.6, brix=2.0, rule="86")
    assert round(syrup, 4) == 0.3628
    assert round(syrup * 50, 2) == 18.14


@given(st.floats(1, 66))
def test_the_revised_rule_keeps_the_sugar(brix: float) -> None:
    # It asks for up to 0.7 % less sap than holds the sugar, and never for more than 0.1 %.
    revised = sap_per_syrup_revised(brix=brix) / sap_that_holds_the_sugar(brix, 66.0)
    assert 0.993 < revised < 1.001


@given(st.floats(1, 66.9))
def test_for_denser_syrup_it_loses_a_hundredth(brix: float) -> None:
    revised = sap_per_syrup_revised(brix=brix, syrup_brix=66.9) / sap_that_holds_the_sugar(
        brix, 66.9
    )
    assert 0.988 < revised < 1


@pytest.mark.parametrize(
    ("brix", "off_pct"), [(1, -1.5), (2, -1.1), (3, -0.7), (5, 0.0), (8, 1.2), (10, 2.0)]
)
def test_the_rule_of_86_is_right_near_five_brix(brix: float, off_pct: float) -> None:
    # Under it is short of sap, over it asks for too much; concentrate of 20 Brix would be 6 % off.
    off = sap_per_syrup_86(brix=brix) / sap_that_holds_the_sugar(brix, 66.0) - 1
    assert 100 * off == pytest.approx(off_pct, abs=0.1)
    assert 86 / 20 / sap_that_holds_the_sugar(20, 66.0) == pytest.approx(1.06, abs=0.005)


@pytest.mark.parametrize("brix", [1, 2, 5, 10, 20, 40, 60])
def test_the_sugar_asks_for_about_a_third_of_a_gallon_less(brix: float) -> None:
    # The -0.32 is from memory. Sugar over Brix less the sap that holds it: 0.33 to 0.34.
    less = sugar_of_a_gallon(66.0) / brix - sap_that_holds_the_sugar(brix, 66.0)
    assert less == pytest.approx(0.32, abs=0.021)


sap_brix = st.floats(0.5, 10)
rules = st.sampled_from(["revised", "86"])
densities = st.sampled_from([66.0, 66.9])


@given(st.floats(0, 1e6), sap_brix, rules, densities)
def test_there_and_back_is_where_it_was(
    gallons: float, brix: float, rule: SyrupRule, syrup_brix: float
) -> None:
    syrup = syrup_gal(sap_gal=gallons, brix=brix, rule=rule, syrup_brix=syrup_brix)
    sap = sap_gal_for(syrup_gal=syrup, brix=brix, rule=rule, syrup_brix=syrup_brix)
    assert sap == pytest.approx(gallons, rel=1e-12)
    assert syrup <= gallons


@given(sap_brix, sap_brix, rules)
def test_sweeter_sap_makes_more(one: float, other: float, rule: SyrupRule) -> None:
    thin, sweet = sorted((one, other))
    made = [syrup_gal(sap_gal=100, brix=brix, rule=rule) for brix in (thin, sweet)]
    assert made[0] <= made[1]
    needed = [sap_gal_for(syrup_gal=1, brix=sweet, syrup_brix=syrup) for syrup in (66.0, 66.9)]
    assert needed[0] < needed[1]  # denser syrup takes more


def test_the_edges_of_the_rules() -> None:
    assert sap_per_syrup_86(brix=0.5) == 172
    assert sap_per_syrup_86(brix=10) == 8.6
    assert sap_per_syrup_revised(brix=0.01) == pytest.approx(8709.68)
    for brix in (0.49, 10.01, 66, 0, -2, nan):
        with pytest.raises(
            ValueError, match=f"sap {brix} Brix by the rule of 86: out of range, 0.5 to 10"
        ):
            sap_per_syrup_86(brix=brix)
    for brix in (0, -2, 66.01, nan):
        with pytest.raises(ValueError, match=f"sap {brix} Brix: out of range, above 0 to 66"):
            sap_per_syrup_revised(brix=brix)
    with pytest.raises(ValueError, match=r"sap 66\.91 Brix: out of range, above 0 to 66\.9"):
        sap_per_syrup_revised(brix=66.91, syrup_brix=66.9)


@pytest.mark.parametrize("syrup_brix", [0, 65.9, 66.45, 67.0, nan])
def test_no_density_between_the_two_published(syrup_brix: float) -> None:
    message = f"syrup {syrup_brix} Brix: out of range, 66.0 or 66.9"
    with pytest.raises(ValueError, match=message):
        sap_per_syrup_revised(brix=2, syrup_brix=syrup_brix)
    with pytest.raises(ValueError, match=message):
        syrup_gal(sap_gal=100, brix=2, syrup_brix=syrup_brix)


def test_volumes_and_rules_that_cannot_be_are_refused() -> None:
    for volume in (-0.1, inf, nan):
        with pytest.raises(ValueError, match=f"sap {volume} gal: out of range, 0 or more"):
            syrup_gal(sap_gal=volume, brix=2)
        with pytest.raises(ValueError, match=f"syrup {volume} gal: out of range, 0 or more"):
            sap_gal_for(syrup_gal=volume, brix=2)
    with pytest.raises(ValueError, match="rule '87': out of range, 'revised' or '86'"):
        syrup_gal(sap_gal=100, brix=2, rule="87")  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("gallons", "brix", "mean"),
    [
        ([100, 100], [2, 3], 2.5),
        ([300, 100], [2, 3], 2.25),
        ([300, 0], [2, 3], 2),  # an empty tank says nothing
        ([50, 50], [0, 2], 1),  # rain in the tank
        ([400], [2.2], 2.2),
        ([1, 1], [0, 100], 50),  # the edges of the scale
    ],
)
def test_tanks_run_together(gallons: list[float], brix: list[float], mean: float) -> None:
    assert mean_brix(gallons=gallons, brix=brix) == pytest.approx(mean)


tanks = st.lists(st.tuples(st.floats(1, 5000), st.floats(0.5, 6)), min_size=1, max_size=6)


@given(tanks, tanks)
def test_two_tanks_first_and_then_a_third_is_all_at_once(
    first: list[tuple[float, float]], then: list[tuple[float, float]]
) -> None:
    def mean(run: list[tuple[float, float]]) -> float:
        return mean_brix(gallons=[gal for gal, _ in run], brix=[sweet for _, sweet in run])

    poured = (sum(gal for gal, _ in first), mean(first))
    assert mean([poured, *then]) == pytest.approx(mean([*first, *then]))
    assert mean(first[::-1]) == mean(first)
    sweetness = [sweet for _, sweet in first]
    assert min(sweetness) - 1e-9 <= mean(first) <= max(sweetness) + 1e-9


@given(st.floats(0, 1))
def test_the_mean_by_volume_is_the_sugar_of_the_tanks(share: float) -> None:
    # By weight, as Brix is meant. A hand refractometer shows 0.1 or 0.2 Brix (common practice, no
    # source): nobody sees the difference.
    for thin, sweet, unseen in ((1, 3, 0.01), (2, 4, 0.01), (2, 10, 0.07)):
        weights = [share * specific_gravity(thin), (1 - share) * specific_gravity(sweet)]
        by_weight = (weights[0] * thin + weights[1] * sweet) / sum(weights)
        by_volume = mean_brix(gallons=[share, 1 - share], brix=[thin, sweet])
        assert -1e-9 < by_weight - by_volume < unseen


@pytest.mark.parametrize(
    ("gallons", "brix", "message"),
    [
        ([100, 100], [2], "1 readings of Brix: out of range, 2 tanks"),
        ([], [], "sap 0.0 gal in all: out of range, above 0"),
        ([0, 0], [2, 3], "sap 0.0 gal in all: out of range, above 0"),
        ([100, -1], [2, 3], "sap -1 gal: out of range, 0 or more"),
        ([100, inf], [2, 3], "sap inf gal: out of range, 0 or more"),
        ([100, 100], [2, -0.1], "sap -0.1 Brix: out of range, 0 to 100"),
        ([100, 100], [2, 100.1], "sap 100.1 Brix: out of range, 0 to 100"),
        ([100, 100], [2, nan], "sap nan Brix: out of range, 0 to 100"),
    ],
)
def test_tanks_that_cannot_be_are_refused(
    gallons: list[float], brix: list[float], message: str
) -> None:
    with pytest.raises(ValueError, match=re.escape(message)):
        mean_brix(gallons=gallons, brix=brix)


USDA_2021 = [
    # USDA NASS, 12 January 2022: taps and gallons in thousands, gallons a tap as printed.
    ("ME", 1890, 495, 0.262),
    ("MI", 550, 150, 0.273),
    ("NH", 530, 127, 0.240),
    ("NY", 2900, 647, 0.223),
    ("PA", 715, 165, 0.231),
    ("VT", 5900, 1540, 0.261),
    ("WI", 850, 300, 0.353),
]


@pytest.mark.parametrize(
    ("state", "taps", "gallons", "printed"), [*USDA_2021, ("US", 13335, 3424, 0.257)]
)
def test_the_yield_of_2021_by_state(state: str, taps: int, gallons: int, printed: float) -> None:
    assert round(yield_per_tap(syrup_gal=1000 * gallons, taps=1000 * taps), 3) == printed, state


def test_the_yield_of_the_country_is_that_of_its_taps_not_the_mean_of_its_states() -> None:
    taps = sum(row[1] for row in USDA_2021)
    gallons = sum(row[2] for row in USDA_2021)
    assert (taps, gallons) == (13335, 3424)  # as printed
    assert round(yield_per_tap(syrup_gal=gallons, taps=taps), 3) == 0.257
    assert round(sum(row[3] for row in USDA_2021) / len(USDA_2021), 3) == 0.263


def test_a_yield_that_cannot_be_is_refused() -> None:
    assert yield_per_tap(syrup_gal=0, taps=1) == 0
    with pytest.raises(ValueError, match="taps 0: out of range, 1 or more"):
        yield_per_tap(syrup_gal=100, taps=0)
    for volume in (-0.1, inf, nan):
        with pytest.raises(ValueError, match=f"syrup {volume} gal: out of range, 0 or more"):
            yield_per_tap(syrup_gal=volume, taps=400)
