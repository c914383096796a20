"""The office's people: invited, changed, let go; and nobody by themselves."""

import re

import pytest
from django.core import mail
from django.test import Client

from fleet.models import Job, Membership, Owner, Person
from fleet.platform.access import tokens
from fleet.platform.queue import jobs, tasks
from fleet.register import people
from fleet.register.people.links import TokensOfAddresses
from tests import callers, factories

pytestmark = pytest.mark.django_db

INES = {
    "email": "Ines@Lifts.example",
    "first_name": "Ines",
    "last_name": "Moreira",
    "role": "TECHNICIAN",
}
PASSWORD = "four plain words here"


@pytest.fixture(autouse=True)
def _address(settings):
    settings.PUBLIC_URL = "https://lifts.example"


def ask(cast, method, path="", body=None, **how):
    return callers.call(cast, method, f"/api/v1/people{path}", body, **how)


def invited(cast, **fields):
    answer = ask(cast, "POST", body=INES | fields)
    assert answer.status_code == 201, answer.content
    return answer.json()


def member(cast, role):
    return cast.memberships[role].pk


def deliver():
    """Do the jobs that wait; return the link of the last mail."""
    for job in Job.objects.filter(kind=people.SEND_LINK, state="QUEUED"):
        tasks.perform(job_id=job.pk, activity=people.send)
    [link] = re.findall(r"https://lifts\.example(/\S+)", mail.outbox[-1].body)
    return link


def set_password(link, password=PASSWORD):
    """Follow a link as a browser would; return the browser and the last answer.

    What stands behind the # goes into the page's form, by its script or by hand.
    """
    factories.forget_tenant()
    browser = Client()
    path, _, code = link.partition("#")
    assert browser.get(path).status_code == 200
    page = browser.post(path, {"code": code}, follow=True)
    if not page.context or not page.context.get("validlink"):
        return browser, page
    words = {"new_password1": password, "new_password2": password}
    return browser, browser.post(page.redirect_chain[-1][0], words)


# --- inviting -------------------------------------------------------------------------
def test_an_invited_person_joins_by_the_link_and_works(north):
    person = invited(north)
    assert (person["state"], person["email"]) == ("INVITED", "ines@lifts.example")

    browser, answer = set_password(deliver())

    assert answer.status_code == 302
    me = browser.get("/api/v1/me").json()
    assert me["person"]["id"] == person["id"]
    assert me["person"]["state"] == "ACTIVE"
    assert me["contractor"]["code"] == "north"


def test_nothing_is_usable_before_the_link_was_used(north):
    person = invited(north)
    membership = Membership.objects.get(pk=person["id"])

    assert not membership.person.has_usable_password()
    token = {"device": "phone", "scopes": ["READ"], "person": person["id"]}
    refused = callers.call(north, "POST", "/api/v1/tokens", token)
    assert callers.is_problem(refused, 409, "person-not-active")
    with pytest.raises(tokens.NotUsable):
        tokens.issue(
            membership=membership,
            device="x",
            scopes=["READ"],
            issued_at=factories.NOW,
        )
    browser = Client()
    browser.force_login(membership.person)
    factories.forget_tenant()
    assert browser.get("/api/v1/machines").status_code == 403


def test_a_link_is_good_for_one_time(north):
    invited(north)
    link = deliver()
    set_password(link)

    _, again = set_password(link, "another four words here")

    assert not again.context["validlink"]


@pytest.mark.parametrize("how", ["newer", "deactivated", "forged", "old"])
def test_a_link_that_was_taken_back_is_void(north, how, settings):
    person = invited(north)
    link = deliver()
    if how == "newer":
        ask(north, "POST", f"/{person['id']}/send-link")
    elif how == "deactivated":
        ask(north, "POST", f"/{person['id']}/deactivate")
        ask(north, "POST", f"/{person['id']}/reactivate")
    elif how == "forged":
        link = link[:-3] + ("aaa" if link[-3:] != "aaa" else "bbb")
    else:
        settings.PASSWORD_RESET_TIMEOUT = -1

    _, answer = set_password(link)

    assert not answer.context["validlink"]
    assert not Membership.objects.get(pk=person["id"]).is_usable()


