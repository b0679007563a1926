"""Sap and syrup of a day as people type them: `2400 2.1 58`, a dash for what nobody measured."""

from collections.abc import Mapping

from fieldbook.book.entry import MOST_VOLUME
from fieldbook.errors import BookError
from fieldbook.i18n import _

FIELDS = {"us": ("sap_gal", "brix", "syrup_gal"), "metric": ("sap_l", "brix", "syrup_l")}
FORM = "2400 2.1 58"


def read_run(text: str, units: str) -> Mapping[str, float | None]:
    """What was measured of a run: sap, its sweetness, syrup, in this order.

    Args:
        text: Up to three numbers; `-` or nothing for what was not measured.
        units: `us` for gallons, `metric` for litres.

    Raises:
        BookError: A word is no number, or there are too many.
    """
    words = text.replace(";", " ").split()
    names = FIELDS[units]
    if not words or len(words) > len(names):
        raise _not_a_run(text)
    measured: dict[str, float | None] = {}
    for name, word in zip(names, words, strict=False):
        try:
            amount = None if word == "-" else float(word.replace(",", ""))
        except ValueError:
            raise _not_a_run(word) from None
        if amount is not None and not 0 <= amount <= MOST_VOLUME:
            raise _not_a_run(word)
        measured[name] = amount
    return measured


def _not_a_run(word: str) -> BookError:
    return BookError(
        _("{word} does not say what a run brought.").format(word=repr(word)),
        _("Write sap, Brix and syrup: {form}; - for what nobody measured.").format(form=FORM),
    )
