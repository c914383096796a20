"""What somebody who is let in tries, so as to see or do more: none of it may work."""

import io
import re
import uuid
import zipfile
from datetime import timedelta
from types import SimpleNamespace
from urllib.parse import urlencode

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from fleet.models import Building, Machine, Membership, Owner, Person, SentForm
from fleet.platform.access import sessions
from fleet.platform.database import tenancy
from inspections.handover import packing, unpacking
from inspections.models import CalendarFeed
from tests import browsers, callers, factories
from tests.access import people

pytestmark = pytest.mark.django_db

ELSEWHERE = (
    "https://thief.example/",
    "//thief.example/",
    "/\\thief.example/",
    "javascript:alert(1)",
    "https:thief.example",
)


@pytest.fixture
def world(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    return SimpleNamespace(
        north=factories.cast(code="north"), south=factories.cast(code="south")
    )


def office(cast):
    return browsers.confirmed(cast.memberships["OFFICE"].person)


def hidden_of(page):
    found = re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', page)
    return dict(found)


def test_a_session_of_one_house_and_a_key_of_another_see_no_more_than_one(world):
    browser = office(world.north)
    key = {"Authorization": f"Bearer {world.south.keys['TECHNICIAN']}"}

    factories.forget_tenant()
    who = browser.get("/api/v1/me", headers=key)
    factories.forget_tenant()
    changed = browser.post(
        "/api/v1/owners",
        {"name": "Of whom?", "code": "of-whom"},
        content_type="application/json",
        headers=key,
    )
    factories.forget_tenant()
    machines = browser.get("/api/v1/machines", headers=key)

    if who.status_code == 200:
        assert who.json()["person"]["role"] == "TECHNICIAN"
        assert who.json()["contractor"]["code"] == "south"
    assert changed.status_code in (400, 401, 403)
    for cast in (world.north, world.south):
        callers.confine(cast)
        assert not Owner.objects.filter(code="of-whom").exists()
    callers.confine(world.north)
    foreign = set(Machine.objects.values_list("pk", flat=True))
    if machines.status_code == 200:
        assert not foreign & {row["id"] for row in machines.json()["results"]}


@pytest.mark.parametrize("path", ["owners", "machines", "works", "people"])
def test_asking_what_a_door_takes_names_no_rows(world, path):
    for role in ("OFFICE", "TECHNICIAN", "OWNER_READER"):
        answer = callers.call(world.north, "OPTIONS", f"/api/v1/{path}", role=role)

        text = answer.content.decode()
        assert answer.status_code in (200, 403, 405)
        for word in ("mill-house", "MH-1", "Mill", "@"):
            assert word not in text


@pytest.mark.parametrize("where", ELSEWHERE)
def test_no_page_leads_to_another_server(world, where):
    browser = office(world.north)
    person = world.north.memberships["OFFICE"].person
    browsers.log_in(person)
    query = urlencode({"next": where})

    answers = [browser.post("/prefer", {"next": where, "language": "de"})]
    for path, typed in (
        ("/confirm", {"password": browsers.PASSWORD}),
        ("/log-in", {"username": person.username, "password": browsers.PASSWORD}),
    ):
        for extra in ({}, {"next": where}):
            factories.forget_tenant()
            answers.append(browser.post(f"{path}?{query}", typed | extra))

    for answer in answers:
        led_to = answer.get("Location", "/")
        assert led_to.startswith("/")
        assert not led_to.startswith(("//", "/\\"))


def test_the_old_password_is_guessed_as_seldom_as_at_the_log_in(world, settings):
    settings.LOGIN_TRIES = 3
    browser = browsers.log_in(world.north.memberships["TECHNICIAN"].person)
    browser.cookies.pop("ropeseat_device", None)
    new = {"new_password1": "three plain words", "new_password2": "three plain words"}

    found = []
    for guess in ("one", "two", "three", "four", browsers.PASSWORD):
        factories.forget_tenant()
        answer = browser.post("/account/password", new | {"old_password": guess})
        found.append(answer.status_code)

    assert found == [200, 200, 200, 429, 429]
    assert int(answer["Retry-After"]) > 0


def test_a_form_that_a_colleague_left_unsent_is_the_colleagues_own(world):
    cast = world.north
    pages = {}
    for role in ("TECHNICIAN", "OFFICE"):
        reference = uuid.uuid4()
        callers.confine(cast)
        SentForm.objects.create(
            contractor=cast.contractor,
            membership_id=cast.memberships[role].pk,
            reference=reference,
            address="/owners/new",
            typed={"name": ["not to be seen"]},
        )
        factories.forget_tenant()
        answer = office(cast).get(f"/owners/new?unsent={reference.hex}")
        pages[role] = answer.content.decode()

    assert "not to be seen" not in pages["TECHNICIAN"]
    assert "not to be seen" in pages["OFFICE"]


def bomb(name, size):
    """Return a file of a few kilobytes, one part of which unpacks to much more."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(packing.MANIFEST, "{}")
        with archive.open(name, "w") as part:
            for _ in range(size // 1_000_000 + 1):
                part.write(b" " * 1_000_000)
    return packed.getvalue()


@pytest.mark.parametrize(
    ("name", "size"),
    [
        ("readings.jsonl", unpacking.MOST_BYTES_OF_ROWS),
        (packing.photo_name(1), unpacking.MOST_BYTES_OF_A_PHOTO),
    ],
)
def test_a_small_file_that_unpacks_to_much_is_refused_unread(world, name, size):
    content = bomb(name, size)
    callers.confine(world.south)
    building = Building.objects.first()

    browser = office(world.south)
    factories.forget_tenant()
    hidden = hidden_of(browser.get("/hand-overs/take").content.decode())
    factories.forget_tenant()
    answer = browser.post(
        "/hand-overs/take",
        hidden
        | {"file": SimpleUploadedFile("a.zip", content), "building": building.pk},
    )

    assert len(content) < 100_000
    assert answer.status_code == 400
    assert "unpacks to more than is taken" in answer.content.decode()


def test_a_session_that_was_logged_out_of_opens_nothing(world):
    browser = browsers.log_in(world.north.memberships["OFFICE"].person)
    stolen = browser.cookies["sessionid"].value
    factories.forget_tenant()
    assert browser.get("/people").status_code == 200

    factories.forget_tenant()
    browser.post("/log-out")
    browser.cookies["sessionid"] = stolen
    factories.forget_tenant()

    assert browser.get("/people").status_code == 302
    factories.forget_tenant()
    assert browser.get("/api/v1/me").status_code in (401, 403)


def test_a_key_opens_no_page_and_stands_in_no_address(world):
    key = world.north.keys["OFFICE"]
    for headers, query in (
        ({"Authorization": f"Bearer {key}"}, ""),
        ({}, f"?token={key}&access_token={key}"),
    ):
        for path in ("/people", "/service", "/hand-overs", "/reports/links"):
            answer = callers.call(None, "GET", path + query, **headers)
            assert answer.status_code == 302, path
    answer = callers.call(None, "GET", f"/api/v1/machines?token={key}")
    assert answer.status_code == 401


@pytest.mark.parametrize("act", ["DELETE", "PATCH", "PUT"])
def test_no_header_makes_another_act_of_a_request(world, act):
    callers.confine(world.north)
    row = Owner.objects.first()
    at = f"/api/v1/owners/{row.pk}"

    for header in ("X-HTTP-Method-Override", "X-Method-Override", "X-HTTP-Method"):
        callers.call(
            world.north, "POST", at, {"name": "x"}, **{header: act, "If-Match": "*"}
        )

    callers.confine(world.north)
    assert Owner.objects.get(pk=row.pk).name == row.name


def test_what_a_form_does_not_ask_for_is_not_taken(world):
    browser = office(world.north)
    factories.forget_tenant()
    hidden = hidden_of(browser.get("/contractor").content.decode())
    contractor = world.north.contractor
    factories.forget_tenant()

    browser.post(
        "/contractor",
        hidden
        | {"acknowledge_minutes": "30", "report_link_days": "14"}
        | {"most_machines": "9999", "name": "Other", "code": "other", "retired_on": ""},
    )

    was = (contractor.name, contractor.code, contractor.most_machines)
    contractor.refresh_from_db()
    assert (contractor.name, contractor.code, contractor.most_machines) == was


def test_a_mailed_link_is_ended_and_a_hand_over_closed_by_its_own_house_only(world):
    foreign, own = office(world.south), world.north
    callers.confine(own)
    machine = Machine.objects.filter(retired_on=None).first()
    word = {"house": "S", "word_by": "T", "word_on": "2026-05-01", "words": "w"}
    made = callers.call(
        own, "POST", f"/api/v1/machines/{machine.pk}/hand-over", word
    ).json()

    for name in ("hand-over-file", "close-hand-over", "withdraw-hand-over"):
        for pk in (made["id"], 10**15):
            factories.forget_tenant()
            answer = foreign.get(reverse(name, args=(pk,)))
            assert answer.status_code == 404, name
    factories.forget_tenant()
    assert foreign.get(reverse("offer-machine", args=(machine.pk,))).status_code == 404


def test_a_browser_is_told_to_forget_at_log_out(world):
    browser = browsers.log_in(world.north.memberships["OFFICE"].person)
    factories.forget_tenant()

    answer = browser.post("/log-out")

    assert answer["Clear-Site-Data"] == '"cache", "storage"'
    assert "ropeseat_device" in browser.cookies


@pytest.mark.parametrize("path", ["/api/v1/rates", "/people"])
def test_whoever_asks_for_more_than_their_role_may_is_told_of(world, caplog, path):
    browser = browsers.confirmed(world.north.memberships["OWNER_READER"].person)
    factories.forget_tenant()

    with caplog.at_level("INFO", logger="ropeseat.security"):
        assert browser.get(path).status_code == 403

    [told] = [r for r in caplog.records if getattr(r, "event", "") == "act-refused"]
    assert told.details["method"] == "GET"
    assert told.details["door"]


def test_an_open_browser_gives_no_stranger_an_address_that_outlives_it(world):
    browser = browsers.confirmed(world.north.memberships["OFFICE"].person)
    session = browser.session
    session[sessions.PASSWORD] -= timedelta(minutes=16).total_seconds()
    session.save()
    page = reverse("new-feed")

    asked = browsers.post(browser, "/api/v1/calendar-feeds", {"name": "a friend"})
    factories.forget_tenant()
    sent = browser.post(page, {"name": "a friend"})
    shown = browsers.get(browser, page)

    assert callers.is_problem(asked, 403, "confirm-again")
    for answer in (sent, shown):
        assert answer.status_code == 302
        assert answer["Location"].startswith("/confirm?")
    callers.confine(world.north)
    assert not CalendarFeed.objects.filter(name="a friend").exists()


def test_no_office_learns_that_one_of_its_people_works_for_another(world, settings):
    settings.PUBLIC_URL = "https://lifts.example"
    ines = {"email": "ines@lifts.example", "role": "TECHNICIAN"}
    for cast in (world.north, world.south):
        made = callers.call(cast, "POST", "/api/v1/people", ines)
        assert made.status_code == 201, made.content
    [second] = Person.objects.filter(username__startswith=f"{ines['email']}/")
    # What she does stands in the log of changes under her name.
    member = second.memberships.get()
    Membership.objects.filter(pk=member.pk).update(joined_at=timezone.now())
    callers.confine(world.south)
    tenancy.act_as(tenancy.Actor(person_id=second.pk, membership_id=member.pk))
    Owner.objects.filter(code="mill").update(name="Mill, renamed")
    browser = office(world.south)

    for path in (
        "/api/v1/people",
        "/api/v1/audit?ordering=-created_at",
        "/api/v1/exports/people.csv",
        "/api/v1/exports/everything.jsonl.zip",
        "/people",
        "/admin/fleet/change/",
    ):
        answer = browsers.get(browser, path)
        content = people.whole(answer)
        if path.endswith(".zip"):
            with zipfile.ZipFile(io.BytesIO(content)) as packed:
                content = b"\n".join(map(packed.read, packed.namelist()))
        assert answer.status_code == 200, path
        assert b"ines@lifts.example" in content, path
        assert b"ines@lifts.example/" not in content, path
        assert b"ines@lifts.example\\/" not in content, path
