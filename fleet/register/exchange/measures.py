"""Units that a column may be declared in, beside the one in the field's name.

Products of the factors that `fleet.platform.units` knows; the canonical unit is the
one that the field's name ends in.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from fleet.platform import units

_MM_IN_M = 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldMeasure:
    """The units of one kind of field: code -> what one of it is in the first."""

    factors: Mapping[str, Fraction]

    @property
    def canonical(self) -> str:
        return next(iter(self.factors))


def split(field: str) -> tuple[str, FieldMeasure | None]:
    """Return a field's name without its unit, and its measure if it has one.

    >>> split("car_mass_kg")[0], split("balance_ratio")[0], split("trips_per_day")
    ('car_mass', 'balance_ratio', ('trips_per_day', None))
    """
    for suffix, measure in _measures().items():
        if field.endswith(f"_{suffix}"):
            # A ratio keeps its word: "balance" alone would say nothing.
            name = field if suffix == "ratio" else field.removesuffix(f"_{suffix}")
            return name, measure
    return field, None


@cache
def _measures() -> dict[str, FieldMeasure]:
    """Return the measures by the ending of a field's name, longer endings first."""
    inch, foot = _of("length", "in"), _of("length", "ft")
    pound, pound_force = _of("mass", "lb"), _of("force", "lbf")
    foot_m = foot / _MM_IN_M
    return {
        ending: FieldMeasure(factors=factors)
        for ending, factors in (
            ("kg_m", {"kg/m": Fraction(1), "lb/ft": pound / foot_m}),
            ("m_s2", {"m/s2": Fraction(1), "ft/s2": foot_m}),
            ("m_s", {"m/s": Fraction(1), "ft/min": foot_m / 60}),
            ("mm2", {"mm2": Fraction(1), "in2": inch**2}),
            (
                "mpa",
                {
                    "MPa": Fraction(1),
                    "N/mm2": Fraction(1),
                    "ksi": 1000 * pound_force / inch**2,
                },
            ),
            (
                "nm",
                {"N.m": Fraction(1), "lbf.ft": pound_force * foot_m},
            ),
            ("mm", _of_all("length", first="mm")),
            ("kn", _of_all("force", first="kN")),
            ("kg", _of_all("mass", first="kg")),
            ("deg", {"deg": Fraction(1)}),
            ("hb", _of_all("hardness", first="HB")),
            ("m", _of_all("length", first="m")),
            ("ratio", _of_all("ratio", first="1")),
        )
    }


def _of(quantity: str, unit: str) -> Fraction:
    return units.factor(quantity=quantity, unit=unit)


def _of_all(quantity: str, *, first: str) -> dict[str, Fraction]:
    """Return a quantity's units, told in the first of them."""
    one = _of(quantity, first)
    others = [unit for unit in units.QUANTITIES[quantity].units if unit != first]
    return {unit: _of(quantity, unit) / one for unit in (first, *others)}
