"""A grade as a word in a frame: the frame differs without colour, too."""

from reportlab.graphics import shapes

from reports import content
from reports.content import PrintedGrade
from reports.figures import lettering, marks, palette

HEIGHT = 12.0


def mark_width(*, words: str, size: float = marks.SMALL) -> float:
    """Return the width of a grade mark in points."""
    return lettering.width(words, size=size, face=lettering.BOLD) + 10


def grade_mark(
    *,
    grade: PrintedGrade,
    wording: content.Wording,
    x: float = 0.0,
    y: float = 0.0,
    size: float = marks.SMALL,
) -> shapes.Group:
    """Return the mark with its lower left corner at x, y.

    Urgent grades are filled, planned ones framed twice, an unknown one dashed.
    """
    words = wording.of_grade(grade)
    wide = mark_width(words=words, size=size)
    filled = grade is PrintedGrade.ACT_NOW
    group = shapes.Group(
        marks.box(
            x + 0.4,
            y + 0.4,
            wide - 0.8,
            HEIGHT - 0.8,
            fill=palette.INK if filled else palette.PAPER,
            edge=palette.SOFT_INK if grade is PrintedGrade.IN_ORDER else palette.INK,
            weight=1.4 if grade is PrintedGrade.PLAN_WORK else 0.6,
            dash=(2, 1.6) if grade is PrintedGrade.NOT_ASSESSED else None,
        )
    )
    if grade is PrintedGrade.PLAN_WORK:
        inner = marks.box(
            x + 2.2, y + 2.2, wide - 4.4, HEIGHT - 4.4, edge=palette.INK, weight=0.4
        )
        group.add(inner)
    plain = grade in (PrintedGrade.IN_ORDER, PrintedGrade.NOT_ASSESSED)
    group.add(
        marks.text(
            x + wide / 2,
            y + HEIGHT / 2 - size * 0.34,
            words,
            size=size,
            face=lettering.REGULAR if plain else lettering.BOLD,
            anchor="middle",
            colour=palette.PAPER if filled else palette.INK,
        )
    )
    return group
