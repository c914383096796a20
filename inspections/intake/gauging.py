"""What is to be said of the gauge that a reading was taken with."""

from dataclasses import replace
from datetime import date

from inspections.intake.judge import Judgement, Warned
from inspections.models import Gauge

OVERDUE = (
    "gauge {gauge} was due for calibration on {day}; have it calibrated, and read "
    "again with another one what matters"
)


def said_too(judgement: Judgement, *, gauge: Gauge | None, day: date) -> Judgement:
    """Return the judgement, with it that the gauge's calibration was overdue.

    The reading is taken all the same: it is better than none, and whoever uses it is
    told. It acts or is held as it would be otherwise.
    """
    if gauge is None or not is_overdue(gauge=gauge, day=day):
        return judgement
    given = {"gauge": gauge.code, "day": str(gauge.calibration_due_on)}
    overdue = Warned(
        code="gauge-overdue", text=OVERDUE.format(**given), given=tuple(given.items())
    )
    return replace(judgement, warnings=(*judgement.warnings, overdue))


def is_overdue(*, gauge: Gauge, day: date) -> bool:
    """Tell whether the gauge's calibration had run out by that day."""
    due = gauge.calibration_due_on
    return due is not None and due < day
