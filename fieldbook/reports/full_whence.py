"""Where the numbers of the season in full come from: hours, drops' ages, sap, costs, history."""

from collections.abc import Iterator

from fieldbook.i18n import _
from fieldbook.reports.costs import CostPart
from fieldbook.reports.full import Full
from fieldbook.reports.supplies import TAKEN_BY, item_word
from fieldbook.reports.whence import Whence
from fieldbook.reports.words import rule_source
from fieldbook.season.season import Season
from fieldbook.trade import sources


def part_whence(season: Season, full: Full, part: str) -> list[Whence]:
    """Where the numbers of a part of the season come from.

    Args:
        season: The season.
        full: The season in full.
        part: Which part: see `screens.season.PARTS`. Of one that has its own page, nothing.
    """
    match part:
        case "work":
            return list(_work(full))
        case "spouts":
            return list(_spouts(season, full))
        case "sap":
            return list(_sap(full))
        case "costs":
            return list(_costs(season, full))
    return []


def _work(full: Full) -> Iterator[Whence]:
    work = full.work
    if work.hours is not None and work.minutes_per_tap is not None:
        yield (
            _("{minutes:.2f} minutes a tap").format(minutes=work.minutes_per_tap),
            (
                _("{hours:g} h x 60 / {taps:,} taps in").format(hours=work.hours, taps=work.taps),
                _("hours as they were keyed with the counts, of all tasks together"),
                _("to compare: {source}").format(source=sources.LABOUR),
            ),
        )
    for part in work.tasks:
        if part.rate_per_hour is not None:
            yield (
                _("{task}: {rate:.1f} {unit} an hour").format(
                    task=part.title, rate=part.rate_per_hour, unit=_(part.counts)
                ),
                (
                    _("{units:,} in {hours:g} h; counts without hours are left out").format(
                        units=part.timed, hours=part.hours
                    ),
                ),
            )


def _spouts(season: Season, full: Full) -> Iterator[Whence]:
    cycle = int(season.plan.number("drop_cycle_years"))
    yield (
        _("How old the drops are now"),
        (
            _("season less the year they were hung, as the lines say"),
            _("a line whose drops are done this season is new; half done it stays as old"),
            _("due at {n} years: {source}").format(
                n=cycle, source=rule_source(season.plan, "drop_cycle_years")
            ),
        ),
    )
    count = full.summary.balance.season
    yield (
        _("Drops {drops:,} = taps {taps:,} + not tapped {untapped:,} - over {over:,}").format(
            drops=count.drops, taps=count.taps, untapped=count.untapped, over=count.over
        ),
        (_("line by line: what is missing on one does not make up for another"),),
    )


def _sap(full: Full) -> Iterator[Whence]:
    sap = full.summary.sap
    if sap.best_fifth_share is not None:
        yield (
            _("{share:.0f} % of the sap in the best fifth of the days").format(
                share=100 * sap.best_fifth_share
            ),
            (
                _("{n} of {of} days measured: a fifth, rounded up to whole days").format(
                    n=sap.best_fifth_days, of=sap.days_measured
                ),
            ),
        )
    if sap.syrup_expected_gal is not None:
        yield (
            _("{gal:,.1f} gal of syrup expected").format(gal=sap.syrup_expected_gal),
            (
                _("of the sap whose sweetness was taken, day by day, at 66.0 Brix"),
                sources.REVISED_86,
                *(
                    [
                        _("{gal:,.1f} gal by the plain one: {source}").format(
                            gal=sap.syrup_expected_86_gal, source=sources.RULE_OF_86
                        )
                    ]
                    if sap.syrup_expected_86_gal is not None
                    else []
                ),
            ),
        )
    if sap.sap_missed_gal:
        yield (
            _("{gal:,.0f} gal missed by taps drilled too late").format(gal=sap.sap_missed_gal),
            (
                _("each run: sap / taps in by that day x taps drilled after it"),
                _("it takes them to give as much as those that were in"),
            ),
        )


def _costs(season: Season, full: Full) -> Iterator[Whence]:
    for part in full.costs.parts:
        rule = "wage_per_hour" if part.what == "hours" else f"price_{part.what}"
        yield _cost_head(part), (_used(part), f"{rule}: {rule_source(season.plan, rule)}")


def _cost_head(part: CostPart) -> str:
    what = _("hours") if part.what == "hours" else item_word(part.what)
    return _("{used:,g} {what} x {price:,.2f} = {cost:,.2f}").format(
        used=part.used, what=what, price=part.price, cost=part.cost
    )


def _used(part: CostPart) -> str:
    if part.what == "hours":
        return _("hours as they were keyed with the counts")
    return _("worked out from the {unit} done this season").format(unit=_(TAKEN_BY[part.what]))
