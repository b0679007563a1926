"""Every sum of the trade by itself: asked for by name, explained step by step."""

# Each room puts its sums among SUMS, in this order.
from fieldbook.reports.reckon import trees  # isort: skip
from fieldbook.reports.reckon import drops  # isort: skip
from fieldbook.reports.reckon import lines  # isort: skip
from fieldbook.reports.reckon import crew  # isort: skip
from fieldbook.reports.reckon import sap  # isort: skip
from fieldbook.reports.reckon.asking import ask, find, parser
from fieldbook.reports.reckon.sums import SUMS
from fieldbook.reports.reckon.telling import sums_text, told, told_text

ROOMS = (trees, drops, lines, crew, sap)

__all__ = ["SUMS", "ask", "find", "parser", "sums_text", "told", "told_text"]
