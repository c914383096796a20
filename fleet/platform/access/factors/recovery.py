"""Recovery codes: for whoever has lost the telephone. Shown once, each good once."""

import base64
import hashlib
import secrets
from datetime import datetime

from fleet.platform.models import Person, SecondFactor
from fleet.platform.models.second_factor import FactorKind

NUMBER = 10
# 128 bits, so that a plain digest will do (ASVS 5.0, 6.5.2 and 11.5.1).
_BYTES = 16
_GROUP = 4


def renew(*, person: Person, at: datetime) -> list[str]:
    """Store new codes in the place of all earlier ones, and return them."""
    codes = [_new() for _ in range(NUMBER)]
    SecondFactor.objects.update_or_create(
        person=person,
        kind=FactorKind.RECOVERY,
        defaults={
            "name": FactorKind.RECOVERY.label,
            "confirmed_at": at,
            "digests": [_digest(code) for code in codes],
        },
    )
    return codes


def take(*, person: Person, code: str, at: datetime) -> bool:
    """Use a code up, if it is one of the person's that is left."""
    row = (
        SecondFactor.objects.select_for_update()
        .filter(person=person, kind=FactorKind.RECOVERY)
        .first()
    )
    digest = _digest(code)
    if row is None or digest not in row.digests:
        return False
    row.digests.remove(digest)
    row.last_used_at = at
    row.save(update_fields=["digests", "last_used_at"])
    return True


def left(*, person: Person) -> int:
    """Return how many codes are left."""
    rows = SecondFactor.objects.filter(person=person, kind=FactorKind.RECOVERY)
    return sum(len(row.digests) for row in rows)


def _new() -> str:
    text = base64.b32encode(secrets.token_bytes(_BYTES)).decode("ascii").lower()
    text = text.rstrip("=")
    return "-".join(text[i : i + _GROUP] for i in range(0, len(text), _GROUP))


def _digest(code: str) -> str:
    plain = "".join(code.split()).replace("-", "").lower()
    return hashlib.sha256(plain.encode()).hexdigest()
