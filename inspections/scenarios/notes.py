"""What a scenario supposes and what has to be measured first, as codes with words."""

from enum import StrEnum

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _


class Note(StrEnum):
    """One thing that the answer rests on, or that comes first."""

    MASSES_IN_KG = "MASSES_IN_KG"
    BALANCE_ASKED = "BALANCE_ASKED"
    NEW_ROPES = "NEW_ROPES"
    GROOVES_CUT = "GROOVES_CUT"
    NEW_SHEAVE = "NEW_SHEAVE"
    PULLEYS_SUPPOSED = "PULLEYS_SUPPOSED"
    TEST_AGAIN = "TEST_AGAIN"
    TENSIONS_READ_AGAIN = "TENSIONS_READ_AGAIN"
    SEEN_STAYS = "SEEN_STAYS"
    CUT_NOT_PLANNED = "CUT_NOT_PLANNED"
    NOT_WORKED_OUT = "NOT_WORKED_OUT"
    SPEED_SET_AGAIN = "SPEED_SET_AGAIN"
    BETWEEN_THE_WHEELS = "BETWEEN_THE_WHEELS"
    SOFT_VEE = "SOFT_VEE"
    SOFTER = "SOFTER"
    ROPES_OILED = "ROPES_OILED"
    FASTER = "FASTER"


WORDS: dict[Note, Promise | str] = {
    Note.MASSES_IN_KG: _(
        "The counterweight stays as heavy as it is in kilograms; the balance is worked "
        "out anew."
    ),
    Note.BALANCE_ASKED: _(
        "The balance asked for is that of the machine as changed: weights are added to "
        "the counterweight or taken from it."
    ),
    Note.NEW_ROPES: _(
        "New ropes of their nominal diameter are supposed; new ropes may be thicker."
    ),
    Note.GROOVES_CUT: _(
        "All grooves are supposed to be cut to one depth, the deepest seat and the "
        "clean-up below it, with new ropes."
    ),
    Note.NEW_SHEAVE: _(
        "A new sheave is supposed; its rim, shaft and bearings are not known here."
    ),
    Note.PULLEYS_SUPPOSED: _(
        "Pulleys on car and counterweight of 40 rope diameters are supposed."
    ),
    Note.TEST_AGAIN: _(
        "A traction test of before the change proves nothing after it: test again."
    ),
    Note.TENSIONS_READ_AGAIN: _(
        "Tensions are set equal and have to be read again at the bottom and the top: "
        "grooves of unequal depth pull them apart again."
    ),
    Note.SEEN_STAYS: _(
        "What was seen on the machine and no change here answers stands until somebody "
        "has looked again."
    ),
    Note.CUT_NOT_PLANNED: _(
        "Whether the rim keeps its metal cannot be worked out: what is missing has to "
        "be measured first."
    ),
    Note.NOT_WORKED_OUT: _(
        "Forces and traction cannot be worked out: what is missing has to be entered "
        "first."
    ),
    Note.SPEED_SET_AGAIN: _(
        "The car runs at another speed: governor, encoder, slow-down and levelling are "
        "checked and set again."
    ),
    Note.BETWEEN_THE_WHEELS: _(
        "In double wrap the tension between the wheels is not determined: it lies "
        "between the smaller and the greater one."
    ),
    Note.SOFT_VEE: _(
        "A V that is neither hardened nor has an undercut is not permitted: EN 81-50, "
        "from memory."
    ),
    Note.ROPES_OILED: _(
        "A rope was read as wet: too much lubricant, or oil, is a cause of slip. "
        "Degrease the ropes and test traction again before metal is cut; the "
        "calculation takes the code's friction and does not get better by it."
    ),
    Note.SOFTER: _(
        "Seats are softer against the wires than they are now: how fast they wear then "
        "is not known, and no date is told."
    ),
    Note.FASTER: _(
        "With the motor as it turns the car would run faster than its rated speed; it "
        "is judged at that speed until another is asked for."
    ),
}
