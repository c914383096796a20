"""The one place where what a person typed becomes a number in the canonical unit.

A person's number is read by a strict grammar (ASCII digits, one decimal mark, or a
fraction of an inch); pint knows the factors between units and never reads text.
"""

import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cache

import pint

from fleet.platform.errors import DomainError

_registry: pint.UnitRegistry[Decimal] = pint.UnitRegistry(
    non_int_type=Decimal, cache_folder=None
)

_DECIMAL = re.compile(
    r"(?P<sign>[+-]?)(?P<whole>[0-9]{1,9})(\.(?P<part>[0-9]{1,9}))?", re.ASCII
)
_FRACTION = re.compile(
    r"(?P<sign>[+-]?)((?P<whole>[0-9]{1,6}) )?"
    r"(?P<top>[0-9]{1,5})/(?P<bottom>[0-9]{1,5})",
    re.ASCII,
)


class UnreadableNumber(DomainError):
    """The value is not a plain decimal number or a fraction."""

    code = "unreadable-number"


class UnknownUnit(DomainError):
    """The unit is not in the closed list."""

    code = "unknown-unit"


class WrongDimension(DomainError):
    """The unit measures something else."""

    code = "wrong-dimension"


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """A kind of measure, its canonical unit, and the unit codes a person may use."""

    name: str
    canonical: str
    units: dict[str, str]


# Unit code as typed -> pint's name. A tension gauge that shows "kg" means kgf; it
# must be sent as kgf, because a kg is not taken for a force.
QUANTITIES = {
    quantity.name: quantity
    for quantity in (
        Measure(
            name="length",
            canonical="mm",
            units={
                "mm": "millimeter",
                "cm": "centimeter",
                "m": "meter",
                "in": "inch",
                "ft": "foot",
            },
        ),
        Measure(
            name="force",
            canonical="N",
            units={
                "N": "newton",
                "kN": "kilonewton",
                "kgf": "kilogram_force",
                "lbf": "pound_force",
            },
        ),
        Measure(name="mass", canonical="kg", units={"kg": "kilogram", "lb": "pound"}),
        Measure(name="time", canonical="s", units={"s": "second"}),
        Measure(
            name="speed",
            canonical="m/s",
            units={"m/s": "meter/second", "ft/min": "foot/minute"},
        ),
        Measure(name="hardness", canonical="HB", units={"HB": "dimensionless"}),
        Measure(
            name="ratio",
            canonical="1",
            units={"1": "dimensionless", "%": "percent"},
        ),
        Measure(name="count", canonical="1", units={"1": "dimensionless"}),
    )
}


def read_number(text: str) -> Fraction:
    """Return what a person typed as an exact number. Raises UnreadableNumber.

    Accepts "11.8", "-0.3", "29/64" and "1 3/16"; nothing else: no exponent, no
    thousands mark, no comma, no digits of other scripts.
    """
    return Fraction(*_read_parts(text))


def _read_parts(text: str) -> tuple[int, int]:
    """Return a typed number as top and bottom of a fraction, not shortened."""
    if match := _DECIMAL.fullmatch(text):
        sign, whole, part = match["sign"], match["whole"], match["part"] or ""
        top, bottom = int(whole + part), 10 ** len(part)
    elif (match := _FRACTION.fullmatch(text)) and int(match["bottom"]):
        sign, bottom = match["sign"], int(match["bottom"])
        top = int(match["whole"] or 0) * bottom + int(match["top"])
    else:
        raise UnreadableNumber(
            f"{text[:40]!r} is not a number; write it like 11.8, 29/64 or 1 3/16"
        )
    return (-top if sign == "-" else top), bottom


@cache
def factor(*, quantity: str, unit: str) -> Fraction:
    """Return what one of `unit` is in the canonical unit of `quantity`.

    Raises UnknownUnit for a code in no list and WrongDimension for one of another
    quantity; both say what is taken.
    """
    taken = QUANTITIES[quantity]
    allowed = ", ".join(taken.units)
    if unit not in taken.units:
        others = [q.name for q in QUANTITIES.values() if unit in q.units]
        if others:
            raise WrongDimension(
                f"{unit} is a unit of {others[0]}; a {quantity} takes {allowed}"
            )
        raise UnknownUnit(f"{unit[:20]!r} is not a unit taken here; use {allowed}")
    source = _registry.Quantity(Decimal(1), taken.units[unit])
    return Fraction(source.to(taken.units[taken.canonical]).magnitude)


def to_canonical(*, text: str, unit: str, quantity: str) -> float:
    """Return a typed value in the canonical unit of its quantity.

    Raises UnreadableNumber, UnknownUnit or WrongDimension.
    """
    top, bottom = _read_parts(text)
    times = factor(quantity=quantity, unit=unit)
    # Whole numbers divide to the nearest float: as exact as the fraction itself.
    return (top * times.numerator) / (bottom * times.denominator)


def from_canonical(*, value: float, unit: str, quantity: str) -> float:
    """Return a canonical value in another unit of the same quantity."""
    return value / float(factor(quantity=quantity, unit=unit))


def readers_unit(*, quantity: str, family: str) -> str:
    """Return the unit in which a reader of a family reads a quantity."""
    return _READERS_UNIT[family].get(quantity, QUANTITIES[quantity].canonical)


def show(*, value: float, quantity: str, family: str, digits: int = 2) -> str:
    """Return a canonical value as text in the reader's family of units."""
    unit = readers_unit(quantity=quantity, family=family)
    number = from_canonical(value=value, unit=unit, quantity=quantity)
    shown = digits + 1 if unit == "in" else digits
    return f"{number:.{shown}f} {unit}" if unit != "1" else f"{number:.{shown}f}"


_READERS_UNIT = {
    "METRIC": {},
    "INCH": {"length": "in", "force": "lbf", "mass": "lb", "speed": "ft/min"},
}
