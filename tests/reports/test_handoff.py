"""The page of a hand-off: everything told in words; what is asked is not answered beside it."""

import json
import re
from datetime import timedelta
from typing import Any

import pytest
from msgspec.structs import replace

from fieldbook.book.entry import Back, HandOff, Note, Out, Spouts, Taken, Valve
from fieldbook.reports.handoff import (
    HandOffPage,
    handoff_page,
    item_lines,
    last_taken,
    page_lines,
    page_title,
    took_words,
)
from fieldbook.reports.render.json import to_json
from fieldbook.reports.render.terminal import page_terminal
from fieldbook.season.handoff import prepare, take, to_take
from fieldbook.season.season import Season
from tests.conftest import NOW, count, finish, stamp

LATER = NOW + timedelta(minutes=40)
ODD = "[red]ice[/] on the ford\nand =more"


def hazard(text: str, block: str = "Ledge", line: str = "Cliff") -> Note:
    return Note(text=text, hazard=True, block=block, line=line, who="Oda", **stamp("2027-02-08"))


def valve(state: Any) -> Valve:
    return Valve(
        block="Creek", line="Spring", who="Oda", state=state, reason="split tee", **stamp()
    )


def wim_out(until: int = 16) -> Out:
    """Wim went to the ford at 12:40."""
    went, due = NOW.replace(hour=12, minute=40), NOW.replace(hour=until, minute=5)
    return Out(who="Wim", block="Creek", line="Ford", due=due, at=went, noted=NOW, by="Oda")


def work(season: Season) -> None:
    season.record(
        count("Ledge/Cliff", "tapping", 39, who="Wim"),
        finish("Ledge/Cliff", "tapping"),
        count("Creek/Ford", "tapping", 62, who="Perrin"),
        hazard("Hung-up beech by the third lateral"),
        valve("shut"),
        wim_out(),
    )


def handed(season: Season, *blocks: str, to: str = "Perrin", **words: Any) -> HandOff:
    draft = prepare(season, who="Oda", to=to, blocks=blocks, now=NOW, by="Oda", **words)
    (entry,) = season.record(draft)
    assert isinstance(entry, HandOff)
    return entry


def taken(season: Season, handoff: HandOff, *said: str, really: bool = False) -> HandOffPage:
    """Perrin reads it back and takes it; the page as it is then."""
    items = to_take(season, handoff.id, LATER)
    words = {x.about: word for x, word in zip(items, said, strict=False)}
    season.record(
        take(season, handoff.id, who="Perrin", said=words, by="Oda", now=LATER, really=really)
    )
    return handoff_page(season, handoff, LATER)


def test_the_page_as_it_is_printed(season: Season) -> None:
    work(season)
    handoff = handed(season, what_if="If the ice comes down, nobody goes into Creek.")
    printed = "\n".join(page_lines(handoff_page(season, handoff, NOW)))
    assert re.sub(r"k7f2q-\d+", "k7f2q-N", printed) + "\n" == PRINTED


PRINTED = """\
Hand-off k7f2q-N: Oda to Perrin, Tue 9 Feb 16:30
Quillby Hollow, season 2027, as of Tue 9 Feb 2027

How grave
  Danger: somebody could get hurt.

Blocks
  Ledge, Creek

What was done
  Ledge, tapping: Wim 39 taps; finished Cliff
  Creek, tapping: Perrin 62 taps

What is left, and where
  Ledge, tapping: 2 Cedar 60 taps
  Creek, tapping: 1 Ford 58 taps (under way), 2 Spring 35 taps

Hazards
  !! Ledge / 1 Cliff: Hung-up beech by the third lateral

What if
  If the ice comes down, nobody goes into Creek.

Items: 6 open, 2 safety. What is marked > must be said back.
   1 !! Wim is not back
        Creek / 1 Ford; since 12:40, due back 16:05, 25 min over (k7f2q-N)
        > read back: due back at? ____________
   2 !! Hung-up beech by the third lateral
        Ledge / 1 Cliff; Oda, 1 day (k7f2q-N)
        > read back: which line, or a word of it? ____________
   3 !  3 drops not tapped
        Ledge / 1 Cliff; Oda, since 16:30, about 3 gal a day
        > read back: how many? ____________
   4 !  valve shut: split tee
        Creek / 2 Spring; Oda, since 16:30 (k7f2q-N)
        > read back: the valve is? ____________
   5    Tapping: 58 taps left
        Creek / 1 Ford; Perrin, since 16:30
   6    drops of unknown age
        Creek / 1 Ford; since 16:30

The list of who is out is a reminder, not a rescue system: go in pairs or
call in at a set time. If somebody is overdue, do what your crew agreed on,
now. Local rules and trained practice come first.

Gone through together, item by item.
Taken by ____________ at ________
"""


