"""Every sum of the trade by itself: asked for by name, explained step by step."""

from fieldbook.reports.reckon.asking import FORMS, ask, parser
from fieldbook.reports.reckon.rooms import SUMS, find
from fieldbook.reports.reckon.telling import sums_text, sums_told, told, told_text

__all__ = ["FORMS", "SUMS", "ask", "find", "parser", "sums_text", "sums_told", "told", "told_text"]
