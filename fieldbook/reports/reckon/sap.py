"""Sums of sap and syrup, by the revised rule of 86 and by the plain one."""

from functools import partial
from typing import NamedTuple

from fieldbook.i18n import _
from fieldbook.reports.reckon.sums import Answer, reckoned
from fieldbook.trade import sap as sugar
from fieldbook.trade import sources


class _PerGallon(NamedTuple):
    """Sap for a gallon of syrup.

    Attributes:
        light: Of 66.0 Brix, by the revised rule.
        heavy: Of 66.9 Brix.
        by_86: By the plain rule; None where that does not hold.
    """

    light: float
    heavy: float
    by_86: float | None


def _per_gallon(brix: float) -> _PerGallon:
    light = sugar.sap_per_syrup_revised(brix=brix, syrup_brix=66.0)
    heavy = sugar.sap_per_syrup_revised(brix=brix, syrup_brix=66.9)
    try:
        return _PerGallon(light, heavy, sugar.sap_per_syrup_86(brix=brix))
    except ValueError:
        return _PerGallon(light, heavy, None)


def _answer(
    per: _PerGallon, result: dict[str, float | None], said: str, by_86: str, all_of_it: str
) -> Answer:
    """What both sums have in common: the sap for a gallon of syrup, and its rules."""
    return Answer(
        result=result | {f"sap_gal_per_gal_{name}": value for name, value in per._asdict().items()},
        said=(
            said,
            by_86
            if per.by_86 is not None
            else _("The rule of 86 does not hold for it: 0.5 to 10 Brix."),
        ),
        steps=(
            _("Sap for a gallon of syrup = 87.1 / Brix of the sap - 0.32, for syrup of 66.0 Brix"),
            _("87.1 / {brix} - 0.32 = {sap_gal_per_gal_light} gal"),
            _("For syrup of 66.9 Brix: 88.2 / {brix} - 0.32 = {sap_gal_per_gal_heavy} gal"),
            *[_("By the rule of 86: 86 / {brix} = {sap_gal_per_gal_by_86} gal")]
            * (per.by_86 is not None),
            all_of_it,
        ),
        rule=_("87.1 / Brix - 0.32 for syrup of 66.0 Brix, 88.2 for 66.9; 86 / Brix beside it"),
        source=f"{sources.REVISED_86}; {sources.RULE_OF_86}",
    )


@reckoned()
def sap(*, brix: float, gal: float) -> Answer:
    """Syrup that sap makes.

    Left out:
        Sugar sand, foam, and what sticks to the pans. The rule of 86 breaks for concentrate, so
        nothing is said by it outside 0.5 to 10 Brix.

    Example:
        --brix 2 --gal 100

    Args:
        brix: Sweetness of the sap or concentrate in Brix, above 0 to 66.
        gal: Sap in gallons, 0 or more.
    """
    made = partial(sugar.syrup_gal, sap_gal=gal, brix=brix)
    light, per = made(), _per_gallon(brix)
    return _answer(
        per,
        {
            "syrup_gal": light,
            "syrup_gal_heavy": made(syrup_brix=66.9),
            "syrup_gal_by_86": None if per.by_86 is None else made(rule="86"),
        },
        _("{syrup_gal} gal of syrup of 66.0 Brix, or {syrup_gal_heavy} gal of 66.9."),
        _("By the rule of 86 it would be {syrup_gal_by_86} gal."),
        _("Syrup = sap / sap for a gallon = {gal} / {sap_gal_per_gal_light} = {syrup_gal} gal"),
    )


@reckoned()
def syrup(*, syrup_gal: float, brix: float) -> Answer:
    """Sap that syrup takes.

    Left out:
        Sugar sand, foam, and what sticks to the pans. The rule of 86 breaks for concentrate, so
        nothing is said by it outside 0.5 to 10 Brix.

    Example:
        --syrup-gal 10 --brix 2

    Args:
        syrup_gal: Syrup in gallons, 0 or more.
        brix: Sweetness of the sap or concentrate in Brix, above 0 to 66.
    """
    taken = partial(sugar.sap_gal_for, syrup_gal=syrup_gal, brix=brix)
    light, per = taken(), _per_gallon(brix)
    return _answer(
        per,
        {
            "sap_gal": light,
            "sap_gal_heavy": taken(syrup_brix=66.9),
            "sap_gal_by_86": None if per.by_86 is None else taken(rule="86"),
        },
        _("{sap_gal} gal of sap for syrup of 66.0 Brix, {sap_gal_heavy} gal for 66.9."),
        _("By the rule of 86 it would be {sap_gal_by_86} gal."),
        _("Sap = syrup x sap for a gallon = {syrup_gal} x {sap_gal_per_gal_light} = {sap_gal} gal"),
    )
