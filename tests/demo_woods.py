"""What goes on in the demo season beside counting: bags, comings and goings, leaks, hand-offs.

What goes in and out of bags, and who is in the woods, is worked out from the counts that the
builder made, with a random source of its own: the crew's days are the same with it and without.
The rest stands in tables, and what needs an id or everything that is open is recorded when the
book has come so far.
"""

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime, time, timedelta, timezone
from random import Random
from typing import Any, NamedTuple

from fieldbook.book.entry import (
    AnyEntry,
    Back,
    Close,
    Count,
    Finish,
    Leak,
    Note,
    Out,
    Reading,
    Repair,
    Settle,
    Sheet,
    Spouts,
    Valve,
    Work,
    WriteOff,
)
from fieldbook.season.handoff import find_handoff, prepare, take
from fieldbook.season.items import closing_items
from fieldbook.season.season import Season

SEED = 4007
ZONE = timezone(timedelta(hours=-5))
TODAY = date(2027, 2, 9)


def when(text: str) -> datetime:
    """A time on the clock of Harrow Hill."""
    return datetime.fromisoformat(text).replace(tzinfo=ZONE)


def stamp(at: datetime, who: str) -> dict[str, Any]:
    """What every draft carries until the evening, when somebody keys it in."""
    return {"at": at, "noted": at, "by": who}


def told(at: str, who: str, place: str = "") -> dict[str, Any]:
    """The fields of what somebody has to say about a place, written `block / line`."""
    where: dict[str, Any] = dict(zip(("block", "line"), place.split(" / "), strict=False))
    return {**stamp(when(at), who), "who": who, **(where if place else {})}


# --- what is found in the woods ---

DEAD_TOP = Note(
    **told("2027-02-04 09:40", "Tor", "Upper Ridge / Far notch main"),
    text="dead top of a birch hangs over the second lateral",
    hazard=True,
)
CHEWED = Leak(
    **told("2027-02-02 12:15", "Tor", "Upper Ridge / Wolf tree main"),
    text="third lateral chewed through below the wolf tree",
    lateral="3",
    cause="chewed",
)
SINGS = Leak(
    **told("2027-02-02 12:40", "Milo", "North Slope / Fern pair"),
    text="it sings by the second tree: cracked tee",
    cause="fitting",
    lost_inhg=1.5,
)
STRAP = Repair(
    **told("2027-02-01 09:20", "Tor", "Upper Ridge / Gate main"),
    text="second strap on the gate anchor",
    due=date(2027, 2, 5),
)

FOUND: tuple[AnyEntry, ...] = (
    Note(
        **told("2026-10-19 16:00", "Wes"),
        text="Belt guard back on the pump, oil changed, gauge at zero.",
    ),
    STRAP,
    CHEWED,
    SINGS,
    Repair(
        **told("2027-02-02 13:40", "Wes", "Upper Ridge / Saddle main"),
        text="new anchor tree for the last two ties",
        due=date(2027, 2, 8),
    ),
    DEAD_TOP,
    Valve(
        **told("2027-02-04 11:50", "Tor", "North Slope / Fern pair"),
        state="shut",
        reason="new tee going in",
    ),
    Valve(**told("2027-02-04 12:40", "Tor", "North Slope / Fern pair"), state="open"),
    Finish(
        **told("2027-02-05 09:00", "Zoë", "North Slope / Raven main"),
        task="tapping",
        reason="4 drops more there than in the plan, all in good trees",
    ),
    Valve(
        **told("2027-02-07 13:40", "Tor", "Upper Ridge / Boulder main"),
        state="shut",
        reason="birch down on it in the night wind, two laterals torn off",
    ),
    Finish(**told("2027-02-08 12:00", "Milo", "Brook Bend / Mill main"), task="tapping"),
    Leak(
        **told("2027-02-09 12:00", "Ina", "Upper Ridge / Ridge pair"),
        text="hiss at the fifth lateral, a squirrel by the look of it: taped, wants a new tee",
        lateral="5",
        cause="chewed",
        lost_inhg=3.5,
    ),
)
"""What was found and what was done about it; two lines were finished at the table, the one over its
plan with a reason, the one three drops short of it without."""


class Seen(NamedTuple):
    """What somebody had opened is seen to, by whom and when."""

    opened: Note | Leak | Repair | Sheet
    at: str
    who: str
    text: str = ""


# --- sheets ---


def printed(at: str, number: int, block: str, lines: str, who: str = "") -> Sheet:
    fields = {**told(at, "Ina", block), "who": who}
    return Sheet(**fields, sheet=number, task="tapping", lines=tuple(lines.split(", ")))


SHEETS = (
    printed(
        "2027-01-26 17:40",
        1,
        "Upper Ridge",
        "Gate main, Ridge pair, Boulder main, Twin birch main, Saddle main, Stub main, "
        "Wolf tree main, High pair, Windfall main, Crest main, Far notch main",
    ),
    printed(
        "2027-01-29 17:50",
        2,
        "North Slope",
        "Shade main, Fern pair, Hemlock main, Ice house main, Long pair, Dog-leg main, "
        "Switchback main, Raven main, Snow fence main",
    ),
    printed(
        "2027-02-08 17:50",
        3,
        "Brook Bend",
        "Bend pair, Ledge main, Cedar main, Lower loop, Stump main, Gravel main, Island pair",
        who="Rae",
    ),
)
"""Printed of an evening for the days to come; the last one is in Rae's pocket."""

