"""PDF files that a command writes."""

import sys
from collections.abc import Callable
from pathlib import Path

from fieldbook.commands import common
from fieldbook.commands.common import Args
from fieldbook.errors import BookError
from fieldbook.i18n import _


def form(args: Args) -> str:
    """The form of what may be a PDF or a web page: as asked, or as the file's name says."""
    ending = Path(args.out or "").suffix.casefold().removeprefix(".")
    return ending if args.format is None and ending in ("pdf", "html") else common.form(args)


def put_pdf(data: bytes, out: str | None, name: Callable[[int], str]) -> None:
    """Write a PDF where it was asked for; else here, in a new file: what is there stays.

    Args:
        data: The file.
        out: Where it was asked for, `-` for standard output.
        name: The name it has here, at the first try and at those after it.
    """
    if out == "-" and sys.stdout.isatty():
        raise BookError(
            _("A PDF is not for a terminal to show."), _("Name a file with --out, or pipe it.")
        )
    common.put_bytes(data, str(_free(name)) if out is None else out, new=out is None)


def _free(name: Callable[[int], str]) -> Path:
    """The first name that no file here has."""
    again = 1
    while (path := Path(name(again))).exists():
        again += 1
    return path
