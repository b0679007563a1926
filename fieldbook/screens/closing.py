"""What closes an open item: one question each, by what it is."""

from typing import TYPE_CHECKING

from fieldbook.book.entry import AnyEntry, Line, Sheet
from fieldbook.i18n import _, ngettext
from fieldbook.reports.open_items import head, where
from fieldbook.reports.words import saved
from fieldbook.screens.dialogs import QUOTED, Ask, some_text, twice
from fieldbook.screens.going import ask_back
from fieldbook.screens.widgets.rows import cut
from fieldbook.season.balance import bags, line_balance
from fieldbook.season.items import BALANCE, Item, What

if TYPE_CHECKING:
    from fieldbook.screens.items import Items
    from fieldbook.screens.screen import BookScreen
    from fieldbook.season.ledger import Ledger


async def close_item(screen: "Items", item: Item) -> None:
    """Ask what is to be said to the one thing that closes an item, and record it.

    Args:
        screen: The screen on which the item stands.
        item: The item; one that is closed where it lies is not asked about here.
    """
    if item.what is What.OUT:
        await ask_back(screen, item.about.who)
    else:
        await screen.as_somebody(lambda: _ask(screen, item))


async def _ask(screen: "Items", item: Item) -> None:
    session, plan = screen.session, screen.session.season.plan
    at, entry = where(item, plan), item.about.entry
    said = cut("; ".join(part for part in (head(item, plan), at) if part), QUOTED)
    match item.what:
        case What.HAZARD:
            title = _("Cleared: {what}. What was done?").format(what=said)
            await screen.ask_words(title, lambda text: session.settle(entry, text))
        case What.LEAK:
            await _ask_mended(screen, item, _("Mended: {what}. What was done?").format(what=said))
        case What.REPAIR:
            title = _("Made: {what}. What was done?").format(what=said)
            await screen.ask_words(title, lambda text: session.settle(entry, text))
        case What.VALVE:
            title = _("The valve of {line} is open again? Words to go with it").format(line=at)
            await screen.ask_maybe(title, lambda text: session.opened(item, text))
        case What.SHEET:
            await _ask_keyed(screen, item)
        case What.ASIDE:
            await _ask_reopen(screen, item)
        case What.SPOUTS if item.amount > 0:
            await _ask_bag(screen, item)
        case What.SPOUTS:
            hint = _("If more were issued, how many: issued 12. Else the reason.")
            title = off_words(item, session.season.ledger)
            await screen.ask_words(
                title, lambda text: session.more_than_issued(item, text), hint=hint
            )
        case _:
            await ask_why(screen, item)


async def _ask_mended(screen: "Items", item: Item, title: str) -> None:
    """Ask what was done about a leak, and what the line reads now; say whether it came back."""
    session = screen.session

    def written(entries: tuple[AnyEntry, ...] | None) -> None:
        if not entries:
            return
        said = "; ".join(saved(entry, session.season.ledger) for entry in entries)
        if len(entries) > 1:
            from fieldbook.reports.vacuum import held_words

            mends = (mend for mend in session.gauges().mends() if mend.settle.id == entries[0].id)
            said += "   " + "; ".join(held_words(mend, session.laptop.units) for mend in mends)
        screen.settled(said)
        screen.said_of = entries[0].id

    hint = _("with what the far end reads now, if it was read: new tee, {vacuum}").format(
        vacuum="83 kPa" if session.laptop.units == "metric" else "24.5 inHg"
    )
    question = Ask(
        title, some_text(_("The text"), lambda text: session.mended(item, text)), hint=hint
    )
    await screen.app.push_screen(question, written)


async def ask_why(screen: "BookScreen", item: Item) -> None:
    """Ask why a count does not match; the question says both numbers."""
    title = off_words(item, screen.session.season.ledger)
    session = screen.session
    await screen.ask_words(title, lambda why: session.write_off(item, why))