SEEN_TO = (
    Seen(SHEETS[0], "2027-02-02 17:20", "Ina"),
    Seen(STRAP, "2027-02-04 09:30", "Tor", "strap on, wire tight"),
    Seen(CHEWED, "2027-02-04 09:30", "Tor", "a new length let in"),
    Seen(SINGS, "2027-02-04 12:40", "Tor", "new tee, sings no more"),
    Seen(DEAD_TOP, "2027-02-05 09:30", "Milo", "down and limbed"),
    Seen(SHEETS[1], "2027-02-05 17:20", "Ina"),
)


def seen_to(season: Season, day: date, more: Iterable[Seen] = ()) -> Iterator[Settle]:
    """What is seen to on a day, of what an earlier evening put in the book.

    Args:
        season: The season as it stands.
        day: The day.
        more: What is seen to beside what stands here.
    """
    ids = {(entry.kind, entry.at): entry.id for entry in season.log()}
    for seen in (*SEEN_TO, *more):
        if when(seen.at).date() == day:
            opened = ids[seen.opened.kind, seen.opened.at]
            yield Settle(**told(seen.at, seen.who), entry=opened, text=seen.text)


# --- who is in the woods, and what is in their bags ---

BAGS_FROM = date(2027, 1, 27)
"""The first day of tapping. From then on the crew writes down who goes out, and with how much."""

DUE = time(16, 30)
"""Nobody stays out longer, so that there is light to look for them."""

SPOUTS_AN_HOUR = 45
"""For counts that do not say how long they took."""

BUNDLE, TO_SPARE = 20, 5
"""Spouts are issued in bundles, and a few more than the day's lines want."""

CRACKED = (0, 0, 0, 1, 1, 2)
"""How many spouts a day are thrown away, taken at random."""

ASTRAY = {(date(2027, 2, 1), "Milo"): 12, (date(2027, 2, 3), "Zoë"): -4}
"""Spouts that were short in the evening: of Milo's 200, 188 were found. Zoë brought in 4 too many,
out of a coat pocket. All other bags balance to the day."""

MOVES: tuple[AnyEntry, ...] = (
    # Sunday, after the wind
    *(
        Out(
            **told("2027-02-07 12:50", who, "Upper Ridge"),
            due=when("2027-02-07 16:00"),
            note="to see what the wind did, with {}".format("Wes" if who == "Tor" else "Tor"),
        )
        for who in ("Tor", "Wes")
    ),
    *(Back(**told("2027-02-07 15:10", who)) for who in ("Tor", "Wes")),
    # Monday
    Out(
        **told("2027-02-08 08:10", "Wes", "Upper Ridge / Boulder main"),
        due=when("2027-02-08 13:00"),
        note="saw and peavey for the birch",
    ),
    Back(**told("2027-02-08 11:40", "Wes"), note="birch is frozen in, wants two people"),
    # Tuesday
    Spouts(**told("2027-02-09 07:25", "Rae"), move="issued", count=180),
    Out(**told("2027-02-09 07:40", "Rae", "Brook Bend"), due=when("2027-02-09 12:30")),
    Out(
        **told("2027-02-09 08:05", "Milo", "Old Orchard"),
        due=when("2027-02-09 16:30"),
        note="breaking trail to Wall main",
    ),
    Back(**told("2027-02-09 12:10", "Rae")),
    Spouts(**told("2027-02-09 12:30", "Rae"), move="issued", count=120),
    Out(
        **told("2027-02-09 12:40", "Rae", "Brook Bend"),
        due=when("2027-02-09 16:30"),
        note="rest of Ledge main, then Cedar main",
    ),
    Back(**told("2027-02-09 15:20", "Milo")),
)
"""Who went out on days without a count of theirs; and Rae's Tuesday, which has not ended."""


def goings(rng: Random, drafts: Iterable[AnyEntry]) -> Iterator[AnyEntry]:
    """Who went out on a day, with how many spouts, and came back.

    Args:
        rng: The random source of bags.
        drafts: What the crew has to say of the day.
    """
    said = [
        draft
        for draft in drafts
        if isinstance(draft, Work | Note | Leak | Valve | Repair | Settle)
        or (isinstance(draft, Reading) and draft.line)
    ]
    for who in sorted({draft.who for draft in said if isinstance(draft, Work | Reading)}):
        mine = [draft for draft in said if draft.who == who and draft.at.hour < DUE.hour]
        if who == "Rae" and mine[0].day == TODAY:
            continue
        worked = [draft for draft in mine if isinstance(draft, Work | Reading)]
        out, back = leaves(worked), max(draft.at for draft in mine) + timedelta(minutes=25)
        blocks = list(dict.fromkeys(work.block for work in sorted(worked, key=lambda w: w.at)))
        due = datetime.combine(out.date(), DUE, ZONE)
        then = f"then {', '.join(blocks[1:])}" if blocks[1:] else ""
        yield Out(**stamp(out, who), who=who, block=blocks[0], due=due, note=then)
        yield Back(**stamp(back, who), who=who)
        taps = sum(w.count for w in worked if isinstance(w, Count) and w.task == "tapping")
        if taps:
            yield from bag(rng, who, out - timedelta(minutes=10), back, taps)


