"""One season of a book, open: its ledger kept in step with the journal, and the rules of entry.

Everything the screens and the command line write goes through `Season.record`: it refuses what
the plan does not know, asks about what may be a slip of the finger, puts the rest on disk, and
only then into the ledger.
"""

from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from datetime import date, datetime, timedelta
from functools import cached_property
from pathlib import Path
from typing import Any

from msgspec.structs import replace

from fieldbook.book.book import Book
from fieldbook.book.entry import (
    AnyEntry,
    Back,
    Checklist,
    Close,
    Count,
    Finish,
    Happening,
    Line,
    Out,
    Person,
    Run,
    Setting,
    Settle,
    Step,
    Strike,
    TapRule,
    Task,
    Trees,
    Valve,
)
from fieldbook.book.lines import fold_key
from fieldbook.errors import BookError, Doubtful, NotSaved
from fieldbook.i18n import _
from fieldbook.season.balance import off_by
from fieldbook.season.checklist import load_template, read_checklist, template_path
from fieldbook.season.ledger import Ledger
from fieldbook.season.plan import Plan, as_tap_rule
from fieldbook.season.refusals import as_recorded, refuse
from fieldbook.season.sap import sap_gal_of, syrup_gal_of, taps_for_sap
from fieldbook.season.settings import RULES, Value, read_setting
from fieldbook.season.tally import check_tally
from fieldbook.trade import tapping

CHECKLIST_COPY = "checklist.toml"
"""The crew's copy of the checklist, in the season's folder; it counts once it is imported."""

WINDOW = ("season_begins", "season_ends")
"""The settings that bound a season."""

SLIP_ALLOWANCE = 10
"""Units over twice the plan that are still believed without asking (common practice, no source)."""

SWEET_BRIX, MUCH_GAL = 12, 6
"""Sweetness of sap, and gallons of a tap in one run, that are still believed (from memory)."""

BIG_COUNT = 1000
"""What is asked about where no plan says how much to expect (common practice, no source)."""

LONG_OUT = timedelta(hours=24)
"""How long somebody may be out without being asked about (common practice, no source)."""


PEOPLE = Person | Out | Back
"""What a closed season takes too: who fetches the sled in May is in the woods like anybody."""


