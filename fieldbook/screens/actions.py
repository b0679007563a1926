"""Every action of the screens, declared once, for keys, footer, help, palette and README.

Textual is not imported, so that the command line can print the table.
"""

from msgspec import Struct
from msgspec.structs import replace

from fieldbook.i18n import N_, _


class Action(Struct, frozen=True):
    """Something a key does.

    Attributes:
        name: What remapping calls it, and the method `action_NAME` of its screen.
        key: Its usual key, as Textual names it; several are parted by commas.
        label: A word or two for the bottom strip.
        about: A sentence for help and palette.
        where: `everywhere`, or the screen it belongs to.
        strip: Whether it stands in the bottom strip, which holds six at most.
    """

    name: str
    key: str
    label: str
    about: str
    where: str = "everywhere"
    strip: bool = False

    @property
    def id(self) -> str:
        """Of the key binding: the same action may have another key on another screen."""
        return self.name if self.where == "everywhere" else f"{self.where}.{self.name}"


def _on(screen: str, *rows: tuple[str, str, str, str], strip: int = 0) -> tuple[Action, ...]:
    """Actions of one screen, of which the first few stand in its bottom strip."""
    return tuple(
        Action(*row, where=screen, strip=number < strip) for number, row in enumerate(rows)
    )


STRIP_MOST = 6
"""Keys that the bottom strip has room for in 80 columns."""

ACTIONS = (
    *_on(
        "board",
        ("open", "enter", N_("open"), N_("Open the round of this block and task.")),
        ("hand_off", "h", N_("hand off"), N_("Hand off what is open in the blocks.")),
        ("print", "p", N_("paper"), N_("Print a sheet of this block and task for the woods.")),
        ("find", "slash", N_("find"), N_("Go to a line by its name, or to a sheet.")),
        ("take", "t", N_("take over"), N_("Take a hand-off: read back what was told.")),
        ("logbook", "g", N_("logbook"), N_("Read every entry.")),
        ("season", "s", N_("season"), N_("Show the season, part by part; print it.")),
        ("vacuum", "v", N_("vacuum"), N_("Show the vacuum: which lines lose most, and the way.")),
        ("whence", "w", N_("where from"), N_("Say where the numbers here come from.")),
        ("quit", "q", N_("quit"), N_("Leave. Everything is on disk already.")),
        strip=4,
    ),
    *_on(
        "season",
        ("next_part", "right", N_("next part"), N_("Show the next part of the season.")),
        ("run", "r", N_("sap run"), N_("Write down the sap and syrup of a day.")),
        ("print", "p", N_("paper"), N_("Print the summary, or put the season in a file.")),
        ("next_season", "n", N_("next season"), N_("Make the next season's plan from this one.")),
        ("previous_part", "left", N_("part before"), N_("Show the part before.")),
        ("day", "d", N_("day"), N_("Change the day that is written down.")),
        ("whence", "w", N_("where from"), N_("Say where the numbers here come from.")),
        ("close", "c", N_("close"), N_("Close the season, once nothing is open any more.")),
        ("logbook", "g", N_("logbook"), N_("Read every entry.")),
        strip=4,
    ),
    *_on(
        "round",
        (
            "record",
            "enter",
            N_("record"),
            N_("Record the count typed; go to the next line."),
        ),
        ("finish", "f", N_("finish"), N_("The line is done, whatever the count.")),
        ("note", "n", N_("note"), N_("Write a note about the line.")),
        ("aside", "s", N_("set aside"), N_("Set the line aside, and say why.")),
        ("strike", "u", N_("strike last"), N_("Strike what was keyed last.")),
        ("leak", "l", N_("leak"), N_("Write down a leak found on the line.")),
        ("valve", "v", N_("valve"), N_("Write down that the line's valve is shut, or open again.")),
        ("gauges", "m", N_("gauges"), N_("Write down what gauges read: head, far end, pump.")),
        (
            "test",
            "c",
            N_("valve test"),
            N_("Valve test: shut, wait, open, listen."),
        ),
        ("spouts", "i", N_("spouts"), N_("Spouts issued to whoever works, returned or scrapped.")),
        ("account", "a", N_("account for"), N_("Say why the count does not match.")),
        ("promise", "j", N_("promise"), N_("Write down a repair that is promised.")),
        ("keyed", "z", N_("sheet keyed in"), N_("All of the sheet is in the book.")),
        ("reopen", "r", N_("reopen"), N_("There is more to do on the line.")),
        ("hazard", "h", N_("hazard"), N_("Note what could hurt somebody here.")),
        ("step", "x", N_("tick step"), N_("Tick the next step of the checklist.")),
        (
            "finish_last",
            "y",
            N_("finish it"),
            N_("Finish the line just recorded."),
        ),
        (
            "really",
            "exclamation_mark",
            N_("as it is"),
            N_("The number is right as it is."),
        ),
        ("whence", "w", N_("where from"), N_("Say where the numbers here come from.")),
        ("trees", "e", N_("trees"), N_("Key in the line's trees by diameter.")),
        ("person", "p", N_("person"), N_("Change whose work it is.")),
        ("day", "d", N_("day"), N_("Change the day the work was done.")),
        ("logbook", "g", N_("logbook"), N_("Read the entries of this block.")),
        ("next_open", "t", N_("next open"), N_("Go to the next line that is not done.")),
        ("previous_block", "left", N_("block before"), N_("Same task in the block before.")),
        ("next_block", "right", N_("next block"), N_("Same task in the next block.")),
        strip=5,
    ),
    *_on(
        "logbook",
        ("whole", "enter", N_("read"), N_("Read the whole entry.")),
        ("find", "slash", N_("find"), N_("Show only entries with these words.")),
        ("strike_this", "x", N_("strike"), N_("Strike this entry, and say why.")),
        strip=3,
    ),
    *_on(
        "items",
        ("go", "enter", N_("go there"), N_("Open the round where it is.")),
        ("close_it", "c", N_("close it"), N_("Do the one thing that closes the item.")),
        ("write_off", "x", N_("write off"), N_("Nothing more is done about it, for a reason.")),
        ("hand_off", "h", N_("hand off"), N_("Hand off what is open in the blocks.")),
        ("filter", "f", N_("filter"), N_("Show only what is in a block, or one person's.")),
        ("take", "t", N_("take over"), N_("Take a hand-off: read back what was told.")),
        ("strike", "u", N_("strike last"), N_("Strike what was keyed last.")),
        ("person", "p", N_("person"), N_("Change whose work it is.")),
        ("whence", "w", N_("where from"), N_("Say where the order and the sap come from.")),
        ("logbook", "g", N_("logbook"), N_("Read the entries about the item.")),
        strip=5,
    ),
    *_on(
        "vacuum",
        ("go", "enter", N_("go there"), N_("Open the leak round at this line.")),
        ("pump", "m", N_("pump"), N_("Write down what the gauge at the pump reads.")),
        ("walk", "r", N_("the way"), N_("Which lines to walk, with so many people and hours.")),
        ("print", "p", N_("paper"), N_("Print the way for the woods.")),
        ("whence", "w", N_("where from"), N_("Say where the numbers here come from.")),
        ("logbook", "g", N_("logbook"), N_("Read the entries about the line.")),
        strip=4,
    ),
    *_on(
        "rollover",
        ("leave", "x", N_("take or leave"), N_("Leave this as it was, or take it after all.")),
        ("all", "a", N_("all"), N_("Take everything.")),
        ("write", "enter", N_("write"), N_("Write the next season, after a question.")),
        ("whence", "w", N_("all of it"), N_("Read all of it in words, and what stays behind.")),
        strip=4,
    ),
    *_on(
        "handoff",
        (
            "answer",
            "enter",
            N_("go on"),
            N_("Take the answer as it stands; go to the next question or item."),
        ),
        strip=1,
    ),
    *_on(
        "everywhere",
        ("out", "b", N_("out/back"), N_("Somebody goes into the woods, or is back.")),
        ("items", "o", N_("open items"), N_("Show everything that is open.")),
        ("help", "question_mark,f1", N_("help"), N_("Show the keys of this screen.")),
        ("back", "escape", N_("back"), N_("Go back.")),
        ("keying", "k", N_("keying"), N_("Change who is at the keyboard.")),
        ("theme", "f2", N_("light/dark"), N_("Change between the dark and the light theme.")),
        ("units", "f3", N_("units"), N_("Change between US customary and metric units.")),
        strip=3,
    ),
)

