"""What changes, figures and demands are called, in the reader's language."""

from collections.abc import Mapping
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from fleet.register.choices import GrooveForm, RopeCore, Wrap

Words = Mapping[str, tuple["Promise | str", str]]

# Name -> what it is called, and its unit.
ITEMS: Words = {
    "groove_form": (_("form of the grooves"), ""),
    "groove_angle_deg": (_("groove angle, of the mouth where it is no V"), "°"),
    "undercut_angle_deg": (_("undercut angle"), "°"),
    "seat_radius_mm": (_("radius of the seat"), "mm"),
    "bottom_clearance_mm": (_("clearance to the slot's bottom as cut"), "mm"),
    "slot_width_mm": (_("width of a V's slot"), "mm"),
    "slot_depth_mm": (_("depth of a V's slot"), "mm"),
    "slot_taper_deg": (_("taper of each side of the slot"), "°"),
    "flat_bottom_width_mm": (_("width of a V's flat bottom"), "mm"),
    "hardened_depth_mm": (_("depth of hardening, 0 for none"), "mm"),
    "cut_depth_mm": (_("cut below the deepest seat"), "mm"),
    "sheave_diameter_mm": (_("pitch diameter of a new sheave"), "mm"),
    "ropes_count": (_("number of ropes"), ""),
    "rope_diameter_mm": (_("rope diameter"), "mm"),
    "strand_class": (_("strand class"), ""),
    "rope_core": (_("core of the ropes"), ""),
    "outer_grade_mpa": (_("grade of the outer wires"), "MPa"),
    "inner_grade_mpa": (_("grade of the inner wires"), "MPa"),
    "tensions": (_("rope tensions"), ""),
    "shorten_ropes_mm": (_("taken off each rope at its hitch"), "mm"),
    "car_mass_kg": (_("mass of the empty car"), "kg"),
    "rated_load_kg": (_("rated load"), "kg"),
    "counterweight_mass_kg": (_("mass of the counterweight"), "kg"),
    "balance_ratio": (_("balance, as a share of the rated load"), ""),
    "compensation_mass_kg_m": (_("compensation by the metre"), "kg/m"),
    "tension_device_mass_kg": (_("mass of the tension device"), "kg"),
    "travelling_cable_mass_kg_m": (_("travelling cables by the metre"), "kg/m"),
    "rated_speed_m_s": (_("rated speed"), "m/s"),
    "braking_deceleration_m_s2": (_("retardation in an emergency stop"), "m/s²"),
    "roping_ratio": (_("roping, 1 or 2"), ""),
    "wrap": (_("wrap"), ""),
    "wrap_angle_deg": (_("whole angle of wrap"), "°"),
    "deflector_diameter_mm": (_("diameter of the deflector"), "mm"),
    "deflector_offset_x_mm": (_("offset of the deflector"), "mm"),
    "deflector_drop_h_mm": (_("drop of the deflector"), "mm"),
}

FIGURES: Words = {
    "car_mass_kg": (_("mass of the empty car"), "kg"),
    "rated_load_kg": (_("rated load"), "kg"),
    "counterweight_mass_kg": (_("mass of the counterweight"), "kg"),
    "balance_percent": (_("balance"), "%"),
    "sheave_diameter_mm": (_("pitch diameter of the sheave"), "mm"),
    "diameter_ratio": (_("sheave over rope diameter"), ""),
    "wrap_deg": (_("whole angle of wrap"), "°"),
    "rope_speed_m_s": (_("rope speed"), "m/s"),
    "pressure_mpa": (_("specific pressure as cut"), "MPa"),
    "pressure_limit_mpa": (_("pressure once allowed"), "MPa"),
    "safety_factor": (_("safety factor of the ropes"), ""),
    "safety_factor_required": (_("safety factor required"), ""),
    "equivalent_pulleys": (_("equivalent number of pulleys"), ""),
    "creep_mm": (_("creep of a round trip, car empty"), "mm"),
    "shaft_least_n": (_("load on the shaft, at least"), "N"),
    "shaft_most_n": (_("load on the shaft, at most"), "N"),
    "between_least_n": (_("tension between the wheels, at least"), "N"),
    "between_most_n": (_("tension between the wheels, at most"), "N"),
    "brake_torque_nm": (_("torque of the brake at the sheave"), "N·m"),
    "motor_torque_nm": (_("torque of the motor at the sheave, without losses"), "N·m"),
}

