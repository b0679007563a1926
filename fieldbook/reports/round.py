"""A round as data: the lines of a block in walking order, and the card of one line."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from fieldbook.book.entry import Line, Note, Reading, Task
from fieldbook.i18n import _
from fieldbook.reports.balance import said_of
from fieldbook.reports.lines import load_of
from fieldbook.reports.open_items import head
from fieldbook.reports.trees import LineTrees, line_trees, trees_flag
from fieldbook.reports.words import (
    describe,
    one_line,
    place,
    reading_words,
    signed,
    signed_note,
)
from fieldbook.season.balance import bags
from fieldbook.season.dates import short_day
from fieldbook.season.items import Item, What
from fieldbook.season.ledger import OPEN, Cell, Ledger, Standing
from fieldbook.season.plan import Plan
from fieldbook.season.season import Season
from fieldbook.season.woods import hazards, valves_shut
from fieldbook.trade.drops import drop_age_years, drop_due

if TYPE_CHECKING:
    from fieldbook.season.vacuum import Gauges, LineVacuum


class RoundLine(Struct, frozen=True):
    """A line as the round lists it.

    Attributes:
        line: The line.
        cell: Where it stands in the task.
        remark: Who was there last and when, or why it stands as it does.
        look: Something about it wants looking at: a hazard, a shut valve, a count over the plan.
    """

    line: Line
    cell: Cell
    remark: str
    look: bool

    @property
    def open(self) -> bool:
        """Somebody still has to go there."""
        return self.cell.standing in OPEN


class LineCard(Struct, frozen=True):
    """What somebody should know who works on a line.

    Attributes:
        line: The line.
        cell: Where it stands in the task.
        last_season: Units done the season before; None if it is not known.
        drops: How old its drops are, in words.
        trees: How many taps its trees allow, in words; empty where they were not tallied.
        flags: What of its plan wants a look: more taps than trees or tubing carry.
        steps: Steps of the checklist, and whether each is ticked.
        hazards: What could hurt somebody there, the newest first.
        open: What else is open on the line: its valve, its leaks, counts that do not match.
        bag: The spouts of whose work it is, in words; empty where none were issued.
        notes: The newest other note, and what the plan says of the line.
        entries: What was recorded there in this task, oldest first.
        vacuum: What its gauges read and what that costs, where they are read in this task.
        signs: What its readings point at.
    """

    line: Line
    cell: Cell
    last_season: int | None
    drops: str
    trees: str
    flags: tuple[str, ...]
    steps: tuple[tuple[str, bool], ...]
    hazards: tuple[str, ...]
    open: tuple[str, ...]
    bag: str
    notes: tuple[str, ...]
    entries: tuple[str, ...]
    vacuum: tuple[str, ...] = ()
    signs: tuple[str, ...] = ()


def round_lines(
    season: Season, block: str, task: Task, *, gauges: "Gauges | None" = None, units: str = "us"
) -> list[RoundLine]:
    """The lines of a block in walking order, as they stand in a task.

    Args:
        season: The season.
        block: The block.
        task: The task.
        gauges: What the gauges say, in a task in which they are read.
        units: `us` or `metric`: what the reader likes.
    """
    lines = season.plan.walk.get(block, [])
    return [_round_line(season, line, task, gauges, units) for line in lines]


def line_card(
    season: Season,
    line: Line,
    task: Task,
    *,
    items: Sequence[Item] = (),
    who: str = "",
    gauges: "Gauges | None" = None,
    units: str = "us",
) -> LineCard:
    """The card of a line in a task.

    Args:
        season: The season.
        line: The line.
        task: The task.
        items: Everything that is open.
        who: Whose work it is.
        gauges: What the gauges say, in a task in which they are read.
        units: `us` or `metric`: what the reader likes.
    """
    state = None if gauges is None else gauges.line(line)
    record = season.ledger.record(line.block, line.line, task.key)
    notes = season.ledger.notes_on(line.block, line.line)
    newest = [signed_note(note) for note in reversed(notes) if not note.hazard][:1]
    judged = line_trees(season.plan, line)
    return LineCard(
        line=line,
        cell=season.ledger.line_cell(line, task),
        last_season=season.last_count(line, task),
        drops=_drops(line, season),
        trees=""
        if judged.allowed is None
        else _("trees allow {n:,} ({rule})").format(
            n=judged.allowed, rule=season.plan.tap_rule.name
        ),
        flags=flags_of(season.plan, line, judged),
        steps=tuple((step, bool(record.ticked.get(step))) for step in task.steps),
        hazards=tuple(signed_note(note) for note in reversed(hazards_on(season.ledger, line))),
        open=tuple(_open(season.plan, items, line)),
        bag=bag_words(season.ledger, who) if task.counts == "taps" else "",
        notes=(*newest, one_line(line.note)) if line.note else tuple(newest),
        entries=tuple(
            f"{e.id}  {short_day(e.day)}  {e.who}: {describe(e, season.plan)}"
            for e in record.entries
        ),
        vacuum=() if gauges is None or state is None else tuple(_vacuum(gauges, state, units)),
        signs=() if state is None else tuple(_signs(state, units)),
    )


def _vacuum(gauges: "Gauges", state: "LineVacuum", units: str) -> Iterator[str]:
    """What the gauges of a line read, what it loses, what became of its last mending."""
    from fieldbook.reports.vacuum import held_words, last_words, tested_words

    if state.latest:
        yield last_words(state, units)
    else:
        yield _("vacuum not read yet; {taps:,} taps in").format(taps=state.taps)
    told = (loses_words(state, gauges.ledger.plan), tested_words(state))
    if said := "   ".join(part for part in told if part):
        yield said
    for mend in gauges.mends_of(state.line)[:1]:
        yield _("mended {day}: {what}").format(
            day=short_day(mend.settle.day), what=held_words(mend, units)
        )


def _signs(state: "LineVacuum", units: str) -> list[str]:
    """What the readings of a line point at; of a shut valve the open item tells."""
    from fieldbook.reports.vacuum import signs_said
    from fieldbook.season.vacuum import Sign

    told = zip(state.signs, signs_said(state, units), strict=True)
    return [said for sign, said in told if sign not in (Sign.SHUT, Sign.LOW)]


def loses_words(state: "LineVacuum", plan: Plan) -> str:
    """`loses about 37 gal a day (30-52)`; empty where nothing is lost, or nobody knows."""
    from fieldbook.season.sap import loss_of

    if state.shut or not state.lost_inhg or not state.taps:
        return ""
    loss = loss_of(plan, state.taps, state.lost_inhg, brix=plan.number("sap_brix"))
    return _("loses about {gal:,.0f} gal a day ({low:,.0f}-{high:,.0f})").format(
        gal=loss.sap_gal, low=loss.low_gal, high=loss.high_gal
    )


def brief_vacuum(gauges: "Gauges", line: Line, readings: Sequence[Reading], units: str) -> str:
    """What readings of a line just taken say: how far it hangs, what it loses, and why in a word.

    Of readings of a day that is keyed in late, only how far it hung: what it loses and why is told
    by the newest.
    """
    from fieldbook.reports.vacuum import under_words
    from fieldbook.season.vacuum import Sign

    state, taken = gauges.line(line), {reading.id for reading in readings}
    if state.last is not None and state.last.reading.id in taken:
        parts = [under_words(state.last, units), loses_words(state, gauges.ledger.plan)]
        signs = [f"! {_(sign)}" for sign in state.signs if sign is not Sign.LOW][:1]
        return "   ".join([", ".join(part for part in parts if part), *signs])
    points = [point for point in gauges.points(line) if point.reading.id in taken]
    return under_words(points[-1], units) if points else ""


def readings_saved(readings: Sequence[Reading]) -> str:
    """Readings that were taken together, as one line says that they are on disk.

    `k7f2q-6, k7f2q-7 saved: Ina, head reads 25 inHg; far end reads 24.5 inHg, Ridge / Gate main`;
    words that go with them all stand with each, so only one alone has them here.
    """
    alone = len(readings) == 1
    read = "; ".join(reading_words(r if alone else replace(r, note="")) for r in readings)
    where = next((place(r.block, r.line) for r in readings if r.line), "")
    parts = (readings[0].who, read, where)
    return _("{id} saved: {what}").format(
        id=", ".join(reading.id for reading in readings),
        what=", ".join(part for part in parts if part),
    )


def flags_of(plan: Plan, line: Line, judged: LineTrees) -> tuple[str, ...]:
    """What of a line's plan wants a look: more taps than its trees or its tubing carry."""
    flags = (trees_flag(judged), *load_of(plan, line).flags)
    return tuple(flag for flag in flags if flag)


