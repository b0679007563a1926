"""What of the plan wants a look, in a few lines to begin with."""

from collections.abc import Iterator

from fieldbook.i18n import _, ngettext
from fieldbook.reports.drops import Drops
from fieldbook.reports.lines import Loads
from fieldbook.reports.trees import Allowance
from fieldbook.reports.wear import Wear, holds
from fieldbook.season.plan import Plan


def plan_parts(plan: Plan) -> list[str]:
    """The parts of the plan that a crew has: no drops without the task, no lines without tubing."""
    tubing = any(plan.diameter_in(line) or plan.length_ft(line) for line in plan.lines)
    there = {
        "trees": True,
        "wear": True,
        "drops": plan.counting("drops") is not None,
        "lines": tubing,
    }
    return [part for part, is_there in there.items() if is_there]


def outset(*parts: Allowance | Wear | Drops | Loads) -> Iterator[str]:
    """What wants a look in each part, in a line."""
    for part in parts:
        match part:
            case Allowance():
                over = [line for line in part.lines if line.over]
                taps = sum(line.over for line in over)
                tallied = sum(line.trees is not None for line in part.lines)
                yield _mark(over) + ngettext(
                    "{n} line of {all} tallied has more taps planned than its trees allow, "
                    "{taps:,} in all",
                    "{n} lines of {all} tallied have more taps planned than their trees allow, "
                    "{taps:,} in all",
                    len(over),
                ).format(n=len(over), all=tallied, taps=taps)
            case Wear():
                worn = [size for size in part.sizes if not holds(size)]
                yield _mark(worn) + _("{n} of {all} sizes of tree lose too much clean wood").format(
                    n=len(worn), all=len(part.sizes)
                )
            case Drops():
                left = sum(line.left or 0 for line in part.lines)
                yield _mark(left) + ngettext(
                    "{n:,} drop is left to replace", "{n:,} drops are left to replace", left
                ).format(n=left)
            case Loads():
                flagged = [load for load in part.lines if load.flags]
                yield _mark(flagged) + ngettext(
                    "{n} line carries more than it can, or is too flat or too long",
                    "{n} lines carry more than they can, or are too flat or too long",
                    len(flagged),
                ).format(n=len(flagged))


def _mark(found: object) -> str:
    return "! " if found else "  "
