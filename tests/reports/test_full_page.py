"""The season in full as a page: its words, its tables, and every form it is put in.

Numbers are worked out in `test_full`, `test_work` and `test_costs`; here is what is said of them.
"""

import csv
import io
import json
import re
from datetime import date
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from msgspec.structs import replace
from pypdf import PdfReader

from fieldbook.book.book import Book
from fieldbook.book.entry import (
    AnyEntry,
    Block,
    Count,
    Finish,
    Leak,
    Line,
    Note,
    Person,
    Repair,
    Run,
    Spouts,
)
from fieldbook.commands.common import render_terminal
from fieldbook.reports.full import Full, Reported, full_summary
from fieldbook.reports.full_page import (
    days_words,
    file_name,
    full_page,
    part_of,
    reported_words,
    tables,
)
from fieldbook.reports.listing import Listing, shown
from fieldbook.reports.page import Page, Section
from fieldbook.reports.render.json import to_json
from fieldbook.reports.render.listings import listing_csv
from fieldbook.reports.render.page_html import page_html
from fieldbook.reports.render.page_pdf import page_pdf
from fieldbook.reports.render.page_terminal import page_terminal
from fieldbook.reports.render.page_text import page_text
from fieldbook.season.items import What, open_items
from fieldbook.season.season import Season
from tests.conftest import DESK, NOW, PLAN, count, stamp
from tests.reports import TUESDAY, on, work
from tests.reports.helpers import is_sound
from tests.reports.pages import HOSTILE, said_in, squeezed
from tests.season.gauges import TAPPED, leak_at, read
from tests.season.woods import close, write_off

TABLES = (
    *("plan", "blocks", "tasks", "people", "spouts", "ages", "bags", "sap", "runs", "costs"),
    *("carried", "notes", "written-off", "struck"),
)


def of(season: Season, day: date = TUESDAY) -> Full:
    return full_summary(on(season, day), day, NOW)


def after(season: Season, *entries: AnyEntry) -> Full:
    season.record(*entries, really=True)
    return of(season)


@pytest.fixture
def full(season: Season) -> Full:
    work(season)
    return of(season)


def section(full: Full, name: str) -> Section:
    (found,) = (part for part in full_page(full).sections if part.name == name)
    return found


def table(full: Full, name: str) -> Listing:
    (found,) = (listing for listing in tables(full) if listing.name == name)
    return found


# --- what stands at its head -------------------------------------------------------------------


def test_the_head_says_where_the_season_stands(full: Full) -> None:
    page = full_page(full)
    assert (page.title, page.as_of) == ("Season summary", TUESDAY)
    assert page.heading == "Quillby Hollow, season 2027, as of Tue 9 Feb 2027"
    assert page.lines[0] == "Taps in 95 of 257 (35 %), left 165"
    assert page.lines[-2:] == (
        "On record from 10 Dec 2026 to 9 Feb 2027",
        "For the report on public land: 95 tapholes drilled, syrup made not written down",
    )


@pytest.mark.parametrize(
    ("reported", "words"),
    [
        (Reported(None, None, None), "tapholes not counted, syrup made not written down"),
        (Reported(0, 0.0, 0.0), "0 tapholes drilled, 0.0 gal (0.0 l) of syrup made"),
        (Reported(1, None, None), "1 taphole drilled, syrup made not written down"),
        (Reported(11949, 3315.7, 12551.29), "11,949 tapholes drilled, 3,315.7 gal (12,551.3 l) of"),
    ],
)
def test_one_line_says_what_a_report_on_public_land_asks_for(
    full: Full, reported: Reported, words: str
) -> None:
    said = reported_words(replace(full, reported=reported))
    assert said.startswith(f"For the report on public land: {words}")
    assert "\n" not in said


def test_a_season_of_one_day_and_of_none(full: Full, season: Season) -> None:
    one = replace(full, first_day=TUESDAY, last_day=TUESDAY)
    assert list(days_words(one)) == ["On record: 9 Feb 2027 alone"]
    assert list(days_words(replace(one, first_day=None, last_day=None))) == []


