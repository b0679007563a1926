"""The leaks as data: what each line loses, which to walk and in which order, and what held."""

from collections.abc import Iterator, Sequence
from datetime import date, datetime
from math import fsum

from msgspec import Struct

from fieldbook.book.entry import Leak
from fieldbook.i18n import N_
from fieldbook.reports.leak_history import Mended, Offender, mended, offenders
from fieldbook.reports.leak_lines import Below, LineLeaks, Teller
from fieldbook.reports.leak_walk import WalkPlan, walk_plan
from fieldbook.season.ledger import Ledger
from fieldbook.season.readings import ceiling_inhg, inhg_of
from fieldbook.season.sap import Loss
from fieldbook.season.season import Season
from fieldbook.season.vacuum import Gauges, LineVacuum, whole_block_low
from fieldbook.season.walking import walker
from fieldbook.season.woods import leaks as open_leaks
from fieldbook.trade.vacuum import GAIN_HIGH_PCT, GAIN_LOW_PCT

CAUTIONS = (
    N_("Alone at night nobody walks: say which line, and when you are back; in pairs in the cold."),
    N_("Pump: guards on the belt, nothing loose near it; off, and kept off, before you open it."),
    N_("Tree on a line: wire and tubing are under tension. Stand clear, trained hands only."),
    N_("Shut the valve and take the vacuum off before you cut into a main."),
    N_("Local codes, product labels and trained practice come first."),
)
"""What can hurt somebody on a leak walk."""


WORST = 3
"""Lines of a block that are named."""


class PumpRead(Struct, frozen=True):
    """The newest reading at a pump or releaser.

    Attributes:
        block: Of which block; empty for the whole sugarbush.
        place: pump or releaser.
        vacuum_inhg: Vacuum read.
        at: When.
        who: By whom.
        entry: Id of the reading.
        under_ceiling_inhg: How far that is under the most there can be.
        under_book_inhg: How far under what the book asks of the pump; 0 if it holds that.
    """

    block: str
    place: str
    vacuum_inhg: float
    at: datetime
    who: str
    entry: str
    under_ceiling_inhg: float
    under_book_inhg: float


class BlockLeaks(Struct, frozen=True):
    """A block, or all of them.

    Attributes:
        block: Its name; empty for all together.
        lines: Lines with taps in.
        read: Of these, lines of which it is known what they lose.
        within: Of these, lines that lose no more than the aim.
        share_within: Their share of the lines read; None where none was.
        taps: Taps in.
        under_vacuum: Taps whose valve is open.
        loss: What all lines together lose in a day.
        alike: All lines hang alike: what is lost is lost between pump and block.
        worst: Names of the lines that lose most, the worst first.
    """

    block: str
    lines: int
    read: int
    within: int
    share_within: float | None
    taps: int
    under_vacuum: int
    loss: Loss
    alike: bool
    worst: tuple[str, ...]


class Leaks(Struct, frozen=True):
    """What the gauges and the leaks of a season say.

    Attributes:
        book: Name of the sugarbush.
        invented: The book is a demonstration.
        season: Its year.
        as_of: The day.
        below: Against what the lines are told.
        ceiling_inhg: The most vacuum there can be at the pump's height.
        elevation_ft: That height.
        aim_inhg: Vacuum that may be lost between pump and tap.
        gain_pct: Sap gained with an inch of mercury, in percent, by the book.
        gain_low_pct: The least that was published.
        gain_high_pct: The most.
        sap_gal_per_tap_day: Sap of a tap on a day when it runs, by the book.
        sap_at_inhg: The vacuum under which it gives that.
        pump_inhg: The vacuum that the book asks of the pump.
        brix: Sweetness of the sap.
        pumps: The newest reading at each pump and releaser.
        total: All blocks together.
        blocks: Block by block, those that lose most first.
        lines: Line by line, those that lose most first; then those not read.
        sap_full_gal: Sap of a day, if every tap in hung on the pump's vacuum.
        sap_now_gal: Sap of such a day as things stand.
        walk: Which lines to walk.
        mends: Leaks mended, the newest first.
        offenders: Where leaks came again, over all seasons of the book.
        found: Leaks found this season.
        open: Of these, not mended.
        per_1000_taps: Leaks found for 1,000 taps drilled; None without taps.
        per_hour: Leaks found in an hour of listening; None where no hours were written down.
    """

    book: str
    invented: bool
    season: int
    as_of: date
    below: str
    ceiling_inhg: float
    elevation_ft: float
    aim_inhg: float
    gain_pct: float
    gain_low_pct: float
    gain_high_pct: float
    sap_gal_per_tap_day: float
    sap_at_inhg: float
    pump_inhg: float
    brix: float
    pumps: tuple[PumpRead, ...]
    total: BlockLeaks
    blocks: tuple[BlockLeaks, ...]
    lines: tuple[LineLeaks, ...]
    sap_full_gal: float
    sap_now_gal: float
    walk: WalkPlan
    mends: tuple[Mended, ...]
    offenders: tuple[Offender, ...]
    found: int
    open: int
    per_1000_taps: float | None
    per_hour: float | None

    @property
    def pump(self) -> PumpRead | None:
        """The newest reading at the pump or releaser of the sugarbush, else at one of a block."""
        return max(
            self.pumps,
            key=lambda pump: (not pump.block, pump.at.replace(tzinfo=None)),
            default=None,
        )


