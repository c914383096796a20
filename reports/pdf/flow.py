"""Flowables that keep what belongs together on one page."""

from collections.abc import Sequence
from io import BytesIO
from typing import Any

from reportlab.graphics.shapes import Drawing
from reportlab.lib.utils import ImageReader
from reportlab.platypus import Flowable

from reports.pdf import tagging

# A block that does not fit into this share of a page is let go across pages.
_ENOUGH_OF_A_PAGE = 0.75
# Room in points in which any reasonable heading and the start of a block fit.
ENOUGH_ROOM = 480.0
_TRIES = 3


class Figure(Flowable):  # type: ignore[misc]
    """A drawing with a text alternative for readers who do not see it."""

    def __init__(self, drawing: Drawing, alternative: str = "") -> None:
        super().__init__()
        self._drawing, self._alternative = drawing, alternative
        self.width, self.height = drawing.width, drawing.height

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Return the size of the drawing."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw it as one element; without an alternative its words are its text."""
        role = "Figure" if self._alternative else "P"
        place = tagging.figure_attributes(self.canv, self.width, self.height)
        placed = place if self._alternative else ""
        with tagging.marked(self.canv, role, self._alternative, placed):
            self._drawing.drawOn(self.canv, 0, 0)


class Picture(Flowable):  # type: ignore[misc]
    """A photo of a given width with a text alternative."""

    def __init__(self, jpeg: bytes, *, width: float, ratio: float, words: str) -> None:
        super().__init__()
        self._jpeg, self._words = jpeg, words
        self.width, self.height = width, width * ratio

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Return the size of the photo."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw it as one element."""
        place = tagging.figure_attributes(self.canv, self.width, self.height)
        with tagging.marked(self.canv, "Figure", self._words, place):
            picture = ImageReader(BytesIO(self._jpeg))
            self.canv.drawImage(picture, 0, 0, width=self.width, height=self.height)


class Anchor(Flowable):  # type: ignore[misc]
    """A heading that is also a bookmark and a line of the outline."""

    def __init__(
        self, heading: Flowable, *, key: str, title: str, level: int, gap: float = 5.0
    ) -> None:
        super().__init__()
        self._heading, self._gap = heading, gap
        self._key, self._title, self._level = key, title, level

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Return the size of heading and the gap under it."""
        self.width, inner = self._heading.wrap(width, height)
        self.height = inner + self._gap
        return width, self.height

    def split(self, width: float, height: float) -> list[Flowable]:
        """Let a heading taller than a page go on; the bookmark is at its start."""
        if height < ENOUGH_ROOM:
            return []
        parts: list[Flowable] = self._heading.split(width, height - self._gap)
        return [self._begun_with(parts[0]), *parts[1:]] if parts else []

    def _begun_with(self, heading: Flowable) -> "Anchor":
        return Anchor(
            heading, key=self._key, title=self._title, level=self._level, gap=self._gap
        )

    def draw(self) -> None:
        """Set the bookmark and draw the heading."""
        self.canv.bookmarkHorizontal(self._key, 0, self.height + 4)
        self.canv.addOutlineEntry(self._title, self._key, self._level, closed=False)
        self._heading.drawOn(self.canv, 0, self._gap)


class Stack(Flowable):  # type: ignore[misc]
    """Flowables one under the other that stay on one page if a page can hold them."""

    def __init__(
        self, parts: Sequence[Flowable], *, page_height: float, gap: float = 0.0
    ) -> None:
        super().__init__()
        self._parts, self._gap = list(parts), gap
        self._page_height = page_height
        self._heights: list[float] = []

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Return the size of all parts together."""
        self._heights = [part.wrap(width, height)[1] for part in self._parts]
        return width, sum(self._heights) + self._gap * (len(self._parts) - 1)

    def split(self, width: float, height: float) -> list[Flowable]:
        """Let the parts go one by one only where most of a page is not enough."""
        if height < _ENOUGH_OF_A_PAGE * self._page_height:
            return []
        parts = split_to_fit(self._parts[0], width, height)
        return [*parts, *self._parts[1:]] if parts else []

    def draw(self) -> None:
        """Draw the parts from the top down."""
        y = sum(self._heights) + self._gap * (len(self._parts) - 1)
        for part, height in zip(self._parts, self._heights, strict=True):
            y -= height
            part.drawOn(self.canv, 0, y)
            y -= self._gap


def split_to_fit(block: Flowable, width: float, height: float) -> list[Any]:
    """Return parts of a block of which the first fits; nothing if none would."""
    if block.wrap(width, height)[1] <= height:
        return [block]
    room = height
    parts: list[Any] = []
    for _ in range(_TRIES):
        parts = block.split(width, room)
        if not parts or parts[0] is block:
            return []
        over = parts[0].wrap(width, height)[1] - height
        if over <= 0:
            return parts
        # A row split within itself may come out taller than was asked for. Split
        # again, such a part would leave a second head of the table on this page.
        room -= over + 1.0
        if room <= 0:
            break
    first = split_to_fit(parts[0], width, height)
    return [*first, *parts[1:]] if first else []


class Headed(Flowable):  # type: ignore[misc]
    """A heading and the block under it; the heading never ends a page alone."""

    def __init__(self, heading: Flowable, body: Flowable) -> None:
        super().__init__()
        self._heading, self._body = heading, body
        self._body_height = 0.0

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Return the size of heading and block."""
        heading = self._heading.wrap(width, height)[1]
        self._body_height = self._body.wrap(width, height - heading)[1]
        return width, heading + self._body_height

    def split(self, width: float, height: float) -> list[Flowable]:
        """Split the block; nothing if not even its first part fits."""
        room = height - self._heading.wrap(width, height)[1]
        parts = split_to_fit(self._body, width, room)
        if parts:
            return [Headed(self._heading, parts[0]), *parts[1:]]
        return [self._heading, self._body] if height >= ENOUGH_ROOM else []

    def draw(self) -> None:
        """Draw the heading above the block."""
        self._heading.drawOn(self.canv, 0, self._body_height)
        self._body.drawOn(self.canv, 0, 0)
