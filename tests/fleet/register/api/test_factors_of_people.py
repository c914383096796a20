"""Second factors of a contractor's people: seen and reset by the office, and told."""

import pytest
import time_machine
from django.core import mail
from django.utils import timezone, translation

from fleet.models import Change, Job, Person, SecondFactor
from fleet.platform.access.factors.telling import FactorNews
from fleet.platform.api import confirming
from fleet.register import tasks
from tests import browsers, callers, factories
from tests.browsers import PATH, get, log_in, post

pytestmark = pytest.mark.django_db

PEOPLE = "/api/v1/people"


@pytest.fixture
def clock():
    with time_machine.travel(timezone.now(), tick=False) as moved:
        yield moved


@pytest.fixture
def tom(north):
    """A technician with a mail address."""
    person = north.memberships["TECHNICIAN"].person
    Person.objects.filter(pk=person.pk).update(email="tom@lifts.example")
    person.refresh_from_db()
    return person


def told():
    """Do the jobs that mail of factors; return the mails since the last time."""
    mail.outbox.clear()
    for job in Job.objects.filter(kind__in=list(FactorNews), state="QUEUED"):
        tasks._tell_of_factor(job_id=job.pk)
    assert not Job.objects.filter(kind__in=list(FactorNews), state="QUEUED").exists()
    return [(message.to, message.subject, message.body) for message in mail.outbox]


def listed(cast, role="OFFICE"):
    answer = callers.call(cast, "GET", f"{PEOPLE}/second-factors", role=role)
    assert answer.status_code == 200, answer.content
    return {row["id"]: row for row in answer.json()["results"]}


# --- seen -----------------------------------------------------------------------------
def test_the_office_sees_who_has_one_and_nothing_that_is_secret(north, south, tom):
    secret, spare = browsers.set_up_codes(log_in(tom))

    rows = listed(north)

    assert set(rows) == {membership.pk for membership in north.memberships.values()}
    technician = rows[north.memberships["TECHNICIAN"].pk]
    assert technician["kinds"] == ["TOTP"]
    assert technician["recovery_codes_left"] == len(spare)
    assert rows[north.memberships["OFFICE"].pk]["kinds"] == []
    answer = callers.call(north, "GET", f"{PEOPLE}/second-factors")
    sealed = SecondFactor.objects.get(person=tom, kind="TOTP").sealed_secret
    for hidden in (secret, sealed, spare[0], "telephone"):
        assert hidden not in answer.content.decode()


def test_others_see_only_whether_they_have_one_themselves(north, tom):
    browsers.set_up_codes(log_in(north.memberships["OFFICE"].person))

    rows = listed(north, role="TECHNICIAN")

    assert [row["kinds"] for row in rows.values()] == [[]]
    assert set(rows) == {north.memberships["TECHNICIAN"].pk}


def test_what_was_begun_and_never_confirmed_is_none(north, tom):
    post(log_in(tom), f"{PATH}/codes", {"name": "telephone"})

    assert listed(north)[north.memberships["TECHNICIAN"].pk]["kinds"] == []


# --- reset by the office --------------------------------------------------------------
def reset(browser, membership):
    return post(browser, f"{PEOPLE}/{membership.pk}/reset-second-factor")


def test_the_office_resets_one_persons_and_the_audit_says_who(north, tom):
    their = log_in(tom)
    browsers.set_up_codes(their)
    office = north.memberships["OFFICE"]
    browser = log_in(office.person)

    answer = reset(browser, north.memberships["TECHNICIAN"])

    assert answer.status_code == 204, answer.content
    assert not SecondFactor.objects.filter(person=tom).exists()
    assert get(their, "/api/v1/machines").status_code == 401
    callers.confine(north)
    lines = Change.objects.filter(table="fleet_secondfactor", act="REMOVED")
    assert {line.membership_id for line in lines} == {office.pk}
    assert lines.count() == 2
    last = told()[-1]
    assert last[0] == ["tom@lifts.example"]
    assert "taken away" in last[2]


