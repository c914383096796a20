"""A change of the register has the machines assessed that it touches."""

import pytest
from django.test import Client

from fleet.models import Building, Groove, Job, Machine, Owner, RopeSet, SheaveGeometry
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def north():
    cast = factories.cast()
    cast.scope()
    return cast


def change(cast, resource, row, **fields):
    address = f"/api/v1/{resource}/{row.pk}"
    headers = cast.headers("OFFICE")
    tag = Client().get(address, headers=headers)["ETag"]
    answer = Client().patch(
        address,
        fields,
        content_type="application/json",
        headers=headers | {"If-Match": tag},
    )
    assert answer.status_code == 200, answer.content


@pytest.mark.parametrize(
    ("model", "resource", "fields"),
    [
        (Machine, "machines", {"car_mass_kg": 1250.0}),
        (SheaveGeometry, "sheave-geometries", {"seat_radius_mm": 6.6}),
        (Groove, "grooves", {"axial_mm": 20.0}),
        (RopeSet, "rope-sets", {"mass_kg_m": 0.58}),
        (Building, "buildings", {"criteria_set": "EN_81_1_1998"}),
    ],
)
def test_change_queues_the_machine(north, model, resource, fields):
    row = model.objects.within(north.scope()).order_by("pk").first()

    change(north, resource, row, **fields)

    jobs = list(Job.objects.filter(kind="inspections.tasks.assess"))
    assert [job.subject_id for job in jobs] == [factories.machine(north.scope()).pk]


def test_change_of_an_owner_queues_nothing(north):
    row = Owner.objects.within(north.scope()).order_by("pk").first()

    change(north, "owners", row, name="Mill Estate and Sons")

    assert not Job.objects.exists()
