"""How old the drops of each line are, which are due, and which cycle costs least."""

from collections.abc import Iterator, Sequence

from msgspec import Struct

from fieldbook.book.entry import Line
from fieldbook.i18n import _, ngettext
from fieldbook.reports.listing import Listing, Money
from fieldbook.season.plan import Plan
from fieldbook.season.season import Season
from fieldbook.trade import drops, sources
from fieldbook.trade.supplies import drops_per_roll


class LineDrops(Struct, frozen=True):
    """The drops of a line.

    Attributes:
        block: Its block.
        line: Its name.
        hung: Season they were hung for; None if nobody knows.
        age: Seasons they have hung; None if nobody knows.
        due: They are to be replaced this season; of unknown age they are.
        planned: Drops to replace this season, after any target for the line.
        replaced: Drops replaced so far.
        left: Drops left to replace.
        gain_per_tap: What replacing them gains a tap this season, over what a drop costs a year.
    """

    block: str
    line: str
    hung: int | None
    age: int | None
    due: bool
    planned: int | None
    replaced: int | None
    left: int | None
    gain_per_tap: float | None


class Drops(Struct, frozen=True):
    """The drops of the season, and what the book's prices say of the cycle.

    Attributes:
        cycle_years: The book's cycle.
        lines: Line by line.
        drop_cost: Tubing, tee and work of a drop.
        losses: What a tap loses in a year by the age of its drop, new ones first.
        cycle_costs: Cost of a tap and year by length of the cycle, one year first.
        best_cycle: The cycle that costs least.
    """

    cycle_years: int
    lines: tuple[LineDrops, ...]
    drop_cost: float
    losses: tuple[float, ...]
    cycle_costs: tuple[float, ...]
    best_cycle: int


def drops_due(season: Season) -> Drops:
    """The drops of every line, and the cycle that costs least at the book's prices."""
    plan = season.plan
    losses = tuple(
        drops.losses_by_age(
            loss_pct_by_age=_loss_pct(plan),
            sap_gal_per_tap=plan.number("sap_gal_per_tap"),
            value_per_gal=plan.number("sap_value_per_gal"),
        )
    )
    cost = drop_cost(plan)
    return Drops(
        cycle_years=int(plan.number("drop_cycle_years")),
        lines=tuple(_line_drops(season, line, cost) for line in plan.lines),
        drop_cost=cost,
        losses=losses,
        cycle_costs=tuple(
            drops.yearly_cost(cycle_years=years, drop_cost=cost, losses=losses)
            for years in range(1, len(losses) + 1)
        ),
        best_cycle=drops.best_cycle(drop_cost=cost, losses=losses).years,
    )


def drop_cost(plan: Plan) -> float:
    """What a drop costs: its tubing, its tee, and the work of hanging it. The spout is new anyway.

    Raises:
        ValueError: A roll of the book's is shorter than a drop.
    """
    a_roll = drops_per_roll(roll_ft=plan.number("roll_ft"), drop_in=plan.number("drop_length_in"))
    work = plan.number("wage_per_hour") / plan.number("rate_drops")
    return plan.number("price_roll") / a_roll + plan.number("price_tee") + work


def _loss_pct(plan: Plan) -> list[float]:
    return [float(share) for share in str(plan.setting("loss_pct_by_age")).split(",")]


def _line_drops(season: Season, line: Line, cost: float) -> LineDrops:
    plan, ledger = season.plan, season.ledger
    task = plan.counting("drops")
    cycle = int(plan.number("drop_cycle_years"))
    age = drops.drop_age_years(hung=line.drops_hung, season=season.year)
    return LineDrops(
        block=line.block,
        line=line.line,
        hung=line.drops_hung,
        age=age,
        due=drops.drop_due(hung=line.drops_hung, season=season.year, cycle_years=cycle),
        planned=ledger.planned(line, task) if task else plan.drops_due(line),
        replaced=ledger.record(line.block, line.line, task.key).done if task else None,
        left=ledger.line_cell(line, task).tally.left if task else None,
        gain_per_tap=None if age is None else _gain(plan, age, cost / cycle),
    )


def _gain(plan: Plan, age: int, cost_a_year: float) -> float:
    """What a new drop gains a tap this season, over one of an age."""
    lost, sap = _loss_pct(plan), plan.number("sap_gal_per_tap")
    old = lost[min(age, len(lost) - 1)]  # past the end of the table they lose no more
    return drops.net_gain_per_tap(
        yield_old_gal=sap * (1 - old / 100),
        yield_new_gal=sap * (1 - lost[0] / 100),
        value_per_gal=plan.number("sap_value_per_gal"),
        cost_per_tap=cost_a_year,
    )


def drops_listing(report: Drops) -> Listing:
    """The drops of every line as a table, and of each block together."""
    blocks = dict.fromkeys(line.block for line in report.lines)
    return Listing(
        name="drops",
        title=_("Drops: how old they are, and which are due at {n} years").format(
            n=report.cycle_years
        ),
        columns=(
            *("block", "line", "hung", "age", "due", "planned", "replaced", "left"),
            "gain_per_tap",
        ),
        heads=(
            *(_("Block"), _("Line"), _("Hung"), _("Years"), "", _("Planned"), _("Done"), _("Left")),
            _("Gain a tap"),
        ),
        rows=tuple(row for block in blocks for row in _block_rows(block, report.lines)),
        notes=tuple(_notes(report)),
        by_block=True,
    )


def _block_rows(block: str, lines: Sequence[LineDrops]) -> Iterator[tuple[object, ...]]:
    """A block, and its lines under it."""
    there = [line for line in lines if line.block == block]
    sums = (sum(getattr(x, name) or 0 for x in there) for name in ("planned", "replaced", "left"))
    yield (block, "", None, None, "", *(total or None for total in sums), None)
    for line in there:
        # Before the cycle is up a gain does not say that it is time: see the costs below.
        gain = line.gain_per_tap if line.due and line.left else None
        yield (
            *(line.block, line.line, None if line.hung is None else str(line.hung), line.age),
            *(_due_word(line), line.planned or None, line.replaced or None, line.left or None),
            None if gain is None else Money(round(gain, 2)),
        )


def _due_word(line: LineDrops) -> str:
    """What is to do about the drops of a line."""
    if line.replaced and not line.left:
        return _("replaced")
    if not line.due:
        return _("some are wanted") if line.planned else ""
    return _("due") if line.age is not None else _("due: age unknown")


def _notes(report: Drops) -> Iterator[str]:
    if unknown := sum(line.age is None and bool(line.left) for line in report.lines):
        yield ngettext(
            "! {n} line has drops of unknown age: counted as due.",
            "! {n} lines have drops of unknown age: counted as due.",
            unknown,
        ).format(n=unknown)
    costs = ", ".join(f"{n}: {cost:.2f}" for n, cost in enumerate(report.cycle_costs, 1))
    yield _("Cost of a tap and year by cycle, in years: {costs}.").format(costs=costs)
    best = _("A cycle of {n} years costs least at the book's prices").format(n=report.best_cycle)
    if report.best_cycle == len(report.losses):
        best += ", " + _("as far as the table of losses goes")
    if report.best_cycle != report.cycle_years:
        best = f"! {best}; " + _("the book has {n}").format(n=report.cycle_years)
    yield f"{best}."
    yield _(
        "A drop costs {cost:.2f}: tubing, tee and work. Gain: sap of this season, less that "
        "cost spread over the cycle."
    ).format(cost=report.drop_cost)
    yield f"{sources.DROPS}. " + _("Prices and losses: {source}.").format(source=sources.MEMORY)
