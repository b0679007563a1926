"""The kinds of entry, with their fields and limits.

An entry is one thing somebody recorded. It is immutable: a mistake is struck by another entry.
The structs are what a journal line decodes to, and they answer to field names (`entry["line"]`),
so that TinyDB's queries read them as documents.

Everything typed by a person is cleaned once, here (`clean`), on its way in and again when a line
that somebody else wrote is read: no control character survives, so stored text can never act as
an escape sequence on anybody's terminal.
"""

import re
import unicodedata
from collections.abc import Iterator
from datetime import date, datetime
from typing import Annotated, Any, Literal, Self, TypeVar, cast

import msgspec
from msgspec import Meta, Struct

FORMAT = 1
"""Version of the journal's lines and of `book.toml`."""

NAME_LENGTH = 80
Name = Annotated[str, Meta(min_length=1, max_length=NAME_LENGTH)]
"""Of a block, line, task or person: one line of text."""

TEXT_LENGTH = 65_536
Text = Annotated[str, Meta(max_length=TEXT_LENGTH)]
"""A note or a reason, as long as anybody cares to write."""

Reason = Annotated[str, Meta(min_length=1, max_length=TEXT_LENGTH)]

Units = Annotated[int, Meta(ge=0, le=1_000_000)]
"""A number of things counted: drops, taps, side ties, readings, spouts."""

Length = Annotated[float, Meta(gt=0, le=1_000_000)]
MOST_VOLUME = 4_000_000
Volume = Annotated[float, Meta(ge=0, le=MOST_VOLUME)]
"""Sap or syrup of a day, in gallons or litres."""

LEAST_SPOUT_IN, MOST_SPOUT_IN = 0.15, 0.6
"""Across the end of a spout that sits in the tree: sold as 3/16 to 7/16, the oldest as 1/2."""

MOST_INHG, MOST_KPA = 32, 108
"""More vacuum than the air presses anywhere: the ceiling of a place is lower."""

Cause = Literal["", "chewed", "drop off", "spout loose", "fitting", "main cut", "tree down"]
"""What lets air into a line; empty where nobody said."""

MaybeName = Annotated[str, Meta(max_length=NAME_LENGTH)]
"""A name that may be left out."""

EntryId = Annotated[str, Meta(pattern=r"^[a-z0-9]{5}-[1-9][0-9]{0,8}\Z")]
"""Of another entry of the season."""

Moment = Annotated[datetime, Meta(tz=True)]
"""A date and time with its offset from UTC: the wall clock where it was written."""

# Control characters (C0 but tab and newline, C1, DEL), separators that break a line, marks that
# reorder text on screen, and marks of no width that make two names look alike.
_UNSAFE = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200b\u200e\u200f\u2028-\u202e\u2060\u2066-\u2069\ufeff]"
)
_SURROGATE = re.compile("[\ud800-\udfff]")

# In an entry as JSON: a character that is escaped, DEL, and blanks to fold or to trim.
_ODD = (b"\\", b"\x7f", b"  ", b'" ', b' "')
_OTHER_BLANKS = re.compile("[\x85\xa0\u1680\u2000-\u200a\u202f\u205f\u3000]")
_encoder = msgspec.json.Encoder()


def clean(text: str, *, one_line: bool = False) -> str:
    """Typed text as it may be stored: composed (NFC), trimmed, without control characters.

    Args:
        text: Any string a keyboard or a file can produce.
        one_line: Fold every run of white space into one space, as in a name.
    """
    text = _UNSAFE.sub("", text.replace("\r\n", "\n").replace("\r", "\n"))
    text = unicodedata.normalize("NFC", _SURROGATE.sub("", text))
    return " ".join(text.split()) if one_line else text.strip()


class _Document(Struct, frozen=True):
    """Field access by name, as TinyDB's queries ask for it."""

    def __getitem__(self, field: str) -> Any:
        try:
            return getattr(self, field)
        except AttributeError:
            raise KeyError(field) from None

    def __iter__(self) -> Iterator[str]:
        return iter(self.__struct_fields__)

    def keys(self) -> tuple[str, ...]:
        return self.__struct_fields__


