"""Tokens by API: shown once, no more than their maker, gone when revoked."""

from datetime import timedelta

import pytest
from django.core import mail
from django.core.mail import EmailMessage
from django.test import Client
from django.utils import timezone

from fleet.models import Job, Person, Token
from fleet.platform.access import token_families, tokens
from fleet.platform.queue import tasks
from fleet.register import people
from tests import browsers, callers, factories

pytestmark = pytest.mark.django_db

PHONE = {"device": "Ines' telephone", "scopes": ["READ"]}


def ask(cast, method, path="", body=None, **how):
    return callers.call(cast, method, f"/api/v1/tokens{path}", body, **how)


def person(cast, role):
    return cast.memberships[role].pk


def token_of(cast, role):
    return Token.objects.get(membership=cast.memberships[role])


def with_key(key, method="GET", path="/api/v1/machines"):
    factories.forget_tenant()
    headers = {"Authorization": f"Bearer {key}"}
    return Client().generic(method, path, headers=headers)


def by_session(cast, role, body):
    browser = browsers.confirmed(cast.memberships[role].person)
    factories.forget_tenant()
    return browser.post("/api/v1/tokens", body, content_type="application/json")


def test_the_office_issues_a_key_that_is_shown_once(north):
    whose = person(north, "TECHNICIAN")

    made = ask(north, "POST", body=PHONE | {"person": whose, "days": 30})

    assert made.status_code == 201
    assert made["Cache-Control"] == "no-store"
    body = made.json()
    assert with_key(body["key"]).status_code == 200
    read = ask(north, "GET", f"/{body['id']}").json()
    assert "key" not in read
    assert "digest" not in read
    assert read["person"] == whose
    left = Token.objects.get(pk=body["id"]).expires_at - timezone.now()
    assert timedelta(days=29) < left <= timedelta(days=30)


def test_a_list_says_when_each_was_last_used(north):
    callers.call(north, "GET", "/api/v1/machines", role="TECHNICIAN")

    listed = ask(north, "GET").json()["results"]

    used = {row["person"]: row["last_used_at"] for row in listed}
    assert used[person(north, "TECHNICIAN")] is not None
    assert used[person(north, "OWNER_READER")] is None


@pytest.mark.parametrize("days", [0, -1, 366, 10**30, "30", True, 1.5])
def test_no_token_lives_longer_than_a_year(north, days):
    answer = ask(north, "POST", body=PHONE | {"days": days})

    assert callers.is_problem(answer, 400, "invalid")


@pytest.mark.parametrize(
    ("role", "scopes"),
    [
        ("TECHNICIAN", ["WRITE"]),
        ("OWNER_READER", ["UPLOAD"]),
        ("OWNER_READER", ["READ", "WRITE"]),
    ],
)
def test_a_token_is_good_for_no_more_than_the_persons_role(north, role, scopes):
    body = PHONE | {"person": person(north, role), "scopes": scopes}

    assert callers.is_problem(ask(north, "POST", body=body), 400, "invalid")
    assert callers.is_problem(by_session(north, role, body), 400, "invalid")


def test_a_token_hands_on_no_more_than_it_may(north):
    token = token_of(north, "OFFICE")
    token.scopes = ["WRITE"]
    token.save()

    answer = ask(north, "POST", body=PHONE)

    assert callers.is_problem(answer, 400, "invalid")


def test_a_technicians_token_makes_no_other(north):
    # A lost telephone's token must not outlive its revocation by what it made.
    answer = ask(north, "POST", body=PHONE, role="TECHNICIAN")

    assert callers.is_problem(answer, 403, "permission-denied")


@pytest.mark.parametrize("role", ["TECHNICIAN", "OWNER_READER", "OFFICE"])
def test_everyone_makes_their_own_after_logging_in(north, role):
    answer = by_session(north, role, PHONE)

    assert answer.status_code == 201, answer.content
    assert answer.json()["person"] == person(north, role)


