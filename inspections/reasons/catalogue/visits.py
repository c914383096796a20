"""What a worklist says: what would surprise, and its cautions."""

from collections.abc import Mapping

from inspections.reasons.catalogue.sentence import (
    NUMBER,
    PLACE,
    REASON,
    TERM,
    WORD,
    Sentence,
    say,
)
from inspections.reasons.codes import Code

VISITS: Mapping[Code, Sentence] = {
    Code.USUAL_FROM: say(
        "usual from {low:.4g}",
        low=NUMBER,
    ),
    Code.USUAL_TO: say(
        "usual to {high:.4g}",
        high=NUMBER,
    ),
    Code.USUAL_FROM_TO: say(
        "usual from {low:.4g} to {high:.4g}",
        low=NUMBER,
        high=NUMBER,
    ),
    Code.WOULD_HAVE_GROWN: say(
        "above {value:.4g} it would have grown since the last time",
        value=NUMBER,
    ),
    Code.WOULD_HAVE_SHRUNK: say(
        "below {value:.4g} it would have shrunk since the last time",
        value=NUMBER,
    ),
    Code.FEWER_THAN_LAST: say(
        "fewer than the {value:g} of last time",
        value=NUMBER,
    ),
    Code.TOLD_AT_ONCE: say(
        "{word}: told at once",
        word=WORD,
    ),
    Code.FAR_FROM_LAST: say(
        "{word}, after {last} last time",
        word=WORD,
        last=WORD,
    ),
    Code.STOPPED_FOR: say(
        "Out of service until a competent person has decided: {matter}.",
        matter=REASON,
    ),
    Code.STOPPED_BY: say(
        "Out of service until a competent person has decided: {cause}.",
        cause=TERM,
    ),
    Code.STOPPED_BY_AT: say(
        "Out of service until a competent person has decided: {cause}, {place}.",
        cause=TERM,
        place=PLACE,
    ),
    Code.ROPES_STOPPED: say(
        "Stop the ropes and lock the drive out before anything is touched; no hand "
        "between rope and sheave. What is seen on the running machine is seen from a "
        "distance.",
    ),
    Code.TWO_SECURED: say(
        "Two people; car and counterweight secured.",
    ),
    Code.TWO_CAR_EMPTY: say(
        "Two people; nobody in or on the car, doors kept shut.",
    ),
    Code.TWO_MOVE_WEIGHTS: say(
        "Weights are moved by two people; the car is secured meanwhile.",
    ),
}
