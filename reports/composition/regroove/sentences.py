"""Words that a regroove order carries, marked for translation.

Drawn up in English; a test compares these with what an order says.
"""

from django.utils.translation import gettext_noop

LINES = (
    gettext_noop("seat radius, never smaller"),
    gettext_noop("from a new rope to the slot's bottom, never less"),
    gettext_noop("number of grooves"),
    gettext_noop("nominal diameter of the ropes to be fitted"),
    gettext_noop("run-out of the seats after the cut, at most D/2000"),
    gettext_noop("metal that must stay under every groove bottom, at every angle"),
    gettext_noop("least pitch diameter"),
    gettext_noop("depth of the slot below its mouth"),
    gettext_noop("taper of the slot, each side"),
    gettext_noop("width of the flat bottom"),
    gettext_noop("width of the rim"),
    gettext_noop("hardness as registered"),
    gettext_noop("run-out of the cast underside as read"),
    gettext_noop("material"),
    gettext_noop("make of the rim"),
    gettext_noop("how groove 1 and rim mark A are told"),
)
VALUES = (
    gettext_noop("none found"),
    gettext_noop("not done"),
    gettext_noop("solid cast"),
    gettext_noop("bolted, renewable"),
    gettext_noop("welded"),
)
SOURCES = (
    gettext_noop("the register"),
    gettext_noop("tolerance common practice, no source"),
    gettext_noop("derived: 2 r sin(β/2)"),
    gettext_noop("derived from the deepest seat"),
    gettext_noop("equality GB/T 24478-2009 (from memory)"),
    gettext_noop("GB/T 24478-2009 (from memory)"),
    gettext_noop("the maker's, as registered"),
    gettext_noop("readings"),
    gettext_noop("geometry"),
    gettext_noop("common practice, no source"),
    gettext_noop("our rule"),
)
STEPS = (
    gettext_noop("crack check of rim, web and hub before any cut"),
    gettext_noop(
        "run-out of the axle seat and of the rim as clamped, before the first cut"
    ),
    gettext_noop(
        "rim lands and rope keepers: turn the lands or set the keepers so that the gap "
        "to the ropes is as before; the ropes lie deeper after the cut"
    ),
    gettext_noop(
        "pitch diameters of all grooves over a ball or rod: equal within 0.10 mm"
    ),
    gettext_noop("run-out of every seat: at most D/2000"),
    gettext_noop("hardness at four places round every groove: spread at most 15 HB"),
    gettext_noop("form by groove gauge in every groove"),
    gettext_noop("a traction test before the machine runs again"),
    gettext_noop(
        "rim metal under every groove at four angles, and a second crack check"
    ),
    gettext_noop(
        "stamp of the new pitch diameter on the sheave; it goes into the register"
    ),
)
