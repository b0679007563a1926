"""The card of the current line, and what was recorded there."""

from textual.content import Content
from textual.widgets import Static

from fieldbook.book.entry import Task
from fieldbook.i18n import _, ngettext
from fieldbook.reports.round import LineCard
from fieldbook.reports.words import count_words, size, standing_word
from fieldbook.screens.widgets.rows import cut

HAZARDS_SHOWN = 2
"""Hazards that stand on the card; with more there it says how many."""


class Card(Static):
    """Size, counts, steps, hazards, notes and cautions of a line."""

    def show(self, card: LineCard, task: Task, units: str) -> None:
        """Show a line's card in a task.

        Args:
            card: The line.
            task: The task.
            units: `us` or `metric`.
        """
        room = max(20, self.app.size.width - 4)
        line, tally = card.line, card.cell.tally
        last = "-" if card.last_season is None else f"{card.last_season:,}"
        facts = (
            count_words(tally, task),
            standing_word(card.cell.standing),
            _("last season {n}").format(n=last),
        )
        rows = [
            Content.assemble(
                (f" {line.order} {line.line}", "bold $primary"),
                f"   {size(line, units)}",
            ),
            Content(" " + "   ".join(facts)),
            Content(" " + "   ".join(part for part in (card.trees, card.drops) if part)),
        ]
        if card.steps:
            steps = (f"{'[x]' if ticked else '[ ]'} {step}" for step, ticked in card.steps)
            rows.append(Content(" " + "   ".join(steps)))
        hazards = self._hazards(card, room)
        rows += [Content.styled(f" ! {hazard}", "bold $error") for hazard in hazards]
        if card.flags:  # on one row: the cautions below must stay in sight, and w tells all
            rows.append(Content.styled(f" ! {cut('; '.join(card.flags), room)}", "$error"))
        rows += [Content(f" - {cut(note, room)}") for note in card.notes]
        rows += [Content.styled(f" ! {caution}", "$quiet") for caution in task.cautions]
        self.update(Content("\n").join(rows))

    def _hazards(self, card: LineCard, room: int) -> list[str]:
        shown = [cut(hazard, 2 * room) for hazard in card.hazards[:HAZARDS_SHOWN]]
        more = len(card.hazards) - HAZARDS_SHOWN
        if more > 0:
            said = ngettext("{n} more hazard: g reads it", "{n} more hazards: g reads them", more)
            shown.append(said.format(n=more))
        return shown


class Entries(Static):
    """What was recorded on the line in this task, newest last; only where there is room for it."""

    MOST = 12

    def show(self, card: LineCard) -> None:
        said = card.entries[-self.MOST :] or (_("Nothing recorded here yet."),)
        self.update(Content("\n".join(said)))
