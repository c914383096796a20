"""What an order of a cut says."""

from collections.abc import Mapping

from inspections.reasons.catalogue.sentence import ITEMS, QUANTITY, Sentence, say
from inspections.reasons.codes import Code

CUTS: Mapping[Code, Sentence] = {
    Code.ORDER_LACKS: say("missing: {items:;}", items=ITEMS),
    Code.TRIED_BEYOND: say(
        "as tried beyond a limit, or not known to be within: {matters:;}",
        matters=ITEMS,
    ),
    Code.LANDS_KEEP_GAP: say(
        "rim lands and rope keepers: turn the lands or set the keepers so that the "
        "gap to the ropes is as before; the ropes lie deeper after the cut"
    ),
    Code.CRACKS_BEFORE_CUT: say("crack check of rim, web and hub before any cut"),
    Code.RUNOUT_BEFORE_CUT: say(
        "run-out of the axle seat and of the rim as clamped, before the first cut"
    ),
    Code.DIAMETERS_EQUAL: say(
        "pitch diameters of all grooves over a ball or rod: equal within {within:.2f}",
        within=QUANTITY,
    ),
    Code.RUNOUT_AFTER_CUT: say("run-out of every seat: at most D/2000"),
    Code.HARDNESS_AFTER_CUT: say(
        "hardness at four places round every groove: spread at most 15 HB"
    ),
    Code.FORM_AFTER_CUT: say("form by groove gauge in every groove"),
    Code.TEST_BEFORE_RUN: say("a traction test before the machine runs again"),
    Code.METAL_AND_CRACKS_AFTER: say(
        "rim metal under every groove at four angles, and a second crack check"
    ),
    Code.STAMP_DIAMETER: say(
        "stamp of the new pitch diameter on the sheave; it goes into the register"
    ),
}
