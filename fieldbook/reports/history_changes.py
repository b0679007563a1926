"""What changed from the season before the last that is over to the last, and whether it is much."""

from collections.abc import Iterator, Sequence
from math import ceil, floor

from msgspec import Struct
from msgspec.structs import replace

from fieldbook.i18n import _, ngettext
from fieldbook.reports.history_measures import (
    DAYS,
    MEASURES,
    Measure,
    Measures,
    Value,
    comparable,
    day_numbered,
)
from fieldbook.reports.listing import said
from fieldbook.trade.spread import FEWEST, expected_range

NEAR = 1e-9
"""What a range is left by less is in it: the rest is rounding."""


class Change(Struct, frozen=True):
    """A measure in the last two seasons that are over.

    Attributes:
        block: The block; empty for the whole sugarbush.
        measure: The field of the measures.
        season: The later season.
        season_before: The season before.
        value: What the later has.
        value_before: What the earlier has.
        difference: By how much more; of days, by how many later. None if one of them is not known.
        so_far: What the season under way has so far; None without one.
        earlier_seasons: Seasons before the later one of which it is known.
        low: The least that would be expected of a season like those; None with fewer than 3.
        high: The most.
        outside: Whether the later season lies outside of that; None with fewer than 3.
        says: All that in words.
    """

    block: str
    measure: str
    season: int
    season_before: int
    value: Value
    value_before: Value
    difference: float | None
    so_far: Value
    earlier_seasons: int
    low: Value
    high: Value
    outside: bool | None
    says: str


def changes(block: str, seasons: Sequence[Measures | None], over: Sequence[int]) -> list[Change]:
    """What changed in the sugarbush or in a block; nothing where no two seasons are over.

    Args:
        block: Its name; empty for the sugarbush.
        seasons: Its measures, a season each, oldest first.
        over: Which of the seasons are over.
    """
    if len(over) < 2:
        return []
    told = [seasons[at] for at in over]
    running = seasons[-1] if over[-1] != len(seasons) - 1 else None
    now, before = told[-1], told[-2]
    if now is None or before is None:
        return []
    return [
        _change(block, measure, told[:-1], before, now, running)
        for measure in MEASURES
        if (measure.of(now), measure.of(before)) != (None, None)
    ]


def _change(
    block: str,
    measure: Measure,
    earlier: Sequence[Measures | None],
    before: Measures,
    now: Measures,
    running: Measures | None,
) -> Change:
    known = [number for one in earlier if (number := comparable(measure, one)) is not None]
    value, value_before = comparable(measure, now), comparable(measure, before)
    difference = None if value is None or value_before is None else value - value_before
    low, high = _expected(measure, known)
    outside = None
    if value is not None and low is not None and high is not None:
        outside = not low - NEAR <= value <= high + NEAR
    change = Change(
        block=block,
        measure=measure.name,
        season=now.season,
        season_before=before.season,
        value=measure.of(now),
        value_before=measure.of(before),
        difference=difference,
        so_far=measure.of(running),
        earlier_seasons=len(known),
        low=_as_value(measure, low, now.season),
        high=_as_value(measure, high, now.season),
        outside=outside,
        says="",
    )
    return replace(change, says="".join(_change_words(measure, change, before, now)))


def _expected(measure: Measure, known: Sequence[float]) -> tuple[float, float] | tuple[None, None]:
    """Between what a season is expected after those before; None with too few of them.

    Whole days are told, so the ends are days too; and none of the numbers is below 0.
    """
    if len(known) < FEWEST:
        return None, None
    low, high = expected_range(known)
    return (floor(low), ceil(high)) if measure in DAYS else (max(0.0, low), high)


def _as_value(measure: Measure, number: float | None, season: int) -> Value:
    """An end of what is expected, as the measure is told."""
    if number is None or measure not in DAYS:
        return number
    return day_numbered(int(number), season)


# --- in words ----------------------------------------------------------------------------------


def _change_words(
    measure: Measure, change: Change, before: Measures, now: Measures
) -> Iterator[str]:
    """`Minutes a tap: 4.2 in 2026, 4.7 in 2025: 0.5 less. Within ...`."""
    name = _(measure.title)
    if change.block:
        name = f"{change.block}, {name}"
    yield _("{measure}: {value} in {season}, {before} in {season_before}").format(
        measure=name,
        value=said(measure.told(change.value)),
        season=change.season,
        before=said(measure.told(change.value_before)),
        season_before=change.season_before,
    )
    if change.difference is None:
        yield ". " + _("No change can be told: {why}.").format(why=_why_not(measure, before, now))
        return
    yield f", {difference_words(measure, change.difference)}. "
    if change.low is None:
        yield ngettext(
            "{n} earlier season is too few to tell whether that is more than years differ anyway.",
            "{n} earlier seasons are too few to tell whether that is more than years differ "
            "anyway.",
            change.earlier_seasons,
        ).format(n=change.earlier_seasons)
        return
    form = _(
        "That is within {low} to {high}, what is expected after the {n} seasons before: no more "
        "than years differ anyway."
    )
    if change.outside:
        form = _(
            "That is outside {low} to {high}, what is expected after the {n} seasons before: more "
            "than years differ anyway."
        )
    yield form.format(
        low=said(measure.told(change.low)),
        high=said(measure.told(change.high)),
        n=change.earlier_seasons,
    )


def _why_not(measure: Measure, before: Measures, now: Measures) -> str:
    """Why a change cannot be told: a season without the measure, or with too few hours."""
    for one in (before, now):
        if measure.of(one) is None:
            return _("in {season} nobody recorded it").format(season=one.season)
        if comparable(measure, one) is None:
            return _("in {season} only {share:.0f} % of the counts say their hours").format(
                season=one.season, share=100 * (one.hours_share or 0)
            )
    return ""


def difference_words(measure: Measure, difference: float) -> str:
    """`0.5 less`, `3 days later`."""
    if measure in DAYS:
        days = round(abs(difference))
        if not days:
            return _("the same day")
        form = (
            ngettext("{n} day later", "{n} days later", days)
            if difference > 0
            else ngettext("{n} day earlier", "{n} days earlier", days)
        )
        return form.format(n=days)
    if abs(difference) <= NEAR:
        return _("the same")
    amount = said(measure.told(abs(difference)))
    form = _("{amount} more") if difference > 0 else _("{amount} less")
    return form.format(amount=amount)
