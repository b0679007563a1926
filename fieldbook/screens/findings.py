"""What is found on a line beside its count: leaks, valves, spouts, counts that do not match."""

from collections.abc import Sequence
from datetime import date

from fieldbook.book.entry import (
    AnyEntry,
    Count,
    Finish,
    Leak,
    Line,
    Reading,
    Sheet,
    Strike,
    Task,
    Valve,
)
from fieldbook.errors import BookError, Doubtful
from fieldbook.i18n import _
from fieldbook.reports.open_items import head
from fieldbook.reports.round import bag_words, brief_vacuum, readings_saved
from fieldbook.reports.whence import Whence
from fieldbook.reports.words import saved, told
from fieldbook.screens.closing import ask_why, balances, both_words
from fieldbook.screens.dialogs import QUOTED, Ask, some_text
from fieldbook.screens.screen import BookScreen
from fieldbook.screens.session import Session
from fieldbook.screens.widgets.rows import cut
from fieldbook.season.balance import line_balance
from fieldbook.season.dates import short_day
from fieldbook.season.items import BALANCE, Item
from fieldbook.season.woods import valves_shut


class Findings(BookScreen):
    """The part of the round that writes down what is not work done.

    Args:
        session: What all screens share.
        task: The task done.
        sheet: The sheet by which the round is walked, if there is one.
    """

    def __init__(self, session: Session, task: Task, sheet: Sheet | None = None) -> None:
        super().__init__(session)
        self.job = task  # a Textual screen has a `task` of its own
        self.sheet = sheet
        self.just: Line | None = None
        """The line just recorded: by then the cursor is on the next."""
        self.doubted = False
        """Lines of the sheet are not keyed in, and the next answer says that this is right."""

    @property
    def line_here(self) -> Line | None:
        """The current line; says so where there is none."""
        raise NotImplementedError

    def refuse(self, error: BookError, hint: str = "") -> None:
        """Say what is wrong, and what to do about it."""
        raise NotImplementedError

    def say_then(self, said: str, then: str) -> None:
        """Say what is on disk, and what comes of it: which stays whole where room is short."""
        raise NotImplementedError

    # --- counts that do not match ---

    def off(self, line: Line) -> Item | None:
        """The count of a line that does not match, that of this task before others."""
        found = [
            item
            for item in self.session.items()
            if item.what in BALANCE
            and (item.about.block, item.about.line) == (line.block, line.line)
        ]
        found.sort(key=lambda item: item.about.task != self.job.key)
        return found[0] if found else None

    def off_after(self, entry: AnyEntry) -> str:
        """What a count or a finish leaves that does not match, in words; empty if nothing."""
        if not isinstance(entry, Count | Finish):
            return ""
        line = self.session.season.plan.line(entry.block, entry.line)
        item = None if line is None else self.off(line)
        if item is None or item.about.task != entry.task:
            return ""
        what = head(item, self.session.season.plan)
        return "! " + _("{what}: a says why, or count again").format(what=what)

    def off_if_finished(self, line: Line) -> bool:
        """Whether the counts of a line would not match, were it finished now."""
        plan, found = self.session.season.plan, line_balance(self.session.season.ledger, line)
        for unit, off in (
            ("taps", found.untapped or found.over),
            ("spouts", found.in_trees or found.pulled_over),
        ):
            counting = plan.counting(unit)
            if counting is not None and counting.key == self.job.key:
                return bool(off)
        return False

    async def action_account(self) -> None:
        """Say why a count does not match: of the line just recorded, else of the current one."""
        here = self.line_here
        if here is None:
            return
        item = None if self.just is None else self.off(self.just)
        item = item or self.off(here)
        if item is None:
            ledger = self.session.season.ledger
            said = _("{line}: {both}: nothing to account for")
            if balances(ledger, here, self.job.key):
                said = _("{line}: {both}: it balances")
            both = both_words(ledger, here, self.job.key)
            self.say(said.format(line=here.line, both=both))
            return
        found = item
        await self.as_somebody(lambda: ask_why(self, found))

    # --- leaks, valves, repairs, spouts ---

    async def action_leak(self) -> None:
        if (line := self.line_here) is None:
            return
        title = _("Leak on {line}: where and what?").format(line=line.line)
        hint = _("lateral, cause, and what it costs if it was read: fifth lateral, chewed, {lost}")
        hint = hint.format(lost="7 kPa" if self.metric else "2 inHg")
        await self.as_somebody(
            lambda: self.ask_words(title, lambda text: self.session.leak(line, text), hint=hint)
        )

    # --- gauges and valve tests ---

    @property
    def reads_gauges(self) -> bool:
        """Whether what is typed is no count but what a gauge reads."""
        return self.job.counts == "readings"

    @property
    def metric(self) -> bool:
        """Whether gauges are read in kilopascals on this laptop."""
        return self.session.laptop.units == "metric"

    def hangs(self, readings: Sequence[Reading]) -> str:
        """How far a line hangs under the pump by readings just taken, what that costs, and why."""
        session = self.session
        at = next((reading for reading in readings if reading.line), None)
        line = None if at is None else session.season.plan.line(at.block, at.line)
        return brief_vacuum(session.gauges(), line, readings, session.laptop.units) if line else ""

    def gauges_whence(self, line: Line) -> list[Whence]:
        """Where what the gauges of a line say comes from: readings, the sum, and its rules."""
        from fieldbook.reports.leaks import leaks
        from fieldbook.reports.vacuum_whence import vacuum_whence

        session = self.session
        season, units = session.season, session.laptop.units
        report = leaks(season, session.today, units=units)
        return vacuum_whence(season, report, session.gauges(), line.block, line.line, units)

    async def action_gauges(self) -> None:
        if (line := self.line_here) is None:
            return

        def written(readings: tuple[Reading, ...] | None) -> None:
            if readings:
                self.tell(readings[-1])
                self.say_then(readings_saved(readings), self.hangs(readings))
                self.said_of = readings[-1].id

        form = _("head 85, far 83; wet 60, dry 84; pump 86. In inHg: 24.5 inHg")
        if not self.metric:
            form = _("head 25, far 24.5; wet 17, dry 24.5; pump 25.5. In kPa: 83 kPa")
        form += "\n" + _("Words follow a colon: wet 17, dry 24.5: joined at post 2")
        read = some_text(_("The text"), lambda text: self.session.gauges_read(line, text))
        question = Ask(
            _("What do the gauges of {line} read?").format(line=line.line), read, hint=form
        )
        await self.as_somebody(lambda: self.app.push_screen(question, written))

    async def action_test(self) -> None:
        if (line := self.line_here) is None:
            return
        title = _("{line}: valve shut ten seconds, opened. Was air heard?").format(line=line.line)
        hint = _("heard, or not heard; if it stays shut: heard, left shut: why")
        await self.as_somebody(
            lambda: self.ask_words(
                title, lambda text: self.session.valve_test(line, text), hint=hint
            )
        )

    def next_step(self, entry: AnyEntry) -> str:
        """What is to be done at once about what was just written down; empty if nothing."""
        if isinstance(entry, Valve) and entry.heard:
            return _("l writes down the leak")
        if isinstance(entry, Leak) and entry.cause:
            from fieldbook.season.vacuum import BREAKS

            if entry.cause in BREAKS:
                return self._at_a_break(shut=self._is_shut(entry.block, entry.line))
        return ""

    def _at_a_break(self, *, shut: bool) -> str:
        """What is to be done about a main that is cut, or a tree on it.

        What can hurt somebody there stands on the card of the leak checks, and on no other.
        """
        parts = ["" if shut else _("! v shuts its valve: the rest of the block keeps its vacuum")]
        if not self.reads_gauges:
            parts.append(_("! vacuum off before you cut, clear of tensioned wire"))
        return "  ".join(part for part in parts if part)

    def _is_shut(self, block: str, line: str) -> bool:
        return (block, line) in valves_shut(self.session.season.ledger)

    async def strike_last(self) -> None:
        """As on every screen; a vacuum that was typed is struck together with its count."""
        session = self.session
        both = session.far_end_last()
        if not both:
            await super().strike_last()
            return

        def written(strikes: tuple[Strike, ...] | None) -> None:
            if strikes:
                self.tell(strikes[-1])
                ledger = session.season.ledger
                self.say_then("; ".join(saved(strike, ledger) for strike in strikes), "")

        reading, count = both
        title = _("Strike {reading} and its count {count}: {what}. Why is it wrong?").format(
            reading=reading.id, count=count.id, what=cut(told(reading, session.season.plan), QUOTED)
        )
        question = Ask(
            title,
            some_text(_("The text"), lambda why: session.strike_both(both, why)),
            value=_("slip of the finger"),
        )
        await self.app.push_screen(question, written)

    async def action_valve(self) -> None:
        if (line := self.line_here) is None:
            return
        session = self.session
        if self._is_shut(line.block, line.line):
            title = _("The valve of {line} is open again? Words to go with it")
            await self.as_somebody(
                lambda: self.ask_maybe(
                    title.format(line=line.line), lambda text: session.valve(line, "open", text)
                )
            )
        else:
            title = _("Shut the valve of {line}: why?")
            await self.as_somebody(
                lambda: self.ask_words(
                    title.format(line=line.line), lambda text: session.valve(line, "shut", text)
                )
            )

    async def action_promise(self) -> None:
        if (line := self.line_here) is None:
            return
        title = _("Repair promised on {line}: what?").format(line=line.line)
        hint = _("with its day, if there is one: new tee by 12 Feb")
        await self.as_somebody(
            lambda: self.ask_words(title, lambda text: self.session.promise(line, text), hint=hint)
        )

    async def action_spouts(self) -> None:
        await self.as_somebody(self._ask_spouts)

    async def _ask_spouts(self) -> None:
        session = self.session
        title = bag_words(session.season.ledger, session.who) or _(
            "Spouts with {who}: nothing issued yet"
        ).format(who=session.who)

        def written(moved: tuple[AnyEntry, ...] | None) -> None:
            if moved:
                self.tell(moved[-1])
                ledger = session.season.ledger
                self.say("; ".join(saved(entry, ledger) for entry in moved))
                self.said_of = moved[-1].id

        hint = _("issued 150; or several: returned 60, scrapped 3. A number alone: issued")
        question = Ask(title, some_text(_("The text"), session.spouts), hint=hint)
        await self.app.push_screen(question, written)

    # --- the sheet ---

    async def action_keyed(self) -> None:
        """Say that the sheet is keyed in; said twice where lines of it are not."""
        if self.sheet is None:
            self.say(_("This round is by no sheet; the board's / opens one by its number."))
        else:
            await self.as_somebody(self._close_sheet)

    async def _close_sheet(self) -> None:
        assert self.sheet is not None
        try:
            entry = self.session.keyed(self.sheet, really=self.doubted)
        except Doubtful as doubt:
            self.doubted = True
            self.refuse(doubt, _("If nothing was done there: z or Enter again."))
        except BookError as error:
            self.refuse(error)
        else:
            self.tell(entry)


def sheet_words(sheet: Sheet, *, keyed: bool) -> str:
    """`sheet 31, Rae`, and that it is keyed in."""
    parts = (_("sheet {n}").format(n=sheet.sheet), sheet.who, _("keyed in") if keyed else "")
    return ", ".join(part for part in parts if part)


def another_day(sheet: Sheet, today: date) -> str:
    """What is said on opening a sheet that was not printed today; empty of today's."""
    if sheet.day == today:
        return ""
    said = _("Sheet {n} was printed {day}: d for the day it was done")
    return said.format(n=sheet.sheet, day=short_day(sheet.day))
