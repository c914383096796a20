"""The first one in an office, invited by the server's administrator."""

from urllib.parse import urlsplit

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from fleet.models import Change, Membership
from tests import callers
from tests.fleet.register.api.test_people import set_password

pytestmark = pytest.mark.django_db


def invite(capsys, *words):
    call_command("invite_person", *words)
    return capsys.readouterr().out.strip()


def test_the_printed_link_sets_the_first_password(north, capsys):
    link = invite(capsys, "rui@lifts.example", "--contractor", "north")

    browser, _ = set_password(urlsplit(link)._replace(scheme="", netloc="").geturl())

    assert browser.get("/api/v1/me").json()["person"]["role"] == "OFFICE"
    callers.confine(north)
    line = Change.objects.filter(table="fleet_membership", act="CREATED").latest("pk")
    assert line.via == "manage.py invite_person"


def test_an_owners_reader_is_invited_with_the_owner(north, capsys):
    words = ("--contractor", "north", "--role", "OWNER_READER", "--owner", "mill")

    invite(capsys, "ana@mill.example", *words)

    found = Membership.objects.get(person__email="ana@mill.example")
    assert found.owner_id == north.memberships["OWNER_READER"].owner_id


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("no address", "--contractor", "north"), "is no address"),
        (("a@b.example", "--contractor", "nowhere"), "No contractor"),
        (("a@b.example", "--contractor", "north", "--owner", "x"), "No owner"),
        (("a@b.example", "--contractor", "north", "--owner", "mill"), "An owner's"),
    ],
)
def test_what_does_not_fit_is_said_and_nobody_is_invited(north, capsys, words, told):
    before = Membership.objects.count()

    with pytest.raises(CommandError, match=told):
        invite(capsys, *words)

    assert Membership.objects.count() == before


def test_nobody_is_invited_twice(north, capsys):
    invite(capsys, "rui@lifts.example", "--contractor", "north")

    with pytest.raises(CommandError, match="on your list already"):
        invite(capsys, "rui@lifts.example", "--contractor", "north")
