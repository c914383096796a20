"""Topics of the rope set."""

from collections.abc import Mapping

from django.utils.translation import gettext_noop

from inspections.reasons import Topic
from reports.composition.topics.record import TopicWords

TOPICS: Mapping[Topic, TopicWords] = {
    Topic.BROKEN_WIRES: TopicWords(
        what=gettext_noop("Broken wires"),
        meaning=gettext_noop(
            "Counted on the worst length of the rope that was looked at."
        ),
        decision=gettext_noop("Renew the whole rope set"),
        remedy=gettext_noop(
            "Count broken wires by eye and cloth, ropes stopped and locked out"
        ),
    ),
    Topic.ROPE_DIAMETER: TopicWords(
        what=gettext_noop("Rope diameter"),
        meaning=gettext_noop(
            "A rope that has grown thin has lost metal or its core has settled."
        ),
        decision=gettext_noop("Renew the whole rope set"),
        remedy=gettext_noop("Measure each rope in two directions"),
    ),
    Topic.ROPE_THICKER: TopicWords(
        what=gettext_noop("Rope thicker than before"),
        meaning=gettext_noop(
            "Ropes do not get thicker by themselves: a reading or the register is "
            "wrong, or ropes were changed."
        ),
        decision=gettext_noop("Measure again"),
        remedy=gettext_noop("Measure each rope in two directions"),
    ),
    Topic.ROPE_DISCARD: TopicWords(
        what=gettext_noop("Rope condition"),
        meaning=gettext_noop(
            "The criteria for discarding a rope could not be applied."
        ),
        decision=gettext_noop("Have the ropes looked at"),
        remedy=gettext_noop("Correct the readings named here"),
    ),
    Topic.ROUGE: TopicWords(
        what=gettext_noop("Rouge (the rope's own red-brown powder)"),
        meaning=gettext_noop(
            "Rouge comes from wires rubbing inside the rope and makes other "
            "limits stricter."
        ),
        decision=gettext_noop("Renew the whole rope set"),
        remedy=gettext_noop("Look at the ropes, stopped and locked out"),
    ),
    Topic.OUTER_WIRES: TopicWords(
        what=gettext_noop("Wear of the outer wires"),
        meaning=gettext_noop(
            "Outer wires that are worn flat carry less and break sooner."
        ),
        decision=gettext_noop("Renew the whole rope set"),
        remedy=gettext_noop("Look at the ropes, stopped and locked out"),
    ),
    Topic.CROWN_FLAT_SEALE: TopicWords(
        what=gettext_noop("Crown wires worn flat, Seale rope"),
        meaning=gettext_noop(
            "The length of the flat on a crown wire tells how much of it is worn away."
        ),
        decision=gettext_noop("Renew the whole rope set"),
        remedy=gettext_noop("Measure the flat of a crown wire, ropes locked out"),
    ),
    Topic.CROWN_FLAT_WARRINGTON: TopicWords(
        what=gettext_noop("Crown wires worn flat, Warrington rope"),
        meaning=gettext_noop(
            "The length of the flat on a crown wire tells how much of it is worn away."
        ),
        decision=gettext_noop("Renew the whole rope set"),
        remedy=gettext_noop("Measure the flat of a crown wire, ropes locked out"),
    ),
    Topic.CROWN_FLAT_FILLER: TopicWords(
        what=gettext_noop("Crown wires worn flat, filler rope"),
        meaning=gettext_noop(
            "The length of the flat on a crown wire tells how much of it is worn away."
        ),
        decision=gettext_noop("Renew the whole rope set"),
        remedy=gettext_noop("Measure the flat of a crown wire, ropes locked out"),
    ),
    Topic.LAY_LENGTH: TopicWords(
        what=gettext_noop("Lay length of the rope"),
        meaning=gettext_noop(
            "A lay that has grown longer points to a core that no longer holds the "
            "strands apart."
        ),
        decision=gettext_noop("Have the ropes looked at"),
        remedy=gettext_noop("Measure the lay length over several lays"),
    ),
    Topic.NUMBER_OF_ROPES: TopicWords(
        what=gettext_noop("Number of ropes"),
        meaning=gettext_noop("The criteria set asks for a least number of ropes."),
        decision=gettext_noop("Check the rope set against the criteria set"),
        remedy=gettext_noop("Enter the number of ropes"),
    ),
    Topic.NOMINAL_DIAMETER: TopicWords(
        what=gettext_noop("Nominal rope diameter"),
        meaning=gettext_noop("The criteria set asks for a least diameter of ropes."),
        decision=gettext_noop("Check the rope set against the criteria set"),
        remedy=gettext_noop("Enter the nominal rope diameter"),
    ),
    Topic.SHAPE: TopicWords(
        what=gettext_noop("Shape of the rope"),
        meaning=gettext_noop(
            "A birdcage, a kink or a core that stands out cannot be put right."
        ),
        decision=gettext_noop("Renew the whole rope set"),
        remedy=gettext_noop("Look at the ropes, stopped and locked out"),
    ),
    Topic.WORN_OR_RUSTED: TopicWords(
        what=gettext_noop("Worn or rusted wires"),
        meaning=gettext_noop(
            "Worn or rusted wires break sooner; stricter limits on broken wires hold."
        ),
        decision=gettext_noop("Count broken wires more often"),
        remedy=gettext_noop("Look at the ropes, stopped and locked out"),
    ),
    Topic.TWIST: TopicWords(
        what=gettext_noop("Twist of the rope"),
        meaning=gettext_noop(
            "A rope that was turned when it was fitted opens or closes its lay."
        ),
        decision=gettext_noop("Have the ropes looked at"),
        remedy=gettext_noop("Look at the ropes, stopped and locked out"),
    ),
    Topic.DRYNESS: TopicWords(
        what=gettext_noop("Dry rope"),
        meaning=gettext_noop("Dry wires rub each other to powder inside the rope."),
        decision=gettext_noop("Lubricate by the rope maker's instructions"),
        remedy=gettext_noop("Wipe a finger along the stopped rope"),
    ),
    Topic.WETNESS: TopicWords(
        what=gettext_noop("Rope wet with lubricant"),
        meaning=gettext_noop("Too much lubricant takes traction away."),
        decision=gettext_noop("Wipe the ropes and do a slip test"),
        remedy=gettext_noop("Wipe a finger along the stopped rope"),
    ),
    Topic.DIAMETER_RATIO: TopicWords(
        what=gettext_noop("Sheave diameter over rope diameter"),
        meaning=gettext_noop("Ropes bent over a small sheave tire sooner."),
        decision=gettext_noop("Check the rope diameter against the sheave"),
        remedy=gettext_noop("Enter sheave and rope diameter"),
    ),
    Topic.SAFETY_FACTOR: TopicWords(
        what=gettext_noop("Safety factor of the ropes"),
        meaning=gettext_noop("Breaking force of all ropes over what hangs from them."),
        decision=gettext_noop("Check the rope set against the load"),
        remedy=gettext_noop("Enter rope construction, grade, masses and pulleys"),
    ),
    Topic.ROPE_TENSION: TopicWords(
        what=gettext_noop("How evenly the ropes carry"),
        meaning=gettext_noop(
            "A rope that carries more than the others wears its groove faster."
        ),
        decision=gettext_noop("Equalise the tensions"),
        remedy=gettext_noop("Read the tension of every rope at bottom and top"),
    ),
    Topic.TENSION_SWING: TopicWords(
        what=gettext_noop("Change of the ropes' shares over the travel"),
        meaning=gettext_noop(
            "Shares that change between bottom and top show grooves of unequal "
            "depth; equalising alone does not last then."
        ),
        decision=gettext_noop(
            "Have the grooves measured; plan regrooving with new ropes"
        ),
        remedy=gettext_noop("Read the tension of every rope at bottom and top"),
    ),
    Topic.ROPES_ALONE: TopicWords(
        what=gettext_noop("Renewing ropes without cutting the grooves"),
        meaning=gettext_noop("New ropes in worn seats are pinched and wear fast."),
        decision=gettext_noop("Cut the grooves with new ropes"),
        remedy=gettext_noop("Measure the seats"),
    ),
    Topic.EQUALISING: TopicWords(
        what=gettext_noop("Equalising the tensions"),
        meaning=gettext_noop(
            "Equalising does not last while grooves are of unequal depth."
        ),
        decision=gettext_noop("Have the grooves measured first"),
        remedy=gettext_noop("Read the depths of all grooves"),
    ),
    Topic.LUBRICATING: TopicWords(
        what=gettext_noop("Lubricating the ropes"),
        meaning=gettext_noop(
            "Oil on ropes that slip takes away the traction that is left."
        ),
        decision=gettext_noop("No oil until slip is explained"),
        remedy=gettext_noop("A slip test by two competent persons"),
    ),
}
