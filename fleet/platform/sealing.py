"""Secrets that must be read again are stored sealed, by keys that SECRET_KEY yields.

Fernet (AES-128-CBC with HMAC-SHA256) of the `cryptography` package; its keys are
derived by HKDF-SHA256 (RFC 5869), one for SECRET_KEY and one for each of
SECRET_KEY_FALLBACKS. What the fallbacks sealed is still opened.
"""

import base64

from cryptography.fernet import Fernet, InvalidToken, MultiFernet
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.kdf.hkdf import HKDF
from django.conf import settings

_PURPOSE = b"ropeseat: secrets at rest, 1"


class Unopenable(Exception):
    """It was sealed by a SECRET_KEY that is neither in use nor among the fallbacks."""


def seal(text: str) -> str:
    """Return a text sealed by the present SECRET_KEY; twice is never alike."""
    return _keys().encrypt(text.encode()).decode("ascii")


def unseal(sealed: str) -> str:
    """Return the text that was sealed. Raises Unopenable."""
    try:
        return _keys().decrypt(sealed.encode()).decode()
    except InvalidToken:
        raise Unopenable from None


def renewed(sealed: str) -> str:
    """Return the same secret sealed by the present SECRET_KEY. Raises Unopenable."""
    try:
        return _keys().rotate(sealed.encode()).decode("ascii")
    except InvalidToken:
        raise Unopenable from None


def _keys() -> MultiFernet:
    secrets = (settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS)
    return MultiFernet([Fernet(_key(secret)) for secret in secrets])


def _key(secret: str) -> bytes:
    derived = HKDF(algorithm=hashes.SHA256(), length=32, salt=None, info=_PURPOSE)
    return base64.urlsafe_b64encode(derived.derive(secret.encode()))
