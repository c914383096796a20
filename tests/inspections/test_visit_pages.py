"""Pages of calendars' addresses, visits and photos, retired machines, and pulleys."""

import re
from datetime import date

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from fleet.models import Pulley
from inspections.models import CalendarFeed, StopEvent, VisitPhoto
from tests import browsers, callers, estates
from tests.inspections.api.test_photos import picture
from tests.inspections.test_pages import browser, machine_of, open_stop
from tests.inspections.test_setting_up import filled, text

pytestmark = pytest.mark.django_db


@pytest.fixture
def north():
    found = estates.world().north
    callers.confine(found)
    return found


def send(client, address, **typed):
    return client.post(address, filled(client.get(address)) | typed)


def test_an_address_is_shown_once_opens_the_calendar_and_ends(north):
    client = browsers.confirmed(north.memberships["OFFICE"].person)
    address = reverse("new-feed")
    typed = filled(client.get(address)) | {"name": "Mill Trust"}

    made, again = (client.post(address, typed) for _ in "12")

    plain, secret = re.findall(r"/api/v1/calendars/[^<\"]+\.ics", made.content.decode())
    assert again.status_code == 302
    callers.confine(north)
    [feed] = CalendarFeed.objects.within(north.scope()).filter(name="Mill Trust")
    assert Client().get(plain).status_code == 401
    assert Client().get(secret).status_code == 200
    listed = text(client.get(reverse("feeds")))
    assert "Mill Trust" in listed
    assert plain not in listed
    assert secret not in listed
    ended = client.post(reverse("end-feed", args=(feed.pk,)))
    assert ended["Location"] == reverse("feeds")
    assert Client().get(secret).status_code == 404


def test_a_photo_is_kept_clean_with_its_caption_and_the_same_one_once(north):
    client, machine = browser(north, "TECHNICIAN"), machine_of(north)
    visit = machine.visits.latest("pk")
    address = reverse("add-photo", args=(visit.pk,))

    def add(content, caption):
        file = SimpleUploadedFile("a.png", content)
        form = filled(client.get(address))
        return client.post(address, form | {"file": file, "caption": caption})

    first = add(picture(kind="PNG"), "groove <3>")
    second = add(picture(kind="PNG"), "the same again")
    broken = add(b"no picture", "broken")

    assert first.status_code == second.status_code == 302
    assert broken.status_code == 400
    callers.confine(north)
    [photo] = VisitPhoto.objects.within(north.scope()).filter(caption="groove <3>")
    assert not VisitPhoto.objects.filter(caption="the same again").exists()
    page = text(client.get(reverse("visit", args=(visit.pk,))))
    assert f"/api/v1/photos/{photo.pk}/file" in page
    assert "groove &lt;3&gt;" in page
    reader = browser(north, "OWNER_READER")
    assert "Add a photo" not in text(reader.get(reverse("visit", args=(visit.pk,))))


def test_a_stopped_machine_is_retired_with_a_warning_and_comes_back(north):
    client, machine = browser(north, "OFFICE"), machine_of(north)
    open_stop(north, machine)
    address = reverse("retire-machine", args=(machine.pk,))

    shown = text(client.get(address))
    send(client, address, retired_on=str(timezone.localdate()))
    callers.confine(north)
    machine.refresh_from_db()
    page = text(client.get(reverse("machine", args=(machine.pk,))))
    listed = text(client.get(reverse("portfolio")))
    send(client, address, retired_on="")

    assert "retiring it makes nothing safe" in shown
    assert machine.retired_on == timezone.localdate()
    assert "No longer looked after since" in page
    assert f'{reverse("machine", args=(machine.pk,))}"' not in listed
    callers.confine(north)
    machine.refresh_from_db()
    assert machine.retired_on is None


def test_a_pulley_is_corrected_and_taken_out(north):
    client, machine = browser(north, "OFFICE"), machine_of(north)
    pulley = Pulley.objects.create(
        contractor=north.contractor,
        machine=machine,
        number=7,
        kind="DEFLECTOR",
        diameter_mm=400.0,
        fitted_on=date(2020, 1, 15),
    )
    address = reverse("pulley", args=(pulley.pk,))

    early = send(client, address, retired_on="2019-01-01")
    done = send(client, address, diameter_mm_0="420", retired_on="2024-05-01")

    assert early.status_code == 400
    assert done.status_code == 302
    callers.confine(north)
    pulley.refresh_from_db()
    assert (pulley.diameter_mm, pulley.retired_on) == (420.0, date(2024, 5, 1))


def test_a_machine_that_runs_though_stopped_is_to_be_heard_of_anew(north):
    client, machine = browser(north, "TECHNICIAN"), machine_of(north)
    stop = open_stop(north, machine)
    client.post(reverse("acknowledge-stop", args=(stop.pk,)))
    address = reverse("seen-running", args=(stop.pk,))

    noted = send(client, address, words="moving at 7, seen by the porter")

    assert noted["Location"] == reverse("stop", args=(stop.pk,))
    callers.confine(north)
    stop.refresh_from_db()
    assert stop.acknowledged_at is None
    assert (
        StopEvent.objects.filter(stop=stop, kind="RUNNING_ALTHOUGH_STOPPED").count()
        == 1
    )
