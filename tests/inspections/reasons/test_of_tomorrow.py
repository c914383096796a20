"""A code of a newer version on page and mail: told as not known, nothing dropped.

Old and new workers run side by side while a version is rolled out, so that an old one
meets findings, forecasts and due work that say what it has no words for.
"""

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import translation

from fleet.models import Machine
from inspections.models import DueWork, Finding, Forecast
from inspections.urgent import letter
from tests import callers, factories
from tests.inspections.assessment.visits import assess, send, thin

pytestmark = pytest.mark.django_db

OF_TOMORROW = {"code": "of_tomorrow", "values": {"moon": {"phase": 3}}}
NOT_KNOWN = "a reason this version does not know: of_tomorrow"
GERMAN = "ein Grund, den diese Version nicht kennt: of_tomorrow"


@pytest.fixture
def north():
    return factories.cast(code="north")


@pytest.fixture
def machine(north, monkeypatch):
    """Return a machine all of whose findings give a reason of tomorrow."""
    monkeypatch.setattr("celery.current_app.send_task", lambda *_, **__: None)
    send(north, *thin("0.4"))
    assess(north)
    callers.confine(north)
    assert Finding.objects.update(said=OF_TOMORROW, reason="said by a newer version")
    Forecast.objects.update(said=OF_TOMORROW)
    DueWork.objects.update(reason_said=OF_TOMORROW, part_said=OF_TOMORROW)
    return Machine.objects.get(code="MH-1")


def test_the_page_of_the_machine_is_given_whole(north, machine):
    answer = callers.call(north, "GET", f"/api/v1/machines/{machine.pk}/page")

    assert answer.status_code == 200
    assert "of_tomorrow" in answer.content.decode()


def test_a_list_gives_the_code_as_it_came(north, machine):
    answer = callers.call(north, "GET", f"/api/v1/findings?machine={machine.pk}")

    found = answer.json()["results"]
    assert found
    assert all(finding["said"] == OF_TOMORROW for finding in found)


def test_the_page_for_people_says_that_it_does_not_know_the_reason(north, machine):
    browser = Client()
    browser.force_login(north.memberships["OFFICE"].person)

    answer = browser.get(reverse("machine", args=(machine.pk,)))

    said = " ".join(answer.content.decode().split())
    callers.confine(north)
    standing = Finding.objects.filter(current=True)
    # Of checks in which nothing was found the page gives the value, no reason.
    told = standing.exclude(grade="IN_ORDER")
    assert said.count(NOT_KNOWN) >= told.count() > 0


@pytest.mark.parametrize(
    ("language", "words"),
    [
        ("en", NOT_KNOWN),
        ("de", GERMAN),
    ],
)
def test_the_mail_says_that_it_does_not_know_the_reason(machine, language, words):
    rows = list(Finding.objects.select_related("machine__building", "assessment"))

    with translation.override(language):
        said = "\n".join(letter.of_assessment(rows))

    assert said.count(words) == len(rows)
