"""Seasons played through the command line, and the shell they are played in."""

import csv
import io
import json
import shlex
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from fieldbook.cli import main
from tests.conftest import NOW


class Answer(NamedTuple):
    """What a command gave back."""

    code: int
    out: str
    err: str


class Shell:
    """A laptop of its own in an empty folder, at half past four on Tuesday 9 February 2027.

    Commands run in process; `does` expects them to go well, `asks` takes what comes.

    Attributes:
        folder: The folder we stand in.
    """

    def __init__(
        self, folder: Path, patch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        self.folder = folder
        self._capsys = capsys
        patch.chdir(folder)
        patch.setenv("FIELDBOOK_CONFIG", str(folder / "laptop"))
        patch.setenv("COLUMNS", "80")
        for name in ("FIELDBOOK_BOOK", "FORCE_COLOR", "NO_COLOR"):
            patch.delenv(name, raising=False)
        patch.setattr("getpass.getuser", lambda: "Oda")
        patch.setattr("fieldbook.commands.common.now", lambda _book: NOW)
        patch.setattr("tempfile.tempdir", str(folder))

    def asks(self, line: str, *words: str) -> Answer:
        """Run a command, typed as a person would; `words` are passed on as they are."""
        self._capsys.readouterr()
        try:
            code = main([*shlex.split(line), *words])
        except SystemExit as left:  # argparse takes its leave
            code = left.code if isinstance(left.code, int) else 1
        return Answer(int(code), *self._capsys.readouterr())

    def does(self, line: str, *words: str) -> str:
        """Run a command that goes well; what it printed."""
        answer = self.asks(line, *words)
        assert answer.code == 0, answer
        return answer.out

    def write(self, name: str, text: str) -> None:
        """Put a table where we stand."""
        (self.folder / name).write_text(text, encoding="utf-8", newline="")

    def imports(self, **tables: str) -> Answer:
        """Put tables where we stand, given as name and text, and import them."""
        for name, text in tables.items():
            self.write(f"{name}.csv", text)
        return self.asks("import", *(f"{name}.csv" for name in tables))

    def exports(self, table: str) -> list[dict[str, str]]:
        """A table as a spreadsheet would read it."""
        return list(csv.DictReader(io.StringIO(self.does(f"export {table}"))))

    def summary(self, options: str = "") -> dict[str, Any]:
        """The summary as data."""
        data: dict[str, Any] = json.loads(self.does(f"summary --format json {options}"))
        return data

    def done(self, task: str = "tapping") -> dict[str, int]:
        """Units done in a task, by block; blocks with none are left out."""
        parts = ((b["block"], t) for b in self.summary()["blocks"] for t in b["tasks"])
        return {block: t["done"] for block, t in parts if t["task"] == task and t["done"]}

    def journal(self, book: str = "quillby", year: int = 2027) -> bytes:
        """Every byte of a season's journals."""
        paths = sorted((self.folder / book / str(year)).glob("desk-*.jsonl"))
        return b"".join(path.read_bytes() for path in paths)


QUILLBY = """\
block,line,order,length_ft,taps_planned,drops_hung,note
Ledge,Cliff,1,700,42,2024,
Ledge,Cedar,2,,60,2026,mind the wasps
Creek,Ford,1,,120,,
Creek,Spring,2,360,35,2025,
Sugar Lot,,1,245,20,2025,one round of trees
"""


def quillby(shell: Shell) -> Shell:
    """Quillby Hollow with a crew of three, made as a crew lead would."""
    shell.write("lines.csv", QUILLBY)
    shell.write("people.csv", "name\nOda\nPerrin\nWim\n")
    shell.does("new quillby --season 2027 --name 'Quillby Hollow'")
    shell.does("import lines.csv people.csv")
    return shell
