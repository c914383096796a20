"""What a figure says, in words, for readers who do not see it.

The record's own words in the order in which one would tell them: what it is, what was
read, the limit, and what follows. Nothing is worked out or translated here.
"""

from collections.abc import Iterable
from functools import singledispatch

from reports import content

_ENDS = (".", "!", "?", ":", ";")


@singledispatch
def spoken(figure: object, wording: content.Wording) -> str:
    """Return what a figure says. Raises TypeError for what is none."""
    raise TypeError(f"{type(figure).__name__} is no figure")


@spoken.register
def _groove(figure: content.GrooveSection, wording: content.Wording) -> str:
    measures = "; ".join(one.label for one in figure.dimensions if one.label)
    return _sentences((figure.description, measures))


@spoken.register
def _template(figure: content.Template, wording: content.Wording) -> str:
    measures = "; ".join(one.label for one in figure.dimensions if one.label)
    return _sentences((figure.description, measures))


@spoken.register
def _curve(figure: content.WearCurve, wording: content.Wording) -> str:
    limit = figure.limit.label if figure.limit else ""
    work = "; ".join(one.label for one in figure.events if one.label)
    said = (figure.description, limit, figure.outlook, work)
    return _sentences(said)


@spoken.register
def _rim(figure: content.RimSection, wording: content.Wording) -> str:
    metal = "; ".join(f"{one.label}: {one.value}" for one in figure.thicknesses)
    return _sentences((figure.description, metal, figure.limit_label))


@spoken.register
def _tensions(figure: content.TensionBars, wording: content.Wording) -> str:
    bars = "; ".join(f"{bar.label}: {bar.value_label}" for bar in figure.bars)
    marks = (figure.mean, figure.allowed_low, figure.allowed_high)
    told = "; ".join(mark.label for mark in marks if mark is not None)
    return _sentences((figure.description, bars, told))


@spoken.register
def _strip(figure: content.PortfolioStrip, wording: content.Wording) -> str:
    rows = (
        f"{row.label}: "
        + ", ".join(filter(None, (wording.of_grade(row.grade), row.beyond, row.note)))
        for row in figure.rows
    )
    return _sentences((figure.description, "; ".join(rows)))


def _sentences(parts: Iterable[str]) -> str:
    """Return the parts one after the other, each ended."""
    told = (" ".join(part.split()) for part in parts)
    return " ".join(
        part if part.endswith(_ENDS) else f"{part}." for part in told if part
    )
