"""How often one may ask, and who is held up by whom."""

import pytest
import time_machine
from django.test import Client
from django.utils import timezone

from fleet.models import Owner
from tests import callers, factories

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _few(settings):
    settings.REQUESTS_PER_MINUTE = 3
    settings.TOKEN_GUESSES_PER_MINUTE = 3


def read(cast, role="OFFICE"):
    return callers.call(cast, "GET", "/api/v1/owners", role=role)


def guess(key="rseat_0123456789ab_wrong"):
    return Client().get("/api/v1/owners", headers={"Authorization": f"Bearer {key}"})


def test_a_device_asks_so_often_in_a_minute_and_then_waits(north):
    start = timezone.now()
    with time_machine.travel(start, tick=False) as clock:
        answers = [read(north).status_code for _ in range(3)]
        refused = read(north)
        clock.shift(61)

        assert answers == [200, 200, 200]
        assert callers.is_problem(refused, 429, "too-many-requests")
        assert refused["Retry-After"] == "60"
        assert read(north).status_code == 200


def test_one_device_holds_up_no_other(north, south):
    for _ in range(4):
        read(north)

    assert read(north, "TECHNICIAN").status_code == 200
    assert read(south).status_code == 200


def test_a_refused_change_stores_nothing(north):
    for _ in range(3):
        read(north)

    answer = callers.call(
        north, "POST", "/api/v1/owners", {"name": "X", "code": "held-up"}
    )

    assert callers.is_problem(answer, 429, "too-many-requests")
    callers.confine(north)
    assert not Owner.objects.filter(code="held-up").exists()


def test_a_person_by_session_is_counted_too(north):
    browser = Client()
    browser.force_login(north.memberships["OFFICE"].person)
    answers = []
    for _ in range(4):
        factories.forget_tenant()
        answers.append(browser.get("/api/v1/owners").status_code)

    assert answers == [200, 200, 200, 429]


def test_guessed_tokens_are_refused_sooner_than_they_are_looked_at_for_ever(north):
    # Fault 40.
    answers = [guess().status_code for _ in range(4)]

    assert answers == [401, 401, 401, 429]


def test_guesses_hold_up_no_valid_token_of_the_same_address(north):
    for _ in range(9):
        guess()

    assert read(north).status_code == 200


def test_guesses_with_a_known_prefix_do_not_count_against_its_owner(north):
    mark, prefix, _ = north.keys["OFFICE"].split("_", 2)
    for _ in range(9):
        guess(f"{mark}_{prefix}_wrong")

    assert read(north).status_code == 200


def test_a_failed_request_counts_although_nothing_of_it_is_stored(north):
    for _ in range(3):
        callers.call(north, "POST", "/api/v1/owners", {"nonsense": 1})

    assert read(north).status_code == 429


def test_health_is_never_counted():
    answers = {Client().get("/health/live").status_code for _ in range(9)}

    assert answers == {200}