class Entry(
    _Document,
    frozen=True,
    kw_only=True,
    omit_defaults=True,
    forbid_unknown_fields=True,
    tag_field="kind",
    gc=False,  # nothing in an entry refers back to it: the collector need not look
):
    """What every entry carries. A draft has no `id` and `tick` yet: the book gives them.

    Attributes:
        v: Version of the line's format; left out of the line while it is 1.
        id: Desk code and running number, `k7f2q-412`: short enough to say aloud.
        tick: Lamport clock: 1 + the largest tick the desk had seen.
        at: When it happened; the person may set it.
        noted: When it was written down.
        by: Who wrote it.
    """

    v: Annotated[int, Meta(ge=1)] = FORMAT
    id: Annotated[str, Meta(pattern=r"^([a-z0-9]{5}-[1-9][0-9]{0,8})?\Z")] = ""
    tick: Annotated[int, Meta(ge=0)] = 0
    at: Moment
    noted: Moment
    by: Name

    @property
    def kind(self) -> str:
        return str(self.__struct_config__.tag)

    @property
    def desk(self) -> str:
        return self.id.partition("-")[0]

    @property
    def number(self) -> int:
        return int(self.id.partition("-")[2])

    @property
    def day(self) -> date:
        """The day it happened, by the clock on the wall where it was written."""
        return self.at.date()

    def cleaned(self) -> Self:
        """The same entry with its texts cleaned; itself when there is nothing to clean."""
        # One look at all texts together, as nearly every entry is in order.
        return self if _is_plain(self) else tidy(self)


def _is_plain(entry: Entry) -> bool:
    """Whether it is plain that no text of an entry wants cleaning."""
    try:
        line = _encoder.encode(entry)
    except UnicodeEncodeError:  # half a character
        return False
    if any(odd in line for odd in _ODD):
        return False
    if line.isascii():
        return True
    text = line.decode()
    strange = _UNSAFE.search(text) or _OTHER_BLANKS.search(text)
    return not strange and unicodedata.is_normalized("NFC", text)


PROSE = frozenset(
    {"note", "reason", "text", "cautions", "done", "left", "hazards", "what_if", "says"}
)
"""Fields that may run over several lines."""

_Value = TypeVar("_Value")


def tidy(value: _Value, *, one_line: bool = True) -> _Value:
    """A field's value, or a whole struct, with every text in it cleaned."""
    cleaned: Any = value
    if isinstance(value, str):
        cleaned = clean(value, one_line=one_line)
    elif isinstance(value, tuple):
        cleaned = tuple(tidy(item, one_line=one_line) for item in value)
    elif isinstance(value, Struct):
        changed = {}
        for name in value.__struct_fields__:
            before = getattr(value, name)
            if isinstance(before, str | tuple | Struct):
                after = tidy(before, one_line=name not in PROSE)
                if after != before:
                    changed[name] = after
        if changed:
            cleaned = msgspec.structs.replace(value, **changed)
    return cast("_Value", cleaned)


# --- The plan: the last entry about a thing wins ---------------------------------------------


class Block(Entry, frozen=True, kw_only=True, tag="block"):
    """A stand of woods worked as one unit."""

    block: Name
    order: int = 0
    note: Text = ""


class Line(Entry, frozen=True, kw_only=True, tag="line"):
    """A mainline with its laterals: the unit a person is sent to.

    Lengths and diameters are stored as they were keyed, in feet and inches or in metres and
    millimetres. Of a pair, the diameter is that of the wet pipe, and the dry one is as wide unless
    its own is given. `drops_hung` is a year; None is "unknown"; `drops` is how many hang, where
    that is known; `spout_in` is the size of its spouts. Without a number of its own, as many taps
    are planned as the trees allow.
    """

    block: Name
    line: Name
    order: int = 0
    layout: Literal["single", "pair"] = "single"
    diameter_in: Length | None = None
    diameter_mm: Length | None = None
    dry_in: Length | None = None
    dry_mm: Length | None = None
    length_ft: Length | None = None
    length_m: Length | None = None
    slope_pct: Annotated[float, Meta(ge=-100, le=100)] | None = None
    taps_planned: Units | None = None
    drops_hung: Annotated[int, Meta(ge=1950, le=2200)] | None = None
    drops: Units | None = None
    spout_in: Annotated[float, Meta(ge=LEAST_SPOUT_IN, le=MOST_SPOUT_IN)] | None = None
    note: Text = ""


