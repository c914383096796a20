"""Pair a phone with a person: a code on the office's screen, typed on the phone.

A code is good once and for minutes, and tries are counted by the address they come
from: what is guessed at is one of 31^8. The key that it makes never leaves the phone's
cookie, and is good for the field's doors alone.
"""

import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import transaction
from django.utils.crypto import salted_hmac

from fleet.platform.access import counts, tokens
from fleet.platform.choices import Role, TokenScope
from fleet.platform.database import tenancy
from fleet.platform.database.tenancy import Actor
from fleet.platform.errors import Conflict, DomainError
from fleet.platform.models import Membership, PairingCode, Phone

LASTS = timedelta(minutes=15)
# Wrong codes that one address may send in that time.
TRIES = counts.TryLimit(most=10, span=LASTS)
ROLES = frozenset({Role.OFFICE, Role.TECHNICIAN})
LONGEST_DEVICE = 100

# Letters and digits that nobody takes for one another.
_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789".replace("L", "")
_LENGTH = 8
_SALT = "fleet.platform.access.pairing"


class CodeNotValid(DomainError):
    """The code is mistyped, older than a quarter of an hour, or was used before."""

    code = "code-not-valid"


class NotPaired(Conflict):
    """Phones are paired for the office and for technicians, who work here now."""

    code = "person-takes-no-readings"


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownCode:
    """A code as it is shown once, and until when it is good."""

    code: str
    expires_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Paired:
    """A phone with its key, which is given to its cookie and to nobody else."""

    phone: Phone
    key: str


@transaction.atomic
def show_code(
    *, membership: Membership, made_by: int, with_factor: bool, at: datetime
) -> ShownCode:
    """Make a code for a person; one that waited for the same person ends.

    `with_factor` tells that whoever asks has shown a second factor. Raises NotPaired.
    """
    if membership.role not in ROLES or not membership.is_usable():
        raise NotPaired
    end_of(membership=membership, at=at)
    letters = "".join(secrets.choice(_LETTERS) for _ in range(_LENGTH))
    PairingCode.objects.create(
        membership=membership,
        made_by_id=made_by,
        digest=_digest(letters),
        with_factor=with_factor,
        expires_at=at + LASTS,
    )
    half = _LENGTH // 2
    return ShownCode(code=f"{letters[:half]}-{letters[half:]}", expires_at=at + LASTS)


@transaction.atomic
def pair(*, code: str, device: str, at: datetime) -> Paired:
    """Make a phone that of the person for whom the code was made.

    Raises CodeNotValid, NotUsable, TooManyTokens.
    """
    waiting = PairingCode.objects.select_for_update(of=("self",)).select_related(
        "membership__contractor", "membership__person"
    )
    row = waiting.filter(
        digest=_digest(_plain(code)), used_at=None, expires_at__gt=at
    ).first()
    if row is None or row.membership.role not in ROLES:
        raise CodeNotValid
    member = row.membership
    if not member.person.is_active or member.contractor.retired_on is not None:
        raise CodeNotValid
    if not _may_still_pair(row):
        raise CodeNotValid
    tenancy.act_as(
        Actor(
            membership_id=member.pk,
            person_id=member.person_id,
            via=f"paired by a code of membership {row.made_by_id}",
        )
    )
    row.used_at = at
    row.save(update_fields=["used_at"])
    token, key = tokens.issue_row(
        membership=member,
        device=device,
        scopes=[TokenScope.FIELD],
        issued_at=at,
        with_factor=row.with_factor,
    )
    return Paired(phone=Phone.objects.create(token=token), key=key)


def end_of(*, membership: Membership, at: datetime) -> None:
    """End the codes that wait for someone."""
    waiting = PairingCode.objects.filter(membership=membership, used_at=None)
    waiting.filter(expires_at__gt=at).update(expires_at=at)


def _may_still_pair(code: PairingCode) -> bool:
    """Tell whether who made a code has a say over that person's phones by now."""
    maker = Membership.objects.usable().filter(pk=code.made_by_id).first()
    return maker is not None and (
        maker.pk == code.membership_id or maker.role == Role.OFFICE
    )


def prune(*, before: datetime) -> int:
    """Remove codes that were over before a time; return how many."""
    return PairingCode.objects.filter(expires_at__lt=before).delete()[0]


def _plain(code: str) -> str:
    """Return a code as it was made, however it was typed."""
    return "".join(code.split()).replace("-", "").upper()


def _digest(letters: str) -> str:
    return salted_hmac(_SALT, letters, algorithm="sha256").hexdigest()
