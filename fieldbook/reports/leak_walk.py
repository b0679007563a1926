"""Which lines to walk, in which order, by whom, and where to stop."""

from collections.abc import Hashable, Sequence
from math import fsum

from msgspec import Struct

from fieldbook.reports.leak_lines import Teller
from fieldbook.reports.vacuum import signs_said
from fieldbook.season.vacuum import LineVacuum, Sign
from fieldbook.trade.walk import Walk, share_out, smith_order, worth_walking

WALKED_FOR = (Sign.SHUT, Sign.NO_VACUUM, Sign.FULL, Sign.SINKS, Sign.HEARD, Sign.LOW)
"""What of a line calls for somebody to walk it; a gauge that is off is looked at, not walked."""


class Leg(Struct, frozen=True):
    """A line on somebody's way.

    Attributes:
        person: Who of those that go, from 1.
        stop: Which of their lines it is, from 1.
        block: Its block.
        line: Its name.
        order: Its number in the block.
        loses_gal_day: Sap it loses in a day.
        hours: Person-hours it takes.
        done_after: Hours after setting out when it is done.
        says: What to look for.
    """

    person: int
    stop: int
    block: str
    line: str
    order: int
    loses_gal_day: float
    hours: float
    done_after: float
    says: str


class WalkPlan(Struct, frozen=True):
    """Which lines to walk, in the order that loses least sap.

    Attributes:
        people: How many go.
        hours: Hours that each of them has.
        days: Days a leak goes on if nobody walks its line.
        wage_per_hour: What an hour costs.
        value_per_gal: What a gallon of sap is worth.
        legs: The way of each person, one after the other.
        later: Lines worth the walk for which the hours are too short, the worst first.
        unknown: Lines that leak, and nobody knows how much: walked first, or read first.
        rest: Lines that lose less in those days than the walk costs.
        rest_loss_gal_day: What those lose together in a day.
        rest_hours: Person-hours that walking them would take.
        feet_per_hour: Feet of line that somebody walks in an hour; None where no length is known.
        record_hours: Hours of this crew's record in that.
    """

    people: int
    hours: float
    days: float
    wage_per_hour: float
    value_per_gal: float
    legs: tuple[Leg, ...]
    later: tuple[Leg, ...]
    unknown: tuple[Leg, ...]
    rest: tuple[Leg, ...]
    rest_loss_gal_day: float
    rest_hours: float
    feet_per_hour: float | None
    record_hours: float


def walk_plan(
    teller: Teller, states: Sequence[LineVacuum], *, people: int, hours: float
) -> WalkPlan:
    """The walk that loses least sap.

    A walk wins back what is lost to the pump, whatever the lines are told against.

    Args:
        teller: Tells the lines.
        states: The lines, in walking order.
        people: How many can go.
        hours: Hours each of them has.
    """
    plan = teller.plan
    value, wage = plan.number("sap_value_per_gal"), plan.number("wage_per_hour")
    days = plan.number("leak_days")
    named: dict[Hashable, LineVacuum] = {(s.line.block, s.line.line): s for s in states}
    walks = [walk for state in states if (walk := _way(teller, state)) is not None]
    worth = [
        walk
        for walk in walks
        if worth_walking(walk, value_per_gal=value, wage_per_hour=wage, days=days)
    ]
    rest = smith_order([walk for walk in walks if walk not in worth])
    shared = share_out(worth, people=people, hours=hours)

    def leg(walk: Walk, person: int = 0, stop: int = 0, after: float = 0.0) -> Leg:
        return _leg(teller, named[walk.name], walk, person, stop, after)

    legs = []
    for person, part in enumerate(shared.parts, start=1):
        for stop, walk in enumerate(part, start=1):
            legs.append(leg(walk, person, stop, fsum(done.hours for done in part[:stop])))
    return WalkPlan(
        people=people,
        hours=hours,
        days=days,
        wage_per_hour=wage,
        value_per_gal=value,
        legs=tuple(legs),
        later=tuple(leg(walk) for walk in shared.left),
        unknown=tuple(
            leg(_walk(teller, state, 0.0)) for state in states if _is_unknown(teller, state)
        ),
        rest=tuple(leg(walk) for walk in rest),
        rest_loss_gal_day=fsum(walk.loses_gal_day for walk in rest),
        rest_hours=fsum(walk.hours for walk in rest),
        feet_per_hour=teller.pace.feet_per_hour if teller.pace.measured else None,
        record_hours=teller.pace.hours,
    )


def _way(teller: Teller, state: LineVacuum) -> Walk | None:
    """What walking a line takes and would win; None if nothing calls for it, or nobody knows."""
    loss = teller.loss(state, teller.lost_inhg(state))
    if loss is None or not loss.sap_gal or not _is_called(teller, state):
        return None
    return _walk(teller, state, loss.sap_gal)


def _walk(teller: Teller, state: LineVacuum, loses_gal_day: float) -> Walk:
    return Walk((state.line.block, state.line.line), teller.hours(state), loses_gal_day)


def _is_called(teller: Teller, state: LineVacuum) -> bool:
    """Whether something calls for a walk: what its gauges say, or a leak that nobody mended."""
    return any(sign in WALKED_FOR for sign in state.signs) or bool(teller.open_leaks(state))


def _is_unknown(teller: Teller, state: LineVacuum) -> bool:
    """Whether a line leaks, and neither a gauge nor a leak says how much."""
    return (
        bool(state.taps)
        and not state.shut
        and teller.lost_inhg(state) is None
        and _is_called(teller, state)
    )


def _leg(
    teller: Teller, state: LineVacuum, walk: Walk, person: int, stop: int, after: float
) -> Leg:
    signs, words = signs_said(state, teller.units), teller.open_leaks(state)
    return Leg(
        person=person,
        stop=stop,
        block=state.line.block,
        line=state.line.line,
        order=state.line.order,
        loses_gal_day=walk.loses_gal_day,
        hours=walk.hours,
        done_after=after,
        says="; ".join([*signs[:1], *words[:1]]),
    )
