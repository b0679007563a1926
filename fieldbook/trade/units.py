"""Quantities in the units people key and read.

The factors are exact by definition, but for the inch of mercury, which is conventional
(NIST SP 811).
"""

MM_PER_IN = 25.4
CM_PER_IN = 2.54
M_PER_FT = 0.3048
SQ_FT_PER_ACRE = 43_560
L_PER_GAL = 3.785411784
KG_PER_LB = 0.45359237
KPA_PER_INHG = 3.386389


def ft_from_m(length_m: float) -> float:
    return length_m / M_PER_FT


def m_from_ft(length_ft: float) -> float:
    return length_ft * M_PER_FT


def in_from_mm(length_mm: float) -> float:
    return length_mm / MM_PER_IN


def mm_from_in(length_in: float) -> float:
    return length_in * MM_PER_IN


def in_from_cm(length_cm: float) -> float:
    return length_cm / CM_PER_IN


def cm_from_in(length_in: float) -> float:
    return length_in * CM_PER_IN


def gal_from_l(volume_l: float) -> float:
    """US gallons, of 231 cubic inches."""
    return volume_l / L_PER_GAL


def l_from_gal(volume_gal: float) -> float:
    return volume_gal * L_PER_GAL


def inhg_from_kpa(pressure_kpa: float) -> float:
    return pressure_kpa / KPA_PER_INHG


def kpa_from_inhg(pressure_inhg: float) -> float:
    return pressure_inhg * KPA_PER_INHG


def lb_from_kg(mass_kg: float) -> float:
    return mass_kg / KG_PER_LB


def kg_from_lb(mass_lb: float) -> float:
    return mass_lb * KG_PER_LB
