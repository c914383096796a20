"""Values outside the range in which a formula holds."""

from collections.abc import Mapping

from inspections.reasons.catalogue.sentence import NUMBER, REASON, TEXT, Sentence, say
from inspections.reasons.codes import Code

VALIDITY: Mapping[Code, Sentence] = {
    Code.OUTSIDE_VALIDITY: say(
        "{name} is {value:g}; it must be {rule}", name=TEXT, value=NUMBER, rule=REASON
    ),
    Code.RULE_FINITE: say("a finite number"),
    Code.RULE_POSITIVE: say("positive"),
    Code.RULE_NOT_NEGATIVE: say("zero or more"),
    Code.RULE_FROM_TO: say("from {low:g} to {high:g}", low=NUMBER, high=NUMBER),
    Code.RULE_FROM_TO_NAMED: say(
        "from low = {low:g} to high = {high:g}", low=NUMBER, high=NUMBER
    ),
    Code.RULE_BELOW: say("below {limit:g}", limit=NUMBER),
    Code.RULE_BELOW_NAMED: say("below {other} = {limit:g}", other=TEXT, limit=NUMBER),
    Code.RULE_BELOW_OTHER: say(
        "below {other}, which is {limit:g}", other=TEXT, limit=NUMBER
    ),
    Code.RULE_ABOVE_NAMED: say("above {other} = {limit:g}", other=TEXT, limit=NUMBER),
    Code.RULE_AT_LEAST_OTHER: say(
        "at least {other}, which is {limit:g}", other=TEXT, limit=NUMBER
    ),
    Code.RULE_AT_MOST_OTHER: say(
        "at most {other}, which is {limit:g}", other=TEXT, limit=NUMBER
    ),
    Code.RULE_AT_MOST_NAMED: say(
        "at most {other} = {limit:g}", other=TEXT, limit=NUMBER
    ),
    Code.RULE_OR_MORE: say("{least:g} or more", least=NUMBER),
    Code.RULE_ONE_OF: say("one of {allowed}", allowed=TEXT),
    Code.RULE_BELOW_IN_SIZE: say("below {limit:g} in size", limit=NUMBER),
    Code.RULE_BELOW_PI: say("below π"),
    Code.RULE_AT_MOST_PI: say("at most π"),
    Code.RULE_BELOW_PI_LESS: say(
        "below π - {other} = {limit:g}", other=TEXT, limit=NUMBER
    ),
    Code.RULE_SHARE: say("above 0 and below 1"),
    Code.RULE_TOGETHER: say("at most {limit:g} together", limit=NUMBER),
    Code.RULE_STRICTER: say(
        "{least:g} or {side} ({source})", least=NUMBER, side=TEXT, source=TEXT
    ),
    Code.RULE_A_THRESHOLD: say("one of the thresholds"),
    Code.RULE_PASSES: say(
        "one for each of the {passes:g} passes of the wrap", passes=NUMBER
    ),
    Code.RULE_ANGLES: say(
        "one for each of the {angles:g} angles_rad, at least one", angles=NUMBER
    ),
    Code.RULE_ONE_OR_TWO_ANGLES: say("one or two angles"),
    Code.RULE_ONE_OR_TWO: say("1 or 2"),
    Code.RULE_ONE_CASE: say("one case or more"),
    Code.RULE_ONE_ARC: say("one contact arc or more"),
    Code.RULE_TWO_ROPES: say("two ropes or more"),
    Code.RULE_AS_MANY_ROPES: say(
        "one for each of {other} ({count:g}), two ropes or more",
        other=TEXT,
        count=NUMBER,
    ),
    Code.RULE_RUNS: say("{least:g} runs or more", least=NUMBER),
    Code.RULE_TWO_DIAMETERS: say("at most 2, at right angles in one place"),
    Code.RULE_PULLEYS: say("from 0 to {count:g} pulleys", count=NUMBER),
    Code.RULE_GRADE_PAIRS: say("one of the pairs {pairs}", pairs=TEXT),
    Code.RULE_HAS_BOTTOM: say("known, of a groove that has a bottom"),
    Code.RULE_BANDS_EQUAL: say(
        "within 30 % of {other} = {limit:g}; unequal bands mean that the sheave is "
        "out of line",
        other=TEXT,
        limit=NUMBER,
    ),
    Code.RULE_BAND_FULL: say(
        "below {widest:g}, where the band reaches the rope's full width (a depth of "
        "{depth:g} mm)",
        widest=NUMBER,
        depth=NUMBER,
    ),
    Code.RULE_CENTRES_APART: say(
        "such that the centres are more than {least:g} mm apart; they are {centres:g} "
        "mm apart",
        least=NUMBER,
        centres=NUMBER,
    ),
    Code.RULE_NO_FACTORS: say("positive where there are no dynamic_factors"),
    Code.RULE_TABLE_ENDS: say("at most {limit:g}, where the table ends", limit=NUMBER),
    Code.RULE_NEEDS_UNDERCUT: say(
        "positive: a V groove that is not hardened needs an undercut"
    ),
    Code.RULE_BEARS_INWARDS: say(
        "such that some contact bears inwards, away from ±π/2"
    ),
    Code.RULE_ARCS_IN_ORDER: say("in order, not overlapping and within ±π/2"),
    Code.RULE_BETWEEN_SLOT_AND_SEAT: say(
        "between slot and seat, {low:g} and {high:g}", low=NUMBER, high=NUMBER
    ),
    Code.RULE_NO_BOTTOM_NO_SLOT: say("0 where bottom_width_mm is 0"),
    Code.RULE_SLOT_OPEN: say(
        "below the taper at which the slot's sides meet above its bottom, {limit:g}",
        limit=NUMBER,
    ),
    Code.RULE_BELOW_CONTACTS: say(
        "below the distance between the rope's contacts on the flanks, {limit:g}",
        limit=NUMBER,
    ),
    Code.RULE_CLEARS_BOTTOM: say(
        "so narrow that a rope of this diameter clears the bottom when new"
    ),
    Code.RULE_GIVEN_ONCE: say("given once only"),
    Code.RULE_ONE_OF_GROOVES: say("one of the grooves {numbers}", numbers=TEXT),
    Code.RULE_ABOVE_STICKING: say("above {limit:g}, the arc that sticks", limit=NUMBER),
    Code.RULE_OR_SLIPS: say(
        "above ln(T1/T2) = {limit:g}, or the rope slips", limit=NUMBER
    ),
    Code.RULE_MASS_GIVEN: say(
        "given, or counterweight_mass_kg instead; one of the two"
    ),
    Code.RULE_LONGER_THAN_LINE: say("longer than a line of contact"),
    Code.RULE_ABOVE_ROPE: say(
        "above the rope's diameter by more than twice the seat depth"
    ),
    Code.RULE_OPEN_AS_NEW: say("zero or more as new"),
    Code.RULE_WIDER_THAN_SLOT: say(
        "wider than the slot, which is {limit:g}", limit=NUMBER
    ),
    Code.RULE_GIVEN_AS_SHARE: say("given, the range is part of it"),
    Code.RULE_MORE_THAN_OWN_WEIGHT: say(
        "so short that the rope carries more than its own weight"
    ),
}
