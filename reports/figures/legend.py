"""The row of samples under a figure that says what each stroke means."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from reportlab.graphics import shapes
from reportlab.lib.colors import Color

from reports.figures import hatching, lettering, marks, palette

SAMPLE_WIDTH = 18.0
ROW_HEIGHT = 10.0
_GAP = 12.0

Sample = Callable[[float, float], list[shapes.Shape]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A sample, drawn with its left end at (x, y), and the words beside it."""

    sample: Sample
    words: str

    @property
    def width(self) -> float:
        """Return the room sample and words take, in points."""
        return SAMPLE_WIDTH + 4 + lettering.width(self.words, size=marks.SMALL)


def rows(entries: Sequence[Entry], width: float) -> list[list[Entry]]:
    """Return the entries broken into rows that fit the width."""
    broken: list[list[Entry]] = []
    used = 0.0
    for entry in entries:
        if not broken or used + entry.width > width:
            broken.append([])
            used = 0.0
        broken[-1].append(entry)
        used += entry.width + _GAP
    return broken


def height(entries: Sequence[Entry], width: float) -> float:
    """Return the height of the legend in points."""
    return len(rows(entries, width)) * ROW_HEIGHT


def draw(
    entries: Sequence[Entry], *, left: float, bottom: float, width: float
) -> shapes.Group:
    """Return the legend, its lowest row standing on bottom."""
    group = shapes.Group()
    broken = rows(entries, width)
    for index, row in enumerate(broken):
        y = bottom + (len(broken) - 1 - index) * ROW_HEIGHT + 3.5
        x = left
        for entry in row:
            for shape in entry.sample(x, y):
                group.add(shape)
            words = marks.text(
                x + SAMPLE_WIDTH + 4, y - 2.2, entry.words, size=marks.SMALL
            )
            group.add(words)
            x += entry.width + _GAP
    return group


def stroke(
    *,
    colour: Color = palette.INK,
    weight: float = 0.8,
    dash: Sequence[float] | None = None,
) -> Sample:
    """Return a sample of a line."""

    def sample(x: float, y: float) -> list[shapes.Shape]:
        end = (x + SAMPLE_WIDTH, y)
        return [marks.line((x, y), end, colour=colour, weight=weight, dash=dash)]

    return sample


def patch(
    *,
    fill: Color,
    edge: Color | None = None,
    hatched: Color | None = None,
) -> Sample:
    """Return a sample of an area, hatched or plain."""

    def sample(x: float, y: float) -> list[shapes.Shape]:
        right, low, high = x + SAMPLE_WIDTH, y - 3, y + 3
        corners = ((x, low), (right, low), (right, high), (x, high))
        drawn: list[shapes.Shape] = [marks.area(corners, fill=fill, edge=edge)]
        if hatched is not None:
            drawn.append(hatching.hatch(corners, spacing=4.5, colour=hatched))
        return drawn

    return sample
