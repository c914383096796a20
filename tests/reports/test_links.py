"""Links out of mails: short-lived, ended, and asked for anew."""

from datetime import timedelta

import pytest
import time_machine
from django.core import signing
from django.test import Client

from fleet.models import Change, Contractor, Job, Membership, Owner, Person
from reports import delivery
from reports.delivery import letter
from reports.models import Delivery, DeliveryState, RefusedAddress
from tests import browsers, callers, factories
from tests.reports.orders import NOW, made, run_jobs, signed_by_an_earlier_version

# What a file says is drawn and read back elsewhere.
pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("plain_files")]

ANNA = "anna@mill.example"
AT = "https://reports.north.example"


@pytest.fixture
def clock():
    with time_machine.travel(NOW, tick=False) as traveller:
        yield traveller


def link_in(message):
    """Return the code in a mail, having looked that no address is a secret."""
    assert list(message.iter_attachments()) == []
    text = message.get_body(("plain",)).get_content()
    [word] = [word for word in text.split() if word.startswith(AT)]
    address, _, code = word.partition("#")
    assert address == f"{AT}/report-links"
    assert code
    return code


@pytest.fixture
def link(north, mail, clock, settings, monkeypatch):
    """The link in the mail of a report that is too large to attach."""
    monkeypatch.setattr(letter, "ATTACH_AT_MOST_BYTES", 100)
    settings.PUBLIC_URL = AT
    made(north, recipients=(ANNA,), language="en")
    run_jobs(north)
    [message] = mail.mails()
    return link_in(message)


def fetch(code, **headers):
    return Client(raise_request_exception=False).post(
        "/report-links", {"code": code}, headers=headers
    )


def fetch_by_api(code):
    return callers.call(None, "POST", "/api/v1/report-links", {"code": code})


def opens(link):
    answer = fetch(link)
    if answer.status_code != 200:
        return False
    assert b"".join(answer.streaming_content).startswith(b"%PDF")
    return True


def is_over(link):
    """The page says it in words, the API by its code."""
    page = fetch(link)
    assert page.status_code == 410, page.content[:200]
    assert page["Cache-Control"] == "no-store"
    assert "This link is over" in page.content.decode()
    assert ANNA not in page.content.decode()
    api = fetch_by_api(link)
    return callers.is_problem(api, 400, "link-over")


def ask(link, **headers):
    return Client(raise_request_exception=False).post(
        "/report-links/again", {"code": link}, headers=headers
    )


def the_delivery(cast):
    callers.confine(cast)
    return Delivery.objects.get()


# --- what a link opens, and until when ------------------------------------------------
@pytest.mark.parametrize("way", [fetch, fetch_by_api])
def test_a_large_report_is_fetched_by_its_link(really_drawn, north, link, way):
    answer = way(link)

    assert answer.status_code == 200
    assert b"".join(answer.streaming_content).startswith(b"%PDF")
    assert answer["Cache-Control"] == "private, no-store"
    assert answer["Referrer-Policy"] == "no-referrer"
    answer.close()


def test_a_link_is_over_after_as_many_days_as_the_contractor_says(north, clock, link):
    clock.shift(timedelta(days=14, seconds=-1))
    assert opens(link)
    clock.shift(timedelta(seconds=1))
    assert is_over(link)


def test_the_contractor_says_how_long_links_live(north, mail, clock, request):
    callers.confine(north)
    Contractor.objects.filter(pk=north.contractor.pk).update(report_link_days=2)
    link = request.getfixturevalue("link")

    row = the_delivery(north)

    assert row.link_until == NOW + timedelta(days=2)
    clock.shift(timedelta(days=2))
    assert is_over(link)


def test_fault_39_a_forged_link_is_as_absent_as_no_link(north, link):
    pk = the_delivery(north).pk
    signed = signing.Signer(salt="something else").sign(f"1.{pk}.x")

    for forged in (signed, link + "x", "x", "1.1.x:y"):
        assert callers.is_problem(fetch_by_api(forged), 404, "not-found")
        answer = callers.call(None, "GET", f"/api/v1/report-links/{forged}")
        assert callers.is_problem(answer, 404, "not-found")
        assert callers.call(None, "GET", f"/report-links/{forged}").status_code == 404
        for page in (fetch(forged), ask(forged)):
            assert page.status_code == 404
            assert "No report has this code." in page.content.decode()


