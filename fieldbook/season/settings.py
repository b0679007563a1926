"""The rules of a book: what each is called, its default, and where the default comes from.

A new season records all of them as entries, so that a report never changes because a default did.
"""

from collections.abc import Callable
from datetime import date

from msgspec import Struct

from fieldbook.book.entry import NAME_LENGTH
from fieldbook.book.layout import YEARS
from fieldbook.errors import BookError
from fieldbook.i18n import N_, _
from fieldbook.trade import sources
from fieldbook.trade.pace import WEEK

Value = int | float | str


class Rule(Struct, frozen=True):
    """One setting.

    Attributes:
        name: As written on the command line and in tables.
        default: Its value in a new season, or what makes it of the year.
        read: Turns typed text into a value; raises ValueError saying what would be right.
        about: What it means.
        source: Where the default comes from.
    """

    name: str
    default: Value | Callable[[int], Value]
    read: Callable[[str], Value]
    about: str
    source: str

    def default_for(self, year: int) -> Value:
        """The value in a new season of a year."""
        return self.default(year) if callable(self.default) else self.default


def _whole(low: int, high: int) -> Callable[[str], Value]:
    def read(text: str) -> int:
        digits = text.strip()
        if not digits.isdecimal() or len(digits) > NAME_LENGTH or not low <= int(digits) <= high:
            raise ValueError(_("a whole number from {low} to {high}").format(low=low, high=high))
        return int(digits)

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
        day = date.fromisoformat(text.strip())
        if day.year not in YEARS:
            raise ValueError(text)
        return day.isoformat()
    except ValueError:
        raise ValueError(_("a date such as 2027-02-09")) from None


NONE = "none"


def _days_off(text: str) -> str:
    days = [_day(day) for day in text.replace(",", " ").split() if day.casefold() != NONE]
    return ",".join(sorted(set(days))) or NONE


def _name(text: str) -> str:
    name = " ".join(text.split())
    if not 0 < len(name) <= NAME_LENGTH:
        raise ValueError(_("a name of 1 to {most} characters").format(most=NAME_LENGTH))
    return name


def _percents(text: str) -> str:
    shares = [f"{_measure(0, 100)(share):g}" for share in text.replace(",", " ").split()]
    if not 1 <= len(shares) <= 50:
        raise ValueError(_("percentages parted by commas, such as 0,5,10,14"))
    return ",".join(shares)


