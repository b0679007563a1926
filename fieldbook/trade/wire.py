"""The wire a mainline hangs on: its weight, its sag, the tension it needs."""

from math import pi

from fieldbook.trade.mainline import SLOPE, pipe_area_in2
from fieldbook.trade.ranges import Range

CAUTION = (
    "Tensioned wire and come-along: stand clear of the line of pull, wear eye protection and "
    "gloves, never go beyond the rating, check the anchor tree. "
    "Local codes, labels and trained practice come first."
)

WEIGHT = Range("weight", 0, 50, "lb/ft", above=True)
SPAN = Range("span", 0, 1000, "ft", above=True)
TENSION = Range("tension", 0, 10_000, "lb", above=True)

# All from memory
WATER_LB_FT3 = 62.4
SAP_TO_WATER = 1.008  # sap of 2 % sugar
TUBING_LB_FT3 = 59.0  # polyethylene
TUBING_WALL_IN = 0.075

_IN2_PER_FT2 = 144
_IN_PER_FT = 12


def weight_full_lb_ft(
    *,
    diameter_in: float,
    fill: float = 1.0,
    tubing_lb_ft: float | None = None,
    wire_lb_ft: float = 0.025,
) -> float:
    """What a foot of mainline weighs: sap, tubing and wire, in pounds.

    Sap of 2 % at 62.9 lb/ft3 in the bore; polyethylene at 59 lb/ft3 in a wall of 0.075 in, unless
    the weight of the tubing is given; 12.5 gauge steel wire. Source: from memory: put in what is
    true of your woods.

    Args:
        diameter_in: Inner diameter in inches, 0.25 to 6.
        fill: Share of the pipe's depth that sap takes, 0 to 1.
        tubing_lb_ft: Weight of the empty tubing in pounds a foot, 0 to 20, or None if not known.
        wire_lb_ft: Weight of the wire in pounds a foot, 0 to 5.

    Raises:
        ValueError: A value is out of range.
    """
    sap_in2 = pipe_area_in2(diameter_in=diameter_in, fill=fill)
    if tubing_lb_ft is None:
        wall_in2 = pi * TUBING_WALL_IN * (diameter_in + TUBING_WALL_IN)
        tubing_lb_ft = wall_in2 / _IN2_PER_FT2 * TUBING_LB_FT3
    Range("tubing", 0, 20, "lb/ft").check(tubing_lb_ft)
    Range("wire", 0, 5, "lb/ft").check(wire_lb_ft)
    return sap_in2 / _IN2_PER_FT2 * WATER_LB_FT3 * SAP_TO_WATER + tubing_lb_ft + wire_lb_ft


def sag_in(*, weight_lb_ft: float, span_ft: float, tension_lb: float) -> float:
    """How far a line hangs under the straight between two supports, at mid-span, in inches.

    The parabola of a hung line, sag = w L^2 / (8 T); the catenary hangs lower by less than 0.2 %
    while the sag is under 3 % of the span. Source: parabola of a hung line.

    Args:
        weight_lb_ft: Weight of the line in pounds a foot, above 0 to 50.
        span_ft: Distance between supports in feet, above 0 to 1,000.
        tension_lb: Horizontal pull in the wire in pounds, above 0 to 10,000.

    Raises:
        ValueError: A value is out of range.
    """
    WEIGHT.check(weight_lb_ft)
    SPAN.check(span_ft)
    TENSION.check(tension_lb)
    return weight_lb_ft * span_ft**2 / (8 * tension_lb) * _IN_PER_FT


def sag_allowed_in(*, slope_pct: float, span_ft: float) -> float:
    """Most sag with which a sloping line has no belly where sap stands, in inches.

    Slope x span / 4: then the line comes in level at the lower support. Source: parabola of a hung
    line.

    Args:
        slope_pct: Fall over length in percent, above 0 to 100.
        span_ft: Distance between supports in feet, above 0 to 1,000.

    Raises:
        ValueError: A value is out of range.
    """
    SLOPE.check(slope_pct)
    SPAN.check(span_ft)
    return slope_pct / 100 * span_ft / 4 * _IN_PER_FT


def tension_needed_lb(*, weight_lb_ft: float, span_ft: float, slope_pct: float) -> float:
    """Least pull in the wire, in pounds, with which a sloping line has no belly: w L / (2 slope).

    There the sag, w L^2 / (8 T), is the slope x L / 4 it may have. The sum knows no rating: compare
    it with that of the wire, and read the caution. Source: parabola of a hung line.

    Args:
        weight_lb_ft: Weight of the line in pounds a foot, above 0 to 50.
        span_ft: Distance between supports in feet, above 0 to 1,000.
        slope_pct: Fall over length in percent, above 0 to 100.

    Raises:
        ValueError: A value is out of range.
    """
    WEIGHT.check(weight_lb_ft)
    SPAN.check(span_ft)
    SLOPE.check(slope_pct)
    return weight_lb_ft * span_ft / (2 * slope_pct / 100)


def longest_span_ft(*, weight_lb_ft: float, tension_lb: float, slope_pct: float) -> float:
    """Farthest that supports may stand apart, in feet, with no belly between: 2 T slope / w.

    There the sag, w L^2 / (8 T), is the slope x L / 4 it may have. Source: parabola of a hung line.

    Args:
        weight_lb_ft: Weight of the line in pounds a foot, above 0 to 50.
        tension_lb: Horizontal pull in the wire in pounds, above 0 to 10,000.
        slope_pct: Fall over length in percent, above 0 to 100.

    Raises:
        ValueError: A value is out of range.
    """
    WEIGHT.check(weight_lb_ft)
    TENSION.check(tension_lb)
    SLOPE.check(slope_pct)
    return 2 * tension_lb * slope_pct / 100 / weight_lb_ft