def test_nobody_but_the_office_makes_one_for_another(north):
    body = PHONE | {"person": person(north, "OFFICE")}

    assert callers.is_problem(by_session(north, "TECHNICIAN", body), 400, "invalid")


def test_a_foreign_person_is_as_absent_as_one_that_is_not_there(north, south):
    foreign = ask(north, "POST", body=PHONE | {"person": person(south, "TECHNICIAN")})
    missing = ask(north, "POST", body=PHONE | {"person": 10**9})

    assert (foreign.status_code, foreign.content) == (400, missing.content)


def test_one_person_has_so_many_and_no_more(north, monkeypatch):
    monkeypatch.setattr(tokens, "MOST_OF_ONE_PERSON", 2)
    body = PHONE | {"person": person(north, "TECHNICIAN")}

    assert ask(north, "POST", body=body).status_code == 201
    assert callers.is_problem(ask(north, "POST", body=body), 409, "too-many-tokens")


@pytest.mark.parametrize(
    "body",
    [
        {},
        {"device": "x"},
        {"device": "", "scopes": ["READ"]},
        {"device": "x", "scopes": []},
        {"device": "x", "scopes": ["ROOT"]},
        {"device": "x", "scopes": "READ"},
        {"device": "x" * 101, "scopes": ["READ"]},
        PHONE | {"expires_at": "2099-01-01T00:00:00Z"},
        PHONE | {"person": "1"},
        PHONE | {"person": 2**70},
    ],
)
def test_an_odd_request_makes_no_token(north, body):
    before = Token.objects.count()

    assert callers.is_problem(ask(north, "POST", body=body), 400, "invalid")
    assert Token.objects.count() == before


# --- rotating and revoking ------------------------------------------------------------
def test_a_device_rotates_its_own_key_and_can_ask_again_if_the_answer_is_lost(north):
    old = token_of(north, "TECHNICIAN")

    new = ask(north, "POST", f"/{old.pk}/rotate", role="TECHNICIAN").json()

    assert new["replaces"] == old.pk
    assert with_key(north.keys["TECHNICIAN"]).status_code == 200
    asked_again = ask(north, "POST", f"/{old.pk}/rotate", role="TECHNICIAN").json()
    later = timezone.now() + tokens.OVERLAP
    assert tokens.find(key=north.keys["TECHNICIAN"], at=later) is None
    # Neither of the two was used yet, so nothing is known of a thief.
    assert tokens.find(key=new["key"], at=later) is not None
    assert with_key(asked_again["key"]).status_code == 200


def rotated(cast, key):
    """Return the key that a device gets for its own one."""
    prefix = key.split("_")[1]
    own = Token.objects.get(prefix=prefix)
    answer = with_key(key, "POST", f"/api/v1/tokens/{own.pk}/rotate")
    assert answer.status_code == 201, answer.content
    return answer.json()["key"]


@pytest.mark.parametrize("revoked", [0, 1, 2])
def test_revoking_one_key_ends_all_that_were_rotated_from_it_and_to_it(north, revoked):
    first = north.keys["TECHNICIAN"]
    second = rotated(north, first)
    keys = [first, second, rotated(north, second)]
    prefix = keys[revoked].split("_")[1]
    other = north.keys["OFFICE"]

    answer = ask(north, "POST", f"/{Token.objects.get(prefix=prefix).pk}/revoke")

    assert answer.status_code == 200
    assert answer.json()["revoked_at"] is not None
    assert [with_key(key).status_code for key in keys] == [401] * 3
    assert with_key(other).status_code == 200


def test_a_thief_who_rotates_does_not_outlive_the_revocation_of_the_stolen_key(north):
    stolen = north.keys["TECHNICIAN"]
    thiefs = rotated(north, stolen)
    assert with_key(thiefs).status_code == 200

    ask(north, "POST", f"/{token_of_prefix(stolen).pk}/revoke")

    assert with_key(thiefs).status_code == 401


