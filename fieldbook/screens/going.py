"""Into the woods and back: who goes, where, and when they are due. Asked from any screen."""

from datetime import datetime
from typing import TYPE_CHECKING

from fieldbook.i18n import _
from fieldbook.reports.open_items import caution
from fieldbook.screens.dialogs import Ask, Choose, twice
from fieldbook.screens.screen import BookScreen
from fieldbook.season.dates import clock
from fieldbook.season.items import Item, What
from fieldbook.season.woods import people_out

if TYPE_CHECKING:
    from fieldbook.book.entry import AnyEntry, Out


async def out_or_back(screen: BookScreen) -> None:
    """Ask who: somebody who is out is back, somebody else goes out.

    Args:
        screen: The screen over which it is asked, and on which it is said what was recorded.
    """
    session = screen.session
    out = people_out(session.season.ledger)
    now = session.now
    # Who is overdue longest, then who is out, then who is here.
    first = sorted(out, key=lambda name: (not _late(out[name][-1], now), _due(out[name][-1])))
    prompts = {f"{name}   {_since(out[name], now)}": name for name in first}
    prompts |= {name: name for name in session.season.plan.people if name not in out}

    async def go_on(who: str | None) -> None:
        if who is None:
            return
        if who in people_out(session.season.ledger):
            await ask_back(screen, who)
        else:
            await _ask_where(screen, who)

    def chosen(text: str) -> str:
        name = prompts.get(text, text)
        session.on_crew(name)
        return name

    await screen.app.push_screen(
        Choose(
            _("Who goes out, or is back?"), list(prompts), chosen, new=_("put {name} on the crew")
        ),
        go_on,
    )


def is_overdue(item: Item) -> bool:
    """Whether an item is somebody who ought to be back by now."""
    return item.what is What.OUT and item.late is not None


def _due(word: "Out") -> datetime:
    """When somebody is due, by the clock on the wall."""
    return word.due.replace(tzinfo=None)


def _late(word: "Out", now: datetime) -> bool:
    return _due(word) < now.replace(tzinfo=None)


def _since(words: "list[Out]", now: datetime) -> str:
    """`OVERDUE since 16:30, out since 12:40, Brook Bend`."""
    first, last = words[0], words[-1]
    said = _("out since {time}, {where}").format(
        time=clock(first.at, now.date()), where=last.block or _("the woods")
    )
    if _late(last, now):
        return _("OVERDUE since {time}, {out}").format(time=clock(last.due, now.date()), out=said)
    return said


async def ask_back(screen: BookScreen, who: str) -> None:
    """Ask whether somebody is back, since when, or when they are due instead; and record it."""
    question: Ask[AnyEntry] = Ask(
        _("{who} is back?").format(who=who),
        twice(lambda text, really: screen.session.back(who, text, really=really)),
        hint=_(
            "Enter: now. 17:10: came back then. later 18:30: due later.\n"
            "Other words are a note. Esc: nothing."
        ),
    )
    await screen.app.push_screen(question, screen.wrote)


async def _ask_where(screen: BookScreen, who: str) -> None:
    """Ask where somebody goes: the block at hand first."""
    here, nowhere = screen.block_here, _("no block")
    blocks = screen.session.season.plan.blocks
    names = [block for block in blocks if block == here]
    names += [block for block in blocks if block != here]

    async def go_on(block: str | None) -> None:
        if block is not None:
            await _ask_due(screen, who, "" if block == nowhere and block not in blocks else block)

    title = _("{who} goes out: where?").format(who=who)
    await screen.app.push_screen(Choose(title, [*names, nowhere], str), go_on)


async def _ask_due(screen: BookScreen, who: str, block: str) -> None:
    """Ask when somebody is due, and record that they are out."""
    form = _(
        "16:30 with Tor, by the lower road. Over midnight: tomorrow 1:30. Out already: 12:40-16:30"
    )
    question: Ask[AnyEntry] = Ask(
        _("{who}, {where}: due back at?").format(who=who, where=block or _("the woods")),
        twice(lambda text, really: screen.session.out(who, block, text, really=really)),
        hint=f"{form}\n! {caution()}",
    )
    await screen.app.push_screen(question, screen.wrote)
