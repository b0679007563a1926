"""Sums of drops: when they are due, what a new one brings, what they are cut from."""

from math import ceil

from fieldbook.i18n import _, ngettext
from fieldbook.reports.reckon.sums import Answer, plain, reckoned
from fieldbook.trade import drops as tubing
from fieldbook.trade import sources, supplies

FIRST_YEAR, LAST_YEAR = 1900, 2200
"""Years that are no slip of the finger."""


def _check_year(name: str, year: int, last: int) -> None:
    if not FIRST_YEAR <= year <= last:
        raise ValueError(f"{name} {year}: out of range, {FIRST_YEAR} to {last}")


@reckoned()
def drops(*, hung: int | None = None, season_year: int, drop_cycle_years: int) -> Answer:
    """Whether drops are due to be replaced.

    Left out:
        How they look: squirrels, mould and stiff tubing wait for no cycle. Drops of unknown age
        count as due, since nobody can say that they are not.

    Example:
        --hung 2024 --season-year 2027

    Args:
        hung: Season for which they were hung, 1900 to the season asked about; left out if unknown.
        season_year: Season asked about, 1900 to 2200.
    """
    _check_year("season", season_year, LAST_YEAR)
    if hung is not None:
        _check_year("hung", hung, season_year)
    age = tubing.drop_age_years(hung=hung, season=season_year)
    due = tubing.drop_due(hung=hung, season=season_year, cycle_years=drop_cycle_years)
    if age is None:
        said = _("Nobody knows how old the drops are: due in {season_year:d}.")
    elif due:
        said = _("The drops have hung {age_years} seasons: due in {season_year:d}.")
    else:
        said = _("The drops have hung {age_years} seasons: not due before {due_year:d}.")
    return Answer(
        result={
            "age_years": age,
            "due": due,
            "due_year": None if hung is None else hung + drop_cycle_years,
        },
        said=(said,),
        steps=(
            _("Age = season - season they were hung for; due = the age has come to the cycle"),
            _("Nobody knows the season they were hung for: due in {season_year:d}")
            if age is None
            else _("{season_year:d} - {hung:d} = {age_years} seasons, {drop_cycle_years} to go by"),
        ),
        rule=_("replaced at an age of {n} years").format(n=drop_cycle_years),
        source=sources.DROPS,
    )


@reckoned()
def gain(
    *,
    yield_old_gal: float,
    yield_new_gal: float,
    sap_value_per_gal: float,
    cost_per_tap: float,
) -> Answer:
    """What new spouts or drops bring a tap in a year, over what they cost.

    Left out:
        The work of putting them up, unless it is in the cost; and that a good year may flatter
        whatever was new in it.

    Example:
        --yield-old-gal 15 --yield-new-gal 16.875 --sap-value-per-gal 0.5 --cost-per-tap 0.35

    Args:
        yield_old_gal: Sap of a tap in a season with the old material, in gallons, 0 or more.
        yield_new_gal: Sap of a tap in a season with the new material, in gallons, 0 or more.
        cost_per_tap: What the new material costs a tap in a year, in money, 0 or more.
    """
    net = tubing.net_gain_per_tap(
        yield_old_gal=yield_old_gal,
        yield_new_gal=yield_new_gal,
        value_per_gal=sap_value_per_gal,
        cost_per_tap=cost_per_tap,
    )
    return Answer(
        result={"net_gain_per_tap": net},
        said=(
            _("It brings {net_gain_per_tap} a tap and year.")
            if net >= 0
            else _("It costs {loss} a tap and year more than it brings."),
        ),
        steps=(
            _("Gain = (sap with the new - sap with the old) x value of a gallon - cost of a tap"),
            _(
                "({yield_new_gal} - {yield_old_gal}) gal x {sap_value_per_gal} - {cost_per_tap} = "
                "{net_gain_per_tap} a tap and year"
            ),
        ),
        rule=_("(new - old yield) x value - cost"),
        source=f"{sources.ARITHMETIC}; {sources.SANITATION}",
        terms={"loss": -net},
    )


