"""A sum: a function of keyword-only inputs. Its signature and docstring are its options and help.

The first line says what it works out, `Left out:` what it does not see, `Example:` how it is asked,
and `Args:` what each input is, with unit and range. An input without a default that is called like
a setting takes that of the book, or its default.
"""

import inspect
import re
import types
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from string import Formatter
from textwrap import dedent
from typing import Any, Literal, Union, get_args, get_origin

from msgspec import Struct
from msgspec.structs import replace

from fieldbook.i18n import _
from fieldbook.season.settings import BY_NAME, Rule
from fieldbook.trade.tapping import TapRule

TapRules = Mapping[str, TapRule]
"""Tables of taps by name: the published ones, and those of the book. No option gives them."""

SETTINGS = {"rule": "tap_rule", "length_in": "drop_length_in", "lost_pct": "lost_days_pct"}
"""Inputs that are called shorter than the setting they are."""


class Answer(Struct, frozen=True):
    """What a sum gives back.

    Attributes:
        result: What was asked for, not rounded, by names with units.
        said: The same in a line or two. `{name}` stands for an input, a result or a term.
        steps: The formula in words and symbols, then with the numbers put in; `{name}` as well.
        rule: The rule it was reckoned by.
        source: Where the rule comes from.
        cautions: What could hurt, or mislead.
        drawing: Lines of a plot.
        terms: What `said` and `steps` speak of beside inputs and result.
    """

    result: dict[str, Any]
    said: tuple[str, ...]
    steps: tuple[str, ...]
    rule: str
    source: str
    cautions: tuple[str, ...] = ()
    drawing: tuple[str, ...] = ()
    terms: dict[str, Any] = {}


class Param(Struct, frozen=True):
    """An input of a sum.

    Attributes:
        name: Its name, with the unit.
        kind: What a value is: float, int, str, date, or the words to choose from.
        many: There may be several.
        required: It has neither default nor setting.
        default: Its default; None if it has none, or is worked out.
        about: What it is, with unit and range.
        setting: The setting that is its default.
    """

    name: str
    kind: type | tuple[str, ...]
    many: bool
    required: bool
    default: Any
    about: str
    setting: Rule | None

    @property
    def form(self) -> str:
        """What has to be written."""
        if self.setting:
            for nonsense in ("", "?"):  # settings say themselves what they take
                try:
                    self.setting.read(nonsense)
                except ValueError as error:
                    return str(error)
        if isinstance(self.kind, tuple):
            return _("one of {words}").format(words=", ".join(self.kind))
        return {
            float: _("a number"),
            int: _("a whole number"),
            date: _("a date such as 2027-02-09"),
        }.get(self.kind, _("words"))

    @property
    def meaning(self) -> str:
        """What it is, and its range."""
        about = _(self.about)
        if self.setting is None and not isinstance(self.kind, tuple):
            return about
        form = self.form
        return f"{about} {form[0].upper()}{form[1:]}."


class Sum(Struct, frozen=True):
    """A sum by its name.

    Attributes:
        name: As it is asked for.
        function: What works it out.
        about: What it works out, in a line.
        left_out: What it does not see.
        example: How it is asked.
        params: Its inputs.
        either: Inputs of which one at most is given.
        knows_rules: It takes `rules`, the tables of taps.
    """

    name: str
    function: Callable[..., Answer]
    about: str
    left_out: str
    example: str
    params: tuple[Param, ...]
    either: tuple[str, ...]
    knows_rules: bool

    def __call__(self, **inputs: Any) -> Answer:
        """Work it out, and put the numbers in the words.

        Raises:
            ValueError: An input is out of range.
            BookError: An input cannot be read.
        """
        answer = self.function(**inputs)
        values = {**inputs, **answer.result, **answer.terms}
        return replace(
            answer,
            said=tuple(_Words(places=2).vformat(text, (), values) for text in answer.said),
            steps=tuple(_Words(places=4).vformat(text, (), values) for text in answer.steps),
        )


def reckoned(*, either: tuple[str, ...] = ()) -> Callable[[Callable[..., Answer]], Sum]:
    """Make a sum of a function; `rooms` gathers them.

    Args:
        either: Inputs, side by side, of which one at most is given; one must be, if none of them
            has a setting.
    """

    def made(function: Callable[..., Answer]) -> Sum:
        text = inspect.getdoc(function) or ""
        about = dict(_ARGS.findall(_section(text, "Args")))
        signature = inspect.signature(function).parameters.values()
        return Sum(
            name=function.__name__,
            function=function,
            about=text.partition("\n")[0],
            left_out=" ".join(_section(text, "Left out").split()),
            example=" ".join(_section(text, "Example").split()),
            params=tuple(_param(p, about) for p in signature if p.annotation != TapRules),
            either=either,
            knows_rules=any(p.annotation == TapRules for p in signature),
        )

    return made


def plain(value: Any, places: int = 4) -> str:
    """A value in words: `1,820`, `2.5`, `1, 2`."""
    match value:
        case str() | bool():
            return str(value)
        case int():
            return f"{value:,}"
        case float():
            # Digits that a change of units brings in are nobody's; -0 is 0.
            return f"{round(value, places) + 0.0:,.{places}f}".rstrip("0").rstrip(".")
        case Sequence():
            return ", ".join(plain(one, places) for one in value)
        case _:
            return str(value)


class _Words(Formatter):
    """Words with numbers put in: `{dbh_in}` to so many places, `{year:d}` as asked."""

    def __init__(self, places: int) -> None:
        self._places = places

    def format_field(self, value: Any, spec: str) -> str:
        return format(value, spec) if spec else plain(value, self._places)


_ARGS = re.compile(r"^(\w+): (.+(?:\n +.+)*)", re.MULTILINE)


def _section(text: str, title: str) -> str:
    found = re.search(rf"^{title}:\n((?:    .*\n?|\n)+)", text, re.MULTILINE)
    return dedent(found[1]) if found else ""


def _param(param: inspect.Parameter, about: dict[str, str]) -> Param:
    setting = None
    if param.default is param.empty or param.name in SETTINGS:
        setting = BY_NAME.get(SETTINGS.get(param.name, param.name))
    kind = param.annotation
    if get_origin(kind) in (Union, types.UnionType):
        kind = next(one for one in get_args(kind) if one is not type(None))
    many = get_origin(kind) is not None and get_origin(kind) is not Literal
    kind = get_args(kind)[0] if many else kind
    return Param(
        name=param.name,
        kind=get_args(kind) or kind,
        many=many,
        required=param.default is param.empty and setting is None,
        default=None if param.default is param.empty else param.default,
        about=" ".join(about.get(param.name, setting.about if setting else "").split()),
        setting=setting,
    )
