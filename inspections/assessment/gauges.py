"""Gauges whose calibration had run out when what stands today was read with them."""

from collections.abc import Iterator
from zoneinfo import ZoneInfo

from inspections.assessment.draft import Draft
from inspections.assessment.known import Known
from inspections.engineering.source import Certainty
from inspections.inputs import Snapshot
from inspections.models import Gauge, Grade, Reading
from inspections.reasons import Code, Term, Topic, because


def findings(known: Known) -> Iterator[Draft]:
    """Yield one finding for each gauge that was overdue at the last visit of a kind.

    The readings are used all the same; the finding says that they may be off.
    """
    snapshot = known.snapshot
    found: dict[int, list[Reading]] = {}
    gauges: dict[int, Gauge] = {}
    for kind in sorted({reading.kind for reading in snapshot.readings}):
        for reading in snapshot.last_visit(kind):
            gauge = reading.gauge
            if gauge is not None and _is_overdue(gauge, reading, snapshot):
                gauges[gauge.pk] = gauge
                found.setdefault(gauge.pk, []).append(reading)
    for pk, readings in sorted(found.items()):
        yield _finding(gauges[pk], readings)


def _is_overdue(gauge: Gauge, reading: Reading, snapshot: Snapshot) -> bool:
    due = gauge.calibration_due_on
    if due is None:
        return False
    zone = ZoneInfo(snapshot.machine.building.time_zone)
    return due < reading.taken_at.astimezone(zone).date()


def _finding(gauge: Gauge, readings: list[Reading]) -> Draft:
    due_on = gauge.calibration_due_on
    return Draft(
        topic=Topic.GAUGE_CALIBRATION,
        place=gauge.code,
        grade=Grade.KEEP_AN_EYE_ON,
        rule=Term.CALIBRATED,
        source="common practice, no source",
        how_sure=Certainty.COMMON_PRACTICE,
        reason=because(Code.GAUGE_OVERDUE, count=len(readings), due_on=due_on)
        if due_on
        else None,
        readings=tuple(reading.pk for reading in readings),
    )
