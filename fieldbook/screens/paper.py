"""Sheets on paper, from the board: whose, and into which file."""

from pathlib import Path

from fieldbook.book.entry import Sheet, Task
from fieldbook.errors import BookError
from fieldbook.i18n import _
from fieldbook.reports.sheet import PAPER_OF, file_name, sheet_page
from fieldbook.reports.words import saved
from fieldbook.screens.dialogs import Ask, Choose
from fieldbook.screens.screen import BookScreen
from fieldbook.screens.session import Session


async def print_sheet(screen: BookScreen, block: str, task: Task) -> None:
    """Ask whose a sheet of a block and task is and where it is written; record and write it.

    Args:
        screen: The screen over which it is asked.
        block: The block.
        task: The task.
    """
    session, nobody = screen.session, _("nobody named")
    people = session.season.plan.people

    def draft(name: str) -> Sheet:
        return session.sheet(block, task, "" if name not in people else name)

    async def go_on(sheet: Sheet | None) -> None:
        if sheet is not None:
            await _ask_file(screen, sheet)

    title = _("A sheet of {block}, {task}, for whom?").format(
        block=block, task=_(task.title).lower()
    )
    await screen.app.push_screen(Choose(title, [nobody, *people], draft), go_on)


async def _ask_file(screen: BookScreen, draft: Sheet) -> None:
    """Ask for the file; what was recorded and could not be written is not recorded again."""
    session = screen.session
    recorded: list[Sheet] = []

    def put(text: str) -> str:
        path = Path(text.strip()).expanduser()
        if not text.strip() or path.exists():
            raise BookError(
                _("{path} is there already.").format(path=text.strip() or "-"),
                _("Name another file."),
            )
        # On record first: paper the book does not know of is worse than an entry without paper.
        if not recorded:
            recorded.append(session.record_sheet(draft))
        write(session, recorded[0], path)
        return text.strip()

    def told(path: str | None) -> None:
        if not recorded:
            return
        screen.redraw()
        said = saved(recorded[0], session.season.ledger)
        written = _("written to {path}").format(path=path)
        if path is None:
            written = _("! not written: fieldbook sheet --again {n} prints it").format(
                n=recorded[0].sheet
            )
        screen.say(f"{said}   {written}")

    paper = {"letter": "Letter", "a4": "A4"}[PAPER_OF[session.laptop.units]]
    question: Ask[str] = Ask(
        _("Sheet {n}: into which file?").format(n=draft.sheet),
        put,
        value=_free_name(session, draft),
        hint=_("A PDF on {paper} paper, as the units say").format(paper=paper),
    )
    await screen.app.push_screen(question, told)


def _free_name(session: Session, draft: Sheet) -> str:
    """The usual name of a sheet's file, or the next that no file here has."""
    page = sheet_page(session.season, draft, session.today, units=session.laptop.units)
    again = 1
    while Path(file_name(page, again)).exists():
        again += 1
    return file_name(page, again)


def write(session: Session, sheet: Sheet, path: Path) -> None:
    """Write a recorded sheet into a new file.

    Raises:
        BookError: There is no such folder, or it may not be written to.
    """
    from fieldbook.reports.render.sheet_pdf import sheet_pdf  # drawing waits until it is asked for

    page = sheet_page(session.season, sheet, session.today, units=session.laptop.units)
    data = sheet_pdf(page, PAPER_OF[session.laptop.units])
    try:
        with path.open("xb") as file:
            file.write(data)
    except OSError as error:
        raise BookError(
            _("Cannot write {path}: {why}.").format(path=str(path), why=error.strerror),
            _("Name a file in a folder you may write to."),
        ) from error
