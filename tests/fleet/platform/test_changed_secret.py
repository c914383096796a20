"""SECRET_KEY was changed: what the earlier one signed is taken while it is kept.

Fault 73.
"""

import pytest
from django.core import signing
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from fleet.models import Membership
from fleet.register import people
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def before(settings):
    """A browser that is logged in, a link to set a password, and a cursor."""
    settings.SECRET_KEY, settings.SECRET_KEY_FALLBACKS = "first key", []
    cast = factories.cast(code="north")
    browser = Client()
    browser.force_login(cast.memberships["OFFICE"].person)
    membership = cast.memberships["TECHNICIAN"]
    Membership.objects.filter(pk=membership.pk).update(invited_at=timezone.now())
    membership.refresh_from_db()
    return {
        "browser": browser,
        "code": people.address(membership=membership).partition("#")[2],
        "signed": signing.dumps(["machines", 7], salt="cursor"),
    }


@pytest.mark.parametrize("is_kept", [True, False])
def test_sessions_links_and_cursors_open_as_long_as_the_earlier_key_is_kept(
    before, settings, is_kept
):
    settings.SECRET_KEY = "second key"
    settings.SECRET_KEY_FALLBACKS = ["first key"] if is_kept else []

    page = before["browser"].get(reverse("portfolio"))
    link = Client().post("/set-password", {"code": before["code"]}, follow=True)
    try:
        cursor = signing.loads(before["signed"], salt="cursor")
    except signing.BadSignature:
        cursor = None

    assert page.status_code == (200 if is_kept else 302)
    assert (b'type="password"' in link.content) is is_kept
    assert cursor == (["machines", 7] if is_kept else None)


def test_a_session_of_the_earlier_key_outlives_it_once_it_was_used(before, settings):
    settings.SECRET_KEY, settings.SECRET_KEY_FALLBACKS = "second key", ["first key"]
    before["browser"].get(reverse("portfolio"))

    settings.SECRET_KEY_FALLBACKS = []

    assert before["browser"].get(reverse("portfolio")).status_code == 200
