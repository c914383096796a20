"""Ids of another contractor within what is sent are as absent as none."""

import json

import pytest

from fleet.models import Building, Membership, Owner
from inspections.models import PlannedWork, Scenario
from tests import callers, factories

pytestmark = pytest.mark.django_db

ABSENT = 999_999
WORK = {"kind": "EQUALISING", "done_on": "2026-05-29", "done_by": "crew 4"}
PERIOD = {"period_start": "2026-01-01", "period_end": "2026-04-01"}
PLAN = {"option": "RE_ROPE", "although": "it was asked for"}
MONTHLY = {"recurrence": "MONTHLY", "day_of_month": 1, "recipients": ["a@x.example"]}

# What is sent by whom: the door with {machine}, the body, the field that names a row.
SENT = {
    "machine of a plan": ("OFFICE", "planned-works", PLAN, "machine", "machine"),
    "scenario of a plan": (
        "OFFICE",
        "planned-works",
        PLAN | {"machine": "{machine}"},
        "scenario",
        Scenario,
    ),
    "plan that was done": (
        "TECHNICIAN",
        "machines/{machine}/works",
        WORK,
        "planned_work",
        PlannedWork,
    ),
    "who did it": (
        "TECHNICIAN",
        "machines/{machine}/works",
        WORK,
        "done_by_member",
        Membership,
    ),
    "building of a report": ("OFFICE", "reports", PERIOD, "building", Building),
    "owner of a report": ("OFFICE", "reports", PERIOD, "owner", Owner),
    "machine of a report": (
        "OFFICE",
        "reports",
        PERIOD | {"kind": "RETURN_TO_SERVICE"},
        "machine",
        "machine",
    ),
    "owner of a plan of reports": ("OFFICE", "report-plans", MONTHLY, "owner", Owner),
    "owner of a calendar": (
        "OFFICE",
        "calendar-feeds",
        {"name": "all"},
        "owner",
        Owner,
    ),
}


def row_of(cast, model):
    callers.confine(cast)
    if model == "machine":
        return factories.machine(cast.scope()).pk
    return model.objects.filter(contractor=cast.contractor).order_by("pk")[0].pk


def said(cast, role, path, body, pk):
    answer = callers.call(cast, "POST", path, body, role=role)
    told = json.dumps(answer.json().get("errors") or answer.json()["detail"])
    return answer.status_code, answer.json()["code"], told.replace(str(pk), "ID")


@pytest.mark.parametrize("what", SENT)
def test_what_another_contractor_has_is_as_absent_as_what_nobody_has(world, what):
    role, door, body, field, model = SENT[what]
    own, foreign = row_of(world.north, "machine"), row_of(world.south, model)
    path = f"/api/v1/{door.format(machine=own)}"
    body = {name: own if v == "{machine}" else v for name, v in body.items()}

    theirs, nobodys = (
        said(world.north, role, path, body | {field: pk}, pk)
        for pk in (foreign, ABSENT)
    )

    assert theirs == nobodys
    # It is that row which is refused, not something beside it.
    assert theirs[0] == 404 or f"/{field}" in theirs[2]
