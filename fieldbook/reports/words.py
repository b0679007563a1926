"""Entries, standings and sizes in words: the one place where they are put."""

from datetime import date

from fieldbook.book.entry import (
    AnyEntry,
    Aside,
    Back,
    Block,
    Checklist,
    Close,
    Count,
    Finish,
    HandOff,
    Leak,
    Line,
    Note,
    Out,
    Person,
    Reading,
    Reopen,
    Repair,
    Run,
    Setting,
    Settle,
    Sheet,
    Spouts,
    Step,
    Strike,
    Supply,
    Taken,
    TapRule,
    Target,
    Task,
    Trees,
    Valve,
    WriteOff,
)
from fieldbook.i18n import N_, _, ngettext
from fieldbook.season.dates import clock, short_day
from fieldbook.season.ledger import Ledger, Standing, Tally
from fieldbook.season.plan import Plan
from fieldbook.season.settings import BY_NAME
from fieldbook.season.tally import tally_words
from fieldbook.trade.units import ft_from_m, in_from_mm, m_from_ft, mm_from_in

MARKS = {
    Standing.NOT_BEGUN: "[ ]",
    Standing.UNDER_WAY: "[>]",
    Standing.DONE: "[x]",
    Standing.ASIDE: "[-]",
    Standing.NOTHING_DUE: "   ",
}
"""A standing is a mark and a word before it is a colour."""

_MOVED = {
    "issued": N_("{n:,} spouts issued"),
    "returned": N_("{n:,} spouts returned"),
    "scrapped": N_("{n:,} spouts scrapped"),
}

_FRACTIONS = {0.25: "1/4", 0.3125: "5/16", 0.4375: "7/16", 0.5: "1/2", 0.75: "3/4"}


def heading(book: str, season: int, as_of: date, *, invented: bool) -> str:
    """What stands above a report: `Harrow Hill, season 2027, as of Tue 9 Feb 2027`."""
    day = f"{short_day(as_of)} {as_of.year}"
    name = _("{book}, season {year}, as of {day}").format(book=book, year=season, day=day)
    return name + ("  " + _("(invented)") if invented else "")


def standing_word(standing: Standing) -> str:
    return {
        Standing.NOT_BEGUN: _("not begun"),
        Standing.UNDER_WAY: _("under way"),
        Standing.DONE: _("done"),
        Standing.ASIDE: _("set aside"),
        Standing.NOTHING_DUE: _("nothing due"),
    }[standing]


