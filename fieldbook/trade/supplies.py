"""Supplies: whole rolls, bits and spares, and what is left to buy."""

from math import ceil, floor

from fieldbook.trade.ranges import Range

BIT_HOLES = 2500
"""Holes after which a bit is sharpened or changed (UVM: about 2,500)."""


def drops_per_roll(*, roll_ft: float, drop_in: float) -> int:
    """Whole drops that are cut from a roll of tubing: its length over theirs, rounded down.

    The end of a roll that is shorter than a drop is waste. Source: arithmetic on the numbers given;
    drops are 30-36 in long: Perkins 2014; UVM.

    Args:
        roll_ft: Length of a roll in feet, up to 10,000; at least one drop long.
        drop_in: Length of a drop in inches, 1 to 120.

    Raises:
        ValueError: A length is out of range, or the roll is shorter than a drop.
    """
    Range("drop", 1, 120, "in").check(drop_in)
    Range("roll", 0, 10_000, "ft", above=True).check(roll_ft)
    drops = floor(_settled(12 * roll_ft / drop_in))
    if drops == 0:
        raise ValueError(f"roll {roll_ft} ft: out of range, a drop of {drop_in} in or longer")
    return drops


def rolls_for(*, drops: int, roll_ft: float, drop_in: float) -> int:
    """Whole rolls of tubing for so many drops: drops over drops a roll, rounded up.

    More than by length alone, since no drop is pieced together from the ends of two rolls. Source:
    arithmetic on the numbers given.

    Args:
        drops: Drops to make, 0 or more.
        roll_ft: Length of a roll in feet, up to 10,000; at least one drop long.
        drop_in: Length of a drop in inches, 1 to 120.

    Raises:
        ValueError: The drops or a length are out of range.
    """
    Range("drops", 0).check(drops)
    return _packs(drops, drops_per_roll(roll_ft=roll_ft, drop_in=drop_in))


def bits_for(*, holes: int, holes_per_bit: int = BIT_HOLES) -> int:
    """Sharp bits for so many holes: holes over holes a bit, rounded up.

    Source: UVM: sharpen or change the bit after about 2,500 holes.

    Args:
        holes: Holes to drill, 0 or more.
        holes_per_bit: Holes after which a bit is changed, 1 or more.

    Raises:
        ValueError: A number of holes is out of range.
    """
    Range("holes", 0).check(holes)
    Range("holes a bit", 1).check(holes_per_bit)
    return _packs(holes, holes_per_bit)


def with_spare(*, units: int, spare_pct: float) -> int:
    """Units with a spare share on top: units x (1 + spare / 100), rounded up.

    Source: arithmetic on the numbers given.

    Args:
        units: Units the work takes, 0 or more.
        spare_pct: Spare on top in percent, 0 to 100.

    Raises:
        ValueError: The units or the spare are out of range.
    """
    Range("units", 0).check(units)
    Range("spare", 0, 100, "%").check(spare_pct)
    return units + ceil(_settled(units * spare_pct / 100))


def to_buy(*, needed: int, on_hand: int) -> int:
    """Units still to buy: needed less on hand, and none where there are enough.

    Source: arithmetic on the numbers given.

    Args:
        needed: Units the work takes, spares with them, 0 or more.
        on_hand: Units on the shelf, 0 or more.

    Raises:
        ValueError: A number of units is out of range.
    """
    Range("needed", 0).check(needed)
    Range("on hand", 0).check(on_hand)
    return max(0, needed - on_hand)


def _packs(units: int, units_a_pack: int) -> int:
    return -(-units // units_a_pack)  # rounded up in whole numbers, exact at any size


def _settled(units: float) -> float:
    # The last digits of a float must not cost a drop or add a spare.
    return round(units, 6)
