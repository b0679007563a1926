"""What to buy for what is left to do, and what to lay out for each block the night before."""

from collections.abc import Iterator
from datetime import date
from math import ceil
from typing import NamedTuple

from msgspec import Struct

from fieldbook.i18n import _
from fieldbook.reports.listing import Listing, Money
from fieldbook.season.plan import Plan
from fieldbook.season.season import Season
from fieldbook.trade import sources, supplies

TAKEN_BY = {
    "roll": "drops",
    "spout": "taps",
    "tee": "drops",
    "side_tie": "ties",
    "wire_tie": "ties",
    "bit": "taps",
}
"""What each item is used up by: units of the task that counts them."""


class Work(NamedTuple):
    """Units of the work that uses things up."""

    drops: int = 0
    taps: int = 0
    ties: int = 0


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
        counted: In the shed when somebody counted; None if nobody did.
        counted_on: When that was.
        used: What the work recorded since then took.
        on_hand: What is left of them.
        buy: What is lacking.
        price: Of one.
        cost: Of what is lacking.
    """

    item: str
    needed: int
    with_spare: int
    counted: int | None
    counted_on: date | None
    used: int
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
    left = {block: _left(season, block) for block in plan.blocks}
    blocks = [_block_need(plan, block, work) for block, work in left.items()]
    total = BlockNeed(
        "",
        *(sum(getattr(need, name) for need in blocks) for name in BlockNeed.__struct_fields__[1:]),
    )
    together = Work(*map(sum, zip(*left.values(), strict=True))) if left else Work()
    items = tuple(
        _item(season, item, together, getattr(total, item, None))
        for item, unit in TAKEN_BY.items()
        if plan.counting(unit)
    )
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


def work_done(season: Season) -> Work:
    """What was done in the season."""
    return _since(season, date.min)


def _left(season: Season, block: str) -> Work:
    """What is left to do in a block."""
    tallies = {
        unit: season.ledger.cell(task, block).tally.left
        for unit in Work._fields
        for task in [season.plan.counting(unit)]
        if task is not None
    }
    return Work(**tallies)


def _since(season: Season, day: date) -> Work:
    """What was done after a day."""
    units = {task.key: task.counts for task in season.plan.tasks}
    done = dict.fromkeys(Work._fields, 0)
    for entry in season.ledger.counts():
        if entry.day > day and units[entry.task] in done:
            done[units[entry.task]] += entry.count
    return Work(**done)


def takes(plan: Plan, item: str, work: Work) -> int:
    """How many of an item some work takes."""
    renewed = work.ties * plan.number("ties_renewed_pct") / 100
    match item:
        case "roll":
            return supplies.rolls_for(
                drops=work.drops,
                roll_ft=plan.number("roll_ft"),
                drop_in=plan.number("drop_length_in"),
            )
        case "bit":
            return supplies.bits_for(
                holes=work.taps, holes_per_bit=int(plan.number("holes_per_bit"))
            )
        case "side_tie":
            return ceil(round(renewed, 6))
        case "wire_tie":
            wire_ft = renewed * plan.number("tie_spacing_ft")
            return ceil(round(wire_ft / plan.number("wire_tie_spacing_ft"), 6))
        case "spout":
            return work.taps
        case _:
            return work.drops


def _block_need(plan: Plan, block: str, work: Work) -> BlockNeed:
    return BlockNeed(
        block=block,
        drops=work.drops,
        tubing_ft=work.drops * plan.number("drop_length_in") / 12,
        **{item: takes(plan, item, work) for item in ("tee", "spout", "side_tie", "wire_tie")},
    )


def _item(season: Season, item: str, work: Work, laid_out: int | None) -> Item:
    """An item, of which so many are laid out block by block; None where it is not."""
    plan, spare = season.plan, season.plan.number("spare_pct")
    needed = takes(plan, item, work) if laid_out is None else laid_out
    with_spare = supplies.with_spare(units=needed, spare_pct=spare)
    if item == "roll":  # the spare is of drops: whole rolls have some in them already
        drops = supplies.with_spare(units=work.drops, spare_pct=spare)
        with_spare = takes(plan, item, work._replace(drops=drops))
    counted = plan.supply(item)
    used = 0 if counted is None else takes(plan, item, _since(season, counted.day))
    on_hand = 0 if counted is None else max(0, counted.on_hand - used)
    buy, price = supplies.to_buy(needed=with_spare, on_hand=on_hand), plan.number(f"price_{item}")
    return Item(
        item=item,
        needed=needed,
        with_spare=with_spare,
        counted=counted.on_hand if counted else None,
        counted_on=counted.day if counted else None,
        used=used,
        on_hand=on_hand,
        buy=buy,
        price=price,
        cost=buy * price,
    )


def item_word(item: str) -> str:
    return {
        "roll": _("rolls of tubing"),
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
        columns=(
            *("item", "needed", "with_spare", "counted", "counted_on", "used", "on_hand"),
            *("buy", "price", "cost"),
        ),
        heads=(
            *(_("What"), _("Needed"), _("+ spare"), None, _("Counted"), _("Used"), _("On hand")),
            *(_("Buy"), None, _("Cost")),
        ),
        rows=(
            *(
                (
                    *(item_word(item.item), item.needed, item.with_spare, item.counted),
                    *(item.counted_on, item.used or None, item.on_hand, item.buy),
                    *(Money(item.price), Money(round(item.cost, 2))),
                )
                for item in report.items
            ),
            (_("together"), *[None] * 8, Money(round(report.cost, 2))),
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
    if any(item.used for item in report.items):
        yield _(
            "! On hand is what was counted, less what the work recorded since took. Count again: "
            "fieldbook record --on-hand 'spout 4000'."
        )
    elif all(item.counted is None for item in report.items):
        yield _("Nobody counted what is on hand: fieldbook record --on-hand 'spout 4000'.")
    yield _("Drops of {length:g} in: {n} whole ones from a roll. Spare {spare:g} %.").format(
        length=report.drop_length_in, n=report.drops_per_roll, spare=report.spare_pct
    )
    yield f"{sources.BITS}. " + _("Prices and shares: {source}.").format(source=sources.MEMORY)
    yield _(
        "Sanitising chemicals: follow the label and local rules. Food-grade, lead-free parts only."
    )
