"""What a person types, and what of it is stored."""

import math
from datetime import date, datetime, timedelta, timezone
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from fieldbook.book.codec import decode, encode
from fieldbook.book.entry import (
    About,
    AnyEntry,
    Checklist,
    Close,
    HandOff,
    Leak,
    Line,
    Note,
    Out,
    Passed,
    ReadBack,
    Reading,
    Repair,
    Run,
    Settle,
    Sheet,
    Spouts,
    Supply,
    Taken,
    TapClass,
    TapRule,
    Task,
    TreeCount,
    Trees,
    Valve,
    WriteOff,
    clean,
)
from tests.conftest import NOW, count, note, numbered, stamp

E_ACUTE, E_AND_ACCENT = "\u00e9", "e\u0301"


@pytest.mark.parametrize(
    ("typed", "stored"),
    [
        ("ice on the mainline", "ice on the mainline"),
        ("  ice \n", "ice"),
        ("first\r\nsecond\rthird", "first\nsecond\nthird"),
        ("bell\x07, nul\x00, delete\x7f", "bell, nul, delete"),
        ("\x1b[31mred\x1b[0m", "[31mred[0m"),
        ("\x9b31mC1 control", "31mC1 control"),
        ("\u202egnp.exe and \u2066isolate\u2069", "gnp.exe and isolate"),
        ("line\u2028separator, \ufeffmark", "lineseparator, mark"),
        ("half a pair \ud83c", "half a pair"),
        (E_AND_ACCENT + "rabli" + E_AND_ACCENT + "re", E_ACUTE + "rabli" + E_ACUTE + "re"),
        ("[/] [bold]not markup[/bold] 🍁 שלום", "[/] [bold]not markup[/bold] 🍁 שלום"),
    ],
)
def test_typed_text_is_stored_without_what_could_act_on_a_terminal(typed: str, stored: str) -> None:
    assert clean(typed) == stored


def test_a_name_with_an_invisible_direction_mark_is_the_name() -> None:
    assert clean("Cliff\u200e, \u200fCedar\u061c") == "Cliff, Cedar"


def test_a_name_is_one_line_with_single_spaces() -> None:
    assert clean(" Upper \t Ledge\nNorth\u2003side ", one_line=True) == "Upper Ledge North side"


@given(st.text(st.characters()), st.booleans())
def test_cleaning_twice_changes_nothing_more(typed: str, one_line: bool) -> None:
    once = clean(typed, one_line=one_line)
    assert clean(once, one_line=one_line) == once


def test_a_note_keeps_its_lines_and_a_name_does_not() -> None:
    typed = Note(text="look up:\nwidow maker\x1b[2J", block="Upper\nLedge", **stamp())
    assert (typed.cleaned().text, typed.cleaned().block) == (
        "look up:\nwidow maker[2J",
        "Upper Ledge",
    )


def test_cleaning_reaches_the_steps_and_cautions_of_a_task() -> None:
    checklist = Checklist(
        **stamp(),
        checklist="by\x00 hand",
        tasks=(
            Task(
                key="tapping",
                title="Tap\x07ping",
                short="Tap",
                counts="taps",
                planned="taps planned",
                steps=("sharp\nbit",),
                cautions=("look up\nfirst\x1b",),
            ),
        ),
    )
    task = checklist.cleaned().tasks[0]
    assert (task.title, task.steps, task.cautions) == (
        "Tapping",
        ("sharp bit",),
        ("look up\nfirst",),
    )


def test_an_entry_that_is_clean_stays_the_very_same() -> None:
    entry = note("nothing to clean")
    assert entry.cleaned() is entry


def test_an_entry_answers_to_field_names_and_to_no_others() -> None:
    (entry,) = numbered(count("Ledge/Cliff", "tapping", 42))
    assert (entry["line"], entry["kind"], entry["count"]) == ("Cliff", "count", 42)
    assert dict(entry)["task"] == "tapping"
    with pytest.raises(KeyError, match="reason"):
        entry["reason"]


def test_an_id_says_desk_and_running_number() -> None:
    (entry,) = numbered(note("x"), desk="b3x9m", start=412)
    assert (entry.id, entry.desk, entry.number) == ("b3x9m-412", "b3x9m", 412)


def test_the_day_is_the_day_on_the_wall_where_it_was_written() -> None:
    late = datetime(2027, 2, 9, 23, 30, tzinfo=timezone(timedelta(hours=-5)))
    assert late.astimezone(timezone.utc).day == 10  # noqa: UP017 - reads better beside its twin
    assert Note(text="x", at=late, noted=late, by="Oda").day == date(2027, 2, 9)


# --- limits, as the journal's line is made -----------------------------------------------------

(COUNT,) = numbered(count("Ledge/Cliff", "tapping", 42))


