"""Mainlines: what holds them up."""

from math import ceil


def side_ties(*, length_ft: float, spacing_ft: float) -> int:
    """Side ties that hold a mainline straight and on grade: its length over their spacing.

    A tie every 30-40 ft is common practice, no source.

    Args:
        length_ft: Length of the mainline in feet, at least 0.
        spacing_ft: Distance between ties in feet, more than 0.

    Raises:
        ValueError: A length is out of range.
    """
    if length_ft < 0 or spacing_ft <= 0:
        raise ValueError(f"length {length_ft} ft over spacing {spacing_ft} ft: out of range")
    return ceil(round(length_ft / spacing_ft, 9))