_SPOKEN = {
    "slash": "/",
    "question_mark": "?",
    "exclamation_mark": "!",
    "enter": "Enter",
    "escape": "Esc",
    "left": "Left",
    "right": "Right",
    "f1": "F1",
    "f2": "F2",
    "f3": "F3",
}

SCREENS = {
    "board": N_("Board"),
    "season": N_("Season"),
    "round": N_("Round"),
    "logbook": N_("Logbook"),
    "items": N_("Open items"),
    "vacuum": N_("Vacuum"),
    "rollover": N_("Next season"),
    "handoff": N_("Hand-off"),
}


def actions_of(screen: str) -> list[Action]:
    """The actions of a screen, then those that work everywhere.

    Of the latter as many stand in the bottom strip as the screen leaves room for, help before all.
    """
    own = [a for a in ACTIONS if a.where == screen]
    everywhere = [a for a in ACTIONS if a.where == "everywhere"]
    room = STRIP_MOST - sum(a.strip for a in own)
    shown = [a.name for a in everywhere if a.strip][-room:]
    return own + [a if a.name in shown else replace(a, strip=False) for a in everywhere]


def spoken(key: str) -> str:
    """A key, or several, as people call them: `? or F1`."""
    return _(" or ").join(_SPOKEN.get(part, part) for part in key.split(","))


def keymap(remapped: dict[str, str]) -> dict[str, str]:
    """Keys of the crew's own by binding id, from names such as `finish` or `round.finish`.

    Names that are no action's are left out.
    """
    return {
        action.id: key
        for name, key in remapped.items()
        for action in ACTIONS
        if name in (action.name, action.id)
    }


def keys_in_force(screen: str, remapped: dict[str, str]) -> dict[str, str]:
    """The key of each action of a screen by binding id; empty where another action has taken it.

    A key of the crew's own goes before a usual one.

    Args:
        screen: The screen.
        remapped: What `keymap` made of the crew's keys.
    """
    keys: dict[str, str] = {}
    taken: set[str] = set()
    for action in sorted(actions_of(screen), key=lambda action: action.id not in remapped):
        asked = remapped.get(action.id, action.key).split(",")
        keys[action.id] = ",".join(key for key in asked if key not in taken)
        taken.update(asked)
    return keys


def key_table() -> str:
    """All keys as a table in Markdown, as in the README."""
    lines = [
        f"| {_('Where')} | {_('Key')} | {_('What it does')} | {_('Name')} |",
        "|---|---|---|---|",
    ]
    for action in ACTIONS:
        where = _(SCREENS.get(action.where, N_("everywhere")))
        lines.append(f"| {where} | {spoken(action.key)} | {_(action.about)} | `{action.id}` |")
    return "\n".join(lines) + "\n"
