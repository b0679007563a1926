"""What became of leaks, as data: whether mending held, and where they came again."""

from collections import Counter
from collections.abc import Iterator
from datetime import date

from msgspec import Struct

from fieldbook.book.entry import Leak
from fieldbook.reports.vacuum import held_words
from fieldbook.reports.words import leak_words
from fieldbook.season.season import Season
from fieldbook.season.vacuum import Mend


class Mended(Struct, frozen=True):
    """A leak that was mended, and what became of the vacuum."""

    block: str
    line: str
    leak: str
    found: date
    mended: date
    who: str
    before_inhg: float | None
    after_inhg: float | None
    now_inhg: float | None
    held: str
    says: str


class Offender(Struct, frozen=True):
    """Where, or by what, leaks came again.

    Attributes:
        by: line, lateral or cause.
        block: Its block; empty for a cause.
        line: Its line; empty for a cause.
        what: Number or name of the lateral, or the cause.
        leaks: Leaks found.
        this_season: Of these in this season.
        seasons: Seasons in which there were any.
    """

    by: str
    block: str
    line: str
    what: str
    leaks: int
    this_season: int
    seasons: tuple[int, ...]


def mended(mend: Mend, units: str) -> Mended:
    """A leak that was mended, with what became of the vacuum."""
    points = (mend.before, mend.after, mend.now)
    before, after, now = (None if point is None else point.vacuum_inhg for point in points)
    return Mended(
        block=mend.leak.block,
        line=mend.leak.line,
        leak=leak_words(mend.leak),
        found=mend.leak.day,
        mended=mend.settle.day,
        who=mend.settle.who,
        before_inhg=before,
        after_inhg=after,
        now_inhg=now,
        held=str(mend.held),
        says=held_words(mend, units),
    )


def offenders(season: Season, block: str | None) -> Iterator[Offender]:
    """Lines and laterals with more than one leak, and every cause, over all seasons."""
    found: list[tuple[int, Leak]] = []
    at: Season | None = season
    while at is not None:
        leaks_then = (leak for leak in at.ledger.of(Leak) if block in (None, leak.block))
        found += [(at.year, leak) for leak in leaks_then]
        at = at.last
    for by, least in (("line", 2), ("lateral", 2), ("cause", 1)):
        times: Counter[tuple[str, str, str]] = Counter()
        years: dict[tuple[str, str, str], list[int]] = {}
        for year, leak in found:
            key = {
                "line": (leak.block, leak.line, ""),
                "lateral": (leak.block, leak.line, leak.lateral),
                "cause": ("", "", str(leak.cause)),
            }[by]
            if by == "line" or key[2]:
                times[key] += 1
                years.setdefault(key, []).append(year)
        for key, n in sorted(times.items(), key=lambda pair: (-pair[1], pair[0])):
            if n >= least:
                here = years[key].count(season.year)
                yield Offender(by, *key, n, here, tuple(sorted(set(years[key]))))
