"""What the JSON exports and reports say, as JSON Schema 2020-12, made from their structs.

The schemas are shipped as files, so that they can be read without a book; a test holds the files
against the structs.
"""

import re
from collections.abc import Iterator
from datetime import date
from inspect import cleandoc
from types import GenericAlias
from typing import Annotated, Any, Literal, get_type_hints

import msgspec
from msgspec import Meta, Struct

from fieldbook.book.entry import (
    KINDS,
    AnyEntry,
    Count,
    Entry,
    EntryId,
    Line,
    Name,
    Person,
    Reading,
    Run,
    Setting,
    Supply,
    TapClass,
    TapRule,
    Target,
    TreeCount,
    Trees,
    Units,
)
from fieldbook.reports.everything import Everything
from fieldbook.reports.export import LOG_COLUMNS, TABLES
from fieldbook.reports.full import Full
from fieldbook.reports.history import History
from fieldbook.reports.log import LogLine
from fieldbook.reports.rollover import Proposal
from fieldbook.reports.summary import Summary
from fieldbook.resources import resource
from fieldbook.season.importing import KINDS as TABLE_KINDS
from fieldbook.season.settings import RULES

DIALECT = "https://json-schema.org/draft/2020-12/schema"
REPORTS: dict[str, tuple[type[Struct], str]] = {
    "summary": (Summary, "fieldbook summary --format json"),
    "summary-full": (Full, "fieldbook summary --full --format json"),
    "history": (History, "fieldbook history --format json"),
    "rollover": (Proposal, "fieldbook rollover --format json"),
}
"""Reports that have a schema: what they are made of, and the command that prints them."""

NAMES = (*TABLES, "everything", *REPORTS)
"""What has a schema: the log as its entries, each other table as its rows, and all together."""

COLUMNS = {"log": LOG_COLUMNS} | {kind.name: kind.columns for kind in TABLE_KINDS}
"""The columns of each table."""

_REFERENCE = "#/$defs/{name}"
_TIME = r"[0-9]{2}:[0-9]{2}:[0-9]{2}(\.[0-9]+)?(Z|[+-][0-9]{2}:[0-9]{2})"
_DAY = "[0-9]{4}-[0-9]{2}-[0-9]{2}"
# A reader may take `format` for a remark (JSON Schema 2020-12, Validation, 7.2.1); a pattern holds.
_FORMATS = {"date": f"^{_DAY}$", "date-time": f"^{_DAY}T{_TIME}$"}

_ATTRIBUTES = "\n\nAttributes:\n"
_ATTRIBUTE = re.compile(r"^    (\w+): (.*(?:\n      .*)*)", re.MULTILINE)


def _columns_of() -> dict[str, tuple[tuple[type[Struct], ...], dict[str, Any]]]:
    """Of each table the structs whose fields its columns are, and the columns that are no field."""
    brix, from_dbh = (
        get_type_hints(kind, include_extras=True)[name]
        for kind, name in ((Run, "brix"), (TapClass, "from_dbh"))
    )
    minute = Annotated[str, Meta(pattern=f"^{_DAY} [0-9]{{2}}:[0-9]{{2}}$")]
    return {
        "log": ((LogLine,), {"id": EntryId, "kind": Literal[tuple(KINDS)]}),
        "lines": ((Line,), {"taps_planned": Units | Literal["trees"]}),
        "trees": ((Trees, TreeCount), {}),
        "tap-rules": (
            (TapRule, TapClass),
            {"from_in": from_dbh | None, "from_cm": from_dbh | None},
        ),
        "people": ((Person,), {"name": Name}),
        "counts": ((Count,), {"date": date, "by": Name}),
        "targets": ((Target,), {}),
        "settings": ((Setting,), {"setting": Literal[tuple(rule.name for rule in RULES)]}),
        "supplies": ((Supply,), {}),
        "runs": ((Run,), {"date": date, "brix_pct": brix}),
        "readings": ((Reading,), {"at": minute, "by": Name}),
    }


