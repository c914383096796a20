"""Sentences that options and orders are made of, marked for translation.

They are worked out and stored in English. What carries a number or a day of its own
stands in `spoken`; a test compares both with what the options say.
"""

from django.utils.translation import gettext_noop

KINDS = (
    gettext_noop("watch"),
    gettext_noop("measure or have it examined first"),
    gettext_noop("equalise the rope tensions"),
    gettext_noop("clean and lubricate the ropes"),
    gettext_noop("shorten the ropes"),
    gettext_noop("re-rope"),
    gettext_noop("regroove in place and re-rope"),
    gettext_noop("regroove in the shop and re-rope"),
    gettext_noop("renew the rim and re-rope"),
    gettext_noop("replace the sheave and re-rope"),
    gettext_noop("measure and set the rope tensions again"),
    gettext_noop("measure what was left after the work"),
)
STATES = (
    gettext_noop("proposed"),
    gettext_noop("planned"),
    gettext_noop("ordered"),
)
WHY_NOT = (
    gettext_noop("nothing that is open or near asks for it"),
    gettext_noop("the ropes are to be renewed, and a new set is set equal"),
    gettext_noop("the ropes are to be renewed, and new ones get their length"),
    gettext_noop("rim and sheave are one piece"),
    gettext_noop("a crack was found"),
    gettext_noop(
        "the cut takes the hardened layer away; the groove counts as unhardened until "
        "it is hardened again or given another form"
    ),
    gettext_noop(
        "new ropes would be pinched in seats worn to a thinner rope; renew them "
        "together with a cut"
    ),
    gettext_noop(
        "grooves of different depth feed the ropes unequally; tensions set equal "
        "drift apart again"
    ),
    gettext_noop("no lubricant while slip or traction is an open finding"),
    gettext_noop("no planning date of a limit belongs to it"),
)
TO_KNOW = (
    gettext_noop(
        "whether the grooves feed the ropes equally: the tensions at bottom and top "
        "after one run without a stop, or the seat depths of all grooves"
    ),
    gettext_noop("the radius of every seat, by groove gauge, against a new rope"),
    gettext_noop("traction as worn, in every case"),
    gettext_noop("whether the rim is bolted on and can be had"),
    gettext_noop("a sheave of another form, calculated anew"),
    gettext_noop("what traction is computed from: masses, wrap and groove as turned"),
    gettext_noop("the thread or rope left at the hitches"),
    gettext_noop("pitch diameters and form of the sheave"),
    gettext_noop("nominal rope diameter"),
    gettext_noop("depth of the seats"),
    gettext_noop("metal of the rim"),
    gettext_noop("the maker's least metal"),
    gettext_noop("the maker's least diameter"),
    gettext_noop("the depth of the deepest seat more closely"),
    gettext_noop("crack check"),
    gettext_noop("hardness"),
    gettext_noop("groove form"),
    gettext_noop("groove angle"),
    gettext_noop("mouth angle"),
    gettext_noop("undercut angle"),
    gettext_noop("pitch of the grooves"),
    gettext_noop("seat radius"),
    gettext_noop("width of the slot"),
    gettext_noop("depth of the slot below the rope"),
    gettext_noop("places of the grooves along the rim"),
)
RATES = (
    gettext_noop("price of an hour"),
    gettext_noop("price of a rope set, or of a metre of rope"),
    gettext_noop("number and length of the ropes"),
    gettext_noop("price of a rim"),
    gettext_noop("price of a sheave"),
    gettext_noop("price of a lubricant"),
    gettext_noop("hoisting"),
    gettext_noop("currency"),
    gettext_noop("an offer for it"),
)
CAUTIONS = (
    gettext_noop(
        "Worked out from readings of one day and from the register; it "
        "is not an inspection or an order and does not authorise "
        "operation. Local code, the authority having jurisdiction and "
        "the licensed inspector decide."
    ),
    gettext_noop(
        "Only by competent persons: isolate and lock out, prove dead, land and secure "
        "the counterweight and hold the car independently before ropes are lifted."
    ),
    gettext_noop(
        "Test the traction after the work, before the machine runs again: a failed "
        "test outranks any calculation."
    ),
    gettext_noop(
        "After the cut set car speed, encoder, slow-down and levelling "
        "again, and check the governor: at the same motor speed the "
        "car runs slower."
    ),
    gettext_noop(
        "In place the grooves run as true as the machine's own bearings: check "
        "run-out before and after, and catch every chip."
    ),
    gettext_noop(
        "Before the sheave is lifted out: how it is fastened on its shaft, and whether "
        "it can be pulled without damage."
    ),
    gettext_noop(
        "A rope that is thinner than its seat holds less until it has bedded in: a "
        "slip test is asked for after it."
    ),
    gettext_noop(
        "Only the lubricant and the amount that the rope's maker names: too much of it "
        "lets the ropes slide when the car is accelerated or stopped."
    ),
    gettext_noop("Check bolts and their holes, and the run-out after fitting."),
    gettext_noop(
        "Check the fastening on the shaft, run-out and hardness after fitting."
    ),
)
OF_THE_BUDGET = (
    gettext_noop(
        "Expected from forecasts, not ordered work: a quarter's P90 is passed in one "
        "of ten such quarters."
    ),
    gettext_noop(
        "Work falls on the day a limit is reached; planned work should come before it."
    ),
    gettext_noop("Quarters' P10 and P90 do not add up; the whole has its own."),
)
