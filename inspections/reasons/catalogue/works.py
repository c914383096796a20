"""What things are called that options name."""

from collections.abc import Mapping

from inspections.reasons.terms import Term

WORKS: Mapping[str, str] = {
    # What an option has to know first.
    Term.FEED_EQUALITY: (
        "whether the grooves feed the ropes equally: the tensions at bottom and top "
        "after one run without a stop, or the seat depths of all grooves"
    ),
    Term.SEAT_RADII: "the radius of every seat, by groove gauge, against a new rope",
    Term.TRACTION_AS_WORN: "traction as worn, in every case",
    Term.RIM_IS_BOLTED: "whether the rim is bolted on and can be had",
    Term.SHEAVE_OF_OTHER_FORM: "a sheave of another form, calculated anew",
    Term.TRACTION_INPUTS: (
        "what traction is computed from: masses, wrap and groove as turned"
    ),
    Term.HITCH_LEFT: "the thread or rope left at the hitches",
    Term.SHEAVE_DIAMETERS_AND_FORM: "pitch diameters and form of the sheave",
    Term.ROPE_NOMINAL_DIAMETER: "nominal rope diameter",
    # What a day to order by rests on.
    Term.LEAD_TIME_ROPE_SET: "lead time of a rope set",
    Term.LEAD_TIME_RIM: "lead time of a rim",
    Term.LEAD_TIME_SHEAVE: "lead time of a sheave",
    Term.LEAD_TIME_LUBRICANT: "lead time of a lubricant",
    Term.LEAD_TIME_REGROOVE_IN_PLACE: "lead time to regroove in place and re-rope",
    Term.LEAD_TIME_REGROOVE_IN_SHOP: "lead time to regroove in the shop and re-rope",
    Term.ACCESS_DAYS: "days to get access",
    # Values of the register that blur a date.
    Term.FIELD_CAR_MASS_KG: "the mass of the empty car",
    Term.FIELD_BALANCE_RATIO: "the balance",
    Term.FIELD_COUNTERWEIGHT_MASS_KG: "the mass of the counterweight",
    Term.FIELD_WRAP_ANGLE_RAD: "the angle of wrap",
    Term.FIELD_FRICTION_RATIO: "the friction coefficient",
    Term.FIELD_GROOVE_ANGLE_RAD: "the groove angle",
    Term.FIELD_UNDERCUT_ANGLE_RAD: "the undercut angle",
    Term.FIELD_BOTTOM_CLEARANCE_MM: "the clearance as new",
    Term.FIELD_ROPE_DIAMETER_MM: "the rope diameter",
    Term.FIELD_RIM_THICKNESS_MM: "metal under the groove",
    # What a tool is set by.
    Term.MOUTH_ANGLE: "mouth angle",
    Term.GROOVE_PITCH: "pitch of the grooves",
    Term.SLOT_WIDTH: "width of the slot",
    Term.SLOT_DEPTH: "depth of the slot below the rope",
    Term.GROOVE_PLACES: "places of the grooves along the rim",
    Term.ORDER_FORM: "groove form",
    Term.ROPES_LUBRICATION: "lubrication of the ropes, by a finger",
    # Kinds of work.
    Term.WORK_WATCH: "watch",
    Term.WORK_MEASURE_FIRST: "measure or have it examined first",
    Term.WORK_EQUALISE: "equalise the rope tensions",
    Term.WORK_DEGREASE: "degrease the ropes and test traction again",
    Term.WORK_LUBRICATE: "clean and lubricate the ropes",
    Term.WORK_SHORTEN: "shorten the ropes",
    Term.WORK_RE_ROPE: "re-rope",
    Term.WORK_REGROOVE_IN_PLACE: "regroove in place and re-rope",
    Term.WORK_REGROOVE_IN_SHOP: "regroove in the shop and re-rope",
    Term.WORK_RENEW_RIM: "renew the rim and re-rope",
    Term.WORK_REPLACE_SHEAVE: "replace the sheave and re-rope",
    Term.WORK_RETENSION: "measure and set the rope tensions again",
    Term.WORK_MEASURE_AS_LEFT: "measure what was left after the work",
    # How far planned work is, and its days.
    Term.PLAN_PLANNED: "planned",
    Term.PLAN_ORDERED: "ordered",
    Term.PLAN_DONE: "done",
    Term.PLAN_DROPPED: "dropped",
    Term.PLAN_WINDOW_FROM: "first day of the work",
    Term.PLAN_DUE_BEFORE: "due before",
    Term.PLAN_ORDER_BY: "order by",
}
