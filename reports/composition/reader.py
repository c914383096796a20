"""How one reader takes numbers and dates: units by family, dates in words."""

from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from fleet import units

# The unit a finding carries -> the quantity it measures and the digits worth printing.
_QUANTITY_OF = {"mm": ("length", 2), "N": ("force", 0), "m/s": ("speed", 2)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Reader:
    """The reader of one document."""

    family: str
    zone: ZoneInfo

    def length(self, value_mm: float, *, digits: int = 2) -> str:
        """Return a length with its unit."""
        return units.show(
            value=value_mm, quantity="length", family=self.family, digits=digits
        )

    def force(self, value_n: float) -> str:
        """Return a force with its unit."""
        if self.family == "METRIC":
            return f"{value_n / 1000.0:.2f} kN"
        return units.show(value=value_n, quantity="force", family=self.family, digits=0)

    def mass(self, value_kg: float) -> str:
        """Return a mass with its unit."""
        return units.show(value=value_kg, quantity="mass", family=self.family, digits=0)

    def speed(self, value_m_s: float) -> str:
        """Return a speed with its unit."""
        digits = 2 if self.family == "METRIC" else 0
        return units.show(
            value=value_m_s, quantity="speed", family=self.family, digits=digits
        )

    def quantity(self, value: float | None, unit: str, *, signed: bool = False) -> str:
        """Return a finding's value in the reader's unit; "none" is a dash."""
        if value is None:
            return "–"
        if unit in _QUANTITY_OF:
            name, digits = _QUANTITY_OF[unit]
            text = units.show(
                value=value, quantity=name, family=self.family, digits=digits
            )
        else:
            text = f"{value:.3g} {unit}".rstrip()
        if signed and value >= 0:
            text = f"+{text}"
        return text.replace("-", "−")

    def day(self, moment: date | datetime) -> str:
        """Return a day in words, by the building's own calendar."""
        if isinstance(moment, datetime):
            moment = moment.astimezone(self.zone).date()
        return f"{moment.day} {moment:%b %Y}"

    def length_unit(self) -> str:
        """Return the unit that lengths are read in."""
        return "in" if self.family == "INCH" else "mm"

    def length_number(self, value_mm: float) -> float:
        """Return a length as a number in the reader's unit, for an axis."""
        return units.from_canonical(
            value=value_mm, unit=self.length_unit(), quantity="length"
        )
