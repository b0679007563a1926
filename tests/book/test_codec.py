"""Journal lines: what is written is read again, and a changed byte is never taken for an entry."""

import json
from datetime import date
from typing import Any
from zlib import crc32

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from fieldbook.book.codec import NewerLine, UnreadableLine, decode, encode
from fieldbook.book.entry import (
    KINDS,
    PROSE,
    About,
    AnyEntry,
    Back,
    Block,
    Close,
    HandOff,
    Leak,
    Line,
    Note,
    Out,
    Passed,
    Person,
    ReadBack,
    Reading,
    Repair,
    Run,
    Setting,
    Settle,
    Sheet,
    Spouts,
    Step,
    Strike,
    Supply,
    Taken,
    TapClass,
    TapRule,
    Target,
    TreeCount,
    Trees,
    Valve,
    WriteOff,
    clean,
)
from tests.conftest import (
    NOW,
    aside,
    count,
    finish,
    numbered,
    reopen,
    sealed,
    stamp,
    vacuum_checklist,
)

SAMPLES: list[AnyEntry] = numbered(
    Block(block="Ledge", order=2, note="gate is chained\nkey with Oda", **stamp()),
    Line(
        block="Ledge",
        line="Cliff",
        order=7,
        layout="pair",
        diameter_in=0.75,
        dry_mm=31.75,
        length_m=213.36,
        slope_pct=-2.5,
        taps_planned=42,
        drops_hung=2024,
        drops=44,
        spout_in=0.3125,
        **stamp(),
    ),
    Trees(
        block="Ledge",
        line="Cliff",
        classes=(
            TreeCount(dbh_in=12.5, count=40),
            TreeCount(girth_in=38, count=0),
            TreeCount(dbh_cm=30, count=12),
        ),
        **stamp(),
    ),
    TapRule(
        rule="ours",
        unit="cm",
        classes=(TapClass(from_dbh=23.1, taps=1), TapClass(from_dbh=39.1, taps=2)),
        source="the crew's vote",
        **stamp(),
    ),
    Supply(item="spout", on_hand=850, **stamp()),
    Person(person="Perrin", role="tapper", note="left-handed", **stamp()),
    Target(task="tapping", block="Ledge", wanted=date(2027, 2, 20), planned=100, **stamp()),
    Setting(setting="tie_spacing_ft", value=35.0, **stamp()),
    vacuum_checklist(),
    count("Ledge/Cliff", "tapping", 42, who="Perrin", day="2027-02-08", hours=1.5),
    finish("Ledge/Cliff", "tapping", "three trees down"),
    aside("Ledge/Cliff", "leaks", "creek is up"),
    reopen("Ledge/Cliff", "tapping", "found the far lateral"),
    Step(
        block="Ledge",
        line="Cliff",
        task="tapping",
        who="Wim",
        step="clear of old holes",
        ticked=False,
        **stamp(),
    ),
    Note(text="widow maker by the gate", block="Ledge", line="Cliff", hazard=True, **stamp()),
    Run(sap_gal=120.5, brix=2.1, syrup_l=0, note="first of the year", **stamp()),
    Reading(
        block="Ledge",
        line="Cliff",
        who="Wim",
        place="far end",
        pipe="wet",
        vacuum_kpa=83.5,
        note="loop by the gate",
        **stamp(),
    ),
    Leak(
        block="Ledge",
        line="Cliff",
        who="Wim",
        text="squirrel at the third tree",
        lateral="3",
        cause="chewed",
        lost_inhg=2.5,
        **stamp(),
    ),
    Valve(
        block="Ledge",
        line="Cliff",
        who="Wim",
        state="shut",
        reason="ice",
        heard=True,
        **stamp(),
    ),
    Repair(
        who="Perrin",
        text="new fitting\nat the gate",
        block="Ledge",
        line="Cliff",
        due=date(2027, 2, 12),
        **stamp(),
    ),
    Settle(entry="k7f2q-15", who="Wim", text="felled", **stamp()),
    Spouts(who="Perrin", move="issued", count=150, note="blue ones", **stamp()),
    Out(who="Perrin", block="Ledge", line="Cliff", due=NOW, note="by the gate", **stamp()),
    Back(who="Perrin", note="wet through", **stamp()),
    Sheet(
        sheet=7, block="Ledge", task="tapping", lines=("Cliff", "Cedar"), who="Perrin", **stamp()
    ),
    HandOff(
        who="Perrin",
        to="Wim",
        blocks=("Ledge", "Creek"),
        severity="watch",
        done="Cliff is tapped",
        left="Cedar\nfrom the far end",
        hazards="ash over the path",
        what_if="if it blows, come home",
        items=(
            Passed(
                about=About(what="valve shut", block="Ledge", line="Cliff", entry="k7f2q-18"),
                says="ice\nin the dip",
                value="shut",
            ),
            Passed(about=About(what="unfinished", block="Ledge", line="Cedar", task="tapping")),
        ),
        **stamp(),
    ),
    Taken(
        handoff="k7f2q-25",
        who="Wim",
        items=(
            ReadBack(
                about=About(what="valve shut", block="Ledge", line="Cliff", entry="k7f2q-18"),
                said="open",
                differs=True,
            ),
            ReadBack(about=About(what="spouts", who="Perrin")),
        ),
        **stamp(),
    ),
    WriteOff(
        about=About(what="spouts", who="Perrin"),
        amount=-3,
        who="Oda",
        reason="found in the shed",
        **stamp(),
    ),
    Close(who="Oda", note="a good year", **stamp()),
    Strike(entry="k7f2q-7", reason="was Cedar", **stamp()),
)
COUNT, NOTE = (next(e for e in SAMPLES if e.kind == kind) for kind in ("count", "note"))
each_kind = pytest.mark.parametrize("entry", SAMPLES, ids=lambda entry: entry.kind)

