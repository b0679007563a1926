"""A hand-off as a page: what the one going off tells, and what the one coming on says back.

The page tells everything in words. What must be read back is asked beside it and not answered
there: whoever says it has taken it in.
"""

from collections.abc import Iterator, Mapping
from datetime import date, datetime
from textwrap import wrap

from msgspec import Struct

from fieldbook.book.entry import About, HandOff, ReadBack, Taken
from fieldbook.i18n import _, ngettext
from fieldbook.reports.open_items import MARKS, caution, counted, head, state, where
from fieldbook.reports.words import heading, one_line, place
from fieldbook.season.dates import short_day
from fieldbook.season.handoff import Severity, items_of, taken_by
from fieldbook.season.items import Item, What
from fieldbook.season.ledger import Ledger
from fieldbook.season.plan import Plan
from fieldbook.season.readback import ToTake, question
from fieldbook.season.season import Season

WIDTH = 76
"""Of the page in characters."""

INDENT = 8
"""Of what is said of an item, under its number and mark."""


class PageItem(Struct, frozen=True):
    """An item on the page.

    Attributes:
        number: Its number, by which it is read back.
        what: Which kind of item.
        level: safety, sap or work; empty of an item that was closed meanwhile.
        mark: What it weighs: `!!` people, `!` sap, nothing for work.
        head: What it is.
        where: Where it is.
        state: Whose, since when, what it costs, how often it was passed on.
        news: What has become of it since the hand-off was prepared; empty if nothing.
        question: What must be said back, as a question; empty where looking at it is enough.
        entry: The entry that opened it; empty where it was worked out.
        said: What was read back when it was taken.
        differs: That is not what had been told.
        told: What had been told, where it differs.
    """

    number: int
    what: str
    level: str
    mark: str
    head: str
    where: str
    state: str
    news: str
    question: str
    entry: str
    said: str
    differs: bool
    told: str


class HandOffPage(Struct, frozen=True):
    """A hand-off as it is told, printed and read back.

    Attributes:
        title: The book, the season and the day.
        id: Of its entry; empty of a draft.
        who: Who goes off.
        to: Who comes on; empty if that is open.
        at: When it was prepared.
        blocks: The blocks it is about.
        severity: calm, watch or danger.
        done: What was done.
        left: What is left, and where exactly.
        dangers: Hazards among its items, each with its place.
        hazards: Words beside them.
        what_if: What to do if.
        told: How many items there are, and how many are about people.
        items: The items, numbered, the gravest first; what came in since comes after.
        taken: The entry by which it was taken; empty while it waits.
        taken_by: Who took it.
        taken_at: When; None while it waits.
    """

    title: str
    id: str
    who: str
    to: str
    at: datetime
    blocks: tuple[str, ...]
    severity: Severity
    done: str
    left: str
    dangers: tuple[str, ...]
    hazards: str
    what_if: str
    told: str
    items: tuple[PageItem, ...]
    taken: str
    taken_by: str
    taken_at: datetime | None


def severity_words(severity: Severity) -> str:
    """How grave it is, in words: a state is a word before it is a colour."""
    return {
        "danger": _("Danger: somebody could get hurt."),
        "watch": _("Watch: sap is lost while it stays so."),
        "calm": _("Calm: only work is left."),
    }[severity]


def took_words(taken: Taken, handoff: HandOff) -> str:
    """Who took what from whom, and when: `Ina took 12 items from Milo, Tue 9 Feb 17:05`."""
    n = len(taken.items)
    return ngettext(
        "{who} took {n} item from {giver}, {day} {time}",
        "{who} took {n} items from {giver}, {day} {time}",
        n,
    ).format(
        who=taken.who,
        n=n,
        giver=handoff.who,
        day=short_day(taken.day),
        time=f"{taken.at:%H:%M}",
    )


def last_taken(ledger: Ledger, *, since: date) -> str:
    """The hand-off that was taken last, in words; empty if none was since a day."""
    given = {entry.id: entry for entry in ledger.of(HandOff)}
    known = [taken for taken in ledger.of(Taken) if taken.handoff in given and taken.day >= since]
    return took_words(known[-1], given[known[-1].handoff]) if known else ""


def handoff_page(season: Season, handoff: HandOff, now: datetime) -> HandOffPage:
    """A hand-off as data for the page; it may be a draft, or one that was taken.

    Args:
        season: The season.
        handoff: The hand-off.
        now: The time.
    """
    ledger, plan = season.ledger, season.plan
    taken = taken_by(ledger, handoff.id)
    found = items_of(ledger, handoff, now)
    read = {back.about: back for back in taken.items} if taken else {}
    there = [item.item for item in found if item.item is not None]
    return HandOffPage(
        title=heading(
            season.book.name,
            season.year,
            now.date(),
            invented=season.book.today is not None,
        ),
        id=handoff.id,
        who=handoff.who,
        to=handoff.to,
        at=handoff.at,
        blocks=handoff.blocks,
        severity=handoff.severity,
        done=handoff.done,
        left=handoff.left,
        dangers=tuple(_danger(item, plan) for item in there if item.what is What.HAZARD),
        hazards=handoff.hazards,
        what_if=handoff.what_if,
        told=counted(there),
        items=tuple(_page_item(item, read, plan, now) for item in found),
        taken=taken.id if taken else "",
        taken_by=taken.who if taken else "",
        taken_at=taken.at if taken else None,
    )


def _danger(item: Item, plan: Plan) -> str:
    there = where(item, plan)
    return f"{there}: {head(item, plan)}" if there else head(item, plan)