def test_its_file_is_named_by_season_and_day(full: Full) -> None:
    assert file_name(full.summary) == "summary-2027-2027-02-09.pdf"
    assert file_name(full.summary, 3) == "summary-2027-2027-02-09-3.pdf"


# --- its parts ---------------------------------------------------------------------------------


def test_parts_there_is_nothing_for_are_left_out(season: Season, full: Full) -> None:
    assert [part.name for part in full_page(full).sections] == [
        *("plan", "work", "spouts", "costs", "open", "short", "over", "record"),
    ]
    found = after(season, leak_at("09 09:00", "Ledge/Cliff"), Run(sap_gal=90, **stamp()))
    assert [part.name for part in full_page(found).sections] == [
        *("plan", "work", "spouts", "vacuum", "sap", "costs", "open", "short", "over", "record"),
    ]


@pytest.mark.parametrize("name", ["work", "spouts", "vacuum", "sap", "costs"])
def test_a_part_that_is_asked_for_is_there_even_if_it_has_nothing_to_say(
    season: Season, name: str
) -> None:
    found = part_of(of(season), name)
    assert found.name == name
    assert found.title
    assert found.lines


def test_a_part_is_the_same_alone_as_in_the_page(season: Season) -> None:
    work(season)
    full = after(season, *read("09 07:00 pump 25.5"), Run(sap_gal=90, **stamp()))
    for name in ("work", "spouts", "vacuum", "sap", "costs"):
        assert part_of(full, name) == section(full, name)


def test_what_there_is_no_part_of_is_no_part(full: Full) -> None:
    with pytest.raises(KeyError):
        part_of(full, "weather")


def test_what_is_worked_out_of_nothing_says_so(season: Season) -> None:
    full = of(season)
    assert [part_of(full, name).lines[0] for name in ("work", "vacuum", "sap", "costs")] == [
        "No hours were written down.",
        "Nobody looked for leaks.",
        "No run was written down yet.",
        "Nothing that costs money was counted.",
    ]


def test_once_spouts_are_pulled_no_sap_is_said_to_be_lost(season: Season) -> None:
    """Two from a tree that must come down are not the pulling of 100; 51 are."""
    season.record(*TAPPED, *read("09 07:00 pump 25.5\n09 09:00 Ledge/Cliff 22"), really=True)
    early = after(season, count("Ledge/Cliff", "pulling", 2))
    assert part_of(early, "vacuum").lines[0].startswith("Pump 25.5 inHg")
    late = after(season, count("Ledge/Cedar", "pulling", 49))
    assert part_of(late, "vacuum").lines == (
        "Leaks found 0, mended 0, open 0, 0.00 for 1,000 taps",
    )


def test_a_closed_season_is_said_to_lose_no_sap(season: Season) -> None:
    """Nobody wrote the pulling down."""
    season.record(*TAPPED, *read("09 07:00 pump 25.5\n09 09:00 Ledge/Cliff 22"), really=True)
    season.book.record(close())
    assert part_of(of(season), "vacuum").lines == (
        "Leaks found 0, mended 0, open 0, 0.00 for 1,000 taps",
    )


def test_causes_of_leaks_are_told_with_how_many(season: Season) -> None:
    leaks = [leak_at(f"09 0{n}:00", "Ledge/Cliff", cause="chewed") for n in range(3)]
    full = after(season, *leaks, leak_at("09 04:00", "Ledge/Cliff", cause="fitting"))
    assert part_of(full, "vacuum").lines == (
        "Leaks found 4, mended 0, open 4",
        "Leaks by cause: chewed 3, fitting 1",
    )


