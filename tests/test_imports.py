"""Who loads what: only the screens load Textual, only what draws loads Rich, the sums nothing.

Each module is imported alone in an interpreter of its own; these run beside one another.
"""

import os
import pkgutil
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

import fieldbook
from fieldbook.resources import resource

PRINTED = "fieldbook.screens.actions"
MODULES = sorted(
    module.name
    for module in pkgutil.walk_packages(fieldbook.__path__, "fieldbook.")
    if module.name == PRINTED or not module.name.startswith(("fieldbook.screens.", "fieldbook.__"))
)
"""All but the screens, whose actions are printed without one, and `__main__`, which runs."""

SLOW = ("textual", "rich", "tinydb", "msgspec", "dateutil")


def loaded_by(script: str, cwd: Path | None = None) -> set[str]:
    """Modules a fresh interpreter holds after a script."""
    told = f"{script}\nimport sys\nsys.stderr.write(' '.join(sys.modules))"
    answer = subprocess.run(
        [sys.executable, "-c", told],
        capture_output=True,
        text=True,
        check=True,
        cwd=cwd,
        stdin=subprocess.DEVNULL,
        env={**os.environ, "FIELDBOOK_CONFIG": str(cwd), "FIELDBOOK_BOOK": "", "TMPDIR": str(cwd)},
    )
    return set(answer.stderr.splitlines()[-1].split())


@pytest.fixture(scope="module")
def loaded() -> dict[str, set[str]]:
    """What each module loads when it is imported alone."""
    with ThreadPoolExecutor() as pool:
        scripts = [f"import {module}" for module in MODULES]
        return dict(zip(MODULES, pool.map(loaded_by, scripts), strict=True))


def packages(modules: set[str]) -> set[str]:
    return {name.partition(".")[0] for name in modules}


def under(package: str) -> list[str]:
    return [name for name in MODULES if name.startswith(f"fieldbook.{package}")]


def test_every_module_is_looked_at() -> None:
    assert {"fieldbook.cli", "fieldbook.commands", "fieldbook.laptop"} <= set(MODULES)
    for package in ("book", "season", "trade", "reports"):
        assert len(under(package)) > 3


@pytest.mark.parametrize("module", MODULES)
def test_only_the_screens_load_textual(loaded: dict[str, set[str]], module: str) -> None:
    assert "textual" not in packages(loaded[module])


@pytest.mark.parametrize(
    "module",
    [name for name in MODULES if not name.endswith("terminal")],
)
def test_only_the_terminal_form_loads_rich(loaded: dict[str, set[str]], module: str) -> None:
    assert "rich" not in packages(loaded[module])


@pytest.mark.parametrize("module", under("trade"))
def test_the_sums_load_nothing_of_fieldbook(loaded: dict[str, set[str]], module: str) -> None:
    ours = {name for name in loaded[module] if name.startswith("fieldbook.")}
    assert all(name.startswith("fieldbook.trade") for name in ours)
    assert not packages(loaded[module]) & set(SLOW)


@pytest.mark.parametrize(
    ("package", "never"),
    [
        ("book", ("season", "reports", "screens", "commands", "cli", "trade")),
        ("season", ("reports", "screens", "commands", "cli")),
        ("reports", ("screens", "commands", "cli")),
    ],
)
def test_imports_run_one_way(
    loaded: dict[str, set[str]], package: str, never: tuple[str, ...]
) -> None:
    for module in under(package):
        for other in never:
            assert not {m for m in loaded[module] if m.startswith(f"fieldbook.{other}")}, module


@pytest.mark.parametrize("module", ["fieldbook.cli", "fieldbook.commands", "fieldbook.laptop"])
def test_the_command_line_starts_without_what_is_slow(
    loaded: dict[str, set[str]], module: str
) -> None:
    assert not packages(loaded[module]) & set(SLOW)


# --- commands as they are run ------------------------------------------------------------------

PLAIN = """
import contextlib, io
from fieldbook.cli import main
def does(line, *words, code=0):
    with contextlib.redirect_stdout(io.StringIO()) as out:
        with contextlib.redirect_stderr(io.StringIO()) as err:
            got = main([*line.split(), *words])
    assert got == code, (line, got, err.getvalue())
    return out.getvalue()
open("lines.csv", "w").write("block,line,taps_planned\\nLedge,Cliff,42\\n")
open("people.csv", "w").write("name\\nOda\\n")
does("new quillby --season 2027 --by Oda")
does("import lines.csv people.csv --check --by Oda")
does("import lines.csv people.csv --by Oda")
count = "record --by Oda --block Ledge --line Cliff --task tapping --date 2027-02-09 --count 4"
entry = does(count).split()[0]
does(f"strike {entry} --by Oda --reason", "was Cedar")
does("setting workdays MO,TU --by Oda")
for form in ("text", "json", "csv"):
    does(f"summary --format {form}")
    does(f"log --format {form}")
    does(f"demo --format {form}")
    for report in ("plan", "supplies", "forecast"):
        does(f"{report} --format {form}")
does("record --by Oda --block Ledge --trees 12:40 --sap-gal 90 --brix 2")
for table in ("log", "lines", "people", "counts", "targets", "settings", "trees", "runs"):
    does(f"export {table}")
    does(f"export {table} --format json")
does("blank lines")
does("check --as-of 2027-06-01")
does("keys")
does("demo")
does("open", code=2)
"""


def test_no_command_without_a_screen_loads_textual_or_rich(tmp_path: Path) -> None:
    held = loaded_by(PLAIN, tmp_path)
    assert "fieldbook.commands" in held
    assert not packages(held) & {"textual", "rich"}


def test_the_terminal_form_loads_rich_and_no_textual(tmp_path: Path) -> None:
    held = loaded_by(f"{PLAIN}\ndoes('summary --format terminal')", tmp_path)
    assert "rich" in held
    assert "textual" not in held


SUMMARY = f"""
import contextlib, io, os
from fieldbook.cli import main
del os.environ["FIELDBOOK_CONFIG"]
with contextlib.redirect_stdout(io.StringIO()) as out:
    assert main(["--book", {str(resource("demo_season"))!r}, "summary"]) == 0
assert "Harrow Hill" in out.getvalue()
"""


@pytest.fixture(scope="module")
def summary_loads(tmp_path_factory: pytest.TempPathFactory) -> set[str]:
    """What `fieldbook summary` loads to print the demo's season as text."""
    return loaded_by(SUMMARY, tmp_path_factory.mktemp("nowhere"))


@pytest.mark.parametrize(
    "unused",
    [
        *("textual", "rich", "tinydb"),
        "platformdirs",  # the book is named: nothing is asked of the laptop
        "json",
        "csv",
        "difflib",  # no name was mistyped
        "tempfile",
    ],
)
def test_a_summary_waits_for_nothing_it_does_not_use(summary_loads: set[str], unused: str) -> None:
    assert "fieldbook.reports.summary" in summary_loads
    assert unused not in packages(summary_loads)