@reckoned()
def cycle(
    *, drop_cost: float, loss_pct_by_age: str, sap_gal_per_tap: float, sap_value_per_gal: float
) -> Answer:
    """How often to replace drops, for the least cost a year.

    Left out:
        Cycles longer than the table of losses; laterals and spouts, which cost the same for any.

    Example:
        --drop-cost 1.5

    Args:
        drop_cost: What a new drop costs, hung: tubing, tee and work, in money, 0 or more.
    """
    losses = tubing.losses_by_age(
        loss_pct_by_age=[float(share) for share in loss_pct_by_age.split(",")],
        sap_gal_per_tap=sap_gal_per_tap,
        value_per_gal=sap_value_per_gal,
    )
    costs = {
        years: tubing.yearly_cost(cycle_years=years, drop_cost=drop_cost, losses=losses)
        for years in range(1, len(losses) + 1)
    }
    best = tubing.best_cycle(drop_cost=drop_cost, losses=losses)
    said = [
        ngettext(
            "Replaced every {best_cycle_years} year, a drop costs least: {cost_a_year} a year.",
            "Replaced every {best_cycle_years} years, a drop costs least: {cost_a_year} a year.",
            best.years,
        ),
        _("By years in the cycle: {by_cycle}."),
    ]
    if best.years == len(losses):
        said.append(_("The table of losses goes no further: a longer cycle may cost less."))
    return Answer(
        result={
            "best_cycle_years": best.years,
            "cost_a_year": best.cost_a_year,
            "cost_by_cycle": {str(years): cost for years, cost in costs.items()},
        },
        said=tuple(said),
        steps=(
            _("Loss at an age = share of sap lost x sap of a tap x value of a gallon"),
            _(
                "Ages 0, 1, 2, ...: {loss_pct_by_age} % x {sap_gal_per_tap} gal x "
                "{sap_value_per_gal} = {losses}"
            ),
            _("Cost a year = (a new drop + losses at the ages it comes to) / years in the cycle"),
            _("({drop_cost} + {lost}) / {best_cycle_years} = {cost_a_year}, the least of all"),
        ),
        rule=_("the cycle with the least average cost a year"),
        source=f"{sources.REPLACEMENT}; losses {sources.MEMORY}",
        terms={
            "losses": losses,
            "lost": " + ".join(plain(loss) for loss in losses[: best.years]),
            "by_cycle": ", ".join(f"{years}: {cost:.2f}" for years, cost in costs.items()),
        },
    )


@reckoned()
def rolls(*, drops: int, length_in: float, roll_ft: float) -> Answer:
    """Rolls of tubing for so many drops.

    Left out:
        Spare for what is cut wrong. The end of a roll that is shorter than a drop is waste.

    Example:
        --drops 1000 --length-in 36

    Args:
        drops: Drops to make, 0 or more.
        length_in: Length of a drop in inches.
        roll_ft: Length of a roll in feet, at least one drop.
    """
    a_roll = supplies.drops_per_roll(roll_ft=roll_ft, drop_in=length_in)
    needed = supplies.rolls_for(drops=drops, roll_ft=roll_ft, drop_in=length_in)
    by_length = ceil(round(drops * length_in / 12 / roll_ft, 6))
    return Answer(
        result={"rolls": needed, "drops_per_roll": a_roll, "rolls_by_length": by_length},
        said=(
            ngettext(
                "{rolls} roll: {drops_per_roll} whole drops a roll.",
                "{rolls} rolls: {drops_per_roll} whole drops a roll.",
                needed,
            ),
            _("By length alone it would be {rolls_by_length}."),
        ),
        steps=(
            _("Drops a roll = length of a roll / length of a drop, rounded down"),
            _("{roll_ft} ft x 12 / {length_in} in = {drops_per_roll} whole drops"),
            _("Rolls = drops / drops a roll, rounded up"),
            _("{drops} / {drops_per_roll} = {exact}, so {rolls}"),
        ),
        rule=_("whole drops from whole rolls"),
        source=f"{sources.ARITHMETIC}; drops: {sources.DROP_LENGTH}",
        terms={"exact": drops / a_roll},
    )


@reckoned()
def bits(*, holes: int, holes_per_bit: int) -> Answer:
    """Sharp bits for so many holes.

    Left out:
        Bits that are lost, or hit a nail. A bit that is sharpened counts as a new one.

    Example:
        --holes 11960

    Args:
        holes: Holes to drill, 0 or more.
    """
    needed = supplies.bits_for(holes=holes, holes_per_bit=holes_per_bit)
    return Answer(
        result={"bits": needed},
        said=(
            ngettext(
                "{bits} sharp bit for {holes} holes.",
                "{bits} sharp bits for {holes} holes.",
                needed,
            ),
        ),
        steps=(
            _("Bits = holes / holes a bit drills, rounded up"),
            _("{holes} / {holes_per_bit} = {exact}, so {bits}"),
        ),
        rule=_("a sharp bit every {n} holes").format(n=f"{holes_per_bit:,}"),
        source=sources.BITS,
        terms={"exact": holes / holes_per_bit},
    )
