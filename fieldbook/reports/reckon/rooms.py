"""Every sum there is, room by room."""

from fieldbook.errors import BookError
from fieldbook.i18n import _
from fieldbook.reports.reckon import crew, drops, lines, sap, trees
from fieldbook.reports.reckon.sums import Sum

SUMS = {
    made.name: made
    for room in (trees, drops, lines, crew, sap)
    for made in vars(room).values()
    if isinstance(made, Sum)
}
"""The sums by name."""


def find(name: str) -> Sum:
    """The sum of a name.

    Raises:
        BookError: There is none.
    """
    if name not in SUMS:
        raise BookError(
            _("There is no sum {name}.").format(name=repr(name)),
            _("The sums are: {names}.").format(names=", ".join(SUMS)),
        )
    return SUMS[name]
