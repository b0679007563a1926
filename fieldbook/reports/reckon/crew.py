"""Sums of the crew: hours, pace, the day it is done, and what is best done first."""

from collections.abc import Hashable, Mapping, Sequence
from datetime import date, timedelta
from math import ceil, fsum, isfinite

from fieldbook.errors import BookError
from fieldbook.i18n import _, ngettext
from fieldbook.reports.forecast import DRAWS, EARLY, LATE, LIKELY
from fieldbook.reports.reckon.sums import Answer, plain, reckoned
from fieldbook.season.settings import NONE
from fieldbook.trade import pace, sources
from fieldbook.trade.ranges import Range
from fieldbook.trade.schedule import Job, finish_days, greatest_lateness, lawler

MOST_DAYS = 1000
"""Workdays after which an end is not looked for."""

CHANCES = {"10": EARLY, "50": LIKELY, "90": LATE}
"""How often work is done by a day: in percent, and as a share."""

AFTER = "after "
"""Before the name of a job that another waits for."""


@reckoned()
def hours(*, taps: float, minutes_per_tap: float = 4.74) -> Answer:
    """Hours of work that a season takes.

    Left out:
        Boiling, and whatever woods and weather have in store; sugarbushes differ by half and more.

    Example:
        --taps 10000

    Args:
        taps: Taps of the sugarbush, 0 or more.
        minutes_per_tap: Minutes a tap takes in a season, above 0; 4.74 is what sugarbushes with
            tubing took in 1998 (Huyler 2000).
    """
    return Answer(
        result={"person_hours": pace.person_hours(taps=taps, minutes_per_tap=minutes_per_tap)},
        said=(_("{person_hours} hours of one person in a season."),),
        steps=(
            _("Hours = taps x minutes a tap / 60"),
            _("{taps} x {minutes_per_tap} min / 60 = {person_hours} hours"),
        ),
        rule=_("{n:g} minutes a tap and season").format(n=minutes_per_tap),
        source=sources.LABOUR,
    )


@reckoned()
def rate(*, units: float, hours: float, default_rate: float, rate_prior_hours: float) -> Answer:
    """Units an hour, as a short record and a default tell it together.

    Left out:
        That the crew learns, tires, and comes to steeper woods.

    Example:
        --units 300 --hours 6 --default-rate 45

    Args:
        units: Units recorded, 0 or more.
        hours: Person-hours they took, 0 or more.
        default_rate: Units an hour before anything is recorded, above 0.
    """
    blended = pace.shrunk_rate(
        units=units, hours=hours, default_rate=default_rate, prior_hours=rate_prior_hours
    )
    return Answer(
        result={"rate_per_hour": blended},
        said=(_("{rate_per_hour} an hour."),),
        steps=(
            _(
                "Rate = (units + default x hours it weighs) / (hours + hours it weighs): the "
                "default counts as so many hours of record, and fades as the record grows"
            ),
            _(
                "({units} + {default_rate} x {rate_prior_hours}) / ({hours} + {rate_prior_hours}) "
                "= {rate_per_hour} an hour"
            ),
        ),
        rule=_("record, and a default that weighs {n:g} hours").format(n=rate_prior_hours),
        source=sources.SHRUNK,
    )


@reckoned()
def finish(
    *,
    left: float,
    days: Sequence[float],
    lost_pct: float,
    start: date | None = None,
    workdays: str,
    days_off: str,
) -> Answer:
    """When work will be done, if days to come are like days recorded.

    Left out:
        That weather comes in spells, and the crew may grow or shrink. Lost days are drawn one by
        one.

    Example:
        --left 1000 --days 120 80 150 --lost-pct 10 --start 2027-02-09

    Args:
        left: Units left to do, 0 or more.
        days: Units done on each day recorded, above 0; one day or more.
        start: First day that may be worked, as 2027-02-09.
    """
    Range("left", 0, unit="units").check(left)
    ranked = pace.resample_days(
        goals=[left], days=days, lost_share=lost_pct / 100, draws=DRAWS, most_days=MOST_DAYS
    )[0]
    ends = {chance: pace.quantile(ranked, share) for chance, share in CHANCES.items()}
    numbers = {chance: n if n <= MOST_DAYS else None for chance, n in ends.items()}
    dates: dict[str, date | None] = {}
    if start is not None:
        off = [date.fromisoformat(day) for day in days_off.split(",") if day != NONE]
        dates = {
            chance: None
            if number is None
            else pace.day_number(start - timedelta(days=1), number, workdays=workdays, days_off=off)
            for chance, number in numbers.items()
        }
    return Answer(
        result={f"workdays_{chance}_pct": number for chance, number in numbers.items()}
        | {f"date_{chance}_pct": day for chance, day in dates.items()},
        said=(
            _("Done by workday {by_day}."),
            *[_("That is {by_date}.")] * bool(dates),
        ),
        steps=(
            _(
                "Days to come are drawn from the days recorded, and from days on which nothing "
                "gets done, until the work is done; {draws} times over"
            ),
            _("{left} left; days of {days}; {lost_pct} % of days lost"),
            _("The ends in their order; a tenth, a half and nine tenths of the way stand {by_day}"),
            _("From {start} on, {workdays}, without days off ({days_off}): {by_date}")
            if dates
            else _("No dates without a start; {workdays} and days off ({days_off}) would count"),
        ),
        rule=_("{n} draws of recorded days, {pct:g} % of them lost").format(
            n=plain(DRAWS), pct=lost_pct
        ),
        source=sources.RESAMPLING,
        terms={"draws": DRAWS, "by_day": _by_chance(numbers), "by_date": _by_chance(dates)},
    )


