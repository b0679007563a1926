"""A sheet in plain characters: the same order and the same boxes as on the printed page."""

from collections.abc import Iterator
from textwrap import wrap
from typing import TYPE_CHECKING

from fieldbook.i18n import _
from fieldbook.reports.render.text import WIDTH
from fieldbook.reports.sheet import (
    REMINDER,
    SheetLine,
    SheetPage,
    dated,
    headed,
    letters,
    minded,
    ticks_of,
    told,
)

if TYPE_CHECKING:
    from rich.console import RenderableType

BOX = "[______]"
INDENT = " " * 6

UNIT = 24
"""Characters there is room for beside a box to count in."""

TICKS = 7
"""Boxes of steps in a row."""


def sheet_lines(page: SheetPage) -> list[str]:
    """A sheet line by line, in at most 76 columns."""
    out = [_beside(headed(page), _("SHEET {n}").format(n=page.number))]
    whose = _("{block} / {task}").format(block=page.block, task=page.task)
    whose += ", " + _("for {who}").format(who=page.who) if page.who else ""
    out += [*_wrapped(whose), _beside(dated(page), page.entry), ""]
    for caution in page.cautions:
        out += _wrapped(f"! {caution}")
    for head, said in ((_("Hazards in the block"), page.hazards), (_("In the woods"), page.out)):
        if said:
            out += ["", f"{head}:", *(row for words in said for row in _wrapped(f"  ! {words}"))]
    if page.notes:
        out += ["", *(row for note in page.notes for row in _wrapped(f"- {note}"))]
    if page.bag:
        out += ["", *_wrapped(page.bag)]
    if page.steps:
        steps = (f"{letters(i)} = {step}" for i, step in enumerate(page.steps))
        out += ["", *_wrapped(_("Steps: {steps}").format(steps="; ".join(steps)))]
    for line in page.lines:
        out += ["", *_line(line, page)]
    out += ["", "-" * WIDTH]
    out += [f"{_('out at')} {BOX}   {_('due back')} {BOX}   {_('back at')} {BOX}", ""]
    spouts = "   ".join(f"{word} {BOX}" for word in (_("issued"), _("returned"), _("scrapped")))
    return [*out, _("spouts") + "  " + spouts, "", *_wrapped(_(REMINDER))]


def _line(line: SheetLine, page: SheetPage) -> Iterator[str]:
    """A line: what it is, what to mind, and the boxes to write in."""
    order = str(line.order) if line.order else "-"
    yield from wrap(f"{order:>4}  {line.name}", WIDTH, subsequent_indent=INDENT)
    standing = f"{line.mark} {line.word}" + (f" ({line.remark})" if line.remark else "")
    for words in (standing.strip(), *told(line), *minded(line)):
        yield from wrap(words, WIDTH, initial_indent=INDENT, subsequent_indent=INDENT + "  ")
    unit = page.unit if len(page.unit) <= UNIT else page.unit[: UNIT - 1] + "~"
    for label in line.gauges[:-1]:
        yield f"{INDENT}{label} {BOX}"
    unit = line.gauges[-1] if line.gauges else unit
    yield f"{INDENT}{unit} {BOX}   {_('hours')} {BOX}   {_('finished')} [ ]"
    ticks = [
        f"{letters(i)} [{'x' if ticked else ' '}]" for i, ticked in enumerate(ticks_of(line, page))
    ]
    for at in range(0, len(ticks), TICKS):
        yield INDENT + "   ".join(ticks[at : at + TICKS])
    yield f"{INDENT}{_('note')} [{'_' * 60}]"


def _beside(left: str, right: str) -> str:
    """Words at the left edge and at the right one; what is too long for that goes below."""
    if len(left) + len(right) + 2 <= WIDTH:
        return left.ljust(WIDTH - len(right)) + right
    return "\n".join([*_wrapped(left), right.rjust(WIDTH)])


def _wrapped(text: str) -> list[str]:
    return wrap(text, WIDTH, subsequent_indent="  ")


def sheet_text(page: SheetPage) -> str:
    """A sheet as plain text."""
    return "\n".join(sheet_lines(page)) + "\n"


def sheet_terminal(page: SheetPage) -> "RenderableType":
    """A sheet as Rich draws it: its head and what to mind stand out."""
    from rich.console import Group
    from rich.text import Text

    rows = sheet_text(page).splitlines()
    loud = [at == 0 or row.lstrip().startswith("! ") for at, row in enumerate(rows)]
    return Group(
        *(
            Text(row, style="bold" if bold else "", no_wrap=True, overflow="ellipsis")
            for row, bold in zip(rows, loud, strict=True)
        )
    )
