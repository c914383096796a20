"""Topics of the sheave and its grooves."""

from collections.abc import Mapping

from django.utils.translation import gettext_noop

from inspections.reasons import Topic
from reports.composition.topics.record import TopicWords

TOPICS: Mapping[Topic, TopicWords] = {
    Topic.TRACTION: TopicWords(
        what=gettext_noop("Traction of the ropes on the sheave"),
        meaning=gettext_noop(
            "The ropes are held by friction alone; the margin is what the worn "
            "groove holds beyond what the load asks for."
        ),
        decision=gettext_noop("Regroove with new ropes, or replace the drive sheave"),
        remedy=gettext_noop(
            "Enter what is missing in the register, or measure the grooves"
        ),
    ),
    Topic.TRACTION_STALLED: TopicWords(
        what=gettext_noop("Traction with car or counterweight landed"),
        meaning=gettext_noop(
            "When car or counterweight has landed, the ropes must slip unless "
            "the drive itself stops."
        ),
        decision=gettext_noop("State how the stalled drive is stopped"),
        remedy=gettext_noop("Enter how the stalled drive is stopped"),
    ),
    Topic.TRACTION_OF_CASE: TopicWords(
        what=gettext_noop("Traction in one load case"),
        meaning=gettext_noop(
            "This case does not close by itself, or hangs on what is not known."
        ),
        decision=gettext_noop("Check the register and do a traction test"),
        remedy=gettext_noop("Enter what is missing, or measure it"),
    ),
    Topic.TRACTION_TOGETHER: TopicWords(
        what=gettext_noop("Traction in all load cases together"),
        meaning=gettext_noop(
            "Each load case may close by itself; no plausible values let all of them."
        ),
        decision=gettext_noop("Check the register and do a traction test"),
        remedy=gettext_noop("Enter what is missing, or measure it"),
    ),
    Topic.CROWN_STEP: TopicWords(
        what=gettext_noop("Step between rope crowns"),
        meaning=gettext_noop(
            "Ropes that stand at different heights run on grooves of different depth."
        ),
        decision=gettext_noop("Have the grooves measured"),
        remedy=gettext_noop("Straightedge over the crowns, feeler under it."),
    ),
    Topic.TRACTION_TEST: TopicWords(
        what=gettext_noop("Traction test"),
        meaning=gettext_noop(
            "A test that failed outranks any calculation; one in which the ropes held "
            "loosens nothing."
        ),
        decision=gettext_noop("Out of service until the cause of the slip is known"),
        remedy=gettext_noop("A traction test by two competent persons"),
    ),
    Topic.BOTTOM_CLEARANCE: TopicWords(
        what=gettext_noop("Clearance between rope and groove bottom"),
        meaning=gettext_noop(
            "When the rope touches the bottom of its groove, traction is lost "
            "within a few hundredths of a millimetre of wear."
        ),
        decision=gettext_noop("Regroove with new ropes, or replace the drive sheave"),
        remedy=gettext_noop("Measure the clearance with wire or feeler"),
    ),
    Topic.SEAT_FIT: TopicWords(
        what=gettext_noop("Fit of the rope in its seat"),
        meaning=gettext_noop(
            "A rope thicker than its seat is pinched and wears it; one much thinner "
            "lies on a narrow strip."
        ),
        decision=gettext_noop("Have the seats measured before new ropes are fitted"),
        remedy=gettext_noop("Radius gauges in the open lower arc"),
    ),
    Topic.SEAT_DEPTHS: TopicWords(
        what=gettext_noop("Seat depth differences"),
        meaning=gettext_noop(
            "Ropes on unequal seats travel unequal ways and slip against each other."
        ),
        decision=gettext_noop(
            "Plan to regroove all grooves to one depth, with new ropes"
        ),
        remedy=gettext_noop("Read the same height at every groove"),
    ),
    Topic.PULLEY_GROOVES: TopicWords(
        what=gettext_noop("Grooves of a deflector, pulley or secondary sheave"),
        meaning=gettext_noop(
            "Ropes in grooves of unequal depth are fed unequally there too: they slide "
            "or pull against each other."
        ),
        decision=gettext_noop("Have the pulley turned or renewed with the next ropes"),
        remedy=gettext_noop(
            "Read the depth of every groove of the pulley at one visit, with the "
            "pulley in the register"
        ),
    ),
    Topic.RUNOUT: TopicWords(
        what=gettext_noop("Run-out of the seats"),
        meaning=gettext_noop(
            "A seat that does not run true pulls at its rope with every turn."
        ),
        decision=gettext_noop("Have the grooves measured"),
        remedy=gettext_noop("Dial gauge at every seat over a whole turn"),
    ),
    Topic.AS_LEFT: TopicWords(
        what=gettext_noop("Grooves as they were left"),
        meaning=gettext_noop(
            "Grooves that were cut to unequal diameters feed the ropes unequally."
        ),
        decision=gettext_noop("Have the grooves measured"),
        remedy=gettext_noop("Measure every groove after it is cut"),
    ),
    Topic.PAIR: TopicWords(
        what=gettext_noop("Both grooves of one rope in double wrap"),
        meaning=gettext_noop(
            "A rope that runs through two grooves of unequal depth is strained "
            "between them."
        ),
        decision=gettext_noop(
            "Plan to regroove all grooves to one depth, with new ropes"
        ),
        remedy=gettext_noop("Read both grooves of every rope"),
    ),
    Topic.CROWN_HEIGHT: TopicWords(
        what=gettext_noop("Change of the rope's height in its groove"),
        meaning=gettext_noop(
            "A height that falls tells how the seat sinks, also where no other "
            "reading can be taken."
        ),
        decision=gettext_noop("Measure the grooves"),
        remedy=gettext_noop("Read the crown height at the same marks again"),
    ),
    Topic.PRESSURE: TopicWords(
        what=gettext_noop("Pressure between rope and groove"),
        meaning=gettext_noop("High pressure wears ropes and grooves faster."),
        decision=gettext_noop("Plan for faster wear"),
        remedy=gettext_noop("Enter groove, masses and rope diameter"),
    ),
    Topic.HARDENED: TopicWords(
        what=gettext_noop("Hardened layer of the groove"),
        meaning=gettext_noop(
            "Below a hardened layer the softer metal wears many times faster."
        ),
        decision=gettext_noop("Measure more often; plan the next cut or sheave"),
        remedy=gettext_noop("Enter the depth of the hardened layer"),
    ),
    Topic.WAYS: TopicWords(
        what=gettext_noop("Do the ways of measuring the seat agree?"),
        meaning=gettext_noop(
            "Two ways of measuring the same seat should give the same depth."
        ),
        decision=gettext_noop("Measure again with both gauges"),
        remedy=gettext_noop("Measure with a second gauge"),
    ),
    Topic.RIM_METAL: TopicWords(
        what=gettext_noop("Metal under the grooves"),
        meaning=gettext_noop(
            "The thinnest place round the rim decides, after taper and run-out "
            "of the casting."
        ),
        decision=gettext_noop(
            "No further cut on this rim without the maker's word; plan a new sheave"
        ),
        remedy=gettext_noop(
            "A rim survey: thickness at several places and marks, run-out"
        ),
    ),
    Topic.LEAST_METAL_DATE: TopicWords(
        what=gettext_noop("When the metal under the grooves is used up"),
        meaning=gettext_noop(
            "In a round groove every millimetre of wear is a millimetre of rim."
        ),
        decision=gettext_noop("Plan a new sheave or rim"),
        remedy=gettext_noop("Depth of seat and bottom, read at one visit"),
    ),
    Topic.NEXT_CUT: TopicWords(
        what=gettext_noop("Room for another cut of the grooves"),
        meaning=gettext_noop(
            "A cut goes to the deepest seat plus clean-up in every groove; the "
            "thinnest groove decides whether it fits."
        ),
        decision=gettext_noop("Plan a new sheave or rim instead of regrooving"),
        remedy=gettext_noop("The maker's least metal, a crack check and hardness"),
    ),
    Topic.RIM_HARDNESS: TopicWords(
        what=gettext_noop("Hardness of the rim"),
        meaning=gettext_noop("Soft or patchy iron wears faster."),
        decision=gettext_noop("Plan for faster wear"),
        remedy=gettext_noop("A portable tester on the rim lands"),
    ),
}
