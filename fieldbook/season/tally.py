"""A tally of trees as people type it, `12:40 14:31`, and the size of each class in inches."""

import re
from collections.abc import Sequence

from msgspec.structs import replace

from fieldbook.book.entry import TreeCount
from fieldbook.errors import BookError
from fieldbook.i18n import _
from fieldbook.trade.tapping import dbh_from_girth_in
from fieldbook.trade.units import in_from_cm

_CLASS = re.compile(r"(\d{1,3}(?:\.\d{1,2})?)\s*(in|cm|g)?\s*[:x=]\s*(\d{1,6})")
_FIELDS = {"in": "dbh_in", "cm": "dbh_cm", "g": "girth_in"}
_MOST = {"dbh_in": 60, "dbh_cm": 152, "girth_in": 188}
"""The thickest trees that are believed (from memory)."""

FORM = "12:40 14:31 18:9"


def read_tally(text: str, *, unit: str = "in") -> tuple[TreeCount, ...]:
    """Trees by size, from words such as `12:40 14:31`, `30cm:12` or, by girth in inches, `38g:4`.

    Args:
        text: What was typed.
        unit: Of sizes without one: `in` or `cm`.

    Raises:
        BookError: A word says no size and number, or two say the same size.
    """
    classes: list[TreeCount] = []
    rest = _CLASS.sub(" ", text.casefold())
    if odd := rest.replace(",", " ").replace(";", " ").split():
        raise _not_a_tally(odd[0])
    for size, own_unit, count in _CLASS.findall(text.casefold()):
        name, value = _FIELDS[own_unit or unit], float(size)
        if not 0 < value <= _MOST[name]:
            unit = {"g": _("in around")}.get(own_unit, own_unit or unit)
            raise BookError(
                _("No maple is {size} {unit} thick.").format(size=size, unit=unit),
                _("Diameters are written 12:40 or 30cm:12, girths in inches 38g:4."),
            )
        classes.append(TreeCount(**{name: value}, count=int(count)))
    check_tally(classes)
    return tuple(classes)


def check_tally(classes: Sequence[TreeCount]) -> None:
    """Refuse a tally with no trees, a class without one size, or a size that stands there twice.

    Raises:
        BookError: It is such a one.
    """
    seen: set[TreeCount] = set()
    for trees in classes:
        size = replace(trees, count=0)
        sizes = [x for x in (size.dbh_in, size.girth_in, size.dbh_cm) if x is not None]
        if len(sizes) != 1 or size in seen:
            raise _not_a_tally(f"{_size_words(trees)}:{trees.count}")
        seen.add(size)
    if not any(trees.count for trees in classes):
        raise _not_a_tally("")


def _not_a_tally(word: str) -> BookError:
    return BookError(
        _("{word} does not say a size and how many trees.").format(word=repr(word)),
        _(
            "Write diameter and trees, each size once: {form}; 30cm:12 in centimetres, "
            "38g:4 by girth in inches."
        ).format(form=FORM),
    )


def tally_words(classes: tuple[TreeCount, ...], *, unit: str = "in") -> str:
    """A tally as `read_tally` takes it, with the same unit left out."""
    return " ".join(f"{_size_words(trees, unit)}:{trees.count}" for trees in classes)


def _size_words(trees: TreeCount, unit: str = "in") -> str:
    sizes = {"in": trees.dbh_in, "g": trees.girth_in, "cm": trees.dbh_cm}
    own, size = next(((u, x) for u, x in sizes.items() if x is not None), ("in", 0))
    return f"{size:g}" + own * (own != unit)


def dbh_in(trees: TreeCount) -> float:
    """Diameter at breast height of trees in a tally, in inches, however it was taken.

    0 where a line of somebody else's says no size at all.
    """
    if trees.dbh_in is not None:
        return trees.dbh_in
    if trees.girth_in is not None:
        return dbh_from_girth_in(girth_in=trees.girth_in)
    return in_from_cm(trees.dbh_cm or 0.0)