@pytest.mark.parametrize(
    ("field", "changes"),
    [
        ("by", {"by": ""}),
        ("by", {"by": "x" * 81}),
        ("line", {"line": ""}),
        ("count", {"count": -1}),
        ("count", {"count": 1_000_001}),
        ("hours", {"hours": -0.5}),
        ("hours", {"hours": 1000.5}),
        ("note", {"note": "x" * 65_537}),
        ("at", {"at": COUNT.at.replace(tzinfo=None)}),
        pytest.param(
            "hours",
            {"hours": math.nan},
        ),
    ],
)
def test_a_limit_that_is_broken_names_its_field(field: str, changes: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match=rf"^{field}\b"):
        encode(replace(COUNT, **changes))


@pytest.mark.parametrize(
    "changes",
    [{"by": "🍁" * 80}, {"count": 0}, {"count": 1_000_000}, {"hours": 0}, {"note": "x" * 65_536}],
    ids=lambda changes: next(iter(changes)),
)
def test_up_to_its_limit_everything_is_taken(changes: dict[str, Any]) -> None:
    entry = replace(COUNT, **changes)
    assert decode(encode(entry)) == entry


(TREES, RULE, SUPPLY, RUN, LINE) = numbered(
    Trees(block="Ledge", line="Cliff", classes=(), **stamp()),
    TapRule(rule="ours", unit="in", classes=(), **stamp()),
    Supply(item="spout", on_hand=0, **stamp()),
    Run(**stamp()),
    Line(block="Ledge", line="Cliff", **stamp()),
)


PASSED = Passed(about=About(what="leak", entry="k7f2q-1"), says="", value="x" * 80)
READING, LEAK, VALVE, REPAIR, SETTLE, SPOUTS, OUT, SHEET, HANDOFF, TAKEN, WRITEOFF, CLOSE = (
    numbered(
        Reading(who="Wim", place="pump", vacuum_inhg=25, **stamp()),
        Leak(block="Ledge", line="Cliff", who="Wim", text="hiss", **stamp()),
        Valve(block="Ledge", line="Cliff", who="Wim", state="shut", **stamp()),
        Repair(who="Wim", text="gate", **stamp()),
        Settle(entry="k7f2q-1", who="Wim", **stamp()),
        Spouts(who="Wim", move="issued", count=0, **stamp()),
        Out(who="Wim", due=NOW, **stamp()),
        Sheet(sheet=1, block="Ledge", task="tapping", lines=(), **stamp()),
        HandOff(who="Wim", blocks=("Ledge",), severity="calm", **stamp()),
        Taken(handoff="k7f2q-8", who="Oda", **stamp()),
        WriteOff(about=About(what="leak"), who="Oda", reason="old line", **stamp()),
        Close(who="Oda", **stamp()),
    )
)


def trees(count: int = 1, **size: float) -> tuple[TreeCount, ...]:
    return (TreeCount(count=count, **size),)


def limit(from_dbh: float, taps: int = 1) -> tuple[TapClass, ...]:
    return (TapClass(from_dbh=from_dbh, taps=taps),)


