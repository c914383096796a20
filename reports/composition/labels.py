"""Short names of load cases, register items and readings, marked for translation."""

from django.utils.translation import gettext_noop

CASES = {
    "LOADING": gettext_noop("car being loaded to 125 %"),
    "BRAKING_FULL": gettext_noop("full car braking on its way down"),
    "BRAKING_EMPTY": gettext_noop("empty car braking on its way up"),
    "STALLED_COUNTERWEIGHT": gettext_noop(
        "counterweight landed, machine still turning"
    ),
    "STALLED_CAR": gettext_noop("car landed, machine still turning"),
    "BOTTOMING": gettext_noop("rope reaching the bottom of its groove"),
    "RIM_METAL": gettext_noop("metal under the groove"),
    "ROPE_DIAMETER": gettext_noop("rope diameter"),
    "RUNBY": gettext_noop("counterweight run-by"),
}

REGISTER_ITEMS = {
    "car_mass_kg": gettext_noop("the mass of the empty car"),
    "balance_ratio": gettext_noop("the balance"),
    "counterweight_mass_kg": gettext_noop("the mass of the counterweight"),
    "wrap_angle_rad": gettext_noop("the angle of wrap"),
    "friction_ratio": gettext_noop("the friction coefficient"),
    "groove_angle_rad": gettext_noop("the groove angle"),
    "undercut_angle_rad": gettext_noop("the undercut angle"),
    "bottom_clearance_mm": gettext_noop("the clearance as new"),
    "rope_diameter_mm": gettext_noop("the rope diameter"),
    "rim_thickness_mm": gettext_noop("metal under the groove"),
}

QUANTITIES = {
    "seat_depth": gettext_noop("seat depth"),
    "diameter_loss": gettext_noop("rope diameter"),
    "counterweight_runby": gettext_noop("counterweight run-by"),
}

KINDS = {
    "rope_diameter": gettext_noop("rope diameter"),
    "rope_diameter_unworn": gettext_noop("rope diameter, unworn part"),
    "rope_crown_height": gettext_noop("rope crown above the rim"),
    "rope_crown_step": gettext_noop("step between rope crowns"),
    "seat_band_width": gettext_noop("width of the seat band"),
    "groove_bottom_depth": gettext_noop("depth of the groove bottom"),
    "bottom_clearance": gettext_noop("clearance under the rope"),
    "seat_gauge_fit": gettext_noop("radius gauge in the seat"),
    "slot_width": gettext_noop("slot width"),
    "seat_runout": gettext_noop("run-out of the seat"),
    "seat_diameter_difference": gettext_noop("difference of seat diameters"),
    "rim_thickness": gettext_noop("metal under the groove"),
    "underside_runout": gettext_noop("run-out of the rim's underside"),
    "hardness": gettext_noop("hardness"),
    "rope_tension": gettext_noop("rope tension"),
    "tension_index": gettext_noop("tension against the mean"),
    "wave_time": gettext_noop("time of ten wave returns"),
    "spring_length": gettext_noop("length of the hitch spring"),
    "breaks_total": gettext_noop("broken wires, all"),
    "breaks_worst_strand": gettext_noop("broken wires, worst strand"),
    "breaks_two_worst_strands": gettext_noop("broken wires, two worst strands"),
    "breaks_distribution": gettext_noop("how the broken wires lie"),
    "breaks_adjacent": gettext_noop("broken wires side by side"),
    "breaks_valley": gettext_noop("broken wires in the valleys"),
    "lay_length": gettext_noop("lay length"),
    "crown_wire_flat": gettext_noop("flat on the outer wires"),
    "rouge": gettext_noop("rouge"),
    "wires_worn_or_rusted": gettext_noop("worn or rusted wires"),
    "rope_deformation": gettext_noop("birdcage, kink or core that stands out"),
    "lubrication": gettext_noop("lubrication"),
    "twist": gettext_noop("twist"),
    "rope_mark_offset": gettext_noop("offset of the rope mark"),
    "slip_seen": gettext_noop("slip seen"),
    "traction_test": gettext_noop("traction test"),
    "brake_slide_seen": gettext_noop("brake seen to slide"),
    "levelling_error": gettext_noop("levelling error"),
    "cwt_runby": gettext_noop("counterweight run-by"),
    "car_runby": gettext_noop("car run-by"),
    "travel_speed": gettext_noop("car speed"),
    "trip_counter": gettext_noop("trip counter"),
    "balance_load": gettext_noop("balance"),
    "car_mass": gettext_noop("mass of the empty car"),
    "wrap_offset_x": gettext_noop("offset of the deflector"),
    "wrap_drop_h": gettext_noop("drop of the deflector"),
    "check": gettext_noop("looked at by eye"),
}
