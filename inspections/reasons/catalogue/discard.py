"""Discard of ropes."""

from collections.abc import Mapping

from inspections.reasons.catalogue.sentence import NUMBER, QUANTITY, Sentence, say
from inspections.reasons.codes import Code

DISCARD: Mapping[Code, Sentence] = {
    Code.LIMIT_TAKEN_TIMES: say(
        "the limit {limit:g} is taken {factor:g} times for rouge or wear",
        limit=NUMBER,
        factor=NUMBER,
    ),
    Code.ONE_DIRECTION_BEYOND: say(
        "one direction of two lies beyond the limit: watch it"
    ),
    Code.SAFETY_FACTOR_COMPUTED: say(
        "computed {computed:.2f}, floor {floor:g}", computed=NUMBER, floor=NUMBER
    ),
    Code.PULLEYS_ASSUMED: say(
        "no pulleys are registered; with few, usual and many of them {least:.1f}, "
        "{usual:.1f} and {most:.1f} are required",
        least=NUMBER,
        usual=NUMBER,
        most=NUMBER,
    ),
    Code.FOR_ROPE_SPEED: say("for a rope speed of {speed:g}", speed=QUANTITY),
    Code.ROPES_READ: say(
        "{read:g} of {ropes:g} ropes were read", read=NUMBER, ropes=NUMBER
    ),
}
