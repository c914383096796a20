"""The one door for readings, through HTTP."""

import pytest
from django.test import Client

from inspections.models import Reading
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def north() -> factories.Cast:
    return factories.cast()


def send(cast, body, role="TECHNICIAN", **headers):
    return Client().post(
        "/api/v1/uploads",
        body,
        content_type="application/json",
        headers=cast.headers(role) | headers,
    )


def test_readings_in_inches_and_millimetres_are_kept_as_typed_and_canonical(north):
    body = factories.upload(
        {"value": "0.463", "unit": "in"}, {"value": "29/64", "unit": "in", "rope": 2}
    )

    answer = send(north, body)

    assert answer.status_code == 207, answer.content
    assert answer.json()["counts"] == {"stored": 2}
    rows = {r.typed_value: r for r in Reading.objects.all()}
    assert rows["0.463"].value == pytest.approx(11.7602)
    assert rows["29/64"].value == pytest.approx(29 / 64 * 25.4)
    assert rows["29/64"].typed_unit == "in"
