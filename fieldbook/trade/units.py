"""Lengths in the units people key and read. The factors are exact by definition (NIST SP 811)."""

MM_PER_IN = 25.4
M_PER_FT = 0.3048


def ft_from_m(length_m: float) -> float:
    return length_m / M_PER_FT


def m_from_ft(length_ft: float) -> float:
    return length_ft * M_PER_FT


def in_from_mm(length_mm: float) -> float:
    return length_mm / MM_PER_IN


def mm_from_in(length_in: float) -> float:
    return length_in * MM_PER_IN
