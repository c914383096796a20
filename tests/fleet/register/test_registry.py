"""A whole portfolio at once, or nothing of it."""

import pytest
from django.db import IntegrityError

from fleet.models import Contractor, Machine, Membership, Person, Rope, RopeInGroove
from fleet.register import registry
from tests import callers, factories

pytestmark = pytest.mark.django_db


def test_a_portfolio_is_stored_as_people_think_it(north):
    callers.confine(north)
    machine = factories.machine(north.scope())

    assert Machine.objects.count() == 2
    assert machine.building.owner.code == "mill"
    assert machine.sheaves.get().geometries.get().form == "UNDERCUT"
    assert Rope.objects.filter(rope_set__machine=machine).count() == 5
    seats = RopeInGroove.objects.filter(rope__rope_set__machine=machine)
    assert {(seat.rope.number, seat.groove.number) for seat in seats} == {
        (n, n) for n in range(1, 6)
    }
    reader = Membership.objects.get(contractor=north.contractor, role="OWNER_READER")
    assert reader.owner_id == machine.building.owner_id


def test_only_the_office_is_let_into_the_pages(north):
    assert set(Person.objects.filter(is_staff=True)) == {
        north.memberships["OFFICE"].person
    }


def test_a_portfolio_is_not_stored_twice(north):
    with pytest.raises(registry.AlreadyRegistered, match="'north'"):
        registry.register(portfolio=factories.portfolio(code="north"))


def _unknown_owner(portfolio):
    portfolio["buildings"][1]["owner"] = "nobody"


def _unknown_groove(portfolio):
    machine = portfolio["buildings"][1]["machines"][0]
    machine["sheaves"][0]["rope_sets"][0]["ropes"][4]["grooves"] = [9]


def _unknown_zone(portfolio):
    portfolio["buildings"][1]["time_zone"] = "Mars/Base"


@pytest.mark.parametrize(
    ("spoil", "error", "words"),
    [
        (_unknown_owner, registry.UnknownReference, "no owner 'nobody'"),
        (_unknown_groove, registry.UnknownReference, "no groove 9"),
        (_unknown_zone, registry.UnknownZone, "'Mars/Base' is no IANA"),
    ],
)
def test_a_portfolio_with_a_hole_is_not_stored_at_all(spoil, error, words):
    portfolio = factories.portfolio(code="east")
    spoil(portfolio)

    with pytest.raises(error, match=words):
        registry.register(portfolio=portfolio)

    assert not Contractor.objects.filter(code="east").exists()
    assert not Person.objects.filter(username__startswith="east").exists()


def test_what_the_database_refuses_is_not_stored():
    portfolio = factories.portfolio(code="east")
    portfolio["buildings"][1]["machines"][0]["car_mass_kg"] = -1

    with pytest.raises(IntegrityError, match="machine_positive"):
        registry.register(portfolio=portfolio)