def off_words(item: Item, ledger: "Ledger") -> str:
    """`Spring main: 131 taps on 134 drops, 3 drops not tapped. Why?`: both numbers."""
    plan, about = ledger.plan, item.about
    line = plan.line(about.block, about.line)
    said = head(item, plan)
    if item.what is What.SPOUTS:
        for bag in bags(ledger, about.who):
            accounted = bag.set + bag.returned + bag.scrapped
            form = _("issued {issued:,}, accounted for {accounted:,}: {said}. Why?")
            return form.format(issued=bag.issued, accounted=accounted, said=said)
    if line is None or item.what not in BALANCE:
        return _("{said}. Why?").format(said=said)
    return _("{line}: {both}: {said}. Why?").format(
        line=line.line, both=both_words(ledger, line, about.task), said=said
    )


def both_words(ledger: "Ledger", line: Line, task: str) -> str:
    """The two numbers that ought to match on a line: `131 taps on 134 drops`."""
    found, pulling = line_balance(ledger, line), ledger.plan.counting("spouts")
    if pulling is not None and pulling.key == task:
        return _("{pulled:,} spouts pulled of {taps:,} taps").format(
            pulled=found.pulled, taps=found.taps
        )
    if ledger.plan.counting("drops") is None:  # buckets hang on no drops
        return _("{taps:,} taps of {planned:,} planned").format(
            taps=found.taps, planned=found.drops
        )
    return _("{taps:,} taps on {drops:,} drops").format(taps=found.taps, drops=found.drops)


def balances(ledger: "Ledger", line: Line, task: str) -> bool:
    """Whether the two numbers of `both_words` match."""
    found, pulling = line_balance(ledger, line), ledger.plan.counting("spouts")
    if pulling is not None and pulling.key == task:
        return not (found.in_trees or found.pulled_over)
    return not (found.untapped or found.over or found.unknown)


async def _ask_keyed(screen: "Items", item: Item) -> None:
    """Ask whether a sheet is keyed in; what is not recorded of it is said first."""
    sheet = screen.session.season.ledger.entry(item.about.entry)
    if not isinstance(sheet, Sheet):
        return
    question: Ask[AnyEntry] = Ask(
        _("Is all of sheet {n} in the book?").format(n=sheet.sheet),
        twice(lambda _text, really: screen.session.keyed(sheet, really=really)),
        hint=_("Enter: yes. Esc: no; Enter on its row opens it."),
    )
    await screen.app.push_screen(question, screen.wrote)


async def _ask_reopen(screen: "Items", item: Item) -> None:
    """Ask whether all lines of an item are open again."""
    n = len(item.lines) or 1
    form = ngettext("{where}: reopen the line?", "{where}: reopen all {n} lines?", n)
    session = screen.session

    def written(entries: tuple[AnyEntry, ...] | None) -> None:
        if entries:
            last = saved(entries[-1], session.season.ledger)
            more = len(entries) - 1
            said = ngettext("and {n} line more", "and {n} lines more", more).format(n=more)
            screen.settled(f"{last}, {said}" if more else last)

    question = Ask(
        form.format(where=where(item, session.season.plan), n=n),
        lambda text: session.reopen_all(item, text),
        hint=_("Enter: yes, with words or without. Esc: no."),
    )
    await screen.app.push_screen(question, written)


async def _ask_bag(screen: "Items", item: Item) -> None:
    """Ask how many spouts are in somebody's bag, and say what is missing then."""
    session, who = screen.session, item.about.who

    def written(entry: AnyEntry | None) -> None:
        if entry is None:
            return
        ledger = session.season.ledger
        off = sum(bag.off for bag in bags(ledger, who))
        missing = ngettext(
            "{n:,} still not accounted for", "{n:,} still not accounted for", abs(off)
        )
        if off < 0:
            missing = ngettext(
                "{n:,} more than was issued", "{n:,} more than were issued", abs(off)
            )
        all_there = _("all accounted for")
        end = f"! {missing.format(n=abs(off))}: {_('x writes it off')}" if off else all_there
        screen.settled(f"{saved(entry, ledger)}   {end}")

    question = Ask(
        _("{said}. How many are in the bag?").format(said=head(item, session.season.plan)),
        lambda text: session.in_bag(item, text),
        hint=_("They are recorded as returned; hand them out again with i on a round."),
    )
    await screen.app.push_screen(question, written)
