"""Tables for every form: what they show, that they fit, and that what people typed stays data."""

import csv
import io
from collections.abc import Iterator
from datetime import date

import pytest
from rich.console import Console

from fieldbook.book.book import Book
from fieldbook.book.entry import Block, Line, TapClass, TapRule
from fieldbook.reports.drops import drops_due, drops_listing
from fieldbook.reports.forecast import forecast
from fieldbook.reports.forecast_tables import forecast_listings
from fieldbook.reports.lines import line_loads, lines_listing
from fieldbook.reports.listing import Listing, Money, said, shown
from fieldbook.reports.render.listings import listing_csv, listing_lines, listings_text
from fieldbook.reports.render.terminal import listings_terminal
from fieldbook.reports.supplies import supplies_listings, supplies_needed
from fieldbook.reports.trees import allowance, trees_listing
from fieldbook.reports.wear import wear, wear_listing
from fieldbook.resources import resource
from fieldbook.season.season import Season
from tests.conftest import aside, count, stamp
from tests.demo_woods import TODAY
from tests.reports.helpers import is_sound, rules, trees


def table(*rows: tuple[object, ...], by_block: bool = True) -> Listing:
    return Listing(
        name="taps",
        title="Taps",
        columns=("block", "line", "taps", "hung", "slope"),
        heads=("Block", "Line", "Taps", None, "%"),
        rows=rows,
        notes=("! look", "a note"),
        by_block=by_block,
    )


def every(season: Season, day: date) -> Iterator[Listing]:
    """Every table there is."""
    yield trees_listing(allowance(season))
    yield wear_listing(wear(season))
    yield drops_listing(drops_due(season))
    yield lines_listing(line_loads(season))
    yield from supplies_listings(supplies_needed(season))
    yield from forecast_listings(forecast(season, day))


# --- values ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (None, "-"),
        (0, "0"),
        (1820, "1,820"),
        (2.5, "2.5"),
        (1234.0, "1,234"),
        (0.125, "0.12"),
        (100.0, "100"),
        (-0.13, "-0.13"),
        (-0.001, "0"),  # and not -0
        (date(2027, 2, 9), "9 Feb"),
        (Money(45.9), "45.90"),
        (Money(1234), "1,234.00"),
        (Money(0), "0.00"),
        (Money(-0.3), "-0.30"),
        (Money(-0.001), "0.00"),
        ("Gate [b]main[/b]", "Gate [b]main[/b]"),
        ("", ""),
    ],
)
def test_a_value_as_it_is_read(value: object, text: str) -> None:
    assert said(value) == text


# --- shown -------------------------------------------------------------------------------------


def test_a_block_is_named_once_above_its_lines() -> None:
    listing = table(
        ("Ledge", "Cliff", 42, 2024, 2.5),
        ("Ledge", "Cedar", 60, 2026, 3.0),
        ("Creek", "Ford", 9, None, None),
    )
    assert listing_lines(listing) == [
        "Taps",
        "Line     Taps    %",
        "Ledge",
        "  Cliff    42  2.5",
        "  Cedar    60    3",
        "Creek",
        "  Ford      9    -",
        "! look",
        "a note",
    ]


def test_a_row_without_a_line_is_the_block_s() -> None:
    listing = table(("Ledge", "", 102, None, None), ("Ledge", "Cliff", 42, 2024, 2.5))
    assert shown(listing).rows == (("Ledge", "102", "-"), ("  Cliff", "42", "2.5"))


def test_columns_of_numbers_are_set_flush_right() -> None:
    listing = table(("Ledge", "Cliff", 42, 2024, "steep"), ("Ledge", "Cedar", None, 2026, "2"))
    assert shown(listing).right == {1}
    assert shown(table(("Ledge", "Cliff", 42, 2024, 1.5), by_block=False)).right == {2, 3}
    assert shown(table()).right == frozenset()


def test_a_file_has_the_columns_that_people_are_spared() -> None:
    text = listing_csv(table(("Ledge", "Cliff", 42, 2024, 2.5)))
    assert text == "block,line,taps,hung,slope\nLedge,Cliff,42,2024,2.5\n"


def test_money_is_a_number() -> None:
    listing = Listing("x", "X", ("cost",), ("Cost",), ((Money(0.1 + 0.2),), (Money(1200),)))
    assert shown(listing).rows == (("0.30",), ("1,200.00",))
    assert shown(listing).right == {0}
    assert listing_csv(listing) == "cost\n0.3\n1200\n"


