"""What stands in the woods as the entries tell it: who is out, what hangs, which valve is shut.

Of several words about one thing the last holds: by the day they are of, then as they were
recorded. What one entry opened stands until another settles it.
"""

from collections.abc import Iterable
from datetime import date

from fieldbook.book.entry import (
    Back,
    HandOff,
    Leak,
    Note,
    Out,
    Settle,
    Taken,
    Valve,
    WriteOff,
)
from fieldbook.book.lines import fold_key
from fieldbook.i18n import N_
from fieldbook.season.ledger import Ledger

IS_OUT = N_("out")
"""What an open item is called that is about somebody in the woods."""


def by_day(entry: Out | Back | Valve | WriteOff) -> tuple[date, tuple[int, str, int]]:
    """Order of words of which the last holds: by the day they are of, then as they were recorded.

    Monday's way back, keyed in on Tuesday, brings nobody back who went out on Tuesday.
    """
    return entry.day, fold_key(entry)


def closes(word: Back | Valve | WriteOff, opened: Out | Valve) -> bool:
    """Whether a word that comes later in the record came later in the day too.

    Two laptops that were not merged know nothing of one another: noon's way back on one of them
    brings nobody back who went out at one on the other. The clock is asked only of what was
    written down on its day; what is keyed in later has no time that is known.
    """
    timed = all(entry.day == entry.noted.date() for entry in (word, opened))
    return not timed or opened.at.replace(tzinfo=None) <= word.at.replace(tzinfo=None)


def people_out(ledger: Ledger) -> dict[str, list[Out]]:
    """Who is in the woods, with every word of where since they went out, by day.

    Somebody written off is out no more, and out again when they go out again.
    """
    offs = [entry for entry in ledger.of(WriteOff) if entry.about.what == IS_OUT]
    outs = (o for o in ledger.of(Out) if not any(_writes_off(entry, o) for entry in offs))
    moves: list[Out | Back] = [*outs, *ledger.of(Back)]
    out: dict[str, list[Out]] = {}
    for move in sorted(moves, key=by_day):
        match move:
            case Out():
                out.setdefault(move.who, []).append(move)
            case Back():
                still = [word for word in out.pop(move.who, []) if not closes(move, word)]
                out |= {move.who: still} if still else {}
    return out


def _writes_off(off: WriteOff, word: Out) -> bool:
    """Whether somebody's write-off is of a time out: all that was known of, of whatever day."""
    before = fold_key(word) < fold_key(off) or by_day(word) < by_day(off)
    return off.about.who == word.who and before and closes(off, word)


def settled(ledger: Ledger) -> dict[str, Settle]:
    """The entries that were seen to, by id, and the word that says so: the first, of several."""
    return {entry.entry: entry for entry in reversed(ledger.of(Settle))}


def hazards(ledger: Ledger) -> list[Note]:
    """Hazards that stand, oldest first."""
    seen_to = settled(ledger)
    return [note for note in ledger.notes if note.hazard and note.id not in seen_to]


def leaks(ledger: Ledger) -> list[Leak]:
    """Leaks that were found and not mended, oldest first."""
    seen_to = settled(ledger)
    return [leak for leak in ledger.of(Leak) if leak.id not in seen_to]


def valves_shut(ledger: Ledger) -> dict[tuple[str, str], list[Valve]]:
    """Lines whose valve is shut, with every word of that since it was open last, by day."""
    return shut_by(ledger.of(Valve))


def shut_by(words: Iterable[Valve]) -> dict[tuple[str, str], list[Valve]]:
    """What some words about valves leave shut."""
    shut: dict[tuple[str, str], list[Valve]] = {}
    for valve in sorted(words, key=by_day):
        line = (valve.block, valve.line)
        if valve.state == "shut":
            shut.setdefault(line, []).append(valve)
        else:
            still = [word for word in shut.pop(line, []) if not closes(valve, word)]
            shut |= {line: still} if still else {}
    return shut


def untaken(ledger: Ledger) -> list[HandOff]:
    """Hand-offs that nobody has taken yet, oldest first."""
    taken = first_taken(ledger)
    return [entry for entry in ledger.of(HandOff) if entry.id not in taken]


def first_taken(ledger: Ledger) -> dict[str, Taken]:
    """Who took each hand-off: the first, should two have done so on laptops not merged yet."""
    taken: dict[str, Taken] = {}
    for entry in ledger.of(Taken):
        taken.setdefault(entry.handoff, entry)
    return taken
