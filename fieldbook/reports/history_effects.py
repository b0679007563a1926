"""What goes with new drops, and with the size of spouts: lines beside lines, over the seasons.

A book is no trial: lines that were given new drops, or other spouts, differ in other ways too.
So groups are told beside one another with their interval, and never as a cause.
"""

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from itertools import combinations
from typing import NamedTuple

from msgspec import Struct

from fieldbook.book.entry import Leak, Line
from fieldbook.i18n import N_, _, ngettext
from fieldbook.reports.history_measures import drop_age, looked_at
from fieldbook.reports.listing import said
from fieldbook.reports.sap import sap_of
from fieldbook.reports.words import inches
from fieldbook.season.ledger import Ledger
from fieldbook.season.vacuum import Gauges
from fieldbook.trade.spread import FEWEST, Difference, difference

NEW_AGE = 1
"""Up to this age drops are new: sanitation shows most in their first two seasons (from memory)."""

FEWEST_LEAKS = 10
"""With fewer leaks in two groups together, one line by chance makes them differ: leaks are rare,
and no bell curve (common practice, no source)."""

SIZE_STEPS = 64
"""Spouts are sold in 64ths of an inch: 0.31 and 5/16 are one size."""

AGE, SIZE = "drop age", "spout size"
LEAKS, VACUUM, SAP = "leaks_per_1000_taps", "vacuum_lost_inhg", "sap_gal_per_tap"

_OUTCOMES = {
    LEAKS: N_("Leaks per 1,000 taps"),
    VACUUM: N_("Vacuum lost when read last, inHg"),
    SAP: N_("Sap, gal a tap"),
}


class Effect(Struct, frozen=True):
    """Two groups of lines, or of blocks, beside one another; each counts once a season.

    Attributes:
        factor: drop age or spout size.
        outcome: What is told of them, with its unit.
        unit: line or block.
        one: Which the one group is.
        other: Which the other is.
        n_one: How many the one has.
        n_other: How many the other has.
        mean_one: Their mean; None with too few to tell, as all that follows.
        mean_other: The mean of the others.
        difference: The one less the other.
        low: The least it may be, at 95 %.
        high: The most.
        differs: Whether the interval leaves out 0.
        says: All that in words.
    """

    factor: str
    outcome: str
    unit: str
    one: str
    other: str
    n_one: int
    n_other: int
    mean_one: float | None
    mean_other: float | None
    difference: float | None
    low: float | None
    high: float | None
    differs: bool | None
    says: str


class Told(NamedTuple):
    """A line in a season, or a block in one: what it has, and what became of it.

    Attributes:
        age: Seasons its drops have hung; None if nobody knows.
        size: Size of its spouts in 64ths of an inch; None if nobody said.
        leaks: Leaks found.
        outcomes: What is known of it.
    """

    age: int | None
    size: int | None
    leaks: int
    outcomes: dict[str, float]


def effects(ledgers: Sequence[Ledger], block: str = "") -> tuple[Effect, ...]:
    """What the seasons that are over show of new drops and of spouts.

    Args:
        ledgers: Those seasons.
        block: Only of its lines; of all if it is empty.
    """
    lines = [told for ledger in ledgers for told in _lines(ledger, block)]
    blocks = [told for ledger in ledgers for told in _blocks(ledger, block)]
    return (*_of_drops(lines), *_of_spouts(lines, blocks)) if lines else ()


def spout_size(line: Line) -> int | None:
    """The size of a line's spouts in 64ths of an inch; None if nobody said."""
    return None if line.spout_in is None else round(line.spout_in * SIZE_STEPS)


def _lines(ledger: Ledger, block: str) -> Iterator[Told]:
    """The lines of a season that have taps in."""
    gauges, looked = Gauges(ledger), looked_at(ledger)
    found: dict[tuple[str, str], int] = {}
    for leak in ledger.of(Leak):
        found[leak.block, leak.line] = found.get((leak.block, leak.line), 0) + 1
    for line in ledger.plan.lines_of(block):
        taps, where = ledger.taps_in(line), (line.block, line.line)
        if not taps:
            continue
        outcomes = {}
        # Where gauges are read, a line with a leak and no reading came in by its leak alone: to
        # count it would make lines that nobody looked at seem worse than those somebody did.
        if where in looked or (found and not looked):
            outcomes[LEAKS] = found.get(where, 0) * 1000 / taps
        vacuum = gauges.line(line)
        if vacuum.lost_inhg is not None and not vacuum.shut:  # a shut valve tells nothing of it
            outcomes[VACUUM] = vacuum.lost_inhg
        leaks = found.get(where, 0)
        yield Told(drop_age(ledger, line), spout_size(line), leaks, outcomes)


