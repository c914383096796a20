"""What is said of a criterion that depends on something not known."""

from collections.abc import Mapping

from inspections.reasons.catalogue.sentence import (
    NUMBER,
    QUANTITY,
    TERM,
    TEXT,
    Sentence,
    say,
)
from inspections.reasons.codes import Code
from inspections.reasons.terms import Term

OPEN: Mapping[Code, Sentence] = {
    Code.ENDS_NOT_BOUNDED: say(
        "it depends on what is not known, and nothing bounds the margin"
    ),
    Code.ENDS_BETWEEN: say(
        "it depends on what is not known: the margin is between {worst} and {best}, "
        "{typical} with usual values",
        worst=QUANTITY,
        best=QUANTITY,
        typical=QUANTITY,
    ),
    Code.ENDS_CHANCE: say(
        "by {percent} chances in 100 it is beyond its limit", percent=NUMBER
    ),
    Code.ENDS_DECIDES: say("{what} would decide most", what=TERM),
    Code.ENDS_DECIDES_BY: say(
        "{what} would decide most: taken as {low} to {high} ({source})",
        what=TERM,
        low=QUANTITY,
        high=QUANTITY,
        source=TEXT,
    ),
    Code.ENDS_DECIDES_BY_SD: say(
        "{what} would decide most: taken as {low} to {high}, two standard deviations "
        "of what is registered or read",
        what=TERM,
        low=QUANTITY,
        high=QUANTITY,
    ),
}
# What is not known, beside the values of the register that blur a date.
UNKNOWNS: Mapping[str, str] = {
    Term.FIELD_SEAT_DEPTH_MM: "the depth of the seat",
    Term.FIELD_MOUTH_ANGLE_RAD: "the mouth angle",
    Term.FIELD_BOTTOM_WIDTH_MM: "the width of the groove's bottom",
    Term.FIELD_SEAT_RADIUS_MM: "the radius of the seat",
    Term.FIELD_CAST_RUNOUT_MM: "the run-out of the underside",
    Term.FIELD_COMPENSATION_KG_PER_M: "the mass of the compensation",
    Term.FIELD_TRAVELLING_CABLE_KG_PER_M: "the mass of the travelling cable",
    Term.FIELD_BRAKING_DECELERATION_M_S2: "the deceleration in an emergency stop",
    Term.FIELD_ROPE_MASS_KG_PER_M: "the mass of the ropes",
    Term.FIELD_METALLIC_AREA_MM2: "the metallic area of the rope",
    Term.FIELD_MODULUS_MPA: "the modulus of the rope",
    Term.FIELD_UNWORN_DIAMETER_MM: "the diameter of the unworn rope",
    Term.FIELD_BREAKS_MISSED_SHARE: "the share of broken wires that a count misses",
    Term.FIELD_PULLEYS: "the pulleys",
    Term.FIELD_REVERSE_BENDS: "the number of reverse bends",
    Term.FIELD_PULLEY_DIAMETER_MM: "the diameter of the pulleys",
    Term.FIELD_SEAT_RUNOUT_MM: "the run-out of the seats",
    Term.FIELD_ROPE_STIFFNESS: "the stiffness of the rope",
}
