"""Open items in words, as data and as a table: what must not be forgotten."""

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from textwrap import wrap

from msgspec import Struct

from fieldbook.i18n import _, ngettext
from fieldbook.reports.listing import Listing
from fieldbook.reports.words import one_line, place
from fieldbook.season.dates import clock, short_day
from fieldbook.season.items import Item, Level, What
from fieldbook.season.plan import Plan

MARKS = {Level.SAFETY: "!!", Level.SAP: "!", Level.WORK: ""}
"""What an item weighs, as a mark: people, sap, work."""

PASSED_OFTEN = 2
"""Times an item was passed on from which it is said."""


class OpenItem(Struct, frozen=True):
    """An open item for those who read data.

    Attributes:
        what: Which kind: out, hazard, valve shut, leak, not tapped, hand-off, ...
        level: safety, sap or work.
        block: Where.
        lines: Which lines, where it is about any.
        task: In which task.
        says: The item in words.
        where: Where it is, in words.
        state: Whose, since when and what it costs, in words.
        mark: `!!` safety, `!` sap, empty for work.
        owner: Whose it is now; empty if nobody's.
        since: When it was opened.
        age_days: Days since.
        amount: Units it is short, over or left; None where nothing is counted.
        unit: What they are.
        loses_gal_a_day: Sap it costs on a day when sap runs.
        due: The time or the day by which it ought to be closed, as ISO 8601; None without one.
        late_min: Minutes past that.
        passed: How often it was taken over in a hand-off.
        read_back: What was read back of it, where that is not what had been told.
        remedy: The one thing that closes it.
        entry: The entry that opened it; empty where it was worked out.
    """

    what: str
    level: str
    block: str
    lines: tuple[str, ...]
    task: str
    says: str
    where: str
    state: str
    mark: str
    owner: str
    since: datetime
    age_days: int
    amount: int | None
    unit: str
    loses_gal_a_day: float
    due: str | None
    late_min: int | None
    passed: int
    read_back: str
    remedy: str
    entry: str


def told_items(items: Iterable[Item], plan: Plan, now: datetime) -> tuple[OpenItem, ...]:
    """Open items as data, in their order."""
    return tuple(_told(item, plan, now) for item in items)


