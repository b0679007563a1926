"""What to buy for what is left to do, and what to lay out for each block the night before."""

from collections.abc import Iterator
from math import ceil

from msgspec import Struct

from fieldbook.i18n import _
from fieldbook.reports.listing import Listing
from fieldbook.season.plan import Plan
from fieldbook.season.season import Season
from fieldbook.season.settings import ITEMS
from fieldbook.trade import sources, supplies


class BlockNeed(Struct, frozen=True):
    """What the work left in a block takes, without spare.

    Attributes:
        block: Its name; empty for all together.
        drops: Drops to hang.
        tubing_ft: Tubing of which they are cut, waste not counted.
        tee: Tees of new drops.
        spout: Spouts of taps to drill.
        side_tie: Side ties to renew.
        wire_tie: Wire ties to renew.
    """

    block: str
    drops: int
    tubing_ft: float
    tee: int
    spout: int
    side_tie: int
    wire_tie: int


class Item(Struct, frozen=True):
    """Something to buy.

    Attributes:
        item: What: roll, spout, tee, side_tie, wire_tie, bit.
        needed: For the work that is left.
        with_spare: With the book's spare.
        on_hand: In the shed.
        buy: What is lacking.
        price: Of one.
        cost: Of what is lacking.
    """

    item: str
    needed: int
    with_spare: int
    on_hand: int
    buy: int
    price: float
    cost: float


class Supplies(Struct, frozen=True):
    """What to buy, and what each block takes.

    Attributes:
        blocks: Block by block, then all together.
        items: Item by item.
        cost: Of all that is lacking.
        drop_length_in: Length of a drop.
        drops_per_roll: Whole drops that a roll gives.
        spare_pct: The book's spare.
    """

    blocks: tuple[BlockNeed, ...]
    items: tuple[Item, ...]
    cost: float
    drop_length_in: float
    drops_per_roll: int
    spare_pct: float


def supplies_needed(season: Season) -> Supplies:
    """What the work that is left takes.

    Raises:
        ValueError: A roll of the book's is shorter than a drop.
    """
    plan = season.plan
    blocks = [_block_need(season, block) for block in plan.blocks]
    total = BlockNeed(
        "",
        *(sum(getattr(need, name) for need in blocks) for name in BlockNeed.__struct_fields__[1:]),
    )
    items = tuple(_item(plan, item, total) for item in ITEMS)
    return Supplies(
        blocks=(*blocks, total),
        items=items,
        cost=sum(item.cost for item in items),
        drop_length_in=plan.number("drop_length_in"),
        drops_per_roll=supplies.drops_per_roll(
            roll_ft=plan.number("roll_ft"), drop_in=plan.number("drop_length_in")
        ),
        spare_pct=plan.number("spare_pct"),
    )


def _block_need(season: Season, block: str) -> BlockNeed:
    plan, ledger = season.plan, season.ledger
    tasks = {unit: plan.counting(unit) for unit in ("drops", "taps", "ties")}
    left = {
        unit: ledger.cell(task, block).tally.left if task else 0 for unit, task in tasks.items()
    }
    renewed = plan.number("ties_renewed_pct") / 100
    wire_ft = left["ties"] * plan.number("tie_spacing_ft")
    return BlockNeed(
        block=block,
        drops=left["drops"],
        tubing_ft=left["drops"] * plan.number("drop_length_in") / 12,
        tee=left["drops"],
        spout=left["taps"],
        side_tie=ceil(round(left["ties"] * renewed, 6)),
        wire_tie=ceil(round(wire_ft / plan.number("wire_tie_spacing_ft") * renewed, 6)),
    )


def _item(plan: Plan, item: str, total: BlockNeed) -> Item:
    spare = plan.number("spare_pct")
    if item == "roll":
        needed, with_spare = (
            supplies.rolls_for(
                drops=drops,
                roll_ft=plan.number("roll_ft"),
                drop_in=plan.number("drop_length_in"),
            )
            for drops in (
                total.drops,
                supplies.with_spare(units=total.drops, spare_pct=spare),
            )
        )
    elif item == "bit":
        holes = int(plan.number("holes_per_bit"))
        needed = supplies.bits_for(holes=total.spout, holes_per_bit=holes)
        with_spare = supplies.with_spare(units=needed, spare_pct=spare)
    else:
        needed = getattr(total, item)
        with_spare = supplies.with_spare(units=needed, spare_pct=spare)
    on_hand, price = plan.on_hand(item), plan.number(f"price_{item}")
    buy = supplies.to_buy(needed=with_spare, on_hand=on_hand)
    return Item(item, needed, with_spare, on_hand, buy, price, buy * price)


def item_word(item: str) -> str:
    return {
        "roll": _("rolls of drop tubing"),
        "spout": _("spouts"),
        "tee": _("tees"),
        "side_tie": _("side ties"),
        "wire_tie": _("wire ties"),
        "bit": _("bits"),
    }[item]


def supplies_listings(report: Supplies) -> tuple[Listing, Listing]:
    """What to buy, and what to lay out block by block, as tables."""
    buy = Listing(
        name="buy",
        title=_("To buy, for what is left to do"),
        columns=("item", "needed", "with_spare", "on_hand", "buy", "price", "cost"),
        heads=(
            *(_("What"), _("Needed"), _("With spare"), _("On hand"), _("Buy"), _("Price")),
            _("Cost"),
        ),
        rows=(
            *(
                (
                    *(item_word(item.item), item.needed, item.with_spare, item.on_hand, item.buy),
                    *(item.price, round(item.cost, 2)),
                )
                for item in report.items
            ),
            (_("together"), None, None, None, None, None, round(report.cost, 2)),
        ),
        notes=tuple(_notes(report)),
    )
    blocks = Listing(
        name="blocks",
        title=_("To lay out, block by block, without spare"),
        columns=BlockNeed.__struct_fields__,
        heads=(
            *(_("Block"), _("Drops"), _("Tubing ft"), _("Tees"), _("Spouts"), _("Side ties")),
            _("Wire ties"),
        ),
        rows=tuple(
            (
                *(need.block or _("together"), need.drops, round(need.tubing_ft, 1), need.tee),
                *(need.spout, need.side_tie, need.wire_tie),
            )
            for need in report.blocks
        ),
    )
    return buy, blocks


def _notes(report: Supplies) -> Iterator[str]:
    yield _("Drops of {length:g} in: {n} whole ones from a roll. Spare {spare:g} %.").format(
        length=report.drop_length_in, n=report.drops_per_roll, spare=report.spare_pct
    )
    yield f"{sources.BITS}. " + _("Prices and shares: {source}.").format(source=sources.MEMORY)
    yield _(
        "Sanitising chemicals: follow the label and local rules. Food-grade, lead-free parts only."
    )
