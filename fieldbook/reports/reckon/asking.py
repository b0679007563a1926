"""What a person asks for: the options of a sum, in US units or metric, and what they come to."""

from argparse import SUPPRESS, ArgumentParser, HelpFormatter
from collections.abc import Callable, Iterable, Mapping
from datetime import date
from itertools import groupby
from math import isfinite
from textwrap import wrap
from typing import Any, NamedTuple, NoReturn

from msgspec import Struct

from fieldbook.errors import BookError
from fieldbook.i18n import _
from fieldbook.reports.reckon.sums import Answer, Param, Sum, plain
from fieldbook.season.plan import Plan
from fieldbook.season.season import Season
from fieldbook.trade.tapping import RULES
from fieldbook.trade.units import (
    ft_from_m,
    gal_from_l,
    in_from_cm,
    in_from_mm,
    inhg_from_kpa,
    lb_from_kg,
)

METRIC: dict[str, dict[str, Callable[[float], float]]] = {
    "in": {"mm": in_from_mm, "cm": in_from_cm},
    "ft": {"m": ft_from_m},
    "gal": {"l": gal_from_l},
    "inhg": {"kpa": inhg_from_kpa},
    "lb": {"kg": lb_from_kg},
}
"""Metric units in which an input may be given, by the unit at the end of its name."""

FORMS = ("terminal", "text", "json")
"""Forms of an answer; on a terminal it is text."""

Typed = Mapping[str, Any]
"""What was typed, by flag: a word, or several."""


class Option(NamedTuple):
    """A way to give an input.

    Attributes:
        flag: As it is typed.
        metric: The metric unit it is given in; empty if it is given as the sum takes it.
        convert: From the metric unit to that of the sum.
    """

    flag: str
    metric: str = ""
    convert: Callable[[float], float] = float


class Input(Struct, frozen=True):
    """An input as a sum was given it.

    Attributes:
        param: Which.
        value: Its value.
        typed: Option and value as typed; empty if it was left to the default.
        converted: It was typed in a metric unit.
    """

    param: Param
    value: Any
    typed: str = ""
    converted: bool = False


class Reckoning(Struct, frozen=True):
    """A sum that was worked out.

    Attributes:
        sum: Which.
        inputs: With what.
        answer: What came out.
        book: Book and season whose settings are in it; empty if there are none.
    """

    sum: Sum
    inputs: tuple[Input, ...]
    answer: Answer
    book: str


def options(param: Param) -> list[Option]:
    """The ways to give an input: as the sum takes it first, then in metric units."""
    *stem, unit = param.name.split("_")
    twins = {} if "per" in stem else METRIC.get(unit, {})
    return [
        Option(_flag(param.name)),
        *(Option(_flag("_".join([*stem, metric])), metric, to) for metric, to in twins.items()),
    ]


def _flag(name: str) -> str:
    return "--" + name.replace("_", "-")


# --- the command line ---------------------------------------------------------------------------


class _Parser(ArgumentParser):
    """Says what is wrong as the rest of fieldbook does."""

    def error(self, message: str) -> NoReturn:
        raise BookError(f"{self.prog}: {message}.", _see_help(self.prog))


class _Help(HelpFormatter):
    """Breaks no option in two."""

    def _split_lines(self, text: str, width: int) -> list[str]:
        return wrap(text, width, break_on_hyphens=False)


def _see_help(prog: str) -> str:
    return _("{prog} --help shows its options, with units and ranges.").format(prog=prog)


def _prog(asked: Sum) -> str:
    return f"fieldbook reckon {asked.name}"


def parser(asked: Sum) -> ArgumentParser:
    """The options of a sum. Inputs are parsed into their flags; what is not typed is left out."""
    prog = _prog(asked)
    made = _Parser(
        prog=prog,
        usage=f"{prog} {_('OPTIONS')}",
        description=_(asked.about),
        epilog=_("Example: {prog} {words}").format(prog=prog, words=asked.example),
        argument_default=SUPPRESS,
        allow_abbrev=False,
        formatter_class=_Help,
    )
    made.add_argument("--explain", action="store_true", help=_("how, step by step"))
    made.add_argument("--format", choices=FORMS, help=_("form of the answer"))
    made.add_argument("--out", metavar=_("FILE"), help=_("write it there"))
    made.add_argument("--book", metavar=_("FOLDER"), help=_("take the settings of this book"))
    made.add_argument("--season", type=int, metavar=_("YEAR"), help=_("its year"))
    inputs = made.add_argument_group(_("what it is reckoned with"))
    for params in _groups(asked):
        one_of = inputs.add_mutually_exclusive_group()
        for param in params:
            for option in options(param):
                one_of.add_argument(
                    option.flag,
                    dest=option.flag,
                    metavar="N" if param.kind in (int, float) else _("WORDS"),
                    nargs="+" if param.many else None,
                    help=SUPPRESS if option.metric else _help(asked, param).replace("%", "%%"),
                )
    return made


