"""What an entry may not say of what is open: closing what is not there, or closing it twice."""

import re
from itertools import takewhile

from msgspec.structs import replace

from fieldbook.book.entry import (
    AnyEntry,
    Back,
    Close,
    Entry,
    HandOff,
    Leak,
    Note,
    Reading,
    Repair,
    Settle,
    Sheet,
    Taken,
    Valve,
    WriteOff,
    clean,
)
from fieldbook.errors import BookError
from fieldbook.i18n import _
from fieldbook.season.items import closing_items
from fieldbook.season.ledger import Ledger
from fieldbook.season.readings import check_reading
from fieldbook.season.woods import by_day, closes, first_taken, people_out, settled, shut_by

AFTER_ALL = 1 << 62
"""A tick that comes after every tick of a book."""


def as_recorded(draft: AnyEntry, number: int) -> AnyEntry:
    """A draft with an id and a tick that put it behind all entries, and drafts in their order."""
    return replace(draft, id=f"draft-{number}", tick=AFTER_ALL + number)


def is_settled_by_word(entry: Entry | None) -> bool:
    """Whether an entry opens what is closed by a word that it is seen to."""
    return isinstance(entry, Leak | Repair | Sheet) or (isinstance(entry, Note) and entry.hazard)


def refuse(draft: AnyEntry, ledger: Ledger) -> None:
    """Let pass what fits what is open.

    Args:
        draft: An entry with names as the plan has them.
        ledger: The state it meets.

    Raises:
        BookError: It closes what is not open, or says of a valve what is known.
    """
    match draft:
        case Settle():
            _refuse_settle(draft, ledger)
        case Taken():
            _refuse_taken(draft, ledger)
        case Back():
            _refuse_back(draft, ledger)
        case Valve():
            _refuse_valve(draft, ledger)
        case Reading():
            check_reading(draft, ledger.plan)
        case Close():
            _refuse_close(draft, ledger)
        case WriteOff() if not re.search(r"[^\W\d]", draft.reason):
            raise BookError(
                _("{reason} is no reason.").format(reason=repr(draft.reason)),
                _("Say why in words. What was counted again is recorded as a count."),
            )


def _missing(entry_id: str, ledger: Ledger) -> BookError:
    """What is said of an entry that does not count."""
    strike = ledger.struck.get(entry_id)
    if strike is None:
        return BookError(
            _("There is no entry {id} in season {year}.").format(
                id=entry_id, year=ledger.plan.year
            ),
            _("fieldbook log shows the entries with their ids."),
        )
    return BookError(
        _("{id} was struck by {by}: {reason}").format(
            id=entry_id, by=strike.by, reason=" ".join(strike.reason.split())
        ),
        _("What is struck is not open any more."),
    )


def _twice(entry_id: str, before: Settle | Taken) -> BookError:
    """What is said to whoever closes what is closed."""
    said = (
        _("{id} was taken by {who} on {day} already ({closer}).")
        if isinstance(before, Taken)
        else _("{id} was seen to by {who} on {day} already ({closer}).")
    )
    return BookError(
        said.format(id=entry_id, who=before.who, day=before.day, closer=before.id),
        _("If that is not so, strike {closer} with a reason first.").format(closer=before.id),
    )


def _refuse_settle(draft: Settle, ledger: Ledger) -> None:
    opener = ledger.entry(draft.entry)
    if opener is None:
        raise _missing(draft.entry, ledger)
    if not is_settled_by_word(opener):
        raise BookError(
            _("{id} is no hazard, leak, repair or sheet: it cannot be seen to.").format(
                id=draft.entry
            ),
            _("fieldbook open-items says of everything open what closes it."),
        )
    before = settled(ledger).get(draft.entry)
    if before is not None:
        raise _twice(draft.entry, before)
    if draft.day < opener.day:
        raise BookError(
            _("{id} is of {day}: it cannot be seen to before.").format(
                id=draft.entry, day=opener.day
            ),
            _("Give the day it was seen to with --date."),
        )


def _refuse_taken(draft: Taken, ledger: Ledger) -> None:
    opener = ledger.entry(draft.handoff)
    if opener is None:
        raise _missing(draft.handoff, ledger)
    if not isinstance(opener, HandOff):
        raise BookError(
            _("{id} is no hand-off: it cannot be taken.").format(id=draft.handoff),
            _("fieldbook open-items lists the hand-offs that nobody took."),
        )
    before = first_taken(ledger).get(draft.handoff)
    if before is not None:
        raise _twice(draft.handoff, before)


def _refuse_close(draft: Close, ledger: Ledger) -> None:
    """Refuse to close a season while anything is open, or stands in no total."""
    if ledger.strays:
        raise BookError(
            _("{n} entries are about work the plan does not have, in no total.").format(
                n=len(ledger.strays)
            ),
            _("fieldbook check names them: import their lines again, or strike them."),
        )
    items = closing_items(ledger, draft.at)
    if items:
        raise BookError(
            _("The season cannot be closed: open items: {n}.").format(n=len(items)),
            _("Close each, or write it off with a reason."),
        )


def _refuse_back(draft: Back, ledger: Ledger) -> None:
    out = people_out(ledger)
    if draft.who in out:
        first = out[draft.who][0]
        that_day = [word for word in out[draft.who] if word.day <= draft.day]
        if any(closes(draft, word) for word in that_day):
            return
        if that_day:
            raise BookError(
                _("{who} went out at {time} ({id}), after the time of this.").format(
                    who=draft.who, time=f"{first.at:%H:%M}", id=first.id
                ),
                _("Say when they came back, such as 17:10 or --at 17:10; or set this clock."),
            )
        raise BookError(
            _("{who} went out on {day} ({id}), after the day of this.").format(
                who=draft.who, day=first.day, id=first.id
            ),
            _("Give the day they came back with --date."),
        )
    names = ", ".join(sorted(out, key=str.casefold))
    raise BookError(
        _("{who} is not out.").format(who=draft.who),
        _("Out are: {names}.").format(names=names) if out else _("Nobody is out."),
    )


def _refuse_valve(draft: Valve, ledger: Ledger) -> None:
    line = (draft.block, draft.line)
    told = sorted(ledger.of(Valve), key=by_day)
    words = [v for v in told if (v.block, v.line) == line and v.day <= draft.day]
    shut = shut_by(words).get(line, [])
    if draft.state != ("shut" if shut else "open"):
        _refuse_too_early(draft, shut)
        return
    if draft.heard is not None:  # it was shut and opened again, or the other way round
        return
    words = shut or words
    since = takewhile(lambda valve: valve.state == draft.state, reversed(words))
    reason, known = clean(draft.reason), next((v.reason for v in since if v.reason), "")
    if reason and reason != known:
        return
    said = (
        _("The valve of {line} is open as it is.")
        if draft.state == "open"
        else _("The valve of {line} is shut already.")
    ).format(line=draft.line)
    if words:
        said += " " + _("{who} said so on {day} ({id}).").format(
            who=words[-1].who, day=words[-1].day, id=words[-1].id
        )
    raise BookError(said, _("To add to that, say why."))


def _refuse_too_early(draft: Valve, shut: list[Valve]) -> None:
    """A valve that was shut later in the day, by another laptop's clock, would stay shut."""
    if shut and not any(closes(draft, word) for word in shut):
        raise BookError(
            _("{who} shut the valve of {line} at {time} ({id}), after the time of this.").format(
                who=shut[0].who, line=draft.line, time=f"{shut[0].at:%H:%M}", id=shut[0].id
            ),
            _("Set the clock of this laptop, and say it again."),
        )
