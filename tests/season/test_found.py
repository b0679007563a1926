"""What is found in the woods, as people type it on one line."""

from datetime import date

import pytest

from fieldbook.season.found import read_leak, read_out, read_promise

TODAY = date(2027, 2, 9)


@pytest.mark.parametrize(
    ("text", "fields"),
    [
        ("hiss at the fifth lateral", {"text": "hiss at the fifth lateral"}),
        ("hiss, 2.5 inHg", {"text": "hiss", "lost_inhg": 2.5}),
        ("hiss 2,5 inhg", {"text": "hiss", "lost_inhg": 2.5}),
        ("squirrel; two tees: 11 inHg.", {"text": "squirrel; two tees", "lost_inhg": 11.0}),
        ("2.5 inHg", {"text": "2.5 inHg"}),  # it does not say where: the words stay as they are
        ("down to 12 inHg at the far end", {"text": "down to 12 inHg at the far end"}),
        ("hiss at lateral 5", {"text": "hiss at lateral 5"}),
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
    ("text", "time", "note"),
    [
        ("16:30", "16:30", ""),
        ("16:30 with Tor, by the lower road", "16:30", "with Tor, by the lower road"),
        ("1630, with Tor", "1630", "with Tor"),
        ("  16.30  ", "16.30", ""),
        ("", "", ""),
    ],
)
def test_the_first_word_is_when_somebody_is_due(text: str, time: str, note: str) -> None:
    assert read_out(text) == (time, note)
