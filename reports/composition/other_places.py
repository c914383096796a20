"""Traction at the places that a sheet does not work out: a line for each result."""

from collections.abc import Sequence

from django.utils.translation import gettext as _

from inspections import worked
from inspections.models import Finding
from inspections.worked import shown
from reports import content
from reports.composition import words
from reports.composition.reader import Reader

# More places would not be read.
_MOST_PLACES = 24


def table(found: Sequence[Finding], *, reader: Reader) -> content.Table | None:
    """Return the other places of a machine; None where there are none."""
    if not found:
        return None
    return content.Table(
        title=_("Traction at the other places"),
        columns=(
            content.Column(heading=_("Where"), share=1.3),
            content.Column(heading=_("Depth of the seat")),
            content.Column(heading=_("Closest case"), share=2.9),
            content.Column(heading=_("Asked"), share=1.0),
            content.Column(heading=_("Held"), share=0.95),
            content.Column(heading=_("Margin"), share=0.8),
            content.Column(heading=_("Least … greatest"), share=1.3),
        ),
        rows=_alike(found[:_MOST_PLACES], reader=reader),
    )


def _alike(found: Sequence[Finding], *, reader: Reader) -> tuple[tuple[str, ...], ...]:
    """Return a line for each place; places with the same numbers stand together."""
    places: dict[tuple[str, ...], list[tuple[str, str]]] = {}
    for finding in found:
        place, depth, *numbers = _other(finding, reader=reader)
        places.setdefault(tuple(numbers), []).append((place, depth))
    return tuple(
        (
            "; ".join(place for place, _depth in together),
            "; ".join(dict.fromkeys(depth for _place, depth in together)),
            *numbers,
        )
        for numbers, together in places.items()
    )


def _other(finding: Finding, *, reader: Reader) -> tuple[str, ...]:
    worst = finding.detail.get("worst", "")
    cases = finding.detail["cases"]
    case = next((c for c in cases if c["tensions"]["case"] == worst), cases[0])
    pull = case["tensions"]
    asked = case["dynamic_factor"] * pull["t1_n"] / pull["t2_n"]
    ends = (finding.worst, finding.best)
    return (
        words.place(finding.place),
        ", ".join(map(reader.length, finding.detail.get("seat_depths_mm", ()))),
        words.case(pull["case"]),
        _number(asked),
        _number(case["limit_ratio"]),
        _number(case["margin"]),
        "–"
        if None in ends
        else " … ".join(_number(e, 3) for e in ends if e is not None),
    )


def _number(value: float, digits: int = 4) -> str:
    return shown.localised(worked.formula.printed(value, digits))
