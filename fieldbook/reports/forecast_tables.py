"""The forecast as tables: the tasks, the blocks of each, and whose turn it is."""

from collections.abc import Iterator
from datetime import date

from fieldbook.i18n import _, ngettext
from fieldbook.reports.forecast import MOST_DAYS, Finish, Forecast, TaskForecast
from fieldbook.reports.listing import Listing
from fieldbook.reports.pace import Pace
from fieldbook.season.dates import brief_day
from fieldbook.trade import sources


def forecast_listings(report: Forecast) -> tuple[Listing, Listing, Listing]:
    """The tasks, the blocks of those under way, and the turns."""
    return _tasks(report), _blocks(report), _turns(report)


def _tasks(report: Forecast) -> Listing:
    return Listing(
        name="tasks",
        title=_("When each task is done, going on from tomorrow"),
        columns=(
            *("task", "left", "left_aside", "a_day", "crew", "days_likely", "days_late"),
            *("early", "likely", "late", "one_more", "wanted", "begin_by", "look"),
        ),
        heads=(
            *(_("Task"), _("Left"), None, None, None, None, None),
            *("10 %", "50 %", "90 %", _("1 more"), _("Wanted"), _("Begin by"), ""),
        ),
        rows=tuple(_task_row(task, report.as_of) for task in report.tasks),
        notes=tuple(_notes(report)),
    )


def _task_row(task: TaskForecast, as_of: date) -> tuple[object, ...]:
    """What is under way has dates; what is not has a day to begin by."""
    if task.under_way:
        finish, begin_by = task.finish, None
        look = is_late(finish, task.wanted)
    else:
        finish, begin_by = Finish(None, None, None), task.begin_by
        look = begin_by is not None and begin_by <= as_of
    return (
        *(task.title, task.left, task.left_aside, round(task.pace.with_crew(task.pace.crew), 1)),
        *(round(task.pace.crew, 1), task.days_likely, task.days_late),
        *(finish.early, finish.likely, finish.late, task.one_more if task.under_way else None),
        *(task.wanted, begin_by, "!" * look),
    )


def _notes(report: Forecast) -> Iterator[str]:
    for task in report.tasks:
        said = f"{task.title}: {pace_words(task.pace, task.counts)}"
        if not task.under_way:
            takes = _("Not begun; it takes {likely}, {late} nine times in ten.")
            said += " " + takes.format(
                likely=_workdays(task.days_likely), late=_workdays(task.days_late)
            )
        if task.left_aside:
            said += " " + _("{n:,} of what is left is set aside.").format(n=task.left_aside)
        yield said
    if not report.tasks:
        yield _("Nothing is left to do, or the season is over.")
        return
    yield _(
        "Dates that one, five and nine times in ten will do, from {draws:,} draws ({source}; "
        "{prior}). Each task goes on at its own pace, and no block is done before the task it "
        "waits for. Begin by: the last day for the wanted date to be met nine times in ten."
    ).format(draws=report.draws, source=sources.RESAMPLING, prior=sources.SHRUNK)


def _workdays(days: int) -> str:
    if days > MOST_DAYS:
        return _("more than {n} workdays").format(n=MOST_DAYS)
    return ngettext("{n} workday", "{n} workdays", days).format(n=days)


def pace_words(pace: Pace, counts: str) -> str:
    """What the crew does on a day, and how that is known."""
    days = [
        (pace.days_recorded, _("{n} recorded this season")),
        (pace.days_before, _("{n} of the season before")),
        (pace.days_default, _("{n} made up of the rate below")),
    ]
    return _(
        "{a_day:,.0f} {unit} a workday with {crew:.1f} people: {worked:,.0f} on a day worked, less "
        "{share:.0f} % of days lost ({lost} of {workdays} so far). Days drawn: {days}. "
        "{rate:.1f} an hour and person, by default {default:g}."
    ).format(
        a_day=pace.with_crew(pace.crew),
        unit=_(counts),
        crew=pace.crew,
        worked=pace.with_crew(pace.crew) / (1 - pace.lost_share),
        share=100 * pace.lost_share,
        lost=pace.lost,
        workdays=pace.workdays,
        days=", ".join(words.format(n=n) for n, words in days if n),
        rate=pace.rate_per_hour,
        default=round(pace.rate_default, 1),
    )


def finish_words(finish: Finish) -> str:
    """`done by 27 Feb (25 Feb-3 Mar)`."""
    if finish.likely is None:
        return _("done: not within a year")
    late = _("later") if finish.late is None else brief_day(finish.late)
    early = brief_day(finish.early) if finish.early else "-"
    return _("done by {likely} ({early}-{late})").format(
        likely=brief_day(finish.likely), early=early, late=late
    )


def is_late(finish: Finish, wanted: date | None) -> bool:
    """Whether it will likely be done after the date wanted."""
    return wanted is not None and (finish.likely is None or finish.likely > wanted)


def _blocks(report: Forecast) -> Listing:
    rows = [
        (
            *(task.title, block.block, block.left, block.finish.early, block.finish.likely),
            *(block.finish.late, block.wanted, "!" * is_late(block.finish, block.wanted)),
        )
        for task in report.tasks
        if task.under_way
        for block in task.blocks
    ]
    return Listing(
        name="blocks",
        title=_("Block by block, in the order below; what is set aside comes last"),
        columns=("task", "block", "left", "early", "likely", "late", "wanted", "look"),
        heads=(_("Task"), _("Block"), _("Left"), "10 %", "50 %", "90 %", _("Wanted"), ""),
        rows=tuple(rows),
        by_block=True,
    )


def _turns(report: Forecast) -> Listing:
    order = report.order
    notes = []
    if order.turns:
        first = order.turns[0]
        notes.append(
            _("First: {block}, {task}: {why}").format(
                block=first.block, task=first.title.lower(), why=order.why
            )
        )
    titles = {task.task: task.title.lower() for task in report.tasks}
    if order.held_up:
        notes.append(
            _("Set aside, or waiting for that: {places}.").format(
                places="; ".join(f"{block}, {titles[task]}" for block, task in order.held_up)
            )
        )
    if order.turns:
        notes.append(
            _(
                "The order is for {crew:.1f} people who do one thing after another, all of them; "
                "the dates above are for each task's own crew. {source}."
            ).format(crew=order.crew, source=sources.ONE_CREW)
        )
    return Listing(
        name="turns",
        title=_("Whose turn it is"),
        columns=("block", "task", "left", "days", "done_by", "wanted", "days_over"),
        heads=(
            *(_("Block"), _("Task"), _("Left"), _("Days"), None, _("Wanted")),
            _("Days late"),
        ),
        rows=tuple(
            (
                *(turn.block, turn.title, turn.left, round(turn.days, 1), turn.done_by),
                *(turn.wanted, turn.days_over or None),
            )
            for turn in order.turns
        ),
        notes=tuple(notes),
    )
