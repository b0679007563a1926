"""Side ties: length over spacing, whole ties. A tie every 30-40 ft: common practice, no source."""

import pytest

from fieldbook.trade.mainline import side_ties
from fieldbook.trade.units import ft_from_m


@pytest.mark.parametrize(
    ("length_ft", "spacing_ft", "ties"),
    [
        (700, 35, 20),
        (700, 30, 24),  # 23 1/3
        (700, 40, 18),  # 17 1/2
        (701, 35, 21),
        (699, 35, 20),
        (20, 35, 1),
        (0, 35, 0),
        (ft_from_m(213.36), 35, 20),  # 700 ft keyed in metres is not 21 by a rounding error
        (0.3 + 0.6, 0.3, 3),  # 0.8999999999999999 ft
        (2.1, 0.7, 3),  # 3.0000000000000004 as floats divide
    ],
)
def test_ties_a_mainline_ought_to_have(length_ft: float, spacing_ft: float, ties: int) -> None:
    assert side_ties(length_ft=length_ft, spacing_ft=spacing_ft) == ties


@pytest.mark.parametrize(("length_ft", "spacing_ft"), [(-1, 35), (700, 0), (700, -35)])
def test_a_length_that_cannot_be_is_refused(length_ft: float, spacing_ft: float) -> None:
    with pytest.raises(ValueError, match="out of range"):
        side_ties(length_ft=length_ft, spacing_ft=spacing_ft)
