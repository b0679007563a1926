"""Checklists: the season's tasks in order, with their steps and cautions, from TOML files."""

import re
import tomllib
from datetime import date
from pathlib import Path

import msgspec

from fieldbook.book.entry import Task, clean, tidy
from fieldbook.errors import BookError
from fieldbook.i18n import _
from fieldbook.resources import resource

COUNTED_ONCE = ("drops", "taps", "ties", "readings", "spouts")
"""Units with a place in the season's totals: at most one task counts each."""


def template_names() -> list[str]:
    return sorted(path.stem for path in resource("templates").glob("*.toml"))


def load_template(name: str) -> tuple[str, tuple[Task, ...]]:
    """A checklist that comes with fieldbook: its title and tasks.

    Raises:
        BookError: There is no template of that name.
    """
    if name not in template_names():
        raise BookError(
            _("There is no checklist {name}.").format(name=repr(name)),
            _("There are: {names}.").format(names=", ".join(template_names())),
        )
    return read_checklist(template_path(name))


def template_path(name: str) -> Path:
    return resource("templates") / f"{name}.toml"


def read_checklist(path: Path) -> tuple[str, tuple[Task, ...]]:
    """The title and tasks of a checklist file.

    Raises:
        BookError: The file cannot be read or used; names the file, the line and the reason.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise BookError(
            _("Cannot read {path}: {why}.").format(path=path, why=error),
            _("A checklist is a text file in UTF-8; copy one from the templates."),
        ) from error
    return parse_checklist(text, source=str(path))


def parse_checklist(text: str, *, source: str) -> tuple[str, tuple[Task, ...]]:
    """The title and tasks of a checklist's text; `source` names it in messages.

    Raises:
        BookError: The text cannot be used; names the source, the line and the reason.
    """

    def refuse(line: int | None, why: str) -> BookError:
        place = source if line is None else f"{source}, line {line}"
        return BookError(
            f"{place}: {why}", _("Nothing was changed. Mend the line, then import it again.")
        )

    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        at = re.search(r"at line (\d+)", str(error))
        last = len(text.splitlines())  # a fault "at end of document" is on its last line
        raise refuse(int(at[1]) if at else last, str(error)) from None
    title, rows = data.get("name"), data.get("task")
    if not isinstance(title, str) or not clean(title):
        raise refuse(1, _('the checklist needs a name: name = "vacuum tubing"'))
    if not isinstance(rows, list) or not rows:
        raise refuse(None, _("the checklist has no [[task]]"))
    unknown = sorted(set(data) - {"name", "task"})
    if unknown:
        raise refuse(
            _line_of(text, -1, unknown[0]), _("unknown key {key}").format(key=repr(unknown[0]))
        )
    tasks: list[Task] = []
    for number, row in enumerate(rows):
        try:
            tasks.append(tidy(msgspec.convert(row, Task)))
        except msgspec.ValidationError as error:
            named = re.search(r"`\$\.(\w+)|field `(\w+)`", str(error))
            key = next((name for name in named.groups() if name), "") if named else ""
            raise refuse(_line_of(text, number, key), str(error)) from None
    for number, task in enumerate(tasks):
        fault = _fault(task, tasks[:number], tasks)
        if fault:
            raise refuse(_line_of(text, number, fault[0]), fault[1])
    return clean(title, one_line=True), tuple(tasks)


def _fault(task: Task, earlier: list[Task], tasks: list[Task]) -> tuple[str, str] | None:
    """The first thing wrong with a task among its fellows: the key it stands at, and the words."""
    if task.key in [t.key for t in earlier]:
        return "key", _("two tasks have the key {key}").format(key=repr(task.key))
    if task.counts in COUNTED_ONCE and task.counts in [t.counts for t in earlier]:
        return "counts", _("two tasks count {unit}: totals could not tell them apart").format(
            unit=task.counts
        )
    if task.after and task.after not in [t.key for t in earlier]:
        return "after", _("{after} is not a task above this one").format(after=repr(task.after))
    if task.wanted and not _in_calendar(task.wanted):
        return "wanted", _("{day} is no day of any year").format(day=repr(task.wanted))
    if task.planned == "spouts in trees" and "taps" not in [t.counts for t in tasks]:
        return "planned", _("no task counts taps, so spouts in trees cannot be known")
    return None


def _in_calendar(month_day: str) -> bool:
    try:
        return bool(date.fromisoformat(f"2000-{month_day}"))  # a leap year
    except ValueError:
        return False


def _line_of(text: str, task: int, key: str) -> int | None:
    """Line number, from 1, of a key in the task numbered from 0; of its head if it lacks the key.

    With task -1 the key is looked for above the first task.
    """
    seen, head = -1, None
    for number, line in enumerate(text.splitlines(), start=1):
        if re.match(r"\s*\[\[\s*task\s*\]\]", line):
            seen += 1
            if seen == task:
                head = number
        elif seen == task and key and re.match(rf"\s*[\"']?{re.escape(key)}[\"']?\s*=", line):
            return number
    return head
