"""What this laptop alone remembers: its desk in each book, and the taste of who sits at it.

Nothing here changes what a report says. It is one small JSON file in the user's configuration
folder; if it is lost, the next entry simply comes from a new desk.
"""

import contextlib
import os
import platform
import sys
import uuid
from collections.abc import Callable
from functools import cached_property
from pathlib import Path
from typing import Any

FILE = "laptop.json"

THEMES = ("dark", "light")
UNITS = ("us", "metric")


def config_folder() -> Path:
    """The user's configuration folder for fieldbook; FIELDBOOK_CONFIG names another."""
    named = os.environ.get("FIELDBOOK_CONFIG")
    if named:
        return Path(named)
    from platformdirs import user_config_path

    return user_config_path("fieldbook", appauthor=False)


class Laptop:
    """The remembered things; written at once whenever one changes.

    Args:
        folder: Where the file lies.
    """

    def __init__(self, folder: Path | None = None) -> None:
        self._folder = folder
        self.remembers = True
        """Whether the last thing to be kept was kept: a home may be read-only."""

    @cached_property
    def _path(self) -> Path:
        return (self._folder or config_folder()) / FILE

    @cached_property
    def _facts(self) -> dict[str, Any]:
        """What the file says, read when something is asked of it first."""
        import json

        # Taste only: a file that is lost or broken is begun anew, and a new desk with it.
        with contextlib.suppress(OSError, ValueError):
            facts = json.loads(self._path.read_text(encoding="utf-8"))
            if isinstance(facts, dict):
                return facts
        return {}

    @property
    def theme(self) -> str:
        return self._choice("theme", THEMES)

    @theme.setter
    def theme(self, name: str) -> None:
        self._keep("theme", lambda: name)

    @property
    def units(self) -> str:
        return self._choice("units", UNITS)

    @units.setter
    def units(self, name: str) -> None:
        self._keep("units", lambda: name)

    @property
    def last_book(self) -> Path | None:
        """The book opened last."""
        path = self._facts.get("last_book")
        return Path(path) if isinstance(path, str) else None

    @last_book.setter
    def last_book(self, path: Path) -> None:
        self._keep("last_book", lambda: str(path.resolve()))

    @property
    def keys(self) -> dict[str, str]:
        """Keys of this person's own, by the name of the action."""
        return {str(name): str(key) for name, key in self._section("keys").items()}

    def keying(self, book_id: str) -> str:
        """Who was at the keyboard of a book last; empty if nobody was."""
        name = self._section("keying").get(book_id, "")
        return name if isinstance(name, str) else ""

    def set_keying(self, book_id: str, person: str) -> None:
        self._keep("keying", lambda: {**self._section("keying"), book_id: person})

    def desk(
        self,
        book_id: str,
        path: Path,
        year: int,
        *,
        given: Callable[[str], int],
        fresh: Callable[[], str],
    ) -> str:
        """The code this laptop writes with in a season of the copy of a book at a path.

        The machine is part of the key: a configuration folder that moves to another laptop, like
        a book that is copied there, gets a desk of its own, so no two laptops share one. So does
        a book that has fewer entries of its desk than it had: an older copy was put in its
        place, and no number may be given out a second time.

        Args:
            book_id: Of the book.
            path: Of this copy.
            year: The season.
            given: The highest number the season has of a desk.
            fresh: Makes a code, if one is needed.
        """
        self._reread()
        key = _copy_key(book_id, path)
        known = self._section("desks").get(key)
        if isinstance(known, str) and given(known) >= self._given(known, year):
            return known
        desk = fresh()

        def with_it() -> dict[str, Any]:
            desks = self._section("desks").items()
            return {**{k: code for k, code in desks if _place(k).exists()}, key: desk}

        self._keep("desks", with_it)
        return desk

    def saw(self, desk: str, year: int, number: int) -> None:
        """Remember the highest number a desk has given out in a season."""

        def with_it() -> dict[str, Any]:
            desks = set(self._section("desks").values())
            given = {k: n for k, n in self._section("given").items() if k.split(" ")[0] in desks}
            return {**given, f"{desk} {year}": max(number, self._given(desk, year))}

        self._keep("given", with_it)

    def newest(self, book_id: str, path: Path, year: int) -> tuple[str, int]:
        """This laptop's desk in the copy of a book at a path, and the highest number it gave out.

        Returns:
            An empty code and 0 if it has no desk there.
        """
        desk = self._section("desks").get(_copy_key(book_id, path), "")
        return desk, self._given(desk, year)

    def forget(self, path: Path) -> None:
        """A copy of a book was put at a path: what is written there comes from a new desk."""
        place = path.resolve()

        def without_it() -> dict[str, Any]:
            return {k: d for k, d in self._section("desks").items() if _place(k) != place}

        self._keep("desks", without_it)

    def _given(self, desk: str, year: int) -> int:
        number = self._section("given").get(f"{desk} {year}")
        return number if isinstance(number, int) else 0

    def _section(self, name: str) -> dict[str, Any]:
        section = self._facts.get(name)
        return section if isinstance(section, dict) else {}

    def _choice(self, name: str, choices: tuple[str, ...]) -> str:
        value = self._facts.get(name)
        return value if value in choices else choices[0]

    def _reread(self) -> None:
        """Another window may have written meanwhile; what it wrote is not written over."""
        if self.remembers:
            self.__dict__.pop("_facts", None)

    def _keep(self, name: str, make: Callable[[], object]) -> None:
        """Remember something, made of what the file says by now."""
        self._reread()
        value = make()
        if self._facts.get(name) == value:
            return
        import json

        self._facts[name] = value
        # A read-only home must not stop the work: then the taste lasts for this run only.
        self.remembers = False
        with contextlib.suppress(OSError):
            self._path.parent.mkdir(parents=True, exist_ok=True)
            fresh = self._path.with_suffix(".new")
            fresh.write_text(json.dumps(self._facts, indent=1, ensure_ascii=False), "utf-8")
            fresh.replace(self._path)
            self.remembers = True


def _copy_key(book_id: str, path: Path) -> str:
    """What a copy of a book on this machine is remembered by."""
    return f"{book_id} {machine()} {path.resolve()}"


def _place(key: str) -> Path:
    """Where the copy lies that a key is of."""
    return Path(key.split(" ", 2)[-1])


def login_name() -> str:
    """Who is logged in: the name to write with until somebody gives a better one."""
    import getpass

    try:
        return getpass.getuser()
    except (OSError, KeyError):
        return "unknown"


def machine() -> str:
    """A hash that tells this machine from others and says nothing about it."""
    from hashlib import blake2b

    return blake2b(_machine_id().encode(), digest_size=6).hexdigest()


def _machine_id() -> str:
    if sys.platform == "win32":
        import winreg

        with contextlib.suppress(OSError):
            place = r"SOFTWARE\Microsoft\Cryptography"
            with winreg.OpenKey(winreg.HKEY_LOCAL_MACHINE, place) as key:
                return str(winreg.QueryValueEx(key, "MachineGuid")[0])
    for path in (Path("/etc/machine-id"), Path("/var/lib/dbus/machine-id")):
        with contextlib.suppress(OSError):
            return path.read_text(encoding="ascii")
    return f"{platform.node()} {uuid.getnode()}"
