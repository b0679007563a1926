"""Our own two themes: dark for the evening, light for glare on snow.

Every foreground stands at least 4.5:1 off the backgrounds it is used on (WCAG 2.2, success
criterion 1.4.3). Amber and blue part well for all common kinds of colour blindness; still, a mark
and a word always come before a colour.
"""

from rich.terminal_theme import TerminalTheme
from textual.color import Color
from textual.theme import Theme

DARK = Theme(
    name="fieldbook-dark",
    dark=True,
    background="#14120f",
    surface="#14120f",
    panel="#2a2620",
    foreground="#ece6da",
    primary="#f2b33d",
    secondary="#8cc4ff",
    accent="#f2b33d",
    success="#8cc4ff",
    warning="#f2b33d",
    error="#ff9b8a",
    variables={
        "aside": "#d9b3ff",
        "quiet": "#a89f90",
        "footer-background": "#2a2620",
        "footer-key-foreground": "#f2b33d",
        "footer-description-foreground": "#ece6da",
        "block-cursor-background": "#f2b33d",
        "block-cursor-foreground": "#14120f",
        "input-selection-background": "#f2b33d 35%",
    },
)

LIGHT = Theme(
    name="fieldbook-light",
    dark=False,
    background="#fbf8f1",
    surface="#fbf8f1",
    panel="#e9e3d5",
    foreground="#1d1a15",
    primary="#7a4300",
    secondary="#0a4a85",
    accent="#7a4300",
    success="#0a4a85",
    warning="#7a4300",
    error="#9c1c10",
    variables={
        "aside": "#642a8c",
        "quiet": "#5c554a",
        "footer-background": "#e9e3d5",
        "footer-key-foreground": "#7a4300",
        "footer-description-foreground": "#1d1a15",
        "block-cursor-background": "#7a4300",
        "block-cursor-foreground": "#fbf8f1",
        "input-selection-background": "#7a4300 25%",
    },
)

THEMES = {"dark": DARK, "light": LIGHT}


def ansi(theme: Theme) -> TerminalTheme:
    """What the colours of a terminal become in a report that is shown on a screen."""
    names = ("quiet", "error", "secondary", "primary", "secondary", "aside", "secondary")
    known = {**theme.variables, **{k: v for k, v in vars(theme).items() if isinstance(v, str)}}
    background, foreground, *colours = (
        Color.parse(known[name]).rgb for name in ("background", "foreground", *names)
    )
    return TerminalTheme(background, foreground, [*colours, foreground])