def _by_chance(ends: dict[str, int | None] | dict[str, date | None]) -> str:
    never = _("not within {n} workdays").format(n=plain(MOST_DAYS))
    return ", ".join(
        _("{end} ({n} in 10)").format(end=never if end is None else end, n=chance[0])
        for chance, end in ends.items()
    )


def _job(text: str) -> Job:
    """A job from `Creek,1,4,after Brook Bend`: name, days, day it is due, what it waits for."""
    name, days, due, *after = [*(word.strip() for word in text.split(",")), "", ""]
    waits = [word for word in after if word]
    try:
        if not name or not all(word.startswith(AFTER) for word in waits):
            raise ValueError
        return Job(
            name=name,
            days=_finite(days),
            due=_finite(due) if due else None,
            after=tuple(word.removeprefix(AFTER).strip() for word in waits),
        )
    except ValueError:
        raise BookError(
            _("{text} is not a job.").format(text=repr(text)),
            _(
                "Write its name, the days it takes, the workday it is due (or nothing) and what it "
                "comes after: 'Creek,1,4,after Brook Bend'."
            ),
        ) from None


def _finite(text: str) -> float:
    value = float(text)
    if not isfinite(value):
        raise ValueError
    return value


@reckoned()
def order(*, jobs: Sequence[str]) -> Answer:
    """The order of jobs in which the latest is least late.

    Left out:
        The way between the jobs, and that two of them may go on at once.

    Example:
        --jobs "Old Orchard,3,5" "Brook Bend,2,4" "Creek,1,,after Brook Bend"

    Args:
        jobs: Each as name,days,due: 'Old Orchard,3,5' takes 3 workdays, 0 or more, and is due on
            the 5th from now; 'Creek,1,,after Brook Bend' is never late, and waits for another.
    """
    asked = [_job(text) for text in jobs]
    names = {job.name for job in asked}
    for job in asked:
        if unknown := [str(name) for name in job.after if name not in names]:
            raise ValueError(f"{job.name} after {unknown[0]}: out of range, after one of the jobs")
    best = lawler(asked)
    done = finish_days(best)
    late = {job.name: done[job.name] - job.due for job in best if job.due is not None}
    latest = greatest_lateness(best) if late else None
    return Answer(
        result={
            "order": [job.name for job in best],
            "finish_day": done,
            "days_late": late,
            "greatest_lateness_days": latest,
        },
        said=("{sequence}.", _latest_words(latest)),
        steps=(
            _("Jobs, with days and the day each is due: {asked}"),
            _("From the back: of the jobs that no other waits for, the one due latest goes last"),
            _("Finish = days of a job and of all before it; late = finish - the day it is due"),
            "{sequence}",
            *(["{why}"] if late else []),
        ),
        rule=_("of the jobs that none waits for, the one due latest goes last"),
        source=sources.ONE_CREW,
        terms={
            "asked": "; ".join(jobs),
            "sequence": ", ".join(_turn(job, done[job.name]) for job in best),
            "days": abs(latest or 0),
            "why": _why(best, late) if late else "",
        },
    )


def _turn(job: Job, finish: float) -> str:
    """A job in its turn: `Brook Bend by day 2 (due 4)`."""
    said = _("{job} by day {day}").format(job=job.name, day=plain(finish))
    return (
        said if job.due is None else _("{said} (due {due})").format(said=said, due=plain(job.due))
    )


def _latest_words(latest: float | None) -> str:
    if latest is None:
        return _("Nothing has a day on which it is due.")
    if latest > 0:
        return ngettext(
            "The latest is {days} day late; no order does better.",
            "The latest is {days} days late; no order does better.",
            ceil(latest),
        )
    return ngettext(
        "All in time, with {days} day to spare; no order leaves more.",
        "All in time, with {days} days to spare; no order leaves more.",
        ceil(-latest),
    )


def _why(best: Sequence[Job], late: Mapping[Hashable, float]) -> str:
    """Why no order does better: Lawler's own proof, for the job that is latest."""
    latest = max(late, key=lambda name: late[name])
    first = [job.name for job in best].index(latest) + 1
    finish = fsum(job.days for job in best[:first])
    return _(
        "No order does better: the first {n} jobs take {finish} days in any order, one of them "
        "comes last, and of those that may, {job} is due latest, on day {due}"
    ).format(n=first, finish=plain(finish), job=latest, due=plain(finish - late[latest]))
