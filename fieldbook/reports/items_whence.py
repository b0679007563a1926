"""Where the order of open items, and the sap they cost, come from."""

from collections.abc import Iterable, Iterator

from fieldbook.i18n import N_, _
from fieldbook.reports.open_items import caution, head, where
from fieldbook.reports.whence import Whence
from fieldbook.reports.words import rule_source
from fieldbook.season.items import Item, What
from fieldbook.season.plan import Plan
from fieldbook.season.sap import sap_of_tap
from fieldbook.season.season import Season
from fieldbook.trade import sources

COUNTED = (
    "AORN, guideline for the prevention of retained surgical items: a surplus makes a count "
    "incorrect as well"
)
"""The source of the counts that must balance."""

RULES = {
    "sap_gal_per_tap_day": N_("{n:g} gal a tap on a day when sap runs (sap_gal_per_tap_day)"),
    "sap_at_inhg": N_("{n:g} inHg is what a tap gives that under (sap_at_inhg)"),
    "sap_pct_per_inhg": N_("{n:g} % more for each inHg (sap_pct_per_inhg)"),
    "pump_vacuum_inhg": N_("{n:g} inHg at the pump (pump_vacuum_inhg)"),
}
"""The rules that sap is told by, in words; without a pump the first."""


def items_whence(season: Season, items: Iterable[Item]) -> list[Whence]:
    """Why open items stand in their order, and what they are said to cost.

    Args:
        season: The season.
        items: The items shown.
    """
    return [
        (
            _("The order"),
            (
                _("People first (!!), then what loses sap (!), then work."),
                _("Of these what is overdue, then what loses most sap in a day, then by kind."),
                _("Nothing is stored: an item stands as long as the entries say so."),
            ),
        ),
        *_sap(season, items),
        (
            _("Counts that do not match"),
            (
                _("drops = taps + not tapped - over, on a line that is done"),
                _("taps = spouts pulled + in trees - pulled over"),
                _("spouts issued = set in trees + returned + scrapped + in the bag"),
                _("source: {source}").format(source=COUNTED),
            ),
        ),
        (_("Who is out"), (f"! {caution()}",)),
    ]


def _sap(season: Season, items: Iterable[Item]) -> Iterator[Whence]:
    """How gallons a day come about, by the rules in force, and item by item."""
    plan = season.plan
    rules = list(RULES.items())[: None if plan.under_vacuum else 1]
    yield (
        _("Sap that is lost in a day"),
        (
            _("A shut valve: taps of the line x sap of a tap; a drop not tapped: sap of a tap."),
            *(_at_vacuum(plan) if plan.under_vacuum else ()),
            *(
                said
                for name, form in rules
                for said in (_(form).format(n=plan.number(name)), "  " + rule_source(plan, name))
            ),
            _("source: {source}").format(source=sources.ARITHMETIC),
            *(_cost(season, item) for item in items if item.loses_gal),
        ),
    )


def _at_vacuum(plan: Plan) -> Iterator[str]:
    """What a tap gives at the pump's vacuum, and a leak takes, with the numbers in."""
    numbers = {name: plan.number(name) for name in RULES}
    less = _("(1 + {sap_pct_per_inhg:g} % x {sap_at_inhg:g})").format(**numbers)
    yield _(
        "Sap of a tap, at the pump's vacuum: {sap_gal_per_tap_day:g} gal x "
        "(1 + {sap_pct_per_inhg:g} % x {pump_vacuum_inhg:g}) / {less} = {each:g} gal"
    ).format(**numbers, less=less, each=round(sap_of_tap(plan), 6))
    yield _(
        "A leak: taps x {sap_gal_per_tap_day:g} gal / {less} x {sap_pct_per_inhg:g} % x "
        "inHg lost, where that was read."
    ).format(**numbers, less=less)


def _cost(season: Season, item: Item) -> str:
    """`88 gal: valve shut, Upper Ridge / 3 Boulder main; 176 taps`."""
    said = f"{where(item, season.plan)}: {head(item, season.plan)}"
    form = _("{gal:,.1f} gal: {what}")
    if item.what in (What.VALVE, What.UNTAPPED):
        form = _("{gal:,.1f} gal = {n:,} x {each:g}: {what}")
    each = round(sap_of_tap(season.plan), 6)
    return form.format(gal=item.loses_gal, n=item.amount, each=each, what=said)
