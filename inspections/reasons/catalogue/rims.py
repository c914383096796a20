"""Metal of the rim, and cuts."""

from collections.abc import Mapping

from inspections.reasons.catalogue.sentence import (
    ITEMS,
    NUMBER,
    QUANTITY,
    TERM,
    TEXTS,
    Sentence,
    say,
)
from inspections.reasons.codes import Code

RIMS: Mapping[Code, Sentence] = {
    Code.RUNOUT_NOT_KNOWN: say("the run-out of the underside is not known"),
    Code.TOO_FEW_ON_SIDE: say(
        "too few readings on this side of the web to know the metal here"
    ),
    Code.THICKNESS_ON_SIDE: say(
        "thickness on the side of groove {groove:g}", groove=NUMBER
    ),
    Code.METAL_OR_SEAT_OF_GROOVE: say(
        "metal or seat depth of groove {groove:g}", groove=NUMBER
    ),
    Code.PLACE_OF_GROOVE: say(
        "the place of groove {groove:g} along the rim", groove=NUMBER
    ),
    Code.SEAT_AT_BOTTOM_OF: say(
        "the depth of the seat, read at the visit that reads the bottom of groove "
        "{grooves}",
        grooves=TEXTS,
    ),
    Code.WEB_NOT_KNOWN: say("the place of the web is not known; one taper is assumed"),
    Code.MARKS_NOT_NOTED: say(
        "the place round the rim was not noted for every reading"
    ),
    Code.DRAFT_DOES_NOT_FIT: say("the readings do not fit the stated draft"),
    Code.GROOVE_KEEPS: say(
        "groove {groove:g} keeps {metal:.1f} in the worst case, less than {least:.1f}",
        groove=NUMBER,
        metal=QUANTITY,
        least=QUANTITY,
    ),
    Code.DIAMETER_BELOW_LEAST: say(
        "pitch diameter {diameter:.1f}, the maker's least is {least:.1f}",
        diameter=QUANTITY,
        least=QUANTITY,
    ),
    Code.CRACK_FOUND: say("a crack was found"),
    Code.CUT_TAKES_LAYER: say(
        "the cut takes the hardened layer away; the groove counts as unhardened until "
        "it is hardened again or given another form"
    ),
    Code.CUT_ANSWER: say("{answer}", answer=TERM),
    Code.STILL_MISSING: say("{items}", items=ITEMS),
    Code.NO_LEAST_METAL: say(
        "no minimum from the maker is registered, so the metal is told but not judged"
    ),
    Code.LESS_METAL_IF_TURNED: say(
        "if the lands were turned then, there is less metal"
    ),
    Code.LESS_METAL_OVER_BOLTS: say("metal over them may be less"),
}
