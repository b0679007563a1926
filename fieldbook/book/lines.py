"""The lines of a season's journals, in memory, and what is wrong with some of them.

A book is a set of lines: the same whatever file a line stands in and whenever it arrived. Nothing
here knows a disk; the journal reads files and hands their bytes over.
"""

from collections.abc import Iterable, Iterator

from msgspec import Struct

from fieldbook.book.codec import NewerLine, UnreadableLine, decode, encode, label
from fieldbook.book.entry import AnyEntry, Strike, clean
from fieldbook.i18n import _

SHOWN = 160
"""Characters of a line set apart that are shown."""


class Problem(Struct, frozen=True):
    """Something in a book that is not as it should be, and what to do about it.

    Attributes:
        where: File and place in it, or the entry.
        what: What is wrong.
        advice: The next step.
        grave: False for information that asks for no action.
        text: The line as it stands there, if that helps.
    """

    where: str
    what: str
    advice: str = ""
    grave: bool = True
    text: str = ""


class SetApart(Struct, frozen=True):
    """A line that does not count.

    Attributes:
        file: Season and file, as people are told of it.
        offset: Byte at which the line begins.
        raw: The line, without its newline.
        fault: `torn`, `checksum`, `json` or `field`; `newer`; `twin` for the line that lost
            against another with the same id.
        why: The fault in words.
        id: The entry it was, as far as that can be read; else empty.
    """

    file: str
    offset: int
    raw: bytes
    fault: str
    why: str
    id: str = ""