def test_spouts_of_each_person_stand_with_what_must_balance(season: Season) -> None:
    assert [one.name for one in part_of(of(season), "spouts").listings] == ["spouts", "ages"]
    issued = Spouts(who="Oda", move="issued", count=50, **stamp())
    full = after(season, issued, count("Ledge/Cliff", "tapping", 40))
    found = part_of(full, "spouts")
    assert [one.name for one in found.listings] == ["spouts", "bags", "ages"]
    assert found.listings[1].rows == (("Oda", 50, 40, 0, 0, 10),)


def test_the_record_tells_what_was_struck_and_how_many_more(season: Season, full: Full) -> None:
    assert section(full, "record").lines == ("1 entry struck",)
    (slip,) = season.record(count("Creek/Ford", "tapping", 9, day="2027-02-10"))
    season.strike(slip.id, "wrong line", by="Oda", now=NOW)
    struck = table(of(season), "struck")
    assert len(struck.rows) == 1
    assert struck.notes == ("1 more is of a later day, or has not come in yet",)
    assert table(full, "struck").notes == ()
    assert "was Monday's sheet of another crew" in str(struck.rows[0][-1])


def test_what_was_written_off_says_who_what_and_why(season: Season) -> None:
    """Cliff has 3 taps more than drops."""
    work(season)
    (item,) = (i for i in open_items(season.ledger, NOW) if i.what == What.SURPLUS)
    season.record(write_off(item.about, item.amount))
    (row,) = table(of(season), "written-off").rows
    assert row[1:] == (TUESDAY, "Oda", "written off: too many, Ledge / Cliff: as it is")


def test_what_was_carried_over_says_from_where_and_what_became_of_it(season: Season) -> None:
    season.carry(
        [Repair(text="new gate", who="Wim", carried="2026/k7f2q-40", **stamp("2026-04-02"))]
    )
    (row,) = table(of(season), "carried").rows
    assert row[1:] == (date(2026, 4, 2), "Wim", "", "promised: new gate", "2026/k7f2q-40", "open")


# --- its tables --------------------------------------------------------------------------------


def test_every_table_can_be_asked_for_whatever_is_in_it(season: Season, full: Full) -> None:
    for one in (of(season), full, full_summary(Season(season.book), TUESDAY)):
        assert tuple(listing.name for listing in tables(one)) == TABLES
        for listing in tables(one):
            is_sound(listing)


def test_tables_with_nothing_in_them_are_not_on_the_page(season: Season, full: Full) -> None:
    for one in (of(season), full):
        on_page = [listing for part in full_page(one).sections for listing in part.listings]
        assert all(listing.rows for listing in on_page)
        assert {listing.name for listing in on_page} == {
            listing.name for listing in tables(one) if listing.rows
        }


def test_the_plan_holds_in_every_row(full: Full) -> None:
    rows = list(csv.DictReader(io.StringIO(listing_csv(table(full, "plan")))))
    assert [row["task"] for row in rows] == [
        *("Drop replacement", "Tapping", "Tensioning", "Leak checks", "Pulling taps"),
    ]
    for row in rows:
        planned, done, left, short, over = (
            int(row[n]) for n in ("planned", "done", "left", "short", "over")
        )
        assert planned == done + left + short - over


def test_dates_are_whole_in_csv_and_short_for_people(full: Full) -> None:
    notes = table(full, "notes")
    (beech, _owl) = csv.DictReader(io.StringIO(listing_csv(notes)))
    assert beech["day"] == "2027-02-09"
    assert shown(notes).rows[0][1] == "9 Feb"


def test_a_cell_that_nobody_filled_is_empty_in_csv(season: Season) -> None:
    rows = csv.DictReader(io.StringIO(listing_csv(table(of(season), "tasks"))))
    for row in rows:
        assert (row["first"], row["hours"], row["rate_per_hour"], row["minutes_per_tap"]) == (
            *("", "", "", ""),
        )


def test_lines_of_which_nobody_knows_how_many_drops_hang_are_told(season: Season) -> None:
    dell = Line(block="Creek", line="Dell", order=4, drops_hung=2022, **stamp())
    full = after(season, dell)
    assert table(full, "spouts").notes == ("! of 1 line nobody knows how many drops hang",)
    assert ("5 seasons", "1", "-") in shown(table(full, "ages")).rows
    assert table(full, "ages").notes == ("A dash: nobody knows how many drops hang.",)


