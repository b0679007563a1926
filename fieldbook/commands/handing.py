"""Handing over: what is open passes from the one going off to the one coming on."""

from collections.abc import Callable, Iterable
from functools import partial
from typing import TYPE_CHECKING, Any

from fieldbook.commands import common
from fieldbook.commands.common import Args
from fieldbook.errors import BookError, Exit
from fieldbook.i18n import _

if TYPE_CHECKING:
    from datetime import datetime

    from fieldbook.book.entry import About, HandOff
    from fieldbook.reports.handoff import HandOffPage, PageItem
    from fieldbook.season.ledger import Ledger
    from fieldbook.season.readback import ToTake
    from fieldbook.season.season import Season

MOST_ASKED = 3
"""Times an item is asked about that nobody answers for."""


# --- going off ---


def run_handoff(args: Args) -> Exit:
    """Hand off everything that is open in some blocks, and print the page; or print one again."""
    from fieldbook.reports.handoff import handoff_page
    from fieldbook.season.handoff import find_handoff, prepare

    if args.show is not None:
        season, _laptop, day = common.season(args)
        handoff = find_handoff(season.ledger, args.show) if args.show else _newest(season)
        page = handoff_page(season, handoff, common.as_it_stood(args, season, day))
        return _print_page(args, page)
    season, laptop, _day = common.season(args, write=True)
    now, by = common.now(season.book), common.by(args, season, laptop)
    make = partial(
        prepare, season, who=args.who or by, to=args.to or "", blocks=args.block or (), by=by
    )
    given = {
        name: value
        for name in ("severity", "done", "left", "hazards", "what_if")
        if (value := getattr(args, name)) is not None
    }
    given |= _asked_for(args, season, make(now=now, **given))
    (entry,) = season.record(make(now=now, **given))
    common.say(_("{id} saved; it waits to be taken: fieldbook take {id}").format(id=entry.id))
    return _print_page(args, handoff_page(season, find_handoff(season.ledger, entry.id), now))


def _newest(season: "Season") -> "HandOff":
    from fieldbook.book.entry import HandOff

    every = season.ledger.of(HandOff)
    if not every:
        raise BookError(_("There is no hand-off yet."), _("Make one with fieldbook handoff."))
    return every[-1]


def _asked_for(args: Args, season: "Season", draft: "HandOff") -> dict[str, Any]:
    """What was not given, asked for at the terminal; the words filled in stand as they are."""
    given: dict[str, Any] = {}
    if args.to is None:
        to = _ask_until(_("Who comes on? (Enter: whoever does)"), season.plan.find_person)
        given |= {"to": to} if to else {}
    if args.severity is None:
        question = _("How grave: calm, watch or danger? (Enter: {filled})")
        severity = _ask_until(question.format(filled=draft.severity), _severity)
        given |= {"severity": severity} if severity else {}
    for name, question in (
        ("done", _("What was done?")),
        ("left", _("What is left, and where exactly?")),
        ("hazards", _("Hazards, beside those among the open items?")),
        ("what_if", _("What if it comes otherwise?")),
    ):
        if getattr(args, name) is None:
            filled = getattr(draft, name)
            stands = _("(Enter: as above; - for nothing)") if filled else _("(Enter: nothing)")
            words = common.ask_for("\n".join(part for part in (question, filled, stands) if part))
            given |= {name: "" if words == "-" else words} if words else {}
    return given


def _severity(text: str) -> str:
    from fieldbook.season.finding import find
    from fieldbook.season.items import SEVERITY

    return find(text, {word: word for word in SEVERITY}, what=_("word for how grave it is"))


def _ask_until(question: str, read: Callable[[str], str]) -> str:
    """An answer that can be read, or none; a slip of the finger costs no word typed before."""
    while True:
        text = common.ask_for(question)
        if not text:
            return ""
        try:
            return read(text)
        except BookError as error:
            common.say(str(error))


def _print_page(args: Args, page: "HandOffPage") -> Exit:
    from fieldbook.reports.handoff import page_lines

    form = common.form(args)
    if form == "json":
        from fieldbook.reports.render.json import to_json

        text = to_json(page)
    elif form == "terminal":
        from fieldbook.reports.render.terminal import page_terminal

        text = common.render_terminal(page_terminal(page))
    else:
        text = "\n".join(page_lines(page)) + "\n"
    common.put(text, args.out)
    return Exit.DONE


# --- coming on ---


def run_take(args: Args) -> Exit:
    """Take a hand-off: read back what it asks for, and it is yours."""
    from fieldbook.reports.handoff import took_words
    from fieldbook.reports.words import saved
    from fieldbook.season.handoff import find_handoff, refuse_taking, take, to_take

    season, laptop, _day = common.season(args, write=True)
    now, by = common.now(season.book), common.by(args, season, laptop)
    handoff = find_handoff(season.ledger, args.id or "")
    who = args.who or by
    refuse_taking(season, handoff, who)
    said = _given(args.read or (), to_take(season, handoff.id, now))
    kept = common.at_terminal() and _gone_through(season, handoff, said, now)
    really = args.really or kept
    draft = take(season, handoff.id, who=who, said=said, by=by, now=now, really=really)
    (entry,) = season.record(draft)
    print(saved(entry, season.ledger))
    print(took_words(draft, handoff))
    return Exit.DONE


def _given(read: Iterable[str], items: "list[ToTake]") -> "dict[About, str]":
    """What was read back by the numbers of the page: `3=shut`."""
    numbered = {str(item.number): item for item in items}
    said: dict[About, str] = {}
    for text in read:
        number, sign, value = (part.strip() for part in text.partition("="))
        if not sign or number.lstrip("0") not in numbered:
            raise BookError(
                _("--read {text} names no item of the hand-off.").format(text=repr(text)),
                _("Write the number of an item on the page, =, and what it is: 3=shut."),
            )
        said[numbered[number.lstrip("0")].about] = value
    return said


def _gone_through(
    season: "Season", handoff: "HandOff", said: "dict[About, str]", now: "datetime"
) -> bool:
    """Go through a hand-off item by item; whether anything is kept though it differs.

    What comes in while somebody reads is gone through too.
    """
    from fieldbook.reports.handoff import handoff_page
    from fieldbook.season.handoff import to_take

    kept = False
    seen: set[About] = set()
    while fresh := [x for x in to_take(season, handoff.id, now) if x.about not in seen]:
        page = {item.number: item for item in handoff_page(season, handoff, now).items}
        for item in fresh:
            seen.add(item.about)
            _show(page[item.number])
            said[item.about], differs = _read_back(item, said.get(item.about, ""), season.ledger)
            kept |= differs
        season.catch_up()
    return kept


def _show(item: "PageItem") -> None:
    from msgspec.structs import replace

    from fieldbook.reports.handoff import item_lines

    common.say("\n".join(item_lines(replace(item, question=""))))


def _read_back(item: "ToTake", said: str, ledger: "Ledger") -> tuple[str, bool]:
    """What is read back of an item, and whether it is kept though it is not what was told."""
    from fieldbook.season.readback import agrees, answer, both_values, question

    if not item.value:
        common.ask_for(_("Enter: seen"))
        return said, False
    for _time in range(MOST_ASKED):
        said = answer(said or common.ask_for(question(item)))
        while said and not agrees(item, said, ledger):
            common.say(_("! {both}").format(both=both_values(item, said)))
            if common.ask(_("Keep it as it was read back?")):
                return said, True
            said = answer(common.ask_for(question(item)))
        if said:
            return said, False
    return "", False