def leaves(worked: Sequence[Work | Reading]) -> datetime:
    """When somebody left for the first line of the day: a quarter of an hour's walk before it."""
    starts = []
    for work in worked:
        hours = 0.5
        if isinstance(work, Count):
            hours = work.hours or work.count / SPOUTS_AN_HOUR
        starts.append(work.at - timedelta(minutes=15 * round(4 * hours)))
    first = datetime.combine(worked[0].day, time(7, 30), ZONE)
    return max(first, min(starts)) - timedelta(minutes=15)


def bag(rng: Random, who: str, out: datetime, back: datetime, taps: int) -> Iterator[Spouts]:
    """What goes into somebody's bag in the morning, and comes out of it in the evening."""
    astray = ASTRAY.get((out.date(), who), 0)
    cracked = 0 if astray else rng.choice(CRACKED)
    issued = BUNDLE * -(-(taps + cracked + TO_SPARE) // BUNDLE)
    yield Spouts(**stamp(out, who), who=who, move="issued", count=issued)
    evening = {**stamp(back + timedelta(minutes=10), who), "who": who}
    yield Spouts(**evening, move="returned", count=issued - taps - cracked - astray)
    if cracked:
        yield Spouts(**evening, move="scrapped", count=cracked, note="cracked in the cold")


# --- handing over ---


class Pass(NamedTuple):
    """A hand-off; `taken` is when it was read back and taken, if it was."""

    at: str
    who: str
    to: str
    block: str
    done: str
    what_if: str
    taken: str = ""


PASSES = (
    Pass(
        "2027-02-07 18:00",
        "Tor",
        "Wes",
        "Upper Ridge",
        "Walked it with Wes after the wind. Boulder main shut, the rest stands.",
        "If it thaws before the birch is off: leave Boulder main shut, it would drink air.",
        taken="2027-02-08 07:10",
    ),
    Pass(
        "2027-02-08 18:00",
        "Wes",
        "Ina",
        "Upper Ridge",
        "Looked at the birch on Boulder main: frozen in, wants two people and a come-along.",
        "If it thaws: Boulder main stays shut until both laterals are on again.",
        taken="2027-02-09 07:05",
    ),
    Pass(
        "2027-02-09 16:58",
        "Milo",
        "Ina",
        "Old Orchard",
        "Broke trail as far as Wall main. The drops there are still frozen in: none hung.",
        "If it thaws by Thursday: Wall main first, from the top down.",
    ),
)
"""Tor was off on Monday, Wes on Tuesday, and Milo will be on Wednesday."""


def at_the_desk(season: Season, begin: datetime, end: datetime) -> None:
    """Record what is done at the desk itself: sheets printed, hand-offs prepared and taken."""

    def comes(text: str) -> bool:
        return bool(text) and begin <= when(text) < end

    for sheet in SHEETS:
        if begin <= sheet.at < end:
            season.record(sheet)
    for done in PASSES:
        if comes(done.at):
            season.record(
                prepare(
                    season,
                    who=done.who,
                    to=done.to,
                    blocks=[done.block],
                    now=when(done.at),
                    done=done.done,
                    what_if=done.what_if,
                    by=done.who,
                )
            )
        elif comes(done.taken):
            read_back(season, done)


def read_back(season: Season, done: Pass) -> None:
    """Whoever comes on reads every item back as it was told."""
    handoff = find_handoff(season.ledger, done.who)
    said = {item.about: item.value for item in handoff.items}
    season.record(
        take(season, handoff.id, who=done.to, said=said, by=done.to, now=when(done.taken))
    )


DESK_DAYS = {sheet.day for sheet in SHEETS} | {
    when(text).date() for done in PASSES for text in (done.at, done.taken) if text
}

# --- accounts that are closed ---

CLOSED = {2025: "2025-05-05 18:00", 2026: "2026-05-04 18:00"}

WRITTEN_OFF = {
    "Kettle main": "5 more than planned: all in good trees, and all pulled again",
    "Border main": "7 more than planned: the drops were spares, and all are pulled again",
}


def close(season: Season) -> None:
    """Write off what was never explained in a past season, line by line, and close it."""
    by = {**stamp(when(CLOSED[season.year]), "Ina"), "who": "Ina"}
    for item in closing_items(season.ledger, by["at"]):
        reason = WRITTEN_OFF[item.about.line]
        season.record(WriteOff(**by, about=item.about, amount=item.amount, reason=reason))
    season.record(Close(**by, note="Of spouts still in trees, each line says why."))