@pytest.mark.parametrize(
    ("entry", "field", "taken", "refused"),
    [
        (LINE, "dry_in", 0.001, 0),
        (LINE, "dry_mm", 1_000_000, 1_000_001),
        (LINE, "taps_planned", None, -1),
        (LINE, "spout_in", 0.15, 0.149),
        (LINE, "spout_in", 0.6, 0.601),
        (TREES, "classes", trees(dbh_in=0.01), trees(dbh_in=0)),
        (TREES, "classes", trees(dbh_in=100), trees(dbh_in=100.1)),
        (TREES, "classes", trees(girth_in=0.01), trees(girth_in=0)),
        (TREES, "classes", trees(girth_in=314), trees(girth_in=314.1)),
        (TREES, "classes", trees(dbh_cm=0.01), trees(dbh_cm=-1)),
        (TREES, "classes", trees(dbh_cm=254), trees(dbh_cm=254.1)),
        (TREES, "classes", trees(0, dbh_in=12), trees(-1, dbh_in=12)),
        (TREES, "classes", trees(1_000_000, dbh_in=12), trees(1_000_001, dbh_in=12)),
        (TREES, "classes", (), trees(dbh_in=math.nan)),
        (RULE, "rule", "🍁" * 80, ""),
        (RULE, "rule", "o", "x" * 81),
        (RULE, "unit", "cm", "mm"),
        (RULE, "classes", limit(0.01), limit(0)),
        (RULE, "classes", limit(254), limit(254.1)),
        (RULE, "classes", limit(10, 0), limit(10, -1)),
        (RULE, "classes", limit(10, 10), limit(10, 11)),
        (RULE, "source", "x" * 65_536, "x" * 65_537),
        (SUPPLY, "item", "bit", ""),
        (SUPPLY, "on_hand", 1_000_000, -1),
        (SUPPLY, "on_hand", 0, 1_000_001),
        (RUN, "sap_gal", 0, -0.1),
        (RUN, "sap_gal", 4_000_000, math.inf),
        (RUN, "sap_l", 0, 4_000_000.1),
        (RUN, "brix", 0.1, 0),
        (RUN, "brix", 100, 100.1),
        (RUN, "syrup_gal", 0, math.nan),
        (RUN, "syrup_gal", 4_000_000, 4_000_001),
        (RUN, "syrup_l", 4_000_000, -1),
        (LINE, "drops", 0, -1),
        (LINE, "drops", None, 1_000_001),
        (LEAK, "text", "x", ""),
        (LEAK, "line", "x" * 80, ""),
        (LEAK, "lost_inhg", 0, -0.1),
        (LEAK, "lost_inhg", 32, 32.1),
        (LEAK, "lost_kpa", 108, -1),
        (LEAK, "cause", "main cut", "rust"),
        (LEAK, "lateral", "", "x" * 81),
        (READING, "place", "releaser", "barn"),
        (READING, "pipe", "dry", "both"),
        (READING, "vacuum_inhg", 0, -0.1),
        (READING, "vacuum_inhg", 32, 32.1),
        (READING, "vacuum_kpa", 108, math.nan),
        (READING, "who", "O", ""),
        (VALVE, "heard", False, 1),
        (LEAK, "lost_inhg", None, math.nan),
        (VALVE, "state", "open", "ajar"),
        (VALVE, "reason", "", "x" * 65_537),
        (REPAIR, "text", "x" * 65_536, ""),
        (REPAIR, "due", None, "soon"),
        (SETTLE, "entry", "k7f2q-999999999", "k7f2q-0"),
        (SETTLE, "entry", "b3x9m-1", ""),
        (SPOUTS, "move", "scrapped", "lost"),
        (SPOUTS, "count", 1_000_000, -1),
        (SPOUTS, "who", "O", ""),
        (OUT, "due", NOW, NOW.replace(tzinfo=None)),
        (OUT, "block", "", "x" * 81),
        (SHEET, "sheet", 1, 0),
        (SHEET, "sheet", 1_000_000, 1_000_001),
        (SHEET, "lines", ("Cliff",), ("",)),
        (HANDOFF, "severity", "danger", "fine"),
        (HANDOFF, "blocks", (), ("",)),
        (HANDOFF, "to", "", "x" * 81),
        (HANDOFF, "items", (), (Passed(about=About(what="")),)),
        (HANDOFF, "items", (PASSED,), (replace(PASSED, value="x" * 81),)),
        (TAKEN, "handoff", "k7f2q-1", "7"),
        (TAKEN, "items", (), (ReadBack(about=About(what="leak"), said="x" * 81),)),
        (WRITEOFF, "amount", -5, 0.5),
        (WRITEOFF, "reason", "x", ""),
        (CLOSE, "note", "x" * 65_536, "x" * 65_537),
    ],
)
def test_up_to_its_limits_and_no_further(
    entry: AnyEntry, field: str, taken: object, refused: object
) -> None:
    kept = replace(entry, **{field: taken})
    assert decode(encode(kept)) == kept
    with pytest.raises(ValueError, match=rf"^{field}\b"):
        encode(replace(entry, **{field: refused}))


def test_what_an_item_is_about_is_known_by_its_entry_or_else_by_its_place() -> None:
    out = About(what="out", who="Perrin", block="Ledge", entry="k7f2q-30")
    moved = About(what="out", who="Perrin", block="Creek", line="Ford", entry="k7f2q-30")
    assert (out == moved, out != moved, {out: "Wim"}[moved]) == (True, False, "Wim")
    assert out != About(what="out", who="Perrin", block="Ledge", entry="k7f2q-31")
    assert out != About(what="hazard", block="Ledge", entry="k7f2q-30")
    cliff = About(what="not tapped", block="Ledge", line="Cliff", task="tapping")
    for other in ({"block": "Creek"}, {"line": "Cedar"}, {"task": "drops"}, {"who": "Wim"}):
        assert replace(cliff, **other) != cliff
    assert cliff == replace(cliff)
    assert cliff != "Cliff"


def test_cleaning_reaches_what_was_said_of_the_items_of_a_hand_off() -> None:
    about = About(what="hazard", block="Upper\nLedge")
    given = replace(HANDOFF, items=(Passed(about=about, says="ash\x1b[2J\nleans", value="a\tb"),))
    (told,) = given.cleaned()["items"]
    assert (told.about.block, told.says, told.value) == ("Upper Ledge", "ash[2J\nleans", "a b")


@given(st.text(max_size=20))
def test_an_entry_is_cleaned_as_each_of_its_texts_is(text: str) -> None:
    draft = note(text + "x", block=text, line=text)
    cleaned = draft.cleaned()
    assert cleaned.text == clean(text + "x")
    assert (cleaned.block, cleaned.line) == (clean(text, one_line=True),) * 2