@pytest.mark.parametrize(
    "name", ["%20", "AAAA", "OTk5OTk5", "é", "MTIzNDU2Nzg5MDEyMzQ1Njc4OTA"]
)
def test_a_link_to_nobody_is_a_page_that_says_so(db, name):
    for answer in (
        Client().get(f"/set-password/{name}/abc-def"),
        Client().post("/set-password", {"code": f"{name}.abc-def"}),
        Client().post("/set-password", {"code": name}),
    ):
        assert answer.status_code == 200
        assert not answer.context["validlink"]


def test_a_code_is_in_no_address_on_its_way_to_the_password(north):
    invited(north)
    path, _, code = deliver().partition("#")
    name, _, token = code.partition(".")

    answer = Client().post(path, {"code": code}, follow=True)

    assert answer.context["validlink"]
    asked = [path, *(address for address, _ in answer.redirect_chain)]
    assert not [address for address in asked if token in address]
    by_address = Client().get(f"/set-password/{name}/{token}", follow=True)
    assert not by_address.context["validlink"]


def test_an_address_that_an_earlier_version_mailed_sets_a_password(north, settings):
    person = invited(north)
    membership = Membership.objects.select_related("person").get(pk=person["id"])
    name = deliver().partition("#")[2].partition(".")[0]
    token = TokensOfAddresses(membership).make_token(membership.person)
    settings.SECRET_ADDRESSES = False
    refused = Client().get(f"/set-password/{name}/{token}", follow=True)
    assert not refused.context["validlink"]

    settings.SECRET_ADDRESSES = True
    browser = Client()
    page = browser.get(f"/set-password/{name}/{token}", follow=True)

    assert page.context["validlink"]
    words = {"new_password1": PASSWORD, "new_password2": PASSWORD}
    assert browser.post(page.redirect_chain[-1][0], words).status_code == 302
    membership.person.refresh_from_db()
    assert membership.person.check_password(PASSWORD)


def test_the_mail_holds_no_markup_and_one_line_of_subject(north):
    # Fault 52: a contractor's name with line breaks makes no further header.
    north.contractor.name = "North\r\nBcc: everyone@lifts.example <b>"
    north.contractor.save()
    invited(north)

    deliver()

    sent = mail.outbox[-1]
    assert "\n" not in sent.subject
    assert sent.recipients() == ["ines@lifts.example"]


def test_two_contractors_may_invite_the_same_address_and_learn_nothing(north, south):
    # Fault 36: that someone works elsewhere is not told.
    first, second = invited(north), invited(south)

    alike = {"email", "first_name", "role", "state", "owner"}
    assert {k: first[k] for k in alike} == {k: second[k] for k in alike}
    accounts = Person.objects.filter(email="ines@lifts.example")
    assert accounts.count() == 2


def test_the_same_address_is_invited_once(north):
    invited(north)

    answer = ask(north, "POST", body=INES | {"email": "INES@lifts.example"})

    assert callers.is_problem(answer, 409, "already-member")


def test_without_a_public_address_nobody_is_invited(north, settings):
    settings.PUBLIC_URL = ""

    answer = ask(north, "POST", body=INES)

    assert callers.is_problem(answer, 409, "no-public-address")
    assert not Person.objects.filter(email="ines@lifts.example").exists()


def test_a_mail_server_that_is_away_is_tried_again(north, settings):
    invited(north)
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 9
    job = Job.objects.get(kind=people.SEND_LINK)

    with pytest.raises(ConnectionRefusedError):
        tasks.perform(job_id=job.pk, activity=people.send)

    job.refresh_from_db()
    assert (job.state, job.attempts) == ("QUEUED", 1)
    assert jobs.due(now=job.due_at)