class Season:
    """A season of a book, for reading and, when the book has a desk, for writing.

    Args:
        book: The book, open at the season.
        as_of: Leave out work after this day.
    """

    def __init__(self, book: Book, *, as_of: date | None = None) -> None:
        self.book = book
        self._as_of = as_of
        self._fold_anew()

    @classmethod
    def begin(cls, book: Book, checklist: str, *, by: str, now: datetime) -> "Season":
        """Record what a new season needs before its plan: settings and a checklist in force.

        Args:
            book: A book open at an empty season.
            checklist: Name of a template.
            by: Who begins it.
            now: The time.
        """
        title, tasks = load_template(checklist)
        stamp: dict[str, Any] = {"at": now, "noted": now, "by": by}
        season = cls(book)
        season._write(
            [
                *(Setting(setting=r.name, value=r.default_for(book.year), **stamp) for r in RULES),
                Checklist(checklist=title, tasks=tasks, **stamp),
            ]
        )
        with suppress(OSError):  # for the crew to edit; the checklist in force is on record
            copy = book.path / str(book.year) / CHECKLIST_COPY
            copy.write_bytes(template_path(checklist).read_bytes())
        return season

    def carry(self, drafts: Sequence[AnyEntry]) -> tuple[AnyEntry, ...]:
        """Put what another season of the book left on disk, all together or none, as it stands.

        What it left may be of days before this season begins.

        Raises:
            NotSaved: The disk refused.
        """
        return self._write(drafts)

    @property
    def year(self) -> int:
        return self.book.year

    def catch_up(self) -> bool:
        """Take in what others have recorded since; say whether there is anything to show.

        What cannot be read or written now is tried again the next time; `Book.alarm` tells.
        """
        before = (self.seen, self.book.all_apart)
        with suppress(OSError, NotSaved):
            self.book.catch_up()
        self._fold_news()
        return before != (self.seen, self.book.all_apart)

    @property
    def seen(self) -> tuple[int, int]:
        """What the ledger has taken in: another value, and sums may have changed."""
        return self._folded, self._shuffles

    def _fold_anew(self) -> None:
        self.ledger = Ledger(self.book.year, as_of=self._as_of)
        self.plan = self.ledger.plan
        self._folded, self._shuffles = 0, self.book.shuffles
        self._fold_news()

    def _fold_news(self) -> None:
        """Take in the book's entries that are not in the ledger yet, whoever wrote them."""
        if self._shuffles != self.book.shuffles:
            self._fold_anew()
            return
        news = self.book.entries[self._folded :]
        self._folded += len(news)
        self.ledger.fold(news)

    @cached_property
    def last(self) -> "Season | None":
        """The season before this one, if the book has one."""
        earlier = [year for year in self.book.seasons if year < self.year]
        if not earlier:
            return None
        return Season(Book.open(self.book.path, year=earlier[-1]), as_of=self._as_of)

    def last_count(self, line: Line, task: Task) -> int | None:
        """Units done on a line in the season before; None if it is not known there."""
        if self.last is None or self.last.plan.line(line.block, line.line) is None:
            return None
        return self.last.ledger.record(line.block, line.line, task.key).done

    # --- writing ---

    def record(self, *drafts: AnyEntry, really: bool = False) -> tuple[AnyEntry, ...]:
        """Put entries on disk, all together or none, and take them into the ledger.

        Args:
            drafts: Entries without id and tick, with names as the plan has them.
            really: The person confirms what looks like a slip of the finger.

        Returns:
            The entries as they stand in the journal.

        Raises:
            BookError: An entry names something the plan does not know, closes what is not open,
                or is over its limits.
            Doubtful: A number or date that wants confirming.
            NotSaved: The disk refused.
        """
        close = self.ledger.closed
        if close is not None and not all(isinstance(draft, PEOPLE) for draft in drafts):
            raise closed(close)
        # Several drafts may build on one another: each meets the state that those before it made.
        settings = any(isinstance(draft, Setting) for draft in drafts)
        alone = len(drafts) == 1 and not settings
        ledger = self.ledger if alone else self.preview(())
        resolved: list[AnyEntry] = []
        for number, draft in enumerate(drafts, 1):
            entry = self.resolve(draft, ledger.plan)
            refuse(entry, ledger)
            if not really:
                for doubt in doubts(entry, ledger):
                    raise doubt
            entry = _with_what_is_off(entry, ledger)
            if not alone:
                ledger.apply(as_recorded(entry, number))
            resolved.append(entry)
        if settings:
            check_window(ledger.plan)
        return self._write(resolved)

    def strike(self, entry_id: str, reason: str, *, by: str, now: datetime) -> Strike:
        """Cross out an entry: it stops counting and stays readable. Errors as `Book.strike`.

        Raises:
            BookError: The season is closed, and the entry is not the one that closed it.
        """
        close = self.ledger.closed
        if close is not None and entry_id != close.id:
            raise closed(close)
        strike = self.book.strike(entry_id, reason, by=by, now=now)
        self._fold_news()
        return strike

    def _write(self, drafts: Sequence[AnyEntry]) -> tuple[AnyEntry, ...]:
        entries = self.book.record(*drafts)
        self._fold_news()
        return entries

    def preview(self, drafts: Iterable[AnyEntry]) -> Ledger:
        """A ledger apart, as if drafts had been recorded too."""
        return Ledger(self.year, as_of=self.ledger.as_of).fold([*self.book.entries, *drafts])

    def resolve(self, draft: AnyEntry, plan: Plan | None = None) -> AnyEntry:
        """The draft with block, line, task and person named as the plan has them.

        Args:
            draft: An entry without id; its names may be beginnings, or in any case.
            plan: The plan to go by, if not the season's own.

        Raises:
            BookError: A name, a step or a date is not of this season; names the nearest.
        """
        plan = plan or self.plan
        match draft:
            case Setting():
                return replace(draft, value=check_setting(draft, plan))
            case TapRule():
                check_tap_rule(draft)
            case Trees():
                check_tally(draft.classes)
        if not isinstance(draft, Happening | Trees):
            return draft
        if not isinstance(draft, Trees) and not plan.begins <= draft.day <= plan.ends:
            raise BookError(
                _("{day} is outside season {year}, which runs from {begins} to {ends}.").format(
                    day=draft.day, year=self.year, begins=plan.begins, ends=plan.ends
                ),
                _("Check the date, or open the season it belongs to with --season."),
            )
        return replace(draft, **_named(draft, plan))

    # --- reading ---

    def last_keyed(self, by: str) -> AnyEntry | None:
        """The newest entry about work that somebody keyed at this desk and that still stands."""
        mine = (e for e in reversed(self.book.entries) if e.by == by)
        for entry in mine:
            standing = entry.id not in self.ledger.struck and entry.desk == self.book.desk
            if standing and isinstance(entry, Happening | Trees):
                return entry
        return None

    @property
    def standing_work(self) -> Iterator[Happening]:
        """Entries about work that are not struck, in fold order."""
        for entry in self.log():
            if isinstance(entry, Happening) and entry.id not in self.ledger.struck:
                yield entry

    def log(self) -> list[AnyEntry]:
        """Every entry in fold order, struck ones too."""
        return sorted(self.book.entries, key=fold_key)

    @property
    def checklist_copy(self) -> Path | None:
        """The crew's own copy of the checklist, if it is there."""
        path = self.book.path / str(self.year) / CHECKLIST_COPY
        return path if path.is_file() else None

    def checklist_differs(self, path: Path) -> bool:
        """Whether a checklist file says something else than the checklist in force."""
        title, tasks = read_checklist(path)
        force = self.plan.checklist
        return force is None or (force.checklist, force.tasks) != (title, tasks)


