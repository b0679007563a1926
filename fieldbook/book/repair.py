"""Repair: lines that cannot be read are moved aside, byte for byte; nothing is thrown away."""

import contextlib
import os
from collections.abc import Iterator
from pathlib import Path

from msgspec import Struct

from fieldbook.book.append import FILES, Appender, sync_folder
from fieldbook.book.codec import NewerLine, UnreadableLine, decode
from fieldbook.book.journal import SET_APART, desk_of
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
    for path in sorted(folder.glob(FILES)):
        try:
            with _held(path) as appender:
                data = path.read_bytes()
                bad = [raw for raw in data.split(b"\n") if not _is_sound(raw)]
                if bad:
                    aside = _copy_aside(path, bad)
                    if os.name == "nt" and appender is not None:
                        appender.close()  # there, no open file can be replaced
                    _leave_out(path, data)
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
    seal = [b""] if there and not there.endswith(b"\n") else []
    _sync(aside, "ab", seal + bad)
    sync_folder(aside.parent)
    sync_folder(path.parent)
    return aside


def _leave_out(path: Path, data: bytes) -> None:
    """Put the journal without its bad lines in its own place."""
    fresh = path.with_suffix(".new")
    _sync(fresh, "wb", [raw for raw in data.split(b"\n") if raw and _is_sound(raw)])
    fresh.replace(path)
    sync_folder(path.parent)


def _sync(path: Path, mode: str, lines: list[bytes]) -> None:
    """Put lines in a file, on disk."""
    with path.open(mode) as file:
        file.write(b"".join(line + b"\n" for line in lines))
        file.flush()
        os.fsync(file.fileno())