def _groups(asked: Sum) -> list[list[Param]]:
    """Inputs, those together of which one at most is given."""
    return [
        list(params)
        for _name, params in groupby(asked.params, lambda p: p.name in asked.either or p.name)
    ]


def _needed(asked: Sum, params: Iterable[Param]) -> bool:
    """Whether one of a group has to be given."""
    return all(p.required or (p.name in asked.either and p.setting is None) for p in params)


def _help(asked: Sum, param: Param) -> str:
    """What an input is, its range, its default and where that comes from, its metric twins."""
    said = [param.meaning]
    if param.setting:
        said.append(
            _("Default {value}, the setting {name}: {source}.").format(
                value=plain(param.setting.default),
                name=param.setting.name,
                source=param.setting.source,
            )
        )
    if param.default is not None:
        said.append(_("Default {value}.").format(value=plain(param.default)))
    if twins := [option.flag for option in options(param) if option.metric]:
        said.append(_("Or {flags}.").format(flags=", ".join(twins)))
    if param.required:
        said.append(_("Needed."))
    elif param.name in asked.either:
        others = [_flag(name) for name in asked.either if name != param.name]
        said.append(_("This or {flags}.").format(flags=", ".join(others)))
    return " ".join(said)


# --- what was typed -----------------------------------------------------------------------------


def ask(asked: Sum, typed: Typed, season: Season | None = None) -> Reckoning:
    """Work out a sum with what was typed, and for the rest the settings of a book, or defaults.

    Args:
        asked: The sum.
        typed: By flag, as `parser` parses it.
        season: The season whose settings are taken, and whose tables of taps.

    Raises:
        BookError: An input is missing, cannot be read, or is out of range.
    """
    plan = season.plan if season else None
    inputs = [made for params in _groups(asked) for made in _inputs(asked, params, typed, plan)]
    values = dict.fromkeys(asked.either) | {given.param.name: given.value for given in inputs}
    if asked.knows_rules:
        values["rules"] = plan.tap_rules if plan else RULES
    try:
        answer = asked(**values)
    except (ValueError, OverflowError, BookError) as error:
        hint = error.hint if isinstance(error, BookError) else ""
        why = error.message if isinstance(error, BookError) else f"{error}."
        raise BookError(f"{_blamed(inputs, why)}: {why}", hint or _see_help(_prog(asked))) from None
    by_settings = any(given.param.setting and not given.typed for given in inputs)
    book = f"{season.book.name}, {season.year}" if season and by_settings else ""
    return Reckoning(asked, tuple(inputs), answer, book)


def _inputs(asked: Sum, params: list[Param], typed: Typed, plan: Plan | None) -> list[Input]:
    """What was typed of a group, or else its defaults."""
    given = [
        _read(param, option, typed[option.flag])
        for param in params
        for option in options(param)
        if option.flag in typed
    ]
    if not given and _needed(asked, params):
        raise BookError(
            _("{prog}: {flags} is missing.").format(
                prog=_prog(asked), flags=_(" or ").join(_flag(param.name) for param in params)
            ),
            " ".join(param.meaning for param in params),
        )
    defaults = (Input(param, _default(param, plan)) for param in params)
    return given or [default for default in defaults if default.value is not None]


def _default(param: Param, plan: Plan | None) -> Any:
    if param.setting is None:
        return param.default
    return plan.setting(param.setting.name) if plan else param.setting.default


def _read(param: Param, option: Option, typed: str | list[str]) -> Input:
    texts = [typed] if isinstance(typed, str) else typed
    values = [_value(param, option, text) for text in texts]
    return Input(
        param=param,
        value=values if param.many else values[0],
        typed=" ".join([option.flag, *texts]),
        converted=bool(option.metric),
    )


def _value(param: Param, option: Option, text: str) -> Any:
    """A value from typed text, in the unit of the sum."""
    try:
        if isinstance(param.kind, tuple):
            return param.kind[param.kind.index(text)]
        value = _KINDS[param.kind](text)
        if isinstance(value, float):
            value = option.convert(value)
            if not isfinite(value):
                raise ValueError
        return param.setting.read(str(value)) if param.setting else value
    except ValueError:
        form = f"{param.form} ({_flag(param.name)})" if option.metric else param.form
        raise BookError(
            _("{flag} {text} will not do.").format(flag=option.flag, text=repr(text)),
            _("Write {form}. {about}").format(form=form, about=_(param.about)),
        ) from None


_KINDS: dict[type, Callable[[str], Any]] = {
    float: float,
    int: int,
    date: date.fromisoformat,
    str: str,
}


def _blamed(inputs: Iterable[Input], why: str) -> str:
    """The options whose value a refusal speaks of; all that were typed, if it speaks of none."""
    typed = [given for given in inputs if given.typed]
    words = why.replace(":", " ").split()
    named = [given for given in typed if str(given.value) in words]
    return ", ".join(given.typed for given in named or typed)
