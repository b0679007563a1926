"""A crew lead's evening: the small things that cost a minute each, or hide what matters.

The demo's evening, Tuesday 9 February 2027, 17:00: Rae went out to Brook Bend at 12:40, due 16:30.
Sheet 3 is Brook Bend, tapping, for Rae, printed on Monday.
"""

from datetime import datetime, timedelta
from pathlib import Path

import pytest

from fieldbook.book.entry import (
    Back,
    Checklist,
    Close,
    Count,
    HandOff,
    Out,
    Person,
    Sheet,
    Spouts,
    Strike,
    Taken,
    WriteOff,
)
from fieldbook.laptop import Laptop
from fieldbook.screens.board import Board
from fieldbook.screens.handoff import take
from fieldbook.screens.items import Items
from fieldbook.screens.logbook import Logbook
from fieldbook.screens.paper import unused
from fieldbook.screens.round import Round
from fieldbook.screens.widgets.rows import indented
from fieldbook.season.checklist import load_template
from fieldbook.season.items import What, of_blocks, open_items
from fieldbook.season.season import Season
from fieldbook.season.sheets import find_sheet
from tests.conftest import stamp
from tests.screens.conftest import EVENING, LARGE, SMALL, Seat, sit_down
from tests.screens.test_items import go_to, write_everything_off
from tests.screens.test_out_back import moves
from tests.screens.test_sheet_round import open_sheet, sheets

# --- out over midnight, and back at another time than now ---------------------------------------


async def tor_goes_out(seat: Seat, typed: str) -> None:
    await seat.keys("b")
    await seat.keys("tor", "enter", "enter")
    await seat.keys(typed, "enter")


def at(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=EVENING.tzinfo)


@pytest.mark.parametrize(
    ("typed", "out", "due", "note"),
    [
        ("tomorrow 1:30", "2027-02-09 17:00", "2027-02-10 01:30", ""),
        ("10 Feb 1:30 on the sled", "2027-02-09 17:00", "2027-02-10 01:30", "on the sled"),
        ("2027-02-10 01:30", "2027-02-09 17:00", "2027-02-10 01:30", ""),
        ("12:40-18:30 with Wes", "2027-02-09 12:40", "2027-02-09 18:30", "with Wes"),
        ("12:40-16:30", "2027-02-09 12:40", "2027-02-09 16:30", ""),  # keyed in too late
        ("16:40-tomorrow 1:30", "2027-02-09 16:40", "2027-02-10 01:30", ""),
    ],
)
async def test_out_over_midnight_or_out_already(
    demo: Season, laptop: Laptop, typed: str, out: str, due: str, note: str
) -> None:
    async with sit_down(demo, laptop) as seat:
        await tor_goes_out(seat, typed)
        (entry,) = moves(seat)
        assert isinstance(entry, Out)
        assert (entry.at, entry.due, entry.note) == (at(out), at(due), note)
        assert entry.noted == EVENING


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        (
            "1:30",
            "! 1:30 has gone by today. Write tomorrow 1:30, or when they went out too: 12:40-16:30",
        ),
        ("18:00-19:00", "! 18:00 is still to come. Once they go, write only when they are due."),
        ("16:50-1:30", "! 01:30 has gone by at 16:50"),
    ],
)
async def test_a_time_that_cannot_be_is_refused_with_the_way_out(
    demo: Season, laptop: Laptop, typed: str, why: str
) -> None:
    async with sit_down(demo, laptop) as seat:
        await tor_goes_out(seat, typed)
        assert why in seat.box
        await seat.press("enter")  # nor the second time
        assert moves(seat) == []


async def rae(seat: Seat, typed: str) -> None:
    """Answer whether Rae is back."""
    await seat.press("b", "enter")
    assert "Rae is back? " in seat.box
    assert "Enter: now. 17:10: came back then. later 18:30: due later." in seat.box
    await seat.keys(typed, "enter")


