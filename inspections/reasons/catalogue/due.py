"""Why a reading is due."""

from collections.abc import Mapping

from inspections.reasons.catalogue.sentence import (
    DAY,
    NUMBER,
    PLACES,
    REASON,
    TERM,
    Sentence,
    say,
)
from inspections.reasons.codes import Code

DUE: Mapping[Code, Sentence] = {
    Code.DUE_NEVER_READ: say("not read yet on the part fitted now"),
    Code.DUE_AGAIN: say(
        "last read on {last}, due again since {due}", last=DAY, due=DAY
    ),
    Code.DUE_HELD: say("the reading of {day} is held until it is confirmed", day=DAY),
    Code.DUE_UNCONFIRMED: say(
        "the reading of {day} acts as if true until it is measured again", day=DAY
    ),
    Code.DUE_AS_LEFT: say("as left: the new wear begins here"),
    Code.DUE_REACHED: say("{quantity} may already be at its limit", quantity=TERM),
    Code.DUE_SUSPENDED: say("the forecast of {quantity} is suspended", quantity=TERM),
    Code.DUE_SUSPENDED_SINCE: say(
        "the forecast of {quantity} is suspended: {why}", quantity=TERM, why=REASON
    ),
    Code.DUE_BEFORE: say(
        "{quantity}: the next visit should come before {day}", quantity=TERM, day=DAY
    ),
    Code.DUE_THIN: say("forecast of {quantity}: {state}", quantity=TERM, state=TERM),
    Code.DUE_THIN_SINCE: say(
        "forecast of {quantity}: {state}: {why}", quantity=TERM, state=TERM, why=REASON
    ),
    Code.DUE_RESTS_ON: say(
        "the date of {places} rests on it more than on further wear", places=PLACES
    ),
    Code.DUE_NOT_ASSESSED: say(
        "{topic} was not assessed: {why}", topic=TERM, why=REASON
    ),
    Code.DUE_OPEN: say(
        "{topic} may be beyond its limit; this reading may decide it", topic=TERM
    ),
    Code.DUE_OPEN_BY_CHANCE: say(
        "{topic} is beyond its limit by {percent} chances in 100; this reading may "
        "decide it",
        topic=TERM,
        percent=NUMBER,
    ),
    Code.DUE_CHECK_NEVER: say(
        "the machine's state is not known without it: it was never read here"
    ),
    Code.DUE_CHECK_NOT_SEEN: say(
        "the machine's state is not known without it: so far it could not be seen"
    ),
    Code.DUE_CHECK_OLD: say(
        "the machine's state is not known without it: last made on {last}, asked for "
        "every {months} months",
        last=DAY,
        months=NUMBER,
    ),
}
