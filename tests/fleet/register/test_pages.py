"""The plain pages: logging in within limits, out, and the own password."""

from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
import time_machine
from django.contrib.auth import get_user
from django.db import connections
from django.test import Client
from django.utils import timezone

from fleet.models import Person
from fleet.platform import peers
from fleet.platform.access import login_limits
from tests import factories

pytestmark = pytest.mark.django_db

PASSWORD = "four plain words here"
WRONG = "no, this one is wrong"


@pytest.fixture
def office(north):
    person = north.memberships["OFFICE"].person
    person.set_password(PASSWORD)
    person.save()
    return person


@pytest.fixture(autouse=True)
def _few_tries(settings):
    settings.LOGIN_TRIES = 3


def log_in(browser, name, password=PASSWORD, address="192.0.2.1", **fields):
    factories.forget_tenant()
    return browser.post(
        "/log-in",
        {"username": name, "password": password} | fields,
        REMOTE_ADDR=address,
    )


def is_in(browser):
    return get_user(browser).is_authenticated


def test_someone_logs_in_sees_the_own_page_and_logs_out(office):
    browser = Client()

    answer = log_in(browser, office.username)

    assert (answer.status_code, answer["Location"]) == (302, "/")
    factories.forget_tenant()
    page = browser.get("/account").content.decode()
    assert "North Lifts" in page
    assert "/admin/" in page
    browser.post("/log-out")
    assert not is_in(browser)


def test_the_offices_pages_lead_to_the_one_place_where_passwords_are_tried(office):
    browser = Client()

    first = browser.get("/admin/fleet/machine/", follow=True)

    assert first.redirect_chain[-1][0].startswith("/log-in?next=")
    answer = log_in(browser, office.username, next="/admin/fleet/machine/")
    assert answer["Location"] == "/admin/fleet/machine/"


def test_a_login_leads_to_no_other_site(office):
    answer = log_in(Client(), office.username, next="https://elsewhere.example/")

    assert answer["Location"] == "/"


def test_a_wrong_password_and_an_unknown_name_are_told_alike(office):
    known = log_in(Client(), office.username, WRONG)
    unknown = log_in(Client(), "nobody-of-this-name", WRONG)

    def words(answer, name):
        text = answer.content.decode().replace(name, "NAME")
        return [line for line in text.splitlines() if "csrf" not in line]

    assert known.status_code == unknown.status_code == 200
    assert words(known, office.username) == words(unknown, "nobody-of-this-name")


def test_after_so_many_wrong_ones_even_the_right_one_waits(office):
    # Fault 40.
    browser = Client()
    for _ in range(3):
        assert log_in(browser, office.username, WRONG).status_code == 200

    refused = log_in(browser, office.username)

    assert refused.status_code == 429
    assert 0 < int(refused["Retry-After"]) <= 900
    assert not is_in(browser)


def test_the_wait_ends_however_often_one_tries(office):
    start = timezone.now()
    with time_machine.travel(start, tick=False) as clock:
        for _ in range(8):
            log_in(Client(), office.username, WRONG)
            clock.shift(60)
        clock.move_to(start + login_limits.SPAN + timedelta(seconds=1))

        assert log_in(Client(), office.username).status_code == 302


def test_a_login_begins_the_count_anew(office):
    for _ in range(4):
        assert log_in(Client(), office.username, WRONG).status_code == 200
        assert log_in(Client(), office.username).status_code == 302


def test_a_stranger_locks_nobody_out(office):
    own = Client()
    log_in(own, office.username)
    own.post("/log-out")
    for number in range(31):
        log_in(Client(), office.username, WRONG, address=f"203.0.113.{number}")

    elsewhere = log_in(Client(), office.username, address="198.51.100.7")
    at_home = log_in(own, office.username, address="198.51.100.7")

    assert elsewhere.status_code == 429
    assert at_home.status_code == 302


def test_a_known_browser_is_known_for_its_own_person_only(office, north):
    own = Client()
    log_in(own, office.username)
    own.post("/log-out")
    other = north.memberships["TECHNICIAN"].person.username
    for _ in range(3):
        log_in(own, other, WRONG)

    assert log_in(own, other, WRONG).status_code == 429


def test_a_known_browser_has_so_many_tries_too(office):
    own = Client()
    log_in(own, office.username)
    own.post("/log-out")
    for _ in range(2):
        log_in(own, office.username, WRONG)
    own.cookies[login_limits.COOKIE] = own.cookies[login_limits.COOKIE].value

    answers = [log_in(own, office.username, WRONG).status_code for _ in range(2)]

    assert answers[-1] == 429


def test_one_address_does_not_try_every_account(office):
    # Many names, few tries each: the address has a count of its own.
    answers = [log_in(Client(), f"name-{n}", WRONG).status_code for n in range(31)]

    assert answers[:30] == [200] * 30
    assert answers[30] == 429


def test_a_forged_address_counts_for_nothing_without_a_proxy(office):
    # Fault 55.
    for number in range(4):
        answer = Client().post(
            "/log-in",
            {"username": office.username, "password": WRONG},
            REMOTE_ADDR="192.0.2.1",
            headers={"X-Forwarded-For": f"203.0.113.{number}"},
        )

    assert answer.status_code == 429


def test_behind_the_own_proxy_the_last_entry_is_the_callers(settings, rf):
    settings.BEHIND_PROXY = True
    request = rf.get(
        "/",
        REMOTE_ADDR="127.0.0.1",
        headers={"X-Forwarded-For": "6.6.6.6, 203.0.113.9"},
    )

    assert peers.address_of(request) == "203.0.113.9"


def test_a_password_is_changed_with_the_old_one_and_ends_other_sessions(office):
    here, elsewhere = Client(), Client()
    log_in(here, office.username)
    log_in(elsewhere, office.username)
    words = {
        "old_password": PASSWORD,
        "new_password1": "five other plain words now",
        "new_password2": "five other plain words now",
    }
    factories.forget_tenant()

    assert here.post("/account/password", words).status_code == 302

    assert is_in(here)
    assert not is_in(elsewhere)


def test_someone_without_a_contractor_is_told_so():
    person = Person.objects.create_user("root", password=PASSWORD)
    browser = Client()
    browser.force_login(person)

    assert "no contractor" in browser.get("/account").content.decode()


def test_strangers_are_led_to_the_login():
    for path in ("/account", "/account/password"):
        assert Client().get(path)["Location"] == f"/log-in?next={path}"


@pytest.mark.django_db(transaction=True)
def test_fifty_wrong_passwords_at_once_are_no_more_than_the_limit(settings):
    # Fault 40: over many connections at once, as of many processes.
    settings.LOGIN_TRIES = 10

    def one(_):
        try:
            words = {"username": "someone", "password": WRONG}
            return Client().post("/log-in", words, REMOTE_ADDR="192.0.2.1").status_code
        finally:
            connections.close_all()

    with ThreadPoolExecutor(max_workers=8) as threads:
        answers = Counter(threads.map(one, range(50)))

    assert answers == {200: 10, 429: 40}
