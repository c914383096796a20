"""Who may end a stop and who hears of one: said by somebody else in the office."""

import pytest

from fleet.models import Change, Membership
from tests import callers

pytestmark = pytest.mark.django_db

MARKED = {"qualification": "rope inspection", "competent_until": "2027-06-01"}


def change(cast, pk, fields, *, role="OFFICE"):
    path = f"/api/v1/people/{pk}"
    return callers.call(cast, "PATCH", path, fields, role=role, If_Match="*")


def member(cast, role):
    return cast.memberships[role].pk


@pytest.mark.parametrize("role", ["TECHNICIAN", "OWNER_READER"])
def test_someone_else_is_marked_competent_and_it_is_in_the_audit(north, role):
    pk = member(north, role)

    answer = change(north, pk, MARKED | {"call_order": 2})

    assert answer.status_code == 200, answer.content
    said = answer.json()
    assert {name: said[name] for name in MARKED} == MARKED
    assert said["call_order"] == 2
    callers.confine(north)
    row = Change.objects.get(table="fleet_membership", row_id=pk, act="CHANGED")
    assert row.fields["qualification"] == ["", "rope inspection"]
    assert row.membership_id == member(north, "OFFICE")


@pytest.mark.parametrize("fields", [MARKED, {"competent_until": "2199-01-01"}])
def test_nobody_marks_themselves(north, fields):
    pk = member(north, "OFFICE")
    Membership.objects.filter(pk=pk).update(
        qualification="rope inspection", competent_until="2026-01-01"
    )

    answer = change(north, pk, fields)

    assert callers.is_problem(answer, 409, "own-membership")
    assert str(Membership.objects.get(pk=pk).competent_until) == "2026-01-01"


@pytest.mark.parametrize("role", ["TECHNICIAN", "OWNER_READER"])
def test_whoever_is_not_of_the_office_marks_nobody(north, role):
    for pk in (member(north, "OFFICE"), member(north, role)):
        answer = change(north, pk, MARKED, role=role)

        assert callers.is_problem(answer, 403, "permission-denied")
        assert Membership.objects.get(pk=pk).qualification == ""


@pytest.mark.parametrize(
    ("fields", "pointer"),
    [
        ({"qualification": "rope inspection"}, "/competent_until"),
        ({"competent_until": "2027-06-01"}, "/qualification"),
    ],
)
def test_a_qualification_has_a_day_and_a_day_its_qualification(north, fields, pointer):
    answer = change(north, member(north, "TECHNICIAN"), fields)

    assert callers.is_problem(answer, 422, "competence-and-day")
    assert pointer in answer.content.decode()


def test_a_mark_is_taken_away_again(north):
    pk = member(north, "TECHNICIAN")
    change(north, pk, MARKED)

    change(north, pk, {"qualification": "", "competent_until": None})

    assert Membership.objects.get(pk=pk).competent_until is None


@pytest.mark.parametrize("order", [0, 100, "1", 1.5])
def test_a_place_on_the_list_is_a_small_number(north, order):
    answer = change(north, member(north, "TECHNICIAN"), {"call_order": order})

    assert answer.status_code == 400


def test_the_place_on_the_list_may_be_ones_own(north):
    pk = member(north, "OFFICE")

    assert change(north, pk, {"call_order": 1}).json()["call_order"] == 1
    assert change(north, pk, {"call_order": None}).json()["call_order"] is None


def test_people_of_another_contractor_are_out_of_reach(north, south):
    answer = change(north, member(south, "TECHNICIAN"), MARKED)

    assert answer.status_code == 404
