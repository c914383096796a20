"""Pages for keys, files taken out, what is retired, and who changed what."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from fleet.models import Change, ExportFile, Machine, Token
from fleet.platform.access import tokens
from fleet.register.exchange import export_jobs
from fleet.register.tasks import write_export
from tests import browsers, callers, factories
from tests.inspections.test_setting_up import filled, text

pytestmark = pytest.mark.django_db


@pytest.fixture
def client(north):
    return confirmed(north)


def confirmed(cast, role="OFFICE"):
    return browsers.confirmed(cast.memberships[role].person)


def send(client, address, **typed):
    return client.post(address, filled(client.get(address)) | typed)


def test_a_key_is_shown_once_and_opens_what_it_is_good_for(north, client):
    member = north.memberships["TECHNICIAN"]
    address = reverse("new-key", args=(member.pk,))
    form = filled(client.get(address))
    typed = form | {"device": "Tom's telephone", "scopes": ["UPLOAD"], "days": "30"}

    made = client.post(address, typed)
    again = client.post(address, typed)

    key = made.content.decode().partition('rows="3">')[2].partition("<")[0]
    token = tokens.find(key=key, at=timezone.now())
    assert (token.device, token.scopes) == ("Tom's telephone", ["UPLOAD"])
    assert token.membership_id == member.pk
    assert token.expires_at <= timezone.now() + timedelta(days=30)
    assert made["Cache-Control"] == "no-store"
    # The same form again makes no other, and shows none.
    assert (again.status_code, again["Location"]) == (302, reverse("people"))
    assert Token.objects.filter(device="Tom's telephone").count() == 1
    assert key not in text(client.get(reverse("people")))


def test_a_key_offers_no_more_than_the_person_may(north, client):
    reader = north.memberships["OWNER_READER"]
    address = reverse("new-key", args=(reader.pk,))

    refused = send(client, address, device="desk", scopes=["WRITE"], days="30")

    assert 'value="WRITE"' not in text(client.get(address))
    assert refused.status_code == 400
    assert not Token.objects.filter(device="desk").exists()


def test_another_key_for_the_same_device_ends_the_old_one_with_its_first_use(
    north, client
):
    now = timezone.now()
    old, _ = tokens.issue_row(
        membership=north.memberships["TECHNICIAN"],
        device="tablet",
        scopes=["READ"],
        issued_at=now,
    )

    made = send(client, reverse("replace-key", args=(old.pk,)))

    key = made.content.decode().partition('rows="3">')[2].partition("<")[0]
    new = tokens.find(key=key, at=timezone.now())
    old.refresh_from_db()
    assert new.replaces_id == old.pk
    assert old.expires_at <= timezone.now() + tokens.OVERLAP


def test_a_file_is_asked_for_made_fetched_and_removed(north, client):
    asked = send(client, reverse("new-export"), name="machines.csv")
    waiting = text(client.get(reverse("exports")))
    callers.confine(north)
    row = ExportFile.objects.within(north.scope()).get()
    write_export(job_id=export_jobs.job_of(row).pk)
    ready = text(client.get(reverse("exports")))
    file = client.get(reverse("fetch-export", args=(row.pk,)))
    content = b"".join(file.streaming_content).decode()
    removed = send(client, reverse("remove-export", args=(row.pk,)))
    gone = client.get(reverse("fetch-export", args=(row.pk,)))

    assert asked["Location"] == removed["Location"] == reverse("exports")
    assert "waits for its turn" in waiting
    assert reverse("fetch-export", args=(row.pk,)) in ready
    callers.confine(north)
    for code in Machine.objects.within(north.scope()).values_list("code", flat=True):
        assert code in content
    assert gone.status_code == 409
    assert "has been removed" in text(gone)


def test_who_has_not_just_confirmed_is_asked_first_and_gets_no_file(north, client):
    send(client, reverse("new-export"), name="machines.csv")
    callers.confine(north)
    row = ExportFile.objects.within(north.scope()).get()
    stale = Client()
    stale.force_login(north.memberships["OFFICE"].person)

    for name in ("new-export", "fetch-export", "remove-export"):
        args = () if name == "new-export" else (row.pk,)
        answer = stale.get(reverse(name, args=args))
        assert answer.status_code == 302
        assert answer["Location"].startswith(reverse("confirm"))


def test_a_technician_is_offered_no_table_of_the_offices(north):
    technician = confirmed(north, "TECHNICIAN")

    shown = text(technician.get(reverse("new-export")))
    answer = send(technician, reverse("new-export"), name="changes.csv")

    assert 'value="machines.csv"' in shown
    assert 'value="changes.csv"' not in shown
    assert answer.status_code == 400


@pytest.mark.parametrize(
    ("name", "model"), [("retire-owner", "owner"), ("retire-building", "building")]
)
def test_a_place_is_retired_and_taken_back_and_never_for_a_day_to_come(
    north, client, name, model
):
    callers.confine(north)
    building = Machine.objects.within(north.scope()).first().building
    row = building if model == "building" else building.owner
    address, today = reverse(name, args=(row.pk,)), timezone.localdate()

    shown = text(client.get(address))
    early = send(client, address, retired_on=str(today + timedelta(days=1)))
    done = send(client, address, retired_on=str(today))
    callers.confine(north)
    row.refresh_from_db()
    retired = row.retired_on
    back = send(client, address, retired_on="")

    assert "in service" in shown
    assert early.status_code == 400
    assert (done.status_code, retired) == (302, today)
    callers.confine(north)
    row.refresh_from_db()
    assert (back.status_code, row.retired_on) == (302, None)


def test_the_changes_name_who_made_them_and_a_rows_own_are_picked_out(north, client):
    callers.confine(north)
    building = Machine.objects.within(north.scope()).first().building
    send(
        client,
        reverse("retire-building", args=(building.pk,)),
        retired_on=str(timezone.localdate()),
    )

    page = text(client.get(reverse("changes")))
    of_row = text(
        client.get(f"{reverse('changes')}?table=fleet_building&row={building.pk}")
    )
    odd = client.get(f"{reverse('changes')}?table=nothing&row=x&before=-1")

    callers.confine(north)
    [last] = Change.objects.within(north.scope()).filter(
        table="fleet_building", row_id=building.pk, act="CHANGED"
    )
    assert "retired_on" in last.fields
    assert "retired_on" in page
    assert of_row.count("retired_on") == 1
    assert odd.status_code == 200
    stranger = confirmed(factories.cast(code="south"))
    assert "retired_on" not in text(stranger.get(reverse("changes")))