# --- every form --------------------------------------------------------------------------------


def forms(page: Page) -> dict[str, str]:
    """What each form says, as a reader finds it."""
    html = page_html(page)
    pdf = PdfReader(io.BytesIO(page_pdf(page, "a4")))
    return {
        "text": page_text(page),
        "terminal": render_terminal(page_terminal(page, width=80)),
        "html": "".join(ElementTree.fromstring(as_xml(html)).itertext()),
        "pdf": "".join(sheet.extract_text() for sheet in pdf.pages),
    }


def as_xml(html: str) -> str:
    """The page with the marks closed that HTML leaves open."""
    body = html.removeprefix("<!DOCTYPE html>\n")
    return re.sub(r"(<meta [^>]*)>", r"\1/>", body)


def test_every_form_says_all_of_it(season: Season) -> None:
    work(season)
    full = after(season, *read("09 07:00 pump 25.5"), Run(sap_gal=90, brix=2, **stamp()))
    page = full_page(full)
    for form, told in forms(page).items():
        for words in said_in(page):
            if form in ("text", "terminal") and len(words) > 30:
                continue  # folded within its column: `test_page_text` looks at that
            assert squeezed(words) in squeezed(told), (form, words)


BAD = (
    HOSTILE,
    "=HYPERLINK(0)",
    "+1+1",
    "-2+3",
    "@SUM(A1)",
    "\tTab",
    "\x1b[31mred\x1b]8;;http://x\x07",
    "[bold red]shout[/] [link=http://x]",
    "<script>alert(1)</script>",
    "line one\nline two\r\nthree",
    "abc\u202etxt.exe",  # written backwards
    "https://example.org/?a=1&b=2",
)


@pytest.fixture
def hostile(season: Season) -> Full:
    """Every word that people type is one that a program could take for something else."""
    for n, words in enumerate(BAD):
        name = f"{' '.join(words.split())[:60]} {n}"
        _block, line, person = season.record(
            Block(block=name, order=10 + n, **stamp()),
            Line(block=name, line=words[:60], taps_planned=50, **stamp()),
            Person(person=name, **stamp()),
        )
        assert isinstance(line, Line)
        assert isinstance(person, Person)
        where: dict[str, Any] = {"block": line.block, "line": line.line}
        who = person.person
        work_there = {**where, "task": "tapping", "who": who}
        (slip, *_others) = season.record(
            Count(**work_there, count=9, **stamp()),
            Count(**work_there, count=40, hours=1, **stamp()),
            Finish(**work_there, reason=words, **stamp()),
            Note(**where, text=words, hazard=bool(n % 2), **stamp()),
            Repair(**where, who=who, text=words, **stamp()),
            Leak(**where, who=who, text=words, **stamp()),
            really=True,
        )
        season.strike(slip.id, words, by=who, now=NOW)
    return of(season)


def test_no_form_has_a_control_character_of_anybody(hostile: Full) -> None:
    page = full_page(hostile)
    for told in (*forms(page).values(), page_html(page), to_json(hostile)):
        assert not re.search(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]", told)


def test_what_looks_like_a_mark_is_only_words_in_html(hostile: Full) -> None:
    page = full_page(hostile)
    html = page_html(page)
    tree = ElementTree.fromstring(as_xml(html))
    assert {element.tag for element in tree.iter()}.isdisjoint({"script", "b", "a", "img", "link"})
    assert squeezed("<script>alert(1)</script>") in squeezed("".join(tree.itertext()))
    attributes = {name for element in tree.iter() for name in element.attrib}
    assert not {name for name in attributes if name.startswith("on") or name in ("src", "href")}


