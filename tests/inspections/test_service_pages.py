"""Pages of the service: quotas, failed work, hand-overs, mailed links, factors."""

import re
from types import SimpleNamespace

import pytest
from celery import current_app
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from fleet.models import Building, Job, Machine, SecondFactor
from fleet.platform.access import sessions
from fleet.platform.choices import JobState
from inspections.models import HandOver
from inspections.pages import service
from tests import browsers, callers, factories

pytestmark = pytest.mark.django_db

TICKS = {
    "fleet.tasks.ring_each",
    "fleet.tasks.ring_in_turns",
    "fleet.tasks.sweep",
    "fleet.tasks.nightly_tick",
    "reports.tasks.plan_tick",
}


@pytest.fixture
def world(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    return SimpleNamespace(
        north=factories.cast(code="north"), south=factories.cast(code="south")
    )


def office(cast):
    return browsers.confirmed(cast.memberships["OFFICE"].person)


def get(browser, address):
    factories.forget_tenant()
    return browser.get(address)


def send(browser, address, **typed):
    """Fill in the form that stands there and send it."""
    page = get(browser, address).content.decode()
    hidden = dict(
        re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', page)
    )
    factories.forget_tenant()
    return browser.post(address, hidden | typed)


def failed(cast, subject):
    return Job.objects.create(
        kind="inspections.tasks.assess",
        contractor_id=cast.contractor.pk,
        subject_id=subject,
        key=str(subject),
        due_at=timezone.now(),
        state=JobState.FAILED,
        problem="OperationalError",
        finished_at=timezone.now(),
    )


def free_machine(cast):
    """Return a machine that is here and is offered to nobody."""
    callers.confine(cast)
    return Machine.objects.filter(retired_on=None).first()


def states(*rows):
    return [Job.objects.get(pk=row.pk).state for row in rows]


def test_quotas_stand_beside_what_is_used(world):
    world.north.contractor.most_machines = 7
    world.north.contractor.save()

    page = get(office(world.north), "/service").content.decode()

    callers.confine(world.north)
    there = Machine.objects.filter(retired_on=None).count()
    row = re.search(r"Machines in service</td>(.*?)</tr>", page, re.S)[1]
    assert re.findall(r"\d+", re.sub("<[^>]*>", "", row)) == [str(there), "7"]
    assert "no limit" in page


def test_own_failed_work_is_tried_again_once_and_nobody_elses(world):
    first, second = failed(world.north, 1), failed(world.north, 2)
    foreign = failed(world.south, 3)
    browser = office(world.north)

    page = get(browser, "/service").content.decode()
    assert page.count("judge a machine</td>") == 2
    for job in (first, foreign, first):
        factories.forget_tenant()
        browser.post("/service/retry", {"job": job.pk})

    assert states(first, second, foreign) == ["QUEUED", "FAILED", "FAILED"]
    factories.forget_tenant()
    browser.post("/service/retry")
    assert states(first, second, foreign) == ["QUEUED", "QUEUED", "FAILED"]
    assert Job.objects.filter(kind=first.kind, key="1").count() == 1


def test_every_kind_of_work_has_its_words():
    current_app.loader.import_default_modules()
    own = ("fleet.", "inspections.", "reports.")
    kinds = {name for name in current_app.tasks if name.startswith(own)}

    assert kinds - TICKS == set(service.WORK)


def test_a_machine_goes_from_one_house_to_the_other_in_pages(world):
    giver, taker = office(world.north), office(world.south)
    machine = free_machine(world.north)

    offered = send(
        giver,
        reverse("offer-machine", args=(machine.pk,)),
        house="South Lifts",
        word_by="Mill Trust",
        word_on="2026-05-01",
        words="letter of 1 May",
    )
    assert offered.status_code == 302, offered.content.decode()
    callers.confine(world.north)
    row = HandOver.objects.filter(machine=machine).latest("pk")
    at = reverse("close-hand-over", args=(row.pk,))
    early = send(giver, at, receipt="0000-0000-0000")
    file = get(giver, reverse("hand-over-file", args=(row.pk,)))
    content = b"".join(file.streaming_content)
    callers.confine(world.south)
    building = Building.objects.first()
    taken = [
        send(
            taker,
            "/hand-overs/take",
            file=SimpleUploadedFile("a.zip", content),
            building=str(building.pk),
            code="FROM-NORTH",
        )
        for _ in range(2)
    ]
    callers.confine(world.south)
    receipt = HandOver.objects.get(number=row.number).receipt
    listed = get(taker, "/hand-overs").content.decode()
    closed = send(giver, at, receipt=receipt)

    # Before the file was taken nobody has a receipt.
    assert f"Receipt for the other contractor: {receipt}" in listed
    assert early.status_code == 400
    assert [answer.status_code for answer in (*taken, closed)] == [302] * 3
    callers.confine(world.south)
    assert Machine.objects.filter(code="FROM-NORTH").count() == 1
    callers.confine(world.north)
    machine.refresh_from_db()
    assert machine.retired_on is not None
    page = get(giver, "/hand-overs").content.decode()
    assert "to South Lifts" in page
    assert f"Give {machine.code} for good" not in page


def test_an_offer_is_taken_back_and_a_spoilt_file_refused_in_words(world):
    browser = office(world.north)
    machine = free_machine(world.north)
    word = {"house": "S", "word_by": "T", "word_on": "2026-05-01", "words": "w"}
    at = reverse("offer-machine", args=(machine.pk,))

    assert send(browser, at, **word).status_code == 302
    again = send(browser, at, **word)
    callers.confine(world.north)
    row = HandOver.objects.filter(machine=machine).latest("pk")
    back = send(browser, reverse("withdraw-hand-over", args=(row.pk,)))
    building = str(machine.building_id)
    spoilt = send(
        browser,
        "/hand-overs/take",
        file=SimpleUploadedFile("a.zip", b"PK no zip"),
        building=building,
    )

    assert (again.status_code, back.status_code, spoilt.status_code) == (400, 302, 400)
    assert "offered to a house already" in again.content.decode()
    callers.confine(world.north)
    row.refresh_from_db()
    assert row.state == "WITHDRAWN"
    gone = get(browser, reverse("hand-over-file", args=(row.pk,)))
    assert gone.status_code == 409
    assert "was withdrawn or is done" in gone.content.decode()


def test_the_file_asks_for_a_fresh_confirmation(world):
    browser = office(world.north)
    session = browser.session
    session[sessions.PASSWORD] = 0
    session.save()

    answer = get(browser, reverse("hand-over-file", args=(1,)))

    assert answer.status_code == 302
    assert answer["Location"].startswith("/confirm?")


def test_the_office_sees_who_has_a_second_factor_and_resets_anothers(world):
    browser = office(world.north)
    tom = world.north.memberships["TECHNICIAN"]
    browsers.set_up_codes(browsers.log_in(tom.person))

    assert "one-time codes" in get(browser, "/people").content.decode()
    done = send(browser, reverse("reset-factor", args=(tom.pk,)))
    own = send(
        browser,
        reverse("reset-factor", args=(world.north.memberships["OFFICE"].pk,)),
    )

    assert (done.status_code, own.status_code) == (302, 400)
    assert not SecondFactor.objects.filter(person=tom.person).exists()


def test_whoever_asks_for_second_factors_has_shown_one(world):
    browser = office(world.north)
    page = get(browser, "/contractor").content.decode()
    assert 'name="report_link_days"' in page

    typed = {"acknowledge_minutes": "30", "report_link_days": "3"}
    refused = send(browser, "/contractor", **typed, office_needs_second_factor="on")
    taken = send(browser, "/contractor", **typed)

    assert refused.status_code == 400
    assert "Show a second factor yourself" in refused.content.decode()
    assert taken.status_code == 302
    world.north.contractor.refresh_from_db()
    assert world.north.contractor.report_link_days == 3
    assert world.north.contractor.office_needs_second_factor is False
