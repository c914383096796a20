"""One-time codes by time (TOTP, RFC 6238): shared secrets, and codes taken once.

The algorithm is that of `django_otp.oath`; its own tables would keep secrets readable.
"""

import base64
import logging
import secrets
from datetime import datetime, timedelta
from urllib.parse import quote, urlencode

from django.conf import settings
from django_otp import oath

from fleet.platform import sealing
from fleet.platform.models import Person, SecondFactor
from fleet.platform.models.second_factor import FactorKind

logger = logging.getLogger(__name__)

ISSUER = "Ropeseat"
DIGITS = 6
STEP_S = 30
SECRET_BYTES = 20
# How long a secret waits for its first code.
WAITS = timedelta(hours=1)


def begin(*, person: Person, name: str) -> tuple[SecondFactor, str]:
    """Store a secret that waits for its first code; return it for the person's app.

    One that was begun before and never confirmed is void.
    """
    SecondFactor.objects.filter(
        person=person, kind=FactorKind.TOTP, confirmed_at=None
    ).delete()
    secret = base64.b32encode(secrets.token_bytes(SECRET_BYTES)).decode("ascii")
    row = SecondFactor.objects.create(
        person=person,
        kind=FactorKind.TOTP,
        name=name,
        sealed_secret=sealing.seal(secret),
    )
    return row, secret


def address(*, person: Person, secret: str) -> str:
    """Return the secret as the address that such apps read."""
    label = quote(f"{ISSUER}:{person.get_username()}")
    query = urlencode(
        {"secret": secret, "issuer": ISSUER, "digits": DIGITS, "period": STEP_S}
    )
    return f"otpauth://totp/{label}?{query}"


def take(*, row: SecondFactor, code: str, at: datetime) -> bool:
    """Take a code of a locked row if it is right and later than all taken before.

    A code lives for its own 30 s (ASVS 5.0, 6.5.5), and for a step before and after
    them where ONE_TIME_CODE_STEPS says so, for clocks that are off (RFC 6238, 5.2).
    """
    text = code.replace(" ", "")
    if not (text.isascii() and text.isdigit() and len(text) == DIGITS):
        return False
    try:
        secret = base64.b32decode(sealing.unseal(row.sealed_secret))
    except sealing.Unopenable:
        # The person still has recovery codes, and the office can reset the factor.
        logger.error(
            "second factor %s was sealed by a SECRET_KEY that is not among "
            "SECRET_KEY_FALLBACKS: no code of it is taken",
            row.pk,
        )
        return False
    checked = oath.TOTP(secret, step=STEP_S, digits=DIGITS)
    checked.time = at.timestamp()
    earliest = None if row.last_step is None else row.last_step + 1
    if not checked.verify(
        int(text), tolerance=settings.ONE_TIME_CODE_STEPS, min_t=earliest
    ):
        return False
    row.last_step, row.last_used_at = checked.t(), at
    row.save(update_fields=["last_step", "last_used_at"])
    return True