async def test_back_at_the_time_that_was_typed(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await rae(seat, "16:20 wet through")
        (back,) = moves(seat)
        assert isinstance(back, Back)
        assert (back.at, back.noted, back.note) == (at("2027-02-09 16:20"), EVENING, "wet through")


async def test_later_keeps_the_place_and_gives_another_time(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await rae(seat, "later 18:30 by the road")
        (out,) = moves(seat)
        assert isinstance(out, Out)
        assert (out.who, out.block, out.note) == ("Rae", "Brook Bend", "by the road")
        assert (out.at, out.due) == (EVENING, at("2027-02-09 18:30"))
        assert "not back" not in seat.text
        (item,) = (i for i in open_items(seat.on_disk().ledger, EVENING) if i.what is What.OUT)
        assert item.since == at("2027-02-09 12:40")  # still out since then


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("17:10", "! 17:10 is still to come. Due then: later 17:10. Of the day before: yesterday"),
        ("later", "! '' is not a time of the day. Write it as 16:30."),
        ("later 16:45", "! 16:45 has gone by at 17:00"),
        ("12:30", "! Rae went out at 12:40"),
    ],
)
async def test_who_cannot_be_back_then_is_still_out(
    demo: Season, laptop: Laptop, typed: str, why: str
) -> None:
    async with sit_down(demo, laptop) as seat:
        await rae(seat, typed)
        assert why in seat.box
        assert moves(seat) == []


async def test_b_shows_who_is_overdue_before_who_is_out_before_who_is_here(
    demo: Season, laptop: Laptop
) -> None:
    for who, due in (("Ina", 19), ("Wes", 15)):
        mine = stamp(by="Ina") | {"at": EVENING.replace(hour=12)}
        demo.record(Out(who=who, due=EVENING.replace(hour=due), **mine))
    async with sit_down(demo, laptop) as seat:
        await seat.press("b")
        assert (
            "> Wes OVERDUE since 15:00, out since 12:00, the woods "
            "Rae OVERDUE since 16:30, out since 12:40, Brook Bend "
            "Ina out since 12:00, the woods Milo Tor"
        ) in seat.box


# --- a sheet -----------------------------------------------------------------------------------


