"""The closed list of what can be tried on a machine, each with its range.

Ranges are those that the formulas hold for where they have one; the others are bounds
of this program. What depends on several values together is checked by the kernel's
own records after all of them have been put in.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from fleet.register.choices import GrooveForm, RopeCore, StrandClass, Wrap
from inspections.engineering.machine import GRAVITY_M_S2


class Part(StrEnum):
    """What an item is a measure of, and so what has to be done to change it."""

    MACHINE = "MACHINE"
    PULLEY = "PULLEY"
    ROPES = "ROPES"
    GROOVES = "GROOVES"
    SHEAVE = "SHEAVE"
    TENSIONS = "TENSIONS"
    LENGTH = "LENGTH"


@dataclass(frozen=True, slots=True, kw_only=True)
class Changeable:
    """One thing that can be changed: a number in a range, or a word of a list.

    `column` is the register's, where it is called otherwise there.
    """

    name: str
    part: Part
    low: float = 0.0
    high: float = 0.0
    words: tuple[str, ...] = ()
    whole: bool = False
    column: str = ""

    @property
    def field(self) -> str:
        """The register's column."""
        return self.column or self.name


def _number(
    name: str, part: Part, low: float, high: float, column: str = ""
) -> Changeable:
    return Changeable(name=name, part=part, low=low, high=high, column=column)


def _count(name: str, part: Part, low: int, high: int, column: str = "") -> Changeable:
    return Changeable(
        name=name, part=part, low=low, high=high, whole=True, column=column
    )


def _word(name: str, part: Part, words: list[str], column: str = "") -> Changeable:
    return Changeable(name=name, part=part, words=tuple(words), column=column)


_ALL = (
    _word("groove_form", Part.GROOVES, list(GrooveForm.values), "form"),
    _number("groove_angle_deg", Part.GROOVES, 0.0, 90.0),
    _number("undercut_angle_deg", Part.GROOVES, 1.0, 106.0),
    _number("seat_radius_mm", Part.GROOVES, 2.0, 40.0),
    _number("bottom_clearance_mm", Part.GROOVES, 0.1, 50.0, "bottom_clearance_new_mm"),
    _number("slot_width_mm", Part.GROOVES, 0.1, 50.0),
    _number("slot_depth_mm", Part.GROOVES, 0.1, 50.0),
    _number("slot_taper_deg", Part.GROOVES, 0.0, 15.0),
    _number("flat_bottom_width_mm", Part.GROOVES, 0.1, 50.0),
    _number("hardened_depth_mm", Part.GROOVES, 0.0, 20.0),
    _number("cut_depth_mm", Part.GROOVES, 0.0, 50.0),
    _number("sheave_diameter_mm", Part.SHEAVE, 100.0, 3000.0, "pitch_diameter_mm"),
    _count("ropes_count", Part.ROPES, 2, 12),
    _number("rope_diameter_mm", Part.ROPES, 6.0, 40.0, "nominal_diameter_mm"),
    _word("strand_class", Part.ROPES, list(StrandClass.values)),
    _word("rope_core", Part.ROPES, list(RopeCore.values), "core"),
    _count("outer_grade_mpa", Part.ROPES, 1180, 2160),
    _count("inner_grade_mpa", Part.ROPES, 1180, 2160),
    _word("tensions", Part.TENSIONS, ["EQUAL"]),
    _number("shorten_ropes_mm", Part.LENGTH, 1.0, 2000.0),
    _number("car_mass_kg", Part.MACHINE, 50.0, 50_000.0),
    _number("rated_load_kg", Part.MACHINE, 50.0, 50_000.0),
    _number("counterweight_mass_kg", Part.MACHINE, 50.0, 100_000.0),
    _number("balance_ratio", Part.MACHINE, 0.0, 1.0),
    _number("compensation_mass_kg_m", Part.MACHINE, 0.0, 100.0),
    _number("tension_device_mass_kg", Part.MACHINE, 0.0, 10_000.0),
    _number("travelling_cable_mass_kg_m", Part.MACHINE, 0.0, 50.0),
    _number("rated_speed_m_s", Part.MACHINE, 0.05, 20.0),
    _number("braking_deceleration_m_s2", Part.MACHINE, 0.1, 0.99 * GRAVITY_M_S2),
    _count("roping_ratio", Part.MACHINE, 1, 2),
    _word("wrap", Part.MACHINE, list(Wrap.values)),
    _number("wrap_angle_deg", Part.MACHINE, 60.0, 480.0),
    _number("deflector_diameter_mm", Part.PULLEY, 100.0, 3000.0, "diameter_mm"),
    _number("deflector_offset_x_mm", Part.PULLEY, 0.0, 10_000.0, "offset_x_mm"),
    _number("deflector_drop_h_mm", Part.PULLEY, -10_000.0, 10_000.0, "drop_h_mm"),
)
ITEMS: Mapping[str, Changeable] = {item.name: item for item in _ALL}