def test_what_looks_like_markup_of_a_terminal_is_said_as_it_was_typed(hostile: Full) -> None:
    told = squeezed(render_terminal(page_terminal(full_page(hostile), width=120)))
    assert "[boldred]shout[/]" in told


def test_no_cell_of_any_table_is_a_formula(hostile: Full) -> None:
    seen = 0
    for listing in tables(hostile):
        for row in csv.reader(io.StringIO(listing_csv(listing)), strict=True):
            for cell in row:
                seen += "HYPERLINK" in cell
                assert not re.match(r"[=+@\t\r]|-(?![\d.]+$)", cell), (listing.name, cell)
    assert seen > 3


def test_hostile_words_are_data_in_json(hostile: Full) -> None:
    told = json.loads(to_json(hostile))
    assert any(note["says"].endswith("=HYPERLINK(0)") for note in told["notes"])


# --- small and large ---------------------------------------------------------------------------


def many(path: Path, blocks: int) -> Season:
    """So many blocks with names of 60 characters, three lines each, some work on all of them."""
    season = Season.begin(
        Book.new(path, name="Wide Hollow", year=2027, desk=DESK), "vacuum", by="Oda", now=NOW
    )
    names = [
        f"{n + 1:02} " + "north of the old quarry and over the brook by the beeches"[:57]
        for n in range(blocks)
    ]
    assert {len(name) for name in names} == {60}
    lines = [(block, f"{line} main") for block in names for line in ("Cliff", "Cedar", "Ford")]
    season.record(
        Person(person="Oda", **stamp()),
        *(Block(block=block, order=n, **stamp()) for n, block in enumerate(names)),
        *(
            Line(block=block, line=line, order=n, taps_planned=50, drops_hung=2024, **stamp())
            for n, (block, line) in enumerate(lines)
        ),
        *(
            replace(count("x/y", "tapping", 40, hours=2), block=block, line=line)
            for block, line in lines
        ),
    )
    return season


@pytest.mark.parametrize("blocks", [3, 40])
def test_three_blocks_and_forty_with_long_names_are_all_there(tmp_path: Path, blocks: int) -> None:
    """120 taps in 6 h on each block."""
    season = many(tmp_path / "wide", blocks)
    full = of(season)
    assert full.work.taps == 120 * blocks
    assert full.work.minutes_per_tap == pytest.approx(3)
    told = forms(full_page(full))
    for block in season.plan.blocks:
        for form in ("html", "pdf"):
            assert squeezed(block) in squeezed(told[form]), (form, block)
        assert block[:12] in told["text"]
    assert max(map(len, told["text"].splitlines())) <= 80
    assert max(map(len, told["terminal"].splitlines())) <= 80


def test_a_book_with_nothing_in_it_is_a_page_in_every_form(book: Book) -> None:
    full = full_summary(Season(book), TUESDAY)
    page = full_page(full)
    assert [part.name for part in page.sections] == ["plan", "work", "spouts", "costs", "record"]
    assert page.sections[0].lines == ("Nothing is planned yet.",)
    for told in forms(page).values():
        assert "Nothing that costs money was counted." in told
        assert "tapholes not counted" in told


def test_buckets_have_neither_drops_nor_vacuum(book: Book) -> None:
    season = Season.begin(book, "buckets", by="Oda", now=NOW)
    season.record(*PLAN)
    full = after(season, count("Ledge/Cliff", "tapping", 40, hours=2))
    page = full_page(full)
    assert [part.name for part in page.sections] == [
        "plan",
        "work",
        "spouts",
        "costs",
        "open",
        "record",
    ]
    assert "ages" not in [one.name for part in page.sections for one in part.listings]
    assert not [line for line in page.sections[2].lines if line.startswith("Drops replaced")]


def test_a_closed_season_says_who_closed_it(season: Season, full: Full) -> None:
    season.book.record(close())
    closed = of(season)
    (line,) = (line for line in full_page(closed).lines if "closed" in line)
    assert line.endswith(", Oda, Tue 9 Feb 2027)")