def _with_what_is_off(draft: AnyEntry, ledger: Ledger) -> AnyEntry:
    """A line's finish with the number that its reason is for."""
    if not isinstance(draft, Finish) or not draft.reason:
        return draft
    line, task = ledger.plan.line(draft.block, draft.line), ledger.plan.task(draft.task)
    if line is None or task is None:
        return draft
    off = off_by(ledger, line, task)
    if off is None and task.counts == "taps":
        off = 0  # nobody knows how many drops hang: it is for no number that comes to light
    return replace(draft, off=off)


def closed(close: Close) -> BookError:
    """What is said to whoever writes in a season whose accounts are closed."""
    return BookError(
        _("The season was closed by {who} on {day} ({id}).").format(
            who=close.who, day=close.day, id=close.id
        ),
        _(
            "To go on, strike {id} with a reason: in the logbook, or fieldbook strike {id} "
            "--reason ..."
        ).format(id=close.id),
    )


def check_window(plan: Plan) -> None:
    """Refuse a season that ends before it begins.

    Raises:
        BookError: It does.
    """
    if plan.begins > plan.ends:
        raise BookError(
            _("A season cannot begin on {begins} and end on {ends}.").format(
                begins=plan.begins, ends=plan.ends
            ),
            _("Change both days in one table of settings, or the other day first."),
        )


def check_setting(draft: Setting, plan: Plan) -> Value:
    """The value of a setting that is to be recorded.

    Raises:
        BookError: There is no such setting, no such value of it, or no such rule in the plan.
    """
    value = read_setting(draft.setting, str(draft.value))
    if draft.setting != "tap_rule":
        return value
    named = {name.casefold(): name for name in plan.tap_rules}
    if str(value).casefold() not in named:
        raise BookError(
            _("There is no rule {name} for taps.").format(name=repr(value)),
            _("The rules are: {names}. Others come in with a table of tap rules.").format(
                names=", ".join(named.values())
            ),
        )
    return named[str(value).casefold()]


def check_tap_rule(draft: TapRule) -> None:
    """Refuse a rule for taps that no tree could be judged by, or that hides another.

    Raises:
        BookError: Its diameters or its taps do not rise, or its name is taken.
    """
    if draft.rule.casefold() in (*tapping.RULES, tapping.OWN):
        raise BookError(
            _("There is a rule {name} for taps already.").format(name=repr(draft.rule)),
            _("Give the crew's another name, or set own_first_in, own_step_in, own_most_taps."),
        )
    try:
        as_tap_rule(draft)
    except ValueError as error:
        raise BookError(
            _("{rule} is no rule for taps: {why}.").format(rule=repr(draft.rule), why=error),
            _("From each diameter on there are as many taps as from the one before, or more."),
        ) from None


def _named(draft: AnyEntry, plan: Plan) -> dict[str, str]:
    """Block, line, task, step and people of a draft as the plan has them."""
    block, line, task = (getattr(draft, name, "") for name in ("block", "line", "task"))
    names: dict[str, str] = {}
    if block:
        names["block"] = plan.find_block(block)
        if line:
            names["line"] = plan.find_line(names["block"], line).line
    elif line:
        raise BookError(
            _("{line} is named without its block.").format(line=repr(line)),
            _("Name the block too."),
        )
    if task:
        found = plan.find_task(task)
        names["task"] = found.key
        if isinstance(draft, Step):
            names["step"] = _find_step(found, draft.step)
    for person in ("who", "to"):
        if getattr(draft, person, ""):
            names[person] = plan.find_person(getattr(draft, person))
    return names


def _find_step(task: Task, text: str) -> str:
    hits = [step for step in task.steps if step.casefold().startswith(text.casefold())]
    if len(hits) == 1 or text in hits:
        return text if text in hits else hits[0]
    raise BookError(
        _("{step} is not a step of {task}.").format(step=repr(text), task=task.title.lower()),
        _("The steps are: {steps}.").format(steps="; ".join(task.steps) or "-"),
    )