def test_no_address_opens_what_a_code_opens(north, link):
    for door in ("/report-links", "/api/v1/report-links"):
        for path in (f"{door}/{link}", f"{door}?code={link}"):
            answer = callers.call(None, "GET", path)
            assert b"%PDF" not in answer.getvalue(), path
            assert answer.status_code in (200, 404, 405), path


def test_a_browser_that_keeps_no_cookies_fetches_a_report_too(north, link):
    strict = Client(enforce_csrf_checks=True)

    answer = strict.post("/report-links", {"code": link})

    assert answer.getvalue().startswith(b"%PDF")


def test_whoever_pastes_the_whole_link_means_its_code(north, link):
    assert opens(f" {AT}/report-links#{link} ")


def test_an_address_that_an_earlier_version_mailed_opens_until_it_is_over(
    north, link, clock, settings
):
    signed = signed_by_an_earlier_version(the_delivery(north))
    doors = (f"/report-links/{signed}", f"/api/v1/report-links/{signed}")
    for door in doors:
        answer = callers.call(None, "GET", door)
        assert answer.getvalue().startswith(b"%PDF"), door

    settings.SECRET_ADDRESSES = False
    assert {callers.call(None, "GET", door).status_code for door in doors} == {404}
    settings.SECRET_ADDRESSES = True
    clock.shift(timedelta(days=14))
    page, api = (callers.call(None, "GET", door) for door in doors)
    assert page.status_code == 410
    assert f'value="{link}"' in page.content.decode()
    assert callers.is_problem(api, 400, "link-over")


# --- ended ----------------------------------------------------------------------------
def test_the_office_lists_and_ends_a_link_and_the_audit_says_who(north, link):
    listed = callers.call(
        north, "GET", f"/api/v1/deliveries?link_until__gt={NOW:%Y-%m-%dT%H:%M:%SZ}"
    )
    [row] = listed.json()["results"]
    path = f"/api/v1/deliveries/{row['id']}/end-link"
    for role in ("TECHNICIAN", "OWNER_READER"):
        refused = callers.call(north, "POST", path, role=role)
        assert callers.is_problem(refused, 403, "permission-denied")
    assert opens(link)

    answer = callers.call(north, "POST", path)

    assert answer.status_code == 200, answer.content
    assert answer.json()["link_ended_at"] is not None
    assert answer.json()["link_until"] < row["link_until"]
    assert is_over(link)
    callers.confine(north)
    [change] = Change.objects.filter(
        table="reports_delivery", fields__has_key="link_ended_at", act="CHANGED"
    )
    assert change.membership_id == north.memberships["OFFICE"].pk
    assert "link_key" not in change.fields


def test_a_link_ends_with_the_person_it_was_mailed_to(north, link):
    reader = north.memberships["OWNER_READER"]
    Person.objects.filter(pk=reader.person_id).update(email=ANNA.upper())
    assert opens(link)

    callers.call(north, "POST", f"/api/v1/people/{reader.pk}/deactivate")

    assert is_over(link)
    callers.call(north, "POST", f"/api/v1/people/{reader.pk}/reactivate")
    assert is_over(link)


def test_a_link_opens_nothing_for_someone_who_left_before(north, link):
    reader = north.memberships["OWNER_READER"]
    Person.objects.filter(pk=reader.person_id).update(email=ANNA, is_active=False)

    assert is_over(link)


def test_a_link_opens_for_someone_who_was_invited_and_has_not_joined(north, link):
    reader = north.memberships["OWNER_READER"]
    Person.objects.filter(pk=reader.person_id).update(email=ANNA)
    Membership.objects.filter(pk=reader.pk).update(invited_at=NOW, joined_at=None)

    assert opens(link)


