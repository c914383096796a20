"""The contractor's own settings: the office's alone, each change in the audit."""

import pytest

from fleet.models import Change, Contractor
from tests import callers

pytestmark = pytest.mark.django_db

PATH = "/api/v1/contractor"


def changed(cast, body, *, tag=None, role="OFFICE"):
    wanted = tag or callers.call(cast, "GET", PATH)["ETag"]
    return callers.call(cast, "PATCH", PATH, body, role=role, If_Match=wanted)


def minutes(cast):
    callers.confine(cast)
    return Contractor.objects.get(pk=cast.contractor.pk).acknowledge_minutes


def test_the_office_says_after_how_many_minutes_the_next_one_hears(north):
    answer = changed(north, {"acknowledge_minutes": 15})

    assert (answer.status_code, answer.json()["acknowledge_minutes"]) == (200, 15)
    assert minutes(north) == 15
    [row] = Change.objects.filter(fields__has_key="acknowledge_minutes", act="CHANGED")
    assert row.fields["acknowledge_minutes"] == [60, 15]
    assert row.membership_id == north.memberships["OFFICE"].pk


@pytest.mark.parametrize("role", ["TECHNICIAN", "OWNER_READER"])
def test_nobody_else_reads_or_says_it(north, role):
    read = callers.call(north, "GET", PATH, role=role)
    said = changed(north, {"acknowledge_minutes": 15}, tag="*", role=role)

    assert callers.is_problem(read, 403, "permission-denied")
    assert callers.is_problem(said, 403, "permission-denied")
    assert minutes(north) == 60


@pytest.mark.parametrize("body", [{"acknowledge_minutes": 0}, {}, {"name": "x"}])
def test_what_cannot_be_is_refused(north, body):
    assert changed(north, body).status_code == 400
    assert minutes(north) == 60


def test_two_who_change_it_at_once_are_told(north):
    tag = callers.call(north, "GET", PATH)["ETag"]
    changed(north, {"acknowledge_minutes": 15})

    late = changed(north, {"acknowledge_minutes": 90}, tag=tag)

    assert late.status_code == 412
    assert minutes(north) == 15


def test_a_contractor_changes_its_own_alone(north, south):
    changed(north, {"acknowledge_minutes": 15})

    assert minutes(south) == 60