def test_no_line_is_wider_than_paper_and_typed_text_stays_text(season: Season) -> None:
    season.record(hazard(ODD), hazard("w" * 200), hazard("wet " * 40, "Creek", "Ford"))
    handoff = handed(season, done=ODD, left="one\ntwo\n\nthree", hazards="x " * 99, what_if=ODD)
    lines = page_lines(handoff_page(season, handoff, NOW))
    assert max(map(len, lines)) <= 76
    assert "  !! Ledge / 1 Cliff: [red]ice[/] on the ford and =more" in lines
    assert lines[lines.index("  one") : lines.index("  one") + 3] == ["  one", "  two", "  three"]
    assert "  and =more" in lines  # a line break somebody typed is kept


def test_a_terminal_gets_the_same_words(season: Season) -> None:
    from rich.console import Console

    work(season)
    season.record(hazard(ODD))
    page = handoff_page(season, handed(season, left=ODD), NOW)
    console = Console(width=80, emoji=False, markup=False, highlight=False)
    with console.capture() as capture:
        console.print(page_terminal(page))
    assert [row.rstrip() for row in capture.get().splitlines()] == page_lines(page)


def test_what_is_asked_is_told_in_words_and_never_answered_beside_the_question(
    season: Season,
) -> None:
    work(season)
    season.record(Spouts(who="Wim", move="issued", count=139, **stamp("2027-02-07")))
    page = handoff_page(season, handed(season), NOW)
    told = {item.what: (item.head, item.where, item.state, item.question) for item in page.items}
    for what, answer in (
        ("out", "16:05"),
        ("hazard", "1 Cliff"),
        ("valve shut", "shut"),
        ("not tapped", "3"),
        ("spouts", "100"),
    ):
        *words, question = told[what]
        assert any(answer in text for text in words), what
        assert question
        assert answer not in question
    assert told["unfinished"][-1] == ""


@pytest.mark.parametrize(
    ("severity", "words"),
    [
        ("danger", "Danger: somebody could get hurt."),
        ("watch", "Watch: sap is lost while it stays so."),
        ("calm", "Calm: only work is left."),
    ],
)
def test_how_grave_it_is_is_said_in_words(season: Season, severity: str, words: str) -> None:
    page = handoff_page(season, handed(season, severity=severity), NOW)
    assert f"  {words}" in page_lines(page)


def test_with_nothing_open_and_nothing_said_the_page_says_so(season: Season) -> None:
    lines = page_lines(handoff_page(season, handed(season, "Ledge", to=""), NOW))
    assert lines[0].partition(": ")[2] == "Oda to whoever comes on, Tue 9 Feb 16:30"
    assert lines.count("  nothing said") == 3
    assert "  none known" in lines
    assert "Items: nothing is open." in lines