def _doubtful_run(draft: Run, ledger: Ledger) -> Iterator[Doubtful]:
    """A run that is sweeter than sap, more than the taps give, or in the book already."""
    hint = _("Check the number. If it is right, say so with --really.")
    if draft.brix is not None and draft.brix > SWEET_BRIX:
        yield Doubtful(_("{brix:g} Brix is sweet for sap.").format(brix=draft.brix), hint)
    sap_gal = sap_gal_of(draft)
    planned = (ledger.plan.taps(line) or 0 for line in ledger.plan.lines_of(draft.block))
    taps = max(sum(planned), taps_for_sap(ledger, draft.block))
    if taps and (sap_gal or 0) > MUCH_GAL * taps:
        said = _("{gal:,.0f} gal are {each:,.1f} a tap in one run.")
        yield Doubtful(said.format(gal=sap_gal, each=(sap_gal or 0) / taps), hint)
    for run in ledger.runs:
        measured = ((sap_gal_of, sap_gal), (syrup_gal_of, syrup_gal_of(draft)))
        twice = any(of(run) is not None and now is not None for of, now in measured)
        # What one table says twice, or one command, was gathered twice.
        alike = (run.day, run.block) == (draft.day, draft.block) and run.noted < draft.noted
        if alike and twice:
            yield Doubtful(
                _("A run of {day} is in the book already ({id}): this one would be added.").format(
                    day=run.day, id=run.id
                ),
                _("If it corrects that, strike {id} first; else say so with --really.").format(
                    id=run.id
                ),
            )
            return


def _doubtful_out(draft: Out) -> Iterator[Doubtful]:
    """Somebody who is due before they go, or a day later."""
    hint = _("Check the time. If it is right, say so with --really.")
    if draft.due < draft.at:
        said = _("{who} would be due back at {due}, before they went out at {at}.")
    elif draft.due - draft.at > LONG_OUT:
        said = _("{who} would be due back at {due}, more than a day after they went out at {at}.")
    else:
        return
    due, at = (moment.isoformat(" ", "minutes") for moment in (draft.due, draft.at))
    yield Doubtful(said.format(who=draft.who, due=due[:-6], at=at[:-6]), hint)


def _doubtful_closing(draft: AnyEntry) -> Iterator[Doubtful]:
    """A day to come on which somebody is back or something is seen to: it is open until then."""
    today = draft.noted.date()
    closing = isinstance(draft, Back | Settle) or (
        isinstance(draft, Valve) and draft.state == "open"
    )
    if closing and draft.day > today:
        yield Doubtful(
            _("{day} is still to come, today is {today}: what is open would be closed now.").format(
                day=draft.day, today=today
            ),
            _("Check the date. If it is right, say so with --really."),
        )


def _same_day(draft: Count, ledger: Ledger) -> bool:
    """Whether a line was counted on the same day already: it may be a recount."""
    entries = ledger.record(draft.block, draft.line, draft.task).entries
    return any(isinstance(e, Count) and e.count and e.day == draft.day for e in entries)


def doubts(draft: AnyEntry, ledger: Ledger) -> Iterator[Doubtful]:
    """What about a draft may be a slip of the finger: far more than a line or a tap can bring, or
    a time at which nobody is due back or done.

    Args:
        draft: An entry with names as the plan has them.
        ledger: The state it meets.
    """
    if isinstance(draft, Run):
        yield from _doubtful_run(draft, ledger)
    if isinstance(draft, Out):
        yield from _doubtful_out(draft)
    yield from _doubtful_closing(draft)
    if not isinstance(draft, Count):
        return
    line, task = ledger.plan.line(draft.block, draft.line), ledger.plan.task(draft.task)
    if line is None or task is None:
        return
    planned = ledger.planned(line, task)
    expected = planned or ledger.plan.taps(line)
    total = ledger.record(line.block, line.line, task.key).done + draft.count
    limit = 2 * expected + SLIP_ALLOWANCE if expected else BIG_COUNT
    if draft.count and total > limit:
        yield Doubtful(
            _("{count} on {line} would make {total}, planned {planned}.").format(
                count=draft.count,
                line=line.line,
                total=total,
                planned=_("unknown") if planned is None else planned,
            ),
            _("Check the number. If it is right, say so with --really."),
        )
    done = total - draft.count
    if draft.count and planned is not None and done >= planned and _same_day(draft, ledger):
        yield Doubtful(
            _("{line} is done with {done}: {count} would be added, {total} in all.").format(
                line=line.line, done=done, count=draft.count, total=total
            ),
            _("If it was counted again, strike the count before; else say so with --really."),
        )
