"""Keys for devices: made here, shown once, kept as a digest."""

import hashlib
import hmac
import secrets
from collections.abc import Sequence
from datetime import datetime, timedelta

from fleet.models import Membership, Token

MARK = "rseat"
LIFETIME = timedelta(days=365)


def issue(
    *,
    membership: Membership,
    device: str,
    scopes: Sequence[str],
    issued_at: datetime,
    lifetime: timedelta = LIFETIME,
) -> str:
    """Store a new token and return its key, which cannot be shown again."""
    prefix, secret = secrets.token_hex(6), secrets.token_urlsafe(32)
    Token.objects.create(
        membership=membership,
        device=device,
        prefix=prefix,
        digest=_digest(secret),
        scopes=list(scopes),
        expires_at=issued_at + lifetime,
    )
    return f"{MARK}_{prefix}_{secret}"


def find(*, key: str, at: datetime) -> Token | None:
    """Return the valid token that a key belongs to, or None."""
    mark, _, rest = key.partition("_")
    prefix, _, secret = rest.partition("_")
    if mark != MARK or not prefix.isalnum() or not prefix.isascii():
        return None
    token = (
        Token.objects.select_related("membership__contractor", "membership__person")
        .filter(prefix=prefix)
        .first()
    )
    # The digest is compared in any case, so that a wrong prefix takes no less time.
    expected = token.digest if token is not None else _digest("")
    if not hmac.compare_digest(expected, _digest(secret)) or token is None:
        return None
    return token if is_valid(token, at=at) else None


def is_valid(token: Token, *, at: datetime) -> bool:
    """Tell whether the token, its person and its contractor are all still active."""
    membership = token.membership
    return (
        token.revoked_at is None
        and token.expires_at > at
        and membership.deactivated_at is None
        and membership.person.is_active
        and membership.contractor.retired_on is None
    )


def _digest(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()
