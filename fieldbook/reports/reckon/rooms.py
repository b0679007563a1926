"""Every sum there is, room by room."""

from fieldbook.i18n import _
from fieldbook.reports.reckon import crew, drops, lines, sap, trees
from fieldbook.reports.reckon.sums import Sum
from fieldbook.season import finding

SUMS = {
    made.name: made
    for room in (trees, drops, lines, crew, sap)
    for made in vars(room).values()
    if isinstance(made, Sum)
}
"""The sums by name."""


def find(name: str) -> Sum:
    """The sum of a name, or of its beginning.

    Raises:
        BookError: There is none, or several; names the nearest.
    """
    return finding.find(name, SUMS, what=_("sum"))