def _told(item: Item, plan: Plan, now: datetime) -> OpenItem:
    about = item.about
    return OpenItem(
        what=about.what,
        level=item.level.name.lower(),
        block=about.block,
        lines=lines_of(item),
        task=about.task,
        says=head(item, plan),
        where=where(item, plan),
        state=state(item, now),
        mark=MARKS[item.level],
        owner=item.owner,
        since=item.since,
        age_days=age_days(item, now),
        amount=item.amount if item.unit else None,
        unit=item.unit,
        loses_gal_a_day=round(item.loses_gal, 1),
        due=item.due.isoformat() if item.due is not None else None,
        late_min=None if item.late is None else int(item.late.total_seconds() // 60),
        passed=item.passed,
        read_back=item.said,
        remedy=remedy(item),
        entry=about.entry,
    )


def lines_of(item: Item) -> tuple[str, ...]:
    """The lines an item is about."""
    return item.lines or ((item.about.line,) if item.about.line else ())


def age_days(item: Item, now: datetime) -> int:
    return max(0, (now.date() - item.since.date()).days)


# --- in words ---


def counted(items: Sequence[Item]) -> str:
    """`14 open, 2 safety`; how many there are, and how many are about people."""
    said = _("{n} open").format(n=len(items))
    safety = sum(item.level is Level.SAFETY for item in items)
    return said + (", " + _("{n} safety").format(n=safety) if safety else "")


def head(item: Item, plan: Plan) -> str:
    """What an item is, on one line: `Rae not back`, `3 drops not tapped`."""
    n, said = abs(item.amount), one_line(item.says)
    match item.what:
        case What.OUT:
            form = _("{who} is not back") if item.late is not None else _("{who} is out")
            return form.format(who=item.about.who)
        case What.HAZARD:
            return said
        case What.VALVE:
            return _("valve shut: {why}").format(why=said) if said else _("valve shut")
        case What.LEAK:
            return _("leak: {text}").format(text=said)
        case What.UNTAPPED if plan.counting("drops") is None:
            return ngettext(
                "{n:,} tap short of the plan", "{n:,} taps short of the plan", n
            ).format(n=n)
        case What.UNTAPPED:
            return ngettext("{n:,} drop not tapped", "{n:,} drops not tapped", n).format(n=n)
        case What.SURPLUS:
            counting = plan.counting("taps")
            if counting is not None and counting.key == item.about.task:
                if plan.counting("drops") is None:
                    return ngettext(
                        "{n:,} tap more than planned", "{n:,} taps more than planned", n
                    ).format(n=n)
                return ngettext(
                    "{n:,} tap more than drops", "{n:,} taps more than drops", n
                ).format(n=n)
            return ngettext(
                "{n:,} spout more pulled than tapped", "{n:,} spouts more pulled than tapped", n
            ).format(n=n)
        case What.LEFT_IN:
            return ngettext("{n:,} spout left in a tree", "{n:,} spouts left in trees", n).format(
                n=n
            )
        case What.SPOUTS:
            form = ngettext(
                "{who}: {n:,} spout not accounted for", "{who}: {n:,} spouts not accounted for", n
            )
            if item.amount < 0:
                form = ngettext(
                    "{who}: {n:,} spout more than issued",
                    "{who}: {n:,} spouts more than issued",
                    n,
                )
            return form.format(who=item.about.who, n=n)
        case What.HANDOFF:
            return _("hand-off not taken: {who} to {to}").format(
                who=item.about.who, to=item.owner or _("whoever comes on")
            )
        case What.SHEET:
            return _("sheet {n} not keyed in").format(n=item.sheet)
        case What.REPAIR:
            return _("promised: {text}").format(text=said)
        case What.UNFINISHED if not n:
            # In the way of closing may stand what nobody has begun, nor knows how much it is.
            form = _("{task}: under way") if item.owner else _("{task}: not begun")
            return form.format(task=_title(item, plan))
        case What.UNFINISHED:
            return _("{task}: {n:,} {unit} left").format(
                task=_title(item, plan), n=n, unit=_(item.unit)
            )
        case What.ASIDE:
            form = _("{task} set aside, {n:,} {unit} left: {why}")
            if not n:
                form = _("{task} set aside: {why}")
            return form.format(task=_title(item, plan), n=n, unit=_(item.unit), why=said)
        case What.AGE:
            return _("drops of unknown age")


def _title(item: Item, plan: Plan) -> str:
    task = plan.task(item.about.task)
    return task.title if task else item.about.task


def where(item: Item, plan: Plan) -> str:
    """`Upper Ridge / 3 Boulder main`; `Sugar Hollow, 8 lines`."""
    about = item.about
    if len(item.lines) > 1:
        return _("{block}, {n} lines").format(block=about.block, n=len(item.lines))
    line = plan.line(about.block, about.line)
    named = about.line if line is None else f"{line.order} {line.line}"
    return place(about.block, named if about.line != about.block else about.line)


def age(item: Item, now: datetime) -> str:
    """`since 12:40`, `1 day`, `12 days`."""
    days = age_days(item, now)
    if not days:
        return _("since {time}").format(time=f"{item.since:%H:%M}")
    return ngettext("{n} day", "{n} days", days).format(n=days)


def over(late: timedelta) -> str:
    """How long something is overdue: `25 min over`, `2 h 10 min over`, `3 days over`."""
    minutes = max(1, int(late.total_seconds() // 60))
    if late >= timedelta(days=1):
        return ngettext("{n} day over", "{n} days over", late.days).format(n=late.days)
    if minutes >= 60:
        return _("{h} h {min} min over").format(h=minutes // 60, min=minutes % 60)
    return _("{min} min over").format(min=minutes)


def state(item: Item, now: datetime) -> str:
    """Whose, since when, what it costs: `Tor, 2 days, about 82 gal a day`."""
    named = item.what is What.HANDOFF or item.owner == item.about.who  # in its head
    parts = [] if named else [item.owner]
    parts.append(age(item, now))
    if isinstance(item.due, datetime):
        parts.append(_("due back {time}").format(time=clock(item.due, now.date())))
    elif item.due is not None:
        parts.append(_("due {day}").format(day=short_day(item.due)))
    if item.late is not None:
        parts.append(over(item.late))
    if item.loses_gal:
        parts.append(_("about {gal:,.0f} gal a day").format(gal=max(1, item.loses_gal)))
    if item.passed >= PASSED_OFTEN:
        parts.append(_("passed on {n} times").format(n=item.passed))
    if item.said:
        both = _("! told {told}, read back {said}")
        parts.insert(0, both.format(told=one_line(item.told), said=one_line(item.said)))
    if item.off:
        parts.append(_("written off by {who}").format(who=one_line(item.off)))
    return ", ".join(part for part in parts if part)


def overdue(items: Iterable[Item], now: datetime) -> str:
    """Who is not back, in words for the top of every screen; empty if everybody is."""
    return "; ".join(
        _("{who} not back from {where}, due {time}, {over}").format(
            who=item.about.who,
            where=item.about.block or _("the woods"),
            time=clock(item.due, now.date()),
            over=over(item.late),
        )
        for item in items
        if item.what is What.OUT and item.late is not None and isinstance(item.due, datetime)
    )


def remedy(item: Item) -> str:
    """The one thing that closes an item, in a word or two."""
    return {
        What.OUT: _("back"),
        What.HAZARD: _("cleared"),
        What.VALVE: _("opened"),
        What.LEAK: _("mended"),
        What.UNTAPPED: _("why, or recount"),
        What.HANDOFF: _("take"),
        What.SHEET: _("keyed in"),
        What.SURPLUS: _("why, or recount"),
        What.LEFT_IN: _("why, or recount"),
        What.SPOUTS: _("count the bag"),
        What.REPAIR: _("made"),
        What.UNFINISHED: _("go there"),
        What.ASIDE: _("reopen"),
        What.AGE: _("replace"),
    }[item.what]


def caution() -> str:
    """What is said wherever it says who is in the woods."""
    return _(
        "The list of who is out is a reminder, not a rescue system: go in pairs or call in at a "
        "set time. If somebody is overdue, do what your crew agreed on, now. Local rules and "
        "trained practice come first."
    )


def item_words(item: Item, plan: Plan, now: datetime) -> tuple[str, str]:
    """An item in two lines: what it is; and where, whose, since when and what closes it."""
    entry = f" ({item.about.entry})" if item.about.entry else ""
    rest = (where(item, plan), state(item, now), _("to close: {what}").format(what=remedy(item)))
    return head(item, plan), "; ".join(part for part in rest if part) + entry


def items_lines(items: Sequence[Item], plan: Plan, now: datetime, *, width: int) -> list[str]:
    """Open items for people to read, two lines each or more, the gravest first."""
    lines = [counted(items) if items else _("Nothing is open.")]
    for item in items:
        for words, first in zip(item_words(item, plan, now), (True, False), strict=True):
            indent = f"{MARKS[item.level]:<3}" if first else " " * 5
            lines += wrap(words, width, initial_indent=indent, subsequent_indent=" " * 5)
    if any(item.what is What.OUT for item in items):
        lines += ["", *wrap(caution(), width)]
    return lines


def items_listing(items: Sequence[Item], plan: Plan, now: datetime) -> Listing:
    """Open items as a table to pass on, the gravest first; `items_lines` is for reading."""
    fields = (
        *("mark", "what", "level", "block", "lines", "task", "says", "where", "state", "remedy"),
        *("owner", "since", "age_days", "amount", "unit", "loses_gal_a_day", "due", "late_min"),
        *("passed", "read_back", "entry"),
    )
    rows = [
        tuple(_cell(getattr(told, field)) for field in fields)
        for told in told_items(items, plan, now)
    ]
    return Listing(
        name="items",
        title=_("Open items"),
        columns=fields,
        heads=(None,) * len(fields),
        rows=tuple(rows),
    )


def _cell(value: object) -> object:
    """A value of a table: lines parted by commas."""
    return ", ".join(value) if isinstance(value, tuple) else value