def _page_item(
    found: ToTake, read: Mapping[About, ReadBack], plan: Plan, now: datetime
) -> PageItem:
    item = found.item
    back = read.get(found.about, ReadBack(about=found.about))
    if item is None:
        return _closed(found, back)
    return PageItem(
        number=found.number,
        what=item.about.what,
        level=item.level.name.lower(),
        mark=MARKS[item.level],
        head=_head(item, plan),
        where=where(item, plan),
        state=state(item, now),
        news="" if read else _news(found),
        question="" if read else question(found),
        entry=item.about.entry,
        said=back.said,
        differs=back.differs,
        told=back.told,
    )


def _closed(found: ToTake, back: ReadBack) -> PageItem:
    """An item of the page that is open no more: what is known of it is what was told."""
    about, said = found.about, _(found.about.what)
    if found.passed is not None and found.passed.says:
        said += ": " + found.passed.says
    return PageItem(
        number=found.number,
        what=about.what,
        level="",
        mark="",
        head=one_line(said),
        where=place(about.block, about.line),
        state=about.who,
        news=_("closed since"),
        question="",
        entry=about.entry,
        said=back.said,
        differs=back.differs,
        told=back.told,
    )


def _head(item: Item, plan: Plan) -> str:
    """What an item is; of a hand-off also how much it holds, as that may be asked for."""
    said = head(item, plan)
    if item.what is not What.HANDOFF:
        return said
    return said + ", " + ngettext("{n} item", "{n} items", item.amount).format(n=item.amount)


def _news(found: ToTake) -> str:
    if found.new:
        return _("came in since")
    if found.changed:
        return _("changed since: it was {told}").format(told=found.told) if found.told else ""
    return ""


# --- in lines ---


def page_title(page: HandOffPage) -> str:
    """Who hands off what to whom: `Hand-off k7f2q-31: Milo to Ina, Tue 9 Feb 16:30`."""
    form = _("Hand-off {id}: {who} to {to}, {day} {time}")
    return form.format(
        id=page.id or _("(draft)"),
        who=page.who,
        to=page.to or _("whoever comes on"),
        day=short_day(page.at.date()),
        time=f"{page.at:%H:%M}",
    )


def parts(page: HandOffPage, *, width: int = WIDTH) -> Iterator[tuple[str, list[str]]]:
    """The parts of a page, each with its head, in the order in which they are told."""
    yield _("How grave"), _wrapped(severity_words(page.severity), width)
    yield _("Blocks"), _wrapped(", ".join(page.blocks), width)
    yield _("What was done"), _wrapped(page.done or _("nothing said"), width)
    yield _("What is left, and where"), _wrapped(page.left or _("nothing said"), width)
    dangers = [line for text in page.dangers for line in _wrapped(f"!! {text}", width)]
    own = _wrapped(page.hazards, width)
    yield _("Hazards"), dangers + own or _wrapped(_("none known"), width)
    yield _("What if"), _wrapped(page.what_if or _("nothing said"), width)


def _wrapped(text: str, width: int) -> list[str]:
    """Words as wide as the page, each line they were written in for itself."""
    return [
        row
        for line in text.splitlines()
        for row in wrap(line, width, initial_indent="  ", subsequent_indent="    ")
    ]


def item_lines(item: PageItem, *, width: int = WIDTH) -> list[str]:
    """An item in lines: number and mark, what it is, where and whose, and what to say back."""
    front = f"{item.number:>4} {item.mark:<2} "
    news = f" ({item.news})" if item.news else ""
    lines = wrap(item.head + news, width, initial_indent=front, subsequent_indent=" " * INDENT) or [
        front.rstrip()
    ]
    rest = "; ".join(part for part in (item.where, item.state) if part)
    rest += f" ({item.entry})" if item.entry else ""
    return lines + [row for text in (rest, _asked(item)) for row in _under(text, width)]


def _under(text: str, width: int) -> list[str]:
    return wrap(text, width, initial_indent=" " * INDENT, subsequent_indent=" " * INDENT)


def _asked(item: PageItem) -> str:
    """What to say back, with room to write; or what was."""
    if item.differs:
        return _("! told {told}, read back {said}").format(
            told=one_line(item.told), said=one_line(item.said)
        )
    if item.said:
        return _("read back: {said}").format(said=one_line(item.said))
    if item.question:
        return "> " + _("read back: {question} ____________").format(question=item.question)
    return ""


def items_head(page: HandOffPage) -> str:
    """What stands above the items."""
    if not page.items:
        return _("Items: nothing is open.")
    if page.taken_at is not None:
        return _("Items")
    return _("Items: {told}. What is marked > must be said back.").format(told=page.told)


def foot(page: HandOffPage, *, width: int = WIDTH) -> list[str]:
    """The foot of the page: what to know of who is out; who took it, or room to sign."""
    out = any(item.what == What.OUT and item.level for item in page.items)
    lines = ["", *wrap(caution(), width)] if out else []
    if page.taken_at is None:
        return [
            *lines,
            "",
            _("Gone through together, item by item."),
            _("Taken by ____________ at ________"),
        ]
    taken = _("Taken by {who}, {day} {time} ({id})").format(
        who=page.taken_by,
        day=short_day(page.taken_at.date()),
        time=f"{page.taken_at:%H:%M}",
        id=page.taken,
    )
    return [*lines, "", *wrap(taken, width)]


def page_lines(page: HandOffPage, *, width: int = WIDTH) -> list[str]:
    """The whole page in lines, ready to be printed."""
    lines = [*wrap(page_title(page), width), *wrap(page.title, width)]
    for title, rows in parts(page, width=width):
        lines += ["", title, *rows]
    lines += ["", *wrap(items_head(page), width)]
    for item in page.items:
        lines += item_lines(item, width=width)
    return [*lines, *foot(page, width=width)]
