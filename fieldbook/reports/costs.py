"""What the season cost by the hours on record and the book's prices, and what the sap is worth."""

from msgspec import Struct

from fieldbook.i18n import _
from fieldbook.reports.listing import Listing, Money
from fieldbook.reports.sap import Sap
from fieldbook.reports.supplies import TAKEN_BY, item_word, takes, work_done
from fieldbook.reports.work import WorkReport
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
        parts: One by one.
        cost: All together.
        cost_per_tap: For a tap; None without taps.
        cost_per_syrup_gal: For a gallon of syrup; None where nobody said how much was made.
        sap_worth: What the sap that was measured is worth at the book's price; None without.
        timed_share: Share of the counts whose hours are known; the rest is in no cost.
    """

    parts: tuple[CostPart, ...]
    cost: float
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
    hours, wage = work.hours or 0.0, plan.number("wage_per_hour")
    parts = [CostPart("hours", hours, wage, hours * wage)]
    for item, unit in TAKEN_BY.items():
        if plan.counting(unit):
            used, price = takes(plan, item, done), plan.number(f"price_{item}")
            parts.append(CostPart(item, used, price, used * price))
    total = sum(part.cost for part in parts)
    made = sap.syrup_gal
    worth = None if sap.sap_gal is None else sap.sap_gal * plan.number("sap_value_per_gal")
    return Costs(
        parts=tuple(parts),
        cost=total,
        cost_per_tap=total / work.taps if work.taps else None,
        cost_per_syrup_gal=total / made if made else None,
        sap_worth=worth,
        timed_share=work.timed_share,
    )


def costs_listing(report: Costs) -> Listing:
    """What was used, at which price."""
    notes = [_("Prices, wage and value of sap are rules of the book: fieldbook setting.")]
    if report.timed_share is not None and report.timed_share < 1:
        notes.append(
            _(
                "! only {share:.0%} of the counts say how long they took: other hours are missing"
            ).format(share=report.timed_share)
        )
    rows: list[tuple[object, ...]] = [
        (
            _("hours") if part.what == "hours" else item_word(part.what),
            *(part.used, Money(part.price), Money(part.cost)),
        )
        for part in report.parts
    ]
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
    said = [_("Cost {cost:,.2f}").format(cost=report.cost)]
    if report.cost_per_tap is not None:
        said[0] += ", " + _("{cost:,.2f} a tap").format(cost=report.cost_per_tap)
    if report.cost_per_syrup_gal is not None:
        each = _("{cost:,.2f} a gallon of syrup").format(cost=report.cost_per_syrup_gal)
        said[0] += f", {each}"
    if report.sap_worth is not None:
        said.append(_("Sap worth {worth:,.2f} at the book's price").format(worth=report.sap_worth))
    return said