AWKWARD = ["\x1b[2Jred", "[/]", "[bold]", "a\x00b", "🍁🪣", "שלום", "\u202egnp.exe", "\\u0041"]
TYPED = st.text(st.characters(), max_size=60) | st.sampled_from(AWKWARD)
NAMES = TYPED.filter(lambda text: 0 < len(clean(text, one_line=True)) <= 80)


def foreign(**changes: object) -> dict[str, Any]:
    """The fields of a sound note, changed."""
    fields: dict[str, Any] = json.loads(encode(NOTE))
    del fields["crc"]
    return fields | changes


def crc32_bit_by_bit(data: bytes) -> int:
    """CRC-32 from its definition: reflected polynomial 0xEDB88320, all ones in and out."""
    crc = 0xFFFFFFFF
    for byte in data:
        crc ^= byte
        for _bit in range(8):
            crc = crc >> 1 ^ (0xEDB88320 if crc & 1 else 0)
    return crc ^ 0xFFFFFFFF


def test_there_is_a_sample_of_every_kind() -> None:
    assert [entry.kind for entry in SAMPLES] == list(KINDS)


@each_kind
def test_what_is_written_is_read(entry: AnyEntry) -> None:
    assert decode(encode(entry)) == entry
    assert decode(encode(entry)).at.utcoffset() == entry.at.utcoffset()


def test_a_line_says_what_was_recorded_and_leaves_out_what_goes_without_saying() -> None:
    before, _, _crc = encode(replace(COUNT, hours=None)).rpartition(b',"crc":')
    assert before == (
        b'{"kind":"count","id":"k7f2q-10","tick":10,"at":"2027-02-08T16:30:00-05:00",'
        b'"noted":"2027-02-09T16:30:00-05:00","by":"Oda","block":"Ledge","line":"Cliff",'
        b'"task":"tapping","who":"Perrin","count":42'
    )


