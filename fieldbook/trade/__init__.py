"""The sums of the trade: pure functions, units in the names, the source in the docstring."""
