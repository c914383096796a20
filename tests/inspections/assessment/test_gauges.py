"""What was read with an overdue gauge is used, and said to be doubtful."""

from datetime import date

from inspections.models import Gauge, Grade
from tests.inspections.assessment.snapshots import (
    BEFORE,
    TODAY,
    diameters,
    found,
    on_every_rope,
    one,
    snapshot,
    take,
)

OVERDUE = Gauge(pk=7, code="plate-1", calibration_due_on=date(2026, 5, 3))
IN_TIME = Gauge(pk=8, code="plate-2", calibration_due_on=TODAY)
UNDATED = Gauge(pk=9, code="plate-3")


def test_an_overdue_gauge_is_a_finding_with_its_readings():
    of = snapshot(*diameters(gauge=OVERDUE), take("cwt_runby", 300.0, gauge=IN_TIME))

    draft = one(of, "gauge calibration")

    assert (draft.place, draft.grade) == ("plate-1", Grade.KEEP_AN_EYE_ON)
    assert str(draft.reason).startswith("10 readings were taken with it after")
    assert "2026-05-03" in str(draft.reason)
    assert len(draft.readings) == 10
    # They are used all the same.
    assert found(of, "rope diameter")[0].value is not None


def test_on_its_last_day_and_without_a_day_a_gauge_is_not_overdue():
    of = snapshot(
        *diameters(gauge=IN_TIME), *on_every_rope("lay_length", 85.0, gauge=UNDATED)
    )

    assert found(of, "gauge calibration") == []


def test_a_kind_read_again_since_with_another_gauge_is_no_longer_said():
    late = Gauge(pk=7, code="plate-1", calibration_due_on=date(2024, 1, 1))
    of = snapshot(*diameters(on=BEFORE, gauge=late), *diameters(gauge=IN_TIME))

    assert found(of, "gauge calibration") == []
