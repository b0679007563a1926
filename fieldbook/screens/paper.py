"""Sheets on paper, from the board: whose, and into which file."""

from contextlib import suppress
from pathlib import Path

from fieldbook.book.entry import Sheet, Task
from fieldbook.errors import BookError
from fieldbook.i18n import _
from fieldbook.reports.sheet import PAPER_OF, file_name, sheet_page
from fieldbook.reports.words import saved
from fieldbook.screens.dialogs import Ask, Choose
from fieldbook.screens.findings import sheet_words
from fieldbook.screens.screen import BookScreen
from fieldbook.screens.session import Session
from fieldbook.season.dates import short_day
from fieldbook.season.ledger import Ledger
from fieldbook.season.sheets import keyed_since, settle_of

FORMS = (".pdf", ".txt")
"""What the name of a sheet's file may end in."""


async def print_sheet(screen: BookScreen, block: str, task: Task) -> None:
    """Ask whose a sheet of a block and task is and where it is written; record and write it.

    A sheet of which nothing was keyed in yet may be printed again instead: one paper is enough.

    Args:
        screen: The screen over which it is asked.
        block: The block.
        task: The task.
    """
    before = unused(screen.session.season.ledger, block, task)
    if before is None:
        await _ask_whose(screen, block, task)
        return
    again = _("{sheet} again, printed {day}").format(
        sheet=sheet_words(before, keyed=False), day=short_day(before.day)
    )
    new = _("a new sheet")

    async def go_on(chosen: str | None) -> None:
        if chosen == new:
            await _ask_whose(screen, block, task)
        elif chosen == again:
            await _ask_file(screen, before, recorded=True)

    title = _("Nothing of sheet {n} is keyed in yet. Print which?").format(n=before.sheet)
    await screen.app.push_screen(Choose(title, [again, new], str), go_on)


def unused(ledger: Ledger, block: str, task: Task) -> Sheet | None:
    """The newest sheet of a block and task, if it waits and nothing of it was keyed in."""
    sheets = [s for s in ledger.of(Sheet) if (s.block, s.task) == (block, task.key)]
    if not sheets or settle_of(ledger, sheets[-1]) is not None:
        return None
    sheet = sheets[-1]
    return None if any(keyed_since(ledger, sheet, name) for name in sheet.lines) else sheet


async def _ask_whose(screen: BookScreen, block: str, task: Task) -> None:
    """Ask for whom a new sheet is."""
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


async def _ask_file(screen: BookScreen, draft: Sheet, *, recorded: bool = False) -> None:
    """Ask for the file; what was recorded and could not be written is not recorded again."""
    session = screen.session
    sheets: list[Sheet] = [draft] if recorded else []

    def put(text: str) -> str:
        path = checked(text)
        # On record first: paper the book does not know of is worse than an entry without paper.
        if not sheets:
            sheets.append(session.record_sheet(draft))
        try:
            write(session, sheets[0], path)
        except BookError as error:
            kept = _("Sheet {n} is recorded: name another file, or p prints it again.")
            error.hint = kept.format(n=draft.sheet)
            raise
        return text.strip()

    def told(path: str | None) -> None:
        if not sheets or (recorded and path is None):
            return
        screen.redraw()
        said = _("sheet {n} again").format(n=draft.sheet)
        if not recorded:
            said = saved(sheets[0], session.season.ledger)
        written = _("written to {path}").format(path=path)
        if path is None:
            written = _("! not written: p prints sheet {n} again").format(n=draft.sheet)
        screen.say(f"{said}   {written}")

    paper = {"letter": "Letter", "a4": "A4"}[PAPER_OF[session.laptop.units]]
    question: Ask[str] = Ask(
        _("Sheet {n}: into which file?").format(n=draft.sheet),
        put,
        value=_free_name(session, draft),
        hint=_("A PDF on {paper} paper, as the units say; in .txt as text").format(paper=paper),
    )
    await screen.app.push_screen(question, told)


def checked(text: str) -> Path:
    """The file that somebody named for a sheet.

    Raises:
        BookError: It is there already, or its ending says another form than a sheet has.
    """
    path = new_file(text)
    if path.suffix.casefold() not in FORMS:
        raise BookError(
            _("{path} says no form that a sheet is written in.").format(path=text.strip()),
            _("End its name in .pdf, or in .txt for plain text."),
        )
    return path


def new_file(text: str) -> Path:
    """The file that somebody named, which is not there yet.

    Raises:
        BookError: It is there already, or it is no name that a file can have.
    """
    name = text.strip()
    if not name:
        raise BookError(_("{what} cannot be empty.").format(what=_("The name of the file")))
    try:
        path = Path(name).expanduser()
        there = path.exists()
    except (OSError, RuntimeError) as error:  # too long, or the home of nobody
        why = getattr(error, "strerror", None) or str(error)
        raise BookError(
            _("Cannot write {path}: {why}.").format(path=name, why=why.rstrip(".")),
            _("Name another file."),
        ) from error
    if there:
        raise BookError(_("{path} is there already.").format(path=name), _("Name another file."))
    return path


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
    page = sheet_page(session.season, sheet, session.today, units=session.laptop.units)
    # Drawing waits until it is asked for.
    if path.suffix.casefold() == ".txt":
        from fieldbook.reports.render.sheets import sheet_text

        data = sheet_text(page).encode()
    else:
        from fieldbook.reports.render.sheet_pdf import sheet_pdf

        data = sheet_pdf(page, PAPER_OF[session.laptop.units])
    write_new(path, data)


def write_new(path: Path, data: bytes) -> None:
    """Write a new file, whole or not at all.

    Raises:
        BookError: There is no such folder, it may not be written to, or the disk is full.
    """
    begun = False
    try:
        with path.open("xb") as file:
            begun = True
            file.write(data)
    except OSError as error:
        if begun:  # half a file would be in the way of the next try
            with suppress(OSError):
                path.unlink()
        raise BookError(
            _("Cannot write {path}: {why}.").format(path=str(path), why=error.strerror),
            _("Name a file in a folder you may write to."),
        ) from error
