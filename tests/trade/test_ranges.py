"""How a number that cannot be is refused: by name, with its unit and its range."""

import re
from math import inf, nan, nextafter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldbook.trade.ranges import Range

LENGTH = Range("length", 0, 20_000, "ft", above=True)
VACUUM = Range("vacuum", 0, 29.92, "inHg")
FILL = Range("fill", 0, 1, below=True)
TAPS = Range("taps", 1)
RATE = Range("rate", 0, unit="taps an hour", above=True)
GIRTH = Range("girth", 0, 314.1592653589793, "in")


@pytest.mark.parametrize(
    ("quantity", "value", "message"),
    [
        (LENGTH, 0, "length 0 ft: out of range, above 0 to 20,000"),
        (LENGTH, 20_000.5, "length 20000.5 ft: out of range, above 0 to 20,000"),
        (LENGTH, nan, "length nan ft: out of range, above 0 to 20,000"),
        (LENGTH, inf, "length inf ft: out of range, above 0 to 20,000"),
        (VACUUM, -0.1, "vacuum -0.1 inHg: out of range, 0 to 29.92"),
        (VACUUM, 29.93, "vacuum 29.93 inHg: out of range, 0 to 29.92"),
        (FILL, -1, "fill -1: out of range, 0 to below 1"),
        (FILL, 1, "fill 1: out of range, 0 to below 1"),
        (TAPS, 0, "taps 0: out of range, 1 or more"),
        (TAPS, inf, "taps inf: out of range, 1 or more"),
        (TAPS, nan, "taps nan: out of range, 1 or more"),
        (RATE, 0, "rate 0 taps an hour: out of range, above 0"),
        (RATE, -inf, "rate -inf taps an hour: out of range, above 0"),
        (GIRTH, 315, "girth 315 in: out of range, 0 to 314.1593"),
    ],
)
def test_a_value_out_of_range_is_named_with_its_unit_and_the_range(
    quantity: Range, value: float, message: str
) -> None:
    with pytest.raises(ValueError, match=f"^{re.escape(message)}$"):
        quantity.check(value)


def test_of_several_values_the_first_that_is_outside_is_named() -> None:
    with pytest.raises(ValueError, match=r"^vacuum 30 inHg: out of range, 0 to 29\.92$"):
        VACUUM.check(25, 30, -1)


@pytest.mark.parametrize(
    ("quantity", "values"),
    [
        (LENGTH, [nextafter(0, 1), 20_000]),
        (VACUUM, [0, 29.92]),
        (FILL, [0, nextafter(1, 0)]),
        (TAPS, [1, 10**30]),
        (RATE, [nextafter(0, 1), nextafter(inf, 0)]),
        (VACUUM, []),
    ],
)
def test_values_on_the_edges_pass(quantity: Range, values: list[float]) -> None:
    quantity.check(*values)


@given(st.integers(-3, 3), st.integers(-3, 3), st.integers(-4, 4), st.booleans(), st.booleans())
def test_a_range_holds_the_numbers_between_its_ends(
    low: int, high: int, value: int, above: bool, below: bool
) -> None:
    # Counted out on whole numbers: an end that does not belong is one number fewer.
    held = value in range(low + above, high + 1 - below)
    try:
        Range("taps", low, high, above=above, below=below).check(value)
    except ValueError:
        assert not held
    else:
        assert held
