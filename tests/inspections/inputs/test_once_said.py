"""What the register said and says no more, by the database's own log of changes."""

from datetime import UTC, datetime

import pytest

from fleet.models import Machine, SheaveGeometry
from inspections import inputs
from tests import callers, factories

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 6, 1, 9, 0, tzinfo=UTC)


@pytest.fixture
def north():
    cast = factories.cast(code="north")
    callers.confine(cast)
    return cast


def said(cast):
    (found,) = inputs.load(scope=cast.scope(), machine_ids=[machine().pk], as_of=NOW)
    return found.once_said


def machine():
    return Machine.objects.get(code="MH-1")


def geometry():
    return SheaveGeometry.objects.get(sheave__machine__code="MH-1")


def change(row, **values):
    for name, value in values.items():
        setattr(row, name, value)
    row.save()


def test_nothing_was_said_of_what_was_never_registered(north):
    assert said(north) == {}


def test_the_last_value_before_it_was_taken_away_counts(north):
    for value in (700.0, 1250.0, None):
        change(machine(), car_mass_kg=value)

    assert said(north) == {"car_mass_kg": 1250.0}


def test_what_is_registered_again_is_no_longer_only_said(north):
    for value in (None, 900.0):
        change(machine(), car_mass_kg=value)

    assert said(north) == {}


def test_an_angle_of_the_groove_is_told_by_its_own_row(north):
    before = geometry().groove_angle_deg
    change(geometry(), groove_angle_deg=None)

    assert said(north) == {"groove_angle_deg": before}
