"""Into the woods and back: who goes, where, and when they are due. Asked from any screen."""

from typing import TYPE_CHECKING

from fieldbook.i18n import _
from fieldbook.reports.open_items import caution
from fieldbook.screens.dialogs import Ask, Choose, twice
from fieldbook.screens.screen import BookScreen
from fieldbook.season.items import people_out

if TYPE_CHECKING:
    from fieldbook.book.entry import AnyEntry


async def out_or_back(screen: BookScreen) -> None:
    """Ask who: somebody who is out is back, somebody else goes out.

    Args:
        screen: The screen over which it is asked, and on which it is said what was recorded.
    """
    session = screen.session
    out = people_out(session.season.ledger)
    prompts = {name + "   " + _since(screen, name): name for name in sorted(out, key=str.casefold)}
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


def _since(screen: BookScreen, who: str) -> str:
    """`out since 12:40, Brook Bend`."""
    words = people_out(screen.session.season.ledger)[who]
    since, block = words[0].at, words[-1].block or _("the woods")
    at = f"{since:%H:%M}" if since.date() == screen.session.today else f"{since:%Y-%m-%d %H:%M}"
    return _("out since {time}, {where}").format(time=at, where=block)


async def ask_back(screen: BookScreen, who: str) -> None:
    """Ask for words that go with somebody's being back, and record it."""
    question: Ask[AnyEntry] = Ask(
        _("{who} is back? Words to go with it").format(who=who),
        lambda words: screen.session.back(who, words),
        hint=_("Enter: back, with words or without. Esc: not back."),
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
    form = _("16:30; with whom, by which way: 16:30 with Tor, by the lower road")
    question: Ask[AnyEntry] = Ask(
        _("{who}, {where}: due back at?").format(who=who, where=block or _("the woods")),
        twice(lambda text, really: screen.session.out(who, block, text, really=really)),
        hint=f"{form}\n! {caution()}",
    )
    await screen.app.push_screen(question, screen.wrote)
