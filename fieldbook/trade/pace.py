"""Days and pace: how many days there are to work, and how much each must bring."""

from datetime import date, datetime, time
from math import ceil

WEEK = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
"""Days of the week as RFC 5545 writes them."""


def working_days(first: date, last: date, workdays: str) -> int:
    """Days of work from `first` to `last`, both counted; 0 if `last` comes before `first`.

    Args:
        first: First day that may be worked.
        last: Last day that may be worked.
        workdays: Days of the week worked, as the BYDAY of an RFC 5545 rule: `MO,TU,WE,TH,FR`.
    """
    from dateutil.rrule import WEEKLY, rrule, weekday

    return sum(
        1
        for _day in rrule(
            WEEKLY,
            byweekday=[weekday(WEEK.index(day)) for day in workdays.split(",")],
            dtstart=datetime.combine(first, time()),
            until=datetime.combine(last, time()),
        )
    )


def needed_a_day(left: int, days: int) -> int | None:
    """Units each working day must bring, rounded up; None when no day is left.

    Args:
        left: Units still to do.
        days: Working days there are.
    """
    return None if days <= 0 else ceil(left / days)