def test_a_thief_does_not_outlive_it_by_a_key_that_the_stolen_one_made(north):
    stolen = north.keys["OFFICE"]
    body = {"device": "mine", "scopes": ["READ", "WRITE"]}
    made = callers.call(north, "POST", "/api/v1/tokens", body).json()["key"]
    again = rotated(north, made)
    assert with_key(again).status_code == 200

    tokens.revoke(token=token_of_prefix(stolen), at=timezone.now())

    assert with_key(made).status_code == with_key(again).status_code == 401
    assert with_key(north.keys["TECHNICIAN"]).status_code == 200


def token_of_prefix(key):
    return Token.objects.get(prefix=key.split("_")[1])


def test_a_rotated_key_that_comes_after_its_successor_ends_both_and_is_told(
    north, caplog
):
    first = north.keys["TECHNICIAN"]
    second = rotated(north, first)
    third = rotated(north, second)
    assert with_key(third).status_code == 200

    answer = with_key(first)

    assert callers.is_problem(answer, 401, "authentication-failed")
    assert with_key(third).status_code == 401
    assert (
        Token.objects.filter(
            membership=north.memberships["TECHNICIAN"], revoked_at=None
        ).count()
        == 0
    )
    [told] = [r.getMessage() for r in caplog.records if "successor" in r.getMessage()]
    assert f"token {token_of_prefix(first).pk} of membership" in told
    assert first not in caplog.text
    audit = callers.call(north, "GET", "/api/v1/audit?table=fleet_token").json()
    ended = [row for row in audit["results"] if "successor" in row["via"]]
    assert len(ended) == 3
    assert {row["token_id"] for row in ended} == {token_of_prefix(first).pk}
    # Told once, however often the key comes again.
    caplog.clear()
    assert with_key(first).status_code == 401
    assert "successor" not in caplog.text


def test_a_rotated_key_that_comes_long_after_still_ends_its_successors(north):
    first = north.keys["TECHNICIAN"]
    second = rotated(north, first)
    assert with_key(second).status_code == 200

    later = timezone.now() + tokens.OVERLAP * 24

    assert tokens.find(key=first, at=later) is None
    assert tokens.find(key=second, at=later) is None


def test_rotating_makes_no_token_live_longer_than_the_old_one_did(north):
    old = token_of(north, "TECHNICIAN")

    new = Token.objects.get(
        pk=ask(north, "POST", f"/{old.pk}/rotate", role="TECHNICIAN").json()["id"]
    )

    old_life = timedelta(days=365)
    assert new.expires_at - new.created_at <= old_life + timedelta(minutes=2)


def test_a_revoked_token_is_void_at_once_and_cannot_be_rotated(north):
    old = token_of(north, "TECHNICIAN")

    revoked = ask(north, "POST", f"/{old.pk}/revoke")

    assert revoked.json()["revoked_at"] is not None
    assert with_key(north.keys["TECHNICIAN"]).status_code == 401
    again = ask(north, "POST", f"/{old.pk}/rotate")
    assert callers.is_problem(again, 409, "token-not-valid")


def test_a_lost_telephones_owner_revokes_it_after_logging_in(north):
    token = token_of(north, "TECHNICIAN")
    browser = Client()
    browser.force_login(north.memberships["TECHNICIAN"].person)
    factories.forget_tenant()

    assert browser.post(f"/api/v1/tokens/{token.pk}/revoke").status_code == 200
    assert with_key(north.keys["TECHNICIAN"]).status_code == 401


