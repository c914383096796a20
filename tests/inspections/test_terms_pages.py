"""Terms in pages: said, changed by name, never looser; people behind a confirmation."""

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from fleet.models import Membership, Token
from fleet.platform.access import sessions
from inspections.models import Terms
from tests import callers, factories
from tests.inspections.test_setting_up import send, text

pytestmark = pytest.mark.django_db


@pytest.fixture
def north():
    return factories.cast(code="north")


def browser(cast, role="OFFICE"):
    """Return a browser in which somebody has just shown who they are."""
    found = Client()
    found.force_login(cast.memberships[role].person)
    session = found.session
    session[sessions.PASSWORD] = timezone.now().timestamp()
    session.save()
    return found


def test_rates_are_said_as_typed_and_their_history_names_who_and_why(north):
    client = browser(north)
    address = reverse("change-rates")

    first = send(
        client,
        address,
        currency="eur",
        hourly_0="70",
        hourly_1="80,5",
        hourly_2="95",
        parts__RIM_0="900",
        parts__RIM_1="1000",
        parts__RIM_2="1200",
        why="rates of the year",
    )
    second = send(
        client,
        address,
        parts__SHEAVE_0="1",
        parts__SHEAVE_1="2",
        parts__SHEAVE_2="3",
        why="a sheave too",
    )

    assert (first.status_code, second.status_code) == (302, 302)
    callers.confine(north)
    row = Terms.objects.within(north.scope()).order_by("pk").last()
    assert row.currency == "EUR"
    assert row.said["hourly"] == {"low": "70.00", "mid": "80.50", "high": "95.00"}
    # A map is replaced whole: what stood in it stays.
    assert set(row.said["parts"]) == {"RIM", "SHEAVE"}
    page = text(client.get(reverse("terms")))
    assert "north-office</bdi>: <bdi>a sheave too" in page
    assert "Price: sheave: – → 1.00 / 2.00 / 3.00" in page


@pytest.mark.parametrize(
    ("subject", "typed", "said"),
    [
        ("rates", {"hourly_0": "70"}, "Write all three, or none"),
        ("rates", {"hourly_0": "9", "hourly_1": "8", "hourly_2": "7"}, "rise in this"),
        ("thresholds", {"values__diameter_ratio_least": "30"}, "diameter_ratio_least"),
        ("checks", {"values__brake": "13"}, "brake"),
        ("lead-times", {"access_days": "-1"}, "It must be at least 0."),
    ],
)
def test_what_cannot_stand_is_said_at_its_field(north, subject, typed, said):
    client = browser(north)
    more = {"currency": "EUR"} if subject == "rates" else {}

    answer = send(client, reverse(f"change-{subject}"), why="why", **more, **typed)

    assert answer.status_code == 400
    page = text(answer)
    assert said in page
    assert 'class="fault"' in page
    callers.confine(north)
    assert not Terms.objects.within(north.scope()).exists()


def test_a_person_is_made_competent_and_let_go_with_keys(north):
    client = browser(north)
    member = north.memberships["TECHNICIAN"]

    kept = send(
        client,
        reverse("person", args=(member.pk,)),
        qualification="lift engineer",
        competent_until="31.12.2030",
    )
    half = send(client, reverse("person", args=(member.pk,)), competent_until="")
    gone = send(client, reverse("let-go", args=(member.pk,)))
    own = send(client, reverse("let-go", args=(north.memberships["OFFICE"].pk,)))

    assert kept.status_code == gone.status_code == 302
    assert half.status_code == own.status_code == 400
    assert "has a day until which it is valid" in text(half)
    row = Membership.objects.get(pk=member.pk)
    assert (row.qualification, str(row.competent_until)) == (
        "lift engineer",
        "2030-12-31",
    )
    assert row.deactivated_at is not None
    assert not Token.objects.filter(membership=row, revoked_at=None).exists()


def test_a_lost_phones_key_is_ended_without_being_asked_who_one_is(north):
    client = Client()
    client.force_login(north.memberships["OFFICE"].person)
    token = Token.objects.filter(membership=north.memberships["TECHNICIAN"]).first()

    page = text(client.get(reverse("people")))
    answer = client.post(reverse("end-key", args=(token.pk,)))

    assert token.device in page
    assert answer.status_code == 302
    token.refresh_from_db()
    assert token.revoked_at is not None
    assert client.get(reverse("invite")).status_code == 302
