"""Topics of the machine in service, of its checks and of its register."""

from django.utils.translation import gettext_noop

from reports.composition.topics.record import Topic

TOPICS = {
    "check": Topic(
        what=gettext_noop("Looked at by eye"),
        meaning="",
        decision=gettext_noop("Out of service until a competent person has decided"),
        remedy=gettext_noop("Look again"),
    ),
    "gauge calibration": Topic(
        what=gettext_noop("Calibration of a gauge"),
        meaning=gettext_noop(
            "What was read with a gauge whose calibration had run out may be off."
        ),
        decision=gettext_noop("Have the gauge calibrated and read again"),
        remedy=gettext_noop("Read again with a calibrated gauge"),
    ),
    "counterweight run-by": Topic(
        what=gettext_noop("Counterweight run-by"),
        meaning=gettext_noop(
            "Ropes stretch; when the run-by is used up the counterweight lands "
            "before the car is at the top."
        ),
        decision=gettext_noop("Shorten the ropes"),
        remedy=gettext_noop("Measure with the car at the top landing"),
    ),
    "car run-by": Topic(
        what=gettext_noop("Car run-by"),
        meaning=gettext_noop("The way left before the car touches its buffer."),
        decision=gettext_noop("Have the rope length corrected"),
        remedy=gettext_noop("Measure with the car at the bottom landing"),
    ),
    "rope slip": Topic(
        what=gettext_noop("Slip of the ropes"),
        meaning=gettext_noop(
            "Ropes seen to slip on the sheave outrank any calculation."
        ),
        decision=gettext_noop("Out of service until a competent person has decided"),
        remedy=gettext_noop("A slip test by two competent persons"),
    ),
    "creep over the sheave": Topic(
        what=gettext_noop("Creep of the ropes over the sheave"),
        meaning=gettext_noop(
            "Ropes creep a little on every trip; much of it, or more on one rope, "
            "tells of slip or of unequal grooves."
        ),
        decision=gettext_noop("Have slip tested by competent persons"),
        remedy=gettext_noop("Chalk marks on ropes and frame, read after whole trips"),
    ),
    "brake": Topic(
        what=gettext_noop("Brake"),
        meaning=gettext_noop("A brake that slides does not hold the car."),
        decision=gettext_noop("Out of service until a competent person has decided"),
        remedy=gettext_noop("A brake test by competent persons"),
    ),
    "levelling": Topic(
        what=gettext_noop("Levelling of the car"),
        meaning=gettext_noop(
            "Bad levelling can tell of slip or of a brake that lets go late."
        ),
        decision=gettext_noop("Have slip, brake and controller looked at"),
        remedy=gettext_noop("Read the step between car and landing"),
    ),
    "car speed": Topic(
        what=gettext_noop("Car speed"),
        meaning=gettext_noop(
            "A smaller sheave makes the car slower against its governor."
        ),
        decision=gettext_noop("Have speed and governor checked"),
        remedy=gettext_noop("A tachometer"),
    ),
    "register against readings": Topic(
        what=gettext_noop("Register against readings"),
        meaning=gettext_noop(
            "The register says one thing and a reading another; the worse of both "
            "is used until that is settled."
        ),
        decision=gettext_noop("Correct the register"),
        remedy=gettext_noop("Check the plate, the drawing or the part itself"),
    ),
    "carried over": Topic(
        what=gettext_noop("Finding carried over"),
        meaning=gettext_noop(
            "What was found earlier stands until a new reading clears it."
        ),
        decision=gettext_noop("Have it looked at by a competent person"),
        remedy=gettext_noop("Read it again"),
    ),
    "gaps of the criteria set": Topic(
        what=gettext_noop("Limits the criteria set does not give"),
        meaning="",
        decision="",
        remedy=gettext_noop(
            "The contractor can enter values from its own copy of the standard"
        ),
    ),
}
