"""Looking into a drawing: its texts with the boxes they take."""

from dataclasses import dataclass

from reportlab.graphics import shapes

from reports.figures import lettering


@dataclass(frozen=True)
class Written:
    """A text of a drawing and its box in points."""

    words: str
    left: float
    bottom: float
    right: float
    top: float

    def overlaps(self, other):
        """Tell whether two boxes share more than a touch."""
        return (
            min(self.right, other.right) - max(self.left, other.left) > 0.3
            and min(self.top, other.top) - max(self.bottom, other.bottom) > 0.3
        )


def all_shapes(group):
    for shape in group.contents:
        if isinstance(shape, shapes.Group):
            yield from all_shapes(shape)
        else:
            yield shape


def written(drawing):
    """Return every text of a drawing."""
    return [
        _box(shape)
        for shape in all_shapes(drawing)
        if isinstance(shape, shapes.String) and shape.text
    ]


def _box(shape):
    wide = lettering.width(shape.text, size=shape.fontSize, face=shape.fontName)
    left = shape.x - {"start": 0.0, "middle": wide / 2, "end": wide}[shape.textAnchor]
    low, high = shape.y - 0.15 * shape.fontSize, shape.y + 0.7 * shape.fontSize
    return Written(shape.text, left, low, left + wide, high)