def test_a_tally_says_each_size_as_it_was_taken_and_a_run_only_what_was_measured() -> None:
    told = {entry.kind: json.loads(encode(entry)) for entry in SAMPLES}
    assert told["trees"]["classes"] == [
        {"dbh_in": 12.5, "count": 40},
        {"girth_in": 38.0, "count": 0},
        {"dbh_cm": 30.0, "count": 12},
    ]
    assert "sap_l" not in told["run"]
    assert told["run"]["syrup_l"] == 0  # measured, and there was none


def test_a_hand_off_says_of_each_item_only_what_there_is() -> None:
    told = {entry.kind: json.loads(encode(entry)) for entry in SAMPLES}
    valve = {"what": "valve shut", "block": "Ledge", "line": "Cliff", "entry": "k7f2q-18"}
    cedar = {"what": "unfinished", "block": "Ledge", "line": "Cedar", "task": "tapping"}
    assert told["handoff"]["items"] == [
        {"about": valve, "says": "ice\nin the dip", "value": "shut"},
        {"about": cedar},
    ]
    assert told["taken"]["items"] == [
        {"about": valve, "said": "open", "differs": True},
        {"about": {"what": "spouts", "who": "Perrin"}},
    ]


@given(name=NAMES, prose=TYPED.filter(clean))
def test_what_was_typed_within_a_hand_off_is_read_as_it_was_stored(name: str, prose: str) -> None:
    about = About(what="left in trees", block=name, line=name, who=name)
    items = (Passed(about=about, says=prose, value=name),)
    read = (ReadBack(about=about, said=name),)
    drafts = numbered(
        HandOff(who="Oda", blocks=(name,), severity="calm", items=items, **stamp()),
        Taken(handoff="k7f2q-1", who="Wim", items=read, **stamp()),
        WriteOff(about=about, who="Oda", reason=prose, **stamp()),
        Sheet(sheet=1, block=name, task="tapping", lines=(name, name), **stamp()),
    )
    one, many = clean(name, one_line=True), clean(prose)
    handoff, taken, off, sheet = (json.loads(encode(draft.cleaned())) for draft in drafts)
    place = {"what": "left in trees", "block": one, "line": one, "who": one}
    assert handoff["items"] == [{"about": place, "says": many, "value": one}]
    assert (taken["items"], off["about"]) == ([{"about": place, "said": one}], place)
    assert (handoff["blocks"], sheet["lines"]) == ([one], [one, one])
    for draft in drafts:
        assert decode(encode(draft.cleaned())) == draft.cleaned()


@each_kind
@given(name=NAMES, prose=TYPED.filter(clean))
def test_whatever_was_typed_is_read_as_it_was_stored(
    entry: AnyEntry, name: str, prose: str
) -> None:
    names = {"by", "block", "line", "task", "who", "person", "role", "step", "checklist"}
    names |= {"rule", "source", "item", "to"}
    typed = dict.fromkeys(names & set(entry.keys()), name)
    typed |= dict.fromkeys(PROSE & set(entry.keys()), prose)
    stored = replace(entry, **typed).cleaned()
    line = encode(stored)
    assert decode(line) == stored
    assert b"\n" not in line
    assert json.loads(line)["by"] == clean(name, one_line=True)


@each_kind
def test_a_line_is_json_with_its_checksum_last(entry: AnyEntry) -> None:
    line = encode(entry)
    fields = json.loads(line)
    assert next(iter(fields)) == "kind"
    assert list(fields)[-1] == "crc"
    before, _, rest = line.rpartition(b',"crc":')
    assert rest == b'"%08x"}' % crc32(before)
    assert int(fields["crc"], 16) == crc32_bit_by_bit(before)


def test_the_checksum_is_the_published_crc_32() -> None:
    # Check value of CRC-32/ISO-HDLC: catalogue of parametrised CRC algorithms, from memory.
    assert crc32_bit_by_bit(b"123456789") == crc32(b"123456789") == 0xCBF43926


@each_kind
def test_a_line_cut_anywhere_is_no_entry(entry: AnyEntry) -> None:
    line = encode(entry)
    for end in range(len(line)):
        with pytest.raises(UnreadableLine):
            decode(line[:end])


