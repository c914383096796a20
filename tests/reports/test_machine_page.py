"""The machine's page whole: one line of time, and constant queries."""

from datetime import UTC, date, datetime

import pytest
from django.test import Client

from fleet.models import Work
from inspections import history
from inspections.models import Stop, Visit
from tests import callers, estates, factories

pytestmark = pytest.mark.django_db


def machine_of(cast):
    callers.confine(cast)
    return factories.machine(cast.scope(), "MH-1")


def office(cast):
    browser = Client()
    browser.force_login(cast.memberships["OFFICE"].person)
    return browser


def test_what_happened_stands_on_one_line_of_time_the_latest_first(world):
    machine = machine_of(world.north)
    Stop.objects.filter(machine=machine).update(
        since=datetime(2026, 7, 1, tzinfo=UTC),
        released_at=datetime(2026, 7, 9, tzinfo=UTC),
    )

    found = history.of_machine(scope=world.north.scope(), machine=machine)

    assert [event.at for event in found] == sorted(
        (event.at for event in found), reverse=True
    )
    kinds = [event.kind for event in found]
    assert kinds[:2] == ["RELEASED", "STOPPED"]
    assert set(kinds) == {"RELEASED", "STOPPED", "STATE", "VISIT", "WORK"}
    # No other contractor's, and no other machine's.
    assert all(event.row.machine_id == machine.pk for event in found)


def test_a_state_is_told_when_it_became_another_and_not_each_night(world):
    machine = machine_of(world.north)
    first = machine.assessments.get()
    for grade in ("IN_ORDER", "PLAN_WORK", "PLAN_WORK", "IN_ORDER"):
        first.pk, first.grade = None, grade
        first.save(force_insert=True)

    found = history.of_machine(scope=world.north.scope(), machine=machine)

    states = [event.row.grade for event in found if event.kind == "STATE"]
    assert sorted(states) == ["IN_ORDER", "IN_ORDER", "PLAN_WORK"]


def test_a_page_takes_as_many_queries_for_much_as_for_little(
    world, django_assert_max_num_queries
):
    cast = world.north
    machine = machine_of(cast)
    browser = office(cast)
    address = f"/machines/{machine.pk}"
    # The first request of a process fills caches of its own.
    assert browser.get(address).status_code == 200
    counted = []
    for round_ in range(2):
        with django_assert_max_num_queries(80) as looked:
            text = browser.get(address).content.decode()
        counted.append(len(looked.captured_queries))
        callers.confine(cast)
        estates.assess(cast, machine, findings=12)
        for number in range(5):
            Visit.objects.create(
                contractor=cast.contractor,
                machine=machine,
                reference=f"more-{round_}-{number}",
                visited_at=datetime(2026, 1, 1 + number, tzinfo=UTC),
                membership_id=cast.memberships["TECHNICIAN"].pk,
            )
            Work.objects.create(
                contractor=cast.contractor,
                machine=machine,
                kind="LUBRICATION",
                done_on=date(2025, 2, 1 + number),
            )

    assert counted[0] == counted[1]
    assert "What happened" in text
    assert "What can be done" in text


def test_an_owners_reader_is_not_told_who_was_told_of_a_stop(world):
    cast = world.north
    machine = machine_of(cast)
    stop = Stop.objects.filter(machine=machine).first()
    Stop.objects.filter(pk=stop.pk).update(
        released_at=None,
        released_by=None,
        release="",
        acknowledged_at=estates.AT,
        acknowledged_by=cast.memberships["OFFICE"].pk,
    )
    person = cast.memberships["OFFICE"].person
    person.first_name, person.last_name = "Ada", "Kowalska"
    person.save()
    reader = Client()
    reader.force_login(cast.memberships["OWNER_READER"].person)

    assert (
        "Ada Kowalska" in office(cast).get(f"/machines/{machine.pk}").content.decode()
    )
    shown = reader.get(f"/machines/{machine.pk}").content.decode()
    assert "OUT OF SERVICE" in shown
    assert "Ada Kowalska" not in shown
