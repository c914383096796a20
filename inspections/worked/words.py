"""What the numbers, lines and parts of worked calculations are called."""

from collections.abc import Mapping

from django.utils.translation import pgettext

# In the catalogue they stand by themselves: other texts bend the same words.
CONTEXT = "worked"


def said(words: str) -> str:
    """Return the words in the active language."""
    return pgettext(CONTEXT, words)


def _(words: str) -> str:
    return words


NAMES: Mapping[str, str] = {
    # Parts.
    "value": _("value"),
    "limit": _("limit"),
    "margin": _("margin"),
    "case_loading": _("loading"),
    "case_braking_full": _("emergency braking, full car"),
    "case_braking_empty": _("emergency braking, empty car"),
    "case_stalled_counterweight": _("counterweight landed, car still hanging"),
    "case_stalled_car": _("car landed, counterweight still hanging"),
    # Traction.
    "greater_force": _("greater force in all ropes"),
    "smaller_force": _("smaller force in all ropes"),
    "tension_ratio": _("ratio of the forces that is asked for"),
    "ratio_held": _("ratio of the forces that friction holds"),
    "friction_coefficient": _("coefficient of friction"),
    "friction_at_rest": _("coefficient of friction at rest"),
    "friction_speed": _("speed at which the rules halve it"),
    "friction_ratio": _("friction factor of the seat as worn, over the coefficient"),
    "greatest_friction_ratio": _(
        "greatest friction factor from new to as worn, over the coefficient"
    ),
    "arc_begins": _("where the rope begins to bear on a flank, from the bottom"),
    "arc_ends": _("where it ends"),
    "bottom_arc_ends": _("where it ends to bear on the bottom"),
    "friction_over_wrap": _("friction over the whole wrap"),
    "friction_used": _("part of the friction that is used"),
    "dynamic_factor": _("factor of the rules for braking"),
    "wrap_angle": _("angle of wrap"),
    # Masses and the run of the ropes.
    "gravity": _("acceleration of free fall"),
    "acceleration": _("retardation of the car by the rules"),
    "roping": _("roping ratio"),
    "car_mass_kg": _("mass of the empty car"),
    "load_in_car_kg": _("load in the car"),
    "rated_load_kg": _("rated load"),
    "balance_ratio": _("part of the rated load that is balanced"),
    "counterweight_mass_kg": _("mass of the counterweight"),
    "travelling_cable_mass_kg_m": _("mass of the travelling cables"),
    "compensation_mass_kg_m": _("mass of the compensation"),
    "tension_device_kg": _("mass of the tension device"),
    "ropes_kg_m": _("mass of all ropes"),
    "live_fall_m": _("length of rope that hangs on this side"),
    "car_height_m": _("height of the car above its lowest landing"),
    "counterweight_height_m": _("height of the counterweight above its lowest place"),
    "travel_m": _("height of travel"),
    "rope_speed_m_s": _("speed of the rope at rated speed"),
    "rated_speed_m_s": _("rated speed"),
    # The ropes as built.
    "safety_factor": _("safety factor there is"),
    "safety_factor_computed": _("safety factor asked for, by bends and D/d"),
    "safety_factor_least": _("least safety factor of the rules"),
    "breaking_force_n": _("breaking force of one rope"),
    "suspended_load_n": _("whole weight on the car side"),
    "ropes": _("number of ropes"),
    "equivalent_pulleys": _("equivalent number of pulleys"),
    "diameter_ratio": _("pitch diameter over rope diameter"),
    "pitch_diameter_mm": _("pitch diameter of the sheave"),
    "nominal_diameter_mm": _("nominal diameter of the rope"),
    "pressure": _("pressure as new"),
    "pressure_factor": _("factor of the groove's form, as turned"),
    "rope_force_n": _("force in one rope"),
    # Ropes as read.
    "rope_diameter": _("diameter of the rope"),
    "unworn_diameter": _("diameter of its unworn part"),
    "broken_wires": _("broken wires"),
    "breaks_total": _("broken wires in all"),
    "breaks_worst_strand": _("broken wires in the worst strand"),
    "breaks_two_worst_strands": _("broken wires in the two worst strands"),
    "breaks_adjacent": _("broken wires side by side"),
    "breaks_valley": _("broken wires in a valley"),
    "strands": _("number of outer strands"),
    "as_read": _("as read"),
    "crown_flat_mm": _("flat on a crown wire"),
    "rouge": _("rouge: 0 none, 1 traces, 2 heavy"),
    "outer_wire_wear_ratio": _("part of the outer wires worn off"),
    "dry": _("dry: 1 yes, 0 no"),
    "wet": _("wet: 1 yes, 0 no"),
    "twist": _("twisted: 1 yes, 0 no"),
    "worn_or_rusted": _("wires worn or heavily rusted: 1 yes, 0 no"),
    "deformed": _("deformed: 1 yes, 0 no"),
    "mark_offset": _("offset of the mark after one round trip"),
    "creep_of_a_trip": _("usual creep of one round trip"),
    "creep_factor": _("multiple of the creep that is no slip yet"),
    "offset_sd": _("standard deviation of one offset"),
    "noise_factor": _("multiple of the scatter that says nothing"),
    "least_offset": _("offset below which nothing is called slip"),
    "lay_length": _("length of lay"),
    "lay_length_as_fitted": _("length of lay as fitted"),
    # Grooves.
    "bottom_clearance": _("clearance below the rope"),
    "bottom_clearance_new_mm": _("clearance below the rope as cut"),
    "seat_depth": _("depth of the seat"),
    "seat_depth_spread": _("difference of the seats over the rope diameter"),
    "crown_step": _("step between crowns"),
    "crown_height": _("height of the crown"),
    "seat_radius": _("radius of the seat"),
    "radius_ratio": _("radius of the rope over the radius of the seat"),
    "pair_difference": _("difference of the two seats of one rope"),
    "seat_depth_sd": _("standard deviation of a seat's depth"),
    "pair_ratio": _("part of the rope's force that one turn may change"),
    "force_per_mm": _("change of force in one turn by a millimetre of difference"),
    "rope_stiffness": _("stiffness of one rope, E times A"),
    "loop_length": _("length of rope over the secondary sheave"),
    "metal_after_cut": _("metal left under the groove after the cut"),
    "deepest_seat": _("depth of the deepest seat"),
    "clean_up": _("clean-up below the deepest seat"),
    "seat_runout": _("run-out of the seats over one turn"),
    "rim_metal": _("metal left under the groove"),
    "least_thickness": _("least thickness of the rim there, with draft and run-out"),
    "groove_bottom_depth": _("depth of the groove's bottom below the land"),
    "groove_depth_sd": _("standard deviation of that depth"),
    "hardness": _("hardness"),
    # Set and machine.
    "tension_spread": _("spread of the rope tensions"),
    "rope_tension": _("tension of a rope"),
    "tension_swing": _("change of a rope's share over the travel"),
    "tension_at_bottom": _("tension, car at the bottom"),
    "mean_at_bottom": _("mean of all ropes, car at the bottom"),
    "tension_at_top": _("tension, car at the top"),
    "mean_at_top": _("mean of all ropes, car at the top"),
    "speed": _("speed over rated speed"),
    "travel_speed": _("speed of the car"),
    "runby": _("run-by"),
    "levelling_error": _("step between car and landing"),
}
ORIGINS: Mapping[str, str] = {
    "REGISTER": _("register"),
    "READING": _("reading"),
    "ASSUMED": _("assumed"),
    "RULES": _("rules"),
    "WORKED": _("worked out"),
}
READ_ON = _("read on {day}, not from the register")
