"""A phone is paired by a code on the office's screen, and ended by the office."""

import hashlib
import io
import re
from datetime import timedelta

import pytest
from django.utils import timezone
from PIL import Image

from fleet.models import Membership, Token
from fleet.platform.access import pairing, phones, tokens
from fleet.platform.database.tenancy import Scope
from fleet.platform.models import PairingCode
from fleet.register.people import changing as people_of_house
from inspections.models import Visit
from tests import browsers, callers, factories
from tests.access import matrix, people

pytestmark = pytest.mark.django_db

PATH = "/api/v1/field/pairing"
OWN = {"Origin": "http://testserver"}


@pytest.fixture
def north():
    return factories.cast(code="north")


def shown(cast, role="TECHNICIAN", at=None):
    member = cast.memberships[role]
    now = at or timezone.now()
    return pairing.show_code(
        membership=member, made_by=member.pk, with_factor=False, at=now
    ).code


def pair(code, **headers):
    body = {"code": code, "device": "Ines' telephone"}
    return callers.call(None, "POST", PATH, body, **(OWN | headers))


def test_a_code_makes_a_phone_that_of_its_person_with_a_cookie_no_script_reads(north):
    answer = pair(shown(north).lower().replace("-", " "))

    assert answer.status_code == 201, answer.content
    told = answer.json()
    member = north.memberships["TECHNICIAN"]
    assert told["person"] == {"id": member.pk, "name": member.person.username}
    assert told["contractor"]["name"] == "North Lifts"
    cookie = answer.cookies["ropeseat_field"]
    assert (cookie["httponly"], cookie["samesite"]) == (True, "Strict")
    assert cookie.value not in answer.content.decode()
    token = Token.objects.get(pk=told["phone"])
    assert (token.membership_id, token.scopes) == (member.pk, ["FIELD"])
    assert answer["Cache-Control"] == "no-store"


def test_over_https_the_cookie_is_for_https_alone(north, settings):
    settings.SESSION_COOKIE_SECURE, settings.COOKIE_PREFIX = True, "__Host-"

    assert pair(shown(north)).cookies["__Host-ropeseat_field"]["secure"]


def test_a_code_is_good_once_for_minutes_and_until_there_is_another(north):
    used, old = shown(north), shown(north, "OFFICE", timezone.now() - pairing.LASTS)
    assert pair(used).status_code == 201
    replaced, last = shown(north), shown(north)

    for code in (used, old, replaced, "AAAA-AAAA"):
        assert callers.is_problem(pair(code), 400, "code-not-valid"), code
    assert pair(last).status_code == 201
    kept = PairingCode.objects.values_list("digest", flat=True)
    assert not any(last.replace("-", "") in digest for digest in kept)


def test_codes_are_tried_a_few_times_only(north):
    code = shown(north)
    for _ in range(pairing.TRIES.most):
        assert pair("AAAA-AAAA").status_code == 400

    answer = pair(code)

    assert callers.is_problem(answer, 429, "too-many-requests")
    assert 0 < int(answer["Retry-After"]) <= 900


def test_another_sites_page_pairs_no_phone(north):
    code = shown(north)

    answer = pair(code, Origin="https://thief.example")

    assert callers.is_problem(answer, 403, "foreign-origin")
    assert pair(code).status_code == 201


def test_whoever_is_let_go_or_only_reads_pairs_none(north):
    code = shown(north)
    with pytest.raises(pairing.NotPaired):
        shown(north, "OWNER_READER")
    people.let_go(north, "TECHNICIAN")

    assert pair(code).status_code in (400, 409)
    north.memberships["TECHNICIAN"].refresh_from_db()
    with pytest.raises(pairing.NotPaired):
        shown(north)


def let_go(cast, role):
    factories.forget_tenant()
    people_of_house.deactivate(
        scope=Scope(contractor_id=cast.contractor.pk),
        membership=cast.memberships[role],
        at=timezone.now(),
    )


