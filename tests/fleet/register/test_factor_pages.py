"""The plain pages: a second factor set up, shown, and given up, with no script."""

import re
from datetime import timedelta

import pytest
import time_machine
from django.utils import timezone

from fleet.models import Person, SecondFactor
from tests import browsers, factories
from tests.browsers import get, log_in

pytestmark = pytest.mark.django_db

PAGE = "/account/second-factor"


@pytest.fixture
def clock():
    with time_machine.travel(timezone.now(), tick=False) as moved:
        yield moved


@pytest.fixture
def office(north):
    return browsers.require(north)


def send(browser, path, **fields):
    factories.forget_tenant()
    return browser.post(path, fields)


def set_up(browser):
    page = send(browser, PAGE, act="begin", name="mine").content.decode()
    secret = re.search(r"<code>([A-Z2-7]+)</code>", page)[1]
    factor = re.search(r'name="factor" value="(\d+)"', page)[1]
    code = browsers.code(secret)
    done = send(browser, PAGE, act="confirm", factor=factor, code=code)
    return secret, re.findall(r"<code>([a-z2-7-]{25,})</code>", done.content.decode())


def test_the_office_sets_one_up_and_logs_in_with_it(office, clock):
    browser = log_in(office)
    led = get(browser, "/admin/")["Location"]
    secret, spare = set_up(browser)
    clock.shift(timedelta(seconds=61))
    other = log_in(office)

    asked = get(other, "/admin/fleet/machine/")["Location"]
    wrong = send(other, asked, code="000000")
    right = send(other, asked, code=browsers.code(secret), next="/admin/fleet/machine/")

    assert led.startswith(PAGE)
    assert len(spare) == 10
    assert asked == "/second-factor?next=%2Fadmin%2Ffleet%2Fmachine%2F"
    assert (wrong.status_code, right.status_code) == (403, 302)
    assert right["Location"] == "/admin/fleet/machine/"
    assert get(other, "/admin/fleet/machine/").status_code == 200
    assert right["Cache-Control"] == "no-store"
    assert wrong["Cache-Control"] == "no-store"


def test_a_page_leads_to_no_other_site(office, clock):
    secret, _ = set_up(log_in(office))
    clock.shift(timedelta(seconds=61))
    browser = log_in(office)

    fields = {"code": browsers.code(secret), "next": "https://elsewhere.example/"}

    assert send(browser, "/second-factor", **fields)["Location"] == "/account"


def test_a_removed_one_is_gone_and_the_last_stays_where_it_is_wanted(office, clock):
    browser = log_in(office)
    set_up(browser)
    row = SecondFactor.objects.usable().get(person=office)

    answer = send(browser, PAGE, act="remove", factor=row.pk)

    assert answer.status_code == 409
    assert SecondFactor.objects.filter(pk=row.pk).exists()


def test_too_many_codes_are_told_to_wait(office, clock, settings):
    settings.SECOND_FACTOR_TRIES = 2
    set_up(log_in(office))
    browser = log_in(office)
    answers = [
        send(browser, "/second-factor", code="000000").status_code for _ in range(3)
    ]

    assert answers == [403, 403, 429]


def test_an_old_session_is_asked_before_the_page_is_shown(north, clock):
    browser = log_in(north.memberships["OFFICE"].person)
    clock.shift(timedelta(minutes=16))

    assert get(browser, PAGE)["Location"] == f"/confirm?next={PAGE}"
    wrong = send(browser, "/confirm", password="no")
    right = send(browser, "/confirm", password=browsers.PASSWORD, next=PAGE)

    assert (wrong.status_code, right["Location"]) == (403, PAGE)
    assert get(browser, PAGE).status_code == 200


def test_the_administrators_pages_on_people_ask_again(clock, settings):
    settings.SUPERUSER_SECOND_FACTOR = False
    root = Person.objects.create_superuser("root")
    browser = log_in(root)
    paths = [
        "/admin/fleet/person/",
        f"/admin/fleet/person/{root.pk}/change/",
        f"/admin/fleet/person/{root.pk}/password/",
        "/admin/fleet/token/",
        "/admin/fleet/contractor/",
    ]

    assert {get(browser, path).status_code for path in paths} == {200}
    clock.shift(timedelta(minutes=16))
    for path in paths:
        assert get(browser, path)["Location"].startswith("/confirm?next="), path
