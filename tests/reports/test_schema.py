"""What the JSON exports say, held against their schemas by another program (PyPI: jsonschema).

    FIELDBOOK_SCHEMAS=write pytest -n0 tests/reports/test_schema.py

writes `fieldbook/schemas/*.schema.json` anew; read the diff before it is committed. Sources: JSON
Schema 2020-12, Core and Validation (https://json-schema.org/draft/2020-12); ECMA-262 for patterns.
"""

import json
import os
import re
from collections.abc import Callable, Iterator
from datetime import date, datetime
from functools import cache
from pathlib import Path
from typing import Any

import msgspec
import pytest
from jsonschema import Draft202012Validator

from fieldbook.book.entry import (
    KINDS,
    About,
    AnyEntry,
    HandOff,
    Note,
    Passed,
    Run,
    Supply,
    TapClass,
    TapRule,
    Target,
    TreeCount,
    Trees,
)
from fieldbook.reports.everything import everything
from fieldbook.reports.export import TABLES, export_table
from fieldbook.reports.render.json import to_json
from fieldbook.reports.schema import (
    COLUMNS,
    DIALECT,
    NAMES,
    REPORTS,
    schema,
    schema_text,
    shipped_schema,
)
from fieldbook.resources import resource
from fieldbook.season.season import Season
from tests.conftest import stamp
from tests.reports import work
from tests.scenarios import Shell
from tests.test_demo_season import DEMO, YEARS, open_season

SCHEMAS = Path(__file__).parents[2] / "fieldbook" / "schemas"
WRITE = os.environ.get("FIELDBOOK_SCHEMAS") == "write"


@cache
def judge(name: str) -> Draft202012Validator:
    """What holds a document against a shipped schema."""
    return Draft202012Validator(json.loads(shipped_schema(name)))


def faults(name: str, document: object) -> list[str]:
    """What is wrong with a document, place by place."""
    found = judge(name).iter_errors(document)
    return [f"{error.json_path}: {error.message[:200]}" for error in found]


def parts(part: Any) -> Iterator[dict[str, Any]]:
    """A schema and all that is in it."""
    if isinstance(part, dict):
        yield part
    for value in part.values() if isinstance(part, dict) else part:
        if isinstance(value, dict | list):
            yield from parts(value)


# --- the files ---------------------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
def test_what_is_shipped_is_what_the_structs_say(name: str) -> None:
    if WRITE:
        SCHEMAS.mkdir(exist_ok=True)
        path = SCHEMAS / f"{name}.schema.json"
        path.write_text(schema_text(name), encoding="utf-8", newline="\n")
    assert shipped_schema(name) == schema_text(name)


def test_every_table_has_a_schema_and_no_file_is_left_over() -> None:
    assert {path.name for path in SCHEMAS.iterdir()} == {f"{name}.schema.json" for name in NAMES}
    assert resource("schemas") == SCHEMAS
    assert set(NAMES) == {*TABLES, "everything", *REPORTS}


@pytest.mark.parametrize("name", NAMES)
def test_each_is_a_schema_of_2020_12(name: str) -> None:
    told = json.loads(shipped_schema(name))
    Draft202012Validator.check_schema(told)  # the meta-schema: Core, 8.1
    assert told["$schema"] == DIALECT == Draft202012Validator.META_SCHEMA["$id"]
    references = {part["$ref"] for part in parts(told) if "$ref" in part}
    assert references == {f"#/$defs/{name}" for name in told["$defs"]}  # all there, none unused


@pytest.mark.parametrize("name", NAMES)
def test_patterns_are_those_of_json_schema(name: str) -> None:
    # Core, 6.4: patterns ought to be as ECMA-262 has them, which knows no \Z, \A and (?P...).
    patterns = [part["pattern"] for part in parts(schema(name)) if "pattern" in part]
    for pattern in (p for p in patterns if isinstance(p, str)):
        assert re.compile(pattern)
        assert not re.search(r"\\[ZAz]|\(\?P", pattern)


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_every_kind_of_entry_says_what_it_is(kind: str) -> None:
    told = schema("log")["$defs"][KINDS[kind].__name__]
    assert told["description"]
    assert set(told["properties"]) == {"kind", *KINDS[kind].__struct_fields__}
    assert told["properties"]["tick"]["description"].startswith("Lamport clock")
    assert told["additionalProperties"] is False
    assert "\n " not in told["description"]
    assert "Attributes:" not in told["description"]


# --- what is exported holds ---------------------------------------------------------------------


