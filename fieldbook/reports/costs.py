"""What the season cost by the hours on record and the book's prices, and what the sap is worth."""

from math import fsum

from msgspec import Struct

from fieldbook.i18n import _
from fieldbook.reports.listing import Listing, Money
from fieldbook.reports.sap import Sap
from fieldbook.reports.supplies import TAKEN_BY, item_word, takes, work_done
from fieldbook.reports.work import WorkReport, share_words
from fieldbook.season.season import Season


class CostPart(Struct, frozen=True):
    """One thing that cost money.

    Attributes:
        what: hours, or the item.
        used: How many hours or items.
        price: Of one, by the book.
        cost: Of all.
    """

    what: str
    used: float
    price: float
    cost: float


class Costs(Struct, frozen=True):
    """What the season cost.

    Attributes:
        parts: One by one; what nobody wrote down or used up is left out.
        cost: All together; None where there is nothing to add up.
        cost_per_tap: For a tap; None without taps.
        cost_per_syrup_gal: For a gallon of syrup; None where nobody said how much was made.
        sap_worth: What the sap that was measured is worth at the book's price; None without.
        timed_share: Share of the counts whose hours are known; the rest is in no cost.
    """

    parts: tuple[CostPart, ...]
    cost: float | None
    cost_per_tap: float | None
    cost_per_syrup_gal: float | None
    sap_worth: float | None
    timed_share: float | None


def costs(season: Season, work: WorkReport, sap: Sap) -> Costs:
    """What a season cost.

    Raises:
        ValueError: A roll of the book's is shorter than a drop.
    """
    plan, done = season.plan, work_done(season)
    parts = []
    if work.hours is not None:
        parts.append(_part("hours", work.hours, plan.number("wage_per_hour")))
    for item, unit in TAKEN_BY.items():
        used = takes(plan, item, done) if plan.counting(unit) else 0
        if used:
            parts.append(_part(item, used, plan.number(f"price_{item}")))
    total = fsum(part.cost for part in parts) if parts else None
    worth = None if sap.sap_gal is None else sap.sap_gal * plan.number("sap_value_per_gal")
    return Costs(
        parts=tuple(parts),
        cost=total,
        cost_per_tap=_each(total, work.taps),
        cost_per_syrup_gal=_each(total, sap.syrup_gal),
        sap_worth=worth,
        timed_share=work.timed_share,
    )


def _part(what: str, used: float, price: float) -> CostPart:
    return CostPart(what, used, price, round(used * price, 2))


def _each(cost: float | None, many: float | None) -> float | None:
    return cost / many if cost is not None and many else None


def costs_listing(report: Costs) -> Listing:
    """What was used, at which price."""
    notes = [_("Prices, wage and value of sap are rules of the book: fieldbook setting.")]
    if report.timed_share == 0:
        notes.insert(0, _("! no hours were written down: what they cost is missing"))
    elif report.timed_share is not None and report.timed_share < 1:
        notes.insert(
            0,
            _(
                "! only {share} of the counts say how long they took: other hours are missing"
            ).format(share=share_words(report.timed_share)),
        )
    rows: list[tuple[object, ...]] = [
        (
            _("hours") if part.what == "hours" else item_word(part.what),
            *(part.used, Money(part.price), Money(part.cost)),
        )
        for part in report.parts
    ]
    if report.cost is not None:
        rows.append((_("together"), None, None, Money(report.cost)))
    return Listing(
        name="costs",
        title=_("What the work used, at the book's prices"),
        columns=("what", "used", "price", "cost"),
        heads=(_("What"), _("Used"), _("Price"), _("Cost")),
        rows=tuple(rows),
        notes=tuple(notes),
    )


def costs_words(report: Costs) -> list[str]:
    """What it comes to a tap and a gallon of syrup, and what the sap is worth."""
    said = [_("Nothing that costs money was counted.")]
    if report.cost is not None:
        said = [_("Cost {cost:,.2f}").format(cost=report.cost)]
    if report.cost_per_tap is not None:
        said[0] += ", " + _("{cost:,.2f} a tap").format(cost=report.cost_per_tap)
    if report.cost_per_syrup_gal is not None:
        each = _("{cost:,.2f} a gallon of syrup").format(cost=report.cost_per_syrup_gal)
        said[0] += f", {each}"
    if report.sap_worth is not None:
        said.append(_("Sap worth {worth:,.2f} at the book's price").format(worth=report.sap_worth))
    return said
