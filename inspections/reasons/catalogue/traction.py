"""Traction by calculation and by test."""

from collections.abc import Mapping

from inspections.reasons.catalogue.sentence import (
    DAY,
    NUMBER,
    QUANTITY,
    REASON,
    TERM,
    WORD,
    Sentence,
    say,
    say_by,
)
from inspections.reasons.codes import Code

TRACTION: Mapping[Code, Sentence] = {
    Code.CALCULATION_NOT_MADE: say("the calculation could not be made"),
    Code.CALCULATION_CLOSES: say(
        "the calculation closes (margin {margin:+.3f})", margin=NUMBER
    ),
    Code.CALCULATION_DOES_NOT_CLOSE: say(
        "the calculation does not close (margin {margin:+.3f})", margin=NUMBER
    ),
    Code.TEST_CHANGES_NOTHING: say(
        "a field test in which the ropes held does not change that"
    ),
    Code.TEST_FAILED: say(
        "the field test of {tested_on} failed and outranks any calculation",
        tested_on=DAY,
    ),
    Code.TEST_NOT_KNOWN: say("no field test is known"),
    Code.TEST_STALE: say(
        "the ropes held in the field test of {tested_on}, before the latest change or "
        "more than a year ago",
        tested_on=DAY,
    ),
    Code.TEST_DECIDES: say(
        "the ropes held in the field test of {tested_on}, which decides",
        tested_on=DAY,
    ),
    Code.BORROWED_METHOD: say(
        "the method is borrowed and is information only: {computed}", computed=REASON
    ),
    Code.NO_SEAT_DEPTH: say(
        "no seat depth: it needs the clearance to the slot bottom, or the seat bands "
        "of both flanks, or a crown height with one as new, each with the rope's "
        "diameter"
    ),
    Code.NOT_CLOSED_AS_NEW: say(
        "the calculation does not close with the groove as new: check register data, "
        "method and load data; a traction test is asked for"
    ),
    Code.ONLY_BEDDED_FAILS: say(
        "it closes by the drawing's angle and not by that of a rope bedded into its "
        "wider seat: check the register"
    ),
    Code.OPEN_BETWEEN: say(
        "it depends on what is not known exactly: the margin lies between "
        "{worst:+.3f} and {best:+.3f}",
        worst=NUMBER,
        best=NUMBER,
    ),
    Code.CASES_NEVER_TOGETHER: say(
        "each load case may close by itself, but no values of what is not known let "
        "all of them close: at best the least margin is {best:+.3f}",
        best=NUMBER,
    ),
    Code.BOTTOM_BETWEEN: say(
        "it depends on what is not known exactly: the clearance left lies between "
        "{least:.2f} and {most:.2f}",
        least=QUANTITY,
        most=QUANTITY,
    ),
    Code.CASE_LOADING: say("loading with 125 %"),
    Code.CASE_BRAKING_FULL: say("braking with the rated load"),
    Code.CASE_BRAKING_EMPTY: say("braking with the empty car"),
    Code.CASE_STALLED_COUNTERWEIGHT: say("counterweight stalled"),
    Code.CASE_STALLED_CAR: say("car stalled"),
    Code.STALLED_NOT_KNOWN: say(
        "the ropes would not slip with the drive stalled; the register does not say "
        "whether the drive itself stalls or is stopped by a safety device"
    ),
    Code.PASSES_OF_ROPE: say_by(
        "passes",
        "the groove that rope {rope:g} runs in",
        "the {passes:g} grooves that rope {rope:g} runs in",
        passes=NUMBER,
        rope=NUMBER,
    ),
    Code.ROUTE_REFUSED: say("{route}: {why}", route=TERM, why=REASON),
    Code.METHOD_FOR_FORM: say("a method for grooves of the form {form}", form=WORD),
}
