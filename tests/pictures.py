"""Takes the pictures of the README from the demo season.

    python -m tests.pictures

Writes `demo_season/pictures/*.svg`: what stands there is what the program shows.
"""

import asyncio
import re
from datetime import datetime, time, timedelta, timezone
from pathlib import Path
from shutil import copytree, ignore_patterns
from tempfile import TemporaryDirectory

from fieldbook.book.book import Book
from fieldbook.laptop import Laptop
from fieldbook.resources import resource
from fieldbook.screens.app import FieldbookApp
from fieldbook.season.season import Season

PICTURES = {
    "board": ("dark", ()),
    "round": ("light", ("enter", "8", "0")),
    "items": ("dark", ("o",)),
    "vacuum": ("light", ("v", "down", "down", "down")),
    "season": ("dark", ("s",)),
}
"""Picture by name: the theme, and the keys that lead to it from the board."""


def take(folder: Path) -> None:
    """Write every picture into a folder."""
    folder.mkdir(exist_ok=True)
    for name, (theme, keys) in PICTURES.items():
        with TemporaryDirectory() as scratch:
            svg = asyncio.run(_screen(Path(scratch), theme, keys))
        (folder / f"{name}.svg").write_text(svg, encoding="utf-8", newline="\n")


async def _screen(scratch: Path, theme: str, keys: tuple[str, ...]) -> str:
    copytree(resource("demo_season"), scratch / "book", ignore=ignore_patterns("pictures"))
    book = Book.open(scratch / "book", desk="k7f2q")
    laptop = Laptop(scratch)
    laptop.theme = theme
    laptop.set_keying(book.id, "Ina")
    assert book.today is not None
    evening = datetime.combine(book.today, time(17, 5), tzinfo=timezone(timedelta(hours=-5)))
    app = FieldbookApp(Season(book), laptop=laptop, clock=lambda: evening)
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.press(*keys)
        await pilot.pause()
        svg = app.export_screenshot(title="fieldbook")
    # No font from the network: whoever looks at the picture has a monospaced one.
    svg = re.sub(r"@font-face \{.*?\}\s*", "", svg, flags=re.DOTALL)
    return re.sub(r"terminal-\d+", "terminal", svg)


if __name__ == "__main__":
    take(resource("demo_season") / "pictures")