MAKERS_LIMITS: Mapping[str, "Promise | str"] = {
    "SHAFT": _("load on shaft and bearings"),
    "BEAMS": _("load on the machine beams, all dead ends on them"),
    "BRAKE": _("torque of the brake, at its shaft"),
    "MOTOR": _("torque of the motor, at its shaft"),
}
NOT_ENTERED: Mapping[str, "Promise | str"] = {
    "LIMIT": _("what it may carry or gives is not entered"),
    "FORCES": _("the forces are not known"),
    "MACHINE_MASS": _("the mass of the machine is not entered"),
    "GEAR_TURNS": _("the ratio of the gear is not entered"),
    "GEAR_EFFICIENCY": _("the efficiency of the gear is not entered"),
}
ROOMS: Mapping[str, "Promise | str"] = {
    "COUNTERWEIGHT_RUNBY": _("run-by of the counterweight"),
    "TOP_CLEARANCE": _("clearance above the car, counterweight on its buffer"),
    "HITCH_THREAD": _("thread left at the hitches, if it is taken up there"),
    "TRAVEL_PER_TURN": _("travel of the car in a turn of the sheave"),
}
CHECKS_AFTER: Mapping[str, "Promise | str"] = {
    "ROOMS": _("Measure run-bys, top clearance and the room in the pit."),
    "THREAD": _("Measure the thread that is left at the hitches."),
    "GOVERNOR": _(
        "Check the speed governor: its rope runs with the car, its switches are set "
        "for the speed of the car as it is then."
    ),
    "ENCODER": _("Set the encoder's ratio to the car anew, or learn the shaft anew."),
    "SLOW_DOWN": _("Set the slow-down distances and final limits again."),
    "LEVELLING": _("Check levelling at every landing, empty and loaded."),
    "BRAKE": _("Test the brake with the test load."),
}

CASES: Mapping[str, "Promise | str"] = {
    "LOADING": _("loading"),
    "BRAKING_FULL": _("braking, car loaded"),
    "BRAKING_EMPTY": _("braking, car empty"),
    "STALLED_COUNTERWEIGHT": _("stalled, counterweight landed"),
    "STALLED_CAR": _("stalled, car landed"),
}
DEMANDS: Mapping[str, "Promise | str"] = {
    **CASES,
    "FORM": _("a form that is permitted and fits the rope"),
    "PRESSURE": _("specific pressure"),
    "SAFETY_FACTOR": _("safety factor of the ropes"),
    "DIAMETER_RATIO": _("sheave over rope diameter"),
    "RIM": _("metal left of the rim"),
}
OPENINGS: Mapping[str, "Promise | str"] = {
    "COMPENSATION": _("compensation as heavy as the ropes"),
    "HEAVIER_CAR": _("a car heavier by a tenth, with its counterweight"),
    "WIDER_WRAP": _("a wrap wider by 15°"),
    "ANOTHER_ROPE": _("one rope more"),
}
CUTS: Mapping[str, "Promise | str"] = {
    "does not fit": _("the cut does not fit"),
    "blocked as it stands": _("the cut is blocked as it stands"),
    "not assessed": _("the cut cannot be assessed"),
    "fits geometrically, strength not confirmed": _(
        "the cut fits geometrically, its strength is not confirmed"
    ),
    "fits by geometry and by the maker's minimum": _(
        "the cut fits by geometry and by the maker's minimum"
    ),
}
TURNS: Mapping[str, "Promise | str"] = {
    "SAME": _("the same"),
    "BETTER": _("better"),
    "WORSE": _("worse"),
    "NOT_COMPARED": _("not compared"),
}
CHOICES: Mapping[str, "Promise | str"] = {"EQUAL": _("set equal")}


def named(code: str) -> "Promise | str":
    """Return what a word of a change is called."""
    return _NAMED.get(code, code)


_NAMED: Mapping[str, "Promise | str"] = {
    **dict(GrooveForm.choices),
    **dict(RopeCore.choices),
    **dict(Wrap.choices),
    **CHOICES,
}


def change(name: str, value: Any) -> str:
    """Return one change with its value and unit."""
    called, unit = ITEMS[name]
    said = str(named(value)) if isinstance(value, str) else f"{value:g}"
    return f"{called} {said} {unit}".strip()