def _blocks(ledger: Ledger, only: str) -> Iterator[Told]:
    """The blocks of a season whose own sap was measured, and whose spouts are of one size."""
    for block, lines in ledger.plan.walk.items():
        sizes = {spout_size(line) for line in lines if ledger.taps_in(line)}
        if only not in ("", block) or len(sizes) != 1:
            continue
        sap = sap_of(ledger, block).sap_gal_per_tap
        if sap is not None:
            yield Told(None, sizes.pop(), 0, {SAP: sap})


def _of_drops(lines: Sequence[Told]) -> Iterator[Effect]:
    """Lines with new drops beside those with older ones."""
    new = [line for line in lines if line.age is not None and line.age <= NEW_AGE]
    old = [line for line in lines if line.age is not None and line.age > NEW_AGE]
    names = (_("drops up to {n} season old"), _("older drops"))
    for outcome in (LEAKS, VACUUM):
        yield _effect(AGE, outcome, "line", (names[0].format(n=NEW_AGE), names[1]), (new, old))


def _of_spouts(lines: Sequence[Told], blocks: Sequence[Told]) -> Iterator[Effect]:
    """Lines, and blocks, with smaller spouts beside those with larger ones, size by size."""
    for size, larger in combinations(sorted({x.size for x in lines if x.size is not None}), 2):
        names = (spouts_words(size), spouts_words(larger))
        for unit, outcome, told in (
            ("line", LEAKS, lines),
            ("line", VACUUM, lines),
            ("block", SAP, blocks),
        ):
            groups = tuple([x for x in told if x.size == width] for width in (size, larger))
            yield _effect(SIZE, outcome, unit, names, (groups[0], groups[1]))


def _effect(
    factor: str,
    outcome: str,
    unit: str,
    names: tuple[str, str],
    groups: tuple[Iterable[Told], Iterable[Told]],
) -> Effect:
    known = [[x for x in group if outcome in x.outcomes] for group in groups]
    one, other = ([x.outcomes[outcome] for x in group] for group in known)
    few = _few_words(unit, names, one, other) if min(len(one), len(other)) < FEWEST else ""
    leaks = sum(x.leaks for group in known for x in group)
    if outcome == LEAKS and not few and leaks < FEWEST_LEAKS:
        few = _rare_words(leaks, len(one) + len(other))
    found = None if few else difference(one, other)
    return Effect(
        factor=factor,
        outcome=outcome,
        unit=unit,
        one=names[0],
        other=names[1],
        n_one=len(one),
        n_other=len(other),
        mean_one=found.mean_one if found else None,
        mean_other=found.mean_other if found else None,
        difference=found.difference if found else None,
        low=found.low if found else None,
        high=found.high if found else None,
        differs=found.told if found else None,
        says=f"{_(_OUTCOMES[outcome])}: " + (_found_words(found, unit, names) if found else few),
    )


# --- in words ----------------------------------------------------------------------------------


def spouts_words(size: int) -> str:
    """`5/16 in spouts`."""
    whole = Fraction(size, SIZE_STEPS)
    return _("{size} in spouts").format(size=whole if whole < 1 else inches(float(whole)))


def _few_words(
    unit: str, names: tuple[str, str], one: Sequence[float], other: Sequence[float]
) -> str:
    what = _("too few lines to tell") if unit == "line" else _("too few blocks to tell")
    return _("{few} ({n} with {one}, {m} with {other}).").format(
        few=what, n=len(one), one=names[0], m=len(other), other=names[1]
    )


def _rare_words(leaks: int, lines: int) -> str:
    said_so = ngettext(
        "too few leaks to tell ({n} on {lines:,} lines; it takes {least}).",
        "too few leaks to tell ({n} on {lines:,} lines; it takes {least}).",
        leaks,
    )
    return said_so.format(n=leaks, lines=lines, least=FEWEST_LEAKS)


def _found_words(found: Difference, unit: str, names: tuple[str, str]) -> str:
    """What two groups had, how far that lies apart, and whether the book shows a difference."""
    form = _("lines with {one} had {mean_one}, lines with {other} {mean_other}")
    if unit == "block":
        form = _("blocks with {one} had {mean_one}, blocks with {other} {mean_other}")
    had = form.format(
        one=names[0],
        mean_one=said(found.mean_one),
        other=names[1],
        mean_other=said(found.mean_other),
    )
    amount = said(abs(found.difference))
    more = _("{amount} more") if found.difference > 0 else _("{amount} less")
    apart = _("{difference}, at 95 % from {low} to {high}").format(
        difference=more.format(amount=amount), low=_signed(found.low), high=_signed(found.high)
    )
    form = _("{n:,} lines and {m:,}") if unit == "line" else _("{n:,} blocks and {m:,}")
    many = form.format(n=found.n_one, m=found.n_other)
    if not found.told:
        return _("the book shows no difference: {had} ({apart}; {many}).").format(
            had=had, apart=apart, many=many
        )
    return _("{had}: {apart} ({many}).").format(had=had, apart=apart, many=many)


def _signed(value: float) -> str:
    """`+1.2`, `-0.4`: which way it goes."""
    return ("+" if value > 0 else "") + said(float(value))
