"""The tests hash quickly; the service does not."""

from django.conf import global_settings, settings
from django.contrib.auth.hashers import PBKDF2PasswordHasher

from fleet.project import settings as own


def test_the_service_keeps_the_slow_hash_that_django_names_first():
    assert not hasattr(own, "PASSWORD_HASHERS")
    assert settings.PASSWORD_HASHERS != global_settings.PASSWORD_HASHERS
    first = f"{PBKDF2PasswordHasher.__module__}.{PBKDF2PasswordHasher.__qualname__}"
    assert global_settings.PASSWORD_HASHERS[0] == first
    assert PBKDF2PasswordHasher.iterations >= 600_000