def test_a_code_ends_with_who_made_it_for_another(north):
    technician, office = (north.memberships[r] for r in ("TECHNICIAN", "OFFICE"))
    code = pairing.show_code(
        membership=technician,
        made_by=office.pk,
        with_factor=False,
        at=timezone.now(),
    ).code
    Membership.objects.filter(pk=office.pk).update(role="TECHNICIAN")

    assert callers.is_problem(pair(code), 400, "code-not-valid")

    Membership.objects.filter(pk=office.pk).update(role="OFFICE")
    Membership.objects.filter(pk=office.pk).update(deactivated_at=timezone.now())
    assert callers.is_problem(pair(code), 400, "code-not-valid")


def test_a_code_does_not_come_back_with_its_person(north):
    code = shown(north)
    member = north.memberships["TECHNICIAN"]
    let_go(north, "TECHNICIAN")
    people_of_house.reactivate(
        scope=Scope(contractor_id=north.contractor.pk), membership=member
    )

    assert callers.is_problem(pair(code), 400, "code-not-valid")


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"revoked_at": timezone.now()}, "phone-revoked"),
        ({"expires_at": timezone.now()}, "phone-expired"),
        ({"prefix": "another"}, "phone-unknown"),
    ],
)
def test_a_phone_that_is_ended_is_told_so_by_a_word(north, change, code):
    phone = people.by_phone(north)
    door = matrix.MATRIX["POST", "api/v1/uploads"]
    before = Token.objects.filter(scopes=["FIELD"])
    before.update(created_at=timezone.now() - timedelta(days=400))

    before.update(**change)

    answer = phone.ask("POST", "api/v1/uploads", door)
    assert callers.is_problem(answer, 401, code)


def test_a_phones_key_is_not_rotated(north):
    people.by_phone(north)
    token = Token.objects.select_related("membership").get(scopes=["FIELD"])

    with pytest.raises(tokens.PairAnew):
        tokens.rotate(token=token, at=timezone.now())


def test_nobody_is_given_a_phones_key_as_a_token(north):
    body = {"device": "own", "scopes": ["FIELD"]}

    answer = callers.call(north, "POST", "/api/v1/tokens", body)

    assert callers.is_problem(answer, 400, "invalid")


# --- the pages ------------------------------------------------------------------------
def test_the_office_shows_a_code_for_a_technician_and_ends_the_phone(north):
    office = browsers.confirmed(north.memberships["OFFICE"].person)
    member = north.memberships["TECHNICIAN"]
    factories.forget_tenant()

    page = office.post(f"/people/{member.pk}/phone")

    assert page["Cache-Control"] == "no-store"
    [code] = re.findall(r"[A-Z0-9]{4}-[A-Z0-9]{4}", page.content.decode())
    token = Token.objects.get(pk=pair(code).json()["phone"])
    assert token.membership_id == member.pk
    factories.forget_tenant()
    assert office.post(f"/keys/{token.pk}/end").status_code == 302
    token.refresh_from_db()
    assert token.revoked_at is not None


def test_a_code_is_shown_only_to_who_has_just_shown_who_they_are(north, settings):
    browser = browsers.confirmed(north.memberships["TECHNICIAN"].person)
    settings.CONFIRM_MINUTES = 0
    factories.forget_tenant()

    answer = browser.post("/account/phone")

    assert answer["Location"] == "/confirm?next=%2Faccount%2Fphone"
    assert not PairingCode.objects.exists()


def test_the_shell_is_the_same_for_everyone_and_may_have_a_worker(client):
    shell, worker, manifest = (
        client.get(f"/field/{name}")
        for name in ("", "worker.js", "manifest.webmanifest")
    )

    policy = shell["Content-Security-Policy"]
    assert "worker-src 'self'" in policy
    assert "unsafe" not in policy
    assert "connect-src 'self'" in worker["Content-Security-Policy"]
    assert worker["Content-Type"] == "text/javascript"
    assert re.search(rb'VERSION = "[0-9a-f]{16}"', worker.content)
    assert b"/static/field/store.js" in worker.content
    assert manifest.json()["scope"] == "/field/"
    for answer in (shell, worker, manifest):
        assert answer.status_code == 200
        assert answer["Cache-Control"] == "no-cache"
        assert not answer.cookies


# --- what phones say of themselves ----------------------------------------------------
def contact(phone, **said):
    body = {"app": "7", "unsent": 3} | said
    door = matrix.replace(matrix.MATRIX["POST", "api/v1/field/contact"], body=body)
    return phone.ask("POST", "api/v1/field/contact", door)


