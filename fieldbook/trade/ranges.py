"""What a quantity may be, and how one that cannot be is refused: in the same words everywhere."""

from math import inf
from typing import NamedTuple


class Range(NamedTuple):
    """The values of a quantity for which a sum holds. None is infinite, or not a number.

    Attributes:
        name: What it is called where it is refused.
        low: The least it may be.
        high: The most it may be; infinite if there is no most.
        unit: The unit of all three, none for a plain number.
        above: Whether `low` itself is too little.
        below: Whether `high` itself is too much.
    """

    name: str
    low: float
    high: float = inf
    unit: str = ""
    above: bool = False
    below: bool = False

    def check(self, *values: float) -> None:
        """Let values in the range pass.

        Raises:
            ValueError: One is outside; the message names it, its unit and the range.
        """
        for value in values:
            edge = (self.above and value == self.low) or (self.below and value == self.high)
            if edge or value == inf or not self.low <= value <= self.high:
                quantity = f"{self.name} {value} {self.unit}".rstrip()
                raise ValueError(f"{quantity}: out of range, {self._words()}")

    def _words(self) -> str:
        low = f"{self.low:,.7g}"
        if self.high == inf:
            return f"above {low}" if self.above else f"{low} or more"
        return f"{'above ' * self.above}{low} to {'below ' * self.below}{self.high:,.7g}"
