"""Things found by what people type: a name in any case, or the beginning of it."""

from collections.abc import Iterable
from typing import TypeVar

from fieldbook.book.entry import clean
from fieldbook.errors import BookError
from fieldbook.i18n import _

T = TypeVar("T")


def hits(wish: str, names: Iterable[str]) -> list[str]:
    """Names called so: exactly, else in any case, else by their beginning."""
    pool, folded = list(names), wish.casefold()
    if wish in pool:
        return [wish]
    same = [name for name in pool if name.casefold() == folded]
    return same or [name for name in pool if folded and name.casefold().startswith(folded)]


def match(text: str, named: dict[str, T]) -> T | None:
    """The one thing called so, if exactly one is."""
    found = hits(clean(text, one_line=True), named)
    return named[found[0]] if len(found) == 1 else None


def find(text: str, named: dict[str, T], *, what: str) -> T:
    """The one thing called so; else an error that names what is near."""
    found = match(text, named)
    if found is not None:
        return found
    wish = clean(text, one_line=True)
    several = hits(wish, named)
    if several:
        raise ambiguous(wish, several, what=what)
    raise BookError(
        _("No {what} is called {name}.").format(what=what, name=repr(wish)), near(wish, named)
    )


def ambiguous(wish: str, names: list[str], *, what: str) -> BookError:
    message = _("{name} could be more than one {what}.").format(name=repr(wish), what=what)
    return BookError(message, did_you_mean(names))


def near(wish: str, names: Iterable[str]) -> str:
    """The names most like a wish, or all of them."""
    from difflib import get_close_matches

    by_fold = {name.casefold(): name for name in names}
    if not by_fold:
        return _("The plan has none yet: import lines.csv, people.csv or a checklist first.")
    close = get_close_matches(wish.casefold(), list(by_fold), n=3, cutoff=0.4)
    return did_you_mean([by_fold[name] for name in close] or list(by_fold.values()))


def did_you_mean(names: list[str]) -> str:
    shown = ", ".join(names[:8]) + (", ..." if len(names) > 8 else "")
    return _("Did you mean: {names}?").format(names=shown)
