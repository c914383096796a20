"""Flowables that keep what belongs together on one page."""

from collections.abc import Sequence
from typing import Any

from reportlab.platypus import Flowable

# A block that does not fit into this share of a page is let go across pages.
_ENOUGH_OF_A_PAGE = 0.75


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
        return self._parts

    def draw(self) -> None:
        """Draw the parts from the top down."""
        y = sum(self._heights) + self._gap * (len(self._parts) - 1)
        for part, height in zip(self._parts, self._heights, strict=True):
            y -= height
            part.drawOn(self.canv, 0, y)
            y -= self._gap


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
        heading = self._heading.wrap(width, height)[1]
        parts: list[Any] = self._body.split(width, height - heading)
        return [Headed(self._heading, parts[0]), *parts[1:]] if parts else []

    def draw(self) -> None:
        """Draw the heading above the block."""
        self._body.drawOn(self.canv, 0, 0)
        self._heading.drawOn(self.canv, 0, self._body_height)
