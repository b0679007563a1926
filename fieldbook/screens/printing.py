"""The season on paper and in files, from its screen: what, and into which file."""

from collections.abc import Callable
from pathlib import Path

from msgspec import Struct

from fieldbook.errors import BookError
from fieldbook.i18n import N_, _
from fieldbook.reports.sheet import PAPER_OF
from fieldbook.screens.dialogs import Ask, Choose
from fieldbook.screens.paper import new_file, write_new
from fieldbook.screens.screen import BookScreen
from fieldbook.screens.session import Session


class Form(Struct, frozen=True):
    """Something of the season that can be put in a file.

    Attributes:
        what: What it is.
        name: Its usual name, with the year for `{year}` and the day for `{day}`.
        make: Makes the file's bytes.
    """

    what: str
    name: str
    make: Callable[[Session], bytes]


def _pdf(session: Session) -> bytes:
    from fieldbook.reports.full_page import full_page
    from fieldbook.reports.render.page_pdf import page_pdf

    return page_pdf(full_page(session.full()), PAPER_OF[session.laptop.units])


def _html(session: Session) -> bytes:
    from fieldbook.reports.full_page import full_page
    from fieldbook.reports.render.page_html import page_html

    page = full_page(session.full())
    return page_html(page, paper=PAPER_OF[session.laptop.units]).encode()


def _text(session: Session) -> bytes:
    from fieldbook.reports.full_page import full_page
    from fieldbook.reports.render.page_text import page_text

    return page_text(full_page(session.full())).encode()


def _calendar(session: Session) -> bytes:
    from fieldbook.reports.calendar import calendar_ics

    return calendar_ics(session.season, session.today)


def _tables(session: Session) -> bytes:
    from fieldbook.reports.everything import everything_zip

    return everything_zip(session.season)


FORMS = (
    Form(N_("Season summary, as a PDF to print"), "summary-{year}-{day}.pdf", _pdf),
    Form(N_("Season summary, as a web page"), "summary-{year}-{day}.html", _html),
    Form(N_("Season summary, as plain text"), "summary-{year}-{day}.txt", _text),
    Form(N_("Dates for a calendar"), "season-{year}.ics", _calendar),
    Form(N_("Every table, for a spreadsheet"), "tables-{year}-{day}.zip", _tables),
)


async def print_season(screen: BookScreen) -> None:
    """Ask what of the season goes into which file, and write it.

    Args:
        screen: The screen over which it is asked.
    """
    forms = {_(form.what): form for form in FORMS}

    async def go_on(form: Form | None) -> None:
        if form is not None:
            await _ask_file(screen, form)

    await screen.app.push_screen(
        Choose(_("Print what of the season?"), list(forms), forms.__getitem__), go_on
    )


async def _ask_file(screen: BookScreen, form: Form) -> None:
    session = screen.session

    def put(text: str) -> str:
        path = _checked(text, form)
        try:
            data = form.make(session)
        except ValueError as error:
            raise BookError(
                _("It cannot be reckoned with the rules of the book: {why}.").format(why=error),
                _("Change the rule: fieldbook setting shows them all."),
            ) from None
        write_new(path, data)
        return text.strip()

    def told(path: str | None) -> None:
        if path is not None:
            screen.say(_("written to {path}").format(path=path))

    question: Ask[str] = Ask(
        _("{what}: into which file?").format(what=_(form.what)),
        put,
        value=free_name(form, session),
        hint=_("a new file; nothing is ever written over"),
    )
    await screen.app.push_screen(question, told)


def free_name(form: Form, session: Session) -> str:
    """The usual name of a file, or the next that no file here has."""
    name = form.name.format(year=session.season.year, day=session.today)
    stem, _dot, ending = name.rpartition(".")
    again = 1
    while Path(name).exists():
        again += 1
        name = f"{stem}-{again}.{ending}"
    return name


def _checked(text: str, form: Form) -> Path:
    """The file that somebody named.

    Raises:
        BookError: It is there already, or its ending says another form.
    """
    path, ending = new_file(text), Path(form.name).suffix
    if path.suffix.casefold() != ending:
        raise BookError(
            _("{path} says another form than is printed.").format(path=text.strip()),
            _("End its name in {ending}.").format(ending=ending),
        )
    return path
