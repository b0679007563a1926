"""The seasons side by side, as sections and tables for people, and as tables for a file."""

from collections.abc import Iterator, Sequence
from datetime import date
from textwrap import wrap

from fieldbook.i18n import _, ngettext
from fieldbook.reports.history import History, SeasonPart, Side
from fieldbook.reports.history_changes import Change
from fieldbook.reports.history_effects import SIZE, Effect
from fieldbook.reports.history_measures import DAYS, NUMBERS, Measure, Measures
from fieldbook.reports.listing import Listing, said
from fieldbook.reports.page import Section
from fieldbook.trade import sources
from fieldbook.trade.spread import FEWEST

SHOWN = 5
"""Seasons that people read beside one another: more are wider than a page. A file has them all."""

BY_NAME = {measure.name: measure for measure in (*NUMBERS, *DAYS)}


# --- for people --------------------------------------------------------------------------------


def history_sections(history: History) -> tuple[Section, ...]:
    """The seasons side by side, what changed, and what goes with drops and spouts."""
    return _side_by_side(history), _what_changed(history), _effects(history)


def history_words(history: History, *, width: int) -> list[str]:
    """The words of the sections on lines of a width, each under its title."""
    out: list[str] = []
    for section in history_sections(history):
        if section.lines:
            out += [""] * bool(out) + [section.title + ":"]
        for line in section.lines:
            out += wrap(line, width, initial_indent="  ", subsequent_indent="    ")
    return out


def _side_by_side(history: History) -> Section:
    side, *blocks = history.sides
    seasons = history.seasons[-SHOWN:]
    listings = [
        _beside("seasons", _("Numbers of the seasons"), side, seasons, NUMBERS),
        _beside("days", _("Days of the seasons"), side, seasons, DAYS),
    ]
    if blocks:
        listings.append(_by_block(blocks, seasons))
    lines = tuple(
        _("{season} is under way: its numbers are so far, and no change is told of it.").format(
            season=part.season
        )
        for part in history.seasons
        if part.so_far
    )
    return Section("seasons", _("Seasons side by side"), lines=lines, listings=tuple(listings))


def _beside(
    name: str, title: str, side: Side, seasons: Sequence[SeasonPart], measures: Sequence[Measure]
) -> Listing:
    """Measures of a place, a row each, with a column a season and the newest on the right."""
    told = side.seasons[-len(seasons) :]
    rows = [_row(measure, told) for measure in measures]
    if measures is NUMBERS:
        share = [None if x is None or x.hours_share is None else x.hours_share * 100 for x in told]
        rows.insert(3, ("hours_share_pct", _("Counts with hours, %"), *map(_rounded, share)))
    return Listing(
        name=name,
        title=f"{title}: {side.block}" if side.block else title,
        columns=("measure", "title", *(str(part.season) for part in seasons)),
        heads=(None, "", *map(_head, seasons)),
        rows=tuple(rows),
        notes=(_("A dash was not recorded: it is not a zero."),) if measures is NUMBERS else (),
    )


def _row(measure: Measure, told: Sequence[Measures | None]) -> tuple[object, ...]:
    values = (measure.told(measure.of(one)) for one in told)
    return (measure.shown_as, _(measure.title), *map(_rounded, values))


def _rounded(value: object) -> object:
    """A number as it is read: three figures of a small one are enough."""
    return round(value, 2) if isinstance(value, float) else value


def _head(part: SeasonPart) -> str:
    return _("{season} so far").format(season=part.season) if part.so_far else str(part.season)


def _by_block(blocks: Sequence[Side], seasons: Sequence[SeasonPart]) -> Listing:
    """A row a block and season; a block is not there in a season that does not have it."""
    names = (
        *("taps", "minutes_per_tap", "leaks_per_1000_taps", "sap_gal_per_tap", "brix_pct"),
        *("drop_age_years", "first_tap", "last_spout_out"),
    )
    rows = [
        (side.block, _head(part), *(_rounded(BY_NAME[name].of(one)) for name in names))
        for side in blocks
        for part, one in zip(seasons, side.seasons[-len(seasons) :], strict=True)
        if one is not None
    ]
    return Listing(
        name="blocks",
        title=_("The same by block"),
        columns=("block", "season", *names),
        heads=(
            *(_("Block"), _("Season"), _("Taps"), _("Min"), _("Leaks"), _("Sap"), _("Brix")),
            *(_("Drops"), _("First tap"), _("Last out")),
        ),
        rows=tuple(rows),
        notes=(
            _(
                "Min: minutes of work a tap. Leaks: per 1,000 taps. Sap: gal a tap, where the "
                "block was measured. Drops: seasons old. Last out: the last spout."
            ),
        ),
        by_block=True,
    )


