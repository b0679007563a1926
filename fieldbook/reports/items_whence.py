"""Where the order of open items, and the sap they cost, come from."""

from collections.abc import Iterable, Iterator

from fieldbook.i18n import _
from fieldbook.reports.open_items import caution, head, where
from fieldbook.reports.whence import Whence
from fieldbook.reports.words import rule_source
from fieldbook.season.items import Item, What
from fieldbook.season.sap import sap_of_tap
from fieldbook.season.season import Season
from fieldbook.trade import sources

COUNTED = (
    "AORN, guideline for the prevention of retained surgical items: a surplus makes a count "
    "incorrect as well"
)
"""The source of the counts that must balance."""


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
    each = _("{n:g} gal a tap on a day when sap runs (sap_gal_per_tap_day)")
    pct = _("{n:g} % of it for each inHg (sap_pct_per_inhg)")
    yield (
        _("Sap that is lost in a day"),
        (
            _("A shut valve: taps of the line x sap of a tap; a drop not tapped: sap of a tap."),
            _("Both at the pump's vacuum: x (1 + share x pump_vacuum_inhg) / (1 + share x")
            + " sap_at_inhg)",
            _("A leak: taps x sap of a tap x share for each inHg x inHg lost, where it was read."),
            each.format(n=plan.number("sap_gal_per_tap_day")),
            "  " + rule_source(plan, "sap_gal_per_tap_day"),
            pct.format(n=plan.number("sap_pct_per_inhg")),
            "  " + rule_source(plan, "sap_pct_per_inhg"),
            _("source: {source}").format(source=sources.ARITHMETIC),
            *(_cost(season, item) for item in items if item.loses_gal),
        ),
    )


def _cost(season: Season, item: Item) -> str:
    """`88 gal: valve shut, Upper Ridge / 3 Boulder main; 176 taps`."""
    said = f"{where(item, season.plan)}: {head(item, season.plan)}"
    form = _("{gal:,.1f} gal: {what}")
    if item.what in (What.VALVE, What.UNTAPPED):
        form = _("{gal:,.1f} gal = {n:,} x {each:g}: {what}")
    each = round(sap_of_tap(season.plan), 6)
    return form.format(gal=item.loses_gal, n=item.amount, each=each, what=said)
