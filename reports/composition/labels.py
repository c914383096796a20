"""Short names of load cases, register items and worn quantities, to be translated."""

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