def hazards_on(ledger: Ledger, line: Line) -> list[Note]:
    """Hazards that stand on a line or its block, oldest first."""
    return [n for n in hazards(ledger) if n.block == line.block and n.line in ("", line.line)]


_ON_CARD = (What.VALVE, What.LEAK, What.UNTAPPED, What.SURPLUS, What.LEFT_IN, What.REPAIR)


def _open(plan: Plan, items: Sequence[Item], line: Line) -> Iterator[str]:
    """What else is open on a line, in words."""
    for item in items:
        at = (item.about.block, item.about.line)
        if at == (line.block, line.line) and item.what in _ON_CARD:
            yield _("{what} ({who} has it, since {day})").format(
                what=head(item, plan), who=item.owner or "-", day=short_day(item.since.date())
            )


def bag_words(ledger: Ledger, who: str) -> str:
    """`Spouts with Rae: in the bag 88; issued 150, in trees 62`; empty without any."""
    for bag in bags(ledger, who) if who else ():
        left = _("in the bag {n:,}").format(n=bag.off)
        if bag.off < 0:
            left = _("! {n:,} more than issued").format(n=-bag.off)
        parts = [
            form.format(n=units)
            for form, units in (
                (_("in trees {n:,}"), bag.set),
                (_("returned {n:,}"), bag.returned),
                (_("scrapped {n:,}"), bag.scrapped),
            )
            if units
        ]
        return _("Spouts with {who}: {left}; issued {parts}").format(
            who=who, left=left, parts=", ".join([f"{bag.issued:,}", *parts])
        )
    return ""


