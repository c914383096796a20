"""What is refused outright."""

from collections.abc import Mapping

from inspections.reasons.catalogue.sentence import (
    NUMBER,
    QUANTITY,
    REASON,
    TERM,
    TEXT,
    TEXTS,
    Sentence,
    say,
)
from inspections.reasons.codes import Code

BLOCKS: Mapping[Code, Sentence] = {
    Code.BLOCKED: say("blocked: {why}", why=REASON),
    Code.NOT_A_STEEL_ROPE: say(
        "the car hangs on a {hangs_on}; friction, seat wear and discard are known "
        "here for bare steel ropes only",
        hangs_on=TERM,
    ),
    Code.LINED_GROOVES: say(
        "the drive grooves are lined; their friction and wear are the maker's and are "
        "not computed here"
    ),
    Code.ROPING_ABOVE_2_TO_1: say(
        "roping is {roping:g}:1; tensions are computed for 1:1 and 2:1 only",
        roping=NUMBER,
    ),
    Code.MASSES_MISSING: say(
        "no traction without every mass; missing: {masses}", masses=TEXTS
    ),
    Code.TOO_FEW_ROPES: say(
        "{ropes:g} ropes, {set} asks for {least:g}",
        ropes=NUMBER,
        set=TEXT,
        least=NUMBER,
    ),
    Code.UNDERCUT_TOO_WIDE: say(
        "the effective undercut angle is {angle:.1f} degrees; past 106 the pressure "
        "at the slot edges is outside the method",
        angle=NUMBER,
    ),
    Code.RATIO_AFTER_CUT: say(
        "D/d would be {ratio:.1f} after the cut, below what {set} asks for",
        ratio=NUMBER,
        set=TEXT,
    ),
    Code.HARDENED_LAYER_GONE: say(
        "the hardened layer is worn or cut through; the groove counts as unhardened "
        "until hardened again or given another form"
    ),
    Code.PART_OF_A_SET: say(
        "{renew:g} of {ropes:g} ropes; a set is renewed whole, since old and new "
        "ropes stretch and wear differently",
        renew=NUMBER,
        ropes=NUMBER,
    ),
    Code.MIXED_SET: say(
        "ropes of one set differ in {what}: {values}", what=TERM, values=TEXTS
    ),
    Code.ROPE_THICKER_THAN_SEAT: say(
        "new ropes would be pinched in seats worn to a thinner rope; renew them "
        "together with a cut"
    ),
    Code.UNEVEN_FEED: say(
        "grooves of different depth feed the ropes unequally; tensions set equal "
        "drift apart again"
    ),
    Code.NO_LUBRICANT: say("no lubricant while slip or traction is an open finding"),
    Code.SEAT_BANDS_DIFFER: say(
        "seat bands of {left:g} and {right:g} mm: the rope runs in at an angle, which "
        "lies outside the symmetric groove computed here",
        left=NUMBER,
        right=NUMBER,
    ),
    Code.ROPE_GOT_THICKER: say(
        "a rope got {growth:.2f} thicker without being renewed: it can be corrosion "
        "of the core or an unrecorded renewal",
        growth=QUANTITY,
    ),
    Code.CROWN_ROSE: say(
        "a rope crown rose {rise:.2f}: it can be debris in the slot or an unrecorded "
        "renewal of ropes",
        rise=QUANTITY,
    ),
    Code.CLEARANCE_ABOVE_NEW: say(
        "the clearance below the rope reads {read:.2f}, more than the {new:.2f} of the "
        "groove as cut: the reading or the register is wrong, or the groove was cut "
        "again without a record",
        read=QUANTITY,
        new=QUANTITY,
    ),
}
