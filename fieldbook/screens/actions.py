"""Every action of the screens, declared once, for keys, footer, help, palette and README.

Textual is not imported, so that the command line can print the table.
"""

from msgspec import Struct

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


ACTIONS = (
    *_on(
        "board",
        ("open", "enter", N_("open"), N_("Open the round of this block and task.")),
        ("find", "slash", N_("find line"), N_("Go to a line by its name.")),
        ("logbook", "g", N_("logbook"), N_("Read every entry.")),
        ("season", "s", N_("season"), N_("Show the season: curve, forecast and summary.")),
        ("whence", "w", N_("where from"), N_("Say where the numbers here come from.")),
        ("hand_off", "h", N_("hand off"), N_("Hand off what is open in the blocks.")),
        ("take", "t", N_("take over"), N_("Take a hand-off: read back what was told.")),
        ("quit", "q", N_("quit"), N_("Leave. Everything is on disk already.")),
        strip=5,
    ),
    *_on(
        "season",
        ("run", "r", N_("sap run"), N_("Write down the sap and syrup of a day.")),
        ("day", "d", N_("day"), N_("Change the day that is written down.")),
        ("whence", "w", N_("where from"), N_("Say where the numbers here come from.")),
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
        ("help", "question_mark,f1", N_("help"), N_("Show the keys of this screen.")),
        ("back", "escape", N_("back"), N_("Go back.")),
        ("keying", "k", N_("keying"), N_("Change who is at the keyboard.")),
        ("theme", "f2", N_("light/dark"), N_("Change between the dark and the light theme.")),
        ("units", "f3", N_("units"), N_("Change between US customary and metric units.")),
        strip=1,
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
    "handoff": N_("Hand-off"),
}


def actions_of(screen: str) -> list[Action]:
    """The actions of a screen, then those that work everywhere."""
    return [a for a in ACTIONS if a.where == screen] + [
        a for a in ACTIONS if a.where == "everywhere"
    ]


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
