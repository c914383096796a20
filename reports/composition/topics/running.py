"""Topics of the machine in service, of its checks and of its register."""

from collections.abc import Mapping

from django.utils.translation import gettext_noop

from inspections.reasons import Topic
from reports.composition.topics.record import TopicWords

TOPICS: Mapping[Topic, TopicWords] = {
    Topic.CHECK: TopicWords(
        what=gettext_noop("Looked at by eye"),
        meaning="",
        decision=gettext_noop("Out of service until a competent person has decided"),
        remedy=gettext_noop("Look again"),
    ),
    Topic.GAUGE_CALIBRATION: TopicWords(
        what=gettext_noop("Calibration of a gauge"),
        meaning=gettext_noop(
            "What was read with a gauge whose calibration had run out may be off."
        ),
        decision=gettext_noop("Have the gauge calibrated and read again"),
        remedy=gettext_noop("Read again with a calibrated gauge"),
    ),
    Topic.COUNTERWEIGHT_RUNBY: TopicWords(
        what=gettext_noop("Counterweight run-by"),
        meaning=gettext_noop(
            "Ropes stretch; when the run-by is used up the counterweight lands "
            "before the car is at the top."
        ),
        decision=gettext_noop("Shorten the ropes"),
        remedy=gettext_noop("Measure with the car at the top landing"),
    ),
    Topic.CAR_RUNBY: TopicWords(
        what=gettext_noop("Car run-by"),
        meaning=gettext_noop("The way left before the car touches its buffer."),
        decision=gettext_noop("Have the rope length corrected"),
        remedy=gettext_noop("Measure with the car at the bottom landing"),
    ),
    Topic.ROPE_SLIP: TopicWords(
        what=gettext_noop("Slip of the ropes"),
        meaning=gettext_noop(
            "Ropes seen to slip on the sheave outrank any calculation."
        ),
        decision=gettext_noop("Out of service until a competent person has decided"),
        remedy=gettext_noop("A slip test by two competent persons"),
    ),
    Topic.CREEP: TopicWords(
        what=gettext_noop("Creep of the ropes over the sheave"),
        meaning=gettext_noop(
            "Ropes creep a little on every trip; much of it, or more on one rope, "
            "tells of slip or of unequal grooves."
        ),
        decision=gettext_noop("Have slip tested by competent persons"),
        remedy=gettext_noop("Chalk marks on ropes and frame, read after whole trips"),
    ),
    Topic.BRAKE: TopicWords(
        what=gettext_noop("Brake"),
        meaning=gettext_noop("A brake that slides does not hold the car."),
        decision=gettext_noop("Out of service until a competent person has decided"),
        remedy=gettext_noop("A brake test by competent persons"),
    ),
    Topic.LEVELLING: TopicWords(
        what=gettext_noop("Levelling of the car"),
        meaning=gettext_noop(
            "Bad levelling can tell of slip or of a brake that lets go late."
        ),
        decision=gettext_noop("Have slip, brake and controller looked at"),
        remedy=gettext_noop("Read the step between car and landing"),
    ),
    Topic.CAR_SPEED: TopicWords(
        what=gettext_noop("Car speed"),
        meaning=gettext_noop(
            "A smaller sheave makes the car slower against its governor."
        ),
        decision=gettext_noop("Have speed and governor checked"),
        remedy=gettext_noop("A tachometer"),
    ),
    Topic.REGISTER: TopicWords(
        what=gettext_noop("Register against readings"),
        meaning=gettext_noop(
            "The register says one thing and a reading another; the worse of both "
            "is used until that is settled."
        ),
        decision=gettext_noop("Correct the register"),
        remedy=gettext_noop("Check the plate, the drawing or the part itself"),
    ),
    Topic.SET_GAPS: TopicWords(
        what=gettext_noop("Limits the criteria set does not give"),
        meaning="",
        decision="",
        remedy=gettext_noop(
            "The contractor can enter values from its own copy of the standard"
        ),
    ),
}
