"""Widgets drawn line by line, so that a season or a logbook of any length opens at once."""