@pytest.mark.parametrize("year", YEARS)
@pytest.mark.parametrize("name", REPORTS)
def test_every_report_of_the_demo_holds(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    name: str,
    year: int,
) -> None:
    shell = Shell(tmp_path, monkeypatch, capsys)
    command = REPORTS[name][1].removeprefix("fieldbook ")
    document = json.loads(shell.does(f"{command} --season {year}", "--book", str(DEMO)))
    assert faults(name, document) == []
    told = next(iter(document))
    assert faults(name, {**document, told: -1.5})
    assert faults(name, {key: value for key, value in document.items() if key != told})


def test_a_report_is_no_table(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    shell = Shell(tmp_path, monkeypatch, capsys)
    for name, (_struct, command) in REPORTS.items():
        answer = shell.asks(f"export {name}", "--book", str(DEMO))
        assert answer.code == 2
        assert f"{name} is a report and no table." in answer.err
        assert command in answer.err
        assert json.loads(shell.does(f"export {name} --schema"))["title"] == command


@pytest.mark.parametrize("year", YEARS)
@pytest.mark.parametrize("name", [*TABLES, "everything"])
def test_every_export_of_the_demo_holds(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    name: str,
    year: int,
) -> None:
    shell = Shell(tmp_path, monkeypatch, capsys)
    out = shell.does(f"export {name} --format json --season {year}", "--book", str(DEMO))
    document = json.loads(out)
    assert faults(name, document) == []
    assert bool(document) is (name not in EMPTY.get(year, ()))


EMPTY = {
    2025: ("trees", "tap-rules", "targets", "supplies"),
    2026: ("trees", "tap-rules", "supplies"),
    2027: ("tap-rules", "runs"),
}
"""Tables of the demo that have no rows: `test_what_people_type_holds` fills them."""


@pytest.mark.parametrize("year", YEARS)
def test_columns_are_those_of_the_tables(year: int) -> None:
    season = open_season(year)
    for name in TABLES:
        header, _rows = export_table(season, name)
        assert tuple(header) == tuple(COLUMNS[name])
    assert set(COLUMNS) == set(TABLES)


def test_what_people_type_holds(season: Season) -> None:
    work(season)
    about = About(what="leak", block="Ledge", entry="k7f2q-9")
    season.record(
        Note(text='=1+1 "quoted" \\Z\n{"kind":"x"}', **stamp()),
        Supply(item="spout", on_hand=850, **stamp()),
        Target(task="tapping", block="Ledge", wanted=date(2027, 2, 11), **stamp()),
        Trees(block="Ledge", line="Cliff", classes=(TreeCount(girth_in=38, count=6),), **stamp()),
        Run(block="Ledge", sap_gal=120.5, brix=2, note="-4 at dawn", **stamp()),
        Run(note="nobody looked", **stamp()),
        TapRule(rule="ours", unit="cm", classes=(TapClass(from_dbh=23.1, taps=1),), **stamp()),
        HandOff(
            who="Oda",
            blocks=("Ledge",),
            severity="calm",
            items=(Passed(about=about, says="it hisses"),),
            **stamp(),
        ),
        really=True,
    )
    told = json.loads(to_json(everything(season)))
    assert faults("everything", told) == []
    assert faults("log", told["entries"]) == []
    for name in set(TABLES) - {"log"}:
        assert faults(name, told["tables"][name]) == []
    assert [name for name, found in told["tables"].items() if not found] == ["readings"]


@pytest.mark.parametrize("year", YEARS)
def test_the_entries_come_back_as_they_were(year: int) -> None:
    season = open_season(year)
    told = to_json(everything(season))
    back = msgspec.convert(json.loads(told)["entries"], list[AnyEntry])
    assert back == season.log()


# --- what is not so is refused ------------------------------------------------------------------

GOOD: dict[str, Any] = {
    "kind": "count",
    "id": "k7f2q-12",
    "tick": 12,
    "at": "2027-02-09T16:30:00-05:00",
    "noted": "2027-02-09T16:30:00-05:00",
    "by": "Oda",
    "block": "Ledge",
    "line": "Cliff",
    "task": "tapping",
    "who": "Oda",
    "count": 42,
}


def test_a_count_as_it_ought_to_be() -> None:
    assert faults("log", [GOOD]) == []
    assert faults("log", []) == []
    assert faults("log", GOOD)  # the log is a list


@pytest.mark.parametrize(
    "wrong",
    [
        {"kind": "weather"},
        {"kind": None},
        {"id": ""},
        {"id": "k7f2q-0"},
        {"tick": -1},
        {"tick": "12"},
        {"at": "2027-02-09"},
        {"at": "2027-02-09T16:30:00"},  # by whose clock?
        {"noted": 1801000000},
        {"by": ""},
        {"block": "x" * 81},
        {"line": ["Cliff"]},
        {"count": -1},
        {"count": 1.5},
        {"count": "42"},
        {"count": True},
        {"count": 1_000_001},
        {"hours": -1},
        {"note": None},
        {"wind": "west"},
    ],
    ids=str,
)
def test_a_wrong_entry_is_refused(wrong: dict[str, Any]) -> None:
    assert faults("log", [GOOD | wrong])
    if wrong != {"id": ""}:  # a draft has none yet
        with pytest.raises(msgspec.ValidationError):  # so does fieldbook
            msgspec.convert([GOOD | wrong], list[AnyEntry])


@pytest.mark.parametrize("field", ["kind", "id", "at", "noted", "by", "block", "count", "who"])
def test_an_entry_that_lacks_a_field_is_refused(field: str) -> None:
    assert faults("log", [{name: value for name, value in GOOD.items() if name != field}])


def rows(season: Season, name: str) -> list[dict[str, Any]]:
    header, found = export_table(season, name)
    told = to_json([dict(zip(header, row, strict=True)) for row in found])
    made: list[dict[str, Any]] = json.loads(told)
    return made


@pytest.fixture(scope="module")
def demo() -> dict[str, list[dict[str, Any]]]:
    """Every table of the demo's season that has rows."""
    season = open_season(2027)
    tables: dict[str, list[dict[str, Any]]] = {
        name: rows(season, name) for name in TABLES if name != "log"
    }
    return {name: found for name, found in tables.items() if found}


@pytest.mark.parametrize(
    ("name", "wrong"),
    [
        ("lines", {"taps_planned": "twigs"}),
        ("lines", {"taps_planned": None}),
        ("lines", {"layout": "triple"}),
        ("lines", {"length_ft": 0}),
        ("trees", {"count": -1}),
        ("people", {"name": ""}),
        ("counts", {"date": "9 Feb 2027"}),
        ("counts", {"date": "2027-02-09T00:00:00"}),
        ("counts", {"hours": "two"}),
        ("targets", {"wanted": "soon"}),
        ("settings", {"setting": "colour"}),
        ("settings", {"value": None}),
        ("supplies", {"on_hand": 0.5}),
        ("readings", {"at": "2027-02-09"}),
        ("readings", {"place": "attic"}),
        ("readings", {"vacuum_inhg": 33}),
    ],
    ids=str,
)
def test_a_wrong_cell_is_refused(
    demo: dict[str, list[dict[str, Any]]], name: str, wrong: dict[str, Any]
) -> None:
    (row, *_rest) = demo[name]
    assert faults(name, [row]) == []
    assert faults(name, [row | wrong])


@pytest.mark.parametrize("name", sorted({*TABLES} - {"log", "runs", "tap-rules"}))
def test_a_row_has_its_columns_and_no_other(
    demo: dict[str, list[dict[str, Any]]], name: str
) -> None:
    (row, *_rest) = demo[name]
    assert faults(name, [row | {"more": 1}])
    for column in row:
        assert faults(name, [{other: row[other] for other in row if other != column}])


@pytest.mark.parametrize(
    "spoil",
    [
        lambda told: told.pop("book"),
        lambda told: told.pop("as_of"),
        lambda told: told["tables"].pop("tap-rules"),
        lambda told: told["tables"].update(weather=[]),
        lambda told: told.update(season="2027"),
        lambda told: told.update(as_of="today"),
        lambda told: told["entries"].append({"kind": "count"}),
        lambda told: told["tables"]["log"][0].update(kind="weather"),
    ],
)
def test_a_wrong_whole_is_refused(
    season: Season, spoil: Callable[[dict[str, Any]], object]
) -> None:
    told = json.loads(to_json(everything(season, until=date(2027, 2, 9))))
    assert faults("everything", told) == []
    assert told["as_of"] == "2027-02-09"
    spoil(told)
    assert faults("everything", told)


def test_days_and_times_are_written_as_the_schema_says(season: Season) -> None:
    (entry, *_rest) = season.log()
    told = json.loads(to_json([entry]))[0]
    assert datetime.fromisoformat(told["at"]) == entry.at  # RFC 3339, 5.6, as `format` asks for
    assert "format" in schema("log")["$defs"]["Count"]["properties"]["at"]
