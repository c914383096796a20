"""Time zones by their IANA names."""

from functools import cache
from zoneinfo import available_timezones

from django.core.exceptions import ValidationError


@cache
def _known() -> frozenset[str]:
    # Read once: the list is gathered from the disk at every call.
    return frozenset(available_timezones())


def is_known(name: str) -> bool:
    """Tell whether the name is an IANA zone that this machine has rules for."""
    return name in _known()


def check(name: str) -> None:
    """Raise ValidationError for a name that is no zone; for forms."""
    if not is_known(name):
        raise ValidationError(
            "%(name)s is no IANA time zone, such as Europe/Lisbon.",
            params={"name": repr(name[:60])},
        )