@pytest.mark.parametrize("act", ["rotate", "revoke"])
def test_nobody_acts_on_anothers_token(north, south, act):
    office = token_of(north, "OFFICE").pk
    second = tokens.issue_row(
        membership=north.memberships["TECHNICIAN"],
        device="second",
        scopes=["READ"],
        issued_at=timezone.now(),
    )[0]

    missing = ask(north, "POST", f"/{10**9}/{act}", role="TECHNICIAN")
    for cast, role, pk in (
        (north, "TECHNICIAN", office),
        (north, "OWNER_READER", office),
        (south, "OFFICE", office),
    ):
        answer = ask(cast, "POST", f"/{pk}/{act}", role=role)
        assert (answer.status_code, answer.content) == (404, missing.content)
    # One's own other device: by logging in, or from the office.
    own = ask(north, "POST", f"/{second.pk}/{act}", role="TECHNICIAN")
    assert callers.is_problem(own, 403, "permission-denied")
    assert ask(None, "POST", f"/{office}/{act}").status_code == 401


def give_addresses(cast):
    for role, membership in cast.memberships.items():
        address = f"{role.lower().replace('_', '-')}@lifts.example"
        Person.objects.filter(pk=membership.person_id).update(email=address)


def tell():
    """Do the jobs that mail of a key in two hands."""
    for job in Job.objects.filter(kind=token_families.TELL_OF_REUSE, state="QUEUED"):
        tasks.perform(job_id=job.pk, activity=people.tell_of_reuse)


def test_the_office_is_mailed_once_that_a_key_was_in_two_hands(north, south):
    give_addresses(north)
    give_addresses(south)
    first = north.keys["TECHNICIAN"]
    second = rotated(north, first)
    assert with_key(second).status_code == 200

    for _ in range(3):
        assert with_key(first).status_code == 401
        tell()

    [told] = mail.outbox
    assert told.to == ["office@lifts.example"]
    assert "was used twice" in told.subject
    prefix = first.split("_")[1]
    assert f"Key: {prefix}" in told.body
    assert "Device: test" in told.body
    assert "north-tech" in told.body
    for key in (first, second):
        assert key.split("_", 2)[2] not in told.body


def test_a_lost_answer_is_no_theft_and_nobody_is_mailed(north):
    give_addresses(north)
    first = north.keys["TECHNICIAN"]
    rotated(north, first)

    # The device never had the answer, goes on with the old key and asks again.
    assert with_key(first).status_code == 200
    again = rotated(north, first)
    assert with_key(again).status_code == 200

    tell()
    assert mail.outbox == []


def test_two_successors_of_one_key_in_use_end_both_and_are_told(north):
    give_addresses(north)
    stolen = north.keys["TECHNICIAN"]
    # A thief rotates first and waits; the device's own rotation goes on as usual.
    thiefs, own = rotated(north, stolen), rotated(north, stolen)
    assert with_key(own).status_code == 200

    assert with_key(thiefs).status_code == 401

    assert with_key(own).status_code == 401
    tell()
    assert len(mail.outbox) == 1


def test_one_that_was_rotated_on_is_in_use_too(north):
    stolen = north.keys["TECHNICIAN"]
    thiefs, own = rotated(north, stolen), rotated(north, stolen)
    later = rotated(north, own)
    assert with_key(later).status_code == 200

    assert with_key(thiefs).status_code == 401
    assert with_key(later).status_code == 401


def test_a_key_that_is_asked_for_again_lives_as_long_as_the_lost_one(north):
    first = north.keys["TECHNICIAN"]
    lost, again = (token_of_prefix(rotated(north, first)) for _ in range(2))

    assert again.expires_at - lost.expires_at < timedelta(minutes=1)
    assert lost.expires_at - again.expires_at < timedelta(minutes=1)


def test_a_mail_of_a_key_in_two_hands_waits_for_the_server(north, monkeypatch):
    give_addresses(north)
    first = north.keys["TECHNICIAN"]
    assert with_key(rotated(north, first)).status_code == 200
    with_key(first)

    def away(self, fail_silently=False):
        raise ConnectionRefusedError

    monkeypatch.setattr(EmailMessage, "send", away)
    with pytest.raises(ConnectionRefusedError):
        tell()

    job = Job.objects.get(kind=token_families.TELL_OF_REUSE)
    assert (job.state, job.attempts) == ("QUEUED", 1)
