"""Cookies by names that a browser takes from this host alone (ASVS 5.0, 3.3.3)."""

from django.conf import settings


def named(name: str) -> str:
    """Return a cookie's name; browsers refuse the prefix where there is no HTTPS."""
    return f"{settings.COOKIE_PREFIX}{name}"
