"""Rows as CSV that opens clean in a spreadsheet."""

import csv
import io
from collections.abc import Iterable, Sequence
from datetime import datetime

from fieldbook.reports.summary import Summary
from fieldbook.season.table import guard


def to_csv(header: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """CSV text (RFC 4180, but LF) of rows under a header.

    Text that a spreadsheet would take for a formula gets an apostrophe in front, which shows that
    it is text; numbers stay numbers, and None is an empty cell.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(header)
    writer.writerows([_cell(value) for value in row] for row in rows)
    return out.getvalue()


def _cell(value: object) -> object:
    if isinstance(value, str):
        return guard(value)
    if isinstance(value, datetime):
        return value.isoformat()
    if isinstance(value, float):
        return f"{value:.12g}"
    return value


def summary_csv(summary: Summary) -> str:
    """The summary block by block and task by task, a row each."""
    fields = ("task", "planned", "done", "left", "short", "over", "percent", "standing")
    rows = (
        (summary.season, summary.as_of, block.block, *(getattr(part, f) for f in fields))
        for block in summary.blocks
        for part in block.tasks
    )
    return to_csv(("season", "as_of", "block", *fields), rows)
