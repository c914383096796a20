"""The owner's page of a building, and what the owner answers there."""

import re
from datetime import date

import pytest
from django.urls import reverse

from inspections.models import DueWork, OwnerAnswer
from inspections.planning import answering
from inspections.templatetags.shown import day
from tests import callers
from tests.inspections.test_pages import browser, machine_of, open_stop, text_of
from tests.inspections.test_work_pages import plan, send

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(world):
    callers.confine(world.north)
    DueWork.objects.filter(contractor=world.north.contractor).delete()
    OwnerAnswer.objects.filter(contractor=world.north.contractor).delete()
    return world


def answers(cast):
    callers.confine(cast)
    return list(OwnerAnswer.objects.filter(contractor=cast.contractor).order_by("pk"))


def test_an_owner_answers_by_name_and_the_office_sees_it_at_once(world):
    north = world.north
    owner = north.memberships["OWNER_READER"]
    owner.person.first_name, owner.person.last_name = "Mia", 'S"\u202eol<b>'
    owner.person.save()
    work = plan(north, "MH-1", "REGROOVE_IN_SHOP", date(2030, 5, 1))
    before = (work.state, work.version)
    client = browser(north, "OWNER_READER")
    building = reverse("estate-building", args=(work.machine.building_id,))
    address = reverse("answer", args=(work.machine_id,)) + "?work=REGROOVE_IN_SHOP"
    page = text_of(client.get(address))

    silent = send(client, address, answer="", words="soon")
    taken = send(client, address, answer="AGREE", words="<i>by night")
    office = browser(north, "OFFICE")
    today = text_of(office.get(reverse("today")))
    [row] = answers(north)
    office.post(reverse("see-answer", args=(row.pk,)))

    assert "It is no order" in page
    assert "What it may cost stands in the next report." in page
    assert silent.status_code == 400
    assert "soon" in text_of(silent)
    assert taken["Location"] == building
    assert (row.answer, row.membership_id) == ("AGREE", owner.pk)
    assert row.asked["due_before_on"] == "2030-05-01"
    assert "Owners have answered (1)" in today
    assert "agrees" in today
    assert "<bdi>&lt;i&gt;by night</bdi>" in today
    assert "ol&lt;b&gt;</bdi>" in today
    assert "Owners have answered" not in text_of(office.get(reverse("today")))
    assert "seen by the contractor" in text_of(client.get(building))
    work.refresh_from_db()
    assert (work.state, work.version) == before


def test_only_the_owners_own_reader_answers_and_only_what_is_to_be_decided(world):
    north = world.north
    own = plan(north, "MH-1", "REGROOVE_IN_SHOP", date(2030, 5, 1))
    others = plan(north, "QC-1", "REGROOVE_IN_SHOP", date(2030, 5, 1))
    body = {"machine": own.machine_id, "kind": "REGROOVE_IN_SHOP", "answer": "CALL_ME"}
    at = "/api/v1/owner-answers"

    reader, office = (browser(north, role) for role in ("OWNER_READER", "OFFICE"))

    def ask(client, **changes):
        return client.post(at, body | changes, content_type="application/json")

    made = ask(reader)
    nothing = ask(reader, kind="SHORTEN")
    foreign = ask(reader, machine=others.machine_id)
    refused = ask(office)
    by_key = callers.call(north, "POST", at, body, role="OWNER_READER")
    own_page, other_page = (
        browser(north, "OWNER_READER").get(reverse("answer", args=(w.machine_id,)))
        for w in (own, others)
    )

    assert made.status_code == 201, made.content
    assert made.json()["seen_at"] is None
    assert "seen_by" not in made.json()
    assert callers.is_problem(nothing, 409, "nothing-to-decide")
    assert callers.is_problem(foreign, 404, "not-found")
    assert callers.is_problem(by_key, 403, "permission-denied")
    assert callers.is_problem(refused, 403, "permission-denied")
    assert (own_page.status_code, other_page.status_code) == (200, 404)
    for role in ("OFFICE", "TECHNICIAN"):
        page = browser(north, role).get(reverse("answer", args=(own.machine_id,)))
        assert page.status_code == 403
    assert len(answers(north)) == 1


def test_what_is_ordered_is_decided_and_a_stop_is_no_matter_of_the_owner(world):
    north = world.north
    plan(north, "MH-1", "REGROOVE_IN_SHOP", date(2030, 5, 1), state="ORDERED")
    machine = machine_of(north, "MH-1")

    left = answering.to_decide(scope=north.scope(), machine_ids=[machine.pk])

    kinds = [line.kind for line in left]
    assert "RE_ROPE" in kinds
    assert "REGROOVE_IN_SHOP" not in kinds
    assert "WATCH" not in kinds


def test_the_owners_page_says_what_is_known_and_what_is_not(world):
    north = world.north
    machine = machine_of(north, "MH-1")
    open_stop(north, machine)
    client = browser(north, "OWNER_READER")
    address = reverse("estate-building", args=(machine.building_id,))

    page = text_of(client.get(address))
    elsewhere = machine_of(north, "QC-1").building_id
    foreign = client.get(reverse("estate-building", args=(elsewhere,)))

    assert "Taken out of service" in page
    assert (
        "In use as far as the contractor has told"
        not in page.partition("MH-1")[2][:400]
    )
    assert "EUR" not in page
    assert "An answer is no order" in page
    assert "isolate and lock out" in page
    assert foreign.status_code == 404


def test_the_buildings_show_each_lift_with_the_stopped_ones_first(world):
    north = world.north
    stopped = machine_of(north, "QC-1")
    stop = open_stop(north, stopped)
    owner = stopped.building.owner
    owner.responsible_person, owner.telephone = "Orla Fennimoor", "+44 1632 960241"
    owner.save()
    client = browser(north, "OFFICE")

    page = text_of(client.get(reverse("estate")))
    today = text_of(client.get(reverse("today")))

    lift = reverse("machine", args=(stopped.pk,))
    lifts = re.findall(r'href="(/machines/\d+)"', page)
    assert lifts[0] == lift
    assert len(set(lifts)) > 1
    assert "1 lift is out of service." in page
    assert "Taken out of service" in page
    assert f"since {day(stop.since)}" in page
    assert "In use as far as the contractor has told" in page
    assert "last measured on" in page
    # Whom to call of the owner stands at the stop on Today.
    assert "Orla Fennimoor" in today
    assert 'href="tel:+441632960241"' in today
    foreign = text_of(browser(world.south, "OFFICE").get(reverse("estate")))
    assert f'href="{lift}"' not in foreign
