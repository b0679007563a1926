"""Repair: lines that cannot be read are moved aside, byte for byte; nothing is thrown away."""

import contextlib
import os
from collections.abc import Iterable, Iterator
from pathlib import Path

from msgspec import Struct

from fieldbook.book.append import Appender
from fieldbook.book.codec import NewerLine, UnreadableLine, decode
from fieldbook.book.disk import sync_folder, write_file
from fieldbook.book.layout import SET_APART, desk_of, journals
from fieldbook.errors import BookError, Exit
from fieldbook.i18n import _


class Moved(Struct, frozen=True):
    """Lines of one journal that were moved aside.

    Attributes:
        file: The journal.
        lines: How many.
        to: Where they are now.
    """

    file: Path
    lines: int
    to: Path


def repair(folder: Path) -> list[Moved]:
    """Move the lines of a season's journals that cannot be read to a folder beside them.

    Lines from a newer fieldbook stay, and so does every line that counts, as it stands.

    Args:
        folder: The season's folder.

    Raises:
        BookError: A file cannot be written; the journal is then as it was.
        NotSaved: Another window is writing.
    """
    moved = []
    for path in journals(folder):
        try:
            with _held(path) as appender:
                good: list[bytes] = []
                bad: list[bytes] = []
                for raw in path.read_bytes().split(b"\n"):
                    (good if _is_sound(raw) else bad).append(raw)
                if bad:
                    aside = _copy_aside(path, bad)
                    if os.name == "nt" and appender is not None:
                        appender.close()  # there, no open file can be replaced
                    _put_in_place(path, good)
                    moved.append(Moved(path, len(bad), aside))
        except OSError as error:
            raise BookError(
                _("Cannot repair {path}: {why}.").format(path=path, why=error.strerror),
                _("Close other windows, give yourself access to the folder, then try again."),
                Exit.BOOK,
            ) from error
    return moved


@contextlib.contextmanager
def _held(path: Path) -> Iterator[Appender | None]:
    """Keep the desk from writing in its journal; a file of no desk is written by nobody."""
    desk = desk_of(path.name)
    if not desk:
        yield None
        return
    appender = Appender(path.parent, desk)
    try:
        with appender:
            yield appender
    finally:
        appender.close()


def _is_sound(raw: bytes) -> bool:
    line = raw.removesuffix(b"\r")
    if not line or line.isspace():
        return True
    try:
        decode(line)
    except NewerLine:
        return True
    except UnreadableLine:
        return False
    return True


def _copy_aside(path: Path, bad: list[bytes]) -> Path:
    aside = path.parent / SET_APART / path.name
    aside.parent.mkdir(exist_ok=True)
    there = aside.read_bytes() if aside.exists() else b""
    seal = b"\n" if there and not there.endswith(b"\n") else b""
    write_file(aside, seal + _ended(bad), mode="ab")
    sync_folder(path.parent)
    return aside


def _put_in_place(path: Path, good: list[bytes]) -> None:
    """Put the journal without its bad lines in its own place."""
    fresh = path.with_suffix(".new")
    write_file(fresh, _ended(raw for raw in good if raw), mode="wb")
    fresh.replace(path)
    sync_folder(path.parent)


def _ended(lines: Iterable[bytes]) -> bytes:
    return b"".join(line + b"\n" for line in lines)
