"""Rolls, bits and spares in whole pieces.

Drops of 30-36 in: Perkins 2014; UVM. A sharp bit about every 2,500 holes: UVM. Rolls of 500 ft:
common practice, no source. The rest is arithmetic on the numbers beside it.
"""

from fractions import Fraction
from math import ceil

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldbook.trade.supplies import bits_for, drops_per_roll, rolls_for, to_buy, with_spare
from fieldbook.trade.units import ft_from_m, in_from_mm


@pytest.mark.parametrize(
    ("drop_in", "a_roll", "rolls", "rolls_by_length"),
    [
        (36, 166, 7, 6),  # 3,000 ft is 6 rolls by length, but 2 ft of each are waste
        (32, 187, 6, 6),  # 187.5: half a drop of waste
        (30, 200, 5, 5),  # comes out even
    ],
)
def test_a_thousand_drops_from_rolls_of_500_ft(
    drop_in: float, a_roll: int, rolls: int, rolls_by_length: int
) -> None:
    assert drops_per_roll(roll_ft=500, drop_in=drop_in) == a_roll
    assert rolls_for(drops=1000, roll_ft=500, drop_in=drop_in) == rolls
    assert ceil(1000 * drop_in / 12 / 500) == rolls_by_length


@pytest.mark.parametrize(
    ("roll_ft", "drop_in", "drops"),
    [
        (3, 36, 1),  # a roll as long as a drop
        (5.999, 36, 1),
        (6, 36, 2),
        (ft_from_m(152.4), in_from_mm(762), 200),  # 500 ft and 30 in, keyed in metres
        (142.5, 34.2, 50),  # 49.99999999999999 as floats divide
        (10_000, 1, 120_000),  # the longest roll, the shortest drop
        (10, 120, 1),  # the longest drop
    ],
)
def test_no_drop_is_lost_to_a_rounding_error(roll_ft: float, drop_in: float, drops: int) -> None:
    assert drops_per_roll(roll_ft=roll_ft, drop_in=drop_in) == drops


@given(st.integers(12, 60 * 12), st.integers(4, 480))
def test_a_roll_cut_drop_by_drop(roll_in: int, drop_quarters: int) -> None:
    # Drops in quarter inches, as a tape shows them, cut off until what is left is too short.
    left, drops = 4 * roll_in, 0
    while left >= drop_quarters:
        left, drops = left - drop_quarters, drops + 1
    if drops:
        assert drops_per_roll(roll_ft=roll_in / 12, drop_in=drop_quarters / 4) == drops
    else:
        with pytest.raises(
            ValueError, match=r"roll .* ft: out of range, a drop of .* in or longer"
        ):
            drops_per_roll(roll_ft=roll_in / 12, drop_in=drop_quarters / 4)


@pytest.mark.parametrize(("drops", "rolls"), [(0, 0), (1, 1), (166, 1), (167, 2), (332, 2)])
def test_a_roll_is_opened_for_one_drop_more(drops: int, rolls: int) -> None:
    assert rolls_for(drops=drops, roll_ft=500, drop_in=36) == rolls


@given(st.integers(1, 100_000), st.integers(100, 1000), st.integers(30, 36))
def test_enough_rolls_and_none_too_many(drops: int, roll_ft: int, drop_in: int) -> None:
    a_roll = drops_per_roll(roll_ft=roll_ft, drop_in=drop_in)
    rolls = rolls_for(drops=drops, roll_ft=roll_ft, drop_in=drop_in)
    assert (rolls - 1) * a_roll < drops <= rolls * a_roll
    assert rolls >= Fraction(drops * drop_in, 12 * roll_ft)


