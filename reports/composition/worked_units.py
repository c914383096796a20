"""Numbers of a worked calculation in the reader's units, beside those of the rules."""

from math import degrees

from django.utils.translation import gettext as _

from inspections import worked
from inspections.worked import shown
from reports.composition.reader import Reader

# Unit of the rules -> unit and factor in which lengths are read in inches.
# Exact by definition but for rounding: 1 lb = 0.45359237 kg, 1 ft = 0.3048 m.
_IN_INCHES = {
    "kg": ("lb", 1.0 / 0.45359237),
    "N": ("lbf", 1.0 / 4.4482216152605),
    "kN": ("lbf", 1000.0 / 4.4482216152605),
    "m": ("ft", 1.0 / 0.3048),
    "mm": ("in", 1.0 / 25.4),
    "m/s": ("ft/min", 60.0 / 0.3048),
    "m/s²": ("ft/s²", 1.0 / 0.3048),
    "kg/m": ("lb/ft", 0.3048 / 0.45359237),
    "MPa": ("psi", 145.0377),
}
# Endings of names -> their unit in the rules.
_ENDINGS = (
    ("_kg_per_m", "kg/m"),
    ("_m_s", "m/s"),
    ("_kg", "kg"),
    ("_mpa", "MPa"),
    ("_mm2", "mm²"),
    ("_mm", "mm"),
    ("_rad", "rad"),
    ("_n", "N"),
    ("_m", "m"),
)
_DIGITS = 4
# Digits after the mark that a gauge can tell.
_FINEST = {"mm": 2, "in": 3}


def beside(value: float, unit: str, *, reader: Reader) -> str:
    """Return a value in the unit that the reader takes; "" where that is the rules'."""
    if unit == "rad":
        return f"{_number(degrees(value))}°"
    if reader.is_metric or unit not in _IN_INCHES:
        return ""
    other, factor = _IN_INCHES[unit]
    return f"{_number(value * factor)} {other}"


def ranged(name: str, low: float, high: float, *, reader: Reader) -> str:
    """Return both ends of a named value with their unit, as the reader takes it."""
    unit = next((unit for ending, unit in _ENDINGS if name.endswith(ending)), "")
    if unit == "rad":
        low, high, unit = degrees(low), degrees(high), "°"
    elif not reader.is_metric and unit in _IN_INCHES:
        unit, factor = _IN_INCHES[unit]
        low, high = low * factor, high * factor
    if unit in _FINEST:
        low, high = round(low, _FINEST[unit]), round(high, _FINEST[unit])
    said = {"low": _number(low), "high": _number(high)}
    text = _("%(low)s to %(high)s") % said
    return f"{text}{'' if unit == '°' else ' '}{unit}".rstrip()


def _number(value: float) -> str:
    return shown.localised(worked.formula.printed(value, _DIGITS))