def test_long_notes_are_wrapped_and_tables_parted() -> None:
    long = Listing("x", "X", ("a",), ("A",), ((1,),), notes=("word " * 40,))
    text = listings_text("Quillby Hollow", [long, table()], first=["  curve"])
    assert max(map(len, text.splitlines())) <= 80
    assert text.startswith("Quillby Hollow\n\n  curve\n\nX\nA\n1\nword word")
    assert text.endswith("\n\nTaps\nLine  Taps  %\n! look\na note\n")
    assert listings_text("Quillby Hollow", [long]).startswith("Quillby Hollow\n\nX\nA\n1\n")


# --- every table -------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def demo() -> Season:
    """The demo season as it stands on its day, only read."""
    return Season(Book.open(resource("demo_season"), year=2027), as_of=TODAY)


def typed(season: Season) -> set[str]:
    """Words people typed that are in tables: names of blocks and lines."""
    return {*season.plan.blocks, *(line.line for line in season.plan.lines)}


def test_every_table_of_the_demo_fits_a_terminal(demo: Season) -> None:
    for listing in every(demo, TODAY):
        is_sound(listing)
        assert listing.rows
        for line in listing_lines(listing):
            assert len(line) <= 80, line


def test_every_table_of_the_demo_is_ascii_but_for_names(demo: Season) -> None:
    odd = {name for name in typed(demo) if not name.isascii()}
    assert odd  # a name with an accent is in it
    for listing in every(demo, TODAY):
        for line in listing_lines(listing):
            plain = line
            for name in odd:
                plain = plain.replace(name, "")
            assert plain.isascii(), line


def test_a_terminal_shows_every_row_whole(demo: Season) -> None:
    console = Console(width=80, emoji=False, markup=False, highlight=False, color_system=None)
    for listing in every(demo, TODAY):
        with console.capture() as capture:
            console.print(listings_terminal("Harrow Hill", [listing], first=["  curve"]))
        text = capture.get()
        assert text.startswith("Harrow Hill\n\n  curve\n\n" + listing.title)
        lines = [line.rstrip() for line in text.splitlines()]
        notes = [wrapped for note in listing.notes for wrapped in note.split()]
        for row in listing_lines(listing)[1 : 2 + len(shown(listing).rows)]:
            assert row in lines
        assert text.split()[len(text.split()) - len(notes) :] == notes


@pytest.fixture
def rough(season: Season) -> Season:
    """Quillby Hollow with names that a spreadsheet, a terminal or a format may take for its own."""
    season.record(
        Block(block="=SUM(A1)", **stamp()),
        Line(block="=SUM(A1)", line="+1 [red]{line}", taps_planned=40, **stamp()),
        Line(block="=SUM(A1)", line="@{0} %s", taps_planned=40, diameter_in=1, **stamp()),
        TapRule(rule="=9,9", unit="in", classes=(TapClass(from_dbh=9, taps=1),), **stamp()),
        *rules(tap_rule="=9,9", pump_cfm=100),
        trees("=SUM(A1)/@{0} %s", "12:10"),
        count("=SUM(A1)/@{0} %s", "tapping", 3),
        aside("=SUM(A1)/+1 [red]{line}", "tapping", "-cmd"),
    )
    return season


def test_what_people_typed_is_no_formula_and_no_markup(rough: Season) -> None:
    day = date(2027, 2, 9)
    for listing in every(rough, day):
        is_sound(listing)
        for row in csv.reader(io.StringIO(listing_csv(listing), newline="")):
            for cell in row:
                negative = cell.lstrip("-").replace(".", "").isdigit()
                assert cell[:1] not in ("=", "+", "@", *([] if negative else "-")), cell
        plain = "\n".join(listing_lines(listing))
        console = Console(width=400, emoji=False, markup=False, highlight=False)
        with console.capture() as capture:
            console.print(listings_terminal("x", [listing]))
        for name in ("[red]{line}", "@{0} %s"):
            assert (name in capture.get()) == (name in plain)
    told = "\n".join(line for listing in every(rough, day) for line in listing_lines(listing))
    assert "! =SUM(A1) / @{0} %s: 30 taps over the 10 that its 10 trees allow" in told
    assert "+1 [red]{line}" in told
