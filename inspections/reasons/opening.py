"""One plain sentence for a criterion that is open: ends, chance, what would decide."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import ceil, degrees

from inspections.reasons.codes import Code
from inspections.reasons.making import because
from inspections.reasons.reason import Named, Quantity, Reason, UnknownTerm
from inspections.reasons.terms import Term

_SAME: Mapping[str, Term] = {
    "modulus_any_core_mpa": Term.FIELD_MODULUS_MPA,
    "unworn_diameter_thin_mm": Term.FIELD_UNWORN_DIAMETER_MM,
    "travel_m": Term.TRAVEL,
    "rated_load_kg": Term.RATED_LOAD,
    "rated_load_alone_kg": Term.RATED_LOAD,
    "rated_speed_m_s": Term.RATED_SPEED,
    "pitch_diameter_mm": Term.PITCH_DIAMETER,
    "pulleys_one_to_one": Term.FIELD_PULLEYS,
    "pulleys_two_to_one": Term.FIELD_PULLEYS,
}
_UNITS = (
    ("_kg_per_m", "kg/m"),
    ("_m_s2", "m/s²"),
    ("_m_s", "m/s"),
    ("_mm2", "mm²"),
    ("_mm", "mm"),
    ("_kg", "kg"),
    ("_mpa", "MPa"),
    ("_rad", "°"),
    ("_m", "m"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenEnds:
    """An open criterion by its margins [unit], None where nothing bounds them.

    `decides` is the name of what would settle most, with the range that it was taken
    to lie in and the range's source; "" where it is two standard deviations.
    """

    worst: float | None
    typical: float | None
    best: float | None
    unit: str
    chance: float | None
    decides: str = ""
    low: float | None = None
    high: float | None = None
    source: str = ""


def open_sentence(ends: OpenEnds) -> Reason:
    """Return what is said of an open criterion, as code and values.

    >>> print(open_sentence(OpenEnds(worst=-0.5, typical=0.4, best=1.1, unit="mm",
    ...     chance=0.12, decides="cast_runout_mm", low=0.0, high=3.0,
    ...     source="common practice, no source")))  # doctest: +NORMALIZE_WHITESPACE
    it depends on what is not known: the margin is between -0.5 mm and 1.1 mm, 0.4 mm
    with usual values; by 12 chances in 100 it is beyond its limit; the run-out of the
    underside would decide most: taken as 0 mm to 3 mm (common practice, no source)
    """
    also = []
    if ends.chance is not None and ends.chance > 0.0:
        # Never less than it is: rounded up, by tenths.
        percent = min(ceil(1000.0 * ends.chance) / 10.0, 100.0)
        also.append(because(Code.ENDS_CHANCE, percent=percent))
    if ends.decides:
        also.append(_deciding(ends))
    return _between(ends).with_also(*also)


def name_of(unknown: str) -> Named:
    """Return what something that is not known is called."""
    if unknown in _SAME:
        return _SAME[unknown]
    try:
        return Term(f"field_{unknown}")
    except ValueError:
        return UnknownTerm(unknown)


def _between(ends: OpenEnds) -> Reason:
    if ends.worst is None or ends.best is None or ends.typical is None:
        return because(Code.ENDS_NOT_BOUNDED)
    return because(
        Code.ENDS_BETWEEN,
        worst=_quantity(ends.worst, ends.unit),
        best=_quantity(ends.best, ends.unit),
        typical=_quantity(ends.typical, ends.unit),
    )


def _deciding(ends: OpenEnds) -> Reason:
    what = name_of(ends.decides)
    if ends.low is None or ends.high is None:
        return because(Code.ENDS_DECIDES, what=what)
    low, high = (of_unknown(ends.decides, value) for value in (ends.low, ends.high))
    if ends.source:
        return because(
            Code.ENDS_DECIDES_BY, what=what, low=low, high=high, source=ends.source
        )
    return because(Code.ENDS_DECIDES_BY_SD, what=what, low=low, high=high)


def of_unknown(name: str, value: float) -> Quantity:
    """Return a value of something that is not known, in the unit that its name says."""
    unit = next((unit for ending, unit in _UNITS if name.endswith(ending)), "-")
    return _quantity(degrees(value) if unit == "°" else value, unit)


def _quantity(value: float, unit: str) -> Quantity:
    # Three figures, as a person reads them.
    return Quantity(float(f"{value:.3g}"), unit or "-")
