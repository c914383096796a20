"""How each kind of reading is taken, in a technician's words, marked to translate."""

from django.utils.translation import gettext_noop

_EYE = gettext_noop(
    "Watch from a safe place, one trip each way with the empty car. If either is "
    "seen, stop here: out of service."
)

HOW = {
    "slip_seen": _EYE,
    "brake_slide_seen": _EYE,
    "traction_test": gettext_noop(
        "Two competent persons. Mark ropes and sheave; say load, speed, how far the "
        "car ran to standstill and how far the ropes slid. Slipped: out of service."
    ),
    "trip_counter": gettext_noop("Read it off the controller, all digits."),
    "cwt_runby": gettext_noop(
        "Car at the top landing; tape from counterweight to buffer."
    ),
    "car_runby": gettext_noop("Car at the bottom landing; tape from car to buffer."),
    "breaks_total": gettext_noop(
        "By eye and rag on stopped ropes, lay by lay; never a hand on a moving rope."
    ),
    "breaks_worst_strand": gettext_noop(
        "Of the same lay: the strand with most of them."
    ),
    "wires_worn_or_rusted": gettext_noop(
        "Outer wires worn flat along the lay, or pitted with rust; ropes stopped."
    ),
    "rope_deformation": gettext_noop(
        "A birdcage, a kink, a core or wires that stand out: seen, stop here: out of "
        "service."
    ),
    "rouge": gettext_noop("Red-brown powder between the strands; ropes stopped."),
    "lubrication": gettext_noop("Finger on the stopped rope: dry, smudge or wet."),
    "rope_diameter": gettext_noop(
        "Two directions at right angles, at the worst place of the free length. "
        "Ropes stopped, machine isolated and locked out."
    ),
    "rope_crown_height": gettext_noop(
        "Foot of the gauge on two lands, tip on a strand crown. Below the rim: write "
        "a minus. Ropes stopped, machine isolated and locked out."
    ),
    "rope_crown_step": gettext_noop("Straightedge over the crowns, feeler under it."),
    "bottom_clearance": gettext_noop(
        "Wire or feeler from the side, at the middle of the wrap; if the rope touches "
        "write 0 and stop: out of service."
    ),
    "groove_bottom_depth": gettext_noop(
        "In the open lower arc, from the rim to the groove bottom."
    ),
    "seat_band_width": gettext_noop(
        "In the open lower arc, with calliper or replica. Ropes stopped, machine "
        "isolated and locked out."
    ),
    "slot_width": gettext_noop("In the open lower arc, across the mouth of the slot."),
    "seat_gauge_fit": gettext_noop(
        "In the cleaned seat of the open lower arc: the largest radius without light "
        "under it."
    ),
    "check": gettext_noop(
        "No defect seen, defect, or not looked at. A defect is told at once."
    ),
    "rope_tension": gettext_noop(
        "Same gauge, same height on every rope; say which way the car came."
    ),
    "hardness": gettext_noop("Portable tester on a cleaned land."),
}
