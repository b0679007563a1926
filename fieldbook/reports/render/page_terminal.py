"""A page for a terminal, with Rich. Words people typed are `Text`: they are never markup."""

from rich.console import Group, RenderableType
from rich.text import Text

from fieldbook.reports.page import Page, Section
from fieldbook.reports.render.folded import fold
from fieldbook.reports.render.page_text import HEIGHT, chart_lines
from fieldbook.reports.render.terminal import listing_terminal


def section_terminal(section: Section, *, width: int, chart_height: int) -> RenderableType:
    """A section with its title as Rich renderables.

    Args:
        section: The section.
        width: Columns there are.
        chart_height: Rows that the curve of a chart takes.
    """
    parts: list[RenderableType] = [Text(section.title, style="bold")]
    parts += map(_line, section.lines)
    for chart in section.charts:
        lines = chart_lines(chart, width=width, height=chart_height)
        parts += [Text(), Text(chart.title, style="bold underline")]
        parts += [Text(line, no_wrap=True) for line in lines]
        parts += [Text(chart.says)] if chart.says else []
    for listing in section.listings:
        parts += [Text(), listing_terminal(fold(listing, width))]
    return Group(*parts)


def page_terminal(page: Page, *, width: int) -> RenderableType:
    """A page as Rich renderables."""
    parts: list[RenderableType] = [Text(page.title, style="bold"), Text(page.heading)]
    if page.lines:
        parts += [Text(), *map(_line, page.lines)]
    for section in page.sections:
        parts += [Text(), section_terminal(section, width=width, chart_height=HEIGHT)]
    return Group(*parts)


def _line(text: str) -> Text:
    """A line of words; what wants a look is bright."""
    return Text(text, style="bold red" if text.lstrip().startswith("!") else "")
