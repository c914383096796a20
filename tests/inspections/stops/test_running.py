"""A trip counter that rises after a stop says that the machine runs all the same."""

import pytest
from django.utils import timezone

from fleet.models import Job
from inspections.models import Stop, StopEvent
from inspections.stops import escalating
from tests import callers
from tests.inspections.stops.conftest import SLIP, stops

pytestmark = pytest.mark.django_db


def trips(number):
    return {
        "kind": "trip_counter",
        "rope": None,
        "value": str(number),
        "unit": "1",
    }


def runs(cast):
    callers.confine(cast)
    return list(StopEvent.objects.filter(kind="RUNNING_ALTHOUGH_STOPPED"))


def test_a_counter_that_rose_after_the_stop_is_noted_and_to_be_heard_anew(north, read):
    read(SLIP, trips(1000))
    Stop.objects.update(acknowledged_at=timezone.now(), acknowledged_by=1)
    Job.objects.filter(kind=escalating.ESCALATE).delete()

    sent = read(trips(1900), at="2026-05-05T10:00:00+01:00")

    [event] = runs(north)
    assert event.readings == [sent["readings"][0]["id"]]
    assert event.words.endswith("was 1000 when the machine was stopped, and is 1900")
    [stop] = stops(north)
    assert stop.acknowledged_at is None
    assert Job.objects.filter(kind=escalating.ESCALATE, subject_id=stop.pk).exists()


def test_trips_from_before_the_stop_are_none_of_a_stopped_machine(north, read):
    read(trips(1000), at="2026-05-01T10:00:00+01:00")
    read(SLIP, at="2026-05-04T10:00:00+01:00")

    read(trips(4000), at="2026-05-05T10:00:00+01:00")

    assert runs(north) == []


@pytest.mark.parametrize(("number", "count"), [(1010, 0), (1011, 1), (12, 0)])
def test_a_handful_of_trips_is_a_look(north, read, number, count):
    read(SLIP, trips(1000))

    read(trips(number), at="2026-05-05T10:00:00+01:00")

    assert len(runs(north)) == count


def test_it_is_noted_again_only_where_it_has_risen_again(north, read):
    read(SLIP, trips(1000))
    for day, number in ((5, 1100), (6, 1105), (7, 1200)):
        read(trips(number), at=f"2026-05-0{day}T10:00:00+01:00")

    first, second = runs(north)
    assert first.words.endswith("1100")
    assert second.words.endswith("1200")


def test_a_machine_that_is_not_stopped_may_run(north, read):
    read(trips(1000))
    read(trips(9000), at="2026-05-05T10:00:00+01:00")

    assert runs(north) == []
