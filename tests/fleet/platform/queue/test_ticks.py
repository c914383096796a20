"""Each kind of tick leaves when it was last performed."""

from datetime import UTC, datetime, timedelta

import pytest
import time_machine

from fleet.models import Tick
from fleet.platform.queue import tasks, ticks
from reports import tasks as reports_tasks

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 6, 1, 9, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("tick", "name"),
    [
        (tasks.sweep, "sweep"),
        (tasks.nightly_tick, "nightly"),
        (reports_tasks.plan_tick, "plans"),
    ],
)
def test_a_tick_is_noted_each_time(tick, name):
    for now in (NOW, NOW + timedelta(seconds=20)):
        with time_machine.travel(now, tick=False):
            tick()

        assert Tick.objects.get().name == name
        assert Tick.objects.get().last_at == now


def test_ticks_of_two_names_do_not_meet():
    ticks.note(name="one", at=NOW)
    ticks.note(name="other", at=NOW + timedelta(seconds=1))

    assert dict(Tick.objects.values_list("name", "last_at")) == {
        "one": NOW,
        "other": NOW + timedelta(seconds=1),
    }