def leaks(
    season: Season,
    as_of: date,
    *,
    people: int = 1,
    hours: float | None = None,
    below: Below = "pump",
    block: str | None = None,
    units: str = "us",
    alone: bool = False,
) -> Leaks:
    """What the gauges and the leaks of a season say.

    Args:
        season: A season whose ledger was folded up to a day.
        as_of: The day.
        people: How many can go and walk.
        hours: Hours each of them has; those of a working day, by the book, if none are given.
        below: Against what the lines are told.
        block: Only the lines of this block.
        units: `us` or `metric`: for what is said in words.
        alone: Look at this season alone; those before it, which take time to read, say how fast
            the crew walks and where leaks came again.
    """
    ledger, plan, gauges = season.ledger, season.plan, Gauges(season.ledger)
    before = [season.last.ledger] if not alone and season.last is not None else []
    teller = Teller(gauges, walker(ledger, *before), below, units)
    states = [state for state in gauges.lines(block) if _is_told(state)]
    lines = sorted(map(teller.line, states), key=_worst_first)
    found = [leak for leak in ledger.of(Leak) if block in (None, leak.block)]
    still = [leak for leak in open_leaks(ledger) if block in (None, leak.block)]
    drilled, listened = _taps_drilled(ledger, block), _hours_listened(ledger, block)
    blocks = [
        _block(name, [x for x in lines if x.block == name], _of(name, states), gauges.aim_inhg)
        for name in plan.blocks
        if _of(name, states)
    ]
    return Leaks(
        book=season.book.name,
        invented=season.book.today is not None,
        season=season.year,
        as_of=as_of,
        below=below,
        ceiling_inhg=ceiling_inhg(plan),
        elevation_ft=plan.number("elevation_ft"),
        aim_inhg=gauges.aim_inhg,
        gain_pct=plan.number("sap_pct_per_inhg"),
        gain_low_pct=GAIN_LOW_PCT,
        gain_high_pct=GAIN_HIGH_PCT,
        sap_gal_per_tap_day=plan.number("sap_gal_per_tap_day"),
        sap_at_inhg=plan.number("sap_at_inhg"),
        pump_inhg=plan.number("pump_vacuum_inhg"),
        brix=teller.brix,
        pumps=tuple(_pumps(gauges, as_of)),
        total=_block("", lines, (), gauges.aim_inhg),
        blocks=tuple(sorted(blocks, key=lambda part: -part.loss.sap_gal)),
        lines=tuple(lines),
        sap_full_gal=fsum(teller.sap_gal(state, whole=True) for state in states),
        sap_now_gal=fsum(teller.sap_gal(state) for state in states),
        walk=walk_plan(
            teller,
            states,
            people=people,
            hours=plan.number("hours_a_day") if hours is None else hours,
        ),
        mends=tuple(mended(m, units) for m in gauges.mends() if block in (None, m.leak.block)),
        offenders=() if alone else tuple(offenders(season, block)),
        found=len(found),
        open=len(still),
        per_1000_taps=1000 * len(found) / drilled if drilled else None,
        per_hour=len(found) / listened if listened else None,
    )


def _is_told(state: LineVacuum) -> bool:
    """Whether there is anything to say of a line: it has taps, or somebody read or shut it."""
    return bool(state.taps or state.points or state.shut)


def _of(block: str, states: Sequence[LineVacuum]) -> list[LineVacuum]:
    return [state for state in states if state.line.block == block]


def _worst_first(line: LineLeaks) -> tuple[float, bool, float]:
    """What loses most goes first; of what loses nothing, what was read, and hangs lowest."""
    return (
        -line.loss.sap_gal if line.loss else 0.0,
        line.read is None,
        -(line.lost_inhg or 0.0),
    )


def _pumps(gauges: Gauges, as_of: date) -> Iterator[PumpRead]:
    ceiling = ceiling_inhg(gauges.ledger.plan)
    for reading in gauges.pumps(as_of):
        vacuum = inhg_of(reading)
        yield PumpRead(
            block=reading.block,
            place=reading.place,
            vacuum_inhg=vacuum,
            at=reading.at,
            who=reading.who,
            entry=reading.id,
            under_ceiling_inhg=ceiling - vacuum,
            under_book_inhg=max(0.0, gauges.book_pump_inhg - vacuum),
        )


def _block(
    name: str, lines: Sequence[LineLeaks], states: Sequence[LineVacuum], aim_inhg: float
) -> BlockLeaks:
    """Lines together, worst first, as they stand in their block or in all."""
    with_taps = [line for line in lines if line.taps]
    read = [line for line in with_taps if line.lost_inhg is not None and line.under_vacuum]
    within = sum((line.lost_inhg or 0.0) <= aim_inhg for line in read)
    return BlockLeaks(
        block=name,
        lines=len(with_taps),
        read=len(read),
        within=within,
        share_within=within / len(read) if read else None,
        taps=sum(line.taps for line in lines),
        under_vacuum=sum(line.under_vacuum for line in lines),
        loss=sum((line.loss for line in lines if line.loss), start=Loss()),
        alike=whole_block_low(states, aim_inhg),
        worst=tuple(line.line for line in lines if line.loss and line.loss.sap_gal)[:WORST],
    )


def _taps_drilled(ledger: Ledger, block: str | None) -> int:
    lines = ledger.plan.lines if block is None else ledger.plan.walk.get(block, [])
    return sum(ledger.taps_in(line) for line in lines)


def _hours_listened(ledger: Ledger, block: str | None) -> float:
    task = ledger.plan.counting("readings")
    return fsum(e.hours or 0.0 for e in ledger.counts(block) if task and e.task == task.key)
