"""What is said back when work is handed over: what proves that somebody took it in.

A shut valve's state, the time somebody is due, a number, the line of a hazard; never a bare yes.
Where it is not what had been told, both stand there, and neither is preferred. Source: HSE, human
factors: shift handover; I-PASS, synthesis by the receiver.
"""

import re
from collections.abc import Iterable
from datetime import datetime

from msgspec import Struct

from fieldbook.book.entry import NAME_LENGTH, About, Note, Passed, clean
from fieldbook.errors import BookError
from fieldbook.i18n import _, ngettext
from fieldbook.season.items import BALANCE, Item, Level, What
from fieldbook.season.ledger import Ledger
from fieldbook.season.plan import Plan

LEAST_LETTERS = 3
"""Letters of a word that proves a hazard was read; a shorter one could stand in any."""

_NO_ANSWER = frozenset(
    {
        *("y", "yes", "yep", "ok", "okay"),
        *("the", "and", "for", "from", "with", "that", "this", "there", "line"),
    }
)
"""What is said of anything, and so says nothing."""

_TIME = re.compile(r"(\d{1,2})(?:[:.h ]?(\d{2}))?(?:\s*([ap])\.?m?\.?)?\Z")
_NUMBER = re.compile(r"([+-]?)(\d{1,3}(?:,\d{3}){1,2}|\d{1,9})(?:\s+[^\W\d].*)?\Z")
_WORD = re.compile(r"[^\W_]+")


class ToTake(Struct, frozen=True, kw_only=True):
    """An item that the one coming on has to look at.

    Attributes:
        number: Its number on the page; those that came in since are numbered on.
        about: What it is about, and where that is now.
        passed: As it was handed off; None if it came in since.
        item: As it is now; None if it was closed meanwhile.
        value: What must be read back, as it is now; empty where looking at it is enough.
    """

    number: int
    about: About
    passed: Passed | None = None
    item: Item | None = None
    value: str = ""

    @property
    def told(self) -> str:
        """What the page says must be read back; of what came in since, what is so now."""
        return self.value if self.passed is None else self.passed.value

    @property
    def new(self) -> bool:
        """It came in after the hand-off was prepared."""
        return self.passed is None

    @property
    def changed(self) -> bool:
        """It is no longer what the page says."""
        return self.item is not None and self.told != self.value


class NotReadBack(BookError):
    """Items that want reading back, of which nothing was said.

    Args:
        missing: Those items.
    """

    def __init__(self, missing: Iterable[ToTake]) -> None:
        self.missing = tuple(missing)
        asked = ", ".join(f"{found.number} ({question(found)})" for found in self.missing)
        super().__init__(
            ngettext(
                "An item wants reading back: {items}.",
                "{n} items want reading back: {items}.",
                len(self.missing),
            ).format(n=len(self.missing), items=asked),
            _("Give each with --read NUMBER=WHAT. Nothing was recorded."),
        )


class Differs(BookError):
    """What was read back is not what was told: both are shown, and neither is preferred.

    Args:
        found: Items with what was said of each.
    """

    def __init__(self, found: Iterable[tuple[ToTake, str]]) -> None:
        self.found = tuple(found)
        super().__init__(
            "; ".join(
                _("item {n}: {both}").format(n=item.number, both=both_values(item, said))
                for item, said in self.found
            )
            + ".",
            _("Look again, or ask. To keep it as it was read back, say so with --really."),
        )


def both_values(item: ToTake, said: str) -> str:
    """What was told of an item, and what was read back: `told shut, read back open`."""
    if item.changed and item.told:
        form = _("told {told}, since then {value}, read back {said}")
    else:
        form = _("told {value}, read back {said}")
    return form.format(told=item.told, value=item.value, said=said)


# --- what is read back ---


def value_of(item: Item, ledger: Ledger) -> str:
    """What must be read back of an item, as it is now; empty where looking at it is enough.

    A shut valve's state, the time somebody is due, a number that does not match, the line of a
    leak or a hazard. Nothing that could hurt somebody is passed by looking alone.
    """
    about = item.about
    match item.what:
        case What.OUT if isinstance(item.due, datetime):
            return f"{item.due:%H:%M}"
        case What.VALVE:
            return "shut"
        case What.HAZARD | What.LEAK if about.line:
            return _line_number(ledger.plan, about)
        case What.HAZARD:
            # The longest word; of a text that tells nothing, which entry it is.
            words = _words(_text(about, ledger))
            return max(words, key=len, default=about.entry)[:NAME_LENGTH]
        case What.HANDOFF if item.level is Level.SAFETY:
            return str(item.amount)
        case what if what in BALANCE:
            return str(abs(item.amount))
    return ""


