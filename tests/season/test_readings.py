"""Gauges as people type them, and what cannot be."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldbook.book.entry import AnyEntry, Line, Reading, Setting
from fieldbook.errors import BookError
from fieldbook.season.found import read_leak, read_mended, read_test
from fieldbook.season.readings import ceiling_inhg, check_reading, inhg_of, read_readings
from tests.conftest import folded, refused, stamp

FAR, HEAD, PUMP = ({"place": name, "pipe": ""} for name in ("far end", "head", "pump"))
WET, DRY = ({"place": "far end", "pipe": name} for name in ("wet", "dry"))


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("24.5", [{**FAR, "vacuum_inhg": 24.5}]),
        ("24,5", [{**FAR, "vacuum_inhg": 24.5}]),
        ("head 25, far 24.5", [{**HEAD, "vacuum_inhg": 25}, {**FAR, "vacuum_inhg": 24.5}]),
        ("Head: 25; FAR END 24.5", [{**HEAD, "vacuum_inhg": 25}, {**FAR, "vacuum_inhg": 24.5}]),
        ("25,24", [{**FAR, "vacuum_inhg": 25.24}]),  # without a blank it is a decimal comma
        ("wet 17, dry 24.5", [{**WET, "vacuum_inhg": 17}, {**DRY, "vacuum_inhg": 24.5}]),
        ("head dry 24", [{**HEAD, "pipe": "dry", "vacuum_inhg": 24}]),
        ("pump 25.5", [{**PUMP, "vacuum_inhg": 25.5}]),
        ("releaser at 25", [{**PUMP, "place": "releaser", "vacuum_inhg": 25}]),
        ("83 kPa", [{**FAR, "vacuum_kpa": 83}]),
        ("head 84kpa far 24 inHg", [{**HEAD, "vacuum_kpa": 84}, {**FAR, "vacuum_inhg": 24}]),
        ('far 24"', [{**FAR, "vacuum_inhg": 24}]),
        ("-3", [{**FAR, "vacuum_inhg": -3}]),  # who records it is told that it cannot be
    ],
)
def test_what_is_typed_is_read(text: str, found: list[dict[str, Any]]) -> None:
    assert read_readings(text) == found


def test_a_number_alone_is_the_pump_s_where_no_line_is_meant() -> None:
    assert read_readings("25", line=False) == [{**PUMP, "vacuum_inhg": 25}]
    assert read_readings("83", metric=True) == [{**FAR, "vacuum_kpa": 83}]
    assert read_readings("24.5 inHg", metric=True) == [{**FAR, "vacuum_inhg": 24.5}]


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "is no reading"),
        ("good", "is no reading"),
        ("head", "is no reading"),
        ("24 wet", "is no reading"),  # a pipe, and no number after it
        ("24.5 psi", "is no reading"),
        ("inHg", "is no reading"),
        ("24 25", "says a reading twice"),
        ("far 24, far 23", "says a reading twice"),
        ("wet 24, wet 23", "says a reading twice"),
    ],
)
def test_what_is_no_reading_is_refused_with_the_form(text: str, why: str) -> None:
    message, hint, _code = refused(lambda: read_readings(text))
    assert why in message
    assert "head 25, far 24.5" in hint


@given(
    st.text(alphabet=st.sampled_from('24.5, headfarwetdrypumpkinhg:;-"[/]\x1b=') | st.characters())
)
def test_whatever_is_typed_is_read_or_refused(text: str) -> None:
    try:
        found = read_readings(text)
    except BookError:
        return
    assert found
    assert all(len({"vacuum_inhg", "vacuum_kpa"} & set(reading)) == 1 for reading in found)


GAUGES = st.lists(
    st.tuples(st.sampled_from(["head", "far", "pump", "releaser"]), st.integers(0, 300)),
    min_size=1,
    max_size=4,
    unique_by=lambda gauge: gauge[0],
)


@given(GAUGES, st.sampled_from([", ", "; ", " "]), st.sampled_from(["", " kPa", "inHg"]))
def test_what_is_written_out_comes_in_again(
    gauges: list[tuple[str, int]], between: str, unit: str
) -> None:
    text = between.join(f"{place} {tenths / 10:.1f}{unit}" for place, tenths in gauges)
    field = "vacuum_kpa" if "kPa" in unit else "vacuum_inhg"
    names = {"far": "far end"}
    assert [(read["place"], read[field]) for read in read_readings(text)] == [
        (names.get(place, place), tenths / 10) for place, tenths in gauges
    ]


# --- what cannot be ----------------------------------------------------------------------------

PAIR = Line(block="Ledge", line="Cedar", order=2, layout="pair", **stamp())


def reading(where: str = "Ledge/Cliff", **fields: Any) -> Reading:
    block, _slash, line = where.partition("/")
    fields = {"place": "far end", "vacuum_inhg": 24.5, **fields}
    return Reading(block=block, line=line, who="Wim", **fields, **stamp())


def said_of(draft: Reading, *plan: AnyEntry) -> tuple[str, str]:
    message, hint, _code = refused(lambda: check_reading(draft, folded(*plan).plan))
    return message, hint


@pytest.mark.parametrize(
    "draft",
    [
        reading(),
        reading(vacuum_inhg=0),
        reading(vacuum_inhg=29.92),
        reading(vacuum_inhg=None, vacuum_kpa=101.3),
        reading("Ledge/Cedar", pipe="dry"),
        reading("", place="pump"),
        reading("Ledge", place="releaser"),
    ],
)
def test_what_can_be_passes(draft: Reading) -> None:
    check_reading(draft, folded(PAIR).plan)


def test_nothing_is_above_the_ceiling() -> None:
    # US Standard Atmosphere 1976: 28.75 inHg at 1,100 ft
    high = Setting(setting="elevation_ft", value=1100, **stamp())
    assert ceiling_inhg(folded(high).plan) == pytest.approx(28.75, abs=0.005)
    check_reading(reading(vacuum_inhg=28.75), folded(high).plan)
    message, hint = said_of(reading(vacuum_inhg=28.76), high)
    assert message == "28.76 inHg cannot be: the ceiling at 1,100 ft is 28.8 inHg (97 kPa)."
    assert "83 kPa" in hint
    assert "elevation_ft" in hint
    message, _hint = said_of(reading(vacuum_inhg=None, vacuum_kpa=98), high)
    assert message.startswith("98 kPa cannot be: the ceiling")


@pytest.mark.parametrize(
    ("draft", "why"),
    [
        (reading(vacuum_inhg=-0.1), "-0.1 inHg cannot be"),
        (reading(vacuum_inhg=None), "in inHg or in kPa, one of the two"),
        (reading(vacuum_kpa=80), "in inHg or in kPa, one of the two"),
        (reading("Ledge"), "A gauge at the far end belongs to a line."),
        (reading(place="pump"), "The gauge at the pump belongs to no line."),
        (reading(pipe="wet"), "Cliff is no wet/dry pair"),
        (reading("", place="pump", pipe="wet"), "pump is no wet/dry pair"),
    ],
)
def test_what_cannot_be_is_refused(draft: Reading, why: str) -> None:
    assert why in said_of(draft)[0]


def test_both_units_are_one() -> None:
    # 1 inHg = 3.386 kPa
    assert inhg_of(reading(vacuum_inhg=None, vacuum_kpa=84.66)) == pytest.approx(25.0, abs=0.001)
    assert inhg_of(reading(vacuum_inhg=25.0)) == 25.0


# --- leaks and valve tests ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "lateral", "cause"),
    [
        ("third lateral, chewed", "3", "chewed"),
        ("a squirrel at the 12th lateral", "12", "chewed"),
        ("lateral #4: drop is off", "4", "drop off"),
        ("spout pulled out at the 2nd lateral", "2", "spout loose"),
        ("loose spout", "", "spout loose"),
        ("cracked tee", "", "fitting"),
        ("main cut by the ash, lateral 7", "7", "main cut"),
        ("tree down, main is broken", "", "tree down"),  # the graver of the two
        ("hiss by the maintree road", "", ""),
        ("lateral", "", ""),
        ("21st lateral", "21", ""),
    ],
)
def test_lateral_and_cause_are_taken_from_the_words(words: str, lateral: str, cause: str) -> None:
    read = read_leak(words)
    assert (read.get("lateral", ""), read.get("cause", "")) == (lateral, cause)
    assert read["text"] == words  # which stay as they were typed


@pytest.mark.parametrize(
    ("text", "heard", "state", "reason"),
    [
        ("heard", True, "open", ""),
        ("Heard, at the second lateral", True, "open", "at the second lateral"),
        ("h", True, "open", ""),
        ("not heard", False, "open", ""),
        ("nothing heard", False, "open", ""),
        ("n", False, "open", ""),
        ("tight", False, "open", ""),
        ("heard, left shut: main is cut", True, "shut", "main is cut"),
        ("heard shut", True, "shut", ""),
        ("not heard, opened again", False, "open", ""),
    ],
)
def test_a_valve_test_says_what_was_heard(
    text: str, *, heard: bool, state: str, reason: str
) -> None:
    assert read_test(text) == {"heard": heard, "state": state, "reason": reason}


@pytest.mark.parametrize("text", ["", "left shut", "harder", "yes"])
def test_a_valve_test_that_does_not_say_is_refused(text: str) -> None:
    message, hint, _code = refused(lambda: read_test(text))
    assert "does not say whether air was heard" in message
    assert "not heard" in hint


def test_words_of_mending_may_end_with_what_the_line_reads_now() -> None:
    assert read_mended("new tee, 24.5 inHg") == ("new tee", {"vacuum_inhg": 24.5})
    assert read_mended("new tee 83 kPa") == ("new tee", {"vacuum_kpa": 83.0})
    assert read_mended("new tee at post 24.5") == ("new tee at post 24.5", {})
