"""What planned work, and parts that are ordered for it, say."""

from collections.abc import Mapping

from inspections.reasons.catalogue.sentence import (
    DAY,
    ITEMS,
    NUMBER,
    QUANTITY,
    TERM,
    TEXT,
    Sentence,
    say,
)
from inspections.reasons.codes import Code

PLANS: Mapping[Code, Sentence] = {
    Code.ROPE_PART: say("rope {diameter:g}", diameter=QUANTITY),
    Code.ROPE_PART_MADE: say(
        "rope {diameter:g}, {details}", diameter=QUANTITY, details=ITEMS
    ),
    Code.ROPE_STRANDS: say("{name}", name=TEXT),
    Code.ROPE_GRADES: say("{grades} MPa", grades=TEXT),
    Code.AGAIN_AFTER_NEW_ROPES: say(
        "tensions are set again {days:g} days after new ropes", days=NUMBER
    ),
    Code.NOT_READ_AS_LEFT: say("not read as left: {items}", items=ITEMS),
    Code.NOT_WORKED_OUT: say(
        "no options are worked out for this machine yet; they follow its next forecast"
    ),
    Code.CHOICE_BLOCKED: say("it is blocked: {items:;}", items=ITEMS),
    Code.CHOICE_IMPOSSIBLE: say("it is not possible: {items:;}", items=ITEMS),
    Code.CHOICE_WATCHES_STOP: say(
        "a finding stops service: watching is no answer; the machine is out of service "
        "until a competent person has decided"
    ),
    Code.CHOICE_POINTLESS: say(
        "as things stand it would not help: {items:;}", items=ITEMS
    ),
    Code.PLAN_CHOSEN: say("chosen: {work}", work=TERM),
    Code.PLAN_CHOSEN_ALTHOUGH: say(
        "chosen: {work}, although: {why}", work=TERM, why=TEXT
    ),
    Code.PLAN_REPORTED_DONE: say("reported done on {day}", day=DAY),
    Code.PLAN_NOT_PROVEN: say("not proven: {items}", items=ITEMS),
    Code.PLAN_STATE: say("state: {state}", state=TERM),
    Code.PLAN_DAY: say("{what}: {day}", what=TERM, day=DAY),
    Code.PLAN_NO_DAY: say("{what}: no day", what=TERM),
    Code.PLAN_OTHER_NOTE: say("another note"),
    Code.PLAN_SPENT: say("what the work took was entered"),
    Code.PLAN_UNCHANGED: say("nothing changed"),
}