def test_a_restored_server_asks_for_what_it_has_lost_and_for_nothing_else(north):
    phone = people.by_phone(north)
    kept = factories.upload({"reference": "r-1", "value": "12.8", "unit": "mm"})
    assert callers.upload(north, kept).status_code == 207

    answer = contact(phone, kept=["r-0", "r-1", "r-2"]).json()

    assert answer["wanted"] == ["r-0", "r-2"]
    assert answer["horizon_days"] == 30


def test_a_restored_server_asks_for_photos_that_it_lacks(north, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    callers.upload(north, factories.upload())
    callers.confine(north)
    visit = Visit.objects.get()
    out = io.BytesIO()
    Image.new("RGB", (4, 3), "red").save(out, format="JPEG")
    door = f"/api/v1/visits/{visit.pk}/photos"
    how = {"raw": out.getvalue(), "content_type": "image/jpeg", "role": "TECHNICIAN"}
    assert callers.call(north, "POST", door, **how).status_code == 201
    here = {
        "visit": visit.reference,
        "sha256": hashlib.sha256(out.getvalue()).hexdigest(),
    }
    lost = here | {"sha256": "0" * 64}
    elsewhere = here | {"visit": "v-gone"}

    answer = contact(people.by_phone(north), photos=[lost, here, elsewhere]).json()

    assert answer["wanted_photos"] == [lost, elsewhere]
    assert contact(people.by_phone(north)).json()["wanted_photos"] == []


def test_a_phone_that_lay_idle_for_most_of_its_year_is_let_in(north):
    phone = people.by_phone(north)
    long_ago = timezone.now() - timedelta(days=300)
    Token.objects.filter(scopes=["FIELD"]).update(
        created_at=long_ago, last_used_at=long_ago
    )

    assert contact(phone).status_code == 200


def test_another_houses_reading_is_wanted_too(north):
    south = factories.cast(code="south")
    kept = factories.upload({"reference": "r-1", "value": "12.8", "unit": "mm"})
    assert callers.upload(south, kept).status_code == 207

    assert contact(people.by_phone(north), kept=["r-1"]).json()["wanted"] == ["r-1"]


def test_the_office_sees_when_a_phone_was_seen_what_it_keeps_and_its_clock(north):
    token = Token.objects.get(pk=pair(shown(north)).json()["phone"])
    now = timezone.now()
    hour_slow = now - timedelta(hours=1)
    phones.note(
        phone_id=token.pk,
        said=phones.PhoneWord(app_version="7", unsent=12, clock=hour_slow),
        at=now,
    )
    office = browsers.confirmed(north.memberships["OFFICE"].person)

    page = browsers.get(office, "/phones").content.decode()

    assert "Ines&#x27; telephone" in page
    assert ">12<" in page
    assert "60 minutes off" in page
    factories.forget_tenant()
    assert office.post(f"/keys/{token.pk}/end")["Location"] == "/phones"
    assert "ended on" in browsers.get(office, "/phones").content.decode()


def test_contact_takes_so_many_references_and_no_clock_that_cannot_be(north):
    phone = people.by_phone(north)

    many = contact(phone, kept=[f"r-{n}" for n in range(2001)])
    ancient = contact(phone, clock="1970-01-01T00:00:00Z")

    assert callers.is_problem(many, 400, "invalid")
    assert ancient.status_code == 200


def test_who_lets_somebody_go_is_told_what_is_on_their_phones_alone(north):
    paired = pair(shown(north)).json()
    phones.note(
        phone_id=paired["phone"],
        said=phones.PhoneWord(app_version="1", unsent=7, clock=None),
        at=timezone.now(),
    )
    member = north.memberships["TECHNICIAN"]
    office = browsers.confirmed(north.memberships["OFFICE"].person)

    page = browsers.get(office, f"/people/{member.pk}/let-go").content.decode()
    ended = callers.call(north, "POST", f"/api/v1/people/{member.pk}/deactivate")

    assert "7 readings were not sent when the phone was last seen" in page
    assert (ended.json()["state"], ended.json()["unsent_on_phones"]) == (
        "DEACTIVATED",
        7,
    )