def _what_changed(history: History) -> Section:
    title = _("What changed")
    over = [part.season for part in history.seasons if not part.so_far]
    if len(over) < 2:
        said_so = _("No two seasons of the book are over yet: no change can be told.")
        return Section("changes", title, lines=(said_so,))
    title = _("What changed from {before} to {season}").format(before=over[-2], season=over[-1])
    here = [change for change in history.changes if change.block == history.block]
    tables = (
        _changes_table(name, head, [BY_NAME[c.measure] for c in rows], rows, history)
        for name, head, rows in (
            ("changes", title, [c for c in here if BY_NAME[c.measure] in NUMBERS]),
            ("days_changed", _("Days"), [c for c in here if BY_NAME[c.measure] in DAYS]),
        )
        if rows
    )
    return Section("changes", title, lines=tuple(_change_lines(history)), listings=tuple(tables))


def _change_lines(history: History) -> Iterator[str]:
    """What lies outside of what was expected, how much of that is chance, and what is not told."""
    held = [change for change in history.changes if change.outside is not None]
    for change in held:
        if change.outside:
            yield f"! {change.says}"
    if held:
        yield _(
            "Held against the years before: {n:,} numbers, {outside:,} of them outside. Of 20 "
            "one is outside by chance alone."
        ).format(n=len(held), outside=sum(bool(change.outside) for change in held))
        yield _("Expected: {source}.").format(source=sources.YEARS)
    here = [change for change in history.changes if change.block == history.block]
    few = [change for change in here if change.difference is not None and change.low is None]
    if few:
        n = max(change.earlier_seasons for change in few)
        yield ngettext(
            "{n} season before {season} is too few to tell a change from what years differ "
            "anyway: it takes {least}.",
            "{n} seasons before {season} are too few to tell a change from what years differ "
            "anyway: it takes {least}.",
            n,
        ).format(n=n, season=few[0].season, least=FEWEST)
    yield from (change.says for change in here if change.difference is None)


def _changes_table(
    name: str,
    title: str,
    measures: Sequence[Measure],
    changes: Sequence[Change],
    history: History,
) -> Listing:
    """Changes of a place, a row each."""
    days, first = name == "days_changed", changes[0]
    running = history.seasons[-1].so_far
    return Listing(
        name=name,
        title=title,
        columns=(
            *("measure", "title", "value_before", "value", "days_later" if days else "difference"),
            *("expected", "so_far"),
        ),
        heads=(
            *(None, "", str(first.season_before), str(first.season)),
            *(_("Days later") if days else _("More"), _("Expected")),
            _("So far") if running else None,
        ),
        rows=tuple(
            (
                *(measure.shown_as, _(measure.title)),
                *(_told(measure, value) for value in (change.value_before, change.value)),
                _more(measure, change.difference, days=days),
                *(_expected(measure, change), _told(measure, change.so_far)),
            )
            for measure, change in zip(measures, changes, strict=True)
        ),
    )


def _told(measure: Measure, value: float | date | None) -> object:
    return _rounded(measure.told(value))


def _more(measure: Measure, difference: float | None, *, days: bool) -> object:
    if difference is None:
        return None
    return round(difference) if days else _told(measure, float(difference))


def _expected(measure: Measure, change: Change) -> str:
    """`3.1 to 4.4`, with `!` where the season lies outside; else how many are too few."""
    if change.difference is None:
        return ""
    if change.low is None or change.high is None:
        return _("{n}: too few").format(n=change.earlier_seasons)
    low, high = (said(measure.told(value)) for value in (change.low, change.high))
    return "! " * bool(change.outside) + _("{low} to {high}").format(low=low, high=high)


def _effects(history: History) -> Section:
    lines = [effect.says for effect in history.effects]
    if history.effects:
        lines.append(
            _(
                "Each line counts once in each season that is over and where its drops or spouts "
                "are known. Lines differ in other ways too, and the same line comes again in the "
                "next season: no difference here is a cause. Of 20, one shows by chance alone."
            )
        )
        if all(effect.factor != SIZE for effect in history.effects):
            lines.append(
                _(
                    "Spouts are compared where lines have two sizes of them: the column spout_in "
                    "of a table of lines."
                )
            )
        lines.append(_("Source: {source}.").format(source=sources.GROUPS))
    else:
        lines.append(_("No season with taps in is over yet: no lines can be compared."))
    return Section("effects", _("What goes with new drops, and with spouts"), lines=tuple(lines))


# --- for a file --------------------------------------------------------------------------------


def history_listings(history: History) -> tuple[Listing, ...]:
    """A row a season and place, a row a change, a row a comparison."""
    rows = [one for side in history.sides for one in side.seasons if one is not None]
    return (
        _as_listing("seasons", _("Seasons side by side"), Measures, rows),
        _as_listing("changes", _("What changed"), Change, history.changes),
        _as_listing(
            "effects", _("What goes with new drops, and with spouts"), Effect, history.effects
        ),
    )


def _as_listing(
    name: str,
    title: str,
    kind: type[Measures] | type[Change] | type[Effect],
    rows: Sequence[Measures | Change | Effect],
) -> Listing:
    """Structs with every field of theirs as a column."""
    columns = kind.__struct_fields__
    return Listing(
        name=name,
        title=title,
        columns=columns,
        heads=columns,
        rows=tuple(tuple(getattr(row, column) for column in columns) for row in rows),
    )