@pytest.mark.parametrize(
    ("roll_ft", "drop_in", "message"),
    [
        (500, 0.99, "drop 0.99 in: out of range, 1 to 120"),
        (500, 120.1, "drop 120.1 in: out of range, 1 to 120"),
        (500, 0, "drop 0 in: out of range, 1 to 120"),
        (500, float("nan"), "drop nan in: out of range, 1 to 120"),
        (0, 36, "roll 0 ft: out of range, above 0 to 10,000"),
        (-500, 36, "roll -500 ft: out of range, above 0 to 10,000"),
        (10_000.1, 36, "roll 10000.1 ft: out of range, above 0 to 10,000"),
        (float("nan"), 36, "roll nan ft: out of range, above 0 to 10,000"),
        (2.99, 36, "roll 2.99 ft: out of range, a drop of 36 in or longer"),
    ],
)
def test_a_length_that_cannot_be_is_refused(roll_ft: float, drop_in: float, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        drops_per_roll(roll_ft=roll_ft, drop_in=drop_in)
    with pytest.raises(ValueError, match=message):
        rolls_for(drops=1, roll_ft=roll_ft, drop_in=drop_in)


@pytest.mark.parametrize(
    ("holes", "bits"),
    [(0, 0), (1, 1), (2500, 1), (2501, 2), (10_000, 4), (10**18 + 1, 4 * 10**14 + 1)],
)
def test_a_sharp_bit_every_2500_holes(holes: int, bits: int) -> None:
    # UVM: sharpen or change the bit after about 2,500 holes.
    assert bits_for(holes=holes) == bits


@given(st.integers(0, 10**6), st.integers(1, 10**4))
def test_bits_by_another_number_of_holes(holes: int, holes_per_bit: int) -> None:
    assert bits_for(holes=holes, holes_per_bit=holes_per_bit) == ceil(
        Fraction(holes, holes_per_bit)
    )


@pytest.mark.parametrize(
    ("units", "spare_pct", "with_them"),
    [
        (100, 5, 105),
        (1000, 16.1, 1161),  # 161.00000000000003 spares as floats multiply, yet not 162
        (1500, 2.2, 1533),  # 33.00000000000001
        (100, 4.1, 105),  # 4.1 spares are 5
        (1, 5, 2),
        (1, 0, 1),
        (0, 5, 0),  # no spares of what nobody needs
        (257, 100, 514),
    ],
)
def test_spares_on_top(units: int, spare_pct: float, with_them: int) -> None:
    assert with_spare(units=units, spare_pct=spare_pct) == with_them


@given(st.integers(0, 10**7), st.integers(0, 10_000))
def test_spares_in_exact_fractions(units: int, hundredths: int) -> None:
    exact = ceil(units * (1 + Fraction(hundredths, 10_000)))
    assert with_spare(units=units, spare_pct=hundredths / 100) == exact


@pytest.mark.parametrize(
    ("needed", "on_hand", "buy"),
    [(1050, 0, 1050), (1050, 300, 750), (1050, 1050, 0), (1050, 1051, 0), (0, 0, 0), (0, 7, 0)],
)
def test_what_is_left_to_buy(needed: int, on_hand: int, buy: int) -> None:
    assert to_buy(needed=needed, on_hand=on_hand) == buy


def test_a_number_of_pieces_that_cannot_be_is_refused() -> None:
    with pytest.raises(ValueError, match="drops -1: out of range, 0 or more"):
        rolls_for(drops=-1, roll_ft=500, drop_in=36)
    with pytest.raises(ValueError, match="holes -1: out of range, 0 or more"):
        bits_for(holes=-1)
    with pytest.raises(ValueError, match="holes a bit 0: out of range, 1 or more"):
        bits_for(holes=2500, holes_per_bit=0)
    with pytest.raises(ValueError, match="units -1: out of range, 0 or more"):
        with_spare(units=-1, spare_pct=5)
    for spare_pct in (-0.1, 100.1, float("nan")):
        with pytest.raises(ValueError, match=f"spare {spare_pct} %: out of range, 0 to 100"):
            with_spare(units=100, spare_pct=spare_pct)
    with pytest.raises(ValueError, match="needed -1: out of range, 0 or more"):
        to_buy(needed=-1, on_hand=0)
    with pytest.raises(ValueError, match="on hand -1: out of range, 0 or more"):
        to_buy(needed=0, on_hand=-1)
