"""Reports as plain text: what a simple printer or a chat message can carry."""

from collections.abc import Sequence
from textwrap import wrap

from fieldbook.i18n import _
from fieldbook.reports.log import LogLine, says
from fieldbook.reports.summary import Summary
from fieldbook.reports.summary_words import (
    attention,
    headline,
    number,
    people_words,
    title,
    wanted_words,
)
from fieldbook.reports.words import MARKS, one_line, standing_word

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
    for section in attention(summary):
        out += ["", section.title + ":"]
        for line in section.lines:
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
