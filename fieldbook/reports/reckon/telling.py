"""What a sum says: in plain lines, and as data."""

from collections.abc import Iterable, Iterator
from textwrap import wrap
from typing import Any

from msgspec import Struct

from fieldbook.i18n import _
from fieldbook.reports.reckon.asking import Input, Reckoning
from fieldbook.reports.reckon.rooms import SUMS
from fieldbook.reports.reckon.sums import plain

WIDTH = 76


class Told(Struct, frozen=True, omit_defaults=True):
    """A reckoning as it is passed on.

    Attributes:
        name: Name of the sum.
        inputs: All that went in, defaults too.
        result: What came out, not rounded.
        rule: By which rule, and whose settings.
        source: Where the rule comes from.
        steps: How, step by step; only if asked for.
        cautions: What could hurt, or mislead.
    """

    name: str
    inputs: dict[str, Any]
    result: dict[str, Any]
    rule: str
    source: str
    steps: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


def told(reckoning: Reckoning, *, explain: bool = False) -> Told:
    """A reckoning as it is passed on."""
    answer, rule = reckoning.answer, reckoning.answer.rule
    if reckoning.book:
        rule += "; " + _("settings of the book {book}").format(book=reckoning.book)
    return Told(
        name=reckoning.sum.name,
        inputs={given.param.name: given.value for given in reckoning.inputs},
        result=answer.result,
        rule=rule,
        source=answer.source,
        steps=(*_conversions(reckoning), *answer.steps) if explain else (),
        cautions=answer.cautions,
    )


def told_text(reckoning: Reckoning, *, explain: bool = False) -> str:
    """A reckoning as plain text."""
    answer, data = reckoning.answer, told(reckoning, explain=explain)
    parts = [list(_wrapped(answer.said)), list(answer.drawing)]
    if explain:
        inputs = (_input_words(given, reckoning.book) for given in reckoning.inputs)
        steps = (f"{number}. {step}" for number, step in enumerate(data.steps, start=1))
        parts += [
            [_("Step by step"), *_wrapped(steps, indent="  ")],
            [_("Reckoned with"), *_wrapped(inputs, indent="  ")],
            list(_wrapped([_("Left out: {what}").format(what=_(reckoning.sum.left_out))])),
        ]
    parts.append(
        list(
            _wrapped(
                [
                    *(f"! {caution}" for caution in data.cautions),
                    _("Rule: {rule}.").format(rule=data.rule),
                    _("Source: {source}.").format(source=data.source),
                ]
            )
        )
    )
    return "\n\n".join("\n".join(part) for part in parts if part) + "\n"


def sums_told() -> list[dict[str, str]]:
    """Every sum with what it works out, and how it is asked."""
    return [
        {"name": made.name, "about": _(made.about), "example": made.example}
        for made in SUMS.values()
    ]


def sums_text() -> str:
    """Every sum with what it works out, a line each."""
    width = max(map(len, SUMS))
    lines = [f"{each.name:{width}}  {_(each.about)}" for each in SUMS.values()]
    how = _("fieldbook reckon NAME --help shows what a sum needs, --explain how it goes.")
    return "\n".join([*lines, "", how]) + "\n"


def _conversions(reckoning: Reckoning) -> Iterator[str]:
    """How inputs in metric units came to be in those of the sum."""
    for given in reckoning.inputs:
        if given.converted:
            yield _("{typed} is {name} = {value}.").format(
                typed=given.typed, name=given.param.name, value=plain(given.value)
            )


def _input_words(given: Input, book: str) -> str:
    """An input, its value, where that comes from, and what it is."""
    setting = given.param.setting
    if given.typed or not setting:
        origin = "" if given.typed else _(" (default)")
    elif book:
        origin = _(" (of the book)")
    else:
        origin = _(" (default: {source})").format(source=setting.source)
    value = str(given.value) if isinstance(given.value, int) else plain(given.value)
    return f"{given.param.name} = {value}{origin}: {_(given.param.about)}"


def _wrapped(texts: Iterable[str], indent: str = "") -> Iterator[str]:
    for text in texts:
        yield from wrap(
            text,
            WIDTH,
            initial_indent=indent,
            subsequent_indent=indent + "  ",
            break_on_hyphens=False,
        )