def question(item: Passed | ToTake) -> str:
    """What is asked of the one coming on; empty where nothing is."""
    if not item.value:
        return ""
    match item.about.what:
        case What.VALVE:
            return _("the valve is?")
        case What.OUT:
            return _("due back at?")
        case What.LEAK:
            return _("which line?")
        case What.HAZARD if item.about.line:
            return _("which line, or a word of it?")
        case What.HAZARD if item.value == item.about.entry:
            return _("which entry?")
        case What.HAZARD:
            return _("a word of it?")
    return _("how many?")


def answer(said: str) -> str:
    """What was read back, on one line; empty where it says nothing: `ok`, `yes`."""
    said = clean(said, one_line=True)
    return "" if said.casefold().rstrip(".! ") in {*_NO_ANSWER, _("yes").casefold()} else said


def agrees(item: Item | Passed | ToTake, said: str, ledger: Ledger) -> bool:
    """Whether what was read back is what was told.

    How it is written does not matter: 1630 is 16:30, and 4:30 is; a line has a number and a name;
    a hazard is known by any words of it. A bare yes never agrees.

    Args:
        item: The item as it is now, or as it was handed off.
        said: What was read back.
        ledger: The season.
    """
    value = value_of(item, ledger) if isinstance(item, Item) else item.value
    said = clean(said, one_line=True).casefold()
    if not value:
        return True
    if not said:
        return False
    if said == value.casefold():
        return True
    said = said.rstrip(".! ")
    if not said or said in {*_NO_ANSWER, _("yes").casefold()}:
        return False
    match item.about.what:
        case What.VALVE:
            return said in ("shut", "closed", _("shut").casefold())
        case What.OUT:
            return _same_time(value, said)
        case What.LEAK:
            words = _words_of(said, f"{_text(item.about, ledger)} {item.about.line}")
            return words or _names_line(item.about, value, said)
        case What.HAZARD:
            text = f"{_text(item.about, ledger)} {item.about.line}"
            return _names_line(item.about, value, said) or _words_of(said, text)
    return _same_number(value, said)


def _text(about: About, ledger: Ledger) -> str:
    """The words of a hazard."""
    entry = ledger.entry(about.entry)
    return entry.text if isinstance(entry, Note) else ""


def _line_number(plan: Plan, about: About) -> str:
    """The number of a line; its name where it has no number of its own."""
    line = plan.line(about.block, about.line)
    numbers = [other.order for other in plan.walk.get(about.block, [])]
    if line is None or line.order < 1 or numbers.count(line.order) > 1:
        return about.line
    return str(line.order)


def _words(text: str) -> list[str]:
    """Words that prove something was read: long ones; of a text without any, all that tell."""
    found = [word for word in _WORD.findall(clean(text).casefold()) if word not in _NO_ANSWER]
    return [word for word in found if len(word) >= LEAST_LETTERS] or found


def _words_of(said: str, text: str) -> bool:
    """Whether every word that was said stands in a text, and one at least."""
    wanted = set(_words(said))
    return bool(wanted) and wanted <= set(_words(text))


def _names_line(about: About, value: str, said: str) -> bool:
    """Whether a line is named by its number or its name, with the word line before it or not."""
    if not about.line:
        return False
    told = {value.casefold(), about.line.casefold()}
    bare = re.sub(r"\A(?:{word}|line|no\.?|#)\s*".format(word=re.escape(_("line"))), "", said)
    return bool(told & {said, bare}) or (value.isdecimal() and bare.lstrip("0") == value)


def _same_time(told: str, said: str) -> bool:
    found, clock = _TIME.match(said), _TIME.match(told)
    if found is None or clock is None:
        return False
    hour, minute, half = int(found[1]), int(found[2] or 0), found[3]
    hours, minutes = int(clock[1]), int(clock[2] or 0)
    if hour > (12 if half else 24) or minute > 59:
        return False
    if half:
        hour = hour % 12 + (12 if half == "p" else 0)
    elif hour <= 12 and not found[1].startswith("0"):
        # A clock on the wall has twelve hours; 04:30 is of one that has all twenty-four.
        hour, hours = hour % 12, hours % 12
    return (hour % 24, minute) == (hours, minutes)


def _same_number(told: str, said: str) -> bool:
    """Whether a number was said, with what it counts after it or not; 3 short is 3."""
    found = _NUMBER.match(said)
    return found is not None and found[2].replace(",", "").lstrip("0") == told.lstrip("0")
