"""Keys for devices: made here, shown once, kept as a digest."""

import hashlib
import hmac
import secrets
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from functools import cache
from typing import Any

from django.db.models import Exists, OuterRef, QuerySet

from fleet.platform.access import token_families
from fleet.platform.choices import Role, TokenScope
from fleet.platform.errors import Conflict
from fleet.platform.models import Membership, Token

MARK = "rseat"
LIFETIME = timedelta(days=365)
MOST_OF_ONE_PERSON = 20

# How long a rotated key still works, unless the new one is used before: the answer with
# the new one may be lost on the way, and the device must be able to ask again.
OVERLAP = timedelta(hours=1)

# What a role's tokens may be good for; a phone's comes by pairing alone.
SCOPES_OF: Mapping[str, frozenset[str]] = {
    Role.OFFICE: frozenset({TokenScope.UPLOAD, TokenScope.READ, TokenScope.WRITE}),
    Role.TECHNICIAN: frozenset({TokenScope.UPLOAD, TokenScope.READ}),
    Role.OWNER_READER: frozenset({TokenScope.READ}),
}


class NotUsable(Conflict):
    """The person has not joined yet, or was deactivated."""

    code = "person-not-active"


class TooManyTokens(Conflict):
    """The person has as many valid tokens as one can have; revoke one first."""

    code = "too-many-tokens"


class NotValid(Conflict):
    """The token was revoked or has expired; issue another."""

    code = "token-not-valid"


class PairAnew(Conflict):
    """A phone's key is not rotated: pair the phone anew."""

    code = "phone-pairs-anew"


def issue(
    *,
    membership: Membership,
    device: str,
    scopes: Sequence[str],
    issued_at: datetime,
    lifetime: timedelta = LIFETIME,
    with_factor: bool = False,
) -> str:
    """Store a new token and return its key, which cannot be shown again.

    `with_factor` is for whoever needs no second factor to be trusted: the server's own
    commands. Raises NotUsable.
    """
    return _store(
        membership=membership,
        device=device,
        scopes=scopes,
        issued_at=issued_at,
        lifetime=lifetime,
        with_factor=with_factor,
        replaces=None,
    )[1]


def issue_row(
    *,
    membership: Membership,
    device: str,
    scopes: Sequence[str],
    issued_at: datetime,
    lifetime: timedelta = LIFETIME,
    with_factor: bool = False,
    replaces: Token | None = None,
    issued_by: Token | None = None,
) -> tuple[Token, str]:
    """Store one more token of a person; return its row and its key.

    `issued_by` is the key that asks for it, with which it ends. Raises NotUsable,
    TooManyTokens.
    """
    valid = Token.objects.filter(
        membership=membership, revoked_at=None, expires_at__gt=issued_at
    )
    if valid.count() >= MOST_OF_ONE_PERSON:
        raise TooManyTokens
    return _store(
        membership=membership,
        device=device,
        scopes=scopes,
        issued_at=issued_at,
        lifetime=lifetime,
        with_factor=with_factor,
        replaces=replaces,
        issued_by=issued_by,
    )


def _store(
    *,
    membership: Membership,
    device: str,
    scopes: Sequence[str],
    issued_at: datetime,
    lifetime: timedelta,
    with_factor: bool,
    replaces: Token | None,
    issued_by: Token | None = None,
) -> tuple[Token, str]:
    if not membership.is_usable():
        raise NotUsable
    prefix, secret = secrets.token_hex(6), secrets.token_urlsafe(32)
    token = Token.objects.create(
        membership=membership,
        device=device,
        prefix=prefix,
        digest=_digest(secret),
        scopes=list(scopes),
        expires_at=issued_at + min(lifetime, LIFETIME),
        with_factor=with_factor,
        replaces=replaces,
        issued_by_id=None if issued_by is None else issued_by.pk,
    )
    return token, f"{MARK}_{prefix}_{secret}"


def rotate(*, token: Token, at: datetime) -> tuple[Token, str]:
    """Give a device a new key for the same uses; the old one works an hour longer.

    The new one lives as long as the old one did from its start, also where an answer
    was lost and it is asked for again. Raises NotValid,
    NotUsable, TooManyTokens, PairAnew.
    """
    if is_of_phone(token):
        raise PairAnew
    if token.revoked_at is not None or token.expires_at <= at:
        raise NotValid
    # The old one has an hour left once it was rotated; its first successor has all.
    like = Token.objects.filter(replaces=token).order_by("pk").first() or token
    new, key = issue_row(
        membership=token.membership,
        device=token.device,
        scopes=token.scopes,
        issued_at=at,
        lifetime=like.expires_at - like.created_at,
        with_factor=token.with_factor,
        replaces=token,
    )
    token.expires_at = min(token.expires_at, at + OVERLAP)
    token.save(update_fields=["expires_at"])
    return new, key


def revoke(*, token: Token, at: datetime) -> Token:
    """Make a token void at once, and all keys that were made by rotating it or it by.

    What is void already stays as it is.
    """
    token_families.end(token=token, at=at)
    token.refresh_from_db()
    return token


def key_in(*, header: str) -> str | None:
    """Return the key of an `Authorization: Bearer` header, if it is one."""
    word, _, key = header.partition(" ")
    return key.strip() if word.lower() == "bearer" else None


def find(*, key: str, at: datetime) -> Token | None:
    """Return the valid token that a key belongs to, or None.

    A rotated key that comes after its successor was used ends both; so does a second
    successor of one key, once another was used.
    """
    token = known(key=key)
    if token is None:
        return None
    if token.revoked_at is None and _is_in_two_hands(token):
        token_families.end_reused(token=token, at=at)
        return None
    return token if is_valid(token, at=at) else None


def _is_in_two_hands(token: Any) -> bool:
    return (token.is_rotated and token_families.was_succeeded(token)) or (
        token.has_rival and token_families.was_rivalled(token)
    )


def known(*, key: str) -> Token | None:
    """Return the token that a key belongs to, valid or not; None if there is none."""
    mark, _, rest = key.partition("_")
    prefix, _, secret = rest.partition("_")
    if mark != MARK or not prefix.isalnum() or not prefix.isascii():
        return None
    token: Token | None = _with_family().filter(prefix=prefix).first()
    # The digest is compared in any case, so that a wrong prefix takes no less time.
    expected = token.digest if token is not None else _digest("")
    if not hmac.compare_digest(expected, _digest(secret)) or token is None:
        return None
    return token


@cache
def _with_family() -> QuerySet[Any]:
    """Return how keys are asked for; made once, for each request asks so."""
    rival = Token.objects.filter(replaces=OuterRef("replaces"))
    rows: QuerySet[Any] = Token.objects.select_related(
        "membership__contractor", "membership__person"
    )
    asked: QuerySet[Any] = rows.annotate(
        is_rotated=Exists(Token.objects.filter(replaces=OuterRef("pk"))),
        has_rival=Exists(rival.exclude(pk=OuterRef("pk"))),
    )
    return asked


def is_of_phone(token: Token) -> bool:
    """Tell whether it is a paired phone's, which works as a cookie alone."""
    return TokenScope.FIELD in token.scopes


def is_valid(token: Token, *, at: datetime) -> bool:
    """Tell whether the token, its person and its contractor are all still active."""
    membership = token.membership
    return (
        token.revoked_at is None
        and token.expires_at > at
        and membership.is_usable()
        and membership.person.is_active
        and membership.contractor.retired_on is None
    )


def _digest(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()