def test_a_draft_has_its_page_before_it_is_recorded(season: Season) -> None:
    work(season)
    draft = prepare(season, who="Oda", to="Perrin", blocks=(), now=NOW, by="Oda")
    before = handoff_page(season, draft, NOW)
    assert page_title(before) == "Hand-off (draft): Oda to Perrin, Tue 9 Feb 16:30"
    (entry,) = season.record(draft)
    assert isinstance(entry, HandOff)
    assert handoff_page(season, entry, NOW).items == before.items


def test_what_became_of_an_item_since_is_said_and_numbers_stay(season: Season) -> None:
    work(season)
    handoff = handed(season, "Creek")
    season.record(valve("open"), wim_out(until=18), hazard("ice", "Creek", "Ford"))
    page = handoff_page(season, handoff, LATER)
    assert [(item.number, item.what, item.news) for item in page.items] == [
        (1, "out", "changed since: it was 16:05"),
        (2, "valve shut", "closed since"),
        (3, "unfinished", ""),
        (4, "drops' age", ""),
        (5, "hazard", "came in since"),
    ]
    assert item_lines(replace(page.items[1], entry="k7f2q-46")) == [
        "   2    valve shut: split tee (closed since)",
        "        Creek / Spring (k7f2q-46)",
    ]
    assert page.dangers == ("Creek / 1 Ford: ice",)
    assert page.told == "4 open, 2 safety"


def test_once_taken_the_page_says_who_took_it_and_what_they_read_back(season: Season) -> None:
    work(season)
    handoff = handed(season, "Creek")
    page = taken(season, handoff, "4:05", "open", really=True)
    lines = page_lines(page)
    assert "        read back: 4:05" in lines
    assert "        ! told shut, read back open" in lines
    assert not [line for line in lines if line.lstrip().startswith(">")]
    assert lines[-1] == f"Taken by Perrin, Tue 9 Feb 17:10 ({page.taken})"
    season.record(hazard("ice", "Creek", "Ford"))
    assert len(handoff_page(season, handoff, LATER).items) == len(page.items)


def test_who_is_out_comes_with_a_caution(season: Season) -> None:
    season.record(wim_out())
    handoff = handed(season, "Creek")
    assert any(
        "not a rescue system" in line for line in page_lines(handoff_page(season, handoff, NOW))
    )
    season.record(Back(who="Wim", **stamp()))
    back = " ".join(page_lines(handoff_page(season, handoff, NOW)))
    assert "rescue" not in back


def test_what_is_carried_forward_twice_is_marked(season: Season) -> None:
    season.record(valve("shut"))
    for who, to in (("Oda", "Perrin"), ("Perrin", "Wim")):
        draft = prepare(season, who=who, to=to, blocks=["Creek"], now=NOW, by=who)
        (entry,) = season.record(draft)
        said = {x.about: x.value for x in to_take(season, entry.id, NOW)}
        season.record(take(season, entry.id, who=to, said=said, by=to, now=NOW))
    page = handoff_page(season, handed(season, "Creek"), NOW)
    assert "passed on 2 times" in page.items[0].state


def test_who_took_what_from_whom_in_one_line(season: Season) -> None:
    assert last_taken(season.ledger, since=NOW.date()) == ""
    work(season)
    handoff = handed(season, "Creek")
    taken(season, handoff, "16:05", "shut")
    said = last_taken(season.ledger, since=NOW.date())
    assert said == "Perrin took 4 items from Oda, Tue 9 Feb 17:10"
    assert last_taken(season.ledger, since=NOW.date() + timedelta(days=1)) == ""
    one = Taken(handoff=handoff.id, who="Wim", **stamp())
    assert took_words(one, handoff) == "Wim took 0 items from Oda, Tue 9 Feb 16:30"


def test_the_page_as_data(season: Season) -> None:
    work(season)
    data = json.loads(to_json(handoff_page(season, handed(season), NOW)))
    assert data["at"] == NOW.isoformat()
    assert [item["level"] for item in data["items"]] == [
        *("safety", "safety", "sap", "sap", "work", "work")
    ]
    assert (data["taken"], data["taken_at"]) == ("", None)
