"""The words a person reads go through gettext; without a catalogue they stay English.

A catalogue is `fieldbook/locale/LANGUAGE/LC_MESSAGES/fieldbook.mo`; gettext picks the language
from the environment (LANGUAGE, LC_ALL, LC_MESSAGES, LANG).
"""

import gettext
from pathlib import Path

_catalogue = gettext.translation(
    "fieldbook", localedir=str(Path(__file__).parent / "locale"), fallback=True
)

_ = _catalogue.gettext
ngettext = _catalogue.ngettext


def N_(message: str) -> str:
    """Mark a message for translation where it is defined; `_` translates it where it is shown."""
    return message
