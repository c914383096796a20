"""Links to set a password: signed, expiring, good for one time.

The signature covers what using the link changes (the password, the time of joining)
and what takes it back (a newer link, the end of the membership), so nothing is stored
(Django's own construction for password resets). PASSWORD_RESET_TIMEOUT is its age.
"""

from typing import Any

from django.conf import settings
from django.contrib.auth.tokens import PasswordResetTokenGenerator
from django.urls import reverse
from django.utils.http import urlsafe_base64_decode, urlsafe_base64_encode

from fleet.platform.models import Membership
from fleet.platform.pages import codes


class LinkTokens(PasswordResetTokenGenerator):
    """The signature of one membership's code."""

    key_salt = "fleet.register.people.codes"

    def __init__(self, membership: Membership) -> None:
        super().__init__()
        self.membership = membership

    def _make_hash_value(self, user: Any, timestamp: int) -> str:
        membership = self.membership
        state = (
            membership.pk,
            membership.invited_at,
            membership.joined_at,
            membership.deactivated_at,
            user.email,
        )
        return f"{super()._make_hash_value(user, timestamp)}{state}"


class TokensOfAddresses(LinkTokens):
    """The signature of a link that an earlier version mailed, in its address."""

    key_salt = "fleet.register.people.links"

    def check_token(self, user: Any, token: str | None) -> bool:
        """Tell whether it opens; none does where no address may be a permission."""
        return settings.SECRET_ADDRESSES and super().check_token(user, token)


def address(*, membership: Membership) -> str:
    """Return the link, with the server's public address before it if there is one."""
    name = urlsafe_base64_encode(str(membership.pk).encode())
    token = LinkTokens(membership).make_token(membership.person)
    return codes.link(
        base=settings.PUBLIC_URL, path=reverse("open-link"), code=f"{name}.{token}"
    )


def opened_by(*, name: str) -> Membership | None:
    """Return the membership a link names; its signature is still to be checked."""
    try:
        text = urlsafe_base64_decode(name).decode("ascii")
    except (ValueError, UnicodeDecodeError):
        return None
    if not text.isdecimal() or len(text) > 18:
        return None
    return (
        Membership.objects.select_related("person", "contractor")
        .filter(pk=int(text), deactivated_at=None, contractor__retired_on=None)
        .first()
    )