async def test_a_round_by_a_sheet_is_the_work_of_whose_sheet_it_is(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await open_sheet(seat, 3)
        assert "   sheet 3, Rae   line 3 of 7" in seat.rows[2]
        assert " Count for Rae, Tue 9 Feb" in seat.text
        assert "Sheet 3 was printed Mon 8 Feb: d for the day it was done" in seat.text
        await seat.keys("1", "enter")
        count = seat.written()[-1]
        assert isinstance(count, Count)
        assert (count.who, count.by) == ("Rae", "Ina")


async def test_a_sheet_of_today_and_of_nobody_changes_nothing(demo: Season, laptop: Laptop) -> None:
    lines = ("Lower loop",)
    today = stamp(by="Ina") | {"at": EVENING}
    demo.record(Sheet(sheet=31, block="Brook Bend", task="tapping", lines=lines, **today))
    async with sit_down(demo, laptop) as seat:
        await open_sheet(seat)
        assert " Count for Ina, Tue 9 Feb" in seat.text
        assert "was printed" not in seat.text


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    here = tmp_path / "papers"
    here.mkdir()
    monkeypatch.chdir(here)
    return here


async def test_a_name_ending_in_txt_writes_plain_text(
    demo: Season, laptop: Laptop, folder: Path
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("p", "enter")
        await seat.keys("bend.TXT", "enter")
        text = (folder / "bend.TXT").read_text(encoding="utf-8")
        assert "SHEET 4" in text
        assert "Lower loop" in text
        assert len(sheets(seat)) == 1


@pytest.mark.parametrize("name", ["bend", "bend.csv", "bend.pdf.doc"])
async def test_another_ending_is_refused_before_anything_is_recorded(
    demo: Season, laptop: Laptop, folder: Path, name: str
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("p", "enter")
        await seat.keys(name, "enter")
        assert f"! {name} says no form that a sheet is written in. End its name in .pdf" in seat.box
        assert sheets(seat) == []
        assert list(folder.iterdir()) == []


async def test_what_was_not_written_is_recorded_and_p_prints_that_sheet_again(
    demo: Season, laptop: Laptop, folder: Path
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("p", "enter")
        await seat.keys("nowhere/a.pdf", "enter")
        assert "Sheet 4 is recorded: name another file, or p prints it again." in seat.box
        await seat.press("escape")
        assert "! not written: p prints sheet 4 again" in seat.text
        await seat.press("p")
        assert "Print which? > sheet 4 again, printed Tue 9 Feb a new sheet" in seat.box
        await seat.press("enter", "enter")
        assert (folder / "sheet-4-brook-bend-tapping.pdf").is_file()
        assert "sheet 4 again   written to sheet-4-brook-bend-tapping.pdf" in "\n".join(seat.rows)
        assert len(sheets(seat)) == 1

        await seat.press("p", "down", "enter", "enter", "enter")
        assert [sheet.sheet for sheet in sheets(seat)] == [4, 5]


async def test_a_sheet_of_which_something_is_keyed_in_is_not_offered_again(
    demo: Season, laptop: Laptop
) -> None:
    tapping = demo.plan.find_task("tapping")
    assert unused(demo.ledger, "Brook Bend", tapping) is None  # of sheet 3 lines were counted
    (sheet,) = demo.record(
        Sheet(sheet=9, block="Brook Bend", task="tapping", lines=("Lower loop",), **stamp(by="Ina"))
    )
    assert unused(demo.ledger, "Brook Bend", tapping) == sheet
    async with sit_down(demo, laptop) as seat:
        await open_sheet(seat, 9)
        await seat.keys("3", "enter", "escape", "p")
        assert "for whom?" in seat.box


# --- a closed season ---------------------------------------------------------------------------


@pytest.fixture
def closed(demo: Season) -> Close:
    """The demo's season, closed; of it two hazards stand."""
    write_everything_off(demo)
    (close,) = demo.record(Close(who="Ina", **stamp(by="Ina")))
    assert isinstance(close, Close)
    return close


@pytest.mark.parametrize("size", [SMALL, LARGE])
async def test_closed_stands_on_every_screen(
    demo: Season, closed: Close, laptop: Laptop, size: tuple[int, int]
) -> None:
    async with sit_down(demo, laptop, size) as seat:
        for keys in ((), ("enter",), ("s",), ("g",), ("o",), ("h",)):
            await seat.press(*keys)
            assert "  CLOSED  ! 2 open, 2 safety  " in seat.rows[0]
            await seat.press(*["escape"] * len(keys))


async def test_what_is_refused_then_says_which_keys_open_it_again(
    demo: Season, closed: Close, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Lower loop")
        await seat.keys("3", "enter")
        assert "! The season was closed by Ina" in seat.text
        assert f"To go on: g, then x on the row {closed.id}." in seat.text
        await seat.press("g")
        log = seat.screen(Logbook)
        assert log.entries.current is not None
        assert log.entries.current.id == closed.id
        await seat.press("x")
        await seat.keys("too early", "enter")
        strike = seat.written()[-1]
        assert isinstance(strike, Strike)
        assert strike.entry == closed.id
        assert "CLOSED" not in seat.rows[0]
        await seat.press("escape", "enter")  # the count is still typed
        assert isinstance(seat.written()[-1], Count)
        await seat.press("g")
        assert "with: Brook Bend" in seat.text  # as ever


# --- what was read back, and the logbook -------------------------------------------------------


async def ina_hands_off(seat: Seat) -> HandOff:
    session = seat.app.session
    entry = session.hand_off(session.prepare_handoff(who="Ina", to="Tor", blocks=["Upper Ridge"]))
    assert isinstance(entry, HandOff)
    return entry


async def tor_takes(seat: Seat, handoff: HandOff, differently: str) -> Taken:
    """Tor reads everything back as it is, but one thing."""
    await take(seat.app, seat.app.session, handoff.id)
    await seat.settle()
    await seat.press("enter", "enter")
    for passed in handoff.items:
        if passed.about.what == differently:
            await seat.keys("open", "enter", "enter")
        else:
            await seat.keys(passed.value, "enter")
    await seat.press("enter")
    (taken,) = (entry for entry in seat.written() if isinstance(entry, Taken))
    return taken


async def test_what_was_read_back_differently_is_counted_named_and_stands_first_in_its_row(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        taken = await tor_takes(seat, await ina_hands_off(seat), What.VALVE)
        assert f"Tor took {len(taken.items)} items from Ina" in seat.text
        assert "; 1 read back differently: valve shut: " in seat.text
        assert "(told shut, read back open)" in seat.text
        await seat.press("o")
        row = seat.row("valve shut")
        assert "Upper Ridge / 3 " in row
        assert "  told shut, read b" in row


async def test_enter_in_the_logbook_reads_the_whole_page_of_a_hand_off(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop, LARGE) as seat:
        taken = await tor_takes(seat, await ina_hands_off(seat), What.VALVE)
        for row in (0, 1):  # the taking, and what was taken
            await seat.press("g", *["up"] * row, "enter")
            assert "Hand-off t3st2-1: Ina to Tor, Tue 9 Feb 17:00" in seat.text
            assert "What is left, and where" in seat.text
            await seat.press("escape", "escape")
        assert taken.who == "Tor"


async def test_enter_in_the_logbook_reads_every_field_that_is_not_empty(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Lower loop")
        await seat.keys("12 1.5", "enter", "g", "enter")
        for said in ("line: Lower loop", "task: tapping", "who: Ina", "count: 12", "hours: 1.5"):
            assert said in seat.text
        assert "note:" not in seat.text


# --- handing off several blocks ----------------------------------------------------------------


async def test_several_blocks_are_typed_by_their_beginnings_with_commas(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("h")
        await seat.keys("brook, upper")
        items = open_items(demo.ledger, EVENING)
        own = [i for i in items if i.about.block in ("Upper Ridge", "Brook Bend")]
        assert f" > Upper Ridge, Brook Bend: {len(own)} open" in seat.text
        await seat.press(*["enter"] * 9)
        handoff = seat.written()[-1]
        assert isinstance(handoff, HandOff)
        assert handoff.blocks == ("Upper Ridge", "Brook Bend")
        wanted = of_blocks(items, handoff.blocks)
        assert [told.about for told in handoff.items] == [item.about for item in wanted]


async def test_a_block_that_is_none_is_said_by_its_name(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("h")
        await seat.keys("brook, mars", "enter")
        assert "! No block is called 'mars'." in seat.text


async def test_the_number_beside_a_block_counts_what_is_open_there(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("h")
        for block in demo.plan.blocks:
            own = [i for i in open_items(demo.ledger, EVENING) if i.about.block == block]
            assert f"{block}: {len(own)} open" in seat.text


# --- open items and spouts ---------------------------------------------------------------------


def bag(seat: Seat, who: str) -> int:
    """Spouts that are still off in somebody's bag."""
    items = open_items(seat.on_disk().ledger, EVENING)
    return sum(i.amount for i in items if i.what is What.SPOUTS and i.about.who == who)


async def test_the_cursor_stays_on_a_bag_that_is_still_off(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await go_to(seat, What.SPOUTS)
        item = seat.screen(Items).list.current
        assert item is not None
        await seat.press("c")
        await seat.keys(str(item.amount - 1), "enter")
        assert bag(seat, item.about.who) == 1
        here = seat.screen(Items).list.current
        assert here is not None
        assert (here.what, here.about.who, here.amount) == (What.SPOUTS, item.about.who, 1)


async def too_many(seat: Seat) -> int:
    """Stand on the bag of Zoë, from which more came than was issued."""
    await seat.press("o")
    rows = seat.screen(Items).list
    row, amount = next((n, i.amount) for n, i in enumerate(rows.items) if i.amount < 0)
    rows.cursor = row
    await seat.settle()
    await seat.press("c")
    assert "in the bag?" not in seat.box
    assert "more than issued. Why?" in seat.box
    return -amount


async def test_a_bag_with_more_than_issued_asks_why(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        n = await too_many(seat)
        await seat.keys("issued by Wes, nobody wrote it down", "enter")
        (off,) = seat.written()
        assert isinstance(off, WriteOff)
        assert (off.amount, bag(seat, "Zoë")) == (-n, 0)


async def test_or_how_many_were_issued_beside_those(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        n = await too_many(seat)
        await seat.keys(f"issued {n}", "enter")
        (moved,) = seat.written()
        assert isinstance(moved, Spouts)
        assert (moved.who, moved.move, moved.count) == ("Zoë", "issued", n)
        assert bag(seat, "Zoë") == 0


async def test_i_takes_several_moves_at_once_and_says_what_is_in_the_bag(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.press("i")
        assert seat.box.startswith(
            "Spouts with Ina: in the bag 0; issued 20, in trees 12, returned 6, scrapped 2"
        )
        await seat.keys("returned 6, scrapped 3", "enter")
        moved = [(e.move, e.count) for e in seat.written() if isinstance(e, Spouts)]
        assert moved == [("returned", 6), ("scrapped", 3)]
        for entry in seat.written():
            assert f"{entry.id} saved: Ina, " in seat.text


async def test_i_says_where_nothing_was_issued_yet(demo: Season, laptop: Laptop) -> None:
    demo.record(Person(person="Abe", **stamp(by="Ina")))
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.press("p")
        await seat.keys("abe", "enter", "i")
        assert seat.box.startswith("Spouts with Abe: nothing issued yet")


async def test_a_row_has_the_line_by_its_number_and_the_bag_its_owner(
    demo: Season, laptop: Laptop
) -> None:
    for size, words in ((SMALL, 32), (LARGE, 40)):
        async with sit_down(demo, laptop, size) as seat:
            await seat.press("o")
            valve = seat.row("valve shut: birch down on it ")
            assert "  Upper Ridge / 3  " in valve
            assert len(valve.partition("Upper")[0].strip()) >= words
            assert "Ina" in seat.row("Milo: 12 spouts not")


# --- names -------------------------------------------------------------------------------------


async def test_a_new_name_wants_a_second_enter(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.press("p")
        await seat.keys("d down", "enter")
        assert "! d down is new here. Enter again: put d down on the crew" in seat.box
        await seat.keys(" x", "enter")  # another name is as new
        assert "Enter again: put d down x on the crew" in seat.box
        assert seat.written() == []
        await seat.press("enter")
        (person,) = seat.written()
        assert isinstance(person, Person)
        assert person.person == "d down x"


async def test_k_and_p_stand_on_who_it_is_now(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend")
        await seat.press("p")
        await seat.keys("tor", "enter", "p")
        assert "> Tor" in seat.box
        await seat.press("enter", "k")
        assert "> Ina" in seat.box
        assert seat.app.session.who == "Tor"


# --- what the screens say ----------------------------------------------------------------------


async def test_the_panel_shows_what_fits_and_how_many_more_there_are(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop, LARGE) as seat:
        first = seat.rows.index(seat.row(" Open items ("))
        panel = seat.rows[first + 1 : -1]
        n = int(seat.row(" more: o").split()[0])
        shown = [row for row in panel if row.startswith("   ") and not row.startswith("      ")]
        assert len(shown) - 1 + n == len(open_items(demo.ledger, EVENING))
        assert "more: o" in panel[-1]
        assert all(row.startswith("   ") for row in panel)


@pytest.mark.parametrize("task", ["tapping", "tensioning", "leaks"])
async def test_no_row_of_the_cell_begins_at_the_edge(
    demo: Season, laptop: Laptop, task: str
) -> None:
    async with sit_down(demo, laptop) as seat:
        for row in range(len(demo.plan.blocks)):
            grid = seat.screen(Board).grid
            grid.cursor, grid.column = row, [t.key for t in grid.tasks].index(task)
            await seat.settle()
            rule = max(i for i, text in enumerate(seat.rows) if text.startswith("───"))
            assert all(text.startswith(" ") for text in seat.rows[rule + 1 : -1] if text)


def test_what_is_wrapped_is_indented_and_a_tilde_shows_what_was_cut() -> None:
    text = " ! hung-up ash by the third lateral"
    assert indented(text, 40) == text
    assert indented(text, 24) == " ! hung-up ash by the\n   third lateral"
    assert indented(text, 16, rows=2) == " ! hung-up\n   ash by the ~"


async def test_no_caution_is_broken_at_the_edge(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop, (60, 30)) as seat:
        await seat.walk("Brook Bend", line="Brook pair")
        first = seat.rows.index(seat.row(" ! Drill: "))
        last = seat.rows.index(seat.row("In the cold, work in pairs"))
        assert all(row.startswith((" ! ", "   ")) for row in seat.rows[first : last + 1])


async def test_what_was_said_is_gone_when_one_comes_back(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Lower loop")
        await seat.keys("3", "enter")
        assert "t3st2-1 saved" in seat.text
        await seat.press("o", "escape")
        seat.screen(Round)
        assert "saved" not in seat.text


async def test_a_question_in_between_takes_nothing_back(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Lower loop")
        await seat.keys("3", "enter", "n", "escape")
        assert "t3st2-1 saved" in seat.text


async def test_what_was_said_is_gone_when_somebody_has_struck_it(
    demo: Season, laptop: Laptop
) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Lower loop")
        await seat.keys("3", "enter")
        demo.strike("t3st2-1", "wrong line", by="Zoë", now=EVENING + timedelta(seconds=1))
        seat.app.session.clock = lambda: EVENING + timedelta(minutes=1)
        seat.app.catch_up()
        await seat.settle()
        assert "saved" not in seat.text


async def test_q_asks_once_while_somebody_is_not_back(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("q")
        assert "Rae is not back. " in seat.box
        assert "Enter leaves all the same" in seat.box
        await seat.press("escape")
        seat.screen(Board)
        await seat.press("q", "enter")
        assert not seat.app.is_running


async def test_q_leaves_at_once_when_nobody_is_late(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.press("b", "enter", "enter", "q")
        assert not seat.app.is_running


# --- what balances -----------------------------------------------------------------------------


async def test_a_says_that_a_line_balances(demo: Season, laptop: Laptop) -> None:
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Ledge main")
        await seat.press("a")
        assert "Ledge main: 148 taps on 148 drops: it balances" in seat.text


async def test_where_no_drops_hang_it_says_so_in_the_words_of_the_checklist(
    demo: Season, laptop: Laptop
) -> None:
    title, tasks = load_template("buckets")
    demo.record(Checklist(checklist=title, tasks=tasks, **stamp(by="Ina")))
    async with sit_down(demo, laptop) as seat:
        await seat.walk("Brook Bend", line="Ledge main")
        await seat.press("a")
        assert "Ledge main: 148 taps of 148 planned: it balances" in seat.text


def test_sheet_three_is_what_these_notes_say(demo: Season) -> None:
    sheet = find_sheet(demo.ledger, "3")
    assert (sheet.who, sheet.day, len(sheet.lines)) == ("Rae", at("2027-02-08").date(), 7)