def schema(name: str) -> dict[str, Any]:
    """The schema of `export NAME --format json`, or of a report.

    Args:
        name: One of the `NAMES`.
    """
    rows: dict[str, Any] = {table: _row(table) for table in TABLES}
    told: Any
    title = f"fieldbook export {name} --format json"
    match name:
        case _ if name in REPORTS:
            told, title = REPORTS[name]
            about = f"What {title} prints."
        case "everything":
            told, about = _everything(rows), "Every table of a season, and all its entries."
        case "log":
            told, about = list[AnyEntry], "Every entry of a season in fold order, struck ones too."
        case _:
            told, about = (
                GenericAlias(list, rows[name]),
                f"The rows of the table {name} of a season.",
            )
    (root,), defs = msgspec.json.schema_components([told], ref_template=_REFERENCE)
    for part in defs.values():
        _describe(part)
    for kind in KINDS.values():
        if kind.__name__ in defs:
            _as_recorded(defs[kind.__name__])
    whole = {
        "$schema": DIALECT,
        "title": title,
        "description": about,
        **root,
        "$defs": defs,
    }
    for part in _parts(whole):
        _in_the_dialect(part)
    return whole


def schema_text(name: str) -> str:
    """The schema as it is shipped."""
    return msgspec.json.format(msgspec.json.encode(schema(name)), indent=2).decode() + "\n"


def shipped_schema(name: str) -> str:
    """The schema that came with this fieldbook.

    Args:
        name: One of the `NAMES`.
    """
    return (resource("schemas") / f"{name}.schema.json").read_text(encoding="utf-8")


def _row(table: str) -> type[Struct]:
    """A struct of a table's rows, in which every column is there."""
    structs, others = _columns_of()[table]
    hints = {
        name: hint
        for struct in structs
        for name, hint in get_type_hints(struct, include_extras=True).items()
    }
    types = {**hints, **others}
    return msgspec.defstruct(
        "".join(part.title() for part in table.split("-")) + "Row",
        [(column, types[column]) for column in COLUMNS[table]],
        namespace={"__doc__": "\n\n".join(cleandoc(struct.__doc__ or "") for struct in structs)},
        forbid_unknown_fields=True,
    )


def _everything(rows: dict[str, Any]) -> type[Struct]:
    """`Everything`, in which each table has its own rows."""
    fields: list[Any] = [
        (table.replace("-", "_"), GenericAlias(list, rows[table])) for table in TABLES
    ]
    tables = msgspec.defstruct(
        "Tables",
        fields,
        namespace={"__doc__": "The rows of each table."},
        rename={table.replace("-", "_"): table for table in TABLES},
        forbid_unknown_fields=True,
    )
    types = get_type_hints(Everything) | {"tables": tables}
    return msgspec.defstruct(
        "Everything",
        [(name, types[name]) for name in Everything.__struct_fields__],
        namespace={"__doc__": Everything.__doc__},
        forbid_unknown_fields=True,
    )


def _describe(part: dict[str, Any]) -> None:
    """Put what a docstring says of each attribute beside its property."""
    about, _, attributes = cleandoc(part.get("description", "")).partition(_ATTRIBUTES)
    part["description"] = _unwrapped(about)
    for name, words in _ATTRIBUTE.findall(attributes):
        part["properties"][name]["description"] = _unwrapped(words)


def _as_recorded(part: dict[str, Any]) -> None:
    """What holds of an entry that a book has: a draft has no id yet, and is in no export."""
    attributes = cleandoc(Entry.__doc__ or "").partition(_ATTRIBUTES)[2]
    for name, words in _ATTRIBUTE.findall(attributes):
        part["properties"][name]["description"] = _unwrapped(words)
    entry_id = part["properties"]["id"]
    del entry_id["default"]
    entry_id["pattern"] = msgspec.json.schema(EntryId)["pattern"]
    part["required"] = ["id", *part["required"]]


def _unwrapped(text: str) -> str:
    """Paragraphs of a docstring, each on one line."""
    return "\n\n".join(" ".join(part.split()) for part in text.split("\n\n"))


def _parts(part: Any) -> Iterator[dict[str, Any]]:
    """A schema and every schema in it."""
    if isinstance(part, dict):
        yield part
        for value in part.values():
            yield from _parts(value)
    elif isinstance(part, list):
        for value in part:
            yield from _parts(value)


def _in_the_dialect(part: dict[str, Any]) -> None:
    r"""Say as JSON Schema does what msgspec says otherwise.

    `\Z` is a word of Python's patterns, `discriminator` one of OpenAPI.
    """
    part.pop("discriminator", None)
    if isinstance(part.get("pattern"), str):
        part["pattern"] = part["pattern"].replace(r"\Z", "$")
    if part.get("type") == "string" and part.get("format") in _FORMATS:
        part.setdefault("pattern", _FORMATS[part["format"]])