def _read_remark(gauges: "Gauges", line: Line, units: str) -> Iterator[str]:
    """`22.0, 3.5 under`, and what that points at in a word."""
    from fieldbook.reports.vacuum import bare
    from fieldbook.season.vacuum import Sign

    state = gauges.line(line)
    if state.last is not None:
        said = bare(state.last.vacuum_inhg, units)
        if state.lost_inhg is not None:
            said += ", " + _("{n} under").format(n=bare(state.lost_inhg, units))
        yield said
    yield from (_(sign) for sign in state.signs if sign not in (Sign.SHUT, Sign.LOW))


def _round_line(
    season: Season, line: Line, task: Task, gauges: "Gauges | None", units: str
) -> RoundLine:
    ledger = season.ledger
    cell = ledger.line_cell(line, task)
    record = ledger.record(line.block, line.line, task.key)
    reason = one_line(getattr(record.mark, "reason", ""))
    remarks = []
    hazard = any(note.line for note in hazards_on(ledger, line))
    if hazard:
        remarks.append(_("hazard"))
    shut = (line.block, line.line) in valves_shut(ledger)
    if shut:
        remarks.append(_("valve shut"))
    if gauges is not None:
        remarks += _read_remark(gauges, line, units)
    if cell.standing is Standing.ASIDE and record.mark is not None:
        why = signed(reason, record.mark.who, record.mark.day)
        remarks.append(_("set aside: {reason}").format(reason=why))
    elif cell.tally.short:
        remarks.append(_("{n:,} short: {reason}").format(n=cell.tally.short, reason=reason or "-"))
    elif cell.over_plan:
        said = _("{n:,} over the plan").format(n=cell.tally.over)
        why = said_of(ledger, line)
        remarks.append(f"{said}: {why}" if why else said)
    elif record.last_count is not None:
        remarks.append(f"{record.last_count.who}, {short_day(record.last_count.day)}")
    return RoundLine(line, cell, "; ".join(remarks), look=hazard or shut or cell.over_plan)


def _drops(line: Line, season: Season) -> str:
    """`drops hung 2024 (3 y), due`; nothing where the crew hangs none."""
    if season.plan.counting("drops") is None:
        return ""
    cycle = int(season.plan.number("drop_cycle_years"))
    if line.drops_hung is None:
        return _("drops hung in an unknown year, due")
    age = drop_age_years(hung=line.drops_hung, season=season.year)
    said = _("drops hung {year} ({age} y)").format(year=line.drops_hung, age=age)
    due = drop_due(hung=line.drops_hung, season=season.year, cycle_years=cycle)
    return said + (", " + _("due") if due else "")