def test_nobody_resets_their_own_anothers_or_the_keepers(north, south, tom):
    office = north.memberships["OFFICE"]
    browsers.set_up_codes(browser := log_in(office.person))

    assert callers.is_problem(reset(browser, office), 409, "own-membership")
    for foreign in (south.memberships["TECHNICIAN"], south.memberships["OFFICE"]):
        assert callers.is_problem(reset(browser, foreign), 404, "not-found")
    Person.objects.filter(pk=tom.pk).update(is_superuser=True)
    technician = north.memberships["TECHNICIAN"]
    assert callers.is_problem(reset(browser, technician), 409, "keepers-factor")
    assert SecondFactor.objects.filter(person=office.person).count() == 2


def test_a_reset_asks_to_confirm_and_takes_no_key(north, tom, clock):
    browsers.set_up_codes(log_in(tom))
    technician = north.memberships["TECHNICIAN"]
    browser = log_in(north.memberships["OFFICE"].person)
    clock.shift(30 * 60)

    late = reset(browser, technician)
    by_key = callers.call(
        north, "POST", f"{PEOPLE}/{technician.pk}/reset-second-factor"
    )

    assert callers.is_problem(late, 403, confirming.ConfirmAgain.default_code)
    assert callers.is_problem(by_key, 403, "permission-denied")
    assert SecondFactor.objects.filter(person=tom).count() == 2


# --- told -----------------------------------------------------------------------------
def test_a_person_is_mailed_each_change_and_no_secret(north, tom, clock):
    browser = log_in(tom)
    secret, spare = browsers.set_up_codes(browser)
    [added] = told()
    clock.shift(61)
    post(browser, f"{PATH}/recovery-codes")
    [made] = told()
    codes = SecondFactor.objects.get(person=tom, kind="TOTP")
    post(browser, f"{PATH}/{codes.pk}/remove")
    [removed] = told()

    said = [
        "A second factor was added",
        "New recovery codes were made",
        "A second factor was removed",
    ]
    for (to, subject, body), words in zip((added, made, removed), said, strict=True):
        assert to == ["tom@lifts.example"]
        assert subject.endswith(": your second factor")
        assert words in body
        assert not any(hidden in body for hidden in (secret, *spare, "telephone"))


def test_a_recovery_code_that_is_used_is_mailed_and_a_right_code_is_not(
    north, tom, clock
):
    secret, spare = browsers.set_up_codes(log_in(tom))
    told()
    clock.shift(61)

    post(log_in(tom), f"{PATH}/verify", {"code": browsers.code(secret)})
    assert told() == []
    post(log_in(tom), f"{PATH}/verify", {"code": spare[0]})

    [(_, _, body)] = told()
    assert "A recovery code was used" in body


def test_mails_to_people_are_in_their_contractors_language(north, tom):
    north.contractor.language = "de"
    north.contractor.save()
    browsers.set_up_codes(log_in(tom))

    [(_, subject, body)] = told()

    assert subject.endswith(": Ihr zweiter Faktor")
    assert "Ein zweiter Faktor wurde hinzugefügt" in body
    assert "Wenn Sie es selbst waren" in body


def test_each_text_of_these_mails_has_its_german():
    from fleet.register.people import factor_news

    with translation.override("de"):
        for text in factor_news._SAID.values():
            assert translation.gettext(text) != text


def test_whoever_has_no_address_or_no_contractor_is_mailed_nothing(north):
    person = north.memberships["TECHNICIAN"].person
    Person.objects.filter(pk=person.pk).update(email="")
    browsers.set_up_codes(log_in(person))
    keeper = Person.objects.create_superuser("keeper", "keeper@lifts.example")
    factories.forget_tenant()
    browsers.set_up_codes(log_in(keeper))

    assert told() == []
