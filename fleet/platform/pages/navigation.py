"""The ways from one page to others; the settings name them, roles narrow them."""

from dataclasses import dataclass

from django.conf import settings
from django.urls import reverse

from fleet.platform.database.tenancy import Scope


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """A link of the navigation; `is_here` where one stands already."""

    address: str
    words: str
    is_here: bool


def ways(*, scope: Scope | None, path: str) -> list[Way]:
    """Return the links that the scope's role may follow, in their order."""
    found = []
    for name, words, roles in settings.NAVIGATION:
        if scope is not None and scope.role in roles:
            address = reverse(name)
            is_here = path == address
            found.append(Way(address=address, words=str(words), is_here=is_here))
    return found
