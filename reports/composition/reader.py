"""How one reader takes numbers and dates: units by family, marks by language."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from fractions import Fraction
from math import ceil, floor
from zoneinfo import ZoneInfo

from django.utils import formats
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from fleet.platform import units
from inspections.wording import INCH_OF_RULES

# The unit a finding carries -> the quantity it measures and the digits worth printing.
_QUANTITY_OF = {
    "mm": ("length", 2),
    "N": ("force", 0),
    "kg": ("mass", 0),
    "m/s": ("speed", 2),
}
# From here on lengths are read by tape: in millimetres or eighths of an inch.
_LONG_MM = 40.0
_MINUS = "−"
_DIGITS_MM, _DIGITS_IN, _FINE_IN = 2, 3, 0.1
# Ropes are sold by sixteenths of an inch; 9.5 mm stands for 3/8 in in many registers.
_SIXTEENTH_MM, _SAME_ROPE_MM = 25.4 / 16.0, 0.05
_NEWTONS_A_POUND = 4.4482216152605
_METRES_A_FOOT = 0.3048
# Beyond this nobody plans by the day.
_BY_THE_DAY = timedelta(days=730)
# Units that are counted -> one of them.
_ONE_OF = {"wires": gettext_noop("wire")}
# The unit of what is told by steps, such as rouge: none, a trace, heavy.
_OF_A_SCALE = "grade"


@dataclass(frozen=True, slots=True, kw_only=True)
class Reader:
    """The reader of one document; their language must be the active one."""

    family: str
    zone: ZoneInfo
    language: str = "en"

    @property
    def is_metric(self) -> bool:
        """Return whether lengths are read in millimetres."""
        return self.family == "METRIC"

    def local(self, text: str) -> str:
        """Return a number's text with the decimal mark of the language."""
        mark = formats.get_format("DECIMAL_SEPARATOR", lang=self.language)
        return text.replace(".", mark)

    def plain(self, value: float) -> str:
        """Return a number as short as it is, for an axis or a count."""
        return self.local(f"{value:g}").replace("-", _MINUS)

    def ratio(self, value: float) -> str:
        """Return a number with two digits after its mark."""
        return self.local(f"{value:.2f}")

    def length(self, value_mm: float, *, digits: int = 2) -> str:
        """Return a length with its unit."""
        return self._shown(value_mm, "length", digits)

    def length_within(self, value_mm: float, *, is_upper: bool) -> str:
        """Return a limit of a length whose last digit never allows more than it.

        What is small in inches has a digit more: 0.28 mm is 0.0110 in.
        """
        number = self.length_number(value_mm)
        digits = _DIGITS_MM if self.is_metric else _DIGITS_IN
        if not self.is_metric and 0.0 < abs(number) < _FINE_IN:
            digits += 1
        # What is a limit's own digits is not moved by how floats are stored.
        scaled = round(number * 10**digits, 3)
        kept = floor(scaled) if is_upper else ceil(scaled)
        return self.local(f"{kept / 10**digits:.{digits}f} {self.length_unit()}")

    def rope_size(self, nominal_mm: float) -> str:
        """Return what a rope is called by: 13 mm, or 1/2 in where it is one.

        A rope of whole millimetres keeps its name beside its inches: 13 mm is no 1/2 in
        rope, which has 12.7 mm.
        """
        if self.is_metric:
            return self.length(nominal_mm, digits=1)
        sixteenths = nominal_mm / _SIXTEENTH_MM
        if abs(sixteenths - round(sixteenths)) * _SIXTEENTH_MM <= _SAME_ROPE_MM:
            return f"{_fraction(round(sixteenths))} in"
        return f"{self.length(nominal_mm)} ({self.local(f'{nominal_mm:g}')} mm)"

    def force(self, value_n: float) -> str:
        """Return a force with its unit."""
        if self.is_metric:
            return self.local(f"{value_n / 1000.0:.2f} kN")
        return self._shown(value_n, "force", 0)

    def force_scale(self) -> tuple[float, str]:
        """Return what one unit of a force axis is [N], and the unit."""
        return (1000.0, "kN") if self.is_metric else (_NEWTONS_A_POUND, "lbf")

    def about(self, value_mm: float) -> str:
        """Return a length as far as a bound of what is plausible can be meant."""
        number = self.length_number(value_mm)
        digits = f"{number:.0f}" if abs(number) >= 100.0 else f"{number:.3g}"
        if abs(number) < 0.1 and not self.is_metric:
            digits = f"{number:.3f}"
        shown = f"{digits} {self.length_unit()}"
        return self.local(shown).replace("-", _MINUS)

    def metres(self, value_m: float) -> str:
        """Return a length of ropes or travel, in feet where lengths are in inches."""
        if self.is_metric:
            return self.local(f"{value_m:.2f} m")
        return self.local(f"{value_m / _METRES_A_FOOT:.2f} ft")

    def mass(self, value_kg: float) -> str:
        """Return a mass with its unit."""
        return self._shown(value_kg, "mass", 0)

    def speed(self, value_m_s: float) -> str:
        """Return a speed with its unit."""
        return self._shown(value_m_s, "speed", 2 if self.is_metric else 0)

    def quantity(
        self,
        value: float | None,
        unit: str,
        *,
        signed: bool = False,
        like: float | None = None,
    ) -> str:
        """Return a finding's value in the reader's unit; "none" is a dash.

        A difference is shown as finely as the value that it is `like`.
        """
        if value is None:
            return "–"
        if unit == _OF_A_SCALE:
            number = self.plain(value)
            # Translators: one of the steps 0, 1, 2 that something seen is told by.
            return number if signed else _("grade %(number)s") % {"number": number}
        if unit in INCH_OF_RULES and not self.is_metric:
            named, factor, places = INCH_OF_RULES[unit]
            text = self.local(f"{value * factor:.{places}f} {named}")
        elif unit in _QUANTITY_OF:
            named, finest = _QUANTITY_OF[unit]
            size = value if like is None else like
            text = self._shown(value, named, self._digits(size, finest, unit))
        else:
            digits = f"{value:.0f}" if abs(value) >= 100 else f"{value:.3g}"
            unit = _ONE_OF.get(unit, unit) if digits == "1" else unit
            gap = "" if unit == "°" else " "
            text = self.local(f"{digits}{gap}{_(unit) if unit else ''}".rstrip())
        if signed and value >= 0:
            text = f"+{text}"
        return text.replace("-", _MINUS)

    def day(self, moment: date | datetime) -> str:
        """Return a day in words, by the building's own calendar."""
        if isinstance(moment, datetime):
            moment = moment.astimezone(self.zone).date()
        # Translators: how a day is written, in Django's own signs for dates.
        return formats.date_format(moment, _("j M Y"))

    def roughly(self, day: date, *, today: date) -> str:
        """Return a day within two years, a month beyond: nobody knows it better."""
        if day <= today + _BY_THE_DAY:
            return self.day(day)
        # Translators: how a month is written, in Django's own signs for dates.
        return formats.date_format(day, _("M Y"))

    def unit_of(self, canonical: str) -> str:
        """Return the unit in which a value of a canonical unit is read; "" for none."""
        if canonical in ("", "1"):
            return ""
        if self.is_metric:
            return canonical
        return {"mm": "in", "N": "lbf", "kg": "lb", "m/s": "ft/min"}.get(
            canonical, canonical
        )

    def length_unit(self) -> str:
        """Return the unit that lengths are read in."""
        return "mm" if self.is_metric else "in"

    def length_number(self, value_mm: float) -> float:
        """Return a length as a number in the reader's unit, for an axis."""
        return units.from_canonical(
            value=value_mm, unit=self.length_unit(), quantity="length"
        )

    def _digits(self, value: float, digits: int, unit: str) -> int:
        """Return one digit less of what is long: nobody reads a tape finer."""
        is_long = unit == "mm" and abs(value) >= _LONG_MM
        return digits - 1 if is_long else digits

    def _shown(self, value: float, quantity: str, digits: int) -> str:
        return self.local(
            units.show(
                value=value, quantity=quantity, family=self.family, digits=digits
            )
        )


def _fraction(sixteenths: int) -> str:
    """Return sixteenths of an inch as they are said: 1/2, 1 1/8."""
    whole, rest = divmod(sixteenths, 16)
    part = str(Fraction(rest, 16)) if rest else ""
    return " ".join(filter(None, (str(whole) if whole else "", part)))
