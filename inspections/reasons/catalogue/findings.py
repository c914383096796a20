"""What the assessment says of a machine."""

from collections.abc import Mapping

from inspections.reasons.catalogue.sentence import (
    DAY,
    NUMBER,
    QUANTITY,
    TERM,
    Sentence,
    say,
    say_by,
)
from inspections.reasons.codes import Code

FINDINGS: Mapping[Code, Sentence] = {
    Code.CARRIED_OVER: say(
        "carried over from {since}: what was read since is not confirmed", since=DAY
    ),
    Code.WITHIN_NOISE: say("within what gauge error explains"),
    Code.WITHIN_GAUGE_NOISE: say("within what the error of this gauge explains"),
    Code.BEYOND_NOISE: say("more than gauge error explains"),
    Code.FEEDS_MORE: say(
        "more than gauge error explains: the sheave feeds one rope {length:.1f} more "
        "per trip than another; read the tensions at bottom and top",
        length=QUANTITY,
    ),
    Code.ROUTES_DISAGREE: say(
        "{depth:.2f} by {route} against {other_depth:.2f} by {other_route}: measure "
        "again; the deeper one is judged meanwhile",
        depth=QUANTITY,
        route=TERM,
        other_depth=QUANTITY,
        other_route=TERM,
    ),
    Code.LAYER_GONE: say(
        "worn through: the groove counts as unhardened and wears faster from here"
    ),
    Code.V_NEEDS_UNDERCUT: say("a V that is not hardened must have an undercut"),
    Code.LAYER_MAY_BE_GONE: say("the layer may be worn through already"),
    Code.TURN_MAKES_FORCE: say(
        "one turn makes {force:.0f} in the loop if nothing slips: the seats wear each "
        "other; they are cut together",
        force=QUANTITY,
    ),
    Code.SCATTER_HIDES: say(
        "readings that scatter by {scatter:.2f} cannot tell a difference of "
        "{difference:.2f}; none beyond the scatter was seen",
        scatter=QUANTITY,
        difference=QUANTITY,
    ),
    Code.PRESSURE_HIGH: say(
        "above what was once allowed: grooves and ropes wear faster"
    ),
    Code.PRESSURE_AS_WORN: say(
        "{pressure:.2f} in the deepest seat as worn", pressure=QUANTITY
    ),
    Code.CAR_MASS_DIFFERS: say(
        "car mass {read:g} read, {registered:g} registered",
        read=QUANTITY,
        registered=QUANTITY,
    ),
    Code.CAR_MASS_READ_TWICE: say(
        "car mass {read:g} read and later {later:g}, neither of them registered",
        read=QUANTITY,
        later=QUANTITY,
    ),
    Code.BALANCE_SHARE_DIFFERS: say(
        "balance {balance:.0f} % read, {registered:.0f} % registered",
        balance=NUMBER,
        registered=NUMBER,
    ),
    Code.BALANCE_READ_TWICE: say(
        "balance {balance:.0f} % read and later {later:.0f} %, neither of them "
        "registered",
        balance=NUMBER,
        later=NUMBER,
    ),
    Code.BALANCE_DIFFERS: say(
        "balance {balance:.0f} % read, which asks for a counterweight of {read:.0f}; "
        "{registered:.0f} by the register",
        balance=NUMBER,
        read=QUANTITY,
        registered=QUANTITY,
    ),
    Code.BRAKING_DIFFERS: say(
        "the car was slowed by at least {read:.2f} in a traction test, braking is "
        "judged by {judged:.2f}: register how hard the machine brakes",
        read=QUANTITY,
        judged=QUANTITY,
    ),
    Code.BRAKING_OPENS: say(
        "slowed so hard a braking case does not close (margin {margin:+.3f})",
        margin=NUMBER,
    ),
    Code.ROPES_CARRY_OTHERWISE: say(
        "the ropes together carry {read:.0f} by the times of their waves, "
        "{expected:.0f} by the masses: check length and mass of the ropes, and the "
        "masses in the register",
        read=QUANTITY,
        expected=QUANTITY,
    ),
    Code.WIRES_MISSED: say(
        "a count by eye may miss {share:.0f} % of the broken wires: it may be "
        "{most:.0f}",
        share=NUMBER,
        most=NUMBER,
    ),
    Code.WRAP_DIFFERS: say(
        "wrap {read:.1f} degrees by what was measured, {registered:.1f} by the "
        "register",
        read=NUMBER,
        registered=NUMBER,
    ),
    Code.ENTER_WHICH_IS_RIGHT: say(
        "which is right where readings differ from the register: with the other a load "
        "case would not close"
    ),
    Code.HEAVIER_CAR_CARRIED: say(
        "safety factor of the ropes, pressure and loads are those with the heavier car"
    ),
    Code.JUDGED_AS_READ: say(
        "it is judged by what was read, for the worse counts until it is entered which "
        "is right"
    ),
    Code.SMALLER_MARGIN_USED: say(
        "each is judged with both, and the worse counts until it is entered which is "
        "right; {used} gives the smaller margin",
        used=TERM,
    ),
    Code.CREEP_NORMAL: say("creep of {creep:.1f} is normal here", creep=QUANTITY),
    Code.CREEP_EXCEEDED: say(
        "more than creep explains ({creep:.1f}): the rope slips", creep=QUANTITY
    ),
    Code.BRAKE_NOT_EXCLUDED: say(
        "no mark on the frame was read, a sliding brake reads the same"
    ),
    Code.GAUGE_OVERDUE: say_by(
        "count",
        "1 reading was taken with it after its calibration was due on {due_on}; they "
        "are used and may be off",
        "{count:g} readings were taken with it after its calibration was due on "
        "{due_on}; they are used and may be off",
        count=NUMBER,
        due_on=DAY,
    ),
    Code.ROPE_PINCHED: say(
        "the rope is thicker than its seat and is pinched at the mouth: traction is "
        "not assessed, and renewing the ropes alone is blocked"
    ),
    Code.ROPE_LOOSE: say(
        "the rope is thinner than its seat: until it has bedded in it may hold less "
        "than the calculation says; a slip test is asked for"
    ),
    Code.ROPE_LOOSE_TESTED: say(
        "the rope is thinner than its seat; the ropes held in the slip test of "
        "{tested_on}",
        tested_on=DAY,
    ),
    Code.ROPES_RENEWED_IN_WORN: say(
        "the ropes were renewed in grooves that had worn to the ones before"
    ),
    Code.NOT_SEEN: say("could not be seen"),
    Code.EQUALISE: say(
        "equalise the tensions, and look for what makes the ropes carry unequally"
    ),
    Code.TEST_LOAD_TOO_SMALL: say("the load was less than the case asks for"),
    Code.TEST_CAR_NOT_EMPTY: say("the car was not empty"),
    Code.TEST_SPEED_TOO_LOW: say("the car was slower than its rated speed"),
    Code.STOPS_TOO_LATE: say("the car was slowed by less than braking needs"),
    Code.REPORTED: say("reported {word} on {seen_on}", word=TERM, seen_on=DAY),
    Code.LEVELLING_HIGH: say(
        "more than usual: slip, brake or controller; read the rope marks"
    ),
    Code.ONE_PLACE_SHOWS_LITTLE: say(
        "equal tensions at one place do not show unequal grooves"
    ),
    Code.FEEDS_UNEQUALLY: say(
        "the grooves feed the ropes unequally: equalising alone does not last"
    ),
}
