"""fieldbook: field checklist and season logbook for the crew lead of a sugarbush."""

__version__ = "0.1.0"
