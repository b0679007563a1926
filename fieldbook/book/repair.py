"""Repair: lines that cannot be read are moved aside, byte for byte; nothing is thrown away."""

import os
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
        appender = Appender(folder, desk_of(path))
        try:
            with appender.held():
                data = path.read_bytes()
                bad = [raw for raw in data.split(b"\n") if not _is_sound(raw)]
                if bad:
                    moved.append(Moved(path, len(bad), _move(path, data, bad)))
        except OSError as error:
            raise BookError(
                _("Cannot repair {path}: {why}.").format(path=path, why=error.strerror),
                _("Close other windows, give yourself access to the folder, then try again."),
                Exit.BOOK,
            ) from error
        finally:
            appender.close()
    return moved


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


def _move(path: Path, data: bytes, bad: list[bytes]) -> Path:
    """Copy bad lines aside, then put the journal without them in its own place."""
    aside = path.parent / SET_APART / path.name
    aside.parent.mkdir(exist_ok=True)
    with aside.open("ab") as file:
        file.write(b"".join(raw + b"\n" for raw in bad))
        file.flush()
        os.fsync(file.fileno())
    sync_folder(aside.parent)
    sync_folder(path.parent)
    good = [raw for raw in data.split(b"\n") if raw and _is_sound(raw)]
    fresh = path.with_suffix(".new")
    with fresh.open("wb") as file:
        file.write(b"".join(raw + b"\n" for raw in good))
        file.flush()
        os.fsync(file.fileno())
    fresh.replace(path)
    sync_folder(path.parent)
    return aside
