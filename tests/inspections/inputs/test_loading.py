"""Machines out of the database: what ran when, each row once."""

from datetime import UTC, date, datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.models import Groove, Rope, RopeInGroove, RopeSet
from inspections import inputs
from tests import factories
from tests.inspections.assessment.visits import NOW, send, worn

pytestmark = pytest.mark.django_db


@pytest.fixture
def north(monkeypatch):
    monkeypatch.setattr("celery.current_app.send_task", lambda *_, **__: None)
    return factories.cast()


def loaded(cast, at=NOW):
    machine = factories.machine(cast.scope())
    return inputs.load(scope=cast.scope(), machine_ids=[machine.pk], as_of=at)[0]


def test_everything_is_there_without_asking_again(north):
    send(north, *worn("2.0"))
    of = loaded(north)

    with CaptureQueriesContext(connection) as caught:
        for reading in of.readings:
            assert reading.visit.pk == reading.visit_id
            assert reading.gauge is None
            assert reading.groove is None or reading.groove.number
            assert reading.rope is None or reading.rope.rope_set.nominal_diameter_mm
        for seat in of.seats:
            assert seat.rope.rope_set.fitted_on
            assert seat.groove.number
        assert of.machine.building.criteria_set == "EN_81_20"

    assert len(caught) == 0


def test_readings_after_the_day_are_not_seen(north):
    send(north, *worn("2.0"))

    assert loaded(north).readings
    assert not loaded(north, at=datetime(2026, 5, 1, tzinfo=UTC)).readings


def test_old_reading_keeps_the_rope_that_ran_then(north):
    send(north, *worn("2.0"))
    machine = factories.machine(north.scope())
    old = machine.rope_sets.get()
    RopeSet.objects.filter(pk=old.pk).update(retired_on=date(2026, 5, 20))
    own = {"contractor": north.contractor}
    fresh = RopeSet.objects.create(
        **own,
        machine=machine,
        sheave=old.sheave,
        fitted_on=date(2026, 5, 20),
        ropes_count=5,
        nominal_diameter_mm=13.0,
    )
    for groove in Groove.objects.filter(sheave=old.sheave):
        rope = Rope.objects.create(**own, rope_set=fresh, number=groove.number)
        RopeInGroove.objects.create(**own, rope=rope, groove=groove)

    of = loaded(north)

    groove = of.grooves[0]
    before = of.rope_in(groove=groove, on=date(2026, 5, 4))
    after = of.rope_in(groove=groove, on=date(2026, 5, 25))
    assert of.rope_set == fresh
    assert {rope.rope_set_id for rope in of.ropes} == {fresh.pk}
    assert before.rope_set_id == old.pk
    assert after.rope_set_id == fresh.pk


def test_machine_without_anything_fitted_that_day_is_loaded_as_such(north):
    of = loaded(north, at=datetime(2019, 1, 1, tzinfo=UTC))

    assert of.sheave is None
    assert of.rope_set is None
    assert of.grooves == ()
