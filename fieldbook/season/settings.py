"""The rules of a book: what each is called, its default, and where the default comes from.

A new season records all of them as entries, so that a report never changes because a default did.
"""

from collections.abc import Callable
from datetime import date

from msgspec import Struct

from fieldbook.errors import BookError
from fieldbook.i18n import N_, _
from fieldbook.trade.pace import WEEK

Value = int | float | str


class Rule(Struct, frozen=True):
    """One setting.

    Attributes:
        name: As written on the command line and in tables.
        default: Its value in a new season of the year given.
        read: Turns typed text into a value; raises ValueError saying what would be right.
        about: What it means and where the default comes from.
    """

    name: str
    default: Callable[[int], Value]
    read: Callable[[str], Value]
    about: str


def _whole(low: int, high: int) -> Callable[[str], Value]:
    def read(text: str) -> int:
        if not text.strip().isdecimal() or not low <= int(text) <= high:
            raise ValueError(_("a whole number from {low} to {high}").format(low=low, high=high))
        return int(text)

    return read


def _measure(low: float, high: float) -> Callable[[str], Value]:
    def read(text: str) -> float:
        try:
            value = float(text)
        except ValueError:
            value = float("nan")
        if not low <= value <= high:
            raise ValueError(_("a number from {low:g} to {high:g}").format(low=low, high=high))
        return value

    return read


def _workdays(text: str) -> str:
    days = [day.strip().upper() for day in text.replace(" ", ",").split(",") if day.strip()]
    if not days or any(day not in WEEK for day in days):
        raise ValueError(_("days of the week such as MO,TU,WE,TH,FR,SA"))
    return ",".join(day for day in WEEK if day in days)


def _day(text: str) -> str:
    try:
        return date.fromisoformat(text.strip()).isoformat()
    except ValueError:
        raise ValueError(_("a date such as 2027-02-09")) from None


RULES = (
    Rule(
        "season_begins",
        lambda year: f"{year - 1}-09-01",
        _day,
        N_("First day that belongs to the season (common practice, no source)."),
    ),
    Rule(
        "season_ends",
        lambda year: f"{year}-08-31",
        _day,
        N_("Last day that belongs to the season (common practice, no source)."),
    ),
    Rule(
        "workdays",
        lambda _year: "MO,TU,WE,TH,FR,SA",
        _workdays,
        N_("Days of the week the crew works, as in RFC 5545."),
    ),
    Rule(
        "drop_cycle_years",
        lambda _year: 3,
        _whole(1, 50),
        N_("Age at which drops are replaced (about every 3 years: Perkins 2014, UVM)."),
    ),
    Rule(
        "tie_spacing_ft",
        lambda _year: 35.0,
        _measure(1, 1000),
        N_("Distance between side ties (30-40 ft: common practice, no source)."),
    ),
)

BY_NAME = {rule.name: rule for rule in RULES}


def read_setting(name: str, text: str) -> Value:
    """The value of a setting from typed text.

    Raises:
        BookError: There is no such setting, or the text is not a value for it.
    """
    rule = BY_NAME.get(name)
    if rule is None:
        raise BookError(
            _("There is no setting {name}.").format(name=repr(name)),
            _("The settings are: {names}.").format(names=", ".join(BY_NAME)),
        )
    try:
        return rule.read(text)
    except ValueError as error:
        raise BookError(
            _("{text} will not do for {name}.").format(text=repr(text), name=name),
            _("Write {form}.").format(form=error),
        ) from None
