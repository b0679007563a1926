"""The card of the current line, and what was recorded there."""

from collections.abc import Iterator

from textual.content import Content
from textual.widgets import Static

from fieldbook.book.entry import Task
from fieldbook.i18n import _, ngettext
from fieldbook.reports.round import LineCard
from fieldbook.reports.words import count_words, size, standing_word
from fieldbook.screens.widgets.rows import cut, indented

HAZARDS_SHOWN = OPEN_SHOWN = 2
"""Hazards, and other open items, that stand on the card; with more there it says how many."""

SIGNS_SHOWN = 2
"""What the gauges point at; the screen of the vacuum tells all."""

ROWS_MOST = 16

KEPT, WHOLE = 9, 10
"""Weight of rows that never give way; and of those of which not a word does."""


class Card(Static):
    """Size, counts, steps, hazards, what is open, notes and cautions of a line."""

    def show(self, card: LineCard, task: Task, units: str, *, rows: int = ROWS_MOST) -> None:
        """Show a line's card in a task.

        Args:
            card: The line.
            task: The task.
            units: `us` or `metric`.
            rows: Rows there are. With fewer than it takes, what the plan says gives way first, then
                the newest note and the bag; what is dangerous or open, and the cautions, stay.
                Where that is too much, each hazard and each sign has one row.
        """
        room = max(20, self.app.size.width - 4)
        weighed = list(self._rows(card, task, units, room))
        heights = [len(row.wrap(room + 4)) for row, _weight in weighed]
        there = [True] * len(weighed)
        over = sum(heights) - min(rows, ROWS_MOST)
        light = [i for i, (_row, weight) in enumerate(weighed) if weight < KEPT]
        for i in sorted(light, key=lambda i: (weighed[i][1], -i)):
            if over > 0:
                there[i] = False
                over -= heights[i]
        for i, (row, weight) in reversed(list(enumerate(weighed))):
            folded = row.plain.count("\n")
            if over > 0 and folded and weight == KEPT:
                weighed[i] = (Content.assemble(row.split("\n")[0], " ~"), weight)
                over -= folded
        shown = [row for (row, _weight), kept in zip(weighed, there, strict=True) if kept]
        if not all(there):
            shown[0] = Content.assemble(shown[0], ("   " + _("g, w: more"), "$quiet"))
        self.update(Content("\n").join(shown))

    def _rows(
        self, card: LineCard, task: Task, units: str, room: int
    ) -> Iterator[tuple[Content, int]]:
        """The rows of the card in their order, each with its weight: the lightest go first."""
        line, tally = card.line, card.cell.tally
        last = "-" if card.last_season is None else f"{card.last_season:,}"
        facts = (
            count_words(tally, task),
            standing_word(card.cell.standing),
            _("last season {n}").format(n=last),
        )
        title = (f" {line.order} {line.line}", "bold $primary")
        yield Content.assemble(title, f"   {size(line, units)}"), KEPT
        read = bool(card.vacuum)  # of a line that is read the list of lines says as much
        yield Content(" " + "   ".join(facts)), 6 if read else KEPT
        if trees := "   ".join(part for part in (card.trees, card.drops) if part):
            yield Content(f" {trees}"), 2
        if card.steps:
            steps = (f"{'[x]' if ticked else '[ ]'} {step}" for step, ticked in card.steps)
            yield Content(" " + "   ".join(steps)), 7 if read else KEPT
        for number, fact in enumerate(card.vacuum):
            yield Content(indented(f" {fact}", room + 4, rows=2)), 6 if number > 1 else KEPT
        for number, sign in enumerate(card.signs[:SIGNS_SHOWN]):
            row = Content.styled(indented(f" ! {sign}", room + 4, rows=2), "bold $error")
            yield row, 8 if number else KEPT
        for hazard in self._hazards(card):
            yield Content.styled(indented(f" ! {hazard}", room + 4, rows=2), "bold $error"), KEPT
        for number, item in enumerate(self._open(card, room)):
            yield Content.styled(f" ! {item}", "$error"), 8 if number and read else KEPT
        if card.flags:  # on one row: the cautions below must stay in sight, and w tells all
            yield Content.styled(f" ! {cut('; '.join(card.flags), room)}", "$error"), 5
        if card.bag:
            yield Content(f" {cut(card.bag, room + 2)}"), 4
        for number, note in enumerate(card.notes):
            yield Content(f" - {cut(note, room)}"), 1 if number else 3
        for caution in task.cautions:
            yield Content.styled(indented(f" ! {caution}", room + 4), "$quiet"), WHOLE

    def _hazards(self, card: LineCard) -> list[str]:
        shown = list(card.hazards[:HAZARDS_SHOWN])
        more = len(card.hazards) - HAZARDS_SHOWN
        if more > 0:
            said = ngettext("{n} more hazard: g reads it", "{n} more hazards: g reads them", more)
            shown.append(said.format(n=more))
        return shown

    def _open(self, card: LineCard, room: int) -> list[str]:
        """What else is open on the line, a row each."""
        shown = [cut(item, room) for item in card.open[:OPEN_SHOWN]]
        more = len(card.open) - OPEN_SHOWN
        return [*shown, _("{n} more: o").format(n=more)] if more > 0 else shown


class Entries(Static):
    """What was recorded on the line in this task, newest last; only where there is room for it."""

    MOST = 12

    def show(self, card: LineCard) -> None:
        said = card.entries[-self.MOST :] or (_("Nothing recorded here yet."),)
        self.update(Content("\n".join(said)))
