"""Where somebody is logged in: seen and ended by that person alone, confirmed anew."""

import re
from datetime import timedelta

import pytest
import time_machine
from django.utils import timezone

from tests import factories
from tests.browsers import get, log_in

pytestmark = pytest.mark.django_db

PAGE = "/account/sessions"


@pytest.fixture
def clock():
    with time_machine.travel(timezone.now(), tick=False) as moved:
        yield moved


@pytest.fixture
def person(north, clock):
    return north.memberships["TECHNICIAN"].person


def marks(answer):
    return re.findall(r'name="session" value="(\w+)"', answer.content.decode())


def send(browser, path, **fields):
    factories.forget_tenant()
    return browser.post(path, fields)


def is_in(browser):
    return get(browser, "/account").status_code == 200


def test_each_open_session_is_listed_and_nobody_elses(north, person):
    here, other = log_in(person), log_in(person)
    log_in(north.memberships["OFFICE"].person)

    answer = get(here, PAGE)

    assert len(marks(answer)) == 1
    assert answer["Cache-Control"] == "no-store"
    for browser in (here, other):
        assert browser.session.session_key not in answer.content.decode()


@pytest.mark.parametrize(
    ("agent", "shown"),
    [
        ("Mozilla/5.0 (X11; Linux x86_64; rv:140.0) Firefox/140.0", "Firefox (Linux)"),
        ("<b>Lynx</b> (Linux)", "Another browser (Linux)"),
        ("", "Another browser"),
    ],
)
def test_a_session_is_told_by_its_browser_in_a_word_or_two(person, agent, shown):
    log_in(person, agent=agent)
    here = log_in(person)

    [told] = re.findall(r"<li>(?!<strong>)(.*?)<br>", get(here, PAGE).content.decode())

    assert told == shown


def test_one_is_ended_and_only_it(person):
    here, other, third = log_in(person), log_in(person), log_in(person)
    known = marks(get(third, PAGE))
    of_third = (set(marks(get(here, PAGE))) - set(known)).pop()

    send(here, PAGE, session=of_third)

    assert [is_in(one) for one in (here, other, third)] == [True, True, False]


def test_all_others_are_ended_and_this_one_goes_on(person):
    here, other, third = log_in(person), log_in(person), log_in(person)

    answer = send(here, PAGE)

    assert "2 sessions were ended." in answer.content.decode()
    assert [is_in(one) for one in (here, other, third)] == [True, False, False]


def test_nobody_ends_anothers_session(north, person):
    mine, theirs = log_in(person), log_in(north.memberships["OFFICE"].person)
    second = log_in(north.memberships["OFFICE"].person)
    mark = marks(get(second, PAGE))[0]

    send(mine, PAGE, session=mark)

    assert is_in(theirs)


def test_it_is_asked_first_who_it_is(person, clock):
    here, other = log_in(person), log_in(person)
    clock.shift(timedelta(minutes=16))

    seen, ended = get(here, PAGE), send(here, PAGE)

    for answer in (seen, ended):
        assert answer["Location"] == f"/confirm?next={PAGE}"
    assert is_in(other)


def test_what_lets_nobody_in_is_not_listed(person, clock):
    log_in(person)
    clock.shift(timedelta(minutes=50))
    here = log_in(person)
    clock.shift(timedelta(minutes=14))

    assert marks(get(here, PAGE)) == []