class Lines:
    """Every line read so far.

    Attributes:
        entries: Every entry that counts, by id.
        order: The same: in fold order, those that came later as they came, until `settle`.
        tick: The largest tick seen.
        shuffles: How often the order changed otherwise than by growing at its end.
    """

    def __init__(self) -> None:
        self.entries: dict[str, AnyEntry] = {}
        self.order: list[AnyEntry] = []
        self.tick = 0
        self.shuffles = 0
        self._losers: dict[str, list[AnyEntry]] = {}
        self._apart: dict[str, dict[int, SetApart]] = {}
        self._highest: dict[str, int] = {}
        self._reserved: dict[str, set[int]] = {}
        self._settled = True

    # --- taking in ---

    def read(self, file: str, data: bytes, offset: int) -> None:
        """Take in lines of a file from a byte on.

        Args:
            file: As people are told of it.
            data: Lines with their newlines; what follows the last newline counts if it is whole.
            offset: Where in the file the data stands.
        """
        entries, order = self.entries, self.order
        before = len(order)
        for raw in data.split(b"\n"):
            try:
                entry = decode(raw)
            except (UnreadableLine, NewerLine) as error:
                if raw.endswith(b"\r"):
                    self.read(file, raw[:-1], offset)
                elif raw and not raw.isspace():
                    self._set_apart(file, offset, raw, error)
            else:
                known = entries.setdefault(entry.id, entry)
                if known is entry:
                    order.append(entry)
                    if entry.tick > self.tick:
                        self.tick = entry.tick
                    else:
                        self._settled = False
                elif not _same(known, entry):
                    self._twin(file, offset, raw, known, entry)
            offset += len(raw) + 1
        if self._highest:
            for entry in order[before:]:
                self._count(entry.desk, entry.number)

    def take_in(self, entry: AnyEntry) -> None:
        """Take in an entry of this desk that was just recorded."""
        self.entries[entry.id] = entry
        self.order.append(entry)
        self._settled = self._settled and entry.tick > self.tick
        self.tick = max(self.tick, entry.tick)
        desk, _dash, number = entry.id.partition("-")
        self._count(desk, int(number))

    def _count(self, desk: str, number: int) -> None:
        """Keep up the highest number of a desk, if anybody has asked for it."""
        if desk in self._highest:
            self._highest[desk] = max(self._highest[desk], number)

    def forget(self, file: str) -> None:
        """A file will be read again from its beginning: what was wrong with it may be gone."""
        self._apart.pop(file, None)

    def forget_from(self, file: str, offset: int) -> None:
        """A file will be read again from a byte on: its last line was not whole."""
        apart = self._apart.get(file)
        if apart:
            apart.pop(offset, None)

    def settle(self) -> None:
        """Put entries that came late where they belong."""
        if not self._settled:
            self.order.sort(key=fold_key)
            self.shuffles += 1
            self._settled = True

    def reserve(self, lines: Iterable[bytes]) -> None:
        """Never give out again the numbers and ticks of lines that do not count."""
        for line in lines:
            entry_id, tick = label(line)
            self.tick = max(self.tick, tick)
            if entry_id:
                desk, _dash, number = entry_id.partition("-")
                self._reserved.setdefault(desk, set()).add(int(number))
                self._count(desk, int(number))

    def _set_apart(
        self, file: str, offset: int, line: bytes, error: UnreadableLine | NewerLine
    ) -> None:
        self.reserve([line])
        fault = error.fault if isinstance(error, UnreadableLine) else "newer"
        why = clean(str(error), one_line=True)  # it may quote the line
        apart = SetApart(file, offset, line, fault, why, label(line)[0])
        self._apart.setdefault(file, {})[offset] = apart

    def _twin(self, file: str, offset: int, line: bytes, known: AnyEntry, entry: AnyEntry) -> None:
        """Two lines with one id: the larger bytes count, whichever came first."""
        loser = entry
        if encode(entry) > encode(known):
            loser = known
            self.entries[entry.id] = entry
            self.tick = max(self.tick, entry.tick)
            self.order[next(i for i, e in enumerate(self.order) if e is known)] = entry
            self._settled = False
        losers = self._losers.setdefault(entry.id, [])
        if not any(_same(e, loser) for e in losers):
            losers.append(loser)
        apart = SetApart(file, offset, line, "twin", "", entry.id)
        self._apart.setdefault(file, {})[offset] = apart

    # --- what there is ---

    def highest(self, desk: str) -> int:
        """The highest number a desk has given out, to lines that cannot be read too."""
        if desk not in self._highest:
            numbers = (int(i[len(desk) + 1 :]) for i in self.entries if i.startswith(f"{desk}-"))
            self._highest[desk] = max([0, *self._reserved.get(desk, ()), *numbers])
        return self._highest[desk]

    def all(self) -> Iterator[AnyEntry]:
        """Every entry that counts, and the twins of those that do not."""
        yield from self.order
        for losers in self._losers.values():
            yield from losers

    def has(self, entry: AnyEntry) -> bool:
        """Whether the very entry is here, though its twin may count instead."""
        known = self.entries.get(entry.id)
        if known is None:
            return False
        return any(_same(e, entry) for e in (known, *self._losers.get(entry.id, ())))

    @property
    def apart(self) -> Iterator[SetApart]:
        """Lines that do not count, file by file."""
        for _file, by_offset in sorted(self._apart.items()):
            yield from (by_offset[offset] for offset in sorted(by_offset))

    @property
    def all_apart(self) -> int:
        """How many lines do not count, whether or not they want a look."""
        return sum(map(len, self._apart.values()))

    @property
    def wanting(self) -> int:
        """How many lines set apart want somebody's look."""
        return sum(problem.grave for problem in self._told())

    def problems(self) -> Iterator[Problem]:
        """Lines set apart, and gaps in the numbers."""
        yield from self._told()
        yield from self._gaps()

    def _told(self) -> Iterator[Problem]:
        struck: set[str] = set()
        if self._losers:
            struck = {entry.entry for entry in self.order if isinstance(entry, Strike)}
        for apart in self.apart:
            yield self._tell(apart, struck=apart.id in struck)

    def _tell(self, apart: SetApart, *, struck: bool) -> Problem:
        where = _("{file}, byte {offset}").format(file=apart.file, offset=apart.offset)
        text = shown(apart.raw)
        if apart.fault == "twin":
            return Problem(
                where,
                _("entry {id} stands here twice with different content").format(id=apart.id),
                _(
                    "both lines are kept, one counts: look at it with fieldbook log {id}; "
                    "if it is the wrong one, strike it and record the other anew"
                ).format(id=apart.id),
                grave=not struck,
                text=text,
            )
        if apart.fault == "newer":
            what = _("an entry from a newer fieldbook: kept, not counted")
            return Problem(where, what, _("update fieldbook on this laptop"), text=text)
        known = self.entries.get(apart.id)
        if known is not None and known.tick == label(apart.raw)[1]:  # else the id is damaged too
            what = _("a damaged copy of {id}, which is here and counts: nothing is lost ({why})")
            advice = _("fieldbook check --repair moves it aside")
            what = what.format(id=apart.id, why=apart.why)
            return Problem(where, what, advice, grave=False, text=text)
        what = _("a line that cannot be read is set apart, in no total: {why}")
        advice = _(
            "if the work was done, record it again, or merge a copy of the book that has the "
            "line; then fieldbook check --repair moves this one aside"
        )
        return Problem(where, what.format(why=apart.why), advice, text=text)

    def _gaps(self) -> Iterator[Problem]:
        """Numbers a desk gave out whose lines are not here: information, not an error.

        A missing entry that is struck would count for nothing anyway.
        """
        numbers: dict[str, list[int]] = {d: list(taken) for d, taken in self._reserved.items()}
        for entry in self.order:
            numbers.setdefault(entry.desk, []).append(entry.number)
        for entry in self.order:
            if isinstance(entry, Strike):
                struck_desk, _dash, struck = entry.entry.partition("-")
                if struck_desk in numbers:
                    numbers[struck_desk].append(int(struck))
        for desk, given in sorted(numbers.items()):
            before = 0
            for number in sorted(given):
                first, last = before + 1, number - 1
                before = number
                if first > last:
                    continue
                what = (
                    _("entry {number} of desk {desk} is missing").format(number=last, desk=desk)
                    if first == last
                    else _("entries {first} to {last} of desk {desk} are missing").format(
                        first=first, last=last, desk=desk
                    )
                )
                advice = _("merge the copy of the book that has them, if there is one")
                yield Problem(f"desk {desk}", what, advice, grave=False)


def _same(one: AnyEntry, other: AnyEntry) -> bool:
    """Whether two entries are one: equal moments may be told by different clocks."""
    return one == other and (
        one.at.utcoffset() == other.at.utcoffset()
        and one.noted.utcoffset() == other.noted.utcoffset()
        and type(getattr(one, "value", None)) is type(getattr(other, "value", None))
    )


def fold_key(entry: AnyEntry) -> tuple[int, str, int]:
    """Order of entries: the same on every machine, in whatever order lines arrived."""
    desk, _dash, number = entry.id.partition("-")
    return entry.tick, desk, int(number)


def shown(raw: bytes) -> str:
    """The beginning of a line, whatever bytes it is made of, fit for a terminal."""
    text = raw[: 4 * SHOWN].decode("utf-8", "replace")
    plain = "".join(c if c.isprintable() else "·" for c in text)
    return plain if len(plain) <= SHOWN else plain[:SHOWN] + "…"