@pytest.mark.parametrize(
    "fields",
    [
        {"email": "no address"},
        {"email": 5},
        {"email": f"{'a' * 120}@lifts.example"},
        {"role": "ADMIN"},
        {"role": None},
        {"owner": True},
        {"owner": 10**12},
        {"first_name": "x" * 151},
        # Fault 38.
        {"is_staff": True},
        {"is_superuser": True},
        {"contractor": 1},
        {"password": "x"},
        {"joined_at": "2026-01-01T00:00:00Z"},
    ],
)
def test_an_odd_invitation_is_refused_whole(north, fields):
    before = Person.objects.count()

    answer = ask(north, "POST", body=INES | fields)

    assert callers.is_problem(answer, 400, "invalid")
    assert Person.objects.count() == before


def test_an_owners_reader_needs_an_owner_and_nobody_else_has_one(north):
    callers.confine(north)
    owner = Owner.objects.get(code="mill").pk

    without = ask(north, "POST", body=INES | {"role": "OWNER_READER"})
    other = ask(north, "POST", body=INES | {"owner": owner})
    right = invited(north, role="OWNER_READER", owner=owner)

    assert callers.is_problem(without, 422, "owner-and-role")
    assert callers.is_problem(other, 422, "owner-and-role")
    assert right["owner"] == owner


def test_a_foreign_owner_is_nobodys(north, south):
    callers.confine(south)
    owner = Owner.objects.get(code="mill").pk

    answer = ask(north, "POST", body=INES | {"role": "OWNER_READER", "owner": owner})

    assert callers.is_problem(answer, 400, "invalid")


# --- changing -------------------------------------------------------------------------
def change(cast, pk, fields, **how):
    return ask(cast, "PATCH", f"/{pk}", fields, **({"If_Match": "*"} | how))


def test_a_role_is_changed_by_someone_else_in_the_office(north):
    pk = member(north, "TECHNICIAN")

    answer = change(north, pk, {"role": "OFFICE"}, If_Match=f'"{pk}-1"')

    assert answer.status_code == 200
    assert answer.json()["role"] == "OFFICE"
    assert answer["ETag"] == f'"{pk}-2"'
    assert Membership.objects.get(pk=pk).person.is_staff


def test_a_change_from_an_old_reading_is_refused(north):
    pk = member(north, "TECHNICIAN")

    assert (
        change(north, pk, {"role": "OFFICE"}, If_Match=f'"{pk}-7"').status_code == 412
    )
    assert ask(north, "PATCH", f"/{pk}", {"role": "OFFICE"}).status_code == 428


@pytest.mark.parametrize("role", ["OFFICE", "TECHNICIAN", "OWNER_READER"])
def test_nobody_changes_what_they_may_do(north, role):
    pk = member(north, role)
    wanted = "TECHNICIAN" if role == "OFFICE" else "OFFICE"

    answer = change(north, pk, {"role": wanted, "owner": None}, role=role)

    assert answer.status_code in (403, 409), answer.content
    assert Membership.objects.get(pk=pk).role == role


def test_a_reader_is_not_moved_to_another_owner_by_themselves(north):
    callers.confine(north)
    other = Owner.objects.get(code="quay").pk

    answer = change(
        north, member(north, "OWNER_READER"), {"owner": other}, role="OWNER_READER"
    )

    assert callers.is_problem(answer, 403, "permission-denied")


def test_the_own_name_may_be_changed_by_the_office(north):
    answer = change(north, member(north, "OFFICE"), {"last_name": "Reis"})

    assert answer.json()["last_name"] == "Reis"


def test_the_last_one_in_the_office_stays(north):
    second = Membership.objects.create(
        person=Person.objects.create(username="second"),
        contractor=north.contractor,
        role="OFFICE",
    )
    # As if each had let the other go at the same moment: the second one is late.
    first = north.memberships["OFFICE"]
    second.deactivated_at = factories.NOW
    second.save()
    late = factories.Scope(
        contractor_id=north.contractor.pk, membership_id=second.pk, role="OFFICE"
    )

    with pytest.raises(people.LastOfficePerson):
        people.deactivate(scope=late, membership=first, at=factories.NOW)
    with pytest.raises(people.LastOfficePerson):
        people.change(scope=late, membership=first, fields={"role": "TECHNICIAN"})
    with pytest.raises(people.OwnMembership):
        people.deactivate(scope=north.scope(), membership=first, at=factories.NOW)


