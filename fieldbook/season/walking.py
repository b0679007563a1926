"""How long it takes to walk a line and listen: by this crew's own record, and the line's length."""

from collections.abc import Iterable
from math import fsum

from msgspec import Struct

from fieldbook.book.entry import Count, Line
from fieldbook.season.ledger import Ledger
from fieldbook.season.plan import Plan
from fieldbook.trade.pace import shrunk_rate

UNKNOWN_HOURS = 0.5
"""For a line of which neither length nor taps are known, nor of any other (from memory)."""


class Walker(Struct, frozen=True):
    """How fast the crew walks its lines, listening.

    Attributes:
        feet_per_hour: Feet of line in an hour.
        feet_per_tap: Feet for each tap, for lines whose length nobody knows; where no length is
            known at all it is 1, and every foot here stands for a tap.
        default_feet_per_hour: The book's default, which fades as the record grows.
        hours: Hours that the record tells of.
        measured: Some length is known.
    """

    feet_per_hour: float
    feet_per_tap: float
    default_feet_per_hour: float
    hours: float
    measured: bool

    def hours_of(self, plan: Plan, line: Line) -> float:
        """Hours that a line takes."""
        feet = self.feet_of(plan, line)
        return feet / self.feet_per_hour if feet else UNKNOWN_HOURS

    def feet_of(self, plan: Plan, line: Line) -> float:
        return plan.length_ft(line) or (plan.taps(line) or 0) * self.feet_per_tap


def walker(ledger: Ledger, *earlier: Ledger) -> Walker:
    """How fast a crew walks, by this season's record and those of earlier ones."""
    plan = ledger.plan
    sizes = [(plan.length_ft(line), plan.taps(line)) for line in plan.lines]
    both = [(feet, taps) for feet, taps in sizes if feet and taps]
    feet_per_tap = fsum(feet for feet, _t in both) / sum(t for _f, t in both) if both else 1.0
    default = plan.number("rate_readings") * feet_per_tap
    known = Walker(default, feet_per_tap, default, 0.0, bool(both))
    walked = [pair for one in (*earlier, ledger) for pair in _walked(one, known)]
    hours = fsum(hours for _feet, hours in walked)
    rate = shrunk_rate(
        units=fsum(feet for feet, _hours in walked),
        hours=hours,
        default_rate=default,
        prior_hours=max(plan.number("rate_prior_hours"), 0.0 if hours else 1.0),
    )
    return Walker(rate, feet_per_tap, default, hours, bool(both))


def _walked(ledger: Ledger, known: Walker) -> Iterable[tuple[float, float]]:
    """Feet that were walked and the hours that took, of every count of readings with hours."""
    task = ledger.plan.counting("readings")
    for entry in ledger.counts():
        if task is not None and entry.task == task.key and _timed(entry):
            line = ledger.plan.line(entry.block, entry.line)
            if line is not None and (feet := known.feet_of(ledger.plan, line)):
                yield feet, entry.hours or 0.0


def _timed(entry: Count) -> bool:
    return bool(entry.count and entry.hours)
