"""The summary in words: the few lines that say where a season stands, and what wants a look."""

from collections.abc import Iterator, Sequence

from fieldbook.i18n import _, ngettext
from fieldbook.reports.balance import balance_words
from fieldbook.reports.open_items import OpenItem
from fieldbook.reports.page import Section
from fieldbook.reports.sap import sap_words
from fieldbook.reports.summary import LinePart, PersonPart, Summary, TaskPart
from fieldbook.reports.words import heading, one_line, place
from fieldbook.season.dates import short_day


def number(value: int | None) -> str:
    """`1,820`; a dash for what is not known."""
    return "-" if value is None else f"{value:,}"


def percent(value: int | None) -> str:
    return "-" if value is None else f"{value} %"


def wanted_words(part: TaskPart, *, brief: bool = False) -> str:
    """When a task is wanted, and what that asks of each day that is left."""
    if part.wanted is None:
        return ""
    said = _("wanted {day}").format(day=short_day(part.wanted))
    if not part.left:
        return said
    if not part.days_left:
        return said + ", " + _("no workday left")
    pace = _("{n} a day").format(n=number(part.needed_a_day))
    if brief:
        return f"{said}: {pace}"
    days = ngettext("{n} workday", "{n} workdays", part.days_left).format(n=part.days_left)
    return f"{said}: {days}, {pace}"


def headline(summary: Summary) -> list[str]:
    """The few lines that say where the season stands."""
    t = summary.totals
    taps = next((part for part in summary.tasks if part.counts == "taps"), None)
    lines = [
        _("Taps in {done} of {planned} ({percent}), left {left}").format(
            done=number(t.taps_in),
            planned=number(t.taps_planned),
            percent=percent(taps.percent if taps else None),
            left=number(t.taps_left),
        )
    ]
    if taps is not None and taps.lines_unknown:
        lines.append(
            ngettext(
                "! {n} line is planned by its trees, and they are not tallied",
                "! {n} lines are planned by their trees, and those are not tallied",
                taps.lines_unknown,
            ).format(n=taps.lines_unknown)
        )
    if t.drops_due is not None:
        lines.append(
            _("Drops replaced {done} of {due} due").format(
                done=number(t.drops_replaced), due=number(t.drops_due)
            )
        )
    if t.spouts_in_trees is not None:
        lines.append(
            _("Spouts in trees {trees}, pulled {pulled}").format(
                trees=number(t.spouts_in_trees), pulled=number(t.spouts_pulled)
            )
        )
    lines += balance_words(summary.balance)
    lines += sap_words(summary.sap)
    if summary.closed:
        lines.append(_("The season is closed ({who})").format(who=summary.closed))
    return lines


def title(summary: Summary) -> str:
    return heading(summary.book, summary.season, summary.as_of, invented=summary.invented)


def people_words(parts: Sequence[PersonPart]) -> Iterator[str]:
    for part in parts:
        hours = ", " + _("{hours:g} h").format(hours=part.hours) if part.hours else ""
        yield f"{part.who}: {part.count:,} {_(part.counts)}{hours}"


def attention(summary: Summary) -> Iterator[Section]:
    """What wants looking at, the gravest first; nothing where all is well."""
    if summary.open_items:
        head = _("Open items ({n})").format(n=len(summary.open_items))
        yield Section("open", head, tuple(map(open_item_words, summary.open_items)))
    if summary.vacuum is not None:
        vacuum = summary.vacuum
        yield Section("vacuum", _("Vacuum"), (*vacuum.says, *vacuum.worst))
    for name, head, parts in (
        ("short", _("Finished short of the plan"), summary.short),
        ("over", _("Over the plan"), summary.over),
    ):
        if parts:
            yield Section(name, head, tuple(map(_off_plan_words, parts)))
    record = tuple(record_words(summary))
    if record:
        yield Section("record", _("The record"), record)


def _off_plan_words(part: LinePart) -> str:
    """`Brook Bend / Mill main, tapping: 164 of 167 (3 too small)`."""
    count = _("{done} of {planned}").format(done=number(part.done), planned=number(part.planned))
    why = f" ({one_line(part.reason)})" if part.reason else ""
    return f"{place(part.block, part.line)}, {part.task}: {count}{why}"


def open_item_words(item: OpenItem) -> str:
    """`!! Rae is not back: Brook Bend; due back 16:30, 35 min over`."""
    rest = "; ".join(part for part in (item.where, item.state) if part)
    return " ".join(part for part in (item.mark, f"{item.says}: {rest}") if part)


def record_words(summary: Summary) -> Iterator[str]:
    if summary.struck:
        yield ngettext("{n} entry struck", "{n} entries struck", summary.struck).format(
            n=summary.struck
        )
    if summary.strays:
        yield ngettext(
            "! {n} entry is about work the plan does not have, in no total: see fieldbook check",
            "! {n} entries are about work the plan does not have, in no total: see fieldbook check",
            summary.strays,
        ).format(n=summary.strays)
    if summary.set_apart:
        yield ngettext(
            "! {n} line of the journals is set apart, in no total: see fieldbook check",
            "! {n} lines of the journals are set apart, in no total: see fieldbook check",
            summary.set_apart,
        ).format(n=summary.set_apart)
