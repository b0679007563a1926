"""Sheets: their numbers, finding one again, and what of them is not keyed in."""

from typing import Any

import pytest
from msgspec.structs import replace

from fieldbook.book.book import Book
from fieldbook.book.entry import Settle, Sheet
from fieldbook.errors import Doubtful
from fieldbook.season.items import What, open_items
from fieldbook.season.season import Season
from fieldbook.season.sheets import draft, find_sheet, keyed, next_number, unkeyed_lines
from tests.conftest import NOW, aside, count, finish, folded, numbered, refused, stamp


def sheet(
    number: int = 31,
    *,
    block: str = "Ledge",
    lines: tuple[str, ...] = ("Cliff", "Cedar"),
    day: str = "2027-02-09",
    who: str = "",
) -> Sheet:
    return Sheet(sheet=number, block=block, task="tapping", lines=lines, who=who, **stamp(day))


def drafted(season: Season, **asked: Any) -> Sheet:
    return draft(season, **{"block": "ledge", "task": "tapping", **asked}, by="Oda", now=NOW)


# --- numbers -----------------------------------------------------------------------------------


def test_the_first_sheet_is_1_and_the_next_one_more_than_the_highest() -> None:
    assert next_number([]) == 1
    assert next_number(numbered(sheet(7), sheet(31), count("Ledge/Cliff", "tapping", 3))) == 32


def test_the_number_of_a_struck_sheet_is_not_given_again(season: Season) -> None:
    (first,) = season.record(drafted(season))
    season.strike(first.id, "printed twice", by="Oda", now=NOW)
    assert season.ledger.of(Sheet) == []
    assert drafted(season).sheet == 2


@pytest.mark.parametrize("number", [1, 5000])
def test_a_sheets_own_number_does_not_upset_the_numbers_of_entries(
    season: Season, number: int
) -> None:
    (first,) = season.record(replace(drafted(season), sheet=number))
    last = int(first.id.partition("-")[2])
    season.book.close()
    again = Season(Book.open(season.book.path, year=2027))
    assert again.book.highest_number("k7f2q") == last
    assert again.book.check() == []
    again.book.write_as("k7f2q")
    (next_one,) = again.record(count("Ledge/Cliff", "tapping", 3))
    assert next_one.id == f"k7f2q-{last + 1}"
    again.book.close()


# --- what goes on one --------------------------------------------------------------------------


def test_lines_go_on_in_walking_order_each_once(season: Season) -> None:
    asked = drafted(season, block="creek", task="tap", lines=("culvert", "1", "Ford"), who="perr")
    assert (asked.block, asked.task, asked.lines) == ("Creek", "tapping", ("Ford", "Culvert"))
    (saved,) = season.record(asked)
    assert isinstance(saved, Sheet)
    assert saved.who == "Perrin"
    assert (saved.at, saved.by) == (NOW, "Oda")


def test_all_lines_or_only_those_somebody_still_has_to_go_to(season: Season) -> None:
    season.record(count("Creek/Ford", "tapping", 120), count("Creek/Spring", "tapping", 3))
    assert drafted(season, block="Creek").lines == ("Ford", "Spring", "Culvert")
    assert drafted(season, block="Creek", open_only=True).lines == ("Spring",)
    season.record(aside("Creek/Spring", "tapping", "ice"))
    message, hint, _code = refused(lambda: drafted(season, block="Creek", open_only=True))
    assert message == "None of these lines of Creek is open in tapping."
    assert hint == "Without --open they are printed all the same."


def test_lines_that_are_to_come_first_do_and_the_others_follow_in_walking_order(
    season: Season,
) -> None:
    first = {"block": "Creek", "task": "leaks", "order": ("Culvert", "Cliff", "Spring")}
    assert drafted(season, **first).lines == ("Culvert", "Spring", "Ford")
    assert drafted(season, **first, lines=("Ford", "Spring")).lines == ("Spring", "Ford")
    season.record(count("Creek/Culvert", "leaks", 1))
    assert drafted(season, **first, open_only=True).lines == ("Spring", "Ford")


def test_names_that_are_not_in_the_plan_are_refused(season: Season) -> None:
    assert refused(lambda: drafted(season, block="Volcano"))[0] == "No block is called 'Volcano'."
    assert refused(lambda: drafted(season, task="dancing"))[0] == "No task is called 'dancing'."
    assert "'Ford'" in refused(lambda: drafted(season, lines=("Ford",)))[0]
    assert not season.ledger.of(Sheet)


# --- finding one -------------------------------------------------------------------------------


