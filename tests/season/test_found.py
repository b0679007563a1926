"""What is found in the woods, as people type it on one line."""

from datetime import date

import pytest

from fieldbook.season.found import read_back, read_leak, read_out, read_promise

TODAY = date(2027, 2, 9)


@pytest.mark.parametrize(
    ("text", "fields"),
    [
        ("hiss by the fence", {"text": "hiss by the fence"}),
        ("hiss at the fifth lateral", {"text": "hiss at the fifth lateral", "lateral": "5"}),
        ("hiss, 8 kPa", {"text": "hiss", "lost_kpa": 8.0}),
        ("hiss, 2.5 inHg", {"text": "hiss", "lost_inhg": 2.5}),
        ("hiss 2,5 inhg", {"text": "hiss", "lost_inhg": 2.5}),
        (
            "squirrel; two tees: 11 inHg.",
            {"text": "squirrel; two tees", "lost_inhg": 11.0, "cause": "chewed"},
        ),
        ("2.5 inHg", {"text": "2.5 inHg"}),  # it does not say where: the words stay as they are
        ("down to 12 inHg at the far end", {"text": "down to 12 inHg at the far end"}),
        ("hiss at lateral 5", {"text": "hiss at lateral 5", "lateral": "5"}),
    ],
)
def test_a_leak_may_end_with_what_it_costs(text: str, fields: dict[str, object]) -> None:
    assert read_leak(text) == fields


@pytest.mark.parametrize(
    ("text", "words", "due"),
    [
        ("new tee", "new tee", None),
        ("new tee by 12 Feb", "new tee", date(2027, 2, 12)),
        ("new tee, by 2027-02-20", "new tee", date(2027, 2, 20)),
        ("splice by the bridge", "splice by the bridge", None),
        ("splice by the bridge by 12 Feb", "splice by the bridge", date(2027, 2, 12)),
        ("tee by 03/04", "tee by 03/04", None),  # could be read two ways: it stays in the words
    ],
)
def test_a_promise_may_end_with_its_day(text: str, words: str, due: date | None) -> None:
    expected: dict[str, object] = {"text": words}
    if due is not None:
        expected["due"] = due
    assert read_promise(text, today=TODAY) == expected


@pytest.mark.parametrize(
    ("text", "start", "due", "note"),
    [
        ("16:30", "", "16:30", ""),
        ("16:30 with Tor, by the lower road", "", "16:30", "with Tor, by the lower road"),
        ("1630, with Tor", "", "1630", "with Tor"),
        ("  16.30  ", "", "16.30", ""),
        ("16 with Tor", "", "16", "with Tor"),
        ("", "", "", ""),
        ("half past four", "", "half", "past four"),  # which is no time: whoever reads it says so
        ("tomorrow 1:30", "", "tomorrow 1:30", ""),
        ("26 Nov 1:30 with Tor", "", "26 Nov 1:30", "with Tor"),
        ("Feb 10, 1:30", "", "Feb 10, 1:30", ""),
        ("mon 7, on the sled", "", "mon 7", "on the sled"),
        ("2027-02-10 01:30", "", "2027-02-10 01:30", ""),
        ("16 Marta 3 lines", "", "16", "Marta 3 lines"),  # no month is called so
        ("12:40-16:30 with Tor", "12:40", "16:30", "with Tor"),
        ("1240 - 1630", "1240", "1630", ""),
        ("22:40-tomorrow 1:30", "22:40", "tomorrow 1:30", ""),
    ],
)
def test_it_begins_with_when_somebody_is_due_or_with_both_times(
    text: str, start: str, due: str, note: str
) -> None:
    assert read_out(text) == (start, due, note)


@pytest.mark.parametrize(
    ("text", "later", "time", "note"),
    [
        ("", False, "", ""),
        ("wet through", False, "", "wet through"),
        ("17:10", False, "17:10", ""),
        ("17:10 wet through", False, "17:10", "wet through"),
        ("yesterday 23:50", False, "yesterday 23:50", ""),
        ("2 taps left at the top", False, "", "2 taps left at the top"),  # not at two o'clock
        ("later 18:30", True, "18:30", ""),
        ("Later: 18, with Wes", True, "18", "with Wes"),
        ("later tomorrow 1:30", True, "tomorrow 1:30", ""),
        ("later", True, "", ""),  # nobody is back by that: whoever reads it asks when
        ("lateral 3 is down", False, "", "lateral 3 is down"),
    ],
)
def test_back_now_or_then_or_due_later(text: str, later: bool, time: str, note: str) -> None:
    assert read_back(text) == (later, time, note)