class TreeCount(Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """Trees of one size, stored as it was taken: across in inches or centimetres, or around."""

    dbh_in: Annotated[float, Meta(gt=0, le=100)] | None = None
    girth_in: Annotated[float, Meta(gt=0, le=314)] | None = None
    dbh_cm: Annotated[float, Meta(gt=0, le=254)] | None = None
    count: Units


class Trees(Entry, frozen=True, kw_only=True, tag="trees"):
    """The trees along a line, tallied by diameter: the whole tally, which replaces the one before.

    Diameters are taken at breast height, 4.5 ft or 1.30 m; `at` is when they were.
    """

    block: Name
    line: Name
    classes: tuple[TreeCount, ...]


class TapClass(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Taps that a tree may carry from a diameter on."""

    from_dbh: Annotated[float, Meta(gt=0, le=254)]
    taps: Annotated[int, Meta(ge=0, le=10)]


class TapRule(Entry, frozen=True, kw_only=True, tag="taprule"):
    """A rule of the crew's for the taps a tree may carry: so many from each diameter on."""

    rule: Name
    unit: Literal["in", "cm"]
    classes: tuple[TapClass, ...]
    source: Text = ""


class Supply(Entry, frozen=True, kw_only=True, tag="supply"):
    """What of one thing lies in the shed."""

    item: Name
    on_hand: Units


class Person(Entry, frozen=True, kw_only=True, tag="person"):
    """Somebody on the crew."""

    person: Name
    role: MaybeName = ""
    note: Text = ""


class Target(Entry, frozen=True, kw_only=True, tag="target"):
    """What a task ought to reach: a date wanted, or a number that replaces the one worked out.

    An empty `block` stands for the season, an empty `line` for the whole block.
    """

    task: Name
    block: MaybeName = ""
    line: MaybeName = ""
    wanted: date | None = None
    planned: Units | None = None


class Setting(Entry, frozen=True, kw_only=True, tag="setting"):
    """One of the book's rules: see `fieldbook.season.settings`."""

    setting: Name
    value: int | float | str


class Task(Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """One of the season's jobs on every line.

    Attributes:
        key: Short name used on the command line and in tables.
        title: What the crew calls it.
        short: The head of a narrow column.
        counts: What is counted: drops, taps, ties, readings, spouts or a word of the crew's.
        planned: Where the planned number comes from: see `PLANNED_FROM`.
        after: Key of the task that comes before it on a line; empty for none.
        wanted: Date wanted, month and day, `02-20`; empty for none.
        on: Whether this crew does it.
        steps: What to tick off on each line.
        cautions: What can hurt somebody, and what to do about it.
    """

    key: Annotated[str, Meta(pattern=r"^[a-z][a-z0-9_]{0,23}\Z")]
    title: Name
    short: Annotated[str, Meta(min_length=1, max_length=12)]
    counts: Name
    planned: Literal["taps planned", "drops due", "side ties", "one a line", "spouts in trees"]
    after: Annotated[str, Meta(max_length=24)] = ""
    wanted: Annotated[str, Meta(pattern=r"^([01][0-9]-[0-3][0-9])?\Z")] = ""
    on: bool = True
    steps: tuple[Name, ...] = ()
    cautions: tuple[Reason, ...] = ()


class Checklist(Entry, frozen=True, kw_only=True, tag="checklist"):
    """The checklist in force, recorded whole, so that every copy of the book reports alike."""

    checklist: Name
    tasks: tuple[Task, ...]


# --- Work ------------------------------------------------------------------------------------


class Happening(Entry, frozen=True, kw_only=True):
    """What happened on a day; the plan holds for the whole season."""


class Work(Happening, frozen=True, kw_only=True):
    """Something that happened on one line in one task."""

    block: Name
    line: Name
    task: Name
    who: Name


class Count(Work, frozen=True, kw_only=True, tag="count"):
    """Units done by one person on one day; `hours` are person-hours."""

    count: Units
    hours: Annotated[float, Meta(ge=0, le=1000)] | None = None
    note: Text = ""


class Finish(Work, frozen=True, kw_only=True, tag="finish"):
    """The line is done in this task, whatever the count; why, if it falls short.

    `off` is what the reason is for: drops without a tap, or spouts left in trees, when it was
    given; below 0, so many too many.
    """

    reason: Text = ""
    off: int | None = None


class Aside(Work, frozen=True, kw_only=True, tag="aside"):
    """The line is set aside in this task until somebody reopens or counts on it."""

    reason: Reason


class Reopen(Work, frozen=True, kw_only=True, tag="reopen"):
    """There is more to do on the line after all."""

    reason: Text = ""


class Step(Work, frozen=True, kw_only=True, tag="step"):
    """A step of the checklist, ticked (or unticked) for the line."""

    step: Name
    ticked: bool = True


class Note(Happening, frozen=True, kw_only=True, tag="note"):
    """Words about the season, a block, a line or a task; a hazard is what can hurt somebody.

    Where it was carried over, `carried` names its entry in the season before: `2026/k7f2q-31`.
    """

    text: Reason
    block: MaybeName = ""
    line: MaybeName = ""
    task: MaybeName = ""
    who: MaybeName = ""
    hazard: bool = False
    carried: MaybeName = ""


class Run(Happening, frozen=True, kw_only=True, tag="run"):
    """Sap gathered and syrup made on a day. What was not measured is left out: it is not zero.

    Of one block, or without a block of the whole sugarbush: then the blocks' are parts of it.
    """

    block: MaybeName = ""
    sap_gal: Volume | None = None
    sap_l: Volume | None = None
    brix: Annotated[float, Meta(gt=0, le=100)] | None = None
    syrup_gal: Volume | None = None
    syrup_l: Volume | None = None
    note: Text = ""


# --- What is found in the woods, and what becomes of it --------------------------------------


class Reading(Happening, frozen=True, kw_only=True, tag="reading"):
    """A gauge that was read: at the pump, at the releaser, or at an end of a line.

    Stored as it was keyed, in inches of mercury or in kilopascals. Without a block the pump is that
    of the whole sugarbush. Of a pair `pipe` says which of the two; if it does not, it is the wet.
    """

    block: MaybeName = ""
    line: MaybeName = ""
    who: Name
    place: Literal["pump", "releaser", "head", "far end"]
    pipe: Literal["", "wet", "dry"] = ""
    vacuum_inhg: Annotated[float, Meta(ge=0, le=MOST_INHG)] | None = None
    vacuum_kpa: Annotated[float, Meta(ge=0, le=MOST_KPA)] | None = None
    note: Text = ""


class Leak(Happening, frozen=True, kw_only=True, tag="leak"):
    """Air that gets into a line: where and what, and if it was read how much vacuum it costs."""

    block: Name
    line: Name
    who: Name
    text: Reason
    lateral: MaybeName = ""
    cause: Cause = ""
    lost_inhg: Annotated[float, Meta(ge=0, le=MOST_INHG)] | None = None
    lost_kpa: Annotated[float, Meta(ge=0, le=MOST_KPA)] | None = None


class Valve(Happening, frozen=True, kw_only=True, tag="valve"):
    """The valve of a line, shut or opened; the last word about it holds.

    At a valve test it is shut for some ten seconds and opened: `heard` says whether air was heard
    to rush then, which is a leak behind it (common practice, no source).
    """

    block: Name
    line: Name
    who: Name
    state: Literal["open", "shut"]
    reason: Text = ""
    heard: bool | None = None
    carried: MaybeName = ""


class Repair(Happening, frozen=True, kw_only=True, tag="repair"):
    """A repair that somebody promised, or that the season before left to be done."""

    who: Name
    text: Reason
    block: MaybeName = ""
    line: MaybeName = ""
    due: date | None = None
    carried: MaybeName = ""


class Settle(Happening, frozen=True, kw_only=True, tag="settle"):
    """What another entry opened is seen to.

    The hazard is cleared, the leak mended, the repair made, the sheet keyed in.
    """

    entry: EntryId
    who: Name
    text: Text = ""


# --- Stock and people ------------------------------------------------------------------------


class Spouts(Happening, frozen=True, kw_only=True, tag="spouts"):
    """Spouts that went into somebody's bag, or came out of it other than into a tree."""

    who: Name
    move: Literal["issued", "returned", "scrapped"]
    count: Units
    note: Text = ""


class Out(Happening, frozen=True, kw_only=True, tag="out"):
    """Somebody went into the woods: where, and when they are due back."""

    who: Name
    block: MaybeName = ""
    line: MaybeName = ""
    due: Moment
    note: Text = ""


class Back(Happening, frozen=True, kw_only=True, tag="back"):
    """Somebody is back from the woods."""

    who: Name
    note: Text = ""


class Sheet(Happening, frozen=True, kw_only=True, tag="sheet"):
    """A page that was printed for the woods: these lines, in the order they are walked."""

    sheet: Annotated[int, Meta(ge=1, le=1_000_000)]
    block: Name
    task: Name
    lines: tuple[Name, ...]
    who: MaybeName = ""


# --- Handing over ----------------------------------------------------------------------------


class About(
    Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True, eq=False
):
    """What an open item is about: enough to know it again, whatever becomes of its numbers.

    What one entry opened is the same wherever it is by now: somebody out goes on to other lines.

    Attributes:
        what: Which kind of item: see `fieldbook.season.items.What`.
        block: Where.
        line: Where exactly.
        task: In which task.
        who: Whose it is by its nature, as a bag of spouts is.
        entry: Id of the entry that opened it, where one entry did.
    """

    what: Name
    block: MaybeName = ""
    line: MaybeName = ""
    task: MaybeName = ""
    who: MaybeName = ""
    entry: MaybeName = ""

    def _known_by(self) -> tuple[str, ...]:
        where = (self.block, self.line, self.task, self.who)
        return (self.what, self.entry) if self.entry else (self.what, *where)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, About) and self._known_by() == other._known_by()

    def __ne__(self, other: object) -> bool:  # of a struct it does not follow from __eq__
        return not self == other

    def __hash__(self) -> int:
        return hash(self._known_by())


class Passed(Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """An open item as it was handed off.

    Attributes:
        about: The item.
        says: The words of the one going off.
        value: What the one coming on must read back, as the one going off knew it; empty where
            looking at it is enough.
    """

    about: About
    says: Text = ""
    value: MaybeName = ""


class HandOff(Happening, frozen=True, kw_only=True, tag="handoff"):
    """What one person passes on: every open item of some blocks, and the words that go with them.

    The parts are those of I-PASS: how grave, the summary, what is to do, what if. An empty `to`
    leaves open who comes on.
    """

    who: Name
    to: MaybeName = ""
    blocks: tuple[Name, ...]
    severity: Literal["calm", "watch", "danger"]
    done: Text = ""
    left: Text = ""
    hazards: Text = ""
    what_if: Text = ""
    items: tuple[Passed, ...] = ()


class ReadBack(Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """What the one coming on said of an item; where it `differs`, beside what was told of it."""

    about: About
    said: MaybeName = ""
    differs: bool = False
    told: MaybeName = ""


class Taken(Happening, frozen=True, kw_only=True, tag="taken"):
    """Somebody read a hand-off back and took it: its items are theirs now."""

    handoff: EntryId
    who: Name
    items: tuple[ReadBack, ...] = ()


# --- Accounts closed -------------------------------------------------------------------------


class WriteOff(Happening, frozen=True, kw_only=True, tag="writeoff"):
    """An open item that nothing more is done about, and why: so many units, and no more."""

    about: About
    amount: int = 0
    who: Name
    reason: Reason


class Close(Happening, frozen=True, kw_only=True, tag="close"):
    """The season is over, and its accounts are closed."""

    who: Name
    note: Text = ""


# --- Always ----------------------------------------------------------------------------------


class Strike(Entry, frozen=True, kw_only=True, tag="strike"):
    """Crosses out another entry of the season: the original stays readable."""

    entry: EntryId
    reason: Reason


PlanEntry = Block | Line | Trees | TapRule | Supply | Person | Target | Setting | Checklist
WorkEntry = Count | Finish | Aside | Reopen | Step
ConditionEntry = Reading | Leak | Valve | Repair | Settle
PeopleEntry = Spouts | Out | Back | Sheet | HandOff | Taken
AccountEntry = WriteOff | Close
AnyEntry = PlanEntry | WorkEntry | Note | Run | ConditionEntry | PeopleEntry | AccountEntry | Strike

KINDS: dict[str, type[Entry]] = {
    str(kind.__struct_config__.tag): kind
    for kind in (
        Block,
        Line,
        Trees,
        TapRule,
        Supply,
        Person,
        Target,
        Setting,
        Checklist,
        Count,
        Finish,
        Aside,
        Reopen,
        Step,
        Note,
        Run,
        Reading,
        Leak,
        Valve,
        Repair,
        Settle,
        Spouts,
        Out,
        Back,
        Sheet,
        HandOff,
        Taken,
        WriteOff,
        Close,
        Strike,
    )
}