def test_a_sheet_is_found_by_its_number_or_its_id() -> None:
    ledger = folded(sheet(31), sheet(32, block="Creek", lines=("Ford",)))
    first, second = ledger.of(Sheet)
    for text in ("31", " #31 ", "sheet 31", first.id, first.id.upper()):
        assert find_sheet(ledger, text) is first
    assert find_sheet(ledger, "32") is second


def test_two_sheets_of_one_number_are_named_with_their_ids() -> None:
    other = replace(sheet(31, block="Creek", lines=("Ford",), who="Wim"), id="m4w8d-3", tick=90)
    ledger = folded(sheet(31), other)
    first = ledger.of(Sheet)[0]
    message, hint, _code = refused(lambda: find_sheet(ledger, "31"))
    assert message == (
        f"More than one sheet has the number 31: {first.id}, Ledge, tapping, Tue 9 Feb; "
        "m4w8d-3, Creek, tapping, Tue 9 Feb, Wim."
    )
    assert first.id in hint
    assert find_sheet(ledger, "m4w8d-3") is other


@pytest.mark.parametrize("text", ["30", "", "-1", "3", "k7f2q", "9" * 5000, "[red]31[/]"])
def test_a_sheet_that_is_not_there_is_answered_with_those_that_are(text: str) -> None:
    message, hint, _code = refused(lambda: find_sheet(folded(sheet(31)), text))
    assert message.startswith("There is no sheet ")
    assert "31 = " in hint
    assert refused(lambda: find_sheet(folded(), text))[1] == "None was printed yet."


# --- keyed in ----------------------------------------------------------------------------------


def test_lines_without_an_entry_since_the_sheet_was_printed_are_not_keyed() -> None:
    ledger = folded(
        count("Creek/Ford", "tapping", 10, day="2027-02-08"),  # the day before
        count("Creek/Ford", "tapping", 10),  # that morning, off no paper
        sheet(block="Creek", lines=("Ford", "Spring", "Culvert")),
        count("Creek/Spring", "tapping", 10, day="2027-02-09"),
        count("Creek/Ford", "tensioning", 4),  # another task
    )
    (printed,) = ledger.of(Sheet)
    assert unkeyed_lines(ledger, printed) == ["Ford"]  # nothing is due on Culvert


def test_lines_that_were_done_or_set_aside_before_ask_for_nothing() -> None:
    ledger = folded(
        count("Ledge/Cliff", "tapping", 42, day="2027-02-05"),
        aside("Ledge/Cedar", "tapping", "ice", day="2027-02-05"),
        sheet(),
    )
    assert unkeyed_lines(ledger, ledger.of(Sheet)[0]) == []


def test_a_line_that_left_the_plan_is_asked_about_too() -> None:
    ledger = folded(sheet(lines=("Cliff", "Old main")), finish("Ledge/Cliff", "tapping", "x"))
    assert unkeyed_lines(ledger, ledger.of(Sheet)[0]) == ["Old main"]


def test_a_sheet_is_open_until_it_is_keyed_in(season: Season) -> None:
    (printed,) = season.record(drafted(season))
    assert isinstance(printed, Sheet)

    def still_open() -> list[int]:
        items = open_items(season.ledger, NOW)
        return [item.sheet for item in items if item.what is What.SHEET]

    def settle(*, really: bool = False) -> Settle:
        return keyed(season.ledger, printed, who="Wim", by="Oda", now=NOW, really=really)

    assert still_open() == [1]
    with pytest.raises(Doubtful) as doubt:
        settle()
    assert doubt.value.message == "Nothing is keyed on Cliff, Cedar since sheet 1 was printed."
    season.record(count("Ledge/Cliff", "tapping", 42))
    assert refused(settle)[0] == "Nothing is keyed on Cedar since sheet 1 was printed."
    assert settle(really=True).entry == printed.id
    season.record(count("Ledge/Cedar", "tapping", 0))
    (closing,) = season.record(settle())
    assert still_open() == []
    message, hint, _code = refused(lambda: settle(really=True))
    assert message == f"Sheet 1 was keyed in already: Wim, Tue 9 Feb ({closing.id})."
    assert closing.id in hint
    season.strike(closing.id, "it was not", by="Oda", now=NOW)
    assert still_open() == [1]


def test_a_long_list_of_lines_is_cut_in_the_question() -> None:
    names = tuple(f"Line {n}" for n in range(9))
    ledger = folded(sheet(lines=names))
    printed = ledger.of(Sheet)[0]
    message = refused(lambda: keyed(ledger, printed, who="Oda", by="Oda", now=NOW))[0]
    assert message == (
        "Nothing is keyed on Line 0, Line 1, Line 2, Line 3, ... since sheet 31 was printed."
    )
