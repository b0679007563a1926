"""A curve in plain characters, for a terminal, a printer or a message."""

from collections.abc import Callable, Sequence

from msgspec import Struct

Point = tuple[float, float]


class Layer(Struct, frozen=True):
    """Points drawn with one mark; a later layer covers an earlier one.

    Attributes:
        mark: One character.
        label: What it stands for.
        points: Where, in the units of the axes.
    """

    mark: str
    label: str
    points: tuple[Point, ...]


def between(
    start: tuple[float, float], end: tuple[float, float], steps: int
) -> list[tuple[float, float]]:
    """Points along a straight line, both ends among them."""
    (x, y), (to_x, to_y) = start, end
    shares = [step / max(1, steps) for step in range(steps + 1)]
    return [(x + share * (to_x - x), y + share * (to_y - y)) for share in shares]


def plot(
    layers: Sequence[Layer],
    *,
    width: int,
    height: int,
    x_word: Callable[[float], str],
    y_word: Callable[[float], str],
    y_from: float | None = None,
    y_to: float | None = None,
) -> list[str]:
    """Lines of a plot, with its axes and a line that says what each mark stands for.

    Args:
        layers: What is drawn; together they have two different x at least.
        width: Cells the whole plot takes.
        height: Rows the curve takes, without axis and labels.
        x_word: Puts a place on the x axis into words.
        y_word: The same for the y axis.
        y_from: Where the y axis begins; at its least point if not given.
        y_to: Where it ends.
    """
    points = [point for layer in layers for point in layer.points]
    if not points:
        return []
    x_low, x_high = min(x for x, _y in points), max(x for x, _y in points)
    y_low = min(y for _x, y in points) if y_from is None else y_from
    y_high = max(y for _x, y in points) if y_to is None else y_to
    labels = {0: y_word(y_high), height - 1: y_word(y_low)}
    labels.setdefault((height - 1) // 2, y_word((y_low + y_high) / 2))
    margin = max(map(len, labels.values())) + 1
    cells = max(2, width - margin - 1)
    grid = [[" "] * cells for _row in range(height)]
    for layer in layers:
        for x, y in layer.points:
            column = round((x - x_low) / ((x_high - x_low) or 1) * (cells - 1))
            row = round((y_high - y) / ((y_high - y_low) or 1) * (height - 1))
            if 0 <= row < height:
                grid[row][column] = layer.mark
    lines = [
        f"{labels.get(row, ''):>{margin - 1}} |{''.join(drawn)}".rstrip()
        for row, drawn in enumerate(grid)
    ]
    first, last = x_word(x_low), x_word(x_high)
    gap = max(1, cells - len(first) - len(last))
    lines.append(" " * margin + "+" + "-" * cells)
    lines.append(" " * (margin + 1) + first + " " * gap + last)
    marks = "   ".join(f"{layer.mark} {layer.label}" for layer in layers if layer.points)
    return [*lines, " " * (margin + 1) + marks]
