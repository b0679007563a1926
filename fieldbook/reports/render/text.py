"""Reports as plain text: what a simple printer or a chat message can carry."""

from collections.abc import Iterator, Sequence
from textwrap import wrap

from fieldbook.i18n import _, ngettext
from fieldbook.reports.balance import balance_words
from fieldbook.reports.log import LogLine, says
from fieldbook.reports.open_items import OpenItem
from fieldbook.reports.sap import sap_words
from fieldbook.reports.summary import PersonPart, Summary, TaskPart
from fieldbook.reports.words import MARKS, heading, one_line, place, standing_word
from fieldbook.season.dates import short_day

WIDTH = 76


def columns(
    header: Sequence[str], rows: Sequence[Sequence[str]], *, right: frozenset[int] = frozenset()
) -> list[str]:
    """Rows in columns as wide as they need, parted by two blanks.

    Args:
        header: Heads of the columns.
        rows: Cells as text.
        right: Numbers of the columns to set flush right.
    """
    table = [header, *rows]
    widths = [max(len(row[i]) for row in table) for i in range(len(header))]

    def line(row: Sequence[str]) -> str:
        cells = (
            cell.rjust(width) if i in right else cell.ljust(width)
            for i, (cell, width) in enumerate(zip(row, widths, strict=True))
        )
        return "  ".join(cells).rstrip()

    return [line(row) for row in table]


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


def attention(summary: Summary) -> Iterator[tuple[str, list[str]]]:
    """What wants looking at: a head and its lines, the gravest first; nothing where all is well."""
    if summary.open_items:
        yield (
            _("Open items ({n})").format(n=len(summary.open_items)),
            [open_item_words(item) for item in summary.open_items],
        )
    if summary.vacuum is not None:
        yield _("Vacuum"), [*summary.vacuum.says, *summary.vacuum.worst]
    for head, parts in (
        (_("Finished short of the plan"), summary.short),
        (_("Over the plan"), summary.over),
    ):
        if parts:
            yield (
                head,
                [
                    f"{place(p.block, p.line)}, {p.task}: "
                    + _("{done} of {planned}").format(
                        done=number(p.done), planned=number(p.planned)
                    )
                    + (f" ({one_line(p.reason)})" if p.reason else "")
                    for p in parts
                ],
            )
    record = list(_record_words(summary))
    if record:
        yield _("The record"), record


def open_item_words(item: OpenItem) -> str:
    """`!! Rae is not back: Brook Bend; due back 16:30, 35 min over`."""
    rest = "; ".join(part for part in (item.where, item.state) if part)
    return " ".join(part for part in (item.mark, f"{item.says}: {rest}") if part)


def _record_words(summary: Summary) -> Iterator[str]:
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


def summary_text(summary: Summary) -> str:
    """The summary on plain lines, of ASCII but for the words people typed."""
    out = [title(summary), "", *headline(summary), ""]
    out += columns(
        (_("Task"), _("Done"), _("Planned"), "%", _("Left"), _("Standing"), ""),
        [
            (
                part.title,
                number(part.done),
                number(part.planned),
                number(part.percent),
                number(part.left),
                f"{MARKS[part.standing]} {standing_word(part.standing)}",
                wanted_words(part, brief=True),
            )
            for part in summary.tasks
        ],
        right=frozenset({1, 2, 3, 4}),
    )
    rows = []
    for block in summary.blocks:
        for i, part in enumerate(block.tasks):
            rows.append(
                (
                    block.block if i == 0 else "",
                    part.task,
                    number(part.done),
                    number(part.planned),
                    number(part.percent),
                    number(part.left),
                    f"{MARKS[part.standing]} {standing_word(part.standing)}",
                )
            )
    header = (_("Block"), _("Task"), _("Done"), _("Planned"), "%", _("Left"), _("Standing"))
    out += ["", *columns(header, rows, right=frozenset({2, 3, 4, 5}))]
    for head, people in ((_("Today"), summary.today), (_("This week"), summary.week)):
        out += ["", head + ":", *(f"  {line}" for line in people_words(people))]
        if not people:
            out.append("  " + _("nothing recorded"))
    for head, lines in attention(summary):
        out += ["", head + ":"]
        for line in lines:
            out += wrap(line, WIDTH, initial_indent="  ", subsequent_indent="      ")
    return "\n".join(out) + "\n"


def log_text(lines: Sequence[LogLine]) -> str:
    """The logbook, an entry a line; what is struck says so, by whom and why."""
    rows = [
        (line.id, f"{line.at:%Y-%m-%d %H:%M}", line.who or line.by, line.place, struck_words(line))
        for line in lines
    ]
    header = (_("Id"), _("When"), _("Who"), _("Where"), _("What"))
    return "\n".join(columns(header, rows)) + "\n"


def struck_words(line: LogLine) -> str:
    """What an entry says, and if it is struck, by whom and why."""
    if not line.struck:
        return says(line)
    return f"~ {says(line)}  " + _("[struck by {who}]").format(who=one_line(line.struck))