RULES = (
    Rule(
        "season_begins",
        lambda year: f"{year - 1}-09-01",
        _day,
        N_("First day that belongs to the season."),
        sources.COMMON,
    ),
    Rule(
        "season_ends",
        lambda year: f"{year}-08-31",
        _day,
        N_("Last day that belongs to the season."),
        sources.COMMON,
    ),
    Rule(
        "workdays",
        "MO,TU,WE,TH,FR,SA",
        _workdays,
        N_("Days of the week the crew works, as in RFC 5545."),
        sources.CREW,
    ),
    Rule(
        "days_off",
        NONE,
        _days_off,
        N_("Days on which nobody works: dates parted by commas, or none."),
        sources.CREW,
    ),
    Rule(
        "drop_cycle_years",
        3,
        _whole(1, 50),
        N_("Age at which drops are replaced."),
        sources.DROPS,
    ),
    Rule(
        "tie_spacing_ft",
        35.0,
        _measure(1, 1000),
        N_("Distance between side ties, in feet."),
        "30-40 ft: " + sources.COMMON,
    ),
    # What the trees can carry
    Rule(
        "tap_rule",
        "conservative",
        _name,
        N_("Rule for the taps a tree may carry; own, or one of your table, too."),
        sources.MANUAL,
    ),
    Rule(
        "own_first_in",
        12.0,
        _measure(1, 60),
        N_(
            "The crew's own rule: diameter at breast height from which a tree is tapped, in inches."
        ),
        sources.CREW,
    ),
    Rule(
        "own_step_in",
        6.0,
        _measure(0.1, 60),
        N_("The crew's own rule: inches of diameter for each further tap."),
        sources.CREW,
    ),
    Rule(
        "own_most_taps",
        2,
        _whole(1, 10),
        N_("The crew's own rule: most taps of one tree."),
        sources.CREW,
    ),
    Rule(
        "growth_dbh_in",
        0.115,
        _measure(0, 2),
        N_("Diameter the trees gain in a year, in inches."),
        sources.GROWTH,
    ),
    Rule(
        "hole_width_in",
        0.3125,
        _measure(0.05, 1),
        N_("Width of the hole, in inches."),
        "5/16 in: " + sources.COMMON,
    ),
    Rule(
        "hole_depth_in",
        1.5,
        _measure(0.25, 4),
        N_("Depth of the hole in the wood, in inches."),
        sources.DEPTH,
    ),
    Rule(
        "drop_length_in",
        30.0,
        _measure(6, 120),
        N_("Length of a drop, which is also how far up and down it reaches, in inches."),
        sources.DROP_LENGTH,
    ),
    Rule(
        "stain_factor",
        50.0,
        _measure(1, 200),
        N_("Stained wood for the volume of the hole that made it."),
        sources.STAIN,
    ),
    Rule(
        "clean_wood_pct",
        90.0,
        _measure(1, 99.9),
        N_("Share of clean wood to keep, in percent."),
        sources.ZONE,
    ),
    # What to buy, and what it is worth
    Rule(
        "roll_ft",
        500.0,
        _measure(10, 10_000),
        N_("Feet of drop tubing on a roll."),
        sources.COMMON,
    ),
    Rule(
        "spare_pct",
        5.0,
        _measure(0, 100),
        N_("Spare for what breaks or is lost, in percent."),
        sources.MEMORY,
    ),
    Rule(
        "holes_per_bit",
        2500,
        _whole(1, 100_000),
        N_("Holes that a bit drills before it is changed."),
        sources.BITS,
    ),
    Rule(
        "wire_tie_spacing_ft",
        1.0,
        _measure(0.1, 100),
        N_("Distance between the ties that hold a mainline to its wire, in feet."),
        sources.MEMORY,
    ),
    Rule(
        "ties_renewed_pct",
        10.0,
        _measure(0, 100),
        N_("Side ties and wire ties renewed while tensioning, in percent."),
        sources.MEMORY,
    ),
    Rule(
        "price_roll",
        80.0,
        _measure(0, 100_000),
        N_("Price of a roll of drop tubing."),
        sources.MEMORY,
    ),
    Rule(
        "price_spout",
        0.35,
        _measure(0, 100_000),
        N_("Price of a spout."),
        sources.MEMORY,
    ),
    Rule(
        "price_tee",
        0.45,
        _measure(0, 100_000),
        N_("Price of a tee."),
        sources.MEMORY,
    ),
    Rule(
        "price_side_tie",
        0.60,
        _measure(0, 100_000),
        N_("Price of a side tie."),
        sources.MEMORY,
    ),
    Rule(
        "price_wire_tie",
        0.05,
        _measure(0, 100_000),
        N_("Price of a wire tie."),
        sources.MEMORY,
    ),
    Rule(
        "price_bit",
        15.0,
        _measure(0, 100_000),
        N_("Price of a bit."),
        sources.MEMORY,
    ),
    Rule(
        "wage_per_hour",
        20.0,
        _measure(0, 10_000),
        N_("What an hour of work costs."),
        sources.MEMORY,
    ),
    Rule(
        "sap_gal_per_tap",
        15.0,
        _measure(0.1, 200),
        N_("Sap of a tap in a season, in gallons."),
        sources.MEMORY,
    ),
    Rule(
        "sap_gal_per_tap_day",
        0.5,
        _measure(0.01, 20),
        N_("Sap of a tap on a day when it runs, in gallons."),
        sources.MEMORY,
    ),
    Rule(
        "sap_at_inhg",
        0.0,
        _measure(0, 29.8),
        N_("Vacuum under which a tap gives that on such a day, in inches of mercury; 0 for none."),
        sources.MEMORY,
    ),
    Rule(
        "sap_brix",
        2.0,
        _measure(0.5, 10),
        N_("Sweetness of the sap in Brix, until a run's was taken."),
        sources.MEMORY,
    ),
    Rule(
        "sap_value_per_gal",
        0.50,
        _measure(0, 1000),
        N_("What a gallon of sap is worth."),
        sources.MEMORY,
    ),
    Rule(
        "loss_pct_by_age",
        "0,5,10,14,17,19,20,21",
        _percents,
        N_("Sap lost to drops of each age, new ones first, in percent."),
        sources.MEMORY,
    ),
    # Lines and vacuum
    Rule(
        "peak_gph_per_tap",
        0.5,
        _measure(0.01, 5),
        N_("Sap of a tap in the best hour, in gallons."),
        sources.PEAK,
    ),
    Rule(
        "pump_vacuum_inhg",
        25.0,
        _measure(1, 29.8),
        N_("Vacuum at the pump, in inches of mercury."),
        sources.HIGH_VACUUM,
    ),
    Rule(
        "vacuum_loss_inhg",
        1.0,
        _measure(0.1, 10),
        N_("Vacuum that may be lost between pump and tap, in inches of mercury."),
        sources.VACUUM_LOSS,
    ),
    Rule(
        "cfm_per_100_taps",
        1.0,
        _measure(0.1, 10),
        N_("Air that 100 taps let in, in cubic feet a minute."),
        sources.AIR_NEED,
    ),
    Rule(
        "pump_cfm",
        0.0,
        _measure(0, 10_000),
        N_("What the pump moves, in cubic feet a minute; 0 if not known."),
        sources.CREW,
    ),
    Rule(
        "elevation_ft",
        0.0,
        _measure(-1000, 15_000),
        N_("Height of the pump above the sea, in feet."),
        sources.CREW,
    ),
    Rule(
        "sap_pct_per_inhg",
        5.0,
        _measure(0, 20),
        N_("Sap gained with an inch of mercury, in percent."),
        sources.VACUUM_GAIN,
    ),
    Rule(
        "leak_days",
        7.0,
        _measure(0.5, 120),
        N_("Days a leak goes on if nobody walks its line: to the next round."),
        sources.MEMORY,
    ),
    Rule(
        "wire_tension_lb",
        300.0,
        _measure(10, 2000),
        N_("Tension of a mainline's wire, in pounds. Never beyond the rating."),
        sources.MEMORY,
    ),
    # Pace
    Rule(
        "rate_drops",
        30.0,
        _measure(0.1, 10_000),
        N_("Drops a person replaces in an hour, until the crew's own record says."),
        sources.PACE,
    ),
    Rule(
        "rate_taps",
        45.0,
        _measure(0.1, 10_000),
        N_("Taps a person drills in an hour, until the crew's own record says."),
        sources.PACE,
    ),
    Rule(
        "rate_ties",
        12.0,
        _measure(0.1, 10_000),
        N_("Side ties a person tensions in an hour, until the crew's own record says."),
        sources.PACE,
    ),
    Rule(
        "rate_spouts",
        90.0,
        _measure(0.1, 10_000),
        N_("Spouts a person pulls in an hour, until the crew's own record says."),
        sources.PACE,
    ),
    Rule(
        "rate_readings",
        500.0,
        _measure(0.1, 10_000),
        N_("Taps a person walks past in an hour of listening, until the crew's own record says."),
        sources.PACE,
    ),
    Rule(
        "rate_other",
        10.0,
        _measure(0.1, 10_000),
        N_("Units of any other task a person does in an hour, until the crew's own record says."),
        sources.PACE,
    ),
    Rule(
        "rate_prior_hours",
        20.0,
        _measure(0, 1000),
        N_("Hours of record that a default rate weighs as much as."),
        sources.SHRUNK,
    ),
    Rule(
        "hours_a_day",
        6.0,
        _measure(0.5, 16),
        N_("Hours a person works in the woods in a day."),
        sources.MEMORY,
    ),
    Rule(
        "lost_days_pct",
        15.0,
        _measure(0, 90),
        N_("Workdays lost to weather, until the record says, in percent."),
        sources.MEMORY,
    ),
)

ITEMS = tuple(r.name.removeprefix("price_") for r in RULES if r.name.startswith("price_"))
"""What is bought for the season, each with a price."""

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
