"""What asks for work, and what options say of it."""

from collections.abc import Mapping

from inspections.reasons.catalogue.sentence import (
    DAY,
    ITEMS,
    NUMBER,
    PLACE,
    QUANTITY,
    REASON,
    TERM,
    Sentence,
    say,
)
from inspections.reasons.codes import Code

OPTIONS: Mapping[Code, Sentence] = {
    Code.MATTER: say("{topic}", topic=TERM),
    Code.MATTER_AT: say("{topic}, {place}", topic=TERM, place=PLACE),
    Code.MATTER_UNKNOWN: say("{topic} is not assessed", topic=TERM),
    Code.MATTER_UNKNOWN_AT: say(
        "{topic}, {place} is not assessed", topic=TERM, place=PLACE
    ),
    Code.MATTER_NEAR: say("{quantity} by {day}", quantity=TERM, day=DAY),
    Code.MATTER_NEAR_AT: say(
        "{quantity}, {place} by {day}", quantity=TERM, place=PLACE, day=DAY
    ),
    Code.NOTHING_ASKED: say("nothing that is open or near asks for it"),
    Code.ANSWERS: say("answers: {matter}", matter=REASON),
    Code.NEVER_WATCHED: say("never watched: {matter}", matter=REASON),
    Code.WATCHING_ANSWERS_NOT: say(
        "monitoring alone is not enough for: {matter}", matter=REASON
    ),
    Code.NEXT_READING_EARLY: say(
        "the next reading comes early: the chance of reaching a safety limit before "
        "the usual visit is above what is allowed"
    ),
    Code.NEXT_READING_NOT_KNOWN: say("no day of the next reading is known"),
    Code.PERSON_LOOKS: say("a person has to look: {matter}", matter=REASON),
    Code.BLURS_DATE: say(
        "{item}: it blurs the date of {quantity} most", item=TERM, quantity=TERM
    ),
    Code.BLURS_DATE_AT: say(
        "{item}: it blurs the date of {quantity} {place} most",
        item=TERM,
        quantity=TERM,
        place=PLACE,
    ),
    Code.NEW_SET_IS_EQUAL: say(
        "the ropes are to be renewed, and a new set is set equal"
    ),
    Code.NEW_ROPES_HAVE_LENGTH: say(
        "the ropes are to be renewed, and new ones get their length"
    ),
    Code.SET_SHORTENED_WHOLE: say(
        "all ropes of the set are shortened and their tensions set again"
    ),
    Code.SET_RENEWED_WHOLE: say(
        "the whole set is renewed, matched, with its certificate"
    ),
    Code.TENSIONS_SET_AGAIN: say(
        "tensions are measured and set again after {days:g} days", days=NUMBER
    ),
    Code.NEW_ROPES_IN_OPEN: say(
        "new ropes would run in grooves with an open finding: {matter}", matter=REASON
    ),
    Code.GROOVE_DUE_FIRST: say(
        "a groove is due before {day}, within {years:g} years, and its cut needs new "
        "ropes again",
        day=DAY,
        years=NUMBER,
    ),
    Code.PLACE_DUE_FIRST: say(
        "{place} is due before {day}, within {years:g} years, and its cut needs new "
        "ropes again",
        place=PLACE,
        day=DAY,
        years=NUMBER,
    ),
    Code.ROPES_OILED: say(
        "a rope was read as wet: too much lubricant, or oil, is a cause of slip that "
        "is ruled out before metal is cut"
    ),
    Code.NO_ROPE_OILED: say("no rope was read as wet"),
    Code.DEGREASE_SETTLES_NOTHING: say(
        "it ends no finding by itself: traction is worked out with the code's "
        "friction, whatever is on the ropes, and only a test afterwards tells whether"
        " they hold"
    ),
    Code.ROPES_WET_ALREADY: say("a rope was read as wet already"),
    Code.UPKEEP: say("upkeep: it answers no finding"),
    Code.RIM_IS_ONE_WITH_SHEAVE: say("rim and sheave are one piece"),
    Code.CUT_DEPTH: say(
        "cut of {cut:.2f}: deepest seat {deepest:.2f} in groove {groove:g} and "
        "{clean_up:g} clean-up",
        cut=QUANTITY,
        deepest=QUANTITY,
        groove=NUMBER,
        clean_up=QUANTITY,
    ),
    Code.CUT_CHANGES_SPEED: say(
        "car speed {speed:.1f} % of that with the sheave as new, groove pressure "
        "{pressure:.1f} %; the required safety factor of the ropes rises as D/d falls "
        "and is to be checked",
        speed=NUMBER,
        pressure=NUMBER,
    ),
    Code.CUT_THINNEST: say(
        "groove {groove:g} is the thinnest and keeps {metal:.1f} in the worst case",
        groove=NUMBER,
        metal=QUANTITY,
    ),
    Code.CUT_IS_LAST: say(
        "{cuts:g} further cuts would fit after it, {asked:g} asked for: the sheave "
        "has to be replaced with the next wear",
        cuts=NUMBER,
        asked=NUMBER,
    ),
    Code.RATIO_BELOW_THRESHOLD: say(
        "D/d would be {ratio:.2f} after the cut, {worst:.2f} at worst, less than "
        "{least:g}",
        ratio=NUMBER,
        worst=NUMBER,
        least=NUMBER,
    ),
    Code.CHANCE_TOO_THIN: say(
        "a chance of {chance:.3g} that a groove keeps less than the maker's least "
        "metal, more than {allowed:g}",
        chance=NUMBER,
        allowed=NUMBER,
    ),
    Code.CASE_AFTER: say("{case} {margin:+.3f}", case=TERM, margin=NUMBER),
    Code.SEATS_DO_NOT_CLOSE: say(
        "traction is insufficient with the grooves as re-cut: {cases}", cases=ITEMS
    ),
    Code.TEST_SINCE_BORROWED: say(
        "a traction test, since by a borrowed method traction is insufficient with the "
        "grooves as re-cut: {cases}",
        cases=ITEMS,
    ),
    Code.NOT_ORDERED_BY_COST: say(
        "not ordered by cost, which is not estimated for every course: the least work "
        "comes first among equals"
    ),
    Code.DECIDED_WHEN_KNOWN: say(
        "not to be decided before this is known: {items:;}", items=ITEMS
    ),
    Code.NO_ORDER_DAY: say("no day to order by: missing {items}", items=ITEMS),
    Code.NO_PLANNING_DAY: say("no planning date of a limit belongs to it"),
    Code.ORDER_DAY_PAST: say("the day to order by, {day}, is past", day=DAY),
}
