"""What a page asks before it shows or does something."""

import pytest

from fleet.models import Change, Machine, Membership
from fleet.platform.visibility import acts, asking
from inspections.models import DueWork, PlannedWork
from tests import callers, estates

pytestmark = pytest.mark.django_db


@pytest.fixture
def world():
    found = estates.world()
    callers.confine(found.north)
    return found


def test_without_a_scope_nothing_is_seen_and_nothing_may_be_done(world):
    assert not asking.sees(Machine, scope=None)
    assert list(asking.rows(Machine, scope=None)) == []
    assert not any(asking.may(act, scope=None) for act in acts.EVERY)


def test_rows_are_those_of_the_role(world):
    seen = {
        role: sorted(
            row.code for row in asking.rows(Machine, scope=world.north.scope(role))
        )
        for role in ("OFFICE", "TECHNICIAN", "OWNER_READER")
    }

    assert seen == {
        "OFFICE": ["MH-1", "QC-1"],
        "TECHNICIAN": ["MH-1", "QC-1"],
        "OWNER_READER": ["MH-1"],
    }


def test_a_table_that_a_role_does_not_see_has_no_row_for_it(world):
    for role in ("TECHNICIAN", "OWNER_READER"):
        scope = world.north.scope(role)
        assert not asking.sees(Change, scope=scope)
        assert not asking.rows(Change, scope=scope).exists()
    assert asking.rows(Change, scope=world.north.scope()).exists()


def test_people_see_themselves_and_the_office_everyone(world):
    mine = world.north.memberships["TECHNICIAN"]

    assert list(asking.rows(Membership, scope=world.north.scope("TECHNICIAN"))) == [
        mine
    ]
    assert asking.rows(Membership, scope=world.north.scope()).count() == 3


def test_a_row_is_shown_as_far_as_the_role_sees_it(world):
    values = {"kind": "RE_ROPE", "note": "EUR 1", "planned": {"rank": 1, "cost": 2}}

    shown = {
        role: asking.shown(PlannedWork, values, scope=world.north.scope(role))
        for role in ("OFFICE", "TECHNICIAN", "OWNER_READER")
    }

    assert shown["OFFICE"] == values
    assert shown["TECHNICIAN"]["planned"] == {"rank": 1}
    assert shown["TECHNICIAN"]["note"] == "EUR 1"
    assert "note" not in shown["OWNER_READER"]


def test_columns_for_a_table_on_a_page(world):
    names = ["kind", "cost_low", "currency"]

    assert asking.fields(DueWork, names, scope=world.north.scope()) == names
    technician = world.north.scope("TECHNICIAN")
    assert asking.fields(DueWork, names, scope=technician) == ["kind"]


@pytest.mark.parametrize(
    ("act", "role", "good_for", "may"),
    [
        (acts.CHANGE, "OFFICE", None, True),
        (acts.CHANGE, "OFFICE", ["READ"], False),
        (acts.CHANGE, "OFFICE", ["WRITE"], True),
        (acts.CHANGE, "TECHNICIAN", None, False),
        (acts.REPORT, "TECHNICIAN", ["UPLOAD"], True),
        (acts.REPORT, "OFFICE", ["UPLOAD"], False),
        (acts.BRING_IN, "OWNER_READER", None, False),
        (acts.READ, "OWNER_READER", ["READ"], True),
        (acts.READ_AS_STAFF, "OWNER_READER", None, False),
    ],
)
def test_a_key_does_no_more_than_it_is_good_for(world, act, role, good_for, may):
    scope = world.north.scope(role)

    assert asking.may(act, scope=scope, good_for=good_for) == may
