"""Secrets at rest: sealed by SECRET_KEY, opened by it and by earlier ones.

Fault 73.
"""

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from fleet.models import Person, SecondFactor
from fleet.platform import sealing
from fleet.platform.access.factors import codes


@pytest.fixture(autouse=True)
def keys(settings):
    settings.SECRET_KEY, settings.SECRET_KEY_FALLBACKS = "first key", []
    return settings


def change(keys, *, keep=True):
    keys.SECRET_KEY = "second key"
    keys.SECRET_KEY_FALLBACKS = ["first key"] if keep else []


def test_a_sealed_text_opens_to_itself_and_shows_nothing():
    sealed = sealing.seal("JBSWY3DPEHPK3PXP")

    assert sealing.unseal(sealed) == "JBSWY3DPEHPK3PXP"
    assert "JBSWY3DP" not in sealed
    assert sealing.seal("JBSWY3DPEHPK3PXP") != sealed


def test_what_an_earlier_key_sealed_is_opened_while_it_is_kept(keys):
    sealed = sealing.seal("secret")

    change(keys)
    assert sealing.unseal(sealed) == "secret"
    change(keys, keep=False)
    with pytest.raises(sealing.Unopenable):
        sealing.unseal(sealed)


def test_what_was_changed_on_the_way_is_not_opened():
    sealed = sealing.seal("secret")

    for odd in (sealed[:-6] + "AAAAAA", "", "no seal at all"):
        with pytest.raises(sealing.Unopenable):
            sealing.unseal(odd)


@pytest.mark.django_db
def test_the_command_seals_anew_so_that_the_earlier_key_may_go(keys):
    person = Person.objects.create_user("someone")
    row, secret = codes.begin(person=person, name="telephone")

    change(keys)
    call_command("renew_sealed_secrets")
    change(keys, keep=False)

    row.refresh_from_db()
    assert sealing.unseal(row.sealed_secret) == secret


@pytest.mark.django_db
def test_the_command_changes_nothing_if_one_cannot_be_opened(keys):
    person = Person.objects.create_user("someone")
    row, _ = codes.begin(person=person, name="telephone")
    sealed = row.sealed_secret
    change(keys, keep=False)

    with pytest.raises(CommandError, match=str(row.pk)):
        call_command("renew_sealed_secrets")

    assert SecondFactor.objects.get().sealed_secret == sealed