def bar(done: int, planned: int, width: int) -> str:
    """A bar of ASCII: full only when all is done, empty only when nothing is."""
    if not planned:
        return "." * width
    full = min(width, width * done // planned)
    if done and not full:
        full = 1
    return "=" * full + "." * (width - full)


def one_line(text: str) -> str:
    """A note or reason on one line."""
    return " ".join(text.split())


def signed(text: str, who: str, day: date) -> str:
    """Words on one line, with who said them and when."""
    return f"{one_line(text)} ({who}, {short_day(day)})"


def signed_note(note: Note) -> str:
    """A note on one line, with who said it and when."""
    return signed(note.text, note.who or note.by, note.day)


def signed_entry(entry: AnyEntry) -> str:
    """Which entry says so: `k7f2q-75, Ina, Tue 6 Oct 2026`."""
    return f"{entry.id}, {entry.by}, {short_day(entry.day)} {entry.day.year}"


def rule_source(plan: Plan, name: str) -> str:
    """Where the value of a setting comes from: the default has a source, another value a writer."""
    rule, entry = BY_NAME[name], plan.recorded(name)
    default = rule.default_for(plan.year)
    if entry is None or plan.setting(name) == default:
        return rule.source
    said = f"{default:g}" if isinstance(default, float) else default
    return _("the crew's own ({entry}); by default {default}: {source}").format(
        entry=signed_entry(entry), default=said, source=rule.source
    )


def place(block: str, line: str) -> str:
    """`Brook Bend / Ledge main`; a block whose one line has its name is named once."""
    return block if line in ("", block) else f"{block} / {line}"


def describe(entry: AnyEntry, plan: Plan) -> str:
    """What an entry says, on one line, without its time, place and writer."""
    match entry:
        case Count():
            task = plan.task(entry.task)
            said = f"{entry.count:,} {_(task.counts) if task else entry.task}"
            if entry.hours is not None:
                said += ", " + _("{hours:g} h").format(hours=entry.hours)
            return one_line(f"{said}: {entry.note}") if entry.note else said
        case Finish():
            return _because(_("finished {task}"), entry.task, entry.reason, plan)
        case Aside():
            return _because(_("set aside {task}"), entry.task, entry.reason, plan)
        case Reopen():
            return _because(_("reopened {task}"), entry.task, entry.reason, plan)
        case Step():
            return f"{'[x]' if entry.ticked else '[ ]'} {entry.step}"
        case Note():
            return ("! " if entry.hazard else "") + one_line(entry.text)
        case Reading():
            return reading_words(entry)
        case Leak():
            return leak_words(entry)
        case Valve():
            said = _("valve opened") if entry.state == "open" else _("valve shut")
            if entry.heard is not None:
                heard = _("air heard") if entry.heard else _("no air heard")
                left = _(", left shut") if entry.state == "shut" else ""
                said = _("valve test: {heard}").format(heard=heard) + left
            return f"{said}: {one_line(entry.reason)}" if entry.reason else said
        case Repair():
            due = "" if entry.due is None else ", " + _("by {day}").format(day=short_day(entry.due))
            return _("promised: {text}").format(text=one_line(entry.text)) + due
        case Settle():
            said = _("{id} is seen to").format(id=entry.entry)
            return f"{said}: {one_line(entry.text)}" if entry.text else said
        case Spouts():
            said = _(_MOVED[entry.move]).format(n=entry.count)
            return f"{said}: {one_line(entry.note)}" if entry.note else said
        case Out():
            said = _("out at {at}, due back {due}").format(
                at=f"{entry.at:%H:%M}", due=clock(entry.due, entry.day)
            )
            return f"{said}: {one_line(entry.note)}" if entry.note else said
        case Back():
            said = _("back at {at}").format(at=f"{entry.at:%H:%M}")
            return f"{said}: {one_line(entry.note)}" if entry.note else said
        case Sheet():
            task = plan.task(entry.task)
            title = _(task.title).lower() if task else entry.task
            return _("sheet {n} printed, {task}").format(n=entry.sheet, task=title)
        case HandOff():
            to = entry.to or _("whoever comes on")
            said = ngettext("{n} item", "{n} items", len(entry.items)).format(n=len(entry.items))
            return _("hands off {blocks} to {to}, {items}").format(
                blocks=", ".join(entry.blocks), to=to, items=said
            )
        case Taken():
            return _("took hand-off {id}").format(id=entry.handoff)
        case WriteOff():
            said = _("written off: {what}").format(what=_(entry.about.what))
            where = place(entry.about.block, entry.about.line)
            whose = ", ".join(part for part in (where, entry.about.who, entry.about.entry) if part)
            return one_line(f"{said}, {whose}: {entry.reason}")
        case Close():
            return one_line(_("season closed: {note}").format(note=entry.note)).rstrip(": ")
        case Strike():
            return _("struck {id}: {reason}").format(id=entry.entry, reason=one_line(entry.reason))
        case Block():
            return _("block {order}").format(order=entry.order)
        case Line():
            taps = entry.taps_planned
            planned = _("taps as the trees allow") if taps is None else _("{n:,} taps planned")
            said = _("line {order}, {planned}, drops hung {year}").format(
                order=entry.order,
                planned=planned.format(n=taps),
                year=entry.drops_hung or _("unknown"),
            )
            if entry.spout_in is not None:
                said += ", " + _("{size} in spouts").format(size=inches(entry.spout_in))
            return said
        case Trees():
            return _("trees by diameter: {tally}").format(tally=tally_words(entry.classes))
        case TapRule():
            limits = (f"{c.from_dbh:g} {entry.unit} {c.taps}" for c in entry.classes)
            return _("rule {name} for taps: {limits}").format(
                name=entry.rule, limits=", ".join(limits)
            )
        case Supply():
            item = entry.item.replace("_", " ")
            return _("{item}: {n:,} on hand").format(item=item, n=entry.on_hand)
        case Run():
            return run_words(entry)
        case Person():
            return _("{name} on the crew").format(name=entry.person)
        case Target():
            wanted = _("wanted {day}").format(day=entry.wanted) if entry.wanted else ""
            number = "" if entry.planned is None else _("{n:,} planned").format(n=entry.planned)
            return ", ".join(part for part in (entry.task, wanted, number) if part)
        case Setting():
            return f"{entry.setting} = {entry.value}"
        case Checklist():
            return _("checklist in force: {name}").format(name=entry.checklist)


def place_words(reading: Reading) -> str:
    """`far end`, `head, dry pipe`."""
    pipe = {"wet": _("wet pipe"), "dry": _("dry pipe")}.get(reading.pipe, "")
    return ", ".join(part for part in (_(reading.place), pipe) if part)


def reading_words(reading: Reading) -> str:
    """`far end reads 24.5 inHg`, as it was keyed."""
    kpa, inhg = reading.vacuum_kpa, reading.vacuum_inhg
    vacuum = _("{n:g} inHg").format(n=inhg) if kpa is None else _("{n:g} kPa").format(n=kpa)
    said = _("{place} reads {vacuum}").format(place=place_words(reading), vacuum=vacuum)
    return one_line(f"{said}: {reading.note}") if reading.note else said


def leak_words(leak: Leak) -> str:
    """`leak: third lateral, chewed, 2 inHg lost`; a lateral and a cause that the words do not say
    stand in front."""
    from fieldbook.season.found import read_leak  # its patterns take a while to load

    text = one_line(leak.text)
    named = (
        _("lateral {n}").format(n=leak.lateral) if leak.lateral else "",
        _(leak.cause) if leak.cause else "",
    )
    apart = read_leak(text)
    known = (apart.get("lateral", "") == leak.lateral, apart.get("cause", "") == leak.cause)
    parts = [word for word, said in zip(named, known, strict=True) if word and not said]
    said = _("leak: {text}").format(text=", ".join([*parts, text]))
    for lost, form in (
        (leak.lost_inhg, _("{n:g} inHg lost")),
        (leak.lost_kpa, _("{n:g} kPa lost")),
    ):
        said += f", {form.format(n=lost)}" if lost is not None else ""
    return said


def run_words(run: Run) -> str:
    """`sap 120 gal, 2.1 Brix`; what was not measured is not named."""
    measured = (
        (_("sap {n:,.12g} gal"), run.sap_gal),
        (_("sap {n:,.12g} l"), run.sap_l),
        (_("{n:.12g} Brix"), run.brix),
        (_("syrup {n:,.12g} gal"), run.syrup_gal),
        (_("syrup {n:,.12g} l"), run.syrup_l),
    )
    said = ", ".join(form.format(n=value) for form, value in measured if value is not None)
    said = said or _("sap not measured")
    return one_line(f"{said}: {run.note}") if run.note else said


def _because(form: str, task: str, reason: str, plan: Plan) -> str:
    known = plan.task(task)
    said = form.format(task=_(known.title).lower() if known else task)
    return f"{said}: {one_line(reason)}" if reason else said


def entry_place(entry: AnyEntry) -> str:
    """Where an entry belongs in the woods; empty for what concerns the season."""
    return place(getattr(entry, "block", ""), getattr(entry, "line", ""))


def inches(value_in: float) -> str:
    """An inch size as it is printed on the part: `1-1/4`."""
    whole, part = divmod(round(value_in, 4), 1)
    fraction = _FRACTIONS.get(part)
    if part and fraction is None:
        return f"{value_in:g}"
    return "-".join(piece for piece in (f"{whole:g}" if whole else "", fraction) if piece) or "0"


def size(line: Line, units: str) -> str:
    """Layout, diameters, length and slope of a line: `wet/dry pair, 1-1/2 + 1 in, 780 ft, 4 %`.

    Args:
        line: The line.
        units: `us` or `metric`: what the reader likes; stored as keyed.
    """
    metric = units == "metric"
    parts = [_("wet/dry pair") if line.layout == "pair" else _("single")]
    bores = [(line.diameter_in, line.diameter_mm)]
    bores += [(line.dry_in, line.dry_mm)] if line.layout == "pair" else []
    widths = [width for one in bores if (width := _bore(*one, metric=metric))]
    if widths:
        parts.append(" + ".join(widths) + (" mm" if metric else " in"))
    if metric:
        m = m_from_ft(line.length_ft) if line.length_ft is not None else line.length_m
        parts += [f"{m:,.0f} m"] if m is not None else []
    else:
        ft = ft_from_m(line.length_m) if line.length_m is not None else line.length_ft
        parts += [f"{ft:,.0f} ft"] if ft is not None else []
    if line.slope_pct is not None:
        parts.append(f"{line.slope_pct:g} %")
    return ", ".join(parts)


def _bore(inch: float | None, mm: float | None, *, metric: bool) -> str:
    """The width of a pipe without its unit, as the reader likes it; empty if it is not known."""
    if metric:
        mm = mm_from_in(inch) if inch is not None else mm
        return "" if mm is None else f"{mm:.0f}"
    inch = in_from_mm(mm) if mm is not None else inch
    return "" if inch is None else inches(inch)


def count_words(tally: Tally, task: Task) -> str:
    """`62 of 142 taps, left 80`, with what is short or over."""
    if tally.unknown and not tally.planned:
        return f"{tally.done:,} {_(task.counts)}, " + _("how many are planned is unknown")
    said = _("{done:,} of {planned:,} {unit}, left {left:,}").format(
        done=tally.done, planned=tally.planned, unit=_(task.counts), left=tally.left
    )
    for units, word in ((tally.short, _("short")), (tally.over, _("over"))):
        said += f", {units:,} {word}" if units else ""
    return said


def told(entry: AnyEntry, plan: Plan) -> str:
    """An entry with whose it is and where: `Rae, 80 taps, Brook Bend / Brook pair`."""
    parts = (getattr(entry, "who", ""), describe(entry, plan), entry_place(entry))
    return ", ".join(part for part in parts if part)


def seen_to(entry: AnyEntry, ledger: Ledger) -> str:
    """What becomes of what another entry opened: `leak mended`; empty for other entries."""
    opened = ledger.entry(entry.entry) if isinstance(entry, Settle) else None
    match opened:
        case None:
            return ""
        case Sheet():
            return _("sheet {n} is keyed in").format(n=opened.sheet)
        case Leak():
            return _("leak mended")
        case Repair():
            return _("repair made")
        case _:
            return _("hazard cleared")


def _settled(entry: AnyEntry, ledger: Ledger) -> str:
    """An entry in words; of what closes another, what becomes of that one, and where."""
    said = seen_to(entry, ledger)
    if not isinstance(entry, Settle) or not said:
        return told(entry, ledger.plan)
    opened = ledger.entry(entry.entry)
    parts = (entry.who, said, entry_place(opened) if opened else "", entry.text)
    return one_line(", ".join(part for part in parts if part))


def saved(entry: AnyEntry, ledger: Ledger) -> str:
    """One line that says what is now on disk, and how far the line has come.

    `k7f2q-412 saved: Rae, 80 taps, Brook Bend / Brook pair (142 of 142)`
    """
    said = _("{id} saved: {what}").format(id=entry.id, what=_settled(entry, ledger))
    if isinstance(entry, Count):
        line, task = ledger.plan.line(entry.block, entry.line), ledger.plan.task(entry.task)
        if line is not None and task is not None:
            tally = ledger.line_cell(line, task).tally
            if not tally.unknown:
                said += " " + _("({done:,} of {planned:,})").format(
                    done=tally.done, planned=tally.planned
                )
                if tally.over:
                    said += " " + _("! {n:,} over the plan").format(n=tally.over)
    return said
