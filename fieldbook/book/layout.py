"""What a book's folder holds, by name.

```
harrow-hill/
  book.toml                  format, id and name of the book: written once
  .reserve                   room put by for a full disk
  2027/desk-k7f2q.jsonl      one journal per desk and season
  2027/set-apart/            damaged lines that a repair moved aside
```
"""

import re
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from importlib.resources.abc import Traversable

MARK = "book.toml"
"""What makes a folder a book."""

RESERVE = ".reserve"
SET_APART = "set-apart"

YEARS = range(1900, 3000)
"""Years a season may be named by."""

SEASON = "(?:19|2[0-9])[0-9]{2}"
"""The same years, as a pattern."""

JOURNAL = r"(?s:desk-.*\.jsonl)"
"""Every journal of a season, and what a syncing service makes of one when copies differ."""


def book_seasons(book: "Traversable") -> list[int]:
    """The years a book's folder, or a copy of it, has a season for, oldest first.

    Raises:
        OSError: The folder cannot be read.
    """
    names = (child.name for child in book.iterdir() if child.is_dir())
    return sorted(int(name) for name in names if re.fullmatch(SEASON, name))


def journals(folder: Path) -> list[Path]:
    """Every journal in a folder; unlike `glob`, which is silent then, it tells what it may not see.

    Raises:
        OSError: The folder is there and cannot be read.
    """
    try:
        return sorted(path for path in folder.iterdir() if re.fullmatch(JOURNAL, path.name))
    except (FileNotFoundError, NotADirectoryError):
        return []


def desk_of(name: str) -> str:
    """The desk whose journal a file is, by its name; empty if the name tells of none."""
    match = re.match(r"desk-([a-z0-9]{5})\b", name)
    return match[1] if match else ""
