"""Sap and syrup of a day as people type them: `2400 2.1 58`, a dash for what nobody measured."""

import re
from collections.abc import Mapping

from fieldbook.book.entry import MOST_VOLUME
from fieldbook.errors import BookError
from fieldbook.i18n import _
from fieldbook.season.table import settled

FIELDS = {"us": ("sap_gal", "brix", "syrup_gal"), "metric": ("sap_l", "brix", "syrup_l")}
FORM = "2400 2.1 58"
MOST_BRIX = 100

_THOUSANDS = re.compile(r"[1-9]\d{0,2}(,\d{3})+(\.\d*)?")


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
            measured[name] = None if word == "-" else _number(word)
        except ValueError:
            raise _not_a_run(word) from None
    brix = measured.get("brix")
    if brix is not None and not 0 < brix <= MOST_BRIX:
        raise BookError(
            _("{brix:g} Brix is no sweetness of sap.").format(brix=brix),
            _("Write sap, Brix and syrup, in this order: {form}.").format(form=FORM),
        )
    return measured


def _number(word: str) -> float:
    """`2,400` is twenty-four hundred, `2,1` two and a tenth."""
    if _THOUSANDS.fullmatch(word):
        word = word.replace(",", "")
    amount = float(word.replace(",", "."))
    if not 0 <= amount <= MOST_VOLUME:
        raise ValueError(word)
    return settled(amount)


def _not_a_run(word: str) -> BookError:
    return BookError(
        _("{word} does not say what a run brought.").format(word=repr(word)),
        _("Write sap, Brix and syrup: {form}; - for what nobody measured.").format(form=FORM),
    )
