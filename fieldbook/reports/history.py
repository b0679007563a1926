"""The seasons of a book side by side: what each came to, what changed, what goes with what."""

from datetime import date

from msgspec import Struct

from fieldbook.i18n import _
from fieldbook.reports.history_changes import Change, changes
from fieldbook.reports.history_effects import Effect, effects
from fieldbook.reports.history_measures import Measures, blocks_of, measures
from fieldbook.season.finding import find
from fieldbook.season.season import Season


class SeasonPart(Struct, frozen=True):
    """A season of the book.

    Attributes:
        season: Its year.
        begins: Its first day.
        ends: Its last.
        closed: Its accounts are closed.
        so_far: It is under way: not closed, and its last day is not past.
    """

    season: int
    begins: date
    ends: date
    closed: bool
    so_far: bool


class Side(Struct, frozen=True):
    """The sugarbush, or a block, season by season.

    Attributes:
        block: The block; empty for the whole sugarbush.
        seasons: What each season came to, oldest first; None where it did not have the block.
    """

    block: str
    seasons: tuple[Measures | None, ...]


class History(Struct, frozen=True):
    """The seasons of a book.

    Attributes:
        book: Name of the sugarbush.
        invented: The book is a demonstration; nothing in it is real.
        season: The newest season told of.
        as_of: The day; later work in that season is left out.
        block: The one block it is of; empty for all.
        seasons: The seasons, oldest first.
        sides: The sugarbush and then its blocks, or the one block.
        changes: From the last season but one that is over to the last, place by place.
        effects: Lines beside lines, over all seasons that are over.
    """

    book: str
    invented: bool
    season: int
    as_of: date
    block: str
    seasons: tuple[SeasonPart, ...]
    sides: tuple[Side, ...]
    changes: tuple[Change, ...]
    effects: tuple[Effect, ...]


def history(season: Season, as_of: date, block: str = "", *, today: date | None = None) -> History:
    """The season and every one before it.

    Args:
        season: The newest season to tell of.
        as_of: The day to which it is told.
        block: Only this block, by the beginning of its name; all of them if it is empty.
        today: The day it is: a season that ends on it or later is under way, unless it was closed.
            The day to which it is told, if none is given.

    Raises:
        BookError: No season has such a block, or several could be meant.
    """
    seasons = _up_to(season)
    ledgers = [one.ledger for one in seasons]
    names = list(blocks_of(ledgers))
    only = find(block, {name: name for name in names}, what=_("block")) if block else ""
    parts = tuple(_part(one, today or as_of) for one in seasons)
    over = [at for at, part in enumerate(parts) if not part.so_far]
    sides = tuple(
        Side(
            place,
            tuple(
                measures(ledger, place, so_far=part.so_far)
                for ledger, part in zip(ledgers, parts, strict=True)
            ),
        )
        for place in ([only] if only else ["", *names])
    )
    return History(
        book=season.book.name,
        invented=season.book.today is not None,
        season=season.year,
        as_of=as_of,
        block=only,
        seasons=parts,
        sides=sides,
        changes=tuple(c for side in sides for c in changes(side.block, side.seasons, over)),
        effects=effects([ledgers[at] for at in over], only),
    )


def _up_to(season: Season) -> list[Season]:
    """A season and those before it, the oldest first."""
    found, at = [season], season.last
    while at is not None:
        found.append(at)
        at = at.last
    return found[::-1]


def _part(season: Season, today: date) -> SeasonPart:
    plan, closed = season.plan, season.ledger.closed is not None
    so_far = not closed and today <= plan.ends
    return SeasonPart(season.year, plan.begins, plan.ends, closed, so_far)
