"""Spouts in and out of a bag, as people type them."""

from contextlib import suppress
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldbook.book.entry import Spouts
from fieldbook.errors import BookError
from fieldbook.season.stock import MOVES, read_spouts
from tests.conftest import refused, stamp

HINT = "Write issued 200, returned 12 or scrapped 3; or several: returned 12, scrapped 3."


@pytest.mark.parametrize(
    ("typed", "move", "count"),
    [
        ("issued 200", "issued", 200),
        ("returned 12", "returned", 12),
        ("scrapped 3", "scrapped", 3),
        ("200", "issued", 200),  # a number alone was issued
        ("r 12", "returned", 12),
        ("s 3", "scrapped", 3),
        ("iss 40", "issued", 40),
        ("12 returned", "returned", 12),
        ("RETURNED 12", "returned", 12),
        ("  scrapped\t3 ", "scrapped", 3),
        ("returned 0", "returned", 0),
        ("issued 0200", "issued", 200),
        ("issued 999999", "issued", 999_999),
        ("issued 20,", "issued", 20),
    ],
)
def test_what_became_of_how_many(typed: str, move: str, count: int) -> None:
    assert read_spouts(typed) == [{"move": move, "count": count}]


@pytest.mark.parametrize(
    "typed",
    [
        *("", "issued", "some", "issued some"),
        *("issued 2 3", "200 12", "issued returned 12", "issued 200 spouts"),
        *("lost 12", "returns 12", "x 5"),
        *("issued -12", "issued 12.5", "issued 1,200", "+5", "1e3"),
        "issued 1000000",  # seven digits: nobody's bag holds that
        *(",", "1,200 issued"),
    ],
)
def test_what_does_not_say_how_many_is_refused(typed: str) -> None:
    message, hint, _code = refused(lambda: read_spouts(typed))
    assert message == f"{typed!r} does not say how many spouts."
    assert hint == HINT


@pytest.mark.parametrize("typed", ["returned 60, scrapped 3", "r 60;s 3", "60 returned , 3 scr,"])
def test_several_are_parted_by_commas(typed: str) -> None:
    assert read_spouts(typed) == [
        {"move": "returned", "count": 60},
        {"move": "scrapped", "count": 3},
    ]


@pytest.mark.parametrize(
    ("typed", "part"),
    [("returned 60, 3", "3"), ("60, scrapped 3", "60"), ("r 6, lost 2", "lost 2")],
)
def test_in_a_list_each_says_what_became_of_it(typed: str, part: str) -> None:
    message, hint, _code = refused(lambda: read_spouts(typed))
    assert message == f"{part!r} does not say how many spouts."
    assert hint == HINT


@given(st.sampled_from(MOVES), st.integers(0, 999_999), st.data())
def test_each_beginning_of_a_word_will_do(move: str, count: int, data: Any) -> None:
    word = move[: data.draw(st.integers(1, len(move)))]
    typed = data.draw(st.sampled_from([f"{word} {count}", f"{count} {word}"]))
    assert read_spouts(typed) == [{"move": move, "count": count}]


@given(st.text(max_size=12))
def test_whatever_is_typed_is_an_entry_or_a_refusal(typed: str) -> None:
    with suppress(BookError):
        for moved in read_spouts(typed):
            entry = Spouts(who="Wim", **moved, **stamp())
            assert entry.move in MOVES
            assert 0 <= entry.count < 1_000_000