@each_kind
def test_a_line_with_any_bit_flipped_is_no_entry(entry: AnyEntry) -> None:
    line = encode(entry)
    for bit in range(8 * len(line)):
        flipped = bytearray(line)
        flipped[bit // 8] ^= 1 << bit % 8
        with pytest.raises(UnreadableLine):
            decode(bytes(flipped))


@pytest.mark.parametrize(
    ("line", "fault", "words"),
    [
        (encode(COUNT)[:-20], "torn", "breaks off"),
        (b"", "torn", "breaks off"),
        (b'{"kind":"note"}', "checksum", "no checksum"),
        (encode(COUNT).replace(b'"count":42', b'"count":43'), "checksum", "changed"),
        (b'{"kind":"note",,"crc":"%08x"}' % crc32(b'{"kind":"note",'), "json", "malformed"),
        (sealed(foreign(colour="blue")), "field", "colour"),
        (sealed(foreign(kind="weather")), "field", "kind"),
        (sealed(foreign(id="")), "field", "id"),
        (sealed(foreign(id="K7F2Q-12")), "field", "id"),
        (sealed(foreign(id="k7f2q-012")), "field", "id"),
        (sealed(foreign(tick="late")), "field", "tick"),
        (sealed(foreign(at="2027-02-09T16:30:00")), "field", "at"),
        (sealed(foreign(v=0)), "field", "v"),
    ],
)
def test_a_line_that_does_not_count_says_why(line: bytes, fault: str, words: str) -> None:
    with pytest.raises(UnreadableLine) as refused:
        decode(line)
    assert refused.value.fault == fault
    assert words in str(refused.value)


@pytest.mark.parametrize("changes", [{}, {"colour": "blue"}, {"kind": "weather", "sky": [1, 2]}])
def test_a_sound_line_of_a_newer_format_is_told_apart(changes: dict[str, object]) -> None:
    with pytest.raises(NewerLine):
        decode(sealed(foreign(v=2, **changes)))


def test_a_newer_line_that_was_damaged_is_not_taken_for_newer() -> None:
    with pytest.raises(UnreadableLine, match="checksum"):
        decode(sealed(foreign(v=2)).replace(b"widow", b"window"))


def test_a_newer_line_nested_beyond_all_reason_is_set_apart() -> None:
    head = b'{"v":2,"kind":"weather","sky":' + b"[" * 100_000 + b"]" * 100_000
    with pytest.raises((NewerLine, UnreadableLine)):
        decode(head + b',"crc":"%08x"}' % crc32(head))


@pytest.mark.parametrize("ascii_only", [True, False])
@pytest.mark.parametrize(
    "mark",
    [
        "\x00",
        "\x07",
        "\x1b",
        "\x7f",
        "\x85",
        "\x9b",
        "\u2028",
        "\u2029",
        *"\u202a\u202b\u202c\u202d\u202e",
        *"\u2066\u2067\u2068\u2069",
    ],
    ids=lambda mark: f"U+{ord(mark):04X}",
)
def test_another_desks_line_brings_no_control_character(mark: str, ascii_only: bool) -> None:
    line = sealed(foreign(text=f"look {mark}up", by=f"P{mark}errin"), ascii_only=ascii_only)
    entry = decode(line)
    assert (entry["text"], entry["by"]) == ("look up", "Perrin")


def test_another_desks_line_brings_no_byte_order_mark() -> None:
    assert decode(sealed(foreign(text="look \ufeffup")))["text"] == "look up"


@pytest.mark.parametrize("name", ["Cliff\nLedge", "Cliff\tLedge"])
def test_a_name_on_another_desks_line_is_one_line_too(name: str) -> None:
    assert decode(sealed(foreign(line=name)))["line"] == "Cliff Ledge"


def test_another_desks_name_of_nothing_but_controls_is_set_apart() -> None:
    with pytest.raises(UnreadableLine, match="by"):
        decode(sealed(foreign(by="\x07")))