# --- letting go -----------------------------------------------------------------------
def test_deactivation_ends_sessions_and_tokens_at_once(north):
    technician = north.memberships["TECHNICIAN"]
    browser = Client()
    browser.force_login(technician.person)

    answer = ask(north, "POST", f"/{technician.pk}/deactivate")

    assert answer.json()["state"] == "DEACTIVATED"
    factories.forget_tenant()
    assert browser.get("/api/v1/machines").status_code == 401
    told = callers.call(north, "GET", "/api/v1/machines", role="TECHNICIAN")
    assert callers.is_problem(told, 401, "authentication-failed")


def test_reactivation_brings_back_neither_sessions_nor_tokens(north):
    technician = north.memberships["TECHNICIAN"]
    browser = Client()
    browser.force_login(technician.person)
    ask(north, "POST", f"/{technician.pk}/deactivate")

    answer = ask(north, "POST", f"/{technician.pk}/reactivate")

    assert answer.json()["state"] == "ACTIVE"
    factories.forget_tenant()
    assert browser.get("/api/v1/machines").status_code == 401
    told = callers.call(north, "GET", "/api/v1/machines", role="TECHNICIAN")
    assert told.status_code == 401
    assert Person.objects.get(pk=technician.person_id).is_active


@pytest.mark.parametrize("act", ["deactivate", "reactivate", "send-link"])
def test_nobody_but_the_office_acts_on_people_and_never_on_foreign_ones(
    north, south, act
):
    pk = member(north, "TECHNICIAN")

    for role in ("TECHNICIAN", "OWNER_READER"):
        answer = ask(north, "POST", f"/{pk}/{act}", role=role)
        assert callers.is_problem(answer, 403, "permission-denied")
    foreign, missing = (
        ask(south, "POST", f"/{pk}/{act}"),
        ask(south, "POST", f"/{pk + 1_000_000}/{act}"),
    )
    assert (foreign.status_code, foreign.content) == (404, missing.content)
    assert ask(None, "POST", f"/{pk}/{act}").status_code == 401


def test_someone_who_works_gets_a_link_and_goes_on_working(north):
    pk = member(north, "TECHNICIAN")

    answer = ask(north, "POST", f"/{pk}/send-link")

    assert answer.json()["state"] == "ACTIVE"
    told = callers.call(north, "GET", "/api/v1/machines", role="TECHNICIAN")
    assert told.status_code == 200


# --- who is calling -------------------------------------------------------------------
@pytest.mark.parametrize("role", ["OFFICE", "TECHNICIAN", "OWNER_READER"])
def test_everyone_may_ask_who_they_are(north, role):
    answer = callers.call(north, "GET", "/api/v1/me", role=role)

    found = answer.json()
    assert found["person"]["id"] == member(north, role)
    assert found["person"]["role"] == role
    assert found["token"]["device"] == "test"
    assert "digest" not in found["token"]


def test_a_token_that_only_uploads_may_ask_too(north):
    key = tokens.issue(
        membership=north.memberships["TECHNICIAN"],
        device="phone",
        scopes=["UPLOAD"],
        issued_at=Membership.objects.first().created_at,
    )
    headers = {"Authorization": f"Bearer {key}"}
    factories.forget_tenant()

    assert Client().get("/api/v1/me", headers=headers).json()["token"]["scopes"] == [
        "UPLOAD"
    ]
    factories.forget_tenant()
    assert Client().get("/api/v1/people", headers=headers).status_code == 403


def test_strangers_are_not_told_who_they_are(db):
    assert callers.is_problem(
        callers.call(None, "GET", "/api/v1/me"), 401, "not-authenticated"
    )