def test_a_link_ends_with_the_owner_and_with_the_contractor(north, link):
    callers.confine(north)
    Owner.objects.filter(code="mill").update(retired_on=NOW.date())
    assert is_over(link)
    callers.confine(north)
    Owner.objects.filter(code="mill").update(retired_on=None)
    assert opens(link)

    Contractor.objects.filter(pk=north.contractor.pk).update(retired_on=NOW.date())

    assert is_over(link)


def test_a_revoked_link_opens_nothing(north, link):
    Delivery.objects.update(link_key="")

    assert is_over(link)


# --- asked for anew -------------------------------------------------------------------
def test_a_link_that_is_over_is_sent_anew_to_the_same_address_only(
    north, link, mail, clock
):
    clock.shift(timedelta(days=20))
    assert is_over(link)

    answer = ask(link)
    run_jobs(north)

    assert answer.status_code == 200
    assert "You have asked for a new link" in answer.content.decode()
    assert ANNA not in answer.content.decode()
    assert [address for address, _ in mail.taken] == [ANNA, ANNA]
    first, second = mail.mails()
    assert first["Message-ID"] != second["Message-ID"]
    assert link_in(second) != link
    assert opens(link_in(second))
    assert is_over(link)
    row = the_delivery(north)
    assert row.state == DeliveryState.SENT
    assert row.link_until == NOW + timedelta(days=34)


def test_whoever_asks_with_an_old_link_ends_no_newer_one(north, link, mail, clock):
    clock.shift(timedelta(days=20))
    ask(link)
    run_jobs(north)
    newer = link_in(mail.mails()[1])

    ask(link)
    run_jobs(north)

    assert link_in(mail.mails()[2]) == newer
    assert opens(newer)


@pytest.mark.parametrize("why", ["ended", "left", "retired", "refused", "on its way"])
def test_nobody_is_sent_a_link_who_may_read_no_more(north, link, mail, clock, why):
    row = the_delivery(north)
    if why == "ended":
        callers.call(north, "POST", f"/api/v1/deliveries/{row.pk}/end-link")
    elif why == "left":
        reader = north.memberships["OWNER_READER"]
        Person.objects.filter(pk=reader.person_id).update(email=ANNA, is_active=False)
    elif why == "retired":
        Owner.objects.filter(code="mill").update(retired_on=NOW.date())
    elif why == "refused":
        RefusedAddress.objects.create(
            contractor=north.contractor, address=ANNA, delivery=row, refused_at=NOW
        )
    else:
        Delivery.objects.update(state=DeliveryState.QUEUED)
    clock.shift(timedelta(days=20))

    answer = ask(link)

    assert answer.status_code == 200
    assert "You have asked for a new link" in answer.content.decode()
    assert not Job.objects.filter(kind=delivery.DELIVER, state="QUEUED").exists()
    assert len(mail.taken) == 1


def test_new_links_are_counted_for_the_report_and_for_who_asks(north, link, clock):
    clock.shift(timedelta(days=20))
    for _ in range(3):
        assert ask(link).status_code == 200

    refused = ask(link, X_Forwarded_For="203.0.113.9")

    assert refused.status_code == 429
    assert int(refused["Retry-After"]) <= 86_400
    assert "Asked too often" in refused.content.decode()
    clock.shift(timedelta(days=1))
    assert ask(link).status_code == 200


def test_the_page_is_in_the_reports_language(north, link, clock):
    callers.confine(north)
    Delivery.objects.get().report.__class__.objects.update(language="de")
    clock.shift(timedelta(days=20))

    answer = fetch(link)

    assert 'lang="de"' in answer.content.decode()
    assert "Dieser Link ist abgelaufen" in answer.content.decode()


def test_the_office_lists_links_and_ends_one_on_a_page(north, link):
    browser = browsers.confirmed(north.memberships["OFFICE"].person)
    row = the_delivery(north)
    at = f"/reports/links/{row.pk}/end"

    page = browsers.get(browser, "/reports/links").content.decode()
    assert ANNA in page
    assert at in page
    for _ in range(2):
        factories.forget_tenant()
        assert browser.post(at).status_code == 302

    assert is_over(link)
    page = browsers.get(browser, "/reports/links").content.decode()
    assert at not in page
    assert "ended" in page
