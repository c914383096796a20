"""True scale: millimetres of metal to points of paper."""

from collections.abc import Sequence
from dataclasses import dataclass

from reportlab.graphics import shapes

from reports import content
from reports.figures import marks, palette

Point = tuple[float, float]

POINTS_PER_MM = 72.0 / 25.4
# Paper to metal; the greatest that fits is taken.
_RATIOS = (
    (10.0, "10 : 1"),
    (8.0, "8 : 1"),
    (6.0, "6 : 1"),
    (5.0, "5 : 1"),
    (4.0, "4 : 1"),
    (3.5, "3.5 : 1"),
    (3.0, "3 : 1"),
    (2.5, "2.5 : 1"),
    (2.0, "2 : 1"),
    (1.5, "1.5 : 1"),
    (1.25, "5 : 4"),
    (1.0, "1 : 1"),
    (0.75, "3 : 4"),
    (0.5, "1 : 2"),
    (0.25, "1 : 4"),
    (0.1, "1 : 10"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """Where the metal's origin stands on the paper, and how large it is drawn."""

    x: float
    y: float
    ratio: float
    ratio_words: str

    @property
    def points_per_mm(self) -> float:
        """Return the drawn length of one millimetre of metal in points."""
        return self.ratio * POINTS_PER_MM

    def point(self, place: Point) -> Point:
        """Return a place in mm as a place on the paper in points."""
        return (
            self.x + place[0] * self.points_per_mm,
            self.y + place[1] * self.points_per_mm,
        )

    def points(self, places: Sequence[Point]) -> list[Point]:
        """Return places in mm as places on the paper in points."""
        return [self.point(place) for place in places]


def fitting(
    *,
    left_mm: float,
    right_mm: float,
    low_mm: float,
    high_mm: float,
    corner: Point,
    room: Point,
) -> Placement:
    """Return the largest round scale at which the metal fits into the room.

    The metal's lower left stands on ``corner``. Raises ValueError where not even
    the smallest scale fits.
    """
    for ratio, words in _RATIOS:
        points_per_mm = ratio * POINTS_PER_MM
        wide = (right_mm - left_mm) * points_per_mm
        tall = (high_mm - low_mm) * points_per_mm
        if wide <= room[0] and tall <= room[1]:
            return Placement(
                x=corner[0] - left_mm * points_per_mm,
                y=corner[1] - low_mm * points_per_mm,
                ratio=ratio,
                ratio_words=words,
            )
    raise ValueError(
        f"a section of {right_mm - left_mm:g} by {high_mm - low_mm:g} mm is too "
        f"large; it must fit {room[0]:g} by {room[1]:g} points at {_RATIOS[-1][1]}"
    )


def scale_bar(
    *,
    bar: content.ScaleBar,
    placement: Placement,
    wording: content.Wording,
    left: float,
    bottom: float,
) -> shapes.Group:
    """Return a bar of true length, its label and the scale in words."""
    end = left + bar.length_mm * placement.points_per_mm
    middle = (left + end) / 2
    corners = ((left, bottom), (middle, bottom), (middle, bottom + 2.4))
    ratio = placement.ratio_words.replace(".", wording.decimal_mark)
    words = wording.scale.format(scale=ratio)
    return shapes.Group(
        marks.box(left, bottom, end - left, 2.4, edge=palette.INK, weight=0.4),
        marks.area((*corners, (left, bottom + 2.4)), fill=palette.INK),
        marks.text(
            end + 4,
            bottom - 1.2,
            f"{bar.label}  ·  {words}",
            size=marks.SMALL,
            room=200,
        ),
    )
